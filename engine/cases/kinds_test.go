package cases

import (
	"slices"
	"strings"

	judged "keelcard/engine/contest"
	"keelcard/engine/points"
	"keelcard/engine/score"
)

// otherClass is a class of a kind that the contest package compiles: names of a
// list, faults of a book, or points that officials give.
type otherClass struct {
	judged.Class
	key judged.Key
}

// otherKinds are the words for such classes, with what reads the rest of a line.
var otherKinds = map[string]func(*otherClass, *words){
	judged.Identified: (*otherClass).readIdentified,
	judged.Checked:    (*otherClass).readChecked,
	judged.Awarded:    (*otherClass).readAwarded,
}

func (o *otherClass) readIdentified(w *words) {
	o.List, o.Worth = w.next("the list"), points.Of(w.number("what the class is worth"))
	o.readRule(w, "zero", "lower")
}

func (o *otherClass) readChecked(w *words) {
	o.Book, o.Worth = w.next("the book"), points.Of(w.number("what the class is worth"))
	o.Whole = o.readRule(w, "zero", "lower", "whole") == 2
}

// readRule reads the last word of a class.
func (o *otherClass) readRule(w *words, rules ...string) int {
	rule := w.index("rule", rules)
	if rule == 1 {
		o.Double = judged.DoubleLower
	}
	return rule
}

func (o *otherClass) readAwarded(w *words) {
	o.Officials, o.Worth = w.number("how many officials"), points.Of(w.number("what the class is worth"))
	o.Step = o.points(w, w.next("the step"))
	rounds := []string{"", judged.RoundHalf, judged.RoundWhole}
	o.Round = rounds[w.index("way to round", []string{"hundredth", "half", "whole"})]
	for _, word := range w.rest() {
		name, most, _ := strings.Cut(word, ":")
		o.Criteria = append(o.Criteria, judged.Criterion{Name: name, Most: o.points(w, most)})
	}
}

func (o *otherClass) points(w *words, text string) points.Points {
	p, err := points.Parse(text)
	if err != nil {
		w.fail("%w", err)
	}
	return p
}

// addKey reads the answer of one more item: A/B where both are right, A/out
// where it is thrown out.
func (o *otherClass) addKey(w *words, word string) {
	var item judged.KeyItem
	out := false
	for _, text := range strings.Split(word, "/") {
		if text == "out" {
			out = true
			continue
		}
		answer := o.answer(w, text)
		if item.Answer == "" {
			item.Answer = answer
		} else {
			item.Also = append(item.Also, answer)
		}
	}
	o.Items++
	o.key.Items = append(o.key.Items, item)
	o.key.Rulings = append(o.key.Rulings, judged.Ruling{Out: out})
}

func (o *otherClass) answer(w *words, text string) string {
	if o.Kind == judged.Checked {
		return text // as a key holds it: faults by their ids
	}
	i, ok := judged.FindName(o.Class, text)
	if !ok {
		w.fail("%q is no name of the list", text)
		return ""
	}
	return o.Answers()[i]
}

// entries is how many words a card has: one a slot, or one an item with faults.
func (o *otherClass) entries() int {
	if o.Kind == judged.Checked {
		return o.Items
	}
	return o.Slots()
}

// marks reads one word of a card.
func (o *otherClass) marks(w *words, slot int, word string) []byte {
	switch {
	case o.Kind == judged.Checked:
		return o.faults(w, word)
	case word == "-":
		return []byte{score.Blank}
	case o.Kind == judged.Awarded:
		mark, err := o.PointsMark(slot, o.points(w, word))
		if err != nil {
			w.fail("%w", err)
		}
		return []byte{mark}
	case word == "x2":
		return []byte{score.Double}
	}
	var answers []int
	for _, text := range strings.Split(word, "+") {
		answers = append(answers, slices.Index(o.Answers(), o.answer(w, text))+1)
	}
	if len(answers) > 1 {
		return []byte{score.DoubleOf(answers...)}
	}
	return []byte{byte(answers[0])}
}

// faults marks the faults of an item: those named are present, the others absent.
func (o *otherClass) faults(w *words, word string) []byte {
	faults, err := o.Faults()
	if err != nil {
		w.fail("%w", err)
	}
	named := judged.SplitFaults(word)
	var marks []byte
	for _, f := range faults {
		at := slices.Index(named, f.ID)
		switch {
		case word == "-":
			marks = append(marks, score.Blank)
		case at < 0:
			marks = append(marks, judged.Absent)
		default:
			marks = append(marks, judged.Present)
			named = slices.Delete(named, at, at+1)
		}
	}
	if word != "-" && len(named) > 0 {
		w.fail("%q is no fault of the book", named[0])
	}
	return marks
}

// table compiles the class after the contest package has checked it.
func (o *otherClass) table() (score.Table, error) {
	if _, err := o.Write(); err != nil {
		return score.Table{}, err
	}
	return o.Table(o.key)
}

// sum tells how the groups of a class make its points.
func (c *contest) sum(w *words) string {
	person, class := w.index("person", c.people), w.index("class", c.classNames)
	if w.err != nil {
		return ""
	}
	trail, err := c.result.Trail(person)
	if err != nil {
		w.fail("%w", err)
		return ""
	}
	return trail.Classes[class].Text()
}
