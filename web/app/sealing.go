package app

import (
	"encoding/hex"
	"slices"

	"keelcard/engine"
	"keelcard/engine/codec"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/seal"
	"keelcard/engine/sorting"
	"keelcard/engine/tree"
	"keelcard/web/words"
)

func sealingHandlers() handlers {
	return handlers{"seal.open": unseal}
}

// unseal reads the official answers of the open contest, where this phone may,
// and writes what became due: that it took an invitation up, that it is the
// owner's, or, on the owner's, the roles of phones that were invited.
func unseal(s *State, m Msg) []Effect {
	if s.Open == nil {
		return nil
	}
	effects := s.keepRing()
	s.openAnswers()
	if s.ReadOnly || s.Phone.Initials == "" {
		return effects
	}
	entries, err := s.goesOn()
	if err != nil {
		return append(effects, s.refuse(err)...)
	}
	if len(entries) > 0 {
		effects = append(effects, s.write(m, s.lastRole(), entries...)...)
	}
	effects = append(effects, s.welcome(m)...)
	s.openAnswers() // perhaps it is another turn now
	return effects
}

// openAnswers readies the open contest for reading and writing what is sealed.
func (s *State) openAnswers() {
	o := s.Open
	secrets := s.secrets()
	names := ""
	var vaults []*seal.Vault
	for _, known := range secrets {
		names += known.Mark() + " "
		vaults = append(vaults, seal.NewVault(known.Secret, o.Contest.ID))
	}
	if names != o.opened {
		o.opened, o.scored = names, nil
		o.opener = func(r *record.Record) (string, bool) {
			for _, v := range vaults {
				if value, err := v.Open(r); err == nil {
					return value, true
				}
			}
			return "", false
		}
		o.Contest.Open(o.opener)
	}
	o.sealer = nil
	if len(vaults) > 0 {
		o.sealer = vaults[0].Seal
	}
}

// turnSecret is a secret of the open contest that this phone knows.
type turnSecret struct {
	seal.Secret
	turn uint32
}

// secrets lists the secrets of the open contest that this phone knows, that of
// the latest turn first.
func (s *State) secrets() (out []turnSecret) {
	c := s.Open.Contest
	add := func(secret *seal.Secret, turn uint32) { // and those of the turns before it
		for turn = min(turn, contest.MaxTurns); secret != nil && turn > 0; turn-- {
			known := turnSecret{*secret, turn}
			if slices.Contains(out, known) {
				return
			}
			out = append(out, known)
			before := secret.Before()
			secret = &before
		}
	}
	if p, ok := s.pass(c.ID); ok {
		add(p.Secret, p.Turn)
	}
	for _, k := range s.keys() {
		m, _ := c.Member(k.id())
		if keys, ok := k.openKeys(c, m); ok {
			add(keys.Secret, m.Turn)
		}
	}
	if a, ok := s.authority(c); ok {
		secret := a.Secret(c.ID, c.Turn())
		add(&secret, c.Turn())
	}
	for turn := c.Turn(); turn > 0; turn-- {
		if secret, err := seal.ReadRelease(c.Secret(turn)); err == nil {
			add(&secret, turn)
		}
	}
	sorting.Stable(out, func(a, b turnSecret) int { return int(b.turn) - int(a.turn) })
	return out
}

// keys lists the keys of this phone, those it had before included.
func (s *State) keys() []Key {
	return append([]Key{{Seed: s.Phone.Seed, Public: s.Phone.Public}}, s.Phone.Former...)
}

// openKeys opens what an owner sealed to a phone with this key.
func (k Key) openKeys(c *contest.Contest, m contest.Member) (seal.Keys, bool) {
	if len(m.Keys) == 0 {
		return seal.Keys{}, false
	}
	seed, err := hex.DecodeString(k.Seed)
	if err != nil {
		return seal.Keys{}, false
	}
	keys, err := seal.PhoneKey(seed).OpenKeys(c.ID, k.id(), m.Turn, m.Keys)
	return keys, err == nil
}

// pass is the invitation to a contest that this phone took up.
func (s *State) pass(id record.ContestID) (seal.Ticket, bool) {
	for _, p := range s.Passes {
		if p.Contest == id.String() && p.Role != "" {
			t, err := seal.ReadTicket(p.data)
			return t, err == nil
		}
	}
	return seal.Ticket{}, false
}

