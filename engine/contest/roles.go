package contest

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/hex"
	"maps"
	"slices"
	"strconv"
	"strings"

	"keelcard/engine/clock"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/sorting"
	"keelcard/engine/tree"
)

// What a phone may be in a contest. From a phone without a role nothing is kept.
const (
	Owner    = "owner"    // gives roles, shuts phones out, releases results
	Official = "official" // sets official answers and rulings
	Keyer    = "keyer"    // enters cards
	Coach    = "coach"    // reads results and slips
)

// Member is what an owner says of a phone: its role, who holds it, and whether
// it is shut out. It is the value of a record of the kind record.KindRole.
type Member struct {
	Role string   `json:"role,omitempty"`
	Who  string   `json:"who,omitempty"` // who holds it, as the owner saw it
	Why  string   `json:"why,omitempty"`
	Shut bool     `json:"shut,omitempty"` // what it wrote counts as far as UpTo says; later records are kept apart
	UpTo []string `json:"upTo,omitempty"` // as Contest.UpTo gives it; none stands for nothing at all

	Invite uint32 `json:"invite,omitempty"` // the number of the invitation that the phone had last taken up, as the owner saw it
	Box    []byte `json:"box,omitempty"`    // public key to which is sealed what only this phone may read
	Turn   uint32 `json:"turn,omitempty"`   // of the secret in Keys, from 1
	Keys   []byte `json:"keys,omitempty"`   // what a phone of the contest has to know, sealed to Box

	Since clock.Stamp `json:"-"` // of the record
	Doubt bool        `json:"-"` // owners said different things: the latest holds, but for shutting out, which loses nothing
}

// Fields names the fields of a record's value.
func (m *Member) Fields(f *tree.Fields) {
	f.Text("role", &m.Role, tree.IfSet)
	f.Text("who", &m.Who, tree.IfSet)
	f.Text("why", &m.Why, tree.IfSet)
	f.Bool("shut", &m.Shut, tree.IfSet)
	f.Texts("upTo", &m.UpTo, tree.IfSet)
	tree.Whole(f, "invite", &m.Invite, tree.IfSet)
	f.Bytes("box", &m.Box, tree.IfSet)
	tree.Whole(f, "turn", &m.Turn, tree.IfSet)
	f.Bytes("keys", &m.Keys, tree.IfSet)
}

// Join is what a phone says of itself that took an invitation up. It is the value
// of a record of the kind record.KindJoin, and gives no role: the owner's phone
// writes a Member when the proof is right.
type Join struct {
	Role  string `json:"role"`  // to which it was invited
	No    uint32 `json:"no"`    // of the invitation
	Box   []byte `json:"box"`   // public key to which is sealed what only this phone may read
	Proof []byte `json:"proof"` // that it has the invitation, see keelcard/engine/seal
}

// Fields names the fields of a record's value.
func (j *Join) Fields(f *tree.Fields) {
	f.Text("role", &j.Role, tree.Always)
	tree.Whole(f, "no", &j.No, tree.Always)
	f.Bytes("box", &j.Box, tree.Always)
	f.Bytes("proof", &j.Proof, tree.Always)
}

// Join is what a phone last said of the invitation that it took up, and whether it
// said anything.
func (c *Contest) Join(p record.PhoneID) (j Join, ok bool) {
	if all := c.joins(p); len(all) > 0 && tree.Read([]byte(all[0]), &j) == nil {
		return j, true
	}
	return Join{}, false
}

// joins is what a phone said of invitations, the last first, whatever others wrote
// in its place.
func (c *Contest) joins(p record.PhoneID) (values []string) {
	for _, ref := range slices.Backward(c.state.History(p.Subject(record.KindJoin))) {
		if r, found := c.state.Record(ref); found && r.Phone == p {
			values = append(values, r.Value)
		}
	}
	return values
}

