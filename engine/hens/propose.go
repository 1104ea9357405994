package hens

import (
	"keelcard/engine/placing"
	"keelcard/engine/rulebook"
	"keelcard/engine/sorting"
)

// Factors of a placing.
const (
	Pigment  = "pigment"
	Capacity = "capacity" // of the abdomen, in fingers
	Fat      = "fat"      // condition of the abdominal fat, by how it feels
	Handling = "handling" // handling quality, by how skin and fat feel
	Molt     = "molt"
)

// Way is an order of factors.
type Way struct {
	ID         string
	Factors    []string // each parts only hens that are equal in those before it
	Source     string
	Confidence string
}

// ways begins with the default, the later text.
var ways = []Way{
	{"national", []string{Pigment, Capacity, Fat, Molt}, NationalManual, rulebook.Read},
	{"older", []string{Pigment, Handling, Capacity, Molt}, OlderTexts, rulebook.Read},
}

// Ways lists the orders of factors where sources differ; the first is the
// default.
func Ways() []Way { return append([]Way(nil), ways...) }

// WayByID finds an order of factors; an unknown one gives the default.
func WayByID(id string) Way {
	for _, w := range ways {
		if w.ID == id {
			return w
		}
	}
	return ways[0]
}

// Proposal is an order and cuts with how they came about. The official decides.
type Proposal struct {
	Order  placing.Order // best first; of hens that are tied the lower number comes first
	Cuts   placing.Cuts  // always allowed, with a sum of at most 15; 0 between tied hens
	Groups [][]int       // best first; hens of one group are tied
	Steps  []Step
	Breaks [Count - 1]Break // between neighbours of Order
	Left   []Left
	Odd    []Oddity
	Spans  [Count]Span // by hen
}

// Step is one factor held against hens that were equal up to then.
type Step struct {
	Factor string
	Hens   []int    // by number
	Ranked [][]int  // best first; a single group when the factor did not part them
	Values [][]int  // of each of Hens, more being better: half fingers, Feel, weeks of molt below 0, or Bleach by place
	Places []string // of the values for pigment: the last to bleach comes first and weighs most
}

// Break is what lies between two neighbours of the order.
type Break struct {
	Better, Worse int    // hens
	Factor        string // that parts them; empty when nothing does
	Place         string // of pigment: the last place in which they differ
	Gap           int    // how far apart: steps of bleaching, half fingers, steps of feel, weeks of molt
	Wanted        int    // the cut that the gap asks for
	Cut           int    // the cut that is proposed; smaller where the three together were too large
	Band          string // of Cut, see Band
}

// Left is a measure that was not compared because it is lacking on some hens.
type Left struct {
	Factor string
	Place  string // of pigment; KeyPubic or KeyKeel of capacity
	Hens   []int  // on which it is lacking
}

// Propose makes the proposal for a class by an order of factors.
func Propose(class [Count]Hen, way Way) Proposal {
	p := Proposal{Groups: [][]int{{1, 2, 3, 4}}, Odd: oddities(class)}
	for i, h := range class {
		p.Spans[i] = Estimate(h)
	}
	measured := make([]scale, len(way.Factors))
	for i, f := range way.Factors {
		measured[i] = measure(f, class)
		p.Left = append(p.Left, measured[i].left...)
		p.part(&measured[i])
	}
	n := 0
	for _, group := range p.Groups {
		for _, hen := range group {
			p.Order[n] = uint8(hen)
			n++
		}
	}
	p.breaks(measured)
	return p
}

// scale is a factor made ready to compare the hens of a class: the values of
// each, the weightiest first, more being better.
type scale struct {
	factor string
	values [Count][]int
	places []string // of the values, for pigment
	left   []Left
}

// part splits each group of equal hens by a factor and keeps the step.
func (p *Proposal) part(s *scale) {
	if len(s.values[0]) == 0 {
		return
	}
	var groups [][]int
	for _, group := range p.Groups {
		if len(group) == 1 {
			groups = append(groups, group)
			continue
		}
		ranked := s.rank(group)
		step := Step{Factor: s.factor, Hens: group, Ranked: ranked}
		if s.factor == Pigment {
			step.Places = s.places
		}
		for _, hen := range group {
			step.Values = append(step.Values, s.values[hen-1])
		}
		p.Steps = append(p.Steps, step)
		groups = append(groups, ranked...)
	}
	p.Groups = groups
}

// rank puts hens in order, those that are equal together.
func (s *scale) rank(group []int) (ranked [][]int) {
	sorted := append([]int(nil), group...)
	sorting.Stable(sorted, func(a, b int) int { return s.compare(b, a) })
	for i, hen := range sorted {
		if i == 0 || s.compare(sorted[i-1], hen) != 0 {
			ranked = append(ranked, nil)
		}
		last := len(ranked) - 1
		ranked[last] = append(ranked[last], hen)
	}
	return ranked
}

// compare is above 0 when hen a is the better.
func (s *scale) compare(a, b int) int {
	if i := s.differ(a, b); i >= 0 {
		return s.values[a-1][i] - s.values[b-1][i]
	}
	return 0
}

// differ is the first value in which two hens differ, -1 when there is none.
func (s *scale) differ(a, b int) int {
	for i, v := range s.values[a-1] {
		if v != s.values[b-1][i] {
			return i
		}
	}
	return -1
}

// measure reads a factor of each hen. What is lacking on one hen is compared on
// none, so that no hen gains by not being looked at.
func measure(factor string, class [Count]Hen) scale {
	s := scale{factor: factor}
	switch factor {
	case Pigment: // the last place to lose pigment weighs most
		for i := Places - 1; i >= 0; i-- {
			s.take(class, chart[i].ID, func(h Hen) (int, bool) { return int(h.Pigment[i]), h.Pigment[i] != NotLooked })
		}
	case Capacity:
		s.take(class, KeyPubic, func(h Hen) (int, bool) { return h.Pubic, h.Pubic > 0 })
		s.take(class, KeyKeel, func(h Hen) (int, bool) { return h.Keel, h.Keel > 0 })
		s.add()
	case Fat, Handling:
		s.take(class, "", func(h Hen) (int, bool) { return int(h.Feel), h.Feel != NotFelt })
	case Molt: // the shorter the better
		s.take(class, "", func(h Hen) (int, bool) { return -MoltWeeks(h.Primaries, h.Together), h.Molted })
	}
	return s
}

// take adds a value of each hen to the scale, or tells on which it is lacking.
func (s *scale) take(class [Count]Hen, place string, read func(Hen) (int, bool)) {
	var values [Count]int
	var lacking []int
	for i, h := range class {
		v, ok := read(h)
		if values[i] = v; !ok {
			lacking = append(lacking, i+1)
		}
	}
	if len(lacking) > 0 {
		s.left = append(s.left, Left{s.factor, place, lacking})
		return
	}
	s.places = append(s.places, place)
	for i, v := range values {
		s.values[i] = append(s.values[i], v)
	}
}

// add makes one value of several: the fingers of both measures together.
func (s *scale) add() {
	for i, values := range s.values {
		if len(values) == 2 {
			s.values[i] = []int{values[0] + values[1]}
		}
	}
}
