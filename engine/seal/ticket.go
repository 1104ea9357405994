package seal

import (
	"bytes"
	"crypto/subtle"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"slices"
	"strings"
	"unicode"

	"keelcard/engine"
	"keelcard/engine/record"
)

// Ticket invites a phone to a contest: whoever holds it may take it up, so it is
// shown or sent to one person only.
type Ticket struct {
	Contest record.ContestID
	Name    string   // of the contest, as it is shown; see PlainName
	Role    string   // "official", "keyer" or "coach"
	No      uint32   // of the invitation, chosen at random, not 0
	Token   [16]byte // proves that the ticket was taken up
	Ring    Ring     // of the contest, also where bundles are not sealed
	Turn    uint32   // of the secret; 0 when there is none
	Secret  *Secret  // for officials of a sealed contest, else nil
	Bundle  []byte   // the records of the contest in the clear, may be empty
}

// MaxName is how many letters a ticket has for the name of its contest.
const MaxName = 120

// ticketRoles are the roles a phone may be invited to. Their places, from 1, are
// written in tickets and proofs. Nobody is invited to be an owner.
var ticketRoles = []string{official, "keyer", "coach"}

const official = "official" // who also gets the secret

// roleNumber is 0 for what nobody is invited to.
func roleNumber(role string) byte { return byte(slices.Index(ticketRoles, role) + 1) }

// The file, numbers and lengths as varints:
//
//	"KEELPASS"  version (1)  contest (8)  role (1)  number  turn  token (16)  ring (32)
//	secret (0 or 32 bytes)  name  bundle  CRC-32
var ticketFrame = frame{
	magic: "KEELPASS", version: 1, least: 9 + 8 + 1 + 1 + 1 + 16 + 32 + 1 + 1 + 1 + crc32.Size, most: MaxFile,
	name: "invitation", choose: "choose the file with the invitation, or ask the owner to show it again",
	again: "ask the owner to show it again, or to send it as a file; nothing was taken over",
}

// Ticket makes the invitation with that number. Token, ring and secret follow
// from the authority, so nothing about it has to be kept. The turn is that of
// the secret, or 0 where answers are not sealed; only officials are given it.
func (a Authority) Ticket(contest record.ContestID, role string, no, turn uint32) Ticket {
	t := Ticket{Contest: contest, Role: role, No: no, Token: a.token(contest, role, no), Ring: a.Ring(contest)}
	if role == official && turn > 0 {
		secret := a.Secret(contest, turn)
		t.Turn, t.Secret = min(turn, maxTurns), &secret
	}
	return t
}

func (a Authority) token(contest record.ContestID, role string, no uint32) [16]byte {
	label := binary.BigEndian.AppendUint32(append(contest[:], roleNumber(role)), no)
	return [16]byte(derive(a[:], "invitation token 1 "+string(label), 16))
}

// Proof shows to the owner that a phone was given the ticket: 16 bytes, good for
// this phone with this key to seal to, and for no other.
func (t Ticket) Proof(phone record.PhoneID, box Public) []byte {
	head := append([]byte("keelcard invitation taken up 1\x00"), t.Contest[:]...)
	head = binary.BigEndian.AppendUint32(append(head, roleNumber(t.Role)), t.No)
	return authenticate(t.Token[:], head, phone[:], box[:])[:16]
}

// Invited tells whether a phone proves that it was given the ticket with that
// role and number.
func (a Authority) Invited(contest record.ContestID, role string, no uint32, phone record.PhoneID, box Public, proof []byte) bool {
	want := Ticket{Contest: contest, Role: role, No: no, Token: a.token(contest, role, no)}.Proof(phone, box)
	return roleNumber(role) > 0 && no > 0 && subtle.ConstantTimeCompare(want, proof) == 1
}

// PlainName gives the name of a contest as a ticket may hold it: at most MaxName
// letters, none of which is a control character or turns the direction of what
// is written around it.
func PlainName(name string) string {
	var b strings.Builder
	n := 0
	for _, r := range strings.ToValidUTF8(name, "") {
		if n < MaxName && !unplain(r) {
			b.WriteRune(r)
			n++
		}
	}
	return b.String()
}

func unplain(r rune) bool { return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) }

// fault names the field that no ticket can have, "" when all is well.
func (t *Ticket) fault() string {
	switch {
	case roleNumber(t.Role) == 0:
		return "role"
	case t.No == 0:
		return "number"
	case t.Turn > maxTurns:
		return "turn"
	case (t.Turn > 0) != (t.Secret != nil), t.Secret != nil && t.Role != official:
		return "secret"
	case PlainName(t.Name) != t.Name:
		return "name"
	}
	return ""
}

// Write gives the ticket as a file. Codes: CodeInvite for what no ticket can
// have, CodeLimit when the bundle is too large.
func (t Ticket) Write() ([]byte, error) {
	if where := t.fault(); where != "" {
		return nil, engine.New(CodeInvite, where, "no phone can be invited in this way", "make another invitation")
	}
	out := append(ticketFrame.head(), t.Contest[:]...)
	out = append(out, roleNumber(t.Role))
	out = binary.AppendUvarint(out, uint64(t.No))
	out = binary.AppendUvarint(out, uint64(t.Turn))
	out = append(append(out, t.Token[:]...), t.Ring[:]...)
	var secret []byte
	if t.Secret != nil {
		secret = t.Secret[:]
	}
	out = appendField(appendField(out, secret), []byte(t.Name))
	out = closeFile(appendField(out, t.Bundle))
	if len(out) > MaxFile {
		return nil, engine.New(CodeLimit, "", fmt.Sprintf("with its records the invitation has %d bytes, at most %d are taken in", len(out), MaxFile), "invite without the records, and hand them over apart")
	}
	return out, nil
}

// IsTicket tells by its first bytes whether a file is a ticket.
func IsTicket(b []byte) bool { return ticketFrame.begins(b) }

// ReadTicket reads what Write wrote, and nothing else. Codes: CodeNotOurs,
// CodeLimit, CodeShort, CodeChecksum, CodeNewer, CodeMalformed.
func ReadTicket(file []byte) (Ticket, error) {
	body, err := ticketFrame.check(file)
	if err != nil {
		return Ticket{}, err
	}
	d := fields{rest: body[len(ticketFrame.head()):]}
	var t Ticket
	copy(t.Contest[:], d.take(len(t.Contest)))
	if n := int(d.take(1)[0]); n >= 1 && n <= len(ticketRoles) {
		t.Role = ticketRoles[n-1]
	}
	t.No = uint32(d.number(1<<32-1, "number"))
	t.Turn = uint32(d.number(maxTurns, "turn"))
	copy(t.Token[:], d.take(len(t.Token)))
	copy(t.Ring[:], d.take(len(t.Ring)))
	if s := d.field(); len(s) == len(Secret{}) {
		t.Secret = (*Secret)(s)
	} else if len(s) > 0 {
		d.fail("secret")
	}
	t.Name = string(d.field())
	if b := d.field(); len(b) > 0 {
		t.Bundle = b
	}
	d.end()
	if d.bad == "" {
		d.bad = t.fault()
	}
	if d.bad != "" {
		return Ticket{}, ticketFrame.malformed(d.bad)
	}
	if again, err := t.Write(); err != nil || !bytes.Equal(again, file) {
		return Ticket{}, ticketFrame.malformed("form")
	}
	return t, nil
}
