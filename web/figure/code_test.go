package figure_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"keelcard/engine/codec/frames"
	"keelcard/engine/enginetest"
	"keelcard/web/figure"
	"keelcard/web/markup"
	"keelcard/web/reader"
)

// painted paints a code as a screen does, so many pixels a square.
func painted(t *testing.T, code markup.Node, scale int) (grey []byte, side int) {
	t.Helper()
	var n int
	if _, err := fmt.Sscanf(code.Get("viewBox"), "0 0 %d", &n); err != nil {
		t.Fatal(err)
	}
	side = n * scale
	grey = make([]byte, side*side)
	for i := range grey {
		grey[i] = 230
	}
	for run := range strings.SplitSeq(strings.TrimSuffix(code.Kids[1].Get("d"), "z"), "z") {
		var x, y, width, back int
		if _, err := fmt.Sscanf(run, "M%d %dh%dv1h-%d", &x, &y, &width, &back); err != nil || width != back {
			t.Fatalf("%q: %v", run, err)
		}
		for py := y * scale; py < (y+1)*scale; py++ {
			for px := x * scale; px < (x+width)*scale; px++ {
				grey[py*side+px] = 20
			}
		}
	}
	return grey, side
}

// What is drawn is read as it was by a reader that somebody else wrote.
func TestCodesAreRead(t *testing.T) {
	pick := enginetest.Seeded(1)
	for _, letters := range []int{60, 311, 600, 970, 1451} {
		frame := make([]byte, frames.Room(letters))
		for i := range frame {
			frame[i] = byte(pick(256))
		}
		text := frames.Text(frame)
		code := figure.Code("code", "A code", text)
		grey, side := painted(t, code, 3)
		if got := reader.Text(grey, side, side); got != text {
			t.Errorf("%d letters are read as %q", letters, got)
		}
	}
}

// The letters that ISO/IEC 18004 gives for level M, which the app counts on.
func TestCodesHoldWhatTheStandardSays(t *testing.T) {
	for version, letters := range map[int]int{1: 20, 10: 311, 15: 600, 20: 970, 25: 1451, 40: 3391} {
		side := strconv.Itoa(17 + 4*version + 8)
		if got := figure.Code("code", "", strings.Repeat("A", letters)).Get("viewBox"); got != "0 0 "+side+" "+side {
			t.Errorf("%d letters make a code of %s squares, want %s of them on a side", letters, got, side)
		}
		if code := figure.Code("code", "", strings.Repeat("A", letters+1)); code != nil && code.Get("viewBox") == "0 0 "+side+" "+side {
			t.Errorf("%d letters fit version %d", letters+1, version)
		}
	}
	for _, text := range []string{"small letters", "Ä", strings.Repeat("A", 3392)} {
		if figure.Code("code", "", text) != nil {
			t.Errorf("%.20q is drawn", text)
		}
	}
}

func BenchmarkCode(b *testing.B) {
	text := frames.Text(make([]byte, frames.Room(600)))
	for b.Loop() {
		figure.Code("code", "A code", text)
	}
}
