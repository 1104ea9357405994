package app_test

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/rulebook"
	"keelcard/web/app"
)

// own gives the file of a book made from a published one.
func own(t *testing.T, from, id string, change func(*rulebook.Book)) []byte {
	t.Helper()
	b, ok := rulebook.ByID(from)
	if !ok {
		t.Fatalf("no book %s", from)
	}
	copied, err := rulebook.Decode(b.Encode())
	if err != nil {
		t.Fatal(err)
	}
	copied.ID, copied.Base = id, from
	if change != nil {
		change(copied)
	}
	return copied.Encode()
}

func bring(r *app.Runner, tag string, data []byte) {
	r.Send(app.Msg{Do: "file", Args: []string{tag, "barn.book.txt"}, Bytes: data})
}

// The two ways a file goes wrong: it is no book at all, or a book with
// mistakes. Then every mistake is told with its place, and nothing is kept.
func TestABookWithFaultsIsNotKept(t *testing.T) {
	r := newPhone(t, 1, "MB")
	r.Visit("#/books")
	r.Do("books.pick")
	if pick, ok := r.Shown[len(r.Shown)-1].(app.Pick); !ok || pick.Tag != "book" {
		t.Errorf("asked for %+v, want files for a book", r.Shown)
	}
	bring(r, "book", []byte("Dear all, the bus leaves at seven."))
	if n := len(r.State.Shelf.Faults); n != 1 || r.State.Shelf.Faults[0].Fix == "" {
		t.Errorf("of a letter: %v", r.State.Shelf.Faults)
	}
	text := string(own(t, "parts-youth", "barn", nil))
	text = strings.Replace(text, `"format":1,`, `"format":1,"colour":"red",`, 1)
	text = strings.Replace(text, `"limits":[{"factor":"`, `"limits":[{"factor":"no-`, 1)
	bring(r, "book", []byte(text))
	var places []string
	for _, f := range r.State.Shelf.Faults {
		places = append(places, f.Where)
		if f.What == "" || f.Fix == "" {
			t.Errorf("%s: %q, %q", f.Where, f.What, f.Fix)
		}
	}
	for _, want := range []string{"colour", "limits[0].factor"} {
		if !slices.Contains(places, want) {
			t.Errorf("faults at %v, want %s among them", places, want)
		}
	}
	if r.State.Shelf.File != "barn.book.txt" || len(r.State.Shelf.Own) != 0 {
		t.Errorf("of %q, kept %d books", r.State.Shelf.File, len(r.State.Shelf.Own))
	}
	r = restart(t, r)
	r.Visit("#/books")
	if len(r.State.Shelf.Own) != 0 || r.State.Shelf.Faults != nil {
		t.Errorf("after a restart: %d books, %v", len(r.State.Shelf.Own), r.State.Shelf.Faults)
	}
}

func TestABookBroughtInIsKept(t *testing.T) {
	r := newPhone(t, 1, "MB")
	r.Visit("#/books")
	bring(r, "book", own(t, "parts-youth", "barn", nil))
	if p := r.State.Page; p.Name != "book" || p.Arg(0) != "barn" {
		t.Errorf("at %s, want the book", p.Hash())
	}
	r = restart(t, r)
	r.Visit("#/book/barn")
	b, ok := r.State.Book("barn")
	if !ok || b.Base != "parts-youth" {
		t.Fatalf("after a restart the book is %v", b)
	}
	// a later edition takes its place, and can be taken back
	later := own(t, "parts-youth", "barn", func(b *rulebook.Book) { b.Edition = "2027" })
	bring(r, "book", later)
	if b, _ := r.State.Book("barn"); b.Edition != "2027" {
		t.Errorf("edition %s, want 2027", b.Edition)
	}
	r.Do("books.undo")
	if again, _ := r.State.Book("barn"); again.Edition != b.Edition {
		t.Errorf("edition %s, want %s back", again.Edition, b.Edition)
	}
	r.Do("book.remove:barn")
	if _, ok := r.State.Book("barn"); ok || r.State.Page.Name != "books" {
		t.Error("the book is still here")
	}
	r.Do("books.undo")
	r = restart(t, r)
	r.Visit("#/books")
	if _, ok := r.State.Book("barn"); !ok {
		t.Error("the book was put back and is not here after a restart")
	}
}

// A book of one's own cannot pass for a published one.
func TestABookDoesNotTakeAPublishedName(t *testing.T) {
	r := newPhone(t, 1, "MB")
	r.Visit("#/books")
	published, _ := rulebook.ByID("carcass-youth")
	changed := *published
	changed.Edition = "mine"
	bring(r, "book", changed.Encode())
	if f := r.State.Shelf.Faults; len(f) != 1 || f[0].Where != "id" {
		t.Errorf("faults %v, want one of the id", f)
	}
	bring(r, "book", published.Encode())
	if len(r.State.Shelf.Own) != 0 || r.State.Shelf.Faults != nil || r.State.Notice.Tone != "info" {
		t.Errorf("the published book itself: %d kept, %v, %+v", len(r.State.Shelf.Own), r.State.Shelf.Faults, r.State.Notice)
	}
}

// A book that was saved reads back as the same book, and its file has a line
// for each limit, so that it can be found and changed. encoding/json says that
// nothing but spaces was added.
func TestASavedBookIsReadBackAlike(t *testing.T) {
	for _, b := range rulebook.Builtin() {
		r := newPhone(t, 1, "MB")
		r.Visit("#/book/" + b.ID)
		r.Do("book.save:" + b.ID + ":save")
		o, ok := r.Shown[len(r.Shown)-1].(app.Offer)
		if !ok || !o.Save || !strings.HasSuffix(o.Name, ".txt") {
			t.Fatalf("%s: offered %+v", b.ID, o)
		}
		again, err := rulebook.Decode(o.Bytes)
		if err != nil || again.Hash() != b.Hash() {
			t.Fatalf("%s reads back otherwise: %v", b.ID, err)
		}
		var flat bytes.Buffer
		if err := json.Compact(&flat, o.Bytes); err != nil || flat.String() != string(b.Encode()) {
			t.Errorf("%s: more than spaces was added: %v", b.ID, err)
		}
		if n := strings.Count(string(o.Bytes), "\n    {\"factor\":"); n != len(b.Limits) {
			t.Errorf("%s: %d lines of limits, want %d", b.ID, n, len(b.Limits))
		}
	}
}

// A book opened from a call leads back to the call.
func TestABookLeadsBackToWhereItWasOpened(t *testing.T) {
	r := newPhone(t, 1, "MB")
	r.Visit("#/call")
	r.Do(app.Action("book.open", "#/book/carcass-youth/at/wing-half+wing-whole"))
	if got := r.State.Page.Pointed(); !slices.Equal(got, []string{"wing-half", "wing-whole"}) {
		t.Errorf("pointed at %v", got)
	}
	if back := r.State.Shelf.Back.Name; back != "call" {
		t.Errorf("leads back to %q", back)
	}
	r.Do(app.Action("book.open", "#/book/carcass-youth"))
	if back := r.State.Shelf.Back.Name; back != "call" {
		t.Errorf("from the whole book it leads back to %q", back)
	}
	r.Visit("#/books")
	r.Visit("#/book/carcass-youth")
	if back := r.State.Shelf.Back.Name; back != "" {
		t.Errorf("from the list it leads back to %q", back)
	}
}
