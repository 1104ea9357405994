// Package codec turns a set of logs into the bundle file that phones hand each
// other, and results into the short message that is shared afterwards.
package codec

import "keelcard/engine/record"

// Options change what EncodeBundle accepts.
type Options struct {
	Unsigned bool // logs without a signature are let through, for one's own store
}

// EncodeBundle writes a set as a bundle file.
func EncodeBundle(set record.Set, opt Options) ([]byte, error) { return nil, nil }

// DecodeBundle reads a bundle file, or its text form, and checks its signatures.
func DecodeBundle(b []byte) (record.Set, error) { return record.Set{}, nil }

// DecodeStored reads a bundle that this phone stored itself; signatures are not checked.
func DecodeStored(b []byte) (record.Set, error) { return record.Set{}, nil }

// EncodeText writes file bytes as text for a message.
func EncodeText(b []byte) string { return "" }

// DecodeText finds and reads the text form inside a message.
func DecodeText(s string) ([]byte, error) { return nil, nil }

// ClassHead is one class of a results message.
type ClassHead struct {
	Name string
	Max  int // most points of the class, in hundredths
}

// Row is one contestant of a results message.
type Row struct {
	Number   int     // contestant number
	Team     int     // index into Teams plus 1, 0 for none
	Division int     // index into Divisions plus 1, 0 for none
	Points   []int32 // by class, hundredths of a point, -1 for none
	Rank     int     // place among all, 1 is best; shared places have equal numbers
}

// Results is what a results message carries. Names of contestants are not part of it.
type Results struct {
	Title, Date string
	Classes     []ClassHead
	Rows        []Row
	Teams       []string
	Divisions   []string
	TieOrder    []int // class indexes in the order in which they break ties
}

// EncodeResults writes a results message.
func EncodeResults(r Results) ([]byte, error) { return nil, nil }

// DecodeResults reads a results message.
func DecodeResults(b []byte) (Results, error) { return Results{}, nil }
