package figure

import (
	"math"

	"keelcard/engine/amount"
	"keelcard/web/markup"
)

// LightEgg is an egg held before the light, large end up.
type LightEgg struct {
	Length       amount.Length // of the egg; 0 is 57 mm
	AirCell      amount.Length // depth of the air cell; 0 when it was not looked at
	AirCellText  string        // "" is its depth in inches
	Gauges       []Gauge       // depths to compare with; nil is 1/8 in, 3/16 in and 3/8 in
	Bubbly       bool          // air bubbles under the cell
	Outline      int           // of the yolk: 0 not looked at, 1 slightly defined, 2 fairly well defined, 3 plainly visible
	OutlineNames [3]string     // of the three outlines, short, beside pictures to compare with
	Germ         bool          // a clearly visible germ
	BloodRing    bool          // blood about the germ
	Blood        bool          // blood spread through the white
}

// LightView is the egg before the light. Its sites are air-cell, white, yolk
// and whole, the dark about the egg.
const LightView View = "light"

const (
	lightW, lightH = 720.0, 700.0
	nightW         = 500.0 // of the dark about the egg
	lightLong      = 600.0 // the egg is always drawn as long
)

var (
	lightEgg  = egg{at: p(250, 350), long: lightLong, wide: lightLong * eggWidth, taper: eggTaper}
	lightYolk = p(250, 372)
)

func lightSheet(length amount.Length) sheet {
	if length <= 0 {
		length = eggLength
	}
	list := []region{site("whole", around(0, 0, nightW, lightH), nil), site("white", lightEgg.outline(), nil),
		site("air-cell", lightEgg.cap(150), nil), site("yolk", oval(lightYolk.x, lightYolk.y, 128, 118), nil)}
	list[0].at, list[1].at = p(70, 640), p(250, 575)
	return sheet{LightView, lightW, lightH, lightLong * float64(amount.Millimetre) / float64(length), list}
}

// Light draws an egg before the light, its air cell to scale beside the limits.
func Light(e LightEgg, o Options) markup.Node {
	s, id := lightSheet(e.Length), o.id(LightView)
	shell := lightEgg.outline()
	return s.draw(o, "fig-tap",
		markup.El("defs", markup.ID(id+"-defs"),
			radial(id+"-glow", p(250, 330), 330, stops([]stop{{"0%", "glow"}, {"55%", "ember"}, {"100%", "dusk"}})),
			markup.El("radialGradient", markup.ID(id+"-shade"), stops([]stop{{"0%", "shadow"}, {"60%", "shadow-mid"}, {"100%", "shadow-end"}}))),
		markup.El("g", markup.ID(id+"-art"), markup.Attr("aria-hidden", "true"),
			box("fig-night", 0, 0, nightW, lightH),
			patch("fig-halo-light", egg{at: p(250, 350), long: 640, wide: 496, taper: eggTaper}.outline()),
			filled("fig-lit", id+"-glow", shell),
			pores(shell, 34, nil),
			markup.If(e.Blood, bloodSpread()),
			yolkShadow(id, e),
			markup.If(e.AirCell > 0, s.airCell(e)),
			s.depths(e), markup.If(e.OutlineNames[0] != "", degrees(id, e))))
}

// airCell is the bright cap at the large end, and what its floor looks like.
func (s sheet) airCell(e LightEgg) markup.Part {
	depth := s.units(e.AirCell)
	low := 350 - lightLong/2 + depth
	bubbles := make([]markup.Part, 0, 7)
	for i := range 7 {
		t := float64(i)
		bubbles = append(bubbles, disc("fig-bubble", p(250+36*(t-3), low+14+9*math.Abs(math.Sin(t*2))), 8+5*math.Abs(math.Cos(t))))
	}
	return markup.Group(patch("fig-air", lightEgg.cap(depth)), markup.If(e.Bubbly, markup.Group(bubbles...)))
}

