package app_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/amount"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/score"
	"keelcard/web/app"
)

var poultryDay = record.ContestID{1, 2, 3, 4, 5, 6, 7, 8}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// givePoultryDay puts a contest on a disk: class 1 of ten carcasses, class 2 of
// four hens, class 3 whose book this phone does not have, and contestants 41,
// 42, 43 and 50; 43 is out.
func givePoultryDay(t *testing.T, disk *app.Memory) {
	t.Helper()
	owner := func(kind record.Kind, a uint32, value string) app.Fact {
		return app.Fact{Who: "owner/AB", Subject: record.Subject{Kind: kind, A: a}, Value: value, When: 1_789_990_000}
	}
	noBook := must(contest.Class{Name: "Eggs", Kind: contest.Graded, Items: 10, Book: "carcass-youth", Bird: "chicken", Weight: 4 * amount.Pound}.Write())
	facts := []app.Fact{
		owner(record.KindContest, 0, must(contest.Settings{Name: "Tamarack County Poultry Day"}.Write())),
		owner(record.KindClass, 1, must(contest.Class{Name: "Broiler carcasses", Kind: contest.Graded, Items: 10, Book: "carcass-youth", Bird: "chicken", Weight: 4 * amount.Pound}.Write())),
		owner(record.KindClass, 2, must(contest.Class{Name: "Past egg production", Kind: contest.Placing, Items: 4}.Write())),
		owner(record.KindClass, 3, strings.Replace(noBook, "carcass-youth", "no-such-book", 1)),
	}
	for _, p := range []contest.Person{{Number: 41, Name: "Ana Birch"}, {Number: 42, Name: "Ben Cole"}, {Number: 43, Name: "Cy Dunn", Out: "went home"}, {Number: 50}} {
		facts = append(facts, owner(record.KindPerson, p.Number, must(p.Write())))
	}
	if err := disk.Give(poultryDay, "Tamarack County Poultry Day", 90, facts...); err != nil {
		t.Fatal(err)
	}
}

func keyingPhone(t *testing.T, seed byte, initials string) *app.Runner {
	t.Helper()
	r := newPhone(t, seed, initials)
	givePoultryDay(t, r.Disk)
	return restart(t, r)
}

// page gives the address of a page of the contest.
func page(name string, args ...string) string {
	return app.Page{Name: name, Contest: poultryDay.String(), Args: args}.Hash()
}

// tap sends answers by their number, one tap each; "t" is two marked, "b" is back.
func tap(r *app.Runner, taps string) {
	for _, c := range taps {
		switch c {
		case 't':
			r.Do("keying.two")
		case 'b':
			r.Do("keying.back")
		default:
			r.Do(app.Action("keying.mark", string(c)))
		}
	}
}

// cardRecords lists the values of all records about a card, oldest first.
func cardRecords(r *app.Runner, class, number uint32) []string {
	state := r.State.Open.Contest.State()
	var out []string
	for _, ref := range state.History(contest.CardSubject(class, number)) {
		rec, _ := state.Record(ref)
		out = append(out, rec.Value)
	}
	return out
}

func status(r *app.Runner, class, number uint32) merge.Status {
	return r.State.Open.Contest.State().Current(contest.CardSubject(class, number)).Status
}

func drafts(t *testing.T, r *app.Runner) []app.Entry {
	t.Helper()
	return must(r.Disk.Load(app.BucketDraft, ""))
}

// A ten-item card is ten taps; the next item and the next contestant come by
// themselves; exactly one record is written, and no draft is left.
func TestACardIsTenTaps(t *testing.T) {
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("keying", "1"))
	if got := r.State.Page.Number(1); got != 41 {
		t.Fatalf("the first card is of contestant %d, want 41", got)
	}
	tap(r, "123412340") // A B C NG A B C NG, item 9 blank
	if card := r.State.Keying.Card; card == nil || card.Item != 9 {
		t.Fatalf("after nine taps the open card is %+v", card)
	}
	if n := len(cardRecords(r, 1, 41)); n != 0 {
		t.Fatalf("%d records before the last tap", n)
	}
	tap(r, "1")
	want := []string{"\x01\x02\x03\x04\x01\x02\x03\x04\x00\x01"}
	if got := cardRecords(r, 1, 41); !slices.Equal(got, want) {
		t.Errorf("records %q, want %q", got, want)
	}
	if got := r.State.Page.Number(1); got != 42 {
		t.Errorf("next comes contestant %d, want 42", got)
	}
	tap(r, "1111111111")
	if got := r.State.Page.Number(1); got != 50 {
		t.Errorf("after 42 comes %d, want 50, as 43 is out", got)
	}
	tap(r, "2222222222")
	if r.State.Keying.Card != nil || r.State.Page.Number(1) != 0 {
		t.Errorf("all cards are keyed, but %+v is open", r.State.Keying.Card)
	}
	if n := len(drafts(t, r)); n != 0 {
		t.Errorf("%d drafts are left", n)
	}
	if got, want := r.State.KeyingCounts(must(r.State.KeyingClass())), (app.KeyingCounts{Due: 3, Done: 3, Once: 3}); got != want {
		t.Errorf("counts %+v, want %+v", got, want)
	}
}

