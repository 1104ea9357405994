package markup

import "strings"

// Patch replaces the element with the id by the HTML, whose root has the same
// id. An element in it with the attribute data-same, which is empty, stands for
// the one with the same id that is on the page: that one stays as it is.
type Patch struct {
	ID, HTML string
	Outside  bool // only the attributes change; the HTML has nothing inside
}

// Diff finds the smallest elements with an id that must be replaced to turn
// the page before into the page after. Both roots must have the same id.
func Diff(before, after Node) []Patch {
	d := differ{}
	if !d.diff(before, after) {
		d.replace(before, after)
	}
	return d.patches
}

type differ struct{ patches []Patch }

// diff adds the patches that turn a into b, or reports false, adding none,
// when an element above must be replaced instead.
func (d *differ) diff(a, b Node) bool {
	if a == b {
		return true
	}
	id := b.Get("id")
	if a.Tag != b.Tag || a.Text != b.Text || a.Get("id") != id {
		return false
	}
	mark := len(d.patches)
	if d.inside(a, b) {
		if sameAttributes(a, b) {
			return true
		}
		if id != "" && len(b.Kids) > 0 && b.Tag != "select" && b.Tag != "details" { // these hold more than attributes
			d.patches = append(d.patches, Patch{ID: id, HTML: String(&Element{Tag: b.Tag, Attrs: b.Attrs}), Outside: true})
			return true
		}
	}
	d.patches = d.patches[:mark]
	if id == "" {
		return false
	}
	d.replace(a, b)
	return true
}

// inside adds the patches that turn what is in a into what is in b, or reports
// false when these are not one by one the same elements.
func (d *differ) inside(a, b Node) bool {
	if len(a.Kids) != len(b.Kids) {
		return false
	}
	for i := range b.Kids {
		if !d.diff(a.Kids[i], b.Kids[i]) {
			return false
		}
	}
	return true
}

// replace adds the patch that puts b in the place of a.
func (d *differ) replace(a, b Node) {
	known := map[string]Node{}
	for _, k := range a.Kids {
		k.Walk(func(n Node) {
			if id := n.Get("id"); id != "" {
				known[id] = n
			}
		})
	}
	var s strings.Builder
	b.write(&s, known)
	d.patches = append(d.patches, Patch{ID: b.Get("id"), HTML: s.String()})
}

// same is written in place of an element that stays.
func (n *Element) same(b *strings.Builder) {
	b.WriteString(String(El(n.Tag, ID(n.Get("id")), Flag("data-same"))))
}
