package figure

import (
	"math"

	"keelcard/engine/amount"
	"keelcard/web/markup"
)

// OpenedEgg is an egg broken out on a level plate.
type OpenedEgg struct {
	Height     amount.Length // of the thick white; 0 draws a firm one without a gauge
	HeightText string        // "" is the height in millimetres
	Yolk       amount.Length // height of the yolk; 0 goes with the white
	Limits     []Gauge       // heights of the white to compare with, the highest first
	Blood      bool          // blood spread through the white
}

// OpenedView is the opened egg from above. Its sites are yolk, thick-white,
// thin-white and whole, the plate about them.
const OpenedView View = "opened"

const (
	openedW, openedH = 720.0, 640.0
	openedScale      = 5.0  // units to the millimetre, from above
	sideScale        = 11.0 // from the side
)

// What an opened Large egg is made of, about (from memory): it only shapes the
// drawing.
const (
	thickMillilitres = 18.0
	thickFullness    = 0.7  // of a slab as high as the white and as wide
	yolkAcross       = 41.0 // mm, of a yolk 18 mm high
	yolkTall         = 18.0
)

// shape gives height of white and yolk and width of both in millimetres.
func (e OpenedEgg) shape() (high, yolk, yolkWide, thickWide float64) {
	high = float64(e.Height) / float64(amount.Millimetre)
	if high == 0 {
		high = 7
	}
	yolk = float64(e.Yolk) / float64(amount.Millimetre)
	if yolk == 0 {
		yolk = min(yolkTall, 8+1.4*high)
	}
	yolkWide = yolkAcross * math.Sqrt(yolkTall/max(yolk, 6))
	area := thickMillilitres*1000/(thickFullness*max(high, 1.5)) + math.Pi*yolkWide*yolkWide/4
	return high, yolk, yolkWide, min(max(2*math.Sqrt(area/math.Pi), yolkWide+16), 108)
}

func openedSheet(e OpenedEgg) (s sheet, thin, thick, yolk contour) {
	_, _, yolkWide, thickWide := e.shape()
	at := p(openedW/2, openedH/2)
	yolk = oval(at.x, at.y, yolkWide*openedScale/2, yolkWide*openedScale/2)
	thick = trace(puddle).grown(thickWide * openedScale / 200).moved(at)
	thin = trace(hole).mirrored(0).grown(min(thickWide*1.12+16, 138) * openedScale / 200)
	for i := range thin { // rounder than a bare spot
		thin[i].y *= 1.28
	}
	thin = thin.moved(at)
	s = sheet{OpenedView, openedW, openedH, openedScale, []region{site("whole", around(0, 0, openedW, openedH), nil), site("thin-white", thin, nil), site("thick-white", thick, nil), site("yolk", yolk, nil)}}
	s.sites[0].at, s.sites[1].at, s.sites[2].at = p(70, 40), p(at.x-(thickWide+10)*openedScale/2, at.y), p(at.x+(thickWide+yolkWide)*openedScale/4, at.y)
	return s, thin, thick, yolk
}

// puddle is 200 units across and nearly as deep.
const puddle = "-100,6 -90,-44 -52,-80 0,-88 56,-78 92,-40 100,8 84,54 46,84 -6,90 -56,78 -90,46"

// Opened draws an opened egg from above. The lower its white stands, the wider
// it lies.
func Opened(e OpenedEgg, o Options) markup.Node {
	s, thin, thick, yolk := openedSheet(e)
	id, at := o.id(OpenedView), p(openedW/2, openedH/2)
	r := yolk[0].y - at.y
	return s.draw(o, "fig-tap",
		markup.El("defs", markup.ID(id+"-defs"), radial(id+"-ball", p(at.x-34, at.y-40), -1.6*r, stops([]stop{{"0%", "pigment"}, {"55%", "pigment"}, {"100%", "dusk"}}))),
		markup.El("g", markup.ID(id+"-art"), markup.Attr("aria-hidden", "true"),
			patch("fig-white-thin", thin), patch("fig-white-thick", thick),
			markup.If(e.Blood, patch("fig-blood-cloud", trace(hole).grown(0.8).moved(p(at.x+70, at.y+130)))),
			cord(at, r, 1), cord(at, r, -1),
			filled("fig-edge", id+"-ball", yolk),
			stroke("fig-shine", contour{p(at.x-56, at.y-30), p(at.x-40, at.y-54), p(at.x-14, at.y-66)})))
}

// cord is one of the two twisted cords that hold the yolk.
func cord(at pt, r, way float64) markup.Node {
	c := make(contour, 6)
	for i := range c {
		c[i] = p(at.x-way*(r-6-13*float64(i)), at.y+way*(20+6*float64(i%2)))
	}
	return stroke("fig-cord", c)
}

