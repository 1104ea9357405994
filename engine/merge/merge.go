// Package merge brings the logs of several phones together and reads from them
// what holds now. Joining is the union of logs; it can be done in any order,
// any number of times, and comes to the same.
package merge

import (
	"keelcard/engine/record"
)

// Report says what a Join brought.
type Report struct {
	New    []record.Ref // what the second set had and the first had not
	Behind []record.Ref // what the first set had and the second had not
}

// Status says how far the answer about a subject is settled.
type Status uint8

// The states of a subject.
const (
	Absent     Status = iota // nobody wrote anything, or it was withdrawn
	Single                   // one answer by one hand
	Confirmed                // the same answer by two or more hands
	InQuestion               // different answers; a person has to decide
)

// Current is what holds about one subject.
type Current struct {
	Subject record.Subject
	Status  Status
	Refs    []record.Ref // the records that hold, earliest stamp first
	Values  []string     // their distinct values, earliest stamp first
}

// State is the fold of a set of logs.
type State struct{}

// Join gives the union of two sets of the same contest.
func Join(a, b record.Set) (record.Set, Report, error) { return a, Report{}, nil }

// Fold reads a whole set.
func Fold(set record.Set) *State { return &State{} }

// Append takes in one more record.
func (s *State) Append(r record.Record) error { return nil }

// Clone gives an independent copy.
func (s *State) Clone() *State { return &State{} }

// Current says what holds about a subject.
func (s *State) Current(sub record.Subject) Current { return Current{Subject: sub} }

// Questions lists the subjects in question, sorted.
func (s *State) Questions() []record.Subject { return nil }

// Subjects lists the subjects of a kind that were ever written, sorted.
func (s *State) Subjects(kind record.Kind) []record.Subject { return nil }

// Record finds a record by its name.
func (s *State) Record(ref record.Ref) (record.Record, bool) { return record.Record{}, false }

// History lists all records about a subject, earliest stamp first.
func (s *State) History(sub record.Subject) []record.Ref { return nil }
