package points_test

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/points"
	"keelcard/engine/tree"
)

const (
	largest  = points.Points(math.MaxInt64)
	smallest = points.Points(math.MinInt64)
)

func TestParseAndString(t *testing.T) {
	for _, tc := range []struct {
		text string
		want points.Points
		back string
	}{
		{"7", 700, "7"},
		{"7.5", 750, "7.5"},
		{"-3", -300, "-3"},
		{" 0.25 ", 25, "0.25"},
		{"-0.05", -5, "-0.05"},
		{"10.10", 1010, "10.1"},
		{"007.500", 750, "7.5"},
		{"0", 0, "0"},
		{"-0", 0, "0"},
		{"92233720368547758.07", largest, "92233720368547758.07"},
		{"-92233720368547758.08", smallest, "-92233720368547758.08"},
	} {
		got, err := points.Parse(tc.text)
		if err != nil || got != tc.want {
			t.Errorf("Parse(%q) = %d, %v, want %d", tc.text, got, err, tc.want)
		}
		if got := tc.want.String(); got != tc.back {
			t.Errorf("String of %d = %q, want %q", tc.want, got, tc.back)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for text, want := range map[string]engine.Code{
		"":                     points.CodeSyntax,
		"-":                    points.CodeSyntax,
		".5":                   points.CodeSyntax,
		"7.":                   points.CodeSyntax,
		"+7":                   points.CodeSyntax,
		"1e2":                  points.CodeSyntax,
		"7,5":                  points.CodeSyntax,
		"--7":                  points.CodeSyntax,
		"seven":                points.CodeSyntax,
		"0.001":                points.CodeFine,
		"92233720368547758.08": points.CodeOverflow,
		"99999999999999999999": points.CodeOverflow,
	} {
		if got, err := points.Parse(text); engine.CodeOf(err) != want {
			t.Errorf("Parse(%q) = %v, %v, want code %s", text, got, err, want)
		}
	}
}

// table holds points as they are stored.
type table struct{ points []points.Points }

func (l *table) Fields(f *tree.Fields) {
	for i := range l.points {
		tree.AsText(f, string(rune('a'+i)), &l.points[i], tree.Always, points.Points.MarshalText, points.Parse)
	}
}

func TestStoredAsTextReadFromTextOrNumber(t *testing.T) {
	got := table{make([]points.Points, 4)}
	if err := tree.Read([]byte(`{"a": "7.5", "b": 7.5, "c": -3, "d": "0"}`), &got); err != nil {
		t.Fatal(err)
	}
	for i, want := range []points.Points{750, 750, -300, 0} {
		if got.points[i] != want {
			t.Errorf("value %d: got %d, want %d", i, got.points[i], want)
		}
	}
	if out := string(tree.Write(&got)); out != `{"a":"7.5","b":"7.5","c":"-3","d":"0"}` {
		t.Errorf("written %s", out)
	}
	for _, bad := range []string{`true`, `1e2`, `"x"`, `{}`, `0.001`} {
		if err := tree.Read([]byte(`{"a": `+bad+`}`), &got); err == nil {
			t.Errorf("%s was read as %v", bad, got.points[0])
		}
	}
}

func TestOverflowIsRefused(t *testing.T) {
	for name, err := range map[string]error{
		"largest + 1":     second(points.Add(largest, 1)),
		"smallest + -1":   second(points.Add(smallest, -1)),
		"smallest - 1":    second(points.Sub(smallest, 1)),
		"0 - smallest":    second(points.Sub(0, smallest)),
		"sum":             second(points.Sum(largest, 1, -1)),
		"scaled too far":  second(points.Scale(largest, 2, 1)),
		"scaled by 1/0":   second(points.Scale(1, 1, 0)),
		"scaled negative": second(points.Scale(-1, 1, 1)),
	} {
		if engine.CodeOf(err) != points.CodeOverflow {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func second(_ points.Points, err error) error { return err }

func TestScaleRoundsHalvesUp(t *testing.T) {
	for _, tc := range []struct{ p, num, den, want points.Points }{
		{points.Of(48), points.Of(100), points.Of(50), points.Of(96)},
		{points.Of(37), points.Of(100), points.Of(50), points.Of(74)},
		{points.Of(1), 1, 8, 13},  // 12.5 hundredths
		{points.Of(1), 1, 3, 33},  // 33.3
		{points.Of(2), 1, 3, 67},  // 66.7
		{largest, 3, 3, largest},  // the product needs 128 bits
		{points.Of(0), 5, 7, 0},   //
		{largest, 1, largest, 1},  //
		{1, 1, largest, 0},        //
		{1, 1, 2, 1},              // half a hundredth
		{3, 1, 2, 2},              // one and a half
		{largest, largest, 1, -1}, // refused
	} {
		got, err := points.Scale(tc.p, tc.num, tc.den)
		if tc.want == -1 {
			if err == nil {
				t.Errorf("Scale(%d, %d, %d) = %d", tc.p, tc.num, tc.den, got)
			}
			continue
		}
		if err != nil || got != tc.want {
			t.Errorf("Scale(%d, %d, %d) = %d, %v, want %d", tc.p, tc.num, tc.den, got, err, tc.want)
		}
	}
}

// Every operation agrees with arithmetic that has no limit.
func TestAgainstUnboundedArithmetic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Int64().Draw(t, "a")
		b := rapid.Int64().Draw(t, "b")
		x, y := big.NewInt(a), big.NewInt(b)
		check := func(name string, want *big.Int, got points.Points, err error) {
			if want.IsInt64() != (err == nil) || (err == nil && want.Int64() != int64(got)) {
				t.Fatalf("%s(%d, %d) = %d, %v, want %v", name, a, b, got, err, want)
			}
		}
		sum, err := points.Add(points.Points(a), points.Points(b))
		check("Add", new(big.Int).Add(x, y), sum, err)
		diff, err := points.Sub(points.Points(a), points.Points(b))
		check("Sub", new(big.Int).Sub(x, y), diff, err)

		back, err := points.Parse(points.Points(a).String())
		if err != nil || back != points.Points(a) {
			t.Fatalf("%d came back as %d, %v", a, back, err)
		}
	})
}

func TestScaleAgainstUnboundedArithmetic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Int64Range(0, math.MaxInt64).Draw(t, "p")
		num := rapid.Int64Range(0, math.MaxInt64).Draw(t, "num")
		den := rapid.Int64Range(1, math.MaxInt64).Draw(t, "den")
		want := new(big.Int).Mul(big.NewInt(p), big.NewInt(num))
		want.Add(want, big.NewInt(den/2)).Div(want, big.NewInt(den))
		got, err := points.Scale(points.Points(p), points.Points(num), points.Points(den))
		if want.IsInt64() != (err == nil) || (err == nil && want.Int64() != int64(got)) {
			t.Fatalf("Scale(%d, %d, %d) = %d, %v, want %v", p, num, den, got, err, want)
		}
	})
}
