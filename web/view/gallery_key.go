package view

import (
	"keelcard/engine/amount"
	"keelcard/engine/contest"
	"keelcard/engine/demo"
	"keelcard/engine/record"
	"keelcard/web/app"
)

// galleryKey shows the official keys: of the demo, whole and with what was
// seen, and of an invented contest where they are being set.
func galleryKey() []Sample {
	var samples []Sample
	show := func(name string, r *app.Runner, page string, actions ...string) *app.Runner {
		r.Visit(page)
		for _, a := range actions {
			tapped(r, a)
		}
		samples = append(samples, Sample{"key/" + name, r.State})
		return r
	}
	shown := func() *app.Runner {
		r := keyPhone("WR")
		r.Do("demo.open")
		return r
	}
	of := func(args ...string) string { return link("key", demo.ID.String(), args...) }
	begun := func(args ...string) string { return link("key", keyContest.String(), args...) }
	breast := []string{"key.site:breast", "key.defect:breast:bare-flesh", "key.set:length:1/2 in", "key.set:share:5 %", "key.leave"}
	show("locked", shown(), of("1", "2"))
	show("locked, why", shown(), of("1", "8"), "key.why")
	show("correcting", shown(), of("1", "2"), "key.correct", "key.answer:A")
	show("placing locked", shown(), of("3"))
	show("seen", keySample("WR"), begun("1", "2"), breast...)
	show("how much", keySample("WR"), begun("1", "2"), breast[:4]...)
	show("why", keySample("WR"), begun("1", "2"), append(breast, "key.why")...)
	show("differs", keySample("WR"), begun("1", "2"), append(breast, "key.answer:C")...)
	var all []string
	for i, a := range []string{"A", "B", "C", "A", "B", "B", "A", "C", "B", "NG"} {
		all = append(all, app.Action("key.item", itoa(i+1)), app.Action("key.answer", a))
	}
	show("ready to lock", keySample("WR"), begun("1", "1"), all...)
	show("first bird", keySample("WR"), begun("1"))
	show("what is it", keySample("WR"), begun("1"), "key.site:breast")
	show("nobody named", keySample(""), begun("1"))
	show("three answered", keySample("WR"), begun("1", "1"), "key.answer:A", "key.item:2", "key.site:breast", "key.defect:breast:tear", "key.set:length:3/8 in", "key.leave", "key.item:3", "key.answer:C")
	show("placing begun", keySample("WR"), begun("2"), "key.hen:3", "key.hen:1")
	cuts := []string{"key.hen:3", "key.hen:1", "key.hen:4"}
	for range 15 {
		cuts = append(cuts, "key.cut:2:1")
	}
	show("cuts refused", keySample("WR"), begun("2"), cuts...)
	show("placing with cuts", keySample("WR"), begun("2"), "key.hen:3", "key.hen:1", "key.hen:4", "key.cut:1:1", "key.cut:1:1", "key.cut:2:1", "key.cut:2:1", "key.cut:2:1", "key.cut:2:1", "key.cut:2:1", "key.cut:3:1", "key.cut:3:1", "key.cut:3:1")
	show("placing without cuts", keySample("WR"), begun("2"), "key.hen:3", "key.hen:1", "key.hen:4")
	show("in question", keyQuestion(), begun("1", "1"))
	photo := show("photo", keySample("WR"), begun("1", "4"), "key.photo")
	photo.Send(app.Msg{Do: "file", Args: []string{"key-photo", "bird.jpg"}, Bytes: []byte("a picture")})
	things := func(name string, class int, item string, actions ...string) {
		r := keySample("WR", thingClasses()...)
		show(name, r, begun(itoa(class), item), actions...)
	}
	things("shell", 11, "1", "key.site:middle", "key.defect:middle:stain-moderate", "key.set:length:15 mm", "key.leave", "key.item:2", "key.look:sound:2")
	things("shell, what is it", 11, "3", "key.site:middle")
	things("light", 12, "4", "key.set:depth:3/16 in", "key.look:outline:1")
	things("opened", 13, "2", "key.set:length:3.4", "key.set:weight:46")
	things("opened, differs", 13, "2", "key.set:length:3.4", "key.set:weight:46", "key.answer:A")
	things("part", 14, "3", "key.kind:whole-wing", "key.site:part", "key.defect:part:tear", "key.set:length:3/8 in", "key.leave")
	things("products", 15, "1")
	things("products, faults", 15, "2", "key.kind:patty", "key.site:piece-1", "key.defect:piece-1:bare-spot", "key.set:length:5/8 in", "key.leave", "key.look:broken:1")
	things("products, official differs", 15, "2", "key.site:piece-1", "key.defect:piece-1:bare-spot", "key.set:length:5/8 in", "key.leave", "key.fault:1", "key.fault:2")
	things("products, how much", 15, "2", "key.site:piece-1", "key.defect:piece-1:bare-spot", "key.set:length:3/16 in")
	things("cartons", 16, "1", "key.site:egg-4", "key.defect:egg-4:check", "key.leave")
	show("no such item", keySample("WR"), begun("1", "99"))
	return samples
}

