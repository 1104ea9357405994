package record_test

import (
	"bytes"
	"crypto/ed25519"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/clock"
	"keelcard/engine/enginetest"
	"keelcard/engine/record"
)

var contest = record.ContestID{1, 2, 3, 4, 5, 6, 7, 8}

func key(n byte) ed25519.PrivateKey {
	return ed25519.NewKeyFromSeed(bytes.Repeat([]byte{n}, ed25519.SeedSize))
}

func public(n byte) ed25519.PublicKey { return key(n).Public().(ed25519.PublicKey) }

func phone(n byte) record.PhoneID { return record.PhoneOf(public(n)) }

// samples are one record of each shape.
func samples() map[string]record.Record {
	me, other := phone(1), phone(2)
	refs := []record.Ref{{Phone: me, Seq: 1}, {Phone: other, Seq: 900_000}}
	if record.CompareRefs(refs[0], refs[1]) > 0 {
		refs[0], refs[1] = refs[1], refs[0]
	}
	card := record.Subject{Kind: record.KindCard, A: 7, B: 41}
	return map[string]record.Record{
		"least":      {Phone: me, Seq: 1, Subject: record.Subject{Kind: record.KindContest}},
		"card":       {Phone: me, Seq: 2, Stamp: clock.Stamp{Wall: 1767225600, Tick: 3}, Who: "keyer/MB", Subject: card, Value: "\x01\x04\x00\x83"},
		"again":      {Phone: me, Seq: 3, Who: "keyer/Zoë", Subject: card, Value: "\x01", Again: true},
		"correction": {Phone: me, Seq: 4, Subject: card, Value: "\x02", Replaces: refs},
		"withdrawn":  {Phone: me, Seq: 5, Subject: card, Replaces: refs[:1]},
		"unknown":    {Phone: me, Seq: 6, Subject: record.Subject{Kind: 200, A: 1<<32 - 1, B: 1<<32 - 1}, Value: "\x00\xff", Flags: 0xffff},
		"largest": {Phone: me, Seq: record.MaxRecords, Stamp: clock.Stamp{Wall: clock.MaxWall, Tick: 65535},
			Who: strings.Repeat("w", record.MaxWho), Subject: card, Value: strings.Repeat("v", record.MaxValue)},
	}
}

func TestEncodeThenDecode(t *testing.T) {
	for name, r := range samples() {
		b := r.Encode([]byte("before"))[len("before"):]
		got, rest, err := record.Decode(append(b, "after"...))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if !record.Equal(&got, &r) || string(rest) != "after" {
			t.Errorf("%s: got %+v and %q left, want %+v", name, got, rest, r)
		}
	}
}

