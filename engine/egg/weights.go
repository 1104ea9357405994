package egg

import (
	"slices"

	"keelcard/engine/amount"
	"keelcard/engine/rulebook"
)

// WeightClass is one weight class of eggs. Weights of a dozen are net.
type WeightClass struct {
	ID         string
	Name       string
	Dozen      amount.Weight // the least average of a dozen
	Case       amount.Weight // the least for thirty dozen, as it is printed
	Single     amount.Weight // the least rate of a dozen at which a single egg may be; 0 when any will do
	Source     string
	Confidence string
}

var weightClasses = []WeightClass{
	weightClass("jumbo", "Jumbo", 30, 112, 29),
	weightClass("extra-large", "Extra large", 27, 101, 26),
	weightClass("large", "Large", 24, 90, 23),
	weightClass("medium", "Medium", 21, 79, 20),
	weightClass("small", "Small", 18, 68, 17),
	weightClass("peewee", "Peewee", 15, 56, 0),
}

// weightClass takes ounces a dozen and half pounds a case.
func weightClass(id, name string, dozen, halfPounds, single int) WeightClass {
	return WeightClass{id, name, amount.Weight(dozen) * amount.Ounce, amount.Weight(halfPounds) * amount.Pound / 2, amount.Weight(single) * amount.Ounce, "pennsylvania", rulebook.Read}
}

// WeightClasses lists the weight classes, heaviest first.
func WeightClasses() []WeightClass { return slices.Clone(weightClasses) }

// SingleEgg is the least a single egg of the class may weigh, rounded up to a
// whole nanogram.
func (c WeightClass) SingleEgg() amount.Weight { return (c.Single + 11) / 12 }

// Average is the least average weight of an egg of the class, rounded up to a
// whole nanogram.
func (c WeightClass) Average() amount.Weight { return (c.Dozen + 11) / 12 }

// ClassOfSingle gives the heaviest class that a single egg may be packed with.
// Any egg may be a Peewee. ok is false without a weight.
func ClassOfSingle(w amount.Weight) (class WeightClass, ok bool) {
	for _, c := range weightClasses {
		if w > 0 && w >= c.SingleEgg() {
			return c, true
		}
	}
	return WeightClass{}, false
}

// ClassOfLot gives the heaviest class that a number of eggs make by their
// average. ok is false when they make none.
func ClassOfLot(total amount.Weight, eggs int) (class WeightClass, ok bool) {
	if eggs <= 0 || eggs > amount.MaxCount || total <= 0 || total > amount.MaxWeight {
		return WeightClass{}, false
	}
	for _, c := range weightClasses {
		if 12*total >= c.Dozen*amount.Weight(eggs) {
			return c, true
		}
	}
	return WeightClass{}, false
}

// LightEggs is a tolerance for eggs lighter than a single egg of the class may
// be, which fall into the next lower class.
type LightEggs struct {
	Of         string // "lot", the average of all cases, or "case", each of them
	Most       amount.Share
	Source     string
	Confidence string
}

// The groups for which light eggs are counted.
const (
	OfLot  = "lot"
	OfCase = "case"
)

var lightEggs = []LightEggs{
	{OfLot, amount.Share{Num: 33, Den: 1000}, "pennsylvania", rulebook.Read},
	{OfCase, amount.Share{Num: 1, Den: 20}, "pennsylvania", rulebook.Read},
}

// LightTolerances lists how many light eggs a lot and a case may hold.
func LightTolerances() []LightEggs { return slices.Clone(lightEggs) }

// Case is a case of a lot that was weighed egg by egg.
type Case struct {
	Eggs  int // weighed
	Light int // of those, in the next lower class
}

// LightCase is a tolerance for light eggs that is exceeded.
type LightCase struct {
	LightEggs
	Case  int // its place, from 0; -1 for the lot
	Found amount.Share
}

// CheckLight gives the tolerances that the cases of a lot exceed. It fails with
// CodeSample when a case has no eggs or more light eggs than eggs.
func CheckLight(cases []Case) ([]LightCase, error) {
	var out []LightCase
	var all Case
	for i, c := range cases {
		if c.Eggs <= 0 || c.Light < 0 || c.Light > c.Eggs || c.Eggs > amount.MaxCount {
			return nil, badSample(c.Light, c.Eggs)
		}
		all.Eggs, all.Light = all.Eggs+c.Eggs, all.Light+c.Light
		out = exceeds(out, c, OfCase, i)
	}
	if all.Eggs == 0 {
		return nil, badSample(0, 0)
	}
	return exceeds(out, all, OfLot, -1), nil
}

func exceeds(out []LightCase, c Case, of string, place int) []LightCase {
	found := amount.Portion(int64(c.Light), int64(c.Eggs))
	for _, t := range lightEggs {
		if t.Of == of && over(found, t.Most) {
			out = append(out, LightCase{t, place, found})
		}
	}
	return out
}

// over reports whether one share is more than another.
func over(a, b amount.Share) bool {
	order, _ := amount.OfShare(a).Cmp(amount.OfShare(b)) // both are shares
	return order > 0
}
