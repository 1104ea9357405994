package view

import (
	"slices"
	"strings"

	"keelcard/engine"
	"keelcard/engine/amount"
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
		return noClassBook(s, sentence(what), sentence(fix))
	}
	r := reading{s: s, book: b, base: here(s, "class-book", itoa(c.No)), at: s.Page.Pointed(), class: &c}
	r.resolve(c.Choices)
	if s.Page.Arg(1) == "beside" {
		return besidePage(&r, classBack(s))
	}
	first := parts.Stack(initials(s), r.asItStands(), faultList(s), r.held(), r.ways(), r.about(), r.setting(c), r.scale(), r.otherBooks())
	return r.page("class-book", classBack(s), first, m.Group())
}

// asItStands says what is keyed by the book already, and where it disagrees
// with the officials.
func (r *reading) asItStands() m.Part {
	c := *r.class
	n, diff := r.s.CardsIn(c.No), r.s.Regrade(c)
	key := r.s.Open.Contest.Key(c)
	begun := n > 0 || key.Missing() < len(key.Items)
	if key.Sealed {
		return parts.Notice(parts.Info, words.T("book.sealed"))
	}
	return m.Group(
		m.If(begun && n == 0, parts.Notice(parts.Caution, words.T("book.begun-key"))),
		m.If(n > 0, parts.Notice(parts.Caution, words.N("book.begun", n))),
		m.If(begun && len(diff) == 0, parts.Para(words.T("book.agrees"), "soft")),
		m.If(len(diff) > 0, parts.Notice(parts.Caution, words.N("class.regraded", len(diff)),
			m.El("ul", m.Each(diff, func(_ int, d app.Regraded) m.Part {
				return m.El("li", m.Text(words.T("class.regraded-item", d.Item, d.Key, d.Book)))
			})),
			parts.Button(words.T("class.regraded-do"), to(r.s, "key", itoa(c.No)), parts.ID("to-key"), parts.NoPrint))))
}

// held lists the lines that this contest decided otherwise, each with who and
// why, and the way back.
func (r *reading) held() m.Part {
	v, base, ok := r.s.Variation(*r.class)
	if !ok {
		return m.Group(pieceButton(r.s), undoButton(r.s))
	}
	was := &reading{s: r.s, book: base}
	was.resolve(r.class.Choices)
	return m.El("section", m.ID("held"), m.Class("card"), m.Attr("aria-labelledby", "held-h"),
		m.El("h2", m.ID("held-h"), m.Attr("tabindex", "-1"), m.Text(words.N("book.held-lines", len(v.Changes)))),
		parts.Para(words.T("book.varies", base.Title, base.Edition), "soft"),
		m.Each(v.Changes, func(i int, ch rulebook.Change) m.Part { return r.change(was, i, ch) }),
		m.If(r.shares() != "", parts.Para(words.T("book.shared", r.shares()))),
		pieceButton(r.s), undoButton(r.s))
}

func (r *reading) change(was *reading, i int, ch rulebook.Change) m.Node {
	f := rulebook.Factor{}
	if in := factorIn(r.book, ch.Factor); in != nil {
		f = *in
	}
	name := words.T("verdict.at", app.Capital(f.Name), label(rulebook.Limit{Grade: ch.Grade, Over: ch.Over, To: ch.To}))
	return m.El("div", m.ID("held-"+itoa(i)), m.Class("entry"),
		m.El("h3", m.Text(name)),
		parts.Para(words.T("book.now", r.says(f, ch.Line).text), "strong"),
		parts.Para(words.T("book.was", was.says(f, ch.Line).text)),
		parts.Para(words.T("verdict.local-rule", words.T("book.why-who", ch.Why, ch.Who))),
		parts.Button(words.T("book.line-back"), app.Action("class-book.back", itoa(i)), parts.NoPrint, parts.Says(words.T("book.line-back-says", name))))
}

