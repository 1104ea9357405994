package seal

import (
	"crypto/ed25519"
	"encoding/binary"

	"keelcard/engine/record"
)

// Authority is what makes someone the owner of contests: 16 random bytes, which
// 13 words write down. Whoever has it may invite phones and release answers.
type Authority [16]byte

// Signing gives the key with which the owner signs.
func (a Authority) Signing() ed25519.PrivateKey {
	return ed25519.NewKeyFromSeed(derive(a[:], "authority signing 1", ed25519.SeedSize))
}

// Public gives the key that proves what the owner signs.
func (a Authority) Public() ed25519.PublicKey { return a.Signing().Public().(ed25519.PublicKey) }

// Secret gives the secret that the officials of a contest share. A phone that
// is lost reads nothing that is sealed in a later turn; turns begin with 1.
func (a Authority) Secret(contest record.ContestID, turn uint32) Secret {
	label := binary.BigEndian.AppendUint32(contest[:], turn)
	return Secret(derive(a[:], "contest secret 1 "+string(label), len(Secret{})))
}
