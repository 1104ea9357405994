package score_test

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/points"
	"keelcard/engine/score"
)

// Ranks by some of the classes are one more than the number of better ones,
// and a team's points there are those of the members who count overall.
func TestPartIsThePlainWay(t *testing.T) {
	for seed := range 1_000 {
		rng := rand.New(rand.NewPCG(uint64(seed), 12))
		p := randomPaper(rng)
		r, err := score.Compute(p.sheet(t))
		if err != nil {
			t.Fatal(err)
		}
		o := p.score()
		all := rng.Perm(len(p.classes))
		classes := all[:rng.IntN(len(all)+1)]
		part := r.Part(classes...)
		sums := make([]int, len(p.people))
		for i := range p.people {
			for _, c := range classes {
				sums[i] += o.class[i][c]
			}
			if part.Points(i) != points.Of(sums[i]) {
				t.Fatalf("contest %d, person %d: %v points, want %d", seed, i, part.Points(i), sums[i])
			}
		}
		for i, person := range p.people {
			rank, within := 1, 1
			for j, other := range p.people {
				if !other.unranked && sums[j] > sums[i] {
					rank++
					if other.division == person.division {
						within++
					}
				}
			}
			if person.unranked {
				rank = 0
			}
			if person.unranked || person.division < 0 {
				within = 0
			}
			if int(part.Rank[i]) != rank || int(part.DivisionRank[i]) != within {
				t.Fatalf("contest %d, person %d: ranks %d and %d, want %d and %d", seed, i, part.Rank[i], part.DivisionRank[i], rank, within)
			}
		}
		checkPartTeams(t, part, o, sums)
	}
}

func checkPartTeams(t *testing.T, part *score.Part, o outcome, sums []int) {
	t.Helper()
	teams := make([]int, len(o.teamRank))
	for i, members := range o.counting {
		for _, m := range members {
			if o.teamRank[i] > 0 {
				teams[i] += sums[m]
			}
		}
		if part.TeamPoints(i) != points.Of(teams[i]) {
			t.Fatalf("team %d: %v points, want %d", i, part.TeamPoints(i), teams[i])
		}
	}
	for i := range teams {
		rank := 1
		for j := range teams {
			if o.teamRank[j] > 0 && teams[j] > teams[i] {
				rank++
			}
		}
		if o.teamRank[i] == 0 {
			rank = 0
		}
		if int(part.TeamRank[i]) != rank {
			t.Fatalf("team %d: rank %d, want %d", i, part.TeamRank[i], rank)
		}
	}
}

// A penalty comes off the total and not off a class, does not take it below
// zero, and keeps its hundredths.
func TestPenalties(t *testing.T) {
	table := mustCompile(t, score.PennState(), gradedKeys(1, 1))
	s := score.Sheet{Persons: 3, Classes: []score.ClassSheet{{Table: table, Marks: []byte(strings.Repeat("\x01\x02", 3))}},
		Penalty: []points.Points{0, 525, points.Of(40)}}
	r, err := score.Compute(s)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []points.Points{1700, 1175, 0} {
		if r.Total(i) != want || r.ClassPoints(0, i) != 1700 {
			t.Errorf("person %d: %v of %v, want %v of 17", i, r.Total(i), r.ClassPoints(0, i), want)
		}
	}
	if part := r.Part(0); part.Points(2) != 1700 || !slices.Equal(part.Rank, []int32{1, 1, 1}) || !slices.Equal(r.Rank, []int32{1, 2, 3}) {
		t.Errorf("ranks %v, by the class %v", r.Rank, part.Rank)
	}
	for name, spoil := range map[string]func(*score.Sheet){
		"below zero":              func(s *score.Sheet) { s.Penalty = []points.Points{0, -1, 0} },
		"too large":               func(s *score.Sheet) { s.Penalty = []points.Points{0, score.MaxPoints + 1, 0} },
		"too few":                 func(s *score.Sheet) { s.Penalty = s.Penalty[:2] },
		"too few alternates":      func(s *score.Sheet) { s.Alternate = make([]bool, 2) },
		"disqualified with cards": func(s *score.Sheet) { s.Classes[0].Void = make([]bool, 3) },
		"disqualified with a card": func(s *score.Sheet) {
			s.Classes[0].Void, s.Classes[0].Has = []bool{false, true, false}, []bool{true, true, true}
		},
	} {
		bad := s
		bad.Classes = slices.Clone(s.Classes)
		spoil(&bad)
		if _, err := score.Compute(bad); err == nil {
			t.Errorf("%s: it is scored", name)
		}
	}
}
