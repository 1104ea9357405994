// Package record is the append-only log that each phone writes: one Record for
// each thing a person put down, chained by hashes, signed when it is handed
// over. Nothing in a log is ever changed; a correction is a new record that
// names what it replaces.
//
// Start with NewLog and Log.Append to write, with Sign to hand a log over and
// with Verify to take one in. Encode and Decode are the one canonical form of a
// record, for the store and for the hash chain.
//
// A later version may add kinds of records and flags. Both travel through this
// version unchanged: kinds that are not named here and the bits of Flags are
// kept byte for byte.
package record

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"keelcard/engine"
	"keelcard/engine/clock"
)

// Limits of one record and of a set. Whatever arrives is held to them before
// memory is set aside for it.
const (
	MaxWho      = 40        // bytes
	MaxValue    = 64 << 10  // bytes
	MaxReplaces = 64        // references
	MaxRecords  = 1_000_000 // records in one log
	MaxLogs     = 1000      // logs in one set
)

// Codes of the errors of this package.
const (
	CodeShort     engine.Code = "record.short"     // the bytes end within a record
	CodeCanonical engine.Code = "record.canonical" // written in another way than Encode writes it
	CodeLimit     engine.Code = "record.limit"     // a field is longer or larger than allowed
	CodeField     engine.Code = "record.field"     // a field holds something that cannot be
	CodeID        engine.Code = "record.id"        // the text is no identifier
	CodePhone     engine.Code = "record.phone"     // phone number and key do not belong together
	CodeGap       engine.Code = "record.gap"       // the numbers of a log do not follow each other
	CodeChain     engine.Code = "record.chain"     // the records are not those that were chained
	CodeSignature engine.Code = "record.signature" // missing or made by another key
	CodeRenewal   engine.Code = "record.renewal"   // a phone says it was another, and does not prove it
	CodePart      engine.Code = "record.part"      // the records before those of a log are not here
)

// PhoneID names a phone: the first eight bytes of the SHA-256 of its public key.
type PhoneID [8]byte

// String gives four groups of four hexadecimal digits: "1a2b-3c4d-5e6f-7a8b".
func (p PhoneID) String() string {
	h := hex.EncodeToString(p[:])
	return h[:4] + "-" + h[4:8] + "-" + h[8:12] + "-" + h[12:]
}

// ParsePhoneID reads what String writes; the dashes may be missing and the
// digits may be capitals. The code of its error is CodeID.
func ParsePhoneID(s string) (PhoneID, error) {
	id, ok := parseHex8(strings.ReplaceAll(s, "-", ""))
	if !ok {
		return PhoneID{}, engine.New(CodeID, "", fmt.Sprintf("%q is no phone number", s),
			"write 16 hexadecimal digits, like 1a2b-3c4d-5e6f-7a8b")
	}
	return PhoneID(id), nil
}

// ContestID names a contest: eight random bytes made when it is set up.
type ContestID [8]byte

// String gives 16 hexadecimal digits.
func (c ContestID) String() string { return hex.EncodeToString(c[:]) }

// ParseContestID reads what String writes; capitals are allowed. The code of
// its error is CodeID.
func ParseContestID(s string) (ContestID, error) {
	id, ok := parseHex8(s)
	if !ok {
		return ContestID{}, engine.New(CodeID, "", fmt.Sprintf("%q is no contest number", s),
			"write 16 hexadecimal digits")
	}
	return ContestID(id), nil
}

func parseHex8(s string) (id [8]byte, ok bool) {
	b, err := hex.DecodeString(s)
	if err != nil || len(b) != 8 {
		return id, false
	}
	return [8]byte(b), true
}

// Ref names one record of a contest.
type Ref struct {
	Phone PhoneID
	Seq   uint32 // 1, 2, 3, ... in the phone's log
}

// String gives phone and number: "1a2b-3c4d-5e6f-7a8b/12".
func (r Ref) String() string { return fmt.Sprintf("%v/%d", r.Phone, r.Seq) }

