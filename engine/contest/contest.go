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
	"crypto/ed25519"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/points"
	"keelcard/engine/record"
	"keelcard/engine/tree"
)

// Limits of one contest. They keep a hostile file from asking for too much:
// what they refuse to write is not read either.
const (
	MaxClasses   = 200
	MaxItems     = 50
	MaxNumber    = 999_999   // the highest class, contestant or team number
	MaxPersons   = 50_000    // contestants, and likewise teams
	MaxCards     = 1_000_000 // contestants times classes that are scored
	MaxMarks     = MaxCards * MaxItems
	MaxDivisions = 50
	MaxTies      = 20
	MaxText      = 120 // letters of a name
	MaxPairs     = 100 // points a class has of its own
	MaxNames     = 60  // names to choose from
	MaxFaults    = 10  // faults that an item is checked for
	MaxSlots     = 250 // answers on a card
	MaxOfficials = 9   // officials who give points
	MaxCriteria  = 20  // things they give points for

	MaxWorth = 1000 * points.One // of one class
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

	Confirm   string `json:"confirm,omitempty"`   // which cards another person keys a second time: "" for none, ConfirmAll, ConfirmSample
	ConfirmIn int    `json:"confirmIn,omitempty"` // of a sample: one card in so many, 2 to MaxSample; 0 stands for 5

	Sealed    bool   `json:"sealed,omitempty"`    // official answers are sealed to officials until they are released, and bundles to the phones of the contest
	Authority []byte `json:"authority,omitempty"` // public key of the owner's authority; what the record says counts with which the contest begins
}

