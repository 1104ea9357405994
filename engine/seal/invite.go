package seal

import (
	"crypto/ed25519"
	"encoding/binary"
	"unicode/utf8"

	"keelcard/engine"
	"keelcard/engine/record"
	"keelcard/engine/tree"
)

// The parts a phone may be invited to.
const (
	Official = "official" // reads and writes official answers
	Keyer    = "keyer"    // enters cards
)

// Invite is how an owner brings a phone into a contest. It is signed with the
// owner's authority, so it holds whichever phone wrote it down. The invitation
// of an official carries the contest's secret, sealed to that phone.
type Invite struct {
	Role   string            // Official or Keyer
	Who    string            // of the person who holds the phone, at most record.MaxWho bytes
	Phone  ed25519.PublicKey // with which the phone signs its records
	Box    Public            // to which is sealed
	Turn   uint32            // of the secret; 0 in the invitation of a keyer
	Secret []byte            // the secret, sealed; empty in the invitation of a keyer
	Sig    []byte
}

// Fields names the fields of a record's value.
func (i *Invite) Fields(f *tree.Fields) {
	f.Text("role", &i.Role, tree.Always)
	f.Text("who", &i.Who, tree.Always)
	f.Bytes("phone", (*[]byte)(&i.Phone), tree.Always)
	box := i.Box[:]
	f.Bytes("box", &box, tree.Always)
	i.Box = Public{}
	copy(i.Box[:], box)
	tree.Whole(f, "turn", &i.Turn, tree.IfSet)
	f.Bytes("secret", &i.Secret, tree.IfSet)
	f.Bytes("sig", &i.Sig, tree.Always)
}

// Invite makes and signs the invitation of a phone to a contest; Secret and Sig
// of what is given are filled in. The random bytes must never be used again.
// Codes: CodeInvite, CodeKey.
func (a Authority) Invite(contest record.ContestID, i Invite, random [32]byte) (Invite, error) {
	i.Secret = nil
	if i.Role == Official {
		secret := a.Secret(contest, i.Turn)
		var err error
		if i.Secret, err = i.Box.Seal(random, i.info(contest), nil, secret[:]); err != nil {
			return Invite{}, err
		}
	}
	if err := i.check(); err != nil {
		return Invite{}, err
	}
	i.Sig = ed25519.Sign(a.Signing(), i.message(contest))
	return i, nil
}

// check finds what no invitation can have.
func (i *Invite) check() error {
	bad := func(what string) error {
		return engine.New(CodeInvite, "invitation", what, "ask the owner to invite the phone again")
	}
	switch {
	case i.Role != Official && i.Role != Keyer:
		return bad("it is for no part that a phone can have")
	case len(i.Phone) != ed25519.PublicKeySize:
		return bad("it names no phone")
	case len(i.Who) > record.MaxWho || !utf8.ValidString(i.Who):
		return bad("the name in it is too long")
	case i.Role == Keyer && (len(i.Secret) > 0 || i.Turn > 0), i.Role == Official && (len(i.Secret) != Overhead+len(Secret{}) || i.Turn < 1):
		return bad("what it carries does not belong to the part it is for")
	}
	return nil
}

// ReadInvite reads the value of a record that holds an invitation, and checks
// that the owner with that public key made it for this contest. Code: CodeInvite.
func ReadInvite(value string, contest record.ContestID, owner ed25519.PublicKey) (Invite, error) {
	var i Invite
	if err := tree.Read([]byte(value), &i); err != nil {
		return Invite{}, &engine.Error{Code: CodeInvite, Where: "invitation", What: "it cannot be read", Fix: "ask the owner to invite the phone again", Cause: err}
	}
	if err := i.check(); err != nil {
		return Invite{}, err
	}
	if len(owner) != ed25519.PublicKeySize || !ed25519.Verify(owner, i.message(contest), i.Sig) {
		return Invite{}, engine.New(CodeInvite, "invitation", "the owner of this contest did not sign it, or it was changed since", "ask the owner to invite the phone again")
	}
	return i, nil
}

// Open gives the contest's secret to the phone that was invited. Codes:
// CodeInvite, CodeClosed.
func (i *Invite) Open(contest record.ContestID, k Key) (Secret, error) {
	if i.Role != Official {
		return Secret{}, engine.New(CodeInvite, "invitation", "it is not for an official", "ask the owner if you should read official answers")
	}
	b, err := k.Open(i.info(contest), nil, i.Secret)
	if err != nil {
		return Secret{}, err
	}
	if len(b) != len(Secret{}) {
		return Secret{}, engine.New(CodeInvite, "invitation", "what it carries is no secret", "ask the owner to invite the phone again")
	}
	return Secret(b), nil
}

// info binds the sealed secret to contest, phone and turn.
func (i *Invite) info(contest record.ContestID) []byte {
	b := append([]byte("keelcard contest secret 1\x00"), contest[:]...)
	b = append(b, i.Phone...)
	return binary.BigEndian.AppendUint32(b, i.Turn)
}

// message is what the owner signs: everything in it.
func (i *Invite) message(contest record.ContestID) []byte {
	b := append([]byte("keelcard invitation 1\x00"), contest[:]...)
	for _, field := range [][]byte{[]byte(i.Role), []byte(i.Who), i.Phone, i.Box[:], i.Secret} {
		b = binary.AppendUvarint(b, uint64(len(field)))
		b = append(b, field...)
	}
	return binary.BigEndian.AppendUint32(b, i.Turn)
}
