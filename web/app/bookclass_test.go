package app_test

import (
	"slices"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/record"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
)

// bookDay is a phone with a carcass class of two birds: on the first a bare
// spot of 3/8 in was seen on the breast, which is B by the published 1/4 in.
func bookDay(t *testing.T) *app.Runner {
	t.Helper()
	r := newPhone(t, 1, "MB")
	r.Type("new.start", "name=Poultry+Day")
	r.Do("class.add:carcass-youth")
	r.Type("class.items", "2")
	visit(r, "key", "1", "1")
	r.Send(app.Msg{Do: "key.site", Args: []string{"breast"}, X: 430, Y: 640})
	r.Do("key.defect:breast:bare-flesh")
	r.Do("key.set:length:3/8 in")
	r.Do("key.set:share:5 %")
	r.Do("key.answer:A")
	visit(r, "class-book", "1")
	return r
}

func bookClass(t *testing.T, r *app.Runner, no uint32) contest.Class {
	t.Helper()
	c, ok := r.State.Open.Contest.Class(no)
	if !ok {
		t.Fatalf("no class %d", no)
	}
	return c
}

// limitNo is the place from 1 of the youth book's limit for bare spots on
// breast or leg of a bird over 2 to 6 lb.
func limitNo(t *testing.T, b *rulebook.Book) string {
	t.Helper()
	i := slices.IndexFunc(b.Limits, func(l rulebook.Limit) bool {
		return l.Factor == "spot-breast-legs" && l.Most == "1/4 in"
	})
	if i < 0 {
		t.Fatal("the book has no such limit")
	}
	return app.Action("class-book.line", digits(i+1))
}

func digits(n int) string {
	text := ""
	for ; n > 0; n /= 10 {
		text = string(rune('0'+n%10)) + text
	}
	return text
}

// verdictOf is what the book of a class says of its first bird.
func verdictOf(t *testing.T, r *app.Runner) app.KeyNow {
	t.Helper()
	r.Visit(app.Page{Name: "key", Contest: r.State.Contests[0].ID, Args: []string{"1", "1"}}.Hash())
	k, err := r.State.KeyNow()
	if err != nil || k.Judged.Err != nil {
		t.Fatal(err, k.Judged.Err)
	}
	return k
}

func TestALineIsHeldOtherwiseInAContest(t *testing.T) {
	r := bookDay(t)
	c := bookClass(t, r, 1)
	published, _ := c.RuleBook()
	if diff := r.State.Regrade(c); len(diff) != 1 || diff[0].Book != "B" {
		t.Fatalf("before: %v, want the book to say B against the key's A", diff)
	}
	r.Do(limitNo(t, published))
	if f := r.State.Shelf.Line; f.Bound != "1/4 in" || f.Who != "MB" || !f.Allowed {
		t.Errorf("the line opens as %+v", f)
	}
	// nothing is taken without a reason or with an amount that is none
	r.Type("class-book.hold", "bound=so+long&allowed=yes&why=&who=")
	var places []string
	for _, f := range r.State.Shelf.Line.Faults {
		places = append(places, f.Where)
	}
	if slices.Sort(places); !slices.Equal(places, []string{"bound", "who", "why"}) {
		t.Errorf("faults at %v", places)
	}
	if len(r.State.Open.Contest.Books()) != 0 {
		t.Error("something was written")
	}
	r.Type("class-book.hold", "bound=3%2F8+in&allowed=yes&why=Small+birds+this+year&who=MB")
	if f := r.State.Shelf.Line; f.No != 0 {
		t.Fatalf("still open: %+v, %+v", f.Faults, r.State.Notice)
	}
	c = bookClass(t, r, 1)
	if value, err := c.Write(); err != nil || !strings.Contains(r.State.TellShort(record.Subject{Kind: record.KindClass, A: 1}, value), "youth contest +1") {
		t.Errorf("the class does not tell its book by its title: %v", err)
	}
	if c.Book != "carcass-youth+1" || c.Edition() != nil {
		t.Errorf("the class goes by %q, %v", c.Book, c.Edition())
	}
	if diff := r.State.Regrade(c); len(diff) != 0 {
		t.Errorf("after: %v, want none", diff)
	}
	book := r.State.Open.Contest.State().Current(contest.BookSubject(1)).Values[0]
	if text := r.State.TellShort(contest.BookSubject(1), book); !strings.Contains(text, "3/8 in") || !strings.Contains(text, "Small birds this year (MB)") {
		t.Errorf("the record is told as %q", text)
	}
	r = restart(t, r)
	k := verdictOf(t, r)
	if k.Judged.Grade != "A" || len(k.Judged.Touched) == 0 {
		t.Fatalf("after a restart the verdict is %s, touching %v", k.Judged.Grade, k.Judged.Touched)
	}
	if l := k.Judged.Touched[0].Limit; l.Confidence != rulebook.LocalRule || !strings.Contains(l.Note, "Small birds this year") || !strings.Contains(l.Note, "MB") {
		t.Errorf("the verdict stands on %+v", l)
	}
	// undone one by one: the class first, then the book
	r.Do("undo")
	r.Do("undo")
	if k := verdictOf(t, r); k.Judged.Grade != "B" || k.Class.Book != "carcass-youth" || len(r.State.Open.Contest.Books()) != 0 {
		t.Errorf("after undo: %s by %s, %d books", k.Judged.Grade, k.Class.Book, len(r.State.Open.Contest.Books()))
	}
}

