package app_test

import (
	"fmt"
	"net/url"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/web/app"
)

func add(r *app.Runner, number, name, team, newTeam, division string) {
	r.Type("people.add", url.Values{"number": {number}, "name": {name}, "team": {team}, "newteam": {newTeam}, "division": {division}}.Encode())
}

func listed(r *app.Runner) string {
	c := r.State.Open.Contest
	var out []string
	for _, p := range c.Persons {
		team, _ := c.Team(p.Team)
		out = append(out, fmt.Sprintf("%d %s/%s/%s", p.Number, p.Name, team.Name, p.Division))
	}
	return strings.Join(out, ", ")
}

func TestContestantsOneByOne(t *testing.T) {
	r := begin(t, "Poultry Day")
	turn(r, "people")
	if n := r.State.NextNumber(); n != 1 {
		t.Errorf("the first number offered is %d", n)
	}
	add(r, "101", "Ana  Birch", "0", "Oak Hollow", "")
	add(r, "102", "Ben Cole", r.State.People.New.Team, "", "")
	add(r, "103", "Čeněk Å ÅÄ & Co", "0", "oak hollow", "")
	if got, want := listed(r), "101 Ana Birch/Oak Hollow/, 102 Ben Cole/Oak Hollow/, 103 Čeněk Å ÅÄ & Co/Oak Hollow/"; got != want {
		t.Errorf("listed %s\nwant   %s", got, want)
	}
	if n := r.State.NextNumber(); n != 104 {
		t.Errorf("the next number offered is %d", n)
	}
	for _, number := range []string{"102", "", "x", "0", "1000000"} {
		before := listed(r)
		add(r, number, "Nobody", "0", "", "")
		if r.State.People.New.Fault == nil || listed(r) != before {
			t.Errorf("number %q: fault %v, list %s", number, r.State.People.New.Fault, listed(r))
		}
		if r.State.People.New.Name != "Nobody" {
			t.Errorf("number %q: what was typed is gone", number)
		}
	}
	for find, want := range map[string]int{"": 3, "10": 3, "102": 1, "ben": 1, "OAK": 3, "zz": 0} {
		r.Type("people.find", find)
		if got := len(r.State.PeopleFound()); got != want {
			t.Errorf("looking for %q finds %d, want %d", find, got, want)
		}
	}
}

func TestOneContestantIsChangedAndTakenOut(t *testing.T) {
	r := begin(t, "Poultry Day")
	add(r, "7", "Ana", "0", "Oak Hollow", "")
	turn(r, "person", "7")
	r.Type("person.name", "Ana Birch")
	r.Type("person.division", "Junior")
	r.Type("person.team", "new")
	if !r.State.People.NewTeam {
		t.Error("the name of the new team is not asked for")
	}
	r.Type("person.team-new", "Creekside")
	if got, want := listed(r), "7 Ana Birch/Creekside/Junior"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	r.Do("undo")
	if got, want := listed(r), "7 Ana Birch/Oak Hollow/Junior"; got != want {
		t.Errorf("taken back: %s, want %s", got, want)
	}
	out := func() string { p, _ := r.State.Open.Contest.Person(7); return p.Out }
	for _, do := range []string{"late", "disqualified", ""} {
		if r.Do("person.out:" + do); out() != do {
			t.Errorf("out %q, want %q", out(), do)
		}
	}
	r.Do("person.out:other")
	r.Type("person.out-why", "taken ill")
	if out() != "taken ill" {
		t.Errorf("out %q", out())
	}
	r.Do("person.remove-sure")
	if listed(r) == "" {
		t.Fatal("one tap took the contestant off the list")
	}
	r.Do("person.remove")
	r.Do("person.remove-sure")
	if listed(r) != "" || r.State.Page.Name != "people" {
		t.Errorf("still listed: %s on page %+v", listed(r), r.State.Page)
	}
	r.Do("undo")
	if out() != "taken ill" {
		t.Errorf("taken back: %s", listed(r))
	}
}

