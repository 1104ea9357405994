package app_test

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/codec"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/web/app"
)

// handed gives what a phone hands over to a receiver, "" for the first.
func handed(t *testing.T, r *app.Runner, to string) []byte {
	t.Helper()
	visit(r, "hand-over")
	if to != "" {
		r.Do(app.Action("hand-over.to", to))
	}
	r.Shown = nil
	r.Do("hand-over.save")
	for _, e := range r.Shown {
		if o, ok := e.(app.Offer); ok {
			return o.Bytes
		}
	}
	t.Fatalf("nothing was handed over: %+v", r.State.Notice)
	return nil
}

func takeIn(t *testing.T, r *app.Runner, files ...[]byte) {
	t.Helper()
	r.Visit("#/take-in")
	for i, file := range files {
		r.Send(app.Msg{Do: "file", Args: []string{"take-in", fmt.Sprintf("%d.txt", i)}, Bytes: file})
	}
	if w := r.State.TakeIn; len(w.Faults)+len(w.Unfit) > 0 {
		t.Fatalf("not taken in: %+v %+v", w.Faults, w.Unfit)
	}
	r.Do("take-in.accept")
}

// backup gives a phone that was restored from what another has on its disk now.
func backup(t *testing.T, r *app.Runner, seed byte) *app.Runner {
	t.Helper()
	disk := &app.Memory{}
	for _, bucket := range app.Buckets {
		found, err := r.Disk.Load(bucket, "")
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range found {
			if err := disk.Commit([]app.Op{{Bucket: bucket, Key: e.Key, Value: e.Value}}); err != nil {
				t.Fatal(err)
			}
		}
	}
	again, err := app.NewRunner(seed, disk)
	if err != nil {
		t.Fatal(err)
	}
	again.Now = r.Now
	if len(again.State.Contests) > 0 {
		again.Visit(page("contest"))
	}
	return again
}

// kept lists the bytes of every record that a phone has of the open contest,
// and checks that its disk holds just these.
func kept(t *testing.T, r *app.Runner) []string {
	t.Helper()
	out := map[string]bool{}
	for _, run := range r.State.Open.Contest.State().Runs() {
		for i := range run.Records {
			out[string(run.Records[i].Encode(nil))] = true
		}
	}
	found, err := r.Disk.Load(app.BucketRecord, r.State.Open.Head.ID+"/")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range found {
		if !out[string(e.Value)] {
			t.Errorf("%s is on the disk and not in the contest", e.Key)
		}
	}
	if len(found) != len(out) {
		t.Errorf("%d records are on the disk and %d in the contest", len(found), len(out))
	}
	return slices.Sorted(maps.Keys(out))
}

func whole(r *app.Runner) string {
	state := r.State.Open.Contest.State()
	out := fmt.Sprint(state.Questions(), state.Forks())
	for kind := range record.Kind(12) {
		for _, sub := range state.Subjects(kind) {
			out += fmt.Sprintf("%+v %v\n", state.Current(sub), state.History(sub))
		}
	}
	return out
}

func key(r *app.Runner, number, taps string) {
	r.Visit(page("keying", "1", number))
	tap(r, taps)
}

func place(r *app.Runner, number, taps string) {
	r.Visit(page("keying", "2", number))
	tap(r, taps)
}

