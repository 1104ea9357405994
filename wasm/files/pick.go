//go:build js && wasm

package files

import (
	"errors"
	"fmt"
	"path"
	"strings"
	"syscall/js"

	"keelcard/wasm/border"
	"keelcard/web/app"
)

const (
	// MaxBytes is the largest file that is read.
	MaxBytes = 32 << 20
	// MaxEdge is the longer edge of a photo, in pixels. Enough to see a torn
	// skin, and about 200 kB.
	MaxEdge = 1280
	// quality of a photo's JPEG, 0 to 1.
	quality = 0.8
)

// File is one picked file, or why it could not be had.
type File struct {
	Name  string
	Bytes []byte
	Among bool // it came with others
	// Err has the code files.too-large, files.unreadable or files.picture.
	Err error
}

// endPick ends the pick that is under way, if there is one. Some browsers do not
// tell when the dialog was closed without a choice.
var endPick = func() {}

// Pick opens the file dialog, or the camera when p.Photo is set, and returns at
// once. The files come through the channel, which is closed after the last; or
// without any, when the person closes the dialog or a next Pick begins.
func Pick(p app.Pick) <-chan File {
	endPick()
	picked := make(chan js.Value, 1) // an array of File objects
	end := newInput(p, picked)
	endPick = end
	files := make(chan File)
	go func() {
		defer close(files)
		for list := range picked {
			for i := range list.Length() {
				f := read(list.Index(i), p.Photo)
				f.Among = list.Length() > 1
				files <- f
			}
		}
	}()
	return files
}

// newInput puts a file input on the page and clicks it. What is chosen goes to
// picked, which is closed by the choice or by end.
func newInput(p app.Pick, picked chan<- js.Value) (end func()) {
	input := document().Call("createElement", "input")
	input.Set("type", "file")
	input.Set("hidden", true)
	input.Set("multiple", p.Multiple)
	if accept := acceptOf(p); accept != "" {
		input.Set("accept", accept)
	}
	if p.Photo {
		input.Call("setAttribute", "capture", "environment")
	}
	var stop func()
	ended := false
	end = func() {
		if ended {
			return
		}
		ended = true
		stop()
		input.Call("remove")
		close(picked)
	}
	stop = border.Listen(input, func(error) { end() },
		border.Handler{Event: "change", Run: func(js.Value) {
			picked <- js.Global().Get("Array").Call("from", input.Get("files"))
			end()
		}},
		border.Handler{Event: "cancel", Run: func(js.Value) { end() }},
	)
	document().Get("body").Call("append", input) // older Safari wants it on the page
	input.Call("click")
	return end
}

// acceptOf gives the types that the dialog is narrowed to. An ending such as
// ".keelcard" would make iOS grey the very files out that are wanted, so a list
// that has one narrows nothing.
func acceptOf(p app.Pick) string {
	if p.Photo {
		return "image/*"
	}
	for kind := range strings.SplitSeq(p.Accept, ",") {
		if strings.HasPrefix(strings.TrimSpace(kind), ".") {
			return ""
		}
	}
	return p.Accept
}

func read(file js.Value, photo bool) File {
	f := File{Name: file.Get("name").String()}
	if size := file.Get("size").Float(); size > MaxBytes {
		f.Err = tooLarge(f.Name, size)
		return f
	}
	if photo {
		small, err := shrink(file)
		if err != nil {
			f.Err = fault("files.picture", f.Name, "this is not a picture that the browser can show; nothing was changed",
				"take the photo with the phone's camera, or choose a JPEG or PNG", err)
			return f
		}
		file = small
		f.Name = strings.TrimSuffix(f.Name, path.Ext(f.Name)) + ".jpg"
	}
	buffer, err := border.Call(file, "arrayBuffer")
	if err != nil {
		f.Err = unreadable(f.Name, err)
		return f
	}
	f.Bytes = border.GoBytes(js.Global().Get("Uint8Array").New(buffer))
	return f
}

// Came is a file that came to the app, of so many bytes. Those of one that is too
// large were not read; a size below 0 says that the browser could not read it.
func Came(name string, size float64, data []byte, among bool) File {
	f := File{Name: name, Among: among}
	switch {
	case size > MaxBytes:
		f.Err = tooLarge(name, size)
	case size < 0:
		f.Err = unreadable(name, nil)
	default:
		f.Bytes = data
	}
	return f
}

func tooLarge(name string, size float64) error {
	return fault("files.too-large", name, fmt.Sprintf("the file has %.0f MB, more than the %d MB that are read; nothing was changed",
		size/(1<<20), MaxBytes>>20), "choose the file that the app itself made, or a smaller picture", nil)
}

func unreadable(name string, err error) error {
	return fault("files.unreadable", name, "the browser could not read the file; nothing was changed",
		"copy the file onto the phone itself and choose it again", err)
}

// shrink draws a picture anew as a JPEG with no edge longer than MaxEdge. What a
// camera writes beside the picture, such as the place, is left behind.
func shrink(file js.Value) (js.Value, error) {
	bitmap, err := border.Call(js.Global(), "createImageBitmap", file)
	if err != nil {
		return js.Undefined(), err
	}
	defer bitmap.Call("close")
	width, height := fit(bitmap.Get("width").Int(), bitmap.Get("height").Int())
	drawn := make(chan js.Value, 1)
	done := js.FuncOf(func(_ js.Value, args []js.Value) any {
		drawn <- args[0]
		return nil
	})
	defer done.Release()
	err = border.Try(func() {
		canvas := document().Call("createElement", "canvas")
		canvas.Set("width", width)
		canvas.Set("height", height)
		pen := canvas.Call("getContext", "2d")
		pen.Set("imageSmoothingQuality", "high")
		pen.Set("fillStyle", "white") // where the picture is transparent
		pen.Call("fillRect", 0, 0, width, height)
		pen.Call("drawImage", bitmap, 0, 0, width, height)
		canvas.Call("toBlob", done, "image/jpeg", quality)
	})
	if err != nil {
		return js.Undefined(), err
	}
	blob := <-drawn
	if blob.IsNull() {
		return js.Undefined(), errors.New("the picture could not be written")
	}
	return blob, nil
}

// fit gives the size of a picture whose longer edge is at most MaxEdge.
func fit(width, height int) (w, h int) {
	longer := max(width, height)
	if longer <= MaxEdge {
		return width, height
	}
	scale := func(edge int) int { return max(1, (edge*MaxEdge+longer/2)/longer) }
	return scale(width), scale(height)
}
