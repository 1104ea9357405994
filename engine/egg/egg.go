// Package egg holds what is computed of eggs: Haugh values, the surface of a
// shell and the share of it under a spot, weight classes, the tolerances of a
// lot, and how many cases to open.
//
// Start at Haugh for an opened egg, SpotShare for a stain, ClassOfSingle for a
// weight and GradeLot for a sample. Tables are given as data with the source of
// each line and how well it is known, so that a page can print them.
//
// Haugh values and shares need a logarithm and an arcsine. They are computed in
// floating point and rounded at once to a whole number of hundredths of a unit
// or of thousandths of a per cent; nothing is compared before that. No product
// is left open to be fused with a sum, so that every processor gives the same
// number; tests see to it that no value of the usual grid lies near a rounding
// boundary.
package egg

import (
	"math"
	"slices"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/rulebook"
)

// Codes of the errors of this package.
const (
	CodeSample engine.Code = "egg.sample" // counts that no sample can have
	CodeSize   engine.Code = "egg.size"   // lengths that no egg can have
	CodeMoment engine.Code = "egg.moment" // neither origin nor destination
)

var sources = []rulebook.Source{
	{ID: "ams-56", Title: "United States Standards, Grades, and Weight Classes for Shell Eggs, AMS 56, USDA Agricultural Marketing Service", Date: "20 Jul 2000"},
	{ID: "pennsylvania", Title: "7 Pa. Code 87.23 to 87.25 and 87.42"},
	{ID: "haugh", Title: "R. R. Haugh, The Haugh unit for measuring egg quality, as later papers print the formula", Date: "1937"},
	{ID: "hawaii", Title: "Hawaii Administrative Rules, title 4, chapter 46, Table I", Date: "1985"},
	{ID: "cfr-56", Title: "7 CFR 56.4, sampling of shell eggs"},
	{ID: "carter", Title: "T. C. Carter, The hen's egg: estimation of shell superficial area and egg volume, British Poultry Science", Date: "1975"},
}

// Sources lists what the tables of this package refer to.
func Sources() []rulebook.Source { return slices.Clone(sources) }

// whole rounds half up.
func whole(x float64) int64 { return int64(math.Floor(x + 0.5)) }

func millimetres(l amount.Length) float64 { return float64(l) / float64(amount.Millimetre) }

func grams(w amount.Weight) float64 { return float64(w) / float64(amount.Gram) }