// authority is what makes this phone the owner of a contest.
func (s *State) authority(c *contest.Contest) (seal.Authority, bool) {
	at := s.authorityAt(c)
	if at < 0 {
		return seal.Authority{}, false
	}
	return s.Phone.Authorities[at].authority()
}

func (k Key) authority() (seal.Authority, bool) {
	b, err := hex.DecodeString(k.Seed)
	if err != nil || len(b) != len(seal.Authority{}) {
		return seal.Authority{}, false
	}
	return seal.Authority(b), true
}

// authorityKey keeps an authority with its public key.
func authorityKey(a seal.Authority) Key {
	return Key{Seed: hex.EncodeToString(a[:]), Public: hex.EncodeToString(a.Public())}
}

// ring is that of the contest to which the phone was invited.
func (p *Pass) ring() (seal.Ring, bool) {
	if len(p.data) == len(seal.Ring{}) {
		return seal.Ring(p.data), true
	}
	t, err := seal.ReadTicket(p.data)
	return t.Ring, err == nil
}

// given lists the rings of a contest that this phone was given.
func (s *State) given(id record.ContestID) (out []seal.Ring) {
	for _, p := range s.Passes {
		if ring, ok := p.ring(); ok && p.Contest == id.String() {
			out = append(out, ring)
		}
	}
	return out
}

// rings lists the rings under which a bundle of some contest may be sealed.
func (s *State) rings(id record.ContestID) []seal.Ring {
	out := s.given(id)
	if p := s.TakeIn.Pass; p != nil && p.Contest == id.String() {
		if ring, ok := p.ring(); ok {
			out = append(out, ring)
		}
	}
	for _, k := range s.Phone.Authorities {
		if a, ok := k.authority(); ok {
			out = append(out, a.Ring(id))
		}
	}
	return out
}

// ring is that of the open contest.
func (s *State) ring() (seal.Ring, error) {
	if a, ok := s.authority(s.Open.Contest); ok {
		return a.Ring(s.Open.Contest.ID), nil
	}
	for _, r := range s.given(s.Open.Contest.ID) {
		return r, nil
	}
	return seal.Ring{}, engine.New("app.no-ring", "", words.T("seal.no-ring"), words.T("seal.no-ring-fix"))
}

// keepRing keeps the ring that this phone was given in the record of its role, so
// that bundles can be opened without the contest being open.
func (s *State) keepRing() []Effect {
	c := s.Open.Contest
	if s.ReadOnly || slices.ContainsFunc(s.Passes, func(p Pass) bool { return p.Contest == c.ID.String() }) {
		return nil
	}
	for _, k := range s.keys() {
		m, _ := c.Member(k.id())
		if keys, ok := k.openKeys(c, m); ok {
			p := Pass{Contest: c.ID.String(), data: keys.Ring[:]}
			s.Passes = append(s.Passes, p)
			return []Effect{s.save(p.op())}
		}
	}
	return nil
}

// wrap seals a bundle of the open contest, where the contest seals.
func (s *State) wrap(data []byte) ([]byte, error) {
	if !s.Open.Contest.Settings.Sealed {
		return data, nil
	}
	ring, err := s.ring()
	if err != nil {
		return nil, err
	}
	return ring.Seal(s.Open.Contest.ID, data), nil
}

// box is the public key to which is sealed what only this phone may read, nil
// in a contest that cannot seal.
func (s *State) box() []byte {
	seed, err := hex.DecodeString(s.Phone.Seed)
	if err != nil || len(s.Open.Contest.Settings.Authority) == 0 {
		return nil
	}
	public := seal.PhoneKey(seed).Public()
	return public[:]
}

// joins is what this phone writes when it took an invitation up.
func (s *State) joins() []written {
	c := s.Open.Contest
	t, ok := s.pass(c.ID)
	box := s.box()
	if !ok || box == nil || c.Owns(s.Phone.ID) {
		return nil
	}
	j := contest.Join{Role: t.Role, No: t.No, Box: box, Proof: t.Proof(s.Phone.ID, seal.Public(box))}
	return []written{{Subject: s.Phone.ID.Subject(record.KindJoin), Value: string(tree.Write(&j))}}
}

