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

// Every figure of another way comes with how many times ours it is, and what
// was not measured is no silent gap.
func TestCompare(t *testing.T) {
	all := results{}
	for i, w := range ways {
		for _, c := range columns {
			if c.what != "merge" || w.library != "yjs" {
				all.add(w.bench(c.day, c.what), c.unit, float64(i+1)*c.per)
				all.add(w.bench(c.day, c.what), c.unit, 100*c.per) // a slower run
			}
		}
	}
	var out bytes.Buffer
	if err := compare(&out, all); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(out.String(), "\n")
	for i, want := range map[int]string{
		3: "Keelcard 1.00 1.00 1.0 1.0 1.0 1.0",
		7: "Yjs, a list of keyings 5.00 (5.00) 5.00 (5.00) 5.0 (5.00) 5.0 (5.00) 5.0 (5.00) 5.0 (5.00)",
	} {
		if got := strings.Join(strings.Fields(lines[i]), " "); got != want {
			t.Errorf("line %d: %q, want %q", i, got, want)
		}
	}
	delete(all, ways[1].bench("0", "merge"))
	all[ways[1].bench("1", "files")] = nil
	if err := compare(&out, all); err == nil {
		t.Error("a way that was not measured went unnoticed")
	}
}
