package view

import (
	"keelcard/engine/amount"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/placing"
	"keelcard/engine/score"
	"keelcard/web/app"
	"keelcard/web/figure"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// results is the ranking of contestants or teams, or the classes with what
// each item turned out to be.
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
	body := peopleResults(s, r)
	switch tab {
	case "teams":
		body = teamResults(r)
	case "classes":
		body = classResults(s, r)
	}
	return m.El("div", m.ID("results"), top(s, words.T("results.title"), "contest"),
		parts.Main(
			parts.Tabs(words.T("results.title"), face("people"), face("teams"), face("classes")),
			provisional(r),
			body,
			parts.Dock(words.T("results.title"),
				parts.Button(words.T("results.share"), to(s, "share"), parts.Primary),
				parts.Button(words.T("results.print"), "print"),
				parts.Button(words.T("results.slips"), to(s, "slips")))))
}

// provisional says what is still open, when something is.
func provisional(r *app.Scored) m.Part {
	open := app.Provisional(r)
	if len(open) == 0 {
		return m.Group()
	}
	return parts.Notice(parts.Caution, words.T("results.provisional"), m.El("ul", m.Each(open, func(_ int, t string) m.Part {
		return m.El("li", m.Text(t))
	})))
}

func peopleResults(s *app.State, r *app.Scored) m.Node {
	list := app.RankPersons(r, s.Results.Division)
	if len(list) == 0 {
		return parts.Empty(words.T("results.nobody"), parts.Button(words.T("next.people-do"), to(s, "people")))
	}
	rows := make([]parts.Row, 0, len(list))
	for _, p := range list {
		person := r.Persons[p.Index]
		sub := person.Division
		if t, ok := s.Open.Contest.Team(person.Team); ok {
			sub = words.T("results.team-division", t.Name, person.Division)
		}
		rows = append(rows, parts.Row{
			Lead: p.Place(), Title: app.PersonName(person, true), Sub: sub, Value: p.Total.String(),
			Do: to(s, "slip", itoa(person.Number)), ID: "rank-" + itoa(person.Number),
		})
	}
	var choices []parts.Choice
	for _, d := range append([]string{""}, r.Divisions...) {
		choices = append(choices, parts.Choice{Label: or(d, words.T("results.everyone")), Do: app.Action("results.division", d), On: s.Results.Division == d})
	}
	return parts.Stack(
		m.If(len(r.Divisions) > 0, parts.Choices(words.T("results.division"), false, choices...)),
		parts.Card("ranking", words.T("results.of-max", app.Max(r)), parts.List(words.T("results.tab-people"), rows...)),
		unranked(s, r))
}

// unranked lists who takes no place, and why.
func unranked(s *app.State, r *app.Scored) m.Part {
	var rows []parts.Row
	for i, p := range r.Persons {
		if r.Result.Rank[i] == 0 {
			rows = append(rows, parts.Row{Title: app.PersonName(p, true), Sub: p.Out, Value: r.Result.Total(i).String(), Do: to(s, "slip", itoa(p.Number)), ID: "out-" + itoa(p.Number)})
		}
	}
	return m.If(len(rows) > 0, parts.Card("unranked", words.T("results.unranked"), parts.List(words.T("results.unranked"), rows...)))
}

func teamResults(r *app.Scored) m.Node {
	list := app.RankTeams(r)
	if len(list) == 0 {
		return parts.Empty(words.T("results.no-teams"), m.Group())
	}
	ranked := map[int]bool{}
	nodes := make([]m.Part, 0, len(list))
	for _, t := range list {
		ranked[t.Index] = true
		nodes = append(nodes, teamTrail(r, t))
	}
	var few []string
	for i, t := range r.Teams {
		if !ranked[i] {
			few = append(few, t.Name)
		}
	}
	return parts.Stack(
		parts.Card("team-ranking", words.T("results.tab-teams"), nodes...),
		m.If(len(few) > 0, parts.Card("small-teams", words.T("results.small-teams"), m.El("ul", m.Each(few, func(_ int, name string) m.Part {
			return m.El("li", m.Text(name))
		})))))
}

