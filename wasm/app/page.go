//go:build js && wasm

package main

import (
	"strings"
	"syscall/js"
	"unicode"
	"unicode/utf8"

	"keelcard/wasm/border"
	"keelcard/wasm/files"
)

// shellPage is window.keelcard, which the start script made.
type shellPage struct{ js.Value }

func page() shellPage { return shellPage{js.Global().Get("keelcard")} }

// failed shows trouble in place of the app.
func (p shellPage) failed(what, safe, detail string) { p.Call("failed", what, safe, detail) }

// scheme sets the colour scheme.
func (p shellPage) scheme(name string) { p.Call("scheme", name) }

// mark keeps a text outside the store, and marked gives it back.
func (p shellPage) mark(text string) { p.Call("mark", text) }

func (p shellPage) marked() string { return p.Call("marked").String() }

// takeUpdate starts the version that waits.
func (p shellPage) takeUpdate() { p.Call("takeUpdate") }

// restAway tells whether the second part of the program is still to come.
func (p shellPage) restAway() bool { return p.Get("rest").String() == "away" }

// loadRest asks for the second part of the program.
func (p shellPage) loadRest() { p.Call("loadRest") }

// onRest calls tell when the second part of the program came, or did not come.
// From now on it is on its way.
func (p shellPage) onRest(tell func(came bool)) {
	p.Call("onRest", js.FuncOf(func(_ js.Value, args []js.Value) any {
		tell(args[0].Bool())
		return nil
	}))
}

// codes asks for something that the script for picture codes does.
func (p shellPage) codes(what string, tell js.Value) { p.Call("codes", what, tell) }

// saves tells the page how many saves are done and how many are under way.
func (p shellPage) saves(done, pending int) {
	p.Set("saved", done)
	p.Set("pending", pending)
}

// ready tells the page that it is drawn for the first time.
func (p shellPage) ready() {
	p.Set("started", js.Global().Get("performance").Call("now"))
	p.Set("ready", true)
}

// onUpdate calls tell when a new version waits.
func (p shellPage) onUpdate(tell func()) {
	p.Call("onUpdate", js.FuncOf(func(js.Value, []js.Value) any {
		tell()
		return nil
	}))
}

// onFile calls tell for every file that is shared to the app or opened with it.
func (p shellPage) onFile(tell func(f files.File)) {
	p.Call("onFile", js.FuncOf(func(_ js.Value, args []js.Value) any {
		tell(files.Came(args[0].String(), args[1].Float(), border.GoBytes(args[2]), args[3].Bool()))
		return nil
	}), files.MaxBytes)
}

// address gives the fragment of the address, without its mark.
func address() string {
	return strings.TrimPrefix(js.Global().Get("location").Get("hash").String(), "#")
}

// wholeAddress is the address of a page of this app, given its fragment.
func wholeAddress(hash string) string {
	location := js.Global().Get("location")
	return location.Get("origin").String() + location.Get("pathname").String() + hash
}

// setAddress changes the fragment, as a step back of its own when push is set.
func setAddress(hash string, push bool) {
	hash = "#" + strings.TrimPrefix(hash, "#")
	if hash == js.Global().Get("location").Get("hash").String() {
		return
	}
	method := "replaceState"
	if push {
		method = "pushState"
	}
	js.Global().Get("history").Call(method, nil, "", hash)
}

// random gives bytes for keys and names, from the browser's own source.
func random(n int) []byte {
	array := js.Global().Get("Uint8Array").New(n)
	js.Global().Get("crypto").Call("getRandomValues", array)
	return border.GoBytes(array)
}

// sentence makes a clause a sentence.
func sentence(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return ""
	}
	s = string(unicode.ToUpper(first)) + s[size:]
	if !strings.ContainsRune(".!?", rune(s[len(s)-1])) {
		s += "."
	}
	return s
}
