package main

import (
	"bytes"
	"strings"
	"testing"
)

const printed = `goos: linux
BenchmarkFast-2   	      10	   4000000 ns/op	  2246743 B/op	      92 allocs/op
BenchmarkFast-2   	      10	   5000000 ns/op	  2246743 B/op	      92 allocs/op
BenchmarkPack/piles_nearly-2         	       3	  15353678 ns/op	         2.683 bytes/card
BenchmarkPack/no_order         	       3	  10173397 ns/op	         6.086 bytes/card
BenchmarkTurn-2 	 3	 12.5 x-slow
PASS
`

// The best time and the worst size count; a size has no margin, a time has.
func TestTable(t *testing.T) {
	all := results{}
	all.read(printed, "")
	fast := func(most float64) budget {
		return budget{what: "fast", bench: "Fast", unit: nanoseconds, most: most, beside: []other{{"slow", "Turn", "x-slow"}}}
	}
	pack := func(most float64) budget {
		return budget{what: "pack", bench: "Pack/", unit: "bytes/card", most: most}
	}
	for _, tc := range []struct {
		b    budget
		want string
		over bool
	}{
		{fast(5 * ms), "fast 4.00 ms 5.00 ms × 3 slow 12.5 × as long ok", false},
		{fast(2 * ms), "fast 4.00 ms 2.00 ms × 3 slow 12.5 × as long above, within the margin", false},
		{fast(1 * ms), "fast 4.00 ms 1.00 ms × 3 slow 12.5 × as long OVER", true},
		{pack(6.086), "pack 6.09 bytes 6.09 bytes exact ok", false},
		{pack(6), "pack 6.09 bytes 6.00 bytes exact OVER", true},
		{budget{what: "there", bench: "None", unit: "bytes", most: 3, optional: true}, "there - 3 bytes exact not built", false},
	} {
		var out bytes.Buffer
		err := table(&out, []budget{tc.b}, all)
		lines := strings.Split(strings.TrimSpace(out.String()), "\n")
		if got := strings.Join(strings.Fields(lines[len(lines)-1]), " "); got != tc.want || (err != nil) != tc.over {
			t.Errorf("%q and %v, want %q", got, err, tc.want)
		}
	}
	if err := table(&bytes.Buffer{}, []budget{{bench: "None", unit: nanoseconds}}, all); err == nil {
		t.Error("a benchmark that did not run went unnoticed")
	}
}
