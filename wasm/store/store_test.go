//go:build js && wasm

package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log"
	"slices"
	"strings"
	"sync"
	"syscall/js"
	"testing"
	"time"

	"github.com/hack-pad/go-indexeddb/idb"

	"keelcard/engine"
	"keelcard/wasm/border/bordertest"
	"keelcard/web/app"
)

// fresh opens a new database that is deleted after the test.
func fresh(t testing.TB) *Store {
	t.Helper()
	name := t.Name()
	if err := Delete(name); err != nil {
		t.Fatal(err)
	}
	s := reopen(t, name)
	t.Cleanup(func() {
		s.Close()
		if err := Delete(name); err != nil {
			t.Error(err)
		}
	})
	return s
}

// Delete removes the database of the name and all in it. Stores that have it
// open are closed and told Evicted.
func Delete(name string) error {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	request, err := idb.Global().DeleteDatabase(name)
	if err != nil {
		return err
	}
	_, err = awaitRequest(ctx, request.Request)
	return err
}

func reopen(t testing.TB, name string) *Store {
	t.Helper()
	s, err := Open(name)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	return s
}

func put(bucket, key, value string) app.Op {
	return app.Op{Bucket: bucket, Key: key, Value: []byte(value)}
}

func drop(bucket, key string) app.Op { return app.Op{Bucket: bucket, Key: key} }

func commit(t testing.TB, s *Store, ops ...app.Op) {
	t.Helper()
	if err := s.Commit(ops); err != nil {
		t.Fatal(err)
	}
}

// content writes a bucket as "key=value key=value".
func content(t testing.TB, s *Store, bucket, prefix string) string {
	t.Helper()
	entries, err := s.Load(bucket, prefix)
	if err != nil {
		t.Fatal(err)
	}
	var parts []string
	for _, e := range entries {
		parts = append(parts, e.Key+"="+string(e.Value))
	}
	return strings.Join(parts, " ")
}

func wantContent(t testing.TB, s *Store, bucket, want string) {
	t.Helper()
	if got := content(t, s, bucket, ""); got != want {
		t.Errorf("%s holds %q, want %q", bucket, got, want)
	}
}

func wantCode(t testing.TB, err error, want engine.Code) {
	t.Helper()
	if got := engine.CodeOf(err); got != want {
		t.Errorf("got error %v with code %q, want %q", err, got, want)
	}
	var e *engine.Error
	if errors.As(err, &e) && (e.What == "" || e.Fix == "") {
		t.Errorf("%s says too little: %q; %q", e.Code, e.What, e.Fix)
	}
}

func TestBucketsOfANewStoreAreEmpty(t *testing.T) {
	s := fresh(t)
	for _, bucket := range app.Buckets {
		wantContent(t, s, bucket, "")
		value, err := s.Get(bucket, "x")
		if value != nil || err != nil {
			t.Errorf("Get of a missing key in %s gave %v, %v, want nil, nil", bucket, value, err)
		}
	}
}

func TestCommitOutlivesTheConnection(t *testing.T) {
	s := fresh(t)
	commit(t, s, put(app.BucketMeta, "initials", "MB"), put(app.BucketRecord, "c/p/1", "seven"))
	s.Close()
	s = reopen(t, t.Name())
	wantContent(t, s, app.BucketMeta, "initials=MB")
	wantContent(t, s, app.BucketRecord, "c/p/1=seven")
}

func TestCommitOverwritesAndRemoves(t *testing.T) {
	s := fresh(t)
	commit(t, s, put("meta", "a", "1"), put("meta", "b", "2"), put("meta", "c", "3"))
	commit(t, s, put("meta", "a", "9"), drop("meta", "b"), drop("meta", "never there"))
	wantContent(t, s, "meta", "a=9 c=3")
}

func TestLastChangeOfAKeyHolds(t *testing.T) {
	s := fresh(t)
	commit(t, s, put("meta", "a", "1"), put("meta", "a", "2"), put("meta", "b", "1"), drop("meta", "b"), drop("meta", "c"), put("meta", "c", "1"))
	wantContent(t, s, "meta", "a=2 c=1")
}

