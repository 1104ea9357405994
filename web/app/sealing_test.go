package app_test

import (
	"bytes"
	"encoding/hex"
	"strconv"
	"strings"
	"testing"

	"keelcard/engine/codec"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/seal"
	"keelcard/web/app"
)

// sealedDay is the phone of an owner who began a sealed contest with one class
// of three birds and three contestants.
func sealedDay(t *testing.T) *app.Runner {
	t.Helper()
	r := newPhone(t, 60, "AB")
	r.Visit("#/new")
	r.Type("new.start", "name=Quarry+Road+Poultry+Day&sealed=on")
	if r.State.Open == nil || !r.State.Open.Contest.Settings.Sealed {
		t.Fatalf("the contest is not sealed: %+v", r.State.Notice)
	}
	at(r, "class", "new")
	r.Do("class.add:carcass-youth")
	r.Type("class.items", "3")
	at(r, "people")
	r.Type("people.paste", "41\n42\n43")
	r.Do("people.take")
	if len(r.State.Open.Contest.Persons) != 3 {
		t.Fatalf("the people are not there: %+v", r.State.Notice)
	}
	return r
}

// at opens a page of the contest that is open.
func at(r *app.Runner, name string, args ...string) {
	r.Visit(app.Page{Name: name, Contest: r.State.Open.Head.ID, Args: args}.Hash())
}

// ticket is an invitation to a role, as a file.
func ticket(t *testing.T, owner *app.Runner, role string) []byte {
	t.Helper()
	at(owner, "invite")
	owner.Do(app.Action("invite.role", role))
	owner.Shown = nil
	owner.Do("invite.save")
	for _, e := range owner.Shown {
		if o, ok := e.(app.Offer); ok && o.Tag == "invite" {
			return o.Bytes
		}
	}
	t.Fatalf("no invitation is made: %+v", owner.State.Notice)
	return nil
}

// joined is a new phone that took an invitation up.
func joined(t *testing.T, owner *app.Runner, role string, seed byte, initials string) *app.Runner {
	t.Helper()
	r := newPhone(t, seed, initials)
	takeIn(t, r, ticket(t, owner, role))
	if r.State.Open == nil || r.State.Open.Head.ID != owner.State.Open.Head.ID || r.State.Role() != role {
		t.Fatalf("%s is not in as %s: %+v", initials, role, r.State.Notice)
	}
	return r
}

// passes hands everything over from one phone to another.
func passes(t *testing.T, from, to *app.Runner) {
	t.Helper()
	if from.State.Open == nil {
		from.Visit(app.Page{Name: "contest", Contest: from.State.Contests[0].ID}.Hash())
	}
	at(from, "hand-over")
	from.Do("hand-over.to:everything")
	from.Shown = nil
	from.Do("hand-over.save")
	takeIn(t, to, from.Shown[len(from.Shown)-1].(app.Offer).Bytes)
}

func setKey(t *testing.T, r *app.Runner, answers string) {
	t.Helper()
	for i, a := range answers {
		at(r, "key", "1")
		r.Do(app.Action("key.item", strconv.Itoa(i+1)))
		r.Do(app.Action("key.answer", string(a)))
	}
}

func keyOf(r *app.Runner) contest.Key {
	c := r.State.Open.Contest
	class, _ := c.Class(1)
	return c.Key(class)
}

func answersOf(k contest.Key) (out string) {
	for _, item := range k.Items {
		out += item.Answer + " "
	}
	return strings.TrimSpace(out)
}

// disk is everything that a phone keeps.
func diskOf(t *testing.T, r *app.Runner) (out []byte) {
	t.Helper()
	for _, bucket := range app.Buckets {
		found, err := r.Disk.Load(bucket, "")
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range found {
			out = append(append(out, e.Key...), e.Value...)
		}
	}
	return out
}

