package contest_test

import (
	"encoding/binary"
	"fmt"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/points"
	"keelcard/engine/record"
)

// What Write would have refused is a problem when it arrives, and takes nothing
// else with it.
func TestWhatCannotBeWrittenIsNotRead(t *testing.T) {
	long := strings.Repeat("a", contest.MaxText+1)
	for _, tc := range []struct {
		name  string
		sub   record.Subject
		value string
		where string
	}{
		{"no JSON", classSubject(1), "x", "class 1"},
		{"another type", classSubject(1), `[1]`, "class 1"},
		{"nothing", classSubject(1), `null`, "class 1"},
		{"class of many items", classSubject(1), `{"name":"n","kind":"graded","items":1000000000}`, "class 1"},
		{"class of less than no items", classSubject(1), `{"name":"n","kind":"graded","items":-1}`, "class 1"},
		{"class with many points", classSubject(1), `{"name":"n","table":[` + strings.Repeat("{},", 20_000) + `{}]}`, "class 1"},
		{"class 0", classSubject(0), `{"name":"n"}`, "class 0"},
		{"class with two numbers", record.Subject{Kind: record.KindClass, A: 1, B: 1}, `{"name":"n"}`, "class 1"},
		{"class with a large number", classSubject(1 << 31), `{"name":"n"}`, "class 2147483648"},
		{"long name", personSubject(1), `{"name":"` + long + `"}`, "contestant 1"},
		{"control character", personSubject(1), `{"name":"a\u0007"}`, "contestant 1"},
		{"team below 0", personSubject(1), `{"name":"a","team":-1}`, "contestant 1"},
		{"contestant 0", personSubject(0), `{"name":"a"}`, "contestant 0"},
		{"contestant with two numbers", record.Subject{Kind: record.KindPerson, A: 9, B: 1}, `{"name":"a"}`, "contestant 9"},
		{"team without a name", teamSubject(1), `{}`, "team 1"},
		{"best of many", settingsSubject, `{"name":"n","teamBest":1000000}`, "settings"},
		{"same class in a tie-break", settingsSubject, `{"name":"n","ties":[{"classes":[1,1]}]}`, "settings"},
		{"many divisions", settingsSubject, `{"name":"n","divisions":["0"` + strings.Repeat(`,"1"`, 10_000) + `]}`, "settings"},
		{"settings cut off", settingsSubject, `{"name":"n","place":"p"`, "settings"},
	} {
		d := newDay(t)
		c := hens(5)
		d.class(c)
		d.key(c, contest.KeyItem{Answer: "1-2-3-4", Cuts: [3]uint8{2, 5, 3}})
		d.person(9)
		d.card(c, 9, 1)
		bad := d.raw(tc.sub, tc.value)
		got := d.read()
		if len(got.Problems) != 1 || got.Problems[0].Code != "contest.unreadable" || got.Problems[0].Where != tc.where || got.Problems[0].Cause == nil {
			t.Errorf("%s: problems %v", tc.name, got.Problems)
		}
		if len(got.Classes) != 1 || len(got.Persons) != 1 || len(got.Teams) != 0 || got.Settings.Name != "" || got.Settings.Place != "" {
			t.Errorf("%s: it was read: %+v %+v %+v %+v", tc.name, got.Classes, got.Persons, got.Teams, got.Settings)
		}
		wantPoints(t, tc.name, scored(t, got).Result.Total(0), points.Of(50))

		d.Write(d.owner, tc.sub, "", nil, bad)
		if got := d.read(); len(got.Problems) != 0 {
			t.Errorf("%s: a withdrawn value is still a problem: %v", tc.name, got.Problems)
		}
	}
}

