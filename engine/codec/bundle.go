// Package codec turns a set of logs into the bundle file that phones hand each
// other, and results into the short message that is shared afterwards. Both
// also have a text form, for messages.
//
// Start with EncodeBundle and DecodeBundle. What arrives is hostile until it is
// checked: limits hold before memory is set aside, and a set is given only when
// the checksum, every record, every hash chain and every signature are right.
//
// Files of a released version are read by every later one. Writing is
// deterministic: whatever is accepted is written again as the same bytes.
//
// # The bundle file
//
//	"KEELCARD"  version (1)  flags (0)  sections  0  CRC-32 of all before it, little endian
//
// A section is its number, its length as a varint and its bytes. Flags are left
// for sealed bundles; a file with a flag or a section not known here is refused
// as made by a newer version. Version 1 has section 1, the logs:
//
//	contest (8)  count  {public key (32)  records  signed (0 or 1)  signature (64)}
//
// sorted by phone, and section 2, the records of all logs one after the other,
// written by the models in records.go with the package rangecoder. The text form
// begins with the same word and white space after it, so there will be no
// versions 9 to 13.
package codec

import (
	"bytes"
	"crypto/ed25519"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"slices"

	"keelcard/engine"
	"keelcard/engine/codec/rangecoder"
	"keelcard/engine/record"
)

// Limits of a bundle, beside those of package record.
const (
	MaxFile     = 8 << 20   // bytes of a file
	MaxRecords  = 500_000   // records of all phones
	MaxReplaces = 1_000_000 // references of all records
	MaxValues   = 4 << 20   // bytes of all values
)

const (
	magic   = "KEELCARD"
	version = 1

	sectionEnd     = 0
	sectionLogs    = 1
	sectionRecords = 2
)

// Options change what EncodeBundle accepts.
type Options struct {
	Unsigned bool // let logs without a signature through, for this phone's own store
}

// EncodeBundle writes a set as a bundle file. It checks first what the reader
// will check, so that no phone hands over a file that no other takes in. Codes:
// CodeUnsigned, CodeTooLarge, CodeMalformed, and those of record.Verify.
func EncodeBundle(set record.Set, opt Options) ([]byte, error) {
	var records, replaces, values int
	for i := range set.Logs {
		l := &set.Logs[i]
		if i > 0 && bytes.Compare(set.Logs[i-1].Phone[:], l.Phone[:]) >= 0 {
			return nil, malformed(fmt.Sprintf("phone %v", l.Phone), "the logs are not sorted by phone", nil)
		}
		if err := checkLog(set.Contest, l, opt); err != nil {
			return nil, err
		}
		records += len(l.Records)
		for j := range l.Records {
			replaces += len(l.Records[j].Replaces)
			values += len(l.Records[j].Value)
		}
	}
	switch {
	case len(set.Logs) > record.MaxLogs:
		return nil, tooLarge("phones", uint64(len(set.Logs)), record.MaxLogs)
	case records > MaxRecords:
		return nil, tooLarge("records", uint64(records), MaxRecords)
	case replaces > MaxReplaces:
		return nil, tooLarge("references", uint64(replaces), MaxReplaces)
	case values > MaxValues:
		return nil, tooLarge("bytes of records", uint64(values), MaxValues)
	}
	b := encodeBundle(set)
	if len(b) > MaxFile {
		return nil, tooLarge("bytes", uint64(len(b)), MaxFile)
	}
	return b, nil
}

func checkLog(contest record.ContestID, l *record.Log, opt Options) error {
	if len(l.Sig) > 0 {
		return record.Verify(contest, *l)
	}
	if !opt.Unsigned {
		return engine.New(CodeUnsigned, fmt.Sprintf("phone %v", l.Phone), "the records are not signed",
			"sign the log before it is handed over")
	}
	if len(l.Public) != ed25519.PublicKeySize || record.PhoneOf(l.Public) != l.Phone {
		return malformed(fmt.Sprintf("phone %v", l.Phone), "the key belongs to another phone", nil)
	}
	return record.VerifyChain(contest, l)
}

// encodeBundle writes a set that was checked.
func encodeBundle(set record.Set) []byte {
	logs := append([]byte(nil), set.Contest[:]...)
	logs = binary.AppendUvarint(logs, uint64(len(set.Logs)))
	m := newModel(set.Logs)
	c := rangecoder.NewWriter()
	for i := range set.Logs {
		l := &set.Logs[i]
		logs = append(logs, l.Public...)
		logs = binary.AppendUvarint(logs, uint64(len(l.Records)))
		logs = append(logs, byte(min(len(l.Sig), 1)))
		logs = append(logs, l.Sig...)
		m.beginLog()
		for j := range l.Records {
			m.record(c, &l.Records[j])
		}
	}
	b := append([]byte(magic), version, 0)
	b = appendSection(b, sectionLogs, logs)
	b = appendSection(b, sectionRecords, c.Bytes())
	b = append(b, sectionEnd)
	return binary.LittleEndian.AppendUint32(b, crc32.ChecksumIEEE(b))
}

