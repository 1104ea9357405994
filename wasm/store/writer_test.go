//go:build js && wasm

package store

import (
	"syscall/js"
	"testing"
	"time"

	"keelcard/wasm/border/bordertest"
)

// Locks are granted by request, not by tab, so two requests of one tab stand
// for two tabs.
func acquire(t *testing.T) (w *Writer, granted chan bool) {
	t.Helper()
	granted = make(chan bool, 2)
	w, err := AcquireWriter(t.Name(), func() { granted <- true })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(w.Release)
	return w, granted
}

func TestSecondTabReadsUntilTheFirstIsGone(t *testing.T) {
	first, firstGranted := acquire(t)
	second, secondGranted := acquire(t)
	if !first.Writing() || second.Writing() {
		t.Fatalf("writing: first %v, second %v, want true, false", first.Writing(), second.Writing())
	}
	first.Release()
	bordertest.Soon(t, "taking over", func() { <-secondGranted })
	if first.Writing() || !second.Writing() {
		t.Errorf("after the first is gone, writing: first %v, second %v, want false, true", first.Writing(), second.Writing())
	}
	third, _ := acquire(t)
	if third.Writing() {
		t.Error("a third tab writes beside the second")
	}
	if len(firstGranted) != 0 || len(secondGranted) != 0 {
		t.Error("granted was told without a takeover")
	}
}

func TestTabThatGivesUpWaiting(t *testing.T) {
	first, _ := acquire(t)
	second, granted := acquire(t)
	second.Release()
	first.Release()
	time.Sleep(20 * time.Millisecond)
	if second.Writing() || len(granted) != 0 {
		t.Error("a tab that gave up was granted the right")
	}
	third, thirdGranted := acquire(t)
	if !third.Writing() {
		bordertest.Soon(t, "the lock", func() { <-thirdGranted })
	}
}

func TestBrowserWithoutLocks(t *testing.T) {
	bordertest.Without(t, js.Global().Get("navigator"), "locks")
	for range 2 {
		if w, _ := acquire(t); !w.Writing() {
			t.Error("not writing")
		}
	}
}

func TestBrowserThatRefusesLocks(t *testing.T) {
	bordertest.Replace(t, js.Global().Get("navigator"), "locks", map[string]any{
		"request": bordertest.Function("", `return Promise.reject(new DOMException("no", "SecurityError"))`),
	})
	_, err := AcquireWriter(t.Name(), func() { t.Error("granted") })
	wantCode(t, err, "store.fault")
}
