package app_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"keelcard/engine/amount"
	"keelcard/engine/contest"
	"keelcard/engine/demo"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/web/app"
)

var keyDay = record.ContestID{0x4b, 0x65, 0x79, 1, 2, 3, 4, 5}

// atKey opens the key of a class on the phone of an official: class 1 is ten
// broilers, class 2 four hens.
func atKey(t *testing.T, args ...string) *app.Runner {
	t.Helper()
	disk := &app.Memory{}
	fact := func(kind record.Kind, a uint32, v string) app.Fact {
		return app.Fact{Who: "owner/AB", Subject: record.Subject{Kind: kind, A: a}, Value: v, When: 1_789_997_000}
	}
	err := disk.Give(keyDay, "Tamarack County Poultry Day", 9,
		fact(record.KindContest, 0, must(contest.Settings{Name: "Tamarack County Poultry Day"}.Write())),
		fact(record.KindClass, 1, must(contest.Class{Name: "Broiler carcasses", Kind: contest.Graded, Items: 10, Book: "carcass-youth", Bird: "chicken", Weight: 4 * amount.Pound}.Write())),
		fact(record.KindClass, 2, must(contest.Class{Name: "White hens", Kind: contest.Placing, Items: 4}.Write())))
	if err != nil {
		t.Fatal(err)
	}
	r, err := app.NewRunner(1, disk)
	if err != nil {
		t.Fatal(err)
	}
	r.Type("phone.initials", "WR")
	r.Visit(keyPage(args...))
	return r
}

func keyPage(args ...string) string {
	return app.Page{Name: "key", Contest: keyDay.String(), Args: args}.Hash()
}

