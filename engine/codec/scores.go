package codec

import (
	"cmp"
	"slices"

	"keelcard/engine/codec/rangecoder"
	"keelcard/engine/sorting"
)

// resultsModel knows what results usually look like. It serves both directions,
// as model does for records.
//
// Points are told in light of two things that become known as the rows go by:
// how hard the class is and how good the contestant is. The difference is taken
// to lie around that expectation like a logistic distribution, as wide as the
// differences so far.
type resultsModel struct {
	r     *Results
	err   error
	count rangecoder.Number
	index rangecoder.Number

	same, whole, fits, over rangecoder.Bit
	like, step, most        rangecoder.Number

	number, division rangecoder.Signed
	team             [teamRuns]rangecoder.Signed
	none             [2]rangecoder.Bit
	docked           rangecoder.Bit
	penalty          rangecoder.Number
	follows, ranked  rangecoder.Bit
	shared           rangecoder.Bit
	rank             rangecoder.Number
	text             rangecoder.Text

	classes []classModel
}

// classModel is what is known of a class so far. Numbers are in 256ths of a
// step, which is what all points of the class are multiples of.
type classModel struct {
	step    int   // hundredths of a point
	top     int   // most steps
	n       int64 // contestants seen
	sum     int64 // of their points, less what their skill explains
	missSum int64 // of the differences from what was expected
}

// teamRuns is how far the size of a team is counted.
const teamRuns = 8

// pulls is how many ways there are to weigh a contestant's earlier classes; the
// writer takes the one that comes out shortest.
const pulls = 4

func newResultsModel(r *Results) *resultsModel { return &resultsModel{r: r} }

func (m *resultsModel) fail(what string) {
	if m.err == nil {
		m.err = malformed("results", what, nil)
	}
}

// upTo codes a number that may not exceed most.
func (m *resultsModel) upTo(c *rangecoder.Coder, n *rangecoder.Number, v, most int) int {
	if m.err != nil {
		return 0
	}
	got := n.Code(c, uint64(v))
	switch {
	case got > uint64(most):
		m.fail("a number is too large")
	case c.Short():
		m.fail("they end too early")
	default:
		return int(got)
	}
	return 0
}

// resize codes the length of a list and makes room for it when reading.
func resize[T any](m *resultsModel, c *rangecoder.Coder, list *[]T, most int) {
	n := m.upTo(c, &m.count, len(*list), most)
	if !c.Writing() && n > 0 {
		*list = make([]T, n)
	}
}

func (m *resultsModel) results(c *rangecoder.Coder, flags, pull byte) {
	r := m.r
	resize(m, c, &r.Rows, MaxRows)
	resize(m, c, &r.Classes, MaxClasses)
	if len(r.Rows)*len(r.Classes) > MaxCells {
		m.err = tooLarge("entries", uint64(len(r.Rows)*len(r.Classes)), MaxCells)
		return
	}
	resize(m, c, &r.TieOrder, MaxClasses)
	for i := range r.TieOrder {
		r.TieOrder[i] = m.upTo(c, &m.index, r.TieOrder[i], MaxClasses)
	}
	m.classHeads(c)
	m.rowHeads(c)
	pull = byte(c.Even(2, uint64(pull)))
	for i := range r.Rows {
		if m.err != nil {
			return
		}
		m.points(c, &r.Rows[i], int64(pull))
		if flags&flagPenalties != 0 && m.docked.Code(c, r.Rows[i].Penalty != 0) {
			r.Rows[i].Penalty = m.upTo(c, &m.penalty, r.Rows[i].Penalty, MaxPoints)
		}
	}
	m.rowRanks(c)
	r.TeamBest = m.upTo(c, &m.count, r.TeamBest, MaxTeams)
	resize(m, c, &r.TeamRanks, MaxTeams)
	if m.err == nil && len(r.TeamRanks) > 0 {
		m.ranks(c, r.teamTotals(), r.TeamRanks)
	}
	if flags&flagTexts != 0 && m.err == nil {
		m.texts(c)
	}
}

func (m *resultsModel) texts(c *rangecoder.Coder) {
	resize(m, c, &m.r.Teams, MaxTeams)
	resize(m, c, &m.r.Divisions, MaxClasses)
	for _, s := range m.r.names() {
		got, ok := m.text.String(c, *s, MaxName)
		if !ok {
			m.fail("a name is too long, or they end too early")
			return
		}
		*s = got
	}
}

// head is what is written about a class before its points: the most points and
// the step in hundredths, and the most steps anybody has.
type head struct{ most, step, top int }

