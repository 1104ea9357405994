package main

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"keelcard/web/view"
)

func TestGalleryShowsEveryView(t *testing.T) {
	if testing.Short() {
		t.Skip("the tests of the views draw each of them")
	}
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
	for _, s := range samples {
		address := "/gallery/view?" + url.Values{"name": {s.Name}, "scheme": {"dim"}}.Encode()
		if !strings.Contains(page, strings.ReplaceAll(address, "&", "&amp;")) {
			t.Errorf("%s is not on the page", s.Name)
		}
		code, body := get(address)
		if code != http.StatusOK || !strings.Contains(body, `data-scheme="dim"`) || !strings.Contains(body, `id="page"`) {
			t.Errorf("%s: status %d, %d bytes", s.Name, code, len(body))
		}
	}
	if code, _ := get("/gallery/view?name=none"); code != http.StatusNotFound {
		t.Errorf("a view that does not exist: status %d", code)
	}
	for _, path := range []string{"/gallery/style.css", "/gallery/gallery.css"} {
		if code, body := get(path); code != http.StatusOK || !strings.Contains(body, "{") {
			t.Errorf("%s: status %d", path, code)
		}
	}
}
