package app_test

import (
	"encoding/base64"
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine/tree"
	"keelcard/web/app"
)

// What is kept is written and read as encoding/json does it by the tags, so
// that a phone reads what it kept under any version.
func TestStoredAsEncodingJSON(t *testing.T) {
	t.Run("phone", checkStored[app.Phone])
	t.Run("head of a contest", checkStored[app.Head])
	t.Run("head of a phone", checkStored[app.PhoneHead])
	t.Run("handing over", checkStored[app.Given])
	t.Run("holding", checkStored[app.Holding])
	t.Run("draft", checkStored[app.Draft])
	t.Run("bird of a call", checkStored[app.CallBird])
}

func checkStored[T any, P interface {
	*T
	tree.Object
}](t *testing.T) {
	anything := rapid.Make[T]()
	rapid.Check(t, func(t *rapid.T) {
		v := anything.Draw(t, "value")
		want, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		// A list that is always written is empty here where it is null there.
		got := string(tree.Write(P(&v)))
		if got != strings.NewReplacer(`"phones":null`, `"phones":[]`, `"marks":null`, `"marks":[]`, `"public":null`, `"public":""`).Replace(string(want)) {
			t.Fatalf("written\n%s, not\n%s", got, want)
		}
		var back, as T
		err, asErr := tree.Read(want, P(&back)), json.Unmarshal(want, &as)
		if (err == nil) != (asErr == nil) {
			t.Fatalf("reading gives %v, encoding/json %v", err, asErr)
		}
		if err == nil && !reflect.DeepEqual(back, as) {
			t.Fatalf("read\n%+v, not\n%+v", back, as)
		}
	})
}

// The call as a whole has parts that are not kept, so it is held against one
// written out.
func TestCallIsKeptWithItsPast(t *testing.T) {
	const text = `{"now":{"book":"carcass-federal","kind":"turkey","weight":"18 lb 3 oz","choices":{"carcass-federal":{"a":"b"}},` +
		`"findings":[{"defect":"tear","site":"breast","length":"1/4 in","share":"1/3","x":500,"y":250,"sure":"likely"}]},` +
		`"past":[{"book":"carcass-youth","kind":"chicken","weight":"4 lb"}]}`
	var c app.Call
	if err := tree.Read([]byte(text), &c); err != nil {
		t.Fatal(err)
	}
	if len(c.Past) != 1 || c.Now.Findings[0].X != 500 || c.Now.Choices["carcass-federal"]["a"] != "b" {
		t.Errorf("read %+v", c)
	}
	if got := string(tree.Write(&c)); got != text {
		t.Errorf("written\n%s, not\n%s", got, text)
	}
}

func TestFieldsOfALink(t *testing.T) {
	const text = `{"b":"carcass-youth","k":"chicken","w":"4 lb","o":{"carcass-youth":{"answers":"three"}},` +
		`"f":[{"d":"tear","s":"breast","n":2,"l":"1/4 in","h":"1 mm","p":"1/3","q":"2 in","v":"front","x":500,"y":250,"u":"likely"},{"d":"disjoint","s":""}]}`
	var c app.CallBird
	if err := tree.Read([]byte(strings.NewReplacer(
		`"b"`, `"book"`, `"k"`, `"kind"`, `"w"`, `"weight"`, `"o"`, `"choices"`, `"f"`, `"findings"`, `"d"`, `"defect"`, `"s"`, `"site"`, `"n"`, `"count"`,
		`"l"`, `"length"`, `"h"`, `"depth"`, `"p"`, `"share"`, `"q"`, `"partlength"`, `"v"`, `"view"`, `"u"`, `"sure"`).Replace(text)), &c); err != nil {
		t.Fatal(err)
	}
	c.Findings[0].Note = "who showed it"
	got, err := base64.RawURLEncoding.DecodeString(strings.TrimPrefix(app.EncodeCall(c), "1"))
	if err != nil || string(got) != text {
		t.Errorf("written %s, %v, not\n%s", got, err, text)
	}
}
