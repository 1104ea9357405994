package seal

import (
	"encoding/binary"
	"slices"

	"keelcard/engine"
	"keelcard/engine/record"
)

// Keys is what a phone of a contest is given. It is sealed to the phone in the
// record of its role, so that only that phone reads it, and again after it was
// brought back from a backup.
type Keys struct {
	Ring   Ring
	Secret *Secret // of the turn, for officials; nil for others
}

// SealKeys seals keys to the phone whose Public that is, for one contest and
// turn. The same 32 random bytes serve for several phones, since what is drawn
// from them is another for each. Code: CodeKey.
func (p Public) SealKeys(random [32]byte, contest record.ContestID, phone record.PhoneID, turn uint32, k Keys) ([]byte, error) {
	text, info := k.write(), keysInfo(contest, phone, turn)
	return p.Seal([32]byte(authenticate(random[:], info, p[:], text)), info, nil, text)
}

// OpenKeys gives the keys that were sealed to this phone for that contest and
// turn. Codes: CodeClosed, CodeMalformed.
func (k Key) OpenKeys(contest record.ContestID, phone record.PhoneID, turn uint32, sealed []byte) (Keys, error) {
	text, err := k.Open(keysInfo(contest, phone, turn), nil, sealed)
	if err != nil {
		return Keys{}, err
	}
	return readKeys(text)
}

func (k Keys) write() []byte {
	if k.Secret == nil {
		return k.Ring[:]
	}
	return slices.Concat(k.Ring[:], k.Secret[:])
}

func readKeys(text []byte) (Keys, error) {
	const ring, both = len(Ring{}), len(Ring{}) + len(Secret{})
	switch len(text) {
	case ring:
		return Keys{Ring: Ring(text)}, nil
	case both:
		return Keys{Ring: Ring(text[:ring]), Secret: (*Secret)(text[ring:])}, nil
	}
	return Keys{}, engine.New(CodeMalformed, "keys", "what the owner's phone sealed for this one is no key", "ask the owner to invite this phone again")
}

// keysInfo binds sealed keys to contest, phone and turn.
func keysInfo(contest record.ContestID, phone record.PhoneID, turn uint32) []byte {
	b := append([]byte("keelcard contest keys 1\x00"), contest[:]...)
	return binary.BigEndian.AppendUint32(append(b, phone[:]...), turn)
}
