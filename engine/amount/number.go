package amount

import (
	"math"
	"math/bits"
	"strconv"
	"strings"
)

// maxText bounds the text of one amount, in bytes.
const maxText = 64

// quote shows a text as it was given, cut short when it is long.
func quote(s string) string {
	if len(s) > maxText {
		s = strings.ToValidUTF8(s[:maxText], "") + "..."
	}
	return strconv.Quote(s)
}

// fraction is a number as written: num/den, den > 0, not reduced.
type fraction struct{ num, den int64 }

// glyphs are the one-character fractions found on phone keyboards.
var glyphs = strings.NewReplacer(
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4",
	"⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
	"⅓", " 1/3", "⅔", " 2/3", "⁄", "/", "\u00a0", " ",
)

// tidy brings a text to plain lower case with ordinary fractions.
func tidy(s string) string {
	return strings.TrimSpace(strings.ToLower(glyphs.Replace(s)))
}

// parseNumber reads "3", "1.5", "3/4", "1 3/4" and "1-3/4".
func parseNumber(s string) (fraction, bool) {
	s = strings.TrimSpace(s)
	if whole, part, ok := strings.Cut(s, "/"); ok {
		return parseVulgar(whole, part)
	}
	whole, decimals, ok := strings.Cut(s, ".")
	if !ok {
		n, ok := digits(whole)
		return fraction{n, 1}, ok
	}
	return parseDecimal(whole, decimals)
}

// parseVulgar reads the two sides of "1 3 / 4".
func parseVulgar(over, under string) (fraction, bool) {
	den, ok := digits(strings.TrimSpace(under))
	if !ok || den == 0 {
		return fraction{}, false
	}
	over = strings.TrimSpace(over)
	cut := strings.LastIndexAny(over, " -")
	if cut < 0 {
		num, ok := digits(over)
		return fraction{num, den}, ok
	}
	whole, ok1 := digits(strings.TrimSpace(over[:cut]))
	num, ok2 := digits(over[cut+1:])
	base, ok3 := mul(whole, den)
	return fraction{base + num, den}, ok1 && ok2 && ok3 && num < den
}

// parseDecimal reads the two sides of "1.5"; ".5" is taken as well.
func parseDecimal(whole, decimals string) (fraction, bool) {
	if whole == "" {
		whole = "0"
	}
	n, ok1 := digits(whole)
	d, ok2 := digits(decimals)
	if !ok1 || !ok2 || len(decimals) > 9 {
		return fraction{}, false
	}
	den := int64(1)
	for range decimals {
		den *= 10
	}
	base, ok := mul(n, den)
	return fraction{base + d, den}, ok
}

// maxDigits keeps a written number, and its product with a decimal's
// denominator, within 64 bits.
const maxDigits = 15

// digits reads a text of 1 to maxDigits decimal digits and nothing else.
func digits(s string) (int64, bool) {
	if s == "" || len(s) > maxDigits {
		return 0, false
	}
	var n int64
	for _, c := range []byte(s) {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = n*10 + int64(c-'0')
	}
	return n, true
}

// scale gives f times unit, and whether it fits and is a whole number.
func (f fraction) scale(unit int64) (n int64, fits, exact bool) {
	g := gcd(unit, f.den)
	den := f.den / g
	if f.num%den != 0 {
		return 0, true, false
	}
	n, fits = mul(f.num/den, unit/g)
	return n, fits, true
}

// round gives f times unit to the nearest whole number, and whether it fits.
func (f fraction) round(unit int64) (n int64, fits bool) {
	hi, lo := bits.Mul64(uint64(f.num), uint64(unit))
	lo, carry := bits.Add64(lo, uint64(f.den)/2, 0)
	hi += carry
	if hi >= uint64(f.den) {
		return 0, false
	}
	quo, _ := bits.Div64(hi, lo, uint64(f.den))
	return int64(quo), quo <= math.MaxInt64
}

// decimal writes n/10^places without trailing zeros.
func decimal(n int64, places int) string {
	s := strconv.FormatInt(n, 10)
	for len(s) <= places {
		s = "0" + s
	}
	whole, rest := s[:len(s)-places], strings.TrimRight(s[len(s)-places:], "0")
	if rest == "" {
		return whole
	}
	return whole + "." + rest
}
