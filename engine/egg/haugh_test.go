package egg_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"

	"keelcard/engine/amount"
	"keelcard/engine/egg"
	"keelcard/engine/rulebook"
)

var forms = []string{rulebook.FormFull, rulebook.Form757, rulebook.Form76}

func mm(x float64) amount.Length { return amount.Length(math.Round(x * float64(amount.Millimetre))) }

func g(x float64) amount.Weight { return amount.Weight(math.Round(x * float64(amount.Gram))) }

// bracket is what the formula takes the logarithm of, as it stands in the
// papers, written out here anew.
func bracket(h, w float64, form string) float64 {
	b := h - 1.7*math.Exp(0.37*math.Log(w)) + 7.6
	switch form {
	case rulebook.FormFull:
		b = h - 5.6745*(30*math.Exp(0.37*math.Log(w))-100)/100 + 1.9
	case rulebook.Form757:
		b -= 0.03
	}
	return b
}

// Values computed from the printed formula in all its forms, to hundredths of a
// unit, with the grade of the full form by 72 and 60 (1 NYCRR 190.9).
var worked = []struct {
	weight, height  float64
	full, s757, s76 amount.Haugh
	grade           string
}{
	{46, 3.4, 5972, 5978, 6011, "B"},
	{46, 4.6, 7123, 7127, 7152, "A"},
	{46, 5.4, 7749, 7753, 7775, "AA"},
	{46, 6.3, 8360, 8364, 8383, "AA"},
	{46, 6.8, 8666, 8669, 8687, "AA"},
	{48, 2.4, 4540, 4548, 4593, "B"},
	{48, 3.9, 6379, 6384, 6414, "A"},
	{50, 4.6, 6933, 6938, 6965, "A"},
	{52, 5.4, 7505, 7509, 7532, "AA"},
	{52, 6.3, 8149, 8153, 8173, "AA"},
	{56.7, 4.6, 6619, 6625, 6653, "A"},
	{58, 2.4, 3668, 3679, 3735, "B"},
	{58, 5.9, 7654, 7659, 7681, "AA"},
	{60, 2.4, 3484, 3496, 3554, "B"},
	{64, 7.4, 8478, 8482, 8500, "AA"},
	{70, 2.4, 2494, 2511, 2584, "B"},
	{70, 5.9, 7223, 7229, 7253, "AA"},
	{70, 6.3, 7540, 7546, 7568, "AA"},
}

func TestHaughOfWorkedEggs(t *testing.T) {
	for _, tc := range worked {
		for i, want := range []amount.Haugh{tc.full, tc.s757, tc.s76} {
			if got, ok := egg.Haugh(mm(tc.height), g(tc.weight), forms[i]); !ok || got != want {
				t.Errorf("%v mm at %v g by %s: %v %v, want %v", tc.height, tc.weight, forms[i], got, ok, want)
			}
		}
		grade := "B"
		if tc.full >= 72*amount.HaughUnit {
			grade = "AA"
		} else if tc.full >= 60*amount.HaughUnit {
			grade = "A"
		}
		if grade != tc.grade {
			t.Errorf("%v is %s, not %s", tc.full, grade, tc.grade)
		}
	}
}

// The unit was made so that an egg of 2 oz has 100 times the logarithm of its
// height (Haugh 1937, from memory).
func TestHaughOfTwoOunceEgg(t *testing.T) {
	for tenths := 20; tenths <= 120; tenths++ {
		h := float64(tenths) / 10
		got, ok := egg.Haugh(mm(h), 2*amount.Ounce, rulebook.FormFull)
		if of := math.Pow(10, float64(got)/10_000); !ok || math.Abs(of-h) > 0.012 {
			t.Errorf("%v mm: %v, which is that of %.3f mm", h, got, of)
		}
	}
}

// Every height and weight that a contest can write down, in all forms: the value
// is the formula's to the nearest hundredth, and none lies so near the middle
// between two hundredths, or so near a bracket of zero, that the last bit of a
// processor's logarithm could turn it.
func TestHaughIsTheSameOnEveryProcessor(t *testing.T) {
	nearest := 1.0
	for _, form := range forms {
		for tenthsG := 200; tenthsG <= 1200; tenthsG++ {
			for tenthsMM := 1; tenthsMM <= 160; tenthsMM++ {
				h, w := float64(tenthsMM)/10, float64(tenthsG)/10
				b := bracket(h, w, form)
				if math.Abs(b) < 1e-6 {
					t.Fatalf("%v mm, %v g, %s: the bracket is nearly none", h, w, form)
				}
				want := 100 * math.Log(b) / math.Ln10
				got, ok := egg.Haugh(amount.Length(tenthsMM)*amount.Millimetre/10, amount.Weight(tenthsG)*amount.Gram/10, form)
				if ok != (b > 0) {
					t.Fatalf("%v mm, %v g, %s: ok is %v, the bracket is %v", h, w, form, ok, b)
				}
				if !ok {
					continue
				}
				hundredths := want * 100
				off := math.Abs(hundredths - math.Floor(hundredths) - 0.5)
				nearest = min(nearest, off)
				if off < 1e-9 {
					t.Fatalf("%v mm, %v g, %s: %v lies on a boundary", h, w, form, want)
				}
				if rounded := scalar.Round(want, 2); math.Abs(float64(got)/100-rounded) > 1e-9 {
					t.Fatalf("%v mm, %v g, %s: %v, want %v", h, w, form, got, rounded)
				}
			}
		}
	}
	t.Logf("the nearest lies %.1e of a hundredth beside a boundary", nearest)
}

