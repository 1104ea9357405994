package view

import (
	"strings"

	"keelcard/engine/contest"
	"keelcard/engine/egg"
	"keelcard/engine/points"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
	"keelcard/web/figure"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// starters offers contests to begin from, each with what it holds.
func starters() m.Part {
	return m.Each(contest.Starters(), func(_ int, st contest.Starter) m.Part {
		return parts.Card("starter-"+st.ID, words.T("starter."+st.ID),
			parts.Para(words.T("starter."+st.ID+"-text")),
			parts.Para(starterFacts(st), "strong"),
			m.El("ul", m.Class("plain-list"), m.Each(byDivision(st.Classes), func(_ int, g divided) m.Part {
				names := make([]string, len(g.classes))
				for i, c := range g.classes {
					names[i] = c.Name
				}
				text := strings.Join(names, "; ")
				if g.name != "" {
					text = words.T("starter.group", g.name, text)
				}
				return m.El("li", m.Text(text))
			})),
			parts.Button(words.T("starter.take"), app.Action("new.start", st.ID), parts.Primary, parts.Wide, parts.Says(words.T("starter.take-says", words.T("starter."+st.ID)))))
	})
}

// starterRows is the same in short, for a contest that has no class yet.
func starterRows() []parts.Row {
	var rows []parts.Row
	for _, st := range contest.Starters() {
		rows = append(rows, parts.Row{Title: words.T("starter." + st.ID), Sub: starterFacts(st), Do: app.Action("class.starter", st.ID)})
	}
	return rows
}

// starterFacts says how many classes, which age groups and what teams.
func starterFacts(st contest.Starter) string {
	set := st.Settings
	teams, ages := "", ""
	if set.TeamBest > 0 {
		teams = words.T("starter.teams", set.Best(), set.Most())
	}
	if len(set.Divisions) > 0 {
		ages = words.T("starter.ages", strings.Join(set.Divisions, ", "))
	}
	return joined(words.N("starter.classes", len(st.Classes)), ages, teams)
}

// classNew offers what a class can be. One tap makes it.
func classNew(s *app.State) m.Node {
	others := s.OtherBooks()
	return m.El("div", m.ID("class"), top(s, words.T("class.new"), "contest"),
		parts.Panes(
			parts.Stack(initials(s),
				parts.Para(words.T("class.what-text"), "soft"),
				offers(app.GroupMarket), offers(app.GroupLive)),
			parts.Stack(
				offers(app.GroupEggs), offers(app.GroupExam, ownOffer(s, contest.Identified), ownOffer(s, contest.Checked)),
				m.If(len(others) > 0, parts.Card("offers-books", words.T("class.group-books"), m.Each(others, func(_ int, b *rulebook.Book) m.Part {
					return offer(app.Action("class.add", b.ID), b.ID, b, b.Title, words.T("class.edition", b.Edition))
				}))),
				m.If(len(s.Open.Contest.Classes) == 0, parts.Card("starters", words.T("starter.instead"), parts.List(words.T("starter.instead"), starterRows()...))))))
}

// offers is the usual classes of a group, and what else belongs there.
func offers(group string, more ...m.Part) m.Node {
	return parts.Card("offers-"+group, words.T("class.group-"+group),
		m.Each(app.UsualClasses(), func(_ int, u app.Usual) m.Part {
			if u.Group != group {
				return m.Group()
			}
			b, _ := rulebook.ByID(u.Class.Book)
			return offer(app.Action("class.add", u.ID), u.ID, b, words.T("class.add-"+u.ID), words.T("class.add-"+u.ID+"-sub"))
		}), m.Group(more...))
}

// offer is a class to tap: a small drawing or a sign, what it is, and one line.
func offer(do, id string, b *rulebook.Book, title, line string) m.Node {
	return m.El("button", m.ID(parts.IDOf(do)), m.Class("btn", "wide", "offer"), m.Attr("type", "button"), m.Do(do),
		m.El("span", m.Class("sign"), m.Attr("aria-hidden", "true"), offerSign(id, b)),
		m.El("span", m.Text(title+" "), m.El("span", m.Class("choice-sub"), m.Text(line))))
}

// offerSign is the small drawing of a class, or a few letters.
func offerSign(id string, b *rulebook.Book) m.Part {
	o := figure.Options{ID: "sign-" + id, Static: true}
	switch id {
	case contest.Placing:
		return figure.Hen(func(string) figure.Pigment { return figure.NotLooked }, o)
	case "parts-30":
		return figure.Part("wing", o)
	case "parts-10":
		return figure.Part("thigh", o)
	}
	if b == nil {
		return m.Text(words.T("class.sign-" + id))
	}
	switch b.Drawing {
	case rulebook.DrawPart:
		return figure.Part("leg-quarter", o)
	case rulebook.DrawShell:
		return figure.Shell(figure.ShellEgg{}, o)
	case rulebook.DrawLight:
		return figure.Light(figure.LightEgg{}, o)
	case rulebook.DrawOpened:
		return figure.Opened(figure.OpenedEgg{}, o)
	case rulebook.DrawPiece:
		return figure.Breaded([]figure.BreadedPiece{{}}, nil, o)
	case rulebook.DrawCarton:
		return figure.Carton(o)
	}
	return figure.Bird(figure.Front, o)
}

// ownOffer is a class of a list that is typed or pasted first.
func ownOffer(s *app.State, kind string) m.Part {
	do := app.Action("class.own", kind)
	if s.Setup.Own.Kind != kind {
		return offer(do, kind, nil, words.T("class.add-"+kind), words.T("class.add-"+kind+"-sub"))
	}
	return m.El("form", m.ID("own-form"), m.Class("stack"), m.Do("class.names"), m.Flag("novalidate"),
		ownField(s, kind, s.Setup.Own.Text, ""),
		submit("own-do", words.T("class.names-do"), "primary", "wide"))
}

// ownField is the list itself, one a line.
func ownField(s *app.State, kind, value, do string) m.Node {
	return parts.Field(parts.Input{Name: "names", Label: words.T("class.names-" + kind), Hint: words.T("class.names-hint"), Value: value, Do: do, Lines: 8, Error: s.Setup.Own.Fault})
}

// divisionField puts a class into a division: a usual one, one of the contest,
// or another.
func divisionField(s *app.State, c contest.Class) m.Part {
	options := []parts.Option{{Value: "", Label: words.T("class.no-division")}}
	has := map[string]bool{}
	add := func(name string) {
		if !has[name] {
			has[name] = true
			options = append(options, parts.Option{Value: name, Label: name})
		}
	}
	for _, group := range app.Groups()[:3] {
		add(words.T("class.group-" + group))
	}
	for _, d := range s.ClassDivisions() {
		add(d)
	}
	options = append(options, parts.Option{Value: app.NewDivision, Label: words.T("class.new-division")})
	value := c.Division
	if s.Setup.NewDivision {
		value = app.NewDivision
	}
	return m.Group(
		parts.Field(parts.Input{Name: "group", Label: words.T("class.division"), Value: value, Do: "class.division", Options: options}),
		m.If(s.Setup.NewDivision, parts.Field(parts.Input{Name: "division-name", Label: words.T("class.division-name"), Do: "class.division"})))
}

// shape is what a class is made of: how many, and by which book, list or own
// names. Where cards are keyed it is shown, and changed only when asked for.
func shape(s *app.State, c contest.Class) m.Part {
	switch {
	case c.Kind == contest.Placing:
		return parts.Para(words.T("class.placing-text"))
	case s.CardsIn(c.No) > 0 && !s.Setup.Reshape:
		return m.Group(
			parts.Para(words.T("class.shape", joined(words.N("class.count", max(c.Items, c.OfficialCount())), madeOf(c)))),
			parts.Button(words.T("class.reshape"), "class.reshape", parts.Quiet))
	case c.Kind == contest.Awarded:
		return givenFields(c)
	}
	items := words.T("class.items")
	if c.Kind == contest.Identified && !app.Named(c) {
		items = words.T("class.questions")
	}
	return m.Group(
		parts.Field(parts.Input{Name: "items", Label: items, Value: itoa(c.Items), Do: "class.items", Type: "number", Mode: "numeric", Short: true}),
		bookChoices(s, c), listChoices(s, c))
}

// madeOf names the book or the list of a class.
func madeOf(c contest.Class) string {
	switch {
	case c.Book != "":
		return bookTitle(c)
	case c.List != "":
		return words.T("class.list-" + c.List)
	case c.Kind == contest.Awarded:
		return words.T("class.given-by")
	}
	return words.N("class.own-of", len(c.Names))
}

// bookChoices offers the books of the same things, and faults of its own for a
// class that is looked over.
func bookChoices(s *app.State, c contest.Class) m.Part {
	if c.Kind == contest.Identified {
		return m.Group()
	}
	var out []parts.Choice
	for _, b := range s.BooksLike(c) {
		out = append(out, parts.Choice{Label: b.Title, Sub: words.T("class.edition", b.Edition), Do: app.Action("class.book", b.ID), On: b.ID == c.Book})
	}
	if c.Kind == contest.Checked {
		out = append(out, ownChoice(s, c))
	}
	return m.If(len(out) > 1, parts.Choices(words.T("class.book"), true, out...))
}

// ownChoice is the way to a list of the class's own.
func ownChoice(s *app.State, c contest.Class) parts.Choice {
	return parts.Choice{Label: words.T("class.add-" + c.Kind), Sub: words.T("class.names-hint"), Do: app.Action("class.own", c.Kind),
		On: s.Setup.Own.Kind != "" || c.Book == "" && c.List == ""}
}

// listChoices offers the built-in lists of names and a list of its own.
func listChoices(s *app.State, c contest.Class) m.Part {
	own := s.Setup.Own.Kind != ""
	var lists m.Part = m.Group()
	if c.Kind == contest.Identified {
		var out []parts.Choice
		for _, l := range contest.Lists() {
			out = append(out, parts.Choice{Label: words.T("class.list-" + l.ID), Sub: l.Source, Do: app.Action("class.list", l.ID), On: !own && l.ID == c.List})
		}
		lists = parts.Choices(words.T("class.lists"), true, append(out, ownChoice(s, c))...)
	}
	l, _ := contest.ListByID(c.List)
	value := strings.Join(c.Names, "\n")
	if own {
		value = s.Setup.Own.Text
	}
	return m.Group(lists, m.If(!own && l.Note != "", parts.Para(l.Note, "soft")), m.If(own || len(c.Names) > 0, ownField(s, c.Kind, value, "class.names")))
}

// namesCard shows what is told of each item: the names to choose from with
// their other words, or the faults.
func namesCard(c contest.Class) m.Part {
	var names []string
	switch c.Kind {
	case contest.Identified:
		names = c.Answers()
		if l, ok := contest.ListByID(c.List); ok {
			for i, n := range l.Names {
				names[i] = strings.Join(append([]string{n.Name}, n.Also...), ", ")
			}
		}
	case contest.Checked:
		faults, _ := c.Faults()
		for _, f := range faults {
			names = append(names, f.Name)
		}
	}
	return m.If(len(names) > 0, parts.Why("class-names", words.N("class.n-"+c.Kind, len(names)), nil,
		m.El("ol", m.Each(names, func(_ int, name string) m.Part { return m.El("li", m.Text(name)) }))))
}

// shareCard says what one answer earns, and of faults whether each counts.
func shareCard(c contest.Class) m.Part {
	slots := c.Slots()
	if slots == 0 || c.Kind != contest.Identified && c.Kind != contest.Checked {
		return m.Group()
	}
	worth := c.Worth
	if worth == 0 {
		worth = points.Of(10 * c.Items)
	}
	if c.Kind == contest.Identified {
		return parts.Card("class-share", "", parts.Para(words.T("class.share-identified", worth/points.Points(slots))))
	}
	per := words.T("class.share-item", worth/points.Points(c.Items))
	return parts.Card("class-share", words.T("class.share"), parts.Choices("", true,
		parts.Choice{Label: words.T("class.share-each", worth/points.Points(slots)), Sub: words.T("class.share-each-source"), Do: app.Action("class.whole", ""), On: !c.Whole},
		parts.Choice{Label: per, Sub: words.T("class.common-practice"), Do: app.Action("class.whole", "whole"), On: c.Whole}))
}

// givenFields asks who gives points, in what steps, and how several are made one.
func givenFields(c contest.Class) m.Part {
	rounds := make([]parts.Choice, 3)
	for i, r := range []string{"", contest.RoundHalf, contest.RoundWhole} {
		rounds[i] = parts.Choice{Label: words.T("class.round-" + or(r, "fine")), Do: app.Action("class.round", r), On: c.Round == r}
	}
	return m.Group(
		parts.Field(parts.Input{Name: "officials", Label: words.T("class.officials"), Value: itoa(c.OfficialCount()), Do: "class.officials", Options: numbers(1, contest.MaxOfficials), Short: true}),
		m.If(c.OfficialCount() > 1, m.Group(
			parts.Choices(words.T("class.round"), false, rounds...),
			parts.Para(words.T("class.round-text"), "soft"))),
		parts.Field(parts.Input{Name: "step", Label: words.T("class.step"), Hint: words.T("class.step-hint"), Value: c.StepPoints().String(), Do: "class.step", Mode: "decimal", Short: true}))
}

// criteriaCard lists what points are given for, if it is more than one thing.
func criteriaCard(s *app.State, c contest.Class) m.Part {
	if c.Kind != contest.Awarded || s.CardsIn(c.No) > 0 && !s.Setup.Reshape {
		return m.Group()
	}
	var sum points.Points
	for _, one := range c.GivenFor() {
		sum += one.Most
	}
	return parts.Card("class-criteria", words.T("class.criteria"),
		parts.Para(words.T("class.criteria-text"), "soft"),
		m.Each(c.Criteria, func(i int, one contest.Criterion) m.Part {
			no := itoa(i)
			return m.El("div", m.ID("criterion-"+no), m.Class("row", "end"),
				m.El("div", m.Class("grow"), parts.Field(parts.Input{Name: "criterion-" + no, Label: words.T("class.criterion", i+1), Value: one.Name, Do: app.Action("class.criterion-name", no)})),
				parts.Field(parts.Input{Name: "most-" + no, Label: words.T("class.most"), Value: one.Most.String(), Do: app.Action("class.criterion-most", no), Mode: "decimal", Short: true}),
				parts.Button("×", app.Action("class.criterion-remove", no), parts.Says(words.T("settings.remove", one.Name))))
		}),
		m.If(len(c.Criteria) > 0, parts.Para(words.T("class.criteria-sum", sum), "strong")),
		m.El("form", m.ID("criterion-form"), m.Class("row", "end"), m.Do("class.criterion-add"), m.Flag("novalidate"), m.Flag("data-clear"),
			m.El("div", m.Class("grow"), parts.Field(parts.Input{Name: "criterion", Label: words.T("class.criterion-new")})),
			parts.Field(parts.Input{Name: "most", Label: words.T("class.most"), Mode: "decimal", Short: true}),
			submit("criterion-add", words.T("settings.add"))))
}

// eggCard asks which weight class the eggs of a class are of, where the book's
// verdicts depend on it.
func eggCard(c contest.Class, b *rulebook.Book) m.Part {
	op := app.EggWeights(b)
	if op == "" {
		return m.Group()
	}
	choices := []parts.Choice{{Label: words.T("class.eggs-" + op), Do: app.Action("class.eggs", ""), On: c.Weight == 0}}
	for _, w := range egg.WeightClasses() {
		choices = append(choices, parts.Choice{Label: w.Name, Do: app.Action("class.eggs", w.ID), On: w.Average() == c.Weight})
	}
	return parts.Card("class-eggs", words.T("class.eggs"),
		parts.Choices("", false, choices...),
		parts.Para(words.T("class.eggs-text-"+op), "soft"))
}
