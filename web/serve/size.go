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

// printSize lists what a first visit downloads and fails above the budget.
func printSize(w io.Writer, s *site) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "raw\tgzip\tbrotli\t\tfile")
	line := func(raw, gz, br int, name string) {
		fmt.Fprintf(t, "%d\t%d\t%d\t\t%s\n", raw, gz, br, name)
	}
	var raw, gz, br int
	for _, path := range slices.Sorted(maps.Keys(s.files)) {
		f := s.files[path]
		b, _ := f.form("br")
		g, _ := f.form("gzip")
		line(len(f.body), len(g), len(b), path)
		raw, gz, br = raw+len(f.body), gz+len(g), br+len(b)
	}
	line(raw, gz, br, "together")
	line(0, 0, firstDownload, "the most allowed")
	if err := t.Flush(); err != nil {
		return err
	}
	if br > firstDownload {
		return fmt.Errorf("a first download is %d bytes, %d above the budget of %d", br, br-firstDownload, firstDownload)
	}
	return nil
}
