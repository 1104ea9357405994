//go:build js && wasm

package dom_test

import (
	"fmt"
	"slices"
	"strings"
	"syscall/js"
	"testing"
	"time"

	"keelcard/wasm/border"
	"keelcard/wasm/dom"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/shell"
)

// screen is a page on the screen and what came of it.
type screen struct {
	t       *testing.T
	page    *dom.Page
	sent    []app.Msg
	failed  []error
	refused []error
	redrawn chan struct{}
	photos  map[string]string
}

func newScreen(t *testing.T) *screen {
	t.Helper()
	if js.Global().Get("keelcardMorph").IsUndefined() {
		for _, name := range []string{"vendor/idiomorph.js", "morph.js"} {
			script, err := shell.Files.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			js.Global().Call("eval", string(script))
		}
	}
	document := js.Global().Get("document")
	mount := document.Call("createElement", "div")
	mount.Set("id", "mount")
	document.Get("body").Call("append", mount)
	s := &screen{t: t, redrawn: make(chan struct{}, 8), photos: map[string]string{}}
	page, err := dom.New(dom.Options{
		Mount:   "mount",
		Send:    func(m app.Msg) { s.sent = append(s.sent, m) },
		Photo:   func(hash string) ([]byte, error) { return []byte(s.photos[hash]), nil },
		Redraw:  func() { s.redrawn <- struct{}{} },
		Refused: func(err error) { s.refused = append(s.refused, err) },
		Failed:  func(err error) { s.failed = append(s.failed, err) },
	})
	if err != nil {
		t.Fatal(err)
	}
	s.page = page
	t.Cleanup(func() {
		page.Release()
		mount.Call("remove")
	})
	return s
}

// draw renders a page of the parts.
func (s *screen) draw(parts ...m.Part) {
	s.page.Render(m.El("div", m.ID("page"), m.Group(parts...)))
}

func (s *screen) element(id string) js.Value {
	s.t.Helper()
	e := js.Global().Get("document").Call("getElementById", id)
	if e.IsNull() {
		s.t.Fatalf("there is no element %s", id)
	}
	return e
}

// fire sends an event to an element and tells whether its own effect was stopped.
func (s *screen) fire(id, class, kind string, more map[string]any) bool {
	s.t.Helper()
	init := map[string]any{"bubbles": true, "cancelable": true}
	for k, v := range more {
		init[k] = v
	}
	event := js.Global().Get(class).New(kind, init)
	return !s.element(id).Call("dispatchEvent", event).Bool()
}

func (s *screen) key(id, key string, more map[string]any) bool {
	s.t.Helper()
	init := map[string]any{"key": key}
	for k, v := range more {
		init[k] = v
	}
	return s.fire(id, "KeyboardEvent", "keydown", init)
}

// want checks what was sent since the last time, in the form "name:arg text bytes X,Y".
func (s *screen) want(messages ...string) {
	s.t.Helper()
	var got []string
	for _, m := range s.sent {
		parts := []string{app.Action(m.Do, m.Args...), m.Text, string(m.Bytes)}
		if m.X != 0 || m.Y != 0 {
			parts = append(parts, fmt.Sprintf("%d,%d", m.X, m.Y))
		}
		parts = slices.DeleteFunc(parts, func(s string) bool { return s == "" })
		got = append(got, strings.Join(parts, " "))
	}
	s.sent = nil
	if !slices.Equal(got, messages) {
		s.t.Errorf("sent %q, want %q", got, messages)
	}
	if len(s.failed) > 0 {
		s.t.Errorf("failed: %v", s.failed)
	}
}

func TestOnlyWhatChangedIsTouched(t *testing.T) {
	s := newScreen(t)
	draw := func(b string) {
		s.draw(m.El("p", m.ID("a"), m.Text("stays")), m.El("p", m.ID("b"), m.Text(b)))
	}
	draw("one")
	a := s.element("a")
	a.Get("firstChild").Set("data", "a mark that a new element would not have")
	draw("two")
	if got := s.element("b").Get("textContent").String(); got != "two" {
		t.Errorf("the changed piece says %q", got)
	}
	if got := s.element("a"); !got.Equal(a) || !strings.HasPrefix(got.Get("textContent").String(), "a mark") {
		t.Error("a piece that did not change was drawn again")
	}
}

