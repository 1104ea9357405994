//go:build js && wasm

package files

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"syscall/js"
	"testing"

	"keelcard/engine"
	"keelcard/wasm/border"
	"keelcard/wasm/border/bordertest"
	"keelcard/web/app"
)

// choose makes the next file dialog choose the files; none closes it.
func choose(t *testing.T, files ...js.Value) {
	list := js.Global().Get("Array").New()
	for _, f := range files {
		list.Call("push", f)
	}
	set(t, "chosen", list)
	bordertest.Patch(t, "HTMLInputElement", "click", `return function() {
		dialog = { type: this.type, accept: this.accept, multiple: this.multiple, capture: this.getAttribute("capture"),
			onPage: this.isConnected };
		const transfer = new DataTransfer();
		for (const f of chosen) transfer.items.add(f);
		setTimeout(() => {
			if (chosen.length == 0) { this.dispatchEvent(new Event("cancel")); return; }
			this.files = transfer.files;
			this.dispatchEvent(new Event("change"));
		});
	}`)
}

func set(t *testing.T, name string, value any) {
	js.Global().Set(name, value)
	t.Cleanup(func() { js.Global().Delete(name) })
}

func newFile(name, kind string, data []byte) js.Value {
	return js.Global().Get("File").New([]any{border.Bytes(data)}, name, map[string]any{"type": kind})
}

func collect(t *testing.T, p app.Pick) (files []File) {
	t.Helper()
	bordertest.Soon(t, "Pick", func() {
		for f := range Pick(p) {
			files = append(files, f)
		}
	})
	if left := document().Call("querySelectorAll", "input").Length(); left != 0 {
		t.Errorf("%d inputs are left on the page", left)
	}
	return files
}

func wantCode(t *testing.T, err error, want engine.Code) {
	t.Helper()
	if got := engine.CodeOf(err); got != want {
		t.Errorf("got error %v with code %q, want %q", err, got, want)
	}
}

func TestPickedFilesComeInOrder(t *testing.T) {
	choose(t, newFile("a.txt", "text/plain", []byte("one")), newFile("b", "", nil))
	got := collect(t, app.Pick{Multiple: true})
	if len(got) != 2 || got[0].Name != "a.txt" || string(got[0].Bytes) != "one" || got[1].Name != "b" || len(got[1].Bytes) != 0 ||
		got[0].Err != nil || got[1].Err != nil {
		t.Errorf("got %+v", got)
	}
}

func TestDialog(t *testing.T) {
	tests := []struct {
		pick    app.Pick
		accept  string
		capture string
	}{
		{app.Pick{}, "", "<null>"},
		{app.Pick{Accept: "text/plain,image/png", Multiple: true}, "text/plain,image/png", "<null>"},
		{app.Pick{Accept: "text/plain, .keelcard"}, "", "<null>"},
		{app.Pick{Photo: true}, "image/*", "environment"},
	}
	for _, tt := range tests {
		choose(t)
		collect(t, tt.pick)
		dialog := js.Global().Get("dialog")
		if got := dialog.Get("accept").String(); got != tt.accept {
			t.Errorf("%+v: accept %q, want %q", tt.pick, got, tt.accept)
		}
		if got := dialog.Get("capture").String(); got != tt.capture {
			t.Errorf("%+v: capture %q, want %q", tt.pick, got, tt.capture)
		}
		if dialog.Get("multiple").Bool() != tt.pick.Multiple || dialog.Get("type").String() != "file" || !dialog.Get("onPage").Bool() {
			t.Errorf("%+v: the input is %s", tt.pick, js.Global().Get("JSON").Call("stringify", dialog))
		}
	}
}

func TestDialogClosedWithoutAChoice(t *testing.T) {
	choose(t)
	if got := collect(t, app.Pick{}); len(got) != 0 {
		t.Errorf("got %+v", got)
	}
}

func TestNextPickEndsTheLast(t *testing.T) {
	bordertest.Patch(t, "HTMLInputElement", "click", `return () => {}`) // a browser that says nothing of closing
	first := Pick(app.Pick{})
	choose(t, newFile("a", "", []byte("1")))
	if got := collect(t, app.Pick{}); len(got) != 1 {
		t.Errorf("the second pick got %+v", got)
	}
	bordertest.Soon(t, "the first pick", func() {
		if f, open := <-first; open {
			t.Errorf("the first pick got %+v", f)
		}
	})
}

