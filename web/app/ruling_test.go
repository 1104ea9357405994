package app_test

import (
	"slices"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/points"
	"keelcard/web/app"
)

// ranks is every total and place of a contest: of contestants and teams, in all
// classes, in age groups, in each class.
type ranks struct {
	total map[uint32]points.Points
	rank  map[uint32]int32
	group map[uint32]int32
	class map[contest.ItemOf]points.Points // by class and contestant
	team  map[uint32]int32
	sum   map[uint32]points.Points
}

func ranksOf(t *testing.T, r *app.Runner) ranks {
	t.Helper()
	scored, err := r.State.Open.Scored()
	if err != nil {
		t.Fatal(err)
	}
	out := ranks{map[uint32]points.Points{}, map[uint32]int32{}, map[uint32]int32{}, map[contest.ItemOf]points.Points{}, map[uint32]int32{}, map[uint32]points.Points{}}
	for i, p := range scored.Persons {
		out.total[p.Number], out.rank[p.Number], out.group[p.Number] = scored.Result.Total(i), scored.Result.Rank[i], scored.Result.DivisionRank[i]
		for c, class := range scored.Classes {
			out.class[contest.ItemOf{Class: class.No, Item: p.Number}] = scored.Result.ClassPoints(c, i)
		}
	}
	for i, team := range scored.Teams {
		out.team[team.No], out.sum[team.No] = scored.Result.Teams[i].Rank, scored.Result.Teams[i].Total
	}
	return out
}

// holds checks that a preview says what came of it, of everyone that is in it,
// and that nobody else changed.
func holds(t *testing.T, p *contest.Preview, before, after ranks) {
	t.Helper()
	told := map[uint32]bool{}
	for _, m := range p.Persons {
		told[m.Number] = true
		if m.Before.Total != before.total[m.Number] || m.Before.Rank != before.rank[m.Number] || m.Before.GroupRank != before.group[m.Number] ||
			m.After.Total != after.total[m.Number] || m.After.Rank != after.rank[m.Number] || m.After.GroupRank != after.group[m.Number] {
			t.Errorf("contestant %d: previewed %+v to %+v, it was %v at %d and is %v at %d", m.Number, m.Before, m.After,
				before.total[m.Number], before.rank[m.Number], after.total[m.Number], after.rank[m.Number])
		}
	}
	for n := range before.total {
		if !told[n] && (before.total[n] != after.total[n] || before.rank[n] != after.rank[n] || before.group[n] != after.group[n]) {
			t.Errorf("contestant %d moved and was not in the preview", n)
		}
	}
	told = map[uint32]bool{}
	for _, m := range p.Teams {
		told[m.Number] = true
		if m.After.Rank != after.team[m.Number] || m.After.Total != after.sum[m.Number] {
			t.Errorf("team %d: previewed %+v, it is %v at %d", m.Number, m.After, after.sum[m.Number], after.team[m.Number])
		}
	}
	for n := range before.team {
		if !told[n] && (before.team[n] != after.team[n] || before.sum[n] != after.sum[n]) {
			t.Errorf("team %d moved and was not in the preview", n)
		}
	}
	gain, lose := 0, 0
	for at := range before.class {
		switch {
		case after.class[at] > before.class[at]:
			gain++
		case after.class[at] < before.class[at]:
			lose++
		}
	}
	if p.Gain != gain || p.Lose != lose {
		t.Errorf("previewed %d cards that gain and %d that lose, there are %d and %d", p.Gain, p.Lose, gain, lose)
	}
}

func equalRanks(a, b ranks) bool {
	for n := range a.total {
		if a.total[n] != b.total[n] || a.rank[n] != b.rank[n] || a.group[n] != b.group[n] {
			return false
		}
	}
	for n := range a.team {
		if a.team[n] != b.team[n] || a.sum[n] != b.sum[n] {
			return false
		}
	}
	return len(a.total) == len(b.total)
}

// weigh opens an item of the demo and chooses a ruling, without making it.
func weigh(t *testing.T, r *app.Runner, class, item string, taps ...string) *contest.Preview {
	t.Helper()
	visit(r, "ruling", class, item)
	for _, tap := range taps {
		do, text, _ := strings.Cut(tap, "=")
		r.Type(do, text)
	}
	records := written(r)
	p, err := r.State.RulingPreview()
	if err != nil || p == nil {
		t.Fatalf("no preview: %v, notice %+v", err, r.State.Notice)
	}
	if written(r) != records {
		t.Error("the preview wrote something")
	}
	return p
}

func written(r *app.Runner) int {
	if log := r.State.Open.Own(r.State.Phone.ID); log != nil {
		return len(log.Records)
	}
	return 0
}

