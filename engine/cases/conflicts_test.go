package cases

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/amount"
	judged "keelcard/engine/contest"
	"keelcard/engine/hens"
	"keelcard/engine/placing"
	"keelcard/engine/points"
	"keelcard/engine/rulebook"
	"keelcard/engine/score"
)

// conflicts are the points on which published sources differ, each with what
// lets whoever sets a class up decide it. A choice of a book has its usual side
// first.
var conflicts = []struct {
	what, sources string
	offered       []func() error
}{
	// Carcasses.
	{"how thick a five-cent coin is", "University of Georgia Extension: as thick as 1/8 in; U.S. Mint: 1.95 mm",
		each(choice("carcass-youth", "depth", "eighth", "coin"), choice("carcass-youth", "at-depth", "depth-is-b", "depth-is-c"))},
	{"three answers or four", "Florida: A, B, C; National 4-H manual 2021, Penn State, Texas: no grade as well",
		each(choice("carcass-youth", "answers", "four", "three"))},
	{"what one leg is", "Kentucky: thigh and drumstick; study guide: two parts",
		each(choice("carcass-youth", "leg", "together", "separate"), choice("carcass-federal", "leg", "together", "separate"))},
	{"torn or cut muscle", "Georgia: by its depth; study guide: a tear is C, removed meat no grade; National 4-H manual: no grade past what C allows",
		each(choice("carcass-youth", "torn-meat", "depth-decides", "removed-is-ng"))},
	{"exactly the allowed length", "AMS 70: up to; study guide: smaller than",
		each(choice("carcass-youth", "at-length", "up-to", "less-than"), choice("carcass-federal", "at-length", "up-to", "less-than"),
			choice("parts-youth", "at-length", "up-to", "less-than"), choice("parts-federal", "at-length", "up-to", "less-than"))},
	{"exactly a third", "National 4-H manual: up to; Georgia Agricultural Education: under",
		each(choice("carcass-youth", "at-third", "up-to", "less-than"), choice("carcass-federal", "at-third", "up-to", "less-than"),
			choice("parts-youth", "at-third", "up-to", "less-than"), choice("parts-federal", "at-third", "up-to", "less-than"))},
	{"exactly half way to the hip joints", "Georgia Agricultural Education: B; common practice: C",
		each(choice("carcass-youth", "at-half-way", "half-is-c", "half-is-b"), choice("carcass-federal", "at-half-way", "half-is-b", "half-is-c"))},
	{"lightest carcass", "AMS 70, Texas, Georgia: 2 lb; Florida: 2 1/2 lb",
		each(choice("carcass-youth", "lowest-weight", "two", "two-and-a-half"))},
	{"several bare spots", "AMS 70, from memory: together; common practice: each alone",
		each(choice("carcass-youth", "spots", "alone", "together"), choice("carcass-federal", "spots", "together", "alone"),
			choice("parts-youth", "spots", "alone", "together"), choice("parts-federal", "spots", "together", "alone"))},
	{"blank and double marks", "Penn State: nothing for both; Kentucky: the lower score for a double mark",
		each(double(judged.Class{Kind: judged.Graded, Items: 10, Book: "carcass-youth", Bird: "chicken", Weight: 4 * amount.Pound}, score.DoubleOf(1, 3), points.Of(4)))},
	{"a missing leg", "AMS 70, from memory: not on the list of missing parts, so not graded; National 4-H manual: no grade when more meat is gone than C allows",
		each(choice("carcass-youth", "missing-leg", "not-listed", "by-meat"))},
	// No line hangs on the class of a bird: it is said, with both texts.
	{"what a roaster is", "76 FR 68058 (2011): 8 to 12 weeks, 5 lb; 81 FR 21706 (2016): under 12 weeks, 5 1/2 lb",
		each(note("carcass-youth", "Roaster", "5 1/2 lb", "5 lb"), note("carcass-federal", "Roaster", "5 1/2 lb", "5 lb"))},

	// Eggs.
	{"exactly 72 Haugh units", "Pennsylvania: above 72; New York, Idaho, South Dakota: 72 or higher", each(choice("egg-opened", "at-limit", "reached", "above"))},
	{"71.6 Haugh units", "not said by any source", each(choice("egg-opened", "rounding", "none", "whole"))},
	{"7.57 or 7.6 in the short formula", "both are printed", each(choice("egg-opened", "form", "full", "short-757", "short-76"))},
	{"air cell of a B egg", "Washington: no limit; Georgia: 3/8 in; California: C beyond it or with a small blood spot",
		each(choice("egg-candled", "b-limit", "none", "three-eighths", "california"))},
	{"spots of exactly 1/8 in", "Pennsylvania: B; broken-out slides: less and more only",
		each(choice("egg-candled", "at-eighth", "up-to", "less-than"), choice("egg-opened", "at-eighth", "up-to", "less-than"))},
	{"name of the lowest answer", "Pennsylvania: loss; Florida: inedible; National 4-H manual: A, B, Dirty, Loss; Florida: A, B, Dirty; Vermont: check",
		each(choice("egg-candled", "lowest", "loss", "inedible"), choice("egg-opened", "lowest", "loss", "inedible"),
			choice("egg-shell", "loss", "apart", "none"), choice("egg-shell", "checks", "lowest", "apart"))},
	{"a stain of exactly 1/32", "Georgia: B; Kentucky: less than 1/32", each(choice("egg-shell", "at-thirty-second", "up-to", "less-than"))},
	{"size of a calcium deposit", "Kentucky: by look; FFA material, from memory: 1/8 in", each(choice("egg-shell", "deposits", "look", "eighth"))},

	// Parts and products.
	{"skin trimmed off a part", "National 4-H manual: up to a quarter; common practice: as bare flesh", each(choice("parts-youth", "skin", "three-quarters", "as-bare"))},
	{"what a split breast is", "Georgia: with both kinds of ribs; Georgia Agricultural Education: that is a name of its own", each(list("parts-30", "split breast"))},
	{"how many names", "National 4-H manual: 24; Georgia Agricultural Education: 30; the parts that are graded: 10", each(list("parts-30", ""), list("parts-youth", ""), ownList)},
	{"bare spot on a tender", "National 4-H manual: 1/4 in; Arkansas: 1/2 in", each(choice("breaded", "bare-spot", "by-product", "half-inch"))},
	{"colour of the coating", "National 4-H manual: in the coating; Georgia Agricultural Education: apart", each(choice("breaded", "color", "in-coating", "apart"))},
	{"missing meat", "National 4-H manual: incomplete; Arkansas: broken, or miscut", each(choice("breaded", "missing-meat", "incomplete", "apart"))},
	{"shape and size", "National 4-H manual: one fault; Georgia Agricultural Education: two", each(choice("breaded", "shape-size", "one", "two"))},
	{"several faults or one", "FFA: several are normal; Georgia Agricultural Education: one at most",
		each(severalFaults, list("products-10", "One answer"))},

	// Placing.
	{"order of the factors of a hen", "National 4-H manual 2020: capacity, fat; Florida and older Kentucky: handling, capacity", each(ways)},
	{"largest cut", "Nebraska: 8; Missouri: 10", each(largestCut)},
	{"bottom of the feet", "most charts: a step; Georgia: left out", each(feetLeftOut)},
	{"reasons", "Maryland: 50; Penn State: 100", each(worth(judged.Class{Kind: judged.Awarded, Items: 1}, points.Of(50), points.Of(100)))},
	{"two orders on a card", "Missouri: the lowest score possible; elsewhere nothing",
		each(double(judged.Class{Kind: judged.Placing, Items: 4}, score.Double, points.Of(15)))},

	// Scoring.
	{"a class of ten", "Penn State: 100; older FFA: 50", each(
		worth(judged.Class{Kind: judged.Graded, Items: 10, Book: "egg-candled"}, points.Of(100), points.Of(50)),
		worth(judged.Class{Kind: judged.Identified, Items: 10, List: "parts-30"}, points.Of(100), points.Of(50)),
		worth(judged.Class{Kind: judged.Checked, Items: 10, Book: "breaded", Bird: "nugget"}, points.Of(100), points.Of(50)),
		worth(judged.Class{Kind: judged.Placing, Items: 4}, points.Of(50), points.Of(100)))},
	{"whether the alternate breaks a tie", "Tennessee: yes; with three members it cannot", each(alternate)},
	{"reasons beside the placing or apart", "Maryland: 50 and 50; Penn State: each 100", each(reasonsBeside)},
}

