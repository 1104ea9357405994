package view

import (
	"keelcard/engine/amount"
	"keelcard/engine/contest"
	"keelcard/engine/points"
	"keelcard/engine/record"
	"keelcard/web/app"
)

var rulingContest = record.ContestID{0x72, 0x75, 0x6c, 0x65, 0x10, 0x20, 0x30, 0x40}

// rulingClasses are of every kind, in three divisions and not worth the same.
var rulingClasses = []contest.Class{
	{No: 1, Name: "Broiler carcasses", Kind: contest.Graded, Items: 10, Book: "carcass-youth", Bird: "chicken", Weight: 4 * amount.Pound, Division: "Market poultry"},
	{No: 2, Name: "Parts to name", Kind: contest.Identified, Items: 10, List: "parts-youth", Division: "Market poultry"},
	{No: 3, Name: "Breaded products", Kind: contest.Checked, Items: 5, Book: "breaded", Bird: "nugget", Division: "Market poultry"},
	{No: 4, Name: "Past-production hens", Kind: contest.Placing, Items: 4, Division: "Live birds"},
	{No: 5, Name: "Reasons on the hens", Kind: contest.Awarded, Reasons: true, Division: "Live birds"},
	{No: 6, Name: "Eggs before the light", Kind: contest.Graded, Items: 10, Book: "egg-candled", Division: "Eggs"},
}

// rulingFacts is a contest of twelve in three teams, with locked keys, whole
// cards, and what may befall a contestant.
func rulingFacts() []app.Fact {
	var facts []app.Fact
	put := func(who string, sub record.Subject, v string, err error) {
		if err != nil {
			panic(err)
		}
		facts = append(facts, app.Fact{Who: who, Subject: sub, Value: v, When: 1_789_990_000 + int64(len(facts))})
	}
	sub := func(kind record.Kind, a uint32) record.Subject { return record.Subject{Kind: kind, A: a} }
	v, err := contest.Settings{Name: "Tamarack County Poultry Day", Date: "2026-09-19", Divisions: []string{"Junior", "Senior"}, Started: true,
		Ties: []contest.Tie{{Classes: []uint32{5}}, {Classes: []uint32{1}}, {Alternate: true}}}.Write()
	put("owner/WR", sub(record.KindContest, 0), v, err)
	for _, c := range rulingClasses {
		v, err := c.Write()
		put("owner/WR", sub(record.KindClass, c.No), v, err)
		for i := range c.KeyItems() {
			v, err := rulingKey(c, i).Write(c)
			put("official/WR", c.KeySubject(i), v, err)
		}
		if c.KeyItems() > 0 {
			put("official/WR", sub(record.KindLock, c.No), contest.LockValue, nil)
		}
	}
	for i, name := range []string{"Alder Creek", "Bluestem", "Cattail Flats"} {
		v, err := contest.Team{No: uint32(i + 1), Name: name}.Write()
		put("owner/WR", sub(record.KindTeam, uint32(i+1)), v, err)
	}
	for i, name := range []string{"Ada Ashdown", "Bram Birkett", "Cleo Corvane", "Dario Dunmore", "Elin Eastlake", "Fritz Fennimore", "Greta Garrow", "Hugo Hollis", "Ines Inchwood", "Jory Jessamy", "Kaia Kestrel", "Leon Larkin"} {
		p := contest.Person{Number: uint32(101 + i), Name: name, Team: uint32(i/4 + 1), Division: []string{"Junior", "Senior"}[i/4%2]}
		switch p.Number {
		case 103:
			p.Penalty, p.PenaltyWhy = points.Of(5), "came late"
		case 106:
			p.OutOf, p.OutOfWhy = []uint32{4}, "talked in the group"
		case 108:
			p.Alternate = true
		case 112:
			p.Out = "went home"
		}
		v, err := p.Write()
		put("owner/WR", sub(record.KindPerson, p.Number), v, err)
		for _, c := range rulingClasses {
			if p.Number != 111 || c.No != 6 {
				v, err := c.CardValue(rulingCard(c, i))
				put("keyer/JT", contest.CardSubject(c.No, p.Number), v, err)
			}
		}
	}
	return facts
}

// rulingKey is the official answer of an item of the sample.
func rulingKey(c contest.Class, i int) contest.KeyItem {
	switch c.Kind {
	case contest.Placing:
		return contest.KeyItem{Answer: "3-1-4-2", Cuts: [3]uint8{2, 5, 3}}
	case contest.Checked:
		faults, _ := c.Faults()
		if i%2 == 1 {
			return contest.KeyItem{Answer: faults[i%len(faults)].ID}
		}
		return contest.KeyItem{Answer: contest.None}
	}
	answers := c.Answers()
	return contest.KeyItem{Answer: answers[i*3%len(answers)]}
}

// rulingCard is the card of the i-th contestant: the later, the more mistakes.
// Most leave the key on item 4 of the carcasses.
func rulingCard(c contest.Class, i int) []byte {
	marks := make([]byte, c.Slots())
	answers := c.Answers()
	faults, _ := c.Faults()
	for n := range marks {
		wrong := (n*5+i*7)%13 < i/2
		switch c.Kind {
		case contest.Awarded:
			marks[n] = byte(46 - i*2 + i%3)
			continue
		case contest.Placing:
			marks[n] = byte(13 + i%4)
			continue
		case contest.Checked:
			marks[n] = contest.Absent
			if present := rulingKey(c, n/len(faults)).Answer == faults[n%len(faults)].ID; present != wrong {
				marks[n] = contest.Present
			}
			continue
		}
		right := n * 3 % len(answers)
		if wrong {
			right = (right + 1) % len(answers)
		}
		if c.No == 1 && n == 3 && i%4 != 0 {
			right = 2
		}
		marks[n] = byte(right + 1)
	}
	return marks
}

