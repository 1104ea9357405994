package view

import (
	"keelcard/engine/contest"
	"keelcard/engine/hens"
	"keelcard/engine/record"
	"keelcard/web/app"
)

// henBirds are four invented hens, by number, and their order by them: 3 has
// laid most, 1 and 4 are level in pigment, 2 laid least.
var henBirds = [hens.Count]map[string]string{
	{"vent": "bleached", "eye": "bleached", "earlobe": "bleached", "beak-base": "bleached", "beak-tip": "fading", "feet": "yellow", "shank-front": "yellow", "shank-rear": "yellow", "hock": "yellow",
		"pubic": "2 1/2", "keel": "3", "feel": "pliable", "molt": "1"},
	{"vent": "bleached", "eye": "fading", "earlobe": "yellow", "beak-base": "yellow", "beak-tip": "yellow", "feet": "yellow", "shank-front": "yellow", "shank-rear": "yellow", "hock": "yellow",
		"pubic": "1", "keel": "2", "feel": "hard", "molt": "4", "molt-pace": "single"},
	{"vent": "bleached", "eye": "bleached", "earlobe": "bleached", "beak-base": "bleached", "beak-tip": "bleached", "feet": "bleached", "shank-front": "fading", "shank-rear": "yellow", "hock": "yellow",
		"pubic": "3", "keel": "4", "feel": "soft", "molt": "none"},
	{"vent": "bleached", "eye": "bleached", "earlobe": "bleached", "beak-base": "bleached", "beak-tip": "fading", "feet": "yellow", "shank-front": "yellow", "shank-rear": "yellow", "hock": "yellow",
		"pubic": "2", "keel": "3", "feel": "thick", "molt": "1"},
}

// galleryHens shows the worksheet of a class of hens from the first tap to the
// key and the sheet for paper.
func galleryHens() []Sample {
	var samples []Sample
	show := func(name string, r *app.Runner, page []string, actions ...string) *app.Runner {
		r.Visit(link("hens", keyContest.String(), append([]string{"2"}, page...)...))
		for _, a := range actions {
			r.Do(a)
		}
		samples = append(samples, Sample{"hens/" + name, r.State})
		return r
	}
	note := func(who string, birds ...map[string]string) []app.Fact {
		var facts []app.Fact
		for i, signs := range birds {
			value, err := contest.Seen{Signs: signs}.Write()
			if err != nil {
				panic(err)
			}
			if signs != nil {
				facts = append(facts, app.Fact{Who: "official/" + who, Subject: record.Subject{Kind: contest.KindSeen, A: 2, B: uint32(i + 1)}, Value: value, When: 1_789_999_000})
			}
		}
		return facts
	}
	all := func(more ...app.Fact) *app.Runner {
		return keySample("WR", append(note("WR", henBirds[:]...), more...)...)
	}
	one, four := []string{"1"}, []string{"0"}

	show("nothing noted", keySample("WR"), nil)
	show("nobody named", keySample(""), one)
	show("first taps", keySample("WR"), one, "hens.place:vent", "hens.place:vent", "hens.place:vent", "hens.place:eye", "hens.place:eye", "hens.set:pubic:2 1/2", "hens.set:feel:pliable", "hens.set:molt:3", "hens.set:molt-pace:together")
	show("one hen whole", all(), []string{"3"})
	show("nothing to compare", keySample("WR"), four)
	show("some compared", keySample("WR", note("WR", henBirds[0], henBirds[1], henBirds[2], map[string]string{"vent": "bleached", "pubic": "2", "keel": "3"})...), four)
	show("proposed", all(), four)
	show("older factors", all(), four, "hens.way:older")
	show("order used", all(), four, "hens.order")
	show("order and cuts used", all(), four, "hens.order", "hens.cuts")
	tie := henBirds
	tie[3] = henBirds[0]
	show("tied", keySample("WR", note("WR", tie[:]...)...), four)
	odd := henBirds
	odd[1] = map[string]string{"vent": "yellow", "eye": "yellow", "earlobe": "bleached", "beak-base": "bleached", "beak-tip": "bleached", "feet": "bleached", "shank-front": "bleached", "shank-rear": "bleached", "hock": "yellow",
		"pubic": "1", "keel": "2", "feel": "hard", "molt": "2", "molt-pace": "together"}
	show("worth a second look", keySample("WR", note("WR", odd[:]...)...), four)
	departs := all()
	departs.Visit(link("key", keyContest.String(), "2"))
	for _, a := range []string{"key.hen:1", "key.hen:3", "key.hen:4"} {
		departs.Do(a)
	}
	show("official departs", departs, four).Type("hens.why", "Hen 1 moves and stands far better; hen 3 favors a leg.")
	two := func() *app.Runner {
		second := henBirds[2]
		return all(note("KT", map[string]string{"vent": "bleached", "eye": "bleached", "beak-base": "fading", "pubic": "2", "feel": "thick"}, nil, second)...)
	}
	show("two officials", two(), one)
	show("whose notes", two(), four, "hens.whose:official/KT")
	show("sheet, empty", keySample("WR"), []string{"sheet", "empty"})
	show("sheet, filled", all(), []string{"sheet", "filled"})
	locked := all()
	show("locked", locked, four, "hens.order", "hens.cuts")
	locked.Visit(link("key", keyContest.String(), "2"))
	locked.Do("key.lock")
	locked.Visit(link("hens", keyContest.String(), "2", "0"))
	show("no such class", keySample("WR"), nil).Visit(link("hens", keyContest.String(), "1"))
	return samples
}

// galleryLots shows the page of eggs by weight and lot.
func galleryLots() []Sample {
	var samples []Sample
	show := func(name string, typed ...string) {
		r := keySample("WR")
		r.Visit("#/lots")
		for i := 0; i+1 < len(typed); i += 2 {
			r.Type(typed[i], typed[i+1])
		}
		samples = append(samples, Sample{"lots/" + name, r.State})
	}
	sample := []string{"lots.count:aa", "425", "lots.count:a", "40", "lots.count:b", "5", "lots.count:checks", "28", "lots.count:dirties", "1", "lots.count:loss", "1"}
	show("nothing typed")
	show("an egg", "lots.weight", "61.5")
	show("exactly", "lots.ounces:yes", "", "lots.dozen:yes", "", "lots.weight", "24")
	show("too light for a class", "lots.dozen:yes", "", "lots.weight", "300")
	show("the heaviest", "lots.weight", "90 g")
	show("a weight not understood", "lots.weight", "about an ounce")
	show("a lot", append(sample, "lots.cases", "240")...)
	show("a lot on arrival", append(sample, "lots.destination:yes", "", "lots.cases", "1200")...)
	show("a lot of no grade", "lots.count:b", "80", "lots.count:checks", "20", "lots.count:worst-b", "4")
	show("counts not understood", "lots.count:aa", "many", "lots.cases", "-3", "lots.count:b", "1", "lots.light", "ten")
	show("more of the worst than there are", "lots.count:b", "1", "lots.count:worst-b", "2")
	show("light eggs", "lots.light", "3 of 100\n6/100")
	show("cleared", "lots.weight", "61.5", "lots.clear", "")
	return samples
}