func TestAnswersAreSealedUntilTheyAreReleased(t *testing.T) {
	owner := sealedDay(t)
	official := joined(t, owner, contest.Official, 70, "JK")
	keyer := joined(t, owner, contest.Keyer, 80, "MB")

	// The invited official reads and writes at once, before the owner heard of it.
	setKey(t, owner, "AB")
	passes(t, owner, official)
	if got := answersOf(keyOf(official)); got != "A B" {
		t.Fatalf("the official reads %q", got)
	}
	setKey(t, official, "ABC")
	passes(t, official, owner)
	if k := keyOf(owner); answersOf(k) != "A B C" || k.Status[0] != merge.Single || k.Sealed {
		t.Errorf("the owner reads %q, %v", answersOf(k), k.Status)
	}
	if role := owner.State.Open.Contest.Role(official.State.Phone.ID); role != contest.Official {
		t.Errorf("to the owner the official's phone is %q: %+v", role, owner.State.Notice)
	}
	passes(t, owner, keyer)
	k := keyOf(keyer)
	if got := answersOf(k); got != "" || !k.Sealed || k.Missing() != 0 || k.Status[2] != merge.Single {
		t.Errorf("the keyer reads %q, %+v", got, k)
	}
	if seen := diskOf(t, keyer); bytes.Contains(seen, []byte(`"answer"`)) || bytes.Contains(seen, []byte(keyer.State.Open.Contest.Settings.Name)) == false {
		t.Error("an answer lies open on the keyer's phone")
	}
	at(keyer, "results")
	if keyer.State.Barred("results") != "scores" {
		t.Error("a keyer sees scores")
	}
	if s, err := keyer.State.Open.Contest.Score(); err != nil || len(s.Waiting) != 1 || len(s.Classes) != 0 {
		t.Errorf("on a keyer's phone there are scores: %+v, %v", s, err)
	}

	// A keyer cannot set an answer.
	before := len(kept(t, keyer))
	setKey(t, keyer, "C")
	if len(kept(t, keyer)) != before || keyer.State.Notice.Fix == "" {
		t.Errorf("a keyer set an answer: %+v", keyer.State.Notice)
	}
	at(keyer, "keying", "1", "41")
	tap(keyer, "123")
	passes(t, keyer, owner)
	if s, err := owner.State.Open.Contest.Score(); err != nil || len(s.Classes) != 1 {
		t.Fatalf("the owner cannot score: %+v, %v", s, err)
	}

	// After the release everybody reads, and what is set then is in the clear.
	at(owner, "phones")
	owner.Do("phones.release")
	passes(t, owner, keyer)
	if got := answersOf(keyOf(keyer)); got != "A B C" || keyer.State.Barred("results") != "" {
		t.Errorf("after the release the keyer reads %q: %+v", got, keyer.State.Notice)
	}
	if s, err := keyer.State.Open.Contest.Score(); err != nil || len(s.Classes) != 1 {
		t.Errorf("the keyer's phone cannot score: %+v, %v", s, err)
	}
	setKey(t, official, "D")
	_ = kept(t, official)
	again := restart(t, keyer)
	again.Visit(app.Page{Name: "contest", Contest: owner.State.Open.Head.ID}.Hash())
	if got := answersOf(keyOf(again)); got != "A B C" {
		t.Errorf("after a restart it reads %q", got)
	}
}

// Every phone is started again, and one is brought back from a copy of its disk.
func TestSealedAnswersOutliveARestart(t *testing.T) {
	owner := sealedDay(t)
	official := joined(t, owner, contest.Official, 70, "JK")
	setKey(t, official, "ABC")
	passes(t, official, owner)
	passes(t, owner, official)
	for _, r := range []*app.Runner{owner, official} {
		again := restart(t, r)
		again.Visit(app.Page{Name: "contest", Contest: owner.State.Open.Head.ID}.Hash())
		if got := answersOf(keyOf(again)); got != "A B C" {
			t.Errorf("%s reads %q after a restart", r.State.Phone.Initials, got)
		}
		if _, _, ok := again.State.UndoTarget(); ok {
			again.Do("undo")
		}
	}
	// An official takes an answer back, and sets it again.
	at(official, "key", "1")
	official.Do("undo")
	if got := answersOf(keyOf(official)); got != "A B" {
		t.Errorf("after the undo the official reads %q: %+v", got, official.State.Notice)
	}
	official.Do("undo")
	if got := answersOf(keyOf(official)); got != "A" {
		t.Errorf("after two the official reads %q: %+v", got, official.State.Notice)
	}
}

