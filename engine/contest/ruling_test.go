package contest_test

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/enginetest"
	"keelcard/engine/merge"
	"keelcard/engine/points"
	"keelcard/engine/record"
)

// ruleAtRandom draws rulings on a contest that could be written, some of them on
// whole classes.
func ruleAtRandom(t *rapid.T, c *contest.Contest, pick enginetest.Pick) map[contest.ItemOf]contest.Ruling {
	out := map[contest.ItemOf]contest.Ruling{}
	for range 1 + pick(5) {
		class := c.Classes[pick(len(c.Classes))]
		key := c.Key(class)
		item := uint32(pick(class.KeyItems() + 1))
		r := contest.Ruling{Why: "looked at again"}
		switch n := pick(3); {
		case item == 0 && pick(3) > 0:
			continue
		case item == 0 || n == 0 || key.Official[item-1].Answer == "":
			r.Out = true
		case n == 1:
			r.Answer = answerOf(class, pick)
		default:
			official := key.Official[item-1]
			other := answerOf(class, pick)
			if other == official.Answer || slices.Contains(official.Also, other) {
				continue
			}
			r.Also = []string{other}
		}
		out[contest.ItemOf{Class: class.No, Item: item}] = r
	}
	return out
}

// answerOf is some answer that a key of the class may hold.
func answerOf(class contest.Class, pick enginetest.Pick) string {
	if class.Kind != contest.Checked {
		return class.Answers()[pick(len(class.Answers()))]
	}
	var present []string
	faults, _ := class.Faults()
	for _, f := range faults {
		if pick(2) == 0 {
			present = append(present, f.ID)
		}
	}
	return contest.JoinFaults(present)
}

// write puts rulings into the records; a zero one is a withdrawal.
func write(t *rapid.T, set record.Set, who string, rulings map[contest.ItemOf]contest.Ruling) record.Set {
	w := enginetest.NewWriter(set.Contest)
	on := w.Phone(who)
	c := contest.Read(set.Contest, merge.Fold(set))
	for item, r := range rulings {
		class, _ := c.Class(item.Class)
		value, err := "", error(nil)
		if !r.None() {
			value, err = r.Write(class, item.Item, c.Key(class))
		}
		sub := contest.RulingSubject(item.Class, item.Item)
		w.Write(on, sub, value, err, c.State().Current(sub).Replaces()...)
	}
	made := enginetest.Contest{Set: set}
	joinTo(t, &made, w)
	return made.Set
}

// What cards earn after rulings is plain arithmetic: a thrown out item gives
// everyone its full points, a corrected answer is the answer, and of several
// right ones the best counts.
func TestRulingsArePlainArithmetic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		made := random(t)
		rulings := ruleAtRandom(t, contest.Read(made.Set.Contest, merge.Fold(made.Set)), enginetest.Seeded(rapid.Uint64().Draw(t, "rulings")))
		c := contest.Read(made.Set.Contest, merge.Fold(write(t, made.Set, "official/RU", rulings)))
		if len(c.Problems) > 0 || len(c.Rulings()) != len(rulings) {
			t.Fatalf("rulings %v, problems %v", c.Rulings(), c.Problems)
		}
		s, err := c.Score()
		if err != nil {
			t.Fatal(err)
		}
		at := 0
		for i, class := range made.Classes {
			if !rulings[contest.ItemOf{Class: class.No}].None() {
				continue
			}
			key := c.Key(class)
			if key.Missing() > 0 {
				continue
			}
			for j, p := range made.Persons {
				want := points.Points(0)
				if card := made.Cards[i][j]; card != nil && !slices.Contains(p.OutOf, class.No) {
					want = plainRuled(class, key.Official, rulings, card)
				}
				if got := s.Result.ClassPoints(at, j); got != want {
					t.Fatalf("contestant %d, class %d: got %v, want %v", p.Number, class.No, got, want)
				}
			}
			at++
		}
		if len(made.Persons) > 0 && at != len(s.Classes) {
			t.Fatalf("%d classes are scored, want %d", len(s.Classes), at)
		}
		trailsAddUp(t, s)
	})
}

