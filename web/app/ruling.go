package app

import (
	"slices"
	"strconv"
	"strings"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/points"
	"keelcard/engine/record"
	"keelcard/engine/score"
	"keelcard/engine/sorting"
	"keelcard/engine/tree"
	"keelcard/web/words"
)

// Ruling is a ruling that is being weighed. What it is about is in the address;
// nothing is written before it is made.
type Ruling struct {
	On   contest.ItemOf
	Way  string // one of the ways, "" before one is chosen
	Pick string // the answer that was chosen, as a key holds it
	Why  string
	Need bool // it was to be made and the reason is still missing

	preview *contest.Preview
	weighed string  // the ruling that preview is of
	scored  *Scored // the results that it was made from
	err     error   // why there is none
}

// The ways to rule on an item. A whole class can only be left out.
const (
	RuleOut    = "out"    // throw it out, or leave the class out
	RuleAlso   = "also"   // another answer is right as well
	RuleAnswer = "answer" // the official answer is corrected
	RuleBack   = "back"   // take the ruling back that stands
)

func rulingHandlers() handlers {
	return handlers{
		"enter.ruling": rulingEnter,
		"ruling.way":   rulingWay,
		"ruling.pick":  rulingPick,
		"ruling.fault": rulingFault,
		"ruling.why":   func(s *State, m Msg) []Effect { s.Ruling.Why, s.Ruling.Need = m.Text, false; return nil },
		"ruling.make":  rulingMake,
		"ruling.drop":  func(s *State, m Msg) []Effect { s.Ruling = Ruling{On: s.Ruling.On}; return nil },
	}
}

// rulingEnter keeps what was begun about an item until another one is opened.
func rulingEnter(s *State, m Msg) []Effect {
	if on := (contest.ItemOf{Class: s.Page.Number(0), Item: s.Page.Number(1)}); s.Ruling.On != on {
		s.Ruling = Ruling{On: on}
	}
	return nil
}

// RulingNow is what the ruling page is about.
type RulingNow struct {
	Class  contest.Class
	Item   uint32 // from 1; 0 for the whole class
	Key    contest.Key
	Ruled  contest.Ruled // the ruling that stands or is in question
	Stands bool          // there is one
}

// Official is the answer as it was set, Now as it stands after the ruling; empty
// for a whole class.
func (n RulingNow) Official() contest.KeyItem { return n.at(n.Key.Official) }

// Now is the answer as it stands.
func (n RulingNow) Now() contest.KeyItem { return n.at(n.Key.Items) }

func (n RulingNow) at(items []contest.KeyItem) contest.KeyItem {
	if n.Item == 0 {
		return contest.KeyItem{}
	}
	return items[n.Item-1]
}

// InQuestion tells whether officials ruled differently.
func (n RulingNow) InQuestion() bool { return n.Stands && n.Ruled.Status == merge.InQuestion }

// RulingNow reads what the ruling page is about. Codes: app.ruling-class,
// app.ruling-item, and app.sealed where answers or rulings are sealed to this phone.
func (s *State) RulingNow() (RulingNow, error) {
	if s.Open == nil {
		return RulingNow{}, engine.New("app.no-contest", "", words.T("core.no-contest"), words.T("core.no-contest-fix"))
	}
	class, ok := s.Open.Contest.Class(s.Page.Number(0))
	n := RulingNow{Class: class, Item: s.Page.Number(1)}
	if !ok {
		return n, engine.New("app.ruling-class", "", words.T("ruling.no-class", s.Page.Arg(0)), words.T("ruling.no-class-fix"))
	}
	n.Key = s.Open.Contest.Key(class)
	if int64(n.Item) > int64(len(n.Key.Items)) {
		return n, engine.New("app.ruling-item", class.Name, words.T("ruling.no-item", s.Page.Arg(1)), words.T("ruling.no-item-fix"))
	}
	n.Ruled, n.Stands = s.RulingOn(class.No, n.Item)
	if n.Key.Sealed || s.Sealed() {
		return n, sealedHere()
	}
	return n, nil
}

// RulingOn finds the ruling that stands or is in question.
func (s *State) RulingOn(class, item uint32) (contest.Ruled, bool) {
	for _, r := range s.Open.Contest.Rulings() {
		if r.Class == class && r.Item == item {
			return r, true
		}
	}
	return contest.Ruled{}, false
}

// RulingsMade lists the rulings that hold, by class and item.
func (s *State) RulingsMade() []contest.Ruled {
	return slices.DeleteFunc(s.Open.Contest.Rulings(), func(r contest.Ruled) bool { return r.Status == merge.InQuestion })
}

// RulingWhere names the item that a ruling is about.
func (s *State) RulingWhere(class contest.Class, item uint32) string {
	if item == 0 || class.Kind == contest.Placing {
		return class.Name
	}
	return words.T("ruling.where", class.Name, item)
}

