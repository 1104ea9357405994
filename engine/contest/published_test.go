package contest_test

import (
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/placing"
	"keelcard/engine/points"
	"keelcard/engine/score"
)

// marked reads a card as people write it: "-" is a blank, "x2" two marks of
// which it is not said which, "A+NG" two marks.
func marked(tb testing.TB, c contest.Class, card string) []byte {
	tb.Helper()
	var marks []byte
	for _, word := range strings.Fields(card) {
		switch word {
		case "-":
			marks = append(marks, score.Blank)
			continue
		case "x2":
			marks = append(marks, score.Double)
			continue
		}
		var answers []int
		for _, a := range strings.Split(word, "+") {
			answers = append(answers, index(tb, c, a))
		}
		mark := byte(answers[0])
		if len(answers) > 1 {
			mark = score.DoubleOf(answers...)
		}
		marks = append(marks, mark)
	}
	return marks
}

func index(tb testing.TB, c contest.Class, answer string) int {
	tb.Helper()
	for i, a := range c.Answers() {
		if a == answer {
			return i + 1
		}
	}
	tb.Fatalf("%q is no answer of %v", answer, c.Answers())
	return 0
}

// one scores a class with one card through records.
func one(tb testing.TB, c contest.Class, key []contest.KeyItem, card []byte) points.Points {
	tb.Helper()
	d := newDay(tb)
	d.class(c)
	d.key(c, key...)
	d.person(1)
	d.card(c, 1, card...)
	return scored(tb, d.read()).Result.Total(0)
}

// Five ten-carcass cards, computed by the rule of Penn State Extension, state
// 4-H poultry judging, general information and rules: 100 a class, minus 3 for
// each of the lines A-B and B-C crossed, minus 4 for C-no grade, minus 10 for a
// blank and for two marks.
func TestPennStateCards(t *testing.T) {
	for _, tc := range []struct {
		key, card string
		want      int
	}{
		{"A NG B C A NG C A C NG", "C NG B C A NG C NG C NG", 84},
		{"NG C C C C A B B B B", "NG C C C C A B NG B B", 93},
		{"A C B NG A B C C B C", "A A x2 NG A B C C A C", 81},
		{"A C A B A B B C A A", "B A C B NG B B - NG B", 52},
		{"A C A B A A C B NG B", "A C A x2 A C C B NG B", 84},
	} {
		c := broilers(1, 10)
		got := one(t, c, of(strings.Fields(tc.key)...), marked(t, c, tc.card))
		wantPoints(t, tc.card, got, points.Of(tc.want))
	}
}

// The whole table of Penn State Extension: ten items of 10.
func TestPublishedTableIsPennStates(t *testing.T) {
	want := [][]int{
		{10, 7, 4, 0},
		{7, 10, 7, 3},
		{4, 7, 10, 6},
		{0, 3, 6, 10},
	}
	for _, worth := range []points.Points{0, points.Of(100)} {
		table := contest.PublishedTable([]string{"A", "B", "C", "NG"}, 10, worth)
		for k, row := range want {
			for m, p := range row {
				wantPoints(t, table.Grades[k]+" marked "+table.Grades[m], table.Points[k][m], points.Of(p))
			}
		}
		if table.Blank != score.Zero || table.Double != score.Zero {
			t.Errorf("blank %q, double %q: want nothing for either", table.Blank, table.Double)
		}
	}
}

// Other scales (common practice): three answers are the published table without
// no grade; more grades share the item's points, and the far end earns nothing.
func TestOtherScales(t *testing.T) {
	for _, tc := range []struct {
		grades string
		items  int
		worth  points.Points
		want   []points.Points // of each mark against the first grade
	}{
		{"A B C", 10, 0, []points.Points{1000, 700, 400}},
		{"A B C NG", 10, points.Of(50), []points.Points{500, 350, 200, 0}},
		{"A B C NG", 8, points.Of(10), []points.Points{125, 88, 51, 0}}, // 0.375 a line, rounded down to 0.37
		{"right wrong", 10, 0, []points.Points{1000, 0}},
		{"1 2 3 4 5", 1, points.Of(10), []points.Points{1000, 750, 500, 250, 0}},
		{"only", 1, 0, []points.Points{1000}},
	} {
		table := contest.PublishedTable(strings.Fields(tc.grades), tc.items, tc.worth)
		for m, want := range tc.want {
			wantPoints(t, tc.grades+" marked "+table.Grades[m], table.Points[0][m], want)
		}
		if err := table.Validate(); err != nil {
			t.Error(err)
		}
	}
}

