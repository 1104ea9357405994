package contest

import (
	"cmp"
	"fmt"
	"slices"
	"unicode/utf8"

	"keelcard/engine"
	"keelcard/engine/grading"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/sorting"
	"keelcard/engine/tree"
)

// Contest is the fold of all records of a contest. Its lists are sorted; its
// cards and keys are read on demand.
//
// Where the value of a class, a person, a team or the settings is in question,
// the earliest is shown until the question is settled, and Questions names it;
// a withdrawal that is in question takes nothing away yet.
//
// Records of a phone that an owner shut out do not count from there on, see
// Member; they are kept, and Apart lists them.
//
// Whatever Write would have refused is not read: it is named in Problems, and
// its records are kept as they are. The lists are not changed by Append; it
// makes new ones.
type Contest struct {
	ID       record.ContestID
	Settings Settings
	Classes  []Class         // by class number, at most MaxClasses
	Persons  []Person        // by contestant number, at most MaxPersons
	Teams    []Team          // by team number, at most MaxPersons
	Problems []*engine.Error // what could not be read; at most MaxProblems, the last then counts the others

	state    *merge.State
	classes  []Class // all of them, as persons and teams; the lists above show the first
	persons  []Person
	teams    []Team
	problems []problem       // by subject
	forms    map[uint32]form // what a card of each class may hold
	rulings  []Ruled         // by class and item
	books    []*HeldBook     // by number
	roles    roles
}

// MaxProblems is how many problems are told one by one.
const MaxProblems = 20

// problem is a value that cannot be read.
type problem struct {
	subject record.Subject
	err     *engine.Error
}

// Read folds a merged log. It takes state over: append through the Contest.
func Read(id record.ContestID, state *merge.State) *Contest {
	c := &Contest{ID: id, state: state}
	c.readRoles()
	c.readSettings()
	for _, sub := range state.Subjects(record.KindClass) {
		c.readClass(sub)
	}
	for _, sub := range state.Subjects(record.KindPerson) {
		c.readPerson(sub)
	}
	for _, sub := range state.Subjects(record.KindTeam) {
		c.readTeam(sub)
	}
	for _, sub := range state.Subjects(record.KindRuling) {
		c.readRuling(sub)
	}
	for _, sub := range state.Subjects(record.KindBook) {
		c.readBook(sub)
	}
	c.bindBooks()
	c.show()
	c.keepForms()
	return c
}

// Open reads sealed values from now on as merge.State.Open does.
func (c *Contest) Open(open merge.Opener) {
	c.state.Open(open)
	*c = *Read(c.ID, c.state)
}

// State gives the records behind the contest, to be read only.
func (c *Contest) State() *merge.State { return c.state }

// Append takes in one more record of this contest and comes to the same as
// reading everything again. Codes: those of merge.State.Append.
func (c *Contest) Append(r record.Record) error {
	if err := c.state.Append(r); err != nil {
		return err
	}
	if c.rules(&r) && c.readRoles() {
		*c = *Read(c.ID, c.state)
		return nil
	}
	switch r.Subject.Kind {
	case record.KindContest:
		c.readSettings()
	case record.KindClass:
		c.readClass(r.Subject)
		c.bindBooks()
		defer c.keepForms()
	case record.KindPerson:
		c.readPerson(r.Subject)
	case record.KindTeam:
		c.readTeam(r.Subject)
	case record.KindRuling:
		c.readRuling(r.Subject)
	case record.KindBook:
		c.readBook(r.Subject)
		c.bindBooks()
		defer c.keepForms()
	default:
		return nil
	}
	c.show()
	return nil
}

// rules tells whether a record may change who is who, or what counts.
func (c *Contest) rules(r *record.Record) bool {
	switch r.Subject.Kind {
	case record.KindRole, record.KindRenewal, record.KindRelease, record.KindClaim:
		return true
	case record.KindContest:
		return r.Seq == 1
	}
	return c.roles.members[r.Phone].Shut
}

