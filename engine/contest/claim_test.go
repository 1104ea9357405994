package contest_test

import (
	"bytes"
	"crypto/ed25519"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine/contest"
	"keelcard/engine/enginetest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/seal"
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
		{"who began shuts out the restored phone without a claim", func(d *claimDay, a, c *rolePhone) {
			z := d.joins(3, a)
			z.goesOn(a)
			a.take(z.set)
			a.depose(z)
		}, "owner 2/2,  1/1, owner 2/2; void 1"},
		{"who began claims, and shuts out the restored phone", func(d *claimDay, a, c *rolePhone) {
			z := d.joins(3, a)
			k := d.joins(4, a)
			z.goesOn(a)
			z.says(k.id, contest.Member{Role: contest.Keyer})
			a.take(z.set)
			a.claim(d.authority)
			a.depose(z)
			z.take(a.set)
			z.says(z.id, contest.Member{Role: contest.Owner})
			z.releases(contest.Released)
			y := d.joins(5, z)
			y.goesOn(z)
		}, "owner 3/3,  1/1, owner! 3/5, keyer 1/1, owner! 0/2; void 0"},
		{"who began claims, and the restored phone claims", func(d *claimDay, a, c *rolePhone) {
			z := d.joins(3, a)
			z.goesOn(a)
			z.claim(d.authority)
			a.take(z.set)
			a.claim(d.authority)
			a.depose(z)
			z.take(a.set)
			z.depose(a)
			a.card(9, "B")
		}, "owner! 3/4,  1/1, owner 4/4; void 1"},
		{"who began claims, shuts out the restored phone, and is deposed", func(d *claimDay, a, c *rolePhone) {
			z := d.joins(3, a)
			z.goesOn(a)
			a.take(z.set)
			a.claim(d.authority)
			a.depose(z)
			c.take(a.set)
			c.claim(d.authority)
			c.depose(a)
			c.says(z.id, contest.Member{Role: contest.Official})
			a.take(c.set)
			a.depose(z)
		}, "owner! 3/4, owner 4/4, official 2/2; void 0"},
		{"a claimer shuts out a keyer that had spoken of others", func(d *claimDay, a, c *rolePhone) {
			k := d.joins(3, a)
			k.says(c.id, contest.Member{Role: contest.Keyer})
			k.says(a.id, contest.Member{Role: contest.Keyer})
			x := d.joins(4, k)
			k.says(x.id, contest.Member{Role: contest.Official})
			c.take(k.set)
			c.claim(d.authority)
			c.shut(k.id)
			a.take(c.set)
			k.card(9, "B")
			a.says(k.id, contest.Member{Role: contest.Keyer})
		}, "owner 2/2, owner 3/3, keyer 5/5,  1/1; card 9 B; void 3"},
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

// Secrets are released by owners: what others write is no release, and changes none.
// As long as that of the turn is not released, answers are sealed.
func TestSecretsAreReleasedByOwners(t *testing.T) {
	d, a := newClaimDay(t)
	k, h := d.joins(2, a), d.joins(3, a)
	a.take(h.set)
	a.says(h.id, contest.Member{Role: contest.Owner})
	tells := func(p *rolePhone, turn uint32, secret string) {
		p.put(record.Record{Who: "owner/AB", Subject: contest.SecretSubject(turn), Value: secret})
	}
	want := func(what string, one, two string, seals bool) {
		t.Helper()
		c := d.end()
		if c.Secret(1) != one || c.Secret(2) != two || c.Seals() != seals || c.Secret(0) != "" || c.Secret(3) != "" {
			t.Errorf("%s: %q and %q are released, it seals: %v", what, c.Secret(1), c.Secret(2), c.Seals())
		}
	}
	want("at first", "", "", true)
	tells(k, 1, "made up")
	want("by a phone without a role", "", "", true)
	a.releases(contest.Released)
	want("without its secret", "", "", true)
	tells(a, 1, "one")
	want("by the owner", "one", "", false)
	k.take(a.set)
	tells(k, 1, "made up")
	tells(k, 2, "made up")
	want("in its place, by a phone without a role", "one", "", false)
	a.says(k.id, contest.Member{Role: contest.Official, Turn: 2})
	want("of an earlier turn", "one", "", true)
	h.take(a.set)
	tells(h, 2, "two")
	want("by a phone that was made an owner", "one", "two", false)
	tells(a, 2, "")
	want("held back again", "one", "", true)

	older := &claimDay{roleDay: roleDay{tb: t}}
	if c := older.phone(1).read; c.Seals() {
		t.Error("a contest that was begun without an authority seals")
	}
}

// However what phones write and say reaches others, with phones that claim the
// contest, that are restored and deposed, and answers that some can read: all come
// to the same, nothing is lost, who claimed is an owner, and of who is deposed just
// that counts which the claimer had.
func TestClaimsByWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, owner := newClaimDay(t)
		for n := range rapid.IntRange(2, 4).Draw(t, "phones") {
			d.phone(n + 2)
		}
		fair := seal.NewVault(seal.Authority{1}.Secret(d.id, 1), d.id)
		for i, p := range d.all {
			if i%2 == 0 {
				p.open = func(r *record.Record) (string, bool) { v, err := fair.Open(r); return v, err == nil }
				p.fold()
			}
		}
		claimer := d.all[len(d.all)-1]
		var claimed, restored []*rolePhone
		var had []string // of the owner, when it was deposed
		deposed := false
		var files []record.Set
		pick := func(n int, what string) int { return rapid.IntRange(0, n-1).Draw(t, what) }
		for range rapid.IntRange(5, 25).Draw(t, "steps") {
			p := d.all[pick(len(d.all), "phone")]
			x := d.all[pick(len(d.all), "other")]
			switch pick(10, "step") {
			case 0:
				p.card(uint32(pick(2, "card")), []string{"", "A", "B"}[pick(3, "value")])
			case 1:
				if p.open != nil {
					p.seals(fair, uint32(pick(2, "item")), []string{"", "A", "B"}[pick(3, "value")])
				}
			case 2:
				files = append(files, p.set)
			case 3, 4:
				if len(files) > 0 {
					p.take(files[pick(len(files), "file")])
				}
			case 5:
				p.says(x.id, contest.Member{Role: []string{contest.Owner, contest.Keyer}[pick(2, "role")], Shut: pick(4, "shut") == 0, UpTo: p.read.UpTo(x.id)})
				if p == claimer && x == owner {
					deposed = false // or not: what it comes to is not foreseen here
					had = nil
				}
			case 6:
				if p == owner {
					p.claim(d.authority)
				} else if p == claimer && !slices.Contains(claimed, p) {
					p.claim(d.authority)
					claimed = append(claimed, p)
				}
			case 7:
				if p == owner && x != owner {
					p.depose(x)
				} else if p == claimer {
					p.depose(owner)
					had, deposed = recordsOf(p.read, owner.id, false), true
				}
			case 8:
				p.releases([]string{"", contest.Released}[pick(2, "released")])
			case 9:
				if p != owner && p != claimer && !slices.Contains(restored, p) {
					p.goesOn(owner)
					restored = append(restored, p)
				}
			}
		}
		written := map[string]bool{}
		for _, p := range d.all {
			for _, r := range recordsOf(p.read, p.id, false) {
				written[r] = true
			}
		}
		checkAlike(&d.roleDay, d.all, pick)
		n := 0
		for _, p := range d.all {
			for _, r := range recordsOf(owner.read, p.id, false) {
				if n++; !written[r] {
					t.Fatal("a record came from nowhere")
				}
			}
		}
		if n != len(written) {
			t.Fatalf("%d records were written, %d are there", len(written), n)
		}
		for _, p := range claimed {
			if m, ok := owner.read.Member(p.id); !owner.read.Owns(p.id) || ok {
				t.Fatalf("who claimed it is %q, %+v", owner.read.Role(p.id), m)
			}
			if deposed && !slices.Equal(recordsOf(owner.read, owner.id, true), had) {
				t.Fatalf("of who began it %d records count, not %d", len(recordsOf(owner.read, owner.id, true)), len(had))
			}
		}
		if len(claimed) == 0 && !owner.read.Owns(owner.id) {
			t.Fatal("nobody claimed it, and who began it is no owner")
		}
		checkVeils(t, d.all)
	})
}

