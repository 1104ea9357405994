package contest

import (
	"fmt"
	"slices"

	"keelcard/engine"
	"keelcard/engine/score"
)

// identified is the class of n items, each answered with one name of a list:
// parts to be identified, or the questions of an exam. Only the right name
// earns points (Penn State Extension, state poultry judging: parts
// identification, minus 10 for each wrong one of ten).
type identified struct{}

func (identified) ID() string           { return Identified }
func (identified) Slots(c Class) int    { return c.itemSlots() }
func (identified) KeyItems(c Class) int { return c.itemSlots() }

func (identified) Answers(c Class) []string {
	var out []string
	for _, n := range c.names() {
		out = append(out, n.Name)
	}
	return out
}

// names are those of the class's list, or its own.
func (c Class) names() []Name {
	if l, ok := ListByID(c.List); ok {
		return l.Names
	}
	if c.List != "" {
		return nil
	}
	out := make([]Name, len(c.Names))
	for i, name := range c.Names {
		out[i].Name = name
	}
	return out
}

// FindName finds the answer of an identified class that a text names, counted
// from 0. Case, spaces and hyphens do not matter, and other words for a part
// will do; the beginning of a name is not enough.
func FindName(c Class, text string) (index int, ok bool) { return findName(c.names(), text) }

func (identified) Check(c Class) error {
	_, f := c.share(c.Items, "items")
	return append(f, c.checkNames()...).Err()
}

// checkNames finds what is wrong with the list of names. Codes: contest.list,
// contest.names.
func (c Class) checkNames() engine.Faults {
	switch _, built := ListByID(c.List); {
	case c.List != "" && len(c.Names) > 0:
		return engine.Faults{engine.New("contest.list", "names", "there are names of its own beside the list", "use one of the two")}
	case c.List != "" && !built:
		return engine.Faults{engine.New("contest.list", "names", fmt.Sprintf("the list %q is not on this phone", c.List), "choose another list, or bring the app up to date")}
	case c.List != "":
		return nil
	case len(c.Names) < 2:
		return engine.Faults{engine.New("contest.names", "names", fmt.Sprintf("%d names leave nothing to choose", len(c.Names)), fmt.Sprintf("give 2 to %d names", MaxNames))}
	}
	return checkDistinct(c.Names)
}

// checkDistinct wants names that can be told apart without case, spaces and
// hyphens. Code contest.names.
func checkDistinct(names []string) engine.Faults {
	var f engine.Faults
	seen := map[string]bool{}
	for _, name := range names {
		if key := alike(name); seen[key] || key == "" {
			f = append(f, engine.New("contest.names", "names", fmt.Sprintf("%q cannot be told from another one", name), "give each name once, with letters or numbers in it"))
		} else {
			seen[key] = true
		}
	}
	return f
}

func (i identified) CheckKey(c Class, k KeyItem) error {
	if f := c.checkNames(); f != nil {
		return f
	}
	return checkAmong(c, i.Answers(c), k, "choose one of the names shown").Err()
}

// checkAmong holds the answers of a key to a list. Code contest.key.
func checkAmong(c Class, answers []string, k KeyItem, fix string) engine.Faults {
	var f engine.Faults
	for i, a := range k.accepted() {
		switch {
		case i > len(answers):
			return append(f, engine.New("contest.key", c.Name, fmt.Sprintf("%d answers are right as well", len(k.Also)), "name each answer once"))
		case !slices.Contains(answers, a):
			f = append(f, engine.New("contest.key", c.Name, fmt.Sprintf("%q is no answer of this class", a), fix))
		case slices.Contains(k.accepted()[:i], a):
			f = append(f, engine.New("contest.key", c.Name, fmt.Sprintf("%q stands twice", a), "name each answer once"))
		}
	}
	return f
}

func (i identified) Table(c Class, k Key) (score.Table, error) {
	if err := i.Check(c); err != nil {
		return score.Table{}, err
	}
	full, _ := c.share(c.Items, "items")
	t := score.Exact(i.Answers(c), full)
	if c.Double == DoubleLower {
		t.Double = score.Lower
	}
	return t.Compile(scoreKeys(t.Grades, k))
}

// scoreKeys numbers the answers of a key as a point table does.
func scoreKeys(answers []string, k Key) []score.Key {
	keys := make([]score.Key, len(k.Items))
	for i, item := range k.Items {
		for _, a := range item.accepted() {
			keys[i].Answers = append(keys[i].Answers, uint8(slices.Index(answers, a)+1))
		}
	}
	return keys
}
