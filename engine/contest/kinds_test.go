package contest_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/enginetest"
	"keelcard/engine/merge"
	"keelcard/engine/points"
	"keelcard/engine/score"
)

func parts(no uint32, items int) contest.Class {
	return contest.Class{No: no, Name: "Parts", Kind: contest.Identified, Items: items, List: "parts-30"}
}

func products(no uint32, items int) contest.Class {
	return contest.Class{No: no, Name: "Products", Kind: contest.Checked, Items: items, Book: "breaded"}
}

func reasons(no uint32, officials int) contest.Class {
	return contest.Class{No: no, Name: "Reasons", Kind: contest.Awarded, Officials: officials}
}

// named gives the marks of names of a list.
func named(tb testing.TB, c contest.Class, names ...string) []byte {
	tb.Helper()
	marks := make([]byte, len(names))
	for i, name := range names {
		if name == "" {
			continue
		}
		at, ok := contest.FindName(c, name)
		if !ok {
			tb.Fatalf("%q is no name of the class", name)
		}
		marks[i] = byte(at + 1)
	}
	return marks
}

// checkedMarks gives the marks of items told as a key tells them; "?" is a blank.
func checkedMarks(tb testing.TB, c contest.Class, items ...string) []byte {
	tb.Helper()
	faults, err := c.Faults()
	if err != nil {
		tb.Fatal(err)
	}
	var marks []byte
	for _, item := range items {
		for _, f := range faults {
			switch {
			case item == "?":
				marks = append(marks, score.Blank)
			case slices.Contains(strings.Split(item, "+"), f.ID):
				marks = append(marks, contest.Present)
			default:
				marks = append(marks, contest.Absent)
			}
		}
	}
	return marks
}

// Parts identification: minus 10 for each wrong one of ten, of 100 (Penn State
// Extension, state poultry judging: classes); a blank and two marks cost 10 as
// well (general information and rules).
func TestPartsIdentification(t *testing.T) {
	c := parts(1, 10)
	key := of("half", "whole breast", "split breast", "leg quarter", "leg", "drumstick", "wing", "wing portion", "neck", "paws")
	right := []string{"half", "whole breast", "split breast", "leg quarter", "leg", "drumstick", "wing", "wing portion", "neck", "paws"}
	for _, tc := range []struct {
		name  string
		wrong map[int]string
		want  int
	}{
		{"all right", nil, 100},
		{"one wrong", map[int]string{3: "leg"}, 90},
		{"a part taken for its whole", map[int]string{1: "split breast", 2: "whole breast"}, 80},
		{"one blank", map[int]string{9: ""}, 90},
		{"three wrong", map[int]string{0: "front half", 4: "leg quarter", 7: "drumette"}, 70},
	} {
		names := slices.Clone(right)
		for i, name := range tc.wrong {
			names[i] = name
		}
		wantPoints(t, tc.name, one(t, c, key, named(t, c, names...)), points.Of(tc.want))
	}
	card := named(t, c, right...)
	card[0] = score.DoubleOf(1, 2)
	wantPoints(t, "two marks", one(t, c, key, card), points.Of(90))
	c.Worth = points.Of(50) // older state events: 50 a class
	wantPoints(t, "one wrong of 50", one(t, c, key, named(t, c, append([]string{"rear half"}, right[1:]...)...)), points.Of(45))
}

