package view

import (
	"keelcard/engine/contest"
	"keelcard/web/app"
)

// galleryConfirm shows what a contest says in which cards are keyed twice: set up,
// while some remain, and to the person who keyed them first.
func galleryConfirm() []Sample {
	id := questionContest.String()
	keyed := func(confirm string) *app.Runner {
		r := keyingSample()
		r.Visit(link("settings", id))
		r.Do(app.Action("settings.confirm", confirm))
		r.Visit(link("keying", id, "2"))
		for range 5 {
			for _, hen := range []string{"2", "1", "3"} {
				r.Do("keying.mark:" + hen)
			}
		}
		return r
	}
	at := func(who, name string, args ...string) *app.State {
		r := keyed(contest.ConfirmAll)
		r.Type("phone.initials", who)
		r.Visit(link(name, id, args...))
		return r.State
	}
	sampled := keyed(contest.ConfirmSample)
	sampled.Visit(link("settings", id))
	own := keyed(contest.ConfirmSample)
	own.Type("settings.confirm-in", "7")
	own.Visit(link("settings", id))
	half := keyed(contest.ConfirmAll)
	half.Type("phone.initials", "JO")
	half.Visit(link("keying", id, "2", "0", app.WayAgain))
	for _, hen := range []string{"2", "1", "3", "2"} {
		half.Do("keying.mark:" + hen)
	}
	back := keyed(contest.ConfirmAll)
	back.Type("phone.initials", "JO")
	back.Visit(link("keying", id, "2", "0", app.WayAgain))
	back.Do("keying.mark:2")
	back.Type("phone.initials", "MB")
	return []Sample{
		{"settings/a sample keyed twice", sampled.State},
		{"settings/a sample of another size", own.State},
		{"overview/cards to be keyed again", at("MB", "contest")},
		{"keying/classes with cards to be keyed again", at("MB", "keying")},
		{"keying/to be keyed again", at("JO", "keying", "2")},
		{"keying/keyed by the same person", at("MB", "keying", "2", "0", app.WayAgain)},
		{"keying/refused to the same person", at("MB", "keying", "2", "11", app.WayAgain)},
		{"keying/second keying goes on", half.State},
		{"keying/second keying given back", back.State},
		{"results/cards to be keyed again", demoConfirmed("results")},
		{"overview/next is keying again", demoConfirmed("contest")},
	}
}

// demoConfirmed is the demo contest with every question settled and all cards of
// the classes keyed, some of them by one person.
func demoConfirmed(page string) *app.State {
	r := demoOf(200, "MB")
	id := r.State.Open.Head.ID
	for _, sub := range r.State.Open.Contest.Questions() {
		r.Visit(link("questions", id, app.SubjectArgs(sub)...))
		r.Do("questions.take:1")
	}
	for _, class := range r.State.Open.Contest.Classes {
		r.Visit(link("keying", id, itoa(class.No)))
		for r.State.Keying.Card != nil {
			r.Do("keying.mark:" + itoa(1+r.State.Keying.Card.Item))
		}
	}
	r.Visit(link("settings", id))
	r.Do(app.Action("settings.confirm", contest.ConfirmSample))
	r.Visit(link(page, id))
	r.Do("notice-close")
	return r.State
}
