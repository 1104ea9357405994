// Package traditionalchinese names the Taiwanese encoding, without their tables.
package traditionalchinese

import "golang.org/x/text/encoding"

// The encodings, by their names.
var (
	Big5 encoding.Encoding = &encoding.Plain{Name: "Big5"}
)