// Further-processed products: 10 a product, 2 for each of five factors (Penn
// State Extension, state poultry judging: classes). The five are those of the
// National 4-H Poultry Judging Manual, 2021.
func TestFurtherProcessed(t *testing.T) {
	c := products(1, 10)
	faults, err := c.Faults()
	if err != nil {
		t.Fatal(err)
	}
	if got := ids(faults); got != "coating shape-size cluster incomplete foreign" {
		t.Fatalf("faults %q", got)
	}
	answers := []string{"none", "coating", "shape-size", "cluster", "coating+shape-size", "none", "incomplete", "foreign", "coating+foreign", "none"}
	for _, tc := range []struct {
		name  string
		wrong map[int]string
		want  int
	}{
		{"all right", nil, 100},
		{"a fault overlooked", map[int]string{1: "none"}, 98},
		{"a fault seen that is not there", map[int]string{0: "cluster"}, 98},
		{"one taken for another", map[int]string{2: "incomplete"}, 96},
		{"everything wrong on one product", map[int]string{0: "coating+shape-size+cluster+incomplete+foreign"}, 90},
		{"a product left blank", map[int]string{5: "?"}, 90},
	} {
		card := slices.Clone(answers)
		for i, item := range tc.wrong {
			card[i] = item
		}
		wantPoints(t, tc.name, one(t, c, of(answers...), checkedMarks(t, c, card...)), points.Of(tc.want))
	}
	whole := c
	whole.Whole = true
	card := slices.Clone(answers)
	card[1], card[2] = "none", "shape-size+cluster"
	wantPoints(t, "all or nothing", one(t, whole, of(answers...), checkedMarks(t, whole, card...)), points.Of(80))
}

func ids(faults []contest.Fault) string {
	var out []string
	for _, f := range faults {
		out = append(out, f.ID)
	}
	return strings.Join(out, " ")
}

// A choice of the book changes what is looked for; then the worth has to be one
// that can be shared.
func TestFaultsFollowTheChoices(t *testing.T) {
	c := products(1, 10)
	c.Choices = map[string]string{"color": "apart"}
	faults, err := c.Faults()
	if err != nil || ids(faults) != "coating color shape-size cluster incomplete foreign" {
		t.Errorf("faults %v, %v", faults, err)
	}
	if _, err := c.Write(); engine.CodeOf(err) != "contest.worth-uneven" || !strings.Contains(err.Error(), "make it worth 60 or 120") {
		t.Errorf("six faults share 100 points: %v", err)
	}
	c.Worth = points.Of(120)
	if _, err := c.Write(); err != nil {
		t.Error(err)
	}
	c.Worth, c.Whole = 0, true
	if _, err := c.Write(); err != nil {
		t.Errorf("all or nothing, 10 a product: %v", err)
	}
}

// A further right answer leaves open the faults in which it differs.
func TestEitherFaultsAreRight(t *testing.T) {
	c := products(1, 1)
	key := []contest.KeyItem{{Answer: "coating", Also: []string{"coating+cluster"}}}
	for item, want := range map[string]int{"coating": 10, "coating+cluster": 10, "cluster": 8, "none": 8, "coating+foreign": 8} {
		wantPoints(t, item, one(t, c, key, checkedMarks(t, c, item)), points.Of(want))
	}
}

// Placing 50 and reasons 50 (Maryland Cooperative Extension, slides "Scoring of
// Contests"): a placing of 46 published there, and 41 for its reasons.
func TestPlacingAndReasons(t *testing.T) {
	d := newDay(t)
	hens, why := hens(1), reasons(2, 1)
	why.Reasons = true
	d.class(hens)
	d.class(why)
	d.key(hens, contest.KeyItem{Answer: "3-2-1-4", Cuts: [3]uint8{2, 8, 2}})
	d.person(1)
	d.card(hens, 1, byte(index(t, hens, "2-3-4-1")))
	mark, err := why.PointsMark(0, points.Of(41))
	if err != nil {
		t.Fatal(err)
	}
	d.card(why, 1, mark)
	s := scored(t, d.read())
	wantPoints(t, "placing and reasons", s.Result.Total(0), points.Of(87))
	wantPoints(t, "both without fault", s.ClassMax(0)+s.ClassMax(1), points.Of(100))
	if n := d.read().Key(why).Missing(); n != 0 || why.KeyItems() != 0 {
		t.Errorf("points that are given need %d answers", n)
	}
}

