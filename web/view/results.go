package view

import (
	"slices"
	"strings"

	"keelcard/engine"
	"keelcard/engine/codec"
	"keelcard/engine/contest"
	"keelcard/engine/score"
	"keelcard/web/app"
	"keelcard/web/figure"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// results is the ranking of contestants or teams, the classes with what each
// item turned out to be, or the awards as they are called out.
func results(s *app.State) m.Node {
	r, err := s.Open.Scored()
	if err != nil {
		return m.El("div", m.ID("results"), top(s, words.T("results.title"), "contest"),
			parts.Main(parts.Notice(parts.Bad, err.Error())))
	}
	tab := or(s.Page.Arg(0), "people")
	face := func(name string) parts.Choice {
		return parts.Choice{Label: words.T("results.tab-" + name), Do: to(s, "results", name), On: tab == name}
	}
	body := m.Part(nil)
	switch tab {
	case "teams":
		body = teamResults(s, r)
	case "classes":
		body = classResults(s, r)
	case "awards":
		body = awards(s, r)
	default:
		body = peopleResults(s, r)
	}
	return m.El("div", m.ID("results"), top(s, words.T("results.title"), "contest"),
		parts.Main(
			parts.Tabs(words.T("results.title"), face("people"), face("teams"), face("classes"), face("awards")),
			provisional(r),
			body,
			m.If(tab != "awards", rulingsCard(s)),
			parts.Dock(words.T("results.title"),
				parts.Button(words.T("results.share"), to(s, "share"), parts.Primary),
				parts.Button(words.T("results.print"), "print"),
				parts.Button(words.T("results.slips"), to(s, "slips")))))
}

// provisional says what is still open, when something is, and what was scored
// although the rules of the contest are against it.
func provisional(r *app.Scored) m.Part {
	open := app.Provisional(r)
	return m.Group(
		m.If(len(open) > 0, parts.Notice(parts.Caution, words.T("results.provisional"), bullets(open))),
		m.Each(r.Faults, func(_ int, e *engine.Error) m.Part {
			return parts.Notice(parts.Caution, words.T("results.fault", e.Where, e.What), parts.Para(app.Capital(e.Fix)+"."))
		}))
}

func bullets(texts []string) m.Node {
	return m.El("ul", m.Each(texts, func(_ int, t string) m.Part { return m.El("li", m.Text(t)) }))
}

// standing asks which points and whose are looked at.
func standing(s *app.State, r *app.Scored) m.Part {
	choose := func(name, all, chosen string, of []string) m.Part {
		options := []parts.Option{{Label: all}}
		for _, one := range of {
			options = append(options, parts.Option{Value: one, Label: one})
		}
		return m.If(len(of) > 0, parts.Field(parts.Input{Name: name, Label: words.T("results." + name), Value: chosen, Do: "results." + name, Options: options}))
	}
	return m.If(len(r.Divisions)+len(r.ClassDivisions) > 0, m.El("div", m.Class("row", "no-print", "standing"),
		choose("group", words.T("results.everyone"), s.Results.Group, r.Divisions),
		choose("division", words.T("results.all-classes"), division(s, r), r.ClassDivisions)))
}

// division is the chosen one, as far as there is such a division.
func division(s *app.State, r *app.Scored) string {
	if app.PartOf(r, s.Results.Division) == nil {
		return ""
	}
	return s.Results.Division
}

// ofMax is the heading of a ranking: whose, and of how many points.
func ofMax(s *app.State, r *app.Scored, division string) string {
	text := words.T("results.of-max", app.Max(r, division))
	for _, of := range []string{division, s.Results.Group} {
		if of != "" {
			text = words.T("results.of", of, text)
		}
	}
	return text
}

func peopleResults(s *app.State, r *app.Scored) m.Node {
	d := division(s, r)
	list := app.RankPersons(r, app.PartOf(r, d), s.Results.Group)
	if len(list) == 0 && s.Results.Group == "" {
		return parts.Empty(words.T("results.nobody"), parts.Button(words.T("next.people-do"), to(s, "people")))
	}
	rows := make([]parts.Row, 0, len(list))
	for i, p := range list {
		person := r.Persons[p.Index]
		about := []string{}
		if t, ok := s.Open.Contest.Team(person.Team); ok {
			about = append(about, t.Name)
		}
		if person.Division != "" {
			about = append(about, person.Division)
		}
		about = append(about, app.Remarks(r, p.Index, true)...)
		if tie := app.TieBroken(r, list, i); d == "" && tie != "" {
			about = append(about, tie)
		}
		rows = append(rows, parts.Row{
			Lead: p.Place(), Title: app.PersonName(person, true), Sub: strings.Join(about, " · "), Value: p.Total.String(),
			Do: to(s, "slip", itoa(person.Number)), ID: "rank-" + itoa(person.Number),
		})
	}
	return parts.Stack(
		standing(s, r),
		parts.Card("ranking", ofMax(s, r, d),
			worths(r, d),
			m.If(len(rows) == 0, parts.Para(words.T("results.none-here"))),
			parts.List(words.T("results.tab-people"), rows...)),
		m.If(d == "", unranked(s, r)))
}

// worths says what the classes are worth where they differ, and how places are
// shared in a division.
func worths(r *app.Scored, division string) m.Part {
	unequal := app.Unequal(r, division)
	return m.Group(
		m.If(unequal != "", parts.Para(unequal, "soft")),
		m.If(division != "", parts.Para(words.T("results.division-ties"), "soft")))
}

// unranked lists who takes no place, and why.
func unranked(s *app.State, r *app.Scored) m.Part {
	var rows []parts.Row
	for i, p := range r.Persons {
		if r.Result.Rank[i] == 0 {
			about := append([]string{p.Out}, app.Remarks(r, i, true)...)
			rows = append(rows, parts.Row{Title: app.PersonName(p, true), Sub: strings.Join(about, " · "), Value: r.Result.Total(i).String(), Do: to(s, "slip", itoa(p.Number)), ID: "out-" + itoa(p.Number)})
		}
	}
	return m.If(len(rows) > 0, parts.Card("unranked", words.T("results.unranked"), parts.List(words.T("results.unranked"), rows...)))
}

func teamResults(s *app.State, r *app.Scored) m.Node {
	d := division(s, r)
	part := app.PartOf(r, d)
	list := app.RankTeams(r, part, s.Results.Group)
	if len(list) == 0 && s.Results.Group == "" {
		return parts.Empty(words.T("results.no-teams"), m.Group())
	}
	rows := make([]parts.Row, len(list))
	for i, t := range list {
		rows[i] = parts.Row{Lead: t.Place(), Title: r.Teams[t.Index].Name, Sub: teamWhy(r, part, list, i), Value: t.Total.String(), ID: "team-" + itoa(r.Teams[t.Index].No)}
	}
	var few []string
	for i, t := range r.Teams {
		if r.Result.Teams[i].Rank == 0 {
			few = append(few, t.Name)
		}
	}
	return parts.Stack(
		standing(s, r),
		parts.Card("team-ranking", ofMax(s, r, d),
			parts.Para(words.N("results.team-rule", s.Open.Contest.Settings.Best()), "soft"),
			worths(r, d),
			m.If(len(rows) == 0, parts.Para(words.T("results.no-teams-here"))),
			parts.List(words.T("results.tab-teams"), rows...)),
		m.If(len(few) > 0, parts.Card("small-teams", words.T("results.small-teams"), bullets(few))))
}

// teamWhy says whose points count for a team, and which tie-break put it behind
// the one before.
func teamWhy(r *app.Scored, part *score.Part, list []app.Ranked, i int) string {
	team := &r.Result.Teams[list[i].Index]
	members := func(of []int32) string {
		names := make([]string, len(of))
		for n, p := range of {
			total := r.Result.Total(int(p))
			if part != nil {
				total = part.Points(int(p))
			}
			name := app.PersonName(r.Persons[p], true)
			if r.Persons[p].Alternate {
				name = words.T("results.team-alternate", name)
			}
			names[n] = words.T("results.team-member", name, total)
		}
		return strings.Join(names, ", ")
	}
	text := words.T("results.team-counts", members(team.Counting))
	if len(team.Dropped) > 0 {
		text += " " + words.T("results.team-dropped", members(team.Dropped))
	}
	if part == nil && i > 0 && list[i-1].Total == list[i].Total && list[i-1].Rank < list[i].Rank {
		p := r.Result.CompareTeams(list[i].Index, list[i-1].Index)
		text += " " + app.Parted(r, &p, r.Teams[p.Other].Name)
	}
	return text
}

func classResults(s *app.State, r *app.Scored) m.Node {
	return parts.Stack(
		m.If(len(r.Classes)+len(r.LeftOut) == 0, parts.Empty(words.T("results.no-classes"), m.Group())),
		m.Each(r.Classes, func(c int, class contest.Class) m.Part { return classResult(s, r, c, class) }),
		m.Each(r.LeftOut, func(_ int, l contest.LeftOut) m.Part {
			return parts.Card("left-out-"+itoa(l.Class.No), words.T("overview.class-title", l.Class.No, l.Class.Name),
				parts.Para(words.T("results.left-out", l.Ruling.Why), "strong"),
				parts.Button(words.T("results.rule-class"), to(s, "ruling", itoa(l.Class.No), "0"), parts.Quiet))
		}))
}

// classResult is one class: the best cards, what was ruled, and for each item
// how many judged it as the key does.
func classResult(s *app.State, r *app.Scored, c int, class contest.Class) m.Node {
	bars := kindBars(class, r.Keys[c], r.Result.Items[c])
	if class.Kind == contest.Placing && !r.Keys[c].Out(0) {
		bars[0].Label = words.T("results.order", app.KeyText(class, r.Keys[c].Items[0]))
	}
	most := words.T("results.class-max", r.ClassMax(c))
	if class.Division != "" {
		most = words.T("results.class-max-division", r.ClassMax(c), class.Division)
	}
	return parts.Card("class-result-"+itoa(class.No), words.T("overview.class-title", class.No, class.Name),
		parts.Para(most),
		classRulings(s, class),
		classRanking(r, c, class),
		m.If(len(bars) > 0, figure.Bars("bars-"+itoa(class.No), words.T("results.items-title", class.Name), "", bars)),
		doubtful(s, class, r.Keys[c]),
		m.If(len(bars) > 0, parts.Button(words.T("results.rule"), to(s, "ruling", itoa(class.No)), parts.Quiet)),
		m.If(len(bars) == 0, parts.Button(words.T("results.rule-class"), to(s, "ruling", itoa(class.No), "0"), parts.Quiet)))
}

// classRanking opens to everybody's points in one class, best first. On paper it
// is there without being opened.
func classRanking(r *app.Scored, c int, class contest.Class) m.Part {
	lines := m.Each(app.RankClass(r, c), func(_ int, p app.Ranked) m.Part {
		return m.El("li", m.Text(words.T("results.class-line", p.Place(), app.PersonName(r.Persons[p.Index], true), p.Total)))
	})
	return m.Group(
		m.El("div", m.Class("no-print"), parts.Why("class-ranking-"+itoa(class.No), words.T("results.class-ranking"), nil,
			m.El("ol", m.Class("plain-list"), lines))),
		m.El("div", m.Class("print-only"), m.El("ol", m.Class("plain-list", "by-class"), lines)))
}

// doubtful names the items that most contestants judged alike and other than the
// key: either they have something to learn, or the item was unfair.
func doubtful(s *app.State, class contest.Class, key contest.Key) m.Part {
	return m.Each(s.CardsFell(class), func(i int, fell []app.Fell) m.Part {
		if !app.Doubtful(fell) {
			return m.Group()
		}
		return parts.Notice(parts.Info, words.T("results.doubtful", i+1, fell[0].Cards, app.CardsOf(fell), fell[0].Text, app.KeyText(class, key.Items[i])),
			parts.Button(words.T("results.doubtful-do"), to(s, "ruling", itoa(class.No), itoa(i+1)), parts.Quiet))
	})
}

// awards is the list that is read out, the lowest place first.
func awards(s *app.State, r *app.Scored) m.Node {
	most := s.Results.Places()
	list := app.AwardsOf(r, most, s.Results.Together)
	if len(list) == 0 {
		return parts.Empty(words.T("results.nobody"), parts.Button(words.T("next.people-do"), to(s, "people")))
	}
	called := func(n int) parts.Choice {
		return parts.Choice{Label: words.T("awards.best", n), Do: app.Action("results.called", itoa(n)), On: most == n}
	}
	together := func(on bool, arg string) parts.Choice {
		return parts.Choice{Label: words.T("awards.groups-" + arg), Do: app.Action("results.together", arg), On: s.Results.Together == on}
	}
	return parts.Stack(
		m.El("div", m.Class("stack", "no-print"),
			parts.Para(words.T("awards.text"), "soft"),
			parts.Choices(words.T("awards.most"), false, called(3), called(5), called(10)),
			m.If(len(r.Divisions) > 0, parts.Choices(words.T("results.group"), false, together(false, "off"), together(true, "on")))),
		m.Each(list, func(i int, c app.Awards) m.Part { return award(s, r, i, c) }))
}

func award(s *app.State, r *app.Scored, no int, c app.Awards) m.Node {
	rows := make([]parts.Row, len(c.Lines))
	for i, line := range c.Lines {
		about := words.T("awards.points", line.Total, c.Max)
		if c.Teams {
			about = words.T("awards.team-points", line.Total)
		} else if t, ok := s.Open.Contest.Team(r.Persons[line.Index].Team); ok {
			about = words.T("awards.of-team", t.Name, about)
		}
		if tie := app.CalledTie(r, c, i); tie != "" {
			about += " · " + tie
		}
		rows[i] = parts.Row{Title: words.T("awards.line", line.Placed(), app.CalledName(r, c, line)), Sub: about, ID: "award-" + itoa(no) + "-" + itoa(i)}
	}
	return parts.Card("awards-"+itoa(no), c.Title(), parts.List(c.Title(), rows...))
}

func share(part, whole int) int {
	if whole == 0 {
		return 0
	}
	return part * 1000 / whole
}

// linkedResults are results that came as a link, opened without the contest.
func linkedResults(s *app.State) m.Node {
	bar := parts.TopBar(words.T("results-link.title"), "", words.T("home.title"), toPage("home"))
	o := s.Results.Opened
	if o == nil {
		return m.El("div", m.ID("results-link"), bar, parts.Main(
			parts.Notice(parts.Bad, or(s.Results.Fault.Text, words.T("results-link.damaged")), parts.Para(s.Results.Fault.Fix))))
	}
	// The total stands where a phone shows it without the table being moved.
	columns := []parts.Column{{Text: words.T("csv.rank"), Num: true}, {Text: words.T("csv.number"), Num: true}, {Text: words.T("csv.total"), Num: true}, {Text: words.T("csv.team")}, {Text: words.T("csv.division")}}
	for _, c := range o.Classes {
		columns = append(columns, parts.Column{Text: c.Name, Num: true})
	}
	docked := slices.ContainsFunc(o.Rows, func(row codec.Row) bool { return row.Penalty > 0 })
	if docked {
		columns = append(columns, parts.Column{Text: words.T("csv.penalty"), Num: true})
	}
	var rows []parts.TableRow
	for _, i := range o.ByRank() {
		row := o.Rows[i]
		cells := parts.Texts(itoa(row.Rank), itoa(row.Number), o.Totals[i].String(), named(o.Teams, row.Team), named(o.Divisions, row.Division))
		for _, p := range row.Points {
			text := "–"
			if p >= 0 {
				text = o.Text(p)
			}
			cells = append(cells, m.Text(text))
		}
		if docked {
			cells = append(cells, m.Text(o.Text(int32(row.Penalty))))
		}
		rows = append(rows, parts.TableRow{Cells: cells})
	}
	return m.El("div", m.ID("results-link"), bar, parts.Main(parts.Stack(
		parts.Card("linked", or(o.Title, words.T("core.no-name")),
			m.If(o.Date != "", parts.Para(o.Date)),
			linkedBy(s),
			parts.Table("linked-table", words.T("results.title"), columns, rows)),
		linkedTeams(o),
		parts.Para(words.T("results-link.note"), "soft"),
		parts.Button(words.T("results.print"), "print", parts.Wide))))
}

// linkedBy says who signed the results, or that nobody did.
func linkedBy(s *app.State) m.Part {
	by, ok := s.SignedBy()
	if !ok {
		return parts.Notice(parts.Caution, words.T("results-link.unsigned"))
	}
	known := words.T("results-link.signed-name")
	switch {
	case by.Here:
		known = words.T("results-link.signed-here")
	case by.Who != "":
		known = words.T("results-link.signed-known", who(by.Who))
	}
	return parts.Notice(parts.Info, words.T("results-link.signed", by.Signature.Who, by.Phone.String(), ago(s.Now-by.When)), parts.Para(known))
}

// linkedTeams lists the places of the teams.
func linkedTeams(o *app.OpenedResults) m.Part {
	var rows []parts.Row
	for _, t := range o.TeamsByRank() {
		rows = append(rows, parts.Row{Lead: itoa(o.TeamRanks[t]), Title: named(o.Teams, t+1)})
	}
	return m.If(len(rows) > 0, parts.Card("linked-teams", words.T("results.tab-teams"), parts.List(words.T("results.tab-teams"), rows...)))
}

func named(names []string, n int) string {
	if n < 1 || n > len(names) {
		return ""
	}
	return names[n-1]
}
