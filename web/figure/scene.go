package figure

import (
	"slices"
	"strings"

	"keelcard/engine/amount"
	"keelcard/web/markup"
)

// Options say what a drawing shows beside its subject, and what it sends.
type Options struct {
	ID       string                        // id of the drawing and start of all ids in it; "" is its name: "bird-front", "light"
	Do       func(site string) string      // the action of a tap on a site; nil sends none
	Sites    []string                      // the sites that can be tapped, all when nil; "wing-left" takes its segments as one
	Label    func(site string) string      // a site in words; nil gives its id
	Selected string                        // the site that is chosen; "wing-left" chooses all of it
	Marks    []Mark                        // findings, where they are
	Pin      func(i int) (do, says string) // the action of a tap on the pin of a mark, and the mark in words; nil sends none
	Missing  []string                      // sites of the bird that are cut off; "wing-left" is all of it
	Title    string                        // what the drawing is, in words
	Desc     string                        // what is to be seen on it, in words
	Static   bool                          // a picture only: nothing can be tapped
	Names    bool                          // writes the sites on the drawing
}

// BirdOptions are the options of the bird, which was drawn first.
type BirdOptions = Options

// region is a site: the contours one taps, and larger patches around small
// ones so that a thumb in a wet glove finds them.
type region struct {
	site  string
	at    pt // well inside it, in no other region
	areas []contour
	polys [][]pt        // areas and patches, for hit tests
	shape []markup.Node // the same as they are drawn, shared by all drawings
}

// site is a region of one contour; pad is nil where that is large enough.
func site(name string, area, pad contour) region {
	r := region{site: name, at: area.center(), areas: []contour{area}, polys: [][]pt{area.polygon()}}
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

// around is a frame, for what is tapped beside all else.
func around(x, y, w, h float64) contour {
	return contour{corner(x, y), corner(x+w, y), corner(x+w, y+h), corner(x, y+h)}
}

// sheet is the ground of a drawing: its size and the sites on it in the order
// of drawing, a later one on top.
type sheet struct {
	view  View
	w, h  float64
	scale float64 // units to the millimetre; 0 where nothing is to scale
	sites []region
}

// units is how long a length is drawn.
func (s sheet) units(l amount.Length) float64 {
	return float64(l) / float64(amount.Millimetre) * s.scale
}

func sheetOf(view View) sheet {
	switch view {
	case Front, Back:
		return birdSheet(view)
	case LightView:
		return lightSheet(0)
	case ShellView:
		return shellSheet(0)
	case OpenedView:
		s, _, _, _ := openedSheet(OpenedEgg{})
		return s
	case PieceView:
		s, _ := breadedSheet([]BreadedPiece{{}})
		return s
	case CartonView:
		return cartonSheet()
	case HenView:
		return henSheet()
	}
	return sheet{view: view, w: 1, h: 1}
}

// Sites are the sites that can be tapped in a view.
func Sites(view View) []string {
	var names []string
	for _, r := range sheetOf(view).sites {
		names = append(names, r.site)
	}
	return names
}

// SiteAt is the site at a place on the drawing, in thousandths of its width
// and height; "" beside all sites.
func SiteAt(view View, x, y int) string {
	s := sheetOf(view)
	return s.siteAt(s.point(x, y))
}

func (s sheet) siteAt(at pt) string {
	for _, r := range slices.Backward(s.sites) {
		if r.holds(at.x, at.y) {
			return r.site
		}
	}
	return ""
}

func (s sheet) point(x, y int) pt { return p(float64(x)*s.w/1000, float64(y)*s.h/1000) }

// middle is where a mark goes that says no more than its site.
func (s sheet) middle(site string) (pt, bool) {
	var sum contour
	for _, r := range s.sites {
		if covers(site, r.site) {
			sum = append(sum, r.at)
		}
	}
	return sum.center(), len(sum) > 0
}

// draw puts sites, marks and pins over a picture. A tap tells where it fell:
// the drawing carries data-xy.
func (s sheet) draw(o Options, class string, picture ...markup.Part) markup.Node {
	id, role := o.id(s.view), "group"
	if o.Static {
		role = "img"
	}
	layer := func(name string, parts ...markup.Part) markup.Node {
		return markup.El("g", markup.ID(id+"-"+name), markup.Group(parts...))
	}
	marks, pins := o.marks(id, s)
	return markup.El("svg", markup.ID(id), markup.Class("fig", class), markup.Attr("viewBox", "0 0 "+num(s.w)+" "+num(s.h)),
		markup.Attr("data-xy", string(s.view)), twin(id, role, o.Title, o.Desc),
		markup.Group(picture...),
		layer("sites",
			markup.If(!o.Static, markup.Each(choose(s.sites, o.Sites), func(_ int, r region) markup.Part { return o.hit(id, r) })),
			markup.If(o.Static, markup.Each(s.sites, func(_ int, r region) markup.Part {
				return markup.If(o.chooses(r.site), patch("fig-chosen", r.areas[0]))
			}))),
		markup.If(o.Names, o.names(s)),
		layer("marks", markup.Class("fig-marks"), markup.Attr("aria-hidden", "true"), markup.Attr("pointer-events", "none"), marks),
		layer("pins", pins))
}

// id is the id of a drawing; the birds were named before there were others.
func (o Options) id(view View) string {
	switch {
	case o.ID != "":
		return o.ID
	case view == Front || view == Back:
		return "bird-" + string(view)
	}
	return string(view)
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

func (o Options) chooses(site string) bool {
	return covers(o.Selected, site)
}

func (o Options) label(site string) string {
	if o.Label == nil {
		return site
	}
	return o.Label(site)
}

// hit is the unseen shape of a site that answers a tap or a key.
func (o Options) hit(id string, r region) markup.Node {
	chosen := "false"
	if o.chooses(r.site) {
		chosen = "true"
	}
	return markup.El("g", markup.ID(id+"-"+r.site), markup.Class("fig-hit"), markup.Attr("role", "button"), markup.Attr("tabindex", "0"),
		markup.Attr("aria-label", o.label(r.site)), markup.Attr("aria-pressed", chosen),
		o.action(r.site),
		markup.Each(r.shape, func(_ int, n markup.Node) markup.Part { return n }))
}

func (o Options) action(site string) markup.Part {
	if o.Do == nil {
		return nil
	}
	return markup.Do(o.Do(site))
}

func (o Options) names(s sheet) markup.Part {
	return markup.Each(choose(s.sites, o.Sites), func(_ int, r region) markup.Part {
		text := o.label(r.site)
		at := r.at
		if strings.HasPrefix(r.site, "hip") { // under it, not over it
			at.y += 44
		}
		reach := float64(len([]rune(text)))*nameWidth/2 + 4
		return markup.El("text", markup.Class("fig-name"), markup.Attr("x", num(max(reach, min(s.w-reach, at.x)))), markup.Attr("y", num(at.y+8)),
			markup.Attr("font-size", "27"), markup.Attr("text-anchor", "middle"), markup.Attr("aria-hidden", "true"), markup.Attr("pointer-events", "none"), markup.Text(text))
	})
}

const nameWidth = 14 // of a letter of a name, about, in units of the drawing
