package app_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/points"
	"keelcard/engine/record"
	"keelcard/engine/score"
	"keelcard/web/app"
)

// The classes of a contest with every kind that is not graded or placed, by
// number.
var everyKind = map[uint32]contest.Class{
	1: {Name: "Parts", Kind: contest.Identified, Items: 10, List: "parts-youth"},
	2: {Name: "All parts", Kind: contest.Identified, Items: 10, List: "parts-30"},
	3: {Name: "Exam", Kind: contest.Identified, Items: 50, List: "letters-5", Worth: 50 * points.One},
	4: {Name: "Breaded pieces", Kind: contest.Checked, Items: 10, Book: "breaded"},
	5: {Name: "Reasons", Kind: contest.Awarded, Officials: 2},
	6: {Name: "Talk", Kind: contest.Awarded, Step: points.One / 2, Criteria: []contest.Criterion{{Name: "Content", Most: 20 * points.One}, {Name: "Manner", Most: 5 * points.One}}},
}

// kindsPhone is a phone with the contest of every kind and contestants 41 and 42.
func kindsPhone(t *testing.T, seed byte, initials string) *app.Runner {
	t.Helper()
	fact := func(kind record.Kind, a uint32, value string) app.Fact {
		return app.Fact{Who: "owner/AB", Subject: record.Subject{Kind: kind, A: a}, Value: value, When: 1_789_990_000}
	}
	facts := []app.Fact{fact(record.KindContest, 0, must(contest.Settings{Name: "Tamarack County Poultry Day"}.Write()))}
	for no := uint32(1); int(no) <= len(everyKind); no++ {
		facts = append(facts, fact(record.KindClass, no, must(everyKind[no].Write())))
	}
	for _, p := range []contest.Person{{Number: 41, Name: "Ana Birch"}, {Number: 42, Name: "Ben Cole"}} {
		facts = append(facts, fact(record.KindPerson, p.Number, must(p.Write())))
	}
	r := newPhone(t, seed, initials)
	if err := r.Disk.Give(poultryDay, "Tamarack County Poultry Day", 90, facts...); err != nil {
		t.Fatal(err)
	}
	return restart(t, r)
}

func press(r *app.Runner, keys ...string) {
	for _, k := range keys {
		r.Send(app.Msg{Do: "key", Args: []string{k}})
	}
}

// typeIn presses the letters and digits of a text one by one.
func typeIn(r *app.Runner, text string) {
	for _, c := range text {
		if c == ' ' {
			press(r, "Space")
		} else {
			press(r, string(c))
		}
	}
}

func wantCard(t *testing.T, r *app.Runner, class, number uint32, want ...string) {
	t.Helper()
	got := cardRecords(r, class, number)
	if len(got) == 0 {
		t.Fatalf("class %d: no card of %d", class, number)
	}
	if texts := contest.CardTexts(everyKind[class], []byte(got[len(got)-1])); !slices.Equal(texts, want) {
		t.Errorf("class %d: the card of %d says %q, want %q", class, number, texts, want)
	}
}

// A card of ten names is ten taps, and the next contestant comes by itself.
func TestACardOfNamesIsTenTaps(t *testing.T) {
	r := kindsPhone(t, 1, "MB")
	r.Visit(page("keying", "1"))
	for taps, mark := range []int{5, 7, 0, 1, 10, 2, 3, 4, 6, 8} {
		if r.State.Page.Number(1) != 41 || r.State.Keying.Card.Item != taps {
			t.Fatalf("after %d taps item %d of %d is open", taps, r.State.Keying.Card.Item+1, r.State.Page.Number(1))
		}
		r.Do(app.Action("keying.mark", fmt.Sprint(mark)))
	}
	if got := r.State.Page.Number(1); got != 42 {
		t.Errorf("after ten taps contestant %d is open, want 42", got)
	}
	wantCard(t, r, 1, 41, "thigh", "drumstick", "", "breast quarter", "flat", "breast quarter without wing", "leg quarter", "whole leg", "thigh with back", "whole wing")
	if n := len(drafts(t, r)); n != 0 {
		t.Errorf("%d drafts are left", n)
	}
}

