package contest

import (
	"slices"
	"strings"
	"sync"
	"unicode"
)

// List is a list of names that comes with the program. The names of a list
// never change: keys hold them.
type List struct {
	ID     string
	Source string // where the names come from
	Note   string // on what sources differ, "" for nothing
	Names  []Name
}

// Name is an official name and other words for the same thing. On a card and in
// a key only the official one stands.
type Name struct {
	Name string
	Also []string
}

// The built-in lists: names apart by semicolons, each followed by its other
// words. Those are read in the slides "Poultry CDE Parts ID" (undated) and
// University of Georgia Extension, "Parts Identification" (2006), apart from the
// singular and plural forms, which are common practice. Those of products are
// read in the practice material itself and in the answers of the University of
// Arkansas.
var lists = []struct{ id, source, note, names string }{
	{"parts-30", "Georgia Agricultural Education Curriculum Office, Poultry CDE Practice: Identification of Carcass Parts, 2007",
		"University of Georgia slides call half of a breast with both kinds of ribs a split breast; on this list it is split breast with ribs. Where it was taught the other way, let both be right in the key.",
		"half;front half;rear half;whole breast with ribs;boneless skinless whole breast with rib meat;whole breast;" +
			"boneless skinless whole breast;split breast with ribs;boneless skinless split breast with rib meat;split breast;" +
			"boneless skinless split breast;breast quarter;breast quarter without wing;tenderloin;wishbone;leg quarter;leg|whole leg;" +
			"thigh with back portion|thigh with back;thigh;boneless skinless thigh;drumstick|drum;boneless skinless drum|boneless skinless drumstick;" +
			"wing|whole wing;drumette;wing portion|flat|wingette|wing flat;liver;gizzard;heart;neck;paws|paw|feet"},
	{"parts-youth", "National 4-H Poultry Judging Manual, 2021: grading ready-to-cook parts", "",
		"breast quarter;breast quarter without wing;leg quarter;whole leg|leg;thigh;thigh with back|thigh with back portion;" +
			"drumstick|drum;whole wing|wing;drumette;flat|wing portion|wingette|wing flat"},
	{"products-10", "Georgia Agricultural Education Curriculum Office, Poultry CDE Practice: Further Processed Meat Products Evaluation, 2006",
		"One answer for each product, as in this practice material. Where a product may have several faults, as in most older classes, take a class of breaded products instead.",
		"coating void;inconsistent coating color|inconsistent color;inconsistent shape;broken;inconsistent size;cluster;miscut wing;broken wing;" +
			"feathers or foreign material|feathers/foreign material|foreign material;none|no defect"},
	{"letters-4", "answers to a written question; common practice", "", "A;B;C;D"},
	{"letters-5", "answers to a written question; common practice", "", "A;B;C;D;E"},
}

// Lists gives every built-in list. They are shared: change nothing in them.
func Lists() []List { return slices.Clone(built()) }

// built reads the lists once: the names of a class are asked for at every tap.
var built = sync.OnceValue(func() []List {
	out := make([]List, len(lists))
	for i, l := range lists {
		out[i] = List{ID: l.id, Source: l.source, Note: l.note}
		for _, entry := range strings.Split(l.names, ";") {
			words := strings.Split(entry, "|")
			out[i].Names = append(out[i].Names, Name{words[0], words[1:]})
		}
	}
	return out
})

// ListByID finds a built-in list.
func ListByID(id string) (List, bool) {
	for _, l := range built() {
		if l.ID == id {
			return l, true
		}
	}
	return List{}, false
}

// alike is what is left of a name when case, spaces and hyphens do not matter.
func alike(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || r == '-' || r == '‐' || r == '‑' || r == '–' || r == '_' {
			return -1
		}
		return unicode.ToLower(r)
	}, s)
}

// findName looks a text up among names: the whole name or one of its other
// words, never the beginning of one. An official name goes before other words.
func findName(names []Name, text string) (int, bool) {
	want := alike(text)
	for i, n := range names {
		if want != "" && alike(n.Name) == want {
			return i, true
		}
	}
	for i, n := range names {
		for _, also := range n.Also {
			if alike(also) == want {
				return i, true
			}
		}
	}
	return 0, false
}
