package score_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/placing"
	"keelcard/engine/points"
	"keelcard/engine/score"
)

// The contest as people write it down: grades by name, placings as text. The
// reference below scores it without any code of the package, and sheet turns
// it into what the package takes.
type paper struct {
	classes   []paperClass
	people    []paperPerson
	ties      []score.Tie
	divisions int
	teams     int
	best      int
}

type paperClass struct {
	placing bool
	key     []paperKey
	lower   bool     // Kentucky's rule for double marks
	cuts    [3]int   // of a placing
	worth   int      // of a placing: 50 or 100
	scale   []string // of a graded class

	join   score.Join // of a graded class: how its slots make its points
	groups int
}

type paperKey struct {
	accepted []string
	out      bool
}

type paperPerson struct {
	team, division int // -1 for none
	unranked       bool
	alternate      bool             // named as one before the start
	penalty        int              // taken off the total
	void           map[int]bool     // by class: disqualified there
	cards          map[int][]string // by class: "A", "-" blank, "A+NG" both, "?" several
}

// pennStatePoints is the table as published: "same grade 10; A/B 7; A/C 4;
// A/NG 0; B/C 7; B/NG 3; C/NG 6; blank or double 0" (Penn State Extension,
// state poultry judging rules).
func pennStatePoints(key, mark string) int {
	if key == mark {
		return 10
	}
	pair := []string{key, mark}
	slices.Sort(pair)
	switch strings.Join(pair, "/") {
	case "A/B":
		return 7
	case "A/C":
		return 4
	case "A/NG":
		return 0
	case "B/C":
		return 7
	case "B/NG":
		return 3
	case "C/NG":
		return 6
	}
	panic("no such pair: " + key + ", " + mark)
}

// answer is what one answer earns in a slot.
func (c *paperClass) answer(key paperKey, mark string) int {
	best := 0
	for _, k := range key.accepted {
		p := 0
		if c.placing {
			p = reference(k, mark, c.cuts) * c.worth / 50
		} else {
			p = pennStatePoints(k, mark)
		}
		best = max(best, p)
	}
	return best
}

// reference is the placing rule written out pair by pair.
func reference(official, given string, cuts [3]int) int {
	left := 50
	for i := range 4 {
		for j := i + 1; j < 4; j++ {
			if strings.IndexByte(given, official[i]) > strings.IndexByte(given, official[j]) {
				for _, cut := range cuts[i:j] {
					left -= cut
				}
			}
		}
	}
	return left
}

var allPlacings = func() (all []string) {
	for n := 1234; n <= 4321; n++ {
		s := fmt.Sprint(n)
		if strings.Contains(s, "1") && strings.Contains(s, "2") && strings.Contains(s, "3") && strings.Contains(s, "4") {
			all = append(all, s)
		}
	}
	return all
}()

func (c *paperClass) answers() []string {
	if c.placing {
		return allPlacings
	}
	return c.scale
}

// mark is what any mark earns in a slot.
func (c *paperClass) mark(slot int, mark string) int {
	key := c.key[slot]
	lowestOf := func(marks []string) int {
		low := c.answer(key, marks[0])
		for _, m := range marks {
			low = min(low, c.answer(key, m))
		}
		return low
	}
	switch {
	case key.out && c.placing:
		return c.worth
	case key.out:
		return 10
	case mark == "-":
		return 0
	case mark == "?" && c.lower:
		return lowestOf(c.answers())
	case strings.Contains(mark, "+") && c.lower:
		return lowestOf(strings.Split(mark, "+"))
	case mark == "?" || strings.Contains(mark, "+"):
		return 0
	}
	return c.answer(key, mark)
}

// card is what a card earns: the sum of its marks; the mean of its groups in
// which anything is marked, to whole points; or the sum of those without fault.
func (c *paperClass) card(card []string) int {
	if c.join == score.Sum {
		return c.sum(0, card)
	}
	sum, marked := 0, 0
	each := len(card) / c.groups
	for g := range c.groups {
		group := card[g*each : (g+1)*each]
		if c.join == score.Whole && c.sum(g*each, group) == 10*each || c.join == score.Mean && strings.Trim(strings.Join(group, ""), "-") != "" {
			sum += c.sum(g*each, group)
			marked++
		}
	}
	if c.join == score.Mean && marked > 0 {
		rest := sum % marked
		if sum /= marked; rest >= marked-rest {
			sum++
		}
	}
	return sum
}

func (c *paperClass) sum(from int, marks []string) (sum int) {
	for s, m := range marks {
		sum += c.mark(from+s, m)
	}
	return sum
}

