package figure

import (
	"math"
	"slices"
	"strings"
	"sync"

	"keelcard/web/markup"
)

// artist draws one bird. The ids of its gradients begin with the id of the
// drawing, so that two birds can share a page.
type artist struct {
	id      string
	view    View
	missing []string
	to      *fit // where it goes on another sheet; nil leaves it as it hangs
}

// plates are the drawings without anything on them, by id, view and what is
// missing. Making one takes longer than all the rest of a page.
var plates sync.Map

type plate struct{ defs, art markup.Node }

// drawn gives the gradients of the bird and its picture.
func (a artist) drawn() (defs, art markup.Node) {
	key := strings.Join(append([]string{a.id, string(a.view)}, a.missing...), " ")
	found, ok := plates.Load(key)
	if !ok {
		art := a.front
		if a.view == Back {
			art = a.back
		}
		found = plate{a.defs(), markup.El("g", markup.ID(a.id+"-art"), markup.Attr("aria-hidden", "true"), art(), a.scars())}
		plates.Store(key, found)
	}
	p := found.(plate)
	return p.defs, p.art
}

// half draws one side: the viewer's left as the contours are, or its mirror image.
type half struct {
	artist
	mirror bool
}

func (a artist) halves(draw func(half) markup.Part) markup.Part {
	return markup.Group(draw(half{artist: a}), draw(half{a, true}))
}

func (h half) place(c contour) contour {
	if h.mirror {
		c = c.mirrored(birdAxis)
	}
	return h.to.of(c)
}

// gone tells whether a part of this side, or a segment of it, is cut off.
func (h half) gone(part, segment string) bool {
	return h.artist.gone(side(h.view, h.mirror, part, segment))
}

func (a artist) gone(site string) bool {
	return slices.ContainsFunc(a.missing, func(m string) bool { return covers(m, site) })
}

// covers tells whether a site is part of another: wing-left covers wing-left-tip.
func covers(whole, site string) bool {
	return whole != "" && (whole == site || strings.HasPrefix(site, whole+"-"))
}

func (h half) fill(name string) markup.Part {
	if h.mirror {
		name += "m"
	}
	return h.artist.fill(name)
}

func (a artist) fill(name string) markup.Part {
	return markup.Attr("fill", "url(#"+a.id+"-fill-"+name+")")
}

// solid is a closed shape filled with a gradient and drawn round in ink.
func (h half) solid(c contour, gradient string) markup.Node {
	return markup.El("path", markup.Class("fig-edge"), h.fill(gradient), markup.Attr("d", h.place(c).path(true)))
}

// body is a closed shape filled with a gradient, without an edge.
func (h half) body(c contour, gradient string) markup.Node {
	return markup.El("path", h.fill(gradient), markup.Attr("d", h.place(c).path(true)))
}

func (h half) patch(class string, c contour) markup.Node  { return patch(class, h.place(c)) }
func (h half) stroke(class string, c contour) markup.Node { return stroke(class, h.place(c)) }

func (h half) pores(area contour, step float64) markup.Node {
	return pores(area, step, func(q pt) pt { return h.place(contour{q})[0] })
}

// cut is the face left where a part was taken off.
func (h half) cut(x, y, rx, ry float64) markup.Node {
	return markup.El("g", h.patch("fig-flesh", oval(x, y, rx, ry)), h.patch("fig-bone", oval(x, y, rx*0.35, ry*0.35)))
}

// patch is a closed shape, stroke an open line, both of one colour.
func patch(class string, c contour) markup.Node {
	return markup.El("path", markup.Class(class), markup.Attr("d", c.path(true)))
}

func stroke(class string, c contour) markup.Node {
	return markup.El("path", markup.Class(class), markup.Attr("d", c.path(false)))
}

func (a artist) solid(c contour, gradient string) markup.Node {
	return half{artist: a}.solid(c, gradient)
}

