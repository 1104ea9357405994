package merge

import (
	"maps"
	"slices"

	"keelcard/engine/clock"
	"keelcard/engine/record"
	"keelcard/engine/sorting"
)

// Status says how far the answer about a subject is settled.
type Status uint8

// The states of a subject.
const (
	Absent     Status = iota // nobody wrote anything, or it was withdrawn by someone who saw all of it
	Single                   // one answer by one hand
	Confirmed                // the same answer by two or more hands
	InQuestion               // different answers; a person has to decide
)

// String gives the status as one lower-case word or two.
func (s Status) String() string {
	switch s {
	case Single:
		return "single"
	case Confirmed:
		return "confirmed"
	case InQuestion:
		return "in question"
	}
	return "absent"
}

// Current is what holds about one subject.
type Current struct {
	Subject record.Subject
	Status  Status
	Refs    []record.Ref // the records that no other replaces, earliest stamp first
	Values  []string     // their distinct values, earliest stamp first; "" is a withdrawal
}

// Replaces gives what a record must name in order to settle the subject: the
// Refs, sorted the way a record wants them. When there are more than a record
// may name, it takes the first; the rest is left for a second record.
func (c Current) Replaces() []record.Ref {
	refs := slices.Clone(c.Refs[:min(len(c.Refs), record.MaxReplaces)])
	sorting.Stable(refs, record.CompareRefs)
	return refs
}

// State is the fold of a set of logs: every record, and which of them hold.
// It only grows, by Append; whoever needs it as it was takes a Clone first. It
// may be read from several goroutines as long as none appends.
type State struct {
	phones map[record.PhoneID]int
	logs   []phoneLog
	topics map[record.Subject]*topic
	early  map[record.Ref][]record.Subject // replaced before it arrived, and by records about what
}

// phoneLog is one phone's records; replaced[i] tells that another record of the
// same subject names records[i].
type phoneLog struct {
	records  []record.Record
	replaced []bool
}

// topic is all records about one subject, as they came.
type topic struct{ at []place }

// place points to a record: logs[log].records[index].
type place struct{ log, index int32 }

func newState(records int) *State {
	return &State{
		phones: make(map[record.PhoneID]int),
		topics: make(map[record.Subject]*topic, records),
		early:  make(map[record.Ref][]record.Subject),
	}
}

// Fold reads a whole set, as Join, DecodeBundle or Log.Append made it. The
// State shares the records; it does not notice what is appended to the set
// later. A log is read up to the first record that is not in its place.
func Fold(set record.Set) *State {
	n := 0
	for i := range set.Logs {
		n += len(set.Logs[i].Records)
	}
	s := newState(n)
	for i := range set.Logs {
		l := &set.Logs[i]
		if log := s.log(l.Phone); s.logs[log].records == nil {
			records := inPlace(l)
			s.logs[log] = phoneLog{records, make([]bool, len(records))}
		}
	}
	for log := range s.logs {
		for index := range s.logs[log].records {
			s.place(int32(log), int32(index))
		}
	}
	return s
}

// inPlace gives the records of a log up to the first that is not in its place.
func inPlace(l *record.Log) []record.Record {
	for i := range l.Records {
		if r := &l.Records[i]; r.Phone != l.Phone || r.Seq != uint32(i)+1 {
			return slices.Clip(l.Records[:i])
		}
	}
	return slices.Clip(l.Records)
}

// Append takes in one more record and comes to the same as folding everything
// again. Records of one phone come in the order of their numbers; phones may be
// mixed. A record that is already there is no error. Codes: CodeGap when
// earlier records of the phone are missing, CodeFork when another record has
// this number; neither changes anything.
func (s *State) Append(r record.Record) error {
	if log, ok := s.phones[r.Phone]; ok && r.Seq >= 1 && int(r.Seq) <= len(s.logs[log].records) {
		if !record.Equal(&s.logs[log].records[r.Seq-1], &r) {
			return fork(r.Ref())
		}
		return nil
	}
	have := 0
	if log, ok := s.phones[r.Phone]; ok {
		have = len(s.logs[log].records)
	}
	if r.Seq != uint32(have)+1 {
		return gap(r.Phone, uint32(have)+1, r.Seq)
	}
	log := s.log(r.Phone)
	l := &s.logs[log]
	l.records = append(l.records, r)
	l.replaced = append(l.replaced, false)
	s.place(int32(log), int32(have))
	return nil
}

// log finds or begins the log of a phone.
func (s *State) log(phone record.PhoneID) int {
	log, ok := s.phones[phone]
	if !ok {
		log = len(s.logs)
		s.phones[phone] = log
		s.logs = append(s.logs, phoneLog{})
	}
	return log
}

// place files a record that is already in its log under its subject and marks
// what it replaces. A record replaces only records about its own subject; one
// that is not here yet is remembered until it comes.
func (s *State) place(log, index int32) {
	r := &s.logs[log].records[index]
	t := s.topics[r.Subject]
	if t == nil {
		t = new(topic)
		s.topics[r.Subject] = t
	}
	t.at = append(t.at, place{log, index})
	if len(s.early) > 0 {
		if slices.Contains(s.early[r.Ref()], r.Subject) {
			s.logs[log].replaced[index] = true
		}
		delete(s.early, r.Ref())
	}
	for _, ref := range r.Replaces {
		old, ok := s.find(ref)
		if !ok {
			s.early[ref] = append(s.early[ref], r.Subject)
		} else if s.at(old).Subject == r.Subject {
			s.logs[old.log].replaced[old.index] = true
		}
	}
}

