package score_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/placing"
	"keelcard/engine/points"
	"keelcard/engine/score"
)

// Ten thousand small contests agree with the plain way in every number.
func TestAgainstThePlainWay(t *testing.T) {
	contests := 10_000
	if testing.Short() {
		contests = 1_000
	}
	shared, alternates, few := 0, 0, 0
	for seed := range contests {
		p := randomPaper(rand.New(rand.NewPCG(uint64(seed), 7)))
		r, err := score.Compute(p.sheet(t))
		if err != nil {
			t.Fatalf("contest %d: %v", seed, err)
		}
		if err := p.compare(r, p.score()); err != nil {
			t.Fatalf("contest %d: %v", seed, err)
		}
		for _, by := range r.Parted {
			if by == score.Shared {
				shared++
			}
		}
		for _, by := range r.TeamParted {
			if by > 0 && p.ties[by-1].Alternate {
				alternates++
			}
		}
		for _, team := range r.Teams {
			if len(team.Counting) > 0 && team.Rank == 0 {
				few++
			}
		}
	}
	t.Logf("%d shared places, %d teams parted by the alternate, %d teams with too few members", shared, alternates, few)
	if contests == 10_000 && (shared < 1000 || alternates < 100 || few < 1000) {
		t.Error("the random contests do not reach the hard cases")
	}
}

// What a trail shows adds up to what the result says, and what it names as
// having parted two neighbours does part them.
func TestTrailsAddUp(t *testing.T) {
	for seed := range 1_000 {
		p := randomPaper(rand.New(rand.NewPCG(uint64(seed), 8)))
		r, err := score.Compute(p.sheet(t))
		if err != nil {
			t.Fatal(err)
		}
		for person := range p.people {
			checkTrail(t, p, r, person)
		}
		for team := range p.teams {
			checkTeamTrail(t, p, r, team)
		}
	}
}

func checkTrail(t *testing.T, p *paper, r *score.Result, person int) {
	t.Helper()
	trail, err := r.Trail(person)
	if err != nil {
		t.Fatal(err)
	}
	var total points.Points
	for c, class := range trail.Classes {
		var sum points.Points
		for s, slot := range class.Slots {
			sum += slot.Points
			if want := p.classes[c].byteOf(p.people[person].cards[c][s]); slot.Mark != want {
				t.Fatalf("person %d class %d slot %d: mark %#x, want %#x", person, c, s, slot.Mark, want)
			}
			if slot.Points > slot.Full {
				t.Fatalf("person %d class %d slot %d: %v of %v", person, c, s, slot.Points, slot.Full)
			}
		}
		if class.Void != p.people[person].void[c] {
			t.Fatalf("person %d class %d: disqualified %v", person, c, class.Void)
		}
		if _, has := p.people[person].cards[c]; has == class.NoCard {
			t.Fatalf("person %d class %d: card %v, trail says %v", person, c, has, !class.NoCard)
		}
		if class.Join != score.Sum && !class.NoCard {
			sum = groupsOf(t, p.classes[c].groups, class, sum)
		}
		if sum != class.Total || sum != r.ClassPoints(c, person) {
			t.Fatalf("person %d class %d: slots make %v, trail %v, result %v", person, c, sum, class.Total, r.ClassPoints(c, person))
		}
		total += sum
	}
	if off := points.Of(p.people[person].penalty); trail.Penalty != min(off, total) {
		t.Fatalf("person %d: %v is taken off %v, the penalty is %v", person, trail.Penalty, total, off)
	}
	if total -= trail.Penalty; total != trail.Total || total != r.Total(person) {
		t.Fatalf("person %d: classes make %v, trail %v, result %v", person, total, trail.Total, r.Total(person))
	}
	at := slices.Index(r.Order, int32(person))
	if (at < 0) != (trail.Rank == 0) {
		t.Fatalf("person %d stands at %d with rank %d", person, at, trail.Rank)
	}
	if (trail.Before != nil) != (at > 0) || (trail.After != nil) != (at >= 0 && at+1 < len(r.Order)) {
		t.Fatalf("person %d at %d of %d: neighbours %v, %v", person, at, len(r.Order), trail.Before, trail.After)
	}
	if trail.Before != nil {
		checkParting(t, *trail.Before, int(r.Order[at-1]), int(r.Parted[at]), r.Rank[person] == r.Rank[trail.Before.Other])
		if want := numberOf(p, r, person, trail.Before.By); trail.Before.Mine != want {
			t.Fatalf("person %d: %+v, want %v as mine", person, trail.Before, want)
		}
		if want := numberOf(p, r, trail.Before.Other, trail.Before.By); trail.Before.Theirs != want {
			t.Fatalf("person %d: %+v, want %v as theirs", person, trail.Before, want)
		}
	}
	if trail.After != nil && trail.After.Mine < trail.After.Theirs {
		t.Fatalf("person %d has less than the one after: %+v", person, trail.After)
	}
}

