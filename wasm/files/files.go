//go:build js && wasm

// Package files brings bytes into the page and out of it: files and photos,
// the share sheet, the clipboard, the printer, the voice. It knows nothing of
// what is in them.
//
// A browser lets a page open a file dialog or a share sheet only shortly after a
// tap, so Pick, Offer and ShareText are to be called before anything else is
// waited for. Offer and ShareText block until the person has chosen: they must
// be called from a goroutine, never from a js.Func callback. The others return
// at once.
package files

import (
	"syscall/js"
	"time"

	"keelcard/engine"
	"keelcard/wasm/border"
	"keelcard/web/app"
)

// How an offer ended, as app.Offer and app.ShareText name it.
const (
	Shared  = "shared"
	Saved   = "saved"
	Copied  = "copied"
	Dropped = "dropped" // the person closed the sheet
)

func fault(code engine.Code, where, what, fix string, cause error) error {
	return &engine.Error{Code: code, Where: where, What: what, Fix: fix, Cause: cause}
}

func navigator() js.Value { return js.Global().Get("navigator") }
func document() js.Value  { return js.Global().Get("document") }

// Offer hands a file to the share sheet, or saves it where there is no sheet,
// where the sheet does not take such a file, or where o.Save is set. It returns
// Shared, Saved or Dropped, or an error with the code files.save.
func Offer(o app.Offer) (how string, err error) {
	var file js.Value
	err = border.Try(func() {
		parts := []any{border.Bytes(o.Bytes)}
		file = js.Global().Get("File").New(parts, o.Name, map[string]any{"type": o.Type})
	})
	if err == nil && !o.Save {
		what := map[string]any{"files": []any{file}}
		if canShare(what) {
			if how = share(what); how != "" {
				return how, nil
			}
		}
	}
	if err == nil {
		err = border.Try(func() { download(file, o.Name) })
	}
	if err != nil {
		return "", fault("files.save", o.Name, "the browser did not save the file; everything is still kept in the app",
			"free some room on the phone and try again", err)
	}
	return Saved, nil
}

func canShare(what map[string]any) bool {
	if !border.Has(navigator(), "share") || !border.Has(navigator(), "canShare") {
		return false
	}
	can := false
	err := border.Try(func() { can = navigator().Call("canShare", what).Bool() })
	return err == nil && can
}

// share opens the share sheet. "" says that it did not open.
func share(what map[string]any) (how string) {
	_, err := border.Call(navigator(), "share", what)
	switch {
	case err == nil:
		return Shared
	case border.Name(err) == "AbortError":
		return Dropped
	}
	return ""
}

// download saves a file as a link with the attribute of that name does.
func download(file js.Value, name string) {
	url := js.Global().Get("URL").Call("createObjectURL", file).String()
	// The browser reads the file after the click has returned, and a slow one
	// long after.
	time.AfterFunc(time.Minute, func() { Revoke(url) })
	link := document().Call("createElement", "a")
	link.Set("href", url)
	link.Set("download", name)
	link.Set("hidden", true)
	document().Get("body").Call("append", link)
	link.Call("click")
	link.Call("remove")
}

// ShareText hands a text to the share sheet, or to the clipboard where there is
// no sheet or t.Copy is set. It returns Shared, Copied or Dropped, or an error
// with the code files.copy.
func ShareText(t app.ShareText) (how string, err error) {
	if !t.Copy && border.Has(navigator(), "share") {
		if how = share(map[string]any{"title": t.Title, "text": t.Text}); how != "" {
			return how, nil
		}
	}
	if clipboard := navigator().Get("clipboard"); border.Has(clipboard, "writeText") {
		if _, err = border.Call(clipboard, "writeText", t.Text); err == nil {
			return Copied, nil
		}
	}
	if copySelected(t.Text) {
		return Copied, nil
	}
	return "", fault("files.copy", "", "the browser did not let the text be copied; nothing is lost",
		"save it as a file, or mark the text and copy it by hand", err)
}

// copySelected copies in the way of browsers that keep their clipboard from
// scripts: by a marked text.
func copySelected(text string) (copied bool) {
	err := border.Try(func() {
		focused := document().Get("activeElement")
		area := document().Call("createElement", "textarea")
		area.Set("value", text)
		area.Set("readOnly", true) // keeps the keyboard of a phone down
		document().Get("body").Call("append", area)
		defer func() {
			area.Call("remove")
			if border.Has(focused, "focus") {
				focused.Call("focus")
			}
		}()
		area.Call("select")
		copied = document().Call("execCommand", "copy").Bool()
	})
	return copied && err == nil
}

// Print opens the print dialog.
func Print() {
	_ = border.Try(func() { js.Global().Call("print") })
}

// Speak says a text aloud in the language of the page, in place of what is still
// being said. Where there is no voice it does nothing: what is spoken is always
// on the page too.
func Speak(text string) {
	voice := js.Global().Get("speechSynthesis")
	if !border.Has(voice, "speak") || !border.Has(js.Global(), "SpeechSynthesisUtterance") {
		return
	}
	_ = border.Try(func() {
		voice.Call("cancel")
		utterance := js.Global().Get("SpeechSynthesisUtterance").New(text)
		utterance.Set("lang", document().Get("documentElement").Get("lang"))
		voice.Call("speak", utterance)
	})
}

// URL makes an address by which the page can show data as a file of a type, such
// as "image/jpeg". The browser keeps the data until Revoke.
func URL(kind string, data []byte) string {
	parts := []any{border.Bytes(data)}
	blob := js.Global().Get("Blob").New(parts, map[string]any{"type": kind})
	return js.Global().Get("URL").Call("createObjectURL", blob).String()
}

// Revoke lets go of the data behind an address of URL.
func Revoke(url string) {
	js.Global().Get("URL").Call("revokeObjectURL", url)
}
