package app_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/web/app"
)

// ownerPhone is the phone that began the contest of givePoultryDay: its key is
// the one of seed 90.
func ownerPhone(t *testing.T) *app.Runner {
	t.Helper()
	r := keyingPhone(t, 89, "AB")
	r.Visit(page("phones"))
	if !r.State.Open.Contest.Owns(r.State.Phone.ID) {
		t.Fatal("this is not the owner's phone")
	}
	return r
}

// invited is a new phone that took the contest in from another.
func invited(t *testing.T, from *app.Runner, seed byte, initials string) *app.Runner {
	t.Helper()
	r := newPhone(t, seed, initials)
	takeIn(t, r, handed(t, from, "everything"))
	return r
}

// says taps something about a phone on the page of phones.
func says(r *app.Runner, about *app.Runner, do string, args ...string) {
	r.Visit(page("phones"))
	r.Do(app.Action("phones."+do, append([]string{about.State.Phone.ID.String()}, args...)...))
}

func cardOf(r *app.Runner, number uint32) merge.Current {
	return r.State.Open.Contest.State().Current(contest.CardSubject(1, number))
}

func stateOf(t *testing.T, r, about *app.Runner) app.PhoneState {
	t.Helper()
	r.Visit(page("phones"))
	all := r.State.PhoneStates()
	i := slices.IndexFunc(all, func(p app.PhoneState) bool { return p.Phone == about.State.Phone.ID })
	if i < 0 {
		t.Fatalf("the phone of %s is not among %+v", about.State.Phone.Initials, all)
	}
	return all[i]
}

// exchange lets every phone take in what every other has, twice.
func exchange(t *testing.T, phones ...*app.Runner) {
	t.Helper()
	for range 2 {
		for _, from := range phones {
			for _, to := range phones {
				if from != to {
					takeIn(t, to, handed(t, from, "everything"))
				}
			}
		}
	}
}

// Three phones: the owner gives a keyer and a coach their roles, and each phone
// then offers what is for it, also after a restart. What is written against a
// role counts, and is told.
func TestRolesOfThreePhones(t *testing.T) {
	owner := ownerPhone(t)
	keyer, coach := invited(t, owner, 1, "MB"), invited(t, owner, 30, "CD")
	for _, page := range []string{"keying", "key", "results", "settings"} {
		if why := keyer.State.Barred(page); why != "" {
			t.Errorf("without roles %s is kept from a phone: %s", page, why)
		}
	}
	key(keyer, "41", "1234123412")
	takeIn(t, owner, handed(t, keyer, "everything"), handed(t, coach, "everything"))
	if p := stateOf(t, owner, keyer); p.Role != "" || p.Records != 2 || p.Heard == 0 || p.Who != "keyer/MB" || p.Thin != 2 {
		t.Errorf("before it has a role the keyer's phone is %+v", p)
	}
	says(owner, keyer, "role", contest.Keyer)
	owner.Type(app.Action("phones.why", coach.State.Phone.ID.String()), "brings Oak Hollow")
	owner.Do(app.Action("phones.role", coach.State.Phone.ID.String(), contest.Coach))
	if p := stateOf(t, owner, coach); p.Role != contest.Coach || p.Member.Why != "brings Oak Hollow" || p.Lacks == 0 {
		t.Errorf("the coach's phone is %+v", p)
	}
	for _, r := range []*app.Runner{keyer, coach} {
		takeIn(t, r, handed(t, owner, "everything"))
	}
	keyer, coach = restart(t, keyer), restart(t, coach)
	keyer.Visit(page("contest"))
	coach.Visit(page("contest"))
	for _, c := range []struct {
		r          *app.Runner
		page, want string
	}{
		{owner, "results", ""}, {owner, "key", ""},
		{keyer, "keying", ""}, {keyer, "people", ""}, {keyer, "key", "keyer"}, {keyer, "settings", "keyer"}, {keyer, "results", "scores"}, {keyer, "slip", "scores"}, {keyer, "hand-over", ""},
		{coach, "keying", "coach"}, {coach, "key", "coach"}, {coach, "people", "coach"}, {coach, "results", "scores"}, {coach, "phones", ""},
	} {
		if got := c.r.State.Barred(c.page); got != c.want {
			t.Errorf("%s of %s: %q, not %q", c.page, c.r.State.Phone.Initials, got, c.want)
		}
	}
	key(coach, "42", "1111111111") // no page offers it
	takeIn(t, owner, handed(t, coach, "everything"))
	if got := cardOf(owner, 42); got.Status != merge.Single {
		t.Errorf("what the coach keyed is %v", got.Status)
	}
	if got := stateOf(t, owner, coach).Against; len(got) != 1 {
		t.Errorf("against the coach's role are %v", got)
	}
	says(keyer, coach, "role", contest.Official)
	if !strings.Contains(keyer.State.Notice.Text, "Only an owner") || len(keyer.State.Open.Contest.Void()) > 0 {
		t.Errorf("a keyer gives a role: %+v", keyer.State.Notice)
	}
	owner.Do("phones.release")
	takeIn(t, keyer, handed(t, owner, ""))
	takeIn(t, coach, handed(t, owner, ""))
	if a, b := keyer.State.Barred("results"), coach.State.Barred("slip"); a+b != "" {
		t.Errorf("released, the scores are kept from a phone: %q %q", a, b)
	}
	owner.Do("undo")
	if keyer.State.Barred("results") != "" || owner.State.Open.Contest.Released() {
		t.Error("the release was not taken back")
	}
}