func TestNotMeasurable(t *testing.T) {
	for _, tc := range []struct {
		height amount.Length
		weight amount.Weight
		form   string
	}{
		{mm(0.1), g(70), rulebook.FormFull},
		{mm(0.5), g(70), rulebook.Form76},
		{-1, g(60), rulebook.FormFull},
		{mm(6), 0, rulebook.FormFull},
		{mm(6), -1, rulebook.FormFull},
		{mm(6), g(60), "7.55"},
		{amount.MaxLength + 1, g(60), rulebook.FormFull},
		{mm(6), amount.MaxWeight, rulebook.FormFull},
	} {
		if got, ok := egg.Haugh(tc.height, tc.weight, tc.form); ok {
			t.Errorf("%+v has %v", tc, got)
		}
	}
}

// Heights that just reach a value, to the nearest 0.01 mm, computed from the
// full form for eggs at the least average of each weight class.
func TestLeastHeightOfTable(t *testing.T) {
	for _, tc := range []struct {
		weight      float64
		aa, a, oldB float64
	}{
		{42.5, 4.49, 3.22, 1.29},
		{49.6, 4.89, 3.62, 1.69},
		{56.7, 5.26, 3.99, 2.05},
		{63.8, 5.59, 4.33, 2.39},
		{70.9, 5.91, 4.64, 2.70},
	} {
		for value, want := range map[amount.Haugh]float64{7200: tc.aa, 6000: tc.a, 3100: tc.oldB} {
			got, ok := egg.LeastHeight(value, g(tc.weight), rulebook.FormFull)
			// The table is rounded to the nearest step, a least height up.
			if off := float64(got)/1e6 - want; !ok || off < -1e-9 || off > 0.01+1e-9 {
				t.Errorf("%v at %v g: %v, want %v mm", value, tc.weight, got.Millimetres(), want)
			}
		}
	}
}

// A least height reaches its value, and a step less does not.
func TestLeastHeightIsLeast(t *testing.T) {
	for _, form := range forms {
		for w := 30; w <= 100; w += 5 {
			for value := amount.Haugh(2000); value <= 11000; value += 137 {
				h, ok := egg.LeastHeight(value, g(float64(w)), form)
				at, has := egg.Haugh(h, g(float64(w)), form)
				if !ok || !has || at < value {
					t.Fatalf("%v at %d g by %s: %v has %v", value, w, form, h, at)
				}
				if below, has := egg.Haugh(h-10*amount.Micrometre, g(float64(w)), form); has && below >= value {
					t.Fatalf("%v at %d g by %s: %v is not the least", value, w, form, h)
				}
			}
		}
	}
	for _, bad := range []struct {
		value amount.Haugh
		w     amount.Weight
		form  string
	}{{7200, 0, rulebook.FormFull}, {7200, g(60), ""}, {amount.MaxHaugh, g(60), rulebook.FormFull}, {amount.MaxHaugh + 1, g(60), rulebook.FormFull}} {
		if h, ok := egg.LeastHeight(bad.value, bad.w, bad.form); ok {
			t.Errorf("%+v: %v", bad, h)
		}
	}
}

// The two short forms stand to the full one as the notes on them say.
func TestShortForms(t *testing.T) {
	for w := 450; w <= 750; w++ {
		for h := 24; h <= 100; h++ {
			height, weight := amount.Length(h)*amount.Millimetre/10, amount.Weight(w)*amount.Gram/10
			full, _ := egg.Haugh(height, weight, rulebook.FormFull)
			s757, _ := egg.Haugh(height, weight, rulebook.Form757)
			s76, _ := egg.Haugh(height, weight, rulebook.Form76)
			if s757 < full || s757 > full+20 || s76 < s757+10 || s76 > s757+100 {
				t.Fatalf("%v, %v: %v, %v, %v", height, weight, full, s757, s76)
			}
		}
	}
	for i, f := range egg.Forms() {
		if f.ID != forms[i] || f.Formula == "" || f.Note == "" {
			t.Errorf("%+v", f)
		}
	}
}
