package record_test

import (
	"bytes"
	"crypto/ed25519"
	"encoding/hex"
	"encoding/json"
	"strings"
	"testing"

	"keelcard/engine/record"
)

// What stands for a sealed value is the secret's number and the mark, so it is the
// same for the same value, and never the value or a part of it.
func TestVeil(t *testing.T) {
	head := "\x01\xaa\xbb\xcc\xdd12345678"
	veil := func(value string) string {
		r := record.Record{Flags: record.Sealed, Value: value}
		return r.Veil()
	}
	mark := veil(head + "of one record")
	if want := `{"sealed":"aabbccdd` + hex.EncodeToString([]byte("12345678")) + `"}`; mark != want {
		t.Errorf("got %s, want %s", mark, want)
	}
	for _, tc := range []struct {
		name, value string
		same        bool
	}{
		{"another record", head + "of another", true},
		{"no more than a head", head, true},
		{"another mark", "\x01\xaa\xbb\xcc\xdd12345679of one record", false},
		{"another secret", "\x01\xaa\xbb\xcc\xde12345678of one record", false},
		{"a later form", "\x02\xaa\xbb\xcc\xdd12345678of one record", false},
		{"cut within the head", head[:12], false},
		{"a value in the clear", `{"answer":"A"}`, false},
		{"a veil that was sealed", mark, false},
	} {
		got := veil(tc.value)
		if (got == mark) != tc.same || got != veil(tc.value) {
			t.Errorf("%s: %s beside %s", tc.name, got, mark)
		}
		var fields map[string]string
		if err := json.Unmarshal([]byte(got), &fields); err != nil || len(fields) != 1 || fields["sealed"] == "" || !record.Veiled(got) {
			t.Errorf("%s: %s is no veil: %v", tc.name, got, err)
		}
		if strings.Contains(got, tc.value) {
			t.Errorf("%s: %s shows what it stands for", tc.name, got)
		}
	}
	if one, other := veil("\x02one"), veil("\x02other"); one == other || one != veil("\x02one") {
		t.Errorf("of a later form: %s and %s", one, other)
	}
	for _, value := range []string{"", "{}", `{"answer":"A"}`, `{"seal":"x"}`, "\x01\x02"} {
		if record.Veiled(value) {
			t.Errorf("%q stands for something", value)
		}
	}
}

func TestSealed(t *testing.T) {
	for _, tc := range []struct {
		flags record.Flags
		value string
		want  bool
	}{
		{0, "x", false}, {record.Sealed, "x", true}, {record.Sealed, "", false},
		{record.Sealed | 1<<7, "x", true}, {0xffff &^ record.Sealed, "x", false},
	} {
		r := record.Record{Flags: tc.flags, Value: tc.value}
		if r.Sealed() != tc.want {
			t.Errorf("flags %x, value %q: %v", tc.flags, tc.value, r.Sealed())
		}
	}
}

// A claim is good for its contest, its phone and its key, and for nothing else.
func TestClaim(t *testing.T) {
	good := record.Record{Phone: phone(2), Seq: 1, Subject: phone(2).Subject(record.KindClaim), Value: record.Claim(contest, phone(2), key(9))}
	if !good.Claims(contest, public(9)) {
		t.Fatal("a good claim is refused")
	}
	renewal, err := record.Renewal(contest, phone(2), key(9))
	if err != nil {
		t.Fatal(err)
	}
	signed := hex.EncodeToString(ed25519.Sign(key(9), append(contest[:], good.Phone[:]...)))
	for _, tc := range []struct {
		name   string
		change func(r *record.Record)
	}{
		{"of another phone", func(r *record.Record) { r.Phone = phone(3) }},
		{"of another phone, about itself", func(r *record.Record) { r.Phone, r.Subject = phone(3), phone(3).Subject(record.KindClaim) }},
		{"about another phone", func(r *record.Record) { r.Subject = phone(3).Subject(record.KindClaim) }},
		{"of another kind", func(r *record.Record) { r.Subject.Kind = record.KindRole }},
		{"by another key", func(r *record.Record) { r.Value = record.Claim(contest, r.Phone, key(8)) }},
		{"of another contest", func(r *record.Record) { r.Value = record.Claim(record.ContestID{9}, r.Phone, key(9)) }},
		{"a bit changed", func(r *record.Record) { b := []byte(r.Value); b[7] ^= 1; r.Value = string(b) }},
		{"cut off", func(r *record.Record) { r.Value = r.Value[:len(r.Value)-2] }},
		{"too long", func(r *record.Record) { r.Value += "00" }},
		{"no hexadecimal", func(r *record.Record) { r.Value = strings.Repeat("x", 128) }},
		{"a signature for something else", func(r *record.Record) { r.Value = signed }},
		{"the signature of a renewal", func(r *record.Record) { r.Value = renewal[2*ed25519.PublicKeySize:] }},
		{"nothing", func(r *record.Record) { r.Value = "" }},
	} {
		r := good
		tc.change(&r)
		if r.Claims(contest, public(9)) {
			t.Errorf("%s: it counts", tc.name)
		}
	}
	for name, authority := range map[string][]byte{
		"none": nil, "another": public(8), "a short one": public(9)[:31], "a long one": append(bytes.Clone(public(9)), 0), "zeros": make([]byte, 32),
	} {
		if good.Claims(contest, authority) {
			t.Errorf("with the authority %s it counts", name)
		}
	}
}
