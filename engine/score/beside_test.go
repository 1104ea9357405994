//go:build !js

package score_test

import (
	"fmt"
	"sort"
	"testing"
	"time"

	"keelcard/engine/score"
)

// The scorer one writes first: people as structs, cards as lists of grades,
// points and counts in maps, ranks by a comparison sort.
type plainPerson struct {
	number, team, division int
	cards                  [][]string
	classes                []int
	total                  int
	rank, divisionRank     int
}

type plainTeam struct {
	number, total, rank int
	members             []*plainPerson
	ties                [3]int
}

type plainContest struct {
	keys   [][]string
	people []*plainPerson
}

// plainly turns the dense sheet of contestOf into structs and text.
func plainly(s *score.Sheet) *plainContest {
	grades := score.PennState().Grades
	c := &plainContest{}
	for _, class := range s.Classes {
		var key []string
		for _, k := range class.Table.Keys {
			key = append(key, grades[k.Answers[0]-1])
		}
		c.keys = append(c.keys, key)
	}
	for p := range s.Persons {
		person := &plainPerson{number: p, team: int(s.Team[p]), division: int(s.Division[p])}
		for i, class := range s.Classes {
			card := make([]string, len(c.keys[i]))
			for slot := range card {
				switch m := class.Marks[p*len(card)+slot]; {
				case m == score.Blank:
				case m >= score.Double:
					card[slot] = "double"
				default:
					card[slot] = grades[m-1]
				}
			}
			person.cards = append(person.cards, card)
		}
		c.people = append(c.people, person)
	}
	return c
}

func (c *plainContest) score() (order []*plainPerson, teams []*plainTeam, items []map[string]int) {
	table := map[[2]string]int{}
	for _, key := range []string{"A", "B", "C", "NG"} {
		for _, mark := range []string{"A", "B", "C", "NG"} {
			table[[2]string{key, mark}] = pennStatePoints(key, mark)
		}
	}
	for _, key := range c.keys {
		for range key {
			items = append(items, map[string]int{})
		}
	}
	byTeam := map[int]*plainTeam{}
	for _, p := range c.people {
		p.total, p.classes = 0, make([]int, len(c.keys))
		for i, card := range p.cards {
			for slot, mark := range card {
				p.classes[i] += table[[2]string{c.keys[i][slot], mark}]
				items[i*len(card)+slot][mark]++
			}
			p.total += p.classes[i]
		}
		order = append(order, p)
	}
	better := func(a, b *plainPerson) int {
		for _, d := range []int{a.total - b.total, a.classes[0] - b.classes[0], a.classes[1] + a.classes[2] + a.classes[3] - b.classes[1] - b.classes[2] - b.classes[3]} {
			if d != 0 {
				return d
			}
		}
		return 0
	}
	sort.SliceStable(order, func(i, j int) bool { return better(order[i], order[j]) > 0 })
	seen := map[int][]*plainPerson{}
	for i, p := range order {
		p.rank = i + 1
		if i > 0 && better(order[i-1], p) == 0 {
			p.rank = order[i-1].rank
		}
		division := seen[p.division]
		p.divisionRank = len(division) + 1
		if n := len(division); n > 0 && better(division[n-1], p) == 0 {
			p.divisionRank = division[n-1].divisionRank
		}
		seen[p.division] = append(division, p)
		team := byTeam[p.team]
		if team == nil {
			team = &plainTeam{number: p.team}
			byTeam[p.team] = team
		}
		team.members = append(team.members, p)
	}
	for _, team := range byTeam {
		if len(team.members) < 3 {
			continue
		}
		for _, p := range team.members[:3] {
			team.total += p.total
			team.ties[0] += p.classes[0]
			team.ties[1] += p.classes[1] + p.classes[2] + p.classes[3]
		}
		if len(team.members) > 3 {
			team.ties[2] = team.members[3].total
		}
		teams = append(teams, team)
	}
	ahead := func(a, b *plainTeam) int {
		for _, d := range []int{a.total - b.total, a.ties[0] - b.ties[0], a.ties[1] - b.ties[1], a.ties[2] - b.ties[2]} {
			if d != 0 {
				return d
			}
		}
		return 0
	}
	sort.Slice(teams, func(i, j int) bool {
		d := ahead(teams[i], teams[j])
		return d > 0 || (d == 0 && teams[i].number < teams[j].number)
	})
	for i, team := range teams {
		team.rank = i + 1
		if i > 0 && ahead(teams[i-1], team) == 0 {
			team.rank = teams[i-1].rank
		}
	}
	return order, teams, items
}

// agree makes sure that the three have done the same work.
func agree(tb testing.TB, r *score.Result, order []*plainPerson, teams []*plainTeam) {
	for _, p := range order {
		if int(r.Rank[p.number]) != p.rank || int(r.DivisionRank[p.number]) != p.divisionRank || r.Total(p.number).String() != fmt.Sprint(p.total) {
			tb.Fatalf("person %d: %v, ranks %d and %d, plainly %d, %d and %d", p.number, r.Total(p.number), r.Rank[p.number], r.DivisionRank[p.number], p.total, p.rank, p.divisionRank)
		}
	}
	for _, team := range teams {
		if int(r.Teams[team.number].Rank) != team.rank {
			tb.Fatalf("team %d: rank %d, plainly %d", team.number, r.Teams[team.number].Rank, team.rank)
		}
	}
}

// BenchmarkBeside scores one contest three ways in turn, so that a busy
// machine slows all of them, and reports how many times longer the others
// take. Loading the database is not counted.
func BenchmarkBeside(b *testing.B) {
	for _, persons := range []int{2_000, 20_000} {
		b.Run(fmt.Sprintf("persons=%d", persons), func(b *testing.B) {
			s := contestOf(b, persons)
			plain := plainly(&s)
			db := openDB(b)
			load(b, db, &s, func(class, slot, mark int) int { return int(s.Classes[class].Table.Slots[slot][mark]) })
			text := summing + statement(s.Ties[:2], s.TeamBest)
			var ours, plains, sqls time.Duration
			b.ResetTimer()
			for b.Loop() {
				start := time.Now()
				r, err := score.Compute(s)
				ours += time.Since(start)
				if err != nil {
					b.Fatal(err)
				}
				start = time.Now()
				order, teams, _ := plain.score()
				plains += time.Since(start)
				agree(b, r, order, teams)
				start = time.Now()
				if _, err := db.Exec(text); err != nil {
					b.Fatal(err)
				}
				sqls += time.Since(start)
				if _, err := db.Exec(cleanup); err != nil {
					b.Fatal(err)
				}
			}
			ms := func(d time.Duration) float64 { return d.Seconds() * 1e3 / float64(b.N) }
			b.ReportMetric(ms(ours), "ms/compute")
			b.ReportMetric(ms(plains), "ms/plain")
			b.ReportMetric(ms(sqls), "ms/sqlite")
			b.ReportMetric(float64(plains)/float64(ours), "x-plain")
			b.ReportMetric(float64(sqls)/float64(ours), "x-sqlite")
			b.ReportMetric(0, "ns/op")
		})
	}
}
