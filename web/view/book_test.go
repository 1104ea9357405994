package view

import (
	"slices"
	"strings"
	"testing"

	"keelcard/engine/rulebook"
	"keelcard/web/app"
	"keelcard/web/markup"
)

// bookAt is a page of a phone on which nothing happened, after some taps.
func bookAt(t *testing.T, hash string, taps ...string) *app.State {
	t.Helper()
	r, err := app.NewRunner(1, &app.Memory{})
	if err != nil {
		t.Fatal(err)
	}
	r.Visit(hash)
	for i := 0; i < len(taps); i += 2 {
		r.Type(taps[i], taps[i+1])
	}
	return r.State
}

// idsOf lists the ids on a page that begin with prefix.
func idsOf(s *app.State, prefix string) []string {
	var out []string
	Page(s).Walk(func(n markup.Node) {
		if id, ok := strings.CutPrefix(n.Get("id"), prefix); ok {
			out = append(out, id)
		}
	})
	return out
}

// Everything that a book says is on its page: each grade, factor, limit,
// choice, fault, note and source.
func TestAWholeBookIsOnItsPage(t *testing.T) {
	for _, b := range rulebook.Builtin() {
		s := bookAt(t, "#/book/"+b.ID)
		text := textOf(s)
		wants := []string{b.Title, b.Edition, b.About}
		for _, g := range b.Scale {
			wants = append(wants, g.Meaning)
		}
		for _, c := range b.Choices {
			wants = append(wants, c.Title, c.Why)
		}
		for _, n := range b.Notes {
			wants = append(wants, n.Text)
		}
		for _, d := range b.Defects {
			wants = append(wants, d.Meaning, d.Caution)
		}
		for _, src := range b.Sources {
			wants = append(wants, src.Title)
		}
		for _, want := range wants {
			if !strings.Contains(text, want) {
				t.Errorf("%s: not on its page: %q", b.ID, want)
			}
		}
		if got := len(idsOf(s, "factor-")); got != len(b.Factors) {
			t.Errorf("%s: %d factors on its page, want %d", b.ID, got, len(b.Factors))
		}
		if got := len(idsOf(s, "bound-")); got != len(b.Limits) {
			t.Errorf("%s: %d limits on its page, want %d", b.ID, got, len(b.Limits))
		}
	}
}

// The bare spot on breast or leg of a bird over 2 lb up to 6 lb: the table of
// the federal standard says 1/4 in, which is 6.35 mm.
func TestALimitIsToldInPlainWords(t *testing.T) {
	text := textOf(bookAt(t, "#/book/carcass-youth/at/spot-breast-legs"))
	for _, want := range []string{"Up to and with 1/4 in (6.35 mm)", "Over 2 lb, up to and with 6 lb", "The limit itself is allowed by the choice", "read there"} {
		if !strings.Contains(text, want) {
			t.Errorf("not told: %q", want)
		}
	}
	depth := textOf(bookAt(t, "#/book/carcass-youth/at/meat-depth"))
	if !strings.Contains(depth, "Not in force here. It would be by the choice “How deep a B may be cut”") {
		t.Errorf("the other side of a choice is not told apart: %s", depth)
	}
}

func TestABookIsSearched(t *testing.T) {
	s := bookAt(t, "#/book/carcass-youth", "book.find", "  TAIL wider ")
	if got, want := idsOf(s, "factor-"), "tail-width"; !slices.Contains(got, want) || len(got) > 4 {
		t.Errorf("factors %v, want %s and little else", got, want)
	}
	if text := textOf(s); !strings.Contains(text, "place") {
		t.Errorf("does not say how many: %s", text)
	}
	none := textOf(bookAt(t, "#/book/carcass-youth", "book.find", "feathers of gold"))
	if !strings.Contains(none, "0 places") || !strings.Contains(none, "“feathers of gold”") {
		t.Errorf("nothing found: %s", none)
	}
}