// A card without fault earns exactly what the class is worth, whatever the
// number of items; a worth that cannot be shared evenly is refused and one that
// can is named.
func TestAPerfectCardEarnsTheWorth(t *testing.T) {
	for items := 1; items <= contest.MaxItems; items++ {
		for _, worth := range []int{10, 50, 60, 100, 70, 128} {
			c := broilers(1, items)
			c.Worth = points.Of(worth)
			_, err := c.Write()
			if worth*100%items != 0 {
				if engine.CodeOf(err) != "contest.worth-uneven" {
					t.Errorf("%d items worth %d: got %v, want a refusal", items, worth, err)
				}
				continue
			}
			if err != nil {
				t.Errorf("%d items worth %d: %v", items, worth, err)
				continue
			}
			key := of(strings.Fields(strings.Repeat("B ", items))...)
			table, err := c.Table(contest.Key{Items: key, Status: nil})
			if err != nil {
				t.Fatal(err)
			}
			sum := points.Points(0)
			for slot := range table.Slots {
				sum += table.Slots[slot][2] // B
			}
			wantPoints(t, "perfect card", sum, c.Worth)
			wantPoints(t, "full points", table.Max, c.Worth)
		}
	}
	c := broilers(1, 7)
	c.Worth = points.Of(100)
	_, err := c.Write()
	if err == nil || !strings.Contains(err.Error(), "98 or 105") {
		t.Errorf("the refusal names no worth that can be shared: %v", err)
	}
}

// Published placings, each read in its source.
func TestPublishedPlacings(t *testing.T) {
	const (
		nebraska = "University of Nebraska-Lincoln Extension, NebGuide G2092, 2011"
		maryland = "Maryland Cooperative Extension (Carroll County 4-H), slides 'Scoring of Contests'"
	)
	for _, tc := range []struct {
		source, official, cuts, given string
		want                          int
	}{
		{nebraska, "1-2-3-4", "2-5-3", "2-1-3-4", 48},
		{nebraska, "1-2-3-4", "2-5-3", "2-1-4-3", 45},
		{maryland, "3-2-1-4", "2-8-2", "2-3-4-1", 46},
		{maryland, "3-2-1-4", "2-8-2", "3-1-2-4", 42},
	} {
		cuts, err := placing.ParseCuts(tc.cuts)
		if err != nil {
			t.Fatal(err)
		}
		key := []contest.KeyItem{{Answer: tc.official, Cuts: [3]uint8(cuts)}}
		c := hens(1)
		given := byte(index(t, c, tc.given))
		wantPoints(t, tc.source, one(t, c, key, []byte{given}), points.Of(tc.want))
		c.Worth = points.Of(100)
		wantPoints(t, tc.source+", counted twice as published by Penn State Extension", one(t, c, key, []byte{given}), points.Of(2*tc.want))
	}
}

// Two marks and none: University of Kentucky Extension, 4AJ-06PA, 2021 (0 for a
// blank, the lower of the two scores), University of Missouri Extension,
// poultry judging revisions, 2000 (0 for no order, the lowest possible score
// for more than one).
func TestDoubleMarks(t *testing.T) {
	kentucky := broilers(1, 4)
	kentucky.Double = contest.DoubleLower
	key := of("B", "C", "A", "A")
	// B marked A+NG: 7 and 3, so 3. C marked B+C: 7 and 10, so 7. A blank: 0.
	// A marked twice, not said which: the least, 0.
	wantPoints(t, "Kentucky", one(t, kentucky, key, marked(t, kentucky, "A+NG B+C - x2")), points.Of(10))
	penn := broilers(1, 4)
	wantPoints(t, "Penn State", one(t, penn, key, marked(t, penn, "A+NG B+C - x2")), 0)

	missouri := hens(2)
	missouri.Double = contest.DoubleLower
	official := []contest.KeyItem{{Answer: "2-4-1-3", Cuts: [3]uint8{4, 3, 6}}}
	// The reversal loses 3 x 4 + 4 x 3 + 3 x 6 = 42.
	wantPoints(t, "Missouri, the reversal", one(t, missouri, official, marked(t, missouri, "3-1-4-2")), points.Of(8))
	wantPoints(t, "Missouri, two orders", one(t, missouri, official, []byte{score.Double}), points.Of(8))
	wantPoints(t, "Missouri, none", one(t, missouri, official, []byte{score.Blank}), 0)
	wantPoints(t, "two orders where the class gives nothing for them", one(t, hens(2), official, []byte{score.Double}), 0)
}

// A ruling lets a second answer be right; a mark earns the better of the two
// (common practice: an item is ruled on for everyone).
func TestAnotherAnswerIsRightAsWell(t *testing.T) {
	c := broilers(1, 3)
	key := []contest.KeyItem{{Answer: "A", Also: []string{"C"}}, {Answer: "A", Also: []string{"C"}}, {Answer: "NG", Also: []string{"A"}}}
	// C is right: 10. NG: 0 against A, 6 against C. B: 3 against NG, 7 against A.
	wantPoints(t, "grades", one(t, c, key, marked(t, c, "C NG B")), points.Of(23))
	h := hens(2)
	orders := []contest.KeyItem{{Answer: "1-2-3-4", Also: []string{"2-1-3-4"}, Cuts: [3]uint8{2, 5, 3}}}
	wantPoints(t, "either order", one(t, h, orders, marked(t, h, "2-1-3-4")), points.Of(50))
	// One pair off against the second order, two against the first.
	wantPoints(t, "near the second", one(t, h, orders, marked(t, h, "2-1-4-3")), points.Of(47))
}

// Points of the class's own take the place of the published ones.
func TestOwnPoints(t *testing.T) {
	c := broilers(1, 2)
	c.Pairs = []contest.PairPoints{{Key: "A", Mark: "B", Points: points.Of(5)}}
	wantPoints(t, "A marked B, and B marked A", one(t, c, of("A", "B"), marked(t, c, "B A")), points.Of(12))
}
