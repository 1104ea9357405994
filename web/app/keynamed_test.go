package app_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/web/app"
)

// setNames answers the ten items of class 1 by the numbers of the names.
func setNames(r *app.Runner, class string) {
	r.Visit(page("key", class, "1"))
	for n := range 10 {
		r.Do(app.Action("key.name", fmt.Sprint(n+1)))
	}
}

func keyAnswers(r *app.Runner, class uint32) []string {
	var out []string
	for _, item := range r.State.Open.Contest.Key(everyKindOf(r, class)).Official {
		out = append(out, item.Answer)
	}
	return out
}

// A key of ten names is ten taps: the next item without an answer comes by
// itself, and one that is corrected stays open.
func TestAKeyOfNamesIsTenTaps(t *testing.T) {
	r := kindsPhone(t, 1, "WR")
	setNames(r, "1")
	if got, want := keyAnswers(r, 1), everyKindOf(r, 1).Answers(); !slices.Equal(got, want) {
		t.Fatalf("the key is %q, want %q", got, want)
	}
	touch(t, r, "key.item:3", "key.name:1")
	if k := keyNow(t, r); k.Item != 3 || k.Answer.Answer != "breast quarter" {
		t.Errorf("after a correction item %d is open with %q", k.Item, k.Answer.Answer)
	}
	touch(t, r, "key.undo")
	wantAnswer(t, r, "leg quarter")
	r = restart(t, r)
	r.Visit(page("key", "1", "3"))
	wantAnswer(t, r, "leg quarter")
	touch(t, r, "key.lock", "key.name:1")
	wantAnswer(t, r, "leg quarter")
	touch(t, r, "key.correct", "key.name:1")
	r.Type("key.official", "The rib cage is whole.")
	if k := wantAnswer(t, r, "breast quarter"); !k.Key.Locked || k.Seen.Official == "" {
		t.Errorf("corrected after the lock: %+v", k.Seen)
	}
}

// What else is right is set before the lock, and goes when it becomes the answer.
func TestAlsoRight(t *testing.T) {
	r := kindsPhone(t, 1, "WR")
	setNames(r, "1")
	touch(t, r, "key.item:5", "key.also:6", "key.also:7", "key.also:5", "key.also:99")
	if k := keyNow(t, r); !slices.Equal(k.Answer.Also, []string{"thigh with back", "drumstick"}) {
		t.Errorf("also right is %q", k.Answer.Also)
	}
	touch(t, r, "key.also:7", "key.name:6")
	if k := wantAnswer(t, r, "thigh with back"); len(k.Answer.Also) != 0 {
		t.Errorf("the answer is also right: %q", k.Answer.Also)
	}
	touch(t, r, "key.also:5", "key.lock", "key.correct", "key.also:1")
	if k := keyNow(t, r); !slices.Equal(k.Answer.Also, []string{"thigh"}) || r.State.Notice.Tone != "bad" {
		t.Errorf("after the lock also right is %q, notice %+v", k.Answer.Also, r.State.Notice)
	}
	r = atKey(t, "1", "1")
	touch(t, r, "key.also:2") // no answer yet
	touch(t, r, "key.answer:A", "key.also:2")
	if k := wantAnswer(t, r, "A"); !slices.Equal(k.Answer.Also, []string{"B"}) {
		t.Errorf("on a bird also right is %q", k.Answer.Also)
	}
}

// Faults are put on an item one tap each; without any it has no answer, so that
// “no fault” is always said.
func TestAKeyOfFaults(t *testing.T) {
	r := kindsPhone(t, 1, "WR")
	r.Visit(page("key", "4"))
	touch(t, r, "key.none", "key.fault:3", "key.fault:1")
	wantAnswer(t, r, "coating+cluster") // in the order of the book
	if got := r.State.KeyPage.Last.Value; got != "coating, cluster" {
		t.Errorf("read back %q", got)
	}
	touch(t, r, "key.fault:3", "key.fault:1")
	if k := keyNow(t, r); k.Status == merge.Single && k.Settled() && k.Answer.Answer != "" {
		t.Errorf("without a fault the answer is %q", k.Answer.Answer)
	}
	touch(t, r, "key.fault:5", "key.on")
	for range 8 {
		touch(t, r, "key.none")
	}
	want := append([]string{"none", "foreign"}, slices.Repeat([]string{"none"}, 8)...)
	if got := keyAnswers(r, 4); !slices.Equal(got, want) {
		t.Fatalf("the key is %q, want %q", got, want)
	}
	touch(t, r, "key.lock", "key.item:2", "key.correct", "key.fault:5")
	wantAnswer(t, r, "none") // a locked key has an answer for every item
}

