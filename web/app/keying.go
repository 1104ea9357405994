package app

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/score"
	"keelcard/engine/tree"
	"keelcard/web/words"
)

// Keying is the entering of cards. The class, the contestant and the way are
// in the address of the page, what is tapped is in drafts on the disk, and
// finished cards are records, so that nothing here is lost by leaving.
type Keying struct {
	Card    *Draft // the card being keyed, nil when none is
	Fresh   bool   // the last thing done was to finish a card
	Pad     bool   // a contestant number is being given
	Digits  string // of that number so far
	Typed   string // of an answer that is given by its number or the beginning of its name, so far
	Wrong   string // what was typed last and cannot be answered
	Unknown uint32 // a number given that no contestant has, 0 for none

	contest string // whose drafts these are
	drafts  map[record.Subject]Draft

	counts  map[uint32]KeyingCounts // by class, of the contest countOf with as many records as counted
	countOf string
	counted int
}

// The ways of keying a card.
const (
	WayFirst  = ""       // for the first time
	WayAgain  = "again"  // a second keying by another person, who does not see the first
	WayChange = "change" // a correction of a card that stands
	WayAnew   = "anew"   // in place of everything keyed so far, which is not shown
)

// NoMark stands in a draft for a step that is not done yet.
const NoMark = -1

// Draft is a card begun and not finished. It has one step an item, or in a
// placing class one step a place.
type Draft struct {
	Class  uint32 `json:"class"`
	Number uint32 `json:"number"`
	Way    string `json:"way,omitempty"`
	Marks  []int  `json:"marks"`          // mark bytes, or items 1 to 4 by place; NoMark for none yet
	Item   int    `json:"item"`           // the step that is open, from 0
	Two    int    `json:"two,omitempty"`  // 1: two answers are marked, neither told yet; 1+n: answer n is one of them
	Redo   uint32 `json:"redo,omitempty"` // the number of this phone's record that is being done over
}

// Begun tells whether anything was tapped.
func (d *Draft) Begun() bool {
	return d.Two > 0 || d.Redo > 0 || slices.ContainsFunc(d.Marks, func(m int) bool { return m != NoMark })
}

// fits tells whether a stored draft can be gone on with as the class is now.
func (d *Draft) fits(class contest.Class) bool {
	answers := len(class.Answers())
	if class.Kind == contest.Placing {
		answers = placingItems
	}
	n := steps(class)
	if len(d.Marks) != n*width(class) || d.Item < 0 || d.Item >= n || d.Two < 0 || d.Two > 1+answers {
		return false
	}
	return !slices.ContainsFunc(d.Marks, func(m int) bool {
		return m < NoMark || m > 255 || m > answers && m < int(score.Double)
	})
}

const placingItems = 4

// steps is how many things are told on a card, one after another.
func steps(class contest.Class) int {
	if class.Kind == contest.Placing {
		return placingItems
	}
	return class.Slots() / width(class)
}

// width is how many marks one step of a card takes.
func width(class contest.Class) int {
	if class.Kind == contest.Checked {
		return class.SlotsPerItem()
	}
	return 1
}

// step gives the marks of one step.
func (d *Draft) step(class contest.Class, i int) []int {
	w := 1
	if class.Kind == contest.Checked {
		w = len(d.Marks) / class.Items
	}
	return d.Marks[i*w : (i+1)*w]
}

// fill gives all marks of one step the same value.
func (d *Draft) fill(class contest.Class, i, mark int) {
	marks := d.step(class, i)
	for n := range marks {
		marks[n] = mark
	}
}

func newDraft(class contest.Class, number uint32, way string) Draft {
	return Draft{Class: class.No, Number: number, Way: way, Marks: slices.Repeat([]int{NoMark}, steps(class)*width(class))}
}

func keyingHandlers() handlers {
	return handlers{
		"enter.keying":  keyingEnter,
		"key.keying":    keyingKey,
		"keying.mark":   keyingMark,
		"keying.two":    keyingTwo,
		"keying.unsaid": keyingUnsaid,
		"keying.back":   keyingBack,
		"keying.item":   keyingItem,
		"keying.next":   keyingNext,
		"keying.pad":    keyingPad,
		"keying.close":  keyingClose,
		"keying.digit":  keyingDigit,
		"keying.number": keyingNumber,
		"keying.jump":   keyingJump,
		"keying.add":    keyingAdd,
		"keying.none":   keyingNone,
		"keying.on":     keyingOn,
		"keying.type":   keyingType,
	}
}

