package figure

import (
	"math"

	"keelcard/engine/amount"
	"keelcard/web/markup"
)

// ShellEgg is an egg seen from outside, on its side. What is on it is marked:
// see sign.
type ShellEgg struct {
	Length  amount.Length // 0 is 57 mm
	Shape   string        // "" the usual, "long", "round", "pointed", "misshapen"
	Ridges  bool          // ridges and rough places
	Body    bool          // a body check: cracked before it was laid, and grown together
	Thin    bool          // thin spots
	Patches []Gauge       // round spots to compare with; nil is 1/32 and 1/16 of the shell drawn
}

// ShellView is the egg from outside. Its sites are large-end, middle and
// small-end.
const ShellView View = "shell"

const (
	shellW, shellH = 720.0, 740.0
	shellLong      = 570.0 // an egg of 57 mm
)

// shellEgg is an egg of 570 units, or how its shape differs from the usual.
func shellEgg(shape string) egg {
	e := egg{at: p(shellW/2, 236), long: shellLong, wide: shellLong * eggWidth, taper: eggTaper, side: true}
	switch shape {
	case "long":
		e.long, e.wide = 640, 400
	case "round":
		e.long, e.wide, e.taper = 490, 440, 0.02
	case "pointed":
		e.taper = 0.19
	}
	return e
}

func shellSheet(length amount.Length) sheet {
	if length <= 0 {
		length = eggLength
	}
	e := shellEgg("")
	part := func(name string, from, to float64) region {
		c := append(e.arc(from, to, 8), e.arc(-to, -from, 8)...)
		c[8].sharp, c[9].sharp, c[0].sharp, c[17].sharp = to < 1, to < 1, from > 0, from > 0
		return site(name, c, nil)
	}
	return sheet{ShellView, shellW, shellH, shellLong * float64(amount.Millimetre) / float64(length), []region{
		part("large-end", 0.001, 0.36), part("middle", 0.36, 0.62), part("small-end", 0.62, 0.999),
	}}
}

// Shell draws an egg from outside with spots to scale, and under it spots of
// 1/32 and 1/16 of its shell.
func Shell(e ShellEgg, o Options) markup.Node {
	s, id := shellSheet(e.Length), o.id(ShellView)
	drawn := shellEgg(e.Shape)
	outline := drawn.outline()
	if e.Shape == "misshapen" {
		outline = trace(askew)
	}
	return s.draw(o, "fig-tap",
		markup.El("defs", markup.ID(id+"-defs"),
			radial(id+"-shell", p(270, 130), 420, stops([]stop{{"0%", "hi"}, {"45%", "mid"}, {"88%", "lo"}, {"100%", "deep"}}))),
		markup.El("g", markup.ID(id+"-art"), markup.Attr("aria-hidden", "true"),
			ellipse("fig-shade", p(shellW/2, 232+drawn.wide/2), drawn.long*0.4, 18),
			filled("fig-edge", id+"-shell", outline),
			pores(outline, 38, nil),
			stroke("fig-shine", trace("190,150 250,104 330,84")),
			markup.If(e.Thin, thinSpots()), markup.If(e.Ridges, drawn.ridges()), markup.If(e.Body, bodyCheck()),
			s.patches(e)))
}

// askew is an egg that is decidedly misshapen.
const askew = "82,250 98,150 176,76 270,48 352,66 424,58 506,80 586,138 634,214 636,262 590,314 508,352 436,392 356,392 276,424 182,404 112,338"

// patches are the spots to compare with, each with its name at its right.
func (s sheet) patches(e ShellEgg) markup.Part {
	list := e.Patches
	if list == nil {
		area := shellEgg("").surface() / (s.scale * s.scale)
		width := func(part float64) amount.Length {
			return amount.Length(2 * math.Sqrt(area*part/math.Pi) * float64(amount.Millimetre))
		}
		list = []Gauge{{width(1.0 / 32), "1/32"}, {width(1.0 / 16), "1/16"}}
	}
	x := 40.0
	return markup.Group(segment("fig-axis", 4, 484, shellW-4, 484), markup.Each(list, func(_ int, g Gauge) markup.Part {
		r := s.units(g.Length) / 2
		at := p(x+r, 612)
		x += 2*r + 130
		return markup.Group(disc("fig-patch", at, r), label("fig-strong", at.x+r+14, 612, "start", "36", or(g.Label, g.Length.Inches())),
			label("", at.x+r+14, 648, "start", chartSub, num(s.scaled(g.Length))+" mm"))
	}))
}

// scaled is a length in whole millimetres.
func (s sheet) scaled(l amount.Length) float64 { return float64(l) / float64(amount.Millimetre) }

// ridges run round the egg.
func (e egg) ridges() markup.Part {
	lines := make([]markup.Part, 0, 5)
	for i := range 5 {
		turn := 0.56 + 0.055*float64(i)
		up, down := e.point(turn), e.point(-turn)
		bend := (down.y - up.y) * 0.1
		lines = append(lines, stroke("fig-ridge", contour{p(up.x, up.y+10), p(up.x+bend*0.7, e.at.y-90), p(up.x+bend, e.at.y), p(down.x+bend*0.7, e.at.y+90), p(down.x, down.y-10)}))
	}
	return markup.Group(lines...)
}

// bodyCheck is a band of wrinkles round the waist.
func bodyCheck() markup.Part {
	lines := make([]markup.Part, 0, 9)
	for i := range 9 {
		y := 70 + 42*float64(i)
		lines = append(lines, stroke("fig-ridge", contour{p(356, y), p(392, y-10), p(420, y+6), p(452, y-4)}))
	}
	return markup.Group(lines...)
}

func thinSpots() markup.Part {
	return markup.Each([]pt{p(300, 300), p(350, 340), p(420, 300), p(240, 330), p(470, 250)}, func(i int, at pt) markup.Part {
		return disc("fig-thin", at, 16+6*float64(i%3))
	})
}
