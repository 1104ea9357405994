package app_test

import (
	"fmt"
	"net/url"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/egg"
	"keelcard/engine/points"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
)

// begun is a phone with a contest that one tap set up from a starter.
func begun(t *testing.T, starter string) *app.Runner {
	t.Helper()
	r := newPhone(t, 1, "MB")
	r.Visit("#/new")
	r.Type("new.name", "Tamarack County Poultry Day")
	r.Type("new.place", "Hall 2")
	r.Do("new.start:" + starter)
	if r.State.Open == nil {
		t.Fatalf("%s: no contest is open: %+v", starter, r.State.Notice)
	}
	return r
}

// classNames lists the classes in order, with their divisions.
func classesOf(r *app.Runner) string {
	var out []string
	for _, c := range r.State.Open.Contest.Classes {
		out = append(out, c.Division+"/"+c.Name)
	}
	return strings.Join(out, ", ")
}

// Each contest to begin from is there in one tap, without a problem, with the
// edition of every book and the usual side of every choice; it can be changed,
// survives a restart, and is taken back in one tap or one entry at a time.
func TestEveryStarterIsSetUpChangedAndTakenBack(t *testing.T) {
	for _, st := range contest.Starters() {
		r := begun(t, st.ID)
		c := r.State.Open.Contest
		if r.State.Page.Name != "contest" || len(c.Problems) > 0 || len(c.Classes) != len(st.Classes) || !r.State.Kept() {
			t.Fatalf("%s: page %s, %d classes, problems %v", st.ID, r.State.Page.Name, len(c.Classes), c.Problems)
		}
		for i, class := range c.Classes {
			book, err := class.RuleBook()
			if class.Book != "" && (err != nil || class.Hash != book.Hash() || len(class.Choices) != len(book.Choices)) {
				t.Errorf("%s, %s: book %q with hash %q and %d choices", st.ID, class.Name, class.Book, class.Hash, len(class.Choices))
			}
			if class.Name != st.Classes[i].Name || class.Division != st.Classes[i].Division || class.Worth != points.Of(100) {
				t.Errorf("%s: class %d is %+v", st.ID, i+1, class)
			}
		}
		if set := settingsOf(r); set.Name != "Tamarack County Poultry Day" || set.Place != "Hall 2" || len(set.Ties) != len(st.Settings.Ties) || !slices.Equal(set.Divisions, st.Settings.Divisions) {
			t.Errorf("%s: settings %+v", st.ID, set)
		}
		before := classesOf(r)
		turn(r, "class", "1")
		r.Type("class.name", "Something else")
		if again := restart(t, r); true {
			again.Visit("#/c/" + r.State.Open.Head.ID)
			if got := classesOf(again); got != classesOf(r) || !strings.Contains(got, "Something else") {
				t.Errorf("%s: after a restart the classes are %s", st.ID, got)
			}
		}
		r.Do("undo")
		if classesOf(r) != before {
			t.Errorf("%s: the name taken back, the classes are %s", st.ID, classesOf(r))
		}
		r.Do("people.take-back")
		if set := settingsOf(r); len(r.State.Open.Contest.Classes) > 0 || len(set.Ties) > 0 || set.Name != "Tamarack County Poultry Day" {
			t.Errorf("%s: taken back, there are %s, settings %+v", st.ID, classesOf(r), set)
		}
		turn(r, "class", "new")
		r.Do("class.starter:" + st.ID)
		if classesOf(r) != before {
			t.Errorf("%s: set up again, the classes are %s", st.ID, classesOf(r))
		}
		r.Do("class.starter:" + contest.StartFull)
		if classesOf(r) != before {
			t.Errorf("%s: a second one was put on top: %s", st.ID, classesOf(r))
		}
		again := restart(t, r)
		again.Visit("#/c/" + r.State.Open.Head.ID)
		for range len(st.Classes) + 1 {
			again.Do("undo")
		}
		if len(again.State.Open.Contest.Classes) > 0 || len(settingsOf(again).Ties) > 0 {
			t.Errorf("%s: taken back entry by entry after a restart: %s", st.ID, classesOf(again))
		}
	}
}

func TestAStarterNamesAContestWithoutAName(t *testing.T) {
	r := newPhone(t, 1, "MB")
	r.Visit("#/new")
	r.Do("new.start:practice")
	if r.State.Open == nil || settingsOf(r).Name == "" {
		t.Fatalf("open %v, notice %+v", r.State.Open, r.State.Notice)
	}
	nobody, err := app.NewRunner(2, &app.Memory{})
	if err != nil {
		t.Fatal(err)
	}
	nobody.Visit("#/new")
	if nobody.Do("new.start:county"); nobody.State.Open != nil || len(nobody.State.Contests) > 0 || nobody.State.Notice.Tone != "bad" {
		t.Errorf("without initials %d contests were begun; notice %+v", len(nobody.State.Contests), nobody.State.Notice)
	}
}

