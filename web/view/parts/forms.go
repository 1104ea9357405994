package parts

import (
	"strconv"

	"keelcard/web/markup"
)

// Input is one thing to fill in. Name and Label are needed.
type Input struct {
	Name        string // also the id, after "f-"
	Label       string
	Hint        string
	Error       string
	Value       string
	Do          string // sent with what was typed
	Type        string // of the input; "" is text
	Mode        string // which keyboard: numeric, decimal, ...
	Placeholder string
	Lines       int // more than 1 makes a text area
	Short       bool
	Required    bool
	Plain       bool     // letter for letter: nothing is corrected, and no spelling is looked up elsewhere
	Options     []Option // not empty makes a list to choose from
}

// Option is one line of a list to choose from.
type Option struct{ Value, Label string }

// Field is a label, its input, a hint, and what is wrong with what was typed.
func Field(in Input) markup.Node {
	id := "f-" + in.Name
	short := ""
	if in.Short {
		short = "short"
	}
	described := ""
	if in.Hint != "" {
		described = id + "-hint"
	}
	if in.Error != "" {
		described = join(described, id+"-error")
	}
	return markup.El("div", markup.Class("field", short),
		markup.El("label", markup.Attr("for", id), markup.Text(in.Label)),
		markup.If(in.Hint != "", markup.El("span", markup.ID(id+"-hint"), markup.Class("hint"), markup.Text(in.Hint))),
		control(in, id, described),
		markup.If(in.Error != "", markup.El("span", markup.ID(id+"-error"), markup.Class("error"), markup.Attr("role", "alert"), markup.Text(in.Error))))
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + " " + b
}

func control(in Input, id, described string) markup.Node {
	common := markup.Group(markup.ID(id), markup.Attr("name", in.Name),
		markup.If(in.Do != "", markup.Do(in.Do)),
		markup.If(in.Required, markup.Flag("required")),
		markup.If(in.Error != "", markup.Attr("aria-invalid", "true")),
		markup.If(described != "", markup.Attr("aria-describedby", described)))
	hints := markup.Group(
		markup.If(in.Mode != "", markup.Attr("inputmode", in.Mode)),
		markup.If(in.Placeholder != "", markup.Attr("placeholder", in.Placeholder)),
		markup.Attr("autocomplete", "off"),
		markup.If(in.Plain, markup.Group(markup.Attr("autocapitalize", "none"), markup.Attr("spellcheck", "false"))))
	switch {
	case len(in.Options) > 0:
		return markup.El("select", common, markup.Each(in.Options, func(_ int, o Option) markup.Part {
			return markup.El("option", markup.Attr("value", o.Value), markup.If(o.Value == in.Value, markup.Flag("selected")), markup.Text(o.Label))
		}))
	case in.Lines > 1:
		return markup.El("textarea", common, hints, markup.Attr("dir", "auto"), markup.Attr("rows", strconv.Itoa(in.Lines)), markup.Text(in.Value))
	}
	kind := in.Type
	if kind == "" {
		kind = "text"
	}
	return markup.El("input", common, hints, markup.Attr("type", kind), markup.If(kind == "text", markup.Attr("dir", "auto")), markup.Attr("value", in.Value))
}

// Check is a thing that is so or not so.
func Check(label, do string, on bool) markup.Node {
	return markup.El("label", markup.Class("check"),
		markup.El("input", markup.ID(IDOf(do)), markup.Attr("type", "checkbox"), markup.Do(do), markup.If(on, markup.Flag("checked"))),
		markup.El("span", markup.Text(label)))
}

// File is a button that asks for files. accept lists kinds, "" for any.
func File(label, do, accept string, many bool) markup.Node {
	id := IDOf(do)
	return markup.El("div", markup.Class("field"),
		markup.El("label", markup.Attr("for", id), markup.Text(label)),
		markup.El("input", markup.ID(id), markup.Attr("name", id), markup.Attr("type", "file"), markup.Do(do),
			markup.If(accept != "", markup.Attr("accept", accept)), markup.If(many, markup.Flag("multiple"))))
}
