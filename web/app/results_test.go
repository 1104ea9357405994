package app_test

import (
	"encoding/csv"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/points"
	"keelcard/engine/record"
	"keelcard/web/app"
)

// demoPhone is a phone with the demo contest open.
func demoPhone(t *testing.T) *app.Runner {
	t.Helper()
	r := newPhone(t, 1, "MB")
	r.Do("demo.open")
	if r.State.Open == nil {
		t.Fatalf("the demo did not open: %+v", r.State.Notice)
	}
	return r
}

func visit(r *app.Runner, page string, args ...string) {
	r.Visit(app.Page{Name: page, Contest: r.State.Open.Head.ID, Args: args}.Hash())
}

func TestResultsGoOutAsText(t *testing.T) {
	r := demoPhone(t)
	visit(r, "share")
	text, err := r.State.Message()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Tamarack County Poultry Day 2026-09-19", "Teams:", "not keyed", "in question"} {
		if !strings.Contains(text, want) {
			t.Errorf("the message lacks %q:\n%s", want, text)
		}
	}
	name := r.State.Open.Contest.Persons[0].Name
	all := func() string {
		r.Do("share.most:0")
		text, err := r.State.Message()
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	if strings.Contains(all(), name) {
		t.Errorf("the message names %s though names were not asked for", name)
	}
	r.Do("share.names:on")
	if !strings.Contains(all(), name) {
		t.Errorf("the message lacks %s though names were asked for", name)
	}
	visit(r, "share")
	if r.State.Results.Names {
		t.Error("names are still on the next time")
	}
}

func TestALinkOpensOnAPhoneWithoutTheContest(t *testing.T) {
	r := demoPhone(t)
	hash, err := r.State.ResultsLink()
	if err != nil {
		t.Fatal(err)
	}
	scored, err := r.State.Open.Scored()
	if err != nil {
		t.Fatal(err)
	}
	other := newPhone(t, 9, "")
	other.Visit(hash)
	o := other.State.Results.Opened
	if o == nil {
		t.Fatalf("the link does not open: %+v", other.State.Results.Fault)
	}
	if len(o.Rows) != len(scored.Result.Order) || len(o.Classes) != 4 {
		t.Fatalf("%d rows, %d classes", len(o.Rows), len(o.Classes))
	}
	for i, p := range app.RankPersons(scored, nil, "") {
		row := o.Rows[o.ByRank()[i]]
		if total := o.Totals[o.ByRank()[i]]; row.Rank != p.Rank || total != p.Total {
			t.Errorf("line %d: rank %d with %v in the link, %d with %v in the contest", i, row.Rank, total, p.Rank, p.Total)
		}
	}
	for _, bad := range []string{"#/results-link", "#/results-link/abc", hash[:len(hash)-6], hash[:20] + "A" + hash[21:]} {
		other.Visit(bad)
		if other.State.Results.Opened != nil {
			t.Errorf("%q opens", bad)
		} else if f := other.State.Results.Fault; f.Text == "" || f.Fix == "" {
			t.Errorf("%q is refused with %+v", bad, f)
		}
	}
}

func TestTheTableNeverStartsAFormula(t *testing.T) {
	r := demoPhone(t)
	visit(r, "people")
	p := r.State.Open.Contest.Persons[0]
	p.Name = `=HYPERLINK("x")`
	r.State.Results.Names = true
	r.State.Open.Contest.Persons[0] = p
	data, err := r.State.CSV(true)
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	if !strings.HasPrefix(text, "\ufeffPlace,Number,Name,") {
		t.Errorf("begins with %q", text[:30])
	}
	if strings.Contains(text, ",=HYPER") || strings.Contains(text, `,"=HYPER`) || !strings.Contains(text, `"'=HYPERLINK(""x"")"`) {
		t.Error("a name that begins with = is not made harmless")
	}
	if lines := strings.Count(text, "\r\n"); lines != 41 {
		t.Errorf("%d lines for 40 contestants", lines)
	}
}

