package hens_test

import (
	"maps"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine/hens"
)

func drawHen(t *rapid.T) hens.Hen {
	var h hens.Hen
	for i := range h.Pigment {
		h.Pigment[i] = hens.Bleach(rapid.IntRange(0, 3).Draw(t, "pigment"))
	}
	h.Pubic = rapid.IntRange(0, hens.MaxFingers).Draw(t, "pubic")
	h.Keel = rapid.IntRange(0, hens.MaxFingers).Draw(t, "keel")
	h.Feel = hens.Feel(rapid.IntRange(0, 4).Draw(t, "feel"))
	if h.Molted = rapid.Bool().Draw(t, "molted"); h.Molted {
		h.Primaries = rapid.IntRange(0, hens.MaxPrimaries).Draw(t, "primaries")
		h.Together = rapid.Bool().Draw(t, "together")
	}
	return h
}

// drawClass draws hens that often are alike, so that later factors come to
// decide, and mostly looked at all over.
func drawClass(t *rapid.T) (class [hens.Count]hens.Hen) {
	pool := []hens.Hen{drawHen(t), drawHen(t)}
	whole := rapid.IntRange(0, 3).Draw(t, "whole") > 0
	for i := range class {
		class[i] = rapid.SampledFrom(pool).Draw(t, "hen")
		if rapid.Bool().Draw(t, "own") {
			class[i] = drawHen(t)
		}
		if whole {
			complete(&class[i])
		}
	}
	return class
}

func complete(h *hens.Hen) {
	for i, state := range h.Pigment {
		h.Pigment[i] = max(state, hens.Yellow)
	}
	h.Pubic, h.Keel, h.Feel, h.Molted = max(h.Pubic, 1), max(h.Keel, 1), max(h.Feel, hens.Hard), true
}

func drawWay(t *rapid.T) hens.Way { return rapid.SampledFrom(hens.Ways()).Draw(t, "way") }

// groupOf is the place of a hen's group.
func groupOf(p hens.Proposal, hen int) int {
	return slices.IndexFunc(p.Groups, func(g []int) bool { return slices.Contains(g, hen) })
}

func TestCutsAreAlwaysAllowed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := hens.Propose(drawClass(t), drawWay(t))
		if err := p.Cuts.Validate(); err != nil || !p.Order.Valid() {
			t.Fatalf("%v %v: %v", p.Order, p.Cuts, err)
		}
		sum := 0
		for i, b := range p.Breaks {
			sum += b.Cut
			tied := groupOf(p, b.Better) == groupOf(p, b.Worse)
			if tied != (b.Cut == 0) || tied != (b.Factor == "") || b.Cut > b.Wanted || b.Cut > 8 || int(p.Cuts[i]) != b.Cut || hens.Band(b.Cut) != b.Band {
				t.Fatalf("%+v in %v", b, p.Groups)
			}
		}
		if sum > 15 {
			t.Fatalf("cuts %v", p.Cuts)
		}
	})
}

func TestOrderOfHensDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		class, way := drawClass(t), drawWay(t)
		to := rapid.Permutation([]int{0, 1, 2, 3}).Draw(t, "to")
		var other [hens.Count]hens.Hen
		for i, h := range class {
			other[to[i]] = h
		}
		p, q := hens.Propose(class, way), hens.Propose(other, way)
		if p.Cuts != q.Cuts || len(p.Odd) != len(q.Odd) || len(p.Steps) != len(q.Steps) {
			t.Fatalf("%+v\n%+v", p, q)
		}
		for i := range class {
			if groupOf(p, i+1) != groupOf(q, to[i]+1) || p.Spans[i] != q.Spans[to[i]] {
				t.Fatalf("hen %d became %d: %v, %v", i+1, to[i]+1, p.Groups, q.Groups)
			}
		}
	})
}

// better gives a hen that is better in one respect that was looked at.
func better(t *rapid.T, h hens.Hen) hens.Hen {
	switch rapid.IntRange(0, 4).Draw(t, "what") {
	case 0:
		i := rapid.IntRange(0, hens.Places-1).Draw(t, "place")
		if h.Pigment[i] != hens.NotLooked {
			h.Pigment[i] = min(h.Pigment[i]+1, hens.Bleached)
		}
	case 1:
		if h.Pubic > 0 {
			h.Pubic++
		}
	case 2:
		if h.Keel > 0 {
			h.Keel++
		}
	case 3:
		if h.Feel != hens.NotFelt {
			h.Feel = min(h.Feel+1, hens.Soft)
		}
	default:
		h.Primaries = max(h.Primaries-1, 0)
	}
	return h
}

func TestBetterIsNeverPlacedLower(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		class, way := drawClass(t), drawWay(t)
		before := hens.Propose(class, way)
		i := rapid.IntRange(0, hens.Count-1).Draw(t, "which")
		class[i] = better(t, class[i])
		after := hens.Propose(class, way)
		for other := 1; other <= hens.Count; other++ {
			was := groupOf(before, i+1) - groupOf(before, other)
			is := groupOf(after, i+1) - groupOf(after, other)
			if was < 0 && is >= 0 || was == 0 && is > 0 {
				t.Fatalf("hen %d against %d: %v became %v", i+1, other, before.Groups, after.Groups)
			}
		}
	})
}

// A step names the hens that were equal until then, and all of a class stand in
// its groups once.
func TestStepsLeadToTheGroups(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := hens.Propose(drawClass(t), drawWay(t))
		groups := [][]int{{1, 2, 3, 4}}
		for _, s := range p.Steps {
			i := slices.IndexFunc(groups, func(g []int) bool { return slices.Equal(g, s.Hens) })
			if i < 0 || len(s.Values) != len(s.Hens) {
				t.Fatalf("%+v of %v", s, groups)
			}
			groups = slices.Replace(groups, i, i+1, s.Ranked...)
		}
		if !slices.EqualFunc(groups, p.Groups, slices.Equal[[]int]) {
			t.Fatalf("the steps give %v, the proposal %v", groups, p.Groups)
		}
	})
}

func TestSpanHoldsOnBothSides(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := drawHen(t)
		s := hens.Estimate(h)
		looked := slices.ContainsFunc(h.Pigment[:], func(b hens.Bleach) bool { return b != hens.NotLooked })
		if s.Known != looked || s.Eggs.High != 0 && s.Eggs.Low > s.Eggs.High || s.Days.High != 0 && s.Days.Low > s.Days.High {
			t.Fatalf("%v: %+v", h.Pigment, s)
		}
	})
}

func TestAnySignsRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := drawHen(t)
		signs := h.Write()
		got, err := hens.Read(signs)
		if err != nil || got != h || !maps.Equal(got.Write(), signs) {
			t.Fatalf("%+v became %+v, %v", h, got, err)
		}
	})
}