// KeyingReady tells that the cards begun in the open contest have been read
// from the disk, which takes a moment after it was opened.
func (s *State) KeyingReady() bool {
	return s.Open != nil && s.Keying.contest == s.Open.Head.ID
}

func draftKey(contest string, class, number uint32) string {
	return contest + "/" + itoa(class) + "/" + itoa(number)
}

// restore takes in the cards that were begun and not finished. What cannot be
// read was not written by this page and is left where it is.
func (k *Keying) restore(contest string, drafts []Entry) {
	k.contest, k.drafts = contest, map[record.Subject]Draft{}
	for _, e := range drafts {
		var d Draft
		if tree.Read(e.Value, &d) == nil && e.Key == draftKey(contest, d.Class, d.Number) {
			k.drafts[cardOf(d.Class, d.Number)] = d
		}
	}
}

func cardOf(class, number uint32) record.Subject { return contest.CardSubject(class, number) }

// KeyingClass gives the class whose cards are keyed, and the fault that keeps
// them from being keyed: none for a class that can be.
func (s *State) KeyingClass() (contest.Class, error) {
	if s.Open == nil {
		return contest.Class{}, engine.New("keying.class", "", words.T("core.no-contest"), words.T("core.no-contest-fix"))
	}
	class, ok := s.Open.Contest.Class(s.Page.Number(0))
	if !ok {
		return class, engine.New("keying.class", "", words.T("keying.no-class", s.Page.Arg(0)), words.T("keying.no-class-fix"))
	}
	return class, Keyable(class)
}

// Keyable says why no card of a class can be keyed, nil when they can.
func Keyable(class contest.Class) error {
	switch class.Kind {
	case contest.Graded:
		if _, err := class.RuleBook(); err != nil {
			return err
		}
	case contest.Checked:
		if _, err := class.Faults(); err != nil {
			return err
		}
	}
	if len(class.Answers()) == 0 || class.Slots() == 0 {
		return engine.New("keying.answers", class.Name, words.T("keying.no-answers"), words.T("keying.no-answers-fix"))
	}
	return nil
}

// KeyingFault puts into words why the cards of a class cannot be keyed.
func KeyingFault(err error) Notice { return noticeOf(err) }

// keyingEnter opens the card that the address names, or the next one due.
func keyingEnter(s *State, m Msg) []Effect {
	k := &s.Keying
	k.Card, k.Fresh, k.Pad, k.Digits, k.Unknown = nil, false, false, "", 0
	if s.Page.Arg(0) == "" || s.Open == nil {
		return nil
	}
	if !s.KeyingReady() {
		return []Effect{Load{Tag: "drafts/" + s.Open.Head.ID, Bucket: BucketDraft, Prefix: s.Open.Head.ID + "/"}}
	}
	class, err := s.KeyingClass()
	if err != nil {
		return nil
	}
	number, way := s.Page.Number(1), s.Page.Arg(2)
	if number == 0 && way == WayFirst {
		number = k.begun(class)
	}
	if number == 0 {
		number = s.due(class, 0, way)
	}
	return s.openCard(class, number, way)
}

// keyingRestored goes on with the page once its drafts are there.
func (s *State) keyingRestored(m Msg) []Effect {
	if s.Open == nil || s.Open.Head.ID != s.Keying.contest {
		return nil
	}
	switch s.Page.Name {
	case "keying":
		return keyingEnter(s, m)
	case "key":
		return keyEnter(s, m)
	}
	return nil
}

// begun finds the contestant of the first card of a class that is begun and
// not finished, 0 for none.
func (k *Keying) begun(class contest.Class) uint32 {
	number := uint32(0)
	for _, d := range k.drafts {
		if d.Class == class.No && d.fits(class) && (number == 0 || d.Number < number) {
			number = d.Number
		}
	}
	return number
}

// KeyingBegun tells whether a contestant's card is begun and not finished.
func (s *State) KeyingBegun(class contest.Class, number uint32) bool {
	d, ok := s.Keying.drafts[cardOf(class.No, number)]
	return ok && d.fits(class)
}

