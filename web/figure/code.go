package figure

import (
	"strconv"
	"strings"

	"rsc.io/qr/coding"

	"keelcard/web/markup"
)

// quiet is the empty edge that a reader needs around a picture code, in squares
// (ISO/IEC 18004).
const quiet = 4

// codeLevel lets a reader mend squares that it sees wrong, up to one in seven.
const codeLevel = coding.M

// Code draws a text of capitals, digits and a few marks as a picture code: the
// smallest QR code that holds it. It is nil where none does or the text has other
// letters.
func Code(id, title, text string) markup.Node {
	letters := coding.Alpha(text)
	if letters.Check() != nil {
		return nil
	}
	v := coding.Version(coding.MinVersion)
	for letters.Bits(v) > v.DataBytes(codeLevel)*8 {
		if v++; v > coding.MaxVersion {
			return nil
		}
	}
	plan, err := planOf(v)
	if err != nil {
		return nil
	}
	code, err := plan.Encode(letters)
	if err != nil {
		return nil
	}
	side := strconv.Itoa(code.Size + 2*quiet)
	return markup.El("svg", markup.ID(id), markup.Class("code-picture"), markup.Attr("viewBox", "0 0 "+side+" "+side), markup.Attr("role", "img"),
		markup.Attr("aria-label", title), markup.Attr("shape-rendering", "crispEdges"),
		markup.El("rect", markup.Class("code-paper"), markup.Attr("width", side), markup.Attr("height", side)),
		markup.El("path", markup.ID(id+"-squares"), markup.Class("code-ink"), markup.Attr("d", squares(code))))
}

// plans keeps where the squares of a version go: a moving code has one for all
// its pictures. Pages are drawn one at a time.
var plans = map[coding.Version]*coding.Plan{}

func planOf(v coding.Version) (*coding.Plan, error) {
	if plans[v] == nil {
		p, err := coding.NewPlan(v, codeLevel, 0)
		if err != nil {
			return nil, err
		}
		plans[v] = p
	}
	return plans[v], nil
}

// squares writes the dark squares as one path, a run of them in a row at a time.
func squares(code *coding.Code) string {
	var b strings.Builder
	b.Grow(8 * code.Size * code.Size / 2)
	for y := range code.Size {
		for x := 0; x < code.Size; x++ {
			from := x
			for code.Black(x, y) {
				x++
			}
			if x > from {
				b.WriteString("M" + strconv.Itoa(from+quiet) + " " + strconv.Itoa(y+quiet) + "h" + strconv.Itoa(x-from) + "v1h-" + strconv.Itoa(x-from) + "z")
			}
		}
	}
	return b.String()
}
