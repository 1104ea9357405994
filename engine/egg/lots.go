package egg

import (
	"slices"
	"strconv"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/rulebook"
)

// When a lot is graded.
const (
	Origin      = "origin"
	Destination = "destination"
)

// Sample is how many eggs of each quality a sample of a lot holds.
type Sample struct {
	AA, A, B int
	WorstB   int // of B: air cell over 3/8 in, small blood spots or serious yolk defects
	Checks   int
	Dirties  int
	Leakers  int
	Loss     int  // by blood or meat spots
	Jumbo    bool // the lot is of Jumbo eggs
}

// Eggs is the size of the sample.
func (s Sample) Eggs() int { return s.AA + s.A + s.B + s.Checks + s.Dirties + s.Leakers + s.Loss }

// What a tolerance counts.
const (
	CountAA     = "aa"          // AA quality
	CountA      = "a-or-better" // AA and A quality
	CountB      = "b-or-better" // AA, A and B quality
	CountWorstB = "worst-b"     // B by air cell over 3/8 in, blood spots or serious yolk defects
	CountChecks = "checks"
	CountBad    = "bad" // leakers, dirties and loss together
	CountLoss   = "loss"
)

// Count is how many eggs of the sample a tolerance counts.
func (s Sample) Count(what string) int {
	switch what {
	case CountAA:
		return s.AA
	case CountA:
		return s.AA + s.A
	case CountB:
		return s.AA + s.A + s.B
	case CountWorstB:
		return s.WorstB
	case CountChecks:
		return s.Checks
	case CountBad:
		return s.Dirties + s.Leakers + s.Loss
	}
	return s.Loss
}

// Tolerance is one condition of a consumer grade of a lot: the least share of a
// quality it asks for, or the most it allows.
type Tolerance struct {
	Grade      string // AA, A or B
	At         string // Origin or Destination
	Counts     string // CountAA and its sisters
	Least      bool   // whether Share is asked for; else it is the most
	Share      amount.Share
	Jumbo      amount.Share // for Jumbo eggs; as Share when zero
	Source     string
	Confidence string
}

var tolerances = []Tolerance{
	atOrigin("AA", CountAA, true, 870, 0),
	atOrigin("AA", CountWorstB, false, 10, 0),
	atOrigin("AA", CountChecks, false, 50, 70),
	atOrigin("AA", CountBad, false, 5, 0),
	atOrigin("AA", CountLoss, false, 3, 0),
	atOrigin("A", CountA, true, 870, 0),
	atOrigin("A", CountWorstB, false, 10, 0),
	atOrigin("A", CountChecks, false, 50, 70),
	atOrigin("A", CountBad, false, 5, 0),
	atOrigin("A", CountLoss, false, 3, 0),
	atOrigin("B", CountB, true, 900, 0),
	atOrigin("B", CountChecks, false, 100, 0),
	atOrigin("B", CountBad, false, 5, 0),
	atOrigin("B", CountLoss, false, 3, 0),
	onArrival("AA", CountAA, true, 720, 0),
	onArrival("AA", CountA, true, 820, 0),
	onArrival("AA", CountWorstB, false, 10, 0),
	onArrival("AA", CountChecks, false, 70, 90),
	onArrival("AA", CountBad, false, 10, 0),
	onArrival("AA", CountLoss, false, 3, 0),
	onArrival("A", CountA, true, 820, 0),
	onArrival("A", CountWorstB, false, 10, 0),
	onArrival("A", CountChecks, false, 70, 90),
	onArrival("A", CountBad, false, 10, 0),
	onArrival("A", CountLoss, false, 3, 0),
	onArrival("B", CountB, true, 900, 0),
	onArrival("B", CountChecks, false, 100, 0),
	onArrival("B", CountBad, false, 10, 0),
	onArrival("B", CountLoss, false, 3, 0),
}

// atOrigin is a line in thousandths of the sample, which was read.
func atOrigin(grade, counts string, least bool, share, jumbo int64) Tolerance {
	return Tolerance{grade, Origin, counts, least, amount.Portion(share, 1000), amount.Portion(jumbo, 1000), "hawaii", rulebook.Read}
}

