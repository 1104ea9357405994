package app_test

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/record"
	"keelcard/web/app"
)

var errFull = engine.New("store.full", "", "there is no room left", "free some space")

// all is everything on a disk, by bucket and key.
func all(t testing.TB, disk *app.Memory) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, bucket := range app.Buckets {
		entries, err := disk.Load(bucket, "")
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			out[bucket+"/"+e.Key] = string(e.Value)
		}
	}
	return out
}

// fullFor makes a disk full for what is put there in some buckets, all of them
// without any.
func fullFor(disk *app.Memory, buckets ...string) {
	disk.Fails = func(ops []app.Op) error {
		for _, op := range ops {
			if op.Value != nil && (len(buckets) == 0 || slices.Contains(buckets, op.Bucket)) {
				return errFull
			}
		}
		return nil
	}
}

// What a full disk refuses stays on the screen, is said, and goes with the next
// save once there is room. A contest can be taken off meanwhile.
func TestAFullDisk(t *testing.T) {
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("keying", "2"))
	before := all(t, r.Disk)
	fullFor(r.Disk)
	tap(r, "213")
	s := r.State
	if s.Kept() || !strings.Contains(s.Disk.Fault.Text, errFull.What) || s.Disk.Fault.Fix != "Free some space." {
		t.Errorf("kept %v, said %+v", s.Kept(), s.Disk.Fault)
	}
	if got := all(t, r.Disk); !maps.Equal(got, before) {
		t.Errorf("the disk holds %d values, before %d", len(got), len(before))
	}
	r.Do("save-again")
	if s.Disk.Fault.Text == "" {
		t.Error("a save that failed again is not said")
	}

	r.Do("demo.open") // which is not kept, and taken off again
	demo := s.Open.Head.ID
	r.Visit("#/phone")
	r.Do(app.Action("contest.forget", demo))
	r.Disk.Fails = nil
	r.Do("save-again")
	if !s.Kept() || s.Disk.Fault.Text != "" {
		t.Errorf("with room again: %+v", s.Disk.Fault)
	}
	if slices.ContainsFunc(slices.Collect(maps.Keys(all(t, r.Disk))), func(key string) bool { return strings.Contains(key, demo) }) {
		t.Error("what was taken off before it was kept came back")
	}
	r = restart(t, r)
	r.Visit(page("keying", "2"))
	if got := cardRecords(r, 2, 41); len(got) != 1 {
		t.Errorf("after a restart the card is %q", got)
	}
}

// Whatever is taken off goes first, so that it makes the room the rest waits for.
func TestRoomMadeByTakingAContestOff(t *testing.T) {
	r := demoPhone(t)
	r.Type("phone.initials", "MB")
	visit(r, "keying", "4", "140")
	removed := false
	r.Disk.Fails = func(ops []app.Op) error {
		for _, op := range ops {
			removed = removed || op.Bucket == app.BucketContest && op.Value == nil
			if op.Value != nil && !removed {
				return errFull
			}
		}
		return nil
	}
	r.Type("phone.initials", "XY")
	if r.State.Kept() {
		t.Fatal("kept on a full disk")
	}
	r.Visit("#/phone")
	r.Do(app.Action("contest.forget", r.State.Contests[0].ID))
	if !r.State.Kept() || r.State.Disk.Fault.Text != "" {
		t.Errorf("after room was made: %+v", r.State.Disk.Fault)
	}
	if r = restart(t, r); r.State.Phone.Initials != "XY" || len(r.State.Contests) != 0 {
		t.Errorf("after a restart %q holds the phone, with %d contests", r.State.Phone.Initials, len(r.State.Contests))
	}
}

// A picture that is too large keeps nothing else from being saved, and goes once
// there is room.
func TestAPhotoWithoutRoom(t *testing.T) {
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("key", "1", "1"))
	fullFor(r.Disk, app.BucketBlob)
	r.Do("key.photo")
	r.Send(app.Msg{Do: "file", Args: []string{"key-photo", "bird.jpg"}, Bytes: []byte("picture")})
	s := r.State
	if s.Kept() || !strings.Contains(s.Disk.Fault.Text, "photo") {
		t.Errorf("kept %v, said %+v", s.Kept(), s.Disk.Fault)
	}
	blobs := func() int { return len(must(r.Disk.Load(app.BucketBlob, ""))) }
	r.Visit(page("keying", "2"))
	tap(r, "213")
	again := restart(t, r)
	again.Visit(page("keying", "2"))
	if got := cardRecords(again, 2, 41); len(got) != 1 || blobs() != 0 {
		t.Errorf("beside the photo %q was kept, with %d photos", got, blobs())
	}
	r.Disk.Fails = nil
	r.Do("save-again")
	if !s.Kept() || s.Disk.Fault.Text != "" || blobs() != 1 {
		t.Errorf("with room again: %+v, %d photos", s.Disk.Fault, blobs())
	}
}