func TestFileThatIsTooLargeIsNotRead(t *testing.T) {
	choose(t, newFile("big", "", make([]byte, MaxBytes+1)), newFile("small", "", []byte("1")))
	set(t, "reads", 0)
	bordertest.Patch(t, "Blob", "arrayBuffer", `return function() { reads++; return was.call(this) }`)
	got := collect(t, app.Pick{Multiple: true})
	if len(got) != 2 || got[0].Name != "big" || got[0].Bytes != nil || string(got[1].Bytes) != "1" {
		t.Fatalf("got %d files", len(got))
	}
	wantCode(t, got[0].Err, "files.too-large")
	if n := js.Global().Get("reads").Int(); n != 1 {
		t.Errorf("%d files were read, want 1", n)
	}
}

func TestFileOfTheLargestSizeIsRead(t *testing.T) {
	choose(t, newFile("big", "", make([]byte, MaxBytes)))
	if got := collect(t, app.Pick{}); len(got) != 1 || got[0].Err != nil || len(got[0].Bytes) != MaxBytes {
		t.Errorf("got %d files, %v", len(got), got[0].Err)
	}
}

func TestFileThatCannotBeRead(t *testing.T) {
	choose(t, newFile("gone", "", []byte("1")))
	bordertest.Patch(t, "Blob", "arrayBuffer", `return () => Promise.reject(new DOMException("gone", "NotReadableError"))`)
	got := collect(t, app.Pick{})
	if len(got) != 1 {
		t.Fatalf("got %d files", len(got))
	}
	wantCode(t, got[0].Err, "files.unreadable")
}

