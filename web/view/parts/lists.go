package parts

import (
	"strconv"

	"keelcard/web/markup"
)

// Row is one line of a List. Only Title is needed.
type Row struct {
	Lead  string      // short, before the title: a number
	Title string      // what it is
	Sub   string      // a second line
	Value string      // at the end of the line
	End   markup.Part // after the value: a badge
	Do    string      // the action of a tap; "" for a line that cannot be tapped
	ID    string      // in place of the id made from Do
	On    bool        // this is the one that is open
}

// LinkRow is one line of a list, as a list item.
func LinkRow(r Row) markup.Node {
	id := r.ID
	if id == "" && r.Do != "" {
		id = IDOf(r.Do)
	}
	tag := "div"
	if r.Do != "" {
		tag = "button"
	}
	return markup.El("li", markup.El(tag,
		markup.If(id != "", markup.ID(id)),
		markup.Class("list-item"),
		markup.If(r.Do != "", markup.Group(markup.Attr("type", "button"), markup.Do(r.Do))),
		markup.If(r.On, markup.Attr("aria-current", "true")),
		span("item-lead", r.Lead),
		markup.El("span", markup.Class("item-text"), span("item-title", r.Title), span("item-sub", r.Sub)),
		span("item-value", r.Value),
		r.End))
}

func span(class, text string) markup.Part {
	return markup.If(text != "", markup.El("span", markup.Class(class), markup.Text(text)))
}

// List is a list of rows; label says what of, for a screen reader.
func List(label string, rows ...Row) markup.Node {
	return markup.El("ul", markup.Class("list"), markup.Attr("aria-label", label),
		markup.Each(rows, func(_ int, r Row) markup.Part { return LinkRow(r) }))
}

// Choice is one of several answers to choose between.
type Choice struct {
	Label, Sub string
	Do         string
	On         bool
}

// Choices is a question with its answers as large buttons. With column set
// they stand one under another.
func Choices(label string, column bool, choices ...Choice) markup.Node {
	class := ""
	if column {
		class = "column"
	}
	return markup.El("fieldset", markup.Class("choices", class),
		markup.If(label != "", markup.El("legend", markup.Text(label))),
		markup.Each(choices, func(_ int, c Choice) markup.Part {
			opts := []Opt{Pressed(c.On)}
			if c.Sub != "" {
				opts = append(opts, Sub(c.Sub))
			}
			return Button(c.Label, c.Do, opts...)
		}))
}

// Tabs are the faces of one page; the open one is marked for sight and for a
// screen reader.
func Tabs(label string, tabs ...Choice) markup.Node {
	return markup.El("nav", markup.Class("tabs"), markup.Attr("aria-label", label),
		markup.Each(tabs, func(_ int, t Choice) markup.Part {
			return markup.El("button", markup.ID(IDOf(t.Do)), markup.Class("tab"), markup.Attr("type", "button"), markup.Do(t.Do),
				markup.If(t.On, markup.Attr("aria-current", "page")), markup.Text(t.Label))
		}))
}

// Key is one answer on a Keypad.
type Key struct {
	Label, Sub string
	Do         string
	Says       string // for a screen reader, when the label alone is too short
	On         bool   // the answer given
	Off        bool   // cannot be used now
	Plain      bool   // a lesser key: blank, two marked
}

// Keypad is the set of answers to tap, as large as the screen allows.
func Keypad(id, label string, keys ...Key) markup.Node {
	return markup.El("div", markup.ID(id), markup.Class("keypad"), markup.Attr("data-keys", strconv.Itoa(len(keys))),
		markup.Attr("role", "group"), markup.Attr("aria-label", label),
		markup.Each(keys, func(_ int, k Key) markup.Part {
			class := wordClass(k.Label)
			if k.Plain {
				class = "plain"
			}
			return markup.El("button", markup.ID(IDOf(k.Do)), markup.Class("key", class), markup.Attr("type", "button"), markup.Do(k.Do),
				markup.Attr("aria-pressed", strconv.FormatBool(k.On)),
				markup.If(k.Off, markup.Flag("disabled")),
				markup.If(k.Says != "", markup.Attr("aria-label", k.Says)),
				markup.Text(k.Label), markup.If(k.Sub != "", markup.Text(" ")), span("key-sub", k.Sub))
		}))
}

// wordClass lets a label of several letters stand on its key in one line.
func wordClass(label string) string {
	switch n := len(label); {
	case n < 2:
		return ""
	case n < 4:
		return "short"
	}
	return "word"
}

// Tile is one item of a card: its number and the answer given so far.
type Tile struct {
	Number   string
	Answer   string // "" when there is none yet
	Says     string // number, answer and state in words
	Do       string
	On       bool // the item that is open
	Question bool // two keyings differ here
	Far      bool // left out where there is little room
}

// Tiles shows a whole card at a glance.
func Tiles(label string, tiles ...Tile) markup.Node {
	return markup.El("div", markup.Class("tiles"), markup.Attr("role", "group"), markup.Attr("aria-label", label),
		markup.Each(tiles, func(_ int, t Tile) markup.Part {
			empty, question, far := "", "", ""
			if t.Far {
				far = "far"
			}
			if t.Answer == "" {
				empty = "empty-mark"
			}
			if t.Question {
				question = "question"
			}
			return markup.El("button", markup.ID(IDOf(t.Do)), markup.Class("tile", empty, question, far), markup.Attr("type", "button"), markup.Do(t.Do),
				markup.Attr("aria-label", t.Says), markup.If(t.On, markup.Attr("aria-current", "true")),
				span("tile-no", t.Number), markup.If(t.Answer != "", markup.Text(" ")), span("tile-answer", t.Answer))
		}))
}

// Readback repeats the last entry, for the eye and aloud: whose it is, what
// was entered, and what comes next.
func Readback(who, value, next string) markup.Node {
	return markup.El("div", markup.ID("readback"), markup.Class("readback"), markup.Attr("role", "status"), markup.Attr("aria-live", "polite"),
		span("readback-who", who), span("readback-value", value), span("readback-next", next))
}
