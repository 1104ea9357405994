package view

import (
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// sealCheck is the switch of a contest that is not begun yet. It goes along with
// the form.
func sealCheck(f app.NewContest) m.Node {
	return m.El("div", m.ID("new-sealed"), m.Class("stack", "close"),
		m.El("label", m.Class("check"),
			m.El("input", m.ID("f-sealed"), m.Attr("type", "checkbox"), m.Attr("name", "sealed"), m.Do("new.seal"), m.Attr("aria-describedby", "new-seal-text"), m.If(f.Sealed, m.Flag("checked"))),
			m.El("span", m.Text(words.T("new.seal")))),
		m.El("p", m.ID("new-seal-text"), m.Class("soft"), m.Text(words.T("new.seal-text"))))
}

// sealCard is the switch of a contest that is begun, for its owner; all others
// read how it stands.
func sealCard(s *app.State) m.Node {
	set := s.Open.Contest.Settings
	stands := words.T("settings.seal-off")
	if set.Sealed {
		stands = words.T("settings.seal-on")
	}
	var body m.Part
	switch {
	case len(set.Authority) == 0:
		body = parts.Para(words.T("settings.seal-never"))
	case !s.CanInvite():
		body = m.Group(parts.Para(stands), parts.Para(words.T("settings.seal-not-owner"), "soft"))
	case set.Sealed && s.Open.Contest.Released():
		body = parts.Para(words.T("settings.seal-released"))
	default:
		body = m.Group(
			parts.Check(words.T("new.seal"), "settings.sealed", set.Sealed),
			parts.Para(stands),
			parts.Para(words.T("settings.seal-before"), "soft"))
	}
	return parts.Card("settings-sealed", words.T("settings.seal"), body)
}