// Two officials, one of whom is silent for some (common practice: the mean of
// those who gave anything).
func TestMeanOfOfficials(t *testing.T) {
	for _, tc := range []struct {
		round string
		given []int // -1 for nothing
		want  points.Points
		text  string
	}{
		{"", []int{41, 38}, 3950, "(41 + 38) / 2 = 39.5"},
		{contest.RoundWhole, []int{41, 38}, 4000, "(41 + 38) / 2 = 40"},
		{contest.RoundHalf, []int{41, 38}, 3950, "(41 + 38) / 2 = 39.5"},
		{"", []int{41, 38, 40}, 3967, "(41 + 38 + 40) / 3 = 39.67"},
		{contest.RoundHalf, []int{41, 38, 40}, 3950, "(41 + 38 + 40) / 3 = 39.5"},
		{contest.RoundWhole, []int{41, 38, 40}, 4000, "(41 + 38 + 40) / 3 = 40"},
		{"", []int{41, -1, 38}, 3950, "(41 + 38) / 2 = 39.5"},
		{"", []int{41, 0}, 2050, "(41 + 0) / 2 = 20.5"},
	} {
		c := reasons(1, len(tc.given))
		c.Round = tc.round
		d := newDay(t)
		d.class(c)
		d.person(1)
		marks := make([]byte, len(tc.given))
		for i, p := range tc.given {
			if p >= 0 {
				var err error
				if marks[i], err = c.PointsMark(i, points.Of(p)); err != nil {
					t.Fatal(err)
				}
			}
		}
		d.card(c, 1, marks...)
		trail, err := scored(t, d.read()).Result.Trail(0)
		if err != nil {
			t.Fatal(err)
		}
		wantPoints(t, tc.text, trail.Total, tc.want)
		if got := trail.Classes[0].Text(); got != tc.text {
			t.Errorf("got %q, want %q", got, tc.text)
		}
	}
}

// Criteria add up for each official. The names are the usual ones (common
// practice); no published split was read.
func TestCriteria(t *testing.T) {
	c := reasons(1, 2)
	c.Step = 50
	c.Criteria = []contest.Criterion{{"Accuracy", points.Of(20)}, {"Terms", points.Of(10)}, {"Delivery", 1250}}
	d := newDay(t)
	d.class(c)
	d.person(1)
	var marks []byte
	for slot, p := range []points.Points{1850, 900, 1000, 2000, 0, 1250} {
		mark, err := c.PointsMark(slot, p)
		if err != nil {
			t.Fatal(err)
		}
		if got := c.MarkPoints(mark); got != p {
			t.Errorf("slot %d: %v came back as %v", slot, p, got)
		}
		marks = append(marks, mark)
	}
	d.card(c, 1, marks...)
	s := scored(t, d.read())
	wantPoints(t, "the mean of 37.5 and 32.5", s.Result.Total(0), points.Of(35))
	wantPoints(t, "the most", s.ClassMax(0), 4250)
	if got := strings.Join(contest.CardTexts(c, marks), " "); got != "18.5 9 10 20 0 12.5" {
		t.Errorf("the card reads %q", got)
	}
}

func TestPointsThatCannotBeGiven(t *testing.T) {
	c := reasons(1, 1)
	c.Criteria = []contest.Criterion{{"Accuracy", points.Of(20)}, {"Terms", points.Of(10)}}
	for _, p := range []points.Points{-100, 2100, 1050, 1} {
		if mark, err := c.PointsMark(2, p); engine.CodeOf(err) != "contest.given" {
			t.Errorf("%v is the mark %d, %v", p, mark, err)
		}
	}
	if _, err := c.PointsMark(1, points.Of(15)); engine.CodeOf(err) != "contest.given" {
		t.Errorf("15 of 10: %v", err)
	}
	for _, marks := range [][]byte{{22, 1}, {1, 12}, {score.Double, 1}, {score.DoubleOf(1, 2), 1}, {1}, {1, 1, 1}} {
		if _, err := c.CardValue(marks); engine.CodeOf(err) != "contest.card" {
			t.Errorf("the card %v: %v", marks, err)
		}
	}
	if _, err := c.CardValue([]byte{21, 11}); err != nil {
		t.Errorf("full points: %v", err)
	}
}

