package app

import (
	"slices"
	"strings"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/rulebook"
	"keelcard/web/words"
)

// LineForm is a line of a class's book that is being decided otherwise, as it
// was typed so far.
type LineForm struct {
	No       int // place of the limit in the book, from 1; 0 for none
	Bound    string
	Allowed  bool // the bound itself
	Why, Who string
	Faults   engine.Faults // all that is wrong with it
}

func classBookHandlers() handlers {
	return handlers{
		"enter.class-book":  classBookEnter,
		"class-book.save":   classBookSave,
		"class-book.line":   lineOpen,
		"class-book.leave":  func(s *State, m Msg) []Effect { s.Shelf.Line = LineForm{}; return nil },
		"class-book.hold":   lineHold,
		"class-book.back":   lineBack,
		"class-book.use":    classBookUse,
		"class-book.bring":  classBookBring,
		"class-book.pick":   classBookPick,
		"file.class-book":   classBookCame,
		"class-book.forget": func(s *State, m Msg) []Effect { s.Shelf.File, s.Shelf.Faults = "", nil; return nil },
	}
}

// classBookEnter reads what was brought in on this phone too, so that a class
// can take such a book.
func classBookEnter(s *State, m Msg) []Effect {
	s.Shelf = Shelf{Own: s.Shelf.Own, Known: s.Shelf.Known}
	return []Effect{loadBooks()}
}

// BookClass is the class whose book is open, with that book.
func (s *State) BookClass() (contest.Class, *rulebook.Book, error) {
	if s.Open != nil {
		if c, ok := s.Open.Contest.Class(s.Page.Number(0)); ok && c.Book != "" {
			b, err := c.RuleBook()
			return c, b, err
		}
	}
	return contest.Class{}, nil, engine.New("app.class-book", "", words.T("book.no-class"), words.T("book.no-class-text"))
}

// classBookSave hands the book of the class out as it stands in the contest.
func classBookSave(s *State, m Msg) []Effect {
	_, b, err := s.BookClass()
	if err != nil {
		return s.refuse(err)
	}
	return []Effect{offerBook(b, m.Arg(0) == "save")}
}

// lineOpen opens a limit of the book, to decide it otherwise.
func lineOpen(s *State, m Msg) []Effect {
	c, b, err := s.BookClass()
	no := number(m.Arg(0))
	if err != nil || no < 1 || no > len(b.Limits) {
		return nil
	}
	l := b.Limits[no-1]
	allowed := l.Inclusive
	if resolved, err := b.Resolve(c.Choices); err == nil && len(l.InclusiveWhen) > 0 {
		allowed = allowed || rulebook.Holds(l.InclusiveWhen, resolved)
	}
	s.Shelf.Line = LineForm{No: no, Bound: l.Bound(), Allowed: allowed, Who: s.Phone.Initials}
	if old, ok := s.changeOf(c, l.Line()); ok {
		s.Shelf.Line.Why, s.Shelf.Line.Who = old.Why, old.Who
	}
	return []Effect{Focus{ID: "line-h"}}
}

// held finds the variation that a class goes by, or begins one of its book.
func (s *State) held(c contest.Class, b *rulebook.Book) contest.ContestBook {
	for _, h := range s.Open.Contest.Books() {
		if h.ID == c.Book && h.Text == "" {
			return h.ContestBook
		}
	}
	return contest.ContestBook{No: s.freeBook(), Base: b.ID, Hash: b.Hash()}
}

// Variation is what the book of a class holds otherwise than the book it
// varies, with that book; not ok when the class goes by a book as it is.
func (s *State) Variation(c contest.Class) (contest.ContestBook, *rulebook.Book, bool) {
	for _, h := range s.Open.Contest.Books() {
		if h.ID == c.Book && h.Text == "" {
			base, ok := s.contestBook(h.Base)
			return h.ContestBook, base, ok
		}
	}
	return contest.ContestBook{}, nil, false
}

// contestBook finds a whole book of the contest, or one of the program.
func (s *State) contestBook(id string) (*rulebook.Book, bool) {
	for _, h := range s.Open.Contest.Books() {
		if h.ID == id && h.Err == nil {
			return h.Book, true
		}
	}
	return rulebook.ByID(id)
}

