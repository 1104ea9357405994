package app_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/web/app"
)

// A full contest of three divisions on one phone, from its type to its results,
// held against sums that share no code with the app: the paper* functions below
// score cards as somebody would with a pencil, in hundredths of a point.

// paperClass is a class of the full contest: what the officials set, item by
// item. Several answers that are right stand apart by strokes, an item that is
// thrown out is "out", the faults of an item are their numbers.
type paperClass struct {
	no             int
	kind, division string
	answers        []string // that are marked, in the order of their keys; of faults how many there are
	key            []string
	cuts           [3]int
}

// paperPerson is a contestant.
type paperPerson struct {
	number      int
	team, group string
	penalty     int // hundredths
	out         bool
	alternate   bool
	outOf       int // a class, 0 for none
}

var (
	paperGrades = []string{"A", "B", "C", "NG"}
	paperShell  = []string{"A", "B", "Dirty", "Loss"}
	paperLight  = []string{"AA", "A", "B", "Loss"}
)

func paperClasses() []paperClass {
	parts, _ := contest.ListByID("parts-30")
	var names []string
	for _, n := range parts.Names {
		names = append(names, n.Name)
	}
	list := strings.Fields
	return []paperClass{
		{1, contest.Placing, "Live birds", nil, list("3 1 4 2"), [3]int{}}, // cuts as proposed
		{2, contest.Placing, "Live birds", nil, list("2 4 1 3"), [3]int{2, 5, 3}},
		{3, contest.Awarded, "Live birds", nil, nil, [3]int{}},
		{4, contest.Graded, "Market poultry", paperGrades, list("B A C A B NG A C B A"), [3]int{}},
		{5, contest.Graded, "Market poultry", paperGrades, list("A A B C A B NG B A C"), [3]int{}},
		{6, contest.Identified, "Market poultry", names, []string{"half", "whole breast", "split breast with ribs", "leg quarter", "leg", "drumstick", "wing", "wing portion", "neck", "paws"}, [3]int{}},
		{7, contest.Graded, "Market poultry", paperGrades, list("C A B B A NG A B C A"), [3]int{}},
		{8, contest.Checked, "Market poultry", make([]string, 5), list("1 none 2 3 none 1+4 5 none 4 2"), [3]int{}},
		{9, contest.Graded, "Eggs", paperShell, list("A B Dirty A Loss A B A A Dirty A B A Loss B A A Dirty A B"), [3]int{}},
		{10, contest.Graded, "Eggs", paperLight, list("AA A B A Loss AA A B AA A A B Loss AA A AA B A Loss A"), [3]int{}},
		{11, contest.Graded, "Eggs", paperLight, list("A AA B A Loss AA A B AA A"), [3]int{}},
		{12, contest.Checked, "Eggs", make([]string, 10), list("1+8 none 2 4+9 10"), [3]int{}},
	}
}

// paperPeople are fourteen teams of four and four who came alone.
func paperPeople() []paperPerson {
	var out []paperPerson
	for n := range 60 {
		p := paperPerson{number: n + 101, group: []string{"Junior", "Senior"}[n/4%2]}
		if n < 56 {
			p.team = "Team " + string(rune('A'+n/4))
		}
		out = append(out, p)
	}
	out[6].group = "Junior" // in a team of seniors
	out[9].penalty = 1250
	out[17].out = true
	out[22].alternate = true
	out[31].outOf = 7
	return out
}

// paperCards draws a card for everyone in a class: the key with slips, now and
// then a blank or two marks. Two of them are made alike.
func paperCards(c paperClass, draw *rand.Rand) [][]string {
	var out [][]string
	for range 60 {
		out = append(out, paperCard(c, draw))
	}
	out[41] = out[40]
	return out
}

func paperCard(c paperClass, draw *rand.Rand) []string {
	card := slices.Clone(c.key)
	switch c.kind {
	case contest.Awarded:
		return []string{strconv.Itoa(draw.IntN(101))}
	case contest.Placing:
		for range draw.IntN(4) {
			at := draw.IntN(3)
			card[at], card[at+1] = card[at+1], card[at]
		}
		return card
	}
	for i := range card {
		switch roll := draw.IntN(100); {
		case roll < 2:
			card[i] = "" // blank
		case roll < 4 && c.kind != contest.Checked:
			card[i] = "two"
		case roll < 25 && c.kind == contest.Checked:
			card[i] = strconv.Itoa(1 + draw.IntN(len(c.answers)))
		case roll < 25:
			card[i] = c.answers[draw.IntN(len(c.answers))]
		}
	}
	return card
}

