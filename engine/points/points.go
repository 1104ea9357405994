// Package points holds exact contest points. A total is never a float and
// never wraps around: every sum is checked.
package points

import (
	"math"
	"math/bits"
	"strconv"
	"strings"

	"keelcard/engine"
)

// Points is an amount of contest points in hundredths: 750 is 7.5 points.
// Hundredths hold every published scale (whole and half points) and leave room
// for classes scaled to another worth.
type Points int64

// One is a single whole point.
const One Points = 100

// Stable codes of this package's errors.
const (
	CodeSyntax   engine.Code = "points.syntax"   // the text is no number of points
	CodeFine     engine.Code = "points.fine"     // finer than a hundredth
	CodeOverflow engine.Code = "points.overflow" // too large to hold
)

// Of makes n whole points. It is meant for constants and small counts: n must
// lie within ±90,000,000,000,000,000.
func Of(n int) Points { return Points(n) * One }

// Add gives a + b, or an error with CodeOverflow.
func Add(a, b Points) (Points, error) {
	sum := a + b
	if (b > 0 && sum < a) || (b < 0 && sum > a) {
		return 0, overflow(a.String() + " + " + b.String())
	}
	return sum, nil
}

// Sub gives a − b, or an error with CodeOverflow.
func Sub(a, b Points) (Points, error) {
	diff := a - b
	if (b > 0 && diff > a) || (b < 0 && diff < a) {
		return 0, overflow(a.String() + " - " + b.String())
	}
	return diff, nil
}

// Sum adds all values, 0 for none. It refuses as soon as a partial sum cannot
// be held.
func Sum(values ...Points) (Points, error) {
	var total Points
	for _, v := range values {
		var err error
		if total, err = Add(total, v); err != nil {
			return 0, err
		}
	}
	return total, nil
}

// Scale gives p·num/den rounded to the nearest hundredth, halves upward. It is
// how a class worth 50 becomes one worth 100. p and num must not be negative
// and den must be positive; anything else, and a result that cannot be held,
// is refused with CodeOverflow.
func Scale(p, num, den Points) (Points, error) {
	what := p.String() + " * " + num.String() + " / " + den.String()
	if p < 0 || num < 0 || den <= 0 {
		return 0, overflow(what)
	}
	hi, lo := bits.Mul64(uint64(p), uint64(num))
	lo, carry := bits.Add64(lo, uint64(den)/2, 0)
	hi += carry
	if hi >= uint64(den) {
		return 0, overflow(what)
	}
	quo, _ := bits.Div64(hi, lo, uint64(den))
	if quo > math.MaxInt64 {
		return 0, overflow(what)
	}
	return Points(quo), nil
}

func overflow(what string) *engine.Error {
	return engine.New(CodeOverflow, "", what+" cannot be held as points", "use smaller numbers")
}

// Parse reads "7", "7.5", "-3" or "0.25". Spaces around are ignored. Exponents,
// a bare point and anything finer than a hundredth are refused.
func Parse(s string) (Points, error) {
	text := strings.TrimSpace(s)
	digits, negative := strings.CutPrefix(text, "-")
	whole, fraction, dotted := strings.Cut(digits, ".")
	if !allDigits(whole) || (dotted && !allDigits(fraction)) {
		return 0, engine.New(CodeSyntax, "", strconv.Quote(s)+" is not a number of points", `write it like "7" or "7.5"`)
	}
	fraction = strings.TrimRight(fraction, "0")
	if len(fraction) > 2 {
		return 0, engine.New(CodeFine, "", strconv.Quote(s)+" is finer than a hundredth of a point", "use at most two decimals")
	}
	fraction += "00"[len(fraction):]
	sign := ""
	if negative {
		sign = "-"
	}
	n, err := strconv.ParseInt(sign+whole+fraction, 10, 64)
	if err != nil {
		return 0, overflow(strconv.Quote(s))
	}
	return Points(n), nil
}

func allDigits(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}

// String writes the points without needless zeros: "7", "7.5", "-0.25".
func (p Points) String() string {
	sign, size := "", uint64(p)
	if p < 0 {
		sign, size = "-", -size
	}
	s := sign + strconv.FormatUint(size/100, 10)
	if cents := size % 100; cents != 0 {
		s += "." + strings.TrimRight(strconv.FormatUint(100+cents, 10)[1:], "0")
	}
	return s
}

// MarshalText writes the form of String, which is how points are stored.
func (p Points) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// UnmarshalText reads what Parse reads.
func (p *Points) UnmarshalText(text []byte) error {
	v, err := Parse(string(text))
	if err != nil {
		return err
	}
	*p = v
	return nil
}
