package amount_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/enginetest"
)

// The inch is 25.4 mm and the pound 453.59237 g, both by definition
// (international yard and pound agreement, 1959).
func TestUnits(t *testing.T) {
	if amount.Inch != 25_400_000 || amount.SixtyFourth != 396_875 || amount.SixtyFourth*64 != amount.Inch {
		t.Errorf("an inch is %d nm, a 64th %d", amount.Inch, amount.SixtyFourth)
	}
	if amount.Pound != 453_592_370_000 || amount.Ounce*16 != amount.Pound {
		t.Errorf("a pound is %d ng, an ounce %d", amount.Pound, amount.Ounce)
	}
}

var lengths = []struct {
	text string
	want amount.Length
}{
	{"1 1/2 in", 38_100_000},
	{`1 1/2"`, 38_100_000},
	{"1-1/2 in", 38_100_000},
	{"1½ in", 38_100_000},
	{"1.5in", 38_100_000},
	{"1 1/2 inches", 38_100_000},
	{"¼ in", 6_350_000},
	{".25 in", 6_350_000},
	{" 1 / 4 IN ", 6_350_000},
	{"1/64 in", 396_875},
	{"63/64 in", 25_003_125},
	{"5/4 in", 31_750_000},
	{"38 mm", 38_000_000},
	{"38.1mm", 38_100_000},
	{"3.8cm", 38_000_000},
	{"1.95 mm", 1_950_000},
	{"0.000001 mm", 1},
	{"0 in", 0},
	{"10000 mm", 10_000_000_000},
}

func TestParseLength(t *testing.T) {
	for _, tc := range lengths {
		got, err := amount.ParseLength(tc.text)
		if err != nil || got != tc.want {
			t.Errorf("%q: got %d, %v; want %d", tc.text, got, err, tc.want)
		}
	}
}

var badLengths = []struct {
	text string
	code engine.Code
}{
	{"", amount.CodeParse},
	{"in", amount.CodeParse},
	{"1 1/2", amount.CodeParse},
	{"one in", amount.CodeParse},
	{"-1 in", amount.CodeParse},
	{"1/0 in", amount.CodeParse},
	{"1 3/2 in", amount.CodeParse},
	{"1 1 1/2 in", amount.CodeParse},
	{"1,5 in", amount.CodeParse},
	{"1e3 mm", amount.CodeParse},
	{"1.0000000001 mm", amount.CodeParse},
	{"NaN mm", amount.CodeParse},
	{strings.Repeat("1", 70) + " mm", amount.CodeParse},
	{"1/3 in", amount.CodeInexact},
	{"0.0000001 mm", amount.CodeInexact},
	{"10001 mm", amount.CodeRange},
	{"999999999999999 in", amount.CodeRange},
}

func TestParseLengthRefuses(t *testing.T) {
	for _, tc := range badLengths {
		if got, err := amount.ParseLength(tc.text); engine.CodeOf(err) != tc.code {
			t.Errorf("%q: got %d, %v; want code %s", tc.text, got, err, tc.code)
		}
	}
}

// Millimetres of common fractions: 1/32, 1/16, 1/8, 3/16, 1/4, 3/8 in and so on
// as computed from 25.4 mm to the inch.
func TestLengthReads(t *testing.T) {
	for _, tc := range []struct {
		length     amount.Length
		inches, mm string
	}{
		{amount.Inch / 32, "1/32 in", "0.79 mm"},
		{amount.Inch / 16, "1/16 in", "1.59 mm"},
		{amount.Inch / 8, "1/8 in", "3.18 mm"},
		{3 * amount.Inch / 16, "3/16 in", "4.76 mm"},
		{amount.Inch / 4, "1/4 in", "6.35 mm"},
		{3 * amount.Inch / 8, "3/8 in", "9.53 mm"},
		{3 * amount.Inch / 2, "1 1/2 in", "38.1 mm"},
		{2 * amount.Inch, "2 in", "50.8 mm"},
		{1_950_000, "about 5/64 in", "1.95 mm"}, // a five-cent coin
		{0, "0 in", "0 mm"},
	} {
		if got := tc.length.Inches(); got != tc.inches {
			t.Errorf("%d nm: %q, want %q", tc.length, got, tc.inches)
		}
		if got := tc.length.Millimetres(); got != tc.mm {
			t.Errorf("%d nm: %q, want %q", tc.length, got, tc.mm)
		}
	}
	if got := (3 * amount.Inch / 2).String(); got != "1 1/2 in (38.1 mm)" {
		t.Errorf("got %q", got)
	}
}

