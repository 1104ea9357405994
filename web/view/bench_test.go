package view_test

import (
	"strings"
	"testing"

	"keelcard/engine/amount"
	"keelcard/engine/contest"
	"keelcard/engine/record"
	"keelcard/web/app"
	"keelcard/web/markup"
	"keelcard/web/view"
)

// largeDay is a phone in a contest of 2,000 contestants in ten classes, of
// which another phone has keyed all but the first.
func largeDay(b *testing.B) *app.Runner {
	b.Helper()
	id := record.ContestID{1, 2, 3, 4, 5, 6, 7, 8}
	var facts, cards []app.Fact
	add := func(sub record.Subject, value string, err error) {
		if err != nil {
			b.Fatal(err)
		}
		facts = append(facts, app.Fact{Who: "owner/AB", Subject: sub, Value: value, When: 1_789_990_000})
	}
	value, err := contest.Settings{Name: "Tamarack County Poultry Day"}.Write()
	add(record.Subject{Kind: record.KindContest}, value, err)
	for no := uint32(1); no <= 10; no++ {
		value, err := contest.Class{Name: "Broiler carcasses", Kind: contest.Graded, Items: 10, Book: "carcass-youth", Bird: "chicken", Weight: 4 * amount.Pound}.Write()
		add(record.Subject{Kind: record.KindClass, A: no}, value, err)
	}
	for number := uint32(1); number <= 2000; number++ {
		value, err := contest.Person{Number: number, Name: "Ana Birch"}.Write()
		add(record.Subject{Kind: record.KindPerson, A: number}, value, err)
		for class := uint32(2); class <= 10; class++ {
			cards = append(cards, app.Fact{Who: "keyer/JO", Subject: contest.CardSubject(class, number), Value: strings.Repeat("\x01", 10), When: 1_789_991_000})
		}
	}
	disk := &app.Memory{}
	for seed, facts := range map[byte][]app.Fact{90: facts, 91: cards} {
		if err := disk.Give(id, "Tamarack County Poultry Day", seed, facts...); err != nil {
			b.Fatal(err)
		}
	}
	r, err := app.NewRunner(7, disk)
	if err != nil {
		b.Fatal(err)
	}
	r.Type("phone.initials", "MB")
	r.Visit(app.Page{Name: "keying", Contest: id.String(), Args: []string{"1"}}.Hash())
	if r.State.Keying.Card == nil {
		b.Fatalf("no card is open: %+v", r.State.Page)
	}
	return r
}

// BenchmarkTap is one tap on the page of keying, with all that comes of it up
// to the pieces of the page that changed. Every tenth finishes a card.
func BenchmarkTap(b *testing.B) {
	r := largeDay(b)
	page := view.Page(r.State)
	b.ReportAllocs()
	for b.Loop() {
		r.Do("keying.mark:1")
		next := view.Page(r.State)
		markup.Diff(page, next)
		page = next
	}
}

// BenchmarkCard is the ten taps of a card.
func BenchmarkCard(b *testing.B) {
	r := largeDay(b)
	b.ReportAllocs()
	for b.Loop() {
		for range 10 {
			r.Do("keying.mark:1")
		}
	}
}

// BenchmarkPage draws the pages one works on, and finds that nothing changed.
func BenchmarkPage(b *testing.B) {
	r := largeDay(b)
	for _, p := range []app.Page{
		{Name: "contest"}, {Name: "people"}, {Name: "key", Args: []string{"1"}}, {Name: "keying", Args: []string{"1"}},
		{Name: "questions"}, {Name: "results"}, {Name: "hand-over"}, {Name: "call"}, {Name: "home"},
	} {
		b.Run(p.Name, func(b *testing.B) {
			if p.Name != "call" && p.Name != "home" {
				p.Contest = r.State.Open.Head.ID
			}
			r.Visit(p.Hash())
			if r.State.Page.Name != p.Name {
				b.Fatalf("at %q", r.State.Page.Name)
			}
			page := view.Page(r.State)
			b.ReportAllocs()
			for b.Loop() {
				if patches := markup.Diff(page, view.Page(r.State)); len(patches) > 0 {
					b.Fatal("the page changed by itself")
				}
			}
		})
	}
}
