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
// as made by a newer version. Section 1 is the logs, in version 1
//
//	contest (8)  count  {public key (32)  records  signed (0 or 1)  signature (64)}
//
// sorted by phone, and section 2 the records of all logs one after the other,
// written by the models in records.go with the package rangecoder. The text form
// begins with the same word and white space after it, so there will be no
// versions 9 to 13.
//
// Version 2 is written only for what version 1 cannot hold: logs without their
// beginning, which the receiver has (see record.Set.Since), and several logs of
// one phone (see record.Tree). Its section 1 is
//
//	contest (8)  count  {public key (32)  skip  head after those skipped (32)
//	    logs  {shared  records  signed (0 or 1)  signature (64)}}
//
// where the head stands only if something is skipped, and shared, the number of
// records that a log has in common with the one before it, is left out for the
// first. Only the records that follow those are counted and written. In version
// 2 a number that was named once is known from then on.
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
	magic      = "KEELCARD"
	version    = 2 // the highest that is read
	plainLogs  = 1 // whole logs, one a phone
	partedLogs = 2

	sectionEnd     = 0
	sectionLogs    = 1
	sectionRecords = 2
)

// Options change what EncodeBundle accepts.
type Options struct {
	Unsigned bool // let logs without a signature through, for this phone's own store
}