func plainRuled(class contest.Class, official []contest.KeyItem, rulings map[contest.ItemOf]contest.Ruling, card []byte) points.Points {
	if len(official) == 0 {
		return plain(class, nil, card)
	}
	sum, each := points.Points(0), len(card)/len(official)
	for i, key := range official {
		r := rulings[contest.ItemOf{Class: class.No, Item: uint32(i + 1)}]
		switch {
		case r.Out && class.Kind == contest.Placing:
			sum += class.PlacingWorth()
			continue
		case r.Out:
			sum += perItem(class)
			continue
		case r.Answer != "":
			key.Answer, key.Also = r.Answer, nil
		case len(r.Also) > 0:
			key.Also = append(slices.Clone(key.Also), r.Also...)
		}
		sum += plain(class, []contest.KeyItem{key}, card[i*each:(i+1)*each])
	}
	return sum
}

// A preview is what scoring gives once its rulings are written, and names those
// and only those for whom something is another.
func TestPreviewIsWhatScoringGives(t *testing.T) {
	moves := 0
	rapid.Check(t, func(t *rapid.T) {
		made := random(t)
		pick := enginetest.Seeded(rapid.Uint64().Draw(t, "rulings"))
		for i := range made.Classes {
			made.Classes[i].Division = []string{"", "Live birds", "Market poultry"}[pick(3)]
		}
		made.Set = divided(t, made)
		before := contest.Read(made.Set.Contest, merge.Fold(made.Set))
		set := write(t, made.Set, "official/R1", ruleAtRandom(t, before, pick))
		if pick(2) == 0 { // another hand, who may differ
			other := ruleAtRandom(t, before, pick)
			w := enginetest.NewWriter(set.Contest)
			on := w.Phone("official/R2")
			for item, r := range other {
				class, _ := before.Class(item.Class)
				value, err := r.Write(class, item.Item, before.Key(class))
				w.Write(on, contest.RulingSubject(item.Class, item.Item), value, err)
			}
			made.Set = set
			joinTo(t, &made, w)
			set = made.Set
		}
		before = contest.Read(set.Contest, merge.Fold(set))
		changes := ruleAtRandom(t, before, pick)
		for _, r := range before.Rulings() {
			if pick(3) == 0 {
				changes[contest.ItemOf{Class: r.Class, Item: r.Item}] = contest.Ruling{}
			}
		}
		shown := view(before)
		p, err := before.Preview(changes)
		if err != nil {
			t.Fatal(err)
		}
		if view(before) != shown {
			t.Fatal("the preview changed the contest")
		}
		after, err := contest.Read(set.Contest, merge.Fold(write(t, set, "official/R3", changes))).Score()
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(p.After.Result, after.Result) || fmt.Sprint(p.After.Waiting, p.After.LeftOut) != fmt.Sprint(after.Waiting, after.LeftOut) {
			t.Fatal("scoring after the rulings were written comes to something else")
		}
		checkMoves(t, p, made)
		moves += len(p.Persons) + len(p.Teams)
	})
	least := 500
	if testing.Short() {
		least = 20 // of a fifth as many contests, which differ much
	}
	if moves < least {
		t.Errorf("only %d moves were looked at", moves)
	}
}

// divided writes the classes anew with their divisions.
func divided(t *rapid.T, made enginetest.Contest) record.Set {
	w := enginetest.NewWriter(made.Set.Contest)
	on := w.Phone("owner/DV")
	state := merge.Fold(made.Set)
	for _, class := range made.Classes {
		value, err := class.Write()
		w.Write(on, classSubject(class.No), value, err, state.Current(classSubject(class.No)).Replaces()...)
	}
	joinTo(t, &made, w)
	return made.Set
}

