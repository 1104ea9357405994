package app

import (
	"slices"
	"strings"

	"keelcard/engine"
	"keelcard/engine/clock"
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
	To   string // the Receiver that is chosen, "" for the first
	Size int    // letters of what goes to it
}

// TakeIn is what arrived and is looked at before it is taken in.
type TakeIn struct {
	Faults []Notice         // why some of what arrived cannot be taken in
	Unfit  []Notice         // what can be taken in only with what was before it
	Waits  bool             // for the contest on this phone to be read
	Ready  *Coming          // what taking it in would change
	Others []Arrival        // what came with it, or beside other files, and is for another page
	Stays  bool             // what is left when one of Others is opened
	Pass   *Pass            // an invitation among what arrived
	Title  string           // of the contest that Pass invites to
	files  []file           // what arrived
	folder *Open            // the contest as this phone has it
	after  *contest.Contest // as it would be
}

// file is a bundle that arrived.
type file struct {
	name string
	set  record.Set
}

// Coming is what taking a bundle in would change.
type Coming struct {
	Contest   string // its name
	Known     bool   // it is on this phone already
	From      []Hand // whose records are new here
	Cards     int    // new records about cards
	Keys      int    // about official answers
	Others    int    // about anything else
	Apart     int    // of all these, those that do not count since their phone is shut out
	Behind    int    // records here that the other phone has not
	Confirmed []record.Subject
	Questions []record.Subject // that would be in question and are not now
	Settled   []record.Subject // in question now, and not any more
	Forks     []merge.Fork     // phones that turn out to have been set back or copied
	Differs   []record.PhoneID // phones of which the other phone has another side, which is not in the file
	SetBack   bool             // this phone is one, or lost records that come back to it
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
	out := handlers{
		"enter.hand-over": func(s *State, m Msg) []Effect { return chooseReceiver(s, Msg{}) },
		"hand-over.to":    chooseReceiver,
		"enter.take-in":   enterTakeIn,
		"take-in.pick":    takeInPick,
		"take-in.paste":   takeInPaste,
		"take-in.accept":  acceptBundle,
		"take-in.lead":    leadOn,
		"demo.open":       openDemo,
		"take-in.dismiss": func(s *State, m Msg) []Effect { s.TakeIn = TakeIn{Others: s.TakeIn.Others}; return nil },
		"file.take-in":    func(s *State, m Msg) []Effect { return arrived(s, m, m.Arg(1), m.Bytes) },
		"file.share":      fileShared,
		"failed.take-in":  fileRefused,
		"failed.share": func(s *State, m Msg) []Effect {
			return append(s.toTakeIn(m), fileRefused(s, m)...)
		},
	}
	for _, way := range Ways() {
		out[way.Do] = func(s *State, m Msg) []Effect { return handOver(s, m, way.Name) }
	}
	return out
}

