package codec_test

import (
	"bytes"
	"slices"
	"testing"

	"keelcard/engine"
	"keelcard/engine/codec"
	"keelcard/engine/record"
)

func sortRefs(refs []record.Ref) { slices.SortFunc(refs, record.CompareRefs) }

func encode(tb testing.TB, set record.Set) []byte {
	tb.Helper()
	b, err := codec.EncodeBundle(set, codec.Options{})
	if err != nil {
		tb.Fatal(err)
	}
	return b
}

func sameSet(a, b record.Set) bool {
	return a.Contest == b.Contest && slices.EqualFunc(a.Logs, b.Logs, func(x, y record.Log) bool {
		return x.Phone == y.Phone && x.Skip == y.Skip && x.Base == y.Base && x.Public.Equal(y.Public) && x.Head == y.Head && bytes.Equal(x.Sig, y.Sig) &&
			slices.EqualFunc(x.Records, y.Records, func(r, s record.Record) bool { return record.Equal(&r, &s) })
	})
}

func TestBundleThereAndBack(t *testing.T) {
	for name, set := range map[string]record.Set{
		"nothing":    {Contest: contest},
		"empty logs": newWriter(t, 1, 3).set(),
		"mixed":      mixed(t),
		"a day":      day{phones: 2, cards: 120, contestants: 40}.write(t),
		"shuffled":   day{phones: 3, cards: 120, contestants: 40, shuffled: true}.write(t),
	} {
		b := encode(t, set)
		for form, in := range map[string][]byte{"file": b, "text": []byte(codec.EncodeText(b))} {
			got, err := codec.DecodeBundle(in)
			if err != nil {
				t.Errorf("%s as %s: %v", name, form, err)
				continue
			}
			if !sameSet(got, set) {
				t.Errorf("%s as %s came back differently", name, form)
			}
			if again := encode(t, got); !bytes.Equal(again, b) {
				t.Errorf("%s as %s is written differently the second time", name, form)
			}
		}
	}
}

func TestEncodeBundleRefuses(t *testing.T) {
	for _, tc := range []struct {
		name   string
		change func(*record.Set)
		opt    codec.Options
		want   engine.Code
	}{
		{"not signed", func(s *record.Set) { s.Logs[1].Sig = nil }, codec.Options{}, codec.CodeUnsigned},
		{"not signed, own store", func(s *record.Set) { s.Logs[1].Sig = nil }, codec.Options{Unsigned: true}, ""},
		{"own store, wrong key", func(s *record.Set) { s.Logs[1].Sig, s.Logs[1].Public = nil, s.Logs[0].Public },
			codec.Options{Unsigned: true}, codec.CodeMalformed},
		{"own store, record changed", func(s *record.Set) { s.Logs[1].Sig, s.Logs[1].Records[2].Value = nil, "x" },
			codec.Options{Unsigned: true}, record.CodeChain},
		{"signature of another", func(s *record.Set) { s.Logs[1].Sig = s.Logs[0].Sig }, codec.Options{}, record.CodeSignature},
		{"record changed", func(s *record.Set) { s.Logs[1].Records[2].Value = "x" }, codec.Options{}, record.CodeChain},
		{"other contest", func(s *record.Set) { s.Contest[0]++ }, codec.Options{}, record.CodeSignature},
		{"not sorted", func(s *record.Set) { slices.Reverse(s.Logs) }, codec.Options{}, codec.CodeMalformed},
		{"a log twice", func(s *record.Set) { s.Logs[1] = s.Logs[0] }, codec.Options{}, codec.CodeMalformed},
	} {
		set := mixed(t)
		tc.change(&set)
		b, err := codec.EncodeBundle(set, tc.opt)
		if got := engine.CodeOf(err); got != tc.want || (err == nil) != (len(b) > 0) {
			t.Errorf("%s: code %q and %d bytes, want %q", tc.name, got, len(b), tc.want)
		}
	}
}

// What a phone stores itself need not be signed; what comes from elsewhere must.
func TestStoredBundle(t *testing.T) {
	set := mixed(t)
	set.Logs[0].Sig = nil
	b, err := codec.EncodeBundle(set, codec.Options{Unsigned: true})
	if err != nil {
		t.Fatal(err)
	}
	if got, err := codec.DecodeStored(b); err != nil || !sameSet(got, set) {
		t.Errorf("own store: %v", err)
	}
	if _, err := codec.DecodeBundle(b); engine.CodeOf(err) != codec.CodeSignature {
		t.Errorf("handed over: %v", err)
	}
}

// The days on which a card has its budget of bytes.
var budgetDays = []struct {
	name string
	day  day
}{
	{"piles nearly in order", day{phones: 8, cards: 4000, contestants: 400}},
	{"in no order at all", day{phones: 8, cards: 4000, contestants: 400, shuffled: true}},
	{"one phone, 500 cards", day{phones: 1, cards: 500, contestants: 50}},
}

// The budget: 6 bytes a card of the whole file, signatures, causality, stamps
// and second keyings included. Exact, on fixed data.
func TestBytesPerCard(t *testing.T) {
	const budget = 6.0
	for _, tc := range budgetDays {
		b := encode(t, tc.day.write(t))
		got := float64(len(b)) / float64(tc.day.cards)
		t.Logf("%s: %d bytes, %.2f a card", tc.name, len(b), got)
		if got > budget {
			t.Errorf("%s: %.2f bytes a card, the budget is %v", tc.name, got, budget)
		}
	}
}

// BenchmarkEncodeBundle packs each of the days.
func BenchmarkEncodeBundle(b *testing.B) {
	for _, tc := range budgetDays {
		b.Run(tc.name, func(b *testing.B) {
			set := tc.day.write(b)
			b.ReportAllocs()
			n := 0
			for b.Loop() {
				n = len(encode(b, set))
			}
			b.ReportMetric(float64(n)/float64(tc.day.cards), "bytes/card")
		})
	}
}

func BenchmarkDecodeBundle(b *testing.B) {
	in := encode(b, day{phones: 8, cards: 4000, contestants: 400}.write(b))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := codec.DecodeBundle(in); err != nil {
			b.Fatal(err)
		}
	}
}

// A file of a few hundred bytes may name a great many references; reading stops
// at the limit.
func TestReferencesBeyondTheLimit(t *testing.T) {
	l := record.NewLog(contest, public(1))
	refs := make([]record.Ref, record.MaxReplaces)
	for i := range refs {
		refs[i] = record.Ref{Phone: l.Phone, Seq: uint32(i) + 1}
	}
	for i := range uint32(codec.MaxReplaces/record.MaxReplaces + 66) {
		r := record.Record{Phone: l.Phone, Seq: i + 1, Subject: record.Subject{Kind: record.KindCard}}
		if i > record.MaxReplaces {
			r.Replaces = refs
		}
		l.Records = append(l.Records, r)
	}
	b := codec.EncodeUnchecked(record.Set{Contest: contest, Logs: []record.Log{l}})
	if _, err := codec.DecodeBundle(b); engine.CodeOf(err) != codec.CodeTooLarge {
		t.Errorf("%d bytes: %v", len(b), err)
	}
}
