package view

import (
	"strings"

	"keelcard/engine/amount"
	"keelcard/engine/contest"
	"keelcard/engine/grading"
	"keelcard/engine/merge"
	"keelcard/engine/placing"
	"keelcard/engine/points"
	"keelcard/engine/score"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

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
			newSlips(s, r).of(index),
			parts.Dock(words.T("slip.title"), parts.Button(words.T("slip.print"), "print")))))
}

// shortSlip is how many classes leave room for several slips on a sheet of paper.
const shortSlip = 3

// slips is every slip. On paper those of few classes stand side by side, and one
// of many begins a sheet of its own.
func slips(s *app.State) m.Node {
	r, err := s.Open.Scored()
	if err != nil {
		return m.El("div", m.ID("slips"), top(s, words.T("slip.all"), "results"), parts.Main(parts.Notice(parts.Bad, err.Error())))
	}
	all := newSlips(s, r)
	length := ""
	if len(r.Classes) > shortSlip {
		length = "long"
	}
	return m.El("div", m.ID("slips"), top(s, words.T("slip.all"), "results"),
		parts.Main(
			provisional(r),
			m.If(len(r.Persons) == 0, parts.Empty(words.T("results.nobody"), parts.Button(words.T("next.people-do"), to(s, "people")))),
			m.El("div", m.Class("slips", length), m.Each(r.Persons, func(i int, p contest.Person) m.Part {
				return m.El("section", m.Class("slip"), m.El("h2", m.Text(app.PersonName(p, true))),
					m.El("p", m.Class("print-only"), m.Text(joined(s.Open.Head.Name, s.Open.Contest.Settings.Date))), all.of(i))
			})),
			parts.Dock(words.T("slip.all"), parts.Button(words.T("slip.print-all"), "print", parts.Primary))))
}

// slipMaker makes the slips of a contest. What is the same on all of them is
// worked out once.
type slipMaker struct {
	s      *app.State
	r      *app.Scored
	places []*score.Part // by class
	wholes [][]string    // by class and item, what was to be seen there
}

func newSlips(s *app.State, r *app.Scored) *slipMaker {
	k := &slipMaker{s: s, r: r}
	for c, class := range r.Classes {
		k.places = append(k.places, r.Result.Part(c))
		seen := make([]string, len(r.Keys[c].Items))
		if class.Kind == contest.Graded {
			for i := range seen {
				seen[i] = seenText(class, s.Open.Contest.Seen(class.No, uint32(i+1)), r.Keys[c].Items[i].Answer)
			}
		}
		k.wholes = append(k.wholes, seen)
	}
	return k
}