// pores hints at the pits feathers left in the skin: rows of dots in an area,
// step units apart.
func pores(area contour, step float64, place func(pt) pt) markup.Node {
	poly := area.polygon()
	lo, hi := bounds(poly)
	row := step * 0.8
	var b []byte
	for r := int(lo.y / row); r <= int(hi.y/row); r++ {
		y := float64(r) * row
		for col := int(lo.x / step); col <= int(hi.x/step); col++ {
			x := (float64(col) + 0.5*float64(r%2)) * step
			if !inside(poly, x, y) {
				continue
			}
			x += 3 * math.Sin(y/17+x) // no two rows are quite alike
			q := p(x, y)
			if place != nil {
				q = place(q)
			}
			b = append(appendPair(append(b, 'M'), q), 'h', '0')
		}
	}
	return markup.El("path", markup.Class("fig-pores"), markup.Attr("d", string(b)))
}

// stop is one shade of a gradient: hi, mid, lo or deep.
type stop struct {
	at    string // percent
	shade string
}

func stops(list []stop) markup.Part {
	return markup.Each(list, func(_ int, s stop) markup.Part {
		return markup.El("stop", markup.Attr("offset", s.at), markup.Class("fig-stop-"+s.shade))
	})
}

// across is a gradient from one point to another, and its mirror image.
func (a artist) across(name string, x1, y1, x2, y2 float64, list ...stop) markup.Part {
	one := func(name string, x1, x2 float64) markup.Node {
		return markup.El("linearGradient", markup.ID(a.id+"-fill-"+name), markup.Attr("gradientUnits", "userSpaceOnUse"), a.to.turned(),
			markup.Attr("x1", num(x1)), markup.Attr("y1", num(y1)), markup.Attr("x2", num(x2)), markup.Attr("y2", num(y2)), stops(list))
	}
	return markup.Group(one(name, x1, x2), one(name+"m", 2*birdAxis-x1, 2*birdAxis-x2))
}

// round is a gradient that makes a shape look round, lit at (x, y), and its
// mirror image.
func (a artist) round(name string, x, y, r float64, list ...stop) markup.Part {
	one := func(name string, x float64) markup.Node {
		return radial(a.id+"-fill-"+name, p(x, y), r, a.to.turned(), stops(list))
	}
	return markup.Group(one(name, x), one(name+"m", 2*birdAxis-x))
}

func (a artist) defs() markup.Node {
	views := markup.Group(
		a.across("tail", 346, 400, 454, 400, stop{"0%", "lo"}, stop{"45%", "hi"}, stop{"100%", "lo"}),
		a.round("torso", 400, 740, 300, stop{"0%", "hi"}, stop{"50%", "mid"}, stop{"90%", "lo"}, stop{"100%", "deep"}))
	if a.view == Front {
		views = markup.Group(
			a.across("tail", 346, 400, 454, 400, stop{"0%", "lo"}, stop{"45%", "mid"}, stop{"100%", "lo"}),
			a.across("belly", 400, 420, 400, 620, stop{"0%", "mid"}, stop{"60%", "mid"}, stop{"100%", "lo"}),
			a.round("breast", 306, 770, 260, stop{"0%", "hi"}, stop{"40%", "mid"}, stop{"80%", "lo"}, stop{"100%", "deep"}))
	}
	return markup.El("defs", markup.ID(a.id+"-defs"),
		a.across("leg", 190, 250, 354, 290, stop{"0%", "lo"}, stop{"22%", "mid"}, stop{"42%", "hi"}, stop{"74%", "mid"}, stop{"100%", "lo"}),
		a.round("thigh", 226, 500, 190, stop{"0%", "hi"}, stop{"45%", "mid"}, stop{"90%", "lo"}, stop{"100%", "lo"}),
		a.across("drumette", 150, 740, 200, 900, stop{"0%", "mid"}, stop{"35%", "hi"}, stop{"70%", "mid"}, stop{"100%", "lo"}),
		a.across("flat", 46, 830, 128, 846, stop{"0%", "lo"}, stop{"35%", "hi"}, stop{"65%", "mid"}, stop{"100%", "lo"}),
		a.across("tip", 60, 1000, 130, 984, stop{"0%", "mid"}, stop{"40%", "hi"}, stop{"100%", "lo"}),
		a.across("web", 110, 800, 180, 930, stop{"0%", "lo"}, stop{"100%", "mid"}),
		a.across("neck", 340, 1020, 460, 1020, stop{"0%", "lo"}, stop{"40%", "mid"}, stop{"60%", "mid"}, stop{"100%", "lo"}),
		views)
}

