// Package frames cuts bytes into small pieces that are shown one after another,
// such as picture codes on a screen, and puts them together again whichever of
// them were seen, in any order. A frame that was missed does not matter: it is
// not waited for, the next one does as well.
//
// Start with NewSender and Receiver. The first frames, as many as there are
// blocks, hold the blocks themselves. Every later frame holds the sum, bit by bit,
// of a random half of the blocks; which, follows from its number. Any frames will
// do that are as many as the blocks and one or two more.
//
// A receiver gathers up to Transfers contents at once, each from its own frames,
// so that another code in sight takes nothing away from the one that is gathered.
// What arrives is hostile until it is checked: memory grows with the frames that
// were seen, never with the sizes that they name.
//
// # A frame
//
//	version (1)  name (8)  size (3)  number (4)  block  CRC-32 of all before it (4)
//
// Numbers are big endian. The name is the beginning of the content's SHA-256, the
// size its bytes; the block is as long as the frame is longer. The last block is
// filled up with zeros. The text form is the word KEELCARD and the frame in Base45
// (RFC 9285): letters that a picture code packs nearly as well as bytes, and that
// every reader of such codes gives back unharmed, which is not so with bytes.
package frames

import (
	"crypto/sha256"
	"encoding/binary"
	"hash/crc32"
	"strconv"

	"keelcard/engine"
)

// Limits.
const (
	MaxContent = 256 << 10 // bytes; more is quicker as a file
	MaxBlocks  = 2048
	MinBlock   = 32 // bytes
	Transfers  = 3  // contents that a Receiver gathers at once
)

// Overhead is how many bytes of a frame are not block.
const Overhead = headSize + crc32.Size

const (
	version  = 1
	nameSize = 8
	headSize = 1 + nameSize + 3 + 4
)

// Codes of the errors of this package.
const (
	CodeNotOurs   engine.Code = "frames.not-ours"  // a code of something else
	CodeNewer     engine.Code = "frames.newer"     // made by a later version
	CodeMalformed engine.Code = "frames.malformed" // damaged, or sizes that cannot be
	CodeTooLarge  engine.Code = "frames.too-large" // more than can be shown as codes
	CodeMixed     engine.Code = "frames.mixed"     // the frames do not make the content they name
)

// head is what a frame says of the content it belongs to.
type head struct {
	name  [nameSize]byte
	size  int // bytes of the content
	block int // bytes of a block
}

// blocks is how many blocks the content has.
func (h head) blocks() int { return (h.size + h.block - 1) / h.block }

// fault says what cannot be about the sizes, "" when all is well.
func (h head) fault() string {
	switch {
	case h.size == 0 || h.size > MaxContent:
		return "its content would have " + strconv.Itoa(h.size) + " bytes"
	case h.block < MinBlock:
		return "its block has " + strconv.Itoa(h.block) + " bytes"
	case h.blocks() > MaxBlocks:
		return "its content would have " + strconv.Itoa(h.blocks()) + " blocks"
	}
	return ""
}

// parse reads a frame. The block is part of it.
func parse(frame []byte) (h head, number uint32, block []byte, err error) {
	if len(frame) < Overhead {
		return h, 0, nil, malformed("it is too short")
	}
	if frame[0] != version {
		return h, 0, nil, engine.New(CodeNewer, "", "the code was made by another version of Keelcard: it has version "+
			strconv.Itoa(int(frame[0]))+", this one reads "+strconv.Itoa(version), "update this phone, or use a file instead")
	}
	body := frame[:len(frame)-crc32.Size]
	if crc32.ChecksumIEEE(body) != binary.BigEndian.Uint32(frame[len(body):]) {
		return h, 0, nil, malformed("its checksum does not fit")
	}
	copy(h.name[:], body[1:])
	h.size = int(body[9])<<16 | int(body[10])<<8 | int(body[11])
	h.block = len(body) - headSize
	if fault := h.fault(); fault != "" {
		return h, 0, nil, malformed(fault)
	}
	return h, binary.BigEndian.Uint32(body[12:]), body[headSize:], nil
}

func malformed(what string) error {
	return engine.New(CodeMalformed, "", "the code was not read right: "+what, "hold the phones still and go on; nothing is lost")
}

// nameOf names a content.
func nameOf(content []byte) (name [nameSize]byte) {
	sum := sha256.Sum256(content)
	copy(name[:], sum[:])
	return name
}

// A Sender makes the frames of a content. It is not changed by making them.
type Sender struct {
	head
	padded []byte // all blocks one after the other
}

// NewSender readies the content for frames of up to room bytes each. Codes:
// CodeTooLarge.
func NewSender(content []byte, room int) (*Sender, error) {
	s := &Sender{head: head{name: nameOf(content), size: len(content), block: room - Overhead}}
	if s.block < MinBlock {
		s.block = MinBlock
	}
	if n := len(content); n > 0 && n < s.block {
		s.block = max(n, MinBlock) // one frame, no larger than it must be
	}
	if len(content) == 0 || s.fault() != "" {
		return nil, engine.New(CodeTooLarge, "", strconv.Itoa(len(content))+" bytes cannot be shown as a code; the most are "+strconv.Itoa(MaxContent),
			"use a file instead")
	}
	s.padded = make([]byte, s.blocks()*s.block)
	copy(s.padded, content)
	return s, nil
}

// Blocks is how many frames are needed at least.
func (s *Sender) Blocks() int { return s.blocks() }

// Frame makes the frame of a number, from 0.
func (s *Sender) Frame(number uint32) []byte {
	out := make([]byte, headSize+s.block, Overhead+s.block)
	out[0] = version
	copy(out[1:], s.name[:])
	out[9], out[10], out[11] = byte(s.size>>16), byte(s.size>>8), byte(s.size)
	binary.BigEndian.PutUint32(out[12:], number)
	sum := out[headSize:]
	mix(number, s.blocks()).each(func(i int) { xor(sum, s.padded[i*s.block:][:s.block]) })
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out))
}