// Two marks on a card of more names than a mark can tell apart is one tap.
func TestTwoNamesMarked(t *testing.T) {
	r := kindsPhone(t, 1, "MB")
	r.Visit(page("keying", "2"))
	tap(r, "3t")
	if card := r.State.Keying.Card; card.Item != 2 || card.Marks[1] != int(score.Double) {
		t.Errorf("the card is %+v", card)
	}
	r.Visit(page("keying", "3")) // five letters: which two is told
	tap(r, "t13")
	if card := r.State.Keying.Card; card.Item != 1 || card.Marks[0] != int(score.DoubleOf(1, 3)) {
		t.Errorf("the card of letters is %+v", card)
	}
}

// Numbers of 30 names: a digit that can be the first of two waits for the
// second, one that cannot is taken at once. Names are taken with Enter.
func TestNamesByKeyboard(t *testing.T) {
	r := kindsPhone(t, 1, "MB")
	r.Visit(page("keying", "2"))
	typeIn(r, "12"+"4"+"05"+"30")
	if got := r.State.Keying.Card.Item; got != 4 {
		t.Fatalf("after 12, 4, 05 and 30 item %d is open", got+1)
	}
	typeIn(r, "3")
	press(r, "Enter")
	typeIn(r, "thigh") // also the beginning of others, but whole
	press(r, "Enter")
	typeIn(r, "wis") // only the wishbone
	press(r, "Enter")
	typeIn(r, "leg q")
	press(r, "Enter")
	typeIn(r, "br")
	if marks, exact := r.State.KeyingMatches(everyKind[2]); len(marks) != 2 || exact != 0 {
		t.Errorf("br can be %v, is %d", marks, exact)
	}
	press(r, "Enter") // breast quarter, with or without wing: not told yet
	if got := r.State.Keying.Card.Item; got != 8 || r.State.Keying.Typed != "br" {
		t.Errorf("an open choice went on to item %d", got+1)
	}
	press(r, "Backspace", "Backspace")
	typeIn(r, "31")
	if k := r.State.Keying; k.Wrong != "31" || k.Typed != "" || k.Card.Item != 8 {
		t.Errorf("after 31 there is %q wrong, %q typed at item %d", k.Wrong, k.Typed, k.Card.Item+1)
	}
	press(r, "Space", "Backspace", "*", "Space")
	wantCard(t, r, 2, 41, "breast quarter", "whole breast with ribs", "boneless skinless whole breast with rib meat", "paws", "rear half", "thigh", "wishbone", "leg quarter", "×2", "")
}

// An exam of 50 questions by letters: one key each.
func TestAnExamByKeyboard(t *testing.T) {
	r := kindsPhone(t, 1, "MB")
	r.Visit(page("keying", "3"))
	typeIn(r, strings.Repeat("abcde", 10))
	wantCard(t, r, 3, 41, slices.Repeat([]string{"A", "B", "C", "D", "E"}, 10)...)
	typeIn(r, "12345")
	if card := r.State.Keying.Card; card.Number != 42 || card.Item != 5 || card.Marks[4] != 5 {
		t.Errorf("by number the card is %+v", card)
	}
}

// An item without a fault is one tap, one with faults is a tap a fault and one
// more to go on. A blank is said, not left out.
func TestACardOfFaults(t *testing.T) {
	r := kindsPhone(t, 1, "MB")
	r.Visit(page("keying", "4"))
	class := everyKind[4]
	do := func(actions ...string) {
		for _, a := range actions {
			r.Do("keying." + a)
		}
	}
	do("none", "mark:1", "on", "mark:2", "mark:5", "on")
	if card := r.State.Keying.Card; card.Item != 3 {
		t.Fatalf("item %d is open", card.Item+1)
	}
	do("on") // nothing said: it stays
	do("mark:3", "mark:3")
	if card := r.State.Keying.Card; card.Item != 3 || card.Told(class, 3) {
		t.Errorf("a fault taken off again leaves %v", card.Step(class, 3))
	}
	do("none", "mark:0", "mark:9", "none", "none", "none", "none")
	if n := len(cardRecords(r, 4, 41)); n != 0 {
		t.Fatalf("%d records before the last item is done", n)
	}
	do("mark:4", "on")
	wantCard(t, r, 4, 41, "none", "coating", "shape or size, foreign material", "none", "", "none", "none", "none", "none", "incomplete")
	if r.State.Page.Number(1) != 42 || len(drafts(t, r)) != 0 {
		t.Errorf("then %d is open with %d drafts", r.State.Page.Number(1), len(drafts(t, r)))
	}
}

