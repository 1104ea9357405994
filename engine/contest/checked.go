package contest

import (
	"fmt"
	"slices"
	"strings"

	"keelcard/engine"
	"keelcard/engine/points"
	"keelcard/engine/score"
)

// checked is the class of n items, of each of which is said which faults of a
// list it has. A card has a slot for each fault of each item, item after item.
//
// Each fault that is told right, present or absent, earns an equal share (Penn
// State Extension, state poultry judging: further-processed products, 10 a
// product, 2 for each of five factors). With Class.Whole an item earns its
// points only if all of its faults are told right (common practice).
type checked struct{}

// The marks of a fault.
const (
	Absent  byte = 1
	Present byte = 2
)

// None is the answer of an item without a fault.
const None = "none"

// Fault is one fault that the items of a checked class are looked over for.
type Fault struct{ ID, Name string }

// Faults lists the faults of a checked class: those of its book under its
// choices, or its own. Codes: contest.book, contest.faults and those of
// rulebook.Book.Resolve.
func (c Class) Faults() ([]Fault, error) {
	var out []Fault
	if c.Book == "" {
		for _, name := range c.Names {
			out = append(out, Fault{name, name})
		}
		return out, nil
	}
	b, resolved, err := c.chosenBook()
	if err != nil {
		return nil, err
	}
	for _, f := range b.Faults(resolved) {
		out = append(out, Fault{f.ID, f.Name})
	}
	if len(out) == 0 {
		return nil, engine.New("contest.faults", c.Name, fmt.Sprintf("the rule book %q names no faults", b.Title), "choose a book of faults, or write the faults down")
	}
	return out, nil
}

func (checked) ID() string           { return Checked }
func (checked) KeyItems(c Class) int { return c.itemSlots() }

func (checked) Slots(c Class) int {
	faults, err := c.Faults()
	if n := c.itemSlots() * len(faults); err == nil && n <= MaxSlots {
		return n
	}
	return 0
}

func (checked) Answers(c Class) []string { return []string{"absent", "present"} }

func (k checked) Check(c Class) error {
	_, f := k.shares(c)
	return f.Err()
}

// shares is what each fault of an item is worth. Codes: contest.faults,
// contest.names, contest.items, contest.worth, contest.double.
func (checked) shares(c Class) ([]points.Points, engine.Faults) {
	faults, err := c.Faults()
	f := appendErr(nil, err)
	if c.Book == "" {
		f = append(f, checkFaults(c.Names)...)
	} else if len(c.Names) > 0 {
		f = append(f, engine.New("contest.faults", "faults", "there are faults of its own beside the book", "use one of the two"))
	}
	switch n := len(faults); {
	case n > MaxFaults:
		f = append(f, engine.New("contest.faults", "faults", fmt.Sprintf("there are %d faults", n), fmt.Sprintf("use 1 to %d", MaxFaults)))
	case n*c.Items > MaxSlots:
		f = append(f, engine.New("contest.items", "items", fmt.Sprintf("%d items with %d faults each do not fit on a card", c.Items, n), fmt.Sprintf("use up to %d items", MaxSlots/n)))
	}
	if f != nil {
		return nil, f
	}
	n := len(faults)
	if c.Whole { // only all of them together earn anything
		full, f := c.share(c.Items, "items")
		if f == nil && full < points.Points(n) {
			f = append(f, uneven(c.Worth, points.Points(n*c.Items), "answers"))
		}
		out := make([]points.Points, n)
		for i := range out {
			out[i] = full / points.Points(n-i)
			full -= out[i]
		}
		return out, f
	}
	full, f := c.share(c.Items*n, "answers")
	return slices.Repeat([]points.Points{full}, n), f
}

// checkFaults wants names that can stand in an answer. Codes: contest.faults,
// contest.names.
func checkFaults(names []string) engine.Faults {
	f := checkDistinct(names)
	if len(names) == 0 {
		f = append(f, engine.New("contest.faults", "faults", "there are none", fmt.Sprintf("choose a book of faults, or write 1 to %d down", MaxFaults)))
	}
	for _, name := range names {
		if strings.Contains(name, "+") || alike(name) == None {
			f = append(f, engine.New("contest.faults", "faults", fmt.Sprintf("%q cannot be the name of a fault", name), "write it without + and not as none"))
		}
	}
	return f
}

// JoinFaults writes the answer of an item as a key holds it: the faults that are
// present, in the order of the list, or None.
func JoinFaults(ids []string) string {
	if len(ids) == 0 {
		return None
	}
	return strings.Join(ids, "+")
}

// SplitFaults reads the faults of an answer that JoinFaults wrote.
func SplitFaults(answer string) []string {
	if answer == None {
		return nil
	}
	return strings.Split(answer, "+")
}

func (checked) CheckKey(c Class, k KeyItem) error {
	faults, err := c.Faults()
	if err != nil {
		return err
	}
	var f engine.Faults
	if len(k.Also) > MaxFaults {
		return engine.New("contest.key", c.Name, fmt.Sprintf("%d answers are right as well", len(k.Also)), fmt.Sprintf("name at most %d", MaxFaults))
	}
	for i, a := range k.accepted() {
		if !ordered(faults, SplitFaults(a)) {
			f = append(f, engine.New("contest.key", c.Name, fmt.Sprintf("%q is no answer of this class", a), "choose the faults again"))
		} else if slices.Contains(k.accepted()[:i], a) {
			f = append(f, engine.New("contest.key", c.Name, fmt.Sprintf("%q stands twice", a), "name each answer once"))
		}
	}
	return f.Err()
}

// ordered tells whether ids are faults of a list, each once and in its order.
func ordered(faults []Fault, ids []string) bool {
	for _, f := range faults {
		if len(ids) > 0 && ids[0] == f.ID {
			ids = ids[1:]
		}
	}
	return len(ids) == 0
}

// Table gives each fault of each item a slot. Where several answers of an item
// are right, a fault in which they differ is right either way.
func (k checked) Table(c Class, key Key) (score.Table, error) {
	shares, f := k.shares(c)
	if f != nil {
		return score.Table{}, f
	}
	faults, err := c.Faults()
	if err != nil {
		return score.Table{}, err
	}
	var keys []score.Key
	for _, item := range key.Items {
		for _, fault := range faults {
			var one score.Key
			for _, a := range item.accepted() {
				mark := Absent
				if slices.Contains(SplitFaults(a), fault.ID) {
					mark = Present
				}
				if !slices.Contains(one.Answers, mark) {
					one.Answers = append(one.Answers, mark)
				}
			}
			keys = append(keys, one)
		}
	}
	return k.compile(c, shares, keys)
}

func (k checked) compile(c Class, shares []points.Points, keys []score.Key) (score.Table, error) {
	t := score.Exact(k.Answers(c), 1)
	if c.Double == DoubleLower {
		t.Double = score.Lower
	}
	table, err := t.Compile(keys)
	if err != nil {
		return table, err
	}
	table.Max = 0
	for s := range table.Slots {
		share := shares[s%len(shares)]
		table.Max += share
		for mark := range table.Slots[s] {
			table.Slots[s][mark] *= share
		}
	}
	if c.Whole {
		table.Groups, table.Join = c.Items, score.Whole
	}
	return table, nil
}