// RulingText says what a ruling does.
func RulingText(class contest.Class, item uint32, r contest.Ruling) string {
	if r.Out && item == 0 {
		return words.T("ruling.is-left-out")
	}
	if r.Out {
		return words.T("ruling.is-out")
	}
	var out []string
	if r.Answer != "" {
		out = append(out, words.T("ruling.is-answer", KeyText(class, contest.KeyItem{Answer: r.Answer})))
	}
	for _, a := range r.Also {
		out = append(out, words.T("ruling.is-also", KeyText(class, contest.KeyItem{Answer: a})))
	}
	return strings.Join(out, ", ")
}

// RulingLine tells a ruling in one line: where, and what it does.
func (s *State) RulingLine(r contest.Ruled) string {
	class, _ := s.Open.Contest.Class(r.Class)
	text := RulingText(class, r.Item, r.Ruling)
	if r.Sealed {
		text = words.T("history.sealed")
	}
	return words.T("ruling.line", s.RulingWhere(class, r.Item), text)
}

// RulingWays lists the ways to rule that are open.
func (n RulingNow) RulingWays() []string {
	var ways []string
	if !n.Ruled.Out {
		ways = append(ways, RuleOut)
	}
	if n.Item > 0 && n.Official().Answer != "" && n.Key.Status[n.Item-1] != merge.InQuestion {
		ways = append(ways, RuleAlso, RuleAnswer)
	}
	if n.Stands {
		ways = append(ways, RuleBack)
	}
	return ways
}

// RulingPicks lists the answers that a ruling may choose: those that are not
// right already.
func (n RulingNow) RulingPicks(way string) []string {
	now := n.Now()
	return slices.DeleteFunc(slices.Clone(n.Class.Answers()), func(a string) bool {
		return a == now.Answer || way == RuleAlso && slices.Contains(now.Also, a)
	})
}

func rulingWay(s *State, m Msg) []Effect {
	n, err := s.RulingNow()
	if err != nil {
		return s.refuse(err)
	}
	if !slices.Contains(n.RulingWays(), m.Arg(0)) || n.InQuestion() {
		return nil
	}
	s.Ruling = Ruling{On: s.Ruling.On, Way: m.Arg(0), Why: s.Ruling.Why}
	if n.Class.Kind == contest.Checked {
		s.Ruling.Pick = n.Now().Answer
	}
	return nil
}

// rulingPick chooses an answer: by its number among those of the class, or by
// itself from a list.
func rulingPick(s *State, m Msg) []Effect {
	n, err := s.RulingNow()
	if err != nil {
		return s.refuse(err)
	}
	picks := n.RulingPicks(s.Ruling.Way)
	name, ok := numbered(n.Class.Answers(), m.Arg(0))
	if !ok {
		name = m.Text
	}
	if n.Class.Kind != contest.Checked && (name == "" || slices.Contains(picks, name)) {
		s.Ruling.Pick = name
	}
	return nil
}

// rulingFault puts a fault into the answer that is being chosen, or takes it out
// again.
func rulingFault(s *State, m Msg) []Effect {
	n, err := s.RulingNow()
	if err != nil || n.Class.Kind != contest.Checked || s.Ruling.Pick == "" {
		return nil
	}
	faults, _ := n.Class.Faults()
	present := contest.SplitFaults(s.Ruling.Pick)
	var ids []string
	for i, f := range faults {
		if slices.Contains(present, f.ID) != (itoa(i+1) == m.Arg(0)) {
			ids = append(ids, f.ID)
		}
	}
	s.Ruling.Pick = contest.JoinFaults(ids)
	return nil
}

// Proposed is the ruling that is being weighed, zero to take back the one that
// stands. It is not ok before everything is chosen.
func (s *State) Proposed() (contest.Ruling, bool) {
	n, err := s.RulingNow()
	if err != nil {
		return contest.Ruling{}, false
	}
	r := contest.Ruling{Why: s.Ruling.Why}
	pick, now := s.Ruling.Pick, n.Now()
	known := pick == "" || pick == now.Answer
	switch s.Ruling.Way {
	case RuleOut:
		r.Out = true
	case RuleAnswer:
		r.Answer = pick
		return r, !known
	case RuleAlso:
		if !n.Ruled.Out {
			r.Answer, r.Also = n.Ruled.Answer, slices.Clone(n.Ruled.Also)
		}
		r.Also = append(r.Also, pick)
		return r, !known && !slices.Contains(now.Also, pick)
	case RuleBack:
		return contest.Ruling{}, n.Stands
	default:
		return r, false
	}
	return r, true
}

// RulingPreview is what the ruling being weighed would come to; nil while it is
// not whole.
func (s *State) RulingPreview() (*contest.Preview, error) {
	r, ok := s.Proposed()
	if !ok {
		return nil, nil
	}
	scored, err := s.Open.Scored()
	if err != nil {
		return nil, err
	}
	if r.Why = ""; !r.None() {
		r.Why = "-" // whom it would move does not wait for the reason
	}
	if k, weighed := &s.Ruling, string(tree.Write(&r)); k.scored != scored || k.weighed != weighed {
		p, err := s.Open.Contest.Preview(map[contest.ItemOf]contest.Ruling{k.On: r})
		k.preview, k.err, k.scored, k.weighed = &p, err, scored, weighed
	}
	return s.Ruling.preview, s.Ruling.err
}

