package enginetest_test

import (
	"fmt"
	"io"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/enginetest"
)

func TestUntold(t *testing.T) {
	whole := engine.New("a.b", "line 2", "it is wrong", "mend it")
	for _, tc := range []struct {
		err  error
		want string
	}{
		{whole, ""},
		{fmt.Errorf("taking in: %w", whole), ""},
		{engine.Faults{whole, whole}, ""},
		{io.EOF, "it is no engine.Error"},
		{&engine.Error{What: "w", Fix: "f"}, "it has no code"},
		{&engine.Error{Code: "a.b", Fix: "f"}, "it does not say what is wrong"},
		{engine.Faults{whole, {Code: "a.b", What: "w"}}, "it does not say what to do"},
	} {
		got := enginetest.Untold(tc.err)
		if got == "" != (tc.want == "") || !strings.HasPrefix(got, tc.want) {
			t.Errorf("%#v: %q, want %q", tc.err, got, tc.want)
		}
	}
}
