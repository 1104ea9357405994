package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// A program without names does what it did before: it sorts, recovers from a
// panic, collects garbage and ends with the same output. Only a trace differs.
const probe = `package main

import (
	"fmt"
	"os"
	"runtime"
	"sort"
	"strings"
)

type tree struct{ left, right *tree }

func grow(n int) *tree {
	if n == 0 {
		return nil
	}
	return &tree{grow(n - 1), grow(n - 1)}
}

func (t *tree) count() int {
	if t == nil {
		return 0
	}
	return 1 + t.left.count() + t.right.count()
}

func deep(n int) int {
	var big [200]int
	if n == 0 {
		return 0
	}
	big[n%200] = n
	return deep(n-1) + big[n%200] - n + 1
}

func caught(f func()) (what string) {
	defer func() { what = fmt.Sprint(recover()) }()
	f()
	return
}

func main() {
	words := strings.Fields("keel wing back breast tail")
	sort.Strings(words)
	fmt.Println(words, deep(5000))
	for i := 0; i < 5; i++ {
		fmt.Print(grow(12).count(), " ")
		runtime.GC()
	}
	fmt.Println(caught(func() { _ = words[len(words)] }), caught(func() { var t *tree; t.left = t }))
	done := make(chan int)
	go func() { done <- deep(3000) }()
	fmt.Println(<-done)
	if len(os.Args) > 1 {
		panic("the end of it")
	}
}
`

func TestForgetNamesKeepsWhatAProgramDoes(t *testing.T) {
	if testing.Short() {
		t.Skip("builds a program")
	}
	dir := t.TempDir()
	source := filepath.Join(dir, "main.go")
	if err := os.WriteFile(source, []byte(probe), 0o600); err != nil {
		t.Fatal(err)
	}
	whole := filepath.Join(dir, "whole.wasm")
	build := exec.Command("go", "build", "-ldflags=-s -w", "-o", whole, source)
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	program, err := os.ReadFile(whole)
	if err != nil {
		t.Fatal(err)
	}
	without, err := forgetNames(program)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Equal(without, program) || bytes.Contains(without, []byte("main.(*tree).count")) {
		t.Fatal("the names are still there: this version of Go lays its tables out in another way")
	}
	short := filepath.Join(dir, "short.wasm")
	if err := os.WriteFile(short, without, 0o600); err != nil {
		t.Fatal(err)
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	run := func(program string, args ...string) (string, string) {
		cmd := exec.Command(filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "go_js_wasm_exec"), append([]string{program}, args...)...)
		var out, trace bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &trace
		if err := cmd.Run(); (err != nil) != (len(args) > 0) {
			t.Fatalf("%s %v: %v\n%s", filepath.Base(program), args, err, trace.String())
		}
		return out.String(), trace.String()
	}
	want, _ := run(whole)
	if got, _ := run(short); got != want {
		t.Errorf("prints %q, want %q", got, want)
	}
	if _, trace := run(short, "crash"); !strings.Contains(trace, "the end of it") {
		t.Errorf("a crash says %q", trace)
	}
}

func TestForgetNamesLeavesWhatItDoesNotKnow(t *testing.T) {
	for name, memory := range map[string][]byte{
		"no table":       make([]byte, 200),
		"cut off":        append(bytes.Clone(functionTable), 1, 2, 3),
		"places outside": append(bytes.Clone(functionTable), bytes.Repeat([]byte{0xff}, 100)...),
	} {
		before := bytes.Clone(memory)
		if forgetTables(memory) || !bytes.Equal(memory, before) {
			t.Errorf("%s: it was changed", name)
		}
	}
}
