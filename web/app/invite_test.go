package app_test

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/web/app"
)

// An invitation keeps its number until the next one is begun, and the owner is led
// to that after a code.
func TestEachInvitationHasItsNumber(t *testing.T) {
	owner := sealedDay(t)
	at(owner, "invite", contest.Official)
	in := func() app.InvitePage { return owner.State.Invite }
	first := in()
	if first.Role != contest.Official || first.No == 0 || first.Given || first.Long() {
		t.Fatalf("begun with %+v", first)
	}
	owner.Do("invite.save")
	owner.Send(app.Msg{Do: "offered", Args: []string{"invite", "dropped"}})
	if in().Given || owner.State.Where().Given > 0 {
		t.Error("what was not given is noted as given")
	}
	owner.Send(app.Msg{Do: "offered", Args: []string{"invite", "saved"}})
	if !in().Given || owner.State.Where().Given == 0 || in().No != first.No {
		t.Errorf("after it was saved: %+v, handed over at %d", in(), owner.State.Where().Given)
	}
	owner.Do(app.Action("invite.role", contest.Official))
	second := in()
	if second.Given || second.No == first.No {
		t.Errorf("the next one is %+v", second)
	}
	owner.Do("invite.code")
	if c := owner.State.ShowCode; owner.State.Page.Name != "show-code" || c.Invite != contest.Official || in().No != second.No {
		t.Fatalf("shown on %q: %+v", owner.State.Page.Name, c)
	}
	owner.Do("show-code.given")
	if owner.State.Page.Name != "invite" || in().Role != contest.Official || in().No == second.No {
		t.Errorf("after the code comes %q with %+v", owner.State.Page.Name, in())
	}
	at(owner, "invite", "owner")
	if in().Role != contest.Keyer {
		t.Errorf("an address invites to %q", in().Role)
	}
}

// What goes without the records is no handing over.
func TestAnInvitationAloneHandsNothingOver(t *testing.T) {
	owner := sealedDay(t)
	var list []string
	for i := range 1500 {
		list = append(list, strconv.Itoa(100+7*i)+",Contestant of some long name "+strconv.Itoa(i*i*7919))
	}
	at(owner, "people")
	owner.Type("people.paste", strings.Join(list, "\n"))
	owner.Do("people.take")
	at(owner, "invite")
	if !owner.State.Invite.Long() {
		t.Fatalf("%d letters are not too long for a message", owner.State.Invite.Size)
	}
	owner.Do("invite.text")
	owner.Send(app.Msg{Do: "offered", Args: []string{"invite", "shared"}})
	if !owner.State.Invite.Given || owner.State.Where().Given > 0 {
		t.Errorf("given %v, handed over at %d", owner.State.Invite.Given, owner.State.Where().Given)
	}
	owner.Do("invite.file")
	owner.Send(app.Msg{Do: "offered", Args: []string{"invite", "shared"}})
	if owner.State.Where().Given == 0 {
		t.Error("the file with the records is not noted")
	}
}

func TestOnlyTheOwnerInvites(t *testing.T) {
	owner := sealedDay(t)
	official := joined(t, owner, contest.Official, 70, "JK")
	at(official, "invite")
	official.Shown = nil
	for _, do := range []string{"invite.code", "invite.file", "invite.save", "invite.text"} {
		official.State.Notice = app.Notice{}
		official.Do(do)
		if len(official.Shown) > 0 || official.State.Notice.Tone != "bad" || official.State.CanInvite() {
			t.Errorf("%s: %+v, %+v", do, official.Shown, official.State.Notice)
		}
	}
}

