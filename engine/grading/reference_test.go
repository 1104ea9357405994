package grading_test

import (
	"fmt"
	"math/big"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine/amount"
	"keelcard/engine/egg"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
)

// reference grades by the words of package rulebook, as plainly as they can be
// put: every amount a fraction of any size, every limit looked at.
type reference struct {
	book     *rulebook.Book
	setting  grading.Setting
	findings []grading.Finding
}

// line is a limit that holds, against one amount.
type line struct {
	limit  rulebook.Limit
	group  string
	amount *big.Rat
	order  int // of the amount against the limit, above 0 when it is refused
}

func (l line) broken(resolved map[string]string) bool {
	allowed := l.limit.Inclusive || len(l.limit.InclusiveWhen) > 0 && rulebook.Holds(l.limit.InclusiveWhen, resolved)
	return l.order > 0 || l.order == 0 && !allowed
}

func (l line) String() string {
	return fmt.Sprintf("%s of %q: %s against %s", l.limit.Factor, l.group, l.amount.RatString(), l.limit.Grade)
}

func (r reference) lines() (lines []line) {
	for _, l := range r.book.Limits {
		f := factorByID(r.book, l.Factor)
		weighs := r.setting.Weight > l.Over && (l.To == 0 || r.setting.Weight <= l.To)
		ofKind := len(l.Kinds) == 0 || slices.Contains(l.Kinds, r.setting.Kind)
		if !weighs && (l.Over != 0 || l.To != 0) || !ofKind || !rulebook.Holds(l.When, r.setting.Choices) || !rulebook.Holds(f.When, r.setting.Choices) {
			continue
		}
		bound, err := amount.Parse(l.Bound(), f.Dim())
		if err != nil {
			panic(err)
		}
		for group, size := range r.amounts(f) {
			order := size.Cmp(big.NewRat(bound.Num, bound.Den))
			if l.Least != "" {
				order = -order
			}
			lines = append(lines, line{l, group, size, order})
		}
	}
	return lines
}

// amounts makes the amounts of a factor, by part, by zone or for the item.
func (r reference) amounts(f rulebook.Factor) map[string]*big.Rat {
	out := map[string]*big.Rat{}
	for _, id := range append([]string{f.ID}, f.Add...) {
		for group, size := range r.own(factorByID(r.book, id)) {
			if out[group] == nil {
				out[group] = new(big.Rat)
			}
			out[group].Add(out[group], size)
		}
	}
	return out
}

func (r reference) own(f rulebook.Factor) map[string]*big.Rat {
	out := map[string]*big.Rat{}
	for _, found := range r.findings {
		part, zone, fills := r.place(found.Site)
		if !slices.Contains(f.Defects, found.Defect) || len(f.Sites) > 0 && !slices.Contains(f.Sites, found.Site) || len(f.Zones) > 0 && !slices.Contains(f.Zones, zone) {
			continue
		}
		size := r.size(f, found, fills)
		if size == nil {
			continue
		}
		group := map[string]string{rulebook.PerPart: part, rulebook.PerZone: zone}[f.Per]
		was := out[group]
		switch {
		case was == nil:
			out[group] = size
		case f.Op == rulebook.OpLongest || f.Op == rulebook.OpDepth:
			if size.Cmp(was) > 0 {
				out[group] = size
			}
		case f.Op == rulebook.OpHaugh:
			if size.Cmp(was) < 0 {
				out[group] = size
			}
		default:
			out[group] = new(big.Rat).Add(was, size)
		}
	}
	whole := big.NewRat(1, 1)
	for group, size := range out {
		if f.Dim() == amount.DimShare && size.Cmp(whole) > 0 {
			out[group] = whole
		}
	}
	return out
}

// size is what one finding brings, nil when it is not measured.
func (r reference) size(f rulebook.Factor, found grading.Finding, fills *big.Rat) *big.Rat {
	count := int64(max(found.Count, 1))
	length := func(l *amount.Length, times int64) *big.Rat {
		if l == nil {
			return nil
		}
		return big.NewRat(int64(*l)*times, 1)
	}
	switch f.Op {
	case rulebook.OpLongest:
		return length(found.Length, 1)
	case rulebook.OpTotal:
		return length(found.Length, count)
	case rulebook.OpDepth:
		return length(found.Depth, 1)
	case rulebook.OpShare:
		if found.Share == nil {
			return nil
		}
		share := big.NewRat(found.Share.Num*count, found.Share.Den)
		return share.Mul(share, fills)
	case rulebook.OpCovered:
		return r.covered(found, count)
	case rulebook.OpHaugh:
		return r.haugh(f.Form, found)
	}
	return big.NewRat(count, 1)
}

// covered and haugh rest on engine/egg, which has tests of its own.
func (r reference) covered(found grading.Finding, count int64) *big.Rat {
	share := found.Share
	if share == nil {
		if found.Length == nil {
			return nil
		}
		weight := r.setting.Weight
		if weight == 0 {
			weight = egg.LargeEgg
		}
		s := egg.SpotShare(*found.Length, egg.ShellOfWeight(weight))
		share = &s
	}
	if share.Den == 0 {
		return new(big.Rat)
	}
	return big.NewRat(share.Num*count, share.Den)
}

func (r reference) haugh(form string, found grading.Finding) *big.Rat {
	weight := r.setting.Weight
	if found.Weight != nil {
		weight = *found.Weight
	}
	if found.Length == nil || weight == 0 {
		return nil
	}
	value, ok := egg.Haugh(*found.Length, weight, form)
	if !ok {
		value = amount.NoHaugh
	}
	return big.NewRat(int64(value), 1)
}

