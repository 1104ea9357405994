package seal

import (
	"bytes"
	"crypto/subtle"
	"hash/crc32"

	"keelcard/engine/record"
)

// Ring keeps the bundles of a contest from phones that are not part of it:
// every phone of the contest has it, whatever its role.
type Ring [32]byte

// Ring gives the ring of a contest. It stays the same in every turn.
func (a Authority) Ring(contest record.ContestID) Ring {
	return Ring(derive(a[:], "contest ring 1 "+string(contest[:]), len(Ring{})))
}

// A sealed bundle:
//
//	"KEELSEAL"  version (1)  contest (8)  nonce (12)  AES-256-GCM of the padded bundle  CRC-32
//
// All before the nonce is associated data. The nonce is the beginning of
// HMAC-SHA-256 of that and the bundle, so it is used twice only for what is the
// same in every byte, and no random bytes are asked for.
const (
	ringForAt   = 9
	ringNonceAt = ringForAt + len(record.ContestID{})
	ringTextAt  = ringNonceAt + nonceLength

	padBundle = 64 // such a file also travels as text and in pictures, so it must stay short
)

var sealedFrame = frame{
	magic: "KEELSEAL", version: 1, least: ringTextAt + padBundle + gcmOverhead + crc32.Size, most: MaxFile,
	name: "sealed file", choose: "choose a file that a phone of the contest handed over",
	again: "ask for it to be sent again, as a file if it came as text; nothing was taken over",
}

// keys gives the key of the cipher and that of the nonces.
func (r Ring) keys() (key, nonce []byte) {
	b := derive(r[:], "bundle sealing 1", 64)
	return b[:32], b[32:]
}

// Seal seals a bundle for the phones that have the ring. The same bundle gives
// the same bytes. What comes out is 50 to 113 bytes longer; beyond MaxFile
// bytes nobody takes it in.
func (r Ring) Seal(contest record.ContestID, bundle []byte) []byte {
	key, of := r.keys()
	head := append(sealedFrame.head(), contest[:]...)
	nonce := authenticate(of, head, bundle)[:nonceLength]
	out := append(bytes.Clone(head), nonce...)
	return closeFile(newGCM(key).Seal(out, nonce, pad(bundle, padBundle), head))
}

// SealedFor names the contest for whose phones a bundle is sealed; ok is false
// when it is no sealed bundle. Whether it is whole is not known yet: where no ring
// of that contest is at hand, Open of an empty Ring says what is wrong with it.
func SealedFor(b []byte) (id record.ContestID, ok bool) {
	if !sealedFrame.begins(b) {
		return record.ContestID{}, false
	}
	if len(b) >= ringNonceAt && b[ringForAt-1] == sealedFrame.version {
		copy(id[:], b[ringForAt:])
	}
	return id, true
}

// Open gives the bundle that was sealed under this ring. Codes: CodeNotOurs,
// CodeLimit, CodeShort, CodeChecksum, CodeNewer, CodeMalformed, and CodeClosed
// for that of another contest and for one that was changed.
func (r Ring) Open(file []byte) ([]byte, error) {
	body, err := sealedFrame.check(file)
	if err != nil {
		return nil, err
	}
	key, of := r.keys()
	head, nonce := body[:ringNonceAt], body[ringNonceAt:ringTextAt]
	text, err := newGCM(key).Open(nil, nonce, body[ringTextAt:], head)
	if err != nil {
		return nil, closed("", "it is sealed for the phones of a contest that this phone is not part of, or was changed on purpose", "ask the owner of that contest to invite this phone; if it is your own, write its recovery words into this phone first")
	}
	bundle, ok := unpad(text, padBundle)
	if !ok || subtle.ConstantTimeCompare(authenticate(of, head, bundle)[:nonceLength], nonce) != 1 {
		return nil, sealedFrame.malformed("")
	}
	return bundle, nil
}
