package figure

import (
	"sync"

	"keelcard/web/markup"
)

// HenView is a hen from her right side. Her sites are HenPlaces.
const HenView View = "hen"

// HenPlaces are the places that lose their yellow, in that order: vent, eye
// ring, earlobe, beak from its base to its tip, bottom of the feet, shanks in
// front and behind, hock and tops of the toes.
var HenPlaces = []string{"vent", "eye-ring", "earlobe", "beak-base", "beak-tip", "feet-bottom", "shank-front", "shank-rear", "hock-toes"}

// Pigment is how yellow a place still is.
type Pigment string

// The states of a place. Each has its own fill and border on the drawing.
const (
	NotLooked Pigment = ""         // dashed, with nothing in it
	Yellow    Pigment = "yellow"   // full
	Fading    Pigment = "fading"   // half full
	Bleached  Pigment = "bleached" // empty
)

const (
	henW, henH = 720.0, 800.0
	henPin     = 36.0 // radius of a number
	henTouch   = 55.0 // what answers a tap about it: 50 px across on a drawing 328 px wide
)

// The hen.
const (
	henWhole = `
		c546,146 530,116 496,102 462,116 444,154 430,216 402,268 352,300 286,312 230,302 184,262 c134,168 c116,196
		c92,196 c84,228 c62,236 c62,270 c44,286 c58,330 94,368 110,404 112,450 140,510 192,552 266,576 350,572 430,540
		484,476 506,400 512,330 514,262 526,214 c546,180`
	henRedComb = "c470,112 c446,116 452,92 c444,66 464,72 470,86 c474,40 490,56 496,80 c512,38 520,60 520,84 c544,60 548,84 538,112 c528,118 500,100"
	henWattle  = "c532,186 c552,186 566,216 556,246 540,250 526,226"
	henWing    = "c438,384 390,352 310,350 232,376 c140,432 190,452 250,478 330,492 400,468 436,424"
	henThigh   = "c296,540 300,580 326,618 c346,640 c374,640 392,606 c420,540"
	henFarLeg  = "c430,540 c448,530 452,580 444,622 c448,640 c446,734 476,748 c516,762 c470,764 c428,768 c404,760 c426,738 c428,640 424,600"
)

// henPlaces are the contours of the places; henPins where their numbers stand.
// Made when a hen is first drawn.
var henPlaces = sync.OnceValue(func() [][]contour {
	return [][]contour{
		{oval(124, 436, 15, 22)}, {oval(508, 146, 17, 17)}, {oval(482, 182, 15, 18)},
		{trace("c546,146 558,148 c572,154 c571,176 c546,180")}, {trace("c572,154 592,162 c606,182 588,178 c571,176")},
		{trace("c284,776 300,782 330,780 352,778 380,786 420,788 c462,782 448,798 404,802 372,792 346,788 314,796")},
		{trace("c372,652 c367,742 c357,742 c359,652")}, {trace("c359,652 c357,742 c346,742 c345,652")},
		{oval(360, 640, 20, 16), trace("c346,742 c367,742 390,756 c456,774 c462,782 400,780 352,770 300,776 c288,768 330,756")},
	}
})

var henPins = sync.OnceValue(func() contour {
	return trace("56,560 556,58 372,122 664,300 664,156 600,738 572,606 190,690 556,476")
})

func henSheet() sheet {
	s := sheet{view: HenView, w: henW, h: henH}
	for i, name := range HenPlaces {
		at := henPins()[i]
		r := site(name, oval(at.x, at.y, henPin, henPin), oval(at.x, at.y, henTouch, henTouch))
		for _, c := range henPlaces()[i] {
			r.areas, r.polys, r.shape = append(r.areas, c), append(r.polys, c.polygon()), append(r.shape, patch("fig-pad", c))
		}
		s.sites = append(s.sites, r)
	}
	return s
}

