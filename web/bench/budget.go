package main

import (
	"fmt"
	"slices"
	"strings"
)

// budget is the most that something may take.
type budget struct {
	what     string
	bench    string // name of the benchmark; ending in "/", all below it
	unit     string // as the benchmark reports it; nanoseconds have a margin, bytes have none
	most     float64
	beside   []other
	optional bool // measured only where it is there
}

// other is another way of doing the same: a benchmark reports how many times
// longer it takes.
type other struct{ name, bench, unit string }

const (
	nanoseconds = "ns/op"
	ms          = 1e6 // in nanoseconds

	noise = 3 // how many times longer a busy machine may take
)

// tap is what a tap may take on this machine, to be painted within 50 ms on a
// phone: four times slower than this, and as WebAssembly about four times again.
const tap = 3 * ms

var besideScoring = []other{
	{"plain Go", "Beside/persons=20000", "x-plain"},
	{"SQLite", "Beside/persons=20000", "x-sqlite"},
}

var budgets = []budget{
	{what: "score 20,000 × 10", bench: "Compute/persons=20000", unit: nanoseconds, most: 5 * ms, beside: besideScoring},
	{what: "score 20,000 × 10, in wasm", bench: "wasm/Compute/persons=20000", unit: nanoseconds, most: 10 * ms},
	{what: "merge 8 phones, 4,000 cards", bench: "Merge", unit: nanoseconds, most: 3 * ms},
	{what: "grade a carcass, each choice retried", bench: "Grade/prepared", unit: nanoseconds, most: 1 * ms},
	{what: "key a card of ten taps, of 2,000", bench: "Card", unit: nanoseconds, most: 1 * ms},
	{what: "tap while keying, and redraw", bench: "Tap", unit: nanoseconds, most: tap},
	{what: "redraw the overview", bench: "Page/contest", unit: nanoseconds, most: tap},
	{what: "redraw the key", bench: "Page/key", unit: nanoseconds, most: tap},
	{what: "redraw the card", bench: "Page/keying", unit: nanoseconds, most: tap},
	{what: "redraw the questions", bench: "Page/questions", unit: nanoseconds, most: tap},
	{what: "redraw the contestants", bench: "Page/people", unit: nanoseconds, most: tap},
	{what: "redraw a call", bench: "Page/call", unit: nanoseconds, most: tap},
	{what: "redraw the results, all 2,000", bench: "Page/results", unit: nanoseconds, most: 10 * tap},
	{what: "export, a card", bench: "EncodeBundle/", unit: "bytes/card", most: 6},
	{what: "results of 40 × 10, worst of 50", bench: "EncodeResults", unit: "bytes", most: 260},
	{what: "first download, as built last", bench: "Download", unit: "bytes", most: 1_200_000, optional: true},
}

// measured is the best of the times, and the worst of the sizes.
func (b budget) measured(all results) (float64, bool) {
	var values []float64
	for name, units := range all {
		if name == b.bench || strings.HasSuffix(b.bench, "/") && strings.HasPrefix(name, b.bench) {
			values = append(values, units[b.unit]...)
		}
	}
	switch {
	case len(values) == 0:
		return 0, false
	case b.unit == nanoseconds:
		return slices.Min(values), true
	}
	return slices.Max(values), true
}

const (
	verdictOK    = "ok"
	verdictNoisy = "above, within the margin"
	verdictOver  = "OVER"
)

func (b budget) judge(v float64) string {
	switch {
	case v <= b.most:
		return verdictOK
	case b.unit == nanoseconds && v <= noise*b.most:
		return verdictNoisy
	}
	return verdictOver
}

func (b budget) margin() string {
	if b.unit == nanoseconds {
		return fmt.Sprintf("× %d", noise)
	}
	return "exact"
}

// write writes a value with its unit.
func (b budget) write(v float64) string {
	switch b.unit {
	case nanoseconds:
		return fmt.Sprintf("%.2f ms", v/ms)
	case "bytes":
		return fmt.Sprintf("%.0f bytes", v)
	}
	return fmt.Sprintf("%.2f bytes", v)
}

// others says how many times longer other ways take.
func (b budget) others(all results) string {
	var texts []string
	for _, o := range b.beside {
		if v := all[o.bench][o.unit]; len(v) > 0 {
			texts = append(texts, fmt.Sprintf("%s %.1f × as long", o.name, v[0]))
		}
	}
	return strings.Join(texts, ", ")
}
