package amount

import (
	"strconv"
	"strings"

	"keelcard/engine"
)

// Weight is a whole number of nanograms, 0 to MaxWeight.
type Weight int64

// Units of weight. The pound is 453.59237 g by definition.
const (
	Gram     Weight = 1_000_000_000
	Kilogram        = 1_000 * Gram
	Pound    Weight = 453_592_370_000
	Ounce           = Pound / 16
)

// MaxWeight is the heaviest weight that is taken, 1000 kg.
const MaxWeight = 1_000 * Kilogram

var weightUnits = []struct {
	name string
	unit Weight
}{
	{"pounds", Pound}, {"pound", Pound}, {"lbs", Pound}, {"lb.", Pound}, {"lb", Pound},
	{"ounces", Ounce}, {"ounce", Ounce}, {"oz.", Ounce}, {"oz", Ounce},
	{"kg", Kilogram}, {"g", Gram},
}

// ParseWeight reads "4 lb 3 oz", "5 1/2 lb", "3.5 oz", "2.7 kg" or "850 g". A
// unit is needed. Whole ounces and thousandths of a gram are exact; anything
// finer is rounded to the nearest nanogram.
func ParseWeight(s string) (Weight, error) {
	if len(s) > maxText {
		return 0, badWeight(s)
	}
	t := tidy(s)
	if pounds, ounces, ok := cutPounds(t); ok {
		p, err := parseOneWeight(s, pounds)
		if err != nil {
			return 0, err
		}
		o, err := parseOneWeight(s, ounces)
		if err != nil {
			return 0, err
		}
		if o >= Pound || !strings.Contains(ounces, "o") {
			return 0, badWeight(s)
		}
		if p+o > MaxWeight {
			return 0, tooHeavy(s)
		}
		return p + o, nil
	}
	return parseOneWeight(s, t)
}

// cutPounds splits "4 lb 3 oz" after the pounds; ok is false when nothing
// follows them.
func cutPounds(t string) (pounds, ounces string, ok bool) {
	for _, u := range weightUnits {
		if u.unit != Pound {
			break
		}
		if i := strings.Index(t, u.name); i >= 0 {
			end := i + len(u.name)
			return t[:end], t[end:], strings.TrimSpace(t[end:]) != ""
		}
	}
	return "", "", false
}

// parseOneWeight reads a number with one unit; given is the whole text for the
// error.
func parseOneWeight(given, t string) (Weight, error) {
	t = strings.TrimSpace(t)
	for _, u := range weightUnits {
		number, ok := strings.CutSuffix(t, u.name)
		if !ok {
			continue
		}
		f, ok := parseNumber(number)
		if !ok {
			return 0, badWeight(given)
		}
		n, fits := f.round(int64(u.unit))
		if !fits || Weight(n) > MaxWeight {
			return 0, tooHeavy(given)
		}
		return Weight(n), nil
	}
	return 0, badWeight(given)
}

func tooHeavy(s string) error {
	return engine.New(CodeRange, "", quote(s)+" is too heavy", "the heaviest weight is 1000 kg")
}

func badWeight(s string) error {
	return engine.New(CodeParse, "", quote(s)+" is no weight", `write pounds and ounces or grams, such as "4 lb 3 oz" or "1900 g"`)
}

// String gives both units, for people: "4 lb 3 oz (1899 g)". Ounces are rounded
// to the nearest 1/4, grams to the nearest gram.
func (w Weight) String() string {
	n := (4*int64(w) + int64(Ounce)/2) / int64(Ounce)
	text := poundsAndOunces(n, 4)
	if off := n*int64(Ounce) - 4*int64(w); off >= 4 || off <= -4 {
		text = "about " + text
	}
	grams := (int64(w) + int64(Gram)/2) / int64(Gram)
	return text + " (" + strconv.FormatInt(grams, 10) + " g)"
}

// poundsAndOunces writes n ounces/den as "4 lb 3 oz".
func poundsAndOunces(n, den int64) string {
	pounds, rest := n/(16*den), n%(16*den)
	switch {
	case rest == 0 && pounds > 0:
		return strconv.FormatInt(pounds, 10) + " lb"
	case pounds == 0:
		return mixed(rest, den) + " oz"
	}
	return strconv.FormatInt(pounds, 10) + " lb " + mixed(rest, den) + " oz"
}

// MarshalText is the exact form: pounds and whole ounces when they come out
// even, else grams with up to nine decimals.
func (w Weight) MarshalText() ([]byte, error) {
	if w%Ounce == 0 {
		return []byte(poundsAndOunces(int64(w/Ounce), 1)), nil
	}
	return []byte(decimal(int64(w), 9) + " g"), nil
}

// UnmarshalText reads any form ParseWeight takes.
func (w *Weight) UnmarshalText(text []byte) error {
	v, err := ParseWeight(string(text))
	if err != nil {
		return err
	}
	*w = v
	return nil
}