var weights = []struct {
	text string
	want amount.Weight
}{
	{"4 lb 3 oz", 67 * amount.Ounce},
	{"4lb3oz", 67 * amount.Ounce},
	{"4 lbs 3.5 oz", 67*amount.Ounce + 14_174_761_563}, // half an ounce is 14174761562.5 ng
	{"2 1/2 lb", 40 * amount.Ounce},
	{"2.5 lb", 40 * amount.Ounce},
	{"12 oz", 12 * amount.Ounce},
	{"2.7 kg", 2_700 * amount.Gram},
	{"850 g", 850 * amount.Gram},
	{"0 g", 0},
}

func TestParseWeight(t *testing.T) {
	for _, tc := range weights {
		got, err := amount.ParseWeight(tc.text)
		if err != nil || got != tc.want {
			t.Errorf("%q: got %d, %v; want %d", tc.text, got, err, tc.want)
		}
	}
}

func TestParseWeightRefuses(t *testing.T) {
	for text, code := range map[string]engine.Code{
		"":             amount.CodeParse,
		"4":            amount.CodeParse,
		"4 lb 3":       amount.CodeParse,
		"4 lb 16 oz":   amount.CodeParse,
		"4 lb 3 g":     amount.CodeParse,
		"4 lb 3 lb":    amount.CodeParse,
		"-4 lb":        amount.CodeParse,
		"heavy":        amount.CodeParse,
		"1001 kg":      amount.CodeRange,
		"9999999999 g": amount.CodeRange,
	} {
		if got, err := amount.ParseWeight(text); engine.CodeOf(err) != code {
			t.Errorf("%q: got %d, %v; want code %s", text, got, err, code)
		}
	}
}

// 2, 6 and 16 lb in grams, computed from the definition of the pound.
func TestWeightReads(t *testing.T) {
	for _, tc := range []struct {
		weight amount.Weight
		want   string
	}{
		{2 * amount.Pound, "2 lb (907 g)"},
		{6 * amount.Pound, "6 lb (2722 g)"},
		{16 * amount.Pound, "16 lb (7257 g)"},
		{67 * amount.Ounce, "4 lb 3 oz (1899 g)"},
		{3 * amount.Ounce, "3 oz (85 g)"},
		{3*amount.Ounce + 14_174_761_563, "3 1/2 oz (99 g)"},
		{1900 * amount.Gram, "about 4 lb 3 oz (1900 g)"},
		{0, "0 oz (0 g)"},
	} {
		if got := tc.weight.String(); got != tc.want {
			t.Errorf("%d ng: %q, want %q", tc.weight, got, tc.want)
		}
	}
}

