package view

import "keelcard/web/app"

// sampleContest is a phone with a contest just begun, and what was tapped
// and typed in it since: pairs of an action and its text.
func sampleContest(taps ...string) *app.Runner {
	r, err := app.NewRunner(7, &app.Memory{})
	if err != nil {
		panic(err)
	}
	r.Type("phone.initials", "MB")
	r.Type("new.start", "name=Tamarack+County+Poultry+Day&date=2026-05-09&place=Fairground+hall")
	for i := 0; i < len(taps); i += 2 {
		r.Type(taps[i], taps[i+1])
	}
	return r
}

// sampleAt opens a page of the contest, and gives what is shown after some more taps.
func sampleAt(r *app.Runner, page string, args []string, taps ...string) *app.State {
	r.Visit(app.Page{Name: page, Contest: r.State.Open.Head.ID, Args: args}.Hash())
	for i := 0; i < len(taps); i += 2 {
		r.Type(taps[i], taps[i+1])
	}
	return r.State
}

// sampleClasses are three classes: carcasses, hens, hens with reasons.
var sampleClasses = []string{
	"class.add:carcass-youth", "", "class.name", "Broiler carcasses",
	"class.add:placing", "", "class.name", "Hens 1",
	"class.add:placing", "", "class.name", "Hens 2", "class.reasons", "on",
}

func gallerySetup() []Sample {
	fresh := func(taps ...string) *app.State {
		r, err := app.NewRunner(7, &app.Memory{})
		if err != nil {
			panic(err)
		}
		r.Visit("#/new")
		for i := 0; i < len(taps); i += 2 {
			r.Type(taps[i], taps[i+1])
		}
		return r.State
	}
	// whole is a phone with a contest begun from a starter.
	whole := func(id string) *app.Runner {
		r, err := app.NewRunner(7, &app.Memory{})
		if err != nil {
			panic(err)
		}
		r.Type("phone.initials", "MB")
		r.Visit("#/new")
		r.Type("new.name", "Tamarack County Poultry Day")
		r.Type("new.date", "2026-05-09")
		r.Do("new.start:" + id)
		return r
	}
	// made is a class that was just added.
	made := func(add string, taps ...string) *app.State {
		r := sampleContest()
		r.Visit(app.Page{Name: "class", Contest: r.State.Open.Head.ID, Args: []string{"new"}}.Hash())
		for i, all := 0, append([]string{add, ""}, taps...); i < len(all); i += 2 {
			r.Type(all[i], all[i+1])
		}
		return r.State
	}
	// full is the page of a class of the largest starter.
	full := func(class string, taps ...string) *app.State {
		return sampleAt(whole("full"), "class", []string{class}, taps...)
	}
	ties := append(sampleClasses[:len(sampleClasses):len(sampleClasses)], "settings.tie-add:reasons", "", "settings.tie-add:placing", "", "settings.tie-add:alternate", "")
	started := append(ties[:len(ties):len(ties)], "settings.start", "")
	return []Sample{
		{"new/empty", fresh()},
		{"new/without a name", fresh("new.start", "name=&place=Fairground+hall")},
		{"overview/full contest begun", whole("full").State},
		{"overview/practice begun", whole("practice").State},
		{"settings/divisions of classes", sampleAt(whole("full"), "settings", nil)},
		{"settings/just begun", sampleAt(sampleContest(), "settings", nil)},
		{"settings/tie-breaks and divisions", sampleAt(sampleContest(ties...), "settings", nil,
			"settings.division-add", "division=Junior", "settings.division-add", "division=Senior", "settings.tie-pick:1", "")},
		{"settings/started", sampleAt(sampleContest(started...), "settings", nil)},
		{"settings/started and unlocked", sampleAt(sampleContest(started...), "settings", nil, "settings.tie-unlock", "")},
		{"class/new", sampleAt(sampleContest(), "class", []string{"new"})},
		{"class/carcasses", sampleAt(sampleContest(sampleClasses...), "class", []string{"1"})},
		{"class/carcasses of its own", sampleAt(sampleContest(sampleClasses...), "class", []string{"1"},
			"class.choice:depth:coin", "", "class.points:A:B", "6", "class.double:lower", "")},
		{"class/hens", sampleAt(sampleContest(sampleClasses...), "class", []string{"3"})},
		{"class/taking out", sampleAt(sampleContest(sampleClasses...), "class", []string{"2"}, "class.remove", "")},
		{"class/new beside others", sampleAt(whole("county"), "class", []string{"new"})},
		{"class/names of its own, typed", sampleAt(sampleContest(), "class", []string{"new"}, "class.own:identified", "", "class.names", "names=Breda%0D%0ABREDA%0D%0ASultan")},
		{"class/faults of its own", made("class.own:checked", "class.names", "names=cracked%0Adirty%0Aodd+size", "class.whole:whole", "")},
		{"class/thirty parts", made("class.add:parts-30")},
		{"class/exam", made("class.add:exam")},
		{"class/parts to grade", full("7")},
		{"class/breaded", full("8")},
		{"class/bone-in pieces", full("8", "class.bird:bone-in", "")},
		{"class/answers for products", made("class.add:parts-30", "class.list:products-10", "")},
		{"class/stained eggs", full("9", "class.eggs:medium", "")},
		{"class/opened eggs", full("11")},
		{"class/reasons", full("3", "class.officials", "3")},
		{"class/criteria", made("class.add:points", "class.officials", "2", "class.criterion-add", "criterion=Content&most=30", "class.criterion-add", "criterion=Manner&most=20", "class.round:half", "")},
		{"class/exam marked by hand", made("class.add:exam-count")},
		{"class/another division", full("8", "class.division", app.NewDivision)},
		{"class/not there", sampleAt(sampleContest(sampleClasses...), "class", []string{"9"})},
	}
}
