package app

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/hens"
	"keelcard/engine/record"
	"keelcard/engine/sorting"
	"keelcard/web/words"
)

// HensPage is the worksheet of a class of hens. Which class and hen is in the
// address; what is noted is in records at once.
type HensPage struct {
	Last  Said   // the last entry, to be read back
	Place string // of the body that was tapped last
	Whose string // the official whose notes are looked at, "" for the usual one
	Fault Fault  // a note or reason that could not be taken
}

// factorsOf is the choice of the factors by which an official proposes.
const factorsOf = "factors"

func hensHandlers() handlers {
	return handlers{
		"enter.hens":  hensEnter,
		"hens.hen":    hensHen,
		"hens.place":  hensPlace,
		"hens.set":    hensSet,
		"hens.remark": hensRemark,
		"hens.why":    hensWhy,
		"hens.way":    hensWay,
		"hens.whose":  hensWhose,
		"hens.order":  hensOrder,
		"hens.cuts":   hensCuts,
		"hens.undo":   hensUndo,
	}
}

// HenNote is what one official noted on a hen or on the class as a whole.
type HenNote struct {
	Record record.Record
	Seen   contest.Seen
	Hen    hens.Hen
	Err    error // signs that are not known here
}

// HensNow is what the worksheet is about.
type HensNow struct {
	KeyNow
	Hen      int                       // that is open, 0 for all four
	Notes    [hens.Count + 1][]HenNote // by hen, one for each official, the earliest first; at 0 those on the class
	Me       string                    // who holds this phone: "official/WR"
	Who      []string                  // the officials who looked at hens, sorted
	Whose    string                    // the one whose notes are proposed from
	Hidden   int                       // notes that are sealed to this phone
	Birds    [hens.Count]hens.Hen      // by those notes
	Way      hens.Way
	Proposal hens.Proposal
}

// HensNow reads what the worksheet is about. It fails where there is no such
// class.
func (s *State) HensNow() (HensNow, error) {
	k, err := s.KeyNow()
	h := HensNow{KeyNow: k, Me: official + "/" + s.Phone.Initials}
	if err == nil && k.Class.Kind != contest.Placing {
		err = engine.New("app.hens-class", k.Class.Name, words.T("hens.no-class"), words.T("hens.no-class-fix"))
	}
	if err != nil {
		return h, err
	}
	if n := s.Page.Number(1); n <= hens.Count {
		h.Hen = int(n)
	}
	for item := range h.Notes {
		h.Notes[item] = s.notesOn(h.seenOf(item))
		for _, v := range s.Open.Contest.State().Current(h.seenOf(item)).Values {
			if record.Veiled(v) {
				h.Hidden++
			}
		}
		for _, n := range h.Notes[item] {
			if item > 0 && !slices.Contains(h.Who, n.Record.Who) {
				h.Who = append(h.Who, n.Record.Who)
			}
		}
	}
	sorting.Ascending(h.Who)
	h.look(s.Hens.Whose)
	return h, nil
}

func (h HensNow) seenOf(item int) record.Subject {
	return record.Subject{Kind: contest.KindSeen, A: h.Class.No, B: uint32(item)}
}

// notesOn lists what stands about a subject, one note for each official.
func (s *State) notesOn(sub record.Subject) (notes []HenNote) {
	state := s.Open.Contest.State()
	for _, ref := range state.Current(sub).Refs {
		r, ok := state.Record(ref)
		seen, known := contest.ReadSeen(r.Value)
		if !ok || !known {
			continue
		}
		n := HenNote{Record: r, Seen: seen}
		n.Hen, n.Err = hens.Read(seen.Signs)
		if i := slices.IndexFunc(notes, func(o HenNote) bool { return o.Record.Who == r.Who }); i >= 0 {
			notes = slices.Delete(notes, i, i+1) // of another phone of theirs, and older
		}
		notes = append(notes, n)
	}
	return notes
}