// openCard shows a contestant's card: the one begun, if one is; the one that
// stands, to look at; or a new one. Number 0 shows that none is due.
func (s *State) openCard(class contest.Class, number uint32, way string) []Effect {
	k := &s.Keying
	k.Card, k.Pad, k.Digits, k.Unknown = nil, false, "", 0
	k.Typed, k.Wrong = "", ""
	_, known := s.Open.Contest.Person(number)
	switch {
	case number == 0:
	case !known:
		k.Unknown = number
	default:
		k.Card = s.draftFor(class, number, way)
		if k.Card != nil {
			way = k.Card.Way
		}
	}
	args := []string{itoa(class.No)}
	if number > 0 || way != WayFirst {
		args = append(args, itoa(number))
	}
	if way != WayFirst {
		args = append(args, way)
	}
	if slices.Equal(args, s.Page.Args) {
		return nil
	}
	s.Page.Args = args
	return []Effect{Route{Hash: s.Page.Hash()}}
}

func (s *State) draftFor(class contest.Class, number uint32, way string) *Draft {
	if d, ok := s.Keying.drafts[cardOf(class.No, number)]; ok && d.fits(class) {
		d.Marks = slices.Clone(d.Marks)
		return &d
	}
	card := s.Open.Contest.Card(class, number)
	switch {
	case card.Status == merge.Absent:
		way = WayFirst
	case way == WayFirst:
		return nil
	case way == WayAgain && s.SameHand(class, number):
		return nil
	}
	d := newDraft(class, number, way)
	if way == WayChange && class.Kind != contest.Placing && len(card.Marks) == len(d.Marks) {
		for i, m := range card.Marks {
			d.Marks[i] = int(m)
		}
	}
	return &d
}

// SameHand tells whether the person who holds this phone wrote what stands about
// a card, and so cannot key it a second time. A record of this phone that is
// being done over is left aside.
func (s *State) SameHand(class contest.Class, number uint32) bool {
	state, card := s.Open.Contest.State(), s.Keying.Card
	return slices.ContainsFunc(state.Current(cardOf(class.No, number)).Refs, func(ref record.Ref) bool {
		r, _ := state.Record(ref)
		over := card != nil && card.Number == number && r.Phone == s.Phone.ID && r.Seq == card.Redo
		return !over && strings.EqualFold(merge.PersonOf(r.Who), s.Phone.Initials)
	})
}

// KeyingDue tells whether a card of a class is to be keyed in a way by the person
// who holds this phone. WayAgain is for cards keyed by one other person: of those
// the settings ask for, or of all if they ask for none.
func (s *State) KeyingDue(class contest.Class, way string) bool { return s.due(class, 0, way) > 0 }

// isDue tells whether a card is to be keyed in a way.
func (s *State) isDue(class contest.Class, number uint32, way string) bool {
	c := s.Open.Contest
	if way != WayAgain {
		return c.CardStatus(class, number) == merge.Absent
	}
	return (c.Settings.Confirm == "" || c.Asked(class.No, number)) && c.KeyedOnce(class, number) && !s.SameHand(class, number)
}

// due finds the next contestant after a number whose card is to be keyed in a
// way, beginning again at the first; 0 when there is none.
func (s *State) due(class contest.Class, after uint32, way string) uint32 {
	persons := s.Open.Contest.Persons
	start, _ := slices.BinarySearchFunc(persons, after+1, func(p contest.Person, n uint32) int { return cmp.Compare(p.Number, n) })
	for i := range persons {
		p := persons[(start+i)%len(persons)]
		if p.Out == "" && s.isDue(class, p.Number, way) {
			return p.Number
		}
	}
	return 0
}

// keyingCard gives the class and the card being keyed. The card is nil when
// there is none; the error says why nothing can be keyed on this phone now.
func (s *State) keyingCard() (contest.Class, *Draft, error) {
	class, err := s.KeyingClass()
	switch {
	case err != nil:
		return class, nil, err
	case s.ReadOnly:
		return class, nil, engine.New("app.read-only", "", words.T("core.read-only"), words.T("core.read-only-fix"))
	case s.Phone.Initials == "":
		return class, nil, engine.New("app.no-initials", "", words.T("core.no-initials"), words.T("core.no-initials-fix"))
	}
	card := s.Keying.Card
	if card != nil && card.Way == WayAgain && s.SameHand(class, card.Number) {
		card = nil // the page says why
	}
	return class, card, nil
}

// keyingMark takes an answer: 0 for a blank, else its number; in a placing
// class the item that comes next.
func keyingMark(s *State, m Msg) []Effect {
	class, card, err := s.keyingCard()
	if err != nil {
		return s.refuse(err)
	}
	n, err := strconv.Atoi(m.Arg(0))
	if card == nil || err != nil || n < 0 {
		return nil
	}
	s.Keying.Typed, s.Keying.Wrong = "", ""
	switch {
	case class.Kind == contest.Placing && n == 0:
		return s.finishCard(m, class, []byte{score.Blank})
	case class.Kind == contest.Placing:
		return s.placeItem(m, class, card, n)
	case class.Kind == contest.Checked && n > 0:
		return s.turnFault(m, class, card, n)
	case n > len(class.Answers()):
		return nil
	case card.Two == 0:
		return s.setMark(m, class, card, byte(n))
	case n == 0 || n == card.Two-1:
		return nil
	case card.Two == 1:
		card.Two = 1 + n
		return s.keepDraft(m, class)
	}
	return s.setMark(m, class, card, score.DoubleOf(card.Two-1, n))
}

