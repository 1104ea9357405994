package app_test

import (
	"testing"

	"keelcard/engine/amount"
	"keelcard/engine/egg"
	"keelcard/web/app"
)

func atLots(t *testing.T) *app.Runner {
	t.Helper()
	r, err := app.NewRunner(3, &app.Memory{})
	if err != nil {
		t.Fatal(err)
	}
	r.Visit("#/lots")
	return r
}

// Single eggs and dozens by 7 Pa. Code 87.23 to 87.25: a dozen of Large averages
// 24 oz and more, a single egg in it may be at a rate of 23 oz.
func TestWeightsFindTheirClass(t *testing.T) {
	for _, c := range []struct {
		typed          string
		ounces, dozen  bool
		class, heavier string
		spare, lacks   amount.Weight
	}{
		{"24", true, true, "Large", "Extra large", 0, 3 * amount.Ounce},
		{"24 oz", false, true, "Large", "Extra large", 0, 3 * amount.Ounce},
		{"1 lb 7 oz", false, true, "Medium", "Large", 2 * amount.Ounce, amount.Ounce},
		{"14", true, true, "", "Peewee", 0, amount.Ounce},
		{"31", true, true, "Jumbo", "", amount.Ounce, 0},
		{"2", true, false, "Large", "Extra large", amount.Ounce / 12, amount.Ounce/6 + 1},
		{"20 g", false, false, "Peewee", "Small", 20 * amount.Gram, (17*amount.Ounce+11)/12 - 20*amount.Gram},
	} {
		r := atLots(t)
		r.Type("lots.weight", c.typed)
		if c.ounces {
			r.Do("lots.ounces:yes")
		}
		if c.dozen {
			r.Do("lots.dozen:yes")
		}
		w, ok := r.State.Lots.Weighed()
		if !ok || w.Class.Name != c.class || w.Next.Name != c.heavier || w.More != (c.heavier != "") {
			t.Errorf("%s: %q below %q, want %q below %q", c.typed, w.Class.Name, w.Next.Name, c.class, c.heavier)
			continue
		}
		// A twelfth of an ounce is no whole nanogram: one more or less is none.
		near := func(a, b amount.Weight) bool { return a-b <= 1 && b-a <= 1 }
		if c.class != "" && !near(w.Spare, c.spare) || w.More && !near(w.Lacks, c.lacks) {
			t.Errorf("%s: %d above its least, %d lacking; want %d and %d", c.typed, w.Spare, w.Lacks, c.spare, c.lacks)
		}
	}
}

func TestWhatIsTypedOfLotsOutlivesARestart(t *testing.T) {
	r := atLots(t)
	r.Type("lots.weight", " 61.5 ")
	r.Type("lots.cases", "240")
	r.Type("lots.count:aa", "425")
	r.Type("lots.count:b", "75")
	r.Type("lots.count:blue", "9")
	r.Type("lots.light", "3 of 100\n6/100")
	touch(t, r, "lots.destination:yes", "lots.jumbo")
	kept := r.State.Lots
	r = restart(t, r)
	r.Visit("#/lots")
	l := r.State.Lots
	if l.Weight != "61.5" || l.Cases != "240" || len(l.Counts) != 2 || l.Light != kept.Light || !l.Destination || !l.Jumbo {
		t.Errorf("after a restart %+v", l)
	}
	touch(t, r, "lots.clear")
	if !r.State.Lots.Empty() || !r.State.Lots.Cleared() {
		t.Errorf("cleared, there is %+v", r.State.Lots)
	}
	touch(t, r, "lots.restore")
	if l = r.State.Lots; l.Weight != "61.5" || l.Counts["b"] != "75" || l.Cleared() {
		t.Errorf("put back, there is %+v", l)
	}
}

// 85 % AA and 5.6 % checks at origin: AA asks for 87 %, A allows 5 % of checks
// (Hawaii Administrative Rules 4-46, Table I).
func TestASampleIsGraded(t *testing.T) {
	r := atLots(t)
	for q, n := range map[string]string{"aa": "425", "a": "40", "b": "5", "checks": "28", "dirties": "1", "loss": "1"} {
		r.Type("lots.count:"+q, n)
	}
	s, err := r.State.Lots.Sample()
	if err != nil || s.Eggs() != 500 || r.State.Lots.At() != egg.Origin {
		t.Fatalf("%+v %v", s, err)
	}
	g, err := egg.GradeLot(s, r.State.Lots.At())
	if err != nil || g.Grade != "B" || len(g.Missed) != 3 {
		t.Errorf("grade %q, missed %+v, %v", g.Grade, g.Missed, err)
	}
	r.Type("lots.count:checks", "some")
	if _, err := r.State.Lots.Sample(); err == nil {
		t.Error("“some” was taken as a count")
	}
}

func TestWeighingsAreReadLineByLine(t *testing.T) {
	for _, c := range []struct {
		text  string
		cases int
		ok    bool
	}{{"", 0, true}, {"3 of 100\n\n6/100", 2, true}, {"100", 0, false}, {"7 of 6", 0, false}, {"0 of 0", 0, false}, {"1 of 2 of 3", 0, false}, {"three", 0, false}, {"1 of 99999999999999999999", 0, false}} {
		cases, err := app.Lots{Light: c.text}.Weighings()
		if len(cases) != c.cases || (err == nil) != c.ok {
			t.Errorf("%q: %v, %v", c.text, cases, err)
		}
	}
}
