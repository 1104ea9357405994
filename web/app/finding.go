package app

import (
	"maps"
	"slices"
	"strconv"
	"sync"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
	"keelcard/engine/sorting"
	"keelcard/web/words"
)

// Bird is one bird under a book: all that a verdict depends on.
type Bird struct {
	Book     *rulebook.Book
	Setting  grading.Setting
	Findings []grading.Finding
}

// Judged is a book's verdict on a bird. Its findings are numbered as the
// bird's are, from 0.
type Judged struct {
	grading.Verdict
	Err   error // why the book gives no verdict
	Aside []int // findings that the book does not name, or not at that place; they do not count in it
}

// lately holds the last verdicts, the newest last. A page asks for the same
// ones every time it is drawn, and most taps change one of them at most.
var lately struct {
	sync.Mutex
	cases []judgedBird
}

type judgedBird struct {
	bird   Bird
	judged Judged
}

const mostLately = 16

// Judge gives the verdict of the bird's book. It is shared: do not change it,
// nor the bird's findings afterwards.
func (b Bird) Judge() Judged {
	lately.Lock()
	defer lately.Unlock()
	i := slices.IndexFunc(lately.cases, func(c judgedBird) bool { return c.bird.same(b) })
	if i >= 0 {
		return lately.cases[i].judged
	}
	j := b.judge()
	lately.cases = append(lately.cases, judgedBird{b, j})
	lately.cases = lately.cases[max(0, len(lately.cases)-mostLately):]
	return j
}

// same tells whether two birds get the same verdict.
func (b Bird) same(o Bird) bool {
	return b.Book == o.Book && b.Setting.Kind == o.Setting.Kind && b.Setting.Weight == o.Setting.Weight &&
		maps.Equal(b.Setting.Choices, o.Setting.Choices) && slices.EqualFunc(b.Findings, o.Findings, sameFinding)
}

func sameFinding(a, b grading.Finding) bool {
	equal := equalAt(a.Length, b.Length) && equalAt(a.Depth, b.Depth) && equalAt(a.PartLength, b.PartLength) && equalAt(a.Share, b.Share) && equalAt(a.Weight, b.Weight)
	a.Length, a.Depth, a.PartLength, a.Share, a.Weight = b.Length, b.Depth, b.PartLength, b.Share, b.Weight
	return equal && a == b
}

func equalAt[T comparable](a, b *T) bool { return a == b || a != nil && b != nil && *a == *b }

func (b Bird) judge() Judged {
	var j Judged
	var fit []grading.Finding
	var index []int
	for i, f := range b.Findings {
		if own, ok := fitted(b.Book, f); ok {
			fit, index = append(fit, own), append(index, i)
		} else {
			j.Aside = append(j.Aside, i)
		}
	}
	g, err := grader(b.Book)
	if err != nil {
		j.Err = err
		return j
	}
	j.Verdict, j.Err = g.Grade(b.Setting, fit)
	renumber := func(reasons []grading.Reason) {
		for _, r := range reasons {
			for k, i := range r.Findings {
				r.Findings[k] = index[i]
			}
		}
	}
	renumber(j.Set)
	renumber(j.Touched)
	for _, d := range j.Near {
		renumber([]grading.Reason{d.Reason})
	}
	for _, d := range j.Differ {
		renumber(d.Set)
	}
	for k, g := range j.Unmeasured {
		j.Unmeasured[k].Finding = index[g.Finding]
	}
	return j
}

// graders are the books made ready. A page asks for several verdicts each time
// it is drawn, and making a book ready takes longer than grading by it.
var graders sync.Map // *rulebook.Book → *grading.Grader

func grader(b *rulebook.Book) (*grading.Grader, error) {
	if g, ok := graders.Load(b); ok {
		return g.(*grading.Grader), nil
	}
	g, err := grading.Prepare(b)
	if err == nil {
		graders.Store(b, g)
	}
	return g, err
}

