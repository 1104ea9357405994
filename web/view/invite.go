package view

import (
	"fmt"

	"keelcard/engine/contest"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// invitePage is where an owner invites phones to a contest, each to its role.
func invitePage(s *app.State) m.Node {
	body := parts.Main(parts.Stack(bringIn(s)))
	if s.CanInvite() {
		body = parts.Panes(parts.Stack(initials(s), inviteRole(s)), parts.Stack(inviteWays(s), inviteThen()))
	}
	return m.El("div", m.ID("invite"), top(s, words.T("invite.title"), "phones"), body)
}

// inviteRole is the choice of what the phone is for.
func inviteRole(s *app.State) m.Node {
	choices := mapped(app.Invites(), func(_ int, role string) parts.Choice {
		return parts.Choice{Label: words.T("phones.role-" + role), Sub: inviteDoes(s, role), Do: app.Action("invite.role", role), On: s.Invite.Role == role}
	})
	return parts.Card("invite-role", "", parts.Choices(words.T("phones.choose"), true, choices...))
}

// inviteDoes says what who is invited to a role sees and does.
func inviteDoes(s *app.State, role string) string {
	text := words.T("phones.does-" + role)
	if role == contest.Official {
		return text + " " + words.T("invite.one-phone")
	}
	if s.Open.Contest.Seals() {
		text += " " + words.T("invite.reads-none")
	}
	return text
}

// inviteWays are the ways in which the invitation goes to the other phone.
func inviteWays(s *app.State) m.Node {
	in := s.Invite
	text := words.T("invite.text", in.Size)
	if in.Long() {
		text = words.T("invite.text-long", in.Size)
	}
	next, look := m.Group(), parts.Primary
	if in.Given {
		look = parts.Wide
		next = m.El("div", m.ID("invite-given"), m.Class("stack"),
			parts.Notice(parts.Info, words.T("invite.given")),
			parts.Button(words.T("invite.next"), app.Action("invite.role", in.Role), parts.ID("invite-next"), parts.Primary, parts.Big))
	}
	return parts.Card("invite-ways", words.T("invite.number", words.T("phones.role-"+in.Role), inviteNumber(in.No)),
		parts.Notice(parts.Caution, words.T("invite.bearer")),
		next,
		parts.Button(words.T("phones.invite-code"), "invite.code", parts.Big, look),
		parts.Button(words.T("phones.invite-file"), "invite.file", parts.Wide),
		parts.Button(words.T("hand-over.way-save"), "invite.save", parts.Wide),
		parts.Button(words.T("phones.invite-message"), "invite.text", parts.Wide),
		parts.Para(text, "soft"))
}

// inviteThen says how it goes on.
func inviteThen() m.Node {
	return parts.Card("invite-then", words.T("invite.then"), m.Each([]string{"1", "2", "3"}, func(_ int, n string) m.Part { return parts.Para(words.T("invite.then-" + n)) }))
}

// inviteNumber writes the end of the number of an invitation, which is enough to
// tell those of a contest apart.
func inviteNumber(no uint32) string { return fmt.Sprintf("%04d", no%10000) }

// bringIn is how another phone comes into the contest, from this one.
func bringIn(s *app.State) m.Node {
	switch {
	case s.CanInvite():
		return parts.Card("phones-invite", words.T("phones.invite"),
			parts.Para(words.T("invite.offer-text")),
			parts.Button(words.T("invite.title"), to(s, "invite"), parts.Primary, parts.Wide))
	case s.Open.Contest.Settings.Sealed:
		return parts.Card("phones-invite", words.T("phones.invite"),
			parts.Para(words.T("invite.by-owner")),
			parts.Para(words.T("invite.by-owner-why"), "soft"))
	}
	return parts.Card("phones-invite", words.T("phones.invite"),
		parts.Para(words.T("phones.invite-text")),
		parts.Button(words.T("phones.invite-code"), "phones.invite:code", parts.Primary, parts.Wide),
		parts.Line(
			parts.Button(words.T("phones.invite-file"), "phones.invite:file"),
			parts.Button(words.T("phones.invite-message"), "phones.invite:text")))
}
