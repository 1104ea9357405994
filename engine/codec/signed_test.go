package codec_test

import (
	"bytes"
	"crypto/ed25519"
	"encoding/binary"
	"reflect"
	"slices"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/clock"
	"keelcard/engine/codec"
	"keelcard/engine/enginetest"
	"keelcard/engine/record"
)

func signerOf(n byte) ed25519.PrivateKey {
	return ed25519.NewKeyFromSeed(bytes.Repeat([]byte{n}, ed25519.SeedSize))
}

func byOwner() codec.Signature {
	return codec.Signature{Who: "Zoë M", Phone: record.PhoneOf(signerOf(1).Public().(ed25519.PublicKey)), Contest: record.ContestID{1, 2, 3}, When: 1_790_000_000}
}

// signed gives signed results of a small contest.
func signed(t testing.TB) []byte {
	t.Helper()
	b, err := codec.SignResults(encodeResults(t, season(3, 10, 4)), byOwner(), signerOf(1))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestSignedResults(t *testing.T) {
	b := signed(t)
	for name, form := range map[string][]byte{"file": b, "text": []byte("Results:\n" + codec.EncodeText(b) + "\nBye")} {
		r, by, err := codec.ReadResults(form)
		if err != nil || by == nil || *by != byOwner() || !reflect.DeepEqual(r, season(3, 10, 4)) {
			t.Errorf("%s: %+v, %v", name, by, err)
		}
	}
	plain := encodeResults(t, season(3, 10, 4))
	for name, form := range map[string][]byte{"file": plain, "text": []byte(codec.EncodeText(plain))} {
		if r, by, err := codec.ReadResults(form); err != nil || by != nil || len(r.Rows) != 10 {
			t.Errorf("not signed, %s: %+v, %v", name, by, err)
		}
	}
	if extra := len(b) - len(plain); extra != 117+len(byOwner().Who) {
		t.Errorf("a signature takes %d bytes beside the name", extra-len(byOwner().Who))
	}
	if size := codec.SignedSize(plain, byOwner()); size != len(b) {
		t.Errorf("said to take %d bytes, takes %d", size, len(b))
	}
}

// The file as its format states it, taken apart by hand.
func TestSignedFormat(t *testing.T) {
	b, message := signed(t), encodeResults(t, season(3, 10, 4))
	want := append([]byte("KS\x01\x01\x02\x03\x00\x00\x00\x00\x00"), binary.AppendUvarint(nil, 1_790_000_000)...)
	want = append(want, "\x06Zoë M"...)
	want = append(want, signerOf(1).Public().(ed25519.PublicKey)...)
	want = append(want, message...)
	if !bytes.HasPrefix(b, want) || len(b) != len(want)+64+4 {
		t.Fatalf("%x\nwant %x", b, want)
	}
	if !ed25519.Verify(signerOf(1).Public().(ed25519.PublicKey), append([]byte("keelcard results signature 1\x00"), want...), b[len(want):len(want)+64]) {
		t.Error("the signature is another")
	}
}

func TestSignedResultsRefused(t *testing.T) {
	good := signed(t)
	change := func(at int, by byte) []byte {
		b := bytes.Clone(good)
		b[at] ^= by
		return b
	}
	// Someone else signs the same results under the owner's name and key.
	forged := bytes.Clone(good)
	body := forged[:len(forged)-68]
	copy(forged[len(body):], ed25519.Sign(signerOf(2), append([]byte("keelcard results signature 1\x00"), body...)))
	key := bytes.Index(good, signerOf(1).Public().(ed25519.PublicKey))
	for _, tc := range []struct {
		name string
		b    []byte
		want engine.Code
	}{
		{"changed on the way", change(50, 1), codec.CodeChecksum},
		{"points changed", resum(change(len(good)-100, 1)), codec.CodeAltered},
		{"contest changed", resum(change(4, 1)), codec.CodeAltered},
		{"name changed", resum(change(key-1, 1)), codec.CodeAltered},
		{"time changed", resum(change(11, 1)), codec.CodeAltered},
		{"key changed", resum(change(key, 1)), codec.CodeAltered},
		{"signature changed", resum(change(len(good)-10, 1)), codec.CodeAltered},
		{"forged", resum(forged), codec.CodeAltered},
		{"version 0", change(2, 1), codec.CodeMalformed},
		{"newer", change(2, 3), codec.CodeNewer},
		{"only the beginning", good[:4], codec.CodeShort},
		{"no signature", resum(good[:key+32+68]), codec.CodeAltered},
		{"no key", resum(good[:key+40]), codec.CodeMalformed},
		{"name too long", resum(slices.Concat(good[:16], []byte{41}, good[17:])), codec.CodeMalformed},
		{"name no text", resum(change(key-3, 0x40)), codec.CodeMalformed},
		{"a bundle", []byte("KEELCARD\x01\x00"), codec.CodeNotOurs},
		{"nothing", nil, codec.CodeNotOurs},
	} {
		if r, by, err := codec.ReadResults(tc.b); engine.CodeOf(err) != tc.want || by != nil || len(r.Rows) > 0 {
			t.Errorf("%s: code %q, want %q (%v)", tc.name, engine.CodeOf(err), tc.want, err)
		}
	}
	for n := range good {
		if _, _, err := codec.ReadResults(good[:n]); err == nil {
			t.Errorf("%d bytes of %d are read", n, len(good))
		}
	}
	for bit := range 8 * len(good) {
		for _, b := range [][]byte{change(bit/8, 1<<(bit%8)), resum(change(bit/8, 1<<(bit%8)))} {
			if _, by, err := codec.ReadResults(b); err == nil && !bytes.Equal(b, good) {
				t.Errorf("with bit %d changed it is read as of %+v", bit, by)
			}
		}
	}
}

func TestResultsNotSigned(t *testing.T) {
	message := encodeResults(t, season(3, 10, 4))
	for _, tc := range []struct {
		name    string
		message []byte
		change  func(*codec.Signature)
		key     ed25519.PrivateKey
		want    engine.Code
	}{
		{"no key", message, func(*codec.Signature) {}, nil, codec.CodeResults},
		{"long name", message, func(s *codec.Signature) { s.Who = strings.Repeat("x", 41) }, signerOf(1), codec.CodeResults},
		{"name with a line break", message, func(s *codec.Signature) { s.Who = "a\nb" }, signerOf(1), codec.CodeResults},
		{"before 1970", message, func(s *codec.Signature) { s.When = -1 }, signerOf(1), codec.CodeResults},
		{"after all time", message, func(s *codec.Signature) { s.When = clock.MaxWall + 1 }, signerOf(1), codec.CodeResults},
		{"no results", message[:20], func(*codec.Signature) {}, signerOf(1), codec.CodeChecksum},
	} {
		by := byOwner()
		tc.change(&by)
		if b, err := codec.SignResults(tc.message, by, tc.key); engine.CodeOf(err) != tc.want || b != nil {
			t.Errorf("%s: code %q, want %q", tc.name, engine.CodeOf(err), tc.want)
		}
	}
}

func FuzzReadResults(f *testing.F) {
	f.Add(signed(f))
	f.Add(encodeResults(f, season(3, 2, 2)))
	f.Add([]byte("KS\x01"))
	f.Fuzz(func(t *testing.T, b []byte) {
		for _, in := range [][]byte{b, resum(b)} {
			r, by, err := codec.ReadResults(in)
			if err != nil {
				if lack := enginetest.Untold(err); lack != "" {
					t.Fatal(lack)
				}
				continue
			}
			if by == nil {
				continue
			}
			if text, err := codec.DecodeText(string(in)); err == nil {
				in = text
			}
			message, err := codec.EncodeResults(r)
			if err != nil || !bytes.Contains(in, message) {
				t.Errorf("%x was accepted and is written as %x, %v", in, message, err)
			}
		}
	})
}
