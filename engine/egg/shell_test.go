package egg_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/integrate/quad"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/egg"
)

// A Large egg has 68 to 70 cm² of shell; another published relation, 4.835
// W^0.662 (Paganelli, Olszowka and Ar 1974, from memory), comes out within 4 per
// cent over the sizes of hens' eggs.
func TestShellOfWeight(t *testing.T) {
	if got := egg.ShellOfWeight(egg.LargeEgg); got < 680_000 || got > 700_000 || got.String() != "68.7 cm²" {
		t.Errorf("%d, %s", got, got)
	}
	for w := 40.0; w <= 80; w++ {
		other := 4.835 * math.Pow(w, 0.662)
		if got := float64(egg.ShellOfWeight(g(w))) / 1e4; math.Abs(got/other-1) > 0.04 {
			t.Errorf("%v g: %v and %v cm²", w, got, other)
		}
	}
	if egg.ShellOfWeight(0) != 0 || egg.ShellOfWeight(-1) != 0 {
		t.Error("no egg has a shell")
	}
}

// The surface of an ellipse turned about its long axis, integrated by gonum.
func TestShellOfSize(t *testing.T) {
	for length := 30.0; length <= 80; length += 2.5 {
		for _, ratio := range []float64{0.5, 0.65, 0.74, 0.9, 0.999999, 1} {
			a, b := length/2, length*ratio/2
			want := quad.Fixed(func(t float64) float64 {
				sin, cos := math.Sin(t), math.Cos(t)
				return 2 * math.Pi * b * sin * math.Sqrt(a*a*sin*sin+b*b*cos*cos)
			}, 0, math.Pi, 200, nil, 0)
			got, err := egg.ShellOfSize(mm(length), mm(length*ratio))
			if err != nil || math.Abs(float64(got)/100-want) > 0.01 {
				t.Errorf("%v by %v: %v mm², want %v (%v)", length, ratio, float64(got)/100, want, err)
			}
			turned, _ := egg.ShellOfSize(mm(length*ratio), mm(length))
			if turned != got {
				t.Errorf("%v by %v: breadth first gives %v", length, ratio, turned)
			}
		}
	}
	for _, bad := range [][2]amount.Length{{0, mm(40)}, {mm(40), -1}, {mm(1001), mm(40)}} {
		if _, err := egg.ShellOfSize(bad[0], bad[1]); engine.CodeOf(err) != egg.CodeSize {
			t.Errorf("%v: %v", bad, err)
		}
	}
}

// An egg of usual size, 57 by 43 mm and about 58 g, has the same shell by
// weight and by size within 4 per cent.
func TestShellBothWays(t *testing.T) {
	size, _ := egg.ShellOfSize(mm(57), mm(43))
	if ratio := float64(size) / float64(egg.ShellOfWeight(g(58))); math.Abs(ratio-1) > 0.04 {
		t.Errorf("the ratio is %v", ratio)
	}
}

// The share of a sphere under a round cap, integrated by gonum and rounded by it.
func TestSpotShare(t *testing.T) {
	for _, w := range []float64{40, 48, 56.7, 65, 75} {
		shell := egg.ShellOfWeight(g(w))
		r := math.Sqrt(float64(shell) / 100 / (4 * math.Pi))
		for tenths := 0; tenths <= 1500; tenths++ {
			width := float64(tenths) / 10
			reach := min(width/2/r, math.Pi) // angle from the middle of the spot to its rim
			cap := quad.Fixed(func(a float64) float64 { return 2 * math.Pi * r * r * math.Sin(a) }, 0, reach, 20, nil, 0)
			exact := 100_000 * cap / (4 * math.Pi * r * r)
			if off := math.Abs(exact - math.Floor(exact) - 0.5); off < 1e-9 {
				t.Fatalf("%v mm at %v g lies on a boundary", width, w)
			}
			got := egg.SpotShare(amount.Length(tenths)*amount.Millimetre/10, shell)
			if want := scalar.Round(exact, 0); float64(got.Num)*100_000/float64(got.Den) != want || !got.Valid() {
				t.Fatalf("%v mm at %v g: %v, want %v", width, w, got, want)
			}
		}
	}
}

// On a Large egg 1/32 of the shell is a spot of nearly 1.7 cm and about 2.2 cm²,
// 1/16 about 4.3 cm².
func TestSpotsOfTheStandard(t *testing.T) {
	shell := egg.ShellOfWeight(egg.LargeEgg)
	thirtySecond, sixteenth := amount.Share{Num: 1, Den: 32}, amount.Share{Num: 1, Den: 16}
	w := egg.SpotWidth(thirtySecond, shell)
	if w < mm(16.2) || w > mm(17) {
		t.Errorf("1/32 is %s wide", w.Millimetres())
	}
	if area := math.Pi * math.Pow(float64(w)/2e7, 2); math.Abs(area-2.2) > 0.1 {
		t.Errorf("a disc of that width has %v cm²", area)
	}
	if a := (shell / 32).String() + ", " + (shell / 16).String(); a != "2.1 cm², 4.3 cm²" {
		t.Error(a)
	}
	for _, share := range []amount.Share{thirtySecond, sixteenth, {Num: 1, Den: 2}, {Num: 1, Den: 1000}} {
		w := egg.SpotWidth(share, shell)
		got := egg.SpotShare(w, shell)
		if off := float64(got.Num)/float64(got.Den) - float64(share.Num)/float64(share.Den); math.Abs(off) > 2e-5 {
			t.Errorf("%v is %v wide, which is %v", share, w.Millimetres(), got)
		}
	}
}

func TestSpotsAtTheEnds(t *testing.T) {
	shell := egg.ShellOfWeight(egg.LargeEgg)
	all, none := amount.Share{Num: 1, Den: 1}, amount.Share{Num: 0, Den: 1}
	around := egg.SpotWidth(all, shell)
	for width, want := range map[amount.Length]amount.Share{0: none, -1: none, around: all, around + 1_000_000: all, amount.MaxLength: all} {
		if got := egg.SpotShare(width, shell); got != want {
			t.Errorf("%d: %v, want %v", width, got, want)
		}
	}
	if egg.SpotShare(mm(5), 0) != none || egg.SpotWidth(none, shell) != 0 || egg.SpotWidth(all, 0) != 0 {
		t.Error("something of nothing")
	}
}
