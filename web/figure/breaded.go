package figure

import (
	"math"

	"keelcard/engine/amount"
	"keelcard/web/markup"
)

// BreadedPiece is a fried or baked piece in its coating. Bare spots are marks
// of the kind void.
type BreadedPiece struct {
	Shape   string // "tender", "patty", "drumette" or "bone-in"; any other is a nugget
	Odd     bool   // bent, not like its kind
	Broken  bool   // a piece is missing
	Cluster bool   // another one sticks to it
	Shade   string // "" golden brown, "pale", "dark", "burnt" in one place
}

// PieceView is a breaded piece, or three. The sites are piece-1 to piece-3;
// "piece" takes them as one.
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
	case "drumette", "bone-in":
		return trace("-100,-8 -96,-30 -76,-32 -40,-22 10,-44 60,-50 94,-28 100,6 84,42 44,54 0,36 -40,8 -78,12"), 88, 3.1
	}
	return trace("-100,0 -92,-50 -50,-76 0,-70 54,-80 92,-46 100,8 84,56 40,74 -10,68 -60,76 -94,44"), 46, 2.4
}

// breadedSheet gives the outlines of the pieces, too.
func breadedSheet(list []BreadedPiece) (sheet, []contour) {
	s := sheet{view: PieceView, w: breadedW, h: breadedH}
	var all []contour
	for i, e := range list {
		c, long, grow := breaded(e.Shape)
		at := p(breadedW/2, breadedY)
		if len(list) > 1 {
			if grow > 3 {
				lo, hi := bounds(c)
				grow, at = 150/(hi.y-lo.y), p(breadedW/2, breadedY+158*float64(i-1))
			} else {
				grow, at = 1.05, p(breadedW/2+232*float64(i-1), breadedY)
			}
		}
		c = c.grown(grow)
		if e.Odd {
			for i, q := range c { // bent like a hook and pinched
				c[i] = p(q.x*0.86, q.y*0.85+grow*(q.x*q.x/grow/grow/160-15))
			}
		}
		c = crumbly(c).moved(at)
		s.scale = 200 * grow / long
		s.sites, all = append(s.sites, site("piece-"+num(float64(i+1)), c, nil)), append(all, c)
	}
	return s, all
}

// Breaded draws a piece, or three of a kind, with spots to scale beside lengths
// to compare with; no lengths are 1/4 in and 1/2 in.
func Breaded(list []BreadedPiece, gauges []Gauge, o Options) markup.Node {
	s, outlines := breadedSheet(list)
	return s.draw(o, "fig-tap", markup.El("g", markup.ID(o.id(PieceView)+"-art"), markup.Attr("aria-hidden", "true"),
		markup.Each(list, func(i int, e BreadedPiece) markup.Part { return e.drawn(outlines[i], s.sites[i].at) }),
		s.widths(gauges)))
}

func (e BreadedPiece) drawn(c contour, at pt) markup.Part {
	lo, hi := bounds(c)
	k := (hi.x - lo.x) / 480 // of a nugget alone
	spot := func(x, y float64) pt { return p(at.x+x*k, at.y+y*k) }
	left, gone, edge := c, contour(nil), contour(nil)
	if e.Broken {
		left, gone, edge = bitten(c)
	}
	return markup.Group(
		markup.If(e.Cluster, coated(c.moved(p(-at.x, -at.y)).grown(0.62).moved(spot(130, -110)), e.Shade)),
		coated(left, e.Shade),
		markup.If(e.Cluster, stroke("fig-seam", contour{spot(10, -70), spot(90, -40), spot(190, -66)})),
		markup.If(gone != nil, markup.Group(stroke("fig-raw", edge), stroke("fig-gone", gone))),
		markup.If(e.Shade == "burnt", patch("fig-burnt", trace(hole).grown(0.45*k).moved(spot(-70, -20)))))
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
