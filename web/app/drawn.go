package app

import (
	"slices"
	"strconv"
	"strings"

	"keelcard/engine/amount"
	"keelcard/engine/egg"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
)

// What each drawing takes in beside the places that are tapped on it: looks told
// at one tap, one measure that is always asked for, and the sides it is seen from.

// Drawing is what the findings of a book are put on.
func Drawing(b *rulebook.Book) string {
	if b.Drawing == "" {
		return rulebook.DrawBird
	}
	return b.Drawing
}

// Ways a drawing is shown: the sides of a bird, or how many pieces lie there.
const (
	viewFront = "front"
	viewBack  = "back"
	ViewOne   = "one"
	ViewThree = "three"
)

// Views lists the ways a book's drawing is shown, none where there is one only.
// What is a part by itself is shown as each part that can be drawn.
func Views(b *rulebook.Book) []string {
	switch Drawing(b) {
	case rulebook.DrawBird:
		return []string{viewFront, viewBack}
	case rulebook.DrawPiece:
		return []string{ViewOne, ViewThree}
	case rulebook.DrawPart:
		if kinds := partKinds(b); kinds == nil {
			return kindIDs(partsBook)
		}
	}
	return nil
}

// partsBook is the book whose kinds are the parts themselves.
const partsBook = "parts-youth"

// PartsBook is the book that names the parts.
func PartsBook() *rulebook.Book {
	b, _ := rulebook.ByID(partsBook)
	return b
}

func kindIDs(book string) []string {
	var out []string
	if b, ok := rulebook.ByID(book); ok {
		for _, k := range b.Kinds {
			out = append(out, k.ID)
		}
	}
	return out
}

// partKinds are the kinds of a book where these are parts, else none.
func partKinds(b *rulebook.Book) []string {
	known := kindIDs(partsBook)
	for _, k := range b.Kinds {
		if !slices.Contains(known, k.ID) {
			return nil
		}
	}
	return known
}

// Shown is the way in which a bird, or what else a book grades, is shown.
func (f Finder) Shown(b Bird) string {
	views := Views(b.Book)
	switch {
	case slices.Contains(views, f.View):
		return f.View
	case Drawing(b.Book) == rulebook.DrawPart && views == nil:
		return b.Setting.Kind
	case len(views) == 0:
		return ""
	case views[0] == ViewOne && slices.ContainsFunc(b.Findings, func(g grading.Finding) bool { return g.Site != pieceOne }):
		return ViewThree
	}
	return views[0]
}

const pieceOne = "piece-1"

// Aspect is something that is told at one tap, without a place to be tapped: how
// a yolk looks, whether a shell is sound.
type Aspect struct {
	ID    string
	Site  string
	Looks []string // defects of which one at most is there; a single one is there or not
}

var aspects = map[string][]Aspect{
	rulebook.DrawLight: {
		{"outline", "yolk", []string{"yolk-fair", "yolk-plain"}},
		{"firm", "white", []string{"white-fair", "white-weak"}},
	},
	rulebook.DrawOpened: {{"high", "thick-white", []string{"white-fair", "white-flat"}}},
	rulebook.DrawShell: {
		{"sound", "middle", []string{"body-check", "check", "leaker"}},
		{"shape-unusual", "middle", []string{"shape-unusual"}}, {"ridges-pronounced", "middle", []string{"ridges-pronounced"}},
		{"rough", "middle", []string{"rough"}}, {"thin-spot", "middle", []string{"thin-spot"}},
	},
}

// Aspects lists what a book asks of an item at one tap.
func Aspects(b *rulebook.Book) []Aspect {
	list := aspects[Drawing(b)]
	switch Drawing(b) {
	case rulebook.DrawPiece, rulebook.DrawCarton: // all that has no place and no size
		for _, d := range b.Defects {
			if len(d.Measures) == 0 && len(b.Sites) > 0 {
				list = append(list, Aspect{d.ID, siteOf(b, d), []string{d.ID}})
			}
		}
	}
	var out []Aspect
	for _, a := range list {
		a.Looks = slices.DeleteFunc(slices.Clone(a.Looks), func(id string) bool {
			d, ok := DefectOf(b, id)
			return !ok || !occurs(b, d, a.Site)
		})
		if len(a.Looks) > 0 {
			out = append(out, a)
		}
	}
	return out
}

func siteOf(b *rulebook.Book, d rulebook.Defect) string {
	if len(d.Sites) > 0 {
		return d.Sites[0]
	}
	return b.Sites[0].ID
}

