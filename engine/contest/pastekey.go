package contest

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"keelcard/engine"
	"keelcard/engine/placing"
)

// maxKeyPaste is the most bytes of a pasted key.
const maxKeyPaste = 64 << 10

// ParseKey reads the key of a class pasted or typed: an answer a line, with its
// number in front or in order, or several on a line apart by commas, semicolons
// or tabs, and by spaces where each answer is one word; the faults of an item on
// one line apart by commas or +; an order with its cuts behind it. Case, spaces
// and hyphens do not matter.
//
// There is one KeyItem for each of the class, without an answer where the text
// gives none that can be used. Each fault names the line, the value and what to
// do; nothing is dropped in silence. Codes: paste.large, paste.empty,
// paste.key-name, paste.key-number, paste.key-twice, paste.key-missing,
// placing.order, placing.cuts, contest.key and those of the class's book.
func ParseKey(c Class, text string) ([]KeyItem, engine.Faults) {
	r := keyReader{c: c, items: make([]KeyItem, c.KeyItems())}
	r.line = make([]int, len(r.items))
	names, err := c.keyNames()
	r.faults = appendErr(nil, err)
	r.names = names
	switch text = strings.TrimPrefix(text, "\ufeff"); {
	case err != nil:
	case len(text) > maxKeyPaste:
		r.fault("paste.large", "", "the text is longer than a key", "paste the key of this class only")
	case strings.TrimSpace(text) == "":
		r.fault("paste.empty", "", "there is nothing in it", "paste or type the official answers, one a line")
	case c.Kind == Placing:
		r.placing(text)
	default:
		r.lines(text)
		r.missing()
	}
	return r.items, r.faults
}

// keyNames lists what may stand in a key of the class, with other words for it.
func (c Class) keyNames() ([]Name, error) {
	var out []Name
	switch c.Kind {
	case Graded:
		return c.gradeNames()
	case Checked:
		faults, err := c.Faults()
		for _, f := range faults {
			out = append(out, Name{f.ID, []string{f.Name}})
		}
		return append(out, Name{None, []string{"no fault", "no faults", "no defect", "no defects"}}), err
	case Identified:
		return c.names(), nil
	case Placing:
		return nil, nil
	}
	return nil, awarded{}.CheckKey(c, KeyItem{})
}

type keyReader struct {
	c      Class
	names  []Name
	items  []KeyItem
	line   []int // the line that each item was given in, 0 for none
	at     int   // the item that comes next
	faults engine.Faults
}

func (r *keyReader) fault(code engine.Code, where, what, fix string) {
	r.faults = append(r.faults, engine.New(code, where, what, fix))
}

// lines reads answers line by line.
func (r *keyReader) lines(text string) {
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	for i, line := range strings.Split(text, "\n") {
		if line = strings.TrimSpace(line); line != "" {
			for _, piece := range r.pieces(line) {
				r.piece(i+1, piece)
			}
		}
	}
}

// pieces parts a line into what belongs to one item each.
func (r *keyReader) pieces(line string) []string {
	_, rest := numbered(line)
	if _, whole := findName(r.names, rest); whole || r.c.Kind == Checked {
		return []string{line}
	}
	words := true // each answer is one word
	for _, n := range r.names {
		words = words && !strings.Contains(n.Name, " ")
	}
	var out []string
	for _, piece := range strings.FieldsFunc(line, func(c rune) bool {
		return strings.ContainsRune(",;\t", c) || words && unicode.IsSpace(c)
	}) {
		if piece = strings.TrimSpace(piece); piece != "" {
			out = append(out, piece)
		}
	}
	return out
}

// numbered takes the number of an item off the front: "3. leg", "3) leg", "3 leg".
func numbered(s string) (number, rest string) {
	rest = strings.TrimLeft(s, "0123456789")
	number = s[:len(s)-len(rest)]
	if number != "" {
		rest = strings.TrimLeft(rest, ".):")
	}
	return number, strings.TrimSpace(rest)
}

