//go:build js && wasm

package store

import (
	"errors"
	"strings"

	"github.com/hack-pad/go-indexeddb/idb"

	"keelcard/engine"
	"keelcard/wasm/border"
)

var errAborted = errors.New("the transaction was aborted")

// nameOf gives the name of the browser's exception, "" when err holds none.
// The library has a DOMException for what a request reports and leaves what a
// call throws as it is.
func nameOf(err error) string {
	var reported idb.DOMException
	if errors.As(err, &reported) {
		name, _, _ := strings.Cut(reported.Error(), ":")
		return name
	}
	return border.Name(err)
}

func newFault(code engine.Code, what, fix string, cause error) error {
	return &engine.Error{Code: code, What: what, Fix: fix, Cause: cause}
}

// openFault says why there is no store.
func openFault(err error) error {
	switch nameOf(err) {
	case "QuotaExceededError":
		return full(err)
	case "VersionError":
		return newFault("store.newer",
			"a newer version of the app has already opened what is saved here; all of it is safe",
			"close every tab of the app and open it again, so that the newer version starts", err)
	case "", "SecurityError", "InvalidStateError", "NotAllowedError", "NotSupportedError":
		return newFault("store.denied",
			"this browser gives the app no place to save anything, as in a private window or with site data switched off; nothing is saved here",
			"open the app in an ordinary window, or allow site data for it", err)
	}
	return unknown(err, "the browser could not open what is saved here")
}

// fault says why a call on an open store failed.
func (s *Store) fault(err error) error {
	if s.reason != "" {
		return s.closedFault()
	}
	switch name := nameOf(err); {
	case name == "QuotaExceededError":
		return full(err)
	case name == "AbortError" || name == "InvalidStateError" || errors.Is(err, errAborted):
		return newFault("store.aborted", "the browser gave up saving the last change; everything before it is saved",
			"make the entry again", err)
	}
	return unknown(err, "the browser could not read or save; everything saved before is still there")
}

// refused says why no transaction could be begun. Only a connection that is
// closing refuses one with this name; the browser need not have told of it.
func (s *Store) refused(err error) error {
	if nameOf(err) == "InvalidStateError" {
		s.shut(Evicted)
	}
	return s.fault(err)
}

func (s *Store) closedFault() error {
	const look = "reload the page, look at the last entry, and make it again if it is missing"
	switch s.reason {
	case Evicted:
		return newFault("store.closed", "the browser has closed its store or taken it away",
			"leave Keelcard open: it opens the store again and writes to it what is missing; if it cannot, hand the contest over to another phone or a file", nil)
	case VersionChange:
		return newFault("store.closed", "another tab runs a newer version of Keelcard, which has changed the store of this browser; the last change may not be saved", look, nil)
	}
	return newFault("store.closed", "the store is closed; the last change is not saved", look, nil)
}

func full(err error) error {
	return newFault("store.full",
		"there is no room left on this phone; what was saved before is safe",
		"leave Keelcard open and free some of the phone's space, or take a contest that is done off it; to be sure, hand the contest over to another phone or a file", err)
}

func unknown(err error, what string) error {
	return newFault("store.fault", what+" ("+err.Error()+")", "reload the page; if it comes again, hand the contest over to a file and restart the phone", err)
}
