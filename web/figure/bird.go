package figure

import (
	"slices"
	"strings"
	"sync"

	"keelcard/web/markup"
)

// View is the side of the bird one looks at.
type View string

// The two views of a hung bird.
const (
	Front View = "front" // the breast faces the viewer
	Back  View = "back"  // the back faces the viewer
)

// BirdOptions say what a drawing of the bird shows and sends.
type BirdOptions struct {
	ID       string                        // id of the drawing and start of all ids in it; "" is "bird-front" or "bird-back"
	Do       func(site string) string      // the action of a tap on a site; nil sends none
	Sites    []string                      // the sites that can be tapped, all when nil; "wing-left" takes its segments as one
	Label    func(site string) string      // a site in words; nil gives its id
	Selected string                        // the site that is chosen; "wing-left" chooses all of it
	Marks    []Mark                        // findings, where they are
	Pin      func(i int) (do, says string) // the action of a tap on the pin of a mark, and the mark in words; nil sends none
	Missing  []string                      // sites that are cut off; "wing-left" is all of it
	Title    string                        // what the drawing is, in words
	Desc     string                        // what is to be seen on it, in words
	Static   bool                          // a picture only: nothing can be tapped
	Names    bool                          // writes the sites on the drawing
}

// region is a site: the contours one taps, and larger patches around small
// ones so that a thumb in a wet glove finds them.
type region struct {
	site  string
	areas []contour
	polys [][]pt        // areas and patches, for hit tests
	shape []markup.Node // the same as they are drawn, shared by all drawings
}

// site is a region of one contour; pad is nil where that is large enough.
func site(name string, area, pad contour) region {
	r := region{site: name, areas: []contour{area}, polys: [][]pt{area.polygon()}}
	if pad != nil {
		r.polys = append(r.polys, pad.polygon())
		r.shape = append(r.shape, patch("fig-pad", pad))
	}
	r.shape = append(r.shape, patch("fig-area", area))
	return r
}

func (r region) holds(x, y float64) bool {
	return slices.ContainsFunc(r.polys, func(poly []pt) bool { return inside(poly, x, y) })
}

// choose keeps the regions of the listed sites and joins the segments of a
// site that is listed as a whole.
func choose(all []region, listed []string) []region {
	if listed == nil {
		return all
	}
	var out []region
	for _, r := range all {
		i := slices.IndexFunc(listed, func(s string) bool { return covers(s, r.site) })
		if i < 0 {
			continue
		}
		name := listed[i]
		if k := slices.IndexFunc(out, func(o region) bool { return o.site == name }); k >= 0 {
			out[k].areas = slices.Concat(out[k].areas, r.areas)
			out[k].polys = slices.Concat(out[k].polys, r.polys)
			out[k].shape = slices.Concat(out[k].shape, r.shape)
			continue
		}
		r.site = name
		out = append(out, r)
	}
	return out
}

// side names a part of the half on the viewer's left or right, or a segment of it.
//
// The bird hangs head down. Seen from the breast its left is then on the
// viewer's left, and seen from the back on the viewer's right: to turn upside
// down a bird that faces us swaps its sides once more.
func side(v View, mirror bool, part, segment string) string {
	name := part + "-right"
	if (v == Front) != mirror {
		name = part + "-left"
	}
	if segment != "" {
		name += "-" + segment
	}
	return name
}

// oval is a closed contour about (x, y).
func oval(x, y, rx, ry float64) contour {
	const k = 0.7071
	return contour{p(x, y-ry), p(x+k*rx, y-k*ry), p(x+rx, y), p(x+k*rx, y+k*ry), p(x, y+ry), p(x-k*rx, y+k*ry), p(x-rx, y), p(x-k*rx, y-k*ry)}
}

// regions are the sites of each view in the order of drawing: a later one lies
// on top. They are made when a bird is first drawn.
func regions(v View) []region {
	switch v {
	case Front:
		return ofFront()
	case Back:
		return ofBack()
	}
	return nil
}