func TestTwoOfficialsWhoDifferOnASealedAnswer(t *testing.T) {
	owner := sealedDay(t)
	official := joined(t, owner, contest.Official, 70, "JK")
	keyer := joined(t, owner, contest.Keyer, 80, "MB")
	setKey(t, owner, "ABC")
	setKey(t, official, "ABB")
	passes(t, official, owner)
	passes(t, owner, keyer)
	for _, r := range []*app.Runner{owner, keyer} {
		k := keyOf(r)
		if k.Status[0] != merge.Confirmed || k.Status[1] != merge.Confirmed || k.Status[2] != merge.InQuestion {
			t.Errorf("%s: %v", r.State.Phone.Initials, k.Status)
		}
	}
	sub := contest.KeySubject(1, 3)
	if v := owner.State.Open.Contest.State().Current(sub).Values; len(v) != 2 || record.Veiled(v[0]) {
		t.Errorf("the owner sees %q", v)
	}
	if v := keyer.State.Open.Contest.State().Current(sub).Values; len(v) != 2 || !record.Veiled(v[0]) || !record.Veiled(v[1]) {
		t.Errorf("the keyer sees %q", v)
	}
}

func TestBundlesAreForThePhonesOfTheContest(t *testing.T) {
	owner := sealedDay(t)
	at(owner, "hand-over")
	owner.Shown = nil
	owner.Do("hand-over.save")
	file := owner.Shown[len(owner.Shown)-1].(app.Offer).Bytes
	raw, err := codec.DecodeText(string(file))
	if _, ok := seal.SealedFor(raw); err != nil || !ok {
		t.Fatalf("it is handed over in the clear: %v", err)
	}
	stranger := newPhone(t, 90, "XY")
	stranger.Visit("#/take-in")
	stranger.Send(app.Msg{Do: "file", Args: []string{"take-in", "a.txt"}, Bytes: file})
	if f := stranger.State.TakeIn.Faults; len(f) != 1 || !strings.Contains(f[0].Text, "not part of") || f[0].Fix == "" || stranger.State.TakeIn.Ready != nil {
		t.Fatalf("a stranger's phone says %+v", f)
	}
	// With the invitation, which may come in any order, it can.
	stranger.Send(app.Msg{Do: "file", Args: []string{"take-in", "b.txt"}, Bytes: ticket(t, owner, contest.Keyer)})
	stranger.Send(app.Msg{Do: "file", Args: []string{"take-in", "a.txt"}, Bytes: file})
	stranger.Do("take-in.accept")
	if stranger.State.Open == nil || stranger.State.Open.Head.ID != owner.State.Open.Head.ID {
		t.Errorf("%+v", stranger.State.Notice)
	}
}

