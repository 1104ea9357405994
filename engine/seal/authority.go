package seal

import (
	"crypto/ed25519"

	"keelcard/engine/contest"
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

const maxTurns = contest.MaxTurns

// Secret gives the secret that the officials of a contest share in a turn, from 1
// to contest.MaxTurns, which stands for all later ones too. A phone that is shut
// out reads nothing that is sealed in a later turn. Who comes in a later turn reads
// what was sealed before: from each secret follows the one before it, and from
// none the next.
func (a Authority) Secret(id record.ContestID, turn uint32) Secret {
	s := Secret(derive(a[:], "contest secret 1 "+string(id[:]), len(Secret{})))
	for range maxTurns - min(max(turn, 1), maxTurns) {
		s = s.Before()
	}
	return s
}
