package grading

import (
	"slices"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/egg"
	"keelcard/engine/rulebook"
	"keelcard/engine/sorting"
)

// sum is the amount of a factor in one part, zone or item.
type sum struct {
	group    string // id of the part or zone, "" for the item
	amount   amount.Amount
	findings []int
}

// held is a limit that holds under the setting against one amount.
type held struct {
	limit     *limit
	inclusive bool
	sum       *sum
	order     int // of the amount against the limit, above 0 when it is refused
}

func (h held) broken() bool { return h.order > 0 || h.order == 0 && !h.inclusive }

// outcome is an item's evaluation under one setting.
type outcome struct {
	setting setting
	items   []item
	active  []*limit // limits that hold, in the book's order
	held    []held   // each against every amount that was found
	grade   int      // verdict, place on the whole scale
	better  int      // next better grade, -1 when there is none
	last    bool     // the grade is the last of the answers
}

// evaluate grades checked items. It is the one place where a grade is decided.
func (g *Grader) evaluate(s setting, items []item) (*outcome, error) {
	if err := g.judges(s); err != nil {
		return nil, err
	}
	o := &outcome{setting: s, items: items}
	sites := g.sitesUnder(s.chosen)
	sums := make([][]sum, len(g.factors))
	known := make([]bool, len(g.factors))
	worst := -1
	for i := range g.limits {
		l := &g.limits[i]
		if !heavy(s.weight, l.Over, l.To) && g.weighed || !concerns(l.Kinds, s.kind) || !l.when.holds(s.chosen) {
			continue
		}
		o.active = append(o.active, l)
		if !known[l.factor] {
			var err error
			if sums[l.factor], err = g.measure(l.factor, items, sites); err != nil {
				return nil, err
			}
			known[l.factor] = true
		}
		inclusive := l.inclusive(s.chosen)
		for j := range sums[l.factor] {
			h := held{limit: l, inclusive: inclusive, sum: &sums[l.factor][j]}
			h.order = l.against(h.sum.amount)
			o.held = append(o.held, h)
			if h.broken() {
				worst = max(worst, l.grade)
			}
		}
	}
	o.decide(g.scale, worst)
	return o, nil
}

// decide takes the best grade on the scale that is worse than every grade with
// a broken limit, or the last.
func (o *outcome) decide(scale []condition, worst int) {
	o.better, o.grade = -1, -1
	for i, when := range scale {
		if !when.holds(o.setting.chosen) {
			continue
		}
		if o.grade > worst {
			o.last = false
			return
		}
		o.better, o.grade, o.last = o.grade, i, true
	}
}

// sitesUnder gives each site's place under the chosen options; the first
// condition that holds decides.
func (g *Grader) sitesUnder(chosen []int) []place {
	places := make([]place, len(g.places))
	for i := range g.places {
		s := &g.places[i]
		places[i] = s.place
		for j := range s.otherwise {
			if s.otherwise[j].when.holds(chosen) {
				places[i] = s.otherwise[j].place
				break
			}
		}
	}
	return places
}

// measure makes the amounts of a factor, one for each group with a finding, in
// the order in which the groups stand in the book.
func (g *Grader) measure(fi int, items []item, sites []place) ([]sum, error) {
	var sums []sum
	for _, term := range append([]int{fi}, g.factors[fi].add...) {
		own, err := g.measureOne(&g.factors[term], items, sites)
		if err != nil {
			return nil, err
		}
		if sums, err = join(sums, own); err != nil {
			return nil, err
		}
	}
	sorting.Stable(sums, func(a, b sum) int { return g.groupPlace(a.group) - g.groupPlace(b.group) })
	return sums, nil
}

func (g *Grader) groupPlace(id string) int {
	if i := slices.IndexFunc(g.book.Parts, func(p rulebook.Part) bool { return p.ID == id }); i >= 0 {
		return i
	}
	return slices.IndexFunc(g.book.Zones, func(z rulebook.Zone) bool { return z.ID == id })
}

// join adds the amounts of the same groups.
func join(sums, more []sum) ([]sum, error) {
	for _, m := range more {
		i := slices.IndexFunc(sums, func(s sum) bool { return s.group == m.group })
		if i < 0 {
			sums = append(sums, m)
			continue
		}
		total, err := sums[i].amount.Add(m.amount)
		if err != nil {
			return nil, inexact(err)
		}
		sums[i].amount = total
		sums[i].findings = union(sums[i].findings, m.findings)
	}
	return sums, nil
}

func union(a, b []int) []int {
	all := append(slices.Clone(a), b...)
	sorting.Ascending(all)
	return slices.Compact(all)
}

