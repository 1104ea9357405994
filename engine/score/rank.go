package score

import (
	"math/bits"
	"slices"
)

// rankPersons orders the ranked persons by total and tie-breaks.
func (r *Result) rankPersons() {
	s := &r.sheet
	r.keys = make([][]int32, 1, 1+len(s.Ties))
	r.keys[0] = r.total
	for _, tie := range s.Ties {
		r.keys = append(r.keys, r.tieKey(tie))
	}
	r.Order = make([]int32, s.Persons)
	n := 0
	for p := range r.Order {
		if s.Unranked == nil || !s.Unranked[p] {
			r.Order[n] = int32(p)
			n++
		}
	}
	r.Order = r.Order[:n]
	sortDown(r.Order, r.keys)
	r.Rank, r.Parted = ranks(r.Order, r.keys, s.Persons)
	r.DivisionRank = ranksWithin(r.Order, r.Rank, s.Division, s.Divisions, s.Persons)
}

// tieKey is each person's sum over the classes of a tie-break, nil for the
// alternate. The classes are distinct, so a sum is at most the total.
func (r *Result) tieKey(tie Tie) []int32 {
	if tie.Alternate {
		return nil
	}
	if len(tie.Classes) == 1 {
		return r.class[tie.Classes[0]]
	}
	sum := make([]int32, r.sheet.Persons)
	for _, c := range tie.Classes {
		class := r.class[c][:len(sum)]
		for p := range sum {
			sum[p] += class[p]
		}
	}
	return sum
}

// rankTeams picks each team's counting members and orders the teams.
func (r *Result) rankTeams() {
	s := &r.sheet
	r.Teams = make([]Team, s.Teams)
	r.teamKeys = make([][]int32, len(r.keys))
	for k := range r.teamKeys {
		r.teamKeys[k] = make([]int32, s.Teams)
	}
	r.gatherTeams()
	for t := range r.Teams {
		team := &r.Teams[t]
		if len(team.Counting) < s.TeamBest {
			continue
		}
		for k, key := range r.keys {
			if key == nil {
				continue
			}
			for _, p := range team.Counting {
				r.teamKeys[k][t] += key[p]
			}
		}
		team.Total = r.points(r.teamKeys[0][t])
		r.TeamOrder = append(r.TeamOrder, int32(t))
	}
	for i, tie := range s.Ties {
		if tie.Alternate {
			r.alternateKey(i + 1)
		}
	}
	sortDown(r.TeamOrder, r.teamKeys)
	rank, parted := ranks(r.TeamOrder, r.teamKeys, s.Teams)
	division := make([]int32, s.Teams)
	for t := range r.Teams {
		division[t] = r.Teams[t].Division
	}
	within := ranksWithin(r.TeamOrder, rank, division, s.Divisions, s.Teams)
	for t := range r.Teams {
		r.Teams[t].Rank, r.Teams[t].DivisionRank = rank[t], within[t]
	}
	r.TeamParted = parted
}

// gatherTeams sorts the ranked persons into their teams, best first.
func (r *Result) gatherTeams() {
	s := &r.sheet
	for t := range r.Teams {
		r.Teams[t].Division = -1
	}
	if s.Team == nil {
		return
	}
	end := make([]int32, s.Teams)
	members := int32(0)
	for _, p := range r.Order {
		if t := s.Team[p]; t >= 0 {
			end[t]++
			members++
		}
	}
	all := make([]int32, members)
	start := int32(0)
	for t := range end {
		start, end[t] = start+end[t], start
	}
	for _, p := range r.Order {
		if t := s.Team[p]; t >= 0 {
			all[end[t]] = p
			end[t]++
		}
	}
	start = 0
	for t := range r.Teams {
		team := &r.Teams[t]
		own := all[start:end[t]:end[t]]
		start = end[t]
		mayCount := len(own)
		if s.Alternate != nil {
			mayCount = s.setAside(own)
		}
		team.Division = s.commonDivision(own[:mayCount])
		best := min(mayCount, s.TeamBest)
		if mayCount < len(own) {
			turn(own[best:], mayCount-best)
		}
		team.Counting, team.Dropped = own[:best:best], own[best:]
	}
}

