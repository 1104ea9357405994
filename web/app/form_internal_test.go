package app

import (
	"net/url"
	"testing"
)

// Whatever a form sends, a field reads as the standard library reads it, where that
// takes the form at all.
func FuzzField(f *testing.F) {
	form := url.Values{"name": {"Ana & Bo = 100 %"}, "team": {"\u00fcber+1"}, "": {"x"}}
	f.Add(form.Encode(), "name")
	f.Add(form.Encode(), "team")
	f.Add("a=1&a=2&b", "a")
	f.Add("a=1&a=2&b", "b")
	f.Add("a&a=2", "a")
	f.Add("&=2", "")
	f.Add("%61=%zz&=%", "a")
	f.Add("", "")
	f.Fuzz(func(t *testing.T, text, name string) {
		got := field(Msg{Text: text}, name)
		want, err := url.ParseQuery(text)
		if err == nil && got != want.Get(name) {
			t.Fatalf("%q in %q is %q, and %q by the standard library", name, text, got, want.Get(name))
		}
		if len(got) > len(text) {
			t.Fatalf("%q in %q is longer than that: %q", name, text, got)
		}
	})
}
