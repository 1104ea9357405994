package view

import "keelcard/web/app"

const sampleList = "101\tAna Birch\tOak Hollow\tJunior\n" +
	"102\tBen Cole\tOak Hollow\tJunior\n" +
	"103\tCy Dale\tOak Hollow\tJunior\n" +
	"104\tDi Elm\tOak Hollow\tJunior\n" +
	"201\tEd Fox\tCreekside\tSenior\n" +
	"202\tFay Gray\tCreekside\tSenior\n" +
	"203\t\tCreekside\tSenior\n"

const sampleMore = "No.\tName\tTeam\tDivision\n" +
	"102\tBenjamin Cole\tCreekside\tJunior\n" +
	"103\tCy Dale\tOak Hollow\tJunior\n" +
	"x05\tGus Hill\tFern Valley\tSenior\n" +
	"301\tHal Ide\tFern Valley\tClover\n" +
	"301\tIda Joy\tFern Valley\tClover\n" +
	"302\tJo Kay\tFern Valley\tClover\n"

func galleryPeople() []Sample {
	list := []string{"people.paste", sampleList, "people.take", ""}
	crowded := append(list[:len(list):len(list)], "people.team-join:1", "201")
	return []Sample{
		{"people/nobody", sampleAt(sampleContest(), "people", nil)},
		{"people/list", sampleAt(sampleContest(list...), "people", nil)},
		{"people/number taken", sampleAt(sampleContest(list...), "people", nil, "people.add", "number=102&name=Gus+Hill&team=1&newteam=&division=Junior")},
		{"people/found", sampleAt(sampleContest(list...), "people", nil, "people.find", "creek")},
		{"people/no teams", sampleAt(sampleContest(), "people", []string{"teams"})},
		{"people/teams", sampleAt(sampleContest(crowded...), "people", []string{"teams"})},
		{"people/paste", sampleAt(sampleContest(), "people", []string{"paste"})},
		{"people/paste looked over", sampleAt(sampleContest(list...), "people", []string{"paste"}, "people.paste", sampleMore)},
		{"people/paste left", sampleAt(sampleContest(list...), "people", []string{"paste"}, "people.paste", sampleMore, "people.leave", "on")},
		{"people/paste written, bad lines left", sampleAt(sampleContest(list...), "people", []string{"paste"}, "people.paste", sampleMore, "people.take", "")},
		{"people/paste unreadable", sampleAt(sampleContest(), "people", []string{"paste"}, "people.paste", "\xc1")},
		{"person/one", sampleAt(sampleContest(list...), "person", []string{"102"})},
		{"person/new team, out", sampleAt(sampleContest(crowded...), "person", []string{"201"}, "person.team", "new", "person.out:other", "")},
		{"people/only some", sampleAt(sampleContest(list...), "people", nil, "people.only", app.OnlyAge+"Senior")},
		{"person/alternate with points off", sampleAt(sampleContest(append(sampleClasses[:len(sampleClasses):len(sampleClasses)], list...)...), "person", []string{"104"},
			"person.alternate", "on", "person.penalty", "10", "person.out-of:2", "")},
		{"person/taking off", sampleAt(sampleContest(list...), "person", []string{"203"}, "person.remove", "")},
		{"person/not there", sampleAt(sampleContest(), "person", []string{"9"})},
	}
}
