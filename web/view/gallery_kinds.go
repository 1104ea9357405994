package view

import (
	"keelcard/engine/contest"
	"keelcard/engine/points"
	"keelcard/engine/record"
	"keelcard/web/app"
)

var kindsContest = record.ContestID{0x6b, 0x69, 0x6e, 0x64, 0x10, 0x20, 0x30, 0x40}

// kindsSample is a phone with a contest of named parts, an exam, breaded pieces
// and points given, in which another phone keyed the cards of 12.
func kindsSample() *app.Runner {
	value := func(v string, err error) string {
		if err != nil {
			panic(err)
		}
		return v
	}
	fact := func(who string, kind record.Kind, a, b uint32, v string) app.Fact {
		return app.Fact{Who: who, Subject: record.Subject{Kind: kind, A: a, B: b}, Value: v, When: 1_789_997_000}
	}
	facts := []app.Fact{fact("owner/AB", record.KindContest, 0, 0, value(contest.Settings{Name: "Tamarack County Poultry Day"}.Write()))}
	for i, c := range []contest.Class{
		{Name: "Parts by name", Kind: contest.Identified, Items: 10, List: "parts-youth"},
		{Name: "Thirty parts", Kind: contest.Identified, Items: 10, List: "parts-30"},
		{Name: "Exam", Kind: contest.Identified, Items: 50, List: "letters-5", Worth: 50 * points.One},
		{Name: "Breaded pieces", Kind: contest.Checked, Items: 10, Book: "breaded"},
		{Name: "Reasons", Kind: contest.Awarded, Officials: 3},
		{Name: "Talk", Kind: contest.Awarded, Officials: 2, Criteria: []contest.Criterion{{Name: "Content", Most: 10 * points.One}, {Name: "Manner", Most: 5 * points.One}}},
	} {
		facts = append(facts, fact("owner/AB", record.KindClass, uint32(i+1), 0, value(c.Write())))
	}
	for i, name := range []string{"Ana Birch", "Ben Cole", "Cy Dunn", "Dee Ellis"} {
		facts = append(facts, fact("owner/AB", record.KindPerson, uint32(11+i), 0, value(contest.Person{Number: uint32(11 + i), Name: name}.Write())))
	}
	other := []app.Fact{
		fact("keyer/JK", record.KindCard, 2, 12, "\x0c\x04\x05\x1e\x03\x13\x11\x10\x00\x80"),
		fact("keyer/JK", record.KindCard, 4, 12, "\x01\x01\x01\x01\x01\x01\x02\x01\x01\x01\x01\x01\x01\x01\x01\x00\x00\x00\x00\x00"+
			"\x01\x01\x01\x01\x01\x01\x01\x01\x01\x01\x02\x01\x01\x02\x01\x01\x01\x01\x01\x01\x01\x01\x01\x01\x02\x01\x01\x01\x01\x01"),
		fact("keyer/JK", record.KindCard, 6, 12, "\x09\x05\x08\x06"),
	}
	disk := &app.Memory{}
	for i, facts := range [][]app.Fact{facts, other} {
		if err := disk.Give(kindsContest, "Tamarack County Poultry Day", byte(94+i), facts...); err != nil {
			panic(err)
		}
	}
	r, err := app.NewRunner(3, disk)
	if err != nil {
		panic(err)
	}
	r.Type("phone.initials", "MB")
	return r
}

// kindsAt opens a page of that contest and presses keys of the keyboard.
func kindsAt(name string, args []string, keys ...string) *app.Runner {
	r := kindsSample()
	r.Visit(link(name, kindsContest.String(), args...))
	for _, k := range keys {
		r.Send(app.Msg{Do: "key", Args: []string{k}})
	}
	return r
}