// halves is a picture whose left half is transparent and right half is blue.
func halves(t *testing.T, width, height int) []byte {
	t.Helper()
	m := image.NewNRGBA(image.Rect(0, 0, width, height))
	for y := range height {
		for x := width / 2; x < width; x++ {
			m.SetNRGBA(x, y, color.NRGBA{B: 255, A: 255})
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestPhotoIsMadeSmall(t *testing.T) {
	tests := []struct{ width, height, wantWidth, wantHeight int }{
		{2000, 1000, 1280, 640},
		{1000, 2000, 640, 1280},
		{300, 200, 300, 200},
	}
	for _, tt := range tests {
		choose(t, newFile("bird.one.png", "image/png", halves(t, tt.width, tt.height)))
		got := collect(t, app.Pick{Photo: true})
		if len(got) != 1 || got[0].Err != nil || got[0].Name != "bird.one.jpg" {
			t.Fatalf("got %+v", got)
		}
		m, err := jpeg.Decode(bytes.NewReader(got[0].Bytes))
		if err != nil {
			t.Fatal(err)
		}
		if size := m.Bounds().Size(); size != image.Pt(tt.wantWidth, tt.wantHeight) {
			t.Errorf("%d×%d became %v", tt.width, tt.height, size)
		}
		left, right := m.At(tt.wantWidth/4, tt.wantHeight/2), m.At(tt.wantWidth*3/4, tt.wantHeight/2)
		if r, g, b, _ := left.RGBA(); min(r, g, b) < 0xf000 {
			t.Errorf("the transparent half became %v, want white", left)
		}
		if r, g, b, _ := right.RGBA(); max(r, g) > 0x1000 || b < 0xf000 {
			t.Errorf("the blue half became %v", right)
		}
	}
}

func TestPhotoThatIsNoPicture(t *testing.T) {
	choose(t, newFile("notes.txt", "text/plain", []byte("not a picture")))
	got := collect(t, app.Pick{Photo: true})
	if len(got) != 1 {
		t.Fatalf("got %d files", len(got))
	}
	wantCode(t, got[0].Err, "files.picture")
}

func TestFit(t *testing.T) {
	tests := []struct{ w, h, wantW, wantH int }{
		{1280, 1280, 1280, 1280}, {1281, 1280, 1280, 1279}, {4032, 3024, 1280, 960}, {100000, 10, 1280, 1}, {1, 5000, 1, 1280},
	}
	for _, tt := range tests {
		if w, h := fit(tt.w, tt.h); w != tt.wantW || h != tt.wantH {
			t.Errorf("%d×%d fits as %d×%d, want %d×%d", tt.w, tt.h, w, h, tt.wantW, tt.wantH)
		}
	}
}

// sheet gives the browser a share sheet with the outcome, a JavaScript
// expression for a promise, which takes files only if takes is true.
func sheet(t *testing.T, outcome string, takes bool) {
	set(t, "offered", js.Null())
	bordertest.Replace(t, navigator(), "share", bordertest.Function("what", "offered = what; return "+outcome))
	bordertest.Replace(t, navigator(), "canShare", bordertest.Function("", "return "+map[bool]string{true: "true", false: "false"}[takes]))
}

// links catches what is downloaded.
func links(t *testing.T) {
	set(t, "downloads", js.Global().Get("Array").New())
	bordertest.Patch(t, "HTMLAnchorElement", "click", `return function() { downloads.push({ name: this.download, href: this.href }) }`)
}

const (
	accepted = `Promise.resolve()`
	closed   = `Promise.reject(new DOMException("closed", "AbortError"))`
	refused  = `Promise.reject(new DOMException("no tap", "NotAllowedError"))`
)

func TestOffer(t *testing.T) {
	tests := []struct {
		name    string
		outcome string // of the sheet, "" for a browser without one
		takes   bool
		save    bool
		want    string
	}{
		{"shared", accepted, true, false, Shared},
		{"closed", closed, true, false, Dropped},
		{"refused", refused, true, false, Saved},
		{"throws", `(() => { throw new TypeError("no") })()`, true, false, Saved},
		{"not such files", accepted, false, false, Saved},
		{"to be saved", accepted, true, true, Saved},
		{"no sheet", "", false, false, Saved},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			links(t)
			if tt.outcome != "" {
				sheet(t, tt.outcome, tt.takes)
			} else {
				bordertest.Without(t, navigator(), "share")
			}
			offer := app.Offer{Name: "results.txt", Type: "text/plain", Bytes: []byte("7 points"), Save: tt.save}
			bordertest.Soon(t, "Offer", func() {
				if how, err := Offer(offer); how != tt.want || err != nil {
					t.Errorf("got %q, %v, want %q", how, err, tt.want)
				}
			})
			downloads := js.Global().Get("downloads")
			if saved := downloads.Length() == 1; saved != (tt.want == Saved) {
				t.Fatalf("%d files were saved", downloads.Length())
			}
			if tt.want == Saved {
				wantDownload(t, downloads.Index(0), "results.txt", "7 points")
			}
			if tt.want == Shared {
				file := js.Global().Get("offered").Get("files").Index(0)
				if file.Get("name").String() != "results.txt" || file.Get("type").String() != "text/plain" || text(t, file) != "7 points" {
					t.Errorf("shared %s of type %s", file.Get("name"), file.Get("type"))
				}
			}
			if left := document().Call("querySelectorAll", "a").Length(); left != 0 {
				t.Errorf("%d links are left on the page", left)
			}
		})
	}
}

func wantDownload(t *testing.T, link js.Value, name, content string) {
	t.Helper()
	response, err := border.Call(js.Global(), "fetch", link.Get("href").String())
	if err != nil {
		t.Fatal(err)
	}
	if link.Get("name").String() != name || text(t, response) != content {
		t.Errorf("saved %s", link.Get("name"))
	}
}

// text reads a File or a Response.
func text(t *testing.T, body js.Value) string {
	t.Helper()
	s, err := border.Call(body, "text")
	if err != nil {
		t.Fatal(err)
	}
	return s.String()
}

func TestOfferThatCannotBeSaved(t *testing.T) {
	bordertest.Without(t, navigator(), "share")
	bordertest.Replace(t, js.Global().Get("URL"), "createObjectURL", bordertest.Function("", `throw new Error("no room")`))
	_, err := Offer(app.Offer{Name: "results.txt"})
	wantCode(t, err, "files.save")
}

func TestShareText(t *testing.T) {
	const (
		works  = `clipboardText = text; return Promise.resolve()`
		fails  = `return Promise.reject(new DOMException("no", "NotAllowedError"))`
		byHand = `return function() { clipboardText = document.activeElement.value; return true }`
		never  = `return () => false`
	)
	tests := []struct {
		name, outcome, clipboard, command string
		copy                              bool
		want, copied                      string
	}{
		{"shared", accepted, works, never, false, Shared, ""},
		{"closed", closed, works, never, false, Dropped, ""},
		{"refused", refused, works, never, false, Copied, "hens"},
		{"to be copied", accepted, works, never, true, Copied, "hens"},
		{"no sheet", "", works, never, false, Copied, "hens"},
		{"clipboard refuses", "", fails, byHand, false, Copied, "hens"},
		{"no clipboard", "", "", byHand, true, Copied, "hens"},
		{"nothing works", "", fails, never, true, "", ""},
		{"nothing is there", "", "", `return () => { throw new Error("gone") }`, true, "", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			set(t, "clipboardText", "")
			if tt.outcome != "" {
				sheet(t, tt.outcome, true)
			} else {
				bordertest.Without(t, navigator(), "share")
			}
			if tt.clipboard != "" {
				bordertest.Replace(t, navigator(), "clipboard", map[string]any{"writeText": bordertest.Function("text", tt.clipboard)})
			} else {
				bordertest.Without(t, navigator(), "clipboard")
			}
			bordertest.Patch(t, "Document", "execCommand", tt.command)
			bordertest.Soon(t, "ShareText", func() {
				how, err := ShareText(app.ShareText{Title: "Class 1", Text: "hens", Copy: tt.copy})
				if how != tt.want {
					t.Errorf("got %q, %v, want %q", how, err, tt.want)
				}
				if how == "" {
					wantCode(t, err, "files.copy")
				} else if err != nil {
					t.Error(err)
				}
			})
			if got := js.Global().Get("clipboardText").String(); got != tt.copied {
				t.Errorf("copied %q, want %q", got, tt.copied)
			}
			if tt.want == Shared {
				offered := js.Global().Get("offered")
				if offered.Get("title").String() != "Class 1" || offered.Get("text").String() != "hens" {
					t.Errorf("shared %s", js.Global().Get("JSON").Call("stringify", offered))
				}
			}
		})
	}
}

