package amount

import (
	"strconv"
	"strings"

	"keelcard/engine"
)

// Share is a part of a whole in lowest terms: 0 <= Num <= Den. The zero Share
// is nothing of the whole.
type Share struct{ Num, Den int64 }

// shareWords are the shares people say in a word.
var shareWords = map[string]Share{
	"none": {0, 1}, "all": {1, 1}, "half": {1, 2}, "third": {1, 3}, "quarter": {1, 4},
}

// ParseShare reads "1/3", "33 %", "0.25", "half", "a third" or "a quarter".
// Anything over the whole gives CodeRange.
func ParseShare(s string) (Share, error) {
	if len(s) > maxText {
		return Share{}, badShare(s)
	}
	t := tidy(s)
	word := strings.TrimPrefix(strings.TrimPrefix(strings.TrimPrefix(t, "a "), "one "), "one-")
	if v, ok := shareWords[word]; ok {
		return v, nil
	}
	number, percent := strings.CutSuffix(t, "%")
	f, ok := parseNumber(number)
	if !ok {
		return Share{}, badShare(s)
	}
	if percent {
		den, ok := mul(f.den, 100)
		if !ok {
			return Share{}, badShare(s)
		}
		f.den = den
	}
	if f.num > f.den {
		return Share{}, engine.New(CodeRange, "", quote(s)+" is more than the whole", "write a share from 0 to 1")
	}
	v := lowest(f.num, f.den)
	if v.Den > MaxDen {
		return Share{}, badShare(s)
	}
	return v, nil
}

func badShare(s string) error {
	return engine.New(CodeParse, "", quote(s)+" is no share", `write a fraction or per cent, such as "1/3" or "30 %"`)
}

// ShareOf is the share that one length is of another. A part longer than the
// whole is the whole: a patch measured on the curve of a bird can come out
// longer than the part measured straight. It fails with CodeRange when the
// whole is nothing or either is out of range.
func ShareOf(part, whole Length) (Share, error) {
	if part < 0 || whole <= 0 || part > MaxLength || whole > MaxLength {
		return Share{}, engine.New(CodeRange, "", part.String()+" of "+whole.String()+" is no share", "measure the whole part as well")
	}
	return lowest(min(int64(part), int64(whole)), int64(whole)), nil
}

// Portion is n of den equal parts, from none to all of them; den is above 0.
func Portion(n, den int64) Share { return lowest(min(max(n, 0), den), den) }

func lowest(num, den int64) Share {
	g := gcd(num, den)
	return Share{num / g, den / g}
}

// Valid reports whether the share lies from nothing to the whole and is in
// lowest terms, as everything that parses is.
func (s Share) Valid() bool {
	return s == Share{} || s.Num >= 0 && s.Den > 0 && s.Num <= s.Den && s.Den <= MaxDen && gcd(s.Num, s.Den) == 1
}

// Times is a share of a share. It fails with CodeInexact when the product is
// finer than MaxDen.
func (s Share) Times(other Share) (Share, error) {
	if s.Num == 0 || other.Num == 0 {
		return Share{0, 1}, nil
	}
	num, ok1 := mul(s.Num, other.Num)
	den, ok2 := mul(s.Den, other.Den)
	if !ok1 || !ok2 || lowest(num, den).Den > MaxDen {
		return Share{}, tooFine(OfShare(s), OfShare(other))
	}
	return lowest(num, den), nil
}

// String is the share for people: a simple fraction as it is, anything finer to
// the nearest 0.1 per cent with "about " when that is not exact.
func (s Share) String() string {
	if s.Den == 0 || s.Num == 0 {
		return "none"
	}
	if s.Num == s.Den {
		return "all"
	}
	if s.Den <= 10 {
		return strconv.FormatInt(s.Num, 10) + "/" + strconv.FormatInt(s.Den, 10)
	}
	// Num <= MaxDen keeps the product within 64 bits.
	thousandths := (s.Num*1000 + s.Den/2) / s.Den
	text := decimal(thousandths, 1) + " %"
	if cmpFraction(s.Num, s.Den, thousandths, 1000) != 0 {
		return "about " + text
	}
	return text
}

// MarshalText is the exact form, "1/3".
func (s Share) MarshalText() ([]byte, error) {
	if s.Den == 0 {
		return []byte("0/1"), nil
	}
	return []byte(strconv.FormatInt(s.Num, 10) + "/" + strconv.FormatInt(s.Den, 10)), nil
}

// UnmarshalText reads any form ParseShare takes.
func (s *Share) UnmarshalText(text []byte) error {
	v, err := ParseShare(string(text))
	if err != nil {
		return err
	}
	*s = v
	return nil
}
