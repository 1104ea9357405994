package app_test

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"keelcard/engine/codec/frames"
	"keelcard/engine/enginetest"
	"keelcard/web/app"
)

// tick lets the time pass that the app last asked for.
func tick(t *testing.T, r *app.Runner) {
	t.Helper()
	for i := len(r.Shown) - 1; i >= 0; i-- {
		if e, ok := r.Shown[i].(app.Tick); ok {
			r.Shown = r.Shown[:i]
			r.Send(app.Msg{Do: "tick", Args: []string{e.Tag, strconv.Itoa(e.Run)}})
			return
		}
	}
	t.Fatal("nothing waits for a time to pass")
}

func see(r *app.Runner, text string) { r.Send(app.Msg{Do: "scan.code", Text: text}) }

// scanning opens the camera of a phone.
func scanning(t *testing.T, r *app.Runner) {
	t.Helper()
	r.Do("scan.begin")
	if !slices.Contains(r.Shown, app.Effect(app.Scan{})) || r.State.Page.Name != "scan" {
		t.Fatalf("the camera is not asked for; the page is %q", r.State.Page.Name)
	}
	r.Send(app.Msg{Do: "scan.opened"})
}

// A contest goes from one phone to another by pictures alone, although six in ten
// are missed, and back again with what the other phone keyed.
func TestAContestGoesOverByCodes(t *testing.T) {
	a, b := demoPhone(t), newPhone(t, 2, "CD")
	over := func(from, to *app.Runner) {
		t.Helper()
		visit(from, "show-code")
		from.Do("show-code.make")
		if from.State.Page.Name != "show-code" || from.State.ShowCode.Text == "" {
			t.Fatalf("no code is shown: %+v", from.State.Notice)
		}
		scanning(t, to)
		from.Do("show-code.start")
		pick := enginetest.Seeded(1)
		for range from.State.ShowCode.Blocks*4 + 60 {
			if pick(10) >= 6 {
				see(to, from.State.ShowCode.Text)
			}
			if to.State.Page.Name == "take-in" {
				break
			}
			if from.State.ShowCode.Blocks > 1 {
				tick(t, from)
			}
		}
		if to.State.Page.Name != "take-in" || to.State.TakeIn.Ready == nil {
			t.Fatalf("it did not arrive: %d of %d, %+v, %+v", to.State.Scanning.Have, to.State.Scanning.Need, to.State.Scanning.Fault, to.State.TakeIn.Faults)
		}
		to.Do("take-in.accept")
		from.Do("show-code.given")
	}
	over(a, b)
	if len(b.State.Open.Contest.Persons) != 40 {
		t.Fatalf("%d contestants arrived", len(b.State.Open.Contest.Persons))
	}
	visit(b, "keying", "4", "140")
	for _, hen := range []string{"2", "1", "3"} {
		b.Do("keying.mark:" + hen)
	}
	over(b, a)
	if own := a.State.Open.Own(b.State.Phone.ID); own == nil || len(own.Records) != 2 {
		t.Errorf("the card of the second phone is not on the first: %+v", own)
	}
	if w := a.State.Where(); w.Given == 0 || w.Phones != 1 {
		t.Errorf("after both ways it says %+v", w)
	}
	a = restart(t, a)
	a.Visit(app.Page{Name: "contest", Contest: b.State.Open.Head.ID}.Hash())
	if a.State.Open.Own(b.State.Phone.ID) == nil {
		t.Error("after a restart it is gone")
	}
}

// A moving code moves only as long as its page is open and nobody paused it, and
// never at twice the pace.
func TestCodesMoveOnlyWhileTheyShould(t *testing.T) {
	r := demoPhone(t)
	r.Do("show-code.make")
	c := func() app.ShowCode { return r.State.ShowCode }
	if c().Blocks < 2 || c().Moving || c().Number != 0 {
		t.Fatalf("at first it is %d pictures, moving %v", c().Blocks, c().Moving)
	}
	r.Do("show-code.start")
	old := r.Shown[len(r.Shown)-3].(app.Tick)
	if old.After < 1000/12 || old.After > 100 || old.Calm < 2*old.After {
		t.Errorf("a picture stays for %d ms, or %d in calm; 10 to 12 a second are read", old.After, old.Calm)
	}
	tick(t, r)
	if c().Number != 1 {
		t.Fatalf("after one tick picture %d is shown", c().Number)
	}
	r.Do("show-code.pause")
	r.Do("show-code.start")
	r.Send(app.Msg{Do: "tick", Args: []string{"show-code", strconv.Itoa(old.Run)}})
	if c().Number != 1 {
		t.Error("a tick of before the pause moves it")
	}
	tick(t, r)
	if c().Number != 2 {
		t.Error("it does not go on after a pause")
	}
	visit(r, "contest")
	before := len(r.Shown)
	r.Send(app.Msg{Do: "tick", Args: []string{"show-code", strconv.Itoa(old.Run + 1)}})
	if len(r.Shown) != before || c().Number != 2 {
		t.Error("it goes on behind another page")
	}
}