// Every class that is offered is there in one tap, and can be keyed from then
// on: it has answers or points to give, and its kind finds nothing wrong.
func TestEveryClassOfferedIsSetUpFromNothing(t *testing.T) {
	r := begin(t, "Poultry Day")
	var ids []string
	for _, u := range app.UsualClasses() {
		ids = append(ids, u.ID)
	}
	for _, b := range r.State.OtherBooks() {
		ids = append(ids, b.ID)
	}
	if len(ids) < 16 {
		t.Fatalf("only %q are offered", ids)
	}
	for i, id := range ids {
		turn(r, "class", "new")
		r.Do("class.add:" + id)
		c := classOf(t, r, uint32(i+1))
		if r.State.Page.Number(0) != c.No {
			t.Errorf("%s: page %+v", id, r.State.Page)
		}
		if kind, ok := contest.KindByID(c.Kind); !ok || kind.Check(c) != nil || c.Slots() == 0 || len(c.Answers()) < 2 || c.Name == "" {
			t.Errorf("%s: %+v, slots %d, answers %q", id, c, c.Slots(), c.Answers())
		}
	}
	again := restart(t, r)
	again.Visit("#/c/" + r.State.Open.Head.ID)
	if classesOf(again) != classesOf(r) {
		t.Errorf("after a restart: %s\nwant: %s", classesOf(again), classesOf(r))
	}
}

func TestANewClassJoinsTheDivisionOfItsLikes(t *testing.T) {
	r := begun(t, contest.StartFull)
	r.Do("class.add:carton")
	r.Do("class.add:exam")
	if a, b := classOf(t, r, 13), classOf(t, r, 14); a.Division != "Eggs" || b.Division != "" {
		t.Errorf("cartons are in %q, the exam in %q", a.Division, b.Division)
	}
	turn(r, "class", "14")
	r.Type("class.division", app.NewDivision)
	if !r.State.Setup.NewDivision || classOf(t, r, 14).Division != "" {
		t.Errorf("another division: asked %v, class %+v", r.State.Setup.NewDivision, classOf(t, r, 14))
	}
	r.Type("class.division", "Written  work")
	if got := strings.Join(r.State.ClassDivisions(), ", "); got != "Live birds, Market poultry, Eggs, Written work" {
		t.Errorf("divisions %s", got)
	}
	turn(r, "settings")
	r.Type("settings.group-name:2", "Table eggs")
	if got := classesOf(r); strings.Count(got, "Table eggs/") != 5 || strings.Contains(got, "Eggs/Eggs") {
		t.Errorf("renamed: %s", got)
	}
	r.Do("people.take-back")
	if got := strings.Join(r.State.ClassDivisions(), ", "); got != "Live birds, Market poultry, Eggs, Written work" {
		t.Errorf("taken back: %s", got)
	}
}

// Parts identification, 10 of 10 for each right name (Penn State Extension,
// state poultry judging); the list of thirty and that of ten.
func TestAClassOfNames(t *testing.T) {
	r := begin(t, "Poultry Day")
	r.Do("class.add:parts-30")
	if c := classOf(t, r, 1); c.List != "parts-30" || len(c.Answers()) != 30 || c.Items != 10 {
		t.Fatalf("class %+v", c)
	}
	r.Do("class.list:parts-youth")
	if n := len(classOf(t, r, 1).Answers()); n != 10 {
		t.Errorf("the list of ten has %d names", n)
	}
	r.Do("class.own:identified")
	if r.State.Setup.Own.Text != strings.Join(classOf(t, r, 1).Answers(), "\n") {
		t.Errorf("the list of its own begins as %q", r.State.Setup.Own.Text)
	}
	for text, want := range map[string]string{
		"Breda\r\n\r\n Sultan  bantam \nHoudan": "Breda|Sultan bantam|Houdan",
		"Breda, Sultan, Houdan":                 "Breda|Sultan|Houdan",
		"Breda\tSultan;Houdan":                  "Breda|Sultan|Houdan",
		"Rock, barred\nRock, white":             "Rock, barred|Rock, white",
	} {
		r.Type("class.names", text)
		if c := classOf(t, r, 1); strings.Join(c.Answers(), "|") != want || c.List != "" || r.State.Setup.Own.Fault != "" {
			t.Errorf("%q is read as %q, fault %q", text, c.Answers(), r.State.Setup.Own.Fault)
		}
	}
	before := classOf(t, r, 1).Names
	for _, text := range []string{"", "only one", "Breda\nBREDA", strings.Repeat("a\n", 61)} {
		r.Type("class.names", text)
		if own := r.State.Setup.Own; own.Fault == "" || own.Text != text || !slices.Equal(classOf(t, r, 1).Names, before) {
			t.Errorf("%q: fault %q, kept as %q", text, own.Fault, own.Text)
		}
	}
	r.Do("class.list:letters-5")
	r.Type("class.items", "50")
	r.Do("class.worth:100")
	if c := classOf(t, r, 1); c.Items != 50 || c.Worth != points.Of(100) || len(c.Answers()) != 5 {
		t.Errorf("as an exam: %+v", c)
	}
	r.Type("class.items", "30")
	if c, n := classOf(t, r, 1), r.State.Notice; c.Items != 30 || c.Worth != points.Of(90) || !strings.Contains(n.Text, "90") {
		t.Errorf("30 questions of 100 points: class %+v, notice %+v", c, n)
	}
	r.Type("class.worth", "100")
	if n := r.State.Notice; n.Tone != "bad" || !strings.Contains(n.Fix, "90") || classOf(t, r, 1).Worth != points.Of(90) {
		t.Errorf("100 points typed for 30 questions: notice %+v", n)
	}
}

