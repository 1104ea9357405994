package app_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/amount"
	"keelcard/engine/egg"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
)

// The published examples of egg grading, walked on the page by taps. Sources:
// University of Georgia Extension (Emanuel County), slides "Exterior Egg
// Quality", April 2006; University of Kentucky Extension 4AJ-05PO "Kentucky 4-H
// Poultry: Grading Eggs", table 1; Vermont agency rule 20-031-017, definitions;
// Washington Administrative Code 16-104-130 and -140; 7 Pa. Code 87.23 to 87.25;
// Extension slide set "Poultry Judging: Broken-Out Egg Quality".
func TestPublishedEggs(t *testing.T) {
	at := func(site, defect string, more ...string) []string {
		return append([]string{"call.site:" + site, "call.defect:" + site + ":" + defect}, more...)
	}
	for _, c := range []struct {
		name, thing string
		taps        []string
		want        string
	}{
		{"georgia: slight ridges only", "shell", at("middle", "ridges-slight"), "A"},
		{"georgia: a stain of 1/32", "shell", at("middle", "stain-moderate", "call.set:share:1/32"), "B"},
		{"georgia: a stain over 1/32", "shell", at("middle", "stain-moderate", "call.set:share:1/31"), "Dirty"},
		{"georgia: scattered over 1/16", "shell", at("large-end", "stain-scattered", "call.set:share:1/15"), "Dirty"},
		{"georgia: dirt sticking", "shell", at("small-end", "adhering"), "Dirty"},
		{"kentucky: traces of oil", "shell", at("middle", "oil"), "A"},
		{"kentucky: 1 mm of foreign matter", "shell", at("middle", "speck", "call.set:length:1 mm"), "Dirty"},
		{"kentucky: a pronounced body check", "shell", []string{"call.look:sound:1"}, "B"},
		{"vermont: cracked, nothing leaks", "shell", []string{"call.option:checks:apart", "call.look:sound:2"}, "Check"},
		{"vermont: contents can escape", "shell", []string{"call.look:sound:3"}, "Loss"},
		{"washington: 1/8 in, slight", "light", []string{"call.set:depth:1/8 in", "call.look:outline:0"}, "AA"},
		{"washington: 3/16 in, fair", "light", []string{"call.set:depth:3/16 in", "call.look:outline:1"}, "A"},
		{"pennsylvania: spots over 1/8 in", "light", at("white", "spot", "call.set:length:5/32 in"), "Loss"},
		{"pennsylvania: blood through the white", "light", at("white", "blood-spread"), "Loss"},
		{"pennsylvania: a blood ring", "light", at("yolk", "blood-ring"), "Loss"},
		{"pennsylvania: a green white", "light", at("white", "green-white"), "Loss"},
		{"pennsylvania: a germ, no blood", "light", at("yolk", "germ-visible"), "B"},
		{"pennsylvania: an olive yolk", "light", at("yolk", "yolk-serious"), "B"},
		{"slides: a spot under 1/8 in", "opened", at("yolk", "spot", "call.set:length:3/32 in"), "B"},
	} {
		r := atCall(t, append([]string{"call.thing:" + c.thing}, c.taps...)...)
		if j := called(r); j.Err != nil || j.Grade != c.want {
			t.Errorf("%s: %q (%v), want %s", c.name, j.Grade, j.Err, c.want)
		}
		if len(called(r).Aside) > 0 {
			t.Errorf("%s: something found is left aside", c.name)
		}
	}
}

// Haugh values of the published formula, with the grade by 72 and 60 (1 NYCRR
// 190.9; 7 Pa. Code 87.25); the values were computed apart from this program.
func TestHaughValuesOnThePage(t *testing.T) {
	for _, c := range []struct{ weight, height, value, want string }{
		{"46", "3.4", "59.72 HU", "B"}, {"46", "4.6", "71.23 HU", "A"}, {"46", "5.4", "77.49 HU", "AA"}, {"48", "2.4", "45.4 HU", "B"},
		{"56.7", "4.6", "66.19 HU", "A"}, {"60", "2.4", "34.84 HU", "B"}, {"70", "5.9", "72.23 HU", "AA"}, {"64", "7.4", "84.78 HU", "AA"},
	} {
		r := atCall(t, "call.thing:opened")
		r.Type("call.type:length", c.height)
		r.Type("call.type:weight", c.weight)
		j := wantGrade(t, r, c.want)
		f := r.State.CallBird().Findings[0]
		form, limits := r.State.CallBird().Bird().Form()
		value, ok := egg.Haugh(*f.Length, *f.Weight, form)
		if got := value.String(); !ok || strings.Replace(got, "0 HU", " HU", 1) != c.value && got != c.value {
			t.Errorf("%s g, %s mm: %s, want %s", c.weight, c.height, got, c.value)
		}
		if len(limits) != 2 || limits[0].Grade != "AA" || limits[1].Grade != "A" {
			t.Errorf("the limits of the %s form are %+v", form, limits)
		}
		if len(j.Unmeasured) != 0 {
			t.Errorf("%s g, %s mm: lacking %+v", c.weight, c.height, j.Unmeasured)
		}
	}
	// The row where the forms part: 60.11 by the short form with 7.6.
	r := atCall(t, "call.thing:opened", "call.set:length:3.4", "call.set:weight:46")
	j := wantGrade(t, r, "B")
	if i := slices.IndexFunc(j.Differ, func(d grading.Difference) bool { return d.Option == "short-76" }); i < 0 || j.Differ[i].Grade != "A" {
		t.Errorf("differ %+v, want A by the short form with 7.6", j.Differ)
	}
	touch(t, r, "call.option:form:short-76")
	wantGrade(t, r, "A")
}