// CompareRefs sorts by phone, then by number.
func CompareRefs(a, b Ref) int {
	if c := bytes.Compare(a.Phone[:], b.Phone[:]); c != 0 {
		return c
	}
	return cmp.Compare(a.Seq, b.Seq)
}

// Kind says what a record is about. Kinds not named here are kept as they are.
type Kind uint8

// The kinds of this version, with contest.KindSeen, which is 11. 17 and up are
// left for later ones.
const (
	KindContest Kind = 1
	KindClass   Kind = 2
	KindPerson  Kind = 3
	KindTeam    Kind = 4
	KindKey     Kind = 5
	KindCard    Kind = 6
	KindLock    Kind = 7
	KindBook    Kind = 8
	KindPhone   Kind = 9
	KindRuling  Kind = 10
	KindRole    Kind = 12
	KindRenewal Kind = 13
	KindRelease Kind = 14
	KindJoin    Kind = 15
	KindClaim   Kind = 16
)

// Subject is what a record is about. What A and B mean depends on the kind:
//
//	Class   A class
//	Person  A contestant number
//	Team    A team
//	Key     A class, B item, 0 for the whole class
//	Card    A class, B contestant number
//	Lock    A class
//	Book    A number of a rule book of the contest
//	Ruling  A class, B item, 0 for the whole class
//	Phone   A and B the number of a phone, as with Role, Renewal, Join and Claim
//	Release A 0 the results, otherwise the turn of a secret
type Subject struct {
	Kind Kind
	A, B uint32
}

// Subject is what a record of some kind is about when that is a phone.
func (p PhoneID) Subject(kind Kind) Subject {
	return Subject{Kind: kind, A: binary.BigEndian.Uint32(p[:4]), B: binary.BigEndian.Uint32(p[4:])}
}

// PhoneOfSubject is the phone that a record is about.
func PhoneOfSubject(sub Subject) (p PhoneID) {
	binary.BigEndian.PutUint32(p[:4], sub.A)
	binary.BigEndian.PutUint32(p[4:], sub.B)
	return p
}

// CompareSubjects sorts by kind, then A, then B.
func CompareSubjects(a, b Subject) int {
	if c := cmp.Compare(a.Kind, b.Kind); c != 0 {
		return c
	}
	if c := cmp.Compare(a.A, b.A); c != 0 {
		return c
	}
	return cmp.Compare(a.B, b.B)
}

// Flags are the bits of a record. Those that this version does not know are kept.
type Flags uint16

// Sealed marks a record whose value is sealed, see keelcard/engine/seal.
const Sealed Flags = 1

// Record is one thing that one person put down on one phone.
type Record struct {
	Phone    PhoneID
	Seq      uint32 // 1, 2, 3, ... without gaps in the phone's log of a contest
	Stamp    clock.Stamp
	Who      string // "role/short name", such as "keyer/MB"
	Subject  Subject
	Value    string // canonical payload of the kind; "" is a withdrawal
	Again    bool   // a second keying made on purpose; it replaces nothing
	Flags    Flags
	Replaces []Ref // what its writer saw as current, sorted, none twice
}

// A sealed value begins with its form, which secret it is sealed under, and a mark
// that is the same for the same value of the same subject.
const (
	sealedForm = 1
	sealedHead = 1 + 4 + 8
	veil       = `{"sealed":"`
)

// Sealed tells whether the value of the record is sealed. A withdrawal never is.
func (r *Record) Sealed() bool { return r.Flags&Sealed != 0 && r.Value != "" }

// Veil is what stands for the value of a sealed record where it cannot be read:
// an object with one field, "sealed". It is equal for equal values of a subject.
func (r *Record) Veil() string {
	mark := r.Value
	if len(mark) >= sealedHead && mark[0] == sealedForm {
		mark = mark[1:sealedHead]
	} else {
		sum := sha256.Sum256([]byte(mark))
		mark = string(sum[:])
	}
	return veil + hex.EncodeToString([]byte(mark)) + `"}`
}

