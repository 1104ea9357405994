// Package amount holds measured sizes exactly: lengths, weights, shares of a
// part, Haugh values and counts.
//
// A length is a whole number of nanometres, so that 1/64 in (396,875 nm) and
// 0.01 mm are both exact; a weight is a whole number of nanograms; a share is a
// fraction in lowest terms. Nothing here uses floating point: 1/3 is 1/3, and
// a cut of exactly 1/4 in is equal to a limit of 1/4 in. Start at Parse when the
// dimension is known from a rule, at ParseLength and its sisters when it is not.
//
// Each type has two text forms: String for people, which may round, and the
// form of MarshalText, which is exact and is read back to the same value.
package amount

import (
	"math"
	"math/bits"
	"strconv"
	"strings"

	"keelcard/engine"
)

// Codes of the errors of this package.
const (
	CodeParse     engine.Code = "amount.parse"     // the text is no amount of the wanted kind
	CodeRange     engine.Code = "amount.range"     // the amount is too large, or below nothing
	CodeInexact   engine.Code = "amount.inexact"   // the amount has no exact form
	CodeDimension engine.Code = "amount.dimension" // two amounts of different kinds
)

// Dim says what kind of size an amount is.
type Dim uint8

// The dimensions an amount can have.
const (
	DimCount Dim = iota + 1
	DimLength
	DimShare
	DimWeight
	DimHaugh
)

// String names the dimension in one word.
func (d Dim) String() string {
	switch d {
	case DimCount:
		return "count"
	case DimLength:
		return "length"
	case DimShare:
		return "share"
	case DimWeight:
		return "weight"
	case DimHaugh:
		return "Haugh value"
	}
	return "unknown"
}

// MaxCount is the largest count that is taken.
const MaxCount = 1_000_000

// MaxDen is the largest denominator a sum of shares may grow to. It keeps every
// later comparison and difference within 64 bits.
const MaxDen = 100_000_000_000_000

// Amount is an exact size of one dimension: Num/Den nanometres, nanograms,
// whole parts, hundredths of a Haugh unit or things. Den is 1 except for shares. The zero Amount has no
// dimension and equals nothing.
type Amount struct {
	Dim Dim
	Num int64
	Den int64
}

// Count is an amount of n things.
func Count(n int) Amount { return Amount{DimCount, int64(n), 1} }

// OfLength is a length as an amount.
func OfLength(l Length) Amount { return Amount{DimLength, int64(l), 1} }

// OfShare is a share as an amount.
func OfShare(s Share) Amount {
	if s.Den == 0 {
		return Amount{DimShare, 0, 1}
	}
	return Amount{DimShare, s.Num, s.Den}
}

// OfWeight is a weight as an amount.
func OfWeight(w Weight) Amount { return Amount{DimWeight, int64(w), 1} }

// Zero is no amount at all of dimension d.
func Zero(d Dim) Amount { return Amount{d, 0, 1} }

// IsZero reports whether the amount is nothing.
func (a Amount) IsZero() bool { return a.Num == 0 }

// Cmp compares exactly: -1 when a is less than b, 0 when equal, +1 when more.
// Amounts of different dimensions give CodeDimension.
func (a Amount) Cmp(b Amount) (int, error) {
	if err := sameDim(a, b); err != nil {
		return 0, err
	}
	return cmpFraction(a.Num, a.Den, b.Num, b.Den), nil
}

// cmpFraction compares two fractions with signed numerators and positive
// denominators, using 128-bit products.
func cmpFraction(an, ad, bn, bd int64) int {
	if (an < 0) != (bn < 0) {
		if an < 0 {
			return -1
		}
		return 1
	}
	sign := 1
	if an < 0 {
		sign = -1
	}
	ahi, alo := bits.Mul64(magnitude(an), uint64(bd))
	bhi, blo := bits.Mul64(magnitude(bn), uint64(ad))
	switch {
	case ahi < bhi || ahi == bhi && alo < blo:
		return -sign
	case ahi > bhi || alo > blo:
		return sign
	}
	return 0
}

func magnitude(n int64) uint64 {
	if n < 0 {
		return uint64(-n)
	}
	return uint64(n)
}

// Add gives a + b. A sum of shares is kept in lowest terms. It fails with
// CodeDimension for different dimensions, CodeRange on overflow, and
// CodeInexact when a denominator would pass MaxDen.
func (a Amount) Add(b Amount) (Amount, error) { return combine(a, b, 1) }

// Sub gives a - b. It fails like Add, and with CodeRange when b is more than a.
func (a Amount) Sub(b Amount) (Amount, error) {
	d, err := combine(a, b, -1)
	if err != nil {
		return Amount{}, err
	}
	if d.Num < 0 {
		return Amount{}, engine.New(CodeRange, "", b.String()+" is more than "+a.String(), "take the smaller from the larger")
	}
	return d, nil
}