// fitted gives a finding with the measures that the book takes of its defect.
// It is not ok when the book has no such defect, or not at that site.
func fitted(b *rulebook.Book, f grading.Finding) (grading.Finding, bool) {
	d, ok := DefectOf(b, f.Defect)
	if !ok || !occurs(b, d, f.Site) {
		return f, false
	}
	if !slices.Contains(d.Measures, rulebook.MeasureLength) {
		f.Length = nil
	}
	if !slices.Contains(d.Measures, rulebook.MeasureDepth) {
		f.Depth = nil
	}
	if !slices.Contains(d.Measures, rulebook.MeasureShare) {
		f.Share, f.PartLength = nil, nil
	}
	if !slices.Contains(d.Measures, rulebook.MeasureWeight) {
		f.Weight = nil
	}
	return f, true
}

// occurs tells whether a defect can be at a site of its book.
func occurs(b *rulebook.Book, d rulebook.Defect, site string) bool {
	return slices.ContainsFunc(b.Sites, func(s rulebook.Site) bool { return s.ID == site }) &&
		(len(d.Sites) == 0 || slices.Contains(d.Sites, site))
}

// DefectOf finds a defect of a book.
func DefectOf(b *rulebook.Book, id string) (rulebook.Defect, bool) {
	i := slices.IndexFunc(b.Defects, func(d rulebook.Defect) bool { return d.ID == id })
	if i < 0 {
		return rulebook.Defect{}, false
	}
	return b.Defects[i], true
}

// DefectsAt lists what a book has for a site, in the book's order.
func DefectsAt(b *rulebook.Book, site string) []rulebook.Defect {
	return slices.DeleteFunc(slices.Clone(b.Defects), func(d rulebook.Defect) bool { return !occurs(b, d, site) })
}

// The fields of a finding that hold an amount.
const (
	FieldLength = "length" // longest dimension
	FieldDepth  = "depth"
	FieldShare  = "share"  // of the part
	FieldPart   = "part"   // how long the part is, for a share from two lengths
	FieldWeight = "weight" // of the item
	FieldWarmth = "warmth" // its temperature, which is noted
)

// Steps of the − and + buttons.
const (
	LengthStep = amount.Inch / 16
	DepthStep  = amount.Inch / 32
)

// longest is the longest fault that the buttons give.
const longest = 40 * amount.Inch

// Finder is the editor of the findings on a bird: a drawing to tap, a list of
// what it can be, and how much of it there is.
type Finder struct {
	View  string // the way it is shown, see Views
	Site  string // a place that was tapped and has no name yet, "" for none
	X, Y  int    // where on the drawing
	Open  int    // the finding that is being measured, counted from 1; 0 for none
	Why   bool   // the reasons of the verdict are open
	Fault Fault
}

// Fault is a typed amount that could not be read.
type Fault struct {
	Field string // "" for none
	Text  string // as it was typed
	What  string // what is wrong with it, and what to do
}

// The faces of the finder, one at a time on a narrow screen.
const (
	FaceBird = "bird" // where is it
	FaceWhat = "what" // what is it
	FaceMuch = "much" // how much
	FaceWhy  = "why"  // why this grade
)

// Face is the step that is open.
func (f Finder) Face() string {
	switch {
	case f.Site != "":
		return FaceWhat
	case f.Open > 0:
		return FaceMuch
	case f.Why:
		return FaceWhy
	}
	return FaceBird
}

// finderPage is a page with a finder on it. The names of its actions begin
// with the name of the page.
type finderPage struct {
	name string
	bird func(*State) (Bird, *Finder, error)
	// keep takes the findings as they are after a change, and asks for them to
	// be kept. Changes with the same tag in a row are one step to take back.
	keep func(s *State, m Msg, findings []grading.Finding, tag string) ([]Effect, error)
}

// edit is one message to a finder.
type edit struct {
	finderPage
	s    *State
	m    Msg
	bird Bird
	f    *Finder
}