func (m *resultsModel) classHeads(c *rangecoder.Coder) {
	m.classes = make([]classModel, len(m.r.Classes))
	var known []head
	var was head
	for i := range m.classes {
		var h head
		if c.Writing() {
			h.step, h.top = m.steps(i)
			h.most = m.r.Classes[i].Max
		}
		if i > 0 && m.same.Code(c, h == was) {
			h = was
		} else {
			place := slices.Index(known, h)
			if place < 0 {
				place = len(known)
			}
			if place = m.upTo(c, &m.like, place, len(known)); place < len(known) {
				h = known[place]
			} else {
				h = m.newHead(c, h)
				known = append(known, h)
			}
		}
		if m.err != nil {
			return
		}
		m.r.Classes[i].Max, m.classes[i].step, m.classes[i].top = h.most, h.step, h.top
		was = h
	}
}

// newHead codes the head of a class that is like none before. Points are mostly
// whole, the most points mostly some number of steps, and nobody has more.
func (m *resultsModel) newHead(c *rangecoder.Coder, h head) head {
	unit := 1
	if m.whole.Code(c, h.step%100 == 0) {
		unit = 100
	}
	step := m.upTo(c, &m.step, h.step/unit, MaxPoints) * unit
	if step == 0 || step > MaxPoints {
		m.fail("the step of a class is 0 or too large")
		return head{}
	}
	unit = 1
	if m.fits.Code(c, h.most%step == 0) {
		unit = step
	}
	most := m.upTo(c, &m.most, h.most/unit, MaxPoints) * unit
	top := most / step
	if m.over.Code(c, h.top != top) {
		top = m.upTo(c, &m.most, h.top, MaxPoints)
	}
	if most > MaxPoints || top*step > MaxPoints {
		m.fail("the points of a class are too many")
	}
	return head{most, step, top}
}

// steps gives what all points of a class are multiples of, and the most steps,
// which is more than the most points only when somebody has more.
func (m *resultsModel) steps(class int) (step, top int) {
	for i := range m.r.Rows {
		p := int(m.r.Rows[i].Points[class])
		top = max(top, p)
		for a := max(p, 0); a != 0; {
			step, a = a, step%a
		}
	}
	if step == 0 {
		step = 100
	}
	return step, max(top, m.r.Classes[class].Max) / step
}

func (m *resultsModel) rowHeads(c *rangecoder.Coder) {
	var was Row
	run := 0 // how many in a row are of one team: teams mostly have one size
	move := func(s *rangecoder.Signed, from, to, most int) int {
		d := s.Code(c, int64(to)-int64(from))
		if d < -int64(most) || d > int64(most) || int64(from)+d < 0 || int64(from)+d > int64(most) {
			m.fail("a number is too large")
			return 0
		}
		return from + int(d)
	}
	for i := range m.r.Rows {
		row := &m.r.Rows[i]
		row.Number = move(&m.number, was.Number, row.Number, 1<<32-1)
		row.Team = move(&m.team[run], was.Team, row.Team, MaxTeams)
		if run = min(run+1, teamRuns-1); row.Team != was.Team {
			run = 1
		}
		row.Division = move(&m.division, was.Division, row.Division, MaxClasses)
		was = *row
		if c.Short() {
			m.fail("they end too early")
		}
		if m.err != nil {
			return
		}
	}
}

// points codes the points of one contestant. What earlier classes say about the
// skill counts for more the lower pull is.
func (m *resultsModel) points(c *rangecoder.Coder, row *Row, pull int64) {
	if !c.Writing() {
		row.Points = make([]int32, len(m.classes))
	}
	var skill, seen int64 // sum of the differences in 256ths of the usual one
	none := false
	for i := range m.classes {
		class, p := &m.classes[i], &row.Points[i]
		if none = m.none[pick(none)].Code(c, *p < 0); none {
			*p = -1
			continue
		}
		mean, miss := class.usual()
		lead := skill * miss / 256 / (seen + 1 + pull)
		steps := class.code(c, int(*p)/class.step, mean+lead, miss)
		*p = int32(steps * class.step)
		at := int64(steps) * 256
		skill += min(max((at-mean)*256/miss, -2048), 2048)
		seen++
		class.n++
		class.sum += at - lead
		class.missSum += max(at-mean-lead, mean+lead-at)
		if c.Short() {
			m.fail("they end too early")
			return
		}
	}
}

