package view

import (
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// sharePage sends results out: as text, as a link, as a file, on paper.
func sharePage(s *app.State) m.Node {
	text, err := s.Message()
	if err != nil {
		return m.El("div", m.ID("share"), top(s, words.T("share.title"), "results"), parts.Main(parts.Notice(parts.Bad, err.Error())))
	}
	most := func(n int, label string) parts.Choice {
		return parts.Choice{Label: label, Do: app.Action("share.most", itoa(n)), On: s.Results.Most == n}
	}
	parted := func(on bool, arg string) parts.Choice {
		return parts.Choice{Label: words.T("share.divisions-" + arg), Do: app.Action("share.divisions", arg), On: s.Results.Whole != on}
	}
	names := func(on bool, arg, label string) parts.Choice {
		return parts.Choice{Label: label, Do: app.Action("share.names", arg), On: s.Results.Names == on}
	}
	bytes, err := s.LinkSize()
	size := ""
	if err == nil {
		size = words.T("share.link-size", bytes)
	}
	r, err := s.Open.Scored()
	if err != nil {
		return loading(s)
	}
	return m.El("div", m.ID("share"),
		top(s, words.T("share.title"), "results"),
		parts.Panes(
			parts.Stack(
				provisional(r),
				parts.Card("share-text", words.T("share.text"),
					m.El("pre", m.ID("message"), m.Class("readback", "message"), m.Text(text)),
					parts.Para(words.T("share.letters", len([]rune(text))), "soft"),
					parts.Button(words.T("share.send"), "share.text", parts.Primary, parts.Big),
					parts.Button(words.T("share.copy"), "share.copy"))),
			parts.Stack(
				parts.Card("share-what", words.T("share.what"),
					parts.Choices(words.T("share.most"), false, most(5, words.T("share.best", 5)), most(10, words.T("share.best", 10)), most(0, words.T("share.all"))),
					m.If(len(r.ClassDivisions) > 0, parts.Choices(words.T("share.divisions"), false, parted(true, "on"), parted(false, "off"))),
					parts.Choices(words.T("share.names"), false, names(false, "off", words.T("share.numbers")), names(true, "on", words.T("share.with-names"))),
					m.If(s.Results.Names, parts.Notice(parts.Caution, words.T("share.names-caution")))),
				initials(s),
				parts.Card("share-link", words.T("share.link"),
					parts.Para(words.T("share.link-note")),
					linkSigned(s),
					parts.Line(parts.Button(words.T("share.link-send"), "share.link"), parts.Button(words.T("share.copy"), "share.link:copy", parts.ID("copy-link"))),
					m.If(size != "", parts.Para(size, "soft"))),
				parts.Card("share-file", words.T("share.file"),
					parts.Para(words.T("share.file-note")),
					parts.Line(parts.Button(words.T("share.csv"), "share.csv:plain"), parts.Button(words.T("share.csv-mark"), "share.csv:mark"))),
				parts.Card("share-paper", words.T("share.paper"),
					parts.Button(words.T("share.paper-do"), to(s, "results"), parts.Wide)))))
}

// linkSigned is whether a link is signed, and what that tells who opens it.
func linkSigned(s *app.State) m.Part {
	if s.Phone.Initials == "" {
		return parts.Para(words.T("share.sign-name"))
	}
	note := words.T("share.sign-note", s.Phone.Initials, s.Phone.ID.String())
	if !s.Signs() {
		note = words.T("share.sign-none")
	}
	return m.Group(
		parts.Choices(words.T("share.sign"), false,
			parts.Choice{Label: words.T("share.sign-on"), Do: app.Action("share.sign", "on"), On: s.Signs()},
			parts.Choice{Label: words.T("share.sign-off"), Do: app.Action("share.sign", "off"), On: !s.Signs()}),
		parts.Para(note, "soft"))
}
