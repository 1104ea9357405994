// Package hens is the worksheet of a class of four past-production hens: what
// was seen and felt on each, what pigment says of the eggs she laid, and from
// both a proposed order with proposed cuts.
//
// Start at Read, which takes the signs of one hen from a record, and at
// Propose. A proposal is made factor by factor: a later factor only parts hens
// that are equal in the earlier ones (National 4-H Poultry Judging Manual,
// Feb 2021). It tells each step as data and decides nothing: ties stay ties,
// and the official places the class. Health and vigour are no factor (same
// source).
//
// All numbers are whole. Hens are numbered from 1.
package hens

import (
	"keelcard/engine/rulebook"
)

// Count is how many hens make a class.
const Count = 4

// Bleach is how far pigment has left a place.
type Bleach uint8

// How far pigment has left a place.
const (
	NotLooked Bleach = iota
	Yellow
	Fading
	Bleached
)

// Feel is how skin and fat of the abdomen feel: softer and thinner is better.
type Feel uint8

// How skin and fat of the abdomen feel.
const (
	NotFelt Feel = iota
	Hard         // hard fat, thick stiff skin
	Thick
	Pliable
	Soft // soft and thin
)

// The most that is taken.
const (
	MaxFingers   = 12 // half fingers: six fingers
	MaxPrimaries = 10 // all that lie outside the short axial feather
)

// Hen is what was seen and felt on one hen. The zero Hen was not looked at.
type Hen struct {
	Pigment   [Places]Bleach // by place, in the order of Chart
	Pubic     int            // half fingers between the pubic bones; 0 is not measured
	Keel      int            // half fingers from the pubic bones to the keel; 0 is not measured
	Feel      Feel
	Molted    bool // whether molt was looked at
	Primaries int  // primaries dropped or new; 0 for none
	Together  bool // whether they were dropped at once and not one by one
}

// Places is how many places of the body lose pigment one after another.
const Places = 9

// Range is from Low to High, both counted in. High is 0 when there is no end.
type Range struct{ Low, High int }

// Row is a place that loses pigment. The rows stand in the order of the loss.
type Row struct {
	ID   string // "shank-front"
	Name string
	Told []Told // what is told of it; Estimate uses the first, which has days as well
}

// Told is what a source says: eggs laid, and days, since the first egg when the
// place is bleached.
type Told struct {
	Eggs, Days Range // Days is zero where the source has none
	Source     string
	Confidence string
	Note       string
}

// Chart lists the places in the order in which pigment leaves them; it comes
// back in the same order, faster, when laying stops.
func Chart() [Places]Row { return chart }

const asOne = "the slides tell front and rear as one"

var chart = [Places]Row{
	row("vent", "vent", Range{0, 10}, Range{4, 7}, Range{10, 10}, ""),
	row("eye", "eye ring", Range{8, 12}, Range{7, 10}, Range{8, 12}, ""),
	row("earlobe", "earlobe", Range{10, 15}, Range{14, 21}, Range{10, 15}, ""),
	row("beak-base", "beak, base", Range{25, 25}, Range{28, 42}, Range{25, 25}, ""),
	row("beak-tip", "beak, tip", Range{35, 35}, Range{42, 56}, Range{35, 35}, ""),
	row("feet", "bottom of the feet", Range{50, 66}, Range{56, 70}, Range{}, ""),
	row("shank-front", "shanks, front", Range{90, 100}, Range{105, 126}, Range{100, 160}, asOne),
	row("shank-rear", "shanks, rear", Range{160, 160}, Range{140, 168}, Range{100, 160}, asOne),
	row("hock", "hock and tops of the toes", Range{175, 180}, Range{168, 0}, Range{180, 180}, ""),
}

