package rulebook_test

import (
	"testing"

	"keelcard/engine/rulebook"
)

// A built-in book is found by the name of its file, so that must be its id.
func TestBuiltinBooksAreFoundByTheirID(t *testing.T) {
	books := rulebook.Builtin()
	if len(books) == 0 {
		t.Fatal("no book")
	}
	for _, b := range books {
		if found, ok := rulebook.ByID(b.ID); !ok || found != b {
			t.Errorf("%s is not found by its id", b.ID)
		}
	}
	if _, ok := rulebook.ByID("no-such-book"); ok {
		t.Error("a book that is not there is found")
	}
}
