//go:build js && wasm

package border_test

import (
	"bytes"
	"errors"
	"strings"
	"syscall/js"
	"testing"

	"keelcard/wasm/border"
	"keelcard/wasm/border/bordertest"
)

func TestTry(t *testing.T) {
	own := errors.New("own")
	tests := []struct {
		name     string
		fn       func()
		want     string // part of the error, "" for none
		wantName string
	}{
		{"nothing", func() {}, "", ""},
		{"exception", func() { bordertest.Function("", `throw new DOMException("full", "QuotaExceededError")`).Invoke() }, "full", "QuotaExceededError"},
		{"error object", func() { bordertest.Function("", `null.x`).Invoke() }, "null", "TypeError"},
		{"text", func() { bordertest.Function("", `throw "text"`).Invoke() }, "text", ""},
		{"undefined", func() { bordertest.Function("", `throw undefined`).Invoke() }, "undefined", ""},
		{"bare object", func() { bordertest.Function("", `throw {}`).Invoke() }, "object", ""},
		{"wrong kind of value", func() { js.Undefined().Get("x") }, "Get", ""},
		{"own error", func() { panic(own) }, "own", ""},
		{"own text", func() { panic("words") }, "words", ""},
	}
	for _, tt := range tests {
		err := border.Try(tt.fn)
		if (err == nil) != (tt.want == "") {
			t.Errorf("%s: got %v", tt.name, err)
			continue
		}
		if err != nil && !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got %q, want %q in it", tt.name, err, tt.want)
		}
		if got := border.Name(err); got != tt.wantName {
			t.Errorf("%s: got the name %q, want %q", tt.name, got, tt.wantName)
		}
	}
}

func TestCall(t *testing.T) {
	object := js.ValueOf(map[string]any{
		"twice":   bordertest.Function("n", `return new Promise(keep => setTimeout(keep, 1, 2 * n))`),
		"refuse":  bordertest.Function("", `return Promise.reject(new DOMException("no", "AbortError"))`),
		"nothing": bordertest.Function("", `return Promise.reject()`),
		"throw":   bordertest.Function("", `throw new TypeError("no")`),
		"plain":   bordertest.Function("", `return 7`),
	})
	if got, err := border.Call(object, "twice", 21); err != nil || got.Int() != 42 {
		t.Errorf("twice gave %v, %v", got, err)
	}
	for method, name := range map[string]string{"refuse": "AbortError", "nothing": "", "throw": "TypeError", "plain": "", "missing": ""} {
		if _, err := border.Call(object, method); err == nil || border.Name(err) != name {
			t.Errorf("%s gave %v, want an error named %q", method, err, name)
		}
	}
}

func TestListen(t *testing.T) {
	target := js.Global().Get("EventTarget").New()
	fire := func(event string) { target.Call("dispatchEvent", js.Global().Get("Event").New(event)) }
	var heard []string
	note := func(event js.Value) { heard = append(heard, event.Get("type").String()) }
	stop := border.Listen(target, func(err error) { heard = append(heard, err.Error()) },
		border.Handler{Event: "a", Run: note},
		border.Handler{Event: "b", Run: note},
		border.Handler{Event: "c", Run: func(js.Value) { panic("broken") }})
	for _, event := range []string{"a", "c", "other", "b"} {
		fire(event)
	}
	stop()
	stop()
	fire("a")
	if got := strings.Join(heard, " "); got != "a broken b" {
		t.Errorf("heard %q", got)
	}
}

func TestBytes(t *testing.T) {
	for _, want := range [][]byte{{}, {0, 1, 255}} {
		if got := border.GoBytes(border.Bytes(want)); got == nil || !bytes.Equal(got, want) {
			t.Errorf("%v came back as %v", want, got)
		}
	}
}

func TestHas(t *testing.T) {
	object := js.ValueOf(map[string]any{"there": 0, "null": nil})
	for name, want := range map[string]bool{"there": true, "null": false, "missing": false} {
		if got := border.Has(object, name); got != want {
			t.Errorf("Has %s: %v", name, got)
		}
	}
	if border.Has(js.Undefined(), "x") || border.Has(js.Null(), "x") {
		t.Error("nothing has something")
	}
}
