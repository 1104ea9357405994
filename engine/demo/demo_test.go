package demo_test

import (
	"reflect"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/demo"
	"keelcard/engine/merge"
	"keelcard/engine/record"
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
// confirmed cards, cards in question, cards still to come, a shared tie-break.
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
	t.Logf("grades %v, best %v, last %v", grades, best, last)
}
