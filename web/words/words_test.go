package words_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"keelcard/web/words"
)

func TestArguments(t *testing.T) {
	if got := words.T("common.no-such-key"); got != "common.no-such-key" {
		t.Errorf("unknown key: %q", got)
	}
	if got := words.N("common.minutes-ago", 1); got != "a minute ago" {
		t.Errorf("one: %q", got)
	}
	if got := words.N("common.minutes-ago", 3); got != "3 minutes ago" {
		t.Errorf("many: %q", got)
	}
}

var (
	call   = regexp.MustCompile(`words\.(T|N)\(\s*"([a-z0-9.-]+)"`)
	prefix = regexp.MustCompile(`words\.[TN]\(\s*"([a-z0-9.-]+[.-])"\s*\+`)
)

// Every key used in the sources has a text, and every text is used. A key
// made from data is written as words.T("prefix." + x); then all keys that
// begin so count as used.
func TestKeysAndUses(t *testing.T) {
	used := map[string]bool{}
	var prefixes []string
	for _, root := range []string{"..", "../../wasm"} {
		if _, err := os.Stat(root); err != nil {
			continue
		}
		err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if d.IsDir() && (d.Name() == "node_modules" || d.Name() == "words") {
				return filepath.SkipDir
			}
			if filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") {
				return nil
			}
			src, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			for _, m := range prefix.FindAllSubmatch(src, -1) {
				prefixes = append(prefixes, string(m[1]))
			}
			for _, m := range call.FindAllSubmatch(src, -1) {
				key := string(m[2])
				if strings.HasSuffix(key, ".") || strings.HasSuffix(key, "-") {
					continue
				}
				if string(m[1]) == "N" {
					used[key+".one"], used[key+".many"] = true, true
				} else {
					used[key] = true
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if len(used) == 0 {
		t.Fatal("no use of words found in the sources")
	}
	for key := range used {
		if !words.Has(key) {
			t.Errorf("no text for %q", key)
		}
	}
	for _, key := range words.Keys() {
		if used[key] {
			continue
		}
		covered := false
		for _, p := range prefixes {
			covered = covered || strings.HasPrefix(key, p)
		}
		if !covered {
			t.Errorf("text %q is used nowhere", key)
		}
	}
}
