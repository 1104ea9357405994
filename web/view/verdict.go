package view

import (
	"slices"
	"strings"

	"keelcard/engine/amount"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// verdictBar is the verdict in one line, always in sight: a tap opens why.
func (b bench) verdictBar() m.Node {
	open := "false"
	if b.finder.Face() == app.FaceWhy {
		open = "true"
	}
	because := app.Because(b.bird, b.judged)
	return m.El("div", m.Class("verdict-box"), m.ID("verdict"),
		m.El("button", m.ID("verdict-bar"), m.Class("verdict-bar"), m.Attr("type", "button"), m.Do(b.do("why")), m.Attr("aria-expanded", open), m.Attr("aria-controls", "why"),
			m.El("span", m.Class("verdict-grade"), b.badge(), m.El("span", m.Class("verdict-why"), m.Text(words.T("verdict.why-short")))),
			m.El("span", m.Class("verdict-text"), m.Text(because))),
		m.El("p", m.Class("visually-hidden"), m.Attr("role", "status"), m.Text(app.Sentence(b.bird, b.judged))))
}

func (b bench) badge(classes ...string) m.Node {
	if b.judged.Err != nil {
		return parts.GradeBadge("?", words.T("verdict.none"), classes...)
	}
	if b.bird.Book.IsFaults() {
		n := len(grading.FaultsOf(b.bird.Book, b.judged.Verdict))
		return parts.GradeBadge(itoa(n), words.N("verdict.faults", n), classes...)
	}
	return parts.GradeBadge(b.judged.Grade, b.gradeName(b.judged.Grade), classes...)
}

func (b bench) gradeName(id string) string {
	for _, g := range b.bird.Book.Scale {
		if g.ID == id {
			return g.Name
		}
	}
	return id
}

// why opens the verdict: what set it, how far it is from the next grade, what
// lies on a limit, where sources differ, and what is not known. With choose set
// an option can be taken for this bird at one tap.
func (b bench) why(choose bool, more ...m.Part) m.Node {
	v := b.judged
	if v.Err != nil {
		return face("why", words.T("verdict.none"), parts.Notice(parts.Bad, app.Because(b.bird, v)), m.Group(more...))
	}
	var meaning string
	for _, g := range b.bird.Book.Scale {
		if g.ID == v.Grade {
			meaning = g.Meaning
		}
	}
	heading, set := words.T("verdict.why", app.GradeText(b.bird.Book, v.Grade)), words.T("verdict.set")
	if b.bird.Book.IsFaults() {
		heading, set = words.T("verdict.which"), words.T("verdict.there")
	}
	return face("why", heading,
		m.If(meaning != "" && !b.bird.Book.IsFaults(), parts.Para(words.T("verdict.means", b.gradeName(v.Grade), meaning), "soft")),
		m.If(v.Certain != "", parts.Notice(parts.Caution, words.T("verdict.certain", app.GradeText(b.bird.Book, v.Certain)))),
		m.If(b.bird.Book.IsFaults() && len(v.Set) == 0, parts.Para(app.Because(b.bird, v))),
		b.reasons("set", set, v.Set),
		b.gaps(),
		b.distances(),
		b.reasons("touched", words.T("verdict.touched"), v.Touched),
		b.inBooks(),
		b.differences(choose),
		b.chosen(choose),
		b.aside(),
		m.Group(more...))
}

// section is a part of the reasons, left out when it has no lines.
func section(id, heading string, lines []m.Part) m.Part {
	if len(lines) == 0 {
		return m.Group()
	}
	return m.El("section", m.ID(id), m.Class("reasons"), m.Attr("aria-labelledby", id+"-h"),
		m.El("h3", m.ID(id+"-h"), m.Text(heading)),
		m.El("ul", m.Each(lines, func(_ int, line m.Part) m.Part { return m.El("li", line) })))
}

func (b bench) reasons(id, heading string, reasons []grading.Reason) m.Part {
	lines := make([]m.Part, len(reasons))
	for i, r := range reasons {
		lines[i] = m.Group(parts.Para(app.ReasonText(b.bird, r)), m.If(both(r.Amount) != "", parts.Para(both(r.Amount), "soft")), b.limitSource(r.Limit))
	}
	return section(id, heading, lines)
}

// both writes a length in both units, "" for other amounts.
func both(a amount.Amount) string {
	if a.Dim != amount.DimLength {
		return ""
	}
	return a.String()
}

// limitSource says where a limit comes from and how well that is known.
func (b bench) limitSource(l rulebook.Limit) m.Part {
	if l.Confidence == rulebook.LocalRule {
		return parts.Para(words.T("verdict.local-rule", l.Note), "strong")
	}
	return m.Group(m.If(l.Note != "", parts.Para(l.Note, "soft")), b.source(l.Source, l.Confidence))
}

func (b bench) source(id, confidence string) m.Node {
	title := id
	for _, s := range b.bird.Book.Sources {
		if s.ID == id {
			title = s.Title
			if s.Date != "" {
				title = words.T("verdict.and", title, s.Date)
			}
		}
	}
	return parts.Source(words.T("verdict.source", title, confidenceText(confidence)))
}

func confidenceText(confidence string) string {
	switch confidence {
	case rulebook.Read:
		return words.T("verdict.read")
	case rulebook.CommonPractice:
		return words.T("verdict.practice")
	case rulebook.LocalRule:
		return words.T("verdict.local")
	}
	return words.T("verdict.memory")
}

// distances say how much more or less would change the grade.
func (b bench) distances() m.Part {
	lines := make([]m.Part, len(b.judged.Near))
	for i, d := range b.judged.Near {
		lines[i] = m.Group(parts.Para(b.distance(d)), parts.Para(b.distanceOf(d), "soft"))
	}
	heading := words.T("verdict.near")
	better := 0
	for _, d := range b.judged.Near {
		if d.Better {
			better++
		}
	}
	if better > 1 {
		heading = words.T("verdict.near-each")
	}
	return section("near", heading, lines)
}

// distance says by how much a grade is missed, or by how much it is kept.
func (b bench) distance(d grading.Distance) string {
	grade := app.GradeText(b.bird.Book, d.Grade)
	by := app.AmountText(d.By)
	if text := both(d.By); text != "" {
		by = text
	}
	// At an inclusive limit anything beyond it is over; below an exclusive one
	// it takes less than the limit.
	over := !d.Better && d.Limit.Inclusive || d.Better && !d.Limit.Inclusive
	if d.By.Dim == amount.DimCount {
		over = false
	}
	side := "worse" // by more of it; where a grade asks for a least, more is better
	if d.Better != (d.Limit.Least != "") {
		side = "better"
	}
	switch {
	case over && d.By.IsZero():
		return words.T("verdict.any-"+side, grade)
	case over:
		return words.T("verdict.over-"+side, by, grade)
	case d.By.Dim == amount.DimCount:
		return words.T("verdict.count-"+side, by, grade)
	}
	return words.T("verdict.by-"+side, by, grade)
}

// distanceOf says what the distance is measured on.
func (b bench) distanceOf(d grading.Distance) string {
	name := d.FactorName
	if d.PartName != "" && slices.ContainsFunc(b.bird.Book.Parts, func(p rulebook.Part) bool { return p.ID == d.Part }) {
		name = words.T("verdict.at", d.PartName, name)
	}
	return words.T("verdict.and", app.Capital(name), app.LimitText(b.bird.Book, d.Limit, d.Amount.Dim))
}

// inBooks leads to the lines of the book that the verdict hangs on, and to
// what another book has in their place.
func (b bench) inBooks() m.Part {
	var factors []string
	for _, r := range append(slices.Clip(b.judged.Set), b.judged.Touched...) {
		if len(factors) < 5 && !slices.Contains(factors, r.Factor) {
			factors = append(factors, r.Factor)
		}
	}
	if len(factors) == 0 || b.book == "" {
		return m.Group()
	}
	lines := strings.Join(factors, "+")
	beside := m.Part(m.Group())
	if other, ok := rulebook.ByID(app.Counterpart(b.bird.Book)); ok {
		beside = parts.Button(words.T("verdict.other-book", bookName(other)), app.Action("book.open", b.book+"/beside/"+other.ID+"/"+lines), parts.ID("other-book"))
	}
	return parts.Stack(beside,
		parts.Button(words.T("verdict.read-book"), app.Action("book.open", b.book+"/at/"+lines), parts.ID("read-book"), parts.Quiet))
}

// gaps say what was not measured and what was taken instead.
func (b bench) gaps() m.Part {
	var lines []m.Part
	for i, g := range b.judged.Unmeasured {
		f, needs := b.bird.Findings[g.Finding], g.Needs
		switch {
		case g.NoValue:
			needs = "none"
		case needs == rulebook.MeasureShare && app.Drawing(b.bird.Book) == rulebook.DrawShell:
			needs = "share-shell"
		}
		same := func(o grading.Gap) bool { return o.Finding == g.Finding && o.Needs == g.Needs }
		if slices.ContainsFunc(b.judged.Unmeasured[:i], same) { // one measure answers both
			continue
		}
		lines = append(lines, m.Group(
			parts.Para(words.T("verdict.gap-"+needs, app.FindingText(b.bird.Book, f))),
			m.Each(b.judged.Unmeasured[i:], func(_ int, o grading.Gap) m.Part {
				return m.If(same(o), parts.Para(words.T("verdict.assumed", o.Assumed), "soft"))
			}),
			m.If(!b.closed, parts.Button(words.T("verdict.tell"), b.do("finding", itoa(g.Finding+1)), parts.ID("tell-"+itoa(g.Finding)+"-"+g.Factor)))))
	}
	return section("gaps", words.T("verdict.gaps"), lines)
}

// differences are the readings of the book that would give another grade.
func (b bench) differences(choose bool) m.Part {
	var lines []m.Part
	for _, d := range b.judged.Differ {
		c, o := b.option(d.Choice, d.Option)
		var gives m.Part = parts.Para(words.T("verdict.refused", d.Refused), "soft")
		if d.Grade != "" {
			gives = m.El("div", m.Class("row"), parts.GradeBadge(d.Grade, b.gradeName(d.Grade)), m.El("span", m.Class("grow"), m.Text(words.T("verdict.gives", o.Title, app.GradeText(b.bird.Book, d.Grade)))))
		}
		var set m.Part = m.Group()
		if len(d.Set) > 0 {
			set = parts.Para(app.ReasonText(b.bird, d.Set[0]), "soft")
		}
		lines = append(lines, m.Group(
			parts.Para(c.Title, "strong"), gives, set, b.source(o.Source, o.Confidence),
			m.If(choose && d.Grade != "", parts.Button(words.T("verdict.use"), b.do("option", d.Choice, d.Option), parts.Says(words.T("verdict.use-says", c.Title, o.Title)))),
			parts.Why("differ-"+d.Choice+"-"+d.Option, words.T("verdict.differ-why"), nil, parts.Para(c.Why))))
	}
	return section("differ", words.T("verdict.differ"), lines)
}

func (b bench) option(choice, option string) (rulebook.Choice, rulebook.Option) {
	for _, c := range b.bird.Book.Choices {
		if c.ID != choice {
			continue
		}
		for _, o := range c.Options {
			if o.ID == option {
				return c, o
			}
		}
		return c, rulebook.Option{Title: option}
	}
	return rulebook.Choice{Title: choice}, rulebook.Option{Title: option}
}

// chosen are the readings that were taken in place of the book's own.
func (b bench) chosen(choose bool) m.Part {
	var lines []m.Part
	for _, c := range b.bird.Book.Choices {
		taken := b.bird.Setting.Choices[c.ID]
		if taken == "" || taken == c.Default {
			continue
		}
		_, o := b.option(c.ID, taken)
		_, own := b.option(c.ID, c.Default)
		lines = append(lines, m.Group(
			parts.Para(words.T("verdict.taken", c.Title, o.Title)),
			m.If(choose, parts.Button(words.T("verdict.back-to", own.Title), b.do("option", c.ID, c.Default), parts.ID("own-"+c.ID)))))
	}
	return section("taken", words.T("verdict.taken-title"), lines)
}

func (b bench) aside() m.Part {
	var lines []m.Part
	for _, i := range b.judged.Aside {
		lines = append(lines, m.Text(app.FindingText(b.bird.Book, b.bird.Findings[i])))
	}
	return section("aside", words.T("verdict.aside", b.bird.Book.Title), lines)
}