// claims is what this phone writes when it has the authority over a contest that
// another one began.
func (s *State) claims() []written {
	if s.ShutOut() {
		return nil
	}
	if slices.ContainsFunc(s.keys(), func(k Key) bool { return s.Open.Contest.Owns(k.id()) }) {
		return nil
	}
	return s.claim()
}

// claim proves the authority over the open contest, unless that is done.
func (s *State) claim() []written {
	c := s.Open.Contest
	a, ok := s.authority(c)
	if !ok || c.Claimed(s.Phone.ID) {
		return nil
	}
	return []written{{Subject: s.Phone.ID.Subject(record.KindClaim), Value: record.Claim(c.ID, s.Phone.ID, a.Signing())}}
}

// welcome gives the phones their roles that prove they were invited, for the first
// time or to another role, and those with a role what they need to know.
func (s *State) welcome(m Msg) []Effect {
	c := s.Open.Contest
	a, ok := s.authority(c)
	if !ok || !c.Owns(s.Phone.ID) || len(m.Rand) < 32 {
		return nil
	}
	entries, err := s.turnOn(m, a)
	if err != nil {
		return s.refuse(err)
	}
	for _, p := range phones(c.State().Runs()) {
		if len(entries) > 0 && entries[0].Subject == p.Subject(record.KindRole) {
			continue
		}
		mem, said := c.Member(p)
		is, invited := s.takenUp(a, p)
		switch {
		case invited && reads(mem) && !reads(is):
			continue // one at a time, by turnOn
		case invited:
			mem = is
		case !said || !lacks(mem, c.Turn()):
			continue
		}
		if err := s.equip(&mem, p, c.Turn(), m.Rand); err != nil {
			return s.refuse(err)
		}
		if !invited && len(mem.Keys) == 0 {
			continue // nothing can be sealed to it yet
		}
		entries = append(entries, written{Subject: p.Subject(record.KindRole), Value: string(tree.Write(&mem))})
		if invited {
			s.Open.welcomed = append(s.Open.welcomed, mem)
		}
	}
	if len(entries) == 0 {
		return nil
	}
	return s.write(m, contest.Owner, entries...)
}

// lacks tells whether a phone has a role and not what it needs to know for that:
// an owner without the authority gave it, or sealing came later.
func lacks(m contest.Member, turn uint32) bool {
	return !m.Shut && m.Role != "" && (len(m.Keys) == 0 || reads(m) && m.Turn < turn)
}

// takenUp is what a phone becomes that took an invitation up of which owners said
// nothing yet. An official's invitation is good for one phone: who else has it is
// left to the owner.
func (s *State) takenUp(a seal.Authority, p record.PhoneID) (m contest.Member, ok bool) {
	c := s.Open.Contest
	j, ok := s.invited(a, p)
	ok = ok && !c.Owns(p) && s.untold(p) && !(j.Role == contest.Official && s.usedBefore(a, j, p))
	return contest.Member{Role: j.Role, Who: s.holder(p), Invite: j.No, Box: j.Box}, ok
}

// untold tells whether owners said nothing of a phone, or nothing since it took up
// an invitation to another role.
func (s *State) untold(p record.PhoneID) bool {
	_, said := s.Open.Contest.Member(p)
	_, anew := s.Open.Contest.Reinvited(p)
	return !said || anew
}

// turnOn goes to the next turn when an official took up an invitation to a role that
// reads no answers, and when two owners shut phones out without knowing of
// each other: each gave the phone that the other shut out the secret of the same
// turn. That a phone is shut out holds.
func (s *State) turnOn(m Msg, a seal.Authority) ([]written, error) {
	c := s.Open.Contest
	for _, p := range phones(c.State().Runs()) {
		mem, _ := c.Member(p)
		if is, ok := s.takenUp(a, p); ok && reads(mem) && !reads(is) {
			s.Open.welcomed = append(s.Open.welcomed, is)
			return s.sayOf(m, p, mem, is)
		}
		if !mem.Shut || !mem.Doubt {
			continue
		}
		was := mem
		was.Shut, was.Role = false, contest.Official
		return s.sayOf(m, p, was, mem)
	}
	return nil, nil
}

