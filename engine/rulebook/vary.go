package rulebook

import (
	"slices"
	"strconv"
	"strings"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/tree"
)

// Limits of a variation.
const (
	MaxChanges   = 200
	MaxVariation = 999_999 // the highest number
)

// localSource is the id of the source that changed lines name.
const localSource = "local-decision"

// Change is what a contest decides about one line of a book: the amount that
// holds instead, whether it is allowed itself, in any case, and who decided why.
type Change struct {
	Line
	Most      string `json:"most,omitempty"`  // an amount in the factor's dimension
	Least     string `json:"least,omitempty"` // likewise; stands instead of Most
	Inclusive bool   `json:"inclusive"`       // whether that amount itself is allowed
	Why       string `json:"why"`
	Who       string `json:"who"`
}

// Fields names the fields of a record's value.
func (c *Change) Fields(f *tree.Fields) {
	f.Text("factor", &c.Factor, tree.Always)
	f.Text("grade", &c.Grade, tree.Always)
	tree.AsText(f, "over", &c.Over, tree.IfSet, amount.Weight.MarshalText, amount.ParseWeight)
	tree.AsText(f, "to", &c.To, tree.IfSet, amount.Weight.MarshalText, amount.ParseWeight)
	f.Texts("kinds", &c.Kinds, tree.IfSet)
	f.Pairs("when", &c.When, tree.IfSet)
	f.Text("most", &c.Most, tree.IfSet)
	f.Text("least", &c.Least, tree.IfSet)
	f.Bool("inclusive", &c.Inclusive, tree.Always)
	f.Text("why", &c.Why, tree.Always)
	f.Text("who", &c.Who, tree.Always)
}

// VariedID is the id of variation n of a book.
func VariedID(base string, n int) string { return base + "+" + strconv.Itoa(n) }

// isVaried tells whether an id is that of a variation of base.
func isVaried(id, base string) bool {
	number, ok := strings.CutPrefix(id, base+"+")
	n, err := strconv.Atoi(number)
	return ok && kebab(base) && err == nil && n >= 1 && n <= MaxVariation && strconv.Itoa(n) == number
}

// Vary makes the whole book that holds where some lines of base are decided
// otherwise. Its id is VariedID, and each changed line has LocalRule for its
// confidence and the reason in its note. A choice that only asked whether amounts
// of changed lines are allowed themselves is decided with them and left out.
//
// Every fault is reported, that of a change at "change 1" and so on. Codes:
// CodeReference for a line that base does not have, CodeTwice, CodeMissing,
// CodeSize, CodeID, and those of Decode.
func Vary(base *Book, n int, changes []Change) (*Book, error) {
	b := *base
	b.ID, b.Base, b.Title = VariedID(base.ID, n), base.ID, base.Title+" +"+strconv.Itoa(n)
	b.Limits, b.Sources = slices.Clone(base.Limits), slices.Clone(base.Sources)
	var l faultList
	if n < 1 || n > MaxVariation || !kebab(base.ID) {
		l.add(CodeID, "id", tree.Quote(b.ID)+" is no id of a variation", "vary a book that is whole by itself, and count from 1")
	}
	if len(changes) == 0 || len(changes) > MaxChanges {
		l.add(CodeSize, "changes", "there are "+strconv.Itoa(len(changes)), "change 1 to "+strconv.Itoa(MaxChanges)+" lines")
		return nil, l.faults
	}
	if b.sourceTitle(localSource) == "" {
		b.Sources = append(b.Sources, Source{ID: localSource, Title: "The officials of this contest"})
	}
	changed := map[int]int{} // limit -> change
	for i, c := range changes {
		b.change(&l, i, c, changed)
	}
	out, err := b.whole()
	if err = join(l.faults, err, changed); err != nil {
		return nil, err
	}
	return out, nil
}

// change puts one change into the book.
func (b *Book) change(l *faultList, i int, c Change, changed map[int]int) {
	where := changeName(i)
	at := b.Find(c.Line)
	first, twice := changed[at]
	switch {
	case at < 0:
		l.add(CodeReference, where, "the book "+tree.Quote(b.Base)+" has no line of "+tree.Quote(c.Factor)+" for "+tree.Quote(c.Grade)+" in this case", "choose one of its lines")
		return
	case twice:
		l.add(CodeTwice, where, "the line is changed already by "+changeName(first), "keep one of the two")
		return
	}
	changed[at] = i
	l.reason(where+", why", c.Why)
	l.reason(where+", who", c.Who)
	limit := &b.Limits[at]
	limit.Most, limit.Least, limit.Inclusive, limit.InclusiveWhen = c.Most, c.Least, c.Inclusive, nil
	limit.Source, limit.Confidence, limit.Note = localSource, LocalRule, c.Why+" ("+c.Who+")"
}

// reason wants a text that says something.
func (l *faultList) reason(where, text string) {
	if code, what, fix := badText(text); code != "" {
		if code == CodeMissing {
			fix = "say it, so that everyone can be told"
		}
		l.add(code, where, what, fix)
	}
}

func changeName(i int) string { return "change " + strconv.Itoa(i+1) }

// whole checks a book that was put together, leaving out choices that nothing
// depends on any more.
func (b *Book) whole() (*Book, error) {
	var l faultList
	check(&l, b)
	var gone []string
	for i, c := range b.Choices {
		if slices.ContainsFunc(l.faults, func(e *engine.Error) bool { return e.Code == CodeUnused && e.Where == at("choices", i) }) {
			gone = append(gone, c.ID)
		}
	}
	lost := func(id string) bool { return slices.Contains(gone, id) }
	b.Choices = slices.DeleteFunc(slices.Clone(b.Choices), func(c Choice) bool { return lost(c.ID) })
	b.Notes = slices.DeleteFunc(slices.Clone(b.Notes), func(n Note) bool { return lost(n.About) })
	return Decode(b.Encode())
}

// join gives both kinds of faults as one error, with those of changed lines
// under the name of the change. A reason that is no good makes no good note.
func join(faults engine.Faults, err error, changed map[int]int) error {
	var of engine.Faults
	switch e := err.(type) {
	case engine.Faults:
		of = e
	case *engine.Error:
		of = engine.Faults{e}
	}
	own := faults
	for _, e := range of {
		renamed := *e
		for limit, change := range changed {
			if rest, ok := strings.CutPrefix(e.Where, at("limits", limit)); ok {
				renamed.Where = changeName(change) + strings.Replace(rest, ".", ", ", 1)
			}
		}
		cause, _ := strings.CutSuffix(renamed.Where, "note")
		if !slices.ContainsFunc(own, func(f *engine.Error) bool { return strings.HasPrefix(f.Where, cause) }) {
			faults = append(faults, &renamed)
		}
	}
	return faults.Err()
}
