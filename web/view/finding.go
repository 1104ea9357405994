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

// drawing is the bird to tap, with what was found on it.
func (b bench) drawing() m.Node {
	shown := b.finder.Shown()
	tab := func(view string) parts.Choice {
		label := words.T("finding.view-" + view)
		if n := b.pinned(view); n > 0 {
			label = words.T("finding.view-with", label, n)
		}
		return parts.Choice{Label: label, Do: b.do("view", view), On: shown == view}
	}
	return m.El("section", m.ID("bird"), m.Class("face-bird"), m.Attr("aria-labelledby", "bird-h"),
		m.El("h2", m.ID("bird-h"), m.Attr("tabindex", "-1"), m.Text(or(b.title, words.T("finding.where")))),
		parts.Tabs(words.T("finding.views"), tab("front"), tab("back")),
		b.lead,
		figure.Bird(figure.View(shown), b.options(shown)))
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

func (b bench) options(shown string) figure.BirdOptions {
	o := figure.BirdOptions{
		Label:   func(site string) string { return app.SiteName(b.bird.Book, site) },
		Title:   words.T("finding.drawing-" + shown),
		Desc:    b.told(),
		Static:  b.closed,
		Missing: missing(b.bird.Findings),
	}
	for _, s := range b.bird.Book.Sites {
		o.Sites = append(o.Sites, s.ID)
	}
	if !b.closed {
		o.Do = func(site string) string { return b.do("site", site) }
	}
	var index []int
	for i, f := range b.bird.Findings {
		if f.View == "" || f.View == shown {
			o.Marks = append(o.Marks, figure.Mark{Site: f.Site, X: f.X, Y: f.Y, Label: itoa(i + 1), Kind: sign(f.Defect)})
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
		if f := b.bird.Findings[b.finder.Open-1]; f.View == shown {
			o.Selected = f.Site
		}
	}
	return o
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
	if t := app.MeasuresText(f); t != "" {
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
var groups = []string{"skin", "meat", "bones", "gone", "body", "look", "other"}

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
	return face("what", words.T("finding.what", app.SiteName(b.bird.Book, site)),
		b.offer(site), m.Group(near...))
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
			return m.If(len(byGroup[g]) > 0, m.El("div", m.Class("offer"), parts.Choices(words.T("finding.group-"+g), true, byGroup[g]...)))
		}),
		m.If(len(idle) > 0, parts.Why("idle-"+site, words.T("finding.group-idle"), nil, m.El("div", m.Class("offer"), parts.Choices("", true, idle...)))))
}

// much asks how much there is of a finding.
func (b bench) much(i int) m.Node {
	f := b.bird.Findings[i]
	d, known := app.DefectOf(b.bird.Book, f.Defect)
	items := []m.Part{parts.Para(words.T("finding.at", app.SiteName(b.bird.Book, f.Site)), "soft")}
	switch {
	case slices.Contains(b.judged.Aside, i):
		items = append(items, parts.Notice(parts.Info, words.T("finding.aside-why", b.bird.Book.Title)))
	case !app.Counts(b.bird.Book, f.Defect):
		items = append(items, parts.Notice(parts.Info, words.T("finding.idle-why", b.bird.Book.Title)))
	}
	if known && d.Caution != "" {
		items = append(items, parts.Notice(parts.Caution, d.Caution))
	}
	if known {
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
	return measure("length", words.T("finding.length"),
		b.ruler(i),
		stepper(main, sub, b.do("step", app.FieldLength, "-1"), b.do("step", app.FieldLength, "1"), words.T("finding.shorter"), words.T("finding.longer")),
		b.jumps(app.FieldLength, text, "1/4 in", "1/2 in", "1 in", "1 1/2 in"),
		b.typed(app.FieldLength, words.T("finding.length-type"), words.T("finding.length-hint"), text))
}

func (b bench) ruler(i int) m.Part {
	f := b.bird.Findings[i]
	limit, ok := b.bird.LimitFor(i, app.FieldLength)
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
		o.LimitLabel = app.LimitText(limit, amount.DimLength)
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
		stepper(main, sub, b.do("step", app.FieldDepth, "-1"), b.do("step", app.FieldDepth, "1"), words.T("finding.shallower"), words.T("finding.deeper")),
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
	return measure("share", words.T("finding.share-"+key, app.SiteName(b.bird.Book, f.Site)),
		cut,
		m.El("p", m.Class("measured"), m.Text(words.T("finding.share-now", now)), b.shareLimit(i)),
		m.El("div", m.Class("choices", "jumps", "five"), m.Attr("role", "group"), m.Attr("aria-label", words.T("finding.jumps")),
			choice(words.T("finding.few"), "5 %"), choice("1/4", "1/4"), choice("1/3", "1/3"), choice("1/2", "1/2"), choice("2/3", "2/3")),
		b.typed(app.FieldShare, words.T("finding.share-type"), words.T("finding.share-hint"), shown),
		parts.Why("two-lengths", words.T("finding.two-lengths"), nil,
			own,
			b.typed(app.FieldPart, words.T("finding.whole-"+key, app.SiteName(b.bird.Book, f.Site)), words.T("finding.length-hint"), part)))
}

func (b bench) shareLimit(i int) m.Part {
	limit, ok := b.bird.LimitFor(i, app.FieldShare)
	return m.If(ok, m.El("span", m.Class("soft"), m.Text(" "+app.LimitText(limit, amount.DimShare)+".")))
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