func (p finderPage) handlers() handlers {
	out := handlers{}
	for name, run := range map[string]func(*edit) []Effect{
		"view": (*edit).view, "site": (*edit).site, "defect": (*edit).defect, "leave": (*edit).leave,
		"finding": (*edit).finding, "remove": (*edit).remove, "why": (*edit).why,
		"step": (*edit).step, "set": (*edit).set, "type": (*edit).set, "clear": (*edit).clear,
		"count": (*edit).count, "sure": (*edit).sure, "note": (*edit).note, "look": (*edit).look,
	} {
		out[p.name+"."+name] = func(s *State, m Msg) []Effect {
			e, err := p.begin(s, m)
			if err != nil {
				return s.refuse(err)
			}
			return run(e)
		}
	}
	return out
}

func (p finderPage) begin(s *State, m Msg) (*edit, error) {
	bird, f, err := p.bird(s)
	if err != nil {
		return nil, err
	}
	if f.Open > len(bird.Findings) {
		f.Open = 0
	}
	return &edit{p, s, m, bird, f}, nil
}

// keyPressed does what a key of the keyboard stands for in a finder.
func (p finderPage) keyPressed(s *State, m Msg) ([]Effect, bool) {
	e, err := p.begin(s, m)
	if err != nil {
		return nil, false
	}
	switch m.Arg(0) {
	case "f":
		views := Views(e.bird.Book)
		if len(views) == 0 {
			return nil, true
		}
		next := slices.Index(views, e.f.Shown(e.bird)) + 1
		e.m.Args = []string{views[next%len(views)]}
		return e.view(), true
	case "w":
		return e.why(), true
	case "Escape":
		return e.leave(), true
	case "+", "-":
		steps := map[string]string{"+": "1", "-": "-1"}[m.Arg(0)]
		d, ok := DefectOf(e.bird.Book, e.measured().Defect)
		switch {
		case !ok:
			return nil, true
		case slices.Contains(d.Measures, rulebook.MeasureLength):
			e.m.Args = []string{FieldLength, steps}
		case slices.Contains(d.Measures, rulebook.MeasureDepth):
			e.m.Args = []string{FieldDepth, steps}
		default:
			e.m.Args = []string{steps}
			return e.count(), true
		}
		return e.step(), true
	}
	return nil, false
}

// measured is the finding that is open, or what the drawing always measures.
func (e *edit) measured() grading.Finding {
	if e.f.Open > 0 {
		return e.bird.Findings[e.f.Open-1]
	}
	return gauged[Drawing(e.bird.Book)]
}

// view turns the bird round, or shows another way of what lies there.
func (e *edit) view() []Effect {
	if slices.Contains(Views(e.bird.Book), e.m.Arg(0)) {
		e.f.View = e.m.Arg(0)
	}
	return nil
}

// site takes the place that was tapped and asks what is there.
func (e *edit) site() []Effect {
	site := e.m.Arg(0)
	if !slices.ContainsFunc(e.bird.Book.Sites, func(s rulebook.Site) bool { return s.ID == site }) {
		return nil
	}
	e.f.Site, e.f.X, e.f.Y = site, min(max(e.m.X, 0), 1000), min(max(e.m.Y, 0), 1000)
	e.f.Open, e.f.Why, e.f.Fault = 0, false, Fault{}
	return e.faced()
}

// faced brings the step that was just opened into sight, and the keyboard to it.
func (e *edit) faced() []Effect {
	return []Effect{Top{}, Focus{ID: e.f.Face() + "-h"}}
}

