package cases

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"

	"golang.org/x/tools/txtar"

	"keelcard/engine/amount"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
)

// bookFile is a book of one's own, beside its cases.
const bookFile = "book.json"

// want is what a case expects. A list that is absent is not checked; an empty
// one must be empty.
type want struct {
	Grade      string          `json:"grade"`
	Set        *[]string       `json:"set"`     // factors
	Faults     *[]string       `json:"faults"`  // of a faults book
	Touched    *[]string       `json:"touched"` // factors
	Differ     *[]wantDiffer   `json:"differ"`
	Unmeasured *[]wantGap      `json:"unmeasured"`
	Certain    string          `json:"certain"`
	Open       []wantOpenGrade `json:"open"`

	Amounts map[string]amount.Amount `json:"amounts"` // by factor
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

// bookOf is the folder's own book, or the built-in book of its name.
func bookOf(dir fs.FS, sub string) (*rulebook.Book, error) {
	name := path.Join(sub, bookFile)
	data, err := fs.ReadFile(dir, name)
	if err == nil {
		book, err := rulebook.Decode(data)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		return book, nil
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	book, ok := rulebook.ByID(path.Base(sub))
	if !ok {
		return nil, fmt.Errorf("%s has no %s and is not named after a built-in book", sub, bookFile)
	}
	return book, nil
}

// checkGrading runs a file of testdata/books/<book>.
func checkGrading(book *rulebook.Book, data []byte) (faults []error) {
	archive := txtar.Parse(data)
	faults = append(faults, checkSource(book, string(archive.Comment))...)
	var setting grading.Setting
	var findings []grading.Finding
	var w want
	targets := map[string]any{"setting.json": &setting, "findings.json": &findings, "want.json": &w}
	for _, f := range archive.Files {
		target, ok := targets[f.Name]
		if !ok {
			return append(faults, fmt.Errorf("unknown or second part %q", f.Name))
		}
		delete(targets, f.Name)
		if err := readStrict(f.Data, target); err != nil {
			return append(faults, fmt.Errorf("%s: %w", f.Name, err))
		}
	}
	if len(targets) > 0 {
		return append(faults, fmt.Errorf("parts are missing: %v", slices.Sorted(maps.Keys(targets))))
	}
	if (w.Grade == "") == (len(w.Open) < 2) {
		return append(faults, errors.New("want.json: either a grade or two open answers are needed"))
	}
	v, err := grading.Grade(book, setting, findings)
	if err != nil {
		return append(faults, err)
	}
	faults = append(faults, checkVerdict(v, w)...)
	faults = append(faults, checkPresent(book, v, w)...)
	for _, open := range w.Open {
		faults = append(faults, checkOpen(book, setting, findings, open)...)
	}
	return faults
}

// checkSource wants a head that ends with "Source: id, confidence".
func checkSource(book *rulebook.Book, head string) (faults []error) {
	source, err := splitHead(head)
	if err != nil {
		return []error{err}
	}
	id, confidence, _ := strings.Cut(source, ", ")
	if !slices.ContainsFunc(book.Sources, func(s rulebook.Source) bool { return s.ID == id }) {
		faults = append(faults, fmt.Errorf("Source: the book has no source %q", id))
	}
	if !slices.Contains([]string{rulebook.Read, rulebook.FromMemory, rulebook.CommonPractice}, confidence) {
		faults = append(faults, fmt.Errorf("Source: %q does not say how well it is known", confidence))
	}
	return faults
}

// readStrict reads one value and refuses unknown fields and what stands after it.
func readStrict(data []byte, target any) error {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(target); err != nil {
		return err
	}
	if _, err := dec.Token(); err != io.EOF {
		return errors.New("something stands after the end")
	}
	return nil
}

func checkVerdict(v grading.Verdict, w want) (faults []error) {
	add := func(format string, args ...any) { faults = append(faults, fmt.Errorf("want.json: "+format, args...)) }
	if w.Grade != "" && v.Grade != w.Grade {
		add("grade %s, want %s; set by %v", v.Grade, w.Grade, factors(v.Set))
	}
	if w.Set != nil && !slices.Equal(factors(v.Set), *w.Set) {
		add("set by %v, want %v", factors(v.Set), *w.Set)
	}
	if w.Touched != nil && !slices.Equal(factors(v.Touched), *w.Touched) {
		add("touched %v, want %v", factors(v.Touched), *w.Touched)
	}
	if w.Differ != nil {
		var got []wantDiffer
		for _, d := range v.Differ {
			got = append(got, wantDiffer{d.Choice, d.Option, d.Grade})
		}
		if !slices.Equal(got, *w.Differ) {
			add("differ %v, want %v", got, *w.Differ)
		}
	}
	if w.Unmeasured != nil {
		var got []wantGap
		for _, g := range v.Unmeasured {
			got = append(got, wantGap{g.Finding, g.Needs})
		}
		if !slices.Equal(got, *w.Unmeasured) {
			add("unmeasured %v, want %v", got, *w.Unmeasured)
		}
	}
	for _, factor := range slices.Sorted(maps.Keys(w.Amounts)) {
		if got := amountOf(v, factor); got != w.Amounts[factor] {
			add("%s is %v, want %v", factor, got, w.Amounts[factor])
		}
	}
	if w.Certain != "" && v.Certain != w.Certain {
		add("certain %q, want %q", v.Certain, w.Certain)
	}
	return faults
}

// checkPresent wants the faults of a faults book; a book of grades has none to
// expect.
func checkPresent(book *rulebook.Book, v grading.Verdict, w want) []error {
	if w.Faults == nil {
		return nil
	}
	if !book.IsFaults() {
		return []error{fmt.Errorf("want.json: the book %s is not about faults", book.ID)}
	}
	got := []string{}
	for _, p := range grading.FaultsOf(book, v) {
		got = append(got, p.ID)
	}
	if !slices.Equal(got, *w.Faults) {
		return []error{fmt.Errorf("want.json: faults %v, want %v", got, *w.Faults)}
	}
	return nil
}

// amountOf is the amount of a factor that a verdict tells of.
func amountOf(v grading.Verdict, factor string) amount.Amount {
	told := slices.Concat(v.Set, v.Touched)
	for _, d := range v.Near {
		told = append(told, d.Reason)
	}
	for _, r := range told {
		if r.Factor == factor {
			return r.Amount
		}
	}
	return amount.Amount{}
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
func checkOpen(book *rulebook.Book, setting grading.Setting, findings []grading.Finding, open wantOpenGrade) (faults []error) {
	if len(open.Choices) == 0 {
		return []error{errors.New("want.json: an open answer names no choice")}
	}
	all := maps.Clone(setting.Choices)
	if all == nil {
		all = map[string]string{}
	}
	maps.Copy(all, open.Choices)
	setting.Choices = all
	add := func(format string, args ...any) {
		faults = append(faults, fmt.Errorf("want.json, open under %v: "+format, append([]any{open.Choices}, args...)...))
	}
	v, err := grading.Grade(book, setting, findings)
	if err != nil {
		add("%w", err)
		return faults
	}
	if v.Grade != open.Grade {
		add("grade %s, want %s; set by %v", v.Grade, open.Grade, factors(v.Set))
	}
	for _, choice := range slices.Sorted(maps.Keys(open.Choices)) {
		if !slices.ContainsFunc(v.Differ, func(d grading.Difference) bool { return d.Choice == choice && d.Grade != open.Grade }) {
			add("the verdict does not say that %s decides", choice)
		}
	}
	return faults
}
