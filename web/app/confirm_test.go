package app_test

import (
	"slices"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/web/app"
)

// confirmPhone is a phone on which the cards of class 2 are keyed, by MB, and the
// contest wants them keyed twice.
func confirmPhone(t *testing.T, confirm string) *app.Runner {
	t.Helper()
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("settings"))
	r.Do(app.Action("settings.confirm", confirm))
	r.Visit(page("keying", "2"))
	tap(r, "213"+"124"+"312")
	return restart(t, r)
}

func counts(t *testing.T, r *app.Runner, class uint32) app.KeyingCounts {
	t.Helper()
	c, ok := r.State.Open.Contest.Class(class)
	if !ok {
		t.Fatalf("there is no class %d", class)
	}
	return r.State.KeyingCounts(c)
}

// The same person does not confirm a card, in whatever way it is opened, and is
// told what to do; another one is led through exactly what remains.
func TestTheSamePersonDoesNotConfirm(t *testing.T) {
	r := confirmPhone(t, contest.ConfirmAll)
	r.Visit(page("keying", "2", "0", app.WayAgain))
	if got, want := counts(t, r, 2), (app.KeyingCounts{Due: 3, Done: 3, Once: 3, Asked: 3, Again: 3}); got != want {
		t.Fatalf("counts %+v, want %+v", got, want)
	}
	if r.State.Keying.Card != nil {
		t.Fatalf("MB is led to %+v", r.State.Keying.Card)
	}
	for _, who := range []string{"MB", "mb"} {
		r.Type("phone.initials", who)
		r.Visit(page("keying", "2", "41", app.WayAgain))
		if r.State.Keying.Card != nil || !r.State.SameHand(everyKindOf(r, 2), 41) {
			t.Errorf("%s opens it again: %+v", who, r.State.Keying.Card)
		}
	}

	r.Type("phone.initials", "JO")
	r.Visit(page("keying", "2", "0", app.WayAgain))
	tap(r, "213")
	if got := r.State.Page.Number(1); got != 42 {
		t.Errorf("after 41 comes %d, want 42", got)
	}
	tap(r, "12")
	r = restart(t, r) // in the middle of a card
	r.Visit(page("keying", "2", "0", app.WayAgain))
	r.Type("phone.initials", "MB") // the phone went back
	tap(r, "4")
	if status(r, 2, 42) != merge.Single {
		t.Errorf("MB finished the card: it is %v", status(r, 2, 42))
	}
	r.Type("phone.initials", "JO")
	tap(r, "4")
	if got := status(r, 2, 42); got != merge.Confirmed {
		t.Errorf("finished by JO it is %v", got)
	}
	if got := counts(t, r, 2); got.Again != 1 || got.Once != 1 || r.State.Page.Number(1) != 50 {
		t.Errorf("%+v, on %v; want one left, that of 50", got, r.State.Page.Args)
	}
}

// A slip of the second hand is mended by the second hand.
func TestASlipOfTheSecondKeyingIsMended(t *testing.T) {
	r := confirmPhone(t, contest.ConfirmAll)
	r.Type("phone.initials", "JO")
	r.Visit(page("keying", "2", "41", app.WayAgain))
	tap(r, "214")
	if counts(t, r, 2).Question != 1 {
		t.Fatalf("%+v, want one in question", counts(t, r, 2))
	}
	tap(r, "b3")
	if got := counts(t, r, 2); got.Question != 0 || got.Again != 2 {
		t.Errorf("mended: %+v, want 41 confirmed and two left", got)
	}
	tap(r, "b")
	r.Type("phone.initials", "MB")
	tap(r, "4")
	if got := counts(t, r, 2); got.Question != 0 || got.Again != 2 {
		t.Errorf("MB mended what JO keyed: %+v", got)
	}
}

