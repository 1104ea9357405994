package app

import (
	"slices"
	"strconv"
	"strings"

	"keelcard/engine/contest"
	"keelcard/engine/points"
	"keelcard/engine/score"
	"keelcard/web/words"
)

// How cards are keyed whose answers are names, faults or points.

// FewAnswers is the most answers that are told by one key each; of more, a
// number needs a second digit or the word that it is whole.
const FewAnswers = 11

// maxTyped is the longest beginning of an answer that is typed, in bytes.
const maxTyped = 40

// Told tells whether a step of the card has its marks.
func (d *Draft) Told(class contest.Class, i int) bool { return d.step(class, i)[0] != NoMark }

// Faulty tells whether a fault is tapped on a step of a checked card.
func (d *Draft) Faulty(class contest.Class, i int) bool {
	return class.Kind == contest.Checked && slices.Contains(d.step(class, i), int(contest.Present))
}

// Step gives the marks of one step as a record would hold them, blank where
// nothing is told.
func (d *Draft) Step(class contest.Class, i int) []byte {
	out := make([]byte, 0, contest.MaxFaults)
	for _, m := range d.step(class, i) {
		out = append(out, byte(max(m, 0)))
	}
	return out
}

// reopen takes back the tap that left the open step: its answer, or in a
// checked class only that it was done with, where faults were tapped.
func (d *Draft) reopen(class contest.Class) {
	if !d.Faulty(class, d.Item) {
		d.fill(class, d.Item, NoMark)
	}
}

// turnFault puts a fault on the open item, or takes it off again.
func (s *State) turnFault(m Msg, class contest.Class, card *Draft, fault int) []Effect {
	item := card.step(class, card.Item)
	if fault > len(item) {
		return nil
	}
	turned := int(contest.Present)
	if item[fault-1] == turned {
		turned = int(contest.Absent)
	}
	for i, mark := range item {
		if mark != int(contest.Present) {
			item[i] = int(contest.Absent)
		}
	}
	item[fault-1] = turned
	if card.Way == WayChange {
		return s.changeMark(m, class, card, card.Item)
	}
	card.reopen(class)
	return s.keepDraft(m, class)
}

// keyingNone says of the open item that it has no fault.
func keyingNone(s *State, m Msg) []Effect {
	class, card, err := s.keyingCard()
	if err != nil {
		return s.refuse(err)
	}
	if card == nil || class.Kind != contest.Checked {
		return nil
	}
	return s.setMark(m, class, card, contest.Absent)
}

// keyingOn is done with the faults of the open item.
func keyingOn(s *State, m Msg) []Effect {
	class, card, err := s.keyingCard()
	if err != nil {
		return s.refuse(err)
	}
	if card == nil || class.Kind != contest.Checked || !card.Told(class, card.Item) {
		return nil
	}
	return s.goOn(m, class, card)
}

// KeyingTypes tells whether the answers of a class are typed: points, or names
// by their number or their beginning. Answers of one letter are not.
func KeyingTypes(class contest.Class) bool {
	return class.Kind == contest.Awarded || Named(class)
}

// Named tells whether the answers of a class are names, and not single letters.
func Named(class contest.Class) bool {
	return class.Kind == contest.Identified && slices.ContainsFunc(class.Answers(), func(a string) bool { return len(a) > 1 })
}

// KeyingPoints lists the points that can be given in a slot of an awarded
// class; the first is mark 1.
func KeyingPoints(class contest.Class, slot int) []points.Points {
	given := class.GivenFor()
	most := given[slot%len(given)].Most
	var out []points.Points
	for mark := byte(1); mark <= score.MaxAnswers && class.MarkPoints(mark) <= most; mark++ {
		out = append(out, class.MarkPoints(mark))
	}
	return out
}

// typing lists what is typed for each answer of a slot: its points, or its
// name; and the two-digit form of its number where numbers have two digits.
func typing(class contest.Class, slot int) (texts, padded []string) {
	if class.Kind == contest.Awarded {
		for _, p := range KeyingPoints(class, slot) {
			texts = append(texts, p.String())
		}
		return texts, pad(texts)
	}
	for i, name := range class.Answers() {
		texts = append(texts, strings.ToLower(name))
		padded = append(padded, strconv.Itoa(i+1))
	}
	return texts, pad(padded)
}

func pad(numbers []string) []string {
	out := slices.Clone(numbers)
	for i, n := range out {
		if len(n) == 1 && len(out) > FewAnswers-1 {
			out[i] = "0" + n
		}
	}
	return out
}

// KeyingMatches lists the marks that what is typed so far can become on the
// open step. exact is the one that it is already, 0 for none.
func (s *State) KeyingMatches(class contest.Class) (marks []int, exact int) {
	typed := s.Keying.Typed
	if typed == "" {
		return nil, 0
	}
	texts, padded := typing(class, s.Keying.Card.Item)
	for i, text := range texts {
		number := padded[i]
		if !strings.HasPrefix(text, typed) && !strings.HasPrefix(number, typed) && !strings.HasPrefix(strings.TrimPrefix(number, "0"), typed) {
			continue
		}
		marks = append(marks, i+1)
		if text == typed || number == typed || strings.TrimPrefix(number, "0") == typed {
			exact = i + 1
		}
	}
	return marks, exact
}

