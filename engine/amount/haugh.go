package amount

import (
	"strings"

	"keelcard/engine"
)

// Haugh is a Haugh value in hundredths of a unit, -MaxHaugh to MaxHaugh: 7150
// is 71.5 HU. A low white on a heavy egg can come out below nothing.
type Haugh int64

// HaughUnit is one Haugh unit.
const HaughUnit Haugh = 100

// MaxHaugh bounds the values that are taken, 1000 HU. An egg of the finest
// white has about 110.
const MaxHaugh = 1000 * HaughUnit

// NoHaugh is a height for which the formula has no value. It is less than every
// value: so low a white is below each limit.
const NoHaugh Haugh = -1 << 40

const noHaugh = "not measurable"

// OfHaugh is a Haugh value as an amount.
func OfHaugh(h Haugh) Amount { return Amount{DimHaugh, int64(h), 1} }

// Measurable reports whether the amount has a size; only a Haugh value can lack
// one.
func (a Amount) Measurable() bool { return a.Dim != DimHaugh || Haugh(a.Num) != NoHaugh }

// ParseHaugh reads "72 HU", "71.55 HU" or "-3 HU". A unit is needed. Anything
// finer than a hundredth gives CodeInexact.
func ParseHaugh(s string) (Haugh, error) {
	number, ok := strings.CutSuffix(tidy(s[:min(len(s), maxText)]), "hu")
	positive, below := strings.CutPrefix(number, "-")
	f, good := parseNumber(positive)
	if !ok || !good || len(s) > maxText {
		return 0, engine.New(CodeParse, "", quote(s)+" is no Haugh value", `write Haugh units, such as "72 HU"`)
	}
	n, fits, exact := f.scale(int64(HaughUnit))
	if !exact {
		return 0, engine.New(CodeInexact, "", quote(s)+" cannot be kept exactly", "use hundredths of a unit")
	}
	if !fits || Haugh(n) > MaxHaugh {
		return 0, engine.New(CodeRange, "", quote(s)+" is out of range", "the largest value is 1000 HU")
	}
	if below {
		n = -n
	}
	return Haugh(n), nil
}

// String is the value with its unit, "71.55 HU", and is exact; "not measurable"
// for NoHaugh.
func (h Haugh) String() string {
	if h == NoHaugh {
		return noHaugh
	}
	sign := ""
	if h < 0 {
		sign, h = "-", -h
	}
	return sign + decimal(int64(h), 2) + " HU"
}
