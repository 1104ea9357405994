package app_test

import (
	"reflect"
	"strings"
	"testing"

	"keelcard/engine/amount"
	"keelcard/engine/enginetest"
	"keelcard/engine/grading"
	"keelcard/web/app"
)

// atCall opens the page of a call on a new phone and does what is asked.
func atCall(t *testing.T, actions ...string) *app.Runner {
	t.Helper()
	r := newPhone(t, 1, "")
	r.Visit("#/call")
	touch(t, r, actions...)
	return r
}

// touch sends actions. A tap on a site falls on a place of the drawing.
func touch(t *testing.T, r *app.Runner, actions ...string) {
	t.Helper()
	for _, a := range actions {
		m, err := app.Parse(a)
		if err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(m.Do, ".site") {
			m.X, m.Y = 470, 630
		}
		r.Send(m)
	}
}

func called(r *app.Runner) app.Judged { return r.State.CallBird().Bird().Judge() }

func wantGrade(t *testing.T, r *app.Runner, want string) app.Judged {
	t.Helper()
	j := called(r)
	if j.Err != nil || j.Grade != want {
		t.Errorf("the verdict is %q (%v), want %s", j.Grade, j.Err, want)
	}
	return j
}

// bare taps the breast and says that skin is gone there.
var bare = []string{"call.site:breast", "call.defect:breast:bare-flesh"}

// A bare spot of 1/2 in on the breast of a bird of 2 to 6 lb is over the 1/4 in
// of an A (University of Georgia Extension, slides on ready-to-cook carcasses,
// 2006/2009; worked example 7 of the facts on carcasses: B).
func TestHalfAnInchOnTheBreastIsB(t *testing.T) {
	r := atCall(t, bare...)
	wantGrade(t, r, "A")
	touch(t, r, "call.set:length:1/2 in")
	j := wantGrade(t, r, "B")
	if len(j.Set) != 1 || j.Set[0].Limit.Most != "1/4 in" || j.Set[0].Limit.Grade != "A" || j.Set[0].Limit.Source != "georgia-extension" {
		t.Errorf("set by %+v, want the 1/4 in of an A", j.Set)
	}
	bird := r.State.CallBird().Bird()
	if got, want := app.Sentence(bird, j), "B: Breast, skin gone, flesh showing: 1/2 in; A allows up to 1/4 in"; got != want {
		t.Errorf("the sentence is %q, want %q", got, want)
	}
	f := bird.Findings[0]
	if f.View != "front" || f.X != 470 || f.Y != 630 {
		t.Errorf("the finding is at %q %d, %d, want where it was tapped", f.View, f.X, f.Y)
	}
}

// A cut of exactly 1/4 in stays A (National 4-H Poultry Judging Manual, 2021,
// grading ready-to-cook parts).
func TestExactlyTheLimitStaysA(t *testing.T) {
	r := atCall(t, append(bare, "call.set:length:1/4 in")...)
	j := wantGrade(t, r, "A")
	if len(j.Touched) != 1 || j.Touched[0].Limit.Most != "1/4 in" {
		t.Errorf("touched %+v, want the limit of 1/4 in", j.Touched)
	}
	if got := app.Because(r.State.CallBird().Bird(), j); !strings.Contains(got, "exactly what A allows") {
		t.Errorf("the sentence does not say that the limit is touched: %q", got)
	}
	// Some slides want it smaller than the limit.
	touch(t, r, "call.option:at-length:less-than")
	wantGrade(t, r, "B")
	touch(t, r, "call.option:at-length:up-to")
	wantGrade(t, r, "A")
}

// A cut 2.5 mm deep is B by 1/8 in and C by a five-cent coin, 1.95 mm (University
// of Georgia Extension; United States Mint).
func TestAnotherReadingChangesTheVerdict(t *testing.T) {
	r := atCall(t, "call.site:breast", "call.defect:breast:meat-trimmed", "call.set:depth:2.5 mm")
	j := wantGrade(t, r, "B")
	if len(j.Differ) == 0 || j.Differ[0].Choice != "depth" || j.Differ[0].Grade != "C" {
		t.Fatalf("differ %+v, want the coin to give C", j.Differ)
	}
	touch(t, r, "call.option:depth:coin")
	wantGrade(t, r, "C")
	touch(t, r, "call.undo")
	wantGrade(t, r, "B")
}