// Hen draws a hen with the places that bleach, numbered in their order.
func Hen(state func(place string) Pigment, o Options) markup.Node {
	s := henSheet()
	of := func(i int) string {
		if p := state(HenPlaces[i]); p != NotLooked {
			return string(p)
		}
		return "unseen"
	}
	return s.draw(o, "fig-tap fig-places", markup.El("g", markup.ID(o.id(HenView)+"-art"), markup.Attr("aria-hidden", "true"),
		henBird(),
		markup.Each(henPlaces(), func(i int, list []contour) markup.Part {
			return markup.Each(list, func(_ int, c contour) markup.Part { return patch("fig-place-"+of(i), c) })
		}),
		disc("fig-eye", p(508, 146), 8),
		markup.Each(henPins(), func(i int, at pt) markup.Part {
			return markup.Group(leader(henPlaces()[i][0].center(), at), henNumber(at, i+1, of(i)))
		})))
}

// henNumber is the number of a place in a disc that is as full as the place is
// yellow.
func henNumber(at pt, n int, state string) markup.Part {
	half := contour{corner(at.x-henPin, at.y), p(at.x-henPin*0.7, at.y+henPin*0.7), p(at.x, at.y+henPin), p(at.x+henPin*0.7, at.y+henPin*0.7), corner(at.x+henPin, at.y)}
	return markup.Group(disc("fig-state-"+state, at, henPin), markup.If(state == string(Fading), patch("fig-state-half", half)),
		label("fig-state-text", at.x, at.y+14, "middle", "40", num(float64(n))))
}

func henBird() markup.Part {
	return markup.Group(
		ellipse("fig-shade", p(380, 790), 200, 10),
		patch("fig-hen", trace(henFarLeg)),
		patch("fig-comb", trace(henRedComb)), patch("fig-comb", trace(henWattle)), patch("fig-hen", trace(henThigh)),
		patch("fig-hen", trace(henWhole)),
		patch("fig-hen", trace(henWing)),
		each("fig-crease", "128,190 150,250 196,300", "94,214 122,272 170,324", "66,260 100,310 150,350", "60,310 100,350 136,372",
			"250,400 226,432 200,440", "300,392 276,440 236,462", "352,392 336,446 292,480", "398,404 390,452 350,484",
			"446,220 470,232 492,226", "424,270 456,288 496,282", "400,318 446,340 498,334", "150,470 190,500 240,514", "320,530 370,528 420,504"))
}

// BleachPlace is a row of the bleaching chart.
type BleachPlace struct {
	Label     string
	Low, High int    // eggs laid by the time it is bleached
	Text      string // the same in words, with the weeks: "25 eggs, 4 to 6 weeks"
}

// BleachHen is a hen on the chart: about how many eggs she has laid.
type BleachHen struct {
	Label     string // her number
	Low, High int
}

// BleachOptions describe when each place bleaches and where the hens stand.
type BleachOptions struct {
	ID, Title, Desc string // without a Desc the rows and hens are the text twin
	Places          []BleachPlace
	Hens            []BleachHen
	Axis            string // what the line under them counts: "eggs laid"
}

const (
	bleachMost = 200 // eggs at the right end
	bleachRow  = 78.0
	bleachTop  = 96.0
)

func bleachX(eggs int) float64 {
	return 16 + float64(min(max(eggs, 0), bleachMost))/bleachMost*(chartW-32)
}

