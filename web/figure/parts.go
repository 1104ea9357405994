package figure

import (
	"slices"
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
	view  View    // side of the bird its art is taken from
	fits  bool    // drawn where it is on the bird, and brought onto the sheet
	turn  float64 // degrees clockwise
	draw  func(half) markup.Part
	areas []contour
	hip   contour // a point; nil where there is none
	joint contour
	from  string // where it is on the bird: a view and its sites, or of the list within; "" where it does not show
}

// Names that other lists use for the same parts.
var partAlias = map[string]string{"whole-leg": "leg", "thigh-with-back": "thigh-with-back-portion", "whole-wing": "wing", "flat": "wing-portion",
	"breast-quarter-no-wing": "breast-quarter-without-wing"}

func pieceOf(id string) (piece, bool) {
	if other, ok := partAlias[id]; ok {
		id = other
	}
	part, ok := pieces()[id]
	return part, ok
}

// PartIDs are the parts that can be drawn.
func PartIDs() []string {
	var ids []string
	for id := range pieces() {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}

// fit brings the bird's contours onto the sheet.
func (c piece) fit() *fit {
	if !c.fits {
		return nil
	}
	var points []pt
	turn := fitted(pt{}, pt{}, 1, c.turn)
	for _, area := range c.areas {
		points = append(points, turn.of(area.polygon())...)
	}
	lo, hi := bounds(points)
	k := min(partFill/(hi.x-lo.x), partFill/(hi.y-lo.y), 2.2)
	from := fitted(pt{}, pt{}, 1, -c.turn).of(contour{p((lo.x+hi.x)/2, (lo.y+hi.y)/2)})[0]
	return fitted(from, p(partSize/2, partSize/2), k, c.turn)
}

func (c piece) sheet() sheet {
	f := c.fit()
	whole := region{site: "part"}
	for i, area := range c.areas {
		r := site("part", f.of(area), nil)
		if i == 0 {
			whole.at = r.at
		}
		whole.areas, whole.polys, whole.shape = append(whole.areas, r.areas...), append(whole.polys, r.polys...), append(whole.shape, r.shape...)
	}
	s := sheet{PartView, partSize, partSize, 0, []region{whole}}
	spot := func(name string, at contour) {
		if at != nil {
			q := f.of(at)[0]
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
	a := artist{id: id, view: c.view, to: c.fit()}
	art := markup.El("g", markup.ID(id+"-art"), markup.Attr("aria-hidden", "true"), c.draw(half{artist: a}))
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

// PartOnBird draws the hung bird with the place of a part; false for a part
// that does not show on it.
func PartOnBird(name string, o Options) (markup.Node, bool) {
	c, _ := pieceOf(name)
	if c.from == "" {
		return nil, false
	}
	view, sites, _ := strings.Cut(c.from, " ")
	o.chosen, o.Static = strings.Fields(sites), true
	defs, art := artist{id: o.id(View(view)), view: View(view)}.drawn()
	return sheetOf(View(view)).draw(o, "fig-bird", defs, art, markup.Each(o.chosen, func(_ int, name string) markup.Part {
		return markup.If(within[name] != nil, patch("fig-chosen", within[name]))
	})), true
}

// within are places on the bird that are no sites of it.
var within = map[string]contour{
	"breast-half": breastHalf, "back-piece": backPiece,
	"fillet-inside": trace("c396,580 378,640 366,740 366,840 380,930 c396,940"),
	"wishbone-seen": trace("c400,930 364,900 320,846 296,860 310,920 350,966 400,972 450,966 490,920 504,860 480,846 436,900"),
}
