package contest_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/points"
	"keelcard/engine/rulebook"
)

// Each contest to begin from can be written down as it is, but for its name, is
// read again without a problem and, with every card without fault, comes to the
// full points of every class.
func TestStarters(t *testing.T) {
	for _, s := range contest.Starters() {
		d := newDay(t)
		s.Settings.Name = "Day"
		value, err := s.Settings.Write()
		d.Write(d.owner, settingsSubject, value, err)
		team, err := contest.Team{No: 1, Name: "Oak"}.Write()
		d.Write(d.owner, teamSubject(1), team, err)
		for n := range uint32(4) {
			value, err := contest.Person{Number: n + 1, Team: 1, Division: "Senior"}.Write()
			d.Write(d.owner, personSubject(n+1), value, err)
		}
		for i, c := range s.Classes {
			if kind, ok := contest.KindByID(c.Kind); !ok || kind.Check(c) != nil || c.No != uint32(i+1) {
				t.Errorf("%s, class %d: %v", s.ID, i+1, kind.Check(c))
			}
			if b, ok := rulebook.ByID(c.Book); ok {
				c.Hash = b.Hash()
			}
			d.class(c)
			whole(d, c)
		}
		c := d.read()
		if len(c.Problems) > 0 || len(c.Classes) != len(s.Classes) {
			t.Errorf("%s: %d classes, problems %v", s.ID, len(c.Classes), c.Problems)
		}
		got := scored(t, c)
		wantPoints(t, s.ID, got.Result.Total(0), points.Of(100*len(s.Classes)))
		wantPoints(t, s.ID+", team", got.Result.Teams[0].Total, points.Of(300*len(s.Classes)))
		if len(got.Ties) != len(s.Settings.Ties) || len(got.Faults) > 0 {
			t.Errorf("%s: tie-breaks %v, faults %v", s.ID, got.Ties, got.Faults)
		}
		for _, tie := range got.Ties[:min(1, len(got.Ties))] {
			if class, _ := c.Class(tie.Classes[0]); !class.Reasons {
				t.Errorf("%s: ties are broken first by %q", s.ID, class.Name)
			}
		}
	}
}

// whole writes some key of a class and four cards without fault.
func whole(d day, c contest.Class) {
	answers := c.Answers()
	card := make([]byte, c.Slots())
	for i := range c.KeyItems() {
		mark := i%len(answers) + 1
		item := contest.KeyItem{Answer: answers[mark-1]}
		if c.Kind == contest.Checked {
			item.Answer, mark = contest.None, int(contest.Absent)
		}
		value, err := item.Write(c)
		d.Write(d.owner, c.KeySubject(i), value, err)
		each := len(card) / c.KeyItems()
		for s := range each {
			card[i*each+s] = byte(mark)
		}
	}
	if c.Kind == contest.Awarded {
		card[0] = byte(len(answers))
	}
	for n := range uint32(4) {
		d.card(c, n+1, card...)
	}
}

// What a full contest holds, by its divisions (NC State Extension, 2019;
// University of Kentucky Extension 4AJ-06PA, 2021, for market poultry).
func TestFullContest(t *testing.T) {
	var lines []string
	ids := map[string]bool{}
	for _, s := range contest.Starters() {
		ids[s.ID] = true
		for _, c := range s.Classes {
			if s.ID == contest.StartFull {
				lines = append(lines, fmt.Sprintf("%s: %s %d %s%s", c.Division, c.Kind, c.Items, c.Book, c.List))
			}
		}
	}
	want := `Live birds: placing 4
Live birds: placing 4
Live birds: awarded 0
Market poultry: graded 10 carcass-youth
Market poultry: graded 10 carcass-youth
Market poultry: identified 10 parts-30
Market poultry: graded 10 parts-youth
Market poultry: checked 10 breaded
Eggs: graded 20 egg-shell
Eggs: graded 20 egg-candled
Eggs: graded 10 egg-opened
Eggs: checked 5 carton`
	for i := range lines {
		lines[i] = strings.TrimSpace(lines[i])
	}
	if got := strings.Join(lines, "\n"); got != want {
		t.Errorf("got\n%s", got)
	}
	if len(ids) != 4 {
		t.Errorf("ids %v", ids)
	}
}

// What is for practice is never sealed.
func TestLargeContestsAreSealed(t *testing.T) {
	for _, s := range contest.Starters() {
		if want := s.ID == contest.StartCounty || s.ID == contest.StartFull; s.Sealed != want {
			t.Errorf("%s: sealed %v", s.ID, s.Sealed)
		}
	}
}

// Whoever changes a starter changes it for nobody else.
func TestStartersAreNotShared(t *testing.T) {
	first := contest.Starters()
	last := &first[len(first)-1]
	last.Settings.Divisions[0], last.Classes[0].Name = "x", "x"
	last.Settings.Ties[0].Classes[0] = 99
	again := contest.Starters()[len(first)-1]
	if again.Classes[0].Name == "x" || slices.Contains(again.Settings.Divisions, "x") || again.Settings.Ties[0].Classes[0] == 99 {
		t.Error("a starter is shared")
	}
	county := contest.Starters()[2]
	if slices.Contains(county.Settings.Divisions, "x") {
		t.Error("two starters share their age groups")
	}
}
