package grading

import (
	"fmt"
	"slices"
	"strconv"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/egg"
	"keelcard/engine/rulebook"
)

// Codes of the errors of this package.
const (
	CodeBook    engine.Code = "grading.book"    // the book was not decoded
	CodeKind    engine.Code = "grading.kind"    // a kind the book does not have
	CodeWeight  engine.Code = "grading.weight"  // a weight the book does not judge
	CodeChoice  engine.Code = "grading.choice"  // a choice or option the book does not have
	CodeMany    engine.Code = "grading.many"    // more findings than can lie on one item
	CodeDefect  engine.Code = "grading.defect"  // a defect the book does not have
	CodeSite    engine.Code = "grading.site"    // a site the book, or the defect, does not have
	CodeMeasure engine.Code = "grading.measure" // a measure the defect does not have, or out of range
	CodeExact   engine.Code = "grading.exact"   // shares that cannot be added exactly
)

// The most that is taken of one item.
const (
	MaxFindings = 500  // findings
	MaxCount    = 1000 // things in one finding
)

// item is a checked finding.
type item struct {
	defect, site int // site is -1 when the book has none
	count        int64
	length       amount.Amount // no dimension when not measured, as below
	depth        amount.Amount
	share        amount.Share // of the site
	hasShare     bool
	weight       amount.Weight // of the item; 0 when not known
	shell        egg.Area      // of an egg of the setting's weight
	doubtful     bool
}

// faults collects the faults of a setting or of findings.
type faults struct{ engine.Faults }

func (f *faults) add(code engine.Code, where, what, fix string) {
	f.Faults = append(f.Faults, engine.New(code, where, what, fix))
}

// setting is a checked Setting.
type setting struct {
	kind   string
	weight amount.Weight
	chosen []int // option of each choice
}

func (g *Grader) checkSetting(s Setting) (setting, error) {
	resolved, err := g.book.Resolve(s.Choices)
	if err != nil {
		return setting{}, &engine.Error{Code: CodeChoice, What: err.Error(), Cause: err}
	}
	if len(g.book.Kinds) > 0 || s.Kind != "" {
		if !slices.ContainsFunc(g.book.Kinds, func(k rulebook.Bird) bool { return k.ID == s.Kind }) {
			return setting{}, engine.New(CodeKind, "kind", "the book "+strconv.Quote(g.book.ID)+" has no kind "+strconv.Quote(s.Kind), "choose one of the book's kinds")
		}
	}
	if s.Weight < 0 || s.Weight > amount.MaxWeight {
		return setting{}, engine.New(CodeWeight, "weight", "a weight of "+strconv.FormatInt(int64(s.Weight), 10)+" ng is out of range", "weigh again")
	}
	if s.Weight == 0 && g.weighed {
		return setting{}, engine.New(CodeWeight, "weight", "the weight is not given and the limits depend on it", "give the weight, or one in its group")
	}
	chosen := make([]int, len(g.book.Choices))
	for i, c := range g.book.Choices {
		chosen[i] = optionPlace(c, resolved[c.ID])
	}
	return setting{s.Kind, s.Weight, chosen}, nil
}

// judges reports whether the book judges a bird of this kind and weight.
func (g *Grader) judges(s setting) error {
	if len(g.book.Weights) == 0 {
		return nil
	}
	for i, w := range g.book.Weights {
		if heavy(s.weight, w.Over, w.To) && concerns(w.Kinds, s.kind) && g.weights[i].holds(s.chosen) {
			return nil
		}
	}
	return engine.New(CodeWeight, "weight", s.weight.String()+" is a weight that "+strconv.Quote(g.book.Title)+" does not judge", "check the weight, the kind of bird and the choices of the class")
}

// heavy reports whether a weight lies over one weight and up to another; a zero
// end is none.
func heavy(w, over, to amount.Weight) bool {
	return w > over && (to == 0 || w <= to)
}

func concerns(kinds []string, kind string) bool {
	return len(kinds) == 0 || slices.Contains(kinds, kind)
}

func (g *Grader) checkFindings(s setting, findings []Finding) ([]item, error) {
	if len(findings) > MaxFindings {
		return nil, engine.New(CodeMany, "findings", strconv.Itoa(len(findings))+" findings are more than one item can have", "give at most "+strconv.Itoa(MaxFindings))
	}
	var f faults
	items := make([]item, len(findings))
	shell := g.shell(s.weight)
	for i := range findings {
		items[i] = g.checkFinding(&f, fmt.Sprintf("findings[%d]", i), &findings[i])
		items[i].shell = shell
		if items[i].weight == 0 {
			items[i].weight = s.weight
		}
	}
	return items, f.Err()
}

// shell is the surface on which spots lie, where the book asks for that: of an
// egg of the weight, or of a Large one when there is none.
func (g *Grader) shell(w amount.Weight) egg.Area {
	if !slices.ContainsFunc(g.factors, func(f factor) bool { return f.Op == rulebook.OpCovered }) {
		return 0
	}
	if w == 0 {
		w = egg.LargeEgg
	}
	return egg.ShellOfWeight(w)
}

