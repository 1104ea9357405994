package app

import (
	"slices"
	"strings"

	"keelcard/engine/rulebook"
	"keelcard/web/words"
)

// Rest is the second part of the program, in which the pages are that are
// rarely opened. It arrives when the first page is drawn. Where the program is
// not split, as in tests, all is always here.
type Rest struct {
	Away   bool // it is not here yet
	Failed bool // it did not come when it was last asked for
	held   []heldMsg
}

// A heldMsg is a message that waits for the second part.
type heldMsg struct {
	name string // of its handler
	m    Msg
	page string // the address of the page that was shown
}

func restHandlers() handlers {
	return handlers{
		"rest-away":   func(s *State, m Msg) []Effect { s.Rest.Away = true; return nil },
		"rest-again":  func(s *State, m Msg) []Effect { s.Rest.Failed = false; return []Effect{LoadRest{}} },
		"rest-loaded": restLoaded,
		"rest-failed": restFailed,
	}
}

// Rare tells whether a page, or what its actions do, is in the second part of
// the program. An action belongs to what stands before its first dot, or to the page
// that stands behind, as in "enter.results" and "file.share". The functions are in files
// that web/serve/second.txt lists; tests hold both together.
func Rare(name string) bool {
	of, page, ok := strings.Cut(name, ".")
	if _, known := pages[page]; ok && (known || rarePage(page)) {
		return rarePage(page)
	}
	return rarePage(of)
}

func rarePage(name string) bool {
	switch name {
	case "key", "key-photo", "new", "settings", "class", "people", "person", "questions", "history", "log", "results", "results-link", "slip", "slips", "ruling",
		"about", "share", "hand-over", "show-code", "scan", "take-in", "demo", "books", "book", "class-book", "hens", "lots", "backup", "phones", "invite", "recovery", "seal":
		return true
	}
	return false
}

// Awaited tells whether the page that is shown waits for the second part: it is
// a rare one, or a call of what is no bird, whose drawing is there.
func (s *State) Awaited() bool {
	return s.Rest.Away && (Rare(s.Page.Name) || s.Page.Name == "call" && Drawing(s.CallBird().Bird().Book) != rulebook.DrawBird)
}

// run hands a message to the handler of a name, if there is one. What the
// second part does waits until that is here.
func (s *State) run(name string, m Msg) []Effect {
	h, ok := table()[name]
	if !ok {
		return nil
	}
	if s.Rest.Away && Rare(name) {
		return s.hold(name, m)
	}
	return h(s, m)
}

// hold keeps a message, and asks for the second part. The same message once
// more, from an impatient finger, counts once.
func (s *State) hold(name string, m Msg) []Effect {
	page := s.Page.Hash()
	again := slices.ContainsFunc(s.Rest.held, func(h heldMsg) bool {
		return h.name == name && h.page == page && slices.Equal(h.m.Args, m.Args) && h.m.Text == m.Text
	})
	if !again {
		s.Rest.held = append(s.Rest.held, heldMsg{name, m, page})
	}
	s.Rest.Failed = false
	return []Effect{LoadRest{}}
}

// restLoaded does what waited, but for what belongs to a page that was left
// meanwhile. A file is taken in all the same.
func restLoaded(s *State, m Msg) []Effect {
	waiting := s.Rest.held
	s.Rest = Rest{}
	effects := s.unsealed(m)
	for _, h := range waiting {
		if h.page == s.Page.Hash() || ofFile(h.name) {
			h.m.Now = m.Now
			effects = append(effects, s.run(h.name, h.m)...)
		}
	}
	return effects
}

// ofFile tells of a handler whether a file came to it, or did not.
func ofFile(name string) bool {
	return strings.HasPrefix(name, "file.") || strings.HasPrefix(name, "failed.")
}

// restFailed says so if anybody waits. Files keep waiting.
func restFailed(s *State, m Msg) []Effect {
	waiting := len(s.Rest.held) > 0
	s.Rest.Failed = true
	s.Rest.held = slices.DeleteFunc(s.Rest.held, func(h heldMsg) bool {
		return h.name != "enter."+s.Page.Name && !ofFile(h.name)
	})
	if waiting && !s.Awaited() {
		s.Notice = Notice{Tone: "caution", Text: words.T("core.rest-failed"), Fix: words.T("core.rest-failed-fix")}
	}
	return nil
}