// A disk answers later than taps come, fails now and then, and is read by nobody
// before all that was said to be saved is on it: at any moment the records there
// are numbered without a gap, nothing that was answered as saved is missing, and
// once it works everything is there.
func TestADiskThatFailsNowAndThen(t *testing.T) {
	for i := range 20 { // a fault of the order shows in one story of thousands
		t.Run(fmt.Sprint(i), func(t *testing.T) { rapid.Check(t, checkSlowDisk) })
	}
}

func checkSlowDisk(t *rapid.T) {
	r, err := app.NewRunner(1, &app.Memory{})
	if err != nil {
		t.Fatal(err)
	}
	d := &slowDisk{state: r.State, disk: r.Disk}
	written := 0
	for range rapid.IntRange(5, 60).Draw(t, "steps") {
		switch rapid.IntRange(0, 5).Draw(t, "step") {
		case 0, 1, 2:
			written++
			d.send(app.Msg{Do: "phone.initials", Text: fmt.Sprint(written)})
		case 3:
			d.answer(rapid.IntRange(1, 3).Draw(t, "answers"), rapid.Bool().Draw(t, "full"))
		case 4:
			d.send(app.Msg{Do: "save-again"})
		case 5:
			d.hear(rapid.IntRange(1, 3).Draw(t, "heard"))
		}
		if d.order != "" {
			t.Fatal(d.order)
		}
	}
	for range 4 {
		d.answer(100, false)
		d.hear(100)
		d.send(app.Msg{Do: "save-again"})
	}
	d.answer(100, false)
	d.hear(100)
	if !r.State.Kept() || r.State.Disk.Fault.Text != "" {
		t.Fatalf("a disk that works did not get everything: %+v", r.State.Disk.Fault)
	}
	if written > 0 && d.last != written {
		t.Fatalf("%d is on the disk last, want %d", d.last, written)
	}
}

// Of three changes of one value the first failed, the second was on its way when
// that was heard and fails, too, and the third waited: they reach the disk in the
// order in which they were made.
func TestWhatWaitsGoesBehindWhatIsOnItsWay(t *testing.T) {
	r, err := app.NewRunner(1, &app.Memory{})
	if err != nil {
		t.Fatal(err)
	}
	d := &slowDisk{state: r.State, disk: r.Disk}
	write := func(text string) { d.send(app.Msg{Do: "phone.initials", Text: text}) }
	write("1")
	d.answer(1, true)
	write("2")
	d.hear(1)
	write("3")
	d.answer(2, false)
	d.hear(2)
	d.answer(1, false)
	d.hear(1)
	if d.order != "" || d.last != 3 || !r.State.Kept() {
		t.Errorf("%s: %d is on the disk last, everything is kept: %v", d.order, d.last, r.State.Kept())
	}
}

// slowDisk carries out saves as the page does, some time after they were asked
// for, and answers later still.
type slowDisk struct {
	state   *app.State
	disk    *app.Memory
	asked   []app.Save
	answers []app.Msg
	gap     bool
	last    int    // the last text that reached the disk
	order   string // what reached it out of order
}

func (d *slowDisk) send(m app.Msg) {
	for _, e := range app.Update(d.state, m) {
		if e, ok := e.(app.Save); ok {
			d.asked = append(d.asked, e)
		}
	}
}

func (d *slowDisk) answer(n int, full bool) {
	for ; n > 0 && len(d.asked) > 0; n-- {
		e := d.asked[0]
		d.asked = d.asked[1:]
		d.gap = d.gap && !e.Again
		if len(e.Ops) > 0 && (d.gap || full) {
			d.gap = true
			d.answers = append(d.answers, app.Msg{Do: "save-failed", Args: []string{e.Tag, ""}, Text: "full"})
			continue
		}
		for _, op := range e.Ops {
			var text int
			if i := strings.Index(string(op.Value), `"initials":"`); i >= 0 {
				fmt.Sscanf(string(op.Value)[i:], `"initials":"%d"`, &text)
			}
			if text != 0 && text != d.last+1 && text != d.last && d.order == "" {
				d.order = fmt.Sprintf("%d came to the disk after %d", text, d.last)
			}
			d.last = max(d.last, text)
		}
		d.answers = append(d.answers, app.Msg{Do: "saved", Args: []string{e.Tag}})
	}
}