// keyingType takes one more letter or digit of an answer, "erase" to take one
// back, or "take" for the answer as far as it is typed.
func keyingType(s *State, m Msg) []Effect {
	class, card, err := s.keyingCard()
	if err != nil {
		return s.refuse(err)
	}
	k := &s.Keying
	c := m.Arg(0)
	if card == nil || !KeyingTypes(class) {
		return nil
	}
	if c == "erase" {
		if k.Typed == "" {
			return keyingBack(s, m)
		}
		k.Typed = k.Typed[:len(k.Typed)-1]
		return nil
	}
	if len(c) == 1 && len(k.Typed) < maxTyped {
		k.Typed += c
	}
	k.Wrong, k.Fresh = "", false
	marks, exact := s.KeyingMatches(class)
	switch {
	case k.Typed == "":
		return nil
	case len(marks) == 0:
		k.Wrong, k.Typed = k.Typed, ""
		return nil
	case c == "take" && exact == 0 && len(marks) == 1:
		exact = marks[0]
	case c == "take":
	case len(marks) > 1 || !s.typedWhole(class):
		return nil
	}
	if exact == 0 {
		return nil
	}
	k.Typed = ""
	return s.setMark(m, class, card, byte(exact))
}

// typedWhole tells whether what is typed needs no word that it is whole: a
// number of two digits, or of one where the answers are few. Whoever types a
// name goes on typing after it could only be one.
func (s *State) typedWhole(class contest.Class) bool {
	typed := s.Keying.Typed
	if typed[0] > '9' {
		return false
	}
	return class.Kind == contest.Identified || len(typed) > 1 || len(KeyingPoints(class, s.Keying.Card.Item)) <= FewAnswers
}

// keyingKindKey takes a key of the keyboard that means something of its own in
// a class of faults, names or points.
func (s *State) keyingKindKey(class contest.Class, m Msg, key string) ([]Effect, bool) {
	k := &s.Keying
	send := func(h handler, arg string) ([]Effect, bool) {
		m.Args = []string{arg}
		return h(s, m), true
	}
	switch {
	case k.Card == nil:
	case class.Kind == contest.Checked && (key == "n" || key == "0"):
		return send(keyingNone, "")
	case class.Kind == contest.Checked && key == "Enter" && k.Card.Told(class, k.Card.Item):
		return send(keyingOn, "")
	case !KeyingTypes(class):
	case key == "Backspace":
		return send(keyingType, "erase")
	case key == "Enter" && k.Typed != "":
		return send(keyingType, "take")
	case key == "Space" && k.Typed != "":
		return send(keyingType, " ")
	case len(key) == 1 && (key[0] >= '0' && key[0] <= '9' || key == "." || key[0] >= 'a' && key[0] <= 'z' && Named(class)):
		return send(keyingType, key)
	}
	return nil, false
}

// KeyingBoth is the key of the keyboard that says two answers are marked, where
// letters spell names.
const KeyingBoth = "*"

// StepName names what one step of a card is about.
func StepName(class contest.Class, i int) string {
	given := class.GivenFor()
	name := given[i%len(given)].Name
	official := words.T("keying.official", i/len(given)+1)
	switch {
	case class.Kind != contest.Awarded:
		return words.T("keying.item", i+1)
	case name == "" && class.OfficialCount() == 1:
		return words.T("keying.given")
	case name == "":
		return official
	case class.OfficialCount() == 1:
		return name
	}
	return official + ", " + name
}

// StepText writes the marks of one step of a card in words.
func StepText(class contest.Class, marks []byte) string {
	for _, text := range StepTexts(class, marks) {
		return text
	}
	return words.T("keying.blank-word")
}

// StepTexts writes a card in words, one text a step.
func StepTexts(class contest.Class, marks []byte) []string {
	texts := contest.CardTexts(class, marks)
	for i, text := range texts {
		switch text {
		case "":
			texts[i] = words.T("keying.blank-word")
		case class.MarkText(score.Double):
			texts[i] = words.T("keying.two-word")
		default:
			texts[i] = faultWords(class, text)
		}
	}
	return texts
}

// faultWords puts an item without a fault into words.
func faultWords(class contest.Class, text string) string {
	if class.Kind == contest.Checked && text == contest.None {
		return words.T("keying.none-word")
	}
	return text
}

// KeyText writes an official answer in words.
func KeyText(class contest.Class, item contest.KeyItem) string {
	return faultWords(class, contest.AnswerText(class, item))
}

// kindText writes a whole card of names, faults or points in one line.
func kindText(class contest.Class, marks []byte) string {
	texts := StepTexts(class, marks)
	switch class.Kind {
	case contest.Awarded:
		if p, ok := CardPoints(class, marks); ok && len(texts) > 1 {
			if class.OfficialCount() > 1 {
				texts = append(texts, words.T("keying.mean", p))
			} else {
				texts = append(texts, words.T("keying.sum", p))
			}
		}
	case contest.Checked:
		none := words.T("keying.none-word")
		sound := 0
		var faulty []string
		for i, t := range texts {
			if t == none {
				sound++
			} else {
				faulty = append(faulty, words.T("keying.item-text", i+1, t))
			}
		}
		if sound > 0 {
			faulty = append(faulty, words.N("keying.sound", sound))
		}
		texts = faulty
	}
	return strings.Join(texts, " · ")
}

// CardPoints is what a card of an awarded class earns: the sum of one official,
// or the mean of several.
func CardPoints(class contest.Class, marks []byte) (points.Points, bool) {
	table, err := class.Table(contest.Key{})
	if err != nil {
		return 0, false
	}
	r, err := score.Compute(score.Sheet{Persons: 1, Classes: []score.ClassSheet{{Table: table, Marks: marks, Has: []bool{true}}}})
	if err != nil {
		return 0, false
	}
	return r.ClassPoints(0, 0), true
}