// An exam can be marked by key, or handed in as the number of right answers.
// Older state events have at least 25 questions; what each is worth is set by
// the contest.
func TestExam(t *testing.T) {
	byKey := contest.Class{No: 1, Name: "Exam", Kind: contest.Identified, Items: 25, List: "letters-4", Worth: points.Of(50)}
	if _, faults := contest.ParseKey(byKey, "ABCDD CBAAB CCDAB DBCAA ABCDD"); faults == nil {
		t.Fatal("letters without spaces were read as answers")
	}
	key, faults := contest.ParseKey(byKey, "A B C D D C B A A B, C C D A B, D B C A A, A B C D D")
	if faults != nil {
		t.Fatal(faults)
	}
	card := named(t, byKey, strings.Fields("A B C D D C B A A B C C D A B D B C A A D C B A A")...)
	wantPoints(t, "20 of 25 by key", one(t, byKey, key, card), points.Of(40))

	byCount := contest.Class{No: 1, Name: "Exam", Kind: contest.Awarded, Step: points.Of(2), Worth: points.Of(50)}
	mark, err := byCount.PointsMark(0, points.Of(40))
	if err != nil || mark != 21 {
		t.Fatalf("20 right are the mark %d, %v", mark, err)
	}
	wantPoints(t, "20 of 25 by number", one(t, byCount, nil, []byte{mark}), points.Of(40))
}

// perfect is a card that says what the key says, and of officials who give all
// they may.
func perfect(c contest.Class, key []contest.KeyItem) []byte {
	if c.Kind == contest.Awarded {
		var marks []byte
		for range c.OfficialCount() {
			for _, one := range c.GivenFor() {
				marks = append(marks, byte(one.Most/c.StepPoints())+1)
			}
		}
		return marks
	}
	var marks []byte
	faults, _ := c.Faults()
	for _, k := range key {
		if c.Kind != contest.Checked {
			marks = append(marks, byte(slices.Index(c.Answers(), k.Answer)+1))
			continue
		}
		for _, f := range faults {
			mark := contest.Absent
			if slices.Contains(contest.SplitFaults(k.Answer), f.ID) {
				mark = contest.Present
			}
			marks = append(marks, mark)
		}
	}
	return marks
}

// Whoever answers as the key does earns the full points, in every kind of class,
// and nobody earns more.
func TestAnswersOfTheKeyEarnEverything(t *testing.T) {
	kinds := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		made := random(t)
		c := contest.Read(made.Set.Contest, merge.Fold(made.Set))
		for i, class := range made.Classes {
			if made.Keys[i] == nil {
				continue
			}
			kinds[class.Kind]++
			table, err := class.Table(c.Key(class))
			if err != nil {
				t.Fatal(err)
			}
			marks := perfect(class, made.Keys[i])
			r, err := score.Compute(score.Sheet{Persons: 1, Classes: []score.ClassSheet{{Table: table, Marks: marks}}})
			if err != nil {
				t.Fatal(err)
			}
			full := table.Max
			if class.Worth > 0 {
				full = class.Worth
			}
			if r.Total(0) != full || table.Max != full {
				t.Fatalf("%+v: %v of %v", class, r.Total(0), full)
			}
			for _, card := range made.Cards[i] {
				if card == nil {
					continue
				}
				r, err := score.Compute(score.Sheet{Persons: 1, Classes: []score.ClassSheet{{Table: table, Marks: card}}})
				if err != nil || r.Total(0) > full {
					t.Fatalf("%+v: the card %v earns %v of %v, %v", class, card, r.Total(0), full, err)
				}
			}
		}
	})
	for _, k := range contest.Kinds() {
		if kinds[k.ID()] == 0 {
			t.Errorf("no class is %s", k.ID())
		}
	}
}