// A class that can be read and not scored waits and says why; the others are
// scored.
func TestAClassThatCannotBeScoredWaits(t *testing.T) {
	grades := []string{"A", "A"}
	for _, tc := range []struct {
		name, class string
		key         []string
		code        engine.Code
	}{
		{"no key", `{"name":"n","kind":"graded","items":2,"book":"carcass-youth"}`, nil, "contest.key-missing"},
		{"an answer that is none", `{"name":"n","kind":"graded","items":2,"book":"carcass-youth"}`, []string{"A", "X"}, "contest.key"},
		{"no grade, and then the class has three answers", `{"name":"n","kind":"graded","items":2,"book":"carcass-youth","choices":{"answers":"three"}}`, []string{"NG", "A"}, "contest.key"},
		{"a book that is not here", `{"name":"n","kind":"graded","items":2,"book":"gone"}`, grades, "contest.book"},
		{"a choice the book does not have", `{"name":"n","kind":"graded","items":2,"book":"carcass-youth","choices":{"x":"y"}}`, grades, "rulebook.reference"},
		{"a worth that cannot be shared", `{"name":"n","kind":"graded","items":2,"book":"carcass-youth","worth":"10.01"}`, grades, "contest.worth-uneven"},
		{"a worth below nothing", `{"name":"n","kind":"graded","items":2,"book":"carcass-youth","worth":"-10"}`, grades, "contest.worth"},
		{"points that are too many", `{"name":"n","kind":"graded","items":2,"book":"carcass-youth","table":[{"key":"A","mark":"A","points":"501"}]}`, grades, "contest.worth"},
		{"points that overflow", `{"name":"n","kind":"graded","items":2,"book":"carcass-youth","table":[{"key":"A","mark":"A","points":"92233720368547758.07"}]}`, grades, "score.table"},
		{"a rule of a later version", `{"name":"n","kind":"graded","items":2,"book":"carcass-youth","double":"mean"}`, grades, "contest.double"},
		{"a kind of a later version", `{"name":"n","kind":"exam","items":2}`, nil, "contest.class-kind"},
		{"placing with a worth of too much", `{"name":"n","kind":"placing","items":4,"worth":"1000.01"}`, []string{"1-2-3-4"}, "contest.worth"},
		{"placing without an order", `{"name":"n","kind":"placing","items":4}`, []string{"A"}, "placing.order"},
	} {
		d := newDay(t)
		d.raw(classSubject(1), tc.class)
		for i, k := range tc.key {
			sub := contest.KeySubject(1, uint32(i+1))
			if strings.Contains(tc.class, "placing") {
				sub.B = 0
			}
			d.raw(sub, fmt.Sprintf(`{"answer":%q}`, k))
		}
		fine := hens(2)
		d.class(fine)
		d.key(fine, contest.KeyItem{Answer: "1-2-3-4"})
		d.person(1)
		d.card(fine, 1, 1)
		c := d.read()
		if len(c.Problems) > 0 || len(c.Classes) != 2 {
			t.Fatalf("%s: %d classes, problems %v", tc.name, len(c.Classes), c.Problems)
		}
		s, err := c.Score()
		if err != nil {
			t.Fatalf("%s: %v", tc.name, err)
		}
		if len(s.Waiting) != 1 || s.Waiting[0].Class.No != 1 || engine.CodeOf(s.Waiting[0].Err) != tc.code {
			t.Errorf("%s: waiting %v, want code %s", tc.name, s.Waiting, tc.code)
		}
		wantPoints(t, tc.name, s.Result.Total(0), points.Of(50))
	}
}

// A key that could only have been written by hand waits as well.
func TestAKeyThatCannotBeWrittenWaits(t *testing.T) {
	many := strings.Repeat(`,"1-2-3-4"`, 5000)
	for _, tc := range []struct {
		name, key string
		code      engine.Code
	}{
		{"cuts that go below zero", `{"answer":"1-2-3-4","cuts":[255,255,255]}`, "placing.negative"},
		{"an order twice", `{"answer":"1-2-3-4","also":["1234"]}`, "contest.key"},
		{"thousands of orders", `{"answer":"1-2-3-4","also":["1-2-3-4"` + many + `]}`, "contest.key"},
		{"no order", `{}`, "placing.order"},
		{"no JSON", `{`, "contest.key-missing"},
		{"another type", `{"answer":["1-2-3-4"]}`, "contest.key-missing"},
	} {
		d := newDay(t)
		d.class(hens(1))
		d.raw(contest.KeySubject(1, 0), tc.key)
		s, err := d.read().Score()
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Waiting) != 1 || engine.CodeOf(s.Waiting[0].Err) != tc.code {
			t.Errorf("%s: waiting %v, want code %s", tc.name, s.Waiting, tc.code)
		}
	}
}

