package grading

import (
	"keelcard/engine/rulebook"
)

// Present is a fault that an item has, and the limits that say so.
type Present struct {
	ID   string // of the factor in the book
	Name string
	Says []Reason
}

// FaultsOf lists the faults that a verdict of a faults book finds present, in
// the book's order; none for a sound item and for a book of grades. A fault
// with several signs is there once, with all of them.
func FaultsOf(b *rulebook.Book, v Verdict) []Present {
	if !b.IsFaults() {
		return nil
	}
	var out []Present
	for i := range b.Factors {
		p := Present{ID: b.Factors[i].ID, Name: b.Factors[i].Name}
		for _, r := range v.Set {
			if f := factorOf(b, r.Factor); f != nil && f.FaultOf() == p.ID {
				p.Says = append(p.Says, r)
			}
		}
		if len(p.Says) > 0 {
			out = append(out, p)
		}
	}
	return out
}

func factorOf(b *rulebook.Book, id string) *rulebook.Factor {
	for i := range b.Factors {
		if b.Factors[i].ID == id {
			return &b.Factors[i]
		}
	}
	return nil
}
