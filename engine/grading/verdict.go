package grading

import (
	"slices"

	"keelcard/engine/amount"
)

// Grade gives the verdict on one item; see the function Grade.
func (g *Grader) Grade(s Setting, findings []Finding) (Verdict, error) {
	checked, err := g.checkSetting(s)
	if err != nil {
		return Verdict{}, err
	}
	items, err := g.checkFindings(checked, findings)
	if err != nil {
		return Verdict{}, err
	}
	o, err := g.evaluate(checked, items)
	if err != nil {
		return Verdict{}, err
	}
	v := Verdict{
		Book:       g.book.ID,
		Edition:    g.book.Edition,
		Grade:      g.book.Scale[o.grade].ID,
		Set:        g.reasons(o),
		Near:       g.distances(o),
		Touched:    g.touched(o),
		Differ:     g.differences(o),
		Unmeasured: g.gaps(o),
	}
	v.Certain, err = g.certain(o)
	return v, err
}

// sets reports whether a limit keeps the item from the next better grade.
func (o *outcome) sets(h held) bool {
	return o.better >= 0 && h.broken() && h.limit.grade >= o.better
}

func (g *Grader) reason(h held) Reason {
	l := *h.limit.Limit
	l.Inclusive = h.inclusive
	return Reason{
		Factor:     l.Factor,
		FactorName: g.factors[h.limit.factor].Name,
		Part:       h.sum.group,
		PartName:   g.groupName(h.sum.group),
		Amount:     h.sum.amount,
		Limit:      l,
		Findings:   slices.Clone(h.sum.findings),
	}
}

func (g *Grader) groupName(id string) string {
	for _, p := range g.book.Parts {
		if p.ID == id {
			return p.Name
		}
	}
	for _, z := range g.book.Zones {
		if z.ID == id {
			return z.Name
		}
	}
	return ""
}

func (g *Grader) reasons(o *outcome) []Reason {
	var out []Reason
	for _, h := range o.held {
		if o.sets(h) {
			out = append(out, g.reason(h))
		}
	}
	return out
}

// touched names every measured amount that equals a limit. Counts are left out:
// they are not measured, so nobody can be a hair beside them.
func (g *Grader) touched(o *outcome) []Reason {
	var out []Reason
	for _, h := range o.held {
		if h.order == 0 && h.limit.bound.Dim != amount.DimCount && !h.sum.amount.IsZero() {
			out = append(out, g.reason(h))
		}
	}
	return out
}

// distances gives, for every amount that was found, the nearest limit that it
// breaks and the nearest that it does not, where these decide.
func (g *Grader) distances(o *outcome) []Distance {
	var out []Distance
	for i, h := range o.held {
		if !o.nearest(i) || !h.sum.amount.Measurable() {
			continue
		}
		d := Distance{Reason: g.reason(h), Better: h.broken(), By: apart(h.sum.amount, h.limit.bound)}
		if d.Better {
			d.Grade = g.book.Scale[o.better].ID
		} else {
			d.Grade = g.book.Scale[o.beyond(g.scale, h)].ID
			if d.By.Dim == amount.DimCount {
				d.By.Num++
			}
		}
		out = append(out, d)
	}
	return out
}

// apart is how far two amounts of one dimension are from each other.
func apart(a, b amount.Amount) amount.Amount {
	if order, _ := a.Cmp(b); order < 0 {
		a, b = b, a
	}
	by, _ := a.Sub(b) // not less, of one dimension, and within MaxDen
	return by
}

// decides reports whether crossing the limit, on one side or the other, can
// change the grade.
func (o *outcome) decides(h held) bool {
	return o.sets(h) || !h.broken() && !o.last && h.limit.grade >= o.grade
}

// nearest reports whether limit i decides and no other of the same amount, on
// the same side, allows less.
func (o *outcome) nearest(i int) bool {
	h := o.held[i]
	if !o.decides(h) {
		return false
	}
	for j, other := range o.held {
		if j == i || other.sum != h.sum || other.broken() != h.broken() || !o.decides(other) {
			continue
		}
		order := other.limit.stricter(h.limit)
		if order < 0 || order == 0 && j < i {
			return false
		}
	}
	return true
}

// beyond is the grade the item would have if its amount were just beyond the
// limit, or at it when the limit itself is not allowed.
func (o *outcome) beyond(scale []condition, h held) int {
	worst := h.limit.grade
	for _, other := range o.held {
		if other.sum != h.sum {
			continue
		}
		order := h.limit.stricter(other.limit)
		if order > 0 || order == 0 && (h.inclusive || !other.inclusive) {
			worst = max(worst, other.limit.grade)
		}
	}
	there := outcome{setting: o.setting}
	there.decide(scale, worst)
	return there.grade
}

// differences grades again with every other option of every choice.
func (g *Grader) differences(o *outcome) []Difference {
	var out []Difference
	for i, c := range g.book.Choices {
		chosen := o.setting.chosen[i]
		for j, option := range c.Options {
			if j == chosen {
				continue
			}
			o.setting.chosen[i] = j
			if d, differs := g.difference(o); differs {
				d.Choice, d.Option = c.ID, option.ID
				out = append(out, d)
			}
		}
		o.setting.chosen[i] = chosen
	}
	return out
}

// difference grades again under the setting as it now stands.
func (g *Grader) difference(o *outcome) (Difference, bool) {
	other, err := g.evaluate(o.setting, o.items)
	if err != nil {
		return Difference{Refused: err.Error()}, true
	}
	if other.grade == o.grade {
		return Difference{}, false
	}
	return Difference{Grade: g.book.Scale[other.grade].ID, Set: g.reasons(other)}, true
}

// certain is the grade without the doubtful findings, "" when it is the same.
func (g *Grader) certain(o *outcome) (string, error) {
	sure := slices.DeleteFunc(slices.Clone(o.items), func(it item) bool { return it.doubtful })
	if len(sure) == len(o.items) {
		return "", nil
	}
	other, err := g.evaluate(o.setting, sure)
	if err != nil || other.grade == o.grade {
		return "", err
	}
	return g.book.Scale[other.grade].ID, nil
}