// Reinvited is the invitation to another role that a phone took up, and whether
// there is one of which owners did not know when they last said what it is. Who is
// an owner or shut out stays that, whatever it takes up, and no invitation brings a
// role back that the phone had by it before.
func (c *Contest) Reinvited(p record.PhoneID) (j Join, ok bool) {
	m, said := c.Member(p)
	if !said || m.Shut || c.Role(p) == Owner {
		return j, false
	}
	j, ok = c.Join(p)
	if !ok || j.Role == m.Role || j.No == m.Invite {
		return j, false
	}
	between := false
	for _, value := range c.joins(p)[1:] {
		var was Join
		if same := tree.Read([]byte(value), &was) == nil && was.No == j.No; same && between {
			return j, false
		} else if !same {
			between = true
		}
	}
	return j, true
}

// MaxTurns is the last turn of a contest's secrets.
const MaxTurns = 200

// Turn is the turn of the secret under which official answers are sealed now. It
// is one more each time that an official's phone is shut out, up to MaxTurns.
func (c *Contest) Turn() uint32 {
	turn := uint32(1)
	for _, m := range c.roles.members {
		turn = max(turn, m.Turn)
	}
	return min(turn, 1+c.roles.said, MaxTurns) // each began with a record about a role
}

// SecretSubject is what the record is about that releases what was sealed in a
// turn; its value is the secret, see keelcard/engine/seal.
func SecretSubject(turn uint32) record.Subject {
	return record.Subject{Kind: record.KindRelease, A: turn}
}

// Secret is the secret of a turn, "" when no owner released it.
func (c *Contest) Secret(turn uint32) string { return c.roles.secrets[turn] }

// Seals tells whether official answers that are written now have to be sealed.
func (c *Contest) Seals() bool { return c.Settings.Sealed && c.Secret(c.Turn()) == "" }

// ReleaseSubject is what the record is about that releases the results, with the
// value Released. With "" it holds them back again.
var ReleaseSubject = record.Subject{Kind: record.KindRelease}

// Released is the value of the record that releases the results.
const Released = "released"

// IDOf is the number of a contest that begins with a record. So no other phone
// can say that it began it.
func IDOf(first *record.Record) (id record.ContestID) {
	sum := sha256.Sum256(first.Encode([]byte("keelcard contest 1\x00")))
	copy(id[:], sum[:])
	return id
}

// roles is who is who, read from all records, those kept apart included.
type roles struct {
	authority []byte                    // public key, from the record with which the contest begins
	claimed   []record.PhoneID          // phones that proved the authority, but for the one that began it, and those that go on in their place
	deposers  []record.PhoneID          // phones that may depose: those that claimed, and the one that began it when it proved the authority, too
	owners    []record.PhoneID          // phones that claimed the contest, the one that began it, and those that go on in their place
	deposed   map[record.PhoneID]uint32 // runs of the one that began it or goes on in its place, when it is shut out, and the last record that counts
	members   map[record.PhoneID]Member
	renewed   []renewal
	void      []record.Ref // records about roles and releases that do not count
	released  bool
	secrets   map[uint32]string         // released, by turn
	said      uint32                    // records about roles, whether they count or not
	apart     map[record.PhoneID]uint32 // as merge.State.KeepApart takes it
}

// renewal is a phone that goes on in the place of another.
type renewal struct{ now, was record.PhoneID }

// said is a record about a role or the release.
type said struct {
	ref    record.Ref
	r      *record.Record
	member Member
	first  bool // by an owner, not by a phone that was made one
}

// Owns tells whether a phone is an owner's.
func (c *Contest) Owns(p record.PhoneID) bool { return c.Role(p) == Owner }

// Role is the role of a phone, "" for none.
func (c *Contest) Role(p record.PhoneID) string {
	if slices.Contains(c.roles.owners, p) {
		return Owner
	}
	return c.roles.members[p].Role
}

// Claimed tells whether a phone is an owner's since it proved the authority. Such
// a phone may shut the one out that began the contest, and is not shut out itself.
// The one that began it gains by its proof only that it may shut those out that go
// on in its place.
func (c *Contest) Claimed(p record.PhoneID) bool { return slices.Contains(c.roles.claimed, p) }

// Member is what owners say of a phone, and whether they say anything.
func (c *Contest) Member(p record.PhoneID) (Member, bool) {
	m, ok := c.roles.members[p]
	return m, ok
}