// usual gives the mean of a class so far and the usual difference from what is
// expected, beginning from three quarters of the most and an eighth.
func (class *classModel) usual() (mean, miss int64) {
	top := int64(class.top) * 256
	mean = (class.sum*2 + top*3/4) / (class.n*2 + 1)
	miss = (class.missSum + top/8) / (class.n + 1)
	return mean, max(miss, 64)
}

// code codes a number of steps that is expected around a place, halving the
// range it can lie in. What lies beyond the ends of the range counts to them.
func (class *classModel) code(c *rangecoder.Coder, v int, expect, miss int64) int {
	below := func(steps int) uint32 { // the probability of less than that, in 65536ths
		edge := int64(steps)*256 - 128 - expect
		return rangecoder.Logistic(int(edge * 355 / miss)) // a logistic curve lies 355/256 of its width away
	}
	lo, hi := 0, class.top+1
	pLo, pHi := uint32(0), uint32(1<<16)
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		pMid := min(max(below(mid), pLo), pHi)
		odds := (pMid - pLo + 1) << 16 / (pHi - pLo + 2)
		if c.Odds(min(max(odds, 16), 1<<16-16), v < mid) {
			hi, pHi = mid, pMid
		} else {
			lo, pLo = mid, pMid
		}
	}
	return lo
}

func (m *resultsModel) rowRanks(c *rangecoder.Coder) {
	totals, ranks := make([]int64, len(m.r.Rows)), make([]int, len(m.r.Rows))
	for i := range m.r.Rows {
		totals[i], ranks[i] = m.r.Rows[i].Total(), m.r.Rows[i].Rank
	}
	m.ranks(c, totals, ranks)
	for i := range m.r.Rows {
		m.r.Rows[i].Rank = ranks[i]
	}
}

// ranks codes places. When they follow from the totals, which one decision says,
// only the ties need more.
func (m *resultsModel) ranks(c *rangecoder.Coder, totals []int64, ranks []int) {
	if m.err != nil {
		return
	}
	follow := false
	if c.Writing() {
		follow = followTotals(totals, ranks)
	}
	if !m.follows.Code(c, follow) {
		for i := range ranks {
			ranks[i] = m.upTo(c, &m.rank, ranks[i], len(ranks))
		}
		return
	}
	var order []int
	for i := range ranks {
		if m.ranked.Code(c, ranks[i] > 0) {
			order = append(order, i)
		}
	}
	sorting.Stable(order, func(a, b int) int { return cmp.Compare(totals[b], totals[a]) })
	for i := 0; i < len(order); {
		j := i + 1
		for j < len(order) && totals[order[j]] == totals[order[i]] {
			j++
		}
		m.tie(c, order[i:j], ranks, i+1)
		i = j
	}
	if c.Short() {
		m.fail("they end too early")
	}
}

// tie codes the order of those with one total, of which the best has a place:
// for each in turn who of the rest it is, and whether the place is shared with
// the one before.
func (m *resultsModel) tie(c *rangecoder.Coder, tied, ranks []int, place int) {
	wanted := slices.Clone(tied)
	sorting.Stable(wanted, func(a, b int) int { return cmp.Compare(ranks[a], ranks[b]) })
	for i := range tied {
		rest := tied[i:]
		next := 0
		if c.Writing() {
			next = slices.Index(rest, wanted[i])
		}
		next = even(c, next, len(rest))
		who := rest[next]
		copy(rest[1:next+1], rest[:next])
		rest[0] = who
		if i > 0 && m.shared.Code(c, ranks[who] == ranks[tied[i-1]]) {
			ranks[who] = ranks[tied[i-1]]
		} else {
			ranks[who] = place + i
		}
	}
}

// even codes one of n, each as likely as the others.
func even(c *rangecoder.Coder, v, n int) int {
	lo, hi := 0, n
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		if c.Odds(uint32((mid-lo)<<16/(hi-lo)), v < mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return lo
}

// followTotals says whether the ranks are places by total, a shared place taking
// as many places as it has holders.
func followTotals(totals []int64, ranks []int) bool {
	var order []int
	for i := range ranks {
		if ranks[i] > 0 {
			order = append(order, i)
		}
	}
	sorting.Stable(order, func(a, b int) int { return cmp.Compare(ranks[a], ranks[b]) })
	for i, at := range order {
		switch {
		case i > 0 && totals[at] > totals[order[i-1]]:
			return false
		case i > 0 && ranks[at] == ranks[order[i-1]]:
			if totals[at] != totals[order[i-1]] {
				return false
			}
		case ranks[at] != i+1:
			return false
		}
	}
	return true
}
