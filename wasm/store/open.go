//go:build js && wasm

package store

import (
	"context"
	"errors"
	"slices"
	"syscall/js"
	"time"

	"github.com/hack-pad/go-indexeddb/idb"

	"keelcard/wasm/border"
	"keelcard/web/app"
)

const (
	// version of the set of buckets. A bucket that is added raises it.
	version = 1
	// patience is how long an opening may take. A browser that needs longer has
	// another tab in the way, or has lost its store process.
	patience = 8 * time.Second
)

// attempt is one opening of a database. Its fields are touched on the event
// loop and by the goroutine that waits, never at the same time.
type attempt struct {
	request   js.Value   // IDBOpenDBRequest
	settled   chan error // room for one
	blocked   bool       // another tab holds an older version open
	abandoned bool       // nobody waits any more
	refused   error      // why the buckets could not be made
}

// open is Open with the version and the patience that tests change.
//
// The request is made here and then given to the library, since the library
// has no blocked event and since its own handlers end the program over an
// error of the upgrader and leave a listener that closes the database with no
// more than a line in the log.
func open(name string, version uint, patience time.Duration) (*Store, error) {
	a := &attempt{settled: make(chan error, 1)}
	err := border.Try(func() { a.request = js.Global().Get("indexedDB").Call("open", name, version) })
	if err != nil {
		return nil, openFault(err)
	}
	a.listen()

	ctx, cancel := context.WithCancel(context.Background())
	defer cancel() // takes the library's listeners off
	request, err := a.handOver(ctx, name, version)
	if err != nil {
		a.abandoned = true
		return nil, openFault(err)
	}
	select {
	case err = <-a.settled:
	case <-time.After(patience):
		a.abandoned = true
		return nil, a.late()
	}
	if a.refused != nil {
		err = a.refused
	}
	if err != nil {
		return nil, openFault(err)
	}
	db, err := request.Result()
	if err != nil {
		return nil, openFault(err)
	}
	return newStore(db, a.request.Get("result")), nil
}

// listen comes before the library's own listeners and keeps from them what
// they would mishandle. It ends when the request is settled, however late, for
// an abandoned upgrade must not go through without its buckets.
func (a *attempt) listen() {
	var stop func()
	settle := func(err error) {
		stop()
		select {
		case a.settled <- err:
		default:
		}
	}
	stop = border.Listen(a.request, settle,
		border.Handler{Event: "success", Run: func(event js.Value) {
			event.Call("stopImmediatePropagation")
			if a.abandoned {
				a.request.Get("result").Call("close")
			}
			settle(nil)
		}},
		border.Handler{Event: "error", Run: func(event js.Value) {
			event.Call("preventDefault")
			settle(border.Reason(a.request.Get("error")))
		}},
		border.Handler{Event: "blocked", Run: func(js.Value) { a.blocked = true }},
		border.Handler{Event: "upgradeneeded", Run: func(event js.Value) {
			if a.abandoned {
				event.Call("stopImmediatePropagation")
				a.request.Get("transaction").Call("abort")
			}
		}},
	)
}

// handOver lets the library open the request that is already under way.
func (a *attempt) handOver(ctx context.Context, name string, version uint) (*idb.OpenDBRequest, error) {
	give := js.FuncOf(func(js.Value, []js.Value) any { return a.request })
	defer give.Release()
	factory, err := idb.WrapFactory(js.ValueOf(map[string]any{"open": give}))
	if err != nil {
		return nil, err
	}
	return factory.Open(ctx, name, version, a.upgrade)
}

// upgrade makes the buckets that are not there. It never returns an error, for
// the library would end the program; the request fails with it instead.
func (a *attempt) upgrade(db *idb.Database, _, _ uint) error {
	a.refused = makeBuckets(db)
	if a.refused != nil {
		a.refused = errors.Join(a.refused, border.Try(func() { a.request.Get("transaction").Call("abort") }))
	}
	return nil
}

func makeBuckets(db *idb.Database) error {
	have, err := db.ObjectStoreNames()
	if err != nil {
		return err
	}
	for _, bucket := range app.Buckets {
		if slices.Contains(have, bucket) {
			continue
		}
		if _, err := db.CreateObjectStore(bucket, idb.ObjectStoreOptions{}); err != nil {
			return err
		}
	}
	return nil
}

func (a *attempt) late() error {
	if a.blocked {
		return newFault("store.blocked",
			"another tab still runs an older version of the app; nothing is lost",
			"close every other tab of the app, then open it again", nil)
	}
	return newFault("store.stuck",
		"the browser does not answer when asked for what is saved here; nothing is lost",
		"close the browser fully and open the app again", nil)
}