func keyNow(t *testing.T, r *app.Runner) app.KeyNow {
	t.Helper()
	k, err := r.State.KeyNow()
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func wantAnswer(t *testing.T, r *app.Runner, want string) app.KeyNow {
	t.Helper()
	k := keyNow(t, r)
	if k.Answer.Answer != want {
		t.Errorf("the answer is %q, want %q", k.Answer.Answer, want)
	}
	return k
}

func records(r *app.Runner) int {
	log := r.State.Open.Own(r.State.Phone.ID)
	if log == nil {
		return 0
	}
	return len(log.Records)
}

func TestAKeyOfTenBirds(t *testing.T) {
	r := atKey(t, "1")
	if got := r.State.Page.Arg(1); got != "1" {
		t.Fatalf("the key opens at item %q, want the first", got)
	}
	answers := strings.Fields("A B C A B B A C B NG")
	for i, a := range answers {
		touch(t, r, fmt.Sprintf("key.item:%d", i+1), "key.answer:"+a)
	}
	r = restart(t, r)
	r.Visit(keyPage("1", "10"))
	k := keyNow(t, r)
	for i, a := range answers {
		if k.Key.Items[i].Answer != a {
			t.Errorf("bird %d is %q, want %q", i+1, k.Key.Items[i].Answer, a)
		}
	}
	if k.Key.Missing() != 0 {
		t.Errorf("%d answers are missing", k.Key.Missing())
	}
}

// The answer follows the book while the official has not said otherwise: no
// finding A, 1/2 in bare on the breast B, half of it C (limits of the youth
// book: 1/4 in for A, 1/3 for B).
func TestTheAnswerFollowsTheBook(t *testing.T) {
	r := atKey(t, "1", "3")
	if k := keyNow(t, r); k.Status != merge.Absent {
		t.Fatalf("an item not looked at has the status %v", k.Status)
	}
	touch(t, r, "key.site:breast", "key.defect:breast:bare-flesh", "key.set:length:1/2 in")
	wantAnswer(t, r, "B")
	touch(t, r, "key.set:share:1/2")
	k := wantAnswer(t, r, "C")
	if len(k.Seen.Findings) != 1 || k.Seen.Findings[0].View != "front" || k.Seen.Findings[0].X != 470 {
		t.Errorf("what was seen is %+v", k.Seen.Findings)
	}
	touch(t, r, "key.remove:1")
	wantAnswer(t, r, "A")
}

func TestAnOfficialMayAnswerOtherwise(t *testing.T) {
	r := atKey(t, "1", "3")
	touch(t, r, "key.site:breast", "key.defect:breast:bare-flesh", "key.set:length:1/2 in", "key.answer:C")
	k := wantAnswer(t, r, "C")
	if !k.Differs() {
		t.Fatal("it is not said that the official differs from the book")
	}
	r.Type("key.official", "The patch is deep on the far side.")
	// What is measured afterwards leaves the official's answer alone.
	touch(t, r, "key.finding:1", "key.set:length:3/8 in")
	k = wantAnswer(t, r, "C")
	if k.Seen.Official == "" || !k.Differs() {
		t.Errorf("the reason is %q", k.Seen.Official)
	}
	// Back with the book nothing has to be explained.
	touch(t, r, "key.book")
	k = wantAnswer(t, r, "B")
	if k.Differs() || k.Seen.Official != "" {
		t.Errorf("with the book's answer the reason is still %q", k.Seen.Official)
	}
	touch(t, r, "key.finding:1", "key.set:length:1/4 in")
	wantAnswer(t, r, "A")
}

// An answer without findings is no disagreement: nothing was noted to judge by.
func TestAnAnswerWithoutFindingsDoesNotDiffer(t *testing.T) {
	r := atKey(t, "1", "3")
	touch(t, r, "key.answer:C")
	if k := wantAnswer(t, r, "C"); k.Differs() {
		t.Error("an answer differs from a verdict on nothing")
	}
}

func TestUndoOfTheKeyTakesBackTheWholeTap(t *testing.T) {
	r := atKey(t, "1", "3")
	touch(t, r, "key.site:breast", "key.defect:breast:bare-flesh", "key.set:length:1/8 in")
	wantAnswer(t, r, "A")
	touch(t, r, "key.set:length:1/2 in")
	wantAnswer(t, r, "B")
	touch(t, r, "key.undo")
	k := wantAnswer(t, r, "A")
	if got := *k.Seen.Findings[0].Length; got != amount.Inch/8 {
		t.Errorf("the length is %v, want 1/8 in", got)
	}
	touch(t, r, "key.undo", "key.undo", "key.undo")
	if k := keyNow(t, r); k.Status == merge.Single && k.Answer.Answer != "" || len(k.Seen.Findings) != 0 {
		t.Errorf("after all is taken back there is %q with %+v", k.Answer.Answer, k.Seen.Findings)
	}
}

// Steps back go on as far as this phone wrote, and never forth and back.
func TestUndoGoesBackAllTheWay(t *testing.T) {
	r := atKey(t, "1", "1")
	touch(t, r, "key.answer:A", "key.answer:B", "key.answer:C", "key.answer:NG")
	for _, want := range []string{"C", "B", "A", "", ""} {
		r.Do("undo")
		wantAnswer(t, r, want)
	}
	touch(t, r, "key.answer:B", "key.answer:A")
	r = restart(t, r)
	r.Visit(keyPage("1", "1"))
	r.Do("undo")
	wantAnswer(t, r, "B")
}

func TestLockingAKey(t *testing.T) {
	r := atKey(t, "1", "1")
	touch(t, r, "key.lock")
	if keyNow(t, r).Key.Locked || r.State.Notice.Tone != "bad" {
		t.Fatalf("a key without answers is locked; notice %+v", r.State.Notice)
	}
	for i := range 10 {
		touch(t, r, fmt.Sprintf("key.item:%d", i+1), "key.answer:A")
	}
	touch(t, r, "key.item:2", "key.lock")
	if k := keyNow(t, r); !k.Key.Locked || !k.Closed {
		t.Fatal("the key is not locked")
	}
	before := records(r)
	touch(t, r, "key.answer:B", "key.site:breast", "key.defect:breast:bare-flesh", "key.photo", "key.book")
	r.Type("key.remark", "too late")
	wantAnswer(t, r, "A")
	if got := records(r); got != before {
		t.Errorf("%d records were written about a locked key", got-before)
	}
	// Only an explicit correction changes it, and it leaves its trace.
	touch(t, r, "key.correct", "key.answer:B")
	r.Type("key.official", "The wing was out of joint on the hidden side.")
	k := wantAnswer(t, r, "B")
	if k.Seen.Official == "" {
		t.Error("the reason of the correction is lost")
	}
	if got := len(r.State.Open.Contest.State().History(k.Subject())); got != 2 {
		t.Errorf("the history of the answer has %d records, want 2", got)
	}
	// What is noted later does not move the answer of a locked key.
	touch(t, r, "key.site:breast", "key.defect:breast:bare-flesh", "key.set:length:1/8 in")
	wantAnswer(t, r, "B")
	touch(t, r, "key.correct", "key.answer:C")
	wantAnswer(t, r, "B")
}

func TestAnItemInQuestionIsSettledElsewhere(t *testing.T) {
	r := atKey(t, "1", "1")
	for i, a := range []string{"A", "B"} {
		value := must(contest.KeyItem{Answer: a}.Write(keyNow(t, r).Class))
		err := r.Disk.Give(keyDay, "Tamarack County Poultry Day", byte(20+i), app.Fact{Who: "official/" + a, Subject: contest.KeySubject(1, 1), Value: value, When: 1_789_998_000})
		if err != nil {
			t.Fatal(err)
		}
	}
	r = restart(t, r)
	r.Visit(keyPage("1", "1"))
	touch(t, r, "key.answer:C", "key.book")
	if k := keyNow(t, r); k.Status != merge.InQuestion || r.State.Notice.Tone != "bad" {
		t.Errorf("a tap settled what two officials differ on: %v, notice %+v", k.Status, r.State.Notice)
	}
	touch(t, r, "key.site:breast", "key.defect:breast:bare-flesh")
	if k := keyNow(t, r); k.Status != merge.InQuestion || len(k.Seen.Findings) != 1 {
		t.Errorf("what was seen: %+v, status %v", k.Seen.Findings, k.Status)
	}
}

func TestAPhotoIsKeptWithTheWordOfIt(t *testing.T) {
	r := atKey(t, "1", "4")
	touch(t, r, "key.photo")
	if got, ok := r.Shown[len(r.Shown)-1].(app.Pick); !ok || got.Tag != "key-photo" || !got.Photo {
		t.Fatalf("asked for %+v", r.Shown[len(r.Shown)-1])
	}
	touch(t, r, "key.item:5") // the picture comes late
	picture := []byte("a picture of bird 4")
	r.Send(app.Msg{Do: "file", Args: []string{"key-photo", "IMG_1.jpg"}, Bytes: picture})
	sum := sha256.Sum256(picture)
	hash := hex.EncodeToString(sum[:])
	if got := r.State.Open.Contest.Seen(1, 4).Photo; got != hash {
		t.Errorf("bird 4 has the photo %q, want %q", got, hash)
	}
	if got := must(r.Disk.Get(app.BucketBlob, hash)); !bytes.Equal(got, picture) {
		t.Errorf("on the disk is %q", got)
	}
	touch(t, r, "key.item:4", "key.photo-remove")
	if got := r.State.Open.Contest.Seen(1, 4).Photo; got != "" {
		t.Errorf("the photo %q is still there", got)
	}
	touch(t, r, "key.undo")
	if got := r.State.Open.Contest.Seen(1, 4).Photo; got != hash {
		t.Error("undo does not bring the photo back")
	}
	r.Send(app.Msg{Do: "file", Args: []string{"key-photo", "empty.jpg"}})
	if got := r.State.Open.Contest.Seen(1, 4).Photo; got != hash {
		t.Error("an empty file takes the place of a photo")
	}
}

// The published test for three cuts: the full reversal may not fall below zero,
// 3 × sum + middle ≤ 50 (Colorado State fact sheet 1.619; Maryland slides).
func TestThePlacingKey(t *testing.T) {
	r := atKey(t, "2")
	touch(t, r, "key.hen:3", "key.hen:3", "key.hen:1", "key.hen-back", "key.hen:1")
	if got := r.State.KeyPage.Order; !reflect.DeepEqual(got, []uint8{3, 1}) {
		t.Fatalf("placed so far %v, want 3 and 1", got)
	}
	touch(t, r, "key.hen:4")
	wantAnswer(t, r, "3-1-4-2")
	for _, cut := range []string{"1", "1", "2", "2", "2", "2", "2", "3", "3", "3"} {
		touch(t, r, "key.cut:"+cut+":1")
	}
	k := keyNow(t, r)
	if k.Answer.Cuts != [3]uint8{2, 5, 3} {
		t.Errorf("the cuts are %v, want 2-5-3", k.Answer.Cuts)
	}
	// 2-6-3 is within: 3 × 11 + 6 = 39. Up to 2-8-3 it holds: 3 × 13 + 8 = 47;
	// 2-9-3 would be 3 × 14 + 9 = 51.
	for range 3 {
		touch(t, r, "key.cut:2:1")
	}
	before := records(r)
	touch(t, r, "key.cut:2:1")
	if f := r.State.KeyPage.Fault; f.Field != "cuts" || f.What == "" || records(r) != before {
		t.Errorf("cuts that can fall below zero: fault %+v, %d records", f, records(r)-before)
	}
	if k := keyNow(t, r); k.Answer.Cuts != [3]uint8{2, 8, 3} {
		t.Errorf("a refused cut leaves %v, want 2-8-3", k.Answer.Cuts)
	}
	touch(t, r, "key.cut:1:-1")
	if r.State.KeyPage.Fault.Field != "" {
		t.Error("the fault stays after a good cut")
	}
	// A new order keeps the cuts, and the old one stands until the new is whole.
	touch(t, r, "key.order", "key.hen:2", "key.hen:4")
	wantAnswer(t, r, "3-1-4-2")
	touch(t, r, "key.hen:1")
	if k := wantAnswer(t, r, "2-4-1-3"); k.Answer.Cuts != [3]uint8{1, 8, 3} {
		t.Errorf("with the new order the cuts are %v", k.Answer.Cuts)
	}
	touch(t, r, "key.undo")
	wantAnswer(t, r, "3-1-4-2")
}

func TestAPlacingKeyByKeyboard(t *testing.T) {
	r := atKey(t, "2")
	for _, key := range []string{"2", "2", "Backspace", "4", "x", "1", "3"} {
		r.Send(app.Msg{Do: "key", Args: []string{key}})
	}
	wantAnswer(t, r, "4-1-3-2")
}

func TestAGradedKeyByKeyboard(t *testing.T) {
	r := atKey(t, "1", "1")
	for _, key := range []string{"b", "ArrowRight", "n", "ArrowRight", "Enter", "ArrowRight", "c", "ArrowLeft"} {
		r.Send(app.Msg{Do: "key", Args: []string{key}})
	}
	k := wantAnswer(t, r, "A")
	if k.Item != 3 || k.Key.Items[0].Answer != "B" || k.Key.Items[1].Answer != "NG" || k.Key.Items[3].Answer != "C" {
		t.Errorf("at item %d of %+v", k.Item, k.Key.Items)
	}
}

func TestReadBackOfTheKey(t *testing.T) {
	r := atKey(t, "1", "2")
	touch(t, r, "key.answer:NG")
	if got := r.State.KeyPage.Last; got.Item != "Bird 2" || got.Value != "no grade" {
		t.Errorf("read back is %+v", got)
	}
	for _, e := range r.Shown {
		if s, ok := e.(app.Speak); ok {
			t.Errorf("spoken without being asked: %q", s.Text)
		}
	}
	r.Do("phone.aloud:on")
	touch(t, r, "key.answer:B")
	if got, ok := r.Shown[len(r.Shown)-1].(app.Speak); !ok || got.Text != "Bird 2. B." {
		t.Errorf("spoken is %+v", r.Shown[len(r.Shown)-1])
	}
}

func TestFaultyMessagesToAKey(t *testing.T) {
	for _, class := range []string{"1", "2"} {
		r := atKey(t, class, "1")
		for _, a := range []string{
			"key.answer:Z", "key.answer", "key.item:0", "key.item:99", "key.item:x", "key.hen:0", "key.hen:5", "key.hen:x", "key.cut:0:1", "key.cut:4:1", "key.cut:1:9", "key.cut:x:y",
			"key.cut:1:1", "key.correct", "key.undo", "key.site:moon", "key.defect:moon:cut", "key.finding:3", "key.remove:1", "key.step:length:1", "key.photo-remove",
		} {
			touch(t, r, a)
		}
		if n := records(r); n != 0 {
			t.Errorf("class %s: faulty messages wrote %d records", class, n)
		}
		if keyNow(t, r).Settled() {
			t.Errorf("class %s has an answer", class)
		}
	}
	for _, hash := range []string{keyPage(), keyPage("9"), keyPage("1", "99"), keyPage("x", "y")} {
		r := atKey(t, "1", "1")
		r.Visit(hash)
		touch(t, r, "key.answer:A", "key.hen:1", "key.lock", "key.site:breast", "key.why")
		if hash != keyPage("9") && records(r) != 0 {
			t.Errorf("%s: something was written", hash)
		}
	}
}

func TestWithoutInitialsNothingIsWrittenAboutAKey(t *testing.T) {
	r := atKey(t, "1", "1")
	r.Type("phone.initials", "")
	touch(t, r, "key.site:breast", "key.defect:breast:bare-flesh")
	if records(r) != 0 || r.State.Notice.Tone != "bad" {
		t.Errorf("%d records, notice %+v", records(r), r.State.Notice)
	}
	if got := r.State.KeyPage.Finder.Site; got != "breast" {
		t.Errorf("the place that was tapped is lost: %q", got)
	}
}

// The demo's keys were set by the official's phone with what was seen.
func TestTheKeysOfTheDemo(t *testing.T) {
	r := newPhone(t, 1, "WR")
	r.Do("demo.open")
	for item := range 10 {
		r.Visit(app.Page{Name: "key", Contest: demo.ID.String(), Args: []string{"1", fmt.Sprint(item + 1)}}.Hash())
		k := keyNow(t, r)
		if k.Judged.Err != nil || k.Differs() || !k.Closed {
			t.Errorf("bird %d: %v, answer %q, book %q, closed %v", item+1, k.Judged.Err, k.Answer.Answer, k.Judged.Grade, k.Closed)
		}
	}
}

// An order begun outlives a restart at every tap, and nothing of it is left
// once it is whole or taken back.
func TestAnOrderBegunIsKept(t *testing.T) {
	begun := func(taps ...string) *app.Runner {
		r := atKey(t, "2")
		touch(t, r, taps...)
		r = restart(t, r)
		r.Visit(keyPage("2"))
		return r
	}
	if r := begun("key.hen:3", "key.hen:1"); !reflect.DeepEqual(r.State.KeyPage.Order, []uint8{3, 1}) {
		t.Errorf("after a restart %v is placed, want 3 and 1", r.State.KeyPage.Order)
	} else {
		touch(t, r, "key.hen:4")
		wantAnswer(t, r, "3-1-4-2")
		if left := drafts(t, r); len(left) != 0 {
			t.Errorf("the whole order leaves %d drafts", len(left))
		}
	}
	for _, taps := range [][]string{{"key.hen:3", "key.hen-back"}, {"key.hen:3", "key.hen:1", "key.hen:4", "key.order", "key.hen:2", "key.undo"}} {
		if r := begun(taps...); len(r.State.KeyPage.Order) != 0 || r.State.KeyPage.Placing || len(drafts(t, r)) != 0 {
			t.Errorf("after %v and a restart %v is placed, with %d drafts", taps, r.State.KeyPage.Order, len(drafts(t, r)))
		}
	}
	// The order that stands holds until the new one is whole.
	r := begun("key.hen:3", "key.hen:1", "key.hen:4", "key.order", "key.hen:2")
	wantAnswer(t, r, "3-1-4-2")
	touch(t, r, "key.hen:4", "key.hen:1")
	wantAnswer(t, r, "2-4-1-3")
}