// setAside moves the named alternates behind the others, each in their order,
// and tells how many the others are.
func (s *Sheet) setAside(members []int32) int {
	var aside []int32
	n := 0
	for _, p := range members {
		if s.Alternate[p] {
			aside = append(aside, p)
		} else {
			members[n] = p
			n++
		}
	}
	copy(members[n:], aside)
	return n
}

// turn moves the first n of a list behind the others.
func turn(list []int32, n int) {
	copy(list, append(slices.Clone(list[n:]), list[:n]...))
}

// commonDivision is the division that all of the persons are in, else -1.
func (s *Sheet) commonDivision(persons []int32) int32 {
	if s.Division == nil || len(persons) == 0 {
		return -1
	}
	division := s.Division[persons[0]]
	for _, p := range persons {
		if s.Division[p] != division {
			return -1
		}
	}
	return division
}

// alternateKey fills the key of the alternates' totals. In a group of teams
// equal so far of which one has no alternate, it stays 0 for all.
func (r *Result) alternateKey(k int) {
	before := r.teamKeys[:k]
	sortDown(r.TeamOrder, before)
	for group := range equalRuns(r.TeamOrder, before) {
		all := true
		for _, t := range group {
			all = all && len(r.Teams[t].Dropped) > 0
		}
		for _, t := range group {
			if all {
				r.teamKeys[k][t] = r.total[r.Teams[t].Dropped[0]]
			}
		}
	}
}

// equalRuns yields the runs of order whose keys are all equal.
func equalRuns(order []int32, keys [][]int32) func(yield func([]int32) bool) {
	return func(yield func([]int32) bool) {
		start := 0
		for i := 1; i <= len(order); i++ {
			if i < len(order) && parting(keys, order[i-1], order[i]) == Shared {
				continue
			}
			if !yield(order[start:i]) {
				return
			}
			start = i
		}
	}
}

// parting is the first key in which a and b differ, or Shared.
func parting(keys [][]int32, a, b int32) int {
	for k, key := range keys {
		if key != nil && key[a] != key[b] {
			return k
		}
	}
	return Shared
}

// ranks gives the shared ranks of a sorted order, 1, 1, 3, and what parted
// each one from the one before.
func ranks(order []int32, keys [][]int32, n int) (rank []int32, parted []int16) {
	rank = make([]int32, n)
	parted = make([]int16, len(order))
	last := int32(0)
	for i, p := range order {
		by := ByTotal
		if i > 0 {
			by = parting(keys, order[i-1], p)
		}
		if by != Shared {
			last = int32(i + 1)
		}
		rank[p], parted[i] = last, int16(by)
	}
	return rank, parted
}

// ranksWithin gives the ranks within each group. Two share a place there if
// they share one overall.
func ranksWithin(order, overall, group []int32, groups, n int) []int32 {
	rank := make([]int32, n)
	if group == nil {
		return rank
	}
	type last struct{ seen, overall, rank int32 }
	state := make([]last, groups)
	for _, p := range order {
		if group[p] < 0 {
			continue
		}
		l := &state[group[p]]
		l.seen++
		if overall[p] != l.overall {
			l.overall, l.rank = overall[p], l.seen
		}
		rank[p] = l.rank
	}
	return rank
}

// digit is the most bits sorted by in one pass: its 2,048 counters stay in
// the fastest cache.
const digit = 11

// sortDown sorts order by the keys, the first being the most important, each
// descending, and leaves equal ones as they are: a radix sort from the last
// key's lowest digit up. Keys must not be negative; nil keys are passed over.
func sortDown(order []int32, keys [][]int32) {
	if len(order) < 2 {
		return
	}
	from, to := order, make([]int32, len(order))
	var next [1 << digit]int32
	for k := len(keys) - 1; k >= 0; k-- {
		key := keys[k]
		if key == nil {
			continue
		}
		low, high := slices.Min(key), slices.Max(key)
		width := bits.Len32(uint32(high - low))
		for shift := 0; shift < width; shift += digit {
			clear(next[:])
			for _, p := range from {
				next[uint32(high-key[p])>>shift%(1<<digit)]++
			}
			at := int32(0)
			for d := range next {
				at, next[d] = at+next[d], at
			}
			for _, p := range from {
				d := uint32(high-key[p]) >> shift % (1 << digit)
				to[next[d]] = p
				next[d]++
			}
			from, to = to, from
		}
	}
	copy(order, from)
}