func each(offers ...func() error) []func() error { return offers }

// TestConflictsAreOffered keeps any of them from getting lost.
func TestConflictsAreOffered(t *testing.T) {
	for _, c := range conflicts {
		if len(c.offered) == 0 || c.sources == "" {
			t.Errorf("%s: not offered, or without sources", c.what)
		}
		for _, offer := range c.offered {
			if err := offer(); err != nil {
				t.Errorf("%s (%s): %v", c.what, c.sources, err)
			}
		}
	}
}

// Each choice of a book is one of the conflicts.
func TestChoicesAreConflicts(t *testing.T) {
	for _, b := range rulebook.Builtin() {
		for _, c := range b.Choices {
			if !slices.Contains(offeredChoices, b.ID+" "+c.ID) {
				t.Errorf("%s: of %q it is not said which sources differ", b.ID, c.ID)
			}
		}
	}
}

// offeredChoices are the choices that conflicts name: a book and an id.
var offeredChoices []string

// choice wants a choice of a book with these options, the usual one first, each
// with its source, and a reason for the usual one.
func choice(book, id string, options ...string) func() error {
	offeredChoices = append(offeredChoices, book+" "+id)
	return func() error {
		b, ok := rulebook.ByID(book)
		if !ok {
			return fmt.Errorf("there is no book %s", book)
		}
		at := slices.IndexFunc(b.Choices, func(c rulebook.Choice) bool { return c.ID == id })
		if at < 0 {
			return fmt.Errorf("%s has no choice %s", book, id)
		}
		c := b.Choices[at]
		var ids []string
		for _, o := range c.Options {
			ids = append(ids, o.ID)
			if o.Source == "" || o.Confidence == "" {
				return fmt.Errorf("%s, %s: the side %s has no source", book, id, o.ID)
			}
		}
		want := slices.Clone(options)
		slices.Sort(ids)
		slices.Sort(want)
		if !slices.Equal(ids, want) || c.Default != options[0] {
			return fmt.Errorf("%s, %s: %v with %s as the usual one, want %v", book, id, ids, c.Default, options)
		}
		if !strings.Contains(c.Why, "default") {
			return fmt.Errorf("%s, %s: it is not said why %s is the usual one", book, id, c.Default)
		}
		return nil
	}
}

