package merge_test

import (
	"math/rand/v2"
	"testing"

	"keelcard/engine/merge"
	"keelcard/engine/record"
)

// contestDay gives eight phones that keyed 500 cards each, 400 contestants in
// ten classes, with 2 % keyed a second time, half of those differing, and some
// corrections. Each phone has handed its log over signed.
func contestDay(tb testing.TB) []*device {
	rng := rand.New(rand.NewPCG(8, 4000))
	devices := make([]*device, 8)
	for i := range devices {
		devices[i] = newDevice(byte(i + 1))
	}
	for card := range 4000 {
		d := devices[card/500]
		sub := record.Subject{Kind: record.KindCard, A: uint32(card/400) + 1, B: uint32(card%400) + 100}
		value := make([]byte, 10)
		for i := range value {
			value[i] = byte(1 + rng.IntN(4))
		}
		now := 1_700_000_000 + int64(card%500)*8
		d.write(tb, now, "keyer/MB", sub, string(value), false)
		if rng.IntN(100) < 1 {
			value[3] = 1 + value[3]%4
			d.write(tb, now+3, "keyer/MB", sub, string(value), false)
		}
		if rng.IntN(100) < 2 {
			if rng.IntN(2) == 0 {
				value[0] = 1 + value[0]%4
			}
			devices[rng.IntN(8)].write(tb, now+5, "keyer/JO", sub, string(value), true)
		}
	}
	for _, d := range devices {
		if err := record.Sign(contest, d.log(), d.key); err != nil {
			tb.Fatal(err)
		}
	}
	return devices
}

// mergeDay joins all phones and folds the result.
func mergeDay(tb testing.TB, devices []*device) *merge.State {
	var all record.Set
	all.Contest = contest
	for _, d := range devices {
		var err error
		if all, _, err = merge.Join(all, d.set); err != nil {
			tb.Fatal(err)
		}
	}
	return merge.Fold(all)
}

// BenchmarkMerge joins eight phones and lists what is in question. The budget
// is in web/bench.
func BenchmarkMerge(b *testing.B) {
	devices := contestDay(b)
	b.ReportAllocs()
	for b.Loop() {
		if len(mergeDay(b, devices).Questions()) == 0 {
			b.Fatal("no card is in question")
		}
	}
}

func BenchmarkFold(b *testing.B) {
	all := record.Set{Contest: contest}
	for _, d := range contestDay(b) {
		all = join(b, all, d.set)
	}
	b.ReportAllocs()
	for b.Loop() {
		merge.Fold(all)
	}
}

func BenchmarkAppend(b *testing.B) {
	all := record.Set{Contest: contest}
	for _, d := range contestDay(b) {
		all = join(b, all, d.set)
	}
	s := merge.Fold(all)
	r := record.Record{Phone: record.PhoneID{1}, Subject: record.Subject{Kind: record.KindCard, A: 1}, Value: "\x01\x02"}
	for b.Loop() {
		r.Seq++
		r.Subject.B = r.Seq
		if err := s.Append(r); err != nil {
			b.Fatal(err)
		}
		s.Current(r.Subject)
	}
}