// paperPoints scores a card of a class worth 100.
//
// Placing: 50 less, for each pair turned round, the cuts between the two, all
// doubled (University of Nebraska-Lincoln, NebGuide G2092; Penn State Extension,
// every class 100). Graded: an item earns its share less three tenths for each
// line crossed between the first three answers and four tenths for the last, a
// blank and two marks nothing. Named: its share or nothing. Faults: every one of
// every item, said rightly as there or not, earns the same (all Penn State
// Extension, state poultry judging).
func paperPoints(c paperClass, card []string) int {
	const worth = 10_000
	points := 0
	switch c.kind {
	case contest.Awarded:
		n, _ := strconv.Atoi(card[0])
		return n * 100
	case contest.Placing:
		lost := 0
		for i := range 4 {
			for j := i + 1; j < 4; j++ {
				if slices.Index(card, c.key[i]) > slices.Index(card, c.key[j]) {
					for _, cut := range c.cuts[i:j] {
						lost += cut
					}
				}
			}
		}
		return (50 - lost) * 200
	}
	for i, mark := range card {
		share := worth / len(c.key)
		best := 0
		for _, right := range strings.Split(c.key[i], "|") {
			best = max(best, paperItem(c, right, mark, share))
		}
		points += best
	}
	return points
}

// paperItem is what one mark earns where one answer is right.
func paperItem(c paperClass, right, mark string, share int) int {
	switch {
	case right == "out":
		return share
	case mark == "" || mark == "two":
		return 0
	case c.kind == contest.Identified:
		if mark == right {
			return share
		}
		return 0
	case c.kind == contest.Checked:
		told := 0
		for fault := range len(c.answers) {
			no := strconv.Itoa(fault + 1)
			if slices.Contains(strings.Split(mark, "+"), no) == slices.Contains(strings.Split(right, "+"), no) {
				told++
			}
		}
		return share / len(c.answers) * told
	}
	at := []int{0, 3, 6, 10}
	lines := at[slices.Index(c.answers, mark)] - at[slices.Index(c.answers, right)]
	return share * (10 - max(lines, -lines)) / 10
}

// paperRow is what somebody comes to.
type paperRow struct {
	paperPerson
	points      []int
	total       int
	keys        []int // by which they are ranked
	rank, group int
}

type paperTeam struct {
	name string
	keys []int
	rank int
}

// paperScore scores the contest: totals less penalties, ties by reasons and then
// by the broilers; teams by their best three who are not named alternates, then
// by the alternate (University of Tennessee Extension), who is the one that was
// named, else the best who does not count.
func paperScore(classes []paperClass, people []paperPerson, cards [][][]string) ([]paperRow, []paperTeam) {
	rows := make([]paperRow, len(people))
	for i, p := range people {
		rows[i] = paperRow{paperPerson: p}
		for c, class := range classes {
			pts := paperPoints(class, cards[c][i])
			if p.outOf == class.no {
				pts = 0
			}
			rows[i].points = append(rows[i].points, pts)
			rows[i].total += pts
		}
		rows[i].total = max(0, rows[i].total-p.penalty)
		rows[i].keys = []int{rows[i].total, rows[i].points[2], rows[i].points[3]}
	}
	for i := range rows {
		rows[i].rank, rows[i].group = 1, 1
		for _, other := range rows {
			if other.out || slices.Compare(other.keys, rows[i].keys) <= 0 {
				continue
			}
			rows[i].rank++
			if other.paperPerson.group == rows[i].paperPerson.group {
				rows[i].group++
			}
		}
		if rows[i].out {
			rows[i].rank, rows[i].group = 0, 0
		}
	}
	return rows, paperTeams(rows)
}

func paperTeams(rows []paperRow) []paperTeam {
	var teams []paperTeam
	for letter := 'A'; letter <= 'N'; letter++ {
		team := paperTeam{name: "Team " + string(letter)}
		var may, aside []paperRow
		for _, r := range rows {
			switch {
			case r.team != team.name || r.out:
			case r.alternate:
				aside = append(aside, r)
			default:
				may = append(may, r)
			}
		}
		best := func(a, b paperRow) int { return slices.Compare(b.keys, a.keys) }
		slices.SortStableFunc(may, best)
		if len(may) >= 3 {
			team.keys = make([]int, 4)
			for _, r := range may[:3] {
				for k, v := range r.keys {
					team.keys[k] += v
				}
			}
			if left := append(aside, may[3:]...); len(left) > 0 {
				team.keys[3] = left[0].total
			}
		}
		teams = append(teams, team)
	}
	for i := range teams {
		if teams[i].keys == nil {
			continue
		}
		teams[i].rank = 1
		for _, other := range teams {
			if other.keys != nil && slices.Compare(other.keys, teams[i].keys) > 0 {
				teams[i].rank++
			}
		}
	}
	return teams
}