var ofFront, ofBack = sync.OnceValue(frontRegions), sync.OnceValue(backRegions)

func frontRegions() []region {
	rs := wingRegions(nil, Front)
	rs = paired(rs, Front, "thigh", "", thighSeen, nil)
	rs = paired(rs, Front, "drumstick", "", drumstick, nil)
	return append(rs,
		site("vent", vent, oval(400, 476, 54, 66)),
		site("breast", both(breastHalf), nil),
		site("keel", both(keelHalf), contour{corner(351, 600), corner(449, 600), p(452, 760), corner(445, 948), corner(355, 948), p(348, 760)}),
		site("neck", neckFront, oval(400, 1036, 58, 60)))
}

func backRegions() []region {
	rs := wingRegions(nil, Back)
	rs = append(rs, site("breast", both(torsoHalf), nil), site("back", both(backHalf), nil))
	rs = paired(rs, Back, "thigh", "", thighBackSeen, nil)
	rs = paired(rs, Back, "hip", "", oval(314, 552, 30, 32), oval(314, 552, 50, 50))
	rs = paired(rs, Back, "drumstick", "", drumstick, nil)
	return append(rs,
		site("tail", tailBack, oval(400, 406, 52, 74)),
		site("neck", neckBack, oval(400, 1040, 58, 56)))
}

func wingRegions(rs []region, v View) []region {
	rs = paired(rs, v, "wing", "drumette", drumetteSeen, oval(176, 824, 60, 62))
	rs = paired(rs, v, "wing", "flat", flat, contour{corner(30, 800), corner(130, 800), corner(132, 930), corner(30, 930)})
	return paired(rs, v, "wing", "tip", tip, contour{corner(30, 950), corner(140, 950), corner(142, 1100), corner(40, 1100)})
}

// paired adds a region and its mirror image, the bird's left first.
func paired(rs []region, v View, part, segment string, area, pad contour) []region {
	one := func(mirror bool) region {
		area, pad := area, pad
		if mirror {
			area, pad = area.mirrored(birdAxis), pad.mirrored(birdAxis)
		}
		return site(side(v, mirror, part, segment), area, pad)
	}
	return append(rs, one(v == Back), one(v == Front))
}

// Sites are the sites that can be tapped in a view.
func Sites(view View) []string {
	var names []string
	for _, r := range regions(view) {
		names = append(names, r.site)
	}
	return names
}

// SiteAt is the site at a place on the drawing, in thousandths of its width
// and height; "" beside the bird.
func SiteAt(view View, x, y int) string {
	px, py := float64(x)*birdW/1000, float64(y)*birdH/1000
	for _, r := range slices.Backward(regions(view)) {
		if r.holds(px, py) {
			return r.site
		}
	}
	return ""
}

// middle is where a mark goes that says no more than its site.
func middle(view View, site string) (pt, bool) {
	var sum contour
	for _, r := range regions(view) {
		if covers(site, r.site) {
			sum = append(sum, r.anchor(view))
		}
	}
	return sum.center(), len(sum) > 0
}

// anchor is a point well inside a region that belongs to no other.
func (r region) anchor(view View) pt {
	switch {
	case r.site == "breast" && view == Back: // on the side, beyond the border
		return p(256, 760)
	case r.site == "breast": // beside the keel
		return p(292, 790)
	case strings.HasPrefix(r.site, "thigh"): // clear of the hip
		return p(r.areas[0].center().x+(r.areas[0].center().x-birdAxis)/6, 500)
	}
	return r.areas[0].center()
}

