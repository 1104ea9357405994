package words_test

import (
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// Sentences that come with the second part of a release must not be said by the
// first: it would show their keys.
func TestTheFirstPartHasItsSentences(t *testing.T) {
	list, err := os.ReadFile("../serve/second.txt")
	if err != nil {
		t.Fatal(err)
	}
	var moved []string
	away := map[string]string{} // key to file
	for line := range strings.Lines(string(list)) {
		fields := strings.Fields(line)
		switch {
		case len(fields) > 1 && fields[0] == "move":
			moved = append(moved, fields[1])
		case len(fields) > 1 && fields[0] == "text" && strings.HasPrefix(fields[1], "web/words/"):
			text, err := os.ReadFile(filepath.FromSlash("../../" + fields[1]))
			if err != nil {
				t.Fatal(err)
			}
			for line := range strings.Lines(string(text)) {
				if key, _, ok := strings.Cut(line, "="); ok && line[0] != '#' {
					away[strings.TrimSpace(key)] = fields[1]
				}
			}
		}
	}
	if len(away) == 0 {
		t.Fatal("no sentences are in the second part")
	}
	for _, folder := range []string{"app", "view", "view/parts", "figure"} {
		sources, err := filepath.Glob(filepath.FromSlash("../" + folder + "/*.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range sources {
			name := "keelcard/web/" + folder + "/" + filepath.Base(file)
			in := func(pattern string) bool { ok, _ := path.Match(pattern, name); return ok }
			if base := filepath.Base(file); strings.HasSuffix(base, "_test.go") || strings.HasPrefix(base, "gallery") || slices.ContainsFunc(moved, in) {
				continue
			}
			source, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range call.FindAllSubmatch(source, -1) {
				key := string(m[2])
				for known, of := range away {
					if known == key || strings.HasPrefix(known, key) && (string(m[1]) == "N" || strings.HasSuffix(key, "-") || strings.HasSuffix(key, ".")) {
						t.Errorf("%s says %q, which is in %s and comes with the second part", name, key, of)
						break
					}
				}
			}
		}
	}
}