// look takes the notes to propose from: those asked for, else those of who holds
// the phone, else the first.
func (h *HensNow) look(whose string) {
	for _, who := range append([]string{whose, h.Me}, h.Who...) {
		if slices.Contains(h.Who, who) {
			h.Whose = who
			break
		}
	}
	for i := range h.Birds {
		n, _ := h.Of(i+1, h.Whose)
		h.Birds[i] = n.Hen
	}
	way := ""
	for _, who := range []string{h.Me, h.Whose} {
		if n, _ := h.Of(0, who); way == "" {
			way = n.Seen.Choices[factorsOf]
		}
	}
	h.Way = hens.WayByID(way)
	h.Proposal = hens.Propose(h.Birds, h.Way)
}

// Of finds an official's note on a hen, or at 0 on the class.
func (h HensNow) Of(item int, who string) (HenNote, bool) {
	for _, n := range h.Notes[item] {
		if n.Record.Who == who {
			return n, true
		}
	}
	return HenNote{}, false
}

// Mine is what who holds the phone noted on the open hen, or on the class.
func (h HensNow) Mine() contest.Seen {
	n, _ := h.Of(h.Hen, h.Me)
	return n.Seen
}

// Compared tells whether anything could be compared.
func (h HensNow) Compared() bool { return len(h.Proposal.Steps) > 0 }

// Agrees tells whether the official order is the proposed one. Hens that are
// tied may stand in either order.
func (h HensNow) Agrees() bool {
	order := h.Order()
	if !order.Valid() || !h.Settled() {
		return false
	}
	n := 0
	for _, group := range h.Proposal.Groups {
		for range group {
			if !slices.Contains(group, int(order[n])) {
				return false
			}
			n++
		}
	}
	return true
}

// Departs tells whether the official placed the hens otherwise than proposed.
func (h HensNow) Departs() bool { return h.Compared() && h.Settled() && !h.Agrees() }

// hensEnter opens the hen that the address names, or the first that is not
// looked at.
func hensEnter(s *State, m Msg) []Effect {
	s.Hens, s.KeyPage.Correct = HensPage{}, false
	h, err := s.HensNow()
	if err != nil || len(s.Page.Args) > 1 {
		return nil
	}
	hen := 0
	for i := hens.Count; i > 0; i-- {
		if n, _ := h.Of(i, h.Me); len(n.Seen.Signs) == 0 {
			hen = i
		}
	}
	return s.openHen(h, hen)
}

func (s *State) openHen(h HensNow, hen int) []Effect {
	s.Page.Args = []string{itoa(h.Class.No), itoa(hen)}
	s.Hens = HensPage{Whose: s.Hens.Whose}
	return []Effect{Route{Hash: s.Page.Hash()}}
}

// hensHen goes to another hen, or with 0 to all of them.
func hensHen(s *State, m Msg) []Effect {
	h, err := s.HensNow()
	if err != nil {
		return s.refuse(err)
	}
	n, err := strconv.Atoi(m.Arg(0))
	if err != nil || n < 0 || n > hens.Count {
		return nil
	}
	return append(s.openHen(h, n), Top{}, Focus{ID: "hen-h"})
}

// hensPlace takes a place of the open hen on to its next state: yellow, fading,
// bleached, and not looked at again.
func hensPlace(s *State, m Msg) []Effect {
	h, err := s.HensNow()
	if err != nil {
		return s.refuse(err)
	}
	place := m.Arg(0)
	at := slices.Index(hens.BleachWords, h.Mine().Signs[place])
	if !slices.ContainsFunc(places(), func(id string) bool { return id == place }) {
		return nil
	}
	return s.sign(m, h, place, hens.BleachWords[(at+1)%len(hens.BleachWords)])
}

// hensSet sets a sign of the open hen, or takes it away when it is set already.
func hensSet(s *State, m Msg) []Effect {
	h, err := s.HensNow()
	if err != nil {
		return s.refuse(err)
	}
	key, word := m.Arg(0), m.Arg(1)
	if _, err := hens.Read(map[string]string{key: word}); err != nil {
		return nil
	}
	if h.Mine().Signs[key] == word {
		word = ""
	}
	return s.sign(m, h, key, word)
}

