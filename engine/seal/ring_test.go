package seal_test

import (
	"bytes"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine/record"
	"keelcard/engine/seal"
)

func TestRingOpensWhatItSealed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ring := seal.Authority(rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "authority")).Ring(fair)
		bundle := rapid.SliceOfN(rapid.Byte(), 0, 300).Draw(t, "bundle")
		file := ring.Seal(bundle)
		if id, ok := seal.SealedFor(file); !ok || id != ring.ID() {
			t.Fatalf("sealed for %x, %v", id, ok)
		}
		if got, err := ring.Open(file); err != nil || !bytes.Equal(got, bundle) {
			t.Fatalf("%x, %v", got, err)
		}
		if again := ring.Seal(bundle); !bytes.Equal(again, file) {
			t.Fatal("the same bundle is sealed in two ways")
		}
		if n := len(file) - len(bundle); n < 50 || n > 113 {
			t.Fatalf("%d bytes longer", n)
		}
		if got, err := owner.Ring(record.ContestID{9}).Open(file); err == nil {
			t.Fatalf("another contest opens it: %x", got)
		}
	})
}
