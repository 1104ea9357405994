// Package reader finds a picture code in a picture and reads it. wasm/reader runs
// it in a worker beside the app.
package reader

import (
	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode/decoder"
)

// Text reads the code in a picture of so many pixels, one byte of brightness
// each, line by line. It is "" when no code is in sight or it cannot be read.
func Text(grey []byte, width, height int) (text string) {
	// A picture can hold anything; no code in it may stop the reader.
	defer func() {
		if recover() != nil {
			text = ""
		}
	}()
	if width < 1 || height < 1 || len(grey) != width*height {
		return ""
	}
	source, err := gozxing.NewPlanarYUVLuminanceSource(grey, width, height, 0, 0, width, height, false)
	if err != nil {
		return ""
	}
	squares, err := gozxing.NewHybridBinarizer(source).GetBlackMatrix()
	if err != nil {
		return ""
	}
	for p := range planes(squares) {
		for _, side := range sizes(p.side) {
			p.side = side
			code, err := decoder.NewDecoder().Decode(p.aligned(squares).sampled(squares), nil)
			if err == nil {
				return code.GetText()
			}
		}
	}
	return ""
}
