package contest

import (
	"strings"

	"keelcard/engine/score"
)

// SlotsPerItem is how many slots of a card belong to one item: the faults of a
// checked class, the criteria of an awarded one for each official, else one.
func (c Class) SlotsPerItem() int {
	switch c.Kind {
	case Checked:
		faults, _ := c.Faults()
		return max(len(faults), 1)
	case Awarded:
		return len(c.GivenFor())
	}
	return 1
}

// AnswerText writes an official answer as people read it, several that are right
// apart by strokes; the faults of an item by name. An item without a fault is
// None, as a key holds it.
func AnswerText(c Class, k KeyItem) string {
	var out []string
	for _, a := range k.accepted() {
		if c.Kind == Checked && a != None {
			var names []string
			faults, _ := c.Faults()
			for _, f := range faults {
				for _, id := range SplitFaults(a) {
					if id == f.ID {
						names = append(names, f.Name)
					}
				}
			}
			a = strings.Join(names, ", ")
		}
		if a != "" {
			out = append(out, a)
		}
	}
	return strings.Join(out, " / ")
}

// CardTexts writes a card as people read it, one text for each item: the answer,
// the names of the faults that were marked or None, and, one a slot, the points
// that officials gave. A blank is "". A fault of which nothing was said, beside
// others of which something was, has a question mark, and one with both marks
// "×2".
func CardTexts(c Class, marks []byte) []string {
	if c.Kind == Checked {
		return c.checkedTexts(marks)
	}
	out := make([]string, len(marks))
	for i, mark := range marks {
		out[i] = c.MarkText(mark)
	}
	return out
}

func (c Class) checkedTexts(marks []byte) []string {
	faults, _ := c.Faults()
	var out []string
	for len(faults) > 0 && len(marks) >= len(faults) {
		out = append(out, faultTexts(faults, marks[:len(faults)]))
		marks = marks[len(faults):]
	}
	return out
}

func faultTexts(faults []Fault, marks []byte) string {
	var out []string
	blank := true
	for i, f := range faults {
		blank = blank && marks[i] == score.Blank
		switch {
		case marks[i] == Present:
			out = append(out, f.Name)
		case marks[i] == score.Blank:
			out = append(out, f.Name+"?")
		case marks[i] >= score.Double:
			out = append(out, f.Name+" ×2")
		}
	}
	switch {
	case blank:
		return ""
	case len(out) == 0:
		return None
	}
	return strings.Join(out, ", ")
}
