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
	Made      int64      // unix seconds
	Seed      [32]byte   // of the phone's signing key
	Who       string     // initials, at most record.MaxWho bytes
	Authority *Authority // nil when the phone has none
	Contests  [][]byte   // a bundle each, see keelcard/engine/codec
}

// Limits of a backup.
const (
	MaxBackup     = 64 << 20  // bytes of a file
	MaxContests   = 10_000    // contests in it
	MaxRounds     = 4_000_000 // of PBKDF2
	MinPassphrase = 10        // letters
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
//	form (1)  made  seed (32)  who  authority (0 or 16 bytes)  count {contest}
const (
	backupMagic   = "KEELSAFE"
	backupVersion = 1
	backupForm    = 1

	saltAt   = len(backupMagic) + 1 + 4
	checkAt  = saltAt + 16
	sealedAt = checkAt + 8
)

const askFile = "choose the file again from where it was saved; nothing was taken over"

// IsBackup tells by its first bytes whether a file is a backup.
func IsBackup(b []byte) bool {
	return len(b) > len(backupMagic) && string(b[:len(backupMagic)]) == backupMagic
}

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
	out := append([]byte(backupMagic), backupVersion)
	out = binary.BigEndian.AppendUint32(out, uint32(rounds))
	out = append(append(out, salt[:]...), keys.check...)
	out = newGCM(keys.key).Seal(out, keys.nonce, text, out)
	return binary.LittleEndian.AppendUint32(out, crc32.ChecksumIEEE(out))
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
	if err := checkFrame(file); err != nil {
		return Backup{}, err
	}
	body := file[:len(file)-crc32.Size]
	rounds := binary.BigEndian.Uint32(body[len(backupMagic)+1:])
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

// checkFrame checks what can be checked without the passphrase.
func checkFrame(file []byte) error {
	switch {
	case len(file) > MaxBackup:
		return engine.New(CodeLimit, "", fmt.Sprintf("%d bytes, at most %d are taken in", len(file), MaxBackup), "check that this is the right file")
	case !IsBackup(file):
		return engine.New(CodeNotOurs, "", "this is not a backup made by Keelcard", "choose the file that was saved as a backup")
	case file[len(backupMagic)] == 0:
		return engine.New(CodeMalformed, "version", "there is no version 0", askFile)
	case file[len(backupMagic)] != backupVersion:
		return engine.New(CodeNewer, "", fmt.Sprintf("the backup was made by a newer Keelcard: it has version %d, this one reads %d", file[len(backupMagic)], backupVersion), "update this phone first")
	case len(file) < sealedAt+16+crc32.Size:
		return engine.New(CodeShort, "", "the end of the backup is missing", askFile)
	}
	end := len(file) - crc32.Size
	if binary.LittleEndian.Uint32(file[end:]) != crc32.ChecksumIEEE(file[:end]) {
		return engine.New(CodeChecksum, "", "the backup was changed on the way, or its end is missing", askFile)
	}
	return nil
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
	case len(b.Contests) > MaxContests:
		return nil, limit(fmt.Sprintf("there are %d contests, at most %d are taken in", len(b.Contests), MaxContests))
	case size > MaxBackup-1<<20:
		return nil, limit(fmt.Sprintf("the contests have %d bytes together, at most %d are taken in", size, MaxBackup-1<<20))
	}
	out := binary.AppendUvarint([]byte{backupForm}, uint64(b.Made))
	out = append(out, b.Seed[:]...)
	out = appendField(out, []byte(b.Who))
	var authority []byte
	if b.Authority != nil {
		authority = b.Authority[:]
	}
	out = appendField(out, authority)
	out = binary.AppendUvarint(out, uint64(len(b.Contests)))
	for _, c := range b.Contests {
		out = appendField(out, c)
	}
	return out, nil
}

func appendField(b, field []byte) []byte {
	return append(binary.AppendUvarint(b, uint64(len(field))), field...)
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
	if a := d.field(); len(a) == len(Authority{}) {
		b.Authority = (*Authority)(a)
	} else if len(a) > 0 {
		d.fail("authority")
	}
	n := int(d.number(MaxContests, "number of contests"))
	for i := 0; i < n && d.bad == ""; i++ {
		b.Contests = append(b.Contests, d.field())
	}
	if len(d.rest) > 0 {
		d.fail("end")
	}
	again, err := b.write()
	if d.bad == "" && (err != nil || !bytes.Equal(again, text)) {
		d.fail("form")
	}
	if d.bad != "" {
		return Backup{}, engine.New(CodeMalformed, d.bad, "the backup is not written the way Keelcard writes it", askFile)
	}
	return b, nil
}

// fields takes fields off the front; after the first fault it gives zeros.
type fields struct {
	rest []byte
	bad  string
}

func (d *fields) fail(where string) {
	if d.bad == "" {
		d.bad = where
	}
	d.rest = nil
}

func (d *fields) take(n int) []byte {
	if n > len(d.rest) {
		d.fail("end")
		return make([]byte, min(n, 64))
	}
	b := bytes.Clone(d.rest[:n])
	d.rest = d.rest[n:]
	return b
}

func (d *fields) number(most uint64, where string) uint64 {
	v, n := binary.Uvarint(d.rest)
	if n <= 0 || v > most {
		d.fail(where)
		return 0
	}
	d.rest = d.rest[n:]
	return v
}

func (d *fields) field() []byte {
	n := d.number(uint64(len(d.rest)), "length")
	return d.take(int(n))
}
