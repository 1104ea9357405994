package contest_test

import (
	"crypto/ed25519"
	"fmt"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/enginetest"
	"keelcard/engine/record"
)

// claimDay is a day with an authority, and the phones of its stories: one began
// the contest, others may come.
type claimDay struct {
	roleDay
	all []*rolePhone
}

func newClaimDay(tb interface {
	Helper()
	Fatal(...any)
	Fatalf(string, ...any)
}) (*claimDay, *rolePhone) {
	d := &claimDay{roleDay: roleDay{tb: tb, authority: roleKey(200)}}
	return d, d.phone(1)
}

func (d *claimDay) phone(n int) *rolePhone {
	p := d.roleDay.phone(n)
	d.all = append(d.all, p)
	return p
}

// joins begins the log of a phone that took everything in.
func (d *claimDay) joins(n int, from *rolePhone) *rolePhone {
	p := d.phone(n)
	p.take(from.set)
	p.card(uint32(n), "A")
	return p
}

// claim writes the proof of an authority.
func (p *rolePhone) claim(authority ed25519.PrivateKey) record.Ref {
	p.tb.Helper()
	return p.put(record.Record{Who: "owner/AB", Subject: p.id.Subject(record.KindClaim), Value: record.Claim(p.roleDay.id, p.id, authority)})
}

// depose lets a phone shut out another that is an owner's.
func (p *rolePhone) depose(of *rolePhone) record.Ref {
	p.tb.Helper()
	return p.says(of.id, contest.Member{Role: contest.Owner, Shut: true, UpTo: p.read.UpTo(of.id)})
}

func (p *rolePhone) releases(value string) record.Ref {
	p.tb.Helper()
	return p.put(record.Record{Who: "owner/AB", Subject: contest.ReleaseSubject, Value: value})
}

// end brings all together in several orders, and gives what everybody reads.
func (d *claimDay) end() *contest.Contest {
	d.tb.Helper()
	for seed := range uint64(3) {
		pick := enginetest.Seeded(seed)
		checkAlike(&d.roleDay, d.all, func(n int, _ string) int { return pick(n) })
	}
	return d.all[0].read
}

// shown tells roles in short: of each phone in order its role, with "!" when it is
// shut out, and how many of its records count of how many.
func shown(c *contest.Contest, phones []*rolePhone) string {
	var out []string
	for _, p := range phones {
		m, _ := c.Member(p.id)
		mark := ""
		if m.Shut {
			mark = "!"
		}
		out = append(out, fmt.Sprintf("%s%s %d/%d", c.Role(p.id), mark, len(recordsOf(c, p.id, true)), len(recordsOf(c, p.id, false))))
	}
	return strings.Join(out, ", ")
}

