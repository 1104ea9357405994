package grading

import (
	"keelcard/engine/rulebook"
)

// gaps names the measures that findings lack and that could make the grade
// worse: those a limit of the verdict's own grade needs, and those of a worse
// grade when the finding was not measured at all by the former.
func (g *Grader) gaps(o *outcome) []Gap {
	if o.last {
		return nil
	}
	var out []Gap
	for i := range o.items {
		weighed := g.weighedAt(o, &o.items[i])
		for _, l := range o.active {
			if l.grade < o.grade || l.grade > o.grade && weighed {
				continue
			}
			if g.lacks(l.factor, &o.items[i]) && !named(out, i, l.Factor) {
				f := &g.factors[l.factor]
				out = append(out, Gap{Finding: i, Needs: f.Measure(), Factor: l.Factor, Assumed: g.assumed(o, l)})
			}
		}
	}
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

// lacks reports whether a finding counts for a factor but lacks its measure.
func (g *Grader) lacks(fi int, it *item) bool {
	f := &g.factors[fi]
	if f.covers(it) && !f.measured(it) {
		return true
	}
	for _, k := range f.add {
		if g.factors[k].covers(it) && !g.factors[k].measured(it) {
			return true
		}
	}
	return false
}

// measured reports whether the finding has what the factor reads.
func (f *factor) measured(it *item) bool {
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
	bound := "no more than "
	if !l.inclusive(o.setting.chosen) {
		bound = "less than "
	}
	return "taken as " + bound + l.most.String() + ", the limit for " + l.Grade
}
