package contest

import (
	"slices"

	"keelcard/engine/amount"
	"keelcard/engine/points"
)

// Starter is a contest to begin from. Its settings have no name and its classes
// no hash of a book yet: whoever sets the contest up gives it a name, and each
// class takes the hash of the book it is given.
type Starter struct {
	ID       string
	Settings Settings
	Classes  []Class // numbered from 1
	Sealed   bool    // so large that official answers are better kept from phones that are not officials'
}

// The contests to begin from.
const (
	StartPractice = "practice" // ten carcasses and nothing else
	StartEggs     = "eggs"     // an evening with eggs
	StartCounty   = "county"   // a county day: a class of each sort
	StartFull     = "full"     // live birds, market poultry and eggs, as at a state or national contest
)

// Starters lists the contests to begin from, the smallest first.
//
// Every class is worth 100, reasons included (Penn State Extension, state
// poultry judging; University of Kentucky Extension 4AJ-06PA, 2021: five classes
// of 100 in market poultry). The three best of four count (Penn State, Tennessee,
// NC State). Ties are broken by reasons, then by a class that was named before
// the start, then for teams by the alternate (University of Tennessee Extension);
// which class that is here is a suggestion. The three divisions are those of the
// national contest (NC State Extension, 2019). Twenty eggs from outside and
// before the light, and ten opened ones, are Florida's numbers; ten of each and
// five cartons otherwise are common practice.
func Starters() []Starter {
	county := []Class{
		carcasses("Broiler carcasses", 4),
		hensClass("Past-production hens"),
		reasonsOn("Reasons on the hens"),
		partsToName("parts-youth"),
		eggClass("Eggs from outside", "egg-shell", 10),
	}
	full := slices.Concat(
		group("Live birds", hensClass("Past-production hens, first four"), hensClass("Past-production hens, second four"), reasonsOn("Reasons on the first four hens")),
		group("Market poultry", carcasses("Broiler carcasses", 4), carcasses("Roaster carcasses", 7), partsToName("parts-30"), partsToGrade(), breaded()),
		group("Eggs", eggClass("Eggs from outside", "egg-shell", 20), eggClass("Eggs before the light", "egg-candled", 20), eggClass("Opened eggs", "egg-opened", 10), cartons()),
	)
	eggs := []Class{eggClass("Eggs from outside", "egg-shell", 10), eggClass("Eggs before the light", "egg-candled", 10), eggClass("Opened eggs", "egg-opened", 10), cartons()}
	return []Starter{
		{ID: StartPractice, Classes: worth100([]Class{carcasses("Ten broiler carcasses", 4)})},
		{ID: StartEggs, Classes: worth100(eggs)},
		{StartCounty, teamDay(3, 1), worth100(county), true},
		{StartFull, teamDay(3, 4), worth100(full), true},
	}
}

// teamDay is the settings of a contest with teams, where ties are broken by the
// class of reasons and then by another one.
func teamDay(reasons, then uint32) Settings {
	return Settings{
		TeamBest: 3, TeamMost: 4, Divisions: []string{"Junior", "Senior"},
		Ties: []Tie{{Classes: []uint32{reasons}}, {Classes: []uint32{then}}, {Alternate: true}},
	}
}

func worth100(classes []Class) []Class {
	for i := range classes {
		classes[i].No = uint32(i + 1)
		classes[i].Worth = points.Of(100)
	}
	return classes
}

func group(division string, classes ...Class) []Class {
	for i := range classes {
		classes[i].Division = division
	}
	return classes
}

func carcasses(name string, pounds amount.Weight) Class {
	return Class{Name: name, Kind: Graded, Items: 10, Book: "carcass-youth", Bird: "chicken", Weight: pounds * amount.Pound}
}

func hensClass(name string) Class { return Class{Name: name, Kind: Placing, Items: 4} }

func reasonsOn(name string) Class { return Class{Name: name, Kind: Awarded, Reasons: true} }

func partsToName(list string) Class {
	return Class{Name: "Parts to name", Kind: Identified, Items: 10, List: list}
}

func partsToGrade() Class {
	return Class{Name: "Parts to grade", Kind: Graded, Items: 10, Book: "parts-youth", Bird: "leg-quarter", Weight: 4 * amount.Pound}
}

func breaded() Class {
	return Class{Name: "Breaded products", Kind: Checked, Items: 10, Book: "breaded", Bird: "nugget"}
}

func eggClass(name, book string, eggs int) Class {
	return Class{Name: name, Kind: Graded, Items: eggs, Book: book}
}

func cartons() Class { return Class{Name: "Eggs in cartons", Kind: Checked, Items: 5, Book: "carton"} }