// A file from one phone taken in by another and back gives the same contest on
// both, however often.
func TestTwoPhonesComeToTheSame(t *testing.T) {
	a := demoPhone(t)
	hand := func(from, to *app.Runner) {
		t.Helper()
		visit(from, "hand-over")
		from.Shown = nil
		from.Do("hand-over.save")
		var file []byte
		for _, e := range from.Shown {
			if o, ok := e.(app.Offer); ok {
				file = o.Bytes
			}
		}
		if file == nil {
			t.Fatalf("nothing was handed over: %+v", from.State.Notice)
		}
		to.Visit("#/take-in")
		to.Send(app.Msg{Do: "file", Args: []string{"take-in", "contest.txt"}, Bytes: file})
		if len(to.State.TakeIn.Faults) > 0 {
			t.Fatalf("not taken in: %+v", to.State.TakeIn.Faults)
		}
		to.Do("take-in.accept")
	}
	b := newPhone(t, 7, "CD")
	hand(a, b)
	b.State.Phone.Initials = "CD"
	hand(b, a)
	hand(a, b)
	hand(b, a)
	one, err := a.State.Packed()
	if err != nil {
		t.Fatal(err)
	}
	two, err := b.State.Packed()
	if err != nil {
		t.Fatal(err)
	}
	if string(one) != string(two) {
		t.Error("the results differ")
	}
	if w := a.State.Where(); w.Alone > 1 || w.Phones == 0 {
		t.Errorf("the first phone thinks that %d of its records are alone, and %d phones have them", w.Alone, w.Phones)
	}
}

// A class is ranked by its points alone, with shared places.
func TestAClassIsRankedByItsPoints(t *testing.T) {
	r := demoPhone(t)
	scored, err := r.State.Open.Scored()
	if err != nil {
		t.Fatal(err)
	}
	for c := range scored.Classes {
		list := app.RankClass(scored, c)
		if len(list) < 30 || list[0].Rank != 1 {
			t.Fatalf("class %d: %d ranked, the first %d", c, len(list), list[0].Rank)
		}
		for i, p := range list[1:] {
			before := list[i]
			switch {
			case p.Total > before.Total:
				t.Errorf("class %d: %v stands below %v", c, p.Total, before.Total)
			case (p.Total == before.Total) != (p.Rank == before.Rank):
				t.Errorf("class %d: places %d and %d for %v and %v", c, before.Rank, p.Rank, before.Total, p.Total)
			case p.Rank == before.Rank && !(p.Shared && before.Shared):
				t.Errorf("class %d: place %d is shared and not said to be", c, p.Rank)
			}
		}
	}
}

// Of several files chosen at once each bad one is named, the good one can be
// taken in, and nothing is changed before that.
func TestEachBadFileIsNamed(t *testing.T) {
	a := demoPhone(t)
	visit(a, "hand-over")
	a.Shown = nil
	a.Do("hand-over.save")
	var good []byte
	for _, e := range a.Shown {
		if o, ok := e.(app.Offer); ok {
			good = o.Bytes
		}
	}
	b := newPhone(t, 7, "CD")
	b.Visit("#/take-in")
	for name, data := range map[string][]byte{"cut.txt": good[:len(good)/2], "note.txt": []byte("The bus leaves at seven."), "day.txt": good} {
		b.Send(app.Msg{Do: "file", Args: []string{"take-in", name}, Bytes: data})
	}
	told := ""
	for _, f := range b.State.TakeIn.Faults {
		if f.Fix == "" {
			t.Errorf("%q comes without a remedy", f.Text)
		}
		told += f.Text
	}
	if !strings.Contains(told, "cut.txt: ") || !strings.Contains(told, "note.txt: ") || strings.Contains(told, "day.txt") {
		t.Errorf("said of the files: %q", told)
	}
	if len(b.State.Contests) != 0 || b.State.TakeIn.Ready == nil {
		t.Errorf("%d contests, ready %v", len(b.State.Contests), b.State.TakeIn.Ready)
	}
	b.Do("take-in.accept")
	if len(b.State.Contests) != 1 {
		t.Error("the good file was not taken in")
	}
}

