package grading_test

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/egg"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
)

// drawSetting draws a setting the book judges, with any options.
func drawSetting(t *rapid.T, b *rulebook.Book) grading.Setting {
	s := grading.Setting{Choices: map[string]string{}}
	for _, c := range b.Choices {
		s.Choices[c.ID] = rapid.SampledFrom(c.Options).Draw(t, c.ID).ID
	}
	s.Weight = amount.Ounce * amount.Weight(rapid.IntRange(1, 320).Draw(t, "ounces"))
	if len(b.Kinds) > 0 {
		s.Kind = rapid.SampledFrom(b.Kinds).Draw(t, "kind").ID
	}
	judged := slices.DeleteFunc(slices.Clone(b.Weights), func(w rulebook.WeightRange) bool {
		return len(w.Kinds) > 0 && !slices.Contains(w.Kinds, s.Kind) || !rulebook.Holds(w.When, s.Choices)
	})
	if len(judged) > 0 {
		w := rapid.SampledFrom(judged).Draw(t, "judged")
		to := w.To
		if to == 0 {
			to = w.Over + 10*amount.Pound
		}
		s.Weight = w.Over + 1 + amount.Weight(rapid.Int64Range(0, int64(to-w.Over-1)).Draw(t, "weight"))
	}
	return s
}

// boundsOf lists the bounds of a book in one dimension, for amounts at a limit.
func boundsOf(b *rulebook.Book, d amount.Dim) (bounds []amount.Amount) {
	for _, l := range b.Limits {
		if factorByID(b, l.Factor).Dim() != d {
			continue
		}
		if a, err := amount.Parse(l.Bound(), d); err == nil && !slices.Contains(bounds, a) {
			bounds = append(bounds, a)
		}
	}
	return bounds
}

func drawFinding(t *rapid.T, b *rulebook.Book) grading.Finding {
	d := rapid.SampledFrom(b.Defects).Draw(t, "defect")
	f := grading.Finding{Defect: d.ID, Count: rapid.IntRange(0, 4).Draw(t, "count")}
	f.Sure = rapid.SampledFrom([]string{"", grading.Likely, grading.Doubtful}).Draw(t, "sure")
	sites := d.Sites
	if len(sites) == 0 {
		for _, s := range b.Sites {
			sites = append(sites, s.ID)
		}
	}
	if len(sites) > 0 {
		f.Site = rapid.SampledFrom(sites).Draw(t, "site")
	}
	for _, m := range d.Measures {
		if rapid.IntRange(0, 3).Draw(t, "measured "+m) == 0 {
			continue
		}
		switch m {
		case rulebook.MeasureLength:
			f.Length = drawLength(t, b, "length")
		case rulebook.MeasureDepth:
			f.Depth = drawLength(t, b, "depth")
		case rulebook.MeasureShare:
			f.Share = drawShare(t, b)
		case rulebook.MeasureWeight:
			w := amount.Gram * amount.Weight(rapid.IntRange(30, 90).Draw(t, "weight of the item"))
			f.Weight = &w
		}
	}
	return f
}

// drawLength draws a length near the limits of the books: 64ths of an inch,
// hundredths or tenths of a millimetre, or a limit itself and a hair beside it.
func drawLength(t *rapid.T, b *rulebook.Book, name string) *amount.Length {
	if bounds := boundsOf(b, amount.DimLength); len(bounds) > 0 && rapid.IntRange(0, 2).Draw(t, name+" at a limit") == 0 {
		at := rapid.SampledFrom(bounds).Draw(t, name+" limit").Num + rapid.Int64Range(-1, 1).Draw(t, name+" beside")
		l := amount.Length(max(at, 0))
		return &l
	}
	unit := rapid.SampledFrom([]amount.Length{amount.SixtyFourth, 10 * amount.Micrometre, 100 * amount.Micrometre}).Draw(t, name+" unit")
	l := unit * amount.Length(rapid.IntRange(0, 400).Draw(t, name))
	return &l
}

func drawShare(t *rapid.T, b *rulebook.Book) *amount.Share {
	if bounds := boundsOf(b, amount.DimShare); len(bounds) > 0 && rapid.IntRange(0, 2).Draw(t, "share at a limit") == 0 {
		a := rapid.SampledFrom(bounds).Draw(t, "share limit")
		return &amount.Share{Num: a.Num, Den: a.Den}
	}
	den := rapid.SampledFrom([]int64{2, 3, 10, 100}).Draw(t, "den")
	s, err := amount.ParseShare(fmt.Sprintf("%d/%d", rapid.Int64Range(0, den).Draw(t, "num"), den))
	if err != nil {
		t.Fatal(err)
	}
	return &s
}