func TestEmptyCommitAsksNothing(t *testing.T) {
	s := fresh(t)
	s.Close()
	if err := s.Commit(nil); err != nil {
		t.Error(err)
	}
}

func TestEmptyValueIsNotMissing(t *testing.T) {
	s := fresh(t)
	commit(t, s, app.Op{Bucket: "draft", Key: "k", Value: []byte{}})
	value, err := s.Get("draft", "k")
	if value == nil || len(value) != 0 || err != nil {
		t.Errorf("got %v, %v, want an empty value", value, err)
	}
	entries, err := s.Load("draft", "")
	if err != nil || len(entries) != 1 || entries[0].Value == nil {
		t.Errorf("got %v, %v, want one entry with an empty value", entries, err)
	}
}

func TestLoadIsInByteOrder(t *testing.T) {
	s := fresh(t)
	// The last two come in the other order in IndexedDB, by 16-bit units.
	keys := []string{"", "!", "10", "9", "Z", "a", "a/1", "a0", "é", "\ue000", "😀"}
	var ops []app.Op
	for _, k := range slices.Backward(keys) {
		ops = append(ops, put("record", k, "v"))
	}
	commit(t, s, ops...)
	entries, err := s.Load("record", "")
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		got = append(got, e.Key)
	}
	if !slices.Equal(got, keys) {
		t.Errorf("got %q, want %q", got, keys)
	}
}

func TestLoadByPrefix(t *testing.T) {
	s := fresh(t)
	commit(t, s, put("record", "c1", "0"), put("record", "c1/a", "1"), put("record", "c1/😀", "2"), put("record", "c1/\ufffe", "3"),
		put("record", "c10/a", "4"), put("record", "c2/a", "5"))
	tests := []struct{ prefix, want string }{
		{"c1/", "c1/a=1 c1/\ufffe=3 c1/😀=2"},
		{"c1", "c1=0 c1/a=1 c1/\ufffe=3 c1/😀=2 c10/a=4"},
		{"c2/a", "c2/a=5"},
		{"c2/b", ""},
		{"d", ""},
	}
	for _, tt := range tests {
		if got := content(t, s, "record", tt.prefix); got != tt.want {
			t.Errorf("prefix %q gave %q, want %q", tt.prefix, got, tt.want)
		}
	}
}

func TestKeysThatAreNotText(t *testing.T) {
	s := fresh(t)
	for _, key := range []string{"a\xff", "a\uffffb"} {
		wantCode(t, s.Commit([]app.Op{put("meta", "good", "1"), put("meta", key, "1")}), "store.key")
		_, err := s.Load("meta", key)
		wantCode(t, err, "store.key")
	}
	wantContent(t, s, "meta", "")
}

func TestBigValue(t *testing.T) {
	s := fresh(t)
	want := make([]byte, 5<<20)
	for i := range want {
		want[i] = byte(i*i + i>>11)
	}
	commit(t, s, app.Op{Bucket: "blob", Key: "photo", Value: want})
	got, err := s.Get("blob", "photo")
	if err != nil || !bytes.Equal(got, want) {
		t.Errorf("5 MB came back as %d bytes, %v, not the same", len(got), err)
	}
	entries, err := s.Load("blob", "")
	if err != nil || len(entries) != 1 || !bytes.Equal(entries[0].Value, want) {
		t.Errorf("5 MB loaded as %d entries, %v, not the same", len(entries), err)
	}
}

func TestAThousandChanges(t *testing.T) {
	s := fresh(t)
	commit(t, s, thousand()...)
	entries, err := s.Load("record", "")
	if err != nil || len(entries) != 1000 {
		t.Fatalf("got %d entries, %v, want 1000", len(entries), err)
	}
	for i, e := range entries {
		if want := fmt.Sprintf("c/%06d", i); e.Key != want || string(e.Value) != "value of "+want {
			t.Fatalf("entry %d is %s=%q", i, e.Key, e.Value)
		}
	}
}

