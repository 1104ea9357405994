package figure

import (
	"math"

	"keelcard/engine/amount"
	"keelcard/web/markup"
)

// Mark is a finding put where it is.
type Mark struct {
	Site  string // where, in words of the rule book
	X, Y  int    // where on the drawing, in thousandths of its width and height; both 0 for the middle of the site
	Label string // what the pin says: a number; "" draws the sign without a pin
	Kind  string // the fault, whose sign is drawn; see sign

	Width amount.Length // how wide it is, where the drawing is to scale; 0 draws a sign of common size
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
func (s sheet) placeMarks(marks []Mark) []placed {
	var list []placed
	var taken []pt
	for i, m := range marks {
		at, ok := s.point(m.X, m.Y), true
		if m.X == 0 && m.Y == 0 {
			at, ok = s.middle(m.Site)
		}
		if ok {
			list = append(list, placed{index: i, mark: m, at: at})
			taken = append(taken, at)
		}
	}
	for i := range list {
		if list[i].mark.Label != "" {
			list[i].pin = s.pinPlace(list[i].at, s.units(list[i].mark.Width)/2, taken)
			taken = append(taken, list[i].pin)
		}
	}
	return list
}

// marks draws each fault with its sign and, beside it, a pin with its label;
// pins are the unseen discs that answer a tap on them.
func (o Options) marks(id string, s sheet) (marks, pins markup.Part) {
	list := s.placeMarks(o.Marks)
	return markup.Each(list, func(_ int, m placed) markup.Part {
			if m.mark.Label == "" {
				return s.sign(m.mark, m.at)
			}
			return markup.Group(leader(m.at, m.pin), s.sign(m.mark, m.at), drawPin(m.pin, m.mark.Label))
		}), markup.Each(list, func(_ int, m placed) markup.Part {
			if o.Pin == nil || o.Static || m.mark.Label == "" {
				return nil
			}
			return o.pinHit(id, m)
		})
}

// pinHit is the unseen disc about a pin that answers a tap or a key.
func (o Options) pinHit(id string, m placed) markup.Node {
	do, says := o.Pin(m.index)
	return markup.El("g", markup.ID(id+"-pin-"+num(float64(m.index+1))), markup.Class("fig-pin-hit"), markup.Attr("role", "button"), markup.Attr("tabindex", "0"),
		markup.Attr("aria-label", says), markup.Do(do),
		markup.El("circle", markup.Attr("cx", num(m.pin.x)), markup.Attr("cy", num(m.pin.y)), markup.Attr("r", num(pinTouch)), markup.Attr("fill", "transparent"), markup.Attr("pointer-events", "all")))
}

// pinPlace finds room for the pin of a fault: among eight directions the one
// farthest from all that is there, outward rather than across the drawing. What
// is drawn about the fault reaches so far from it.
func (s sheet) pinPlace(at pt, reach float64, taken []pt) pt {
	reach = max(pinReach, reach+pinRadius+24)
	best, bestRoom := p(at.x, at.y-reach), -1.0
	for i := range 8 {
		angle := float64(i) * math.Pi / 4
		c := p(at.x+reach*math.Cos(angle), at.y+reach*math.Sin(angle))
		const edge = pinRadius + 4
		if c.x < edge || c.x > s.w-edge || c.y < edge || c.y > s.h-edge {
			continue
		}
		room := 3 * pinRadius
		for _, t := range taken {
			if t != at {
				room = min(room, math.Hypot(t.x-c.x, t.y-c.y))
			}
		}
		room += math.Abs(c.x-s.w/2) / 50
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
