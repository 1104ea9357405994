package app

import (
	"slices"
	"strings"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/sorting"
	"keelcard/web/words"
)

// PhonesPage is where an owner says what each phone of the contest is for.
type PhonesPage struct {
	Phone string // of which something is said, with Why
	Why   string
}

func phonesHandlers() handlers {
	return handlers{
		"enter.phones":  enterPhones,
		"phones.invite": invite,
		"phones.why":    func(s *State, m Msg) []Effect { s.Phones = PhonesPage{m.Arg(0), tidy(m.Text)}; return nil },
		"phones.role":   func(s *State, m Msg) []Effect { return s.member(m, func(mem *contest.Member) { mem.Role = m.Arg(1) }) },
		"phones.shut":   shutOut,
		"phones.let-in": func(s *State, m Msg) []Effect {
			return s.member(m, func(mem *contest.Member) { mem.Shut, mem.UpTo = false, nil })
		},
		"phones.take":    takeOver,
		"phones.release": func(s *State, m Msg) []Effect { return s.release(m, contest.Released) },
		"phones.hold":    func(s *State, m Msg) []Effect { return s.release(m, "") },
	}
}

func enterPhones(s *State, m Msg) []Effect {
	s.Phones = PhonesPage{}
	if s.Open == nil || s.ReadOnly || s.Phone.Initials == "" {
		return nil
	}
	entries, err := s.goesOn()
	if err != nil {
		return s.refuse(err)
	}
	if len(entries) == 0 {
		return nil
	}
	return s.write(m, s.lastRole(), entries...)
}

// goesOn is what this phone writes when it has another key than before: that it
// goes on in the place of the phone that it was, where that one is an owner or
// has a role.
func (s *State) goesOn() (entries []written, err error) {
	c := s.Open.Contest
	entries = append(s.joins(), s.claims()...)
	for _, k := range s.Phone.Former {
		was := k.id()
		m, has := c.Member(was)
		_, have := c.Member(s.Phone.ID)
		if c.Owns(s.Phone.ID) || !c.Owns(was) && (!has || have || m.Shut) {
			continue
		}
		private, err := signingKey(k.Seed)
		if err != nil {
			return nil, err
		}
		value, err := record.Renewal(c.ID, s.Phone.ID, private)
		if err != nil {
			return nil, err
		}
		entries = append(entries, written{Subject: s.Phone.ID.Subject(record.KindRenewal), Value: value, Over: []record.Ref{}})
	}
	return entries, nil
}

// invite hands everything over, for a phone that is new to the contest.
func invite(s *State, m Msg) []Effect {
	s.Handover.To = "everything"
	return handOver(s, m, m.Arg(0))
}

// notOwner says who may say what phones are for.
func notOwner() error {
	return engine.New("app.not-owner", "", words.T("phones.not-owner"), words.T("phones.not-owner-fix"))
}

// member writes what is said of a phone, changed in one respect.
func (s *State) member(m Msg, change func(*contest.Member)) []Effect {
	id, err := record.ParsePhoneID(m.Arg(0))
	if err != nil || s.Open == nil {
		return nil
	}
	c := s.Open.Contest
	if !c.Owns(s.Phone.ID) {
		return s.refuse(notOwner())
	}
	mem, _ := c.Member(id)
	was := mem
	mem.Who = s.holder(id)
	if j, ok := c.Join(id); ok {
		mem.Invite = j.No
	}
	if s.Phones.Phone == id.String() {
		mem.Why = s.Phones.Why
	}
	change(&mem)
	entries, err := s.sayOf(m, id, was, mem)
	if err != nil {
		return s.refuse(err)
	}
	if c.Owns(id) {
		entries = append(s.claim(), entries...)
	}
	effects := s.write(m, contest.Owner, entries...)
	s.openAnswers()
	return effects
}

// holder is who wrote last on a phone.
func (s *State) holder(id record.PhoneID) string {
	for _, row := range s.PhoneRows() {
		if row.Phone == id {
			return row.Who
		}
	}
	return ""
}

// shutOut keeps apart what a phone writes from now on: beyond what is here.
func shutOut(s *State, m Msg) []Effect {
	return s.member(m, func(mem *contest.Member) {
		id, _ := record.ParsePhoneID(m.Arg(0))
		mem.Shut, mem.UpTo = true, s.Open.Contest.UpTo(id)
	})
}