// A bracket that is not positive has no value: it is said, and no nought.
func TestAWhiteThatCannotBeMeasured(t *testing.T) {
	r := atCall(t, "call.thing:opened", "call.set:length:0.3 mm", "call.set:weight:70 g")
	j := wantGrade(t, r, "B")
	if len(j.Unmeasured) != 1 || !j.Unmeasured[0].NoValue {
		t.Errorf("unmeasured %+v", j.Unmeasured)
	}
	if got := app.Because(r.State.CallBird().Bird(), j); !strings.Contains(got, "not measurable") {
		t.Errorf("said is %q", got)
	}
}

func TestStepsOfAnOpenedEgg(t *testing.T) {
	r := atCall(t, "call.thing:opened", "call.step:length:1", "call.step:length:1", "call.step:length:-1", "call.step:length:-1")
	if got := r.State.CallBird().Findings[0].Length; got == nil || *got != 49*amount.Millimetre/10 {
		t.Errorf("the height is %v, want 4.9 mm", got)
	}
	r.Send(app.Msg{Do: "key", Args: []string{"+"}})
	if got := *r.State.CallBird().Findings[0].Length; got != 5*amount.Millimetre {
		t.Errorf("+ gives %v", got)
	}
	// A look gives way to the gauge, and what is emptied is gone.
	r = atCall(t, "call.thing:opened", "call.look:high:1", "call.look:high:2")
	wantGrade(t, r, "B")
	if n := len(r.State.CallBird().Findings); n != 1 {
		t.Errorf("%d findings, want one look", n)
	}
	touch(t, r, "call.set:length:6", "call.set:weight:56.7")
	wantGrade(t, r, "AA")
	touch(t, r, "call.clear:length", "call.clear:weight")
	if n := len(r.State.CallBird().Findings); n != 0 {
		t.Errorf("%d findings stay of a white that was not measured", n)
	}
}

func TestTheTemperatureIsNoted(t *testing.T) {
	for text, want := range map[string]struct {
		note   string
		within bool
	}{"52": {"52 °F", true}, "45 f": {"45 °F", true}, "60F": {"60 °F", true}, "61 F": {"61 °F", false}, "11 °C": {"11 °C", true}, "7 C": {"7 °C", false}, "15.6 C": {"15.6 °C", false}, "15,5 c": {"15,5 °C", true}} {
		r := atCall(t, "call.thing:opened", "call.set:length:5", "call.set:weight:55")
		r.Type("call.type:warmth", text)
		note := r.State.CallBird().Findings[0].Note
		if told, within := app.Warmth(note); note != want.note || !told || within != want.within {
			t.Errorf("%s: noted %q, within %v", text, note, within)
		}
	}
	r := atCall(t, "call.thing:opened", "call.set:length:5")
	for _, text := range []string{"cold", "-4", "1 2", "5.55", "99999", "F"} {
		r.Type("call.type:warmth", text)
		if f := r.State.Call.Finder.Fault; f.Field != "warmth" || f.Text != text || f.What == "" || r.State.CallBird().Findings[0].Note != "" {
			t.Errorf("%q is taken: %+v", text, f)
		}
	}
}