// A phone is shut out while it goes on. What it writes after that is kept on all
// phones, in whatever order it reaches them, counts on none, and is taken over one
// by one or counts once the phone is let in again.
func TestAPhoneIsShutOut(t *testing.T) {
	owner := ownerPhone(t)
	keyer, other := invited(t, owner, 1, "MB"), invited(t, owner, 30, "CD")
	key(keyer, "41", "1234123412")
	takeIn(t, owner, handed(t, keyer, "everything"))
	says(owner, keyer, "role", contest.Keyer)
	says(owner, keyer, "shut")
	key(keyer, "42", "1111111111")
	key(keyer, "50", "2222222222")
	takeIn(t, other, handed(t, keyer, "everything"))
	if got := cardOf(other, 42); got.Status != merge.Single {
		t.Errorf("before it is known the card is %v", got.Status)
	}
	other.Visit("#/take-in")
	takeIn(t, other, handed(t, owner, "everything"))
	takeIn(t, owner, handed(t, keyer, "everything"))
	for _, r := range []*app.Runner{owner, other} {
		if a, b := cardOf(r, 41), cardOf(r, 42); a.Status != merge.Single || b.Status != merge.Absent || len(b.Refs) > 0 {
			t.Errorf("%s reads %+v and %+v", r.State.Phone.Initials, a, b)
		}
	}
	takeIn(t, keyer, handed(t, owner, "everything"))
	before := len(kept(t, keyer))
	key(keyer, "50", "3333333333")
	if !keyer.State.ShutOut() || !strings.Contains(keyer.State.Notice.Text, "shut this phone out") || len(kept(t, keyer)) != before {
		t.Errorf("a phone that is shut out writes: %+v", keyer.State.Notice)
	}
	exchange(t, owner, keyer, other)
	owner, keyer, other = restart(t, owner), restart(t, keyer), restart(t, other)
	for _, r := range []*app.Runner{owner, keyer, other} {
		r.Visit(page("phones"))
	}
	p := stateOf(t, owner, keyer)
	if len(p.Apart.Stand) != 2 || p.Apart.Taken != 0 || p.Apart.Records < 3 {
		t.Fatalf("kept apart are %+v", p.Apart)
	}

	ref := p.Apart.Stand[0] // the card of 42
	owner.Do(app.Action("phones.take", ref.Phone.String(), fmt.Sprint(ref.Seq)))
	got := cardOf(owner, 42)
	if r, _ := owner.State.Open.Contest.State().Record(got.Refs[0]); got.Status != merge.Single || r.Who != "owner/AB \u2190 MB" {
		t.Errorf("taken over is %+v", got)
	}
	if p := stateOf(t, owner, keyer); p.Apart.Taken != 1 || len(p.Apart.Stand) != 1 {
		t.Errorf("kept apart are %+v", p.Apart)
	}
	owner.Do("undo")
	if got := cardOf(owner, 42); got.Status != merge.Absent {
		t.Errorf("taken back, the card is %+v", got)
	}
	says(owner, keyer, "let-in")
	exchange(t, owner, keyer, other)
	takeIn(t, keyer, handed(t, other, "everything")) // what the last to hand over said of itself
	takeIn(t, owner, handed(t, other, "everything"))
	if a, b, c := whole(owner), whole(keyer), whole(other); a != b || b != c {
		t.Error("three phones with the same records read them differently")
	}
	for _, r := range []*app.Runner{owner, keyer, other} {
		if a, b := cardOf(r, 50), len(r.State.Open.Contest.Apart()); a.Status != merge.Single || b > 0 || r.State.ShutOut() {
			t.Errorf("%s: let in again, the card is %v, and %d phones are kept apart", r.State.Phone.Initials, a.Status, b)
		}
	}
	keyer.Visit(page("keying", "1", "41", "change"))
	tap(keyer, "3333333333")
	if got := cardOf(keyer, 41); got.Status != merge.Single || got.Refs[0].Seq < 5 {
		t.Errorf("the card is %+v: %+v", got, keyer.State.Notice)
	}
}

