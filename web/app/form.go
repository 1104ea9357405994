package app

import (
	"strconv"
	"strings"
)

// field reads one field of a form that was sent, "" when it has none of that
// name. The text is as browsers send it: name=value pairs with & between them.
func field(m Msg, name string) string {
	for pair := range strings.SplitSeq(m.Text, "&") {
		key, value, _ := strings.Cut(pair, "=")
		if pair != "" && formText(key) == name {
			return formText(value)
		}
	}
	return ""
}

// formText puts back the letters that the sending of a form escapes. An escape
// that is none stays as it is.
func formText(s string) string {
	s = strings.ReplaceAll(s, "+", " ")
	var b strings.Builder
	for {
		before, after, found := strings.Cut(s, "%")
		b.WriteString(before)
		if !found {
			return b.String()
		}
		s = after
		if len(after) >= 2 {
			if code, err := strconv.ParseUint(after[:2], 16, 8); err == nil {
				b.WriteByte(byte(code))
				s = after[2:]
				continue
			}
		}
		b.WriteByte('%')
	}
}
