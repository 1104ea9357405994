package app_test

import (
	"net/url"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/points"
	"keelcard/engine/record"
	"keelcard/web/app"
)

// begin sets up an empty contest on a new phone.
func begin(t *testing.T, name string) *app.Runner {
	t.Helper()
	r := newPhone(t, 1, "MB")
	r.Visit("#/new")
	r.Type("new.start", url.Values{"name": {name}, "date": {"2026-05-09"}, "place": {"Hall 2"}}.Encode())
	if r.State.Open == nil {
		t.Fatalf("no contest is open: %+v", r.State.Notice)
	}
	return r
}

// turn opens a page of the open contest.
func turn(r *app.Runner, name string, args ...string) {
	r.Visit(app.Page{Name: name, Contest: r.State.Open.Head.ID, Args: args}.Hash())
}

func settingsOf(r *app.Runner) contest.Settings { return r.State.Open.Contest.Settings }

func TestAContestBeginsInOneStep(t *testing.T) {
	r, err := app.NewRunner(1, &app.Memory{})
	if err != nil {
		t.Fatal(err)
	}
	r.Visit("#/new")
	r.Type("new.start", url.Values{"name": {"  "}, "place": {"Hall 2"}}.Encode())
	if s := r.State; s.Open != nil || s.Setup.New.Fault == nil || s.Setup.New.Place != "Hall 2" {
		t.Errorf("without a name: open %v, fault %v, place kept as %q", s.Open, s.Setup.New.Fault, s.Setup.New.Place)
	}
	r.Type("new.start", url.Values{"name": {"Tamarack County Poultry Day"}}.Encode())
	if r.State.Open != nil || len(r.State.Contests) != 0 || r.State.Notice.Tone != "bad" {
		t.Errorf("without initials a contest of %d was begun; notice %+v", len(r.State.Contests), r.State.Notice)
	}
	r.Type("new.start", url.Values{"name": {"Tamarack County  Poultry Day"}, "date": {"2026-05-09"}, "place": {"Hall 2"}, "initials": {"MB"}}.Encode())
	s := r.State
	if s.Open == nil || s.Page.Name != "contest" || s.Page.Contest != s.Open.Head.ID || s.Phone.Initials != "MB" {
		t.Fatalf("page %+v, initials %q, notice %+v", s.Page, s.Phone.Initials, s.Notice)
	}
	if want := (contest.Settings{Name: "Tamarack County Poultry Day", Date: "2026-05-09", Place: "Hall 2"}); settingsOf(r).Name != want.Name || settingsOf(r).Date != want.Date || settingsOf(r).Place != want.Place {
		t.Errorf("settings %+v, want %+v", settingsOf(r), want)
	}
	asked := func() (n int) {
		for _, e := range r.Shown {
			if _, ok := e.(app.Persist); ok {
				n++
			}
		}
		return n
	}
	if asked() != 1 {
		t.Errorf("the browser was asked %d times to keep the store", asked())
	}
	r.Send(app.Msg{Do: "persisted", Args: []string{"yes"}})
	r.Visit("#/new")
	r.Type("new.start", "name=Another")
	if asked() != 1 || len(r.State.Contests) != 2 || r.State.Contests[0].ID == r.State.Contests[1].ID {
		t.Errorf("second contest: asked %d times, contests %v", asked(), r.State.Contests)
	}

	again := restart(t, r)
	again.Visit("#/c/" + s.Contests[1].ID)
	if again.State.Open == nil || settingsOf(again).Name != "Tamarack County Poultry Day" {
		t.Errorf("after a restart the contest reads %+v", again.State.Open)
	}
}