func keyPhone(initials string) *app.Runner {
	r, err := app.NewRunner(1, &app.Memory{})
	if err != nil {
		panic(err)
	}
	r.Type("phone.initials", initials)
	return r
}

var keyContest = record.ContestID{0x4b, 0x65, 0x79, 0x21, 0x10, 0x20, 0x30, 0x40}

// thingClasses are classes of all that is no bird.
func thingClasses() []app.Fact {
	var out []app.Fact
	for i, c := range []contest.Class{
		{Name: "Eggs, exterior", Book: "egg-shell", Choices: map[string]string{"checks": "apart"}}, {Name: "Eggs, candled", Book: "egg-candled"}, {Name: "Eggs, opened", Book: "egg-opened"},
		{Name: "Parts", Book: "parts-youth", Bird: "thigh", Weight: 4 * amount.Pound},
		{Name: "Breaded products", Kind: contest.Checked, Book: "breaded", Bird: "tender"}, {Name: "Cartons", Kind: contest.Checked, Book: "carton"},
	} {
		if c.Items = 10; c.Kind == "" {
			c.Kind = contest.Graded
		}
		value, err := c.Write()
		if err != nil {
			panic(err)
		}
		out = append(out, app.Fact{Who: "owner/AB", Subject: record.Subject{Kind: record.KindClass, A: uint32(11 + i)}, Value: value, When: 1_789_997_000})
	}
	return out
}

// keySample is a phone with a contest whose keys are not set yet.
func keySample(initials string, more ...app.Fact) *app.Runner {
	const when = 1_789_997_000
	value := func(v string, err error) string {
		if err != nil {
			panic(err)
		}
		return v
	}
	fact := func(kind record.Kind, a, b uint32, v string) app.Fact {
		return app.Fact{Who: "owner/AB", Subject: record.Subject{Kind: kind, A: a, B: b}, Value: v, When: when}
	}
	disk := &app.Memory{}
	facts := []app.Fact{
		fact(record.KindContest, 0, 0, value(contest.Settings{Name: "Tamarack County Poultry Day"}.Write())),
		fact(record.KindClass, 1, 0, value(contest.Class{Name: "Broiler carcasses", Kind: contest.Graded, Items: 10, Book: "carcass-youth", Bird: "chicken", Weight: 4 * amount.Pound}.Write())),
		fact(record.KindClass, 2, 0, value(contest.Class{Name: "White hens", Kind: contest.Placing, Items: 4}.Write())),
	}
	if err := disk.Give(keyContest, "Tamarack County Poultry Day", 9, facts...); err != nil {
		panic(err)
	}
	for i, f := range more {
		if err := disk.Give(keyContest, "Tamarack County Poultry Day", byte(20+i), f); err != nil {
			panic(err)
		}
	}
	r, err := app.NewRunner(1, disk)
	if err != nil {
		panic(err)
	}
	r.Type("phone.initials", initials)
	return r
}

// keyQuestion is keySample where two officials differ about the first bird.
func keyQuestion() *app.Runner {
	fact := func(who, answer string) app.Fact {
		return app.Fact{Who: who, Subject: contest.KeySubject(1, 1), Value: `{"answer":"` + answer + `"}`, When: 1_789_998_000}
	}
	return keySample("WR", fact("official/WR", "A"), fact("official/KT", "B"))
}