// An invitation that somebody made up, or changed, moves nothing on a phone that is
// part of the contest.
func TestAFalseInvitation(t *testing.T) {
	owner := sealedDay(t)
	keyer := joined(t, owner, contest.Keyer, 70, "MB")
	own := owner.State.Open.Contest.ID
	other := seal.Authority{7}.Ticket(own, contest.Official, 9, 1)
	good, err := codec.DecodeText(string(ticket(t, owner, contest.Official)))
	if err != nil {
		t.Fatal(err)
	}
	mixed, err := seal.ReadTicket(good)
	if err != nil {
		t.Fatal(err)
	}
	mixed.Contest[0] ^= 1
	for name, made := range map[string]seal.Ticket{"of another owner": other, "with the records of another contest": mixed} {
		file, err := made.Write()
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range []*app.Runner{keyer, owner} {
			before := diskOf(t, r)
			r.Visit("#/take-in")
			r.Send(app.Msg{Do: "file", Args: []string{"take-in", "a"}, Bytes: file})
			if f := r.State.TakeIn.Faults; len(f) != 1 || f[0].Fix == "" {
				t.Errorf("%s: %s says %+v", name, r.State.Phone.Initials, f)
			}
			r.Do("take-in.accept")
			if !bytes.Equal(diskOf(t, r), before) {
				t.Errorf("%s: it changes what %s keeps", name, r.State.Phone.Initials)
			}
		}
	}
	// The owner needs no invitation, and a keyer may be made an official by one.
	owner.Visit("#/take-in")
	owner.Send(app.Msg{Do: "file", Args: []string{"take-in", "a"}, Bytes: good})
	if f := owner.State.TakeIn.Faults; len(f) != 1 || !strings.Contains(f[0].Text, "owner") {
		t.Errorf("the owner is told %+v", f)
	}
	takeIn(t, keyer, good)
	setKey(t, keyer, "A")
	if got := answersOf(keyOf(keyer)); got != "A" {
		t.Errorf("who was invited as an official sets %q: %+v", got, keyer.State.Notice)
	}
	// A phone that owns contests of its own and knows no ring of this one seals nothing.
	stray := newPhone(t, 90, "XY")
	stray.Type("new.start", "name=Elm+Bend+Day&sealed=on")
	set, err := codec.DecodeBundle(mixed.Bundle)
	if err != nil || set.Contest != own {
		t.Fatal(err)
	}
	takeIn(t, stray, mixed.Bundle)
	at(stray, "hand-over")
	stray.Shown = nil
	stray.Do("hand-over.save")
	if len(stray.Shown) > 0 || stray.State.Notice.Fix == "" {
		t.Errorf("it hands over what nobody can open: %+v", stray.State.Notice)
	}
}

// An invitation without records is kept until a bundle comes, over a restart.
func TestAnInvitationByText(t *testing.T) {
	owner := sealedDay(t)
	var lines []string
	for i := range 1500 { // too many for a message
		lines = append(lines, strconv.Itoa(1000+i*7)+", Contestant of some long name "+strconv.Itoa(i*i*7919))
	}
	at(owner, "people")
	owner.Type("people.paste", strings.Join(lines, "\n"))
	owner.Do("people.take")
	at(owner, "invite")
	owner.Shown = nil
	owner.Do("invite.text")
	text := owner.Shown[len(owner.Shown)-1].(app.ShareText).Text
	if len(text) > 1000 {
		t.Fatalf("the invitation has %d letters", len(text))
	}
	r := newPhone(t, 70, "MB")
	r.Visit("#/take-in")
	r.Type("take-in.paste", text)
	if p := r.State.TakeIn.Pass; p == nil || p.Role != contest.Keyer || r.State.TakeIn.Title != "Quarry Road Poultry Day" {
		t.Fatalf("not known as an invitation: %+v", r.State.TakeIn)
	}
	r.Do("take-in.accept")
	if r.State.Notice.Fix == "" || len(r.State.Contests) > 0 {
		t.Errorf("%+v", r.State.Notice)
	}
	r = restart(t, r)
	passes(t, owner, r)
	if r.State.Open == nil || r.State.Role() != contest.Keyer || len(r.State.Open.Contest.Persons) != 1503 {
		t.Errorf("not in: %+v", r.State.Notice)
	}
	passes(t, r, owner)
	if role := owner.State.Open.Contest.Role(r.State.Phone.ID); role != contest.Keyer {
		t.Errorf("to the owner it is %q", role)
	}
}

func TestAnOfficialsInvitationServesOnePhone(t *testing.T) {
	owner := sealedDay(t)
	file := ticket(t, owner, contest.Official)
	first, second := newPhone(t, 70, "JK"), newPhone(t, 80, "XY")
	takeIn(t, first, file)
	takeIn(t, second, file)
	passes(t, first, owner)
	passes(t, second, owner)
	c := owner.State.Open.Contest
	if c.Role(first.State.Phone.ID) != contest.Official || c.Role(second.State.Phone.ID) != "" || !owner.State.Twice(second.State.Phone.ID) {
		t.Errorf("roles %q and %q", c.Role(first.State.Phone.ID), c.Role(second.State.Phone.ID))
	}
	// Keyers may share one.
	file = ticket(t, owner, contest.Keyer)
	for seed := range byte(3) {
		r := newPhone(t, 100+seed, "K"+strconv.Itoa(int(seed)))
		takeIn(t, r, file)
		passes(t, r, owner)
		if role := owner.State.Open.Contest.Role(r.State.Phone.ID); role != contest.Keyer {
			t.Errorf("keyer %d is %q", seed, role)
		}
	}
}

