package main

import (
	"bytes"
	"encoding/binary"
)

// A Go program carries the name of every type. Those of types that have no name
// in the source are their whole description, such as what a function value
// holds, or what the instances of a generic function have in common: they are
// seven tenths of all names and stand in crash messages only. A released program
// has zeros of the same length in their places. Names of named types, of their
// fields and methods stay.

// nameless are the beginnings of such names. All are kept with a star, which
// the name of the type behind a pointer shares.
var nameless = [][]byte{
	[]byte("*struct {"), []byte("*func("), []byte("*go.shape."), []byte("*map["), []byte("*[]"), []byte("*["),
	[]byte("**"), []byte("*noalg."), []byte("*map.group["), []byte("*interface {"), []byte("*chan "),
}

// A name is kept as flags, its length as a variable number, and its letters.
const (
	mostFlags   = 0x0f
	shortestLen = 12
)

// forgetTypes writes zeros over names of types without a name.
func forgetTypes(memory []byte) {
	for at := 0; at+2 < len(memory); at++ {
		if memory[at] > mostFlags {
			continue
		}
		length, n := binary.Uvarint(memory[at+1:])
		if n <= 0 || n > 3 || length < shortestLen || length > uint64(len(memory)-at-1-n) {
			continue
		}
		name := memory[at+1+n:][:length]
		if isNameless(name) {
			clear(name)
			at += n + int(length)
		}
	}
}

func isNameless(name []byte) bool {
	if name[0] != '*' {
		return false
	}
	for _, b := range name {
		if b < ' ' || b == 0x7f {
			return false
		}
	}
	for _, start := range nameless {
		if bytes.HasPrefix(name, start) {
			return true
		}
	}
	return false
}
