package reader_test

import (
	"math"
	"slices"
	"testing"

	"rsc.io/qr/coding"

	"keelcard/engine/codec/frames"
	"keelcard/engine/enginetest"
	"keelcard/web/reader"
)

// side is how many pixels wide and high a camera's picture is.
const side = 720

// A view is how a camera sees a code: so much of its picture, turned by so many
// degrees, leaning so that one side is further away, out of focus by so many pixels.
type view struct {
	fill, turn, lean float64
	blur             int
}

// The first five are those of web/e2e/codes.test.js.
var views = map[string]view{
	"near":            {fill: 1},
	"at arm's length": {fill: 0.7},
	"far":             {fill: 0.5},
	"tilted":          {fill: 0.68, turn: 17, lean: 0.25},
	"blurred":         {fill: 0.85, blur: 2},
	"on its side":     {fill: 0.65, turn: 80, lean: 0.25},
	"upside down":     {fill: 0.7, turn: 190, lean: 0.25},
}

// Seeds of moving pictures in which random squares look like a corner, so that
// the best three corners are not those of the code. One of twenty is such a one.
var misleading = []uint64{3, 8, 68, 122, 171, 285}

// A picture that cannot be read is never waited for, but a person waits longer for
// each. Of 300 pictures every one is read in each view.
func TestCodesAreRead(t *testing.T) {
	ordinary := []uint64{1, 2}
	for name, c := range map[string]struct {
		version coding.Version
		letters int
		seeds   []uint64
	}{"moving": {15, 600, misleading}, "large": {10, 311, ordinary}, "still": {20, 970, ordinary}} {
		plan, err := coding.NewPlan(c.version, coding.M, 0)
		if err != nil {
			t.Fatal(err)
		}
		for at, v := range views {
			seen := v.sights(17 + 4*int(c.version))
			read := 0
			for _, seed := range c.seeds {
				text, dark := squares(t, plan, frames.Room(c.letters), seed)
				switch got := reader.Text(v.picture(dark, seen), side, side); got {
				case text:
					read++
				case "":
				default:
					t.Errorf("%s, %s, seed %d: read as %q", name, at, seed, got)
				}
			}
			if 4*read < 3*len(c.seeds) {
				t.Errorf("%s, %s: %d of %d pictures are read", name, at, read, len(c.seeds))
			}
		}
	}
}

// squares makes random content, its text, and the dark squares of its code with
// the light edge around it.
func squares(t *testing.T, plan *coding.Plan, size int, seed uint64) (text string, dark []bool) {
	pick := enginetest.Seeded(seed)
	content := make([]byte, size)
	for i := range content {
		content[i] = byte(pick(256))
	}
	text = frames.Text(content)
	code, err := plan.Encode(coding.Alpha(text))
	if err != nil {
		t.Fatal(err)
	}
	n := code.Size + 2*quiet
	dark = make([]bool, n*n)
	for i := range dark {
		dark[i] = code.Black(i%n-quiet, i/n-quiet)
	}
	return text, dark
}

const quiet = 4 // squares of light around a code

// looks are the places within a pixel that are looked at, across and down.
var looks = []float64{0.25, 0.75}

// sights gives which square is seen at each look at each pixel, -1 for none, of
// so many in a row.
func (v view) sights(squares int) []int32 {
	n := float64(squares + 2*quiet)
	seen := make([]int32, 0, side*side*len(looks)*len(looks))
	size := side * v.fill
	sin, cos := math.Sincos(v.turn * math.Pi / 180)
	for i := range side * side {
		for _, dy := range looks {
			for _, dx := range looks {
				x, y := (float64(i%side)+dx-side/2)/size, (float64(i/side)+dy-side/2)/size
				right, down := x*cos+y*sin, y*cos-x*sin
				deep := 1 - v.lean*down
				right, down = right/deep+0.5, down/deep+0.5
				at := int32(-1)
				if min(right, down) >= 0 && max(right, down) < 1 {
					at = int32(down*n)*int32(n) + int32(right*n)
				}
				seen = append(seen, at)
			}
		}
	}
	return seen
}

// picture is what the camera sees, with the noise that cameras have.
func (v view) picture(dark []bool, seen []int32) []byte {
	grey := make([]float32, side*side)
	for i := range grey {
		for _, at := range seen[4*i:][:4] {
			switch {
			case at < 0:
				grey[i] += 90. / 4
			case dark[at]:
				grey[i] += 35. / 4
			default:
				grey[i] += 205. / 4
			}
		}
	}
	for range v.blur {
		soften(grey, 1)
		soften(grey, side)
	}
	out := make([]byte, len(grey))
	for i, bright := range grey {
		out[i] = byte(bright + float32(i*7919%13)/2 - 3)
	}
	return out
}

// soften makes each pixel the mean of itself and its two neighbours.
func soften(grey []float32, step int) {
	before := slices.Clone(grey)
	for i := step; i < len(grey)-step; i++ {
		grey[i] = (before[i-step] + before[i] + before[i+step]) / 3
	}
}
