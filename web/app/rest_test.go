package app

import (
	"os"
	"path"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// secondPart reads which source files go to the second part of a release.
func secondPart(t *testing.T) (patterns []string) {
	t.Helper()
	list, err := os.ReadFile("../serve/second.txt")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(list)) {
		if fields := strings.Fields(line); len(fields) > 1 && fields[0] == "move" {
			patterns = append(patterns, fields[1])
		}
	}
	if len(patterns) == 0 {
		t.Fatal("the list names no files")
	}
	return patterns
}

// What the second part does must wait for it: a handler from one of its files
// whose name is not rare would stop the program.
func TestHandlersOfTheSecondPartAreRare(t *testing.T) {
	patterns := secondPart(t)
	moved := 0
	for name, h := range table() {
		f := runtime.FuncForPC(reflect.ValueOf(h).Pointer())
		file, _ := f.FileLine(f.Entry())
		in := slices.ContainsFunc(patterns, func(p string) bool {
			ok, _ := path.Match(p, "keelcard/web/app/"+path.Base(file))
			return ok
		})
		if in && !Rare(name) {
			t.Errorf("%q is handled in %s, which is in the second part: name its page in rarePage, in rest.go", name, path.Base(file))
		}
		if in {
			moved++
		}
	}
	if moved == 0 {
		t.Error("no handler is in the second part")
	}
}

// start makes the app of a phone on which the second part has not arrived.
func start(t *testing.T, hash string) *State {
	t.Helper()
	s := New()
	Update(s, Msg{Do: "rest-away"})
	Update(s, Msg{Do: "boot", Args: []string{hash}, Now: 1_790_000_000, Rand: make([]byte, 32)})
	return s
}

func asks(effects []Effect) bool {
	return slices.ContainsFunc(effects, func(e Effect) bool { _, ok := e.(LoadRest); return ok })
}

func TestARarePageWaitsForTheSecondPart(t *testing.T) {
	s := start(t, "")
	if s.Awaited() {
		t.Fatal("the first page waits")
	}
	if !asks(Update(s, Msg{Do: "open", Args: []string{"#/take-in"}})) || !s.Awaited() {
		t.Fatal("a rare page does not ask for the second part")
	}
	if Update(s, Msg{Do: "rest-failed"}); !s.Rest.Failed || s.Notice.Text != "" {
		t.Errorf("when it did not come the state is %+v, the notice %q", s.Rest, s.Notice.Text)
	}
	if !asks(Update(s, Msg{Do: "rest-again"})) || s.Rest.Failed {
		t.Error("it is not asked for again")
	}
	s.TakeIn.Faults = []Notice{{Text: "of another time"}}
	Update(s, Msg{Do: "rest-loaded"})
	if s.Awaited() || len(s.TakeIn.Faults) > 0 {
		t.Errorf("when it came the page was not entered: %+v", s.TakeIn)
	}
}

// The drawings of all but birds are in the second part; the tap is taken at once.
func TestACallOfNoBirdWaitsForItsDrawing(t *testing.T) {
	s := start(t, "#/call")
	if s.Awaited() {
		t.Fatal("the call of a bird waits")
	}
	Update(s, Msg{Do: "call.thing", Args: []string{"opened"}})
	if !s.Awaited() || s.CallBird().Book != "egg-opened" {
		t.Errorf("an egg is drawn without its drawing, by %s", s.CallBird().Book)
	}
	Update(s, Msg{Do: "rest-loaded"})
	if s.Awaited() {
		t.Error("the egg still waits")
	}
}

func TestATapWaitsForTheSecondPartOnItsPageOnly(t *testing.T) {
	for leave, opened := range map[bool]int{false: 1, true: 0} {
		s := start(t, "")
		for range 2 { // an impatient finger
			if !asks(Update(s, Msg{Do: "demo.open", Now: 1_790_000_001, Rand: make([]byte, 32)})) {
				t.Fatal("the tap does not ask for the second part")
			}
		}
		if len(s.Contests) != 0 {
			t.Fatal("it was done before the second part came")
		}
		if leave {
			Update(s, Msg{Do: "route", Args: []string{"#/phone"}})
		}
		Update(s, Msg{Do: "rest-loaded", Now: 1_790_000_002})
		if len(s.Contests) != opened {
			t.Errorf("page left %v: %d contests, want %d", leave, len(s.Contests), opened)
		}
	}
}

func TestATapSaysWhenTheSecondPartDoesNotCome(t *testing.T) {
	s := start(t, "")
	Update(s, Msg{Do: "demo.open", Now: 1_790_000_001, Rand: make([]byte, 32)})
	Update(s, Msg{Do: "rest-failed"})
	if s.Notice.Text == "" || s.Notice.Fix == "" {
		t.Error("nothing is said")
	}
	Update(s, Msg{Do: "rest-loaded"})
	if len(s.Contests) != 0 {
		t.Error("a tap that was told off came back later")
	}
}

// A file that was shared to the app must not be lost.
func TestASharedFileWaitsForTheSecondPart(t *testing.T) {
	s := start(t, "")
	Update(s, Msg{Do: "file", Args: []string{"share", "letter.txt", Among}, Bytes: []byte("no contest")})
	Update(s, Msg{Do: "failed.share", Args: []string{"choose a smaller one"}, Text: "film.mp4 is too large"})
	Update(s, Msg{Do: "rest-failed"})
	Update(s, Msg{Do: "route", Args: []string{"#/phone"}})
	Update(s, Msg{Do: "rest-loaded"})
	if s.Page.Name != "take-in" || len(s.TakeIn.Faults) != 2 {
		t.Errorf("the files were not looked at: page %s, %+v", s.Page.Name, s.TakeIn.Faults)
	}
}
