package contest_test

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/points"
	"keelcard/engine/record"
	"keelcard/engine/rulebook"
)

// ownBook is a book that takes the place of a built-in one in its contest.
const ownBook = `{"format":1,"id":"carcass-youth","edition":"own","title":"Ours","scale":[{"id":"A","name":"A"},{"id":"B","name":"B"}],` +
	`"defects":[{"id":"tear","name":"tear","measures":["length"]}],` +
	`"factors":[{"id":"tears","name":"tears","op":"longest","per":"item","defects":["tear"]}],` +
	`"limits":[{"factor":"tears","grade":"A","most":"1/4 in","inclusive":true,"source":"s","confidence":"read"}],` +
	`"sources":[{"id":"s","title":"s"}]}`

func youth() *rulebook.Book {
	b, ok := rulebook.ByID("carcass-youth")
	if !ok {
		panic("there is no book of youth contests")
	}
	return b
}

// change decides the first line of a book anew with its own amount.
func change(b *rulebook.Book) rulebook.Change {
	l := b.Limits[0]
	return rulebook.Change{Line: l.Line(), Most: l.Most, Least: l.Least, Inclusive: true, Why: "agreed before the start", Who: "A. Birch"}
}

// variation is the value of a record with a variation of the book.
func variation() string {
	b := youth()
	value, err := contest.ContestBook{No: 1, Base: b.ID, Hash: b.Hash(), Changes: []rulebook.Change{change(b)}}.Write(&contest.Contest{})
	if err != nil {
		panic(err)
	}
	return value
}

func (d day) book(no uint32, value string) record.Ref {
	return d.raw(contest.BookSubject(no), value)
}

// A class finds the books of its contest, whichever record comes first, and
// before a built-in book of the same id.
func TestBooksOfAContest(t *testing.T) {
	base := youth()
	d := newDay(t)
	varied := broilers(1, 1)
	varied.Book = "carcass-youth+1"
	d.raw(classSubject(1), strings.Replace(writtenClass(t, broilers(1, 1)), `"carcass-youth"`, `"carcass-youth+1"`, 1))
	d.class(broilers(2, 1))
	d.book(1, variation())
	c := d.read()
	if len(c.Problems) > 0 || len(c.Questions()) > 0 {
		t.Fatal(c.Problems, c.Questions())
	}
	books := c.Books()
	if len(books) != 1 || books[0].No != 1 || books[0].ID != "carcass-youth+1" || books[0].Err != nil || books[0].Book.Base != base.ID {
		t.Fatalf("books %+v", books)
	}
	if b, err := c.Classes[0].RuleBook(); err != nil || b != books[0].Book || b.Limits[0].Confidence != rulebook.LocalRule {
		t.Errorf("the class has %v, %v", b, err)
	}
	if b, err := c.Classes[1].RuleBook(); err != nil || b != base {
		t.Errorf("the other class has %v, %v", b, err)
	}
	if b, err := c.Bind(varied).RuleBook(); err != nil || b != books[0].Book {
		t.Errorf("a class being set up has %v, %v", b, err)
	}
	if _, err := varied.RuleBook(); engine.CodeOf(err) != "contest.book" {
		t.Errorf("a class that is not bound has %v", err)
	}
	if value, err := c.Bind(varied).Write(); err != nil || !strings.Contains(value, `"carcass-youth+1"`) {
		t.Errorf("a class with a book of the contest is not written: %v", err)
	}

	ref := d.book(2, ownBook)
	c = d.read()
	if b, err := c.Classes[1].RuleBook(); err != nil || b.Edition != "own" || strings.Join(c.Classes[1].Answers(), " ") != "A B" {
		t.Errorf("the class has %v, %v", b, err)
	}
	// What is varied is now the contest's own book, and it is another edition.
	if _, err := c.Classes[0].RuleBook(); engine.CodeOf(err) != "contest.book-edition" || len(c.Problems) != 1 || c.Problems[0].Where != "rule book 1" {
		t.Errorf("got %v, problems %v", err, c.Problems)
	}
	d.Write(d.owner, contest.BookSubject(2), "", nil, ref)
	c = d.read()
	if b, err := c.Classes[1].RuleBook(); err != nil || b != base || len(c.Problems) > 0 || len(c.Books()) != 1 {
		t.Errorf("after the withdrawal the class has %v, %v, problems %v", b, err, c.Problems)
	}
}

