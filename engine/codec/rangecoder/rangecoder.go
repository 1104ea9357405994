// Package rangecoder writes decisions in as little room as their probability
// allows: a binary range coder with models that learn as they go.
//
// A Coder works in both directions. A model's method takes the value to write
// and returns the value that was written or read, so that a format is told once,
// in one function, for both. Everything is integer arithmetic; the same input
// gives the same bytes on every machine.
package rangecoder

import "errors"

// Coder writes or reads a stream of decisions.
//
// It keeps an interval of numbers, cuts it at each decision in proportion to
// the probabilities, and keeps the part that was decided for. The bytes are
// those that all numbers left in the interval share.
type Coder struct {
	writing bool
	width   uint32 // of the interval, at least 2^24 between decisions

	low   uint64 // its lower end; bit 32 is a carry into what was put aside
	aside byte   // the last byte that a carry can still change,
	more  int    // and how many bytes, itself and 0xff after it, wait for that
	out   []byte

	in   []byte
	pos  int
	code uint32 // where the read number lies above the lower end
}

const narrow = 1 << 24 // below this width another byte is due

// tail is how many bytes a reader may want beyond the end: Bytes leaves zeros
// at the end away.
const tail = 4

// The faults of a stream that was not written by a Coder.
var (
	ErrShort = errors.New("rangecoder: the stream ends too early")
	ErrLong  = errors.New("rangecoder: bytes are left after the end")
)

// NewWriter begins a stream.
func NewWriter() *Coder { return &Coder{writing: true, width: 1<<32 - 1, more: 1} }

// NewReader reads a stream. A stream that is not what a writer made gives
// arbitrary values but never fails; ask Short in every loop, and End at the end.
func NewReader(b []byte) *Coder {
	c := &Coder{width: 1<<32 - 1, in: b}
	for range 4 {
		c.code = c.code<<8 | c.next()
	}
	return c
}

// Writing says which direction the Coder works in.
func (c *Coder) Writing() bool { return c.writing }

// Short says that a reader wanted more than the stream had.
func (c *Coder) Short() bool { return c.pos > len(c.in)+tail }

// End checks that a reader used the stream up. Up to four bytes that change
// nothing may hide at the end: a format that wants one form only writes again
// what it read and compares.
func (c *Coder) End() error {
	switch {
	case c.Short():
		return ErrShort
	case c.pos < len(c.in):
		return ErrLong
	}
	return nil
}

// Bytes ends a written stream and gives it.
func (c *Coder) Bytes() []byte {
	// The number with the most zeros at its end that lies in the interval.
	zeros := 4
	v := uint64(0)
	for ; ; zeros-- {
		mask := uint64(1)<<(8*zeros) - 1
		if v = (c.low + mask) &^ mask; v < c.low+uint64(c.width) {
			break
		}
	}
	c.low = v
	for range 5 {
		c.shift()
	}
	return c.out[1 : len(c.out)-zeros] // the first is the byte aside from before the beginning
}

func (c *Coder) next() uint32 {
	c.pos++
	if c.pos > len(c.in) {
		return 0
	}
	return uint32(c.in[c.pos-1])
}

// shift moves the upper byte of low out, as far as no carry can change it.
func (c *Coder) shift() {
	if c.low < 0xff<<24 || c.low >= 1<<32 {
		carry := byte(c.low >> 32)
		for ; c.more > 0; c.more-- {
			c.out = append(c.out, c.aside+carry)
			c.aside = 0xff
		}
		c.aside = byte(c.low >> 24)
	}
	c.more++
	c.low = c.low & 0xffffff << 8
}

// Odds decides with a given probability of true, in 65536ths from 1 to 65535.
func (c *Coder) Odds(p uint32, v bool) bool {
	part := c.width >> 16 * p
	if c.writing {
		if !v {
			c.low += uint64(part)
		}
	} else if v = c.code < part; !v {
		c.code -= part
	}
	if v {
		c.width = part
	} else {
		c.width -= part
	}
	for c.width < narrow {
		c.width <<= 8
		if c.writing {
			c.shift()
		} else {
			c.code = c.code<<8 | c.next()
		}
	}
	return v
}

// Even codes the lower bits of v, each as likely as not.
func (c *Coder) Even(bits int, v uint64) uint64 {
	var got uint64
	for i := bits - 1; i >= 0; i-- {
		got <<= 1
		if c.Odds(1<<15, v>>i&1 != 0) {
			got |= 1
		}
	}
	return got
}
