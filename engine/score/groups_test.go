package score_test

import (
	"math/rand/v2"
	"testing"

	"keelcard/engine"
	"keelcard/engine/points"
	"keelcard/engine/score"
)

// groupsOf checks that the groups of a trail hold its slots and gives what they
// come to: a mean to whole points, or what is without fault.
func groupsOf(t *testing.T, groups int, class score.ClassTrail, slots points.Points) points.Points {
	t.Helper()
	var all, counted points.Points
	n := points.Points(0)
	for _, g := range class.Groups {
		all += g.Sum
		if class.Join == score.Whole && g.Full || class.Join == score.Mean && g.Marked {
			counted += g.Sum
			n++
		}
	}
	if len(class.Groups) != groups || all != slots {
		t.Fatalf("%d groups make %v, %d groups of slots %v", len(class.Groups), all, groups, slots)
	}
	if class.Join == score.Whole || n == 0 {
		return counted
	}
	least := counted / n / points.One * points.One
	if half := least + points.One/2; half*n <= counted {
		least += points.One
	}
	return least
}

// given makes the table of officials who give points in steps of one: as many
// slots each, of ten at most.
func given(officials, criteria int, round points.Points) score.Table {
	t := score.Table{Answers: 11, Join: score.Mean, Groups: officials, Round: round, Max: points.Of(10 * criteria)}
	for range officials * criteria {
		var row [256]points.Points
		for mark := 1; mark <= 11; mark++ {
			row[mark] = points.Of(mark - 1)
		}
		t.Slots = append(t.Slots, row)
		t.Keys = append(t.Keys, score.Key{})
	}
	return t
}

func graded(t *testing.T, groups int, keys ...uint8) score.Table {
	var all []score.Key
	for _, k := range keys {
		all = append(all, score.Key{Answers: []uint8{k}})
	}
	table, err := score.PennState().Compile(all)
	if err != nil {
		t.Fatal(err)
	}
	table.Join, table.Groups = score.Whole, groups
	return table
}

// The mean is over the officials who gave anything, rounded half up as the class
// says; the sentence beside it shows the sums.
func TestMeanOfOfficials(t *testing.T) {
	for _, tc := range []struct {
		officials, criteria int
		round               points.Points
		marks               []byte
		want                points.Points
		text                string
	}{
		{2, 1, 1, []byte{5, 4}, 350, "(4 + 3) / 2 = 3.5"},
		{2, 1, 100, []byte{5, 4}, 400, "(4 + 3) / 2 = 4"},
		{2, 1, 50, []byte{5, 4}, 350, "(4 + 3) / 2 = 3.5"},
		{3, 1, 1, []byte{5, 4, 5}, 367, "(4 + 3 + 4) / 3 = 3.67"},      // 3.666...
		{3, 1, 50, []byte{5, 4, 5}, 350, "(4 + 3 + 4) / 3 = 3.5"},      // 3.666...
		{3, 1, 1, []byte{5, 5, 4}, 367, "(4 + 4 + 3) / 3 = 3.67"},      //
		{3, 1, 1, []byte{4, 4, 5}, 333, "(3 + 3 + 4) / 3 = 3.33"},      // 3.333...
		{4, 1, 50, []byte{5, 5, 5, 4}, 400, "(4 + 4 + 4 + 3) / 4 = 4"}, // 3.75
		{3, 1, 1, []byte{5, 0, 4}, 350, "(4 + 3) / 2 = 3.5"},           // one gave nothing
		{3, 1, 1, []byte{5, 1, 4}, 233, "(4 + 0 + 3) / 3 = 2.33"},      // one gave no points
		{3, 1, 1, []byte{0, 0, 0}, 0, ""},
		{1, 1, 1, []byte{11}, 1000, "(10) / 1 = 10"},
		{2, 3, 1, []byte{11, 6, 1, 9, 0, 3}, 1250, "(15 + 10) / 2 = 12.5"}, // a criterion left out earns nothing
	} {
		s := score.Sheet{Persons: 1, Classes: []score.ClassSheet{{Table: given(tc.officials, tc.criteria, tc.round), Marks: tc.marks}}}
		r, err := score.Compute(s)
		if err != nil {
			t.Fatal(err)
		}
		trail, err := r.Trail(0)
		if err != nil {
			t.Fatal(err)
		}
		if r.Total(0) != tc.want || trail.Total != tc.want || trail.Classes[0].Text() != tc.text {
			t.Errorf("%v rounded to %v: %v, %q, want %v, %q", tc.marks, tc.round, r.Total(0), trail.Classes[0].Text(), tc.want, tc.text)
		}
	}
}