func TestSettingsAreKeptAtOnceAndTakenBack(t *testing.T) {
	r := begin(t, "Poultry Day")
	turn(r, "settings")
	if s := settingsOf(r); s.Best() != 3 || s.Most() != 4 {
		t.Errorf("teams begin with the best %d of %d, want 3 of 4 (Penn State Extension, state poultry judging rules)", s.Best(), s.Most())
	}
	r.Type("settings.best", "5")
	if s := settingsOf(r); s.Best() != 5 || s.Most() != 5 {
		t.Errorf("the best 5 count of %d members", s.Most())
	}
	r.Type("settings.most", "3")
	if s := settingsOf(r); s.Best() != 3 || s.Most() != 3 {
		t.Errorf("teams of 3 count the best %d", s.Best())
	}
	r.Type("settings.name", "")
	if r.State.Notice.Tone != "bad" || settingsOf(r).Name != "Poultry Day" {
		t.Errorf("an empty name was taken: %q, notice %+v", settingsOf(r).Name, r.State.Notice)
	}
	r.Type("settings.name", "Poultry Day 2026")
	if r.State.Open.Head.Name != "Poultry Day 2026" || !r.State.Kept() {
		t.Errorf("name in the list of contests: %q, kept %v", r.State.Open.Head.Name, r.State.Kept())
	}
	r.Do("undo")
	if settingsOf(r).Name != "Poultry Day" {
		t.Errorf("taken back, the name is %q", settingsOf(r).Name)
	}
	r.Do("undo")
	if s := settingsOf(r); s.Most() != 5 {
		t.Errorf("taken back twice, teams have %d members", s.Most())
	}
}

func TestDivisionsAreOrderedAndRenamedWithTheirPeople(t *testing.T) {
	r := begin(t, "Poultry Day")
	turn(r, "settings")
	for _, d := range []string{"Senior", "Junior", "Clover"} {
		r.Type("settings.division-add", url.Values{"division": {d}}.Encode())
	}
	r.Type("settings.division-add", "division=Junior")
	if r.State.Notice.Tone != "bad" {
		t.Error("a division was taken twice")
	}
	r.Do("settings.division-up:1")
	r.Do("settings.division-remove:2")
	if got := strings.Join(settingsOf(r).Divisions, " "); got != "Junior Senior" {
		t.Errorf("divisions %q", got)
	}
	turn(r, "people", "paste")
	r.Type("people.paste", "1,Ana,,Junior\n2,Ben,,Senior\n3,Cy,,Junior")
	r.Do("people.take")
	turn(r, "settings")
	r.Type("settings.division-name:0", "Ages 9-13")
	divisions := func() string {
		var out []string
		for _, p := range r.State.Open.Contest.Persons {
			out = append(out, p.Division)
		}
		return strings.Join(append(out, settingsOf(r).Divisions...), "|")
	}
	if got, want := divisions(), "Ages 9-13|Senior|Ages 9-13|Ages 9-13|Senior"; got != want {
		t.Errorf("renamed: %s, want %s", got, want)
	}
	r.Do("people.take-back")
	if got, want := divisions(), "Junior|Senior|Junior|Junior|Senior"; got != want {
		t.Errorf("taken back: %s, want %s", got, want)
	}
}

func classOf(t *testing.T, r *app.Runner, no uint32) contest.Class {
	t.Helper()
	c, ok := r.State.Open.Contest.Class(no)
	if !ok {
		t.Fatalf("there is no class %d; notice %+v", no, r.State.Notice)
	}
	return c
}

