package egg

import (
	"math"
	"slices"

	"keelcard/engine/amount"
	"keelcard/engine/rulebook"
)

// Form is a formula as it is printed. H is the height of the thick white in
// millimetres, W the weight of the egg in grams.
type Form struct {
	ID         string // rulebook.FormFull and its sisters
	Formula    string
	Source     string
	Confidence string
	Note       string
}

var forms = []Form{
	{rulebook.FormFull, "100 log(H - 5.6745 (30 W^0.37 - 100) / 100 + 1.9)", "haugh", rulebook.Read, "The root of 32.2 is taken as 5.6745, as it is printed. At 2 oz the value is almost 100 log H."},
	{rulebook.Form757, "100 log(H - 1.7 W^0.37 + 7.57)", "haugh", rulebook.Read, "Short form; it differs from the full one by less than 0.2 for eggs of 45 to 75 g with a white of 2.4 mm or more."},
	{rulebook.Form76, "100 log(H - 1.7 W^0.37 + 7.6)", "haugh", rulebook.Read, "Short form with the last figure rounded; 0.2 to 0.5 higher, more for a low white."},
}

// Forms lists the forms of the formula.
func Forms() []Form { return slices.Clone(forms) }

// tiny is a bracket that may be nothing but the rounding of its terms.
const tiny = 1e-9

// offset is what the formula takes from a height in millimetres, so that its
// bracket is the height less this. ok is false for a form it does not know.
func offset(weight amount.Weight, form string) (mm float64, ok bool) {
	power := math.Pow(grams(weight), 0.37)
	switch form {
	case rulebook.FormFull:
		return float64(5.6745*(float64(30*power)-100))/100 - 1.9, true
	case rulebook.Form757:
		return float64(1.7*power) - 7.57, true
	case rulebook.Form76:
		return float64(1.7*power) - 7.6, true
	}
	return 0, false
}

// Haugh gives the Haugh value of a white by one form of the formula, to the
// nearest hundredth of a unit, a half rounded up. ok is false where there is no
// value: the bracket of the formula is not above zero, or height or weight are
// none. Such a white is lower than any the formula was made for.
func Haugh(height amount.Length, weight amount.Weight, form string) (value amount.Haugh, ok bool) {
	if height < 0 || height > amount.MaxLength || weight <= 0 || weight > amount.MaxWeight {
		return 0, false
	}
	off, known := offset(weight, form)
	bracket := millimetres(height) - off
	if !known || bracket < tiny {
		return 0, false
	}
	return amount.Haugh(whole(float64(100*amount.HaughUnit) * math.Log10(bracket))), true
}

// heightStep is the step in which heights are asked for.
const heightStep = 10 * amount.Micrometre

// LeastHeight gives the least height of white, in steps of 0.01 mm, with which
// an egg of a weight reaches a Haugh value. ok is false when no height does, or
// the form is not known.
func LeastHeight(value amount.Haugh, weight amount.Weight, form string) (height amount.Length, ok bool) {
	off, known := offset(weight, form)
	if !known || weight <= 0 || weight > amount.MaxWeight || value > amount.MaxHaugh {
		return 0, false
	}
	mm := math.Pow(10, float64(value)/float64(100*amount.HaughUnit)) + off
	if mm > millimetres(amount.MaxLength-amount.Millimetre) {
		return 0, false
	}
	// The formula gives the place but for the last step, which rounding decides.
	height = max(0, amount.Length(math.Floor(mm*100))-2) * heightStep
	for {
		if got, ok := Haugh(height, weight, form); ok && got >= value {
			return height, true
		}
		height += heightStep
	}
}
