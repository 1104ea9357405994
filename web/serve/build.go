package main

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"keelcard/web/shell"
)

// needless tells which files a visit does not download: the browser keeps the
// service worker by itself, and the pictures are for the home screen, fetched
// when the app is put there.
func needless(path string) bool {
	return path == "sw.js" || path == "robots.txt" || filepath.Ext(path) == ".png"
}

// readerFile is the program that reads picture codes.
const readerFile = "reader.wasm"

// later tells which files are fetched when a camera is first opened, and kept by
// the service worker once it has all others.
func later(path string) bool {
	return path == readerFile || path == "reader.js" || path == "codes.js"
}

// build makes the whole site from source, in memory. Only the program and the
// compressed forms, which take time, are kept in .build.
func build(root string, level int, stamp string) (*site, error) {
	work := filepath.Join(root, ".build")
	plain, err := shellFiles()
	if err != nil {
		return nil, err
	}
	program, err := compile(root, "./wasm/app", filepath.Join(work, "app.wasm"))
	if err != nil {
		return nil, err
	}
	plain["app.wasm"] = program
	if plain[readerFile], err = compile(root, "./wasm/reader", filepath.Join(work, readerFile)); err != nil {
		return nil, err
	}
	if level == small {
		parts, err := release(root, program)
		if err != nil {
			return nil, err
		}
		plain["app.wasm"], plain[secondFile] = parts.first, parts.second
		if plain[readerFile], err = forgetNames(plain[readerFile]); err != nil {
			return nil, err
		}
		for name, body := range plain {
			plain[name] = squeeze(name, body)
		}
	}
	if plain["wasm_exec.js"], err = startScript(); err != nil {
		return nil, err
	}

	return assemble(plain, stamp, packer{dir: filepath.Join(work, "packed"), level: level})
}

// assemble puts the version and the lists in their places and compresses.
func assemble(plain map[string][]byte, stamp string, pack packer) (*site, error) {
	s := &site{files: map[string]*file{}, version: versionOf(plain, stamp)}
	rest := ""
	if plain[secondFile] != nil {
		rest = secondFile
	}
	plain["index.html"] = fill(plain["index.html"], shell.VersionMark, s.version, shell.PolicyMark, shell.Policy, shell.RestMark, rest)
	plain["sw.js"] = fill(plain["sw.js"], shell.VersionMark, s.version, shell.FilesMark, storedFiles(plain, false), shell.LaterMark, storedFiles(plain, true))
	for path, body := range plain {
		f := &file{body: body}
		if err := pack.pack(path, f); err != nil {
			return nil, err
		}
		s.files[path] = f
	}
	return s, nil
}

func shellFiles() (map[string][]byte, error) {
	files := map[string][]byte{}
	err := fs.WalkDir(shell.Files, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		files[path], err = shell.Files.ReadFile(path)
		return err
	})
	return files, err
}

// inlined are the packages in which the compiler may put a called function in
// place of its call. It makes them faster and everything larger: allowed
// everywhere, it adds 120 kB to the compressed download, and on a tap or a
// start nobody can tell. These do the work that is measured: scores, merges,
// files, signatures.
var inlined = []string{
	"keelcard/engine/codec/...",
	"keelcard/engine/score",
	"crypto/internal/fips140/edwards25519/...",
	"crypto/internal/fips140/sha256",
	"crypto/internal/fips140/sha512",
}

// compile builds a program for the browser. Paths, symbols, the build id and the
// state of the repository stay out, so that the same source gives the same bytes.
func compile(root, pkg, out string) ([]byte, error) {
	args := []string{"build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w -buildid=", "-gcflags=all=-l"}
	for _, fast := range inlined {
		args = append(args, "-gcflags="+fast+"=")
	}
	cmd := exec.Command("go", append(args, "-o", out, pkg)...)
	cmd.Dir = root
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if message, err := cmd.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("building %s: %w\n%s", pkg, err, message)
	}
	program, err := os.ReadFile(out)
	if err != nil {
		return nil, err
	}
	return joinSegments(program)
}

// startScript is the script of the toolchain that built the program; another
// version's would not fit it.
func startScript() ([]byte, error) {
	out, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, fmt.Errorf("go env: %w", err)
	}
	return os.ReadFile(filepath.Join(strings.TrimSpace(string(out)), "lib", "wasm", "wasm_exec.js"))
}

// versionOf names the content of all files, before the version goes into them.
func versionOf(plain map[string][]byte, stamp string) string {
	h := sha256.New()
	for _, path := range slices.Sorted(maps.Keys(plain)) {
		fmt.Fprintf(h, "%s %x\n", path, sha256.Sum256(plain[path]))
	}
	fmt.Fprintln(h, stamp)
	return hex.EncodeToString(h.Sum(nil))[:12]
}

func fill(body []byte, pairs ...string) []byte {
	return []byte(strings.NewReplacer(pairs...).Replace(string(body)))
}

// storedFiles lists what the service worker keeps, at once or later, each path
// with the hash it must have. The page itself goes by the folder's address.
func storedFiles(plain map[string][]byte, after bool) string {
	list := [][2]string{}
	for _, path := range slices.Sorted(maps.Keys(plain)) {
		if needless(path) || later(path) != after {
			continue
		}
		sum := sha256.Sum256(plain[path])
		if path == "index.html" {
			path = "./"
		}
		list = append(list, [2]string{path, "sha256-" + base64.StdEncoding.EncodeToString(sum[:])})
	}
	text, err := json.MarshalIndent(list, "", "  ")
	if err != nil {
		panic(err) // pairs of strings always encode
	}
	return string(text)
}
