package app

import (
	"encoding/hex"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"keelcard/engine"
	"keelcard/engine/clock"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/sorting"
	"keelcard/engine/tree"
	"keelcard/web/words"
)

// Head is what the phone keeps about a contest beside its records.
type Head struct {
	ID     string      `json:"id"`
	Name   string      `json:"name"`
	Opened int64       `json:"opened"` // unix seconds when it was last opened
	Phones []PhoneHead `json:"phones"` // every phone that wrote in it, by phone
	Given  []Given     `json:"given,omitempty"`
}

// PhoneHead is what is known of one phone's log.
type PhoneHead struct {
	Phone  record.PhoneID `json:"phone"`
	Public []byte         `json:"public"`
	Count  uint32         `json:"count"`          // records signed by Sig
	Sig    []byte         `json:"sig,omitempty"`  // of others' logs, as they handed them over
	Path   []string       `json:"path,omitempty"` // where its logs part, the segments of this one, hexadecimal
}

// Given is one handing over by this phone.
type Given struct {
	When int64  `json:"when"` // unix seconds
	Own  uint32 `json:"own"`  // own records in it
}

// Open is the contest that is open.
type Open struct {
	Head     Head
	Set      record.Set
	Contest  *contest.Contest
	clock    clock.Stamp
	opener   merge.Opener     // of sealed values, nil when this phone can open none
	sealer   sealer           // of official answers, nil when this phone has no secret
	opened   string           // the names of the secrets that opener has
	welcomed []contest.Member // phones that were given a role when records were taken in
	scored   *Scored          // results of the records as they stand; nil when they have to be computed
}

// A sealer seals the value of a record that will stand at ref.
type sealer func(ref record.Ref, about record.Subject, value string) (string, error)

// Own gives this phone's log, nil before its first record.
func (o *Open) Own(phone record.PhoneID) *record.Log {
	i, ok := slices.BinarySearchFunc(o.Set.Logs, phone, func(l record.Log, id record.PhoneID) int { return comparePhones(l.Phone, id) })
	if !ok {
		return nil
	}
	return &o.Set.Logs[i]
}

func comparePhones(a, b record.PhoneID) int { return slices.Compare(a[:], b[:]) }

func itoa[T ~int | ~uint32 | ~int64](n T) string { return strconv.FormatInt(int64(n), 10) }

// RecordKey is the key of a record in the store.
func RecordKey(contest string, ref record.Ref) string {
	return fmt.Sprintf("%s/%s/%08d", contest, hex.EncodeToString(ref.Phone[:]), ref.Seq)
}

// openContest asks for the records of a contest of this phone.
func (s *State) openContest(id string) []Effect {
	s.Open = nil
	if !s.has(id) {
		s.Notice = Notice{Tone: "caution", Text: words.T("core.no-contest"), Fix: words.T("core.no-contest-fix")}
		s.Page = Page{Name: "home"}
		return []Effect{Route{Hash: s.Page.Hash()}}
	}
	return []Effect{Load{Tag: "drafts/" + id, Bucket: BucketDraft, Prefix: id + "/"}, Load{Tag: "contest/" + id, Bucket: BucketRecord, Prefix: id + "/"}}
}

// loaded takes in the records of the contest that was asked for.
func loaded(s *State, m Msg) []Effect {
	what, id, _ := strings.Cut(m.Arg(0), "/")
	switch what {
	case "drafts":
		s.Keying.restore(id, m.Found)
		return s.keyingRestored(m)
	case "take-in":
		s.takeInLoaded(id, m.Found)
		return nil
	case "forget":
		return forgetContest(s, Msg{Args: []string{id}, Found: m.Found, Now: m.Now})
	case "forget-drafts":
		return []Effect{s.saveRemovals(id, removals(BucketDraft, m.Found))}
	}
	if Handles("loaded." + what) {
		return s.run("loaded."+what, m)
	}
	i := slices.IndexFunc(s.Contests, func(h Head) bool { return h.ID == id })
	if what != "contest" || i < 0 || s.Page.Contest != id {
		return nil
	}
	open, err := readContest(s.Contests[i], m.Found)
	if err != nil {
		return s.refuse(err)
	}
	open.Head.Opened = m.Now
	s.show(open)
	effects := append([]Effect{s.save(headOp(open.Head))}, s.unsealed(m)...)
	return append(effects, s.enter(m)...)
}

