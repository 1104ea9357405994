package frames

import (
	"encoding/binary"
	"math/bits"
)

// A set of blocks, one bit each.
type set []uint64

// mix tells which of n blocks the frame of a number sums up: the first n frames
// one each, every later frame a random half. What is random follows from the
// number and from n by SplitMix64 (Steele, Lea, Flood: Fast Splittable
// Pseudorandom Number Generators, 2014), so that both phones draw the same.
func mix(number uint32, n int) set {
	s := make(set, (n+63)/64)
	if int64(number) < int64(n) {
		s.flip(int(number))
		return s
	}
	seed := uint64(number)<<16 | uint64(n)
	for i := range s {
		s[i] = draw(&seed)
	}
	if rest := n % 64; rest > 0 {
		s[len(s)-1] &= 1<<rest - 1
	}
	if s.first(0) < 0 {
		s.flip(int(number) % n) // a sum of nothing would tell nothing
	}
	return s
}

func draw(seed *uint64) uint64 {
	*seed += 0x9e3779b97f4a7c15
	z := *seed
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

func (s set) flip(i int) { s[i/64] ^= 1 << (i % 64) }

// first finds the lowest block in the set from one on, -1 when there is none.
func (s set) first(from int) int {
	for w := from / 64; w < len(s); w++ {
		word := s[w]
		if w == from/64 {
			word &= ^uint64(0) << (from % 64)
		}
		if word != 0 {
			return w*64 + bits.TrailingZeros64(word)
		}
	}
	return -1
}

// each visits the blocks of the set in order.
func (s set) each(visit func(int)) {
	for i := s.first(0); i >= 0; i = s.first(i + 1) {
		visit(i)
	}
}

// add takes the blocks of another set in, and those out that are in both.
func (s set) add(t set) {
	for i := range t {
		s[i] ^= t[i]
	}
}

// xor adds b to a bit by bit. Both are of one length.
func xor(a, b []byte) {
	for len(a) >= 8 {
		binary.LittleEndian.PutUint64(a, binary.LittleEndian.Uint64(a)^binary.LittleEndian.Uint64(b))
		a, b = a[8:], b[8:]
	}
	for i := range a {
		a[i] ^= b[i]
	}
}