// piece reads the answer of one item, or the number of the item that comes next.
func (r *keyReader) piece(line int, piece string) {
	answer, bad := r.answer(piece)
	if number, rest := numbered(piece); bad != "" && number != "" {
		n, err := strconv.Atoi(number)
		if err != nil || n < 1 || n > len(r.items) {
			r.fault("paste.key-number", lineName(line), fmt.Sprintf("there is no item %s", tidy(piece)), fmt.Sprintf("number the items 1 to %d", len(r.items)))
			return
		}
		r.at = n - 1
		if rest == "" {
			return
		}
		answer, bad = r.answer(rest)
	}
	at := r.at
	r.at++
	switch {
	case at >= len(r.items):
		r.fault("paste.key-number", lineName(line), fmt.Sprintf("%q is one answer more than the %d items", piece, len(r.items)), "take it out, or number the lines")
		return
	case r.line[at] > 0:
		r.fault("paste.key-twice", lineName(line), fmt.Sprintf("%q is a second answer for item %d, after line %d", piece, at+1, r.line[at]), "keep one of the two")
		return
	}
	r.line[at] = line
	if bad != "" {
		r.fault("paste.key-name", lineName(line), fmt.Sprintf("%q is no answer of this class", bad), r.nearest(bad))
		return
	}
	r.items[at].Answer = answer
}

// answer reads one answer, or names what is none.
func (r *keyReader) answer(text string) (answer, bad string) {
	if i, ok := findName(r.names, text); ok {
		return r.names[i].Name, ""
	}
	if r.c.Kind != Checked {
		return "", text
	}
	if strings.Trim(text, "-–— ") == "" {
		return None, ""
	}
	present := make([]bool, len(r.names))
	found := false
	for _, word := range strings.FieldsFunc(text, func(c rune) bool { return strings.ContainsRune(",;+\t", c) }) {
		if word = strings.TrimSpace(word); word == "" {
			continue
		}
		i, ok := findName(r.names[:len(r.names)-1], word)
		if !ok {
			return "", word
		}
		present[i], found = true, true
	}
	if !found {
		return "", text
	}
	var ids []string
	for i, n := range r.names {
		if present[i] {
			ids = append(ids, n.Name)
		}
	}
	return JoinFaults(ids), ""
}

// nearest says what may have been meant: the names that hold the text, or all of
// a short list.
func (r *keyReader) nearest(text string) string {
	var all, near []string
	for _, n := range r.names {
		all = append(all, n.Name)
		if strings.Contains(alike(n.Name), alike(text)) {
			near = append(near, n.Name)
		}
	}
	switch {
	case len(near) > 0 && len(near) <= 4:
		return "write the whole name: " + strings.Join(near, ", ")
	case len(all) <= MaxFaults+1:
		return "use one of " + strings.Join(all, ", ")
	}
	return "use a whole name of the list"
}

// missing names the items that no line gave.
func (r *keyReader) missing() {
	var none []string
	for i := range r.items {
		if r.line[i] == 0 {
			none = append(none, strconv.Itoa(i+1))
		}
	}
	if len(none) > 0 {
		r.fault("paste.key-missing", "", "there is no answer for item "+strings.Join(none, ", "), "add what is missing, or number the lines")
	}
}

// placing reads an order and the cuts behind it.
func (r *keyReader) placing(text string) {
	var numbers []string
	for _, word := range strings.FieldsFunc(text, func(c rune) bool { return unicode.IsSpace(c) || strings.ContainsRune("-–,;:/", c) }) {
		if strings.Trim(word, "0123456789") == "" {
			numbers = append(numbers, word)
		} else if w := alike(word); w != "order" && w != "cuts" && w != "cut" {
			r.fault("paste.key-name", lineName(1), fmt.Sprintf("%q is neither order nor cuts", word), "write the order and then the cuts, like 2-1-3-4 2-5-3")
		}
	}
	n := min(4, len(numbers))
	if n > 0 && len(numbers[0]) == 4 { // 2134
		n = 1
	}
	order, err := placing.ParseOrder(strings.Join(numbers[:n], "-"))
	if r.faults = appendErr(r.faults, err); err == nil {
		r.items[0].Answer = order.String()
	}
	rest := numbers[n:]
	if len(rest) == 1 && len(rest[0]) == 3 { // 253
		rest = strings.Split(rest[0], "")
	}
	cuts, err := placing.ParseCuts(strings.Join(rest, "-"))
	if r.faults = appendErr(r.faults, err); err == nil {
		r.items[0].Cuts = [3]uint8(cuts)
	}
}
