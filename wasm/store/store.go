//go:build js && wasm

// Package store keeps the app's data in the browser's IndexedDB, behind the
// Store interface of keelcard/web/app.
//
// It stands on go-indexeddb and covers what that library gets wrong: see the
// comments of open, Commit, Get and Load, each of which has its test.
//
// Everything here that waits for the browser blocks: Open, Load, Get, Commit,
// Persist, Persisted, Estimate and AcquireWriter. They must be called
// from a goroutine, never from a js.Func callback, or the page stands still.
package store

import (
	"context"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall/js"
	"unicode/utf8"

	"github.com/hack-pad/go-indexeddb/idb"

	"keelcard/engine/sorting"
	"keelcard/wasm/border"
	"keelcard/web/app"
)

// Why a store that was not closed by Close is closed.
const (
	Evicted       = "evicted"       // the browser takes the data away, or its store failed: Open tells which
	VersionChange = "versionchange" // another tab opens a newer version
)

// Store is an open database. It is an app.Store.
type Store struct {
	db  *idb.Database
	raw js.Value // the same IDBDatabase

	committing sync.Mutex    // one commit at a time
	aborted    chan struct{} // the transaction of the running commit was aborted; room for one
	lax        bool          // this browser refuses the durability option

	ctx      context.Context // ends when the store is closed
	cancel   context.CancelFunc
	unlisten func()
	reason   string       // why it is closed, "" while it is open
	onClosed func(string) // told once
}

var _ app.Store = (*Store)(nil)

const byClose = "closed"

// Open opens the database of the name, and makes it with every bucket of
// app.Buckets when there is none. Codes of its errors: store.denied where the
// browser gives no storage, store.blocked while another tab holds an older
// version, store.stuck when the browser does not answer, store.newer when a
// newer app has changed the data, store.full, store.fault.
func Open(name string) (*Store, error) {
	return open(name, version, patience)
}

func newStore(db *idb.Database, raw js.Value) *Store {
	s := &Store{db: db, raw: raw, aborted: make(chan struct{}, 1)}
	s.ctx, s.cancel = context.WithCancel(context.Background())
	s.unlisten = border.Listen(raw, func(error) { s.shut(Evicted) },
		border.Handler{Event: "abort", Run: s.noteAbort},
		border.Handler{Event: "close", Run: func(event js.Value) {
			if event.Get("target").Equal(raw) {
				s.shut(Evicted)
			}
		}},
		border.Handler{Event: "versionchange", Run: func(event js.Value) {
			raw.Call("close")
			if event.Get("newVersion").IsNull() {
				s.shut(Evicted) // it is being deleted
			} else {
				s.shut(VersionChange)
			}
		}},
	)
	return s
}

// noteAbort hears of an aborted transaction on its way through the database,
// before the transaction's own listeners.
func (s *Store) noteAbort(event js.Value) {
	if event.Get("target").Get("mode").String() != "readwrite" {
		return
	}
	select {
	case s.aborted <- struct{}{}:
	default:
	}
}

// shut marks the store closed. Commits that run are still carried to their end
// by the browser, so the listeners stay until then.
func (s *Store) shut(reason string) {
	if s.reason != "" {
		return
	}
	s.reason = reason
	s.cancel()
	go func() {
		s.committing.Lock()
		defer s.committing.Unlock()
		s.unlisten()
	}()
	s.tell()
}

func (s *Store) tell() {
	if s.onClosed != nil && s.reason != "" && s.reason != byClose {
		go s.onClosed(s.reason)
		s.onClosed = nil
	}
}

// OnClosed calls f once, in a goroutine of its own, with Evicted or
// VersionChange when the store closes without Close, or at once if it has. From
// then on everything fails with store.closed. A later f takes an earlier one's
// place.
func (s *Store) OnClosed(f func(reason string)) {
	s.onClosed = f
	s.tell()
}

// Err says why the store is closed, nil while it is open.
func (s *Store) Err() error {
	if s.reason == "" {
		return nil
	}
	return s.closedFault()
}

// Close closes the database once the commits that run are done. Later calls
// fail with store.closed; OnClosed is not told.
func (s *Store) Close() {
	if s.reason == "" {
		s.raw.Call("close")
		s.shut(byClose)
	}
}

// Load reads the values whose keys begin with prefix, in the order of the keys'
// bytes, all as of one moment.
//
// The library has no getAll for values, and a cursor takes three times as long.
func (s *Store) Load(bucket, prefix string) ([]app.Entry, error) {
	if err := checkKey(bucket, prefix); err != nil {
		return nil, err
	}
	if s.reason != "" {
		return nil, s.closedFault()
	}
	var keys, values js.Value
	err := border.Try(func() {
		objects := s.raw.Call("transaction", bucket, "readonly").Call("objectStore", bucket)
		within := js.Global().Get("IDBKeyRange").Call("bound", prefix, prefix+last)
		keys = objects.Call("getAllKeys", within)
		values = objects.Call("getAll", within)
	})
	if err != nil {
		return nil, s.refused(err)
	}
	// Requests of one transaction finish in their order: once the values are
	// there, so are the keys.
	if err := s.await(values); err != nil {
		return nil, s.fault(err)
	}
	var entries []app.Entry
	err = border.Try(func() { entries = readEntries(keys.Get("result"), values.Get("result")) })
	if err != nil {
		return nil, s.fault(err)
	}
	return entries, nil
}

