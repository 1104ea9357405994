//go:build js && wasm

package main

import (
	"fmt"
	"syscall/js"
	"time"

	"keelcard/engine"
	"keelcard/wasm/border"
	"keelcard/wasm/dom"
	"keelcard/wasm/files"
	"keelcard/wasm/store"
	"keelcard/web/app"
	"keelcard/web/view"
)

// A runner holds the running app.
type runner struct {
	store  *store.Store
	writer *store.Writer
	state  *app.State
	page   *dom.Page

	mailbox *queue[app.Msg]
	disk    *queue[app.Effect] // saves and loads, in order
	again   chan struct{}      // this tab may write from now on: begin again

	frame      chan struct{} // the browser is about to paint
	onFrame    js.Func
	scanned    js.Func // hears of picture codes, once one was looked for
	frameAsked bool
	pressed    time.Time    // since when a finger is down, zero when none is
	afterDraw  []app.Effect // what needs the new page on the screen
	done       int          // saves on disk
	pending    int          // saves under way
	gap        error        // why nothing is written that does not hold what failed before
}

// patience is how long the page holds still under a finger. A page that is
// drawn between press and release may move the button away from under it, and
// the tap is lost. A finger that rests longer is not a tap.
const patience = 700 * time.Millisecond

func newRunner(s *store.Store) *runner {
	r := &runner{
		mailbox: newQueue[app.Msg](),
		disk:    newQueue[app.Effect](),
		again:   make(chan struct{}, 1),
		frame:   make(chan struct{}, 1),
	}
	r.hold(s)
	r.onFrame = js.FuncOf(func(js.Value, []js.Value) any {
		select {
		case r.frame <- struct{}{}:
		default:
		}
		return nil
	})
	return r
}

// hold takes an open store. The app opens it anew when the browser closes it; to
// a newer version of the app it leaves the store for good.
func (r *runner) hold(s *store.Store) {
	r.store = s
	s.OnClosed(func(reason string) {
		if reason == store.VersionChange {
			stop(s.Err(), "Everything shown as saved is safe.")
			return
		}
		r.mailbox.put(app.Msg{Do: "store-closed"})
	})
}

// start reads what the phone kept, draws the first page and begins to listen.
func (r *runner) start() error {
	var err error
	r.writer, err = store.AcquireWriter(database, func() { r.again <- struct{}{} })
	if err != nil {
		return err
	}
	r.page, err = dom.New(dom.Options{
		Mount:   "app",
		Send:    r.mailbox.put,
		Photo:   func(hash string) ([]byte, error) { return r.store.Get(app.BucketBlob, hash) },
		Redraw:  r.askFrame,
		Refused: func(err error) { r.mailbox.put(refused(err)) },
		Failed:  r.broken,
	})
	if err != nil {
		return err
	}
	go r.runDisk()
	if err := r.boot(); err != nil {
		return err
	}
	r.draw()
	page().ready()
	r.listen()
	return nil
}

// boot makes the state from what is stored.
func (r *runner) boot() error {
	r.state, r.gap = app.New(), nil
	if err := app.Restore(r.state, r.together(app.BucketMeta, app.BucketContest)); err != nil {
		return err
	}
	if !r.writer.Writing() {
		r.update(app.Msg{Do: "reader"})
	}
	if page().restAway() {
		r.update(app.Msg{Do: "rest-away"})
	}
	r.update(app.Msg{Do: "boot", Args: []string{address(), page().marked()}})
	return nil
}

// together reads whole buckets at the same time, as the start of the app is
// waiting for the disk, and gives a way to get at what came.
func (r *runner) together(buckets ...string) func(bucket, prefix string) ([]app.Entry, error) {
	type read struct {
		entries []app.Entry
		err     error
	}
	under := map[string]chan read{}
	for _, b := range buckets {
		came := make(chan read, 1)
		under[b] = came
		go func() {
			entries, err := r.store.Load(b, "")
			came <- read{entries, err}
		}()
	}
	return func(bucket, prefix string) ([]app.Entry, error) {
		if came := under[bucket]; came != nil && prefix == "" {
			delete(under, bucket)
			got := <-came
			return got.entries, got.err
		}
		return r.store.Load(bucket, prefix)
	}
}

// listen passes on what happens outside the page.
func (r *runner) listen() {
	border.Listen(js.Global(), r.broken,
		border.Handler{Event: "hashchange", Run: func(js.Value) {
			r.mailbox.put(app.Msg{Do: "route", Args: []string{address()}})
		}})
	border.Listen(js.Global().Get("document"), r.broken,
		border.Handler{Event: "visibilitychange", Run: func(js.Value) {
			if js.Global().Get("document").Get("hidden").Bool() {
				r.mailbox.put(app.Msg{Do: "hidden"})
			}
		}},
		border.Handler{Event: "pointerdown", Run: func(js.Value) { r.pressed = time.Now() }},
		border.Handler{Event: "pointerup", Run: func(js.Value) { r.pressed = time.Time{} }},
		border.Handler{Event: "pointercancel", Run: func(js.Value) { r.pressed = time.Time{} }})
	page().onRest(func(came bool) {
		if came {
			r.mailbox.put(app.Msg{Do: "rest-loaded"})
		} else {
			r.mailbox.put(app.Msg{Do: "rest-failed"})
		}
	})
	page().onUpdate(func() { r.mailbox.put(app.Msg{Do: "update-waiting"}) })
	page().onFile(func(f files.File) { r.arrived("share", f) })
}

// loop takes messages and draws, until something breaks.
func (r *runner) loop() {
	for {
		err := border.Try(func() {
			select {
			case <-r.mailbox.bell:
				for _, m := range r.mailbox.take() {
					r.update(m)
				}
				r.askFrame()
			case <-r.frame:
				r.frameAsked = false
				if time.Since(r.pressed) < patience {
					r.askFrame()
					return
				}
				r.draw()
			case <-r.again:
				if err := r.boot(); err != nil {
					stop(err, "Everything shown as saved is safe.")
				}
				r.askFrame()
			}
		})
		if err != nil {
			r.broken(err)
			return
		}
	}
}

// broken shows a fault of the program itself.
func (r *runner) broken(err error) {
	fmt.Println("keelcard:", err)
	stop(&engine.Error{Code: "app.fault", What: "Keelcard came upon a fault of its own", Fix: "start again to go on where you were", Cause: err},
		"Everything shown as saved is safe on this phone.")
}

// update hands a message to the state, with the time and fresh randomness, and
// carries out what comes of it.
func (r *runner) update(m app.Msg) {
	m.Now = time.Now().Unix()
	m.Rand = random(32)
	for _, e := range app.Update(r.state, m) {
		r.carryOut(e)
	}
}

// askFrame asks for the page to be drawn before the browser paints next.
func (r *runner) askFrame() {
	if !r.frameAsked {
		r.frameAsked = true
		js.Global().Call("requestAnimationFrame", r.onFrame)
	}
}

func (r *runner) draw() {
	r.page.Render(view.Page(r.state))
	effects := r.afterDraw
	r.afterDraw = nil
	for _, e := range effects {
		r.onScreen(e)
	}
}