// A phone that has a role and takes an invitation to another one up has that from
// then on, on the owner's phone as soon as that hears of it.
func TestInvitedToAnotherRole(t *testing.T) {
	owner := sealedDay(t)
	r := joined(t, owner, contest.Keyer, 70, "MB")
	id := r.State.Phone.ID
	roles := func(there, here string) {
		t.Helper()
		if got, own := owner.State.Open.Contest.Role(id), r.State.Role(); got != there || own != here {
			t.Fatalf("to the owner it is %q, to itself %q: %+v", got, own, owner.State.Notice)
		}
	}
	passes(t, r, owner)
	passes(t, owner, r)
	roles(contest.Keyer, contest.Keyer)
	setKey(t, owner, "AB")

	r.Visit("#/take-in")
	file := ticket(t, owner, contest.Official)
	r.Send(app.Msg{Do: "file", Args: []string{"take-in", "a.txt"}, Bytes: file})
	if is := r.State.Instead(); is != contest.Keyer {
		t.Errorf("the page says it is %q", is)
	}
	r.Do("take-in.accept")
	roles(contest.Keyer, contest.Official)
	if got := answersOf(keyOf(r)); got != "A B" {
		t.Errorf("invited as an official it reads %q", got)
	}
	setKey(t, r, "ABC")
	passes(t, r, owner)
	roles(contest.Official, contest.Official)
	if got := answersOf(keyOf(owner)); got != "A B C" || !strings.Contains(owner.State.Notice.Text, "MB") {
		t.Errorf("the owner reads %q: %+v", got, owner.State.Notice)
	}
	// Another phone with the same invitation keeps the role it has.
	second := joined(t, owner, contest.Coach, 80, "XY")
	passes(t, second, owner)
	takeIn(t, second, file)
	passes(t, second, owner)
	if got := owner.State.Open.Contest.Role(second.State.Phone.ID); got != contest.Coach || !owner.State.Twice(second.State.Phone.ID) {
		t.Errorf("with an invitation that was used before it is %q", got)
	}

	// What the owner says by a tap stands, whatever was taken up before.
	at(owner, "phones")
	owner.Do(app.Action("phones.role", id.String(), contest.Coach))
	if turn := owner.State.Open.Contest.Turn(); turn != 2 {
		t.Errorf("it is turn %d", turn)
	}
	passes(t, owner, r)
	passes(t, r, owner)
	roles(contest.Coach, contest.Coach)

	// Nor is an invitation good for a second time.
	takeIn(t, r, ticket(t, owner, contest.Keyer))
	passes(t, r, owner)
	takeIn(t, r, file)
	passes(t, r, owner)
	if got := owner.State.Open.Contest.Role(id); got != contest.Keyer {
		t.Errorf("with an invitation that it had used it is %q", got)
	}

	// Back among the officials, and out of them again by an invitation: what is
	// answered then is not for it.
	takeIn(t, r, ticket(t, owner, contest.Official))
	passes(t, r, owner)
	passes(t, owner, r)
	roles(contest.Official, contest.Official)
	takeIn(t, r, ticket(t, owner, contest.Keyer))
	roles(contest.Official, contest.Keyer)
	passes(t, r, owner)
	roles(contest.Keyer, contest.Keyer)
	if turn := owner.State.Open.Contest.Turn(); turn != 3 {
		t.Errorf("it is turn %d", turn)
	}
	at(owner, "key", "1")
	owner.Do("key.item:1")
	owner.Do("key.answer:D")
	passes(t, owner, r)
	if got := answersOf(keyOf(r)); strings.Contains(got, "D") {
		t.Errorf("who is a keyer again reads %q", got)
	}

	// Who is shut out is not let in by an invitation.
	at(owner, "phones")
	owner.Do(app.Action("phones.shut", id.String()))
	takeIn(t, r, ticket(t, owner, contest.Official))
	passes(t, r, owner)
	if m, _ := owner.State.Open.Contest.Member(id); !m.Shut || m.Role != contest.Keyer {
		t.Errorf("shut out and invited it is %+v", m)
	}
}

