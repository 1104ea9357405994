package contest_test

import (
	"cmp"
	"fmt"
	"math/big"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine/contest"
	"keelcard/engine/enginetest"
	"keelcard/engine/merge"
	"keelcard/engine/placing"
	"keelcard/engine/points"
	"keelcard/engine/record"
	"keelcard/engine/score"
)

// random draws a contest. Its choices follow from one seed, so that a failure
// is made again by its number.
func random(t *rapid.T) enginetest.Contest {
	made, err := enginetest.Random(enginetest.Seeded(rapid.Uint64().Draw(t, "seed")), rapid.IntRange(0, 25).Draw(t, "persons"), rapid.IntRange(1, 6).Draw(t, "classes"))
	if err != nil {
		t.Fatal(err)
	}
	conduct(t, &made)
	return made
}

// conduct has an official note who lost points, was disqualified from a class or
// was named as an alternate.
func conduct(t *rapid.T, made *enginetest.Contest) {
	w := enginetest.NewWriter(made.Set.Contest)
	on := w.Phone("official/DE")
	state := merge.Fold(made.Set)
	pick := enginetest.Seeded(rapid.Uint64().Draw(t, "conduct"))
	for i := range made.Persons {
		p := &made.Persons[i]
		if pick(3) > 0 {
			continue
		}
		if pick(2) == 0 {
			p.Penalty, p.PenaltyWhy = points.Points(1+pick(40)*50), "came late"
		}
		if pick(3) == 0 {
			p.OutOf, p.OutOfWhy = []uint32{made.Classes[pick(len(made.Classes))].No, 9999}, "touched a bird"
		}
		p.Alternate = pick(3) == 0
		value, err := p.Write()
		w.Write(on, personSubject(p.Number), value, err, state.Current(personSubject(p.Number)).Replaces()...)
	}
	joinTo(t, made, w)
}

func joinTo(t *rapid.T, made *enginetest.Contest, w *enginetest.Writer) {
	set, err := w.Set()
	if err != nil {
		t.Fatal(err)
	}
	if made.Set, _, err = merge.Join(made.Set, set); err != nil {
		t.Fatal(err)
	}
}

// A contest read from its records is the one that was written down.
func TestReadGivesWhatWasWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		made := random(t)
		c := contest.Read(made.Set.Contest, merge.Fold(made.Set))
		for _, tc := range []struct {
			name      string
			got, want any
		}{
			{"settings", c.Settings, made.Settings},
			{"classes", c.Classes, made.Classes},
			{"persons", c.Persons, made.Persons},
			{"teams", c.Teams, made.Teams},
		} {
			if w := reflect.ValueOf(tc.want); w.Kind() == reflect.Slice && w.Len() == 0 && reflect.ValueOf(tc.got).Len() == 0 {
				continue
			}
			if !reflect.DeepEqual(tc.got, tc.want) {
				t.Fatalf("%s: got %+v, want %+v", tc.name, tc.got, tc.want)
			}
		}
		if len(c.Problems) > 0 {
			t.Fatal(c.Problems)
		}
		for i, class := range made.Classes {
			key := c.Key(class)
			if (key.Missing() == 0) != (made.Keys[i] != nil) {
				t.Fatalf("class %d misses %d answers", class.No, key.Missing())
			}
			if made.Keys[i] != nil && !reflect.DeepEqual(key.Items, made.Keys[i]) {
				t.Fatalf("key of class %d: got %v, want %v", class.No, key.Items, made.Keys[i])
			}
			for j, p := range made.Persons {
				card := c.Card(class, p.Number)
				if string(card.Marks) != string(made.Cards[i][j]) {
					t.Fatalf("card %d/%d: got %v, want %v", class.No, p.Number, card.Marks, made.Cards[i][j])
				}
				if (card.Status == merge.InQuestion) != made.Unsure[i][j] {
					t.Fatalf("card %d/%d is %v", class.No, p.Number, card.Status)
				}
			}
		}
	})
}

