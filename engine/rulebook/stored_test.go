package rulebook_test

import (
	"bytes"
	"encoding/json"
	"reflect"
	"testing"

	"keelcard/engine/rulebook"
)

// The canonical form is what encoding/json writes by the tags, with <, > and &
// as they are: a contest names its book by the hash of that.
func TestEncodeAsEncodingJSON(t *testing.T) {
	own, err := rulebook.Decode([]byte(small(t)))
	if err != nil {
		t.Fatal(err)
	}
	faults, err := rulebook.Decode([]byte(smallFaults(t)))
	if err != nil {
		t.Fatal(err)
	}
	own.About, own.Notes[0].Text = "a < b & \"c\" > d\u2028é", `back\slash`
	for _, b := range append(rulebook.Builtin(), own, faults) {
		var want bytes.Buffer
		enc := json.NewEncoder(&want)
		enc.SetEscapeHTML(false)
		if err := enc.Encode(b); err != nil {
			t.Fatal(err)
		}
		if got := string(b.Encode()) + "\n"; got != want.String() {
			t.Errorf("%s is written\n%s, not\n%s", b.ID, got, &want)
		}
		var as rulebook.Book
		if err := json.Unmarshal(want.Bytes(), &as); err != nil {
			t.Fatal(err)
		}
		if got, err := rulebook.Decode(b.Encode()); err != nil || !reflect.DeepEqual(*got, as) {
			t.Errorf("%s is read as %+v, %v", b.ID, got, err)
		}
	}
}
