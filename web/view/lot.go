package view

import (
	"strings"

	"keelcard/engine/amount"
	"keelcard/engine/egg"
	"keelcard/web/app"
	"keelcard/web/figure"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// lotsPage computes weight classes of eggs and grades of lots, outside any
// contest.
func lotsPage(s *app.State) m.Node {
	l := s.Lots
	return m.El("div", m.ID("lots"),
		parts.TopBar(words.T("lots.title"), words.T("lots.sub"), words.T("home.title"), toPage("home")),
		parts.Panes(
			m.Group(lotsWeight(l), lotsDraw(l), lotsAnew(l)),
			m.Group(lotsSample(l), lotsLight(l), parts.Para(words.T("lots.not-official"), "soft"))))
}

func lotsAnew(l app.Lots) m.Part {
	return m.Group(
		m.If(!l.Empty(), parts.Button(words.T("lots.clear"), "lots.clear", parts.Quiet)),
		m.If(l.Cleared(), parts.Button(words.T("lots.restore"), "lots.restore", parts.Quiet)))
}

// lotsCite names the source of a line about eggs.
func lotsCite(id, confidence string) m.Node { return cite(egg.Sources(), id, confidence) }

// pick is a choice between two ways, the second of which is said by yes.
func pick(label, name, no, yes string, on bool) m.Node {
	return parts.Choices(label, false,
		parts.Choice{Label: no, Do: app.Action(name, "no"), On: !on},
		parts.Choice{Label: yes, Do: app.Action(name, "yes"), On: on})
}

// typed is a field with what is wrong with what was typed.
func typed(in parts.Input, err error) m.Node {
	if err != nil {
		what, fix := whatFix(err)
		in.Error = app.Capital(what) + ". " + app.Capital(fix) + "."
	}
	in.Short = true
	return parts.Field(in)
}

// lotsWeight is the weight class of an egg or a dozen.
func lotsWeight(l app.Lots) m.Node {
	_, err := l.Heavy()
	return parts.Card("weight", words.T("lots.weight"),
		pick(words.T("lots.what"), "lots.dozen", words.T("lots.egg"), words.T("lots.dozen"), l.Dozen),
		pick(words.T("lots.unit"), "lots.ounces", words.T("lots.grams"), words.T("lots.ounces"), l.Ounces),
		typed(parts.Input{Name: "weight", Label: words.T("lots.weight-label"), Hint: words.T("lots.weight-hint"), Value: l.Weight, Do: "lots.weight", Mode: "decimal"}, err),
		lotsWeighed(l),
		parts.Why("classes-why", words.T("lots.classes"), nil, lotsClasses(l)))
}

// lotsWeighed says which class the weight makes, and how near the next ones are.
func lotsWeighed(l app.Lots) m.Part {
	w, ok := l.Weighed()
	if !ok {
		return parts.Para(words.T("lots.weight-none"), "soft")
	}
	name := words.T("lots.no-class")
	if w.OK {
		name = w.Class.Name
	}
	var lines []string
	switch {
	case w.OK && l.Least(w.Class) == 0:
		lines = append(lines, words.T("lots.any"))
	case w.OK && w.Spare == 0:
		lines = append(lines, words.T("lots.exactly", w.Class.Name))
	case w.OK:
		lines = append(lines, words.T("lots.spare", fine(w.Spare, false), w.Class.Name))
	}
	if w.More {
		lines = append(lines, words.T("lots.lacks", fine(w.Lacks, true), w.Next.Name, fine(l.Least(w.Next), true)))
	}
	return m.El("div", m.ID("weighed"), m.Class("stack"), m.Attr("role", "status"),
		m.El("p", m.Class("readback-value"), m.Text(name)),
		m.Each(lines, func(_ int, line string) m.Part { return parts.Para(line) }),
		m.If(w.OK && w.More, m.El("figure", m.Class("chart"), figure.Bars("between", words.T("lots.between"), "", []figure.Bar{{
			Label: words.T("lots.way", w.Class.Name, w.Next.Name), Value: fine(w.Weight, false), On: true,
			Share: int((w.Weight - l.Least(w.Class)) * 1000 / (l.Least(w.Next) - l.Least(w.Class)))}}))))
}

// fine is a weight in hundredths of a gram and of an ounce. What is lacking is
// rounded up and all else down, so that nothing is said to reach what it does
// not.
func fine(w amount.Weight, up bool) string {
	hundredths := func(unit amount.Weight) string {
		n := w * 100 / unit
		if up && n*unit < w*100 {
			n++
		}
		if n == 0 && w > 0 {
			return words.T("lots.under-least")
		}
		whole, rest := n/100, n%100
		text := itoa(int64(whole)) + "." + itoa(int64(rest/10)) + itoa(int64(rest%10))
		return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
	}
	return words.T("lots.fine", hundredths(amount.Gram), hundredths(amount.Ounce))
}

// lotsClasses is the table of the weight classes.
func lotsClasses(l app.Lots) m.Part {
	w, ok := l.Weighed()
	rows := mapped(egg.WeightClasses(), func(_ int, c egg.WeightClass) parts.TableRow {
		single := words.T("lots.any-weight")
		if c.Single > 0 {
			single = fine(c.SingleEgg(), true)
		}
		return parts.TableRow{Cells: parts.Texts(c.Name, fine(c.Dozen, true), single, pounds(c.Case)), Mark: ok && w.OK && c.ID == w.Class.ID}
	})
	first := egg.WeightClasses()[0]
	return m.Group(
		parts.Table("classes", words.T("lots.classes-caption"),
			[]parts.Column{{Text: words.T("lots.class")}, {Text: words.T("lots.of-dozen")}, {Text: words.T("lots.of-egg")}, {Text: words.T("lots.of-case")}}, rows),
		parts.Para(words.T("lots.single-text"), "soft"),
		lotsCite(first.Source, first.Confidence))
}

// pounds is a weight in pounds and half pounds.
func pounds(w amount.Weight) string {
	halves := int64(w * 2 / amount.Pound)
	if halves%2 == 1 {
		return words.T("lots.pounds", itoa(halves/2)+"½")
	}
	return words.T("lots.pounds", itoa(halves/2))
}

// lotsDraw says how many cases of a lot are drawn.
func lotsDraw(l app.Lots) m.Node {
	n, err := l.Number(l.Cases)
	drawn := egg.CasesToDraw(n)
	return parts.Card("draw", words.T("lots.draw"),
		typed(parts.Input{Name: "cases", Label: words.T("lots.cases"), Value: l.Cases, Do: "lots.cases", Mode: "numeric"}, err),
		m.If(drawn > 0, m.El("div", m.ID("drawn"), m.Attr("role", "status"), parts.Stats(
			parts.Stat(itoa(drawn), words.T("lots.drawn")), parts.Stat(itoa(drawn*egg.EggsOfCase), words.T("lots.examined"))))),
		parts.Why("draw-why", words.T("lots.plan"), nil, lotsPlan(n)))
}

// lotsPlan is the table by which a lot is sampled.
func lotsPlan(lot int) m.Part {
	draws := egg.Draws()
	rows := mapped(draws, func(_ int, d egg.Draw) parts.TableRow {
		text := itoa(d.From)
		if d.To > d.From {
			text = words.T("hens.from-to", d.From, d.To)
		}
		return parts.TableRow{Cells: parts.Texts(text, itoa(d.Cases)), Mark: lot >= d.From && lot <= d.To}
	})
	last := draws[len(draws)-1]
	return m.Group(
		parts.Table("plan", words.T("lots.plan-caption"), []parts.Column{{Text: words.T("lots.in-lot")}, {Text: words.T("lots.to-draw"), Num: true}}, rows),
		parts.Para(words.T("lots.beyond", last.To, egg.EggsOfCase), "soft"),
		lotsCite(last.Source, last.Confidence))
}

// lotsSample counts a sample by quality and grades the lot.
func lotsSample(l app.Lots) m.Node {
	return parts.Card("sample", words.T("lots.sample"),
		pick(words.T("lots.at"), "lots.destination", words.T("lots.origin"), words.T("lots.destination"), l.Destination),
		parts.Check(words.T("lots.jumbo"), "lots.jumbo", l.Jumbo),
		m.El("div", m.Class("counts"), m.Each(app.Qualities, func(_ int, q string) m.Part {
			_, err := l.Number(l.Counts[q])
			in := parts.Input{Name: "count-" + q, Label: words.T("lots.quality-" + q), Value: l.Counts[q], Do: app.Action("lots.count", q), Mode: "numeric"}
			if q == "worst-b" {
				in.Hint = words.T("lots.worst-hint")
			}
			return typed(in, err)
		})),
		lotsGrade(l))
}

// lotsGrade is the grade of the lot, and what fails of each better one.
func lotsGrade(l app.Lots) m.Part {
	sample, err := l.Sample()
	if err != nil || sample.Eggs() == 0 && sample.WorstB == 0 {
		return parts.Para(words.T("lots.sample-none"), "soft")
	}
	grade, err := egg.GradeLot(sample, l.At())
	if err != nil {
		text := words.T("lots.worst-many")
		if sample.WorstB <= sample.B {
			text = err.Error()
		}
		return parts.Notice(parts.Bad, text)
	}
	text := words.T("lots.grade", grade.Grade)
	if grade.Grade == "" {
		text = words.T("lots.no-grade")
	}
	return m.El("div", m.ID("graded"), m.Class("stack"),
		m.El("p", m.Class("readback-value"), m.Attr("role", "status"), m.Text(text)),
		parts.Para(words.N("lots.eggs", grade.Eggs), "soft"),
		m.If(len(grade.Missed) > 0, m.Group(m.El("h3", m.Text(words.T("lots.fails"))),
			m.El("ul", m.Class("missed"), m.Each(grade.Missed, func(_ int, miss egg.Miss) m.Part {
				return m.El("li", m.Text(missText(miss)), lotsCite(miss.Source, miss.Confidence))
			})))),
		parts.Why("tolerances-why", words.T("lots.tolerances"), nil, lotsTolerances(l, sample)))
}

// missText says which tolerance is not kept, and by what.
func missText(miss egg.Miss) string {
	key := "lots.over"
	if miss.Least {
		key = "lots.under"
	}
	name := words.T("lots.counts-" + miss.Counts)
	if key == "lots.over" {
		return words.T("lots.over", miss.Grade, name, miss.Count, percent(miss.Found), percent(miss.Bound))
	}
	return words.T("lots.under", miss.Grade, name, miss.Count, percent(miss.Found), percent(miss.Bound))
}

// percent is a share in hundredths; it says so when it was rounded.
func percent(s amount.Share) string {
	n := s.Num * 10000
	text := itoa(n/s.Den/100) + "." + itoa(n/s.Den/10%10) + itoa(n/s.Den%10)
	text = strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
	if n%s.Den != 0 {
		return words.T("lots.percent-about", text)
	}
	return words.T("lots.percent", text)
}

// lotsTolerances shows every tolerance beside what was found.
func lotsTolerances(l app.Lots, sample egg.Sample) m.Part {
	var rows []parts.TableRow
	var said egg.Tolerance
	for _, t := range egg.Tolerances() {
		if t.At != l.At() {
			continue
		}
		said = t
		bound := words.T("lots.at-most", percent(t.Bound(l.Jumbo)))
		if t.Least {
			bound = words.T("lots.at-least", percent(t.Bound(l.Jumbo)))
		}
		n := sample.Count(t.Counts)
		rows = append(rows, parts.TableRow{Cells: parts.Texts(t.Grade, words.T("lots.counts-"+t.Counts), bound, percent(amount.Portion(int64(n), int64(sample.Eggs()))))})
	}
	return m.Group(
		parts.Table("tolerances", words.T("lots.tolerances"),
			[]parts.Column{{Text: words.T("lots.for")}, {Text: words.T("lots.counted")}, {Text: words.T("lots.bound")}, {Text: words.T("lots.found")}}, rows),
		lotsCite(said.Source, said.Confidence))
}

// lotsLight checks how many light eggs the cases of a lot hold.
func lotsLight(l app.Lots) m.Node {
	cases, err := l.Weighings()
	in := parts.Input{Name: "light", Label: words.T("lots.light-label"), Hint: words.T("lots.light-hint"), Value: l.Light, Do: "lots.light", Lines: 3}
	result := m.Part(m.Group())
	if err == nil && len(cases) > 0 {
		result = lotsLightFound(cases)
	}
	return parts.Card("light", words.T("lots.light"),
		parts.Para(words.T("lots.light-text"), "soft"), typed(in, err), result,
		m.Each(egg.LightTolerances(), func(_ int, t egg.LightEggs) m.Part {
			return m.Group(parts.Para(words.T("lots.light-"+t.Of, percent(t.Most))), lotsCite(t.Source, t.Confidence))
		}))
}

func lotsLightFound(cases []egg.Case) m.Part {
	over, err := egg.CheckLight(cases)
	if err != nil {
		return parts.Notice(parts.Bad, err.Error())
	}
	if len(over) == 0 {
		return parts.Notice(parts.Info, words.N("lots.light-kept", len(cases)))
	}
	return m.Each(over, func(_ int, o egg.LightCase) m.Part {
		if o.Of == egg.OfLot {
			return parts.Notice(parts.Caution, words.T("lots.light-lot-over", percent(o.Found), percent(o.Most)))
		}
		return parts.Notice(parts.Caution, words.T("lots.light-case-over", o.Case+1, percent(o.Found), percent(o.Most)))
	})
}
