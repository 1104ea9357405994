package view

import (
	"slices"
	"strings"

	"keelcard/engine/contest"
	"keelcard/engine/record"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// maxShown is how many contestants a list shows at once; the rest is found by
// typing a number or a name.
const maxShown = 150

// maxLines is how many lines of a paste are shown of each sort.
const maxLines = 60

// fewPeople is how many are seen at a glance.
const fewPeople = 6

// people is the list of contestants, the list of teams, or the place to paste,
// by the first argument of the address.
func people(s *app.State) m.Node {
	face := s.Page.Arg(0)
	var body m.Part
	switch face {
	case "teams":
		body = teamFaces(s)
	case "paste":
		body = pasteFaces(s)
	default:
		face = ""
		body = parts.Panes(
			parts.Stack(initials(s), addPerson(s), pieceButton(s), undoButton(s)),
			parts.Stack(personList(s), namesCaution()))
	}
	tab := func(name, label string) parts.Choice {
		do := to(s, "people")
		if name != "" {
			do = to(s, "people", name)
		}
		return parts.Choice{Label: label, Do: do, On: name == face}
	}
	return m.El("div", m.ID("people"),
		top(s, words.T("people.title"), "contest"),
		parts.Tabs(words.T("people.faces"),
			tab("", words.T("people.face-list")), tab("teams", words.T("people.face-teams")), tab("paste", words.T("people.face-paste"))),
		body)
}

func namesCaution() m.Part {
	return parts.Notice(parts.Info, words.T("people.names"))
}

// live makes a field send what it holds with every letter.
func live(field m.Node) m.Node { return controlled(field, m.Attr("data-on", "input")) }

// controlled gives the part of a field that is typed in one more attribute.
func controlled(n m.Node, a m.Attribute) m.Node {
	with := *n
	with.Kids = make([]m.Node, len(n.Kids))
	for i, k := range n.Kids {
		with.Kids[i] = controlled(k, a)
	}
	if n.Get("data-do") != "" {
		with.Attrs = append(slices.Clip(n.Attrs), a)
	}
	return &with
}

// addPerson is the form for one more contestant. It is open while there is
// nobody, and stays as it was left after that.
func addPerson(s *app.State) m.Node {
	f := s.People.New
	c := s.Open.Contest
	number := or(f.Number, itoa(s.NextNumber()))
	divisions := c.Divisions()
	return m.El("details", m.ID("add"), m.Class("card"), m.If(len(c.Persons) == 0 || f.Fault != nil, m.Flag("open")),
		m.El("summary", m.Text(words.T("people.add-title"))),
		m.El("form", m.ID("add-form"), m.Class("stack"), m.Do("people.add"), m.Flag("novalidate"), m.Flag("data-clear"),
			parts.Field(parts.Input{Name: "number", Label: words.T("people.number"), Value: number, Mode: "numeric", Short: true, Error: faultText(f.Fault)}),
			parts.Field(parts.Input{Name: "name", Label: words.T("people.name"), Value: f.Name}),
			m.If(len(c.Teams) > 0, parts.Field(parts.Input{Name: "team", Label: words.T("people.team"), Value: f.Team, Options: teamOptions(c, false)})),
			parts.Field(parts.Input{Name: "newteam", Label: newTeamLabel(c), Value: f.NewTeam}),
			m.If(len(divisions) > 0, parts.Field(parts.Input{Name: "division", Label: words.T("people.division"), Value: f.Division, Options: divisionOptions(divisions)})),
			submit("add-do", words.T("people.add"), "primary", "big", "wide")))
}

func newTeamLabel(c *contest.Contest) string {
	if len(c.Teams) > 0 {
		return words.T("people.or-new-team")
	}
	return words.T("people.team")
}

func teamOptions(c *contest.Contest, fresh bool) []parts.Option {
	out := []parts.Option{{Value: "0", Label: words.T("people.no-team")}}
	for _, t := range c.Teams {
		out = append(out, parts.Option{Value: itoa(t.No), Label: t.Name})
	}
	if fresh {
		out = append(out, parts.Option{Value: "new", Label: words.T("people.new-team")})
	}
	return out
}

func divisionOptions(divisions []string) []parts.Option {
	out := []parts.Option{{Value: "", Label: words.T("people.no-division")}}
	for _, d := range divisions {
		out = append(out, parts.Option{Value: d, Label: d})
	}
	return out
}

func personList(s *app.State) m.Node {
	c := s.Open.Contest
	if len(c.Persons) == 0 {
		return parts.Card("list", words.T("people.list"),
			parts.Empty(words.T("people.none"), parts.Button(words.T("people.paste-first"), to(s, "people", "paste"), parts.ID("paste-first"), parts.Primary)))
	}
	found := s.PeopleFound()
	shown := found[:min(len(found), maxShown)]
	return parts.Card("list", words.N("people.count", len(c.Persons)),
		live(parts.Field(parts.Input{Name: "find", Label: words.T("people.find"), Value: s.People.Find, Do: "people.find", Type: "search"})),
		m.If(len(c.Persons) > fewPeople, parts.Field(parts.Input{Name: "only", Label: words.T("people.only"), Value: s.People.Only, Do: "people.only", Options: onlyOptions(c)})),
		m.If(len(found) == 0, parts.Para(words.T("people.found-none", or(s.People.Find, "…")))),
		m.If(len(found) > 0 && len(found) < len(c.Persons), parts.Para(words.T("people.found", len(found), len(c.Persons)), "soft")),
		m.If(len(found) > 0, parts.List(words.T("people.list"), personRows(s, shown)...)),
		m.If(len(found) > len(shown), parts.Para(words.T("people.more", len(found)-len(shown)), "soft")))
}

// onlyOptions are the ways to shorten the list.
func onlyOptions(c *contest.Contest) []parts.Option {
	out := []parts.Option{{Value: "", Label: words.T("people.only-all")}}
	for _, d := range c.Divisions() {
		out = append(out, parts.Option{Value: app.OnlyAge + d, Label: d})
	}
	if len(c.Divisions()) > 0 {
		out = append(out, parts.Option{Value: app.OnlyAge, Label: words.T("people.only-ageless")})
	}
	for _, only := range []string{app.OnlyTeamless, app.OnlyAlternate, app.OnlyConduct} {
		out = append(out, parts.Option{Value: only, Label: words.T("people.only-" + only)})
	}
	return out
}

func personRows(s *app.State, persons []contest.Person) []parts.Row {
	rows := make([]parts.Row, len(persons))
	for i, p := range persons {
		rows[i] = parts.Row{Lead: itoa(p.Number), Title: or(p.Name, words.T("core.person", p.Number)), Sub: personSub(s, p), Value: conductText(p), Do: to(s, "person", itoa(p.Number))}
	}
	return rows
}

func personSub(s *app.State, p contest.Person) string {
	team, _ := s.Open.Contest.Team(p.Team)
	return joined(team.Name, p.Division)
}

// joined sets the texts that are not empty side by side.
func joined(texts ...string) string {
	var out []string
	for _, t := range texts {
		if t != "" {
			out = append(out, t)
		}
	}
	return strings.Join(out, " · ")
}

// conductText says in a few words what keeps somebody's total from counting in
// full, or that they are an alternate.
func conductText(p contest.Person) string {
	penalty, out, alternate := "", "", ""
	if p.Penalty > 0 {
		penalty = words.T("people.penalty", p.Penalty)
	}
	if len(p.OutOf) > 0 {
		out = words.N("people.out-of", len(p.OutOf))
	}
	if p.Alternate {
		alternate = words.T("people.alternate")
	}
	return joined(outText(p.Out), penalty, out, alternate)
}

// outText says why somebody is not ranked, "" for who is.
func outText(out string) string {
	switch out {
	case app.OutLate, app.OutDisqualified:
		return words.T("person.out-" + out)
	}
	return out
}

func teamFaces(s *app.State) m.Node {
	c := s.Open.Contest
	most := c.Settings.Most()
	return parts.Panes(
		parts.Stack(initials(s),
			parts.Card("team-new", words.T("people.team-new-title"),
				m.El("form", m.ID("team-form"), m.Class("row", "end"), m.Do("people.team-add"), m.Flag("novalidate"), m.Flag("data-clear"),
					m.El("div", m.Class("grow"), parts.Field(parts.Input{Name: "team", Label: words.T("people.team-name")})),
					submit("team-add", words.T("settings.add")))),
			parts.Para(words.T("people.team-rule", c.Settings.Best(), most), "soft"),
			pieceButton(s), undoButton(s)),
		parts.Stack(
			m.If(len(c.Teams) == 0, parts.Empty(words.T("people.no-teams"), parts.Button(words.T("people.paste-first"), to(s, "people", "paste"), parts.ID("paste-teams")))),
			m.If(len(c.Teams) > 0, parts.Card("teams", words.N("people.teams-count", len(c.Teams)),
				m.Each(c.Teams, func(_ int, t contest.Team) m.Part { return teamCard(s, t) })))))
}

// teamCard is one team: its name and members, and who joins.
func teamCard(s *app.State, t contest.Team) m.Node {
	no := itoa(t.No)
	members := s.Members(t.No)
	return m.El("details", m.ID("team-"+no), m.Class("trail"),
		m.El("summary", m.El("span", m.Class("item-text"),
			m.El("span", m.Class("item-title"), m.Text(t.Name)),
			m.El("span", m.Class("item-sub"), m.Text(or(overfullText(s, t.No), words.N("people.members", len(members))))))),
		m.El("div", m.Class("why-body", "stack"),
			overfull(s, t.No),
			m.If(len(members) > 0, m.El("ul", m.Class("list"), m.Attr("aria-label", t.Name), m.Each(members, func(_ int, p contest.Person) m.Part {
				name := or(p.Name, words.T("core.person", p.Number))
				return m.El("li", m.Class("row"),
					m.El("span", m.Class("item-lead"), m.Text(itoa(p.Number))),
					m.El("span", m.Class("grow"), m.Text(joined(name, conductText(p)))),
					parts.Button(words.T("people.leave"), app.Action("people.team-leave", itoa(p.Number)), parts.Quiet, parts.Says(words.T("people.leave-says", name, t.Name))))
			}))),
			controlled(parts.Field(parts.Input{Name: "join-" + no, Label: words.T("people.join"), Do: app.Action("people.team-join", no), Mode: "numeric", Short: true}), m.Flag("data-clear")),
			parts.Field(parts.Input{Name: "team-name-" + no, Label: words.T("people.team-rename"), Value: t.Name, Do: app.Action("people.team-name", no)}),
			historyButton(s, record.Subject{Kind: record.KindTeam, A: t.No}),
			m.If(len(members) == 0, parts.Button(words.T("people.team-remove"), app.Action("people.team-remove", no), parts.Quiet))))
}

// overfullText says that a team has more members than it may have, "" when it
// has not.
func overfullText(s *app.State, team uint32) string {
	if more := s.Overfull(team); more > 0 {
		most := s.Open.Contest.Settings.Most()
		return words.T("people.too-many", most+more, most)
	}
	return ""
}

func overfull(s *app.State, team uint32) m.Part {
	text := overfullText(s, team)
	return m.If(text != "", parts.Notice(parts.Caution, text, parts.Para(words.T("people.too-many-fix"))))
}

// pasteFaces takes a list in and shows what it would do before anything is
// written.
func pasteFaces(s *app.State) m.Node {
	p := s.People.Paste
	return parts.Panes(
		parts.Stack(initials(s),
			parts.Card("paste", words.T("people.paste-title"),
				parts.Para(words.T("people.paste-text")),
				parts.Para(words.T("people.paste-example"), "soft"),
				live(parts.Field(parts.Input{Name: "paste", Label: words.T("people.paste-label"), Value: p.Text, Do: "people.paste", Lines: 8})),
				parts.File(words.T("people.file"), "people.file", ".csv,.txt,.tsv,text/csv,text/plain,text/tab-separated-values", false),
				m.If(p.File != "", parts.Para(words.T("people.from-file", p.File), "soft")),
				m.If(p.Text != "", parts.Button(words.T("people.paste-drop"), "people.paste-drop", parts.Quiet))),
			namesCaution()),
		parts.Stack(previewCard(s), pieceButton(s)))
}

func previewCard(s *app.State) m.Part {
	p := s.People.Paste
	switch {
	case p.Fault != nil:
		return parts.Notice(parts.Bad, p.Fault.What, parts.Para(p.Fault.Fix))
	case p.Seen == nil:
		return parts.Empty(words.T("people.preview-none"), m.Group())
	}
	seen := p.Seen
	n := func(does string) int { return seen.Count[does] }
	writes := n(app.PasteNew)
	if !p.Leave {
		writes += n(app.PasteChanged)
	}
	return m.Group(
		parts.Card("preview", words.T("people.preview"),
			parts.Stats(
				parts.Stat(itoa(n(app.PasteNew)), words.T("people.n-new")),
				parts.Stat(itoa(n(app.PasteChanged)), words.T("people.n-changed")),
				parts.Stat(itoa(n(app.PasteSame)), words.T("people.n-same")),
				parts.Stat(itoa(n(app.PasteBad)), words.T("people.n-bad"))),
			m.If(seen.Header, parts.Para(words.T("people.header"), "soft")),
			m.If(len(seen.Teams) > 0, parts.Para(words.T("people.makes-teams", teamNames(seen.Teams)))),
			m.If(len(seen.Divisions) > 0, parts.Para(words.T("people.makes-divisions", strings.Join(seen.Divisions, ", ")))),
			m.If(n(app.PasteChanged) > 0, parts.Check(words.T("people.leave-changed"), "people.leave", p.Leave)),
			m.If(writes > 0, parts.Button(words.N("people.take", writes), "people.take", parts.Primary, parts.Big, parts.Wide)),
			m.If(writes == 0 && n(app.PasteBad) == 0, parts.Para(words.T("people.nothing-new"))),
			m.If(writes > 0 && n(app.PasteBad) > 0, parts.Para(words.T("people.bad-stay"), "soft"))),
		linesCard(seen, app.PasteBad, badLine),
		linesCard(seen, app.PasteChanged, func(r app.PreviewRow) parts.Row { return changedLine(s, r) }),
		linesCard(seen, app.PasteNew, newLine))
}

func teamNames(teams []contest.Team) string {
	names := make([]string, len(teams))
	for i, t := range teams {
		names[i] = t.Name
	}
	return strings.Join(names, ", ")
}

// linesCard lists the lines of a paste that do one thing.
func linesCard(seen *app.Preview, does string, row func(app.PreviewRow) parts.Row) m.Part {
	if seen.Count[does] == 0 {
		return m.Group()
	}
	var rows []parts.Row
	for _, r := range seen.Rows {
		if r.Does == does && len(rows) < maxLines {
			rows = append(rows, row(r))
		}
	}
	title := words.T("people.lines-" + does)
	return parts.Card("lines-"+does, title, parts.List(title, rows...),
		m.If(seen.Count[does] > len(rows), parts.Para(words.T("people.lines-more", seen.Count[does]-len(rows)), "soft")))
}

func badLine(r app.PreviewRow) parts.Row {
	return parts.Row{Lead: words.T("people.line", r.Line), Title: or(r.Text, "…"), Sub: words.T("people.fault", r.Fault.What, r.Fault.Fix)}
}

func newLine(r app.PreviewRow) parts.Row {
	return parts.Row{Lead: itoa(r.After.Number), Title: or(r.After.Name, words.T("core.person", r.After.Number)), Sub: joined(r.TeamName, r.After.Division)}
}

// changedLine says what of a contestant a line would change, and to what.
func changedLine(s *app.State, r app.PreviewRow) parts.Row {
	team, _ := s.Open.Contest.Team(r.Before.Team)
	var changes []string
	note := func(what, before, after string) {
		if after != "" && !strings.EqualFold(before, after) || what == "name" && before != after {
			changes = append(changes, words.T("people.change-"+what, or(before, words.T("people.nothing")), after))
		}
	}
	note("name", r.Before.Name, r.After.Name)
	note("team", team.Name, r.TeamName)
	note("division", r.Before.Division, r.After.Division)
	return parts.Row{Lead: itoa(r.After.Number), Title: r.After.Name, Sub: strings.Join(changes, "; ")}
}

// personPage is one contestant.
func personPage(s *app.State) m.Node {
	no := s.Page.Number(0)
	p, ok := s.Open.Contest.Person(no)
	if !ok {
		return m.El("div", m.ID("person"),
			top(s, words.T("person.none", s.Page.Arg(0)), "people"),
			parts.Main(parts.Empty(words.T("person.none-text"), parts.Button(words.T("people.add-title"), to(s, "people"), parts.ID("to-people"), parts.Primary)), undoButton(s)))
	}
	c := s.Open.Contest
	divisions := c.Divisions()
	team := itoa(p.Team)
	if s.People.NewTeam {
		team = "new"
	}
	return m.El("div", m.ID("person"),
		top(s, words.T("core.person", no), "people"),
		parts.Panes(
			parts.Stack(initials(s),
				parts.Card("person-who", "",
					parts.Field(parts.Input{Name: "name", Label: words.T("people.name"), Hint: words.T("people.name-hint"), Value: p.Name, Do: "person.name"}),
					parts.Field(parts.Input{Name: "team", Label: words.T("people.team"), Value: team, Do: "person.team", Options: teamOptions(c, true)}),
					m.If(s.People.NewTeam, parts.Field(parts.Input{Name: "new-team", Label: words.T("people.team-name"), Do: "person.team-new"})),
					m.If(p.Team != 0, m.Group(
						overfull(s, p.Team),
						parts.Check(words.T("person.alternate"), "person.alternate", p.Alternate),
						m.If(p.Alternate, parts.Para(words.T("person.alternate-text"), "soft")))),
					m.If(len(divisions) > 0, parts.Field(parts.Input{Name: "division", Label: words.T("people.division"), Value: p.Division, Do: "person.division", Options: divisionOptions(divisions)})))),
			parts.Stack(outCard(s, p), penaltyCard(p), outOfCard(s, p), personEnd(s, p))))
}

func outCard(s *app.State, p contest.Person) m.Node {
	usual := p.Out == "" || p.Out == app.OutLate || p.Out == app.OutDisqualified
	other := s.People.OutOther || !usual
	choice := func(label, value string) parts.Choice {
		return parts.Choice{Label: label, Do: app.Action("person.out", value), On: !other && p.Out == value}
	}
	why := ""
	if !usual {
		why = p.Out
	}
	return parts.Card("person-out", words.T("person.ranked"),
		parts.Choices(words.T("person.ranked-label"), true,
			choice(words.T("person.in"), ""),
			choice(words.T("person.out-late"), app.OutLate),
			choice(words.T("person.out-disqualified"), app.OutDisqualified),
			parts.Choice{Label: words.T("person.other"), Do: app.Action("person.out", "other"), On: other}),
		m.If(other, parts.Field(parts.Input{Name: "why", Label: words.T("person.why"), Value: why, Do: "person.out-why"})),
		parts.Para(words.T("person.out-text"), "soft"))
}

// penaltyCard takes points off the total, with the reason.
func penaltyCard(p contest.Person) m.Node {
	off := ""
	if p.Penalty > 0 {
		off = p.Penalty.String()
	}
	return parts.Card("person-penalty", words.T("person.penalty"),
		parts.Field(parts.Input{Name: "penalty", Label: words.T("person.penalty-points"), Hint: words.T("person.penalty-hint"), Value: off, Do: "person.penalty", Mode: "decimal", Short: true}),
		m.If(p.Penalty > 0, parts.Field(parts.Input{Name: "penalty-why", Label: words.T("person.why"), Value: p.PenaltyWhy, Do: "person.penalty-why"})))
}

// outOfCard disqualifies from single classes, with the reason.
func outOfCard(s *app.State, p contest.Person) m.Part {
	classes := s.Open.Contest.Classes
	if len(classes) == 0 {
		return m.Group()
	}
	return m.El("details", m.ID("person-out-of"), m.Class("card"), m.If(len(p.OutOf) > 0, m.Flag("open")),
		m.El("summary", m.Text(words.T("person.out-of"))),
		m.El("div", m.Class("stack"),
			parts.Para(words.T("person.out-of-text"), "soft"),
			m.El("div", m.Class("choices", "column"), m.Each(classes, func(_ int, c contest.Class) m.Part {
				return parts.Button(c.Name, app.Action("person.out-of", itoa(c.No)), parts.Pressed(slices.Contains(p.OutOf, c.No)))
			})),
			m.If(len(p.OutOf) > 0, parts.Field(parts.Input{Name: "out-of-why", Label: words.T("person.why"), Value: p.OutOfWhy, Do: "person.out-of-why"}))))
}

func personEnd(s *app.State, p contest.Person) m.Node {
	n := s.CardsOf(p.Number)
	sure := words.T("person.remove-sure", p.Number)
	if n > 0 {
		sure = words.N("person.remove-cards", n)
	}
	return parts.Stack(
		undoButton(s),
		historyButton(s, record.Subject{Kind: record.KindPerson, A: p.Number}),
		m.If(!s.People.Remove, parts.Button(words.T("person.remove"), "person.remove", parts.Quiet, parts.Wide)),
		m.If(s.People.Remove, parts.Card("person-remove", "",
			parts.Para(sure),
			parts.Line(
				parts.Button(words.T("person.remove-do"), "person.remove-sure", parts.Danger),
				parts.Button(words.T("person.keep"), "person.keep")))))
}
