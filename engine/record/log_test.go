package record_test

import (
	"crypto/sha256"
	"testing"

	"keelcard/engine"
	"keelcard/engine/record"
)

// newLog gives a signed log of n cards.
func newLog(t *testing.T, n int) record.Log {
	t.Helper()
	l := record.NewLog(contest, public(1))
	for i := range n {
		r := record.Record{Phone: l.Phone, Seq: uint32(i) + 1, Who: "keyer/A", Value: "\x01",
			Subject: record.Subject{Kind: record.KindCard, A: 1, B: uint32(i)}}
		if err := l.Append(r); err != nil {
			t.Fatal(err)
		}
	}
	if err := record.Sign(contest, &l, key(1)); err != nil {
		t.Fatal(err)
	}
	return l
}

// The chain as the file format states it, computed by hand.
func TestHeadIsTheHashChain(t *testing.T) {
	l := newLog(t, 2)
	head := sha256.Sum256(append(append([]byte("keelcard log chain 1\x00"), contest[:]...), l.Public...))
	for i := range l.Records {
		head = sha256.Sum256(append(head[:], l.Records[i].Encode(nil)...))
	}
	if l.Head != head {
		t.Errorf("head %x, want %x", l.Head, head)
	}
	sum := sha256.Sum256(l.Public)
	if string(l.Phone[:]) != string(sum[:8]) {
		t.Errorf("phone %v, want %x", l.Phone, sum[:8])
	}
}

func TestVerify(t *testing.T) {
	if err := record.Verify(contest, newLog(t, 3)); err != nil {
		t.Fatal(err)
	}
	if err := record.Verify(contest, newLog(t, 0)); err != nil {
		t.Errorf("an empty signed log: %v", err)
	}
	for _, tc := range []struct {
		name   string
		change func(*record.Log)
		want   engine.Code
	}{
		{"not signed", func(l *record.Log) { l.Sig = nil }, record.CodeSignature},
		{"signature changed", func(l *record.Log) { l.Sig[5] ^= 1 }, record.CodeSignature},
		{"signature cut", func(l *record.Log) { l.Sig = l.Sig[:63] }, record.CodeSignature},
		{"key of another phone", func(l *record.Log) { l.Public = public(2) }, record.CodePhone},
		{"no key", func(l *record.Log) { l.Public = nil }, record.CodePhone},
		{"number of another phone", func(l *record.Log) { l.Phone = phone(2) }, record.CodePhone},
		{"head changed", func(l *record.Log) { l.Head[0] ^= 1 }, record.CodeSignature},
		{"record changed", func(l *record.Log) { l.Records[1].Value = "\x02" }, record.CodeChain},
		{"record of another phone", func(l *record.Log) { l.Records[1].Phone = phone(2) }, record.CodePhone},
		{"records swapped", func(l *record.Log) { l.Records[0], l.Records[1] = l.Records[1], l.Records[0] }, record.CodeGap},
		{"last record missing", func(l *record.Log) { l.Records = l.Records[:2] }, record.CodeSignature},
		{"record out of bounds", func(l *record.Log) { l.Records[1].Who = "\x01" }, record.CodeField},
	} {
		l := newLog(t, 3)
		tc.change(&l)
		if got := engine.CodeOf(record.Verify(contest, l)); got != tc.want {
			t.Errorf("%s: code %q, want %q", tc.name, got, tc.want)
		}
	}
	if got := engine.CodeOf(record.Verify(record.ContestID{9}, newLog(t, 3))); got != record.CodeSignature {
		t.Errorf("another contest: code %q", got)
	}
}

func TestAppendKeepsTheOrder(t *testing.T) {
	l := newLog(t, 1)
	head := l.Head
	next := l.Records[0]
	for _, tc := range []struct {
		name   string
		change func(*record.Record)
		want   engine.Code
	}{
		{"same number again", func(r *record.Record) {}, record.CodeGap},
		{"number left out", func(r *record.Record) { r.Seq = 3 }, record.CodeGap},
		{"other phone", func(r *record.Record) { r.Seq, r.Phone = 2, phone(2) }, record.CodePhone},
		{"not valid", func(r *record.Record) { r.Seq, r.Subject.Kind = 2, 0 }, record.CodeField},
	} {
		r := next
		tc.change(&r)
		if got := engine.CodeOf(l.Append(r)); got != tc.want {
			t.Errorf("%s: code %q, want %q", tc.name, got, tc.want)
		}
	}
	if l.Head != head || len(l.Records) != 1 || len(l.Sig) == 0 {
		t.Error("a refused record changed the log")
	}
	next.Seq = 2
	if err := l.Append(next); err != nil {
		t.Fatal(err)
	}
	if len(l.Sig) != 0 {
		t.Error("the signature of the shorter log was kept")
	}
	if got := engine.CodeOf(new(record.Log).Append(next)); got != record.CodeChain {
		t.Errorf("a log that was not begun: code %q", got)
	}
	if got := engine.CodeOf(record.Sign(contest, &l, key(2))); got != record.CodePhone {
		t.Errorf("signing with another key: code %q", got)
	}
	if got := engine.CodeOf(record.Sign(contest, &l, nil)); got != record.CodePhone {
		t.Errorf("signing without a key: code %q", got)
	}
}

func BenchmarkAppend(b *testing.B) {
	l := record.NewLog(contest, public(1))
	r := record.Record{Phone: l.Phone, Who: "keyer/A", Value: "\x01\x02\x03\x04\x01\x02\x03\x04\x01\x02"}
	r.Subject.Kind = record.KindCard
	b.ReportAllocs()
	for b.Loop() {
		if len(l.Records) == record.MaxRecords {
			l = record.NewLog(contest, public(1))
		}
		r.Seq = uint32(len(l.Records)) + 1
		if err := l.Append(r); err != nil {
			b.Fatal(err)
		}
	}
}