// Fields names the fields of a record's value.
func (s *Settings) Fields(f *tree.Fields) {
	f.Text("name", &s.Name, tree.Always)
	f.Text("date", &s.Date, tree.IfSet)
	f.Text("place", &s.Place, tree.IfSet)
	tree.Whole(f, "teamBest", &s.TeamBest, tree.IfSet)
	tree.Whole(f, "teamMost", &s.TeamMost, tree.IfSet)
	tree.List(f, "ties", &s.Ties, tree.IfSet)
	f.Bool("started", &s.Started, tree.IfSet)
	f.Texts("divisions", &s.Divisions, tree.IfSet)
	f.Text("confirm", &s.Confirm, tree.IfSet)
	tree.Whole(f, "confirmIn", &s.ConfirmIn, tree.IfSet)
	f.Bool("sealed", &s.Sealed, tree.IfSet)
	f.Bytes("authority", &s.Authority, tree.IfSet)
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

// Fields names the fields of a record's value.
func (t *Tie) Fields(f *tree.Fields) {
	tree.Wholes(f, "classes", &t.Classes, tree.IfSet)
	f.Bool("alternate", &t.Alternate, tree.IfSet)
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

	Division string   `json:"division,omitempty"` // the group of classes it belongs to, such as Market poultry
	List     string   `json:"list,omitempty"`     // identified: the id of a built-in list of names
	Names    []string `json:"names,omitempty"`    // identified and checked: the class's own names or faults
	Whole    bool     `json:"whole,omitempty"`    // checked: an item earns its points only with every fault right

	Officials int           `json:"officials,omitempty"` // awarded: how many officials give points; 0 stands for 1
	Criteria  []Criterion   `json:"criteria,omitempty"`  // awarded: what points are given for; none for one number
	Step      points.Points `json:"step,omitempty"`      // awarded: the smallest amount that is given; 0 stands for 1
	Round     string        `json:"round,omitempty"`     // awarded: how the mean is rounded, "" to 0.01, RoundHalf or RoundWhole

	own *HeldBook // the contest's book that Book names, if it is one
}

// Fields names the fields of a record's value.
func (c *Class) Fields(f *tree.Fields) {
	f.Text("name", &c.Name, tree.Always)
	f.Text("kind", &c.Kind, tree.Always)
	tree.Whole(f, "items", &c.Items, tree.IfSet)
	f.Text("book", &c.Book, tree.IfSet)
	f.Text("hash", &c.Hash, tree.IfSet)
	f.Text("bird", &c.Bird, tree.IfSet)
	tree.AsText(f, "weight", &c.Weight, tree.IfSet, amount.Weight.MarshalText, amount.ParseWeight)
	f.Pairs("choices", &c.Choices, tree.IfSet)
	tree.AsText(f, "worth", &c.Worth, tree.IfSet, points.Points.MarshalText, points.Parse)
	f.Text("double", &c.Double, tree.IfSet)
	tree.List(f, "table", &c.Pairs, tree.IfSet)
	f.Bool("reasons", &c.Reasons, tree.IfSet)
	f.Text("division", &c.Division, tree.IfSet)
	f.Text("list", &c.List, tree.IfSet)
	f.Texts("names", &c.Names, tree.IfSet)
	f.Bool("whole", &c.Whole, tree.IfSet)
	tree.Whole(f, "officials", &c.Officials, tree.IfSet)
	tree.List(f, "criteria", &c.Criteria, tree.IfSet)
	tree.AsText(f, "step", &c.Step, tree.IfSet, points.Points.MarshalText, points.Parse)
	f.Text("round", &c.Round, tree.IfSet)
}

// Criterion is one thing points are given for, and the most that are.
type Criterion struct {
	Name string        `json:"name"`
	Most points.Points `json:"most"`
}

// Fields names the fields of a record's value.
func (c *Criterion) Fields(f *tree.Fields) {
	f.Text("name", &c.Name, tree.Always)
	tree.AsText(f, "most", &c.Most, tree.Always, points.Points.MarshalText, points.Parse)
}

// How the mean of the officials is rounded, half up.
const (
	RoundHalf  = "half"  // to half a point
	RoundWhole = "whole" // to a whole point
)

// DoubleLower gives an item with two marks the lower of the two scores.
const DoubleLower = "lower"

// PairPoints is the points of one mark against one key.
type PairPoints struct {
	Key    string        `json:"key"`
	Mark   string        `json:"mark"`
	Points points.Points `json:"points"`
}

// Fields names the fields of a record's value.
func (p *PairPoints) Fields(f *tree.Fields) {
	f.Text("key", &p.Key, tree.Always)
	f.Text("mark", &p.Mark, tree.Always)
	tree.AsText(f, "points", &p.Points, tree.Always, points.Points.MarshalText, points.Parse)
}

// Person is a contestant.
type Person struct {
	Number   uint32 `json:"-"`
	Name     string `json:"name"`
	Team     uint32 `json:"team,omitempty"`     // team number, 0 for none
	Division string `json:"division,omitempty"` // one of the contest's divisions
	Out      string `json:"out,omitempty"`      // why this contestant is not ranked; "" when they are

	Penalty    points.Points `json:"penalty,omitempty"`    // taken off the total, which does not go below 0
	PenaltyWhy string        `json:"penaltyWhy,omitempty"` // why, such as coming late; needed with Penalty
	OutOf      []uint32      `json:"outOf,omitempty"`      // classes this contestant is disqualified from and earns nothing in
	OutOfWhy   string        `json:"outOfWhy,omitempty"`   // why; needed with OutOf
	Alternate  bool          `json:"alternate,omitempty"`  // named before the start as the team's alternate, see score.Sheet
}

// Fields names the fields of a record's value.
func (p *Person) Fields(f *tree.Fields) {
	f.Text("name", &p.Name, tree.Always)
	tree.Whole(f, "team", &p.Team, tree.IfSet)
	f.Text("division", &p.Division, tree.IfSet)
	f.Text("out", &p.Out, tree.IfSet)
	tree.AsText(f, "penalty", &p.Penalty, tree.IfSet, points.Points.MarshalText, points.Parse)
	f.Text("penaltyWhy", &p.PenaltyWhy, tree.IfSet)
	tree.Wholes(f, "outOf", &p.OutOf, tree.IfSet)
	f.Text("outOfWhy", &p.OutOfWhy, tree.IfSet)
	f.Bool("alternate", &p.Alternate, tree.IfSet)
}

// Team is a named group of contestants whose best totals count together.
type Team struct {
	No   uint32 `json:"-"`
	Name string `json:"name"`
}

// Fields names the fields of a record's value.
func (t *Team) Fields(f *tree.Fields) { f.Text("name", &t.Name, tree.Always) }

// KeyItem is the official answer for one item, or for a whole placing class.
type KeyItem struct {
	Answer string   `json:"answer"`         // a grade, a name, an order such as 2-1-3-4, or faults as JoinFaults writes them
	Cuts   [3]uint8 `json:"cuts,omitzero"`  // of a placing class
	Also   []string `json:"also,omitempty"` // other answers that are right as well
}

// Fields names the fields of a record's value.
func (k *KeyItem) Fields(f *tree.Fields) {
	f.Text("answer", &k.Answer, tree.Always)
	f.Octets("cuts", k.Cuts[:], tree.IfSet)
	f.Texts("also", &k.Also, tree.IfSet)
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

// written gives the value of a record that holds v, unless it has faults.
func written(v tree.Object, f engine.Faults) (string, error) {
	if err := f.Err(); err != nil {
		return "", err
	}
	return string(tree.Write(v)), nil
}

// Write gives the value of a record that holds the settings, with the spaces
// in their names tidied. Codes: contest.empty, contest.long, contest.text,
// contest.team-size, contest.team-best, contest.divisions,
// contest.division-twice, contest.ties, contest.tie, contest.confirm,
// contest.authority.
func (s Settings) Write() (string, error) {
	s.Name, s.Place, s.Date = tidy(s.Name), tidy(s.Place), tidy(s.Date)
	s.Divisions = slices.Clone(s.Divisions)
	for i, d := range s.Divisions {
		s.Divisions[i] = tidy(d)
	}
	return written(&s, s.check())
}

func (s Settings) check() engine.Faults {
	var f engine.Faults
	f = checkText(f, "name", s.Name, true)
	f = checkText(f, "place", s.Place, false)
	f = checkText(f, "date", s.Date, false)
	if s.TeamBest < 0 || s.TeamBest > 20 || s.TeamMost < 0 || s.TeamMost > 20 {
		f = append(f, engine.New("contest.team-size", "teams", fmt.Sprintf("%d of %d members is not a team", s.TeamBest, s.TeamMost), "choose between 1 and 20"))
	} else if s.Best() > s.Most() {
		f = append(f, engine.New("contest.team-best", "teams", fmt.Sprintf("the best %d cannot be taken from teams of %d", s.Best(), s.Most()), "count fewer members or allow larger teams"))
	}
	if n := len(s.Authority); n != 0 && n != ed25519.PublicKeySize {
		f = append(f, engine.New("contest.authority", "authority", fmt.Sprintf("a key has %d bytes, not %d", ed25519.PublicKeySize, n), "begin the contest anew"))
	}
	if s.Sealed && len(s.Authority) == 0 {
		f = append(f, engine.New("contest.authority", "sealed", "this contest was begun without an authority, which unseals", "begin a new contest to have it sealed"))
	}
	f = appendErr(append(f, checkDivisions(s.Divisions)...), s.checkConfirm())
	return append(f, checkTies(s.Ties)...)
}

func checkDivisions(divisions []string) engine.Faults {
	if n := len(divisions); n > MaxDivisions {
		return engine.Faults{engine.New("contest.divisions", "divisions", fmt.Sprintf("there are %d", n), fmt.Sprintf("use at most %d", MaxDivisions))}
	}
	var f engine.Faults
	for i, d := range divisions {
		f = checkText(f, "divisions", d, true)
		if slices.Contains(divisions[:i], d) {
			f = append(f, engine.New("contest.division-twice", "divisions", fmt.Sprintf("%q stands twice", d), "take one of them out"))
		}
	}
	return f
}

// checkTies holds the tie-breaks to what scoring takes. A class that is not in
// the contest is no fault: it may have been taken out since.
func checkTies(ties []Tie) engine.Faults {
	if n := len(ties); n > MaxTies {
		return engine.Faults{engine.New("contest.ties", "tie-breaks", fmt.Sprintf("there are %d", n), fmt.Sprintf("use at most %d", MaxTies))}
	}
	var f engine.Faults
	alternate := false
	for i, t := range ties {
		add := func(what, fix string) {
			f = append(f, engine.New("contest.tie", fmt.Sprintf("tie-break %d", i+1), what, fix))
		}
		if t.Alternate == (len(t.Classes) > 0) {
			add("it must be either some classes or the alternate", "choose one of the two")
		}
		if t.Alternate && alternate {
			add("the alternate stands a second time", "take one of them out")
		}
		alternate = alternate || t.Alternate
		if len(t.Classes) > MaxClasses {
			add(fmt.Sprintf("it names %d classes", len(t.Classes)), "name each class once")
			continue
		}
		for j, no := range t.Classes {
			if slices.Contains(t.Classes[:j], no) {
				add(fmt.Sprintf("it names class %d twice", no), "name each class once")
			}
		}
	}
	return f
}

// Write gives the value of a record that holds the class, after its kind has
// checked it. Codes: contest.empty, contest.long, contest.text, contest.items,
// contest.class-kind, contest.points, contest.names, contest.criteria,
// contest.officials and those of Kind.Check.
func (c Class) Write() (string, error) {
	c.Name, c.Division = tidy(c.Name), tidy(c.Division)
	c.Names, c.Criteria = slices.Clone(c.Names), slices.Clone(c.Criteria)
	for i, name := range c.Names {
		c.Names[i] = tidy(name)
	}
	for i := range c.Criteria {
		c.Criteria[i].Name = tidy(c.Criteria[i].Name)
	}
	f := c.check()
	k, ok := KindByID(c.Kind)
	if !ok {
		f = append(f, engine.New("contest.class-kind", "kind", fmt.Sprintf("%q is no kind of class", c.Kind), "choose one of the kinds offered"))
	} else if err := k.Check(c); err != nil {
		f = appendErr(f, err)
	}
	return written(&c, f)
}

// check finds what keeps a class of any kind from being read. What only its
// kind or its book can tell makes it wait instead, so that it can be mended.
func (c Class) check() engine.Faults {
	var f engine.Faults
	f = checkText(f, "name", c.Name, true)
	f = checkText(f, "book", c.Book, false)
	f = checkText(f, "book", c.Hash, false)
	f = checkText(f, "bird", c.Bird, false)
	f = checkText(f, "division", c.Division, false)
	f = checkText(f, "list", c.List, false)
	f = append(f, c.checkLists()...)
	if c.Items < 0 || c.Items > MaxItems {
		f = append(f, engine.New("contest.items", "items", fmt.Sprintf("%d items cannot be judged in one class", c.Items), fmt.Sprintf("use 1 to %d", MaxItems)))
	}
	if n := len(c.Pairs); n > MaxPairs {
		f = append(f, engine.New("contest.points", "points", fmt.Sprintf("there are %d points of its own", n), "set each pair of grades once"))
	}
	return f
}

// checkLists holds what a class lists to the limits.
func (c Class) checkLists() engine.Faults {
	switch {
	case len(c.Names) > MaxNames:
		return engine.Faults{engine.New("contest.names", "names", fmt.Sprintf("there are %d", len(c.Names)), fmt.Sprintf("use at most %d", MaxNames))}
	case len(c.Criteria) > MaxCriteria:
		return engine.Faults{engine.New("contest.criteria", "criteria", fmt.Sprintf("there are %d", len(c.Criteria)), fmt.Sprintf("use at most %d", MaxCriteria))}
	case c.Officials < 0 || c.Officials > MaxOfficials:
		return engine.Faults{engine.New("contest.officials", "officials", fmt.Sprintf("%d officials cannot give points", c.Officials), fmt.Sprintf("use 1 to %d", MaxOfficials))}
	}
	var f engine.Faults
	for _, name := range c.Names {
		f = checkText(f, "names", name, true)
	}
	for _, one := range c.Criteria {
		f = checkText(f, "criteria", one.Name, true)
	}
	return f
}

// checkScoring finds what is wrong with how cards of any kind of class earn
// their points.
func (c Class) checkScoring() engine.Faults {
	var f engine.Faults
	if c.Worth < 0 || c.Worth > MaxWorth {
		f = append(f, engine.New("contest.worth", "worth", fmt.Sprintf("a class cannot be worth %s", c.Worth), fmt.Sprintf("use up to %s points", MaxWorth)))
	}
	if c.Double != "" && c.Double != DoubleLower {
		f = append(f, engine.New("contest.double", "two marks", fmt.Sprintf("%q is no rule for two marks", c.Double), "choose one of the rules offered"))
	}
	return f
}

// Write gives the value of a record that holds the person. Codes:
// contest.number, contest.empty, contest.long, contest.text, contest.penalty,
// contest.out-of.
func (p Person) Write() (string, error) {
	p.Name, p.Division, p.Out = tidy(p.Name), tidy(p.Division), tidy(p.Out)
	p.PenaltyWhy, p.OutOfWhy = tidy(p.PenaltyWhy), tidy(p.OutOfWhy)
	return written(&p, p.check())
}

func (p Person) check() engine.Faults {
	var f engine.Faults
	f = checkText(f, "name", p.Name, false)
	f = checkText(f, "division", p.Division, false)
	f = checkText(f, "out", p.Out, false)
	if p.Number == 0 || p.Number > MaxNumber {
		f = append(f, engine.New("contest.number", "number", fmt.Sprintf("%d is no contestant number", p.Number), fmt.Sprintf("use 1 to %d", MaxNumber)))
	}
	if p.Team > MaxNumber {
		f = append(f, teamNumber(p.Team))
	}
	return p.checkConduct(f)
}

// checkConduct holds what a person loses to the limits. A class that is not in
// the contest is no fault: it may have been taken out since.
func (p Person) checkConduct(f engine.Faults) engine.Faults {
	why := func(where, s string, needed bool) {
		fix := ""
		if needed {
			fix = "say why, so that the contestant can be told"
		}
		f = checkLetters(f, where, s, MaxWhy, fix)
	}
	why("penalty", p.PenaltyWhy, p.Penalty != 0)
	why("disqualified", p.OutOfWhy, len(p.OutOf) > 0)
	if p.Penalty < 0 || p.Penalty > MaxWorth {
		f = append(f, engine.New("contest.penalty", "penalty", fmt.Sprintf("%s points cannot be taken off", p.Penalty), fmt.Sprintf("take up to %s off", MaxWorth)))
	}
	if len(p.OutOf) > MaxClasses {
		return append(f, engine.New("contest.out-of", "disqualified", fmt.Sprintf("%d classes are named", len(p.OutOf)), "name each class once"))
	}
	for i, no := range p.OutOf {
		if slices.Contains(p.OutOf[:i], no) {
			f = append(f, engine.New("contest.out-of", "disqualified", fmt.Sprintf("class %d is named twice", no), "name each class once"))
		}
	}
	return f
}

// Write gives the value of a record that holds the team. Codes: contest.empty,
// contest.long, contest.text, contest.number.
func (t Team) Write() (string, error) {
	t.Name = tidy(t.Name)
	return written(&t, t.check())
}

func (t Team) check() engine.Faults {
	f := checkText(nil, "name", t.Name, true)
	if t.No == 0 || t.No > MaxNumber {
		f = append(f, teamNumber(t.No))
	}
	return f
}

func teamNumber(no uint32) *engine.Error {
	return engine.New("contest.number", "team", fmt.Sprintf("%d is no team number", no), fmt.Sprintf("use 1 to %d", MaxNumber))
}

// Write gives the value of a record that holds the answer. Codes:
// contest.class-kind and those of Kind.CheckKey.
func (k KeyItem) Write(c Class) (string, error) {
	kind, ok := KindByID(c.Kind)
	if !ok {
		return "", engine.New("contest.class-kind", "kind", fmt.Sprintf("%q is no kind of class", c.Kind), "choose one of the kinds offered")
	}
	return written(&k, appendErr(nil, kind.CheckKey(c, k)))
}

// accepted lists every answer that is right.
func (k KeyItem) accepted() []string { return append([]string{k.Answer}, k.Also...) }

// tidy trims a text and makes one space of every run of them.
func tidy(s string) string { return strings.Join(strings.Fields(s), " ") }

func checkText(f engine.Faults, where, s string, needed bool) engine.Faults {
	fix := ""
	if needed {
		fix = "write a name"
	}
	return checkLetters(f, where, s, MaxText, fix)
}

// checkLetters holds a text to so many letters; fix says what to do about an
// empty one, "" when it may be empty.
func checkLetters(f engine.Faults, where, s string, most int, fix string) engine.Faults {
	n := utf8.RuneCountInString(s)
	switch {
	case fix != "" && strings.TrimSpace(s) == "":
		return append(f, engine.New("contest.empty", where, "it is empty", fix))
	case n > most:
		return append(f, engine.New("contest.long", where, fmt.Sprintf("it has %d letters", n), fmt.Sprintf("use at most %d", most)))
	case !plain(s):
		return append(f, engine.New("contest.text", where, fmt.Sprintf("%q holds something that cannot be shown", s), "write it again"))
	}
	return f
}

// plain reports whether s is valid text without control characters.
func plain(s string) bool {
	return utf8.ValidString(s) && !strings.ContainsFunc(s, unicode.IsControl)
}

// appendErr adds the faults in err, which the packages below report as one
// Error or as Faults.
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
