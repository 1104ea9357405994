package parts

import (
	"strconv"

	"keelcard/web/markup"
)

// Kind of a notice.
type Kind string

// Info tells, Caution asks for care, Bad says that something went wrong and
// what to do now. Each has its own sign and frame beside its colour.
const (
	Info    Kind = "info"
	Caution Kind = "caution"
	Bad     Kind = "bad"
)

var signs = map[Kind]string{Info: "i", Caution: "!", Bad: "×"}

// Notice is a short text that stands out, with what can be done about it.
func Notice(kind Kind, text string, more ...markup.Part) markup.Node {
	role := "note"
	if kind == Bad {
		role = "alert"
	}
	return markup.El("div", markup.Class("notice", string(kind)), markup.Attr("role", role),
		markup.El("span", markup.Class("notice-mark"), markup.Attr("aria-hidden", "true"), markup.El("span", markup.Text(signs[kind]))),
		markup.El("div", markup.Class("notice-text"), Para(text), markup.Group(more...)))
}

// Toast is a calm notice at the edge of the page.
func Toast(id, text string, more ...markup.Part) markup.Node {
	return markup.El("div", markup.ID(id), markup.Class("toast-edge"), markup.Attr("role", "status"), Para(text), markup.Group(more...))
}

// Flash is a band across the page after an entry: taken, or not taken.
func Flash(ok bool, text string) markup.Node {
	state := "bad"
	if ok {
		state = "ok"
	}
	return markup.El("div", markup.ID("flash"), markup.Class("flash", state), markup.Attr("role", "status"), markup.Text(text))
}

// GradeBadge shows a grade by letter and shape. says is the grade in words;
// classes small and large change its size.
func GradeBadge(grade, says string, classes ...string) markup.Node {
	return markup.El("span", markup.Class(append([]string{"badge-grade"}, classes...)...), markup.Attr("data-grade", grade),
		markup.Attr("role", "img"), markup.Attr("aria-label", says), markup.Text(grade))
}

// Stat is one number and what it counts.
func Stat(value, label string) markup.Node {
	return markup.El("div", markup.Class("stat"),
		markup.El("span", markup.Class("stat-value"), markup.Text(value)),
		markup.El("span", markup.Class("stat-label"), markup.Text(label)))
}

// Stats is a row of Stat.
func Stats(stats ...markup.Part) markup.Node {
	return markup.El("div", markup.Class("stats"), markup.Group(stats...))
}

// Column is the head of a table column; Num sets its figures one under another.
type Column struct {
	Text string
	Num  bool
}

// TableRow is one line of a table: its cells, the first of which is its head.
type TableRow struct {
	ID    string
	Cells []markup.Part
	Sum   bool // a line of sums
	Mark  bool // the line that is spoken of
}

// Table is a table that can be read aloud and printed. It scrolls by itself
// where it is wider than the page.
func Table(id, caption string, columns []Column, rows []TableRow) markup.Node {
	return markup.El("div", markup.Class("table-box"), markup.Attr("tabindex", "0"), markup.Attr("role", "group"), markup.Attr("aria-label", caption),
		markup.El("table", markup.ID(id), markup.Class("table"),
			markup.El("caption", markup.Text(caption)),
			markup.El("thead", markup.El("tr", markup.Each(columns, func(_ int, c Column) markup.Part {
				return markup.El("th", markup.Attr("scope", "col"), numeric(c.Num), markup.Text(c.Text))
			}))),
			markup.El("tbody", markup.Each(rows, func(_ int, r TableRow) markup.Part { return tableRow(columns, r) }))))
}

func tableRow(columns []Column, r TableRow) markup.Node {
	class := ""
	if r.Sum {
		class = "sum"
	} else if r.Mark {
		class = "mark"
	}
	return markup.El("tr", markup.If(r.ID != "", markup.ID(r.ID)), markup.Class(class),
		markup.Each(r.Cells, func(i int, cell markup.Part) markup.Part {
			num := numeric(i < len(columns) && columns[i].Num)
			if i == 0 {
				return markup.El("th", markup.Attr("scope", "row"), num, cell)
			}
			return markup.El("td", num, cell)
		}))
}

func numeric(num bool) markup.Part { return markup.If(num, markup.Class("num")) }

// Texts makes table cells of texts.
func Texts(texts ...string) []markup.Part {
	cells := make([]markup.Part, len(texts))
	for i, t := range texts {
		cells[i] = markup.Text(t)
	}
	return cells
}

// Why is a line that opens its reason; reasons may hold reasons. end stands at
// the end of the line and may be nil.
func Why(id, summary string, end markup.Part, reason ...markup.Part) markup.Node {
	return markup.El("details", markup.ID(id), markup.Class("trail"),
		markup.El("summary", markup.El("span", markup.Text(summary)),
			markup.If(end != nil, markup.El("span", markup.Class("push"), end))),
		markup.El("div", markup.Class("why-body"), markup.Group(reason...)))
}

// Progress shows how much is done. done is held between 0 and of.
func Progress(label, value string, done, of int) markup.Node {
	done = min(max(done, 0), max(of, 0))
	share := 0
	if of > 0 {
		share = done * 1000 / of
	}
	return markup.El("div", markup.Class("progress"), markup.Attr("role", "progressbar"), markup.Attr("aria-label", label),
		markup.Attr("aria-valuemin", "0"), markup.Attr("aria-valuemax", strconv.Itoa(max(of, 0))), markup.Attr("aria-valuenow", strconv.Itoa(done)),
		markup.Attr("aria-valuetext", value),
		markup.El("div", markup.Class("progress-text"), markup.El("span", markup.Text(label)), markup.El("span", markup.Class("num"), markup.Text(value))),
		markup.El("svg", markup.Class("progress-bar"), markup.Attr("viewBox", "0 0 1000 10"), markup.Attr("preserveAspectRatio", "none"), markup.Attr("aria-hidden", "true"),
			markup.El("rect", markup.Class("progress-track"), markup.Attr("width", "1000"), markup.Attr("height", "10")),
			markup.El("rect", markup.Class("progress-done"), markup.Attr("width", strconv.Itoa(share)), markup.Attr("height", "10"))))
}
