package egg_test

import (
	"slices"
	"testing"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/egg"
	"keelcard/engine/rulebook"
)

// 7 Pa. Code 87.42, in ounces a dozen and pounds for thirty dozen; the weight of
// a single egg in grams is computed.
func TestWeightClassesOfTable(t *testing.T) {
	want := []struct {
		name           string
		dozen          int
		thirty, single string
		rate           int
		grams          float64
	}{
		{"Jumbo", 30, "56 lb", "2.42 oz", 29, 68.5},
		{"Extra large", 27, "50.5 lb", "2.17 oz", 26, 61.4},
		{"Large", 24, "45 lb", "1.92 oz", 23, 54.3},
		{"Medium", 21, "39.5 lb", "1.67 oz", 20, 47.2},
		{"Small", 18, "34 lb", "1.42 oz", 17, 40.2},
		{"Peewee", 15, "28 lb", "", 0, 0},
	}
	classes := egg.WeightClasses()
	if len(classes) != len(want) {
		t.Fatalf("%d classes", len(classes))
	}
	for i, w := range want {
		c := classes[i]
		thirty, err := amount.ParseWeight(w.thirty)
		if err != nil || c.Name != w.name || c.Dozen != amount.Weight(w.dozen)*amount.Ounce || c.Case != thirty || c.Single != amount.Weight(w.rate)*amount.Ounce {
			t.Errorf("%+v, want %+v", c, w)
		}
		if w.rate == 0 {
			continue
		}
		ounces, _ := amount.ParseWeight(w.single)
		if off := c.SingleEgg() - ounces; off > amount.Ounce/200 || off < -amount.Ounce/200 {
			t.Errorf("%s: a single egg of %d ng, want %s", c.Name, c.SingleEgg(), w.single)
		}
		if off := c.SingleEgg() - g(w.grams); off > amount.Gram/20 || off < -amount.Gram/20 {
			t.Errorf("%s: a single egg of %d ng, want %v g", c.Name, c.SingleEgg(), w.grams)
		}
	}
}

func TestClassOfSingle(t *testing.T) {
	for _, c := range egg.WeightClasses()[:5] {
		at, _ := egg.ClassOfSingle(c.SingleEgg())
		under, _ := egg.ClassOfSingle(c.SingleEgg() - 1)
		if at.ID != c.ID || under.ID == c.ID || 12*c.SingleEgg() < c.Single {
			t.Errorf("%s: %s, below it %s", c.ID, at.ID, under.ID)
		}
	}
	for w, want := range map[amount.Weight]string{g(75): "jumbo", g(60): "large", g(56.7): "large", g(20): "peewee", 0: "", -1: ""} {
		if got, ok := egg.ClassOfSingle(w); got.ID != want || ok != (want != "") {
			t.Errorf("%d ng: %q", w, got.ID)
		}
	}
}

func TestClassOfLot(t *testing.T) {
	for _, tc := range []struct {
		total amount.Weight
		eggs  int
		want  string
	}{
		{24 * amount.Ounce, 12, "large"},
		{24*amount.Ounce - 1, 12, "medium"},
		{45 * amount.Pound, 360, "large"},
		{30 * amount.Ounce, 12, "jumbo"},
		{15 * amount.Ounce, 12, "peewee"},
		{15*amount.Ounce - 1, 12, ""},
		{egg.LargeEgg, 1, "large"},
		{0, 12, ""},
		{amount.Pound, 0, ""},
	} {
		if got, ok := egg.ClassOfLot(tc.total, tc.eggs); got.ID != tc.want || ok != (tc.want != "") {
			t.Errorf("%v of %d: %q, want %q", tc.total, tc.eggs, got.ID, tc.want)
		}
	}
	for _, c := range egg.WeightClasses() {
		if got, _ := egg.ClassOfLot(12*c.Average(), 12); got.ID != c.ID {
			t.Errorf("twelve of the average of %s make %s", c.ID, got.ID)
		}
	}
}

