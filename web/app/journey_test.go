package app_test

import (
	"testing"

	"keelcard/web/app"
)

// newPhone starts the app of a new phone whose holder has these initials.
func newPhone(t *testing.T, seed byte, initials string) *app.Runner {
	t.Helper()
	r, err := app.NewRunner(seed, &app.Memory{})
	if err != nil {
		t.Fatal(err)
	}
	r.Type("phone.initials", initials)
	return r
}

// restart ends the app and starts it again from what is on its disk.
func restart(t *testing.T, r *app.Runner) *app.Runner {
	t.Helper()
	again, err := app.NewRunner(200, r.Disk)
	if err != nil {
		t.Fatal(err)
	}
	again.Now = r.Now
	return again
}

func TestAPhoneKeepsItsKeyAndInitials(t *testing.T) {
	r := newPhone(t, 1, "MB")
	id := r.State.Phone.ID
	r = restart(t, r)
	if r.State.Phone.ID != id || r.State.Phone.Initials != "MB" {
		t.Errorf("after a restart the phone is %v of %q, was %v of MB", r.State.Phone.ID, r.State.Phone.Initials, id)
	}
	// A phone that was kept without its public key is the same one.
	if err := r.Disk.Commit([]app.Op{{Bucket: app.BucketMeta, Key: "phone", Value: []byte(`{"seed":"` + r.State.Phone.Seed + `"}`)}}); err != nil {
		t.Fatal(err)
	}
	if again := restart(t, r); again.State.Phone.ID != id {
		t.Errorf("from its seed alone the phone is %v, was %v", again.State.Phone.ID, id)
	}
	if other := newPhone(t, 2, "AB"); other.State.Phone.ID == id {
		t.Error("two phones have the same key")
	}
}

// A contest that is taken off the phone leaves nothing behind, a card begun
// and not finished included, and can be opened again from the start.
func TestAForgottenContestLeavesNothingBehind(t *testing.T) {
	r := demoPhone(t)
	visit(r, "keying", "4", "140")
	r.Do("keying.mark:2")
	if drafts, _ := r.Disk.Load(app.BucketDraft, ""); len(drafts) != 1 {
		t.Fatalf("%d cards are begun", len(drafts))
	}
	id := r.State.Open.Head.ID
	r.Visit("#/phone")
	r.Do(app.Action("contest.forget", id))
	if r.State.Open != nil || len(r.State.Contests) != 0 {
		t.Error("the contest is still there")
	}
	for _, bucket := range []string{app.BucketContest, app.BucketRecord, app.BucketDraft} {
		if left, err := r.Disk.Load(bucket, ""); err != nil || len(left) > 0 {
			t.Errorf("%d values are left in %s, %v", len(left), bucket, err)
		}
	}
	r = restart(t, r)
	r.Do("demo.open")
	if r.State.Open == nil || len(r.State.Open.Contest.Persons) != 40 {
		t.Errorf("it does not open again: %+v", r.State.Notice)
	}
}

func TestHashesReadBack(t *testing.T) {
	for _, p := range []app.Page{
		{Name: "home"}, {Name: "call"}, {Name: "take-in"},
		{Name: "contest", Contest: "0102030405060708"},
		{Name: "key", Contest: "0102030405060708", Args: []string{"3", "5"}},
		{Name: "results-link", Args: []string{"a/b%#c"}},
	} {
		got := app.ParseHash(p.Hash())
		if got.Name != p.Name || got.Contest != p.Contest || got.Arg(0) != p.Arg(0) || got.Arg(1) != p.Arg(1) {
			t.Errorf("%q reads back as %+v, was %+v", p.Hash(), got, p)
		}
	}
	for _, hash := range []string{"", "#", "#/nonsense", "#/c/xyz/key", "#/key/3", "#/c/0102030405060708/call"} {
		if got := app.ParseHash(hash); got.Name != "home" {
			t.Errorf("%q leads to %+v, want home", hash, got)
		}
	}
}