func drawFindings(t *rapid.T, b *rulebook.Book) []grading.Finding {
	n := rapid.IntRange(0, 6).Draw(t, "findings")
	findings := make([]grading.Finding, n)
	for i := range findings {
		findings[i] = drawFinding(t, b)
	}
	return findings
}

// worsen gives a finding that is worse in one respect: more of them, longer,
// deeper, a larger share; a lower white or a heavier egg under the same white.
func worsen(t *rapid.T, b *rulebook.Book, f grading.Finding) grading.Finding {
	ofWhite, others := readBy(b, f.Defect)
	switch rapid.IntRange(0, 4).Draw(t, "worse") {
	case 0:
		f.Count = max(f.Count, 1) + rapid.IntRange(1, 3).Draw(t, "more")
	case 1:
		if f.Length != nil && !(ofWhite && others) {
			v := *drawLength(t, b, "more")
			if ofWhite {
				v = max(*f.Length-v, 0)
			} else {
				v += *f.Length
			}
			f.Length = &v
		}
	case 2:
		if f.Depth != nil {
			v := *f.Depth + *drawLength(t, b, "more")
			f.Depth = &v
		}
	case 3:
		if f.Share != nil {
			other := drawShare(t, b)
			if order, _ := amount.OfShare(*other).Cmp(amount.OfShare(*f.Share)); order > 0 {
				f.Share = other
			}
		}
	default:
		if f.Weight != nil {
			v := *f.Weight + amount.Gram*amount.Weight(rapid.IntRange(1, 30).Draw(t, "heavier"))
			f.Weight = &v
		}
	}
	return f
}

// readBy tells whether the length of a defect is the height of a white, and
// whether it is read in another way as well.
func readBy(b *rulebook.Book, defect string) (ofWhite, others bool) {
	for _, f := range b.Factors {
		if slices.Contains(f.Defects, defect) && f.Reads(rulebook.MeasureLength) {
			ofWhite = ofWhite || f.Op == rulebook.OpHaugh
			others = others || f.Op != rulebook.OpHaugh
		}
	}
	return ofWhite, others
}

func place(b *rulebook.Book, grade string) int {
	return slices.IndexFunc(b.Scale, func(g rulebook.Grade) bool { return g.ID == grade })
}

func eachBook(t *testing.T, check func(*rapid.T, *rulebook.Book)) {
	for _, b := range rulebook.Builtin() {
		t.Run(b.ID, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) { check(t, b) })
		})
	}
}

func mustGrade(t *rapid.T, b *rulebook.Book, s grading.Setting, findings []grading.Finding) grading.Verdict {
	v, err := grading.Grade(b, s, findings)
	if err != nil {
		t.Fatalf("%v in %+v with %+v", err, s, findings)
	}
	return v
}

func TestWorseFindingNeverGivesBetterGrade(t *testing.T) {
	eachBook(t, func(t *rapid.T, b *rulebook.Book) {
		s, findings := drawSetting(t, b), drawFindings(t, b)
		before := mustGrade(t, b, s, findings)
		worse := slices.Clone(findings)
		if i := rapid.IntRange(0, len(worse)).Draw(t, "which"); i < len(worse) {
			worse[i] = worsen(t, b, worse[i])
		} else {
			worse = append(worse, drawFinding(t, b))
		}
		after := mustGrade(t, b, s, worse)
		if place(b, after.Grade) < place(b, before.Grade) {
			t.Fatalf("%s became %s\nbefore %+v\nafter %+v", before.Grade, after.Grade, findings, worse)
		}
	})
}

func TestOrderOfFindingsDoesNotMatter(t *testing.T) {
	eachBook(t, func(t *rapid.T, b *rulebook.Book) {
		s, findings := drawSetting(t, b), drawFindings(t, b)
		order := make([]int, len(findings))
		for i := range order {
			order[i] = i
		}
		order = rapid.Permutation(order).Draw(t, "order")
		shuffled := make([]grading.Finding, len(findings))
		for i, from := range order {
			shuffled[i] = findings[from]
		}
		want, got := mustGrade(t, b, s, findings), mustGrade(t, b, s, shuffled)
		renumber(&got, order)
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("got  %+v\nwant %+v", got, want)
		}
	})
}

