package main

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"fmt"
	"slices"
)

// A released program comes in two parts. The second holds functions of pages
// that are rarely opened, and arrives when the first page is already drawn.
//
// This works because of how Go compiles to WebAssembly: a function's state is
// in the memory and in a few global variables, and a function is found again,
// after its goroutine slept or when it is held as a value, by its place in the
// one table. The second part shares memory, globals and table of the first and
// puts its functions in the places that they had. Until then a place holds a
// function that stops the program; that nobody comes there is what choose in
// parts.go and the gate in web/app are for.

// A span is a piece of the memory that a program starts with, from its first
// byte to the one after its last.
type span struct{ from, to int64 }

// split makes two programs of one: late says which functions go to the second,
// spans which memory. Calls between the parts go by way of the table. A first
// part fits no second part but its own: they would not link.
func split(m *module, late []bool, spans []span) (first, second []byte, err error) {
	var moved []segment
	data, err := readSegments(m.section(dataSection))
	if err != nil {
		return nil, nil, err
	}
	data, moved = takeOut(data, spans)
	stay, err := m.firstBodies(late)
	if err != nil {
		return nil, nil, err
	}
	away, err := m.secondBodies(late)
	if err != nil {
		return nil, nil, err
	}
	dataBody, err := writeSegments(data, joinGap)
	if err != nil {
		return nil, nil, err
	}
	movedBody, err := writeSegments(moved, 0)
	if err != nil {
		return nil, nil, err
	}
	h := sha256.New()
	for _, b := range [][]byte{vector(stay...), vector(away...), dataBody, movedBody} {
		h.Write(b)
	}
	own := fmt.Sprintf("table-%x", h.Sum(nil)[:6])
	return m.firstPart(own, stay, dataBody), m.secondPart(own, late, away, movedBody), nil
}

// takeOut takes spans out of the memory: it gives what stays, with zeros in
// their places, and what was there. All of it is memory that is only read, so
// what lies between two near spans may come a second time with them.
func takeOut(data []segment, spans []span) (stay, moved []segment) {
	wide := joined(spans, betweenSpans)
	for _, s := range data {
		within := func(p span) (from, to int64) {
			return max(p.from-s.at, 0), min(p.to-s.at, int64(len(s.data)))
		}
		for _, p := range wide {
			if from, to := within(p); from < to {
				moved = append(moved, segment{s.at + from, s.data[from:to]})
			}
		}
		left := bytes.Clone(s.data)
		for _, p := range spans {
			if from, to := within(p); from < to {
				clear(left[from:to])
			}
		}
		stay = append(stay, segment{s.at, left})
	}
	return stay, moved
}

// betweenSpans is how many bytes cost less than the beginning of a segment.
const betweenSpans = 6

// absent is the body of a function that is not here: it stops the program.
var absent = []byte{0, opUnreachable, endOfExpression}

