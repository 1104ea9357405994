package view_test

import (
	"strings"
	"testing"

	"keelcard/web/app"
	"keelcard/web/markup"
	"keelcard/web/view"
)

// Every line of the log opens the history of what it is about, and from there
// the way back is to the log as it was filtered.
func TestTheLogOpensHistories(t *testing.T) {
	s, page := sample(t, "log/a day")
	whats := []string{"Ruling", "Key locked", "Card changed after it was keyed, after the key was locked", "Settled between different values", "Class changed, after the key was locked", "Card changed after it was keyed,"}
	text := textOf(page)
	for _, what := range whats {
		if !strings.Contains(text, what) {
			t.Errorf("the log of a day has no %q: %q", what, text)
		}
	}
	lines := 0
	byID(page, "log-lines").Walk(func(e markup.Node) {
		if strings.HasPrefix(e.Get("data-do"), "open:") {
			lines++
			if !strings.Contains(e.Get("data-do"), "/history/") {
				t.Errorf("a line opens %q", e.Get("data-do"))
			}
		}
	})
	if want := len(s.ProtestLog(0, 0)); lines != want || lines < len(whats) {
		t.Errorf("%d lines open something, want %d", lines, want)
	}
	_, page = sample(t, "history/opened from the log")
	back := ""
	byID(page, "history").Walk(func(e markup.Node) {
		if back == "" {
			back = e.Get("data-do")
		}
	})
	if m, err := app.Parse(back); err != nil || !strings.HasSuffix(m.Arg(0), "/log/1/12") {
		t.Errorf("the way back is %q (%v)", back, err)
	}
}

// On paper the log says which contest and which part of it, when it was printed,
// and has a line to sign on; what is for the screen alone is not there.
func TestThePrintedLogSaysWhatItIs(t *testing.T) {
	_, page := sample(t, "log/one contestant")
	paper := ""
	page.Walk(func(e markup.Node) {
		if strings.Contains(e.Get("class"), "print-only") {
			paper += textOf(e) + "\n"
		}
	})
	for _, want := range []string{"Broiler carcasses only", "Contestant 12 only", "Printed 2026-", "Chief official"} {
		if !strings.Contains(paper, want) {
			t.Errorf("on paper there is no %q: %q", want, paper)
		}
	}
	if class := byID(page, "log-filter").Get("class"); !strings.Contains(class, "no-print") {
		t.Errorf("the filter is printed: %q", class)
	}
}

// Who is asked about a person or a team finds what was written about them.
func TestPeopleLeadToTheirHistory(t *testing.T) {
	for _, want := range []string{"/history/3/", "/history/4/"} {
		found := false
		for _, s := range gallery() {
			if s.State.Page.Name == "person" || s.State.Page.Name == "people" {
				view.Page(s.State).Walk(func(e markup.Node) { found = found || strings.Contains(e.Get("data-do"), want) })
			}
		}
		if !found {
			t.Errorf("no page of people leads to %s", want)
		}
	}
}
