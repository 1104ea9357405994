package contest

import (
	"fmt"
	"slices"

	"keelcard/engine"
	"keelcard/engine/grading"
	"keelcard/engine/points"
	"keelcard/engine/score"
)

// graded is the class of n items on the scale of a rule book.
type graded struct{}

func (graded) ID() string { return Graded }

func (graded) Slots(c Class) int    { return c.itemSlots() }
func (graded) KeyItems(c Class) int { return c.itemSlots() }

// itemSlots is how many answers a card with one an item has.
func (c Class) itemSlots() int {
	if c.Items < 1 || c.Items > MaxItems {
		return 0
	}
	return c.Items
}

func (graded) Answers(c Class) []string {
	answers, err := c.grades()
	if err != nil {
		return nil
	}
	return answers
}

// grades are those of the class's book, without the last where the class's
// choices leave three answers.
func (c Class) grades() ([]string, error) {
	names, err := c.gradeNames()
	var out []string
	for _, n := range names {
		out = append(out, n.Name)
	}
	return out, err
}

// gradeNames are the grades with their names as other words.
func (c Class) gradeNames() ([]Name, error) {
	b, resolved, err := c.chosenBook()
	if err != nil {
		return nil, err
	}
	var out []Name
	for _, g := range b.Answers(resolved) {
		out = append(out, Name{g.ID, []string{g.Name}})
	}
	return out, nil
}

func (g graded) Check(c Class) error {
	b, err := c.RuleBook()
	if err != nil {
		return err
	}
	if _, err := c.grades(); err != nil {
		return err
	}
	_, err = grading.Grade(b, c.Setting(), nil)
	f := appendErr(nil, err)
	_, err = g.pointTable(c)
	return appendErr(f, err).Err()
}

// Setting is what the class's book has to know of its birds.
func (c Class) Setting() grading.Setting {
	return grading.Setting{Kind: c.Bird, Weight: c.Weight, Choices: c.Choices}
}

// SettingOf is Setting for one item, of which an official may have seen that it
// is of another kind, or is to be read otherwise.
func (c Class) SettingOf(seen Seen) grading.Setting {
	s := c.Setting()
	if seen.Kind != "" {
		s.Kind = seen.Kind
	}
	if seen.Choices != nil {
		s.Choices = seen.Choices
	}
	return s
}

func (graded) CheckKey(c Class, k KeyItem) error {
	grades, err := c.grades()
	if err != nil {
		return err
	}
	return checkAmong(c, grades, k, "choose one of the grades shown").Err()
}

func (g graded) Table(c Class, k Key) (score.Table, error) {
	t, err := g.pointTable(c)
	if err != nil {
		return score.Table{}, err
	}
	return t.Compile(scoreKeys(t.Grades, k))
}

// pointTable is the table of the class: the published one over its grades,
// with the class's own points put in.
func (g graded) pointTable(c Class) (score.PointTable, error) {
	grades, err := c.grades()
	if err != nil {
		return score.PointTable{}, err
	}
	if _, f := c.share(c.Items, "items"); f != nil {
		return score.PointTable{}, f
	}
	t := PublishedTable(grades, c.Items, c.Worth)
	if c.Double == DoubleLower {
		t.Double = score.Lower
	}
	if err := c.putPairs(t); err != nil {
		return score.PointTable{}, err
	}
	if err := t.Validate(); err != nil {
		return score.PointTable{}, err
	}
	for _, row := range t.Points {
		if most := slices.Max(row); most*points.Points(c.Items) > MaxWorth {
			return score.PointTable{}, engine.New("contest.worth", "points", fmt.Sprintf("%d items of %s points are more than a class can be worth", c.Items, most), fmt.Sprintf("keep the class within %s points", MaxWorth))
		}
	}
	return t, nil
}

// share is what one of n equal shares of the class is worth, which is 10 an item
// unless the class has its own worth. It must be possible in hundredths: a card
// without fault then earns the worth of the class exactly. Codes: contest.items,
// contest.worth-uneven and those of checkScoring.
func (c Class) share(n int, what string) (points.Points, engine.Faults) {
	f := c.checkScoring()
	worth := c.Worth
	if worth == 0 {
		worth = points.Of(10 * c.Items)
	}
	switch {
	case c.itemSlots() == 0:
		f = append(f, engine.New("contest.items", "items", fmt.Sprintf("%d items cannot be judged in one class", c.Items), fmt.Sprintf("use 1 to %d", MaxItems)))
	case worth%points.Points(n) != 0:
		f = append(f, uneven(worth, points.Points(n), what))
	}
	if f != nil {
		return 0, f
	}
	return worth / points.Points(n), nil
}

// uneven says that a worth cannot be shared in hundredths, and which worth of
// whole points a share can.
func uneven(worth, n points.Points, what string) *engine.Error {
	low := worth / n / points.One * points.One * n
	fix := fmt.Sprintf("make it worth %s", low+n*points.One)
	if low > 0 {
		fix = fmt.Sprintf("make it worth %s or %s", low, low+n*points.One)
	}
	return engine.New("contest.worth-uneven", "worth", fmt.Sprintf("%d %s cannot share %s points evenly", n, what, worth), fix)
}

// putPairs puts the class's own points into its table.
func (c Class) putPairs(t score.PointTable) error {
	seen := map[[2]int]bool{}
	for _, p := range c.Pairs {
		at := [2]int{slices.Index(t.Grades, p.Key), slices.Index(t.Grades, p.Mark)}
		if at[0] < 0 || at[1] < 0 {
			return engine.New("contest.points", "points", fmt.Sprintf("%q marked %q is no pair of this class's grades", p.Key, p.Mark), "set the points of the grades shown")
		}
		if seen[at] {
			return engine.New("contest.points", "points", fmt.Sprintf("%q marked %q stands twice", p.Key, p.Mark), "set it once")
		}
		seen[at] = true
		t.Points[at[0]][at[1]] = p.Points
	}
	return nil
}

// PublishedTable is the point table a graded class starts from.
//
// For the grades A, B, C and no grade it is the one of Penn State Extension
// (state poultry judging rules): an item is worth 10, crossing A-B or B-C
// costs 3, C-no grade 4. Any scale of four is taken alike, and a scale of three
// as if the last grade were left out (common practice). For another scale each
// line crossed costs an equal part, so that the far end earns nothing (common
// practice).
//
// A worth of 0 is 10 an item. Another worth is shared by the items, which must
// be possible in hundredths, and what crossing a line costs is scaled with it,
// rounded down to a hundredth, in the contestant's favour.
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