// invited is what a phone says of its invitation, when that is proven.
func (s *State) invited(a seal.Authority, p record.PhoneID) (contest.Join, bool) {
	c := s.Open.Contest
	j, ok := c.Join(p)
	ok = ok && len(j.Box) == len(seal.Public{}) && a.Invited(c.ID, j.Role, j.No, p, seal.Public(j.Box), j.Proof)
	return j, ok
}

// usedBefore tells whether another phone has the same invitation.
func (s *State) usedBefore(a seal.Authority, j contest.Join, p record.PhoneID) bool {
	return slices.ContainsFunc(phones(s.Open.Contest.State().Runs()), func(other record.PhoneID) bool {
		o, ok := s.invited(a, other)
		return ok && other != p && o.Role == j.Role && o.No == j.No
	})
}

// Twice tells whether a phone waits for its role since its invitation was taken up
// by another one, too.
func (s *State) Twice(p record.PhoneID) bool {
	a, owner := s.authority(s.Open.Contest)
	if !owner || !s.untold(p) {
		return false
	}
	j, ok := s.invited(a, p)
	return ok && s.usedBefore(a, j, p)
}

// reads tells whether a role reads official answers.
func reads(m contest.Member) bool {
	return !m.Shut && (m.Role == contest.Official || m.Role == contest.Owner)
}

// equip gives a phone what its role needs to know: the ring, and the secret of a
// turn to those who read official answers.
func (s *State) equip(m *contest.Member, p record.PhoneID, turn uint32, random []byte) error {
	c := s.Open.Contest
	a, ok := s.authority(c)
	if len(m.Box) == 0 {
		h, _ := s.Open.heard(p)
		m.Box = h.Box
	}
	if m.Keys = nil; !ok || len(m.Box) != len(seal.Public{}) || m.Shut || len(random) < 32 {
		return nil
	}
	keys := seal.Keys{Ring: a.Ring(c.ID)}
	if reads(*m) {
		secret := a.Secret(c.ID, turn)
		keys.Secret = &secret
	}
	var err error
	m.Turn = turn
	m.Keys, err = seal.Public(m.Box).SealKeys([32]byte(random), c.ID, p, turn, keys)
	return err
}

// sayOf gives what an owner writes of a phone. When it read official answers and
// must not any more, all others who do are given the secret of the next turn.
func (s *State) sayOf(m Msg, id record.PhoneID, was, is contest.Member) ([]written, error) {
	c := s.Open.Contest
	turn := c.Turn()
	a, owner := s.authority(c)
	if j, ok := s.invited(a, id); owner && ok && !reads(was) && (was.Role == "" || s.untold(id)) {
		was.Role = j.Role // it reads what its invitation lets it read
	}
	next := owner && c.Secret(turn) == "" && reads(was) && !reads(is)
	if next {
		turn = min(turn+1, contest.MaxTurns)
	}
	if err := s.equip(&is, id, turn, m.Rand); err != nil {
		return nil, err
	}
	if next {
		is.Turn = turn
	}
	out := []written{{Subject: id.Subject(record.KindRole), Value: string(tree.Write(&is))}}
	for _, p := range phones(c.State().Runs()) {
		mem, ok := c.Member(p)
		if !next || !ok || p == id || !reads(mem) {
			continue
		}
		if err := s.equip(&mem, p, turn, m.Rand); err != nil {
			return nil, err
		}
		out = append(out, written{Subject: p.Subject(record.KindRole), Value: string(tree.Write(&mem))})
	}
	return out, nil
}

// holdsSealed tells whether there are sealed answers, though the contest may seal
// no more.
func (o *Open) holdsSealed() bool {
	return slices.ContainsFunc(o.Contest.State().Runs(), func(run merge.Run) bool {
		return slices.ContainsFunc(run.Records, func(r record.Record) bool { return r.Sealed() })
	})
}

// Opens tells whether official answers are sealed that a release of the results
// opens.
func (s *State) Opens() bool {
	c := s.Open.Contest
	return c.Secret(c.Turn()) == "" && (c.Settings.Sealed || s.Open.holdsSealed())
}