func thousand() []app.Op {
	ops := make([]app.Op, 1000)
	for i := range ops {
		key := fmt.Sprintf("c/%06d", i)
		ops[i] = put("record", key, "value of "+key)
	}
	return ops
}

func TestCommitsAtTheSameTime(t *testing.T) {
	s := fresh(t)
	var all sync.WaitGroup
	errs := make(chan error, 40)
	for i := range 40 {
		all.Go(func() {
			v := fmt.Sprint(i)
			errs <- s.Commit([]app.Op{put("record", fmt.Sprintf("%02d", i), v), put("meta", "last", v), put("draft", "last", v)})
		})
	}
	all.Wait()
	for range 40 {
		if err := <-errs; err != nil {
			t.Error(err)
		}
	}
	entries, err := s.Load("record", "")
	if err != nil || len(entries) != 40 {
		t.Errorf("got %d records, %v, want 40", len(entries), err)
	}
	if meta, draft := content(t, s, "meta", ""), content(t, s, "draft", ""); meta != draft {
		t.Errorf("one commit wrote %s, another %s: they are mixed", meta, draft)
	}
}

func TestUnknownBucket(t *testing.T) {
	s := fresh(t)
	wantCode(t, s.Commit([]app.Op{put("meta", "a", "1"), put("cellar", "a", "1")}), "store.fault")
	wantContent(t, s, "meta", "")
	_, err := s.Load("cellar", "")
	wantCode(t, err, "store.fault")
	_, err = s.Get("cellar", "a")
	wantCode(t, err, "store.fault")
}

func TestClosedStore(t *testing.T) {
	s := fresh(t)
	told := make(chan string, 1)
	s.OnClosed(func(reason string) { told <- reason })
	s.Close()
	s.Close()
	wantClosed(t, s)
	select {
	case reason := <-told:
		t.Errorf("Close itself was told as %q", reason)
	case <-time.After(50 * time.Millisecond):
	}
}

func wantClosed(t *testing.T, s *Store) {
	t.Helper()
	wantCode(t, s.Commit([]app.Op{put("meta", "a", "1")}), "store.closed")
	_, err := s.Load("meta", "")
	wantCode(t, err, "store.closed")
	_, err = s.Get("meta", "a")
	wantCode(t, err, "store.closed")
}

func TestCommitThatRunsWhenTheStoreIsClosed(t *testing.T) {
	s := fresh(t)
	result := make(chan error)
	go func() { result <- s.Commit(thousand()) }()
	time.Sleep(time.Millisecond) // let it begin
	s.Close()
	err := <-result
	entries, loadErr := reopen(t, t.Name()).Load("record", "")
	if loadErr != nil {
		t.Fatal(loadErr)
	}
	switch {
	case err == nil && len(entries) != 1000:
		t.Errorf("a commit was said to be saved, and %d of 1000 are there", len(entries))
	case err != nil && len(entries) != 0:
		t.Errorf("a commit failed with %v, and %d of 1000 are there", err, len(entries))
	}
}

// The next tests each cover a gap of the library.

// An abort with no request pending is told by the library as success.
func TestAbortAfterTheLastRequestIsAnError(t *testing.T) {
	s := fresh(t)
	commit(t, s, put("meta", "before", "1"))
	t.Run("aborted", func(t *testing.T) {
		bordertest.Patch(t, "IDBObjectStore", "put", `return function(...args) {
			const request = was.apply(this, args);
			request.addEventListener("success", () => this.transaction.abort());
			return request;
		}`)
		bordertest.Soon(t, "Commit", func() {
			wantCode(t, s.Commit([]app.Op{put("meta", "lost", "1")}), "store.aborted")
		})
	})
	commit(t, s, put("meta", "after", "1"))
	wantContent(t, s, "meta", "after=1 before=1")
}

