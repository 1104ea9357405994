package codec_test

import (
	"bytes"
	"cmp"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"keelcard/engine"
	"keelcard/engine/codec"
)

// season gives plausible results without texts: contestants of different skill
// in teams of four and two divisions; of every ten classes six are graded, ten
// items for five points with less for a near miss, two are placings, one is an
// exam of twenty questions and one is oral reasons. Within a class some items
// are easy and some are hard.
func season(seed uint64, rows, classes int) codec.Results {
	rng := rand.New(rand.NewPCG(seed, 11))
	var r codec.Results
	for range classes {
		r.Classes = append(r.Classes, codec.ClassHead{Max: 5000})
	}
	hard := make([][20]float64, classes) // each item, as what it adds to the skill
	for i := range hard {
		class := rng.NormFloat64() * 0.08
		for item := range hard[i] {
			hard[i][item] = class + rng.NormFloat64()*0.2
		}
		if i%10 == 8 {
			r.Classes[i].Max = 10000
		}
	}
	number := 101
	for i := range rows {
		row := codec.Row{Number: number, Team: i/4 + 1, Division: 1 + i*2/rows}
		if number++; rng.IntN(10) == 0 {
			number += rng.IntN(3)
		}
		skill := 0.7 + rng.NormFloat64()*0.09
		for class := range classes {
			row.Points = append(row.Points, int32(points(rng, class, skill, hard[class])*100))
		}
		r.Rows = append(r.Rows, row)
	}
	r.TieOrder = []int{0, 1, 2}[:min(3, classes)]
	rank(&r)
	return r
}

// points are what one contestant gets in one class.
func points(rng *rand.Rand, class int, skill float64, hard [20]float64) int {
	sum := 0
	switch class % 10 {
	case 6, 7: // a placing: a loss for each pair the wrong way round
		for pair := range 6 {
			if rng.Float64() > skill+0.1+hard[pair] {
				sum += []int{2, 2, 3, 5, 5, 8}[pair]
			}
		}
		return 50 - sum
	case 8:
		for item := range 20 {
			if rng.Float64() < skill+hard[item] {
				sum += 5
			}
		}
		return sum
	case 9:
		return min(50, max(0, int(50*(skill+hard[0]/3+rng.NormFloat64()*0.06))))
	}
	for item := range 10 {
		switch p := rng.Float64(); {
		case p < skill+hard[item]:
			sum += 5
		case p < skill+hard[item]+0.2:
			sum += 3
		}
	}
	return sum
}

// rank places rows by total, then by the classes that break ties; who is still
// even shares a place.
func rank(r *codec.Results) {
	compare := func(a, b *codec.Row) int {
		c := cmp.Compare(b.Total(), a.Total())
		for _, class := range r.TieOrder {
			c = cmp.Or(c, cmp.Compare(b.Points[class], a.Points[class]))
		}
		return c
	}
	order := make([]*codec.Row, len(r.Rows))
	for i := range r.Rows {
		order[i] = &r.Rows[i]
	}
	slices.SortStableFunc(order, compare)
	for i, row := range order {
		row.Rank = i + 1
		if i > 0 && compare(order[i-1], row) == 0 {
			row.Rank = order[i-1].Rank
		}
	}
}

// named adds texts and team ranks.
func named(r codec.Results) codec.Results {
	r.Title, r.Date = "Tamarack County Poultry Day", "2026-04-11"
	for i := range r.Classes {
		r.Classes[i].Name = fmt.Sprintf("Class %d", i+1)
	}
	teams := 0
	for _, row := range r.Rows {
		teams = max(teams, row.Team)
	}
	for i := range teams {
		r.Teams = append(r.Teams, fmt.Sprintf("%s Township", []string{"Alder", "Birch", "Cedar", "Dogwood", "Elm"}[i%5]))
		r.TeamRanks = append(r.TeamRanks, i+1)
	}
	r.TeamBest, r.Divisions = 3, []string{"junior", "senior"}
	return r
}

func encodeResults(tb testing.TB, r codec.Results) []byte {
	tb.Helper()
	b, err := codec.EncodeResults(r)
	if err != nil {
		tb.Fatal(err)
	}
	return b
}

