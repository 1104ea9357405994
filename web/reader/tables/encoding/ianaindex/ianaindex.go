// Package ianaindex finds encodings by their names, as far as the reader of
// picture codes asks for them.
package ianaindex

import "golang.org/x/text/encoding"

// Index is the list of names.
type Index struct{}

// IANA is the one list.
var IANA = &Index{}

// Encoding gives an encoding of the name.
func (*Index) Encoding(name string) (encoding.Encoding, error) {
	return &encoding.Plain{Name: name}, nil
}

// Name gives the name of an encoding.
func (*Index) Name(e encoding.Encoding) (string, error) {
	if p, ok := e.(*encoding.Plain); ok {
		return p.Name, nil
	}
	return "", nil
}
