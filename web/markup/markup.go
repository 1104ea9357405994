// Package markup builds HTML and SVG as plain values and writes them escaped.
//
// A view is a function from state to Node. Node values can be compared, so
// Diff finds the smallest blocks of a page that changed; only those cross to
// the browser. There is no way to write unescaped text.
package markup

import (
	"slices"
	"strings"
)

// Node is an element with attributes and children, or a text when it has no
// tag. Nodes are made once and not changed; they may share their children. A
// nil Node is nothing. They are pointers because a view is mostly calls that
// pass nodes on, and passing a whole element costs several times the code.
type Node = *Element

// Element is what a Node points to.
type Element struct {
	Tag   string
	Text  string // only when Tag is ""
	Attrs []Attribute
	Kids  []Node
}

// Attribute is one name and value; a flag such as disabled has an empty value.
type Attribute = *attribute

type attribute struct {
	Name, Value string
	flag        bool
}

// Part is what an element is made of: attributes, text, nodes, or groups of these.
type Part interface{ addTo(*Element) }

func (e *Element) addTo(parent *Element) {
	if e != nil {
		parent.Kids = append(parent.Kids, e)
	}
}

func (a *attribute) addTo(e *Element) { e.Attrs = append(e.Attrs, a) }

type group []Part

func (g group) addTo(e *Element) {
	for _, p := range g {
		if p != nil {
			p.addTo(e)
		}
	}
}

// El makes an element. Nil parts are left out.
func El(tag string, parts ...Part) Node {
	// Most elements have room for all they hold here, so that one is one piece
	// of memory. A page has a thousand, and each tap draws one anew.
	e := &struct {
		Element
		attrs [4]Attribute
		kids  [2]Node
	}{Element: Element{Tag: tag}}
	e.Attrs, e.Kids = e.attrs[:0], e.kids[:0]
	group(parts).addTo(&e.Element)
	return &e.Element
}

// Text makes a text node.
func Text(s string) Node { return &Element{Text: s} }

// Attr makes an attribute.
func Attr(name, value string) Attribute { return &attribute{Name: name, Value: value} }

// Flag makes an attribute that holds by being there, such as disabled.
func Flag(name string) Attribute { return &attribute{Name: name, flag: true} }

// ID makes an id. Ids are stable from one rendering to the next and unique in a page.
func ID(id string) Attribute { return Attr("id", id) }

// Class joins the class names that are not empty.
func Class(names ...string) Part {
	all := ""
	for _, n := range names {
		if all != "" && n != "" {
			all += " "
		}
		all += n
	}
	if all == "" {
		return nothing
	}
	return Attr("class", all)
}

// nothing adds nothing.
var nothing Part = group(nil)

// Do names the message an element sends when it is tapped, typed in or submitted.
func Do(action string) Attribute { return Attr("data-do", action) }

// Group holds several parts as one.
func Group(parts ...Part) Part { return group(parts) }

// If gives the part when cond holds, and nothing otherwise.
func If(cond bool, p Part) Part {
	if cond {
		return p
	}
	return nothing
}

// Each makes a part of every item.
func Each[T any](items []T, part func(i int, item T) Part) Part {
	g := make(group, len(items))
	for i, item := range items {
		g[i] = part(i, item)
	}
	return g
}

// Get reads an attribute of an element, "" when it has none of that name.
func (n *Element) Get(name string) string {
	for _, a := range n.Attrs {
		if a.Name == name {
			return a.Value
		}
	}
	return ""
}

// Walk visits n and everything below it, parents first.
func (n *Element) Walk(visit func(Node)) {
	visit(n)
	for _, k := range n.Kids {
		k.Walk(visit)
	}
}

var void = map[string]bool{"area": true, "br": true, "hr": true, "img": true, "input": true, "link": true, "meta": true, "source": true, "wbr": true}

var (
	textEscaper  = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")
	valueEscaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&#34;", "'", "&#39;")
)

// String writes the node as HTML.
func String(n Node) string {
	var b strings.Builder
	n.write(&b, nil)
	return b.String()
}

// write writes the node. Elements below it that are on the page already,
// known by their ids, are only named.
func (n *Element) write(b *strings.Builder, known map[string]Node) {
	if n.Tag == "" {
		textEscaper.WriteString(b, n.Text)
		return
	}
	b.WriteByte('<')
	b.WriteString(n.Tag)
	for _, a := range n.Attrs {
		b.WriteByte(' ')
		b.WriteString(a.Name)
		if !a.flag {
			b.WriteString(`="`)
			valueEscaper.WriteString(b, a.Value)
			b.WriteByte('"')
		}
	}
	b.WriteByte('>')
	if void[n.Tag] {
		return
	}
	for _, k := range n.Kids {
		if old, ok := known[k.Get("id")]; ok && Equal(old, k) {
			k.same(b)
		} else {
			k.write(b, known)
		}
	}
	b.WriteString("</")
	b.WriteString(n.Tag)
	b.WriteByte('>')
}

// Equal tells whether two nodes write the same HTML.
func Equal(a, b Node) bool {
	return a == b || a.Tag == b.Tag && a.Text == b.Text && sameAttributes(a, b) && slices.EqualFunc(a.Kids, b.Kids, Equal)
}

func sameAttributes(a, b Node) bool {
	return slices.EqualFunc(a.Attrs, b.Attrs, func(a, b Attribute) bool { return a == b || *a == *b })
}
