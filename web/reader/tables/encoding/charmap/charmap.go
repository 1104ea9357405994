// Package charmap names the encodings of one byte a letter, without their tables.
package charmap

import "golang.org/x/text/encoding"

// The encodings, by their names.
var (
	CodePage437 encoding.Encoding = &encoding.Plain{Name: "CodePage437"}
	ISO8859_1   encoding.Encoding = &encoding.Plain{Name: "ISO8859_1"}
	ISO8859_2   encoding.Encoding = &encoding.Plain{Name: "ISO8859_2"}
	ISO8859_3   encoding.Encoding = &encoding.Plain{Name: "ISO8859_3"}
	ISO8859_4   encoding.Encoding = &encoding.Plain{Name: "ISO8859_4"}
	ISO8859_5   encoding.Encoding = &encoding.Plain{Name: "ISO8859_5"}
	ISO8859_7   encoding.Encoding = &encoding.Plain{Name: "ISO8859_7"}
	ISO8859_9   encoding.Encoding = &encoding.Plain{Name: "ISO8859_9"}
	ISO8859_13  encoding.Encoding = &encoding.Plain{Name: "ISO8859_13"}
	ISO8859_15  encoding.Encoding = &encoding.Plain{Name: "ISO8859_15"}
	ISO8859_16  encoding.Encoding = &encoding.Plain{Name: "ISO8859_16"}
	Windows1250 encoding.Encoding = &encoding.Plain{Name: "Windows1250"}
	Windows1251 encoding.Encoding = &encoding.Plain{Name: "Windows1251"}
	Windows1252 encoding.Encoding = &encoding.Plain{Name: "Windows1252"}
	Windows1256 encoding.Encoding = &encoding.Plain{Name: "Windows1256"}
)
