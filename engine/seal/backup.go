package seal

import (
	"bytes"
	"crypto/pbkdf2"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"strings"
	"unicode/utf8"

	"keelcard/engine"
	"keelcard/engine/record"
)

// Backup is what a phone puts away under a passphrase. Photos are not in it.
type Backup struct {
	Made        int64       // unix seconds
	Seed        [32]byte    // of the phone's signing key
	Who         string      // initials, at most record.MaxWho bytes
	Authorities []Authority // those the phone has, at most MaxAuthorities
	Contests    [][]byte    // a bundle each, see keelcard/engine/codec
}

// Limits of a backup.
const (
	MaxBackup      = 64 << 20  // bytes of a file
	MaxAuthorities = 16        // authorities in it
	MaxContests    = 10_000    // contests in it
	MaxRounds      = 4_000_000 // of PBKDF2
	MinPassphrase  = 10        // letters
)

// Rounds of PBKDF2 with HMAC-SHA-256, as OWASP's Password Storage Cheat Sheet
// advises (2023). In a browser they take a second or two on a laptop, and some five
// on a slow phone.
const Rounds = 600_000

// The file:
//
//	"KEELSAFE"  version (1)  rounds (4)  salt (16)  check (8)  AES-256-GCM  CRC-32 of all before it, little endian
//
// PBKDF2-HMAC-SHA-256 of passphrase and salt gives 32 bytes, and HKDF-SHA-256 of
// these the key (32), the nonce (12) and the check (8), which tells a wrong
// passphrase from a changed file. All before the sealed part is its associated
// data. In it stand, lengths and numbers as varints:
//
//	form (1)  made  seed (32)  who  authorities (16 bytes each)  count {contest}
const (
	backupForm = 1

	roundsAt = 8 + 1
	saltAt   = roundsAt + 4
	checkAt  = saltAt + 16
	sealedAt = checkAt + 8
)

var backupFrame = frame{
	magic: "KEELSAFE", version: 1, least: sealedAt + gcmOverhead + crc32.Size, most: MaxBackup,
	name: "backup", choose: "choose the file that was saved as a backup", again: askFile,
}

const askFile = "choose the file again from where it was saved; nothing was taken over"

// IsBackup tells by its first bytes whether a file is a backup.
func IsBackup(b []byte) bool { return backupFrame.begins(b) }

// Tidy gives the passphrase as it counts: white space before, behind and
// doubled is left out.
func Tidy(passphrase string) string { return strings.Join(strings.Fields(passphrase), " ") }

// CheckPassphrase tells whether a passphrase is long enough. Code: CodePassphrase.
func CheckPassphrase(passphrase string) error {
	if n := utf8.RuneCountInString(Tidy(passphrase)); n < MinPassphrase {
		return engine.New(CodePassphrase, "", fmt.Sprintf("the words have %d letters together", n), fmt.Sprintf("use at least %d, such as four words", MinPassphrase))
	}
	return nil
}

// Seal writes the backup under a passphrase. The salt is 16 random bytes,
// rounds is Rounds. Codes: CodePassphrase, CodeLimit.
func (b Backup) Seal(passphrase string, salt [16]byte, rounds int) ([]byte, error) {
	passphrase = Tidy(passphrase)
	if err := CheckPassphrase(passphrase); err != nil {
		return nil, err
	}
	text, err := b.write()
	if err != nil {
		return nil, err
	}
	if rounds < 1 || rounds > MaxRounds {
		return nil, engine.New(CodeLimit, "rounds", fmt.Sprintf("%d is outside 1 to %d", rounds, MaxRounds), "use the usual number")
	}
	return sealBackup(text, passphrase, salt, rounds), nil
}

func sealBackup(text []byte, passphrase string, salt [16]byte, rounds int) []byte {
	keys := stretch(passphrase, salt[:], rounds)
	out := binary.BigEndian.AppendUint32(backupFrame.head(), uint32(rounds))
	out = append(append(out, salt[:]...), keys.check...)
	return closeFile(newGCM(keys.key).Seal(out, keys.nonce, text, out))
}

// stretched is what follows from a passphrase.
type stretched struct{ key, nonce, check []byte }

