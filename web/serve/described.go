package main

import (
	"encoding/binary"
	"fmt"
	"maps"
	"slices"
)

// descriptions gives where in the memory the functions that moved are
// described: how large their stacks are, what on them is a pointer. The runtime
// reads that of a function that is running, so it may come with the function. A
// table that a function of the first part shares stays.
func descriptions(memory []byte, late []bool) ([]span, error) {
	t, at, err := findSymbols(memory)
	if err != nil {
		return nil, err
	}
	start, _, err := findMaps(memory, t, at)
	if err != nil {
		return nil, err
	}
	list := at + int(t.head(7))
	values, pointers := users{}, users{}
	var out []span
	for i, place := range t.places {
		f := t.list[place:]
		if late[i] {
			out = append(out, spanOf(list+place, t.size(i)))
		}
		word := func(n int) uint32 { return binary.LittleEndian.Uint32(f[n:]) }
		values.add(word(fieldStack), late[i])
		tables := int(word(fieldTable))
		for k := 1; k < tables; k++ { // the first is read by nobody
			values.add(word(funcSize+4*k), late[i])
		}
		for k := range int(f[fieldData]) {
			pointers.add(word(funcSize+4*(tables+k)), late[i])
		}
	}
	for of, onlyLate := range values {
		if place := at + int(t.head(6)) + int(of); of > 0 && onlyLate {
			out = append(out, spanOf(place, lengthOfValues(memory[place:list])))
		}
	}
	out = append(out, pointers.between(start)...)
	return out, nil
}

// findMaps gives where the maps of pointers are, and the end of all that is
// said of functions. The runtime's description of the whole program, moduledata,
// has both; it begins with where the table is, and names the list of functions
// on the way.
func findMaps(memory []byte, t symbols, at int) (maps, end int, err error) {
	const atNames, atList, atMaps, atEnd = 8, 128, 320, 328
	for from := 0; from+atEnd+8 <= len(memory); from += 8 {
		word := func(n int) uint64 { return binary.LittleEndian.Uint64(memory[from+n:]) }
		if word(0) == uint64(at) && word(atNames) == uint64(at)+t.head(3) && word(atList) == uint64(at)+t.head(7) &&
			word(atList) < word(atMaps) && word(atMaps) < word(atEnd) && word(atEnd) <= uint64(len(memory)) {
			return int(word(atMaps)), int(word(atEnd)), nil
		}
	}
	return 0, 0, fmt.Errorf("%w: it does not say where its maps of pointers are", errProgram)
}

func spanOf(from, length int) span { return span{int64(from), int64(from + length)} }

// users tells of each table whether only functions that moved use it.
type users map[uint32]bool

func (u users) add(of uint32, late bool) {
	if of != none {
		only, known := u[of]
		u[of] = late && (only || !known)
	}
}

// between gives the tables that only functions that moved use. Each ends where
// the next begins; of the last one that is not known, and it stays.
func (u users) between(start int) (out []span) {
	places := slices.Sorted(maps.Keys(u))
	for i := range len(places) - 1 {
		if u[places[i]] {
			out = append(out, span{int64(start) + int64(places[i]), int64(start) + int64(places[i+1])})
		}
	}
	return out
}
