package score

import (
	"fmt"
	"math/bits"
	"slices"

	"keelcard/engine"
	"keelcard/engine/placing"
	"keelcard/engine/points"
)

// Stable codes of this package's errors.
const (
	CodeTable engine.Code = "score.table" // a table of points cannot be used
	CodeKey   engine.Code = "score.key"   // a key does not fit its class
	CodeSheet engine.Code = "score.sheet" // the parts of a sheet do not fit each other
	CodeMark  engine.Code = "score.mark"  // a card holds a byte that is no mark
	CodeLarge engine.Code = "score.large" // more points, people or classes than can be held
	CodeNone  engine.Code = "score.none"  // no such person or team
)

// Marks are the bytes of a card, one a slot: Blank, the number of an answer
// from 1 up, or Double with the marked answers below it.
const (
	Blank  byte = 0    // nothing is marked
	Double byte = 0x80 // several answers are marked; alone, it is not said which
)

// MaxAnswers is the largest number of answers one slot can offer.
const MaxAnswers = 127

// DoubleOf makes the mark of several answers. Only answers 1 to 7 can be held;
// with another one among them, or fewer than two, it is not said which.
func DoubleOf(answers ...int) byte {
	mark := Double
	for _, a := range answers {
		if a < 1 || a > 7 {
			return Double
		}
		mark |= 1 << (a - 1)
	}
	if bits.OnesCount8(mark) < 3 {
		return Double
	}
	return mark
}

// DoubleAnswers lists the answers of a double mark in ascending order, none if
// it is not said which or the mark is not double.
func DoubleAnswers(mark byte) []int {
	var answers []int
	for a := 1; mark >= Double && a <= 7; a++ {
		if mark&(1<<(a-1)) != 0 {
			answers = append(answers, a)
		}
	}
	return answers
}

// Key is the official answer to one slot.
type Key struct {
	// Answers are the accepted answers, counted from 1. A second one is added
	// by a ruling; a mark then earns the best that any of them gives it.
	Answers []uint8
	// Out means that the slot is thrown out: every card earns its full points,
	// so that the class keeps its worth. Contests replace or cancel an item for
	// everyone rather than for some (common practice).
	Out bool
}

// Table is a class ready for scoring: what every possible mark byte earns in
// every slot.
type Table struct {
	Answers int                  // answers run from 1 to Answers
	Max     points.Points        // full points of the class
	Keys    []Key                // one a slot; without an answer where nothing is right or wrong
	Slots   [][256]points.Points // by slot and mark byte

	Join   Join          // how class points come from the slots; "" is their sum
	Groups int           // otherwise, as how many runs of equal length the slots are taken
	Round  points.Points // what a Mean is rounded to
}

// Full is the most that slot can earn.
func (t *Table) Full(slot int) points.Points { return slices.Max(t.Slots[slot][:]) }

// marks lists the bytes a card may hold, in ascending order.
func (t *Table) marks() []byte {
	var marks []byte
	for mark := range 256 {
		if t.Allowed(byte(mark)) {
			marks = append(marks, byte(mark))
		}
	}
	return marks
}

// Allowed tells whether a card of this class may hold the mark.
func (t *Table) Allowed(mark byte) bool {
	if mark < Double {
		return int(mark) <= t.Answers
	}
	which := mark &^ Double
	return which == 0 || (bits.OnesCount8(which) > 1 && bits.Len8(which) <= t.Answers)
}

// Rule says what a mark earns that is not one answer.
type Rule string

// The rules for blank and double marks. A class states both.
const (
	// Zero gives nothing. Penn State Extension, state poultry judging rules:
	// minus 10 for a blank item and for two marks.
	Zero Rule = "zero"
	// Lower gives a double mark the lower of the marked answers' points
	// (University of Kentucky Extension, 4AJ-06PA, 2021) and a placing card with
	// several orders the lowest score the class allows (University of Missouri
	// Extension, 2000). A blank, or a double mark of which it is not said what
	// was marked, gets the least that any answer to the slot earns.
	Lower Rule = "lower"
)

func (r Rule) valid() bool { return r == Zero || r == Lower }

// PointTable is how a graded class turns answers into points: a row for each
// official grade, a column for each marked one.
type PointTable struct {
	Grades []string          `json:"grades"` // names of the answers, in the order of the scale
	Points [][]points.Points `json:"points"` // Points[key][mark], both counted from 0
	Blank  Rule              `json:"blank"`
	Double Rule              `json:"double"`
}

