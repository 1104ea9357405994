package grading_test

import (
	"encoding/json"
	"reflect"
	"testing"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/egg"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
)

// eggBook has the limits of the standard for the white and for stains: 72 and
// 60 Haugh units (1 NYCRR 190.9), 1/32 of the shell (Washington 16-104-130).
const eggBook = `{"format": 1, "id": "eggs", "edition": "1", "title": "eggs", "drawing": "opened",
"scale": [{"id": "AA", "name": "AA"}, {"id": "A", "name": "A"}, {"id": "B", "name": "B"}, {"id": "X", "name": "X"}],
"defects": [{"id": "white", "name": "white", "measures": ["length", "weight"]}, {"id": "stain", "name": "stain", "measures": ["length", "share", "count"]}],
"factors": [{"id": "full", "name": "Haugh units", "op": "haugh", "per": "item", "defects": ["white"], "form": "full", "when": {"form": "full"}},
{"id": "short", "name": "Haugh units", "op": "haugh", "per": "item", "defects": ["white"], "form": "7.6", "when": {"form": "short"}},
{"id": "stained", "name": "stained shell", "op": "covered", "per": "item", "defects": ["stain"]}],
"limits": [{"factor": "full", "grade": "AA", "least": "72 HU", "inclusive": false, "inclusive_when": {"at": "reached"}, "source": "s", "confidence": "read"},
{"factor": "full", "grade": "A", "least": "60 HU", "inclusive": true, "source": "s", "confidence": "read"},
{"factor": "short", "grade": "AA", "least": "72 HU", "inclusive": true, "source": "s", "confidence": "read"},
{"factor": "short", "grade": "A", "least": "60 HU", "inclusive": true, "source": "s", "confidence": "read"},
{"factor": "stained", "grade": "A", "most": "0", "inclusive": true, "source": "s", "confidence": "read"},
{"factor": "stained", "grade": "B", "most": "1/32", "inclusive": true, "source": "s", "confidence": "read"}],
"choices": [{"id": "form", "title": "form", "why": "w", "default": "full", "options": [{"id": "full", "title": "full", "source": "s", "confidence": "read"}, {"id": "short", "title": "short", "source": "s", "confidence": "read"}]},
{"id": "at", "title": "at", "why": "w", "default": "reached", "options": [{"id": "reached", "title": "reached", "source": "s", "confidence": "read"}, {"id": "above", "title": "above", "source": "s", "confidence": "read"}]}],
"sources": [{"id": "s", "title": "s"}]}`

