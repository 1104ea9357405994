package app_test

import (
	"fmt"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/hens"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/web/app"
	"keelcard/web/figure"
)

func hensPage(args ...string) string {
	return app.Page{Name: "hens", Contest: keyDay.String(), Args: args}.Hash()
}

// atHens opens the worksheet of the four hens of class 2.
func atHens(t *testing.T, args ...string) *app.Runner {
	t.Helper()
	r := atKey(t, "2")
	r.Visit(hensPage(append([]string{"2"}, args...)...))
	return r
}

func hensNow(t *testing.T, r *app.Runner) app.HensNow {
	t.Helper()
	h, err := r.State.HensNow()
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// bleached notes a hen whose first n places are bleached, the rest yellow.
func bleached(t *testing.T, r *app.Runner, hen, n int) {
	t.Helper()
	touch(t, r, fmt.Sprintf("hens.hen:%d", hen))
	for i, row := range hens.Chart() {
		word := "yellow"
		if i < n {
			word = "bleached"
		}
		touch(t, r, app.Action("hens.set", row.ID, word))
	}
}

// The places on the drawing are those of the chart, in the same order.
func TestTheDrawingHasThePlacesOfTheChart(t *testing.T) {
	words := []string{"vent", "eye", "earlobe", "base", "tip", "feet", "front", "rear", "hock"}
	for i, row := range hens.Chart() {
		if !strings.Contains(figure.HenPlaces[i], words[i]) || !strings.Contains(row.ID+" "+row.Name, words[i]) {
			t.Errorf("place %d is %q on the drawing and %q on the chart", i+1, figure.HenPlaces[i], row.ID)
		}
	}
	if len(figure.HenPlaces) != hens.Places {
		t.Errorf("%d places are drawn, %d are on the chart", len(figure.HenPlaces), hens.Places)
	}
}

// Hen 3 has laid most and hen 2 least; 1 and 4 are level in pigment, and 1 has
// the wider abdomen. By the national manual (Dec 2020, Feb 2021) pigment comes
// first and abdominal capacity parts those that are level.
func noteClass(t *testing.T, r *app.Runner) {
	t.Helper()
	for hen, n := range []int{4, 1, 7, 4} {
		bleached(t, r, hen+1, n)
		touch(t, r, "hens.set:pubic:"+[]string{"3", "1", "3", "2"}[hen], "hens.set:keel:3")
	}
}

func TestAWorksheetOutlivesARestartAndSetsTheKeyByATapOnly(t *testing.T) {
	r := atHens(t)
	if h := hensNow(t, r); h.Hen != 1 {
		t.Fatalf("the worksheet opens at hen %d, want the first", h.Hen)
	}
	noteClass(t, r)
	r = restart(t, r)
	r.Visit(hensPage("2"))
	h := hensNow(t, r)
	if h.Hen != 0 || h.Proposal.Order.String() != "3-1-4-2" {
		t.Fatalf("after a restart hen %d is open and %v is proposed, want all four and 3-1-4-2", h.Hen, h.Proposal.Order)
	}
	if h.Answer.Answer != "" {
		t.Fatalf("a proposal set the key to %q", h.Answer.Answer)
	}
	touch(t, r, "hens.cuts")
	if h = hensNow(t, r); h.Answer.Cuts != [3]uint8{} || r.State.Notice.Tone != "bad" {
		t.Error("cuts were taken without an order to which they belong")
	}
	touch(t, r, "hens.order", "hens.cuts")
	r = restart(t, r)
	r.Visit(hensPage("2", "0"))
	h = hensNow(t, r)
	if h.Answer.Answer != "3-1-4-2" || h.Answer.Cuts != h.Proposal.Cuts || h.Answer.Cuts == [3]uint8{} || !h.Agrees() {
		t.Errorf("the key is %+v, proposed is %v with %v", h.Answer, h.Proposal.Order, h.Proposal.Cuts)
	}
}

// Each tap is one record of the class and the hen.
func TestATapOnAPlaceGoesRound(t *testing.T) {
	r := atHens(t, "2")
	before := records(r)
	for i, want := range []string{"yellow", "fading", "bleached", ""} {
		touch(t, r, "hens.place:eye")
		h := hensNow(t, r)
		if got := h.Mine().Signs["eye"]; got != want {
			t.Errorf("after %d taps the eye ring is %q, want %q", i+1, got, want)
		}
		if n := records(r) - before; n != i+1 {
			t.Errorf("%d taps made %d records", i+1, n)
		}
	}
	touch(t, r, "hens.place:elbow", "hens.set:pubic:nine", "hens.set:comb:red")
	if n := records(r) - before; n != 4 {
		t.Errorf("signs that do not exist made records: %d", n)
	}
}

func TestAPaceGoesWithTheFeathers(t *testing.T) {
	r := atHens(t, "1")
	touch(t, r, "hens.set:molt:3", "hens.set:molt-pace:together")
	if s := hensNow(t, r).Mine().Signs; s[hens.KeyPace] != "together" {
		t.Fatalf("signs %v", s)
	}
	touch(t, r, "hens.set:molt:1")
	if s := hensNow(t, r).Mine().Signs; s[hens.KeyPace] != "" || s[hens.KeyMolt] != "1" {
		t.Errorf("one feather has signs %v", s)
	}
	touch(t, r, "hens.set:molt:1")
	if s := hensNow(t, r).Mine().Signs; len(s) != 0 {
		t.Errorf("a second tap leaves %v", s)
	}
}

func TestUndoTakesBackTapByTap(t *testing.T) {
	r := atHens(t, "1")
	touch(t, r, "hens.set:vent:bleached", "hens.hen:2", "hens.set:eye:fading", "hens.set:pubic:2")
	r = restart(t, r)
	r.Visit(hensPage("2", "1"))
	touch(t, r, "hens.undo")
	h := hensNow(t, r)
	if h.Hen != 2 || fmt.Sprint(h.Mine().Signs) != "map[eye:fading]" {
		t.Errorf("undo shows hen %d with %v", h.Hen, h.Mine().Signs)
	}
	touch(t, r, "hens.undo", "hens.undo")
	if h = hensNow(t, r); h.Hen != 1 || len(h.Mine().Signs) != 0 || len(h.Who) != 0 {
		t.Errorf("all taken back, hen %d has %v, noted by %v", h.Hen, h.Mine().Signs, h.Who)
	}
	n := records(r)
	if touch(t, r, "hens.undo"); records(r) != n {
		t.Error("undo went beyond the class")
	}
}

// besides gives the worksheet what another official noted on hen 1.
func besides(t *testing.T, signs map[string]string) *app.Runner {
	t.Helper()
	r := atHens(t, "1")
	value := must(contest.Seen{Signs: signs}.Write())
	err := r.Disk.Give(keyDay, "Tamarack County Poultry Day", 30,
		app.Fact{Who: "official/KT", Subject: record.Subject{Kind: contest.KindSeen, A: 2, B: 1}, Value: value, When: 1_789_998_000})
	if err != nil {
		t.Fatal(err)
	}
	r = restart(t, r)
	r.Visit(hensPage("2", "1"))
	return r
}

func TestNotesOfTwoOfficialsStandSideBySide(t *testing.T) {
	r := besides(t, map[string]string{"vent": "yellow"})
	// The first tap comes out equal to what the other noted, and stands by itself.
	touch(t, r, "hens.place:vent")
	h := hensNow(t, r)
	if len(h.Notes[1]) != 2 || len(h.Who) != 2 || h.Whose != "official/WR" {
		t.Fatalf("%d notes by %v, those of %s are looked at", len(h.Notes[1]), h.Who, h.Whose)
	}
	touch(t, r, "hens.place:vent", "hens.place:vent")
	r = restart(t, r)
	r.Visit(hensPage("2", "1"))
	h = hensNow(t, r)
	mine, _ := h.Of(1, "official/WR")
	other, _ := h.Of(1, "official/KT")
	if mine.Seen.Signs["vent"] != "bleached" || other.Seen.Signs["vent"] != "yellow" {
		t.Errorf("mine %v, the other's %v", mine.Seen.Signs, other.Seen.Signs)
	}
	if q := r.State.Open.Contest.Questions(); len(q) != 0 {
		t.Errorf("different notes are in question: %v", q)
	}
	touch(t, r, "hens.undo", "hens.undo", "hens.undo")
	h = hensNow(t, r)
	if len(h.Notes[1]) != 1 || h.Notes[1][0].Record.Who != "official/KT" {
		t.Errorf("after undo the notes are %+v", h.Notes[1])
	}
	if s := r.State.Open.Contest.Seen(2, 1); s.Signs["vent"] != "yellow" {
		t.Errorf("the latest note is %v", s.Signs)
	}
	if touch(t, r, "hens.whose:official/KT"); hensNow(t, r).Birds[0].Pigment[0] != hens.Yellow {
		t.Error("the other's notes are not looked at")
	}
}

func TestAnOfficialMayPlaceOtherwiseAndSayWhy(t *testing.T) {
	r := atHens(t)
	noteClass(t, r)
	r.Visit(keyPage("2"))
	touch(t, r, "key.hen:1", "key.hen:3", "key.hen:4")
	r.Visit(hensPage("2", "0"))
	if h := hensNow(t, r); !h.Departs() || h.Agrees() {
		t.Fatalf("key %q, proposed %v: it is not said that they differ", h.Answer.Answer, h.Proposal.Order)
	}
	r.Type("hens.why", "Hen 1 is far livelier.")
	r = restart(t, r)
	r.Visit(hensPage("2", "0"))
	h := hensNow(t, r)
	if h.Mine().Official != "Hen 1 is far livelier." || h.Answer.Answer != "1-3-4-2" {
		t.Errorf("the reason is %q, the key %q", h.Mine().Official, h.Answer.Answer)
	}
	r.Type("hens.why", strings.Repeat("a", 501))
	if r.State.Hens.Fault.What == "" || hensNow(t, r).Mine().Official != "Hen 1 is far livelier." {
		t.Error("a reason that is too long was taken")
	}
}

// Hens 1 and 4 are told apart by nothing: either order agrees.
func TestTiedHensAgreeInEitherOrder(t *testing.T) {
	for last, agrees := range map[string]bool{"3-1-4-2": true, "3-4-1-2": true, "1-3-4-2": false} {
		r := atHens(t)
		for hen, n := range []int{4, 1, 7, 4} {
			bleached(t, r, hen+1, n)
		}
		r.Visit(keyPage("2"))
		for _, hen := range strings.Split(last, "-")[:3] {
			touch(t, r, "key.hen:"+hen)
		}
		r.Visit(hensPage("2", "0"))
		h := hensNow(t, r)
		if h.Answer.Answer != last || h.Agrees() != agrees || h.Departs() == agrees {
			t.Errorf("key %q: agrees %v, want %v", h.Answer.Answer, h.Agrees(), agrees)
		}
	}
}

// Feel parts hens 1 and 2 one way, fingers the other: the national manual (Dec
// 2020) has capacity before fat, the older texts handling before capacity.
func TestTheOrderOfFactorsIsChosen(t *testing.T) {
	r := atHens(t)
	for hen := 1; hen <= hens.Count; hen++ {
		bleached(t, r, hen, []int{5, 5, 2, 1}[hen-1])
		touch(t, r, "hens.set:pubic:"+[]string{"3", "2", "2", "2"}[hen-1], "hens.set:keel:3", "hens.set:feel:"+[]string{"thick", "soft", "thick", "thick"}[hen-1])
	}
	touch(t, r, "hens.hen:0")
	if got := hensNow(t, r).Proposal.Order.String(); got != "1-2-3-4" {
		t.Errorf("by the national manual %s", got)
	}
	touch(t, r, "hens.way:older", "hens.way:unknown")
	r = restart(t, r)
	r.Visit(hensPage("2", "0"))
	if h := hensNow(t, r); h.Proposal.Order.String() != "2-1-3-4" || h.Way.ID != "older" {
		t.Errorf("by %s %s", h.Way.ID, h.Proposal.Order)
	}
}

func TestALockedKeyIsNotSetFromTheWorksheet(t *testing.T) {
	r := atHens(t)
	noteClass(t, r)
	touch(t, r, "hens.hen:0", "hens.order")
	r.Visit(keyPage("2"))
	touch(t, r, "key.lock", "key.correct")
	r.Visit(hensPage("2", "4"))
	touch(t, r, "hens.set:shank-rear:bleached", "hens.set:hock:bleached", "hens.hen:0", "hens.order")
	h := hensNow(t, r)
	if h.Proposal.Order.String() == "3-1-4-2" || h.Answer.Answer != "3-1-4-2" || r.State.Notice.Tone != "bad" {
		t.Errorf("the locked key became %q, proposed is %v", h.Answer.Answer, h.Proposal.Order)
	}
	if !h.Departs() {
		t.Error("notes written after the lock are not compared with the key")
	}
}

func TestAWorksheetNeedsInitialsAndAClassOfHens(t *testing.T) {
	r := atHens(t, "1")
	r.Type("phone.initials", "")
	n := records(r)
	if touch(t, r, "hens.place:vent"); records(r) != n || r.State.Notice.Text == "" {
		t.Error("a note by nobody was written, or it is not said why not")
	}
	r.Visit(hensPage("1"))
	if _, err := r.State.HensNow(); err == nil {
		t.Error("a class of carcasses has a worksheet for hens")
	}
	if touch(t, r, "hens.order"); r.State.Notice.Tone != "bad" {
		t.Error("it is not said why nothing happens")
	}
	r.Visit(hensPage("2"))
	if touch(t, r, "hens.order"); hensNow(t, r).Status != merge.Absent {
		t.Error("an order was taken from no notes")
	}
}

// A note of a newer version stays whole when a sign is added to it.
func TestSignsOfANewerVersionStay(t *testing.T) {
	r := besides(t, map[string]string{"vent": "yellow", "comb": "bright"})
	r.Type("phone.initials", "KT")
	touch(t, r, "hens.place:eye")
	h := hensNow(t, r)
	if len(h.Notes[1]) != 1 || h.Mine().Signs["comb"] != "bright" || h.Mine().Signs["eye"] != "yellow" || h.Notes[1][0].Err == nil {
		t.Errorf("notes %+v", h.Notes[1])
	}
	if got := app.SignsText(h.Mine().Signs); got != "Vent: yellow; Eye ring: yellow; comb: bright" {
		t.Errorf("told as %q", got)
	}
}
