package score_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"keelcard/engine/score"
)

var casesDir = flag.String("cases", "../../testdata/contests", "folder of contest cases to run")

// TestCases runs every contest of the folder; its README describes the format.
func TestCases(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(*casesDir, "*.txt"))
	if err != nil {
		t.Fatal(err)
	}
	if len(files) == 0 {
		t.Fatalf("no cases in %s", *casesDir)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) { runCase(t, file) })
	}
}

// contestCase is a case while it is read: the contest and the names in it.
type contestCase struct {
	t                                 *testing.T
	line                              int
	origin, source                    string
	paper                             paper
	classes, teams, divisions, people []string
	ties                              []string
	result                            *score.Result
	checks                            int
}

func runCase(t *testing.T, file string) {
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	c := &contestCase{t: t}
	for i, line := range strings.Split(string(data), "\n") {
		c.line = i + 1
		line, _, _ = strings.Cut(line, "#")
		word, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		if word != "" {
			c.read(word, rest)
		}
	}
	if c.source == "" || (c.origin != "published" && c.origin != "computed") {
		t.Error("the case says no origin or no source")
	}
	if c.checks == 0 {
		t.Error("the case expects nothing")
	}
	if c.result != nil {
		if err := c.paper.compare(c.result, c.paper.score()); err != nil {
			t.Errorf("against the plain way: %v", err)
		}
	}
}

func (c *contestCase) fail(format string, args ...any) {
	c.t.Helper()
	c.t.Fatalf("line %d: %s", c.line, fmt.Sprintf(format, args...))
}

func (c *contestCase) read(word, rest string) {
	f := strings.Fields(rest)
	switch word {
	case "origin":
		c.origin = rest
	case "source":
		c.source = rest
	case "class":
		c.readClass(f)
	case "key":
		c.readKey(f)
	case "best":
		c.paper.best = c.number(c.field(f, 0))
	case "tie":
		c.ties = append(c.ties, c.field(f, 0))
		tie := score.Tie{Alternate: f[0] == "alternate"}
		if !tie.Alternate {
			for _, name := range strings.Split(f[0], "+") {
				tie.Classes = append(tie.Classes, c.index(c.classes, name))
			}
		}
		c.paper.ties = append(c.paper.ties, tie)
	case "person":
		c.readPerson(f)
	case "card":
		c.readCard(f)
	case "expect", "team", "parted", "teams-parted", "item":
		c.checks++
		c.check(word, f)
	default:
		c.fail("unknown word %q", word)
	}
}

func (c *contestCase) field(f []string, i int) string {
	c.t.Helper()
	if i >= len(f) {
		c.fail("only %d words", len(f))
	}
	return f[i]
}

func (c *contestCase) number(s string) int {
	c.t.Helper()
	n, err := strconv.Atoi(s)
	if err != nil {
		c.fail("%q is no number", s)
	}
	return n
}

func (c *contestCase) index(names []string, name string) int {
	c.t.Helper()
	i := slices.Index(names, name)
	if i < 0 {
		c.fail("nothing is named %q", name)
	}
	return i
}

func (c *contestCase) readClass(f []string) {
	rule := f[len(f)-1]
	if rule != "zero" && rule != "lower" {
		c.fail("%q is no rule for double marks", rule)
	}
	class := paperClass{scale: []string{"A", "B", "C", "NG"}, lower: rule == "lower"}
	switch c.field(f, 1) {
	case "graded":
	case "placing":
		class.placing = true
		for i, cut := range strings.Split(c.field(f, 2), "-") {
			class.cuts[i] = c.number(cut)
		}
		class.worth = c.number(c.field(f, 3))
	default:
		c.fail("unknown kind of class %q", f[1])
	}
	c.classes = append(c.classes, f[0])
	c.paper.classes = append(c.paper.classes, class)
}

func (c *contestCase) readKey(f []string) {
	class := &c.paper.classes[len(c.paper.classes)-1]
	for _, word := range f {
		var key paperKey
		for _, answer := range strings.Split(word, "/") {
			if answer == "out" {
				key.out = true
			} else {
				key.accepted = append(key.accepted, c.answer(class, answer))
			}
		}
		class.key = append(class.key, key)
	}
}

