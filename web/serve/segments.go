package main

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"errors"
	"slices"
)

// joinGap is the longest run of zeros that is written out rather than skipped.
// A run of zeros costs next to nothing once compressed, a segment of its own
// several bytes that do not.
const joinGap = 64

// A segment is a piece of the memory that a program starts with.
type segment struct {
	at   int64
	data []byte
}

var errProgram = errors.New("the built program has a form that is not expected here")

// joinSegments rewrites the data section of a WebAssembly program so that
// neighbouring pieces are one. The Go linker starts a new piece after every few
// zeros, which makes some 80,000 of them and costs 90 kB of the compressed
// download. The memory that the program finds at its start is the same.
func joinSegments(program []byte) ([]byte, error) {
	return rewriteData(program, func(segments []segment) ([]segment, error) { return segments, nil })
}

// rewriteData changes the memory a program starts with. Pieces that lie close
// together come out as one.
func rewriteData(program []byte, change func([]segment) ([]segment, error)) ([]byte, error) {
	const header = 8 // magic number and version
	if len(program) < header || !bytes.HasPrefix(program, []byte("\x00asm\x01\x00\x00\x00")) {
		return nil, errProgram
	}
	out := bytes.Clone(program[:header])
	r := reader{program[header:]}
	for len(r.rest) > 0 {
		const dataSection = 11
		kind := r.take(1)
		size := r.unsigned()
		body := r.take(size)
		if r.rest == nil {
			return nil, errProgram
		}
		if kind[0] == dataSection {
			segments, err := readSegments(body)
			if err != nil {
				return nil, err
			}
			if segments, err = change(segments); err != nil {
				return nil, err
			}
			if body, err = writeSegments(segments, joinGap); err != nil {
				return nil, err
			}
		}
		out = append(out, kind[0])
		out = binary.AppendUvarint(out, uint64(len(body)))
		out = append(out, body...)
	}
	return out, nil
}

// The bytes before a segment's own: memory 0, at a constant place. What else
// the format knows, the Go linker does not write.
const (
	activeInMemory0 = 0x00
	constantI32     = 0x41
	endOfExpression = 0x0b
)

func readSegments(section []byte) ([]segment, error) {
	r := reader{section}
	n := r.unsigned()
	var segments []segment
	for range n {
		before := r.take(2)
		at := r.signed()
		after := r.take(1)
		data := r.take(r.unsigned())
		if r.rest == nil || before[0] != activeInMemory0 || before[1] != constantI32 || after[0] != endOfExpression || at < 0 {
			return nil, errProgram
		}
		segments = append(segments, segment{at, data})
	}
	if r.rest == nil || len(r.rest) > 0 {
		return nil, errProgram
	}
	return segments, nil
}

// writeSegments joins segments with at most so many zeros between them.
func writeSegments(segments []segment, most int64) ([]byte, error) {
	slices.SortFunc(segments, func(a, b segment) int { return cmp.Compare(a.at, b.at) })
	var joined []segment
	for _, s := range segments {
		if len(joined) > 0 {
			last := &joined[len(joined)-1]
			gap := s.at - last.at - int64(len(last.data))
			if gap < 0 {
				return nil, errProgram // one over another: their order would count
			}
			if gap <= most {
				last.data = append(append(last.data, make([]byte, gap)...), s.data...)
				continue
			}
		}
		joined = append(joined, segment{s.at, bytes.Clone(s.data)})
	}
	out := binary.AppendUvarint(nil, uint64(len(joined)))
	for _, s := range joined {
		out = append(out, activeInMemory0, constantI32)
		out = appendSigned(out, s.at)
		out = append(out, endOfExpression)
		out = binary.AppendUvarint(out, uint64(len(s.data)))
		out = append(out, s.data...)
	}
	return out, nil
}

// A reader takes the numbers and bytes of the format off the front of rest,
// which is nil once something was missing.
type reader struct{ rest []byte }

// take gives n bytes; when there are not as many, zeros for what is looked at.
func (r *reader) take(n int) []byte {
	if r.rest == nil || n > len(r.rest) {
		r.rest = nil
		return make([]byte, min(n, 2))
	}
	taken := r.rest[:n:n]
	r.rest = r.rest[n:]
	return taken
}

func (r *reader) unsigned() int {
	v, size := binary.Uvarint(r.rest)
	if size <= 0 || v > uint64(len(r.rest)) && v > 1<<31 {
		r.rest = nil
		return 0
	}
	r.rest = r.rest[size:]
	return int(v)
}

// signed reads a number in the format's signed form, seven bits a byte.
func (r *reader) signed() int64 {
	var v int64
	for shift := 0; shift < 70; shift += 7 {
		b := r.take(1)[0]
		v |= int64(b&0x7f) << shift
		if b < 0x80 {
			if b&0x40 != 0 {
				v |= -1 << (shift + 7)
			}
			return v
		}
	}
	r.rest = nil
	return 0
}

func appendSigned(out []byte, v int64) []byte {
	for {
		b := byte(v & 0x7f)
		v >>= 7
		if v == 0 && b&0x40 == 0 || v == -1 && b&0x40 != 0 {
			return append(out, b)
		}
		out = append(out, b|0x80)
	}
}
