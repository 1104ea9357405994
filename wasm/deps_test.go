package wasm_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

const module = "keelcard"

// source is one Go file of the product; tests may import what they need.
type source struct {
	path    string // from the root of the module, with slashes
	pkg     string // "engine/amount", "" for the root
	imports []string
	file    *ast.File
}

// sources reads every file of the module, whatever it is built for.
func sources(t *testing.T) []source {
	t.Helper()
	var all []source
	root := os.DirFS("..")
	err := fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if base := path.Base(name); d.IsDir() && name != "." && (strings.HasPrefix(base, ".") || base == "node_modules" || base == "testdata") {
			return fs.SkipDir
		}
		if d.IsDir() || path.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		text, err := fs.ReadFile(root, name)
		if err != nil {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, text, parser.ParseComments)
		if err != nil {
			return err
		}
		s := source{path: name, pkg: strings.Trim(path.Dir(name), "."), file: file}
		for _, i := range file.Imports {
			s.imports = append(s.imports, strings.Trim(i.Path.Value, `"`))
		}
		all = append(all, s)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 20 {
		t.Fatalf("only %d source files were found", len(all))
	}
	return all
}

// within tells whether a package is one of the folders or below one.
func within(pkg string, folders ...string) bool {
	return slices.ContainsFunc(folders, func(f string) bool { return pkg == f || strings.HasPrefix(pkg, f+"/") })
}

// own gives the path inside the module of an import, and whether it is one of ours.
func own(imported string) (string, bool) {
	return strings.CutPrefix(imported, module+"/")
}

// A rule says what the packages in some folders may import, and why.
type rule struct {
	name    string
	folders []string // "" is every package
	except  []string
	allows  func(imported string) bool
	reason  string
}

var engineStd = strings.Fields(`bytes cmp crypto/ed25519 crypto/sha256 embed encoding/base64 encoding/binary encoding/csv encoding/hex
	errors fmt hash/crc32 io iter maps math math/bits slices sort strconv strings sync unicode unicode/utf16 unicode/utf8`)

// sealStd is what seals: ciphers, and keys made from keys and passphrases.
var sealStd = strings.Fields("crypto/aes crypto/cipher crypto/hkdf crypto/hmac crypto/pbkdf2 crypto/subtle")

var rules = []rule{
	{
		name: "the engine stands alone", folders: []string{"engine"},
		allows: func(i string) bool {
			pkg, ours := own(i)
			return ours && within(pkg, "engine") || slices.Contains(engineStd, i) || slices.Contains(sealStd, i)
		},
		reason: "the same records must give the same results on every phone and in every test: no clock, no disk, no network, no randomness, no platform",
	},
	{
		name: "sealing is in one place", folders: []string{""}, except: []string{"engine/seal"},
		allows: func(i string) bool { return !slices.Contains(sealStd, i) },
		reason: "what keeps answers and backups from others is read and tested as a whole, and comes with the second part of the program",
	},
	{
		name: "the border is in one place", folders: []string{""}, except: []string{"wasm"},
		allows: func(i string) bool {
			return i != "syscall/js" && !strings.HasPrefix(i, "honnef.co/go/js/") && !strings.HasPrefix(i, "github.com/hack-pad/")
		},
		reason: "what touches the browser cannot be built or tested natively, so it stays below wasm and stays small",
	},
	{
		name: "nothing leans on the border", folders: []string{""}, except: []string{"wasm"},
		allows: func(i string) bool {
			pkg, ours := own(i)
			return !ours || !within(pkg, "wasm")
		},
		reason: "the app must run whole without a browser; wasm is where its parts are put together",
	},
	{
		name: "markup knows nothing of the app", folders: []string{"web/markup"},
		allows: func(i string) bool { return !strings.Contains(i, ".") && !strings.HasPrefix(i, module+"/") },
		reason: "views build on it; it is small enough to be proved by itself",
	},
	{
		name: "the app does not know how it is drawn", folders: []string{"web/app"},
		allows: func(i string) bool {
			pkg, ours := own(i)
			return !ours || within(pkg, "engine", "web/words")
		},
		reason: "journeys through the app are tested without a page; a view reads the state and never the other way round",
	},
	{
		name: "HTTP is for the host", folders: []string{""}, except: []string{"web/serve", "web/relay", "wasm/edge"},
		allows: func(i string) bool { return i != "net/http" },
		reason: "it would more than double the download",
	},
}

func TestImports(t *testing.T) {
	files := sources(t)
	for _, r := range rules {
		t.Run(r.name, func(t *testing.T) {
			for _, s := range files {
				if r.folders[0] != "" && !within(s.pkg, r.folders...) || within(s.pkg, r.except...) {
					continue
				}
				for _, i := range s.imports {
					if !r.allows(i) {
						t.Errorf("%s imports %s: %s", s.path, i, r.reason)
					}
				}
			}
		})
	}
}

// levels is the order inside the engine, low to high. A package imports from
// lower levels only, so that what many parts stand on can be read by itself.
var levels = [][]string{
	{"engine", "engine/sorting"},
	{"engine/amount", "engine/points", "engine/clock", "engine/tree", "engine/codec/rangecoder", "engine/codec/frames"},
	{"engine/record", "engine/rulebook"},
	{"engine/egg"},
	{"engine/grading", "engine/placing"},
	{"engine/merge", "engine/score", "engine/hens"},
	{"engine/contest"},
	{"engine/codec", "engine/seal"},
	{"engine/study", "engine/stage", "engine/practice"},
	{"engine/demo"},
	{"engine/enginetest", "engine/cases"},
}