// Released tells whether an owner released the results.
func (c *Contest) Released() bool { return c.roles.released }

// maxClaims is how many claims of a phone are looked at, since each takes a while.
const maxClaims = 4

// readRoles finds out who is who, keeps apart what does not count, and tells
// whether that is something else than before.
//
// Phones that claim the contest with its authority may shut the phone out that
// began it, with what it has of the authority. What it and they say of others counts first. Then counts what those say
// that were made owners, about phones that are no owners.
func (c *Contest) readRoles() (changed bool) {
	c.state.KeepApart(nil)
	runs := c.state.Runs()
	r := roles{members: map[record.PhoneID]Member{}}
	first := r.began(c.ID, runs)
	about := r.gather(c.ID, runs)
	r.owners = slices.DeleteFunc(slices.Clone(r.claimed), func(p record.PhoneID) bool { return slices.Contains(first, p) })
	r.renew()
	proved := r.claimed
	r.claimed = r.owners
	for _, p := range first {
		if len(r.claimed) > 0 {
			r.depose(c.state, about, runs, p)
		}
		if !r.members[p].Shut {
			r.owners = append(slices.Clip(r.claimed), p)
			if slices.Contains(proved, p) {
				r.depose(c.state, about, runs, p)
			}
		}
	}
	if len(about)+len(r.renewed) > 0 {
		r.renew()
		r.read(c.state, about, func(s said) bool { return s.first })
		helpers, cuts := r.helpers(), r.cuts(runs)
		r.read(c.state, about, func(s said) bool {
			n, cut := cuts[s.ref.Phone]
			return s.first || slices.Contains(helpers, s.r.Phone) && !(cut && s.r.Seq > n) &&
				s.member.Role != Owner && !slices.Contains(helpers, record.PhoneOfSubject(s.r.Subject))
		})
	}
	cuts := r.cuts(runs)
	changed = !maps.Equal(c.roles.apart, cuts)
	r.apart = cuts
	c.roles = r
	c.state.KeepApart(cuts)
	return changed
}

// depose reads whom the owners so far shut out, of the phone that began the contest
// and those that go on in its place. Of these nobody else says anything.
func (r *roles) depose(state *merge.State, about []said, runs []merge.Run, began record.PhoneID) {
	owners := slices.Clone(r.owners)
	r.deposers, r.deposed = owners, nil
	r.read(state, about, func(s said) bool { return s.first })
	r.owners, r.deposed = owners, map[record.PhoneID]uint32{}
	line := []record.PhoneID{began}
	for i := 0; i < len(line); i++ {
		for _, n := range r.renewed {
			if n.was == line[i] && !slices.Contains(line, n.now) {
				line = append(line, n.now)
			}
		}
	}
	cuts := r.cuts(runs)
	for _, run := range runs {
		if n, cut := cuts[run.ID]; cut && slices.Contains(line, run.Phone) {
			r.deposed[run.ID] = n
		}
	}
}

// began finds the phone that began the contest: its log begins with the settings.
// Where several say so, it is the one from whose first record the number of the
// contest follows, see IDOf, and nobody if there is none.
func (r *roles) began(id record.ContestID, runs []merge.Run) (owners []record.PhoneID) {
	defer func() {
		if len(owners) != 1 {
			owners, r.authority = nil, nil
		}
	}()
	for i := range runs {
		if runs[i].After > 0 || len(runs[i].Records) == 0 {
			continue
		}
		first := &runs[i].Records[0]
		if first.Subject != (record.Subject{Kind: record.KindContest}) || len(first.Replaces) > 0 {
			continue
		}
		var s Settings
		if IDOf(first) == id || !slices.Contains(owners, first.Phone) {
			_ = tree.Read([]byte(first.Value), &s) // without one when it cannot be read
			r.authority = nil
			if len(s.Authority) == ed25519.PublicKeySize {
				r.authority = s.Authority
			}
		}
		if IDOf(first) == id {
			return []record.PhoneID{first.Phone}
		}
		if !slices.Contains(owners, first.Phone) {
			owners = append(owners, first.Phone)
		}
	}
	return owners
}