// teamTrail is one team, opening to whose totals count and what parts it from
// the team before.
func teamTrail(r *app.Scored, t app.Ranked) m.Node {
	name := r.Teams[t.Index].Name
	trail, err := r.Result.TeamTrail(t.Index)
	if err != nil {
		return parts.Para(name)
	}
	member := func(what string) func(int, score.Member) m.Part {
		return func(_ int, member score.Member) m.Part {
			return parts.Para(words.T("results.team-"+what, app.PersonName(r.Persons[member.Person], true), member.Total))
		}
	}
	var parted string
	if trail.Before != nil {
		parted = app.Parted(r, trail.Before, r.Teams[trail.Before.Other].Name)
	}
	return parts.Why("team-"+itoa(r.Teams[t.Index].No), words.T("results.line", t.Place(), name), m.Text(t.Total.String()),
		m.Each(trail.Counting, member("counts")),
		m.Each(trail.Dropped, member("dropped")),
		m.If(parted != "", parts.Para(parted)))
}

func classResults(s *app.State, r *app.Scored) m.Node {
	return parts.Stack(m.Each(r.Classes, func(c int, class contest.Class) m.Part { return classResult(s, r, c, class) }))
}

// classResult is one class: the best cards, and for each item how many judged
// it as the key does.
func classResult(s *app.State, r *app.Scored, c int, class contest.Class) m.Node {
	bars := kindBars(class, r.Keys[c], r.Result.Items[c])
	if class.Kind == contest.Placing {
		bars[0].Label = words.T("results.order", r.Keys[c].Items[0].Answer)
	}
	return parts.Card("class-result-"+itoa(class.No), words.T("overview.class-title", class.No, class.Name),
		parts.Para(words.T("results.class-max", r.ClassMax(c))),
		classRanking(r, c, class),
		m.If(len(bars) > 0, figure.Bars("bars-"+itoa(class.No), words.T("results.items-title", class.Name), "", bars)),
		hardest(class, r, c))
}

// classRanking opens to everybody's points in one class, best first.
func classRanking(r *app.Scored, c int, class contest.Class) m.Node {
	return parts.Why("class-ranking-"+itoa(class.No), words.T("results.class-ranking"), nil,
		m.El("ol", m.Class("plain-list"), m.Each(app.RankClass(r, c), func(_ int, p app.Ranked) m.Part {
			return m.El("li", m.Text(words.T("results.class-line", p.Place(), app.PersonName(r.Persons[p.Index], true), p.Total)))
		})))
}

// hardest names the items on which most contestants left the key: either they
// have something to learn, or the bird was unfair.
func hardest(class contest.Class, r *app.Scored, c int) m.Part {
	if class.Kind != contest.Graded {
		return m.Group()
	}
	var doubtful []string
	for i, item := range r.Result.Items[c] {
		mark, n := commonest(item)
		if item.Cards >= 5 && mark != 0 && class.MarkText(mark) != r.Keys[c].Items[i].Answer && n*2 > item.Cards {
			doubtful = append(doubtful, words.T("results.doubtful", i+1, n, item.Cards, class.MarkText(mark), r.Keys[c].Items[i].Answer))
		}
	}
	return m.Each(doubtful, func(_ int, t string) m.Part { return parts.Notice(parts.Info, t) })
}

func commonest(item score.Item) (mark byte, n int) {
	for b, count := range item.Marks {
		if int(count) > n {
			mark, n = byte(b), int(count)
		}
	}
	return mark, n
}

func share(part, whole int) int {
	if whole == 0 {
		return 0
	}
	return part * 1000 / whole
}

// slip is what one contestant takes home: marks, key, points, what was missed
// and what was to be seen there.
func slip(s *app.State) m.Node {
	number := s.Page.Number(0)
	r, err := s.Open.Scored()
	index := -1
	if err == nil {
		for i, p := range r.Persons {
			if p.Number == number {
				index = i
			}
		}
	}
	if index < 0 {
		return m.El("div", m.ID("slip"), top(s, words.T("slip.title"), "results"),
			parts.Main(parts.Notice(parts.Caution, words.T("slip.nobody", number))))
	}
	return m.El("div", m.ID("slip"),
		top(s, app.PersonName(r.Persons[index], true), "results"),
		parts.Main(parts.Stack(
			provisional(r),
			slipOf(s, r, index),
			parts.Dock(words.T("slip.title"), parts.Button(words.T("slip.print"), "print")))))
}