func appendSection(b []byte, id byte, data []byte) []byte {
	b = append(b, id)
	b = binary.AppendUvarint(b, uint64(len(data)))
	return append(b, data...)
}

// DecodeBundle reads a bundle file, or its text form with anything around it,
// and checks everything, signatures included. On an error the set is empty.
// Codes: CodeNotOurs, CodeShort, CodeChecksum, CodeNewer, CodeTooLarge,
// CodeMalformed, CodeRecord, CodeSignature.
func DecodeBundle(b []byte) (record.Set, error) {
	set, err := DecodeStored(b)
	if err != nil {
		return record.Set{}, err
	}
	for i := range set.Logs {
		if err := record.VerifySignature(set.Contest, &set.Logs[i]); err != nil {
			return record.Set{}, &engine.Error{Code: CodeSignature, Where: fmt.Sprintf("phone %v", set.Logs[i].Phone),
				What: "the records are not those that this phone signed", Cause: err,
				Fix: "ask this phone itself to hand its records over; nothing was taken over"}
		}
	}
	return set, nil
}

// DecodeStored reads a bundle that this phone has stored itself: logs may be
// unsigned and signatures are not checked. Everything else is checked as
// DecodeBundle does. It is not for what came from anywhere else.
func DecodeStored(b []byte) (record.Set, error) {
	b, err := unwrap(b, Bundle)
	if err != nil {
		return record.Set{}, err
	}
	logs, records, err := sections(b)
	if err != nil {
		return record.Set{}, err
	}
	set, counts, err := decodeLogs(logs)
	if err != nil {
		return record.Set{}, err
	}
	if err := decodeRecords(records, &set, counts); err != nil {
		return record.Set{}, err
	}
	if !bytes.Equal(encodeBundle(set), b) {
		return record.Set{}, malformed("", "the file is not written the way Keelcard writes it", nil)
	}
	return set, nil
}

// Form is what some bytes look like.
type Form int

// The forms that Sniff tells apart.
const (
	Foreign Form = iota // nothing of ours
	Bundle              // a bundle file
	Message             // a results message
)

// Sniff tells by its first bytes what a file is, also when it is in the text
// form. It does not check the rest.
func Sniff(b []byte) Form {
	if form := sniffFile(b); form != Foreign {
		return form
	}
	if b, err := DecodeText(string(b)); err == nil {
		return sniffFile(b)
	}
	return Foreign
}

func sniffFile(b []byte) Form {
	switch {
	case len(b) > len(magic) && string(b[:len(magic)]) == magic && b[len(magic)] < ' ' && !isBetween(rune(b[len(magic)])):
		return Bundle
	case len(b) > len(resultsMagic) && string(b[:len(resultsMagic)]) == resultsMagic:
		return Message
	}
	return Foreign
}

// unwrap gives the bytes of a file of the wanted form, from its text form if
// need be.
func unwrap(b []byte, want Form) ([]byte, error) {
	if len(b) > 2*MaxFile {
		return nil, tooLarge("bytes", uint64(len(b)), MaxFile)
	}
	form := sniffFile(b)
	if form == Foreign {
		if len(b) > 0 && len(b) <= len(magic) && magic[:len(b)] == string(b) {
			return nil, short()
		}
		text, err := DecodeText(string(b))
		if err != nil {
			return nil, err
		}
		b, form = text, sniffFile(text)
	}
	switch {
	case form == want && len(b) > MaxFile:
		return nil, tooLarge("bytes", uint64(len(b)), MaxFile)
	case form == want:
		return b, nil
	case form == Message:
		return nil, notOurs("this is a results message, which holds no records")
	case form == Bundle:
		return nil, notOurs("this is a file of records, not a results message")
	}
	return nil, notOurs("this is not a Keelcard file")
}

