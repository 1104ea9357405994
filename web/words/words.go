// Package words holds every sentence the app shows, by key, one file a topic.
//
// A line is "key = text"; {0}, {1} stand for arguments. A second language is a
// second folder beside en with the same keys. T never fails: an unknown key
// shows as itself, and a test finds it.
package words

import (
	"embed"
	"fmt"
	"keelcard/engine/sorting"
	"slices"
	"strings"
	"sync"
)

//go:embed en/*.txt
var files embed.FS

// texts is what was read so far. The files of a released program whose sentences
// are for pages in its second part come with that; until then there are zeros
// in their places. Elsewhere all are read at once and nothing changes after that.
type texts struct {
	byKey map[string]string
	away  []string // files that are not here yet
}

var table = sync.OnceValue(func() *texts {
	entries, err := files.ReadDir("en")
	if err != nil {
		panic(err)
	}
	t := &texts{byKey: map[string]string{}}
	for _, e := range entries {
		t.away = append(t.away, "en/"+e.Name())
	}
	t.read()
	return t
})

// find gives the text of a key.
func find(key string) (string, bool) {
	t := table()
	text, ok := t.byKey[key]
	if !ok && len(t.away) > 0 {
		t.read()
		text, ok = t.byKey[key]
	}
	return text, ok
}

// read takes in the files that came.
func (t *texts) read() {
	t.away = slices.DeleteFunc(t.away, func(name string) bool {
		data, err := files.ReadFile(name)
		if err != nil {
			panic(err)
		}
		if len(data) > 0 && data[0] == 0 {
			return false
		}
		t.take(name, string(data))
		return true
	})
}

// take reads the lines of one file.
func (t *texts) take(name, lines string) {
	for line := range strings.Lines(lines) {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		key, text, ok := strings.Cut(line, "=")
		key = strings.TrimSpace(key)
		if !ok || key == "" {
			panic(name + ": no key in line " + line)
		}
		if _, twice := t.byKey[key]; twice {
			panic(name + ": key twice: " + key)
		}
		t.byKey[key] = strings.TrimSpace(text)
	}
}

// T gives the text of a key with its arguments put in.
func T(key string, args ...any) string {
	text, ok := find(key)
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
	_, ok := find(key)
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
	return sorting.Keys(table().byKey)
}
