package contest

import (
	"fmt"
	"slices"

	"keelcard/engine"
	"keelcard/engine/record"
	"keelcard/engine/rulebook"
	"keelcard/engine/score"
)

// Kind is one kind of class. A new kind is one file with a type that does
// this, its tests and its views.
//
// A card of any kind is a row of slots, each with one of a list of answers;
// scoring looks the marks up in the table that Table makes.
type Kind interface {
	ID() string
	// Slots is how many answers a card has.
	Slots(c Class) int
	// KeyItems is how many official answers a class has.
	KeyItems(c Class) int
	// Answers lists what may be marked in a slot; the first is mark byte 1.
	Answers(c Class) []string
	// Check finds what is wrong with a class of this kind. Codes: contest.items,
	// contest.worth, contest.double and those of the kind.
	Check(c Class) error
	// CheckKey finds what is wrong with an official answer. Codes: contest.key
	// and those of the kind.
	CheckKey(c Class, k KeyItem) error
	// Table compiles a class for scoring. Its key is whole and CheckKey finds
	// no fault in it.
	Table(c Class, k Key) (score.Table, error)
}

var kinds = []Kind{graded{}, placed{}, identified{}, checked{}, awarded{}}

// Kinds lists every kind of class.
func Kinds() []Kind { return slices.Clone(kinds) }

// KindByID finds a kind of class.
func KindByID(id string) (Kind, bool) {
	for _, k := range kinds {
		if k.ID() == id {
			return k, true
		}
	}
	return nil, false
}

// The kinds of class.
const (
	Graded  = "graded"  // n items on the scale of a book
	Placing = "placing" // four items in order, with three cuts

	Identified = "identified" // n items, each with one name of a list
	Checked    = "checked"    // n items, each with the faults of a list that it has
	Awarded    = "awarded"    // points that officials give
)

// Slots is how many answers a card of the class has, 0 for an unknown kind.
func (c Class) Slots() int {
	if k, ok := KindByID(c.Kind); ok {
		return k.Slots(c)
	}
	return 0
}

// Answers lists what may be marked in a slot; the first is mark byte 1.
func (c Class) Answers() []string {
	if k, ok := KindByID(c.Kind); ok {
		return k.Answers(c)
	}
	return nil
}

// KeyItems is how many official answers the class has: one for the whole class,
// one an item, or none.
func (c Class) KeyItems() int {
	if k, ok := KindByID(c.Kind); ok {
		return k.KeyItems(c)
	}
	return 0
}

// KeySubject is the subject of an official answer, counted from 0.
func (c Class) KeySubject(item int) record.Subject {
	if c.Kind == Placing {
		return KeySubject(c.No, 0)
	}
	return KeySubject(c.No, uint32(item)+1)
}

// Table compiles the class for scoring. It fails, naming what is missing,
// while the key has an item without a settled answer or with one that is none
// of the class's. An item that is thrown out needs none. Codes:
// contest.class-kind, contest.key-missing, contest.key, contest.ruling-question,
// contest.book-edition, contest.book and those of Kind.Check.
func (c Class) Table(k Key) (score.Table, error) {
	kind, ok := KindByID(c.Kind)
	if !ok {
		return score.Table{}, engine.New("contest.class-kind", c.Name, fmt.Sprintf("%q is no kind of class this Keelcard knows", c.Kind), "bring the app up to date")
	}
	if c.Kind == Checked {
		if err := c.Edition(); err != nil {
			return score.Table{}, err
		}
	}
	if k.Doubted {
		return score.Table{}, engine.New("contest.ruling-question", c.Name, "it is in question whether this class counts", "settle the question")
	}
	if n := k.Missing(); n > 0 {
		return score.Table{}, engine.New("contest.key-missing", c.Name, fmt.Sprintf("%d official answers are missing or in question", n), "complete the key")
	}
	full := k.unasked(c)
	for i, item := range full.Items {
		if err := kind.CheckKey(c, item); err != nil {
			where := fmt.Sprintf("%s, item %d", c.Name, i+1)
			return score.Table{}, &engine.Error{Code: engine.CodeOf(err), Where: where, What: err.Error(), Fix: "set this official answer again", Cause: err}
		}
	}
	t, err := kind.Table(c, full)
	if err == nil {
		k.throwOut(&t)
	}
	return t, err
}

// chosenBook is the book of the class with an option for each of its choices.
func (c Class) chosenBook() (*rulebook.Book, map[string]string, error) {
	b, err := c.RuleBook()
	if err != nil {
		return nil, nil, err
	}
	resolved, err := b.Resolve(c.Choices)
	return b, resolved, err
}

// MarkText writes a mark byte of the class as people write it: the answer, ""
// for a blank, or the answers of a double mark.
func (c Class) MarkText(mark byte) string {
	answers := c.Answers()
	switch {
	case mark == score.Blank:
		return ""
	case mark&score.Double == 0:
		if int(mark) <= len(answers) {
			return answers[mark-1]
		}
		return "?"
	}
	text := ""
	for _, a := range score.DoubleAnswers(mark) {
		if a <= len(answers) {
			if text != "" {
				text += "+"
			}
			text += answers[a-1]
		}
	}
	if text == "" {
		return "×2"
	}
	return text
}

// CardValue gives the value of a record that holds a whole card, one mark a
// slot. Code "contest.card" when the marks do not fit the class.
func (c Class) CardValue(marks []byte) (string, error) {
	form := c.form()
	if len(marks) != form.slots || len(marks) == 0 {
		return "", engine.New("contest.card", c.Name, fmt.Sprintf("a card here has %d answers, not %d", form.slots, len(marks)), "key the card again")
	}
	for i, m := range marks {
		if !form.allows(i, m) {
			return "", engine.New("contest.card", fmt.Sprintf("%s, item %d", c.Name, i+1), fmt.Sprintf("there is no answer for the mark %d", m), "key the card again")
		}
	}
	return string(marks), nil
}

// form is what a card of a class may hold.
type form struct {
	slots, answers int    // answers is 0 where they are not known, because the book is not here
	most           []byte // by slot, the highest mark, where slots differ and none may be double
	unknown        bool   // how many slots there are cannot be told, because the book is not here
}

func (c Class) form() form {
	f := form{slots: c.Slots(), answers: len(c.Answers())}
	switch c.Kind {
	case Awarded:
		f.most = c.mostMarks()
	case Checked:
		_, err := c.Faults()
		f.unknown = err != nil
	}
	return f
}

func (f form) allows(slot int, mark byte) bool {
	if f.most != nil {
		return mark <= f.most[slot]
	}
	table := score.Table{Answers: f.answers}
	return table.Allowed(mark)
}

// fits tells whether a card has a mark of the class in each slot. Without
// knowing the answers it counts the marks only.
func (f form) fits(card string) bool {
	if f.unknown || len(card) != f.slots {
		return f.unknown
	}
	for i := range len(card) {
		if f.answers > 0 && !f.allows(i, card[i]) {
			return false
		}
	}
	return true
}