func TestShuttingOutAnOfficialTurnsTheSecret(t *testing.T) {
	owner := sealedDay(t)
	stays := joined(t, owner, contest.Official, 70, "JK")
	goes := joined(t, owner, contest.Official, 80, "XY")
	passes(t, stays, owner)
	passes(t, goes, owner)
	setKey(t, owner, "A")
	at(owner, "phones")
	owner.Do(app.Action("phones.shut", goes.State.Phone.ID.String()))
	if turn := owner.State.Open.Contest.Turn(); turn != 2 {
		t.Fatalf("it is turn %d: %+v", turn, owner.State.Notice)
	}
	setKey(t, owner, "AB")
	passes(t, owner, stays)
	passes(t, owner, goes)
	if got := answersOf(keyOf(stays)); got != "A B" {
		t.Errorf("who stays reads %q", got)
	}
	if got := answersOf(keyOf(goes)); strings.Contains(got, "B") || !keyOf(goes).Sealed {
		t.Errorf("who is shut out reads %q", got)
	}
	// Who stays answers under the new secret.
	setKey(t, stays, "ABC")
	passes(t, stays, goes)
	passes(t, stays, owner)
	if got := answersOf(keyOf(owner)); got != "A B C" {
		t.Errorf("the owner reads %q", got)
	}
	if got := answersOf(keyOf(goes)); strings.Contains(got, "C") {
		t.Errorf("who is shut out reads %q", got)
	}
	// Released, all turns open.
	at(owner, "phones")
	owner.Do("phones.release")
	passes(t, owner, goes)
	if got := answersOf(keyOf(goes)); got != "A B C" {
		t.Errorf("after the release it reads %q", got)
	}
}

func TestOwnersWordsOnAnotherPhone(t *testing.T) {
	owner := sealedDay(t)
	helper := joined(t, owner, contest.Keyer, 70, "MB")
	setKey(t, owner, "ABC")
	passes(t, owner, helper)
	owner.Visit("#/recovery")
	owner.Do("recovery.show")
	text := strings.Join(owner.State.Recovery.Shown, " ")
	owner.Do("recovery.check")
	owner.Type("recovery.take", strings.ToUpper(text))
	if !owner.State.Phone.WordsKept || len(owner.State.Recovery.Shown) > 0 {
		t.Errorf("the words are not known as kept: %+v", owner.State.Recovery)
	}

	// Phone and disk are gone. Another phone has the words and takes the contest in.
	next := newPhone(t, 80, "AB")
	next.Visit("#/recovery")
	next.Type("recovery.take", "1. "+strings.Replace(text, " ", " xyzzy ", 1))
	if next.State.Recovery.Fault.Fix == "" || next.State.HasWords() {
		t.Errorf("wrong words are taken: %+v", next.State.Recovery)
	}
	next.Type("recovery.take", text)
	passes(t, helper, next)
	if !next.State.Open.Contest.Owns(next.State.Phone.ID) || next.State.Role() != contest.Owner {
		t.Fatalf("the contest is not the owner's: %+v", next.State.Notice)
	}
	if got := answersOf(keyOf(next)); got != "A B C" {
		t.Errorf("the owner reads %q", got)
	}
	// The old phone turns up with somebody else. It is shut out.
	at(next, "phones")
	next.Do(app.Action("phones.shut", owner.State.Phone.ID.String()))
	if next.State.Open.Contest.Owns(owner.State.Phone.ID) {
		t.Fatalf("the lost phone is still an owner's: %+v", next.State.Notice)
	}
	at(owner, "phones")
	owner.Do(app.Action("phones.role", helper.State.Phone.ID.String(), "official"))
	setKey(t, owner, "D")
	passes(t, owner, next)
	passes(t, next, helper)
	for _, r := range []*app.Runner{next, helper} {
		if c := r.State.Open.Contest; c.Role(helper.State.Phone.ID) == contest.Official {
			t.Error("the lost phone gives roles")
		}
	}
	if got := answersOf(keyOf(next)); got != "A B C" {
		t.Errorf("the lost phone sets answers: %q", got)
	}
	// The words are in the backup of the new phone.
	if file := putAway(t, next); !strings.Contains(string(file.Bytes), "keelcard") && len(file.Bytes) == 0 {
		t.Error("no backup")
	}
}