// numberOf is the number by which a person is compared.
func numberOf(p *paper, r *score.Result, person, by int) points.Points {
	if by <= score.ByTotal {
		return r.Total(person)
	}
	var sum points.Points
	for _, c := range p.ties[by-1].Classes {
		sum += r.ClassPoints(c, person)
	}
	return sum
}

func checkParting(t *testing.T, got score.Parting, other, by int, shared bool) {
	t.Helper()
	if got.Other != other || got.By != by {
		t.Fatalf("got %+v, want other %d by %d", got, other, by)
	}
	if (got.By == score.Shared) != shared || (got.Mine == got.Theirs) != shared || got.Mine > got.Theirs {
		t.Fatalf("%+v with a shared place %v", got, shared)
	}
}

func checkTeamTrail(t *testing.T, p *paper, r *score.Result, team int) {
	t.Helper()
	trail, err := r.TeamTrail(team)
	if err != nil {
		t.Fatal(err)
	}
	if len(trail.Counting)+len(trail.Dropped) != len(r.Teams[team].Counting)+len(r.Teams[team].Dropped) {
		t.Fatalf("team %d: members lost", team)
	}
	if trail.Rank == 0 {
		return
	}
	var sum points.Points
	for _, m := range trail.Counting {
		sum += r.Total(m.Person)
		if p.people[m.Person].alternate {
			t.Fatalf("team %d counts %+v, an alternate", team, m)
		}
		for _, d := range trail.Dropped {
			if d.Total > m.Total && !p.people[d.Person].alternate {
				t.Fatalf("team %d drops %+v and counts %+v", team, d, m)
			}
		}
	}
	if len(trail.Counting) != p.best || sum != trail.Total || sum != r.Teams[team].Total {
		t.Fatalf("team %d: %d count with %v, trail %v, result %v", team, len(trail.Counting), sum, trail.Total, r.Teams[team].Total)
	}
	at := slices.Index(r.TeamOrder, int32(team))
	if trail.Before != nil {
		checkParting(t, *trail.Before, int(r.TeamOrder[at-1]), int(r.TeamParted[at]), r.Teams[team].Rank == r.Teams[trail.Before.Other].Rank)
	}
}

// The order in which people are entered changes nothing but who is named first
// among those who share a place.
func TestPeopleInAnotherOrder(t *testing.T) {
	for seed := range 500 {
		rng := rand.New(rand.NewPCG(uint64(seed), 9))
		p := randomPaper(rng)
		before, err := score.Compute(p.sheet(t))
		if err != nil {
			t.Fatal(err)
		}
		shuffled := *p
		shuffled.people = nil
		order := rng.Perm(len(p.people))
		for _, i := range order {
			shuffled.people = append(shuffled.people, p.people[i])
		}
		after, err := score.Compute(shuffled.sheet(t))
		if err != nil {
			t.Fatal(err)
		}
		for now, i := range order {
			if after.Total(now) != before.Total(i) || after.Rank[now] != before.Rank[i] || after.DivisionRank[now] != before.DivisionRank[i] {
				t.Fatalf("contest %d: person %d changed", seed, i)
			}
		}
		for team := range before.Teams {
			a, b := after.Teams[team], before.Teams[team]
			if a.Total != b.Total || a.Rank != b.Rank || a.DivisionRank != b.DivisionRank {
				t.Fatalf("contest %d: team %d changed from %+v to %+v", seed, team, b, a)
			}
		}
		if !reflect.DeepEqual(after.Items, before.Items) || !slices.Equal(after.Parted, before.Parted) {
			t.Fatalf("contest %d: items or tie-breaks changed", seed)
		}
	}
}

