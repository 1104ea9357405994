package main

import "fmt"

// The instructions that matter when a function moves.
const (
	opUnreachable  = 0x00
	opCall         = 0x10
	opCallIndirect = 0x11
	opI32Const     = 0x41
	opI64Const     = 0x42
	opNumeric      = 0xfc // further ones, by a second number
)

// An instruction is one of a function's: where it begins and ends in the body,
// and its number if it is a call (the function) or a constant.
type instruction struct {
	op       byte
	from, to int
	number   int64
}

// instructions goes through the body of a function in order. It knows every
// instruction of WebAssembly 1.0 and those after it that Go writes, and fails
// at any other: a number that is overlooked would be a call to something else.
func instructions(body []byte, visit func(instruction)) error {
	r := &reader{body}
	for range r.unsigned() { // groups of local variables: how many, of which type
		r.unsigned()
		r.take(1)
	}
	for len(r.rest) > 0 {
		i := instruction{from: len(body) - len(r.rest), op: r.take(1)[0]}
		var err error
		if i.number, err = operands(r, i.op); err != nil {
			return err
		}
		i.to = len(body) - len(r.rest)
		if r.rest == nil {
			return fmt.Errorf("%w: an instruction %#x is cut off", errProgram, i.op)
		}
		visit(i)
	}
	return nil
}

// operands reads what follows an instruction's first byte.
func operands(r *reader, op byte) (number int64, err error) {
	switch {
	case op == 0x02 || op == 0x03 || op == 0x04: // block, loop, if: a type
		r.signed()
	case op == 0x0e: // br_table
		for range r.unsigned() {
			r.unsigned()
		}
		r.unsigned()
	case op == opCall:
		number = int64(r.unsigned())
	case op == 0x0c || op == 0x0d || 0x20 <= op && op <= 0x24: // br, br_if; local and global variables
		r.unsigned()
	case op == opCallIndirect || 0x28 <= op && op <= 0x3e: // a type and a table; loads and stores
		r.unsigned()
		r.unsigned()
	case op == 0x3f || op == 0x40: // memory.size and memory.grow
		r.take(1)
	case op == opI32Const || op == opI64Const:
		number = r.signed()
	case op == 0x43:
		r.take(4)
	case op == 0x44:
		r.take(8)
	case op == opNumeric:
		return 0, numericOperands(r)
	case op == 0x00 || op == 0x01 || op == 0x05 || op == 0x0b || op == 0x0f || op == 0x1a || op == 0x1b || 0x45 <= op && op <= 0xc4:
	default:
		return 0, fmt.Errorf("%w: an instruction %#x is not known here", errProgram, op)
	}
	return number, nil
}

func numericOperands(r *reader) error {
	switch n := r.unsigned(); {
	case n <= 7: // conversions that do not trap
	case n == 10: // memory.copy
		r.take(2)
	case n == 11: // memory.fill
		r.take(1)
	default:
		return fmt.Errorf("%w: an instruction 0xfc %d is not known here", errProgram, n)
	}
	return nil
}
