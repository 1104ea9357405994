package reader

import (
	"math"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode/detector"
)

// Corners of a code are looked for in every line of so many.
const lines = 3

// Random squares look like a corner in some pictures, and like one that fits two
// others. So not the best three corners are taken, but the likeliest in turn.
const (
	likely = 6 // corners
	tries  = 8 // threes of them
)

// planes goes over how codes may lie in the picture, the likeliest first.
func planes(squares *gozxing.BitMatrix) func(func(plane) bool) {
	return func(try func(plane) bool) {
		found := corners(squares)
		left := tries
		for k := range found {
			for j := range k {
				for i := range j {
					p, ok := planeOf(squares, found[i], found[j], found[k])
					if !ok {
						continue
					}
					if left--; left < 0 || !try(p) {
						return
					}
				}
			}
		}
	}
}

// corners gives what looks like a corner of a code, the likeliest first: the more
// lines meet it, the likelier it is.
func corners(squares *gozxing.BitMatrix) []*detector.FinderPattern {
	finder := detector.NewFinderPatternFinder(squares, nil)
	for y := lines / 2; y < squares.GetHeight(); y += lines {
		cornersIn(squares, finder, y)
	}
	found := finder.GetPossibleCenters()
	for i := range found {
		for j := i; j > 0 && found[j].GetCount() > found[j-1].GetCount(); j-- {
			found[j], found[j-1] = found[j-1], found[j]
		}
	}
	return found[:min(len(found), likely)]
}

// cornersIn tells the finder where a line runs dark, light, dark, light and dark
// as through the middle of a corner. It looks up, down and aslant from there.
func cornersIn(squares *gozxing.BitMatrix, finder *detector.FinderPatternFinder, y int) {
	var runs [5]int
	dark := false
	for x := range squares.GetWidth() + 1 {
		now := x < squares.GetWidth() && squares.Get(x, y)
		if now != dark {
			if dark && detector.FinderPatternFinder_foundPatternCross(runs[:]) {
				finder.HandlePossibleCenter(runs[:], y, x)
			}
			copy(runs[:], runs[1:])
			runs[4] = 0
			dark = now
		}
		runs[4]++
	}
}

// A spot is a place in the picture, in pixels.
type spot struct{ x, y float64 }

func (s spot) plus(t spot, times float64) spot { return spot{s.x + t.x*times, s.y + t.y*times} }

func (s spot) minus(t spot) spot { return s.plus(t, -1) }

func (s spot) length() float64 { return math.Hypot(s.x, s.y) }

// across is twice the triangle between two ways: 0 when one goes along the other.
func (s spot) across(t spot) float64 { return s.x*t.y - s.y*t.x }

// A plane is how a code lies in the picture, from the middle of one corner to
// those of two others, and how many times as far away these are.
type plane struct {
	top, right, down    spot
	deepRight, deepDown float64
	side                float64 // squares from corner to corner
}

// What a plane can be: so many squares from corner to corner, and one corner so
// many times as far away as another.
const (
	smallest = 14
	largest  = 170
	deepest  = 1.6
)

// planeOf takes three corners for those of one code; it is false when they cannot be.
func planeOf(squares *gozxing.BitMatrix, a, b, c *detector.FinderPattern) (p plane, ok bool) {
	left, top, right := gozxing.ResultPoint_OrderBestPatterns(a, b, c)
	p = plane{top: spotOf(top), right: spotOf(right), down: spotOf(left)}
	wide, deepRight := edge(squares, p.top, p.right)
	high, deepDown := edge(squares, p.top, p.down)
	p.deepRight, p.deepDown, p.side = deepRight, deepDown, (wide+high)/2
	ok = min(wide, high) > 0.7*max(wide, high) && max(wide, high) < largest &&
		min(deepRight, deepDown) > 1/deepest && max(deepRight, deepDown) < deepest
	return p, ok
}

// sizes are what a code can have from corner to corner, the likeliest first: 14
// squares, 18 and so on.
func sizes(measured float64) [3]float64 {
	first := max(smallest, 4*math.Round((measured-smallest)/4)+smallest)
	other := math.Copysign(4, measured-first)
	return [3]float64{first, first + other, max(smallest, first-other)}
}

func spotOf(p gozxing.ResultPoint) spot { return spot{p.GetX(), p.GetY()} }

