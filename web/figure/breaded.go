package figure

import (
	"math"

	"keelcard/engine/amount"
	"keelcard/web/markup"
)

// BreadedPiece is a fried or baked piece in its coating. Bare spots are marks
// of the kind void.
type BreadedPiece struct {
	Shape   string // "tender", "patty", "drumette"; any other is a nugget
	Odd     bool   // bent, not like its kind
	Broken  bool   // a piece is missing
	Cluster bool   // another one sticks to it
	Shade   string // "" golden brown, "pale", "dark", "burnt" in one place
	Gauges  []Gauge
}

// PieceView is a breaded piece. Its site is piece.
const PieceView View = "piece"

const (
	breadedW, breadedH = 720.0, 640.0
	breadedY           = 250.0 // middle of the piece
)

// breaded gives the outline of a shape, 200 units across, how long such a piece
// is in millimetres (common practice), and how much to grow it for the sheet.
func breaded(shape string) (c contour, long, grow float64) {
	switch shape {
	case "tender":
		return trace("-100,6 -92,-16 -60,-30 -10,-34 40,-40 84,-34 100,-14 90,8 50,18 0,26 -50,32 -88,26"), 112, 3.1
	case "patty":
		return oval(0, 0, 100, 88), 92, 2.4
	case "drumette":
		return trace("-100,-8 -96,-30 -76,-32 -40,-22 10,-44 60,-50 94,-28 100,6 84,42 44,54 0,36 -40,8 -78,12"), 88, 3.1
	}
	return trace("-100,0 -92,-50 -50,-76 0,-70 54,-80 92,-46 100,8 84,56 40,74 -10,68 -60,76 -94,44"), 46, 2.4
}

func breadedSheet(e BreadedPiece) (sheet, contour) {
	c, long, grow := breaded(e.Shape)
	c = c.grown(grow)
	if e.Odd {
		for i, q := range c { // bent like a hook and pinched
			c[i].y = q.y*0.85 + q.x*q.x/500 - 48
			c[i].x *= 0.86
		}
	}
	s := sheet{view: PieceView, w: breadedW, h: breadedH, scale: 200 * grow / long}
	c = crumbly(c).moved(p(breadedW/2, breadedY))
	s.sites = []region{site("piece", c, nil)}
	return s, c
}

// Breaded draws a piece with spots to scale beside 1/4 in and 1/2 in.
func Breaded(e BreadedPiece, o Options) markup.Node {
	s, c := breadedSheet(e)
	left, gone, edge := c, contour(nil), contour(nil)
	if e.Broken {
		left, gone, edge = bitten(c)
	}
	return s.draw(o, "fig-tap", markup.El("g", markup.ID(o.id(PieceView)+"-art"), markup.Attr("aria-hidden", "true"),
		markup.If(e.Cluster, coated(c.moved(p(-breadedW/2, -breadedY)).grown(0.62).moved(p(breadedW/2+130, breadedY-110)), e.Shade)),
		coated(left, e.Shade),
		markup.If(e.Cluster, stroke("fig-seam", contour{p(breadedW/2+10, breadedY-70), p(breadedW/2+90, breadedY-40), p(breadedW/2+190, breadedY-66)})),
		markup.If(gone != nil, markup.Group(stroke("fig-raw", edge), stroke("fig-gone", gone))),
		markup.If(e.Shade == "burnt", patch("fig-burnt", trace(hole).grown(0.8).moved(p(breadedW/2-90, breadedY+10)))),
		s.widths(e.Gauges)))
}

// widths are lengths to compare with, under the piece.
func (s sheet) widths(list []Gauge) markup.Part {
	if list == nil {
		list = []Gauge{{Length: amount.Inch / 4}, {Length: amount.Inch / 2}}
	}
	const y = 566.0
	x := 60.0
	return markup.Group(segment("fig-axis", 4, 506, s.w-4, 506), markup.Each(list, func(_ int, g Gauge) markup.Part {
		from, to := x, x+s.units(g.Length)
		x = to + 190
		return markup.Group(segment("fig-length", from, y, to, y), segment("fig-length-end", from, y-18, from, y+18), segment("fig-length-end", to, y-18, to, y+18),
			label("fig-strong", to+18, y+11, "start", "34", or(g.Label, g.Length.Inches())))
	}))
}

// coated is a piece with its crumbs.
func coated(c contour, shade string) markup.Part {
	class := "fig-coat"
	if shade == "pale" || shade == "dark" {
		class += "-" + shade
	}
	return markup.Group(patch(class, c), crumbs("fig-crumb", c, 26, 0), crumbs("fig-crumb-light", c, 31, 2))
}

// crumbly gives a contour the uneven edge of a coating.
func crumbly(c contour) contour {
	var out contour
	mid := c.center()
	for i, q := range c.polygon() {
		if i%2 == 1 {
			continue
		}
		k := 1 + 0.016*math.Sin(float64(i)*2.3) + 0.012*math.Cos(float64(i)*5.1)
		out = append(out, p(mid.x+(q.x-mid.x)*k, mid.y+(q.y-mid.y)*k))
	}
	return out
}

// crumbs are short strokes that lie in all directions.
func crumbs(class string, area contour, step, seed float64) markup.Node {
	poly := area // its points lie close together
	lo, hi := bounds(poly)
	var b []byte
	n := seed
	for y := lo.y + step/2; y < hi.y; y += step * 0.8 {
		for x := lo.x + step/2; x < hi.x; x += step {
			n++
			at := p(x+step*0.4*math.Sin(n*12.9), y+step*0.4*math.Sin(n*7.7))
			to := p(at.x+9*math.Cos(n*2.4), at.y+9*math.Sin(n*2.4))
			if inside(poly, at.x-8, at.y) && inside(poly, at.x+8, at.y) && inside(poly, to.x, to.y) {
				b = appendPair(append(appendPair(append(b, 'M'), at), 'L'), to)
			}
		}
	}
	return markup.El("path", markup.Class(class), markup.Attr("d", string(b)))
}

// bitten takes a bite out of the right end: what is left, the edge that is
// gone, and the edge of the bite.
func bitten(c contour) (left, gone, edge contour) {
	lo, hi := bounds(c)
	at, r := p(hi.x, (lo.y+hi.y)/2-10), (hi.x-lo.x)*0.24
	first := 0
	for i, q := range c { // begin where the bite ends
		before := c[(i+len(c)-1)%len(c)]
		if math.Hypot(q.x-at.x, q.y-at.y) >= r && math.Hypot(before.x-at.x, before.y-at.y) < r {
			first = i
		}
	}
	for i := range c {
		q := c[(first+i)%len(c)]
		if math.Hypot(q.x-at.x, q.y-at.y) >= r {
			left = append(left, q)
		} else {
			gone = append(gone, q)
		}
	}
	from, to := left[len(left)-1], left[0]
	a, z := math.Atan2(from.y-at.y, from.x-at.x), math.Atan2(to.y-at.y, to.x-at.x)
	for z > a {
		z -= 2 * math.Pi
	}
	edge = contour{from}
	for i := 1; i < 8; i++ {
		angle := a + (z-a)*float64(i)/8
		wave := r * (1 + 0.07*math.Sin(float64(i)*2.6))
		edge = append(edge, p(at.x+wave*math.Cos(angle), at.y+wave*math.Sin(angle)))
	}
	left[0].sharp, left[len(left)-1].sharp = true, true
	return append(left, edge[1:]...), gone, append(edge, to)
}