// defect names what is at the place that was tapped.
func (e *edit) defect() []Effect {
	found := grading.Finding{Site: e.m.Arg(0), Defect: e.m.Arg(1)}
	d, ok := DefectOf(e.bird.Book, found.Defect)
	if !ok || !occurs(e.bird.Book, d, found.Site) {
		return nil
	}
	if e.f.Site != "" {
		found.X, found.Y = e.f.X, e.f.Y
		if Drawing(e.bird.Book) == rulebook.DrawBird {
			found.View = e.f.Shown(e.bird)
		}
	}
	if at, ok := e.bird.Gauge(); ok && at >= 0 && e.bird.Findings[at].Defect == found.Defect {
		e.m.Args = []string{strconv.Itoa(at + 1)}
		return e.finding()
	}
	findings := append(e.instead(found.Defect), found)
	effects, ok := e.kept(findings, "")
	if ok {
		e.f.Site, e.f.Open, e.f.Why, e.f.Fault = "", len(findings), false, Fault{}
		effects = append(effects, e.faced()...)
	}
	return effects
}

// kept hands changed findings over. Nothing has changed when it is not ok.
func (e *edit) kept(findings []grading.Finding, tag string) ([]Effect, bool) {
	effects, err := e.keep(e.s, e.m, findings, tag)
	if err != nil {
		return e.s.refuse(err), false
	}
	e.s.Notice = Notice{}
	return effects, true
}

// leave goes back to the bird.
func (e *edit) leave() []Effect {
	e.f.Site, e.f.Open, e.f.Why, e.f.Fault = "", 0, false, Fault{}
	return e.faced()
}

// number reads an argument, 0 when it is none.
func (e *edit) number(i int) int {
	n, err := strconv.Atoi(e.m.Arg(i))
	if err != nil {
		return 0
	}
	return n
}

// finding opens a finding to measure or change it.
func (e *edit) finding() []Effect {
	n := e.number(0)
	if n < 1 || n > len(e.bird.Findings) {
		return nil
	}
	e.f.Site, e.f.Open, e.f.Why, e.f.Fault = "", n, false, Fault{}
	if v := e.bird.Findings[n-1].View; v != "" {
		e.f.View = v
	}
	return e.faced()
}

// remove takes a finding away.
func (e *edit) remove() []Effect {
	n := e.number(0)
	if n < 1 || n > len(e.bird.Findings) {
		return nil
	}
	effects, ok := e.kept(slices.Delete(slices.Clone(e.bird.Findings), n-1, n), "")
	if ok {
		effects = append(effects, e.leave()...)
	}
	return effects
}

// why opens the reasons of the verdict, or closes them.
func (e *edit) why() []Effect {
	open := e.f.Face() != FaceWhy
	e.f.Site, e.f.Open, e.f.Why, e.f.Fault = "", 0, open, Fault{}
	return e.faced()
}

// change changes the open finding, or what the drawing always measures.
func (e *edit) change(field string, how func(*grading.Finding)) []Effect {
	findings, at := slices.Clone(e.bird.Findings), e.f.Open-1
	if at < 0 {
		if findings, at = e.gauge(findings, field); at < 0 {
			return nil
		}
	}
	how(&findings[at])
	if e.f.Open == 0 && blank(findings[at]) {
		findings = slices.Delete(findings, at, at+1)
	}
	effects, ok := e.kept(findings, field+"/"+strconv.Itoa(at+1))
	if ok {
		e.f.Fault = Fault{}
	}
	return effects
}

// step makes a length longer or shorter by steps of its − and + buttons.
func (e *edit) step() []Effect {
	field, steps := e.m.Arg(0), e.number(1)
	defect := e.measured().Defect
	if steps < -100 || steps > 100 || steps == 0 {
		return nil
	}
	return e.change(field, func(f *grading.Finding) {
		if at := lengthOf(f, field); at != nil {
			next := usual(defect)
			if *at != nil || next == 0 {
				next = stepped(*at, StepOf(defect, field), steps)
			}
			*at = &next
			e.eitherWay(f, field)
		}
	})
}

// eitherWay drops the share of a shell when a width was told, and the other way
// round: one of them is what was seen.
func (e *edit) eitherWay(f *grading.Finding, field string) {
	switch {
	case !e.bird.covers(f.Defect):
	case field == FieldLength:
		f.Share = nil
	case field == FieldShare:
		f.Length = nil
	}
}