// On a Large egg 1/32 of the shell is a round spot about 1.7 cm across, 1/16 one
// of about 2.4 cm (computed from a shell of 68 to 70 cm²).
func TestAStainToScale(t *testing.T) {
	r := atCall(t, "call.thing:shell", "call.site:middle", "call.defect:middle:stain-moderate")
	if j := called(r); len(j.Unmeasured) == 0 {
		t.Error("a stain without a size has all that is needed")
	}
	bird := func() app.Bird { return r.State.CallBird().Bird() }
	touch(t, r, "call.set:length:16 mm")
	wantGrade(t, r, "B")
	touch(t, r, "call.set:length:17.5 mm")
	wantGrade(t, r, "Dirty")
	if share, ok := bird().Covered(bird().Findings[0]); !ok || share.Num*100/share.Den != 3 {
		t.Errorf("17.5 mm is %v of the shell", share)
	}
	// The same stain on a Jumbo egg is less of it: 68 g and more.
	touch(t, r, "call.weight:1")
	wantGrade(t, r, "B")
	// A share instead of the width, and back again.
	touch(t, r, "call.set:share:1/16")
	if f := bird().Findings[0]; f.Length != nil || f.Share == nil {
		t.Errorf("both are told: %+v", f)
	}
	touch(t, r, "call.step:length:1")
	if f := bird().Findings[0]; f.Length == nil || f.Share != nil || *f.Length != 10*amount.Millimetre {
		t.Errorf("both are told: %+v", f)
	}
	if got := bird().SpotWidth(amount.Share{Num: 1, Den: 32}); got < 175*amount.Millimetre/10 || got > 185*amount.Millimetre/10 {
		t.Errorf("1/32 of a Jumbo egg is %v wide", got)
	}
}

// Parts (National 4-H Poultry Judging Manual, 2021, grading ready-to-cook parts;
// Penn State Extension: a hip out of joint does not lower a leg quarter).
func TestParts(t *testing.T) {
	r := atCall(t, "call.thing:part", "call.kind:leg-quarter", "call.site:hip", "call.defect:hip:hip-out")
	wantGrade(t, r, "A")
	touch(t, r, "call.site:part", "call.defect:part:tear", "call.set:length:3/8 in")
	wantGrade(t, r, "B")
	touch(t, r, "call.set:share:1/2")
	wantGrade(t, r, "C")
	if got := r.State.Call.Finder.Shown(r.State.CallBird().Bird()); got != "leg-quarter" {
		t.Errorf("drawn is %q", got)
	}
	touch(t, r, "call.book:parts-federal", "call.view:thigh")
	if b := r.State.CallBird(); b.Book != "parts-federal" || b.Kind != "chicken" || len(b.Findings) != 2 {
		t.Errorf("by the federal standard it is %+v", b)
	}
	if got := r.State.Call.Finder.Shown(r.State.CallBird().Bird()); got != "thigh" {
		t.Errorf("drawn is %q", got)
	}
}