func TestFaultsByKeyboard(t *testing.T) {
	r := kindsPhone(t, 1, "MB")
	r.Visit(page("keying", "4"))
	press(r, "n", "1", "Enter", "0", "Enter", "Space", "2", "5", "ArrowLeft", "ArrowRight", "Enter", "n", "n", "n", "n", "4", "Enter")
	wantCard(t, r, 4, 41, "none", "coating", "none", "", "shape or size, foreign material", "none", "none", "none", "none", "incomplete")
}

// Back on an item with faults takes them off; on one of which nothing is said it
// opens the item before, with its faults as they were.
func TestBackAmongFaults(t *testing.T) {
	r := kindsPhone(t, 1, "MB")
	r.Visit(page("keying", "4"))
	class := everyKind[4]
	press(r, "1", "2", "Enter", "n", "3")
	tap(r, "b")
	if card := r.State.Keying.Card; card.Item != 2 || card.Told(class, 2) {
		t.Fatalf("back from a fault: %+v", card)
	}
	tap(r, "b")
	if card := r.State.Keying.Card; card.Item != 1 || card.Told(class, 1) {
		t.Fatalf("back from “none”: %+v", card)
	}
	tap(r, "b")
	if card := r.State.Keying.Card; card.Item != 0 || !card.Faulty(class, 0) {
		t.Fatalf("back from going on: %+v", card)
	}
	press(r, "2", "Enter", "n", "n", "n", "n", "n", "n", "n", "n", "4", "Enter") // only 1 is left on the first
	wantCard(t, r, 4, 41, "coating", "none", "none", "none", "none", "none", "none", "none", "none", "incomplete")
	tap(r, "b") // the card that was finished, at its last item
	card := r.State.Keying.Card
	if card.Number != 41 || card.Item != 9 || !card.Faulty(class, 9) {
		t.Fatalf("back opens %+v", card)
	}
	press(r, "4", "5", "Enter")
	wantCard(t, r, 4, 41, "coating", "none", "none", "none", "none", "none", "none", "none", "none", "foreign material")
	if got := status(r, 4, 41); got != merge.Single {
		t.Errorf("the mended card is %v", got)
	}
}

// Points by digits: two are taken at once, one with Enter or with a 0 before
// it, more than may be given is refused.
func TestPointsByKeyboard(t *testing.T) {
	r := kindsPhone(t, 1, "MB")
	r.Visit(page("keying", "5"))
	typeIn(r, "75")
	if k := r.State.Keying; k.Wrong != "75" || k.Card.Item != 0 {
		t.Fatalf("75 of 50: %q is wrong at step %d", k.Wrong, k.Card.Item)
	}
	typeIn(r, "42")
	typeIn(r, "7")
	if k := r.State.Keying; k.Card.Item != 1 || k.Wrong != "" {
		t.Fatalf("7 is taken before it is told to be whole: %+v", k.Card)
	}
	press(r, "Enter")
	wantCard(t, r, 5, 41, "42", "7")
	typeIn(r, "09")
	press(r, "Space")
	wantCard(t, r, 5, 42, "9", "")
	// The mean of 42 and 7 is 24.5; one official who gave nothing is left out.
	for number, want := range map[uint32]string{41: "24.5", 42: "9"} {
		got, ok := app.CardPoints(everyKind[5], []byte(cardRecords(r, 5, number)[0]))
		if !ok || got.String() != want {
			t.Errorf("%d earns %s, want %s", number, got, want)
		}
	}
	if got := app.MarksText(everyKind[5], []byte(cardRecords(r, 5, 41)[0])); got != "42 · 7 · mean 24.5" {
		t.Errorf("read back as %q", got)
	}
}

