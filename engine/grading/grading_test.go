package grading_test

import (
	"encoding/json"
	"reflect"
	"testing"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
)

func youth(t testing.TB) *rulebook.Book {
	t.Helper()
	b, ok := rulebook.ByID("carcass-youth")
	if !ok {
		t.Fatal("there is no youth book")
	}
	return b
}

var broiler = grading.Setting{Kind: "chicken", Weight: 4 * amount.Pound}

func length(text string) *amount.Length {
	l, err := amount.ParseLength(text)
	if err != nil {
		panic(err)
	}
	return &l
}

func share(num, den int64) *amount.Share { return &amount.Share{Num: num, Den: den} }

func grade(t testing.TB, b *rulebook.Book, s grading.Setting, findings ...grading.Finding) grading.Verdict {
	t.Helper()
	v, err := grading.Grade(b, s, findings)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// The limits are those of the youth book's lines: 1/4 in on the breast for A,
// a third of a part for B.
func TestDistancesOnBothSides(t *testing.T) {
	v := grade(t, youth(t), broiler, grading.Finding{Defect: "tear", Site: "breast", Length: length("3/8 in"), Share: share(1, 4)})
	if v.Grade != "B" || len(v.Near) != 2 {
		t.Fatalf("grade %s, near %+v", v.Grade, v.Near)
	}
	better, worse := v.Near[0], v.Near[1]
	if !better.Better || better.Grade != "A" || better.By != amount.OfLength(*length("1/8 in")) || better.Factor != "spot-breast-legs" {
		t.Errorf("to be better: %+v", better)
	}
	twelfth := amount.OfShare(*share(1, 12)) // 1/3 - 1/4
	if worse.Better || worse.Grade != "C" || worse.By != twelfth || worse.Factor != "bare-share" || worse.Part != "breast" {
		t.Errorf("to be worse: %+v", worse)
	}
}

func TestDistanceInCounts(t *testing.T) {
	v := grade(t, youth(t), broiler, grading.Finding{Defect: "disjoint", Site: "hip-left"})
	if v.Grade != "A" || len(v.Near) != 2 {
		t.Fatalf("grade %s, near %+v", v.Grade, v.Near)
	}
	if d := v.Near[0]; d.Better || d.Grade != "B" || d.By != amount.Count(1) {
		t.Errorf("one joint more: %+v", d)
	}
}

// Crossing one limit can pass over a grade: one whole wing is C at once.
func TestDistanceSkipsAGrade(t *testing.T) {
	v := grade(t, youth(t), broiler, grading.Finding{Defect: "tail-cut", Site: "tail", Share: share(1, 4)})
	for _, d := range v.Near {
		if d.Factor == "tail-way" && (d.Better || d.Grade != "C" || d.By != amount.OfShare(*share(1, 4))) {
			t.Errorf("to half way: %+v", d)
		}
	}
	if len(v.Near) != 2 {
		t.Errorf("near %+v", v.Near)
	}
}

func TestReasonNamesLimitAndFindings(t *testing.T) {
	v := grade(t, youth(t), broiler,
		grading.Finding{Defect: "feather", Site: "back"},
		grading.Finding{Defect: "bare-flesh", Site: "thigh-left", Length: length("3 in"), Share: share(1, 2)},
		grading.Finding{Defect: "bare-flesh", Site: "drumstick-left", Length: length("2 in"), Share: share(1, 4)},
	)
	if v.Grade != "C" || len(v.Set) != 1 {
		t.Fatalf("grade %s set by %+v", v.Grade, v.Set)
	}
	// Half of the thigh and a quarter of the drumstick are 3/8 of the leg.
	got := v.Set[0]
	if got.Factor != "bare-share" || got.Part != "leg-left" || got.PartName != "left leg" || got.Amount != amount.OfShare(*share(3, 8)) {
		t.Errorf("got %+v", got)
	}
	if !reflect.DeepEqual(got.Findings, []int{1, 2}) || got.Limit.Most != "1/3" || !got.Limit.Inclusive || got.Limit.Source == "" {
		t.Errorf("got %+v", got)
	}
}

func TestDifferenceSaysWhy(t *testing.T) {
	v := grade(t, youth(t), broiler, grading.Finding{Defect: "meat-torn", Site: "breast", Length: length("1 in"), Share: share(1, 10), Depth: length("2.5 mm")})
	var coin *grading.Difference
	for i := range v.Differ {
		if v.Differ[i].Choice == "depth" {
			coin = &v.Differ[i]
		}
	}
	if v.Grade != "B" || coin == nil || coin.Option != "coin" || coin.Grade != "C" {
		t.Fatalf("grade %s, differ %+v", v.Grade, v.Differ)
	}
	if len(coin.Set) != 1 || coin.Set[0].Limit.Most != "1.95 mm" {
		t.Errorf("set by %+v", coin.Set)
	}
}

func TestGapSaysWhatWasAssumed(t *testing.T) {
	v := grade(t, youth(t), broiler, grading.Finding{Defect: "bare-flesh", Site: "back", Length: length("2 in")})
	want := []grading.Gap{{Finding: 0, Needs: "share", Factor: "bare-share", Assumed: "taken as no more than 1/3, the limit for B"}}
	if v.Grade != "B" || !reflect.DeepEqual(v.Unmeasured, want) {
		t.Errorf("grade %s, unmeasured %+v", v.Grade, v.Unmeasured)
	}
}

// A bird that is C already cannot be made worse by a share of its back.
func TestNoGapThatDecidesNothing(t *testing.T) {
	v := grade(t, youth(t), broiler,
		grading.Finding{Defect: "bare-flesh", Site: "back", Length: length("2 in")},
		grading.Finding{Defect: "wing-off", Site: "wing-left"})
	if v.Grade != "C" || len(v.Unmeasured) != 0 {
		t.Errorf("grade %s, unmeasured %+v", v.Grade, v.Unmeasured)
	}
}

func TestShareOfFinding(t *testing.T) {
	for _, tc := range []struct {
		name string
		f    grading.Finding
		want amount.Share
		ok   bool
	}{
		{"an estimate", grading.Finding{Share: share(1, 4)}, *share(1, 4), true},
		{"an estimate beside lengths", grading.Finding{Share: share(1, 4), Length: length("1 in"), PartLength: length("2 in")}, *share(1, 4), true},
		{"two lengths", grading.Finding{Length: length("2 in"), PartLength: length("6 in")}, *share(1, 3), true},
		{"one length", grading.Finding{Length: length("2 in")}, amount.Share{}, false},
		{"no part", grading.Finding{Length: length("2 in"), PartLength: length("0 in")}, amount.Share{}, false},
		{"nothing", grading.Finding{}, amount.Share{}, false},
	} {
		if got, ok := grading.Share(tc.f); got != tc.want || ok != tc.ok {
			t.Errorf("%s: got %v, %v", tc.name, got, ok)
		}
	}
}

func TestSettingIsChecked(t *testing.T) {
	for _, tc := range []struct {
		name string
		s    grading.Setting
		code engine.Code
	}{
		{"no kind", grading.Setting{Weight: 4 * amount.Pound}, grading.CodeKind},
		{"unknown kind", grading.Setting{Kind: "swan", Weight: 4 * amount.Pound}, grading.CodeKind},
		{"no weight", grading.Setting{Kind: "chicken"}, grading.CodeWeight},
		{"negative weight", grading.Setting{Kind: "chicken", Weight: -1}, grading.CodeWeight},
		{"2 lb is not over 2 lb", grading.Setting{Kind: "chicken", Weight: 2 * amount.Pound}, grading.CodeWeight},
		{"over 16 lb", grading.Setting{Kind: "chicken", Weight: 16*amount.Pound + 1}, grading.CodeWeight},
		{"a light turkey", grading.Setting{Kind: "turkey", Weight: 6 * amount.Pound}, grading.CodeWeight},
		{"unknown choice", grading.Setting{Kind: "chicken", Weight: 4 * amount.Pound, Choices: map[string]string{"moon": "full"}}, grading.CodeChoice},
		{"unknown option", grading.Setting{Kind: "chicken", Weight: 4 * amount.Pound, Choices: map[string]string{"depth": "thumb"}}, grading.CodeChoice},
	} {
		if _, err := grading.Grade(youth(t), tc.s, nil); engine.CodeOf(err) != tc.code {
			t.Errorf("%s: got %v, want code %s", tc.name, err, tc.code)
		}
	}
}

func TestFindingsAreChecked(t *testing.T) {
	tooLong := amount.MaxLength + 1
	for _, tc := range []struct {
		name  string
		f     grading.Finding
		code  engine.Code
		where string
	}{
		{"unknown defect", grading.Finding{Defect: "hole", Site: "breast"}, grading.CodeDefect, "findings[1].defect"},
		{"no site", grading.Finding{Defect: "cut"}, grading.CodeSite, "findings[1].site"},
		{"unknown site", grading.Finding{Defect: "cut", Site: "comb"}, grading.CodeSite, "findings[1].site"},
		{"site of another defect", grading.Finding{Defect: "cut", Site: "tail"}, grading.CodeSite, "findings[1].site"},
		{"negative count", grading.Finding{Defect: "cut", Site: "breast", Count: -1}, grading.CodeMeasure, "findings[1].count"},
		{"negative length", grading.Finding{Defect: "cut", Site: "breast", Length: new(amount.Length(-1))}, grading.CodeMeasure, "findings[1].length"},
		{"endless length", grading.Finding{Defect: "cut", Site: "breast", Length: &tooLong}, grading.CodeMeasure, "findings[1].length"},
		{"depth of a skin cut", grading.Finding{Defect: "cut", Site: "breast", Depth: length("1 mm")}, grading.CodeMeasure, "findings[1].depth"},
		{"share of a joint", grading.Finding{Defect: "disjoint", Site: "hip-left", Share: share(1, 2)}, grading.CodeMeasure, "findings[1].share"},
		{"more than the whole", grading.Finding{Defect: "cut", Site: "breast", Share: share(3, 2)}, grading.CodeMeasure, "findings[1].share"},
		{"a share by zero", grading.Finding{Defect: "cut", Site: "breast", Share: share(1, 0)}, grading.CodeMeasure, "findings[1].share"},
		{"a part of no length", grading.Finding{Defect: "cut", Site: "breast", PartLength: length("0 in")}, grading.CodeMeasure, "findings[1].partlength"},
		{"beside the drawing", grading.Finding{Defect: "cut", Site: "breast", X: 1001}, grading.CodeMeasure, "findings[1].x"},
		{"unknown view", grading.Finding{Defect: "cut", Site: "breast", View: "top"}, grading.CodeSite, "findings[1].view"},
		{"unknown doubt", grading.Finding{Defect: "cut", Site: "breast", Sure: "perhaps"}, grading.CodeMeasure, "findings[1].sure"},
	} {
		_, err := grading.Grade(youth(t), broiler, []grading.Finding{{Defect: "disjoint", Site: "hip-left"}, tc.f})
		var faults engine.Faults
		if f, ok := err.(engine.Faults); ok {
			faults = f
		}
		if len(faults) != 1 || faults[0].Code != tc.code || faults[0].Where != tc.where {
			t.Errorf("%s: got %v, want code %s at %s", tc.name, err, tc.code, tc.where)
		}
	}
	if _, err := grading.Grade(youth(t), broiler, make([]grading.Finding, grading.MaxFindings+1)); engine.CodeOf(err) != grading.CodeMany {
		t.Errorf("too many findings: %v", err)
	}
}

func TestBookMustBeDecoded(t *testing.T) {
	for name, b := range map[string]*rulebook.Book{
		"none":  nil,
		"empty": {},
		"a limit on nothing": {
			Scale:  []rulebook.Grade{{ID: "A"}, {ID: "B"}},
			Limits: []rulebook.Limit{{Factor: "x", Grade: "A", Most: "1"}},
		},
		"a factor over nothing": {
			Scale:   []rulebook.Grade{{ID: "A"}, {ID: "B"}},
			Factors: []rulebook.Factor{{ID: "x", Op: rulebook.OpCount, Defects: []string{"gone"}}},
		},
	} {
		if _, err := grading.Grade(b, grading.Setting{}, nil); engine.CodeOf(err) != grading.CodeBook {
			t.Errorf("%s: got %v", name, err)
		}
	}
}

// Shares in coprime fine fractions cannot be added within 64 bits; the program
// says so instead of rounding.
func TestSharesTooFineAreRefused(t *testing.T) {
	var findings []grading.Finding
	for _, whole := range []amount.Length{999_999_937, 999_999_929, 999_999_893} { // primes
		findings = append(findings, grading.Finding{Defect: "tear", Site: "breast", Length: length("1 mm"), PartLength: new(whole)})
	}
	if _, err := grading.Grade(youth(t), broiler, findings); engine.CodeOf(err) != grading.CodeExact {
		t.Errorf("got %v", err)
	}
}

func TestVerdictSurvivesJSON(t *testing.T) {
	want := grade(t, youth(t), broiler, grading.Finding{Defect: "meat-torn", Site: "breast", Length: length("1 in"), Share: share(1, 3), Depth: length("1/8 in")})
	data, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	var got grading.Verdict
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

var benchFindings = []grading.Finding{
	{Defect: "bare-flesh", Site: "breast", Length: length("1 in"), Share: share(1, 5)},
	{Defect: "tear", Site: "thigh-left", Length: length("3/16 in"), Share: share(1, 50)},
	{Defect: "disjoint", Site: "hip-right"},
	{Defect: "tail-cut", Site: "tail", Share: share(1, 3)},
	{Defect: "opening-cut", Site: "neck", Length: length("1/2 in")},
}

// One carcass with its choices tried one by one.
func BenchmarkGrade(b *testing.B) {
	book := youth(b)
	b.Run("unprepared", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := grading.Grade(book, broiler, benchFindings); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("prepared", func(b *testing.B) {
		g, err := grading.Prepare(book)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportAllocs()
		for b.Loop() {
			if _, err := g.Grade(broiler, benchFindings); err != nil {
				b.Fatal(err)
			}
		}
	})
}
