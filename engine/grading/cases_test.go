package grading_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"

	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
)

var casesDir = flag.String("cases", "", "another folder of cases to run as well; see testdata/books/README.md")

const builtinCases = "../../testdata/books"

// want is what a case expects. A list that is absent is not checked; an empty
// one must be empty.
type want struct {
	Grade      string          `json:"grade"`
	Set        *[]string       `json:"set"`     // factors
	Touched    *[]string       `json:"touched"` // factors
	Differ     *[]wantDiffer   `json:"differ"`
	Unmeasured *[]wantGap      `json:"unmeasured"`
	Certain    string          `json:"certain"`
	Open       []wantOpenGrade `json:"open"`
}

type wantDiffer struct {
	Choice string `json:"choice"`
	Option string `json:"option"`
	Grade  string `json:"grade"`
}

type wantGap struct {
	Finding int    `json:"finding"`
	Needs   string `json:"needs"`
}

// wantOpenGrade is one answer to a case that the sources leave open.
type wantOpenGrade struct {
	Choices map[string]string `json:"choices"`
	Grade   string            `json:"grade"`
}

func TestCases(t *testing.T) {
	for _, b := range rulebook.Builtin() {
		if n := runFolder(t, filepath.Join(builtinCases, b.ID)); n == 0 {
			t.Errorf("the book %q has no cases", b.ID)
		}
	}
	if *casesDir == "" {
		return
	}
	folders, err := filepath.Glob(filepath.Join(*casesDir, "*", "*.txtar"))
	if err != nil || len(folders) == 0 {
		t.Fatalf("no cases in %s/<book>/*.txtar (%v)", *casesDir, err)
	}
	for i := range folders {
		folders[i] = filepath.Dir(folders[i])
	}
	for _, dir := range slices.Compact(folders) {
		runFolder(t, dir)
	}
}

// TestCaseFoldersHaveBooks fails for cases that no book would run.
func TestCaseFoldersHaveBooks(t *testing.T) {
	entries, err := os.ReadDir(builtinCases)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if _, ok := rulebook.ByID(e.Name()); e.IsDir() && !ok {
			t.Errorf("the folder %s is not named after a book", e.Name())
		}
	}
}

// runFolder runs the cases of one book and gives their number.
func runFolder(t *testing.T, dir string) int {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*.txtar"))
	if err != nil {
		t.Fatal(err)
	}
	book := bookFor(t, dir)
	for _, file := range files {
		name := filepath.Base(dir) + "/" + strings.TrimSuffix(filepath.Base(file), ".txtar")
		t.Run(name, func(t *testing.T) { runCase(t, book, file) })
	}
	return len(files)
}

// bookFor is the folder's own book.json, or the built-in book of its name.
func bookFor(t *testing.T, dir string) *rulebook.Book {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, "book.json"))
	if err == nil {
		b, err := rulebook.Decode(data)
		if err != nil {
			t.Fatalf("%s: %v", dir, err)
		}
		return b
	}
	b, ok := rulebook.ByID(filepath.Base(dir))
	if !ok {
		t.Fatalf("%s has no book.json and is not named after a built-in book", dir)
	}
	return b
}

func runCase(t *testing.T, book *rulebook.Book, file string) {
	archive, err := txtar.ParseFile(file)
	if err != nil {
		t.Fatal(err)
	}
	checkHead(t, book, string(archive.Comment))
	var setting grading.Setting
	var findings []grading.Finding
	var w want
	targets := map[string]any{"setting.json": &setting, "findings.json": &findings, "want.json": &w}
	for _, f := range archive.Files {
		target, ok := targets[f.Name]
		if !ok {
			t.Fatalf("unknown or second part %q", f.Name)
		}
		delete(targets, f.Name)
		readStrict(t, f.Name, f.Data, target)
	}
	if len(targets) > 0 {
		t.Fatalf("parts are missing: %v", slices.Sorted(maps.Keys(targets)))
	}
	if (w.Grade == "") == (len(w.Open) < 2) {
		t.Fatal("want.json needs either a grade or two open answers")
	}
	v, err := grading.Grade(book, setting, findings)
	if err != nil {
		t.Fatal(err)
	}
	checkVerdict(t, v, w)
	for _, open := range w.Open {
		checkOpen(t, book, setting, findings, open)
	}
}

