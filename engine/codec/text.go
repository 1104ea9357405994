package codec

import (
	"encoding/base64"
	"fmt"
	"hash/crc32"
	"strings"
	"unicode"
)

// The text form is the word, the version and a colon, then the bytes in the
// URL alphabet of base64, then an equals sign and the CRC-32 of the bytes in
// hexadecimal:
//
//	KEELCARD 1:
//	S0VFTENBUkQBAAHg...
//	=1f2e3d4c
//
// White space, marks of quoting and invisible characters may stand anywhere
// between, and any text before and after.
const (
	textVersion = 1
	lineLength  = 64
)

// EncodeText writes the bytes of a file as text for a message.
func EncodeText(b []byte) string {
	var s strings.Builder
	fmt.Fprintf(&s, "%s %d:\n", magic, textVersion)
	body := base64.RawURLEncoding.EncodeToString(b)
	for len(body) > 0 {
		n := min(len(body), lineLength)
		s.WriteString(body[:n])
		s.WriteByte('\n')
		body = body[n:]
	}
	fmt.Fprintf(&s, "=%08x\n", crc32.ChecksumIEEE(b))
	return s.String()
}

// DecodeText finds the text form in a message and gives the bytes of the file;
// what they are is for DecodeBundle or DecodeResults to check. Codes:
// CodeNotOurs, CodeShort, CodeChecksum, CodeNewer, CodeTooLarge, CodeMalformed.
func DecodeText(s string) ([]byte, error) {
	// Some phones make one long dash of two short ones.
	t, ok := findText(strings.ReplaceAll(s, "\u2014", "--"))
	if !ok {
		return nil, notOurs("this is not a Keelcard file, and no Keelcard text is in it")
	}
	if v := t.version; v != fmt.Sprint(textVersion) {
		return nil, newer(fmt.Sprintf("its text has version %s, this one reads %d", v, textVersion))
	}
	if len(t.body) > base64.RawURLEncoding.EncodedLen(MaxFile) {
		return nil, tooLarge("letters of text", uint64(len(t.body)), uint64(base64.RawURLEncoding.EncodedLen(MaxFile)))
	}
	switch {
	case t.strange != 0:
		return nil, malformed("text", fmt.Sprintf("%q cannot stand in it", t.strange), nil)
	case !t.ended || len(t.check) < 8:
		return nil, short()
	}
	b, err := base64.RawURLEncoding.Strict().DecodeString(t.body)
	if err != nil || !strings.EqualFold(t.check, fmt.Sprintf("%08x", crc32.ChecksumIEEE(b))) {
		return nil, checksum()
	}
	return b, nil
}

// found is a text form as it stands in a message.
type found struct {
	version, body, check string
	ended                bool // the equals sign was there
	strange              rune // what cannot stand in the body
}

// findText looks for the word with a version and a colon; the word alone may
// stand in any message.
func findText(s string) (found, bool) {
	for {
		i := strings.Index(s, magic)
		if i < 0 {
			return found{}, false
		}
		s = s[i+len(magic):]
		var t found
		rest := s
		t.version, rest = collect(rest, isDigit, 3)
		if t.version == "" || !strings.HasPrefix(rest, ":") {
			continue
		}
		t.body, rest = collect(rest[1:], isBase64, len(rest))
		if !strings.HasPrefix(rest, "=") {
			for _, t.strange = range rest {
				break
			}
			return t, true
		}
		t.ended = true
		t.check, _ = collect(rest[1:], isHex, 8)
		return t, true
	}
}

// collect takes up to most wanted letters off the front, skipping what messages
// put between, and gives what is left.
func collect(s string, want func(rune) bool, most int) (got, rest string) {
	var b strings.Builder
	for i, r := range s {
		switch {
		case want(r) && b.Len() < most:
			b.WriteRune(r)
		case !isBetween(r):
			return b.String(), s[i:]
		}
		if b.Len() == most {
			return b.String(), skip(s[i+1:])
		}
	}
	return b.String(), ""
}

func skip(s string) string { return strings.TrimLeftFunc(s, isBetween) }

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

func isHex(r rune) bool { return isDigit(r) || r >= 'a' && r <= 'f' || r >= 'A' && r <= 'F' }

func isBase64(r rune) bool {
	return isDigit(r) || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r == '-' || r == '_'
}

// isBetween accepts white space, marks of quoting, and what cannot be seen.
func isBetween(r rune) bool {
	return unicode.IsSpace(r) || r == '>' || r == '|' || unicode.Is(unicode.Cf, r)
}
