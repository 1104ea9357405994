package rangecoder_test

import (
	"bytes"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"keelcard/engine/codec/rangecoder"
)

// play codes a fixed run of values of every model, drawn from a seed, and says
// whether each came back.
func play(t *testing.T, c *rangecoder.Coder, seed uint64, n int) {
	rng := rand.New(rand.NewPCG(seed, 2))
	var (
		bit    rangecoder.Bit
		b      rangecoder.Byte
		small  rangecoder.Small
		number rangecoder.Number
		signed rangecoder.Signed
		text   rangecoder.Text
	)
	write := func(v uint64) uint64 { // what a reader passes in must not matter
		if c.Writing() {
			return v
		}
		return 0
	}
	for i := range n {
		v := rng.Uint64() >> rng.IntN(64)
		s := strings.Repeat("key ", rng.IntN(3)) + string(rune('a'+rng.IntN(26)))
		in := s
		if !c.Writing() {
			in = ""
		}
		got, ok := text.String(c, in, 20)
		for k, fit := range []bool{
			bit.Code(c, write(v)&7 == 7) == (v&7 == 7),
			c.Odds(1+uint32(v%65535), write(v)%3 == 0) == (v%3 == 0),
			c.Even(13, write(v)) == v&(1<<13-1),
			b.Code(c, byte(write(v))) == byte(v),
			small.Code(c, byte(write(v))) == byte(v),
			number.Code(c, write(v)) == v,
			signed.Code(c, int64(write(v)>>1)) == int64(v>>1),
			signed.Code(c, -int64(write(v)>>1)) == -int64(v>>1),
			ok && got == s,
		} {
			if !fit {
				t.Fatalf("seed %d: value %d of step %d came back differently (writing %v)", seed, k, i, c.Writing())
			}
		}
	}
}

func TestThereAndBack(t *testing.T) {
	for seed := range uint64(200) {
		n := int(seed) * 2
		w := rangecoder.NewWriter()
		play(t, w, seed, n)
		b := w.Bytes()
		r := rangecoder.NewReader(b)
		play(t, r, seed, n)
		if err := r.End(); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		r = rangecoder.NewReader(append(b, 0, 0, 0, 0, 0))
		play(t, r, seed, n)
		if r.End() != rangecoder.ErrLong {
			t.Fatalf("seed %d: bytes too many were not noticed", seed)
		}
	}
}

// Long runs of carries: the least likely side every time, and the likeliest.
func TestCarry(t *testing.T) {
	for _, p := range []uint32{1, 255, 256, 32768, 65280, 65535} {
		for _, v := range []bool{false, true} {
			w := rangecoder.NewWriter()
			for range 1000 {
				w.Odds(p, v)
			}
			r := rangecoder.NewReader(w.Bytes())
			for i := range 1000 {
				if r.Odds(p, !v) != v {
					t.Fatalf("p %d: decision %d came back differently", p, i)
				}
			}
			if err := r.End(); err != nil {
				t.Errorf("p %d, %v: %v", p, v, err)
			}
		}
	}
}

func TestShortStream(t *testing.T) {
	r := rangecoder.NewReader([]byte{1, 2, 3})
	r.Even(64, 0)
	if !r.Short() || r.End() != rangecoder.ErrShort {
		t.Error("the end was not noticed")
	}
}

// A decision that comes true once in p must cost about its entropy.
func TestCostIsNearEntropy(t *testing.T) {
	const n = 20_000
	for _, p := range []float64{0.5, 0.3, 0.05, 0.002} {
		rng := rand.New(rand.NewPCG(1, 3))
		var bit rangecoder.Bit
		w := rangecoder.NewWriter()
		ones := 0.0
		for range n {
			v := rng.Float64() < p
			if v {
				ones++
			}
			bit.Code(w, v)
		}
		q := ones / n
		entropy := -n * (q*math.Log2(q) + (1-q)*math.Log2(1-q))
		if got := float64(8 * len(w.Bytes())); got > entropy*1.02+40 {
			t.Errorf("p %v: %v bits for an entropy of %.0f", p, got, entropy)
		}
	}
}

// logistic against the formula 1/(1+e^-x).
func TestLogistic(t *testing.T) {
	for x := -2047; x <= 2047; x++ {
		want := 65536 / (1 + math.Exp(-float64(x)/256))
		if got := float64(rangecoder.Logistic(x)); math.Abs(got-want) > 1 {
			t.Fatalf("log odds %d/256: %v, want %.2f", x, got, want)
		}
	}
	if rangecoder.Logistic(math.MinInt) < 1 || rangecoder.Logistic(math.MaxInt) > 65535 {
		t.Error("the ends are not kept")
	}
}

func FuzzReader(f *testing.F) {
	f.Add([]byte{}, uint64(1))
	f.Add(bytes.Repeat([]byte{0xff}, 40), uint64(2))
	f.Fuzz(func(t *testing.T, b []byte, seed uint64) {
		c := rangecoder.NewReader(b)
		var number rangecoder.Number
		var signed rangecoder.Signed
		var text rangecoder.Text
		for range 100 {
			number.Code(c, 0)
			signed.Code(c, 0)
			if s, _ := text.String(c, "", 10); len(s) > 10 {
				t.Fatalf("a text of %d bytes", len(s))
			}
		}
	})
}