// Veiled tells whether a value stands for one that cannot be read.
func Veiled(value string) bool { return strings.HasPrefix(value, veil) }

// Ref names the record itself.
func (r *Record) Ref() Ref { return Ref{r.Phone, r.Seq} }

// Equal says whether two records are the same in every field, and so in their
// canonical bytes.
func Equal(a, b *Record) bool {
	return a.Seq == b.Seq && a.Phone == b.Phone && a.Stamp == b.Stamp && a.Subject == b.Subject &&
		a.Again == b.Again && a.Flags == b.Flags && a.Who == b.Who && a.Value == b.Value &&
		slices.Equal(a.Replaces, b.Replaces)
}

// Validate checks what has to hold for any record. Codes: CodeLimit, CodeField.
func (r *Record) Validate() error {
	switch {
	case r.Seq < 1 || r.Seq > MaxRecords:
		return r.fault(CodeLimit, "number", fmt.Sprintf("%d is outside 1 to %d", r.Seq, MaxRecords))
	case r.Stamp.Wall < 0 || r.Stamp.Wall > clock.MaxWall:
		return r.fault(CodeLimit, "time", fmt.Sprintf("%d is outside 0 to %d", r.Stamp.Wall, int64(clock.MaxWall)))
	case len(r.Who) > MaxWho:
		return r.fault(CodeLimit, "who", fmt.Sprintf("%d bytes, at most %d are allowed", len(r.Who), MaxWho))
	case !plain(r.Who):
		return r.fault(CodeField, "who", fmt.Sprintf("%q holds something that cannot be shown", r.Who))
	case r.Subject.Kind == 0:
		return r.fault(CodeField, "kind", "0 is no kind of record")
	case len(r.Value) > MaxValue:
		return r.fault(CodeLimit, "value", fmt.Sprintf("%d bytes, at most %d are allowed", len(r.Value), MaxValue))
	case len(r.Replaces) > MaxReplaces:
		return r.fault(CodeLimit, "replaces", fmt.Sprintf("%d records, at most %d are allowed", len(r.Replaces), MaxReplaces))
	case r.Again && len(r.Replaces) > 0:
		return r.fault(CodeField, "replaces", "a second keying replaces nothing")
	}
	return r.validateReplaces()
}

func (r *Record) validateReplaces() error {
	for i, ref := range r.Replaces {
		switch {
		case ref.Seq < 1 || ref.Seq > MaxRecords:
			return r.fault(CodeLimit, "replaces", fmt.Sprintf("number %d is outside 1 to %d", ref.Seq, MaxRecords))
		case ref.Phone == r.Phone && ref.Seq >= r.Seq:
			return r.fault(CodeField, "replaces", fmt.Sprintf("number %d of the same phone is not written yet", ref.Seq))
		case i > 0 && CompareRefs(r.Replaces[i-1], ref) >= 0:
			return r.fault(CodeCanonical, "replaces", fmt.Sprintf("%v is out of order", ref))
		}
	}
	return nil
}

func (r *Record) fault(code engine.Code, field, what string) error {
	return engine.New(code, fmt.Sprintf("record %v, %s", r.Ref(), field), what, "the record cannot be used as it is")
}

// plain reports whether s is valid text without control characters.
func plain(s string) bool {
	return utf8.ValidString(s) && !strings.ContainsFunc(s, unicode.IsControl)
}

const flagAgain = 1 // the lowest bit of the written flags; Flags lie above it

