package rulebook

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"slices"
)

//go:embed books/*.json
var files embed.FS

// builtin is every embedded book, sorted by id.
var builtin = load()

func load() []*Book {
	entries, err := files.ReadDir("books")
	if err != nil {
		panic("rulebook: " + err.Error())
	}
	var books []*Book
	for _, e := range entries {
		data, err := files.ReadFile("books/" + e.Name())
		if err != nil {
			panic("rulebook: " + err.Error())
		}
		b, err := Decode(data)
		if err != nil {
			panic("rulebook: " + e.Name() + ":\n" + err.Error())
		}
		books = append(books, b)
	}
	return books
}

// Builtin gives the books that come with the program, sorted by id.
func Builtin() []*Book { return slices.Clone(builtin) }

// ByID finds a built-in book.
func ByID(id string) (*Book, bool) {
	for _, b := range builtin {
		if b.ID == id {
			return b, true
		}
	}
	return nil, false
}

// Hash is the SHA-256 of the canonical form, in hex. Two books with the same
// hash grade alike.
func (b *Book) Hash() string {
	sum := sha256.Sum256(b.Encode())
	return hex.EncodeToString(sum[:])
}