// dayPhone is a phone with a contest of two divisions, in which much befell the
// contestants. By hand: a placing class worth 50 with the order 1-2-3-4 and cuts
// 2, 3 and 4, in which 1-2-4-3 loses 4 and 2-1-3-4 loses 2; and an exam of five
// questions, 10 points each, the key A B C D E.
//
//	number  team  age     order    exam   of 100
//	1       1     Junior  50       50     100
//	2       1     Junior  46       40     86, less 6 for coming late: 80
//	3       1     Senior  48       20     68, named as the alternate
//	4       1     Senior  -        50     50, disqualified from the hens
//	5       2     Senior  50       -      not ranked
func dayPhone(t *testing.T) *app.Runner {
	t.Helper()
	r := newPhone(t, 1, "MB")
	hens := contest.Class{No: 1, Name: "Hens", Kind: contest.Placing, Items: 4, Division: "Live birds"}
	exam := contest.Class{No: 2, Name: "=Exam", Kind: contest.Identified, Items: 5, List: "letters-5", Division: "Eggs"}
	var facts []app.Fact
	put := func(kind record.Kind, a, b uint32, v string) {
		facts = append(facts, app.Fact{Who: "owner/AB", Subject: record.Subject{Kind: kind, A: a, B: b}, Value: v, When: 1_789_990_000})
	}
	put(record.KindContest, 0, 0, must(contest.Settings{Name: "Tamarack County Poultry Day", Divisions: []string{"Junior", "Senior"}, TeamBest: 2}.Write()))
	put(record.KindClass, 1, 0, must(hens.Write()))
	put(record.KindClass, 2, 0, must(exam.Write()))
	put(record.KindKey, 1, 0, must(contest.KeyItem{Answer: "1-2-3-4", Cuts: [3]uint8{2, 3, 4}}.Write(hens)))
	for i, a := range []string{"A", "B", "C", "D", "E"} {
		put(record.KindKey, 2, uint32(i+1), must(contest.KeyItem{Answer: a}.Write(exam)))
	}
	put(record.KindTeam, 1, 0, must(contest.Team{No: 1, Name: "@Alder"}.Write()))
	put(record.KindTeam, 2, 0, must(contest.Team{No: 2, Name: "Bluestem"}.Write()))
	order := func(text string) string {
		return string([]byte{byte(slices.Index(hens.Answers(), text) + 1)})
	}
	for _, one := range []struct {
		p           contest.Person
		order, exam string
	}{
		{contest.Person{Number: 1, Name: "Ana", Team: 1, Division: "Junior"}, order("1-2-3-4"), "\x01\x02\x03\x04\x05"},
		{contest.Person{Number: 2, Name: "Ben", Team: 1, Division: "Junior", Penalty: points.Of(6), PenaltyWhy: "came late"}, order("1-2-4-3"), "\x01\x01\x03\x04\x05"},
		{contest.Person{Number: 3, Name: "Cy", Team: 1, Division: "Senior", Alternate: true}, order("2-1-3-4"), "\x01\x01\x00\x02\x05"},
		{contest.Person{Number: 4, Name: "Dee", Team: 1, Division: "Senior", OutOf: []uint32{1}, OutOfWhy: "talked"}, "", "\x01\x02\x03\x04\x05"},
		{contest.Person{Number: 5, Name: "Eli", Team: 2, Division: "Senior", Out: "fell ill"}, order("1-2-3-4"), ""},
	} {
		put(record.KindPerson, one.p.Number, 0, must(one.p.Write()))
		if one.order != "" {
			put(record.KindCard, 1, one.p.Number, one.order)
		}
		if one.exam != "" {
			put(record.KindCard, 2, one.p.Number, one.exam)
		}
	}
	if err := r.Disk.Give(poultryDay, "Tamarack County Poultry Day", 90, facts...); err != nil {
		t.Fatal(err)
	}
	r = restart(t, r)
	r.Visit(page("results"))
	return r
}

