package contest_test

import (
	"bytes"
	"crypto/ed25519"
	"fmt"
	"maps"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/clock"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/sorting"
	"keelcard/engine/tree"
)

// roleDay is phones of one contest, each with its own key and what it holds. The
// contest's number follows from the first record of the first phone.
type roleDay struct {
	tb interface {
		Helper()
		Fatal(...any)
		Fatalf(string, ...any)
	}
	id        record.ContestID
	now       int64
	authority ed25519.PrivateKey // of the owner, nil for a contest without
}

// rolePhone is one of them.
type rolePhone struct {
	*roleDay
	key  ed25519.PrivateKey
	id   record.PhoneID
	set  record.Set
	read *contest.Contest
	open merge.Opener // nil where official answers cannot be read
}

func roleKey(n int) ed25519.PrivateKey {
	return ed25519.NewKeyFromSeed(bytes.Repeat([]byte{byte(n), 7}, ed25519.SeedSize/2))
}

// phone starts a phone; the first begins the contest.
func (d *roleDay) phone(n int) *rolePhone {
	p := &rolePhone{roleDay: d, key: roleKey(n)}
	p.id = record.PhoneOf(p.key.Public().(ed25519.PublicKey))
	settings := contest.Settings{Name: "Tamarack County Poultry Day"}
	if d.authority != nil {
		settings.Sealed, settings.Authority = true, d.authority.Public().(ed25519.PublicKey)
	}
	value, err := settings.Write()
	if err != nil {
		d.tb.Fatal(err)
	}
	if d.id == (record.ContestID{}) {
		d.now = 1_790_000_000
		d.id = contest.IDOf(&record.Record{Phone: p.id, Seq: 1, Stamp: clock.Stamp{Wall: d.now}, Who: "owner/AB", Subject: settingsSubject, Value: value})
		p.set.Contest = d.id
		p.read = contest.Read(d.id, merge.Fold(p.set))
		p.put(record.Record{Who: "owner/AB", Subject: settingsSubject, Value: value})
		return p
	}
	p.set.Contest = d.id
	p.read = contest.Read(d.id, merge.Fold(p.set))
	return p
}

// put writes a record. It replaces what stands here, or what it names.
func (p *rolePhone) put(r record.Record) record.Ref {
	p.tb.Helper()
	i := slices.IndexFunc(p.set.Logs, func(l record.Log) bool { return l.Phone == p.id })
	logs := slices.Clone(p.set.Logs)
	if i < 0 {
		logs = append(logs, record.NewLog(p.roleDay.id, p.key.Public().(ed25519.PublicKey)))
		sorting.Stable(logs, func(a, b record.Log) int { return bytes.Compare(a.Phone[:], b.Phone[:]) })
		i = slices.IndexFunc(logs, func(l record.Log) bool { return l.Phone == p.id })
	}
	r.Phone, r.Seq, r.Stamp = p.id, logs[i].Last()+1, clock.Stamp{Wall: p.now}
	p.now++
	if r.Replaces == nil {
		r.Replaces = p.read.State().Current(r.Subject).Replaces()
	}
	if err := logs[i].Append(r); err != nil {
		p.tb.Fatal(err)
	}
	p.set.Logs = logs
	if err := p.read.Append(r); err != nil { // its logs part here
		p.fold()
	}
	return r.Ref()
}

func (p *rolePhone) card(number uint32, value string) record.Ref {
	p.tb.Helper()
	return p.put(record.Record{Who: "keyer/CD", Subject: contest.CardSubject(1, number), Value: value})
}

func (p *rolePhone) says(of record.PhoneID, m contest.Member) record.Ref {
	p.tb.Helper()
	return p.put(record.Record{Who: "owner/AB", Subject: of.Subject(record.KindRole), Value: string(tree.Write(&m))})
}

func (p *rolePhone) shut(of record.PhoneID) record.Ref {
	p.tb.Helper()
	return p.says(of, contest.Member{Role: contest.Keyer, Shut: true, UpTo: p.read.UpTo(of)})
}

// copied gives a second phone with the same key and what this one has now.
func (p *rolePhone) copied() *rolePhone {
	c := *p
	c.fold()
	return &c
}

// fold reads what the phone holds from the beginning.
func (p *rolePhone) fold() {
	p.read = contest.Read(p.roleDay.id, merge.Fold(p.set))
	if p.open != nil {
		p.read.Open(p.open)
	}
}

