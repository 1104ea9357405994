// Package wasm_test watches over the border: what touches the browser is built
// for the browser only, so that everything builds and tests without one.
package wasm_test

import (
	"go/build/constraint"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"
)

// native lists the files that are built without a browser, and why.
var native = map[string]string{
	"tags_test.go": "it must run natively to see the files that do not",
	"deps_test.go": "it runs the toolchain, which a browser does not have",
}

func TestEveryFileIsBuiltForTheBrowserOnly(t *testing.T) {
	seen := 0
	err := filepath.WalkDir(".", func(path string, _ fs.DirEntry, err error) error {
		if err != nil || filepath.Ext(path) != ".go" || native[filepath.ToSlash(path)] != "" {
			return err
		}
		seen++
		got, err := buildLine(path)
		if err != nil {
			return err
		}
		if want := "//go:build js && wasm"; got != want {
			t.Errorf("%s has the build line %q, want %q", path, got, want)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if seen == 0 {
		t.Error("no Go files were found")
	}
}

// buildLine gives the build constraint of a file, which counts only above the
// package clause, and "" when it has none.
func buildLine(path string) (string, error) {
	file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ParseComments|parser.PackageClauseOnly)
	if err != nil {
		return "", err
	}
	for _, group := range file.Comments {
		for _, c := range group.List {
			if constraint.IsGoBuild(c.Text) && c.Pos() < file.Package {
				return strings.TrimSpace(c.Text), nil
			}
		}
	}
	return "", nil
}
