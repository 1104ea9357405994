//go:build js && wasm

// Package dom puts pages on the screen and makes messages of what people do.
//
// A page is drawn once as one string. After that only the pieces that changed
// cross to the browser, which morphs them into place. There is one listener for
// each kind of event, at the root; elements say in attributes what they send:
//
//	data-do="name:argument"  the message of a tap, a changed field or a sent form
//	data-on="input"          this field sends at every letter, not when it is left
//	data-enter="name"        Enter in this field sends this message; when empty, the key message
//	data-clear               this form or field is emptied after it was sent
//	data-xy                  taps inside carry their place, in thousandths of this box
//	data-blob="hash"         this picture is a stored photo
//	data-keys="1 2 a Enter"  on the page itself: keys that send Msg{Do: "key"}
//
// The text of a message is the value of its field ("on" or "" for a box to
// tick), or the fields of a form as a URL query. An input of type file sends a
// message for every file, with the name as its last argument and the bytes.
package dom

import (
	"errors"
	"strings"
	"syscall/js"

	dom "honnef.co/go/js/dom/v2"

	"keelcard/wasm/border"
	"keelcard/web/app"
	"keelcard/web/markup"
)

// Options say where a page is drawn and who hears of it. All are required.
type Options struct {
	Mount   string                            // id of the element that holds the page
	Send    func(app.Msg)                     // takes a message; it must not block
	Photo   func(hash string) ([]byte, error) // reads a photo; called from a goroutine
	Redraw  func()                            // asks for the page to be drawn again, since a photo came; it must not block
	Refused func(error)                       // hears why a chosen file was not read; it must not block
	Failed  func(error)                       // hears of a fault while a message was made
}

// Page is what is on the screen.
type Page struct {
	options  Options
	document js.Value
	mount    js.Value
	drawn    bool
	last     markup.Node
	keys     map[string]bool
	photos   photos
	stop     []func()
}

// New readies the element for drawing and begins to listen. It fails when the
// element does not exist.
func New(o Options) (*Page, error) {
	document := js.Global().Get("document")
	p := &Page{options: o, document: document}
	p.mount = p.element(o.Mount)
	if p.mount.IsNull() {
		return nil, errors.New("the page has no element " + o.Mount)
	}
	p.photos = photos{read: o.Photo, came: o.Redraw, urls: map[string]string{}, asked: map[string]bool{}}
	p.listen()
	return p, nil
}

// Release stops listening and lets go of photos. What is drawn stays.
func (p *Page) Release() {
	for _, stop := range p.stop {
		stop()
	}
	p.stop = nil
	p.photos.keep(nil)
}

// Render brings the screen to the page. The page needs an id that stays.
func (p *Page) Render(page markup.Node) {
	shown := map[string]bool{}
	page = p.photos.fill(page, shown)
	p.keys = keysOf(page)
	if !p.drawn || page.Tag != p.last.Tag || page.Get("id") != p.last.Get("id") || !p.patch(markup.Diff(p.last, page)) {
		p.whole(page)
	}
	p.drawn, p.last = true, page
	p.photos.keep(shown)
}

// whole draws the page anew. The focus stays with the element of the same id.
func (p *Page) whole(page markup.Node) {
	focused := p.document.Get("activeElement").Get("id").String()
	p.mount.Set("innerHTML", markup.String(page))
	p.Focus(focused)
}

// patch morphs the changed pieces. It reports false when the page must be drawn
// whole: it is another one, or the screen is not what it should be.
func (p *Page) patch(patches []markup.Patch) bool {
	whole := true
	err := border.Try(func() {
		for _, c := range patches {
			another := c.ID == p.last.Get("id") && !c.Outside
			if another || !js.Global().Call("keelcardMorph", c.ID, c.HTML, c.Outside).Bool() {
				whole = false
				return
			}
		}
	})
	return whole && err == nil
}

// keysOf reads which keys the page wants.
func keysOf(page markup.Node) map[string]bool {
	keys := map[string]bool{}
	for _, k := range strings.Fields(page.Get("data-keys")) {
		keys[k] = true
	}
	return keys
}

// element finds an element by its id, null when there is none.
func (p *Page) element(id string) js.Value {
	return p.document.Call("getElementById", id)
}

// wrapped gives the methods of the bindings to an element. It stays a value
// with a known type: as one of the bindings' interfaces it would bring the
// description of every kind of element with it, 40 kB of the download.
func wrapped(e js.Value) dom.BasicHTMLElement {
	return dom.BasicHTMLElement{BasicElement: &dom.BasicElement{BasicNode: &dom.BasicNode{Value: e}}}
}

// Focus moves the keyboard to the element with the id, if there is one.
func (p *Page) Focus(id string) {
	if e := p.element(id); !e.IsNull() {
		html := wrapped(e)
		html.Focus()
	}
}

// Top scrolls to the top of the page.
func (p *Page) Top() {
	js.Global().Call("scrollTo", 0, 0)
}
