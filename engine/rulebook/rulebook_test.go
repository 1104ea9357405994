package rulebook_test

import (
	"bytes"
	"errors"
	"os"
	"reflect"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/enginetest"
	"keelcard/engine/rulebook"
)

func small(t testing.TB) string {
	t.Helper()
	data, err := os.ReadFile("testdata/small.json")
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func TestSmallBookIsGood(t *testing.T) {
	b, err := rulebook.Decode([]byte(small(t)))
	if err != nil {
		t.Fatal(err)
	}
	faults, err := rulebook.Decode([]byte(smallFaults(t)))
	if err != nil {
		t.Fatal(err)
	}
	// Each field of the format stands at least once in the small books, so that
	// reading and writing it is tried below.
	b.Faulted, b.Factors = faults.Faulted, append(b.Factors, faults.Factors...)
	checkNoEmptyField(t, reflect.ValueOf(*b), "book")
}

// checkNoEmptyField fails for a field that is empty in every entry of a list.
func checkNoEmptyField(t *testing.T, v reflect.Value, path string) {
	t.Helper()
	for i := range v.NumField() {
		f, name := v.Field(i), path+"."+v.Type().Field(i).Name
		if f.IsZero() {
			t.Errorf("%s is not tried", name)
		}
		if f.Kind() != reflect.Slice || f.Type().Elem().Kind() != reflect.Struct || f.Len() == 0 {
			continue
		}
		merged := reflect.New(f.Type().Elem()).Elem()
		for j := range f.Len() {
			for k := range merged.NumField() {
				if merged.Field(k).IsZero() {
					merged.Field(k).Set(f.Index(j).Field(k))
				}
			}
		}
		checkNoEmptyField(t, merged, name)
	}
}

func TestEncodeDecode(t *testing.T) {
	for _, text := range []string{small(t), smallFaults(t)} {
		encodeDecode(t, text)
	}
}

func encodeDecode(t *testing.T, text string) {
	first, err := rulebook.Decode([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	second, err := rulebook.Decode(first.Encode())
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(first, second) || !bytes.Equal(first.Encode(), second.Encode()) || first.Hash() != second.Hash() {
		t.Error("the canonical form does not read back to the same book")
	}
	if len(first.Hash()) != 64 {
		t.Errorf("hash %q", first.Hash())
	}
	second.Limits[0].Most = "3/8 in"
	if first.Hash() == second.Hash() {
		t.Error("another limit has the same hash")
	}
}

// Each case spoils one thing in the small book and names the fault that must
// come of it, with its path and a piece of the value in the message.
func TestFaults(t *testing.T) {
	for _, tc := range []struct {
		name     string
		old, new string
		code     engine.Code
		where    string
		says     string
	}{
		{"not JSON", `"format": 1,`, `"format": 1`, rulebook.CodeSyntax, "line 3, column 3", ""},
		{"cut off", `{"text": "For tests."}]` + "\n}\n", `{"text"`, rulebook.CodeSyntax, "", "unexpected end"},
		{"another format", `"format": 1`, `"format": 2`, rulebook.CodeFormat, "format", "2"},
		{"half a format", `"format": 1`, `"format": 1.5`, rulebook.CodeType, "format", "1.5"},
		{"unknown field", `"title": "A small book"`, `"title": "A small book", "colour": "red"`, rulebook.CodeUnknown, "colour", `"red"`},
		{"unknown field deep", `"note": "light"`, `"note": "light", "weigth": "3 lb"`, rulebook.CodeUnknown, "limits[0].weigth", `"3 lb"`},
		{"field twice", `"id": "small",`, `"id": "small", "id": "large",`, rulebook.CodeTwice, "id", `"large"`},
		{"missing field", `"op": "longest", `, ``, rulebook.CodeMissing, "factors[6].op", ""},
		{"empty text", `"name": "spots"`, `"name": " "`, rulebook.CodeMissing, "factors[6].name", `" "`},
		{"empty list", `"sources": [{"id": "table", "title": "The table", "date": "1998", "note": "invented for tests"}]`, `"sources": []`, rulebook.CodeMissing, "sources", ""},
		{"wrong type", `"most": "1 in"`, `"most": 1`, rulebook.CodeType, "limits[2].most", "1 stands where a text"},
		{"null", `"about": "Everything a book can hold, once."`, `"about": null`, rulebook.CodeType, "about", "null"},
		{"list for object", `{"id": "front", "name": "front"}`, `["front"]`, rulebook.CodeType, "zones[0]", "a list of 1"},
		{"number in texts", `"measures": ["count"]`, `"measures": [7]`, rulebook.CodeType, "defects[1].measures[0]", "7"},
		{"control character", `"title": "A small book"`, `"title": "A small\u0007book"`, rulebook.CodeText, "title", ""},
		{"long text", `"text": "For tests."`, `"text": "` + strings.Repeat("x", 1300) + `"`, rulebook.CodeSize, "notes[1].text", "1300"},
		{"bad id", `"id": "small"`, `"id": "Small Book"`, rulebook.CodeID, "id", `"Small Book"`},
		{"bad grade id", `"id": "NG"`, `"id": "N-G"`, rulebook.CodeID, "scale[3].id", `"N-G"`},
		{"id twice", `{"id": "inside", "name": "inside"}`, `{"id": "breast", "name": "inside"}`, rulebook.CodeTwice, "sites[2].id", `"breast"`},
		{"base is itself", `"base": "larger"`, `"base": "small"`, rulebook.CodeReference, "base", `"small"`},
		{"unknown part", `"part": "leg"`, `"part": "foot"`, rulebook.CodeReference, "sites[1].part", `"foot"`},
		{"unknown zone", `"zone": "front"}`, `"zone": "rear"}`, rulebook.CodeReference, "sites[0].zone", `"rear"`},
		{"fills nothing", `"fills": "1/2"`, `"fills": "0"`, rulebook.CodeAmount, "sites[1].fills", `"0"`},
		{"unknown other part", `"part": "thigh", "fills"`, `"part": "toe", "fills"`, rulebook.CodeReference, "sites[1].otherwise[0].part", `"toe"`},
		{"no condition", `"when": {"leg": "separate"}`, `"when": {}`, rulebook.CodeMissing, "sites[1].otherwise[0].when", ""},
		{"unknown site", `"sites": ["inside"]`, `"sites": ["outside"]`, rulebook.CodeReference, "defects[3].sites[0]", `"outside"`},
		{"site twice", `"sites": ["breast", "thigh"]`, `"sites": ["breast", "breast"]`, rulebook.CodeTwice, "defects[0].sites[1]", `"breast"`},
		{"unknown measure", `"measures": ["count"]`, `"measures": ["width"]`, rulebook.CodeValue, "defects[1].measures[0]", `"width"`},
		{"unknown op", `"op": "longest"`, `"op": "average"`, rulebook.CodeValue, "factors[6].op", `"average"`},
		{"unknown per", `"op": "depth", "per": "item"`, `"op": "depth", "per": "bird"`, rulebook.CodeValue, "factors[2].per", `"bird"`},
		{"unknown defect", `"defects": ["spot"]`, `"defects": ["dot"]`, rulebook.CodeReference, "factors[6].defects[0]", `"dot"`},
		{"factor of nothing", `"per": "item", "defects": ["spot"]`, `"per": "item"`, rulebook.CodeMissing, "factors[6].defects", `"spots"`},
		{"measure the defect lacks", `"op": "longest"`, `"op": "depth"`, rulebook.CodeMeasure, "factors[6].defects[0]", `"spot"`},
		{"share of the item", `"op": "share", "per": "part"`, `"op": "share", "per": "item"`, rulebook.CodeGroup, "factors[1].per", `"item"`},
		{"site without part", `"op": "longest", "per": "item"`, `"op": "longest", "per": "part"`, rulebook.CodeGroup, "factors[6].sites", `"inside"`},
		{"adds a later one", `"add": ["breaks", "disjoints"]`, `"add": ["breaks", "spots"]`, rulebook.CodeAdd, "factors[5].add[1]", `"spots"`},
		{"adds unlike", `"add": ["breaks", "disjoints"]`, `"add": ["breaks", "tear-depth"]`, rulebook.CodeAdd, "factors[5].add[1]", "a depth per item"},
		{"adds longest", `"op": "longest", "per": "item", "defects": ["spot"]`, `"op": "longest", "per": "item", "add": ["tear-length"]`, rulebook.CodeAdd, "factors[6].add", `"longest"`},
		{"unknown factor", `"factor": "spots"`, `"factor": "dots"`, rulebook.CodeReference, "limits[8].factor", `"dots"`},
		{"unknown grade", `"grade": "C"`, `"grade": "D"`, rulebook.CodeReference, "limits[8].grade", `"D"`},
		{"limit on the last grade", `"grade": "C"`, `"grade": "NG"`, rulebook.CodeLastGrade, "limits[8].grade", `"NG"`},
		{"amount of another kind", `"most": "1.95 mm"`, `"most": "3"`, rulebook.CodeAmount, "limits[4].most", `"3"`},
		{"inexact amount", `"most": "1.95 mm"`, `"most": "1/3 in"`, rulebook.CodeAmount, "limits[4].most", `"1/3 in"`},
		{"share too fine", `"most": "1/3"`, `"most": "1/10001"`, rulebook.CodeAmount, "limits[3].most", `"1/10001"`},
		{"count not inclusive", `"most": "2", "inclusive": true`, `"most": "2", "inclusive": false`, rulebook.CodeInclusive, "limits[7].inclusive", `"2"`},
		{"less than nothing", `"most": "38 mm", "inclusive": true`, `"most": "0 mm", "inclusive": false`, rulebook.CodeInclusive, "limits[8].inclusive", `"0 mm"`},
		{"inclusive twice over", `"inclusive": false`, `"inclusive": true`, rulebook.CodeInclusive, "limits[3].inclusive_when", ""},
		{"bad weight", `"over": "6 lb", "source"`, `"over": "heavy", "source"`, rulebook.CodeAmount, "limits[1].over", `"heavy"`},
		{"empty range", `"over": "2 lb", "to": "6 lb", "source"`, `"over": "2 lb", "to": "2 lb", "source"`, rulebook.CodeAmount, "limits[0].to", "2 lb"},
		{"hole between ranges", `"over": "6 lb", "source"`, `"over": "7 lb", "source"`, rulebook.CodeHole, "limits[1].over", "over 6 lb (2722 g) up to 7 lb"},
		{"hole below", `"over": "2 lb", "to": "6 lb", "source"`, `"over": "3 lb", "to": "6 lb", "source"`, rulebook.CodeHole, "limits[0].over", "over 2 lb"},
		{"hole above", `"over": "6 lb", "source"`, `"over": "6 lb", "to": "9 lb", "source"`, rulebook.CodeHole, "limits[1].to", "over 9 lb"},
		{"overlap", `"over": "6 lb", "source"`, `"over": "5 lb", "source"`, rulebook.CodeOverlap, "limits[1]", "limits[0]"},
		{"worse allows less", `"most": "1 in"`, `"most": "3/8 in"`, rulebook.CodeMonotone, "limits[2].most", `"1/2 in"`},
		{"unknown drawing", `"drawing": "opened"`, `"drawing": "boiled"`, rulebook.CodeValue, "drawing", `"boiled"`},
		{"unknown form", `"form": "7.6"`, `"form": "7.55"`, rulebook.CodeValue, "factors[7].form", `"7.55"`},
		{"no form", `, "form": "7.6"`, ``, rulebook.CodeValue, "factors[7].form", `""`},
		{"form of a length", `"defects": ["spot"]`, `"defects": ["spot"], "form": "full"`, rulebook.CodeValue, "factors[6].form", `"full"`},
		{"height without weight", `"measures": ["length", "weight"]`, `"measures": ["length"]`, rulebook.CodeMeasure, "factors[7].defects[0]", "weight"},
		{"weight without height", `"measures": ["length", "weight"]`, `"measures": ["weight"]`, rulebook.CodeMeasure, "factors[7].defects[0]", "length"},
		{"stain that is only counted", `"measures": ["length", "share"]}`, `"measures": ["count"]}`, rulebook.CodeMeasure, "factors[8].defects[0]", "share"},
		{"white of a part", `"op": "haugh", "per": "item"`, `"op": "haugh", "per": "part"`, rulebook.CodeGroup, "factors[7].per", `"part"`},
		{"shell of a zone", `"op": "covered", "per": "item"`, `"op": "covered", "per": "zone"`, rulebook.CodeGroup, "factors[8].per", `"zone"`},
		{"most and least", `"least": "60 HU"`, `"least": "60 HU", "most": "60 HU"`, rulebook.CodeDirection, "limits[10].most", `"60 HU"`},
		{"neither most nor least", `"most": "1/16", `, ``, rulebook.CodeDirection, "limits[11].most", `""`},
		{"factor of both kinds", `"least": "60 HU"`, `"most": "60 HU"`, rulebook.CodeDirection, "limits[10]", `more than "72 HU" in limits[9]`},
		{"worse asks for more", `"least": "60 HU"`, `"least": "72.01 HU"`, rulebook.CodeMonotone, "limits[10].least", `"72 HU"`},
		{"least of another kind", `"least": "60 HU"`, `"least": "60 mm"`, rulebook.CodeAmount, "limits[10].least", `"60 mm"`},
		{"two leasts at once", `"grade": "B", "least"`, `"grade": "A", "least"`, rulebook.CodeOverlap, "limits[10]", `"72 HU"`},
		{"more than the whole", `"most": "1/16", "inclusive": true`, `"least": "all", "inclusive": false`, rulebook.CodeInclusive, "limits[11].inclusive", `"all"`},
		{"unknown kind", `"kinds": ["duck"], "source"`, `"kinds": ["swan"], "source"`, rulebook.CodeReference, "limits[6].kinds[0]", `"swan"`},
		{"kind without weight", `"kinds": ["duck"], "when"`, `"kinds": ["hen"], "when"`, rulebook.CodeHole, "kinds[1]", `"duck"`},
		{"unknown choice", `"when": {"leg": "together"}`, `"when": {"arm": "together"}`, rulebook.CodeReference, "limits[8].when.arm", `"arm"`},
		{"unknown option", `"when": {"leg": "together"}`, `"when": {"leg": "apart"}`, rulebook.CodeReference, "limits[8].when.leg", `"apart"`},
		{"unknown source", `"most": "1 in", "inclusive": true, "source": "table"`, `"most": "1 in", "inclusive": true, "source": "hearsay"`, rulebook.CodeReference, "limits[2].source", `"hearsay"`},
		{"unknown confidence", `"confidence": "from memory"`, `"confidence": "likely"`, rulebook.CodeConfidence, "limits[1].confidence", `"likely"`},
		{"no source", `"most": "1 in", "inclusive": true, "source": "table", `, `"most": "1 in", "inclusive": true, `, rulebook.CodeMissing, "limits[2].source", ""},
		{"best grade conditional", `{"id": "A", "name": "A quality"}`, `{"id": "A", "name": "A quality", "when": {"answers": "four"}}`, rulebook.CodeChoice, "scale[0].when", `"A"`},
		{"default is no option", `"default": "together"`, `"default": "whole"`, rulebook.CodeReference, "choices[1].default", `"whole"`},
		{"unused choice", `"id": "leg", "title"`, `"id": "arm", "title"`, rulebook.CodeUnused, "choices[1]", `"arm"`},
		{"note on nothing", `"about": "tear"`, `"about": "tears"`, rulebook.CodeReference, "notes[0].about", `"tears"`},
	} {
		text := small(t)
		if !strings.Contains(text, tc.old) {
			t.Errorf("%s: the small book does not contain %s", tc.name, tc.old)
			continue
		}
		_, err := rulebook.Decode([]byte(strings.Replace(text, tc.old, tc.new, 1)))
		if e := faultAt(err, tc.where); e == nil || e.Code != tc.code || !strings.Contains(e.Error(), tc.says) {
			t.Errorf("%s: got %v, want code %s at %q saying %s", tc.name, err, tc.code, tc.where, tc.says)
		}
	}
}

// faultAt finds the fault at a place; the first of all for "".
func faultAt(err error, where string) *engine.Error {
	var faults engine.Faults
	if !errors.As(err, &faults) {
		var e *engine.Error
		if errors.As(err, &e) {
			faults = engine.Faults{e}
		}
	}
	for _, e := range faults {
		if where == "" || e.Where == where {
			return e
		}
	}
	return nil
}

// Faults far apart are all reported in one go.
func TestAllFaultsAtOnce(t *testing.T) {
	text := strings.NewReplacer(
		`"title": "A small book"`, `"titel": "A small book"`,
		`"part": "leg"`, `"part": "foot"`,
		`"op": "longest"`, `"op": "average"`,
		`"most": "1 in"`, `"most": "1 mile"`,
		`"default": "together"`, `"default": "whole"`,
	).Replace(small(t))
	_, err := rulebook.Decode([]byte(text))
	for _, where := range []string{"title", "titel", "sites[1].part", "factors[6].op", "limits[2].most", "choices[1].default"} {
		if faultAt(err, where) == nil {
			t.Errorf("no fault at %s in:\n%v", where, err)
		}
	}
}

func TestHugeInputsAreRefused(t *testing.T) {
	for name, text := range map[string]string{
		"long file":   strings.Repeat(" ", rulebook.MaxFile+1),
		"deep values": strings.Repeat("[", 10_000),
		"empty":       "",
		"two books":   small(t) + small(t),
		"many fields": `{"scale": [{"when": {` + strings.Repeat(`"a": "b",`, 20_000) + `"a": "b"}}]}`,
		"many faults": `{"limits": [` + strings.Repeat(`{},`, 600) + `{}]}`,
	} {
		_, err := rulebook.Decode([]byte(text))
		if engine.CodeOf(err) == "" {
			t.Errorf("%s: got %v", name, err)
		}
		var faults engine.Faults
		if errors.As(err, &faults) && len(faults) > 201 {
			t.Errorf("%s: %d faults", name, len(faults))
		}
	}
}

func TestBuiltin(t *testing.T) {
	books := rulebook.Builtin()
	if len(books) < 2 {
		t.Fatalf("%d books", len(books))
	}
	for _, b := range books {
		same, ok := rulebook.ByID(b.ID)
		if !ok || same != b {
			t.Errorf("%s is not found by its id", b.ID)
		}
		if n := len(b.Encode()); n > rulebook.MaxBytes {
			t.Errorf("%s takes %d bytes", b.ID, n)
		}
		again, err := rulebook.Decode(b.Encode())
		if err != nil || !reflect.DeepEqual(again, b) {
			t.Errorf("%s does not read back: %v", b.ID, err)
		}
		if b.Base != "" {
			if _, ok := rulebook.ByID(b.Base); !ok {
				t.Errorf("%s varies %q, which is not built in", b.ID, b.Base)
			}
		}
		for _, s := range b.Sources {
			if !strings.Contains(string(b.Encode()), `"source":"`+s.ID+`"`) {
				t.Errorf("%s: nothing refers to the source %q", b.ID, s.ID)
			}
		}
	}
	if _, ok := rulebook.ByID("none"); ok {
		t.Error("a book that is not there is found")
	}
}

func TestResolve(t *testing.T) {
	b, err := rulebook.Decode([]byte(small(t)))
	if err != nil {
		t.Fatal(err)
	}
	got, err := b.Resolve(map[string]string{"leg": "separate"})
	if want := map[string]string{"answers": "four", "leg": "separate"}; err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, %v", got, err)
	}
	if n := len(b.Answers(got)); n != 4 {
		t.Errorf("%d answers", n)
	}
	got["answers"] = "three"
	if n := len(b.Answers(got)); n != 3 {
		t.Errorf("%d answers", n)
	}
	_, err = b.Resolve(map[string]string{"leg": "none", "moon": "full"})
	for _, where := range []string{"choices.leg", "choices.moon"} {
		if e := faultAt(err, where); e == nil || e.Code != rulebook.CodeReference {
			t.Errorf("no fault at %s in %v", where, err)
		}
	}
}

const tinyBook = `{"format": 1, "id": "tiny", "edition": "1", "title": "tiny", "scale": [{"id": "A", "name": "A"}, {"id": "B", "name": "B"}],
"defects": [{"id": "tear", "name": "tear", "measures": ["length", "share"]}],
"factors": [{"id": "tears", "name": "tears", "op": "longest", "per": "item", "defects": ["tear"]}],
"limits": [{"factor": "tears", "grade": "A", "most": "1/4 in", "inclusive": true, "over": "2 lb", "source": "s", "confidence": "read"}, {"factor": "tears", "grade": "A", "most": "1 mm", "inclusive": true, "to": "2 lb", "source": "s", "confidence": "read"}],
"sources": [{"id": "s", "title": "s"}]}`

func BenchmarkDecode(b *testing.B) {
	data := rulebook.Builtin()[0].Encode()
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := rulebook.Decode(data); err != nil {
			b.Fatal(err)
		}
	}
}

func FuzzDecode(f *testing.F) {
	// Small seeds: the fuzzer shrinks what it finds, and that is slow on whole books.
	f.Add([]byte(tinyBook))
	f.Add([]byte(strings.Replace(tinyBook, `"limits"`, `"choices": [{"id": "c", "title": "c", "why": "w", "default": "x", "options": [{"id": "x", "title": "x", "source": "s", "confidence": "read"}, {"id": "y", "title": "y", "source": "s", "confidence": "read"}]}], "kinds": [{"id": "hen", "name": "hen"}], "limits"`, 1)))
	f.Add([]byte(strings.Replace(tinyBook, `"defects"`, `"parts": [{"id": "p", "name": "p"}], "sites": [{"id": "s", "name": "s", "part": "p", "fills": "1/2"}], "defects"`, 1)))
	f.Add([]byte(`{"format": 1, "id": "x", "scale": [{}], "limits": [{"when": {"": ""}}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		b, err := rulebook.Decode(data)
		if err != nil {
			if lack := enginetest.Untold(err); lack != "" {
				t.Fatal(lack)
			}
			return
		}
		again, err := rulebook.Decode(b.Encode())
		if err != nil {
			t.Fatalf("the canonical form does not decode: %v", err)
		}
		if !reflect.DeepEqual(b, again) {
			t.Fatal("the canonical form reads back to another book")
		}
	})
}
