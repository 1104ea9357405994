package app_test

import (
	"slices"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
)

const (
	cardOfAB = "\x01\x02\x03\x04\x01\x02\x03\x04\x01\x02"
	cardOfJK = "\x01\x02\x03\x03\x01\x02\x03\x04\x00\x02"
)

// questionPhone is a phone that took in what two others wrote: they differ
// about the card of 41 in class 1, the key of class 2 and contestant 42.
func questionPhone(t *testing.T) *app.Runner {
	t.Helper()
	r := newPhone(t, 1, "MB")
	givePoultryDay(t, r.Disk)
	hens := contest.Class{Name: "Past egg production", Kind: contest.Placing, Items: 4}
	fact := func(who string, kind record.Kind, a, b uint32, value string) app.Fact {
		return app.Fact{Who: who, Subject: record.Subject{Kind: kind, A: a, B: b}, Value: value, When: 1_789_995_000}
	}
	for i, facts := range [][]app.Fact{
		{
			fact("keyer/AB", record.KindCard, 1, 41, cardOfAB),
			fact("official/AB", record.KindKey, 2, 0, must(contest.KeyItem{Answer: "2-1-3-4", Cuts: [3]uint8{2, 5, 3}}.Write(hens))),
		}, {
			fact("keyer/JK", record.KindCard, 1, 41, cardOfJK),
			fact("official/JK", record.KindKey, 2, 0, must(contest.KeyItem{Answer: "2-1-4-3", Cuts: [3]uint8{2, 5, 3}}.Write(hens))),
			fact("owner/JK", record.KindPerson, 42, 0, must(contest.Person{Number: 42, Name: "Benjamin Cole", Division: "Senior"}.Write())),
		},
	} {
		if err := r.Disk.Give(poultryDay, "", byte(91+i), facts...); err != nil {
			t.Fatal(err)
		}
	}
	r = restart(t, r)
	r.Visit(page("questions"))
	return r
}

func questions(r *app.Runner) []record.Subject { return r.State.Open.Contest.Questions() }

func openQuestion(r *app.Runner, sub record.Subject) {
	r.Visit(page("questions", app.SubjectArgs(sub)...))
}

func TestTakeOneSide(t *testing.T) {
	r := questionPhone(t)
	if got := len(questions(r)); got != 3 {
		t.Fatalf("%d questions, want 3", got)
	}
	card := contest.CardSubject(1, 41)
	openQuestion(r, card)
	sides := r.State.Sides(card)
	if len(sides) != 2 || len(sides[0].Records) != 1 {
		t.Fatalf("sides %+v", sides)
	}
	r.Do("questions.take:2")
	cur := r.State.Open.Contest.State().Current(card)
	if cur.Status != merge.Single || !slices.Equal(cur.Values, []string{sides[1].Value}) {
		t.Errorf("after taking side 2: %v %q, want %q", cur.Status, cur.Values, sides[1].Value)
	}
	if r.State.Page.Name != "questions" || r.State.Page.Arg(0) != "" || len(questions(r)) != 2 {
		t.Errorf("left on %+v with %d questions", r.State.Page, len(questions(r)))
	}
	r.Do("questions.take:1") // no question is open: nothing happens
	if len(questions(r)) != 2 {
		t.Error("a question was settled that was not open")
	}
	r = restart(t, r)
	r.Visit(page("questions"))
	if len(questions(r)) != 2 {
		t.Errorf("%d questions after a restart, want 2", len(questions(r)))
	}
}

func TestSettleItemByItem(t *testing.T) {
	r := questionPhone(t)
	card := contest.CardSubject(1, 41)
	openQuestion(r, card)
	if got := r.State.Differ(card); !slices.Equal(got, []int{4, 9}) {
		t.Fatalf("the keyings differ in %v, want 4 and 9", got)
	}
	r.Do("questions.pick:4:4") // as AB keyed it
	r.Do("questions.settle")   // item 9 is not chosen yet
	if status(r, 1, 41) != merge.InQuestion {
		t.Fatal("settled before every item was chosen")
	}
	r.Do("questions.pick:9:3") // nobody keyed that
	r.Do("questions.settle")
	if status(r, 1, 41) != merge.InQuestion {
		t.Fatal("settled with a mark that nobody keyed")
	}
	r.Do("questions.pick:9:0") // as JK keyed it
	r.Do("questions.settle")
	class, _ := r.State.Open.Contest.Class(1)
	if got, want := r.State.Open.Contest.Card(class, 41), "\x01\x02\x03\x04\x01\x02\x03\x04\x00\x02"; got.Status != merge.Single || string(got.Marks) != want {
		t.Errorf("the card is %v %q, want %q", got.Status, got.Marks, want)
	}
}

// What was chosen for one card is not carried to another.
func TestPicksBelongToOneCard(t *testing.T) {
	r := questionPhone(t)
	openQuestion(r, contest.CardSubject(1, 41))
	r.Do("questions.pick:4:4")
	openQuestion(r, contest.KeySubject(2, 0))
	openQuestion(r, contest.CardSubject(1, 41))
	if got := len(r.State.Question.Picks); got != 0 {
		t.Errorf("%d items are chosen already", got)
	}
}

