package seal

import (
	"crypto/cipher"
	"crypto/subtle"
	"encoding/binary"
	"encoding/hex"

	"keelcard/engine"
	"keelcard/engine/record"
)

// MaxText is the most bytes of a value that can be sealed.
const MaxText = record.MaxValue - 1024

// Secret is what the officials of a contest share. Authority.Secret makes it.
type Secret [32]byte

// Mark tells secrets apart without giving them away: 16 hexadecimal digits.
func (s Secret) Mark() string { return hex.EncodeToString(s.id()) }

func (s Secret) id() []byte { return derive(s[:], "contest secret name 1", 8) }

// Before is the secret of the turn before.
func (s Secret) Before() Secret {
	return Secret(derive(s[:], "contest secret before 1", len(Secret{})))
}

// Release is the value of the record that releases everything sealed under
// this secret: the secret itself, in hexadecimal.
func (s Secret) Release() string { return hex.EncodeToString(s[:]) }

// ReadRelease reads what Release gives. It is the right one if it opens something.
// Code: CodeRelease.
func ReadRelease(value string) (Secret, error) {
	b, err := hex.DecodeString(value)
	if err != nil || len(b) != len(Secret{}) {
		return Secret{}, engine.New(CodeRelease, "", "what was released is no secret", "ask the owner to release the official answers")
	}
	return Secret(b), nil
}

// Vault seals and opens the values of the records of one contest.
type Vault struct {
	contest record.ContestID
	id      []byte
	aead    cipher.AEAD
	same    []byte // key of the marks of equal values
	nonce   []byte // key of the nonces
}

// NewVault gives the vault of a contest's secret.
func NewVault(s Secret, contest record.ContestID) *Vault {
	of := func(label string) []byte { return derive(s[:], label+string(contest[:]), 32) }
	return &Vault{contest: contest, id: s.id()[:idLength], aead: newGCM(of("value sealing 1 ")), same: of("value mark 1 "), nonce: of("value nonce 1 ")}
}

// A sealed value:
//
//	form (1)  first bytes of the ID (4)  mark (8)  AES-256-GCM of the padded value
//
// The mark is the same for the same value of the same subject, whoever wrote
// it, so that two hands confirm each other on phones that cannot read either;
// it tells nothing about values of other subjects. Contest, subject, record and
// mark are associated data: a sealed value is good in its own record only, and
// who copies an official's has confirmed nothing. The nonce follows from all of
// these, so it is used twice only for what is the same in every byte, also
// where a phone was copied and wrote two records of one number. Padding hides
// how long a value is, in steps.
const (
	form       = 1
	idLength   = 4
	markLength = 8
	headLength = 1 + idLength + markLength

	padKey = 128 // for official answers
	padAny = 512
)

// Seal seals the value of the record that will stand at ref and be about the
// subject; the record is to have record.Sealed. The empty value is a withdrawal, which
// anyone may see: it is not sealed. Codes: CodeLimit, CodeMalformed.
func (v *Vault) Seal(ref record.Ref, about record.Subject, value string) (string, error) {
	switch {
	case value == "":
		return "", engine.New(CodeMalformed, "record "+ref.String(), "a withdrawal is not sealed", "write it in the clear")
	case len(value) > MaxText:
		return "", engine.New(CodeLimit, "record "+ref.String(), "it is too long to be sealed", "make the note shorter")
	}
	out := append([]byte{form}, v.id...)
	out = append(out, v.mark(about, value)...)
	data := v.associated(ref, about, out)
	return string(v.aead.Seal(out, v.nonceFor(data), pad([]byte(value), padOf(about)), data)), nil
}

// Open gives the value of a sealed record. Codes: CodeNotSealed, CodeNewer,
// CodeClosed, CodeMalformed.
func (v *Vault) Open(r *record.Record) (string, error) {
	where := "record " + r.Ref().String()
	const fix = "ask its writer for the records of that phone again"
	switch {
	case !r.Sealed():
		return "", engine.New(CodeNotSealed, where, "its value is not sealed", "read it as it is")
	case r.Value[0] != form:
		return "", engine.New(CodeNewer, where, "it was sealed by a newer Keelcard", "update this phone")
	case len(r.Value) < headLength+gcmOverhead:
		return "", closed(where, "the end of its value is missing", fix)
	case r.Value[1:1+idLength] != string(v.id):
		return "", closed(where, "it was sealed under another secret", "ask the owner to invite this phone again")
	}
	head, sealed := []byte(r.Value[:headLength]), []byte(r.Value[headLength:])
	data := v.associated(r.Ref(), r.Subject, head)
	text, err := v.aead.Open(nil, v.nonceFor(data), sealed, data)
	if err != nil {
		return "", closed(where, "it was sealed for another record, or changed since", fix)
	}
	b, ok := unpad(text, padOf(r.Subject))
	value := string(b)
	if !ok || value == "" || subtle.ConstantTimeCompare(v.mark(r.Subject, value), head[1+idLength:]) != 1 {
		return "", engine.New(CodeMalformed, where, "it is not sealed the way Keelcard seals", fix)
	}
	return value, nil
}

func padOf(about record.Subject) int {
	if about.Kind == record.KindKey {
		return padKey
	}
	return padAny
}

func (v *Vault) mark(about record.Subject, value string) []byte {
	return authenticate(v.same, v.contest[:], subjectBytes(about), []byte(value))[:markLength]
}

func (v *Vault) associated(ref record.Ref, about record.Subject, head []byte) []byte {
	out := append([]byte("keelcard sealed value 1\x00"), v.contest[:]...)
	out = append(out, ref.Phone[:]...)
	out = binary.BigEndian.AppendUint32(out, ref.Seq)
	return append(append(out, subjectBytes(about)...), head...)
}

func (v *Vault) nonceFor(associated []byte) []byte {
	return authenticate(v.nonce, associated)[:nonceLength]
}

func subjectBytes(s record.Subject) []byte {
	out := binary.BigEndian.AppendUint32([]byte{byte(s.Kind)}, s.A)
	return binary.BigEndian.AppendUint32(out, s.B)
}
