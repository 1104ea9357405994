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
//
// Where the logs of a phone part, what they begin with is there once, under the
// number of the phone, and each later run under a number of its own, see
// record.Segment. Refs name records by these numbers. They are all one phone:
// its two sides do not confirm each other.
type State struct {
	runs   map[record.PhoneID]int
	logs   []run
	forks  bool // some run parts
	topics map[record.Subject]*topic
	apart  map[record.PhoneID]uint32       // by run, the last number that counts
	early  map[record.Ref][]record.Subject // replaced before it arrived, and by records about what
	open   Opener
}

// An Opener gives the value of a sealed record, if it can.
type Opener func(*record.Record) (value string, ok bool)

// run is the records of a phone, or of one segment where its logs part;
// replaced[i] tells that another record of the same subject names records[i].
type run struct {
	records  []record.Record
	shown    []record.Record // the same with values as they are read, nil when none is sealed
	replaced []bool
	after    uint32 // records of the phone before these
	id       record.PhoneID
	root     int32 // the first run of the phone
	parent   int32 // the run before this, -1 for none
	parts    bool  // others follow it
	counts   int32 // how many of its records count, beyond that they are kept apart
}

const allCount = 1<<31 - 1

func (l *run) last() uint32 { return l.after + uint32(len(l.records)) }

// topic is all records about one subject, as they came.
type topic struct{ at []place }

// place points to a record: logs[log].records[index].
type place struct{ log, index int32 }

