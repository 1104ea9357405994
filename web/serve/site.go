package main

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"keelcard/web/shell"
)

// A site is everything that is served, in memory, by path without a leading slash.
type site struct {
	version string
	files   map[string]*file
}

// A file is its content and, where they are smaller, its compressed forms.
type file struct{ body, brotli, gzip []byte }

var types = map[string]string{
	".html":        "text/html; charset=utf-8",
	".js":          "text/javascript; charset=utf-8",
	".css":         "text/css; charset=utf-8",
	".wasm":        "application/wasm",
	".webmanifest": "application/manifest+json",
	".svg":         "image/svg+xml",
	".png":         "image/png",
	".txt":         "text/plain; charset=utf-8",
}

// write puts the site in a folder that a static host can serve: each file and
// beside it its compressed forms, .br and .gz. What was there is removed.
func (s *site) write(dir string) error {
	if _, err := os.Stat(filepath.Join(dir, "sw.js")); err == nil {
		if err := os.RemoveAll(dir); err != nil {
			return err
		}
	}
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		return fmt.Errorf("%s holds other files; name a new folder", dir)
	}
	for path, f := range s.files {
		for ending, data := range map[string][]byte{"": f.body, ".br": f.brotli, ".gz": f.gzip} {
			if data == nil {
				continue
			}
			if err := writeWhole(filepath.Join(dir, filepath.FromSlash(path)+ending), data); err != nil {
				return err
			}
		}
	}
	return nil
}

var versionInPage = regexp.MustCompile(`data-version="([0-9a-f]+)"`)

// readSite reads a folder that write made.
func readSite(dir string) (*site, error) {
	s := &site{files: map[string]*file{}}
	root := os.DirFS(dir)
	err := fs.WalkDir(root, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(root, path)
		if err != nil {
			return err
		}
		ending := filepath.Ext(path)
		if ending == ".br" || ending == ".gz" {
			path = strings.TrimSuffix(path, ending)
		}
		f := s.files[path]
		if f == nil {
			f = &file{}
			s.files[path] = f
		}
		switch ending {
		case ".br":
			f.brotli = data
		case ".gz":
			f.gzip = data
		default:
			f.body = data
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	index := s.files["index.html"]
	if index == nil {
		return nil, errors.New(dir + " holds no index.html; make the folder with -out")
	}
	if m := versionInPage.FindSubmatch(index.body); m != nil {
		s.version = string(m[1])
	}
	return s, nil
}

// handler serves the site.
func (s *site) handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /", s.get)
	// A file shared before the service worker runs cannot be taken in; the page
	// opens all the same.
	mux.HandleFunc("POST /share", func(w http.ResponseWriter, r *http.Request) {
		http.Redirect(w, r, "./#/take-in", http.StatusSeeOther)
	})
	return headers(mux)
}

func headers(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", shell.PolicyHeader)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		next.ServeHTTP(w, r)
	})
}

func (s *site) get(w http.ResponseWriter, r *http.Request) {
	path := strings.TrimPrefix(r.URL.Path, "/")
	if path == "" {
		path = "index.html"
	}
	f := s.files[path]
	if f == nil {
		http.NotFound(w, r)
		return
	}
	body, encoding := f.form(r.Header.Get("Accept-Encoding"))
	h := w.Header()
	h.Set("Content-Type", types[filepath.Ext(path)])
	h.Set("Vary", "Accept-Encoding")
	// Always ask again: the service worker is what keeps the app, and a stale
	// file would not have the hash it expects.
	h.Set("Cache-Control", "no-cache")
	if encoding != "" {
		h.Set("Content-Encoding", encoding)
	}
	tag := fmt.Sprintf(`"%x"`, sha256.Sum256(body))
	h.Set("ETag", tag)
	if r.Header.Get("If-None-Match") == tag {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	h.Set("Content-Length", fmt.Sprint(len(body)))
	w.Write(body) // a visitor who went away is no error of ours
}

// form picks the smallest form that the browser understands.
func (f *file) form(accepted string) (body []byte, encoding string) {
	has := func(name string) bool {
		for part := range strings.SplitSeq(accepted, ",") {
			if token, _, _ := strings.Cut(part, ";"); strings.TrimSpace(token) == name {
				return true
			}
		}
		return false
	}
	switch {
	case f.brotli != nil && has("br"):
		return f.brotli, "br"
	case f.gzip != nil && has("gzip"):
		return f.gzip, "gzip"
	}
	return f.body, ""
}
