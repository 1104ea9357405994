package cases

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	judged "keelcard/engine/contest"
	"keelcard/engine/placing"
	"keelcard/engine/points"
	"keelcard/engine/score"
)

// contest is a case while it is read: what is entered, and the names in it.
type contest struct {
	classes                            []class
	classNames, people, teams, divided []string
	sheet                              score.Sheet
	ties                               []string
	parts                              []string      // divisions of classes, by name
	partClasses                        [][]int       // beside parts
	result                             *score.Result // made at the first expectation
}

// class is one class with its cards by person.
type class struct {
	rule   score.Rule
	graded bool
	cuts   placing.Cuts  // of a placing class
	worth  points.Points // of a placing class
	keys   []score.Key
	cards  map[int][]byte
	void   map[int]bool
	other  *otherClass // of a kind that is neither graded nor placing
}

// checkContest runs a file of testdata/contests.
func checkContest(data []byte) []error {
	c := &contest{}
	faults := readLines(data, c.step)
	if c.result == nil && len(faults) == 0 {
		faults = append(faults, errors.New("the file expects nothing"))
	}
	return faults
}

func (c *contest) step(word string, w *words) error {
	if read := map[string]func(*words){
		"class": c.readClass, "key": c.readKey, "best": c.readBest, "tie": c.readTie, "part": c.readPart,
		"person": c.readPerson, "card": c.readCard,
	}[word]; read != nil {
		if c.result != nil {
			w.fail("%q has to stand above what is expected", word)
			return nil
		}
		read(w)
		return nil
	}
	value := map[string]func(*words) string{
		"expect": c.ofPerson, "team": c.ofTeam, "parted": c.parted, "teams-parted": c.teamsParted, "item": c.item,
		"in": c.personIn, "team-in": c.teamIn, "sum": c.sum,
	}[word]
	if value == nil {
		w.fail("unknown word %q", word)
		return nil
	}
	if err := c.compute(); err != nil {
		w.fail("the contest cannot be scored: %w", err)
		return nil
	}
	line := strings.Join(w.left, " ")
	got := value(w)
	if want := w.answer(); got != want {
		return fmt.Errorf("%s %s: got %s, want %s", word, line, got, want)
	}
	return nil
}

func (c *contest) readClass(w *words) {
	name := w.next("the name of the class")
	if slices.Contains(append([]string{"total", "rank", "place", "missing"}, c.classNames...), name) {
		w.fail("no class can be named %q here", name)
	}
	class := class{cards: map[int][]byte{}, void: map[int]bool{}}
	if kind := w.next("the kind of class"); otherKinds[kind] != nil {
		class.other = &otherClass{Class: judged.Class{Kind: kind, Name: kind}}
		otherKinds[kind](class.other, w)
	} else {
		class.read(kind, w)
	}
	c.classNames = append(c.classNames, name)
	c.classes = append(c.classes, class)
}

func (class *class) read(kind string, w *words) {
	switch kind {
	case "graded":
		class.graded = true
	case "placing":
		cuts, err := placing.ParseCuts(w.next("the cuts"))
		if err != nil {
			w.fail("%w", err)
		}
		class.cuts, class.worth = cuts, points.Of(w.number("what the class is worth"))
	default:
		w.fail("there is no kind of class %q", kind)
	}
	rules := []string{string(score.Zero), string(score.Lower)}
	class.rule = score.Rule(rules[w.index("rule for double marks", rules)])
}

func (c *contest) readKey(w *words) {
	if len(c.classes) == 0 {
		w.fail("there is no class above the key")
		return
	}
	class := &c.classes[len(c.classes)-1]
	for _, word := range w.rest() {
		if class.other != nil {
			class.other.addKey(w, word)
			continue
		}
		var key score.Key
		for _, answer := range strings.Split(word, "/") {
			if answer == "out" {
				key.Out = true
			} else {
				key.Answers = append(key.Answers, class.answer(w, answer))
			}
		}
		class.keys = append(class.keys, key)
	}
	if !class.graded && class.other == nil && (len(class.keys) != 1 || len(class.keys[0].Answers) == 0) {
		w.fail("a placing class has one key with an order in it")
	}
}

