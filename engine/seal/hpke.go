package seal

import (
	"crypto/hkdf"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/binary"

	"keelcard/engine"
)

// Sealing to a public key is Hybrid Public Key Encryption (RFC 9180) in its
// base mode, with X25519, HKDF-SHA256 and AES-256-GCM, one message a key. The
// standard library has it too, but draws its random bytes itself, so that no
// journey could be played again, and brings every other cipher along.

// Public is what others seal to: an X25519 public key.
type Public [32]byte

// Key opens what was sealed to its Public half.
type Key struct{ private [32]byte }

// The numbers of the parts in RFC 9180, section 7.
const (
	kemX25519  = "\x00\x20" // DHKEM(X25519, HKDF-SHA256)
	kdfSHA256  = "\x00\x01" // HKDF-SHA256
	aeadAES256 = "\x00\x02" // AES-256-GCM

	kemSuite = "KEM" + kemX25519
)

// Overhead is how many bytes a sealed text is longer than the text.
const Overhead = len(Public{}) + gcmOverhead

// PhoneKey gives the key of a phone, from the seed of its signing key.
func PhoneKey(seed []byte) Key { return deriveKey(derive(seed, "phone sealing 1", 32)) }

// Public is what others seal to so that this key opens it.
func (k Key) Public() Public { return x25519(k.private, [32]byte{9}) }

// deriveKey is DeriveKeyPair of RFC 9180, section 7.1.3.
func deriveKey(ikm []byte) Key {
	prk := labeledExtract(kemSuite, nil, "dkp_prk", ikm)
	return Key{[32]byte(labeledExpand(kemSuite, prk, "sk", nil, 32))}
}

// Seal seals a text so that only the key of that Public opens it, and only with
// the same info and associated data. The 32 random bytes must never be used
// again. Code: CodeKey.
func (p Public) Seal(random [32]byte, info, associated, text []byte) ([]byte, error) {
	ephemeral := deriveKey(random[:])
	enc := ephemeral.Public()
	shared, err := ephemeral.agree(p, enc, p)
	if err != nil {
		return nil, err
	}
	key, nonce := schedule(shared, info, aeadAES256, 32)
	return newGCM(key).Seal(enc[:], nonce, text, associated), nil
}

// Open opens what was sealed to this key. Code: CodeClosed.
func (k Key) Open(info, associated, sealed []byte) ([]byte, error) {
	const what, fix = "it was sealed for another phone, or changed since", "ask the owner to invite this phone again"
	if len(sealed) < Overhead {
		return nil, closed("", "the end is missing", fix)
	}
	enc := Public(sealed[:len(Public{})])
	shared, err := k.agree(enc, enc, k.Public())
	if err != nil {
		return nil, closed("", what, fix)
	}
	key, nonce := schedule(shared, info, aeadAES256, 32)
	text, err := newGCM(key).Open(nil, nonce, sealed[len(enc):], associated)
	if err != nil {
		return nil, closed("", what, fix)
	}
	return text, nil
}

// agree gives the secret that sender and receiver share: Encap and Decap of RFC
// 9180, section 4.1.
func (k Key) agree(with, enc, receiver Public) ([]byte, error) {
	dh := x25519(k.private, with)
	if subtle.ConstantTimeCompare(dh[:], make([]byte, len(dh))) == 1 { // RFC 7748, section 6.1
		return nil, engine.New(CodeKey, "", "the sealing key of the other phone cannot be used", "ask for that phone's records again")
	}
	prk := labeledExtract(kemSuite, nil, "eae_prk", dh[:])
	return labeledExpand(kemSuite, prk, "shared_secret", append(enc[:], receiver[:]...), 32), nil
}

// schedule is the key schedule of RFC 9180, section 5.1, in base mode: the key
// and the nonce of the first message.
func schedule(shared, info []byte, aead string, keyLength int) (key, nonce []byte) {
	suite := "HPKE" + kemX25519 + kdfSHA256 + aead
	const baseMode = 0
	context := append([]byte{baseMode}, labeledExtract(suite, nil, "psk_id_hash", nil)...)
	context = append(context, labeledExtract(suite, nil, "info_hash", info)...)
	secret := labeledExtract(suite, shared, "secret", nil)
	return labeledExpand(suite, secret, "key", context, keyLength), labeledExpand(suite, secret, "base_nonce", context, nonceLength)
}

// labeledExtract and labeledExpand are those of RFC 9180, section 4.
func labeledExtract(suite string, salt []byte, label string, ikm []byte) []byte {
	return made(hkdf.Extract(sha256.New, append([]byte("HPKE-v1"+suite+label), ikm...), salt))
}

func labeledExpand(suite string, prk []byte, label string, info []byte, n int) []byte {
	length := binary.BigEndian.AppendUint16(nil, uint16(n))
	return made(hkdf.Expand(sha256.New, prk, string(length)+"HPKE-v1"+suite+label+string(info), n))
}
