//go:build js && wasm

package store

import (
	"fmt"
	"syscall/js"
	"testing"

	"keelcard/wasm/border/bordertest"
	"keelcard/web/app"
)

// ways are the ways in which the k-th operation on an object store can fail.
// Each patched method counts in the global variable left.
var ways = []struct{ name, body string }{
	{"throws", `if (left-- == 1) throw new DOMException("injected", "UnknownError");
		return was.apply(this, args);`},
	{"throws once the transaction is gone", `if (left-- == 1) this.transaction.abort();
		return was.apply(this, args);`},
	{"request fails", `if (left-- != 1) return was.apply(this, args);
		left--; // an add of a key that is there fails later, on its own
		this.put(new Uint8Array(1), "twice");
		return this.add(new Uint8Array(1), "twice");`},
	{"aborted after the request", `const request = was.apply(this, args);
		if (left-- == 1) this.transaction.abort();
		return request;`},
	{"aborted when the request is done", `const request = was.apply(this, args);
		if (left-- == 1) request.addEventListener("success", () => this.transaction.abort());
		return request;`},
	{"connection closed", `if (left-- == 1) this.transaction.db.close();
		return was.apply(this, args);`},
}

// The state before is in the store; a commit of all kinds of change is made to
// fail at its k-th operation, for every k until it goes through; the store is
// opened anew each time and holds the state before or the state after, as
// Commit said.
func TestAllOrNothing(t *testing.T) {
	before := []app.Op{put("meta", "a", "1"), put("meta", "b", "1"), put("record", "r", "1"), put("draft", "d", "1")}
	change := []app.Op{put("meta", "a", "2"), drop("meta", "b"), put("record", "s", "2"), put("record", "r", "2"), drop("draft", "d"),
		put("contest", "c", "2"), put("blob", "b", "2"), drop("blob", "none"), put("meta", "a", "3")}
	const wantBefore = "[a=1 b=1] [] [r=1] [d=1] []"
	const wantAfter = "[a=3] [c=2] [r=2 s=2] [] [b=2]"

	for _, way := range ways {
		t.Run(way.name, func(t *testing.T) {
			name := t.Name()
			for _, method := range []string{"put", "delete"} {
				bordertest.Patch(t, "IDBObjectStore", method, "return function(...args) {"+way.body+"}")
			}
			defer js.Global().Delete("left")
			for k := 1; k <= len(change)+1; k++ {
				js.Global().Set("left", 0)
				if err := Delete(name); err != nil {
					t.Fatal(err)
				}
				s := reopen(t, name)
				commit(t, s, before...)

				js.Global().Set("left", k)
				var err error
				bordertest.Soon(t, fmt.Sprintf("commit with a fault at %d", k), func() { err = s.Commit(change) })
				js.Global().Set("left", 0)
				s.Close()

				s = reopen(t, name)
				want := wantBefore
				if err == nil {
					want = wantAfter
				}
				if got := everything(t, s); got != want {
					t.Errorf("fault at %d: Commit gave %v, the store holds\n%s, want\n%s", k, err, got, want)
				}
				if k > len(change) && err != nil {
					t.Errorf("without a fault Commit gave %v", err)
				}
				if k <= len(change) && err == nil && way.name != "connection closed" {
					t.Errorf("fault at %d was not noticed", k)
				}
				commit(t, s, change...)
				if got := everything(t, s); got != wantAfter {
					t.Errorf("after a fault at %d, a commit that went through left\n%s, want\n%s", k, got, wantAfter)
				}
				s.Close()
			}
			if err := Delete(name); err != nil {
				t.Error(err)
			}
		})
	}
}

// The same store goes on after a fault, without being opened anew.
func TestCommitAfterAFault(t *testing.T) {
	for _, way := range ways[:5] {
		t.Run(way.name, func(t *testing.T) {
			s := fresh(t)
			bordertest.Patch(t, "IDBObjectStore", "put", "return function(...args) {"+way.body+"}")
			defer js.Global().Delete("left")
			js.Global().Set("left", 2)
			failed, next := make(chan error), make(chan error)
			go func() {
				failed <- s.Commit([]app.Op{put("meta", "a", "1"), put("meta", "b", "1"), put("meta", "c", "1")})
			}()
			first := <-failed
			go func() { next <- s.Commit([]app.Op{put("meta", "d", "1")}) }()
			if first == nil {
				t.Error("the fault was not noticed")
			}
			if err := <-next; err != nil {
				t.Errorf("the next commit failed: %v", err)
			}
			wantContent(t, s, "meta", "d=1")
		})
	}
}

func everything(t *testing.T, s *Store) string {
	t.Helper()
	all := ""
	for _, bucket := range app.Buckets {
		all += " [" + content(t, s, bucket, "") + "]"
	}
	return all[1:]
}