// Contestants whose numbers are changed about keep what their cards earn.
func TestOtherNumbersSamePoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		made := random(t)
		c := contest.Read(made.Set.Contest, merge.Fold(made.Set))
		before, err := c.Score()
		if err != nil {
			t.Fatal(err)
		}
		w := enginetest.NewWriter(made.Set.Contest)
		on := w.Phone("owner/RN")
		n := len(made.Persons)
		turn := rapid.IntRange(0, max(n-1, 0)).Draw(t, "turn")
		other := func(j int) uint32 { return made.Persons[(j+turn)%n].Number }
		for i, class := range made.Classes {
			value, err := class.Write()
			w.Write(on, classSubject(class.No), value, err)
			for k, item := range made.Keys[i] {
				value, err := item.Write(class)
				w.Write(on, class.KeySubject(k), value, err)
			}
			for j, card := range made.Cards[i] {
				if card != nil {
					value, err := class.CardValue(card)
					w.Write(on, contest.CardSubject(class.No, other(j)), value, err)
				}
			}
		}
		for j, p := range made.Persons {
			p.Number, p.Team = other(j), 0
			value, err := p.Write()
			w.Write(on, personSubject(p.Number), value, err)
		}
		set, err := w.Set()
		if err != nil {
			t.Fatal(err)
		}
		after, err := contest.Read(set.Contest, merge.Fold(set)).Score()
		if err != nil {
			t.Fatal(err)
		}
		for j := range made.Persons {
			if got, want := after.Result.Total((j+turn)%n), before.Result.Total(j); got != want {
				t.Fatalf("contestant %d became %d: %v, was %v", made.Persons[j].Number, other(j), got, want)
			}
		}
	})
}

// Names are found whatever their case, spaces and hyphens, and by other words
// for the same part; never by their beginning.
func TestFindName(t *testing.T) {
	c := parts(1, 10)
	for text, want := range map[string]string{
		"Leg Quarter": "leg quarter", "leg-quarter": "leg quarter", " LEGQUARTER ": "leg quarter",
		"whole leg": "leg", "Drum": "drumstick", "flat": "wing portion", "Wingette": "wing portion", "leg": "leg",
		"breast quarter w": "", "whole": "", "": "", "breast": "", "wing po": "", "leg quarters": "",
	} {
		i, ok := contest.FindName(c, text)
		if ok != (want != "") || ok && c.Answers()[i] != want {
			t.Errorf("%q is found %v at %d, want %q", text, ok, i, want)
		}
	}
}

// The lists as published, and none with a name or other word twice.
func TestLists(t *testing.T) {
	sizes := map[string]int{"parts-30": 30, "parts-youth": 10, "products-10": 10, "letters-4": 4, "letters-5": 5}
	for _, l := range contest.Lists() {
		if len(l.Names) != sizes[l.ID] || l.Source == "" {
			t.Errorf("%s has %d names, from %q", l.ID, len(l.Names), l.Source)
		}
		c := contest.Class{Kind: contest.Identified, List: l.ID}
		for i, n := range l.Names {
			for _, word := range append([]string{n.Name}, n.Also...) {
				if at, ok := contest.FindName(c, word); !ok || at != i {
					t.Errorf("%s: %q finds %d, want %d", l.ID, word, at, i)
				}
			}
		}
	}
	if _, ok := contest.ListByID("parts-31"); ok {
		t.Error("there is a list parts-31")
	}
}