// find locates a record in the logs.
func (s *State) find(ref record.Ref) (place, bool) {
	log, ok := s.phones[ref.Phone]
	if !ok || ref.Seq < 1 || int(ref.Seq) > len(s.logs[log].records) {
		return place{}, false
	}
	return place{int32(log), int32(ref.Seq - 1)}, true
}

func (s *State) at(p place) *record.Record { return &s.logs[p.log].records[p.index] }

// Clone gives an independent copy: appending to one does not show in the other.
// Records themselves are shared, as nobody changes them.
func (s *State) Clone() *State {
	c := &State{
		phones: maps.Clone(s.phones),
		logs:   make([]phoneLog, len(s.logs)),
		topics: make(map[record.Subject]*topic, len(s.topics)),
		early:  make(map[record.Ref][]record.Subject, len(s.early)),
	}
	for i, l := range s.logs {
		c.logs[i] = phoneLog{slices.Clip(l.records), slices.Clone(l.replaced)}
	}
	for sub, t := range s.topics {
		c.topics[sub] = &topic{slices.Clip(t.at)}
	}
	for ref, subs := range s.early {
		c.early[ref] = slices.Clip(subs)
	}
	return c
}

// holding gives the records of a topic that no other replaces. When every one
// is replaced by another, which takes a phone that named records before they
// were written, all of them hold: nothing is lost without a person deciding.
func (s *State) holding(t *topic) []place {
	if len(t.at) == 1 {
		return t.at
	}
	held := make([]place, 0, len(t.at))
	for _, p := range t.at {
		if !s.logs[p.log].replaced[p.index] {
			held = append(held, p)
		}
	}
	if len(held) == 0 {
		return t.at
	}
	return held
}

// status judges the records that hold. A withdrawal beside another answer is a
// difference like any other. The same phone is a second hand only when it said
// so with Again.
func (s *State) status(held []place) Status {
	first := s.at(held[0])
	hands := false
	for _, p := range held[1:] {
		r := s.at(p)
		if r.Value != first.Value {
			return InQuestion
		}
		hands = hands || p.log != held[0].log || r.Again || first.Again
	}
	switch {
	case first.Value == "":
		return Absent
	case hands:
		return Confirmed
	}
	return Single
}

// Current says what holds about a subject.
func (s *State) Current(sub record.Subject) Current {
	c := Current{Subject: sub}
	t := s.topics[sub]
	if t == nil {
		return c
	}
	held := s.byStamp(s.holding(t))
	c.Status = s.status(held)
	c.Refs = make([]record.Ref, len(held))
	for i, p := range held {
		r := s.at(p)
		c.Refs[i] = r.Ref()
		if !slices.Contains(c.Values, r.Value) {
			c.Values = append(c.Values, r.Value)
		}
	}
	return c
}

// Settled gives the status of a subject and, when it is single or confirmed,
// the value that holds: Current for whoever asks about thousands of cards.
func (s *State) Settled(sub record.Subject) (Status, string) {
	t := s.topics[sub]
	if t == nil {
		return Absent, ""
	}
	held := s.holding(t)
	status := s.status(held)
	if status != Single && status != Confirmed {
		return status, ""
	}
	return status, s.at(held[0]).Value
}

// byStamp sorts a copy by stamp, phone and number.
func (s *State) byStamp(places []place) []place {
	if len(places) == 1 {
		return places
	}
	sorted := slices.Clone(places)
	slices.SortFunc(sorted, func(a, b place) int {
		x, y := s.at(a), s.at(b)
		if c := clock.Compare(x.Stamp, y.Stamp); c != 0 {
			return c
		}
		return record.CompareRefs(x.Ref(), y.Ref())
	})
	return sorted
}

// Questions lists the subjects in question, sorted.
func (s *State) Questions() []record.Subject {
	var subs []record.Subject
	for sub, t := range s.topics {
		if len(t.at) > 1 && s.status(s.holding(t)) == InQuestion {
			subs = append(subs, sub)
		}
	}
	slices.SortFunc(subs, record.CompareSubjects)
	return subs
}

// Subjects lists the subjects of a kind about which anything was ever written,
// sorted.
func (s *State) Subjects(kind record.Kind) []record.Subject {
	var subs []record.Subject
	for sub := range s.topics {
		if sub.Kind == kind {
			subs = append(subs, sub)
		}
	}
	slices.SortFunc(subs, record.CompareSubjects)
	return subs
}

// Record finds a record by its name.
func (s *State) Record(ref record.Ref) (record.Record, bool) {
	p, ok := s.find(ref)
	if !ok {
		return record.Record{}, false
	}
	return *s.at(p), true
}

// History lists all records about a subject, replaced ones included, earliest
// stamp first.
func (s *State) History(sub record.Subject) []record.Ref {
	t := s.topics[sub]
	if t == nil {
		return nil
	}
	refs := make([]record.Ref, 0, len(t.at))
	for _, p := range s.byStamp(t.at) {
		refs = append(refs, s.at(p).Ref())
	}
	return refs
}