// plain is the points of a card as one reads them off the rules.
func plain(class contest.Class, key []contest.KeyItem, marks []byte) points.Points {
	switch class.Kind {
	case contest.Checked:
		return plainChecked(class, key, marks)
	case contest.Awarded:
		return plainAwarded(class, marks)
	}
	sum := points.Points(0)
	answers := class.Answers()
	for slot, mark := range marks {
		earns := func(answer int) points.Points { // counted from 0; -1 for the least of all
			best := points.Points(0)
			for _, right := range append([]string{key[slot].Answer}, key[slot].Also...) {
				best = max(best, single(class, key[slot], right, answers[answer]))
			}
			return best
		}
		least := points.Points(1 << 40)
		for a := range answers {
			least = min(least, earns(a))
		}
		switch {
		case mark == score.Blank || mark >= score.Double && class.Double == "":
		case mark < score.Double:
			sum += earns(int(mark) - 1)
		case class.Kind == contest.Placing || mark == score.Double:
			sum += least
		default:
			low := points.Points(1 << 40)
			for _, a := range score.DoubleAnswers(mark) {
				low = min(low, earns(a-1))
			}
			sum += low
		}
	}
	return sum
}

// single is what one answer earns against one official answer.
func single(class contest.Class, key contest.KeyItem, official, given string) points.Points {
	if class.Kind == contest.Placing {
		o, _ := placing.ParseOrder(official)
		g, _ := placing.ParseOrder(given)
		// A half of a hundredth is rounded up.
		return (points.Points(placing.Score(o, key.Cuts, g))*class.PlacingWorth()*2 + 50) / 100
	}
	item := perItem(class)
	if class.Kind == contest.Identified {
		if official == given {
			return item
		}
		return 0
	}
	line := item * 3 / 10
	place := map[string]points.Points{"A": item, "B": item - line, "C": item - 2*line, "NG": 0}
	lost := place[official] - place[given]
	return item - max(lost, -lost)
}

func perItem(class contest.Class) points.Points {
	if class.Worth > 0 {
		return class.Worth / points.Points(class.Items)
	}
	return points.Of(10)
}

// plainChecked counts the faults that are told right. One that only some of the
// right answers have is right either way; two marks are never right.
func plainChecked(class contest.Class, key []contest.KeyItem, marks []byte) points.Points {
	faults, _ := class.Faults()
	sum := points.Points(0)
	for i, item := range key {
		right := 0
		for f, fault := range faults {
			with, without := false, false
			for _, answer := range append([]string{item.Answer}, item.Also...) {
				has := slices.Contains(strings.Split(answer, "+"), fault.ID)
				with, without = with || has, without || !has
			}
			mark := marks[i*len(faults)+f]
			both := mark >= score.Double && class.Double == contest.DoubleLower && with && without
			if mark == 1 && without || mark == 2 && with || both {
				right++
			}
		}
		switch {
		case !class.Whole:
			sum += perItem(class) * points.Points(right) / points.Points(len(faults))
		case right == len(faults):
			sum += perItem(class)
		}
	}
	return sum
}

// plainAwarded is the mean by fractions, over the officials who gave anything.
func plainAwarded(class contest.Class, marks []byte) points.Points {
	step := class.Step
	if step == 0 {
		step = 100
	}
	sum, officials := int64(0), int64(0)
	for official := range slices.Chunk(marks, max(len(class.Criteria), 1)) {
		gave := false
		for _, mark := range official {
			if mark > 0 {
				gave = true
				sum += int64(mark-1) * int64(step)
			}
		}
		if gave {
			officials++
		}
	}
	if officials == 0 {
		return 0
	}
	round := map[string]int64{"": 1, "half": 50, "whole": 100}[class.Round]
	mean := big.NewRat(sum, officials*round)
	mean.Add(mean, big.NewRat(1, 2))
	whole := new(big.Int).Div(mean.Num(), mean.Denom())
	return points.Points(whole.Int64() * round)
}

