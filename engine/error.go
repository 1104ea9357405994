// Package engine holds what every other engine package shares: the one error
// type that crosses the border to a person.
//
// The packages below it are pure: they read no clock, no disk, no network and
// no randomness. Start at keelcard/engine/grading for a single carcass and at
// keelcard/engine/contest for a whole contest.
package engine

import (
	"errors"
	"strings"
)

// Code names a kind of error for programs and tests. It is stable: once
// released, a code keeps its meaning. The form is "package.what", lower case.
type Code string

// Error is what a person is told when something they gave us is wrong. Each
// field is a plain sentence or part of one, so that a page can set them apart.
type Error struct {
	Code  Code   // stable name of the kind of error
	Where string // the place: "limits[3].most", "line 12", "" when there is only one
	What  string // what is wrong, naming the offending value
	Fix   string // what to do about it
	Cause error  // the underlying error, if any
}

// New makes an Error without a cause.
func New(code Code, where, what, fix string) *Error {
	return &Error{Code: code, Where: where, What: what, Fix: fix}
}

// Error joins place, fault and remedy into one line.
func (e *Error) Error() string {
	var b strings.Builder
	if e.Where != "" {
		b.WriteString(e.Where)
		b.WriteString(": ")
	}
	b.WriteString(e.What)
	if e.Fix != "" {
		b.WriteString("; ")
		b.WriteString(e.Fix)
	}
	return b.String()
}

// Unwrap gives the underlying error.
func (e *Error) Unwrap() error { return e.Cause }

// Faults is every fault of one input, so that all can be mended in one go.
type Faults []*Error

// Err gives the faults as an error, or nil when there is none.
func (f Faults) Err() error {
	if len(f) == 0 {
		return nil
	}
	return f
}

// Error lists the faults, one a line.
func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i, e := range f {
		lines[i] = e.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap gives each fault to errors.Is and errors.As.
func (f Faults) Unwrap() []error {
	errs := make([]error, len(f))
	for i, e := range f {
		errs[i] = e
	}
	return errs
}

// CodeOf reads the code of the first Error in err's tree, "" when there is none.
func CodeOf(err error) Code {
	var e *Error
	if errors.As(err, &e) {
		return e.Code
	}
	return ""
}
