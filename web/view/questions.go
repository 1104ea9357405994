package view

import (
	"slices"
	"strconv"
	"strings"

	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// questions is the list of everything two hands wrote differently, or one of
// them with its values side by side.
func questions(s *app.State) m.Node {
	if sub, ok := s.Page.SubjectOf(); ok {
		return question(s, sub)
	}
	subs := s.Open.Contest.Questions()
	body := m.Part(parts.Empty(words.T("questions.none"), m.Group(
		parts.Para(words.T("questions.none-how"), "soft"),
		parts.Button(words.T("questions.to-keying"), to(s, "keying"), parts.Primary),
		parts.Button(words.T("questions.to-hand-over"), to(s, "hand-over")))))
	if len(subs) > 0 {
		rows := make([]parts.Row, len(subs))
		for i, sub := range subs {
			rows[i] = parts.Row{Title: s.SubjectName(sub), Sub: sidesText(s, sub), Do: to(s, "questions", app.SubjectArgs(sub)...)}
		}
		body = parts.Card("questions-list", words.N("questions.many", len(subs)),
			parts.Para(words.T("questions.text")),
			parts.List(words.T("questions.title"), rows...))
	}
	return m.El("div", m.ID("questions"),
		top(s, words.T("questions.title"), "contest"),
		parts.Main(initials(s), body,
			parts.Line(
				parts.Button(words.T("history.latest"), to(s, "history"), parts.Quiet),
				parts.Button(words.T("log.title"), to(s, "log"), parts.Quiet))))
}

// sidesText says who stands against whom, and on how many items.
func sidesText(s *app.State, sub record.Subject) string {
	text := ""
	for i, side := range s.Sides(sub) {
		if i == 0 {
			text = hands(side)
			continue
		}
		text = words.T("questions.against", text, hands(side))
	}
	if n := len(s.Differ(sub)); s.ItemByItem(sub) {
		text += ", " + words.N("questions.items", n)
	}
	if s.OnOfficials(sub) {
		text = words.T("questions.on-officials", text)
	}
	return text
}

// hands names everyone who wrote a value.
func hands(side app.Side) string {
	var names []string
	for _, r := range side.Records {
		if _, name, _ := strings.Cut(r.Who, "/"); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return strings.Join(names, " + ")
}

// question shows the values that stand about a subject side by side and
// settles them.
func question(s *app.State, sub record.Subject) m.Node {
	sides := s.Sides(sub)
	name := s.SubjectName(sub)
	head := m.Group(
		parts.TopBar(name, s.Open.Head.Name, words.T("questions.title"), to(s, "questions")),
		parts.Where(whereText(s), to(s, "hand-over")))
	history := historyButton(s, sub)
	if len(sides) < 2 {
		return m.El("div", m.ID("question"), head, parts.Main(
			parts.Card("settled", words.T("questions.no-more"),
				m.Each(sides, func(_ int, side app.Side) m.Part { return parts.Para(s.TellShort(sub, side.Value)) }),
				parts.Button(words.T("questions.others"), to(s, "questions"), parts.Primary), history)))
	}
	var table m.Part
	switch {
	case s.Veiled(sub):
	case s.ItemByItem(sub):
		table = itemTable(s, sub, sides)
	default:
		table = fieldTable(s, sub, sides)
	}
	theirs := s.OnOfficials(sub)
	takes := m.Each(sides, func(i int, side app.Side) m.Part {
		return parts.Button(words.T("questions.take", sideName(i, side)), app.Action("questions.take", strconv.Itoa(i+1)))
	})
	written := parts.Card("sides", words.T("questions.sides"), m.El("ul", m.Class("list"), m.Each(sides, func(i int, side app.Side) m.Part {
		return m.Each(side.Records, func(_ int, r record.Record) m.Part {
			return parts.LinkRow(parts.Row{Lead: strconv.Itoa(i + 1), Title: who(r.Who), Sub: whenAndWhere(s, r)})
		})
	})))
	return m.El("div", m.ID("question"), head, parts.Panes(m.Group(
		initials(s),
		parts.Card("values", words.T("questions.values"),
			sealedQuestion(s, sub),
			m.If(s.ItemByItem(sub), parts.Para(words.T("questions.pick"), "soft")),
			table,
			parts.Line(
				m.If(sub.Kind == record.KindCard, parts.Button(words.T("questions.anew"), to(s, "keying", itoa(sub.A), itoa(sub.B), app.WayAnew))),
				history),
			m.If(!theirs, parts.Para(words.T("questions.kept"), "soft"))),
		m.If(!theirs, parts.Dock(words.T("questions.settle"),
			m.If(picked(s, sub), parts.Button(words.T("questions.as-picked"), "questions.settle", parts.Primary, parts.Big)),
			takes))), written))
}

// sideName is the number and the writers of a value.
func sideName(i int, side app.Side) string { return strconv.Itoa(i+1) + " " + hands(side) }

// picked tells whether every differing item of a card has its mark chosen.
func picked(s *app.State, sub record.Subject) bool {
	if !s.ItemByItem(sub) || s.Question.Subject != sub {
		return false
	}
	for _, item := range s.Differ(sub) {
		if _, ok := s.Question.Picks[item]; !ok {
			return false
		}
	}
	return true
}

// itemTable shows a card step by step; where the keyings differ, each answer can
// be chosen.
func itemTable(s *app.State, sub record.Subject, sides []app.Side) m.Node {
	class, _ := s.Open.Contest.Class(sub.A)
	differ := s.Differ(sub)
	texts := make([][]string, len(sides))
	for n, side := range sides {
		texts[n] = stepTexts(class, side.Value)
	}
	rows := make([]parts.TableRow, len(texts[0]))
	for i := range rows {
		item := strconv.Itoa(i + 1)
		differs := slices.Contains(differ, i+1)
		cells := []m.Part{itemHead(class, i, differs)}
		for n, side := range sides {
			if !differs {
				cells = append(cells, m.Text(texts[n][i]))
				continue
			}
			pick := n + 1
			if class.Kind != contest.Checked {
				pick = int(side.Value[i])
			}
			chosen, ok := s.Question.Picks[i+1]
			cells = append(cells, parts.Button(texts[n][i], app.Action("questions.pick", item, strconv.Itoa(pick)),
				parts.ID("pick-"+item+"-"+strconv.Itoa(n+1)), parts.Pressed(ok && s.Question.Subject == sub && chosen == pick),
				parts.Says(words.T("questions.pick-says", app.StepName(class, i), texts[n][i], hands(side)))))
		}
		rows[i] = parts.TableRow{ID: "item-" + item, Cells: cells, Mark: differs}
	}
	return parts.Table("items", words.N("questions.items-caption", len(differ)), sideColumns(words.T("questions.item"), sides), rows)
}

// stepTexts writes a card step by step: grades and orders as they stand on it,
// all else in words.
func stepTexts(class contest.Class, value string) []string {
	if class.Kind != contest.Graded {
		return app.StepTexts(class, []byte(value))
	}
	out := make([]string, len(value))
	for i := range out {
		out[i] = markText(class, value[i])
	}
	return out
}

func itemHead(class contest.Class, i int, differs bool) m.Part {
	text := strconv.Itoa(i + 1)
	if class.Kind == contest.Awarded {
		text = app.StepName(class, i)
	}
	if differs {
		text += " ≠"
	}
	return m.Text(text)
}

func sideColumns(first string, sides []app.Side) []parts.Column {
	columns := []parts.Column{{Text: first}}
	for i, side := range sides {
		columns = append(columns, parts.Column{Text: sideName(i, side)})
	}
	return columns
}

// fieldTable shows the fields of any other value; those that differ are marked.
func fieldTable(s *app.State, sub record.Subject, sides []app.Side) m.Node {
	var labels []string
	texts := make([]map[string]string, len(sides))
	for i, side := range sides {
		var more []string
		more, texts[i] = app.Fields(s.Tell(sub, side.Value))
		for _, l := range more {
			if !slices.Contains(labels, l) {
				labels = append(labels, l)
			}
		}
	}
	rows := make([]parts.TableRow, len(labels))
	for i, label := range labels {
		differs := false
		cells := []m.Part{nil}
		for n := range sides {
			cells = append(cells, m.Text(or(texts[n][label], words.T("questions.nothing"))))
			differs = differs || texts[n][label] != texts[0][label]
		}
		head := or(label, words.T("questions.value"))
		if differs {
			head += " ≠"
		}
		cells[0] = m.Text(head)
		rows[i] = parts.TableRow{Cells: cells, Mark: differs}
	}
	return parts.Table("fields", words.T("questions.fields-caption"), sideColumns(words.T("questions.field"), sides), rows)
}

// who names the writer of a record, given as "role/name", and their role.
func who(writer string) string {
	role, name, _ := strings.Cut(writer, "/")
	if words.Has("history.role." + role) {
		role = words.T("history.role." + role)
	}
	if name, whose, ok := strings.Cut(name, merge.TakenOver); ok {
		return words.T("history.who", words.T("history.for", name, whose), role)
	}
	return words.T("history.who", name, role)
}

// whenAndWhere says when a record was written and on which phone.
func whenAndWhere(s *app.State, r record.Record) string {
	phone := phoneName(r)
	if r.Phone == s.Phone.ID {
		phone = words.T("history.this-phone")
	}
	if s.Doubtful(r.Stamp.Wall) {
		return words.T("history.when-off", stamp(r.Stamp.Wall), phone)
	}
	return words.T("history.when", ago(s.Now-r.Stamp.Wall), stamp(r.Stamp.Wall), phone)
}

// phoneName is what a phone is known by to people, the same on every phone.
func phoneName(r record.Record) string {
	return words.T("history.phone", r.Phone.String()[:4])
}

// subjectPage is the page on which a subject is worked on, "" when there is none.
func subjectPage(s *app.State, sub record.Subject) string {
	switch sub.Kind {
	case record.KindCard:
		return to(s, "keying", itoa(sub.A), itoa(sub.B))
	case record.KindKey, record.KindLock, contest.KindSeen:
		return to(s, "key", itoa(sub.A))
	case record.KindRuling:
		return to(s, "ruling", itoa(sub.A), itoa(sub.B))
	case record.KindClass:
		return to(s, "class", itoa(sub.A))
	case record.KindPerson:
		return to(s, "person", itoa(sub.A))
	case record.KindContest:
		return to(s, "settings")
	case record.KindTeam:
		return to(s, "people")
	}
	return ""
}