// seals writes an official answer, sealed.
func (p *rolePhone) seals(v *seal.Vault, item uint32, answer string) {
	p.tb.Helper()
	r := record.Record{Who: "official/EF", Subject: contest.KeySubject(1, item)}
	if answer != "" {
		l := slices.IndexFunc(p.set.Logs, func(l record.Log) bool { return l.Phone == p.id })
		ref := record.Ref{Phone: p.id, Seq: 1}
		if l >= 0 {
			ref.Seq = p.set.Logs[l].Last() + 1
		}
		var err error
		if r.Value, err = v.Seal(ref, r.Subject, `{"answer":"`+answer+`"}`); err != nil {
			p.tb.Fatal(err)
		}
		r.Flags = record.Sealed
	}
	p.put(r)
}

// checkVeils holds phones that cannot read official answers against the first,
// which can: the same stands and is in question, and no answer is seen.
func checkVeils(t *rapid.T, phones []*rolePhone) {
	state := phones[0].read.State()
	for _, p := range phones {
		for _, sub := range state.Subjects(record.KindKey) {
			got, want := p.read.State().Current(sub), state.Current(sub)
			if got.Status != want.Status || !slices.Equal(got.Refs, want.Refs) {
				t.Fatalf("%v is %+v on one phone and %+v on another", sub, got, want)
			}
			for i, v := range got.Values {
				if p.open == nil && v != "" && !record.Veiled(v) || p.open != nil && v != want.Values[i] {
					t.Fatalf("%v: %q is seen for %q", sub, v, want.Values[i])
				}
			}
		}
	}
}