func (c *Contest) readSettings() {
	sub := record.Subject{Kind: record.KindContest}
	s, ok := parse(c, sub, func(*Settings) {})
	if !ok {
		s = Settings{}
	}
	s.Authority = c.roles.authority
	s.Sealed = len(s.Authority) > 0 && c.sealed(sub)
	c.Settings = s
}

// sealed tells whether owners want answers sealed: what those of their settings say
// that no later ones of theirs stand upon, and yes where these differ. Others change
// settings too, but nobody else opens what an owner sealed.
func (c *Contest) sealed(sub record.Subject) bool {
	var said []record.Ref
	for _, ref := range c.state.History(sub) {
		if r, _ := c.state.Record(ref); c.Owns(r.Phone) {
			said = append(said, ref)
		}
	}
	over := map[record.Ref]bool{}
	for open := slices.Clone(said); len(open) > 0; {
		by := open[len(open)-1]
		open = open[:len(open)-1]
		r, _ := c.state.Record(by)
		for _, ref := range r.Replaces {
			old, ok := c.state.Named(by, ref)
			if was, _ := c.state.Record(old); ok && was.Subject == sub && !over[old] {
				over[old] = true
				open = append(open, old)
			}
		}
	}
	return slices.ContainsFunc(said, func(ref record.Ref) bool {
		var s Settings
		r, _ := c.state.Record(ref)
		return !over[ref] && tree.Read([]byte(r.Value), &s) == nil && s.Sealed
	})
}

func (c *Contest) readClass(sub record.Subject) {
	if !c.stray(sub) {
		cl, ok := parse(c, sub, func(cl *Class) { cl.No = sub.A })
		c.classes = put(c.classes, sub.A, Class.number, cl, ok)
	}
}

func (c *Contest) readPerson(sub record.Subject) {
	if !c.stray(sub) {
		p, ok := parse(c, sub, func(p *Person) { p.Number = sub.A })
		c.persons = put(c.persons, sub.A, Person.number, p, ok)
	}
}

func (c *Contest) readTeam(sub record.Subject) {
	if !c.stray(sub) {
		t, ok := parse(c, sub, func(t *Team) { t.No = sub.A })
		c.teams = put(c.teams, sub.A, Team.number, t, ok)
	}
}

func (c Class) number() uint32  { return c.No }
func (p Person) number() uint32 { return p.Number }
func (t Team) number() uint32   { return t.No }

// parse reads what stands for a subject, as strictly as Write writes it. ok is
// false when there is nothing, or nothing that can be read; the latter is noted
// as a problem.
func parse[T interface{ check() engine.Faults }, P interface {
	*T
	tree.Object
}](c *Contest, sub record.Subject, name func(P)) (v T, ok bool) {
	value, ok := c.first(sub)
	if !ok {
		c.note(sub, nil)
		return v, false
	}
	err := tree.Read([]byte(value), P(&v))
	if err == nil {
		name(&v)
		err = v.check().Err()
	}
	c.note(sub, err)
	return v, err == nil
}

// stray tells whether a subject has no number as those of its kind have, and
// notes it as a problem if anything is said about it.
func (c *Contest) stray(sub record.Subject) bool {
	if sub.A >= 1 && sub.A <= MaxNumber && sub.B == 0 {
		return false
	}
	c.noteStray(sub)
	return true
}

func (c *Contest) noteStray(sub record.Subject) {
	var err error
	if _, ok := c.first(sub); ok {
		err = engine.New("contest.number", "", fmt.Sprintf("%d/%d is no number", sub.A, sub.B), fmt.Sprintf("use 1 to %d", MaxNumber))
	}
	c.note(sub, err)
}

// first gives the earliest of the values that stand for a subject.
func (c *Contest) first(sub record.Subject) (string, bool) {
	cur := c.state.Current(sub)
	if cur.Status != merge.Absent {
		for _, v := range cur.Values {
			if v != "" {
				return v, true
			}
		}
	}
	return "", false
}