// checkMoves compares with what is read from both results one by one.
func checkMoves(t *rapid.T, p contest.Preview, made enginetest.Contest) {
	places := func(s *contest.Scored, i int) map[string]contest.Place {
		out := map[string]contest.Place{"": {Total: s.Result.Total(i), Rank: s.Result.Rank[i], GroupRank: s.Result.DivisionRank[i]}}
		for d, name := range s.ClassDivisions {
			out[name] = contest.Place{Total: s.Parts[d].Points(i), Rank: s.Parts[d].Rank[i], GroupRank: s.Parts[d].DivisionRank[i]}
		}
		for c, class := range s.Classes {
			part := s.Result.Part(c)
			out[fmt.Sprint(class.No)] = contest.Place{Total: part.Points(i), Rank: part.Rank[i], GroupRank: part.DivisionRank[i]}
		}
		return out
	}
	var told []contest.Move
	moves := map[uint32]contest.Move{}
	for _, m := range p.Persons {
		moves[m.Number] = m
	}
	gain, lose := 0, 0
	for i, person := range made.Persons {
		was, is := places(p.Before, i), places(p.After, i)
		for _, class := range made.Classes {
			a, b := was[fmt.Sprint(class.No)].Total, is[fmt.Sprint(class.No)].Total
			if b > a {
				gain++
			}
			if b < a {
				lose++
			}
		}
		for _, m := range []map[string]contest.Place{was, is} { // what is not scored is a place of zeros
			for _, name := range slices.Concat(slices.Collect(maps.Keys(was)), slices.Collect(maps.Keys(is))) {
				if _, ok := m[name]; !ok {
					m[name] = contest.Place{}
				}
			}
		}
		if maps.Equal(was, is) {
			continue
		}
		told = append(told, contest.Move{Number: person.Number, Before: was[""], After: is[""]})
		for _, spot := range moves[person.Number].Spots {
			name := spot.Division
			if spot.Class > 0 {
				name = fmt.Sprint(spot.Class)
			}
			if spot.Before == spot.After || spot.Before != was[name] || spot.After != is[name] {
				t.Fatalf("contestant %d: spot %+v, want %+v and %+v", person.Number, spot, was[name], is[name])
			}
			delete(was, name)
			delete(is, name)
		}
		delete(was, "")
		delete(is, "")
		for name := range was {
			if was[name] != is[name] {
				t.Fatalf("contestant %d: it is not told that %q changes", person.Number, name)
			}
		}
	}
	for i, m := range p.Persons {
		m.Spots = nil
		if len(told) != len(p.Persons) || !reflect.DeepEqual(m, told[i]) {
			t.Fatalf("moves %+v, want %+v", p.Persons, told)
		}
	}
	if p.Gain != gain || p.Lose != lose {
		t.Fatalf("%d gain and %d lose, want %d and %d", p.Gain, p.Lose, gain, lose)
	}
	checkTeamMoves(t, p)
}

func checkTeamMoves(t *rapid.T, p contest.Preview) {
	told := map[uint32]contest.Move{}
	for _, m := range p.Teams {
		told[m.Number] = m
	}
	for i, team := range p.Before.Teams {
		was, is := p.Before.Result.Teams[i], p.After.Result.Teams[i]
		m, moves := told[team.No]
		if (was.Total != is.Total || was.Rank != is.Rank || was.DivisionRank != is.DivisionRank) && !moves {
			t.Fatalf("team %d moves and it is not told", team.No)
		}
		if moves && (m.Before != contest.Place{Total: was.Total, Rank: was.Rank, GroupRank: was.DivisionRank} || m.After != contest.Place{Total: is.Total, Rank: is.Rank, GroupRank: is.DivisionRank}) {
			t.Fatalf("team %d: %+v", team.No, m)
		}
		if moves && m.Before == m.After && len(m.Spots) == 0 {
			t.Fatalf("team %d does not move: %+v", team.No, m)
		}
	}
}

// everyKind is a class of each kind that has a key, with a key, a card without
// fault and one that has all of it wrong.
func everyKind() []struct {
	class       contest.Class
	key         []contest.KeyItem
	right, card []byte
} {
	checked := contest.Class{No: 4, Name: "Breaded", Kind: contest.Checked, Items: 2, Names: []string{"broken", "bare"}}
	whole := checked
	whole.No, whole.Whole = 5, true
	return []struct {
		class       contest.Class
		key         []contest.KeyItem
		right, card []byte
	}{
		{broilers(1, 2), of("A", "B"), []byte{1, 2}, []byte{4, 0}},
		{hens(2), []contest.KeyItem{{Answer: "1-2-3-4", Cuts: [3]uint8{2, 5, 3}}}, []byte{1}, []byte{0}},
		{contest.Class{No: 3, Name: "Parts", Kind: contest.Identified, Items: 2, Names: []string{"wing", "thigh"}}, of("wing", "thigh"), []byte{1, 2}, []byte{2, 0}},
		{checked, of("none", "broken+bare"), []byte{1, 1, 2, 2}, []byte{2, 2, 0, 1}},
		{whole, of("none", "broken+bare"), []byte{1, 1, 2, 2}, []byte{2, 2, 0, 1}},
	}
}