// Whatever the moment the app is killed, every tap before it is found again,
// and the page opens on the same item.
func TestAKillLosesNoTap(t *testing.T) {
	const taps = "1234t123b40"
	for n := 1; n < len(taps); n++ {
		r := keyingPhone(t, 1, "MB")
		r.Visit(page("keying", "1"))
		tap(r, taps[:n])
		before := *r.State.Keying.Card
		r = restart(t, r)
		r.Visit(page("keying", "1"))
		after := r.State.Keying.Card
		if after == nil || fmt.Sprint(*after) != fmt.Sprint(before) {
			t.Errorf("after %q and a kill the card is %+v, was %+v", taps[:n], after, before)
		}
	}
}

// The record and the removal of the draft are one piece on the disk.
func TestTheLastTapIsOneSave(t *testing.T) {
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("keying", "2"))
	s := r.State
	var saves []app.Save
	send := func(do string, args ...string) {
		for _, e := range app.Update(s, app.Msg{Do: do, Args: args, Now: 1_790_000_100}) {
			switch e := e.(type) {
			case app.Save:
				saves = append(saves, e)
			case app.Load:
				t.Fatalf("unexpected %+v", e)
			}
		}
	}
	send("keying.mark", "2")
	send("keying.mark", "1")
	send("keying.mark", "3")
	if len(saves) != 3 {
		t.Fatalf("three taps made %d saves", len(saves))
	}
	buckets := map[string]bool{}
	for _, op := range saves[2].Ops {
		buckets[op.Bucket] = true
		if op.Bucket == app.BucketDraft && op.Value != nil {
			t.Error("the finished card is kept as a draft")
		}
	}
	if !buckets[app.BucketRecord] || !buckets[app.BucketDraft] {
		t.Errorf("the last tap saves in %v, want the record and the draft together", buckets)
	}
	if s.Kept() {
		t.Error("said to be kept before the disk answered")
	}
}

// In a placing class three taps decide the order.
func TestPlacingIsThreeTaps(t *testing.T) {
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("keying", "2"))
	tap(r, "22") // the second tap on the same item does nothing
	if got := r.State.Keying.Card.Item; got != 1 {
		t.Fatalf("place %d is open, want 1", got)
	}
	tap(r, "13")
	class := must(r.State.KeyingClass())
	got := cardRecords(r, 2, 41)
	if len(got) != 1 || class.MarkText(got[0][0]) != "2-1-3-4" {
		t.Errorf("records %q, want the order 2-1-3-4", got)
	}
	tap(r, "4b0") // 42: begun, taken back, then blank
	if got := cardRecords(r, 2, 42); len(got) != 1 || got[0] != "\x00" {
		t.Errorf("a blank card is %q", got)
	}
	tap(r, "t") // 50: two orders marked
	if got := cardRecords(r, 2, 50); len(got) != 1 || got[0][0] != score.Double {
		t.Errorf("a card with two orders is %q", got)
	}
}