// placeItem puts an item on the next place. The last item needs no tap.
func (s *State) placeItem(m Msg, class contest.Class, card *Draft, item int) []Effect {
	if item > placingItems || slices.Contains(card.Marks, item) {
		return nil
	}
	card.Marks[card.Item] = item
	card.Item++
	if card.Item < placingItems-1 {
		return s.keepDraft(m, class)
	}
	left := 1 + 2 + 3 + 4
	var order [placingItems]string
	for i, item := range card.Marks[:placingItems-1] {
		left -= item
		order[i] = strconv.Itoa(item)
	}
	order[placingItems-1] = strconv.Itoa(left)
	index := slices.Index(class.Answers(), strings.Join(order[:], "-")) + 1
	return s.finishCard(m, class, []byte{byte(index)})
}

// setMark takes the mark of the open step and goes on to the next without one.
func (s *State) setMark(m Msg, class contest.Class, card *Draft, mark byte) []Effect {
	card.fill(class, card.Item, int(mark))
	return s.goOn(m, class, card)
}

// goOn leaves the open step, which is told, for the next that is not.
func (s *State) goOn(m Msg, class contest.Class, card *Draft) []Effect {
	s.Notice = Notice{}
	card.Two = 0
	n := steps(class)
	if card.Way == WayChange {
		return s.changeMark(m, class, card, min(card.Item+1, n-1))
	}
	for i := 1; i <= n; i++ {
		if next := (card.Item + i) % n; card.step(class, next)[0] == NoMark {
			card.Item = next
			return s.keepDraft(m, class)
		}
	}
	effects := s.finishCard(m, class, marksOf(card))
	if s.Keying.Card == card { // it could not be written
		card.fill(class, card.Item, NoMark)
	}
	return effects
}

func marksOf(card *Draft) []byte {
	marks := make([]byte, len(card.Marks))
	for i, m := range card.Marks {
		marks[i] = byte(max(m, 0))
	}
	return marks
}

// changeMark writes a correction of a whole card at once, and stays with it at
// the step next.
func (s *State) changeMark(m Msg, class contest.Class, card *Draft, next int) []Effect {
	if at := slices.Index(card.Marks, NoMark); at >= 0 {
		card.Item = at / width(class)
		return nil
	}
	value, err := class.CardValue(marksOf(card))
	if err != nil {
		return s.refuse(err)
	}
	card.Item = next
	s.Keying.Fresh = true
	return s.write(m, "keyer", written{Subject: cardOf(class.No, card.Number), Value: value})
}

// keepDraft asks for the open card to be kept as far as it is.
func (s *State) keepDraft(m Msg, class contest.Class) []Effect {
	k := &s.Keying
	card := k.Card
	k.Fresh = false
	s.Notice = Notice{}
	if card.Way == WayChange && class.Kind != contest.Placing {
		return nil
	}
	sub := cardOf(card.Class, card.Number)
	op := Op{Bucket: BucketDraft, Key: draftKey(k.contest, card.Class, card.Number)}
	if !card.Begun() {
		if _, kept := k.drafts[sub]; !kept {
			return nil
		}
		delete(k.drafts, sub)
		return []Effect{s.save(op)}
	}
	kept := *card
	kept.Marks = slices.Clone(card.Marks)
	k.drafts[sub] = kept
	op.Value = tree.Write(&kept)
	return []Effect{s.save(op)}
}

