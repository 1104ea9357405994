// Package contest is a contest as people speak of it: its classes, people,
// official keys, cards and questions, folded from the records that phones
// wrote.
//
// Start with Read, which turns a merged log into a Contest, and with the
// Write functions, which turn a decision into the value of a record. What is
// in question counts as not answered until a person settles it; nothing here
// picks a winner.
//
// Old records keep their meaning: a field that is unknown is left alone by
// reading, and a field that is missing has its zero value.
package contest

import (
	"encoding/json"
	"fmt"
	"sort"
	"strings"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/points"
	"keelcard/engine/record"
)

// Limits of one contest. They keep a hostile file from asking for too much.
const (
	MaxClasses = 200
	MaxItems   = 50
	MaxNumber  = 999_999 // the highest contestant or team number
	MaxText    = 120     // letters of a name
)

// Settings is what holds for a whole contest.
type Settings struct {
	Name  string `json:"name"`
	Date  string `json:"date,omitempty"`  // year-month-day
	Place string `json:"place,omitempty"` // free text

	TeamBest int   `json:"teamBest,omitempty"` // how many of a team's totals count; 0 stands for 3
	TeamMost int   `json:"teamMost,omitempty"` // most members of a team; 0 stands for 4
	Ties     []Tie `json:"ties,omitempty"`     // tie-breaks in order
	Started  bool  `json:"started,omitempty"`  // the tie-breaks are settled and judging has begun

	Divisions []string `json:"divisions,omitempty"` // age groups or the like, in printing order
}

// Best is how many of a team's totals count.
func (s Settings) Best() int {
	if s.TeamBest == 0 {
		return 3
	}
	return s.TeamBest
}

// Most is how many members a team may have.
func (s Settings) Most() int {
	if s.TeamMost == 0 {
		return 4
	}
	return s.TeamMost
}

// Tie is one tie-break: the higher sum of points in some classes, or, for
// teams only, the higher total of the member that did not count.
type Tie struct {
	Classes   []uint32 `json:"classes,omitempty"`
	Alternate bool     `json:"alternate,omitempty"`
}

// Class is one judged set.
type Class struct {
	No    uint32 `json:"-"`
	Name  string `json:"name"`
	Kind  string `json:"kind"`            // the ID of a Kind
	Items int    `json:"items,omitempty"` // birds, eggs, parts in the class

	Book    string            `json:"book,omitempty"`    // id of a rule book
	Hash    string            `json:"hash,omitempty"`    // its content hash when it was chosen
	Bird    string            `json:"bird,omitempty"`    // kind of bird in the book's words
	Weight  amount.Weight     `json:"weight,omitempty"`  // a weight in the range of the class
	Choices map[string]string `json:"choices,omitempty"` // the book's open choices as the owner made them

	Worth  points.Points `json:"worth,omitempty"`  // points of a card without fault; 0 stands for the kind's own
	Double string        `json:"double,omitempty"` // rule for two marks on one item: "" for zero, or DoubleLower
	Pairs  []PairPoints  `json:"table,omitempty"`  // points by key and mark; empty stands for the published table

	Reasons bool `json:"reasons,omitempty"` // oral reasons count here, for tie-breaks by reasons
}

// DoubleLower gives an item with two marks the lower of the two scores.
const DoubleLower = "lower"

// PairPoints is the points of one mark against one key.
type PairPoints struct {
	Key    string        `json:"key"`
	Mark   string        `json:"mark"`
	Points points.Points `json:"points"`
}

// Person is a contestant.
type Person struct {
	Number   uint32 `json:"-"`
	Name     string `json:"name"`
	Team     uint32 `json:"team,omitempty"`     // team number, 0 for none
	Division string `json:"division,omitempty"` // one of the contest's divisions
	Out      string `json:"out,omitempty"`      // why this contestant is not ranked; "" when they are
}

// Team is a named group of contestants whose best totals count together.
type Team struct {
	No   uint32 `json:"-"`
	Name string `json:"name"`
}

// KeyItem is the official answer for one item, or for a whole placing class.
type KeyItem struct {
	Answer string   `json:"answer"`         // a grade of the scale, or an order such as 2-1-3-4
	Cuts   [3]uint8 `json:"cuts,omitzero"`  // of a placing class
	Also   []string `json:"also,omitempty"` // other answers that are right as well
}

// LockValue is the value of a record that locks the key of a class.
const LockValue = "locked"

// CardSubject is the subject of one contestant's card in one class.
func CardSubject(class, number uint32) record.Subject {
	return record.Subject{Kind: record.KindCard, A: class, B: number}
}

