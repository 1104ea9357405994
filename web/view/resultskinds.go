package view

import (
	"strings"

	"keelcard/engine/contest"
	"keelcard/engine/points"
	"keelcard/engine/score"
	"keelcard/web/app"
	"keelcard/web/figure"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// Slips and results of classes of names, faults and points.

// slipKind is the part of a slip about one of them.
func slipKind(s *app.State, class contest.Class, key contest.Key, ct score.ClassTrail, id string, person contest.Person) m.Part {
	marks := make([]byte, len(ct.Slots))
	for i, slot := range ct.Slots {
		marks[i] = slot.Mark
	}
	texts := app.StepTexts(class, marks)
	columns := []parts.Column{{Text: words.T("slip.item"), Num: true}, {Text: words.T("slip.mark")}, {Text: words.T("slip.points"), Num: true}}
	rows := make([]parts.TableRow, len(texts))
	var missed []string
	told := false
	for i, text := range texts {
		if class.Kind == contest.Awarded {
			rows[i] = parts.TableRow{Cells: parts.Texts(app.StepName(class, i), text)}
			continue
		}
		w := len(marks) / len(texts)
		slots := ct.Slots[i*w : (i+1)*w]
		earned, full := points.Points(0), points.Points(0)
		for _, slot := range slots {
			earned, full = earned+slot.Points, full+slot.Full
		}
		if ct.Join == score.Whole && earned < full {
			earned = 0
		}
		right := slipKey(class, key, i)
		cells := parts.Texts(itoa(i+1), text, earned.String())
		if earned < full || key.Out(i) || text != right {
			cells[1] = m.Group(parts.Para(text), parts.Para(words.T("slip.key-is", right), "soft"))
		}
		rows[i] = parts.TableRow{Mark: earned < full, Cells: cells}
		if earned < full {
			missed = append(missed, slipMissed(s, class, slots, i, text, right))
			told = told || class.Kind == contest.Identified && howToTell(right) != ""
		}
	}
	if class.Kind == contest.Awarded {
		columns = []parts.Column{{Text: words.T("slip.given")}, {Text: words.T("slip.points"), Num: true}}
	}
	if class.Kind == contest.Awarded && len(rows) == 1 {
		return m.Group() // the points of the class are all there is
	}
	return m.Group(
		m.If(ct.Text() != "", parts.Para(ct.Text())),
		parts.Table(id+"-table", words.T("slip.table", class.Name, person.Number), columns, rows),
		m.If(len(missed) > 0, m.Group(
			m.El("h3", m.Text(words.T("slip.missed-items"))), missedList(missed),
			m.If(told, parts.Source(words.T("slip.tell-source"))))))
}

// slipMissed says what was wrong on one item: what it was, or which faults were
// missed and which marked without being there.
func slipMissed(s *app.State, class contest.Class, slots []score.SlotTrail, i int, text, right string) string {
	line := words.T("slip.was", i+1, right, text)
	seen := s.Open.Contest.Seen(class.No, uint32(i+1))
	if tell := howToTell(right); class.Kind == contest.Identified && tell != "" {
		line += " " + tell
	}
	switch {
	case class.Kind == contest.Checked && text == words.T("keying.blank-word"):
		line = words.T("slip.item-blank", i+1, right)
	case class.Kind == contest.Checked:
		faults, _ := class.Faults()
		reasons := faultReasons(class, seen)
		var wrong []string
		for f, slot := range slots {
			switch {
			case slot.Points == slot.Full || f >= len(faults):
			case slot.Mark == contest.Present:
				wrong = append(wrong, words.T("slip.fault-extra", faults[f].Name))
			case slot.Mark == score.Blank:
				wrong = append(wrong, words.T("slip.fault-blank", faults[f].Name))
			default:
				wrong = append(wrong, faultMissed(faults[f], reasons))
			}
		}
		line = words.T("slip.faults", i+1, strings.Join(wrong, "; "))
	}
	if seen.Note != "" {
		line += " " + seen.Note
	}
	return line
}

func faultMissed(fault contest.Fault, reasons map[string]string) string {
	if why := reasons[fault.ID]; why != "" {
		return words.T("slip.fault-missed-why", fault.Name, why)
	}
	return words.T("slip.fault-missed", fault.Name)
}

// mostOfName is how many letters of an answer fit beside a bar.
const mostOfName = 22

// kindBars says how many were right on each item, over all of its faults where
// it has several. Where points are given there is nothing to be right.
func kindBars(class contest.Class, key contest.Key, items []score.Item) []figure.Bar {
	bars := make([]figure.Bar, len(key.Items))
	for i := range bars {
		right, cards := 0, 0
		w := len(items) / len(key.Items)
		for _, slot := range items[i*w : (i+1)*w] {
			right, cards = right+slot.Right, cards+slot.Cards
		}
		bars[i] = figure.Bar{Label: words.T("results.item", i+1, clip(slipKey(class, key, i), mostOfName)), Value: words.T("results.right", right, cards), Share: share(right, cards)}
	}
	return bars
}
