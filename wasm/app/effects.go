//go:build js && wasm

package main

import (
	"errors"
	"fmt"
	"strconv"
	"syscall/js"
	"time"

	"keelcard/engine"
	"keelcard/wasm/files"
	"keelcard/wasm/store"
	"keelcard/web/app"
)

// carryOut does what the state asks for, or hands it to whoever does. It does
// not block.
func (r *runner) carryOut(e app.Effect) {
	switch e := e.(type) {
	case app.Save:
		r.pending++
		page().saves(r.done, r.pending)
		r.disk.put(e)
	case app.Load:
		r.disk.put(e)
	case app.Focus, app.Top, app.Print:
		r.afterDraw = append(r.afterDraw, e)
	case app.Route:
		setAddress(e.Hash, e.Push)
	case app.Scheme:
		page().scheme(e.Name)
	case app.Speak:
		files.Speak(e.Text)
	case app.Pick:
		picked := files.Pick(e) // at once: the browser allows it shortly after a tap only
		go func() {
			for f := range picked {
				r.arrived(e.Tag, f)
			}
		}()
	case app.Offer:
		go func() { r.offered(e.Tag)(files.Offer(e)) }()
	case app.ShareText:
		if e.Hash != "" {
			e.Text += "\n" + wholeAddress(e.Hash)
		}
		go func() { r.offered(e.Tag)(files.ShareText(e)) }()
	case app.LoadRest:
		page().loadRest()
	case app.Tick:
		time.AfterFunc(pace(e), func() { r.mailbox.put(app.Msg{Do: "tick", Args: []string{e.Tag, strconv.Itoa(e.Run)}}) })
	case app.Scan:
		page().codes("scan", r.onCode())
	case app.Awake:
		page().codes("awake", js.Undefined())
	case app.UpdateShell:
		page().takeUpdate()
	case app.Persist:
		go r.persist()
	default:
		panic(fmt.Sprintf("no way to carry out %T", e))
	}
}

// pace is how long a tick waits.
func pace(e app.Tick) time.Duration {
	if js.Global().Call("matchMedia", "(prefers-reduced-motion: reduce)").Get("matches").Bool() {
		return time.Duration(e.Calm) * time.Millisecond
	}
	return time.Duration(e.After) * time.Millisecond
}

// onCode makes a message of what a scan tells. It is made once.
func (r *runner) onCode() js.Value {
	if r.scanned.IsUndefined() {
		r.scanned = js.FuncOf(func(_ js.Value, args []js.Value) any {
			r.mailbox.put(app.Msg{Do: "scan." + args[0].String(), Text: args[1].String()})
			return nil
		})
	}
	return r.scanned.Value
}

// onScreen does what needs the page that was just drawn.
func (r *runner) onScreen(e app.Effect) {
	switch e := e.(type) {
	case app.Focus:
		r.page.Focus(e.ID)
	case app.Top:
		r.page.Top()
	case app.Print:
		files.Print()
	}
}

// runDisk carries out saves and loads one after another. Saves that have come
// together are one piece: whoever keys faster than the disk writes does not wait
// for each of them.
func (r *runner) runDisk() {
	for range r.disk.bell {
		var saves []app.Save
		for _, e := range r.disk.take() {
			switch e := e.(type) {
			case app.Save:
				saves = append(saves, e)
			case app.Load:
				r.save(saves)
				saves = nil
				r.mailbox.put(r.load(e))
			}
		}
		r.save(saves)
	}
}

// save writes all of some saves or none of them, and answers each.
func (r *runner) save(saves []app.Save) {
	if len(saves) == 0 {
		return
	}
	var ops []app.Op
	for _, e := range saves {
		ops = append(ops, e.Ops...)
	}
	err := r.commit(ops)
	r.pending -= len(saves)
	if err == nil {
		r.done += len(saves)
	}
	page().saves(r.done, r.pending)
	for _, e := range saves {
		answer := app.Msg{Do: "saved", Args: []string{e.Tag}}
		if err != nil {
			answer = app.Msg{Do: "save-failed", Args: []string{e.Tag}, Text: err.Error()}
		}
		r.mailbox.put(answer)
	}
}

// commit writes, unless another tab is the one that writes.
func (r *runner) commit(ops []app.Op) error {
	if !r.writer.Writing() {
		return errReader
	}
	return r.store.Commit(ops)
}

func (r *runner) load(e app.Load) app.Msg {
	found, err := r.store.Load(e.Bucket, e.Prefix)
	if err != nil {
		return app.Msg{Do: "load-failed", Args: []string{e.Tag}, Text: err.Error()}
	}
	return app.Msg{Do: "loaded", Args: []string{e.Tag}, Found: found}
}

func (r *runner) persist() {
	granted, err := store.Persist()
	answer := "no"
	if err == nil && granted {
		answer = "yes"
	}
	r.mailbox.put(app.Msg{Do: "persisted", Args: []string{answer}})
}

// arrived passes on a file, or why it could not be had to the page that asked
// for it, if that tells such things itself.
func (r *runner) arrived(tag string, f files.File) {
	if f.Err != nil {
		m := refused(f.Err)
		if told := m.Do + "." + tag; app.Handles(told) {
			m.Do = told
		}
		r.mailbox.put(m)
		return
	}
	m := app.Msg{Do: "file", Args: []string{tag, f.Name}, Bytes: f.Bytes}
	if f.Among {
		m.Args = append(m.Args, app.Among)
	}
	r.mailbox.put(m)
}

// offered passes on how handing something out ended.
func (r *runner) offered(tag string) func(how string, err error) {
	return func(how string, err error) {
		if err != nil {
			r.mailbox.put(refused(err))
			return
		}
		r.mailbox.put(app.Msg{Do: "offered", Args: []string{tag, how}})
	}
}

// refused is the message that something could not be done: what as its text,
// the remedy as its argument.
func refused(err error) app.Msg {
	var told *engine.Error
	if !errors.As(err, &told) {
		return app.Msg{Do: "failed", Args: []string{""}, Text: err.Error()}
	}
	what := told.What
	if told.Where != "" {
		what = told.Where + ": " + what
	}
	return app.Msg{Do: "failed", Args: []string{told.Fix}, Text: what}
}

// errReader is why a tab that only reads keeps nothing.
var errReader = engine.New("app.reader", "", "another tab of Keelcard is the one that writes", "go on in that tab, or close it")