// Keying a card anew settles the question, without showing what was keyed.
func TestKeyAnew(t *testing.T) {
	r := questionPhone(t)
	r.Visit(page("keying", "1", "41", app.WayAnew))
	if card := r.State.Keying.Card; card == nil || slices.ContainsFunc(card.Marks, func(m int) bool { return m != app.NoMark }) {
		t.Fatalf("the card is %+v, want a blind one", card)
	}
	tap(r, "4444444444")
	if got := status(r, 1, 41); got != merge.Single {
		t.Errorf("keyed anew the card is %v", got)
	}
	if r.State.Page.Name != "questions" || len(questions(r)) != 2 || len(drafts(t, r)) != 0 {
		t.Errorf("left on %+v with %d questions and %d drafts", r.State.Page, len(questions(r)), len(drafts(t, r)))
	}
}

func TestSettleAKeyAndAContestant(t *testing.T) {
	r := questionPhone(t)
	for _, sub := range []record.Subject{contest.KeySubject(2, 0), {Kind: record.KindPerson, A: 42}} {
		openQuestion(r, sub)
		want := r.State.Sides(sub)[0].Value
		r.Do("questions.take:1")
		if cur := r.State.Open.Contest.State().Current(sub); cur.Status != merge.Single || cur.Values[0] != want {
			t.Errorf("%+v is %v %q, want %q", sub, cur.Status, cur.Values, want)
		}
	}
	log := r.State.Open.Own(r.State.Phone.ID)
	if log.Records[0].Who != "official/MB" || log.Records[1].Who != "owner/MB" {
		t.Errorf("settled as %q and %q", log.Records[0].Who, log.Records[1].Who)
	}
}

// The losing value is in the history and can be brought back.
func TestTheLoserIsKeptAndRestored(t *testing.T) {
	r := questionPhone(t)
	card := contest.CardSubject(1, 41)
	openQuestion(r, card)
	loser := r.State.Sides(card)[0]
	r.Do("questions.take:2")
	r.Visit(page("history", app.SubjectArgs(card)...))
	past := r.State.History(card)
	if len(past) != 3 || !past[0].Stands || past[1].Stands || len(past[0].Replaced) != 2 {
		t.Fatalf("the history is %+v", past)
	}
	ref := loser.Records[0].Ref()
	r.Do(app.Action("history.restore", ref.Phone.String(), "1"))
	if cur := r.State.Open.Contest.State().Current(card); cur.Status != merge.Single || cur.Values[0] != loser.Value {
		t.Errorf("brought back: %v %q, want %q", cur.Status, cur.Values, loser.Value)
	}
	if got := len(r.State.History(card)); got != 4 {
		t.Errorf("%d records, want 4: nothing is taken out", got)
	}
	r.Do("undo")
	if cur := r.State.Open.Contest.State().Current(card); cur.Values[0] == loser.Value {
		t.Error("bringing back cannot be undone")
	}
}

// Two phones that key the same card alike confirm it once they are brought
// together, and differ about it otherwise.
func TestTwoPhonesMeet(t *testing.T) {
	for _, tc := range []struct {
		second string
		want   merge.Status
	}{{"1234123412", merge.Confirmed}, {"1234123413", merge.InQuestion}} {
		a, b := keyingPhone(t, 1, "MB"), keyingPhone(t, 2, "JK")
		a.Visit(page("keying", "1"))
		b.Visit(page("keying", "1"))
		tap(a, "1234123412")
		tap(b, tc.second)
		log := b.State.Open.Own(b.State.Phone.ID)
		joined, _, err := merge.Join(a.State.Open.Set, record.Set{Contest: poultryDay, Logs: []record.Log{*log}})
		if err != nil {
			t.Fatal(err)
		}
		if got := merge.Fold(joined).Current(contest.CardSubject(1, 41)).Status; got != tc.want {
			t.Errorf("%s after the first: %v, want %v", tc.second, got, tc.want)
		}
	}
}

func TestTell(t *testing.T) {
	r := questionPhone(t)
	s := r.State
	for _, tc := range []struct {
		sub   record.Subject
		value string
		want  string
	}{
		{contest.CardSubject(1, 41), cardOfJK, "A B C C A B C NG – B"},
		{contest.CardSubject(2, 41), "\x07", "2-1-3-4"},
		{contest.CardSubject(1, 41), "", "taken back"},
		{contest.KeySubject(2, 0), `{"answer":"2-1-3-4","cuts":[2,5,3],"also":["1-2-3-4"]}`, "Answer: 2-1-3-4; Cuts: 2-5-3; Also right: 1-2-3-4"},
		{record.Subject{Kind: record.KindPerson, A: 1}, `{"name":"Ana","division":"Junior","out":"went home"}`, "Name: Ana; Age group: Junior; Not ranked: went home"},
		{record.Subject{Kind: record.KindPerson, A: 1}, `{"name":""}`, "no name, team or age group"},
		{record.Subject{Kind: record.KindClass, A: 9}, `{"name":"Hens","kind":"placing","items":4,"worth":"50"}`, "Name: Hens; Kind: placing; Items: 4; Worth: 50"},
		{record.Subject{Kind: record.KindPerson, A: 1}, `{`, "something of 1 letter that this Keelcard cannot read"},
		{record.Subject{Kind: 77, A: 1}, "xyz", "something of 3 letters that this Keelcard cannot read"},
	} {
		if got := s.TellShort(tc.sub, tc.value); got != tc.want {
			t.Errorf("%+v %q: %q, want %q", tc.sub, tc.value, got, tc.want)
		}
	}
	if got := s.Tell(record.Subject{Kind: record.KindContest}, `{"name":"Day","ties":[{"classes":[1]},{"alternate":true}]}`); !strings.Contains(got[len(got)-1].Text, "Broiler carcasses, the member who did not count") {
		t.Errorf("settings are told as %+v", got)
	}
}

