package grading

import (
	"keelcard/engine/amount"
	"keelcard/engine/rulebook"
	"keelcard/engine/sorting"
)

// gaps names the measures that findings lack and that could make the grade
// worse: those a limit of the verdict's own grade needs, and those of a worse
// grade when the finding was not measured at all by the former.
func (g *Grader) gaps(o *outcome) []Gap {
	out := g.noValues(o)
	if o.last {
		return out
	}
	for i := range o.items {
		weighed := g.weighedAt(o, &o.items[i])
		for _, l := range o.active {
			if l.grade < o.grade || l.grade > o.grade && weighed {
				continue
			}
			if needs := g.lacks(l.factor, &o.items[i]); needs != "" && !named(out, i, l.Factor) {
				out = append(out, Gap{Finding: i, Needs: needs, Factor: l.Factor, Assumed: g.assumed(o, l)})
			}
		}
	}
	sorting.Stable(out, func(a, b Gap) int { return a.Finding - b.Finding })
	return out
}

func named(gaps []Gap, finding int, factor string) bool {
	for _, gap := range gaps {
		if gap.Finding == finding && gap.Factor == factor {
			return true
		}
	}
	return false
}

// weighedAt reports whether a limit of the verdict's grade has measured the
// finding.
func (g *Grader) weighedAt(o *outcome, it *item) bool {
	for _, l := range o.active {
		if l.grade == o.grade && g.measures(l.factor, it) {
			return true
		}
	}
	return false
}

// measures reports whether a finding counts for a factor and has its measure.
func (g *Grader) measures(fi int, it *item) bool {
	f := &g.factors[fi]
	if f.covers(it) && f.measured(it) {
		return true
	}
	for _, k := range f.add {
		if g.factors[k].covers(it) && g.factors[k].measured(it) {
			return true
		}
	}
	return false
}

// lacks gives the measure that a finding lacks although it counts for a factor,
// "" when it has what it needs.
func (g *Grader) lacks(fi int, it *item) string {
	for _, k := range append([]int{fi}, g.factors[fi].add...) {
		f := &g.factors[k]
		switch {
		case !f.covers(it) || f.measured(it):
		case f.Op == rulebook.OpHaugh && it.length.Dim != 0:
			return rulebook.MeasureWeight
		default:
			return f.Measure()
		}
	}
	return ""
}

// noValues names the findings that were measured and for which the formula has
// no value.
func (g *Grader) noValues(o *outcome) (out []Gap) {
	for i := range o.items {
		for _, l := range o.active {
			f := &g.factors[l.factor]
			if f.Op == rulebook.OpHaugh && f.covers(&o.items[i]) && f.measured(&o.items[i]) && f.haugh(&o.items[i]) == amount.NoHaugh && !named(out, i, l.Factor) {
				out = append(out, Gap{Finding: i, Needs: f.Measure(), Factor: l.Factor, Assumed: "not measurable, so low a white is taken as below every limit", NoValue: true})
			}
		}
	}
	return out
}

// measured reports whether the finding has what the factor reads.
func (f *factor) measured(it *item) bool {
	switch f.Op {
	case rulebook.OpHaugh:
		return it.length.Dim != 0 && it.weight > 0
	case rulebook.OpCovered:
		return it.hasShare || it.length.Dim != 0
	}
	switch f.Measure() {
	case rulebook.MeasureLength:
		return it.length.Dim != 0
	case rulebook.MeasureDepth:
		return it.depth.Dim != 0
	case rulebook.MeasureShare:
		return it.hasShare
	}
	return true
}

// assumed says what was taken for a missing measure.
func (g *Grader) assumed(o *outcome, l *limit) string {
	bound, inclusive := "less than ", l.inclusive(o.setting.chosen)
	switch {
	case l.least && inclusive:
		bound = "at least "
	case l.least:
		bound = "more than "
	case inclusive:
		bound = "no more than "
	}
	return "taken as " + bound + l.bound.String() + ", the limit for " + l.Grade
}
