//go:build js && wasm

// Command reader reads picture codes. It runs in a worker beside the app, where
// the browser has no reader of its own, and is fetched when a camera is first
// opened. See web/shell/reader.js.
package main

import (
	"syscall/js"

	"keelcard/web/reader"
)

// most is how many pixels a picture may have.
const most = 4 << 20

func main() {
	js.Global().Set("keelcardRead", js.FuncOf(func(_ js.Value, args []js.Value) any {
		n := args[0].Length()
		if n > most {
			return ""
		}
		grey := make([]byte, n)
		js.CopyBytesToGo(grey, args[0])
		return reader.Text(grey, args[1].Int(), args[2].Int())
	}))
	js.Global().Call("keelcardReady")
	select {}
}
