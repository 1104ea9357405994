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