// A wrong tap is one tap back, across the border of a card too.
func TestBack(t *testing.T) {
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("keying", "1"))
	tap(r, "12b3") // item 2 is C, not B
	tap(r, "11111111")
	if got := cardRecords(r, 1, 41); len(got) != 1 || got[0][:3] != "\x01\x03\x01" {
		t.Fatalf("records %q", got)
	}

	tap(r, "b") // at item 1 of 42: the card of 41 opens at its last item
	if card := r.State.Keying.Card; card.Number != 41 || card.Item != 9 || card.Marks[9] != app.NoMark {
		t.Fatalf("back opens %+v", card)
	}
	if status(r, 1, 41) != merge.Single {
		t.Error("the card does not stand any more while it is looked at")
	}
	tap(r, "1") // the same mark: nothing is written
	if got := cardRecords(r, 1, 41); len(got) != 1 {
		t.Errorf("the same card was written again: %q", got)
	}
	tap(r, "bb42") // items 9 and 10 anew
	got := cardRecords(r, 1, 41)
	if len(got) != 2 || got[1][8:] != "\x04\x02" || status(r, 1, 41) != merge.Single {
		t.Errorf("the correction is %q, %v", got, status(r, 1, 41))
	}
	if r.State.Page.Number(1) != 42 || len(drafts(t, r)) != 0 {
		t.Errorf("after the correction contestant %d is open with drafts %v", r.State.Page.Number(1), drafts(t, r))
	}
}

// The last entry is read from the log, so that it can be corrected after a restart.
func TestBackAfterARestart(t *testing.T) {
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("keying", "2"))
	tap(r, "213")
	r = restart(t, r)
	r.Visit(page("keying", "2"))
	tap(r, "b")
	card := r.State.Keying.Card
	if card == nil || card.Number != 41 || !slices.Equal(card.Marks, []int{2, 1, app.NoMark, app.NoMark}) {
		t.Fatalf("back opens %+v", card)
	}
	r = restart(t, r)
	r.Visit(page("keying", "2"))
	tap(r, "4")
	got := cardRecords(r, 2, 41)
	class := must(r.State.KeyingClass())
	if len(got) != 2 || class.MarkText(got[1][0]) != "2-1-4-3" || status(r, 2, 41) != merge.Single {
		t.Errorf("records %q, %v", got, status(r, 2, 41))
	}
}

func TestTwoMarks(t *testing.T) {
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("keying", "1"))
	tap(r, "t113") // A and C; the second A does nothing
	r.Do("keying.two")
	r.Do("keying.unsaid")
	tap(r, "tt1")         // thought better of
	tap(r, "t4b2b3b1b4b") // leaves nothing wrong behind
	if got, want := r.State.Keying.Card.Marks[:3], []int{int(score.DoubleOf(1, 3)), int(score.Double), 1}; !slices.Equal(got, want) {
		t.Errorf("marks %v, want %v", got, want)
	}
}

// Arrows go to any item; the answer there is overwritten and the page goes back
// to the first item without one.
func TestOverwriteAnItem(t *testing.T) {
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("keying", "1"))
	tap(r, "1111")
	r.Do("keying.item:2")
	tap(r, "3")
	card := r.State.Keying.Card
	if card.Item != 4 || !slices.Equal(card.Marks[:5], []int{1, 3, 1, 1, app.NoMark}) {
		t.Errorf("the card is %+v", card)
	}
}

func TestKeyboard(t *testing.T) {
	press := func(r *app.Runner, keys ...string) {
		for _, k := range keys {
			r.Send(app.Msg{Do: "key", Args: []string{k}})
		}
	}
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("keying", "1"))
	press(r, "a", "b", "c", "n", "1", "Space", "0", "t", "a", "b", "c", "ArrowLeft", "n", "Backspace", "4", "4")
	if got, want := cardRecords(r, 1, 41), "\x01\x02\x03\x04\x01\x00\x00\x83\x04\x04"; len(got) != 1 || got[0] != want {
		t.Errorf("keyed %q, want %q", got, want)
	}
	press(r, "#", "5", "0", "Enter")
	if got := r.State.Page.Number(1); got != 50 {
		t.Errorf("jumped to %d, want 50", got)
	}
	press(r, "Enter") // nothing keyed: on to the next due
	if got := r.State.Page.Number(1); got != 42 {
		t.Errorf("Enter goes to %d, want 42", got)
	}
	r.Visit(page("keying", "2"))
	press(r, "4", "2", "Backspace", "3", "1")
	class := must(r.State.KeyingClass())
	if got := cardRecords(r, 2, 41); len(got) != 1 || class.MarkText(got[0][0]) != "4-3-1-2" {
		t.Errorf("placed %q, want 4-3-1-2", got)
	}
}