// A card keyed before its class was changed counts only if it fits: otherwise
// it is in question, earns nothing, and its contestant is named.
func TestCardsOfAChangedClass(t *testing.T) {
	for _, tc := range []struct {
		name  string
		marks string
		fits  bool
	}{
		{"as before", "\x01\x02\x03", true},
		{"blank and double", "\x00\x80\x83", true},
		{"an item less", "\x01\x02", false},
		{"an item more", "\x01\x02\x03\x01", false},
		{"no grade, which is no answer any more", "\x01\x02\x04", false},
		{"two marks, one of them no grade", "\x01\x02\x89", false},
		{"two marks of which there is one", "\x01\x02\x81", false},
	} {
		d := newDay(t)
		c := broilers(1, 3)
		c.Choices = map[string]string{"answers": "three"}
		d.class(c)
		d.key(c, of("A", "A", "A")...)
		d.person(7)
		d.raw(contest.CardSubject(1, 7), tc.marks)
		got := d.read()
		if card := got.Card(c, 7); (card.Status == merge.Single) != tc.fits || (len(card.Marks) > 0) != tc.fits {
			t.Errorf("%s: %+v", tc.name, card)
		}
		if s := scored(t, got); (len(s.Unsure) == 0) != tc.fits || s.HasCard(0, 0) != tc.fits {
			t.Errorf("%s: unsure %v, has a card %v", tc.name, s.Unsure, s.HasCard(0, 0))
		}
	}
}

// Without its book a class cannot tell which marks it has; its cards are kept
// as they are.
func TestCardsWithoutTheBook(t *testing.T) {
	d := newDay(t)
	d.raw(classSubject(1), `{"name":"n","kind":"graded","items":2,"book":"gone"}`)
	d.raw(contest.CardSubject(1, 7), "\x01\x04")
	d.raw(classSubject(2), `{"name":"n","kind":"checked","items":1,"book":"gone"}`)
	d.raw(contest.CardSubject(2, 7), "\x01\x02\x01")
	c := d.read()
	for _, class := range c.Classes {
		if card := c.Card(class, 7); card.Status != merge.Single {
			t.Errorf("%s: got %+v", class.Kind, card)
		}
	}
}

// A contestant whom one phone took out while another one mended the name stays
// until somebody decides, whichever clock is ahead.
func TestAWithdrawalInQuestionTakesNothingAway(t *testing.T) {
	for _, first := range []bool{true, false} {
		d := newDay(t)
		value, err := contest.Person{Number: 1, Name: "Ana"}.Write()
		was := d.Write(d.owner, personSubject(1), value, err)
		mended, err := contest.Person{Number: 1, Name: "Anna"}.Write()
		if first {
			d.Write(d.owner, personSubject(1), "", nil, was)
			d.Write(d.keyer, personSubject(1), mended, err, was)
		} else {
			d.Write(d.keyer, personSubject(1), mended, err, was)
			d.Write(d.owner, personSubject(1), "", nil, was)
		}
		c := d.read()
		if len(c.Persons) != 1 || c.Persons[0].Name != "Anna" || len(c.Questions()) != 1 {
			t.Errorf("withdrawn first %v: %+v, questions %v", first, c.Persons, c.Questions())
		}
	}
}

// Where two hands differ about a name, the earlier one is shown and the
// question is named.
func TestTheEarliestIsShownUntilSettled(t *testing.T) {
	d := newDay(t)
	for i, name := range []string{"Anna", "Ana"} {
		value, err := contest.Team{No: 1, Name: name}.Write()
		d.Write([]int{d.keyer, d.owner}[i], teamSubject(1), value, err)
	}
	c := d.read()
	if team, ok := c.TeamNamed("Anna"); !ok || team.No != 1 {
		t.Errorf("got %+v", c.Teams)
	}
	if _, ok := c.TeamNamed("Ana"); ok {
		t.Error("the later name is shown")
	}
	if q := c.Questions(); len(q) != 1 || q[0] != teamSubject(1) {
		t.Errorf("questions %v", q)
	}
}

func TestFinding(t *testing.T) {
	d := newDay(t)
	d.class(hens(3))
	d.person(7)
	c := d.read()
	if class, ok := c.Class(3); !ok || class.Name != "Hens" {
		t.Errorf("class 3: %+v", class)
	}
	if p, ok := c.Person(7); !ok || p.Number != 7 {
		t.Errorf("contestant 7: %+v", p)
	}
	_, class := c.Class(4)
	_, person := c.Person(8)
	_, team := c.Team(1)
	if class || person || team {
		t.Error("something is found that is not there")
	}
}