// The results of a contest read from records are those of plain arithmetic over
// what was written down.
func TestScoreIsPlainArithmetic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		made := random(t)
		s, err := contest.Read(made.Set.Contest, merge.Fold(made.Set)).Score()
		if err != nil {
			t.Fatal(err)
		}
		totals := make([]points.Points, len(made.Persons))
		var unsure []uint32
		untaken, at := 0, 0
		for j, p := range made.Persons {
			at = 0
			doubt := false
			for i, class := range made.Classes {
				if made.Keys[i] == nil {
					continue
				}
				want := points.Points(0)
				card, out := made.Cards[i][j], slices.Contains(p.OutOf, class.No)
				if card != nil && !out {
					want = plain(class, made.Keys[i], card)
				} else if !made.Unsure[i][j] && p.Out == "" && !out {
					untaken++
				}
				doubt = doubt || made.Unsure[i][j] && !out
				if got := s.Result.ClassPoints(at, j); got != want {
					t.Fatalf("contestant %d, class %+v, key %v, card %v: got %v, want %v", p.Number, class, made.Keys[i], made.Cards[i][j], got, want)
				}
				if s.HasCard(at, j) != (card != nil && !out) {
					t.Fatalf("contestant %d, class %d: it is wrong whether there is a card", p.Number, class.No)
				}
				totals[j] += want
				at++
			}
			if doubt {
				unsure = append(unsure, p.Number)
			}
			totals[j] -= min(totals[j], p.Penalty)
			if got := s.Result.Total(j); got != totals[j] {
				t.Fatalf("contestant %d: total %v, want %v", p.Number, got, totals[j])
			}
		}
		if !slices.Equal(s.Unsure, unsure) || s.Untaken != untaken || len(made.Persons) > 0 && len(s.Classes) != at {
			t.Fatalf("unsure %v, untaken %d, %d classes: want %v, %d, %d", s.Unsure, s.Untaken, len(s.Classes), unsure, untaken, at)
		}
		trailsAddUp(t, s)
		orderFalls(t, s, totals)
	})
}

// groupsAddUp checks that the groups are made of the slots and gives what the
// sentence about them comes to, worked out from its text.
func groupsAddUp(t *rapid.T, class score.ClassTrail, slots points.Points) points.Points {
	sum := points.Points(0)
	for _, g := range class.Groups {
		sum += g.Sum
	}
	if sum != slots {
		t.Fatalf("groups %v add up to %v, the slots to %v", class.Groups, sum, slots)
	}
	text := class.Text()
	if text == "" {
		return 0
	}
	left, result, ok := strings.Cut(text, " = ")
	total, err := points.Parse(result)
	if !ok || err != nil {
		t.Fatalf("the sentence says %q", text)
	}
	left, by, _ := strings.Cut(strings.Trim(left, "("), ") / ")
	said := points.Points(0)
	parts := strings.Split(left, " + ")
	for _, part := range parts {
		p, err := points.Parse(part)
		if err != nil {
			t.Fatalf("the sentence says %q", text)
		}
		said += p
	}
	n := points.Points(1)
	if by != "" {
		n = points.Points(len(parts))
	}
	// Rounding takes or gives at most half a point.
	if off := said - total*n; by != "" && by != fmt.Sprint(len(parts)) || max(off, -off) > 50*n || by == "" && off != 0 {
		t.Fatalf("the sentence %q does not come to %v", text, total)
	}
	return total
}

// trailsAddUp checks that every number is the sum of its trail.
func trailsAddUp(t *rapid.T, s *contest.Scored) {
	for j := range s.Persons {
		trail, err := s.Result.Trail(j)
		if err != nil {
			t.Fatal(err)
		}
		sum := points.Points(0)
		for i, class := range trail.Classes {
			slots := points.Points(0)
			for _, slot := range class.Slots {
				slots += slot.Points
			}
			if class.Join != score.Sum && !class.NoCard {
				slots = groupsAddUp(t, class, slots)
			}
			if slots != class.Total || class.Total != s.Result.ClassPoints(i, j) || class.Max != s.ClassMax(i) {
				t.Fatalf("class %d of contestant %d: slots add up to %v, the class to %v", i, s.Persons[j].Number, slots, class.Total)
			}
			sum += class.Total
			if class.Void != slices.Contains(s.Persons[j].OutOf, s.Classes[i].No) {
				t.Fatalf("contestant %+v is disqualified from class %d: %v", s.Persons[j], s.Classes[i].No, class.Void)
			}
		}
		if trail.Penalty != min(sum, s.Persons[j].Penalty) {
			t.Fatalf("contestant %+v loses %v of %v", s.Persons[j], trail.Penalty, sum)
		}
		sum -= trail.Penalty
		if sum != trail.Total || sum != s.Result.Total(j) {
			t.Fatalf("contestant %d: the trail adds up to %v, the total is %v", s.Persons[j].Number, sum, s.Result.Total(j))
		}
	}
}