// galleryKinds shows the keying of cards of names, faults and points.
func galleryKinds() []Sample {
	var samples []Sample
	add := func(name string, r *app.Runner) { samples = append(samples, Sample{name, r.State}) }
	keyed := func(name string, args []string, keys ...string) {
		add("keying/"+name, kindsAt("keying", args, keys...))
	}
	class := func(no string) []string { return []string{no} }
	again := func(no string) []string { return []string{no, "12", app.WayAgain} }
	keyed("ten names", class("1"), "5", "7", "4")
	keyed("ten names finished", class("1"), "5", "7", "4", "2", "3", "6", "8", "9", "Space", "*")
	keyed("thirty names", class("2"), "0", "4", "1", "2")
	keyed("thirty names, number begun", class("2"), "0", "4", "1")
	keyed("thirty names, name begun", class("2"), "w", "i", "s")
	keyed("thirty names, wrong number", class("2"), "3", "7")
	keyed("thirty names differ", again("2"), "1", "2", "4", "5", "3", "0", "0", "3", "1", "9", "1", "8", "1", "6", "Space", "*")
	keyed("thirty names keyed", []string{"2", "12"})
	var letters []string
	for range 5 {
		letters = append(letters, "a", "c", "e", "b", "d")
	}
	keyed("exam", class("3"), letters...)
	keyed("exam finished", class("3"), append(letters, letters...)...)
	keyed("faults", class("4"), "n", "1", "Enter", "2", "5")
	keyed("faults begun", class("4"), "n", "1", "Enter", "Space")
	keyed("faults finished", class("4"), "n", "1", "Enter", "Space", "2", "5", "Enter", "n", "n", "n", "n", "n", "4", "Enter")
	keyed("faults keyed", []string{"4", "12"})
	keyed("points", class("5"), "4", "2", "4")
	keyed("points refused", class("5"), "4", "2", "7", "5")
	keyed("points finished", class("5"), "4", "2", "4", "4", "4", "0")
	keyed("points by key", class("6"), "8")
	asked := func(name string, no uint32, pick string, keys ...string) {
		r := kindsAt("keying", again(itoa(no)), keys...)
		r.Visit(link("questions", kindsContest.String(), app.SubjectArgs(contest.CardSubject(no, 12))...))
		r.Do(pick)
		add("questions/"+name, r)
	}
	asked("names", 2, "questions.pick:7:18", "1", "2", "4", "5", "3", "0", "0", "3", "1", "9", "1", "8", "1", "6", "Space", "*")
	asked("faults", 4, "questions.pick:2:1", "n", "2", "Enter", "n", "n", "n", "n", "n", "n", "n", "4", "5", "Enter")
	asked("points", 6, "questions.pick:3:8", "8", "4", "8", "5")
	add("history/faults", kindsAt("history", []string{"6", "4", "12"}))
	return append(samples, galleryKindKeys()...)
}

// galleryKindKeys shows the keys of these classes.
func galleryKindKeys() []Sample {
	var samples []Sample
	key := func(name string, args []string, keys ...string) *app.Runner {
		r := kindsAt("key", args, keys...)
		samples = append(samples, Sample{"key/" + name, r.State})
		return r
	}
	first := func(no string) []string { return []string{no, "1"} }
	named := key("names begun", first("1"))
	named.Do("key.name:5")
	named.Do("key.name:7")
	also := key("names answered", first("1"))
	for _, a := range []string{"key.name:5", "key.item:1", "key.also:6"} {
		also.Do(a)
	}
	search := key("names found", first("2"))
	search.Type("key.search", "thigh")
	pasted := key("names pasted", first("1"))
	pasted.Do("key.paste")
	pasted.Type("key.paste-text", "1 thigh\n2 drum\n3 tail\n4 whole wing")
	ready := key("names ready to lock", first("1"))
	for i := range 10 {
		ready.Do(app.Action("key.name", itoa(i+1)))
	}
	locked := key("names locked", first("1"))
	for i := range 10 {
		locked.Do(app.Action("key.name", itoa(i+1)))
	}
	locked.Do("key.lock")
	correct := key("names corrected", first("1"))
	for i := range 10 {
		correct.Do(app.Action("key.name", itoa(i+1)))
	}
	correct.Do("key.lock")
	correct.Do("key.correct")
	key("letters", first("3"), "a", "c", "e")
	key("faults found", first("4"), "n", "1", "3")
	key("faults begun", first("4"), "n", "1", "3", "Enter")
	key("no key", []string{"6"})
	return append(samples, galleryKindResults()...)
}

// galleryKindResults shows the results of these classes, with their keys set and
// the cards of 11 keyed.
func galleryKindResults() []Sample {
	r := kindsSample()
	show := func(name string, args []string, actions ...string) {
		r.Visit(link(name, kindsContest.String(), args...))
		for _, a := range actions {
			r.Do(a)
		}
	}
	var names, keys, exam []string
	for i := range 10 {
		names = append(names, app.Action("key.name", itoa(i+1)))
		keys = append(keys, app.Action("keying.mark", itoa((i+i/7)%10+1)))
	}
	for i := range 50 {
		exam = append(exam, app.Action("key.name", itoa(i%5+1)))
	}
	show("key", []string{"1", "1"}, names...)
	show("key", []string{"2", "1"}, names...)
	show("key", []string{"3", "1"}, exam...)
	show("key", []string{"4", "1"}, "key.none", "key.fault:2", "key.on", "key.none", "key.none", "key.none", "key.none", "key.fault:1", "key.on", "key.none", "key.none", "key.none")
	show("keying", []string{"1"}, keys...)
	show("keying", []string{"4"}, "keying.none", "keying.mark:1", "keying.on", "keying.mark:0", "keying.none", "keying.none", "keying.none", "keying.mark:1", "keying.mark:3", "keying.on", "keying.none", "keying.none", "keying.none")
	show("keying", []string{"5"}, "keying.type:4", "keying.type:2", "keying.type:4", "keying.type:4", "keying.mark:0")
	at := func(page string, args ...string) *app.State {
		copied, err := app.NewRunner(3, r.Disk)
		if err != nil {
			panic(err)
		}
		copied.Visit(link(page, kindsContest.String(), args...))
		return copied.State
	}
	return []Sample{{"results/names, faults and points", at("results", "classes")}, {"slip/names, faults and points", at("slip", "11")}}
}