// renumber brings the findings of a verdict back to the order they had.
func renumber(v *grading.Verdict, order []int) {
	reasons := func(rs []grading.Reason) {
		for _, r := range rs {
			for i := range r.Findings {
				r.Findings[i] = order[r.Findings[i]]
			}
			slices.Sort(r.Findings)
		}
	}
	reasons(v.Set)
	reasons(v.Touched)
	for i := range v.Near {
		reasons([]grading.Reason{v.Near[i].Reason})
	}
	for i := range v.Differ {
		reasons(v.Differ[i].Set)
	}
	for i := range v.Unmeasured {
		v.Unmeasured[i].Finding = order[v.Unmeasured[i].Finding]
	}
	slices.SortStableFunc(v.Unmeasured, func(a, b grading.Gap) int { return a.Finding - b.Finding })
}

// The differences of a verdict are what grading under those options gives, and
// no other option gives another grade.
func TestDifferencesAreComplete(t *testing.T) {
	eachBook(t, func(t *rapid.T, b *rulebook.Book) {
		s, findings := drawSetting(t, b), drawFindings(t, b)
		v := mustGrade(t, b, s, findings)
		told := map[string]string{}
		for _, d := range v.Differ {
			told[d.Choice+"="+d.Option] = d.Grade
		}
		for _, c := range b.Choices {
			was := s.Choices[c.ID]
			for _, o := range c.Options {
				s.Choices[c.ID] = o.ID
				other, err := grading.Grade(b, s, findings)
				grade, differs := told[c.ID+"="+o.ID]
				if err != nil && (!differs || grade != "") || err == nil && (other.Grade != v.Grade) != differs || differs && grade != other.Grade {
					t.Fatalf("%s=%s gives %q (%v), the verdict tells %q", c.ID, o.ID, other.Grade, err, grade)
				}
			}
			s.Choices[c.ID] = was
		}
	})
}

// A distance to a worse grade is exact: that much more of a single finding's
// length changes the grade, a nanometre less does not.
func TestDistanceIsExact(t *testing.T) {
	eachBook(t, func(t *rapid.T, b *rulebook.Book) {
		s := drawSetting(t, b)
		f := drawFinding(t, b)
		f.Count, f.Sure = 1, ""
		if f.Length == nil || slices.ContainsFunc(b.Factors, func(r rulebook.Factor) bool {
			return slices.Contains(r.Defects, f.Defect) && (r.Op == rulebook.OpHaugh || r.Op == rulebook.OpCovered)
		}) {
			return // a length that is not held against a length
		}
		v := mustGrade(t, b, s, []grading.Finding{f})
		for _, d := range v.Near {
			if d.Amount.Dim != amount.DimLength || d.Better || d.Amount != amount.OfLength(*f.Length) || f.Depth != nil {
				continue
			}
			over := amount.Length(1)
			if !d.Limit.Inclusive {
				over = 0
			}
			longer := *f.Length + amount.Length(d.By.Num) + over
			at := f
			at.Length = &longer
			if got := mustGrade(t, b, s, []grading.Finding{at}); place(b, got.Grade) < place(b, d.Grade) {
				t.Fatalf("%+v: beyond it the grade is %s", d, got.Grade)
			}
			shorter := longer - 1
			at.Length = &shorter
			if got := mustGrade(t, b, s, []grading.Finding{at}); got.Grade == d.Grade && nearest(v, d) {
				t.Fatalf("%+v: short of it the grade is already %s", d, got.Grade)
			}
		}
	})
}

// nearest reports whether no other length limit comes sooner.
func nearest(v grading.Verdict, d grading.Distance) bool {
	for _, other := range v.Near {
		if other.Better || other.Amount.Dim != d.Amount.Dim {
			continue
		}
		if order, _ := other.By.Cmp(d.By); order < 0 {
			return false
		}
	}
	return true
}

// Every line of every book decides some item: at the bound it sets the grade
// can hold, and just beyond the grade is lost. A line no finding can reach is
// dead.
func TestEveryLimitDecides(t *testing.T) {
	for _, b := range rulebook.Builtin() {
		for i, l := range b.Limits {
			if !decides(t, b, l) {
				t.Errorf("%s: limits[%d] (%s, %s, %s) decides nothing", b.ID, i, l.Factor, l.Grade, l.Bound())
			}
		}
	}
}

