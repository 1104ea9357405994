package contest_test

import (
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/enginetest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
)

func made(tb testing.TB, persons, classes int) enginetest.Contest {
	tb.Helper()
	c, err := enginetest.Random(enginetest.Seeded(1), persons, classes)
	if err != nil {
		tb.Fatal(err)
	}
	return c
}

// A large day: 2,000 contestants in ten classes, keyed by several phones.
func BenchmarkScore2000x10(b *testing.B) {
	m := made(b, 2000, 10)
	c := contest.Read(m.Set.Contest, merge.Fold(m.Set))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := c.Score(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRead2000x10(b *testing.B) {
	m := made(b, 2000, 10)
	state := merge.Fold(m.Set)
	b.ReportAllocs()
	for b.Loop() {
		contest.Read(m.Set.Contest, state)
	}
}

// One more record while 4,000 cards are there.
func BenchmarkAppend(b *testing.B) {
	m := made(b, 400, 10)
	for _, tc := range []struct {
		name  string
		sub   func(i int) record.Subject
		value string
	}{
		{"card", func(i int) record.Subject { return contest.CardSubject(1, uint32(2000+i)) }, "\x01"},
		{"a contestant corrected", func(int) record.Subject { return personSubject(m.Persons[50].Number) }, `{"name":"Ana Birch"}`},
		{"a contestant at the end", func(i int) record.Subject { return personSubject(uint32(2000 + i)) }, `{"name":"Ana Birch"}`},
	} {
		b.Run(tc.name, func(b *testing.B) {
			c := contest.Read(m.Set.Contest, merge.Fold(m.Set))
			i := 0
			b.ReportAllocs()
			for b.Loop() {
				r := record.Record{Phone: record.PhoneID{1}, Seq: uint32(i + 1), Subject: tc.sub(i), Value: tc.value}
				if i > 0 && tc.name == "a contestant corrected" {
					r.Replaces = []record.Ref{{Phone: record.PhoneID{1}, Seq: uint32(i)}}
				}
				if err := c.Append(r); err != nil {
					b.Fatal(err)
				}
				i++
			}
		})
	}
}

// What a page asks for again and again.
func BenchmarkLookups(b *testing.B) {
	m := made(b, 400, 10)
	c := contest.Read(m.Set.Contest, merge.Fold(m.Set))
	class := c.Classes[0]
	for _, k := range c.Classes {
		if k.Kind == contest.Graded && k.Items > class.Items {
			class = k
		}
	}
	b.Run("card", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			c.Card(class, m.Persons[7].Number)
		}
	})
	b.Run("key", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			c.Key(class)
		}
	})
	b.Run("answers", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			class.Answers()
		}
	})
}
