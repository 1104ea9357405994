package app

import (
	"strings"

	"keelcard/engine/contest"
)

// Pages that a role does not offer. Nothing is secret for that: whoever holds a
// phone holds its records.
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
	role := s.Open.Contest.Role(s.Phone.ID)
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

// ShutOut tells whether this phone was shut out of the open contest.
func (s *State) ShutOut() bool {
	m, _ := s.Open.Contest.Member(s.Phone.ID)
	return m.Shut
}
