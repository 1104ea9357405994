package view

import (
	"slices"
	"strconv"
	"strings"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/record"
	"keelcard/web/app"
	"keelcard/web/figure"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// ruling is the page on which officials rule on an item after its answer was
// set, or the list of the items of a class.
func ruling(s *app.State) m.Node {
	n, err := s.RulingNow()
	if engine.CodeOf(err) == "app.sealed" {
		return m.El("div", m.ID("ruling"), top(s, words.T("ruling.title"), "results"), parts.Main(sealedCard(s), rulingsCard(s)))
	}
	if err != nil {
		what, fix := whatFix(err)
		return m.El("div", m.ID("ruling"), top(s, words.T("ruling.title"), "results"),
			parts.Main(parts.Notice(parts.Bad, what, m.If(fix != "", parts.Para(fix)))))
	}
	if s.Page.Arg(1) == "" {
		return rulingItems(s, n)
	}
	title := s.RulingWhere(n.Class, n.Item)
	if n.Item == 0 {
		title = words.T("ruling.whole", n.Class.Name)
	}
	return m.El("div", m.ID("ruling"),
		parts.TopBar(title, s.Open.Head.Name, words.T("common.back"), to(s, "ruling", itoa(n.Class.No))),
		parts.Where(whereText(s), to(s, "hand-over")),
		parts.Panes(
			m.Group(initials(s), rulingState(s, n), rulingItem(s, n), rulingFell(s, n)),
			m.Group(rulingChoose(s, n), rulingPreview(s, n))))
}

// rulingItems lists what can be ruled on in a class, with how the cards fell.
func rulingItems(s *app.State, n app.RulingNow) m.Node {
	no := itoa(n.Class.No)
	line := func(item uint32, row parts.Row) parts.Row {
		row.Do = to(s, "ruling", no, itoa(item))
		if r, ok := s.RulingOn(n.Class.No, item); ok {
			row.Value = words.T("ruling.ruled")
			if (app.RulingNow{Ruled: r, Stands: true}).InQuestion() {
				row.Value = words.T("ruling.differ")
			}
		}
		return row
	}
	var rows []parts.Row
	for i, fell := range s.CardsFell(n.Class) {
		rows = append(rows, line(uint32(i+1), parts.Row{Lead: itoa(i + 1), Title: or(app.KeyText(n.Class, n.Key.Items[i]), "–"), Sub: fellShort(fell)}))
	}
	whole := line(0, parts.Row{Title: words.T("ruling.whole", n.Class.Name), Sub: words.T("ruling.whole-sub")})
	return m.El("div", m.ID("ruling"), top(s, words.T("ruling.title"), "results"),
		parts.Main(
			parts.Para(words.T("ruling.text")),
			m.If(len(rows) > 0, parts.Card("ruling-items", n.Class.Name, parts.List(n.Class.Name, rows...))),
			parts.Card("ruling-whole", words.T("ruling.class"), parts.List(words.T("ruling.class"), whole)),
			rulingsCard(s)))
}

// fellShort says how many were right, and what stands against it.
func fellShort(fell []app.Fell) string {
	all, right := app.CardsOf(fell), 0
	if all == 0 {
		return words.T("ruling.no-cards")
	}
	for _, f := range fell {
		if f.Right {
			right += f.Cards
		}
	}
	text := words.T("results.right", right, all)
	if !fell[0].Scored {
		text = words.N("ruling.cards", all)
	}
	if app.Doubtful(fell) {
		text += " · " + words.T("ruling.doubtful", fell[0].Cards, fell[0].Text)
	}
	return text
}

// rulingState says what was ruled, and how it is taken back.
func rulingState(s *app.State, n app.RulingNow) m.Part {
	sub := contest.RulingSubject(n.Class.No, n.Item)
	history := historyButton(s, sub)
	past := len(s.Open.Contest.State().History(sub)) > 0
	switch {
	case n.InQuestion():
		return parts.Notice(parts.Caution, words.T("ruling.in-question"),
			parts.Line(parts.Button(words.T("keying.settle"), to(s, "questions", app.SubjectArgs(sub)...), parts.Primary), history))
	case n.Stands:
		return parts.Card("ruling-stands", words.T("ruling.stands"),
			parts.Para(app.Capital(app.RulingText(n.Class, n.Item, n.Ruled.Ruling))+".", "strong"),
			parts.Para(n.Ruled.Why),
			parts.Para(words.T("ruling.by", who(n.Ruled.Who), stamp(n.Ruled.Stamp.Wall)), "soft"),
			parts.Line(rulingUndo(s, sub), history))
	case past:
		return parts.Line(rulingUndo(s, sub), history)
	}
	return m.Group()
}

// rulingUndo takes back the last step, if it was about this item.
func rulingUndo(s *app.State, sub record.Subject) m.Part {
	r, _, ok := s.UndoTarget()
	return m.If(ok && r.Subject == sub, parts.Button(words.T("common.undo"), "undo", parts.Sub(s.SubjectName(sub))))
}

// rulingItem is the item: its answer, and what an official saw on it.
func rulingItem(s *app.State, n app.RulingNow) m.Part {
	if n.Item == 0 {
		return parts.Card("item", words.T("ruling.class"),
			parts.Para(words.N("ruling.cards-in", s.CardsIn(n.Class.No))),
			parts.Para(words.T("ruling.whole-text"), "soft"))
	}
	official, now := n.Official(), n.Now()
	seen := s.Open.Contest.Seen(n.Class.No, n.Item)
	drawn := m.Part(nil)
	if n.Class.Kind == contest.Identified && slices.Contains(figure.PartIDs(), partID(now.Answer)) {
		title := app.KeyText(n.Class, contest.KeyItem{Answer: now.Answer})
		drawn = figure.Part(partID(now.Answer), figure.Options{ID: "part-art", Title: title, Desc: title, Static: true})
	}
	saw := ""
	switch {
	case n.Class.Kind == contest.Graded:
		saw = words.T("ruling.saw", seenText(n.Class, seen, official.Answer))
	case seen.Note != "" || seen.Official != "":
		saw = words.T("ruling.saw", strings.TrimSpace(seen.Official+" "+seen.Note))
	}
	return parts.Card("item", words.T("ruling.answer"),
		m.El("div", m.Class("answered"), drawn, m.El("p", m.Class("readback-value"), m.Text(or(app.KeyText(n.Class, now), words.T("ruling.no-answer"))))),
		m.If(app.KeyText(n.Class, official) != app.KeyText(n.Class, now), parts.Para(words.T("ruling.was", app.KeyText(n.Class, official)))),
		m.If(saw != "", parts.Para(saw)),
		m.If(seen.Photo != "", m.El("img", m.ID("photo-img"), m.Class("photo"), m.Attr("data-blob", seen.Photo), m.Attr("alt", words.T("key.photo-alt", n.Item, n.Class.Name)))),
		parts.Line(
			parts.Button(words.T("ruling.to-key"), to(s, "key", keyArgs(n)...), parts.Quiet)))
}

// keyArgs names the item on the page of its key.
func keyArgs(n app.RulingNow) []string {
	if n.Class.Kind == contest.Placing {
		return []string{itoa(n.Class.No)}
	}
	return []string{itoa(n.Class.No), itoa(n.Item)}
}

// mostFell is how many different answers are shown; an order can be marked in 24
// ways.
const mostFell = 8

// rulingFell shows how the cards fell.
func rulingFell(s *app.State, n app.RulingNow) m.Part {
	if n.Item == 0 {
		return m.Group()
	}
	fell := s.CardsFell(n.Class)[n.Item-1]
	all := app.CardsOf(fell)
	if all == 0 {
		return parts.Card("fell", words.T("ruling.fell"), parts.Para(words.T("ruling.no-cards")))
	}
	rest := 0
	var bars []figure.Bar
	for i, f := range fell {
		if i >= mostFell {
			rest += f.Cards
			continue
		}
		value := words.N("ruling.cards", f.Cards)
		if f.Scored {
			value = words.T("ruling.earn", value, f.Earned)
		}
		bars = append(bars, figure.Bar{Label: clip(f.Text, mostOfName), Value: value, Share: share(f.Cards, all), On: f.Right})
	}
	return parts.Card("fell", words.T("ruling.fell"),
		figure.Bars("fell-bars", words.T("ruling.fell-title", s.RulingWhere(n.Class, n.Item)), "", bars),
		m.If(rest > 0, parts.Para(words.N("ruling.fell-rest", rest), "soft")))
}

// rulingChoose asks what is ruled, which answer, and why.
func rulingChoose(s *app.State, n app.RulingNow) m.Part {
	if n.InQuestion() {
		return m.Group()
	}
	k := s.Ruling
	var ways []parts.Choice
	for _, way := range n.RulingWays() {
		name := way
		if way == app.RuleOut && n.Item == 0 {
			name = "leave-out"
		}
		ways = append(ways, parts.Choice{Label: words.T("ruling.way-" + name), Sub: words.T("ruling.way-sub-" + name), Do: app.Action("ruling.way", way), On: k.Way == way})
	}
	in := parts.Input{Name: "why", Label: words.T("ruling.why"), Hint: words.T("ruling.why-hint"), Value: k.Why, Do: "ruling.why", Lines: 2}
	if k.Need {
		in.Error = words.T("ruling.why-needed")
	}
	return parts.Card("choose", words.T("ruling.choose"),
		parts.Choices("", true, ways...),
		m.If(k.Way == app.RuleAlso || k.Way == app.RuleAnswer, rulingPick(s, n)),
		m.If(k.Way != "" && k.Way != app.RuleBack, live(parts.Field(in))),
		parts.Para(words.T("ruling.everyone"), "soft"),
		m.If(k.Way != "", parts.Button(words.T("ruling.drop"), "ruling.drop", parts.Quiet)))
}

// fewPicks is how many answers are shown as buttons; more make a list.
const fewPicks = 8

// rulingPick chooses the answer.
func rulingPick(s *app.State, n app.RulingNow) m.Part {
	k := s.Ruling
	label := words.T("ruling.pick-" + k.Way)
	if n.Class.Kind == contest.Checked {
		faults, _ := n.Class.Faults()
		present := contest.SplitFaults(k.Pick)
		return m.El("fieldset", m.Class("choices"),
			m.El("legend", m.Text(words.T("ruling.pick-faults"))),
			m.Each(faults, func(i int, f contest.Fault) m.Part {
				return parts.Button(f.Name, app.Action("ruling.fault", itoa(i+1)), parts.Pressed(slices.Contains(present, f.ID)))
			}))
	}
	picks := n.RulingPicks(k.Way)
	if len(picks) > fewPicks {
		options := []parts.Option{{Label: words.T("ruling.pick-none")}}
		for _, p := range picks {
			options = append(options, parts.Option{Value: p, Label: p})
		}
		return parts.Field(parts.Input{Name: "pick", Label: label, Value: k.Pick, Do: "ruling.pick", Options: options})
	}
	answers := n.Class.Answers()
	var choices []parts.Choice
	for _, p := range picks {
		choices = append(choices, parts.Choice{Label: p, Do: app.Action("ruling.pick", strconv.Itoa(slices.Index(answers, p)+1)), On: k.Pick == p})
	}
	return parts.Choices(label, false, choices...)
}

// rulingPreview is what the ruling would come to, before it is made.
func rulingPreview(s *app.State, n app.RulingNow) m.Part {
	p, err := s.RulingPreview()
	switch {
	case err != nil:
		return parts.Notice(parts.Bad, err.Error())
	case p == nil:
		return m.If(!n.InQuestion(), parts.Para(words.T("ruling.preview-to-come"), "soft"))
	}
	places, others := app.SortMoves(p.Persons)
	teamPlaces, teamOthers := app.SortMoves(p.Teams)
	moves := func(id string, list []contest.Move, name func(uint32) string) m.Part {
		title := words.N("ruling."+id, len(list))
		return m.If(len(list) > 0, m.Group(
			m.If(!strings.HasSuffix(id, "others"), m.El("h3", m.Text(title))),
			m.El("ul", m.Class("list"), m.Attr("aria-label", title), m.Each(list, func(_ int, move contest.Move) m.Part {
				return moveRow(s, move, id+"-"+itoa(move.Number), name(move.Number))
			}))))
	}
	person := func(no uint32) string {
		one, _ := s.Open.Contest.Person(no)
		return app.PersonName(one, true)
	}
	team := func(no uint32) string {
		one, _ := s.Open.Contest.Team(no)
		return one.Name
	}
	return m.El("section", m.ID("preview"), m.Class("card"), m.Attr("aria-labelledby", "preview-h"),
		m.El("h2", m.ID("preview-h"), m.Text(words.T("ruling.preview"))),
		m.El("p", m.Attr("role", "status"), m.Class("strong"), m.Text(previewText(p, len(places), len(teamPlaces)))),
		firstPlace(p),
		parts.Stats(parts.Stat(itoa(p.Gain), words.T("ruling.gain")), parts.Stat(itoa(p.Lose), words.T("ruling.lose"))),
		rulingMake(s, n),
		moves("moves", places, person),
		moves("team-moves", teamPlaces, team),
		rest("others", len(others), moves("others", others, person)),
		rest("team-others", len(teamOthers), moves("team-others", teamOthers, team)),
		m.Each(app.Provisional(p.After), func(_ int, t string) m.Part { return parts.Para(t, "soft") }))
}

// rest opens to those whose place in the whole contest stays.
func rest(id string, n int, list m.Part) m.Part {
	return m.If(n > 0, parts.Why("why-"+id, words.N("ruling."+id, n), nil, list))
}

func previewText(p *contest.Preview, places, teams int) string {
	switch {
	case len(p.Persons)+len(p.Teams) == 0:
		return words.T("ruling.nothing")
	case places+teams == 0:
		return words.T("ruling.no-places")
	}
	text := words.N("ruling.contestants", places)
	switch {
	case places == 0:
		text = words.N("ruling.teams", teams)
	case teams > 0:
		text = words.T("ruling.and", text, words.N("ruling.teams", teams))
	}
	return words.T("ruling.would-move", text)
}

// firstPlace says who would lead, where that changes.
func firstPlace(p *contest.Preview) m.Part {
	leaders := func(r *app.Scored) string {
		var names []string
		for _, line := range app.RankPersons(r, nil, "") {
			if line.Rank == 1 {
				names = append(names, app.PersonName(r.Persons[line.Index], true))
			}
		}
		return strings.Join(names, ", ")
	}
	before, after := leaders(p.Before), leaders(p.After)
	return m.If(before != after && before != "" && after != "", parts.Para(words.T("ruling.first", before, after)))
}

// moveRow is what would change for one contestant or team: the whole contest,
// the age group, the divisions, the classes.
func moveRow(s *app.State, move contest.Move, id, name string) m.Node {
	var lines []string
	place := func(where string, before, after int32) {
		if before != after {
			lines = append(lines, words.T("ruling.place", where, app.RankText(before), app.RankText(after)))
		}
	}
	if move.Before.Rank == move.After.Rank {
		lines = append(lines, words.T("ruling.stays", app.RankText(move.After.Rank)))
	}
	place(words.T("ruling.in-all"), move.Before.Rank, move.After.Rank)
	place(words.T("ruling.in-group"), move.Before.GroupRank, move.After.GroupRank)
	for _, spot := range move.Spots {
		where := spot.Division
		if class, ok := s.Open.Contest.Class(spot.Class); ok && spot.Class > 0 {
			where = class.Name
		}
		if spot.Before.Total != spot.After.Total {
			where = words.T("ruling.spot-points", where, spot.Before.Total, spot.After.Total)
		}
		if spot.Before.Rank == spot.After.Rank {
			lines = append(lines, where)
			continue
		}
		place(where, spot.Before.Rank, spot.After.Rank)
	}
	total := move.After.Total.String()
	if move.Before.Total != move.After.Total {
		total = words.T("ruling.change", move.Before.Total, move.After.Total)
	}
	return m.El("li", m.El("div", m.ID(id), m.Class("list-item"),
		m.El("span", m.Class("item-text"), m.El("span", m.Class("item-title"), m.Text(name)),
			m.Each(lines, func(_ int, t string) m.Part { return m.El("span", m.Class("item-sub"), m.Text(t)) })),
		m.El("span", m.Class("item-value"), m.Text(total))))
}

// rulingMake makes the ruling that is previewed.
func rulingMake(s *app.State, n app.RulingNow) m.Part {
	r, _ := s.Proposed()
	label, sub := words.T("ruling.take-back"), ""
	if !r.None() {
		label, sub = words.T("ruling.make"), app.Capital(app.RulingText(n.Class, n.Item, r))
	}
	opts := []parts.Opt{parts.Primary, parts.Big, parts.Wide}
	if sub != "" {
		opts = append(opts, parts.Sub(sub))
	}
	return parts.Button(label, "ruling.make", opts...)
}

// rulingsCard lists every ruling of the contest: who, when and why. It stands on
// paper, too.
func rulingsCard(s *app.State) m.Part {
	list := s.Open.Contest.Rulings()
	rows := make([]parts.Row, len(list))
	for i, r := range list {
		class, _ := s.Open.Contest.Class(r.Class)
		rows[i] = parts.Row{Title: s.RulingLine(r), Do: to(s, "ruling", itoa(r.Class), itoa(r.Item)), ID: "ruling-" + itoa(r.Class) + "-" + itoa(r.Item)}
		if (app.RulingNow{Ruled: r, Stands: true}).InQuestion() {
			rows[i].Title, rows[i].Sub = s.RulingWhere(class, r.Item), words.T("ruling.in-question")
			continue
		}
		rows[i].Sub = words.T("ruling.by", who(r.Who), stamp(r.Stamp.Wall))
		if !r.Sealed {
			rows[i].Sub = words.T("ruling.why-by", r.Why, rows[i].Sub)
		}
	}
	return m.If(len(rows) > 0, parts.Card("rulings", words.N("ruling.many", len(rows)), parts.List(words.T("ruling.title"), rows...)))
}

// classRulings notes the rulings beside a class.
func classRulings(s *app.State, class contest.Class) m.Part {
	return m.Each(s.RulingsMade(), func(_ int, r contest.Ruled) m.Part {
		text := app.RulingText(class, r.Item, r.Ruling)
		if class.Kind != contest.Placing {
			text = words.T("ruling.on-item", r.Item, text)
		}
		return m.If(r.Class == class.No, parts.Para(words.T("ruling.note", text, r.Why), "keep"))
	})
}

// clip cuts a text that is longer than a number of letters.
func clip(text string, most int) string {
	if letters := []rune(text); len(letters) > most {
		return string(letters[:most-1]) + "…"
	}
	return text
}