// onArrival is a line for the destination, likewise, which is from memory.
func onArrival(grade, counts string, least bool, share, jumbo int64) Tolerance {
	return Tolerance{grade, Destination, counts, least, amount.Portion(share, 1000), amount.Portion(jumbo, 1000), "ams-56", rulebook.FromMemory}
}

// Tolerances lists the conditions of the consumer grades, best grade first.
func Tolerances() []Tolerance { return slices.Clone(tolerances) }

// Bound is the share that holds for a lot of Jumbo eggs, or of others.
func (t Tolerance) Bound(jumbo bool) amount.Share {
	if jumbo && t.Jumbo.Num > 0 {
		return t.Jumbo
	}
	return t.Share
}

// Miss is a tolerance that a sample does not keep.
type Miss struct {
	Tolerance
	Count int          // eggs that it counts
	Found amount.Share // of the sample
	Bound amount.Share // that holds for this lot
}

// LotGrade is the consumer grade that a sample makes.
type LotGrade struct {
	Grade  string // "" when the lot makes none
	Eggs   int    // in the sample
	Missed []Miss // what keeps it from each better grade
}

// GradeLot gives the best grade of which a sample keeps every tolerance, at the
// place of origin or the destination, and what it missed of the better ones. It
// fails with CodeSample for counts that no sample can have and CodeMoment for
// another moment.
func GradeLot(s Sample, at string) (LotGrade, error) {
	if at != Origin && at != Destination {
		return LotGrade{}, engine.New(CodeMoment, "at", strconv.Quote(at)+" is no moment at which a lot is graded", "write origin or destination")
	}
	if err := s.check(); err != nil {
		return LotGrade{}, err
	}
	out := LotGrade{Eggs: s.Eggs()}
	for _, grade := range []string{"AA", "A", "B"} {
		missed := s.misses(grade, at)
		if len(missed) == 0 {
			out.Grade = grade
			break
		}
		out.Missed = append(out.Missed, missed...)
	}
	return out, nil
}

func (s Sample) check() error {
	for _, n := range []int{s.AA, s.A, s.B, s.WorstB, s.Checks, s.Dirties, s.Leakers, s.Loss} {
		if n < 0 || n > amount.MaxCount {
			return badSample(n, s.Eggs())
		}
	}
	if s.Eggs() == 0 || s.WorstB > s.B {
		return badSample(s.WorstB, s.B)
	}
	return nil
}

func badSample(part, eggs int) error {
	return engine.New(CodeSample, "", strconv.Itoa(part)+" of "+strconv.Itoa(eggs)+" eggs is no count of a sample", "count the eggs again")
}

// misses gives the tolerances of one grade that the sample does not keep.
func (s Sample) misses(grade, at string) (out []Miss) {
	for _, t := range tolerances {
		if t.Grade != grade || t.At != at {
			continue
		}
		n := s.Count(t.Counts)
		found, bound := amount.Portion(int64(n), int64(s.Eggs())), t.Bound(s.Jumbo)
		if t.Least && over(bound, found) || !t.Least && over(found, bound) {
			out = append(out, Miss{t, n, found, bound})
		}
	}
	return out
}

// Draw is one line of the plan by which a lot is sampled.
type Draw struct {
	From, To   int // cases in the lot
	Cases      int // cases drawn
	Source     string
	Confidence string
}

// EggsOfCase is how many eggs of each case drawn are examined (7 CFR 56.4).
const EggsOfCase = 100

var draws = []Draw{
	draw(1, 1, 1), draw(2, 10, 2), draw(11, 25, 3), draw(26, 50, 4), draw(51, 100, 5), draw(101, 200, 8),
	draw(201, 300, 11), draw(301, 400, 13), draw(401, 500, 14), draw(501, 600, 16),
}

func draw(from, to, cases int) Draw { return Draw{from, to, cases, "cfr-56", rulebook.Read} }

// Draws lists the plan up to 600 cases; each further 50, or part of them, add one.
func Draws() []Draw { return slices.Clone(draws) }

// CasesToDraw is how many cases of a lot are drawn, 0 for no lot.
func CasesToDraw(lot int) int {
	if lot < 1 {
		return 0
	}
	for _, d := range draws {
		if lot <= d.To {
			return d.Cases
		}
	}
	last := draws[len(draws)-1]
	return last.Cases + (lot-last.To-1)/50 + 1
}
