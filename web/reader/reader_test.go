package reader_test

import (
	"testing"

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

// Nothing in a picture stops the reader.
func FuzzText(f *testing.F) {
	f.Add([]byte("a picture of a barn"), 5)
	f.Fuzz(func(t *testing.T, grey []byte, width int) {
		if width < 1 || width > 1000 {
			return
		}
		grey = grey[:len(grey)/width*width]
		reader.Text(grey, width, len(grey)/width)
	})
}
