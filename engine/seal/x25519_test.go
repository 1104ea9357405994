package seal_test

import (
	"crypto/ecdh"
	"encoding/hex"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine/seal"
)

func bytes32(t testing.TB, s string) [32]byte { return [32]byte(unhex(t, s)) }

// RFC 7748, sections 5.2 and 6.1.
func TestX25519Published(t *testing.T) {
	for _, tc := range []struct{ scalar, u, want string }{
		{"a546e36bf0527c9d3b16154b82465edd62144c0ac1fc5a18506a2244ba449ac4", "e6db6867583030db3594c1a424b15f7c726624ec26b3353b10a903a6d0ab1c4c", "c3da55379de9c6908e94ea4df28d084f32eccf03491c71f754b4075577a28552"},
		{"4b66e9d4d1b4673c5ad22691957d6af5c11b6421e0ea01d42ca4169e7918ba0d", "e5210f12786811d3f4b7959d0538ae2c31dbe7106fc03c3efc4cd549c715a493", "95cbde9476e8907d7aade45cb4b873f88b595a68799fa152e6f8f7647aac7957"},
		{"77076d0a7318a57d3c16c17251b26645df4c2f87ebc0992ab177fba51db92c2a", "0900000000000000000000000000000000000000000000000000000000000000", "8520f0098930a754748b7ddcb43ef75a0dbf3a0d26381af4eba4a98eaa9b4e6a"},
		{"77076d0a7318a57d3c16c17251b26645df4c2f87ebc0992ab177fba51db92c2a", "de9edb7d7b7dc1b4d35b61c2ece435373f8343c85b78674dadfc7e146f882b4f", "4a5d9d5ba4ce2de1728e3bf480350f25e07e21c947d19e3376f09b3c1e161742"},
	} {
		got := seal.X25519(bytes32(t, tc.scalar), bytes32(t, tc.u))
		same(t, tc.scalar, got[:], tc.want)
	}
}

// RFC 7748, section 5.2: each result is the next scalar, each scalar the next u.
func TestX25519ManyTimes(t *testing.T) {
	k, u := [32]byte{9}, [32]byte{9}
	want := map[int]string{1: "422c8e7a6227d7bca1350b3e2bb7279f7897b87bb6854b783c60e80311ae3079", 1000: "684cf59ba83309552800ef566f2f4d3c1c3887c49360e3875f2eb94d99532c51"}
	for n := 1; n <= 1000; n++ {
		k, u = seal.X25519(k, u), k
		if want[n] != "" && hex.EncodeToString(k[:]) != want[n] {
			t.Errorf("after %d: %x, want %s", n, k, want[n])
		}
	}
}

// Scalars and points at the edges, and any others, against the standard library.
func TestX25519Beside(t *testing.T) {
	curve := ecdh.X25519()
	edges := []string{"00", "01", "09", "ec", "ed", "ee", "ff"}
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) [32]byte {
			b := [32]byte(rapid.SliceOfN(rapid.Byte(), 32, 32).Draw(t, name))
			if rapid.Bool().Draw(t, name+" at the edge") {
				fill := rapid.SampledFrom([]byte{0, 0xff}).Draw(t, "fill")
				for i := range b {
					b[i] = fill
				}
				first, _ := hex.DecodeString(rapid.SampledFrom(edges).Draw(t, "first"))
				b[0], b[31] = first[0], rapid.SampledFrom([]byte{0, 0x7f, 0x80, 0xff}).Draw(t, "last")
			}
			return b
		}
		scalar, u := draw("scalar"), draw("u")
		private, err := curve.NewPrivateKey(scalar[:])
		if err != nil {
			t.Fatal(err)
		}
		if got := seal.X25519(scalar, [32]byte{9}); string(got[:]) != string(private.PublicKey().Bytes()) {
			t.Fatalf("public %x, want %x", got, private.PublicKey().Bytes())
		}
		public, err := curve.NewPublicKey(u[:])
		if err != nil {
			t.Fatal(err)
		}
		want, err := private.ECDH(public)
		if err != nil {
			want = make([]byte, 32) // the standard library does not give out zero
		}
		if got := seal.X25519(scalar, u); string(got[:]) != string(want) {
			t.Fatalf("scalar %x, u %x: %x, want %x", scalar, u, got, want)
		}
	})
}

func BenchmarkX25519(b *testing.B) {
	k := [32]byte{9}
	for b.Loop() {
		k = seal.X25519(k, [32]byte{9})
	}
}
