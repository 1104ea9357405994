package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/andybalholm/brotli"
)

// The levels of brotli: quick for work on the source, small for a release.
const (
	quick = 5
	small = 11
)

// A packer compresses files and keeps the results by content, since the
// smallest form of the program takes a quarter of a minute.
type packer struct {
	dir   string
	level int
}

// pack fills in the compressed forms of f that are worth having.
func (p packer) pack(path string, f *file) error {
	if filepath.Ext(path) == ".png" {
		return nil
	}
	var err error
	if f.brotli, err = p.form(f.body, fmt.Sprintf("br%d", p.level), func(w io.Writer) io.WriteCloser {
		return brotli.NewWriterLevel(w, p.level)
	}); err != nil {
		return err
	}
	f.gzip, err = p.form(f.body, "gz", func(w io.Writer) io.WriteCloser {
		z, err := gzip.NewWriterLevel(w, gzip.BestCompression)
		if err != nil {
			panic(err) // the level is a constant that exists
		}
		return z
	})
	return err
}

func (p packer) form(body []byte, name string, open func(io.Writer) io.WriteCloser) ([]byte, error) {
	kept := filepath.Join(p.dir, fmt.Sprintf("%x.%s", sha256.Sum256(body), name))
	packed, err := os.ReadFile(kept)
	if errors.Is(err, fs.ErrNotExist) {
		var b bytes.Buffer
		w := open(&b)
		if _, err := w.Write(body); err != nil {
			return nil, err
		}
		if err := w.Close(); err != nil {
			return nil, err
		}
		packed = b.Bytes()
		err = writeWhole(kept, packed)
	}
	if err != nil || len(packed) >= len(body) {
		return nil, err
	}
	return packed, nil
}

// writeWhole writes beside and renames, so that a broken-off run leaves no half file.
func writeWhole(path string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), "new-*")
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err = errors.Join(err, f.Chmod(0o644), f.Close()); err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return os.Rename(f.Name(), path)
}