func TestDecodeRefuses(t *testing.T) {
	good := samples()
	encode := func(name string, change func(*record.Record)) []byte {
		r := good[name]
		r.Replaces = append([]record.Ref(nil), r.Replaces...)
		change(&r)
		return r.Encode(nil)
	}
	keep := func(*record.Record) {}
	card := encode("card", keep)
	for _, tc := range []struct {
		name string
		b    []byte
		want engine.Code
	}{
		{"nothing", nil, record.CodeShort},
		{"number written too long", append(append([]byte(nil), card[:8]...), append([]byte{0x82, 0x00}, card[9:]...)...), record.CodeCanonical},
		{"number zero", encode("card", func(r *record.Record) { r.Seq = 0 }), record.CodeLimit},
		{"number too large", encode("card", func(r *record.Record) { r.Seq = record.MaxRecords + 1 }), record.CodeLimit},
		{"time too large", encode("card", func(r *record.Record) { r.Stamp.Wall = clock.MaxWall + 1 }), record.CodeLimit},
		{"time negative", encode("card", func(r *record.Record) { r.Stamp.Wall = -1 }), record.CodeLimit},
		{"no kind", encode("card", func(r *record.Record) { r.Subject.Kind = 0 }), record.CodeField},
		{"who too long", encode("card", func(r *record.Record) { r.Who = strings.Repeat("w", 41) }), record.CodeLimit},
		{"who not text", encode("card", func(r *record.Record) { r.Who = "\xff" }), record.CodeField},
		{"who with a line break", encode("card", func(r *record.Record) { r.Who = "a\nb" }), record.CodeField},
		{"value too long", encode("card", func(r *record.Record) { r.Value = strings.Repeat("v", record.MaxValue+1) }), record.CodeLimit},
		{"references out of order", encode("correction", func(r *record.Record) {
			r.Replaces[0], r.Replaces[1] = r.Replaces[1], r.Replaces[0]
		}), record.CodeCanonical},
		{"reference twice", encode("correction", func(r *record.Record) { r.Replaces[1] = r.Replaces[0] }), record.CodeCanonical},
		{"reference to itself", encode("correction", func(r *record.Record) { r.Replaces = []record.Ref{r.Ref()} }), record.CodeField},
		{"reference to number zero", encode("correction", func(r *record.Record) { r.Replaces = []record.Ref{{Phone: r.Phone}} }), record.CodeLimit},
		{"too many references", encode("correction", func(r *record.Record) {
			r.Seq, r.Replaces = 100, nil
			for i := range uint32(65) {
				r.Replaces = append(r.Replaces, record.Ref{Phone: r.Phone, Seq: i + 1})
			}
		}), record.CodeLimit},
		{"second keying that replaces", encode("correction", func(r *record.Record) { r.Again = true }), record.CodeField},
	} {
		_, rest, err := record.Decode(tc.b)
		if got := engine.CodeOf(err); got != tc.want {
			t.Errorf("%s: code %q (%v), want %q", tc.name, got, err, tc.want)
		}
		if len(rest) != len(tc.b) {
			t.Errorf("%s: bytes were taken although the record was refused", tc.name)
		}
	}
}

func TestEveryTruncationIsShort(t *testing.T) {
	r := samples()["correction"]
	b := r.Encode(nil)
	for n := range b {
		if _, _, err := record.Decode(b[:n]); engine.CodeOf(err) != record.CodeShort {
			t.Errorf("%d of %d bytes: %v", n, len(b), err)
		}
	}
}

func TestIDs(t *testing.T) {
	id := phone(1)
	for _, s := range []string{id.String(), strings.ReplaceAll(id.String(), "-", ""), strings.ToUpper(id.String())} {
		if got, err := record.ParsePhoneID(s); err != nil || got != id {
			t.Errorf("%q: got %v, %v", s, got, err)
		}
	}
	if got := (record.PhoneID{0x1a, 0x2b, 0x3c, 0x4d, 0x5e, 0x6f, 0x7a, 0x8b}).String(); got != "1a2b-3c4d-5e6f-7a8b" {
		t.Errorf("got %s", got)
	}
	if got, err := record.ParseContestID(contest.String()); err != nil || got != contest {
		t.Errorf("got %v, %v", got, err)
	}
	for _, s := range []string{"", "12", "xyz", strings.Repeat("0", 18)} {
		if _, err := record.ParsePhoneID(s); engine.CodeOf(err) != record.CodeID {
			t.Errorf("phone %q: %v", s, err)
		}
		if _, err := record.ParseContestID(s); engine.CodeOf(err) != record.CodeID {
			t.Errorf("contest %q: %v", s, err)
		}
	}
}

func FuzzDecode(f *testing.F) {
	for _, r := range samples() {
		if r.Seq != record.MaxRecords {
			f.Add(r.Encode(nil))
		}
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		r, rest, err := record.Decode(b)
		if err != nil {
			if lack := enginetest.Untold(err); lack != "" {
				t.Fatal(lack)
			}
			return
		}
		if got := r.Encode(nil); !bytes.Equal(got, b[:len(b)-len(rest)]) {
			t.Errorf("%x was accepted and is written as %x", b[:len(b)-len(rest)], got)
		}
	})
}
