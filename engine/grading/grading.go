// Package grading turns the findings on an item into a verdict by a rule book.
//
// Start at Grade. A verdict is never a bare letter: it names every limit that
// set the grade, how far the item is from the next grade on either side, which
// limits are met exactly, where the sources of the book would disagree, and
// which measures are lacking.
package grading

import (
	"keelcard/engine/amount"
	"keelcard/engine/rulebook"
	"keelcard/engine/tree"
)

// How sure a finding is; nothing means sure.
const (
	Likely   = "likely"
	Doubtful = "doubtful"
)

// Finding is one thing seen on an item.
type Finding struct {
	Defect     string         `json:"defect"`               // id of a defect of the book
	Site       string         `json:"site,omitempty"`       // id of a site of the book
	Count      int            `json:"count,omitempty"`      // how many alike, each with these measures; 0 counts as one
	Length     *amount.Length `json:"length,omitempty"`     // longest dimension; the height of a white, the width of a spot
	Depth      *amount.Length `json:"depth,omitempty"`      // how deep
	Weight     *amount.Weight `json:"weight,omitempty"`     // of the item, where a measure depends on it; the setting's when absent
	Share      *amount.Share  `json:"share,omitempty"`      // estimated share of the site
	PartLength *amount.Length `json:"partlength,omitempty"` // length of the whole that Length is a share of: the part, or the way a tail cut can go
	View       string         `json:"view,omitempty"`       // front or back, on the drawing
	X          int            `json:"x,omitempty"`          // permille of the drawing's width
	Y          int            `json:"y,omitempty"`          // permille of the drawing's height
	Sure       string         `json:"sure,omitempty"`       // "" sure, "likely" or "doubtful"
	Note       string         `json:"note,omitempty"`
}

// Fields names the fields as they are stored.
func (f *Finding) Fields(o *tree.Fields) {
	o.Text("defect", &f.Defect, tree.Always)
	o.Text("site", &f.Site, tree.IfSet)
	tree.Whole(o, "count", &f.Count, tree.IfSet)
	tree.Maybe(o, "length", &f.Length, amount.Length.MarshalText, amount.ParseLength)
	tree.Maybe(o, "depth", &f.Depth, amount.Length.MarshalText, amount.ParseLength)
	tree.Maybe(o, "weight", &f.Weight, amount.Weight.MarshalText, amount.ParseWeight)
	tree.Maybe(o, "share", &f.Share, amount.Share.MarshalText, amount.ParseShare)
	tree.Maybe(o, "partlength", &f.PartLength, amount.Length.MarshalText, amount.ParseLength)
	o.Text("view", &f.View, tree.IfSet)
	tree.Whole(o, "x", &f.X, tree.IfSet)
	tree.Whole(o, "y", &f.Y, tree.IfSet)
	o.Text("sure", &f.Sure, tree.IfSet)
	o.Text("note", &f.Note, tree.IfSet)
}

// Setting is what the verdict depends on besides the findings.
type Setting struct {
	Kind    string            `json:"kind,omitempty"`    // a kind of the book; may be empty when the book has none
	Weight  amount.Weight     `json:"weight,omitempty"`  // may be zero when the book has no weight ranges
	Choices map[string]string `json:"choices,omitempty"` // choice -> option; the book's default for the rest
}

// Verdict is a book's answer to the findings on one item.
type Verdict struct {
	Book       string       `json:"book"`
	Edition    string       `json:"edition"`
	Grade      string       `json:"grade"`
	Set        []Reason     `json:"set,omitempty"`        // the limits that keep it from the next better grade
	Near       []Distance   `json:"near,omitempty"`       // how far to the next grade, for every amount found
	Touched    []Reason     `json:"touched,omitempty"`    // measured amounts equal to a limit
	Differ     []Difference `json:"differ,omitempty"`     // options that would give another grade
	Unmeasured []Gap        `json:"unmeasured,omitempty"` // measures that could make the grade worse and are not there
	Certain    string       `json:"certain,omitempty"`    // the grade without the doubtful findings, when it is another
}

// Reason is one limit and the amount that was held against it.
type Reason struct {
	Factor     string         `json:"factor"`
	FactorName string         `json:"factorname"`
	Part       string         `json:"part,omitempty"`     // id of the part or zone; empty for the whole item
	PartName   string         `json:"partname,omitempty"` // its name
	Amount     amount.Amount  `json:"amount"`
	Limit      rulebook.Limit `json:"limit"` // Inclusive as it holds under the setting
	Findings   []int          `json:"findings,omitempty"`
}

// Distance is how far an amount is from a limit, all else being as it is. When
// Set names several limits, each of them must be met before the grade is better.
type Distance struct {
	Reason
	Grade  string        `json:"grade"`  // the grade it would become
	Better bool          `json:"better"` // whether that grade is better
	By     amount.Amount `json:"by"`     // how much more (anything beyond it, when the limit itself is allowed), or less when Better; the other way round for a limit with Least
}

// Difference is an option of a choice that would give another grade.
type Difference struct {
	Choice  string   `json:"choice"`
	Option  string   `json:"option"`
	Grade   string   `json:"grade"`             // empty when the option does not judge such an item
	Refused string   `json:"refused,omitempty"` // why it does not, when Grade is empty
	Set     []Reason `json:"set,omitempty"`
}

// Gap is a measure that a limit needs and a finding lacks.
type Gap struct {
	Finding int    `json:"finding"`
	Needs   string `json:"needs"` // length, share, depth or weight
	Factor  string `json:"factor"`
	Assumed string `json:"assumed"`           // what was taken instead, for people
	NoValue bool   `json:"novalue,omitempty"` // measured, but the formula has no value for it; measure again
}

// Share is the share of its site that a finding takes up: the estimate if there
// is one, else Length over PartLength. ok is false when neither is known.
func Share(f Finding) (s amount.Share, ok bool) {
	if f.Share != nil {
		return *f.Share, true
	}
	if f.Length == nil || f.PartLength == nil {
		return amount.Share{}, false
	}
	s, err := amount.ShareOf(*f.Length, *f.PartLength)
	return s, err == nil
}

// Grade gives the book's verdict on an item with these findings. The order of
// the findings does not matter except for the indices in the verdict.
//
// It fails with CodeKind, CodeWeight or CodeChoice when the setting does not fit
// the book, with the faults of the findings (CodeDefect, CodeSite, CodeMeasure),
// with CodeMany, and with CodeExact when shares are too fine to be added.
func Grade(b *rulebook.Book, s Setting, findings []Finding) (Verdict, error) {
	g, err := Prepare(b)
	if err != nil {
		return Verdict{}, err
	}
	return g.Grade(s, findings)
}
