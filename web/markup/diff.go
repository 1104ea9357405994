package markup

// Patch replaces the element with the id by the HTML, whose root has the same id.
type Patch struct{ ID, HTML string }

// Diff finds the smallest elements with an id that must be replaced to turn
// the page before into the page after. Both roots must have the same id. A
// drawing is replaced whole: a piece of SVG on its own would be read as HTML.
func Diff(before, after Node) []Patch {
	var patches []Patch
	if !diff(before, after, &patches) {
		return []Patch{{after.Get("id"), String(after)}}
	}
	return patches
}

// diff adds the patches that turn a into b, or reports false, adding none,
// when an element above must be replaced instead.
func diff(a, b Node, patches *[]Patch) bool {
	if a.Tag != b.Tag || a.Text != b.Text {
		return false
	}
	id := b.Get("id")
	if a.Get("id") != id {
		return false
	}
	mark := len(*patches)
	if sameAttributes(a, b) && len(a.Kids) == len(b.Kids) {
		whole := true
		for i := range b.Kids {
			if b.Tag == "svg" {
				whole = Equal(a.Kids[i], b.Kids[i])
			} else {
				whole = diff(a.Kids[i], b.Kids[i], patches)
			}
			if !whole {
				break
			}
		}
		if whole {
			return true
		}
	}
	*patches = (*patches)[:mark]
	if id == "" {
		return false
	}
	*patches = append(*patches, Patch{id, String(b)})
	return true
}
