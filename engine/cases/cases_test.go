package cases

import (
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/rulebook"
)

const ownFolder = "../../testdata"

var folder = flag.String("cases", ownFolder, "folder of cases to run; testdata/README.md tells how they are written")

// TestCases runs every case below the folder.
func TestCases(t *testing.T) {
	dir := os.DirFS(*folder)
	cases, faults := find(dir)
	if isOwn(*folder) {
		faults = append(faults, gaps(cases)...)
	} else {
		faults = append(faults, strays(dir)...)
	}
	for _, fault := range faults {
		t.Errorf("%s: %v", *folder, fault)
	}
	for _, c := range cases {
		t.Run(strings.TrimSuffix(c.path, path.Ext(c.path)), func(t *testing.T) {
			for _, fault := range c.run(dir) {
				t.Errorf("%s: %v", filepath.Join(*folder, c.path), fault)
			}
		})
	}
}

// isOwn tells whether the folder is the one that comes with the program, by
// whatever name it is called.
func isOwn(folder string) bool {
	own, err1 := os.Stat(ownFolder)
	other, err2 := os.Stat(folder)
	return err1 == nil && err2 == nil && os.SameFile(own, other)
}

// kinds are the subfolders that hold cases; books holds a folder for each book.
var kinds = []string{"books", "placing", "contests", "merge"}

// caseFile is one file and what to do with its text.
type caseFile struct {
	path  string // "books/carcass-youth/no-depth.txtar", below the folder
	check func(data []byte) []error
}

// run gives what is wrong with the case or with the engine's answer to it.
func (c caseFile) run(dir fs.FS) []error {
	data, err := fs.ReadFile(dir, c.path)
	if err != nil {
		return []error{err}
	}
	return c.check(data)
}

// find lists the cases of a folder, and what is in its subfolders that is none.
func find(dir fs.FS) (cases []caseFile, faults []error) {
	list := func(sub, ext string, check func(data []byte) []error) {
		for _, e := range entries(dir, sub, &faults) {
			switch name := path.Join(sub, e.Name()); {
			case !e.IsDir() && path.Ext(name) == ext:
				cases = append(cases, caseFile{name, check})
			case e.Name() != "README.md" && e.Name() != bookFile:
				faults = append(faults, fmt.Errorf("%s is no case: they end in %s here", name, ext))
			}
		}
	}
	for _, e := range entries(dir, "books", &faults) {
		sub := path.Join("books", e.Name())
		if !e.IsDir() {
			if e.Name() != "README.md" {
				faults = append(faults, fmt.Errorf("%s is no folder named after a book", sub))
			}
			continue
		}
		book, err := bookOf(dir, sub)
		if err != nil {
			faults = append(faults, err)
			continue
		}
		list(sub, ".txtar", func(data []byte) []error { return checkGrading(book, data) })
	}
	list("placing", ".txt", checkPlacing)
	list("contests", ".txt", checkContest)
	list("merge", ".txtar", checkStory)
	if len(cases) == 0 {
		faults = append(faults, fmt.Errorf("no cases: they are expected in folders here named %s", strings.Join(kinds, ", ")))
	}
	return cases, faults
}

// entries lists a subfolder, which may be absent; hidden files are passed over.
func entries(dir fs.FS, sub string, faults *[]error) []fs.DirEntry {
	all, err := fs.ReadDir(dir, sub)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		*faults = append(*faults, err)
	}
	return slices.DeleteFunc(all, func(e fs.DirEntry) bool { return strings.HasPrefix(e.Name(), ".") })
}

// strays tells which subfolders are no kind of case, lest one with a slip in its
// name is passed over.
func strays(dir fs.FS) (faults []error) {
	for _, e := range entries(dir, ".", &faults) {
		if e.IsDir() && !slices.Contains(kinds, e.Name()) {
			faults = append(faults, fmt.Errorf("the folder %s holds no kind of case: they are %s", e.Name(), strings.Join(kinds, ", ")))
		}
	}
	return faults
}

// gaps tells which kinds and which built-in books have no case.
func gaps(cases []caseFile) (faults []error) {
	needed := slices.Clone(kinds)
	for _, b := range rulebook.Builtin() {
		needed = append(needed, path.Join("books", b.ID))
	}
	for _, sub := range needed {
		if !slices.ContainsFunc(cases, func(c caseFile) bool { return strings.HasPrefix(c.path, sub+"/") }) {
			faults = append(faults, fmt.Errorf("%s has no cases", sub))
		}
	}
	return faults
}