// slips is every slip, one to a sheet of paper.
func slips(s *app.State) m.Node {
	r, err := s.Open.Scored()
	if err != nil {
		return m.El("div", m.ID("slips"), top(s, words.T("slip.all"), "results"), parts.Main(parts.Notice(parts.Bad, err.Error())))
	}
	return m.El("div", m.ID("slips"), top(s, words.T("slip.all"), "results"),
		parts.Main(
			provisional(r),
			m.If(len(r.Persons) == 0, parts.Empty(words.T("results.nobody"), parts.Button(words.T("next.people-do"), to(s, "people")))),
			m.El("div", m.Class("slips"), m.Each(r.Persons, func(i int, p contest.Person) m.Part {
				return m.El("section", m.Class("slip"), m.El("h2", m.Text(app.PersonName(p, true))), slipOf(s, r, i))
			})),
			parts.Dock(words.T("slip.all"), parts.Button(words.T("slip.print-all"), "print", parts.Primary))))
}

// slipOf is the slip of one contestant, as the results number them.
func slipOf(s *app.State, r *app.Scored, index int) m.Node {
	person := r.Persons[index]
	trail, err := r.Result.Trail(index)
	if err != nil {
		return parts.Notice(parts.Bad, err.Error())
	}
	rank := words.T("slip.unranked", person.Out)
	if trail.Rank > 0 {
		rank = words.T("slip.rank", len(r.Result.Order))
	}
	division := ""
	if trail.DivisionRank > 0 {
		division = words.T("slip.division", trail.DivisionRank, person.Division)
	}
	return parts.Stack(
		parts.Card("slip-"+itoa(person.Number), "",
			parts.Stats(
				parts.Stat(trail.Total.String(), words.T("slip.of", app.Max(r))),
				parts.Stat(itoa(trail.Rank), rank)),
			m.If(division != "", parts.Para(division)),
			parted(r, trail)),
		m.Each(trail.Classes, func(c int, ct score.ClassTrail) m.Part { return slipClass(s, r, c, ct, person) }),
		parts.Para(words.T("slip.footer"), "soft"))
}

// parted says what lies between a contestant and the two neighbours.
func parted(r *app.Scored, t *score.Trail) m.Part {
	line := func(p *score.Parting) m.Part {
		if p == nil {
			return m.Group()
		}
		return parts.Para(app.Parted(r, p, app.PersonName(r.Persons[p.Other], true)))
	}
	return m.Group(line(t.Before), line(t.After))
}

func slipClass(s *app.State, r *app.Scored, c int, ct score.ClassTrail, person contest.Person) m.Node {
	class := r.Classes[c]
	id := "slip-" + itoa(person.Number) + "-" + itoa(class.No)
	if ct.NoCard {
		text := words.T("slip.no-card")
		if s.Open.Contest.CardStatus(class, person.Number) == merge.InQuestion {
			text = words.T("slip.question")
		}
		return slipCard(id, class.Name, parts.Para(text))
	}
	total := words.T("slip.points-of", ct.Total, ct.Max)
	if class.Kind == contest.Placing {
		return slipCard(id, class.Name, parts.Para(total, "strong"), placingSlip(class, r.Keys[c].Items[0], ct))
	}
	if class.Kind != contest.Graded {
		return slipCard(id, class.Name, parts.Para(total, "strong"), slipKind(s, class, r.Keys[c], ct, id, person))
	}
	columns := []parts.Column{{Text: words.T("slip.item"), Num: true}, {Text: words.T("slip.mark")}, {Text: words.T("slip.key")}, {Text: words.T("slip.points"), Num: true}}
	rows := make([]parts.TableRow, len(ct.Slots))
	var missed []string
	for i, slot := range ct.Slots {
		mark, key := or(class.MarkText(slot.Mark), "–"), r.Keys[c].Items[i].Answer
		rows[i] = parts.TableRow{Mark: slot.Points < slot.Full, Cells: parts.Texts(itoa(i+1), mark, key, slot.Points.String())}
		if slot.Points < slot.Full {
			missed = append(missed, words.T("slip.missed", i+1, mark, key, seenText(class, s.Open.Contest.Seen(class.No, uint32(i+1)))))
		}
	}
	return slipCard(id, class.Name,
		parts.Para(total, "strong"),
		parts.Table(id+"-table", words.T("slip.table", class.Name, person.Number), columns, rows),
		m.If(len(missed) > 0, m.Group(
			m.El("h3", m.Text(words.T("slip.seen"))),
			m.El("ul", m.Class("missed"), m.Each(missed, func(_ int, t string) m.Part { return m.El("li", m.Text(t)) })))))
}

