package record

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/binary"
	"fmt"

	"keelcard/engine"
)

// The texts in front of what is hashed and signed, so that neither can be
// taken for anything else.
const (
	chainDomain = "keelcard log chain 1\x00"
	signDomain  = "keelcard log signature 1\x00"
)

// Log is what one phone wrote in one contest, from its first record on. Make it
// with NewLog and let it grow with Append. In what is handed over the beginning
// may be left out, see Set.Since; such a part counts only once it is attached.
type Log struct {
	Phone   PhoneID
	Public  ed25519.PublicKey
	Skip    uint32   // records left out in front; 0 for a whole log
	Base    [32]byte // the head after those; zero for a whole log
	Records []Record
	Head    [32]byte // hash chain over the canonical records
	Sig     []byte   // over contest, phone, count and head; empty until handed over
}

// Set is the logs of one contest, sorted by phone. A phone that was set back or
// copied may have several, see Tree.
type Set struct {
	Contest ContestID
	Logs    []Log
}

// PhoneOf names the phone that has the public key.
func PhoneOf(public ed25519.PublicKey) PhoneID {
	sum := sha256.Sum256(public)
	return PhoneID(sum[:len(PhoneID{})])
}

// NewLog begins the log of a phone in a contest. The chain starts from a hash
// of both, so a log cannot be moved to another contest or phone.
func NewLog(contest ContestID, public ed25519.PublicKey) Log {
	l := Log{Phone: PhoneOf(public), Public: public}
	l.Head = l.start(contest)
	return l
}

// start is the head before the first record.
func (l *Log) start(contest ContestID) [32]byte {
	if l.Skip > 0 {
		return l.Base
	}
	start := append([]byte(chainDomain), contest[:]...)
	return sha256.Sum256(append(start, l.Public...))
}

// Last is the number of the last record, 0 before the first.
func (l *Log) Last() uint32 { return l.Skip + uint32(len(l.Records)) }

// Append adds the next record and moves the head on; the signature of the
// shorter log is dropped. Codes: CodePhone, CodeGap and those of Validate.
func (l *Log) Append(r Record) error {
	if l.Head == [32]byte{} {
		return engine.New(CodeChain, fmt.Sprintf("phone %v", l.Phone), "the log was not begun", "begin it with NewLog")
	}
	if err := l.follows(&r, l.Last()); err != nil {
		return err
	}
	l.Head = chain(l.Head, &r)
	l.Records = append(l.Records, r)
	l.Sig = nil
	return nil
}

// follows checks that r may stand after the first n records.
func (l *Log) follows(r *Record, n uint32) error {
	if r.Phone != l.Phone {
		return engine.New(CodePhone, fmt.Sprintf("phone %v", l.Phone),
			fmt.Sprintf("the record %v is of another phone", r.Ref()), "each phone has its own log")
	}
	if want := n + 1; r.Seq != want {
		return engine.New(CodeGap, fmt.Sprintf("phone %v", l.Phone),
			fmt.Sprintf("record %d stands where record %d is due", r.Seq, want),
			"ask this phone to hand its records over again")
	}
	return r.Validate()
}

// Chain is the hash that stands for all records up to r when head stands for
// those before it.
func Chain(head [32]byte, r *Record) [32]byte { return chain(head, r) }

// chain gives the head after r: sha256(head || canonical bytes of r).
func chain(head [32]byte, r *Record) [32]byte {
	var scratch [256]byte
	b := append(scratch[:0], head[:]...)
	return sha256.Sum256(r.Encode(b))
}

// message is what a signature covers: the whole log up to its head.
func (l *Log) message(contest ContestID) []byte {
	b := append([]byte(signDomain), contest[:]...)
	b = append(b, l.Phone[:]...)
	b = binary.BigEndian.AppendUint32(b, l.Last())
	return append(b, l.Head[:]...)
}

// Sign signs the log as it stands. One signature covers all of it, so it is
// made when a log is handed over, not at each tap. Code: CodePhone when the
// key is not the one of the log.
func Sign(contest ContestID, l *Log, private ed25519.PrivateKey) error {
	if len(private) != ed25519.PrivateKeySize || !l.Public.Equal(private.Public()) {
		return engine.New(CodePhone, fmt.Sprintf("phone %v", l.Phone),
			"the signing key belongs to another phone", "sign each log on the phone that wrote it")
	}
	l.Sig = ed25519.Sign(private, l.message(contest))
	return nil
}

// Verify checks a whole log: that its phone has this key, that its numbers
// follow each other, that the head is the one of these records in this contest,
// and the signature. Codes: CodePhone, CodeGap, CodeChain, CodeSignature and
// those of Validate.
func Verify(contest ContestID, l Log) error {
	if err := VerifySignature(contest, &l); err != nil {
		return err
	}
	return VerifyChain(contest, &l)
}

// VerifyChain checks that the numbers of a log follow each other and that its
// head is the one of these records in this contest. Codes: CodePhone, CodeGap,
// CodeChain and those of Validate.
func VerifyChain(contest ContestID, l *Log) error {
	head := l.start(contest)
	for i := range l.Records {
		if err := l.follows(&l.Records[i], l.Skip+uint32(i)); err != nil {
			return err
		}
		head = chain(head, &l.Records[i])
	}
	if head != l.Head {
		return engine.New(CodeChain, fmt.Sprintf("phone %v", l.Phone),
			"the records are not those that were signed", "ask this phone to hand its records over again")
	}
	return nil
}

// VerifySignature checks key and signature of a log whose head is known to be
// right, as it is after Append, and that a phone that says it was another one
// has that one's key. Codes: CodePhone, CodeSignature, CodeRenewal.
func VerifySignature(contest ContestID, l *Log) error {
	if len(l.Public) != ed25519.PublicKeySize || PhoneOf(l.Public) != l.Phone {
		return engine.New(CodePhone, fmt.Sprintf("phone %v", l.Phone),
			"the key belongs to another phone", "ask this phone to hand its records over again")
	}
	if len(l.Sig) == 0 {
		return engine.New(CodeSignature, fmt.Sprintf("phone %v", l.Phone),
			"the records are not signed", "ask this phone to hand its records over again")
	}
	if !ed25519.Verify(l.Public, l.message(contest), l.Sig) {
		return engine.New(CodeSignature, fmt.Sprintf("phone %v", l.Phone),
			"the signature does not fit the records: they were changed after they were signed",
			"ask this phone to hand its records over again")
	}
	return verifyRenewals(contest, l.Records)
}