func TestSameSheetSameResult(t *testing.T) {
	s := contestOf(t, 3_000)
	a, err := score.Compute(s)
	if err != nil {
		t.Fatal(err)
	}
	b, err := score.Compute(s)
	if err != nil || !reflect.DeepEqual(a, b) {
		t.Errorf("two runs differ, %v", err)
	}
}

func gradedKeys(answers ...uint8) []score.Key {
	var keys []score.Key
	for _, a := range answers {
		keys = append(keys, score.Key{Answers: []uint8{a}})
	}
	return keys
}

func mustCompile(t *testing.T, rule score.PointTable, keys []score.Key) score.Table {
	t.Helper()
	table, err := rule.Compile(keys)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

func TestNobody(t *testing.T) {
	table := mustCompile(t, score.PennState(), gradedKeys(1, 2))
	for name, s := range map[string]score.Sheet{
		"nothing":     {},
		"one class":   {Classes: []score.ClassSheet{{Table: table}}},
		"empty teams": {Classes: []score.ClassSheet{{Table: table}}, Teams: 2, Team: []int32{}, TeamBest: 3, Ties: []score.Tie{{Alternate: true}}},
		"no slots":    {Persons: 2, Classes: []score.ClassSheet{{}}},
	} {
		r, err := score.Compute(s)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if len(r.Order) != s.Persons || len(r.TeamOrder) != 0 {
			t.Errorf("%s: %v ranked, teams %v", name, r.Order, r.TeamOrder)
		}
		for _, items := range r.Items {
			for _, item := range items {
				if item.RightShare() != 0 || item.Cards != 0 {
					t.Errorf("%s: item %+v", name, item)
				}
			}
		}
	}
}

func TestEveryoneTiedSharesThePlace(t *testing.T) {
	table := mustCompile(t, score.PennState(), gradedKeys(1, 2, 3))
	s := score.Sheet{Persons: 500, Classes: []score.ClassSheet{{Table: table, Marks: []byte(strings.Repeat("\x01\x02\x03", 500))}},
		Ties: []score.Tie{{Classes: []int{0}}}}
	r, err := score.Compute(s)
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range r.Order {
		if int(p) != i || r.Rank[p] != 1 || (i > 0 && r.Parted[i] != score.Shared) {
			t.Fatalf("place %d: person %d, rank %d, parted %d", i, p, r.Rank[p], r.Parted[i])
		}
	}
}

func TestSharedRanksSkip(t *testing.T) {
	table := mustCompile(t, score.PennState(), gradedKeys(1))
	// A earns 10, B 7, C 4: totals 7, 10, 10, 4, 7 make the ranks 3, 1, 1, 5, 3.
	s := score.Sheet{Persons: 5, Classes: []score.ClassSheet{{Table: table, Marks: []byte{2, 1, 1, 3, 2}}},
		Divisions: 2, Division: []int32{0, 0, 1, 1, 1}}
	r, err := score.Compute(s)
	if err != nil {
		t.Fatal(err)
	}
	if want := []int32{3, 1, 1, 5, 3}; !slices.Equal(r.Rank, want) {
		t.Errorf("ranks %v, want %v", r.Rank, want)
	}
	if want := []int32{2, 1, 1, 3, 2}; !slices.Equal(r.DivisionRank, want) {
		t.Errorf("division ranks %v, want %v", r.DivisionRank, want)
	}
}

func TestTeamsOfOneToFive(t *testing.T) {
	table := mustCompile(t, score.PennState(), gradedKeys(1, 1))
	// Teams 0 to 4 have 1 to 5 members, all with two A of two.
	var team []int32
	for size := range int32(5) {
		for range size + 1 {
			team = append(team, size)
		}
	}
	s := score.Sheet{Persons: 15, Teams: 5, Team: team, TeamBest: 3,
		Classes: []score.ClassSheet{{Table: table, Marks: []byte(strings.Repeat("\x01\x01", 15))}},
		Ties:    []score.Tie{{Alternate: true}}}
	r, err := score.Compute(s)
	if err != nil {
		t.Fatal(err)
	}
	for size, want := range []struct{ rank, counting, dropped int }{{0, 1, 0}, {0, 2, 0}, {1, 3, 0}, {1, 3, 1}, {1, 3, 2}} {
		got := r.Teams[size]
		if int(got.Rank) != want.rank || len(got.Counting) != want.counting || len(got.Dropped) != want.dropped {
			t.Errorf("team of %d: %+v, want %+v", size+1, got, want)
		}
		if want.rank > 0 && got.Total != points.Of(60) || want.rank == 0 && got.Total != 0 {
			t.Errorf("team of %d: total %v", size+1, got.Total)
		}
	}
}

func TestUnrankedHelpNoTeam(t *testing.T) {
	table := mustCompile(t, score.PennState(), gradedKeys(1))
	s := score.Sheet{Persons: 4, Teams: 1, Team: []int32{0, 0, 0, 0}, TeamBest: 3, Unranked: []bool{true, false, false, false},
		Classes: []score.ClassSheet{{Table: table, Marks: []byte{1, 2, 2, 3}}}}
	r, err := score.Compute(s)
	if err != nil {
		t.Fatal(err)
	}
	if r.Rank[0] != 0 || r.Total(0) != points.Of(10) || r.Rank[1] != 1 {
		t.Errorf("ranks %v, total %v", r.Rank, r.Total(0))
	}
	if got := r.Teams[0]; got.Total != points.Of(18) || len(got.Dropped) != 0 {
		t.Errorf("team %+v, want 7 + 7 + 4 = 18", got)
	}
}

func TestItemAllRightOrAllWrong(t *testing.T) {
	table := mustCompile(t, score.PennState(), []score.Key{{Answers: []uint8{1}}, {Answers: []uint8{1}}, {Out: true}})
	s := score.Sheet{Persons: 4, Classes: []score.ClassSheet{{Table: table, Has: []bool{true, true, true, false},
		Marks: []byte{1, 4, 1, 1, 4, 0, 1, 0, score.Double, 77, 77, 77}}}}
	r, err := score.Compute(s)
	if err != nil {
		t.Fatal(err)
	}
	for slot, want := range []struct {
		right int
		share float64
	}{{3, 1}, {0, 0}, {3, 1}} {
		item := r.Items[0][slot]
		if item.Cards != 3 || item.Right != want.right || item.RightShare() != want.share {
			t.Errorf("slot %d: %d of %d right", slot, item.Right, item.Cards)
		}
	}
	if r.Total(0) != points.Of(20) || r.Total(3) != 0 || r.Missing[3] != 1 || r.Missing[0] != 0 {
		t.Errorf("totals %v and %v, missing %v", r.Total(0), r.Total(3), r.Missing)
	}
	if got := r.Items[0][1].Marks; got[4] != 2 || got[0] != 1 {
		t.Errorf("marks of slot 1: %d NG, %d blank", got[4], got[0])
	}
}

// Half points and hundredths keep their exact value.
func TestFinePoints(t *testing.T) {
	rule := score.Exact([]string{"yes", "no"}, 250)
	table := mustCompile(t, rule, gradedKeys(1, 2, 1))
	r, err := score.Compute(score.Sheet{Persons: 2, Classes: []score.ClassSheet{{Table: table, Marks: []byte{1, 2, 2, 1, 2, 1}}}})
	if err != nil {
		t.Fatal(err)
	}
	if r.Total(0).String() != "5" || r.Total(1).String() != "7.5" || table.Max.String() != "7.5" {
		t.Errorf("totals %v and %v of %v", r.Total(0), r.Total(1), table.Max)
	}
}

// Totals that differ by hundredths of a point over the whole range are sorted
// as a comparison sorts them.
func TestWideTotalsAreSorted(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	const persons, classes = 3_000, 24
	s := score.Sheet{Persons: persons}
	want := make([]int, persons)
	for range classes {
		worth := 1 + rng.IntN(int(score.MaxPoints)/classes)
		class := score.ClassSheet{Table: mustCompile(t, score.Exact([]string{"yes", "no"}, points.Points(worth)), gradedKeys(1))}
		for p := range persons {
			mark := byte(1 + rng.IntN(2))
			class.Marks = append(class.Marks, mark)
			if mark == 1 {
				want[p] += worth
			}
		}
		s.Classes = append(s.Classes, class)
	}
	r, err := score.Compute(s)
	if err != nil {
		t.Fatal(err)
	}
	order := make([]int32, persons)
	for p := range order {
		order[p] = int32(p)
	}
	slices.SortStableFunc(order, func(a, b int32) int { return want[b] - want[a] })
	if !slices.Equal(r.Order, order) {
		t.Error("the order differs from a comparison sort")
	}
}

// The widest contest that is allowed comes out exact.
func TestLargestSums(t *testing.T) {
	rule := score.Exact([]string{"yes", "no"}, score.MaxPoints-1)
	table := mustCompile(t, rule, gradedKeys(1))
	s := score.Sheet{Persons: 21, Teams: 1, Team: make([]int32, 21), TeamBest: score.MaxTeamBest,
		Classes: []score.ClassSheet{{Table: table, Marks: []byte(strings.Repeat("\x01", 21))}},
		Ties:    []score.Tie{{Classes: []int{0}}, {Alternate: true}}}
	s.Classes = append(s.Classes, score.ClassSheet{Table: mustCompile(t, score.Exact([]string{"x"}, 1), gradedKeys(1)), Marks: s.Classes[0].Marks})
	r, err := score.Compute(s)
	if err != nil {
		t.Fatal(err)
	}
	if r.Total(0) != score.MaxPoints || r.Teams[0].Total != score.MaxTeamBest*score.MaxPoints {
		t.Errorf("total %v, team %v", r.Total(0), r.Teams[0].Total)
	}
}

func TestSheetsRefused(t *testing.T) {
	table := mustCompile(t, score.PennState(), gradedKeys(1, 2))
	good := func() score.Sheet {
		return score.Sheet{Persons: 2, Classes: []score.ClassSheet{{Table: table, Marks: []byte{1, 2, 3, 4}}},
			Teams: 1, Team: []int32{0, -1}, TeamBest: 3, Divisions: 1, Division: []int32{-1, 0}}
	}
	if _, err := score.Compute(good()); err != nil {
		t.Fatal(err)
	}
	for name, tc := range map[string]struct {
		spoil func(*score.Sheet)
		want  engine.Code
		text  string
	}{
		"too many persons":     {func(s *score.Sheet) { s.Persons = score.MaxPersons + 1 }, score.CodeLarge, "persons"},
		"fewer than none":      {func(s *score.Sheet) { s.Persons = -1 }, score.CodeLarge, "-1"},
		"marks missing":        {func(s *score.Sheet) { s.Classes[0].Marks = []byte{1, 2, 3} }, score.CodeSheet, "3 marks"},
		"has missing":          {func(s *score.Sheet) { s.Classes[0].Has = []bool{true} }, score.CodeSheet, "1 entries"},
		"no such team":         {func(s *score.Sheet) { s.Team[1] = 1 }, score.CodeSheet, "person 1 has team 1 of 1"},
		"no such division":     {func(s *score.Sheet) { s.Division[0] = -2 }, score.CodeSheet, "division -2"},
		"short divisions":      {func(s *score.Sheet) { s.Division = []int32{0} }, score.CodeSheet, "1 entries"},
		"unranked":             {func(s *score.Sheet) { s.Unranked = []bool{true} }, score.CodeSheet, "1 entries"},
		"nobody counts":        {func(s *score.Sheet) { s.TeamBest = 0 }, score.CodeSheet, "0 members"},
		"tie of no class":      {func(s *score.Sheet) { s.Ties = []score.Tie{{}} }, score.CodeSheet, "tie-break 1"},
		"tie of both":          {func(s *score.Sheet) { s.Ties = []score.Tie{{Classes: []int{0}, Alternate: true}} }, score.CodeSheet, "one of the two"},
		"tie of another class": {func(s *score.Sheet) { s.Ties = []score.Tie{{Classes: []int{1}}} }, score.CodeSheet, "no class 1"},
		"tie of a class twice": {func(s *score.Sheet) { s.Ties = []score.Tie{{Classes: []int{0, 0}}} }, score.CodeSheet, "twice"},
		"two alternates":       {func(s *score.Sheet) { s.Ties = []score.Tie{{Alternate: true}, {Alternate: true}} }, score.CodeSheet, "second time"},
		"a mark off the scale": {func(s *score.Sheet) { s.Classes[0].Marks[3] = 5 }, score.CodeMark, "class 0, person 1, slot 1"},
		"a half double mark":   {func(s *score.Sheet) { s.Classes[0].Marks[0] = 0x81 }, score.CodeMark, "0x81"},
		"a mask off the scale": {func(s *score.Sheet) { s.Classes[0].Marks[0] = 0x91 }, score.CodeMark, "0x91"},
		"a negative table":     {func(s *score.Sheet) { s.Classes[0].Table.Slots[0][3] = -1 }, score.CodeTable, "-0.01"},
		"a huge table":         {func(s *score.Sheet) { s.Classes[0].Table.Slots[0][3] = score.MaxPoints }, score.CodeLarge, "1000010"},
		"keys missing":         {func(s *score.Sheet) { s.Classes[0].Table.Keys = nil }, score.CodeTable, "0 keys"},
	} {
		s := good()
		s.Classes[0].Table.Slots = slices.Clone(s.Classes[0].Table.Slots)
		s.Classes[0].Marks = slices.Clone(s.Classes[0].Marks)
		tc.spoil(&s)
		_, err := score.Compute(s)
		if engine.CodeOf(err) != tc.want || !strings.Contains(fmt.Sprint(err), tc.text) {
			t.Errorf("%s: %v, want code %s and %q", name, err, tc.want, tc.text)
		}
	}
}

func TestNoSuchPersonOrTeam(t *testing.T) {
	r, err := score.Compute(score.Sheet{Persons: 1})
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range []int{-1, 1} {
		if _, err := r.Trail(n); engine.CodeOf(err) != score.CodeNone {
			t.Errorf("person %d: %v", n, err)
		}
		if _, err := r.TeamTrail(n); engine.CodeOf(err) != score.CodeNone {
			t.Errorf("team %d: %v", n, err)
		}
	}
}

func TestPennStateTable(t *testing.T) {
	rule := score.PennState()
	for k, key := range rule.Grades {
		for m, mark := range rule.Grades {
			if got, want := rule.Points[k][m], points.Of(pennStatePoints(key, mark)); got != want {
				t.Errorf("key %s marked %s: %v, want %v", key, mark, got, want)
			}
		}
	}
	table := mustCompile(t, rule, gradedKeys(1, 2, 3, 4, 1, 2, 3, 4, 1, 2))
	if table.Max != points.Of(100) {
		t.Errorf("ten items are worth %v, want 100", table.Max)
	}
}

func TestCrossing(t *testing.T) {
	of := func(n ...int) (all []points.Points) {
		for _, v := range n {
			all = append(all, points.Of(v))
		}
		return all
	}
	// Penn State Extension: minus 3 for A-B and for B-C, minus 4 for C-NG.
	got := score.Crossing([]string{"A", "B", "C", "NG"}, points.Of(10), of(3, 3, 4))
	if !reflect.DeepEqual(got, score.PennState()) {
		t.Errorf("got %v, want the published table", got)
	}
	// Losses stop at nothing: 5 - 4 - 4; a line that is not given costs nothing.
	got = score.Crossing([]string{"A", "B", "C"}, points.Of(5), of(4, 4))
	if got.Points[0][2] != 0 || got.Points[0][1] != points.Of(1) || got.Validate() != nil {
		t.Errorf("got %v, %v", got, got.Validate())
	}
	got = score.Crossing([]string{"A", "B", "C"}, points.Of(5), of(4))
	if got.Points[0][2] != points.Of(1) || got.Points[1][2] != points.Of(5) {
		t.Errorf("got %v", got)
	}
	got = score.Crossing([]string{"A", "B", "C"}, points.Of(5), []points.Points{math.MaxInt64, math.MaxInt64})
	if got.Points[0][2] != 0 || got.Points[2][0] != 0 {
		t.Errorf("got %v", got)
	}
	for name, lines := range map[string][]points.Points{
		"first":    of(-3, 3),
		"second":   of(3, -3),
		"smallest": {math.MinInt64, 1},
	} {
		if err := score.Crossing([]string{"A", "B", "C"}, points.Of(10), lines).Validate(); engine.CodeOf(err) != score.CodeTable {
			t.Errorf("%s line negative: %v", name, err)
		}
	}
}

func TestBlankAndDoubleRules(t *testing.T) {
	// With key B an A or C earns 7 and NG 3.
	for _, tc := range []struct {
		blank, double score.Rule
		mark          byte
		want          int
	}{
		{score.Zero, score.Zero, score.Blank, 0},
		{score.Zero, score.Zero, score.DoubleOf(2, 3), 0},
		{score.Zero, score.Lower, score.DoubleOf(2, 3), 7},
		{score.Zero, score.Lower, score.DoubleOf(1, 4), 3},
		{score.Zero, score.Lower, score.Double, 3},
		{score.Zero, score.Lower, score.Blank, 0},
		{score.Lower, score.Zero, score.Blank, 3},
	} {
		rule := score.PennState()
		rule.Blank, rule.Double = tc.blank, tc.double
		table := mustCompile(t, rule, gradedKeys(2))
		if got := table.Slots[0][tc.mark]; got != points.Of(tc.want) {
			t.Errorf("blank %s, double %s, mark %#x: %v, want %d", tc.blank, tc.double, tc.mark, got, tc.want)
		}
	}
}

func TestRulings(t *testing.T) {
	table := mustCompile(t, score.PennState(), []score.Key{{Answers: []uint8{1, 3}}, {Answers: []uint8{2}, Out: true}, {Out: true}})
	// Key A or C: A 10, B 7, C 10, NG 6.
	for mark, want := range []int{0, 10, 7, 10, 6} {
		if got := table.Slots[0][mark]; got != points.Of(want) {
			t.Errorf("second answer allowed, mark %d: %v, want %d", mark, got, want)
		}
	}
	for slot := 1; slot <= 2; slot++ {
		for mark, got := range table.Slots[slot] {
			if got != points.Of(10) {
				t.Errorf("slot %d is thrown out, mark %#x earns %v", slot, mark, got)
			}
		}
	}
	if table.Max != points.Of(30) {
		t.Errorf("the class is worth %v", table.Max)
	}
}

func TestPlacingTable(t *testing.T) {
	cuts := placing.Cuts{2, 5, 3}
	for _, tc := range []struct {
		class score.Placing
		mark  byte
		want  int
	}{
		// University of Nebraska-Lincoln Extension, NebGuide G2092: 2-1-3-4 earns 48.
		{score.Placing{Official: placing.Order{1, 2, 3, 4}, Cuts: cuts, Max: points.Of(50), Double: score.Zero}, 7, 48},
		{score.Placing{Official: placing.Order{1, 2, 3, 4}, Cuts: cuts, Max: points.Of(100), Double: score.Zero}, 7, 96},
		{score.Placing{Official: placing.Order{1, 2, 3, 4}, Cuts: cuts, Max: points.Of(50), Double: score.Zero}, score.Blank, 0},
		{score.Placing{Official: placing.Order{1, 2, 3, 4}, Cuts: cuts, Max: points.Of(50), Double: score.Zero}, score.Double, 0},
		// University of Missouri Extension, 2000: several orders marked earn the
		// lowest possible score, 50 - (3 × 10 + 5) = 15.
		{score.Placing{Official: placing.Order{1, 2, 3, 4}, Cuts: cuts, Max: points.Of(50), Double: score.Lower}, score.Double, 15},
		{score.Placing{Official: placing.Order{1, 2, 3, 4}, Cuts: cuts, Max: points.Of(50), Double: score.Lower}, score.DoubleOf(1, 7), 15},
		{score.Placing{Official: placing.Order{1, 2, 3, 4}, Also: []placing.Order{{2, 1, 3, 4}}, Cuts: cuts, Max: points.Of(50), Double: score.Zero}, 7, 50},
		{score.Placing{Official: placing.Order{1, 2, 3, 4}, Cuts: cuts, Max: points.Of(50), Double: score.Zero, Out: true}, score.Blank, 50},
	} {
		table, err := tc.class.Table()
		if err != nil {
			t.Fatal(err)
		}
		if got := table.Slots[0][tc.mark]; got != points.Of(tc.want) {
			t.Errorf("%+v, mark %#x: %v, want %d", tc.class, tc.mark, got, tc.want)
		}
	}
}

func TestPlacingRefused(t *testing.T) {
	good := score.Placing{Official: placing.Order{1, 2, 3, 4}, Cuts: placing.Cuts{2, 5, 3}, Max: points.Of(50), Double: score.Zero}
	for name, tc := range map[string]struct {
		spoil func(*score.Placing)
		want  engine.Code
	}{
		"no order":       {func(p *score.Placing) { p.Official = placing.Order{} }, score.CodeKey},
		"second is none": {func(p *score.Placing) { p.Also = []placing.Order{{1, 1, 1, 1}} }, score.CodeKey},
		"same twice":     {func(p *score.Placing) { p.Also = []placing.Order{p.Official} }, score.CodeKey},
		"cuts":           {func(p *score.Placing) { p.Cuts = placing.Cuts{9, 9, 9} }, placing.CodeNegative},
		"worth nothing":  {func(p *score.Placing) { p.Max = 0 }, score.CodeTable},
		"no rule":        {func(p *score.Placing) { p.Double = "" }, score.CodeTable},
	} {
		p := good
		tc.spoil(&p)
		if _, err := p.Table(); engine.CodeOf(err) != tc.want {
			t.Errorf("%s: %v, want code %s", name, err, tc.want)
		}
	}
}

func TestPointTablesRefused(t *testing.T) {
	for name, tc := range map[string]struct {
		spoil func(*score.PointTable)
		text  string
	}{
		"no grades":        {func(p *score.PointTable) { p.Grades, p.Points = nil, nil }, "0 answers"},
		"a row missing":    {func(p *score.PointTable) { p.Points = p.Points[:3] }, "3 rows"},
		"a column missing": {func(p *score.PointTable) { p.Points[1] = p.Points[1][:2] }, "points[1]"},
		"negative":         {func(p *score.PointTable) { p.Points[0][3] = -100 }, "A marked as NG earns -1"},
		"huge":             {func(p *score.PointTable) { p.Points[0][0] = score.MaxPoints + 1 }, "1000000.01"},
		"wrong pays more":  {func(p *score.PointTable) { p.Points[0][1] = points.Of(11) }, "A marked as B earns 11, more than the right answer's 10"},
		"right pays none":  {func(p *score.PointTable) { p.Points[0] = make([]points.Points, 4) }, "the right answer A earns nothing"},
		"no blank rule":    {func(p *score.PointTable) { p.Blank = "" }, `"" is no rule for blank`},
		"no double rule":   {func(p *score.PointTable) { p.Double = "half" }, `"half" is no rule for double`},
	} {
		rule := score.PennState()
		tc.spoil(&rule)
		_, err := rule.Compile(gradedKeys(1))
		if engine.CodeOf(err) != score.CodeTable || !strings.Contains(err.Error(), tc.text) {
			t.Errorf("%s: %v, want %q", name, err, tc.text)
		}
	}
	_, err := score.PennState().Compile([]score.Key{{}, {Answers: []uint8{5}}, {Answers: []uint8{1, 1}}, {Answers: []uint8{0}}})
	if engine.CodeOf(err) != score.CodeKey || strings.Count(err.Error(), "\n") != 3 {
		t.Errorf("four bad keys: %v", err)
	}
}

func TestDoubleMarks(t *testing.T) {
	for _, tc := range []struct {
		answers []int
		want    byte
	}{
		{[]int{1, 2}, 0x83},
		{[]int{1, 4}, 0x89},
		{[]int{7, 1}, 0xc1},
		{[]int{1, 1}, score.Double},
		{[]int{1}, score.Double},
		{nil, score.Double},
		{[]int{2, 8}, score.Double},
		{[]int{0, 2}, score.Double},
	} {
		if got := score.DoubleOf(tc.answers...); got != tc.want {
			t.Errorf("DoubleOf(%v) = %#x, want %#x", tc.answers, got, tc.want)
		}
	}
	if got := score.DoubleAnswers(0xc1); !slices.Equal(got, []int{1, 7}) {
		t.Errorf("0xc1 is %v", got)
	}
	if got := score.DoubleAnswers(3); got != nil {
		t.Errorf("a single mark is %v", got)
	}
}
