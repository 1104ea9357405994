package app

import (
	"slices"
	"strings"

	"keelcard/engine/amount"
	"keelcard/engine/contest"
	"keelcard/engine/egg"
	"keelcard/engine/points"
	"keelcard/engine/record"
	"keelcard/engine/rulebook"
	"keelcard/web/words"
)

// What the classes of each kind hold beside their name: lists, faults, what
// officials give points for. And contests to begin from.

// The groups in which classes are offered; the first three are the usual
// divisions of classes.
const (
	GroupLive   = "live"   // Live birds
	GroupMarket = "market" // Market poultry
	GroupEggs   = "eggs"   // Eggs
	GroupExam   = "exam"   // everything else
)

// Groups lists the groups in the order in which they are offered.
func Groups() []string { return []string{GroupLive, GroupMarket, GroupEggs, GroupExam} }

// Usual is a class that one tap sets up with everything at its usual value.
type Usual struct {
	ID, Group string
	Class     contest.Class
}

func gradedClass(book, group string, items int) Usual {
	return Usual{book, group, contest.Class{Kind: contest.Graded, Items: items, Book: book}}
}

func namedClass(id, group, list string, items int, worth points.Points) Usual {
	return Usual{id, group, contest.Class{Kind: contest.Identified, Items: items, List: list, Worth: worth}}
}

// UsualClasses lists the usual classes. Ten of each, five cartons, and the numbers of
// questions are common practice.
func UsualClasses() []Usual {
	hundred := points.Of(100)
	return []Usual{
		{contest.Placing, GroupLive, contest.Class{Kind: contest.Placing, Items: 4}},
		{"reasons", GroupLive, contest.Class{Kind: contest.Awarded, Reasons: true}},
		gradedClass("carcass-youth", GroupMarket, 10),
		gradedClass("parts-youth", GroupMarket, 10),
		namedClass("parts-30", GroupMarket, "parts-30", 10, 0),
		namedClass("parts-10", GroupMarket, "parts-youth", 10, 0),
		{"breaded", GroupMarket, contest.Class{Kind: contest.Checked, Items: 10, Book: "breaded"}},
		gradedClass("egg-shell", GroupEggs, 10),
		gradedClass("egg-candled", GroupEggs, 10),
		gradedClass("egg-opened", GroupEggs, 10),
		{"carton", GroupEggs, contest.Class{Kind: contest.Checked, Items: 5, Book: "carton"}},
		namedClass("exam", GroupExam, "letters-4", 20, hundred),
		{"exam-count", GroupExam, contest.Class{Kind: contest.Awarded, Worth: hundred, Step: points.Of(5)}},
		{"points", GroupExam, contest.Class{Kind: contest.Awarded}},
	}
}

// OtherBooks lists the books of which no usual class is offered: those of the
// contest first.
func (s *State) OtherBooks() []*rulebook.Book {
	usual := UsualClasses()
	return slices.DeleteFunc(s.books(), func(b *rulebook.Book) bool {
		return slices.ContainsFunc(usual, func(o Usual) bool { return o.Class.Book == b.ID })
	})
}

// books lists the books a class can be judged by, the contest's before the
// built-in ones.
func (s *State) books() []*rulebook.Book {
	var out []*rulebook.Book
	for _, held := range s.Open.Contest.Books() {
		if held.Book != nil {
			out = append(out, held.Book)
		}
	}
	return append(out, rulebook.Builtin()...)
}

// BooksLike lists the books that the book of a class can be changed for: of the
// same things, to be graded or looked over likewise.
func (s *State) BooksLike(c contest.Class) []*rulebook.Book {
	b, err := c.RuleBook()
	return slices.DeleteFunc(s.books(), func(x *rulebook.Book) bool {
		return x.IsFaults() != (c.Kind == contest.Checked) || err == nil && x.Drawing != b.Drawing
	})
}

// classAdd adds the class of an offer, or one of a book, and opens it, so that
// every further tap changes a class that is kept already.
func classAdd(s *State, m Msg) []Effect {
	if s.Open == nil {
		return nil
	}
	id := m.Arg(0)
	var c contest.Class
	for _, o := range UsualClasses() {
		if o.ID == id {
			c = o.Class
			c.Division = s.usualDivision(o.Group)
		}
	}
	book := c.Book
	if c.Kind == "" {
		c.Kind, c.Items, book = contest.Graded, 10, id
	}
	if book != "" {
		if err := s.useBook(&c, book); err != nil {
			return s.refuse(err)
		}
	}
	if words.Has("class.name-" + id) {
		c.Name = words.T("class.name-" + id)
	}
	return s.addClass(m, c)
}

// usualDivision is the division of a group of offers, where the classes of the
// contest are divided at all.
func (s *State) usualDivision(group string) string {
	if group == GroupExam || len(s.ClassDivisions()) == 0 {
		return ""
	}
	return words.T("class.group-" + group)
}