func (s *State) release(m Msg, value string) []Effect {
	if s.Open == nil {
		return nil
	}
	if !s.Open.Contest.Owns(s.Phone.ID) {
		return s.refuse(notOwner())
	}
	entries := []written{{Subject: contest.ReleaseSubject, Value: value}}
	if value == contest.Released {
		secrets, err := s.releases()
		if err != nil {
			return s.refuse(err)
		}
		entries = append(secrets, entries...)
	}
	effects := s.write(m, contest.Owner, entries...)
	s.openAnswers()
	return effects
}

// takeOver writes a record that is kept apart again, in the name of the owner for
// whom it was. It replaces what stands, and that record, too, should its phone be
// let in again.
func takeOver(s *State, m Msg) []Effect {
	id, err := record.ParsePhoneID(m.Arg(0))
	seq := Page{Args: m.Args}.Number(1)
	if err != nil || s.Open == nil {
		return nil
	}
	c := s.Open.Contest
	ref := record.Ref{Phone: id, Seq: seq}
	r, ok := c.State().Record(ref)
	if !ok || !c.State().Apart(ref) {
		return nil
	}
	if !c.Owns(s.Phone.ID) {
		return s.refuse(notOwner())
	}
	over := []record.Ref{ref}
	if r.Subject.Kind != contest.KindSeen { // others' notes stand beside it
		cur := c.State().Current(r.Subject).Replaces()
		over = append(over, cur[:min(len(cur), record.MaxReplaces-1)]...)
		sorting.Stable(over, record.CompareRefs)
	}
	_, name, _ := strings.Cut(r.Who, "/")
	effects := s.write(m, contest.Owner, written{Subject: r.Subject, Value: r.Value, Over: over, For: name})
	if len(effects) > 0 {
		s.Notice = Notice{Tone: "info", Text: words.T("phones.taken", s.SubjectName(r.Subject))}
	}
	return effects
}

// PhoneState is one phone of the open contest as the page of phones shows it.
type PhoneState struct {
	PhoneRow
	Role     string
	Member   contest.Member
	Heard    int64 // when it last handed over, 0 for never as far as is known here
	Lacks    int   // records that are here and not there, as far as it said
	Thin     int   // of its records, those that no other phone but this one is known to have
	Missing  int   // of its records, those that others have and are not here
	Against  []record.Ref
	Apart    contest.Apart
	ShutFrom uint32 // number of its first record that does not count
}

// PhoneStates lists the phones that wrote in the open contest, this one first.
func (s *State) PhoneStates() []PhoneState {
	c := s.Open.Contest
	runs := c.State().Runs()
	apart := c.Apart()
	most, far := s.heldElsewhere(runs)
	var out []PhoneState
	for _, row := range s.PhoneRows() {
		p := PhoneState{PhoneRow: row, Role: c.Role(row.Phone), Against: c.Against(row.Phone)}
		p.Member, _ = c.Member(row.Phone)
		if i := slices.IndexFunc(apart, func(a contest.Apart) bool { return a.Phone == row.Phone }); i >= 0 {
			p.Apart = apart[i]
		}
		if h, ok := s.Open.heard(row.Phone); ok && !row.Own {
			p.Heard, p.Lacks = h.Stamp.Wall, h.behind(runs)
		}
		for _, run := range runs {
			if run.Phone == row.Phone {
				p.Thin += len(run.Records) - most[run.ID]
				p.Missing += int(max(far[run.ID], run.Last()) - run.Last())
			}
		}
		out = append(out, p)
	}
	if len(out) > 0 && out[0].Own {
		out[0].Heard = s.Where().Given
	}
	return out
}

// heldElsewhere says of each run how many of its records one phone has that is
// neither this one nor the one that wrote them, and how far any phone has it.
func (s *State) heldElsewhere(runs []merge.Run) (most map[record.PhoneID]int, far map[record.PhoneID]uint32) {
	most, far = map[record.PhoneID]int{}, map[record.PhoneID]uint32{}
	for _, p := range phones(runs) {
		h, ok := s.Open.Holding(p)
		if !ok || s.mine(p) {
			continue
		}
		for _, run := range runs {
			if run.Phone != p {
				most[run.ID] = max(most[run.ID], h.has(run))
				far[run.ID] = max(far[run.ID], h.Holds[run.ID.String()])
			}
		}
	}
	return most, far
}

// HasRoles tells whether a role was given to any phone, or one was shut out.
func (s *State) HasRoles() bool {
	return slices.ContainsFunc(phones(s.Open.Contest.State().Runs()), func(p record.PhoneID) bool {
		_, ok := s.Open.Contest.Member(p)
		return ok
	})
}