// OpenedSide draws the half of an opened egg from the side, with the height of
// its thick white on a gauge, 1 cm from the yolk.
func OpenedSide(e OpenedEgg, o Options) markup.Node {
	const base, right = 296.0, 606.0
	high, yolk, yolkWide, thickWide := e.shape()
	at := func(mm, tall float64) pt { return p(10+mm*sideScale, base-tall*sideScale) }
	edge := at(min(thickWide/2, 54), 0).x
	round := min(high*1.6*sideScale, 110)
	gauge := at(yolkWide/2+10, high)
	r := yolkWide / 2
	return chart(o.id("opened-side"), "fig-ruler", 330, o.Title, o.Desc,
		patch("fig-white-thin", contour{corner(10, base), corner(10, base-14), p(edge, base-14), p(right-40, base-9), corner(right, base)}),
		patch("fig-yolk-side", contour{corner(10, base), corner(10, at(0, yolk).y), p(at(r*0.35, 0).x, at(0, yolk*0.97).y), p(at(r*0.85, 0).x, at(0, yolk*0.72).y), p(at(r, 0).x, at(0, yolk*0.4).y), corner(at(r*0.84, 0).x, base)}),
		patch("fig-white-side", contour{corner(10, base), corner(10, at(0, high*1.03).y), p(gauge.x-60, gauge.y), p(gauge.x, gauge.y), p(edge-round, base-high*sideScale*0.94), p(edge-round*0.2, base-high*sideScale*0.5), corner(edge, base)}),
		segment("fig-depth", 10, 60, 10, base),
		segment("fig-axis", 4, base, right+10, base),
		markup.If(e.Height > 0, markup.Group(
			segment("fig-line", gauge.x, 64, gauge.x, gauge.y), segment("fig-line", gauge.x-18, 64, gauge.x+18, 64),
			segment("fig-length", gauge.x, base, gauge.x, gauge.y), segment("fig-length-end", gauge.x-14, gauge.y, gauge.x+14, gauge.y),
			label("fig-strong", gauge.x, 46, "middle", "40", or(e.HeightText, e.Height.Millimetres())))),
		heights(e, base, gauge.x, right+10))
}

// heights are the millimetres at the side, and the limits from the gauge to
// their names beyond.
func heights(e OpenedEgg, base, from, x float64) markup.Part {
	var parts []markup.Part
	for mm := range 16 {
		y, length := base-float64(mm)*sideScale, 10.0
		if mm%5 == 0 {
			length = 22
			parts = append(parts, markup.If(mm > 0, label("", x-30, y+9, "end", chartSub, num(float64(mm)))))
		}
		parts = append(parts, segment("fig-tick", x, y, x-length, y))
	}
	ys := make([]float64, len(e.Limits))
	for i, g := range e.Limits {
		ys[i] = base - float64(g.Length)/float64(amount.Millimetre)*sideScale
	}
	spread := apart(ys, 36, base-36*float64(len(ys)+1))
	return markup.Group(markup.Each(e.Limits, func(i int, g Gauge) markup.Part {
		d := markup.Attr("d", "M"+pair(p(from, ys[i]))+"H"+num(x+6)+"L"+pair(p(x+30, spread[i])))
		return markup.Group(markup.El("path", markup.Class("fig-depth"), d), label("", x+36, spread[i]+9, "start", chartText, or(g.Label, g.Length.Millimetres())))
	}),
		segment("fig-tick", x, base, x, base-15*sideScale), markup.Group(parts...),
		label("", x, base-15*sideScale-12, "middle", chartSub, "mm"))
}

// HaughOptions describe a Haugh value on its scale.
type HaughOptions struct {
	ID, Title, Desc string
	Value           int         // hundredths
	ValueLabel      string      // as it is to be read: "71.23"; "" points at nothing
	Limits          []HaughMark // from the lowest: 60, 72
	Zones           []string    // what lies below, between and above the limits: "B", "A", "AA"
}

// HaughMark is a limit on the scale.
type HaughMark struct {
	Value int // hundredths
	Label string
}

// The scale runs from 20 to 110; a value beyond stands at its end.
const haughLeast, haughMost = 2000, 11000

// Haugh shows where an egg stands between the limits of the grades.
func Haugh(o HaughOptions) markup.Node {
	x := func(v int) float64 {
		v = min(max(v, haughLeast), haughMost)
		return 24 + float64(v-haughLeast)/(haughMost-haughLeast)*(chartW-48)
	}
	edge := func(i int) float64 {
		switch {
		case i < 0:
			return x(haughLeast)
		case i >= len(o.Limits):
			return x(haughMost)
		}
		return x(o.Limits[i].Value)
	}
	at := x(o.Value)
	return chart(o.ID, "fig-ruler", 220, o.Title, o.Desc,
		box("fig-rule", x(haughLeast), 96, x(haughMost)-x(haughLeast), 64),
		markup.Each(o.Zones, func(i int, zone string) markup.Part {
			return label("fig-strong", (edge(i-1)+edge(i))/2, 142, "middle", "38", zone)
		}),
		markup.Each(o.Limits, func(_ int, l HaughMark) markup.Part {
			return markup.Group(segment("fig-line", x(l.Value), 88, x(l.Value), 172), label("", x(l.Value), 206, "middle", chartText, l.Label))
		}),
		markup.If(o.ValueLabel != "", markup.Group(
			patch("fig-pointer", contour{corner(at-20, 58), corner(at+20, 58), corner(at, 94)}),
			segment("fig-length-end", at, 90, at, 160),
			label("fig-strong", inText(at, o.ValueLabel+"   "), 44, "middle", "42", o.ValueLabel))))
}