// lengthOf finds the field of a finding that holds a length.
func lengthOf(f *grading.Finding, field string) **amount.Length {
	switch field {
	case FieldLength:
		return &f.Length
	case FieldDepth:
		return &f.Depth
	case FieldPart:
		return &f.PartLength
	}
	return nil
}

// stepped moves a length to the next multiple of a step, one step at the least.
func stepped(at *amount.Length, size amount.Length, steps int) amount.Length {
	var l amount.Length
	if at != nil {
		l = *at
	}
	n := l / size
	if steps < 0 && l%size != 0 {
		n++
	}
	return min(max(n+amount.Length(steps), 1), longest/size) * size
}

// set takes an amount that was tapped, or typed.
func (e *edit) set() []Effect {
	field, text := e.m.Arg(0), e.m.Arg(1)
	typed := len(e.m.Args) < 2
	if typed {
		text = e.m.Text
	}
	if text == "" {
		return e.clear()
	}
	put, err := readField(field, withUnit(text, unitOf(e.measured().Defect, field)))
	if err != nil {
		e.f.Fault = faultOf(field, text, err)
		return nil
	}
	return e.change(field, func(f *grading.Finding) {
		put(f)
		e.eitherWay(f, field)
	})
}

func faultOf(field, text string, err error) Fault {
	n := noticeOf(err)
	if n.Fix != "" {
		n.Text = words.T("finding.fault", n.Text, n.Fix)
	}
	return Fault{Field: field, Text: text, What: n.Text}
}

// readField reads an amount for a field and gives what puts it there.
func readField(field, text string) (func(*grading.Finding), error) {
	if field == FieldShare {
		share, err := amount.ParseShare(text)
		return func(f *grading.Finding) { f.Share, f.PartLength = &share, nil }, err
	}
	if field == FieldWeight {
		weight, err := amount.ParseWeight(text)
		if err == nil && weight == 0 {
			err = engine.New("app.finding-none", "", words.T("finding.none"), words.T("finding.none-fix"))
		}
		return func(f *grading.Finding) { f.Weight = &weight }, err
	}
	if field == FieldWarmth {
		var err error
		if _, ok := readWarmth(text); !ok {
			err = engine.New("app.finding-warmth", "", words.T("finding.no-warmth"), words.T("finding.no-warmth-fix"))
		}
		return func(f *grading.Finding) { f.Note = warmthText(text) }, err
	}
	l, err := amount.ParseLength(text)
	if err == nil && l == 0 {
		err = engine.New("app.finding-none", "", words.T("finding.none"), words.T("finding.none-fix"))
	}
	return func(f *grading.Finding) {
		if at := lengthOf(f, field); at != nil {
			*at = &l
		}
		if field == FieldPart {
			f.Share = nil
		}
	}, err
}

// clear takes an amount away: it is not measured.
func (e *edit) clear() []Effect {
	field := e.m.Arg(0)
	return e.change(field, func(f *grading.Finding) {
		switch field {
		case FieldShare:
			f.Share, f.PartLength = nil, nil
		case FieldWeight:
			f.Weight = nil
		case FieldWarmth:
			f.Note = ""
		}
		if at := lengthOf(f, field); at != nil {
			*at = nil
		}
	})
}

// count makes more or fewer of a finding.
func (e *edit) count() []Effect {
	more := e.number(0)
	if more < -grading.MaxCount || more > grading.MaxCount {
		return nil
	}
	return e.change("count", func(f *grading.Finding) {
		n := min(max(max(f.Count, 1)+more, 1), mostAlike)
		if f.Count = n; n == 1 {
			f.Count = 0
		}
	})
}

// mostAlike is the most of one finding that can be told by tapping.
const mostAlike = 50

// sure says how sure a finding is.
func (e *edit) sure() []Effect {
	how := e.m.Arg(0)
	if how != "" && how != grading.Likely && how != grading.Doubtful {
		return nil
	}
	return e.change("sure", func(f *grading.Finding) { f.Sure = how })
}

