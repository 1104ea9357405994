// Package parts holds the components that pages are put together from: buttons,
// rows, fields, notices, tables. Each is a function from texts and values to a
// markup.Node; the texts come from the caller, the look from web/shell/style.css.
//
// Whatever can be tapped or typed in carries its action in data-do and an id
// made from that action by IDOf, so that an element keeps its id, and the
// browser its focus, from one rendering to the next. Where one action is
// offered twice on a page, ID gives the second its own id.
package parts

import (
	"fmt"
	"strconv"
	"strings"

	"keelcard/web/markup"
)

// IDOf makes the id of the element that sends an action. Different actions
// give different ids.
func IDOf(do string) string {
	var b strings.Builder
	for i := 0; i < len(do); i++ {
		switch c := do[i]; {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', c == '.', c == '-':
			b.WriteByte(c)
		case c == ':':
			b.WriteString("__")
		default:
			fmt.Fprintf(&b, "_%02x", c)
		}
	}
	return b.String()
}

// Opt changes how a button or link looks and what it says of itself.
type Opt func(*options)

type options struct {
	classes []string
	id      string
	parts   []markup.Part
	sub     string
}

func with(class string) Opt {
	return func(o *options) { o.classes = append(o.classes, class) }
}

// Looks of a button. Primary is the one thing to do next; Quiet is for what is
// rarely needed, Danger for what takes something away, Long for a label longer
// than those beside it.
var (
	Primary = with("primary")
	Quiet   = with("quiet")
	Danger  = with("danger")
	Big     = with("big")
	Wide    = with("wide")
	Long    = with("long")
	NoPrint = with("no-print")
)

// Disabled shows a button that cannot be used now.
func Disabled(o *options) { o.parts = append(o.parts, markup.Flag("disabled")) }

// Pressed makes a button one that is on or off.
func Pressed(on bool) Opt {
	return func(o *options) { o.parts = append(o.parts, markup.Attr("aria-pressed", strconv.FormatBool(on))) }
}

// ID replaces the id made from the action.
func ID(id string) Opt { return func(o *options) { o.id = id } }

// Says gives a screen reader more than the label shows.
func Says(text string) Opt {
	return func(o *options) { o.parts = append(o.parts, markup.Attr("aria-label", text)) }
}

// Sub puts a second, smaller line under the label.
func Sub(text string) Opt { return func(o *options) { o.sub = text } }

func settle(do string, opts []Opt) options {
	o := options{id: IDOf(do)}
	for _, opt := range opts {
		opt(&o)
	}
	return o
}

func (o options) label(text, subClass string) markup.Part {
	if o.sub == "" {
		return markup.Text(text)
	}
	return markup.El("span", markup.Text(text+" "), markup.El("span", markup.Class(subClass), markup.Text(o.sub)))
}

// Button is something to tap: its label and the action it sends.
func Button(label, do string, opts ...Opt) markup.Node {
	o := settle(do, opts)
	return markup.El("button", markup.ID(o.id), markup.Class(append([]string{"btn"}, o.classes...)...),
		markup.Attr("type", "button"), markup.Do(do), markup.Group(o.parts...), o.label(label, "choice-sub"))
}

// Link looks like a button and goes to an address.
func Link(label, href string, opts ...Opt) markup.Node {
	o := settle("go:"+href, opts)
	return markup.El("a", markup.ID(o.id), markup.Class(append([]string{"btn"}, o.classes...)...),
		markup.Attr("href", href), markup.Group(o.parts...), o.label(label, "choice-sub"))
}

// TopBar is the head of a page: its title, a second line that may be "", and
// the way back, left out when backDo is "".
func TopBar(title, sub, back, backDo string) markup.Node {
	return markup.El("header", markup.ID("topbar"), markup.Class("topbar"),
		markup.If(backDo != "", markup.El("button", markup.ID("back"), markup.Class("back"),
			markup.Attr("type", "button"), markup.Do(backDo), markup.Text(back))),
		markup.El("h1", markup.ID("title"), markup.Attr("tabindex", "-1"), markup.Text(title)),
		markup.If(sub != "", markup.El("p", markup.Class("topbar-sub"), markup.Text(sub))))
}

// Where is the strip that says where the data is; it opens more when do is not "".
func Where(text, do string) markup.Node {
	if do == "" {
		return markup.El("p", markup.ID("where"), markup.Class("where"), markup.Text(text))
	}
	return markup.El("button", markup.ID("where"), markup.Class("where"), markup.Attr("type", "button"), markup.Do(do), markup.Text(text))
}

// Main is the body of a page with one column.
func Main(items ...markup.Part) markup.Node {
	return markup.El("main", markup.ID("main"), markup.Attr("tabindex", "-1"), markup.Group(items...))
}

// Panes is the body of a page that shows two columns side by side on a wide
// screen and one under the other on a phone.
func Panes(first, second markup.Part) markup.Node {
	return markup.El("main", markup.ID("main"), markup.Class("panes"), markup.Attr("tabindex", "-1"),
		markup.El("div", markup.ID("pane-1"), markup.Class("pane"), first),
		markup.El("div", markup.ID("pane-2"), markup.Class("pane"), second))
}

// Dock is the bar of actions at the bottom, within reach of a thumb.
func Dock(label string, items ...markup.Part) markup.Node {
	return markup.El("div", markup.ID("dock"), markup.Class("dock"), markup.Attr("role", "region"),
		markup.Attr("aria-label", label), markup.Group(items...))
}

// Stack sets parts one under another.
func Stack(items ...markup.Part) markup.Node {
	return markup.El("div", markup.Class("stack"), markup.Group(items...))
}

// Line sets parts side by side.
func Line(items ...markup.Part) markup.Node {
	return markup.El("div", markup.Class("row"), markup.Group(items...))
}

// Para is a paragraph; classes such as "soft" may follow the text.
func Para(text string, classes ...string) markup.Node {
	return markup.El("p", markup.Class(classes...), markup.Text(text))
}

// Card is a printed card with a heading, left out when it is "".
func Card(id, heading string, items ...markup.Part) markup.Node {
	return markup.El("section", markup.ID(id), markup.Class("card"),
		markup.If(heading != "", markup.Group(markup.Attr("aria-labelledby", id+"-h"),
			markup.El("h2", markup.ID(id+"-h"), markup.Text(heading)))),
		markup.Group(items...))
}

// Empty says what will be here and holds the one thing that starts it.
func Empty(text string, start markup.Part) markup.Node {
	return markup.El("div", markup.Class("empty"), Para(text), start)
}

// Source names where a line comes from.
func Source(text string) markup.Node {
	return markup.El("span", markup.Class("source"), markup.Text(text))
}
