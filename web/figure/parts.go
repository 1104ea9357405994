package figure

import (
	"strings"

	"keelcard/web/markup"
)

// PartView is a part lying by itself. Its sites are part and, where it has
// them, hip and joint.
const PartView View = "part"

const (
	partSize = 600.0 // of the sheet, which is square
	partFill = 530.0 // what a part fills of it
)

// piece is a part as it lies on its sheet.
type piece struct {
	id         string
	view       View    // side of the bird its art is taken from; "" is the front
	turn       float64 // degrees clockwise
	areas      string  // its outline, of contours of the bird
	hip, joint string  // points; "" where there is none
	draw       func(half) markup.Part
	sketch     string  // instead of areas and draw: a shape of its own
	shift      float64 // of a sketch, to the right
}

func pieceOf(id string) (piece, bool) {
	switch id { // names that a rule book has for the same
	case "whole-leg":
		id = "leg"
	case "thigh-with-back":
		id = "thigh-with-back-portion"
	case "whole-wing":
		id = "wing"
	case "flat":
		id = "wing-portion"
	case "breast-quarter-no-wing":
		id = "breast-quarter-without-wing"
	}
	for i := range pieces {
		if pieces[i].id == id {
			return pieces[i], true
		}
	}
	return piece{}, false
}

// PartIDs are the parts that can be drawn.
func PartIDs() []string {
	ids := make([]string, len(pieces))
	for i := range pieces {
		ids[i] = pieces[i].id
	}
	return ids
}

func (c piece) outlines() []contour {
	var out []contour
	for _, name := range strings.Fields(c.areas) {
		out = append(out, c.area(name))
	}
	if c.sketch != "" {
		for _, line := range c.lines() {
			if line.whole {
				out = append(out, line.c)
			}
		}
	}
	return out
}

// fit brings the bird's contours onto the sheet.
func (c piece) fit(outlines []contour) *fit {
	if c.sketch != "" {
		return nil
	}
	var points []pt
	turn := fitted(pt{}, pt{}, 1, c.turn)
	for _, area := range outlines {
		points = append(points, turn.of(area.polygon())...)
	}
	lo, hi := bounds(points)
	k := min(partFill/(hi.x-lo.x), partFill/(hi.y-lo.y), 2.2)
	from := fitted(pt{}, pt{}, 1, -c.turn).of(contour{p((lo.x+hi.x)/2, (lo.y+hi.y)/2)})[0]
	return fitted(from, p(partSize/2, partSize/2), k, c.turn)
}

func (c piece) sheet() sheet {
	outlines := c.outlines()
	f := c.fit(outlines)
	whole := region{site: "part"}
	for i, area := range outlines {
		r := site("part", f.of(area), nil)
		if i == 0 {
			whole.at = r.at
		}
		whole.areas, whole.polys, whole.shape = append(whole.areas, r.areas...), append(whole.polys, r.polys...), append(whole.shape, r.shape...)
	}
	s := sheet{PartView, partSize, partSize, 0, []region{whole}}
	spot := func(name, at string) {
		if at != "" {
			q := f.of(trace(at))[0]
			s.sites = append(s.sites, site(name, oval(q.x, q.y, 46, 46), nil))
		}
	}
	spot("hip", c.hip)
	spot("joint", c.joint)
	return s
}

// Part draws a part by itself; an id that is not known gives an empty sheet.
func Part(name string, o Options) markup.Node {
	c, ok := pieceOf(name)
	if !ok {
		return sheet{view: PartView, w: partSize, h: partSize}.draw(o, "fig-tap")
	}
	id := o.ID
	if id == "" {
		id = "part-" + name
	}
	o.ID = id
	frame := []markup.Part{markup.ID(id + "-art"), markup.Attr("aria-hidden", "true")}
	if c.sketch != "" {
		return c.sheet().draw(o, "fig-tap", markup.El("g", append(frame, c.sketched())...))
	}
	a := artist{id: id, view: View(or(string(c.view), string(Front))), to: c.fit(c.outlines())}
	art := markup.El("g", append(frame, c.draw(half{artist: a}))...)
	return c.sheet().draw(o, "fig-tap", used(a.defs(), art), art)
}

// used keeps the gradients that a picture needs.
func used(defs, art markup.Node) markup.Node {
	fills := map[string]bool{}
	art.Walk(func(n markup.Node) { fills[n.Get("fill")] = true })
	return markup.El("defs", markup.ID(defs.Get("id")), markup.Each(defs.Kids, func(_ int, n markup.Node) markup.Part {
		return markup.If(fills["url(#"+n.Get("id")+")"], n)
	}))
}