// note keeps in mind whether the value of a subject could be read.
func (c *Contest) note(sub record.Subject, err error) {
	if err == nil {
		c.tell(sub, nil)
		return
	}
	c.tell(sub, &engine.Error{
		Code: "contest.unreadable", Where: subjectName(sub),
		What: "this Keelcard cannot read it", Fix: "it is kept; bring the app up to date and open the contest again", Cause: err})
}

// tell keeps the problem with a subject, nil for none.
func (c *Contest) tell(sub record.Subject, err *engine.Error) {
	i, found := slices.BinarySearchFunc(c.problems, sub, func(p problem, s record.Subject) int { return record.CompareSubjects(p.subject, s) })
	if found {
		c.problems = slices.Delete(c.problems, i, i+1)
	}
	if err != nil {
		c.problems = slices.Insert(c.problems, i, problem{sub, err})
	}
}

func subjectName(sub record.Subject) string {
	switch sub.Kind {
	case record.KindClass:
		return fmt.Sprintf("class %d", sub.A)
	case record.KindPerson:
		return fmt.Sprintf("contestant %d", sub.A)
	case record.KindTeam:
		return fmt.Sprintf("team %d", sub.A)
	case record.KindBook:
		return fmt.Sprintf("rule book %d", sub.A)
	case record.KindRuling:
		return fmt.Sprintf("ruling on class %d, item %d", sub.A, sub.B)
	}
	return "settings"
}

// put gives a sorted list in which item stands under its number, or nothing
// does. The list itself is left as it is for whoever holds it.
func put[T any](list []T, no uint32, of func(T) uint32, item T, stands bool) []T {
	i, found := slices.BinarySearchFunc(list, no, func(t T, no uint32) int { return cmp.Compare(of(t), no) })
	switch {
	case found && stands:
		list = slices.Clone(list)
		list[i] = item
	case found:
		list = slices.Delete(slices.Clone(list), i, i+1)
	case stands && i == len(list):
		list = append(list, item) // beyond the end of what anyone holds
	case stands:
		list = slices.Insert(slices.Clip(list), i, item)
	}
	return list
}

// show sets the lists that are seen from outside.
func (c *Contest) show() {
	c.Classes = slices.Clip(c.classes[:min(len(c.classes), MaxClasses)])
	c.Persons = slices.Clip(c.persons[:min(len(c.persons), MaxPersons)])
	c.Teams = slices.Clip(c.teams[:min(len(c.teams), MaxPersons)])
	c.Problems = nil
	for _, most := range []struct {
		what       string
		n, allowed int
	}{{"classes", len(c.classes), MaxClasses}, {"contestants", len(c.persons), MaxPersons}, {"teams", len(c.teams), MaxPersons}} {
		if most.n > most.allowed {
			c.Problems = append(c.Problems, engine.New("contest.large", "", fmt.Sprintf("there are %d %s, and only the first %d are read", most.n, most.what, most.allowed), "divide the contest in two"))
		}
	}
	told := min(len(c.problems), MaxProblems-1-len(c.Problems))
	for _, p := range c.problems[:told] {
		c.Problems = append(c.Problems, p.err)
	}
	if more := len(c.problems) - told; more > 0 {
		c.Problems = append(c.Problems, engine.New("contest.unreadable", "", fmt.Sprintf("there are %d more records that this Keelcard cannot read", more), "they are kept; bring the app up to date and open the contest again"))
	}
}

// keepForms keeps what a card of each class may hold, as every card is held
// against it.
func (c *Contest) keepForms() {
	c.forms = make(map[uint32]form, len(c.Classes))
	for _, cl := range c.Classes {
		c.forms[cl.No] = cl.form()
	}
}

// Class finds a class by its number.
func (c *Contest) Class(no uint32) (Class, bool) {
	return find(c.Classes, no, func(cl Class) uint32 { return cl.No })
}

// Person finds a contestant by number.
func (c *Contest) Person(number uint32) (Person, bool) {
	return find(c.Persons, number, func(p Person) uint32 { return p.Number })
}