// finishCard writes the card that is told to its end and takes its draft away
// in the same step, then goes on to the next contestant.
func (s *State) finishCard(m Msg, class contest.Class, marks []byte) []Effect {
	k := &s.Keying
	card := k.Card
	value, err := class.CardValue(marks)
	if err != nil {
		return s.refuse(err)
	}
	sub := cardOf(class.No, card.Number)
	entry := written{Subject: sub, Value: value, Again: card.Way == WayAgain}
	if card.Way == WayFirst && s.Open.Contest.CardStatus(class, card.Number) != merge.Absent {
		entry.Again = true // another phone's keying came while this one was under way
	}
	same := false
	if old, ok := s.ownRecord(card.Redo); ok && old.Subject == sub {
		entry.Again, entry.Over = false, []record.Ref{old.Ref()}
		same = old.Value == value
	}
	var ops []Op
	if !same {
		if ops, err = s.append(m, "keyer", entry); err != nil {
			return s.refuse(err)
		}
	}
	ops = append(ops, Op{Bucket: BucketDraft, Key: draftKey(k.contest, class.No, card.Number)})
	effects := []Effect{s.save(ops...)}
	delete(k.drafts, sub)
	k.Card = nil
	if s.Phone.Aloud {
		effects = append(effects, Speak{Text: words.T("keying.say", card.Number, MarksSpoken(class, marks))})
	}
	switch card.Way {
	case WayAnew:
		return append(effects, s.goTo(m, Page{Name: "questions", Contest: s.Page.Contest})...)
	case WayChange:
		effects = append(effects, s.openCard(class, card.Number, WayFirst)...)
	default:
		effects = append(effects, s.openCard(class, s.due(class, card.Number, card.Way), card.Way)...)
	}
	k.Fresh = true
	return effects
}

// ownRecord finds a record that this phone wrote by its number.
func (s *State) ownRecord(seq uint32) (record.Record, bool) {
	return s.Open.Contest.State().Record(record.Ref{Phone: s.Phone.ID, Seq: seq})
}

// keyingTwo says that two answers are marked.
func keyingTwo(s *State, m Msg) []Effect {
	class, card, err := s.keyingCard()
	switch {
	case err != nil:
		return s.refuse(err)
	case card == nil:
		return nil
	case class.Kind == contest.Placing:
		return s.finishCard(m, class, []byte{score.Double})
	case !KeyingTwoMarks(class):
		return nil
	case len(class.Answers()) > mostTold: // which two cannot be held
		return s.setMark(m, class, card, score.Double)
	case card.Two > 0:
		card.Two = 0
	default:
		card.Two = 1
	}
	return s.keepDraft(m, class)
}

// mostTold is the highest number of an answer that a double mark can name.
const mostTold = 7

// KeyingTwoMarks tells whether two answers can be marked where one is asked for.
func KeyingTwoMarks(class contest.Class) bool {
	return class.Kind != contest.Checked && class.Kind != contest.Awarded
}

// keyingUnsaid says that two answers are marked, and not which.
func keyingUnsaid(s *State, m Msg) []Effect {
	class, card, err := s.keyingCard()
	if err != nil {
		return s.refuse(err)
	}
	if card == nil || card.Two == 0 {
		return nil
	}
	return s.setMark(m, class, card, score.Double)
}

// keyingBack takes the last tap back. At the first item of a card it opens the
// card before at its last item.
func keyingBack(s *State, m Msg) []Effect {
	class, card, err := s.keyingCard()
	if err != nil {
		return s.refuse(err)
	}
	if card == nil || !card.Begun() {
		return s.reopenLast(m, class)
	}
	s.Keying.Wrong = ""
	changing := card.Way == WayChange && class.Kind != contest.Placing
	switch {
	case card.Two > 1:
		card.Two = 1
	case card.Two == 1:
		card.Two = 0
	case class.Kind == contest.Checked && !changing && card.Told(class, card.Item):
		card.fill(class, card.Item, NoMark)
	case card.Item == 0:
		return nil
	case changing:
		card.Item--
	default:
		card.Item--
		card.reopen(class)
	}
	return s.keepDraft(m, class)
}

// reopenLast opens the card finished last with its last tap taken back. The
// record stands until another answer is given.
func (s *State) reopenLast(m Msg, class contest.Class) []Effect {
	k := &s.Keying
	last, ok := s.KeyingLast(class)
	looking := k.Card == nil && s.Page.Number(1) > 0
	replacing := k.Card != nil && k.Card.Way != WayFirst && k.Card.Way != WayAgain
	if !ok || len(last.Marks) != class.Slots() || looking || replacing {
		return nil
	}
	d := newDraft(class, last.Number, WayFirst)
	if last.Again {
		d.Way = WayAgain
	}
	d.Redo = last.Seq
	if class.Kind == contest.Placing {
		if text := class.MarkText(last.Marks[0]); last.Marks[0] != score.Blank && last.Marks[0] < score.Double {
			d.Item = placingItems - 2
			for i, item := range strings.Split(text, "-")[:d.Item] {
				d.Marks[i], _ = strconv.Atoi(item)
			}
		}
	} else {
		d.Item = steps(class) - 1
		for i, mark := range last.Marks {
			d.Marks[i] = int(mark)
		}
		d.reopen(class)
	}
	k.drafts[cardOf(class.No, last.Number)] = d
	effects := s.openCard(class, last.Number, d.Way)
	return append(effects, s.keepDraft(m, class)...)
}