func TestABackupBringsTheAuthority(t *testing.T) {
	owner := sealedDay(t)
	official := joined(t, owner, contest.Official, 70, "JK")
	setKey(t, official, "ABC")
	passes(t, official, owner)
	passes(t, owner, official)
	for i, r := range []*app.Runner{owner, official} {
		file := putAway(t, r)
		back := opened(t, newPhone(t, byte(120+i), r.State.Phone.Initials), file.Bytes, backupWords)
		back.Do("backup.bring")
		back.Visit(app.Page{Name: "contest", Contest: owner.State.Open.Head.ID}.Hash())
		if back.State.Open == nil || answersOf(keyOf(back)) != "A B C" {
			t.Errorf("from the backup of %s the key is not read: %+v", r.State.Phone.Initials, back.State.Notice)
			continue
		}
		passes(t, back, map[bool]*app.Runner{true: official, false: owner}[r == owner])
	}
	words := owner.State.Phone.Authorities[0].Seed
	if b, err := hex.DecodeString(words); err != nil || len(b) != len(seal.Authority{}) {
		t.Errorf("authority %q", words)
	}
}

// A phone that was invited as an official starts without the second part of the
// program: what it may read is opened, and what it owes written, when that comes.
func TestSealedAnswersWaitForTheSecondPart(t *testing.T) {
	owner := sealedDay(t)
	official := joined(t, owner, contest.Official, 70, "JK")
	setKey(t, official, "ABC")
	again := app.New()
	if err := app.Restore(again, official.Disk.Load); err != nil {
		t.Fatal(err)
	}
	r := &app.Runner{State: again, Disk: official.Disk, Now: official.Now}
	r.Send(app.Msg{Do: "rest-away"})
	r.Send(app.Msg{Do: "boot", Args: []string{app.Page{Name: "contest", Contest: owner.State.Open.Head.ID}.Hash()}})
	if k := keyOf(r); !k.Sealed || answersOf(k) != "" {
		t.Errorf("before it came the key reads %q", answersOf(k))
	}
	for _, e := range r.Shown {
		if _, asked := e.(app.LoadRest); asked {
			t.Error("a start asks for the second part")
		}
	}
	r.Send(app.Msg{Do: "rest-loaded"})
	if k := keyOf(r); k.Sealed || answersOf(k) != "A B C" {
		t.Errorf("afterwards it reads %q", answersOf(k))
	}
}

// Two owners shut different officials out without knowing of each other. Each gave
// the other's the secret of the same turn, so there is one more.
func TestTwoOwnersShutOutAtOnce(t *testing.T) {
	owner := sealedDay(t)
	second := newPhone(t, 80, "AB")
	second.Visit("#/recovery")
	owner.Visit("#/recovery")
	owner.Do("recovery.show")
	second.Type("recovery.take", strings.Join(owner.State.Recovery.Shown, " "))
	owner.Visit(app.Page{Name: "contest", Contest: owner.State.Contests[0].ID}.Hash())
	x := joined(t, owner, contest.Official, 100, "XX")
	y := joined(t, owner, contest.Official, 110, "YY")
	passes(t, x, owner)
	passes(t, y, owner)
	passes(t, owner, second)
	if !second.State.Open.Contest.Owns(second.State.Phone.ID) {
		t.Fatal("the words make no owner")
	}
	shut := func(by, whom *app.Runner) {
		at(by, "phones")
		by.Do(app.Action("phones.shut", whom.State.Phone.ID.String()))
	}
	shut(owner, x)
	shut(second, y)
	passes(t, second, owner)
	passes(t, owner, second)
	for _, r := range []*app.Runner{owner, second} {
		c := r.State.Open.Contest
		mx, _ := c.Member(x.State.Phone.ID)
		my, _ := c.Member(y.State.Phone.ID)
		if !mx.Shut || !my.Shut || c.Turn() < 3 {
			t.Errorf("%v: shut %v and %v, turn %d", r.State.Phone.ID, mx.Shut, my.Shut, c.Turn())
		}
	}
	setKey(t, owner, "ABC")
	for _, r := range []*app.Runner{second, x, y} {
		passes(t, owner, r)
	}
	if got := answersOf(keyOf(second)); got != "A B C" {
		t.Errorf("the other owner reads %q", got)
	}
	for _, r := range []*app.Runner{x, y} {
		if got := answersOf(keyOf(r)); got != "" {
			t.Errorf("%s is shut out and reads %q", r.State.Phone.Initials, got)
		}
	}
}