// orderFalls checks that the ranking goes down and leaves out only who is out.
func orderFalls(t *rapid.T, s *contest.Scored, totals []points.Points) {
	ranked := 0
	for j, p := range s.Persons {
		if (p.Out == "") != (s.Result.Rank[j] > 0) {
			t.Fatalf("contestant %d is out %q and has rank %d", p.Number, p.Out, s.Result.Rank[j])
		}
		if p.Out == "" {
			ranked++
		}
	}
	if len(s.Result.Order) != ranked || !slices.IsSortedFunc(s.Result.Order, func(a, b int32) int { return cmp.Compare(totals[b], totals[a]) }) {
		t.Fatalf("the order %v does not go down", s.Result.Order)
	}
}

// view is everything of a contest that does not depend on how it was read.
func view(c *contest.Contest) string {
	classes := slices.Clone(c.Classes)
	for i := range classes { // the books are told below, and not by where they lie
		classes[i] = (&contest.Contest{}).Bind(classes[i])
	}
	out := fmt.Sprintf("%+v %+v %+v %+v %v %v %+v", c.Settings, classes, c.Persons, c.Teams, c.Problems, c.Questions(), c.Rulings())
	for _, b := range c.Books() {
		out += fmt.Sprint(b.No, b.ID, b.Err, b.Changes)
		if b.Book != nil {
			out += b.Book.Hash()
		}
	}
	for _, class := range c.Classes {
		out += fmt.Sprint(c.Key(class), class.Answers())
		for _, p := range c.Persons {
			out += fmt.Sprint(c.Card(class, p.Number))
		}
	}
	s, err := c.Score()
	if err != nil {
		return out + err.Error()
	}
	return out + fmt.Sprint(s.Result.Order, s.Result.Rank, s.Result.Teams, s.Unsure, s.Untaken, waiting(s), s.LeftOut, s.Faults)
}

func waiting(s *contest.Scored) (out []string) {
	for _, w := range s.Waiting {
		out = append(out, fmt.Sprint(w.Class.No, w.Err))
	}
	return out
}

// hostile values, for the records of a phone that writes anything.
var hostile = []string{
	"", "x", "{}", "null", "[]", `{"name":""}`, `{"name":"a\u0000b"}`, `{"name":7}`, `{"name":"ok"}`,
	`{"name":"n","kind":"graded","items":1000000000,"book":"carcass-youth"}`,
	`{"name":"n","kind":"graded","items":-1}`,
	`{"name":"n","kind":"graded","items":7,"book":"carcass-youth","worth":"100"}`,
	`{"name":"n","kind":"graded","items":10,"book":"carcass-youth","worth":"-5"}`,
	`{"name":"n","kind":"graded","items":10,"book":"gone"}`,
	`{"name":"n","kind":"placing","items":4,"worth":"99999999999"}`,
	`{"name":"n","kind":"exam","items":20}`,
	`{"name":"n","ties":[{"classes":[1,1]}]}`,
	`{"name":"n","ties":[{"alternate":true},{"alternate":true}],"teamBest":3}`,
	`{"name":"n","teamBest":2000000000}`,
	`{"name":"n","penalty":"3","penaltyWhy":"late","outOf":[1,2],"outOfWhy":"talked","alternate":true}`,
	`{"name":"n","penalty":"-3"}`, `{"name":"n","outOf":[1,1],"outOfWhy":"w"}`,
	`{"out":true,"why":"fell off"}`, `{"answer":"A","why":"cut"}`, `{"also":["A","B","A"],"why":"both"}`, `{"answer":"4-3-2-1","also":["1-2-3-4"],"why":"w"}`,
	ownBook, `{"base":"carcass-youth","hash":"x"}`, variation(), `{"format":1}`,
	`{"out":true}`, `{"why":"w"}`, `{"out":true,"answer":"A","why":"w"}`, `{"also":[""],"why":"w"}`,
	`{"answer":"2-1-3-4","cuts":[255,255,255]}`, `{"answer":"A"}`, `{"answer":"A","also":["A"]}`, `{"answer":"","also":["1-2-3-4"]}`,
	"\x01", "\x7f", "\x81", "\x85\x01\x02\x03", "\x01\x02\x03\x04\x05\x06\x07\x08\x09\x0a", "\xff\xff",
}