// gather lists what anybody said about roles and the release, which phones go on
// in the place of others, and which claim the contest.
func (r *roles) gather(id record.ContestID, runs []merge.Run) (about []said) {
	for i := range runs {
		claims := 0
		for k := range runs[i].Records {
			rec := &runs[i].Records[k]
			switch rec.Subject.Kind {
			case record.KindClaim:
				if claims++; claims <= maxClaims && !slices.Contains(r.claimed, rec.Phone) && rec.Claims(id, r.authority) {
					r.claimed = append(r.claimed, rec.Phone)
				}
			case record.KindRole, record.KindRelease:
				if rec.Subject.Kind == record.KindRole {
					r.said++
				}
				s := said{ref: record.Ref{Phone: runs[i].ID, Seq: rec.Seq}, r: rec}
				if rec.Subject.Kind == record.KindRole && rec.Value != "" && tree.Read([]byte(rec.Value), &s.member) != nil {
					s.member = Member{} // of a later version: nothing is kept from the phone
				}
				about = append(about, s)
			case record.KindRenewal:
				if was, ok := rec.Renewed(); ok {
					r.renewed = append(r.renewed, renewal{rec.Phone, was})
				}
			}
		}
	}
	return about
}

// renew lets phones take the place of owners, and of those that have a role.
// Who goes on in the place of one that is shut out is shut out whole.
func (r *roles) renew() {
	for again := true; again; {
		again = false
		for _, n := range r.renewed {
			_, known := r.members[n.now]
			m, has := r.members[n.was]
			_, out := r.deposed[n.now]
			switch {
			case slices.Contains(r.owners, n.now):
			case slices.Contains(r.owners, n.was) && !out:
				r.owners, again = append(r.owners, n.now), true
			case has && !known:
				m.UpTo = nil
				r.members[n.now], again = m, true
			}
		}
	}
}

// helpers are the phones that were made owners.
func (r *roles) helpers() (out []record.PhoneID) {
	for p, m := range r.members {
		if m.Role == Owner {
			out = append(out, p)
		}
	}
	return out
}

// read takes what counts and is not replaced by what counts.
func (r *roles) read(state *merge.State, about []said, counts func(said) bool) {
	r.members, r.void, r.released, r.secrets = map[record.PhoneID]Member{}, nil, false, map[uint32]string{}
	var held []said
	over := map[record.Ref]bool{}
	for _, s := range about {
		s.first = slices.Contains(r.owners, s.r.Phone)
		if n, ok := r.deposed[s.ref.Phone]; ok && s.r.Seq <= n {
			s.first = true
		}
		release := s.r.Subject.Kind == record.KindRelease
		if !counts(s) || release && s.r.Subject.B > 0 || !release && !r.mayTell(s.r.Phone, record.PhoneOfSubject(s.r.Subject)) {
			r.void = append(r.void, s.ref)
			continue
		}
		held = append(held, s)
		for _, ref := range s.r.Replaces {
			ref, _ = state.Named(s.ref, ref)
			if old, ok := state.Record(ref); ok && old.Subject == s.r.Subject {
				over[ref] = true
			}
		}
	}
	held = slices.DeleteFunc(held, func(s said) bool { return over[s.ref] })
	sorting.Stable(held, said.compare)
	for len(held) > 0 {
		n := 1
		for n < len(held) && held[n].r.Subject == held[0].r.Subject && held[n].first == held[0].first {
			n++
		}
		r.decide(held[:n])
		for n < len(held) && held[n].r.Subject == held[0].r.Subject { // of those that are owners by what others said
			n++
		}
		held = held[n:]
	}
	r.renew()
}

// mayTell tells whether a phone may say what another is: nobody of an owner's, and
// of one that was deposed only who claimed the contest.
func (r *roles) mayTell(by, about record.PhoneID) bool {
	_, deposed := r.deposed[about]
	return !slices.Contains(r.owners, about) && (!deposed || slices.Contains(r.deposers, by))
}

