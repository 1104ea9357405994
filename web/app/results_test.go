package app_test

import (
	"strings"
	"testing"

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
