package figure

import (
	"keelcard/engine/amount"
	"keelcard/web/markup"
)

// RulerOptions describe a length laid on a ruler beside its limit.
type RulerOptions struct {
	ID, Title, Desc string
	Length          amount.Length // what was measured
	Limit           amount.Length // the most allowed; 0 shows none
	LengthLabel     string        // "" is the length itself in inches and millimetres
	LimitLabel      string        // "" is the limit itself
}

// Ruler shows a length beside the sixteenths of an inch and the millimetres.
// Where the ruler is too long for sixteenths it shows eighths or quarters.
func Ruler(o RulerOptions) markup.Node {
	const (
		left, right = 24.0, 24.0
		top, bottom = 132.0, 252.0
	)
	span := rulerSpan(max(o.Length, o.Limit))
	x := func(l amount.Length) float64 {
		return left + float64(min(l, span))/float64(span)*(chartW-left-right)
	}
	lengthLabel, limitLabel := or(o.LengthLabel, o.Length.String()), or(o.LimitLabel, o.Limit.String())
	end := x(o.Length)
	return chart(o.ID, "fig-ruler", 262, o.Title, or(o.Desc, lengthLabel+"; "+limitLabel),
		box("fig-rule", left-16, top, chartW-left-right+32, bottom-top),
		markup.If(o.Limit > 0, segment("fig-limit", x(o.Limit), 40, x(o.Limit), bottom)),
		ticks(x, span, top),
		millimetres(x, span, bottom),
		segment("fig-length", left, 108, end, 108),
		segment("fig-length-end", left, 92, left, 124),
		segment("fig-length-end", end, 92, end, 124),
		label("fig-strong", inText(max((left+end)/2, 0), lengthLabel), 80, "middle", chartText, lengthLabel),
		markup.If(o.Limit > 0, label("", inText(x(o.Limit), limitLabel), 30, "middle", chartText, limitLabel)))
}

func or(text, other string) string {
	if text == "" {
		return other
	}
	return text
}

// rulerSpan is how much of a ruler to show: a quarter more than the length, in
// whole quarters of an inch, half an inch at least.
func rulerSpan(longest amount.Length) amount.Length {
	const quarter = amount.Inch / 4
	span := longest + longest/4
	span += quarter - 1
	span -= span % quarter
	return max(span, amount.Inch/2)
}

// ticks are the fractions of an inch, longer for the coarser ones.
func ticks(x func(amount.Length) float64, span amount.Length, top float64) markup.Part {
	step := amount.Inch / 16
	for x(step)-x(0) < 7 && step < amount.Inch {
		step *= 2
	}
	var parts []markup.Part
	for at := amount.Length(0); at <= span; at += step {
		parts = append(parts, segment("fig-tick", x(at), top, x(at), top+tickLength(at)))
		if at%amount.Inch == 0 || span <= amount.Inch && at%(amount.Inch/4) == 0 {
			parts = append(parts, scaleMark(x(at), top+62, inchMark(at)))
		}
	}
	return markup.Group(parts...)
}

func tickLength(at amount.Length) float64 {
	length := 40.0
	for step := amount.Inch; step > amount.Inch/16 && at%step != 0; step /= 2 {
		length -= 7
	}
	return length
}

// scaleMark writes beside a tick, on its other side at the end of the ruler.
func scaleMark(x, y float64, text string) markup.Part {
	if x > chartW-90 {
		return label("", x-5, y, "end", chartSub, text)
	}
	return label("", x+5, y, "start", chartSub, text)
}

func inchMark(at amount.Length) string {
	if at == 0 {
		return "0"
	}
	return at.Inches()
}

// millimetres are the ticks along the lower edge.
func millimetres(x func(amount.Length) float64, span amount.Length, bottom float64) markup.Part {
	step := amount.Millimetre
	for x(step)-x(0) < 5 {
		step *= 5
	}
	mark := 10 * amount.Millimetre // with room for its text
	for x(mark)-x(0) < 120 {
		mark *= 2
	}
	var parts []markup.Part
	for at := amount.Length(0); at <= span; at += step {
		length := 12.0
		if at%(10*amount.Millimetre) == 0 {
			length = 26
		} else if at%(5*amount.Millimetre) == 0 {
			length = 19
		}
		parts = append(parts, segment("fig-tick", x(at), bottom, x(at), bottom-length))
		if at > 0 && at%mark == 0 {
			parts = append(parts, label("", x(at)-5, bottom-22, "end", chartSub, at.Millimetres()))
		}
	}
	return markup.Group(parts...)
}

// TailCutOptions describe how far a cut at the tail goes up the back.
type TailCutOptions struct {
	ID, Title, Desc                          string
	Share                                    amount.Share // of the way from the base of the tail to the hip joints
	BaseLabel, HalfLabel, HipLabel, CutLabel string
}

