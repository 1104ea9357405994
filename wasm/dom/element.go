//go:build js && wasm

package dom

import (
	"strings"
	"syscall/js"
)

// kind is how an element treats the keyboard.
type kind int

const (
	plain       kind = iota // nothing of its own
	native                  // a button or link: Enter and Space press it
	drawn                   // made tappable by us, such as a region of a drawing
	textField               // typing goes into it
	choiceField             // a box to tick or a dot to choose: Space and arrows are its own
)

func kindOf(e js.Value) kind {
	switch tagOf(e) {
	case "textarea", "select":
		return textField
	case "input":
		switch typeOf(e) {
		case "button", "submit", "reset", "image", "file":
			return native
		case "checkbox", "radio", "range", "color":
			return choiceField
		}
		return textField
	case "button", "a", "summary":
		return native
	}
	if has(e, "data-do") {
		return drawn
	}
	return plain
}

// isField tells whether the element sends on change, not on a tap.
func isField(e js.Value) bool {
	k := kindOf(e)
	return k == textField || k == choiceField || typeOf(e) == "file"
}

func tagOf(e js.Value) string {
	name := e.Get("localName")
	if name.Type() != js.TypeString { // the document itself
		return ""
	}
	return strings.ToLower(name.String())
}

// typeOf gives the type of an input element, "" for other elements.
func typeOf(e js.Value) string {
	if tagOf(e) != "input" {
		return ""
	}
	return e.Get("type").String()
}

// valueOf gives what was typed or chosen, "on" or "" for a box to tick, and ""
// for an element without a value.
func valueOf(e js.Value) string {
	if typeOf(e) == "checkbox" {
		if e.Get("checked").Bool() {
			return "on"
		}
		return ""
	}
	if v := e.Get("value"); v.Type() == js.TypeString {
		return v.String()
	}
	return ""
}

func closest(e js.Value, selector string) js.Value {
	if e.Get("closest").Type() != js.TypeFunction { // the document itself
		return js.Null()
	}
	return e.Call("closest", selector)
}

func has(e js.Value, name string) bool {
	return e.Get("hasAttribute").Type() == js.TypeFunction && e.Call("hasAttribute", name).Bool()
}

// attribute reads an attribute, "" when there is none.
func attribute(e js.Value, name string) string {
	v := e.Call("getAttribute", name)
	if v.IsNull() {
		return ""
	}
	return v.String()
}