func (g *Grader) checkFinding(f *faults, path string, found *Finding) item {
	it := item{site: -1, count: 1, doubtful: found.Sure == Doubtful}
	d, ok := g.defects[found.Defect]
	if !ok {
		f.add(CodeDefect, path+".defect", "the book "+strconv.Quote(g.book.ID)+" has no defect "+strconv.Quote(found.Defect), "choose one of the book's defects")
		return it
	}
	it.defect = d
	defect := &g.book.Defects[d]
	it.site = g.checkSite(f, path+".site", defect, found.Site)
	if found.Count < 0 || found.Count > MaxCount {
		f.add(CodeMeasure, path+".count", strconv.Itoa(found.Count)+" is no count", "give 1 to "+strconv.Itoa(MaxCount))
	}
	if found.Count > 0 {
		it.count = int64(found.Count)
	}
	it.length = checkLength(f, path+".length", defect, rulebook.MeasureLength, found.Length)
	it.depth = checkLength(f, path+".depth", defect, rulebook.MeasureDepth, found.Depth)
	it.weight = checkWeight(f, path+".weight", defect, found.Weight)
	checkShare(f, path, defect, found)
	it.share, it.hasShare = Share(*found)
	if !slices.Contains(defect.Measures, rulebook.MeasureShare) {
		it.hasShare = false
	}
	checkPlace(f, path, found)
	return it
}

func (g *Grader) checkSite(f *faults, where string, d *rulebook.Defect, id string) int {
	if len(g.book.Sites) == 0 && id == "" {
		return -1
	}
	s, ok := g.sites[id]
	if !ok {
		f.add(CodeSite, where, "the book "+strconv.Quote(g.book.ID)+" has no site "+strconv.Quote(id), "choose one of the book's sites")
		return -1
	}
	if len(d.Sites) > 0 && !slices.Contains(d.Sites, id) {
		f.add(CodeSite, where, strconv.Quote(d.ID)+" does not occur at "+strconv.Quote(id), "choose another site or another defect")
	}
	return s
}

func checkLength(f *faults, where string, d *rulebook.Defect, measure string, l *amount.Length) amount.Amount {
	if l == nil {
		return amount.Amount{}
	}
	if !slices.Contains(d.Measures, measure) {
		f.add(CodeMeasure, where, strconv.Quote(d.ID)+" has no "+measure, "leave it out")
	}
	if *l < 0 || *l > amount.MaxLength {
		f.add(CodeMeasure, where, strconv.FormatInt(int64(*l), 10)+" nm is out of range", "measure again")
		return amount.Amount{}
	}
	return amount.OfLength(*l)
}

func checkWeight(f *faults, where string, d *rulebook.Defect, w *amount.Weight) amount.Weight {
	if w == nil {
		return 0
	}
	if !slices.Contains(d.Measures, rulebook.MeasureWeight) {
		f.add(CodeMeasure, where, strconv.Quote(d.ID)+" has no weight", "leave it out")
	}
	if *w <= 0 || *w > amount.MaxWeight {
		f.add(CodeMeasure, where, strconv.FormatInt(int64(*w), 10)+" ng is no weight", "weigh again")
	}
	return *w
}

func checkShare(f *faults, path string, d *rulebook.Defect, found *Finding) {
	measured := slices.Contains(d.Measures, rulebook.MeasureShare)
	if found.Share != nil {
		if !measured {
			f.add(CodeMeasure, path+".share", strconv.Quote(d.ID)+" has no share", "leave it out")
		}
		if !found.Share.Valid() {
			f.add(CodeMeasure, path+".share", fmt.Sprintf("%d/%d is no share", found.Share.Num, found.Share.Den), "give a share from 0 to 1 in lowest terms")
		}
	}
	if found.PartLength != nil && (*found.PartLength <= 0 || *found.PartLength > amount.MaxLength) {
		f.add(CodeMeasure, path+".partlength", strconv.FormatInt(int64(*found.PartLength), 10)+" nm is no length of a part", "measure the part")
	}
}

// checkPlace checks what does not change the verdict but is kept with it.
func checkPlace(f *faults, path string, found *Finding) {
	if found.X < 0 || found.X > 1000 || found.Y < 0 || found.Y > 1000 {
		f.add(CodeMeasure, path+".x", fmt.Sprintf("%d, %d lies beside the drawing", found.X, found.Y), "give 0 to 1000 each")
	}
	if !slices.Contains([]string{"", "front", "back"}, found.View) {
		f.add(CodeSite, path+".view", "there is no view "+strconv.Quote(found.View), "write front or back")
	}
	if !slices.Contains([]string{"", Likely, Doubtful}, found.Sure) {
		f.add(CodeMeasure, path+".sure", strconv.Quote(found.Sure)+" does not say how sure", "write likely or doubtful, or nothing when sure")
	}
}
