//go:build js && wasm

package store

import (
	"syscall/js"

	"keelcard/wasm/border"
)

// Writer is this tab's right to write, which one tab of the browser has at a
// time.
type Writer struct {
	writing  bool
	released bool
	held     js.Value // promise that holds the lock until it is settled
	letGo    js.Value // settles it
}

// AcquireWriter asks for the right to write under a name, which is the
// database's. If no other tab has it, Writing is true at once. If one has, this
// tab only reads until that one is gone; then Writing is true and onGranted is
// called once, in a goroutine of its own. What the other tab wrote is to be
// loaded before anything is written.
//
// A browser without Web Locks grants the right to every tab.
func AcquireWriter(name string, onGranted func()) (*Writer, error) {
	locks := js.Global().Get("navigator").Get("locks")
	if !border.Has(locks, "request") {
		return &Writer{writing: true}, nil
	}
	w := newWriter()
	answer := make(chan error, 1)
	w.ask(locks, name, true, func(_ bool, err error) {
		select {
		case answer <- err:
		default:
		}
	})
	if err := <-answer; err != nil {
		return nil, unknown(err, "the browser did not say whether another tab of the app is open")
	}
	if !w.writing {
		w.ask(locks, name, false, func(granted bool, _ error) {
			if granted {
				go onGranted()
			}
		})
	}
	return w, nil
}

func newWriter() *Writer {
	w := &Writer{}
	keep := js.FuncOf(func(_ js.Value, args []js.Value) any {
		w.letGo = args[0]
		return nil
	})
	defer keep.Release()
	w.held = js.Global().Get("Promise").New(keep)
	return w
}

// ask requests the lock. answer hears whether it is granted, on the event loop,
// or that the browser refused to say.
func (w *Writer) ask(locks js.Value, name string, ifAvailable bool, answer func(granted bool, err error)) {
	grant := js.FuncOf(func(_ js.Value, args []js.Value) any {
		w.writing = !args[0].IsNull() && !w.released
		answer(w.writing, nil)
		if w.writing {
			return w.held
		}
		return nil
	})
	go func() {
		defer grant.Release()
		_, err := border.Call(locks, "request", name, map[string]any{"ifAvailable": ifAvailable}, grant)
		if err != nil {
			w.writing = false
			answer(false, err)
		}
	}()
}

// Writing says whether this tab has the right.
func (w *Writer) Writing() bool { return w.writing }

// Release gives up the right, or the wait for it.
func (w *Writer) Release() {
	w.writing, w.released = false, true
	if w.letGo.Type() == js.TypeFunction {
		w.letGo.Invoke()
	}
}