// enterTakeIn begins anew, but for what was left when another arrival was opened.
func enterTakeIn(s *State, m Msg) []Effect {
	if s.TakeIn.Stays {
		s.TakeIn.Stays = false
		return nil
	}
	s.TakeIn = TakeIn{}
	if s.Page.Arg(0) == "lost" { // says the service worker
		s.TakeIn.Faults = []Notice{{Tone: "bad", Text: words.T("take-in.lost"), Fix: words.T("take-in.lost-fix")}}
	}
	return nil
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

// fileShared takes a file that was shared to the app or opened with it. Of
// several the later ones find the page open.
func fileShared(s *State, m Msg) []Effect {
	return append(s.toTakeIn(m), arrived(s, m, or(m.Arg(1), words.T("take-in.shared")), m.Bytes)...)
}

func (s *State) toTakeIn(m Msg) []Effect {
	if s.Page.Name == "take-in" {
		return nil
	}
	return s.goTo(m, Page{Name: "take-in"})
}

// fileRefused says beside what else came why a file could not be had.
func fileRefused(s *State, m Msg) []Effect {
	s.TakeIn.Faults = append(s.TakeIn.Faults, Notice{Tone: "bad", Text: m.Text, Fix: m.Arg(0)})
	return nil
}

// Holding is what a phone says of itself when it hands over: who holds it, and
// of each other phone, or segment where its logs part, the number of the last
// record on it and the beginning of the head after that.
type Holding struct {
	Who   string            `json:"who"`
	Holds map[string]uint32 `json:"holds,omitempty"`
	Heads map[string]uint32 `json:"heads,omitempty"`
	Box   []byte            `json:"box,omitempty"` // public key to which is sealed what only this phone may read
}

// holdingSubject is the subject under which a phone says what it holds.
func holdingSubject(p record.PhoneID) record.Subject { return p.Subject(record.KindPhone) }

// Holding reads what a phone last said of itself.
func (o *Open) Holding(p record.PhoneID) (Holding, bool) {
	h, ok := o.heard(p)
	return h.Holding, ok
}

// heard is what a phone said of itself, and the record in which it did.
type heard struct {
	Holding
	record.Record
}

func (o *Open) heard(p record.PhoneID) (h heard, ok bool) {
	cur := o.Contest.State().Current(holdingSubject(p))
	if cur.Status == merge.Absent {
		return heard{}, false
	}
	h.Record, _ = o.Contest.State().Record(cur.Refs[len(cur.Refs)-1])
	return h, tree.Read([]byte(h.Value), &h.Holding) == nil
}

// phones lists the phones of some runs, each once.
func phones(runs []merge.Run) (out []record.PhoneID) {
	for i, run := range runs {
		if i == 0 || runs[i-1].Phone != run.Phone {
			out = append(out, run.Phone)
		}
	}
	return out
}

// bundle signs this phone's log, with what the phone holds as its last record,
// and writes what the chosen receiver lacks as a bundle.
func (s *State) bundle(m Msg) ([]byte, []Op, error) {
	o := s.Open
	to := s.receiver()
	holds := Holding{Who: s.Phone.Initials, Holds: map[string]uint32{}, Heads: map[string]uint32{}, Box: s.box()}
	for id, k := range o.Set.Known() {
		if id != s.Phone.ID {
			holds.Holds[id.String()], holds.Heads[id.String()] = k.Last, k.Head
		}
	}
	entries, err := s.goesOn()
	if err != nil {
		return nil, nil, err
	}
	ops, err := s.append(m, s.lastRole(), append(entries, written{Subject: holdingSubject(s.Phone.ID), Value: string(tree.Write(&holds))})...)
	if err != nil {
		return nil, nil, err
	}
	if err := s.signLogs(); err != nil {
		return nil, nil, err
	}
	data, err := codec.EncodeBundle(o.Set.Since(to.known), codec.Options{})
	if err == nil {
		data, err = s.wrap(data)
	}
	return data, ops, err
}

// lastRole is the part in which this phone wrote last. When it has written
// nothing it is its role, "owner" without one.
func (s *State) lastRole() string {
	if own := s.Open.Own(s.Phone.ID); own != nil && len(own.Records) > 0 {
		role, _, _ := strings.Cut(own.Records[len(own.Records)-1].Who, "/")
		return role
	}
	return or(s.Role(), contest.Owner)
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

// arrived looks at a file or text. Nothing is changed. What another page is for
// leads there at once when it came alone; else the page offers to.
func arrived(s *State, m Msg, name string, data []byte) []Effect {
	kind, content := recognise(data)
	a := Arrival{Name: name, Kind: kind.name, data: content}
	t := &s.TakeIn
	switch {
	case kind.look != nil:
		return kind.look(s, a)
	case kind.lead == nil:
		t.Faults = append(t.Faults, blame(name, engine.New("take-in.strange", "", words.T("take-in.is-"+kind.name), words.T("take-in.fix-"+kind.name))))
		return nil
	case m.Arg(2) == Among || t.Ready != nil || t.Waits || len(t.Others) > 0:
		t.Others = append(t.Others, a)
		return nil
	}
	return kind.lead(s, m, a)
}

// Among is the third argument of a file that came with others.
const Among = "among"

// leadOn opens the page for one of several arrivals. The rest stays here.
func leadOn(s *State, m Msg) []Effect {
	t := &s.TakeIn
	i := number(m.Arg(0))
	if i < 0 || i >= len(t.Others) {
		return nil
	}
	a := t.Others[i]
	t.Others = slices.Delete(slices.Clone(t.Others), i, i+1)
	t.Stays = t.Ready != nil || t.Waits || len(t.Others) > 0
	kinds := comingKinds()
	return kinds[slices.IndexFunc(kinds, func(k comingKind) bool { return k.name == a.Kind })].lead(s, m, a)
}

// lookAtBundle looks at what records a bundle brings.
func lookAtBundle(s *State, a Arrival) []Effect {
	set, err := codec.DecodeBundle(a.data)
	t := &s.TakeIn
	if t.Ready == nil && !t.Waits {
		t.files = slices.DeleteFunc(t.files, func(f file) bool { return f.set.Contest != set.Contest })
	}
	if err == nil && len(t.files) > 0 && set.Contest != t.files[0].set.Contest {
		_, _, err = merge.Join(t.files[0].set, set) // which says why not
	}
	if err != nil {
		t.Faults = append(t.Faults, blame(a.Name, err))
		return nil
	}
	*t = TakeIn{Faults: t.Faults, Others: t.Others, Pass: t.Pass, Title: t.Title, files: append(t.files, file{a.Name, set})}
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

// blame says why a file cannot be taken in.
func blame(name string, err error) Notice {
	fault := noticeOf(err)
	fault.Text = name + ": " + fault.Text
	return fault
}

// takeInLoaded goes on with looking at a file once the contest it belongs to
// is read.
func (s *State) takeInLoaded(id string, entries []Entry) {
	i := slices.IndexFunc(s.Contests, func(h Head) bool { return h.ID == id })
	if i < 0 || !s.TakeIn.Waits || len(s.TakeIn.files) == 0 {
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

// here is the contest as this phone has it, empty when it is new.
func (t *TakeIn) here() *Open {
	if t.folder != nil {
		return t.folder
	}
	id := t.files[0].set.Contest
	open := &Open{Head: Head{ID: id.String()}, Set: record.Set{Contest: id}}
	open.fold()
	return open
}

// join brings what arrived together with what is here, in an order in which it
// can be: a file with only the latest records waits for one with those before.
// What fits nowhere is left out, and told as Unfit.
func (t *TakeIn) join(here record.Set) (record.Set, merge.Report, error) {
	joined, left := here, t.files
	for progress := true; progress; {
		progress, t.Unfit = false, nil
		var wait []file
		for _, f := range left {
			next, _, err := merge.Join(joined, f.set)
			if err != nil {
				wait = append(wait, f)
				t.Unfit = append(t.Unfit, blame(f.name, err))
				continue
			}
			joined, progress = next, true
		}
		progress, left = progress && len(wait) > 0, wait
	}
	_, report, err := merge.Join(here, joined)
	return joined, report, err
}

// compare finds what taking the bundle in would change.
func (s *State) compare() {
	t := &s.TakeIn
	here := t.here()
	joined, report, err := t.join(here.Set)
	if err != nil || len(t.Unfit) == len(t.files) {
		t.Ready = nil
		return
	}
	open := &Open{Set: joined}
	open.fold()
	after := open.Contest
	t.after = after
	before := here.Contest.State()
	c := &Coming{Contest: after.Settings.Name, Known: t.folder != nil, SetBack: s.setBack(report, open), Forks: newForks(before, after.State())}
	if from, ok := t.sender(); ok {
		c.Behind = from.behind(after.State().Runs())
		c.Differs = joined.Differs(from.known())
	}
	hands := map[record.PhoneID]int{}
	seen := map[record.Subject]bool{}
	for _, ref := range report.New {
		r, _ := after.State().Record(ref)
		if _, ok := hands[r.Phone]; !ok {
			hands[r.Phone] = len(c.From)
			c.From = append(c.From, Hand{Phone: r.Phone})
		}
		h := &c.From[hands[r.Phone]]
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
		if after.State().Apart(ref) {
			c.Apart++
		}
		if seen[r.Subject] || r.Subject.Kind == contest.KindSeen || ofItself(r.Subject.Kind) || r.Subject.Kind == record.KindRole {
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

// newForks lists the partings that were not known before.
func newForks(before, after *merge.State) []merge.Fork {
	known := before.Forks()
	return slices.DeleteFunc(after.Forks(), func(f merge.Fork) bool {
		return slices.ContainsFunc(known, func(k merge.Fork) bool {
			return k.Phone == f.Phone && k.After == f.After && len(k.Sides) == len(f.Sides)
		})
	})
}

// sender is the phone from which the latest of the files came: it said with its
// last record what it holds.
func (t *TakeIn) sender() (from heard, ok bool) {
	for _, f := range t.files {
		for _, l := range f.set.Logs {
			if len(l.Records) == 0 {
				continue
			}
			r := l.Records[len(l.Records)-1]
			if r.Subject == holdingSubject(l.Phone) && (!ok || clock.Compare(r.Stamp, from.Stamp) > 0) {
				from, ok = heard{Record: r}, true
			}
		}
	}
	return from, ok && tree.Read([]byte(from.Value), &from.Holding) == nil
}

// behind counts the records that a phone lacks.
func (h heard) behind(runs []merge.Run) (n int) {
	for _, run := range runs {
		if run.Phone != h.Phone {
			n += len(run.Records) - h.has(run)
		}
	}
	return n
}

// has counts the records of a run that a phone said it holds.
func (h Holding) has(run merge.Run) int {
	n := min(h.Holds[run.ID.String()], run.Last())
	return int(max(n, run.After) - run.After)
}

// acceptBundle takes in what was looked at, all of it or nothing.
func acceptBundle(s *State, m Msg) []Effect {
	t := &s.TakeIn
	if t.Pass != nil && len(t.files) == 0 {
		return s.takeUp(m)
	}
	if t.Ready == nil || len(t.files) == 0 {
		return nil
	}
	if s.ReadOnly {
		return s.refuse(engine.New("app.read-only", "", words.T("core.read-only"), words.T("core.read-only-fix")))
	}
	here := t.here()
	joined, report, err := t.join(here.Set)
	if err != nil {
		return s.refuse(err)
	}
	open := &Open{Head: here.Head, Set: joined}
	open.fold()
	open.Head.Opened = m.Now
	if open.Head.Name == "" {
		open.Head.Name = words.T("core.no-name")
	}
	open.Head.Phones = phoneHeads(joined)
	ops := append([]Op{headOp(open.Head)}, keep(open.Head.ID, here.Contest.State(), open.Contest.State())...)
	text := words.N("take-in.done", len(report.New))
	if s.setBack(report, open) {
		renewed, err := s.renew(m)
		if err != nil {
			return s.refuse(err)
		}
		ops = append(ops, renewed...)
		text += " " + words.T("take-in.renewed")
	}
	ops = append(ops, s.keepPass()...)
	s.show(open)
	effects := append([]Effect{s.save(ops...)}, s.unsealed(m)...)
	for _, in := range open.welcomed {
		text += " " + words.T("take-in.welcomed", in.Who, words.T("phones.role-"+in.Role))
	}
	if s.TakeIn = (TakeIn{Others: s.TakeIn.Others}); len(s.TakeIn.Others) == 0 {
		effects = append(effects, s.goTo(m, Page{Name: "contest", Contest: open.Head.ID})...)
	}
	s.Notice = Notice{Tone: "info", Text: text}
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
	s.TakeIn = TakeIn{files: []file{{name: set.Contest.String(), set: set}}}
	s.compare()
	return acceptBundle(s, m)
}

// PhoneRow is one phone of the open contest as the page of phones shows it.
type PhoneRow struct {
	Phone   record.PhoneID
	Who     string
	Own     bool
	Former  bool // this phone, before it went on under a new key
	Records int
	HasOurs int          // of this phone's records, how many it said it holds
	Last    int64        // stamp of its last record
	Forks   []merge.Fork // where it was set back or copied
}

// PhoneRows lists the phones that wrote in the open contest, this one first.
func (s *State) PhoneRows() []PhoneRow {
	var out []PhoneRow
	state := s.Open.Contest.State()
	forks := state.Forks()
	for _, run := range state.Runs() {
		if len(out) == 0 || out[len(out)-1].Phone != run.Phone {
			row := PhoneRow{Phone: run.Phone, Own: run.Phone == s.Phone.ID, HasOurs: s.hasOurs(run.Phone)}
			row.Former = !row.Own && s.mine(run.Phone)
			for _, f := range forks {
				if f.Phone == run.Phone {
					row.Forks = append(row.Forks, f)
				}
			}
			out = append(out, row)
		}
		row := &out[len(out)-1]
		row.Records += len(run.Records)
		if n := len(run.Records); n > 0 && run.Records[n-1].Stamp.Wall >= row.Last {
			row.Who, row.Last = run.Records[n-1].Who, run.Records[n-1].Stamp.Wall
		}
	}
	sorting.Stable(out, func(a, b PhoneRow) int {
		switch {
		case a.Own != b.Own && a.Own, a.Former && !b.Own && !b.Former:
			return -1
		case a.Own != b.Own, b.Former && !a.Former:
			return 1
		}
		return comparePhones(a.Phone, b.Phone)
	})
	return out
}

// hasOurs counts the records of this phone that another one said it holds.
func (s *State) hasOurs(phone record.PhoneID) (n int) {
	h, ok := s.Open.Holding(phone)
	if !ok || s.mine(phone) {
		return 0
	}
	for _, run := range s.Open.Contest.State().Runs() {
		if s.mine(run.Phone) {
			n += h.has(run)
		}
	}
	return n
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
	most := map[record.PhoneID]int{} // of each run of this phone, held by one other
	runs := s.Open.Contest.State().Runs()
	for _, p := range phones(runs) {
		h, ok := s.Open.Holding(p)
		if !ok || s.mine(p) {
			continue
		}
		ours := 0
		for _, run := range runs {
			if s.mine(run.Phone) {
				most[run.ID] = max(most[run.ID], h.has(run))
				ours += h.has(run)
			}
		}
		w.Phones += min(1, ours)
	}
	for _, run := range runs {
		if s.mine(run.Phone) {
			w.Own += len(run.Records)
			w.Alone += len(run.Records) - most[run.ID]
		}
	}
	for _, g := range s.Open.Head.Given {
		w.Given = max(w.Given, g.When)
	}
	return w
}

// TakeInContest is the id of the contest that is looked at, "" for none.
func (s *State) TakeInContest() string {
	if len(s.TakeIn.files) == 0 {
		return ""
	}
	return s.TakeIn.files[0].set.Contest.String()
}

// TakeInName says what a record of the bundle that is looked at is about.
func (s *State) TakeInName(sub record.Subject) string {
	return subjectName(s.TakeIn.after, sub)
}