// front draws the bird with its breast to the viewer.
func (a artist) front() markup.Part {
	return markup.Group(
		a.shackleBehind(),
		a.tailFromFront(),
		a.halves(half.wing),
		a.neckFromFront(),
		a.solid(both(abdomenHalf), "belly"),
		a.halves(half.thigh),
		patch("fig-flesh", vent),
		patch("fig-hollow", ventHole),
		stroke("fig-crease", trace("362,534 380,540 400,541 420,540 438,534")),
		a.breast(),
		a.halves(half.leg))
}

// back draws the bird with its back to the viewer.
func (a artist) back() markup.Part {
	return markup.Group(
		a.shackleBehind(),
		a.halves(half.wing),
		a.neckFromBack(),
		a.torso(),
		a.halves(half.haunch),
		a.tailFromBack(),
		a.halves(half.leg))
}

func (h half) thigh() markup.Part {
	return markup.Group(h.solid(thigh, "thigh"),
		h.pores(trace("200,440 180,500 190,580 230,650 280,600 310,520 320,450"), 30))
}

// shackle is the wire frame that holds the hocks.
func (a artist) shackleBehind() markup.Part {
	return markup.Group(
		markup.El("path", markup.Class("fig-wire"), markup.Attr("d", "M400 0V20M216 24C260 18 540 18 584 24")),
		a.halves(func(h half) markup.Part {
			return h.stroke("fig-wire", trace("244,22 243,90 256,138 277,150 298,138 311,90 310,22"))
		}))
}

// leg is the drumstick, its hock, and the bend of the wire that grips it.
func (h half) leg() markup.Part {
	if h.gone("drumstick", "") {
		return markup.Group(h.cut(272, 404, 50, 22), h.patch("fig-gone", drumstick))
	}
	return markup.Group(h.stick(),
		h.stroke("fig-wire", trace("243,90 247,118 258,140")),
		h.stroke("fig-wire", trace("311,90 307,118 296,140")))
}

// stick is the drumstick with its knee and hock.
func (h half) stick() markup.Part {
	return markup.Group(
		h.body(drumstick, "leg"),
		h.stroke("fig-outline", drumstickOuter),
		h.stroke("fig-outline", drumstickInner),
		h.patch("fig-bone", trace("252,94 260,78 277,86 294,78 302,94 298,108 277,113 256,108")),
		h.stroke("fig-crease", trace("277,88 276,102")),
		// the knee
		h.stroke("fig-crease", trace("190,376 210,408 246,430 286,434")),
		h.stroke("fig-crease", trace("338,404 322,424 306,430")),
		h.stroke("fig-shine", trace("258,210 240,260 232,320")),
		h.pores(trace("262,190 226,258 208,330 226,392 290,404 330,350 326,280 300,190"), 30))
}

// wing is drawn from the tip inward; where a segment is cut off, the one
// before it shows the cut.
func (h half) wing() markup.Part {
	noDrumette, noFlat, noTip := h.gone("wing", "drumette"), h.gone("wing", "flat"), h.gone("wing", "tip")
	return markup.Group(
		markup.If(!noDrumette && !noFlat, h.solid(web, "web")),
		h.wingTip(noTip),
		h.wingFlat(noFlat, noDrumette),
		markup.If(noTip && !noFlat, h.cut(78, 950, 27, 13)),
		h.wingDrumette(noDrumette))
}

func (h half) wingTip(gone bool) markup.Part {
	if gone {
		return h.patch("fig-gone", tip)
	}
	return markup.Group(
		h.solid(tip, "tip"),
		h.stroke("fig-crease", trace("88,970 100,1010 118,1054")),
		h.stroke("fig-quills", trace("56,968 66,1004 88,1044 112,1074")))
}

func (h half) wingFlat(gone, alone bool) markup.Part {
	if gone {
		return markup.Group(h.patch("fig-gone", flat), markup.If(!alone, h.cut(104, 766, 24, 18)))
	}
	return markup.Group(
		h.solid(flat, "flat"),
		h.solid(thumb, "flat"), h.flatSkin())
}