// checkHead wants a story and a line "Source: id, confidence".
func checkHead(t *testing.T, book *rulebook.Book, head string) {
	t.Helper()
	story, line, ok := strings.Cut(head, "\nSource: ")
	id, confidence, ok2 := strings.Cut(strings.TrimSpace(line), ", ")
	if !ok || !ok2 || strings.TrimSpace(story) == "" {
		t.Fatalf("the head needs a story and a line %q", "Source: id, confidence")
	}
	if !slices.ContainsFunc(book.Sources, func(s rulebook.Source) bool { return s.ID == id }) {
		t.Errorf("the book has no source %q", id)
	}
	if !slices.Contains([]string{rulebook.Read, rulebook.FromMemory, rulebook.CommonPractice}, confidence) {
		t.Errorf("%q is no confidence", confidence)
	}
}

func readStrict(t *testing.T, name string, data []byte, target any) {
	t.Helper()
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(target); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

func checkVerdict(t *testing.T, v grading.Verdict, w want) {
	t.Helper()
	if w.Grade != "" && v.Grade != w.Grade {
		t.Errorf("grade %s, want %s; set by %v", v.Grade, w.Grade, factors(v.Set))
	}
	if w.Set != nil && !slices.Equal(factors(v.Set), *w.Set) {
		t.Errorf("set by %v, want %v", factors(v.Set), *w.Set)
	}
	if w.Touched != nil && !slices.Equal(factors(v.Touched), *w.Touched) {
		t.Errorf("touched %v, want %v", factors(v.Touched), *w.Touched)
	}
	if w.Differ != nil {
		var got []wantDiffer
		for _, d := range v.Differ {
			got = append(got, wantDiffer{d.Choice, d.Option, d.Grade})
		}
		if !slices.Equal(got, *w.Differ) {
			t.Errorf("differ %v, want %v", got, *w.Differ)
		}
	}
	if w.Unmeasured != nil {
		var got []wantGap
		for _, g := range v.Unmeasured {
			got = append(got, wantGap{g.Finding, g.Needs})
		}
		if !slices.Equal(got, *w.Unmeasured) {
			t.Errorf("unmeasured %v, want %v", got, *w.Unmeasured)
		}
	}
	if w.Certain != "" && v.Certain != w.Certain {
		t.Errorf("certain %q, want %q", v.Certain, w.Certain)
	}
}

func factors(reasons []grading.Reason) []string {
	ids := []string{}
	for _, r := range reasons {
		if !slices.Contains(ids, r.Factor) {
			ids = append(ids, r.Factor)
		}
	}
	return ids
}

// checkOpen grades under an answer's own choices, and wants the verdict under
// each other option to name it.
func checkOpen(t *testing.T, book *rulebook.Book, setting grading.Setting, findings []grading.Finding, open wantOpenGrade) {
	t.Helper()
	if len(open.Choices) == 0 {
		t.Fatal("an open answer names no choice")
	}
	all := maps.Clone(setting.Choices)
	if all == nil {
		all = map[string]string{}
	}
	maps.Copy(all, open.Choices)
	setting.Choices = all
	v, err := grading.Grade(book, setting, findings)
	if err != nil {
		t.Fatal(err)
	}
	where := fmt.Sprint("under ", open.Choices)
	if v.Grade != open.Grade {
		t.Errorf("%s: grade %s, want %s; set by %v", where, v.Grade, open.Grade, factors(v.Set))
	}
	for choice := range open.Choices {
		if !slices.ContainsFunc(v.Differ, func(d grading.Difference) bool { return d.Choice == choice && d.Grade != open.Grade }) {
			t.Errorf("%s: the verdict does not say that %s decides", where, choice)
		}
	}
}