// goesOn lets the phone take the place of another, whose key it has.
func (p *rolePhone) goesOn(old *rolePhone) record.Ref {
	p.tb.Helper()
	value, err := record.Renewal(p.roleDay.id, p.id, old.key)
	if err != nil {
		p.tb.Fatal(err)
	}
	return p.put(record.Record{Who: "owner/AB", Subject: p.id.Subject(record.KindRenewal), Value: value})
}

// parted tells whether the phone knows that its own logs part. It then goes on
// under another key, which here means not at all.
func (p *rolePhone) parted() bool {
	return slices.ContainsFunc(p.read.State().Forks(), func(f merge.Fork) bool { return f.Phone == p.id })
}

// take joins what another phone has into this one.
func (p *rolePhone) take(from record.Set) {
	p.tb.Helper()
	joined, _, err := merge.Join(p.set, from)
	if err != nil {
		p.tb.Fatal(err)
	}
	p.set = joined
	p.fold()
}

// told is all that a reading says, for comparison.
func told(c *contest.Contest) string {
	out := fmt.Sprint(c.Settings, c.Released(), c.Turn(), c.Apart(), c.Void(), c.Questions())
	for _, run := range c.State().Runs() {
		m, ok := c.Member(run.Phone)
		join, joined := c.Join(run.Phone)
		out += fmt.Sprintf("\n%v %q %+v %t %v %+v %t", run.ID, c.Role(run.Phone), m, ok, c.UpTo(run.Phone), join, joined)
		for i := range run.Records {
			ref := record.Ref{Phone: run.ID, Seq: run.Records[i].Seq}
			out += fmt.Sprint(" ", c.State().Apart(ref), c.State().Replaced(ref))
		}
	}
	for kind := range record.Kind(20) {
		for _, sub := range c.State().Subjects(kind) {
			out += fmt.Sprintf("\n%+v %v", c.State().Current(sub), c.State().History(sub))
		}
	}
	return out
}

// Only the phone that began a contest gives roles, and the contest's number says
// which that is: another log that begins with settings, even with an earlier
// clock, takes nothing over. Where the number says nothing, several make none.
func TestTheOwnerIsWhoBegan(t *testing.T) {
	d := &roleDay{tb: t}
	owner, keyer, liar := d.phone(1), d.phone(2), d.phone(3)
	keyer.take(owner.set)
	keyer.card(1, "A")
	value, _ := contest.Settings{Name: "Mine"}.Write()
	d.now -= 1000
	liar.put(record.Record{Who: "owner/XX", Subject: settingsSubject, Value: value, Replaces: []record.Ref{}})
	d.now += 2000
	liar.take(keyer.set)
	if !liar.read.Owns(owner.id) || liar.read.Owns(liar.id) || liar.read.Owns(keyer.id) {
		t.Error("the owner is not who began the contest")
	}
	void := liar.says(keyer.id, contest.Member{Role: contest.Coach})
	owner.take(liar.set)
	if got := owner.read.Void(); !slices.Equal(got, []record.Ref{void}) || owner.read.Role(keyer.id) != "" {
		t.Errorf("not counted: %v, the keyer is %q", got, owner.read.Role(keyer.id))
	}
	owner.says(keyer.id, contest.Member{Role: contest.Keyer})
	if got := owner.read.Role(keyer.id); got != contest.Keyer {
		t.Errorf("the keyer is %q", got)
	}
	foreign := record.Set{Contest: id}
	for _, l := range liar.set.Logs {
		log := record.NewLog(id, l.Public)
		for _, r := range l.Records {
			if err := log.Append(r); err != nil {
				t.Fatal(err)
			}
		}
		foreign.Logs = append(foreign.Logs, log)
	}
	if c := contest.Read(id, merge.Fold(foreign)); c.Owns(owner.id) || c.Owns(liar.id) {
		t.Error("of two phones that began a contest of another number one is its owner")
	}
}

