//go:build js && wasm

// Package border is what the packages that touch the browser share: exceptions
// as errors, promises as calls that return, listeners that are taken off again.
//
// A js.Func runs on the browser's event loop. Nothing may block there: not
// Await, not a lock, not a channel without room. What waits is called from a
// goroutine; a callback only hands over what came.
package border

import (
	"errors"
	"fmt"
	"syscall/js"
)

// Try runs fn and gives a JavaScript exception, or any other panic, as an
// error. The exception is a js.Error that Name can read.
func Try(fn func()) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = asError(r)
		}
	}()
	fn()
	return nil
}

func asError(thrown any) error {
	switch v := thrown.(type) {
	case js.Error:
		return Reason(v.Value)
	case error:
		return v
	default:
		return fmt.Errorf("%v", v)
	}
}

// Reason makes an error of what a promise was rejected with or a program threw,
// which need not be an Error object, nor an object at all.
func Reason(v js.Value) error {
	if v.Type() != js.TypeObject || v.Get("message").Type() != js.TypeString {
		return errors.New("JavaScript error: " + v.String())
	}
	return js.Error{Value: v}
}

// Name gives the name of the JavaScript exception in err's tree, such as
// "AbortError", and "" when there is none.
func Name(err error) string {
	var thrown js.Error
	if !errors.As(err, &thrown) || thrown.Type() != js.TypeObject {
		return ""
	}
	if name := thrown.Get("name"); name.Type() == js.TypeString {
		return name.String()
	}
	return ""
}

// Await blocks until the promise is settled. It must be called from a
// goroutine, never from a callback.
func Await(promise js.Value) (js.Value, error) {
	type outcome struct {
		value js.Value
		err   error
	}
	settled := make(chan outcome, 1)
	kept := js.FuncOf(func(_ js.Value, args []js.Value) any {
		settled <- outcome{value: first(args)}
		return nil
	})
	defer kept.Release()
	broken := js.FuncOf(func(_ js.Value, args []js.Value) any {
		settled <- outcome{err: Reason(first(args))}
		return nil
	})
	defer broken.Release()
	if err := Try(func() { promise.Call("then", kept, broken) }); err != nil {
		return js.Undefined(), err
	}
	o := <-settled
	return o.value, o.err
}

// Call calls a method that gives a promise and waits for it, as Await does.
func Call(object js.Value, method string, args ...any) (js.Value, error) {
	var promise js.Value
	if err := Try(func() { promise = object.Call(method, args...) }); err != nil {
		return js.Undefined(), err
	}
	return Await(promise)
}

// Handler is what is done about one kind of event.
type Handler struct {
	Event string
	Run   func(event js.Value)
}

// Listen adds the handlers to the target, for the capture phase, in which an
// event passes a parent before it reaches the target's own listeners. A panic
// of a handler goes to failed. stop takes all of them off; it may be called more
// than once, and from a handler.
func Listen(target js.Value, failed func(error), handlers ...Handler) (stop func()) {
	funcs := make([]js.Func, len(handlers))
	for i, h := range handlers {
		funcs[i] = js.FuncOf(func(_ js.Value, args []js.Value) any {
			if err := Try(func() { h.Run(first(args)) }); err != nil {
				failed(err)
			}
			return nil
		})
		target.Call("addEventListener", h.Event, funcs[i], true)
	}
	stopped := false
	return func() {
		if stopped {
			return
		}
		stopped = true
		for i, h := range handlers {
			target.Call("removeEventListener", h.Event, funcs[i], true)
			funcs[i].Release()
		}
	}
}

// Bytes copies data into a new Uint8Array.
func Bytes(data []byte) js.Value {
	array := js.Global().Get("Uint8Array").New(len(data))
	js.CopyBytesToJS(array, data)
	return array
}

// GoBytes copies a Uint8Array; the result is never nil.
func GoBytes(array js.Value) []byte {
	data := make([]byte, array.Length())
	js.CopyBytesToGo(data, array)
	return data
}

// Has says whether the object has a method or property of the name that is
// neither null nor undefined, as a browser that knows a feature does.
func Has(object js.Value, name string) bool {
	if object.Type() != js.TypeObject && object.Type() != js.TypeFunction {
		return false
	}
	v := object.Get(name)
	return !v.IsUndefined() && !v.IsNull()
}

func first(args []js.Value) js.Value {
	if len(args) == 0 {
		return js.Undefined()
	}
	return args[0]
}