// lines writes a ranking as "place number points".
func lines(r *app.Scored, list []app.Ranked) string {
	var out []string
	for _, l := range list {
		out = append(out, l.Place()+" "+app.PersonName(r.Persons[l.Index], false)+" "+l.Total.String())
	}
	return strings.Join(out, ", ")
}

func TestRankingsByAgeGroupAndDivision(t *testing.T) {
	scored, err := dayPhone(t).State.Open.Scored()
	if err != nil {
		t.Fatal(err)
	}
	birds, eggs := app.PartOf(scored, "Live birds"), app.PartOf(scored, "Eggs")
	for _, tc := range []struct {
		list []app.Ranked
		want string
	}{
		{app.RankPersons(scored, nil, ""), "1 1 100, 2 2 80, 3 3 68, 4 4 50"},
		{app.RankPersons(scored, nil, "Senior"), "1 3 68, 2 4 50"},
		{app.RankPersons(scored, birds, ""), "1 1 50, 2 3 48, 3 2 46, 4 4 0"},
		{app.RankPersons(scored, birds, "Senior"), "1 3 48, 2 4 0"},
		{app.RankPersons(scored, eggs, ""), "1= 1 50, 1= 4 50, 3 2 40, 4 3 20"},
		{app.RankClass(scored, 0), "1 1 50, 2 3 48, 3 2 46"},
	} {
		if got := lines(scored, tc.list); got != tc.want {
			t.Errorf("got  %s\nwant %s", got, tc.want)
		}
	}
	teams := app.RankTeams(scored, nil, "")
	if len(teams) != 1 || teams[0].Total != points.Of(180) || teams[0].Rank != 1 {
		t.Errorf("teams %+v: the alternate has 68, so 100 and 80 count", teams)
	}
	if teams = app.RankTeams(scored, birds, ""); len(teams) != 1 || teams[0].Total != points.Of(96) {
		t.Errorf("teams in live birds %+v, want 50 + 46", teams)
	}
	if teams = app.RankTeams(scored, nil, "Junior"); len(teams) != 0 {
		t.Errorf("a team of two age groups is ranked in one: %+v", teams)
	}
	if app.PartOf(scored, "Fish") != nil || app.PartOf(scored, "") != nil {
		t.Error("there is a division that is none")
	}
}

func TestWhatBefellIsToldInWords(t *testing.T) {
	scored, err := dayPhone(t).State.Open.Scored()
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"", "6 taken off (came late)", "alternate, does not count for the team", "disqualified in Hens (talked)", "no card that counts in 1 class"} {
		if got := strings.Join(app.Remarks(scored, i, true), "; "); got != want {
			t.Errorf("contestant %d: %q, want %q", i+1, got, want)
		}
	}
}

// What is read out begins with the lowest place and ends with the best, each
// division and then the whole contest.
func TestAwardsAreReadFromTheLowestPlace(t *testing.T) {
	r := dayPhone(t)
	scored, err := r.State.Open.Scored()
	if err != nil {
		t.Fatal(err)
	}
	told := func(most int, together bool) []string {
		var out []string
		for _, c := range app.AwardsOf(scored, most, together) {
			line := c.Title() + ":"
			for _, l := range c.Lines {
				line += " " + l.Placed() + " " + strings.Fields(app.CalledName(scored, c, l))[0]
			}
			out = append(out, line)
		}
		return out
	}
	want := []string{
		"Live birds: Second 3 First 1", "Live birds: teams: First @Alder",
		"Eggs: First, shared 4 First, shared 1", "Eggs: teams: First @Alder",
		"The whole contest: Second 2 First 1", "The whole contest: teams: First @Alder",
	}
	if got := told(2, true); !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	if got := told(1, false); !slices.Contains(got, "The whole contest: Senior: First 3") {
		t.Errorf("by age group: %q", got)
	}
}

