package tree_test

import (
	"encoding/json"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/tree"
)

// everything has a field of each sort, with the tags by which encoding/json
// must come to the same.
type everything struct {
	Text    string                       `json:"text"`
	Other   string                       `json:"other,omitempty"`
	Yes     bool                         `json:"yes"`
	No      bool                         `json:"no,omitempty"`
	Int     int                          `json:"int"`
	Long    int64                        `json:"long,omitempty"`
	Small   uint32                       `json:"small,omitempty"`
	Ints    []int                        `json:"ints,omitempty"`
	Smalls  []uint32                     `json:"smalls,omitempty"`
	Octets  [3]uint8                     `json:"octets"`
	Cuts    [3]uint8                     `json:"cuts,omitzero"`
	Bytes   []byte                       `json:"bytes,omitempty"`
	Texts   []string                     `json:"texts,omitempty"`
	Form    shout                        `json:"form"`
	Quiet   shout                        `json:"quiet,omitempty"`
	Maybe   *shout                       `json:"maybe,omitempty"`
	Pairs   map[string]string            `json:"pairs,omitempty"`
	Counts  map[string]uint32            `json:"counts,omitempty"`
	Choices map[string]map[string]string `json:"choices,omitempty"`
	One     inner                        `json:"one"`
	List    []inner                      `json:"list,omitempty"`
}

type inner struct {
	Name string  `json:"name"`
	List []inner `json:"list,omitempty"`
}

// shout is a text whose form is in angles.
type shout string

func (s shout) MarshalText() ([]byte, error) { return []byte("<" + string(s) + ">"), nil }

func parseShout(text string) (shout, error) {
	if len(text) < 2 || text[0] != '<' || text[len(text)-1] != '>' {
		return "", engine.New("test.shout", "", "no angles", "")
	}
	return shout(text[1 : len(text)-1]), nil
}

func (s *shout) UnmarshalText(text []byte) (err error) {
	*s, err = parseShout(string(text))
	return err
}

func (e *everything) Fields(f *tree.Fields) {
	f.Text("text", &e.Text, tree.Always)
	f.Text("other", &e.Other, tree.IfSet)
	f.Bool("yes", &e.Yes, tree.Always)
	f.Bool("no", &e.No, tree.IfSet)
	tree.Whole(f, "int", &e.Int, tree.Always)
	tree.Whole(f, "long", &e.Long, tree.IfSet)
	tree.Whole(f, "small", &e.Small, tree.IfSet)
	tree.Wholes(f, "ints", &e.Ints, tree.IfSet)
	tree.Wholes(f, "smalls", &e.Smalls, tree.IfSet)
	f.Octets("octets", e.Octets[:], tree.Always)
	f.Octets("cuts", e.Cuts[:], tree.IfSet)
	f.Bytes("bytes", &e.Bytes, tree.IfSet)
	f.Texts("texts", &e.Texts, tree.IfSet)
	tree.AsText(f, "form", &e.Form, tree.Always, shout.MarshalText, parseShout)
	tree.AsText(f, "quiet", &e.Quiet, tree.IfSet, shout.MarshalText, parseShout)
	tree.Maybe(f, "maybe", &e.Maybe, shout.MarshalText, parseShout)
	f.Pairs("pairs", &e.Pairs, tree.IfSet)
	tree.Map(f, "counts", &e.Counts, tree.IfSet, tree.Whole)
	tree.Map(f, "choices", &e.Choices, tree.IfSet, (*tree.Fields).Pairs)
	f.Object("one", &e.One)
	tree.List(f, "list", &e.List, tree.IfSet)
}

func (i *inner) Fields(f *tree.Fields) {
	f.Text("name", &i.Name, tree.Always)
	tree.List(f, "list", &i.List, tree.IfSet)
}

// anyText draws texts with what has to be escaped, and bytes that are no text.
var anyText = rapid.OneOf(rapid.String(), rapid.StringOf(rapid.SampledFrom([]rune("a\"\\/<>&\b\f\n\r\t\x00\x1f\x7f\u2028\u2029\ufffd😀é"))),
	rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) }))

func anyInner(depth int) *rapid.Generator[inner] {
	return rapid.Custom(func(t *rapid.T) inner {
		i := inner{Name: anyText.Draw(t, "name")}
		if depth > 0 {
			i.List = rapid.SliceOfN(anyInner(depth-1), 0, 2).Draw(t, "list")
		}
		return i
	})
}

