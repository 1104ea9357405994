package reader_test

import (
	"testing"

	"rsc.io/qr/coding"

	"keelcard/web/reader"
)

func TestPicturesWithoutACode(t *testing.T) {
	for name, size := range map[string][3]int{
		"nothing": {0, 0, 0}, "one pixel": {1, 1, 1}, "a line": {100, 100, 1}, "blank": {200 * 200, 200, 200},
		"too few pixels": {10, 200, 200}, "too many": {200*200 + 1, 200, 200}, "a size below nothing": {4, -2, -2},
	} {
		if got := reader.Text(make([]byte, size[0]), size[1], size[2]); got != "" {
			t.Errorf("%s is read as %q", name, got)
		}
	}
}

// Nothing in a picture stops the reader, and what it reads fits into a code.
func FuzzText(f *testing.F) {
	f.Add([]byte("a picture of a barn"), 5)
	for _, version := range []coding.Version{1, 2, 7} {
		grey, width := drawn(f, version, "KEELCARD")
		if got := reader.Text(grey, width, width); got != "KEELCARD" {
			f.Fatalf("a code of version %d is read as %q", version, got)
		}
		f.Add(grey, width)
	}
	f.Fuzz(func(t *testing.T, grey []byte, width int) {
		if width < 1 || width > 1000 {
			return
		}
		grey = grey[:len(grey)/width*width]
		const most = 4 * 7089 // digits in the largest code, none longer than 4 bytes
		if text := reader.Text(grey, width, len(grey)/width); len(text) > most {
			t.Fatalf("%d bytes of text", len(text))
		}
	})
}

// drawn is a small, clean picture of a code, three pixels a square.
func drawn(f *testing.F, version coding.Version, text string) (grey []byte, width int) {
	plan, err := coding.NewPlan(version, coding.M, 0)
	if err != nil {
		f.Fatal(err)
	}
	code, err := plan.Encode(coding.Alpha(text))
	if err != nil {
		f.Fatal(err)
	}
	const margin, scale = 4, 3
	width = (code.Size + 2*margin) * scale
	for y := range width {
		for x := range width {
			light := byte(230)
			if code.Black(x/scale-margin, y/scale-margin) {
				light = 20
			}
			grey = append(grey, light)
		}
	}
	return grey, width
}