func stretch(passphrase string, salt []byte, rounds int) stretched {
	b := derive(made(pbkdf2.Key(sha256.New, passphrase, salt, rounds, 32)), "backup 1", 52)
	return stretched{b[:32], b[32:44], b[44:]}
}

// OpenBackup reads a backup. Codes: CodeNotOurs, CodeShort, CodeChecksum,
// CodeNewer, CodeLimit, CodePassphrase, CodeClosed, CodeMalformed.
func OpenBackup(file []byte, passphrase string) (Backup, error) {
	body, err := backupFrame.check(file)
	if err != nil {
		return Backup{}, err
	}
	rounds := binary.BigEndian.Uint32(body[roundsAt:])
	if rounds < 1 || rounds > MaxRounds {
		return Backup{}, engine.New(CodeLimit, "rounds", fmt.Sprintf("%d is outside 1 to %d", rounds, MaxRounds), askFile)
	}
	keys := stretch(Tidy(passphrase), body[saltAt:checkAt], int(rounds))
	if subtle.ConstantTimeCompare(keys.check, body[checkAt:sealedAt]) != 1 {
		return Backup{}, engine.New(CodePassphrase, "", "these words do not open this backup",
			"mind capital letters and the order of the words; without them nobody can open it")
	}
	text, err := newGCM(keys.key).Open(nil, keys.nonce, body[sealedAt:], body[:sealedAt])
	if err != nil {
		return Backup{}, closed("", "the backup was changed after it was made", "choose another copy of it; nothing was taken over")
	}
	return readBackup(text)
}

func (b Backup) write() ([]byte, error) {
	limit := func(what string) error {
		return engine.New(CodeLimit, "backup", what, "take contests that are over off this phone first")
	}
	size := 0
	for _, c := range b.Contests {
		size += len(c)
	}
	switch {
	case b.Made < 0:
		return nil, limit("it has no time")
	case len(b.Who) > record.MaxWho || !utf8.ValidString(b.Who):
		return nil, limit("the initials are too long")
	case len(b.Authorities) > MaxAuthorities:
		return nil, limit(fmt.Sprintf("there are %d authorities, at most %d are taken in", len(b.Authorities), MaxAuthorities))
	case len(b.Contests) > MaxContests:
		return nil, limit(fmt.Sprintf("there are %d contests, at most %d are taken in", len(b.Contests), MaxContests))
	case size > MaxBackup-1<<20:
		return nil, limit(fmt.Sprintf("the contests have %d bytes together, at most %d are taken in", size, MaxBackup-1<<20))
	}
	out := binary.AppendUvarint([]byte{backupForm}, uint64(b.Made))
	out = append(out, b.Seed[:]...)
	out = appendField(out, []byte(b.Who))
	out = binary.AppendUvarint(out, uint64(len(b.Authorities)*len(Authority{})))
	for _, a := range b.Authorities {
		out = append(out, a[:]...)
	}
	out = binary.AppendUvarint(out, uint64(len(b.Contests)))
	for _, c := range b.Contests {
		out = appendField(out, c)
	}
	return out, nil
}

// readBackup reads what write wrote, and nothing else.
func readBackup(text []byte) (Backup, error) {
	d := fields{rest: text}
	var b Backup
	kind := d.take(1)
	if d.bad == "" && kind[0] != backupForm {
		return Backup{}, engine.New(CodeNewer, "", "the backup was made by a newer Keelcard", "update this phone first")
	}
	b.Made = int64(d.number(1<<62, "time"))
	copy(b.Seed[:], d.take(len(b.Seed)))
	b.Who = string(d.field())
	all := d.field()
	for ; len(all) >= len(Authority{}) && len(b.Authorities) < MaxAuthorities; all = all[len(Authority{}):] {
		b.Authorities = append(b.Authorities, Authority(all[:len(Authority{})]))
	}
	if len(all) > 0 {
		d.fail("authorities")
	}
	n := int(d.number(MaxContests, "number of contests"))
	for i := 0; i < n && d.bad == ""; i++ {
		b.Contests = append(b.Contests, d.field())
	}
	d.end()
	again, err := b.write()
	if d.bad == "" && (err != nil || !bytes.Equal(again, text)) {
		d.fail("form")
	}
	if d.bad != "" {
		return Backup{}, backupFrame.malformed(d.bad)
	}
	return b, nil
}