func writtenClass(t *testing.T, c contest.Class) string {
	t.Helper()
	value, err := c.Write()
	if err != nil {
		t.Fatal(err)
	}
	return value
}

// Two hands who differ about a book are a question.
func TestABookInQuestion(t *testing.T) {
	d := newDay(t)
	d.book(1, variation())
	d.Write(d.owner, contest.BookSubject(1), ownBook, nil)
	if q := d.read().Questions(); len(q) != 1 || q[0] != contest.BookSubject(1) {
		t.Errorf("questions %v", q)
	}
}

// A variation is scored as its base is: points depend on grades, not on limits.
func TestScoringWithAVariation(t *testing.T) {
	d := newDay(t)
	d.book(1, variation())
	d.raw(classSubject(1), strings.Replace(writtenClass(t, broilers(1, 2)), `"carcass-youth"`, `"carcass-youth+1"`, 1))
	d.raw(contest.KeySubject(1, 1), `{"answer":"A"}`)
	d.raw(contest.KeySubject(1, 2), `{"answer":"NG"}`)
	d.person(7)
	d.raw(contest.CardSubject(1, 7), "\x02\x04")
	wantPoints(t, "B for A and NG right (Penn State Extension)", scored(t, d.read()).Result.Total(0), points.Of(17))
}

// A class says when its book is another edition here than the one chosen. A
// graded class is scored all the same, as its grades are in its records; one that
// is checked for the faults of a book waits.
func TestAnotherEdition(t *testing.T) {
	d := newDay(t)
	c := broilers(1, 1)
	c.Hash = strings.Repeat("0", 64)
	d.class(c)
	d.key(c, of("A")...)
	checked := contest.Class{No: 2, Name: "Breaded", Kind: contest.Checked, Items: 1, Book: "breaded", Hash: c.Hash}
	d.class(checked)
	d.key(checked, contest.KeyItem{Answer: contest.None})
	d.person(7)
	d.card(c, 7, 1)
	s, err := d.read().Score()
	if err != nil {
		t.Fatal(err)
	}
	wantPoints(t, "A", s.Result.Total(0), points.Of(10))
	if len(s.Faults) != 2 || s.Faults[0].Code != "contest.book-edition" || s.Faults[0].Where != "Broilers" || s.Faults[0].Fix == "" {
		t.Errorf("faults %v", s.Faults)
	}
	if len(s.Waiting) != 1 || s.Waiting[0].Class.No != 2 || engine.CodeOf(s.Waiting[0].Err) != "contest.book-edition" {
		t.Errorf("waiting %v", s.Waiting)
	}
	for _, b := range rulebook.Builtin() {
		same := contest.Class{Book: b.ID, Hash: b.Hash()}
		if err := same.Edition(); err != nil {
			t.Errorf("%s: %v", b.ID, err)
		}
	}
	if err := (contest.Class{Book: "gone", Hash: c.Hash}).Edition(); err != nil {
		t.Errorf("a book that is not here: %v", err)
	}
}

