// Package words holds every sentence the app shows, by key, one file a topic.
//
// A line is "key = text"; {0}, {1} stand for arguments. A second language is a
// second folder beside en with the same keys. T never fails: an unknown key
// shows as itself, and a test finds it.
package words

import (
	"embed"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
)

//go:embed en/*.txt
var files embed.FS

var table = sync.OnceValue(func() map[string]string {
	entries, err := files.ReadDir("en")
	if err != nil {
		panic(err)
	}
	all := map[string]string{}
	for _, e := range entries {
		data, err := files.ReadFile("en/" + e.Name())
		if err != nil {
			panic(err)
		}
		for line := range strings.Lines(string(data)) {
			line = strings.TrimSpace(line)
			if line == "" || line[0] == '#' {
				continue
			}
			key, text, ok := strings.Cut(line, "=")
			key = strings.TrimSpace(key)
			if !ok || key == "" {
				panic(e.Name() + ": no key in line " + line)
			}
			if _, twice := all[key]; twice {
				panic(e.Name() + ": key twice: " + key)
			}
			all[key] = strings.TrimSpace(text)
		}
	}
	return all
})

// T gives the text of a key with its arguments put in.
func T(key string, args ...any) string {
	text, ok := table()[key]
	if !ok {
		return key
	}
	if len(args) == 0 {
		return text
	}
	var b strings.Builder
	for {
		before, rest, found := strings.Cut(text, "{")
		b.WriteString(before)
		if !found {
			return b.String()
		}
		if len(rest) > 1 && rest[1] == '}' && int(rest[0]-'0') < len(args) {
			fmt.Fprint(&b, args[rest[0]-'0'])
			text = rest[2:]
			continue
		}
		b.WriteByte('{')
		text = rest
	}
}

// Has tells whether there is a text for the key. It is for keys made from
// data, such as the title of a tie-break.
func Has(key string) bool {
	_, ok := table()[key]
	return ok
}

// N gives the text for a count: key.one for exactly 1, key.many otherwise,
// with the count as {0}.
func N(key string, n int) string {
	if n == 1 {
		return T(key+".one", n)
	}
	return T(key+".many", n)
}

// Keys lists every key, sorted.
func Keys() []string {
	return slices.Sorted(maps.Keys(table()))
}