// Two books that are alike but for one limit: the page counts one line that
// differs and shows both amounts beside each other.
func TestTwoBooksBesideEachOther(t *testing.T) {
	published, _ := rulebook.ByID("carcass-youth")
	own, err := rulebook.Decode(published.Encode())
	if err != nil {
		t.Fatal(err)
	}
	own.ID, own.Base, own.Title = "barn", "carcass-youth", "Barn rules"
	i := slices.IndexFunc(own.Limits, func(l rulebook.Limit) bool { return l.Factor == "disjoints" && l.Grade == "A" })
	own.Limits[i].Most = "2"
	r, err := app.NewRunner(1, &app.Memory{})
	if err != nil {
		t.Fatal(err)
	}
	r.Visit("#/books")
	r.Send(app.Msg{Do: "file", Args: []string{"book", "barn.txt"}, Bytes: own.Encode()})
	r.Visit("#/book/carcass-youth/beside/barn")
	text := textOf(r.State)
	for _, want := range []string{"Youth book beside Barn rules", "1 differ", "0 only in Barn rules", "At most 1", "At most 2"} {
		if !strings.Contains(text, want) {
			t.Errorf("not told: %q", want)
		}
	}
	if got := idsOf(r.State, "factor-"); !slices.Equal(got, []string{"disjoints"}) {
		t.Errorf("factors %v, want disjoints alone", got)
	}
	if want := itoa(len(own.Limits)-1) + " the same"; !strings.Contains(text, want) {
		t.Errorf("not told: %q", want)
	}
	r.Visit("#/book/carcass-youth/beside/carcass-youth")
	if text := textOf(r.State); !strings.Contains(text, "The two books decide everything alike.") {
		t.Errorf("a book beside itself: %s", text)
	}
}

// From a verdict one tap leads to the line that set it, in its own book and
// beside the other.
func TestAVerdictLeadsToItsLines(t *testing.T) {
	s := sample(t, galleryCall(), "call/why")
	got := does(s, "book.open:")
	want := []string{"book.open:#/book/carcass-youth/beside/carcass-federal/spot-breast-legs", "book.open:#/book/carcass-youth/at/spot-breast-legs"}
	if !slices.Equal(got, want) {
		t.Errorf("leads to %v, want %v", got, want)
	}
	for _, do := range got {
		msg, err := app.Parse(do)
		if err != nil {
			t.Fatal(err)
		}
		page := bookAt(t, msg.Arg(0))
		if ids := idsOf(page, "factor-"); !slices.Equal(ids, []string{"spot-breast-legs"}) {
			t.Errorf("%s shows %v", do, ids)
		}
	}
	if got := does(sample(t, galleryCall(), "call/federal standard"), "book.open:"); len(got) != 2 || !strings.Contains(got[0], "carcass-federal/beside/carcass-youth") {
		t.Errorf("from the federal standard: %v", got)
	}
}

// A local rule is told with who and why: in the verdict, on the page of the
// class's book beside what the book itself says, and under the limit.
func TestALocalRuleIsTold(t *testing.T) {
	all := galleryClassBook()
	const rule = "Local rule: Small birds this year, agreed before the start (WR)"
	if text := textOf(sample(t, all, "key/by a local rule")); !strings.Contains(text, rule) {
		t.Errorf("the verdict does not tell it: %s", text)
	}
	text := textOf(sample(t, all, "class-book/a line held otherwise"))
	for _, want := range []string{rule, "Here: Up to and with 3/8 in (9.53 mm)", "In the book: Up to and with 1/4 in (6.35 mm)", "A, over 2 to 6 lb: " + rule, "No official answer disagrees"} {
		if !strings.Contains(text, want) {
			t.Errorf("the book does not tell %q", want)
		}
	}
	before := textOf(sample(t, all, "class-book/as published"))
	if want := "Number 1: the key says A, the book B"; !strings.Contains(before, want) {
		t.Errorf("before, the page does not tell %q", want)
	}
}

// Every fault of a file is on the page with its place and what to do.
func TestEveryFaultOfAFileIsOnThePage(t *testing.T) {
	s := sample(t, galleryBook(), "books/a file with faults")
	text := textOf(s)
	if len(s.Shelf.Faults) < 3 {
		t.Fatalf("only %d faults", len(s.Shelf.Faults))
	}
	for _, f := range s.Shelf.Faults {
		for _, want := range []string{f.Where, sentence(f.What), sentence(f.Fix)} {
			if !strings.Contains(text, want) {
				t.Errorf("not told: %q", want)
			}
		}
	}
}