// What cannot be a book is a problem and takes nothing else with it.
func TestBooksThatAreNotRead(t *testing.T) {
	base := youth()
	vary := func(change func(*contest.ContestBook)) string {
		b := contest.ContestBook{No: 1, Base: base.ID, Hash: base.Hash(), Changes: []rulebook.Change{{Line: base.Limits[0].Line(), Most: base.Limits[0].Most, Inclusive: true, Why: "w", Who: "o"}}}
		change(&b)
		return fmt.Sprintf(`{"base":%q,"hash":%q,"changes":[{"factor":%q,"grade":%q,"over":%q,"to":%q,"most":%q,"inclusive":true,"why":%q,"who":"o"}]}`,
			b.Base, b.Hash, b.Changes[0].Factor, b.Changes[0].Grade, "0 lb", "0 lb", b.Changes[0].Most, b.Changes[0].Why)
	}
	for _, tc := range []struct {
		name  string
		sub   record.Subject
		value string
		held  bool // it is listed with its error
	}{
		{"no JSON", contest.BookSubject(1), "x", false},
		{"another type", contest.BookSubject(1), `[]`, false},
		{"another format", contest.BookSubject(1), `{"format":2}`, false},
		{"a fault in a whole book", contest.BookSubject(1), strings.Replace(ownBook, "1/4 in", "1/4 mile", 1), false},
		{"a field that is not known", contest.BookSubject(1), strings.Replace(ownBook, `"format":1`, `"format":1,"colour":"red"`, 1), false},
		{"no base", contest.BookSubject(1), vary(func(b *contest.ContestBook) { b.Base = "gone" }), true},
		{"another base", contest.BookSubject(1), vary(func(b *contest.ContestBook) { b.Hash = "00" }), true},
		{"no such line", contest.BookSubject(1), vary(func(b *contest.ContestBook) { b.Changes[0].Factor = "gone" }), true},
		{"no reason", contest.BookSubject(1), vary(func(b *contest.ContestBook) { b.Changes[0].Why = "" }), true},
		{"no changes", contest.BookSubject(1), fmt.Sprintf(`{"base":"carcass-youth","hash":%q}`, base.Hash()), true},
		{"thousands of changes", contest.BookSubject(1), `{"base":"carcass-youth","changes":[{}` + strings.Repeat(",{}", 9000) + `]}`, false},
		{"book 0", contest.BookSubject(0), ownBook, false},
		{"a large number", contest.BookSubject(contest.MaxBooks + 1), ownBook, false},
		{"two numbers", record.Subject{Kind: record.KindBook, A: 1, B: 1}, ownBook, false},
	} {
		d := newDay(t)
		c := broilers(1, 1)
		d.class(c)
		d.key(c, of("A")...)
		d.person(7)
		d.card(c, 7, 2)
		d.raw(tc.sub, tc.value)
		got := d.read()
		if len(got.Problems) != 1 || len(got.Problems[0].Where) == 0 {
			t.Errorf("%s: problems %v", tc.name, got.Problems)
		}
		if books := got.Books(); (len(books) == 1) != tc.held || tc.held && books[0].Err == nil {
			t.Errorf("%s: books %+v", tc.name, books)
		}
		wantPoints(t, tc.name, scored(t, got).Result.Total(0), points.Of(7))
	}
}

// The second book of an id is told, and the first one holds.
func TestBookTwice(t *testing.T) {
	d := newDay(t)
	d.class(broilers(1, 1))
	d.book(1, ownBook)
	d.book(2, strings.Replace(ownBook, `"own"`, `"other"`, 1))
	c := d.read()
	if len(c.Problems) != 1 || c.Problems[0].Code != "contest.book-twice" || c.Problems[0].Where != "rule book 2" {
		t.Errorf("problems %v", c.Problems)
	}
	if b, err := c.Classes[0].RuleBook(); err != nil || b.Edition != "own" {
		t.Errorf("%v, %v", b, err)
	}
}

// Books that come after the classes, one by one, come to the same as reading all.
func TestAppendedBooks(t *testing.T) {
	d := newDay(t)
	d.class(broilers(1, 1))
	d.raw(classSubject(2), strings.Replace(writtenClass(t, broilers(2, 1)), `"carcass-youth"`, `"carcass-youth+1"`, 1))
	before := d.read()
	held, was := before.Classes, fmt.Sprint(before.Classes)
	one := d.book(1, variation())
	d.book(2, ownBook)
	d.Write(d.owner, contest.BookSubject(1), "", nil, one)
	d.book(3, strings.Replace(ownBook, `"carcass-youth"`, `"ours"`, 1))
	set, err := d.Set()
	if err != nil {
		t.Fatal(err)
	}
	appended := contest.Read(id, merge.Fold(record.Set{Contest: id}))
	var all []record.Record
	for _, l := range set.Logs {
		all = append(all, l.Records...)
	}
	slices.SortFunc(all, func(a, b record.Record) int { return int(a.Stamp.Wall - b.Stamp.Wall) })
	for i, r := range all {
		if err := appended.Append(r); err != nil {
			t.Fatal(err)
		}
		part := record.Set{Contest: id}
		for _, l := range set.Logs {
			l.Records = slices.DeleteFunc(slices.Clone(l.Records), func(r record.Record) bool { return r.Stamp.Wall > all[i].Stamp.Wall })
			part.Logs = append(part.Logs, l)
		}
		if got, want := view(appended), view(contest.Read(id, merge.Fold(part))); got != want {
			t.Fatalf("after %d records:\n%s\nread:\n%s", i+1, got, want)
		}
	}
	if fmt.Sprint(held) != was {
		t.Error("a list that somebody holds was changed")
	}
}