// An owner makes another phone an owner, which may say what phones are that are
// no owners, and nothing else.
func TestASecondOwner(t *testing.T) {
	d := &roleDay{tb: t}
	a, b, c := d.phone(1), d.phone(2), d.phone(3)
	b.take(a.set)
	b.card(1, "A")
	c.take(b.set)
	c.card(2, "A")
	a.take(c.set)
	a.says(b.id, contest.Member{Role: contest.Owner})
	b.take(a.set)
	b.says(c.id, contest.Member{Role: contest.Keyer})
	wrong := []record.Ref{b.says(a.id, contest.Member{Role: contest.Coach}), b.says(b.id, contest.Member{Role: contest.Coach}), b.says(record.PhoneID{9}, contest.Member{Role: contest.Owner})}
	b.put(record.Record{Who: "owner/CD", Subject: contest.ReleaseSubject, Value: contest.Released})
	a.take(b.set)
	if a.read.Role(c.id) != contest.Keyer || !a.read.Owns(b.id) || !a.read.Owns(a.id) || !a.read.Released() || !slices.Equal(a.read.Void(), wrong) {
		t.Errorf("%s", told(a.read))
	}
	a.says(c.id, contest.Member{Role: contest.Official}) // both at once: who began goes before
	b.says(c.id, contest.Member{Role: contest.Coach})
	a.take(b.set)
	if got := a.read.Role(c.id); got != contest.Official {
		t.Errorf("the third phone is %q", got)
	}
	a.says(b.id, contest.Member{Role: contest.Owner, Shut: true, UpTo: a.read.UpTo(b.id)})
	b.put(record.Record{Who: "owner/CD", Subject: contest.ReleaseSubject, Value: ""})
	b.take(a.set)
	if !b.read.Released() {
		t.Error("an owner that is shut out holds the results back")
	}
	a.says(b.id, contest.Member{Role: contest.Keyer})
	if a.read.Released() || a.read.Role(c.id) != contest.Official {
		t.Errorf("who is no owner any more still decides\n%s", told(a.read))
	}
}

// Two owners that say different things of a phone at the same time are told;
// it is shut out, beyond what either had seen.
func TestOwnersWhoDiffer(t *testing.T) {
	d := &roleDay{tb: t}
	a, x := d.phone(1), d.phone(2)
	copied := a.copied()
	x.take(a.set)
	x.card(1, "A")
	a.take(x.set)
	a.shut(x.id)
	x.card(2, "A")
	last := x.card(3, "A")
	copied.take(x.set)
	d.now += 10
	copied.says(x.id, contest.Member{Role: contest.Official})
	a.take(copied.set)
	if m, _ := a.read.Member(x.id); !m.Doubt || !m.Shut || m.Role != contest.Official || a.read.State().Apart(record.Ref{Phone: x.id, Seq: 1}) {
		t.Errorf("%+v", m)
	}
	if !a.read.State().Apart(last) {
		t.Error("the last card counts")
	}
}

// A phone that goes on in the place of another, with its key, is what that one
// was. One that only says so is refused.
func TestAPhoneGoesOn(t *testing.T) {
	d := &roleDay{tb: t}
	owner, x := d.phone(1), d.phone(2)
	x.take(owner.set)
	x.card(1, "A")
	owner.take(x.set)
	owner.shut(x.id)
	renew := func(n int, old *rolePhone) *rolePhone {
		p := d.phone(n)
		p.take(owner.set)
		p.goesOn(old)
		if err := record.Sign(d.id, &p.set.Logs[slices.IndexFunc(p.set.Logs, func(l record.Log) bool { return l.Phone == p.id })], p.key); err != nil {
			t.Fatal(err)
		}
		return p
	}
	restored, again := renew(4, owner), renew(5, x)
	apart := again.card(7, "B")
	restored.take(again.set)
	if !restored.read.Owns(restored.id) || !restored.read.Owns(owner.id) || !restored.read.State().Apart(apart) {
		t.Errorf("%s", told(restored.read))
	}
	restored.says(again.id, contest.Member{Role: contest.Keyer})
	owner.take(restored.set)
	if owner.read.Role(again.id) != contest.Keyer || owner.read.State().Apart(apart) {
		t.Errorf("%s", told(owner.read))
	}
	for _, l := range restored.set.Logs {
		if l.Phone != restored.id {
			continue
		}
		l.Records = l.Records[:1]
		for _, value := range []string{"", "00", l.Records[0].Value[:190] + "00"} {
			lie := record.NewLog(d.id, l.Public)
			r := l.Records[0]
			r.Value = value
			if err := lie.Append(r); err != nil {
				t.Fatal(err)
			}
			if err := record.Sign(d.id, &lie, restored.key); err != nil {
				t.Fatal(err)
			}
			if err := record.Verify(d.id, lie); engine.CodeOf(err) != record.CodeRenewal {
				t.Errorf("%q gives %v", value, err)
			}
		}
		return
	}
	t.Error("the restored phone has no log")
}