// What is settled between two hands needs no third; what is corrected by one
// hand afterwards needs another one again.
func TestSettledIsConfirmedAndCorrectedIsNot(t *testing.T) {
	r := confirmPhone(t, contest.ConfirmAll)
	r.Type("phone.initials", "JO")
	r.Visit(page("keying", "2", "41", app.WayAgain))
	tap(r, "214"+"124"+"312") // 41 differs
	openQuestion(r, contest.CardSubject(2, 41))
	r.Do("questions.take:1")
	if got := counts(t, r, 2); got.Again != 0 || got.Asked != 3 {
		t.Errorf("settled: %+v, want nothing left of 3", got)
	}
	r.Visit(page("keying", "2", "42", app.WayChange))
	tap(r, "321")
	if got := counts(t, r, 2); got.Again != 1 {
		t.Errorf("corrected by JO: %+v, want one left", got)
	}
	r.Type("phone.initials", "MB") // whose keying does not stand any more
	r.Visit(page("keying", "2", "0", app.WayAgain))
	if got := r.State.Page.Number(1); got != 42 {
		t.Fatalf("MB is led to %d, want 42", got)
	}
	tap(r, "321")
	if got := counts(t, r, 2); got.Again != 0 {
		t.Errorf("keyed again by MB: %+v", got)
	}
}

// Two phones ask for the same cards of a sample. The second keys those the first
// keyed, and with its file nothing remains on the first.
func TestASampleOnTwoPhones(t *testing.T) {
	a := keyingPhone(t, 1, "MB")
	var facts []app.Fact
	for n := uint32(101); n <= 160; n++ {
		value := must(contest.Person{Number: n}.Write())
		facts = append(facts, app.Fact{Who: "owner/AB", Subject: record.Subject{Kind: record.KindPerson, A: n}, Value: value, When: 1_789_990_000},
			app.Fact{Who: "keyer/CD", Subject: contest.CardSubject(2, n), Value: "\x01", When: 1_789_990_100})
	}
	if err := a.Disk.Give(poultryDay, "", 93, facts...); err != nil {
		t.Fatal(err)
	}
	a = restart(t, a)
	a.Visit(page("settings"))
	a.Do(app.Action("settings.confirm", contest.ConfirmSample))
	a.Type("settings.confirm-in", "4")
	b := newPhone(t, 80, "JO")
	takeIn(t, b, handed(t, a, ""))
	b = restart(t, b)
	b.Visit(page("keying", "2", "0", app.WayAgain))
	asked := func(r *app.Runner) (out []uint32) {
		for n := uint32(101); n <= 160; n++ {
			if r.State.Open.Contest.Asked(2, n) {
				out = append(out, n)
			}
		}
		return out
	}
	want := asked(a)
	if !slices.Equal(asked(b), want) || len(want) == 0 || len(want) > 30 {
		t.Fatalf("one phone asks for %v, the other for %v", want, asked(b))
	}
	var led []uint32
	for range len(want) {
		led = append(led, b.State.Page.Number(1))
		tap(b, "123")
	}
	if !slices.Equal(led, want) || b.State.Keying.Card != nil || counts(t, b, 2).Again != 0 {
		t.Errorf("JO was led through %v, want %v; left %+v", led, want, counts(t, b, 2))
	}

	file := handed(t, b, "")
	takeIn(t, a, file)
	a = restart(t, a)
	a.Visit(page("contest"))
	if got := counts(t, a, 2); got.Asked != len(want) || got.Again != 0 || got.Once != 60-len(want) {
		t.Errorf("on the first phone: %+v, want none left of %d", got, len(want))
	}
}

// The same initials on two phones are one hand: the card stays to be keyed.
func TestOnePersonOnTwoPhonesIsOneHand(t *testing.T) {
	a := confirmPhone(t, contest.ConfirmAll)
	b := keyingPhone(t, 80, "MB")
	b.Visit(page("keying", "2"))
	tap(b, "213")
	takeIn(t, a, handed(t, b, ""))
	if got := counts(t, a, 2); status(a, 2, 41) != merge.Confirmed || got.Again != 3 {
		t.Errorf("%v, %+v: one person confirmed a card", status(a, 2, 41), got)
	}
}

