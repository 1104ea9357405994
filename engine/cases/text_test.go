package cases

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// splitHead takes the head of an archive apart: a story, and at the end what
// stands after "Source: ".
func splitHead(head string) (source string, err error) {
	story, source, ok := strings.Cut(head, "\nSource: ")
	source = strings.TrimSpace(source)
	if !ok || source == "" || strings.TrimSpace(story) == "" {
		return "", errors.New(`the head needs a story and after it a line "Source: ..."`)
	}
	return source, nil
}

// words reads one line word by word. The first fault is kept; what is read
// after it means nothing.
type words struct {
	left []string
	err  error
}

func (w *words) fail(format string, args ...any) {
	if w.err == nil {
		w.err = fmt.Errorf(format, args...)
	}
}

// next gives the next word; what says which one is missing if there is none.
func (w *words) next(what string) string {
	if len(w.left) == 0 {
		w.fail("%s is missing at the end", what)
		return ""
	}
	word := w.left[0]
	w.left = w.left[1:]
	return word
}

// rest gives all words that are left.
func (w *words) rest() []string {
	all := w.left
	w.left = nil
	return all
}

func (w *words) number(what string) int {
	word := w.next(what)
	n, err := strconv.Atoi(word)
	if err != nil {
		w.fail("%s: %q is no whole number", what, word)
	}
	return n
}

// index gives the place of the next word in a list, 0 if it is not there.
func (w *words) index(what string, names []string) int {
	word := w.next(what)
	i := slices.Index(names, word)
	if i < 0 {
		w.fail("there is no %s %q", what, word)
	}
	return max(i, 0)
}

// end wants no further word.
func (w *words) end() {
	if len(w.left) > 0 {
		w.fail("%q is too much", w.left[0])
	}
}

// answer reads the rest of a line as what is expected: "48", or "48 open 46"
// where the sources leave it open. The first is what the engine has to give;
// the other is the answer of those who read the sources differently.
func (w *words) answer() string {
	all := w.rest()
	i := slices.Index(all, "open")
	if i < 0 {
		return strings.Join(all, " ")
	}
	want, other := strings.Join(all[:i], " "), strings.Join(all[i+1:], " ")
	if want == "" || other == "" || want == other {
		w.fail("an open case has two different answers, one before and one after the word open")
	}
	return want
}

// readLines reads a text of lines: comments, origin and source, and after them
// what step understands. Step returns an expectation that is not met; a line
// that cannot be read ends the reading.
func readLines(data []byte, step func(word string, w *words) error) (faults []error) {
	origin, source := false, false
	for i, line := range strings.Split(string(data), "\n") {
		line, _, _ = strings.Cut(line, "#")
		w := &words{left: strings.Fields(line)}
		if len(w.left) == 0 {
			continue
		}
		var unmet error
		switch word := w.next(""); {
		case word == "origin":
			w.index("origin", []string{"published", "computed"})
			origin = true
		case word == "source":
			w.next("the source")
			w.rest()
			source = true
		case !origin || !source:
			w.fail("lines with origin and source have to stand above %q", word)
		default:
			unmet = step(word, w)
		}
		w.end()
		if w.err != nil {
			return append(faults, fmt.Errorf("line %d: %w", i+1, w.err))
		}
		if unmet != nil {
			faults = append(faults, fmt.Errorf("line %d: %w", i+1, unmet))
		}
	}
	return faults
}