// What each way of ruling would do is what it does, on contestants, age groups
// and teams; it outlives a restart, and undo takes it back.
func TestARulingDoesWhatWasPreviewed(t *testing.T) {
	for name, tc := range map[string]struct {
		class, item string
		taps        []string
		moves       bool
	}{
		"an item thrown out":   {"1", "6", []string{"ruling.way:out"}, true},
		"a second answer":      {"2", "8", []string{"ruling.way:also", "ruling.pick:2"}, true},
		"an answer corrected":  {"1", "4", []string{"ruling.way:answer", "ruling.pick:3"}, true},
		"a second order":       {"3", "1", []string{"ruling.way:also", "ruling.pick=1-3-4-2"}, true},
		"a class left out":     {"4", "0", []string{"ruling.way:out"}, true},
		"an order corrected":   {"4", "1", []string{"ruling.way:answer", "ruling.pick=1-2-3-4"}, true},
		"an order thrown out":  {"4", "1", []string{"ruling.way:out"}, true},
		"a carcass thrown out": {"2", "1", []string{"ruling.way:out"}, true},
	} {
		t.Run(name, func(t *testing.T) {
			r := demoPhone(t)
			before := ranksOf(t, r)
			p := weigh(t, r, tc.class, tc.item, tc.taps...)
			if (len(p.Persons) > 0) != tc.moves {
				t.Fatalf("%d contestants would move", len(p.Persons))
			}
			r.Do("ruling.make")
			if !r.State.Ruling.Need || written(r) != 0 {
				t.Fatal("a ruling was made without a reason")
			}
			r.Type("ruling.why", "  looked at  again ")
			if again, err := r.State.RulingPreview(); err != nil || again != p {
				t.Error("the preview changed with the reason")
			}
			r.Do("ruling.make")
			if written(r) != 1 || r.State.Ruling.Way != "" {
				t.Fatalf("%d records after the ruling, notice %+v", written(r), r.State.Notice)
			}
			after := ranksOf(t, r)
			holds(t, p, before, after)
			if equalRanks(before, after) {
				t.Error("the ruling moved nobody")
			}
			id := r.State.Open.Head.ID
			r = restart(t, r)
			r.Visit(app.Page{Name: "ruling", Contest: id, Args: []string{tc.class, tc.item}}.Hash())
			made := r.State.RulingsMade()
			if !equalRanks(after, ranksOf(t, r)) || len(made) != 1 || made[0].Why != "looked at again" || made[0].Who != "official/MB" {
				t.Fatalf("after a restart the rulings are %+v", made)
			}
			r.Do("undo")
			if !equalRanks(before, ranksOf(t, r)) || len(r.State.RulingsMade()) != 0 {
				t.Error("undo does not take the ruling back")
			}
		})
	}
}

// A ruling that stands can be taken back later, with what that would do in sight.
func TestARulingIsTakenBack(t *testing.T) {
	r := demoPhone(t)
	before := ranksOf(t, r)
	weigh(t, r, "1", "6", "ruling.way:out", "ruling.why=the skin dried")
	r.Do("ruling.make")
	ruled := ranksOf(t, r)
	p := weigh(t, r, "1", "6", "ruling.way:back")
	r.Do("ruling.make")
	holds(t, p, ruled, ranksOf(t, r))
	if !equalRanks(before, ranksOf(t, r)) {
		t.Error("it is not as it was")
	}
}

// A second answer keeps the first; throwing the item out puts it aside.
func TestOneRulingTakesThePlaceOfAnother(t *testing.T) {
	r := demoPhone(t)
	now := func() contest.Ruling {
		made := r.State.RulingsMade()
		if len(made) != 1 {
			t.Fatalf("rulings %+v", made)
		}
		return made[0].Ruling
	}
	weigh(t, r, "1", "6", "ruling.way:also", "ruling.pick:1", "ruling.why=first")
	r.Do("ruling.make")
	weigh(t, r, "1", "6", "ruling.way:also", "ruling.pick:4", "ruling.why=second")
	r.Do("ruling.make")
	if got := now(); !slices.Equal(got.Also, []string{"A", "NG"}) || got.Why != "second" {
		t.Errorf("after a third answer: %+v", got)
	}
	weigh(t, r, "1", "6", "ruling.way:out", "ruling.why=unfair")
	r.Do("ruling.make")
	if got := now(); !got.Out || len(got.Also) > 0 {
		t.Errorf("thrown out: %+v", got)
	}
	visit(r, "ruling", "1", "6")
	r.Do("ruling.way:also")
	r.Do("ruling.pick:2") // the official answer itself
	if _, ok := r.State.Proposed(); ok {
		t.Error("what is right already can be chosen as a second answer")
	}
}

// Where nothing would move, that is what is said.
func TestARulingThatMovesNobody(t *testing.T) {
	r := dayPhone(t)
	p := weigh(t, r, "2", "1", "ruling.way:out") // everyone is right there
	if p.Gain+p.Lose+len(p.Persons)+len(p.Teams) != 0 {
		t.Errorf("%d gain, %d lose, %+v %+v", p.Gain, p.Lose, p.Persons, p.Teams)
	}
	if p = weigh(t, r, "2", "2", "ruling.way:out"); p.Gain != 2 || p.Lose != 0 || len(p.Persons) == 0 {
		t.Errorf("%d gain, %d lose, %+v", p.Gain, p.Lose, p.Persons)
	}
}