// note wants one note of a book that says all of these.
func note(book string, says ...string) func() error {
	return func() error {
		b, ok := rulebook.ByID(book)
		if !ok {
			return fmt.Errorf("there is no book %s", book)
		}
		for _, n := range b.Notes {
			if !slices.ContainsFunc(says, func(s string) bool { return !strings.Contains(n.Text, s) }) && n.Source != "" {
				return nil
			}
		}
		return fmt.Errorf("no note of %s says %q", book, says)
	}
}

// list wants a built-in list, and what its note says.
func list(id, says string) func() error {
	return func() error {
		l, ok := judged.ListByID(id)
		if !ok || l.Source == "" || !strings.Contains(l.Note, says) {
			return fmt.Errorf("the list %s has the note %q", id, l.Note)
		}
		return nil
	}
}

// ownList is a class of twenty-four names of its own.
func ownList() error {
	c := judged.Class{Name: "Parts", Kind: judged.Identified, Items: 10}
	for i := range 24 {
		c.Names = append(c.Names, fmt.Sprintf("part %d", i+1))
	}
	_, err := c.Write()
	return err
}

// rightAnswers are answers of the classes below, by kind.
var rightAnswers = map[string]judged.KeyItem{
	judged.Graded: {Answer: "A"}, judged.Identified: {Answer: "neck"}, judged.Checked: {Answer: judged.None},
	judged.Placing: {Answer: "1-2-3-4", Cuts: [3]uint8{2, 5, 3}},
}

// tableOf compiles a class whose items all have the same answer.
func tableOf(c judged.Class) (score.Table, error) {
	n := c.KeyItems()
	return c.Table(judged.Key{Items: slices.Repeat([]judged.KeyItem{rightAnswers[c.Kind]}, n), Rulings: make([]judged.Ruling, n)})
}