// row has eggs and days from memory and eggs as the slides have them; these
// leave out a place.
func row(id, name string, eggs, days, slides Range, note string) Row {
	r := Row{ID: id, Name: name, Told: []Told{{eggs, days, Practice, rulebook.FromMemory, ""}}}
	if slides != (Range{}) {
		r.Told = append(r.Told, Told{Eggs: slides, Source: UGA, Confidence: rulebook.Read, Note: note})
	}
	return r
}

// Sources of this package.
const (
	NationalManual = "national-manual"
	OlderTexts     = "older-texts"
	UGA            = "georgia-extension"
	UNL            = "nebraska"
	KYCulling      = "kentucky-culling"
	Practice       = "practice"
)

var sources = []rulebook.Source{
	{ID: NationalManual, Title: "National 4-H Poultry Judging Manual, page on past-production hens; University of Kentucky Extension 4AJ-07PA", Date: "Dec 2020, Feb 2021"},
	{ID: OlderTexts, Title: "University of Florida 4-H poultry pages, past egg production hens; University of Kentucky 4AJ-07PO, Evaluating Egg-Laying Hens"},
	{ID: UGA, Title: "Judging Live Birds, slides, University of Georgia Extension", Date: "Apr 2009"},
	{ID: UNL, Title: "University of Nebraska-Lincoln Extension, NebGuide G2092, How to Score Placing Classes for Livestock Judging", Date: "2011"},
	{ID: KYCulling, Title: "University of Kentucky Extension circular on culling hens", Note: "historic"},
	{ID: Practice, Title: "Common practice in hen classes"},
}

// Sources lists what the package refers to.
func Sources() []rulebook.Source { return append([]rulebook.Source(nil), sources...) }

// Note is something to know when reading the chart or a proposal.
type Note struct{ Text, Source, Confidence string }

var notes = []Note{
	{"Most charts have the bottom of the feet as a step; one set of slides leaves it out. Not noted on a hen, it is compared on none.", UGA, rulebook.Read},
	{"Pigment comes back in the same order, faster, when a hen stops laying.", Practice, rulebook.FromMemory},
	{"The colour of the feed, thick skin and a heavy body slow bleaching.", KYCulling, rulebook.Read},
	{"Finger widths compare hens with each other; they are no fixed limits, and fingers differ.", Practice, rulebook.CommonPractice},
	{"A new primary takes about 6 weeks to grow; each further one dropped by itself adds about 2.", Practice, rulebook.FromMemory},
	{"Health and vigour do not place a hen; they may be described in reasons.", NationalManual, rulebook.Read},
	{"One hen is handled at a time; hens are not compared side by side.", OlderTexts, rulebook.Read},
}

// Notes lists what to know when reading the chart or a proposal.
func Notes() []Note { return append([]Note(nil), notes...) }

// Span is what pigment says of a hen's laying since bleaching began.
type Span struct {
	Eggs, Days Range
	Known      bool // false when no place was looked at
}

// Estimate reads the chart backwards: a hen has laid at least as many eggs as
// bleach the last place that is bleached, and no more than bleach the first
// later place that is not. Places not looked at say nothing, and pigment that
// came back in earlier places does not count (see Oddity).
func Estimate(h Hen) Span {
	last := -1
	for i, state := range h.Pigment {
		if state == Bleached {
			last = i
		}
	}
	var s Span
	if last >= 0 {
		told := &chart[last].Told[0]
		s = Span{Range{Low: told.Eggs.Low}, Range{Low: told.Days.Low}, true}
	}
	for i := last + 1; i < Places; i++ {
		if h.Pigment[i] != NotLooked {
			told := &chart[i].Told[0]
			s.Eggs.High, s.Days.High, s.Known = told.Eggs.High, told.Days.High, true
			break
		}
	}
	return s
}

// MoltWeeks is how long it takes to drop and grow so many primaries: about 6
// weeks for the first and 2 for each further one dropped singly (from memory).
func MoltWeeks(primaries int, together bool) int {
	switch {
	case primaries <= 0:
		return 0
	case together:
		return 6
	}
	return 6 + 2*(primaries-1)
}
