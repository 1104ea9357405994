//go:build js && wasm

package store

import (
	"syscall/js"

	"keelcard/wasm/border"
)

// Persist asks the browser never to clear the data on its own. It says false,
// without an error, where the browser refuses or does not know the question.
func Persist() (granted bool, err error) { return askStorage("persist") }

// Persisted says whether the browser has promised that already.
func Persisted() (granted bool, err error) { return askStorage("persisted") }

func askStorage(method string) (bool, error) {
	storage := js.Global().Get("navigator").Get("storage")
	if !border.Has(storage, method) {
		return false, nil
	}
	answer, err := border.Call(storage, method)
	if err != nil {
		return false, unknown(err, "the browser did not say whether it keeps the data")
	}
	return answer.Truthy(), nil
}

// Estimate says how many bytes the app uses and may use, as far as the browser
// tells; both are 0 where it does not.
func Estimate() (used, quota int64, err error) {
	storage := js.Global().Get("navigator").Get("storage")
	if !border.Has(storage, "estimate") {
		return 0, 0, nil
	}
	answer, err := border.Call(storage, "estimate")
	if err != nil {
		return 0, 0, unknown(err, "the browser did not say how much room there is")
	}
	return number(answer, "usage"), number(answer, "quota"), nil
}

func number(object js.Value, name string) int64 {
	if v := object.Get(name); v.Type() == js.TypeNumber {
		return int64(v.Float())
	}
	return 0
}
