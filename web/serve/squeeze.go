package main

import (
	"path"
	"regexp"
	"strings"
)

// styleComment is a comment of a style sheet. Ours hold no such marks in texts.
var styleComment = regexp.MustCompile(`(?s)/\*.*?\*/`)

// squeeze leaves out of our own style and scripts what is for readers of the
// source: comments on lines of their own, indentation, empty lines. What comes
// from elsewhere stays as it came, licence and all.
func squeeze(name string, body []byte) []byte {
	if strings.HasPrefix(name, "vendor/") || name == "wasm_exec.js" {
		return body
	}
	text := string(body)
	comment := "//"
	switch path.Ext(name) {
	case ".css":
		text, comment = styleComment.ReplaceAllString(text, ""), "/*"
	case ".js":
	default:
		return body
	}
	var out strings.Builder
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		if line != "" && !strings.HasPrefix(line, comment) {
			out.WriteString(line)
			out.WriteByte('\n')
		}
	}
	return []byte(out.String())
}