func TestShare(t *testing.T) {
	for _, tc := range []struct {
		text, shown string
		want        amount.Share
	}{
		{"1/3", "1/3", amount.Share{Num: 1, Den: 3}},
		{"⅓", "1/3", amount.Share{Num: 1, Den: 3}},
		{"2/6", "1/3", amount.Share{Num: 1, Den: 3}},
		{"a third", "1/3", amount.Share{Num: 1, Den: 3}},
		{"33 %", "33 %", amount.Share{Num: 33, Den: 100}},
		{"33.33%", "about 33.3 %", amount.Share{Num: 3333, Den: 10000}},
		{"0.25", "1/4", amount.Share{Num: 1, Den: 4}},
		{"half", "1/2", amount.Share{Num: 1, Den: 2}},
		{"0", "none", amount.Share{Num: 0, Den: 1}},
		{"100 %", "all", amount.Share{Num: 1, Den: 1}},
	} {
		got, err := amount.ParseShare(tc.text)
		if err != nil || got != tc.want {
			t.Errorf("%q: got %v, %v; want %v", tc.text, got, err, tc.want)
		}
		if got.String() != tc.shown {
			t.Errorf("%q reads %q, want %q", tc.text, got.String(), tc.shown)
		}
	}
	for text, code := range map[string]engine.Code{
		"":      amount.CodeParse,
		"much":  amount.CodeParse,
		"1/0":   amount.CodeParse,
		"-1/3":  amount.CodeParse,
		"4/3":   amount.CodeRange,
		"101 %": amount.CodeRange,
	} {
		if got, err := amount.ParseShare(text); engine.CodeOf(err) != code {
			t.Errorf("%q: got %v, %v; want code %s", text, got, err, code)
		}
	}
}

func TestShareOfLengths(t *testing.T) {
	got, err := amount.ShareOf(2*amount.Inch, 6*amount.Inch)
	if err != nil || got != (amount.Share{Num: 1, Den: 3}) {
		t.Errorf("2 in of 6 in is %v, %v", got, err)
	}
	if got, _ = amount.ShareOf(7*amount.Inch, 6*amount.Inch); got != (amount.Share{Num: 1, Den: 1}) {
		t.Errorf("more than the whole is %v", got)
	}
	if _, err = amount.ShareOf(amount.Inch, 0); engine.CodeOf(err) != amount.CodeRange {
		t.Errorf("a share of nothing gives %v", err)
	}
}

// The coin test and the eighth differ by 1.225 mm: 25.4/8 = 3.175, and a
// five-cent coin is 1.95 mm thick by the Mint's published specification.
func TestCoinAgainstEighth(t *testing.T) {
	coin, eighth := amount.OfLength(1_950_000), amount.OfLength(amount.Inch/8)
	if order, err := coin.Cmp(eighth); err != nil || order != -1 {
		t.Errorf("order %d, %v", order, err)
	}
	diff, err := eighth.Sub(coin)
	if err != nil || diff != amount.OfLength(1_225_000) {
		t.Errorf("difference %v, %v", diff, err)
	}
}

func TestThirdIsExact(t *testing.T) {
	third := amount.OfShare(amount.Share{Num: 1, Den: 3})
	for _, tc := range []struct {
		share amount.Share
		want  int
	}{
		{amount.Share{Num: 33_333_333, Den: 100_000_000}, -1},
		{amount.Share{Num: 1, Den: 3}, 0},
		{amount.Share{Num: 33_333_334, Den: 100_000_000}, 1},
	} {
		if got, err := amount.OfShare(tc.share).Cmp(third); err != nil || got != tc.want {
			t.Errorf("%v against 1/3: %d, %v", tc.share, got, err)
		}
	}
	sixth := amount.OfShare(amount.Share{Num: 1, Den: 6})
	if sum, err := sixth.Add(sixth); err != nil || sum != third {
		t.Errorf("1/6 + 1/6 = %v, %v", sum, err)
	}
}

func TestCmpBeyond64Bits(t *testing.T) {
	a := amount.Amount{Dim: amount.DimShare, Num: math.MaxInt64 - 1, Den: math.MaxInt64}
	b := amount.Amount{Dim: amount.DimShare, Num: math.MaxInt64 - 2, Den: math.MaxInt64 - 1}
	if got, err := a.Cmp(b); err != nil || got != 1 {
		t.Errorf("got %d, %v", got, err)
	}
	if _, err := a.Add(b); engine.CodeOf(err) != amount.CodeInexact {
		t.Errorf("a sum past 64 bits gives %v", err)
	}
}

