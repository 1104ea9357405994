package view

import (
	"slices"
	"strings"

	"keelcard/engine/amount"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
	"keelcard/web/figure"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// bench is the editor of the findings on a bird, as a page shows it.
type bench struct {
	page   string // the page's name, with which its actions begin
	bird   app.Bird
	judged app.Judged
	finder app.Finder
	closed bool   // only to be looked at
	title  string // of the bird; "" asks where the fault is
	lead   m.Part // under the title
	book   string // address of the page of its book
}

func (b bench) do(name string, args ...string) string {
	return app.Action(b.page+"."+name, args...)
}

// face is a step of the editor. On a narrow screen one shows at a time; the
// keyboard goes to its heading when it opens.
func face(id, heading string, items ...m.Part) m.Node {
	return m.El("section", m.ID(id), m.Class("card", "face-"+id), m.Attr("aria-labelledby", id+"-h"),
		m.El("h2", m.ID(id+"-h"), m.Attr("tabindex", "-1"), m.Text(heading)),
		m.Group(items...))
}

// A stage is how the findings of a book are put on a drawing.
type stage struct {
	draw  func(bench, figure.Options) m.Part
	gauge func(bench, grading.Finding) m.Part // what is always measured, nil for nothing
}

// stages finds the stage of a drawing by its name.
var stages = map[string]stage{
	rulebook.DrawBird:   {drawBird, nil},
	rulebook.DrawPart:   {drawPart, nil},
	rulebook.DrawShell:  {drawShell, nil},
	rulebook.DrawLight:  {drawLight, gaugeCell},
	rulebook.DrawOpened: {drawOpened, gaugeWhite},
	rulebook.DrawPiece:  {drawPiece, nil},
	rulebook.DrawCarton: {drawCarton, nil},
}

func drawBird(b bench, o figure.Options) m.Part {
	o.Missing = missing(b.bird.Findings)
	return figure.Bird(figure.View(b.finder.Shown(b.bird)), o)
}

// drawing is the bird to tap, or what else is graded, with what was found on it.
func (b bench) drawing() m.Node {
	of, shown := app.Drawing(b.bird.Book), b.finder.Shown(b.bird)
	tab := func(view string) parts.Choice {
		label := words.T("finding.view-" + view)
		if n := b.pinned(view); n > 0 {
			label = words.T("finding.view-with", label, n)
		}
		return parts.Choice{Label: label, Do: b.do("view", view), On: shown == view}
	}
	return m.El("section", m.ID("bird"), m.Class("face-bird"), m.Attr("aria-labelledby", "bird-h"),
		m.El("h2", m.ID("bird-h"), m.Attr("tabindex", "-1"), m.Text(or(b.title, words.T("finding.where-"+of)))),
		m.If(of == rulebook.DrawBird || of == rulebook.DrawPiece, parts.Tabs(words.T("finding.views-"+of), each(app.Views(b.bird.Book), tab)...)),
		b.lead,
		b.kinds(),
		stages[of].draw(b, b.options(shown)))
}

func each[T any](list []string, of func(string) T) []T {
	out := make([]T, len(list))
	for i, s := range list {
		out[i] = of(s)
	}
	return out
}

// kinds asks which part or product lies there, since the drawing hangs on it.
func (b bench) kinds() m.Part {
	of, book, do := app.Drawing(b.bird.Book), b.bird.Book, "kind"
	if of != rulebook.DrawPart && of != rulebook.DrawPiece {
		return m.Group()
	}
	now := b.bird.Setting.Kind
	if of == rulebook.DrawPart && app.Views(book) != nil { // the kinds are birds, and any part of them can be drawn
		book, do, now = app.PartsBook(), "view", b.finder.Shown(b.bird)
	}
	return m.El("div", m.ID("kinds"), m.Class("chips"), m.Attr("role", "group"), m.Attr("aria-label", words.T("call.kind-"+of)),
		m.Each(book.Kinds, func(_ int, k rulebook.Bird) m.Part {
			opts := []parts.Opt{parts.Pressed(k.ID == now)}
			if b.closed && do == "kind" {
				opts = append(opts, parts.Disabled)
			}
			return parts.Button(app.Capital(k.Name), b.do(do, k.ID), opts...)
		}))
}

// pinned counts the findings that show in a view.
func (b bench) pinned(view string) int {
	n := 0
	for _, f := range b.bird.Findings {
		if f.View == view {
			n++
		}
	}
	return n
}

func (b bench) options(shown string) figure.Options {
	o := figure.Options{
		Label:  func(site string) string { return app.SiteName(b.bird.Book, site) },
		Title:  words.T("finding.drawing-" + app.Drawing(b.bird.Book)),
		Desc:   b.told(),
		Static: b.closed,
	}
	bird := app.Drawing(b.bird.Book) == rulebook.DrawBird
	if bird {
		o.Title = words.T("finding.drawing-" + shown)
	}
	for _, s := range b.bird.Book.Sites {
		o.Sites = append(o.Sites, s.ID)
	}
	if !b.closed {
		o.Do = func(site string) string { return b.do("site", site) }
	}
	var index []int
	for i, f := range b.bird.Findings {
		if label, there := b.marked(i, shown); there {
			o.Marks = append(o.Marks, figure.Mark{Site: f.Site, X: f.X, Y: f.Y, Label: label, Kind: sign(f.Defect), Width: b.width(f)})
			index = append(index, i)
		}
	}
	o.Pin = func(i int) (string, string) {
		f := b.bird.Findings[index[i]]
		return b.do("finding", itoa(index[i]+1)), words.T("finding.change-says", index[i]+1, app.FindingText(b.bird.Book, f))
	}
	switch {
	case b.finder.Site != "":
		o.Selected = b.finder.Site
	case b.finder.Open > 0 && b.finder.Open <= len(b.bird.Findings):
		if f := b.bird.Findings[b.finder.Open-1]; !bird || f.View == shown {
			o.Selected = f.Site
		}
	}
	return o
}

// marked tells whether a finding is marked on the drawing as it is shown, and
// what stands on its pin, "" for none. What the drawing itself shows has none.
func (b bench) marked(i int, shown string) (label string, there bool) {
	f, of := b.bird.Findings[i], app.Drawing(b.bird.Book)
	if of == rulebook.DrawBird {
		return itoa(i + 1), f.View == "" || f.View == shown
	}
	if at, ok := b.bird.Gauge(); ok && at == i {
		return "", false
	}
	look := slices.ContainsFunc(app.Aspects(b.bird.Book), func(a app.Aspect) bool { return slices.Contains(a.Looks, f.Defect) })
	switch {
	case look && f.X == 0 && f.Y == 0:
		return "", sign(f.Defect) == "check"
	case of == rulebook.DrawCarton: // the eggs have numbers
		return "", true
	}
	return itoa(i + 1), true
}

// width is how wide a finding is drawn where a drawing is to scale.
func (b bench) width(f grading.Finding) amount.Length {
	share, ok := b.bird.Covered(f)
	if f.Share != nil {
		share, ok = *f.Share, app.Drawing(b.bird.Book) == rulebook.DrawShell
	}
	switch {
	case ok:
		return b.bird.SpotWidth(share)
	case f.Length != nil:
		return *f.Length
	}
	return 0
}

// told lists the findings in words, the twin of the pins.
func (b bench) told() string {
	lines := make([]string, len(b.bird.Findings))
	for i, f := range b.bird.Findings {
		lines[i] = words.T("finding.line", i+1, app.FindingText(b.bird.Book, f))
	}
	if len(lines) == 0 {
		return words.T("finding.none-yet")
	}
	return strings.Join(lines, " ")
}

// signs are the shapes by which faults are drawn.
var signs = map[string]string{
	"cut": "cut", "tear": "cut", "bare-flesh": "bare", "opening-cut": "cut",
	"meat-torn": "cut", "meat-trimmed": "trim", "meat-cut-away": "trim", "major-loss": "trim",
	"trim-slight": "trim", "trim-moderate": "trim", "trim-yield": "trim", "trim-severe": "trim",
	"disjoint": "disjoint", "break-covered": "break", "break-protruding": "break",
	"tail-cut": "trim", "tail-cut-wide": "trim", "back-beyond-hips": "trim",
	"wing-tip-off": "missing", "wing-half-off": "missing", "wing-off": "missing",
	"tail-off": "missing", "leg-off": "missing", "back-half-off": "missing",
	"skin-trimmed": "trim", "yield-lost": "trim", "hip-out": "disjoint", "break": "break", "muscle-torn": "cut", "muscle-cut": "trim",
	"stain-slight": "stain", "stain-moderate": "stain", "stain-scattered": "stains", "stain-prominent": "stain", "adhering": "dirt", "speck": "dirt",
	"deposit": "deposit", "deposit-large": "deposit", "calcium": "deposit", "check": "check", "leaker": "check", "spot": "blood", "bare-spot": "void",
}

func sign(defect string) string { return signs[defect] }

// missing lists what the drawing leaves out because it is gone.
func missing(findings []grading.Finding) []string {
	var out []string
	for _, f := range findings {
		switch f.Defect {
		case "wing-tip-off":
			out = append(out, f.Site+"-tip")
		case "wing-half-off":
			out = append(out, f.Site+"-tip", f.Site+"-flat")
		case "wing-off", "tail-off", "leg-off":
			out = append(out, f.Site)
		case "tail-cut", "tail-cut-wide":
			out = append(out, "tail")
		}
	}
	return out
}

// seen is what was found, and what is asked beside the drawing: that first where
// the drawing has a gauge. On a wide screen it stands beside the drawing.
func (b bench) seen() (under, beside m.Part) {
	if _, gauged := b.bird.Gauge(); gauged {
		return m.Group(), m.Group(b.beside(), b.found())
	}
	return b.found(), b.beside()
}

// found lists what was found, each line to be opened.
func (b bench) found() m.Part {
	if len(b.bird.Findings) == 0 {
		return m.Group()
	}
	rows := make([]parts.Row, len(b.bird.Findings))
	for i, f := range b.bird.Findings {
		rows[i] = parts.Row{Lead: itoa(i + 1), Title: app.DefectName(b.bird.Book, f.Defect),
			Sub: b.foundSub(i), On: b.finder.Open == i+1, ID: "found-" + itoa(i+1)}
		if !b.closed {
			rows[i].Do = b.do("finding", itoa(i+1))
		}
	}
	return m.El("section", m.ID("found"), m.Class("card", "at-bird"), m.Attr("aria-labelledby", "found-h"),
		m.El("h2", m.ID("found-h"), m.Text(words.T("finding.found"))),
		parts.List(words.T("finding.found"), rows...))
}

// foundSub says where a finding is, how much there is of it, and what is
// lacking.
func (b bench) foundSub(i int) string {
	f := b.bird.Findings[i]
	text := app.SiteName(b.bird.Book, f.Site)
	if t := app.MeasuresText(b.bird.Book, f); t != "" {
		text = words.T("verdict.and", text, t)
	}
	switch {
	case slices.Contains(b.judged.Aside, i):
		text = words.T("verdict.and", text, words.T("finding.aside"))
	case !app.Counts(b.bird.Book, f.Defect):
		text = words.T("verdict.and", text, words.T("finding.idle"))
	case slices.ContainsFunc(b.judged.Unmeasured, func(g grading.Gap) bool { return g.Finding == i }):
		text = words.T("verdict.and", text, words.T("finding.unmeasured"))
	}
	if f.Sure != "" {
		text = words.T("verdict.and", text, words.T("finding.sure-"+f.Sure))
	}
	return text
}

// step is the open step of the editor: what is it, or how much.
func (b bench) step() m.Part {
	switch f := b.finder; {
	case b.closed:
	case f.Site != "":
		return b.what()
	case f.Open > 0 && f.Open <= len(b.bird.Findings):
		return b.much(f.Open - 1)
	}
	return m.Group()
}

// groups are the kinds of faults in the order in which they are offered.
var groups = []string{"skin", "meat", "bones", "gone", "body", "look", "stain", "sound", "shape", "cell", "white", "yolk", "spots", "unfit", "other"}

var groupOf = map[string]string{
	"cut": "skin", "tear": "skin", "bare-flesh": "skin", "opening-cut": "skin",
	"meat-torn": "meat", "meat-trimmed": "meat", "meat-cut-away": "meat", "major-loss": "meat",
	"trim-slight": "meat", "trim-moderate": "meat", "trim-yield": "meat", "trim-severe": "meat",
	"disjoint": "bones", "break-covered": "bones", "break-protruding": "bones",
	"wing-tip-off": "gone", "wing-half-off": "gone", "wing-off": "gone", "tail-off": "gone", "tail-cut": "gone",
	"tail-cut-wide": "gone", "back-beyond-hips": "gone", "leg-off": "gone", "back-half-off": "gone",
	"keel-dent": "body", "keel-moderate": "body", "keel-serious": "body", "back-moderate": "body", "back-serious": "body",
	"limb-moderate": "body", "limb-serious": "body", "flesh-moderate": "body", "flesh-poor": "body", "fat-moderate": "body", "fat-lacking": "body",
	"feather": "look", "discolor-light": "look", "discolor-moderate": "look", "bruise": "look", "bruise-clots": "look", "unfit": "look",
	"freeze-darkening": "look", "freeze-dull": "look", "pockmark": "look", "pockmarks-many": "look", "dried-spot": "look",
	"wings-joint-both": "gone", "keel-slight": "body", "back-slight": "body", "bruise-dark": "look", "follicles-red": "look", "ice-clear": "look",
	"skin-trimmed": "skin", "skin-uneven": "skin", "yield-lost": "meat", "muscle-torn": "meat", "muscle-cut": "meat", "hip-out": "bones", "break": "bones", "bone-left": "bones",
	"bruise-breast-leg": "look", "abrasion": "look", "shape-moderate": "body", "shape-serious": "body",
	"stain-slight": "stain", "stain-moderate": "stain", "stain-scattered": "stain", "stain-prominent": "stain", "adhering": "stain", "speck": "stain",
	"body-check": "sound", "check": "sound", "leaker": "sound",
	"shape-unusual": "shape", "irregular-shape": "shape", "ridges": "shape", "ridges-pronounced": "shape", "rough": "shape", "deposit": "shape", "deposit-large": "shape", "calcium": "shape", "thin-spot": "shape",
	"air-cell": "cell", "white": "white", "white-fair": "white", "white-weak": "white", "white-flat": "white",
	"yolk-fair": "yolk", "yolk-plain": "yolk", "yolk-flat": "yolk", "germ-visible": "yolk", "yolk-serious": "yolk",
	"spot": "spots", "blood-spread": "spots", "blood-ring": "spots", "stuck-yolk": "unfit", "green-white": "unfit", "rotten": "unfit", "embryo": "unfit", "spoiled": "unfit",
}

// beside are the sites that lie so near that a tap may have meant them.
var beside = map[string][]string{
	"breast": {"keel"}, "keel": {"breast"},
	"hip-left": {"thigh-left", "back"}, "hip-right": {"thigh-right", "back"},
	"thigh-left": {"drumstick-left"}, "thigh-right": {"drumstick-right"},
	"drumstick-left": {"thigh-left"}, "drumstick-right": {"thigh-right"},
	"tail": {"back"}, "back": {"tail"}, "vent": {"breast"}, "neck": {"breast"},
}

// fewDefects is how many a small site has at the most: what lies beside it is
// then shown at once, since the tap may well have meant it.
const fewDefects = 5

// what asks what is at the place that was tapped: only what the book has for it.
func (b bench) what() m.Node {
	site := b.finder.Site
	few := len(app.DefectsAt(b.bird.Book, site)) <= fewDefects
	var near []m.Part
	for _, other := range beside[site] {
		heading := words.T("finding.or-at", app.SiteName(b.bird.Book, other))
		switch {
		case len(app.DefectsAt(b.bird.Book, other)) == 0:
		case few:
			near = append(near, m.El("h3", m.Text(heading)), b.offer(other))
		default:
			near = append(near, parts.Why("near-"+other, heading, nil, b.offer(other)))
		}
	}
	heading := words.T("finding.what", b.at(site))
	if of := app.Drawing(b.bird.Book); of != rulebook.DrawBird && of != rulebook.DrawPart {
		heading = words.T("finding.what-egg", app.Capital(app.SiteName(b.bird.Book, site)))
	}
	return face("what", heading,
		b.offer(site), m.Group(near...))
}

// at names a site behind "the".
func (b bench) at(site string) string {
	return strings.TrimPrefix(app.SiteName(b.bird.Book, site), "the ")
}

// offer lists the defects of a site by kind, those that do not count folded
// away at the end.
func (b bench) offer(site string) m.Part {
	byGroup := map[string][]parts.Choice{}
	var idle []parts.Choice
	for _, d := range app.DefectsAt(b.bird.Book, site) {
		c := parts.Choice{Label: d.Name, Sub: d.Meaning, Do: b.do("defect", site, d.ID)}
		if !app.Counts(b.bird.Book, d.ID) {
			idle = append(idle, c)
			continue
		}
		g := or(groupOf[d.ID], "other")
		byGroup[g] = append(byGroup[g], c)
	}
	return m.Group(
		m.Each(groups, func(_ int, g string) m.Part {
			return m.If(len(byGroup[g]) > 0, m.El("div", m.Class("offered"), parts.Choices(words.T("finding.group-"+g), true, byGroup[g]...)))
		}),
		m.If(len(idle) > 0, parts.Why("idle-"+site, words.T("finding.group-idle"), nil, m.El("div", m.Class("offered"), parts.Choices("", true, idle...)))))
}

// much asks how much there is of a finding.
func (b bench) much(i int) m.Node {
	f := b.bird.Findings[i]
	d, known := app.DefectOf(b.bird.Book, f.Defect)
	items := []m.Part{parts.Para(words.T("finding.at", b.at(f.Site)), "soft")}
	switch {
	case slices.Contains(b.judged.Aside, i):
		items = append(items, parts.Notice(parts.Info, words.T("finding.aside-why", b.bird.Book.Title)))
	case !app.Counts(b.bird.Book, f.Defect):
		items = append(items, parts.Notice(parts.Info, words.T("finding.idle-why", b.bird.Book.Title)))
	}
	if known && d.Caution != "" {
		items = append(items, parts.Notice(parts.Caution, d.Caution))
	}
	gauge := stages[app.Drawing(b.bird.Book)].gauge
	if at, ok := b.bird.Gauge(); ok && at == i && gauge != nil {
		items = append(items, gauge(b, f))
	} else if known {
		items = append(items, b.measures(i, d)...)
	}
	items = append(items, b.more(f))
	return face("much", words.T("finding.numbered", i+1, app.DefectName(b.bird.Book, f.Defect)), items...)
}

// measures are the amounts of a defect, those that a limit reads first.
func (b bench) measures(i int, d rulebook.Defect) []m.Part {
	f := b.bird.Findings[i]
	has := func(measure string) bool { return slices.Contains(d.Measures, measure) }
	read := func(measure string) bool { return has(measure) && app.Reads(b.bird.Book, d.ID, measure) }
	var out []m.Part
	if read(rulebook.MeasureLength) || has(rulebook.MeasureLength) && !has(rulebook.MeasureShare) {
		out = append(out, b.length(i))
	}
	if read(rulebook.MeasureDepth) {
		out = append(out, b.depth(i))
	}
	if read(rulebook.MeasureShare) {
		out = append(out, b.share(i, !read(rulebook.MeasureLength)))
	}
	if has(rulebook.MeasureCount) {
		out = append(out, b.count(f))
	}
	if len(out) == 0 {
		out = append(out, parts.Para(words.T("finding.no-measure")))
	}
	return out
}

func measure(id, heading string, items ...m.Part) m.Node {
	return m.El("section", m.ID(id), m.Class("measure"), m.Attr("aria-labelledby", id+"-h"),
		m.El("h3", m.ID(id+"-h"), m.Text(heading)), m.Group(items...))
}

// stepper makes a value smaller or larger by taps.
func stepper(value, sub string, less, more, lessSays, moreSays string) m.Node {
	return m.El("div", m.Class("stepper"),
		parts.Button("−", less, parts.Big, parts.Says(lessSays)),
		m.El("output", m.ID(parts.IDOf(more)+"-of"), m.Class("stepper-value"), m.El("span", m.Class("stepper-main"), m.Text(value)), m.If(sub != "", m.El("span", m.Class("stepper-sub"), m.Text(sub)))),
		parts.Button("+", more, parts.Big, parts.Says(moreSays)))
}

// steps is the stepper of a length of a defect.
func (b bench) steps(defect, field, main, sub string) m.Node {
	step := app.LengthText(app.StepOf(defect, field))
	return stepper(main, sub, b.do("step", field, "-1"), b.do("step", field, "1"), words.T("finding.shorter", step), words.T("finding.longer", step))
}

// jumpsOf are the lengths of a defect that lie about its limits.
func jumpsOf(defect string) []string {
	switch defect {
	case "stain-moderate", "stain-scattered":
		return []string{"8 mm", "12 mm", "17 mm", "24 mm"}
	case "spot", "deposit":
		return []string{"1/16 in", "1/8 in", "3/16 in", "1/4 in"}
	case "speck":
		return []string{"0.5 mm", "0.9 mm", "1 mm", "2 mm"}
	case "bare-spot":
		return []string{"1/4 in", "3/8 in", "1/2 in", "1 in"}
	}
	return []string{"1/4 in", "1/2 in", "1 in", "1 1/2 in"}
}

// covered says how much of the shell is under a spot of a width.
func (b bench) covered(f grading.Finding) m.Part {
	share, ok := b.bird.Covered(f)
	if !ok {
		return m.Group()
	}
	text := words.T("finding.covers", b.bird.Egg(), app.PortionText(share))
	for _, g := range app.WeightGroups(b.bird.Book, b.bird.Setting) {
		if g.Typical == b.bird.Egg() {
			text = words.T("finding.covers-class", g.Name, app.PortionText(share))
		}
	}
	return parts.Para(text, "measured")
}

// shellShare asks how much of the shell a stain takes up.
func (b bench) shellShare(i int) m.Node {
	f := b.bird.Findings[i]
	now, text := "", ""
	if f.Share != nil {
		now, text = app.PortionText(*f.Share), app.PortionText(*f.Share)
	}
	return measure("share", words.T("finding.share-shell"),
		m.If(now != "", m.El("p", m.Class("measured"), m.Text(words.T("finding.share-now", now)), b.shareLimit(i))),
		b.jumps(app.FieldShare, now, "1/64", "1/32", "1/16", "1/8"),
		b.typed(app.FieldShare, words.T("finding.share-type"), words.T("finding.share-hint"), text))
}

// beside is what is asked of an item beside its drawing: what is always
// measured, and the looks that are told at one tap.
func (b bench) beside() m.Part {
	gauge := stages[app.Drawing(b.bird.Book)].gauge
	at, measured := b.bird.Gauge()
	var now grading.Finding
	if at >= 0 {
		now = b.bird.Findings[at]
	}
	list := app.Aspects(b.bird.Book)
	if b.closed || b.finder.Open > 0 || len(list) == 0 && !measured {
		return m.Group()
	}
	var ask m.Part
	if measured && gauge != nil {
		ask = gauge(b, now)
	}
	looks := b.looks(list)
	if measured && app.Drawing(b.bird.Book) == rulebook.DrawOpened {
		looks = m.If(now.Length == nil, looks)
	}
	return m.El("section", m.ID("beside"), m.Class("card", "at-bird"), m.Attr("aria-label", words.T("finding.beside")),
		ask, looks)
}

// looks are told at one tap each: which of several, or whether it is there.
func (b bench) looks(list []app.Aspect) m.Part {
	short := func(id string) string {
		if words.Has("finding.short-" + id) {
			return words.T("finding.short-" + id)
		}
		return app.DefectName(b.bird.Book, id)
	}
	var single []parts.Choice
	var several []m.Part
	for _, a := range list {
		now := b.bird.Look(a)
		if len(a.Looks) == 1 {
			if now == 0 && !b.bird.Asks(a.Looks[0]) {
				continue
			}
			single = append(single, parts.Choice{Label: app.Capital(short(a.ID)), Do: b.do("look", a.ID, itoa(1-now)), On: now > 0})
			continue
		}
		choices := []parts.Choice{{Label: words.T("finding.look-" + a.ID), Do: b.do("look", a.ID, "0"), On: now == 0}}
		for i, id := range a.Looks {
			label := short(id)
			if words.Has("finding.look-" + a.ID + "-" + id) {
				label = words.T("finding.look-" + a.ID + "-" + id)
			}
			choices = append(choices, parts.Choice{Label: label, Do: b.do("look", a.ID, itoa(i+1)), On: now == i+1})
		}
		several = append(several, parts.Choices(words.T("finding.aspect-"+a.ID), false, choices...))
	}
	return m.Group(m.Group(several...), m.If(len(single) > 0, parts.Choices(words.T("finding.aspect-there"), false, single...)))
}

// jumps are amounts to choose at one tap.
func (b bench) jumps(field string, now string, texts ...string) m.Node {
	return m.El("div", m.Class("choices", "jumps"), m.Attr("role", "group"), m.Attr("aria-label", words.T("finding.jumps")),
		m.Each(texts, func(_ int, text string) m.Part {
			return parts.Button(text, b.do("set", field, text), parts.Pressed(text == now))
		}))
}

func (b bench) typed(field, label, hint, value string) m.Node {
	in := parts.Input{Name: field, Label: label, Hint: hint, Value: value, Do: b.do("type", field), Short: true}
	if f := b.finder.Fault; f.Field == field {
		in.Value, in.Error = f.Text, f.What
	}
	return parts.Field(in)
}

func lengthOr(l *amount.Length) (main, sub, text string) {
	if l == nil {
		return words.T("finding.not-told"), "", ""
	}
	text = app.LengthText(*l)
	if *l%amount.SixtyFourth == 0 {
		return text, l.Millimetres(), text
	}
	return text, l.Inches(), text
}

// length asks how long the fault is, and shows it beside the limit.
func (b bench) length(i int) m.Node {
	f := b.bird.Findings[i]
	main, sub, text := lengthOr(f.Length)
	heading := words.T("finding.length")
	if words.Has("finding.length-" + f.Defect) {
		heading = words.T("finding.length-" + f.Defect)
	}
	return measure("length", heading,
		b.ruler(i),
		b.steps(f.Defect, app.FieldLength, main, sub),
		b.covered(f),
		b.jumps(app.FieldLength, text, jumpsOf(f.Defect)...),
		b.typed(app.FieldLength, words.T("finding.length-type"), words.T("finding.length-hint"), text))
}

func (b bench) ruler(i int) m.Part {
	f := b.bird.Findings[i]
	_, covers := b.bird.Covered(f)
	field := app.FieldLength
	if covers {
		field = app.FieldShare
	}
	limit, ok := b.bird.LimitFor(i, field)
	if f.Length == nil && !ok {
		return m.Group()
	}
	o := figure.RulerOptions{ID: "ruler", Title: words.T("finding.ruler")}
	if f.Length != nil {
		o.Length = *f.Length
	} else {
		o.LengthLabel = words.T("finding.not-told")
	}
	if most, err := amount.ParseLength(limit.Most); ok && err == nil {
		o.Limit = most
		o.LimitLabel = app.LimitText(b.bird.Book, limit, amount.DimLength)
	}
	if most, err := amount.ParseShare(limit.Most); ok && err == nil && covers {
		o.Limit = b.bird.SpotWidth(most)
		o.LimitLabel = words.T("verdict.and", app.LimitText(b.bird.Book, limit, amount.DimShare), app.LengthText(o.Limit))
	}
	return figure.Ruler(o)
}

// depth asks how deep the fault goes, beside a coin and 1/8 in.
func (b bench) depth(i int) m.Node {
	f := b.bird.Findings[i]
	main, sub, text := lengthOr(f.Depth)
	coin := figure.CoinOptions{ID: "coin", Title: words.T("finding.coin-title"), DepthLabel: words.T("finding.this-one"), CoinLabel: words.T("finding.coin"), EighthLabel: "1/8 in"}
	if f.Depth != nil {
		coin.Depth = *f.Depth
	}
	coin.Desc = words.T("finding.coin-desc", main)
	return measure("depth", words.T("finding.depth"),
		figure.Coin(coin),
		b.steps(f.Defect, app.FieldDepth, main, sub),
		m.El("div", m.Class("choices", "jumps"), m.Attr("role", "group"), m.Attr("aria-label", words.T("finding.jumps")),
			parts.Button("1/16 in", b.do("set", app.FieldDepth, "1/16 in"), parts.Pressed(text == "1/16 in")),
			parts.Button(words.T("finding.coin"), b.do("set", app.FieldDepth, "1.95 mm"), parts.Pressed(text == "1.95 mm")),
			parts.Button("1/8 in", b.do("set", app.FieldDepth, "1/8 in"), parts.Pressed(text == "1/8 in")),
			parts.Button("3/16 in", b.do("set", app.FieldDepth, "3/16 in"), parts.Pressed(text == "3/16 in"))),
		b.typed(app.FieldDepth, words.T("finding.depth-type"), words.T("finding.length-hint"), text))
}

// share asks how much of the part the fault takes up. With lengths set it asks
// for the length as well: nothing else needs it.
func (b bench) share(i int, lengths bool) m.Node {
	f := b.bird.Findings[i]
	if app.Drawing(b.bird.Book) == rulebook.DrawShell {
		return b.shellShare(i)
	}
	share, told := grading.Share(f)
	key := "part"
	var cut m.Part
	if strings.HasPrefix(f.Defect, "tail-cut") {
		key, cut = "way", b.tailCut(share)
	}
	now := words.T("finding.not-told")
	if told {
		now = share.String()
	}
	shown := ""
	if f.Share != nil {
		shown = f.Share.String()
	}
	choice := func(label, text string) m.Part {
		s, _ := amount.ParseShare(text)
		return parts.Button(label, b.do("set", app.FieldShare, text), parts.Pressed(f.Share != nil && *f.Share == s))
	}
	var own m.Part = m.Group()
	if lengths {
		_, _, text := lengthOr(f.Length)
		own = b.typed(app.FieldLength, words.T("finding.length-type"), words.T("finding.length-hint"), text)
	}
	_, _, part := lengthOr(f.PartLength)
	return measure("share", words.T("finding.share-"+key, b.at(f.Site)),
		cut,
		m.El("p", m.Class("measured"), m.Text(words.T("finding.share-now", now)), b.shareLimit(i)),
		m.El("div", m.Class("choices", "jumps", "five"), m.Attr("role", "group"), m.Attr("aria-label", words.T("finding.jumps")),
			choice(words.T("finding.few"), "5 %"), choice("1/4", "1/4"), choice("1/3", "1/3"), choice("1/2", "1/2"), choice("2/3", "2/3")),
		b.typed(app.FieldShare, words.T("finding.share-type"), words.T("finding.share-hint"), shown),
		parts.Why("two-lengths", words.T("finding.two-lengths"), nil,
			own,
			b.typed(app.FieldPart, words.T("finding.whole-"+key, b.at(f.Site)), words.T("finding.length-hint"), part)))
}

func (b bench) shareLimit(i int) m.Part {
	limit, ok := b.bird.LimitFor(i, app.FieldShare)
	return m.If(ok, m.El("span", m.Class("soft"), m.Text(" "+app.LimitText(b.bird.Book, limit, amount.DimShare)+".")))
}

func (b bench) tailCut(share amount.Share) m.Node {
	return figure.TailCut(figure.TailCutOptions{ID: "tail-cut", Share: share, Title: words.T("finding.tail-title"), Desc: words.T("finding.tail-desc"),
		BaseLabel: words.T("finding.tail-base"), HalfLabel: words.T("finding.tail-half"), HipLabel: words.T("finding.tail-hips"), CutLabel: words.T("finding.tail-cut")})
}

func (b bench) count(f grading.Finding) m.Node {
	n := max(f.Count, 1)
	return measure("count", words.T("finding.count"),
		stepper(itoa(n), "", b.do("count", "-1"), b.do("count", "1"), words.T("finding.fewer"), words.T("finding.another")))
}

// more holds what is rarely told: how sure, and a few words.
func (b bench) more(f grading.Finding) m.Node {
	sure := func(id string) parts.Choice {
		return parts.Choice{Label: words.T("finding.sure-" + or(id, "yes")), Do: b.do("sure", id), On: f.Sure == id}
	}
	note := parts.Input{Name: "note", Label: words.T("finding.note"), Hint: words.T("finding.note-hint"), Value: f.Note, Do: b.do("note")}
	if fault := b.finder.Fault; fault.Field == "note" {
		note.Value, note.Error = fault.Text, fault.What
	}
	return parts.Why("more", words.T("finding.more"), nil,
		parts.Choices(words.T("finding.sure"), false, sure(""), sure(grading.Likely), sure(grading.Doubtful)),
		parts.Field(note))
}

// ways are the actions of the open step, for the dock.
func (b bench) ways() m.Part {
	switch b.finder.Face() {
	case app.FaceWhat:
		return parts.Button(words.T("finding.leave"), b.do("leave"))
	case app.FaceMuch:
		return m.Group(
			parts.Button(words.T("finding.remove"), b.do("remove", itoa(b.finder.Open)), parts.Quiet),
			parts.Button(words.T("finding.done"), b.do("leave"), parts.Primary))
	}
	return m.Group()
}