// of is the slip of one contestant, as the results number them.
func (k *slipMaker) of(index int) m.Node {
	r, person := k.r, k.r.Persons[index]
	trail, err := r.Result.Trail(index)
	if err != nil {
		return parts.Notice(parts.Bad, err.Error())
	}
	rank := words.T("slip.unranked", person.Out)
	if trail.Rank > 0 {
		rank = words.T("slip.rank", len(r.Result.Order))
	}
	var lines []string
	if trail.DivisionRank > 0 {
		lines = append(lines, words.T("slip.division", trail.DivisionRank, person.Division))
	}
	for i, d := range r.ClassDivisions {
		part := r.Parts[i]
		if text := words.T("slip.part", d, part.Points(index), app.Max(r, d)); part.Rank[index] > 0 {
			lines = append(lines, words.T("slip.part-place", text, part.Rank[index]))
		}
	}
	if trail.Penalty > 0 {
		lines = append(lines, words.T("slip.penalty", trail.Total+trail.Penalty, trail.Penalty))
	}
	return parts.Stack(
		parts.Card("slip-"+itoa(person.Number), "",
			parts.Stats(
				parts.Stat(trail.Total.String(), words.T("slip.of", app.Max(r, ""))),
				parts.Stat(itoa(trail.Rank), rank)),
			m.Each(append(lines, app.Remarks(r, index, true)...), func(_ int, t string) m.Part { return parts.Para(app.Capital(t)) }),
			parted(r, trail)),
		m.Each(trail.Classes, func(c int, ct score.ClassTrail) m.Part { return k.class(c, ct, index) }),
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

// class is one class on a slip: the points and the place, and what was missed.
func (k *slipMaker) class(c int, ct score.ClassTrail, index int) m.Node {
	class, person := k.r.Classes[c], k.r.Persons[index]
	id := "slip-" + itoa(person.Number) + "-" + itoa(class.No)
	if ct.NoCard {
		text := words.T("slip.no-card")
		switch {
		case ct.Void:
			text = words.T("slip.void", person.OutOfWhy)
		case k.s.Open.Contest.CardStatus(class, person.Number) == merge.InQuestion:
			text = words.T("slip.question")
		}
		return slipCard(id, class.Name, parts.Para(text))
	}
	total := words.T("slip.points-of", ct.Total, ct.Max)
	if place := k.places[c].Rank[index]; place > 0 {
		total = words.T("slip.part-place", total, place)
	}
	body := m.Part(nil)
	switch class.Kind {
	case contest.Placing:
		body = placingSlip(class, k.r.Keys[c], ct)
	case contest.Graded:
		body = k.graded(c, ct, id, person)
	default:
		body = slipKind(k.s, class, k.r.Keys[c], ct, id, person)
	}
	return slipCard(id, class.Name, parts.Para(total, "strong"), body, classRulings(k.s, class))
}

func (k *slipMaker) graded(c int, ct score.ClassTrail, id string, person contest.Person) m.Part {
	class, keys := k.r.Classes[c], k.r.Keys[c]
	columns := []parts.Column{{Text: words.T("slip.item"), Num: true}, {Text: words.T("slip.mark")}, {Text: words.T("slip.key")}, {Text: words.T("slip.points"), Num: true}}
	rows := make([]parts.TableRow, len(ct.Slots))
	var missed []string
	for i, slot := range ct.Slots {
		mark, key := or(class.MarkText(slot.Mark), "–"), slipKey(class, keys, i)
		rows[i] = parts.TableRow{Mark: slot.Points < slot.Full, Cells: parts.Texts(itoa(i+1), mark, key, slot.Points.String())}
		if slot.Points < slot.Full && k.wholes[c][i] != words.T("slip.nothing-noted") { // else the table says it all
			text := words.T("slip.missed", i+1, mark, key, k.wholes[c][i])
			if slot.Mark == score.Blank {
				text = words.T("slip.missed-blank", i+1, key, k.wholes[c][i])
			}
			missed = append(missed, text)
		}
	}
	return m.Group(
		parts.Table(id+"-table", words.T("slip.table", class.Name, person.Number), columns, rows),
		m.If(len(missed) > 0, m.Group(m.El("h3", m.Text(words.T("slip.seen"))), missedList(missed))))
}

func missedList(missed []string) m.Node {
	return m.El("ul", m.Class("missed"), m.Each(missed, func(_ int, t string) m.Part { return m.El("li", m.Text(t)) }))
}

// slipKey is what was right on an item, counted from 0.
func slipKey(class contest.Class, keys contest.Key, i int) string {
	if keys.Out(i) {
		return words.T("slip.out")
	}
	return app.KeyText(class, keys.Items[i])
}

// slipCard is one class on a slip. It is no landmark: a page of slips has many
// of the same name.
func slipCard(id, heading string, items ...m.Part) m.Node {
	return m.El("section", m.ID(id), m.Class("card"), m.El("h2", m.Text(heading)), m.Group(items...))
}

// seenText writes what an official saw on an item, and why that gives the
// official answer.
func seenText(class contest.Class, seen contest.Seen, answer string) string {
	return kindSeen(class, seen, seenOn(class, seen, answer))
}

func seenOn(class contest.Class, seen contest.Seen, answer string) string {
	var texts []string
	nothing := words.T("slip.nothing-noted")
	b, err := class.RuleBook()
	if err == nil {
		bird := app.Bird{Book: b, Setting: class.SettingOf(seen), Findings: seen.Findings}
		judged := bird.Judge()
		follows := judged.Err == nil && judged.Grade == answer
		if follows {
			nothing = words.T("slip.nothing-seen")
		}
		if len(seen.Findings) != 1 || !follows {
			texts = append(texts, findingsText(bird)...)
		}
		if len(seen.Findings) > 0 && follows {
			texts = append(texts, app.Because(bird, judged))
		}
	}
	if seen.Official != "" {
		texts = append(texts, words.T("slip.official", seen.Official))
	}
	if seen.Note != "" {
		texts = append(texts, seen.Note)
	}
	if len(texts) == 0 {
		return nothing
	}
	for i, t := range texts {
		texts[i] = strings.TrimRight(t, ". ")
	}
	return strings.Join(texts, ". ")
}

// kindSeen puts before a text what an official said an item is: which part,
// which product.
func kindSeen(class contest.Class, seen contest.Seen, text string) string {
	b, err := class.RuleBook()
	if err != nil || seen.Kind == "" {
		return text
	}
	return words.T("slip.kind", kindName(b, seen.Kind), text)
}

func findingsText(b app.Bird) []string {
	out := make([]string, len(b.Findings))
	for i, f := range b.Findings {
		size := ""
		switch {
		case f.Length != nil:
			size = " " + f.Length.String()
		case f.Share != nil:
			size = " " + amount.OfShare(*f.Share).String()
		}
		out[i] = words.T("slip.finding", app.DefectName(b.Book, f.Defect), app.SiteName(b.Book, f.Site), size)
	}
	return out
}

// placingSlip says which pairs were the wrong way round and what each cost. Of
// several right orders it is held against the one that it comes closest to.
func placingSlip(class contest.Class, keys contest.Key, ct score.ClassTrail) m.Part {
	key := keys.Items[0]
	line := parts.Para(words.T("slip.order", or(class.MarkText(ct.Slots[0].Mark), "–"), slipKey(class, keys, 0), placing.Cuts(key.Cuts)))
	given, err := placing.ParseOrder(class.MarkText(ct.Slots[0].Mark))
	if err != nil || keys.Out(0) {
		return line
	}
	var closest []placing.PairLoss
	least := -1
	for _, right := range append([]string{key.Answer}, key.Also...) {
		official, err := placing.ParseOrder(right)
		if err != nil {
			continue
		}
		losses, sum := placing.Trail(official, placing.Cuts(key.Cuts), given), 0
		for _, l := range losses {
			sum += int(l.Loss)
		}
		if least < 0 || sum < least {
			closest, least = losses, sum
		}
	}
	if len(closest) == 0 {
		return m.Group(line, parts.Para(words.T("slip.all-right")))
	}
	return m.Group(line, m.El("ul", m.Each(closest, func(_ int, l placing.PairLoss) m.Part {
		return m.El("li", m.Text(words.T("slip.pair", l.Better, l.Worse, lossIn(class, l.Loss))))
	})))
}

// lossIn is what a loss of a placing of 50 comes to in a class of another worth.
func lossIn(class contest.Class, loss int) points.Points {
	p, err := points.Scale(class.PlacingWorth(), points.Of(loss), points.Of(placing.Perfect))
	if err != nil {
		return points.Of(loss)
	}
	return p
}

// howToTell says how a part is told from others, "" where nothing is known.
func howToTell(name string) string {
	if key := "tell." + partID(name); words.Has(key) {
		return words.T("tell." + partID(name))
	}
	return ""
}

// faultReasons says why a book finds each fault on an item, by the fault, from
// what an official saw.
func faultReasons(class contest.Class, seen contest.Seen) map[string]string {
	b, err := class.RuleBook()
	if err != nil || len(seen.Findings) == 0 {
		return nil
	}
	bird := app.Bird{Book: b, Setting: class.SettingOf(seen), Findings: seen.Findings}
	out := map[string]string{}
	for _, p := range grading.FaultsOf(b, bird.Judge().Verdict) {
		out[p.ID] = app.ReasonText(bird, p.Says[0])
	}
	return out
}