func TestAnswersAndCardsAsText(t *testing.T) {
	c := products(1, 3)
	for k, want := range map[string]string{
		"none": "none", "coating+cluster": "coating, cluster", "": "",
	} {
		if got := contest.AnswerText(c, contest.KeyItem{Answer: k}); got != want {
			t.Errorf("%q reads %q, want %q", k, got, want)
		}
	}
	if got := contest.AnswerText(c, contest.KeyItem{Answer: "shape-size", Also: []string{"none"}}); got != "shape or size / none" {
		t.Errorf("two right answers read %q", got)
	}
	if got := contest.AnswerText(hens(2), contest.KeyItem{Answer: "2-1-3-4", Also: []string{"1-2-3-4"}}); got != "2-1-3-4 / 1-2-3-4" {
		t.Errorf("two orders read %q", got)
	}
	marks := checkedMarks(t, c, "coating+cluster", "none", "?")
	if got := strings.Join(contest.CardTexts(c, marks), "|"); got != "coating, cluster|none|" {
		t.Errorf("the card reads %q", got)
	}
	marks[0], marks[1] = score.DoubleOf(1, 2), score.Blank
	if got := contest.CardTexts(c, marks)[0]; got != "coating ×2, shape or size?, cluster" {
		t.Errorf("an unclear product reads %q", got)
	}
	p := parts(1, 3)
	if got := strings.Join(contest.CardTexts(p, named(t, p, "neck", "", "flat")), "|"); got != "neck||wing portion" {
		t.Errorf("the card reads %q", got)
	}
	for class, want := range map[*contest.Class]int{{Kind: contest.Checked, Book: "breaded", Items: 2}: 5, {Kind: contest.Awarded, Criteria: make([]contest.Criterion, 3)}: 3, {Kind: contest.Awarded}: 1, {Kind: contest.Placing}: 1} {
		if got := class.SlotsPerItem(); got != want {
			t.Errorf("%s: %d slots an item, want %d", class.Kind, got, want)
		}
	}
}

// A later version may know more ways to round; its cards are kept and the class
// waits.
func TestKindsOfALaterVersionWait(t *testing.T) {
	for value, code := range map[string]engine.Code{
		`{"name":"n","kind":"awarded","round":"quarter"}`:                                                              "contest.round",
		`{"name":"n","kind":"identified","items":1,"list":"parts-24"}`:                                                 "contest.list",
		`{"name":"n","kind":"identified","items":1,"names":["leg","Le-g"]}`:                                            "contest.names",
		`{"name":"n","kind":"identified","items":1,"names":["leg"]}`:                                                   "contest.names",
		`{"name":"n","kind":"checked","items":50,"names":["a","b","c","d","e","f"]}`:                                   "contest.items",
		`{"name":"n","kind":"checked","items":1,"book":"carcass-youth"}`:                                               "contest.faults",
		`{"name":"n","kind":"checked","items":1,"book":"gone"}`:                                                        "contest.book",
		`{"name":"n","kind":"checked","items":1}`:                                                                      "contest.faults",
		`{"name":"n","kind":"checked","items":1,"names":["none"]}`:                                                     "contest.faults",
		`{"name":"n","kind":"checked","items":1,"names":["a+b"]}`:                                                      "contest.faults",
		`{"name":"n","kind":"checked","items":-1,"names":["a"]}`:                                                       "",
		`{"name":"n","kind":"awarded","step":"-1"}`:                                                                    "contest.step",
		`{"name":"n","kind":"awarded","step":"0.01"}`:                                                                  "contest.step",
		`{"name":"n","kind":"awarded","step":"92233720368547758.07"}`:                                                  "contest.step",
		`{"name":"n","kind":"awarded","criteria":[{"name":"a","most":"92233720368547758.07"}]}`:                        "contest.criteria",
		`{"name":"n","kind":"awarded","criteria":[{"name":"a","most":"-1"}]}`:                                          "contest.criteria",
		`{"name":"n","kind":"awarded","worth":"30","criteria":[{"name":"a","most":"20"}]}`:                             "contest.worth",
		`{"name":"n","kind":"awarded","step":"0.5","round":"whole","criteria":[{"name":"a","most":"20.5"}]}`:           "contest.round",
		`{"name":"n","kind":"awarded","criteria":[{"name":"a","most":"1000"},{"name":"b","most":"1000"}],"step":"10"}`: "contest.worth",
	} {
		d := newDay(t)
		d.raw(classSubject(1), value)
		d.raw(contest.KeySubject(1, 1), `{"answer":"none"}`)
		for i := range uint32(49) {
			d.raw(contest.KeySubject(1, 2+i), `{"answer":"none"}`)
		}
		d.raw(contest.CardSubject(1, 7), "\x01")
		d.person(7)
		c := d.read()
		if code == "" {
			if len(c.Problems) != 1 {
				t.Errorf("%s was read", value)
			}
			continue
		}
		if len(c.Problems) > 0 {
			t.Fatalf("%s: %v", value, c.Problems)
		}
		s, err := c.Score()
		if err != nil {
			t.Fatal(err)
		}
		got := engine.Code("")
		if len(s.Waiting) == 1 {
			got = engine.CodeOf(s.Waiting[0].Err)
		}
		if got != code {
			t.Errorf("%s: waits because of %q, want %q", value, got, code)
		}
		if _, err := c.Classes[0].Write(); engine.CodeOf(err) != code {
			t.Errorf("%s: written: %v, want %q", value, err, code)
		}
	}
}

