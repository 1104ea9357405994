package contest

import (
	"fmt"
	"slices"

	"keelcard/engine"
	"keelcard/engine/merge"
	"keelcard/engine/points"
	"keelcard/engine/score"
)

// Scored is a contest with its results.
type Scored struct {
	Result  *score.Result
	Classes []Class  // the classes that are scored, as the result numbers them
	Keys    []Key    // beside Classes
	Persons []Person // as the result numbers them
	Teams   []Team   // likewise
	Ties    []Tie    // the tie-breaks as the result numbers them, from 1

	Divisions []string // age groups

	ClassDivisions []string      // divisions of classes, in the order of the classes
	Parts          []*score.Part // beside ClassDivisions: points and ranks in each

	tables []score.Table // beside Classes
	has    [][]bool      // by class and person: there is a settled card

	Waiting []Waiting       // classes that are not scored yet, and why
	LeftOut []LeftOut       // classes that do not count, by a ruling
	Faults  []*engine.Error // what is against the rules of the contest and was scored all the same; codes contest.team-most, contest.book-edition
	Unsure  []uint32        // contestants with a card in question, who earn nothing for it yet
	Untaken int             // cards that are not keyed yet, in the scored classes
	Asked   int             // cards there that are keyed and that the settings want keyed by two people
	Once    int             // of these, by one person so far
}

// Waiting is a class that cannot be scored yet.
type Waiting struct {
	Class Class
	Err   error
}

// LeftOut is a class that does not count in the totals, by a ruling.
type LeftOut struct {
	Class  Class
	Ruling Ruling
}

// Score computes the results of everything that is settled. A class without a
// whole key waits, and one that a ruling leaves out does not count. A card in
// question earns nothing until it is settled, and its contestant is named. Code contest.large when there are more cards than
// MaxCards, or answers on them than MaxMarks.
func (c *Contest) Score() (*Scored, error) {
	if err := c.checkSize(); err != nil {
		return nil, err
	}
	out := &Scored{Persons: c.Persons, Teams: c.Teams, Divisions: c.Divisions()}
	sheet := score.Sheet{Persons: len(c.Persons), Teams: len(c.Teams), TeamBest: c.Settings.Best(), Divisions: len(out.Divisions)}
	unsure := make([]bool, len(c.Persons))
	for _, class := range c.Classes {
		key := c.Key(class)
		if !key.LeftOut.None() {
			out.LeftOut = append(out.LeftOut, LeftOut{class, key.LeftOut})
			continue
		}
		table, err := class.Table(key)
		if key.Sealed {
			err = engine.New("contest.sealed", class.Name, "the official answers are sealed", "score on an official's phone, or once the owner has released them")
		}
		if err != nil {
			out.Waiting = append(out.Waiting, Waiting{class, err})
			continue
		}
		slots := class.Slots()
		cs := score.ClassSheet{Table: table, Marks: make([]byte, slots*len(c.Persons)), Has: make([]bool, len(c.Persons)), Void: c.void(class.No)}
		for i, p := range c.Persons {
			if cs.Void != nil && cs.Void[i] {
				continue
			}
			card := c.Card(class, p.Number)
			switch card.Status {
			case merge.Absent:
				if p.Out == "" {
					out.Untaken++
				}
			case merge.InQuestion:
				unsure[i] = true
			default:
				cs.Has[i] = true
				copy(cs.Marks[i*slots:], card.Marks)
				out.ask(c, class, p)
			}
		}
		sheet.Classes = append(sheet.Classes, cs)
		out.Classes = append(out.Classes, class)
		out.Keys = append(out.Keys, key)
		out.tables = append(out.tables, table)
		out.has = append(out.has, cs.Has)
	}
	sheet.Ties, out.Ties = c.ties(out.Classes)
	c.place(&sheet, out)
	for i, u := range unsure {
		if u {
			out.Unsure = append(out.Unsure, c.Persons[i].Number)
		}
	}
	out.Faults = append(c.overfull(), c.editions()...)
	var err error
	if out.Result, err = score.Compute(sheet); err == nil {
		out.divide()
	}
	return out, err
}

// ask counts a card that is keyed, if it has to be keyed by two people.
func (s *Scored) ask(c *Contest, class Class, p Person) {
	if p.Out != "" || !c.Asked(class.No, p.Number) {
		return
	}
	s.Asked++
	if c.KeyedOnce(class, p.Number) {
		s.Once++
	}
}

// void tells by person who is disqualified from a class, nil for nobody.
func (c *Contest) void(class uint32) []bool {
	var void []bool
	for i, p := range c.Persons {
		if !slices.Contains(p.OutOf, class) {
			continue
		}
		if void == nil {
			void = make([]bool, len(c.Persons))
		}
		void[i] = true
	}
	return void
}

