package contest

import (
	"slices"

	"keelcard/engine/clock"
	"keelcard/engine/record"
)

// Apart is what a phone that is shut out wrote beyond what counts.
type Apart struct {
	Phone   record.PhoneID
	Records int          // all that are kept apart
	Stand   []record.Ref // those that no later one of the phone replaces, and that nobody took over
	Taken   int          // those that an owner took over
}

// Apart lists what is kept apart, by phone. What phones say of themselves is
// counted only.
func (c *Contest) Apart() (out []Apart) {
	for _, run := range c.state.Runs() {
		if !c.roles.members[run.Phone].Shut {
			continue
		}
		if len(out) == 0 || out[len(out)-1].Phone != run.Phone {
			out = append(out, Apart{Phone: run.Phone})
		}
		a := &out[len(out)-1]
		for i := range run.Records {
			r := &run.Records[i]
			ref := record.Ref{Phone: run.ID, Seq: r.Seq}
			if !c.state.Apart(ref) {
				continue
			}
			a.Records++
			for _, old := range r.Replaces {
				old, _ = c.state.Named(ref, old)
				was, _ := c.state.Record(old)
				if i := slices.Index(a.Stand, old); i >= 0 && was.Subject == r.Subject {
					a.Stand = slices.Delete(a.Stand, i, i+1)
				}
			}
			switch {
			case ofPhones(r.Subject.Kind):
			case c.state.Replaced(ref):
				a.Taken++
			default:
				a.Stand = append(a.Stand, ref)
			}
		}
	}
	return out
}

// Answers tells whether records of a kind say what is right, and so are sealed
// where a contest seals.
func Answers(kind record.Kind) bool {
	return kind == record.KindKey || kind == KindSeen || kind == record.KindRuling
}

// ofPhones tells whether records of a kind are about phones, not about judging.
func ofPhones(kind record.Kind) bool {
	switch kind {
	case record.KindPhone, record.KindRole, record.KindRenewal, record.KindRelease, record.KindJoin, record.KindClaim:
		return true
	}
	return false
}

// UpTo says how far the logs of a phone go here, for a Member that shuts it out.
func (c *Contest) UpTo(p record.PhoneID) (out []string) {
	for _, w := range waysOf(p, c.state.Runs()) {
		if !w.Parts && w.Last() > 0 {
			out = append(out, w.upTo(w.Last()))
		}
	}
	return out
}

// Void lists the records about roles and the release that do not count, since
// who wrote them is no owner, or they are about one.
func (c *Contest) Void() []record.Ref {
	return slices.DeleteFunc(slices.Clone(c.roles.void), c.state.Apart)
}

// Against lists what a phone wrote that is not for its role, since it has that
// role. Such records count like any other.
func (c *Contest) Against(p record.PhoneID) (out []record.Ref) {
	m, ok := c.roles.members[p]
	if !ok {
		return nil
	}
	for _, run := range c.state.Runs() {
		for i := range run.Records {
			r := &run.Records[i]
			ref := record.Ref{Phone: run.ID, Seq: r.Seq}
			if run.Phone == p && !Writes(m.Role, r.Subject.Kind) && clock.Compare(r.Stamp, m.Since) > 0 && !c.state.Apart(ref) {
				out = append(out, ref)
			}
		}
	}
	return out
}

// Writes tells whether a record of a kind is for who has a role.
func Writes(role string, kind record.Kind) bool {
	switch role {
	case Coach:
		return ofPhones(kind)
	case Keyer:
		return ofPhones(kind) || kind == record.KindCard || kind == record.KindPerson || kind == record.KindTeam
	}
	return true
}
