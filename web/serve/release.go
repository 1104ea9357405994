package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// parts is a released program.
type parts struct {
	first, second []byte
	strays        []string // functions of listed files in the first part, with what calls them
	strayed       int      // their size in bytes
}

// secondFile is the name of the second part of the program.
const secondFile = "rest.wasm"

// strayLimit is how many bytes of code, not compressed, may stay in the first
// part although their files are listed. A page calls a little of another one;
// more means that a file is listed which the first part cannot do without.
const strayLimit = 90_000

// release splits the program of the app.
func release(root string, whole []byte) (parts, error) {
	l, err := readList(secondList)
	if err != nil {
		return parts{}, err
	}
	var texts [][]byte
	for _, name := range l.text {
		text, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(name)))
		if err != nil {
			return parts{}, fmt.Errorf("second.txt: %w", err)
		}
		texts = append(texts, text)
	}
	p, err := partsOf(whole, l, texts)
	if err != nil {
		return parts{}, err
	}
	return p, p.check(strayLimit)
}

// check fails if too much of what is listed stayed, and says what calls it.
func (p parts) check(limit int) error {
	if p.strayed <= limit {
		return nil
	}
	return fmt.Errorf("%d bytes of code in files that second.txt lists stay in the first part, which calls them; the most allowed is %d:\n%s",
		p.strayed, limit, strings.Join(p.strays, "\n"))
}

// partsOf splits a program. The texts are files embedded in it that only the
// second part reads.
func partsOf(whole []byte, l list, texts [][]byte) (parts, error) {
	m, err := readModule(whole)
	if err != nil {
		return parts{}, err
	}
	data, err := readSegments(m.section(dataSection))
	if err != nil {
		return parts{}, err
	}
	memory := flat(data)
	functions, err := readFunctions(memory, len(m.bodies))
	if err != nil {
		return parts{}, err
	}
	c, err := choose(m, functions, memory, l)
	if err != nil {
		return parts{}, err
	}
	spans, err := descriptions(memory, c.late)
	if err != nil {
		return parts{}, err
	}
	for i, text := range texts {
		at := bytes.Index(memory, text)
		if at < 0 || bytes.LastIndex(memory, text) != at {
			return parts{}, fmt.Errorf("second.txt: the program does not hold the text %s, or more than once", l.text[i])
		}
		spans = append(spans, span{int64(at), int64(at + len(text))})
	}
	g, regular, err := findGrower(memory)
	if err != nil {
		return parts{}, err
	}
	p := strays(m, c, functions)
	if whole, err = forgetNames(whole); err != nil {
		return parts{}, err
	}
	if m, err = readModule(whole); err != nil {
		return parts{}, err
	}
	if p.first, p.second, err = split(m, c.late, joined(spans, 0)); err != nil || !regular {
		return p, err
	}
	p.first, err = g.grow(p.first)
	return p, err
}

// strays tells what of the listed files stayed, the largest last.
func strays(m *module, c choice, functions []function) (p parts) {
	for _, s := range c.strays {
		p.strays = append(p.strays, fmt.Sprintf("%6d  %s is called or held by %s", len(m.bodies[s.to]), functions[s.to].name, functions[s.from].name))
		p.strayed += len(m.bodies[s.to])
	}
	slices.Sort(p.strays)
	return p
}