// overfull names the teams with more members than a team may have, named
// alternates and those who are not ranked aside.
func (c *Contest) overfull() []*engine.Error {
	members := map[uint32]int{}
	for _, p := range c.Persons {
		if p.Out == "" && !p.Alternate {
			members[p.Team]++
		}
	}
	var faults []*engine.Error
	for _, t := range c.Teams {
		if n := members[t.No]; n > c.Settings.Most() {
			faults = append(faults, engine.New("contest.team-most", t.Name, fmt.Sprintf("the team has %d members and may have %d, so it chooses the best from more than others do", n, c.Settings.Most()),
				"take one out of the team, name an alternate, or allow larger teams"))
		}
	}
	return faults
}

// editions names the classes whose rule book is another edition on this phone.
func (c *Contest) editions() []*engine.Error {
	var f engine.Faults
	for _, class := range c.Classes {
		f = appendErr(f, class.Edition())
	}
	return f
}

// divide ranks everyone in each division of classes.
func (s *Scored) divide() {
	var members [][]int
	for i, class := range s.Classes {
		if class.Division == "" {
			continue
		}
		d := slices.Index(s.ClassDivisions, class.Division)
		if d < 0 {
			d = len(members)
			s.ClassDivisions, members = append(s.ClassDivisions, class.Division), append(members, nil)
		}
		members[d] = append(members[d], i)
	}
	for _, classes := range members {
		s.Parts = append(s.Parts, s.Result.Part(classes...))
	}
}

// checkSize refuses what would take too much memory to score. Code contest.large.
func (c *Contest) checkSize() error {
	slots := 0
	for _, class := range c.Classes {
		slots += class.Slots()
	}
	large := func(n int, what string) error {
		return engine.New("contest.large", "", fmt.Sprintf("%d contestants in %d classes would fill %d %s", len(c.Persons), len(c.Classes), n, what), "divide the contest in two")
	}
	cards, marks := len(c.Persons)*len(c.Classes), len(c.Persons)*slots
	switch {
	case cards > MaxCards:
		return large(cards, "cards")
	case marks > MaxMarks:
		return large(marks, "marks")
	case slots > MaxClasses*MaxItems:
		return engine.New("contest.large", "", fmt.Sprintf("the cards of %d classes have %d answers", len(c.Classes), slots), "divide the contest in two")
	}
	return nil
}

// ClassMax is the full points of a class, as the result numbers it.
func (s *Scored) ClassMax(class int) points.Points { return s.tables[class].Max }

// HasCard tells whether a person has a settled card in a class, both as the
// result numbers them.
func (s *Scored) HasCard(class, person int) bool { return s.has[class][person] }

// ties numbers the tie-breaks as the sheet does. A tie-break none of whose
// classes is scored yet is left out.
func (c *Contest) ties(classes []Class) ([]score.Tie, []Tie) {
	var numbered []score.Tie
	var kept []Tie
	for _, t := range c.Settings.Ties {
		n := score.Tie{Alternate: t.Alternate}
		for _, no := range t.Classes {
			for i, class := range classes {
				if class.No == no {
					n.Classes = append(n.Classes, i)
				}
			}
		}
		if n.Alternate || len(n.Classes) > 0 {
			numbered = append(numbered, n)
			kept = append(kept, t)
		}
	}
	return numbered, kept
}

// place fills in the teams, divisions and who is not ranked.
func (c *Contest) place(sheet *score.Sheet, out *Scored) {
	team := map[uint32]int32{}
	for i, t := range c.Teams {
		team[t.No] = int32(i)
	}
	division := map[string]int32{}
	for i, d := range out.Divisions {
		division[d] = int32(i)
	}
	n := len(c.Persons)
	if slices.ContainsFunc(c.Persons, func(p Person) bool { return p.Penalty > 0 }) {
		sheet.Penalty = make([]points.Points, n)
	}
	if slices.ContainsFunc(c.Persons, func(p Person) bool { return p.Alternate }) {
		sheet.Alternate = make([]bool, n)
	}
	sheet.Team, sheet.Division, sheet.Unranked = make([]int32, n), make([]int32, n), make([]bool, n)
	for i, p := range c.Persons {
		sheet.Team[i], sheet.Division[i] = -1, -1
		if t, ok := team[p.Team]; ok {
			sheet.Team[i] = t
		}
		if d, ok := division[p.Division]; ok {
			sheet.Division[i] = d
		}
		sheet.Unranked[i] = p.Out != ""
		if sheet.Penalty != nil {
			sheet.Penalty[i] = p.Penalty
		}
		if sheet.Alternate != nil {
			sheet.Alternate[i] = p.Alternate
		}
	}
}