// A class with bone-in pieces needs the faults of wings, which the youth manual
// for boneless products does not have (University of Arkansas, practice page;
// Georgia Agricultural Education Curriculum Office, 2006). No other kind of any
// book lacks something as books usually are chosen.
func TestKindsThatNeedAChoice(t *testing.T) {
	for _, b := range rulebook.Builtin() {
		for _, kind := range b.Kinds {
			names, choice := app.Unasked(contest.Class{Book: b.ID, Bird: kind.ID}, b)
			if want := kind.ID == "bone-in"; want != (len(names) > 0) || want != (choice != "") {
				t.Errorf("%s of %s: %q by %q", kind.ID, b.ID, names, choice)
			}
		}
	}
	r := begin(t, "Poultry Day")
	r.Do("class.add:breaded")
	r.Do("class.bird:bone-in")
	c := classOf(t, r, 1)
	b, _ := c.RuleBook()
	if names, choice := app.Unasked(c, b); !slices.Equal(names, []string{"miscut wing", "broken wing"}) || choice != "Missing meat" {
		t.Errorf("not asked for: %q by %q", names, choice)
	}
	r.Do("class.choice:missing-meat:apart")
	if names, choice := app.Unasked(classOf(t, r, 1), b); names != nil || choice != "" {
		t.Errorf("still not asked for: %q by %q", names, choice)
	}
}

// Further-processed products: 10 for each, 2 for each of five factors (Penn
// State Extension, state poultry judging).
func TestAClassOfFaults(t *testing.T) {
	r := begin(t, "Poultry Day")
	r.Do("class.add:breaded")
	c := classOf(t, r, 1)
	book, err := c.RuleBook()
	if err != nil || c.Kind != contest.Checked || c.Bird == "" || len(c.Choices) != len(book.Choices) {
		t.Fatalf("class %+v: %v", c, err)
	}
	faults, err := c.Faults()
	if err != nil || c.Slots() != 10*len(faults) {
		t.Errorf("%d slots with %d faults: %v", c.Slots(), len(faults), err)
	}
	r.Do("class.whole:whole")
	if !classOf(t, r, 1).Whole {
		t.Error("the whole item is not asked for")
	}
	r.Do("class.whole:")
	if classOf(t, r, 1).Whole {
		t.Error("the whole item is still asked for")
	}
	r.Do("class.book:carton")
	if c := classOf(t, r, 1); c.Book != "carton" || c.Kind != contest.Checked || c.Bird != "" || len(c.Choices) != 0 {
		t.Errorf("another book of faults: %+v, notice %+v", c, r.State.Notice)
	}
	turn(r, "class", "new")
	r.Do("class.own:checked")
	r.Type("class.names", url.Values{"names": {"cracked\r\ndirty\r\nodd size\r\nodd shape\r\nthin"}}.Encode())
	own := classOf(t, r, 2)
	if own.Kind != contest.Checked || own.Book != "" || own.Slots() != 50 || r.State.Page.Number(0) != 2 {
		t.Fatalf("own faults: %+v, page %+v, fault %q", own, r.State.Page, r.State.Setup.Own.Fault)
	}
	for n := 1; n <= 10; n++ {
		r.Type("class.names", strings.Join([]string{"cracked", "dirty", "odd size", "odd shape", "thin", "rough", "stained", "small", "long", "round"}[:n], "\n"))
		if c := classOf(t, r, 2); c.Slots() != 10*n || r.State.Setup.Own.Fault != "" || r.State.Notice.Tone == "bad" {
			t.Errorf("%d faults: %+v, fault %q", n, c, r.State.Setup.Own.Fault)
		}
	}
	r.Type("class.names", "cracked\ndirty\nodd size\nodd shape\nthin")
	r.Type("class.names", "cracked\nnone")
	if r.State.Setup.Own.Fault == "" || len(classOf(t, r, 2).Names) != 5 {
		t.Error("a fault called none was taken")
	}
	r.Do("class.book:carton")
	if c := classOf(t, r, 2); c.Book != "carton" || len(c.Names) != 0 || c.Name == "" {
		t.Errorf("by a book after all: %+v", c)
	}
}

