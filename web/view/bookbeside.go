package view

import (
	"slices"
	"strings"

	"keelcard/engine/rulebook"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// twoBooks is two books laid side by side.
type twoBooks struct {
	a, b  *reading
	diffs []rulebook.Difference
}

// besidePage lays a book beside the one that the address names.
func besidePage(r *reading, back string) m.Node {
	p, ok := r.lay()
	if !ok {
		return noBook(r.s)
	}
	return p.page(back)
}

// lay lays a book beside the one that the address names.
func (r *reading) lay() (twoBooks, bool) {
	other, ok := r.s.Book(r.s.Page.Arg(2))
	if !ok {
		return twoBooks{}, false
	}
	b := &reading{s: r.s, book: other}
	b.resolve(r.resolved)
	return twoBooks{a: r, b: b, diffs: rulebook.Compare(r.book, other)}, true
}

// page shows in what the books differ, or only what they have in the place of
// some lines.
func (p twoBooks) page(back string) m.Node {
	title := words.T("beside.title", bookName(p.a.book), bookName(p.b.book))
	if p.a.at != nil {
		return m.El("div", m.ID("beside"), m.Class("book"),
			parts.TopBar(title, p.editions(), words.T("common.back"), back),
			parts.Notice(parts.Info, words.T("book.pointed"),
				parts.Button(words.T("beside.all"), app.Action("book.open", p.a.base+"/beside/"+p.b.book.ID), parts.ID("whole"), parts.NoPrint)),
			parts.Main(p.lines("pointed", p.a.at), p.choices(), parts.Para(words.T("verdict.not-official"), "soft")))
	}
	both, onlyA, onlyB := p.factors()
	return m.El("div", m.ID("beside"), m.Class("book"),
		parts.TopBar(title, p.editions(), words.T("common.back"), back),
		parts.Main(
			p.counts(),
			p.lines("both", both), p.choices(), p.lines("only-a", onlyA), p.lines("only-b", onlyB),
			p.things("grades", rulebook.OfGrade), p.things("faults", rulebook.OfDefect), p.alike(),
			m.El("div", m.Class("no-print"), parts.Button(words.T("book.print"), "print"))))
}

func (p twoBooks) editions() string {
	return words.T("beside.editions", bookName(p.a.book), p.a.book.Edition, bookName(p.b.book), p.b.book.Edition)
}

// sameSaid tells whether a line says the same in both books, whatever its source.
func sameSaid(d rulebook.Difference) bool {
	return len(d.Differs) == 1 && d.Differs[0] == rulebook.DiffersSource
}

// counts says how much differs.
func (p twoBooks) counts() m.Node {
	var differ, a, b int
	for _, d := range p.diffs {
		switch {
		case d.Of != rulebook.OfLine || sameSaid(d):
		case d.LineB == nil:
			a++
		case d.LineA == nil:
			b++
		default:
			differ++
		}
	}
	same := len(p.a.book.Limits) - differ - a
	return parts.Card("counts", words.T("beside.counts"),
		parts.Stats(
			parts.Stat(itoa(differ), words.T("beside.n-differ")),
			parts.Stat(itoa(a), words.T("beside.n-only", bookName(p.a.book))),
			parts.Stat(itoa(b), words.T("beside.n-only", bookName(p.b.book))),
			parts.Stat(itoa(same), words.T("beside.n-same"))),
		m.If(len(p.diffs) == 0, parts.Para(words.T("beside.none"))))
}

// factors lists the factors with differing lines: those of both books, and
// those that only one has.
func (p twoBooks) factors() (both, onlyA, onlyB []string) {
	add := func(list *[]string, id string) {
		if !slices.Contains(*list, id) {
			*list = append(*list, id)
		}
	}
	for _, d := range p.diffs {
		switch {
		case d.Of != rulebook.OfFactor && d.Of != rulebook.OfLine || sameSaid(d):
		case factorIn(p.b.book, d.ID) == nil:
			add(&onlyA, d.ID)
		case factorIn(p.a.book, d.ID) == nil:
			add(&onlyB, d.ID)
		default:
			add(&both, d.ID)
		}
	}
	return both, onlyA, onlyB
}

// factorIn finds a factor of a book, nil for none.
func factorIn(b *rulebook.Book, id string) *rulebook.Factor {
	i := slices.IndexFunc(b.Factors, func(f rulebook.Factor) bool { return f.ID == id })
	if i < 0 {
		return nil
	}
	return &b.Factors[i]
}

// lines shows factors with the limits of both books beside each other.
func (p twoBooks) lines(id string, factors []string) m.Part {
	items := mapped(factors, func(_ int, f string) m.Part { return p.factor(f) })
	if len(items) == 0 {
		return m.Group()
	}
	args := []any{bookName(p.a.book), bookName(p.b.book)}
	return parts.Card(id, words.T("beside.lines-"+id, args...), items...)
}

func (p twoBooks) factor(id string) m.Node {
	fa, fb := factorIn(p.a.book, id), factorIn(p.b.book, id)
	f := fa
	if f == nil {
		f = fb
	}
	if f == nil {
		return parts.Para(words.T("book.no-line"))
	}
	var rows []parts.TableRow
	for _, l := range p.a.limitsOf(*f) {
		rows = append(rows, p.row(*f, l.Line(), len(rows)))
	}
	for _, l := range p.b.limitsOf(*f) {
		if p.a.book.Find(l.Line()) < 0 {
			rows = append(rows, p.row(*f, l.Line(), len(rows)))
		}
	}
	columns := []parts.Column{{Text: words.T("book.for")}, {Text: bookName(p.a.book)}, {Text: bookName(p.b.book)}}
	var how m.Part = m.Group()
	if fa != nil && fb != nil {
		how = p.measured(*fa, *fb)
	}
	return m.El("div", m.ID("factor-"+id), m.Class("entry"),
		m.El("h3", m.Text(app.Capital(f.Name))),
		m.If(len(rows) > 0, parts.Table("limits-"+id, p.a.howText(*f), columns, rows)),
		m.If(len(rows) == 0, parts.Para(words.T("book.no-limit"), "soft")),
		how)
}

// row is one case in both books; it is marked where they differ.
func (p twoBooks) row(f rulebook.Factor, line rulebook.Line, no int) parts.TableRow {
	side := func(r *reading) (m.Part, string) {
		i := r.book.Find(line)
		if i < 0 {
			return m.El("span", m.Class("soft"), m.Text(words.T("beside.not-there"))), ""
		}
		l := r.book.Limits[i]
		text := app.Capital(r.allowText(f, l))
		return m.Group(
			m.El("span", m.Class("strong"), m.Text(text)),
			m.Each(r.conditions(l.When), func(_ int, t string) m.Part { return m.El("span", m.Class("fact"), m.Text(t)) }),
			m.If(r.itself(l) != "", m.El("span", m.Class("fact"), m.Text(r.itself(l)))),
			m.If(l.Note != "", m.El("span", m.Class("fact"), m.Text(noteText(l.Note)))),
			r.source(l.Source, l.Confidence)), text
	}
	a, textA := side(p.a)
	b, textB := side(p.b)
	name := label(rulebook.Limit{Grade: line.Grade, Over: line.Over, To: line.To})
	of := p.a
	if p.a.book.Find(line) < 0 {
		of = p.b
	}
	kinds := of.lineOf(line.Kinds, nil)
	state := words.T("beside.same")
	if textA != textB {
		state = words.T("beside.differs")
	}
	head := m.Group(m.Text(name), m.Each(kinds, func(_ int, t string) m.Part { return m.El("span", m.Class("fact"), m.Text(t)) }),
		m.El("span", m.Class("fact", "soft"), m.Text(state)))
	return parts.TableRow{ID: "row-" + f.ID + "-" + itoa(no), Cells: []m.Part{head, a, b}, Mark: textA != textB}
}

// measured says in what two books take a factor differently.
func (p twoBooks) measured(a, b rulebook.Factor) m.Part {
	how := m.Part(m.Group())
	if x, y := p.a.howText(a), p.b.howText(b); x != y {
		how = parts.Para(words.T("beside.how", bookName(p.a.book), x, bookName(p.b.book), y), "soft")
	}
	return m.Group(how, p.counted(p.a, a.Defects, b.Defects), p.counted(p.b, b.Defects, a.Defects))
}

// counted lists what counts in one book and not in the other.
func (p twoBooks) counted(in *reading, here, there []string) m.Part {
	only := slices.DeleteFunc(slices.Clone(here), func(id string) bool { return slices.Contains(there, id) })
	return m.If(len(only) > 0, parts.Para(words.T("beside.counts-only", bookName(in.book), in.defectNames(only)), "soft"))
}

// choices are those read differently while nobody has chosen, or that only one
// of the books leaves open.
func (p twoBooks) choices() m.Part {
	var items []m.Part
	for _, d := range p.diffs {
		if d.Of != rulebook.OfChoice || p.a.at != nil && !p.decides(d.ID) {
			continue
		}
		items = append(items, m.El("div", m.ID("choice-"+d.ID), m.Class("entry"),
			m.El("h3", m.Text(or(d.A, d.B))),
			parts.Para(words.T("beside.reads", bookName(p.a.book), p.a.chosenTitle(d.ID))),
			parts.Para(words.T("beside.reads", bookName(p.b.book), p.b.chosenTitle(d.ID)))))
	}
	if len(items) == 0 {
		return m.Group()
	}
	return parts.Card("choices", words.T("beside.choices"), items...)
}

// decides tells whether one of the lines shown depends on a choice.
func (p twoBooks) decides(choice string) bool {
	for _, r := range []*reading{p.a, p.b} {
		for _, l := range r.book.Limits {
			_, when := l.When[choice]
			_, itself := l.InclusiveWhen[choice]
			if (when || itself) && slices.Contains(p.a.at, l.Factor) {
				return true
			}
		}
	}
	return false
}

// chosenTitle is what holds for a choice of the book.
func (r *reading) chosenTitle(choice string) string {
	for _, c := range r.book.Choices {
		if c.ID != choice {
			continue
		}
		for _, o := range c.Options {
			if o.ID == r.resolved[choice] {
				return o.Title
			}
		}
	}
	return words.T("beside.no-choice")
}

// things lists what only one of the books names.
func (p twoBooks) things(id, of string) m.Part {
	var a, b []string
	for _, d := range p.diffs {
		switch {
		case d.Of != of:
		case d.B == "":
			a = append(a, d.A)
		case d.A == "":
			b = append(b, d.B)
		}
	}
	only := func(in *reading, names []string) m.Part {
		return m.If(len(names) > 0, parts.Para(words.T("beside.names-only", bookName(in.book), strings.Join(names, "; "))))
	}
	if len(a)+len(b) == 0 {
		return m.Group()
	}
	return parts.Card(id, words.T("beside."+id), only(p.a, a), only(p.b, b))
}

// alike lists the lines that say the same and only come from other sources.
func (p twoBooks) alike() m.Part {
	var names []string
	for _, d := range p.diffs {
		if d.Of == rulebook.OfLine && sameSaid(d) {
			names = append(names, words.T("verdict.at", d.A, d.LineA.Grade))
		}
	}
	return m.If(len(names) > 0, parts.Card("alike", words.N("beside.alike", len(names)),
		parts.Para(words.T("beside.alike-text"), "soft"),
		m.El("ul", m.Class("plain-list"), m.Each(names, func(_ int, n string) m.Part { return m.El("li", m.Text(app.Capital(n))) }))))
}