// A lot may average 3.3 per cent of eggs in the next lower class, no case over 5
// (7 Pa. Code 87.42).
func TestCheckLight(t *testing.T) {
	for _, tc := range []struct {
		cases []egg.Case
		want  []string
	}{
		{[]egg.Case{{1000, 33}}, nil},
		{[]egg.Case{{1000, 34}}, []string{"lot"}},
		{[]egg.Case{{100, 5}, {100, 1}}, nil},
		{[]egg.Case{{100, 6}, {100, 0}}, []string{"case"}},
		{[]egg.Case{{100, 6}, {100, 1}}, []string{"case", "lot"}},
		{[]egg.Case{{100, 4}, {100, 3}}, []string{"lot"}},
	} {
		missed, err := egg.CheckLight(tc.cases)
		var got []string
		for _, m := range missed {
			got = append(got, m.Of)
		}
		if err != nil || !slices.Equal(got, tc.want) {
			t.Errorf("%v: %v, want %v (%v)", tc.cases, got, tc.want, err)
		}
	}
	missed, _ := egg.CheckLight([]egg.Case{{100, 0}, {100, 6}})
	if len(missed) != 1 || missed[0].Case != 1 || missed[0].Found != (amount.Share{Num: 3, Den: 50}) {
		t.Errorf("%+v", missed)
	}
	for _, bad := range [][]egg.Case{nil, {{0, 0}}, {{5, 6}}, {{5, -1}}} {
		if _, err := egg.CheckLight(bad); engine.CodeOf(err) != egg.CodeSample {
			t.Errorf("%v: %v", bad, err)
		}
	}
}

// Each row of the tolerances, met exactly and missed by an egg of a thousand:
// Hawaii Table I at origin; AMS 56 at the destination, from memory.
func TestToleranceOfTable(t *testing.T) {
	type s = egg.Sample
	for _, tc := range []struct {
		name string
		s    egg.Sample
		at   string
		want string
	}{
		{"87 % AA", s{AA: 870, A: 130}, egg.Origin, "AA"},
		{"less than 87 % AA", s{AA: 869, A: 131}, egg.Origin, "A"},
		{"13 % B in AA", s{AA: 870, B: 130}, egg.Origin, "AA"},
		{"5 % checks", s{AA: 950, Checks: 50}, egg.Origin, "AA"},
		{"over 5 % checks", s{AA: 949, Checks: 51}, egg.Origin, "B"},
		{"7 % checks of Jumbo", s{AA: 930, Checks: 70, Jumbo: true}, egg.Origin, "AA"},
		{"over 7 % checks of Jumbo", s{AA: 929, Checks: 71, Jumbo: true}, egg.Origin, "B"},
		{"87 % A or better", s{AA: 400, A: 470, B: 130}, egg.Origin, "A"},
		{"less than 87 % A", s{A: 869, B: 131}, egg.Origin, "B"},
		{"1 % worst B", s{AA: 950, B: 50, WorstB: 10}, egg.Origin, "AA"},
		{"over 1 % worst B", s{AA: 950, B: 50, WorstB: 11}, egg.Origin, "B"},
		{"0.5 % bad", s{AA: 995, Dirties: 2, Leakers: 1, Loss: 2}, egg.Origin, "AA"},
		{"over 0.5 % bad", s{AA: 994, Dirties: 3, Leakers: 1, Loss: 2}, egg.Origin, ""},
		{"0.3 % loss", s{AA: 997, Loss: 3}, egg.Origin, "AA"},
		{"over 0.3 % loss", s{AA: 996, Loss: 4}, egg.Origin, ""},
		{"10 % checks in B", s{B: 900, Checks: 100}, egg.Origin, "B"},
		{"over 10 % checks in B", s{B: 899, Checks: 101}, egg.Origin, ""},
		{"90 % B", s{B: 900, Checks: 95, Dirties: 5}, egg.Origin, "B"},
		{"72 % AA at destination", s{AA: 720, A: 100, B: 180}, egg.Destination, "AA"},
		{"less than 72 % AA", s{AA: 719, A: 281}, egg.Destination, "A"},
		{"82 % A at destination", s{A: 820, B: 180}, egg.Destination, "A"},
		{"less than 82 % A", s{A: 819, B: 181}, egg.Destination, "B"},
		{"7 % checks at destination", s{AA: 930, Checks: 70}, egg.Destination, "AA"},
		{"over 7 %", s{AA: 929, Checks: 71}, egg.Destination, "B"},
		{"9 % of Jumbo", s{AA: 910, Checks: 90, Jumbo: true}, egg.Destination, "AA"},
		{"90 % B at destination", s{B: 900, Checks: 100}, egg.Destination, "B"},
		{"less than 90 % B", s{B: 899, Checks: 98, Dirties: 3}, egg.Destination, ""},
		{"1 % bad at destination", s{AA: 990, Dirties: 10}, egg.Destination, "AA"},
		{"over 1 % bad", s{AA: 989, Dirties: 11}, egg.Destination, ""},
	} {
		got, err := egg.GradeLot(tc.s, tc.at)
		if err != nil || got.Grade != tc.want || got.Eggs != 1000 {
			t.Errorf("%s: %q of %d, want %q; missed %+v (%v)", tc.name, got.Grade, got.Eggs, tc.want, got.Missed, err)
		}
	}
}