// show makes a contest the open one.
func (s *State) show(open *Open) {
	s.Open = open
	s.setHead(open.Head)
}

func (s *State) setHead(h Head) {
	i := slices.IndexFunc(s.Contests, func(x Head) bool { return x.ID == h.ID })
	if i < 0 {
		s.Contests = append(s.Contests, h)
	} else {
		s.Contests[i] = h
	}
	s.sortContests()
}

func headOp(h Head) Op {
	return Op{BucketContest, h.ID, tree.Write(&h)}
}

// fold reads the whole set anew.
func (o *Open) fold() {
	state := merge.Fold(o.Set)
	if o.opener != nil {
		state.Open(o.opener)
	}
	o.Contest = contest.Read(o.Set.Contest, state)
	o.scored = nil
	for _, l := range o.Set.Logs {
		for _, r := range l.Records {
			if clock.Compare(r.Stamp, o.clock) > 0 {
				o.clock = r.Stamp
			}
		}
	}
	if name := o.Contest.Settings.Name; name != "" {
		o.Head.Name = name
	}
}

// Entry of a record that is to be written.
type written struct {
	Subject record.Subject
	Value   string
	Again   bool
	Over    []record.Ref // what it replaces when that is not all that stands
	Beside  bool         // it replaces only what the same person wrote
	For     string       // whose it was, when it is taken over from a phone that is shut out
}

// write puts records down in this phone's log, as one piece: all are kept or
// none. Each replaces what stands for its subject now, unless it is a second
// keying or says itself what it replaces. Values that stand already are not written again.
func (s *State) write(m Msg, role string, entries ...written) []Effect {
	ops, err := s.append(m, role, entries...)
	if err != nil {
		return s.refuse(err)
	}
	if len(ops) == 0 {
		return nil
	}
	return []Effect{s.save(ops...)}
}

// append is write without the saving: it gives the ops that keep the records.
// On an error nothing was written.
func (s *State) append(m Msg, role string, entries ...written) ([]Op, error) {
	o := s.Open
	switch {
	case s.ReadOnly:
		return nil, engine.New("app.read-only", "", words.T("core.read-only"), words.T("core.read-only-fix"))
	case o == nil || s.public == nil:
		return nil, engine.New("app.no-contest", "", words.T("core.no-contest"), words.T("core.no-contest-fix"))
	case s.Phone.Initials == "":
		return nil, engine.New("app.no-initials", "", words.T("core.no-initials"), words.T("core.no-initials-fix"))
	}
	who := role + "/" + s.Phone.Initials
	for _, e := range entries {
		if s.ShutOut() && !ofItself(e.Subject.Kind) {
			return nil, engine.New("app.shut-out", "", words.T("core.shut-out"), words.T("core.shut-out-fix"))
		}
		r := record.Record{Phone: s.Phone.ID, Seq: 1, Who: e.by(who), Subject: e.Subject, Value: e.Value, Again: e.Again}
		if err := r.Validate(); err != nil {
			return nil, err
		}
		if err := o.mayAnswer(e); err != nil {
			return nil, err
		}
	}
	var ops []Op
	log, first := s.ownLog()
	named := o.Contest.Settings.Name
	for _, e := range entries {
		cur := o.Contest.State().Current(e.Subject)
		if e.Beside {
			cur = o.by(cur, who)
		}
		if !e.Again && e.For == "" && stands(cur, e.Value) {
			continue
		}
		o.clock = clock.Next(o.clock, m.Now)
		r := record.Record{
			Phone: s.Phone.ID, Seq: uint32(len(log.Records)) + 1, Stamp: o.clock,
			Who: e.by(who), Subject: e.Subject, Value: e.Value, Again: e.Again,
		}
		switch {
		case e.Over != nil:
			r.Replaces = e.Over
		case !e.Again:
			r.Replaces = cur.Replaces()
		}
		if o.seals(e) {
			var err error
			if r.Value, err = o.sealer(r.Ref(), r.Subject, r.Value); err != nil {
				return nil, err
			}
			r.Flags = record.Sealed
		}
		if err := log.Append(r); err != nil {
			return nil, err
		}
		if err := o.Contest.Append(r); err != nil {
			return nil, err
		}
		o.scored = nil
		ops = append(ops, Op{BucketRecord, RecordKey(o.Head.ID, r.Ref()), r.Encode(nil)})
	}
	if name := o.Contest.Settings.Name; first || name != named {
		o.Head.Name = or(name, o.Head.Name)
		s.setHead(o.Head)
		ops = append(ops, headOp(o.Head))
	}
	return ops, nil
}

