package figure

import (
	"math"
	"strconv"
	"strings"

	"keelcard/web/markup"
)

// pt is a point of a drawing in the units of its viewBox. A sharp point is a
// corner; through the others a line runs smoothly.
type pt struct {
	x, y  float64
	sharp bool
}

func p(x, y float64) pt      { return pt{x: x, y: y} }
func corner(x, y float64) pt { return pt{x: x, y: y, sharp: true} }

// contour is a line through points; a region's contour is closed.
type contour []pt

// trace reads a contour: points as x,y apart by spaces, a corner with a c in
// front. As text a contour takes a tenth of the program that calls would.
func trace(points string) contour {
	var c contour
	for _, f := range strings.Fields(points) {
		f, sharp := strings.CutPrefix(f, "c")
		xs, ys, _ := strings.Cut(f, ",")
		x, errX := strconv.Atoi(xs)
		y, errY := strconv.Atoi(ys)
		if errX != nil || errY != nil {
			panic("figure: no point: " + f)
		}
		c = append(c, pt{x: float64(x), y: float64(y), sharp: sharp})
	}
	return c
}

// mirrored is the contour on the other side of the axis at x.
func (c contour) mirrored(axis float64) contour {
	if c == nil {
		return nil
	}
	m := make(contour, len(c))
	for i, q := range c {
		m[len(c)-1-i] = pt{2*axis - q.x, q.y, q.sharp}
	}
	return m
}

// grown is the contour k times as large, from the origin.
func (c contour) grown(k float64) contour {
	out := make(contour, len(c))
	for i, q := range c {
		out[i] = pt{q.x * k, q.y * k, q.sharp}
	}
	return out
}

// moved is the contour with its origin at a point.
func (c contour) moved(at pt) contour {
	out := make(contour, len(c))
	for i, q := range c {
		out[i] = pt{q.x + at.x, q.y + at.y, q.sharp}
	}
	return out
}

// fit turns, scales and moves a drawing onto another sheet; nil leaves it.
type fit struct{ a, b, dx, dy float64 } // x' = ax - by + dx, y' = bx + ay + dy

// fitted puts a point of a drawing onto another of the sheet, k times as large
// and turned by degrees, clockwise.
func fitted(from, onto pt, k, degrees float64) *fit {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	f := &fit{a: k * cos, b: k * sin}
	f.dx, f.dy = onto.x-f.a*from.x+f.b*from.y, onto.y-f.b*from.x-f.a*from.y
	return f
}

func (f *fit) of(c contour) contour {
	if f == nil || c == nil {
		return c
	}
	out := make(contour, len(c))
	for i, q := range c {
		out[i] = pt{f.a*q.x - f.b*q.y + f.dx, f.b*q.x + f.a*q.y + f.dy, q.sharp}
	}
	return out
}

// turned is the same for a gradient.
func (f *fit) turned() markup.Part {
	if f == nil {
		return nil
	}
	list := ""
	for _, v := range []float64{f.a, f.b, -f.b, f.a, f.dx, f.dy} {
		list += " " + num(v*1000) + "e-3" // appendNum has no decimals
	}
	return markup.Attr("gradientTransform", "matrix("+list[1:]+")")
}

func (c contour) center() pt {
	var s pt
	for _, q := range c {
		s.x += q.x / float64(len(c))
		s.y += q.y / float64(len(c))
	}
	return s
}

// curve is one cubic Bézier piece.
type curve struct{ a, b, c, d pt }

func (k curve) at(t float64) pt {
	u := 1 - t
	w0, w1, w2, w3 := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
	return p(w0*k.a.x+w1*k.b.x+w2*k.c.x+w3*k.d.x, w0*k.a.y+w1*k.b.y+w2*k.c.y+w3*k.d.y)
}

// curves runs smoothly through the points: the tangent at a point is parallel
// to the line between its neighbours, and a handle is a third of its piece.
func (c contour) curves(closed bool) []curve {
	n := len(c)
	if n < 2 {
		return nil
	}
	neighbour := func(i int) pt {
		if closed {
			return c[(i+n)%n]
		}
		return c[min(max(i, 0), n-1)]
	}
	pieces := n - 1
	if closed {
		pieces = n
	}
	out := make([]curve, pieces)
	for i := range out {
		a, d := neighbour(i), neighbour(i+1)
		third := math.Hypot(d.x-a.x, d.y-a.y) / 3
		out[i] = curve{
			a: a, d: d,
			b: handle(a, neighbour(i-1), neighbour(i+1), third),
			c: handle(d, neighbour(i+2), neighbour(i), third),
		}
	}
	return out
}

// handle is the control point of q, away from one neighbour and toward the other.
func handle(q, from, to pt, length float64) pt {
	dx, dy := to.x-from.x, to.y-from.y
	d := math.Hypot(dx, dy)
	if q.sharp || d == 0 {
		return q
	}
	return p(q.x+dx/d*length, q.y+dy/d*length)
}

// path writes the contour as the d of an SVG path.
func (c contour) path(closed bool) string {
	b := make([]byte, 0, 28*len(c)+8)
	for i, k := range c.curves(closed) {
		if i == 0 {
			b = appendPair(append(b, 'M'), k.a)
		}
		b = appendPair(append(b, 'C'), k.b)
		b = appendPair(append(b, ' '), k.c)
		b = appendPair(append(b, ' '), k.d)
	}
	if closed {
		b = append(b, 'Z')
	}
	return string(b)
}

func appendPair(b []byte, q pt) []byte {
	return appendNum(append(appendNum(b, q.x), ' '), q.y)
}

// appendNum writes a coordinate rounded to whole units.
func appendNum(b []byte, v float64) []byte {
	return strconv.AppendInt(b, int64(math.Round(v)), 10)
}

func pair(q pt) string { return string(appendPair(nil, q)) }

func num(v float64) string { return string(appendNum(nil, v)) }

const flatSteps = 6 // straight pieces a curve is cut into for hit tests

// polygon follows the closed contour closely enough for hit tests.
func (c contour) polygon() []pt {
	var out []pt
	for _, k := range c.curves(true) {
		for i := range flatSteps {
			out = append(out, k.at(float64(i)/flatSteps))
		}
	}
	return out
}

// inside tells whether a point lies in a polygon (even-odd rule).
func inside(poly []pt, x, y float64) bool {
	in := false
	for i, j := 0, len(poly)-1; i < len(poly); j, i = i, i+1 {
		a, b := poly[i], poly[j]
		if (a.y > y) != (b.y > y) && x < (b.x-a.x)*(y-a.y)/(b.y-a.y)+a.x {
			in = !in
		}
	}
	return in
}

// bounds are the least and the greatest coordinates of points.
func bounds(points []pt) (lo, hi pt) {
	lo, hi = points[0], points[0]
	for _, q := range points {
		lo.x, lo.y = min(lo.x, q.x), min(lo.y, q.y)
		hi.x, hi.y = max(hi.x, q.x), max(hi.y, q.y)
	}
	return lo, hi
}
