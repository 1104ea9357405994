package view

import (
	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// classBook is the book of a class with its choices as they are made in this
// contest.
func classBook(s *app.State) m.Node {
	c, ok := s.Open.Contest.Class(s.Page.Number(0))
	if !ok || c.Book == "" {
		return noClassBook(s, words.T("book.no-class"), words.T("book.no-class-text"))
	}
	b, err := c.RuleBook()
	if err != nil {
		what, fix := err.Error(), ""
		if e, ok := err.(*engine.Error); ok {
			what, fix = e.What, e.Fix
		}
		return noClassBook(s, app.Capital(what)+".", app.Capital(fix)+".")
	}
	r := reading{s: s, book: b, base: here(s, "class-book", itoa(c.No)), at: s.Page.Pointed(), class: &c}
	r.resolve(c.Choices)
	if s.Page.Arg(1) == "beside" {
		return besidePage(&r, classBack(s))
	}
	return r.page("class-book", classBack(s), parts.Stack(initials(s), classWarning(s, c), r.ways(), r.about(), r.setting(c), r.scale()), m.Group())
}

// noClassBook says why there is no book to read.
func noClassBook(s *app.State, what, fix string) m.Node {
	return m.El("div", m.ID("class-book"),
		parts.TopBar(words.T("book.none"), s.Open.Head.Name, words.T("common.back"), classBack(s)),
		parts.Main(parts.Empty(what, m.Group(parts.Para(fix), parts.Button(words.T("key.set-up"), to(s, "class", s.Page.Arg(0)), parts.Primary)))))
}

// classBack is the way back from the book of a class: to the verdict that led
// to it, else to the class.
func classBack(s *app.State) string {
	if back := s.Shelf.Back; back.Contest == s.Page.Contest && back.Name == "key" {
		return app.Action("open", back.Hash())
	}
	return to(s, "class", s.Page.Arg(0))
}

// setting says what the class is of, as far as the book has to know.
func (r *reading) setting(c contest.Class) m.Part {
	text := nameOf(r.book.Kinds, c.Bird, func(k rulebook.Bird) (string, string) { return k.ID, k.Name })
	if c.Weight > 0 {
		text = words.T("book.of-weight", text, c.Weight)
	}
	return m.If(text != "", parts.Para(words.T("book.class-of", c.Name, text)))
}
