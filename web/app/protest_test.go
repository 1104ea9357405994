package app_test

import (
	"slices"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/record"
	"keelcard/web/app"
)

// lined tells the log, each line as what it is, late or not, whom it is about and
// what changed.
func lined(r *app.Runner, class, number uint32) []string {
	var out []string
	for _, l := range r.State.ProtestLog(class, number) {
		late := ""
		if l.Late {
			late = " late"
		}
		out = append(out, l.What+late+" | "+r.State.SubjectName(l.Subject)+" | "+strings.Join(r.State.Changes(l), "; ")+" | "+l.Who)
	}
	return out
}

// The log of a day on two phones, in which something of every sort happens, and
// much that does not belong there.
func TestTheLogHoldsWhatAProtestIsAbout(t *testing.T) {
	a := keyingPhone(t, 1, "MB")
	set := func(sub record.Subject, value string) { // as an earlier owner would, at another moment
		t.Helper()
		if err := a.Disk.Give(poultryDay, "", byte(100+sub.Kind)+byte(sub.A), app.Fact{Who: "official/AB", Subject: sub, Value: value, When: 1_789_990_500}); err != nil {
			t.Fatal(err)
		}
	}
	hens := everyKindOf(restartAt(t, a, "contest"), 2)
	set(contest.KeySubject(2, 0), must(contest.KeyItem{Answer: "2-1-3-4", Cuts: [3]uint8{2, 5, 3}}.Write(hens)))
	a = restartAt(t, a, "class", "2")
	a.Type("class.name", "Hens") // setting up
	a.Visit(page("keying", "2"))
	tap(a, "213"+"124"+"312") // first keyings
	a.Visit(page("keying", "2", "41", app.WayChange))
	tap(a, "214")
	a.Visit(page("key", "2"))
	a.Do("key.lock")
	if !a.State.Open.Contest.Key(everyKindOf(a, 2)).Locked {
		t.Fatalf("the key is not locked: %+v", a.State.Notice)
	}

	b := newPhone(t, 80, "JO")
	takeIn(t, b, handed(t, a, ""))
	b = restartAt(t, b, "keying", "2", "42", app.WayAgain)
	tap(b, "123") // agrees
	b.Visit(page("keying", "2", "50", app.WayAgain))
	tap(b, "321") // differs
	b.Visit(page("class", "2"))
	b.Do("class.worth:100")
	b.Visit(page("person", "42"))
	b.Type("person.name", "Benjamin Cole")
	takeIn(t, a, handed(t, b, ""))
	a = restartAt(t, a, "questions")
	openQuestion(a, contest.CardSubject(2, 50))
	a.Do("questions.take:2")
	a.Visit(page("keying", "2", "41", app.WayChange))
	tap(a, "213")

	want := []string{
		"card late | Card of 41 in Hens | Order: 2-1-4-3 → 2-1-3-4 | keyer/MB",
		"settled late | Card of 50 in Hens | Order: 3-2-1-4 / 3-1-2-4 → 3-2-1-4 | keyer/MB",
		"person | Contestant 42 | Name: Ben Cole → Benjamin Cole | owner/JO",
		"class late | Hens | Worth: nothing → 100 | owner/JO",
		"lock | Lock of Hens | locked | official/MB",
		"card | Card of 41 in Hens | Order: 2-1-3-4 → 2-1-4-3 | keyer/MB",
	}
	for range 2 {
		if got := lined(a, 0, 0); !slices.Equal(got, want) {
			t.Fatalf("the log holds\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
		a = restartAt(t, a, "log")
	}
	for _, tc := range []struct {
		class, number string
		lines         []int
	}{{"2", "", []int{0, 1, 3, 4, 5}}, {"0", "41", []int{0, 5}}, {"", "42", []int{2}}, {"2", "42", nil}, {"1", " ", nil}, {"x", "-3", []int{0, 1, 2, 3, 4, 5}}} {
		a.Visit(page("log"))
		a.Type("log.class", tc.class)
		a.Type("log.number", tc.number)
		a = restartAt(t, a, "log", a.State.Page.Args...) // where the address leads
		var some []string
		for _, i := range tc.lines {
			some = append(some, want[i])
		}
		if got := lined(a, a.State.Page.Number(0), a.State.Page.Number(1)); !slices.Equal(got, some) {
			t.Errorf("class %q, contestant %q:\n%s\nwant\n%s", tc.class, tc.number, strings.Join(got, "\n"), strings.Join(some, "\n"))
		}
	}
	phones := a.State.LogPhones()
	if n := len(a.State.Open.Set.Logs); len(phones) != n || n != 4 {
		t.Errorf("the log rests on %+v, want %d phones", phones, n)
	}
}

func restartAt(t *testing.T, r *app.Runner, name string, args ...string) *app.Runner {
	t.Helper()
	r = restart(t, r)
	r.Visit(page(name, args...))
	return r
}

// Rulings and official answers that changed are in the log, and what changes the
// rules once a key is locked.
func TestTheLogHoldsRulingsAndLateRules(t *testing.T) {
	owner := func(kind record.Kind, a, b uint32, value string, when int64) app.Fact {
		return app.Fact{Who: "owner/AB", Subject: record.Subject{Kind: kind, A: a, B: b}, Value: value, When: when}
	}
	settings := contest.Settings{Name: "Day"}
	renamed := contest.Settings{Name: "Tamarack County Poultry Day"}
	late := contest.Settings{Name: "Tamarack County Poultry Day", TeamBest: 2}
	r := keyingPhone(t, 1, "MB")
	hens := everyKindOf(restartAt(t, r, "contest"), 2)
	disk := &app.Memory{}
	key := func(answer string) string {
		return must(contest.KeyItem{Answer: answer, Cuts: [3]uint8{2, 5, 3}}.Write(hens))
	}
	if err := disk.Give(poultryDay, "Day", 90,
		owner(record.KindContest, 0, 0, must(settings.Write()), 1000),
		owner(record.KindClass, 2, 0, must(hens.Write()), 1001),
		owner(record.KindContest, 0, 0, must(renamed.Write()), 1002),
		owner(record.KindKey, 2, 0, key("2-1-3-4"), 1003),
		owner(record.KindKey, 2, 0, key("2-1-4-3"), 1004),
		owner(record.KindLock, 2, 0, contest.LockValue, 1005),
		owner(record.KindKey, 2, 0, key("2-1-3-4"), 1006),
		owner(record.KindRuling, 2, 1, `{"out":true,"why":"a hen was changed"}`, 1007),
		owner(record.KindRuling, 2, 1, "", 1008),
		owner(record.KindContest, 0, 0, must(late.Write()), 1009),
		owner(record.KindLock, 2, 0, "", 1010),
	); err != nil {
		t.Fatal(err)
	}
	r = must(app.NewRunner(3, disk))
	r.Visit(page("log"))
	got := lined(r, 0, 0)
	want := []string{
		"lock | Lock of " + hens.Name + " | taken back, was: locked | owner/AB",
		"rules late | The contest's settings | Best of a team: 3 → 2 | owner/AB",
		"ruling | Ruling on " + hens.Name + ", item 1 | taken back, was: ",
		"ruling | Ruling on " + hens.Name + ", item 1 | ",
		"key late | Key of " + hens.Name + " | Answer: 2-1-4-3 → 2-1-3-4 | owner/AB",
		"lock | Lock of " + hens.Name + " | locked | owner/AB",
		"key | Key of " + hens.Name + " | Answer: 2-1-3-4 → 2-1-4-3 | owner/AB",
	}
	if len(got) != len(want) {
		t.Fatalf("the log holds\n%s", strings.Join(got, "\n"))
	}
	for i := range want {
		if !strings.HasPrefix(got[i], want[i]) {
			t.Errorf("line %d is %q, want %q", i+1, got[i], want[i])
		}
	}
	if !strings.Contains(got[3], "a hen was changed") {
		t.Errorf("the ruling is told without its reason: %q", got[3])
	}
}