// What a phone wrote before it was shut out stays, what came later is kept apart;
// a single card is taken over under the owner's name; let in again all counts, and
// what was taken over is not its second hand.
func TestShutOut(t *testing.T) {
	d := &roleDay{tb: t}
	owner, x := d.phone(1), d.phone(2)
	x.take(owner.set)
	x.card(1, "A")
	owner.take(x.set)
	owner.shut(x.id)
	x.card(1, "B")
	x.card(2, "A")
	x.card(2, "C")
	two := x.card(3, "D")
	owner.take(x.set)
	c := owner.read
	if got := c.State().Current(contest.CardSubject(1, 1)); got.Status != merge.Single || got.Values[0] != "A" {
		t.Errorf("the first card is %+v", got)
	}
	if got := c.State().Current(contest.CardSubject(1, 2)); got.Status != merge.Absent || len(got.Refs) > 0 {
		t.Errorf("the second card is %+v", got)
	}
	want := []contest.Apart{{Phone: x.id, Records: 4, Stand: []record.Ref{{Phone: x.id, Seq: 2}, {Phone: x.id, Seq: 4}, {Phone: x.id, Seq: 5}}}}
	if got := c.Apart(); fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("kept apart are %v", got)
	}
	owner.put(record.Record{Who: "owner/AB for CD", Subject: contest.CardSubject(1, 3), Value: "D", Replaces: []record.Ref{two}})
	if got := owner.read.Apart()[0]; got.Taken != 1 || len(got.Stand) != 2 {
		t.Errorf("kept apart are %+v", got)
	}
	owner.says(x.id, contest.Member{Role: contest.Keyer})
	if got := owner.read.State().Current(contest.CardSubject(1, 3)); got.Status != merge.Single {
		t.Errorf("the card that was taken over is %v", got.Status)
	}
	if got := owner.read.State().Current(contest.CardSubject(1, 1)); got.Values[0] != "B" || len(owner.read.Apart()) > 0 {
		t.Errorf("let in again: %+v", got)
	}
	if got := owner.read.Against(x.id); len(got) > 0 {
		t.Errorf("against the role are %v", got)
	}
	owner.says(x.id, contest.Member{Role: contest.Coach})
	x.take(owner.set)
	x.card(9, "A")
	if got := x.read.Against(x.id); len(got) != 1 {
		t.Errorf("against the role are %v", got)
	}
}

// What a phone wrote of people comes back at once when it is let in again, and goes
// when it is shut out.
func TestLetInAgain(t *testing.T) {
	d := &roleDay{tb: t}
	owner, x := d.phone(1), d.phone(2)
	x.take(owner.set)
	value, err := contest.Person{Number: 7, Name: "Ana"}.Write()
	if err != nil {
		t.Fatal(err)
	}
	x.put(record.Record{Who: "keyer/CD", Subject: personSubject(7), Value: value})
	owner.take(x.set)
	for _, m := range []contest.Member{{Shut: true}, {Role: contest.Keyer}, {Shut: true}, {}} {
		owner.says(x.id, m)
		if got := len(owner.read.Persons) == 0; got != m.Shut {
			t.Errorf("shut out %v, and what it wrote is gone: %v", m.Shut, got)
		}
	}
}

// A phone that is shut out cannot write its past anew: another side of it, under
// numbers that the owner has seen, does not count, nor does it undo what others
// settled.
func TestShutOutPastStays(t *testing.T) {
	d := &roleDay{tb: t}
	owner, x := d.phone(1), d.phone(2)
	x.take(owner.set)
	x.card(1, "A")
	other := x.copied()
	x.card(2, "A")
	x.card(3, "A")
	owner.take(x.set)
	owner.card(2, "C")
	owner.shut(x.id)
	other.card(2, "B")
	other.card(3, "B")
	other.card(4, "B")
	owner.take(other.set)
	if n := len(owner.read.State().Forks()); n != 1 {
		t.Fatalf("%d forks", n)
	}
	for number, want := range map[uint32]string{1: "A", 2: "C", 3: "A"} {
		if got := owner.read.State().Current(contest.CardSubject(1, number)); got.Status != merge.Single || got.Values[0] != want {
			t.Errorf("card %d is %+v", number, got)
		}
	}
	if got := owner.read.Apart(); len(got) != 1 || got[0].Records != 3 {
		t.Errorf("kept apart are %+v", got)
	}
}

