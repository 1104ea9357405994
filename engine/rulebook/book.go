// Package rulebook holds rule books: the grades of a scale, what is measured,
// and the most of it each grade allows, as data with a source for every line.
//
// Start at Builtin and ByID for the books that come with the program and at
// Decode for one from a file. A decoded book is whole: every id it refers to
// exists, every amount parses, and keelcard/engine/grading can grade with it
// without failing on the book. Treat a book as read-only; it is shared.
//
// # How a book grades
//
// A defect is something that can be seen on an item, at a site. A factor says
// how the findings of some defects make one amount. A limit says the most of a
// factor that a grade allows, or the least of it that a grade asks for; whatever
// breaks a grade's limit also breaks every better grade. An amount that nothing
// was found for breaks no limit. The verdict is the best grade with no broken limit, and the
// last grade of the scale holds when every other is broken.
//
// # Books about faults
//
// Where an item has faults and no grade, each factor is one fault and its limit
// says when it counts; see IsFaults, Faults and grading.FaultsOf.
//
// # Old files
//
// Format 1 is the first. A released format stays readable, and a book's hash is
// taken over its canonical form, so that an old result can be recomputed with
// exactly the book it was made with.
package rulebook

import (
	"keelcard/engine/amount"
)

// FormatVersion is the format this package writes.
const FormatVersion = 1

// Book is one rule book.
type Book struct {
	Format  int           `json:"format"`            // FormatVersion
	ID      string        `json:"id"`                // kebab-case, "carcass-youth"
	Edition string        `json:"edition"`           // edition or date of this text
	Title   string        `json:"title"`             // for people
	Base    string        `json:"base,omitempty"`    // id of the book this one varies; the lines here stand alone
	About   string        `json:"about,omitempty"`   // what it is for
	Drawing string        `json:"drawing,omitempty"` // what findings are put on, one of Drawings; a bird when empty
	Faulted bool          `json:"faults,omitempty"`  // each factor is a fault an item has or has not; see IsFaults
	Scale   []Grade       `json:"scale"`             // best first; the last takes what every other refuses
	Kinds   []Bird        `json:"kinds,omitempty"`   // kinds of bird; none when the kind does not matter
	Weights []WeightRange `json:"weights,omitempty"` // which weights are judged; none when the weight does not matter
	Zones   []Zone        `json:"zones,omitempty"`
	Parts   []Part        `json:"parts,omitempty"`
	Sites   []Site        `json:"sites,omitempty"` // none when the book does not tell places apart
	Defects []Defect      `json:"defects"`
	Factors []Factor      `json:"factors"`
	Limits  []Limit       `json:"limits"`
	Choices []Choice      `json:"choices,omitempty"` // where sources differ and the owner of a class decides
	Sources []Source      `json:"sources"`
	Notes   []Note        `json:"notes,omitempty"`
}

// What findings can be put on.
const (
	DrawBird   = "bird"
	DrawPart   = "part"   // a part of a carcass
	DrawShell  = "shell"  // an egg from outside
	DrawLight  = "light"  // an egg before the light
	DrawOpened = "opened" // an egg that is opened
	DrawPiece  = "piece"  // a coated or formed piece
	DrawCarton = "carton" // a carton of eggs
)

// Drawings lists what findings can be put on.
var Drawings = []string{DrawBird, DrawPart, DrawShell, DrawLight, DrawOpened, DrawPiece, DrawCarton}

// Grade is one step of a scale.
type Grade struct {
	ID      string            `json:"id"`   // what stands on a card: "A", "NG"
	Name    string            `json:"name"` // "A quality"
	Meaning string            `json:"meaning,omitempty"`
	When    map[string]string `json:"when,omitempty"` // choice -> option under which the grade is on the scale
}

// Bird is a kind of bird, or of product, that lines may be limited to.
type Bird struct {
	ID   string `json:"id"`
	Name string `json:"name"`
}

// WeightRange is a range of weights that is judged: over Over, up to and with
// To. A zero To has no upper end.
type WeightRange struct {
	Over       amount.Weight     `json:"over,omitempty"`
	To         amount.Weight     `json:"to,omitempty"`
	Kinds      []string          `json:"kinds,omitempty"` // all when empty
	When       map[string]string `json:"when,omitempty"`
	Source     string            `json:"source"`
	Confidence string            `json:"confidence"`
	Note       string            `json:"note,omitempty"`
}

// Zone is a group of sites that share an allowance, such as breast and legs.
type Zone struct {
	ID   string `json:"id"`
	Name string `json:"name"`
}

// Part is a part of the item that is judged by itself, such as one leg.
type Part struct {
	ID   string `json:"id"`
	Name string `json:"name"`
}

// Site is a place on the item where a finding can lie.
type Site struct {
	ID        string     `json:"id"`
	Name      string     `json:"name"`
	Part      string     `json:"part,omitempty"`      // the part it belongs to
	Fills     string     `json:"fills,omitempty"`     // how much of the part it makes up, a share; all when empty
	Zone      string     `json:"zone,omitempty"`      // the zone it belongs to
	Otherwise []SitePart `json:"otherwise,omitempty"` // the part under other options of a choice
}

// SitePart is the part a site belongs to under some options.
type SitePart struct {
	When  map[string]string `json:"when"`
	Part  string            `json:"part"`
	Fills string            `json:"fills,omitempty"`
}

// The measures a defect can have. Every finding also has a count.
const (
	MeasureLength = "length"
	MeasureShare  = "share"
	MeasureDepth  = "depth"
	MeasureCount  = "count"
	MeasureWeight = "weight" // of the item, for measures that depend on it
)