// place is the part and zone of a site, and how much of the part it makes up.
func (r reference) place(id string) (part, zone string, fills *big.Rat) {
	whole := big.NewRat(1, 1)
	i := slices.IndexFunc(r.book.Sites, func(s rulebook.Site) bool { return s.ID == id })
	if i < 0 {
		return "", "", whole
	}
	s := r.book.Sites[i]
	part, text := s.Part, s.Fills
	for _, o := range s.Otherwise {
		if rulebook.Holds(o.When, r.setting.Choices) {
			part, text = o.Part, o.Fills
			break
		}
	}
	if text == "" {
		return part, s.Zone, whole
	}
	a, err := amount.Parse(text, amount.DimShare)
	if err != nil {
		panic(err)
	}
	return part, s.Zone, big.NewRat(a.Num, a.Den)
}

// verdict gives the grade and what sets it: the best grade that no broken limit
// is of or better than, and the limits that keep the item from the next better.
func (r reference) verdict() (grade string, set []string) {
	var scale []int
	for i, g := range r.book.Scale {
		if rulebook.Holds(g.When, r.setting.Choices) {
			scale = append(scale, i)
		}
	}
	worst := -1
	for _, l := range r.lines() {
		if l.broken(r.setting.Choices) {
			worst = max(worst, place(r.book, l.limit.Grade))
		}
	}
	at := 0
	for at < len(scale)-1 && scale[at] <= worst {
		at++
	}
	for _, l := range r.lines() {
		if at > 0 && l.broken(r.setting.Choices) && place(r.book, l.limit.Grade) >= scale[at-1] {
			set = append(set, l.String())
		}
	}
	return r.book.Scale[scale[at]].ID, set
}

// told writes the reasons of a verdict as the reference writes its lines.
func told(reasons []grading.Reason) (lines []string) {
	for _, r := range reasons {
		lines = append(lines, line{limit: r.Limit, group: r.Part, amount: big.NewRat(r.Amount.Num, r.Amount.Den)}.String())
	}
	return lines
}

func same(a, b []string) bool {
	slices.Sort(a)
	slices.Sort(b)
	return slices.Equal(a, b)
}

// The grade, the limits that set it and those that are met exactly are what the
// reference finds, by every book, kind, weight and set of choices.
func TestVerdictAsReference(t *testing.T) {
	eachBook(t, func(t *rapid.T, b *rulebook.Book) {
		s, findings := drawSetting(t, b), drawFindings(t, b)
		v := mustGrade(t, b, s, findings)
		r := reference{b, s, findings}
		grade, set := r.verdict()
		if v.Grade != grade || !same(told(v.Set), set) {
			t.Fatalf("%s set by %q\nwant %s set by %q", v.Grade, told(v.Set), grade, set)
		}
		var touched []string
		for _, l := range r.lines() {
			if l.order == 0 && l.amount.Sign() != 0 && factorByID(b, l.limit.Factor).Dim() != amount.DimCount {
				touched = append(touched, l.String())
			}
		}
		if !same(told(v.Touched), touched) {
			t.Fatalf("touched %q, want %q", told(v.Touched), touched)
		}
	})
}

// The findings a reason names are all of the defects its factor is about, and
// its bound is told as the book has it.
func TestReasonsNameTheirFindings(t *testing.T) {
	eachBook(t, func(t *rapid.T, b *rulebook.Book) {
		s, findings := drawSetting(t, b), drawFindings(t, b)
		for _, r := range mustGrade(t, b, s, findings).Set {
			if len(r.Findings) == 0 {
				t.Fatalf("%+v names no finding", r)
			}
			f := factorByID(b, r.Factor)
			counts := slices.Clone(f.Defects)
			for _, id := range f.Add {
				counts = append(counts, factorByID(b, id).Defects...)
			}
			for _, i := range r.Findings {
				if !slices.Contains(counts, findings[i].Defect) {
					t.Fatalf("%s is set by %s", r.Factor, findings[i].Defect)
				}
			}
			if !slices.ContainsFunc(b.Limits, func(l rulebook.Limit) bool {
				return l.Factor == r.Limit.Factor && l.Grade == r.Limit.Grade && l.Bound() == r.Limit.Bound() && l.Source == r.Limit.Source
			}) {
				t.Fatalf("the book has no line %+v", r.Limit)
			}
		}
	})
}

// The faults of a faults book are those of its factors with a broken limit, each
// offered under the choices and told once.
func TestFaultsAsReference(t *testing.T) {
	for _, b := range rulebook.Builtin() {
		if !b.IsFaults() {
			continue
		}
		t.Run(b.ID, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				s, findings := drawSetting(t, b), drawFindings(t, b)
				v := mustGrade(t, b, s, findings)
				var got, want []string
				for _, p := range grading.FaultsOf(b, v) {
					got = append(got, p.ID)
				}
				for _, f := range b.Faults(s.Choices) {
					if slices.ContainsFunc(reference{b, s, findings}.lines(), func(l line) bool {
						return l.broken(s.Choices) && factorByID(b, l.limit.Factor).FaultOf() == f.ID
					}) {
						want = append(want, f.ID)
					}
				}
				if !slices.Equal(got, want) || (len(got) == 0) != (v.Grade == b.Scale[0].ID) {
					t.Fatalf("%s with %v, want %v", v.Grade, got, want)
				}
			})
		})
	}
}

func TestFaultsOfBookOfGrades(t *testing.T) {
	b := youth(t)
	v := grade(t, b, grading.Setting{Kind: "chicken", Weight: 4 * amount.Pound}, grading.Finding{Defect: "wing-off", Site: "wing-left"})
	if len(v.Set) == 0 || grading.FaultsOf(b, v) != nil {
		t.Errorf("%+v", grading.FaultsOf(b, v))
	}
}