// outcome is a scored contest, by person and by team.
type outcome struct {
	class                        [][]int // by person and class
	total, rank, divisionRank    []int
	teamTotal, teamRank, teamDiv []int
	counting                     [][]int
	alternate                    []int
	items                        map[string]int // cards by "class slot mark"
}

// score is the plain way: every rank is one more than the number of better
// ones, found by comparing each with each.
func (p *paper) score() outcome {
	n := len(p.people)
	o := outcome{class: make([][]int, n), total: make([]int, n), rank: make([]int, n), divisionRank: make([]int, n), items: map[string]int{}}
	for i, person := range p.people {
		o.class[i] = make([]int, len(p.classes))
		for c, card := range person.cards {
			o.class[i][c] = p.classes[c].card(card)
			for s, m := range card {
				o.items[fmt.Sprint(c, s, m)]++
			}
			o.total[i] += o.class[i][c]
		}
		o.total[i] = max(0, o.total[i]-person.penalty)
	}
	key := func(person int) []int {
		k := []int{o.total[person]}
		for _, tie := range p.ties {
			sum := 0
			for _, c := range tie.Classes {
				sum += o.class[person][c]
			}
			k = append(k, sum)
		}
		return k
	}
	keys := make([][]int, n)
	for i := range keys {
		keys[i] = key(i)
	}
	for i, person := range p.people {
		if person.unranked {
			continue
		}
		o.rank[i] = 1
		if person.division >= 0 {
			o.divisionRank[i] = 1
		}
		for j, other := range p.people {
			if other.unranked || slices.Compare(keys[j], keys[i]) <= 0 {
				continue
			}
			o.rank[i]++
			if person.division >= 0 && person.division == other.division {
				o.divisionRank[i]++
			}
		}
	}
	p.scoreTeams(&o, keys)
	return o
}

func (p *paper) scoreTeams(o *outcome, keys [][]int) {
	o.teamTotal, o.teamRank, o.teamDiv = make([]int, p.teams), make([]int, p.teams), make([]int, p.teams)
	o.counting, o.alternate = make([][]int, p.teams), make([]int, p.teams)
	sums := make([][]int, p.teams)
	divisions := make([]int, p.teams)
	for t := range p.teams {
		var members, named []int
		divisions[t] = -1
		for i, person := range p.people {
			if person.team == t && !person.unranked && !person.alternate {
				members = append(members, i)
			}
			if person.team == t && !person.unranked && person.alternate {
				named = append(named, i)
			}
		}
		better := func(a, b int) int { return slices.Compare(keys[b], keys[a]) }
		slices.SortStableFunc(members, better)
		slices.SortStableFunc(named, better)
		for i, m := range members {
			if d := p.people[m].division; i == 0 {
				divisions[t] = d
			} else if d != divisions[t] {
				divisions[t] = -1
			}
		}
		o.alternate[t] = -1
		if len(members) > p.best {
			o.alternate[t] = members[p.best]
		}
		if len(named) > 0 {
			o.alternate[t] = named[0]
		}
		o.counting[t] = members[:min(p.best, len(members))]
		if len(members) < p.best {
			continue
		}
		sums[t] = make([]int, 1+len(p.ties))
		for _, m := range o.counting[t] {
			for k, v := range keys[m] {
				sums[t][k] += v
			}
		}
		o.teamTotal[t] = sums[t][0]
	}
	for k, tie := range p.ties {
		if !tie.Alternate {
			continue
		}
		final := slices.Clone(sums)
		for t := range sums {
			if sums[t] == nil {
				continue
			}
			all := true
			for u := range sums {
				if sums[u] != nil && slices.Equal(sums[u][:k+1], sums[t][:k+1]) && o.alternate[u] < 0 {
					all = false
				}
			}
			final[t] = slices.Clone(sums[t])
			if all {
				final[t][k+1] = o.total[o.alternate[t]]
			}
		}
		sums = final
	}
	for t := range sums {
		if sums[t] == nil {
			continue
		}
		o.teamRank[t] = 1
		if divisions[t] >= 0 {
			o.teamDiv[t] = 1
		}
		for u := range sums {
			if sums[u] == nil || slices.Compare(sums[u], sums[t]) <= 0 {
				continue
			}
			o.teamRank[t]++
			if divisions[t] >= 0 && divisions[t] == divisions[u] {
				o.teamDiv[t]++
			}
		}
	}
}

