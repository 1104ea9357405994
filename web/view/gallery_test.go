package view_test

import (
	"strings"
	"sync"
	"testing"

	"keelcard/web/app"
	"keelcard/web/markup"
	"keelcard/web/view"
	"keelcard/web/words"
)

// Every view in every state is a whole page: ids are unique and what is named
// by one is there, every action does something, whatever can be tapped has an
// id and says what it is, every sentence was found and filled in, and nothing
// brings its own style or goes to another site.
func TestEveryViewIsWhole(t *testing.T) {
	topics := map[string]int{}
	for _, s := range gallery() {
		topic, _, _ := strings.Cut(s.Name, "/")
		topics[topic]++
		t.Run(s.Name, func(t *testing.T) { whole(t, view.Page(s.State)) })
	}
	for _, topic := range []string{"home", "phone", "about", "overview", "call", "key", "keying", "questions", "history", "log", "results", "slip", "share", "results-link", "ruling", "hand-over", "show-code", "scan", "take-in", "new", "settings", "class", "people", "person", "books", "book", "class-book", "hens", "lots", "backup", "phones", "invite", "recovery"} {
		if topics[topic] == 0 {
			t.Errorf("no state of %q is in the gallery", topic)
		}
	}
}

func whole(t *testing.T, page markup.Node) {
	ids := map[string]bool{}
	headings := 0
	page.Walk(func(n markup.Node) {
		if id := n.Get("id"); id != "" {
			if ids[id] {
				t.Errorf("two elements have the id %q", id)
			}
			ids[id] = true
		}
		if n.Tag == "h1" {
			headings++
		}
		for _, a := range n.Attrs {
			if a.Name == "style" || strings.HasPrefix(a.Name, "on") {
				t.Errorf("<%s> has %s, which the content policy forbids", n.Tag, a.Name)
			}
			if (a.Name == "href" || a.Name == "src") && !strings.HasPrefix(a.Value, "#") {
				t.Errorf("<%s> leads to %q", n.Tag, a.Value)
			}
		}
		action(t, n)
		if n.Tag == "" && (words.Has(n.Text) || strings.Contains(n.Text, "{0}") || strings.Contains(n.Text, "{1}")) {
			t.Errorf("a sentence is not filled in: %q", n.Text)
		}
	})
	if headings != 1 {
		t.Errorf("%d first headings", headings)
	}
	page.Walk(func(n markup.Node) {
		for _, name := range []string{"for", "aria-labelledby", "aria-describedby", "aria-controls"} {
			for _, id := range strings.Fields(n.Get(name)) {
				if !ids[id] {
					t.Errorf("%s names %q, which is not there", name, id)
				}
			}
		}
	})
}

func action(t *testing.T, n markup.Node) {
	do := n.Get("data-do")
	if do == "" {
		return
	}
	msg, err := app.Parse(do)
	if err != nil {
		t.Errorf("%q: %v", do, err)
	} else if !app.Handles(msg.Do) {
		t.Errorf("nothing answers to %q", do)
	}
	if n.Get("id") == "" {
		t.Errorf("what does %q has no id", do)
	}
	if (n.Tag == "button" || n.Get("role") == "button") && n.Get("aria-label") == "" && textOf(n) == "" {
		t.Errorf("what does %q says nothing", do)
	}
}

// gallery is made once: making it plays through dozens of journeys.
var gallery = sync.OnceValue(view.Gallery)