func TestAPageThatWasTakenApartIsDrawnWhole(t *testing.T) {
	s := newScreen(t)
	s.draw(m.El("p", m.ID("b"), m.Text("one")))
	s.element("b").Call("remove") // as an extension of the browser may do
	s.draw(m.El("p", m.ID("b"), m.Text("two")))
	if got := s.element("b").Get("textContent").String(); got != "two" {
		t.Errorf("the page says %q", got)
	}
}

func TestTypingGoesOnWhileThePageChanges(t *testing.T) {
	s := newScreen(t)
	draw := func(note string) {
		s.draw(m.El("section", m.ID("form"), m.Attr("class", note),
			m.El("p", m.Text(note)),
			m.El("input", m.ID("name"), m.Attr("value", "")),
			m.El("details", m.ID("more"), m.El("summary", m.Text("more")), m.El("p", m.Text(note)))))
	}
	draw("one")
	field := s.element("name")
	field.Call("focus")
	field.Set("value", "Tamarack")
	field.Call("setSelectionRange", 3, 5)
	s.element("more").Set("open", true)
	draw("two")
	if !s.element("name").Equal(js.Global().Get("document").Get("activeElement")) {
		t.Error("the field lost the focus")
	}
	if got := s.element("name").Get("value").String(); got != "Tamarack" {
		t.Errorf("the field says %q", got)
	}
	if from, to := field.Get("selectionStart").Int(), field.Get("selectionEnd").Int(); from != 3 || to != 5 {
		t.Errorf("the caret is at %d to %d", from, to)
	}
	if !s.element("more").Get("open").Bool() {
		t.Error("what was opened is closed again")
	}
}

func TestAPieceOfADrawingIsPatchedAlone(t *testing.T) {
	s := newScreen(t)
	draw := func(pressed string, pins ...string) {
		s.draw(m.El("svg", m.ID("bird"), m.Attr("viewBox", "0 0 10 10"),
			m.El("g", m.ID("site"), m.Attr("tabindex", "0"), m.Attr("aria-pressed", pressed), m.El("path", m.Attr("d", "M0 0H5"))),
			m.El("g", m.ID("pins"), m.Each(pins, func(_ int, pin string) m.Part {
				return m.El("circle", m.ID(pin), m.Attr("r", "1"))
			}))))
	}
	draw("false", "one")
	bird, site, one := s.element("bird"), s.element("site"), s.element("one")
	site.Call("focus")
	draw("true", "one", "two")
	if !s.element("bird").Equal(bird) || !s.element("site").Equal(site) || !s.element("one").Equal(one) {
		t.Error("what stays was drawn again")
	}
	if got := site.Call("getAttribute", "aria-pressed").String(); got != "true" {
		t.Errorf("the site says pressed is %q", got)
	}
	if !site.Equal(js.Global().Get("document").Get("activeElement")) {
		t.Error("the site lost the focus")
	}
	for _, id := range []string{"site", "pins", "one", "two"} {
		if got := s.element(id).Get("namespaceURI").String(); got != "http://www.w3.org/2000/svg" {
			t.Errorf("%s is of %s", id, got)
		}
	}
	draw("true", "two")
	if got := s.element("pins").Get("childElementCount").Int(); got != 1 {
		t.Errorf("there are %d pins, want 1", got)
	}
}

func TestWhatStaysIsNotTouchedWhenItsListChanges(t *testing.T) {
	s := newScreen(t)
	draw := func(ids ...string) {
		s.draw(m.El("ul", m.ID("list"), m.Each(ids, func(_ int, id string) m.Part {
			return m.El("li", m.ID(id), m.El("input", m.ID(id+"-field")), m.El("b", m.Text(id)))
		})))
	}
	draw("a", "b", "c")
	a, c := s.element("a"), s.element("c")
	s.element("c-field").Set("value", "typed")
	draw("new", "c", "a")
	if !s.element("a").Equal(a) || !s.element("c").Equal(c) || s.element("c-field").Get("value").String() != "typed" {
		t.Error("rows that moved were drawn again")
	}
	if got := s.element("list").Get("textContent").String(); got != "newca" {
		t.Errorf("the list says %q", got)
	}
	s.element("a").Call("remove") // as an extension of the browser may do
	draw("c", "a", "new")
	if got := s.element("list").Get("textContent").String(); got != "canew" {
		t.Errorf("after a row was taken away the list says %q", got)
	}
}