// In every kind of class, with all items thrown out everyone has full points,
// whether the key was set or not, and a card that is missing still earns nothing.
func TestThrowingOutInEveryKind(t *testing.T) {
	for _, k := range everyKind() {
		for _, keyed := range []bool{true, false} {
			d := newDay(t)
			d.class(k.class)
			if keyed {
				d.key(k.class, k.key...)
			}
			for n := range uint32(3) {
				d.person(n + 1)
			}
			d.card(k.class, 1, k.right...)
			d.card(k.class, 2, k.card...)
			c := d.read()
			for i := range k.class.KeyItems() {
				value, err := contest.Ruling{Out: true, Why: "fell off the shackle"}.Write(k.class, uint32(i+1), c.Key(k.class))
				d.Write(d.owner, contest.RulingSubject(k.class.No, uint32(i+1)), value, err)
			}
			s := scored(t, d.read())
			name := fmt.Sprintf("%s, keyed %v", k.class.Name, keyed)
			for i, want := range []points.Points{s.ClassMax(0), s.ClassMax(0), 0} {
				wantPoints(t, name, s.Result.Total(i), want)
			}
			for slot, item := range s.Result.Items[0] {
				if item.Right != 2 || item.NoKey {
					t.Errorf("%s, slot %d: %d right, without a key %v", name, slot, item.Right, item.NoKey)
				}
			}
			trail, err := s.Result.Trail(1)
			if err != nil || !trail.Classes[0].Slots[0].Key.Out || (len(trail.Classes[0].Slots[0].Key.Answers) > 0) != keyed {
				t.Errorf("%s: trail %+v, %v", name, trail, err)
			}
		}
	}
}

// One item of a class: what it is worth by the published points.
func TestRulingOnOneItem(t *testing.T) {
	for _, tc := range []struct {
		at     int // in everyKind
		item   uint32
		ruling contest.Ruling
		right  points.Points // of the card that had it all right
		card   points.Points // of the other one
	}{
		// Penn State Extension: 10 an item; A marked for B earns 7, NG for A 0.
		{0, 1, contest.Ruling{Out: true}, points.Of(20), points.Of(10)},
		{0, 1, contest.Ruling{Answer: "B"}, points.Of(17), points.Of(3)},
		{0, 1, contest.Ruling{Also: []string{"NG"}}, points.Of(20), points.Of(10)},
		{0, 2, contest.Ruling{Answer: "NG", Also: []string{"C"}}, points.Of(17), 0},
		// University of Nebraska-Lincoln, NebGuide G2092: 2-1-3-4 with cuts 2-5-3 is 48.
		{1, 1, contest.Ruling{Answer: "2-1-3-4"}, points.Of(48), 0},
		{1, 1, contest.Ruling{Also: []string{"2-1-3-4"}}, points.Of(50), 0},
		{2, 1, contest.Ruling{Answer: "thigh"}, points.Of(10), points.Of(10)},
		{2, 2, contest.Ruling{Out: true}, points.Of(20), points.Of(10)},
		// Two products of 10, two faults each: 5 a fault (Penn State Extension: equal shares).
		{3, 1, contest.Ruling{Answer: "broken"}, points.Of(15), points.Of(5)},
		{3, 1, contest.Ruling{Out: true}, points.Of(20), points.Of(10)},
		{3, 1, contest.Ruling{Also: []string{"broken+bare"}}, points.Of(20), points.Of(10)},
		{4, 1, contest.Ruling{Out: true}, points.Of(20), points.Of(10)},
		{4, 2, contest.Ruling{Answer: "broken"}, points.Of(10), 0},
	} {
		k := everyKind()[tc.at]
		d := newDay(t)
		d.class(k.class)
		d.key(k.class, k.key...)
		for n, card := range [][]byte{k.right, k.card} {
			d.person(uint32(n + 1))
			d.card(k.class, uint32(n+1), card...)
		}
		tc.ruling.Why = "looked at again"
		value, err := tc.ruling.Write(k.class, tc.item, d.read().Key(k.class))
		d.Write(d.owner, contest.RulingSubject(k.class.No, tc.item), value, err)
		c := d.read()
		s := scored(t, c)
		name := fmt.Sprintf("%s, %+v", k.class.Name, tc.ruling)
		wantPoints(t, name, s.Result.Total(0), tc.right)
		wantPoints(t, name, s.Result.Total(1), tc.card)
		key := c.Key(k.class)
		if got := key.Rulings[tc.item-1]; !reflect.DeepEqual(got, tc.ruling) || !reflect.DeepEqual(key.Official, k.key) {
			t.Errorf("%s: ruling %+v, official %+v", name, got, key.Official)
		}
		if list := c.Rulings(); len(list) != 1 || list[0].Class != k.class.No || list[0].Item != tc.item || list[0].Who != "owner/AB" || list[0].Stamp.Wall == 0 || list[0].Status != merge.Single {
			t.Errorf("%s: %+v", name, list)
		}
	}
}

