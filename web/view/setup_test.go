package view

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/amount"
	"keelcard/engine/contest"
	"keelcard/engine/grading"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/words"
)

// sample finds a state of the gallery.
func sample(t *testing.T, samples []Sample, name string) *app.State {
	t.Helper()
	for _, s := range samples {
		if s.Name == name {
			return s.State
		}
	}
	t.Fatalf("no sample %q", name)
	return nil
}

// does lists the actions on a page that begin with prefix, in order.
func does(s *app.State, prefix string) []string {
	var out []string
	Page(s).Walk(func(n m.Node) {
		if do := n.Get("data-do"); strings.HasPrefix(do, prefix) {
			out = append(out, do)
		}
	})
	return out
}

// textOf is all text of a page.
func textOf(s *app.State) string {
	var b strings.Builder
	Page(s).Walk(func(n m.Node) {
		if n.Tag == "" {
			b.WriteString(n.Text)
			b.WriteByte(' ')
		}
	})
	return b.String()
}

// What a kind of product needs, and on what sources of a list differ, is said
// where the class is set up.
func TestWhatTheKindNeedsIsSaid(t *testing.T) {
	all := gallerySetup()
	for name, want := range map[string]string{
		"class/bone-in pieces":       "does not ask for: miscut wing, broken wing. See under “Missing meat”.",
		"class/parts to grade":       words.T("class.kind-each"),
		"class/thirty parts":         "both kinds of ribs",
		"class/answers for products": "One answer for each product",
	} {
		if text := textOf(sample(t, all, name)); !strings.Contains(strings.Join(strings.Fields(text), " "), want) {
			t.Errorf("%s does not say %q", name, want)
		}
	}
	for _, name := range []string{"class/breaded", "class/carcasses", "class/parts to grade"} {
		if strings.Contains(textOf(sample(t, all, name)), "does not ask for") {
			t.Errorf("%s lacks something", name)
		}
	}
}

// A slip of a class of different parts says which part it was.
func TestAPartIsNamedBeforeWhatWasSeen(t *testing.T) {
	class := contest.Class{Kind: contest.Graded, Items: 10, Book: "parts-youth", Bird: "thigh", Weight: 4 * amount.Pound}
	tear := 3 * amount.Inch / 8
	seen := contest.Seen{Kind: "whole-wing", Findings: []grading.Finding{{Defect: "tear", Site: "part", Length: &tear}}}
	got := seenText(class, seen, "B")
	if !strings.HasPrefix(got, "whole wing: ") || !strings.Contains(got, "3/8 in") {
		t.Errorf("%q", got)
	}
	if got := seenText(class, contest.Seen{Kind: "flat"}, "A"); got != "flat of a wing: nothing that lowers the grade" {
		t.Errorf("%q", got)
	}
	if got := seenText(class, contest.Seen{}, "A"); got != "nothing that lowers the grade" {
		t.Errorf("%q", got)
	}
}

func TestTieBreaksAreShownShutAfterTheStart(t *testing.T) {
	all := gallerySetup()
	shut := sample(t, all, "settings/started")
	if got := does(shut, "settings.tie-"); !slices.Equal(got, []string{"settings.tie-unlock"}) {
		t.Errorf("after the start the page offers %v", got)
	}
	open := does(sample(t, all, "settings/started and unlocked"), "settings.tie-")
	for _, want := range []string{"settings.tie-up:1", "settings.tie-down:0", "settings.tie-remove:2", "settings.tie-pick:1"} {
		if !slices.Contains(open, want) {
			t.Errorf("unlocked, the page does not offer %s", want)
		}
	}
	if slices.Contains(open, "settings.tie-add:alternate") {
		t.Error("a tie-break that is on the list is offered again")
	}
}

func TestAClassShowsBothSidesOfEveryChoiceAndItsSource(t *testing.T) {
	s := sample(t, gallerySetup(), "class/carcasses of its own")
	class, _ := s.Open.Contest.Class(1)
	book, err := class.RuleBook()
	if err != nil {
		t.Fatal(err)
	}
	text := textOf(s)
	for _, c := range book.Choices {
		if !strings.Contains(text, c.Why) {
			t.Errorf("choice %s does not say why", c.ID)
		}
		for _, o := range c.Options {
			if !slices.Contains(does(s, "class.choice:"), app.Action("class.choice", c.ID, o.ID)) || !strings.Contains(text, o.Title) || !strings.Contains(text, sourceText(book, o)) {
				t.Errorf("choice %s: option %s is not shown with its source", c.ID, o.ID)
			}
		}
	}
	if n := len(does(s, "class.points:")); n != 16 {
		t.Errorf("%d values of points can be changed, want 16 for four grades", n)
	}
	own := 0
	Page(s).Walk(func(n m.Node) {
		if n.Tag == "input" && n.Get("class") == "own" {
			own++
			if !strings.Contains(n.Get("aria-label"), "7") {
				t.Errorf("the contest's own value does not name the published one: %q", n.Get("aria-label"))
			}
		}
	})
	if own != 1 {
		t.Errorf("%d values are marked as the contest's own, want 1", own)
	}
}