// A whole change is taken back in one tap, and a line by itself as well.
func TestHeldLinesGoBack(t *testing.T) {
	r := bookDay(t)
	published, _ := bookClass(t, r, 1).RuleBook()
	hold := func(bound string) {
		r.Do(limitNo(t, published))
		r.Type("class-book.hold", "bound="+bound+"&allowed=no&why=agreed&who=MB")
	}
	hold("1+in")
	r.Do("people.take-back")
	if c := bookClass(t, r, 1); c.Book != "carcass-youth" || len(r.State.Open.Contest.Books()) != 0 {
		t.Errorf("taken back: by %s, %d books", c.Book, len(r.State.Open.Contest.Books()))
	}
	hold("1+in")
	b, err := bookClass(t, r, 1).RuleBook()
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(b.Limits, func(l rulebook.Limit) bool { return l.Factor == "disjoints" && l.Grade == "A" })
	r.Do(app.Action("class-book.line", digits(i+1)))
	r.Type("class-book.hold", "bound=2&why=agreed&who=MB")
	if v, _, ok := r.State.Variation(bookClass(t, r, 1)); !ok || len(v.Changes) != 2 || v.No != 1 {
		t.Fatalf("variation %+v", v)
	}
	r.Do("class-book.back:0")
	r.Do("class-book.back:0")
	if c := bookClass(t, r, 1); c.Book != "carcass-youth" || len(r.State.Open.Contest.Books()) != 0 || c.Edition() != nil {
		t.Errorf("all lines back: by %s, %d books, %v", c.Book, len(r.State.Open.Contest.Books()), c.Edition())
	}
}

// Two classes that go by one varied book stay together when a line changes.
func TestClassesOfOneVariedBook(t *testing.T) {
	r := bookDay(t)
	published, _ := bookClass(t, r, 1).RuleBook()
	r.Do(limitNo(t, published))
	r.Type("class-book.hold", "bound=1+in&allowed=yes&why=agreed&who=MB")
	r.Do("class.add:carcass-youth")
	visit(r, "class-book", "2")
	r.Do(app.Action("class-book.use", "carcass-youth+1"))
	if c := bookClass(t, r, 2); c.Book != "carcass-youth+1" {
		t.Fatalf("class 2 goes by %s: %+v", c.Book, r.State.Notice)
	}
	visit(r, "class-book", "1")
	b, _ := bookClass(t, r, 1).RuleBook()
	i := slices.IndexFunc(b.Limits, func(l rulebook.Limit) bool { return l.Factor == "disjoints" && l.Grade == "A" })
	r.Do(app.Action("class-book.line", digits(i+1)))
	r.Type("class-book.hold", "bound=2&why=agreed&who=MB")
	for _, no := range []uint32{1, 2} {
		if c := bookClass(t, r, no); c.Book != "carcass-youth+1" || c.Edition() != nil {
			t.Errorf("class %d goes by %s, %v", no, c.Book, c.Edition())
		}
	}
}

