package score

import (
	"fmt"

	"keelcard/engine"
	"keelcard/engine/points"
)

// Trail explains one person's result from the marks up.
type Trail struct {
	Person       int
	Classes      []ClassTrail
	Penalty      points.Points // what was taken off the sum of the classes: the penalty, or the sum if that is less
	Total        points.Points // the sum of the classes less the penalty
	Rank         int           // 0: unranked
	DivisionRank int           // 0: unranked or no division
	Before       *Parting      // from the neighbour ranked before, nil for the first
	After        *Parting      // from the neighbour ranked after, nil for the last
}

// ClassTrail explains the points of one class.
type ClassTrail struct {
	NoCard bool          // without a card a class earns 0 and has no slots here
	Void   bool          // there is no card that counts, because the person is disqualified here
	Total  points.Points // the sum of the slots, or of what their groups come to
	Max    points.Points
	Slots  []SlotTrail
	Groups []GroupTrail // where Join is not Sum
	Join   Join
}

// SlotTrail explains one mark.
type SlotTrail struct {
	Mark   byte
	Key    Key
	Points points.Points
	Full   points.Points
}

// Parting says what lies between a person or team and another one.
type Parting struct {
	Other  int           // number of the other person or team
	By     int           // ByTotal, a tie-break counted from 1, or Shared
	Mine   points.Points // the numbers that decided; both totals when the place is shared
	Theirs points.Points
}

// Trail explains the result of a person.
func (r *Result) Trail(person int) (*Trail, error) {
	if person < 0 || person >= r.sheet.Persons {
		return nil, none("person", person, r.sheet.Persons)
	}
	t := &Trail{Person: person, Rank: int(r.Rank[person]), DivisionRank: int(r.DivisionRank[person])}
	for c := range r.sheet.Classes {
		class, err := r.sheet.Classes[c].trail(person)
		if err != nil {
			return nil, err
		}
		if t.Total, err = points.Add(t.Total, class.Total); err != nil {
			return nil, err
		}
		t.Classes = append(t.Classes, class)
	}
	if r.sheet.Penalty != nil {
		t.Penalty = min(r.sheet.Penalty[person], t.Total)
		t.Total -= t.Penalty
	}
	t.Before, t.After = r.neighbours(r.Order, r.Rank, r.keys, int32(person))
	return t, nil
}

func (class *ClassSheet) trail(person int) (ClassTrail, error) {
	t := ClassTrail{Max: class.Table.Max}
	if class.Has != nil && !class.Has[person] {
		t.NoCard, t.Void = true, class.Void != nil && class.Void[person]
		return t, nil
	}
	slots := len(class.Table.Slots)
	for s, mark := range class.Marks[person*slots : (person+1)*slots] {
		slot := SlotTrail{Mark: mark, Key: class.Table.Keys[s], Points: class.Table.Slots[s][mark], Full: class.Table.Full(s)}
		var err error
		if t.Total, err = points.Add(t.Total, slot.Points); err != nil {
			return t, err
		}
		t.Slots = append(t.Slots, slot)
	}
	if t.Join = class.Table.Join; t.Join != Sum {
		t.Groups = class.Table.groups(class.Marks[person*slots : (person+1)*slots])
		t.Total = class.Table.joined(t.Groups)
	}
	return t, nil
}

// TeamTrail explains one team's result.
type TeamTrail struct {
	Team     int
	Counting []Member // the members whose totals are summed, best first
	Dropped  []Member // the others; the first is the alternate
	Total    points.Points
	Rank     int // 0: too few members
	Before   *Parting
	After    *Parting
}

// Member is a person's part in a team.
type Member struct {
	Person int
	Total  points.Points
}

// TeamTrail explains the result of a team.
func (r *Result) TeamTrail(team int) (*TeamTrail, error) {
	if team < 0 || team >= len(r.Teams) {
		return nil, none("team", team, len(r.Teams))
	}
	t := &TeamTrail{Team: team, Rank: int(r.Teams[team].Rank)}
	t.Counting = r.members(r.Teams[team].Counting)
	t.Dropped = r.members(r.Teams[team].Dropped)
	if t.Rank == 0 {
		return t, nil
	}
	for _, m := range t.Counting {
		var err error
		if t.Total, err = points.Add(t.Total, m.Total); err != nil {
			return nil, err
		}
	}
	rank := make([]int32, len(r.Teams))
	for i := range r.Teams {
		rank[i] = r.Teams[i].Rank
	}
	t.Before, t.After = r.neighbours(r.TeamOrder, rank, r.teamKeys, int32(team))
	return t, nil
}

func (r *Result) members(persons []int32) []Member {
	var members []Member
	for _, p := range persons {
		members = append(members, Member{int(p), r.Total(int(p))})
	}
	return members
}

// Compare says what parts a person from any other one, ranked or not.
func (r *Result) Compare(person, other int) Parting {
	return r.part(r.keys, int32(person), int32(other))
}

// CompareTeams says what parts a team from any other one that has a rank.
func (r *Result) CompareTeams(team, other int) Parting {
	return r.part(r.teamKeys, int32(team), int32(other))
}

func (r *Result) part(keys [][]int32, me, other int32) Parting {
	by := parting(keys, me, other)
	key := keys[max(by, ByTotal)]
	return Parting{Other: int(other), By: by, Mine: r.points(key[me]), Theirs: r.points(key[other])}
}

// neighbours finds the ones before and after in the ranking.
func (r *Result) neighbours(order, rank []int32, keys [][]int32, who int32) (before, after *Parting) {
	if rank[who] == 0 {
		return nil, nil
	}
	at := int(rank[who]) - 1
	for order[at] != who {
		at++
	}
	if at > 0 {
		p := r.part(keys, who, order[at-1])
		before = &p
	}
	if at+1 < len(order) {
		p := r.part(keys, who, order[at+1])
		after = &p
	}
	return before, after
}

func none(what string, number, of int) error {
	return engine.New(CodeNone, "", fmt.Sprintf("there is no %s %d among %d", what, number, of), "count from 0")
}