// double wants nothing for a double mark by default, and this by the other rule;
// nothing for a blank either way.
func double(c judged.Class, mark byte, lower points.Points) func() error {
	return func() error {
		for rule, want := range map[string]points.Points{"": 0, judged.DoubleLower: lower} {
			c.Double = rule
			t, err := tableOf(c)
			if err != nil {
				return err
			}
			if got, blank := t.Slots[0][mark], t.Slots[0][score.Blank]; got != want || blank != 0 {
				return fmt.Errorf("by the rule %q two marks have %s, want %s; a blank has %s", rule, got, want, blank)
			}
		}
		return nil
	}
}

// worth wants a class that is worth so much by itself, or as much as is chosen.
func worth(c judged.Class, usual, other points.Points) func() error {
	return func() error {
		for chosen, want := range map[points.Points]points.Points{0: usual, other: other} {
			c.Worth = chosen
			if t, err := tableOf(c); err != nil || t.Max != want {
				return fmt.Errorf("a class of the worth %s has %s, want %s (%v)", chosen, t.Max, want, err)
			}
		}
		return nil
	}
}

func severalFaults() error {
	c := judged.Class{Name: "Products", Kind: judged.Checked, Items: 1, Book: "breaded", Bird: "nugget"}
	for _, answer := range []string{judged.None, "cluster", "coating+cluster"} {
		if _, err := (judged.KeyItem{Answer: answer}).Write(c); err != nil {
			return err
		}
	}
	return nil
}

func ways() error {
	var ids []string
	for _, w := range hens.Ways() {
		ids = append(ids, w.ID)
	}
	if !slices.Equal(ids, []string{"national", "older"}) {
		return fmt.Errorf("the ways are %v", ids)
	}
	return nil
}

// largestCut is 8 without a word, 10 with advice that names both sources' limits.
func largestCut() error {
	for cut, advised := range map[uint8]bool{8: false, 9: true, 10: true} {
		c := placing.Cuts{cut, 1, 2}
		advice := c.Advice()
		if err := c.Validate(); err != nil || (len(advice) > 0) != advised {
			return fmt.Errorf("a cut of %d: %v, %v", cut, err, advice)
		}
		if advised && !strings.Contains(advice[0].What, "at 8 or at 10") {
			return fmt.Errorf("a cut of %d: %v", cut, advice)
		}
	}
	return nil
}

// feetLeftOut has hens on which nobody noted the feet: they are placed by the
// other steps, and it is said that the feet were not compared.
func feetLeftOut() error {
	var class [hens.Count]hens.Hen
	chart := hens.Chart()
	for i := range class {
		for p := range class[i].Pigment {
			class[i].Pigment[p] = hens.Yellow
			if p <= i+3 {
				class[i].Pigment[p] = hens.Bleached
			}
			if chart[p].ID == "feet" {
				class[i].Pigment[p] = hens.NotLooked
			}
		}
	}
	p := hens.Propose(class, hens.WayByID(""))
	said := slices.ContainsFunc(p.Left, func(l hens.Left) bool { return l.Factor == hens.Pigment && l.Place == "feet" })
	told := slices.ContainsFunc(hens.Notes(), func(n hens.Note) bool { return strings.Contains(n.Text, "bottom of the feet") })
	if p.Order.String() != "4-2-3-1" || len(p.Groups) != 3 || !said || !told {
		return fmt.Errorf("order %v of %v, said %v, told %v", p.Order, p.Groups, said, told)
	}
	return nil
}

// alternate is a tie-break that is named or left out.
func alternate() error {
	for _, ties := range [][]judged.Tie{nil, {{Alternate: true}}} {
		if _, err := (judged.Settings{Name: "Day", Ties: ties}).Write(); err != nil {
			return err
		}
	}
	return nil
}

// reasonsBeside makes one hundred of a placing and its reasons, or two.
func reasonsBeside() error {
	for each, want := range map[points.Points]points.Points{points.Of(50): points.Of(100), points.Of(100): points.Of(200)} {
		sum := points.Points(0)
		for _, c := range []judged.Class{{Name: "Hens", Kind: judged.Placing, Items: 4}, {Name: "Reasons", Kind: judged.Awarded, Reasons: true}} {
			c.Worth = each
			t, err := tableOf(c)
			if err != nil {
				return err
			}
			sum += t.Max
		}
		if sum != want {
			return fmt.Errorf("placing and reasons of %s each have %s, want %s", each, sum, want)
		}
	}
	return nil
}