// keysFor are the keys of the keyboard for a card.
func keysFor(c paperClass, card []string) []string {
	var keys []string
	for _, mark := range card {
		at := slices.Index(c.answers, mark)
		switch {
		case c.kind == contest.Placing:
			if len(keys) < 3 {
				keys = append(keys, mark)
			}
		case c.kind == contest.Awarded:
			n, _ := strconv.Atoi(mark)
			keys = append(keys, strings.Split(fmt.Sprintf("%02d", n), "")...)
			if n == 10 { // 100 begins likewise
				keys = append(keys, "Enter")
			}
		case mark == "":
			keys = append(keys, "Space")
		case mark == "two" && c.kind == contest.Identified:
			keys = append(keys, app.KeyingBoth)
		case mark == "two":
			keys = append(keys, app.KeyTwo, "1", "2")
		case mark == "none":
			keys = append(keys, "n")
		case c.kind == contest.Checked:
			for _, no := range strings.Split(mark, "+") {
				if no == "10" {
					no = app.KeyTenth
				}
				keys = append(keys, no)
			}
			keys = append(keys, "Enter")
		case c.kind == contest.Identified:
			keys = append(keys, strings.Split(fmt.Sprintf("%02d", at+1), "")...)
		default:
			keys = append(keys, strconv.Itoa(at+1))
		}
	}
	return keys
}

// beginFull begins the contest by its type and pastes the contestants.
func beginFull(t *testing.T, people []paperPerson) *app.Runner {
	t.Helper()
	r := newPhone(t, 7, "AB")
	r.Visit("#/new")
	r.Type("new.name", "Fallow Creek Poultry Contest")
	r.Do("new.start:full")
	if r.State.Open == nil || len(r.State.Open.Contest.Classes) != 12 {
		t.Fatalf("the contest did not begin: %+v", r.State.Notice)
	}
	lines := []string{"Number\tName\tTeam\tAge group"}
	for _, p := range people {
		lines = append(lines, fmt.Sprintf("%d\tContestant %d\t%s\t%s", p.number, p.number, p.team, p.group))
	}
	visit(r, "people", "paste")
	r.Type("people.paste", strings.Join(lines, "\n"))
	r.Do("people.take")
	for _, p := range people {
		visit(r, "person", strconv.Itoa(p.number))
		if p.penalty > 0 {
			r.Type("person.penalty", strconv.FormatFloat(float64(p.penalty)/100, 'f', -1, 64))
		}
		if p.out {
			r.Do("person.out:disqualified")
		}
		if p.alternate {
			r.Type("person.alternate", "on")
		}
		if p.outOf > 0 {
			r.Do(app.Action("person.out-of", strconv.Itoa(p.outOf)))
		}
	}
	return r
}

// keyFull sets and locks every key: hens by the worksheet and by hand, birds and
// eggs by answers and by what is seen, parts by a pasted key, faults by taps.
func keyFull(t *testing.T, r *app.Runner, classes []paperClass) {
	t.Helper()
	bleached := map[int][3]int{1: {3, 3, 1}, 2: {2, 1, 1}, 3: {3, 3, 3}, 4: {3, 1, 1}}
	for hen, taps := range bleached {
		visit(r, "hens", "1", strconv.Itoa(hen))
		for i, place := range []string{"earlobe", "feet", "shank-front"} {
			for range taps[i] {
				r.Do("hens.place:" + place)
			}
		}
	}
	visit(r, "hens", "1", "0")
	r.Do("hens.order")
	r.Do("hens.cuts")
	for _, c := range classes[1:] {
		no := strconv.Itoa(c.no)
		visit(r, "key", no)
		switch c.kind {
		case contest.Awarded:
			continue
		case contest.Placing:
			for _, hen := range c.key[:3] {
				r.Do("key.hen:" + hen)
			}
			for i, cut := range c.cuts {
				for range cut {
					r.Do(fmt.Sprintf("key.cut:%d:1", i+1))
				}
			}
		case contest.Identified:
			r.Type("key.paste-text", strings.Join(c.key, "\n"))
			r.Do("key.paste-take")
		default:
			keyItems(r, c)
		}
	}
	for _, c := range classes {
		if c.kind != contest.Awarded {
			visit(r, "key", strconv.Itoa(c.no))
			r.Do("key.lock")
		}
		class, _ := r.State.Open.Contest.Class(uint32(c.no))
		if key := r.State.Open.Contest.Key(class); key.Missing() > 0 || key.Locked != (c.kind != contest.Awarded) {
			t.Fatalf("the key of class %d: %d missing, locked %v; %+v", c.no, key.Missing(), key.Locked, r.State.Notice)
		}
	}
}

