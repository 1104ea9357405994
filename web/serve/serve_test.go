package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/base64"
	"io"
	"maps"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/andybalholm/brotli"

	"keelcard/web/shell"
)

// testSite is the real shell around a program that is none.
func testSite(t *testing.T, program, stamp string) *site {
	t.Helper()
	plain, err := shellFiles()
	if err != nil {
		t.Fatal(err)
	}
	plain["app.wasm"] = []byte(program)
	plain["wasm_exec.js"] = []byte("// starts the program")
	s, err := assemble(plain, stamp, packer{dir: t.TempDir(), level: quick})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

var program = strings.Repeat("a program ", 100)

func TestVersionNamesTheContent(t *testing.T) {
	first := testSite(t, program, "")
	for name, c := range map[string]struct {
		other *site
		same  bool
	}{
		"the same again":  {testSite(t, program, ""), true},
		"another program": {testSite(t, program+"!", ""), false},
		"another stamp":   {testSite(t, program, "second"), false},
	} {
		if same := c.other.version == first.version; same != c.same {
			t.Errorf("%s: versions %s and %s", name, first.version, c.other.version)
		}
	}
	for _, path := range []string{"index.html", "sw.js"} {
		if body := string(first.files[path].body); !strings.Contains(body, first.version) || strings.Contains(body, shell.VersionMark) {
			t.Errorf("%s does not carry the version", path)
		}
	}
}

// The list of the service worker is what keeps the app on the phone: a file
// that is not in it is missing in the barn.
func TestServiceWorkerListsEveryFileWithItsHash(t *testing.T) {
	s := testSite(t, program, "")
	now, after, _ := strings.Cut(string(s.files["sw.js"].body), "const LATER")
	for path, f := range s.files {
		name := path
		if path == "index.html" {
			name = "./"
		}
		sum := sha256.Sum256(f.body)
		entry := `"` + name + "\",\n    \"sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + `"`
		if got, want := strings.Contains(now, entry), !needless(path) && !later(path); got != want {
			t.Errorf("%s is in the list with its hash: %v, want %v", path, got, want)
		}
		if got := strings.Contains(after, entry); got != later(path) {
			t.Errorf("%s is in the list of what comes later: %v, want %v", path, got, later(path))
		}
	}
}

func TestWrittenFolderReadsBack(t *testing.T) {
	s := testSite(t, program, "")
	dir := filepath.Join(t.TempDir(), "site")
	for range 2 { // writing again replaces
		if err := s.write(dir); err != nil {
			t.Fatal(err)
		}
	}
	back, err := readSite(dir)
	if err != nil {
		t.Fatal(err)
	}
	if back.version != s.version {
		t.Errorf("version %s, want %s", back.version, s.version)
	}
	if got, want := slices.Sorted(maps.Keys(back.files)), slices.Sorted(maps.Keys(s.files)); !slices.Equal(got, want) {
		t.Errorf("files %v, want %v", got, want)
	}
	for path, f := range s.files {
		b := back.files[path]
		if b == nil || !bytes.Equal(b.body, f.body) || !bytes.Equal(b.brotli, f.brotli) || !bytes.Equal(b.gzip, f.gzip) {
			t.Errorf("%s came back changed", path)
		}
	}
}

func TestWriteSparesOtherFolders(t *testing.T) {
	dir := t.TempDir()
	mine := filepath.Join(dir, "letters.txt")
	if err := os.WriteFile(mine, []byte("x"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := testSite(t, program, "").write(dir); err == nil {
		t.Error("the site was written among other files")
	}
	if _, err := os.Stat(mine); err != nil {
		t.Error(err)
	}
}

func TestServing(t *testing.T) {
	s := testSite(t, program, "")
	h := s.handler()
	for _, c := range []struct {
		name, method, path, accept string
		status                     int
		kind, encoding             string
		body                       []byte
	}{
		{"the page", "GET", "/", "", 200, "text/html; charset=utf-8", "", s.files["index.html"].body},
		{"the program, compressed", "GET", "/app.wasm", "gzip, deflate, br", 200, "application/wasm", "br", []byte(program)},
		{"the program for an old browser", "GET", "/app.wasm", "gzip;q=1.0", 200, "application/wasm", "gzip", []byte(program)},
		{"a picture", "GET", "/icons/icon-192.png", "br", 200, "image/png", "", s.files["icons/icon-192.png"].body},
		{"the manifest", "GET", "/manifest.webmanifest", "", 200, "application/manifest+json", "", s.files["manifest.webmanifest"].body},
		{"no such file", "GET", "/none.js", "", 404, "text/plain; charset=utf-8", "", nil},
		{"no way out of the site", "GET", "/icons/../../etc/passwd", "", 307, "", "", nil},
		{"nothing is written", "PUT", "/index.html", "", 405, "text/plain; charset=utf-8", "", nil},
		{"shared before the service worker runs", "POST", "/share", "", 303, "", "", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := httptest.NewRecorder()
			r := httptest.NewRequest(c.method, c.path, nil)
			r.Header.Set("Accept-Encoding", c.accept)
			h.ServeHTTP(w, r)
			if w.Code != c.status {
				t.Fatalf("status %d, want %d", w.Code, c.status)
			}
			if got := w.Header().Get("Content-Security-Policy"); got != shell.PolicyHeader {
				t.Errorf("policy %q", got)
			}
			if got := w.Header().Get("X-Content-Type-Options"); got != "nosniff" {
				t.Errorf("nosniff: %q", got)
			}
			if got := w.Header().Get("Content-Type"); c.kind != "" && got != c.kind {
				t.Errorf("type %q, want %q", got, c.kind)
			}
			if got := w.Header().Get("Content-Encoding"); got != c.encoding {
				t.Errorf("encoding %q, want %q", got, c.encoding)
			}
			if c.body == nil {
				return
			}
			if got := unpack(t, w.Body, c.encoding); !bytes.Equal(got, c.body) {
				t.Errorf("%d bytes, want %d", len(got), len(c.body))
			}

			again := httptest.NewRecorder()
			r.Header.Set("If-None-Match", w.Header().Get("ETag"))
			h.ServeHTTP(again, r)
			if again.Code != http.StatusNotModified || again.Body.Len() > 0 {
				t.Errorf("asked again: status %d with %d bytes", again.Code, again.Body.Len())
			}
		})
	}
}

func unpack(t *testing.T, r io.Reader, encoding string) []byte {
	t.Helper()
	var err error
	switch encoding {
	case "br":
		r = brotli.NewReader(r)
	case "gzip":
		if r, err = gzip.NewReader(r); err != nil {
			t.Fatal(err)
		}
	}
	data, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// Every kind of file in the shell needs a type, or the browser refuses it.
func TestEveryFileHasAType(t *testing.T) {
	for path := range testSite(t, program, "").files {
		if types[filepath.Ext(path)] == "" {
			t.Errorf("%s has no type", path)
		}
	}
}

func TestSizeBudget(t *testing.T) {
	noise := func(n int) []byte { // does not compress
		var b []byte
		for sum := sha256.Sum256(nil); len(b) < n; sum = sha256.Sum256(sum[:]) {
			b = append(b, sum[:]...)
		}
		return b[:n]
	}
	for size, fits := range map[int]bool{firstDownload: true, firstDownload + 1: false} {
		var out strings.Builder
		err := printSize(&out, &site{files: map[string]*file{"app.wasm": {body: noise(size)}, "icons/home.png": {body: noise(9)}}})
		if (err == nil) != fits {
			t.Errorf("%d bytes: %v", size, err)
		}
		if !strings.Contains(out.String(), "first download") {
			t.Errorf("no sum in\n%s", &out)
		}
	}
}