// decide reads what stands about one phone, or about the release.
func (r *roles) decide(held []said) {
	if held[0].r.Subject.Kind == record.KindRelease {
		if turn := held[0].r.Subject.A; turn > 0 {
			r.secrets[turn] = held[0].r.Value
		} else {
			r.released = !slices.ContainsFunc(held, func(s said) bool { return s.r.Value != Released })
		}
		return
	}
	m := held[0].member
	m.Since = held[0].r.Stamp
	for _, s := range held[1:] {
		if s.r.Value != held[0].r.Value {
			m = m.beside(s.member)
		}
	}
	if held[0].r.Value != "" || m.Doubt {
		r.members[record.PhoneOfSubject(held[0].r.Subject)] = m
	}
}

// compare sorts by subject, then what the phone that began the contest said, then
// the latest first.
func (s said) compare(o said) int {
	if c := record.CompareSubjects(s.r.Subject, o.r.Subject); c != 0 {
		return c
	}
	if s.first != o.first {
		if s.first {
			return -1
		}
		return 1
	}
	if c := clock.Compare(o.r.Stamp, s.r.Stamp); c != 0 {
		return c
	}
	return record.CompareRefs(o.ref, s.ref)
}

// beside is a member of which another record says something else: who shuts it
// out is followed, since nothing is lost by that, as far as either saw its records.
func (m Member) beside(o Member) Member {
	m.Doubt = true
	if o.Shut {
		m.UpTo = append(slices.Clip(m.UpTo), o.UpTo...)
		m.Shut = true
	}
	return m
}

// cuts gives the runs of phones that are shut out, and of each the number of
// the last record that counts.
func (r *roles) cuts(runs []merge.Run) map[record.PhoneID]uint32 {
	var out map[record.PhoneID]uint32
	for p, m := range r.members {
		if !m.Shut {
			continue
		}
		if out == nil {
			out = map[record.PhoneID]uint32{}
		}
		w := waysOf(p, runs)
		for _, way := range w {
			out[way.ID] = way.After
		}
		for _, u := range m.UpTo {
			w.allow(u, out)
		}
	}
	return out
}

// ways is the runs of one phone with the sums of their records.
type ways []way

type way struct {
	merge.Run
	from int        // index of the run before, -1 for none
	sums [][32]byte // before the first record and after each
}

func waysOf(p record.PhoneID, runs []merge.Run) (out ways) {
	for _, run := range runs {
		if run.Phone != p {
			continue
		}
		w := way{Run: run, from: slices.IndexFunc(out, func(o way) bool { return o.ID == run.From })}
		var sum [32]byte
		if w.from >= 0 {
			before := out[w.from].sums
			sum = before[len(before)-1]
		}
		w.sums = append(w.sums, sum)
		for i := range run.Records {
			sum = record.Chain(sum, &run.Records[i])
			w.sums = append(w.sums, sum)
		}
		out = append(out, w)
	}
	return out
}

// upTo writes how far a run goes.
func (w *way) upTo(n uint32) string {
	sum := w.sums[n-w.After]
	return strconv.FormatUint(uint64(n), 10) + "/" + hex.EncodeToString(sum[:8])
}

// allow lets count what an owner had seen. Where less of the phone is here than
// that, all of it counts.
func (w ways) allow(upTo string, out map[record.PhoneID]uint32) {
	text, _, _ := strings.Cut(upTo, "/")
	n64, err := strconv.ParseUint(text, 10, 32)
	if err != nil {
		return
	}
	n, found := uint32(n64), false
	for i := range w {
		if r := &w[i]; n > r.After && n <= r.Last() && r.upTo(n) == upTo {
			w.count(i, n, out)
			found = true
		}
	}
	for i := range w {
		if r := &w[i]; !found && !r.Parts && r.Last() < n {
			w.count(i, r.Last(), out)
		}
	}
}

// count lets a run count up to a number, and all before it.
func (w ways) count(i int, n uint32, out map[record.PhoneID]uint32) {
	for ; i >= 0; i = w[i].from {
		out[w[i].ID] = max(out[w[i].ID], min(n, w[i].Last()))
	}
}