// seals tells whether an entry is sealed. A withdrawal tells nothing.
func (o *Open) seals(e written) bool {
	return contest.Answers(e.Subject.Kind) && e.Value != "" && o.Contest.Seals()
}

// mayAnswer says why this phone cannot write an official answer.
func (o *Open) mayAnswer(e written) error {
	const most = record.MaxValue - 1<<10 // which leaves room for the seal
	switch {
	case record.Veiled(e.Value), o.seals(e) && o.sealer == nil:
		return sealedHere()
	case o.seals(e) && len(e.Value) > most:
		return engine.New("app.long", "", words.T("core.seal-long"), words.T("core.seal-long-fix"))
	}
	return nil
}

// sealedHere says that official answers are not for this phone.
func sealedHere() error {
	return engine.New("app.sealed", "", words.T("core.sealed"), words.T("core.sealed-fix"))
}

// ofItself tells whether a kind of record is what a phone says of itself. Nobody
// takes that back, and it is written even by a phone that is shut out.
func ofItself(kind record.Kind) bool {
	switch kind {
	case record.KindPhone, record.KindRenewal, record.KindJoin, record.KindClaim:
		return true
	}
	return false
}

// by is who an entry is written by.
func (e written) by(who string) string {
	if e.For == "" {
		return who
	}
	who += merge.TakenOver + e.For
	for len(who) > record.MaxWho || !utf8.ValidString(who) {
		who = who[:len(who)-1]
	}
	return who
}

// ownLog gives this phone's log in the open contest, begun if it has none, and
// whether it was begun now.
func (s *State) ownLog() (log *record.Log, begun bool) {
	o := s.Open
	if log := o.Own(s.Phone.ID); log != nil {
		return log, false
	}
	o.Set.Logs = append(o.Set.Logs, record.NewLog(o.Set.Contest, s.public))
	sorting.Stable(o.Set.Logs, func(a, b record.Log) int { return comparePhones(a.Phone, b.Phone) })
	o.Head.Phones = append(o.Head.Phones, PhoneHead{Phone: s.Phone.ID, Public: s.public})
	sorting.Stable(o.Head.Phones, func(a, b PhoneHead) int { return comparePhones(a.Phone, b.Phone) })
	return o.Own(s.Phone.ID), true
}

// by is the part of what stands that one person wrote.
func (o *Open) by(all merge.Current, who string) merge.Current {
	cur := merge.Current{Subject: all.Subject}
	for _, ref := range all.Refs {
		if r, ok := o.Contest.State().Record(ref); ok && r.Who == who {
			cur.Refs = append(cur.Refs, ref)
			if !slices.Contains(cur.Values, r.Value) {
				cur.Values = append(cur.Values, r.Value)
			}
		}
	}
	switch {
	case len(cur.Values) > 1:
		cur.Status = merge.InQuestion
	case len(cur.Values) == 1 && cur.Values[0] != "":
		cur.Status = merge.Single
	}
	return cur
}