// Oral reasons of 50 beside a placing of 50 (Maryland Cooperative Extension).
func TestAClassOfPointsGiven(t *testing.T) {
	r := begin(t, "Poultry Day")
	r.Do("class.add:reasons")
	if c := classOf(t, r, 1); !c.Reasons || c.GivenFor()[0].Most != points.Of(50) || c.OfficialCount() != 1 {
		t.Fatalf("class %+v", c)
	}
	r.Type("class.officials", "3")
	r.Do("class.round:half")
	r.Type("class.step", "0.5")
	if c := classOf(t, r, 1); c.Slots() != 3 || c.Round != contest.RoundHalf || c.StepPoints() != points.One/2 {
		t.Errorf("three officials: %+v", c)
	}
	r.Type("class.criterion-add", "criterion=Content&most=30")
	r.Type("class.criterion-add", "criterion=Manner&most=20")
	r.Type("class.criterion-most:1", "10")
	r.Type("class.criterion-name:0", "What was said")
	if c := classOf(t, r, 1); c.Slots() != 6 || fmt.Sprint(c.Criteria) != fmt.Sprint([]contest.Criterion{{Name: "What was said", Most: points.Of(30)}, {Name: "Manner", Most: points.Of(10)}}) {
		t.Errorf("criteria: %+v", c.Criteria)
	}
	for _, bad := range []string{"criterion=Voice&most=", "criterion=&most=5", "criterion=Voice&most=0", "criterion=Voice&most=0.3"} {
		if r.Type("class.criterion-add", bad); r.State.Notice.Tone != "bad" || len(classOf(t, r, 1).Criteria) != 2 {
			t.Errorf("%s was taken: %+v", bad, classOf(t, r, 1).Criteria)
		}
	}
	r.Do("class.criterion-remove:1")
	r.Do("class.criterion-remove:0")
	if c := classOf(t, r, 1); c.Slots() != 3 || c.GivenFor()[0].Most != points.Of(50) {
		t.Errorf("without criteria: %+v", c)
	}
	r.Do("class.add:exam-count")
	r.Type("class.step", "4")
	if c := classOf(t, r, 2); c.Worth != points.Of(100) || len(c.Answers()) != 26 {
		t.Errorf("25 questions of 4 points: %+v with %d answers", c, len(c.Answers()))
	}
}

// The verdict on a stain depends on the size of the shell, that on an opened
// egg on its weight; a weight class is its average: Large 24 oz a dozen, so 2 oz
// an egg (Pennsylvania, weight classes of shell eggs).
func TestTheWeightClassOfEggs(t *testing.T) {
	r := begin(t, "Poultry Day")
	r.Do("class.add:egg-shell")
	r.Do("class.eggs:large")
	if c := classOf(t, r, 1); c.Weight != egg.LargeEgg {
		t.Errorf("a Large egg weighs %s", c.Weight)
	}
	book, _ := classOf(t, r, 1).RuleBook()
	r.Do(app.Action("class.choice", book.Choices[0].ID, book.Choices[0].Options[1].ID))
	if c := classOf(t, r, 1); c.Weight != egg.LargeEgg {
		t.Errorf("a choice took the weight class away: %s", c.Weight)
	}
	r.Do("class.eggs:")
	if c := classOf(t, r, 1); c.Weight != 0 {
		t.Errorf("not said, the weight is %s", c.Weight)
	}
	if r.Do("class.add:egg-candled"); app.EggWeights(mustBook(t, classOf(t, r, 2))) != "" {
		t.Error("candling is said to depend on the weight")
	}
}

func mustBook(t *testing.T, c contest.Class) *rulebook.Book {
	t.Helper()
	b, err := c.RuleBook()
	if err != nil {
		t.Fatal(err)
	}
	return b
}