// The library's Await hangs on a transaction that ended before it was called.
func TestEndOfATransactionIsKept(t *testing.T) {
	s := fresh(t)
	ops := []app.Op{put("meta", "a", "1")}
	tx, err := s.begin(ops)
	if err != nil {
		t.Fatal(err)
	}
	if err := tx.request(ops); err != nil {
		t.Fatal(err)
	}
	time.Sleep(100 * time.Millisecond)
	wantContent(t, s, "meta", "a=1")
	bordertest.Soon(t, "the end", func() {
		if err := <-tx.ended; err != nil {
			t.Error(err)
		}
	})
}

// The library's Await gives undefined and no error for an ended context, which
// would look like a value that does not exist.
func TestGetWhenTheStoreCloses(t *testing.T) {
	s := fresh(t)
	commit(t, s, put("meta", "a", "1"))
	type result struct {
		value []byte
		err   error
	}
	got := make(chan result)
	go func() {
		value, err := s.Get("meta", "a")
		got <- result{value, err}
	}()
	time.Sleep(0) // let it ask
	s.Close()
	r := <-got
	if r.err == nil && string(r.value) != "1" {
		t.Errorf("got %q and no error, want the value or an error", r.value)
	}
	if r.err != nil {
		wantCode(t, r.err, "store.closed")
	}
}

func TestAwaitRequestWithAnEndedContext(t *testing.T) {
	s := fresh(t)
	tx, err := s.db.Transaction(idb.TransactionReadOnly, "meta")
	if err != nil {
		t.Fatal(err)
	}
	objects, err := tx.ObjectStore("meta")
	if err != nil {
		t.Fatal(err)
	}
	request, err := objects.Get(js.ValueOf("a"))
	if err != nil {
		t.Fatal(err)
	}
	s.cancel()
	if _, err := awaitRequest(s.ctx, request); err == nil {
		t.Error("no error")
	}
}

// An error of the upgrader ends the whole program in the library.
func TestBucketsThatCannotBeMade(t *testing.T) {
	name := t.Name()
	if err := Delete(name); err != nil {
		t.Fatal(err)
	}
	t.Run("refused", func(t *testing.T) {
		bordertest.Patch(t, "IDBDatabase", "createObjectStore", `let calls = 0; return function(...args) {
			if (++calls == 3) throw new DOMException("no room", "QuotaExceededError");
			return was.apply(this, args);
		}`)
		bordertest.Soon(t, "Open", func() {
			_, err := Open(name)
			wantCode(t, err, "store.full")
		})
	})
	s := reopen(t, name) // would lack buckets if the half-made ones had stayed
	for _, bucket := range app.Buckets {
		wantContent(t, s, bucket, "")
	}
	s.Close()
	if err := Delete(name); err != nil {
		t.Error(err)
	}
}

// A connection that the browser closed without a word is noticed by the next
// call, and what is in memory can be written to the store once it is open anew.
func TestClosedWithoutAWord(t *testing.T) {
	s := fresh(t)
	if err := s.Err(); err != nil {
		t.Error(err)
	}
	told := make(chan string, 1)
	s.OnClosed(func(reason string) { told <- reason })
	s.raw.Call("close")
	wantCode(t, s.Commit([]app.Op{put("meta", "a", "1")}), "store.closed")
	bordertest.Soon(t, "OnClosed", func() {
		if reason := <-told; reason != Evicted {
			t.Errorf("told %q", reason)
		}
	})
	again := reopen(t, t.Name())
	commit(t, again, put("meta", "a", "1"))
	wantContent(t, again, "meta", "a=1")
}

// What a call throws is not a DOMException in the library.
func TestThrownExceptionsAreNamed(t *testing.T) {
	s := fresh(t)
	s.raw.Call("close")
	_, err := s.db.Transaction(idb.TransactionReadOnly, "meta")
	if got := nameOf(err); got != "InvalidStateError" {
		t.Errorf("got the name %q of %v", got, err)
	}
	wantClosed(t, s)
}