// What is taken in says beforehand how much of it will be kept apart.
func TestTakingInFromAPhoneThatIsShutOut(t *testing.T) {
	owner := ownerPhone(t)
	keyer := invited(t, owner, 1, "MB")
	key(keyer, "41", "1234123412")
	takeIn(t, owner, handed(t, keyer, "everything"))
	says(owner, keyer, "shut")
	key(keyer, "42", "1111111111")
	owner.Visit("#/take-in")
	owner.Send(app.Msg{Do: "file", Args: []string{"take-in", "mb.txt"}, Bytes: handed(t, keyer, "everything")})
	if c := owner.State.TakeIn.Ready; c == nil || c.Apart != 1 || c.Cards != 1 {
		t.Errorf("taking in says %+v", c)
	}
}

// A new contest has a number that follows from its first record, so its owner is
// certain. An owner who goes on with a backup on another phone stays the owner.
func TestAnOwnerGoesOn(t *testing.T) {
	a := newPhone(t, 1, "AB")
	a.Type("new.start", "name=Quarry+Road+Poultry+Day")
	id := a.State.Open.Set.Contest
	if first := a.State.Open.Own(a.State.Phone.ID).Records[0]; contest.IDOf(&first) != id {
		t.Errorf("the contest is %v, its first record says %v", id, contest.IDOf(&first))
	}
	at := func(r *app.Runner, name string) { r.Visit(app.Page{Name: name, Contest: id.String()}.Hash()) }
	file := func(r *app.Runner) []byte {
		at(r, "hand-over")
		r.Shown = nil
		r.Do("hand-over.save")
		return r.Shown[0].(app.Offer).Bytes
	}
	b := newPhone(t, 30, "CD")
	takeIn(t, b, file(a))
	ofB := file(b)

	restored := backup(t, a, 60) // the same key
	at(restored, "contest")
	at(a, "phones")
	a.Do(app.Action("phones.role", b.State.Phone.ID.String(), contest.Keyer))
	takeIn(t, restored, file(a)) // learns that it is a copy, and goes on under a key of its own
	if restored.State.Phone.ID == a.State.Phone.ID {
		t.Fatal("the restored phone has its old key")
	}
	takeIn(t, restored, ofB)
	at(restored, "phones")
	if !restored.State.Open.Contest.Owns(restored.State.Phone.ID) {
		t.Fatal("the restored phone is not the owner")
	}
	restored.Do(app.Action("phones.role", b.State.Phone.ID.String(), contest.Official))
	takeIn(t, b, file(restored))
	if got := b.State.Open.Contest.Role(b.State.Phone.ID); got != contest.Official {
		t.Errorf("the other phone is %q", got)
	}
	again := restart(t, restored)
	at(again, "phones")
	n := 0
	for _, r := range again.State.Open.Own(again.State.Phone.ID).Records {
		if r.Subject.Kind == record.KindRenewal {
			n++
		}
	}
	if n != 1 {
		t.Errorf("it was said %d times in whose place the phone goes on", n)
	}
}