// stands tells whether a value is what holds already.
func stands(cur merge.Current, value string) bool {
	switch cur.Status {
	case merge.InQuestion:
		return false
	case merge.Absent:
		return value == ""
	}
	return cur.Values[0] == value
}

func or(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

// undo takes back the last thing this phone wrote that is not taken back yet.
func undo(s *State, m Msg) []Effect {
	r, before, ok := s.UndoTarget()
	if !ok {
		s.Notice = Notice{Tone: "info", Text: words.T("core.nothing-to-undo")}
		return nil
	}
	role, _, _ := strings.Cut(r.Who, "/")
	back := written{Subject: r.Subject, Value: before}
	if r.Subject.Kind == contest.KindSeen {
		back.Over = s.undoable(r).Refs
	}
	effects := s.write(m, role, back)
	if len(effects) > 0 {
		s.Notice = Notice{Tone: "info", Text: words.T("core.undone", s.SubjectName(r.Subject))}
	}
	return effects
}

// UndoTarget finds the record that undo takes back and the value that stood
// before it. It is read from the log, so it outlives a restart. Nothing is
// offered when another hand has written about the subject since.
func (s *State) UndoTarget() (record.Record, string, bool) {
	if s.Open == nil {
		return record.Record{}, "", false
	}
	log := s.Open.Own(s.Phone.ID)
	if log == nil {
		return record.Record{}, "", false
	}
	u := undone{s, log, map[uint32]uint32{}}
	taken := map[uint32]bool{}
	for i := len(log.Records) - 1; i >= 0; i-- {
		r := s.read(log.Records[i])
		if taken[r.Seq] || ofItself(r.Subject.Kind) {
			continue
		}
		if prev := u.by(r); prev > 0 {
			taken[prev] = true
			continue
		}
		cur := s.undoable(r)
		if len(cur.Refs) != 1 || cur.Refs[0].Phone != s.Phone.ID {
			return record.Record{}, "", false
		}
		before, ok := s.valueBefore(r)
		return r, before, ok
	}
	return record.Record{}, "", false
}

// read gives a record of this phone as it is read here.
func (s *State) read(r record.Record) record.Record {
	if shown, ok := s.Open.Contest.State().Record(r.Ref()); ok && r.Sealed() {
		return shown
	}
	return r
}

// undoable is what stands where a record was written. Of what officials saw it
// is the part of the one who wrote: others' notes stand beside it.
func (s *State) undoable(r record.Record) merge.Current {
	cur := s.Open.Contest.State().Current(r.Subject)
	if r.Subject.Kind == contest.KindSeen {
		return s.Open.by(cur, r.Who)
	}
	return cur
}

// undone knows which records of a phone's log took back which.
type undone struct {
	s     *State
	log   *record.Log
	known map[uint32]uint32 // by the number of a record, that of the one it took back; 0 for none
}

// by gives the number of the record that r took back: the one whose value
// stood, when r put back what stood before that. 0 when r is no undo.
func (u undone) by(r record.Record) uint32 {
	if len(r.Replaces) != 1 || r.Replaces[0].Phone != r.Phone {
		return 0
	}
	if prev, ok := u.known[r.Seq]; ok {
		return prev
	}
	u.known[r.Seq] = 0
	if prev, ok := u.standing(u.s.read(u.log.Records[r.Replaces[0].Seq-1])); ok {
		if before, ok := u.s.valueBefore(prev); ok && before == r.Value {
			u.known[r.Seq] = prev.Seq
		}
	}
	return u.known[r.Seq]
}

// standing follows undos back to the record whose value stands after r. It is
// not ok when none of this phone's does.
func (u undone) standing(r record.Record) (record.Record, bool) {
	for {
		prev := u.by(r)
		if prev == 0 {
			return r, true
		}
		taken := u.s.read(u.log.Records[prev-1])
		if len(taken.Replaces) != 1 || taken.Replaces[0].Phone != r.Phone {
			return record.Record{}, false
		}
		r = u.s.read(u.log.Records[taken.Replaces[0].Seq-1])
	}
}

// valueBefore gives the value that r replaced: "" for none, and not ok when it
// replaced several.
func (s *State) valueBefore(r record.Record) (string, bool) {
	value, known := "", false
	state := s.Open.Contest.State()
	for _, ref := range r.Replaces {
		ref, _ = state.Named(r.Ref(), ref)
		old, ok := state.Record(ref)
		if ok && state.Apart(ref) { // taken over
			continue
		}
		if !ok || known && old.Value != value {
			return "", false
		}
		value, known = old.Value, true
	}
	return value, true
}

// SubjectName says what a record of the open contest is about.
func (s *State) SubjectName(sub record.Subject) string {
	if s.Open == nil {
		return subjectName(nil, sub)
	}
	return subjectName(s.Open.Contest, sub)
}

func subjectName(of *contest.Contest, sub record.Subject) string {
	className := func() string {
		if of != nil {
			if c, ok := of.Class(sub.A); ok {
				return c.Name
			}
		}
		return words.T("core.class", sub.A)
	}
	switch sub.Kind {
	case record.KindContest:
		return words.T("core.settings")
	case record.KindClass:
		return className()
	case record.KindPerson:
		return words.T("core.person", sub.A)
	case record.KindTeam:
		return words.T("core.team", sub.A)
	case record.KindKey:
		if sub.B == 0 {
			return words.T("core.key", className())
		}
		return words.T("core.key-item", className(), sub.B)
	case contest.KindSeen:
		if sub.B == 0 {
			return words.T("hens.notes-of-class", className())
		}
		return words.T("core.seen", className(), sub.B)
	case record.KindCard:
		return words.T("core.card", sub.B, className())
	case record.KindLock:
		return words.T("core.lock", className())
	case record.KindRuling:
		if sub.B == 0 {
			return words.T("core.ruling-class", className())
		}
		return words.T("core.ruling", className(), sub.B)
	case record.KindBook:
		return words.T("core.book", sub.A)
	case record.KindRole:
		return words.T("core.role", record.PhoneOfSubject(sub).String()[:4])
	case record.KindRelease:
		if sub.A > 0 {
			return words.T("core.secret")
		}
		return words.T("core.release")
	case record.KindPhone, record.KindRenewal:
		return words.T("core.phone", record.PhoneOfSubject(sub).String()[:4])
	case record.KindJoin:
		return words.T("core.join", record.PhoneOfSubject(sub).String()[:4])
	case record.KindClaim:
		return words.T("core.claim", record.PhoneOfSubject(sub).String()[:4])
	}
	return words.T("core.other")
}

// forgetContest takes a contest off this phone: it looks up the records, and
// once they are found removes them together.
func forgetContest(s *State, m Msg) []Effect {
	id := m.Arg(0)
	i := slices.IndexFunc(s.Contests, func(h Head) bool { return h.ID == id })
	if i < 0 || s.ReadOnly {
		return nil
	}
	ops := []Op{{Bucket: BucketContest, Key: id}}
	if m.Do == "contest.forget" {
		return []Effect{
			Load{Tag: "forget/" + id, Bucket: BucketRecord, Prefix: id + "/"},
			Load{Tag: "forget-drafts/" + id, Bucket: BucketDraft, Prefix: id + "/"},
		}
	}
	ops = append(ops, removals(BucketRecord, m.Found)...)
	s.Contests = slices.Delete(s.Contests, i, i+1)
	if s.Open != nil && s.Open.Head.ID == id {
		s.Open = nil
	}
	s.Page = Page{Name: "home"}
	return []Effect{s.saveRemovals(id, ops), Room{}, Route{Hash: s.Page.Hash()}}
}

// removals takes stored values away.
func removals(bucket string, found []Entry) []Op {
	ops := make([]Op, len(found))
	for i, e := range found {
		ops[i] = Op{Bucket: bucket, Key: e.Key}
	}
	return ops
}
