// Package korean names the Korean encoding, without their tables.
package korean

import "golang.org/x/text/encoding"

// The encodings, by their names.
var (
	EUCKR encoding.Encoding = &encoding.Plain{Name: "EUCKR"}
)