const sheet = "No.\tFirst name\tLast name\tClub\tAge group\r\n" +
	"101\tAna\tBirch\tOak Hollow\tJunior\r\n" +
	"102\tBen\tCole\tOak Hollow\tJunior\r\n" +
	"x3\tCy\tDale\tCreekside\tSenior\r\n" +
	"104\tDi\tElm\tCreekside\tsenior\r\n" +
	"102\tEd\tFox\tCreekside\tSenior\r\n"

func TestAPastedListIsLookedOverAndThenWritten(t *testing.T) {
	r := begin(t, "Poultry Day")
	r.Type("settings.division-add", "division=Senior")
	add(r, "101", "Anna Birch", "0", "", "")
	turn(r, "people", "paste")
	before := len(r.State.Open.Own(r.State.Phone.ID).Records)
	r.Type("people.paste", sheet)
	seen := r.State.People.Paste.Seen
	if seen == nil {
		t.Fatalf("nothing was read: %v", r.State.People.Paste.Fault)
	}
	if n := len(r.State.Open.Own(r.State.Phone.ID).Records); n != before {
		t.Fatalf("looking over wrote %d records", n-before)
	}
	for does, want := range map[string]int{app.PasteNew: 2, app.PasteChanged: 1, app.PasteSame: 0, app.PasteBad: 2} {
		if seen.Count[does] != want {
			t.Errorf("%s lines: %d, want %d", does, seen.Count[does], want)
		}
	}
	var bad []string
	for _, row := range seen.Rows {
		if row.Does == app.PasteBad {
			bad = append(bad, fmt.Sprintf("%d %s", row.Line, row.Fault.Code))
			if row.Fault.What == "" || row.Fault.Fix == "" {
				t.Errorf("line %d does not say what is wrong and what to do", row.Line)
			}
		}
	}
	if got, want := strings.Join(bad, ", "), "4 paste.number, 6 paste.number-twice"; got != want {
		t.Errorf("bad lines %s, want %s", got, want)
	}
	if len(seen.Teams) != 2 || seen.Teams[0].Name != "Oak Hollow" || len(seen.Divisions) != 1 || seen.Divisions[0] != "Junior" {
		t.Errorf("would make teams %v and divisions %v", seen.Teams, seen.Divisions)
	}
	r.Do("people.take")
	if got, want := listed(r), "101 Ana Birch/Oak Hollow/Junior, 102 Ben Cole/Oak Hollow/Junior, 104 Di Elm/Creekside/Senior"; got != want {
		t.Errorf("written %s\nwant    %s", got, want)
	}
	if got := strings.Join(settingsOf(r).Divisions, " "); got != "Senior Junior" {
		t.Errorf("divisions %q", got)
	}
	if p := r.State.People.Paste; !strings.Contains(p.Text, "x3\tCy") || strings.Contains(p.Text, "Di\tElm") || p.Seen == nil {
		t.Errorf("left in the field: %q", p.Text)
	}
	again := restart(t, r)
	again.Visit("#/c/" + r.State.Open.Head.ID + "/people")
	if got := listed(again); got != listed(r) {
		t.Errorf("after a restart: %s", got)
	}
	r.Do("people.take-back")
	if got, want := listed(r), "101 Anna Birch//"; got != want || len(r.State.Open.Contest.Teams) != 0 || len(settingsOf(r).Divisions) != 1 {
		t.Errorf("taken back: %s, want %s; teams %v, divisions %v", got, want, r.State.Open.Contest.Teams, settingsOf(r).Divisions)
	}
}