func TestContestBookWrite(t *testing.T) {
	base := youth()
	d := newDay(t)
	d.book(1, variation())
	d.book(2, strings.Replace(ownBook, `"carcass-youth"`, `"ours"`, 1))
	c := d.read()
	b := contest.ContestBook{No: 1, Base: base.ID, Hash: base.Hash(), Changes: []rulebook.Change{change(base)}}
	if value, err := b.Write(c); err != nil || value != variation() {
		t.Errorf("written in its own place: %v", err)
	}
	b.Hash = ""
	if value, err := b.Write(c); err != nil || value != variation() {
		t.Errorf("without the hash: %v", err)
	}
	if got := c.Books()[0].ContestBook; !reflect.DeepEqual(got, contest.ContestBook{No: 1, Base: base.ID, Hash: base.Hash(), Changes: b.Changes}) {
		t.Errorf("read %+v", got)
	}
	// A whole book is written in its one form, and can be varied in its turn.
	value, err := contest.ContestBook{No: 2, Text: strings.Replace(c.Books()[1].Text, "{", "{\n", 1)}.Write(c)
	if err != nil || value != c.Books()[1].Text {
		t.Errorf("a whole book: %v", err)
	}
	ours := c.Books()[1].Book
	if _, err := (contest.ContestBook{No: 3, Base: "ours", Changes: []rulebook.Change{change(ours)}}).Write(c); err != nil {
		t.Errorf("a variation of a book of the contest: %v", err)
	}

	federal, _ := rulebook.ByID("carcass-federal")
	many := make([]rulebook.Change, len(federal.Limits))
	for i, l := range federal.Limits {
		many[i] = rulebook.Change{Line: l.Line(), Most: l.Most, Least: l.Least, Inclusive: true, Why: strings.Repeat("a", 1100), Who: "o"}
	}
	for _, tc := range []struct {
		name string
		book contest.ContestBook
		code engine.Code
	}{
		{"number 0", contest.ContestBook{Text: ownBook}, "contest.number"},
		{"a large number", contest.ContestBook{No: contest.MaxBooks + 1, Text: ownBook}, "contest.number"},
		{"no base", contest.ContestBook{No: 3, Base: "gone", Changes: b.Changes}, "contest.book"},
		{"another edition", contest.ContestBook{No: 3, Base: base.ID, Hash: "00", Changes: b.Changes}, "contest.book-edition"},
		{"a variation of a variation", contest.ContestBook{No: 3, Base: "carcass-youth+1", Changes: b.Changes}, "contest.book"},
		{"no changes", contest.ContestBook{No: 3, Base: base.ID}, rulebook.CodeSize},
		{"an amount that is none", contest.ContestBook{No: 3, Base: base.ID, Changes: []rulebook.Change{{Line: base.Limits[0].Line(), Most: "far", Why: "w", Who: "o"}}}, rulebook.CodeAmount},
		{"no JSON", contest.ContestBook{No: 3, Text: "x"}, rulebook.CodeSyntax},
		{"a book twice", contest.ContestBook{No: 3, Text: c.Books()[1].Text}, "contest.book-twice"},
		{"faults of a whole book", contest.ContestBook{No: 3, Text: strings.Replace(ownBook, "1/4 in", "1/4 mile", 1)}, rulebook.CodeAmount},
		{"a line twice", contest.ContestBook{No: 3, Base: base.ID, Changes: []rulebook.Change{change(base), change(base)}}, rulebook.CodeTwice},
		{"large together", contest.ContestBook{No: 3, Base: federal.ID, Changes: many}, rulebook.CodeSize},
	} {
		value, err := tc.book.Write(c)
		if value != "" || !slices.Contains(codes(err), tc.code) {
			t.Errorf("%s: got %v, want %s", tc.name, err, tc.code)
		}
	}
	// All faults of a file are told at once, each with its place.
	_, err = contest.ContestBook{No: 3, Text: strings.NewReplacer("1/4 in", "1/4 mile", `"title":"Ours"`, `"title":""`).Replace(ownBook)}.Write(c)
	var faults engine.Faults
	if !errors.As(err, &faults) || len(faults) != 2 || faults[0].Where != "title" || faults[1].Where != "limits[0].most" {
		t.Errorf("faults %v", err)
	}
}
