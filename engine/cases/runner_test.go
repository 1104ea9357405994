package cases

import (
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"keelcard/engine/rulebook"
)

// Cases that are right, to be spoiled one way at a time. What they expect is
// taken from cases of testdata, where the sources are.
const (
	goodGrading = `Half a wing is gone.

Source: practice, common practice
-- setting.json --
{"kind": "chicken", "weight": "4 lb"}
-- findings.json --
[{"defect": "wing-half-off", "site": "wing-left"}]
-- want.json --
{"grade": "B", "set": ["wing-half"]}
`
	goodFaults = `Dirt sticks to one egg.

Source: connecticut, read
-- setting.json --
{}
-- findings.json --
[{"defect": "adhering", "site": "egg-7"}]
-- want.json --
{"grade": "fault", "faults": ["adhering"]}
`
	openGrading = `A bare thigh.

Source: practice, common practice
-- setting.json --
{"kind": "chicken", "weight": "4 lb"}
-- findings.json --
[]
-- want.json --
{"open": [{"choices": {"depth": "coin"}, "grade": "A"}, {"choices": {"depth": "eighth"}, "grade": "B"}]}
`
	goodPlacing = `# The middle pair is switched.
origin computed
source the rule
score 1-2-3-4 2-5-3 1-3-2-4 45
cuts 4-6-5 refused
cuts 5-5-5 allowed
`
	goodContest = `origin computed
source the rule
class birds graded zero
class hens placing 2-5-3 50 lower
key 1-2-3-4
tie hens
best 1
person 1 team oak
person 2 team elm
card 1 hens 1-2-3-4
card 2 hens 2-1-3-4
expect 1 total 50
expect 2 hens 48
parted 1 2 total
team elm rank 2 open 1
item hens 1 right 1 of 2
`
	goodKinds = `origin computed
source the rule
class parts identified parts-youth 20 zero
key leg-quarter flat
class products checked breaded 20 whole
key none coating+cluster
class reasons awarded 2 50 0.5 half
person 1
card 1 parts leg-quarter drumstick
card 1 products none coating+cluster
card 1 reasons 41 38.5
expect 1 parts 10
expect 1 products 20
sum 1 reasons (41 + 38.5) / 2 = 40
`
	goodStory = `Two keyers agree.

Source: the rule
-- phones --
ana write card/7/41 = AABC
ben write card/7/41 = AABC
ben <- ana
-- expect --
ben card/7/41 confirmed AABC
ben log ana 1
ana questions
`
)

// faultsOf runs a folder as TestCases runs the folder of a coach.
func faultsOf(dir fs.FS) string {
	cases, faults := find(dir)
	faults = append(faults, strays(dir)...)
	for _, c := range cases {
		faults = append(faults, c.run(dir)...)
	}
	var lines []string
	for _, f := range faults {
		lines = append(lines, f.Error())
	}
	return strings.Join(lines, "\n")
}

