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
	return []Sample{
		{"settings/a sample keyed twice", sampled.State},
		{"settings/a sample of another size", own.State},
		{"overview/cards to be keyed again", at("MB", "contest")},
		{"keying/classes with cards to be keyed again", at("MB", "keying")},
		{"keying/to be keyed again", at("JO", "keying", "2")},
		{"keying/keyed by the same person", at("MB", "keying", "2", "0", app.WayAgain)},
		{"keying/refused to the same person", at("MB", "keying", "2", "11", app.WayAgain)},
		{"keying/second keying goes on", half.State},
		{"results/cards to be keyed again", at("MB", "results")},
	}
}
