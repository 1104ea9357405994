package contest

import (
	"fmt"

	"keelcard/engine"
	"keelcard/engine/grading"
	"keelcard/engine/points"
	"keelcard/engine/score"
)

// graded is the class of n items on the scale of a rule book.
type graded struct{}

func (graded) ID() string        { return Graded }
func (graded) Slots(c Class) int { return c.Items }

// Answers are the grades of the class's book, without the last where the
// class's choices leave three answers.
func (graded) Answers(c Class) []string {
	b, err := c.RuleBook()
	if err != nil {
		return nil
	}
	resolved, err := b.Resolve(c.Choices)
	if err != nil {
		return nil
	}
	var out []string
	for _, g := range b.Answers(resolved) {
		out = append(out, g.ID)
	}
	return out
}

func (g graded) Check(c Class) error {
	var f engine.Faults
	if c.Items < 1 || c.Items > MaxItems {
		f = append(f, engine.New("contest.items", "items", fmt.Sprintf("%d items cannot be judged in one class", c.Items), fmt.Sprintf("use 1 to %d", MaxItems)))
	}
	b, err := c.RuleBook()
	if err != nil {
		return appendErr(f, err)
	}
	if _, err := grading.Grade(b, c.Setting(), nil); err != nil {
		f = appendErr(f, err)
	}
	if t, err := g.pointTable(c); err != nil {
		f = appendErr(f, err)
	} else if err := t.Validate(); err != nil {
		f = appendErr(f, err)
	}
	return f.Err()
}

// Setting is what the class's book has to know of its birds.
func (c Class) Setting() grading.Setting {
	return grading.Setting{Kind: c.Bird, Weight: c.Weight, Choices: c.Choices}
}

func (graded) CheckKey(c Class, k KeyItem) error {
	var f engine.Faults
	for _, a := range append([]string{k.Answer}, k.Also...) {
		if c.answerIndex(a) == 0 {
			f = append(f, engine.New("contest.key", c.Name, fmt.Sprintf("%q is no answer of this class", a), "choose one of the grades shown"))
		}
	}
	return f.Err()
}

func (g graded) Table(c Class, k Key) (score.Table, error) {
	t, err := g.pointTable(c)
	if err != nil {
		return score.Table{}, err
	}
	keys := make([]score.Key, len(k.Items))
	for i, item := range k.Items {
		for _, a := range append([]string{item.Answer}, item.Also...) {
			n := c.answerIndex(a)
			if n == 0 {
				return score.Table{}, engine.New("contest.key", fmt.Sprintf("%s, item %d", c.Name, i+1), fmt.Sprintf("the official answer %q is no answer of the class", a), "set the key of this item again")
			}
			keys[i].Answers = append(keys[i].Answers, n)
		}
	}
	return t.Compile(keys)
}

// pointTable is the table of the class: the published one over its grades,
// with the class's own points put in.
func (graded) pointTable(c Class) (score.PointTable, error) {
	grades := c.Answers()
	t := PublishedTable(grades, c.Items, c.Worth)
	if c.Double == DoubleLower {
		t.Double = score.Lower
	}
	for _, p := range c.Pairs {
		k, m := c.answerIndex(p.Key), c.answerIndex(p.Mark)
		if k == 0 || m == 0 {
			return t, engine.New("contest.points", "points", fmt.Sprintf("%q marked %q is no pair of this class's grades", p.Key, p.Mark), "set the points of the grades shown")
		}
		t.Points[k-1][m-1] = p.Points
	}
	return t, nil
}

// PublishedTable is the point table a graded class starts from.
//
// For the grades A, B, C and no grade it is the one of Penn State Extension
// (state poultry judging rules): an item is worth 10, crossing A-B or B-C
// costs 3, C-no grade 4. For another scale of n grades each line crossed
// costs an equal part, so that the far end earns nothing (common practice).
// A class of other than ten items or with a worth of its own is scaled to it.
func PublishedTable(grades []string, items int, worth points.Points) score.PointTable {
	full := points.Of(10)
	if worth > 0 && items > 0 {
		full = worth / points.Points(items)
	}
	if len(grades) < 2 {
		return score.Exact(grades, full)
	}
	lines := make([]points.Points, len(grades)-1)
	left := full
	for i := range lines {
		if len(grades) == 4 && i < 2 || len(grades) == 3 {
			lines[i] = full * 3 / 10
		} else {
			lines[i] = left / points.Points(len(lines)-i)
		}
		left -= lines[i]
	}
	return score.Crossing(grades, full, lines)
}
