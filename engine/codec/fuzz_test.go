package codec_test

import (
	"bytes"
	"testing"

	"keelcard/engine/codec"
	"keelcard/engine/enginetest"
)

func FuzzDecodeBundle(f *testing.F) {
	for _, file := range badFiles(f) {
		if !file.results && len(file.b) < 1<<14 {
			f.Add(file.b)
		}
	}
	f.Add(encode(f, mixed(f)))
	f.Add(encode(f, parted(f)))
	f.Add(encode(f, some(f)))
	f.Add(encode(f, day{phones: 2, cards: 40, contestants: 20}.write(f)))
	f.Fuzz(func(t *testing.T, b []byte) {
		// Let the fuzzer past the checksum.
		for _, in := range [][]byte{b, resum(b)} {
			set, err := codec.DecodeStored(in)
			if err != nil {
				if lack := enginetest.Untold(err); lack != "" {
					t.Fatal(lack)
				}
				continue
			}
			again, err := codec.EncodeBundle(set, codec.Options{Unsigned: true})
			if err != nil {
				continue // a signature that was not checked does not fit
			}
			if file, err := codec.DecodeText(string(in)); err == nil {
				in = file
			}
			if !bytes.Equal(again, in) {
				t.Errorf("%x was accepted and is written as %x", in, again)
			}
		}
	})
}

func resum(b []byte) []byte {
	if len(b) < 4 {
		return b
	}
	return sum(b)
}

func FuzzDecodeText(f *testing.F) {
	for _, file := range badFiles(f) {
		if len(file.b) < 1<<14 {
			f.Add(string(file.b))
		}
	}
	f.Add(codec.EncodeText([]byte("KEELCARD")))
	f.Fuzz(func(t *testing.T, s string) {
		b, err := codec.DecodeText(s)
		if err != nil {
			if lack := enginetest.Untold(err); lack != "" {
				t.Fatal(lack)
			}
			return
		}
		if again, err := codec.DecodeText(codec.EncodeText(b)); err != nil || !bytes.Equal(again, b) {
			t.Errorf("%q was accepted as %x and comes back as %x, %v", s, b, again, err)
		}
	})
}

func FuzzDecodeResults(f *testing.F) {
	for _, file := range badFiles(f) {
		if file.results && len(file.b) < 1<<14 {
			f.Add(file.b)
		}
	}
	for _, r := range odd() {
		f.Add(encodeResults(f, r))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		for _, in := range [][]byte{b, resum(b)} {
			r, err := codec.DecodeResults(in)
			if err != nil {
				if lack := enginetest.Untold(err); lack != "" {
					t.Fatal(lack)
				}
				continue
			}
			if file, err := codec.DecodeText(string(in)); err == nil {
				in = file
			}
			if again, err := codec.EncodeResults(r); err != nil || !bytes.Equal(again, in) {
				t.Errorf("%x was accepted and is written as %x, %v", in, again, err)
			}
		}
	})
}
