package seal_test

import (
	"bytes"
	"crypto/hkdf"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/binary"
	"hash/crc32"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/record"
	"keelcard/engine/seal"
)

var ring = owner.Ring(fair)

// flip gives a copy with one bit changed.
func flip(b []byte, bit int) []byte {
	b = bytes.Clone(b)
	b[bit/8] ^= 1 << (bit % 8)
	return b
}

func TestRingOpensWhatItSealed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ring := seal.Authority(rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "authority")).Ring(fair)
		bundle := rapid.SliceOfN(rapid.Byte(), 0, 300).Draw(t, "bundle")
		file := ring.Seal(fair, bundle)
		if id, ok := seal.SealedFor(file); !ok || id != fair {
			t.Fatalf("sealed for %x, %v", id, ok)
		}
		if got, err := ring.Open(file); err != nil || !bytes.Equal(got, bundle) {
			t.Fatalf("%x, %v", got, err)
		}
		if again := ring.Seal(fair, bundle); !bytes.Equal(again, file) {
			t.Fatal("the same bundle is sealed in two ways")
		}
		if n := len(file) - len(bundle); n < 50 || n > 113 {
			t.Fatalf("%d bytes longer", n)
		}
		if got, err := owner.Ring(record.ContestID{9}).Open(file); engine.CodeOf(err) != seal.CodeClosed || got != nil {
			t.Fatalf("another contest opens it: %x, %v", got, err)
		}
		file[rapid.IntRange(0, len(file)-1).Draw(t, "at")] ^= rapid.ByteRange(1, 255).Draw(t, "by")
		if got, err := ring.Open(file); err == nil || got != nil {
			t.Fatalf("changed, it opens as %x", got)
		}
		if got, err := ring.Open(sum(file)); got != nil && !bytes.Equal(got, bundle) {
			t.Fatalf("changed on purpose, it opens as %x, %v", got, err)
		}
	})
}

// The file as its format states it, written by hand.
func TestSealedBundleFormat(t *testing.T) {
	of := func(label string, n int) []byte {
		b, err := hkdf.Key(sha256.New, ring[:], nil, "keelcard "+label, n)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	bundle := []byte("KEELCARD and so on")
	keys := of("bundle sealing 1", 64)
	mac := hmac.New(sha256.New, keys[32:])
	head := append([]byte("KEELSEAL\x01"), fair[:]...)
	mac.Write(slices.Concat(head, bundle))
	nonce := mac.Sum(nil)[:12]
	text := append(append(bytes.Clone(bundle), 0x80), make([]byte, 64-len(bundle)-1)...)
	want := seal.NewGCM(keys[:32]).Seal(slices.Concat(head, nonce), nonce, text, head)
	want = binary.LittleEndian.AppendUint32(want, crc32.ChecksumIEEE(want))
	if got := ring.Seal(fair, bundle); !bytes.Equal(got, want) {
		t.Errorf("%x\nwant %x", got, want)
	}
}

func TestSealedBundleRefused(t *testing.T) {
	for _, bundle := range [][]byte{[]byte("KEELCARD one"), bytes.Repeat([]byte("x"), 200)} {
		good := ring.Seal(fair, bundle)
		refused := func(file []byte) {
			t.Helper()
			if got, err := ring.Open(file); engine.CodeOf(err) == "" || got != nil {
				t.Errorf("%x opens as %x, %v", file, got, err)
			}
		}
		for n := range good {
			refused(good[:n])
			if n >= 4 {
				refused(sum(good[:n]))
			}
		}
		for bit := range 8 * len(good) {
			refused(flip(good, bit))
			if bit/8 < len(good)-4 {
				refused(sum(flip(good, bit)))
			}
		}
	}
}

func TestWhatOthersLearnOfABundle(t *testing.T) {
	bundle := []byte("KEELCARD with the answers of a class")
	file := ring.Seal(fair, bundle)
	if bytes.Contains(file, bundle[:8]) || bytes.Contains(file, ring[:8]) {
		t.Error("it can be read")
	}
	if n := len(ring.Seal(fair, bundle[:20])); n != len(file) {
		t.Errorf("%d and %d bytes: bundles can be told apart by length", n, len(file))
	}
	other := ring.Seal(fair, []byte("KEELCARD with the answers of a clasp"))
	if bytes.Equal(other[17:29], file[17:29]) || bytes.Equal(other[29:45], file[29:45]) {
		t.Error("two bundles are sealed with the same key stream")
	}
	if moved := ring.Seal(record.ContestID{9}, bundle); bytes.Equal(moved[17:29], file[17:29]) {
		t.Error("two contests are sealed with one nonce")
	}
}

func TestSealedFor(t *testing.T) {
	file := ring.Seal(fair, []byte("KEELCARD"))
	for _, tc := range []struct {
		name string
		b    []byte
		id   record.ContestID
		ok   bool
		want engine.Code // what a phone without the ring says of it
	}{
		{"whole", file, fair, true, seal.CodeClosed},
		{"cut", file[:40], fair, true, seal.CodeShort},
		{"cut in the name of the contest", file[:16], record.ContestID{}, true, seal.CodeShort},
		{"newer", sum(flip(file, 8*8+1)), record.ContestID{}, true, seal.CodeNewer},
		{"a bundle in the clear", []byte("KEELCARD\x01\x00"), record.ContestID{}, false, seal.CodeNotOurs},
		{"nothing", nil, record.ContestID{}, false, seal.CodeNotOurs},
	} {
		if id, ok := seal.SealedFor(tc.b); id != tc.id || ok != tc.ok {
			t.Errorf("%s: %x, %v", tc.name, id, ok)
		}
		if got, err := (seal.Ring{}).Open(tc.b); engine.CodeOf(err) != tc.want || got != nil {
			t.Errorf("%s: %v, want %q", tc.name, err, tc.want)
		}
	}
}

func FuzzRingOpen(f *testing.F) {
	f.Add(ring.Seal(fair, []byte("KEELCARD one")))
	f.Add(ring.Seal(fair, bytes.Repeat([]byte("x"), 200)))
	f.Add([]byte("KEELSEAL"))
	f.Add(append([]byte("KEELCARD one\x80"), make([]byte, 51)...))
	f.Fuzz(func(t *testing.T, b []byte) {
		bundle := bytes.TrimRight(b, "\x00")
		inside := ring.SealRaw(fair, ring.Nonce(fair, bundle[:max(len(bundle)-1, 0)]), b) // let the fuzzer past the seal
		for _, file := range [][]byte{b, inside} {
			got, err := ring.Open(file)
			if err != nil {
				if engine.CodeOf(err) == "" {
					t.Errorf("an error without a code: %v", err)
				}
				continue
			}
			if again := ring.Seal(fair, got); !bytes.Equal(again, file) {
				t.Errorf("%x was accepted and is sealed as %x", file, again)
			}
		}
	})
}