// answer is the number of a grade or of an order.
func (class *class) answer(w *words, word string) byte {
	if class.graded {
		i := slices.Index(score.PennState().Grades, word)
		if i < 0 {
			w.fail("%q is no grade", word)
		}
		return byte(i + 1)
	}
	order, err := placing.ParseOrder(word)
	if err != nil {
		w.fail("%w", err)
	}
	return byte(order.Index())
}

func (c *contest) readBest(w *words) { c.sheet.TeamBest = w.number("how many count") }

func (c *contest) readTie(w *words) {
	text := w.next("the tie-break")
	tie := score.Tie{Alternate: text == "alternate"}
	if !tie.Alternate {
		tie.Classes = c.classList(w, text)
	}
	c.ties = append(c.ties, text)
	c.sheet.Ties = append(c.sheet.Ties, tie)
}

// classList reads classes with plus signs between.
func (c *contest) classList(w *words, text string) (numbers []int) {
	names := &words{left: strings.Split(text, "+")}
	for len(names.left) > 0 {
		numbers = append(numbers, names.index("class", c.classNames))
	}
	if names.err != nil {
		w.fail("%w", names.err)
	}
	return numbers
}

func (c *contest) readPart(w *words) {
	name := w.next("the name of the division")
	if slices.Contains(c.parts, name) {
		w.fail("there are two divisions %q", name)
	}
	c.parts = append(c.parts, name)
	c.partClasses = append(c.partClasses, c.classList(w, w.next("its classes")))
}

func (c *contest) readPerson(w *words) {
	name := w.next("the number of the person")
	if slices.Contains(c.people, name) {
		w.fail("there are two persons %q", name)
	}
	team, division, unranked, alternate, penalty := int32(-1), int32(-1), false, false, points.Points(0)
	for len(w.left) > 0 && w.err == nil {
		switch word := w.next(""); word {
		case "unranked":
			unranked = true
		case "alternate":
			alternate = true
		case "penalty":
			var err error
			if penalty, err = points.Parse(w.next("the points")); err != nil {
				w.fail("%w", err)
			}
		case "void":
			class := w.index("class", c.classNames)
			if w.err == nil {
				c.classes[class].void[len(c.people)] = true
			}
		case "team":
			team = named(&c.teams, w.next("the team"))
		case "division":
			division = named(&c.divided, w.next("the division"))
		default:
			w.fail("unknown word %q", word)
		}
	}
	c.people = append(c.people, name)
	c.sheet.Team = append(c.sheet.Team, team)
	c.sheet.Division = append(c.sheet.Division, division)
	c.sheet.Unranked = append(c.sheet.Unranked, unranked)
	c.sheet.Alternate = append(c.sheet.Alternate, alternate)
	c.sheet.Penalty = append(c.sheet.Penalty, penalty)
}

// named finds a name or adds it.
func named(names *[]string, name string) int32 {
	i := slices.Index(*names, name)
	if i < 0 {
		i = len(*names)
		*names = append(*names, name)
	}
	return int32(i)
}

func (c *contest) readCard(w *words) {
	person, number := w.index("person", c.people), w.index("class", c.classNames)
	if w.err != nil {
		return
	}
	class, marks := &c.classes[number], w.rest()
	entries := len(class.keys)
	if class.other != nil {
		entries = class.other.entries()
	}
	if len(marks) != entries {
		w.fail("%d marks for %d items", len(marks), entries)
	}
	if class.cards[person] != nil {
		w.fail("%s has two cards of %s", c.people[person], c.classNames[number])
	}
	card := []byte{}
	for i, word := range marks {
		if class.other != nil {
			card = append(card, class.other.marks(w, i, word)...)
		} else {
			card = append(card, class.mark(w, word))
		}
	}
	class.cards[person] = card
}

func (class *class) mark(w *words, word string) byte {
	switch {
	case word == "-":
		return score.Blank
	case word == "x2":
		return score.Double
	case !strings.Contains(word, "+"):
		return class.answer(w, word)
	}
	var answers []int
	for _, one := range strings.Split(word, "+") {
		answers = append(answers, int(class.answer(w, one)))
	}
	return score.DoubleOf(answers...)
}

