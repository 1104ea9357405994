package shell_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"keelcard/web/shell"
)

func read(t *testing.T, path string) string {
	t.Helper()
	data, err := shell.Files.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// The hash is the one of the published package; it stands in the comment of the
// vendored file too, so that a reader can check it.
func TestVendoredScriptIsUnchanged(t *testing.T) {
	const published = "4cbd535caf7663a51eda9bce6595371c384fc430d54b8d414e29a61167f19f96"
	comment, body, ok := strings.Cut(read(t, "vendor/idiomorph.js"), "*/\n")
	if !ok {
		t.Fatal("no comment with the licence above the script")
	}
	sum := sha256.Sum256([]byte(body))
	if got := hex.EncodeToString(sum[:]); got != published {
		t.Errorf("hash of the script is %s, want %s", got, published)
	}
	for _, want := range []string{published, "idiomorph 0.8.0", "Zero-Clause BSD"} {
		if !strings.Contains(comment, want) {
			t.Errorf("the comment does not hold %q", want)
		}
	}
}

// A third party's address, an inline style or an inline script would be
// refused by the policy at run time; here it is refused at once.
func TestNothingFromElsewhere(t *testing.T) {
	address := regexp.MustCompile(`(?i)(https?:)?//[a-z0-9-]+\.[a-z]`)
	inline := regexp.MustCompile(`(?i)<script>|<style|\sstyle=|\son[a-z]+=`)
	err := fs.WalkDir(shell.Files, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasPrefix(path, "icons/") || strings.HasPrefix(path, "vendor/") {
			return err
		}
		if found := address.FindString(read(t, path)); found != "" {
			t.Errorf("%s names another host: %s", path, found)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if found := inline.FindString(read(t, "index.html")); found != "" {
		t.Errorf("index.html holds %q, which the policy refuses", found)
	}
}

func TestMarksAreInTheirPlaces(t *testing.T) {
	for path, marks := range map[string][]string{
		"index.html": {shell.VersionMark, shell.PolicyMark, shell.RestMark},
		"sw.js":      {shell.VersionMark, shell.FilesMark, shell.LaterMark},
	} {
		for _, mark := range marks {
			if n := strings.Count(read(t, path), mark); n != 1 {
				t.Errorf("%s holds %s %d times, want once", path, mark, n)
			}
		}
	}
}

// A name that is not in the shell would be a failed request on every start.
func TestReferencesExist(t *testing.T) {
	var refs []string
	for _, m := range regexp.MustCompile(`(?:href|src)="([^"]+)"`).FindAllStringSubmatch(read(t, "index.html"), -1) {
		refs = append(refs, m[1])
	}
	var manifest struct {
		Icons []struct{ Src, Sizes, Type string }
	}
	if err := json.Unmarshal([]byte(read(t, "manifest.webmanifest")), &manifest); err != nil {
		t.Fatal(err)
	}
	if len(manifest.Icons) == 0 || len(refs) == 0 {
		t.Fatal("no references found")
	}
	for _, icon := range manifest.Icons {
		refs = append(refs, icon.Src)
	}
	for _, ref := range refs {
		if ref == "wasm_exec.js" { // comes with the toolchain
			continue
		}
		if _, err := fs.Stat(shell.Files, ref); err != nil {
			t.Errorf("%s: %v", ref, err)
		}
	}
	for _, icon := range manifest.Icons {
		if icon.Type != "image/png" {
			continue
		}
		data := []byte(read(t, icon.Src))
		if !bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")) || len(data) < 24 {
			t.Errorf("%s is not a PNG", icon.Src)
			continue
		}
		width := int(data[18])<<8 | int(data[19])
		height := int(data[22])<<8 | int(data[23])
		if got := sizes(width, height); got != icon.Sizes {
			t.Errorf("%s is %s, the manifest says %s", icon.Src, got, icon.Sizes)
		}
	}
}

func sizes(width, height int) string {
	return fmt.Sprintf("%dx%d", width, height)
}

// What the app hands out can be shared to it and opened with it again: by its
// ending on desktops, and as what the service worker looks for in the form. Into
// a window that is only brought to the front a browser puts nothing shared.
func TestWhatIsHandedOutComesBack(t *testing.T) {
	var manifest struct {
		Launch struct {
			Modes []string `json:"client_mode"`
		} `json:"launch_handler"`
		Share struct {
			Action, Method, Enctype string
			Params                  struct {
				Text, URL string
				Files     []struct {
					Name   string
					Accept []string
				}
			}
		} `json:"share_target"`
		Opens []struct {
			Action string
			Accept map[string][]string
		} `json:"file_handlers"`
	}
	if err := json.Unmarshal([]byte(read(t, "manifest.webmanifest")), &manifest); err != nil {
		t.Fatal(err)
	}
	share, worker := manifest.Share, read(t, "sw.js")
	if share.Method != "POST" || share.Enctype != "multipart/form-data" || !strings.Contains(worker, `path === "`+share.Action+`"`) {
		t.Errorf("shared by %s %s as %s", share.Method, share.Action, share.Enctype)
	}
	if len(share.Params.Files) != 1 || len(manifest.Opens) != 1 {
		t.Fatalf("%d files are shared, %d ways to open one", len(share.Params.Files), len(manifest.Opens))
	}
	for _, name := range []string{share.Params.Files[0].Name, share.Params.Text, share.Params.URL} {
		if name == "" || !strings.Contains(worker, `"`+name+`"`) {
			t.Errorf("the service worker does not ask for %q", name)
		}
	}
	var endings []string
	for _, e := range manifest.Opens[0].Accept {
		endings = append(endings, e...)
	}
	for _, name := range []string{"day-mb.keelcard.txt", "keelcard-backup-mb.txt", "barn-parts.book.txt", "barn-parts.json", "old.keelcard"} {
		if end := filepath.Ext(name); !slices.Contains(endings, end) || !slices.Contains(share.Params.Files[0].Accept, end) {
			t.Errorf("%s: not opened with %v or not shared with %v", name, endings, share.Params.Files[0].Accept)
		}
	}
	if len(manifest.Launch.Modes) == 0 || slices.Contains(manifest.Launch.Modes, "focus-existing") {
		t.Errorf("opened in %v", manifest.Launch.Modes)
	}
}