// measureOne makes the amounts of a factor without what it adds.
func (g *Grader) measureOne(f *factor, items []item, sites []place) ([]sum, error) {
	var sums []sum
	shares := map[string][]amount.Amount{}
	for i := range items {
		it := &items[i]
		if !f.covers(it) {
			continue
		}
		var where place
		if it.site >= 0 {
			where = sites[it.site]
		}
		size, ok, err := f.size(it, where)
		if err != nil {
			return nil, inexact(err)
		}
		if !ok {
			continue
		}
		group := f.group(where)
		k := slices.IndexFunc(sums, func(s sum) bool { return s.group == group })
		if k < 0 {
			k = len(sums)
			sums = append(sums, sum{group: group, amount: amount.Zero(f.dim)})
		}
		s := &sums[k]
		s.findings = append(s.findings, i)
		switch f.Op {
		case rulebook.OpShare, rulebook.OpCovered:
			shares[group] = append(shares[group], size)
		case rulebook.OpLongest, rulebook.OpDepth:
			s.amount.Num = max(s.amount.Num, size.Num)
		case rulebook.OpHaugh:
			if len(s.findings) == 1 || size.Num < s.amount.Num {
				s.amount = size
			}
		default:
			s.amount.Num += size.Num // bounded by MaxFindings, MaxCount and amount.MaxLength
		}
	}
	for i := range sums {
		if f.dim == amount.DimShare {
			var err error
			if sums[i].amount, err = addShares(shares[sums[i].group]); err != nil {
				return nil, inexact(err)
			}
		}
	}
	return sums, nil
}

// group is the id of the part or zone under which the factor counts a finding.
func (f *factor) group(where place) string {
	switch f.Per {
	case rulebook.PerPart:
		return where.part
	case rulebook.PerZone:
		return where.zone
	}
	return ""
}

// size is what a finding brings to the factor; ok is false when it is not
// measured. A finding of several things counts each with the same measures.
func (f *factor) size(it *item, where place) (size amount.Amount, ok bool, err error) {
	switch f.Op {
	case rulebook.OpLongest:
		return it.length, it.length.Dim != 0, nil
	case rulebook.OpDepth:
		return it.depth, it.depth.Dim != 0, nil
	case rulebook.OpTotal:
		size = it.length
		size.Num *= it.count
		return size, size.Dim != 0, nil
	case rulebook.OpShare:
		if !it.hasShare {
			return amount.Amount{}, false, nil
		}
		share, err := it.share.Times(where.fills)
		return times(share, it.count), true, err
	case rulebook.OpCovered:
		return times(it.covers(), it.count), f.measured(it), nil
	case rulebook.OpHaugh:
		return amount.OfHaugh(f.haugh(it)), f.measured(it), nil
	}
	return amount.Amount{Dim: amount.DimCount, Num: it.count, Den: 1}, true, nil
}

// times is a share as often as it was found, at most the whole.
func times(s amount.Share, count int64) amount.Amount {
	size := amount.OfShare(s)
	size.Num = min(size.Num*count, size.Den)
	return size
}

// covers is the share of a shell under a spot: as it was estimated, else by the
// width of the spot.
func (it *item) covers() amount.Share {
	if it.hasShare || it.length.Dim == 0 {
		return it.share
	}
	return egg.SpotShare(amount.Length(it.length.Num), it.shell)
}

// haugh is the Haugh value of a finding with height and weight.
func (f *factor) haugh(it *item) amount.Haugh {
	if value, ok := egg.Haugh(amount.Length(it.length.Num), it.weight, f.Form); ok {
		return value
	}
	return amount.NoHaugh
}

// addShares adds shares of one part, at most to the whole. The order in which
// they were found does not matter.
func addShares(shares []amount.Amount) (amount.Amount, error) {
	// Both are shares, so they compare.
	sorting.Stable(shares, func(a, b amount.Amount) int { order, _ := b.Cmp(a); return order })
	whole := amount.OfShare(amount.Share{Num: 1, Den: 1})
	total := amount.Zero(amount.DimShare)
	for _, s := range shares {
		var err error
		if total, err = total.Add(s); err != nil {
			return total, err
		}
		if over, _ := total.Cmp(whole); over >= 0 {
			return whole, nil
		}
	}
	return total, nil
}

func inexact(err error) error {
	return &engine.Error{Code: CodeExact, Where: "findings", What: "these shares cannot be added exactly: " + err.Error(), Fix: "give each share in whole per cent", Cause: err}
}
