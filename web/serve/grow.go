package main

import (
	"bytes"
	"encoding/binary"
)

// Two tables of a Go program follow from little else, and cost more than what
// they follow from: where each function is described, which is a sum of
// lengths, and by which function number a place in the code is found, which on
// WebAssembly is the place divided by a constant. A released program holds the
// lengths alone, and makes both tables when it is loaded, before it begins.
//
// A program whose tables are not of that form keeps them as they are.

const (
	entrySize   = 8  // of the list of functions: place in the table, where it is described
	bucketSize  = 20 // runtime.findfuncbucket: a number and sixteen steps from it
	bucketsEach = 16 // places of one function, 65,536, by those of one bucket, 4,096
	lastBucket  = 5  // the last one has one step, since the last function has one place
	lengthUnit  = 8  // descriptions begin at multiples of it
)

// A grower is what a program makes at its start.
type grower struct {
	count   int // of functions
	list    int // where in the memory the list of functions is
	first   int // where the first one is described, from the list on
	buckets int // where the buckets are
}

// grow takes the two tables out of a program and has it make them.
func (g grower) grow(whole []byte) ([]byte, error) {
	m, err := readModule(whole)
	if err != nil {
		return nil, err
	}
	segments, err := readSegments(m.section(dataSection))
	if err != nil {
		return nil, err
	}
	memory := flat(segments)
	g.shrink(memory)
	data, err := writeSegments(pieces(memory), joinGap)
	if err != nil {
		return nil, err
	}
	return m.withStart(g.code(), data), nil
}

// findGrower reads where the tables are, and whether they have the form.
func findGrower(memory []byte) (g grower, ok bool, err error) {
	t, at, err := findSymbols(memory)
	if err != nil {
		return g, false, err
	}
	g = grower{count: len(t.places), list: at + int(t.head(7)), first: t.places[0]}
	next := g.first
	for i, place := range t.places {
		length := (t.size(i) + lengthUnit - 1) / lengthUnit
		if place != next || length > 255 {
			return g, false, nil
		}
		next += length * lengthUnit
	}
	table := make([]byte, g.places()*bucketSize)
	for b := range g.places() {
		binary.LittleEndian.PutUint32(table[b*bucketSize:], uint32(b/bucketsEach))
	}
	g.buckets = bytes.Index(memory, table[:g.bucketBytes()])
	return g, g.buckets >= 0, nil
}

// places is the number of buckets: of the last function there is one.
func (g grower) places() int { return (g.count-1)*bucketsEach + 1 }

// bucketBytes is how long their table is.
func (g grower) bucketBytes() int { return (g.places()-1)*bucketSize + lastBucket }

// shrink leaves of the list the lengths, and of the buckets nothing.
func (g grower) shrink(memory []byte) {
	list := memory[g.list : g.list+g.count*entrySize]
	for i := range g.count {
		entry := list[i*entrySize:][:entrySize]
		length := 0 // of the last one nothing follows
		if i+1 < g.count {
			length = int(binary.LittleEndian.Uint32(list[(i+1)*entrySize+4:]) - binary.LittleEndian.Uint32(entry[4:]))
		}
		clear(entry)
		entry[0] = byte(length / lengthUnit)
	}
	clear(memory[g.buckets : g.buckets+g.bucketBytes()])
}

// Instructions of the code below.
const (
	opLoop      = 0x03
	opBrIf      = 0x0d
	opLocalGet  = 0x20
	opLocalSet  = 0x21
	opLocalTee  = 0x22
	opLoad8     = 0x2d
	opStore32   = 0x36
	opLessU     = 0x49
	opAdd       = 0x6a
	opMul       = 0x6c
	opShiftR    = 0x76
	noResult    = 0x40
	typeI32     = 0x7f
	typeFunc    = 0x60
	startNumber = 8 // the section that names what runs first
)

// code makes the tables: two loops over i. Of its four variables the second is
// where the next function is described, the third an address, the fourth a
// length.
func (g grower) code() []byte {
	const i, described, address, length = 0, 1, 2, 3
	b := []byte{1, 4, typeI32}
	put := func(bytes ...byte) { b = append(b, bytes...) }
	number := func(v int) { b = appendSigned(append(b, constantI32), int64(v)) }
	loop := func(count int, body func()) {
		put(opLoop, noResult)
		body()
		put(opLocalGet, i)
		number(1)
		put(opAdd, opLocalTee, i)
		number(count)
		put(opLessU, opBrIf, 0, endOfExpression)
	}
	store := func(offset byte, value func()) {
		put(opLocalGet, address)
		value()
		put(opStore32, 2, offset)
	}
	addressOf := func(base, size int) {
		put(opLocalGet, i)
		number(size)
		put(opMul)
		number(base)
		put(opAdd, opLocalSet, address)
	}
	number(g.first)
	put(opLocalSet, described)
	loop(g.count, func() {
		addressOf(g.list, entrySize)
		put(opLocalGet, address, opLoad8, 0, 0, opLocalSet, length)
		store(0, func() { put(opLocalGet, i); number(tableStart); put(opAdd) })
		store(4, func() { put(opLocalGet, described) })
		put(opLocalGet, described, opLocalGet, length)
		number(lengthUnit)
		put(opMul, opAdd, opLocalSet, described)
	})
	number(0)
	put(opLocalSet, i)
	loop(g.places(), func() {
		addressOf(g.buckets, bucketSize)
		store(0, func() { put(opLocalGet, i); number(4); put(opShiftR) })
	})
	return append(b, endOfExpression)
}

// withStart gives the program a function that runs when it is loaded. It comes
// after all others, so that their numbers stay.
func (m *module) withStart(body, data []byte) []byte {
	types := reader{m.section(typeSection)}
	kind := types.unsigned()
	var out []section
	for _, s := range m.sections {
		switch s.kind {
		case typeSection:
			s.body = append(append(appendUnsigned(nil, kind+1), types.rest...), typeFunc, 0, 0)
		case functionSection:
			s.body = m.functionTypes(append(m.types[:len(m.types):len(m.types)], kind))
		case elementSection:
			out = append(out, section{startNumber, appendUnsigned(nil, m.imported+len(m.types))})
		case codeSection:
			s.body = code(append(m.bodies[:len(m.bodies):len(m.bodies)], body))
		case dataSection:
			s.body = data
		}
		out = append(out, s)
	}
	return writeSections(out)
}

func (m *module) functionTypes(types []int) []byte {
	pieces := make([][]byte, len(types))
	for i, t := range types {
		pieces[i] = appendUnsigned(nil, t)
	}
	return vector(pieces...)
}

// pieces gives the parts of a memory that are not zero.
func pieces(memory []byte) []segment {
	var out []segment
	for at := 0; at < len(memory); {
		if memory[at] == 0 {
			at++
			continue
		}
		end := at
		for zeros := 0; end < len(memory) && zeros <= joinGap; end++ {
			if memory[end] == 0 {
				zeros++
			} else {
				zeros = 0
			}
		}
		piece := bytes.TrimRight(memory[at:end], "\x00")
		out = append(out, segment{int64(at), piece})
		at = end
	}
	return out
}
