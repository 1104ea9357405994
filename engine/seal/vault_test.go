package seal_test

import (
	"bytes"
	"crypto/ed25519"
	"encoding/hex"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/record"
	"keelcard/engine/seal"
)

var (
	fair  = record.ContestID{1, 2, 3}
	owner = seal.Authority{7, 7, 7}
)

func vault(contest record.ContestID) *seal.Vault {
	return seal.NewVault(owner.Secret(contest, 1), contest)
}

func signer(n byte) ed25519.PrivateKey {
	return ed25519.NewKeyFromSeed(bytes.Repeat([]byte{n}, ed25519.SeedSize))
}

func signs(n byte) ed25519.PublicKey { return signer(n).Public().(ed25519.PublicKey) }

// answer is a sealed record of an official answer.
func answer(t rapid.TB, phone byte, seq, item uint32, value string) record.Record {
	t.Helper()
	r := record.Record{Phone: record.PhoneOf(signs(phone)), Seq: seq, Who: "official/" + string('A'+rune(phone)),
		Subject: record.Subject{Kind: record.KindKey, A: 2, B: item}, Flags: record.Sealed}
	var err error
	if r.Value, err = vault(fair).Seal(r.Ref(), r.Subject, value); err != nil {
		t.Fatal(err)
	}
	return r
}

func TestValueIsOfOneRecord(t *testing.T) {
	good := answer(t, 1, 5, 3, `{"answer":"B"}`)
	if got, err := vault(fair).Open(&good); err != nil || got != `{"answer":"B"}` {
		t.Fatalf("%q, %v", got, err)
	}
	if strings.Contains(good.Value, "answer") || strings.Contains(good.Value, "B\"") {
		t.Errorf("the answer can be read: %q", good.Value)
	}
	for _, tc := range []struct {
		name   string
		change func(*record.Record)
		want   engine.Code
	}{
		{"another phone's copy", func(r *record.Record) { r.Phone = record.PhoneOf(signs(2)) }, seal.CodeClosed},
		{"written again later", func(r *record.Record) { r.Seq = 6 }, seal.CodeClosed},
		{"another item", func(r *record.Record) { r.Subject.B = 4 }, seal.CodeClosed},
		{"another class", func(r *record.Record) { r.Subject.A = 3 }, seal.CodeClosed},
		{"another kind", func(r *record.Record) { r.Subject.Kind = record.KindRuling }, seal.CodeClosed},
		{"nothing left", func(r *record.Record) { r.Value = "" }, seal.CodeNotSealed},
		{"longer", func(r *record.Record) { r.Value += "\x00" }, seal.CodeClosed},
		{"newer", func(r *record.Record) { r.Value = "\x02" + r.Value[1:] }, seal.CodeNewer},
		{"in the clear", func(r *record.Record) { r.Flags = 0 }, seal.CodeNotSealed},
	} {
		r := good
		tc.change(&r)
		if got, err := vault(fair).Open(&r); engine.CodeOf(err) != tc.want || got != "" {
			t.Errorf("%s: %q, %v", tc.name, got, err)
		}
	}
	for name, v := range map[string]*seal.Vault{
		"another contest": vault(record.ContestID{9}),
		"its secret":      seal.NewVault(owner.Secret(fair, 1), record.ContestID{9}),
		"a later turn":    seal.NewVault(owner.Secret(fair, 2), fair),
		"another owner":   seal.NewVault(seal.Authority{8}.Secret(fair, 1), fair),
		"nobody's secret": seal.NewVault(seal.Secret{}, fair),
	} {
		if got, err := v.Open(&good); engine.CodeOf(err) != seal.CodeClosed || got != "" {
			t.Errorf("%s: %q, %v", name, got, err)
		}
	}
	for n := 1; n < len(good.Value); n++ {
		r := good
		r.Value = good.Value[:n]
		if got, err := vault(fair).Open(&r); engine.CodeOf(err) != seal.CodeClosed {
			t.Errorf("cut to %d bytes: %q, %v", n, got, err)
		}
	}
	for bit := range 8 * len(good.Value) {
		b := []byte(good.Value)
		b[bit/8] ^= 1 << (bit % 8)
		r := good
		r.Value = string(b)
		want := seal.CodeClosed
		if bit < 8 {
			want = seal.CodeNewer
		}
		if got, err := vault(fair).Open(&r); engine.CodeOf(err) != want {
			t.Errorf("bit %d changed: %q, %v", bit, got, err)
		}
	}
}