// PennState is the table of Penn State Extension's state poultry judging rules
// for ten items of 10 points: minus 3 for each of the lines A-B and B-C
// crossed, minus 4 for C-NG, nothing for a blank or several marks.
func PennState() PointTable {
	p := func(row ...int) []points.Points {
		var of []points.Points
		for _, n := range row {
			of = append(of, points.Of(n))
		}
		return of
	}
	return PointTable{
		Grades: []string{"A", "B", "C", "NG"},
		Points: [][]points.Points{p(10, 7, 4, 0), p(7, 10, 7, 3), p(4, 7, 10, 6), p(0, 3, 6, 10)},
		Blank:  Zero,
		Double: Zero,
	}
}

// Crossing makes the table in which an answer loses, from full, the sum of the
// lines that lie between it and the official grade, down to nothing. lines[i]
// lies between grades[i] and grades[i+1]; a line that is not given costs
// nothing. Blank and double marks earn nothing. A negative line makes a table
// that Validate refuses.
func Crossing(grades []string, full points.Points, lines []points.Points) PointTable {
	t := Exact(grades, full)
	for key, row := range t.Points {
		for mark := range row {
			row[mark] = full
			for line := min(key, mark); line < min(max(key, mark), len(lines)); line++ {
				if lines[line] < 0 {
					row[mark] = lines[line]
					break
				}
				row[mark] -= min(row[mark], lines[line])
			}
		}
	}
	return t
}

// Exact makes the table of a class of n named answers in which only the right
// one earns points.
func Exact(names []string, full points.Points) PointTable {
	t := PointTable{Grades: slices.Clone(names), Blank: Zero, Double: Zero}
	for key := range names {
		row := make([]points.Points, len(names))
		row[key] = full
		t.Points = append(t.Points, row)
	}
	return t
}

// Validate reports every fault of the table at once: it must be square, its
// points 0 or more, the right answer worth more than nothing and no less than
// any other, and its rules known.
func (t PointTable) Validate() error {
	var faults engine.Faults
	add := func(where, what, fix string) { faults = append(faults, engine.New(CodeTable, where, what, fix)) }
	n := len(t.Grades)
	if n < 1 || n > MaxAnswers {
		add("grades", fmt.Sprintf("a scale of %d answers", n), fmt.Sprintf("use 1 to %d", MaxAnswers))
	}
	if len(t.Points) != n {
		add("points", fmt.Sprintf("%d rows of points for %d answers", len(t.Points), n), "give each answer one row")
	}
	for k, row := range t.Points {
		where := fmt.Sprintf("points[%d]", k)
		if len(row) != n || k >= n {
			add(where, fmt.Sprintf("%d points in a row for %d answers", len(row), n), "give each answer one value")
			continue
		}
		for m, p := range row {
			name := fmt.Sprintf("%s marked as %s", t.Grades[k], t.Grades[m])
			switch {
			case p < 0:
				add(where, fmt.Sprintf("%s earns %v", name, p), "use 0 or more")
			case p > MaxPoints:
				add(where, fmt.Sprintf("%s earns %v", name, p), fmt.Sprintf("use at most %v", MaxPoints))
			case p > row[k]:
				add(where, fmt.Sprintf("%s earns %v, more than the right answer's %v", name, p, row[k]), "give the right answer the most")
			case m == k && p == 0:
				add(where, fmt.Sprintf("the right answer %s earns nothing", t.Grades[k]), "give it points")
			}
		}
	}
	if !t.Blank.valid() {
		add("blank", fmt.Sprintf("%q is no rule for blank marks", t.Blank), `use "zero" or "lower"`)
	}
	if !t.Double.valid() {
		add("double", fmt.Sprintf("%q is no rule for double marks", t.Double), `use "zero" or "lower"`)
	}
	return faults.Err()
}

// Compile makes the lookup table of a class with one key a slot. A slot that
// is thrown out and has no accepted answer is worth the most of the table.
func (t PointTable) Compile(keys []Key) (Table, error) {
	if err := t.Validate(); err != nil {
		return Table{}, err
	}
	table := Table{Answers: len(t.Grades), Slots: make([][256]points.Points, len(keys))}
	var faults engine.Faults
	for s, key := range keys {
		if fault := key.check(s, table.Answers); fault != nil {
			faults = append(faults, fault)
			continue
		}
		table.Slots[s] = t.slot(key)
		table.Keys = append(table.Keys, Key{slices.Clone(key.Answers), key.Out})
		var err error
		if table.Max, err = points.Add(table.Max, table.Full(s)); err != nil {
			return Table{}, err
		}
	}
	if err := faults.Err(); err != nil {
		return Table{}, err
	}
	return table, nil
}