func newState(records int) *State {
	return &State{
		runs:   make(map[record.PhoneID]int),
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
	for logs := range set.Phones {
		if len(logs) == 1 {
			s.begin(logs[0].Phone, inPlace(&logs[0]))
		} else {
			s.beginTree(set.Contest, logs)
		}
	}
	s.placeAll()
	return s
}

func (s *State) placeAll() {
	for log := range s.logs {
		for index := range s.logs[log].records {
			s.place(int32(log), int32(index))
		}
	}
}

// Open reads the values of sealed records from now on; what cannot be opened, and
// everything with nil, is read as record.Record.Veil. Runs lists records as they
// were written, all else gives them as they are read.
func (s *State) Open(open Opener) {
	s.open = open
	for i := range s.logs {
		l := &s.logs[i]
		l.shown = nil
		s.show(l)
	}
}

// show reads the records of a run that are not read yet.
func (s *State) show(l *run) {
	sealed := func(r record.Record) bool { return r.Sealed() }
	if l.shown == nil && slices.ContainsFunc(l.records, sealed) {
		l.shown = make([]record.Record, 0, len(l.records))
	}
	if l.shown == nil {
		return
	}
	for _, r := range l.records[len(l.shown):] {
		if r.Sealed() {
			r.Value = s.read(&r)
		}
		l.shown = append(l.shown, r)
	}
}

func (s *State) read(r *record.Record) string {
	if s.open != nil {
		if value, ok := s.open(r); ok {
			return value
		}
	}
	return r.Veil()
}

// KeepApart says how far the records of some runs count, by the number of the
// last that does; all others count whole. What does not count is kept, found by
// Record and listed by Runs, and neither holds nor replaces anything. What Append
// brings to such a run is kept apart as well.
func (s *State) KeepApart(last map[record.PhoneID]uint32) {
	if maps.Equal(s.apart, last) {
		return
	}
	s.apart = last
	for i := range s.logs {
		l := &s.logs[i]
		l.counts = allCount
		if n, ok := last[l.id]; ok {
			l.counts = int32(max(n, l.after) - l.after)
		}
		clear(l.replaced)
	}
	clear(s.topics)
	clear(s.early)
	s.placeAll()
}

// Apart tells whether a record is kept apart.
func (s *State) Apart(ref record.Ref) bool {
	p, ok := s.find(ref)
	return ok && p.index >= s.logs[p.log].counts
}

// Replaced tells whether a record that counts replaces another about the same.
func (s *State) Replaced(ref record.Ref) bool {
	p, ok := s.find(ref)
	return ok && s.logs[p.log].replaced[p.index]
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

// begin adds the run that a phone begins with.
func (s *State) begin(id record.PhoneID, records []record.Record) int {
	at := len(s.logs)
	if first, twice := s.runs[id]; twice { // a set that is not sorted
		return first
	}
	s.runs[id] = at
	counts := int32(allCount)
	if n, ok := s.apart[id]; ok {
		counts = int32(n)
	}
	s.logs = append(s.logs, run{records: records, replaced: make([]bool, len(records)), id: id, root: int32(at), parent: -1, counts: counts})
	s.show(&s.logs[at])
	return at
}

// beginTree adds the runs of a phone whose logs part.
func (s *State) beginTree(contest record.ContestID, logs []record.Log) {
	whole := make([]record.Log, len(logs))
	for i, l := range logs {
		l.Records, l.Skip, l.Base = inPlace(&l), 0, [32]byte{}
		whole[i] = l
	}
	t := record.NewTree(contest, whole...)
	first := len(s.logs)
	for i, seg := range t.Segments() {
		at := s.begin(seg.ID, seg.Records)
		if at != first+i { // one number for two things, which Join refuses
			return
		}
		l := &s.logs[at]
		l.after, l.parts, l.root = seg.After, seg.Parts, int32(first)
		if seg.Parent >= 0 {
			l.parent = int32(first + seg.Parent)
		}
		s.forks = s.forks || seg.Parts
	}
}

// Append takes in one more record and comes to the same as folding everything
// again. Records of one phone come in the order of their numbers; phones may be
// mixed. A record that is already there is no error. Codes: CodeGap when
// earlier records of the phone are missing, CodeFork when another record has
// this number, or when the logs of the phone part, which takes a new Fold.
// Neither changes anything.
func (s *State) Append(r record.Record) error {
	log, known := s.runs[r.Phone]
	var have uint32
	if known {
		have = s.logs[log].last()
		if l := &s.logs[log]; l.parent >= 0 || l.parts && r.Seq > have {
			return s.appendParted(log, &r)
		}
	}
	if r.Seq >= 1 && r.Seq <= have {
		if !record.Equal(&s.logs[log].records[r.Seq-1], &r) {
			return fork(r.Ref())
		}
		return nil
	}
	if r.Seq != have+1 {
		return gap(r.Phone, have+1, r.Seq)
	}
	if !known {
		log = s.begin(r.Phone, nil)
	}
	l := &s.logs[log]
	l.records = append(l.records, r)
	l.replaced = append(l.replaced, false)
	if l.shown != nil || r.Sealed() {
		s.show(l)
	}
	s.place(int32(log), int32(have))
	return nil
}

// appendParted takes in only what one of the sides has already.
func (s *State) appendParted(root int, r *record.Record) error {
	for i := range s.logs {
		l := &s.logs[i]
		if l.root == int32(root) && r.Seq > l.after && r.Seq <= l.last() && record.Equal(&l.records[r.Seq-l.after-1], r) {
			return nil
		}
	}
	return fork(r.Ref())
}

// place files a record that is already in its log under its subject, unless it
// is kept apart, and marks what it replaces. A record replaces only records about its own subject; one
// that is not here yet is remembered until it comes.
func (s *State) place(log, index int32) {
	r := &s.logs[log].records[index]
	apart := index >= s.logs[log].counts
	if !apart {
		t := s.topics[r.Subject]
		if t == nil {
			t = new(topic)
			s.topics[r.Subject] = t
		}
		t.at = append(t.at, place{log, index})
	}
	if len(s.early) > 0 {
		ref := s.ref(place{log, index})
		if slices.Contains(s.early[ref], r.Subject) {
			s.logs[log].replaced[index] = true
		}
		delete(s.early, ref)
	}
	if apart {
		return
	}
	for _, ref := range r.Replaces {
		old, ok := s.named(log, r.Subject, ref)
		if !ok {
			s.early[ref] = append(s.early[ref], r.Subject)
		} else if s.at(old).Subject == r.Subject {
			s.logs[old.log].replaced[old.index] = true
		}
	}
}

// find locates a record in the logs.
func (s *State) find(ref record.Ref) (place, bool) {
	log, ok := s.runs[ref.Phone]
	if !ok {
		return place{}, false
	}
	l := &s.logs[log]
	if ref.Seq <= l.after || ref.Seq > l.last() {
		return place{}, false
	}
	return place{int32(log), int32(ref.Seq - l.after - 1)}, true
}

// findParted locates a record that one of run by, about a subject, names by a
// number beyond where the logs of its phone part. The phone itself means its own
// side. Another one meant the record about that subject, as it saw it there: if
// both sides have one, nobody can tell which, and none is meant. What is kept
// apart is not meant.
func (s *State) findParted(by int32, sub record.Subject, ref record.Ref) (found place, ok bool) {
	from, known := s.runs[ref.Phone]
	if !known || !s.logs[from].parts || ref.Seq <= s.logs[from].last() {
		return place{}, false
	}
	root := s.logs[from].root
	own := s.logs[by].root == root
	for i := root; int(i) < len(s.logs) && s.logs[i].root == root; i++ {
		l := &s.logs[i]
		p := place{i, int32(ref.Seq - l.after - 1)}
		if ref.Seq <= l.after || ref.Seq > l.last() || p.index >= l.counts || !s.follows(i, int32(from)) {
			continue
		}
		switch {
		case own && s.follows(by, i):
			return p, true
		case own || s.at(p).Subject != sub:
		case ok:
			return place{}, false
		default:
			found, ok = p, true
		}
	}
	return found, ok
}

// follows tells whether a run is another one or comes after it.
func (s *State) follows(log, other int32) bool {
	for ; log >= 0; log = s.logs[log].parent {
		if log == other {
			return true
		}
	}
	return false
}

// Named finds what a record names among what it replaces. Where the logs of a
// phone part, that can be another record than the one Record finds, or none.
func (s *State) Named(by, ref record.Ref) (record.Ref, bool) {
	p, ok := s.find(ref)
	if from, known := s.find(by); !ok && known {
		p, ok = s.named(from.log, s.at(from).Subject, ref)
	}
	if !ok {
		return record.Ref{}, false
	}
	return s.ref(p), true
}

// named locates a record that one of run by, about a subject, names.
func (s *State) named(by int32, sub record.Subject, ref record.Ref) (place, bool) {
	p, ok := s.find(ref)
	if !ok && s.forks {
		return s.findParted(by, sub, ref)
	}
	return p, ok
}

func (s *State) at(p place) *record.Record {
	l := &s.logs[p.log]
	if l.shown != nil {
		return &l.shown[p.index]
	}
	return &l.records[p.index]
}

func (s *State) ref(p place) record.Ref {
	l := &s.logs[p.log]
	return record.Ref{Phone: l.id, Seq: l.after + uint32(p.index) + 1}
}

// Clone gives an independent copy: appending to one does not show in the other.
// Records themselves are shared, as nobody changes them.
func (s *State) Clone() *State {
	c := &State{
		runs:   maps.Clone(s.runs),
		logs:   slices.Clone(s.logs),
		forks:  s.forks,
		apart:  s.apart,
		topics: make(map[record.Subject]*topic, len(s.topics)),
		early:  make(map[record.Ref][]record.Subject, len(s.early)),
		open:   s.open,
	}
	for i := range c.logs {
		l := &c.logs[i]
		l.records, l.shown, l.replaced = slices.Clip(l.records), slices.Clip(l.shown), slices.Clone(l.replaced)
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
	first, root := s.at(held[0]), s.logs[held[0].log].root
	hands := false
	for _, p := range held[1:] {
		r := s.at(p)
		if r.Value != first.Value {
			return InQuestion
		}
		hands = hands || s.logs[p.log].root != root || r.Again || first.Again
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
		c.Refs[i] = s.ref(p)
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
	sorting.Stable(sorted, func(a, b place) int {
		x, y := s.at(a), s.at(b)
		if c := clock.Compare(x.Stamp, y.Stamp); c != 0 {
			return c
		}
		return record.CompareRefs(s.ref(a), s.ref(b))
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
	sorting.Stable(subs, record.CompareSubjects)
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
	sorting.Stable(subs, record.CompareSubjects)
	return subs
}

// Record finds a record by its name. Where the logs of its phone part, a number
// beyond that is found by the name of its segment only.
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
		refs = append(refs, s.ref(p))
	}
	return refs
}

// Run is the records of one phone, or of one segment where its logs part.
type Run struct {
	ID      record.PhoneID // by which Refs name it
	Phone   record.PhoneID
	After   uint32          // records of the phone before these
	From    record.PhoneID  // the run that these follow, zero for none
	Parts   bool            // others follow it
	Records []record.Record // as they were written, sealed values included
	Read    []record.Record // the same as they are read here
}

// Last is the number of its last record.
func (r *Run) Last() uint32 { return r.After + uint32(len(r.Records)) }

// Runs lists every record once: by phone, and for each first what all its logs
// begin with, then each segment after the one it follows.
func (s *State) Runs() []Run {
	out := make([]Run, len(s.logs))
	for i := range s.logs {
		l := &s.logs[i]
		out[i] = Run{ID: l.id, Phone: s.logs[l.root].id, After: l.after, Parts: l.parts, Records: slices.Clip(l.records)}
		if out[i].Read = out[i].Records; l.shown != nil {
			out[i].Read = slices.Clip(l.shown)
		}
		if l.parent >= 0 {
			out[i].From = s.logs[l.parent].id
		}
	}
	sorting.Stable(out, func(a, b Run) int {
		return record.CompareRefs(record.Ref{Phone: a.Phone}, record.Ref{Phone: b.Phone})
	})
	return out
}

// Fork is a place where a phone was set back, or its store copied, and other
// records were written under numbers that were given already.
type Fork struct {
	Phone record.PhoneID
	After uint32 // the last number that all sides share, 0 for none
	Sides []Side // two or more
}

// Side is what was written on one side of a Fork.
type Side struct {
	ID      record.PhoneID // of the run it begins with
	Records int            // records on it, those behind further partings included
}

// Forks lists where the logs of phones part, by phone and number.
func (s *State) Forks() []Fork {
	if !s.forks {
		return nil
	}
	var out []Fork
	for i := range s.logs {
		l := &s.logs[i]
		if !l.parts {
			continue
		}
		f := Fork{Phone: s.logs[l.root].id, After: l.last()}
		for k := range s.logs {
			if s.logs[k].parent != int32(i) {
				continue
			}
			side := Side{ID: s.logs[k].id}
			for n := range s.logs {
				if s.follows(int32(n), int32(k)) {
					side.Records += len(s.logs[n].records)
				}
			}
			f.Sides = append(f.Sides, side)
		}
		out = append(out, f)
	}
	sorting.Stable(out, func(a, b Fork) int {
		return record.CompareRefs(record.Ref{Phone: a.Phone, Seq: a.After}, record.Ref{Phone: b.Phone, Seq: b.After})
	})
	return out
}
