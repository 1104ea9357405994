package contest_test

import (
	"encoding/json"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine/contest"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
	"keelcard/engine/tree"
)

// Each value is written and read as encoding/json does it by the tags: records
// of phones that wrote them so are signed and cannot be written anew.
func TestValuesAsEncodingJSON(t *testing.T) {
	t.Run("settings", checkStored[contest.Settings])
	t.Run("tie", checkStored[contest.Tie])
	t.Run("class", checkStored[contest.Class])
	t.Run("points", checkStored[contest.PairPoints])
	t.Run("person", checkStored[contest.Person])
	t.Run("team", checkStored[contest.Team])
	t.Run("key", checkStored[contest.KeyItem])
	t.Run("finding", checkStored[grading.Finding])
	t.Run("seen", checkStored[contest.Seen])
	t.Run("ruling", checkStored[contest.Ruling])
	t.Run("variation", checkStored[contest.ContestBook])
	t.Run("change", checkStored[rulebook.Change])
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
		if got := tree.Write(P(&v)); string(got) != string(want) {
			t.Fatalf("written\n%s, not\n%s", got, want)
		}
		var got, as T
		err, asErr := tree.Read(want, P(&got)), json.Unmarshal(want, &as)
		if (err == nil) != (asErr == nil) {
			t.Fatalf("reading gives %v, encoding/json %v", err, asErr)
		}
		if err == nil && !reflect.DeepEqual(got, as) {
			t.Fatalf("read\n%+v, not\n%+v", got, as)
		}
	})
}

// A newer app may add fields; an older one reads past them.
func TestFieldsOfNewerAppsArePassedOver(t *testing.T) {
	var p contest.Person
	err := tree.Read([]byte(`{"new": {"a": [1, {"b": null}]}, "name": "Ana Birch", "team": 3, "newer": "x"}`), &p)
	if want := (contest.Person{Name: "Ana Birch", Team: 3}); err != nil || !reflect.DeepEqual(p, want) {
		t.Errorf("read %+v, %v", p, err)
	}
}
