package rangecoder

import "math/bits"

// Bit is a decision that learns how likely it is. The zero Bit finds both
// sides equally likely. The upper 22 bits hold the probability of true, with
// the topmost turned over; the lower 10 count what it has seen.
type Bit uint32

const (
	probBits = 22
	half     = 1 << (probBits - 1)
	sureBits = 8   // a probability stays so many 65536ths away from 0 and 1
	patience = 250 // after so many decisions the newest weighs no less
)

// weight[n] is how far, in 65536ths, the n-th decision moves the probability.
var weight = func() (w [patience + 1]uint32) {
	for n := range w {
		w[n] = uint32(65536 * 2 / (2*n + 3)) // 1 / (n + 1.5)
	}
	return w
}()

func (m Bit) prob() uint32 { return uint32(m)>>10 ^ half }

// p is the probability of true in 65536ths, never quite 0 or 1.
func (m Bit) p() uint32 {
	return min(max(m.prob()>>(probBits-16), sureBits), 1<<16-sureBits)
}

func (m *Bit) learn(v bool) {
	p, n := m.prob(), uint32(*m)&1023
	if v {
		p += uint32(uint64(1<<probBits-1-p) * uint64(weight[n]) >> 16)
	} else {
		p -= uint32(uint64(p) * uint64(weight[n]) >> 16)
	}
	*m = Bit((p^half)<<10 | min(n+1, patience))
}

// Code codes one decision.
func (m *Bit) Code(c *Coder, v bool) bool {
	v = c.Odds(m.p(), v)
	m.learn(v)
	return v
}

// codeTree codes the lower n bits of v, from the upper to the lower, each in the
// light of those before it. A tree has 1<<n nodes.
func codeTree(c *Coder, tree []Bit, n int, v uint32) uint32 {
	node := uint32(1)
	for i := n - 1; i >= 0; i-- {
		b := tree[node].Code(c, v>>i&1 != 0)
		node <<= 1
		if b {
			node |= 1
		}
	}
	return node - 1<<n
}

// Byte learns how often each byte comes.
type Byte [256]Bit

// Code codes one byte.
func (m *Byte) Code(c *Coder, v byte) byte { return byte(codeTree(c, m[:], 8, uint32(v))) }

// Small learns how often each byte comes when most are below seven; it takes
// fewer decisions than Byte for those.
type Small struct {
	low  [8]Bit
	high Byte
}

const escape = 7 // in low, for what is not below it

// Code codes one byte.
func (m *Small) Code(c *Coder, v byte) byte {
	if low := codeTree(c, m.low[:], 3, min(uint32(v), escape)); low < escape {
		return byte(low)
	}
	return m.high.Code(c, v)
}

// Number learns about numbers of any size, small ones best: first how many
// bits they have, then the bits, the leading ones in the light of each other.
type Number struct {
	low  [8]Bit                    // the size when it is below escape
	high [64]Bit                   // the size above that
	lead [learnedSizes + 1][16]Bit // the leading bits, by size; the last is for that and above
}

const (
	leading      = 4  // how many bits below the highest are learned
	learnedSizes = 20 // below which each size has leading bits of its own
)

// Code codes one number.
func (m *Number) Code(c *Coder, v uint64) uint64 {
	size := uint32(bits.Len64(v))
	low := codeTree(c, m.low[:], 3, min(size, escape))
	if low == escape {
		size = min(escape+codeTree(c, m.high[:], 6, size-escape), 64) // more cannot be written
	} else {
		size = low
	}
	if size <= 1 {
		return uint64(size)
	}
	rest := int(size) - 1
	head := min(rest, leading)
	lead := &m.lead[min(size, learnedSizes)]
	got := uint64(1)<<head | uint64(codeTree(c, lead[:], head, uint32(v>>(rest-head))&(1<<head-1)))
	return got<<(rest-head) | c.Even(rest-head, v)
}

// Signed is a Number that may be negative.
type Signed struct {
	size     Number
	negative Bit
}

// Code codes one number.
func (m *Signed) Code(c *Coder, v int64) int64 {
	size := m.size.Code(c, uint64(max(v, -v)))
	got := int64(size & (1<<63 - 1))
	if got != 0 && m.negative.Code(c, v < 0) {
		return -got
	}
	return got
}