func combine(a, b Amount, sign int64) (Amount, error) {
	if err := sameDim(a, b); err != nil {
		return Amount{}, err
	}
	g := gcd(a.Den, b.Den)
	left, ok1 := mul(a.Num, b.Den/g)
	right, ok2 := mul(b.Num, a.Den/g)
	den, ok3 := mul(a.Den, b.Den/g)
	if !ok1 || !ok2 || !ok3 {
		return Amount{}, tooFine(a, b)
	}
	num, ok := add(left, sign*right)
	if !ok {
		return Amount{}, engine.New(CodeRange, "", a.String()+" and "+b.String()+" are too large together", "check the sizes")
	}
	if r := gcd(num, den); r > 1 {
		num, den = num/r, den/r
	}
	if den > MaxDen {
		return Amount{}, tooFine(a, b)
	}
	return Amount{a.Dim, num, den}, nil
}

func tooFine(a, b Amount) error {
	return engine.New(CodeInexact, "", a.String()+" and "+b.String()+" cannot be added exactly", "give the shares in whole per cent")
}

func sameDim(a, b Amount) error {
	if a.Dim == b.Dim && a.Dim != 0 && a.Den > 0 && b.Den > 0 {
		return nil
	}
	return engine.New(CodeDimension, "", "a "+a.Dim.String()+" and a "+b.Dim.String()+" cannot be compared", "compare amounts of one kind")
}

// mul multiplies two numbers and reports whether the product fits.
func mul(a, b int64) (int64, bool) {
	hi, lo := bits.Mul64(magnitude(a), magnitude(b))
	if hi != 0 || lo > math.MaxInt64 {
		return 0, false
	}
	if (a < 0) != (b < 0) {
		return -int64(lo), true
	}
	return int64(lo), true
}

// add adds two numbers and reports whether the sum fits.
func add(a, b int64) (int64, bool) {
	s := a + b
	return s, (b >= 0) == (s >= a)
}

func gcd(a, b int64) int64 {
	if a < 0 {
		a = -a
	}
	for b != 0 {
		a, b = b, a%b
	}
	if a == 0 {
		return 1
	}
	return a
}

// String is the amount for people, in the units of its dimension.
func (a Amount) String() string {
	switch a.Dim {
	case DimCount:
		return strconv.FormatInt(a.Num, 10)
	case DimLength:
		return Length(a.Num).String()
	case DimShare:
		return Share{a.Num, a.Den}.String()
	case DimWeight:
		return Weight(a.Num).String()
	case DimHaugh:
		return Haugh(a.Num).String()
	}
	return "no amount"
}

// MarshalText gives the exact form: "2", "1/4 in", "1.95 mm", "1/3", "4 lb 3 oz",
// "72 HU".
func (a Amount) MarshalText() ([]byte, error) {
	switch a.Dim {
	case DimCount:
		return strconv.AppendInt(nil, a.Num, 10), nil
	case DimLength:
		return Length(a.Num).MarshalText()
	case DimShare:
		return Share{a.Num, a.Den}.MarshalText()
	case DimWeight:
		return Weight(a.Num).MarshalText()
	case DimHaugh:
		return []byte(Haugh(a.Num).String()), nil
	}
	return nil, engine.New(CodeDimension, "", "an amount without a dimension cannot be written", "make it with Count, OfLength, OfShare, OfWeight or OfHaugh")
}

// UnmarshalText reads what MarshalText writes; the unit tells the dimension, a
// bare whole number is a count.
func (a *Amount) UnmarshalText(text []byte) error {
	s := strings.TrimSpace(string(text))
	d := DimCount
	switch {
	case s == noHaugh:
		*a = OfHaugh(NoHaugh)
		return nil
	case strings.HasSuffix(s, "HU"):
		d = DimHaugh
	case strings.HasSuffix(s, "in") || strings.HasSuffix(s, "mm"):
		d = DimLength
	case strings.HasSuffix(s, "lb") || strings.HasSuffix(s, "oz") || strings.HasSuffix(s, "g"):
		d = DimWeight
	case strings.Contains(s, "/"):
		d = DimShare
	}
	got, err := Parse(s, d)
	if err != nil {
		return err
	}
	*a = got
	return nil
}

// Parse reads an amount whose dimension is known. Errors have CodeParse,
// CodeRange or CodeInexact.
func Parse(s string, d Dim) (Amount, error) {
	switch d {
	case DimCount:
		n, err := parseCount(s)
		return Amount{DimCount, n, 1}, err
	case DimLength:
		l, err := ParseLength(s)
		return OfLength(l), err
	case DimShare:
		v, err := ParseShare(s)
		return OfShare(v), err
	case DimWeight:
		w, err := ParseWeight(s)
		return OfWeight(w), err
	case DimHaugh:
		h, err := ParseHaugh(s)
		return OfHaugh(h), err
	}
	return Amount{}, engine.New(CodeDimension, "", "no dimension to read "+quote(s)+" in", "ask for a count, length, share, weight or Haugh value")
}

func parseCount(s string) (int64, error) {
	t := strings.TrimSpace(s)
	n, ok := digits(t)
	if !ok {
		return 0, engine.New(CodeParse, "", quote(s)+" is no count", "write a whole number such as 2")
	}
	if n > MaxCount {
		return 0, engine.New(CodeRange, "", quote(s)+" is too many", "the largest count is 1000000")
	}
	return n, nil
}
