package app

import (
	"crypto/ed25519"
	"encoding/hex"
	"slices"
	"strings"

	"keelcard/engine"
	"keelcard/engine/codec"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/seal"
	"keelcard/engine/tree"
	"keelcard/web/words"
)

// BackupPage is where all contests of this phone are put away in one file under
// a passphrase, and brought back on another phone.
type BackupPage struct {
	Phrase  string       // under which the next backup is put
	Last    *SavedBackup // that left this phone, nil for none
	Out     []Notice     // contests that could not be put in
	Working string       // "save" or "open" while that is done
	File    string       // name of the file that is chosen, "" for none
	Typed   string       // the passphrase for it
	Fault   Notice       // why it cannot be used
	Found   *FoundBackup // what is in it

	run  int // number of the last thing that took a while
	salt [16]byte
	size int // contests in the backup that is made
	data []byte
}

// SavedBackup is a backup that left this phone.
type SavedBackup struct {
	When     int64 // unix seconds
	Contests int
}

// Fields names the fields as they are stored.
func (b *SavedBackup) Fields(f *tree.Fields) {
	tree.Whole(f, "when", &b.When, tree.Always)
	tree.Whole(f, "contests", &b.Contests, tree.Always)
}

// FoundBackup is a backup that was opened, and what it would bring.
type FoundBackup struct {
	Who      string
	Made     int64
	Own      bool // this phone made it
	Contests []FoundContest
	key      Key

	authorities []Key
}

// FoundContest is one contest of a backup.
type FoundContest struct {
	Name   string
	Known  bool   // it is on this phone already
	New    int    // records that are not on this phone
	Fault  Notice // why it cannot be brought back
	open   *Open  // as it would be
	before *merge.State
	report merge.Report
}

// New counts the records that a backup would bring.
func (b *FoundBackup) New() (n int) {
	for _, c := range b.Contests {
		n += c.New
	}
	return n
}

// backupRounds is how often a passphrase is stretched; tests that seal many backups
// stretch less.
var backupRounds = seal.Rounds

// phraseWords is how many words a passphrase has that is made here: 55 bits, of
// which each guess takes as long as opening a backup does.
const phraseWords = 5

func backupHandlers() handlers {
	return handlers{
		"enter.backup":   enterBackup,
		"loaded.backup":  backupLoaded,
		"tick.backup":    allRecords,
		"backup.phrase":  func(s *State, m Msg) []Effect { s.Backup.Phrase = m.Text; return nil },
		"backup.make":    makePhrase,
		"backup.save":    saveBackup,
		"offered.backup": backupOffered,
		"backup.pick":    func(s *State, m Msg) []Effect { return []Effect{Pick{Tag: "backup"}} },
		"file.backup":    backupCame,
		"backup.typed":   func(s *State, m Msg) []Effect { s.Backup.Typed = m.Text; return nil },
		"backup.open":    openBackup,
		"backup.bring":   bringBack,
		"backup.leave":   func(s *State, m Msg) []Effect { s.Backup.leave(); return nil },
	}
}

const backupKey = "backup"

func enterBackup(s *State, m Msg) []Effect {
	s.Backup = BackupPage{Last: s.Backup.Last, run: s.Backup.run}
	return []Effect{Load{Tag: "backup/said", Bucket: BucketMeta, Prefix: backupKey}}
}

func (b *BackupPage) leave() {
	*b = BackupPage{Phrase: b.Phrase, Last: b.Last, run: b.run}
}

// backupLoaded goes on once the disk has answered.
func backupLoaded(s *State, m Msg) []Effect {
	_, what, _ := strings.Cut(m.Arg(0), "/")
	working := s.Backup.Working
	switch {
	case what == "said":
		return backupSaid(s, m)
	case what != working:
		return nil // the page was left meanwhile
	case what == "save":
		s.Backup.Working = ""
		return s.offerBackup(m)
	}
	s.Backup.Working = ""
	s.lookInto(m.Found)
	return nil
}

func backupSaid(s *State, m Msg) []Effect {
	for _, e := range m.Found {
		var last SavedBackup
		if e.Key == backupKey && tree.Read(e.Value, &last) == nil {
			s.Backup.Last = &last
		}
	}
	return nil
}

func makePhrase(s *State, m Msg) []Effect {
	if len(m.Rand) >= 32 {
		s.Backup.Phrase = seal.Phrase([32]byte(m.Rand), phraseWords)
	}
	return nil
}