// KeySubject is the subject of the official answer for an item, counted from
// 1; item 0 stands for a whole placing class.
func KeySubject(class, item uint32) record.Subject {
	return record.Subject{Kind: record.KindKey, A: class, B: item}
}

// encode writes v as the value of a record. The fields of our own types
// always encode.
func encode(v any) string {
	data, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return string(data)
}

// Write gives the value of a record that holds the settings.
func (s Settings) Write() (string, error) {
	s.Name = strings.TrimSpace(s.Name)
	var f engine.Faults
	f = checkText(f, "name", s.Name, true)
	f = checkText(f, "place", s.Place, false)
	f = checkText(f, "date", s.Date, false)
	if s.TeamBest < 0 || s.TeamBest > 20 || s.TeamMost < 0 || s.TeamMost > 20 {
		f = append(f, engine.New("contest.team-size", "teams", fmt.Sprintf("%d of %d members is not a team", s.TeamBest, s.TeamMost), "choose between 1 and 20"))
	} else if s.Best() > s.Most() {
		f = append(f, engine.New("contest.team-best", "teams", fmt.Sprintf("the best %d cannot be taken from teams of %d", s.Best(), s.Most()), "count fewer members or allow larger teams"))
	}
	seen := map[string]bool{}
	for _, d := range s.Divisions {
		f = checkText(f, "divisions", d, true)
		if seen[d] {
			f = append(f, engine.New("contest.division-twice", "divisions", fmt.Sprintf("%q stands twice", d), "take one of them out"))
		}
		seen[d] = true
	}
	return encode(s), f.Err()
}

// Write gives the value of a record that holds the class, after its kind has
// checked it.
func (c Class) Write() (string, error) {
	c.Name = strings.TrimSpace(c.Name)
	var f engine.Faults
	f = checkText(f, "name", c.Name, true)
	k, ok := KindByID(c.Kind)
	if !ok {
		f = append(f, engine.New("contest.class-kind", "kind", fmt.Sprintf("%q is no kind of class", c.Kind), "choose one of the kinds offered"))
	} else if err := k.Check(c); err != nil {
		f = appendErr(f, err)
	}
	return encode(c), f.Err()
}

// Write gives the value of a record that holds the person.
func (p Person) Write() (string, error) {
	p.Name = strings.TrimSpace(p.Name)
	var f engine.Faults
	f = checkText(f, "name", p.Name, false)
	f = checkText(f, "out", p.Out, false)
	if p.Number == 0 || p.Number > MaxNumber {
		f = append(f, engine.New("contest.number", "number", fmt.Sprintf("%d is no contestant number", p.Number), fmt.Sprintf("use 1 to %d", MaxNumber)))
	}
	if p.Team > MaxNumber {
		f = append(f, engine.New("contest.number", "team", fmt.Sprintf("%d is no team number", p.Team), fmt.Sprintf("use 1 to %d", MaxNumber)))
	}
	return encode(p), f.Err()
}

// Write gives the value of a record that holds the team.
func (t Team) Write() (string, error) {
	t.Name = strings.TrimSpace(t.Name)
	var f engine.Faults
	f = checkText(f, "name", t.Name, true)
	if t.No == 0 || t.No > MaxNumber {
		f = append(f, engine.New("contest.number", "team", fmt.Sprintf("%d is no team number", t.No), fmt.Sprintf("use 1 to %d", MaxNumber)))
	}
	return encode(t), f.Err()
}

// Write gives the value of a record that holds the answer.
func (k KeyItem) Write(c Class) (string, error) {
	kind, ok := KindByID(c.Kind)
	if !ok {
		return "", engine.New("contest.class-kind", "kind", fmt.Sprintf("%q is no kind of class", c.Kind), "choose one of the kinds offered")
	}
	return encode(k), kind.CheckKey(c, k)
}

func checkText(f engine.Faults, where, s string, needed bool) engine.Faults {
	n := len([]rune(s))
	switch {
	case needed && n == 0:
		return append(f, engine.New("contest.empty", where, "it is empty", "write a name"))
	case n > MaxText:
		return append(f, engine.New("contest.long", where, fmt.Sprintf("it has %d letters", n), fmt.Sprintf("use at most %d", MaxText)))
	}
	return f
}

func appendErr(f engine.Faults, err error) engine.Faults {
	switch e := err.(type) {
	case nil:
		return f
	case engine.Faults:
		return append(f, e...)
	case *engine.Error:
		return append(f, e)
	}
	return append(f, &engine.Error{Code: "contest.invalid", What: err.Error(), Cause: err})
}

func sorted[T any](items []T, less func(a, b T) bool) []T {
	sort.SliceStable(items, func(i, j int) bool { return less(items[i], items[j]) })
	return items
}
