package contest_test

import (
	"testing"

	"keelcard/engine/amount"
	"keelcard/engine/contest"
	"keelcard/engine/enginetest"
	"keelcard/engine/merge"
	"keelcard/engine/points"
	"keelcard/engine/record"
)

var id = record.ContestID{'T', 'e', 's', 't'}

// day is a contest in a test, written by two phones.
type day struct {
	*enginetest.Writer
	tb           testing.TB
	owner, keyer int
}

func newDay(tb testing.TB) day {
	w := enginetest.NewWriter(id)
	return day{w, tb, w.Phone("owner/AB"), w.Phone("keyer/CD")}
}

// read folds what was written so far.
func (d day) read() *contest.Contest {
	d.tb.Helper()
	set, err := d.Set()
	if err != nil {
		d.tb.Fatal(err)
	}
	return contest.Read(id, merge.Fold(set))
}

func (d day) class(c contest.Class) record.Ref {
	value, err := c.Write()
	return d.Write(d.owner, classSubject(c.No), value, err)
}

func (d day) person(number uint32) {
	value, err := contest.Person{Number: number}.Write()
	d.Write(d.owner, personSubject(number), value, err)
}

// key writes the official answers of a class.
func (d day) key(c contest.Class, items ...contest.KeyItem) {
	for i, k := range items {
		sub := contest.KeySubject(c.No, uint32(i+1))
		if c.Kind == contest.Placing {
			sub.B = 0
		}
		value, err := k.Write(c)
		d.Write(d.owner, sub, value, err)
	}
}

func (d day) card(c contest.Class, number uint32, marks ...byte) record.Ref {
	value, err := c.CardValue(marks)
	return d.Write(d.keyer, contest.CardSubject(c.No, number), value, err)
}

// raw writes a value no Write function made.
func (d day) raw(sub record.Subject, value string) record.Ref {
	return d.Put(d.keyer, record.Record{Subject: sub, Value: value})
}

func classSubject(no uint32) record.Subject { return record.Subject{Kind: record.KindClass, A: no} }
func personSubject(no uint32) record.Subject {
	return record.Subject{Kind: record.KindPerson, A: no}
}
func teamSubject(no uint32) record.Subject { return record.Subject{Kind: record.KindTeam, A: no} }

var settingsSubject = record.Subject{Kind: record.KindContest}

func broilers(no uint32, items int) contest.Class {
	return contest.Class{No: no, Name: "Broilers", Kind: contest.Graded, Items: items, Book: "carcass-youth", Bird: "chicken", Weight: 4 * amount.Pound}
}

func hens(no uint32) contest.Class {
	return contest.Class{No: no, Name: "Hens", Kind: contest.Placing, Items: 4}
}

// of makes the key of grades without second answers.
func of(grades ...string) []contest.KeyItem {
	items := make([]contest.KeyItem, len(grades))
	for i, g := range grades {
		items[i].Answer = g
	}
	return items
}

// scored scores, and wants every class scored.
func scored(tb testing.TB, c *contest.Contest) *contest.Scored {
	tb.Helper()
	s, err := c.Score()
	if err != nil {
		tb.Fatal(err)
	}
	for _, w := range s.Waiting {
		tb.Fatalf("%s waits: %v", w.Class.Name, w.Err)
	}
	return s
}

func wantPoints(tb testing.TB, what string, got, want points.Points) {
	tb.Helper()
	if got != want {
		tb.Errorf("%s: got %v, want %v", what, got, want)
	}
}