// A class that is left out counts in no total, and neither it nor its cards are
// lost: taken back, everything is as before.
func TestAClassLeftOut(t *testing.T) {
	d := newDay(t)
	a, b := hens(1), hens(2)
	for _, c := range []contest.Class{a, b} {
		d.class(c)
		d.key(c, contest.KeyItem{Answer: "1-2-3-4"})
	}
	d.person(7)
	d.card(a, 7, 1)
	d.card(b, 7, 1)
	value, err := contest.Ruling{Out: true, Why: "the birds were changed"}.Write(b, 0, d.read().Key(b))
	ref := d.Write(d.owner, contest.RulingSubject(2, 0), value, err)
	s := scored(t, d.read())
	wantPoints(t, "without the second class", s.Result.Total(0), points.Of(50))
	if len(s.LeftOut) != 1 || s.LeftOut[0].Class.No != 2 || s.LeftOut[0].Ruling.Why != "the birds were changed" || len(s.Classes) != 1 {
		t.Errorf("left out %+v of %d", s.LeftOut, len(s.Classes))
	}
	d.Write(d.owner, contest.RulingSubject(2, 0), "", nil, ref)
	wantPoints(t, "with it again", scored(t, d.read()).Result.Total(0), points.Of(100))
}

// Two officials who rule differently hold the item back until it is settled.
func TestRulingsInQuestion(t *testing.T) {
	for _, item := range []uint32{0, 1} {
		d := newDay(t)
		c := broilers(1, 1)
		d.class(c)
		d.key(c, of("A")...)
		d.person(7)
		d.card(c, 7, 2)
		sub := contest.RulingSubject(1, item)
		one := d.raw(sub, `{"out":true,"why":"fell off"}`)
		d.Write(d.owner, sub, `{"out":true,"why":"was changed"}`, nil)
		got := d.read()
		s, err := got.Score()
		if err != nil || len(s.Waiting) != 1 || !slices.Contains([]engine.Code{"contest.key-missing", "contest.ruling-question"}, engine.CodeOf(s.Waiting[0].Err)) {
			t.Errorf("item %d: waiting %v, %v", item, s.Waiting, err)
		}
		if q := got.Questions(); len(q) != 1 || q[0] != sub || got.Rulings()[0].Status != merge.InQuestion || got.Rulings()[0].Who != "keyer/CD" {
			t.Errorf("item %d: questions %v, rulings %+v", item, q, got.Rulings())
		}
		value, err := contest.Ruling{Out: true, Why: "was changed"}.Write(c, item, got.Key(c))
		d.Write(d.owner, sub, value, err, append(got.State().Current(sub).Replaces(), one)[:2]...)
		if s := scored(t, d.read()); item == 1 && s.Result.Total(0) != points.Of(10) || item == 0 && len(s.LeftOut) != 1 {
			t.Errorf("item %d: settled, total %v, left out %v", item, s.Result.Total(0), s.LeftOut)
		}
	}
}

