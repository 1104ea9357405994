package contest

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"

	"keelcard/engine"
	"keelcard/engine/grading"
	"keelcard/engine/merge"
	"keelcard/engine/record"
)

// Contest is the fold of all records of a contest. Its lists are sorted; its
// cards and keys are read on demand.
//
// Where the value of a class, a person, a team or the settings is in question,
// the earliest is shown until the question is settled, and Questions names it.
type Contest struct {
	ID       record.ContestID
	Settings Settings
	Classes  []Class         // by class number
	Persons  []Person        // by contestant number
	Teams    []Team          // by team number
	Problems []*engine.Error // values that could not be read; their records are kept

	state *merge.State
}

// Read folds a merged log. It takes state over: append through the Contest.
func Read(id record.ContestID, state *merge.State) *Contest {
	c := &Contest{ID: id, state: state}
	c.refresh()
	return c
}

// State gives the records behind the contest, to be read only.
func (c *Contest) State() *merge.State { return c.state }

// Append takes in one more record of this contest.
func (c *Contest) Append(r record.Record) error {
	if err := c.state.Append(r); err != nil {
		return err
	}
	switch r.Subject.Kind {
	case record.KindContest, record.KindClass, record.KindPerson, record.KindTeam:
		c.refresh()
	}
	return nil
}

func (c *Contest) refresh() {
	c.Problems = nil
	c.Settings = Settings{}
	if v, ok := c.first(record.Subject{Kind: record.KindContest}); ok {
		c.read(record.Subject{Kind: record.KindContest}, v, &c.Settings)
	}
	c.Classes = list(c, record.KindClass, func(cl *Class, no uint32) { cl.No = no })
	c.Persons = list(c, record.KindPerson, func(p *Person, no uint32) { p.Number = no })
	c.Teams = list(c, record.KindTeam, func(t *Team, no uint32) { t.No = no })
}

// list reads every subject of a kind that stands.
func list[T any](c *Contest, kind record.Kind, name func(*T, uint32)) []T {
	var out []T
	for _, sub := range c.state.Subjects(kind) {
		v, ok := c.first(sub)
		if !ok {
			continue
		}
		var t T
		if c.read(sub, v, &t) {
			name(&t, sub.A)
			out = append(out, t)
		}
	}
	return out
}

// first gives the earliest of the values that stand for a subject.
func (c *Contest) first(sub record.Subject) (string, bool) {
	cur := c.state.Current(sub)
	if cur.Status == merge.Absent || cur.Values[0] == "" {
		return "", false
	}
	return cur.Values[0], true
}

func (c *Contest) read(sub record.Subject, value string, into any) bool {
	if err := json.Unmarshal([]byte(value), into); err != nil {
		c.Problems = append(c.Problems, &engine.Error{
			Code: "contest.unreadable", Where: fmt.Sprintf("record about %d/%d/%d", sub.Kind, sub.A, sub.B),
			What: "this Keelcard cannot read it", Fix: "it is kept; bring the app up to date and open the contest again", Cause: err})
		return false
	}
	return true
}

// Class finds a class by its number.
func (c *Contest) Class(no uint32) (Class, bool) {
	return find(c.Classes, no, func(cl Class) uint32 { return cl.No })
}

// Person finds a contestant by number.
func (c *Contest) Person(number uint32) (Person, bool) {
	return find(c.Persons, number, func(p Person) uint32 { return p.Number })
}

// Team finds a team by its number.
func (c *Contest) Team(no uint32) (Team, bool) {
	return find(c.Teams, no, func(t Team) uint32 { return t.No })
}

func find[T any](sorted []T, no uint32, of func(T) uint32) (T, bool) {
	i, ok := slices.BinarySearchFunc(sorted, no, func(t T, no uint32) int { return cmp.Compare(of(t), no) })
	if !ok {
		var none T
		return none, false
	}
	return sorted[i], true
}

// TeamNamed finds a team by its name as it is written.
func (c *Contest) TeamNamed(name string) (Team, bool) {
	for _, t := range c.Teams {
		if t.Name == name {
			return t, true
		}
	}
	return Team{}, false
}

