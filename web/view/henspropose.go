package view

import (
	"strconv"
	"strings"

	"keelcard/engine/hens"
	"keelcard/engine/merge"
	"keelcard/engine/placing"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
	"keelcard/web/figure"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// hensAll is what the notes say of all four hens: the order and cuts that they
// propose, step by step, what the official makes of them, and the chart.
func hensAll(s *app.State, h app.HensNow) m.Node {
	return parts.Panes(
		m.Group(initials(s), hensTabs(h), hensWhose(h), hensProposed(h), hensKey(s, h)),
		m.Group(hensChart(h), hensWay(h), hensPaper(s, h), hensNotes()))
}

// hensWhose chooses whose notes are proposed from, where several looked.
func hensWhose(h app.HensNow) m.Part {
	if len(h.Who) < 2 {
		return m.Group()
	}
	return parts.Choices(words.T("hens.whose"), false, mapped(h.Who, func(_ int, who string) parts.Choice {
		return parts.Choice{Label: officialName(who), Do: app.Action("hens.whose", who), On: who == h.Whose}
	})...)
}

// hensProposed is the order and the cuts that the notes propose, and why.
func hensProposed(h app.HensNow) m.Node {
	p := h.Proposal
	if !h.Compared() {
		return parts.Card("proposed", words.T("hens.proposed"),
			parts.Empty(words.T("hens.nothing"), m.Group(parts.Para(words.T("hens.nothing-text"), "soft"),
				parts.Button(words.T("hens.begin"), app.Action("hens.hen", "1"), parts.ID("begin"), parts.Primary))),
			hensLeft(p))
	}
	return parts.Card("proposed", words.T("hens.proposed"),
		parts.Para(words.T("hens.proposed-by", officialName(h.Whose)), "soft"),
		keyHens(p.Order[:], p.Cuts, true),
		m.El("p", m.ID("proposed-order"), m.Class("readback-value"), m.Text(p.Order.String())),
		hensTies(p),
		m.El("h3", m.Text(words.T("hens.how"))),
		m.El("ol", m.ID("steps"), m.Class("list"), m.Each(p.Steps, func(i int, st hens.Step) m.Part { return hensStep(i, st) })),
		m.El("h3", m.Text(words.T("hens.cuts"))),
		m.El("ol", m.ID("breaks"), m.Class("list"), m.Each(p.Breaks[:], func(i int, b hens.Break) m.Part {
			return m.El("li", m.El("span", m.Class("item-title"), m.Text(words.T("hens.cut-"+itoa(i+1), b.Better, b.Worse, b.Cut))), parts.Para(breakText(b)))
		})),
		parts.Para(words.T("hens.cuts-how"), "soft"),
		hensCite(hens.UNL, rulebook.Read),
		hensLeft(p), hensOdd(p))
}

// hensTies says which hens nothing parts.
func hensTies(p hens.Proposal) m.Part {
	return m.Each(p.Groups, func(_ int, group []int) m.Part {
		return m.If(len(group) > 1, parts.Notice(parts.Info, words.T("hens.tie", app.Capital(hensText(group)))))
	})
}

// hensText names hens: "hens 1, 2 and 4".
func hensText(list []int) string {
	if len(list) == 1 {
		return words.T("hens.hen", list[0])
	}
	numbers := mapped(list, func(_ int, n int) string { return strconv.Itoa(n) })
	last := len(numbers) - 1
	return words.T("hens.hens", strings.Join(numbers[:last], ", "), numbers[last])
}

// hensStep is one factor held against hens that were equal up to then.
func hensStep(i int, st hens.Step) m.Node {
	factor := words.T("hens.factor-" + st.Factor)
	text := words.T("hens.parts-none", factor, hensText(st.Hens))
	if len(st.Ranked) > 1 {
		ranked := mapped(st.Ranked, func(_ int, group []int) string {
			if len(group) > 1 {
				return words.T("hens.level", hensText(group))
			}
			return hensText(group)
		})
		text = words.T("hens.parts", factor, then(ranked))
	}
	if len(st.Hens) < hens.Count {
		text = words.T("hens.among", hensText(st.Hens), text)
	}
	return m.El("li", m.Class("keep"), parts.Para(words.T("hens.step", i+1, text)),
		parts.Why("step-"+itoa(i+1), words.T("hens.held"), nil, parts.Para(words.T("hens.rule-"+st.Factor), "soft"), stepTable(i, st)))
}

// then joins what follows one after another.
func then(list []string) string {
	text := list[0]
	for _, next := range list[1:] {
		text = words.T("hens.then", text, next)
	}
	return text
}

// stepTable shows what was compared in a step.
func stepTable(i int, st hens.Step) m.Node {
	columns := []parts.Column{{Text: words.T("hens.head-hen")}}
	for _, place := range st.Places {
		columns = append(columns, parts.Column{Text: app.SignName(place)})
	}
	if len(st.Places) == 0 {
		columns = append(columns, parts.Column{Text: words.T("hens.factor-" + st.Factor)})
	}
	rows := mapped(st.Hens, func(k int, hen int) parts.TableRow {
		cells := []m.Part{m.Text(itoa(hen))}
		for _, v := range st.Values[k] {
			cells = append(cells, m.Text(stepValue(st.Factor, v)))
		}
		return parts.TableRow{Cells: cells}
	})
	return parts.Table("step-table-"+itoa(i+1), words.T("hens.compared"), columns, rows)
}

func stepValue(factor string, v int) string {
	switch factor {
	case hens.Pigment:
		return words.T("hens.bleach-" + hens.BleachWords[v])
	case hens.Capacity:
		return app.FingersText(hens.Fingers(v))
	case hens.Molt:
		return words.N("hens.week", -v)
	}
	return words.T("hens.feel-" + hens.FeelWords[v])
}

// breakText says what parts two neighbours of the order, and how a cut came of
// it.
func breakText(b hens.Break) string {
	if b.Factor == "" {
		return words.T("hens.cut-tie")
	}
	gap := words.N("hens.gap-"+b.Factor, b.Gap)
	if b.Factor == hens.Capacity {
		gap = words.T("hens.gap-fingers", app.FingersText(hens.Fingers(b.Gap)))
	}
	text := words.T("hens.parted", words.T("hens.factor-"+b.Factor), gap)
	if b.Place != "" {
		text = words.T("hens.parted-at", text, strings.ToLower(app.SignName(b.Place)))
	}
	text = words.T("hens.makes", text, words.T("key.cut-size-"+cutSize(uint8(b.Wanted))), b.Wanted)
	if b.Cut < b.Wanted {
		text = words.T("hens.smaller", text, b.Cut)
	}
	return text
}

// hensLeft says what was not compared since it is lacking on some hens: what is
// lacking on the same hens together.
func hensLeft(p hens.Proposal) m.Part {
	var lacking []string
	names := map[string][]string{}
	for _, l := range p.Left {
		key := l.Place
		if key == "" {
			key = hens.KeyMolt
			if l.Factor != hens.Molt {
				key = hens.KeyFeel
			}
		}
		on := hensText(l.Hens)
		if names[on] == nil {
			lacking = append(lacking, on)
		}
		names[on] = append(names[on], app.SignName(key))
	}
	return m.If(len(lacking) > 0, m.El("div", m.ID("left"), m.Class("stack", "close"),
		m.El("h3", m.Text(words.T("hens.left"))),
		parts.Para(words.T("hens.left-text"), "soft"),
		m.El("ul", m.Class("plain-list"), m.Each(lacking, func(_ int, on string) m.Part {
			return m.El("li", m.Text(words.T("hens.lacking", app.Capital(on), strings.ToLower(strings.Join(names[on], "; ")))))
		}))))
}

// hensOdd says what does not fit together on a hen.
func hensOdd(p hens.Proposal) m.Part {
	return m.Each(p.Odd, func(_ int, o hens.Oddity) m.Part {
		text := words.T("hens.odd-tight", o.Hen)
		if o.Code == hens.Returned {
			text = words.T("hens.odd-returned", o.Hen, strings.ToLower(app.SignName(o.Early)), strings.ToLower(app.SignName(o.Late)))
		}
		return parts.Notice(parts.Caution, text, parts.Source(confidenceText(rulebook.FromMemory)))
	})
}

// hensKey is the official key beside the proposal: it changes by a tap of the
// official only.
func hensKey(s *app.State, h app.HensNow) m.Node {
	toKey := parts.Button(words.T("hens.to-key"), to(s, "key", itoa(h.Class.No)), parts.ID("to-key"), parts.Quiet)
	switch {
	case h.Status == merge.InQuestion:
		return parts.Card("official", words.T("key.title"), parts.Notice(parts.Caution, words.T("key.in-question"),
			parts.Button(words.T("key.settle"), to(s, "questions", app.SubjectArgs(h.Subject())...))))
	case !h.Settled() && !h.Compared():
		return parts.Card("official", words.T("key.title"), parts.Para(words.T("hens.no-order")), toKey)
	}
	text := words.T("hens.no-order")
	if h.Settled() {
		text = orderNow(h)
	}
	return parts.Card("official", words.T("key.title"),
		m.El("p", m.ID("order-now"), m.Class("strong"), m.Attr("role", "status"), m.Text(text)),
		m.If(h.Closed, parts.Para(words.T("hens.locked"))),
		m.If(h.Compared() && !h.Closed && !h.Agrees(), parts.Button(words.T("hens.use-order", h.Proposal.Order), "hens.order", parts.Wide)),
		m.If(h.Agrees() && h.Compared() && h.Proposal.Cuts == h.Answer.Cuts, parts.Para(words.T("hens.as-proposed"))),
		m.If(h.Agrees() && h.Compared() && !h.Closed && h.Proposal.Cuts != h.Answer.Cuts, parts.Button(words.T("hens.use-cuts", h.Proposal.Cuts), "hens.cuts", parts.Wide)),
		hensDeparts(s, h), hensReasons(h),
		parts.Para(words.T("hens.yours"), "soft"), toKey)
}

// orderNow says the official order and its cuts.
func orderNow(h app.HensNow) string {
	if h.Answer.Cuts == [3]uint8{} {
		return words.T("hens.order-only", h.Answer.Answer)
	}
	return words.T("hens.order-now", h.Answer.Answer, placing.Cuts(h.Answer.Cuts))
}

// hensDeparts lets the official say why the order is not the proposed one.
func hensDeparts(s *app.State, h app.HensNow) m.Part {
	if !h.Departs() && h.Mine().Official == "" {
		return m.Group()
	}
	in := parts.Input{Name: "why", Label: words.T("hens.why"), Hint: words.T("key.why-hint"), Value: h.Mine().Official, Do: "hens.why", Lines: 2}
	if f := s.Hens.Fault; f.Field == in.Name {
		in.Value, in.Error = f.Text, f.What
	}
	return m.Group(
		m.If(h.Departs(), parts.Notice(parts.Info, words.T("hens.departs", h.Answer.Answer, h.Proposal.Order))),
		parts.Field(in))
}

// hensReasons are the reasons that other officials gave.
func hensReasons(h app.HensNow) m.Part {
	return m.Each(h.Notes[0], func(_ int, n app.HenNote) m.Part {
		return m.If(n.Record.Who != h.Me && n.Seen.Official != "", parts.Para(words.T("hens.why-of", officialName(n.Record.Who), n.Seen.Official)))
	})
}

// hensWay chooses the factors where sources differ.
func hensWay(h app.HensNow) m.Node {
	factors := func(w hens.Way) string {
		return app.Capital(then(mapped(w.Factors, func(_ int, f string) string { return strings.ToLower(words.T("hens.factor-" + f)) })))
	}
	return parts.Card("way", words.T("hens.way"),
		parts.Para(words.T("hens.way-text"), "soft"),
		m.El("div", m.ID("ways"), m.Class("stack"), m.Attr("role", "group"), m.Attr("aria-label", words.T("hens.way")),
			m.Each(hens.Ways(), func(_ int, w hens.Way) m.Part {
				return m.Group(parts.Button(factors(w), app.Action("hens.way", w.ID), parts.Wide, parts.Pressed(w.ID == h.Way.ID)), hensCite(w.Source, w.Confidence))
			})))
}

// hensPaper leads to the sheets for paper.
func hensPaper(s *app.State, h app.HensNow) m.Node {
	no := itoa(h.Class.No)
	return parts.Card("paper", words.T("hens.paper"),
		parts.Line(
			parts.Button(words.T("hens.sheet-empty"), to(s, "hens", no, "sheet", "empty")),
			m.If(h.Whose != "", parts.Button(words.T("hens.sheet-filled"), to(s, "hens", no, "sheet", "filled")))))
}

// hensNotes is what to know when reading chart and proposal.
func hensNotes() m.Node {
	return parts.Card("known", words.T("hens.known"), m.El("ul", m.Class("list"), m.Each(hens.Notes(), func(_ int, n hens.Note) m.Part {
		return m.El("li", m.Text(n.Text), hensCite(n.Source, n.Confidence))
	})))
}

// hensChart is the bleaching chart with the hens on it, and both as tables.
func hensChart(h app.HensNow) m.Node {
	o := figure.BleachOptions{ID: "bleaching", Title: words.T("hens.chart"), Axis: words.T("hens.axis")}
	told := o
	for i, row := range hens.Chart() {
		first := row.Told[0]
		name := row.Name
		if row.ID == "hock" {
			name = words.T("hens.short-hock") // the chart is narrow
		}
		place := figure.BleachPlace{Label: itoa(i+1) + " " + name, Low: first.Eggs.Low, High: first.Eggs.High,
			Text: words.T("hens.chart-line", spanText(first.Eggs), daysText(first.Days))}
		o.Places = append(o.Places, place)
		place.Label, place.Text = app.Capital(row.Name), daysText(first.Days)
		for _, t := range row.Told[1:] {
			place.Text = words.T("hens.chart-also", place.Text, spanText(t.Eggs))
		}
		told.Places = append(told.Places, place)
	}
	for i, span := range h.Proposal.Spans {
		if span.Known {
			most := span.Eggs.High
			if most == 0 {
				most = 1000 // no end: the chart ends before
			}
			o.Hens = append(o.Hens, figure.BleachHen{Label: itoa(i + 1), Low: span.Eggs.Low, High: most})
		}
	}
	return parts.Card("chart", words.T("hens.chart"),
		parts.Para(words.T("hens.chart-text"), "soft"),
		m.El("figure", m.Class("chart"), figure.Bleaching(o)),
		m.If(len(o.Hens) > 0, hensSpans(h)),
		parts.Why("chart-told", words.T("hens.chart-table"), nil,
			figure.BleachingTable(told, [3]string{words.T("hens.place"), words.T("hens.eggs"), words.T("hens.time")})),
		hensCite(hens.Practice, rulebook.FromMemory), hensCite(hens.UGA, rulebook.Read))
}

// hensSpans says what pigment tells of each hen.
func hensSpans(h app.HensNow) m.Node {
	rows := mapped(h.Proposal.Spans[:], func(i int, span hens.Span) parts.TableRow {
		if !span.Known {
			return parts.TableRow{Cells: parts.Texts(itoa(i+1), words.T("hens.unseen"), "")}
		}
		return parts.TableRow{Cells: parts.Texts(itoa(i+1), spanText(span.Eggs), daysText(span.Days))}
	})
	return parts.Table("spans", words.T("hens.spans"), []parts.Column{{Text: words.T("hens.head-hen")}, {Text: words.T("hens.eggs")}, {Text: words.T("hens.time")}}, rows)
}

// spanText is from a number to another, with no end where there is none.
func spanText(r hens.Range) string {
	switch {
	case r.High == 0:
		return words.T("hens.and-more", r.Low)
	case r.Low == r.High:
		return itoa(r.Low)
	case r.Low == 0:
		return words.T("hens.up-to", r.High)
	}
	return words.T("hens.from-to", r.Low, r.High)
}

// daysText is a time in weeks where it is whole weeks, else in days.
func daysText(r hens.Range) string {
	if r.Low%7 == 0 && r.High%7 == 0 && r != (hens.Range{High: 7}) {
		return words.T("hens.in-weeks", spanText(hens.Range{Low: r.Low / 7, High: r.High / 7}))
	}
	return words.T("hens.in-days", spanText(r))
}

// hensSheet is the worksheet for paper: empty for the pencil, or filled in.
func hensSheet(s *app.State, h app.HensNow) m.Node {
	filled := s.Page.Arg(2) == "filled" && h.Whose != ""
	title := words.T("hens.of", h.Class.Name)
	return m.El("div", m.ID("worksheet"),
		parts.TopBar(title, s.Open.Head.Name, words.T("common.back"), to(s, "hens", itoa(h.Class.No), "0")),
		parts.Main(
			m.If(filled, parts.Para(words.T("hens.proposed-by", officialName(h.Whose)), "strong")),
			m.If(!filled, parts.Para(words.T("hens.sheet-who"), "fill-row")),
			sheetTable(h, filled),
			m.If(!filled, parts.Para(words.T("hens.sheet-legend"), "soft")),
			m.If(filled, m.Group(sheetRemarks(h), hensProposed(h))),
			m.If(!filled, m.Group(
				parts.Para(words.T("hens.sheet-order"), "fill-row"), parts.Para(words.T("hens.sheet-cuts"), "fill-row"),
				parts.Para(words.T("hens.sheet-why"), "fill-row"), parts.Para("", "fill-row"), parts.Para("", "fill-row"))),
			m.If(filled && h.Settled(), parts.Para(orderNow(h), "strong")),
			hensCaution(),
			parts.Dock(title, parts.Button(words.T("hens.print"), "print", parts.Primary))))
}

// sheetTable has a line for each sign and a column for each hen.
func sheetTable(h app.HensNow, filled bool) m.Node {
	columns := []parts.Column{{Text: words.T("hens.sign")}}
	for i := range hens.Count {
		columns = append(columns, parts.Column{Text: words.T("key.hen", i+1)})
	}
	row := func(label string, of func(hen int) string) parts.TableRow {
		cells := []m.Part{m.Text(label)}
		for i := range hens.Count {
			cells = append(cells, m.If(filled, m.Text(of(i+1))))
		}
		return parts.TableRow{Cells: cells}
	}
	var rows []parts.TableRow
	for i, key := range app.SignKeys() {
		label := app.SignName(key)
		if i < hens.Places {
			label = itoa(i+1) + " " + label
		}
		rows = append(rows, row(label, func(hen int) string {
			n, _ := h.Of(hen, h.Whose)
			if n.Seen.Signs[key] == "" {
				return "–"
			}
			return app.SignWord(key, n.Seen.Signs[key])
		}))
	}
	return m.El("div", m.Class("ruled"), parts.Table("sheet", words.T("hens.sheet"), columns, rows))
}

// sheetRemarks are the notes on the hens.
func sheetRemarks(h app.HensNow) m.Part {
	return m.Each(h.Notes[1:], func(i int, _ []app.HenNote) m.Part {
		n, _ := h.Of(i+1, h.Whose)
		return m.If(n.Seen.Note != "", parts.Para(words.T("key.last", words.T("key.hen", i+1), n.Seen.Note)))
	})
}
