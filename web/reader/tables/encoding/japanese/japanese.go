// Package japanese names the Japanese encodings, without their tables.
package japanese

import "golang.org/x/text/encoding"

// The encodings, by their names.
var (
	ShiftJIS encoding.Encoding = &encoding.Plain{Name: "ShiftJIS"}
	EUCJP    encoding.Encoding = &encoding.Plain{Name: "EUCJP"}
)
