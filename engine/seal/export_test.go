package seal

import (
	"slices"

	"keelcard/engine/record"
)

// What the tests hold to the published vectors, which are for other ciphers too.
var (
	DeriveKey = deriveKey
	X25519    = x25519
	Schedule  = schedule
	NewGCM    = newGCM
)

// Agree gives the shared secret of a sender.
func (k Key) Agree(receiver Public) ([]byte, error) { return k.agree(receiver, k.Public(), receiver) }

// WriteBackup seals bytes that need not be a backup.
func WriteBackup(text []byte, passphrase string) []byte {
	return sealBackup(text, passphrase, [16]byte{1}, 1)
}

// BackupText is what is sealed.
func (b Backup) BackupText() []byte { return made(b.write()) }

// SealRaw seals a text that is not padded, with a given mark.
func (v *Vault) SealRaw(r *record.Record, mark, text []byte) string {
	out := append(append([]byte{form}, v.id...), mark...)
	data := v.associated(r.Ref(), r.Subject, out)
	return string(v.aead.Seal(out, v.nonceFor(data), text, data))
}

// Mark is the mark of a value.
func (v *Vault) Mark(r *record.Record, value string) []byte { return v.mark(r.Subject, value) }

// SealRaw seals a text that is not padded, with a given nonce.
func (r Ring) SealRaw(contest record.ContestID, nonce, text []byte) []byte {
	key, _ := r.keys()
	head := append(sealedFrame.head(), contest[:]...)
	return closeFile(newGCM(key).Seal(slices.Concat(head, nonce), nonce, text, head))
}

// Nonce is the nonce of a bundle.
func (r Ring) Nonce(contest record.ContestID, bundle []byte) []byte {
	_, of := r.keys()
	return authenticate(of, append(sealedFrame.head(), contest[:]...), bundle)[:nonceLength]
}

// KeysInfo is what sealed keys are bound to, ReadKeys reads what was sealed.
var (
	KeysInfo = keysInfo
	ReadKeys = readKeys
)

// Write gives what is sealed.
func (k Keys) Write() []byte { return k.write() }