// keyingItem opens a step of the card, counted from 1; in a placing class it
// takes back the places from there on.
func keyingItem(s *State, m Msg) []Effect {
	class, card, err := s.keyingCard()
	if err != nil {
		return s.refuse(err)
	}
	n, err := strconv.Atoi(m.Arg(0))
	if card == nil || err != nil || n < 1 || n > steps(class) {
		return nil
	}
	s.Keying.Typed, s.Keying.Wrong = "", ""
	if class.Kind == contest.Placing {
		if n-1 >= card.Item {
			return nil
		}
		for i := n - 1; i < len(card.Marks); i++ {
			card.Marks[i] = NoMark
		}
	}
	card.Item, card.Two = n-1, 0
	return s.keepDraft(m, class)
}

// keyingNext leaves a card as it is and goes on to the next one due.
func keyingNext(s *State, m Msg) []Effect {
	class, err := s.KeyingClass()
	if err != nil {
		return s.refuse(err)
	}
	way := WayFirst
	if s.Page.Arg(2) == WayAgain {
		way = WayAgain
	}
	s.Keying.Fresh = false
	return s.openCard(class, s.due(class, s.Page.Number(1), way), way)
}

func keyingPad(s *State, m Msg) []Effect {
	k := &s.Keying
	k.Pad, k.Digits, k.Unknown, k.Fresh = true, "", 0, false
	return []Effect{Focus{ID: "f-number"}}
}

func keyingClose(s *State, m Msg) []Effect {
	k := &s.Keying
	wasUnknown := k.Unknown != 0 && k.Card == nil
	k.Pad, k.Digits, k.Unknown = false, "", 0
	if wasUnknown {
		return keyingNext(s, m)
	}
	return nil
}

func keyingDigit(s *State, m Msg) []Effect {
	k := &s.Keying
	d := m.Arg(0)
	switch {
	case d == "erase":
		k.Digits = k.Digits[:max(0, len(k.Digits)-1)]
	case len(d) == 1 && d[0] >= '0' && d[0] <= '9' && len(k.Digits) < maxDigits:
		k.Digits += d
	}
	k.Unknown = 0
	return nil
}

const maxDigits = 6 // of the highest contestant number

func keyingNumber(s *State, m Msg) []Effect {
	digits := strings.Map(func(r rune) rune {
		if r < '0' || r > '9' {
			return -1
		}
		return r
	}, m.Text)
	s.Keying.Digits = digits[:min(len(digits), maxDigits)]
	s.Keying.Unknown = 0
	return nil
}

// keyingJump opens the card of the number that was given.
func keyingJump(s *State, m Msg) []Effect {
	k := &s.Keying
	if m.Text != "" {
		keyingNumber(s, m)
	}
	class, err := s.KeyingClass()
	if err != nil {
		return s.refuse(err)
	}
	n, err := strconv.ParseUint(strings.TrimLeft(k.Digits, "0"), 10, 32)
	if err != nil {
		return nil
	}
	if _, known := s.Open.Contest.Person(uint32(n)); !known {
		k.Unknown = uint32(n)
		return nil
	}
	way := WayFirst
	if s.Page.Arg(2) == WayAgain {
		way = WayAgain
	}
	k.Fresh = false
	return s.openCard(class, uint32(n), way)
}

// keyingAdd puts a contestant on the list whose number came up on a card.
func keyingAdd(s *State, m Msg) []Effect {
	class, err := s.KeyingClass()
	if err != nil {
		return s.refuse(err)
	}
	number := s.Keying.Unknown
	value, err := contest.Person{Number: number}.Write()
	if err != nil {
		return s.refuse(err)
	}
	effects := s.write(m, "keyer", written{Subject: record.Subject{Kind: record.KindPerson, A: number}, Value: value})
	if _, known := s.Open.Contest.Person(number); !known {
		return effects
	}
	return append(effects, s.openCard(class, number, WayFirst)...)
}

