// Package app is the whole app without a screen: a state, messages that change
// it, and effects it asks for. Update is deterministic: the time and every
// random byte come in with a message, so a journey through the app runs as a
// native test.
//
// Start with New and Restore, then hand every message to Update. The package
// view draws the state. Each page has a file here, with its part of the state
// and its handlers, and a file in view.
package app

import (
	"crypto/ed25519"
	"encoding/hex"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"keelcard/engine"
	"keelcard/engine/record"
	"keelcard/engine/sorting"
	"keelcard/engine/tree"
)

// State is all the app knows. Only Update changes it.
type State struct {
	Phone    Phone
	Contests []Head // on this phone, the newest first
	Open     *Open  // the contest that is open, nil for none
	Page     Page
	Now      int64  // unix seconds of the last message
	Notice   Notice // one calm line at the edge of the page
	Disk     Disk
	Clock    Notice // that a clock is probably wrong, as the open contest shows; looked at when its page is entered
	ReadOnly bool   // another tab writes
	Newer    bool   // a new version of the app waits
	Rest     Rest
	Signing  bool // initials were first given on the page that is shown

	Call     Call
	Setup    Setup
	People   People
	KeyPage  KeyPage
	Keying   Keying
	Question Question
	TakeIn   TakeIn
	Results  Results
	Ruling   Ruling
	Handover Handover
	ShowCode ShowCode
	Scanning Scanning
	Shelf    Shelf
	Hens     HensPage
	Lots     Lots
	Backup   BackupPage
	Phones   PhonesPage
	Invite   InvitePage
	Recovery Recovery

	Passes []Pass // invitations that were taken up

	public   ed25519.PublicKey // of the phone, nil before its first start
	saves    int               // number of the last Save
	inFlight map[string][]Op
	unsaved  []Op // ops of saves that failed, to go with the next
	waiting  []Op // ops that were not asked for yet, to go behind those
}

// Phone is this device.
type Phone struct {
	ID       record.PhoneID `json:"-"`
	Seed     string         `json:"seed"`             // of the signing key, hexadecimal; it never leaves the phone
	Public   string         `json:"public"`           // the public key that belongs to it, hexadecimal
	Initials string         `json:"initials"`         // of the person who holds it
	Scheme   string         `json:"scheme"`           // "bright", "dim" or "" for the system's own
	Aloud    bool           `json:"aloud"`            // read entries back aloud
	Kept     string         `json:"kept"`             // "yes" or "no": what the browser said when asked to keep the store
	Former   []Key          `json:"former,omitempty"` // keys it had before it was found to have been set back or copied

	Authorities []Key `json:"authorities,omitempty"` // what makes the person the owner of contests; new ones are begun with the first
	WordsKept   bool  `json:"wordsKept,omitempty"`   // the recovery words of the first are written down
}

// Key is a signing key of a phone, hexadecimal.
type Key struct {
	Seed   string `json:"seed"`
	Public string `json:"public"`
}

// Page is where the person is: a name and what it is about.
type Page struct {
	Name    string
	Contest string // contest id in hexadecimal, "" for pages without one
	Args    []string
}

// Arg gives the i-th argument, "" when there is none.
func (p Page) Arg(i int) string {
	if i < len(p.Args) {
		return p.Args[i]
	}
	return ""
}

// Number reads the i-th argument as a number, 0 when it is none.
func (p Page) Number(i int) uint32 {
	n, err := strconv.ParseUint(p.Arg(i), 10, 32)
	if err != nil {
		return 0
	}
	return uint32(n)
}

// Hash writes the page as the fragment of an address.
func (p Page) Hash() string {
	parts := []string{"#"}
	if p.Contest != "" {
		parts = append(parts, "c", p.Contest)
	}
	if p.Name != "home" {
		parts = append(parts, p.Name)
	}
	for _, a := range p.Args {
		parts = append(parts, escapePath.Replace(a))
	}
	if len(parts) == 1 {
		return "#/"
	}
	return strings.Join(parts, "/")
}

// ParseHash reads the fragment of an address. What it does not know leads home.
func ParseHash(hash string) Page {
	hash = strings.TrimPrefix(strings.TrimPrefix(hash, "#"), "/")
	var p Page
	fields := strings.Split(hash, "/")
	if len(hash) > maxHash {
		fields = nil
	}
	if len(fields) >= 2 && fields[0] == "c" {
		if _, err := record.ParseContestID(fields[1]); err == nil {
			p.Contest = fields[1]
			fields = fields[2:]
			p.Name = "contest"
		} else {
			fields = nil
		}
	}
	if len(fields) > 0 && fields[0] != "" {
		p.Name = fields[0]
		for _, f := range fields[1:] {
			p.Args = append(p.Args, unescapePath.Replace(f))
		}
	}
	if !pageKnown(p) {
		return Page{Name: "home"}
	}
	return p
}

const maxHash = 64 << 10

var (
	escapePath   = strings.NewReplacer("%", "%25", "/", "%2F", "#", "%23")
	unescapePath = strings.NewReplacer("%25", "%", "%2F", "/", "%23", "#")
)