func TestAGradedClass(t *testing.T) {
	r := begin(t, "Poultry Day")
	turn(r, "class", "new")
	r.Do("class.add:carcass-youth")
	if p := r.State.Page; p.Name != "class" || p.Number(0) != 1 {
		t.Fatalf("page %+v, notice %+v", p, r.State.Notice)
	}
	c := classOf(t, r, 1)
	if c.Kind != contest.Graded || c.Items != 10 || c.Book != "carcass-youth" || c.Hash == "" || c.Bird != "chicken" || c.Name == "" {
		t.Errorf("class as it begins: %+v", c)
	}
	book, err := c.RuleBook()
	if err != nil {
		t.Fatal(err)
	}
	for _, choice := range book.Choices {
		if c.Choices[choice.ID] != choice.Default {
			t.Errorf("choice %s begins as %q, want its default %q", choice.ID, c.Choices[choice.ID], choice.Default)
		}
	}
	// The two weight groups of the youth manual: over 2 up to 6 lb, over 6 up to 16 lb
	// (National 4-H Poultry Judging Manual, Feb 2021).
	var bands []string
	for _, b := range app.Bands(c, book) {
		from, _ := b.Over.MarshalText()
		to, _ := b.To.MarshalText()
		bands = append(bands, string(from)+" to "+string(to))
	}
	if want := []string{"2 lb to 6 lb", "6 lb to 16 lb"}; !slices.Equal(bands, want) {
		t.Errorf("weights offered: %q, want %q", bands, want)
	}
	if w, _ := c.Weight.MarshalText(); string(w) != "6 lb" {
		t.Errorf("weight begins as %s, want the upper end of a broiler's group, 6 lb", w)
	}
	// Florida's lowest weight is 2 1/2 lb.
	r.Do("class.choice:lowest-weight:two-and-a-half")
	if b := app.Bands(classOf(t, r, 1), book)[0]; b.Over.String() != "2 lb 8 oz (1134 g)" {
		t.Errorf("the lightest group begins over %s, want 2 1/2 lb", b.Over)
	}
	r.Do("class.weight:1")
	if w, _ := classOf(t, r, 1).Weight.MarshalText(); string(w) != "16 lb" {
		t.Errorf("the heavier group is kept as %s", w)
	}
	r.Do("class.bird:turkey")
	r.Type("class.name", "Young turkeys")
	r.Type("class.items", "8")
	if c := classOf(t, r, 1); c.Bird != "turkey" || c.Name != "Young turkeys" || c.Items != 8 {
		t.Errorf("changed: %+v", c)
	}
	r.Type("class.items", "0")
	if r.State.Notice.Tone != "bad" || classOf(t, r, 1).Items != 8 {
		t.Errorf("a class of no birds was taken: %+v", r.State.Notice)
	}
}

// The table of points per bird that Penn State Extension's rules give: same
// grade 10; A/B 7; A/C 4; A/NG 0; B/C 7; B/NG 3; C/NG 6.
func TestPointsBeginAsPublishedAndCanBeChanged(t *testing.T) {
	r := begin(t, "Poultry Day")
	r.Do("class.add:carcass-youth")
	for pair, want := range map[string]int{"A/A": 10, "A/B": 7, "A/C": 4, "A/NG": 0, "B/C": 7, "B/NG": 3, "C/NG": 6, "NG/C": 6, "NG/A": 0} {
		key, mark, _ := strings.Cut(pair, "/")
		if got, own := app.PointsOf(classOf(t, r, 1), key, mark); got != points.Of(want) || own {
			t.Errorf("%s begins as %s (own %v), want %d", pair, got, own, want)
		}
	}
	r.Type("class.points:A:B", "6.5")
	if got, own := app.PointsOf(classOf(t, r, 1), "A", "B"); got.String() != "6.5" || !own {
		t.Errorf("A marked B: %s, own %v", got, own)
	}
	r.Type("class.points:A:B", "11")
	if r.State.Notice.Tone != "bad" {
		t.Error("a wrong answer may earn more than the right one")
	}
	r.Type("class.points:A:B", "7")
	if n := len(classOf(t, r, 1).Pairs); n != 0 {
		t.Errorf("the published value is written down as %d of the class's own", n)
	}
	r.Type("class.points:C:NG", "5")
	r.Do("class.points-reset")
	if n := len(classOf(t, r, 1).Pairs); n != 0 {
		t.Errorf("after the reset %d values are left", n)
	}
	r.Do("class.worth:50")
	if got, _ := app.PointsOf(classOf(t, r, 1), "A", "B"); got.String() != "3.5" {
		t.Errorf("worth 50, A marked B earns %s, want 3.5", got)
	}
	r.Do("class.double:lower")
	if classOf(t, r, 1).Double != contest.DoubleLower {
		t.Error("the rule for two marks was not taken")
	}
}

// With three answers no grade is not on the scale (State 4-H contest, class
// details, Florida); points of the contest's own for it go with it.
func TestThreeAnswersLeaveNoGradeOut(t *testing.T) {
	r := begin(t, "Poultry Day")
	r.Do("class.add:carcass-youth")
	r.Type("class.points:C:NG", "5")
	r.Type("class.points:A:B", "6")
	r.Do("class.choice:answers:three")
	c := classOf(t, r, 1)
	if got := strings.Join(c.Answers(), " "); got != "A B C" {
		t.Fatalf("answers %q; notice %+v", got, r.State.Notice)
	}
	if len(c.Pairs) != 1 || c.Pairs[0].Mark != "B" {
		t.Errorf("points of its own: %v, want only those of A marked B", c.Pairs)
	}
	if got, _ := app.PointsOf(c, "A", "C"); got != points.Of(4) {
		t.Errorf("A marked C earns %s, want 4", got)
	}
}

