package view

import (
	"slices"
	"strings"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/points"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// form holds fields that are sent together, by a button or by Enter.
func form(id, do string, items ...m.Part) m.Node {
	return m.El("form", m.ID(id), m.Class("stack"), m.Do(do), m.Flag("novalidate"), m.Group(items...))
}

// submit is the button that sends its form.
func submit(id, label string, classes ...string) m.Node {
	return m.El("button", m.ID(id), m.Class(append([]string{"btn"}, classes...)...), m.Attr("type", "submit"), m.Text(label))
}

// faultText is what is wrong with what was typed, and what to do, "" for nothing.
func faultText(e *engine.Error) string {
	if e == nil {
		return ""
	}
	return strings.TrimSpace(e.What + " " + e.Fix)
}

// newPage begins a contest: empty, or with all that one of its kind holds.
func newPage(s *app.State) m.Node {
	f := s.Setup.New
	return m.El("div", m.ID("new"),
		parts.TopBar(words.T("new.title"), words.T("new.sub"), words.T("common.back"), toPage("home")),
		parts.Panes(
			form("new-form", "new.start",
				parts.Card("new-what", "",
					parts.Field(parts.Input{Name: "name", Label: words.T("new.name"), Hint: words.T("new.name-hint"), Value: f.Name, Do: "new.name", Error: faultText(f.Fault)}),
					parts.Field(parts.Input{Name: "date", Label: words.T("new.date"), Value: f.Date, Do: "new.date", Type: "date"}),
					parts.Field(parts.Input{Name: "place", Label: words.T("new.place"), Value: f.Place, Do: "new.place"}),
					sealCheck(f)),
				initials(s)),
			parts.Stack(m.El("h2", m.Text(words.T("starter.title"))), starters(),
				parts.Card("new-empty", words.T("new.empty"),
					parts.Para(words.T("new.empty-text")),
					m.El("button", m.ID("new-start"), m.Class("btn", "wide"), m.Attr("type", "submit"), m.Attr("form", "new-form"), m.Text(words.T("new.start")))))))
}

// settings is the page of what holds for the whole contest.
func settings(s *app.State) m.Node {
	set := s.Open.Contest.Settings
	return m.El("div", m.ID("settings"),
		top(s, words.T("settings.title"), "contest"),
		parts.Panes(
			parts.Stack(
				initials(s),
				parts.Card("settings-what", "",
					parts.Field(parts.Input{Name: "name", Label: words.T("new.name"), Value: set.Name, Do: "settings.name"}),
					parts.Field(parts.Input{Name: "date", Label: words.T("new.date"), Value: set.Date, Do: "settings.date", Type: "date"}),
					parts.Field(parts.Input{Name: "place", Label: words.T("new.place"), Value: set.Place, Do: "settings.place"})),
				teamRules(set),
				divisions(s), classGroups(s), confirmCard(s), sealCard(s)),
			parts.Stack(
				tieBreaks(s),
				startCard(s),
				pieceButton(s),
				undoButton(s))))
}

func teamRules(set contest.Settings) m.Node {
	return parts.Card("settings-teams", words.T("settings.teams"),
		parts.Field(parts.Input{Name: "best", Label: words.T("settings.best"), Hint: words.T("settings.best-hint"), Value: itoa(set.Best()), Do: "settings.best", Options: numbers(1, 8), Short: true}),
		parts.Field(parts.Input{Name: "most", Label: words.T("settings.most"), Value: itoa(set.Most()), Do: "settings.most", Options: numbers(1, 10), Short: true}),
		parts.Source(words.T("settings.teams-source")))
}

func numbers(from, to int) []parts.Option {
	var out []parts.Option
	for n := from; n <= to; n++ {
		out = append(out, parts.Option{Value: itoa(n), Label: itoa(n)})
	}
	return out
}

func divisions(s *app.State) m.Node {
	in := map[string]int{}
	for _, p := range s.Open.Contest.Persons {
		in[p.Division]++
	}
	return parts.Card("settings-divisions", words.T("settings.divisions"),
		parts.Para(words.T("settings.divisions-text"), "soft"),
		m.Each(s.Open.Contest.Settings.Divisions, func(i int, d string) m.Part {
			no := itoa(i)
			return m.El("div", m.ID("division-"+no), m.Class("row", "end"),
				m.El("div", m.Class("grow"), parts.Field(parts.Input{
					Name: "division-" + no, Label: divisionLabel(i+1, in[d]),
					Value: d, Do: app.Action("settings.division-name", no)})),
				m.If(i > 0, parts.Button("↑", app.Action("settings.division-up", no), parts.Says(words.T("settings.up", d)))),
				parts.Button("×", app.Action("settings.division-remove", no), parts.Says(words.T("settings.remove", d))))
		}),
		m.El("form", m.ID("division-form"), m.Class("row", "end"), m.Do("settings.division-add"), m.Flag("novalidate"), m.Flag("data-clear"),
			m.El("div", m.Class("grow"), parts.Field(parts.Input{Name: "division", Label: words.T("settings.division-new"), Placeholder: words.T("settings.division-example")})),
			submit("division-add", words.T("settings.add"))))
}

// classGroups is the divisions of the classes.
func classGroups(s *app.State) m.Part {
	list := byDivision(s.Open.Contest.Classes)
	if len(s.Open.Contest.Classes) == 0 {
		return m.Group()
	}
	return parts.Card("settings-groups", words.T("settings.groups"),
		parts.Para(words.T("settings.groups-text"), "soft"),
		m.Each(list, func(_ int, g divided) m.Part {
			if g.name == "" {
				return parts.Para(words.T("settings.ungrouped", g.names()))
			}
			no := itoa(slices.Index(s.ClassDivisions(), g.name))
			return parts.Field(parts.Input{Name: "group-" + no, Label: words.T("settings.group"), Hint: g.names(), Value: g.name, Do: app.Action("settings.group-name", no)})
		}))
}

func divisionLabel(no, people int) string {
	if people == 0 {
		return words.T("settings.division", no)
	}
	return words.N("settings.division-of", people)
}

// tieBreaks is the ordered list of what decides between equal totals.
func tieBreaks(s *app.State) m.Node {
	set := s.Open.Contest.Settings
	open := s.TiesOpen()
	return parts.Card("ties", words.T("settings.ties"),
		parts.Para(words.T("settings.ties-text"), "soft"),
		m.If(len(set.Ties) == 0, parts.Para(words.T("settings.no-ties"))),
		m.If(len(set.Ties) > 0, m.El("ol", m.Class("list"), m.Attr("aria-label", words.T("settings.ties")),
			m.Each(set.Ties, func(i int, t contest.Tie) m.Part { return tieRow(s, i, t, open) }))),
		m.If(len(set.Ties) > 0, parts.Para(words.T("settings.still-equal"), "soft")),
		m.If(set.Started && !open, parts.Notice(parts.Info, words.T("settings.locked"),
			parts.Button(words.T("settings.unlock"), "settings.tie-unlock", parts.Quiet))),
		m.If(set.Started && open, parts.Notice(parts.Caution, words.T("settings.unlocked"))),
		m.If(open, tieAdding(s)))
}

func tieRow(s *app.State, i int, t contest.Tie, open bool) m.Node {
	no, title := itoa(i), tieTitle(s, t)
	last := len(s.Open.Contest.Settings.Ties) - 1
	return m.El("li", m.ID("tie-"+no), m.El("div", m.Class("list-item", "row"),
		m.El("span", m.Class("item-lead"), m.Text(itoa(i+1))),
		m.El("span", m.Class("item-text"), m.El("span", m.Class("item-title"), m.Text(title)),
			m.If(t.Alternate, m.El("span", m.Class("item-sub"), m.Text(words.T("settings.tie-teams"))))),
		m.If(open, parts.Line(
			m.If(i > 0, parts.Button("↑", app.Action("settings.tie-up", no), parts.Says(words.T("settings.up", title)))),
			m.If(i == 0 && last > 0, parts.Button("↓", app.Action("settings.tie-down", no), parts.Says(words.T("settings.down", title)))),
			parts.Button("×", app.Action("settings.tie-remove", no), parts.Says(words.T("settings.remove", title)))))))
}

// tieTitle says what a tie-break compares.
func tieTitle(s *app.State, t contest.Tie) string {
	if t.Alternate {
		return words.T("settings.tie-alternate")
	}
	names := make([]string, len(t.Classes))
	for i, no := range t.Classes {
		names[i] = words.T("settings.tie-gone", no)
		if c, ok := s.Open.Contest.Class(no); ok {
			names[i] = c.Name
		}
	}
	return strings.Join(names, " + ")
}

// tieAdding offers what is usual as a tie-break, and any classes together.
// What is on the list already is not offered again.
func tieAdding(s *app.State) m.Part {
	c := s.Open.Contest
	if len(c.Classes) == 0 {
		return parts.Empty(words.T("settings.ties-empty"), parts.Button(words.T("next.class-do"), to(s, "class", "new")))
	}
	has := func(t contest.Tie) bool {
		for _, x := range c.Settings.Ties {
			if x.Alternate == t.Alternate && slices.Equal(x.Classes, t.Classes) {
				return true
			}
		}
		return false
	}
	group := func(what string, least int) m.Part {
		classes := s.TieGroup(what)
		return m.If(len(classes) >= least && !has(contest.Tie{Classes: classes}),
			parts.Button(words.T("settings.tie-of-"+what), app.Action("settings.tie-add", what), parts.Wide, parts.Sub(tieTitle(s, contest.Tie{Classes: classes}))))
	}
	picked := s.Setup.Picked
	return m.Group(
		m.El("div", m.Class("stack", "close"),
			group(app.TieReasons, 1), group(app.TiePlacing, 2), group(app.TieGraded, 2),
			m.If(!has(contest.Tie{Alternate: true}), parts.Button(words.T("settings.tie-alternate"), app.Action("settings.tie-add", "alternate"), parts.Wide, parts.Sub(words.T("settings.tie-teams"))))),
		m.El("fieldset", m.Class("choices"),
			m.El("legend", m.Text(words.T("settings.tie-pick"))),
			m.Each(c.Classes, func(_ int, cl contest.Class) m.Part {
				on := false
				for _, no := range picked {
					on = on || no == cl.No
				}
				return parts.Button(cl.Name, app.Action("settings.tie-pick", itoa(cl.No)), parts.Pressed(on))
			})),
		m.If(len(picked) > 0, parts.Button(words.T("settings.tie-add", tieTitle(s, contest.Tie{Classes: picked})), app.Action("settings.tie-add", "picked"), parts.Primary, parts.Wide)),
		parts.Source(words.T("settings.ties-source")))
}

// startCard is the one tap that settles the tie-breaks.
func startCard(s *app.State) m.Node {
	c := s.Open.Contest
	if c.Settings.Started {
		return parts.Card("start", words.T("settings.started"),
			parts.Para(words.T("settings.started-text")),
			m.If(s.Setup.Unlock, parts.Button(words.T("settings.unstart"), "settings.unstart", parts.Quiet)))
	}
	return parts.Card("start", words.T("settings.start-title"),
		parts.Para(words.T("settings.start-text")),
		parts.Stats(
			parts.Stat(itoa(len(c.Classes)), words.T("settings.n-classes")),
			parts.Stat(itoa(len(c.Persons)), words.T("settings.n-people")),
			parts.Stat(itoa(len(c.Settings.Ties)), words.T("settings.n-ties"))),
		parts.Button(words.T("settings.start"), "settings.start", parts.Primary, parts.Big, parts.Wide))
}

// pieceButton takes back what was last written as one piece.
func pieceButton(s *app.State) m.Part {
	piece := s.People.Piece
	if piece == nil || s.People.Contest != s.Open.Head.ID {
		return m.Group()
	}
	return parts.Button(words.T("people.take-back"), "people.take-back", parts.Wide, parts.Sub(piece.Text))
}

// classPage sets up one class: a new one, or the one with the number in the
// address.
func classPage(s *app.State) m.Node {
	if s.Page.Arg(0) == "new" {
		return classNew(s)
	}
	c, ok := s.Open.Contest.Class(s.Page.Number(0))
	if !ok {
		return m.El("div", m.ID("class"),
			top(s, words.T("class.none", s.Page.Arg(0)), "contest"),
			parts.Main(parts.Empty(words.T("class.none-text"), parts.Button(words.T("overview.add-class"), to(s, "class", "new"), parts.Primary)), undoButton(s)))
	}
	return m.El("div", m.ID("class"), top(s, words.T("class.title", c.No), "contest"),
		parts.Panes(
			parts.Stack(initials(s), classWarning(s, c), classWhat(s, c), bookCards(c), toBook(s, c)),
			parts.Stack(criteriaCard(s, c), pointsCard(c), worthCard(c), shareCard(c), doubleCard(c), classEnd(s, c))))
}

// toBook leads to the book of a class.
func toBook(s *app.State, c contest.Class) m.Part {
	return m.If(c.Book != "", parts.Button(words.T("book.of-class"), to(s, "class-book", itoa(c.No)), parts.Wide, parts.Sub(words.T("book.of-class-sub"))))
}

// bookCards asks what the class's book has to know.
func bookCards(c contest.Class) m.Part {
	if c.Book == "" {
		return m.Group()
	}
	b, err := c.RuleBook()
	if err != nil {
		return parts.Notice(parts.Bad, words.T("class.no-book", c.Book), parts.Para(words.T("class.no-book-fix")))
	}
	return m.Group(birdCard(c, b), eggCard(c, b), choicesCard(c, b))
}

// classWarning says what a change would touch: cards, a locked key, official
// answers that the book would not give any more.
func classWarning(s *app.State, c contest.Class) m.Part {
	n := s.CardsIn(c.No)
	diff := s.Regrade(c)
	return m.Group(
		m.If(n > 0, parts.Notice(parts.Caution, words.N("class.has-cards", n))),
		m.If(s.Open.Contest.Key(c).Locked, parts.Notice(parts.Info, words.T("class.locked"))),
		m.If(len(diff) > 0, parts.Notice(parts.Caution, words.N("class.regraded", len(diff)),
			m.El("ul", m.Each(diff, func(_ int, r app.Regraded) m.Part {
				return m.El("li", m.Text(words.T("class.regraded-item", r.Item, r.Key, r.Book)))
			})),
			parts.Button(words.T("class.regraded-do"), to(s, "key", itoa(c.No)), parts.ID("to-key")))))
}

func classWhat(s *app.State, c contest.Class) m.Node {
	reasons := c.Kind == contest.Placing || c.Kind == contest.Awarded || c.Reasons
	return parts.Card("class-what", "",
		parts.Field(parts.Input{Name: "name", Label: words.T("class.name"), Value: c.Name, Do: "class.name"}),
		shape(s, c), namesCard(c),
		divisionField(s, c),
		m.If(reasons, parts.Check(words.T("class.reasons"), "class.reasons", c.Reasons)))
}

func bookTitle(c contest.Class) string {
	if b, err := c.RuleBook(); err == nil {
		return b.Title
	}
	return c.Book
}

// birdCard asks which bird of which weight the class is of, as far as the book
// has to know.
func birdCard(c contest.Class, b *rulebook.Book) m.Part {
	bands := app.Bands(c, b)
	if len(b.Kinds) < 2 && len(bands) < 2 {
		return m.Group()
	}
	kinds := make([]parts.Choice, len(b.Kinds))
	for i, k := range b.Kinds {
		kinds[i] = parts.Choice{Label: k.Name, Do: app.Action("class.bird", k.ID), On: k.ID == c.Bird}
	}
	weights := make([]parts.Choice, len(bands))
	for i, w := range bands {
		weights[i] = parts.Choice{Label: bandText(w), Do: app.Action("class.weight", itoa(i)), On: w.Holds(c.Weight)}
	}
	return parts.Card("class-bird", words.T("class.birds"),
		m.If(len(kinds) > 1, parts.Choices(words.T("class.bird"), false, kinds...)),
		m.If(len(kinds) > 1 && app.OwnKinds(b), parts.Para(words.T("class.kind-each"), "soft")),
		unasked(c, b),
		m.If(len(weights) > 0, parts.Choices(words.T("class.weight"), true, weights...)),
		m.If(len(weights) > 0, parts.Para(words.T("class.weight-text"), "soft")))
}

// unasked says what the book holds for this kind alone but is not asked for, and
// which choice decides that.
func unasked(c contest.Class, b *rulebook.Book) m.Part {
	names, choice := app.Unasked(c, b)
	return m.If(len(names) > 0, parts.Notice(parts.Caution, words.T("class.kind-unasked", strings.Join(names, ", ")),
		parts.Para(words.T("class.kind-unasked-fix", choice))))
}

func bandText(w app.Band) string {
	switch {
	case w.Over == 0:
		return words.T("class.weight-to", w.To)
	case w.To == 0:
		return words.T("class.weight-over", w.Over)
	}
	return words.T("class.weight-between", w.Over, w.To)
}

// choicesCard shows every point on which books differ, with both sides.
func choicesCard(c contest.Class, b *rulebook.Book) m.Part {
	if len(b.Choices) == 0 {
		return m.Group()
	}
	own := 0
	for _, choice := range b.Choices {
		if app.ChosenOption(c, choice) != choice.Default {
			own++
		}
	}
	return parts.Card("class-choices", words.T("class.choices"),
		parts.Para(words.T("class.choices-text")),
		m.If(own > 0, parts.Para(words.N("class.choices-own", own), "strong")),
		m.Each(b.Choices, func(_ int, choice rulebook.Choice) m.Part { return choiceLine(c, b, choice) }))
}

// choiceLine is one choice: what holds, and, opened, both sides with their
// sources and why one is usual.
func choiceLine(c contest.Class, b *rulebook.Book, choice rulebook.Choice) m.Node {
	chosen := app.ChosenOption(c, choice)
	now := ""
	sides := make([]parts.Choice, len(choice.Options))
	for i, o := range choice.Options {
		sub := sourceText(b, o)
		if o.ID == choice.Default {
			sub = words.T("class.usual", sub)
		}
		sides[i] = parts.Choice{Label: o.Title, Sub: sub, Do: app.Action("class.choice", choice.ID, o.ID), On: o.ID == chosen}
		if o.ID == chosen {
			now = o.Title
		}
	}
	return m.El("details", m.ID("choice-"+choice.ID), m.Class("trail"),
		m.El("summary", m.El("span", m.Class("item-text"),
			m.El("span", m.Class("item-title"), m.Text(choice.Title)),
			m.El("span", m.Class("item-sub"), m.Text(now)))),
		m.El("div", m.Class("why-body"),
			parts.Choices("", true, sides...),
			parts.Para(choice.Why)))
}

// sourceText names where one side of a choice stands and how well that is known.
func sourceText(b *rulebook.Book, o rulebook.Option) string {
	title := o.Source
	for _, src := range b.Sources {
		if src.ID == o.Source {
			title = src.Title
			if src.Date != "" {
				title += ", " + src.Date
			}
		}
	}
	switch o.Confidence {
	case rulebook.FromMemory:
		return words.T("class.from-memory", title)
	case rulebook.CommonPractice:
		return words.T("class.common-practice")
	}
	return title
}

// pointsCard is the table of points by key and mark, each to be changed.
func pointsCard(c contest.Class) m.Part {
	if c.Kind != contest.Graded {
		return m.Group()
	}
	answers := c.Answers()
	columns := []parts.Column{{Text: words.T("class.key-mark")}}
	for _, a := range answers {
		columns = append(columns, parts.Column{Text: a})
	}
	rows := make([]parts.TableRow, len(answers))
	for i, key := range answers {
		cells := []m.Part{m.Text(key)}
		for _, mark := range answers {
			cells = append(cells, pointsCell(c, key, mark))
		}
		rows[i] = parts.TableRow{ID: "points-" + key, Cells: cells}
	}
	source := "even"
	if len(answers) == 4 && answers[0] == "A" && answers[3] == "NG" {
		source = "published"
	} else if len(answers) == 3 && answers[0] == "A" && answers[2] == "C" {
		source = "three"
	} else if len(answers) == 3 || len(answers) == 4 {
		source = "alike"
	}
	return parts.Card("class-points", words.T("class.points"),
		m.El("div", m.Class("points-grid"), parts.Table("points", words.T("class.points-text"), columns, rows)),
		parts.Source(words.T("class.points-"+source)),
		m.If(len(c.Pairs) > 0, m.Group(
			parts.Para(words.N("class.points-own", len(c.Pairs)), "strong"),
			parts.Button(words.T("class.points-reset"), "class.points-reset", parts.Wide))))
}

func pointsCell(c contest.Class, key, mark string) m.Node {
	p, own := app.PointsOf(c, key, mark)
	do := app.Action("class.points", key, mark)
	says := words.T("class.points-cell", key, mark)
	class := ""
	if own {
		class, says = "own", words.T("class.points-cell-own", key, mark, app.PublishedPoints(c, key, mark))
	}
	return m.El("input", m.ID(parts.IDOf(do)), m.Class(class), m.Attr("type", "text"), m.Attr("inputmode", "decimal"), m.Attr("autocomplete", "off"),
		m.Do(do), m.Attr("aria-label", says), m.Attr("value", p.String()))
}

// worthCard asks what a card without fault is worth.
func worthCard(c contest.Class) m.Part {
	label, source, now := words.T("class.worth-label"), words.T("class.worth-source"), c.Worth
	switch c.Kind {
	case contest.Placing:
		source, now = words.T("class.worth-placing-source"), c.PlacingWorth()
	case contest.Awarded:
		label, source, now = words.T("class.worth-most"), words.T("class.worth-awarded-source"), c.GivenFor()[0].Most
		if len(c.Criteria) > 0 {
			return m.Group()
		}
	default:
		if now == 0 {
			now = points.Of(10 * c.Items)
		}
	}
	other := now.String()
	var choices []parts.Choice
	for _, worth := range usualWorths(c) {
		text, do := words.T("class.worth-points", worth), worth.String()
		if worth == points.Of(10*c.Items) {
			text, do = words.T("class.worth-ten", worth), ""
		}
		if worth == now {
			other = ""
		}
		choices = append(choices, parts.Choice{Label: text, Do: app.Action("class.worth", do), On: worth == now})
	}
	return parts.Card("class-worth", words.T("class.worth"),
		parts.Choices(label, false, choices...),
		parts.Field(parts.Input{Name: "worth", Label: words.T("class.worth-other"), Value: other, Do: "class.worth", Mode: "decimal", Short: true}),
		parts.Source(source))
}

// usualWorths lists the usual worths that the class can have.
func usualWorths(c contest.Class) []points.Points {
	usual := []points.Points{points.Of(50), points.Of(100)}
	if c.Kind != contest.Placing && c.Kind != contest.Awarded {
		usual = []points.Points{points.Of(10 * c.Items), points.Of(50), points.Of(100)}
	}
	var out []points.Points
	for _, worth := range usual {
		c.Worth = worth
		if _, err := c.Write(); err == nil && !slices.Contains(out, worth) {
			out = append(out, worth)
		}
	}
	return out
}

// doubleCard asks what two marks on one item earn.
func doubleCard(c contest.Class) m.Part {
	which := c.Kind
	if which != contest.Graded && which != contest.Placing {
		return m.Group() // of two names, or a fault said to be there and not there, one at least is wrong
	}
	return parts.Card("class-double", words.T("class.double"),
		parts.Choices(words.T("class.double-label"), true,
			parts.Choice{Label: words.T("class.double-zero"), Sub: words.T("class.double-zero-source-" + which), Do: app.Action("class.double", ""), On: c.Double == ""},
			parts.Choice{Label: words.T("class.double-lower-" + which), Sub: words.T("class.double-lower-source-" + which), Do: app.Action("class.double", contest.DoubleLower), On: c.Double == contest.DoubleLower}),
		parts.Para(words.T("class.blank"), "soft"))
}

// classEnd is what comes after setting a class up: its key, taking back, and
// taking the class out.
func classEnd(s *app.State, c contest.Class) m.Node {
	n := s.CardsIn(c.No)
	sure := words.T("class.remove-sure", c.Name)
	if n > 0 {
		sure = words.N("class.remove-cards", n)
	}
	next := parts.Button(words.T("class.to-key"), to(s, "key", itoa(c.No)), parts.Primary, parts.Big, parts.Wide)
	if c.Kind == contest.Awarded {
		next = parts.Button(words.T("class.to-keying"), to(s, "keying", itoa(c.No)), parts.Primary, parts.Big, parts.Wide)
	}
	return parts.Stack(
		next,
		parts.Button(words.T("class.another"), to(s, "class", "new"), parts.Wide),
		undoButton(s),
		m.If(n > 0, parts.Button(words.T("class.rule"), to(s, "ruling", itoa(c.No)), parts.Quiet, parts.Wide)),
		m.If(!s.Setup.Remove, parts.Button(words.T("class.remove"), "class.remove", parts.Quiet, parts.Wide)),
		m.If(s.Setup.Remove, parts.Card("class-remove", "",
			parts.Para(sure),
			parts.Line(
				parts.Button(words.T("class.remove-do"), "class.remove-sure", parts.Danger),
				parts.Button(words.T("class.keep"), "class.keep")))))
}
