package app_test

import (
	"slices"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/enginetest"
	"keelcard/web/app"
)

func TestParse(t *testing.T) {
	for _, tc := range []struct {
		action, do string
		args       []string
	}{
		{"boot", "boot", nil},
		{"keying.mark:2", "keying.mark", []string{"2"}},
		{"a-b.c9:", "a-b.c9", []string{""}},
		{"call.site:breast:left", "call.site", []string{"breast", "left"}},
		{"open:#/c/0102030405060708/keying/3", "open", []string{"#/c/0102030405060708/keying/3"}},
		{"x:a%3Ab%25", "x", []string{"a:b%"}},
		{"x:%253A", "x", []string{"%3A"}},
		{"x:%41%", "x", []string{"%41%"}},
		{"x:\u05d0 b", "x", []string{"\u05d0 b"}},
		{"x:1:2:3:4:5:6:7:8", "x", []string{"1", "2", "3", "4", "5", "6", "7", "8"}},
	} {
		m, err := app.Parse(tc.action)
		if err != nil || m.Do != tc.do || !slices.Equal(m.Args, tc.args) {
			t.Errorf("%q: %q %q, %v; want %q %q", tc.action, m.Do, m.Args, err, tc.do, tc.args)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, action := range []string{"", ":", ":x", "Keying", "a b", "a_b", "x:1:2:3:4:5:6:7:8:9", "\u00e4", strings.Repeat("a", 401)} {
		if m, err := app.Parse(action); engine.CodeOf(err) != "app.action" {
			t.Errorf("%q is read as %+v, %v", action, m, err)
		}
	}
}

func TestArgOutOfRange(t *testing.T) {
	m := app.Msg{Args: []string{"a"}}
	if m.Arg(0) != "a" || m.Arg(1) != "" {
		t.Errorf("arguments %q and %q", m.Arg(0), m.Arg(1))
	}
}

// Whatever is written by Action is read back by Parse, and what Parse takes is
// written back so that it reads the same.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"keying.mark:1", "x:%3A:%25", "", ":::", "open:#/c/01/keying/3", "x:\xff\xfe", "x:%", "x:%253A"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m, err := app.Parse(s)
		if err == nil {
			again, err := app.Parse(app.Action(m.Do, m.Args...))
			if len(app.Action(m.Do, m.Args...)) > 400 {
				return // an argument may grow by its escapes
			}
			if err != nil || again.Do != m.Do || !slices.Equal(again.Args, m.Args) {
				t.Fatalf("%q reads %q %q, and written again %q %q, %v", s, m.Do, m.Args, again.Do, again.Args, err)
			}
		} else if lack := enginetest.Untold(err); lack != "" {
			t.Fatal(lack)
		}
		if action := app.Action("x", s, s); len(action) <= 400 {
			back, err := app.Parse(action)
			if err != nil || !slices.Equal(back.Args, []string{s, s}) {
				t.Fatalf("%q comes back as %q, %v", s, back.Args, err)
			}
		}
	})
}
