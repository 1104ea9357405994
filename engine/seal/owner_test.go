package seal_test

import (
	"bytes"
	"crypto/sha256"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/record"
	"keelcard/engine/seal"
)

func TestEachKeyIsAnother(t *testing.T) {
	a, other := owner, record.ContestID{9}
	keys, n := map[string]bool{}, 0
	add := func(key []byte) { keys[string(key)], n = true, n+1 }
	add(a.Signing().Seed())
	add(public(seal.PhoneKey(a[:])))
	for _, id := range []record.ContestID{fair, other} {
		ring := a.Ring(id)
		add(ring[:])
		for turn := range uint32(3) {
			add(secretBytes(a.Secret(id, turn+1)))
		}
		for _, role := range []string{"official", "keyer", "coach"} {
			for no := range uint32(3) {
				token := a.Ticket(id, role, no, 0).Token
				add(token[:])
			}
		}
	}
	if len(keys) != n {
		t.Errorf("%d keys of %d", len(keys), n)
	}
}

// Who comes later reads what was before, and who was shut out nothing of what is
// after.
func TestTurns(t *testing.T) {
	for turn := uint32(contest.MaxTurns); turn > 1; turn-- {
		if now, before := owner.Secret(fair, turn), owner.Secret(fair, turn-1); now.Before() != before || before == now {
			t.Fatalf("from the secret of turn %d does not follow that of turn %d", turn, turn-1)
		}
	}
	if owner.Secret(fair, contest.MaxTurns+1) != owner.Secret(fair, contest.MaxTurns) || owner.Secret(fair, 0) != owner.Secret(fair, 1) {
		t.Error("a turn that cannot be has a secret of its own")
	}
}

func secretBytes(s seal.Secret) []byte { return s[:] }

// What stands on paper and in released files must be read for good. The values
// were worked out apart from this code, from RFC 5869, RFC 7748 and RFC 9180.
func TestKeptForGood(t *testing.T) {
	a := seal.Authority(unhex(t, "000102030405060708090a0b0c0d0e0f"))
	const words = "abbey apron luggage apron flood ahead cardinal cashew auburn gym emu cable opera"
	if got := strings.Join(a.Words(), " "); got != words {
		t.Errorf("words: %s", got)
	}
	same(t, "signing", a.Signing().Seed(), "b41578daed325fa7b03b00b2a135f9466c0a9a52afc3c461279aea9a7ecaeac2")
	secret := a.Secret(fair, 1)
	same(t, "secret", secret[:], "d98a2855e2ea522c99da30046c1258f5c64a4c55a332d62bda3f339f74541a46")
	last := a.Secret(fair, contest.MaxTurns)
	same(t, "secret of the last turn", last[:], "81523570a7e1841016d53bba67346e49b160ef86de55f6b6f4672f4761039476")
	ring := a.Ring(fair)
	same(t, "ring", ring[:], "42745f1ba47ad7f3ba615a7ec217117e34ec85d8a38a9e03b4c60c629f994ccd")
	ticket := a.Ticket(fair, "keyer", 77, 0)
	same(t, "token", ticket.Token[:], "ffc36fa4f6875b53c4cd2f298e698116")
	same(t, "proof", ticket.Proof(record.PhoneID(bytes.Repeat([]byte{5}, 8)), random(6)), "e665090ddddb3467812a4dc4eea2411a")
	same(t, "phone", public(seal.PhoneKey(a[:])), "5722ee9efbbb74fc3b4321c8143ab33c36cf7bf4dd299aeaebb9010a0cf56e1a")
	sum := sha256.Sum256([]byte(strings.Join(allWords(), " ")))
	same(t, "list of words", sum[:], "d3fbb4eb7e0b540cde8e0e9022d7451bbbac66457eb30e10f0ff73acfc505b50")
}

func allWords() []string { return seal.Complete("", 1<<12) }

func TestListOfWords(t *testing.T) {
	list := allWords()
	if len(list) != 2048 || !slices.IsSorted(list) {
		t.Fatalf("%d words, sorted %v", len(list), slices.IsSorted(list))
	}
	begins := map[string]string{}
	for _, w := range list {
		if strings.Trim(w, "abcdefghijklmnopqrstuvwxyz") != "" || len(w) < 3 || len(w) > 8 {
			t.Errorf("%q is no plain word", w)
		}
		begin := w[:min(len(w), 4)]
		if other, ok := begins[begin]; ok {
			t.Errorf("%s and %s begin with the same four letters", other, w)
		}
		begins[begin] = w
	}
}

