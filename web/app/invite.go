package app

import (
	"encoding/binary"
	"slices"

	"keelcard/engine"
	"keelcard/engine/codec"
	"keelcard/engine/contest"
	"keelcard/engine/seal"
	"keelcard/web/words"
)

// InvitePage is where an owner invites phones to the open contest.
type InvitePage struct {
	Role  string // to what
	No    uint32 // of the invitation
	Size  int    // letters of the invitation as text, with the records
	Given bool   // it left this phone

	whole bool // it did with the records
}

// Long tells whether only the invitation goes as a message, without the records.
func (p InvitePage) Long() bool { return p.Size > mostText }

func inviteHandlers() handlers {
	return handlers{
		"enter.invite": func(s *State, m Msg) []Effect { return s.newInvite(m, or(s.Page.Arg(0), contest.Keyer)) },
		"invite.role":  func(s *State, m Msg) []Effect { return s.newInvite(m, m.Arg(0)) },
		"invite.code":  inviteByCode,
		"invite.file":  func(s *State, m Msg) []Effect { return s.offerInvite(m, false) },
		"invite.save":  func(s *State, m Msg) []Effect { return s.offerInvite(m, true) },
		"invite.text":  inviteByText,

		"offered.invite": inviteGiven,
	}
}

// Invites are the roles that phones are invited to.
func Invites() []string { return []string{contest.Keyer, contest.Official, contest.Coach} }

// newInvite begins another invitation.
func (s *State) newInvite(m Msg, role string) []Effect {
	if !slices.Contains(Invites(), role) {
		role = contest.Keyer
	}
	s.Invite = InvitePage{Role: role}
	if len(m.Rand) >= 4 {
		s.Invite.No = max(1, binary.BigEndian.Uint32(m.Rand))
	}
	if s.Open == nil {
		return nil
	}
	if file, err := s.ticket(true); err == nil {
		s.Invite.Size = len(codec.EncodeText(file))
	}
	return nil
}

// CanInvite tells whether this phone may invite others to the open contest.
func (s *State) CanInvite() bool {
	return s.authorityAt(s.Open.Contest) >= 0 && s.Open.Contest.Owns(s.Phone.ID)
}

// Instead is what this phone is now in the contest to which an invitation came, ""
// when it is nothing there, or stays what it is.
func (s *State) Instead() string {
	t := &s.TakeIn
	role := s.invitedTo(t.Pass.Contest)
	switch {
	case t.folder != nil && len(t.files) > 0:
		role = s.roleIn(t.folder.Contest)
	case s.Open != nil && s.Open.Head.ID == t.Pass.Contest:
		role = s.Role()
	}
	if role == t.Pass.Role {
		return ""
	}
	return role
}

// ticket writes the invitation that is chosen, with the records as they are
// signed, or without.
func (s *State) ticket(whole bool) ([]byte, error) {
	c := s.Open.Contest
	a, ok := s.authority(c)
	if !ok || !c.Owns(s.Phone.ID) {
		return nil, engine.New("app.not-owner", "", words.T("invite.not-owner"), words.T("invite.not-owner-fix"))
	}
	turn := uint32(0)
	if c.Settings.Sealed {
		turn = c.Turn()
	}
	t := a.Ticket(c.ID, s.Invite.Role, s.Invite.No, turn)
	t.Name = seal.PlainName(c.Settings.Name)
	if whole {
		var err error
		if t.Bundle, err = codec.EncodeBundle(s.Open.Set, codec.Options{Unsigned: true}); err != nil {
			return nil, err
		}
	}
	return t.Write()
}

// invitation signs the records, with what this phone holds as the last of them, and
// writes the invitation that is chosen with all of them.
func (s *State) invitation(m Msg) ([]byte, []Effect, error) {
	if s.Open == nil {
		return nil, nil, engine.New("app.no-contest", "", words.T("core.no-contest"), words.T("core.no-contest-fix"))
	}
	s.Handover.To = "everything"
	_, ops, err := s.bundle(m)
	if err != nil {
		return nil, nil, err
	}
	file, err := s.ticket(true)
	return file, []Effect{s.save(ops...)}, err
}

func inviteByCode(s *State, m Msg) []Effect {
	file, effects, err := s.invitation(m)
	if err != nil {
		return append(effects, s.refuse(err)...)
	}
	role := s.Invite.Role
	effects = append(effects, s.goTo(m, Page{Name: "show-code", Contest: s.Open.Head.ID})...)
	return append(append(effects, s.showCode(file, role)...), Awake{})
}

func (s *State) offerInvite(m Msg, save bool) []Effect {
	file, effects, err := s.invitation(m)
	if err != nil {
		return append(effects, s.refuse(err)...)
	}
	s.Invite.whole = true
	return append(effects, Offer{Tag: "invite", Name: fileName(s.Open.Head.Name, words.T("phones.role-"+s.Invite.Role)) + ".keelcard.txt", Type: "text/plain", Bytes: []byte(codec.EncodeText(file)), Save: save})
}

// inviteByText gives the invitation as a message, without the records where those
// are too long for one.
func inviteByText(s *State, m Msg) []Effect {
	file, effects, err := s.invitation(m)
	s.Invite.whole = err == nil && len(codec.EncodeText(file)) <= mostText
	if err == nil && !s.Invite.whole {
		file, err = s.ticket(false)
	}
	if err != nil {
		return append(effects, s.refuse(err)...)
	}
	return append(effects, ShareText{Tag: "invite", Title: s.Open.Head.Name, Text: codec.EncodeText(file)})
}

// inviteGiven notes that the invitation left this phone.
func inviteGiven(s *State, m Msg) []Effect {
	s.Invite.Given = true
	if !s.Invite.whole {
		return nil
	}
	return s.handedOver(m)
}