// slipCard is one class on a slip. It is no landmark: a page of slips has many
// of the same name.
func slipCard(id, heading string, items ...m.Part) m.Node {
	return m.El("section", m.ID(id), m.Class("card"), m.El("h2", m.Text(heading)), m.Group(items...))
}

// seenText writes what an official saw on an item in one line.
func seenText(class contest.Class, seen contest.Seen) string {
	book, err := class.RuleBook()
	if err != nil {
		return seen.Note
	}
	defect, site := map[string]string{}, map[string]string{}
	for _, d := range book.Defects {
		defect[d.ID] = d.Name
	}
	for _, st := range book.Sites {
		site[st.ID] = st.Name
	}
	text := ""
	for _, f := range seen.Findings {
		size := ""
		switch {
		case f.Length != nil:
			size = " " + f.Length.String()
		case f.Share != nil:
			size = " " + amount.OfShare(*f.Share).String()
		}
		if text != "" {
			text += "; "
		}
		text += words.T("slip.finding", or(defect[f.Defect], f.Defect), or(site[f.Site], f.Site), size)
	}
	if seen.Note != "" {
		if text != "" {
			text += ". "
		}
		text += seen.Note
	}
	if text == "" {
		return words.T("slip.nothing-seen")
	}
	return text
}

// linkedResults are results that came as a link, opened without the contest.
func linkedResults(s *app.State) m.Node {
	bar := parts.TopBar(words.T("results-link.title"), "", words.T("home.title"), toPage("home"))
	o := s.Results.Opened
	if o == nil {
		return m.El("div", m.ID("results-link"), bar, parts.Main(
			parts.Notice(parts.Bad, or(s.Results.Fault.Text, words.T("results-link.damaged")), parts.Para(s.Results.Fault.Fix))))
	}
	columns := []parts.Column{{Text: words.T("csv.rank"), Num: true}, {Text: words.T("csv.number"), Num: true}, {Text: words.T("csv.team")}, {Text: words.T("csv.division")}}
	for _, c := range o.Classes {
		columns = append(columns, parts.Column{Text: c.Name, Num: true})
	}
	columns = append(columns, parts.Column{Text: words.T("csv.total"), Num: true})
	var rows []parts.TableRow
	for _, i := range o.ByRank() {
		row := o.Rows[i]
		cells := parts.Texts(itoa(row.Rank), itoa(row.Number), named(o.Teams, row.Team), named(o.Divisions, row.Division))
		for _, p := range row.Points {
			text := "–"
			if p >= 0 {
				text = o.Text(p)
			}
			cells = append(cells, m.Text(text))
		}
		rows = append(rows, parts.TableRow{Cells: append(cells, m.Text(o.Totals[i].String()))})
	}
	return m.El("div", m.ID("results-link"), bar, parts.Main(parts.Stack(
		parts.Card("linked", or(o.Title, words.T("core.no-name")),
			m.If(o.Date != "", parts.Para(o.Date)),
			parts.Table("linked-table", words.T("results.title"), columns, rows)),
		parts.Para(words.T("results-link.note"), "soft"),
		parts.Button(words.T("results.print"), "print", parts.Wide))))
}

func named(names []string, n int) string {
	if n < 1 || n > len(names) {
		return ""
	}
	return names[n-1]
}

// placingSlip says which pairs were the wrong way round and what each cost.
func placingSlip(class contest.Class, key contest.KeyItem, ct score.ClassTrail) m.Part {
	official, err := placing.ParseOrder(key.Answer)
	if err != nil {
		return m.Group()
	}
	given, err := placing.ParseOrder(class.MarkText(ct.Slots[0].Mark))
	line := parts.Para(words.T("slip.order", or(class.MarkText(ct.Slots[0].Mark), "–"), key.Answer, placing.Cuts(key.Cuts)))
	if err != nil {
		return line
	}
	losses := placing.Trail(official, placing.Cuts(key.Cuts), given)
	if len(losses) == 0 {
		return m.Group(line, parts.Para(words.T("slip.all-right")))
	}
	return m.Group(line, m.El("ul", m.Each(losses, func(_ int, l placing.PairLoss) m.Part {
		return m.El("li", m.Text(words.T("slip.pair", l.Better, l.Worse, l.Loss)))
	})))
}