func (d *slowDisk) hear(n int) {
	for ; n > 0 && len(d.answers) > 0; n-- {
		m := d.answers[0]
		d.answers = d.answers[1:]
		d.send(m)
	}
}

// twoContests is a phone with the demo and, open, a contest of which a card is
// begun, and what the app keeps about itself.
func twoContests(t *testing.T) *app.Runner {
	t.Helper()
	r := keyingPhone(t, 1, "MB")
	r.Do("demo.open")
	r.Do("phone.aloud:on")
	r.Visit(page("keying", "1"))
	tap(r, "213")
	return r
}

// A store that was emptied while the app is open gets all that is in memory: the
// open contest is whole, and what was not open is named.
func TestAnEmptiedStoreIsWrittenAnew(t *testing.T) {
	r := twoContests(t)
	open := r.State.Open.Head.ID
	demo := r.State.Contests[slices.IndexFunc(r.State.Contests, func(h app.Head) bool { return h.ID != open })]
	want := all(t, r.Disk)
	maps.DeleteFunc(want, func(key, _ string) bool { return strings.Contains(key, demo.ID) })
	phone := r.State.Phone.ID

	*r.Disk = app.Memory{Fails: func([]app.Op) error { return errors.New("closed") }}
	tap(r, "2") // while it is being emptied
	r.Send(app.Msg{Do: "store-closed"})
	tap(r, "1")
	if _, ok := r.Shown[len(r.Shown)-1].(app.Reopen); !ok || r.State.Kept() {
		t.Fatalf("after the store was closed it asks for %T", r.Shown[len(r.Shown)-1])
	}
	r.Disk.Fails = nil
	r.Send(app.Msg{Do: "reopened"})
	got := all(t, r.Disk)
	for key, value := range want {
		if !strings.HasPrefix(key, "draft/") && got[key] != value {
			t.Errorf("%s is %q, was %q", key, got[key], value)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d values, want %d", len(got), len(want))
	}
	s := r.State
	if !s.Kept() || !strings.Contains(s.Notice.Text, s.Open.Head.Name) || !strings.Contains(s.Notice.Fix, demo.Name) {
		t.Errorf("kept %v, said %+v", s.Kept(), s.Notice)
	}
	if len(s.Disk.Lost) != 1 || s.Disk.Lost[0].ID != demo.ID || len(s.Contests) != 1 {
		t.Errorf("lost is %+v", s.Disk.Lost)
	}
	tap(r, "2")
	again := restart(t, r)
	again.Visit(page("keying", "1"))
	if again.State.Phone.ID != phone || again.State.Keying.Card == nil || again.State.Keying.Card.Item != 6 {
		t.Errorf("after a restart the card is %+v", again.State.Keying.Card)
	}
}

// A store that was only closed goes on as it was, with what was tapped meanwhile.
func TestAStoreThatWasClosed(t *testing.T) {
	r := twoContests(t)
	r.Disk.Fails = func([]app.Op) error { return errors.New("closed") }
	tap(r, "2")
	r.Send(app.Msg{Do: "store-closed"})
	r.Send(app.Msg{Do: "reopen-failed", Args: []string{"close the browser"}, Text: "it does not answer"})
	if !strings.Contains(r.State.Disk.Fault.Text, "does not answer") {
		t.Errorf("said %+v", r.State.Disk.Fault)
	}
	before := len(r.Shown)
	r.Do("save-again")
	if _, ok := r.Shown[before].(app.Reopen); !ok {
		t.Errorf("trying again asks for %T", r.Shown[before])
	}
	r.Disk.Fails = nil
	r.Send(app.Msg{Do: "reopened", Found: must(r.Disk.Load(app.BucketMeta, ""))})
	if !r.State.Kept() || r.State.Disk.Fault.Text != "" || len(r.State.Contests) != 2 {
		t.Errorf("said %+v, with %d contests", r.State.Disk.Fault, len(r.State.Contests))
	}
	again := restart(t, r)
	again.Visit(page("keying", "1"))
	if again.State.Keying.Card.Item != 4 {
		t.Errorf("after a restart the card is %+v", again.State.Keying.Card)
	}
}

// What the mark outside the store says and the store does not have was thrown
// away by the browser. It is said until it is seen to, and the contest is named
// until it is back.
func TestAnEvictedStoreIsNoticed(t *testing.T) {
	r := twoContests(t)
	if strings.Count(r.Mark, "\n") != 2 {
		t.Fatalf("the mark is %q", r.Mark)
	}
	bundle := handed(t, r, "")
	id := r.State.Open.Head.ID
	start := func(disk *app.Memory, mark string) *app.Runner {
		n := &app.Runner{State: app.New(), Disk: disk, Now: r.Now, Mark: mark}
		if err := app.Restore(n.State, disk.Load); err != nil {
			t.Fatal(err)
		}
		n.Send(app.Msg{Do: "boot", Args: []string{"", mark}})
		return n
	}
	if n := start(r.Disk, r.Mark); len(n.State.Disk.Lost) != 0 {
		t.Errorf("of a whole store %+v is lost", n.State.Disk.Lost)
	}
	disk := &app.Memory{}
	n := start(disk, r.Mark)
	if len(n.State.Disk.Lost) != 2 || n.State.Phone.ID == r.State.Phone.ID || n.Mark != r.Mark {
		t.Fatalf("lost %+v, phone %v, mark %q", n.State.Disk.Lost, n.State.Phone.ID, n.Mark)
	}
	n = start(disk, n.Mark) // not said once only
	n.Type("phone.initials", "MB")
	takeIn(t, n, bundle)
	if len(n.State.Disk.Lost) != 1 || n.State.Disk.Lost[0].ID == id {
		t.Errorf("after one is back, lost is %+v", n.State.Disk.Lost)
	}
	n.Do("lost.known")
	if n = start(disk, n.Mark); len(n.State.Disk.Lost) != 0 || strings.Count(n.Mark, "\n") != 1 {
		t.Errorf("after it was seen to, lost is %+v, and the mark %q", n.State.Disk.Lost, n.Mark)
	}
	// The records of the old key are another phone's now.
	if n.Visit("#/c/" + id); len(n.State.Open.Contest.State().Forks()) > 0 || n.State.Open.Own(n.State.Phone.ID) != nil {
		t.Error("the phone goes on under its old key")
	}
	n.Visit("#/phone")
	n.Do(app.Action("contest.forget", id))
	if n.Mark != "" {
		t.Errorf("the mark of a contest that was taken off is %q", n.Mark)
	}
}

// The mark never says more than what is on the disk.
func TestTheMarkWaitsForTheDisk(t *testing.T) {
	r := newPhone(t, 1, "MB")
	fullFor(r.Disk)
	r.Do("demo.open")
	if r.Mark != "" {
		t.Errorf("a contest that is not on the disk is marked: %q", r.Mark)
	}
	r.Disk.Fails = nil
	r.Do("save-again")
	if !strings.HasPrefix(r.Mark, r.State.Open.Head.ID+" ") {
		t.Errorf("the mark is %q", r.Mark)
	}
	if _, err := record.ParseContestID(strings.Fields(r.Mark)[0]); err != nil {
		t.Error(err)
	}
}

// How much room there is, and whether it is kept, is taken in and said once when
// it gets little.
func TestRoom(t *testing.T) {
	r := newPhone(t, 1, "MB")
	room := func(used, quota, kept string) app.Notice {
		r.Do("notice-close")
		r.Send(app.Msg{Do: "room", Args: []string{used, quota, kept}})
		return r.State.Notice
	}
	if n := room("0", "0", "no"); n.Text != "" || r.State.Tight() {
		t.Errorf("a browser that tells nothing: %+v", n)
	}
	if n := room("89", "100", "no"); n.Text != "" {
		t.Errorf("enough room: %+v", n)
	}
	if n := room("45500000", "50000000", "no"); !strings.Contains(n.Text, "4 MB") || n.Fix == "" {
		t.Errorf("little room: %+v", n)
	}
	if n := room("46500000", "50000000", "yes"); n.Text != "" || r.State.Phone.Kept != "yes" {
		t.Errorf("said twice: %+v; kept %q", n, r.State.Phone.Kept)
	}
	if room("1", "100", "no"); r.State.Phone.Kept != "no" || restart(t, r).State.Phone.Kept != "no" {
		t.Errorf("a promise that is gone is %q", r.State.Phone.Kept)
	}
}
