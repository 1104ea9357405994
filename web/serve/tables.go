package main

import (
	"bytes"
	"encoding/binary"
	"slices"
)

// Go programs carry a table of their functions for the garbage collector and
// for traces after a crash. What only traces use (names, files, line numbers,
// how arguments are printed) is a tenth of the compressed download. A released program does without: its
// crash message stays, its trace loses the names. Programs for developers keep
// them.
//
// The layout is that of Go 1.20 to 1.26 (internal/abi.CurrentPCLnTabMagic and
// runtime._func). A program with another one is left as it is.

var functionTable = []byte("\xf1\xff\xff\xff\x00\x00\x01\x08") // magic number, no padding, steps of 1, pointers of 8

// Offsets in bytes of the fields of a runtime._func that only traces read, and
// of those that say where its tables are.
const (
	fieldName  = 4
	fieldStack = 16
	fieldFile  = 20
	fieldLine  = 24
	fieldTable = 28 // number of further tables
	fieldUnit  = 32
	fieldStart = 36
	fieldData  = 43 // number of further pieces of data, one byte
	funcSize   = 44

	dataArguments = 5 // the piece that says how arguments are printed
)

// idle are the fields that hold the places of tables nobody reads: files and
// lines, and the first of the further tables, which tells where a function may
// be stopped from outside: a browser stops none.
func idle(f []byte) []int {
	fields := []int{fieldFile, fieldLine}
	if binary.LittleEndian.Uint32(f[fieldTable:]) > 0 {
		fields = append(fields, funcSize)
	}
	return fields
}

// none stands for a piece of data that a function does not have.
const none = 0xffffffff

// forgetNames writes zeros over names, files and lines, which then cost next to
// nothing compressed.
func forgetNames(program []byte) ([]byte, error) {
	return rewriteData(program, func(segments []segment) ([]segment, error) {
		memory := flat(segments)
		if !forgetTables(memory) {
			return segments, nil
		}
		forgetTypes(memory[:bytes.Index(memory, functionTable)])
		for i, s := range segments {
			segments[i].data = memory[s.at : s.at+int64(len(s.data))]
		}
		return segments, nil
	})
}

// flat lays segments out as the memory they make.
func flat(segments []segment) []byte {
	var memory []byte
	for _, s := range segments {
		if end := s.at + int64(len(s.data)); end > int64(len(memory)) {
			memory = append(memory, make([]byte, end-int64(len(memory)))...)
		}
		copy(memory[s.at:], s.data)
	}
	return memory
}

// forgetTables does the work on the memory of a program. It reports false, and
// has changed nothing, when the tables are not as expected.
func forgetTables(memory []byte) bool {
	start := bytes.Index(memory, functionTable)
	if start < 0 || start+8+8*8 > len(memory) {
		return false
	}
	table := memory[start:]
	head := func(i int) uint64 { return binary.LittleEndian.Uint64(table[8+8*i:]) }
	count, names, units, values, functions := head(0), head(3), head(4), head(6), head(7)
	if !slices.IsSorted([]uint64{names, units, head(5), values, functions}) || functions+8*count+4 > uint64(len(table)) {
		return false
	}
	list := table[functions:]
	places := make([]uint64, count)
	for i := range places {
		places[i] = uint64(binary.LittleEndian.Uint32(list[8*i+4:]))
		if places[i]+funcSize > uint64(len(list)) {
			return false
		}
	}
	// Functions share tables, and a table of lines may be one that the collector
	// reads for another function. Only those that nothing else reads go.
	needed := map[uint32]bool{}
	for _, at := range places {
		f := list[at:]
		needed[binary.LittleEndian.Uint32(f[fieldStack:])] = true
		n := binary.LittleEndian.Uint32(f[fieldTable:])
		if at+funcSize+4*(uint64(n)+uint64(f[fieldData])) > uint64(len(list)) {
			return false
		}
		for i := uint32(1); i < n; i++ {
			needed[binary.LittleEndian.Uint32(f[funcSize+4*i:])] = true
		}
	}
	for _, at := range places {
		f := list[at:]
		for _, field := range idle(f) {
			if of := binary.LittleEndian.Uint32(f[field:]); of != 0 && !needed[of] && uint64(of) < functions-values {
				clearValues(table[values+uint64(of) : functions])
			}
			clear(f[field : field+4])
		}
		clear(f[fieldName : fieldName+4])
		clear(f[fieldUnit : fieldStart+4])
		if f[fieldData] > dataArguments {
			data := funcSize + 4*(binary.LittleEndian.Uint32(f[fieldTable:])+dataArguments)
			binary.LittleEndian.PutUint32(f[data:], none)
		}
	}
	clear(table[names+1 : units])
	return true
}

// clearValues writes zeros over one table.
func clearValues(table []byte) { clear(table[:lengthOfValues(table)]) }

// lengthOfValues is the length of one table: pairs of numbers of variable
// length, ended by a first number of 0 that is not the very first.
func lengthOfValues(table []byte) int {
	at := 0
	for first := true; ; first = false {
		value, n := binary.Uvarint(table[at:])
		if n <= 0 || value == 0 && !first {
			break
		}
		_, m := binary.Uvarint(table[at+n:])
		if m <= 0 {
			break
		}
		at += n + m
	}
	return at
}