// Divisions lists the divisions of the settings and then any other that a
// contestant is in, by name.
func (c *Contest) Divisions() []string {
	out := slices.Clone(c.Settings.Divisions)
	var more []string
	for _, p := range c.Persons {
		if p.Division != "" && !slices.Contains(out, p.Division) && !slices.Contains(more, p.Division) {
			more = append(more, p.Division)
		}
	}
	slices.Sort(more)
	return append(out, more...)
}

// Card is one contestant's answers in one class. Marks is empty unless the
// card is settled.
type Card struct {
	Status merge.Status
	Marks  []byte // one a slot, as the package score reads them
}

// Card reads a card. A card whose length does not fit its class any more is
// given with status InQuestion.
func (c *Contest) Card(class Class, number uint32) Card {
	cur := c.state.Current(CardSubject(class.No, number))
	if cur.Status == merge.Absent || cur.Status == merge.InQuestion || cur.Values[0] == "" {
		status := cur.Status
		if status != merge.InQuestion {
			status = merge.Absent
		}
		return Card{Status: status}
	}
	if len(cur.Values[0]) != class.Slots() {
		return Card{Status: merge.InQuestion}
	}
	return Card{Status: cur.Status, Marks: []byte(cur.Values[0])}
}

// Key is the official answers of a class, one a slot.
type Key struct {
	Items  []KeyItem      // an item without an answer is zero
	Status []merge.Status // of each item
	Locked bool           // no more changes but rulings
}

// Missing counts the items without a settled answer.
func (k Key) Missing() int {
	n := 0
	for _, s := range k.Status {
		if s == merge.Absent || s == merge.InQuestion {
			n++
		}
	}
	return n
}

// Key reads the official answers of a class.
func (c *Contest) Key(class Class) Key {
	n := class.Slots()
	k := Key{Items: make([]KeyItem, n), Status: make([]merge.Status, n)}
	for i := range n {
		sub := class.keySubject(i)
		cur := c.state.Current(sub)
		k.Status[i] = cur.Status
		if cur.Status == merge.Absent || cur.Status == merge.InQuestion {
			continue
		}
		if cur.Values[0] == "" || json.Unmarshal([]byte(cur.Values[0]), &k.Items[i]) != nil {
			k.Items[i], k.Status[i] = KeyItem{}, merge.Absent
		}
	}
	_, k.Locked = c.first(record.Subject{Kind: record.KindLock, A: class.No})
	return k
}

// KindSeen is the kind of a record that says what an official saw on an item:
// A class, B item. Officials who see different things do not disagree about
// the answer, so it is apart from the key.
const KindSeen record.Kind = 11

// Seen is what an official saw on an item.
type Seen struct {
	Findings []grading.Finding `json:"findings,omitempty"`
	Photo    string            `json:"photo,omitempty"` // content hash of a picture kept on the phone that took it
	Note     string            `json:"note,omitempty"`
	Choices  map[string]string `json:"choices,omitempty"`  // of the book, when they were not the class's own
	Official string            `json:"official,omitempty"` // why the official's answer is not the book's
}

// Write gives the value of a record that holds what was seen.
func (s Seen) Write() (string, error) {
	var f engine.Faults
	if n := len([]rune(s.Note)); n > 2000 {
		f = append(f, engine.New("contest.long", "note", fmt.Sprintf("it has %d letters", n), "use at most 2000"))
	}
	if len(s.Findings) > 200 {
		f = append(f, engine.New("contest.findings", "findings", fmt.Sprintf("there are %d on one item", len(s.Findings)), "keep at most 200"))
	}
	return encode(s), f.Err()
}

// Seen reads what was noted on an item, counted from 1: the latest where
// officials noted different things, since a note is no answer.
func (c *Contest) Seen(class, item uint32) Seen {
	cur := c.state.Current(record.Subject{Kind: KindSeen, A: class, B: item})
	var s Seen
	if cur.Status == merge.Absent || json.Unmarshal([]byte(cur.Values[len(cur.Values)-1]), &s) != nil {
		return Seen{}
	}
	return s
}

// Questions lists what a person has to settle: cards, keys, people, classes
// and settings on which two hands differ.
func (c *Contest) Questions() []record.Subject {
	return slices.DeleteFunc(c.state.Questions(), func(s record.Subject) bool {
		switch s.Kind {
		case record.KindContest, record.KindClass, record.KindPerson, record.KindTeam, record.KindKey, record.KindCard, record.KindLock:
			return false
		}
		return true
	})
}