// Asks tells whether a defect counts for anything as the book is read, and for
// this kind of item.
func (b Bird) Asks(defect string) bool {
	resolved, err := b.Book.Resolve(b.Setting.Choices)
	return err == nil && slices.ContainsFunc(b.Book.Limits, func(l rulebook.Limit) bool {
		return rulebook.Holds(l.When, resolved) && (len(l.Kinds) == 0 || slices.Contains(l.Kinds, b.Setting.Kind)) &&
			slices.ContainsFunc(b.Book.Factors, func(f rulebook.Factor) bool {
				return f.ID == l.Factor && rulebook.Holds(f.When, resolved) && slices.Contains(f.Defects, defect)
			})
	})
}

// Look is which of the looks of an aspect was found, counted from 1; 0 for none.
func (b Bird) Look(a Aspect) int {
	for _, f := range b.Findings {
		if i := slices.Index(a.Looks, f.Defect); i >= 0 {
			return i + 1
		}
	}
	return 0
}

// look tells one of the looks of an aspect, by its number; 0 tells that none is
// there.
func (e *edit) look() []Effect {
	n := e.number(1)
	for _, a := range Aspects(e.bird.Book) {
		if a.ID != e.m.Arg(0) || n < 0 || n > len(a.Looks) || e.m.Arg(1) == "" {
			continue
		}
		findings := without(e.bird.Findings, a.Looks...)
		if n > 0 {
			findings = append(findings, grading.Finding{Defect: a.Looks[n-1], Site: a.Site})
		}
		e.f.Site, e.f.Open, e.f.Why, e.f.Fault = "", 0, false, Fault{}
		effects, _ := e.kept(findings, "")
		return effects
	}
	return nil
}

// instead are the findings without the other looks of the aspect that a defect
// belongs to.
func (e *edit) instead(defect string) []grading.Finding {
	for _, a := range Aspects(e.bird.Book) {
		if slices.Contains(a.Looks, defect) {
			return without(e.bird.Findings, a.Looks...)
		}
	}
	return slices.Clone(e.bird.Findings)
}

func without(findings []grading.Finding, defects ...string) []grading.Finding {
	return slices.DeleteFunc(slices.Clone(findings), func(f grading.Finding) bool { return slices.Contains(defects, f.Defect) })
}

// gauged is what a drawing always asks the measure of: the air cell before the
// light, the white of an opened egg.
var gauged = map[string]grading.Finding{
	rulebook.DrawLight:  {Defect: "air-cell", Site: "air-cell"},
	rulebook.DrawOpened: {Defect: white, Site: "thick-white"},
}

const white = "white"

// Gauge is the place of what is always measured among the findings, -1 while it
// was not. It is not ok where the book measures nothing so.
func (b Bird) Gauge() (at int, ok bool) {
	want, ok := gauged[Drawing(b.Book)]
	if d, known := DefectOf(b.Book, want.Defect); !ok || !known || !occurs(b.Book, d, want.Site) {
		return -1, false
	}
	return slices.IndexFunc(b.Findings, func(f grading.Finding) bool { return f.Defect == want.Defect }), true
}

// gauge makes room for a measure of what is always measured and gives its
// place, -1 where there is no such measure. What was told of a white by look
// gives way to the gauge.
func (e *edit) gauge(findings []grading.Finding, field string) ([]grading.Finding, int) {
	at, ok := e.bird.Gauge()
	d, _ := DefectOf(e.bird.Book, e.measured().Defect)
	if !ok || !slices.Contains(d.Measures, field) && (d.ID != white || field != FieldWarmth) {
		return findings, -1
	}
	if at >= 0 {
		return findings, at
	}
	for _, a := range Aspects(e.bird.Book) {
		if a.ID == "high" {
			findings = without(findings, a.Looks...)
		}
	}
	return append(findings, gauged[Drawing(e.bird.Book)]), len(findings)
}

// blank tells whether nothing is known of a finding but its name.
func blank(f grading.Finding) bool {
	return f.Length == nil && f.Depth == nil && f.Weight == nil && f.Note == ""
}

// StepOf is the step of the − and + buttons for a measure of a finding.
func StepOf(defect, field string) amount.Length {
	switch {
	case field == FieldDepth:
		return DepthStep
	case defect == white || defect == "speck":
		return amount.Millimetre / 10
	case defect == "spot":
		return amount.Inch / 32
	case strings.HasPrefix(defect, "stain"):
		return amount.Millimetre
	}
	return LengthStep
}