func TestCopyingLeavesTheKeyboardWhereItWas(t *testing.T) {
	button := document().Call("createElement", "button")
	document().Get("body").Call("append", button)
	t.Cleanup(func() { button.Call("remove") })
	button.Call("focus")
	bordertest.Patch(t, "Document", "execCommand", `return () => true`)
	if !copySelected("hens") {
		t.Error("not copied")
	}
	if !document().Get("activeElement").Equal(button) {
		t.Error("the keyboard is elsewhere")
	}
	if left := document().Call("querySelectorAll", "textarea[readonly]").Length(); left != 0 {
		t.Error("the text is left on the page")
	}
}

func TestPrint(t *testing.T) {
	set(t, "printed", 0)
	bordertest.Replace(t, js.Global(), "print", bordertest.Function("", "printed++"))
	Print()
	if got := js.Global().Get("printed").Int(); got != 1 {
		t.Errorf("printed %d times", got)
	}
	bordertest.Without(t, js.Global(), "print")
	Print() // does not panic
}

func TestSpeak(t *testing.T) {
	set(t, "said", js.Global().Get("Array").New())
	bordertest.Replace(t, js.Global(), "speechSynthesis", map[string]any{
		"cancel": bordertest.Function("", `said.push("cancel")`),
		"speak":  bordertest.Function("u", `said.push(u.lang + ":" + u.text)`),
	})
	bordertest.Replace(t, document().Get("documentElement"), "lang", "en-US")
	Speak("item 3, grade B")
	if got := js.Global().Get("said").Call("join", ",").String(); got != "cancel,en-US:item 3, grade B" {
		t.Errorf("said %q", got)
	}
	bordertest.Without(t, js.Global(), "speechSynthesis")
	Speak("nothing") // does not panic
}

func TestURL(t *testing.T) {
	url := URL("image/jpeg", []byte("data"))
	if !strings.HasPrefix(url, "blob:") {
		t.Fatalf("got %q", url)
	}
	response, err := border.Call(js.Global(), "fetch", url)
	if err != nil {
		t.Fatal(err)
	}
	kind := response.Get("headers").Call("get", "content-type").String()
	if got := text(t, response); got != "data" || kind != "image/jpeg" {
		t.Errorf("got %q of type %q", got, kind)
	}
	Revoke(url)
	if _, err := border.Call(js.Global(), "fetch", url); err == nil {
		t.Error("the data is still there")
	}
}