// holdingFiles is a folder of files by path and text.
func holdingFiles(files map[string]string) fstest.MapFS {
	dir := fstest.MapFS{}
	for name, text := range files {
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return dir
}

var good = map[string]string{
	"books/carcass-youth/half-wing.txtar": goodGrading,
	"placing/middle.txt":                  goodPlacing,
	"contests/two.txt":                    goodContest,
	"contests/kinds.txt":                  goodKinds,
	"merge/agree.txtar":                   goodStory,
}

func TestGoodCasesPass(t *testing.T) {
	if got := faultsOf(holdingFiles(good)); got != "" {
		t.Errorf("all four kinds: %s", got)
	}
	for name, text := range good {
		if got := faultsOf(holdingFiles(map[string]string{name: text, "README.md": "mine"})); got != "" {
			t.Errorf("%s alone: %s", name, got)
		}
	}
}

// A case with one fault fails, and what is said names the place and the fault.
func TestBadCasesFail(t *testing.T) {
	for _, c := range []struct{ name, path, old, new, want string }{
		{"wrong grade", "books/carcass-youth/half-wing.txtar", `"grade": "B"`, `"grade": "C"`, "want.json: grade B, want C"},
		{"wrong factor", "books/carcass-youth/half-wing.txtar", `["wing-half"]`, `["breast"]`, "set by [wing-half], want [breast]"},
		{"unknown field", "books/carcass-youth/half-wing.txtar", `"grade"`, `"grad"`, `want.json: json: unknown field "grad"`},
		{"text after the value", "books/carcass-youth/half-wing.txtar", `"4 lb"}`, `"4 lb"} 5`, "setting.json: something stands after the end"},
		{"unknown defect", "books/carcass-youth/half-wing.txtar", "wing-half-off", "wing-haf", `"wing-haf"`},
		{"no source", "books/carcass-youth/half-wing.txtar", "Source:", "From:", "the head needs a story"},
		{"unknown source", "books/carcass-youth/half-wing.txtar", "practice, common", "nobody, common", `no source "nobody"`},
		{"no confidence", "books/carcass-youth/half-wing.txtar", ", common practice", "", `"" does not say how well it is known`},
		{"part missing", "books/carcass-youth/half-wing.txtar", "-- findings.json --\n[{\"defect\": \"wing-half-off\", \"site\": \"wing-left\"}]\n", "", "parts are missing: [findings.json]"},
		{"part unknown", "books/carcass-youth/half-wing.txtar", "-- findings.json", "-- found.json", `unknown or second part "found.json"`},
		{"no grade", "books/carcass-youth/half-wing.txtar", `"grade": "B", `, "", "either a grade or two open answers"},
		{"open that is not", "books/carcass-youth/half-wing.txtar", goodGrading, openGrading, "open under map[depth:coin]: the verdict does not say that depth decides"},
		{"faults of a book of grades", "books/carcass-youth/half-wing.txtar", `"set"`, `"faults": [], "set"`, "the book carcass-youth is not about faults"},
		{"wrong faults", "books/carton/dirt.txtar", goodGrading, strings.Replace(goodFaults, `"adhering"]`, `"check"]`, 1), "faults [adhering], want [check]"},
		{"ending", "books/carcass-youth/half-wing.txt", "", "", "books/carcass-youth/half-wing.txt is no case: they end in .txtar"},
		{"unknown book", "books/carcass-young/half-wing.txtar", "", "", "books/carcass-young has no book.json"},
		{"file among the books", "books/half-wing.txtar", "", "", "books/half-wing.txtar is no folder"},

		{"wrong score", "placing/middle.txt", "1-3-2-4 45", "1-3-2-4 46", "line 4: official 1-2-3-4 cuts 2-5-3 given 1-3-2-4: the score is 45, want 46"},
		{"score that is open", "placing/middle.txt", "1-3-2-4 45", "1-3-2-4 46 open 45", "line 4: official 1-2-3-4 cuts 2-5-3 given 1-3-2-4: the score is 45, want 46"},
		{"half open", "placing/middle.txt", "1-3-2-4 45", "1-3-2-4 45 open", "line 4: an open case has two different answers"},
		{"open with one answer", "placing/middle.txt", "1-3-2-4 45", "1-3-2-4 45 open 45", "line 4: an open case has two different answers"},
		{"no placing", "placing/middle.txt", "1-3-2-4", "1-3-3-4", "line 4: \"1-3-3-4\" is not a placing"},
		{"cuts refused", "placing/middle.txt", "5-5-5 allowed", "5-5-5 refused", "line 6: cuts 5-5-5"},
		{"cuts allowed", "placing/middle.txt", "4-6-5 refused", "4-6-5 allowed", "line 5: cuts 4-6-5: refused"},
		{"unknown word", "placing/middle.txt", "cuts 5", "cut 5", `line 6: unknown word "cut"`},
		{"a word too many", "placing/middle.txt", "5-5-5 allowed", "5-5-5 allowed now", `line 6: "now" is too much`},
		{"no source", "placing/middle.txt", "source the rule\n", "", `line 3: lines with origin and source have to stand above "score"`},
		{"empty source", "placing/middle.txt", "source the rule", "source", "line 3: the source is missing"},
		{"unknown origin", "placing/middle.txt", "computed", "heard", `line 2: there is no origin "heard"`},
		{"nothing expected", "placing/middle.txt", goodPlacing, "origin computed\nsource the rule\n", "the file expects nothing"},

		{"wrong total", "contests/two.txt", "1 total 50", "1 total 49", "line 12: expect 1 total 49: got 50, want 49"},
		{"wrong rank", "contests/two.txt", "elm rank 2", "elm rank 3", "line 15: team elm rank 3 open 1: got 2, want 3"},
		{"wrong parting", "contests/two.txt", "1 2 total", "1 2 hens", "line 14: parted 1 2 hens: got total, want hens"},
		{"wrong share", "contests/two.txt", "right 1", "right 2", "line 16: item hens 1 right 2 of 2: got right 1 of 2"},
		{"unknown person", "contests/two.txt", "expect 1", "expect 3", `line 12: there is no person "3"`},
		{"unknown mark", "contests/two.txt", "hens 2-1-3-4", "hens 2-1-3", "line 11: \"2-1-3\" is not a placing"},
		{"unknown rule", "contests/two.txt", "graded zero", "graded nought", `line 3: there is no rule for double marks "nought"`},
		{"marks too few", "contests/two.txt", "card 2 hens 2-1-3-4", "card 2 hens", "line 11: 0 marks for 1 items"},
		{"no key", "contests/two.txt", "key 1-2-3-4\n", "", "line 9: 1 marks for 0 items"},
		{"item beyond the last", "contests/two.txt", "hens 1 right", "hens 2 right", "line 16: there is no item 2"},
		{"entered too late", "contests/two.txt", "parted 1 2 total", "person 3", `line 14: "person" has to stand above what is expected`},
		{"nothing expected", "contests/two.txt", goodContest, "origin computed\nsource the rule\n", "the file expects nothing"},
		{"no origin", "contests/two.txt", "origin computed\n", "", "line 2: lines with origin and source"},

		{"name of no list", "contests/kinds.txt", "quarter flat", "quarter flap", "line 4: \"flap\" is no name of the list"},
		{"no list", "contests/kinds.txt", "parts-youth", "parts-old", "line 4: \"leg-quarter\" is no name of the list"},
		{"no such kind", "contests/kinds.txt", "parts identified", "parts named", "line 3: there is no kind of class \"named\""},
		{"no fault of the book", "contests/kinds.txt", "card 1 products none", "card 1 products color", "line 10: \"color\" is no fault of the book"},
		{"faults out of order in a key", "contests/kinds.txt", "key none coating+cluster", "key none cluster+coating", "line 12: the contest cannot be scored: class products: checked, item 2"},
		{"points that cannot be given", "contests/kinds.txt", "reasons 41 38.5", "reasons 41 38.25", "line 11: awarded: 38.25 lies between two steps"},
		{"no way to round", "contests/kinds.txt", "0.5 half", "0.5 third", "line 7: there is no way to round \"third\""},
		{"points too few", "contests/kinds.txt", "41 38.5\n", "41\n", "line 11: 1 marks for 2 items"},
		{"wrong sum", "contests/kinds.txt", "2 = 40", "2 = 39.5", "line 14: sum 1 reasons (41 + 38.5) / 2 = 39.5: got (41 + 38.5) / 2 = 40, want"},

		{"wrong status", "merge/agree.txtar", "confirmed", "single", `line 9: got "confirmed AABC", want "single AABC"`},
		{"wrong log", "merge/agree.txtar", "ana 1", "ana 2", `line 10: got "1", want "2"`},
		{"wrong questions", "merge/agree.txtar", "ana questions", "ana questions card/7/41", `line 11: got "", want "card/7/41"`},
		{"refusal that does not come", "merge/agree.txtar", "ben <- ana", "ben <- ana ! merge.fork", "line 7: taking in ana: got the code \"\""},
		{"refusal that was not foreseen", "merge/agree.txtar", "ben <- ana\n", "ben <- ana\n" + copies, `line 34: taking in copy9: got the code "merge.limit"`},
		{"unknown step", "merge/agree.txtar", "ana write", "ana wrote", `line 5: a phone cannot "wrote"`},
		{"unknown phone", "merge/agree.txtar", "ana questions", "anna questions", `line 11: no phone "anna" has done anything`},
		{"no card", "merge/agree.txtar", "ana write card/7/41", "ana write card/7", `line 5: "card/7" is no card`},
		{"no source", "merge/agree.txtar", "Source:", "From:", "the head needs a story"},
		{"unknown part", "merge/agree.txtar", "-- expect", "-- expected", `unknown part "expected"`},

		{"misnamed folder", "contest/two.txt", "", "", "the folder contest holds no kind of case"},
	} {
		name, _, _ := strings.Cut(c.path, "/")
		t.Run(name+"/"+c.name, func(t *testing.T) {
			files := maps.Clone(good)
			text := map[string]string{"books": goodGrading, "placing": goodPlacing, "contests": goodContest, "merge": goodStory}[name]
			if c.path == "contests/kinds.txt" {
				text = goodKinds
			}
			if c.old != "" && strings.Count(text, c.old) != 1 {
				t.Fatalf("%q is %d times in the case", c.old, strings.Count(text, c.old))
			}
			files[c.path] = strings.Replace(text, c.old, c.new, 1)
			if got := faultsOf(holdingFiles(files)); !strings.Contains(got, c.want) {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// copies is a phone copied more often than is kept: 9 sides of which the last is
// refused. Each takes three lines.
var copies = func() (steps string) {
	for i := range 9 {
		steps += fmt.Sprintf("ana copy copy%[1]d\ncopy%[1]d write card/1/1 = A%[1]d\nben <- copy%[1]d\n", i+1)
	}
	return steps
}()

func TestFolderWithoutCasesFails(t *testing.T) {
	for _, files := range []map[string]string{
		{},
		{"README.md": "mine"},
		{"placing/README.md": "mine"},
		{"half-wing.txtar": goodGrading},
	} {
		if got := faultsOf(holdingFiles(files)); !strings.Contains(got, "no cases") {
			t.Errorf("%v: got %q", files, got)
		}
	}
}

// A book of one's own grades the cases beside it.
func TestBookBesideItsCases(t *testing.T) {
	youth, ok := rulebook.ByID("carcass-youth")
	if !ok {
		t.Fatal("there is no book carcass-youth")
	}
	files := map[string]string{
		"books/mine/book.json":       string(youth.Encode()),
		"books/mine/half-wing.txtar": goodGrading,
	}
	if got := faultsOf(holdingFiles(files)); got != "" {
		t.Error(got)
	}
	files["books/mine/book.json"] = `{"id": 7}`
	if got := faultsOf(holdingFiles(files)); !strings.Contains(got, "books/mine/book.json: ") {
		t.Errorf("a bad book: got %q", got)
	}
}

func TestOwnFolderMustBeWhole(t *testing.T) {
	cases, _ := find(holdingFiles(good))
	if !isOwn(ownFolder) || isOwn(t.TempDir()) {
		t.Error("the folder that comes with the program is not told from others")
	}
	var got []string
	for _, fault := range gaps(cases) {
		got = append(got, fault.Error())
	}
	var want []string
	for _, b := range rulebook.Builtin() {
		if b.ID != "carcass-youth" {
			want = append(want, "books/"+b.ID+" has no cases")
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if got := len(gaps(nil)); got != len(kinds)+len(rulebook.Builtin()) {
		t.Errorf("%d gaps in nothing at all", got)
	}
}