// A second phone that uses an official's invitation reads with it. Shut out, it
// does not read what is set from then on.
func TestShuttingOutWhoUsedAnInvitationTwice(t *testing.T) {
	owner := sealedDay(t)
	file := ticket(t, owner, contest.Official)
	first, second := newPhone(t, 70, "JK"), newPhone(t, 80, "XY")
	for _, r := range []*app.Runner{first, second} {
		takeIn(t, r, file)
		passes(t, r, owner)
	}
	setKey(t, owner, "A")
	passes(t, owner, second)
	if got := answersOf(keyOf(second)); got != "A" {
		t.Fatalf("the second phone reads %q", got)
	}
	at(owner, "phones")
	owner.Do(app.Action("phones.shut", second.State.Phone.ID.String()))
	setKey(t, owner, "AB")
	passes(t, owner, first)
	passes(t, owner, second)
	if got := answersOf(keyOf(first)); got != "A B" {
		t.Errorf("the official reads %q", got)
	}
	if got := answersOf(keyOf(second)); strings.Contains(got, "B") {
		t.Errorf("who is shut out reads %q", got)
	}
}

// A coach took an official's invitation up that another phone had used: it stays a
// coach, and reads by that invitation. When the owner says that it is a coach, it
// does not read what is answered from then on.
func TestACoachWhoUsedAnInvitationTwice(t *testing.T) {
	owner := sealedDay(t)
	file := ticket(t, owner, contest.Official)
	first, coach := newPhone(t, 70, "JK"), joined(t, owner, contest.Coach, 80, "XY")
	takeIn(t, first, file)
	passes(t, first, owner)
	passes(t, coach, owner)
	takeIn(t, coach, file)
	passes(t, coach, owner)
	id := coach.State.Phone.ID
	at(owner, "phones")
	if !owner.State.Twice(id) {
		t.Fatal("it is not said that the invitation was used twice")
	}
	owner.Do(app.Action("phones.role", id.String(), contest.Coach))
	if turn := owner.State.Open.Contest.Turn(); turn != 2 || owner.State.Twice(id) {
		t.Errorf("it is turn %d", turn)
	}
	setKey(t, owner, "ABC")
	passes(t, owner, coach)
	passes(t, owner, first)
	if got := answersOf(keyOf(coach)); got != "" {
		t.Errorf("the coach reads %q", got)
	}
	if got := answersOf(keyOf(first)); got != "A B C" {
		t.Errorf("the official reads %q", got)
	}
}

// Every word that is wrong is named.
func TestWrongWordsAreNamed(t *testing.T) {
	r := sealedDay(t)
	r.Visit("#/recovery")
	r.Do("recovery.show")
	words := slices.Clone(r.State.Recovery.Shown)
	if len(words) != 13 {
		t.Fatalf("%d words", len(words))
	}
	words[2], words[8] = "xqzzy", "ktchen"
	r.Do("recovery.check")
	if len(r.State.Recovery.Shown) > 0 {
		t.Error("the words are still shown when they are to be typed")
	}
	r.Type("recovery.typed", strings.Join(words, " "))
	r.Do("recovery.take")
	f := r.State.Recovery
	if !strings.Contains(f.Fault.Text, `"xqzzy"`) || strings.Contains(f.Fault.Text, "+") || len(f.More) != 1 || !strings.Contains(f.More[0].Text, `"ktchen"`) {
		t.Errorf("%+v", f)
	}
	r.Type("recovery.typed", "something else")
	if f := r.State.Recovery; f.Fault.Text != "" || len(f.More) > 0 || !f.Check {
		t.Errorf("while one types: %+v", f)
	}
	if r.State.Phone.WordsKept || !openWordsDue(r) {
		t.Error("wrong words count as written down")
	}
	r.Visit("#/recovery")
	r.Do("recovery.show")
	text := strings.Join(r.State.Recovery.Shown, " ")
	r.Do("recovery.check")
	r.Type("recovery.take", text)
	if openWordsDue(r) {
		t.Error("words that are written down are due")
	}
}

// openWordsDue tells whether the contest asks for the words to be written down.
func openWordsDue(r *app.Runner) bool {
	r.Visit(app.Page{Name: "contest", Contest: r.State.Contests[0].ID}.Hash())
	return r.State.WordsDue()
}