func TestLengthsByButtons(t *testing.T) {
	r := atCall(t, bare...)
	for _, step := range []struct {
		do   string
		want amount.Length
	}{
		{"call.step:length:1", amount.Inch / 16},
		{"call.step:length:1", amount.Inch / 8},
		{"call.step:length:-1", amount.Inch / 16},
		{"call.step:length:-1", amount.Inch / 16}, // nothing is not a size
		{"call.set:length:38 mm", 38 * amount.Millimetre},
		{"call.step:length:1", amount.Inch * 3 / 2}, // 38.1 mm is the next 16th
		{"call.set:length:38 mm", 38 * amount.Millimetre},
		{"call.step:length:-1", amount.Inch * 23 / 16},
	} {
		touch(t, r, step.do)
		got := r.State.CallBird().Findings[0].Length
		if got == nil || *got != step.want {
			t.Errorf("after %s the length is %v, want %v", step.do, got, step.want)
		}
	}
	touch(t, r, "call.clear:length")
	if got := r.State.CallBird().Findings[0].Length; got != nil {
		t.Errorf("a length taken away is still %v", got)
	}
}

func TestATypedLengthThatIsNoneLosesNothing(t *testing.T) {
	r := atCall(t, append(bare, "call.set:length:1/2 in")...)
	for _, text := range []string{"half a thumb", "1/2", "1/0 in", "-3 mm", "0 in", "99999999999 m", strings.Repeat("9", 500) + " in"} {
		r.Type("call.type:length", text)
		f := r.State.Call.Finder.Fault
		if f.Field != "length" || f.Text != text || f.What == "" {
			t.Errorf("%.20q: the fault is %+v", text, f)
		}
		if got := r.State.CallBird().Findings[0].Length; got == nil || *got != amount.Inch/2 {
			t.Errorf("%.20q changed the length to %v", text, got)
		}
	}
	r.Type("call.type:length", "1 1/2 in")
	if got := *r.State.CallBird().Findings[0].Length; got != amount.Inch*3/2 || r.State.Call.Finder.Fault.Field != "" {
		t.Errorf("a good length gives %v, with the fault %+v", got, r.State.Call.Finder.Fault)
	}
}

func TestShares(t *testing.T) {
	r := atCall(t, append(bare, "call.set:length:2 in", "call.set:part:6 in")...)
	f := r.State.CallBird().Findings[0]
	if s, ok := grading.Share(f); !ok || s != (amount.Share{Num: 1, Den: 3}) {
		t.Errorf("2 in of 6 in is %v, want 1/3", s)
	}
	// Exactly a third is B (National 4-H manual), half is C.
	wantGrade(t, r, "B")
	touch(t, r, "call.set:share:1/2")
	wantGrade(t, r, "C")
	if f := r.State.CallBird().Findings[0]; f.PartLength != nil {
		t.Errorf("an estimate leaves the length of the part at %v", f.PartLength)
	}
	r.Type("call.type:share", "120 %")
	if r.State.Call.Finder.Fault.Field != "share" {
		t.Error("120 % of a part is taken")
	}
	wantGrade(t, r, "C")
}

func TestFindingsAreChangedAndTakenAway(t *testing.T) {
	r := atCall(t, append(bare, "call.set:length:1/2 in", "call.leave", "call.view:back", "call.site:wing-left", "call.defect:wing-left:wing-off")...)
	wantGrade(t, r, "C") // one complete wing gone (Georgia Agricultural Education, slides, 2007)
	if got := r.State.Call.Finder.Open; got != 2 {
		t.Errorf("finding %d is open, want the new one", got)
	}
	touch(t, r, "call.finding:1")
	if f := r.State.Call.Finder; f.Open != 1 || f.View != "front" {
		t.Errorf("finding %d is open in view %s, want 1 in front", f.Open, f.View)
	}
	touch(t, r, "call.remove:2")
	wantGrade(t, r, "B")
	touch(t, r, "call.undo")
	wantGrade(t, r, "C")
	touch(t, r, "call.new")
	wantGrade(t, r, "A")
	touch(t, r, "call.undo")
	wantGrade(t, r, "C")
}

func TestRepeatedStepsAreOneStepBack(t *testing.T) {
	r := atCall(t, bare...)
	for range 12 {
		touch(t, r, "call.step:length:1")
	}
	wantGrade(t, r, "B")
	touch(t, r, "call.undo")
	if got := r.State.CallBird().Findings; len(got) != 1 || got[0].Length != nil {
		t.Errorf("one step back leaves %+v", got)
	}
	touch(t, r, "call.undo", "call.undo")
	if got := r.State.CallBird().Findings; len(got) != 0 {
		t.Errorf("three steps back leave %+v", got)
	}
}

