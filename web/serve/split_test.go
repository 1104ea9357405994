package main

import (
	"bytes"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// probeParts builds the program in testdata/parts, whole, as a release is built.
func probeParts(t *testing.T) []byte {
	t.Helper()
	if testing.Short() {
		t.Skip("builds a program")
	}
	whole, err := compile(".", "./testdata/parts", filepath.Join(t.TempDir(), "whole.wasm"))
	if err != nil {
		t.Fatal(err)
	}
	return whole
}

const movedFile = "keelcard/web/serve/testdata/parts/moved.go"

// probeGates hold the moved functions, in a map and one more.
var probeGates = []string{"main.init", "main.map.init.*", "main.main"}

// node runs a program and its second part, which may be nil, and gives what it
// printed and what it said when it failed.
func node(t *testing.T, first, second []byte, args ...string) (out, trouble string, err error) {
	t.Helper()
	dir := t.TempDir()
	write := func(name string, body []byte) string {
		if body == nil {
			return ""
		}
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, body, 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	script, err := startScript()
	if err != nil {
		t.Fatal(err)
	}
	runner, err := filepath.Abs("testdata/parts/run.cjs")
	if err != nil {
		t.Fatal(err)
	}
	all := append([]string{runner, write("wasm_exec.cjs", script), write("first.wasm", first), write("second.wasm", second)}, args...)
	cmd := exec.Command("node", all...)
	var said, wrong bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &wrong
	err = cmd.Run()
	return said.String(), wrong.String(), err
}

// The two parts together do what the whole program does: closures, methods,
// panics that go through functions of both parts, goroutines that sleep in
// moved functions, garbage collected under them, stacks that grow.
func TestPartsDoWhatTheWholeDoes(t *testing.T) {
	whole := probeParts(t)
	parts, err := partsOf(whole, list{move: []string{movedFile}, gate: probeGates}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if first, err := readSections(parts.first); err != nil || !slices.ContainsFunc(first, func(s section) bool { return s.kind == startNumber }) {
		t.Error("the tables of functions are laid out in another way by this version of Go: ", err)
	}
	if len(parts.strays) > 0 {
		t.Errorf("functions stayed that could go: %v", parts.strays)
	}
	want, trouble, err := node(t, whole, nil)
	if err != nil {
		t.Fatal(err, trouble)
	}
	for _, line := range []string{
		"closures: 1 3 13 39", "methods: square 864 25n", "goroutines: 6240", "exits: left", "deep: 4000", "square 3 9",
		"recovered: to the end after [thrown there of the first part again once 2 1 0]",
		"switches: abbbcdefghijjklmn....ij.........ij.........",
	} {
		if !strings.Contains(want, line+"\n") {
			t.Errorf("the whole program does not print %q:\n%s", line, want)
		}
	}
	got, trouble, err := node(t, parts.first, parts.second)
	if err != nil || got != want {
		t.Errorf("%v %s\nprints\n%s\nwant\n%s", err, trouble, got, want)
	}
	if _, trouble, err := node(t, parts.first, parts.second, "crash"); err == nil || !strings.Contains(trouble, "the end of it") {
		t.Errorf("a crash in the second part says %v %q", err, trouble)
	}
	if out, trouble, err := node(t, parts.first, parts.second, "early"); err == nil || !strings.Contains(trouble, "unreachable") {
		t.Errorf("a function that is not there yet: %v %q %q", err, out, trouble)
	}
}

// What the second part brings to the memory is what was taken out of the first,
// and nothing that changes what is there besides.
func TestPartsHaveTheMemoryOfTheWhole(t *testing.T) {
	whole := probeParts(t)
	m, memory := taken(t, whole)
	functions, err := readFunctions(memory, len(m.bodies))
	if err != nil {
		t.Fatal(err)
	}
	late := make([]bool, len(functions))
	for i := range late {
		late[i] = i%3 == 1 // neighbours of all kinds
	}
	spans, err := descriptions(memory, late)
	if err != nil {
		t.Fatal(err)
	}
	data, moved := takeOut([]segment{{0, memory}}, spans)
	first := flat(data)
	if bytes.Equal(first, memory) {
		t.Fatal("nothing was taken out")
	}
	body, err := writeSegments(moved, 0)
	if err != nil {
		t.Fatal(err)
	}
	if moved, err = readSegments(body); err != nil {
		t.Fatal(err)
	}
	for _, s := range moved {
		copy(first[s.at:], s.data)
	}
	if !bytes.Equal(first, memory) {
		t.Error("together the parts have another memory")
	}
}

// taken reads a program and the memory it starts with.
func taken(t *testing.T, whole []byte) (*module, []byte) {
	t.Helper()
	m, err := readModule(whole)
	if err != nil {
		t.Fatal(err)
	}
	data, err := readSegments(m.section(dataSection))
	if err != nil {
		t.Fatal(err)
	}
	return m, flat(data)
}

// A part of another build must not run with this one: it would write its
// functions over others.
func TestPartsOfOtherBuildsDoNotLink(t *testing.T) {
	whole := probeParts(t)
	one, err := partsOf(whole, list{move: []string{movedFile}, gate: probeGates}, nil)
	if err != nil {
		t.Fatal(err)
	}
	other, err := partsOf(whole, list{move: []string{movedFile}, gate: probeGates, keep: []string{"main.closures"}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if _, trouble, err := node(t, one.first, other.second); err == nil || !strings.Contains(trouble, "LinkError") {
		t.Errorf("the second part of another build: %v %q", err, trouble)
	}
}

// What the first part calls by name stays in it, and the build says what calls
// it.
func TestTheFirstPartKeepsWhatItCalls(t *testing.T) {
	whole := probeParts(t)
	const mainFile = "keelcard/web/serve/testdata/parts/main.go"
	p, err := partsOf(whole, list{move: []string{mainFile}, gate: probeGates}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if p.strayed == 0 {
		t.Fatal("nothing is called")
	}
	told := p.check(p.strayed - 1)
	if told == nil || !strings.Contains(told.Error(), "main.twice is called or held by main.closures") {
		t.Errorf("too much that stays is told as %v", told)
	}
	if err := p.check(p.strayed); err != nil {
		t.Error(err)
	}
	open, err := partsOf(whole, list{move: []string{movedFile}}, nil)
	if err != nil || !slices.ContainsFunc(open.strays, func(s string) bool { return strings.Contains(s, "main.closures is called or held by main.") }) {
		t.Errorf("what the first part holds without a gate does not stay: %v %v", err, open.strays)
	}
	want, _, err := node(t, whole, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got, trouble, err := node(t, p.first, p.second); err != nil || got != want {
		t.Errorf("%v %s prints\n%s", err, trouble, got)
	}
}

func TestEmbeddedTextMoves(t *testing.T) {
	whole := probeParts(t)
	text := []byte("keel wing back breast tail")
	p, err := partsOf(whole, list{move: []string{movedFile}, gate: probeGates, text: []string{"it"}}, [][]byte{text})
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(p.first, text) || !bytes.Contains(p.second, text) {
		t.Error("the text is still in the first part")
	}
	out, trouble, err := node(t, p.first, p.second)
	if err != nil || !strings.Contains(out, "values: back breast keel tail wing\n") {
		t.Errorf("%v %s prints\n%s", err, trouble, out)
	}
	if _, err := partsOf(whole, list{text: []string{"none"}}, [][]byte{[]byte("no such text anywhere")}); err == nil {
		t.Error("a text that is not there was found")
	}
}

func TestNamesOfFunctions(t *testing.T) {
	for name, want := range map[string]struct{ initial, method bool }{
		"keelcard/web/view.init":                                            {initial: true},
		"keelcard/web/view.init.0":                                          {initial: true},
		"keelcard/web/view.map.init.12":                                     {initial: true},
		"keelcard/web/view.init.func1":                                      {},
		"keelcard/web/view.initials":                                        {},
		"keelcard/web/app.(*State).Latest":                                  {method: true},
		"keelcard/web/app.Page.Hash":                                        {method: true},
		"keelcard/web/app.(*State).Latest.func1":                            {},
		"keelcard/web/app.(*State).Latest-fm":                               {},
		"keelcard/web/app.setting.func1":                                    {},
		"keelcard/web/app.setupHandlers.gowrap2":                            {},
		"main.(*queue[keelcard/web/app.Msg]).put":                           {method: true},
		"keelcard/engine/sorting.Stable[go.shape.struct { A b.C \"x.y\" }]": {},
		"github.com/hack-pad/go-indexeddb@v0.3.2/idb.(*DB).Close":           {method: true},
	} {
		if got := initial(name); got != want.initial {
			t.Errorf("%s sets up a package: %v", name, got)
		}
		if got := method(name); got != want.method {
			t.Errorf("%s is a method: %v", name, got)
		}
	}
}

func TestLists(t *testing.T) {
	l, err := readList("# why\n\nmove a/*.go  seldom\nkeep a.b*\nlate c.go\ntext d.txt\n")
	if err != nil {
		t.Fatal(err)
	}
	if !matches(l.move, "a/x.go") || matches(l.move, "a/b/x.go") || !matches(l.keep, "a.bc") || !matches(l.late, "c.go") || !matches(l.text, "d.txt") {
		t.Errorf("read %+v", l)
	}
	for _, wrong := range []string{"move\n", "take a.go\n", "move a[\n"} {
		if _, err := readList(wrong); err == nil {
			t.Errorf("%q was taken", wrong)
		}
	}
	if _, err := readList(secondList); err != nil {
		t.Error(err)
	}
}

// An instruction that is not known could hide a call.
func TestUnknownInstructionsAreRefused(t *testing.T) {
	for name, body := range map[string][]byte{
		"none of the format":  {0, 0xff, 0x0b},
		"a later one":         {0, 0xfd, 0x0b},
		"a later numeric one": {0, 0xfc, 0x0c, 0, 0},
		"cut off":             {0, 0x10},
		"a constant cut off":  {0, 0x44, 1, 2, 3},
	} {
		if err := instructions(body, func(instruction) {}); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
	var calls []int64
	body := []byte{1, 2, 0x7f, 0x41, 0x90, 0x00, 0x42, 0x10, 0x10, 0x85, 0x01, 0x0e, 1, 0x10, 0x10, 0x44, 0x10, 0x10, 0, 0, 0, 0, 0, 0, 0x0b}
	if err := instructions(body, func(i instruction) {
		if i.op == opCall {
			calls = append(calls, i.number)
		}
	}); err != nil || len(calls) != 1 || calls[0] != 133 {
		t.Errorf("the calls are %v: %v", calls, err)
	}
}

// What arrives later has a budget of its own and does not count for a first
// visit.
func TestSecondPartHasABudget(t *testing.T) {
	for size, fits := range map[int]bool{secondPart: true, secondPart + 1: false} {
		noise := make([]byte, size)
		rand.NewChaCha8([32]byte{}).Read(noise) // does not compress
		var out strings.Builder
		err := printSize(&out, &site{files: map[string]*file{"app.wasm": {body: noise[:9]}, secondFile: {body: noise}}})
		if (err == nil) != fits {
			t.Errorf("%d bytes: %v", size, err)
		}
		if !strings.Contains(out.String(), " 9  first download") {
			t.Errorf("the second part counts for a first visit:\n%s", &out)
		}
	}
}