// compute scores the contest once.
func (c *contest) compute() (err error) {
	if c.result != nil {
		return nil
	}
	s := &c.sheet
	s.Persons, s.Teams, s.Divisions = len(c.people), len(c.teams), len(c.divided)
	for i := range c.classes {
		class := &c.classes[i]
		sheet := score.ClassSheet{Has: make([]bool, s.Persons), Void: make([]bool, s.Persons)}
		if sheet.Table, err = class.table(); err != nil {
			return fmt.Errorf("class %s: %w", c.classNames[i], err)
		}
		for person := range s.Persons {
			card, has := class.cards[person]
			if !has {
				card = make([]byte, len(sheet.Table.Slots))
			}
			sheet.Has[person], sheet.Void[person] = has, class.void[person]
			sheet.Marks = append(sheet.Marks, card...)
		}
		s.Classes = append(s.Classes, sheet)
	}
	c.result, err = score.Compute(*s)
	return err
}

func (class *class) table() (score.Table, error) {
	if class.other != nil {
		return class.other.table()
	}
	if class.graded {
		table := score.PennState()
		table.Double = class.rule
		return table.Compile(class.keys)
	}
	if len(class.keys) == 0 {
		return score.Table{}, errors.New("it has no key")
	}
	p := score.Placing{Cuts: class.cuts, Max: class.worth, Double: class.rule, Out: class.keys[0].Out}
	for i, answer := range class.keys[0].Answers {
		order := placing.Orders()[answer-1]
		if i == 0 {
			p.Official = order
		} else {
			p.Also = append(p.Also, order)
		}
	}
	return p.Table()
}

func (c *contest) ofPerson(w *words) string {
	person := w.index("person", c.people)
	what := w.index("class or number of a person", append([]string{"total", "rank", "place", "missing"}, c.classNames...))
	if w.err != nil {
		return ""
	}
	switch what {
	case 0:
		return c.result.Total(person).String()
	case 1:
		return fmt.Sprint(c.result.Rank[person])
	case 2:
		return fmt.Sprint(c.result.DivisionRank[person])
	case 3:
		return fmt.Sprint(c.result.Missing[person])
	}
	return c.result.ClassPoints(what-4, person).String()
}

func (c *contest) ofTeam(w *words) string {
	team, what := w.index("team", c.teams), w.next("what of the team")
	if w.err != nil {
		return ""
	}
	switch r := c.result.Teams[team]; what {
	case "total":
		return r.Total.String()
	case "rank":
		return fmt.Sprint(r.Rank)
	case "place":
		return fmt.Sprint(r.DivisionRank)
	case "counts":
		return c.numbers(r.Counting)
	case "drops":
		return c.numbers(r.Dropped)
	}
	w.fail("a team has no %q", what)
	return ""
}

func (c *contest) numbers(persons []int32) string {
	var names []string
	for _, p := range persons {
		names = append(names, c.people[p])
	}
	return strings.Join(names, " ")
}

func (c *contest) parted(w *words) string {
	return c.by(w, "person", c.people, c.result.Compare)
}

func (c *contest) teamsParted(w *words) string {
	return c.by(w, "team", c.teams, c.result.CompareTeams)
}

// by tells what parts the two that are named next.
func (c *contest) by(w *words, what string, names []string, compare func(a, b int) score.Parting) string {
	a, b := w.index(what, names), w.index(what, names)
	if w.err != nil {
		return ""
	}
	switch by := compare(a, b).By; by {
	case score.ByTotal:
		return "total"
	case score.Shared:
		return "shared"
	default:
		return c.ties[by-1]
	}
}

func (c *contest) item(w *words) string {
	class, number := w.index("class", c.classNames), w.number("the number of the item")
	if w.err != nil {
		return ""
	}
	items := c.result.Items[class]
	if number < 1 || number > len(items) {
		w.fail("there is no item %d", number)
		return ""
	}
	return fmt.Sprintf("right %d of %d", items[number-1].Right, items[number-1].Cards)
}

func (c *contest) personIn(w *words) string {
	part, person := w.index("division of classes", c.parts), w.index("person", c.people)
	if w.err != nil {
		return ""
	}
	p := c.result.Part(c.partClasses[part]...)
	return fmt.Sprint(p.Points(person), " place ", p.Rank[person])
}

func (c *contest) teamIn(w *words) string {
	part, team := w.index("division of classes", c.parts), w.index("team", c.teams)
	if w.err != nil {
		return ""
	}
	p := c.result.Part(c.partClasses[part]...)
	return fmt.Sprint(p.TeamPoints(team), " place ", p.TeamRank[team])
}