// Team finds a team by its number.
func (c *Contest) Team(no uint32) (Team, bool) {
	return find(c.Teams, no, func(t Team) uint32 { return t.No })
}

func find[T any](sorted []T, no uint32, of func(T) uint32) (T, bool) {
	i, ok := slices.BinarySearchFunc(sorted, no, func(t T, no uint32) int { return cmp.Compare(of(t), no) })
	if !ok {
		var none T
		return none, false
	}
	return sorted[i], true
}

// TeamNamed finds a team by its name as it is written.
func (c *Contest) TeamNamed(name string) (Team, bool) {
	for _, t := range c.Teams {
		if t.Name == name {
			return t, true
		}
	}
	return Team{}, false
}

// Divisions lists the divisions of the settings and then any other that a
// contestant is in, by name.
func (c *Contest) Divisions() []string {
	out := slices.Clone(c.Settings.Divisions)
	known := make(map[string]bool)
	for _, d := range out {
		known[d] = true
	}
	for _, p := range c.Persons {
		if p.Division != "" && !known[p.Division] {
			known[p.Division] = true
			out = append(out, p.Division)
		}
	}
	sorting.Ascending(out[len(c.Settings.Divisions):])
	return out
}

// Card is one contestant's answers in one class. Marks is empty unless the
// card is settled.
type Card struct {
	Status merge.Status
	Marks  []byte // one a slot, as the package score reads them
}

// Card reads a card of one of the Classes. A card that does not fit its class,
// because the class was changed after it was keyed, is given with status
// InQuestion.
func (c *Contest) Card(class Class, number uint32) Card {
	status, value := c.settled(class, number)
	if value == "" {
		return Card{Status: status}
	}
	return Card{Status: status, Marks: []byte(value)}
}

// CardStatus is the status of a card as Card gives it, without the marks.
func (c *Contest) CardStatus(class Class, number uint32) merge.Status {
	status, _ := c.settled(class, number)
	return status
}

func (c *Contest) settled(class Class, number uint32) (merge.Status, string) {
	status, value := c.state.Settled(CardSubject(class.No, number))
	if value != "" && !c.forms[class.No].fits(value) {
		return merge.InQuestion, ""
	}
	return status, value
}

// Key is the official answers of a class, as many as it has KeyItems.
type Key struct {
	Items  []KeyItem      // what is right, rulings included; an item without an answer is zero
	Status []merge.Status // of each item; in question, too, where a ruling on it is
	Locked bool           // no more changes but rulings

	Sealed bool // there are answers or rulings that cannot be read here

	Official []KeyItem // beside Items: what was set before any ruling
	Rulings  []Ruling  // beside Items: the ruling that holds, zero for none
	LeftOut  Ruling    // the class does not count in the totals, and why; zero when it does
	Doubted  bool      // whether the class counts is in question
}

// Missing counts the items without a settled answer that are not thrown out.
func (k Key) Missing() int {
	n := 0
	for i := range k.Status {
		if !k.settled(i) && !k.Out(i) {
			n++
		}
	}
	return n
}

// Key reads the official answers of a class and the rulings on them.
func (c *Contest) Key(class Class) Key {
	n := class.KeyItems()
	k := Key{Items: make([]KeyItem, n), Status: make([]merge.Status, n)}
	for i := range n {
		sub := class.KeySubject(i)
		cur := c.state.Current(sub)
		k.Status[i] = cur.Status
		veiled := slices.ContainsFunc(cur.Values, record.Veiled)
		k.Sealed = k.Sealed || veiled
		if veiled || cur.Status == merge.Absent || cur.Status == merge.InQuestion {
			continue
		}
		if tree.Read([]byte(cur.Values[0]), &k.Items[i]) != nil {
			k.Items[i], k.Status[i] = KeyItem{}, merge.Absent
		}
	}
	_, k.Locked = c.first(record.Subject{Kind: record.KindLock, A: class.No})
	c.rule(class.No, &k)
	return k
}

