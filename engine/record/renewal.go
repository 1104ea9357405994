package record

import (
	"crypto/ed25519"
	"encoding/hex"
	"fmt"

	"keelcard/engine"
)

const renewDomain = "keelcard phone renewed 1\x00"

// Renewal is the value of the record in which a phone says that it goes on in
// the place of another: the public key of that one, and a signature with it over
// the contest and the new phone, both hexadecimal. So only who holds the key of a
// phone can go on in its place. Code: CodePhone when the key is none.
func Renewal(contest ContestID, phone PhoneID, private ed25519.PrivateKey) (string, error) {
	if len(private) != ed25519.PrivateKeySize {
		return "", engine.New(CodePhone, "", "the earlier key is damaged", "take the backup in again")
	}
	public := private.Public().(ed25519.PublicKey)
	return hex.EncodeToString(public) + hex.EncodeToString(ed25519.Sign(private, renewed(contest, phone))), nil
}

func renewed(contest ContestID, phone PhoneID) []byte {
	return append(append([]byte(renewDomain), contest[:]...), phone[:]...)
}

// Renewed names the phone in whose place that of a record goes on, if it is such
// a record. It was proven when the log was verified.
func (r *Record) Renewed() (was PhoneID, ok bool) {
	if r.Subject != r.Phone.Subject(KindRenewal) {
		return PhoneID{}, false
	}
	b, err := hex.DecodeString(r.Value)
	if err != nil || len(b) != ed25519.PublicKeySize+ed25519.SignatureSize {
		return PhoneID{}, false
	}
	return PhoneOf(b[:ed25519.PublicKeySize]), true
}

// verifyRenewals checks every record in which a phone says that it was another.
func verifyRenewals(contest ContestID, records []Record) error {
	for i := range records {
		r := &records[i]
		if r.Subject.Kind != KindRenewal {
			continue
		}
		b, _ := hex.DecodeString(r.Value)
		if _, ok := r.Renewed(); !ok || !ed25519.Verify(b[:ed25519.PublicKeySize], renewed(contest, r.Phone), b[ed25519.PublicKeySize:]) {
			return engine.New(CodeRenewal, fmt.Sprintf("record %v", r.Ref()),
				"the phone says that it goes on in the place of another, and does not have the key of that one",
				"take in nothing from this phone")
		}
	}
	return nil
}

const claimDomain = "keelcard contest claimed 1\x00"

// Claim is the value of the record in which a phone says that it is its owner's:
// a signature with the owner's authority over the contest and the phone, in
// hexadecimal.
func Claim(contest ContestID, phone PhoneID, authority ed25519.PrivateKey) string {
	return hex.EncodeToString(ed25519.Sign(authority, claimed(contest, phone)))
}

func claimed(contest ContestID, phone PhoneID) []byte {
	return append(append([]byte(claimDomain), contest[:]...), phone[:]...)
}

// Claims tells whether a record proves that its phone is the owner's, who has the
// authority with that public key.
func (r *Record) Claims(contest ContestID, authority []byte) bool {
	if r.Subject != r.Phone.Subject(KindClaim) || len(authority) != ed25519.PublicKeySize {
		return false
	}
	sig, err := hex.DecodeString(r.Value)
	return err == nil && ed25519.Verify(authority, claimed(contest, r.Phone), sig)
}