// However records of phones that are shut out and let in again reach others, and
// if such a phone is copied, all read the same, and just that counts which the
// owner had when it shut the phone out.
func TestShutOutByWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := &roleDay{tb: t}
		phones := []*rolePhone{d.phone(1)}
		for n := range rapid.IntRange(2, 3).Draw(t, "phones") {
			phones = append(phones, d.phone(n+2))
		}
		owner := phones[0]
		counted := map[record.PhoneID][]string{} // of those shut out, what the owner had
		var copies []*rolePhone
		var files []record.Set
		pick := func(n int, what string) int { return rapid.IntRange(0, n-1).Draw(t, what) }
		for range rapid.IntRange(5, 25).Draw(t, "steps") {
			p := phones[pick(len(phones), "phone")]
			x := phones[1+pick(len(phones)-1, "other")].id
			switch pick(9, "step") {
			case 0, 1:
				if p.parted() {
					continue
				}
				p.card(uint32(pick(3, "card")), []string{"", "A", "B"}[pick(3, "value")])
			case 2:
				files = append(files, p.set)
			case 3, 4:
				if len(files) > 0 {
					p.take(files[pick(len(files), "file")])
				}
			case 5:
				owner.says(x, contest.Member{Role: []string{contest.Keyer, contest.Coach}[pick(2, "role")]})
				delete(counted, x)
			case 6:
				owner.shut(x)
				counted[x] = recordsOf(owner.read, x, false)
			case 7:
				if p != owner {
					copies = append(copies, p.copied())
				}
			case 8:
				if len(copies) > 0 && len(phones) < 6 {
					phones = append(phones, copies[0])
					copies = copies[1:]
				}
			}
		}
		checkAlike(d, phones, pick)
		for _, p := range phones[1:] {
			want, shut := counted[p.id]
			if !shut {
				want = recordsOf(owner.read, p.id, false)
			}
			if got := recordsOf(owner.read, p.id, true); !slices.Equal(got, want) {
				t.Fatalf("of phone %v %d records count, not %d (shut out: %t)", p.id, len(got), len(want), shut)
			}
		}
	})
}

// checkAlike brings everything together in some order and one by one, and holds
// the readings against each other.
func checkAlike(d *roleDay, phones []*rolePhone, pick func(int, string) int) {
	t := d.tb
	t.Helper()
	for _, p := range phones {
		for range phones {
			p.take(phones[pick(len(phones), "from")].set)
		}
	}
	for _, p := range phones { // the rest, so that all have all
		for _, o := range phones {
			p.take(o.set)
		}
	}
	first := phones[0].copied()
	for i, p := range phones {
		if first.open = p.open; p.open == nil {
			first.read.Open(nil)
		} else {
			first.fold()
		}
		if got, want := told(p.read), told(first.read); got != want {
			t.Fatalf("phone %d reads\n%s\nthe first\n%s", i, got, want)
		}
	}
	if len(phones[0].read.State().Forks()) > 0 {
		return
	}
	one := contest.Read(d.id, merge.Fold(record.Set{Contest: d.id}))
	one.Open(phones[0].open)
	logs := slices.Clone(phones[0].set.Logs)
	for len(logs) > 0 {
		i := pick(len(logs), "log")
		if len(logs[i].Records) == 0 {
			logs = slices.Delete(logs, i, i+1)
			continue
		}
		if err := one.Append(logs[i].Records[0]); err != nil {
			t.Fatal(err)
		}
		logs[i].Records = logs[i].Records[1:]
	}
	if got, want := told(one), told(phones[0].read); got != want {
		t.Fatalf("one by one\n%s\nall at once\n%s", got, want)
	}
}

// recordsOf lists what a phone wrote, or only what counts of it.
func recordsOf(c *contest.Contest, p record.PhoneID, counting bool) []string {
	out := map[string]bool{}
	for _, run := range c.State().Runs() {
		for i := range run.Records {
			r := &run.Records[i]
			if run.Phone == p && !(counting && c.State().Apart(record.Ref{Phone: run.ID, Seq: r.Seq})) {
				out[string(r.Encode(nil))] = true
			}
		}
	}
	return slices.Sorted(maps.Keys(out))
}
