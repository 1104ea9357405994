package view

import (
	"maps"
	"slices"
	"strings"

	"keelcard/engine/rulebook"
	"keelcard/engine/sorting"
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
			parts.Main(parts.Notice(parts.Info, words.T("book.pointed"),
				parts.Button(words.T("beside.all"), app.Action("book.open", p.a.base+"/beside/"+p.b.book.ID), parts.ID("whole"), parts.NoPrint)),
				p.lines("pointed", p.a.at), p.choices(), parts.Para(words.T("verdict.not-official"), "soft")))
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

// saying is what a book says in a case, as its choices are made.
type saying struct {
	text  string // "" for nothing
	force bool   // by the choices made
}

func (r *reading) says(f rulebook.Factor, line rulebook.Line) saying {
	i := r.book.Find(line)
	if i < 0 {
		return saying{}
	}
	l := r.book.Limits[i]
	return saying{app.Capital(r.allowText(f, l)), rulebook.Holds(l.When, r.resolved) && rulebook.Holds(f.When, r.resolved)}
}

// counts says how many lines differ, as the choices are made.
func (p twoBooks) counts() m.Node {
	var differ, a, b, same int
	for _, f := range p.a.book.Factors {
		for _, l := range p.a.limitsOf(f) {
			there := p.b.says(f, l.Line())
			switch {
			case there.text == "":
				a++
			case there == p.a.says(f, l.Line()):
				same++
			default:
				differ++
			}
		}
	}
	b = len(p.b.book.Limits) - differ - same
	return parts.Card("counts", words.T("beside.counts"),
		parts.Stats(
			parts.Stat(itoa(differ), words.T("beside.n-differ")),
			parts.Stat(itoa(a), words.T("beside.n-only", bookName(p.a.book))),
			parts.Stat(itoa(b), words.T("beside.n-only", bookName(p.b.book))),
			parts.Stat(itoa(same), words.T("beside.n-same"))),
		m.If(len(p.diffs) == 0 && differ == 0, parts.Para(words.T("beside.none"))))
}

// factors lists the factors that differ: those of both books, and those that
// only one has.
func (p twoBooks) factors() (both, onlyA, onlyB []string) {
	for _, f := range p.a.book.Factors {
		switch other := factorIn(p.b.book, f.ID); {
		case other == nil:
			onlyA = append(onlyA, f.ID)
		case p.differs(f, *other):
			both = append(both, f.ID)
		}
	}
	for _, f := range p.b.book.Factors {
		if factorIn(p.a.book, f.ID) == nil {
			onlyB = append(onlyB, f.ID)
		}
	}
	return both, onlyA, onlyB
}

// differs tells whether a factor is taken otherwise or has another limit.
func (p twoBooks) differs(a, b rulebook.Factor) bool {
	if slices.ContainsFunc(p.diffs, func(d rulebook.Difference) bool { return d.Of == rulebook.OfFactor && d.ID == a.ID }) {
		return true
	}
	return slices.ContainsFunc(p.cases(a), func(l rulebook.Line) bool { return p.a.says(a, l) != p.b.says(b, l) })
}

// cases lists the cases of a factor in either book.
func (p twoBooks) cases(f rulebook.Factor) []rulebook.Line {
	var out []rulebook.Line
	for _, r := range []*reading{p.a, p.b} {
		for _, l := range r.limitsOf(f) {
			if !slices.ContainsFunc(out, l.Line().Same) {
				out = append(out, l.Line())
			}
		}
	}
	return out
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
	cases := p.cases(*f)
	shared := !slices.ContainsFunc(cases, func(l rulebook.Line) bool { return !maps.Equal(l.When, cases[0].When) })
	rows := mapped(cases, func(i int, l rulebook.Line) parts.TableRow { return p.row(*f, l, i, shared) })
	var under []string
	if shared && len(cases) > 0 {
		under = p.options(cases[0].When)
	}
	columns := []parts.Column{{Text: words.T("book.for")}, {Text: bookName(p.a.book)}, {Text: bookName(p.b.book)}}
	var how m.Part = m.Group()
	if fa != nil && fb != nil {
		how = p.measured(*fa, *fb)
	}
	var origins m.Part = m.Group()
	if p.a.at != nil {
		origins = m.Group(p.standing(p.a, *f), p.standing(p.b, *f))
	}
	return m.El("div", m.ID("factor-"+id), m.Class("entry"),
		m.El("h3", m.Text(app.Capital(f.Name))),
		m.Each(under, func(_ int, t string) m.Part { return parts.Para(words.T("beside.under", t), "soft") }),
		m.If(len(rows) > 0, parts.Table("limits-"+id, p.a.howText(*f), columns, rows)),
		m.If(len(rows) == 0, parts.Para(words.T("book.no-limit"), "soft")),
		how, origins)
}

// standing says where a book has its limits of a factor from.
func (p twoBooks) standing(r *reading, f rulebook.Factor) m.Part {
	limits := r.limitsOf(f)
	return m.If(len(limits) > 0, m.El("div", m.Class("stack", "close"), m.El("h4", m.Text(bookName(r.book))),
		m.Each(r.shared(limits), func(_ int, t string) m.Part { return parts.Para(t, "soft") }), r.standing(limits)))
}

// row is one case in both books; it is marked where they differ. With shared
// set its conditions are told above the table.
func (p twoBooks) row(f rulebook.Factor, line rulebook.Line, no int, shared bool) parts.TableRow {
	a, b := p.a.says(f, line), p.b.says(f, line)
	of := p.a
	if a.text == "" {
		of = p.b
	}
	state := "same"
	if a != b {
		state = "differs"
	}
	facts := of.lineOf(line.Kinds, nil)
	if !shared {
		facts = append(facts, p.options(line.When)...)
	}
	head := m.Group(m.Text(label(rulebook.Limit{Grade: line.Grade, Over: line.Over, To: line.To})),
		m.Each(append(facts, words.T("beside."+state)), func(_ int, t string) m.Part { return m.El("span", m.Class("fact", "light"), m.Text(t)) }))
	return parts.TableRow{ID: "row-" + f.ID + "-" + itoa(no), Cells: []m.Part{head, a.cell(), b.cell()}, Mark: a != b}
}

// options names the options under which a line holds.
func (p twoBooks) options(when map[string]string) []string {
	return mapped(sorting.Keys(when), func(_ int, id string) string {
		for _, r := range []*reading{p.a, p.b} {
			if _, ok := r.resolved[id]; ok {
				return r.optionText(id, when[id])
			}
		}
		return id
	})
}

func (w saying) cell() m.Part {
	if w.text == "" {
		return m.El("span", m.Class("soft"), m.Text(words.T("beside.not-there")))
	}
	return m.Group(
		m.El("span", m.Class("strong"), m.Text(w.text)),
		m.If(!w.force, m.El("span", m.Class("fact", "soft"), m.Text(words.T("beside.not-in-force")))))
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
