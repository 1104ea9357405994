package app

import (
	"slices"
	"strings"

	"keelcard/engine"
	"keelcard/engine/codec"
	"keelcard/engine/contest"
	"keelcard/engine/demo"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/sorting"
	"keelcard/engine/tree"
	"keelcard/web/words"
)

// Handover is the handing over of records to other phones.
type Handover struct {
	Size int // bytes of the last bundle, as a file
}

// TakeIn is what arrived and is looked at before it is taken in.
type TakeIn struct {
	Files  []string // names of what arrived
	Faults []Notice // why some of them cannot be taken in
	Waits  bool     // for the contest on this phone to be read
	Ready  *Coming  // what taking it in would change
	set    *record.Set
	folder *Open            // the contest as this phone has it
	after  *contest.Contest // as it would be
}

// Coming is what taking a bundle in would change.
type Coming struct {
	Contest   string // its name
	Known     bool   // it is on this phone already
	From      []Hand // whose records are new here
	Cards     int    // new records about cards
	Keys      int    // about official answers
	Others    int    // about anything else
	Behind    int    // records here that the other phone has not
	Confirmed []record.Subject
	Questions []record.Subject // that would be in question and are not now
	Settled   []record.Subject // in question now, and not any more
}

// Hand is one writer and how much of theirs is new.
type Hand struct {
	Phone   record.PhoneID
	Who     string
	Records int
}

// Empty tells that there is nothing new in it.
func (c Coming) Empty() bool { return len(c.From) == 0 }

func handoverHandlers() handlers {
	return handlers{
		"hand-over.file":  func(s *State, m Msg) []Effect { return handOver(s, m, "file") },
		"hand-over.save":  func(s *State, m Msg) []Effect { return handOver(s, m, "save") },
		"hand-over.text":  func(s *State, m Msg) []Effect { return handOver(s, m, "text") },
		"enter.take-in":   func(s *State, m Msg) []Effect { s.TakeIn = TakeIn{}; return nil },
		"take-in.pick":    takeInPick,
		"take-in.paste":   takeInPaste,
		"take-in.accept":  acceptBundle,
		"demo.open":       openDemo,
		"take-in.dismiss": func(s *State, m Msg) []Effect { s.TakeIn = TakeIn{}; return nil },
		"file.take-in":    func(s *State, m Msg) []Effect { return arrived(s, m, m.Arg(1), m.Bytes) },
		"file.share":      fileShared,
	}
}

// takeInPick asks for files. What was wrong with those before is said no more.
func takeInPick(s *State, m Msg) []Effect {
	s.TakeIn.Faults = nil
	return []Effect{Pick{Tag: "take-in", Multiple: true}}
}

func takeInPaste(s *State, m Msg) []Effect {
	s.TakeIn.Faults = nil
	return arrived(s, m, words.T("take-in.pasted"), []byte(m.Text))
}

// fileShared takes a file that was shared to the app or opened with it.
func fileShared(s *State, m Msg) []Effect {
	effects := s.goTo(m, Page{Name: "take-in"})
	return append(effects, arrived(s, m, m.Arg(1), m.Bytes)...)
}

// Holding is what a phone says of itself when it hands over: who holds it, and
// how many records of each other phone are on it.
type Holding struct {
	Who   string            `json:"who"`
	Holds map[string]uint32 `json:"holds,omitempty"`
}

// holdingSubject is the subject under which a phone says what it holds.
func holdingSubject(p record.PhoneID) record.Subject {
	return record.Subject{Kind: record.KindPhone, A: uint32(p[0])<<24 | uint32(p[1])<<16 | uint32(p[2])<<8 | uint32(p[3]), B: uint32(p[4])<<24 | uint32(p[5])<<16 | uint32(p[6])<<8 | uint32(p[7])}
}

// Holding reads what a phone last said of itself.
func (o *Open) Holding(p record.PhoneID) (Holding, bool) {
	cur := o.Contest.State().Current(holdingSubject(p))
	var h Holding
	if cur.Status == merge.Absent || tree.Read([]byte(cur.Values[len(cur.Values)-1]), &h) != nil {
		return Holding{}, false
	}
	return h, true
}