// releases is what an owner writes to release the official answers, or why this
// phone cannot.
func (s *State) releases() ([]written, error) {
	c := s.Open.Contest
	if !c.Settings.Sealed && !s.Open.holdsSealed() {
		return nil, nil
	}
	a, ok := s.authority(c)
	if !ok && c.Secret(c.Turn()) == "" {
		return nil, engine.New("app.no-authority", "", words.T("phones.no-authority"), words.T("phones.no-authority-fix"))
	}
	if !ok {
		return nil, nil
	}
	return []written{{Subject: contest.SecretSubject(c.Turn()), Value: a.Secret(c.ID, c.Turn()).Release()}}, nil
}

// lookAtSealed opens a bundle that is sealed to a contest of this phone.
func lookAtSealed(s *State, a Arrival) []Effect {
	id, _ := seal.SealedFor(a.data)
	_, err := seal.Ring{}.Open(a.data)
	for _, ring := range s.rings(id) {
		var data []byte
		if data, err = ring.Open(a.data); err == nil {
			a.data = data
			return lookAtBundle(s, a)
		}
	}
	s.TakeIn.Faults = append(s.TakeIn.Faults, blame(a.Name, err))
	return nil
}

// owns tells whether this phone began the contest to which a ticket invites, or has
// its authority.
func (s *State) owns(t seal.Ticket) bool {
	if s.Open != nil && s.Open.Contest.ID == t.Contest && s.Open.Contest.Owns(s.Phone.ID) {
		return true
	}
	return slices.ContainsFunc(s.Phone.Authorities, func(k Key) bool {
		a, ok := k.authority()
		return ok && a.Ring(t.Contest) == t.Ring
	})
}

// lookAtTicket looks at an invitation, and at the records that came with it.
func lookAtTicket(s *State, a Arrival) []Effect {
	t, err := seal.ReadTicket(a.data)
	k := &s.TakeIn
	switch {
	case err != nil:
	case len(k.files) > 0 && k.files[0].set.Contest != t.Contest:
		err = engine.New("take-in.other", "", words.T("take-in.other"), words.T("take-in.other-fix"))
	case s.owns(t):
		err = engine.New("take-in.own", "", words.T("take-in.own"), words.T("take-in.own-fix"))
	case len(s.given(t.Contest)) > 0 && !slices.Contains(s.given(t.Contest), t.Ring):
		err = engine.New("take-in.false", "", words.T("take-in.false"), words.T("take-in.false-fix"))
	}
	if set, fault := codec.DecodeBundle(t.Bundle); err == nil && len(t.Bundle) > 0 && (fault != nil || set.Contest != t.Contest) {
		err = engine.New("take-in.false", "", words.T("take-in.false"), words.T("take-in.false-fix"))
	}
	bundle := t.Bundle
	t.Bundle = nil
	var data []byte
	if err == nil {
		data, err = t.Write()
	}
	if err != nil {
		k.Faults = append(k.Faults, blame(a.Name, err))
		return nil
	}
	k.Pass, k.Title = &Pass{t.Contest.String(), t.Role, data}, t.Name
	if len(bundle) == 0 {
		return nil
	}
	a.data = bundle
	return lookAtBundle(s, a)
}

// keepPass keeps the invitation that is taken up, in place of an earlier one.
func (s *State) keepPass() (ops []Op) {
	p := s.TakeIn.Pass
	if p == nil {
		return nil
	}
	s.Passes = slices.DeleteFunc(s.Passes, func(old Pass) bool {
		if old.Contest != p.Contest {
			return false
		}
		ops = append(ops, Op{Bucket: BucketMeta, Key: old.op().Key})
		return true
	})
	s.Passes = append(s.Passes, *p)
	return append(ops, p.op())
}

// takeUp takes an invitation up that came without records.
func (s *State) takeUp(m Msg) []Effect {
	if s.ReadOnly {
		return s.refuse(readOnly())
	}
	p := *s.TakeIn.Pass
	effects := []Effect{s.save(s.keepPass()...)}
	s.TakeIn = TakeIn{}
	if slices.ContainsFunc(s.Contests, func(h Head) bool { return h.ID == p.Contest }) {
		s.Open = nil // to be read anew with what is known now
		return append(effects, openPage(s, Msg{Args: []string{Page{Name: "contest", Contest: p.Contest}.Hash()}, Now: m.Now})...)
	}
	s.Notice = Notice{Tone: "info", Text: words.T("take-in.invited"), Fix: words.T("take-in.invited-fix")}
	return effects
}