// Half points, and criteria of different worth: 0 to 20, then 0 to 5 of which
// each is a key.
func TestPointsOfCriteria(t *testing.T) {
	r := kindsPhone(t, 1, "MB")
	r.Visit(page("keying", "6"))
	typeIn(r, "17.5"+"4.5")
	wantCard(t, r, 6, 41, "17.5", "4.5")
	typeIn(r, "18")
	if r.State.Keying.Card.Item != 0 {
		t.Error("18 is taken though a half may come")
	}
	press(r, "Enter")
	for _, mark := range []string{"12", "11"} { // 5.5 is more than 5
		r.Do(app.Action("keying.mark", mark))
	}
	wantCard(t, r, 6, 42, "18", "5")
}

// Whatever the moment the app is killed, every tap before it is found again.
func TestAKillLosesNoTapOfAnyKind(t *testing.T) {
	for class, keys := range map[string][]string{
		"2": {"1", "2", "4", "Space", "*", "0", "5"},
		"4": {"n", "1", "2", "Enter", "Space", "3", "Backspace", "n", "5"},
		"5": {"4", "2", "1"},
	} {
		for n := 1; n <= len(keys); n++ {
			r := kindsPhone(t, 1, "MB")
			r.Visit(page("keying", class))
			press(r, keys[:n]...)
			before := fmt.Sprint(*r.State.Keying.Card)
			r = restart(t, r)
			r.Visit(page("keying", class))
			if after := fmt.Sprint(*r.State.Keying.Card); after != before {
				t.Errorf("class %s: after %v and a kill the card is %s, was %s", class, keys[:n], after, before)
			}
		}
	}
}

// Two people key the same cards, one on another phone; where they differ, it is
// settled step by step or by one hand.
func TestTwoHandsOfEveryKind(t *testing.T) {
	other := map[uint32]string{
		2: "\x0c\x04\x05\x1e\x03\x13\x0f\x10\x00\x00", // 15 at the seventh
		4: strings.Repeat("\x01\x01\x01\x01\x01", 8) + "\x01\x02\x01\x01\x01" + "\x01\x01\x01\x02\x01",
		5: "\x2b\x09", // 42 and 8
	}
	keys := map[uint32][]string{
		2: {"12", "04", "05", "30", "03", "19", "17", "16", "Space", "Space"},
		4: {"n", "n", "n", "n", "n", "n", "n", "n", "2", "3", "Enter", "4", "Enter"},
		5: {"42", "07"},
	}
	differ := map[uint32][]int{2: {7}, 4: {9}, 5: {2}}
	for class, value := range other {
		r := kindsPhone(t, 1, "MB")
		if err := r.Disk.Give(poultryDay, "", 91, app.Fact{Who: "keyer/JK", Subject: contest.CardSubject(class, 41), Value: value, When: 1_789_995_000}); err != nil {
			t.Fatal(err)
		}
		r = restart(t, r)
		no := fmt.Sprint(class)
		r.Visit(page("keying", no, "41", app.WayAgain))
		for _, k := range keys[class] {
			if len(k) == 2 {
				typeIn(r, k)
			} else {
				press(r, k)
			}
		}
		sub := contest.CardSubject(class, 41)
		if got := r.State.Differ(sub); !slices.Equal(got, differ[class]) || status(r, class, 41) != merge.InQuestion {
			t.Fatalf("class %d: the hands differ in %v, want %v; it is %v", class, got, differ[class], status(r, class, 41))
		}
		last, _ := r.State.KeyingLast(everyKindOf(r, class))
		if !slices.Equal(last.Differ, differ[class]) {
			t.Errorf("class %d: said at once to differ in %v", class, last.Differ)
		}
		sides := r.State.Sides(sub)
		openQuestion(r, sub)
		pick := fmt.Sprint(int(sides[1].Value[differ[class][0]-1])) // the mark
		if class == 4 {
			r.Do("questions.pick:9:3") // there are two hands
			pick = "2"                 // the hand
		}
		r.Do("questions.settle")
		if status(r, class, 41) != merge.InQuestion {
			t.Fatalf("class %d: settled before it was chosen", class)
		}
		r.Do(app.Action("questions.pick", fmt.Sprint(differ[class][0]), pick))
		r.Do("questions.settle")
		if got := string(r.State.Open.Contest.Card(everyKindOf(r, class), 41).Marks); got != sides[1].Value {
			t.Errorf("class %d: settled as %q, want the second hand's %q", class, got, sides[1].Value)
		}
	}
}