// More than a contest can have is told, and what is within the limit is read.
func TestTooMany(t *testing.T) {
	d := newDay(t)
	for i := range contest.MaxClasses + 1 {
		d.class(hens(uint32(i + 1)))
	}
	for i := range 2 * contest.MaxProblems {
		d.raw(personSubject(uint32(i+1)), "x")
	}
	c := d.read()
	if len(c.Classes) != contest.MaxClasses {
		t.Errorf("%d classes", len(c.Classes))
	}
	if len(c.Problems) != contest.MaxProblems || c.Problems[0].Code != "contest.large" {
		t.Fatalf("%d problems, first %v", len(c.Problems), c.Problems[0])
	}
	if last := c.Problems[contest.MaxProblems-1].What; !strings.Contains(last, "22 more") {
		t.Errorf("the last says %q", last)
	}
	if _, err := c.Score(); err != nil {
		t.Error(err)
	}
}

// A file of contestants by the ten thousand in hundreds of classes is refused
// before anything is set aside for it.
func TestAbsurdSizesAreRefused(t *testing.T) {
	d := newDay(t)
	for i := range contest.MaxClasses {
		c := broilers(uint32(i+1), contest.MaxItems)
		d.class(c)
	}
	for i := range contest.MaxCards/contest.MaxClasses + 1 {
		d.raw(personSubject(uint32(i+1)), fmt.Sprintf(`{"name":"n","division":"d%d"}`, i))
	}
	c := d.read()
	if n := len(c.Divisions()); n != len(c.Persons) {
		t.Errorf("%d divisions", n)
	}
	if _, err := c.Score(); engine.CodeOf(err) != "contest.large" {
		t.Errorf("got %v", err)
	}
}

// A tie-break may name a class that was taken out, and teams may hold members
// of several divisions: they then have a rank overall and none in a division
// (common practice).
func TestTiesAndTeamsAcrossWhatIsMissing(t *testing.T) {
	d := newDay(t)
	settings := contest.Settings{Name: "n", TeamBest: 2, Ties: []contest.Tie{{Classes: []uint32{77}}, {Classes: []uint32{1, 77}}}, Divisions: []string{"Junior"}}
	value, err := settings.Write()
	d.Write(d.owner, settingsSubject, value, err)
	c := hens(1)
	d.class(c)
	d.key(c, contest.KeyItem{Answer: "1-2-3-4"})
	for i, division := range []string{"Senior", "Junior", ""} {
		value, err := contest.Person{Number: uint32(i + 1), Team: []uint32{4, 4, 99}[i], Division: division}.Write()
		d.Write(d.owner, personSubject(uint32(i+1)), value, err)
		d.card(c, uint32(i+1), 1)
	}
	value, err = contest.Team{No: 4, Name: "T"}.Write()
	d.Write(d.owner, teamSubject(4), value, err)
	s := scored(t, d.read())
	if len(s.Ties) != 1 || len(s.Ties[0].Classes) != 2 {
		t.Errorf("tie-breaks %v", s.Ties)
	}
	if got := strings.Join(s.Divisions, " "); got != "Junior Senior" {
		t.Errorf("divisions %q", got)
	}
	team := s.Result.Teams[0]
	if team.Rank != 1 || team.Division != -1 || team.DivisionRank != 0 || team.Total != points.Of(100) {
		t.Errorf("team %+v", team)
	}
	if s.Result.DivisionRank[2] != 0 || s.Result.Rank[2] != 1 {
		t.Errorf("ranks %v, in the division %v", s.Result.Rank, s.Result.DivisionRank)
	}
}

