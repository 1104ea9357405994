package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"text/tabwriter"
)

// way is a way of keeping a contest: ours, or what others.js does with a
// library.
type way struct {
	title         string
	library, name string // "" for ours
	carries       string
}

var ways = []way{
	{title: "Keelcard", carries: "seconds, initials, what replaces what, every keying, the cards in question, a signature of each phone checked"},
	{"Automerge, a card a number", "automerge", "number", "seconds, initials, every keying, conflicts once each card is asked; hashes, no signature"},
	{"Automerge, a card a map", "automerge", "fields", "the same, by answer"},
	{"Yjs, a card a number", "yjs", "number", "answers alone: of two phones one wins unnoticed; no history, no time, no signature"},
	{"Yjs, a list of keyings", "yjs", "list", "seconds, initials, every keying; questions by code of one's own; no signature"},
}

// days are those of the engine's benchmark, by the name of their files.
var days = []string{"0", "1"}

// bench is the name under which what a way takes is among the results.
func (w way) bench(day, what string) string {
	if w.library == "" {
		return "wasm/TakeIn/" + day + "/" + what
	}
	return w.library + "-" + w.name + "/" + day + "/" + what
}

const folderOfOthers = "web/bench"

// besideOthers keeps the same contests in each way, ours and theirs in turn,
// all of them under node.
func (r results) besideOthers() error {
	if _, err := os.Stat(filepath.Join(folderOfOthers, "node_modules")); errors.Is(err, os.ErrNotExist) {
		return errors.New("the libraries beside which we measure are not installed; `make bench` does it")
	}
	folder, err := os.MkdirTemp("", "keelcard-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	takeIn := suite{pkg: "./engine/codec", bench: "^BenchmarkTakeIn$", times: 20, count: 1}
	takeIn.args = []string{"-days", folder}
	if err := r.measure(takeIn, ""); err != nil {
		return err
	}
	takeIn.args, takeIn.wasm = nil, true
	for _, day := range days {
		hold := suite{pkg: "./engine/codec", bench: "^BenchmarkHold$", times: 1, count: 1, wasm: true}
		hold.args = []string{"-bundle", filepath.Join(folder, day+".keelcard")}
		if err := r.measure(hold, "TakeIn/"+day+"/"); err != nil {
			return err
		}
	}
	for _, w := range ways[1:] {
		if err := r.measure(takeIn, ""); err != nil {
			return err
		}
		for _, day := range days {
			text, err := exec.Command("node", "--expose-gc", filepath.Join(folderOfOthers, "others.js"), w.library, w.name,
				filepath.Join(folder, day+".tsv"), w.library+"-"+w.name+"/"+day).CombinedOutput()
			if err != nil {
				return fmt.Errorf("%s: %w\n%s", w.title, err, text)
			}
			r.read(string(text), "")
		}
	}
	return r.measure(takeIn, "")
}

// column is one figure of a way; less is better.
type column struct {
	title     string
	day, what string
	unit      string
	write     string
	per       float64
}

var columns = []column{
	{"bytes a card, in piles", "0", "files", "bytes/card", "%.2f", 1},
	{"in no order", "1", "files", "bytes/card", "%.2f", 1},
	{"from 8 files, ms", "0", "files", nanoseconds, "%.1f", ms},
	{"merge alone, ms", "0", "merge", nanoseconds, "%.1f", ms},
	{"memory held, MB", "0", "Hold", "held-bytes", "%.1f", 1e6},
	{"grown by, MB", "0", "Hold", "grown-bytes", "%.1f", 1e6},
}

// of is the figure of a way, the best of several. What reads and merges in one
// has no merge of its own: all of it counts.
func (c column) of(all results, w way) (float64, error) {
	values := all[w.bench(c.day, c.what)][c.unit]
	if len(values) == 0 && c.what == "merge" && w.library != "" {
		values = all[w.bench(c.day, "files")][c.unit]
	}
	if len(values) == 0 {
		return 0, fmt.Errorf("%s of %s was not measured", c.title, w.title)
	}
	return slices.Min(values) / c.per, nil
}

// compare prints a line for each way, and how many times our figure each of
// its figures is. It fails nothing.
func compare(out io.Writer, all results) error {
	fmt.Fprintln(out, "\n8 phones, 4,000 cards of ten answers, under node; in brackets how many times ours")
	t := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprint(t, "way\t")
	for _, c := range columns {
		fmt.Fprint(t, c.title, "\t")
	}
	fmt.Fprintln(t)
	for _, w := range ways {
		fmt.Fprint(t, w.title, "\t")
		for _, c := range columns {
			ours, err := c.of(all, ways[0])
			if err != nil {
				return err
			}
			v, err := c.of(all, w)
			if err != nil {
				return err
			}
			fmt.Fprintf(t, c.write, v)
			if w.library != "" {
				fmt.Fprintf(t, " (%.*f)", digits(v/ours), v/ours)
			}
			fmt.Fprint(t, "\t")
		}
		fmt.Fprintln(t)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	for _, w := range ways {
		fmt.Fprintf(out, "%s carries %s.\n", w.title, w.carries)
	}
	fmt.Fprint(out, aboutOthers)
	return nil
}

// digits are those after the point that a ratio is worth.
func digits(ratio float64) int {
	if ratio < 10 {
		return 2
	}
	return 0
}

const aboutOthers = `Bytes of Yjs are deflated, as it packs nothing itself; the time for that is not counted. Yjs reads and merges in one.
From files, ours checks eight signatures and every hash; Yjs checks nothing. Merged alone, ours also lists what is in question.
Memory held is after a collection; of Automerge it counts the memory of its WebAssembly, which is never given back.
Memory grown by is before one, in a process that opened one file with everything; ours is Go's, not yet collected.
`
