package main

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"

	"keelcard/web/view"
)

func TestGalleryShowsEveryView(t *testing.T) {
	samples := view.Gallery()
	if len(samples) == 0 {
		t.Fatal("there are no samples")
	}
	h := gallery(samples)
	get := func(path string) (int, string) {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest("GET", path, nil))
		return w.Code, w.Body.String()
	}
	_, page := get("/gallery?scheme=dim")
	look := func(s view.Sample) {
		address := "/gallery/view?" + url.Values{"name": {s.Name}, "scheme": {"dim"}}.Encode()
		if !strings.Contains(page, strings.ReplaceAll(address, "&", "&amp;")) {
			t.Errorf("%s is not on the page", s.Name)
		}
		code, body := get(address)
		if code != http.StatusOK || !strings.Contains(body, `data-scheme="dim"`) || !strings.Contains(body, `id="page"`) {
			t.Errorf("%s: status %d, %d bytes", s.Name, code, len(body))
		}
	}
	const atOnce = 4 // as a browser asks
	var asking sync.WaitGroup
	for first := range atOnce {
		asking.Go(func() {
			for i := first; i < len(samples); i += atOnce {
				look(samples[i])
			}
		})
	}
	asking.Wait()
	if code, _ := get("/gallery/view?name=none"); code != http.StatusNotFound {
		t.Errorf("a view that does not exist: status %d", code)
	}
	for _, path := range []string{"/gallery/style.css", "/gallery/gallery.css"} {
		if code, body := get(path); code != http.StatusOK || !strings.Contains(body, "{") {
			t.Errorf("%s: status %d", path, code)
		}
	}
}