func (c *contestCase) answer(class *paperClass, word string) string {
	if class.placing {
		word = strings.ReplaceAll(word, "-", "")
	}
	return class.answers()[c.index(class.answers(), word)]
}

func (c *contestCase) readPerson(f []string) {
	person := paperPerson{team: -1, division: -1, cards: map[int][]string{}}
	for i := 1; i < len(f); i++ {
		switch f[i] {
		case "unranked":
			person.unranked = true
		case "team":
			i++
			person.team = named(&c.teams, c.field(f, i))
		case "division":
			i++
			person.division = named(&c.divisions, c.field(f, i))
		default:
			c.fail("unknown word %q", f[i])
		}
	}
	c.people = append(c.people, c.field(f, 0))
	c.paper.people = append(c.paper.people, person)
	c.paper.teams, c.paper.divisions = len(c.teams), len(c.divisions)
}

func named(names *[]string, name string) int {
	i := slices.Index(*names, name)
	if i < 0 {
		i = len(*names)
		*names = append(*names, name)
	}
	return i
}

func (c *contestCase) readCard(f []string) {
	person, number := c.index(c.people, c.field(f, 0)), c.index(c.classes, c.field(f, 1))
	class := &c.paper.classes[number]
	if len(f)-2 != len(class.key) {
		c.fail("%d marks for %d items", len(f)-2, len(class.key))
	}
	var card []string
	for _, word := range f[2:] {
		switch {
		case word == "x2":
			word = "?"
		case word == "-":
		case strings.Contains(word, "+"):
			for _, one := range strings.Split(word, "+") {
				c.answer(class, one)
			}
		default:
			word = c.answer(class, word)
		}
		card = append(card, word)
	}
	c.paper.people[person].cards[number] = card
}

func (c *contestCase) check(word string, f []string) {
	if c.result == nil {
		r, err := score.Compute(c.paper.sheet(c.t))
		if err != nil {
			c.t.Fatal(err)
		}
		c.result = r
	}
	var got, want string
	switch word {
	case "expect":
		got, want = c.ofPerson(c.index(c.people, c.field(f, 0)), c.field(f, 1)), c.field(f, 2)
	case "team":
		got, want = c.ofTeam(c.index(c.teams, c.field(f, 0)), c.field(f, 1)), strings.Join(f[2:], " ")
	case "parted":
		got, want = c.by(c.result.Compare(c.index(c.people, c.field(f, 0)), c.index(c.people, c.field(f, 1))).By), c.field(f, 2)
	case "teams-parted":
		got, want = c.by(c.result.CompareTeams(c.index(c.teams, c.field(f, 0)), c.index(c.teams, c.field(f, 1))).By), c.field(f, 2)
	case "item":
		item := c.result.Items[c.index(c.classes, c.field(f, 0))][c.number(c.field(f, 1))-1]
		got, want = fmt.Sprintf("right %d of %d", item.Right, item.Cards), strings.Join(f[2:], " ")
	}
	if got != want {
		c.t.Errorf("line %d: %s %s: got %s", c.line, word, strings.Join(f, " "), got)
	}
}

func (c *contestCase) ofPerson(person int, what string) string {
	switch what {
	case "total":
		return c.result.Total(person).String()
	case "rank":
		return fmt.Sprint(c.result.Rank[person])
	case "place":
		return fmt.Sprint(c.result.DivisionRank[person])
	case "missing":
		return fmt.Sprint(c.result.Missing[person])
	}
	return c.result.ClassPoints(c.index(c.classes, what), person).String()
}

func (c *contestCase) ofTeam(team int, what string) string {
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
	c.fail("a team has no %q", what)
	return ""
}

func (c *contestCase) numbers(persons []int32) string {
	var names []string
	for _, p := range persons {
		names = append(names, c.people[p])
	}
	return strings.Join(names, " ")
}

func (c *contestCase) by(by int) string {
	switch by {
	case score.ByTotal:
		return "total"
	case score.Shared:
		return "shared"
	}
	return c.ties[by-1]
}
