package seal

// X25519 of RFC 7748, section 5. The standard library's is in crypto/ecdh, which
// brings the other curves with it: 0.1 MB of the download. A test holds this to
// the published values and to the standard library.
//
// No step depends on what the numbers are, but for their place in memory.

// element is a number modulo p = 2^255 - 19: the sum of e[i] × 2^(16 i). Limbs
// are a little larger than 16 bits or below 0 until settle puts that right.
type element [16]int64

// x25519 multiplies a point, given by its u, with a scalar.
func x25519(scalar, u [32]byte) [32]byte {
	scalar[0] &= 248
	scalar[31] = scalar[31]&127 | 64
	x1 := unpack(u)
	x2, z2, x3, z3 := element{1}, element{}, x1, element{1}
	swap := int64(0)
	for t := 254; t >= 0; t-- {
		bit := int64(scalar[t/8] >> (t % 8) & 1)
		exchange(swap^bit, &x2, &x3)
		exchange(swap^bit, &z2, &z3)
		swap = bit
		a, b := add(x2, z2), subtract(x2, z2)
		c, d := add(x3, z3), subtract(x3, z3)
		da, cb := multiply(d, a), multiply(c, b)
		aa, bb := multiply(a, a), multiply(b, b)
		x3, z3 = add(da, cb), subtract(da, cb)
		x3, z3 = multiply(x3, x3), multiply(x1, multiply(z3, z3))
		e := subtract(aa, bb)
		x2, z2 = multiply(aa, bb), multiply(e, add(aa, multiply(element{0xdb41, 1}, e))) // 121665
	}
	exchange(swap, &x2, &x3)
	exchange(swap, &z2, &z3)
	return pack(multiply(x2, invert(z2)))
}

// unpack reads 32 bytes, the least first. The highest bit does not count.
func unpack(b [32]byte) (e element) {
	for i := range e {
		e[i] = int64(b[2*i]) | int64(b[2*i+1])<<8
	}
	e[15] &= 0x7fff
	return e
}

// pack gives the number itself, between 0 and p.
func pack(e element) (b [32]byte) {
	for range 3 {
		e.settle()
	}
	for range 2 { // what is still p or more loses p
		less := e
		less[0] -= 0xffed
		for i := 1; i < 15; i++ {
			less[i] -= 0xffff
		}
		less[15] -= 0x7fff
		for i := range less[1:] {
			less[i+1] += less[i] >> 16
			less[i] &= 0xffff
		}
		below := less[15] >> 63 & 1
		exchange(1-below, &e, &less)
	}
	for i := range e {
		b[2*i], b[2*i+1] = byte(e[i]), byte(e[i]>>8)
	}
	return b
}

// settle carries what is above or below 16 bits on to the next limb; 2^256 is
// 38 modulo p.
func (e *element) settle() {
	for i := range e {
		carry := e[i] >> 16
		e[i] &= 0xffff
		if i < 15 {
			e[i+1] += carry
		} else {
			e[0] += 38 * carry
		}
	}
}

// exchange exchanges two numbers if bit is 1, and does as much if it is 0.
func exchange(bit int64, a, b *element) {
	for i := range a {
		t := -bit & (a[i] ^ b[i])
		a[i] ^= t
		b[i] ^= t
	}
}

func add(a, b element) element {
	for i := range a {
		a[i] += b[i]
	}
	return a
}

func subtract(a, b element) element {
	for i := range a {
		a[i] -= b[i]
	}
	return a
}

// multiply takes limbs of up to 19 bits, which sums and differences of settled
// numbers have.
func multiply(a, b element) (e element) {
	var wide [31]int64
	for i, x := range a {
		for j, y := range b {
			wide[i+j] += x * y
		}
	}
	copy(e[:], wide[:16])
	for i, x := range wide[16:] {
		e[i] += 38 * x
	}
	e.settle()
	e.settle()
	return e
}

// invert gives a^(p-2), which is 1/a. All bits of p-2 are 1 but bits 2 and 4.
func invert(a element) element {
	e := a
	for bit := 253; bit >= 0; bit-- {
		e = multiply(e, e)
		if bit != 2 && bit != 4 {
			e = multiply(e, a)
		}
	}
	return e
}
