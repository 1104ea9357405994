package rulebook

import (
	"maps"
	"slices"

	"keelcard/engine/amount"
	"keelcard/engine/sorting"
	"keelcard/engine/tree"
)

// line is a limit whose references are all good.
type line struct {
	Limit
	path  string
	grade int
	bound amount.Amount
}

// stricter is below 0 when l allows less than other, or asks for more, by their
// amounts; both are of one factor and one kind.
func (l line) stricter(other line) int {
	order, _ := l.bound.Cmp(other.bound)
	if l.Least != "" {
		return -order
	}
	return order
}

func (c *checker) checkLimits() {
	byFactor := make([][]line, len(c.b.Factors))
	for i, l := range c.b.Limits {
		if good, ok := c.checkLimit(at("limits", i), l); ok {
			f := c.factors[l.Factor]
			byFactor[f] = append(byFactor[f], good)
		}
	}
	for _, lines := range byFactor {
		if !c.oneKind(lines) {
			continue
		}
		c.checkPairs(lines)
		c.checkCover(lines)
	}
}

// checkLimit checks one line by itself; ok is false when it cannot be compared
// with others.
func (c *checker) checkLimit(path string, l Limit) (line, bool) {
	hasFactor := c.refer(c.factors, "factor", path+".factor", l.Factor)
	hasGrade := c.refer(c.grades, "grade", path+".grade", l.Grade)
	if hasGrade && c.grades[l.Grade] == len(c.b.Scale)-1 {
		c.add(CodeLastGrade, path+".grade", tree.Quote(l.Grade)+" takes what every other grade refuses", "put the limit on a better grade")
	}
	c.span(path, l.Over, l.To)
	c.referAll(c.kinds, "kind", path+".kinds", l.Kinds)
	c.when(path+".when", l.When)
	c.when(path+".inclusive_when", l.InclusiveWhen)
	c.sourced(path, l.Source, l.Confidence)
	if !hasFactor || !hasGrade {
		return line{}, false
	}
	if (l.Most == "") == (l.Least == "") {
		c.add(CodeDirection, path+".most", "the line says most "+tree.Quote(l.Most)+" and least "+tree.Quote(l.Least), "write one of the two")
		return line{}, false
	}
	where := path + ".most"
	if l.Least != "" {
		where = path + ".least"
	}
	bound, ok := c.amount(where, l.Bound(), c.b.Factors[c.factors[l.Factor]].Dim())
	if ok {
		c.checkInclusive(path, l, bound)
	}
	return line{l, path, c.grades[l.Grade], bound}, ok
}

func (c *checker) checkInclusive(path string, l Limit, bound amount.Amount) {
	whole := bound.Dim == amount.DimShare && bound.Num == bound.Den
	switch {
	case l.Inclusive && l.InclusiveWhen != nil:
		c.add(CodeInclusive, path+".inclusive_when", "the line is inclusive in any case", "write false for inclusive or leave the condition out")
	case !l.Inclusive && bound.Dim == amount.DimCount:
		c.add(CodeInclusive, path+".inclusive", "a count of "+tree.Quote(l.Bound())+" is not allowed itself", "write the last count that is allowed and true")
	case !l.Inclusive && l.Least == "" && bound.IsZero():
		c.add(CodeInclusive, path+".inclusive", "less than "+tree.Quote(l.Most)+" cannot be measured", "write true for none at all")
	case !l.Inclusive && l.Least != "" && whole:
		c.add(CodeInclusive, path+".inclusive", "more than "+tree.Quote(l.Least)+" cannot be measured", "write true for the whole")
	}
}

// oneKind reports a factor of which some lines say the most and others the least.
func (c *checker) oneKind(lines []line) bool {
	for _, l := range lines {
		if first := lines[0]; (l.Least == "") != (first.Least == "") {
			c.add(CodeDirection, l.path, tree.Quote(l.Factor)+" has "+allowance(l)+" here and "+allowance(first)+" in "+first.path, "write most for each line of a factor, or least for each")
			return false
		}
	}
	return true
}