// What a phone that is shut out says of itself is no work that an owner could take
// over, and is against no role.
func TestWhatPhonesSayOfThemselves(t *testing.T) {
	d, a := newClaimDay(t)
	x := d.joins(2, a)
	a.take(x.set)
	a.says(x.id, contest.Member{Role: contest.Coach})
	x.take(a.set)
	x.joined(x.id, "{}")
	x.claim(x.key)
	a.take(x.set)
	if got := a.read.Against(x.id); len(got) > 0 {
		t.Errorf("against its role are %v", got)
	}
	a.says(x.id, contest.Member{Shut: true})
	if got := a.read.Apart(); len(got) != 1 || got[0].Records != 3 || len(got[0].Stand) != 1 || got[0].Stand[0].Seq != 1 {
		t.Errorf("kept apart are %+v", got)
	}
}

// The turn is the highest that an owner gave any phone, also one that is shut out,
// and what is no owner's word gives none.
func TestTurn(t *testing.T) {
	d, a := newClaimDay(t)
	x, y, k := d.joins(2, a), d.joins(3, a), d.joins(4, a)
	want := func(what string, turn uint32) {
		t.Helper()
		if got := d.end().Turn(); got != turn {
			t.Errorf("%s: the turn is %d, not %d", what, got, turn)
		}
	}
	want("at first", 1)
	k.says(k.id, contest.Member{Role: contest.Official, Turn: 7})
	want("by a phone without a role", 1)
	a.says(x.id, contest.Member{Role: contest.Official, Turn: 1})
	a.says(y.id, contest.Member{Role: contest.Official, Turn: 1})
	want("with two officials", 1)
	a.says(x.id, contest.Member{Role: contest.Official, Shut: true, UpTo: a.read.UpTo(x.id), Turn: 2})
	want("with one shut out", 2)
	a.says(y.id, contest.Member{Role: contest.Keyer, Turn: 3})
	want("with the other made a keyer", 3)
	y.take(a.set)
	y.says(y.id, contest.Member{Role: contest.Official, Turn: 1})
	want("by that one", 3)
}

// Whether answers are sealed is what owners said last, however settings were
// changed by others between.
func TestOwnersSayWhetherAnswersAreSealed(t *testing.T) {
	settings := func(p *rolePhone, name string, sealed bool, over ...record.Ref) record.Ref {
		s := contest.Settings{Name: name, Sealed: sealed, Authority: p.authority.Public().(ed25519.PublicKey)}
		return p.put(record.Record{Subject: record.Subject{Kind: record.KindContest}, Value: string(tree.Write(&s)), Replaces: over})
	}
	for _, tc := range []struct {
		name  string
		story func(a, k *rolePhone, first record.Ref)
		want  bool
		named string
	}{
		{"an owner switches it off", func(a, k *rolePhone, first record.Ref) { settings(a, "A", false, first) }, false, "A"},
		{"a keyer switches it on", func(a, k *rolePhone, first record.Ref) {
			off := settings(a, "A", false, first)
			k.take(a.set)
			settings(k, "K", true, off)
		}, false, "K"},
		{"a keyer switches it off", func(a, k *rolePhone, first record.Ref) {
			on := settings(a, "A", true, first)
			k.take(a.set)
			settings(k, "K", false, on)
		}, true, "K"},
		{"an owner switches it off after a keyer named the contest", func(a, k *rolePhone, first record.Ref) {
			on := settings(a, "A", true, first)
			k.take(a.set)
			named := settings(k, "K", true, on)
			a.take(k.set)
			settings(a, "A2", false, named)
		}, false, "A2"},
		{"an owner says two things at once", func(a, k *rolePhone, first record.Ref) {
			settings(a, "A", true, first)
			settings(a, "A", false, first)
		}, true, "A"},
	} {
		d, a := newClaimDay(t)
		k := d.joins(2, a)
		a.take(k.set)
		a.says(k.id, contest.Member{Role: contest.Keyer})
		k.take(a.set)
		tc.story(a, k, record.Ref{Phone: a.id, Seq: 1})
		if got := d.end().Settings; got.Sealed != tc.want || got.Name != tc.named {
			t.Errorf("%s: %+v", tc.name, got)
		}
	}
}
