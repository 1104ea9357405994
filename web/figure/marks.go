package figure

import (
	"math"

	"keelcard/web/markup"
)

// Mark is a finding put where it is.
type Mark struct {
	Site  string // where, in words of the rule book
	X, Y  int    // where on the drawing, in thousandths of its width and height; both 0 for the middle of the site
	Label string // what the pin says: a number
	Kind  string // the fault, whose sign is drawn: bare, cut, break, disjoint, missing, trim; any other is a ring
}

const (
	pinRadius = 30.0
	pinTouch  = 59.0  // what answers a tap about a pin: 48 px across on a drawing 328 px wide
	pinReach  = 112.0 // from a fault to its pin
)

// placed is a mark and where its fault and its pin are.
type placed struct {
	index   int
	mark    Mark
	at, pin pt
}

// placeMarks finds where each mark goes. Marks whose site is not in this view are
// left out.
func placeMarks(view View, marks []Mark) []placed {
	var list []placed
	var taken []pt
	for i, m := range marks {
		at, ok := p(float64(m.X)*birdW/1000, float64(m.Y)*birdH/1000), true
		if m.X == 0 && m.Y == 0 {
			at, ok = middle(view, m.Site)
		}
		if ok {
			list = append(list, placed{index: i, mark: m, at: at})
			taken = append(taken, at)
		}
	}
	for i := range list {
		list[i].pin = pinPlace(list[i].at, taken)
		taken = append(taken, list[i].pin)
	}
	return list
}

// marks draws each fault with its sign and, beside it, a pin with its label;
// pins are the unseen discs that answer a tap on them.
func (o BirdOptions) marks(id string, view View) (marks, pins markup.Part) {
	list := placeMarks(view, o.Marks)
	return markup.Each(list, func(_ int, m placed) markup.Part {
			return markup.Group(leader(m.at, m.pin), sign(m.mark.Kind, m.at), drawPin(m.pin, m.mark.Label))
		}), markup.Each(list, func(_ int, m placed) markup.Part {
			if o.Pin == nil || o.Static {
				return nil
			}
			return o.pinHit(id, m)
		})
}

// pinHit is the unseen disc about a pin that answers a tap or a key.
func (o BirdOptions) pinHit(id string, m placed) markup.Node {
	do, says := o.Pin(m.index)
	return markup.El("g", markup.ID(id+"-pin-"+num(float64(m.index+1))), markup.Class("fig-pin-hit"), markup.Attr("role", "button"), markup.Attr("tabindex", "0"),
		markup.Attr("aria-label", says), markup.Do(do),
		markup.El("circle", markup.Attr("cx", num(m.pin.x)), markup.Attr("cy", num(m.pin.y)), markup.Attr("r", num(pinTouch)), markup.Attr("fill", "transparent"), markup.Attr("pointer-events", "all")))
}

// pinPlace finds room for the pin of a fault: among eight directions the one
// farthest from all that is there, outward rather than across the bird.
func pinPlace(at pt, taken []pt) pt {
	best, bestRoom := p(at.x, at.y-pinReach), -1.0
	for i := range 8 {
		angle := float64(i) * math.Pi / 4
		c := p(at.x+pinReach*math.Cos(angle), at.y+pinReach*math.Sin(angle))
		const edge = pinRadius + 4
		if c.x < edge || c.x > birdW-edge || c.y < edge || c.y > birdH-edge {
			continue
		}
		room := 3 * pinRadius
		for _, t := range taken {
			if t != at {
				room = min(room, math.Hypot(t.x-c.x, t.y-c.y))
			}
		}
		room += math.Abs(c.x-birdAxis) / 50
		if room > bestRoom {
			best, bestRoom = c, room
		}
	}
	return best
}

func leader(at, pin pt) markup.Part {
	d := markup.Attr("d", "M"+pair(at)+"L"+pair(pin))
	return markup.Group(markup.El("path", markup.Class("fig-halo"), d), markup.El("path", markup.Class("fig-leader"), d))
}

func drawPin(at pt, label string) markup.Node {
	return markup.El("g",
		markup.El("circle", markup.Class("fig-pin"), markup.Attr("cx", num(at.x)), markup.Attr("cy", num(at.y)), markup.Attr("r", num(pinRadius))),
		markup.El("text", markup.Class("fig-pin-text"), markup.Attr("x", num(at.x)), markup.Attr("y", num(at.y+13)),
			markup.Attr("font-size", "36"), markup.Attr("text-anchor", "middle"), markup.Text(label)))
}

// sign draws the shape of a fault about a point.
func sign(kind string, at pt) markup.Part {
	shift := func(c contour) contour {
		out := make(contour, len(c))
		for i, q := range c {
			out[i] = pt{q.x + at.x, q.y + at.y, q.sharp}
		}
		return out
	}
	both := func(c contour, closed bool, class string) markup.Part {
		d := markup.Attr("d", shift(c).path(closed))
		return markup.Group(markup.El("path", markup.Class("fig-halo"), d), markup.El("path", markup.Class(class), d))
	}
	switch kind {
	case "bare": // a patch of flesh the skin is gone from
		return both(contour{p(-6, -30), p(20, -24), p(33, -4), p(24, 20), p(4, 30), p(-22, 24), p(-34, 4), p(-26, -18)}, true, "fig-sign fig-sign-bare")
	case "cut": // the two lips of a cut
		return both(contour{corner(-40, 12), p(-10, -12), corner(40, -12), p(10, 12)}, true, "fig-sign fig-sign-cut")
	case "break": // a zigzag
		return both(contour{corner(-40, 8), corner(-18, -16), corner(-6, 14), corner(10, -16), corner(20, 12), corner(40, -8)}, false, "fig-sign")
	case "disjoint": // the head of a bone out of its socket
		return markup.Group(both(contour{corner(-48, 0), corner(-34, 0)}, false, "fig-sign"), both(oval(-20, 0, 13, 13), true, "fig-sign"),
			both(contour{p(8, -24), p(23, -11), p(23, 11), p(8, 24)}, false, "fig-sign"), both(contour{corner(26, 0), corner(48, 0)}, false, "fig-sign"))
	case "missing": // a dashed ring struck through
		return markup.Group(both(oval(0, 0, 32, 32), true, "fig-sign fig-sign-gone"), both(contour{corner(-22, 22), corner(22, -22)}, false, "fig-sign"))
	case "trim": // an edge cut straight
		return both(contour{corner(-32, -10), p(-20, 20), p(0, 28), p(20, 20), corner(32, -10)}, true, "fig-sign fig-sign-bare")
	}
	return both(oval(0, 0, 26, 26), true, "fig-sign")
}
