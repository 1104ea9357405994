package hens_test

import (
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/hens"
	"keelcard/engine/rulebook"
)

// The order in which pigment leaves: University of Georgia Extension, slides
// "Judging Live Birds", Apr 2009; the bottom of the feet as most charts have it.
func TestChartOrder(t *testing.T) {
	var got []string
	for _, row := range hens.Chart() {
		got = append(got, row.ID)
	}
	if want := "vent eye earlobe beak-base beak-tip feet shank-front shank-rear hock"; strings.Join(got, " ") != want {
		t.Errorf("got %v, want %s", got, want)
	}
}

// Eggs as the slides of the University of Georgia Extension (2009) have them,
// and eggs and days from memory as charts usually have them.
func TestChartFigures(t *testing.T) {
	read := []string{"10", "8-12", "10-15", "25", "35", "", "100-160", "100-160", "180"}
	eggs := []string{"0-10", "8-12", "10-15", "25", "35", "50-66", "90-100", "160", "175-180"}
	weeks := []string{"", "", "2-3", "4-6", "6-8", "8-10", "15-18", "20-24", "24-"}
	for i, row := range hens.Chart() {
		got, used := "", row.Told[0]
		if len(row.Told) > 1 {
			got = span(row.Told[1].Eggs, 1)
		}
		if got != read[i] || span(used.Eggs, 1) != eggs[i] {
			t.Errorf("%s: %q and %q, want %q and %q", row.ID, got, span(used.Eggs, 1), read[i], eggs[i])
		}
		if weeks[i] != "" && span(used.Days, 7) != weeks[i] {
			t.Errorf("%s: %s weeks, want %s", row.ID, span(used.Days, 7), weeks[i])
		}
	}
	if vent, eye := hens.Chart()[0].Told[0].Days, hens.Chart()[1].Told[0].Days; span(vent, 1) != "4-7" || span(eye, 1) != "7-10" {
		t.Errorf("days of vent %v and eye ring %v", vent, eye)
	}
}

func span(r hens.Range, unit int) string {
	switch {
	case r.High == 0:
		return strconv.Itoa(r.Low/unit) + "-"
	case r.Low == r.High:
		return strconv.Itoa(r.Low / unit)
	}
	return strconv.Itoa(r.Low/unit) + "-" + strconv.Itoa(r.High/unit)
}

func TestEverySourceIsNamed(t *testing.T) {
	var ids []string
	for _, s := range hens.Sources() {
		ids = append(ids, s.ID)
	}
	check := func(what, source, confidence string) {
		if !slices.Contains(ids, source) || !slices.Contains([]string{rulebook.Read, rulebook.FromMemory, rulebook.CommonPractice}, confidence) {
			t.Errorf("%s has the source %q, %q", what, source, confidence)
		}
	}
	for _, row := range hens.Chart() {
		for _, told := range row.Told {
			check(row.ID, told.Source, told.Confidence)
		}
	}
	for _, n := range hens.Notes() {
		check(n.Text, n.Source, n.Confidence)
	}
	for _, w := range hens.Ways() {
		check(w.ID, w.Source, w.Confidence)
	}
}

