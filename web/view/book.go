package view

import (
	"maps"
	"slices"
	"strings"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/contest"
	"keelcard/engine/rulebook"
	"keelcard/engine/sorting"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// booksPage is every book on this phone, and the way to bring another in.
func booksPage(s *app.State) m.Node {
	row := func(_ int, b *rulebook.Book) parts.Row {
		return parts.Row{Title: b.Title, Sub: words.T("verdict.edition", b.Edition), Do: toPage("book", b.ID)}
	}
	return m.El("div", m.ID("books"),
		parts.TopBar(words.T("books.title"), words.T("books.sub"), words.T("home.title"), toPage("home")),
		parts.Panes(
			parts.Stack(
				faultList(s),
				parts.Card("published", words.T("books.published"),
					parts.List(words.T("books.published"), mapped(rulebook.Builtin(), row)...)),
				parts.Button(words.T("lots.open"), toPage("lots"), parts.Wide, parts.Sub(words.T("lots.open-sub")))),
			parts.Stack(
				ownBooks(s, row),
				parts.Card("bring", words.T("books.bring"),
					parts.Para(words.T("books.bring-text")),
					parts.Button(words.T("books.pick"), "books.pick", parts.Primary, parts.Big, parts.Wide)))))
}

func mapped[T, R any](list []T, of func(int, T) R) []R {
	out := make([]R, len(list))
	for i, v := range list {
		out[i] = of(i, v)
	}
	return out
}

func ownBooks(s *app.State, row func(int, *rulebook.Book) parts.Row) m.Node {
	gone := m.If(s.Shelf.Gone != nil, parts.Button(words.T("books.undo"), "books.undo", parts.Quiet, parts.Wide, parts.Sub(goneText(s.Shelf.Gone))))
	if len(s.Shelf.Own) == 0 {
		return parts.Card("own", words.T("books.own"), parts.Empty(words.T("books.none"), m.Group()), gone)
	}
	return parts.Card("own", words.T("books.own"),
		parts.Para(words.T("books.own-text"), "soft"),
		parts.List(words.T("books.own"), mapped(s.Shelf.Own, row)...), gone)
}

func goneText(b *rulebook.Book) string {
	if b == nil {
		return ""
	}
	return words.T("verdict.and", b.Title, words.T("verdict.edition", b.Edition))
}

// faultList says everything that is wrong with a file that was brought in, by
// place.
func faultList(s *app.State) m.Part {
	faults := s.Shelf.Faults
	if len(faults) == 0 {
		return m.Group()
	}
	return m.El("section", m.ID("faults"), m.Class("card"), m.Attr("aria-labelledby", "faults-h"),
		m.El("h2", m.ID("faults-h"), m.Attr("tabindex", "-1"), m.Text(words.N("books.faults", len(faults)))),
		parts.Notice(parts.Bad, words.T("books.faults-text", s.Shelf.File), parts.Para(words.T("books.faults-fix"))),
		m.El("ol", m.Class("list"), m.Attr("aria-label", words.N("books.faults", len(faults))), m.Each(faults, func(i int, e *engine.Error) m.Part {
			return m.El("li", m.ID("fault-"+itoa(i)), m.Class("keep"),
				m.El("span", m.Class("item-text"),
					m.If(e.Where != "", m.El("span", m.Class("item-title"), m.Text(e.Where))),
					m.El("span", m.Text(app.Capital(e.What)+".")),
					m.If(e.Fix != "", m.El("span", m.Class("soft"), m.Text(app.Capital(e.Fix)+".")))))
		})))
}

// bookPage is a book to be read, or laid beside another.
func bookPage(s *app.State) m.Node {
	b, ok := s.Book(s.Page.Arg(0))
	if !ok {
		return noBook(s)
	}
	r := reading{s: s, book: b, base: link("book", "", b.ID), at: s.Page.Pointed()}
	r.resolve(nil)
	if s.Page.Arg(1) == "beside" {
		return besidePage(&r, bookBack(s))
	}
	return r.page("book", bookBack(s), parts.Stack(r.ways(), r.about(), r.scale()), r.removal())
}

// noBook is the page of a book that is not here, or not read yet.
func noBook(s *app.State) m.Node {
	if !s.Shelf.Known {
		return loading(s)
	}
	return m.El("div", m.ID("book"),
		parts.TopBar(words.T("book.none"), "", words.T("common.back"), toPage("books")),
		parts.Main(parts.Empty(words.T("book.none-text", s.Page.Arg(0)), parts.Button(words.T("books.title"), toPage("books"), parts.Primary))))
}

// bookBack is the way back from a book: to where it was opened.
func bookBack(s *app.State) string {
	if s.Shelf.Back.Name == "" {
		return toPage("books")
	}
	return app.Action("open", s.Shelf.Back.Hash())
}

// reading is a book on a page: what of it is shown, and under which choices.
type reading struct {
	s        *app.State
	book     *rulebook.Book
	base     string            // address of the book's page
	at       []string          // only these factors, nil for all
	resolved map[string]string // choices as they are made
	class    *contest.Class    // the class whose book it is, nil outside a contest
	hits     int
}

// resolve makes the choices, the book's own where nothing is said.
func (r *reading) resolve(choices map[string]string) {
	resolved, err := r.book.Resolve(choices)
	if err != nil {
		resolved, _ = r.book.Resolve(nil)
	}
	r.resolved = resolved
}

// page sets the parts of a book on a page: what comes first, then its lines;
// of a part of the book only the lines.
func (r *reading) page(id, back string, first, last m.Part) m.Node {
	lines := m.Group(r.lines(), r.choices(), r.defects(), r.weights(), r.notes(), r.sources())
	body := parts.Main(m.If(r.hits == 0, r.nothing()), lines)
	if r.whole() {
		body = parts.Panes(first, parts.Stack(lines, last))
	}
	var head m.Part = r.finder()
	if r.at != nil {
		head, body = m.Group(), parts.Main(r.pointed(), m.If(r.hits == 0, r.nothing()), lines)
	}
	return m.El("div", m.ID(id), m.Class("book"),
		parts.TopBar(r.book.Title, r.edition(), words.T("common.back"), back), head, body)
}

// whole tells whether all of the book is shown.
func (r *reading) whole() bool { return r.at == nil && strings.TrimSpace(r.s.Shelf.Find) == "" }

func (r *reading) edition() string {
	kind := "own"
	if r.class != nil {
		kind = "contest"
		if _, _, varied := r.s.Variation(*r.class); varied {
			kind = "varied"
		}
	}
	if published, ok := rulebook.ByID(r.book.ID); ok && published == r.book {
		kind = "published"
	}
	return words.T("verdict.and", words.T("verdict.edition", r.book.Edition), words.T("books.is-"+kind))
}

// pointed says that only some lines are shown.
func (r *reading) pointed() m.Node {
	return parts.Notice(parts.Info, words.T("book.pointed"),
		parts.Button(words.T("book.whole"), app.Action("book.open", r.base), parts.ID("whole"), parts.NoPrint))
}

// finder is the field to search the book with, and the way to its parts.
func (r *reading) finder() m.Node {
	var hits m.Part = m.El("nav", m.ID("jumps"), m.Class("tabs", "jump"), m.Attr("aria-label", words.T("book.jump")),
		m.Each(r.faces(), func(_ int, id string) m.Part {
			return m.El("button", m.ID("jump-"+id), m.Class("tab"), m.Attr("type", "button"), m.Do(app.Action("book.jump", id)), m.Text(words.T("book.face-"+id)))
		}))
	if !r.whole() {
		hits = m.El("p", m.ID("hits"), m.Attr("role", "status"), m.Text(words.N("book.hits", r.hits)))
	}
	return m.El("div", m.ID("finding"), m.Class("stack", "no-print"), m.Attr("role", "search"),
		live(parts.Field(parts.Input{Name: "find", Label: words.T("book.find"), Value: r.s.Shelf.Find, Do: "book.find", Type: "search"})),
		hits)
}

// faces lists the parts of the book that there are.
func (r *reading) faces() []string {
	out := []string{"lines"}
	for _, f := range []struct {
		id string
		n  int
	}{{"choices", len(r.book.Choices)}, {"defects", len(r.book.Defects)}, {"notes", len(r.book.Notes)}, {"sources", len(r.book.Sources)}} {
		if f.n > 0 {
			out = append(out, f.id)
		}
	}
	return out
}

// nothing says that nothing was found, and what to try.
func (r *reading) nothing() m.Node {
	text := words.T("book.nothing", strings.TrimSpace(r.s.Shelf.Find))
	if r.at != nil {
		text = words.T("book.no-line")
	}
	return parts.Empty(text, m.Group())
}

// found tells whether something is shown: it holds every word looked for.
func (r *reading) found(texts ...string) bool {
	if r.at != nil {
		return false
	}
	text := strings.ToLower(strings.Join(texts, " "))
	for word := range strings.FieldsSeq(strings.ToLower(r.s.Shelf.Find)) {
		if !strings.Contains(text, word) {
			return false
		}
	}
	r.hits++
	return true
}

// section is a part of the book under its heading, left out when nothing of it
// is shown.
func (r *reading) section(id string, items []m.Part) m.Part {
	if len(items) == 0 {
		return m.Group()
	}
	return m.El("section", m.ID(id), m.Class("card"), m.Attr("aria-labelledby", id+"-h"),
		m.El("h2", m.ID(id+"-h"), m.Attr("tabindex", "-1"), m.Text(words.T("book.face-"+id))),
		m.Group(items...))
}

// mostBeside is how many other books are offered to be laid beside one.
const mostBeside = 3

// ways are what can be done with the book.
func (r *reading) ways() m.Node {
	save := func(how string) string {
		if r.class != nil {
			return app.Action("class-book.save", how)
		}
		return app.Action("book.save", r.book.ID, how)
	}
	return m.El("div", m.ID("ways"), m.Class("stack", "no-print"),
		m.Each(r.s.Counterparts(r.book), func(i int, o *rulebook.Book) m.Part {
			return m.If(i < mostBeside, parts.Button(words.T("book.beside", bookName(o)), app.Action("book.open", r.base+"/beside/"+o.ID), parts.ID("beside-"+itoa(i)), parts.Wide))
		}),
		parts.Line(
			parts.Button(words.T("book.print"), "print"),
			parts.Button(words.T("book.save"), save("save")),
			parts.Button(words.T("book.share"), save("share"))))
}

func (r *reading) about() m.Part {
	b := r.book
	base := ""
	if b.Base != "" {
		base = words.T("book.base", b.Base)
		if o, ok := r.s.Book(b.Base); ok {
			base = words.T("book.base", o.Title)
		}
	}
	return m.If(b.About != "" || base != "", parts.Card("about", words.T("book.about"),
		m.If(b.About != "", parts.Para(b.About)),
		m.If(base != "", parts.Para(base))))
}

func (r *reading) scale() m.Node {
	return parts.Card("scale", words.T("book.scale"),
		m.El("ul", m.Class("list"), m.Attr("aria-label", words.T("book.scale")), m.Each(r.book.Scale, func(_ int, g rulebook.Grade) m.Part {
			return m.El("li", m.ID("grade-"+g.ID), m.Class("row"),
				parts.GradeBadge(g.ID, g.Name, "small"),
				m.El("span", m.Class("item-text"),
					m.El("span", m.Class("item-title"), m.Text(app.Capital(g.Name))),
					m.If(g.Meaning != "", m.El("span", m.Class("item-sub"), m.Text(g.Meaning))),
					m.Each(r.conditions(g.When), func(_ int, text string) m.Part { return m.El("span", m.Class("item-sub"), m.Text(text)) })))
		})))
}

// weights says which kinds of which weight are judged.
func (r *reading) weights() m.Part {
	var items []m.Part
	if text := strings.Join(mapped(r.book.Kinds, func(_ int, k rulebook.Bird) string { return k.Name }), ", "); text != "" && r.found(words.T("book.face-weights"), text) {
		items = append(items, parts.Para(words.T("book.kinds", text)))
	}
	for _, w := range r.book.Weights {
		line := app.Capital(r.spanText(w.Over, w.To))
		if r.found(words.T("book.face-weights"), line, w.Note) {
			items = append(items, m.El("div", m.Class("entry"), parts.Para(line, "strong"),
				m.Each(r.lineOf(w.Kinds, w.When), func(_ int, t string) m.Part { return parts.Para(t, "soft") }),
				m.If(w.Note != "", parts.Para(sentence(w.Note), "soft")),
				r.source(w.Source, w.Confidence)))
		}
	}
	return r.section("weights", items)
}

// spanText is a range of weights: "over 2 lb, up to and with 6 lb".
func (r *reading) spanText(over, to amount.Weight) string {
	switch {
	case over == 0 && to == 0:
		return words.T("book.any-weight")
	case to == 0:
		return words.T("book.over", over)
	case over == 0:
		return words.T("book.to", to)
	}
	return words.T("book.between", over, to)
}

// spanShort is a range of weights in pounds and ounces only.
func spanShort(over, to amount.Weight) string {
	switch {
	case to == 0:
		return words.T("book.over", weightText(over))
	case over == 0:
		return words.T("book.to", weightText(to))
	}
	return words.T("book.between", weightText(over), weightText(to))
}

// kindName names a kind of a book.
func kindName(b *rulebook.Book, id string) string {
	for _, k := range b.Kinds {
		if k.ID == id {
			return k.Name
		}
	}
	return id
}

// lineOf says for which kinds a line holds and by which choices.
func (r *reading) lineOf(kinds []string, when map[string]string) []string {
	var out []string
	if len(kinds) > 0 {
		names := mapped(kinds, func(_ int, id string) string { return kindName(r.book, id) })
		out = append(out, words.T("book.only-kinds", strings.Join(names, ", ")))
	}
	return append(out, r.conditions(when)...)
}

// conditions says by which choices a line holds, or that it does not hold now.
func (r *reading) conditions(when map[string]string) []string {
	var out []string
	for _, id := range sorting.Keys(when) {
		state := "holds"
		if r.resolved[id] != when[id] {
			state = "not"
		}
		out = append(out, words.T("book.choice-"+state, r.optionText(id, when[id])))
	}
	return out
}

// optionText names a choice and one of its options.
func (r *reading) optionText(choice, option string) string {
	for _, c := range r.book.Choices {
		if c.ID != choice {
			continue
		}
		for _, o := range c.Options {
			if o.ID == option {
				return words.T("book.option", c.Title, o.Title)
			}
		}
	}
	return words.T("book.option", choice, option)
}

// choices is every point where sources differ, with what is usual and why.
func (r *reading) choices() m.Part {
	var items []m.Part
	for _, c := range r.book.Choices {
		texts := []string{c.Title, c.Why}
		for _, o := range c.Options {
			texts = append(texts, o.Title)
		}
		if r.found(texts...) {
			items = append(items, r.choice(c))
		}
	}
	return r.section("choices", items)
}

func (r *reading) choice(c rulebook.Choice) m.Node {
	return m.El("div", m.ID("choice-"+c.ID), m.Class("entry"),
		m.El("h3", m.Text(c.Title)),
		m.El("ul", m.Class("options"), m.Each(c.Options, func(_ int, o rulebook.Option) m.Part {
			state := ""
			switch {
			case o.ID == r.resolved[c.ID] && o.ID == c.Default:
				state = words.T("book.usual")
			case o.ID == r.resolved[c.ID]:
				state = words.T("book.chosen")
			case o.ID == c.Default:
				state = words.T("book.usual-not")
			}
			return m.El("li",
				m.El("span", m.If(o.ID == r.resolved[c.ID], m.Class("strong")), m.Text(app.Capital(o.Title))),
				m.If(state != "", m.El("span", m.Class("soft"), m.Text(" "+state))),
				m.Text(" "), r.source(o.Source, o.Confidence))
		})),
		parts.Para(c.Why))
}

// lines is every factor with its limits.
func (r *reading) lines() m.Part {
	var items []m.Part
	for _, f := range r.book.Factors {
		limits := r.limitsOf(f)
		if slices.Contains(r.at, f.ID) {
			r.hits++
			items = append(items, r.factor(f, limits))
		} else if r.found(r.factorTexts(f, limits)...) {
			items = append(items, r.factor(f, limits))
		}
	}
	return r.section("lines", items)
}

// numbered is a limit with its place in the book.
type numbered struct {
	rulebook.Limit
	no int
}

// limitsOf lists the limits of a factor, the best grade first and in it the
// lightest.
func (r *reading) limitsOf(f rulebook.Factor) []numbered {
	var out []numbered
	for i, l := range r.book.Limits {
		if l.Factor == f.ID {
			out = append(out, numbered{l, i})
		}
	}
	rank := func(id string) int {
		return slices.IndexFunc(r.book.Scale, func(g rulebook.Grade) bool { return g.ID == id })
	}
	sorting.Stable(out, func(a, b numbered) int {
		if by := rank(a.Grade) - rank(b.Grade); by != 0 {
			return by
		}
		return int(min(max(a.Over-b.Over, -1), 1))
	})
	return out
}

// factorTexts is what a search finds a factor by.
func (r *reading) factorTexts(f rulebook.Factor, limits []numbered) []string {
	out := []string{f.Name, f.Meaning, r.howText(f)}
	out = append(out, r.defectNames(f.Defects), r.siteNames(f.Sites))
	for _, l := range limits {
		out = append(out, l.Grade, r.allowText(f, l.Limit), l.Note)
	}
	return out
}

// factor is one factor: how it is taken, what counts for it, its limits by
// grade, and where they come from.
func (r *reading) factor(f rulebook.Factor, limits []numbered) m.Node {
	shared := r.shared(limits)
	return m.El("div", m.ID("factor-"+f.ID), m.Class("entry"),
		m.El("h3", m.Text(app.Capital(f.Name))),
		m.If(f.Meaning != "", parts.Para(f.Meaning)),
		m.Each(append(r.conditions(f.When), shared...), func(_ int, t string) m.Part { return parts.Para(t, "soft") }),
		r.limitTable(f, limits, len(shared) > 0),
		r.opened(f, limits),
		r.counts(f),
		r.standing(limits))
}

// shared says the conditions that all limits of a factor have.
func (r *reading) shared(limits []numbered) []string {
	if len(limits) == 0 {
		return nil
	}
	for _, l := range limits[1:] {
		if !maps.Equal(l.When, limits[0].When) {
			return nil
		}
	}
	return r.conditions(limits[0].When)
}

// limitTable is the limits of a factor: a column for each grade that has one, a
// line for each range of weights or other condition.
func (r *reading) limitTable(f rulebook.Factor, limits []numbered, shared bool) m.Part {
	if len(limits) == 0 {
		return parts.Para(words.T("book.no-limit"), "soft")
	}
	columns := []parts.Column{{Text: words.T("book.for")}}
	var grades []string
	var rows []parts.TableRow
	var first []numbered
	for _, l := range limits {
		if !slices.Contains(grades, l.Grade) {
			grades = append(grades, l.Grade)
			columns = append(columns, parts.Column{Text: l.Grade})
		}
		if !slices.ContainsFunc(first, func(o numbered) bool { return sameCase(o.Limit, l.Limit) }) {
			first = append(first, l)
		}
	}
	for _, row := range first {
		cells := []m.Part{r.forWhat(row.Limit, shared)}
		for _, g := range grades {
			cells = append(cells, r.cell(f, row.Limit, g, limits))
		}
		rows = append(rows, parts.TableRow{ID: "limit-" + itoa(row.no), Cells: cells})
	}
	return parts.Table("limits-"+f.ID, r.howText(f), columns, rows)
}

// sameCase tells whether two limits hold for the same items.
func sameCase(a, b rulebook.Limit) bool {
	return a.Over == b.Over && a.To == b.To && slices.Equal(a.Kinds, b.Kinds) && maps.Equal(a.When, b.When)
}

// forWhat says what a line of the table holds for.
func (r *reading) forWhat(l rulebook.Limit, shared bool) m.Part {
	var texts []string
	if l.Over != 0 || l.To != 0 {
		texts = append(texts, app.Capital(spanShort(l.Over, l.To)))
	}
	if shared {
		l.When = nil
	}
	texts = append(texts, r.lineOf(l.Kinds, l.When)...)
	if texts == nil {
		texts = append(texts, words.T("book.every"))
	}
	return m.Each(texts, func(_ int, t string) m.Part { return m.El("span", m.Class("fact"), m.Text(t)) })
}

// cell says what a grade allows in a case, and what may be done with the line.
func (r *reading) cell(f rulebook.Factor, of rulebook.Limit, grade string, limits []numbered) m.Part {
	for _, l := range limits {
		if l.Grade == grade && sameCase(of, l.Limit) {
			return m.Group(
				m.El("span", m.ID("bound-"+itoa(l.no)), m.Class("fact", "strong"), m.Text(app.Capital(r.allowText(f, l.Limit)))),
				m.If(l.Confidence == rulebook.LocalRule, m.El("span", m.Class("fact", "light"), m.Text(words.T("verdict.local")))),
				r.under(f, l))
		}
	}
	return m.El("span", m.Class("soft"), m.Text(words.T("book.no-bound")))
}

// under is what may be done with a line of the book of a class.
func (r *reading) under(f rulebook.Factor, l numbered) m.Part {
	if r.class == nil {
		return m.Group()
	}
	return r.lineButton(l, f)
}

// opened is the line that is being decided otherwise, if it is one of these.
func (r *reading) opened(f rulebook.Factor, limits []numbered) m.Part {
	for _, l := range limits {
		if r.class != nil && l.no+1 == r.s.Shelf.Line.No {
			return r.lineForm(f, l)
		}
	}
	return m.Group()
}

// origin is where a limit comes from.
type origin struct{ note, source, confidence string }

// standing says where the limits of a factor come from: once for all of them
// where that is the same.
func (r *reading) standing(limits []numbered) m.Part {
	var origins []origin
	var itself []string
	labels := map[origin][]string{}
	for _, l := range limits {
		o := origin{l.Note, l.Source, l.Confidence}
		if labels[o] == nil {
			origins = append(origins, o)
		}
		labels[o] = append(labels[o], label(l.Limit))
		if text := r.itself(l.Limit); text != "" && !slices.Contains(itself, text) {
			itself = append(itself, text)
		}
	}
	return m.Group(
		m.Each(itself, func(_ int, t string) m.Part { return parts.Para(t, "soft") }),
		m.If(len(origins) > 0, m.El("ul", m.Class("options"), m.Each(origins, func(_ int, o origin) m.Part {
			text := strings.Join(labels[o], "; ")
			if o.confidence == rulebook.LocalRule {
				return m.El("li", m.Text(words.T("book.labelled", text, words.T("verdict.local-rule", o.note))))
			}
			switch {
			case len(origins) == 1:
				text = sentence(o.note)
			case o.note != "":
				text = words.T("book.labelled", text, sentence(o.note))
			}
			return m.El("li", m.If(text != "", m.Text(text)), r.source(o.source, o.confidence))
		}))))
}

// label names a limit among those of its factor.
func label(l rulebook.Limit) string {
	if l.Over == 0 && l.To == 0 {
		return l.Grade
	}
	return words.T("verdict.and", l.Grade, groupText(app.WeightGroup{Over: l.Over, To: l.To}))
}

// sentence ends a text as a sentence, "" for none.
func sentence(text string) string {
	switch {
	case text == "":
		return ""
	case strings.HasSuffix(text, "."):
		return app.Capital(text)
	}
	return app.Capital(text) + "."
}

// itself says by which choices the limit itself is allowed, "" when that is no
// matter of choice.
func (r *reading) itself(l rulebook.Limit) string {
	var texts []string
	for _, id := range sorting.Keys(l.InclusiveWhen) {
		key := "less"
		if r.resolved[id] == l.InclusiveWhen[id] {
			key = "allowed"
		}
		texts = append(texts, words.T("book.itself-"+key, r.optionText(id, r.resolved[id])))
	}
	return strings.Join(texts, " ")
}

// howText says how a factor makes one amount and over what.
func (r *reading) howText(f rulebook.Factor) string {
	how := f.Op
	if words.Has("book.op-" + f.Op) {
		how = words.T("book.op-" + f.Op)
	}
	return words.T("verdict.and", how, words.T("book.per-"+f.Per))
}

// counts says what counts for a factor and where.
func (r *reading) counts(f rulebook.Factor) m.Part {
	line := func(key, text string) m.Part {
		return m.If(text != "", parts.Para(words.T("book.what-"+key, text), "soft"))
	}
	zones := mapped(f.Zones, func(_ int, id string) string { return nameOf(r.book.Zones, id, zoneName) })
	added := mapped(f.Add, func(_ int, id string) string { return nameOf(r.book.Factors, id, factorName) })
	return m.Group(
		m.Each(r.conditions(f.When), func(_ int, t string) m.Part { return parts.Para(t, "soft") }),
		line("counts", r.defectNames(f.Defects)),
		line("adds", strings.Join(added, "; ")),
		line("sign", nameOf(r.book.Factors, f.Fault, factorName)),
		line("sites", r.siteNames(f.Sites)),
		line("zones", strings.Join(zones, ", ")))
}

func zoneName(z rulebook.Zone) (id, name string)     { return z.ID, z.Name }
func factorName(f rulebook.Factor) (id, name string) { return f.ID, f.Name }

// nameOf finds the name of an id in a list, the id itself where it has none.
func nameOf[T any](list []T, id string, of func(T) (id, name string)) string {
	for _, v := range list {
		if i, name := of(v); i == id {
			return name
		}
	}
	return id
}

func (r *reading) defectNames(ids []string) string {
	return strings.Join(mapped(ids, func(_ int, id string) string { return app.DefectName(r.book, id) }), "; ")
}

func (r *reading) siteNames(ids []string) string {
	return strings.Join(mapped(ids, func(_ int, id string) string { return app.SiteName(r.book, id) }), ", ")
}

// inclusive tells whether the limit itself is allowed by the choices made.
func (r *reading) inclusive(l rulebook.Limit) bool {
	return l.Inclusive || len(l.InclusiveWhen) > 0 && rulebook.Holds(l.InclusiveWhen, r.resolved)
}

// allowText is what a limit allows or asks for in plain words, both units
// beside each other.
func (r *reading) allowText(f rulebook.Factor, l rulebook.Limit) string {
	return boundText(l.Bound(), f.Dim(), l.Least != "", r.inclusive(l))
}

// boundText says a bound of a dimension: the most of it, or the least.
func boundText(bound string, d amount.Dim, least, inclusive bool) string {
	a, err := amount.Parse(bound, d)
	switch {
	case err != nil:
		return bound
	case least && inclusive:
		return words.T("book.at-least", a)
	case least:
		return words.T("book.more", a)
	case a.IsZero():
		return words.T("book.none-allowed")
	case d == amount.DimCount:
		return words.T("book.at-most", a)
	case inclusive:
		return words.T("book.up-to", a)
	}
	return words.T("book.less", a)
}

func (r *reading) source(id, confidence string) m.Node {
	return bench{bird: app.Bird{Book: r.book}}.source(id, confidence)
}

// defects is everything the book names, with what is easily taken wrongly.
func (r *reading) defects() m.Part {
	var items []m.Part
	for _, d := range r.book.Defects {
		sites := r.siteNames(d.Sites)
		if !r.found(d.Name, d.Meaning, d.Caution, sites) {
			continue
		}
		measures := strings.Join(mapped(measured(d), func(_ int, id string) string { return r.measureText(id) }), ", ")
		items = append(items, m.El("div", m.ID("defect-"+d.ID), m.Class("entry"),
			m.El("h3", m.Text(app.Capital(d.Name))),
			m.If(d.Meaning != "", parts.Para(d.Meaning)),
			m.If(d.Caution != "", parts.Para(words.T("book.caution", d.Caution))),
			m.If(sites != "", parts.Para(words.T("book.what-sites", sites), "soft")),
			m.If(measures != "", parts.Para(words.T("book.measures", measures), "soft"))))
	}
	return r.section("defects", items)
}

// measured lists what is measured of a defect beyond counting it.
func measured(d rulebook.Defect) []string {
	return slices.DeleteFunc(slices.Clone(d.Measures), func(id string) bool { return id == rulebook.MeasureCount })
}

func (r *reading) measureText(id string) string {
	if words.Has("book.measure-" + id) {
		return words.T("book.measure-" + id)
	}
	return id
}

func (r *reading) notes() m.Part {
	var items []m.Part
	for _, n := range r.book.Notes {
		about := r.aboutName(n.About)
		if !r.found(n.Text, about) {
			continue
		}
		items = append(items, m.El("div", m.Class("entry"),
			m.If(about != "", m.El("h3", m.Text(app.Capital(about)))),
			parts.Para(n.Text),
			m.If(n.Source != "", r.source(n.Source, n.Confidence))))
	}
	return r.section("notes", items)
}

// aboutName is the name of what a note is about, "" for the whole book.
func (r *reading) aboutName(id string) string {
	for _, name := range []string{
		nameOf(r.book.Factors, id, factorName),
		nameOf(r.book.Defects, id, func(d rulebook.Defect) (string, string) { return d.ID, d.Name }),
		nameOf(r.book.Choices, id, func(c rulebook.Choice) (string, string) { return c.ID, c.Title }),
	} {
		if name != id {
			return name
		}
	}
	return id
}

func (r *reading) sources() m.Part {
	var items []m.Part
	for _, src := range r.book.Sources {
		if r.found(src.Title, src.Date, src.Note) {
			title := src.Title
			if src.Date != "" {
				title = words.T("verdict.and", title, src.Date)
			}
			items = append(items, m.El("div", m.Class("entry"), parts.Para(title), m.If(src.Note != "", parts.Para(sentence(src.Note), "soft"))))
		}
	}
	return r.section("sources", items)
}

// removal takes a book that was brought in off this phone.
func (r *reading) removal() m.Part {
	if _, published := rulebook.ByID(r.book.ID); published {
		return m.Group()
	}
	return m.El("div", m.Class("no-print"), parts.Why("remove", words.T("book.remove"), nil,
		parts.Para(words.T("book.remove-text")),
		parts.Button(words.T("book.remove-do", r.book.Title), app.Action("book.remove", r.book.ID), parts.Danger)))
}