// KindSeen is the kind of a record that says what an official saw on an item:
// A class, B item, 0 for the class as a whole. Officials who see different
// things do not disagree about the answer, so it is apart from the key.
const KindSeen record.Kind = 11

// Seen is what an official saw on an item.
type Seen struct {
	Findings []grading.Finding `json:"findings,omitempty"`
	Photo    string            `json:"photo,omitempty"` // content hash of a picture kept on the phone that took it
	Note     string            `json:"note,omitempty"`
	Kind     string            `json:"kind,omitempty"`     // of the book, when the item is not of the class's own: one part among others
	Choices  map[string]string `json:"choices,omitempty"`  // of the book, when they were not the class's own
	Official string            `json:"official,omitempty"` // why the official's answer is not the book's
	Signs    map[string]string `json:"signs,omitempty"`    // of a hen, see keelcard/engine/hens
}

// Fields names the fields of a record's value.
func (s *Seen) Fields(f *tree.Fields) {
	tree.List(f, "findings", &s.Findings, tree.IfSet)
	f.Text("photo", &s.Photo, tree.IfSet)
	f.Text("note", &s.Note, tree.IfSet)
	f.Text("kind", &s.Kind, tree.IfSet)
	f.Pairs("choices", &s.Choices, tree.IfSet)
	f.Text("official", &s.Official, tree.IfSet)
	f.Pairs("signs", &s.Signs, tree.IfSet)
}

// The most signs of a hen, and letters of each or of a kind, that are taken.
const (
	maxSigns = 40
	maxSign  = 40
)

// Write gives the value of a record that holds what was seen. Codes:
// contest.long, contest.findings, contest.signs.
func (s Seen) Write() (string, error) { return written(&s, s.check()) }

func (s Seen) check() engine.Faults {
	var f engine.Faults
	if n := utf8.RuneCountInString(s.Note); n > 2000 {
		f = append(f, engine.New("contest.long", "note", fmt.Sprintf("it has %d letters", n), "use at most 2000"))
	}
	if n := len(s.Kind); n > maxSign {
		f = append(f, engine.New("contest.long", "kind", fmt.Sprintf("it has %d letters", n), fmt.Sprintf("use at most %d", maxSign)))
	}
	if len(s.Findings) > 200 {
		f = append(f, engine.New("contest.findings", "findings", fmt.Sprintf("there are %d on one item", len(s.Findings)), "keep at most 200"))
	}
	long := len(s.Signs) > maxSigns
	for key, word := range s.Signs {
		long = long || key == "" || len(key) > maxSign || len(word) > maxSign
	}
	if long {
		f = append(f, engine.New("contest.signs", "signs", "there are too many, or one has no name or is too long", fmt.Sprintf("keep at most %d of at most %d letters", maxSigns, maxSign)))
	}
	return f
}

// Seen reads what was noted on an item, counted from 1: the latest where
// officials noted different things, since a note is no answer.
func (c *Contest) Seen(class, item uint32) Seen {
	for _, value := range slices.Backward(c.state.Current(record.Subject{Kind: KindSeen, A: class, B: item}).Values) {
		if value != "" { // another's withdrawal of his own note
			s, _ := ReadSeen(value)
			return s
		}
	}
	return Seen{}
}

// ReadSeen reads the value of a record that holds what was seen. It is not ok
// when there is none or it is none that can be kept.
func ReadSeen(value string) (s Seen, ok bool) {
	if tree.Read([]byte(value), &s) != nil || s.check() != nil {
		return Seen{}, false
	}
	return s, true
}

// Questions lists what a person has to settle: cards, keys, rulings, people,
// classes, rule books and settings on which two hands differ.
func (c *Contest) Questions() []record.Subject {
	return slices.DeleteFunc(c.state.Questions(), func(s record.Subject) bool {
		switch s.Kind {
		case record.KindContest, record.KindClass, record.KindPerson, record.KindTeam, record.KindKey, record.KindCard, record.KindLock, record.KindRuling, record.KindBook:
			return false
		}
		return true
	})
}
