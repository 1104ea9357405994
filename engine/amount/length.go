package amount

import (
	"strconv"
	"strings"

	"keelcard/engine"
)

// Length is a whole number of nanometres, 0 to MaxLength.
type Length int64

// Units of length. The inch is 25.4 mm by definition.
const (
	Micrometre  Length = 1_000
	Millimetre  Length = 1_000_000
	Centimetre         = 10 * Millimetre
	Inch        Length = 25_400_000
	SixtyFourth        = Inch / 64
)

// MaxLength is the longest length that is taken, 10 m.
const MaxLength = 10_000 * Millimetre

// lengthUnits are the endings a length may have, longer before shorter.
var lengthUnits = []struct {
	name string
	unit Length
}{
	{"inches", Inch}, {"inch", Inch}, {"in.", Inch}, {"in", Inch},
	{`"`, Inch}, {"″", Inch}, {"”", Inch}, {"''", Inch},
	{"mm", Millimetre}, {"cm", Centimetre},
}

// ParseLength reads "1 1/2 in", `1 1/2"`, "1-1/2 in", "1.5in", "¼ in", "38 mm"
// or "3.8cm". A unit is needed. A length that is no whole number of nanometres,
// such as 1/3 in, gives CodeInexact.
func ParseLength(s string) (Length, error) {
	if len(s) > maxText {
		return 0, badLength(s)
	}
	t := tidy(s)
	for _, u := range lengthUnits {
		number, ok := strings.CutSuffix(t, u.name)
		if !ok {
			continue
		}
		f, ok := parseNumber(number)
		if !ok {
			return 0, badLength(s)
		}
		n, fits, exact := f.scale(int64(u.unit))
		if !exact {
			return 0, engine.New(CodeInexact, "", quote(s)+" cannot be kept exactly", "use 64ths of an inch or millimetres")
		}
		if !fits || Length(n) > MaxLength {
			return 0, engine.New(CodeRange, "", quote(s)+" is too long", "the longest length is 10 m")
		}
		return Length(n), nil
	}
	return 0, badLength(s)
}

func badLength(s string) error {
	return engine.New(CodeParse, "", quote(s)+" is no length", `write inches or millimetres, such as "1 1/2 in" or "38 mm"`)
}

// Inches is the length to the nearest 1/64 in, with "about " in front when that
// is not exact: "1 1/2 in".
func (l Length) Inches() string {
	n := (int64(l) + int64(SixtyFourth)/2) / int64(SixtyFourth)
	text := mixed(n, 64) + " in"
	if Length(n)*SixtyFourth != l {
		return "about " + text
	}
	return text
}

// mixed writes n/den in lowest terms as "1 1/2", "3/4" or "2".
func mixed(n, den int64) string {
	whole, rest := n/den, n%den
	if rest == 0 {
		return strconv.FormatInt(whole, 10)
	}
	g := gcd(rest, den)
	part := strconv.FormatInt(rest/g, 10) + "/" + strconv.FormatInt(den/g, 10)
	if whole == 0 {
		return part
	}
	return strconv.FormatInt(whole, 10) + " " + part
}

// Millimetres is the length to the nearest 0.01 mm: "38.1 mm".
func (l Length) Millimetres() string {
	hundredths := (int64(l) + 5*int64(Micrometre)) / (10 * int64(Micrometre))
	return decimal(hundredths, 2) + " mm"
}

// String gives both units, for people: "1 1/2 in (38.1 mm)".
func (l Length) String() string { return l.Inches() + " (" + l.Millimetres() + ")" }

// MarshalText is the exact form: inches when they come out in 64ths, else
// millimetres with up to six decimals.
func (l Length) MarshalText() ([]byte, error) {
	if l%SixtyFourth == 0 {
		return []byte(l.Inches()), nil
	}
	return []byte(decimal(int64(l), 6) + " mm"), nil
}

// UnmarshalText reads any form ParseLength takes.
func (l *Length) UnmarshalText(text []byte) error {
	v, err := ParseLength(string(text))
	if err != nil {
		return err
	}
	*l = v
	return nil
}