func TestWhatIsNotSealed(t *testing.T) {
	sub := record.Subject{Kind: record.KindKey, A: 1, B: 1}
	ref := record.Ref{Phone: record.PhoneOf(signs(1)), Seq: 1}
	if _, err := vault(fair).Seal(ref, sub, ""); engine.CodeOf(err) != seal.CodeMalformed {
		t.Errorf("a withdrawal: %v", err)
	}
	if _, err := vault(fair).Seal(ref, sub, strings.Repeat("x", seal.MaxText+1)); engine.CodeOf(err) != seal.CodeLimit {
		t.Errorf("too long: %v", err)
	}
	long, err := vault(fair).Seal(ref, sub, strings.Repeat("x", seal.MaxText))
	r := record.Record{Phone: ref.Phone, Seq: 1, Subject: sub, Value: long, Flags: record.Sealed}
	if err != nil || r.Validate() != nil {
		t.Errorf("the longest value does not fit a record: %v, %v", err, r.Validate())
	}
}

// Whoever knows the secret could seal what Seal never would.
func TestWrittenInOneWay(t *testing.T) {
	r := answer(t, 1, 1, 1, "x")
	v := vault(fair)
	pad := func(s string, n int) []byte { return append([]byte(s+"\x80"), make([]byte, n-len(s)-1)...) }
	for name, bad := range map[string]string{
		"mark of another value": v.SealRaw(&r, v.Mark(&r, "y"), pad("x", 128)),
		"no padding":            v.SealRaw(&r, v.Mark(&r, "x"), []byte("x")),
		"too much padding":      v.SealRaw(&r, v.Mark(&r, "x"), pad("x", 256)),
		"only zeros":            v.SealRaw(&r, v.Mark(&r, ""), make([]byte, 128)),
		"empty":                 v.SealRaw(&r, v.Mark(&r, ""), pad("", 128)),
	} {
		r.Value = bad
		if got, err := v.Open(&r); engine.CodeOf(err) != seal.CodeMalformed {
			t.Errorf("%s: %q, %v", name, got, err)
		}
	}
	r.Value = v.SealRaw(&r, v.Mark(&r, "x"), pad("x", 128))
	if got, err := v.Open(&r); err != nil || got != "x" {
		t.Errorf("as Seal writes it: %q, %v", got, err)
	}
}

func TestWhatOthersLearn(t *testing.T) {
	for _, pair := range [][2]string{{`{"answer":"A"}`, `{"answer":"NG"}`}, {`{"answer":"Drumstick"}`, `{"answer":"Boneless, skinless breast with rib meat"}`}} {
		a, b := answer(t, 1, 1, 1, pair[0]), answer(t, 1, 1, 1, pair[1])
		if len(a.Value) != len(b.Value) {
			t.Errorf("%q and %q can be told apart by length", pair[0], pair[1])
		}
	}
	a, b := answer(t, 1, 1, 1, "x"), answer(t, 2, 9, 1, "x")
	if a.Veil() != b.Veil() {
		t.Error("that two hands agree cannot be seen")
	}
	if a.Value == b.Value {
		t.Error("two hands seal the same bytes")
	}
	c, d := answer(t, 1, 1, 2, "x"), answer(t, 1, 1, 1, "y")
	if a.Veil() == c.Veil() || a.Veil() == d.Veil() {
		t.Error("different things look the same")
	}
}

