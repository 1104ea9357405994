package seal_test

import (
	"bytes"
	"crypto/ecdh"
	"crypto/hpke"
	"encoding/hex"
	"testing"

	"keelcard/engine/enginetest"
	"keelcard/engine/seal"
)

// Whatever arrives sealed to a phone opens here as the standard library opens it,
// or neither opens it.
func FuzzOpenSealed(f *testing.F) {
	seed := bytes.Repeat([]byte{5}, 32)
	ours := seal.DeriveKey(seed)
	theirs, err := hpke.DHKEM(ecdh.X25519()).DeriveKeyPair(seed)
	if err != nil {
		f.Fatal(err)
	}
	for _, text := range []string{"", "the secret of a contest"} {
		sealed, err := ours.Public().Seal(random(1), []byte("info"), nil, []byte(text))
		if err != nil {
			f.Fatal(err)
		}
		f.Add([]byte("info"), sealed)
		f.Add([]byte("other"), sealed)
		f.Add([]byte("info"), sealed[:len(sealed)-1])
	}
	// Points of low order, and one beyond the prime.
	for _, point := range []string{"00", "01", "ecffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f", "ffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff",
		"e0eb7a7c3b41b8ae1656e3faf19fc46ada098deb9c32b1fd866205165f49b800"} {
		sealed := make([]byte, seal.Overhead)
		copy(sealed, unhex(f, point))
		f.Add([]byte("info"), sealed)
	}
	f.Fuzz(func(t *testing.T, info, sealed []byte) {
		want, wantErr := hpke.Open(theirs, hpke.HKDFSHA256(), hpke.AES256GCM(), info, sealed)
		got, err := ours.Open(info, nil, sealed)
		if (err == nil) != (wantErr == nil) || !bytes.Equal(got, want) {
			t.Fatalf("it opens as %x, %v; by the standard library as %x, %v", got, err, want, wantErr)
		}
		if err != nil {
			if lack := enginetest.Untold(err); lack != "" {
				t.Fatal(lack)
			}
		}
	})
}

// What is released is a secret, as it was written down.
func FuzzReadRelease(f *testing.F) {
	secret := owner.Secret(fair, 1)
	f.Add(secret.Release())
	f.Add(secret.Release()[:62])
	f.Add("")
	f.Fuzz(func(t *testing.T, value string) {
		got, err := seal.ReadRelease(value)
		if err != nil {
			if lack := enginetest.Untold(err); lack != "" {
				t.Fatal(lack)
			}
			return
		}
		if b, err := hex.DecodeString(value); err != nil || !bytes.Equal(b, secretBytes(got)) {
			t.Fatalf("%q is taken for %x", value, got)
		}
	})
}
