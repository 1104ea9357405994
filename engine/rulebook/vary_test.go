package rulebook_test

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/rulebook"
)

func smallBook(t testing.TB) *rulebook.Book {
	t.Helper()
	b, err := rulebook.Decode([]byte(small(t)))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// decided is a change of one line of a book.
func decided(b *rulebook.Book, limit int, most string) rulebook.Change {
	return rulebook.Change{Line: b.Limits[limit].Line(), Most: most, Inclusive: true, Why: "our birds are larger", Who: "A. Birch"}
}

func TestVary(t *testing.T) {
	base := smallBook(t)
	was := base.Encode()
	changes := []rulebook.Change{decided(base, 2, "2 in"), decided(base, 6, "3")}
	changes[1].Kinds = []string{"duck"}
	b, err := rulebook.Vary(base, 7, append(changes, decided(base, 7, "3")))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(base.Encode(), was) {
		t.Error("the base was changed")
	}
	if b.ID != "small+7" || b.Base != "small" || b.Title != "A small book +7" || b.Edition != base.Edition {
		t.Errorf("id %q, base %q, title %q, edition %q", b.ID, b.Base, b.Title, b.Edition)
	}
	if l := b.Limits[2]; l.Most != "2 in" || !l.Inclusive || l.Confidence != rulebook.LocalRule || l.Note != "our birds are larger (A. Birch)" {
		t.Errorf("line %+v", l)
	}
	if again, err := rulebook.Decode(b.Encode()); err != nil || !reflect.DeepEqual(again, b) {
		t.Errorf("it does not read back: %v", err)
	}
	var lines []string
	for _, d := range rulebook.Compare(base, b) {
		lines = append(lines, d.Of+" "+d.ID+" "+d.LineA.Grade+" "+strings.Join(d.Differs, " "))
	}
	if got, want := strings.Join(lines, "; "), "line tear-length B most source; line bones A most source; line bones B most source"; got != want {
		t.Errorf("differences %s, want %s", got, want)
	}
	if other, err := rulebook.Vary(base, 8, append(changes, decided(base, 7, "3"))); err != nil || other.Hash() == b.Hash() {
		t.Errorf("another variation has the same hash, %v", err)
	}
}

// A choice that was only about the amounts of changed lines goes with them; one
// that other lines depend on stays.
func TestVaryDecidesChoices(t *testing.T) {
	text := strings.NewReplacer(
		`, "when": {"leg": "together"}`, ``,
		`"otherwise": [{"when": {"leg": "separate"}, "part": "thigh", "fills": "all"}]`, `"otherwise": [{"when": {"answers": "three"}, "part": "thigh", "fills": "all"}]`,
		`{"about": "tear", "text"`, `{"about": "leg", "text"`,
	).Replace(small(t))
	base, err := rulebook.Decode([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	one := decided(base, 3, "1/2")
	two := rulebook.Change{Line: base.Limits[9].Line(), Least: "71 HU", Inclusive: true, Why: "w", Who: "o"}
	b, err := rulebook.Vary(base, 1, []rulebook.Change{one})
	if err != nil || len(b.Choices) != 2 {
		t.Fatalf("%v", err)
	}
	b, err = rulebook.Vary(base, 1, []rulebook.Change{one, two})
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Choices) != 1 || b.Choices[0].ID != "answers" || len(b.Notes) != 1 || b.Limits[3].InclusiveWhen != nil {
		t.Errorf("choices %+v, notes %+v", b.Choices, b.Notes)
	}
	if len(base.Choices) != 2 || len(base.Notes) != 2 {
		t.Error("the base was changed")
	}
	if d := rulebook.Compare(base, b)[0]; d.Of != rulebook.OfChoice || d.ID != "leg" || d.A != "leg" || d.B != "" {
		t.Errorf("difference %+v", d)
	}
}

func TestVaryFaults(t *testing.T) {
	base := smallBook(t)
	varied, err := rulebook.Vary(base, 1, []rulebook.Change{decided(base, 2, "2 in")})
	if err != nil {
		t.Fatal(err)
	}
	with := func(limit int, most string, change func(*rulebook.Change)) []rulebook.Change {
		c := decided(base, limit, most)
		change(&c)
		return []rulebook.Change{c}
	}
	for _, tc := range []struct {
		name    string
		base    *rulebook.Book
		n       int
		changes []rulebook.Change
		code    engine.Code
		where   string
	}{
		{"nothing", base, 1, nil, rulebook.CodeSize, "changes"},
		{"too much", base, 1, make([]rulebook.Change, rulebook.MaxChanges+1), rulebook.CodeSize, "changes"},
		{"number 0", base, 0, []rulebook.Change{decided(base, 2, "2 in")}, rulebook.CodeID, "id"},
		{"a variation", varied, 1, []rulebook.Change{decided(base, 2, "2 in")}, rulebook.CodeID, "id"},
		{"no such factor", base, 1, with(2, "2 in", func(c *rulebook.Change) { c.Factor = "dots" }), rulebook.CodeReference, "change 1"},
		{"another span", base, 1, with(2, "2 in", func(c *rulebook.Change) { c.Over = amount.Pound }), rulebook.CodeReference, "change 1"},
		{"another kind", base, 1, with(6, "2", func(c *rulebook.Change) { c.Kinds = []string{"duck", "hen"} }), rulebook.CodeReference, "change 1"},
		{"another condition", base, 1, with(8, "2 in", func(c *rulebook.Change) { c.When = nil }), rulebook.CodeReference, "change 1"},
		{"twice", base, 1, []rulebook.Change{decided(base, 2, "2 in"), decided(base, 2, "3 in")}, rulebook.CodeTwice, "change 2"},
		{"no reason", base, 1, with(2, "2 in", func(c *rulebook.Change) { c.Why = " " }), rulebook.CodeMissing, "change 1, why"},
		{"nobody", base, 1, with(2, "2 in", func(c *rulebook.Change) { c.Who = "" }), rulebook.CodeMissing, "change 1, who"},
		{"a bell", base, 1, with(2, "2 in", func(c *rulebook.Change) { c.Why = "a\a" }), rulebook.CodeText, "change 1, why"},
		{"a long reason", base, 1, with(2, "2 in", func(c *rulebook.Change) { c.Why = strings.Repeat("a", 1201) }), rulebook.CodeSize, "change 1, why"},
		{"long together", base, 1, with(2, "2 in", func(c *rulebook.Change) { c.Why = strings.Repeat("a", 1200) }), rulebook.CodeSize, "change 1, note"},
		{"no amount", base, 1, with(2, "2 miles", func(*rulebook.Change) {}), rulebook.CodeAmount, "change 1, most"},
		{"an amount of another kind", base, 1, with(2, "1/3", func(*rulebook.Change) {}), rulebook.CodeAmount, "change 1, most"},
		{"none at all", base, 1, with(2, "", func(*rulebook.Change) {}), rulebook.CodeDirection, "change 1, most"},
		{"the least of what has a most", base, 1, with(2, "", func(c *rulebook.Change) { c.Least = "2 in" }), rulebook.CodeDirection, "change 1"},
		{"less than the better grade", base, 1, with(2, "1/8 in", func(*rulebook.Change) {}), rulebook.CodeMonotone, "change 1, most"},
		{"a count that is not allowed", base, 1, with(7, "3", func(c *rulebook.Change) { c.Inclusive = false }), rulebook.CodeInclusive, "change 1, inclusive"},
	} {
		b, err := rulebook.Vary(tc.base, tc.n, tc.changes)
		if e := faultAt(err, tc.where); b != nil || e == nil || e.Code != tc.code || e.Fix == "" {
			t.Errorf("%s: got %v, want code %s at %q", tc.name, err, tc.code, tc.where)
		}
		if tc.name == "a bell" && len(err.(engine.Faults)) != 1 {
			t.Errorf("a reason is told more than once: %v", err)
		}
	}
	// All at once, each under the name of its change.
	_, err = rulebook.Vary(base, 1, []rulebook.Change{decided(base, 0, "far"), decided(base, 9, "1"), {Line: rulebook.Line{Factor: "dots"}}})
	for _, where := range []string{"change 1, most", "change 2, most", "change 3"} {
		if faultAt(err, where) == nil {
			t.Errorf("no fault at %s in\n%v", where, err)
		}
	}
}

// Whatever is changed, what comes of it is a whole book or a fault, and the lines
// that are not named stay as they are.
func TestVaryIsWhole(t *testing.T) {
	books := rulebook.Builtin()
	good := 0
	rapid.Check(t, func(t *rapid.T) {
		base := rapid.SampledFrom(books).Draw(t, "book")
		var changes []rulebook.Change
		named := map[int]bool{}
		for range rapid.IntRange(1, 3).Draw(t, "changes") {
			i := rapid.IntRange(0, len(base.Limits)-1).Draw(t, "limit")
			c := rulebook.Change{Line: base.Limits[i].Line(), Inclusive: rapid.Bool().Draw(t, "inclusive"), Why: "w", Who: "o"}
			bound := rapid.SampledFrom([]string{base.Limits[i].Bound(), "0", "1", "2", "1/4 in", "3 in", "10%", "1/2", "all", "50 HU", "x"}).Draw(t, "amount")
			if base.Limits[i].Least != "" {
				c.Least = bound
			} else {
				c.Most = bound
			}
			named[i] = true
			changes = append(changes, c)
		}
		b, err := rulebook.Vary(base, 3, changes)
		if err != nil {
			if engine.CodeOf(err) == "" {
				t.Fatalf("an error without a code: %v", err)
			}
			return
		}
		good++
		if again, err := rulebook.Decode(b.Encode()); err != nil || !reflect.DeepEqual(again, b) {
			t.Fatalf("it does not read back: %v", err)
		}
		for i, l := range base.Limits {
			if !named[i] && !reflect.DeepEqual(b.Limits[i], l) {
				t.Fatalf("line %d is another: %+v", i, b.Limits[i])
			}
		}
		for _, d := range rulebook.Compare(base, b) {
			if d.Of == rulebook.OfLine && (d.LineA == nil || d.LineB == nil || !named[base.Find(d.LineA.Line())]) {
				t.Fatalf("difference %+v", d)
			}
		}
	})
	if good < 5 && !testing.Short() { // a short run makes too few
		t.Errorf("only %d of the variations were good", good)
	}
}

func TestVariedIDs(t *testing.T) {
	for id, good := range map[string]bool{
		"larger+1": true, "larger+999999": true, "larger+0": false, "larger+01": false, "larger+": false, "larger+-1": false,
		"larger+1000000": false, "other+1": false, "larger+1+2": false, "+1": false,
	} {
		_, err := rulebook.Decode([]byte(strings.Replace(small(t), `"id": "small"`, `"id": "`+id+`"`, 1)))
		if (err == nil) != good {
			t.Errorf("%s: %v", id, err)
		}
	}
}

func TestCompare(t *testing.T) {
	a := smallBook(t)
	if d := rulebook.Compare(a, a); d != nil {
		t.Errorf("a book differs from itself: %+v", d)
	}
	for _, tc := range []struct {
		name     string
		old, new string // in the small book
		want     string
	}{
		{"written in another way", `"most": "1 in"`, `"most": "25.4 mm"`, ""},
		{"only words", `"name": "spots"`, `"name": "dots"`, ""},
		{"most", `"most": "1 in"`, `"most": "3/4 in"`, "line tear-length: most"},
		{"least", `"least": "60 HU"`, `"least": "61 HU"`, "line haugh: least"},
		{"inclusive", `"most": "1 in", "inclusive": true`, `"most": "1 in", "inclusive": false`, "line tear-length: inclusive"},
		{"inclusive when", `"inclusive_when": {"leg": "together"}, "source": "table", "confidence": "common`, `"inclusive_when": {"leg": "separate"}, "source": "table", "confidence": "common`, "line tear-share: inclusive"},
		{"confidence", `"most": "1 in", "inclusive": true, "source": "table", "confidence": "read"`, `"most": "1 in", "inclusive": true, "source": "table", "confidence": "from memory"`, "line tear-length: source"},
		{"a line less", `{"factor": "stained", "grade": "B", "most": "1/16", "inclusive": true, "source": "table", "confidence": "read"}`, `{"factor": "stained", "grade": "C", "most": "1/16", "inclusive": true, "source": "table", "confidence": "read"}`, "line stained: only a; line stained: only b"},
		{"a factor", `{"id": "spots", "name": "spots", "op": "longest"`, `{"id": "spots", "name": "spots", "op": "total"`, "factor spots: measure"},
		{"a default", `"default": "four"`, `"default": "three"`, "choice answers: default"},
		{"a grade", `{"id": "C", "name": "C quality"}`, `{"id": "C", "name": "C quality"}, {"id": "D", "name": "D quality"}`, "grade D: only b"},
		{"a defect", `{"id": "stain", "name": "stain"`, `{"id": "dirt", "name": "dirt"}, {"id": "stain", "name": "stain"`, "defect dirt: only b"},
	} {
		text := small(t)
		if !strings.Contains(text, tc.old) {
			t.Errorf("%s: the small book does not hold %s", tc.name, tc.old)
			continue
		}
		b, err := rulebook.Decode([]byte(strings.Replace(text, tc.old, tc.new, 1)))
		if err != nil {
			t.Errorf("%s: %v", tc.name, err)
			continue
		}
		if got := told(rulebook.Compare(a, b)); got != tc.want {
			t.Errorf("%s: got %q, want %q", tc.name, got, tc.want)
		}
		back := strings.NewReplacer("only a", "only b", "only b", "only a").Replace(tc.want)
		if parts := strings.Split(back, "; "); len(parts) == 2 {
			back = parts[1] + "; " + parts[0]
		}
		if got := told(rulebook.Compare(b, a)); got != back {
			t.Errorf("%s, the other way round: got %q, want %q", tc.name, got, back)
		}
	}
}

func told(differences []rulebook.Difference) string {
	var out []string
	for _, d := range differences {
		what := strings.Join(d.Differs, " ")
		switch {
		case d.B == "":
			what = "only a"
		case d.A == "":
			what = "only b"
		}
		out = append(out, d.Of+" "+d.ID+": "+what)
	}
	return strings.Join(out, "; ")
}

// The two books of carcasses are compared in the same order each time, and every
// line of either is found again.
func TestCompareBuiltin(t *testing.T) {
	a, _ := rulebook.ByID("carcass-federal")
	b, _ := rulebook.ByID("carcass-youth")
	first := rulebook.Compare(a, b)
	if len(first) == 0 || !reflect.DeepEqual(first, rulebook.Compare(a, b)) {
		t.Fatalf("%d differences", len(first))
	}
	only := 0
	for _, d := range first {
		if d.Of == rulebook.OfLine && d.LineB == nil {
			only++
			if b.Find(d.LineA.Line()) >= 0 {
				t.Errorf("the line is in both: %+v", d.LineA)
			}
		}
	}
	for _, l := range a.Limits {
		if b.Find(l.Line()) < 0 {
			only--
		}
	}
	if only != 0 {
		t.Errorf("%d lines too many or too few", only)
	}
}
