package contest

import (
	"fmt"

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

	Divisions []string

	tables []score.Table // beside Classes
	has    [][]bool      // by class and person: there is a settled card

	Waiting []Waiting // classes that are not scored yet, and why
	Unsure  []uint32  // contestants with a card in question, who earn nothing for it yet
	Untaken int       // cards that are not keyed yet, in the scored classes
}

// Waiting is a class that cannot be scored yet.
type Waiting struct {
	Class Class
	Err   error
}

// Score computes the results of everything that is settled. A class without a
// whole key waits; a card in question earns nothing until it is settled, and
// its contestant is named. Code contest.large when there are more cards than
// MaxCards.
func (c *Contest) Score() (*Scored, error) {
	if n := len(c.Persons) * len(c.Classes); n > MaxCards {
		return nil, engine.New("contest.large", "", fmt.Sprintf("%d contestants in %d classes would fill %d cards", len(c.Persons), len(c.Classes), n), "divide the contest in two")
	}
	out := &Scored{Persons: c.Persons, Teams: c.Teams, Divisions: c.Divisions()}
	sheet := score.Sheet{Persons: len(c.Persons), Teams: len(c.Teams), TeamBest: c.Settings.Best(), Divisions: len(out.Divisions)}
	unsure := make([]bool, len(c.Persons))
	for _, class := range c.Classes {
		key := c.Key(class)
		table, err := class.Table(key)
		if err != nil {
			out.Waiting = append(out.Waiting, Waiting{class, err})
			continue
		}
		slots := class.Slots()
		cs := score.ClassSheet{Table: table, Marks: make([]byte, slots*len(c.Persons)), Has: make([]bool, len(c.Persons))}
		for i, p := range c.Persons {
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
	var err error
	out.Result, err = score.Compute(sheet)
	return out, err
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
	}
}