func (h half) flatSkin() markup.Part {
	return markup.Group(
		h.stroke("fig-quills", trace("80,782 66,840 58,900 58,936")),
		// its two bones show through the skin
		h.stroke("fig-crease", trace("104,788 98,840 90,912")))
}

func (h half) wingDrumette(gone bool) markup.Part {
	if gone {
		return markup.Group(h.patch("fig-gone", drumette), h.cut(212, 850, 26, 44))
	}
	return markup.Group(
		h.solid(drumette, "drumette"),
		h.stroke("fig-crease", trace("104,744 98,760 108,778")),
		h.stroke("fig-shine", trace("132,756 174,784 222,808")))
}

func (a artist) tailFromFront() markup.Part {
	if a.gone("tail") {
		return patch("fig-gone", tailFront)
	}
	return markup.Group(a.solid(tailFront, "tail"), a.halves(func(h half) markup.Part {
		return h.stroke("fig-crease", trace("388,366 382,392 380,410"))
	}))
}

func (a artist) tailFromBack() markup.Part {
	if a.gone("tail") {
		return markup.Group(half{artist: a}.cut(400, 466, 44, 18), patch("fig-gone", tailBack))
	}
	return markup.Group(
		a.solid(tailBack, "tail"),
		// the oil gland and the pits of the tail feathers
		stroke("fig-crease", trace("386,446 392,434 400,446 408,434 414,446")),
		stroke("fig-quills", trace("366,404 372,370 386,352 400,348 414,352 428,370 434,404")))
}

func (a artist) neckFromFront() markup.Part {
	if a.gone("neck") {
		return patch("fig-gone", neckFront)
	}
	return markup.Group(a.solid(neckFront, "neck"), patch("fig-hollow", neckHole), a.halves(func(h half) markup.Part {
		return h.stroke("fig-crease", trace("372,1000 368,1024 370,1044"))
	}))
}

func (a artist) neckFromBack() markup.Part {
	if a.gone("neck") {
		return patch("fig-gone", neckBack)
	}
	return markup.Group(a.solid(neckBack, "neck"), a.halves(func(h half) markup.Part {
		return h.stroke("fig-crease", trace("384,1010 380,1040 382,1066"))
	}))
}

func (a artist) breast() markup.Part {
	h := half{artist: a}
	return markup.Group(
		a.halves(half.lobe),
		h.patch("fig-rim", both(breastHalf)),
		// where the breast falls away to the keel
		h.patch("fig-shade", trace("c400,560 388,600 382,700 384,820 c400,948 416,820 418,700 412,600")),
		h.stroke("fig-keel", trace("c400,556 401,700 400,860 c400,950")),
		a.halves(half.breastSkin))
}

// lobe is one side of the breast, a little beyond the keel.
func (h half) lobe() markup.Part {
	return h.body(append(append(contour{}, breastHalf...), p(404, 760)), "breast")
}

func (h half) breastSkin() markup.Part {
	return markup.Group(
		// the wishbone under the skin
		h.stroke("fig-crease", trace("396,950 350,962 300,940 262,900")),
		h.stroke("fig-shine", trace("296,650 264,718 248,790")),
		h.pores(trace("352,600 300,650 262,730 246,820 276,900 320,880 330,780 350,680"), 24))
}

func (a artist) torso() markup.Part {
	return markup.Group(
		a.solid(both(torsoHalf), "torso"),
		stroke("fig-bones", trace("400,500 400,700 400,976")),
		a.halves(func(h half) markup.Part {
			return markup.Group(
				// the oyster beside the backbone
				h.patch("fig-shade", trace("378,500 360,530 354,572 366,606 380,576 384,530")),
				h.patch("fig-blade", blade),
				h.stroke("fig-border", border),
				h.pores(trace("384,620 346,650 320,720 316,800 322,880 350,950 386,960"), 22))
		}))
}

// haunch is the thigh from behind and the dimple over the hip joint.
func (h half) haunch() markup.Part {
	return markup.Group(
		h.body(thighBack, "thigh"),
		h.stroke("fig-outline", thighBackOuter),
		h.stroke("fig-crease", thighBackInner),
		h.hipJoint(),
		h.pores(trace("200,440 180,500 190,580 226,640 262,600 284,520 296,450"), 30))
}