func TestACallSurvivesARestart(t *testing.T) {
	r := atCall(t, append(bare, "call.set:length:1/2 in", "call.option:spots:together", "call.weight:2")...)
	before := r.State.CallBird()
	r = restart(t, r)
	if got := r.State.CallBird(); !reflect.DeepEqual(got, before) {
		t.Errorf("after a restart the call is %+v, was %+v", got, before)
	}
	touch(t, r, "call.undo")
	if got := r.State.CallBird().Weight; got == before.Weight {
		t.Error("undo did not survive the restart")
	}
}

func TestADamagedCallIsAsIfThereWereNone(t *testing.T) {
	for _, kept := range []string{"", "{", `{"now":{"book":"moon"}}`, `{"now":{"book":"carcass-youth","kind":"swan","weight":"4 lb"}}`} {
		r := newPhone(t, 1, "")
		if err := r.Disk.Commit([]app.Op{{Bucket: app.BucketMeta, Key: "call", Value: []byte(kept)}}); err != nil {
			t.Fatal(err)
		}
		r = restart(t, r)
		r.Visit("#/call")
		wantGrade(t, r, "A")
	}
}

func TestTheOtherBook(t *testing.T) {
	// In a youth class off-colour areas are ignored; the federal standard has
	// no such finding and a meat trim of its own.
	r := atCall(t, "call.site:breast", "call.defect:breast:meat-trimmed", "call.set:depth:1/16 in")
	wantGrade(t, r, "B")
	touch(t, r, "call.book:carcass-federal")
	j := wantGrade(t, r, "A")
	if !reflect.DeepEqual(j.Aside, []int{0}) {
		t.Errorf("left aside %v, want the trimmed meat", j.Aside)
	}
	if got := app.Because(r.State.CallBird().Bird(), j); !strings.Contains(got, "left out") {
		t.Errorf("the sentence hides that a finding is left out: %q", got)
	}
	// The kinds of the federal book go beyond the youth book's.
	touch(t, r, "call.kind:duck", "call.book:carcass-youth")
	if c := r.State.CallBird(); c.Kind != "chicken" || len(c.Findings) != 1 {
		t.Errorf("back in the youth book the bird is a %s with %d findings", c.Kind, len(c.Findings))
	}
	wantGrade(t, r, "B")
}

// Over 6 to 16 lb an A may show 1/2 in on the breast (from memory).
func TestHeavierBirds(t *testing.T) {
	r := atCall(t, append(bare, "call.set:length:1/2 in", "call.weight:2")...)
	wantGrade(t, r, "A")
	touch(t, r, "call.weight:1")
	wantGrade(t, r, "B")
	touch(t, r, "call.weight:7", "call.weight:x", "call.kind:swan", "call.book:moon", "call.option:moon:full")
	wantGrade(t, r, "B")
}

func TestFaultyMessagesLoseNothing(t *testing.T) {
	r := atCall(t, append(bare, "call.set:length:1/2 in")...)
	before := r.State.CallBird()
	for _, a := range []string{
		"call.site:moon", "call.site", "call.defect:breast:wing-off", "call.defect:moon:cut", "call.defect", "call.finding:0", "call.finding:9", "call.finding:x",
		"call.remove:0", "call.remove:2", "call.step:length:0", "call.step:length:1000000", "call.step:moon:1", "call.step", "call.set:moon:1 in", "call.set:length:x",
		"call.count:99999999", "call.count:x", "call.sure:maybe", "call.view:side", "call.option", "call.book", "call.kind", "call.weight", "call.clear:moon",
	} {
		touch(t, r, a)
		if got := r.State.CallBird(); !reflect.DeepEqual(got, before) {
			t.Fatalf("%s changed the call to %+v", a, got)
		}
	}
}

