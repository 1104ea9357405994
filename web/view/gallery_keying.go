package view

import (
	"strconv"

	"keelcard/engine/amount"
	"keelcard/engine/contest"
	"keelcard/engine/record"
	"keelcard/web/app"
)

// galleryKeying shows the keying of cards, the questions and the histories, on
// the disk of a phone that took in two others.
func galleryKeying() []Sample {
	var samples []Sample
	add := func(name string, r *app.Runner) { samples = append(samples, Sample{name, r.State}) }
	at := func(name string, args ...string) *app.Runner {
		r := keyingSample()
		r.Visit(link(name, questionContest.String(), args...))
		return r
	}
	tap := func(r *app.Runner, taps string) *app.Runner {
		for _, c := range taps {
			r.Do(app.Action("keying.mark", string(c)))
		}
		return r
	}
	do := func(r *app.Runner, actions ...string) *app.Runner {
		for _, a := range actions {
			r.Do(a)
		}
		return r
	}
	add("keying/classes", at("keying"))
	add("keying/first card", at("keying", "1"))
	add("keying/half a card", tap(at("keying", "1"), "12341"))
	add("keying/card finished", tap(at("keying", "1"), "1234123401"))
	add("keying/two marked", do(tap(at("keying", "1"), "123"), "keying.two", "keying.mark:1"))
	add("keying/placing", tap(at("keying", "2"), "2"))
	add("keying/placing finished", tap(at("keying", "2"), "213"))
	add("keying/second agrees", tap(at("keying", "1", "12", "again"), "1234123412"))
	add("keying/second differs", tap(at("keying", "1", "12", "again"), "1234223412"))
	add("keying/keyed already", at("keying", "1", "12"))
	add("keying/in question", at("keying", "1", "11"))
	add("keying/change", at("keying", "1", "12", "change"))
	add("keying/number", do(at("keying", "1"), "keying.pad", "keying.digit:1"))
	add("keying/unknown number", do(at("keying", "1"), "keying.pad", "keying.digit:9", "keying.digit:9", "keying.jump"))
	done := at("keying", "2")
	for range 5 {
		tap(done, "213")
	}
	add("keying/class done", done)
	add("keying/book missing", at("keying", "3"))
	nobody := at("keying", "1")
	nobody.Type("phone.initials", "")
	add("keying/no initials", nobody)
	add("questions/list", at("questions"))
	add("questions/card", do(at("questions", "6", "1", "11"), "questions.pick:4:4"))
	add("questions/card picked", do(at("questions", "6", "1", "11"), "questions.pick:4:4", "questions.pick:9:1"))
	add("questions/key", at("questions", "5", "2", "0"))
	add("questions/contestant", at("questions", "3", "13", "0"))
	add("questions/settled", at("questions", "6", "1", "12"))
	none := at("questions")
	for _, sub := range none.State.Open.Contest.Questions() {
		none.Visit(link("questions", questionContest.String(), app.SubjectArgs(sub)...))
		none.Do("questions.take:1")
	}
	none.Do("notice-close")
	add("questions/none", none)
	add("history/card", at("history", "6", "1", "12"))
	add("history/card in question", at("history", "6", "1", "11"))
	add("history/latest", at("history"))
	return samples
}

var questionContest = record.ContestID{0x7a, 0x3a, 0x21, 0xac, 0x10, 0x20, 0x30, 0x40}

// keyingSample is a phone with a contest that two other phones wrote in and
// differ about: the cards of 11, the key of class 2, the name of 13.
func keyingSample() *app.Runner {
	const when = 1_789_997_000
	value := func(v string, err error) string {
		if err != nil {
			panic(err)
		}
		return v
	}
	fact := func(who string, kind record.Kind, a, b uint32, v string) app.Fact {
		return app.Fact{Who: who, Subject: record.Subject{Kind: kind, A: a, B: b}, Value: v, When: when}
	}
	graded := contest.Class{Name: "Broiler carcasses", Kind: contest.Graded, Items: 10, Book: "carcass-youth", Bird: "chicken", Weight: 4 * amount.Pound}
	placed := contest.Class{Name: "Past egg production", Kind: contest.Placing, Items: 4}
	owner := []app.Fact{
		fact("owner/AB", record.KindContest, 0, 0, value(contest.Settings{Name: "Tamarack County Poultry Day"}.Write())),
		fact("owner/AB", record.KindClass, 1, 0, value(graded.Write())),
		fact("owner/AB", record.KindClass, 2, 0, value(placed.Write())),
		fact("owner/AB", record.KindClass, 3, 0, `{"name":"Shell eggs","kind":"graded","items":10,"book":"local-eggs"}`),
		fact("owner/AB", record.KindTeam, 1, 0, value(contest.Team{No: 1, Name: "Oak Hollow"}.Write())),
	}
	for i, name := range []string{"Ana Birch", "Ben Cole", "Cy Dunn", "Dee Ellis", ""} {
		p := contest.Person{Number: uint32(11 + i), Name: name, Team: uint32(1 - i/4)}
		owner = append(owner, fact("owner/AB", record.KindPerson, p.Number, 0, value(p.Write())))
	}
	owner = append(owner,
		fact("official/AB", record.KindKey, 2, 0, value(contest.KeyItem{Answer: "2-1-3-4", Cuts: [3]uint8{2, 5, 3}}.Write(placed))),
		fact("keyer/AB", record.KindCard, 1, 11, "\x01\x02\x03\x04\x01\x02\x03\x04\x01\x02"))
	other := []app.Fact{
		fact("official/JK", record.KindKey, 2, 0, value(contest.KeyItem{Answer: "2-1-4-3", Cuts: [3]uint8{2, 5, 2}}.Write(placed))),
		fact("keyer/JK", record.KindCard, 1, 11, "\x01\x02\x03\x03\x01\x02\x03\x04\x00\x02"),
		fact("keyer/JK", record.KindCard, 1, 12, "\x01\x02\x03\x04\x01\x02\x03\x04\x01\x01"),
		fact("keyer/JK", record.KindCard, 1, 12, "\x01\x02\x03\x04\x01\x02\x03\x04\x01\x02"),
		fact("owner/JK", record.KindPerson, 13, 0, value(contest.Person{Number: 13, Name: "Cyrus Dunn", Team: 1, Division: "Senior"}.Write())),
	}
	disk := &app.Memory{}
	for i, facts := range [][]app.Fact{owner, other} {
		if err := disk.Give(questionContest, "Tamarack County Poultry Day", byte(90+i), facts...); err != nil {
			panic("sample " + strconv.Itoa(i) + ": " + err.Error())
		}
	}
	r, err := app.NewRunner(3, disk)
	if err != nil {
		panic(err)
	}
	r.Type("phone.initials", "MB")
	return r
}