func (k Key) check(slot, answers int) *engine.Error {
	where := fmt.Sprintf("key %d", slot+1)
	if len(k.Answers) == 0 && !k.Out {
		return engine.New(CodeKey, where, "the key has no answer", "give an answer or throw the item out")
	}
	for i, a := range k.Answers {
		if a < 1 || int(a) > answers {
			return engine.New(CodeKey, where, fmt.Sprintf("answer %d is not on the scale", a), fmt.Sprintf("use 1 to %d", answers))
		}
		if slices.Contains(k.Answers[:i], a) {
			return engine.New(CodeKey, where, fmt.Sprintf("answer %d is accepted twice", a), "name each accepted answer once")
		}
	}
	return nil
}

// slot is what each mark byte earns under one key.
func (t PointTable) slot(key Key) [256]points.Points {
	earned := make([]points.Points, len(t.Grades))
	for _, a := range key.Answers {
		for m, p := range t.Points[a-1] {
			earned[m] = max(earned[m], p)
		}
	}
	if key.Out {
		full := slices.Max(earned)
		if len(key.Answers) == 0 {
			for k, row := range t.Points {
				full = max(full, row[k])
			}
		}
		return everyMark(full)
	}
	return byMark(earned, t.Blank, t.Double)
}

// byMark spreads the points of each single answer over all mark bytes.
func byMark(earned []points.Points, blank, double Rule) [256]points.Points {
	var row [256]points.Points
	least := slices.Min(earned)
	copy(row[1:], earned)
	if blank == Lower {
		row[Blank] = least
	}
	if double == Lower {
		for mark := int(Double); mark < 256; mark++ {
			row[mark] = lowest(earned, DoubleAnswers(byte(mark)), least)
		}
	}
	return row
}

// lowest is the least that one of the marked answers earns; otherwise it is
// used when none of them is known.
func lowest(earned []points.Points, marked []int, otherwise points.Points) points.Points {
	low, found := otherwise, false
	for _, a := range marked {
		if a <= len(earned) && (!found || earned[a-1] < low) {
			low, found = earned[a-1], true
		}
	}
	return low
}

// ThrowOut lets every card earn the full points of a slot. Without answered, the
// slot keeps no accepted answer.
func (t *Table) ThrowOut(slot int, answered bool) {
	t.Slots[slot] = everyMark(t.Full(slot))
	t.Keys[slot].Out = true
	if !answered {
		t.Keys[slot].Answers = nil
	}
}

func everyMark(p points.Points) [256]points.Points {
	var row [256]points.Points
	for mark := range row {
		row[mark] = p
	}
	return row
}

// Placing is a placing class: one slot whose answers are the 24 orders, by
// their index.
type Placing struct {
	Official placing.Order
	Also     []placing.Order // further orders accepted by a ruling; the best counts
	Cuts     placing.Cuts
	Max      points.Points // what the official order earns: 50 as published, or scaled, see placing.Worth
	Double   Rule          // several orders marked: Lower is the lowest score the cuts allow
	Out      bool          // thrown out: every card earns Max
}

// Table makes the lookup table of the class. A blank card earns nothing
// (University of Missouri Extension, 2000).
func (p Placing) Table() (Table, error) {
	if err := p.Cuts.Validate(); err != nil {
		return Table{}, err
	}
	if p.Max <= 0 || p.Max > MaxPoints {
		return Table{}, engine.New(CodeTable, "max", fmt.Sprintf("a placing class worth %v", p.Max), fmt.Sprintf("use more than 0 and at most %v", MaxPoints))
	}
	if !p.Double.valid() {
		return Table{}, engine.New(CodeTable, "double", fmt.Sprintf("%q is no rule for double marks", p.Double), `use "zero" or "lower"`)
	}
	key := Key{Out: p.Out}
	earned := make([]points.Points, placing.Count)
	for _, official := range append([]placing.Order{p.Official}, p.Also...) {
		if !official.Valid() {
			return Table{}, engine.New(CodeKey, "official placing", fmt.Sprintf("%v is not an order of the items 1 to 4", official), "name each item once")
		}
		key.Answers = append(key.Answers, uint8(official.Index()))
		for i, given := range placing.Orders() {
			worth, err := placing.Worth(placing.Score(official, p.Cuts, given), p.Max)
			if err != nil {
				return Table{}, err
			}
			earned[i] = max(earned[i], worth)
		}
	}
	if fault := key.check(0, placing.Count); fault != nil {
		return Table{}, fault
	}
	row := byMark(earned, Zero, Zero)
	if p.Double == Lower {
		for mark := int(Double); mark < 256; mark++ {
			row[mark] = slices.Min(earned)
		}
	}
	if p.Out {
		row = everyMark(p.Max)
	}
	return Table{Answers: placing.Count, Max: p.Max, Keys: []Key{key}, Slots: [][256]points.Points{row}}, nil
}
