package placing_test

import (
	"encoding/json"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/enginetest"
	"keelcard/engine/placing"
	"keelcard/engine/points"
)

// reference scores a placing by the table of the published rule, written out:
// "1st/2nd: top; 2nd/3rd: middle; 3rd/4th: bottom; 1st/3rd: top+middle;
// 2nd/4th: middle+bottom; 1st/4th: all three" (Maryland Cooperative Extension,
// "Scoring of Contests"). It reads the orders as text and shares nothing with
// the package.
func reference(official, given string, top, middle, bottom int) int {
	score := 50
	reversed := func(first, second int) bool {
		return strings.IndexByte(given, official[second-1]) < strings.IndexByte(given, official[first-1])
	}
	if reversed(1, 2) {
		score -= top
	}
	if reversed(2, 3) {
		score -= middle
	}
	if reversed(3, 4) {
		score -= bottom
	}
	if reversed(1, 3) {
		score -= top + middle
	}
	if reversed(2, 4) {
		score -= middle + bottom
	}
	if reversed(1, 4) {
		score -= top + middle + bottom
	}
	return score
}

// permutations lists the orders of 1, 2, 3, 4 in another way than the package.
func permutations() []string {
	all := []string{"4"}
	for _, item := range []string{"3", "2", "1"} {
		var longer []string
		for _, s := range all {
			for at := 0; at <= len(s); at++ {
				longer = append(longer, s[:at]+item+s[at:])
			}
		}
		all = longer
	}
	return all
}

// Every order against every order under every allowed cut triple, and every
// triple up to 50 is allowed exactly when no order scores below 0.
func TestAllOrdersAllCuts(t *testing.T) {
	orders := permutations()
	if len(orders) != 24 {
		t.Fatalf("the reference knows %d orders", len(orders))
	}
	parsed := make(map[string]placing.Order)
	for _, s := range orders {
		o, err := placing.ParseOrder(s)
		if err != nil {
			t.Fatal(err)
		}
		parsed[s] = o
	}
	allowed := 0
	for top := 0; top <= 50; top++ {
		for middle := 0; middle <= 50; middle++ {
			for bottom := 0; bottom <= 50; bottom++ {
				cuts := placing.Cuts{uint8(top), uint8(middle), uint8(bottom)}
				worst := 50
				for _, given := range orders {
					worst = min(worst, reference("1234", given, top, middle, bottom))
				}
				if worst != cuts.Lowest() {
					t.Fatalf("cuts %v: lowest %d, want %d", cuts, cuts.Lowest(), worst)
				}
				if (worst >= 0) != (cuts.Validate() == nil) {
					t.Fatalf("cuts %v give %d at worst: %v", cuts, worst, cuts.Validate())
				}
				if worst < 0 {
					continue
				}
				allowed++
				for _, official := range orders {
					for _, given := range orders {
						got := placing.Score(parsed[official], cuts, parsed[given])
						if want := reference(official, given, top, middle, bottom); got != want {
							t.Fatalf("official %s cuts %v given %s: %d, want %d", official, cuts, given, got, want)
						}
					}
				}
			}
		}
	}
	t.Logf("%d allowed cut triples, %d scores", allowed, allowed*24*24)
	if allowed == 0 {
		t.Fatal("no cuts were allowed")
	}
}

func TestOrdersAreAllDifferentAndSorted(t *testing.T) {
	last := ""
	for i, o := range placing.Orders() {
		if !o.Valid() || o.Index() != i+1 || o.String() <= last {
			t.Errorf("order %d is %v with index %d after %s", i, o, o.Index(), last)
		}
		last = o.String()
		if back, err := placing.ByIndex(i + 1); err != nil || back != o {
			t.Errorf("index %d gives %v, %v", i+1, back, err)
		}
	}
	for _, bad := range []int{-1, 0, 25} {
		if _, err := placing.ByIndex(bad); engine.CodeOf(err) != placing.CodeIndex {
			t.Errorf("index %d: %v", bad, err)
		}
	}
	for _, bad := range []placing.Order{{}, {1, 2, 3, 3}, {1, 2, 3, 5}, {0, 1, 2, 3}, {1, 2, 3, 36}, {1, 2, 3, 255}} {
		if bad.Valid() || bad.Index() != 0 {
			t.Errorf("%v passes as an order", bad)
		}
	}
}

