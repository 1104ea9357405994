package view

import (
	"strings"

	"keelcard/engine/contest"
	"keelcard/engine/record"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// mostLogged is how many lines of the log are drawn; more would be no page.
const mostLogged = 1000

// protestLog is what a protest may be about, to be read and printed.
func protestLog(s *app.State) m.Node {
	class, number := s.Page.Number(0), s.Page.Number(1)
	lines := s.ProtestLog(class, number)
	open := len(s.Open.Contest.Questions())
	return m.El("div", m.ID("log"),
		top(s, words.T("log.title"), "contest"),
		parts.Main(
			logHead(s, class, number),
			m.If(open > 0, parts.Notice(parts.Caution, words.N("log.open-questions", open),
				parts.Button(words.T("keying.settle"), to(s, "questions"), parts.ID("log-questions")))),
			logFilter(s, class, number),
			logLines(s, lines, class+number > 0),
			logPhones(s),
			m.El("p", m.Class("print-only", "fill-row"), m.Text(words.T("log.sign"))),
			parts.Dock(words.T("log.title"), parts.Button(words.T("log.print"), "print", parts.Primary))))
}

// logHead is the head of a printed log: which contest, which part of it, when.
func logHead(s *app.State, class, number uint32) m.Node {
	set := s.Open.Contest.Settings
	about := ""
	if c, ok := s.Open.Contest.Class(class); ok {
		about = words.T("log.filter-class", c.Name)
	}
	person := ""
	if number > 0 {
		person = words.T("log.filter-number", number)
	}
	return m.El("p", m.Class("print-only"), m.Text(joined(set.Date, set.Place, about, person, words.T("log.printed", stamp(s.Now)))))
}

func logFilter(s *app.State, class, number uint32) m.Node {
	classes := []parts.Option{{Value: "0", Label: words.T("log.all-classes")}}
	for _, c := range s.Open.Contest.Classes {
		classes = append(classes, parts.Option{Value: itoa(c.No), Label: c.Name})
	}
	typed := ""
	if number > 0 {
		typed = itoa(number)
	}
	return m.El("section", m.ID("log-filter"), m.Class("card", "no-print"),
		parts.Para(words.T("log.text"), "soft"),
		parts.Field(parts.Input{Name: "log-class", Label: words.T("log.class"), Value: itoa(class), Do: "log.class", Options: classes}),
		parts.Field(parts.Input{Name: "log-number", Label: words.T("log.number"), Hint: words.T("log.number-hint"), Value: typed, Do: "log.number", Mode: "numeric", Short: true}))
}

func logLines(s *app.State, lines []app.LogLine, filtered bool) m.Node {
	if len(lines) == 0 {
		text := words.T("log.none")
		if filtered {
			text = words.T("log.none-filtered")
		}
		return parts.Empty(text, parts.Button(words.T("history.latest"), to(s, "history")))
	}
	shown := lines[:min(len(lines), mostLogged)]
	rows := make([]parts.Row, len(shown))
	for i, line := range shown {
		rows[i] = logLine(s, line)
	}
	left := len(lines) - len(shown)
	return parts.Card("log-lines", words.N("log.lines", len(lines)),
		parts.List(words.T("log.title"), rows...),
		m.If(left > 0, parts.Para(words.N("log.more", left))))
}

// logLine is one line; it opens all that was written about the same thing.
func logLine(s *app.State, line app.LogLine) parts.Row {
	what := line.What
	if what == app.LogLock && line.Value != contest.LockValue {
		what = "lock-opened"
	}
	text := words.T("log.what." + what)
	if line.Late {
		text = words.T("log.late", text)
	}
	title := s.SubjectName(line.Subject)
	if line.What != app.LogLock {
		title = words.T("history.labelled", title, strings.Join(s.Changes(line), "; "))
	}
	back := append(app.SubjectArgs(line.Subject), "log", itoa(s.Page.Number(0)), itoa(s.Page.Number(1)))
	return parts.Row{Title: title, Do: to(s, "history", back...), ID: "log-" + strings.ReplaceAll(line.At.String(), "/", "-"),
		Sub: words.T("log.line", text, who(line.Who), stamp(line.Stamp.Wall), phoneName(line.Record))}
}

// logPhones says whose records the log rests on.
func logPhones(s *app.State) m.Node {
	phones := s.LogPhones()
	rows := make([]parts.Row, len(phones))
	for i, p := range phones {
		text := words.T("log.phone-line.many", p.Records, stamp(p.Last))
		if p.Records == 1 {
			text = words.T("log.phone-line.one", p.Records, stamp(p.Last))
		}
		rows[i] = parts.Row{Title: phoneName(record.Record{Phone: p.Phone}), Sub: text}
	}
	return parts.Card("log-phones", words.T("log.phones"),
		parts.Para(words.T("log.phones-text"), "soft"),
		parts.List(words.T("log.phones"), rows...))
}