// EncodeBundle writes a set, or what Set.Since left of it, as a bundle file. It checks first what the reader
// will check, so that no phone hands over a file that no other takes in. Codes:
// CodeUnsigned, CodeTooLarge, CodeMalformed, and those of record.Verify.
func EncodeBundle(set record.Set, opt Options) ([]byte, error) {
	var records, replaces, values int
	if err := checkOrder(set); err != nil {
		return nil, err
	}
	for i := range set.Logs {
		l := &set.Logs[i]
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
	b := encodeBundle(set, versionOf(set))
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

// checkOrder checks that the logs are sorted by phone, and those of one phone
// the way a record.Tree sorts them, all from the same number on.
func checkOrder(set record.Set) error {
	var last *record.Log
	for logs := range set.Phones {
		l := &logs[0]
		where := fmt.Sprintf("phone %v", l.Phone)
		if last != nil && bytes.Compare(last.Phone[:], l.Phone[:]) >= 0 {
			return malformed(where, "the logs are not sorted by phone", nil)
		}
		last = l
		for i := range logs {
			if logs[i].Skip > 0 && len(logs[i].Records) == 0 {
				return malformed(where, "nothing follows what is left out", nil)
			}
			if logs[i].Skip != l.Skip || logs[i].Base != l.Base || !logs[i].Public.Equal(l.Public) {
				return malformed(where, "its logs do not begin alike", nil)
			}
		}
		if len(logs) > record.MaxBranches {
			return tooLarge("logs of one phone", uint64(len(logs)), record.MaxBranches)
		}
		if len(logs) > 1 && !isTree(set.Contest, logs) {
			return malformed(where, "its logs are not sorted, or one is the beginning of another", nil)
		}
	}
	return nil
}

func isTree(contest record.ContestID, logs []record.Log) bool {
	t := record.NewTree(contest, logs...)
	return slices.EqualFunc(t.Logs, logs, func(a, b record.Log) bool { return a.Head == b.Head })
}

// versionOf gives the version in which a set is written: the lowest that holds it.
func versionOf(set record.Set) byte {
	for i := range set.Logs {
		if set.Logs[i].Skip > 0 || i > 0 && set.Logs[i].Phone == set.Logs[i-1].Phone {
			return partedLogs
		}
	}
	return plainLogs
}

// encodeBundle writes a set that was checked.
func encodeBundle(set record.Set, version byte) []byte {
	w := newWriting(set.Contest, set.Logs, version)
	if version == plainLogs {
		w.number(len(set.Logs))
		for i := range set.Logs {
			l := &set.Logs[i]
			w.logs = append(w.logs, l.Public...)
			w.log(l, 0)
		}
		return w.bytes(version)
	}
	phones := 0
	for range set.Phones {
		phones++
	}
	w.number(phones)
	for logs := range set.Phones {
		w.phone(set.Contest, logs)
	}
	return w.bytes(version)
}

// writing is a bundle on its way to bytes.
type writing struct {
	logs  []byte // section 1
	coder *rangecoder.Coder
	model *model
}

func newWriting(contest record.ContestID, logs []record.Log, version byte) *writing {
	return &writing{append([]byte(nil), contest[:]...), rangecoder.NewWriter(), newModel(logs, version)}
}

func (w *writing) bytes(version byte) []byte {
	b := append([]byte(magic), version, 0)
	b = appendSection(b, sectionLogs, w.logs)
	b = appendSection(b, sectionRecords, w.coder.Bytes())
	b = append(b, sectionEnd)
	return binary.LittleEndian.AppendUint32(b, crc32.ChecksumIEEE(b))
}

func (w *writing) number(n int) { w.logs = binary.AppendUvarint(w.logs, uint64(n)) }

// phone writes the logs of one phone the way of version 2.
func (w *writing) phone(contest record.ContestID, logs []record.Log) {
	w.begin(&logs[0], len(logs))
	if len(logs) == 1 {
		w.log(&logs[0], 0)
		return
	}
	t := record.NewTree(contest, logs...)
	for i := range t.Logs {
		if i > 0 {
			w.number(t.Shared(i))
		}
		w.log(&t.Logs[i], t.Shared(i))
	}
}

// begin writes what the logs of a phone have in common.
func (w *writing) begin(l *record.Log, logs int) {
	w.logs = append(w.logs, l.Public...)
	w.number(int(l.Skip))
	if l.Skip > 0 {
		w.logs = append(w.logs, l.Base[:]...)
	}
	w.number(logs)
}

// log writes the records of a log but for the first ones, and its signature.
func (w *writing) log(l *record.Log, shared int) {
	w.number(len(l.Records) - shared)
	w.logs = append(w.logs, byte(min(len(l.Sig), 1)))
	w.logs = append(w.logs, l.Sig...)
	w.model.beginLog()
	for i := range l.Records[shared:] {
		w.model.record(w.coder, &l.Records[shared+i])
	}
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
	version := b[len(magic)]
	heads := logsReader{b: logs, version: version}
	set, counts, err := heads.read()
	if err != nil {
		return record.Set{}, err
	}
	if err := decodeRecords(records, &set, counts, version); err != nil {
		return record.Set{}, err
	}
	if err := checkOrder(set); err != nil {
		return record.Set{}, err
	}
	if versionOf(set) != version || !bytes.Equal(encodeBundle(set, version), b) {
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

// IsBundle tells by its first bytes whether a file is a bundle.
func IsBundle(b []byte) bool { return sniffFile(b) == Bundle }

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
	if rest[0] > version {
		return nil, nil, newer(fmt.Sprintf("it has version %d, this one reads up to %d", rest[0], version))
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

// count says how many records a log has: those that the one before it has, too,
// and those that follow in section 2.
type count struct{ shared, more int }

// logsReader reads section 1: logs without records, and how many each will have.
// After the first fault it reads nothing more.
type logsReader struct {
	b       []byte
	version byte
	err     error
	total   uint64 // records of all logs so far
	set     record.Set
	counts  []count
}

func (r *logsReader) read() (record.Set, []count, error) {
	copy(r.set.Contest[:], r.take(len(r.set.Contest), "the contest"))
	for range r.upTo(record.MaxLogs, "phones") {
		if r.version == plainLogs {
			r.log(record.NewLog(r.set.Contest, r.key()), true)
		} else {
			r.phone()
		}
		if r.err != nil {
			break
		}
	}
	if len(r.b) > 0 {
		r.fail(fmt.Sprintf("%d bytes are left over", len(r.b)))
	}
	if r.err != nil {
		return record.Set{}, nil, r.err
	}
	return r.set, r.counts, nil
}

func (r *logsReader) key() ed25519.PublicKey {
	return slices.Clone(r.take(ed25519.PublicKeySize, "a key"))
}

// phone reads the logs of one phone the way of version 2.
func (r *logsReader) phone() {
	l := record.NewLog(r.set.Contest, r.key())
	if l.Skip = uint32(r.upTo(record.MaxRecords, "records left out")); l.Skip > 0 {
		copy(l.Base[:], r.take(len(l.Base), "the head of what is left out"))
		l.Head = l.Base
	}
	n := r.upTo(record.MaxBranches, "logs of one phone")
	if n == 0 {
		r.fail("a phone has no log")
	}
	for i := range n {
		if r.err == nil {
			r.log(l, i == 0)
		}
	}
}

// log reads the head of a log.
func (r *logsReader) log(l record.Log, first bool) {
	var n count
	if !first {
		n.shared = int(r.upTo(MaxRecords, "records"))
		if before := r.counts[len(r.counts)-1]; n.shared > before.shared+before.more {
			r.fail("a log shares more than there is")
		}
	}
	n.more = int(r.upTo(MaxRecords, "records"))
	if r.total += uint64(n.shared + n.more); r.total > MaxRecords && r.err == nil {
		r.err = tooLarge("records", r.total, MaxRecords)
	}
	switch signed := r.take(1, "the head of a log"); {
	case r.err != nil:
		return
	case signed[0] > 1:
		r.fail("the head of a log is wrong")
	case signed[0] == 1:
		l.Sig = slices.Clone(r.take(ed25519.SignatureSize, "a signature"))
	}
	if len(r.set.Logs)+1 > record.MaxLogs {
		r.err = tooLarge("logs", uint64(len(r.set.Logs)+1), record.MaxLogs)
	}
	r.set.Logs = append(r.set.Logs, l)
	r.counts = append(r.counts, n)
}

func (r *logsReader) fail(what string) {
	if r.err == nil {
		r.err = malformed("logs", what, nil)
	}
}

func (r *logsReader) take(n int, what string) []byte {
	if len(r.b) < n {
		r.fail(what + " is cut off")
	}
	if r.err != nil {
		return nil
	}
	field := r.b[:n]
	r.b = r.b[n:]
	return field
}

// upTo reads a number.
func (r *logsReader) upTo(most uint64, what string) uint64 {
	n, used := binary.Uvarint(r.b)
	switch {
	case r.err != nil:
		return 0
	case used < 0:
		r.err = tooLarge(what, 1<<64-1, most)
		return 0
	case used == 0:
		r.fail("the number of " + what + " is cut off")
		return 0
	case n > most:
		r.err = tooLarge(what, n, most)
		return 0
	}
	r.b = r.b[used:]
	return n
}

// decodeRecords reads section 2 into the logs of the set.
func decodeRecords(b []byte, set *record.Set, counts []count, version byte) error {
	c := rangecoder.NewReader(b)
	m := newModel(set.Logs, version)
	for i := range set.Logs {
		l, n := &set.Logs[i], counts[i]
		sig := l.Sig
		m.beginLog()
		if n.shared > 0 {
			before := &set.Logs[i-1]
			l.Records = slices.Clip(before.Records[:n.shared])
			l.Head = before.HeadAt(set.Contest, l.Skip+uint32(n.shared))
		}
		l.Records = slices.Grow(l.Records, min(n.more, 16*len(b)))
		for range n.more {
			r := record.Record{Phone: l.Phone, Seq: l.Last() + 1}
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
