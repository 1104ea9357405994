// Package encoding has the names of golang.org/x/text/encoding that the reader of
// picture codes uses. There are no tables: bytes stay as they are.
package encoding

// Encoding is a way to write text as bytes.
type Encoding interface{ NewDecoder() *Decoder }

// Decoder would make UTF-8 of such bytes.
type Decoder struct{}

// Plain is an encoding without a table. Each is different from every other.
type Plain struct{ Name string }

// NewDecoder gives a decoder that changes nothing.
func (*Plain) NewDecoder() *Decoder { return &Decoder{} }