// Larger squares make more pictures of the same bundle; a receiver that has read
// some of the others gets the whole all the same.
func TestLargerSquares(t *testing.T) {
	a, b := demoPhone(t), newPhone(t, 2, "CD")
	a.Do("show-code.make")
	scanning(t, b)
	small := a.State.ShowCode
	see(b, small.Text)
	a.Do("show-code.large")
	large := a.State.ShowCode
	if large.Blocks <= small.Blocks || len(large.Text) > 311 || len(small.Text) > 600 {
		t.Fatalf("%d pictures of %d letters, %d of %d with larger squares", small.Blocks, len(small.Text), large.Blocks, len(large.Text))
	}
	a.Do("show-code.start")
	for range large.Blocks {
		see(b, a.State.ShowCode.Text)
		tick(t, a)
	}
	if b.State.TakeIn.Ready == nil {
		t.Errorf("it did not arrive: %+v", b.State.Scanning)
	}
}

// A small bundle is one picture that stands still.
func TestASmallBundleIsOnePicture(t *testing.T) {
	a, b := newPhone(t, 1, "AB"), newPhone(t, 2, "CD")
	a.Type("new.start", "name=Poultry+Day")
	a.Do("show-code.make")
	c := a.State.ShowCode
	if c.Blocks != 1 || len(c.Text) > 970 {
		t.Fatalf("%d pictures of %d letters for %d bytes", c.Blocks, len(c.Text), c.Size)
	}
	a.Do("show-code.start")
	if a.State.ShowCode.Moving {
		t.Error("it moves")
	}
	scanning(t, b)
	see(b, c.Text)
	if b.State.TakeIn.Ready == nil {
		t.Errorf("it did not arrive: %+v", b.State.Scanning)
	}
}

// Whatever is held before the camera, nothing on the phone changes and what was
// gathered stays; what is wrong is said with what to do.
func TestWrongCodes(t *testing.T) {
	a, b := demoPhone(t), newPhone(t, 2, "CD")
	a.Do("show-code.make")
	a.Do("show-code.start")
	scanning(t, b)
	disk := b.Disk
	see(b, a.State.ShowCode.Text)
	for _, text := range []string{"", "https://example.org/", "KEELCARD", "KEELCARD:::", a.State.ShowCode.Text[:100], strings.Repeat("A", 5000), "KEELCARDÄ"} {
		see(b, text)
		if f := b.State.Scanning.Fault; f.Text == "" || f.Fix == "" {
			t.Errorf("%.20q: it says %+v", text, f)
		}
		if b.State.Scanning.Have != 1 {
			t.Errorf("%.20q: %d pictures are left", text, b.State.Scanning.Have)
		}
	}
	// A whole of something else: it is said on the page that takes files in.
	other, err := frames.NewSender([]byte("Dear all, the bus leaves at seven."), 400)
	if err != nil {
		t.Fatal(err)
	}
	see(b, frames.Text(other.Frame(0)))
	if b.State.Page.Name != "take-in" || len(b.State.TakeIn.Faults) != 1 || b.State.TakeIn.Ready != nil {
		t.Errorf("on page %q: %+v", b.State.Page.Name, b.State.TakeIn.Faults)
	}
	if found, _ := disk.Load(app.BucketRecord, ""); len(found) != 0 {
		t.Errorf("%d records were written", len(found))
	}
}

func TestACameraThatDoesNotOpen(t *testing.T) {
	a, b := demoPhone(t), newPhone(t, 2, "CD")
	a.Do("show-code.make")
	for _, why := range []string{"refused", "none", "busy", "barred", "reader"} {
		b.Do("scan.begin")
		b.Send(app.Msg{Do: "scan.trouble", Text: why})
		if sc := b.State.Scanning; sc.On || sc.Open || sc.Trouble != why {
			t.Errorf("%s: %+v", why, sc)
		}
	}
	// Laid aside and taken up again, it goes on with what it had.
	scanning(t, b)
	see(b, a.State.ShowCode.Text)
	b.Send(app.Msg{Do: "scan.trouble", Text: "stopped"})
	see(b, a.State.ShowCode.Text)
	b.Do("scan.begin")
	if sc := b.State.Scanning; !sc.On || sc.Trouble != "" || sc.Have != 1 {
		t.Errorf("begun again it is %+v", sc)
	}
	// What comes after the page was left changes nothing.
	b.Visit("#/phone")
	for _, m := range []app.Msg{{Do: "scan.code", Text: a.State.ShowCode.Text}, {Do: "scan.trouble", Text: "busy"}} {
		b.Send(m)
	}
	if b.State.Page.Name != "phone" || b.State.Scanning.Trouble != "" {
		t.Errorf("on page %q: %+v", b.State.Page.Name, b.State.Scanning)
	}
}

// More than codes can carry is said, and a file is named as the way.
func TestTooMuchForCodes(t *testing.T) {
	r := demoPhone(t)
	visit(r, "people", "paste")
	var b strings.Builder
	pick := enginetest.Seeded(3)
	for i := range 8000 {
		b.WriteString(strconv.Itoa(1000 + i))
		b.WriteString("\t")
		for range 60 {
			b.WriteByte(byte('A' + pick(26)))
		}
		b.WriteString("\n")
	}
	r.Type("people.paste", b.String())
	r.Do("people.take")
	r.Do("show-code.make")
	if c := r.State.ShowCode; c.Text != "" || c.Moving || !strings.Contains(r.State.Notice.Fix, "file") {
		t.Errorf("%d bytes in %d pictures, and it says %+v", c.Size, c.Blocks, r.State.Notice)
	}
}