// The library closes the database over a version change and only logs it. That
// of a deletion is another than that of a newer version.
func TestDeletionIsTold(t *testing.T) {
	var logged bytes.Buffer
	defer log.SetOutput(log.Writer())
	log.SetOutput(&logged)
	s := fresh(t)
	told := make(chan string, 2)
	s.OnClosed(func(reason string) { told <- reason })
	bordertest.Soon(t, "Delete", func() {
		if err := Delete(t.Name()); err != nil {
			t.Error(err)
		}
	})
	bordertest.Soon(t, "OnClosed", func() {
		if reason := <-told; reason != Evicted {
			t.Errorf("told %q", reason)
		}
	})
	wantClosed(t, s)
	s.OnClosed(func(reason string) { told <- "late: " + reason })
	bordertest.Soon(t, "OnClosed", func() {
		if reason := <-told; reason != "late: "+Evicted {
			t.Errorf("told %q", reason)
		}
	})
	if logged.Len() > 0 {
		t.Errorf("logged %q", logged.String())
	}
}

// The library has no close event.
func TestEvictionIsTold(t *testing.T) {
	s := fresh(t)
	told := make(chan string, 1)
	s.OnClosed(func(reason string) { told <- reason })
	s.raw.Call("close")
	s.raw.Call("dispatchEvent", js.Global().Get("Event").New("close"))
	bordertest.Soon(t, "OnClosed", func() {
		if reason := <-told; reason != Evicted {
			t.Errorf("told %q", reason)
		}
	})
	wantClosed(t, s)
}

// The library has no blocked event, and an opening that nobody waits for any
// more would raise the version without making the buckets.
func TestBlockedOpening(t *testing.T) {
	s := fresh(t)
	old := s.raw
	s.unlisten() // an older app that does not let go

	bordertest.Soon(t, "Open", func() {
		_, err := open(t.Name(), version+1, 100*time.Millisecond)
		wantCode(t, err, "store.blocked")
	})
	old.Call("close")
	time.Sleep(100 * time.Millisecond) // the abandoned upgrade gets its turn
	again := reopen(t, t.Name())
	if got := again.raw.Get("version").Int(); got != version {
		t.Errorf("the abandoned upgrade left version %d, want %d", got, version)
	}
	again.Close()
}

func TestOpeningThatIsNeverAnswered(t *testing.T) {
	bordertest.Patch(t, "IDBFactory", "open", `return function(...args) {
		const request = was.apply(this, args);
		for (const event of ["success", "upgradeneeded", "error"])
			request.addEventListener(event, e => e.stopImmediatePropagation());
		return request;
	}`)
	bordertest.Soon(t, "Open", func() {
		_, err := open(t.Name(), version, 50*time.Millisecond)
		wantCode(t, err, "store.stuck")
	})
}

func TestNewerStore(t *testing.T) {
	s := fresh(t)
	s.Close()
	newer, err := open(t.Name(), version+1, patience)
	if err != nil {
		t.Fatal(err)
	}
	newer.Close()
	_, err = Open(t.Name())
	wantCode(t, err, "store.newer")
}

func TestNewerVersionKeepsWhatIsThere(t *testing.T) {
	s := fresh(t)
	commit(t, s, put("meta", "a", "1"))
	newer, err := open(t.Name(), version+1, patience) // s lets go by itself
	if err != nil {
		t.Fatal(err)
	}
	wantContent(t, newer, "meta", "a=1")
	newer.Close()
	wantClosed(t, s)
	told := make(chan string, 1)
	s.OnClosed(func(reason string) { told <- reason })
	bordertest.Soon(t, "OnClosed", func() {
		if reason := <-told; reason != VersionChange {
			t.Errorf("told %q", reason)
		}
	})
	wantCode(t, s.Err(), "store.closed")
}

func TestBrowserWithoutAStore(t *testing.T) {
	for _, name := range []string{"SecurityError", "InvalidStateError"} {
		t.Run(name, func(t *testing.T) {
			bordertest.Patch(t, "IDBFactory", "open", `return () => { throw new DOMException("private", "`+name+`") }`)
			_, err := Open(t.Name())
			wantCode(t, err, "store.denied")
		})
	}
	t.Run("none", func(t *testing.T) {
		bordertest.Without(t, js.Global(), "indexedDB")
		_, err := Open(t.Name())
		wantCode(t, err, "store.denied")
	})
}