var anything = rapid.Custom(func(t *rapid.T) everything {
	pairs := rapid.MapOfN(rapid.String(), anyText, 0, 4)
	form := rapid.Map(anyText, func(s string) shout { return shout(s) })
	e := everything{
		Text: anyText.Draw(t, "text"), Other: anyText.Draw(t, "other"),
		Yes: rapid.Bool().Draw(t, "yes"), No: rapid.Bool().Draw(t, "no"),
		Int: rapid.Int().Draw(t, "int"), Long: rapid.Int64().Draw(t, "long"), Small: rapid.Uint32().Draw(t, "small"),
		Ints: rapid.SliceOf(rapid.Int()).Draw(t, "ints"), Smalls: rapid.SliceOf(rapid.Uint32()).Draw(t, "smalls"),
		Bytes: rapid.SliceOf(rapid.Byte()).Draw(t, "bytes"), Texts: rapid.SliceOf(anyText).Draw(t, "texts"),
		Form: form.Draw(t, "form"), Quiet: form.Draw(t, "quiet"), Maybe: rapid.Ptr(form, true).Draw(t, "maybe"),
		Pairs: pairs.Draw(t, "pairs"), Counts: rapid.MapOfN(rapid.String(), rapid.Uint32(), 0, 4).Draw(t, "counts"),
		Choices: rapid.MapOfN(rapid.String(), pairs, 0, 3).Draw(t, "choices"),
		One:     anyInner(2).Draw(t, "one"), List: rapid.SliceOfN(anyInner(2), 0, 3).Draw(t, "list"),
	}
	if rapid.Bool().Draw(t, "cut") {
		copy(e.Cuts[:], rapid.SliceOfN(rapid.Byte(), 3, 3).Draw(t, "cuts"))
		e.Octets = e.Cuts
	}
	return e
})

func TestWritesAndReadsAsEncodingJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := anything.Draw(t, "value")
		got := tree.Write(&e)
		want, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		if string(got) != string(want) {
			t.Fatalf("got  %s\nwant %s", got, want)
		}
		var plain strings.Builder
		enc := json.NewEncoder(&plain)
		enc.SetEscapeHTML(false)
		if err := enc.Encode(e); err != nil {
			t.Fatal(err)
		}
		if got := tree.WritePlain(&e); string(got)+"\n" != plain.String() {
			t.Fatalf("got  %s\nwant %s", got, plain.String())
		}
		checkRead(t, got)
	})
}

// checkRead holds Read against encoding/json where both take the text.
func checkRead(t interface{ Fatalf(string, ...any) }, data []byte) {
	var got, want everything
	err, wantErr := tree.Read(data, &got), json.Unmarshal(data, &want)
	if err != nil || wantErr != nil {
		t.Fatalf("read: %v, encoding/json: %v", err, wantErr)
	}
	if !reflect.DeepEqual(got, want) {
		t.Fatalf("got  %+v\nwant %+v", got, want)
	}
}

func TestReadsWhatOthersWrite(t *testing.T) {
	for _, text := range []string{
		`{}`, `null`, ` { "text" : "a" ,` + "\n\t\r" + ` "int" : -5 } `,
		`{"text": null, "yes": null, "int": null, "long": null, "ints": null, "cuts": null, "bytes": null, "texts": null, "maybe": null, "pairs": null, "one": null, "list": null}`,
		`{"newer": [1, {"a": [true, false, null, -1.5e+10, 0.5E-3, "x"]}], "text": "known"}`,
		`{"text": "first", "text": "second"}`,
		`{"text": "\u0041\u00e9\ud83d\ude00\/\b\f\n\r\t\\\""}`,
		`{"text": "\ud83d", "other": "\ud83d\u0041\ude00\ud83d\ud83d\ude00"}`,
		"{\"text\": \"\xff\xc3(\xed\xa0\x80\", \"\xff\": 1}",
		`{"ints": [], "smalls": [null, 7], "texts": [null, "b"], "list": [null, {}], "pairs": {}, "counts": {"a": null}, "bytes": ""}`,
		`{"octets": [1], "cuts": [1, 2, 3, 4]}`,
		`{"int": -9223372036854775808, "long": 9223372036854775807, "small": 4294967295}`,
		`{"choices": {"b": {"x": "y"}, "a": {}}}`,
	} {
		t.Run(text, func(t *testing.T) { checkRead(t, []byte(text)) })
	}
}

