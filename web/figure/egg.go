package figure

import (
	"math"

	"keelcard/engine/amount"
	"keelcard/web/markup"
)

// egg is the outline of an egg on a drawing, in its units: Hügelschäffer's
// curve, an oval whose widest place lies taper from the middle toward the large
// end.
type egg struct {
	at                pt // its middle
	long, wide, taper float64
	side              bool // on its side, large end to the left; else large end up
}

// The shape of the usual egg: a Large egg of 2 oz is about 57 mm long and three
// quarters as wide.
const (
	eggLength  = 57 * amount.Millimetre
	eggWidth   = 0.745 // of its length
	eggTaper   = 0.06
	eggSamples = 12 // points of half the outline
)

// half is half the width of the egg at x from its middle, the large end below 0.
func (e egg) half(x float64) float64 {
	w := e.taper * e.long
	return e.wide / 2 * math.Sqrt(max(0, (e.long*e.long-4*x*x)/(e.long*e.long+8*w*x+4*w*w)))
}

// point lies on the outline, turn half turns from the large end: 1 is the small
// end; below 0 is the other half.
func (e egg) point(turn float64) pt {
	x := -math.Cos(turn*math.Pi) * e.long / 2
	y := math.Copysign(e.half(x), turn)
	if e.side {
		return p(e.at.x+x, e.at.y-y)
	}
	return p(e.at.x+y, e.at.y+x)
}

func (e egg) outline() contour {
	return e.arc(-1, 1-1.0/eggSamples, 2*eggSamples-1)
}

// arc runs along the outline from one turn to another in n steps.
func (e egg) arc(from, to float64, n int) contour {
	c := make(contour, n+1)
	for i := range c {
		c[i] = e.point(from + (to-from)*float64(i)/float64(n))
	}
	return c
}

// cap is what of an upright egg lies above a depth from the large end; its
// floor hangs through a little and reaches the depth in the middle.
func (e egg) cap(depth float64) contour {
	depth = min(depth, e.long)
	edge := math.Acos(1-2*depth*capRim/e.long) / math.Pi
	c := e.arc(-edge, edge, 8)
	c[0].sharp, c[len(c)-1].sharp = true, true
	rim := c[len(c)-1]
	low := e.at.y - e.long/2 + depth
	half := rim.x - e.at.x
	return append(c, p(e.at.x+half*0.55, low-depth*(1-capRim)*0.3), p(e.at.x, low), p(e.at.x-half*0.55, low-depth*(1-capRim)*0.3))
}

const capRim = 0.86 // of the depth, where the floor of an air cell meets the shell

// surface is the area of the whole shell, which is round about its long axis.
func (e egg) surface() float64 {
	const steps = 400
	area, before := 0.0, 0.0
	dx := e.long / steps
	for i := 1; i <= steps; i++ {
		r := e.half(-e.long/2 + float64(i)*dx)
		area += math.Pi * (before + r) * math.Hypot(dx, r-before)
		before = r
	}
	return area
}

// radial is a gradient about a point.
func radial(id string, at pt, r float64, parts ...markup.Part) markup.Node {
	return markup.El("radialGradient", markup.ID(id), markup.Attr("gradientUnits", "userSpaceOnUse"),
		markup.Attr("cx", num(at.x)), markup.Attr("cy", num(at.y)), markup.Attr("r", num(r)), markup.Group(parts...))
}

func filled(class, gradient string, c contour) markup.Node {
	return markup.El("path", markup.Class(class), markup.Attr("fill", "url(#"+gradient+")"), markup.Attr("d", c.path(true)))
}

// apart moves heights that labels would share so that each is gap below the
// one before, and none lies above least.
func apart(ys []float64, gap, least float64) []float64 {
	out := make([]float64, len(ys))
	for i, y := range ys {
		out[i] = max(y, least+gap*float64(i))
		if i > 0 {
			out[i] = max(out[i], out[i-1]+gap)
		}
	}
	return out
}

// Gauge is a length to compare with.
type Gauge struct {
	Length amount.Length
	Label  string // "" is the length in inches
}