// odd are results at the edges.
func odd() map[string]codec.Results {
	all := map[string]codec.Results{
		"nothing":    {},
		"no classes": {Rows: []codec.Row{{Number: 1, Rank: 1}, {Number: 2, Rank: 1}, {Number: 3}}},
		"no rows":    {Classes: []codec.ClassHead{{Max: 5000, Name: "Hens"}}},
		"plain":      season(1, 40, 10),
		"named":      named(season(2, 40, 10)),
		"one":        season(3, 1, 1),
		"largest": {Classes: []codec.ClassHead{{Max: codec.MaxPoints}}, Rows: []codec.Row{
			{Number: 1<<32 - 1, Team: codec.MaxTeams, Division: codec.MaxClasses, Points: []int32{codec.MaxPoints}, Rank: 1},
			{Points: []int32{codec.MaxPoints - 1}, Rank: 2}}},
	}
	r := season(4, 12, 3)
	for i := range r.Rows {
		r.Rows[i].Points = []int32{5000, 4000, 3000}
		r.Rows[i].Rank = 12 - i
	}
	all["all tied, order given"] = r
	r = season(4, 12, 3)
	for i := range r.Rows {
		r.Rows[i].Points, r.Rows[i].Rank = []int32{50, 50, 50}, 1
	}
	all["all share the first place"] = r
	r = season(5, 20, 4)
	for i := range r.Rows {
		r.Rows[i].Points[i%4] = -1
		if i%3 == 0 {
			r.Rows[i].Points, r.Rows[i].Rank = []int32{-1, -1, -1, -1}, 0
		}
	}
	all["cards missing, ranks by another rule"] = r
	r = season(6, 10, 2)
	r.Rows[0].Points[0] = 7025 // more than the most, and a quarter of a point
	r.Rows[1].Points[1] = 0
	all["more than the most"] = r
	r = season(8, 20, 3)
	r.Rows[3].Penalty, r.Rows[7].Penalty = 1000, 25
	r.Rows[8].Penalty = 40_000 // more than there is
	rank(&r)
	all["penalties"] = r
	r = season(9, 20, 3)
	for i := range r.Rows {
		r.Rows[i].Points[1] = int32(1 + i*7%50*3) // a mean of three officials
	}
	rank(&r)
	all["points of a hundredth"] = r
	r = named(season(7, 8, 2))
	r.Teams[1], r.Title = "Åland & Søn 鶏", ""
	r.TeamRanks = []int{1, 1}
	all["names of all kinds"] = r
	return all
}

func TestResultsThereAndBack(t *testing.T) {
	for name, r := range odd() {
		b := encodeResults(t, r)
		for form, in := range map[string][]byte{"file": b, "text": []byte(codec.EncodeText(b))} {
			got, err := codec.DecodeResults(in)
			if err != nil {
				t.Errorf("%s as %s: %v", name, form, err)
				continue
			}
			if !sameResults(got, r) {
				t.Errorf("%s as %s:\ngot  %+v\nwant %+v", name, form, got, r)
			}
			if again := encodeResults(t, got); !bytes.Equal(again, b) {
				t.Errorf("%s as %s is written differently the second time", name, form)
			}
		}
	}
}

// sameResults compares without telling an empty list from none.
func sameResults(a, b codec.Results) bool {
	for _, r := range []*codec.Results{&a, &b} {
		r.Rows = append([]codec.Row{}, r.Rows...)
		for i := range r.Rows {
			r.Rows[i].Points = append([]int32{}, r.Rows[i].Points...)
		}
		r.Classes = append([]codec.ClassHead{}, r.Classes...)
		r.Teams = append([]string{}, r.Teams...)
		r.Divisions = append([]string{}, r.Divisions...)
		r.TeamRanks = append([]int{}, r.TeamRanks...)
		r.TieOrder = append([]int{}, r.TieOrder...)
	}
	return reflect.DeepEqual(a, b)
}