// begin lets the page say what takes a while, before it does.
func (s *State) begin(what string) []Effect {
	s.Backup.Working = what
	s.Backup.run++
	const seen = 100
	return []Effect{Tick{Tag: "backup", Run: s.Backup.run, After: seen, Calm: seen}}
}

// allRecords asks for the records of every contest, after all that is still to
// be written.
func allRecords(s *State, m Msg) []Effect {
	if s.Backup.Working == "" || m.Arg(1) != itoa(s.Backup.run) {
		return nil
	}
	load := Load{Tag: "backup/" + s.Backup.Working, Bucket: BucketRecord}
	if s.holdsUnsaved() {
		return []Effect{s.save(), load}
	}
	return []Effect{load}
}

func saveBackup(s *State, m Msg) []Effect {
	switch {
	case s.ReadOnly:
		return s.refuse(readOnly())
	case len(s.Contests) == 0 || len(m.Rand) < len(s.Backup.salt) || s.Backup.Working != "":
		return nil
	}
	if err := seal.CheckPassphrase(s.Backup.Phrase); err != nil {
		return s.refuse(err)
	}
	copy(s.Backup.salt[:], m.Rand)
	return s.begin("save")
}

func readOnly() error {
	return engine.New("app.read-only", "", words.T("core.read-only"), words.T("core.read-only-fix"))
}

// offerBackup makes the file of all contests. One that cannot be read is left
// out and told.
func (s *State) offerBackup(m Msg) []Effect {
	seed, err := hex.DecodeString(s.Phone.Seed)
	b := seal.Backup{Made: m.Now, Who: s.Phone.Initials}
	if copy(b.Seed[:], seed) < len(b.Seed) || err != nil {
		_, err := signingKey(s.Phone.Seed)
		return s.refuse(err)
	}
	for _, k := range s.Phone.Authorities {
		if a, ok := k.authority(); ok {
			b.Authorities = append(b.Authorities, a)
		}
	}
	s.Backup.Out = nil
	for _, h := range s.Contests {
		data, err := s.bundleOf(h, m.Found)
		if err != nil {
			s.Backup.Out = append(s.Backup.Out, blame(h.Name, err))
			continue
		}
		b.Contests = append(b.Contests, data)
	}
	file, err := b.Seal(s.Backup.Phrase, s.Backup.salt, backupRounds)
	if err == nil && len(file) > codec.MaxFile {
		err = engine.New(seal.CodeLimit, "", words.T("backup.large", len(file)>>20, codec.MaxFile>>20), words.T("backup.large-fix"))
	}
	if err != nil {
		return s.refuse(err)
	}
	s.Backup.size = len(b.Contests)
	return []Effect{Offer{Tag: "backup", Name: fileName("keelcard backup", s.Phone.Initials) + ".txt", Type: "text/plain", Bytes: []byte(codec.EncodeText(file)), Save: true}}
}

// bundleOf writes a contest of this phone as a bundle, all of it signed.
func (s *State) bundleOf(h Head, all []Entry) ([]byte, error) {
	open, err := readContest(h, entriesOf(h.ID, all))
	if err != nil {
		return nil, err
	}
	if err := s.signIn(open); err != nil {
		return nil, err
	}
	return codec.EncodeBundle(open.Set, codec.Options{})
}

// entriesOf are the stored records of one contest.
func entriesOf(id string, all []Entry) []Entry {
	var out []Entry
	for _, e := range all {
		if strings.HasPrefix(e.Key, id+"/") {
			out = append(out, e)
		}
	}
	return out
}

func backupOffered(s *State, m Msg) []Effect {
	s.Backup.Last = &SavedBackup{When: m.Now, Contests: s.Backup.size}
	return []Effect{s.save(Op{BucketMeta, backupKey, tree.Write(s.Backup.Last)})}
}

// backupCame looks at a file that was chosen. Nothing is changed.
func backupCame(s *State, m Msg) []Effect {
	s.Backup.leave()
	s.Backup.File = m.Arg(1)
	data, ok := backupIn(m.Bytes)
	if !ok {
		_, err := codec.DecodeText(string(m.Bytes))
		if err == nil || engine.CodeOf(err) == codec.CodeNotOurs {
			_, err = seal.OpenBackup(m.Bytes, "") // which says that it is none
		}
		s.Backup.File, s.Backup.Fault = "", blame(m.Arg(1), err)
		return nil
	}
	s.Backup.data = data
	return []Effect{Focus{ID: "f-typed"}}
}

// backupIn gives the bytes of a backup, from its text form if need be.
func backupIn(data []byte) ([]byte, bool) {
	if !seal.IsBackup(data) {
		data, _ = codec.DecodeText(string(data))
	}
	return data, seal.IsBackup(data)
}

