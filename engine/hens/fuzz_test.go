package hens_test

import (
	"maps"
	"testing"

	"keelcard/engine/enginetest"
	"keelcard/engine/hens"
)

// Whatever signs a record holds, those that are read without fault are written
// as they were, but for a pace of a molt that was not.
func FuzzRead(f *testing.F) {
	for _, s := range [][2]string{{"molt", "3"}, {"molt", "none"}, {"molt-pace", "together"}, {"pubic", "2 1/2"}, {"keel", "1/2"}, {"keel", "7"}, {"keel", " 1/2"}, {"feel", "soft"}, {"vent", "bleached"}, {"vent", "x"}, {"", ""}} {
		f.Add(s[0], s[1], "molt", "4")
	}
	f.Fuzz(func(t *testing.T, key, word, key2, word2 string) {
		signs := map[string]string{key: word, key2: word2}
		h, err := hens.Read(signs)
		if err != nil {
			if lack := enginetest.Untold(err); lack != "" {
				t.Fatal(lack)
			}
		}
		written := h.Write()
		again, err2 := hens.Read(written)
		if err2 != nil || again != h {
			t.Fatalf("%+v is written as %v and comes back as %+v, %v", h, written, again, err2)
		}
		if err != nil {
			return
		}
		delete(signs, hens.KeyPace)
		delete(written, hens.KeyPace)
		if !maps.Equal(signs, written) {
			t.Fatalf("%v is read, and written as %v", signs, written)
		}
	})
}