func TestParseOrder(t *testing.T) {
	for _, s := range []string{"2-1-3-4", "2134", "2 1 3 4", " 2, 1, 3, 4 ", "2–1–3–4"} {
		if got, err := placing.ParseOrder(s); err != nil || got != (placing.Order{2, 1, 3, 4}) {
			t.Errorf("ParseOrder(%q) = %v, %v", s, got, err)
		}
	}
	for s, faults := range map[string][]string{
		"2-2-3-4":   {"item 2 is named twice", "item 1 is missing"},
		"1-2-3":     {"item 4 is missing"},
		"":          {"item 1 is missing"},
		"1-2-3-5":   {`"5" is not an item from 1 to 4`, "item 4 is missing"},
		"0123":      {`"0" is not an item from 1 to 4`},
		"1-2-3-4-1": {"item 1 is named twice"},
		"10-2-3-4":  {`"10" is not an item from 1 to 4`},
		"a-b-c-d":   {`"a" is not an item`},
		"1-2-3-4-5": {`"5" is not an item`},
	} {
		got, err := placing.ParseOrder(s)
		if engine.CodeOf(err) != placing.CodeOrder {
			t.Errorf("ParseOrder(%q) = %v, %v", s, got, err)
			continue
		}
		for _, fault := range faults {
			if !strings.Contains(err.Error(), fault) {
				t.Errorf("ParseOrder(%q): %v; want %q in it", s, err, fault)
			}
		}
	}
}

func TestParseCuts(t *testing.T) {
	for _, s := range []string{"2-5-3", "2 5 3", "2, 5, 3"} {
		if got, err := placing.ParseCuts(s); err != nil || got != (placing.Cuts{2, 5, 3}) {
			t.Errorf("ParseCuts(%q) = %v, %v", s, got, err)
		}
	}
	for s, want := range map[string]engine.Code{
		"2-5":     placing.CodeCuts,
		"2-5-3-1": placing.CodeCuts,
		"":        placing.CodeCuts,
		"2-x-3":   placing.CodeCuts,
		"2-256-3": placing.CodeCuts,
		"2-1/2-3": placing.CodeCuts,
		"5-6-5":   placing.CodeNegative,
	} {
		if got, err := placing.ParseCuts(s); engine.CodeOf(err) != want {
			t.Errorf("ParseCuts(%q) = %v, %v, want code %s", s, got, err, want)
		}
	}
}

func TestRefusalNamesTheNumbers(t *testing.T) {
	for cuts, want := range map[placing.Cuts]string{
		{4, 6, 5}: "with cuts 4-6-5 a full reversal loses 3 × 15 + 6 = 51 points, more than 50; " +
			"with a top cut of 4 and a bottom cut of 5 the middle cut may be at most 5",
		{10, 1, 7}: "with cuts 10-1-7 a full reversal loses 3 × 18 + 1 = 55 points, more than 50; " +
			"top and bottom cut together may be at most 16, these make 17",
	} {
		if err := cuts.Validate(); err == nil || err.Error() != want {
			t.Errorf("got  %v\nwant %s", err, want)
		}
	}
}

// The named largest middle cut is allowed and one more is not.
func TestLargestMiddleCutIsExact(t *testing.T) {
	for top := 0; top <= 16; top++ {
		for bottom := 0; top+bottom <= 16; bottom++ {
			largest := -1
			for middle := 0; middle <= 50; middle++ {
				if (placing.Cuts{uint8(top), uint8(middle), uint8(bottom)}).Validate() == nil {
					largest = middle
				}
			}
			err := placing.Cuts{uint8(top), uint8(largest + 1), uint8(bottom)}.Validate()
			want := "at most " + points.Of(largest).String()
			if err == nil || !strings.HasSuffix(err.Error(), want) {
				t.Errorf("top %d bottom %d: %v, want %q", top, bottom, err, want)
			}
		}
	}
}

func TestAdvice(t *testing.T) {
	for cuts, want := range map[placing.Cuts][]engine.Code{
		{2, 5, 3}:  nil,
		{8, 0, 0}:  nil,
		{9, 1, 1}:  {placing.CodeLargeCut},
		{1, 1, 11}: {placing.CodeLargeCut},
		{8, 0, 8}:  {placing.CodeLargeSum},
		{0, 0, 0}:  {placing.CodeNoCut},
	} {
		if err := cuts.Validate(); err != nil {
			t.Errorf("cuts %v: %v", cuts, err)
		}
		got := cuts.Advice()
		if len(got) != len(want) {
			t.Errorf("cuts %v: advice %v, want %v", cuts, got, want)
			continue
		}
		for i := range want {
			if got[i].Code != want[i] {
				t.Errorf("cuts %v: advice %v, want %v", cuts, got[i], want[i])
			}
		}
	}
	ten, eleven := placing.Cuts{10, 0, 0}.Advice()[0].What, placing.Cuts{11, 0, 0}.Advice()[0].What
	if ten == eleven || !strings.Contains(eleven, "11") {
		t.Errorf("a cut within one source and one beyond all read %q and %q", ten, eleven)
	}
}