func TestDimensionsDoNotMix(t *testing.T) {
	length, count := amount.OfLength(1), amount.Count(1)
	if _, err := length.Cmp(count); engine.CodeOf(err) != amount.CodeDimension {
		t.Errorf("comparing gives %v", err)
	}
	if _, err := length.Add(count); engine.CodeOf(err) != amount.CodeDimension {
		t.Errorf("adding gives %v", err)
	}
	if _, err := (amount.Amount{}).Cmp(amount.Amount{}); engine.CodeOf(err) != amount.CodeDimension {
		t.Errorf("comparing nothing gives %v", err)
	}
	if _, err := amount.Count(1).Sub(amount.Count(2)); engine.CodeOf(err) != amount.CodeRange {
		t.Errorf("less than nothing gives %v", err)
	}
}

// Every amount survives its exact text.
func TestTextRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := anyAmount(t)
		data, err := json.Marshal(want)
		if err != nil {
			t.Fatal(err)
		}
		var got amount.Amount
		if err := json.Unmarshal(data, &got); err != nil || got != want {
			t.Fatalf("%v became %s became %v, %v", want, data, got, err)
		}
	})
}

func anyAmount(t *rapid.T) amount.Amount {
	switch rapid.IntRange(0, 3).Draw(t, "dim") {
	case 0:
		return amount.Count(rapid.IntRange(0, amount.MaxCount).Draw(t, "count"))
	case 1:
		unit := rapid.SampledFrom([]amount.Length{1, amount.SixtyFourth}).Draw(t, "unit")
		return amount.OfLength(unit * amount.Length(rapid.Int64Range(0, int64(amount.MaxLength/unit)).Draw(t, "length")))
	case 2:
		den := rapid.Int64Range(1, amount.MaxDen).Draw(t, "den")
		sum, err := amount.Zero(amount.DimShare).Add(amount.Amount{Dim: amount.DimShare, Num: rapid.Int64Range(0, den).Draw(t, "num"), Den: den})
		if err != nil {
			t.Fatal(err)
		}
		return sum
	}
	unit := rapid.SampledFrom([]amount.Weight{1, amount.Ounce}).Draw(t, "unit")
	return amount.OfWeight(unit * amount.Weight(rapid.Int64Range(0, int64(amount.MaxWeight/unit)).Draw(t, "weight")))
}

// What a person reads back in differs by no more than it was rounded.
func TestInchesAreNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := amount.Length(rapid.Int64Range(0, int64(amount.MaxLength-amount.Inch)).Draw(t, "l"))
		text, about := strings.CutPrefix(l.Inches(), "about ")
		got, err := amount.ParseLength(text)
		if err != nil {
			t.Fatal(err)
		}
		off := max(got-l, l-got)
		if off > amount.SixtyFourth/2+1 || about != (off != 0) {
			t.Fatalf("%d nm reads %q, off by %d", l, l.Inches(), off)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, tc := range lengths {
		f.Add(tc.text, uint8(amount.DimLength))
	}
	for _, tc := range badLengths {
		f.Add(tc.text, uint8(amount.DimLength))
	}
	for _, tc := range weights {
		f.Add(tc.text, uint8(amount.DimWeight))
	}
	f.Add("1/3", uint8(amount.DimShare))
	f.Add("33.3 %", uint8(amount.DimShare))
	f.Add("12", uint8(amount.DimCount))
	f.Add("-71.55 HU", uint8(amount.DimHaugh))
	f.Fuzz(func(t *testing.T, text string, dim uint8) {
		a, err := amount.Parse(text, amount.Dim(dim))
		if err != nil {
			if lack := enginetest.Untold(err); lack != "" {
				t.Fatal(lack)
			}
			return
		}
		if a.Num < 0 && a.Dim != amount.DimHaugh || a.Den < 1 {
			t.Fatalf("%q gave %+v", text, a)
		}
		exact, err := a.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		back, err := amount.Parse(string(exact), a.Dim)
		if err != nil || back != a {
			t.Fatalf("%q gave %+v, wrote %q, read %+v, %v", text, a, exact, back, err)
		}
		_ = a.String()
	})
}