// shares names the other classes that go by the same book.
func (r *reading) shares() string {
	var names []string
	for _, c := range r.s.Open.Contest.Classes {
		if c.Book == r.class.Book && c.No != r.class.No {
			names = append(names, c.Name)
		}
	}
	return strings.Join(names, ", ")
}

// lineButton opens a limit, to decide it otherwise in this contest.
func (r *reading) lineButton(l numbered, f rulebook.Factor) m.Part {
	return parts.Button(words.T("book.line"), app.Action("class-book.line", itoa(l.no+1)), parts.NoPrint,
		parts.Says(words.T("book.line-says", f.Name, label(l.Limit))), parts.Pressed(r.s.Shelf.Line.No == l.no+1))
}

// lineForm asks for another limit, with who decided it and why.
func (r *reading) lineForm(f rulebook.Factor, l numbered) m.Node {
	form := r.s.Shelf.Line
	wrong := func(name string) string {
		for _, e := range form.Faults {
			if e.Where == name {
				return sentence(e.What) + " " + sentence(e.Fix)
			}
		}
		return ""
	}
	side, exact := "most", f.Dim() == amount.DimCount
	if l.Least != "" {
		side = "least"
	}
	allowed := "yes"
	if !form.Allowed {
		allowed = "no"
	}
	return m.El("form", m.ID("line"), m.Class("stack", "no-print", "line-form"), m.Do("class-book.hold"), m.Flag("novalidate"), m.Attr("aria-labelledby", "line-h"),
		m.El("h4", m.ID("line-h"), m.Attr("tabindex", "-1"), m.Text(words.T("book.line-title", label(l.Limit), r.allowText(f, l.Limit)))),
		parts.Field(parts.Input{Name: "bound", Label: words.T("book.bound-" + side), Hint: words.T("book.hint-" + f.Dim().String()), Value: form.Bound, Error: wrong("bound"), Short: true}),
		m.If(!exact, parts.Field(parts.Input{Name: "allowed", Label: words.T("book.itself"), Value: allowed,
			Options: []parts.Option{{Value: "yes", Label: words.T("book.itself-yes-" + side)}, {Value: "no", Label: words.T("book.itself-no-" + side)}}})),
		parts.Field(parts.Input{Name: "why", Label: words.T("book.why"), Hint: words.T("book.why-hint"), Value: form.Why, Error: wrong("why"), Lines: 2}),
		parts.Field(parts.Input{Name: "who", Label: words.T("book.who"), Value: form.Who, Error: wrong("who"), Short: true}),
		m.Each(form.Faults, func(_ int, e *engine.Error) m.Part {
			return m.If(!slices.Contains([]string{"bound", "why", "who"}, e.Where), parts.Notice(parts.Bad, app.Capital(e.Error())))
		}),
		parts.Line(submit("hold", words.T("book.hold"), "primary"), parts.Button(words.T("book.leave"), "class-book.leave", parts.Quiet)))
}

// otherBooks offers the class another book: the contest's, this phone's, one
// from a file.
func (r *reading) otherBooks() m.Node {
	use := func(b *rulebook.Book, sub, do string) m.Part {
		return m.If(b.IsFaults() == r.book.IsFaults() && b.ID != r.class.Book,
			parts.Button(words.T("book.use", b.Title), do, parts.Wide, parts.Sub(words.T("verdict.and", sub, words.T("verdict.edition", b.Edition)))))
	}
	in := map[string]bool{}
	var offers []m.Part
	for _, h := range r.s.Open.Contest.Books() {
		if h.Err == nil {
			in[h.ID] = true
			offers = append(offers, use(h.Book, words.T("book.in-contest"), app.Action("class-book.use", h.ID)))
		}
	}
	for _, b := range r.s.Shelf.Own {
		if !in[b.ID] {
			offers = append(offers, use(b, words.T("book.on-phone"), app.Action("class-book.bring", b.ID)))
		}
	}
	return parts.Card("others", words.T("book.others"),
		parts.Para(words.T("book.others-text"), "soft"),
		m.Group(offers...),
		parts.Button(words.T("book.bring-here"), "class-book.pick", parts.Wide, parts.NoPrint))
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