func TestEncodeResultsRefuses(t *testing.T) {
	for _, tc := range []struct {
		name   string
		change func(*codec.Results)
		want   engine.Code
	}{
		{"points missing", func(r *codec.Results) { r.Rows[3].Points = r.Rows[3].Points[1:] }, codec.CodeResults},
		{"points below none", func(r *codec.Results) { r.Rows[3].Points[0] = -2 }, codec.CodeResults},
		{"points too many", func(r *codec.Results) { r.Rows[3].Points[0] = codec.MaxPoints + 1 }, codec.CodeResults},
		{"number below zero", func(r *codec.Results) { r.Rows[3].Number = -1 }, codec.CodeResults},
		{"number too large", func(r *codec.Results) { r.Rows[3].Number = 1 << 32 }, codec.CodeResults},
		{"a penalty below zero", func(r *codec.Results) { r.Rows[3].Penalty = -1 }, codec.CodeResults},
		{"a penalty too large", func(r *codec.Results) { r.Rows[3].Penalty = codec.MaxPoints + 1 }, codec.CodeResults},
		{"no such team", func(r *codec.Results) { r.Rows[3].Team = 4 }, codec.CodeResults},
		{"no such division", func(r *codec.Results) { r.Rows[3].Division = 3 }, codec.CodeResults},
		{"rank beyond the last", func(r *codec.Results) { r.Rows[3].Rank = 13 }, codec.CodeResults},
		{"team rank beyond the last", func(r *codec.Results) { r.TeamRanks[0] = 4 }, codec.CodeResults},
		{"no such class", func(r *codec.Results) { r.TieOrder[0] = 3 }, codec.CodeResults},
		{"most below zero", func(r *codec.Results) { r.Classes[0].Max = -1 }, codec.CodeResults},
		{"long name", func(r *codec.Results) { r.Title = string(make([]byte, codec.MaxName+1)) }, codec.CodeTooLarge},
		{"many rows", func(r *codec.Results) { r.Rows = make([]codec.Row, codec.MaxRows+1) }, codec.CodeTooLarge},
		{"many classes", func(r *codec.Results) { r.Classes = make([]codec.ClassHead, codec.MaxClasses+1) }, codec.CodeTooLarge},
		{"many entries", func(r *codec.Results) {
			r.Rows, r.Classes = make([]codec.Row, 10_000), make([]codec.ClassHead, 51)
		}, codec.CodeTooLarge},
		{"members that count below zero", func(r *codec.Results) { r.TeamBest = -1 }, codec.CodeResults},
	} {
		r := named(season(1, 12, 3))
		tc.change(&r)
		if _, err := codec.EncodeResults(r); engine.CodeOf(err) != tc.want {
			t.Errorf("%s: %v, want %q", tc.name, err, tc.want)
		}
	}
}

// A total is what the classes come to less the penalty, and never below 0.
func TestTotalLessPenalty(t *testing.T) {
	r := codec.Row{Points: []int32{5000, -1, 3000}}
	for penalty, want := range map[int]int64{0: 8000, 500: 7500, 8001: 0} {
		if r.Penalty = penalty; r.Total() != want {
			t.Errorf("penalty %d: %d, want %d", penalty, r.Total(), want)
		}
	}
}

// The budget: 260 bytes for 40 contestants in ten classes, numbers, teams,
// divisions, ranks, frame and checksum included, names not. Exact, on fixed
// data: the worst of 50 contests counts.
func TestResultsBytes(t *testing.T) {
	const budget = 260
	worst, mean := resultsBytes(t)
	t.Logf("40 contestants in ten classes: %.1f bytes, at most %d", mean, worst)
	if worst > budget {
		t.Errorf("%d bytes, the budget is %d", worst, budget)
	}
}

func resultsBytes(tb testing.TB) (worst int, mean float64) {
	const contests = 50
	for seed := range uint64(contests) {
		n := len(encodeResults(tb, season(seed, 40, 10)))
		worst, mean = max(worst, n), mean+float64(n)/contests
	}
	return worst, mean
}

// BenchmarkEncodeResults packs one contest; bytes is the worst of all.
func BenchmarkEncodeResults(b *testing.B) {
	r := season(1, 40, 10)
	for b.Loop() {
		encodeResults(b, r)
	}
	worst, _ := resultsBytes(b)
	b.ReportMetric(float64(worst), "bytes")
}

func BenchmarkDecodeResults(b *testing.B) {
	in := encodeResults(b, season(1, 40, 10))
	for b.Loop() {
		if _, err := codec.DecodeResults(in); err != nil {
			b.Fatal(err)
		}
	}
}
