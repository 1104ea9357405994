package app

import (
	"encoding/hex"
	"slices"
	"strings"

	"keelcard/engine/contest"
	"keelcard/engine/record"
)

// Pages that a role does not offer. Nothing is secret for that: whoever holds a
// phone holds its records, and reads those that are not sealed.
const (
	pagesOfSetup  = " key hens ruling class class-book settings "
	pagesOfDesk   = " keying people person questions log "
	pagesOfScores = " results slip slips share "
)

// Barred says why a page of the open contest is not for this phone: "coach" or
// "keyer", "scores" where the results are not released yet, and "" when nothing
// keeps it.
func (s *State) Barred(page string) string {
	if s.Open == nil {
		return ""
	}
	role := s.Role()
	coach := role == contest.Coach
	if !coach && role != contest.Keyer {
		return ""
	}
	in := func(list string) bool { return strings.Contains(list, " "+page+" ") }
	switch {
	case in(pagesOfSetup), coach && in(pagesOfDesk):
		return role
	case in(pagesOfScores) && !s.Open.Contest.Released():
		return "scores"
	}
	return ""
}

// Pass is an invitation that this phone took up, or the ring of a contest that it
// was given in another way: then it has no role.
type Pass struct {
	Contest string // id in hexadecimal
	Role    string
	data    []byte // see keelcard/engine/seal
}

const passKey = "pass/"

func (p *Pass) op() Op { return Op{BucketMeta, passKey + p.Contest + "/" + p.Role, p.data} }

func (s *State) restorePass(e Entry) {
	if rest, ok := strings.CutPrefix(e.Key, passKey); ok {
		id, role, _ := strings.Cut(rest, "/")
		s.Passes = append(s.Passes, Pass{id, role, e.Value})
	}
}

// Role is what this phone is for in the open contest: what an owner said, what it
// was invited to, and in a sealed contest a keyer's when nobody said anything.
func (s *State) Role() string { return s.roleIn(s.Open.Contest) }

func (s *State) roleIn(c *contest.Contest) string {
	role := c.Role(s.Phone.ID)
	if j, ok := c.Reinvited(s.Phone.ID); ok {
		role = j.Role
	}
	switch {
	case role != "":
		return role
	case s.authorityAt(c) >= 0:
		return contest.Owner
	}
	if role = s.invitedTo(c.ID.String()); role == "" && c.Settings.Sealed {
		role = contest.Keyer
	}
	return role
}

// invitedTo is the role of the invitation to a contest that this phone took up.
func (s *State) invitedTo(id string) string {
	for _, p := range s.Passes {
		if p.Contest == id && p.Role != "" {
			return p.Role
		}
	}
	return ""
}

// authorityAt is the place of a contest's authority among those of this phone, -1
// when it has not got it.
func (s *State) authorityAt(c *contest.Contest) int {
	public := hex.EncodeToString(c.Settings.Authority)
	return slices.IndexFunc(s.Phone.Authorities, func(k Key) bool { return public != "" && k.Public == public })
}

// WordsDue tells whether the recovery words of the open contest are on no paper
// yet, and its official answers could be lost with this phone.
func (s *State) WordsDue() bool {
	return !s.Phone.WordsKept && s.Open.Contest.Settings.Sealed && s.authorityAt(s.Open.Contest) == 0
}

// unsealed reads what is sealed for this phone and writes what is due to that. It
// is in the second part of the program, for which a start does not wait: it is done
// when that arrives.
func (s *State) unsealed(m Msg) []Effect {
	if s.Open == nil || s.Rest.Away || len(s.Open.Contest.Settings.Authority) == 0 {
		return nil
	}
	return s.run("seal.open", m)
}

// Sealed tells whether official answers are sealed in the open contest, and this
// phone can neither read nor set them.
func (s *State) Sealed() bool {
	return s.Open != nil && s.Open.Contest.Seals() && s.Open.sealer == nil
}

// Veiled tells whether something that stands about a subject is sealed and cannot
// be read here.
func (s *State) Veiled(sub record.Subject) bool {
	return slices.ContainsFunc(s.Open.Contest.State().Current(sub).Values, record.Veiled)
}

// OnOfficials tells whether only an official's phone settles what is written about
// a subject: it is sealed to this one.
func (s *State) OnOfficials(sub record.Subject) bool {
	return contest.Answers(sub.Kind) && (s.Sealed() || s.Veiled(sub))
}

// ShutOut tells whether this phone was shut out of the open contest.
func (s *State) ShutOut() bool {
	m, _ := s.Open.Contest.Member(s.Phone.ID)
	return m.Shut
}