// A card that stands is shown; it can be corrected, and it can be keyed a
// second time by someone who does not see the first.
func TestSecondKeying(t *testing.T) {
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("keying", "1"))
	tap(r, "1234123412"+"1111111111")
	r.Visit(page("keying", "1", "41"))
	if r.State.Keying.Card != nil {
		t.Fatal("a card that stands opens for keying without being asked")
	}

	r.Type("phone.initials", "JO")
	r.Visit(page("keying", "1", "41", "again"))
	if card := r.State.Keying.Card; card == nil || slices.ContainsFunc(card.Marks, func(m int) bool { return m != app.NoMark }) {
		t.Fatalf("the second keying is not blind: %+v", card)
	}
	tap(r, "1234123412")
	if got := status(r, 1, 41); got != merge.Confirmed {
		t.Errorf("keyed alike twice: %v, want confirmed", got)
	}
	if got := r.State.Page.Number(1); got != 42 || r.State.Page.Arg(2) != app.WayAgain {
		t.Errorf("the second round goes on with %v", r.State.Page.Args)
	}
	tap(r, "1111111112")
	if got := status(r, 1, 42); got != merge.InQuestion {
		t.Errorf("keyed differently: %v, want in question", got)
	}
	last, _ := r.State.KeyingLast(must(r.State.KeyingClass()))
	if !slices.Equal(last.Differ, []int{10}) || last.Number != 42 || !last.Again {
		t.Errorf("the last entry is %+v, want item 10 to differ", last)
	}
	if r.State.Keying.Card != nil {
		t.Errorf("no card is keyed once, but %+v is open", r.State.Keying.Card)
	}

	tap(r, "b1") // it was a slip of the second hand
	if got := status(r, 1, 42); got == merge.InQuestion || len(cardRecords(r, 1, 42)) != 3 {
		t.Errorf("after the slip is mended the card is %v with %d records", got, len(cardRecords(r, 1, 42)))
	}
}

// A slip mended in the second keying never touches the first one.
func TestMendingTheSecondKeepsTheFirst(t *testing.T) {
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("keying", "2"))
	tap(r, "123")
	r.Type("phone.initials", "JO")
	r.Visit(page("keying", "2", "41", "again"))
	tap(r, "124"+"b3"+"b4")
	if got := len(r.State.Open.Contest.State().Current(contest.CardSubject(2, 41)).Values); got != 2 {
		t.Errorf("%d values stand, want the first keying and the second: %v", got, status(r, 2, 41))
	}
}

func TestChange(t *testing.T) {
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("keying", "1"))
	tap(r, "1234123412")
	r.Visit(page("keying", "1", "41", "change"))
	r.Do("keying.item:3")
	tap(r, "1")
	got := cardRecords(r, 1, 41)
	if len(got) != 2 || got[1] != "\x01\x02\x01\x04\x01\x02\x03\x04\x01\x02" || status(r, 1, 41) != merge.Single {
		t.Errorf("the correction is %q, %v", got, status(r, 1, 41))
	}
	if card := r.State.Keying.Card; card == nil || card.Number != 41 || card.Item != 3 {
		t.Errorf("after a correction the card is %+v, want 41 at item 4", card)
	}
	r.Visit(page("keying", "2"))
	tap(r, "123")
	r.Visit(page("keying", "2", "41", "change"))
	tap(r, "321")
	if got := cardRecords(r, 2, 41); len(got) != 2 || status(r, 2, 41) != merge.Single || r.State.Keying.Card != nil {
		t.Errorf("the corrected placing is %q, %v", got, status(r, 2, 41))
	}
}

