package contest_test

import (
	"errors"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/contest"
	"keelcard/engine/grading"
	"keelcard/engine/points"
	"keelcard/engine/record"
)

// What is written is read back as it was, for every field of every type.
func TestRoundTrip(t *testing.T) {
	settings := contest.Settings{
		Name: "Tamarack County Poultry Day", Date: "2026-09-19", Place: "Hall", TeamBest: 2, TeamMost: 5, Started: true,
		Ties: []contest.Tie{{Classes: []uint32{2, 1}}, {Alternate: true}}, Divisions: []string{"Senior", "Junior"},
		Confirm: contest.ConfirmSample, ConfirmIn: 7,
	}
	graded := broilers(1, 10)
	graded.Hash, graded.Choices, graded.Double, graded.Worth, graded.Reasons = "00ff", map[string]string{"answers": "three"}, contest.DoubleLower, points.Of(50), true
	graded.Pairs = []contest.PairPoints{{Key: "A", Mark: "B", Points: 250}}
	placed := hens(2)
	placed.Worth = points.Of(100)
	person := contest.Person{Number: 7, Name: "Ana <b>&\"Birch\"", Team: 3, Division: "Junior", Out: "left early"}
	team := contest.Team{No: 3, Name: "Oak Hollow \U0001f414 אבג"}
	key := contest.KeyItem{Answer: "2-1-3-4", Cuts: [3]uint8{2, 5, 3}, Also: []string{"1-2-3-4"}}
	length := 8 * 4 * amount.SixtyFourth
	seen := contest.Seen{
		Findings: []grading.Finding{{Defect: "tear", Site: "breast", Count: 2, Length: &length, View: "front", X: 10, Y: 20, Sure: grading.Likely, Note: "n"}},
		Photo:    "abc", Note: "on the left", Kind: "whole-wing", Choices: map[string]string{"answers": "four"}, Official: "told so",
		Signs: map[string]string{"vent": "bleached", "pubic": "2 1/2"},
	}

	d := newDay(t)
	put := func(sub record.Subject) func(value string, err error) {
		return func(value string, err error) { d.Write(d.owner, sub, value, err) }
	}
	put(settingsSubject)(settings.Write())
	put(classSubject(1))(graded.Write())
	put(classSubject(2))(placed.Write())
	others := []contest.Class{
		{No: 3, Name: "Parts", Kind: contest.Identified, Items: 2, List: "parts-youth", Division: "Market poultry"},
		{No: 4, Name: "Words", Kind: contest.Identified, Items: 2, Names: []string{"comb", "ear lobe"}},
		{No: 5, Name: "Products", Kind: contest.Checked, Items: 2, Names: []string{"torn"}, Whole: true},
		{No: 6, Name: "Reasons", Kind: contest.Awarded, Officials: 2, Criteria: []contest.Criterion{{Name: "Terms", Most: 950}, {Name: "Order", Most: 1050}}, Step: 50, Round: contest.RoundHalf},
	}
	for _, c := range others {
		put(classSubject(c.No))(c.Write())
	}
	put(personSubject(7))(person.Write())
	put(teamSubject(3))(team.Write())
	put(contest.KeySubject(2, 0))(key.Write(placed))
	put(record.Subject{Kind: contest.KindSeen, A: 1, B: 4})(seen.Write())
	c := d.read()

	if len(c.Problems) > 0 {
		t.Fatal(c.Problems)
	}
	for _, tc := range []struct {
		name      string
		got, want any
	}{
		{"settings", c.Settings, settings},
		{"classes", c.Classes, append([]contest.Class{graded, placed}, others...)},
		{"persons", c.Persons, []contest.Person{person}},
		{"teams", c.Teams, []contest.Team{team}},
		{"key", c.Key(placed).Items, []contest.KeyItem{key}},
		{"seen", c.Seen(1, 4), seen},
		{"nothing seen", c.Seen(1, 5), contest.Seen{}},
	} {
		if !reflect.DeepEqual(tc.got, tc.want) {
			t.Errorf("%s: got %+v, want %+v", tc.name, tc.got, tc.want)
		}
	}
}