func TestMissedTolerancesAreNamed(t *testing.T) {
	got, err := egg.GradeLot(egg.Sample{AA: 85, A: 8, Checks: 7}, egg.Origin)
	if err != nil || got.Grade != "B" || len(got.Missed) != 3 {
		t.Fatalf("%+v, %v", got, err)
	}
	for i, want := range []egg.Miss{
		{Tolerance: egg.Tolerance{Grade: "AA", Counts: egg.CountAA}, Count: 85},
		{Tolerance: egg.Tolerance{Grade: "AA", Counts: egg.CountChecks}, Count: 7},
		{Tolerance: egg.Tolerance{Grade: "A", Counts: egg.CountChecks}, Count: 7},
	} {
		m := got.Missed[i]
		if m.Grade != want.Grade || m.Counts != want.Counts || m.Count != want.Count || m.Source == "" {
			t.Errorf("%+v, want %+v", m, want)
		}
	}
	for _, s := range []egg.Sample{{}, {AA: -1, A: 5}, {B: 1, WorstB: 2}, {AA: amount.MaxCount + 1}} {
		if _, err := egg.GradeLot(s, egg.Origin); engine.CodeOf(err) != egg.CodeSample {
			t.Errorf("%+v: %v", s, err)
		}
	}
	if _, err := egg.GradeLot(egg.Sample{AA: 1}, "shop"); engine.CodeOf(err) != egg.CodeMoment {
		t.Errorf("in a shop: %v", err)
	}
}

// 7 CFR 56.4: cases in the lot and cases drawn.
func TestSamplingPlan(t *testing.T) {
	for lot, want := range map[int]int{
		-1: 0, 0: 0, 1: 1, 2: 2, 10: 2, 11: 3, 25: 3, 26: 4, 50: 4, 51: 5, 100: 5, 101: 8, 200: 8, 201: 11, 300: 11,
		301: 13, 400: 13, 401: 14, 500: 14, 501: 16, 600: 16, 601: 17, 650: 17, 651: 18, 700: 18, 1000: 24,
	} {
		if got := egg.CasesToDraw(lot); got != want {
			t.Errorf("%d of %d cases, want %d", got, lot, want)
		}
	}
	plan := egg.Draws()
	for i, d := range plan {
		if egg.CasesToDraw(d.From) != d.Cases || egg.CasesToDraw(d.To) != d.Cases || i > 0 && d.From != plan[i-1].To+1 {
			t.Errorf("%+v", d)
		}
	}
}

// Every line names a source of the list and how well it is known, and every
// source is referred to.
func TestLinesHaveSources(t *testing.T) {
	used := map[string]bool{}
	note := func(source, confidence string) {
		used[source] = true
		if !slices.ContainsFunc(egg.Sources(), func(s rulebook.Source) bool { return s.ID == source }) {
			t.Errorf("there is no source %q", source)
		}
		if confidence != rulebook.Read && confidence != rulebook.FromMemory {
			t.Errorf("%q does not say how well it is known", confidence)
		}
	}
	for _, x := range append(egg.Forms(), egg.ShellFormula) {
		note(x.Source, x.Confidence)
	}
	for _, x := range egg.WeightClasses() {
		note(x.Source, x.Confidence)
	}
	for _, x := range egg.LightTolerances() {
		note(x.Source, x.Confidence)
	}
	for _, x := range egg.Tolerances() {
		note(x.Source, x.Confidence)
	}
	for _, x := range egg.Draws() {
		note(x.Source, x.Confidence)
	}
	for _, s := range egg.Sources() {
		if !used[s.ID] {
			t.Errorf("nothing refers to %q", s.ID)
		}
	}
}
