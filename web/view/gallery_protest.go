package view

import (
	"keelcard/engine/contest"
	"keelcard/engine/record"
	"keelcard/web/app"
)

// galleryProtest shows the log for the protest table: of the day of keyingSample
// after a key was locked and several things were changed, of one contestant of it,
// and of a contest in which nothing happened yet.
func galleryProtest() []Sample {
	id := questionContest.String()
	day := func(args ...string) *app.State {
		r := protestSample()
		r.Visit(link("log", id, args...))
		return r.State
	}
	back := protestSample()
	back.Visit(link("history", id, append(app.SubjectArgs(contest.CardSubject(1, 12)), "log", "1", "12")...))
	quiet := demoOf(220, "MB")
	quiet.Visit(link("log", quiet.State.Open.Head.ID, "1", "999"))
	return []Sample{
		{"log/a day", day()},
		{"log/one contestant", day("1", "12")},
		{"log/nothing of that sort", quiet.State},
		{"history/opened from the log", back.State},
	}
}

func protestSample() *app.Runner {
	id := questionContest.String()
	r := keyingSample()
	settle := func(sub record.Subject) {
		r.Visit(link("questions", id, app.SubjectArgs(sub)...))
		r.Do("questions.take:2")
	}
	settle(contest.KeySubject(2, 0))
	r.Visit(link("keying", id, "2"))
	for _, hen := range []string{"2", "1", "3"} {
		r.Do("keying.mark:" + hen)
	}
	r.Visit(link("key", id, "2"))
	r.Do("key.lock")
	settle(record.Subject{Kind: record.KindPerson, A: 13})
	r.Visit(link("keying", id, "1", "12", app.WayChange))
	r.Do("keying.item:3")
	r.Do("keying.mark:1")
	r.Visit(link("keying", id, "2", "11", app.WayChange))
	for _, hen := range []string{"2", "1", "4"} {
		r.Do("keying.mark:" + hen)
	}
	r.Visit(link("class", id, "2"))
	r.Do("class.worth:100")
	r.Visit(link("ruling", id, "2", "1"))
	r.Do("ruling.way:out")
	r.Type("ruling.why", "The second hen was put back into the wrong cage between two groups")
	r.Do("ruling.make")
	return r
}
