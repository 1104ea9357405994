package view

import (
	"strings"

	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// most records listed on the page of the latest ones.
const mostLatest = 200

// history is every record about a subject, the newest first, or the latest of
// the whole contest.
func history(s *app.State) m.Node {
	sub, ok := s.Page.SubjectOf()
	if !ok {
		return latest(s)
	}
	past := s.History(sub)
	body := m.Part(parts.Empty(words.T("history.none"), m.Group()))
	if len(past) > 0 {
		body = parts.Card("past", words.N("history.records", len(past)), m.El("ol", m.Class("list"),
			m.Each(past, func(_ int, p app.Past) m.Part { return pastRecord(s, sub, p) })))
	}
	question := s.Open.Contest.State().Current(sub).Status == merge.InQuestion
	back := or(subjectPage(s, sub), to(s, "contest"))
	if s.Page.Arg(3) == "log" {
		back = to(s, "log", s.Page.Args[4:]...)
	}
	return m.El("div", m.ID("history"),
		parts.TopBar(s.SubjectName(sub), words.T("history.sub"), words.T("common.back"), back),
		parts.Where(whereText(s), to(s, "hand-over")),
		parts.Main(initials(s),
			m.If(question, parts.Notice(parts.Caution, words.T("history.in-question"),
				m.If(!s.OnOfficials(sub), parts.Button(words.T("keying.settle"), to(s, "questions", app.SubjectArgs(sub)...))))),
			sealedHistory(s, past),
			body,
			parts.Line(
				parts.Button(words.T("history.print"), "print", parts.NoPrint),
				parts.Button(words.T("history.latest"), to(s, "history"), parts.Quiet, parts.NoPrint))))
}

// historyButton leads to everything that was written about a subject.
func historyButton(s *app.State, sub record.Subject) m.Node {
	return parts.Button(words.T("history.open"), to(s, "history", app.SubjectArgs(sub)...), parts.Quiet)
}

// pastRecord is one record of a history.
func pastRecord(s *app.State, sub record.Subject, p app.Past) m.Node {
	id := strings.ReplaceAll(p.At.String(), "/", "-")
	state := words.T("history.replaced")
	if p.Stands {
		state = words.T("history.stands")
	}
	if p.Again {
		state += ", " + words.T("history.again")
	}
	was := make([]string, len(p.Replaced))
	for i, r := range p.Replaced {
		was[i] = words.T("history.was", s.TellShort(sub, r.Value), who(r.Who))
	}
	return m.El("li", m.ID("past-"+id), m.Class("past", "keep"),
		m.El("p", m.Class("past-value"), m.Text(s.TellShort(sub, p.Value))),
		m.El("p", m.El("span", m.Class("strong"), m.Text(who(p.Record.Who))), m.Text(" · "+state)),
		parts.Para(whenAndWhere(s, p.Record), "soft"),
		m.If(len(was) > 0, parts.Para(words.T("history.replaces", strings.Join(was, "; ")), "soft")),
		m.If(!p.Stands && p.Value != "" && !s.OnOfficials(sub) && !(contest.Answers(sub.Kind) && record.Veiled(p.Value)), parts.Button(words.T("history.restore"), app.Action("history.restore", p.At.Phone.String(), itoa(p.At.Seq)),
			parts.NoPrint, parts.Says(words.T("history.restore-says", s.TellShort(sub, p.Value))))))
}

// latest lists the newest records of the contest.
func latest(s *app.State) m.Node {
	records := s.Latest(mostLatest)
	rows := make([]parts.Row, len(records))
	for i, r := range records {
		rows[i] = parts.Row{Title: s.SubjectName(r.Subject) + ": " + s.TellShort(r.Subject, r.Value), Sub: who(r.Record.Who) + " · " + whenAndWhere(s, r.Record),
			Do: to(s, "history", app.SubjectArgs(r.Subject)...), ID: "latest-" + strings.ReplaceAll(r.At.String(), "/", "-")}
	}
	body := m.Part(parts.Empty(words.T("history.nothing"), parts.Button(words.T("questions.to-keying"), to(s, "keying"), parts.Primary)))
	if len(rows) > 0 {
		body = parts.Card("latest", words.N("history.latest-many", len(rows)), parts.List(words.T("history.latest"), rows...))
	}
	return m.El("div", m.ID("history"),
		top(s, words.T("history.latest"), "contest"),
		parts.Main(body, parts.Line(
			parts.Button(words.T("history.print"), "print", parts.NoPrint),
			parts.Button(words.T("log.title"), to(s, "log"), parts.Quiet, parts.NoPrint))))
}