// pages lists every page: true for those of a contest.
var pages = map[string]bool{
	"home": false, "backup": false, "call": false, "take-in": false, "phone": false, "about": false, "new": false, "results-link": false, "books": false, "lots": false, "book": false,
	"contest": true, "settings": true, "class": true, "people": true, "person": true, "key": true, "keying": true,
	"questions": true, "history": true, "log": true, "results": true, "slip": true, "slips": true, "share": true, "hand-over": true, "show-code": true, "phones": true, "invite": true, "recovery": false, "scan": false, "class-book": true, "hens": true, "ruling": true,
}

func pageKnown(p Page) bool {
	ofContest, ok := pages[p.Name]
	return ok && ofContest == (p.Contest != "")
}

// Notice is one calm line at the edge of the page.
type Notice struct {
	Tone string // "info", "caution" or "bad"
	Text string
	Fix  string // what to do now
}

// New gives the state of a phone on which nothing happened yet.
func New() *State {
	return &State{Page: Page{Name: "home"}, inFlight: map[string][]Op{}, Disk: Disk{meta: map[string][]byte{}}}
}

// Restore reads what the phone kept. Call it once, before the "boot" message.
func Restore(s *State, load func(bucket, prefix string) ([]Entry, error)) error {
	meta, err := load(BucketMeta, "")
	if err != nil {
		return err
	}
	for _, e := range meta {
		s.Disk.meta[e.Key] = e.Value
		if e.Key == "call" {
			s.Call.restore(e.Value)
		}
		s.restorePass(e)
		if e.Key == "phone" {
			if err := tree.Read(e.Value, &s.Phone); err != nil {
				return &engine.Error{Code: "app.phone", What: "what this phone kept about itself cannot be read", Fix: "your contests are still stored; reload, and if this stays, export them from another browser", Cause: err}
			}
		}
	}
	if err := s.identify(); err != nil {
		return err
	}
	heads, err := load(BucketContest, "")
	if err != nil {
		return err
	}
	for _, e := range heads {
		var h Head
		if tree.Read(e.Value, &h) == nil {
			s.Contests = append(s.Contests, h)
		}
	}
	s.sortContests()
	return nil
}

func (s *State) sortContests() {
	sorting.Stable(s.Contests, func(a, b Head) int { return int(b.Opened - a.Opened) })
}

// identify reads who this phone is. The signing key itself is made when
// something is signed: that takes a quarter of a second on a slow phone, which
// a start need not wait for.
func (s *State) identify() error {
	if s.Phone.Seed == "" {
		return nil
	}
	public, err := hex.DecodeString(s.Phone.Public)
	if err != nil || len(public) != ed25519.PublicKeySize {
		private, err := signingKey(s.Phone.Seed)
		if err != nil {
			return err
		}
		public = private.Public().(ed25519.PublicKey)
		s.Phone.Public = hex.EncodeToString(public)
	}
	s.public = public
	s.Phone.ID = record.PhoneOf(public)
	return nil
}

// signingKey makes a key of this phone from its seed.
func signingKey(text string) (ed25519.PrivateKey, error) {
	seed, err := hex.DecodeString(text)
	if err != nil || len(seed) != ed25519.SeedSize {
		return nil, engine.New("app.phone", "", "the key of this phone is damaged", "take your contests in again from another phone's file")
	}
	return ed25519.NewKeyFromSeed(seed), nil
}

type handler func(s *State, m Msg) []Effect

type handlers map[string]handler

var (
	joined   handlers
	joinOnce sync.Once
)

// table gives the handlers of every page. They are joined at the first call:
// a handler may look another one up, so they cannot initialise a variable.
func table() handlers {
	joinOnce.Do(func() { joined = joinHandlers() })
	return joined
}

func joinHandlers() handlers {
	out := handlers{}
	for _, page := range []handlers{
		coreHandlers(), keptHandlers(), callHandlers(), setupHandlers(), peopleHandlers(), keyHandlers(),
		keyingHandlers(), questionHandlers(), protestHandlers(), resultHandlers(), rulingHandlers(), handoverHandlers(), showCodeHandlers(), scanHandlers(), bookHandlers(), restHandlers(), classBookHandlers(), hensHandlers(), lotHandlers(), backupHandlers(), phonesHandlers(), sealingHandlers(), inviteHandlers(), recoveryHandlers(), clockHandlers(),
	} {
		for name, h := range page {
			if _, twice := out[name]; twice {
				panic("two handlers for " + name)
			}
			out[name] = h
		}
	}
	return out
}

// Update takes in one message and says what is to be done outside. A message
// without a handler changes nothing.
func Update(s *State, m Msg) []Effect {
	if m.Now > 0 {
		s.Now = m.Now
	}
	effects := s.run(m.Do, m)
	return append(effects, s.mark()...)
}

// Handles tells whether a message of this name does something.
func Handles(name string) bool {
	_, ok := table()[name]
	return ok
}

// refuse shows why something was not done. Nothing has changed.
func (s *State) refuse(err error) []Effect {
	s.Notice = noticeOf(err)
	return nil
}

func noticeOf(err error) Notice {
	switch e := err.(type) {
	case *engine.Error:
		what := e.What
		if e.Where != "" {
			what = e.Where + ": " + what
		}
		return Notice{Tone: "bad", Text: what, Fix: e.Fix}
	case engine.Faults:
		n := noticeOf(e[0])
		if len(e) > 1 {
			n.Text += fmt.Sprintf(" (+%d)", len(e)-1)
		}
		return n
	}
	return Notice{Tone: "bad", Text: err.Error()}
}