func TestTaps(t *testing.T) {
	s := newScreen(t)
	s.draw(
		m.El("button", m.ID("b"), m.Do("call.site:breast"), m.El("span", m.ID("inside"), m.Text("Breast"))),
		m.El("button", m.ID("off"), m.Do("no"), m.Attr("aria-disabled", "true")),
		m.El("a", m.ID("link"), m.Attr("href", "#/x"), m.Do("go"), m.Text("x")),
		m.El("div", m.ID("card"), m.Do("open"), m.El("input", m.ID("plain")), m.El("p", m.ID("text"), m.Text("x"))),
		m.El("form", m.ID("form"), m.Do("send"), m.El("p", m.ID("in-form"), m.Text("x"))),
	)
	tap := func(id string) bool { return s.fire(id, "MouseEvent", "click", map[string]any{"detail": 1}) }
	tap("b")
	s.want("call.site:breast")
	tap("inside")
	s.want("call.site:breast")
	tap("off")
	tap("plain")
	tap("in-form")
	s.want()
	tap("text")
	s.want("open")
	if !tap("link") {
		t.Error("a link with a message went its own way too")
	}
	s.want("go")
	s.fire("link", "MouseEvent", "click", map[string]any{"ctrlKey": true})
	s.want()
}

func TestAPlaceOnADrawing(t *testing.T) {
	s := newScreen(t)
	s.draw(m.El("svg", m.ID("bird"), m.Attr("data-xy", ""), m.Attr("width", "200"), m.Attr("height", "100"), m.Attr("viewBox", "0 0 200 100"),
		m.El("rect", m.ID("breast"), m.Attr("x", "100"), m.Attr("width", "100"), m.Attr("height", "50"),
			m.Attr("tabindex", "0"), m.Attr("role", "button"), m.Do("put:breast"))))
	box := s.element("bird").Call("getBoundingClientRect")
	s.fire("breast", "MouseEvent", "click", map[string]any{"detail": 1,
		"clientX": box.Get("left").Float() + 120, "clientY": box.Get("top").Float() + 40})
	s.want("put:breast 600,400")
	if !s.key("breast", "Enter", nil) {
		t.Error("Enter on a region had an effect of its own too")
	}
	s.want("put:breast 750,250") // the middle of the region
	s.key("breast", " ", map[string]any{"repeat": true})
	s.want()
}

func TestFields(t *testing.T) {
	s := newScreen(t)
	s.draw(
		m.El("input", m.ID("left"), m.Do("name:7")),
		m.El("input", m.ID("typed"), m.Do("find"), m.Attr("data-on", "input")),
		m.El("input", m.ID("box"), m.Attr("type", "checkbox"), m.Do("aloud")),
		m.El("select", m.ID("choice"), m.Do("kind"), m.El("option", m.Attr("value", "hen"), m.Text("Hen"))),
		m.El("form", m.ID("form"), m.Do("add"), m.Flag("data-clear"),
			m.El("input", m.ID("who"), m.Attr("name", "who")), m.El("input", m.Attr("name", "team"), m.Attr("value", "5"))),
	)
	typed := func(id, text string, events ...string) {
		s.element(id).Set("value", text)
		for _, e := range events {
			s.fire(id, "Event", e, nil)
		}
	}
	typed("left", "Ann", "input", "change")
	s.want("name:7 Ann")
	typed("typed", "ta", "input", "change")
	s.want("find ta")
	s.element("box").Call("click")
	s.want("aloud on")
	s.element("box").Call("click")
	s.want("aloud")
	typed("choice", "hen", "change")
	s.want("kind hen")

	typed("who", "Ann & Bob", "input", "change")
	s.want()
	if !s.fire("form", "Event", "submit", nil) {
		t.Error("the form was sent to a server")
	}
	s.want("add who=Ann+%26+Bob&team=5")
	if got := s.element("who").Get("value").String(); got != "" {
		t.Errorf("the sent form still says %q", got)
	}
}