func TestPlacingClassesTakeTheLowestFreeNumber(t *testing.T) {
	r := begin(t, "Poultry Day")
	for range 3 {
		r.Do("class.add:placing")
	}
	if c := classOf(t, r, 2); c.Items != 4 || c.PlacingWorth() != points.Of(50) {
		t.Errorf("a placing class begins with %d items worth %s, want 4 worth 50 (NebGuide G2092)", c.Items, c.PlacingWorth())
	}
	turn(r, "class", "2")
	r.Type("class.worth", "100")
	r.Type("class.reasons", "on")
	if c := classOf(t, r, 2); c.PlacingWorth() != points.Of(100) || !c.Reasons {
		t.Errorf("changed: %+v", c)
	}
	r.Do("class.remove-sure")
	if _, ok := r.State.Open.Contest.Class(2); !ok {
		t.Fatal("one tap took the class out")
	}
	r.Do("class.remove")
	r.Do("class.remove-sure")
	if _, ok := r.State.Open.Contest.Class(2); ok || r.State.Page.Name != "contest" {
		t.Errorf("the class is still there, page %+v", r.State.Page)
	}
	r.Do("undo")
	if c := classOf(t, r, 2); !c.Reasons {
		t.Errorf("taken back: %+v", c)
	}
	turn(r, "class", "2")
	r.Do("class.remove")
	r.Do("class.remove-sure")
	r.Do("class.add:placing")
	if r.State.Page.Number(0) != 2 {
		t.Errorf("the next class has number %d, want 2", r.State.Page.Number(0))
	}
}

func TestTieBreaksAreSettledAtTheStart(t *testing.T) {
	r := begin(t, "Poultry Day")
	r.Do("class.add:carcass-youth")
	r.Do("class.add:placing")
	r.Type("class.reasons", "on")
	r.Do("class.add:placing")
	turn(r, "settings")
	// University of Tennessee Extension, 4-H poultry judging: reasons, then
	// named classes, then for teams the alternate.
	r.Do("settings.tie-add:alternate")
	r.Do("settings.tie-add:placing")
	r.Do("settings.tie-add:reasons")
	r.Do("settings.tie-up:2")
	r.Do("settings.tie-up:1")
	r.Do("settings.tie-down:1")
	r.Do("settings.tie-up:2")
	r.Do("settings.tie-pick:1")
	r.Do("settings.tie-pick:3")
	r.Do("settings.tie-pick:1")
	r.Do("settings.tie-pick:1")
	r.Do("settings.tie-add:picked")
	got := func() string {
		var out []string
		for _, tie := range settingsOf(r).Ties {
			text := ""
			for _, no := range tie.Classes {
				text += string(rune('0' + no))
			}
			if tie.Alternate {
				text += "alternate"
			}
			out = append(out, text)
		}
		return strings.Join(out, " ")
	}
	if want := "2 alternate 23 13"; got() != want {
		t.Fatalf("tie-breaks %q, want %q", got(), want)
	}
	r.Do("settings.tie-remove:3")
	r.Do("settings.start")
	if !settingsOf(r).Started {
		t.Fatal("not started")
	}
	locked := got()
	for _, do := range []string{"settings.tie-add:1", "settings.tie-up:1", "settings.tie-down:0", "settings.tie-remove:0", "settings.unstart"} {
		if r.Do(do); got() != locked || !settingsOf(r).Started {
			t.Fatalf("%s after the start changed %q to %q", do, locked, got())
		}
	}
	r.Do("settings.tie-unlock")
	r.Do("settings.tie-remove:0")
	if got() != "alternate 23" {
		t.Errorf("after the extra step: %q", got())
	}
	own := r.State.Open.Own(r.State.Phone.ID)
	last := own.Records[len(own.Records)-1]
	if last.Subject.Kind != record.KindContest || last.Who != "owner/MB" {
		t.Errorf("the change is not on record: %+v", last)
	}
	turn(r, "settings")
	if r.State.TiesOpen() {
		t.Error("coming back, the tie-breaks are still open")
	}
}
