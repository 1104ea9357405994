package rulebook

import (
	"slices"

	"keelcard/engine/tree"
)

// IsFaults reports whether the book is about faults: each factor is one fault
// that an item has or has not, and its limits say when it counts. The scale of
// such a book has two grades, without a fault and with one.
func (b *Book) IsFaults() bool { return b.Faulted }

// Faults lists the faults that can be marked under resolved choices, in the
// book's order: every factor that holds and is not a sign of another's fault.
// A book that is not about faults has none.
func (b *Book) Faults(resolved map[string]string) []Factor {
	if !b.Faulted {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(b.Factors), func(f Factor) bool {
		return f.Fault != "" || !Holds(f.When, resolved)
	})
}

// FaultOf is the id of the fault that a factor tells.
func (f Factor) FaultOf() string {
	if f.Fault != "" {
		return f.Fault
	}
	return f.ID
}

// checkFaultBook reports what keeps a book about faults from giving an answer
// for each of them.
func (c *checker) checkFaultBook() {
	if c.b.Faulted && len(c.b.Scale) > 2 {
		c.add(CodeFault, "scale", "a book of faults has more than two grades", "keep one for items without a fault and one for those with")
	}
	for i, f := range c.b.Factors {
		path := at("factors", i)
		if f.Fault != "" && !c.b.Faulted {
			c.add(CodeFault, path+".fault", "the factor "+tree.Quote(f.ID)+" tells a fault and the book is not about faults", "leave it out, or write true for faults")
		} else if f.Fault != "" {
			c.checkSign(path+".fault", f)
		}
		if c.b.Faulted && !slices.ContainsFunc(c.b.Limits, func(l Limit) bool { return l.Factor == f.ID }) {
			c.add(CodeFault, path, "nothing says when the fault "+tree.Quote(f.ID)+" counts", "add a limit for it")
		}
	}
}

// checkSign checks a factor that is another sign of a fault: the fault stands
// by itself and holds whenever the sign does.
func (c *checker) checkSign(where string, f Factor) {
	if !c.refer(c.factors, "factor", where, f.Fault) {
		return
	}
	head := c.b.Factors[c.factors[f.Fault]]
	if head.Fault != "" {
		c.add(CodeFault, where, tree.Quote(head.ID)+" is itself a sign of "+tree.Quote(head.Fault), "name that")
	}
	if !Holds(head.When, f.When) {
		c.add(CodeFault, where, tree.Quote(head.ID)+" does not hold whenever "+tree.Quote(f.ID)+" does", "give both the same choice and option")
	}
}