// sections checks the frame of a bundle and gives its two sections.
func sections(b []byte) (logs, records []byte, err error) {
	rest := b[len(magic):]
	if len(rest) < 2 {
		return nil, nil, short()
	}
	if rest[0] == 0 {
		return nil, nil, malformed("version", "there is no version 0", nil)
	}
	if rest[0] != version {
		return nil, nil, newer(fmt.Sprintf("it has version %d, this one reads %d", rest[0], version))
	}
	if rest[1] != 0 {
		return nil, nil, newer(fmt.Sprintf("it is sealed or marked in a way not known here (flags %08b)", rest[1]))
	}
	rest = rest[2:]
	var found [3][]byte
	var unknown []byte
	for last := byte(0); ; {
		if len(rest) == 0 {
			return nil, nil, short()
		}
		id := rest[0]
		rest = rest[1:]
		if id == sectionEnd {
			break
		}
		n, used := binary.Uvarint(rest)
		if used <= 0 || n > uint64(len(rest)-used) {
			return nil, nil, short()
		}
		if id > sectionRecords {
			unknown = append(unknown, id)
		} else if id <= last {
			return nil, nil, malformed(fmt.Sprintf("section %d", id), "it is out of order or there twice", nil)
		} else {
			found[id] = rest[used : used+int(n)]
			last = id
		}
		rest = rest[used+int(n):]
	}
	switch {
	case len(rest) < crc32.Size:
		return nil, nil, short()
	case len(rest) > crc32.Size:
		return nil, nil, malformed("", fmt.Sprintf("%d bytes follow after the end", len(rest)-crc32.Size), nil)
	case binary.LittleEndian.Uint32(rest) != crc32.ChecksumIEEE(b[:len(b)-crc32.Size]):
		return nil, nil, checksum()
	case len(unknown) > 0:
		return nil, nil, newer(fmt.Sprintf("it has a section %d", unknown[0]))
	case found[sectionLogs] == nil || found[sectionRecords] == nil:
		return nil, nil, malformed("", "a section is missing", nil)
	}
	return found[sectionLogs], found[sectionRecords], nil
}

// decodeLogs reads section 1: logs without records, and how many each will have.
func decodeLogs(b []byte) (record.Set, []int, error) {
	var set record.Set
	bad := func(what string) (record.Set, []int, error) {
		return record.Set{}, nil, malformed("logs", what, nil)
	}
	if len(b) < len(set.Contest) {
		return bad("the contest is missing")
	}
	b = b[copy(set.Contest[:], b):]
	n, used := binary.Uvarint(b)
	if used <= 0 {
		return bad("the number of logs is missing")
	}
	if n > record.MaxLogs {
		return record.Set{}, nil, tooLarge("phones", n, record.MaxLogs)
	}
	b = b[used:]
	var counts []int
	total := uint64(0)
	for range n {
		if len(b) < ed25519.PublicKeySize {
			return bad("a key is cut off")
		}
		public := ed25519.PublicKey(slices.Clone(b[:ed25519.PublicKeySize]))
		b = b[ed25519.PublicKeySize:]
		count, used := binary.Uvarint(b)
		if used <= 0 || used == len(b) || b[used] > 1 {
			return bad("the head of a log is cut off or wrong")
		}
		if total += min(count, MaxRecords+1); total > MaxRecords {
			return record.Set{}, nil, tooLarge("records", total, MaxRecords)
		}
		signed := b[used] == 1
		b = b[used+1:]
		l := record.NewLog(set.Contest, public)
		if signed {
			if len(b) < ed25519.SignatureSize {
				return bad("a signature is cut off")
			}
			l.Sig = slices.Clone(b[:ed25519.SignatureSize])
			b = b[ed25519.SignatureSize:]
		}
		if k := len(set.Logs); k > 0 && bytes.Compare(set.Logs[k-1].Phone[:], l.Phone[:]) >= 0 {
			return bad("the logs are not sorted by phone")
		}
		set.Logs = append(set.Logs, l)
		counts = append(counts, int(count))
	}
	if len(b) > 0 {
		return bad(fmt.Sprintf("%d bytes are left over", len(b)))
	}
	return set, counts, nil
}

// decodeRecords reads section 2 into the logs of the set.
func decodeRecords(b []byte, set *record.Set, counts []int) error {
	c := rangecoder.NewReader(b)
	m := newModel(set.Logs)
	for i := range set.Logs {
		l := &set.Logs[i]
		sig := l.Sig
		m.beginLog()
		l.Records = make([]record.Record, 0, min(counts[i], 16*len(b)))
		for seq := range counts[i] {
			r := record.Record{Phone: l.Phone, Seq: uint32(seq) + 1}
			m.record(c, &r)
			if m.err == nil && c.Short() {
				m.err = malformed("records", "they end too early", nil)
			}
			if m.err != nil {
				return m.err
			}
			if err := l.Append(r); err != nil {
				return &engine.Error{Code: CodeRecord, Where: "record " + r.Ref().String(),
					What: "the file holds a record that cannot be", Fix: askAgain, Cause: err}
			}
		}
		l.Sig = sig
	}
	if err := c.End(); err != nil {
		return malformed("records", "there are more or fewer bytes than records", err)
	}
	return nil
}