// scramble writes some records of a phone that writes anything about subjects
// that exist or not.
func scramble(t *rapid.T, made *enginetest.Contest) {
	w := enginetest.NewWriter(made.Set.Contest)
	on := w.Phone("stranger/XX")
	for range rapid.IntRange(0, 12).Draw(t, "strange records") {
		sub := record.Subject{
			Kind: record.Kind(rapid.IntRange(1, 12).Draw(t, "kind")),
			A:    uint32(rapid.SampledFrom([]int{0, 1, 2, 3, 101, 102, 1_000_000}).Draw(t, "a")),
			B:    uint32(rapid.SampledFrom([]int{0, 0, 0, 1, 101, 102}).Draw(t, "b")),
		}
		w.Put(on, record.Record{Subject: sub, Value: rapid.SampledFrom(hostile).Draw(t, "value")})
	}
	joinTo(t, made, w)
}

// Records that come one by one, in whatever order phones are heard, come to the
// same as reading all of them.
func TestAppendComesToTheSameAsRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		made := random(t)
		scramble(t, &made)
		c := contest.Read(made.Set.Contest, merge.Fold(record.Set{Contest: made.Set.Contest}))
		next := make([]int, len(made.Set.Logs))
		pick := enginetest.Seeded(rapid.Uint64().Draw(t, "order"))
		for {
			var left []int
			for i, l := range made.Set.Logs {
				if next[i] < len(l.Records) {
					left = append(left, i)
				}
			}
			if len(left) == 0 {
				break
			}
			i := left[pick(len(left))]
			held, was := c.Persons, slices.Clone(c.Persons)
			if err := c.Append(made.Set.Logs[i].Records[next[i]]); err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(held, was) {
				t.Fatal("a list that somebody holds was changed")
			}
			next[i]++
		}
		if got, want := view(c), view(contest.Read(made.Set.Contest, merge.Fold(made.Set))); got != want {
			t.Fatalf("appended:\n%s\nread:\n%s", got, want)
		}
	})
}

// Other numbers for the same contestants change no points and no rank.
func TestNumbersDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		made := random(t)
		var order []int
		for i := range made.Persons {
			order = append(order, i)
		}
		order = rapid.Permutation(order).Draw(t, "order")
		number := map[uint32]uint32{}
		for i, p := range made.Persons {
			number[p.Number] = made.Persons[order[i]].Number
		}
		before, err := contest.Read(made.Set.Contest, merge.Fold(made.Set)).Score()
		if err != nil {
			t.Fatal(err)
		}
		after, err := contest.Read(made.Set.Contest, merge.Fold(renumbered(made.Set, number))).Score()
		if err != nil {
			t.Fatal(err)
		}
		for i := range made.Persons {
			j := order[i]
			if before.Result.Total(i) != after.Result.Total(j) || before.Result.Rank[i] != after.Result.Rank[j] || before.Result.DivisionRank[i] != after.Result.DivisionRank[j] {
				t.Fatalf("contestant %d has %v and rank %d, and as %d %v and rank %d", before.Persons[i].Number, before.Result.Total(i), before.Result.Rank[i], after.Persons[j].Number, after.Result.Total(j), after.Result.Rank[j])
			}
		}
		for i := range before.Result.Teams {
			if before.Result.Teams[i].Total != after.Result.Teams[i].Total || before.Result.Teams[i].Rank != after.Result.Teams[i].Rank {
				t.Fatalf("team %d: %+v and %+v", i, before.Result.Teams[i], after.Result.Teams[i])
			}
		}
	})
}

// renumbered is the set with other contestant numbers.
func renumbered(set record.Set, number map[uint32]uint32) record.Set {
	out := record.Set{Contest: set.Contest}
	for _, l := range set.Logs {
		l.Records = slices.Clone(l.Records)
		for i := range l.Records {
			sub := &l.Records[i].Subject
			if n, ok := number[sub.A]; ok && sub.Kind == record.KindPerson {
				sub.A = n
			}
			if n, ok := number[sub.B]; ok && sub.Kind == record.KindCard {
				sub.B = n
			}
		}
		out.Logs = append(out.Logs, l)
	}
	return out
}