func TestLatest(t *testing.T) {
	r := questionPhone(t)
	r.Visit(page("keying", "2"))
	tap(r, "213")
	got := r.State.Latest(3)
	if len(got) != 3 || got[0].Phone != r.State.Phone.ID {
		t.Errorf("the latest records are %+v", got)
	}
	if all := r.State.Latest(1000); len(all) != 14 {
		t.Errorf("%d records in all, want 14", len(all))
	}
}

// Whatever two phones can differ about that counts is in the one list, with both
// sides in words, and is settled there; what an official noted is no question.
func TestEverythingInQuestionIsInOneList(t *testing.T) {
	b, _ := rulebook.ByID("carcass-youth")
	book := func(why string) string {
		return `{"base":"carcass-youth","hash":"` + b.Hash() + `","changes":[{"factor":"spot-breast-legs","grade":"A","most":"1/2 in","why":"` + why + `","who":"AB"}]}`
	}
	sides := map[record.Subject][2]string{
		{Kind: record.KindContest}:           {must(contest.Settings{Name: "Tamarack County Poultry Day"}.Write()), must(contest.Settings{Name: "Poultry Day"}.Write())},
		{Kind: record.KindClass, A: 2}:       {`{"name":"Hens","kind":"placing","items":4}`, `{"name":"Layers","kind":"placing","items":4}`},
		{Kind: record.KindPerson, A: 42}:     {`{"name":"Ben Cole"}`, `{"name":"Benjamin Cole"}`},
		{Kind: record.KindTeam, A: 1}:        {`{"name":"Oak Hollow"}`, `{"name":"Oak Hall"}`},
		contest.RulingSubject(2, 1):          {`{"out":true,"why":"the cage stood open"}`, `{"also":["1-2-3-4"],"why":"two are alike"}`},
		contest.RulingSubject(2, 0):          {`{"out":true,"why":"the light failed"}`, `{"out":true,"why":"too few saw it"}`},
		contest.BookSubject(1):               {book("a local rule"), book("told so")},
		contest.KeySubject(2, 0):             {`{"answer":"2-1-3-4","cuts":[2,5,3]}`, `{"answer":"2-1-4-3","cuts":[2,5,3]}`},
		contest.CardSubject(2, 41):           {"\x01", "\x02"},
		{Kind: contest.KindSeen, A: 1, B: 1}: {`{"note":"torn"}`, `{"note":"bruised"}`},
	}
	disk := &app.Memory{}
	for i := range 2 {
		var facts []app.Fact
		for sub, values := range sides {
			facts = append(facts, app.Fact{Who: []string{"owner/AB", "owner/JK"}[i], Subject: sub, Value: values[i], When: 1_789_990_000})
		}
		if err := disk.Give(poultryDay, "Day", byte(90+i), facts...); err != nil {
			t.Fatal(err)
		}
	}
	r := must(app.NewRunner(1, disk))
	r.Type("phone.initials", "MB")
	r.Visit(page("questions"))
	delete(sides, record.Subject{Kind: contest.KindSeen, A: 1, B: 1})
	list := questions(r)
	if len(list) != len(sides) {
		t.Fatalf("%d things are in question, want %d: %v", len(list), len(sides), list)
	}
	for _, sub := range list {
		openQuestion(r, sub)
		both := r.State.Sides(sub)
		if len(both) != 2 || r.State.TellShort(sub, both[0].Value) == r.State.TellShort(sub, both[1].Value) {
			t.Errorf("%s: the sides are told as %q and %q", r.State.SubjectName(sub), r.State.TellShort(sub, both[0].Value), r.State.TellShort(sub, both[1].Value))
		}
		r.Do("questions.take:2")
	}
	for range 2 {
		if left := questions(r); len(left) != 0 {
			t.Errorf("still in question: %v", left)
		}
		lines := map[string]int{}
		for _, l := range r.State.ProtestLog(0, 0) {
			lines[l.What]++
		}
		if lines[app.LogSettled] != len(sides) || lines[app.LogRuling] != 4 || len(lines) != 2 {
			t.Errorf("the log has %v, want %d settled and the rulings of both phones", lines, len(sides))
		}
		r = restartAt(t, r, "questions")
	}
}
