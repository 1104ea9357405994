package demo_test

import (
	"reflect"
	"slices"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/demo"
	"keelcard/engine/grading"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/score"
)

func made(t *testing.T) record.Set {
	t.Helper()
	set, err := demo.Set()
	if err != nil {
		t.Fatal(err)
	}
	return set
}

func TestTheDemoIsTheSameEveryTimeAndSigned(t *testing.T) {
	set := made(t)
	if !reflect.DeepEqual(set, made(t)) {
		t.Error("two makings differ")
	}
	for _, l := range set.Logs {
		if err := record.Verify(set.Contest, l); err != nil {
			t.Error(err)
		}
	}
}

// The demo has something for every page: the official grades A, B, C and NG,
// confirmed cards, cards in question, cards still to come.
func TestTheDemoHasSomethingForEveryPage(t *testing.T) {
	set := made(t)
	c := contest.Read(set.Contest, merge.Fold(set))
	if len(c.Problems) > 0 {
		t.Fatal(c.Problems)
	}
	if len(c.Persons) != 40 || len(c.Classes) != 4 || len(c.Teams) != 10 {
		t.Fatalf("%d contestants, %d classes, %d teams", len(c.Persons), len(c.Classes), len(c.Teams))
	}
	grades := map[string]int{}
	for _, class := range c.Classes[:2] {
		for _, k := range c.Key(class).Items {
			grades[k.Answer]++
		}
	}
	for _, g := range []string{"A", "B", "C", "NG"} {
		if grades[g] == 0 {
			t.Errorf("no item is officially %s: %v", g, grades)
		}
	}
	status := map[merge.Status]int{}
	for _, class := range c.Classes {
		for _, p := range c.Persons {
			status[c.Card(class, p.Number).Status]++
		}
	}
	if status[merge.Absent] != 3 || status[merge.InQuestion] != 2 || status[merge.Confirmed] != 5 {
		t.Errorf("cards by status: %v", status)
	}
	scored, err := c.Score()
	if err != nil {
		t.Fatal(err)
	}
	if len(scored.Waiting) > 0 || len(scored.Unsure) != 2 || scored.Untaken != 3 {
		t.Errorf("waiting %v, unsure %v, untaken %d", scored.Waiting, scored.Unsure, scored.Untaken)
	}
	best := scored.Result.Total(int(scored.Result.Order[0]))
	last := scored.Result.Total(int(scored.Result.Order[len(scored.Result.Order)-1]))
	if best <= last || best == scored.Result.Total(int(scored.Result.Order[39])) {
		t.Errorf("the best has %v, the last %v", best, last)
	}
	if got := c.Questions(); len(got) != 2 {
		t.Errorf("questions %v", got)
	}
}

// Every way of parting two neighbours is there: by the total and by both
// tie-breaks of persons. One team of two has no rank; each other has someone who
// does not count.
func TestTheDemoHasTiesAndTeams(t *testing.T) {
	set := made(t)
	c := contest.Read(set.Contest, merge.Fold(set))
	scored, err := c.Score()
	if err != nil {
		t.Fatal(err)
	}
	r := scored.Result
	for _, by := range []int16{score.ByTotal, 1, 2} {
		if !slices.Contains(r.Parted, by) {
			t.Errorf("no two are parted by %d", by)
		}
	}
	unranked := 0
	for i, team := range r.Teams {
		if team.Rank == 0 {
			unranked++
			continue
		}
		if len(team.Counting) != 3 || len(team.Dropped) != 1 {
			t.Errorf("%s: %d count and %d do not, want 3 and 1", c.Teams[i].Name, len(team.Counting), len(team.Dropped))
		}
	}
	if unranked != 1 {
		t.Errorf("%d teams have no rank, want 1", unranked)
	}
}

// Each official grade is the book's verdict on what the official noted.
func TestTheDemoKeysAreTheBooksVerdicts(t *testing.T) {
	set := made(t)
	c := contest.Read(set.Contest, merge.Fold(set))
	for _, class := range c.Classes {
		key := c.Key(class)
		if key.Missing() > 0 || !key.Locked {
			t.Errorf("%s: %d answers are missing, locked %v", class.Name, key.Missing(), key.Locked)
		}
		if class.Kind != contest.Graded {
			continue
		}
		book, err := class.RuleBook()
		if err != nil {
			t.Fatal(err)
		}
		if class.Hash != book.Hash() {
			t.Errorf("%s was set up with another edition of its book", class.Name)
		}
		for i, item := range key.Items {
			v, err := grading.Grade(book, class.Setting(), c.Seen(class.No, uint32(i+1)).Findings)
			if err != nil || v.Grade != item.Answer {
				t.Errorf("%s, item %d: the key says %s, the book %s %v", class.Name, i+1, item.Answer, v.Grade, err)
			}
		}
	}
}
