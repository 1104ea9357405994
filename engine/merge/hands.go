package merge

import (
	"strings"

	"keelcard/engine/record"
)

// PersonOf gives whose answer a record is, from its Who: what stands behind the
// role, and where one person took over what another had written, that other.
func PersonOf(who string) string {
	if _, whose, ok := strings.Cut(who, TakenOver); ok {
		return whose
	}
	_, name, _ := strings.Cut(who, "/")
	return name
}

// TakenOver stands in a record's Who between who took an answer over and whose
// it was.
const TakenOver = " \u2190 "

// OneHand tells whether one person alone is behind what holds about a subject:
// nobody else wrote it, and it settled no difference from what somebody else had
// written. A correction of one value is the work of who made it. Status counts
// phones, this counts people: one person on two phones is one hand, and "mb" is
// the same as "MB". It is false when nothing was written.
func (s *State) OneHand(sub record.Subject) bool {
	t := s.topics[sub]
	if t == nil {
		return false
	}
	held := s.holding(t)
	for _, p := range held {
		if !s.sameHand(p, held[0]) || s.settledBetween(p) {
			return false
		}
	}
	return true
}

func (s *State) sameHand(a, b place) bool {
	return strings.EqualFold(PersonOf(s.at(a).Who), PersonOf(s.at(b).Who))
}

// settledBetween tells whether a record took the place of answers that differ,
// not all of them by the person who wrote it. Withdrawals are no answers.
func (s *State) settledBetween(p place) bool {
	r := s.at(p)
	first, differ, others := "", false, false
	for _, ref := range r.Replaces {
		old, ok := s.named(p.log, r.Subject, ref)
		if !ok || s.at(old).Subject != r.Subject || s.at(old).Value == "" {
			continue
		}
		if first == "" {
			first = s.at(old).Value
		}
		differ = differ || s.at(old).Value != first
		others = others || !s.sameHand(old, p)
	}
	return differ && others
}
