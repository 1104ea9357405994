package contest

import (
	"cmp"
	"fmt"
	"slices"

	"keelcard/engine"
	"keelcard/engine/record"
	"keelcard/engine/rulebook"
	"keelcard/engine/tree"
)

// MaxBooks is the most rule books that a contest brings along.
const MaxBooks = 50

// ContestBook is a rule book that a contest brings along, so that it is the same
// on every phone: either some lines of another book decided otherwise, or a whole
// book that was brought in from a file. A class names it by its id, and it goes
// before a built-in book of that id.
type ContestBook struct {
	No uint32 `json:"-"` // from 1

	Base    string            `json:"base"`              // id of a built-in book, or of a whole book of the contest
	Hash    string            `json:"hash"`              // of the base when it was varied
	Changes []rulebook.Change `json:"changes,omitempty"` // as rulebook.Vary takes them

	Text string `json:"-"` // a whole book, as rulebook.Decode takes it; then the rest is empty
}

// Fields names the fields of the value of a variation. A whole book is its own
// value.
func (b *ContestBook) Fields(f *tree.Fields) {
	f.Text("base", &b.Base, tree.Always)
	f.Text("hash", &b.Hash, tree.Always)
	tree.List(f, "changes", &b.Changes, tree.IfSet)
}

// BookSubject is the subject of a rule book of a contest, counted from 1.
func BookSubject(no uint32) record.Subject { return record.Subject{Kind: record.KindBook, A: no} }

// HeldBook is a rule book of a contest, ready to grade with.
type HeldBook struct {
	ContestBook
	ID   string
	Book *rulebook.Book // nil when there is Err
	Err  error          // why it cannot be used on this phone: codes contest.book, contest.book-edition and those of rulebook.Vary
}

// Books lists the rule books that the contest brings along, by number.
func (c *Contest) Books() []HeldBook {
	out := make([]HeldBook, len(c.books))
	for i, b := range c.books {
		out[i] = *b
	}
	return out
}

// Write gives the value of a record that holds the book of a contest. The hash
// of the base is filled in when it is empty. Every fault is reported. Codes:
// contest.number, contest.book, contest.book-edition, contest.book-twice, those
// of rulebook.Vary for a variation and of rulebook.Decode for a whole book.
func (b ContestBook) Write(c *Contest) (string, error) {
	var f engine.Faults
	if b.No < 1 || b.No > MaxBooks {
		f = append(f, engine.New("contest.number", "rule book", fmt.Sprintf("%d is no number of a rule book", b.No), fmt.Sprintf("use 1 to %d", MaxBooks)))
	}
	held := &HeldBook{ContestBook: b}
	if b.Text == "" && b.Hash == "" {
		if base, ok := c.baseBook(b.Base); ok {
			held.Hash = base.Hash()
		}
	}
	held.make(c)
	f = appendErr(f, held.Err)
	if other := c.held(held.ID); held.Err == nil && other != nil && other.No != b.No {
		f = append(f, engine.New("contest.book-twice", "rule book", fmt.Sprintf("the contest has a rule book %q already", held.ID), "give the book another id, or put it in the place of that one"))
	}
	if b.Text != "" && f == nil {
		return string(held.Book.Encode()), nil
	}
	value, err := written(&held.ContestBook, f)
	if len(value) > rulebook.MaxBytes {
		return "", engine.New(rulebook.CodeSize, "changes", fmt.Sprintf("they take %d bytes", len(value)), "change fewer lines, or give shorter reasons")
	}
	return value, err
}

// make decodes the whole book, or varies its base.
func (b *HeldBook) make(c *Contest) {
	b.Book, b.Err = nil, nil
	if b.Text != "" {
		if b.Book, b.Err = rulebook.Decode([]byte(b.Text)); b.Err == nil {
			b.ID = b.Book.ID
		}
		return
	}
	b.ID = rulebook.VariedID(b.Base, int(b.No))
	base, ok := c.baseBook(b.Base)
	switch {
	case !ok:
		b.Err = engine.New("contest.book", b.ID, fmt.Sprintf("the rule book %q that is varied here is not on this phone", tree.Clip(b.Base)), "cards and official answers are safe; bring the app up to date")
	case base.Hash() != b.Hash:
		b.Err = otherEdition(b.ID, base)
	default:
		b.Book, b.Err = rulebook.Vary(base, int(b.No), b.Changes)
	}
}

func otherEdition(where string, b *rulebook.Book) *engine.Error {
	return engine.New("contest.book-edition", where, fmt.Sprintf("this phone has edition %q of the rule book %q, and another one was chosen", b.Edition, b.Title),
		"cards and official answers are safe; bring the apps of all phones up to date, then choose the book again")
}

