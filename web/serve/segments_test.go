package main

import (
	"bytes"
	"encoding/binary"
	"testing"
)

// wasmOf writes a program of one other section and the segments, by the binary
// format of WebAssembly (sections "Modules" and "Data Section" of its
// specification).
func wasmOf(segments ...segment) []byte {
	out := []byte("\x00asm\x01\x00\x00\x00\x00\x03\x01xy") // a custom section x
	body := binary.AppendUvarint(nil, uint64(len(segments)))
	for _, s := range segments {
		body = append(body, 0x00, 0x41)
		body = appendSigned(body, s.at)
		body = append(body, 0x0b)
		body = binary.AppendUvarint(body, uint64(len(s.data)))
		body = append(body, s.data...)
	}
	out = append(out, 11)
	out = binary.AppendUvarint(out, uint64(len(body)))
	return append(out, body...)
}

func TestSignedNumbers(t *testing.T) {
	// Values from the description of LEB128 in the DWARF standard, and the edges of a byte.
	for v, want := range map[int64][]byte{
		2: {2}, -2: {0x7e}, 127: {0xff, 0}, -127: {0x81, 0x7f}, 128: {0x80, 1}, -128: {0x80, 0x7f}, 129: {0x81, 1}, -129: {0xff, 0x7e},
		0: {0}, 63: {63}, 64: {0xc0, 0}, 71235: {0xc3, 0xac, 4},
	} {
		got := appendSigned(nil, v)
		if !bytes.Equal(got, want) {
			t.Errorf("%d is written %x, want %x", v, got, want)
		}
		r := reader{got}
		if back := r.signed(); back != v || len(r.rest) != 0 {
			t.Errorf("%d reads back as %d", v, back)
		}
	}
}

func TestSegmentsAreJoined(t *testing.T) {
	far := int64(100_000)
	in := []segment{{far, []byte("far")}, {64, []byte("one")}, {70, []byte("two")}, {73, []byte("three")}}
	want := []segment{{64, []byte("one\x00\x00\x00twothree")}, {far, []byte("far")}}
	got, err := joinSegments(wasmOf(in...))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, wasmOf(want...)) {
		t.Errorf("joined\n%q, want\n%q", got, wasmOf(want...))
	}
	again, err := joinSegments(got)
	if err != nil || !bytes.Equal(again, got) {
		t.Errorf("joined again: %v, changed %v", err, !bytes.Equal(again, got))
	}
}

func TestOddProgramsAreRefused(t *testing.T) {
	whole := wasmOf(segment{64, []byte("one")}, segment{200, []byte("two")})
	for n := range len(whole) {
		// A cut after a whole section is a program without the next one.
		if got, err := joinSegments(whole[:n]); err == nil && !bytes.Equal(got, whole[:n]) {
			t.Errorf("cut to %d bytes it became %q", n, got)
		}
	}
	for name, program := range map[string][]byte{
		"empty":             nil,
		"no program":        []byte("<!doctype html>"),
		"one over another":  wasmOf(segment{64, []byte("one")}, segment{65, []byte("two")}),
		"another memory":    bytes.Replace(whole, []byte{0x00, 0x41, 0xc0}, []byte{0x02, 0x41, 0xc0}, 1),
		"a place not given": bytes.Replace(whole, []byte{0x00, 0x41, 0xc0}, []byte{0x00, 0x23, 0xc0}, 1),
	} {
		if _, err := joinSegments(program); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}