// A phone is restored from a backup and goes on beside the one it was made from.
// Both sides are kept everywhere, what they differ on is a question, and each of
// them goes on under a key of its own once it learns of the other.
func TestAPhoneThatWasSetBack(t *testing.T) {
	a := keyingPhone(t, 1, "MB")
	key(a, "41", "1234123412")
	restored := backup(t, a, 60)
	key(a, "42", "1111111111")
	key(restored, "42", "2222222222")
	key(restored, "50", "3333333333")

	ben := keyingPhone(t, 90, "CD")
	takeIn(t, ben, handed(t, a, ""))
	takeIn(t, ben, handed(t, restored, ""))
	forks := ben.State.Open.Contest.State().Forks()
	if len(forks) != 1 || forks[0].Phone != a.State.Phone.ID || forks[0].After != 1 || len(forks[0].Sides) != 2 {
		t.Fatalf("ben sees the forks %+v", forks)
	}
	if got := ben.State.Open.Contest.State().Questions(); !slices.Contains(got, contest.CardSubject(1, 42)) {
		t.Errorf("in question are %v", got)
	}
	if rows := ben.State.PhoneRows(); !slices.ContainsFunc(rows, func(p app.PhoneRow) bool { return len(p.Forks) == 1 }) {
		t.Errorf("the phones are listed as %+v", rows)
	}
	ben = restart(t, ben)
	ben.Visit(page("contest"))
	all := kept(t, ben)

	for _, r := range []*app.Runner{a, restored} {
		old := r.State.Phone.ID
		r.Visit("#/take-in")
		r.Send(app.Msg{Do: "file", Args: []string{"take-in", "all.txt"}, Bytes: handed(t, ben, "everything")})
		if c := r.State.TakeIn.Ready; c == nil || !c.SetBack || len(c.Forks) != 1 {
			t.Fatalf("taking in says %+v", c)
		}
		r.Do("take-in.accept")
		if r.State.Phone.ID == old || !strings.Contains(r.State.Notice.Text, "new key") {
			t.Errorf("the phone goes on as %v: %s", r.State.Phone.ID, r.State.Notice.Text)
		}
		if got := kept(t, r); !containsAll(got, all) {
			t.Error("records are missing")
		}
	}
	key(restored, "41", "4444444444")
	key(a, "50", "1111111111")
	restored, a = restart(t, restored), restart(t, a)
	restored.Visit(page("contest"))
	a.Visit(page("contest"))
	for range 2 {
		for _, from := range []*app.Runner{a, restored, ben} {
			for _, to := range []*app.Runner{a, restored, ben} {
				if from != to {
					takeIn(t, to, handed(t, from, "everything"))
				}
			}
		}
	}
	// The last to hand over wrote what it holds; hand that on, too.
	takeIn(t, a, handed(t, ben, ""))
	takeIn(t, restored, handed(t, ben, ""))
	for _, r := range []*app.Runner{a, restored} {
		if got := kept(t, r); !containsAll(kept(t, ben), all) || !containsAll(got, kept(t, ben)[:1]) {
			t.Errorf("%d records", len(got))
		}
	}
	if whole(a) != whole(restored) {
		t.Error("the two sides do not come to the same")
	}
	if w := a.State.Where(); w.Own < 4 || w.Alone != 0 {
		t.Errorf("the phone counts %+v", w)
	}
}

func containsAll(list, want []string) bool {
	return !slices.ContainsFunc(want, func(s string) bool { _, ok := slices.BinarySearch(list, s); return !ok })
}

// A phone that was restored and wrote nothing gets its records back and does not
// use the numbers of what it may have lost.
func TestAPhoneGetsItsRecordsBack(t *testing.T) {
	a := keyingPhone(t, 1, "MB")
	key(a, "41", "1234123412")
	restored := backup(t, a, 60)
	key(a, "42", "1111111111")
	ben := keyingPhone(t, 90, "CD")
	takeIn(t, ben, handed(t, a, ""))
	key(a, "50", "3333333333") // lost with the phone

	old := restored.State.Phone.ID
	takeIn(t, restored, handed(t, ben, ""))
	if restored.State.Phone.ID == old {
		t.Error("the phone goes on under its old key")
	}
	place(restored, "41", "2134")
	takeIn(t, ben, handed(t, restored, ""))
	if forks := ben.State.Open.Contest.State().Forks(); len(forks) != 0 {
		t.Errorf("the phone wrote under numbers that were given: %+v", forks)
	}
	for _, card := range []record.Subject{contest.CardSubject(1, 41), contest.CardSubject(1, 42), contest.CardSubject(2, 41)} {
		if got := ben.State.Open.Contest.State().Current(card).Status; got != merge.Single {
			t.Errorf("%v is %v", card, got)
		}
	}
	// Somebody has a copy of the one that was lost after all.
	takeIn(t, ben, handed(t, a, ""))
	if got := ben.State.Open.Contest.State().Current(contest.CardSubject(1, 50)).Status; got != merge.Single {
		t.Errorf("the card of the lost phone is %v", got)
	}
}

// Two phones that know one side each hand over only what is new, and so would
// never meet the other side: taking in says to ask for everything.
func TestTheOtherSideIsAskedFor(t *testing.T) {
	a := keyingPhone(t, 1, "MB")
	key(a, "41", "1234123412")
	restored := backup(t, a, 60)
	key(a, "42", "1111111111")
	place(a, "42", "2134")
	key(restored, "50", "2222222222")
	ben, eva := keyingPhone(t, 90, "CD"), keyingPhone(t, 120, "EF")
	takeIn(t, ben, handed(t, a, ""))
	takeIn(t, eva, handed(t, restored, ""))
	eva.Visit("#/take-in")
	eva.Send(app.Msg{Do: "file", Args: []string{"take-in", "ben.txt"}, Bytes: handed(t, ben, "everything")})
	if c := eva.State.TakeIn.Ready; c == nil || len(c.Forks) != 1 || len(c.Differs) != 0 {
		t.Errorf("of everything it says %+v", c)
	}

	joe, kim := keyingPhone(t, 150, "GH"), keyingPhone(t, 180, "IJ")
	one, two := a.State.Open.Set, restored.State.Open.Set
	for r, set := range map[*app.Runner]record.Set{joe: one, kim: two} {
		data, err := codec.EncodeBundle(set, codec.Options{})
		if err != nil {
			t.Fatal(err)
		}
		takeIn(t, r, data)
	}
	// Joe has more of that phone's records, so nothing of it is new to him.
	data, err := codec.DecodeBundle(handed(t, kim, ""))
	if err != nil {
		t.Fatal(err)
	}
	data.Logs = slices.DeleteFunc(data.Logs, func(l record.Log) bool { return l.Phone == a.State.Phone.ID })
	latest, err := codec.EncodeBundle(data, codec.Options{})
	if err != nil {
		t.Fatal(err)
	}
	joe.Visit("#/take-in")
	joe.Send(app.Msg{Do: "file", Args: []string{"take-in", "kim.txt"}, Bytes: latest})
	if c := joe.State.TakeIn.Ready; c == nil || len(c.Differs) != 1 || c.Differs[0] != a.State.Phone.ID {
		t.Errorf("of a file without the other side it says %+v", c)
	}
}