func (m *module) firstBodies(late []bool) ([][]byte, error) {
	out := make([][]byte, len(m.bodies))
	for i, body := range m.bodies {
		if late[i] {
			out[i] = absent
			continue
		}
		var err error
		if out[i], err = m.recall(body, true, func(f int) (int, bool) { return m.imported + f, !late[f] }); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// secondBodies gives the functions that moved, numbered anew from 0.
func (m *module) secondBodies(late []bool) ([][]byte, error) {
	number := make([]int, len(late))
	n := 0
	for i := range late {
		if late[i] {
			number[i] = n
			n++
		}
	}
	var out [][]byte
	for i, body := range m.bodies {
		if !late[i] {
			continue
		}
		body, err := m.recall(body, false, func(f int) (int, bool) { return number[f], late[f] })
		if err != nil {
			return nil, err
		}
		out = append(out, body)
	}
	return out, nil
}

// recall writes a function with its calls put right: here gives the number of
// one of the program's own functions if it is in the same part, and all others
// are called by way of the table. What the page provides can be called from the
// first part only.
func (m *module) recall(body []byte, page bool, here func(f int) (int, bool)) ([]byte, error) {
	var out []byte
	done, astray := 0, false
	err := instructions(body, func(i instruction) {
		if i.op != opCall {
			return
		}
		f := int(i.number) - m.imported
		if f < 0 {
			astray = astray || !page
			return
		}
		out = append(out, body[done:i.from]...)
		done = i.to
		if number, ok := here(f); ok {
			out = appendUnsigned(append(out, opCall), number)
			return
		}
		out = appendSigned(append(out, constantI32), int64(tableStart+f))
		out = append(appendUnsigned(append(out, opCallIndirect), m.types[f]), 0)
	})
	if err != nil {
		return nil, err
	}
	if astray {
		return nil, fmt.Errorf("%w: a function that the page provides is called from the second part", errProgram)
	}
	return append(out, body[done:]...), nil
}

// firstPart is the program without what moved, and with all that the second
// part shares among its exports.
func (m *module) firstPart(own string, bodies [][]byte, data []byte) []byte {
	var out []section
	for _, s := range m.sections {
		switch s.kind {
		case customSection: // names, and who compiled it
			continue
		case exportSection:
			s.body = m.exports(own)
		case codeSection:
			s.body = code(bodies)
		case dataSection:
			s.body = data
		}
		out = append(out, s)
	}
	return writeSections(out)
}

func code(bodies [][]byte) []byte {
	sized := make([][]byte, len(bodies))
	for i, b := range bodies {
		sized[i] = appendBytes(nil, b)
	}
	return vector(sized...)
}

// exports adds table and globals to what the program shows; its memory is
// among that.
func (m *module) exports(own string) []byte {
	r := reader{m.section(exportSection)}
	out := appendUnsigned(nil, r.unsigned()+1+len(m.globals))
	out = append(out, r.rest...)
	out = append(appendBytes(out, []byte(own)), aTable, 0)
	for i := range m.globals {
		out = append(appendBytes(out, global(i)), aGlobal)
		out = appendUnsigned(out, i)
	}
	return out
}

// global names the i-th global variable.
func global(i int) []byte { return fmt.Appendf(nil, "g%d", i) }

// firstName is what the second part calls the first.
const firstName = "first"

func (m *module) secondPart(own string, late []bool, bodies [][]byte, data []byte) []byte {
	from := func(name []byte, kind byte, what ...byte) []byte {
		return append(append(appendBytes(appendBytes(nil, []byte(firstName)), name), kind), what...)
	}
	const anyFunction = 0x70
	imports := [][]byte{from([]byte("mem"), aMemory, 0, 0), from([]byte(own), aTable, anyFunction, 0, 0)}
	for i, kind := range m.globals {
		imports = append(imports, from(global(i), aGlobal, kind...))
	}
	var types [][]byte
	for i, t := range m.types {
		if late[i] {
			types = append(types, appendUnsigned(nil, t))
		}
	}
	return writeSections([]section{
		{typeSection, m.section(typeSection)},
		{importSection, vector(imports...)},
		{functionSection, vector(types...)},
		{elementSection, places(late)},
		{codeSection, code(bodies)},
		{dataSection, data},
	})
}

// places puts the functions of the second part where the first part and the
// memory look for them: one segment a run of neighbours.
func places(late []bool) []byte {
	var segments [][]byte
	next := 0
	for i := 0; i < len(late); i++ {
		first := i
		var numbers [][]byte
		for ; i < len(late) && late[i]; i++ {
			numbers = append(numbers, appendUnsigned(nil, next))
			next++
		}
		if len(numbers) > 0 {
			head := appendSigned([]byte{0, constantI32}, int64(tableStart+first))
			segments = append(segments, append(append(head, endOfExpression), vector(numbers...)...))
		}
	}
	return vector(segments...)
}

// joined puts spans in order and makes one of those that touch or have at most
// so many bytes between them.
func joined(spans []span, most int64) []span {
	slices.SortFunc(spans, func(a, b span) int { return cmp.Compare(a.from, b.from) })
	var out []span
	for _, s := range spans {
		if n := len(out); n > 0 && s.from <= out[n-1].to+most {
			out[n-1].to = max(out[n-1].to, s.to)
			continue
		}
		out = append(out, s)
	}
	return out
}