func TestNamesOfAClassAreTidied(t *testing.T) {
	d := newDay(t)
	given := contest.Class{No: 1, Name: "n", Kind: contest.Awarded, Division: " Market  poultry ", Criteria: []contest.Criterion{{Name: " Terms ", Most: 100}}}
	named := contest.Class{No: 2, Name: "n", Kind: contest.Identified, Items: 1, Names: []string{" ear  lobe", "comb "}}
	d.class(given)
	d.class(named)
	got := d.read().Classes
	if got[0].Division != "Market poultry" || got[0].Criteria[0].Name != "Terms" || strings.Join(got[1].Names, "|") != "ear lobe|comb" {
		t.Errorf("got %+v", got)
	}
	if given.Criteria[0].Name != " Terms " || named.Names[0] != " ear  lobe" {
		t.Error("what was to be written was changed")
	}
}

func TestSpacesAreTidied(t *testing.T) {
	d := newDay(t)
	value, err := contest.Person{Number: 1, Name: "\tAna \n  Birch ", Division: " Junior "}.Write()
	d.Write(d.owner, personSubject(1), value, err)
	want := contest.Person{Number: 1, Name: "Ana Birch", Division: "Junior"}
	if got := d.read().Persons[0]; !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

// A value that says nothing stands for the usual one.
func TestDefaults(t *testing.T) {
	var s contest.Settings
	if s.Best() != 3 || s.Most() != 4 {
		t.Errorf("the best %d of %d count, want 3 of 4 (Penn State Extension; NC State Extension)", s.Best(), s.Most())
	}
	wantPoints(t, "an order that is right (University of Nebraska-Lincoln, NebGuide G2092)", contest.Class{}.PlacingWorth(), points.Of(50))
}

func TestWriteRefuses(t *testing.T) {
	long := strings.Repeat("a", contest.MaxText+1)
	settings := func(change func(*contest.Settings)) error {
		s := contest.Settings{Name: "Day"}
		change(&s)
		_, err := s.Write()
		return err
	}
	class := func(c contest.Class, change func(*contest.Class)) error {
		change(&c)
		_, err := c.Write()
		return err
	}
	person := func(p contest.Person) error { _, err := p.Write(); return err }
	team := func(x contest.Team) error { _, err := x.Write(); return err }
	key := func(c contest.Class, k contest.KeyItem) error { _, err := k.Write(c); return err }
	seen := func(s contest.Seen) error { _, err := s.Write(); return err }
	card := func(c contest.Class, marks ...byte) error { _, err := c.CardValue(marks); return err }
	g, h := broilers(1, 10), hens(2)
	three := broilers(1, 2)
	three.Choices = map[string]string{"answers": "three"}

	for _, tc := range []struct {
		name string
		err  error
		code engine.Code
	}{
		{"no name", settings(func(s *contest.Settings) { s.Name = " \t" }), "contest.empty"},
		{"a long place", settings(func(s *contest.Settings) { s.Place = long }), "contest.long"},
		{"a bell in the date", settings(func(s *contest.Settings) { s.Date = "\a" }), "contest.text"},
		{"broken letters", settings(func(s *contest.Settings) { s.Name = "\xff" }), "contest.text"},
		{"a team of less than none", settings(func(s *contest.Settings) { s.TeamBest = -1 }), "contest.team-size"},
		{"a team of many", settings(func(s *contest.Settings) { s.TeamMost = 21 }), "contest.team-size"},
		{"more count than there are", settings(func(s *contest.Settings) { s.TeamBest = 5 }), "contest.team-best"},
		{"a division twice", settings(func(s *contest.Settings) { s.Divisions = []string{"J", " J"} }), "contest.division-twice"},
		{"a division without a name", settings(func(s *contest.Settings) { s.Divisions = []string{""} }), "contest.empty"},
		{"many divisions", settings(func(s *contest.Settings) { s.Divisions = make([]string, contest.MaxDivisions+1) }), "contest.divisions"},
		{"an empty tie-break", settings(func(s *contest.Settings) { s.Ties = []contest.Tie{{}} }), "contest.tie"},
		{"a tie-break of both kinds", settings(func(s *contest.Settings) { s.Ties = []contest.Tie{{Classes: []uint32{1}, Alternate: true}} }), "contest.tie"},
		{"the alternate twice", settings(func(s *contest.Settings) { s.Ties = []contest.Tie{{Alternate: true}, {Alternate: true}} }), "contest.tie"},
		{"a class twice in a tie-break", settings(func(s *contest.Settings) { s.Ties = []contest.Tie{{Classes: []uint32{1, 2, 1}}} }), "contest.tie"},
		{"a tie-break of many classes", settings(func(s *contest.Settings) { s.Ties = []contest.Tie{{Classes: make([]uint32, contest.MaxClasses+1)}} }), "contest.tie"},
		{"keyed twice in another way", settings(func(s *contest.Settings) { s.Confirm = "some" }), "contest.confirm"},
		{"a sample of every card", settings(func(s *contest.Settings) { s.ConfirmIn = 1 }), "contest.confirm"},
		{"a sample of next to nothing", settings(func(s *contest.Settings) { s.ConfirmIn = contest.MaxSample + 1 }), "contest.confirm"},
		{"many tie-breaks", settings(func(s *contest.Settings) { s.Ties = make([]contest.Tie, contest.MaxTies+1) }), "contest.ties"},

		{"class without a name", class(g, func(c *contest.Class) { c.Name = "" }), "contest.empty"},
		{"unknown kind", class(g, func(c *contest.Class) { c.Kind = "race" }), "contest.class-kind"},
		{"unknown book", class(g, func(c *contest.Class) { c.Book = "none" }), "contest.book"},
		{"unknown choice", class(g, func(c *contest.Class) { c.Choices = map[string]string{"colour": "red"} }), "rulebook.reference"},
		{"unknown bird", class(g, func(c *contest.Class) { c.Bird = "ostrich" }), grading.CodeKind},
		{"a weight the book does not judge", class(g, func(c *contest.Class) { c.Weight = amount.Pound }), grading.CodeWeight},
		{"no items", class(g, func(c *contest.Class) { c.Items = 0 }), "contest.items"},
		{"many items", class(g, func(c *contest.Class) { c.Items = contest.MaxItems + 1 }), "contest.items"},
		{"three hens", class(h, func(c *contest.Class) { c.Items = 3 }), "contest.items"},
		{"worth less than nothing", class(g, func(c *contest.Class) { c.Worth = -1 }), "contest.worth"},
		{"worth too much", class(h, func(c *contest.Class) { c.Worth = contest.MaxWorth + 1 }), "contest.worth"},
		{"a worth that cannot be shared", class(broilers(1, 7), func(c *contest.Class) { c.Worth = points.Of(100) }), "contest.worth-uneven"},
		{"an unknown rule for two marks", class(h, func(c *contest.Class) { c.Double = "higher" }), "contest.double"},
		{"points of no grade", class(g, func(c *contest.Class) { c.Pairs = []contest.PairPoints{{Key: "A", Mark: "AA"}} }), "contest.points"},
		{"points set twice", class(g, func(c *contest.Class) { c.Pairs = []contest.PairPoints{{Key: "A", Mark: "B"}, {Key: "A", Mark: "B"}} }), "contest.points"},
		{"many points", class(g, func(c *contest.Class) { c.Pairs = make([]contest.PairPoints, 60_000) }), "contest.points"},
		{"points below zero", class(g, func(c *contest.Class) { c.Pairs = []contest.PairPoints{{Key: "A", Mark: "B", Points: -1}} }), "score.table"},
		{"points above the right answer's", class(g, func(c *contest.Class) { c.Pairs = []contest.PairPoints{{Key: "A", Mark: "B", Points: 1001}} }), "score.table"},
		{"points above the worth of any class", class(g, func(c *contest.Class) { c.Pairs = []contest.PairPoints{{Key: "A", Mark: "A", Points: points.Of(101)}} }), "contest.worth"},

		{"number 0", person(contest.Person{}), "contest.number"},
		{"a large number", person(contest.Person{Number: contest.MaxNumber + 1}), "contest.number"},
		{"a large team number", person(contest.Person{Number: 1, Team: contest.MaxNumber + 1}), "contest.number"},
		{"a long name", person(contest.Person{Number: 1, Name: long}), "contest.long"},
		{"a long division", person(contest.Person{Number: 1, Division: long}), "contest.long"},
		{"a nul in a name", person(contest.Person{Number: 1, Name: "a\x00b"}), "contest.text"},
		{"team 0", team(contest.Team{Name: "T"}), "contest.number"},
		{"team without a name", team(contest.Team{No: 1}), "contest.empty"},

		{"a grade that is none", key(g, contest.KeyItem{Answer: "D"}), "contest.key"},
		{"no answer", key(g, contest.KeyItem{}), "contest.key"},
		{"no grade where there are three answers", key(three, contest.KeyItem{Answer: "NG"}), "contest.key"},
		{"a grade twice", key(g, contest.KeyItem{Answer: "A", Also: []string{"A"}}), "contest.key"},
		{"many grades", key(g, contest.KeyItem{Answer: "A", Also: make([]string, 60_000)}), "contest.key"},
		{"key of an unknown kind", key(contest.Class{}, contest.KeyItem{}), "contest.class-kind"},
		{"key without the book", key(contest.Class{Kind: contest.Graded}, contest.KeyItem{Answer: "A"}), "contest.book"},
		{"no order", key(h, contest.KeyItem{Answer: "1-2-3"}), "placing.order"},
		{"an order twice", key(h, contest.KeyItem{Answer: "1-2-3-4", Also: []string{"1234"}}), "contest.key"},
		{"every order is right", key(h, contest.KeyItem{Answer: "1-2-3-4", Also: h.Answers()}), "contest.key"},
		// Colorado State University Extension, 1.619, and Maryland: with a sum of
		// 15 the middle cut is at most 5.
		{"cuts that go below zero", key(h, contest.KeyItem{Answer: "1-2-3-4", Cuts: [3]uint8{5, 6, 4}}), "placing.negative"},

		{"a long note", seen(contest.Seen{Note: strings.Repeat("a", 2001)}), "contest.long"},
		{"a long kind", seen(contest.Seen{Kind: strings.Repeat("a", 41)}), "contest.long"},
		{"many signs", seen(contest.Seen{Signs: manySigns(41)}), "contest.signs"},
		{"a sign without a name", seen(contest.Seen{Signs: map[string]string{"": "bleached"}}), "contest.signs"},
		{"a long sign", seen(contest.Seen{Signs: map[string]string{"vent": strings.Repeat("a", 41)}}), "contest.signs"},
		{"many findings", seen(contest.Seen{Findings: make([]grading.Finding, 201)}), "contest.findings"},

		{"a short card", card(g, 1), "contest.card"},
		{"a card of an unknown kind", card(contest.Class{}), "contest.card"},
		{"an answer that is none", card(three, 1, 4), "contest.card"},
		{"two marks of which one is no answer", card(three, 1, 0x80|0b1001), "contest.card"},
		{"two marks of which there is one", card(three, 1, 0x80|0b1), "contest.card"},
		{"order 25", card(h, 25), "contest.card"},
	} {
		if !slices.Contains(codes(tc.err), tc.code) {
			t.Errorf("%s: got %v, want %s", tc.name, tc.err, tc.code)
		}
	}
}

// codes lists the codes of all faults in err.
func codes(err error) []engine.Code {
	var faults engine.Faults
	if !errors.As(err, &faults) {
		return []engine.Code{engine.CodeOf(err)}
	}
	var all []engine.Code
	for _, f := range faults {
		all = append(all, f.Code)
	}
	return all
}

// A refused value is not given, so that it cannot be written by mistake.
func TestARefusedValueIsEmpty(t *testing.T) {
	if value, err := (contest.Person{}).Write(); value != "" || err == nil {
		t.Errorf("got %q, %v", value, err)
	}
	if value, err := (contest.KeyItem{}).Write(hens(1)); value != "" || err == nil {
		t.Errorf("got %q, %v", value, err)
	}
}

// All faults are told at once.
func TestAllFaultsAtOnce(t *testing.T) {
	_, err := contest.Settings{Date: "\a", TeamBest: 9, Divisions: []string{""}}.Write()
	want := []engine.Code{"contest.empty", "contest.text", "contest.team-best", "contest.empty"}
	if got := codes(err); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestMarkText(t *testing.T) {
	g, h := broilers(1, 10), hens(2)
	for _, tc := range []struct {
		class contest.Class
		mark  byte
		want  string
	}{
		{g, 0, ""}, {g, 1, "A"}, {g, 4, "NG"}, {g, 5, "?"}, {g, 0x80 | 0b1001, "A+NG"}, {g, 0x80, "×2"}, {g, 0x80 | 0b110000, "×2"},
		{h, 1, "1-2-3-4"}, {h, 24, "4-3-2-1"}, {h, 25, "?"}, {contest.Class{}, 1, "?"},
	} {
		if got := tc.class.MarkText(tc.mark); got != tc.want {
			t.Errorf("%s, mark %#x: got %q, want %q", tc.class.Kind, tc.mark, got, tc.want)
		}
	}
}

func TestKinds(t *testing.T) {
	for _, k := range contest.Kinds() {
		if got, ok := contest.KindByID(k.ID()); !ok || got != k {
			t.Errorf("%s is not found", k.ID())
		}
	}
	if _, ok := contest.KindByID(""); ok {
		t.Error("a kind without an id is found")
	}
}

func manySigns(n int) map[string]string {
	signs := map[string]string{}
	for i := range n {
		signs[strconv.Itoa(i)] = "yellow"
	}
	return signs
}