// A key that is mended after a ruling may come to hold what the ruling allows.
func TestRulingThatTheKeyCaughtUpWith(t *testing.T) {
	d := newDay(t)
	c := broilers(1, 1)
	d.class(c)
	d.person(7)
	d.card(c, 7, 1)
	d.raw(contest.KeySubject(1, 1), `{"answer":"A","also":["B"]}`)
	d.raw(contest.RulingSubject(1, 1), `{"also":["B","A","C","C"],"why":"two officials"}`)
	if item := d.read().Key(c).Items[0]; item.Answer != "A" || strings.Join(item.Also, "") != "BC" {
		t.Errorf("got %+v", item)
	}
	wantPoints(t, "A", scored(t, d.read()).Result.Total(0), points.Of(10))
}

func TestRulingsThatAreNotRead(t *testing.T) {
	for _, tc := range []struct {
		name  string
		sub   record.Subject
		value string
	}{
		{"no reason", contest.RulingSubject(1, 1), `{"out":true}`},
		{"nothing", contest.RulingSubject(1, 1), `{"why":"w"}`},
		{"both", contest.RulingSubject(1, 1), `{"out":true,"answer":"B","why":"w"}`},
		{"no JSON", contest.RulingSubject(1, 1), `out`},
		{"a long reason", contest.RulingSubject(1, 1), `{"out":true,"why":"` + strings.Repeat("a", contest.MaxWhy+1) + `"}`},
		{"thousands of answers", contest.RulingSubject(1, 1), `{"also":["B"` + strings.Repeat(`,"B"`, 9000) + `],"why":"w"}`},
		{"class 0", contest.RulingSubject(0, 1), `{"out":true,"why":"w"}`},
		{"a large class", contest.RulingSubject(1<<31, 1), `{"out":true,"why":"w"}`},
		{"a large item", contest.RulingSubject(1, 1<<31), `{"out":true,"why":"w"}`},
	} {
		d := newDay(t)
		c := broilers(1, 1)
		d.class(c)
		d.key(c, of("A")...)
		d.person(7)
		d.card(c, 7, 2)
		d.raw(tc.sub, tc.value)
		got := d.read()
		if len(got.Problems) != 1 || len(got.Rulings()) != 0 {
			t.Errorf("%s: problems %v, rulings %v", tc.name, got.Problems, got.Rulings())
		}
		wantPoints(t, tc.name, scored(t, got).Result.Total(0), points.Of(7))
	}
}

// A ruling that can be read and does not fit its class, which was changed since,
// makes the class wait or, about an item that is gone, does nothing.
func TestRulingsThatDoNotFit(t *testing.T) {
	for _, tc := range []struct {
		name, value string
		item        uint32
		waits       bool
	}{
		{"no grade", `{"answer":"AA","why":"w"}`, 1, true},
		{"no grade beside one", `{"also":[""],"why":"w"}`, 1, true},
		{"an item that is gone", `{"out":true,"why":"w"}`, 2, false},
		{"a class with an answer", `{"answer":"A","why":"w"}`, 0, false},
	} {
		d := newDay(t)
		c := broilers(1, 1)
		d.class(c)
		d.key(c, of("A")...)
		d.person(7)
		d.card(c, 7, 2)
		d.raw(contest.RulingSubject(1, tc.item), tc.value)
		s, err := d.read().Score()
		if err != nil || (len(s.Waiting) == 1) != tc.waits {
			t.Errorf("%s: waiting %v, %v", tc.name, s.Waiting, err)
		}
		if !tc.waits {
			wantPoints(t, tc.name, s.Result.Total(0), points.Of(7))
		}
	}
}