func TestTiedNeighboursAreFree(t *testing.T) {
	official := placing.Order{3, 1, 4, 2}
	for at := range 3 {
		cuts := placing.Cuts{4, 4, 4}
		cuts[at] = 0
		given := official
		given[at], given[at+1] = given[at+1], given[at]
		if got := placing.Score(official, cuts, given); got != placing.Perfect {
			t.Errorf("cuts %v given %v: %d", cuts, given, got)
		}
	}
}

func TestTrailNamesEachWrongPair(t *testing.T) {
	// The official placing 4-3-2-1, cuts 4-3-7, given 2-3-4-1: 36 in the cases.
	got := placing.Trail(placing.Order{4, 3, 2, 1}, placing.Cuts{4, 3, 7}, placing.Order{2, 3, 4, 1})
	want := []placing.PairLoss{{4, 3, 1, 2, 4}, {4, 2, 1, 3, 7}, {3, 2, 2, 3, 3}}
	if len(got) != len(want) {
		t.Fatalf("got %v, want %v", got, want)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("pair %d: got %+v, want %+v", i, got[i], want[i])
		}
	}
}

func TestTrailAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		order := rapid.SampledFrom(func() []placing.Order { all := placing.Orders(); return all[:] }())
		official, given := order.Draw(t, "official"), order.Draw(t, "given")
		cut := rapid.Uint8Range(0, 12)
		cuts := placing.Cuts{cut.Draw(t, "top"), cut.Draw(t, "middle"), cut.Draw(t, "bottom")}
		loss := 0
		for _, pair := range placing.Trail(official, cuts, given) {
			if pair.From >= pair.To || official[pair.From-1] != pair.Better || official[pair.To-1] != pair.Worse {
				t.Fatalf("pair %+v does not lie so in %v", pair, official)
			}
			loss += pair.Loss
		}
		if score := placing.Score(official, cuts, given); score != 50-loss || placing.Loss(official, cuts, given) != loss {
			t.Fatalf("the trail loses %d, the score is %d", loss, score)
		}
	})
}

func TestWorth(t *testing.T) {
	for _, tc := range []struct {
		score int
		full  string
		want  string
	}{
		{48, "50", "48"},
		{48, "100", "96"},
		{0, "100", "0"},
		{50, "100", "100"},
		{37, "25", "18.5"},
		{37, "10", "7.4"},
		{1, "0.25", "0.01"}, // half a hundredth goes up
		{1, "0.24", "0"},    // 0.48 of a hundredth
	} {
		full, err := points.Parse(tc.full)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := placing.Worth(tc.score, full); err != nil || got.String() != tc.want {
			t.Errorf("%d of %s: %v, %v, want %s", tc.score, tc.full, got, err, tc.want)
		}
	}
	for score, full := range map[int]points.Points{-1: 100, 51: 100, 5: 0, 6: -100} {
		if got, err := placing.Worth(score, full); engine.CodeOf(err) != placing.CodeWorth {
			t.Errorf("score %d of %v: %v, %v", score, full, got, err)
		}
	}
}

func TestJSON(t *testing.T) {
	type class struct {
		Official placing.Order
		Cuts     placing.Cuts
	}
	in := class{placing.Order{3, 2, 1, 4}, placing.Cuts{2, 8, 2}}
	data, err := json.Marshal(in)
	if err != nil || string(data) != `{"Official":"3-2-1-4","Cuts":"2-8-2"}` {
		t.Fatalf("%s, %v", data, err)
	}
	var out class
	if err := json.Unmarshal(data, &out); err != nil || out != in {
		t.Errorf("%v, %v", out, err)
	}
	for _, bad := range []string{`{"Official":"3-2-1-1"}`, `{"Cuts":"9-9-9"}`} {
		if err := json.Unmarshal([]byte(bad), &out); err == nil {
			t.Errorf("%s was read", bad)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"2-1-3-4", "2134", "1 1 3 4", "2-5-3", "", "--", "99-99-99"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, err := range []error{errOf(placing.ParseOrder(s)), errOf(placing.ParseCuts(s))} {
			if err != nil {
				if lack := enginetest.Untold(err); lack != "" {
					t.Fatal(lack)
				}
			}
		}
		if o, err := placing.ParseOrder(s); err == nil {
			if back, err := placing.ParseOrder(o.String()); err != nil || back != o || !o.Valid() {
				t.Errorf("%q read as %v, back as %v, %v", s, o, back, err)
			}
		}
		if c, err := placing.ParseCuts(s); err == nil {
			if back, err := placing.ParseCuts(c.String()); err != nil || back != c || c.Lowest() < 0 {
				t.Errorf("%q read as %v, back as %v, %v", s, c, back, err)
			}
		}
	})
}

func errOf[T any](_ T, err error) error { return err }