// An official's phone falls into a bucket. It is shut out, and the one invited in
// its place reads what was sealed before.
func TestAnOfficialWithANewPhone(t *testing.T) {
	owner := sealedDay(t)
	lost := joined(t, owner, contest.Official, 70, "JK")
	setKey(t, lost, "AB")
	passes(t, lost, owner)
	at(owner, "phones")
	owner.Do(app.Action("phones.shut", lost.State.Phone.ID.String()))
	next := joined(t, owner, contest.Official, 80, "JK")
	if got := answersOf(keyOf(next)); got != "A B" {
		t.Errorf("the new phone reads %q", got)
	}
	setKey(t, next, "ABC")
	passes(t, next, owner)
	passes(t, owner, lost)
	if got, lost := answersOf(keyOf(owner)), answersOf(keyOf(lost)); got != "A B C" || strings.Contains(lost, "C") {
		t.Errorf("the owner reads %q, the lost phone %q", got, lost)
	}
}

// Only an owner decides whether answers are sealed; what others write of the
// settings counts for all else.
func TestOnlyAnOwnerUnseals(t *testing.T) {
	owner := sealedDay(t)
	official := joined(t, owner, contest.Official, 70, "JK")
	at(official, "settings")
	official.Type("settings.name", "Elm Bend Day")
	official.Type("settings.sealed", "off")
	passes(t, official, owner)
	for _, r := range []*app.Runner{owner, official} {
		if set := r.State.Open.Contest.Settings; !set.Sealed || set.Name != "Elm Bend Day" {
			t.Errorf("%s: %+v", r.State.Phone.Initials, set)
		}
	}
	at(owner, "settings")
	owner.Type("settings.sealed", "off")
	passes(t, owner, official)
	for _, r := range []*app.Runner{owner, official} {
		if r.State.Open.Contest.Settings.Sealed {
			t.Errorf("%s: what the owner says does not count: %+v", r.State.Phone.Initials, owner.State.Notice)
		}
	}
}

// An owner without the authority makes a keyer's phone an official's. It reads once
// the phone with the authority has heard of it.
func TestAnOfficialWithoutTheSecretGetsIt(t *testing.T) {
	owner := sealedDay(t)
	second := joined(t, owner, contest.Official, 70, "JK")
	keyer := joined(t, owner, contest.Keyer, 80, "MB")
	passes(t, second, owner)
	at(owner, "phones")
	owner.Do(app.Action("phones.role", second.State.Phone.ID.String(), contest.Owner))
	passes(t, owner, second)
	passes(t, keyer, second)
	at(second, "phones")
	second.Do(app.Action("phones.role", keyer.State.Phone.ID.String(), contest.Official))
	setKey(t, second, "AB")
	passes(t, second, keyer)
	if keyer.State.Role() != contest.Official || answersOf(keyOf(keyer)) != "" {
		t.Fatalf("as %s it reads %q", keyer.State.Role(), answersOf(keyOf(keyer)))
	}
	passes(t, keyer, owner)
	passes(t, owner, keyer)
	if got := answersOf(keyOf(keyer)); got != "A B" {
		t.Errorf("afterwards it reads %q", got)
	}
}
