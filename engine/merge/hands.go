package merge

import (
	"slices"
	"strings"

	"keelcard/engine/record"
)

// PersonOf gives whose answer a record is, from its Who: what stands behind the
// role, and where one person took over what another had written, that other.
func PersonOf(who string) string {
	_, name, _ := strings.Cut(who, "/")
	if _, whose, ok := strings.Cut(name, takenOver); ok {
		return whose
	}
	return name
}

// takenOver stands between who took an answer over and whose it was.
const takenOver = " \u2190 "

// Hands names the people behind what holds about a subject, each once: whoever
// wrote it, and where it settled a difference, whoever had written the values
// that it chose between. A correction of one value is the work of who made it
// alone. Status counts phones, Hands counts people: one person on two phones is
// one hand, and "mb" is the same as "MB".
func (s *State) Hands(sub record.Subject) []string {
	t := s.topics[sub]
	if t == nil {
		return nil
	}
	var names []string
	for _, p := range s.holding(t) {
		names = withPerson(names, s.at(p))
		old := s.replacedBy(p)
		if slices.ContainsFunc(old, func(r *record.Record) bool { return r.Value != old[0].Value }) {
			for _, r := range old {
				names = withPerson(names, r)
			}
		}
	}
	return names
}

func withPerson(names []string, r *record.Record) []string {
	name := PersonOf(r.Who)
	if slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(n, name) }) {
		return names
	}
	return append(names, name)
}

// replacedBy lists the answers that a record replaces, as far as they are here;
// withdrawals are none.
func (s *State) replacedBy(p place) []*record.Record {
	var out []*record.Record
	r := s.at(p)
	for _, ref := range r.Replaces {
		old, ok := s.find(ref)
		if !ok && s.forks {
			old, ok = s.findParted(p.log, r.Subject, ref)
		}
		if ok && s.at(old).Subject == r.Subject && s.at(old).Value != "" {
			out = append(out, s.at(old))
		}
	}
	return out
}