// A keying that was under way when another phone's came is a second one: it takes
// nothing away.
func TestAnotherKeyingComesWhileOneIsUnderWay(t *testing.T) {
	for taps, want := range map[string]merge.Status{"3": merge.Confirmed, "4": merge.InQuestion} {
		a, b := keyingPhone(t, 1, "MB"), keyingPhone(t, 80, "JO")
		b.Visit(page("keying", "2"))
		tap(b, "213")
		a.Visit(page("keying", "2"))
		tap(a, "21")
		takeIn(t, a, handed(t, b, ""))
		a = restart(t, a)
		a.Visit(page("keying", "2", "41"))
		tap(a, taps)
		if got := status(a, 2, 41); got != want || len(cardRecords(a, 2, 41)) != 2 {
			t.Errorf("finished with %s the card is %v, want %v", taps, got, want)
		}
	}
}

// What remains is said with the results, and is gone when nothing does. Nothing
// is held back for it.
func TestResultsAreNotFinalWhileCardsRemain(t *testing.T) {
	r := confirmPhone(t, contest.ConfirmAll)
	r.Visit(page("key", "2"))
	value := must(contest.KeyItem{Answer: "2-1-3-4", Cuts: [3]uint8{2, 5, 3}}.Write(everyKindOf(r, 2)))
	if err := r.Disk.Give(poultryDay, "", 94, app.Fact{Who: "official/AB", Subject: contest.KeySubject(2, 0), Value: value, When: 1_789_990_000}); err != nil {
		t.Fatal(err)
	}
	r = restart(t, r)
	r.Visit(page("results"))
	says := func() bool {
		scored := must(r.State.Open.Scored())
		if scored.Result.Total(0) == 0 {
			t.Error("a card that remains earns nothing")
		}
		return slices.ContainsFunc(app.Provisional(scored), func(t string) bool { return strings.Contains(t, "again by another person") })
	}
	if !says() {
		t.Error("the results do not say that cards remain")
	}
	if text := must(r.State.Message()); !strings.Contains(text, "3 of 3 cards") {
		t.Errorf("the message does not say so: %s", text)
	}
	r.Type("phone.initials", "JO")
	r.Visit(page("keying", "2", "0", app.WayAgain))
	tap(r, "213"+"124"+"312")
	r.Visit(page("results"))
	if says() {
		t.Error("nothing remains and the results say so still")
	}
}

func TestConfirmSettings(t *testing.T) {
	r := confirmPhone(t, contest.ConfirmSample)
	r.Visit(page("settings"))
	for _, tc := range []struct {
		do, text, confirm string
		of                int
	}{
		{"settings.confirm-in", "10", contest.ConfirmSample, 10},
		{"settings.confirm-in", "x", contest.ConfirmSample, 10},
		{"settings.confirm-in", "101", contest.ConfirmSample, 10},
		{app.Action("settings.confirm", "some"), "", contest.ConfirmSample, 10},
		{app.Action("settings.confirm", contest.ConfirmAll), "", contest.ConfirmAll, 10},
		{app.Action("settings.confirm", ""), "", "", 10},
		{"undo", "", contest.ConfirmAll, 10},
	} {
		r.Type(tc.do, tc.text)
		r = restart(t, r)
		r.Visit(page("settings"))
		if s := r.State.Open.Contest.Settings; s.Confirm != tc.confirm || s.SampleOf() != tc.of {
			t.Errorf("after %s %q: %q, one in %d; want %q, one in %d", tc.do, tc.text, s.Confirm, s.SampleOf(), tc.confirm, tc.of)
		}
	}
	settings := record.Subject{Kind: record.KindContest}
	past := r.State.History(settings)
	if text := r.State.TellShort(settings, past[0].Value); !strings.Contains(text, "Keyed twice: every card") {
		t.Errorf("the history says %q", text)
	}
	if text := r.State.TellShort(settings, past[len(past)-2].Value); !strings.Contains(text, "one card in 5") {
		t.Errorf("the history says %q", text)
	}
}
