package codec_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"keelcard/engine/codec"
	"keelcard/engine/merge"
	"keelcard/engine/record"
)

// Both are for web/bench, which keeps the same days in other ways.
var (
	dayFolder  = flag.String("days", "", "a folder for the keyings and the file of each day that BenchmarkTakeIn takes in")
	bundleFile = flag.String("bundle", "", "the file that BenchmarkHold opens")
)

// BenchmarkTakeIn takes in what eight phones hand over at the end of a day:
// from the files, their signatures checked, or merged alone once they are. It
// lists the cards in question, too.
func BenchmarkTakeIn(b *testing.B) {
	for i, tc := range budgetDays[:2] {
		set := tc.day.write(b)
		whole := encode(b, set)
		if *dayFolder != "" {
			keepDay(b, fmt.Sprintf("%d.tsv", i), []byte(keyings(set)))
			keepDay(b, fmt.Sprintf("%d.keelcard", i), whole)
		}
		var files [][]byte
		for k := range set.Logs {
			files = append(files, encode(b, record.Set{Contest: contest, Logs: set.Logs[k : k+1]}))
		}
		b.Run(fmt.Sprintf("%d/files", i), func(b *testing.B) {
			for b.Loop() {
				takeIn(b, opened(b, files))
			}
			b.ReportMetric(float64(len(whole))/float64(tc.day.cards), "bytes/card")
		})
		b.Run(fmt.Sprintf("%d/merge", i), func(b *testing.B) {
			parts := opened(b, files)
			for b.Loop() {
				takeIn(b, parts)
			}
		})
	}
}

// BenchmarkHold opens the file of a day once, in a process that did nothing
// else: what is held of it after a collection, and by how much the memory of
// the process grew on the way.
func BenchmarkHold(b *testing.B) {
	file, err := os.ReadFile(*bundleFile)
	if err != nil {
		b.Skip("-bundle names no file:", err)
	}
	var before, opening, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	state := takeIn(b, opened(b, [][]byte{file}))
	runtime.ReadMemStats(&opening)
	runtime.GC()
	runtime.ReadMemStats(&after)
	runtime.KeepAlive(state)
	for b.Loop() {
	}
	b.ReportMetric(float64(after.HeapAlloc)-float64(before.HeapAlloc), "held-bytes")
	b.ReportMetric(float64(opening.Sys)-float64(before.Sys), "grown-bytes")
}

func keepDay(tb testing.TB, name string, data []byte) {
	if err := os.WriteFile(filepath.Join(*dayFolder, name), data, 0o666); err != nil {
		tb.Fatal(err)
	}
}

func opened(tb testing.TB, files [][]byte) []record.Set {
	sets := make([]record.Set, len(files))
	for i, file := range files {
		var err error
		if sets[i], err = codec.DecodeBundle(file); err != nil {
			tb.Fatal(err)
		}
	}
	return sets
}

func takeIn(tb testing.TB, parts []record.Set) *merge.State {
	all := record.Set{Contest: contest}
	for _, part := range parts {
		var err error
		if all, _, err = merge.Join(all, part); err != nil {
			tb.Fatal(err)
		}
	}
	state := merge.Fold(all)
	if len(state.Questions()) == 0 {
		tb.Fatal("no card is in question")
	}
	return state
}

// keyings lists every keying of every phone in the order of its log, a line
// each: phone, class, contestant, answers, who, seconds.
func keyings(set record.Set) string {
	var lines strings.Builder
	for phone := range set.Logs {
		for _, r := range set.Logs[phone].Records {
			answers := []byte(r.Value)
			for i := range answers {
				answers[i] += '0'
			}
			fmt.Fprintf(&lines, "%d\t%d\t%d\t%s\t%s\t%d\n", phone, r.Subject.A, r.Subject.B, answers, r.Who, r.Stamp.Wall)
		}
	}
	return lines.String()
}
