package app

import (
	"bytes"
	"slices"
	"strings"

	"keelcard/engine"
	"keelcard/engine/rulebook"
	"keelcard/engine/sorting"
	"keelcard/web/words"
)

// Shelf is the rule books brought in on this phone, and what is open on the
// pages of books.
type Shelf struct {
	Own    []*rulebook.Book // by id
	Known  bool             // Own was read from the disk
	Find   string           // what is looked for in the open book
	Back   Page             // the page that led to a book, zero for the list of books
	File   string           // name of the last file that was no good
	Faults engine.Faults    // all that is wrong with it
	Gone   *rulebook.Book   // the book that was taken off last
	Line   LineForm         // the line that is being decided for a contest

	waits *Msg // a book that arrived elsewhere, for those of the phone to be read
}

const mostBooks = 50 // brought in on one phone

func bookHandlers() handlers {
	return handlers{
		"enter.books":  enterBooks,
		"enter.book":   enterBook,
		"loaded.books": booksLoaded,
		"book.open":    bookOpen,
		"book.find":    func(s *State, m Msg) []Effect { s.Shelf.Find = m.Text; return nil },
		"book.jump":    func(s *State, m Msg) []Effect { return []Effect{Focus{ID: m.Arg(0) + "-h"}} },
		"book.save":    bookSave,
		"book.remove":  bookRemove,
		"books.pick":   booksPick,
		"books.undo":   booksUndo,
		"file.book":    bookCame,
	}
}

// bookPrefix begins the key of every book in the store.
const bookPrefix = "book/"

func loadBooks() Effect { return Load{Tag: "books/", Bucket: BucketMeta, Prefix: bookPrefix} }

func enterBooks(s *State, m Msg) []Effect {
	s.Shelf = Shelf{Own: s.Shelf.Own, Known: s.Shelf.Known, Gone: s.Shelf.Gone}
	return []Effect{loadBooks()}
}

func enterBook(s *State, m Msg) []Effect {
	s.Shelf.Find, s.Shelf.Back = "", Page{}
	if s.Shelf.Known {
		return nil
	}
	return []Effect{loadBooks()}
}

// booksLoaded takes in the books that the phone kept. One that cannot be read
// any more is left out; its bytes stay on the disk.
func booksLoaded(s *State, m Msg) []Effect {
	s.Shelf.Own, s.Shelf.Known = nil, true
	for _, e := range m.Found {
		if b, err := rulebook.Decode(e.Value); err == nil {
			s.Shelf.Own = append(s.Shelf.Own, b)
		}
	}
	if came := s.Shelf.waits; came != nil {
		s.Shelf.waits = nil
		return bookCame(s, Msg{Args: came.Args, Bytes: came.Bytes, Now: m.Now})
	}
	return nil
}

// Book finds a book of the program or one that was brought in on this phone.
func (s *State) Book(id string) (*rulebook.Book, bool) {
	if b, ok := rulebook.ByID(id); ok {
		return b, true
	}
	if i := s.Shelf.place(id); i >= 0 {
		return s.Shelf.Own[i], true
	}
	return nil, false
}

// place finds a book of the phone, -1 for none.
func (f Shelf) place(id string) int {
	return slices.IndexFunc(f.Own, func(b *rulebook.Book) bool { return b.ID == id })
}

// Counterparts lists the books that a book can be laid beside: the one it
// varies, those that vary it and the one that teaches the same otherwise, then
// others of the same things.
func (s *State) Counterparts(b *rulebook.Book) []*rulebook.Book {
	var near, far []*rulebook.Book
	for _, o := range append(rulebook.Builtin(), s.Shelf.Own...) {
		switch {
		case o.ID == b.ID:
		case o.ID == b.Base || o.Base == b.ID || o.ID == Counterpart(b):
			near = append(near, o)
		case o.Drawing == b.Drawing && o.Faulted == b.Faulted:
			far = append(far, o)
		}
	}
	return append(near, far...)
}

// bookOpen opens a page of a book, and keeps in mind where a book was asked
// for first.
func bookOpen(s *State, m Msg) []Effect {
	from := s.Page
	if from.Name == "book" || from.Name == "class-book" {
		from = s.Shelf.Back
	}
	effects := openPage(s, m)
	s.Shelf.Back = from
	return effects
}

// Pointed lists the factors that the address of a page of a book points at:
// what stands after "at", or after the other book; nil for the whole book.
func (p Page) Pointed() []string {
	text := ""
	switch p.Arg(1) {
	case "at":
		text = p.Arg(2)
	case "beside":
		text = p.Arg(3)
	}
	if text == "" {
		return nil
	}
	return strings.Split(text, "+")
}

// bookSave hands a book out as a file that can be changed in any editor of
// texts and brought in again.
func bookSave(s *State, m Msg) []Effect {
	b, ok := s.Book(m.Arg(0))
	if !ok {
		return nil
	}
	return []Effect{offerBook(b, m.Arg(1) == "save")}
}

func offerBook(b *rulebook.Book, save bool) Effect {
	return Offer{Tag: "rule-book", Name: b.ID + ".book.txt", Type: "text/plain", Bytes: Readable(b.Encode()), Save: save}
}