// addClass writes one more class and opens it.
func (s *State) addClass(m Msg, c contest.Class) []Effect {
	c.No = s.freeClass()
	effects := s.writeClass(m, c)
	if len(effects) == 0 {
		return nil
	}
	return append(effects, s.goTo(m, Page{Name: "class", Contest: s.Page.Contest, Args: []string{itoa(c.No)}})...)
}

// OwnList is a list that is being typed for a class: names to choose from, or
// faults to look for.
type OwnList struct {
	Kind  string // of the class; "" while no list is typed
	Text  string
	Fault string // why it cannot be taken
}

// classOwn opens the field for a list of the class's own.
func classOwn(s *State, m Msg) []Effect {
	s.Setup.Own = OwnList{Kind: m.Arg(0)}
	if s.Open != nil {
		if c, ok := s.Open.Contest.Class(s.Page.Number(0)); ok && c.Kind == contest.Identified {
			s.Setup.Own.Text = strings.Join(c.Answers(), "\n")
		}
	}
	return []Effect{Focus{"f-names"}}
}

// classNames gives the class of the page its own list, or makes a class of it
// on the page of a new one. A list that cannot be taken stays as it was typed.
func classNames(s *State, m Msg) []Effect {
	if s.Open == nil {
		return nil
	}
	c, ok := s.Open.Contest.Class(s.Page.Number(0))
	text, kind := m.Text, c.Kind
	if !ok {
		text, kind = field(m, "names"), s.Setup.Own.Kind
		c = contest.Class{Kind: kind, Items: 10, Name: words.T("class.name-" + kind)}
	}
	c.Names, c.List = listed(text), ""
	c.Book, c.Hash, c.Bird, c.Weight, c.Choices = "", "", "", 0, nil
	if _, err := c.Write(); err != nil && !uneven(err) {
		s.Setup.Own = OwnList{kind, text, faultOf("names", text, err).What}
		return []Effect{Focus{"f-names"}}
	}
	s.Setup.Own = OwnList{}
	if !ok {
		return s.addClass(m, c)
	}
	return s.writeClass(m, c)
}

// listed reads a list that was typed or pasted: one a line, or apart by tabs or
// semicolons, or all on one line apart by commas.
func listed(text string) []string {
	text = strings.NewReplacer("\r", "\n", "\t", "\n", ";", "\n").Replace(strings.TrimSpace(text))
	if !strings.Contains(text, "\n") {
		text = strings.ReplaceAll(text, ",", "\n")
	}
	var out []string
	for line := range strings.SplitSeq(text, "\n") {
		if line = tidy(line); line != "" {
			out = append(out, line)
		}
	}
	return out
}

// setList takes a built-in list of names.
func setList(c *contest.Class, m Msg) error {
	c.List, c.Names = m.Arg(0), nil
	return nil
}

// setOfficials sets how many officials give points.
func setOfficials(c *contest.Class, m Msg) error {
	c.Officials = number(m.Text)
	return nil
}

// setStep sets the smallest amount of points that is given.
func setStep(c *contest.Class, m Msg) (err error) {
	c.Step, err = points.Parse(strings.TrimSpace(m.Text))
	return err
}

// criterion is a change of what points are given for. The worth of the class is
// then their sum, or the published one when none is left.
func criterion(change func(list []contest.Criterion, i int, m Msg) ([]contest.Criterion, error)) handler {
	return class(func(c *contest.Class, m Msg) (err error) {
		c.Worth = 0
		c.Criteria, err = change(slices.Clone(c.Criteria), number(m.Arg(0)), m)
		return err
	})
}

func addCriterion(list []contest.Criterion, _ int, m Msg) ([]contest.Criterion, error) {
	most, err := points.Parse(strings.TrimSpace(field(m, "most")))
	return append(list, contest.Criterion{Name: tidy(field(m, "criterion")), Most: most}), err
}

func nameCriterion(list []contest.Criterion, i int, m Msg) ([]contest.Criterion, error) {
	if i >= 0 && i < len(list) {
		list[i].Name = tidy(m.Text)
	}
	return list, nil
}

func mostCriterion(list []contest.Criterion, i int, m Msg) ([]contest.Criterion, error) {
	most, err := points.Parse(strings.TrimSpace(m.Text))
	if i >= 0 && i < len(list) {
		list[i].Most = most
	}
	return list, err
}

func removeCriterion(list []contest.Criterion, i int, m Msg) ([]contest.Criterion, error) {
	if i >= 0 && i < len(list) {
		list = slices.Delete(list, i, i+1)
	}
	return list, nil
}

// classDivision puts the class into a division, or asks for the name of another.
func classDivision(s *State, m Msg) []Effect {
	if s.Setup.NewDivision = m.Text == NewDivision; s.Setup.NewDivision {
		return []Effect{Focus{"f-division-name"}}
	}
	return class(func(c *contest.Class, m Msg) error { c.Division = tidy(m.Text); return nil })(s, m)
}

// NewDivision stands in a list of divisions for one that is still to be named.
// No name of a division holds it, since names are tidied.
const NewDivision = " "