// ruled is what an official wrote on another phone about item 1 of class 1.
func ruled(who string, r contest.Ruling) app.Fact {
	class := contest.Class{No: 1, Name: "Broilers", Kind: contest.Graded, Items: 10, Book: "carcass-youth", Bird: "chicken"}
	value := must(r.Write(class, 1, contest.Key{Official: []contest.KeyItem{{Answer: "A"}}}))
	return app.Fact{Who: who, Subject: contest.RulingSubject(1, 1), Value: value, When: 1_789_996_000}
}

// Two officials who rule differently are a question, the item is not scored
// meanwhile, and whoever settles it does so with both in sight.
func TestTwoOfficialsRuleDifferently(t *testing.T) {
	r := newPhone(t, 1, "MB")
	givePoultryDay(t, r.Disk)
	for i, fact := range []app.Fact{
		ruled("official/AB", contest.Ruling{Out: true, Why: "the skin dried"}),
		ruled("official/JK", contest.Ruling{Also: []string{"B"}, Why: "both can be defended"}),
	} {
		if err := r.Disk.Give(poultryDay, "", byte(91+i), fact); err != nil {
			t.Fatal(err)
		}
	}
	r = restart(t, r)
	sub := contest.RulingSubject(1, 1)
	r.Visit(page("ruling", "1", "1"))
	n, err := r.State.RulingNow()
	if err != nil || !n.InQuestion() || len(r.State.RulingsMade()) != 0 {
		t.Fatalf("it is not in question: %+v %v", n.Ruled, err)
	}
	r.Do("ruling.way:out")
	if _, ok := r.State.Proposed(); ok {
		t.Error("a third ruling can be made past the question")
	}
	if !slices.Contains(questions(r), sub) {
		t.Fatal("it is not among the questions")
	}
	openQuestion(r, sub)
	var told []string
	for _, side := range r.State.Sides(sub) {
		told = append(told, r.State.TellShort(sub, side.Value))
	}
	slices.Sort(told)
	if want := []string{"Also right: B; Why: both can be defended", "Ruling: thrown out, every card earns full points; Why: the skin dried"}; !slices.Equal(told, want) {
		t.Errorf("told as %q", told)
	}
	if name := r.State.SubjectName(sub); !strings.Contains(name, "item 1") || !strings.HasPrefix(name, "Ruling on ") {
		t.Errorf("named %q", name)
	}
	want := r.State.Sides(sub)[1].Value
	r.Do("questions.take:2")
	cur := r.State.Open.Contest.State().Current(sub)
	if cur.Status != merge.Single || cur.Values[0] != want || len(r.State.RulingsMade()) != 1 {
		t.Errorf("settled: %v %q", cur.Status, cur.Values)
	}
	if log := r.State.Open.Own(r.State.Phone.ID); log.Records[0].Who != "official/MB" {
		t.Errorf("settled as %q", log.Records[0].Who)
	}
	r.Do("undo")
	if got := r.State.Open.Contest.State().Current(sub).Status; got == merge.Absent {
		t.Error("undo took both rulings away")
	}
}

// Addresses that name no item lead nowhere, and say so.
func TestRulingPagesOfNothing(t *testing.T) {
	r := demoPhone(t)
	for _, args := range [][]string{{"9", "1"}, {"1", "11"}, {"3", "2"}, {"", ""}, {"1", "4294967295"}} {
		visit(r, "ruling", args...)
		if _, err := r.State.RulingNow(); err == nil {
			t.Errorf("%q is an item", args)
		}
		for _, do := range []string{"ruling.way:out", "ruling.pick:1", "ruling.fault:1", "ruling.make"} {
			r.Do(do)
		}
		if written(r) != 0 {
			t.Fatalf("%q: something was written", args)
		}
	}
}

// Cards fall as they were keyed: every settled card once, and what it earns is
// what it earned.
func TestHowTheCardsFell(t *testing.T) {
	r := demoPhone(t)
	scored, err := r.State.Open.Scored()
	if err != nil {
		t.Fatal(err)
	}
	for c, class := range scored.Classes {
		fell := r.State.CardsFell(class)
		if len(fell) != class.KeyItems() {
			t.Fatalf("class %d: %d items", class.No, len(fell))
		}
		cards, sum := 0, points.Points(0)
		for i := range scored.Persons {
			if scored.HasCard(c, i) {
				cards++
				sum += scored.Result.ClassPoints(c, i)
			}
		}
		earned := points.Points(0)
		for i, of := range fell {
			if n := app.CardsOf(of); n != cards {
				t.Errorf("class %d item %d: %d cards, there are %d", class.No, i+1, n, cards)
			}
			for _, f := range of {
				earned += points.Points(f.Cards) * f.Earned
			}
		}
		if earned != sum {
			t.Errorf("class %d: the cards earn %v, together they have %v", class.No, earned, sum)
		}
	}
}
