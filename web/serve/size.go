package main

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"text/tabwriter"
)

// firstDownload is the most a first visit may cost, in bytes of brotli: half a
// minute on a slow country line.
const firstDownload = 1_200_000

// printSize lists what a first visit downloads, and apart what comes later, and
// fails above the budget.
func printSize(w io.Writer, s *site) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "raw\tgzip\tbrotli\t\tfile")
	var sum [3]int
	list := func(first bool) {
		for _, path := range slices.Sorted(maps.Keys(s.files)) {
			if (path == "sw.js" || !needless(path)) != first {
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
	if err := t.Flush(); err != nil {
		return err
	}
	if over := sum[2] - firstDownload; over > 0 {
		return fmt.Errorf("a first download is %d bytes, %d above the budget of %d", sum[2], over, firstDownload)
	}
	return nil
}
