package view

import (
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// backupPage puts everything on this phone away in a file, and brings it back.
func backupPage(s *app.State) m.Node {
	panes := parts.Panes(backupSave(s), backupOpen(s))
	if len(s.Contests) == 0 { // a new phone
		panes = parts.Panes(backupOpen(s), backupSave(s))
	}
	return m.El("div", m.ID("backup"),
		parts.TopBar(words.T("backup.title"), words.T("backup.sub"), words.T("phone.title"), toPage("phone")), panes)
}

func backupSave(s *app.State) m.Node {
	b := s.Backup
	if len(s.Contests) == 0 {
		return parts.Card("backup-save", words.T("backup.save-title"), parts.Empty(words.T("backup.nothing"), parts.Button(words.T("home.new"), toPage("new"))))
	}
	last := words.T("backup.none-yet")
	if b.Last != nil {
		last = words.T("backup.last", ago(s.Now-b.Last.When), words.N("backup.last-of", b.Last.Contests))
	}
	return parts.Card("backup-save", words.T("backup.save-title"),
		parts.Para(words.N("backup.what", len(s.Contests))),
		parts.Para(words.T("backup.what-not"), "soft"),
		parts.Field(parts.Input{Name: "phrase", Label: words.T("backup.phrase"), Hint: words.T("backup.phrase-hint"), Value: b.Phrase, Do: "backup.phrase"}),
		parts.Button(words.T("backup.make"), "backup.make"),
		m.If(b.Phrase != "", m.El("div", m.ID("phrase-kept"), m.Class("stack"),
			m.El("p", m.Class("readback-value"), m.Text(b.Phrase)),
			parts.Para(words.T("backup.keep")),
			parts.Button(words.T("backup.print"), "print", parts.ID("print-phrase"), parts.Quiet))),
		backupWorking(b, "save", words.T("backup.saving"), parts.Button(words.T("backup.save"), "backup.save", parts.Primary, parts.Big)),
		m.If(len(b.Out) > 0, m.El("h3", m.Text(words.T("backup.out")))),
		m.Each(b.Out, func(_ int, n app.Notice) m.Part {
			return parts.Notice(parts.Caution, n.Text, m.If(n.Fix != "", parts.Para(n.Fix)))
		}),
		parts.Para(last, "soft"),
		m.If(s.HasWords(), m.Group(
			parts.Para(words.T("backup.words"), "soft"),
			parts.Button(words.T("recovery.title"), toPage("recovery"), parts.Quiet))))
}

// backupWorking says that it takes a while, in the place of what began it.
func backupWorking(b app.BackupPage, what, text string, otherwise m.Node) m.Node {
	if b.Working != what {
		return otherwise
	}
	return m.El("p", m.ID("working-"+what), m.Attr("role", "status"), m.Text(text))
}

func backupOpen(s *app.State) m.Node {
	b := s.Backup
	fault := m.If(b.Fault.Text != "", parts.Notice(parts.Bad, b.Fault.Text, m.If(b.Fault.Fix != "", parts.Para(b.Fault.Fix))))
	if b.Found != nil {
		return backupFound(s, b.Found)
	}
	if b.File == "" {
		return parts.Card("backup-open", words.T("backup.open-title"),
			parts.Para(words.T("backup.open-text")), fault,
			parts.Button(words.T("backup.pick"), "backup.pick", parts.Wide))
	}
	return parts.Card("backup-open", words.T("backup.open-title"),
		parts.Para(b.File),
		parts.Field(parts.Input{Name: "typed", Label: words.T("backup.typed"), Value: b.Typed, Do: "backup.typed"}), fault,
		backupWorking(b, "open", words.T("backup.opening"), parts.Button(words.T("backup.open"), "backup.open", parts.Primary, parts.Big)),
		parts.Button(words.T("backup.pick-other"), "backup.pick", parts.Quiet))
}

// backupFound is what a backup would bring, before it is brought.
func backupFound(s *app.State, f *app.FoundBackup) m.Node {
	rows := mapped(f.Contests, func(_ int, c app.FoundContest) parts.Row {
		sub := words.T("backup.same")
		switch {
		case c.Fault.Text != "":
			sub = c.Fault.Text
		case !c.Known:
			sub = words.N("backup.new-contest", c.New)
		case c.New > 0:
			sub = words.N("backup.new-records", c.New)
		}
		return parts.Row{Title: c.Name, Sub: sub}
	})
	title := words.T("backup.found", f.Who, ago(s.Now-f.Made))
	if f.Who == "" {
		title = words.T("backup.found-nobody", ago(s.Now-f.Made))
	}
	bring := parts.Para(words.T("backup.all-here"))
	if f.New() > 0 {
		bring = parts.Button(words.T("backup.bring"), "backup.bring", parts.Primary, parts.Big)
	}
	return parts.Card("backup-open", title,
		m.If(len(rows) > 0, parts.List(words.T("backup.contests"), rows...)),
		bring,
		m.If(!f.Own && f.New() > 0, m.Group(parts.Para(words.T("backup.stays")), parts.Para(words.T("backup.stop-other"), "soft"))),
		parts.Button(words.T("backup.leave"), "backup.leave", parts.Quiet))
}