func levelOf(pkg string) int {
	return slices.IndexFunc(levels, func(l []string) bool { return slices.Contains(l, pkg) })
}

func TestEngineImportsOnlyDownward(t *testing.T) {
	for _, s := range sources(t) {
		if !within(s.pkg, "engine") {
			continue
		}
		level := levelOf(s.pkg)
		if level < 0 {
			t.Errorf("%s has no level; give it one here", s.pkg)
			continue
		}
		for _, i := range s.imports {
			if pkg, ours := own(i); ours && levelOf(pkg) >= level {
				t.Errorf("%s imports %s, which is not below it", s.path, pkg)
			}
		}
	}
}

// pure lists the folders that must give the same answer every time.
var pure = []string{"engine", "web/app", "web/view", "web/markup", "web/figure", "web/words"}

func TestNoClockAndNoChance(t *testing.T) {
	const reason = "the time and every random byte come in with a message, so that a journey can be played again exactly"
	for _, s := range sources(t) {
		if !within(s.pkg, pure...) {
			continue
		}
		for _, i := range s.imports {
			if i == "math/rand" || i == "math/rand/v2" || i == "crypto/rand" {
				t.Errorf("%s imports %s: %s", s.path, i, reason)
			}
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			if sel, ok := n.(*ast.SelectorExpr); ok {
				if x, ok := sel.X.(*ast.Ident); ok && x.Name == "time" && slices.Contains([]string{"Now", "Since", "Until", "After", "Tick", "Sleep"}, sel.Sel.Name) {
					t.Errorf("%s uses time.%s: %s", s.path, sel.Sel.Name, reason)
				}
			}
			return true
		})
	}
}

// Only what runs in the page or serves it does several things at once. So the race
// detector is for the host alone: see the Makefile.
func TestOnlyTheBorderStartsGoroutines(t *testing.T) {
	for _, s := range sources(t) {
		if within(s.pkg, "wasm", "web/serve") {
			continue
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			_, starts := n.(*ast.GoStmt)
			if sel, ok := n.(*ast.SelectorExpr); ok {
				starts = sel.Sel.Name == "Go" // of a group that waits
			}
			if starts {
				t.Errorf("%s starts a goroutine: its package then has to be tested with the race detector", s.path)
			}
			return true
		})
	}
}

func TestEveryPackageSaysWhatItIs(t *testing.T) {
	said := map[string]bool{}
	for _, s := range sources(t) {
		said[s.pkg] = said[s.pkg] || s.file.Doc != nil
	}
	for pkg, ok := range said {
		if !ok {
			t.Errorf("%s has no package comment", pkg)
		}
	}
}

// heavy is what must not be linked into the program, with what it was measured
// to add to the download, compressed.
var heavy = []struct {
	pkg     string
	through []string // importers that are no harm
	reason  string
}{
	{pkg: "net/http", reason: "adds 1.3 MB"},
	{pkg: "html/template", reason: "adds 0.6 MB and keeps every exported method alive"},
	{pkg: "text/template", reason: "adds 0.4 MB and keeps every exported method alive"},
	{pkg: "log/slog", reason: "nobody reads a log on a phone"},
	{pkg: "testing", reason: "belongs to tests"},
	{pkg: "net/url", reason: "adds 13 kB for the tables of addresses it keeps"},
	{pkg: "compress/flate", reason: "the browser has its own"},
	{pkg: "crypto/ecdh", reason: "adds 0.1 MB for curves that are not used; engine/seal has X25519"},
	{pkg: "crypto/hpke", reason: "adds crypto/ecdh and all other ciphers, and draws its random bytes itself; engine/seal has the one suite that is used"},
	{pkg: "encoding/json", reason: "adds 0.13 MB; engine/tree reads and writes JSON without reflection"},
	{pkg: "encoding/json/v2", reason: "adds 0.3 MB"},
	// crypto/ed25519 imports crypto/rand, which has functions on big numbers;
	// they are not called, and the linker leaves them out.
	{pkg: "math/big", through: []string{"crypto/rand"}, reason: "floats of any size have no place in scores"},
}

func TestProgramStaysLight(t *testing.T) {
	closure := dependencies(t, "./wasm/app")
	if closure["keelcard/web/app"] == nil {
		t.Fatal("the list of dependencies does not hold the app")
	}
	for _, h := range heavy {
		for importer, imports := range closure {
			if slices.Contains(imports, h.pkg) && !slices.Contains(h.through, importer) {
				t.Errorf("%s imports %s, which then is part of the program: %s", importer, h.pkg, h.reason)
			}
		}
	}
}

// dependencies lists what a package is built from for the browser, each with its imports.
func dependencies(t *testing.T, pkg string) map[string][]string {
	t.Helper()
	cmd := exec.Command("go", "list", "-deps", "-json=ImportPath,Imports", pkg)
	cmd.Dir = filepath.FromSlash("..")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	var trouble bytes.Buffer
	cmd.Stderr = &trouble
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v\n%s", err, &trouble)
	}
	all := map[string][]string{}
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p struct {
			ImportPath string
			Imports    []string
		}
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all[p.ImportPath] = append(p.Imports, "")
	}
}