// A file with faults changes nothing; a good one is kept in the records of the
// contest, is graded by, and goes to another phone with them.
func TestABookGoesWithTheContest(t *testing.T) {
	r := bookDay(t)
	bring(r, "class-book", []byte("{}"))
	if len(r.State.Shelf.Faults) == 0 || len(r.State.Open.Contest.Books()) != 0 {
		t.Errorf("of an empty book: %v", r.State.Shelf.Faults)
	}
	bring(r, "class-book", own(t, "breaded", "our-breaded", nil))
	if f := r.State.Shelf.Faults; len(f) != 1 || f[0].Code != "app.book-kind" {
		t.Errorf("of a book about faults: %v", f)
	}
	bring(r, "class-book", own(t, "carcass-youth", "barn", func(b *rulebook.Book) {
		for i := range b.Limits {
			if b.Limits[i].Factor == "spot-breast-legs" {
				b.Limits[i].Most = "1/2 in"
			}
		}
	}))
	if c := bookClass(t, r, 1); c.Book != "barn" || r.State.Shelf.Faults != nil {
		t.Fatalf("goes by %s: %v, %+v", c.Book, r.State.Shelf.Faults, r.State.Notice)
	}
	r = restart(t, r)
	if k := verdictOf(t, r); k.Judged.Grade != "A" {
		t.Errorf("by our book the verdict is %s, want A", k.Judged.Grade)
	}
	r.Do("hand-over.save")
	var file []byte
	for _, e := range r.Shown {
		if o, ok := e.(app.Offer); ok {
			file = o.Bytes
		}
	}
	other := newPhone(t, 9, "KT")
	other.Visit("#/take-in")
	bring(other, "take-in", file)
	other.Do("take-in.accept")
	other.Visit(app.Page{Name: "key", Contest: r.State.Open.Head.ID, Args: []string{"1", "1"}}.Hash())
	if k, err := other.State.KeyNow(); err != nil || k.Judged.Grade != "A" {
		t.Errorf("on the other phone: %v, %v", k.Judged.Grade, err)
	}
}

// Cards are keyed as numbers of answers: a book with other answers would make
// others of them, and is not taken.
func TestABookWithOtherAnswersIsNotTakenOverCards(t *testing.T) {
	r := bookDay(t)
	card := app.Fact{Who: "keyer/JK", Subject: record.Subject{Kind: record.KindCard, A: 1, B: 7}, Value: "\x01\x02", When: 1_790_000_500}
	id := r.State.Open.Contest.ID
	if err := r.Disk.Give(id, "Poultry Day", 77, card); err != nil {
		t.Fatal(err)
	}
	r = restart(t, r)
	visitID := app.Page{Name: "class-book", Contest: id.String(), Args: []string{"1"}}.Hash()
	r.Visit(visitID)
	three := own(t, "carcass-youth", "three", func(b *rulebook.Book) {
		b.Scale[1].ID = "Bb"
		for i := range b.Limits {
			if b.Limits[i].Grade == "B" {
				b.Limits[i].Grade = "Bb"
			}
		}
	})
	bring(r, "class-book", three)
	if f := r.State.Shelf.Faults; len(f) != 1 || f[0].Code != "app.book-scale" {
		t.Errorf("faults %v", f)
	}
	if c := bookClass(t, r, 1); c.Book != "carcass-youth" {
		t.Errorf("goes by %s", c.Book)
	}
}

// The results follow the book where the officials do: with the line held
// otherwise the book says A in place of B, and with the answer taken from the
// book a card marked A earns 10 in place of 7 (the published table: crossing
// A-B costs 3).
func TestResultsFollowALineHeldOtherwise(t *testing.T) {
	r := bookDay(t)
	r.Type("class.items", "1")
	visit(r, "class", "1")
	r.Type("class.items", "1")
	id := r.State.Open.Contest.ID
	facts := []app.Fact{
		{Who: "owner/JK", Subject: record.Subject{Kind: record.KindPerson, A: 7}, Value: `{"name":"Ana Birch"}`, When: 1_790_000_500},
		{Who: "keyer/JK", Subject: record.Subject{Kind: record.KindCard, A: 1, B: 7}, Value: "\x01", When: 1_790_000_501},
	}
	if err := r.Disk.Give(id, "Poultry Day", 77, facts...); err != nil {
		t.Fatal(err)
	}
	r = restart(t, r)
	total := func() string {
		t.Helper()
		s, err := r.State.Open.Contest.Score()
		if err != nil {
			t.Fatal(err)
		}
		return s.Result.Total(0).String()
	}
	verdictOf(t, r)
	r.Do("key.book")
	if got := total(); got != "7" {
		t.Fatalf("with the published line the card earns %s, want 7", got)
	}
	visit(r, "class-book", "1")
	published, _ := bookClass(t, r, 1).RuleBook()
	r.Do(limitNo(t, published))
	r.Type("class-book.hold", "bound=3%2F8+in&allowed=yes&why=agreed&who=MB")
	if diff := r.State.Regrade(bookClass(t, r, 1)); len(diff) != 1 || diff[0].Key != "B" || diff[0].Book != "A" {
		t.Errorf("the page says %v", diff)
	}
	if got := total(); got != "7" {
		t.Errorf("the official answer changed by itself: %s", got)
	}
	verdictOf(t, r)
	r.Do("key.book")
	if got := total(); got != "10" {
		t.Errorf("with the line held otherwise the card earns %s, want 10", got)
	}
}