func TestCommitAsksForStrictDurability(t *testing.T) {
	s := fresh(t)
	js.Global().Set("transactions", js.Global().Get("Array").New())
	defer js.Global().Delete("transactions")
	bordertest.Patch(t, "IDBDatabase", "transaction", `return function(...args) {
		const tx = was.apply(this, args);
		transactions.push(tx.mode + " " + tx.durability + " " + [...tx.objectStoreNames].join("+"));
		return tx;
	}`)
	commit(t, s, put("record", "a", "1"), put("meta", "a", "1"), put("record", "b", "1"))
	if got := js.Global().Get("transactions").Call("join", ",").String(); got != "readwrite strict meta+record" {
		t.Errorf("transactions: %s", got)
	}
}

func TestBrowserThatRefusesTheDurabilityOption(t *testing.T) {
	s := fresh(t)
	bordertest.Patch(t, "IDBDatabase", "transaction", `return function(...args) {
		if (args.length > 2) throw new TypeError("too many arguments");
		return was.apply(this, args);
	}`)
	for _, key := range []string{"a", "b"} {
		commit(t, s, put("meta", key, "1"))
	}
	wantContent(t, s, "meta", "a=1 b=1")
}

// The browser finds out that the disk is full when it puts a transaction on it,
// after every request has succeeded.
func TestFullDisk(t *testing.T) {
	s := fresh(t)
	commit(t, s, put("meta", "a", "old"))
	t.Run("at the end", func(t *testing.T) {
		bordertest.Patch(t, "IDBObjectStore", "put", `return function(...args) {
			const tx = this.transaction, request = was.apply(this, args);
			Object.defineProperty(tx, "error", { get: () => new DOMException("full", "QuotaExceededError") });
			request.addEventListener("success", () => tx.abort());
			return request;
		}`)
		wantCode(t, s.Commit([]app.Op{put("meta", "a", "new")}), "store.full")
	})
	t.Run("at once", func(t *testing.T) {
		bordertest.Patch(t, "IDBObjectStore", "put", `return () => { throw new DOMException("full", "QuotaExceededError") }`)
		wantCode(t, s.Commit([]app.Op{drop("meta", "a"), put("meta", "b", "new")}), "store.full")
	})
	wantContent(t, s, "meta", "a=old")
	commit(t, s, put("meta", "a", "new"))
	wantContent(t, s, "meta", "a=new")
}

func TestRoom(t *testing.T) {
	if _, err := Persisted(); err != nil {
		t.Error(err)
	}
	if _, err := Persist(); err != nil {
		t.Error(err)
	}
	s := fresh(t)
	commit(t, s, app.Op{Bucket: "blob", Key: "k", Value: make([]byte, 1<<20)})
	used, quota, err := Estimate()
	if err != nil || used <= 0 || quota <= used {
		t.Errorf("Estimate gave %d of %d, %v", used, quota, err)
	}
}

func TestBrowserThatSaysNothingOfRoom(t *testing.T) {
	bordertest.Without(t, js.Global().Get("navigator"), "storage")
	if granted, err := Persist(); granted || err != nil {
		t.Errorf("Persist gave %v, %v", granted, err)
	}
	if used, quota, err := Estimate(); used != 0 || quota != 0 || err != nil {
		t.Errorf("Estimate gave %d, %d, %v", used, quota, err)
	}
}

func BenchmarkCommit(b *testing.B) {
	b.Run("1", func(b *testing.B) { benchmarkCommit(b, thousand()[:1]) })
	b.Run("1000", func(b *testing.B) { benchmarkCommit(b, thousand()) })
}

func benchmarkCommit(b *testing.B, ops []app.Op) {
	s := fresh(b)
	for b.Loop() {
		commit(b, s, ops...)
	}
}

func BenchmarkLoad1000(b *testing.B) {
	s := fresh(b)
	commit(b, s, thousand()...)
	for b.Loop() {
		entries, err := s.Load("record", "")
		if err != nil || len(entries) != 1000 {
			b.Fatal(len(entries), err)
		}
	}
}
