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
	case app.Load, app.Reopen:
		r.disk.put(e)
	case app.Mark:
		page().mark(e.Text)
	case app.Room:
		go r.room()
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

// runDisk carries out what concerns the store, one after another. Saves that have come
// together are one piece: whoever keys faster than the disk writes does not wait
// for each of them.
func (r *runner) runDisk() {
	for range r.disk.bell {
		var saves []app.Save
		for _, e := range r.disk.take() {
			if e, ok := e.(app.Save); ok {
				saves = append(saves, e)
				continue
			}
			r.save(saves)
			saves = nil
			switch e := e.(type) {
			case app.Load:
				r.mailbox.put(r.load(e))
			case app.Reopen:
				r.mailbox.put(r.reopen())
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
	err := r.commit(ops, saves[0].Again)
	r.pending -= len(saves)
	if err == nil {
		r.done += len(saves)
	}
	page().saves(r.done, r.pending)
	for _, e := range saves {
		if err != nil {
			r.mailbox.put(trouble("save-failed", err, e.Tag))
		} else {
			r.mailbox.put(app.Msg{Do: "saved", Args: []string{e.Tag}})
		}
	}
}

// commit writes, unless another tab is the one that writes, or what is missing
// on the disk comes with a later save.
func (r *runner) commit(ops []app.Op, again bool) error {
	if again {
		r.gap = nil
	}
	switch {
	case len(ops) == 0:
		return nil
	case !r.writer.Writing():
		return errReader
	case r.gap != nil:
		return r.gap
	}
	r.gap = r.store.Commit(ops)
	return r.gap
}

// reopen opens the store anew after the browser closed it. Should it be empty,
// nothing is written to it before all of what is in memory. While the browser is
// still at clearing, it refuses.
func (r *runner) reopen() app.Msg {
	s, err := store.Open(database)
	for wait := 100 * time.Millisecond; err != nil && wait < 2*time.Second; wait *= 2 {
		time.Sleep(wait)
		s, err = store.Open(database)
	}
	if err != nil {
		return trouble("reopen-failed", err)
	}
	r.hold(s)
	found, err := s.Load(app.BucketMeta, "")
	if err != nil {
		return trouble("reopen-failed", err)
	}
	r.gap = errEmptied
	return app.Msg{Do: "reopened", Found: found}
}

func (r *runner) load(e app.Load) app.Msg {
	found, err := r.store.Load(e.Bucket, e.Prefix)
	if err != nil {
		return app.Msg{Do: "load-failed", Args: []string{e.Tag}, Text: err.Error()}
	}
	return app.Msg{Do: "loaded", Args: []string{e.Tag}, Found: found}
}

// room tells how much room there is. A browser that does not say has not
// promised anything.
func (r *runner) room() {
	used, quota, err := store.Estimate()
	if err != nil {
		used, quota = 0, 0
	}
	kept := "no"
	if granted, err := store.Persisted(); err == nil && granted {
		kept = "yes"
	}
	r.mailbox.put(app.Msg{Do: "room", Args: []string{strconv.FormatInt(used, 10), strconv.FormatInt(quota, 10), kept}})
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

// refused is the message that something could not be done.
func refused(err error) app.Msg { return trouble("failed", err) }

// trouble is a message about an error: what is wrong as its text, the remedy as
// its last argument.
func trouble(do string, err error, args ...string) app.Msg {
	var told *engine.Error
	if !errors.As(err, &told) {
		return app.Msg{Do: do, Args: append(args, ""), Text: err.Error()}
	}
	what := told.What
	if told.Where != "" {
		what = told.Where + ": " + what
	}
	return app.Msg{Do: do, Args: append(args, told.Fix), Text: what}
}

var (
	// errReader is why a tab that only reads keeps nothing.
	errReader = engine.New("app.reader", "", "another tab of Keelcard is the one that writes", "go on in that tab, or close it")
	// errEmptied is why a store that was opened anew does not get a part of what it may lack.
	errEmptied = engine.New("app.emptied", "", "the browser closed its store, and what is missing there is written first", "leave Keelcard open")
)