// bundle signs this phone's log, with what the phone holds as its last record,
// and writes everything it has as a bundle.
func (s *State) bundle(m Msg) ([]byte, []Op, error) {
	o := s.Open
	holds := Holding{Who: s.Phone.Initials, Holds: map[string]uint32{}}
	for _, l := range o.Set.Logs {
		if l.Phone != s.Phone.ID {
			holds.Holds[l.Phone.String()] = uint32(len(l.Records))
		}
	}
	ops, err := s.append(m, s.lastRole(), written{Subject: holdingSubject(s.Phone.ID), Value: string(tree.Write(&holds))})
	if err != nil {
		return nil, nil, err
	}
	if own := o.Own(s.Phone.ID); own != nil && len(own.Sig) == 0 {
		private, err := s.signingKey()
		if err != nil {
			return nil, nil, err
		}
		if err := record.Sign(o.Set.Contest, own, private); err != nil {
			return nil, nil, err
		}
	}
	data, err := codec.EncodeBundle(o.Set, codec.Options{})
	return data, ops, err
}

// lastRole is the part in which this phone wrote last, "owner" when it has
// written nothing.
func (s *State) lastRole() string {
	if own := s.Open.Own(s.Phone.ID); own != nil && len(own.Records) > 0 {
		role, _, _ := strings.Cut(own.Records[len(own.Records)-1].Who, "/")
		return role
	}
	return "owner"
}

// mostText is the longest text form that goes as a message.
const mostText = 8000

func handOver(s *State, m Msg, how string) []Effect {
	if s.Open == nil {
		return nil
	}
	data, ops, err := s.bundle(m)
	if err != nil {
		return s.refuse(err)
	}
	text := codec.EncodeText(data)
	s.Handover.Size = len(text)
	effects := []Effect{s.save(ops...)}
	if how == "text" {
		if len(text) > mostText {
			return append(effects, s.refuse(engine.New("app.text-long", "", words.T("hand-over.text-long", len(text)), words.T("hand-over.text-long-fix")))...)
		}
		return append(effects, ShareText{Tag: "bundle", Title: s.Open.Head.Name, Text: text})
	}
	return append(effects, Offer{Tag: "bundle", Name: fileName(s.Open.Head.Name, s.Phone.Initials) + ".keelcard.txt", Type: "text/plain", Bytes: []byte(text), Save: how == "save"})
}

// fileName makes a file name of what people call a thing.
func fileName(parts ...string) string {
	var b strings.Builder
	for _, p := range parts {
		for _, r := range strings.ToLower(p) {
			switch {
			case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
				b.WriteRune(r)
			case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
				b.WriteByte('-')
			}
		}
		if b.Len() > 0 && !strings.HasSuffix(b.String(), "-") {
			b.WriteByte('-')
		}
	}
	name := strings.Trim(b.String(), "-")
	if name == "" {
		return "contest"
	}
	return name[:min(len(name), 60)]
}

// handedOver notes that a bundle left this phone.
func (s *State) handedOver(m Msg) []Effect {
	if s.Open == nil {
		return nil
	}
	g := Given{When: m.Now}
	if own := s.Open.Own(s.Phone.ID); own != nil {
		g.Own = uint32(len(own.Records))
	}
	given := append(s.Open.Head.Given, g)
	s.Open.Head.Given = given[max(0, len(given)-20):]
	s.setHead(s.Open.Head)
	return []Effect{s.save(headOp(s.Open.Head))}
}

// arrived looks at a file or text. Nothing is changed.
func arrived(s *State, m Msg, name string, data []byte) []Effect {
	if len(strings.TrimSpace(string(data[:min(len(data), 100)]))) == 0 {
		return s.refuse(engine.New("take-in.empty", name, words.T("take-in.empty"), words.T("take-in.empty-fix")))
	}
	set, err := codec.DecodeBundle(data)
	if err == nil && s.TakeIn.set != nil {
		var joined record.Set
		if joined, _, err = merge.Join(*s.TakeIn.set, set); err == nil {
			set = joined
		}
	}
	if err != nil {
		fault := noticeOf(err)
		fault.Text = name + ": " + fault.Text
		s.TakeIn.Faults = append(s.TakeIn.Faults, fault)
		return nil
	}
	s.TakeIn = TakeIn{Files: append(s.TakeIn.Files, name), Faults: s.TakeIn.Faults, set: &set}
	id := set.Contest.String()
	switch {
	case s.Open != nil && s.Open.Head.ID == id:
		s.TakeIn.folder = s.Open
	case slices.ContainsFunc(s.Contests, func(h Head) bool { return h.ID == id }):
		s.TakeIn.Waits = true
		return []Effect{Load{Tag: "take-in/" + id, Bucket: BucketRecord, Prefix: id + "/"}}
	}
	s.compare()
	return nil
}