func TestRulingsRefused(t *testing.T) {
	d := newDay(t)
	c, h := broilers(1, 2), hens(2)
	reasons := contest.Class{No: 3, Name: "Reasons", Kind: contest.Awarded}
	d.class(c)
	d.class(h)
	d.class(reasons)
	d.key(c, contest.KeyItem{Answer: "A", Also: []string{"B"}})
	d.key(h, contest.KeyItem{Answer: "1-2-3-4"})
	got := d.read()
	for _, tc := range []struct {
		name   string
		class  contest.Class
		item   uint32
		ruling contest.Ruling
		code   engine.Code
	}{
		{"no reason", c, 1, contest.Ruling{Out: true, Why: " "}, "contest.empty"},
		{"a long reason", c, 1, contest.Ruling{Out: true, Why: strings.Repeat("a", contest.MaxWhy+1)}, "contest.long"},
		{"a bell", c, 1, contest.Ruling{Out: true, Why: "a\a"}, "contest.text"},
		{"nothing", c, 1, contest.Ruling{Why: "w"}, "contest.ruling"},
		{"out with an answer", c, 1, contest.Ruling{Out: true, Answer: "B", Why: "w"}, "contest.ruling"},
		{"a grade that is none", c, 1, contest.Ruling{Answer: "D", Why: "w"}, "contest.key"},
		{"right already", c, 1, contest.Ruling{Also: []string{"B"}, Why: "w"}, "contest.key"},
		{"twice", c, 1, contest.Ruling{Also: []string{"C", "C"}, Why: "w"}, "contest.key"},
		{"an item without a key", c, 2, contest.Ruling{Answer: "A", Why: "w"}, "contest.ruling"},
		{"an item that is not there", c, 3, contest.Ruling{Out: true, Why: "w"}, "contest.ruling"},
		{"far beyond", c, 1<<32 - 1, contest.Ruling{Out: true, Why: "w"}, "contest.ruling"},
		{"an answer of a class", c, 0, contest.Ruling{Answer: "A", Why: "w"}, "contest.ruling"},
		{"no order", h, 1, contest.Ruling{Answer: "1-2", Why: "w"}, "placing.order"},
		{"a class without a key", reasons, 1, contest.Ruling{Out: true, Why: "w"}, "contest.ruling"},
		{"an unknown kind", contest.Class{Kind: "race"}, 0, contest.Ruling{Out: true, Why: "w"}, "contest.class-kind"},
	} {
		if value, err := tc.ruling.Write(tc.class, tc.item, got.Key(tc.class)); value != "" || !slices.Contains(codes(err), tc.code) {
			t.Errorf("%s: got %v, want %s", tc.name, err, tc.code)
		}
		_, err := got.Preview(map[contest.ItemOf]contest.Ruling{{Class: tc.class.No, Item: tc.item}: tc.ruling})
		if tc.class.No > 0 && !tc.ruling.None() && !slices.Contains(codes(err), tc.code) {
			t.Errorf("%s: the preview says %v, want %s", tc.name, err, tc.code)
		}
	}
	if _, err := got.Preview(map[contest.ItemOf]contest.Ruling{{Class: 9}: {Out: true, Why: "w"}}); engine.CodeOf(err) != "contest.class" {
		t.Errorf("a class that is not there: %v", err)
	}
	if _, err := (contest.Ruling{Out: true, Why: "w"}).Write(reasons, 0, got.Key(reasons)); err != nil {
		t.Errorf("leaving reasons out: %v", err)
	}
}

// A team with more members than are allowed is told, and named alternates and
// those who left do not make it larger.
func TestTeamsThatAreTooLarge(t *testing.T) {
	d := newDay(t)
	value, err := contest.Settings{Name: "n", TeamBest: 1, TeamMost: 2}.Write()
	d.Write(d.owner, settingsSubject, value, err)
	for no, name := range []string{"Oak", "Elm"} {
		value, err := contest.Team{No: uint32(no + 1), Name: name}.Write()
		d.Write(d.owner, teamSubject(uint32(no+1)), value, err)
	}
	for i, p := range []contest.Person{{Team: 1}, {Team: 1}, {Team: 1}, {Team: 2}, {Team: 2}, {Team: 2, Alternate: true}, {Team: 2, Out: "ill"}, {}, {}, {}} {
		p.Number = uint32(i + 1)
		value, err := p.Write()
		d.Write(d.owner, personSubject(p.Number), value, err)
	}
	s := scored(t, d.read())
	if len(s.Faults) != 1 || s.Faults[0].Code != "contest.team-most" || s.Faults[0].Where != "Oak" || s.Result.Teams[0].Rank != 1 {
		t.Errorf("faults %v, team %+v", s.Faults, s.Result.Teams[0])
	}
}