// Defect is something that can be found.
type Defect struct {
	ID       string   `json:"id"`
	Name     string   `json:"name"`
	Meaning  string   `json:"meaning,omitempty"`
	Sites    []string `json:"sites,omitempty"`    // where it can be; everywhere when empty
	Measures []string `json:"measures,omitempty"` // what can be measured of it: length, share, depth, count, weight
	Caution  string   `json:"caution,omitempty"`  // what is easily taken wrongly
}

// How a factor makes an amount from findings.
const (
	OpCount   = "count"   // how many
	OpLongest = "longest" // the longest single length
	OpTotal   = "total"   // all lengths together
	OpShare   = "share"   // all shares of the part together, at most the whole
	OpDepth   = "depth"   // the greatest depth
	OpHaugh   = "haugh"   // the lowest Haugh value, of a height (the length) and a weight
	OpCovered = "covered" // the share of an egg's shell under round spots of a width (the length) and under shares, at most the whole
)

// The printed forms of the Haugh formula; keelcard/engine/egg computes them.
const (
	FormFull = "full"
	Form757  = "7.57"
	Form76   = "7.6"
)

// Over what a factor makes one amount.
const (
	PerPart = "part" // one amount a part
	PerZone = "zone" // one amount a zone
	PerItem = "item" // one amount for the item
)

// Factor says how findings make an amount.
type Factor struct {
	ID      string   `json:"id"`
	Name    string   `json:"name"`
	Meaning string   `json:"meaning,omitempty"`
	Op      string   `json:"op"`
	Per     string   `json:"per"`
	Defects []string `json:"defects,omitempty"`
	Sites   []string `json:"sites,omitempty"` // only these sites; all when empty
	Zones   []string `json:"zones,omitempty"` // only these zones; all when empty
	Add     []string `json:"add,omitempty"`   // other factors whose amounts are added
	Form    string   `json:"form,omitempty"`  // of the Haugh formula; for haugh only

	When  map[string]string `json:"when,omitempty"`  // choice -> option under which the factor's own limits hold
	Fault string            `json:"fault,omitempty"` // the factor whose fault this is another sign of; in a faults book only
}

// How well the source of a line is known.
const (
	Read           = "read"            // read in the source
	FromMemory     = "from memory"     // known, the text was not at hand
	CommonPractice = "common practice" // usual, without one source
	LocalRule      = "local rule"      // decided for a contest; only in a variation, see Vary
)

// Limit is the most of a factor that a grade allows, or the least of it that a
// grade asks for. All limits of one factor are of one kind.
type Limit struct {
	Factor        string            `json:"factor"`
	Grade         string            `json:"grade"`
	Most          string            `json:"most,omitempty"`           // an amount in the factor's dimension
	Least         string            `json:"least,omitempty"`          // likewise; stands instead of Most
	Inclusive     bool              `json:"inclusive"`                // whether that amount itself is allowed
	InclusiveWhen map[string]string `json:"inclusive_when,omitempty"` // options under which it is allowed after all
	Over          amount.Weight     `json:"over,omitempty"`           // for items heavier than this
	To            amount.Weight     `json:"to,omitempty"`             // up to and with this weight; no end when zero
	Kinds         []string          `json:"kinds,omitempty"`          // for these kinds; all when empty
	When          map[string]string `json:"when,omitempty"`           // choice -> option under which the line holds
	Source        string            `json:"source"`
	Confidence    string            `json:"confidence"`
	Note          string            `json:"note,omitempty"`
}

// Choice is a point where sources differ.
type Choice struct {
	ID      string   `json:"id"`
	Title   string   `json:"title"`
	Why     string   `json:"why"` // how the sources differ and why the default is what it is
	Default string   `json:"default"`
	Options []Option `json:"options"`
}

// Option is one side of a choice.
type Option struct {
	ID         string `json:"id"`
	Title      string `json:"title"`
	Source     string `json:"source"`
	Confidence string `json:"confidence"`
}

// Source is a published text, or the practice, that lines refer to.
type Source struct {
	ID    string `json:"id"`
	Title string `json:"title"`
	Date  string `json:"date,omitempty"`
	Note  string `json:"note,omitempty"`
}

// Note is something a reader of the book should know.
type Note struct {
	About      string `json:"about,omitempty"` // id of the factor, defect or choice it belongs to; the whole book when empty
	Text       string `json:"text"`
	Source     string `json:"source,omitempty"`
	Confidence string `json:"confidence,omitempty"`
}

// Dim is the dimension of the factor's amount.
func (f Factor) Dim() amount.Dim {
	switch f.Op {
	case OpLongest, OpTotal, OpDepth:
		return amount.DimLength
	case OpShare, OpCovered:
		return amount.DimShare
	case OpHaugh:
		return amount.DimHaugh
	}
	return amount.DimCount
}

// Bound is the amount of the limit as it is written, Most or Least.
func (l Limit) Bound() string {
	if l.Least != "" {
		return l.Least
	}
	return l.Most
}

// Measure is what the factor reads of a finding before all.
func (f Factor) Measure() string {
	switch f.Op {
	case OpLongest, OpTotal, OpHaugh:
		return MeasureLength
	case OpShare, OpCovered:
		return MeasureShare
	case OpDepth:
		return MeasureDepth
	}
	return MeasureCount
}

// Reads reports whether the factor makes use of a measure of a finding.
func (f Factor) Reads(measure string) bool {
	switch f.Op {
	case OpHaugh:
		return measure == MeasureLength || measure == MeasureWeight
	case OpCovered:
		return measure == MeasureLength || measure == MeasureShare
	}
	return measure == f.Measure()
}