func decides(t *testing.T, b *rulebook.Book, l rulebook.Limit) bool {
	s, ok := settingFor(b, l)
	if !ok {
		t.Errorf("no setting has %s of %s", l.Factor, l.Grade)
		return false
	}
	f := factorByID(b, l.Factor)
	bound, err := amount.Parse(l.Bound(), f.Dim())
	if err != nil {
		t.Fatal(err)
	}
	inclusive := l.Inclusive || len(l.InclusiveWhen) > 0 && rulebook.Holds(l.InclusiveWhen, s.Choices)
	for _, d := range b.Defects {
		for _, site := range sitesFor(b, f, d) {
			at, atErr := grading.Grade(b, s, findingsAt(b, f, d, site, bound, inclusive, false))
			beyond, beyondErr := grading.Grade(b, s, findingsAt(b, f, d, site, bound, inclusive, true))
			if atErr != nil || beyondErr != nil {
				t.Fatal(atErr, beyondErr)
			}
			if place(b, at.Grade) <= place(b, l.Grade) && place(b, beyond.Grade) > place(b, l.Grade) {
				return true
			}
		}
	}
	return false
}

func factorByID(b *rulebook.Book, id string) rulebook.Factor {
	return b.Factors[slices.IndexFunc(b.Factors, func(f rulebook.Factor) bool { return f.ID == id })]
}

// sitesFor is where a defect counts for a factor, or for one it adds.
func sitesFor(b *rulebook.Book, f rulebook.Factor, d rulebook.Defect) []string {
	defects := f.Defects
	for _, id := range f.Add {
		defects = append(defects, factorByID(b, id).Defects...)
	}
	if !slices.Contains(defects, d.ID) {
		return nil
	}
	if len(b.Sites) == 0 {
		return []string{""}
	}
	var sites []string
	for _, s := range b.Sites {
		if (len(d.Sites) == 0 || slices.Contains(d.Sites, s.ID)) && (len(f.Sites) == 0 || slices.Contains(f.Sites, s.ID)) && (len(f.Zones) == 0 || slices.Contains(f.Zones, s.Zone)) && s.Fills == "" {
			sites = append(sites, s.ID)
		} else if f.Op != rulebook.OpShare && slices.Contains(d.Sites, s.ID) && (len(f.Sites) == 0 || slices.Contains(f.Sites, s.ID)) {
			sites = append(sites, s.ID)
		}
	}
	return sites
}

// settingFor is a setting under which the line holds.
func settingFor(b *rulebook.Book, l rulebook.Limit) (grading.Setting, bool) {
	when := maps.Clone(l.When)
	if more := factorByID(b, l.Factor).When; when == nil {
		when = more
	} else {
		maps.Copy(when, more)
	}
	choices, err := b.Resolve(when)
	if err != nil {
		return grading.Setting{}, false
	}
	kinds := b.Kinds
	if len(kinds) == 0 {
		kinds = []rulebook.Bird{{}}
	}
	for _, w := range []amount.Weight{l.To, l.Over + amount.Ounce, 3 * amount.Pound, 10 * amount.Pound} {
		if w <= l.Over || l.To != 0 && w > l.To {
			continue
		}
		for _, k := range kinds {
			s := grading.Setting{Kind: k.ID, Weight: w, Choices: choices}
			if len(l.Kinds) > 0 && !slices.Contains(l.Kinds, k.ID) {
				continue
			}
			if _, err := grading.Grade(b, s, nil); err == nil {
				return s, true
			}
		}
	}
	return grading.Setting{}, false
}

// findingsAt makes findings whose amount is just what a line allows, or just beyond.
func findingsAt(b *rulebook.Book, f rulebook.Factor, d rulebook.Defect, site string, bound amount.Amount, inclusive, beyond bool) []grading.Finding {
	found := grading.Finding{Defect: d.ID, Site: site}
	switch f.Op {
	case rulebook.OpCount:
		return counted(b, f, found, int(bound.Num), beyond)
	case rulebook.OpHaugh:
		found.Weight = new(60 * amount.Gram)
		height, _ := egg.LeastHeight(amount.Haugh(bound.Num), *found.Weight, f.Form)
		switch {
		case beyond:
			height -= 10 * amount.Micrometre
		case !inclusive:
			height += 100 * amount.Micrometre
		}
		found.Length = &height
	case rulebook.OpShare, rulebook.OpCovered:
		s := amount.Share{Num: bound.Num, Den: bound.Den}
		if beyond == inclusive { // just beyond an inclusive one, just below an exclusive one
			s.Num, s.Den = s.Num*1000, s.Den*1000
			s.Num++
			if !beyond {
				s.Num -= 2
			}
			s, _ = amount.ParseShare(fmt.Sprintf("%d/%d", s.Num, s.Den))
		}
		found.Share = &s
	default:
		l := amount.Length(bound.Num)
		switch {
		case beyond && inclusive:
			l++
		case !beyond && !inclusive:
			l--
		}
		if f.Op == rulebook.OpDepth {
			found.Depth = &l
		} else {
			found.Length = &l
		}
	}
	return []grading.Finding{found}
}

