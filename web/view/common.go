package view

import (
	"fmt"
	"strings"
	"time"

	"keelcard/engine/contest"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// to is the action that opens another page of the open contest.
func to(s *app.State, name string, args ...string) string {
	return app.Action("open", here(s, name, args...))
}

// toPage is the action that opens a page outside a contest.
func toPage(name string, args ...string) string {
	return app.Action("open", link(name, "", args...))
}

// top is the head of a page of the open contest, with the way back to another
// of its pages and the line that says where the records are.
func top(s *app.State, title, back string) m.Part {
	return m.Group(
		parts.TopBar(title, s.Open.Head.Name, words.T("common.back"), to(s, back)),
		parts.Where(whereText(s), to(s, "hand-over")))
}

// whereText says in a few words where the records of the open contest are.
func whereText(s *app.State) string {
	w := s.Where()
	switch {
	case s.Disk.Fault.Text != "":
		return words.T("common.where-unsaved")
	case !s.Kept():
		return words.T("common.where-writing")
	case w.Own == 0:
		return words.T("common.where-nothing")
	case w.Alone == 0:
		return words.N("common.where-safe", w.Phones)
	case w.Given > 0 && w.Phones == 0:
		return words.T("common.where-given", ago(s.Now-w.Given))
	case w.Phones > 0:
		return words.N("common.where-alone", w.Alone)
	}
	return words.N("common.where-only", w.Own)
}

// ago says how long ago something was, in the largest unit that fits.
func ago(seconds int64) string {
	switch {
	case seconds < 90:
		return words.T("common.just-now")
	case seconds < 90*60:
		return words.N("common.minutes-ago", int((seconds+30)/60))
	case seconds < 36*3600:
		return words.N("common.hours-ago", int((seconds+1800)/3600))
	}
	return words.N("common.days-ago", int((seconds+12*3600)/(24*3600)))
}

// stamp writes a moment by the world clock, for logs that are compared between
// phones of different time zones.
func stamp(unix int64) string {
	return time.Unix(unix, 0).UTC().Format("2006-01-02 15:04") + " UTC"
}

// initials asks who writes on this phone, where nobody is named yet. Answered,
// it stays until the page is left: what comes below must not move away under
// the finger whose tap ended the typing.
func initials(s *app.State) m.Part {
	return m.If(s.Phone.Initials == "" || s.Signing, parts.Card("who", words.T("common.initials-title"), initialsField(s)))
}

func initialsField(s *app.State) m.Node {
	return parts.Field(parts.Input{Name: "initials", Label: words.T("common.initials"), Hint: words.T("common.initials-hint"), Value: s.Phone.Initials, Do: "phone.initials", Short: true})
}

// caution is the warning that goes with what a class holds.
func caution(c contest.Class) m.Part {
	what := handled(c)
	return m.If(what != "", parts.Notice(parts.Caution, words.T("common.caution-"+what)))
}

// handled tells what has to be taken care with in a class: a "hen", a "carcass",
// an "egg", or nothing.
func handled(c contest.Class) string {
	drawing := rulebook.DrawBird
	if b, err := c.RuleBook(); err == nil {
		drawing = app.Drawing(b)
	}
	switch {
	case c.Kind == contest.Placing:
		return "hen"
	case c.Kind == contest.Awarded, c.Book == "" && !strings.HasPrefix(c.List, "parts"):
		return ""
	}
	return careFor(drawing)
}

// careFor is what has to be taken care with in what is on a drawing.
func careFor(drawing string) string {
	switch drawing {
	case rulebook.DrawShell, rulebook.DrawLight, rulebook.DrawOpened, rulebook.DrawCarton:
		return "egg"
	}
	return "carcass"
}

func itoa[T ~int | ~uint32 | ~int64](n T) string { return fmt.Sprint(n) }