func eggs(t testing.TB) *rulebook.Book {
	t.Helper()
	b, err := rulebook.Decode([]byte(eggBook))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func white(height, weight string) grading.Finding {
	f := grading.Finding{Defect: "white", Length: length(height)}
	if weight != "" {
		w, err := amount.ParseWeight(weight)
		if err != nil {
			panic(err)
		}
		f.Weight = &w
	}
	return f
}

func haugh(text string) amount.Amount {
	a, err := amount.Parse(text, amount.DimHaugh)
	if err != nil {
		panic(err)
	}
	return a
}

// A white of 3.4 mm on 46 g has 59.72 units by the full form and 60.11 by the
// short one with 7.6.
func TestHaughGradeAndDistance(t *testing.T) {
	v := grade(t, eggs(t), grading.Setting{}, white("3.4 mm", "46 g"))
	if v.Grade != "B" || len(v.Set) != 1 || v.Set[0].Amount != haugh("59.72 HU") || v.Set[0].Limit.Least != "60 HU" || v.Set[0].Factor != "full" {
		t.Fatalf("%s set by %+v", v.Grade, v.Set)
	}
	if len(v.Near) != 1 || !v.Near[0].Better || v.Near[0].Grade != "A" || v.Near[0].By != haugh("0.28 HU") {
		t.Errorf("near %+v", v.Near)
	}
	if len(v.Differ) != 1 || v.Differ[0].Choice != "form" || v.Differ[0].Option != "short" || v.Differ[0].Grade != "A" {
		t.Errorf("differ %+v", v.Differ)
	}
	v = grade(t, eggs(t), grading.Setting{}, white("4.6 mm", "46 g")) // 71.23 units
	var by []string
	for _, d := range v.Near {
		side := "worse "
		if d.Better {
			side = "better "
		}
		by = append(by, side+d.Grade+" "+d.By.String()+" "+d.Limit.Least)
	}
	if want := []string{"better AA 0.77 HU 72 HU", "worse B 11.23 HU 60 HU"}; v.Grade != "A" || !reflect.DeepEqual(by, want) {
		t.Errorf("%s, near %q, want %q", v.Grade, by, want)
	}
}

// An egg of the best grade has a distance on one side only.
func TestHaughDistanceOfTheBest(t *testing.T) {
	v := grade(t, eggs(t), grading.Setting{}, white("6.3 mm", "52 g")) // 81.49 units
	if v.Grade != "AA" || len(v.Near) != 1 || v.Near[0].Better || v.Near[0].Grade != "A" || v.Near[0].By != haugh("9.49 HU") {
		t.Errorf("%s, near %+v", v.Grade, v.Near)
	}
}

// A height can be found that gives just 72 units: it is told to touch the limit,
// and that the sources differ there.
func TestHaughExactlyAtTheLimit(t *testing.T) {
	weight := 50 * amount.Gram
	height, ok := egg.LeastHeight(7200, weight, rulebook.FormFull)
	for value, _ := egg.Haugh(height, weight, rulebook.FormFull); value != 7200; value, _ = egg.Haugh(height, weight, rulebook.FormFull) {
		height -= amount.Micrometre // finer than the step in which heights are asked for
	}
	v := grade(t, eggs(t), grading.Setting{}, grading.Finding{Defect: "white", Length: &height, Weight: &weight})
	if !ok || v.Grade != "AA" || len(v.Touched) != 1 || v.Touched[0].Amount != haugh("72 HU") {
		t.Fatalf("%s, touched %+v", v.Grade, v.Touched)
	}
	if len(v.Differ) != 1 || v.Differ[0].Choice != "at" || v.Differ[0].Grade != "A" || len(v.Near) != 1 || !v.Near[0].By.IsZero() {
		t.Errorf("differ %+v, near %+v", v.Differ, v.Near)
	}
}

// Of several heights the lowest decides, in whatever order they stand.
func TestLowestHaughDecides(t *testing.T) {
	high, low := white("6.3 mm", "52 g"), white("3.4 mm", "46 g")
	one, other := grade(t, eggs(t), grading.Setting{}, high, low), grade(t, eggs(t), grading.Setting{}, low, high)
	if one.Grade != "B" || other.Grade != "B" || one.Set[0].Amount != other.Set[0].Amount || !reflect.DeepEqual(one.Set[0].Findings, []int{0, 1}) {
		t.Errorf("%+v\n%+v", one, other)
	}
	low.Sure = grading.Doubtful
	if v := grade(t, eggs(t), grading.Setting{}, high, low); v.Certain != "AA" {
		t.Errorf("certain %q", v.Certain)
	}
}

func TestHaughGaps(t *testing.T) {
	book := eggs(t)
	v := grade(t, book, grading.Setting{}, grading.Finding{Defect: "white"})
	if want := []grading.Gap{{Finding: 0, Needs: "length", Factor: "full", Assumed: "taken as at least 72 HU, the limit for AA"}}; v.Grade != "AA" || !reflect.DeepEqual(v.Unmeasured, want) {
		t.Errorf("no height: %s, %+v", v.Grade, v.Unmeasured)
	}
	v = grade(t, book, grading.Setting{Choices: map[string]string{"at": "above"}}, white("5 mm", ""))
	if want := []grading.Gap{{Finding: 0, Needs: "weight", Factor: "full", Assumed: "taken as more than 72 HU, the limit for AA"}}; v.Grade != "AA" || !reflect.DeepEqual(v.Unmeasured, want) {
		t.Errorf("no weight: %s, %+v", v.Grade, v.Unmeasured)
	}
	// The weight of the setting stands in.
	v = grade(t, book, grading.Setting{Weight: 46 * amount.Gram}, white("3.4 mm", ""))
	if v.Grade != "B" || len(v.Unmeasured) != 0 {
		t.Errorf("weight of the setting: %s, %+v", v.Grade, v.Unmeasured)
	}
}

// A white too low for the formula is below every limit and told to have no value.
func TestNotMeasurable(t *testing.T) {
	v := grade(t, eggs(t), grading.Setting{}, white("0.1 mm", "70 g"))
	if v.Grade != "B" || len(v.Set) != 1 || v.Set[0].Amount.String() != "not measurable" || len(v.Near) != 0 {
		t.Fatalf("%s set by %+v, near %+v", v.Grade, v.Set, v.Near)
	}
	data, err := json.Marshal(v)
	var back grading.Verdict
	if err != nil || json.Unmarshal(data, &back) != nil || !reflect.DeepEqual(back, v) {
		t.Errorf("%s is read as %+v (%v)", data, back, err)
	}
	if len(v.Unmeasured) != 1 || !v.Unmeasured[0].NoValue || v.Unmeasured[0].Needs != "length" {
		t.Errorf("unmeasured %+v", v.Unmeasured)
	}
}

// On a Large egg a spot of 16.62 mm along the shell is 1/32 of it.
func TestCoveredShell(t *testing.T) {
	book := eggs(t)
	for _, tc := range []struct {
		name     string
		weight   amount.Weight
		findings []grading.Finding
		want     string
		share    string
	}{
		{"clean", 0, nil, "AA", ""},
		{"within 1/32", 0, []grading.Finding{{Defect: "stain", Length: length("16.6 mm")}}, "B", "about 3.1 %"},
		{"beyond", 0, []grading.Finding{{Defect: "stain", Length: length("16.7 mm")}}, "X", "about 3.2 %"},
		{"the same on a Jumbo", 70 * amount.Gram, []grading.Finding{{Defect: "stain", Length: length("16.7 mm")}}, "B", "about 2.7 %"},
		{"just 1/32", 0, []grading.Finding{{Defect: "stain", Share: share(1, 32)}}, "B", "about 3.1 %"},
		{"share before width", 0, []grading.Finding{{Defect: "stain", Length: length("1 mm"), Share: share(1, 2)}}, "X", "1/2"},
		{"two together", 0, []grading.Finding{{Defect: "stain", Length: length("12 mm")}, {Defect: "stain", Share: share(1, 50)}}, "X", "about 3.6 %"},
		{"three alike", 0, []grading.Finding{{Defect: "stain", Length: length("5 mm"), Count: 3}}, "B", "about 0.9 %"},
		{"around", 0, []grading.Finding{{Defect: "stain", Length: length("80 mm"), Count: 9}}, "X", "all"},
		{"one millimetre", 0, []grading.Finding{{Defect: "stain", Length: length("1 mm")}}, "B", "about 0 %"},
	} {
		v := grade(t, book, grading.Setting{Weight: tc.weight}, tc.findings...)
		got := ""
		if len(v.Set) > 0 {
			got = v.Set[0].Amount.String()
		}
		if v.Grade != tc.want || got != tc.share {
			t.Errorf("%s: %s by %q, want %s by %q", tc.name, v.Grade, got, tc.want, tc.share)
		}
	}
	v := grade(t, book, grading.Setting{}, grading.Finding{Defect: "stain"})
	if len(v.Unmeasured) != 1 || v.Unmeasured[0].Needs != "share" {
		t.Errorf("%+v", v.Unmeasured)
	}
	v = grade(t, book, grading.Setting{}, grading.Finding{Defect: "stain", Share: share(1, 32)})
	if len(v.Touched) != 1 || v.Touched[0].Amount != amount.OfShare(*share(1, 32)) {
		t.Errorf("touched %+v", v.Touched)
	}
}

func TestWeightIsChecked(t *testing.T) {
	heavy := amount.MaxWeight + 1
	for _, f := range []grading.Finding{
		{Defect: "stain", Weight: new(amount.Gram)},
		{Defect: "white", Weight: new(amount.Weight(0))},
		{Defect: "white", Weight: &heavy},
	} {
		_, err := grading.Grade(eggs(t), grading.Setting{}, []grading.Finding{f})
		faults, _ := err.(engine.Faults)
		if len(faults) != 1 || faults[0].Code != grading.CodeMeasure || faults[0].Where != "findings[0].weight" {
			t.Errorf("%+v: %v", f, err)
		}
	}
}
