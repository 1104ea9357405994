//go:build js && wasm

// Package bordertest lets a test change the browser for its own length, so that
// a browser that refuses, lacks or breaks something can be had at will.
package bordertest

import (
	"syscall/js"
	"testing"
	"time"
)

// Function makes a JavaScript function of its source. The page that tests run in
// has no content policy that forbids it.
func Function(parameters, body string) js.Value {
	return js.Global().Get("Function").New(parameters, body)
}

// Prototype gives the prototype of a class of the browser.
func Prototype(class string) js.Value { return js.Global().Get(class).Get("prototype") }

// Patch replaces a method of a class until the test ends. body is the body of a
// function that gets the method as it was, named was, and returns the new one.
func Patch(t testing.TB, class, method, body string) {
	t.Helper()
	prototype := Prototype(class)
	was := prototype.Get(method)
	prototype.Set(method, Function("was", body).Invoke(was))
	t.Cleanup(func() { prototype.Set(method, was) })
}

// Without takes a property of an object away until the test ends.
func Without(t testing.TB, object js.Value, property string) {
	t.Helper()
	Replace(t, object, property, js.Undefined())
}

// Replace gives a property, even one that cannot be assigned, another value
// until the test ends.
func Replace(t testing.TB, object js.Value, property string, value any) {
	t.Helper()
	objects := js.Global().Get("Object")
	was := objects.Call("getOwnPropertyDescriptor", object, property)
	objects.Call("defineProperty", object, property, map[string]any{"value": value, "configurable": true, "writable": true})
	t.Cleanup(func() {
		object.Delete(property)
		if !was.IsUndefined() { // else it was inherited, and is again
			objects.Call("defineProperty", object, property, was)
		}
	})
}

// Soon fails the test when f does not return within five seconds.
func Soon(t testing.TB, what string, f func()) {
	t.Helper()
	done := make(chan struct{})
	go func() {
		defer close(done)
		f()
	}()
	select {
	case <-done:
	case <-time.After(5 * time.Second):
		t.Fatal(what + " hangs")
	}
}