func readEntries(keys, values js.Value) []app.Entry {
	entries := make([]app.Entry, keys.Length())
	for i := range entries {
		entries[i] = app.Entry{Key: keys.Index(i).String(), Value: border.GoBytes(values.Index(i))}
	}
	// IndexedDB orders by 16-bit units, which differs from bytes beyond U+FFFF.
	byKey := func(a, b app.Entry) int { return strings.Compare(a.Key, b.Key) }
	if !slices.IsSortedFunc(entries, byKey) {
		sorting.Stable(entries, byKey)
	}
	return entries
}

// await waits for a plain IDBRequest, or for the end of the store.
func (s *Store) await(request js.Value) error {
	settled := make(chan error, 1)
	settle := func(err error) {
		select {
		case settled <- err:
		default:
		}
	}
	stop := border.Listen(request, settle,
		border.Handler{Event: "success", Run: func(js.Value) { settle(nil) }},
		border.Handler{Event: "error", Run: func(js.Value) { settle(border.Reason(request.Get("error"))) }},
	)
	defer stop()
	select {
	case err := <-settled:
		return err
	case <-s.ctx.Done():
		return s.ctx.Err()
	}
}

// Get reads one value. It is nil when there is none, and empty, not nil, when
// an empty one was stored.
func (s *Store) Get(bucket, key string) ([]byte, error) {
	if s.reason != "" {
		return nil, s.closedFault()
	}
	tx, err := s.db.Transaction(idb.TransactionReadOnly, bucket)
	if err != nil {
		return nil, s.refused(err)
	}
	objects, err := tx.ObjectStore(bucket)
	if err != nil {
		return nil, s.fault(err)
	}
	request, err := objects.Get(js.ValueOf(key))
	if err != nil {
		return nil, s.fault(err)
	}
	value, err := awaitRequest(s.ctx, request)
	if err != nil {
		return nil, s.fault(err)
	}
	if value.IsUndefined() {
		return nil, nil
	}
	return border.GoBytes(value), nil
}

// awaitRequest is the library's Await, which for an ended context gives
// undefined and no error, as if there were no value.
func awaitRequest(ctx context.Context, request *idb.Request) (js.Value, error) {
	value, err := request.Await(ctx)
	if err == nil {
		err = ctx.Err()
	}
	return value, err
}

// Commit makes all changes or none, in one transaction, and returns when the
// browser says they are on disk. Of several changes of one key the last holds.
// Commits take effect in the order in which they were called; what must keep
// an order is therefore called from one goroutine.
//
// After an error nothing of ops is stored. Codes: store.full, store.closed,
// store.aborted, store.key for a key that is not UTF-8, store.fault.
//
// The library takes an aborted transaction for a completed one unless a request
// failed. So the abort is heard on the database as well; one commit at a time
// makes it clear whose abort it is.
func (s *Store) Commit(ops []app.Op) error {
	if len(ops) == 0 {
		return nil
	}
	for _, op := range ops {
		if err := checkKey(op.Bucket, op.Key); err != nil {
			return err
		}
	}
	s.committing.Lock()
	defer s.committing.Unlock()
	if s.reason != "" {
		return s.closedFault()
	}
	tx, err := s.begin(ops)
	if err != nil {
		return s.refused(err)
	}
	if err := tx.request(ops); err != nil {
		_ = tx.Abort() // fails only when the browser has aborted it already
		<-tx.ended
		<-s.aborted
		return s.fault(err)
	}
	if err := <-tx.ended; err != nil {
		<-s.aborted // a failed request is told before the abort it brings about
		return s.fault(err)
	}
	select {
	case <-s.aborted:
		return s.fault(errAborted)
	default:
		return nil
	}
}

// transaction tells its end, whenever that is asked for. The library's Await
// hangs when the transaction has ended before, so it is called at the start.
type transaction struct {
	*idb.Transaction
	ended chan error // room for one
}

// begin opens a transaction over the buckets of ops that ends only when the
// disk has it all, where the browser knows that option.
func (s *Store) begin(ops []app.Op) (*transaction, error) {
	var buckets []string
	for _, op := range ops {
		if !slices.Contains(buckets, op.Bucket) {
			buckets = append(buckets, op.Bucket)
		}
	}
	options := idb.TransactionOptions{Mode: idb.TransactionReadWrite, Durability: idb.DurabilityStrict}
	if s.lax {
		options.Durability = idb.DurabilityDefault
	}
	tx, err := s.db.TransactionWithOptions(options, buckets[0], buckets[1:]...)
	if nameOf(err) == "TypeError" && !s.lax {
		s.lax = true
		return s.begin(ops)
	}
	if err != nil {
		return nil, err
	}
	t := &transaction{tx, make(chan error, 1)}
	// The browser tells nothing before every goroutine rests, so this one
	// listens in time.
	go func() { t.ended <- tx.Await(context.Background()) }()
	return t, nil
}

// request asks for every change. It does not wait: a failure of any aborts the
// transaction.
func (t *transaction) request(ops []app.Op) error {
	for _, op := range ops {
		objects, err := t.ObjectStore(op.Bucket)
		if err != nil {
			return err
		}
		if op.Value == nil {
			_, err = objects.Delete(js.ValueOf(op.Key))
		} else {
			_, err = objects.PutKey(js.ValueOf(op.Key), border.Bytes(op.Value))
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// last is a code point that stands for no character. No key holds it, so that
// prefix+last is beyond every key with the prefix.
const last = "\uffff"

// checkKey refuses a key that would become another key on its way, since broken
// UTF-8 turns into the replacement character, and one that Load would miss.
func checkKey(bucket, key string) error {
	if utf8.ValidString(key) && !strings.Contains(key, last) {
		return nil
	}
	return newFault("store.key", "the key "+strconv.QuoteToASCII(key)+" of "+bucket+" is not proper text; nothing was saved",
		"go back one step and enter it in plain letters and digits", nil)
}