func TestALongListIsShownInPart(t *testing.T) {
	var b strings.Builder
	for i := 1; i <= 400; i++ {
		fmt.Fprintf(&b, "%d\tContestant %d\n", i, i)
	}
	r := sampleContest("people.paste", b.String(), "people.take", "")
	s := sampleAt(r, "people", nil)
	rows := func() int { return len(does(s, "open:"+here(s, "person")+"/")) }
	if n := rows(); n != maxShown {
		t.Errorf("%d of 400 contestants are shown, want %d", n, maxShown)
	}
	r.Type("people.find", "399")
	if n := rows(); n != 1 {
		t.Errorf("looking for 399 shows %d", n)
	}
}

func TestAPasteSaysWhatItWouldDo(t *testing.T) {
	s := sample(t, galleryPeople(), "people/paste looked over")
	text := textOf(s)
	for _, want := range []string{"Line 4", "x05", "Ben Cole becomes Benjamin Cole", "Oak Hollow becomes Creekside", "New teams: Fern Valley", "New age groups: Clover", "Write 3 contestants"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if got := does(sample(t, galleryPeople(), "people/paste unreadable"), "people.take"); len(got) > 0 {
		t.Errorf("a text that cannot be read can be written: %v", got)
	}
}

func TestANewContestSaysWhatEachHolds(t *testing.T) {
	s := sample(t, gallerySetup(), "new/empty")
	text := textOf(s)
	for _, st := range contest.Starters() {
		if !slices.Contains(does(s, "new.start"), app.Action("new.start", st.ID)) {
			t.Errorf("%s cannot be begun", st.ID)
		}
		for _, c := range st.Classes {
			if !strings.Contains(text, c.Name) || !strings.Contains(text, c.Division) {
				t.Errorf("%s does not say that it holds %q, %q", st.ID, c.Name, c.Division)
			}
		}
	}
	if offered := does(sample(t, gallerySetup(), "class/new beside others"), "class.starter"); len(offered) > 0 {
		t.Errorf("beside other classes a whole contest is offered: %v", offered)
	}
}

// Each kind of class asks what it needs and nothing of the others.
func TestEachKindOfClassAsksForItsOwn(t *testing.T) {
	all := gallerySetup()
	for name, asks := range map[string]string{
		"class/carcasses":           "class.items class.book class.bird class.weight class.choice class.points class.worth class.double",
		"class/hens":                "class.worth class.double class.reasons",
		"class/thirty parts":        "class.items class.list class.own class.worth",
		"class/exam":                "class.items class.list class.own class.worth",
		"class/breaded":             "class.items class.book class.own class.bird class.choice class.worth class.whole",
		"class/faults of its own":   "class.items class.book class.own class.names class.worth class.whole",
		"class/stained eggs":        "class.items class.eggs class.choice class.points class.worth class.double",
		"class/reasons":             "class.officials class.round class.step class.criterion-add class.worth class.reasons",
		"class/criteria":            "class.officials class.round class.step class.criterion-add class.criterion-name class.criterion-most class.criterion-remove class.reasons",
		"class/exam marked by hand": "class.officials class.step class.criterion-add class.worth class.reasons",
	} {
		got := map[string]bool{}
		for _, do := range does(sample(t, all, name), "class.") {
			got[strings.SplitN(do, ":", 2)[0]] = true
		}
		for _, want := range append(strings.Fields(asks), "class.name", "class.division", "class.remove") {
			if !got[want] {
				t.Errorf("%s does not offer %s", name, want)
			}
			delete(got, want)
		}
		if len(got) > 0 {
			t.Errorf("%s offers more: %v", name, got)
		}
	}
}

func TestTheOverviewGroupsClassesAndWarns(t *testing.T) {
	s := sample(t, gallerySetup(), "overview/full contest begun")
	var heads []string
	Page(s).Walk(func(n m.Node) {
		if n.Tag == "h3" && n.Get("class") == "group" {
			heads = append(heads, n.Kids[0].Text)
		}
	})
	if want := []string{"Live birds", "Market poultry", "Eggs"}; !slices.Equal(heads, want) {
		t.Errorf("divisions %q, want %q", heads, want)
	}
	text := textOf(s)
	for _, what := range []string{"carcass", "hen", "egg"} {
		if caution := words.T("common.caution-" + what); strings.Count(text, caution) != 1 {
			t.Errorf("%q is said %d times", caution, strings.Count(text, caution))
		}
	}
	if text := textOf(sample(t, gallerySetup(), "overview/practice begun")); strings.Contains(text, words.T("common.caution-hen")) || strings.Contains(text, words.T("common.caution-egg")) {
		t.Error("carcasses alone bring a caution about hens or eggs")
	}
	if keys := does(s, "open:"+here(s, "key")+"/3"); len(keys) > 0 {
		t.Errorf("a key is asked for where officials give points: %v", keys)
	}
}
