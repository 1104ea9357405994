package seal

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"

	"keelcard/engine"
)

// MaxFile is the most bytes of a ticket and of a sealed bundle, as of any file
// that goes from phone to phone.
const MaxFile = 8 << 20

// A frame is what is around the files of one kind: eight letters and the
// version in front, and behind them the CRC-32 of all before it, little endian,
// so that what was damaged on the way is told from what is not for this phone.
type frame struct {
	magic       string
	version     byte
	least, most int    // bytes of a whole file
	name        string // as people speak of it
	choose      string // what to do when it is something else
	again       string // what to do when it is damaged
}

func (f *frame) begins(b []byte) bool { return bytes.HasPrefix(b, []byte(f.magic)) }

// head gives what stands in front.
func (f *frame) head() []byte { return append([]byte(f.magic), f.version) }

// check takes the checksum off a file and checks all that needs no key. Codes:
// CodeLimit, CodeNotOurs, CodeShort, CodeMalformed, CodeNewer, CodeChecksum.
func (f *frame) check(file []byte) ([]byte, error) {
	at := len(f.magic)
	switch {
	case len(file) > f.most:
		return nil, engine.New(CodeLimit, "", fmt.Sprintf("%d bytes, at most %d are taken in", len(file), f.most), "check that this is the right file")
	case !f.begins(file):
		return nil, engine.New(CodeNotOurs, "", "this is no "+f.name+" made by Keelcard", f.choose)
	case len(file) == at:
		return nil, f.short()
	case file[at] == 0:
		return nil, engine.New(CodeMalformed, "version", "there is no version 0", f.again)
	case file[at] != f.version:
		return nil, engine.New(CodeNewer, "", fmt.Sprintf("the %s was made by a newer Keelcard: it has version %d, this one reads %d", f.name, file[at], f.version), "update this phone first")
	case len(file) < f.least:
		return nil, f.short()
	}
	end := len(file) - crc32.Size
	if binary.LittleEndian.Uint32(file[end:]) != crc32.ChecksumIEEE(file[:end]) {
		return nil, engine.New(CodeChecksum, "", "the "+f.name+" was changed on the way, or its end is missing", f.again)
	}
	return file[:end], nil
}

func (f *frame) short() error {
	return engine.New(CodeShort, "", "the end of the "+f.name+" is missing", f.again)
}

func (f *frame) malformed(where string) error {
	return engine.New(CodeMalformed, where, "the "+f.name+" is not written the way Keelcard writes it", f.again)
}

// closeFile puts the checksum behind a file.
func closeFile(b []byte) []byte {
	return binary.LittleEndian.AppendUint32(b, crc32.ChecksumIEEE(b))
}

func appendField(b, field []byte) []byte {
	return append(binary.AppendUvarint(b, uint64(len(field))), field...)
}

// fields takes fields off the front; after the first fault it gives zeros.
type fields struct {
	rest []byte
	bad  string
}

func (d *fields) fail(where string) {
	if d.bad == "" {
		d.bad = where
	}
	d.rest = nil
}

func (d *fields) take(n int) []byte {
	if n > len(d.rest) {
		d.fail("end")
		return make([]byte, min(n, 64))
	}
	b := bytes.Clone(d.rest[:n])
	d.rest = d.rest[n:]
	return b
}

func (d *fields) number(most uint64, where string) uint64 {
	v, n := binary.Uvarint(d.rest)
	if n <= 0 || v > most {
		d.fail(where)
		return 0
	}
	d.rest = d.rest[n:]
	return v
}

func (d *fields) field() []byte {
	n := d.number(uint64(len(d.rest)), "length")
	return d.take(int(n))
}

// end is called after the last field.
func (d *fields) end() {
	if len(d.rest) > 0 {
		d.fail("end")
	}
}

// pad puts a byte 0x80 and zeros behind a text up to the next step, so that how
// long it is shows in steps only.
func pad(text []byte, step int) []byte {
	out := append(bytes.Clone(text), 0x80)
	return append(out, make([]byte, (step-len(out)%step)%step)...)
}

// unpad takes off what pad put behind.
func unpad(text []byte, step int) ([]byte, bool) {
	n := len(text)
	for n > 0 && text[n-1] == 0 {
		n--
	}
	if n == 0 || text[n-1] != 0x80 || len(text)%step != 0 || len(text)-n >= step {
		return nil, false
	}
	return text[:n-1], true
}
