package main

import (
	"bytes"
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
	parts, err := partsOf(whole, list{move: []string{movedFile}}, nil)
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