func (s *State) changeOf(c contest.Class, line rulebook.Line) (rulebook.Change, bool) {
	v, _, _ := s.Variation(c)
	i := slices.IndexFunc(v.Changes, func(ch rulebook.Change) bool { return ch.Same(line) })
	if i < 0 {
		return rulebook.Change{}, false
	}
	return v.Changes[i], true
}

// freeBook is the lowest number of a rule book that is not taken.
func (s *State) freeBook() uint32 {
	no := uint32(1)
	for _, h := range s.Open.Contest.Books() {
		if h.No == no {
			no++
		}
	}
	return no
}

// lineHold takes the decision about the open line: it is written at once, and
// every class that goes by the book with it.
func lineHold(s *State, m Msg) []Effect {
	c, b, err := s.BookClass()
	f := &s.Shelf.Line
	if err != nil || f.No < 1 || f.No > len(b.Limits) {
		return nil
	}
	f.Bound, f.Allowed = tidy(field(m, "bound")), field(m, "allowed") != "no"
	f.Why, f.Who = tidy(field(m, "why")), tidy(field(m, "who"))
	change, faults := f.change(b)
	v := s.held(c, b)
	v.Changes = slices.DeleteFunc(slices.Clone(v.Changes), func(o rulebook.Change) bool { return o.Same(change.Line) })
	v.Changes = append(v.Changes, change)
	if faults == nil {
		_, err := v.Write(s.Open.Contest)
		faults = changeFaults(err, len(v.Changes))
	}
	if f.Faults = faults; faults != nil {
		return []Effect{Focus{ID: "line-h"}}
	}
	effects := s.writeBook(m, v, c, words.T("book.held", factorName(b, change.Factor)))
	if len(effects) > 0 {
		s.Shelf.Line = LineForm{}
	}
	return append(effects, Focus{ID: "held-h"})
}

// change reads the form. What is missing or cannot be read is a fault with the
// name of its field.
func (f LineForm) change(b *rulebook.Book) (rulebook.Change, engine.Faults) {
	l := b.Limits[f.No-1]
	dim := factorOf(b, l.Factor).Dim()
	var faults engine.Faults
	a, err := amount.Parse(f.Bound, dim)
	if e, ok := err.(*engine.Error); ok {
		faults = append(faults, engine.New(e.Code, "bound", e.What, e.Fix))
	}
	if f.Why == "" {
		faults = append(faults, engine.New("app.book-why", "why", words.T("book.no-why"), words.T("book.no-why-fix")))
	}
	if f.Who == "" {
		faults = append(faults, engine.New("app.book-who", "who", words.T("book.no-who"), words.T("book.no-who-fix")))
	}
	change := rulebook.Change{Line: l.Line(), Inclusive: f.Allowed || dim == amount.DimCount || a.IsZero(), Why: f.Why, Who: f.Who}
	if l.Least != "" {
		change.Least = f.Bound
	} else {
		change.Most = f.Bound
	}
	return change, faults
}

func factorOf(b *rulebook.Book, id string) rulebook.Factor {
	for _, f := range b.Factors {
		if f.ID == id {
			return f
		}
	}
	return rulebook.Factor{}
}

func factorName(b *rulebook.Book, id string) string { return factorOf(b, id).Name }

// changeFaults sorts what is wrong with the last of n changes to the fields of
// the form.
func changeFaults(err error, n int) engine.Faults {
	var out engine.Faults
	for _, e := range faultsOf(err) {
		renamed := *e
		place, field, _ := strings.Cut(e.Where, ", ")
		if place == "change "+itoa(n) {
			renamed.Where = field
		}
		if renamed.Where == "most" || renamed.Where == "least" || renamed.Where == "inclusive" {
			renamed.Where = "bound"
		}
		out = append(out, &renamed)
	}
	return out
}

// faultsOf gives an error as a list of faults, nil for none.
func faultsOf(err error) engine.Faults {
	switch e := err.(type) {
	case nil:
		return nil
	case engine.Faults:
		return e
	case *engine.Error:
		return engine.Faults{e}
	}
	return engine.Faults{{Code: "app.book", What: err.Error(), Cause: err}}
}

