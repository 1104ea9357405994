//go:build js && wasm

package dom

import (
	"strings"
	"syscall/js"

	"keelcard/engine"
	"keelcard/wasm/border"
	"keelcard/wasm/files"
	"keelcard/web/app"
)

func (p *Page) listen() {
	p.stop = append(p.stop,
		border.Listen(p.mount, p.options.Failed,
			border.Handler{Event: "click", Run: p.click},
			border.Handler{Event: "input", Run: p.input},
			border.Handler{Event: "change", Run: p.change},
			border.Handler{Event: "submit", Run: p.submit},
		),
		// With nothing focused a key goes to the body, which is outside the page.
		border.Listen(p.document, p.options.Failed,
			border.Handler{Event: "keydown", Run: p.keydown},
		))
}

// send makes the message of an action and hands it over.
func (p *Page) send(action, text string, more func(*app.Msg)) {
	m, err := app.Parse(action)
	if err != nil {
		p.options.Failed(err)
		return
	}
	m.Text = text
	if more != nil {
		more(&m)
	}
	p.options.Send(m)
}

// click sends what the tapped element says. Fields and forms are left to the
// change and submit events.
func (p *Page) click(event js.Value) {
	target := event.Get("target")
	e := closest(target, "[data-do],input,select,textarea,label,summary,a[href]")
	if e.IsNull() || !has(e, "data-do") {
		return
	}
	switch tag := tagOf(e); {
	case tag == "form" || isField(e):
		return
	case tag == "a" && (event.Get("ctrlKey").Bool() || event.Get("metaKey").Bool() || event.Get("shiftKey").Bool()):
		return // opens another tab
	case tag == "a" || tag == "button":
		event.Call("preventDefault")
	}
	p.tap(e, target, event)
}

// tap sends the action of an element. A tap by keyboard has no place of its
// own: it counts as one in the middle of the element.
func (p *Page) tap(e, target, event js.Value) {
	if attribute(e, "aria-disabled") == "true" {
		return
	}
	p.send(attribute(e, "data-do"), valueOf(e), func(m *app.Msg) {
		box := closest(target, "[data-xy]")
		if box.IsNull() {
			return
		}
		if event.Get("type").String() == "click" && event.Get("detail").Int() > 0 {
			m.X, m.Y = place(box, event.Get("clientX").Float(), event.Get("clientY").Float())
			return
		}
		r := e.Call("getBoundingClientRect")
		m.X, m.Y = place(box, r.Get("left").Float()+r.Get("width").Float()/2, r.Get("top").Float()+r.Get("height").Float()/2)
	})
}

// place gives a point of the screen in thousandths of a box.
func place(box js.Value, x, y float64) (int, int) {
	r := box.Call("getBoundingClientRect")
	part := func(at, from, size float64) int {
		if size <= 0 {
			return 0
		}
		return max(0, min(1000, int((at-from)/size*1000+0.5)))
	}
	return part(x, r.Get("left").Float(), r.Get("width").Float()), part(y, r.Get("top").Float(), r.Get("height").Float())
}

func (p *Page) input(event js.Value) {
	e := event.Get("target")
	if attribute(e, "data-on") == "input" && has(e, "data-do") {
		p.send(attribute(e, "data-do"), valueOf(e), nil)
	}
}

func (p *Page) change(event js.Value) {
	e := event.Get("target")
	if !has(e, "data-do") || attribute(e, "data-on") == "input" {
		return
	}
	action := attribute(e, "data-do")
	if typeOf(e) == "file" {
		p.sendFiles(action, e)
		return
	}
	p.send(action, valueOf(e), nil)
	clear(e)
}

// sendFiles reads the chosen files, in their order.
func (p *Page) sendFiles(action string, e js.Value) {
	list := e.Get("files")
	var chosen []js.Value
	for i := range list.Length() {
		chosen = append(chosen, list.Index(i))
	}
	go func() {
		for _, f := range chosen {
			name := f.Get("name").String()
			data, err := readFile(f, name)
			if err != nil {
				p.options.Refused(err)
				continue
			}
			p.send(action, "", func(m *app.Msg) {
				m.Args = append(m.Args, name)
				m.Bytes = data
			})
		}
		e.Set("value", "") // so that the same file can be chosen again
	}()
}

func readFile(f js.Value, name string) ([]byte, error) {
	if f.Get("size").Float() > files.MaxBytes {
		return nil, engine.New("dom.too-large", name, "it is larger than any file Keelcard makes; nothing was taken in", "choose the file that was handed over")
	}
	buffer, err := border.Call(f, "arrayBuffer")
	if err != nil {
		return nil, &engine.Error{Code: "dom.unreadable", Where: name, What: "it could not be read; nothing was taken in", Fix: "fetch it onto this phone first, then choose it again", Cause: err}
	}
	return border.GoBytes(js.Global().Get("Uint8Array").New(buffer)), nil
}

func (p *Page) submit(event js.Value) {
	event.Call("preventDefault")
	form := event.Get("target")
	if !has(form, "data-do") {
		return
	}
	data := js.Global().Get("FormData").New(form)
	if by := event.Get("submitter"); !by.IsNull() && !by.IsUndefined() && by.Get("name").String() != "" {
		data.Call("append", by.Get("name"), by.Get("value"))
	}
	p.send(attribute(form, "data-do"), js.Global().Get("URLSearchParams").New(data).Call("toString").String(), nil)
	if has(form, "data-clear") {
		form.Call("reset")
	}
}

// keydown sends the keys that the page wants. A field keeps its keys, and
// Enter and Space stay with the button that has the focus.
func (p *Page) keydown(event js.Value) {
	if event.Get("isComposing").Bool() || event.Get("ctrlKey").Bool() || event.Get("altKey").Bool() || event.Get("metaKey").Bool() {
		return
	}
	key := event.Get("key").String()
	target := event.Get("target")
	press := key == "Enter" || key == " "
	switch kind := kindOf(target); {
	case kind == textField:
		if key == "Enter" && has(target, "data-enter") {
			event.Call("preventDefault")
			p.enter(target)
		}
		return
	case kind == choiceField && (press || strings.HasPrefix(key, "Arrow")):
		return
	case kind == native && press:
		return
	case kind == drawn && press:
		event.Call("preventDefault")
		if !event.Get("repeat").Bool() {
			p.tap(target, target, event)
		}
		return
	}
	p.key(key, event)
}

// key sends a key that the page wants. A held key counts once, except arrows.
func (p *Page) key(key string, event js.Value) {
	if key == " " {
		key = "Space"
	}
	if lower := strings.ToLower(key); len(key) == 1 && !p.keys[key] {
		key = lower
	}
	if !p.keys[key] {
		return
	}
	event.Call("preventDefault")
	if event.Get("repeat").Bool() && !strings.HasPrefix(key, "Arrow") {
		return
	}
	p.options.Send(app.Msg{Do: "key", Args: []string{key}})
}

// enter sends what Enter means in a field.
func (p *Page) enter(field js.Value) {
	text := valueOf(field)
	if action := attribute(field, "data-enter"); action != "" {
		p.send(action, text, nil)
	} else {
		p.options.Send(app.Msg{Do: "key", Args: []string{"Enter"}, Text: text})
	}
	clear(field)
}

func clear(field js.Value) {
	if has(field, "data-clear") {
		field.Set("value", "")
	}
}
