package view

import (
	"keelcard/web/app"
	"keelcard/web/figure"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// showCode is the page that shows a bundle as picture codes.
func showCode(s *app.State) m.Node {
	body := parts.Main(parts.Stack(initials(s), madeCode(s)))
	title, back := words.T("show-code.title"), "hand-over"
	if s.ShowCode.Invite != "" {
		title, back = words.T("show-code.invite-title"), "invite"
	}
	switch c := s.ShowCode; {
	case c.Text == "":
	case c.Blocks > 1 && !c.Moving: // one of many pictures by itself is of no use
		body = parts.Main(parts.Stack(codeInvites(s), codeSteps(c), codeAside(s)))
	default:
		body = parts.Panes(codePicture(c), parts.Stack(codeSteps(c), codeInvites(s), codeAside(s)))
	}
	return m.El("div", m.ID("show-code"), top(s, title, back), body)
}

// codeInvites says of an invitation whom it is for.
func codeInvites(s *app.State) m.Part {
	role := s.ShowCode.Invite
	if role == "" {
		return m.Group()
	}
	return m.El("div", m.ID("code-invites"), parts.Notice(parts.Caution,
		words.T("show-code.invites", words.T("invite.number", words.T("phones.role-"+role), inviteNumber(s.Invite.No)), s.Open.Head.Name),
		parts.Para(words.T("show-code.bearer"))))
}

// madeCode is shown while no code was made.
func madeCode(s *app.State) m.Node {
	return parts.Card("code-card", "",
		parts.Para(words.T("show-code.text")),
		parts.Button(words.T("show-code.make"), "show-code.make", parts.Primary, parts.Big),
		fileInstead(here(s, "hand-over")))
}

// fileInstead leads to the way that needs no camera.
func fileInstead(to string) m.Node {
	return parts.Button(words.T("show-code.file"), app.Action("open", to), parts.ID("file-instead"), parts.Wide)
}

func codePicture(c app.ShowCode) m.Node {
	says := words.T("show-code.picture")
	if c.Invite != "" {
		says = words.T("show-code.picture-invite")
	}
	code := figure.Code("code", says, c.Text)
	if code == nil {
		return parts.Notice(parts.Bad, words.T("show-code.not-drawn"))
	}
	return m.El("div", m.ID("code-box"), m.Class("code-box"), code)
}

// codeSteps says what to do, and holds what starts and stops a moving code.
func codeSteps(c app.ShowCode) m.Node {
	if c.Blocks == 1 {
		return parts.Card("code-steps", words.T("show-code.still"), parts.Para(words.T("show-code.hold")))
	}
	if c.Moving {
		return parts.Card("code-steps", words.T("show-code.moving"),
			m.El("p", m.ID("code-number"), m.Text(words.T("show-code.number", int(c.Number)+1, c.Blocks))),
			parts.Button(words.T("show-code.pause"), "show-code.pause", parts.Primary, parts.Big),
			parts.Para(words.T("show-code.hold")))
	}
	return parts.Card("code-steps", words.T("show-code.many", c.Blocks),
		parts.Para(words.T("show-code.how")),
		parts.Notice(parts.Caution, words.T("show-code.flicker")),
		parts.Button(words.T("show-code.start"), "show-code.start", parts.Primary, parts.Big))
}

// codeAside is what helps when the other phone does not read it, and the end.
func codeAside(s *app.State) m.Node {
	c := s.ShowCode
	size, label := "show-code.large", words.T("show-code.larger")
	if c.Large {
		size, label = "show-code.small", words.T("show-code.smaller")
	}
	instead := here(s, "hand-over")
	if c.Invite != "" {
		instead = here(s, "invite", c.Invite)
	}
	return parts.Card("code-aside", words.T("show-code.then"),
		parts.Para(words.T("show-code.bright"), "soft"),
		parts.Button(label, size, parts.ID("code-size"), parts.Wide),
		parts.Button(words.T("show-code.done"), "show-code.given", parts.Wide),
		fileInstead(instead),
		parts.Para(words.T("hand-over.size", (c.Size+1023)/1024), "soft"))
}
