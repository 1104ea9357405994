// Command parts is a program that is split in two by a test: what moved.go
// holds goes to the second part, which arrives while this part already runs.
package main

import (
	"errors"
	"fmt"
	"os"
	"runtime"
	"syscall/js"
	"time"
)

// doers is how the first part gets at the second: by value.
var doers = map[string]func() string{
	"closures":    closures,
	"methods":     methods,
	"values":      values,
	"recovered":   recovered,
	"finds fault": faults,
	"goroutines":  goroutines,
	"selects":     selects,
	"garbage":     garbage,
	"deep":        deepStack,
	"switches":    switches,
	"generic":     generic,
	"memory":      copies,
	"exits":       exits,
	"floats":      floats,
}

var order = []string{"closures", "methods", "values", "recovered", "finds fault", "goroutines", "selects", "garbage", "deep", "switches", "generic", "memory", "exits", "floats"}

type shape interface {
	area() int
	name() string
}

var shapes = map[string]func() shape{"square": newSquare}

var errHere = errors.New("of the first part")

// throw panics in the first part, on behalf of the second.
func throw(what any) { panic(what) }

// guard runs f of the second part and catches what it throws.
func guard(f func()) (caught any) {
	defer func() { caught = recover() }()
	f()
	return nil
}

// twice calls back.
func twice(f func(int) int) int { return f(1) + f(2) }

type tree struct{ left, right *tree }

func grow(n int) *tree {
	if n == 0 {
		return nil
	}
	return &tree{grow(n - 1), grow(n - 1)}
}

func (t *tree) count() int {
	if t == nil {
		return 0
	}
	return 1 + t.left.count() + t.right.count()
}

func main() {
	if len(os.Args) > 1 && os.Args[1] == "early" {
		fmt.Println(doers["closures"]())
	}
	fmt.Println("begun")
	for !js.Global().Get("second").Truthy() {
		time.Sleep(time.Millisecond)
	}
	for _, name := range order {
		fmt.Println(name+":", doers[name]())
		runtime.GC()
	}
	s := shapes["square"]()
	fmt.Println(s.name(), s.area())
	if len(os.Args) > 1 && os.Args[1] == "crash" {
		doers["crash"] = crash
		doers["crash"]()
	}
}
