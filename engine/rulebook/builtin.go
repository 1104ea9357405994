package rulebook

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"strings"
	"sync"
)

//go:embed books/*.json
var files embed.FS

// shelf is the built-in books, sorted by id. A book is read when it is first
// asked for: reading all of them would hold up the start on a slow phone.
var shelf = place()

type onShelf struct {
	id   string // also the name of its file, a test sees to that
	book func() *Book
	hash func() string
}

func place() []onShelf {
	entries, err := files.ReadDir("books")
	if err != nil {
		panic("rulebook: " + err.Error())
	}
	books := make([]onShelf, len(entries))
	for i, e := range entries {
		book := sync.OnceValue(func() *Book { return load(e.Name()) })
		books[i] = onShelf{strings.TrimSuffix(e.Name(), ".json"), book, sync.OnceValue(func() string { return book().hash() })}
	}
	return books
}

func load(name string) *Book {
	data, err := files.ReadFile("books/" + name)
	if err != nil {
		panic("rulebook: " + err.Error())
	}
	b, err := Decode(data)
	if err != nil {
		panic("rulebook: " + name + ":\n" + err.Error())
	}
	return b
}

// Builtin gives the books that come with the program, sorted by id.
func Builtin() []*Book {
	books := make([]*Book, len(shelf))
	for i, s := range shelf {
		books[i] = s.book()
	}
	return books
}

// ByID finds a built-in book.
func ByID(id string) (*Book, bool) {
	for _, s := range shelf {
		if s.id == id {
			return s.book(), true
		}
	}
	return nil, false
}

// Hash is the SHA-256 of the canonical form, in hex. Two books with the same
// hash grade alike. For a built-in book it is taken once.
func (b *Book) Hash() string {
	for _, s := range shelf {
		if s.id == b.ID && s.book() == b {
			return s.hash()
		}
	}
	return b.hash()
}

func (b *Book) hash() string {
	sum := sha256.Sum256(b.Encode())
	return hex.EncodeToString(sum[:])
}
