package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
)

// The sections of a WebAssembly program that are changed here, by the numbers
// of the specification ("Modules" in its binary format).
const (
	customSection   = 0
	typeSection     = 1
	importSection   = 2
	functionSection = 3
	tableSection    = 4
	memorySection   = 5
	globalSection   = 6
	exportSection   = 7
	elementSection  = 9
	codeSection     = 10
	dataSection     = 11
)

// What an import or an export is.
const (
	aFunction = 0
	aTable    = 1
	aMemory   = 2
	aGlobal   = 3
)

const programStart = "\x00asm\x01\x00\x00\x00" // magic number and version

type section struct {
	kind byte
	body []byte
}

// readSections takes a program apart.
func readSections(program []byte) ([]section, error) {
	if !bytes.HasPrefix(program, []byte(programStart)) {
		return nil, errProgram
	}
	r := reader{program[len(programStart):]}
	var out []section
	for len(r.rest) > 0 {
		kind := r.take(1)[0]
		body := r.take(r.unsigned())
		if r.rest == nil {
			return nil, errProgram
		}
		out = append(out, section{kind, body})
	}
	return out, nil
}

// writeSections puts a program together. Empty sections are left out.
func writeSections(sections []section) []byte {
	out := []byte(programStart)
	for _, s := range sections {
		if len(s.body) > 0 {
			out = append(out, s.kind)
			out = appendBytes(out, s.body)
		}
	}
	return out
}

func appendUnsigned(out []byte, v int) []byte { return binary.AppendUvarint(out, uint64(v)) }

func appendBytes(out, b []byte) []byte { return append(appendUnsigned(out, len(b)), b...) }

// vector joins a number of pieces behind their count.
func vector(pieces ...[]byte) []byte {
	return append(appendUnsigned(nil, len(pieces)), bytes.Join(pieces, nil)...)
}

// A module is what is known of a compiled Go program: all its functions are in
// its one table, in their order, from tableStart on.
type module struct {
	sections []section
	imported int      // functions that the page provides; they come first in all numbers
	types    []int    // the type of each function of its own
	bodies   [][]byte // and its code, with its local variables
	globals  [][]byte // the type of each global variable, two bytes
}

// tableStart is the place of the first function in the table: the Go linker's
// funcValueOffset.
const tableStart = 0x1000

func (m *module) section(kind byte) []byte {
	for _, s := range m.sections {
		if s.kind == kind {
			return s.body
		}
	}
	return nil
}

func readModule(whole []byte) (*module, error) {
	sections, err := readSections(whole)
	if err != nil {
		return nil, err
	}
	m := &module{sections: sections}
	for _, read := range []func() error{m.readImports, m.readTypes, m.readGlobals, m.checkTable, m.readBodies} {
		if err := read(); err != nil {
			return nil, err
		}
	}
	return m, nil
}

// readImports counts the functions that the page provides. A Go program asks
// for nothing else.
func (m *module) readImports() error {
	r := reader{m.section(importSection)}
	m.imported = r.unsigned()
	for range m.imported {
		r.take(r.unsigned())
		r.take(r.unsigned())
		if r.take(1)[0] != aFunction {
			return fmt.Errorf("%w: it imports more than functions", errProgram)
		}
		r.unsigned()
	}
	return r.end("imports")
}

func (m *module) readTypes() error {
	r := reader{m.section(functionSection)}
	for range r.unsigned() {
		m.types = append(m.types, r.unsigned())
	}
	return r.end("functions")
}

// readGlobals reads which global variables there are, each a number that may
// change and begins at 0.
func (m *module) readGlobals() error {
	r := reader{m.section(globalSection)}
	for range r.unsigned() {
		m.globals = append(m.globals, r.take(2))
		r.take(1)
		if zero, end := r.signed(), r.take(1)[0]; zero != 0 || end != endOfExpression {
			return fmt.Errorf("%w: a global variable does not begin at 0", errProgram)
		}
	}
	return r.end("globals")
}

// checkTable makes sure that the table holds every function in its order.
func (m *module) checkTable() error {
	want := vector([]byte{0, constantI32})
	want = appendSigned(want, tableStart)
	want = append(want, endOfExpression)
	want = appendUnsigned(want, len(m.types))
	for i := range m.types {
		want = appendUnsigned(want, m.imported+i)
	}
	if !bytes.Equal(m.section(elementSection), want) {
		return fmt.Errorf("%w: the table does not hold the functions in their order", errProgram)
	}
	return nil
}

func (m *module) readBodies() error {
	r := reader{m.section(codeSection)}
	for range r.unsigned() {
		m.bodies = append(m.bodies, r.take(r.unsigned()))
	}
	if len(m.bodies) != len(m.types) {
		return fmt.Errorf("%w: %d functions have %d bodies", errProgram, len(m.types), len(m.bodies))
	}
	return r.end("code")
}

// end fails unless all was read and nothing was missing.
func (r *reader) end(what string) error {
	if r.rest == nil || len(r.rest) > 0 {
		return fmt.Errorf("%w: its %s", errProgram, what)
	}
	return nil
}
