package main

import (
	"encoding/binary"
	"fmt"
)

// A graph is how the functions of a program lead to each other.
type graph struct {
	calls   [][]int // which ones a function calls
	values  [][]int // which ones a function holds as values
	held    []bool  // begun without a call that is seen: a value, a method of an interface, asked for by the page
	pointed []bool  // a value that the memory points to
}

// references reads the graph from a program and the memory it starts with.
func references(m *module, memory []byte) (graph, error) {
	n := len(m.bodies)
	g := graph{make([][]int, n), make([][]int, n), make([]bool, n), make([]bool, n)}
	t, from, err := findSymbols(memory)
	if err != nil {
		return g, err
	}
	_, to, err := findMaps(memory, t, from)
	if err != nil {
		return g, err
	}
	h := holder{memory, g, from, to}
	values := h.look()
	return g, g.follow(m, values)
}

// slot gives the function that has a place in the table.
func slot(place int64, n int) (int, bool) {
	return int(place - tableStart), place >= tableStart && place < tableStart+int64(n)
}

// value reads a function held as a value: its place times 65,536.
func value(number int64, n int) (int, bool) {
	f, ok := slot(number>>16, n)
	return f, ok && number&0xffff == 0
}

// follow reads what each function calls, and what it holds: by a number, or by
// the address of one of the values in the memory.
func (g graph) follow(m *module, values map[int64]int) error {
	n := len(m.bodies)
	called := make([]bool, n)
	for i, body := range m.bodies {
		err := instructions(body, func(in instruction) {
			switch in.op {
			case opCall:
				if f := int(in.number) - m.imported; f < 0 {
					g.held[i] = true // only the first part can ask the page
				} else if g.calls[i] = append(g.calls[i], f); f != i {
					called[f] = true
				}
			case opI32Const, opI64Const:
				// A function names itself where it may have to be begun again.
				if f, ok := value(in.number, n); ok && f != i {
					g.held[f] = true
					g.values[i] = append(g.values[i], f)
				}
				if f, ok := values[in.number]; ok {
					g.values[i] = append(g.values[i], f)
				}
			}
		})
		if err != nil {
			return fmt.Errorf("function %d: %w", i, err)
		}
	}
	for i := range g.held {
		g.held[i] = g.held[i] || !called[i]
	}
	return nil
}

// A holder looks for functions that the memory holds, but for what is said of
// the functions themselves.
type holder struct {
	memory   []byte
	graph    graph
	from, to int // what is said of the functions
}

func (h holder) word(at int) uint32 { return binary.LittleEndian.Uint32(h.memory[at:]) }

func (h holder) long(at int) uint64 { return binary.LittleEndian.Uint64(h.memory[at:]) }

// each visits every fourth byte with sixteen after it.
func (h holder) each(visit func(at int)) {
	for at := 0; at+16 <= len(h.memory); at += 4 {
		if at < h.from || at >= h.to {
			visit(at)
		}
	}
}

// look marks what is held as a value, and the methods of which an interface
// could ask: in a table of methods stand name, type, and two places, for a call
// in an interface and on a value; in an interface the same name and type. Types
// lie before what is said of functions. It gives the addresses of the values.
func (h holder) look() map[int64]int {
	values := map[int64]int{}
	methods := map[uint64][]int{}
	h.each(func(at int) {
		if f, ok := value(int64(h.long(at)), len(h.graph.held)); ok && at%8 == 0 {
			h.graph.held[f] = true
			values[int64(at)] = f
		}
		if f, g, ok := h.method(at); ok {
			methods[h.long(at)] = append(methods[h.long(at)], f, g)
		}
	})
	h.each(func(at int) {
		if f, ok := values[int64(h.long(at))]; ok && at%8 == 0 {
			h.graph.pointed[f] = true
		}
		of := methods[h.long(at)]
		if of == nil || at > h.from || h.place(at+8) && h.place(at+12) {
			return // no type, or in a table of methods of this type or another
		}
		for _, f := range of {
			h.graph.held[f] = true
		}
	})
	return values
}

// method reads an entry of a table of methods: what calls one in an interface
// and what calls it on a value.
func (h holder) method(at int) (f, g int, ok bool) {
	n := len(h.graph.held)
	f, one := slot(int64(h.word(at+8)), n)
	g, two := slot(int64(h.word(at+12)), n)
	return f, g, one && two && at < h.from && h.word(at) != none && h.word(at+4) != none
}

// place tells whether a word may be the place of a method, or says that it has
// none since nobody calls it.
func (h holder) place(at int) bool {
	_, ok := slot(int64(h.word(at)), len(h.graph.held))
	return ok || h.word(at) == none
}