func TestWhatGoesOutTellsDivisionsPenaltiesAndRulings(t *testing.T) {
	r := dayPhone(t)
	weigh(t, r, "2", "2", "ruling.way:out", "ruling.why=The question about Dee was unfair.")
	r.Do("ruling.make")
	r.Visit(page("share"))
	text, err := r.State.Message()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"2. 2, @Alder: 90 (6 taken off)", "Live birds, points of 50:", "Eggs, teams:", "1. @Alder: 190", "Rulings:", "=Exam, item 2: thrown out, every card earns full points"} {
		if !strings.Contains(text, want) {
			t.Errorf("the message lacks %q:\n%s", want, text)
		}
	}
	for _, private := range []string{"Ana", "Ben", "Dee", "came late", "fell ill", "talked"} {
		if strings.Contains(text, private) {
			t.Errorf("the message tells %q", private)
		}
	}
	r.Do("share.divisions:off")
	if text, _ = r.State.Message(); strings.Contains(text, "Live birds") {
		t.Errorf("divisions are still in it:\n%s", text)
	}
	table := func() [][]string {
		data, err := r.State.CSV(false)
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		return rows
	}
	rows := table()
	want := [][]string{
		{"Place", "Number", "Team", "Age group", "Place in age group", "Hens", "'=Exam", "Live birds: points", "Live birds: place", "Eggs: points", "Eggs: place", "Taken off", "Total", "Remarks", "Rulings"},
		{"1", "1", "'@Alder", "Junior", "1", "50", "50", "50", "1", "50", "1", "0", "100", "", "'=Exam, item 2: thrown out, every card earns full points"},
		{"2", "2", "'@Alder", "Junior", "2", "46", "50", "46", "3", "50", "1", "6", "90", "6 taken off", "'=Exam, item 2: thrown out, every card earns full points"},
		{"3", "3", "'@Alder", "Senior", "1", "48", "30", "48", "2", "30", "4", "0", "78", "alternate, does not count for the team", "'=Exam, item 2: thrown out, every card earns full points"},
		{"4", "4", "'@Alder", "Senior", "2", "", "50", "0", "4", "50", "1", "0", "50", "disqualified in Hens", "'=Exam, item 2: thrown out, every card earns full points"},
		{"not ranked", "5", "Bluestem", "Senior", "", "50", "", "50", "", "0", "", "0", "50", "no card that counts in 1 class", ""},
	}
	for i, row := range want {
		if i >= len(rows) || !slices.Equal(rows[i], row) {
			t.Errorf("line %d: got %q\nwant %q", i, rows[min(i, len(rows)-1)], row)
		}
	}
	r.Do("share.names:on")
	if rows = table(); rows[2][2] != "Ben" || !strings.Contains(strings.Join(rows[2], ","), "came late") || rows[5][0] != "fell ill" {
		t.Errorf("with names: %q %q", rows[2], rows[5])
	}
	for _, row := range rows {
		for _, cell := range row {
			if cell != "" && strings.ContainsRune("=+-@\t\r\n", rune(cell[0])) {
				t.Errorf("%q starts a formula", cell)
			}
		}
	}
}

// The places of teams go out in a link, also where an alternate's points are not
// counted.
func TestALinkTellsThePlacesOfTeams(t *testing.T) {
	r := dayPhone(t)
	hash, err := r.State.ResultsLink()
	if err != nil {
		t.Fatal(err)
	}
	other := newPhone(t, 9, "")
	other.Visit(hash)
	o := other.State.Results.Opened
	if o == nil {
		t.Fatal("the link does not open")
	}
	if got := o.TeamsByRank(); !slices.Equal(got, []int{0}) || o.TeamRanks[1] != 0 || o.Teams[0] != "@Alder" {
		t.Errorf("teams %v of %q with places %v", got, o.Teams, o.TeamRanks)
	}
	if o.Rows[1].Penalty != 600 || o.Totals[1] != points.Of(80) {
		t.Errorf("contestant 2: %+v, %v", o.Rows[1], o.Totals[1])
	}
}