func TestKeysOfNamesAndFaultsByKeyboard(t *testing.T) {
	r := kindsPhone(t, 1, "WR")
	r.Visit(page("key", "3"))
	press(r, "a", "e", "3", "ArrowLeft", "ArrowLeft", "b")
	if got := keyAnswers(r, 3)[:3]; !slices.Equal(got, []string{"A", "B", "C"}) {
		t.Errorf("by letters the key begins %q", got)
	}
	r.Visit(page("key", "4"))
	press(r, "n", "1", "4", "Enter", "0", "ArrowLeft", "u")
	if got := keyAnswers(r, 4)[:3]; !slices.Equal(got, []string{"none", "coating+incomplete", ""}) {
		t.Errorf("by keys the faults are %q", got)
	}
}

// Of a pasted key what can be read is taken as one piece; what cannot stays in
// the text with its faults.
func TestAPastedKey(t *testing.T) {
	r := kindsPhone(t, 1, "WR")
	r.Visit(page("key", "1"))
	touch(t, r, "key.paste")
	r.Type("key.paste-text", "1 Thigh\n2 drum\n3 tail\n4 whole-wing\n5 flat\n6 drumette\n7 leg\n8 leg quarter\n9 breast quarter\n10 breast quarter without wing")
	if n := records(r); n != 0 {
		t.Fatalf("%d records before anything is taken", n)
	}
	touch(t, r, "key.paste-take")
	want := []string{"thigh", "drumstick", "", "whole wing", "flat", "drumette", "whole leg", "leg quarter", "breast quarter", "breast quarter without wing"}
	if got := keyAnswers(r, 1); !slices.Equal(got, want) {
		t.Errorf("the key is %q, want %q", got, want)
	}
	if p := r.State.KeyPage.Paste; !p.Open || !strings.Contains(p.Text, "tail") {
		t.Errorf("of the text there is left %+v", p)
	}
	touch(t, r, "key.item:3") // the text stays while items are looked at
	r.Type("key.paste-text", strings.Replace(r.State.KeyPage.Paste.Text, "tail", "thigh with back", 1))
	touch(t, r, "key.paste-take")
	if got := keyAnswers(r, 1)[2]; got != "thigh with back" || r.State.KeyPage.Paste.Open {
		t.Errorf("mended it is %q, with the paste still open %v", got, r.State.KeyPage.Paste.Open)
	}
	if n := records(r); n != 10 {
		t.Errorf("%d records, want one an item", n)
	}
	touch(t, r, "key.lock", "key.correct", "key.paste")
	r.Type("key.paste-text", "1 drum")
	touch(t, r, "key.paste-take")
	if got := keyAnswers(r, 1)[0]; got != "thigh" {
		t.Errorf("a paste changed a locked key to %q", got)
	}
}

// A ruling changes what is right, not what the official set: the key page goes on
// from the official's answer.
func TestARulingStaysOutOfTheKey(t *testing.T) {
	r := kindsPhone(t, 1, "WR")
	setNames(r, "1")
	touch(t, r, "key.lock")
	class := everyKindOf(r, 1)
	ruling := must(contest.Ruling{Also: []string{"thigh"}, Why: "cut too short to tell"}.Write(class, 6, r.State.Open.Contest.Key(class)))
	if err := r.Disk.Give(poultryDay, "", 92, app.Fact{Who: "official/KT", Subject: contest.RulingSubject(1, 6), Value: ruling, When: 1_789_999_000}); err != nil {
		t.Fatal(err)
	}
	r = restart(t, r)
	r.Visit(page("key", "1", "6"))
	touch(t, r, "key.correct", "key.name:7")
	k := wantAnswer(t, r, "drumstick")
	if len(k.Answer.Also) != 0 || !slices.Contains(k.Key.Items[5].Also, "thigh") {
		t.Errorf("the official's answer is %+v, with the ruling %+v", k.Answer, k.Key.Items[5])
	}
}

func TestAClassWithoutAKeySaysSo(t *testing.T) {
	r := kindsPhone(t, 1, "WR")
	r.Visit(page("key", "5"))
	if k := keyNow(t, r); k.Item != 0 || len(k.Key.Items) != 0 {
		t.Errorf("the key is %+v", k.Key)
	}
	touch(t, r, "key.answer:A", "key.name:1", "key.fault:1", "key.none", "key.on", "key.also:1", "key.lock", "key.paste-take", "key.item:1", "key.hen:1", "key.cut:1:1")
	press(r, "1", "a", "Enter", "ArrowLeft", "n")
	if n := records(r); n != 0 {
		t.Errorf("%d records about a key that is none", n)
	}
}

func TestFaultyMessagesToKeysOfEveryKind(t *testing.T) {
	for class := range everyKind {
		r := kindsPhone(t, 1, "WR")
		r.Visit(page("key", fmt.Sprint(class)))
		for _, a := range []string{"key.name:0", "key.name:99", "key.name:x", "key.fault:0", "key.fault:11", "key.also:1", "key.on", "key.item:99", "key.answer:nothing", "key.hen:1", "key.cut:1:1", "key.site:breast", "key.undo", "key.lock"} {
			r.Do(a)
		}
		if n := records(r); n != 0 {
			t.Errorf("class %d: %d records", class, n)
		}
	}
}
