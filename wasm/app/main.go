//go:build js && wasm

// Command app runs Keelcard in the page: it opens the store, keeps the state,
// draws it, and carries out what it asks for.
//
// One goroutine owns the state and takes messages one after another. Callbacks
// of the browser only put a message in its mailbox. The disk has a goroutine
// of its own, so that a save never holds up a tap; saves keep their order.
package main

import (
	"errors"
	"runtime/debug"

	"keelcard/engine"
	"keelcard/wasm/store"
)

// database is the name of the store in this browser, and of the right to write to it.
const database = "keelcard"

func main() {
	// The program holds a few megabytes. It may take some more if that leaves
	// the one processor to the taps: garbage is collected a quarter as often.
	debug.SetGCPercent(400)
	run()
	select {} // what the page shows stays, and no timer meets a program that has ended
}

func run() {
	s, err := store.Open(database)
	if err != nil {
		stop(err, "Nothing on this phone was changed.")
		return
	}
	r := newRunner(s)
	if err := r.start(); err != nil {
		stop(err, "Nothing on this phone was changed.")
		return
	}
	r.loop()
}

// stop shows what happened, what is safe and what to do, in place of the app.
func stop(err error, safe string) {
	what, fix, detail := err.Error(), "", ""
	var told *engine.Error
	if errors.As(err, &told) {
		what, fix = sentence(told.What), sentence(told.Fix)
		if told.Cause != nil {
			detail = told.Cause.Error()
		}
	}
	page().failed(what, safe+" "+fix, detail)
}
