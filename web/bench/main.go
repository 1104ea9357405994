// Command bench measures what the product has budgets for and prints one
// table. It runs the benchmarks of the packages, needs the Go toolchain and, for
// what is measured as the phone runs it, node.
//
//	go run ./web/bench           needs the npm packages beside it: make bench
//	go run ./web/bench -beside   only the same contest kept in other ways
//
// A budget in bytes is exact. One in milliseconds holds for a quiet machine:
// the best of several runs counts, and only what takes three times as long
// fails. How much faster something is than another way of doing the same is
// measured in one run, in turn, so that a busy machine slows both.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"text/tabwriter"
)

func main() {
	beside := flag.Bool("beside", false, "only keep the same contest in other ways")
	flag.Parse()
	if err := run(os.Stdout, *beside); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

func run(out io.Writer, besideOnly bool) error {
	all := results{}
	var over error
	if !besideOnly {
		over = all.budgets(out)
	}
	if err := all.besideOthers(); err != nil {
		return errors.Join(over, err)
	}
	return errors.Join(over, compare(out, all))
}

// budgets measures what has one, and fails past one.
func (r results) budgets(out io.Writer) error {
	for _, s := range suites {
		if err := r.measure(s, ""); err != nil {
			return err
		}
	}
	if err := r.download(); err != nil {
		return err
	}
	return table(out, budgets, r)
}

// measure runs a suite and keeps what it prints, under is put before it.
func (r results) measure(s suite, under string) error {
	text, err := s.run()
	if err != nil {
		return fmt.Errorf("%s: %w\n%s", s.pkg, err, text)
	}
	r.read(text, s.as()+under)
	return nil
}

// suite is one run of the benchmarks of a package. Many short runs find a
// moment in which nothing else ran; node needs dozens before it compiles in
// earnest, too.
type suite struct {
	pkg, bench string
	times      int // operations in a run
	count      int // runs
	wasm       bool
	args       []string // for the package
}

var suites = []suite{
	{pkg: "./engine/score", bench: "^BenchmarkCompute$/^persons=20000$", times: 1, count: 60},
	{pkg: "./engine/score", bench: "^BenchmarkBeside$/^persons=20000$", times: 3, count: 1},
	{pkg: "./engine/score", bench: "^BenchmarkCompute$/^persons=20000$", times: 2, count: 60, wasm: true},
	{pkg: "./engine/merge", bench: "^BenchmarkMerge$", times: 1, count: 40},
	{pkg: "./engine/codec", bench: "^BenchmarkEncode", times: 3, count: 1},
	{pkg: "./engine/grading", bench: "^BenchmarkGrade$/^prepared$", times: 200, count: 5},
	{pkg: "./web/view", bench: "^Benchmark(Card|Tap|Page)$", times: 30, count: 4},
}

// as is put before the names of benchmarks that run as the phone runs them.
func (s suite) as() string {
	if s.wasm {
		return "wasm/"
	}
	return ""
}

func (s suite) run() (string, error) {
	args := []string{"test", "-run", "^$", "-bench", s.bench, "-benchmem",
		"-benchtime", strconv.Itoa(s.times) + "x", "-count", strconv.Itoa(s.count)}
	env := os.Environ()
	if s.wasm {
		root, err := exec.Command("go", "env", "GOROOT").Output()
		if err != nil {
			return "", err
		}
		args = append(args, "-exec", filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "go_js_wasm_exec"))
		env = append(env, "GOOS=js", "GOARCH=wasm")
	}
	args = append(args, s.pkg, "-args")
	cmd := exec.Command("go", append(args, s.args...)...)
	cmd.Env = env
	text, err := cmd.CombinedOutput()
	return string(text), err
}

// results holds every value that was measured, by benchmark and unit.
type results map[string]map[string][]float64

// read takes in what go test prints: a name with the number of processors, how
// often it ran, then values each with its unit.
func (r results) read(text, as string) {
	for line := range strings.Lines(text) {
		f := strings.Fields(line)
		if len(f) < 4 || !strings.HasPrefix(f[0], "Benchmark") {
			continue
		}
		name := strings.TrimPrefix(f[0], "Benchmark")
		if cut := strings.LastIndexByte(name, '-'); cut > 0 {
			if _, err := strconv.Atoi(name[cut+1:]); err == nil {
				name = name[:cut]
			}
		}
		for i := 2; i+1 < len(f); i += 2 {
			if v, err := strconv.ParseFloat(f[i], 64); err == nil {
				r.add(as+name, f[i+1], v)
			}
		}
	}
}

func (r results) add(name, unit string, v float64) {
	if r[name] == nil {
		r[name] = map[string][]float64{}
	}
	r[name][unit] = append(r[name][unit], v)
}

// release is where `make release` puts the site.
const release = ".build/release"

// download adds what a first visit to the release downloads, if one was built.
func (r results) download() error {
	if _, err := os.Stat(release); errors.Is(err, os.ErrNotExist) {
		return nil
	}
	// An error of serve means that the budget is passed, which the table shows.
	text, err := exec.Command("go", "run", "./web/serve", "-dir", release, "-size").Output()
	for line := range strings.Lines(string(text)) {
		if sizes, ok := strings.CutSuffix(strings.TrimSpace(line), "first download"); ok {
			f := strings.Fields(sizes)
			brotli, err := strconv.ParseFloat(f[len(f)-1], 64)
			if err != nil {
				return err
			}
			r.add("Download", "bytes", brotli)
			return nil
		}
	}
	return fmt.Errorf("the size of %s cannot be read: %w", release, err)
}

// table prints a line for each budget and fails when one is passed.
func table(out io.Writer, budgets []budget, all results) error {
	t := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "what\tmeasured\tbudget\tmargin\tbeside it, in the same run\t")
	over := 0
	for _, b := range budgets {
		v, ok := b.measured(all)
		if !ok && b.optional {
			fmt.Fprintf(t, "%s\t-\t%s\t%s\t\tnot built\n", b.what, b.write(b.most), b.margin())
			continue
		}
		if !ok {
			return fmt.Errorf("%s was not measured", b.bench)
		}
		verdict := b.judge(v)
		if verdict == verdictOver {
			over++
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\n", b.what, b.write(v), b.write(b.most), b.margin(), b.others(all), verdict)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	if over > 0 {
		return fmt.Errorf("%d over budget", over)
	}
	return nil
}