func TestRefused(t *testing.T) {
	for _, tc := range []struct {
		text, says string
		code       engine.Code
	}{
		{"", "line 1, column 1: unexpected end where a value is due", tree.CodeSyntax},
		{"{\n  \"text\": \"a\"\n  \"int\": 1}", `line 3, column 3: '"' stands where a comma or a closing brace is due`, tree.CodeSyntax},
		{`{"text": "a"`, "unexpected end where a comma or a closing brace is due", tree.CodeSyntax},
		{`{"text": "a`, "unexpected end where a closing quote is due", tree.CodeSyntax},
		{`{"text": "a\`, "unexpected end where an escaped character is due", tree.CodeSyntax},
		{"{\"text\": \"a\nb\"}", "where a closing quote is due", tree.CodeSyntax},
		{`{"text": "\x41"}`, "where an escaped character is due", tree.CodeSyntax},
		{`{"text": "\u004"}`, "where an escaped character is due", tree.CodeSyntax},
		{`{"text": "\u00_4"}`, "where an escaped character is due", tree.CodeSyntax},
		{`{"text": "\ud83d\uzzzz"}`, "where an escaped character is due", tree.CodeSyntax},
		{`{"text" "a"}`, "where a colon is due", tree.CodeSyntax},
		{`{"text": }`, "'}' stands where a value is due", tree.CodeSyntax},
		{`{"text": "a",}`, "where the name of a field is due", tree.CodeSyntax},
		{`{,"text": "a"}`, "where the name of a field is due", tree.CodeSyntax},
		{`{text: "a"}`, "where the name of a field is due", tree.CodeSyntax},
		{`{"ints": [1,]}`, "where a value is due", tree.CodeSyntax},
		{`{"ints": [1 2]}`, "where a comma or a closing bracket is due", tree.CodeSyntax},
		{`{"ints": [1`, "unexpected end", tree.CodeSyntax},
		{`{"ints": [01]}`, "where a value is due", tree.CodeSyntax},
		{`{"ints": [1.]}`, "where a value is due", tree.CodeSyntax},
		{`{"ints": [.5]}`, "where a value is due", tree.CodeSyntax},
		{`{"ints": [1e]}`, "where a value is due", tree.CodeSyntax},
		{`{"ints": [+1]}`, "where a value is due", tree.CodeSyntax},
		{`{"ints": [-]}`, "where a value is due", tree.CodeSyntax},
		{`{"yes": True}`, "where a value is due", tree.CodeSyntax},
		{`{} {}`, "'{' stands where the end is due", tree.CodeSyntax},
		{`{}` + "\x00", "where the end is due", tree.CodeSyntax},
		{strings.Repeat("[", 100_000), "too deep", tree.CodeSyntax},
		{strings.Repeat(`{"list":[`, 9), "too deep", tree.CodeSyntax},
		{`[]`, "a list of 0 stands where an object is due", tree.CodeType},
		{`{"text": 1}`, "text: 1 stands where a text is due", tree.CodeType},
		{`{"yes": "true"}`, "true or false", tree.CodeType},
		{`{"int": "1"}`, "a number", tree.CodeType},
		{`{"int": 1.5}`, "1.5 stands where a whole number", tree.CodeType},
		{`{"int": 1e3}`, "1e3 stands where a whole number", tree.CodeType},
		{`{"int": 9223372036854775808}`, "9223372036854775808", tree.CodeType},
		{`{"small": 4294967296}`, "4294967296", tree.CodeType},
		{`{"small": -1}`, "-1", tree.CodeType},
		{`{"smalls": [1, -1]}`, "-1", tree.CodeType},
		{`{"octets": [256]}`, "256", tree.CodeType},
		{`{"octets": "AAA="}`, "a list", tree.CodeType},
		{`{"bytes": "*"}`, `"*" stands where base64`, tree.CodeType},
		{`{"texts": ["a", 1]}`, "1 stands where a text", tree.CodeType},
		{`{"pairs": {"a": 1}}`, "a: 1 stands where a text", tree.CodeType},
		{`{"one": []}`, "one: a list of 0 stands", tree.CodeType},
		{`{"list": [[]]}`, "list: a list of 0 stands", tree.CodeType},
		{`{"list": [{"name": {}}]}`, "name: an object stands", tree.CodeType},
		{`{"form": "x"}`, "no angles", "test.shout"},
		{`{"maybe": "x"}`, "no angles", "test.shout"},
		{`{"text": "` + strings.Repeat("é", 100) + `", "int": "` + strings.Repeat("é", 100) + `"}`, `"` + strings.Repeat("é", 30) + `..."`, tree.CodeType},
	} {
		var e everything
		err := tree.Read([]byte(tc.text), &e)
		if engine.CodeOf(err) != tc.code || !strings.Contains(err.Error(), tc.says) {
			t.Errorf("%.80s: got %v, want %s saying %s", tc.text, err, tc.code, tc.says)
		}
		if json.Unmarshal([]byte(tc.text), &e) == nil {
			t.Errorf("%.80s: encoding/json takes it", tc.text)
		}
	}
}

// The tree keeps what reading passes over.
func TestParseKeepsOrderAndRepeats(t *testing.T) {
	n, err := tree.Parse([]byte(`{"b": 1.50, "a": [true, null], "b": "x"}`))
	if err != nil {
		t.Fatal(err)
	}
	want := tree.Node{Kind: tree.KindObject, Members: []tree.Member{
		{Name: "b", Value: tree.Node{Kind: tree.KindNumber, Text: "1.50"}},
		{Name: "a", Value: tree.Node{Kind: tree.KindList, Items: []tree.Node{{Kind: tree.KindBool, Text: "true"}, {Text: "null"}}}},
		{Name: "b", Value: tree.Node{Kind: tree.KindText, Text: "x"}},
	}}
	if !reflect.DeepEqual(n, want) {
		t.Errorf("got %+v", n)
	}
}

func TestSizesOfNumbers(t *testing.T) {
	for _, n := range []int64{0, math.MinInt64, math.MaxInt64} {
		e, back := everything{Long: n, Int: int(n)}, everything{}
		if err := tree.Read(tree.Write(&e), &back); err != nil || back.Long != n || back.Int != int(n) {
			t.Errorf("%d came back as %d, %d, %v", n, back.Long, back.Int, err)
		}
	}
}

// value gives a node as encoding/json would hold it, numbers as written.
func value(n tree.Node) any {
	switch n.Kind {
	case tree.KindBool:
		return n.Text == "true"
	case tree.KindNumber:
		return json.Number(n.Text)
	case tree.KindText:
		return n.Text
	case tree.KindList:
		list := []any{}
		for _, i := range n.Items {
			list = append(list, value(i))
		}
		return list
	case tree.KindObject:
		object := map[string]any{}
		for _, m := range n.Members {
			object[m.Name] = value(m.Value)
		}
		return object
	}
	return nil
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{`{"a": [1, -2.5e3, "\u00e9\ud83d\ude00", true, null]}`, "\"\xff\"", `[01]`, `"\ud800\ud800"`, ` [[],{}] `, `{"a":1,"a":2}`, "1 2"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		n, err := tree.Parse(data)
		if !json.Valid(data) {
			if err == nil {
				t.Fatal("what is not JSON was read")
			}
			return
		}
		if err != nil {
			if !strings.Contains(err.What, "too deep") {
				t.Fatalf("JSON was refused: %v", err)
			}
			return
		}
		dec := json.NewDecoder(strings.NewReader(string(data)))
		dec.UseNumber()
		var want any
		if err := dec.Decode(&want); err != nil {
			t.Fatal(err)
		}
		if got := value(n); !reflect.DeepEqual(got, want) {
			t.Fatalf("got %#v, want %#v", got, want)
		}
		if n.Kind == tree.KindText && !utf8.ValidString(n.Text) {
			t.Fatal("the text is not UTF-8")
		}
	})
}

// Text that stops anywhere is refused and not read beyond its end, also where
// nothing lies behind it in memory.
func TestCutAnywhere(t *testing.T) {
	whole := `{"a": [1, {"b": "\u00e9\ud83d\ude00\n", "c": [true, null, -2.5e3]}], "d": {}}`
	for n := range len(whole) {
		if _, err := tree.Parse(slices.Clip([]byte(whole[:n]))); err == nil {
			t.Errorf("%s was read", whole[:n])
		}
	}
}
