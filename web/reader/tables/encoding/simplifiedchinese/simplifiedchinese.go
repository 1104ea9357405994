// Package simplifiedchinese names the Chinese encoding, without their tables.
package simplifiedchinese

import "golang.org/x/text/encoding"

// The encodings, by their names.
var (
	GB18030 encoding.Encoding = &encoding.Plain{Name: "GB18030"}
)