func TestConductRefused(t *testing.T) {
	for _, tc := range []struct {
		name   string
		person contest.Person
		code   engine.Code
	}{
		{"a penalty without a reason", contest.Person{Number: 1, Penalty: 1}, "contest.empty"},
		{"a penalty that gives points", contest.Person{Number: 1, Penalty: -1, PenaltyWhy: "w"}, "contest.penalty"},
		{"a large penalty", contest.Person{Number: 1, Penalty: contest.MaxWorth + 1, PenaltyWhy: "w"}, "contest.penalty"},
		{"a long reason", contest.Person{Number: 1, PenaltyWhy: strings.Repeat("a", contest.MaxWhy+1)}, "contest.long"},
		{"out of a class without a reason", contest.Person{Number: 1, OutOf: []uint32{1}}, "contest.empty"},
		{"out of a class twice", contest.Person{Number: 1, OutOf: []uint32{1, 1}, OutOfWhy: "w"}, "contest.out-of"},
		{"out of many classes", contest.Person{Number: 1, OutOf: make([]uint32, 60_000), OutOfWhy: "w"}, "contest.out-of"},
	} {
		if _, err := tc.person.Write(); !slices.Contains(codes(err), tc.code) {
			t.Errorf("%s: got %v, want %s", tc.name, err, tc.code)
		}
	}
}

// Classes of unequal worth add up as they are, and a division ranks by itself.
func TestDivisionsOfUnequalWorth(t *testing.T) {
	d := newDay(t)
	live, market := hens(1), broilers(2, 1)
	live.Division, market.Division, market.Worth = "Live birds", "Market poultry", points.Of(200)
	eggs := hens(3)
	eggs.Worth = points.Of(100)
	for _, c := range []contest.Class{live, market, eggs} {
		d.class(c)
	}
	d.key(live, contest.KeyItem{Answer: "1-2-3-4", Cuts: [3]uint8{2, 5, 3}})
	d.key(market, of("A")...)
	d.key(eggs, contest.KeyItem{Answer: "1-2-3-4", Cuts: [3]uint8{2, 5, 3}})
	orders := hens(1).Answers()
	order := func(s string) byte { return byte(slices.Index(orders, s) + 1) }
	// Live: 50, 48, 45 (NebGuide G2092). Market: A 200, B 140 (7 of 10), C 80.
	for i, marks := range [][3]byte{{order("1-2-3-4"), 3, order("1-2-3-4")}, {order("2-1-3-4"), 1, order("2-1-3-4")}, {order("2-1-4-3"), 2, order("1-2-3-4")}} {
		d.person(uint32(i + 1))
		for c, class := range []contest.Class{live, market, eggs} {
			d.card(class, uint32(i+1), marks[c])
		}
	}
	s := scored(t, d.read())
	if !slices.Equal(s.ClassDivisions, []string{"Live birds", "Market poultry"}) {
		t.Fatalf("divisions %q", s.ClassDivisions)
	}
	for i, want := range []struct {
		total, live, market points.Points
		rank, inLive, inMkt int32
	}{{points.Of(230), points.Of(50), points.Of(80), 3, 1, 3}, {points.Of(344), points.Of(48), points.Of(200), 1, 2, 1}, {points.Of(285), points.Of(45), points.Of(140), 2, 3, 2}} {
		wantPoints(t, "total", s.Result.Total(i), want.total)
		wantPoints(t, "live", s.Parts[0].Points(i), want.live)
		wantPoints(t, "market", s.Parts[1].Points(i), want.market)
		if s.Result.Rank[i] != want.rank || s.Parts[0].Rank[i] != want.inLive || s.Parts[1].Rank[i] != want.inMkt {
			t.Errorf("contestant %d: ranks %d, %d, %d", i+1, s.Result.Rank[i], s.Parts[0].Rank[i], s.Parts[1].Rank[i])
		}
	}
}
