package contest

import (
	"slices"

	"keelcard/engine"
	"keelcard/engine/merge"
	"keelcard/engine/points"
	"keelcard/engine/record"
	"keelcard/engine/score"
	"keelcard/engine/sorting"
)

// ItemOf names an item of a class, counted from 1; item 0 is the whole class.
type ItemOf struct{ Class, Item uint32 }

// Preview is what rulings would come to, before they are written.
type Preview struct {
	Before, After *Scored

	Persons []Move // contestants for whom anything would change, by number
	Teams   []Move // likewise

	Gain int // cards that would earn more
	Lose int // cards that would earn less; a card of a class that no longer counts earns nothing
}

// Move is what would change for a contestant or a team.
type Move struct {
	Number        uint32
	Before, After Place
	Spots         []Spot // the divisions and then the classes in which anything would change; a team has divisions only
}

// Place is a place in the whole contest.
type Place struct {
	Total     points.Points
	Rank      int32 // 0: unranked
	GroupRank int32 // within the age group; 0: unranked or none
}

// Spot is a place in a division of classes, or in one class; all 0 where it is
// not scored.
type Spot struct {
	Division      string // "" for a class
	Class         uint32 // 0 for a division
	Before, After Place  // Total is the points earned there
}

// Preview scores the contest as it stands and as it would be with some rulings;
// a zero one takes back what was ruled. Nothing is written. Codes: those of
// Ruling.Write and Score, and contest.class when there is no such class.
func (c *Contest) Preview(changes map[ItemOf]Ruling) (Preview, error) {
	changed := *c
	if err := changed.overlay(changes); err != nil {
		return Preview{}, err
	}
	var p Preview
	var err error
	if p.Before, err = c.Score(); err != nil {
		return p, err
	}
	if p.After, err = changed.Score(); err != nil {
		return p, err
	}
	p.compare()
	return p, nil
}

// overlay puts rulings in the place of those that were read.
func (c *Contest) overlay(changes map[ItemOf]Ruling) error {
	items := make([]ItemOf, 0, len(changes))
	for item := range changes {
		items = append(items, item)
	}
	sorting.Stable(items, func(a, b ItemOf) int {
		return record.CompareSubjects(RulingSubject(a.Class, a.Item), RulingSubject(b.Class, b.Item))
	})
	var f engine.Faults
	for _, item := range items {
		r := changes[item]
		class, ok := c.Class(item.Class)
		if !ok {
			f = append(f, engine.New("contest.class", "", "the class ruled on is not in the contest", "choose another one"))
			continue
		}
		if !r.None() {
			f = append(f, r.check()...)
			f = append(f, r.checkFor(class, item.Item, c.Key(class))...)
		}
		c.rulings = putRuling(c.rulings, Ruled{Class: item.Class, Item: item.Item, Ruling: r, Status: merge.Single}, !r.None())
	}
	return f.Err()
}

// pair is the same thing before and after, -1 where it is not scored.
type pair struct {
	spot          Spot // with its name only
	before, after int
}

// compare finds everyone for whom the results differ.
func (p *Preview) compare() {
	classes, divisions := p.pairs()
	p.countCards(classes)
	before, after := p.Before, p.After
	beforeIn, afterIn := before.inClass(), after.inClass()
	for i, person := range before.Persons {
		m := Move{Number: person.Number, Before: before.place(i), After: after.place(i)}
		p.Persons = moved(p.Persons, m, append(
			spots(divisions, i, before.inPart, after.inPart),
			spots(classes, i, beforeIn, afterIn)...))
	}
	for i, team := range before.Teams {
		m := Move{Number: team.No, Before: before.teamPlace(i), After: after.teamPlace(i)}
		p.Teams = moved(p.Teams, m, spots(divisions, i, before.teamInPart, after.teamInPart))
	}
}

// moved adds a move if anything in it would change.
func moved(list []Move, m Move, spots []Spot) []Move {
	m.Spots = spots
	if m.Before == m.After && len(spots) == 0 {
		return list
	}
	return append(list, m)
}

// spots lists the places that would change, by the divisions or classes.
func spots(pairs []pair, who int, before, after func(at, who int) Place) []Spot {
	var out []Spot
	for _, p := range pairs {
		spot := p.spot
		if p.before >= 0 {
			spot.Before = before(p.before, who)
		}
		if p.after >= 0 {
			spot.After = after(p.after, who)
		}
		if spot.Before != spot.After {
			out = append(out, spot)
		}
	}
	return out
}

// pairs finds the classes and the divisions that are scored before or after.
func (p *Preview) pairs() (classes, divisions []pair) {
	for _, class := range union(p.Before.Classes, p.After.Classes, func(c Class) uint32 { return c.No }) {
		at := func(s *Scored) int {
			return slices.IndexFunc(s.Classes, func(c Class) bool { return c.No == class.No })
		}
		classes = append(classes, pair{Spot{Class: class.No}, at(p.Before), at(p.After)})
	}
	for _, name := range union(p.Before.ClassDivisions, p.After.ClassDivisions, func(s string) string { return s }) {
		divisions = append(divisions, pair{Spot{Division: name}, slices.Index(p.Before.ClassDivisions, name), slices.Index(p.After.ClassDivisions, name)})
	}
	return classes, divisions
}

// union lists what is in a, and then what is in b only.
func union[T any, K comparable](a, b []T, key func(T) K) []T {
	out := slices.Clone(a)
	for _, v := range b {
		if !slices.ContainsFunc(a, func(w T) bool { return key(w) == key(v) }) {
			out = append(out, v)
		}
	}
	return out
}

// countCards counts the cards that would earn more or less.
func (p *Preview) countCards(classes []pair) {
	for _, pair := range classes {
		for i := range p.Before.Persons {
			before, after := p.Before.earned(pair.before, i), p.After.earned(pair.after, i)
			if after > before {
				p.Gain++
			}
			if after < before {
				p.Lose++
			}
		}
	}
}

// earned is what a person earns in a class, nothing where it is not scored.
func (s *Scored) earned(class, person int) points.Points {
	if class < 0 {
		return 0
	}
	return s.Result.ClassPoints(class, person)
}

func (s *Scored) place(person int) Place {
	return Place{s.Result.Total(person), s.Result.Rank[person], s.Result.DivisionRank[person]}
}

func (s *Scored) teamPlace(team int) Place {
	t := &s.Result.Teams[team]
	return Place{t.Total, t.Rank, t.DivisionRank}
}

func (s *Scored) inPart(division, person int) Place {
	p := s.Parts[division]
	return Place{p.Points(person), p.Rank[person], p.DivisionRank[person]}
}

func (s *Scored) teamInPart(division, team int) Place {
	p := s.Parts[division]
	return Place{p.TeamPoints(team), p.TeamRank[team], p.TeamDivisionRank[team]}
}

// inClass gives the places in single classes; each is ranked once.
func (s *Scored) inClass() func(class, person int) Place {
	parts := make([]*score.Part, len(s.Classes))
	return func(class, person int) Place {
		if parts[class] == nil {
			parts[class] = s.Result.Part(class)
		}
		p := parts[class]
		return Place{p.Points(person), p.Rank[person], p.DivisionRank[person]}
	}
}