// hen reads signs written as "vent bleached, pubic 2 1/2".
func hen(t testing.TB, signs string) hens.Hen {
	t.Helper()
	m := map[string]string{}
	for _, sign := range strings.Split(signs, ", ") {
		key, word, _ := strings.Cut(sign, " ")
		m[key] = word
	}
	delete(m, "")
	h, err := hens.Read(m)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// bleached is a hen that lost pigment in order up to a place, the next fading.
func bleached(t testing.TB, to, more string) hens.Hen {
	t.Helper()
	h, state := hen(t, more), hens.Bleached
	for i, row := range hens.Chart() {
		h.Pigment[i] = state
		switch {
		case row.ID == to:
			state = hens.Fading
		case state == hens.Fading:
			state = hens.Yellow
		}
	}
	return h
}

func TestSignsRoundTrip(t *testing.T) {
	for _, signs := range []map[string]string{
		{},
		{"vent": "bleached", "hock": "yellow", "shank-rear": "fading"},
		{"pubic": "2 1/2", "keel": "4", "feel": "soft", "molt": "none"},
		{"pubic": "1/2", "keel": "6", "feel": "hard", "molt": "3", "molt-pace": "together"},
	} {
		h, err := hens.Read(signs)
		if err != nil {
			t.Errorf("%v: %v", signs, err)
		}
		if got := h.Write(); !maps.Equal(got, signs) {
			t.Errorf("%v is written as %v", signs, got)
		}
	}
}

func TestBadSignsAreNamed(t *testing.T) {
	for key, words := range map[string][]string{
		"vent": {"", "white"}, "toe": {"yellow"}, "feel": {"", "nice"}, "molt": {"0", "11", "03", "many"}, "molt-pace": {"fast"},
		"pubic": {"0", "7", "6 1/2", "two", "1/3", "21/2", "02", "-1", " 1/2", ""}, "keel": {"2.5"},
	} {
		for _, word := range words {
			h, err := hens.Read(map[string]string{key: word})
			faults, ok := err.(engine.Faults)
			if !ok || faults[0].Code != hens.CodeSign || faults[0].Where != key || faults[0].Fix == "" {
				t.Errorf("%s %q: %v", key, word, err)
			}
			if h != (hens.Hen{}) {
				t.Errorf("%s %q is refused, and read as %+v", key, word, h)
			}
		}
	}
	h, err := hens.Read(map[string]string{"toe": "yellow", "feel": "nice", "eye": "fading"})
	if faults, ok := err.(engine.Faults); !ok || len(faults) != 2 || h.Pigment[1] != hens.Fading {
		t.Errorf("%v, %v", h, err)
	}
}

func TestEstimate(t *testing.T) {
	for _, tc := range []struct {
		name  string
		hen   hens.Hen
		eggs  hens.Range
		days  hens.Range
		known bool
	}{
		{"not looked at", hens.Hen{}, hens.Range{}, hens.Range{}, false},
		{"yellow vent", hen(t, "vent yellow"), hens.Range{High: 10}, hens.Range{High: 7}, true},
		{"to the earlobe", bleached(t, "earlobe", ""), hens.Range{Low: 10, High: 25}, hens.Range{Low: 14, High: 42}, true},
		{"to the front of the shanks", bleached(t, "shank-front", ""), hens.Range{Low: 90, High: 160}, hens.Range{Low: 105, High: 168}, true},
		{"all over", bleached(t, "hock", ""), hens.Range{Low: 175}, hens.Range{Low: 168}, true},
		{"one place only", hen(t, "beak-tip bleached"), hens.Range{Low: 35}, hens.Range{Low: 42}, true},
		{"feet not looked at", hen(t, "beak-tip bleached, shank-front yellow"), hens.Range{Low: 35, High: 100}, hens.Range{Low: 42, High: 126}, true},
		{"pigment back at the vent", hen(t, "vent yellow, shank-rear bleached, hock fading"), hens.Range{Low: 160, High: 180}, hens.Range{Low: 140}, true},
	} {
		if got := hens.Estimate(tc.hen); got != (hens.Span{Eggs: tc.eggs, Days: tc.days, Known: tc.known}) {
			t.Errorf("%s: %+v", tc.name, got)
		}
	}
}

// A new primary needs about 6 weeks and each further one dropped singly 2 more,
// from memory.
func TestMoltWeeks(t *testing.T) {
	for _, tc := range []struct {
		primaries int
		together  bool
		want      int
	}{{0, false, 0}, {0, true, 0}, {1, false, 6}, {1, true, 6}, {4, false, 12}, {4, true, 6}, {10, false, 24}} {
		if got := hens.MoltWeeks(tc.primaries, tc.together); got != tc.want {
			t.Errorf("%d primaries, together %v: %d weeks, want %d", tc.primaries, tc.together, got, tc.want)
		}
	}
}

// The most bleached hen goes first whatever else; a later factor only parts
// hens that are equal in the earlier ones (National 4-H Poultry Judging Manual,
// Feb 2021).
func TestPigmentComesFirst(t *testing.T) {
	p := hens.Propose([hens.Count]hens.Hen{
		bleached(t, "beak-tip", "pubic 3, keel 4, feel soft, molt none"),
		bleached(t, "shank-rear", "pubic 1 1/2, keel 2, feel thick, molt 4"),
		bleached(t, "vent", "pubic 3, keel 4, feel soft, molt none"),
		bleached(t, "beak-tip", "pubic 2, keel 3, feel soft, molt none"),
	}, hens.WayByID("national"))
	if got := p.Order.String(); got != "2-1-4-3" {
		t.Errorf("order %s", got)
	}
	if want := [][]int{{2}, {1}, {4}, {3}}; !reflect.DeepEqual(p.Groups, want) {
		t.Errorf("groups %v", p.Groups)
	}
	if len(p.Steps) != 2 || p.Steps[0].Factor != hens.Pigment || p.Steps[1].Factor != hens.Capacity {
		t.Fatalf("steps %+v", p.Steps)
	}
	if s := p.Steps[1]; !reflect.DeepEqual(s.Hens, []int{1, 4}) || !reflect.DeepEqual(s.Ranked, [][]int{{1}, {4}}) || !reflect.DeepEqual(s.Values, [][]int{{14}, {10}}) {
		t.Errorf("%+v", s)
	}
	// Hens 2 and 1: six steps (feet, both sides of the shanks, the hock); 1 and
	// 4: two fingers together; 4 and 3: eight steps. The cuts for these add up
	// to 16, so the largest gives one.
	want := [3]hens.Break{
		{Better: 2, Worse: 1, Factor: hens.Pigment, Place: "hock", Gap: 6, Wanted: 6, Cut: 6, Band: hens.FairlyEasy},
		{Better: 1, Worse: 4, Factor: hens.Capacity, Gap: 4, Wanted: 3, Cut: 3, Band: hens.Sortable},
		{Better: 4, Worse: 3, Factor: hens.Pigment, Place: "feet", Gap: 8, Wanted: 7, Cut: 6, Band: hens.FairlyEasy},
	}
	if p.Breaks != want {
		t.Errorf("breaks %+v", p.Breaks)
	}
}

// The national manual of 2020 puts capacity before the condition of the fat,
// older texts put handling before capacity.
func TestWaysDiffer(t *testing.T) {
	class := [hens.Count]hens.Hen{
		bleached(t, "feet", "pubic 3, keel 4, feel thick, molt none"),
		bleached(t, "feet", "pubic 2, keel 3, feel soft, molt none"),
		bleached(t, "hock", "pubic 3, keel 4, feel soft, molt none"),
		bleached(t, "vent", "pubic 1, keel 2, feel hard, molt 6"),
	}
	for id, want := range map[string]string{"national": "3-1-2-4", "older": "3-2-1-4"} {
		if got := hens.Propose(class, hens.WayByID(id)).Order.String(); got != want {
			t.Errorf("%s: %s, want %s", id, got, want)
		}
	}
	if hens.WayByID("unheard-of").ID != "national" {
		t.Error("the default is not the later text")
	}
}

func TestMoltPartsTheRest(t *testing.T) {
	same := "pubic 2, keel 3, feel soft, "
	p := hens.Propose([hens.Count]hens.Hen{
		bleached(t, "feet", same+"molt 3"),
		bleached(t, "feet", same+"molt none"),
		bleached(t, "feet", same+"molt 3, molt-pace together"),
		bleached(t, "feet", same+"molt 5"),
	}, hens.WayByID("national"))
	if got := p.Order.String() + " " + p.Cuts.String(); got != "2-3-1-4 2-1-1" {
		t.Errorf("got %s", got)
	}
}

// Ties stay ties: the cut between tied hens is 0.
func TestTiesAreSaid(t *testing.T) {
	same := "pubic 2, keel 3, feel soft, molt none"
	p := hens.Propose([hens.Count]hens.Hen{
		bleached(t, "vent", same), bleached(t, "hock", same), bleached(t, "vent", same), bleached(t, "hock", same),
	}, hens.WayByID("national"))
	if want := [][]int{{2, 4}, {1, 3}}; !reflect.DeepEqual(p.Groups, want) || p.Order.String() != "2-4-1-3" || p.Cuts.String() != "0-8-0" {
		t.Errorf("%v, %v, %v", p.Groups, p.Order, p.Cuts)
	}
	if b := p.Breaks[0]; b.Factor != "" || b.Band != hens.Tied {
		t.Errorf("%+v", b)
	}
}

// What was not looked at on one hen is compared on none.
func TestLackingMeasuresAreLeftOut(t *testing.T) {
	p := hens.Propose([hens.Count]hens.Hen{
		hen(t, "shank-front bleached, vent bleached, pubic 2, keel 2"),
		hen(t, "vent bleached, pubic 3, keel 2"),
		hen(t, "shank-front yellow, vent bleached, pubic 1"),
		hen(t, "shank-front fading, vent yellow, pubic 2, keel 6"),
	}, hens.WayByID("national"))
	// By the vent 4 is last; by the pubic bones 2, 1, 3.
	if got := p.Order.String(); got != "2-1-3-4" {
		t.Errorf("order %s", got)
	}
	for _, want := range []hens.Left{
		{Factor: hens.Pigment, Place: "shank-front", Hens: []int{2}},
		{Factor: hens.Capacity, Place: hens.KeyKeel, Hens: []int{3}},
		{Factor: hens.Fat, Hens: []int{1, 2, 3, 4}},
	} {
		if !slices.ContainsFunc(p.Left, func(l hens.Left) bool { return reflect.DeepEqual(l, want) }) {
			t.Errorf("%+v is not said: %+v", want, p.Left)
		}
	}
}

func TestNothingSeenProposesNothing(t *testing.T) {
	p := hens.Propose([hens.Count]hens.Hen{}, hens.WayByID("national"))
	if len(p.Groups) != 1 || len(p.Steps) != 0 || p.Cuts.String() != "0-0-0" || !p.Order.Valid() {
		t.Errorf("%+v", p)
	}
}

// Pigment comes back in the order in which it left: a yellow vent with bleached
// shanks tells of a hen that has stopped (from memory).
func TestOddities(t *testing.T) {
	stopped := bleached(t, "shank-rear", "")
	stopped.Pigment[0], stopped.Pigment[1] = hens.Yellow, hens.Fading
	tight := bleached(t, "hock", "pubic 1")
	p := hens.Propose([hens.Count]hens.Hen{bleached(t, "vent", "pubic 1"), stopped, tight, {}}, hens.WayByID("national"))
	want := []hens.Oddity{{Code: hens.Returned, Hen: 2, Early: "vent", Late: "hock"}, {Code: hens.Tight, Hen: 3, Late: "shank-front"}}
	if !reflect.DeepEqual(p.Odd, want) {
		t.Errorf("%+v", p.Odd)
	}
}

// University of Nebraska-Lincoln, NebGuide G2092, 2011.
func TestBands(t *testing.T) {
	for i, want := range strings.Fields("tied difficult difficult sortable sortable fairly-easy fairly-easy very-easy very-easy") {
		if got := hens.Band(i); got != want {
			t.Errorf("a cut of %d is %s, want %s", i, got, want)
		}
	}
}
