package figure

import (
	"slices"
	"strings"
	"sync"

	"keelcard/web/markup"
)

// View names a drawing that can be tapped; of a bird it is the side one looks at.
type View string

// The two views of a hung bird.
const (
	Front View = "front" // the breast faces the viewer
	Back  View = "back"  // the back faces the viewer
)

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

var (
	ofFront = sync.OnceValue(func() []region { return anchored(Front, frontRegions()) })
	ofBack  = sync.OnceValue(func() []region { return anchored(Back, backRegions()) })
)

// anchored moves the point of some regions to where no other covers them.
func anchored(view View, all []region) []region {
	for i := range all {
		r := &all[i]
		switch {
		case r.site == "breast" && view == Back: // on the side, beyond the border
			r.at = p(256, 760)
		case r.site == "breast": // beside the keel
			r.at = p(292, 790)
		case strings.HasPrefix(r.site, "thigh"): // clear of the hip
			r.at = p(r.at.x+(r.at.x-birdAxis)/6, 500)
		}
	}
	return all
}

func frontRegions() []region {
	rs := wingRegions(nil, Front)
	rs = paired(rs, Front, "thigh", "", thighSeen, nil)
	rs = paired(rs, Front, "drumstick", "", drumstick, nil)
	return append(rs,
		site("vent", vent, oval(400, 476, 54, 66)),
		site("breast", both(breastHalf), nil),
		site("keel", both(keelHalf), trace("c351,600 c449,600 452,760 c445,948 c355,948 348,760")),
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
	rs = paired(rs, v, "wing", "flat", flat, trace("c30,800 c130,800 c132,930 c30,930"))
	return paired(rs, v, "wing", "tip", tip, trace("c30,950 c140,950 c142,1100 c40,1100"))
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

// Bird draws a ready-to-cook bird hung by the hocks.
func Bird(view View, o BirdOptions) markup.Node {
	defs, art := artist{id: o.id(view), view: view, missing: o.Missing}.drawn()
	return birdSheet(view).draw(o, "fig-bird", defs, art)
}

func birdSheet(view View) sheet { return sheet{view, birdW, birdH, 0, regions(view)} }

// scars are the sites that were cut away without the body losing its shape.
func (a artist) scars() markup.Part {
	return markup.Each(regions(a.view), func(_ int, r region) markup.Part {
		whole := slices.Contains([]string{"breast", "back", "keel", "vent", "thigh-left", "thigh-right", "hip-left", "hip-right"}, r.site)
		return markup.If(whole && a.gone(r.site), patch("fig-gone fig-scar", r.areas[0]))
	})
}