// lineBack puts a line back to what the varied book says. The argument counts
// the changes from 0. Without any left the classes go by the book itself again.
func lineBack(s *State, m Msg) []Effect {
	c, _, err := s.BookClass()
	if err != nil {
		return nil
	}
	v, base, ok := s.Variation(c)
	i := number(m.Arg(0))
	if !ok || i < 0 || i >= len(v.Changes) {
		return nil
	}
	name := factorName(base, v.Changes[i].Factor)
	v.Changes = slices.Delete(slices.Clone(v.Changes), i, i+1)
	s.Shelf.Line = LineForm{}
	return s.writeBook(m, v, c, words.T("book.held-back", name))
}

// writeBook writes a book of the contest and moves the class to it, with every
// class that goes by it already. A variation without changes is withdrawn and
// its classes go by the varied book again. It is one piece to take back.
func (s *State) writeBook(m Msg, v contest.ContestBook, c contest.Class, text string) []Effect {
	p := bookPiece{s: s, m: m, piece: &Piece{Text: text}}
	old := c.Book
	if v.Text == "" && len(v.Changes) == 0 {
		base, ok := s.contestBook(v.Base)
		if !ok {
			return nil
		}
		p.move(old, c.No, base)
		p.write(contest.BookSubject(v.No), "")
		return p.done()
	}
	value, err := v.Write(s.Open.Contest)
	if err != nil {
		return s.refuse(err)
	}
	p.write(contest.BookSubject(v.No), value)
	for _, h := range s.Open.Contest.Books() {
		if h.No == v.No && h.Err == nil && p.err == nil {
			p.move(h.ID, c.No, h.Book)
		}
	}
	return p.done()
}

// bookPiece writes records one after another: what a class may say depends on
// the books written before it.
type bookPiece struct {
	s     *State
	m     Msg
	piece *Piece
	ops   []Op
	err   error
}

func (p *bookPiece) write(sub record.Subject, value string) {
	if p.err != nil {
		return
	}
	before := ""
	if cur := p.s.Open.Contest.State().Current(sub); cur.Status != merge.Absent {
		before = cur.Values[0]
	}
	ops, err := p.s.append(p.m, "owner", written{Subject: sub, Value: value})
	if p.err = err; err == nil && before != value {
		p.piece.back = append(p.piece.back, restore{sub, value, before})
	}
	p.ops = append(p.ops, ops...)
}

// move lets a class, and all that go by a book of the contest, go by b.
func (p *bookPiece) move(id string, class uint32, b *rulebook.Book) {
	for _, c := range slices.Clone(p.s.Open.Contest.Classes) {
		if c.No != class && c.Book != id {
			continue
		}
		value, err := p.s.Open.Contest.Bind(goBy(c, b)).Write()
		if err != nil {
			p.err = err
			return
		}
		p.write(classSubject(c.No), value)
	}
}

// goBy lets a class go by another book of the same scale. Choices that the book
// leaves open stay as they were made.
func goBy(c contest.Class, b *rulebook.Book) contest.Class {
	choices := map[string]string{}
	for _, choice := range b.Choices {
		option := ChosenOption(c, choice)
		if !slices.ContainsFunc(choice.Options, func(o rulebook.Option) bool { return o.ID == option }) {
			option = choice.Default
		}
		choices[choice.ID] = option
	}
	c.Book, c.Hash, c.Choices = b.ID, b.Hash(), choices
	if len(b.Kinds) == 0 || !slices.ContainsFunc(b.Kinds, func(k rulebook.Bird) bool { return k.ID == c.Bird }) {
		c.Bird = ""
		if len(b.Kinds) > 0 {
			c.Bird = b.Kinds[0].ID
		}
	}
	keepWeight(&c, b)
	return c
}

// done saves what was written, even where a later record was refused: what is
// in memory must be on the disk.
func (p *bookPiece) done() []Effect {
	var effects []Effect
	if len(p.ops) > 0 {
		effects = append(effects, p.s.save(p.ops...))
	}
	p.s.Notice = Notice{}
	if p.err != nil {
		return append(effects, p.s.refuse(p.err)...)
	}
	if len(p.piece.back) > 0 {
		p.s.People.Contest, p.s.People.Piece = p.s.Open.Head.ID, p.piece
	}
	return effects
}