// sign writes a sign of the open hen; "" takes it away.
func (s *State) sign(m Msg, h HensNow, key, word string) []Effect {
	if h.Hen == 0 {
		return nil
	}
	effects := s.note(m, h, h.Hen, func(seen *contest.Seen) {
		signs := maps.Clone(seen.Signs)
		if signs == nil {
			signs = map[string]string{}
		}
		signs[key] = word
		if word == "" {
			delete(signs, key)
		}
		if n, err := strconv.Atoi(signs[hens.KeyMolt]); err != nil || n < 2 {
			delete(signs, hens.KeyPace) // one feather has no pace
		}
		seen.Signs = signs
	})
	if len(effects) == 0 {
		return nil
	}
	s.Hens.Place = key
	s.Hens.Last = Said{Item: words.T("key.hen", h.Hen), Value: SignText(key, word)}
	if s.Phone.Aloud {
		effects = append(effects, Speak{Text: words.T("key.said", s.Hens.Last.Item, s.Hens.Last.Value)})
	}
	return effects
}

// note writes what the official who holds this phone noted. What others noted
// stands beside it.
func (s *State) note(m Msg, h HensNow, item int, change func(*contest.Seen)) []Effect {
	n, _ := h.Of(item, h.Me)
	change(&n.Seen)
	value, err := n.Seen.Write()
	if err != nil {
		return s.refuse(err)
	}
	if value == "{}" && n.Record.Value == "" {
		return nil
	}
	effects := s.write(m, official, written{Subject: h.seenOf(item), Value: value, Beside: true})
	if len(effects) > 0 {
		s.Notice = Notice{}
	}
	return effects
}

// hensRemark puts a note to the open hen.
func hensRemark(s *State, m Msg) []Effect {
	return s.noteText(m, "remark", int(s.Page.Number(1)), func(seen *contest.Seen) { seen.Note = m.Text })
}

// hensWhy says why the official places the hens otherwise than proposed.
func hensWhy(s *State, m Msg) []Effect {
	return s.noteText(m, "why", 0, func(seen *contest.Seen) { seen.Official = m.Text })
}

func (s *State) noteText(m Msg, field string, item int, change func(*contest.Seen)) []Effect {
	h, err := s.HensNow()
	if err != nil {
		return s.refuse(err)
	}
	if item > hens.Count {
		return nil
	}
	if n := len([]rune(m.Text)); n > maxRemark {
		s.Hens.Fault = Fault{Field: field, Text: m.Text, What: words.T("finding.note-long", n, maxRemark)}
		return nil
	}
	s.Hens.Fault = Fault{}
	return s.note(m, h, item, change)
}

// hensWay chooses the factors by which the order is proposed.
func hensWay(s *State, m Msg) []Effect {
	h, err := s.HensNow()
	way := hens.WayByID(m.Arg(0))
	if err != nil || way.ID != m.Arg(0) || way.ID == h.Way.ID {
		return nil
	}
	return s.note(m, h, 0, func(seen *contest.Seen) {
		seen.Choices = maps.Clone(seen.Choices)
		if seen.Choices == nil {
			seen.Choices = map[string]string{}
		}
		seen.Choices[factorsOf] = way.ID
	})
}

// hensWhose chooses whose notes are proposed from.
func hensWhose(s *State, m Msg) []Effect {
	s.Hens.Whose = m.Arg(0)
	return nil
}

// proposed is HensNow for taking something over into the key.
func (s *State) proposed() (HensNow, error) {
	h, err := s.HensNow()
	if err == nil && (h.Closed || h.Sealed) {
		_, err = s.keyOpen()
	}
	if err == nil && !h.Compared() {
		err = engine.New("app.hens-none", h.Class.Name, words.T("hens.nothing"), words.T("hens.nothing-fix"))
	}
	return h, err
}

// hensOrder takes the proposed order as the official one.
func hensOrder(s *State, m Msg) []Effect {
	h, err := s.proposed()
	if err != nil {
		return s.refuse(err)
	}
	effects := s.answerKey(m, h.KeyNow, h.Proposal.Order.String())
	if len(effects) == 0 {
		return nil
	}
	s.KeyPage.Order, s.KeyPage.Placing = nil, false // what was begun on the key's own page
	return append(effects, s.keepOrder(h.Class)...)
}