// Readable sets canonical JSON out in lines, one an entry of the lists of the
// book, so that people can find and change one.
func Readable(data []byte) []byte {
	const deepest = 2 // of the braces and brackets whose entries have lines of their own
	var out []byte
	depth, text, escaped := 0, false, false
	line := func(deep int) {
		if depth <= deep {
			out = append(append(out, '\n'), strings.Repeat("  ", depth)...)
		}
	}
	for _, c := range data {
		switch {
		case text:
			text = escaped || c != '"'
			escaped = !escaped && c == '\\'
		case c == '"':
			text = true
		case c == '}' || c == ']':
			depth--
			line(deepest - 1)
		}
		out = append(out, c)
		switch {
		case text:
		case c == '{' || c == '[':
			depth++
			line(deepest)
		case c == ',':
			line(deepest)
		}
	}
	return append(out, '\n')
}

func booksPick(s *State, m Msg) []Effect {
	s.Shelf.File, s.Shelf.Faults = "", nil
	return []Effect{Pick{Tag: "book"}}
}

// readBook reads a book from a file that a person chose, with everything that
// is wrong with it. A book must not take the name of a published one.
func readBook(data []byte) (*rulebook.Book, engine.Faults) {
	b, err := rulebook.Decode(bytes.TrimPrefix(data, []byte("\ufeff"))) // which some editors write in front
	if err != nil {
		return nil, faultsOf(err)
	}
	if published, ok := rulebook.ByID(b.ID); ok && published.Hash() != b.Hash() {
		return nil, engine.Faults{engine.New("app.book-id", "id", words.T("book.taken-id", b.ID), words.T("book.taken-id-fix", b.ID))}
	}
	return b, nil
}

// bookCame keeps a book that was brought in, or says everything that is wrong
// with it and keeps nothing.
func bookCame(s *State, m Msg) []Effect {
	s.Shelf.File, s.Shelf.Faults = "", nil
	s.Notice = Notice{}
	b, faults := readBook(m.Bytes)
	if faults != nil {
		s.Shelf.File, s.Shelf.Faults = or(m.Arg(1), words.T("book.file")), faults
		return []Effect{Top{}, Focus{ID: "faults-h"}}
	}
	if _, ok := rulebook.ByID(b.ID); ok {
		s.Notice = Notice{Tone: "info", Text: words.T("book.published-already", b.Title)}
		return nil
	}
	i := s.Shelf.place(b.ID)
	switch {
	case s.ReadOnly:
		return s.refuse(engine.New("app.read-only", "", words.T("core.read-only"), words.T("core.read-only-fix")))
	case i < 0 && len(s.Shelf.Own) >= mostBooks:
		return s.refuse(engine.New("app.books-many", "", words.T("book.many", mostBooks), words.T("book.many-fix")))
	}
	text := words.T("book.brought", b.Title)
	if i >= 0 {
		text = words.T("book.replaced", b.Title, b.Edition, s.Shelf.Own[i].Edition)
		s.Shelf.Gone = s.Shelf.Own[i]
	}
	if s.Open != nil {
		text += " " + words.T("book.brought-use", s.Open.Head.Name)
	}
	effects := append([]Effect{s.keepBook(b)}, s.goTo(m, Page{Name: "book", Args: []string{b.ID}})...)
	s.Notice = Notice{Tone: "info", Text: text}
	return effects
}

// keepBook puts a book on the shelf of this phone.
func (s *State) keepBook(b *rulebook.Book) Effect {
	if i := s.Shelf.place(b.ID); i >= 0 {
		s.Shelf.Own[i] = b
	} else {
		s.Shelf.Own = append(s.Shelf.Own, b)
		sorting.Stable(s.Shelf.Own, func(x, y *rulebook.Book) int { return strings.Compare(x.ID, y.ID) })
	}
	return s.save(Op{BucketMeta, bookPrefix + b.ID, b.Encode()})
}

// bookRemove takes a book off this phone. Contests that use it have their own
// copy.
func bookRemove(s *State, m Msg) []Effect {
	i := s.Shelf.place(m.Arg(0))
	if i < 0 || s.ReadOnly {
		return nil
	}
	s.Shelf.Gone = s.Shelf.Own[i]
	s.Shelf.Own = slices.Delete(slices.Clone(s.Shelf.Own), i, i+1)
	effects := []Effect{s.save(Op{Bucket: BucketMeta, Key: bookPrefix + m.Arg(0)})}
	s.Notice = Notice{Tone: "info", Text: words.T("book.removed", s.Shelf.Gone.Title)}
	return append(effects, s.goTo(m, Page{Name: "books"})...)
}

// booksUndo puts the book back that was taken off last, or that another took
// the place of.
func booksUndo(s *State, m Msg) []Effect {
	b := s.Shelf.Gone
	if b == nil || s.ReadOnly {
		return nil
	}
	s.Shelf.Gone = nil
	if i := s.Shelf.place(b.ID); i >= 0 {
		s.Shelf.Gone = s.Shelf.Own[i]
	}
	s.Notice = Notice{Tone: "info", Text: words.T("book.back", b.Title, b.Edition)}
	return []Effect{s.keepBook(b)}
}