// misfit says why a class cannot go by a book.
func (s *State) misfit(c contest.Class, b *rulebook.Book) error {
	if b.IsFaults() != (c.Kind == contest.Checked) {
		return engine.New("app.book-kind", "faults", words.T("book.other-kind", b.Title), words.T("book.other-kind-fix"))
	}
	now, err := c.RuleBook()
	if s.CardsIn(c.No) == 0 || err != nil {
		return nil
	}
	same := slices.EqualFunc(now.Scale, b.Scale, func(x, y rulebook.Grade) bool { return x.ID == y.ID })
	if c.Kind == contest.Checked {
		same = slices.EqualFunc(now.Factors, b.Factors, func(x, y rulebook.Factor) bool { return x.ID == y.ID })
	}
	if !same {
		return engine.New("app.book-scale", "scale", words.T("book.other-scale", b.Title), words.T("book.other-scale-fix"))
	}
	return nil
}

// classBookUse lets the class go by another book: one of the contest or of the
// program, by its id.
func classBookUse(s *State, m Msg) []Effect {
	c, _, err := s.BookClass()
	if c.No == 0 {
		return s.refuse(err)
	}
	b, ok := s.contestBook(m.Arg(0))
	if !ok || b.ID == c.Book {
		return nil
	}
	if err := s.misfit(c, b); err != nil {
		return s.refuse(err)
	}
	p := bookPiece{s: s, m: m, piece: &Piece{Text: words.T("book.moved", c.Name, b.Title)}}
	value, err := s.Open.Contest.Bind(goBy(c, b)).Write()
	if err != nil {
		return s.refuse(err)
	}
	p.write(classSubject(c.No), value)
	s.Shelf.Line = LineForm{}
	return p.done()
}

// classBookBring copies a book of this phone into the contest, so that it
// travels with it, and lets the class go by it.
func classBookBring(s *State, m Msg) []Effect {
	i := s.Shelf.place(m.Arg(0))
	if i < 0 {
		return nil
	}
	return s.bringBook(m, s.Shelf.Own[i])
}

func classBookPick(s *State, m Msg) []Effect {
	s.Shelf.File, s.Shelf.Faults = "", nil
	return []Effect{Pick{Tag: "class-book"}}
}

// classBookCame takes a book from a file into the contest, or says everything
// that is wrong with it and keeps nothing.
func classBookCame(s *State, m Msg) []Effect {
	s.Shelf.File, s.Shelf.Faults = "", nil
	b, faults := readBook(m.Bytes)
	if c, _, err := s.BookClass(); faults == nil {
		if c.No == 0 {
			return s.refuse(err)
		}
		faults = faultsOf(s.misfit(c, b))
	}
	if faults != nil {
		s.Shelf.File, s.Shelf.Faults = or(m.Arg(1), words.T("book.file")), faults
		return []Effect{Top{}, Focus{ID: "faults-h"}}
	}
	return s.bringBook(m, b)
}

// bringBook puts a whole book into the contest, in the place of one of the same
// id, and lets the class go by it.
func (s *State) bringBook(m Msg, b *rulebook.Book) []Effect {
	c, _, err := s.BookClass()
	if c.No == 0 {
		return s.refuse(err)
	}
	if err := s.misfit(c, b); err != nil {
		return s.refuse(err)
	}
	if _, ok := rulebook.ByID(b.ID); ok {
		m.Args = []string{b.ID}
		return classBookUse(s, m)
	}
	v := contest.ContestBook{No: s.freeBook(), Text: string(b.Encode())}
	for _, h := range s.Open.Contest.Books() {
		if h.ID == b.ID {
			v.No = h.No
		}
	}
	s.Shelf.Line = LineForm{}
	return s.writeBook(m, v, c, words.T("book.moved", c.Name, b.Title))
}

// book tells a rule book of a contest: the title of a whole one, or the lines
// that are held otherwise.
func (t *teller) book(value string) {
	if b, err := rulebook.Decode([]byte(value)); err == nil {
		t.line("book", words.T("book.edition-of", b.Title, b.Edition))
		return
	}
	tell(t, value, func(v contest.ContestBook) {
		base, ok := rulebook.ByID(v.Base)
		if !ok {
			base = &rulebook.Book{Title: v.Base}
		}
		t.line("book", base.Title)
		for _, ch := range v.Changes {
			name := or(factorName(base, ch.Factor), ch.Factor)
			t.line("local", words.T("book.change-of", name, ch.Grade, or(ch.Most, ch.Least), ch.Why, ch.Who))
		}
	})
}
