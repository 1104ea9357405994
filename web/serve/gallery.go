package main

import (
	_ "embed"
	"fmt"
	"net/http"
	"net/url"

	m "keelcard/web/markup"
	"keelcard/web/shell"
	"keelcard/web/view"
)

//go:embed gallery.css
var galleryStyle []byte

// The gallery frames its own pages; all else is as in the app.
const galleryPolicy = shell.Policy + "; frame-src 'self'; frame-ancestors 'self'"

// gallery shows every view in every state on one page: /gallery, or
// /gallery?scheme=dim&screen=laptop. What the app does not run, its buttons do
// not do.
func gallery(samples []view.Sample) http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /gallery", func(w http.ResponseWriter, r *http.Request) {
		write(w, "text/html; charset=utf-8", []byte(galleryPage(samples, r.URL.Query())))
	})
	mux.HandleFunc("GET /gallery/view", func(w http.ResponseWriter, r *http.Request) {
		for _, s := range samples {
			if s.Name == r.FormValue("name") {
				write(w, "text/html; charset=utf-8", []byte(samplePage(s, r.FormValue("scheme"))))
				return
			}
		}
		http.NotFound(w, r)
	})
	mux.HandleFunc("GET /gallery/gallery.css", func(w http.ResponseWriter, r *http.Request) {
		write(w, "text/css; charset=utf-8", galleryStyle)
	})
	// Under an address of its own, or the service worker would give an older one.
	mux.HandleFunc("GET /gallery/style.css", func(w http.ResponseWriter, r *http.Request) {
		style, err := shell.Files.ReadFile("style.css")
		if err != nil {
			http.Error(w, err.Error(), http.StatusInternalServerError)
			return
		}
		write(w, "text/css; charset=utf-8", style)
	})
	return mux
}

func write(w http.ResponseWriter, kind string, body []byte) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Security-Policy", galleryPolicy)
	w.Header().Set("Cache-Control", "no-store")
	w.Write(body) // a visitor who went away is no error of ours
}

func galleryPage(samples []view.Sample, chosen url.Values) string {
	link := func(text, scheme, screen string) m.Node {
		return m.El("a", m.Attr("href", "/gallery?"+url.Values{"scheme": {scheme}, "screen": {screen}}.Encode()), m.Text(text))
	}
	scheme, screen := chosen.Get("scheme"), chosen.Get("screen")
	return document("/gallery/gallery.css", "", m.El("body", m.Class(screen),
		m.El("h1", m.Text(fmt.Sprintf("%d views", len(samples)))),
		m.El("nav",
			link("phone, bright", "bright", "phone"), link("phone, dim", "dim", "phone"),
			link("laptop, bright", "bright", "laptop"), link("laptop, dim", "dim", "laptop")),
		m.El("div", m.Class("samples"), m.Each(samples, func(_ int, s view.Sample) m.Part {
			address := "/gallery/view?" + url.Values{"name": {s.Name}, "scheme": {scheme}}.Encode()
			return m.El("figure",
				m.El("figcaption", m.El("a", m.Attr("href", address), m.Text(s.Name))),
				m.El("iframe", m.Attr("src", address), m.Attr("title", s.Name), m.Attr("loading", "lazy")))
		}))))
}

func samplePage(s view.Sample, scheme string) string {
	return document("/gallery/style.css", scheme, m.El("body", m.El("div", m.ID("app"), view.Page(s.State))))
}

func document(style, scheme string, body m.Node) string {
	return "<!doctype html>" + m.String(m.El("html", m.Attr("lang", "en"), m.If(scheme != "", m.Attr("data-scheme", scheme)),
		m.El("head",
			m.El("meta", m.Attr("charset", "utf-8")),
			m.El("meta", m.Attr("name", "viewport"), m.Attr("content", "width=device-width, initial-scale=1")),
			m.El("title", m.Text("Gallery of Keelcard")),
			m.El("link", m.Attr("rel", "icon"), m.Attr("href", "/icons/icon.svg")),
			m.El("link", m.Attr("rel", "stylesheet"), m.Attr("href", style))),
		body))
}