func TestShareACall(t *testing.T) {
	r := atCall(t, append(bare, "call.set:length:1/2 in", "call.share")...)
	shared, ok := r.Shown[len(r.Shown)-1].(app.ShareText)
	if !ok {
		t.Fatalf("nothing is shared but %+v", r.Shown)
	}
	want := "B: Breast, skin gone, flesh showing: 1/2 in; A allows up to 1/4 in (Keelcard, Ready-to-cook carcass, youth contest, 2026.1; a teaching opinion, not an official grade)"
	if shared.Text != want {
		t.Errorf("the text is %q, want %q", shared.Text, want)
	}
	if n := len(shared.Hash); n > 300 {
		t.Errorf("the link of one finding has %d letters", n)
	}
	other := newPhone(t, 2, "")
	other.Visit(shared.Hash)
	if got, want := other.State.CallBird(), r.State.CallBird(); !reflect.DeepEqual(got, want) {
		t.Errorf("the link opens %+v, want %+v", got, want)
	}
	if got := other.State.Page.Hash(); got != "#/call" {
		t.Errorf("the address stays %q, so that a reload would undo what is changed", got)
	}
	// Opening a link can be taken back.
	other.Do("call.undo")
	wantGrade(t, other, "A")
}

func TestNotesStayOutOfLinks(t *testing.T) {
	r := atCall(t, bare...)
	r.Type("call.note", "as Ada saw it")
	c := r.State.CallBird()
	if c.Findings[0].Note != "as Ada saw it" {
		t.Fatalf("the note is %q", c.Findings[0].Note)
	}
	back, err := app.DecodeCall(app.EncodeCall(c))
	if err != nil || back.Findings[0].Note != "" {
		t.Errorf("through a link the note is %q (%v)", back.Findings[0].Note, err)
	}
}

func TestBrokenLinks(t *testing.T) {
	good := app.EncodeCall(atCall(t, bare...).State.CallBird())
	r := atCall(t, append(bare, "call.set:length:1/2 in")...)
	before := r.State.CallBird()
	for _, code := range []string{"1", "1!!!", "2" + good[1:], good[:len(good)-5], good[1:], strings.Repeat("1", 20_000), "1e30", "1bnVsbA"} {
		if _, err := app.DecodeCall(code); err == nil {
			t.Errorf("%.30q is read", code)
		}
		r.Visit("#/call/" + code)
		if got := r.State.CallBird(); !reflect.DeepEqual(got, before) {
			t.Errorf("%.30q changed the call", code)
		}
		if n := r.State.Call.Link; n.Tone != "bad" || n.Text == "" || n.Fix == "" {
			t.Errorf("%.30q: said is %+v", code, n)
		}
	}
}

func TestKeysOfTheKeyboardInACall(t *testing.T) {
	r := atCall(t, bare...)
	key := func(k string) { r.Send(app.Msg{Do: "key", Args: []string{k}}) }
	for range 5 {
		key("+")
	}
	key("-")
	if got := *r.State.CallBird().Findings[0].Length; got != amount.Inch/4 {
		t.Errorf("five steps up and one down give %v", got)
	}
	key("f")
	if got := r.State.Call.Finder.Shown(r.State.CallBird().Bird()); got != "back" {
		t.Errorf("f shows the %s", got)
	}
	key("Escape")
	if got := r.State.Call.Finder.Face(); got != app.FaceBird {
		t.Errorf("Escape leads to %s", got)
	}
	key("w")
	if got := r.State.Call.Finder.Face(); got != app.FaceWhy {
		t.Errorf("w leads to %s", got)
	}
	key("u")
	if got := r.State.CallBird().Findings[0].Length; got != nil {
		t.Errorf("u leaves the length %v", got)
	}
}

func FuzzDecodeCall(f *testing.F) {
	f.Add(app.EncodeCall(app.CallBird{Book: "carcass-youth", Kind: "chicken", Weight: 4 * amount.Pound}))
	l, s := amount.Inch/2, amount.Share{Num: 1, Den: 3}
	f.Add(app.EncodeCall(app.CallBird{Book: "carcass-federal", Kind: "turkey", Weight: 12 * amount.Pound,
		Choices:  map[string]map[string]string{"carcass-federal": {"spots": "alone"}},
		Findings: []grading.Finding{{Defect: "bare-flesh", Site: "breast", Length: &l, Share: &s, View: "back", X: 3, Y: 1000, Sure: "likely", Count: 3}}}))
	f.Add("1e30")
	f.Fuzz(func(t *testing.T, code string) {
		c, err := app.DecodeCall(code)
		if err != nil {
			if lack := enginetest.Untold(err); lack != "" {
				t.Fatal(lack)
			}
			return
		}
		if j := c.Bird().Judge(); j.Err != nil {
			t.Fatalf("a call that was read cannot be judged: %v", j.Err)
		}
		again, err := app.DecodeCall(app.EncodeCall(c))
		if err != nil || !reflect.DeepEqual(again, c) {
			t.Fatalf("%+v comes back as %+v (%v)", c, again, err)
		}
	})
}