// Whatever the records of a phone hold, a contest is read and scored without
// panic and in little time, and reading one record after the other comes to the
// same. The bytes are a list of kind, A, B, length and value.
func FuzzReadRecords(f *testing.F) {
	add := func(parts ...any) {
		var b []byte
		for i := 0; i < len(parts); i += 4 {
			b = append(b, byte(parts[i].(record.Kind)), byte(parts[i+1].(int)), byte(parts[i+2].(int)))
			b = binary.BigEndian.AppendUint16(b, uint16(len(parts[i+3].(string))))
			b = append(b, parts[i+3].(string)...)
		}
		f.Add(b)
	}
	for _, v := range hostile {
		add(record.KindContest, 0, 0, v, record.KindClass, 1, 0, v, record.KindPerson, 1, 0, v, record.KindTeam, 1, 0, v, record.KindKey, 1, 1, v, record.KindCard, 1, 1, v, contest.KindSeen, 1, 1, v, record.KindRuling, 1, 1, v, record.KindRuling, 1, 0, v, record.KindBook, 1, 0, v)
	}
	add(record.KindClass, 1, 0, `{"name":"n","kind":"graded","items":1,"book":"carcass-youth","bird":"chicken","weight":"4 lb","double":"lower","table":[{"key":"A","mark":"B","points":"2"}]}`,
		record.KindKey, 1, 1, `{"answer":"A","also":["B"]}`, record.KindPerson, 3, 0, `{"name":"n","division":"d","team":1}`, record.KindTeam, 1, 0, `{"name":"n"}`, record.KindCard, 1, 3, "\x02",
		record.KindContest, 0, 0, `{"name":"n","ties":[{"classes":[1]},{"alternate":true}],"teamBest":1,"divisions":["d"]}`)
	add(record.KindClass, 2, 0, `{"name":"n","kind":"placing","items":4}`, record.KindKey, 2, 0, `{"answer":"2-1-3-4","cuts":[2,5,3]}`, record.KindPerson, 3, 0, `{}`, record.KindCard, 2, 3, "\x18")
	add(record.KindClass, 3, 0, `{"name":"n","kind":"identified","items":1,"list":"parts-youth"}`, record.KindKey, 3, 1, `{"answer":"flat"}`, record.KindPerson, 3, 0, `{}`, record.KindCard, 3, 3, "\x0a")
	add(record.KindClass, 4, 0, `{"name":"n","kind":"checked","items":1,"names":["a","b"],"whole":true}`, record.KindKey, 4, 1, `{"answer":"a+b","also":["none"]}`, record.KindPerson, 3, 0, `{}`, record.KindCard, 4, 3, "\x02\x01")
	add(record.KindClass, 5, 0, `{"name":"n","kind":"awarded","officials":2,"criteria":[{"name":"a","most":"20"}],"step":"0.5","round":"half"}`, record.KindPerson, 3, 0, `{}`, record.KindCard, 5, 3, "\x29\x00")

	f.Fuzz(func(t *testing.T, data []byte) {
		log := record.Log{Phone: record.PhoneID{1}}
		appended := contest.Read(id, merge.Fold(record.Set{Contest: id}))
		for len(data) >= 5 && len(log.Records) < 200 {
			n := min(int(binary.BigEndian.Uint16(data[3:])), len(data)-5)
			r := record.Record{
				Phone: log.Phone, Seq: uint32(len(log.Records)) + 1,
				Subject: record.Subject{Kind: record.Kind(data[0]), A: uint32(data[1]), B: uint32(data[2])}, Value: string(data[5 : 5+n]),
			}
			data = data[5+n:]
			log.Records = append(log.Records, r)
			if err := appended.Append(r); err != nil {
				t.Fatal(err)
			}
		}
		c := contest.Read(id, merge.Fold(record.Set{Contest: id, Logs: []record.Log{log}}))
		if got, want := view(appended), view(c); got != want {
			t.Fatalf("appended:\n%s\nread:\n%s", got, want)
		}
		for _, class := range c.Classes {
			class.Write()
			for item := range class.Slots() {
				c.Seen(class.No, uint32(item+1))
				class.MarkText(byte(item))
			}
			for _, p := range c.Persons {
				contest.CardTexts(class, c.Card(class, p.Number).Marks)
			}
			for _, k := range c.Key(class).Items {
				contest.AnswerText(class, k)
			}
			contest.ParseKey(class, "1. A\n2. none")
		}
		for _, p := range c.Persons {
			if _, err := p.Write(); err != nil {
				t.Fatalf("contestant %d was read and cannot be written: %v", p.Number, err)
			}
		}
		if _, err := c.Score(); err != nil {
			t.Fatal(err)
		}
	})
}