// TailCut shows the end of the back close up: the base of the tail, the line
// between the hip joints, half way between them, and the cut.
func TailCut(o TailCutOptions) markup.Node {
	const (
		base, hips  = 300.0, 480.0
		left, right = 20.0, 440.0
	)
	share := 0.0
	if o.Share.Den > 0 {
		share = float64(o.Share.Num) / float64(o.Share.Den)
	}
	cut := base + share*(hips-base)
	a := artist{id: o.ID, view: Back, missing: []string{"tail"}}
	line := func(y float64, class, text string) markup.Part {
		return markup.Group(segment(class, left, y, right+20, y), label("", right+28, y+10, "start", chartText, text))
	}
	return chart(o.ID, "fig-tailcut", 640, o.Title, o.Desc,
		a.defs(),
		// the view box puts the base of the tail and the hip joints on the lines
		markup.El("svg", markup.Attr("x", "20"), markup.Attr("y", "0"), markup.Attr("width", "420"), markup.Attr("height", "570"), markup.Attr("viewBox", "304 333 192 260"),
			a.torso(), a.halves(half.haunch), patch("fig-gone", tailBack)),
		box("fig-cutaway", 122, base-6, 216, max(cut-base+6, 6)),
		line(base, "fig-line", o.BaseLabel),
		line((base+hips)/2, "fig-limit", o.HalfLabel),
		line(hips, "fig-line", o.HipLabel),
		segment("fig-length", left, cut, right, cut),
		segment("fig-length", left, 612, left+60, 612),
		label("fig-strong", left+76, 622, "start", chartText, o.CutLabel))
}

// CoinThickness is the thickness of a United States five-cent coin, 1.95 mm
// (United States Mint, coin specifications).
const CoinThickness amount.Length = 1_950_000

// CoinOptions compare a depth with the two gauges in use.
type CoinOptions struct {
	ID, Title, Desc                    string
	Depth                              amount.Length
	DepthLabel, CoinLabel, EighthLabel string
}

// Coin shows the depth of a cut beside the thickness of a five-cent coin and
// 1/8 in, all to one scale. The two gauges are not the same.
func Coin(o CoinOptions) markup.Node {
	const surface, deep = 60.0, 240.0
	eighth := amount.Inch / 8
	scale := deep / float64(max(o.Depth, eighth))
	drop := func(l amount.Length) float64 { return float64(l) * scale }
	column := func(x float64, class string, l amount.Length, text string) markup.Part {
		return markup.Group(
			box(class, x-80, surface, 160, drop(l)),
			label("", x, surface+deep+36, "middle", chartSub, l.Millimetres()),
			label("fig-strong", x, 38, "middle", chartSub, text))
	}
	return chart(o.ID, "fig-coin", 360, o.Title, o.Desc,
		box("fig-meat", 4, surface, chartW-8, deep+48),
		column(124, "fig-hollow-box", o.Depth, o.DepthLabel),
		column(360, "fig-coin-edge", CoinThickness, o.CoinLabel),
		column(596, "fig-gauge", eighth, o.EighthLabel),
		segment("fig-line", 4, surface, chartW-4, surface),
		segment("fig-limit", 124, surface+drop(o.Depth), chartW-4, surface+drop(o.Depth)))
}

// HensOptions describe a placing of four hens.
type HensOptions struct {
	ID, Title, Desc string
	Order           [4]uint8 // numbers of the hens, best first
	Cuts            [3]uint8 // top, middle, bottom
	ShowCuts        bool
	Places          [4]string // what stands under them: "1st"
}

// Hens shows four hens in their order with the cuts between them.
func Hens(o HensOptions) markup.Node {
	const step = chartW / 4
	return chart(o.ID, "fig-hens", 260, o.Title, o.Desc,
		segment("fig-axis", 4, 190, chartW-4, 190),
		markup.Each(o.Order[:], func(i int, n uint8) markup.Part {
			x := float64(step*i) + 8
			return markup.El("g", hen(x, 50),
				label("fig-strong", x+76, 138, "middle", "40", num(float64(n))),
				label("", x+76, 232, "middle", chartText, o.Places[i]))
		}),
		markup.If(o.ShowCuts, markup.Each(o.Cuts[:], func(i int, c uint8) markup.Part {
			x := float64(step * (i + 1))
			return markup.El("g",
				segment("fig-limit", x, 52, x, 204),
				markup.El("circle", markup.Class("fig-pin"), markup.Attr("cx", num(x)), markup.Attr("cy", "30"), markup.Attr("r", "26")),
				label("fig-pin-text", x, 41, "middle", "32", num(float64(c))))
		})))
}

var (
	henBody = trace(`
		c112,8 128,14 134,30 c146,36 c132,42 134,66 130,92 112,114 84,120 56,112 36,88 c10,62 6,40 c2,26 30,44 54,54
		82,52 98,36 102,18`)
	henComb = trace("c104,16 100,4 108,-2 c112,4 118,-8 c121,4 128,-4 130,8 c124,14")
)

func hen(x, y float64) markup.Node {
	return markup.El("g", markup.Attr("transform", "translate("+num(x)+" "+num(y)+")"),
		markup.El("path", markup.Class("fig-hen-legs"), markup.Attr("d", "M74 118V138M92 117V138M66 140H82M84 140H102")),
		patch("fig-comb", henComb), patch("fig-hen", henBody),
		markup.El("circle", markup.Class("fig-eye"), markup.Attr("cx", "120"), markup.Attr("cy", "26"), markup.Attr("r", "3")))
}
