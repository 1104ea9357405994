package figure

import (
	"math"

	"keelcard/web/markup"
)

// sign draws the shape of a fault about a point. On a bird, a part: bare, cut,
// break, disjoint, missing, trim. To the width it was given, on an egg or a
// coating: stain, stains (scattered, as much together as one spot of the width),
// dirt, deposit, check (a hairline as long), blood, meat, void. Any other is a ring.
func (s sheet) sign(m Mark, at pt) markup.Part {
	r := s.units(m.Width) / 2
	if r == 0 {
		r = 26
	}
	both := func(c contour, closed bool, class string) markup.Part {
		d := markup.Attr("d", c.moved(at).path(closed))
		return markup.Group(markup.El("path", markup.Class("fig-halo"), d), markup.El("path", markup.Class(class), d))
	}
	switch m.Kind {
	case "bare": // a patch of flesh the skin is gone from
		return both(trace("-6,-30 20,-24 33,-4 24,20 4,30 -22,24 -34,4 -26,-18"), true, "fig-sign fig-sign-bare")
	case "cut": // the two lips of a cut
		return both(trace("c-40,12 -10,-12 c40,-12 10,12"), true, "fig-sign fig-sign-cut")
	case "break": // a zigzag
		return both(trace("c-40,8 c-18,-16 c-6,14 c10,-16 c20,12 c40,-8"), false, "fig-sign")
	case "disjoint": // the head of a bone out of its socket
		return markup.Group(both(trace("c-48,0 c-34,0"), false, "fig-sign"), both(oval(-20, 0, 13, 13), true, "fig-sign"),
			both(trace("8,-24 23,-11 23,11 8,24"), false, "fig-sign"), both(trace("c26,0 c48,0"), false, "fig-sign"))
	case "missing": // a dashed ring struck through
		return markup.Group(both(oval(0, 0, 32, 32), true, "fig-sign fig-sign-gone"), both(trace("c-22,22 c22,-22"), false, "fig-sign"))
	case "trim": // an edge cut straight
		return both(trace("c-32,-10 -20,20 0,28 20,20 c32,-10"), true, "fig-sign fig-sign-bare")
	case "stain", "blood", "meat":
		return disc("fig-"+m.Kind, at, r)
	case "stains":
		return scattered(at, r)
	case "dirt":
		return patch("fig-dirt", trace(lump).grown(r/100).moved(at))
	case "void":
		return patch("fig-void", trace(hole).grown(r/100).moved(at))
	case "deposit":
		return markup.Group(disc("fig-deposit", at, r*0.6), disc("fig-deposit", p(at.x+r*0.7, at.y+r*0.3), r*0.3), disc("fig-deposit", p(at.x-r*0.5, at.y+r*0.75), r*0.25))
	case "check":
		if m.Width == 0 {
			r = 36
			if s.scale > 0 {
				r = 110
			}
		}
		c := trace(hairline).grown(r / 100).moved(at)
		return markup.Group(stroke("fig-check-light", c), stroke("fig-check", c))
	}
	return both(oval(0, 0, 26, 26), true, "fig-sign")
}

// Shapes 200 units across, to be grown to size.
const (
	lump     = "-100,10 -70,-30 -64,-74 -20,-60 16,-92 44,-58 84,-62 78,-16 100,18 62,40 58,84 10,66 -30,90 -50,52 -88,54"
	hole     = "-100,6 -82,-44 -36,-60 -8,-40 30,-66 70,-42 100,-4 74,24 70,58 22,50 -14,70 -54,46 -84,44"
	hairline = "c-100,-30 c-64,-8 c-48,-22 c-8,10 c10,-4 c44,26 c62,8 c100,30"
)

// scattered draws seven spots that cover together what one of radius r covers.
func scattered(at pt, r float64) markup.Part {
	one := r / math.Sqrt(7)
	spots := []markup.Part{disc("fig-stain", at, one)}
	for i := range 6 {
		angle := float64(i)*math.Pi/3 + 0.4
		far := one * (2.6 + 0.7*float64(i%2))
		spots = append(spots, disc("fig-stain", p(at.x+far*math.Cos(angle), at.y+far*math.Sin(angle)), one))
	}
	return markup.Group(spots...)
}

func disc(class string, at pt, r float64) markup.Node {
	return markup.El("circle", markup.Class(class), markup.Attr("cx", num(at.x)), markup.Attr("cy", num(at.y)), markup.Attr("r", num(r)))
}

func ellipse(class string, at pt, rx, ry float64) markup.Node {
	return markup.El("ellipse", markup.Class(class), markup.Attr("cx", num(at.x)), markup.Attr("cy", num(at.y)), markup.Attr("rx", num(rx)), markup.Attr("ry", num(ry)))
}
