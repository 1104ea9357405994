package hens

// maxSum is what three cuts may add up to at most (Colorado State fact sheet
// 1.619; Maryland slides, see keelcard/engine/placing).
const maxSum = 15

// Bands of a cut (University of Nebraska-Lincoln, NebGuide G2092, 2011): 1 and
// 2 difficult, 3 and 4 sortable, 5 and 6 fairly easy, 7 and 8 very easy; none
// is over 8.
const (
	Tied       = "tied" // a cut of 0: either order is right (common practice)
	Difficult  = "difficult"
	Sortable   = "sortable"
	FairlyEasy = "fairly-easy"
	VeryEasy   = "very-easy"
)

// Band tells how hard a pair with this cut is to place.
func Band(cut int) string {
	switch {
	case cut <= 0:
		return Tied
	case cut <= 2:
		return Difficult
	case cut <= 4:
		return Sortable
	case cut <= 6:
		return FairlyEasy
	}
	return VeryEasy
}

// asked is the cut for hens that lie so far apart in a factor, from a gap of 1
// up. What parts a pair only in a later factor is hard to see, so its cuts stay
// small. How gaps go over into cuts is common practice: sources give the bands
// and leave it to the official what lies in which.
var asked = map[string][]int{
	Pigment:  {2, 3, 4, 5, 6, 6, 7, 7, 8},
	Capacity: {1, 2, 2, 3, 3, 4},
	Fat:      {1, 2, 3},
	Handling: {1, 2, 3},
	Molt:     {1, 1, 1, 1, 1, 2, 2, 2, 2, 2, 2, 3},
}

// breaks tells what lies between neighbours and fits the cuts together.
func (p *Proposal) breaks(measured []scale) {
	for i := range p.Breaks {
		b := &p.Breaks[i]
		b.Better, b.Worse = int(p.Order[i]), int(p.Order[i+1])
		for j := range measured {
			if measured[j].between(b) {
				break
			}
		}
		if b.Factor != "" {
			table := asked[b.Factor]
			b.Wanted = table[min(b.Gap, len(table))-1]
		}
		p.Cuts[i] = uint8(b.Wanted)
	}
	p.fit()
	for i := range p.Breaks {
		b := &p.Breaks[i]
		b.Cut = int(p.Cuts[i])
		b.Band = Band(b.Cut)
	}
}

// between fills in how far two hens are apart when this factor parts them.
func (s *scale) between(b *Break) bool {
	i := s.differ(b.Better, b.Worse)
	if i < 0 {
		return false
	}
	b.Factor = s.factor
	better, worse := s.values[b.Better-1], s.values[b.Worse-1]
	if s.factor == Pigment {
		b.Place = s.places[i]
	}
	for k := range better {
		b.Gap += better[k] - worse[k]
	}
	b.Gap = max(b.Gap, 1) // pigment that came back in earlier places can outweigh the last one
	return true
}

// fit takes from the largest cut until the three are allowed together. Of equal
// ones the middle gives first, which counts most in a full reversal. A cut that
// parts two hens stays above 0.
func (p *Proposal) fit() {
	for p.Cuts.Validate() != nil || int(p.Cuts[0])+int(p.Cuts[1])+int(p.Cuts[2]) > maxSum {
		largest := 1
		for _, i := range []int{2, 0} {
			if p.Cuts[i] > p.Cuts[largest] {
				largest = i
			}
		}
		p.Cuts[largest]--
	}
}