// baseBook finds a whole book: the contest's, or a built-in one.
func (c *Contest) baseBook(id string) (*rulebook.Book, bool) {
	for _, b := range c.books {
		if b.Text != "" && b.ID == id {
			return b.Book, true
		}
	}
	return rulebook.ByID(id)
}

// held finds a book of the contest by its id, nil when there is none.
func (c *Contest) held(id string) *HeldBook {
	for _, b := range c.books {
		if b.ID == id {
			return b
		}
	}
	return nil
}

// readBook reads one book. What cannot be read, or has no number that a book can
// have, is a problem.
func (c *Contest) readBook(sub record.Subject) {
	if sub.A < 1 || sub.A > MaxBooks || sub.B != 0 {
		c.noteStray(sub)
		return
	}
	i, found := slices.BinarySearchFunc(c.books, sub.A, func(b *HeldBook, no uint32) int { return cmp.Compare(b.No, no) })
	c.books = slices.Clone(c.books)
	if found {
		c.books = slices.Delete(c.books, i, i+1)
	}
	value, ok := c.first(sub)
	if !ok {
		c.note(sub, nil)
		return
	}
	b, err := heldFrom(sub.A, value)
	if err != nil {
		c.note(sub, err)
		return
	}
	c.books = slices.Insert(c.books, i, b)
}

// heldFrom reads a value. Only a whole book says which format it has.
func heldFrom(no uint32, value string) (*HeldBook, error) {
	root, bad := tree.Parse([]byte(value))
	if bad != nil {
		return nil, bad
	}
	b := &HeldBook{ContestBook: ContestBook{No: no}}
	if slices.ContainsFunc(root.Members, func(m tree.Member) bool { return m.Name == "format" }) {
		b.Text = value
		b.make(nil)
		return b, b.Err
	}
	if err := tree.Read([]byte(value), &b.ContestBook); err != nil {
		return nil, err
	}
	if len(b.Changes) > rulebook.MaxChanges {
		return nil, engine.New(rulebook.CodeSize, "changes", fmt.Sprintf("there are %d", len(b.Changes)), fmt.Sprintf("change up to %d lines", rulebook.MaxChanges))
	}
	return b, nil
}

// bindBooks makes the variations anew, notes which cannot be used, and gives
// each class its book.
func (c *Contest) bindBooks() {
	made := make([]*HeldBook, len(c.books))
	for i, b := range c.books {
		fresh := *b
		if fresh.Text == "" {
			fresh.make(c)
		}
		c.note(BookSubject(fresh.No), fresh.Err)
		if first := slices.IndexFunc(made[:i], func(m *HeldBook) bool { return m.ID == fresh.ID }); first >= 0 {
			sub := BookSubject(fresh.No)
			c.tell(sub, engine.New("contest.book-twice", subjectName(sub), fmt.Sprintf("rule book %d has the id %q as well, and goes before it", made[first].No, fresh.ID), "withdraw one of the two"))
		}
		made[i] = &fresh
	}
	c.books = made
	if len(made) == 0 && !slices.ContainsFunc(c.classes, func(cl Class) bool { return cl.own != nil }) {
		return
	}
	c.classes = slices.Clone(c.classes)
	for i := range c.classes {
		c.classes[i] = c.Bind(c.classes[i])
	}
}

// Bind lets a class that is being set up find the rule books of the contest; the
// Classes have been bound already.
func (c *Contest) Bind(class Class) Class {
	class.own = c.held(class.Book)
	return class
}

// RuleBook finds the book of a class: one of the contest's before a built-in
// one. The error says so when the book is not on this phone. Codes: contest.book
// and those of HeldBook.
func (c Class) RuleBook() (*rulebook.Book, error) {
	if c.own != nil && c.own.ID == c.Book {
		return c.own.Book, c.own.Err
	}
	b, ok := rulebook.ByID(c.Book)
	if !ok {
		return nil, engine.New("contest.book", c.Name, fmt.Sprintf("the rule book %q is not on this phone", c.Book), "choose another book for the class")
	}
	return b, nil
}

// Edition tells whether the book of the class on this phone is the one that was
// chosen. If not, verdicts may differ from those the officials saw. The points of
// a graded class do not depend on the lines of its book; a checked class waits,
// as the marks on its cards stand for the faults of the book. Code
// contest.book-edition; nil as well for a class without a book or whose book is
// not here.
func (c Class) Edition() error {
	if c.Book == "" || c.Hash == "" {
		return nil
	}
	b, err := c.RuleBook()
	if err != nil || b.Hash() == c.Hash {
		return nil
	}
	return otherEdition(c.Name, b)
}