func TestFilesOfAField(t *testing.T) {
	s := newScreen(t)
	s.draw(m.El("input", m.ID("file"), m.Attr("type", "file"), m.Flag("multiple"), m.Do("file:take-in")))
	box := js.Global().Get("DataTransfer").New()
	for _, name := range []string{"one.txt", "two.txt"} {
		box.Get("items").Call("add", js.Global().Get("File").New([]any{"from " + name}, name))
	}
	s.element("file").Set("files", box.Get("files"))
	s.fire("file", "Event", "change", nil)
	for range 100 {
		if len(s.sent) == 2 {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	s.want("file:take-in:one.txt from one.txt", "file:take-in:two.txt from two.txt")
}

func TestKeys(t *testing.T) {
	s := newScreen(t)
	s.page.Render(m.El("div", m.ID("page"), m.Attr("data-keys", "1 a Enter Space ArrowUp"),
		m.El("p", m.ID("p"), m.Text("x")),
		m.El("button", m.ID("button"), m.Do("tap"), m.Text("x")),
		m.El("input", m.ID("number"), m.Attr("data-enter", ""), m.Flag("data-clear")),
		m.El("input", m.ID("word"), m.Attr("data-enter", "find:now")),
		m.El("input", m.ID("box"), m.Attr("type", "checkbox"))))
	for _, c := range []struct {
		id, key string
		more    map[string]any
		want    []string
	}{
		{"p", "1", nil, []string{"key:1"}},
		{"p", "A", nil, []string{"key:a"}},
		{"p", " ", nil, []string{"key:Space"}},
		{"p", "Enter", nil, []string{"key:Enter"}},
		{"p", "2", nil, nil},
		{"p", "1", map[string]any{"ctrlKey": true}, nil},
		{"p", "1", map[string]any{"repeat": true}, nil},
		{"p", "ArrowUp", map[string]any{"repeat": true}, []string{"key:ArrowUp"}},
		{"button", "1", nil, []string{"key:1"}},
		{"button", "Enter", nil, nil}, // presses the button
		{"box", "1", nil, []string{"key:1"}},
		{"box", " ", nil, nil}, // ticks the box
		{"number", "1", nil, nil},
		{"word", "ArrowUp", nil, nil},
	} {
		t.Run(c.id+" "+c.key, func(t *testing.T) {
			s.t = t
			if stopped := s.key(c.id, c.key, c.more); len(c.want) > 0 && !stopped {
				t.Error("the key had an effect of its own too")
			}
			s.want(c.want...)
		})
	}
	s.t = t
	s.element("number").Set("value", "041")
	s.key("number", "Enter", nil)
	s.want("key:Enter 041")
	if got := s.element("number").Get("value").String(); got != "" {
		t.Errorf("the sent field still says %q", got)
	}
	s.element("word").Set("value", "hen")
	s.key("word", "Enter", nil)
	s.want("find:now hen")
}

func TestPhotos(t *testing.T) {
	s := newScreen(t)
	s.photos["cafe"] = "a picture"
	photo := m.El("div", m.ID("box"), m.El("p", m.Text("x")), m.El("img", m.ID("photo"), m.Attr("data-blob", "cafe"), m.Attr("alt", "the bird")))
	s.draw(photo)
	<-s.redrawn
	s.draw(photo)
	url := s.element("photo").Get("src").String()
	if !strings.HasPrefix(url, "blob:") {
		t.Fatalf("the picture has the address %q", url)
	}
	fetch := func() (string, error) {
		answer, err := border.Call(js.Global(), "fetch", url)
		if err != nil {
			return "", err
		}
		text, err := border.Call(answer, "text")
		return text.String(), err
	}
	if got, err := fetch(); err != nil || got != "a picture" {
		t.Errorf("behind the address is %q, %v", got, err)
	}
	s.draw(m.El("p", m.ID("box"), m.Text("no picture")))
	if got, err := fetch(); err == nil {
		t.Errorf("a picture that is no longer shown is still kept: %q", got)
	}
}

func TestFaultsAreToldAndNotFatal(t *testing.T) {
	s := newScreen(t)
	s.draw(m.El("button", m.ID("bad"), m.Do("not an action"), m.Text("x")), m.El("button", m.ID("good"), m.Do("good"), m.Text("x")))
	s.element("bad").Call("click")
	if len(s.failed) != 1 || !strings.Contains(s.failed[0].Error(), "not an action") {
		t.Errorf("failed: %v", s.failed)
	}
	s.failed = nil
	s.element("good").Call("click")
	s.want("good")
}

func TestReleaseStopsListening(t *testing.T) {
	s := newScreen(t)
	s.draw(m.El("button", m.ID("b"), m.Do("tap"), m.Text("x")))
	s.page.Release()
	s.element("b").Call("click")
	s.want()
}

func TestNoRoot(t *testing.T) {
	if _, err := dom.New(dom.Options{Mount: "not-there"}); err == nil {
		t.Error("a page was made on an element that does not exist")
	}
}
