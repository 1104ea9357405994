// Package unicode names the encodings of Unicode, without their tables.
package unicode

import "golang.org/x/text/encoding"

// UTF8 is what our texts are in.
var UTF8 encoding.Encoding = &encoding.Plain{Name: "UTF8"}

// Endianness and BOMPolicy tell kinds of UTF-16 apart.
type (
	Endianness bool
	BOMPolicy  uint8
)

// The kinds that are asked for.
const (
	BigEndian    Endianness = true
	LittleEndian Endianness = false
	UseBOM       BOMPolicy  = 1
)

// UTF16 gives an encoding of the kind.
func UTF16(Endianness, BOMPolicy) encoding.Encoding { return &encoding.Plain{Name: "UTF16"} }