// A correction of a card that stands is written at each tap and taken back by
// undo.
func TestChangeOfEveryKind(t *testing.T) {
	r := kindsPhone(t, 1, "MB")
	r.Visit(page("keying", "4"))
	press(r, slices.Repeat([]string{"n"}, 10)...)
	r.Visit(page("keying", "4", "41", app.WayChange))
	press(r, "ArrowRight", "3", "4")
	wantCard(t, r, 4, 41, "none", "cluster, incomplete", "none", "none", "none", "none", "none", "none", "none", "none")
	press(r, "3", "4")
	wantCard(t, r, 4, 41, slices.Repeat([]string{"none"}, 10)...)
	r.Do("undo")
	wantCard(t, r, 4, 41, "none", "incomplete", "none", "none", "none", "none", "none", "none", "none", "none")

	r.Visit(page("keying", "5"))
	typeIn(r, "4208")
	r.Visit(page("keying", "5", "41", app.WayChange))
	press(r, "ArrowRight")
	typeIn(r, "44")
	wantCard(t, r, 5, 41, "42", "44")
	if got := status(r, 5, 41); got != merge.Single {
		t.Errorf("the corrected card is %v", got)
	}
	r.Do("undo")
	wantCard(t, r, 5, 41, "42", "8")
}

func TestEveryKindIsReadBackAloud(t *testing.T) {
	for class, want := range map[string]string{
		"1": "Contestant 41: thigh, blank, drumstick, flat, flat, flat, flat, flat, flat, two marked",
		"4": "Contestant 41: 1 cluster, 3 blank, no fault on 8 items",
		"5": "Contestant 41: 42, 7, mean 24.5",
	} {
		r := kindsPhone(t, 1, "MB")
		r.Do("phone.aloud:on")
		r.Visit(page("keying", class))
		switch class {
		case "1":
			typeIn(r, "05 07101010101010*")
		case "4":
			press(r, "3", "Enter", "n", "Space", "n", "n", "n", "n", "n", "n", "n")
		case "5":
			typeIn(r, "4207")
		}
		said := ""
		for _, e := range r.Shown {
			if speak, ok := e.(app.Speak); ok {
				said += speak.Text
			}
		}
		if said != want {
			t.Errorf("class %s: said %q, want %q", class, said, want)
		}
	}
}

// Messages that no page sends change nothing.
func TestFaultyMessagesToCardsOfEveryKind(t *testing.T) {
	for class := range everyKind {
		r := kindsPhone(t, 1, "MB")
		r.Visit(page("keying", fmt.Sprint(class)))
		for _, a := range []string{"keying.mark:99", "keying.mark:-1", "keying.mark:x", "keying.item:99", "keying.item:0", "keying.on", "keying.type", "keying.type:take", "keying.type:erase", "keying.type:xy", "keying.unsaid"} {
			r.Do(a)
		}
		if card := r.State.Keying.Card; card.Begun() || card.Item != 0 || len(drafts(t, r)) != 0 {
			t.Errorf("class %d: the card is %+v", class, card)
		}
	}
}

func everyKindOf(r *app.Runner, no uint32) contest.Class {
	class, _ := r.State.Open.Contest.Class(no)
	return class
}
