package enginetest

import (
	"errors"

	"keelcard/engine"
)

// Untold says what an error keeps from the person who is told of it: its code,
// what is wrong, or the fix; "" when all three are there. Of faults it looks at each.
func Untold(err error) string {
	var all engine.Faults
	if errors.As(err, &all) {
		for _, e := range all {
			if lack := untold(e); lack != "" {
				return lack + ": " + e.Error()
			}
		}
		return ""
	}
	var e *engine.Error
	if !errors.As(err, &e) {
		return "it is no engine.Error: " + err.Error()
	}
	if lack := untold(e); lack != "" {
		return lack + ": " + e.Error()
	}
	return ""
}

func untold(e *engine.Error) string {
	switch {
	case e.Code == "":
		return "it has no code"
	case e.What == "":
		return "it does not say what is wrong"
	case e.Fix == "":
		return "it does not say what to do"
	}
	return ""
}