// takeInLoaded goes on with looking at a file once the contest it belongs to
// is read.
func (s *State) takeInLoaded(id string, entries []Entry) {
	i := slices.IndexFunc(s.Contests, func(h Head) bool { return h.ID == id })
	if i < 0 || !s.TakeIn.Waits || s.TakeIn.set == nil {
		return
	}
	s.TakeIn.Waits = false
	open, err := readContest(s.Contests[i], entries)
	if err != nil {
		s.TakeIn = TakeIn{Faults: append(s.TakeIn.Faults, noticeOf(err))}
		return
	}
	s.TakeIn.folder = open
	s.compare()
}

// compare finds what taking the bundle in would change.
func (s *State) compare() {
	t := &s.TakeIn
	here := t.folder
	if here == nil {
		here = &Open{Set: record.Set{Contest: t.set.Contest}}
		here.fold()
	}
	joined, report, err := merge.Join(here.Set, *t.set)
	if err != nil {
		s.TakeIn = TakeIn{Faults: append(t.Faults, noticeOf(err))}
		return
	}
	after := contest.Read(joined.Contest, merge.Fold(joined))
	t.after = after
	before := here.Contest.State()
	c := &Coming{Contest: after.Settings.Name, Known: t.folder != nil, Behind: len(report.Behind)}
	hands := map[record.PhoneID]int{}
	seen := map[record.Subject]bool{}
	for _, ref := range report.New {
		r, _ := after.State().Record(ref)
		if _, ok := hands[ref.Phone]; !ok {
			hands[ref.Phone] = len(c.From)
			c.From = append(c.From, Hand{Phone: ref.Phone})
		}
		h := &c.From[hands[ref.Phone]]
		h.Records++
		h.Who = r.Who
		switch r.Subject.Kind {
		case record.KindCard:
			c.Cards++
		case record.KindKey:
			c.Keys++
		default:
			c.Others++
		}
		if seen[r.Subject] || r.Subject.Kind == contest.KindSeen || r.Subject.Kind == record.KindPhone {
			continue
		}
		seen[r.Subject] = true
		was, is := before.Current(r.Subject).Status, after.State().Current(r.Subject).Status
		switch {
		case is == merge.InQuestion && was != merge.InQuestion:
			c.Questions = append(c.Questions, r.Subject)
		case was == merge.InQuestion && is != merge.InQuestion:
			c.Settled = append(c.Settled, r.Subject)
		case is == merge.Confirmed && was == merge.Single:
			c.Confirmed = append(c.Confirmed, r.Subject)
		}
	}
	t.Ready = c
}

// acceptBundle takes in what was looked at, all of it or nothing.
func acceptBundle(s *State, m Msg) []Effect {
	t := s.TakeIn
	if t.Ready == nil || t.set == nil {
		return nil
	}
	if s.ReadOnly {
		return s.refuse(engine.New("app.read-only", "", words.T("core.read-only"), words.T("core.read-only-fix")))
	}
	open := t.folder
	if open == nil {
		open = &Open{Head: Head{ID: t.set.Contest.String()}, Set: record.Set{Contest: t.set.Contest}}
	}
	joined, report, err := merge.Join(open.Set, *t.set)
	if err != nil {
		return s.refuse(err)
	}
	open = &Open{Head: open.Head, Set: joined}
	open.fold()
	open.Head.Opened = m.Now
	if open.Head.Name == "" {
		open.Head.Name = words.T("core.no-name")
	}
	open.Head.Phones = phoneHeads(joined)
	ops := []Op{headOp(open.Head)}
	for _, ref := range report.New {
		r, ok := open.Contest.State().Record(ref)
		if !ok {
			return s.refuse(engine.New("take-in.lost", ref.String(), "a record of the file could not be read back", "nothing was changed; ask for the file again"))
		}
		ops = append(ops, Op{BucketRecord, RecordKey(open.Head.ID, ref), r.Encode(nil)})
	}
	s.show(open)
	s.TakeIn = TakeIn{}
	effects := append([]Effect{s.save(ops...)}, s.goTo(m, Page{Name: "contest", Contest: open.Head.ID})...)
	s.Notice = Notice{Tone: "info", Text: words.N("take-in.done", len(report.New))}
	return effects
}

