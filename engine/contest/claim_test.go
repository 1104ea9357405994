package contest_test

import (
	"bytes"
	"crypto/ed25519"
	"fmt"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/enginetest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/tree"
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
	for seed := range uint64(2) {
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

// What does not prove the authority of a contest makes nobody its owner: neither a
// proof for another phone, or of another contest, nor one by another key.
func TestFalseClaims(t *testing.T) {
	other := record.ContestID{9}
	for _, tc := range []struct {
		name  string
		claim func(d *claimDay, c, x *rolePhone) record.Record // by x; c has claimed the contest
	}{
		{"another key", func(d *claimDay, c, x *rolePhone) record.Record {
			return record.Record{Subject: x.id.Subject(record.KindClaim), Value: record.Claim(d.id, x.id, x.key)}
		}},
		{"another contest", func(d *claimDay, c, x *rolePhone) record.Record {
			return record.Record{Subject: x.id.Subject(record.KindClaim), Value: record.Claim(other, x.id, d.authority)}
		}},
		{"for another phone", func(d *claimDay, c, x *rolePhone) record.Record {
			return record.Record{Subject: x.id.Subject(record.KindClaim), Value: record.Claim(d.id, c.id, d.authority)}
		}},
		{"of another phone", func(d *claimDay, c, x *rolePhone) record.Record {
			return record.Record{Subject: c.id.Subject(record.KindClaim), Value: record.Claim(d.id, c.id, d.authority)}
		}},
		{"about another phone", func(d *claimDay, c, x *rolePhone) record.Record {
			return record.Record{Subject: c.id.Subject(record.KindClaim), Value: record.Claim(d.id, x.id, d.authority)}
		}},
		{"of another kind", func(d *claimDay, c, x *rolePhone) record.Record {
			return record.Record{Subject: x.id.Subject(record.KindRenewal + 30), Value: record.Claim(d.id, x.id, d.authority)}
		}},
		{"cut off", func(d *claimDay, c, x *rolePhone) record.Record {
			return record.Record{Subject: x.id.Subject(record.KindClaim), Value: record.Claim(d.id, x.id, d.authority)[:126]}
		}},
		{"with more behind it", func(d *claimDay, c, x *rolePhone) record.Record {
			return record.Record{Subject: x.id.Subject(record.KindClaim), Value: record.Claim(d.id, x.id, d.authority) + "00"}
		}},
		{"no number", func(d *claimDay, c, x *rolePhone) record.Record {
			return record.Record{Subject: x.id.Subject(record.KindClaim), Value: "claimed"}
		}},
		{"nothing", func(d *claimDay, c, x *rolePhone) record.Record {
			return record.Record{Subject: x.id.Subject(record.KindClaim)}
		}},
	} {
		d, a := newClaimDay(t)
		c := d.joins(2, a)
		c.claim(d.authority)
		x := d.joins(3, c)
		r := tc.claim(d, c, x)
		r.Who = "owner/AB"
		x.put(r)
		x.shut(a.id)
		if got, want := shown(d.end(), d.all), "owner 1/1, owner 2/2,  3/3"; got != want {
			t.Errorf("%s: it comes to %s", tc.name, got)
		}
	}
}

// The authority of a contest is what the first record says. What settings say
// later changes nothing, and a contest that began without one is never claimed.
func TestOnlyTheFirstRecordSaysTheAuthority(t *testing.T) {
	thief := roleKey(201)
	rewritten := func(p *rolePhone, authority ed25519.PrivateKey) {
		t.Helper()
		value, err := contest.Settings{Name: "Later", Sealed: true, Authority: authority.Public().(ed25519.PublicKey)}.Write()
		if err != nil {
			t.Fatal(err)
		}
		p.put(record.Record{Who: "owner/AB", Subject: settingsSubject, Value: value})
	}
	for _, tc := range []struct {
		name      string
		authority ed25519.PrivateKey // with which it began
		claims    ed25519.PrivateKey
		sealed    bool
		want      string
	}{
		{"by its own", roleKey(200), roleKey(200), true, "owner 1/1, owner 3/3"},
		{"by the later one", roleKey(200), thief, true, "owner 1/1,  3/3"},
		{"an older contest", nil, thief, false, "owner 1/1,  3/3"},
	} {
		d := &claimDay{roleDay: roleDay{tb: t, authority: tc.authority}}
		a := d.phone(1)
		c := d.joins(2, a)
		rewritten(c, thief)
		c.claim(tc.claims)
		got := d.end()
		if shown(got, d.all) != tc.want || got.Settings.Name != "Later" || got.Settings.Sealed != tc.sealed {
			t.Errorf("%s: it comes to %s, and %+v", tc.name, shown(got, d.all), got.Settings)
		}
		var want []byte
		if tc.authority != nil {
			want = tc.authority.Public().(ed25519.PublicKey)
		}
		if !bytes.Equal(got.Settings.Authority, want) {
			t.Errorf("%s: the authority is %x", tc.name, got.Settings.Authority)
		}
		if again, err := got.Settings.Write(); err != nil || tc.sealed != strings.Contains(again, "sealed") {
			t.Errorf("%s: written again they are %s, %v", tc.name, again, err)
		}
	}
}

// A first record whose authority is no key, or that cannot be read, has none, and
// of several phones that begin a contest of another number none gives it one.
func TestBeginningsWithoutAnAuthority(t *testing.T) {
	authority := roleKey(200)
	public := authority.Public().(ed25519.PublicKey)
	settings := func(key []byte) string {
		s := contest.Settings{Name: "n", Sealed: true, Authority: key}
		return string(tree.Write(&s))
	}
	for _, tc := range []struct {
		name  string
		first []record.Record // of one phone each
		owner bool
	}{
		{"one that began it", []record.Record{{Value: settings(public)}}, true},
		{"a short key", []record.Record{{Value: settings(public[:5])}}, false},
		{"a long key", []record.Record{{Value: settings(append(slices.Clip(public), 0))}}, false},
		{"settings cut off", []record.Record{{Value: settings(public)[:80]}}, false},
		{"two that began it", []record.Record{{Value: settings(public)}, {Value: settings(public)}}, false},
		{"no settings", []record.Record{{Value: settings(public), Subject: classSubject(1)}}, false},
	} {
		set := record.Set{Contest: id}
		claimer := roleKey(50)
		claims := record.NewLog(id, claimer.Public().(ed25519.PublicKey))
		put := func(l *record.Log, r record.Record) {
			t.Helper()
			r.Phone, r.Seq = l.Phone, 1
			if err := l.Append(r); err != nil {
				t.Fatal(err)
			}
			set.Logs = append(set.Logs, *l)
		}
		for i, r := range tc.first {
			if r.Subject.Kind == 0 {
				r.Subject = settingsSubject
			}
			l := record.NewLog(id, roleKey(i+1).Public().(ed25519.PublicKey))
			put(&l, r)
		}
		put(&claims, record.Record{Subject: claims.Phone.Subject(record.KindClaim), Value: record.Claim(id, claims.Phone, authority)})
		slices.SortFunc(set.Logs, func(a, b record.Log) int { return slices.Compare(a.Phone[:], b.Phone[:]) })
		c := contest.Read(id, merge.Fold(set))
		if got := c.Owns(claims.Phone); got != tc.owner {
			t.Errorf("%s: the claimer is %q", tc.name, c.Role(claims.Phone))
		}
		if got := len(c.Settings.Authority); (got == ed25519.PublicKeySize) != tc.owner || !tc.owner && got > 0 {
			t.Errorf("%s: the authority has %d bytes", tc.name, got)
		}
		if !tc.owner && c.Settings.Sealed {
			t.Errorf("%s: it is sealed and nobody can unseal it", tc.name)
		}
	}
}