func keyItems(r *app.Runner, c paperClass) {
	for i, answer := range c.key {
		visit(r, "key", strconv.Itoa(c.no), strconv.Itoa(i+1))
		switch {
		case c.no == 4 && i == 0: // half an inch of bare breast is a B by the book
			r.Do("key.site:breast")
			r.Do("key.defect:breast:bare-flesh")
			r.Do("key.set:length:1/2 in")
		case c.no == 9 && i == 1: // a shape that is not quite usual is a B by the book
			r.Do("key.site:middle")
			r.Do("key.defect:middle:shape-unusual")
		case c.kind == contest.Graded:
			r.Do("key.answer:" + answer)
		case answer == "none":
			r.Do("key.none")
		default:
			for _, fault := range strings.Split(answer, "+") {
				r.Do("key.fault:" + fault)
			}
		}
	}
}

// compareFull holds the results of the app against those of the pencil.
func compareFull(t *testing.T, r *app.Runner, classes []paperClass, rows []paperRow, teams []paperTeam) {
	t.Helper()
	got, err := r.State.Open.Scored()
	if err != nil {
		t.Fatal(err)
	}
	if open := app.Provisional(got); len(open) > 0 {
		t.Errorf("still open: %v", open)
	}
	for i, want := range rows {
		for c := range classes {
			if p := int(got.Result.ClassPoints(c, i)); p != want.points[c] {
				t.Errorf("contestant %d, class %d: %d, by hand %d", want.number, c+1, p, want.points[c])
			}
		}
		if total, rank, group := int(got.Result.Total(i)), int(got.Result.Rank[i]), int(got.Result.DivisionRank[i]); total != want.total || rank != want.rank || group != want.group {
			t.Errorf("contestant %d: %d, place %d, %d in the age group; by hand %d, %d, %d", want.number, total, rank, group, want.total, want.rank, want.group)
		}
	}
	for d, name := range got.ClassDivisions {
		for i, want := range rows {
			sum, place := paperPart(classes, rows, i, name)
			if p := got.Parts[d]; int(p.Points(i)) != sum || int(p.Rank[i]) != place {
				t.Errorf("contestant %d, %s: %v, place %d; by hand %d, %d", want.number, name, p.Points(i), p.Rank[i], sum, place)
			}
		}
	}
	for i, want := range teams {
		have := got.Result.Teams[i]
		total := 0
		if want.keys != nil {
			total = want.keys[0]
		}
		if got.Teams[i].Name != want.name || int(have.Total) != total || int(have.Rank) != want.rank {
			t.Errorf("%s: %v, place %d; by hand %s %d, %d", got.Teams[i].Name, have.Total, have.Rank, want.name, total, want.rank)
		}
	}
}

// paperPart is the points and the place in a division of the classes.
func paperPart(classes []paperClass, rows []paperRow, i int, division string) (points, place int) {
	sum := func(r paperRow) int {
		n := 0
		for c, class := range classes {
			if class.division == division {
				n += r.points[c]
			}
		}
		return n
	}
	if rows[i].out {
		return sum(rows[i]), 0
	}
	place = 1
	for _, other := range rows {
		if !other.out && sum(other) > sum(rows[i]) {
			place++
		}
	}
	return sum(rows[i]), place
}

