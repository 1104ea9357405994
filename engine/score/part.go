package score

import "keelcard/engine/points"

// Part is how persons and teams stand in some of the classes, such as those of
// live birds. Ranks count 1, 1, 3; who is equal shares the place, since the
// tie-breaks were named for the whole contest. Penalties are taken off the
// whole total only.
type Part struct {
	Order        []int32 // ranked persons, best first; persons who share a place by number
	Rank         []int32 // by person; 0: unranked
	DivisionRank []int32 // within the person's division; 0 without one

	TeamOrder        []int32 // ranked teams, best first
	TeamRank         []int32 // by team; 0 for a team without a rank in the contest
	TeamDivisionRank []int32

	total, team []int32
	unit        points.Points
}

// Points is what a person earns in these classes.
func (p *Part) Points(person int) points.Points { return points.Points(p.total[person]) * p.unit }

// TeamPoints is what a team earns in these classes: the sum over the members
// who count for it in the whole contest, as the member who does not count is the
// one with the lowest overall total (common practice). 0 for a team without a
// rank.
func (p *Part) TeamPoints(team int) points.Points { return points.Points(p.team[team]) * p.unit }

// Part ranks persons and teams by some of the classes, each named once.
func (r *Result) Part(classes ...int) *Part {
	s := &r.sheet
	p := &Part{unit: r.unit, total: r.tieKey(Tie{Classes: classes}), team: make([]int32, s.Teams)}
	p.Order, p.Rank, p.DivisionRank = order(r.Rank, p.total, s.Division, s.Divisions)
	teamRank, division := make([]int32, s.Teams), make([]int32, s.Teams)
	for t := range r.Teams {
		team := &r.Teams[t]
		teamRank[t], division[t] = team.Rank, team.Division
		if team.Rank == 0 {
			continue
		}
		for _, member := range team.Counting {
			p.team[t] += p.total[member]
		}
	}
	p.TeamOrder, p.TeamRank, p.TeamDivisionRank = order(teamRank, p.team, division, s.Divisions)
	return p
}

// order ranks those who have a rank overall by one key.
func order(overall, key, group []int32, groups int) (order, rank, within []int32) {
	for n, place := range overall {
		if place > 0 {
			order = append(order, int32(n))
		}
	}
	keys := [][]int32{key}
	sortDown(order, keys)
	rank, _ = ranks(order, keys, len(overall))
	return order, rank, ranksWithin(order, rank, group, groups, len(overall))
}
