// Package seal keeps from others what is not for them: official answers until
// they are released, the bundles of a contest, a backup without its passphrase,
// an owner's authority without its words.
//
//   - An Authority is what makes someone the owner of contests. Its 13 words
//     bring it to another phone. From it follow the key that signs for the owner,
//     and for each contest the Ring, the Secret of each turn, and tickets.
//   - A Ticket invites whoever holds it. The phone that took it up proves so
//     to the owner's, without a list of tickets that anybody would have to keep.
//   - A Ring seals the bundles of a contest; each of its phones has it.
//   - A phone has a Key for what is sealed to it, made from its seed; its Public
//     half is told to others. In this way it is given its Keys again.
//   - A Vault seals values of records under a Secret, which officials have, and
//     opens them. Phones without it see that something is set, and whether two
//     hands agree, and nothing else. To release is to say the Secret in the clear.
//   - A Backup is a file under a passphrase.
//
// Everything here is deterministic: random bytes come in as arguments. What
// keeps the answers from a phone is that it never has the Secret; whoever holds
// an official's unlocked phone reads what that official reads.
package seal

import (
	"crypto/aes"
	"crypto/cipher"
	"crypto/hkdf"
	"crypto/hmac"
	"crypto/sha256"

	"keelcard/engine"
)

// Codes of the errors of this package.
const (
	CodeKey        engine.Code = "seal.key"        // bytes that are no key
	CodeClosed     engine.Code = "seal.closed"     // sealed for another, or changed since
	CodeNewer      engine.Code = "seal.newer"      // made by a later version
	CodeLimit      engine.Code = "seal.limit"      // longer or larger than allowed
	CodeMalformed  engine.Code = "seal.malformed"  // opened, but not as this version writes it
	CodeNotSealed  engine.Code = "seal.not-sealed" // a record in the clear
	CodeRelease    engine.Code = "seal.release"    // not the secret that the answers were sealed under
	CodeInvite     engine.Code = "seal.invite"     // an invitation that cannot be made
	CodeWords      engine.Code = "seal.words"      // recovery words that cannot be
	CodeNotOurs    engine.Code = "seal.not-ours"   // another file
	CodeShort      engine.Code = "seal.short"      // the end of a file is missing
	CodeChecksum   engine.Code = "seal.checksum"   // a file that was changed on the way
	CodePassphrase engine.Code = "seal.passphrase" // the wrong one, or one that is too short
)

// derive makes n bytes from a secret, apart for each label (HKDF-SHA256, RFC 5869).
func derive(secret []byte, label string, n int) []byte {
	return made(hkdf.Key(sha256.New, secret, nil, "keelcard "+label, n))
}

// authenticate gives HMAC-SHA256 of the parts, each of which has a fixed length
// but the last.
func authenticate(key []byte, parts ...[]byte) []byte {
	h := hmac.New(sha256.New, key)
	for _, p := range parts {
		h.Write(p)
	}
	return h.Sum(nil)
}

// newGCM gives AES-GCM with a key of 16 or 32 bytes.
func newGCM(key []byte) cipher.AEAD {
	return made(cipher.NewGCM(made(aes.NewCipher(key))))
}

// What is used of AES-GCM.
const (
	nonceLength = 12
	gcmOverhead = 16
)

// made gives what was made. The lengths of keys are ours, so nothing goes wrong.
func made[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func closed(where, what, fix string) error { return engine.New(CodeClosed, where, what, fix) }
