package engine_test

import (
	"errors"
	"fmt"
	"io"
	"testing"

	"keelcard/engine"
)

func TestErrorReadsAsOneLine(t *testing.T) {
	for _, tc := range []struct {
		err  *engine.Error
		want string
	}{
		{engine.New("a.b", "line 2", `"x" is no number`, "write digits"), `line 2: "x" is no number; write digits`},
		{engine.New("a.b", "", "the file is empty", ""), "the file is empty"},
	} {
		if got := tc.err.Error(); got != tc.want {
			t.Errorf("got %q, want %q", got, tc.want)
		}
	}
}

func TestCodeSurvivesWrapping(t *testing.T) {
	inner := &engine.Error{Code: "codec.short", What: "cut off", Cause: io.ErrUnexpectedEOF}
	err := fmt.Errorf("taking in a file: %w", inner)
	if got := engine.CodeOf(err); got != "codec.short" {
		t.Errorf("code %q", got)
	}
	if !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Error("the cause is lost")
	}
	if got := engine.CodeOf(io.EOF); got != "" {
		t.Errorf("a foreign error has code %q", got)
	}
}

func TestFaults(t *testing.T) {
	if engine.Faults(nil).Err() != nil {
		t.Error("no faults must be no error")
	}
	f := engine.Faults{engine.New("one", "a", "bad", ""), engine.New("two", "b", "worse", "")}
	if got := f.Err().Error(); got != "a: bad\nb: worse" {
		t.Errorf("got %q", got)
	}
	if got := engine.CodeOf(f.Err()); got != "one" {
		t.Errorf("code %q", got)
	}
}