// Encode appends the canonical bytes of the record. Integers are unsigned
// varints of least length, texts carry their length in front:
//
//	phone (8) seq wall tick kind (1) flags A B who value count {phone (8) seq}
//
// The lowest bit of flags is Again, the others are Flags.
func (r *Record) Encode(dst []byte) []byte {
	flags := uint64(r.Flags) << 1
	if r.Again {
		flags |= flagAgain
	}
	dst = append(dst, r.Phone[:]...)
	dst = binary.AppendUvarint(dst, uint64(r.Seq))
	dst = binary.AppendUvarint(dst, uint64(r.Stamp.Wall))
	dst = binary.AppendUvarint(dst, uint64(r.Stamp.Tick))
	dst = append(dst, byte(r.Subject.Kind))
	dst = binary.AppendUvarint(dst, flags)
	dst = binary.AppendUvarint(dst, uint64(r.Subject.A))
	dst = binary.AppendUvarint(dst, uint64(r.Subject.B))
	dst = binary.AppendUvarint(dst, uint64(len(r.Who)))
	dst = append(dst, r.Who...)
	dst = binary.AppendUvarint(dst, uint64(len(r.Value)))
	dst = append(dst, r.Value...)
	dst = binary.AppendUvarint(dst, uint64(len(r.Replaces)))
	for _, ref := range r.Replaces {
		dst = append(dst, ref.Phone[:]...)
		dst = binary.AppendUvarint(dst, uint64(ref.Seq))
	}
	return dst
}

// Decode reads one record from the front of b and gives the bytes after it.
// Anything Encode would not have written is refused. Codes: CodeShort,
// CodeCanonical, CodeLimit, CodeField.
func Decode(b []byte) (Record, []byte, error) {
	d := reader{b: b}
	var r Record
	copy(r.Phone[:], d.take(len(r.Phone)))
	r.Seq = uint32(d.uvarint(MaxRecords))
	r.Stamp.Wall = int64(d.uvarint(clock.MaxWall))
	r.Stamp.Tick = uint16(d.uvarint(1<<16 - 1))
	if k := d.take(1); d.err == nil {
		r.Subject.Kind = Kind(k[0])
	}
	flags := d.uvarint(1<<17 - 1)
	r.Again, r.Flags = flags&flagAgain != 0, Flags(flags>>1)
	r.Subject.A = uint32(d.uvarint(1<<32 - 1))
	r.Subject.B = uint32(d.uvarint(1<<32 - 1))
	r.Who = string(d.take(int(d.uvarint(MaxWho))))
	r.Value = string(d.take(int(d.uvarint(MaxValue))))
	if n := int(d.uvarint(MaxReplaces)); n > 0 && d.err == nil {
		r.Replaces = make([]Ref, n)
		for i := range r.Replaces {
			copy(r.Replaces[i].Phone[:], d.take(len(PhoneID{})))
			r.Replaces[i].Seq = uint32(d.uvarint(MaxRecords))
		}
	}
	if d.err != nil {
		return Record{}, b, d.err
	}
	if err := r.Validate(); err != nil {
		return Record{}, b, err
	}
	return r, d.b, nil
}

// reader takes fields off the front of b; after the first fault it gives zeros.
type reader struct {
	b   []byte
	err error
}

func (d *reader) fail(code engine.Code, what string) {
	if d.err == nil {
		d.err = engine.New(code, "record", what, "take the records in again from the phone that wrote them")
	}
}

func (d *reader) take(n int) []byte {
	if d.err == nil && n > len(d.b) {
		d.fail(CodeShort, fmt.Sprintf("%d bytes are wanted and %d are left", n, len(d.b)))
	}
	if d.err != nil {
		return nil
	}
	field := d.b[:n]
	d.b = d.b[n:]
	return field
}

func (d *reader) uvarint(most uint64) uint64 {
	if d.err != nil {
		return 0
	}
	v, n := binary.Uvarint(d.b)
	switch {
	case n == 0:
		d.fail(CodeShort, "the bytes end within a number")
	case n < 0 || v > most:
		d.fail(CodeLimit, fmt.Sprintf("a number is larger than %d", most))
	case n > 1 && d.b[n-1] == 0:
		d.fail(CodeCanonical, fmt.Sprintf("the number %d is written longer than needed", v))
	}
	if d.err != nil {
		return 0
	}
	d.b = d.b[n:]
	return v
}
