package view_test

import (
	"testing"

	"keelcard/web/app"
	"keelcard/web/markup"
	"keelcard/web/view"
)

// Whatever has happened, and however little of what was asked for has come
// yet, there is a page to draw and a way from the page before to it.
func TestEveryMomentCanBeDrawn(t *testing.T) {
	disk := &app.Memory{}
	r := watched(t, disk)
	r.Type("phone.initials", "MB")
	r.Do("demo.open")
	id := r.State.Open.Head.ID
	pages := []app.Page{{Name: "home"}, {Name: "call"}, {Name: "phone"}, {Name: "about"}, {Name: "take-in"}, {Name: "new"}, {Name: "results-link", Args: []string{"x"}}, {Name: "books"}, {Name: "backup"}, {Name: "book", Args: []string{"parts-youth"}}, {Name: "book", Args: []string{"none"}}}
	for _, p := range [][]string{
		{"contest"}, {"settings"}, {"class", "1"}, {"class", "3"}, {"class", "new"}, {"class", "77"}, {"people"}, {"person", "101"}, {"person", "9"},
		{"key", "1"}, {"key", "2", "4"}, {"key", "3"}, {"key", "9"}, {"keying"}, {"keying", "1"}, {"keying", "4"}, {"keying", "4", "138"}, {"keying", "1", "110"},
		{"keying", "3", "101"}, {"keying", "3", "101", "again"}, {"keying", "2", "999"}, {"keying", "88"}, {"questions"}, {"questions", "6", "1", "110"},
		{"history"}, {"history", "6", "1", "110", "log", "1", "0"}, {"log"}, {"log", "1", "110"}, {"log", "9", "7"}, {"history", "6", "1", "110"}, {"results"}, {"results", "teams"}, {"results", "classes"}, {"slip", "117"}, {"slip", "1"}, {"slips"}, {"share"}, {"hand-over"}, {"class-book", "1"}, {"class-book", "1", "beside", "carcass-federal", "wing-half"}, {"class-book", "3"}, {"class-book", "9"},
	} {
		pages = append(pages, app.Page{Name: p[0], Contest: id, Args: p[1:]})
	}
	for _, p := range pages {
		r.Visit(p.Hash())
	}
	for _, p := range pages {
		// the first page after a start: its contest is not read yet
		watched(t, disk).Visit(p.Hash())
		// the first page after the contest came: what was begun in it is not read yet
		fresh := watched(t, &app.Memory{})
		fresh.Do("demo.open")
		fresh.Visit(p.Hash())
	}
}

// watched is a phone whose page is drawn after every message.
func watched(t *testing.T, disk *app.Memory) *app.Runner {
	t.Helper()
	r, err := app.NewRunner(1, disk)
	if err != nil {
		t.Fatal(err)
	}
	last := view.Page(r.State)
	r.After = func(s *app.State) {
		next := view.Page(s)
		if next.Get("id") != "page" {
			t.Errorf("%s has no root", s.Page.Hash())
		}
		markup.Diff(last, next)
		last = next
	}
	return r
}