// depths lays the depth of the air cell beside the limits.
func (s sheet) depths(e LightEgg) markup.Part {
	const top, line, text = 350 - lightLong/2, nightW + 24, nightW + 70
	gauges := e.Gauges
	if gauges == nil {
		gauges = []Gauge{{Length: amount.Inch / 8}, {Length: amount.Inch * 3 / 16}, {Length: amount.Inch * 3 / 8}}
	}
	ys := make([]float64, len(gauges))
	for i, g := range gauges {
		ys[i] = top + s.units(g.Length)
	}
	spread := apart(ys, 38, 34)
	return markup.Group(
		markup.Each(gauges, func(i int, g Gauge) markup.Part {
			d := markup.Attr("d", "M"+pair(p(250, ys[i]))+"H"+num(line+14)+"L"+pair(p(text-6, spread[i])))
			return markup.Group(markup.El("path", markup.Class("fig-depth-light"), d), markup.El("path", markup.Class("fig-depth"), d),
				label("", text, spread[i]+10, "start", chartText, or(g.Label, g.Length.Inches())))
		}),
		segment("fig-line", line, top, line, top+s.units(amount.Inch*3/8)),
		markup.If(e.AirCell > 0, markup.Group(
			segment("fig-length", line, top, line, top+s.units(e.AirCell)),
			segment("fig-length-end", line-14, top, line+14, top),
			segment("fig-length-end", line-14, top+s.units(e.AirCell), line+14, top+s.units(e.AirCell)),
			label("fig-strong", line, 262, "start", "40", or(e.AirCellText, e.AirCell.Inches())),
			label("", line, 300, "start", chartText, e.AirCell.Millimetres()))))
}

// yolkShadow is what shows of the yolk, darker and sharper the less white
// lies before it.
func yolkShadow(id string, e LightEgg) markup.Part {
	germ := p(lightYolk.x-26, lightYolk.y-30)
	return markup.Group(
		shadow(id, lightYolk, 1, e.Outline),
		markup.If(e.BloodRing, markup.Group(markup.El("path", markup.Class("fig-ring"), markup.Attr("d", oval(germ.x, germ.y, 40, 38).path(true))),
			stroke("fig-vein", contour{p(germ.x+28, germ.y+26), p(germ.x+58, germ.y+40), p(germ.x+92, germ.y+74)}),
			stroke("fig-vein", contour{p(germ.x+40, germ.y+4), p(germ.x+76, germ.y+2), p(germ.x+110, germ.y+18)}))),
		markup.If(e.Germ || e.BloodRing, markup.Group(disc("fig-germ", germ, 22), disc("fig-germ-eye", germ, 8))))
}

// outlines are the three degrees to which a yolk is defined.
var outlines = [3]string{"slight", "fair", "plain"}

// shadow draws a yolk k times as large as on the egg; its outline runs from 1 to 3.
func shadow(id string, at pt, k float64, outline int) markup.Part {
	if outline < 1 {
		return nil
	}
	outline = min(outline, len(outlines))
	edge := oval(0, 0, 118, 110).grown(k).moved(at)
	return markup.Group(
		markup.El("circle", markup.Class("fig-yolk-"+outlines[outline-1]), markup.Attr("fill", "url(#"+id+"-shade)"),
			markup.Attr("cx", num(at.x)), markup.Attr("cy", num(at.y)), markup.Attr("r", num(150*k))),
		markup.If(outline > 1, patch("fig-yolk-edge-"+outlines[outline-1], edge)))
}

// degrees shows the three outlines beside the egg, the one seen with a ring.
func degrees(id string, e LightEgg) markup.Part {
	const x, r = nightW + 64, 44.0
	return markup.Each(e.OutlineNames[:], func(i int, name string) markup.Part {
		at := p(x, 400+112*float64(i))
		class := "fig-ember"
		if i+1 == e.Outline {
			class = "fig-ember fig-seen"
		}
		return markup.Group(disc(class, at, r), shadow(id, at, 0.27, i+1),
			label("", at.x+r+14, at.y+10, "start", chartText, name))
	})
}

func bloodSpread() markup.Part {
	return markup.Group(
		patch("fig-blood-cloud", trace(hole).grown(1.1).moved(p(215, 520))),
		patch("fig-blood-cloud", trace(hole).mirrored(0).grown(0.8).moved(p(330, 230))))
}
