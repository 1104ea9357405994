package figure

import (
	"strings"

	"keelcard/web/markup"
)

// chartW is the width of every chart, in units of its drawing. On a phone 360 px
// wide a unit is a little under half a pixel.
const chartW = 720

const (
	chartText = "30" // size of letters that must be read
	chartSub  = "26" // size of letters on a scale
)

// chart is the frame of a drawing that is only looked at.
func chart(id, class string, height int, title, desc string, parts ...markup.Part) markup.Node {
	return markup.El("svg", markup.ID(id), markup.Class("fig", class), markup.Attr("viewBox", "0 0 720 "+num(float64(height))),
		twin(id, "img", title, desc), markup.Group(parts...))
}

// label writes a text; anchor is start, middle or end.
func label(class string, x, y float64, anchor, size, text string) markup.Part {
	return markup.If(text != "", markup.El("text", markup.Class(class), markup.Attr("x", num(x)), markup.Attr("y", num(y)),
		markup.Attr("text-anchor", anchor), markup.Attr("font-size", size), markup.Text(text)))
}

func segment(class string, x1, y1, x2, y2 float64) markup.Node {
	return markup.El("path", markup.Class(class), markup.Attr("d", "M"+pair(p(x1, y1))+"L"+pair(p(x2, y2))))
}

func box(class string, x, y, w, h float64) markup.Node {
	return markup.El("rect", markup.Class(class), markup.Attr("x", num(x)), markup.Attr("y", num(y)), markup.Attr("width", num(w)), markup.Attr("height", num(h)))
}

// Bar is one bar of Bars.
type Bar struct {
	Label string
	Value string // as it is to be read: "7 of 10"
	Share int    // length in thousandths of the full width, 0 to 1000
	On    bool   // the bar that is spoken of
}

// Bars draws labelled bars one under another. Without a desc the labels and
// values are the text twin.
func Bars(id, title, desc string, bars []Bar) markup.Node {
	const row = 84
	if desc == "" {
		desc = told(bars)
	}
	return chart(id, "fig-bars", row*len(bars), title, desc, markup.Each(bars, func(i int, b Bar) markup.Part {
		y := float64(row * i)
		class, text := "fig-bar", ""
		if b.On {
			class, text = "fig-bar fig-bar-on", "fig-strong"
		}
		return markup.El("g",
			label(text, 2, y+32, "start", chartText, b.Label),
			label("fig-strong", chartW-2, y+32, "end", chartText, b.Value),
			box("fig-bar-track", 2, y+44, chartW-4, 26),
			box(class, 2, y+44, float64(min(max(b.Share, 0), 1000))*(chartW-4)/1000, 26))
	}))
}

func told(bars []Bar) string {
	lines := make([]string, len(bars))
	for i, b := range bars {
		lines[i] = b.Label + ": " + b.Value
	}
	return strings.Join(lines, "; ")
}

// DotsOptions describe a distribution of scores on a line from Least to Most.
type DotsOptions struct {
	ID, Title, Desc string
	Values          []int  // one a contestant, in any unit
	Least, Most     int    // ends of the line, in the same unit
	LeastLabel      string // what stands at the ends
	MostLabel       string
	Chosen          int                // the value that is pointed at
	ChosenLabel     string             // "" points at none
	Each            func(n int) string // says that a dot stands for n contestants, when n is more than 1
}

const (
	dotColumns = 36
	dotRows    = 12
	dotSize    = 18.0
)

// Dots draws a dot for each contestant, heaped over the score. Where the heaps
// would grow too high a dot stands for several and the drawing says so.
func Dots(o DotsOptions) markup.Node {
	heaps, per := heap(o)
	const base = dotRows*dotSize + 66.0
	column := func(value int) float64 { return 18 + float64(place(o, value))*(chartW-36)/(dotColumns-1) }
	return chart(o.ID, "fig-dots", int(base)+50, o.Title, o.Desc,
		markup.Each(heaps[:], func(i, n int) markup.Part {
			dots := make([]markup.Part, 0, dotRows)
			for k := range (n + per - 1) / per {
				dots = append(dots, markup.El("circle", markup.Attr("cx", num(18+float64(i)*(chartW-36)/(dotColumns-1))),
					markup.Attr("cy", num(base-12-dotSize*float64(k))), markup.Attr("r", "8")))
			}
			return markup.If(n > 0, markup.El("g", markup.Class("fig-dot"), markup.Group(dots...)))
		}),
		segment("fig-axis", 4, base, chartW-4, base),
		label("", 4, base+36, "start", chartText, o.LeastLabel),
		label("", chartW-4, base+36, "end", chartText, o.MostLabel),
		markup.If(o.ChosenLabel != "", markup.Group(
			segment("fig-limit", column(o.Chosen), 44, column(o.Chosen), base+10),
			label("fig-strong", inText(column(o.Chosen), o.ChosenLabel), 32, "middle", chartText, o.ChosenLabel))),
		eachLabel(o, per, base))
}

func eachLabel(o DotsOptions, per int, base float64) markup.Part {
	if per == 1 || o.Each == nil {
		return nil
	}
	return label("fig-text-soft", chartW/2, base+36, "middle", chartSub, o.Each(per))
}

// place is the column of a value.
func place(o DotsOptions, value int) int {
	if o.Most <= o.Least {
		return 0
	}
	value = min(max(value, o.Least), o.Most)
	return (value - o.Least) * (dotColumns - 1) / (o.Most - o.Least)
}

// heap counts the values of each column, and how many a dot must stand for.
func heap(o DotsOptions) (heaps [dotColumns]int, per int) {
	most := 0
	for _, v := range o.Values {
		c := place(o, v)
		heaps[c]++
		most = max(most, heaps[c])
	}
	return heaps, max(1, (most+dotRows-1)/dotRows)
}

// inText moves the middle of a text so far in that all of it shows.
func inText(x float64, text string) float64 {
	half := float64(len([]rune(text)))*8 + 4
	return max(half, min(chartW-half, x))
}
