package rangecoder

// steps is how finely log odds are told: 256 steps to a factor of e.
const (
	steps   = 256
	extreme = 8*steps - 1 // the largest log odds
)

// logistic[extreme+x] is the probability, in 65536ths, of log odds x.
var logistic = func() (t [2*extreme + 1]uint16) {
	const shrink = 4_278_222_805 // e^(-1/256) in 2^-32
	e := uint64(1) << 32         // e^(-x/256) in 2^-32
	for x := 0; x <= extreme; x++ {
		p := (uint64(1)<<48 + (1<<32+e)/2) / (1<<32 + e)
		t[extreme+x] = uint16(min(p, 65535))
		t[extreme-x] = uint16(max(65536-p, 1))
		e = e * shrink >> 32
	}
	return t
}()

// logOdds is the inverse of logistic, for probabilities in 4096ths.
var logOdds = func() (t [4096]int16) {
	x := 0
	for p := range t {
		for x < 2*extreme && int(logistic[x]) < p*16+8 {
			x++
		}
		t[p] = int16(x - extreme)
	}
	return t
}()

// Logistic is the probability, in 65536ths from 1 to 65535, of log odds given in
// 256ths of a factor of e.
func Logistic(x int) uint32 {
	return uint32(logistic[min(max(x, -extreme), extreme)+extreme])
}

// Text learns text and anything like it: each byte in the light of the two
// before it, of the one before it, and of none, mixed by how well each has
// foretold so far. The zero Text is ready.
type Text struct {
	none     Byte
	one      []Byte
	two      []Bit
	mix      [3]int32 // weights in 65536ths
	lengths  Number
	was, old byte
}

const (
	twoBits = 16 // the table for two bytes has 1<<twoBits entries, shared by hash
	tempo   = 6  // how fast the weights follow
)

// Begin says that what comes next does not follow on what came before.
func (m *Text) Begin() { m.old, m.was = 0, 0 }

// Byte codes one byte and remembers it for the next.
func (m *Text) Byte(c *Coder, v byte) byte {
	if m.one == nil {
		m.one = make([]Byte, 256)
		m.two = make([]Bit, 1<<twoBits)
		m.mix = [3]int32{65536 / 8, 65536 * 3 / 8, 65536 / 2}
	}
	place := (uint32(m.old)<<8 | uint32(m.was)) * 0x9e3779b1
	node := uint32(1)
	for i := 7; i >= 0; i-- {
		at := (place ^ node*0x85ebca6b) >> (32 - twoBits)
		if m.decide(c, [3]*Bit{&m.none[node], &m.one[m.was][node], &m.two[at]}, v>>i&1 != 0) {
			node = node<<1 | 1
		} else {
			node <<= 1
		}
	}
	m.old, m.was = m.was, byte(node)
	return byte(node)
}

// decide mixes three opinions into one, codes with it, and lets all learn.
func (m *Text) decide(c *Coder, opinions [3]*Bit, v bool) bool {
	var odds [3]int32
	var sum int64
	for i, o := range opinions {
		odds[i] = int32(logOdds[o.p()>>4])
		sum += int64(odds[i]) * int64(m.mix[i])
	}
	p := min(max(Logistic(int(sum>>16)), 32), 65536-32)
	v = c.Odds(p, v)
	miss := -int32(p)
	if v {
		miss += 65536
	}
	for i, o := range opinions {
		m.mix[i] += int32(int64(odds[i]) * int64(miss) >> (16 - tempo))
		m.mix[i] = min(max(m.mix[i], -1<<20), 1<<20)
		o.learn(v)
	}
	return v
}

// String codes a whole text of at most most bytes. A reader that meets a longer
// one, or the end of the stream, gives ok = false.
func (m *Text) String(c *Coder, s string, most int) (got string, ok bool) {
	n := m.lengths.Code(c, uint64(len(s)))
	if n > uint64(most) {
		return "", false
	}
	m.Begin()
	var b []byte
	for i := range int(n) {
		var v byte
		if c.writing {
			v = s[i]
		}
		if b = append(b, m.Byte(c, v)); c.Short() {
			return "", false
		}
	}
	return string(b), true
}