// edge measures from the middle of one corner to that of another: how many squares
// it is, and how many times as far away the other is. Both follow from how long
// the seven squares of each corner are on the way; it is 0, 0 where they are not.
func edge(squares *gozxing.BitMatrix, from, to spot) (side, deep float64) {
	way := to.minus(from)
	long := way.length()
	step := spot{way.x / long, way.y / long}
	near, far := cornerAlong(squares, from, step), cornerAlong(squares, to, step)
	if near == 0 || far == 0 {
		return 0, 0
	}
	return long * 7 / math.Sqrt(near*far), math.Sqrt(near / far)
}

// cornerAlong is how many pixels of a line through the middle of a corner are its.
func cornerAlong(squares *gozxing.BitMatrix, middle, step spot) float64 {
	on, back := ring(squares, middle, step), ring(squares, middle, spot{-step.x, -step.y})
	if on == 0 || back == 0 {
		return 0
	}
	return on + back
}

// ring goes from the middle of a corner over dark and light to the end of the
// dark ring around it, and gives the way in pixels, 0 where there is no end.
func ring(squares *gozxing.BitMatrix, middle, step spot) float64 {
	const fine = 0.25
	changes, dark := 0, true
	for way := 0.0; way < float64(squares.GetWidth()); way += fine {
		if now := darkAt(squares, middle.plus(step, way)); now != dark {
			if changes++; changes == 3 {
				return way
			}
			dark = now
		}
	}
	return 0
}

// darkAt is false outside the picture.
func darkAt(squares *gozxing.BitMatrix, s spot) bool {
	return s.x >= 0 && s.y >= 0 && s.x < float64(squares.GetWidth()) && s.y < float64(squares.GetHeight()) && squares.Get(int(s.x), int(s.y))
}

// at is where a square is seen, counted from the middle of the corner at the top left.
func (p plane) at(x, y float64) spot {
	x, y = x/p.side, y/p.side
	right, down := x*p.deepRight, y*p.deepDown
	deep := 1 - x - y + right + down
	return spot{
		(p.top.x*(1-x-y) + p.right.x*right + p.down.x*down) / deep,
		(p.top.y*(1-x-y) + p.right.y*right + p.down.y*down) / deep,
	}
}

// through gives the plane in which the square x, x is seen at s.
func (p plane) through(x float64, s spot) plane {
	x /= p.side
	right, down := p.right.minus(s), p.down.minus(s)
	rest := s.minus(p.top)
	rest = spot{rest.x * (1 - 2*x) / x, rest.y * (1 - 2*x) / x}
	p.deepRight = rest.across(down) / right.across(down)
	p.deepDown = right.across(rest) / right.across(down)
	return p
}

// aligned is the plane mended by the mark that every code but the smallest has near
// its fourth corner: a dark square, a light ring and a dark one around it.
func (p plane) aligned(squares *gozxing.BitMatrix) plane {
	if p.side == smallest {
		return p // it has none
	}
	x := p.side - 3
	middle := p.at(x, x)
	right, down := p.at(x+1, x).minus(middle), p.at(x, x+1).minus(middle)
	square := (right.length() + down.length()) / 2
	away, step := around*square, max(1, square/8)
	best, sum, count := wrong+1, spot{}, 0.0
	for dy := -away; dy <= away; dy += step {
		for dx := -away; dx <= away; dx += step {
			here := middle.plus(spot{dx, dy}, 1)
			faults := markFaults(squares, here, right, down, best)
			if faults < best {
				best, sum, count = faults, spot{}, 0
			}
			if faults == best && best <= wrong {
				sum, count = sum.plus(here, 1), count+1
			}
		}
	}
	if count == 0 {
		return p
	}
	return p.through(x, spot{sum.x / count, sum.y / count})
}

// The mark is looked for so many squares around where it should be, and so many
// of its 25 may look wrong.
const (
	around = 7
	wrong  = 3
)

// markFaults counts the squares that are not as in a mark around a middle, to so many.
func markFaults(squares *gozxing.BitMatrix, middle, right, down spot, most int) (faults int) {
	for y := -2; y <= 2 && faults <= most; y++ {
		for x := -2; x <= 2; x++ {
			dark := max(x, -x, y, -y) != 1
			if darkAt(squares, middle.plus(right, float64(x)).plus(down, float64(y))) != dark {
				faults++
			}
		}
	}
	return faults
}

// sampled looks at the middle of each square.
func (p plane) sampled(squares *gozxing.BitMatrix) *gozxing.BitMatrix {
	n := int(p.side) + 7
	bits, _ := gozxing.NewSquareBitMatrix(n)
	for y := range n {
		for x := range n {
			if darkAt(squares, p.at(float64(x-3), float64(y-3))) {
				bits.Set(x, y)
			}
		}
	}
	return bits
}