func TestAnUnknownNumberIsOfferedAsANewContestant(t *testing.T) {
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("keying", "1"))
	tap(r, "12")
	r.Do("keying.pad")
	for _, d := range []string{"6", "0", "erase", "1", "x", "12"} {
		r.Do(app.Action("keying.digit", d))
	}
	if got := r.State.Keying.Digits; got != "61" {
		t.Fatalf("the digits are %q, want 61", got)
	}
	r.Do("keying.jump")
	if r.State.Keying.Unknown != 61 || r.State.Keying.Card == nil {
		t.Fatalf("unknown %d, card %v", r.State.Keying.Unknown, r.State.Keying.Card)
	}
	r.Do("keying.close")
	if card := r.State.Keying.Card; card.Number != 41 || card.Item != 2 {
		t.Errorf("going back opens %+v", card)
	}
	r.Do("keying.pad")
	r.Type("keying.number", "No. 61")
	r.Do("keying.jump")
	r.Do("keying.add")
	if p, ok := r.State.Open.Contest.Person(61); !ok || p.Name != "" {
		t.Errorf("contestant 61 is %+v, %v", p, ok)
	}
	if got := r.State.Page.Number(1); got != 61 {
		t.Errorf("%d is open, want 61", got)
	}
	tap(r, "1111111111")
	if got := r.State.Page.Number(1); got != 41 {
		t.Errorf("after the last number comes %d, want 41 again", got)
	}
	if card := r.State.Keying.Card; card.Item != 2 {
		t.Errorf("the card begun before opens at item %d", card.Item+1)
	}
}

// Contestants who are out are passed over and open by number.
func TestOutOpensByNumber(t *testing.T) {
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("keying", "2"))
	r.Type("keying.number", "43")
	r.Do("keying.jump")
	tap(r, "123")
	if got := cardRecords(r, 2, 43); len(got) != 1 {
		t.Errorf("the card of 43 has %d records", len(got))
	}
}

func TestAClassWithoutAnswersSaysWhy(t *testing.T) {
	r := keyingPhone(t, 1, "MB")
	r.Visit(page("keying", "3"))
	if _, err := r.State.KeyingClass(); err == nil || !strings.Contains(err.Error(), "no-such-book") {
		t.Errorf("the fault is %v", err)
	}
	tap(r, "1")
	if len(drafts(t, r)) != 0 {
		t.Error("something was kept of a card that cannot be keyed")
	}
}

// Without a writer nothing is taken, so that no tap is lost at the last item.
func TestWithoutInitialsNothingIsTaken(t *testing.T) {
	r := keyingPhone(t, 1, "")
	r.Visit(page("keying", "1"))
	tap(r, "1")
	if r.State.Keying.Card.Item != 0 || r.State.Notice.Text == "" {
		t.Errorf("the card is %+v, the notice %q", r.State.Keying.Card, r.State.Notice.Text)
	}
	r.Type("phone.initials", "MB")
	tap(r, "1")
	if r.State.Keying.Card.Item != 1 {
		t.Error("with initials the tap is not taken")
	}
}

func TestReadBackAloud(t *testing.T) {
	r := keyingPhone(t, 1, "MB")
	r.Do("phone.aloud:on")
	r.Visit(page("keying", "1"))
	tap(r, "1400t12111111")
	var said []string
	for _, e := range r.Shown {
		if speak, ok := e.(app.Speak); ok {
			said = append(said, speak.Text)
		}
	}
	if want := "Contestant 41: A, no grade, blank, blank, two marked, A, A, A, A, A"; len(said) != 1 || said[0] != want {
		t.Errorf("said %q, want %q", said, want)
	}
}

func TestLettersOfAnswers(t *testing.T) {
	class := contest.Class{Kind: contest.Graded, Items: 10, Book: "carcass-youth"}
	var got []string
	for _, a := range app.KeyingAnswers(class) {
		got = append(got, a.Label+"="+a.Letter)
	}
	if want := "A=a B=b C=c NG=n"; strings.Join(got, " ") != want {
		t.Errorf("got %v, want %s", got, want)
	}
}

// A draft that does not fit the class any more, or was damaged, opens nothing.
func TestADamagedDraftIsLeftAlone(t *testing.T) {
	for _, value := range []string{`{`, `{"class":1,"number":41,"marks":[1,2],"item":0}`,
		`{"class":1,"number":41,"marks":[1,2,3,4,1,2,3,4,-1,99],"item":8}`, `{"class":1,"number":41,"marks":[1,2,3,4,1,2,3,4,-1,-1],"item":12}`, `null`} {
		r := keyingPhone(t, 1, "MB")
		if err := r.Disk.Commit([]app.Op{{Bucket: app.BucketDraft, Key: poultryDay.String() + "/1/41", Value: []byte(value)}}); err != nil {
			t.Fatal(err)
		}
		r.Visit(page("keying", "1"))
		tap(r, "1111111111")
		if got := cardRecords(r, 1, 41); len(got) != 1 {
			t.Errorf("with the draft %s the card has %d records", value, len(got))
		}
	}
}