// sheet writes the contest the way the package takes it.
func (p *paper) sheet(tb testing.TB) score.Sheet {
	n := len(p.people)
	s := score.Sheet{
		Persons: n, Unranked: make([]bool, n), Ties: p.ties,
		Divisions: p.divisions, Division: make([]int32, n),
		Teams: p.teams, Team: make([]int32, n), TeamBest: p.best,
	}
	for i, person := range p.people {
		s.Unranked[i] = person.unranked
		s.Division[i], s.Team[i] = int32(person.division), int32(person.team)
		s.Penalty, s.Alternate = append(s.Penalty, points.Of(person.penalty)), append(s.Alternate, person.alternate)
	}
	for c := range p.classes {
		class := &p.classes[c]
		sheet := score.ClassSheet{Table: class.table(tb), Has: make([]bool, n), Void: make([]bool, n)}
		for i, person := range p.people {
			card, has := person.cards[c]
			sheet.Has[i], sheet.Void[i] = has, person.void[c]
			for slot := range class.key {
				mark := byte(0xff) // never read without a card
				if has {
					mark = class.byteOf(card[slot])
				}
				sheet.Marks = append(sheet.Marks, mark)
			}
		}
		s.Classes = append(s.Classes, sheet)
	}
	return s
}

func (c *paperClass) byteOf(mark string) byte {
	switch {
	case mark == "-":
		return score.Blank
	case mark == "?":
		return score.Double
	}
	var numbers []int
	for _, m := range strings.Split(mark, "+") {
		numbers = append(numbers, 1+slices.Index(c.answers(), m))
	}
	if len(numbers) == 1 {
		return byte(numbers[0])
	}
	return score.DoubleOf(numbers...)
}

func (c *paperClass) table(tb testing.TB) score.Table {
	double := score.Zero
	if c.lower {
		double = score.Lower
	}
	var table score.Table
	var err error
	if c.placing {
		p := score.Placing{
			Cuts: placing.Cuts{uint8(c.cuts[0]), uint8(c.cuts[1]), uint8(c.cuts[2])},
			Max:  points.Of(c.worth), Double: double, Out: c.key[0].out,
		}
		for i, text := range c.key[0].accepted {
			order, err := placing.ParseOrder(text)
			if err != nil {
				tb.Fatal(err)
			}
			if i == 0 {
				p.Official = order
			} else {
				p.Also = append(p.Also, order)
			}
		}
		table, err = p.Table()
	} else {
		rule := score.PennState()
		rule.Double = double
		var keys []score.Key
		for _, k := range c.key {
			key := score.Key{Out: k.out}
			for _, a := range k.accepted {
				key.Answers = append(key.Answers, uint8(1+slices.Index(c.scale, a)))
			}
			keys = append(keys, key)
		}
		table, err = rule.Compile(keys)
		table.Join, table.Groups, table.Round = c.join, c.groups, points.One
	}
	if err != nil {
		tb.Fatal(err)
	}
	return table
}

// compare reports the first difference between the package and the plain way.
func (p *paper) compare(r *score.Result, want outcome) error {
	for i := range p.people {
		for c := range p.classes {
			if got := r.ClassPoints(c, i); got != points.Of(want.class[i][c]) {
				return fmt.Errorf("person %d class %d: %v points, want %d", i, c, got, want.class[i][c])
			}
		}
		if got := r.Total(i); got != points.Of(want.total[i]) {
			return fmt.Errorf("person %d: total %v, want %d", i, got, want.total[i])
		}
		if int(r.Rank[i]) != want.rank[i] || int(r.DivisionRank[i]) != want.divisionRank[i] {
			return fmt.Errorf("person %d: ranks %d and %d, want %d and %d", i, r.Rank[i], r.DivisionRank[i], want.rank[i], want.divisionRank[i])
		}
		if got, want := int(r.Missing[i]), len(p.classes)-len(p.people[i].cards)-len(p.people[i].void); got != want {
			return fmt.Errorf("person %d: %d cards missing, want %d", i, got, want)
		}
	}
	for t := range p.teams {
		team := r.Teams[t]
		if team.Total != points.Of(want.teamTotal[t]) || int(team.Rank) != want.teamRank[t] || int(team.DivisionRank) != want.teamDiv[t] {
			return fmt.Errorf("team %d: %v, ranks %d and %d, want %d, %d and %d", t, team.Total, team.Rank, team.DivisionRank, want.teamTotal[t], want.teamRank[t], want.teamDiv[t])
		}
		if !sameMembers(team.Counting, want.counting[t]) {
			return fmt.Errorf("team %d: %v count, want %v", t, team.Counting, want.counting[t])
		}
		alternate := -1
		if len(team.Dropped) > 0 {
			alternate = int(team.Dropped[0])
		}
		if alternate != want.alternate[t] {
			return fmt.Errorf("team %d: alternate %d, want %d", t, alternate, want.alternate[t])
		}
	}
	return p.compareItems(r, want.items)
}