// counted makes findings of n things, or one more. For a sum of factors, one of
// the things is of another factor's kind.
func counted(b *rulebook.Book, f rulebook.Factor, found grading.Finding, n int, beyond bool) []grading.Finding {
	if beyond {
		n++
	}
	var findings []grading.Finding
	if len(f.Add) > 1 {
		for _, id := range f.Add {
			other := b.Defects[slices.IndexFunc(b.Defects, func(d rulebook.Defect) bool { return d.ID == factorByID(b, id).Defects[0] })]
			if other.ID != found.Defect && n > 1 {
				findings = append(findings, grading.Finding{Defect: other.ID, Site: other.Sites[0], Count: 1})
				n--
			}
		}
	}
	if n > 0 {
		found.Count = n
		findings = append(findings, found)
	}
	return findings
}

func TestGradeAnythingByBuiltinBooks(t *testing.T) {
	for _, b := range rulebook.Builtin() {
		for seed := range uint64(200) {
			gradeAnything(t, b, seed, "1 1/2 in")
		}
	}
}

// FuzzGrade grades with whatever decodes as a book.
func FuzzGrade(f *testing.F) {
	f.Add([]byte(tinyBook), uint64(7), "1/4 in")
	f.Add([]byte(strings.ReplaceAll(tinyBook, `"total"`, `"count"`)), uint64(9), "1/4 in")
	f.Fuzz(func(t *testing.T, data []byte, seed uint64, size string) {
		b, err := rulebook.Decode(data)
		if err != nil {
			return
		}
		gradeAnything(t, b, seed, size)
	})
}

const tinyBook = `{"format": 1, "id": "tiny", "edition": "1", "title": "tiny", "scale": [{"id": "A", "name": "A"}, {"id": "B", "name": "B"}],
"defects": [{"id": "tear", "name": "tear", "measures": ["length", "depth"]}],
"factors": [{"id": "tears", "name": "tears", "op": "total", "per": "item", "defects": ["tear"]}, {"id": "twice", "name": "twice", "op": "total", "per": "item", "defects": ["tear"], "add": ["tears"]}],
"limits": [{"factor": "twice", "grade": "A", "most": "1/4 in", "inclusive": true, "source": "s", "confidence": "read"}],
"sources": [{"id": "s", "title": "s"}]}`

// gradeAnything grades one finding of each defect; the seed picks setting, site
// and count. A decoded book may refuse a setting but never fails by itself.
func gradeAnything(t *testing.T, b *rulebook.Book, seed uint64, size string) {
	t.Helper()
	pick := func(n int) int {
		seed = seed*6364136223846793005 + 1442695040888963407
		return int(seed >> 33 % uint64(max(n, 1)))
	}
	l, err := amount.ParseLength(size)
	if err != nil {
		l = amount.SixtyFourth
	}
	s := grading.Setting{Weight: amount.Ounce * amount.Weight(1+pick(320)), Choices: map[string]string{}}
	if len(b.Kinds) > 0 {
		s.Kind = b.Kinds[pick(len(b.Kinds))].ID
	}
	for _, c := range b.Choices {
		s.Choices[c.ID] = c.Options[pick(len(c.Options))].ID
	}
	var findings []grading.Finding
	for _, d := range b.Defects {
		f := grading.Finding{Defect: d.ID, Count: pick(grading.MaxCount)}
		sites := d.Sites
		if len(sites) == 0 && len(b.Sites) > 0 {
			sites = []string{b.Sites[pick(len(b.Sites))].ID}
		}
		if len(sites) > 0 {
			f.Site = sites[pick(len(sites))]
		}
		if slices.Contains(d.Measures, rulebook.MeasureLength) {
			f.Length = &l
		}
		if slices.Contains(d.Measures, rulebook.MeasureDepth) {
			f.Depth = &l
		}
		if slices.Contains(d.Measures, rulebook.MeasureShare) {
			f.Share = share(1, int64(1+pick(100)))
		}
		if len(findings) < grading.MaxFindings {
			findings = append(findings, f)
		}
	}
	v, err := grading.Grade(b, s, findings)
	switch engine.CodeOf(err) {
	case "":
		if err != nil || place(b, v.Grade) < 0 {
			t.Fatalf("the grade %q is not on the scale (%v)", v.Grade, err)
		}
	case grading.CodeWeight, grading.CodeExact:
	default:
		t.Fatalf("a decoded book fails with %v", err)
	}
}
