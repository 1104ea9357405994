package view

import (
	"keelcard/engine/contest"
	"keelcard/web/app"
)

// threePhones is a contest begun on one phone, in which two others wrote: those of
// its owner, of a keyer and of a coach.
func threePhones() (owner, keyer, coach *app.Runner) {
	start := func(seed byte, initials string) *app.Runner {
		r, err := app.NewRunner(seed, &app.Memory{})
		if err != nil {
			panic(err)
		}
		r.Type("phone.initials", initials)
		return r
	}
	owner, keyer, coach = start(40, "AB"), start(60, "MB"), start(80, "CD")
	owner.Do("new.start:practice")
	at(owner, "people")
	owner.Type("people.paste", "41,Ana Birch\n42,Ben Cole\n50,Dee Fox")
	owner.Do("people.take")
	for _, r := range []*app.Runner{keyer, coach} {
		pass(owner, r)
		pass(r, owner)
	}
	return owner, keyer, coach
}

// at opens a page of the contest that is open.
func at(r *app.Runner, page string, args ...string) *app.State {
	r.Visit(app.Page{Name: page, Contest: r.State.Open.Head.ID, Args: args}.Hash())
	return r.State
}

// pass hands everything from one phone to another.
func pass(from, to *app.Runner) {
	at(from, "hand-over")
	from.Do("hand-over.to:everything")
	arrive(to, handed(from))
	to.Do("take-in.accept")
}

// says taps something about a phone on the page of phones.
func says(r, about *app.Runner, do string, args ...string) {
	at(r, "phones")
	r.Do(app.Action("phones."+do, append([]string{about.State.Phone.ID.String()}, args...)...))
}

// keyedAnywhere keys cards with the first answer throughout.
func keyedAnywhere(r *app.Runner, numbers ...string) {
	for _, number := range numbers {
		at(r, "keying", "1", number)
		for range 10 {
			r.Do("keying.mark:1")
		}
	}
}

// keptBy is a page as it is when the app is started anew from what a phone kept:
// what is done on that phone later does not show in it.
func keptBy(r *app.Runner, page string, args ...string) *app.State {
	fresh, err := app.NewRunner(200, r.Disk)
	if err != nil {
		panic(err)
	}
	fresh.Now = r.Now
	fresh.Visit(app.Page{Name: page, Contest: r.State.Open.Head.ID, Args: args}.Hash())
	return fresh.State
}

// galleryPhones shows who is who in a contest, phones that are kept to their
// task, and one that is shut out.
func galleryPhones() []Sample {
	owner, keyer, coach := threePhones()
	samples := []Sample{{"phones/no roles yet", keptBy(owner, "phones")}, {"phones/of another's contest", demoAt("phones").State}}
	add := func(name string, r *app.Runner, page string, args ...string) {
		samples = append(samples, Sample{name, keptBy(r, page, args...)})
	}
	says(owner, keyer, "role", contest.Keyer)
	owner.Type(app.Action("phones.why", coach.State.Phone.ID.String()), "brings the Oak Hollow team")
	owner.Do(app.Action("phones.role", coach.State.Phone.ID.String(), contest.Coach))
	pass(owner, keyer)
	pass(owner, coach)
	add("phones/roles given", owner, "phones")
	add("phones/seen by a keyer", keyer, "phones")
	add("contest/on a keyer's phone", keyer, "contest")
	add("results/not released yet", keyer, "results")
	add("key/on a keyer's phone", keyer, "key", "1")
	add("contest/on a coach's phone", coach, "contest")
	add("keying/on a coach's phone", coach, "keying")
	keyedAnywhere(coach, "42")
	pass(coach, owner)
	at(owner, "phones")
	owner.Do("phones.release")
	add("phones/released, and a coach keyed a card", owner, "phones")
	return append(samples, galleryShutOut()...)
}

func galleryShutOut() []Sample {
	owner, keyer, coach := threePhones()
	keyedAnywhere(keyer, "41")
	pass(keyer, owner)
	says(owner, keyer, "role", contest.Keyer)
	owner.Type(app.Action("phones.why", keyer.State.Phone.ID.String()), "lost behind the barn")
	owner.Do(app.Action("phones.shut", keyer.State.Phone.ID.String()))
	keyedAnywhere(keyer, "42", "50")
	at(keyer, "hand-over")
	keyer.Do("hand-over.to:everything")
	file := handed(keyer)
	looked := owner.State
	arrive(owner, file)
	owner, _ = app.NewRunner(200, owner.Disk)
	arrive(owner, file)
	owner.Do("take-in.accept")
	pass(owner, keyer)
	pass(owner, coach)
	says(coach, keyer, "role", contest.Coach)
	return []Sample{
		{"take-in/of a phone that is shut out", looked},
		{"phones/a phone is shut out", keptBy(owner, "phones")},
		{"contest/on a phone that is shut out", keptBy(keyer, "contest")},
		{"phones/only an owner says so", coach.State},
	}
}
