package main

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"text/tabwriter"
)

// firstDownload is the most a first visit may cost, in bytes of brotli: half a
// minute on a slow country line.
const firstDownload = 1_200_000

// secondPart is the most that the second part of the program may cost.
const secondPart = 650_000

// codeReader is the most that the reading of picture codes may cost. Nobody waits
// for it but whoever opens the camera on the very first visit.
const codeReader = 520_000

// printSize lists what a first visit downloads, and apart what comes later, and
// fails above the budget.
func printSize(w io.Writer, s *site) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "raw\tgzip\tbrotli\t\tfile")
	var sum [3]int
	list := func(first bool) {
		for _, path := range slices.Sorted(maps.Keys(s.files)) {
			if (path != secondFile && !later(path) && (path == "sw.js" || !needless(path))) != first {
				continue
			}
			f := s.files[path]
			gz, _ := f.form("gzip")
			br, _ := f.form("br")
			fmt.Fprintf(t, "%d\t%d\t%d\t\t%s\n", len(f.body), len(gz), len(br), path)
			if first {
				sum[0], sum[1], sum[2] = sum[0]+len(f.body), sum[1]+len(gz), sum[2]+len(br)
			}
		}
	}
	list(true)
	fmt.Fprintf(t, "%d\t%d\t%d\t\tfirst download\n", sum[0], sum[1], sum[2])
	fmt.Fprintf(t, "\t\t%d\t\tthe most allowed\n", firstDownload)
	list(false)
	rest, codes := 0, 0
	if f := s.files[secondFile]; f != nil {
		br, _ := f.form("br")
		rest = len(br)
		fmt.Fprintf(t, "\t\t%d\t\tsecond part, when the first page is drawn\n\t\t%d\t\tthe most allowed\n", rest, secondPart)
	}
	for path, f := range s.files {
		if br, _ := f.form("br"); later(path) {
			codes += len(br)
		}
	}
	fmt.Fprintf(t, "\t\t%d\t\treading picture codes, when nobody waits\n\t\t%d\t\tthe most allowed\n", codes, codeReader)
	if err := t.Flush(); err != nil {
		return err
	}
	return errors.Join(within("a first download", sum[2], firstDownload), within("the second part", rest, secondPart), within("the reading of picture codes", codes, codeReader))
}

// within fails if a size is above its budget.
func within(what string, size, budget int) error {
	if over := size - budget; over > 0 {
		return fmt.Errorf("%s is %d bytes, %d above the budget of %d", what, size, over, budget)
	}
	return nil
}