// rulingMake writes the ruling down.
func rulingMake(s *State, m Msg) []Effect {
	n, err := s.RulingNow()
	if err != nil {
		return s.refuse(err)
	}
	r, ok := s.Proposed()
	if !ok || n.InQuestion() {
		return nil
	}
	value := ""
	if !r.None() {
		if strings.TrimSpace(r.Why) == "" {
			s.Ruling.Need = true
			return []Effect{Focus{ID: "f-why"}}
		}
		if value, err = r.Write(n.Class, n.Item, n.Key); err != nil {
			return s.refuse(err)
		}
	}
	effects := s.write(m, official, written{Subject: contest.RulingSubject(n.Class.No, n.Item), Value: value})
	if len(effects) == 0 {
		return nil
	}
	s.Ruling = Ruling{On: s.Ruling.On}
	text := words.T("ruling.taken-back")
	if value != "" {
		text = words.T("ruling.made", words.T("ruling.line", s.RulingWhere(n.Class, n.Item), RulingText(n.Class, n.Item, r)))
	}
	s.Notice = Notice{Tone: "info", Text: text}
	return append(effects, Top{})
}

// Fell is how many cards have one answer on an item.
type Fell struct {
	Text   string
	Cards  int
	Right  bool          // it earns the full points as the answer stands
	Earned points.Points // what it earns
	Scored bool          // Right and Earned are known
	Blank  bool
}

// CardsFell tells, item by item, how the settled cards of a class fell, the
// commonest answer first; nil for a class without items.
func (s *State) CardsFell(class contest.Class) [][]Fell {
	c := s.Open.Contest
	key := c.Key(class)
	if len(key.Items) == 0 {
		return nil
	}
	table, err := class.Table(key)
	if key.Sealed {
		err = sealedHere()
	}
	out := make([][]Fell, len(key.Items))
	for _, p := range c.Persons {
		marks := c.Card(class, p.Number).Marks
		w := len(marks) / len(key.Items)
		if w == 0 {
			continue
		}
		for i, text := range StepTexts(class, marks) {
			n := slices.IndexFunc(out[i], func(f Fell) bool { return f.Text == text })
			if n < 0 {
				n = len(out[i])
				f := fallen(table, i*w, marks[i*w:(i+1)*w])
				f.Text, f.Scored = text, err == nil
				out[i] = append(out[i], f)
			}
			out[i][n].Cards++
		}
	}
	for _, fell := range out {
		sorting.Stable(fell, func(a, b Fell) int { return b.Cards - a.Cards })
	}
	return out
}

// CardsOf counts the cards.
func CardsOf(fell []Fell) int {
	n := 0
	for _, f := range fell {
		n += f.Cards
	}
	return n
}

// fallen is what some marks earn in the slots from at.
func fallen(t score.Table, at int, marks []byte) Fell {
	f := Fell{Blank: true}
	full := points.Points(0)
	for i, mark := range marks {
		f.Blank = f.Blank && mark == score.Blank
		if at+i < len(t.Slots) {
			f.Earned += t.Slots[at+i][mark]
			full += t.Full(at + i)
		}
	}
	if f.Right = f.Earned == full; !f.Right && t.Join == score.Whole {
		f.Earned = 0
	}
	return f
}

// Doubtful tells whether more than half of at least five cards have one and the
// same answer that is not right: either there is something to learn, or the item
// was unfair.
func Doubtful(fell []Fell) bool {
	n := CardsOf(fell)
	return n >= 5 && fell[0].Scored && !fell[0].Right && !fell[0].Blank && fell[0].Cards*2 > n
}

// ruling puts a ruling into words, field by field.
func (t *teller) ruling(s *State, sub record.Subject, r contest.Ruling) {
	class, _ := s.Open.Contest.Class(sub.A)
	if r.Out {
		t.line("ruling", RulingText(class, sub.B, r))
	}
	t.line("answer", KeyText(class, contest.KeyItem{Answer: r.Answer}))
	t.also(class, r.Also)
	t.line("why", r.Why)
}

// SortMoves lists moves by the place they lead to: those whose place in the
// whole contest changes, and the others.
func SortMoves(moves []contest.Move) (places, others []contest.Move) {
	for _, move := range moves {
		if move.Before.Rank != move.After.Rank {
			places = append(places, move)
		} else {
			others = append(others, move)
		}
	}
	by := func(a, b contest.Move) int { return last(a.After.Rank) - last(b.After.Rank) }
	sorting.Stable(places, by)
	sorting.Stable(others, by)
	return places, others
}

// last puts those without a place behind all others.
func last(rank int32) int {
	if rank == 0 {
		return 1 << 30
	}
	return int(rank)
}

// RankText is a place in a preview.
func RankText(rank int32) string {
	if rank == 0 {
		return words.T("ruling.no-place")
	}
	return strconv.Itoa(int(rank))
}