func TestWhoIsHereAlreadyCanBeLeft(t *testing.T) {
	r := begin(t, "Poultry Day")
	add(r, "1", "Ana", "0", "Oak Hollow", "")
	turn(r, "people", "paste")
	r.Type("people.paste", "1,Anna,Creekside,Junior\n2,Ben,Fern Valley")
	r.Type("people.leave", "on")
	if seen := r.State.People.Paste.Seen; len(seen.Teams) != 1 || seen.Teams[0].Name != "Fern Valley" || len(seen.Divisions) != 0 {
		t.Errorf("would make teams %v, divisions %v for lines that are left", seen.Teams, seen.Divisions)
	}
	r.Do("people.take")
	if got, want := listed(r), "1 Ana/Oak Hollow/, 2 Ben/Fern Valley/"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if r.State.People.Paste.Text != "" || r.State.Page.Arg(0) != "" {
		t.Errorf("the list is still in the field: %+v", r.State.People.Paste)
	}
	// An empty cell leaves what stands.
	turn(r, "people", "paste")
	r.Type("people.paste", "1,,,Junior\n2\n")
	if seen := r.State.People.Paste.Seen; seen.Count[app.PasteChanged] != 1 || seen.Count[app.PasteSame] != 1 {
		t.Errorf("counts %v", seen.Count)
	}
	r.Type("people.leave", "")
	r.Do("people.take")
	if got, want := listed(r), "1 Ana/Oak Hollow/Junior, 2 Ben/Fern Valley/"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

func TestTakingBackAPasteSparesWhatCameAfter(t *testing.T) {
	r := begin(t, "Poultry Day")
	turn(r, "people", "paste")
	r.Type("people.paste", "1,Ana,Oak Hollow\n2,Ben,Oak Hollow")
	r.Do("people.take")
	turn(r, "person", "2")
	r.Type("person.name", "Ben Cole")
	r.Do("people.take-back")
	if got, want := listed(r), "2 Ben Cole/Oak Hollow/"; got != want {
		t.Errorf("%s, want %s: what was written after the paste stays, with its team", got, want)
	}
}

func TestAListFromAFile(t *testing.T) {
	for name, data := range map[string][]byte{
		"utf-8":               []byte("1,Ána"),
		"utf-8 with a mark":   []byte("\ufeff1,Ána"),
		"utf-16 little":       {0xff, 0xfe, '1', 0, '\t', 0, 0xc1, 0, 'n', 0, 'a', 0},
		"utf-16 big, odd end": {0xfe, 0xff, 0, '1', 0, ',', 0, 0xc1, 0, 'n', 0, 'a', 0},
	} {
		r := begin(t, "Poultry Day")
		turn(r, "people", "paste")
		r.Send(app.Msg{Do: "people.file", Args: []string{"list.csv"}, Bytes: data})
		if r.State.People.Paste.File != "list.csv" {
			t.Errorf("%s: file %q", name, r.State.People.Paste.File)
		}
		r.Do("people.take")
		if got, want := listed(r), "1 Ána//"; got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
	r := begin(t, "Poultry Day")
	turn(r, "people", "paste")
	r.Send(app.Msg{Do: "people.file", Args: []string{"list.csv"}, Bytes: []byte("1,\xc1na")})
	if r.State.People.Paste.Fault == nil {
		t.Error("a file in another encoding was taken")
	}
	r.Send(app.Msg{Do: "people.file", Args: []string{"big.csv"}, Bytes: make([]byte, 2*contest.MaxPaste+1)})
	if r.State.People.Paste.Fault == nil {
		t.Error("a file of more than 8 MiB was taken")
	}
}

func TestTeamsAreRenamedAndJoined(t *testing.T) {
	r := begin(t, "Poultry Day")
	for i := 1; i <= 5; i++ {
		add(r, fmt.Sprint(i), "", "0", "Oak Hollow", "")
	}
	turn(r, "people", "teams")
	if n := len(r.State.Members(1)); n != 5 || settingsOf(r).Most() != 4 {
		t.Errorf("%d members; more than the settings allow are not refused", n)
	}
	r.Type("people.team-add", "team=Creekside")
	r.Type("people.team-add", "team=CREEKSIDE")
	if r.State.Notice.Tone != "bad" || len(r.State.Open.Contest.Teams) != 2 {
		t.Errorf("a team was made twice: %v", r.State.Open.Contest.Teams)
	}
	r.Type("people.team-name:2", "oak hollow")
	if team, _ := r.State.Open.Contest.Team(2); team.Name != "Creekside" {
		t.Errorf("two teams have one name: %q", team.Name)
	}
	r.Type("people.team-name:2", "Creek Side")
	r.Type("people.team-join:2", "5")
	r.Type("people.team-join:2", "99")
	if r.State.Notice.Tone != "bad" {
		t.Error("a contestant who is not there joined")
	}
	r.Do("people.team-leave:4")
	if got, want := listed(r), "1 /Oak Hollow/, 2 /Oak Hollow/, 3 /Oak Hollow/, 4 //, 5 /Creek Side/"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	r.Do("people.team-remove:2")
	if len(r.State.Open.Contest.Teams) != 2 {
		t.Error("a team with a member was taken out")
	}
	r.Do("people.team-leave:5")
	r.Do("people.team-remove:2")
	if len(r.State.Open.Contest.Teams) != 1 {
		t.Error("an empty team was not taken out")
	}
}

// Sixty is a large county contest.
func TestSixtyContestantsInOnePaste(t *testing.T) {
	r := begin(t, "Poultry Day")
	var b strings.Builder
	for i := 1; i <= 60; i++ {
		fmt.Fprintf(&b, "%d\tContestant %d\tTeam %d\tJunior\n", 100+i, i, (i+3)/4)
	}
	turn(r, "people", "paste")
	r.Type("people.paste", b.String())
	r.Do("people.take")
	if n, teams := len(r.State.Open.Contest.Persons), len(r.State.Open.Contest.Teams); n != 60 || teams != 15 {
		t.Fatalf("%d contestants in %d teams, want 60 in 15", n, teams)
	}
	r.Do("people.take-back")
	if n, teams := len(r.State.Open.Contest.Persons), len(r.State.Open.Contest.Teams); n != 0 || teams != 0 {
		t.Errorf("taken back, %d contestants and %d teams are left", n, teams)
	}
}

// sixty is a list of 60 contestants: teams of five, in two age groups.
func sixty() string {
	var b strings.Builder
	b.WriteString("No.\tName\tTeam\tAge group\n")
	for i := range 60 {
		fmt.Fprintf(&b, "%d\tContestant %d\tTeam %c\t%s\n", 101+i, i+1, 'A'+i/5, []string{"Junior", "Senior"}[i/5%2])
	}
	return b.String()
}

func TestSixtyArePastedAtOnce(t *testing.T) {
	r := begin(t, "Poultry Day")
	turn(r, "people", "paste")
	r.Type("people.paste", sixty())
	if n := r.State.People.Paste.Seen.Count[app.PasteNew]; n != 60 {
		t.Fatalf("%d of 60 lines are new contestants", n)
	}
	r.Do("people.take")
	c := r.State.Open.Contest
	if len(c.Persons) != 60 || len(c.Teams) != 12 || strings.Join(settingsOf(r).Divisions, " ") != "Junior Senior" {
		t.Errorf("%d contestants, %d teams, age groups %q", len(c.Persons), len(c.Teams), settingsOf(r).Divisions)
	}
	for only, want := range map[string]int{"": 60, app.OnlyAge + "Junior": 30, app.OnlyAge: 0, app.OnlyTeamless: 0, app.OnlyAlternate: 0, app.OnlyConduct: 0} {
		r.Type("people.only", only)
		if got := len(r.State.PeopleFound()); got != want {
			t.Errorf("only %q shows %d, want %d", only, got, want)
		}
	}
	r.Type("people.only", app.OnlyAge+"Senior")
	r.Type("people.find", "team b")
	if got := len(r.State.PeopleFound()); got != 5 {
		t.Errorf("seniors of team B: %d, want 5", got)
	}
	again := restart(t, r)
	again.Visit("#/c/" + r.State.Open.Head.ID)
	if len(again.State.Open.Contest.Persons) != 60 {
		t.Errorf("after a restart there are %d", len(again.State.Open.Contest.Persons))
	}
	r.Do("people.take-back")
	if c := r.State.Open.Contest; len(c.Persons)+len(c.Teams)+len(settingsOf(r).Divisions) != 0 {
		t.Errorf("taken back: %d contestants, %d teams", len(c.Persons), len(c.Teams))
	}
}

// Late arrival may mean a penalty or disqualification (Oklahoma State
// University, FFA poultry evaluation); touching a carcass means disqualification
// (Texas FFA poultry judging). A team has three or four members and names its
// alternate before the start (Penn State, University of Tennessee Extension).
func TestPenaltiesAlternatesAndClassesLost(t *testing.T) {
	r := begin(t, "Poultry Day")
	r.Do("class.add:carcass-youth")
	r.Do("class.add:placing")
	turn(r, "people", "paste")
	r.Type("people.paste", sixty())
	r.Do("people.take")
	person := func() contest.Person { p, _ := r.State.Open.Contest.Person(105); return p }
	turn(r, "person", "105")
	if n := r.State.Overfull(person().Team); n != 1 {
		t.Errorf("a team of 5 is %d too large for 4", n)
	}
	r.Type("person.alternate", "on")
	if n := r.State.Overfull(person().Team); n != 0 || !person().Alternate {
		t.Errorf("with an alternate it is %d too large", n)
	}
	r.Type("person.penalty", "7.5")
	if p := person(); p.Penalty.String() != "7.5" || p.PenaltyWhy == "" {
		t.Errorf("late: %+v", p)
	}
	r.Type("person.penalty-why", "Ten minutes late")
	r.Do("person.out-of:2")
	r.Do("person.out-of:1")
	r.Type("person.out-of-why", "Touched a carcass")
	if p := person(); p.PenaltyWhy != "Ten minutes late" || fmt.Sprint(p.OutOf) != "[1 2]" || p.OutOfWhy != "Touched a carcass" {
		t.Errorf("kept as %+v", p)
	}
	for action, text := range map[string]string{"person.penalty": "-3", "person.penalty-why": "", "person.out-of-why": " "} {
		before := person()
		if r.Type(action, text); r.State.Notice.Tone != "bad" || fmt.Sprint(person()) != fmt.Sprint(before) {
			t.Errorf("%s %q: %+v, notice %+v", action, text, person(), r.State.Notice)
		}
	}
	turn(r, "people", "paste")
	r.Type("people.paste", "105\tNew name")
	r.Do("people.take")
	if p := person(); p.Name != "New name" || !p.Alternate || p.Penalty == 0 || len(p.OutOf) != 2 {
		t.Errorf("a pasted name took more away: %+v", p)
	}
	again := restart(t, r)
	again.Visit("#/c/" + r.State.Open.Head.ID)
	if p, _ := again.State.Open.Contest.Person(105); fmt.Sprint(p) != fmt.Sprint(person()) {
		t.Errorf("after a restart: %+v", p)
	}
	r.Type("people.only", app.OnlyConduct)
	if found := r.State.PeopleFound(); len(found) != 1 || found[0].Number != 105 {
		t.Errorf("with points off: %v", found)
	}
	turn(r, "person", "105")
	r.Type("person.penalty", "")
	r.Do("person.out-of:1")
	r.Do("person.out-of:2")
	if p := person(); p.Penalty != 0 || p.PenaltyWhy != "" || len(p.OutOf) != 0 || p.OutOfWhy != "" {
		t.Errorf("taken away: %+v", p)
	}
	r.Do("undo")
	if p := person(); fmt.Sprint(p.OutOf) != "[2]" || p.OutOfWhy != "Touched a carcass" {
		t.Errorf("the last tap taken back: %+v", p)
	}
}