// What a phone comes to that claims a contest, and the one that began it. The
// phones of a story are told in the order in which they come.
func TestClaims(t *testing.T) {
	for _, tc := range []struct {
		name  string
		story func(d *claimDay, a, c *rolePhone) // a began the contest, c took it in and wrote a card
		want  string                             // as shown gives it, then what else it comes to
	}{
		{"nothing", func(d *claimDay, a, c *rolePhone) {
			c.says(a.id, contest.Member{Role: contest.Coach})
		}, "owner 1/1,  2/2; void 1"},
		{"both are owners", func(d *claimDay, a, c *rolePhone) {
			k := d.joins(3, a)
			c.claim(d.authority)
			a.says(k.id, contest.Member{Role: contest.Keyer})
			c.take(a.set)
			c.releases(contest.Released)
		}, "owner 2/2, owner 3/3, keyer 1/1; released; void 0"},
		{"both say what a third is", func(d *claimDay, a, c *rolePhone) {
			k := d.joins(3, a)
			c.claim(d.authority)
			c.says(k.id, contest.Member{Role: contest.Official})
			a.take(c.set)
			a.says(k.id, contest.Member{Role: contest.Keyer})
		}, "owner 2/2, owner 3/3, keyer 1/1; void 0"},
		{"who began says what the claimer is", func(d *claimDay, a, c *rolePhone) {
			c.claim(d.authority)
			a.take(c.set)
			a.shut(c.id)
			a.says(c.id, contest.Member{Role: contest.Keyer})
		}, "owner 3/3, owner 2/2; void 2"},
		{"who began had shut the claimer out", func(d *claimDay, a, c *rolePhone) {
			a.shut(c.id)
			c.claim(d.authority)
			c.take(a.set)
			c.releases(contest.Released)
		}, "owner 2/2, owner 3/3; released; void 1"},
		{"deposed", func(d *claimDay, a, c *rolePhone) {
			k := d.joins(3, a)
			a.take(k.set)
			a.says(k.id, contest.Member{Role: contest.Keyer})
			a.releases(contest.Released)
			a.card(9, "A")
			c.take(a.set)
			c.claim(d.authority)
			c.depose(a)
			a.says(k.id, contest.Member{Role: contest.Coach})
			a.releases("")
			a.card(9, "B")
			a.take(c.set)
			a.says(k.id, contest.Member{Role: contest.Official})
			a.shut(k.id)
			a.releases("")
			a.card(9, "C")
		}, "owner! 4/11, owner 3/3, keyer 1/1; released; card 9 A; void 0"},
		{"deposed with nothing", func(d *claimDay, a, c *rolePhone) {
			k := d.joins(3, a)
			a.take(k.set)
			a.says(k.id, contest.Member{Role: contest.Keyer})
			c.claim(d.authority)
			c.take(a.set)
			c.says(a.id, contest.Member{Shut: true})
		}, "! 0/2, owner 3/3,  1/1; void 0"},
		{"deposed before it was claimed", func(d *claimDay, a, c *rolePhone) {
			c.depose(a)
			c.claim(d.authority)
			a.card(9, "B")
		}, "owner! 1/2, owner 3/3; void 0"},
		{"deposed, it lets itself in and shuts the claimer out", func(d *claimDay, a, c *rolePhone) {
			c.claim(d.authority)
			c.depose(a)
			a.take(c.set)
			a.says(a.id, contest.Member{Role: contest.Owner})
			a.shut(c.id)
		}, "owner! 1/3, owner 3/3; void 0"},
		{"deposed, it had spoken of itself", func(d *claimDay, a, c *rolePhone) {
			for range record.MaxReplaces + 1 {
				a.put(record.Record{Who: "owner/AB", Subject: a.id.Subject(record.KindRole), Value: `{"role":"owner","shut":true,"upTo":["1000/00"]}`, Replaces: []record.Ref{}})
			}
			c.take(a.set)
			c.claim(d.authority)
			c.depose(a)
			a.card(9, "B")
		}, "owner! 66/67, owner 3/3; void 65"},
		{"deposed, it claims with what it still has", func(d *claimDay, a, c *rolePhone) {
			c.claim(d.authority)
			c.depose(a)
			a.take(c.set)
			a.claim(d.authority)
			a.card(9, "B")
		}, "owner! 1/3, owner 3/3; void 0"},
		{"it had claimed before it was deposed", func(d *claimDay, a, c *rolePhone) {
			a.claim(d.authority)
			c.take(a.set)
			c.claim(d.authority)
			c.depose(a)
			a.card(9, "B")
		}, "owner! 2/3, owner 3/3; void 0"},
		{"a helper lets it in", func(d *claimDay, a, c *rolePhone) {
			h := d.joins(3, a)
			k := d.joins(4, a)
			a.says(h.id, contest.Member{Role: contest.Owner})
			c.take(a.set)
			c.claim(d.authority)
			c.depose(a)
			h.take(c.set)
			h.says(a.id, contest.Member{Role: contest.Keyer})
			h.says(k.id, contest.Member{Role: contest.Keyer})
			a.card(9, "B")
		}, "owner! 2/3, owner 3/3, owner 3/3, keyer 1/1; void 1"},
		{"a helper lets it in as it was deposed as a keyer", func(d *claimDay, a, c *rolePhone) {
			h := d.joins(3, a)
			a.says(h.id, contest.Member{Role: contest.Owner})
			c.take(a.set)
			c.claim(d.authority)
			c.shut(a.id)
			h.take(c.set)
			h.says(a.id, contest.Member{Role: contest.Keyer})
			a.card(9, "B")
		}, "keyer! 2/3, owner 3/3, owner 2/2; void 1"},
		{"the claimer lets it in again", func(d *claimDay, a, c *rolePhone) {
			c.claim(d.authority)
			c.depose(a)
			a.card(9, "B")
			c.says(a.id, contest.Member{Role: contest.Owner})
			k := d.joins(3, a)
			a.take(k.set)
			a.says(k.id, contest.Member{Role: contest.Keyer})
		}, "owner 3/3, owner 4/4, keyer 1/1; card 9 B; void 2"},
		{"restored after it was deposed", func(d *claimDay, a, c *rolePhone) {
			c.claim(d.authority)
			c.depose(a)
			z := d.joins(3, a)
			z.goesOn(a)
			z.take(c.set)
			z.releases(contest.Released)
			z.says(z.id, contest.Member{Role: contest.Owner})
		}, "owner! 1/1, owner 3/3, owner! 0/4; void 0"},
		{"restored, and that phone deposed alone", func(d *claimDay, a, c *rolePhone) {
			z := d.joins(3, a)
			k := d.joins(4, a)
			z.goesOn(a)
			z.says(k.id, contest.Member{Role: contest.Keyer})
			c.take(z.set)
			c.claim(d.authority)
			c.depose(z)
			z.releases(contest.Released)
			z.take(c.set)
			z.says(z.id, contest.Member{Role: contest.Owner})
			a.take(z.set)
			a.says(z.id, contest.Member{Role: contest.Owner})
		}, "owner 2/2, owner 3/3, owner! 3/5, keyer 1/1; void 1"},
		{"restored, and both deposed", func(d *claimDay, a, c *rolePhone) {
			z := d.joins(3, a)
			k := d.joins(4, a)
			z.goesOn(a)
			z.says(k.id, contest.Member{Role: contest.Keyer})
			z.releases(contest.Released)
			c.take(z.set)
			c.claim(d.authority)
			c.depose(a)
			c.says(z.id, contest.Member{Role: contest.Keyer, Shut: true, UpTo: c.read.UpTo(z.id)})
			z.says(k.id, contest.Member{Role: contest.Coach})
			a.card(9, "B")
		}, "owner! 1/2, owner 4/4, keyer! 4/5, keyer 1/1; released; void 0"},
		{"restored, it claims and shuts the lost phone out", func(d *claimDay, a, c *rolePhone) {
			z := d.joins(3, a)
			z.goesOn(a)
			z.claim(d.authority)
			z.depose(a)
			y := d.joins(4, a)
			y.goesOn(a)
			a.card(9, "B")
		}, "owner! 1/2,  1/1, owner 4/4, owner! 0/2; void 0"},
		{"the claimer is restored", func(d *claimDay, a, c *rolePhone) {
			c.claim(d.authority)
			z := d.joins(3, c)
			z.goesOn(c)
			z.depose(a)
			a.take(z.set)
			a.shut(z.id)
		}, "owner! 1/2, owner 2/2, owner 3/3; void 0"},
		{"two claimers shut each other out", func(d *claimDay, a, c *rolePhone) {
			b := d.joins(3, a)
			b.claim(d.authority)
			c.take(b.set)
			c.claim(d.authority)
			c.depose(b)
			b.take(c.set)
			b.depose(c)
		}, "owner 1/1, owner 3/3, owner 3/3; void 2"},
		{"two claimers differ about who began", func(d *claimDay, a, c *rolePhone) {
			b := d.joins(3, a)
			b.claim(d.authority)
			c.claim(d.authority)
			c.depose(a)
			b.says(a.id, contest.Member{Role: contest.Owner})
			a.card(9, "B")
		}, "owner! 1/2, owner 3/3, owner 3/3; void 0"},
		{"of two claimers the second lets it in", func(d *claimDay, a, c *rolePhone) {
			b := d.joins(3, a)
			b.claim(d.authority)
			c.claim(d.authority)
			c.depose(a)
			b.take(c.set)
			b.says(a.id, contest.Member{Role: contest.Owner})
			a.card(9, "B")
		}, "owner 2/2, owner 3/3, owner 3/3; card 9 B; void 2"},
		{"claimed, and taken back", func(d *claimDay, a, c *rolePhone) {
			c.claim(d.authority)
			c.put(record.Record{Who: "owner/AB", Subject: c.id.Subject(record.KindClaim)})
			c.depose(a)
		}, "owner! 1/1, owner 4/4; void 0"},
		{"the deposed phone's past stays", func(d *claimDay, a, c *rolePhone) {
			k := d.joins(3, a)
			other := a.copied()
			d.all = append(d.all, other)
			a.says(k.id, contest.Member{Role: contest.Keyer})
			c.take(a.set)
			c.claim(d.authority)
			c.depose(a)
			other.says(k.id, contest.Member{Role: contest.Official})
			other.releases(contest.Released)
		}, "owner! 2/4, owner 3/3, keyer 1/1, owner! 2/4; void 0"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			d, a := newClaimDay(t)
			tc.story(d, a, d.joins(2, a))
			c := d.end()
			got := shown(c, d.all)
			if c.Released() {
				got += "; released"
			}
			if cur := c.State().Current(contest.CardSubject(1, 9)); len(cur.Values) > 0 {
				got += "; card 9 " + strings.Join(cur.Values, " or ")
			}
			got += fmt.Sprintf("; void %d", len(c.Void()))
			if got != tc.want {
				t.Errorf("it comes to\n%s, not\n%s", got, tc.want)
			}
		})
	}
}