// keyingKey takes the keyboard: letters and digits for answers, the rest as
// said in KeyingAnswers and on the page.
func keyingKey(s *State, m Msg) []Effect {
	key := m.Arg(0)
	k := &s.Keying
	class, err := s.KeyingClass()
	if err != nil {
		return nil
	}
	send := func(h handler, args ...string) []Effect {
		m.Args = args
		return h(s, m)
	}
	switch {
	case k.Pad && len(key) == 1 && key[0] >= '0' && key[0] <= '9':
		return send(keyingDigit, key)
	case k.Pad && key == "Backspace":
		return send(keyingDigit, "erase")
	case k.Pad && key == "Enter":
		return send(keyingJump)
	case key == "Escape":
		return send(keyingClose)
	case k.Pad:
		return nil
	}
	if effects, done := s.keyingKindKey(class, m, key); done {
		return effects
	}
	for i, a := range KeyingAnswers(class) {
		if key == a.Letter || key == strconv.Itoa(i+1) {
			return send(keyingMark, strconv.Itoa(i+1))
		}
	}
	step := 0
	if k.Card != nil {
		step = k.Card.Item + 1
	}
	switch key {
	case "0", "Space":
		return send(keyingMark, "0")
	case "Backspace":
		return send(keyingBack)
	case KeyTwo, KeyingBoth:
		return send(keyingTwo)
	case KeyNumber:
		return send(keyingPad)
	case "ArrowLeft", "ArrowUp":
		return send(keyingItem, strconv.Itoa(step-1))
	case "ArrowRight", "ArrowDown":
		return send(keyingItem, strconv.Itoa(step+1))
	case "Enter":
		if k.Card == nil || !k.Card.Begun() || k.Card.Way == WayChange && k.Typed == "" {
			return send(keyingNext)
		}
	}
	return nil
}

// Keys of the keyboard on the keying page beside those of the answers.
const (
	KeyTwo    = "t" // two answers are marked
	KeyNumber = "#" // another contestant number
	KeyTenth  = "x" // the tenth fault, as 0 says that there is none
)

// KeyingAnswer is one key of the keypad: a grade, or an item of a placing class.
type KeyingAnswer struct {
	Mark   int    // what "keying.mark" takes
	Label  string // as it stands on a card
	Name   string // in words, "" when the label says it all
	Letter string // the key of the keyboard, "" when only its number stands for it
}

// KeyingAnswers lists what can be tapped on a card of the class, none where
// points are given. A letter goes first to the answer that is that letter, then
// to the first that begins with it, unless letters spell the answers.
func KeyingAnswers(class contest.Class) []KeyingAnswer {
	var out []KeyingAnswer
	switch class.Kind {
	case contest.Placing:
		for n := 1; n <= placingItems; n++ {
			out = append(out, KeyingAnswer{Mark: n, Label: strconv.Itoa(n)})
		}
		return out
	case contest.Checked:
		faults, _ := class.Faults()
		for i, f := range faults {
			out = append(out, KeyingAnswer{Mark: i + 1, Label: f.Name})
		}
		if len(out) == contest.MaxFaults {
			out[contest.MaxFaults-1].Letter = KeyTenth
		}
		return out
	case contest.Awarded:
		return nil
	}
	names := map[string]string{}
	if class.Kind == contest.Graded {
		if b, err := class.RuleBook(); err == nil {
			for _, g := range b.Scale {
				names[g.ID] = g.Name
			}
		}
	}
	for i, label := range class.Answers() {
		out = append(out, KeyingAnswer{Mark: i + 1, Label: label, Name: names[label]})
	}
	if !Named(class) {
		giveLetters(out)
	}
	return out
}

func giveLetters(answers []KeyingAnswer) {
	taken := map[string]bool{KeyTwo: true, KeyNumber: true}
	for whole := range 2 {
		for i := range answers {
			a := &answers[i]
			letter := strings.ToLower(a.Label[:1])
			if a.Letter == "" && !taken[letter] && (whole == 1 || len(a.Label) == 1) {
				a.Letter, taken[letter] = letter, true
			}
		}
	}
}

// MarksText writes the marks of a card as people write them.
func MarksText(class contest.Class, marks []byte) string {
	if class.Kind == contest.Checked || KeyingTypes(class) {
		return kindText(class, marks)
	}
	texts := make([]string, len(marks))
	for i, m := range marks {
		if texts[i] = class.MarkText(m); texts[i] == "" {
			texts[i] = words.T("keying.blank-sign")
		}
	}
	return strings.Join(texts, " ")
}

