package view

import (
	"slices"
	"strings"

	"keelcard/engine/amount"
	"keelcard/engine/egg"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
	"keelcard/web/figure"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// The drawings of what is no bird: parts, eggs from outside, before the light and
// opened, breaded pieces and cartons.

// has tells whether a defect was found.
func (b bench) has(defect string) bool {
	return slices.ContainsFunc(b.bird.Findings, func(f grading.Finding) bool { return f.Defect == defect })
}

func drawPart(b bench, o figure.Options) m.Part {
	o.ID = "part"
	return figure.Part(b.finder.Shown(b.bird), o)
}

// drawShell draws an egg of the weight that is graded: spots on it are to scale,
// and those beside it are as much of its shell as the limits allow.
func drawShell(b bench, o figure.Options) m.Part {
	e := figure.ShellEgg{Ridges: b.has("ridges-pronounced") || b.has("rough"), Body: b.has("body-check"), Thin: b.has("thin-spot")}
	if b.has("shape-unusual") {
		e.Shape = "misshapen"
	}
	for _, den := range []int64{32, 16} {
		share := amount.Share{Num: 1, Den: den}
		e.Patches = append(e.Patches, figure.Gauge{Length: b.bird.SpotWidth(share), Label: app.PortionText(share)})
	}
	return figure.Shell(e, o)
}

func drawLight(b bench, o figure.Options) m.Part {
	e := figure.LightEgg{Outline: 1, Bubbly: b.has("air-cell-free"), Germ: b.has("germ-visible"), BloodRing: b.has("blood-ring"), Blood: b.has("blood-spread")}
	if at, ok := b.bird.Gauge(); ok && at >= 0 && b.bird.Findings[at].Depth != nil {
		e.AirCell = *b.bird.Findings[at].Depth
		e.AirCellText = app.LengthText(e.AirCell)
	}
	e.OutlineNames[0] = words.T("finding.look-outline")
	for i, id := range []string{"yolk-fair", "yolk-plain"} {
		e.OutlineNames[i+1] = words.T("finding.short-" + id)
		if b.has(id) {
			e.Outline = i + 2
		}
	}
	return figure.Light(e, o)
}

// gaugeCell asks how deep the air cell is.
func gaugeCell(b bench, f grading.Finding) m.Part {
	main, sub, text := lengthOr(f.Depth)
	return measure("depth", words.T("finding.depth-air-cell"),
		b.steps("air-cell", app.FieldDepth, main, sub),
		b.jumps(app.FieldDepth, text, "1/16 in", "1/8 in", "3/16 in", "3/8 in"),
		parts.Why("depth-more", words.T("finding.depth-type"), nil, b.typed(app.FieldDepth, words.T("finding.depth-type"), words.T("finding.length-hint"), text)))
}

func drawOpened(b bench, o figure.Options) m.Part {
	e := figure.OpenedEgg{Blood: b.has("blood-spread")}
	switch at, _ := b.bird.Gauge(); {
	case at >= 0 && b.bird.Findings[at].Length != nil:
		e.Height = *b.bird.Findings[at].Length
	case b.has("white-flat"):
		e.Height = 2 * amount.Millimetre
	case b.has("white-fair"):
		e.Height = 45 * amount.Millimetre / 10
	}
	if b.has("yolk-flat") {
		e.Yolk = 9 * amount.Millimetre
	}
	return figure.Opened(e, o)
}

// gaugeWhite asks for height and weight, and shows what they come to.
func gaugeWhite(b bench, f grading.Finding) m.Part {
	main := words.T("finding.not-told")
	height := ""
	if f.Length != nil {
		main = f.Length.Millimetres()
		height = strings.TrimSuffix(main, " mm")
	}
	weight, gram := "", ""
	if f.Weight != nil {
		gram = app.WeightText(*f.Weight)
		weight = gram
		if class, ok := egg.ClassOfSingle(*f.Weight); ok {
			weight = words.T("finding.weighs", gram, class.Name)
		}
	}
	return m.Group(
		measure("length", words.T("finding.length-white"),
			b.steps("white", app.FieldLength, main, ""),
			b.typed(app.FieldLength, words.T("finding.height-type"), words.T("finding.height-hint"), height)),
		measure("weight", words.T("finding.weight"),
			b.typed(app.FieldWeight, words.T("finding.weight-type"), words.T("finding.weight-hint"), gram),
			m.If(weight != "", parts.Para(weight, "measured")),
			parts.Choices(words.T("finding.weight-classes"), false, b.classes(f)...)),
		b.haugh(f),
		b.warmth(f))
}

// classes are the weight classes, for an egg that was not weighed.
func (b bench) classes(f grading.Finding) []parts.Choice {
	var out []parts.Choice
	for _, c := range egg.WeightClasses() {
		out = append(out, parts.Choice{Label: c.Name, Do: b.do("set", app.FieldWeight, app.WeightText(c.Average())), On: f.Weight != nil && *f.Weight == c.Average()})
	}
	return out
}

// haugh shows the Haugh units on their scale, and the white beside the heights
// that the grades ask for.
func (b bench) haugh(f grading.Finding) m.Part {
	form, limits := b.bird.Form()
	if form == "" {
		return m.Group()
	}
	if f.Length == nil || f.Weight == nil {
		return measure("haugh-box", words.T("finding.haugh"), parts.Para(words.T("finding.haugh-ask"), "soft"))
	}
	value, ok := egg.Haugh(*f.Length, *f.Weight, form)
	o := figure.HaughOptions{ID: "haugh", Title: words.T("finding.haugh"), Value: int(value)}
	side := figure.OpenedEgg{Height: *f.Length}
	var asks []string
	for _, l := range limits { // from the best grade down
		least, err := amount.ParseHaugh(l.Least)
		if err != nil {
			continue
		}
		text := strings.TrimSuffix(least.String(), " HU")
		o.Limits = append([]figure.HaughMark{{Value: int(least), Label: text}}, o.Limits...)
		o.Zones = append([]string{l.Grade}, o.Zones...)
		if high, reached := egg.LeastHeight(least, *f.Weight, form); reached {
			side.Limits = append(side.Limits, figure.Gauge{Length: high, Label: l.Grade})
			asks = append(asks, l.Grade+" "+high.Millimetres())
		}
	}
	o.Zones = append([]string{b.below(limits)}, o.Zones...)
	said := words.T("finding.haugh-none")
	if ok {
		said, o.ValueLabel = value.String(), strings.TrimSuffix(value.String(), " HU")
	}
	o.Desc = said
	return measure("haugh-box", words.T("finding.haugh"),
		m.If(ok, m.El("p", m.Class("measured"), m.Attr("role", "status"), m.Text(said))),
		m.If(!ok, parts.Notice(parts.Caution, said)),
		figure.Haugh(o),
		b.formNow(form),
		b.otherForms(f),
		figure.OpenedSide(side, figure.Options{ID: "side", Title: words.T("finding.side-title"), Desc: words.T("finding.side-desc", f.Length.Millimetres())}),
		m.If(len(asks) > 0, parts.Para(words.T("finding.asks", strings.Join(asks, " · ")), "soft")))
}

// formNow says which form of the formula was taken.
func (b bench) formNow(form string) m.Part {
	for _, f := range egg.Forms() {
		if f.ID == form {
			return parts.Para(words.T("finding.haugh-form", f.Formula), "soft")
		}
	}
	return m.Group()
}

// below is the grade that follows the last one with a limit.
func (b bench) below(limits []rulebook.Limit) string {
	for i, g := range b.bird.Book.Scale[:len(b.bird.Book.Scale)-1] {
		if len(limits) > 0 && g.ID == limits[len(limits)-1].Grade {
			return b.bird.Book.Scale[i+1].ID
		}
	}
	return ""
}

// otherForms says what other forms of the formula give where the grade hangs on
// them.
func (b bench) otherForms(f grading.Finding) m.Part {
	var lines []m.Part
	for _, d := range b.judged.Differ {
		if d.Choice != "form" || d.Grade == "" {
			continue
		}
		bird := b.bird
		bird.Setting.Choices = map[string]string{}
		for k, v := range b.bird.Setting.Choices {
			bird.Setting.Choices[k] = v
		}
		bird.Setting.Choices[d.Choice] = d.Option
		form, _ := bird.Form()
		value, _ := egg.Haugh(*f.Length, *f.Weight, form)
		_, o := b.option(d.Choice, d.Option)
		lines = append(lines, parts.Para(words.T("finding.haugh-other", o.Title, app.GradeText(b.bird.Book, d.Grade), value)))
	}
	return m.If(len(lines) > 0, parts.Notice(parts.Info, words.T("verdict.differ"), lines...))
}

// warmth asks for the temperature of the egg, which is noted.
func (b bench) warmth(f grading.Finding) m.Part {
	told, within := app.Warmth(f.Note)
	now := ""
	if told {
		now = f.Note
	}
	return parts.Why("warmth-more", words.T("finding.warmth"), m.If(told, m.Text(now)),
		m.If(told && !within, parts.Notice(parts.Caution, words.T("finding.warmth-out"))),
		b.typed(app.FieldWarmth, words.T("finding.warmth"), words.T("finding.warmth-hint"), now))
}

// drawPiece draws one product or three together, with the longest bare spots
// that are allowed beside them.
func drawPiece(b bench, o figure.Options) m.Part {
	one := figure.BreadedPiece{Shape: b.bird.Setting.Kind}
	list := []figure.BreadedPiece{one}
	if b.finder.Shown(b.bird) == app.ViewThree {
		list = append(list, one, one)
	}
	list[0].Odd, list[0].Broken, list[0].Cluster = b.has("shape-odd") || b.has("size-odd"), b.has("broken") || b.has("meat-missing"), b.has("cluster")
	if b.has("color-off") {
		list[0].Shade = "burnt"
	}
	return figure.Breaded(list, nil, o)
}

func drawCarton(b bench, o figure.Options) m.Part { return figure.Carton(o) }
