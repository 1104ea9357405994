package figure

import "keelcard/web/markup"

// CartonView is an open carton of a dozen from above. Its sites are egg-1 to
// egg-12, from the left in two rows, and carton, which its lid stands for.
const CartonView View = "carton"

const (
	cartonW, cartonH = 720.0, 412.0
	cartonCell       = 116.0
)

func cartonPlace(i int) pt { return p(70+cartonCell*float64(i%6), 84+126*float64(i/6)) }

func cartonSheet() sheet {
	s := sheet{view: CartonView, w: cartonW, h: cartonH, sites: []region{site("carton", around(4, 10, cartonW-8, 396), nil)}}
	s.sites[0].at = p(cartonW/2, 346)
	for i := range 12 {
		at := cartonPlace(i)
		s.sites = append(s.sites, site("egg-"+num(float64(i+1)), oval(at.x, at.y, 57, 62), nil))
	}
	return s
}

// Carton draws a dozen; the eggs listed as missing leave their cells empty. What
// is wrong with an egg is best marked without a pin: the eggs are numbered.
func Carton(o Options) markup.Node {
	id := o.id(CartonView)
	return cartonSheet().draw(o, "fig-tap fig-places",
		markup.El("defs", markup.ID(id+"-defs"), markup.El("radialGradient", markup.ID(id+"-egg"), markup.Attr("cx", "38%"), markup.Attr("cy", "34%"), markup.Attr("r", "75%"),
			stops([]stop{{"0%", "hi"}, {"50%", "mid"}, {"100%", "lo"}}))),
		markup.El("g", markup.ID(id+"-art"), markup.Attr("aria-hidden", "true"),
			box("fig-carton", 4, 270, cartonW-8, 136), segment("fig-seam", 180, 346, cartonW-180, 346), box("fig-carton", 4, 10, cartonW-8, 274),
			markup.Each(cartonSheet().sites[1:], func(i int, r region) markup.Part {
				at := cartonPlace(i)
				empty := artist{missing: o.Missing}.gone(r.site)
				return markup.Group(disc("fig-cup", at, 54),
					markup.If(!empty, markup.Group(markup.El("circle", markup.Class("fig-edge"), markup.Attr("fill", "url(#"+id+"-egg)"), markup.Attr("cx", num(at.x)), markup.Attr("cy", num(at.y)), markup.Attr("r", "46")),
						label("fig-strong", at.x, at.y+12, "middle", "34", num(float64(i+1))))),
					markup.If(empty, patch("fig-gone", oval(at.x, at.y, 44, 44))))
			})))
}