// note puts a few words to a finding.
func (e *edit) note() []Effect {
	if n := len([]rune(e.m.Text)); n > mostNote {
		e.f.Fault = Fault{Field: "note", Text: e.m.Text, What: words.T("finding.note-long", n, mostNote)}
		return nil
	}
	return e.change("note", func(f *grading.Finding) { f.Note = e.m.Text })
}

// mostNote is the longest note on a finding, in letters.
const mostNote = 200

// WeightGroup is a range of weights that a book's limits know apart.
type WeightGroup struct {
	Over, To amount.Weight // To is 0 where there is no upper end
	Typical  amount.Weight // a weight in the range
	Name     string        // "" where it has none
}

// Holds tells whether a weight is in the group.
func (g WeightGroup) Holds(w amount.Weight) bool { return w > g.Over && (g.To == 0 || w <= g.To) }

// WeightGroups lists the ranges of weights that a book judges for a kind of
// bird, lightest first; none when the weight does not matter.
func WeightGroups(b *rulebook.Book, s grading.Setting) []WeightGroup {
	if Drawing(b) == rulebook.DrawShell {
		return eggGroups()
	}
	var ends []amount.Weight
	for _, l := range b.Limits {
		if len(l.Kinds) == 0 || slices.Contains(l.Kinds, s.Kind) {
			ends = append(ends, l.Over, l.To)
		}
	}
	sorting.Ascending(ends)
	ends = slices.Compact(ends)
	if len(ends) < 2 {
		return nil
	}
	var out []WeightGroup
	for i, over := range ends {
		g := WeightGroup{Over: over, Typical: over + amount.Pound}
		if i+1 < len(ends) {
			g.To = ends[i+1]
			g.Typical = (over + g.To) / 2
		}
		if judges(b, s, g.Typical) {
			out = append(out, g)
		}
	}
	return out
}

// judges tells whether a book judges a bird of a weight.
func judges(b *rulebook.Book, s grading.Setting, weight amount.Weight) bool {
	if len(b.Weights) == 0 {
		return true
	}
	resolved, err := b.Resolve(s.Choices)
	return err == nil && slices.ContainsFunc(b.Weights, func(w rulebook.WeightRange) bool {
		return WeightGroup{Over: w.Over, To: w.To}.Holds(weight) &&
			(len(w.Kinds) == 0 || slices.Contains(w.Kinds, s.Kind)) && rulebook.Holds(w.When, resolved)
	})
}

// Reads tells whether some limit of a book depends on a measure of a defect.
func Reads(b *rulebook.Book, defect, measure string) bool {
	return slices.ContainsFunc(b.Factors, func(f rulebook.Factor) bool {
		return f.Reads(measure) && slices.Contains(f.Defects, defect)
	})
}

// Counts tells whether a defect counts at all in a book.
func Counts(b *rulebook.Book, defect string) bool {
	return slices.ContainsFunc(b.Factors, func(f rulebook.Factor) bool { return slices.Contains(f.Defects, defect) })
}

// LimitFor gives the limit that a measure of one finding comes up against, as
// if the finding were alone: the one it breaks, else the next it would break.
func (b Bird) LimitFor(i int, field string) (rulebook.Limit, bool) {
	f := b.Findings[i]
	if at := lengthOf(&f, field); at != nil && *at == nil {
		least := LengthStep
		*at = &least
	} else if _, told := grading.Share(f); field == FieldShare && !told {
		f.Share = &amount.Share{Num: 1, Den: 100}
	}
	j := Bird{b.Book, b.Setting, []grading.Finding{f}}.Judge()
	for _, better := range []bool{true, false} {
		for _, d := range j.Near {
			if d.Better == better && b.measureOf(d.Factor) == field {
				return d.Limit, true
			}
		}
	}
	return rulebook.Limit{}, false
}

// measureOf is what a factor of the book reads of a finding.
func (b Bird) measureOf(factor string) string {
	for _, f := range b.Book.Factors {
		if f.ID == factor {
			return f.Measure()
		}
	}
	return ""
}
