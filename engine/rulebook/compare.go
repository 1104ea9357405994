package rulebook

import (
	"maps"
	"slices"

	"keelcard/engine/amount"
	"keelcard/engine/tree"
)

// Line names a limit by the case it is for. A book has at most one limit for
// each.
type Line struct {
	Factor string            `json:"factor"`
	Grade  string            `json:"grade"`
	Over   amount.Weight     `json:"over,omitempty"`
	To     amount.Weight     `json:"to,omitempty"`
	Kinds  []string          `json:"kinds,omitempty"` // in any order
	When   map[string]string `json:"when,omitempty"`
}

// Line gives the case that the limit is for.
func (l Limit) Line() Line { return Line{l.Factor, l.Grade, l.Over, l.To, l.Kinds, l.When} }

// Same tells whether two lines are for the same case.
func (l Line) Same(other Line) bool {
	return l.Factor == other.Factor && l.Grade == other.Grade && l.Over == other.Over && l.To == other.To &&
		within(l.Kinds, other.Kinds) && within(other.Kinds, l.Kinds) && maps.Equal(l.When, other.When)
}

// within tells whether every one of a is in b.
func within(a, b []string) bool {
	return !slices.ContainsFunc(a, func(s string) bool { return !slices.Contains(b, s) })
}

// Find gives the place of the limit for a case, -1 when there is none.
func (b *Book) Find(line Line) int {
	return slices.IndexFunc(b.Limits, func(l Limit) bool { return l.Line().Same(line) })
}

// What two books can differ in.
const (
	OfGrade  = "grade"
	OfDefect = "defect"
	OfFactor = "factor"
	OfChoice = "choice"
	OfLine   = "line"
)

// In what a thing differs that both books have.
const (
	DiffersMost      = "most"
	DiffersLeast     = "least"
	DiffersInclusive = "inclusive" // whether the amount itself is allowed, and when
	DiffersSource    = "source"    // where it comes from, or how well that is known
	DiffersMeasure   = "measure"   // how a factor is measured, or what of
	DiffersDefault   = "default"   // what holds while nobody has chosen
	DiffersOptions   = "options"   // what can be chosen
)

// Difference is one thing in which two books differ.
type Difference struct {
	Of   string // OfGrade, ...
	ID   string // of the grade, defect, factor or choice; for a line, of its factor
	A, B string // its name in each book, "" in the one that does not have it

	LineA, LineB *Limit   // for a line; nil in the book that does not have it
	Differs      []string // DiffersMost, ... when both have it
}

// Compare lists in what two books differ: grades, defects, factors and choices
// that only one has or that mean something else, then the lines one by one. They
// come in the order of a, and then of b for what only b has. An amount that is
// written in another way is no difference.
func Compare(a, b *Book) []Difference {
	out := things(OfGrade, a.Scale, b.Scale, func(g Grade) (id, name string) { return g.ID, g.Name }, nil)
	out = append(out, things(OfDefect, a.Defects, b.Defects, func(d Defect) (id, name string) { return d.ID, d.Name }, nil)...)
	out = append(out, things(OfFactor, a.Factors, b.Factors, func(f Factor) (id, name string) { return f.ID, f.Name }, factorDiffers)...)
	out = append(out, things(OfChoice, a.Choices, b.Choices, func(c Choice) (id, name string) { return c.ID, c.Title }, choiceDiffers)...)
	return append(out, compareLines(a, b)...)
}

// things compares two lists by id. differs, if not nil, says in what two of the
// same id differ.
func things[T any](of string, a, b []T, name func(T) (id, name string), differs func(a, b T) []string) []Difference {
	find := func(list []T, id string) int {
		return slices.IndexFunc(list, func(t T) bool { other, _ := name(t); return other == id })
	}
	var out []Difference
	for _, t := range a {
		id, text := name(t)
		d := Difference{Of: of, ID: id, A: text}
		if i := find(b, id); i >= 0 {
			if differs == nil {
				continue
			}
			_, d.B = name(b[i])
			if d.Differs = differs(t, b[i]); d.Differs == nil {
				continue
			}
		}
		out = append(out, d)
	}
	for _, t := range b {
		if id, text := name(t); find(a, id) < 0 {
			out = append(out, Difference{Of: of, ID: id, B: text})
		}
	}
	return out
}

// factorDiffers compares all of a factor but the words about it.
func factorDiffers(a, b Factor) []string {
	a.Name, a.Meaning, b.Name, b.Meaning = "", "", "", ""
	if string(tree.WritePlain(outward{&a})) != string(tree.WritePlain(outward{&b})) {
		return []string{DiffersMeasure}
	}
	return nil
}

func choiceDiffers(a, b Choice) []string {
	var out []string
	if a.Default != b.Default {
		out = append(out, DiffersDefault)
	}
	if x, y := optionIDs(a), optionIDs(b); !within(x, y) || !within(y, x) {
		out = append(out, DiffersOptions)
	}
	return out
}

func compareLines(a, b *Book) []Difference {
	var out []Difference
	for i := range a.Limits {
		l := &a.Limits[i]
		d := Difference{Of: OfLine, ID: l.Factor, A: a.factorName(l.Factor), LineA: l}
		if j := b.Find(l.Line()); j >= 0 {
			d.B, d.LineB = b.factorName(l.Factor), &b.Limits[j]
			if d.Differs = lineDiffers(a, b, *l, b.Limits[j]); d.Differs == nil {
				continue
			}
		}
		out = append(out, d)
	}
	for j := range b.Limits {
		if l := &b.Limits[j]; a.Find(l.Line()) < 0 {
			out = append(out, Difference{Of: OfLine, ID: l.Factor, B: b.factorName(l.Factor), LineB: l})
		}
	}
	return out
}

// lineDiffers says in what two limits for the same case differ.
func lineDiffers(a, b *Book, x, y Limit) []string {
	var out []string
	differ := func(what string, yes bool) {
		if yes {
			out = append(out, what)
		}
	}
	differ(DiffersMost, !sameAmount(a, b, x, x.Most, y.Most))
	differ(DiffersLeast, !sameAmount(a, b, x, x.Least, y.Least))
	differ(DiffersInclusive, x.Inclusive != y.Inclusive || !maps.Equal(x.InclusiveWhen, y.InclusiveWhen))
	differ(DiffersSource, a.sourceTitle(x.Source) != b.sourceTitle(y.Source) || x.Confidence != y.Confidence)
	return out
}

// sameAmount compares amounts of a factor; "" is none.
func sameAmount(a, b *Book, line Limit, x, y string) bool {
	if x == y || x == "" || y == "" {
		return x == y
	}
	p, errX := amount.Parse(x, a.dimOf(line.Factor))
	q, errY := amount.Parse(y, b.dimOf(line.Factor))
	if errX != nil || errY != nil {
		return false
	}
	order, err := p.Cmp(q)
	return err == nil && order == 0
}

// factor finds a factor by its id; in a whole book, lines name those there are.
func (b *Book) factor(id string) Factor {
	for _, f := range b.Factors {
		if f.ID == id {
			return f
		}
	}
	return Factor{}
}

func (b *Book) factorName(id string) string { return b.factor(id).Name }
func (b *Book) dimOf(id string) amount.Dim  { return b.factor(id).Dim() }

func (b *Book) sourceTitle(id string) string {
	for _, s := range b.Sources {
		if s.ID == id {
			return s.Title
		}
	}
	return ""
}