func (p *paper) compareItems(r *score.Result, want map[string]int) error {
	total := 0
	for c := range p.classes {
		class := &p.classes[c]
		for s := range class.key {
			item, right, byByte := r.Items[c][s], 0, [256]int{}
			marks := append([]string{"-", "?"}, class.answers()...)
			if !class.placing {
				marks = append(marks, "A+B", "A+NG", "B+C", "A+B+C")
			}
			for _, m := range marks {
				n := want[fmt.Sprint(c, s, m)]
				byByte[class.byteOf(m)] += n
				total += n
				full := 10
				if class.placing {
					full = class.worth
				}
				if class.mark(s, m) == full {
					right += n
				}
			}
			for m, n := range byByte {
				if int(item.Marks[m]) != n {
					return fmt.Errorf("class %d slot %d: mark %#x counted %d times, want %d", c, s, m, item.Marks[m], n)
				}
			}
			if item.Right != right {
				return fmt.Errorf("class %d slot %d: %d right, want %d", c, s, item.Right, right)
			}
		}
	}
	sum := 0
	for _, n := range want {
		sum += n
	}
	if total != sum {
		return fmt.Errorf("the test itself counts %d of %d marks", total, sum)
	}
	return nil
}

func sameMembers(got []int32, want []int) bool {
	return slices.EqualFunc(got, want, func(a int32, b int) bool { return int(a) == b })
}

// randomPaper makes a small contest with many ties, gaps and odd marks.
func randomPaper(rng *rand.Rand) *paper {
	p := &paper{divisions: rng.IntN(3), teams: rng.IntN(5), best: 1 + rng.IntN(3)}
	for range 1 + rng.IntN(4) {
		class := paperClass{scale: []string{"A", "B", "C", "NG"}, lower: rng.IntN(2) == 0}
		slots := rng.IntN(6)
		if rng.IntN(6) == 0 {
			slots = 6 + rng.IntN(14) // past what one load and one lookup take
		}
		if rng.IntN(3) == 0 {
			class.placing, class.worth, slots = true, 50*(1+rng.IntN(2)), 1
			for class.cuts = [3]int{99}; 3*(class.cuts[0]+class.cuts[1]+class.cuts[2])+class.cuts[1] > 50; {
				class.cuts = [3]int{rng.IntN(8), rng.IntN(8), rng.IntN(8)}
			}
		}
		if !class.placing && rng.IntN(3) == 0 {
			class.join = []score.Join{score.Mean, score.Whole}[rng.IntN(2)]
			class.groups = 1 + rng.IntN(4)
			slots *= class.groups
		}
		for range slots {
			key := paperKey{accepted: pick(rng, class.answers(), 1), out: rng.IntN(12) == 0}
			if rng.IntN(8) == 0 {
				key.accepted = pick(rng, class.answers(), 2)
			}
			class.key = append(class.key, key)
		}
		p.classes = append(p.classes, class)
	}
	for range rng.IntN(22) {
		person := paperPerson{team: rng.IntN(p.teams+1) - 1, division: rng.IntN(p.divisions+1) - 1, unranked: rng.IntN(12) == 0, cards: map[int][]string{}}
		person.alternate = rng.IntN(12) == 0
		if rng.IntN(10) == 0 {
			person.penalty = rng.IntN(60)
		}
		for c := range p.classes {
			if rng.IntN(20) == 0 {
				person.void = map[int]bool{c: true}
			} else if rng.IntN(12) > 0 {
				person.cards[c] = randomCard(rng, &p.classes[c])
			}
		}
		p.people = append(p.people, person)
	}
	alternate := false
	for range rng.IntN(4) {
		if rng.IntN(3) == 0 && !alternate {
			alternate = true
			p.ties = append(p.ties, score.Tie{Alternate: true})
			continue
		}
		all := rng.Perm(len(p.classes))
		p.ties = append(p.ties, score.Tie{Classes: all[:1+rng.IntN(len(all))]})
	}
	return p
}

func pick(rng *rand.Rand, from []string, n int) []string {
	var picked []string
	for _, i := range rng.Perm(len(from))[:n] {
		picked = append(picked, from[i])
	}
	return picked
}

func randomCard(rng *rand.Rand, class *paperClass) []string {
	card := make([]string, len(class.key))
	for s := range card {
		switch n := rng.IntN(20); {
		case n == 0:
			card[s] = "-"
		case n == 1:
			card[s] = "?"
		case n == 2 && !class.placing:
			card[s] = pick(rng, []string{"A+B", "A+NG", "B+C", "A+B+C"}, 1)[0]
		case n < 12:
			card[s] = class.key[s].accepted[0]
		default:
			card[s] = pick(rng, class.answers(), 1)[0]
		}
	}
	if class.join != score.Sum && rng.IntN(2) == 0 { // one official gives nothing
		each := len(card) / class.groups
		for s := range each {
			card[s] = "-"
		}
	}
	return card
}