// Only a group without fault counts.
func TestWholeGroups(t *testing.T) {
	s := score.Sheet{Persons: 3, Classes: []score.ClassSheet{{Table: graded(t, 2, 1, 2, 3, 4), Marks: []byte{
		1, 2, 3, 4,
		1, 1, 3, 4,
		1, 2, 0, 4,
	}}}}
	r, err := score.Compute(s)
	if err != nil {
		t.Fatal(err)
	}
	for p, want := range []struct {
		total points.Points
		text  string
	}{{4000, "20 + 20 = 40"}, {2000, "0 + 20 = 20"}, {2000, "20 + 0 = 20"}} {
		trail, err := r.Trail(p)
		if err != nil {
			t.Fatal(err)
		}
		if r.Total(p) != want.total || trail.Classes[0].Text() != want.text {
			t.Errorf("person %d: %v, %q, want %v, %q", p, r.Total(p), trail.Classes[0].Text(), want.total, want.text)
		}
	}
}

// A class that sums its slots has no groups to tell of.
func TestSumHasNoGroups(t *testing.T) {
	table := graded(t, 0, 1, 2)
	table.Join = score.Sum
	r, err := score.Compute(score.Sheet{Persons: 1, Classes: []score.ClassSheet{{Table: table, Marks: []byte{1, 1}}}})
	if err != nil {
		t.Fatal(err)
	}
	trail, err := r.Trail(0)
	if err != nil || trail.Classes[0].Groups != nil || trail.Classes[0].Text() != "" || trail.Total != points.Of(17) {
		t.Errorf("%+v, %v", trail, err)
	}
}

// Where points are given nothing is right or wrong, and the statistics say so.
func TestGivenPointsAreNotRight(t *testing.T) {
	s := score.Sheet{Persons: 2, Classes: []score.ClassSheet{
		{Table: given(2, 1, 1), Marks: []byte{11, 11, 11, 0}},
		{Table: graded(t, 1, 1), Marks: []byte{1, 2}},
	}}
	r, err := score.Compute(s)
	if err != nil {
		t.Fatal(err)
	}
	for slot, item := range r.Items[0] {
		if !item.NoKey || item.Right != 0 || item.RightShare() != 0 || item.Cards != 2 || item.Marks[11] != uint32(2-slot) {
			t.Errorf("slot %d: no key %v, %d right of %d, %d full marks", slot, item.NoKey, item.Right, item.Cards, item.Marks[11])
		}
	}
	if item := r.Items[1][0]; item.NoKey || item.Right != 1 {
		t.Errorf("a graded item: no key %v, %d right", item.NoKey, item.Right)
	}
}

func TestGroupsThatCannotBe(t *testing.T) {
	for name, change := range map[string]func(*score.Table){
		"another join":       func(t *score.Table) { t.Join = "median" },
		"no groups":          func(t *score.Table) { t.Groups = 0 },
		"uneven groups":      func(t *score.Table) { t.Groups = 3 },
		"rounded to nothing": func(t *score.Table) { t.Round = 0 },
		"rounded to much":    func(t *score.Table) { t.Round = score.MaxPoints + 1 },
		"a mean rounded up beyond what can be held": func(t *score.Table) { t.Slots[0][11], t.Round = score.MaxPoints, score.MaxPoints-1 },
	} {
		table := given(2, 1, 1)
		change(&table)
		_, err := score.Compute(score.Sheet{Persons: 1, Classes: []score.ClassSheet{{Table: table, Marks: []byte{1, 1}}}})
		if code := engine.CodeOf(err); code != score.CodeTable && code != score.CodeLarge {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The most a mean can come to counts towards the limit, not what all officials
// give together.
func TestManyOfficialsAreWithinTheLimit(t *testing.T) {
	table := given(9, 1, 1)
	for s := range table.Slots {
		table.Slots[s][11] = points.Of(1000)
	}
	sheet := score.Sheet{Persons: 1}
	for range score.MaxClasses {
		sheet.Classes = append(sheet.Classes, score.ClassSheet{Table: table, Marks: []byte{11, 11, 11, 11, 11, 11, 11, 11, 11}})
	}
	r, err := score.Compute(sheet)
	if err != nil {
		t.Fatal(err)
	}
	if r.Total(0) != points.Of(1000*score.MaxClasses) {
		t.Errorf("total %v", r.Total(0))
	}
}

// BenchmarkMeans is a class of three officials with five criteria each, beside
// the same slots added up.
func BenchmarkMeans(b *testing.B) {
	const persons = 20_000
	rng := rand.New(rand.NewPCG(1, 2))
	marks := make([]byte, persons*15)
	for i := range marks {
		marks[i] = byte(rng.IntN(12))
	}
	for _, join := range []score.Join{score.Sum, score.Mean} {
		table := given(3, 5, 1)
		table.Join = join
		b.Run("join="+string(join), func(b *testing.B) {
			for b.Loop() {
				if _, err := score.Compute(score.Sheet{Persons: persons, Classes: []score.ClassSheet{{Table: table, Marks: marks}}}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