// Bird draws a ready-to-cook bird hung by the hocks. A tap tells where it fell:
// the drawing carries data-xy.
func Bird(view View, o BirdOptions) markup.Node {
	id := o.ID
	if id == "" {
		id = "bird-" + string(view)
	}
	role := "group"
	if o.Static {
		role = "img"
	}
	layer := func(name string, parts ...markup.Part) markup.Node {
		return markup.El("g", markup.ID(id+"-"+name), markup.Group(parts...))
	}
	defs, art := artist{id, view, o.Missing}.drawn()
	marks, pins := o.marks(id, view)
	return markup.El("svg", markup.ID(id), markup.Class("fig", "fig-bird"), markup.Attr("viewBox", "0 0 800 1110"),
		markup.Attr("data-xy", string(view)), twin(id, role, o.Title, o.Desc),
		defs, art,
		layer("sites",
			markup.If(!o.Static, markup.Each(choose(regions(view), o.Sites), func(_ int, r region) markup.Part { return o.hit(id, r) })),
			markup.If(o.Static && o.Selected != "", markup.Each(regions(view), func(_ int, r region) markup.Part {
				return markup.If(covers(o.Selected, r.site), patch("fig-chosen", r.areas[0]))
			}))),
		markup.If(o.Names, o.names(view)),
		layer("marks", markup.Class("fig-marks"), markup.Attr("aria-hidden", "true"), markup.Attr("pointer-events", "none"), marks),
		layer("pins", pins))
}

// twin is what a drawing says to those who do not see it.
func twin(id, role, title, desc string) markup.Part {
	if title == "" {
		return markup.Attr("role", role)
	}
	return markup.Group(markup.Attr("role", role), markup.Attr("aria-labelledby", id+"-title"),
		markup.If(desc != "", markup.Attr("aria-describedby", id+"-desc")),
		markup.El("title", markup.ID(id+"-title"), markup.Text(title)),
		markup.If(desc != "", markup.El("desc", markup.ID(id+"-desc"), markup.Text(desc))))
}

func (o BirdOptions) label(site string) string {
	if o.Label == nil {
		return site
	}
	return o.Label(site)
}

// hit is the unseen shape of a site that answers a tap or a key.
func (o BirdOptions) hit(id string, r region) markup.Node {
	chosen := "false"
	if covers(o.Selected, r.site) {
		chosen = "true"
	}
	return markup.El("g", markup.ID(id+"-"+r.site), markup.Class("fig-hit"), markup.Attr("role", "button"), markup.Attr("tabindex", "0"),
		markup.Attr("aria-label", o.label(r.site)), markup.Attr("aria-pressed", chosen),
		o.action(r.site),
		markup.Each(r.shape, func(_ int, n markup.Node) markup.Part { return n }))
}

func (o BirdOptions) action(site string) markup.Part {
	if o.Do == nil {
		return nil
	}
	return markup.Do(o.Do(site))
}

// scars are the sites that were cut away without the body losing its shape.
func (a artist) scars() markup.Part {
	return markup.Each(regions(a.view), func(_ int, r region) markup.Part {
		whole := slices.Contains([]string{"breast", "back", "keel", "vent", "thigh-left", "thigh-right", "hip-left", "hip-right"}, r.site)
		return markup.If(whole && a.gone(r.site), patch("fig-gone fig-scar", r.areas[0]))
	})
}

func (o BirdOptions) names(view View) markup.Part {
	return markup.Each(choose(regions(view), o.Sites), func(_ int, r region) markup.Part {
		text := o.label(r.site)
		at := r.anchor(view)
		if strings.HasPrefix(r.site, "hip") {
			at.y += 44
		}
		reach := float64(len([]rune(text)))*nameWidth/2 + 4
		at.x = max(reach, min(birdW-reach, at.x))
		return markup.El("text", markup.Class("fig-name"), markup.Attr("x", num(at.x)), markup.Attr("y", num(at.y+8)),
			markup.Attr("font-size", "27"), markup.Attr("text-anchor", "middle"), markup.Attr("aria-hidden", "true"), markup.Attr("pointer-events", "none"), markup.Text(text))
	})
}

const nameWidth = 14 // of a letter of a name, about, in units of the drawing