// checkPairs reports lines that hold for the same case twice and lines that
// allow less for a worse grade.
func (c *checker) checkPairs(lines []line) {
	for i, a := range lines {
		for _, b := range lines[:i] {
			if !meet(a.Limit, b.Limit) {
				continue
			}
			if a.grade == b.grade {
				c.add(CodeOverlap, a.path, tree.Quote(a.Factor)+" has two limits for "+tree.Quote(a.Grade)+" at once: "+tree.Quote(a.Bound())+" here and "+tree.Quote(b.Bound())+" in "+b.path, "part them by weight, kind or choice")
				continue
			}
			better, worse := b, a
			if a.grade < b.grade {
				better, worse = a, b
			}
			if allowsLess(worse, better) {
				where := ".most"
				if worse.Least != "" {
					where = ".least"
				}
				c.add(CodeMonotone, worse.path+where, tree.Quote(worse.Grade)+" allows "+allowance(worse)+" and the better "+tree.Quote(better.Grade)+" "+allowance(better)+" in "+better.path, "let the worse grade allow whatever the better one does")
			}
		}
	}
}

func allowance(l line) string {
	text := tree.Quote(l.Bound())
	switch {
	case l.Least != "" && l.Inclusive:
		return "at least " + text
	case l.Least != "":
		return "more than " + text
	case l.Inclusive:
		return "up to " + text
	}
	return "less than " + text
}

// meet reports whether both lines can hold for one item.
func meet(a, b Limit) bool {
	if a.To != 0 && a.To <= b.Over || b.To != 0 && b.To <= a.Over {
		return false
	}
	if len(a.Kinds) > 0 && len(b.Kinds) > 0 && !slices.ContainsFunc(a.Kinds, func(k string) bool { return slices.Contains(b.Kinds, k) }) {
		return false
	}
	for choice, option := range a.When {
		if other, ok := b.When[choice]; ok && other != option {
			return false
		}
	}
	return true
}

func allowsLess(worse, better line) bool {
	if order := worse.stricter(better); order != 0 {
		return order < 0
	}
	same := worse.Inclusive == better.Inclusive && maps.Equal(worse.InclusiveWhen, better.InclusiveWhen)
	return !worse.Inclusive && !same
}

// checkCover reports weights that lines with a weight range leave out. Lines of
// one grade, kind and condition must together hold for every weight the book
// judges.
func (c *checker) checkCover(lines []line) {
	done := make([]bool, len(lines))
	for i, first := range lines {
		if done[i] {
			continue
		}
		var group []line
		for j, l := range lines {
			if l.grade == first.grade && maps.Equal(l.When, first.When) {
				group, done[j] = append(group, l), true
			}
		}
		c.coverKinds(group)
	}
}

func (c *checker) coverKinds(group []line) {
	if !slices.ContainsFunc(group, func(l line) bool { return l.Over != 0 || l.To != 0 }) {
		return
	}
	sorting.Stable(group, func(a, b line) int { return int(min(max(a.Over-b.Over, -1), 1)) })
	kinds := []string{""}
	if len(c.b.Kinds) > 0 {
		kinds = kinds[:0]
		for _, k := range c.b.Kinds {
			kinds = append(kinds, k.ID)
		}
	}
	for _, kind := range kinds {
		mine := slices.DeleteFunc(slices.Clone(group), func(l line) bool { return !concerns(l.Kinds, kind) })
		if len(mine) > 0 {
			c.coverKind(kind, mine)
		}
	}
}

// coverKind checks lines of one kind, sorted by where they begin.
func (c *checker) coverKind(kind string, lines []line) {
	over, to := c.judged(kind)
	reached := over
	for i, l := range lines {
		if l.Over > reached && (to == 0 || reached < to) {
			c.hole(l.path+".over", l, reached, l.Over)
		}
		if l.To == 0 {
			return
		}
		reached = max(reached, l.To)
		if i == len(lines)-1 && (to == 0 || reached < to) {
			c.hole(l.path+".to", l, reached, to)
		}
	}
}

func (c *checker) hole(where string, l line, from, to amount.Weight) {
	end := ""
	if to != 0 {
		end = " up to " + to.String()
	}
	c.add(CodeHole, where, tree.Quote(l.Factor)+" has no limit for "+tree.Quote(l.Grade)+" over "+from.String()+end, "let the ranges meet")
}

// judged is the whole range of weights the book judges for a kind, under any
// options; to is zero when there is no end.
func (c *checker) judged(kind string) (over, to amount.Weight) {
	first := true
	for _, w := range c.b.Weights {
		if kind != "" && !concerns(w.Kinds, kind) {
			continue
		}
		if first {
			over, to, first = w.Over, w.To, false
			continue
		}
		over = min(over, w.Over)
		if w.To == 0 || to == 0 {
			to = 0
		} else {
			to = max(to, w.To)
		}
	}
	return over, to
}