// What is too much is not even read.
func TestTooMuchInAClass(t *testing.T) {
	for _, value := range []string{
		`{"name":"n","kind":"awarded","officials":10}`,
		`{"name":"n","kind":"awarded","officials":-1}`,
		`{"name":"n","kind":"awarded","criteria":[` + strings.Repeat(`{"name":"a","most":"1"},`, contest.MaxCriteria) + `{"name":"b","most":"1"}]}`,
		`{"name":"n","kind":"identified","items":1,"names":[` + strings.Repeat(`"a",`, contest.MaxNames) + `"b"]}`,
		`{"name":"n","kind":"identified","items":1,"names":["` + strings.Repeat("a", contest.MaxText+1) + `"]}`,
		`{"name":"n","kind":"identified","items":1,"names":["a",""]}`,
		`{"name":"n","kind":"awarded","criteria":[{"name":"\u0007","most":"1"}]}`,
		`{"name":"n","kind":"identified","items":51,"list":"parts-30"}`,
	} {
		d := newDay(t)
		d.raw(classSubject(1), value)
		if c := d.read(); len(c.Problems) != 1 || len(c.Classes) != 0 {
			t.Errorf("%.80s was read: %+v", value, c.Classes)
		}
	}
}

// Keys of the new kinds that could only have been written by hand.
func TestKeysOfKindsThatCannotBeWritten(t *testing.T) {
	for _, tc := range []struct {
		class contest.Class
		key   contest.KeyItem
	}{
		{parts(1, 1), contest.KeyItem{Answer: "whole leg"}},
		{parts(1, 1), contest.KeyItem{Answer: "leg", Also: []string{"leg"}}},
		{parts(1, 1), contest.KeyItem{Answer: ""}},
		{products(1, 1), contest.KeyItem{Answer: ""}},
		{products(1, 1), contest.KeyItem{Answer: "cluster+coating"}},
		{products(1, 1), contest.KeyItem{Answer: "coating+coating"}},
		{products(1, 1), contest.KeyItem{Answer: "coating+"}},
		{products(1, 1), contest.KeyItem{Answer: "color"}},
		{products(1, 1), contest.KeyItem{Answer: "none", Also: []string{"coating", "coating"}}},
		{products(1, 1), contest.KeyItem{Answer: "none", Also: make([]string, 5000)}},
		{reasons(1, 1), contest.KeyItem{Answer: "50"}},
	} {
		if _, err := tc.key.Write(tc.class); engine.CodeOf(err) != "contest.key" {
			t.Errorf("%s, %.40v: %v", tc.class.Kind, tc.key, err)
		}
	}
}

// Cards of 250 answers for every contestant of a large contest are refused
// before anything is set aside for them.
func TestManyAnswersAreRefused(t *testing.T) {
	d := newDay(t)
	c := contest.Class{Name: "n", Kind: contest.Checked, Items: 25, Names: strings.Fields("a b c d e f g h i j")}
	for no := range uint32(41) {
		c.No = no + 1
		d.class(c)
	}
	if _, err := d.read().Score(); engine.CodeOf(err) != "contest.large" {
		t.Errorf("41 classes of 250 answers: %v", err)
	}
	fewer := newDay(t)
	for no := range uint32(40) {
		c.No = no + 1
		fewer.class(c)
	}
	if s, err := fewer.read().Score(); err != nil || len(s.Waiting) != 40 {
		t.Errorf("40 classes of 250 answers: %v", err)
	}
}
