package codec_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"keelcard/engine"
	"keelcard/engine/codec"
	"keelcard/engine/record"
)

const testdata = "../../testdata/files"

var update = flag.Bool("update", false, "write the files of testdata/files that are missing")

// keep writes a file that is not there yet. A file that is there is never
// changed: it may have been handed out.
func keep(t *testing.T, path string, b []byte) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	old, err := os.ReadFile(path)
	if err != nil {
		if err := os.WriteFile(path, b, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if !bytes.Equal(old, b) {
		t.Errorf("%s would change; a released format is never changed, make a new version", path)
	}
}

// Files of version 1 are read as what they were written from, and written again
// as they are.
func TestGoldenBundles(t *testing.T) {
	checkGolden(t, "v1", map[string]record.Set{
		"empty":    {Contest: contest},
		"mixed":    mixed(t),
		"forty":    forty(t),
		"shuffled": day{phones: 3, cards: 60, contestants: 20, shuffled: true}.write(t),
	})
}

func checkGolden(t *testing.T, version string, sets map[string]record.Set) {
	t.Helper()
	dir := filepath.Join(testdata, version)
	for name, set := range sets {
		b := encode(t, set)
		for path, form := range map[string][]byte{name + ".keelcard": b, name + ".txt": []byte(codec.EncodeText(b))} {
			path = filepath.Join(dir, path)
			if *update {
				keep(t, path, form)
			}
			old, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(old, form) {
				t.Errorf("%s is written differently now", path)
			}
			got, err := codec.DecodeBundle(old)
			if err != nil || !sameSet(got, set) {
				t.Errorf("%s: %v, or other records than it was written from", path, err)
			}
		}
	}
}

func TestGoldenResults(t *testing.T) {
	dir := filepath.Join(testdata, "v1")
	for name, r := range map[string]codec.Results{
		"results":       season(1, 40, 10),
		"results-named": named(season(2, 40, 10)),
		"results-none":  {},
		"results-odd":   odd()["cards missing, ranks by another rule"],
	} {
		b := encodeResults(t, r)
		for path, form := range map[string][]byte{name + ".keelcard": b, name + ".txt": []byte(codec.EncodeText(b))} {
			path = filepath.Join(dir, path)
			if *update {
				keep(t, path, form)
			}
			old, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(old, form) {
				t.Errorf("%s is written differently now", path)
			}
			got, err := codec.DecodeResults(old)
			if err != nil || !sameResults(got, r) {
				t.Errorf("%s: %v, or other results than it was written from", path, err)
			}
		}
	}
}

// forty is the export of a contest of 40: two phones, ten classes.
func forty(tb testing.TB) record.Set {
	return day{phones: 2, cards: 400, contestants: 40}.write(tb)
}

// stride leaves most of a long walk out under -short.
func stride(long int) int {
	if testing.Short() {
		return long
	}
	return 1
}

// Every truncation and every flip of a bit of the export of a contest of 40 is
// refused.
func TestEveryFlipAndTruncation(t *testing.T) {
	b := encode(t, forty(t))
	for n := 0; n < len(b); n += stride(13) {
		if _, err := codec.DecodeBundle(b[:n]); engine.CodeOf(err) == "" {
			t.Errorf("cut to %d of %d bytes: %v", n, len(b), err)
		}
	}
	for i := 0; i < len(b); i += stride(13) {
		for _, mask := range []byte{1, 2, 4, 8, 16, 32, 64, 128, 255} {
			if _, err := codec.DecodeBundle(change(b, i, b[i]^mask)); engine.CodeOf(err) == "" {
				t.Errorf("byte %d changed by %02x: %v", i, mask, err)
			}
		}
	}
}

// The same with the checksum put right, as somebody would who means harm: the
// form, the chain or a signature gives it away.
func TestEveryFlipWithItsChecksum(t *testing.T) {
	b := encode(t, day{phones: 2, cards: 80, contestants: 40}.write(t))
	for i := 8; i < len(b)-4; i += stride(17) {
		mask := byte(1) << (i % 8)
		if _, err := codec.DecodeBundle(sum(change(b, i, b[i]^mask))); engine.CodeOf(err) == "" {
			t.Errorf("byte %d changed by %02x: %v", i, mask, err)
		}
	}
	for n := 10; n < len(b)-4; n += stride(17) {
		cut := append(bytes.Clone(b[:n]), 0, 0, 0, 0)
		if _, err := codec.DecodeBundle(sum(cut)); engine.CodeOf(err) == "" {
			t.Errorf("cut to %d of %d bytes: %v", n, len(b), err)
		}
	}
}

// A flip or a cut in the text form is refused, or it hit what messages may
// change, such as a line end.
func TestEveryFlipOfTheText(t *testing.T) {
	set := mixed(t)
	s := []byte(codec.EncodeText(encode(t, set)))
	for i := 0; i < len(s); i += stride(13) {
		for _, mask := range []byte{1, 2, 4, 8, 16, 32, 64, 128} {
			got, err := codec.DecodeBundle(change(s, i, s[i]^mask))
			if err == nil && !sameSet(got, set) || err != nil && engine.CodeOf(err) == "" {
				t.Errorf("letter %d %q changed by %02x: %v", i, s[i], mask, err)
			}
		}
		got, err := codec.DecodeBundle(s[:i])
		if err == nil && !sameSet(got, set) || err != nil && engine.CodeOf(err) == "" {
			t.Errorf("cut to %d of %d letters: %v", i, len(s), err)
		}
	}
}

func TestEveryFlipOfResults(t *testing.T) {
	b := encodeResults(t, named(season(2, 40, 10)))
	for i := range b {
		for _, mask := range []byte{1, 2, 4, 8, 16, 32, 64, 128, 255} {
			if _, err := codec.DecodeResults(change(b, i, b[i]^mask)); engine.CodeOf(err) == "" {
				t.Errorf("byte %d changed by %02x: %v", i, mask, err)
			}
		}
		if _, err := codec.DecodeResults(b[:i]); engine.CodeOf(err) == "" {
			t.Errorf("cut to %d of %d bytes: %v", i, len(b), err)
		}
	}
}