func openBackup(s *State, m Msg) []Effect {
	if s.Backup.data == nil || s.Backup.Working != "" {
		return nil
	}
	s.Backup.Fault, s.Backup.Found = Notice{}, nil
	return s.begin("open")
}

// lookInto opens the backup and finds what it would bring beside the records
// that are here.
func (s *State) lookInto(all []Entry) {
	b, err := seal.OpenBackup(s.Backup.data, s.Backup.Typed)
	if err != nil {
		n := noticeOf(err)
		s.Backup.Fault = Notice{Tone: n.Tone, Text: Capital(n.Text) + ".", Fix: Capital(n.Fix) + "."}
		return
	}
	found := &FoundBackup{Who: b.Who, Made: b.Made, key: Key{Seed: hex.EncodeToString(b.Seed[:])}}
	private, err := signingKey(found.key.Seed)
	if err != nil {
		s.Backup.Fault = noticeOf(err)
		return
	}
	found.key.Public = hex.EncodeToString(private.Public().(ed25519.PublicKey))
	found.Own = s.mine(found.key.id())
	for _, a := range b.Authorities {
		found.authorities = append(found.authorities, authorityKey(a))
	}
	for _, data := range b.Contests {
		found.Contests = append(found.Contests, s.beside(data, all))
	}
	s.Backup.Found, s.Backup.Typed = found, ""
}

// beside joins a contest of a backup with what this phone has of it.
func (s *State) beside(data []byte, all []Entry) (c FoundContest) {
	set, err := codec.DecodeBundle(data)
	if err != nil {
		return FoundContest{Name: words.T("core.no-name"), Fault: noticeOf(err)}
	}
	id := set.Contest.String()
	here := &Open{Head: Head{ID: id}, Set: record.Set{Contest: set.Contest}}
	i := slices.IndexFunc(s.Contests, func(h Head) bool { return h.ID == id })
	if c.Known = i >= 0; c.Known {
		here, err = readContest(s.Contests[i], entriesOf(id, all))
	} else {
		here.fold()
	}
	var joined record.Set
	if err == nil {
		c.before = here.Contest.State()
		joined, c.report, err = merge.Join(here.Set, set)
	}
	if err != nil {
		return FoundContest{Name: nameOf(set), Known: c.Known, Fault: noticeOf(err)}
	}
	c.open = &Open{Head: here.Head, Set: joined}
	c.open.fold()
	c.Name, c.New = or(c.open.Contest.Settings.Name, words.T("core.no-name")), len(c.report.New)
	return c
}

func nameOf(set record.Set) string {
	open := &Open{Set: set}
	open.fold()
	return or(open.Contest.Settings.Name, words.T("core.no-name"))
}

// bringBack takes in all that a backup brings, in one piece. This phone stays
// itself: what it wrote as another phone, or before, is its own under a former
// key, so no number is given twice.
func bringBack(s *State, m Msg) []Effect {
	found := s.Backup.Found
	switch {
	case found == nil || found.New() == 0:
		return nil
	case s.ReadOnly:
		return s.refuse(readOnly())
	}
	for _, k := range found.authorities {
		if !slices.Contains(s.Phone.Authorities, k) {
			s.Phone.Authorities = append(s.Phone.Authorities, k)
		}
	}
	if !found.Own {
		s.Phone.Former = append(s.Phone.Former, found.key)
	}
	s.Phone.Initials = or(s.Phone.Initials, found.Who)
	ops, setBack := []Op{s.phoneOp()}, false
	for _, c := range found.Contests {
		if c.New == 0 {
			continue
		}
		setBack = setBack || s.setBack(c.report, c.open)
		head := c.open.Head
		head.Name, head.Phones = c.Name, phoneHeads(c.open.Set)
		if !c.Known {
			head.Opened = m.Now
		}
		ops = append(append(ops, headOp(head)), keep(head.ID, c.before, c.open.Contest.State())...)
		s.setHead(head)
	}
	if setBack {
		renewed, err := s.renew(m)
		if err != nil {
			return s.refuse(err)
		}
		ops = append(ops, renewed...)
	}
	s.Open, s.Backup = nil, BackupPage{Last: s.Backup.Last, run: s.Backup.run}
	effects := append([]Effect{s.save(ops...)}, s.goTo(m, Page{Name: "home"})...)
	s.Notice = Notice{Tone: "info", Text: words.N("backup.brought", found.New())}
	return effects
}
