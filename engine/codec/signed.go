package codec

import (
	"bytes"
	"crypto/ed25519"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"strings"
	"unicode"
	"unicode/utf8"

	"keelcard/engine"
	"keelcard/engine/clock"
	"keelcard/engine/record"
)

// CodeAltered is the code of results that are not those that were signed.
const CodeAltered engine.Code = "codec.altered"

// Signature says who stands by a results message. That the phone signed it is
// proved; the name is what that phone calls itself. A phone that has the contest
// knows who wrote with it.
type Signature struct {
	Who     string // at most record.MaxWho bytes
	Phone   record.PhoneID
	Contest record.ContestID
	When    int64 // unix seconds by that phone's clock, 0 to clock.MaxWall
}

const (
	signedMagic   = "KS"
	signedVersion = 1
	signedDomain  = "keelcard results signature 1\x00"
	signedTail    = ed25519.SignatureSize + crc32.Size
)

// SignResults puts a signature around a results message:
//
//	"KS"  version (1)  contest (8)  when  length  who  public key (32)  message  signature (64)  CRC-32 of all before it, little endian
//
// The signature covers all before it. Phone of the signature follows from the
// key. Code: CodeResults, and those of DecodeResults.
func SignResults(message []byte, by Signature, private ed25519.PrivateKey) ([]byte, error) {
	switch {
	case len(private) != ed25519.PrivateKeySize:
		return nil, engine.New(CodeResults, "", "there is no key to sign the results with", "share them without a signature")
	case !by.valid():
		return nil, engine.New(CodeResults, "", fmt.Sprintf("%q at %d cannot stand in a signature", by.Who, by.When), "set your initials again")
	}
	if _, err := DecodeResults(message); err != nil {
		return nil, err
	}
	b := by.head(private.Public().(ed25519.PublicKey))
	b = append(b, message...)
	b = append(b, ed25519.Sign(private, append([]byte(signedDomain), b...))...)
	return binary.LittleEndian.AppendUint32(b, crc32.ChecksumIEEE(b)), nil
}

// SignedSize is how many bytes SignResults makes of a message.
func SignedSize(message []byte, by Signature) int {
	return len(by.head(make([]byte, ed25519.PublicKeySize))) + len(message) + signedTail
}

func (s *Signature) valid() bool {
	return len(s.Who) <= record.MaxWho && utf8.ValidString(s.Who) && !strings.ContainsFunc(s.Who, unicode.IsControl) &&
		s.When >= 0 && s.When <= clock.MaxWall
}

func (s *Signature) head(public ed25519.PublicKey) []byte {
	b := append([]byte(signedMagic), signedVersion)
	b = append(b, s.Contest[:]...)
	b = binary.AppendUvarint(b, uint64(s.When))
	b = binary.AppendUvarint(b, uint64(len(s.Who)))
	b = append(b, s.Who...)
	return append(b, public...)
}

// ReadResults reads a results message, signed or not, or its text form with
// anything around it. Without a signature it gives nil; with one that does not
// fit, no results. Codes: CodeAltered and those of DecodeResults.
func ReadResults(b []byte) (Results, *Signature, error) {
	if !isSigned(b) {
		text, err := DecodeText(string(b))
		if err != nil || !isSigned(text) {
			r, err := DecodeResults(b)
			return r, nil, err
		}
		b = text
	}
	message, by, err := openSigned(b)
	if err != nil {
		return Results{}, nil, err
	}
	r, err := DecodeResults(message)
	if err != nil {
		return Results{}, nil, err
	}
	return r, by, nil
}

// IsResults tells whether a file is a whole results message, signed or not. Its
// two letters may begin any text, so its checksum is asked too.
func IsResults(b []byte) bool {
	end := len(b) - crc32.Size
	return end > 0 && (isSigned(b) || sniffFile(b) == Message) && binary.LittleEndian.Uint32(b[end:]) == crc32.ChecksumIEEE(b[:end])
}

func isSigned(b []byte) bool {
	return len(b) > len(signedMagic) && string(b[:len(signedMagic)]) == signedMagic
}

// openSigned checks the frame and the signature, and gives what was signed.
func openSigned(b []byte) ([]byte, *Signature, error) {
	if b[len(signedMagic)] == 0 {
		return nil, nil, malformed("version", "there is no version 0", nil)
	}
	if v := b[len(signedMagic)]; v != signedVersion {
		return nil, nil, newer(fmt.Sprintf("the signed results have version %d, this one reads %d", v, signedVersion))
	}
	end := len(b) - crc32.Size
	if end < len(signedMagic)+1 {
		return nil, nil, short()
	}
	if binary.LittleEndian.Uint32(b[end:]) != crc32.ChecksumIEEE(b[:end]) {
		return nil, nil, checksum()
	}
	by, public, message, ok := splitSigned(b[:end])
	if !ok {
		return nil, nil, malformed("signature", "it is cut off or cannot be", nil)
	}
	signed, sig := b[:len(b)-signedTail], b[len(b)-signedTail:end]
	if !ed25519.Verify(public, append([]byte(signedDomain), signed...), sig) {
		return nil, nil, engine.New(CodeAltered, "", "the results are not those that were signed: they were changed since, or somebody else signed them",
			"ask the owner of the contest for the results")
	}
	return message, by, nil
}

// splitSigned takes apart what SignResults puts together, without the checksum.
func splitSigned(b []byte) (*Signature, ed25519.PublicKey, []byte, bool) {
	var by Signature
	rest := b[len(signedMagic)+1:]
	if len(rest) < len(by.Contest) {
		return nil, nil, nil, false
	}
	rest = rest[copy(by.Contest[:], rest):]
	when, n := binary.Uvarint(rest)
	if n <= 0 || when > clock.MaxWall {
		return nil, nil, nil, false
	}
	by.When, rest = int64(when), rest[n:]
	length, n := binary.Uvarint(rest)
	if n <= 0 || length > record.MaxWho || len(rest)-n < int(length)+ed25519.PublicKeySize+ed25519.SignatureSize {
		return nil, nil, nil, false
	}
	by.Who, rest = string(rest[n:n+int(length)]), rest[n+int(length):]
	public := ed25519.PublicKey(bytes.Clone(rest[:ed25519.PublicKeySize]))
	by.Phone = record.PhoneOf(public)
	head := by.head(public)
	if !by.valid() || !bytes.Equal(head, b[:len(head)]) {
		return nil, nil, nil, false
	}
	return &by, public, b[len(head) : len(b)-ed25519.SignatureSize], true
}
