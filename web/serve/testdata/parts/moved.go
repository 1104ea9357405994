package main

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"sort"
	"strings"
	"sync"
	"time"
)

func closures() string {
	sum := 0
	add := func(n int) int { sum += n; return sum }
	inner := func() func() int { return func() int { return add(10) } }
	return fmt.Sprint(add(1), add(2), inner()(), twice(func(n int) int { return n * sum }))
}

type square struct{ side int }

func (s square) area() int     { return s.side * s.side }
func (s *square) stretch()     { s.side *= 2 }
func (s *square) name() string { return "square " + fmt.Sprint(s.side) }

// named has the methods of a square by way of wrappers.
type named struct {
	*square
	label string
}

func newSquare() shape { return &square{3} }

func methods() string {
	n := named{&square{2}, "n"}
	n.stretch()
	var s shape = n
	grow := n.stretch
	grow()
	area := square.area
	return fmt.Sprint(s.name(), s.area(), area(square{5}), n.label)
}

func values() string {
	parts := strings.Fields("keel wing back breast tail")
	sort.Slice(parts, func(i, j int) bool { return parts[i] < parts[j] })
	return strings.Join(parts, " ")
}

func recovered() (told string) {
	var done []string
	defer func() {
		told = fmt.Sprint(recover(), " after ", done)
	}()
	for i := range 3 {
		defer func() { done = append(done, fmt.Sprint(i)) }()
	}
	done = append(done, fmt.Sprint(guard(func() { throw("thrown there") })), fmt.Sprint(guard(func() { panic(errHere) })))
	done = append(done, fmt.Sprint(guard(func() {
		defer func() { throw(fmt.Sprint("again ", recover())) }()
		throw("once")
	})))
	throw("to the end")
	return "not reached"
}

func faults() string {
	var none *square
	var list []int
	index := guard(func() { _ = list[len(list)] })
	missing := guard(func() { none.stretch() })
	zero := guard(func() { _ = 1 / len(list) })
	err, _ := index.(error)
	return fmt.Sprint(errors.Unwrap(fmt.Errorf("%w", err)) == err, index, missing, zero)
}

func goroutines() string {
	const workers = 8
	in, out := make(chan int), make(chan int, 1)
	var all sync.WaitGroup
	for w := range workers {
		all.Add(1)
		go func() {
			defer all.Done()
			for n := range in {
				runtime.Gosched()
				if n%5 == 0 {
					time.Sleep(time.Millisecond)
				}
				out <- n*workers + w - w
			}
		}()
	}
	go func() {
		for n := range 40 {
			in <- n
		}
		close(in)
		all.Wait()
		close(out)
	}()
	sum := 0
	for n := range out {
		sum += n
	}
	return fmt.Sprint(sum)
}

func selects() string {
	a, b, stop := make(chan int), make(chan string), make(chan struct{})
	go func() {
		for i := range 3 {
			a <- i
			b <- strings.Repeat("x", i)
		}
		close(stop)
	}()
	got := ""
	for {
		select {
		case n := <-a:
			got += fmt.Sprint(n)
		case s := <-b:
			got += s + ","
		case <-stop:
			return got
		case <-time.After(time.Minute):
			return "late"
		}
	}
}

func garbage() string {
	kept := make([]*tree, 0, 4)
	total := 0
	for i := range 12 {
		t := grow(8)
		if i%3 == 0 {
			kept = append(kept, t)
		}
		runtime.GC()
		total += t.count()
	}
	for _, t := range kept {
		total += t.count()
	}
	return fmt.Sprint(total, hold(6, grow(7)))
}

// hold keeps a tree on the stack of each call while garbage is collected.
func hold(n int, t *tree) int {
	if n == 0 {
		runtime.GC()
		return t.count()
	}
	other := grow(n)
	below := hold(n-1, other)
	return below + other.count() + t.count()
}

func deepStack() string { return fmt.Sprint(deep(4000)) }

func deep(n int) int {
	var big [50]int
	if n == 0 {
		return 0
	}
	big[n%50] = n
	return deep(n-1) + big[n%50] - n + 1
}

func switches() string {
	var b strings.Builder
	for i := range 40 {
		switch i {
		case 0:
			b.WriteString("a")
		case 1, 2, 3:
			b.WriteString("b")
		case 4:
			b.WriteString("c")
		case 5:
			b.WriteString("d")
		case 6:
			b.WriteString("e")
		case 7:
			b.WriteString("f")
		case 8:
			b.WriteString("g")
		case 9:
			b.WriteString("h")
		case 10, 20, 30:
			b.WriteString("i")
			fallthrough
		case 11:
			b.WriteString("j")
		case 12:
			b.WriteString("k")
		case 13:
			b.WriteString("l")
		case 14:
			b.WriteString("m")
		case 15:
			b.WriteString("n")
		default:
			b.WriteByte('.')
		}
	}
	switch s := b.String(); s {
	case "one", "two", "three", "four", "five", "six", "seven", "eight", "nine":
		return "wrong"
	default:
		return s
	}
}

type number interface{ ~int | ~int64 | ~float64 }

func most[N number](all ...N) (most N) {
	for _, n := range all {
		most = max(most, n)
	}
	return most
}

func generic() string {
	return fmt.Sprint(most(1, 5, 3), most(1.5, 0.5), most[int64](7, 2))
}

func copies() string {
	big := make([]byte, 70000)
	for i := range big {
		big[i] = byte(i)
	}
	other := append([]byte(nil), big...)
	copy(other[10:], other[:60000])
	clear(big[:100])
	var array [300]int
	array[299] = 4
	second := array
	return fmt.Sprint(other[50010], big[99], big[100], second == array, second[299])
}

func exits() string {
	done := make(chan string, 1)
	go func() {
		defer func() { done <- "left" }()
		runtime.Goexit()
		done <- "stayed"
	}()
	return <-done
}

func floats() string {
	x := math.Sqrt(2) * float64(len(order))
	return fmt.Sprintf("%.6f %d %d %v", x, uint64(x*1e3), int32(-x), math.Inf(1) > x)
}

func crash() string {
	panic("the end of it")
}