// hensCuts takes the proposed cuts. They belong to the proposed order.
func hensCuts(s *State, m Msg) []Effect {
	h, err := s.proposed()
	if err != nil {
		return s.refuse(err)
	}
	if !h.Agrees() {
		return s.refuse(engine.New("app.hens-order", h.Class.Name, words.T("hens.other-order"), words.T("hens.other-order-fix")))
	}
	item := h.Answer
	item.Cuts = h.Proposal.Cuts
	value, err := item.Write(h.Class)
	if err != nil {
		return s.refuse(err)
	}
	return s.changeKey(m, h.KeyNow, h.Proposal.Cuts.String(), written{Subject: h.Subject(), Value: value})
}

// HensUndo tells what undo takes back on the worksheet, if it is of its class.
func (s *State) HensUndo() (record.Subject, bool) {
	r, _, ok := s.UndoTarget()
	of := r.Subject.Kind == contest.KindSeen || r.Subject.Kind == record.KindKey
	return r.Subject, ok && of && r.Subject.A == s.Page.Number(0)
}

// hensUndo takes back the last tap, and shows the hen it was about.
func hensUndo(s *State, m Msg) []Effect {
	sub, ok := s.HensUndo()
	if !ok {
		return nil
	}
	h, err := s.HensNow()
	effects := undo(s, m)
	if err != nil || len(effects) == 0 {
		return effects
	}
	s.Hens.Last, s.Hens.Place = Said{}, ""
	if sub.Kind == contest.KindSeen && int(sub.B) != h.Hen {
		effects = append(effects, s.openHen(h, int(sub.B))...)
	}
	return effects
}

// places are the ids of the places that bleach, in their order.
func places() []string {
	var ids []string
	for _, row := range hens.Chart() {
		ids = append(ids, row.ID)
	}
	return ids
}

// SignKeys are the signs of a hen in the order in which they are looked at.
func SignKeys() []string {
	return append(places(), hens.KeyPubic, hens.KeyKeel, hens.KeyFeel, hens.KeyMolt, hens.KeyPace)
}

// SignName is what a sign is called.
func SignName(key string) string {
	for _, row := range hens.Chart() {
		if row.ID == key {
			return Capital(row.Name)
		}
	}
	return words.T("hens.sign-" + key)
}

// SignWord says a sign; "" for one that is not looked at.
func SignWord(key, word string) string {
	switch {
	case word == "":
		return words.T("hens.unseen")
	case key == hens.KeyPubic || key == hens.KeyKeel:
		return FingersText(word)
	case key == hens.KeyFeel:
		return words.T("hens.feel-" + word)
	case key == hens.KeyPace:
		return words.T("hens.pace-" + word)
	case key == hens.KeyMolt:
		if n, err := strconv.Atoi(word); err == nil {
			return words.N("hens.molt", n)
		}
		return words.T("hens.molt-none")
	}
	return words.T("hens.bleach-" + word)
}

// halves writes half fingers as they are read.
var halves = strings.NewReplacer(" 1/2", "½", "1/2", "½")

// FingersText says how many fingers: "2½ fingers".
func FingersText(n string) string {
	if n == "1" || n == "1/2" {
		return words.T("hens.finger", halves.Replace(n))
	}
	return words.T("hens.fingers", halves.Replace(n))
}

// SignText says which sign and what it is.
func SignText(key, word string) string {
	return words.T("history.labelled", SignName(key), SignWord(key, word))
}

// SignsText says all signs of a hen. What is not known here stands as it was
// written.
func SignsText(signs map[string]string) string {
	var out []string
	known := map[string]string{}
	for _, key := range SignKeys() {
		word, ok := signs[key]
		if _, err := hens.Read(map[string]string{key: word}); ok && err == nil {
			known[key] = word
			out = append(out, SignText(key, word))
		}
	}
	for _, key := range sortedKeys(signs) {
		if _, ok := known[key]; !ok {
			out = append(out, key+": "+signs[key])
		}
	}
	return strings.Join(out, "; ")
}