// What record.Veil shows is name of the secret and mark, as Seal writes them.
func TestVeilIsTheMark(t *testing.T) {
	for _, value := range []string{"x", `{"answer":"B"}`, strings.Repeat("y", 300)} {
		a := answer(t, 1, 1, 1, value)
		id := owner.Secret(fair, 1).Mark()[:8]
		want := `{"sealed":"` + id + hex.EncodeToString(vault(fair).Mark(&a, value)) + `"}`
		if got := a.Veil(); got != want {
			t.Errorf("%q: %s, want %s", value, got, want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.StringN(1, 40, -1).Draw(t, "value")
		a, b := answer(t, 1, rapid.Uint32Range(1, 9).Draw(t, "one"), 7, value), answer(t, 2, rapid.Uint32Range(1, 9).Draw(t, "other"), 7, value)
		if a.Veil() != b.Veil() || a.Value == b.Value {
			t.Fatal("two hands that agree are not seen to agree")
		}
		other := answer(t, 1, a.Seq, 7, value+"x")
		if a.Veil() == other.Veil() {
			t.Fatal("two answers are taken for one")
		}
	})
}

// A copied phone writes two records of one number; neither nonce nor key stream
// may be used for both.
func TestTwoRecordsOfOneNumber(t *testing.T) {
	a, b := answer(t, 1, 1, 1, "aaaaaaaa"), answer(t, 1, 1, 1, "bbbbbbbb")
	const head = 13
	var xor []byte
	for i := range 8 {
		xor = append(xor, a.Value[head+i]^b.Value[head+i]^'a'^'b')
	}
	if bytes.Equal(xor, make([]byte, 8)) {
		t.Error("both are sealed with the same key stream")
	}
}

func TestRelease(t *testing.T) {
	secret := owner.Secret(fair, 1)
	if got, err := seal.ReadRelease(secret.Release()); err != nil || got != secret {
		t.Errorf("%v, %v", got, err)
	}
	for _, value := range []string{"", "xyz", secret.Release()[2:], secret.Release() + "00"} {
		if got, err := seal.ReadRelease(value); engine.CodeOf(err) != seal.CodeRelease || got != (seal.Secret{}) {
			t.Errorf("%q: %v, %v", value, got, err)
		}
	}
	if strings.Contains(secret.Release(), secret.Mark()) {
		t.Error("the ID gives the secret away")
	}
}

func TestOpensWhatItSealed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := record.Record{Phone: record.PhoneID(rapid.SliceOfN(rapid.Byte(), 8, 8).Draw(t, "phone")), Seq: rapid.Uint32Range(1, record.MaxRecords).Draw(t, "seq"), Flags: record.Sealed,
			Subject: record.Subject{Kind: record.Kind(rapid.ByteRange(1, 255).Draw(t, "kind")), A: rapid.Uint32().Draw(t, "A"), B: rapid.Uint32().Draw(t, "B")}}
		value := string(rapid.SliceOfN(rapid.Byte(), 1, 1100).Draw(t, "value"))
		var err error
		if r.Value, err = vault(fair).Seal(r.Ref(), r.Subject, value); err != nil {
			t.Fatal(err)
		}
		if got, err := vault(fair).Open(&r); err != nil || got != value {
			t.Fatalf("%q, %v", got, err)
		}
		b := []byte(r.Value)
		b[rapid.IntRange(0, len(b)-1).Draw(t, "at")] ^= rapid.ByteRange(1, 255).Draw(t, "by")
		r.Value = string(b)
		if got, err := vault(fair).Open(&r); err == nil {
			t.Fatalf("changed, it opens as %q", got)
		}
	})
}

func FuzzOpen(f *testing.F) {
	for _, value := range []string{"x", `{"answer":"B"}`, strings.Repeat("y", 300)} {
		r := answer(f, 1, 1, 1, value)
		f.Add(r.Value, r.Seq, r.Subject.B)
	}
	f.Add("", uint32(1), uint32(0))
	f.Add("\x01", uint32(1), uint32(0))
	v := vault(fair)
	f.Fuzz(func(t *testing.T, value string, seq, item uint32) {
		r := record.Record{Phone: record.PhoneOf(signs(1)), Seq: seq, Subject: record.Subject{Kind: record.KindKey, A: 2, B: item}, Value: value, Flags: record.Sealed}
		got, err := v.Open(&r)
		if err != nil {
			if engine.CodeOf(err) == "" {
				t.Errorf("an error without a code: %v", err)
			}
			return
		}
		if again, err := v.Seal(r.Ref(), r.Subject, got); err != nil || again != value {
			t.Errorf("%q opened as %q and is sealed as %q, %v", value, got, again, err)
		}
	})
}