// MarksSpoken writes the marks of a card for the ear.
func MarksSpoken(class contest.Class, marks []byte) string {
	if class.Kind == contest.Checked || KeyingTypes(class) {
		return strings.ReplaceAll(kindText(class, marks), " · ", ", ")
	}
	names := map[string]string{}
	for _, a := range KeyingAnswers(class) {
		names[a.Label] = a.Name
	}
	texts := make([]string, len(marks))
	for i, m := range marks {
		text := class.MarkText(m)
		switch {
		case m == score.Blank:
			text = words.T("keying.blank-word")
		case m >= score.Double:
			text = words.T("keying.two-word")
		case len(text) > 1 && names[text] != "":
			text = names[text]
		}
		texts[i] = strings.ReplaceAll(text, "-", ", ")
	}
	return strings.Join(texts, ", ")
}

// KeyingEntry is the card that this phone finished last in a class.
type KeyingEntry struct {
	Number uint32
	Seq    uint32 // of its record
	Marks  []byte
	Again  bool         // keyed a second time
	When   int64        // unix seconds
	Status merge.Status // of the card now
	Differ []int        // items, from 1, in which the keyings of the card differ
}

// KeyingLast reads from the log the card that this phone wrote last in a class
// and that still stands, so that it outlives a restart.
func (s *State) KeyingLast(class contest.Class) (KeyingEntry, bool) {
	if s.Open == nil {
		return KeyingEntry{}, false
	}
	log := s.Open.Own(s.Phone.ID)
	if log == nil {
		return KeyingEntry{}, false
	}
	for i := len(log.Records) - 1; i >= 0; i-- {
		r := &log.Records[i]
		if r.Subject.Kind != record.KindCard || r.Subject.A != class.No {
			continue
		}
		cur := s.Open.Contest.State().Current(r.Subject)
		if r.Value == "" || !slices.Contains(cur.Refs, r.Ref()) {
			return KeyingEntry{}, false
		}
		return KeyingEntry{
			Number: r.Subject.B, Seq: r.Seq, Marks: []byte(r.Value), Again: s.second(log, r), When: r.Stamp.Wall,
			Status: cur.Status, Differ: differ(cur.Values, width(class)),
		}, true
	}
	return KeyingEntry{}, false
}

// second tells whether a record is a second keying or a correction of one that
// stands beside the first.
func (s *State) second(log *record.Log, r *record.Record) bool {
	for !r.Again && len(r.Replaces) == 1 && r.Replaces[0].Phone == r.Phone && log.Records[r.Replaces[0].Seq-1].Subject == r.Subject {
		r = &log.Records[r.Replaces[0].Seq-1]
	}
	return r.Again
}

// differ lists the steps, from 1, in which not all cards are the same; a step
// is as many marks as width.
func differ(values []string, width int) []int {
	var out []int
	longest := 0
	for _, v := range values {
		longest = max(longest, len(v))
	}
	for i := range longest {
		for _, v := range values {
			step := i/width + 1
			if (i >= len(v) || i >= len(values[0]) || v[i] != values[0][i]) && !slices.Contains(out, step) {
				out = append(out, step)
			}
		}
	}
	return out
}

// KeyingCounts is how far the cards of a class are, contestants who are out
// left aside.
type KeyingCounts struct {
	Due      int // contestants
	Done     int // cards keyed and settled
	Once     int // of these, by one person only
	Question int // cards in question
	Asked    int // of those done, to be keyed by two people
	Again    int // of these, by one so far
}

// KeyingCounts counts the cards of a class, once for the records as they stand.
func (s *State) KeyingCounts(class contest.Class) KeyingCounts {
	k := &s.Keying
	records := 0
	for i := range s.Open.Set.Logs {
		records += len(s.Open.Set.Logs[i].Records)
	}
	if k.counts == nil || k.counted != records || k.countOf != s.Open.Head.ID {
		k.counts, k.counted, k.countOf = map[uint32]KeyingCounts{}, records, s.Open.Head.ID
	}
	n, ok := k.counts[class.No]
	if ok {
		return n
	}
	for _, p := range s.Open.Contest.Persons {
		if p.Out != "" {
			continue
		}
		n.Due++
		n.count(s.Open.Contest, class, p.Number)
	}
	k.counts[class.No] = n
	return n
}

func (n *KeyingCounts) count(c *contest.Contest, class contest.Class, number uint32) {
	switch c.CardStatus(class, number) {
	case merge.Absent:
		return
	case merge.InQuestion:
		n.Question++
		return
	}
	n.Done++
	once, asked := c.KeyedOnce(class, number), c.Asked(class.No, number)
	if once {
		n.Once++
	}
	if asked {
		n.Asked++
	}
	if once && asked {
		n.Again++
	}
}