func TestWordsAsPeopleEnterThem(t *testing.T) {
	words := owner.Words()
	short := slices.Clone(words)
	for i, w := range short {
		short[i] = strings.ToUpper(w[:min(len(w), 4)])
	}
	for name, text := range map[string]string{
		"plain":       strings.Join(words, " "),
		"first four":  strings.Join(short, " "),
		"numbered":    "1. " + strings.Join(words, ",\r\n 2) "),
		"white space": "\n\t" + strings.Join(words, "\u00a0 \n") + "\n",
	} {
		if got, err := seal.ReadWords(text); err != nil || got != owner {
			t.Errorf("%s: %x, %v", name, got, err)
		}
	}
	refused := func(text string, says ...string) {
		t.Helper()
		got, err := seal.ReadWords(text)
		if engine.CodeOf(err) != seal.CodeWords || got != (seal.Authority{}) {
			t.Errorf("%q: %x, %v", text, got, err)
			return
		}
		for _, s := range says {
			if !strings.Contains(err.Error(), s) {
				t.Errorf("%q: %v does not say %q", text, err, s)
			}
		}
	}
	with := func(i int, word string) string {
		out := slices.Clone(words)
		out[i] = word
		return strings.Join(out, " ")
	}
	refused("", "0 words", "all 13")
	refused(strings.Join(words[:12], " "), "12 words")
	refused(with(3, "zzz")+" abbey", "14 words")
	refused(with(3, "zebbra"), "word 4", "zebbra", "zebra")
	refused(with(3, strings.Repeat("q", 5000)), "word 4")
	refused(with(5, "ab"), "word 6", "abbey")
	swapped := slices.Clone(words)
	swapped[6], swapped[7] = swapped[7], swapped[6]
	if swapped[6] != swapped[7] {
		refused(strings.Join(swapped, " "), "words 7 and 8")
	}
	refused(with(0, "zoo"), "compare each")
}

func TestWordsBringBack(t *testing.T) {
	missed := 0
	rapid.Check(t, func(t *rapid.T) {
		a := seal.Authority(rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "authority"))
		words := a.Words()
		if got, err := seal.ReadWords(strings.Join(words, " ")); err != nil || got != a {
			t.Fatalf("%x, %v", got, err)
		}
		at := rapid.IntRange(0, 12).Draw(t, "at")
		other := rapid.SampledFrom(allWords()).Draw(t, "word")
		if other == words[at] {
			return
		}
		words[at] = other
		if got, err := seal.ReadWords(strings.Join(words, " ")); err == nil {
			if got == a {
				t.Fatal("two spellings of one authority")
			}
			missed++
		}
	})
	if missed > 2 {
		t.Errorf("%d mistakes were not noticed; one in 32,768 is expected", missed)
	}
}

func TestPhrase(t *testing.T) {
	p := seal.Phrase(random(0xa5), 5)
	if n := len(strings.Fields(p)); n != 5 {
		t.Errorf("%q has %d words", p, n)
	}
	if p == seal.Phrase(random(0xa6), 5) {
		t.Error("the passphrase does not follow from the random bytes")
	}
	if n := len(strings.Fields(seal.Phrase(random(1), 100))); n != 23 {
		t.Errorf("%d words from 256 bits", n)
	}
}

func FuzzReadWords(f *testing.F) {
	f.Add(strings.Join(owner.Words(), " "))
	f.Add(strings.Repeat("zoo ", 13))
	f.Add("1. abbey, ability;")
	f.Add("")
	f.Fuzz(func(t *testing.T, text string) {
		a, err := seal.ReadWords(text)
		if err != nil {
			if engine.CodeOf(err) != seal.CodeWords {
				t.Errorf("%v", err)
			}
			return
		}
		if again, err := seal.ReadWords(strings.Join(a.Words(), " ")); err != nil || again != a {
			t.Errorf("%q is %x and comes back as %x, %v", text, a, again, err)
		}
	})
}
