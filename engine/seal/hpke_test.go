package seal_test

import (
	"bytes"
	"crypto/ecdh"
	"crypto/hpke"
	"encoding/hex"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/seal"
)

func unhex(t testing.TB, s string) []byte {
	t.Helper()
	b, err := hex.DecodeString(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func random(n byte) [32]byte { return [32]byte(bytes.Repeat([]byte{n}, 32)) }

// RFC 9180, appendix A.1.1: DHKEM(X25519, HKDF-SHA256), HKDF-SHA256,
// AES-128-GCM, base mode.
func TestPublishedVector(t *testing.T) {
	sender := seal.DeriveKey(unhex(t, "7268600d403fce431561aef583ee1613527cff655c1343f29812e66706df3234"))
	receiver := seal.DeriveKey(unhex(t, "6db9df30aa07dd42ee5e8181afdb977e538f5e1fec8a06223f33f7013e525037"))
	same(t, "pkEm", public(sender), "37fda3567bdbd628e88668c3c8d7e97d1d1253b6d4ea6d44c150f741f1bf4431")
	same(t, "pkRm", public(receiver), "3948cfe0ad1ddb695d780e59077195da6c56506b027329794ab02bca80815c4d")
	shared, err := sender.Agree(receiver.Public())
	if err != nil {
		t.Fatal(err)
	}
	same(t, "shared_secret", shared, "fe0e18c9f024ce43799ae393c7e8fe8fce9d218875e8227b0187c04e7d2ea1fc")
	key, nonce := seal.Schedule(shared, unhex(t, "4f6465206f6e2061204772656369616e2055726e"), "\x00\x01", 16)
	same(t, "key", key, "4531685d41d65f03dc48f6b8302c05b0")
	same(t, "base_nonce", nonce, "56d890e5accaaf011cff4b7d")
	ct := seal.NewGCM(key).Seal(nil, nonce, unhex(t, "4265617574792069732074727574682c20747275746820626561757479"), unhex(t, "436f756e742d30"))
	same(t, "ct", ct, "f938558b5d72f1a23810b4be2ab4f84331acc02fc97babc53a52ae8218a355a96d8770ac83d07bea87e13c512a")
}

// The keys of the published vectors for the ciphers that are used here:
// DHKEM(X25519, HKDF-SHA256), HKDF-SHA256, AES-256-GCM, base mode, in
// test-vectors.json of RFC 9180.
func TestPublishedKeys(t *testing.T) {
	sender := seal.DeriveKey(unhex(t, "2cd7c601cefb3d42a62b04b7a9041494c06c7843818e0ce28a8f704ae7ab20f9"))
	receiver := seal.DeriveKey(unhex(t, "dac33b0e9db1b59dbbea58d59a14e7b5896e9bdf98fad6891e99d1686492b9ee"))
	same(t, "enc", public(sender), "6c93e09869df3402d7bf231bf540fadd35cd56be14f97178f0954db94b7fc256")
	same(t, "pkRm", public(receiver), "430f4b9859665145a6b1ba274024487bd66f03a2dd577d7753c68d7d7d00c00c")
}

func public(k seal.Key) []byte { p := k.Public(); return p[:] }

func same(t *testing.T, what string, got []byte, want string) {
	t.Helper()
	if hex.EncodeToString(got) != want {
		t.Errorf("%s: %x, want %s", what, got, want)
	}
}

// The standard library opens what is sealed here, and the other way round.
func TestAgainstStandardLibrary(t *testing.T) {
	kem := hpke.DHKEM(ecdh.X25519())
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.SliceOfN(rapid.Byte(), 32, 32).Draw(t, "seed")
		info := rapid.SliceOfN(rapid.Byte(), 0, 60).Draw(t, "info")
		text := rapid.SliceOfN(rapid.Byte(), 0, 200).Draw(t, "text")
		ours := seal.DeriveKey(seed)
		theirs, err := kem.DeriveKeyPair(seed)
		if err != nil {
			t.Fatal(err)
		}
		sealed, err := ours.Public().Seal([32]byte(rapid.SliceOfN(rapid.Byte(), 32, 32).Draw(t, "random")), info, nil, text)
		if err != nil {
			t.Fatal(err)
		}
		got, err := hpke.Open(theirs, hpke.HKDFSHA256(), hpke.AES256GCM(), info, sealed)
		if err != nil || !bytes.Equal(got, text) {
			t.Fatalf("the standard library opens %x, %v", got, err)
		}
		sealed, err = hpke.Seal(theirs.PublicKey(), hpke.HKDFSHA256(), hpke.AES256GCM(), info, text)
		if err != nil {
			t.Fatal(err)
		}
		got, err = ours.Open(info, nil, sealed)
		if err != nil || !bytes.Equal(got, text) {
			t.Fatalf("what the standard library sealed opens as %x, %v", got, err)
		}
	})
}

func TestSealedToOneKey(t *testing.T) {
	me, other := seal.PhoneKey([]byte("my seed")), seal.PhoneKey([]byte("another seed"))
	sealed, err := me.Public().Seal(random(1), []byte("info"), []byte("data"), []byte("the answers"))
	if err != nil {
		t.Fatal(err)
	}
	if len(sealed) != len("the answers")+seal.Overhead {
		t.Errorf("%d bytes", len(sealed))
	}
	if got, err := me.Open([]byte("info"), []byte("data"), sealed); err != nil || string(got) != "the answers" {
		t.Errorf("%q, %v", got, err)
	}
	again, _ := me.Public().Seal(random(1), []byte("info"), []byte("data"), []byte("the answers"))
	if !bytes.Equal(sealed, again) {
		t.Error("the same random bytes give something else")
	}
	refused := func(name string, k seal.Key, info, data string, sealed []byte) {
		t.Helper()
		if got, err := k.Open([]byte(info), []byte(data), sealed); engine.CodeOf(err) != seal.CodeClosed || got != nil {
			t.Errorf("%s: %q, %v", name, got, err)
		}
	}
	refused("another key", other, "info", "data", sealed)
	refused("other info", me, "infO", "data", sealed)
	refused("other data", me, "info", "", sealed)
	for n := range sealed {
		refused("cut", me, "info", "data", sealed[:n])
	}
	// The last bit of a key counts here, though X25519 leaves it out.
	for bit := 0; bit < 8*len(sealed); bit += stride(3) {
		changed := bytes.Clone(sealed)
		changed[bit/8] ^= 1 << (bit % 8)
		refused("changed", me, "info", "data", changed)
	}
}

// stride leaves most of a long walk out under -short.
func stride(long int) int {
	if testing.Short() {
		return long
	}
	return 1
}

// A key of low order would make a secret that everyone knows (RFC 7748, section 6.1).
func TestNoSecretThatEveryoneKnows(t *testing.T) {
	if _, err := (seal.Public{}).Seal(random(1), nil, nil, []byte("x")); engine.CodeOf(err) != seal.CodeKey {
		t.Errorf("sealed to the key zero: %v", err)
	}
	if _, err := seal.PhoneKey([]byte("my seed")).Open(nil, nil, make([]byte, 80)); engine.CodeOf(err) != seal.CodeClosed {
		t.Errorf("opened with the key zero: %v", err)
	}
}