// usual is where the − and + buttons begin with what was not measured yet; 0
// for one step.
func usual(defect string) amount.Length {
	switch {
	case defect == white:
		return 5 * amount.Millimetre
	case defect == "air-cell":
		return amount.Inch / 8
	case strings.HasPrefix(defect, "stain"):
		return 10 * amount.Millimetre
	}
	return 0
}

// unitOf is the unit that a number without one has, "" where it needs one.
func unitOf(defect, field string) string {
	switch {
	case field == FieldWeight:
		return " g"
	case defect == white && field == FieldLength:
		return " mm"
	}
	return ""
}

// withUnit gives a bare number the unit of its field.
func withUnit(text, unit string) string {
	if unit != "" && strings.Trim(text, "0123456789., ") == "" {
		return strings.TrimSpace(text) + unit
	}
	return text
}

// Egg is the weight by which the shell of an egg is taken.
func (b Bird) Egg() amount.Weight {
	if b.Setting.Weight > 0 {
		return b.Setting.Weight
	}
	return egg.LargeEgg
}

// Covered is the share of the shell under a spot as wide as a finding says, all
// spots alike together. It is not ok where that is not measured, or no shell.
func (b Bird) Covered(f grading.Finding) (amount.Share, bool) {
	if !b.covers(f.Defect) || f.Length == nil {
		return amount.Share{}, false
	}
	one := egg.SpotShare(*f.Length, egg.ShellOfWeight(b.Egg()))
	return amount.Portion(one.Num*int64(max(f.Count, 1)), one.Den), true
}

// covers tells whether a defect is a spot on a shell, of which width or share
// counts.
func (b Bird) covers(defect string) bool {
	return slices.ContainsFunc(b.Book.Factors, func(f rulebook.Factor) bool {
		return f.Op == rulebook.OpCovered && slices.Contains(f.Defects, defect)
	})
}

// SpotWidth is how wide a spot of a share of the egg's shell is.
func (b Bird) SpotWidth(s amount.Share) amount.Length {
	return egg.SpotWidth(s, egg.ShellOfWeight(b.Egg()))
}

// Form is the form of the Haugh formula by which a book is read, with the limits
// that hold for it; "" for a book without one.
func (b Bird) Form() (form string, limits []rulebook.Limit) {
	resolved, err := b.Book.Resolve(b.Setting.Choices)
	if err != nil {
		return "", nil
	}
	for _, f := range b.Book.Factors {
		if f.Op != rulebook.OpHaugh || !rulebook.Holds(f.When, resolved) {
			continue
		}
		for _, l := range b.Book.Limits {
			if l.Factor == f.ID && rulebook.Holds(l.When, resolved) {
				limits = append(limits, l)
			}
		}
		return f.Form, limits
	}
	return "", nil
}

// eggGroups are the weight classes as groups of weights, heaviest first.
func eggGroups() []WeightGroup {
	var out []WeightGroup
	end := amount.Weight(0)
	for _, c := range egg.WeightClasses() {
		g := WeightGroup{Over: c.Average() - 1, To: end, Typical: c.Average(), Name: c.Name}
		end = g.Over
		out = append(out, g)
	}
	out[len(out)-1].Over = 0
	return out
}

// The temperatures of an egg, in tenths of a degree Fahrenheit, for which Haugh
// units are graded (1 NYCRR 190.9; 7 Pa. Code 87.25: 45 to 60 F).
const (
	coolest = 450
	warmest = 600
)

// readWarmth reads a temperature, "52", "52 F" or "11.5 °C", in tenths of a
// degree Fahrenheit.
func readWarmth(text string) (tenths int, ok bool) {
	text = strings.ToUpper(strings.TrimSpace(text))
	number := strings.TrimRight(text, " °FC")
	whole, part, _ := strings.Cut(strings.Replace(number, ",", ".", 1), ".")
	n, err := strconv.Atoi(whole + (part + "0")[:1])
	if err != nil || whole == "" || len(part) > 1 || n < 0 || n > 2000 || len(text) > 12 {
		return 0, false
	}
	if strings.HasSuffix(text, "C") {
		n = (n*9+2)/5 + 320
	}
	return n, true
}

// Warmth reads the temperature that was noted with a white: whether there is
// one, and whether grades were published for it.
func Warmth(note string) (told, within bool) {
	n, told := readWarmth(note)
	return told, n >= coolest && n <= warmest
}

// warmthText writes a temperature with its unit.
func warmthText(text string) string {
	text = strings.ToUpper(strings.TrimSpace(text))
	unit := " °F"
	if strings.HasSuffix(text, "C") {
		unit = " °C"
	}
	return strings.TrimRight(text, " °FC") + unit
}