// Once a phone has said what it holds, only what is new goes to it. One that
// lacks what was before says so and asks for everything.
func TestOnlyWhatIsNewIsHandedOver(t *testing.T) {
	a, ben := keyingPhone(t, 1, "MB"), keyingPhone(t, 90, "CD")
	for _, number := range []string{"41", "42", "50"} {
		key(a, number, "1234123412")
		place(a, number, "2134")
	}
	if got := a.State.Receivers(); len(got) != 1 || got[0].ID != "everything" {
		t.Errorf("before anything was heard of: %+v", got)
	}
	takeIn(t, ben, handed(t, a, ""))
	takeIn(t, a, handed(t, ben, ""))
	if r, _, ok := a.State.UndoTarget(); !ok || r.Subject.B != 50 {
		t.Fatalf("to be undone is %v", r.Subject)
	}
	a.Do("undo")
	got := a.State.Receivers()
	if len(got) != 2 || got[0].Since == 0 || got[0].Records >= got[1].Records {
		t.Fatalf("to be handed over is %+v", got)
	}
	everything, latest := handed(t, a, "everything"), handed(t, a, "")
	if len(latest) >= len(everything)*2/3 {
		t.Errorf("%d letters are new of %d", len(latest), len(everything))
	}
	set, err := codec.DecodeBundle(latest)
	if err != nil || !slices.ContainsFunc(set.Logs, func(l record.Log) bool { return l.Skip > 0 }) {
		t.Errorf("%v, or the logs are whole", err)
	}

	stranger := keyingPhone(t, 120, "EF")
	stranger.Visit("#/take-in")
	stranger.Send(app.Msg{Do: "file", Args: []string{"take-in", "latest.txt"}, Bytes: latest})
	if f := stranger.State.TakeIn.Unfit; len(f) != 1 || !strings.HasPrefix(f[0].Text, "latest.txt: ") || !strings.Contains(f[0].Fix, "everything") {
		t.Errorf("a phone that lacks what was before says %+v", f)
	}
	// With both files at once, in the wrong order, the first waits for the second.
	stranger.Send(app.Msg{Do: "file", Args: []string{"take-in", "everything.txt"}, Bytes: everything})
	if w := stranger.State.TakeIn; len(w.Unfit) > 0 || w.Ready == nil {
		t.Errorf("both files together: %+v", w.Unfit)
	}
	stranger.Do("take-in.accept")

	takeIn(t, ben, latest)
	if got := ben.State.Open.Contest.State().Current(contest.CardSubject(2, 50)).Status; got != merge.Absent {
		t.Errorf("the latest did not arrive: %v", got)
	}
	if len(bytes.TrimSpace(latest)) == 0 || len(kept(t, ben)) != len(kept(t, stranger)) {
		t.Errorf("%d and %d records", len(kept(t, ben)), len(kept(t, stranger)))
	}
}

// A contest that was taken off a phone and comes back may lack what only that
// phone had: its numbers are not given again.
func TestAContestThatComesBack(t *testing.T) {
	a, ben := keyingPhone(t, 1, "MB"), keyingPhone(t, 90, "CD")
	key(a, "41", "1234123412")
	takeIn(t, ben, handed(t, a, ""))
	key(a, "42", "1111111111")
	old := a.State.Phone.ID
	a.Visit("#/phone")
	a.Do(app.Action("contest.forget", poultryDay.String()))
	a = backup(t, a, 70) // whose chance differs from that of its first start
	takeIn(t, a, handed(t, ben, "everything"))
	if a.State.Phone.ID == old {
		t.Error("the phone goes on under its old key")
	}
	key(a, "43", "1111111111")
	takeIn(t, ben, handed(t, a, ""))
	if forks := ben.State.Open.Contest.State().Forks(); len(forks) > 0 {
		t.Errorf("%+v", forks)
	}
}