// ClassDivisions lists the divisions of the contest's classes, in their order.
func (s *State) ClassDivisions() []string {
	var out []string
	for _, c := range s.Open.Contest.Classes {
		if c.Division != "" && !slices.Contains(out, c.Division) {
			out = append(out, c.Division)
		}
	}
	return out
}

// renameClassDivision gives a division another name in all of its classes, as
// one piece that can be taken back in one tap.
func renameClassDivision(s *State, m Msg) []Effect {
	if s.Open == nil {
		return nil
	}
	list, i, name := s.ClassDivisions(), number(m.Arg(0)), tidy(m.Text)
	if i < 0 || i >= len(list) || name == list[i] {
		return nil
	}
	var entries []written
	for _, c := range s.Open.Contest.Classes {
		if c.Division != list[i] {
			continue
		}
		c.Division = name
		value, err := c.Write()
		if err != nil {
			return s.refuse(err)
		}
		entries = append(entries, written{Subject: classSubject(c.No), Value: value})
	}
	return s.writePiece(m, words.T("settings.group-renamed", list[i], or(name, words.T("class.no-division"))), entries)
}

// EggWeights tells how the verdicts of a book depend on the weight of the egg:
// by the size of its shell, by its height and weight when it is opened, or not.
func EggWeights(b *rulebook.Book) string {
	for _, f := range b.Factors {
		if f.Op == rulebook.OpCovered || f.Op == rulebook.OpHaugh {
			return f.Op
		}
	}
	return ""
}

// OwnKinds tells whether each item of a class can be of another kind, which is
// said where its key is set: which part, which product.
func OwnKinds(b *rulebook.Book) bool {
	of := Drawing(b)
	return of == rulebook.DrawPiece || of == rulebook.DrawPart && partKinds(b) != nil
}

// Unasked names what the book of a class has for its kind alone but does not ask
// for as it is chosen, and the choice that decides it.
func Unasked(c contest.Class, b *rulebook.Book) (names []string, choice string) {
	for _, l := range b.Limits {
		if len(l.Kinds) != 1 || l.Kinds[0] != c.Bird {
			continue
		}
		for _, f := range b.Factors {
			if f.ID == l.Factor && !holds(c, b, f.When) {
				names = append(names, f.Name)
				choice = undecided(c, b, f.When)
			}
		}
	}
	return names, choice
}

// undecided is the title of the choice by which a line does not hold.
func undecided(c contest.Class, b *rulebook.Book, when map[string]string) string {
	for _, choice := range b.Choices {
		if option, asked := when[choice.ID]; asked && ChosenOption(c, choice) != option {
			return choice.Title
		}
	}
	return ""
}

// setEggs takes a weight class of eggs, "" for none.
func setEggs(c *contest.Class, m Msg) error {
	c.Weight = 0
	for _, w := range egg.WeightClasses() {
		if w.ID == m.Arg(0) {
			c.Weight = w.Average()
		}
	}
	return nil
}

// eggWeight keeps a weight that is the average of some class of eggs.
func eggWeight(w amount.Weight) amount.Weight {
	for _, c := range egg.WeightClasses() {
		if c.Average() == w {
			return w
		}
	}
	return 0
}

// starter finds a contest to begin from.
func starter(id string) (contest.Starter, bool) {
	for _, st := range contest.Starters() {
		if st.ID == id {
			return st, true
		}
	}
	return contest.Starter{}, false
}

// starterPiece gives the records of a contest to begin from, in the name of the
// settings as they are: its classes with the usual side of every choice, and
// then its settings, which speak of them.
func (s *State) starterPiece(st contest.Starter, set contest.Settings) ([]written, error) {
	var entries []written
	for _, c := range st.Classes {
		if b, ok := rulebook.ByID(c.Book); ok {
			c.Hash, c.Choices = b.Hash(), usualChoices(b)
		}
		value, err := c.Write()
		if err != nil {
			return nil, err
		}
		entries = append(entries, written{Subject: classSubject(c.No), Value: value})
	}
	set.TeamBest, set.TeamMost, set.Ties = st.Settings.TeamBest, st.Settings.TeamMost, st.Settings.Ties
	if len(set.Divisions) == 0 {
		set.Divisions = st.Settings.Divisions
	}
	value, err := set.Write()
	return append(entries, written{Subject: record.Subject{Kind: record.KindContest}, Value: value}), err
}

// starterTake sets a contest that has no classes yet up from a starter.
func starterTake(s *State, m Msg) []Effect {
	if s.Open == nil || len(s.Open.Contest.Classes) > 0 {
		return nil
	}
	st, ok := starter(m.Arg(0))
	if !ok {
		return nil
	}
	entries, err := s.starterPiece(st, s.Open.Contest.Settings)
	if err != nil {
		return s.refuse(err)
	}
	effects := s.writePiece(m, words.T("starter."+st.ID), entries)
	if len(effects) == 0 {
		return nil
	}
	return append(effects, s.goTo(m, Page{Name: "contest", Contest: s.Page.Contest})...)
}
