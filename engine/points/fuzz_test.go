package points_test

import (
	"testing"

	"keelcard/engine/enginetest"
	"keelcard/engine/points"
)

// Whatever reads as points is written so that it reads the same.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"7", "7.5", "-3", "0.25", " 50 ", "-0", "0.001", "1e3", ".", "", "92233720368547758.07", "92233720368547758.08", "\u0661"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p, err := points.Parse(text)
		if err != nil {
			if lack := enginetest.Untold(err); lack != "" {
				t.Fatal(lack)
			}
			return
		}
		if back, err := points.Parse(p.String()); err != nil || back != p {
			t.Fatalf("%q is %v and comes back as %v, %v", text, p, back, err)
		}
	})
}