// Further-processed products (University of Arkansas, Poultry Science, judging
// practice page: exercise 1 items 5, 6 and 10, exercise 2 items 2 and 5, exercise
// 3 item 6), by the readings of that page.
func TestProducts(t *testing.T) {
	apart := []string{"call.thing:piece", "call.option:bare-spot:half-inch", "call.option:color:apart", "call.option:shape-size:two", "call.option:missing-meat:apart", "call.kind:nugget"}
	spot := func(size string) []string {
		return []string{"call.site:piece-1", "call.defect:piece-1:bare-spot", "call.set:length:" + size, "call.leave"}
	}
	for _, c := range []struct {
		name string
		taps []string
		want []string
	}{
		{"under 1/2 in", spot("3/8 in"), nil},
		{"odd shape, over 1/2 in", append(spot("5/8 in"), "call.look:shape-odd:1"), []string{"coating", "shape"}},
		{"a flat among drumettes", []string{"call.kind:bone-in", "call.look:wing-miscut:1"}, []string{"miscut-wing"}},
		{"odd shape and size, under 1/2 in", append(spot("3/8 in"), "call.look:shape-odd:1", "call.look:size-odd:1"), []string{"shape", "size"}},
		{"over 1/2 in", spot("9/16 in"), []string{"coating"}},
		{"more than 1 in gone, bone-in", append([]string{"call.kind:bone-in"}, spot("17/16 in")...), []string{"coating"}},
		{"several, each under 1/2 in", append(spot("3/8 in"), spot("7/16 in")...), nil},
	} {
		r := atCall(t, append(slices.Clone(apart), c.taps...)...)
		bird := r.State.CallBird().Bird()
		var got []string
		for _, p := range grading.FaultsOf(bird.Book, bird.Judge().Verdict) {
			got = append(got, p.ID)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	r := atCall(t, append([]string{"call.thing:piece", "call.kind:patty"}, spot("9/16 in")...)...)
	bird := r.State.CallBird().Bird()
	if got, want := app.Sentence(bird, bird.Judge()), "Coating: 9/16 in; over 1/2 in is a fault"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestACartonHasItsFaults(t *testing.T) {
	r := atCall(t, "call.thing:carton", "call.site:egg-4", "call.defect:egg-4:check", "call.leave", "call.look:mixed-color:1")
	bird := r.State.CallBird().Bird()
	if got, want := app.Because(bird, bird.Judge()), "Check · mixed colour"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	touch(t, r, "call.look:mixed-color:0", "call.remove:1")
	bird = r.State.CallBird().Bird()
	if got := grading.FaultsOf(bird.Book, bird.Judge().Verdict); len(got) != 0 {
		t.Errorf("faults %v of a sound carton", got)
	}
}

// Whatever is called, another thing is one tap away and nothing is lost.
func TestAnotherThingIsOneTap(t *testing.T) {
	r := atCall(t, append(bare, "call.set:length:1/2 in", "call.thing:light", "call.set:depth:1/4 in", "call.thing:opened", "call.thing:bird")...)
	wantGrade(t, r, "B")
	if c := r.State.CallBird(); c.Book != "carcass-youth" || len(c.Findings) != 1 {
		t.Errorf("back at the bird there is %+v", c)
	}
	touch(t, r, "call.book:carcass-federal", "call.thing:light")
	wantGrade(t, r, "B")
	r = restart(t, r)
	if c := r.State.CallBird(); c.Book != "egg-candled" || len(c.Findings) != 1 {
		t.Errorf("after a restart there is %+v", c)
	}
	r.Visit("#/call")
	touch(t, r, "call.thing:bird")
	if c := r.State.CallBird(); c.Book != "carcass-federal" || len(c.Findings) != 1 {
		t.Errorf("the book used last is forgotten: %+v", c)
	}
	touch(t, r, "call.undo")
	wantGrade(t, r, "B")
	touch(t, r, "call.thing:moon", "call.thing", "call.thing:light")
	if c := r.State.CallBird(); c.Book != "egg-candled" {
		t.Errorf("now it is %+v", c)
	}
	var listed []string
	for _, thing := range app.Things {
		listed = append(listed, app.CallBooks(thing.Drawing)...)
	}
	for _, b := range rulebook.Builtin() {
		if !slices.Contains(listed, b.ID) || !slices.Contains(app.CallBooks(app.Drawing(b)), b.ID) {
			t.Errorf("%s cannot be called by, or stands under another thing", b.ID)
		}
	}
}

func TestLinksOfEveryThing(t *testing.T) {
	for _, taps := range [][]string{
		{"call.thing:opened", "call.set:length:3.4", "call.set:weight:46", "call.option:form:short-76"},
		{"call.thing:shell", "call.weight:2", "call.site:small-end", "call.defect:small-end:stain-scattered", "call.set:length:9 mm", "call.count:2"},
		{"call.thing:light", "call.set:depth:3/16 in", "call.look:outline:2", "call.look:firm:1"},
		{"call.thing:part", "call.kind:whole-wing", "call.site:joint", "call.defect:joint:disjoint"},
		{"call.thing:piece", "call.kind:patty", "call.site:piece-3", "call.defect:piece-3:bare-spot", "call.set:length:5/8 in", "call.look:cluster:1"},
		{"call.thing:carton", "call.site:egg-12", "call.defect:egg-12:body-check", "call.look:uneven-size:1"},
	} {
		r := atCall(t, append(taps, "call.share")...)
		shared, ok := r.Shown[len(r.Shown)-1].(app.ShareText)
		if !ok {
			t.Fatalf("%s is not shared: %+v", taps[0], r.State.Notice)
		}
		other := newPhone(t, 2, "")
		other.Visit(shared.Hash)
		if got, want := other.State.CallBird(), r.State.CallBird(); !reflect.DeepEqual(got, want) {
			t.Errorf("%s: the link opens %+v, want %+v", taps[0], got, want)
		}
	}
}

func TestFaultyMessagesAboutLooks(t *testing.T) {
	r := atCall(t, "call.thing:light", "call.set:depth:3/16 in", "call.look:outline:1")
	before := r.State.CallBird()
	for _, a := range []string{"call.look", "call.look:outline", "call.look:outline:3", "call.look:outline:-1", "call.look:sound:1", "call.look:moon:1",
		"call.set:length:1 in", "call.set:weight:50", "call.set:share:1/2", "call.set:warmth:52", "call.count:1", "call.sure:doubtful", "call.step:weight:1", "call.step:length:1",
		"call.weight:1", "call.kind:chicken", "call.view:back", "call.clear:share"} {
		touch(t, r, a)
		if got := r.State.CallBird(); !reflect.DeepEqual(got, before) {
			t.Fatalf("%s changed the call to %+v", a, got)
		}
	}
	// Naming what is measured already opens it; a look takes the place of another.
	touch(t, r, "call.site:air-cell", "call.defect:air-cell:air-cell")
	if f := r.State.Call.Finder; f.Open != 1 || len(r.State.CallBird().Findings) != 2 {
		t.Errorf("open is %d of %d findings", f.Open, len(r.State.CallBird().Findings))
	}
	touch(t, r, "call.leave", "call.site:yolk", "call.defect:yolk:yolk-plain")
	if got := r.State.CallBird().Findings; len(got) != 2 || got[1].Defect != "yolk-plain" {
		t.Errorf("the yolk is seen in two ways: %+v", got)
	}
}