func TestAFullContestFromItsTypeToItsResults(t *testing.T) {
	classes, people := paperClasses(), paperPeople()
	r := beginFull(t, people)
	keyFull(t, r, classes)
	first, _ := r.State.Open.Contest.Class(1)
	key := r.State.Open.Contest.Key(first).Items[0]
	if key.Answer != strings.Join(classes[0].key, "-") {
		t.Fatalf("the worksheet proposes %s", key.Answer)
	}
	classes[0].cuts = [3]int{int(key.Cuts[0]), int(key.Cuts[1]), int(key.Cuts[2])}

	draw := rand.New(rand.NewPCG(4, 12))
	var cards [][][]string
	for _, c := range classes {
		all := paperCards(c, draw)
		visit(r, "keying", strconv.Itoa(c.no))
		for i, p := range people {
			if p.out { // nobody asks for their card, but it can be keyed
				press(r, app.KeyNumber)
				press(r, strings.Split(strconv.Itoa(p.number), "")...)
				press(r, "Enter")
			}
			if r.State.Keying.Card == nil || int(r.State.Keying.Card.Number) != p.number {
				t.Fatalf("class %d: the card of %d is not open: %+v %+v", c.no, p.number, r.State.Keying.Card, r.State.Notice)
			}
			press(r, keysFor(c, all[i])...)
			if p.out {
				visit(r, "keying", strconv.Itoa(c.no), strconv.Itoa(people[i+1].number))
			}
		}
		cards = append(cards, all)
	}
	rows, teams := paperScore(classes, people, cards)
	if rows[40].rank != rows[41].rank {
		t.Error("two who did the same do not share a place")
	}
	compareFull(t, r, classes, rows, teams)
	r = reopen(t, r)
	compareFull(t, r, classes, rows, teams)
	ruleFull(t, r, classes, people, cards)
}

// ruleFull makes a ruling of each sort, and holds what each came to against its
// preview and against the pencil.
func ruleFull(t *testing.T, r *app.Runner, classes []paperClass, people []paperPerson, cards [][][]string) {
	t.Helper()
	for _, ruling := range []struct {
		class, item int
		do          []string
		key         string
	}{
		{4, 3, []string{"ruling.way:also", "ruling.pick:2"}, "C|B"},
		{6, 5, []string{"ruling.way:out"}, "out"},
		{10, 2, []string{"ruling.way:answer", "ruling.pick:1"}, "AA"},
		{12, 4, []string{"ruling.way:answer", "ruling.fault:9"}, "4"},
	} {
		visit(r, "ruling", strconv.Itoa(ruling.class), strconv.Itoa(ruling.item))
		for _, do := range ruling.do {
			r.Do(do)
		}
		preview, err := r.State.RulingPreview()
		if err != nil || preview == nil {
			t.Fatalf("class %d, item %d has no preview: %v", ruling.class, ruling.item, err)
		}
		r.Type("ruling.why", "the officials looked again")
		r.Do("ruling.make")
		classes[ruling.class-1].key[ruling.item-1] = ruling.key
		rows, teams := paperScore(classes, people, cards)
		compareFull(t, r, classes, rows, teams)
		got, err := r.State.Open.Scored()
		if err != nil {
			t.Fatal(err)
		}
		moved := map[uint32]contest.Move{}
		for _, move := range preview.Persons {
			moved[move.Number] = move
		}
		for i, p := range got.Persons {
			move, moves := moved[p.Number]
			before, after := preview.Before.Result.Total(i), got.Result.Total(i)
			if before != after && !moves || moves && (move.After.Total != after || move.After.Rank != got.Result.Rank[i]) {
				t.Errorf("class %d, item %d, contestant %d: %v, place %d; the preview said %+v", ruling.class, ruling.item, p.Number, after, got.Result.Rank[i], move)
			}
		}
		if len(moved) == 0 {
			t.Errorf("class %d, item %d: the ruling moved nobody", ruling.class, ruling.item)
		}
	}
	r = reopen(t, r)
	rows, teams := paperScore(classes, people, cards)
	compareFull(t, r, classes, rows, teams)
	for i, line := range app.RankPersons(mustScore(t, r), nil, "") {
		if want := rows[line.Index]; line.Rank != want.rank || line.Rank > i+1 {
			t.Errorf("line %d has place %d, by hand %d", i+1, line.Rank, want.rank)
		}
	}
}

// reopen starts the app again, from what is on the disk, on the results.
func reopen(t *testing.T, r *app.Runner) *app.Runner {
	t.Helper()
	page := app.Page{Name: "results", Contest: r.State.Open.Head.ID}
	r = restart(t, r)
	r.Visit(page.Hash())
	return r
}

func mustScore(t *testing.T, r *app.Runner) *app.Scored {
	t.Helper()
	scored, err := r.State.Open.Scored()
	if err != nil {
		t.Fatal(err)
	}
	return scored
}