// openDemo makes the demo contest and opens it; where it is on the phone
// already, it is opened with everything done to it since.
func openDemo(s *State, m Msg) []Effect {
	id := demo.ID.String()
	if slices.ContainsFunc(s.Contests, func(h Head) bool { return h.ID == id }) {
		return openPage(s, Msg{Args: []string{Page{Name: "contest", Contest: id}.Hash()}, Now: m.Now})
	}
	set, err := demo.Set()
	if err != nil {
		return s.refuse(err)
	}
	s.TakeIn = TakeIn{set: &set}
	s.compare()
	return acceptBundle(s, m)
}

// phoneHeads keeps the key and signature of every log.
func phoneHeads(set record.Set) []PhoneHead {
	out := make([]PhoneHead, len(set.Logs))
	for i, l := range set.Logs {
		out[i] = PhoneHead{Phone: l.Phone, Public: l.Public, Count: uint32(len(l.Records)), Sig: l.Sig}
	}
	return out
}

// PhoneRow is one phone of the open contest as the page of phones shows it.
type PhoneRow struct {
	Phone   record.PhoneID
	Who     string
	Own     bool
	Records int
	HasOurs int   // of this phone's records, how many it said it holds
	Last    int64 // stamp of its last record
}

// PhoneRows lists the phones that wrote in the open contest, this one first.
func (s *State) PhoneRows() []PhoneRow {
	var out []PhoneRow
	for _, l := range s.Open.Set.Logs {
		row := PhoneRow{Phone: l.Phone, Own: l.Phone == s.Phone.ID, Records: len(l.Records)}
		if n := len(l.Records); n > 0 {
			row.Who, row.Last = l.Records[n-1].Who, l.Records[n-1].Stamp.Wall
		}
		if h, ok := s.Open.Holding(l.Phone); ok {
			row.HasOurs = int(h.Holds[s.Phone.ID.String()])
		}
		out = append(out, row)
	}
	sorting.Stable(out, func(a, b PhoneRow) int {
		switch {
		case a.Own:
			return -1
		case b.Own:
			return 1
		}
		return comparePhones(a.Phone, b.Phone)
	})
	return out
}

// Where says in numbers where the records of the open contest are.
type Where struct {
	Own    int   // records this phone wrote
	Alone  int   // of these, not known to be on any other phone
	Phones int   // other phones known to hold records of this one
	Given  int64 // when this phone last handed over, 0 for never
}

// Where reads where the open contest's records are. What another phone holds
// is known from what it said when it handed over, never guessed.
func (s *State) Where() Where {
	var w Where
	if s.Open == nil {
		return w
	}
	most := 0
	for _, p := range s.PhoneRows() {
		switch {
		case p.Own:
			w.Own = p.Records
		case p.HasOurs > 0:
			w.Phones++
			most = max(most, p.HasOurs)
		}
	}
	w.Alone = max(0, w.Own-most)
	for _, g := range s.Open.Head.Given {
		w.Given = max(w.Given, g.When)
	}
	return w
}

// TakeInContest is the id of the contest that is looked at, "" for none.
func (s *State) TakeInContest() string {
	if s.TakeIn.set == nil {
		return ""
	}
	return s.TakeIn.set.Contest.String()
}

// TakeInName says what a record of the bundle that is looked at is about.
func (s *State) TakeInName(sub record.Subject) string {
	return subjectName(s.TakeIn.after, sub)
}