// rulingPhone is a phone with that contest, and what others wrote beside it.
func rulingPhone(others ...[]app.Fact) *app.Runner {
	disk := &app.Memory{}
	for i, facts := range append([][]app.Fact{rulingFacts()}, others...) {
		if err := disk.Give(rulingContest, "Tamarack County Poultry Day", byte(120+i), facts...); err != nil {
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

// rulingAt opens pages and taps: an address, or an action and the text with it.
func rulingAt(r *app.Runner, page string, args []string, taps ...string) *app.State {
	r.Visit(link(page, rulingContest.String(), args...))
	for i := 0; i+1 < len(taps); i += 2 {
		r.Type(taps[i], taps[i+1])
	}
	return r.State
}

// rulingMade is a phone on which an item was thrown out, an order is right as
// well, and a class is left out.
func rulingMade() *app.Runner {
	r := rulingPhone()
	rulingAt(r, "ruling", []string{"1", "4"}, "ruling.way:out", "", "ruling.why", "The skin dried in the heat of the hall; nobody could tell any more.", "ruling.make", "")
	rulingAt(r, "ruling", []string{"4", "1"}, "ruling.way:also", "", "ruling.pick", "1-3-4-2", "ruling.why", "The first two are as good as equal.", "ruling.make", "")
	rulingAt(r, "ruling", []string{"6", "0"}, "ruling.way:out", "", "ruling.why", "The lamp failed halfway through.", "ruling.make", "")
	return r
}

// differing is what two other officials wrote, who ruled differently on item 4.
func differing() [][]app.Fact {
	c := rulingClasses[0]
	k := contest.Key{Official: []contest.KeyItem{{Answer: "A"}, {Answer: "A"}, {Answer: "A"}, {Answer: rulingKey(c, 3).Answer}}}
	var out [][]app.Fact
	for _, one := range []struct {
		who string
		r   contest.Ruling
	}{
		{"official/WR", contest.Ruling{Out: true, Why: "The skin dried in the heat of the hall."}},
		{"official/LS", contest.Ruling{Also: []string{"C"}, Why: "Both can be defended."}},
	} {
		v, err := one.r.Write(c, 4, k)
		if err != nil {
			panic(err)
		}
		out = append(out, []app.Fact{{Who: one.who, Subject: contest.RulingSubject(1, 4), Value: v, When: 1_789_996_000}})
	}
	return out
}

// galleryRuling shows rulings before and after they are made, and the results of
// a contest of every kind of class.
func galleryRuling() []Sample {
	var samples []Sample
	add := func(name string, s *app.State) { samples = append(samples, Sample{name, s}) }
	item := func(class, n string) []string { return []string{class, n} }
	show := func(name, class, n string, taps ...string) {
		add("ruling/"+name, rulingAt(rulingPhone(), "ruling", item(class, n), taps...))
	}
	add("ruling/items", rulingAt(rulingPhone(), "ruling", []string{"1"}))
	show("an item", "1", "4")
	show("throw it out", "1", "4", "ruling.way:out", "")
	show("the reason is missing", "1", "4", "ruling.way:out", "", "ruling.make", "")
	show("a second answer", "1", "4", "ruling.way:also", "")
	show("a second answer chosen", "1", "4", "ruling.way:also", "", "ruling.pick:3", "")
	show("nothing would move", "2", "1", "ruling.way:out", "")
	show("a name corrected", "2", "5", "ruling.way:answer", "", "ruling.pick", "drumstick")
	show("faults", "3", "2", "ruling.way:also", "", "ruling.fault:3", "")
	show("an order", "4", "1", "ruling.way:also", "", "ruling.pick", "1-3-4-2")
	show("a class left out", "6", "0", "ruling.way:out", "")
	show("points given", "5", "0")
	show("no such item", "1", "99")
	add("ruling/made", rulingAt(rulingMade(), "ruling", item("1", "4")))
	add("ruling/taken back", rulingAt(rulingMade(), "ruling", item("1", "4"), "ruling.way:back", ""))
	undone := rulingMade()
	rulingAt(undone, "ruling", item("6", "0"), "undo", "")
	add("ruling/undone", undone.State)
	add("ruling/differ", rulingAt(rulingPhone(differing()...), "ruling", item("1", "4")))
	add("ruling/items in question", rulingAt(rulingPhone(differing()...), "ruling", []string{"1"}))
	sub := app.SubjectArgs(contest.RulingSubject(1, 4))
	add("questions/rulings", rulingAt(rulingPhone(differing()...), "questions", sub))
	add("history/ruling", rulingAt(rulingMade(), "history", sub))
	add("results/a ruling in question", rulingAt(rulingPhone(differing()...), "results", []string{"classes"}))
	for _, tab := range []string{"people", "teams", "classes", "awards"} {
		add("results/every kind, "+tab, rulingAt(rulingPhone(), "results", []string{tab}))
		add("results/ruled, "+tab, rulingAt(rulingMade(), "results", []string{tab}))
	}
	add("results/a division", rulingAt(rulingPhone(), "results", []string{"people"}, "results.division", "Live birds"))
	add("results/teams in a division", rulingAt(rulingPhone(), "results", []string{"teams"}, "results.division", "Market poultry"))
	for _, number := range []string{"103", "106", "111", "112"} {
		add("slip/every kind, "+number, rulingAt(rulingMade(), "slip", []string{number}))
	}
	add("share/divisions and rulings", rulingAt(rulingMade(), "share", nil))
	return samples
}