// Bleaching shows for each place from how many eggs it is bleached, and each
// hen as a line through all of them.
func Bleaching(o BleachOptions) markup.Node {
	bottom := bleachTop + bleachRow*float64(len(o.Places))
	return chart(o.ID, "fig-ruler", int(bottom)+80, o.Title, or(o.Desc, o.told()),
		markup.Each(o.Hens, func(_ int, h BleachHen) markup.Part {
			return box("fig-hen-band", bleachX(h.Low), bleachTop-20, max(bleachX(h.High)-bleachX(h.Low), 4), bottom-bleachTop+20)
		}),
		o.hens(bottom),
		markup.Each(o.Places, func(i int, place BleachPlace) markup.Part {
			y := bleachTop + bleachRow*float64(i)
			low, high := bleachX(place.Low), bleachX(max(place.High, place.Low))
			return markup.El("g", label("fig-strong", 6, y+28, "start", chartText, place.Label), label("", chartW-6, y+28, "end", chartSub, place.Text),
				segment("fig-bleach-left", bleachX(0), y+50, low, y+50), box("fig-bleach", low, y+40, max(high-low, 8), 20))
		}),
		segment("fig-axis", bleachX(0), bottom+10, bleachX(bleachMost), bottom+10),
		markup.Each([]int{0, 50, 100, 150, 200}, func(_ int, n int) markup.Part {
			return markup.Group(segment("fig-tick", bleachX(n), bottom+10, bleachX(n), bottom+24), label("", inText(bleachX(n), num(float64(n))), bottom+50, "middle", chartSub, num(float64(n))))
		}),
		label("", chartW/2+90, bottom+76, "middle", chartSub, o.Axis))
}

// hens are the lines of the hens, their numbers kept apart.
func (o BleachOptions) hens(bottom float64) markup.Part {
	xs := make([]float64, len(o.Hens))
	order := make([]int, len(o.Hens))
	for i, h := range o.Hens {
		k := i // in the order of their eggs
		for ; k > 0 && xs[k-1] > bleachX((h.Low+h.High)/2); k-- {
			xs[k], order[k] = xs[k-1], order[k-1]
		}
		xs[k], order[k] = bleachX((h.Low+h.High)/2), i
	}
	spread := apart(xs, 66, 34)
	if n := len(spread); n > 0 {
		over := max(0, spread[n-1]-(chartW-34))
		for i := range spread {
			spread[i] = max(34+66*float64(i), spread[i]-over)
		}
	}
	return markup.Each(xs, func(i int, x float64) markup.Part {
		d := markup.Attr("d", "M"+pair(p(x, bottom+10))+"V"+num(bleachTop-14)+"L"+pair(p(spread[i], 50)))
		return markup.Group(markup.El("path", markup.Class("fig-limit"), d), drawPin(p(spread[i], 36), o.Hens[order[i]].Label))
	})
}

// told says rows and hens in words.
func (o BleachOptions) told() string {
	var list []Bar
	for _, p := range o.Places {
		list = append(list, Bar{Label: p.Label, Value: p.Text})
	}
	for _, h := range o.Hens {
		value := num(float64(h.Low))
		if h.High > h.Low {
			value += "–" + num(float64(h.High))
		}
		list = append(list, Bar{Label: h.Label, Value: value})
	}
	return told(list)
}

// BleachingTable is the chart as a table; its heads are the place, the eggs and
// what is said of it, its caption is the title.
func BleachingTable(o BleachOptions, heads [3]string) markup.Node {
	return markup.El("div", markup.Class("table-box"), markup.Attr("tabindex", "0"), markup.Attr("role", "region"), markup.Attr("aria-label", o.Title),
		markup.El("table", markup.Class("table"),
			markup.El("thead", markup.El("tr", markup.Each(heads[:], func(_ int, h string) markup.Part {
				return markup.El("th", markup.Attr("scope", "col"), markup.Text(h))
			}))),
			markup.El("tbody", markup.Each(o.Places, func(_ int, p BleachPlace) markup.Part {
				eggs := num(float64(p.Low))
				if p.High > p.Low {
					eggs += "–" + num(float64(p.High))
				}
				return markup.El("tr", markup.El("th", markup.Attr("scope", "row"), markup.Text(p.Label)),
					markup.El("td", markup.Class("num"), markup.Text(eggs)), markup.El("td", markup.Text(p.Text)))
			}))))
}
