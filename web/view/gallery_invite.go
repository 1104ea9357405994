package view

import (
	"strings"

	"keelcard/engine/contest"
	"keelcard/web/app"
)

// sealedDay is the phone of an owner who began a contest with sealed answers.
func sealedDay() *app.Runner {
	r := namedPhone(40, "AB")
	r.Visit("#/new")
	r.Type("new.start", "name=Quarry+Road+Poultry+Day&sealed=on")
	at(r, "class", "new")
	r.Do("class.add:carcass-youth")
	at(r, "people")
	r.Type("people.paste", "41,Ana Birch\n42,Ben Cole\n50,Dee Fox")
	r.Do("people.take")
	return r
}

func namedPhone(seed byte, initials string) *app.Runner {
	r, err := app.NewRunner(seed, &app.Memory{})
	if err != nil {
		panic(err)
	}
	if initials != "" {
		r.Type("phone.initials", initials)
	}
	return r
}

// invitation is an invitation of the owner as a file.
func invitation(owner *app.Runner, role string) []byte {
	at(owner, "invite", role)
	owner.Shown = nil
	owner.Do("invite.save")
	return owner.Shown[len(owner.Shown)-1].(app.Offer).Bytes
}

// cameBy is a phone that took an invitation up.
func cameBy(seed byte, initials string, invitation []byte) *app.Runner {
	r := namedPhone(seed, initials)
	arrive(r, invitation)
	r.Do("take-in.accept")
	return r
}

// galleryInvite shows invitations on both sides, and the phones that came by one.
func galleryInvite() []Sample {
	owner := sealedDay()
	var samples []Sample
	add := func(name string, s *app.State) { samples = append(samples, Sample{name, s}) }
	add("contest/sealed, words on no paper", keptBy(owner, "contest"))
	add("phones/sealed, nobody invited yet", keptBy(owner, "phones"))
	add("invite/a keyer", keptBy(owner, "invite"))
	add("invite/an official", keptBy(owner, "invite", contest.Official))
	shown := func(role string, do ...string) *app.State {
		r, err := app.NewRunner(200, owner.Disk)
		if err != nil {
			panic(err)
		}
		r.Visit(app.Page{Name: "invite", Contest: owner.State.Open.Head.ID, Args: []string{role}}.Hash())
		for _, d := range do {
			r.Do(d)
		}
		return r.State
	}
	add("show-code/an invitation", shown(contest.Official, "invite.code"))
	add("show-code/an invitation, moving", shown(contest.Official, "invite.code", "show-code.start"))
	official := invitation(owner, contest.Official)
	owner.Send(app.Msg{Do: "offered", Args: []string{"invite", "saved"}})
	given := owner.State.Invite
	add("take-in/an invitation", arrive(namedPhone(3, ""), official))
	add("take-in/an invitation to another role", arrive(cameBy(90, "TT", invitation(owner, contest.Keyer)), official))
	first, second := cameBy(60, "JK", official), cameBy(62, "XY", official)
	keyer := cameBy(80, "MB", invitation(owner, contest.Keyer))
	add("contest/invited, without initials", cameBy(5, "", official).State)
	for _, r := range []*app.Runner{first, second, keyer} {
		pass(r, owner)
	}
	add("phones/invited, one invitation used twice", keptBy(owner, "phones"))
	pass(owner, first)
	pass(owner, keyer)
	add("phones/sealed, seen by a keyer", keptBy(keyer, "phones"))
	add("invite/by another phone", keptBy(keyer, "invite"))
	add("invite/given", again(owner, given))
	claimer := namedPhone(100, "AB")
	claimer.Visit("#/recovery")
	claimer.Type("recovery.take", wordsOf(owner))
	at(owner, "contest")
	pass(owner, claimer)
	add("phones/an owner by words", keptBy(claimer, "phones"))
	at(owner, "phones")
	owner.Do("phones.release")
	add("phones/sealed answers released", keptBy(owner, "phones"))
	owner.Do("phones.hold")
	add("phones/scores held back, answers open", keptBy(owner, "phones"))
	return append(samples, galleryInviteLong()...)
}

// again is the page of an invitation that left the phone.
func again(owner *app.Runner, given app.InvitePage) *app.State {
	s := keptBy(owner, "invite", given.Role)
	s.Invite = given
	return s
}

// galleryInviteLong is a contest too long for a message, and an invitation that
// comes without it.
func galleryInviteLong() []Sample {
	r := namedPhone(40, "AB")
	r.Do("new.start:full")
	at(r, "people")
	var list strings.Builder
	for i := range 760 {
		list.WriteString(itoa(100+i) + ",")
		for n := uint32(i+1) * 2654435761; n > 40; n /= 5 {
			list.WriteByte("aeiounrstlmdkpb"[n%15])
		}
		list.WriteByte('\n')
	}
	r.Type("people.paste", list.String())
	r.Do("people.take")
	at(r, "invite", contest.Coach)
	long := *r.State
	r.Shown = nil
	r.Do("invite.text")
	text := r.Shown[len(r.Shown)-1].(app.ShareText).Text
	alone := namedPhone(3, "")
	arrive(alone, []byte(text))
	return []Sample{
		{"invite/too long for a message", &long},
		{"take-in/an invitation alone", alone.State},
	}
}

// wordsOf are the recovery words of a phone.
func wordsOf(r *app.Runner) string {
	r.Visit("#/recovery")
	r.Do("recovery.show")
	return strings.Join(r.State.Recovery.Shown, " ")
}

// galleryRecovery shows the page of the recovery words.
func galleryRecovery() []Sample {
	page := func(r *app.Runner, do ...string) *app.State {
		r.Visit("#/recovery")
		for _, d := range do {
			r.Do(d)
		}
		return r.State
	}
	typed := func(r *app.Runner, text string) *app.State {
		page(r, "recovery.check")
		r.Type("recovery.take", text)
		return r.State
	}
	owner := sealedDay()
	words := wordsOf(owner)
	kept := sealedDay()
	typed(kept, words)
	page(kept)
	given := namedPhone(90, "CD")
	page(given)
	given.Type("recovery.take", words)
	wrong := strings.Fields(words)
	wrong[2], wrong[8] = "appel", "ktchen"
	return []Sample{
		{"recovery/no words yet", page(samplePhone())},
		{"recovery/on no paper", page(sealedDay())},
		{"recovery/shown", page(owner, "recovery.show")},
		{"recovery/typed in", page(sealedDay(), "recovery.check")},
		{"recovery/two words wrong", typed(sealedDay(), strings.Join(wrong, " "))},
		{"recovery/one word missing", typed(sealedDay(), strings.Join(wrong[1:], " "))},
		{"recovery/words of another phone", typed(sealedDay(), wordsOf(otherOwner()))},
		{"recovery/on paper", kept.State},
		{"recovery/taken", given.State},
	}
}

func otherOwner() *app.Runner {
	r := namedPhone(140, "EF")
	r.Do("new.start:practice")
	return r
}
