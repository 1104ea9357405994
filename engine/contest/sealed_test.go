package contest_test

import (
	"bytes"
	"crypto/ed25519"
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/points"
	"keelcard/engine/record"
	"keelcard/engine/seal"
	"keelcard/engine/tree"
)

// vault seals the answers of a test contest in a turn.
func vault(turn uint32) *seal.Vault {
	return seal.NewVault(seal.Authority{1}.Secret(id, turn), id)
}

// opener opens what was sealed in some turns.
func opener(turns ...uint32) merge.Opener {
	var vaults []*seal.Vault
	for _, turn := range turns {
		vaults = append(vaults, vault(turn))
	}
	return func(r *record.Record) (string, bool) {
		for _, v := range vaults {
			if value, err := v.Open(r); err == nil {
				return value, true
			}
		}
		return "", false
	}
}

// sealedDay is a day with two officials that seal what they write, or write the
// same in the clear.
type sealedDay struct {
	day
	officials [2]int
	clear     bool
}

func newSealedDay(tb testing.TB, clear bool) *sealedDay {
	d := &sealedDay{day: newDay(tb), clear: clear}
	for i, who := range []string{"official/EF", "official/GH"} {
		d.officials[i] = d.Phone(who)
	}
	return d
}

// says writes what one of the officials says, sealed in a turn or, in turn 0, in
// the clear. It replaces some records.
func (d *sealedDay) says(official int, turn uint32, sub record.Subject, value string, replaces ...record.Ref) record.Ref {
	d.tb.Helper()
	on := d.officials[official]
	r := record.Record{Subject: sub, Value: value, Replaces: replaces}
	if turn > 0 && value != "" && !d.clear {
		var err error
		if r.Value, err = vault(turn).Seal(d.Next(on), sub, value); err != nil {
			d.tb.Fatal(err)
		}
		r.Flags = record.Sealed
	}
	return d.Put(on, r)
}

// answer is the value of an official answer.
func answer(a string) string { return string(tree.Write(&contest.KeyItem{Answer: a})) }

func ruled(r contest.Ruling) string { return string(tree.Write(&r)) }

// What officials sealed is, for who opens it, the same as in the clear. Who does not
// open it has the same statuses and questions and none of the answers, and the class
// waits.
func TestSealedAnswers(t *testing.T) {
	one, two, item := contest.KeySubject(1, 1), contest.KeySubject(1, 2), contest.RulingSubject(1, 1)
	whole := contest.RulingSubject(1, 0)
	b := contest.Ruling{Answer: "B", Why: "seen again"}
	key := func(d *sealedDay) {
		d.says(0, 1, one, answer("A"))
		d.says(0, 1, two, answer("B"))
	}
	for _, tc := range []struct {
		name    string
		story   func(d *sealedDay)
		status  [2]merge.Status // of the two items
		missing int
		sealed  bool // something cannot be read
		scores  bool // for who opens
		total   points.Points
	}{
		{"nothing", func(d *sealedDay) {}, [2]merge.Status{}, 2, false, false, 0},
		{"half of it", func(d *sealedDay) { d.says(0, 1, one, answer("A")) }, [2]merge.Status{merge.Single}, 1, true, false, 0},
		{"a whole key", key, [2]merge.Status{merge.Single, merge.Single}, 0, true, true, points.Of(20)},
		{"confirmed", func(d *sealedDay) {
			key(d)
			d.says(1, 1, one, answer("A"))
			d.says(1, 1, two, answer("B"))
		}, [2]merge.Status{merge.Confirmed, merge.Confirmed}, 0, true, true, points.Of(20)},
		{"in question", func(d *sealedDay) {
			key(d)
			d.says(1, 1, two, answer("A"))
		}, [2]merge.Status{merge.Single, merge.InQuestion}, 1, true, false, 0},
		{"all in question", func(d *sealedDay) {
			d.says(0, 1, one, answer("A"))
			d.says(1, 1, one, answer("B"))
		}, [2]merge.Status{merge.InQuestion}, 2, true, false, 0},
		{"settled", func(d *sealedDay) {
			key(d)
			other := d.says(1, 1, two, answer("A"))
			first := record.Ref{Phone: d.Next(d.officials[0]).Phone, Seq: 2}
			refs := []record.Ref{first, other}
			slices.SortFunc(refs, record.CompareRefs)
			d.says(1, 1, two, answer("B"), refs...)
		}, [2]merge.Status{merge.Single, merge.Single}, 0, true, true, points.Of(20)},
		{"withdrawn", func(d *sealedDay) {
			was := d.says(0, 1, one, answer("A"))
			d.says(0, 1, one, "", was)
		}, [2]merge.Status{}, 2, false, false, 0},
		{"in the clear", func(d *sealedDay) {
			d.says(0, 0, one, answer("A"))
			d.says(0, 0, two, answer("B"))
		}, [2]merge.Status{merge.Single, merge.Single}, 0, false, true, points.Of(20)},
		{"one sealed, one in the clear", func(d *sealedDay) {
			d.says(0, 1, one, answer("A"))
			d.says(0, 0, two, answer("B"))
		}, [2]merge.Status{merge.Single, merge.Single}, 0, true, true, points.Of(20)},
		{"of two turns", func(d *sealedDay) {
			d.says(0, 1, one, answer("A"))
			d.says(0, 2, two, answer("B"))
		}, [2]merge.Status{merge.Single, merge.Single}, 0, true, true, points.Of(20)},
		{"a ruling", func(d *sealedDay) {
			key(d)
			d.says(1, 1, item, ruled(b))
		}, [2]merge.Status{merge.Single, merge.Single}, 0, true, true, points.Of(17)},
		{"a ruling on a key in the clear", func(d *sealedDay) {
			d.says(0, 0, one, answer("A"))
			d.says(0, 0, two, answer("B"))
			d.says(1, 1, item, ruled(b))
		}, [2]merge.Status{merge.Single, merge.Single}, 0, true, true, points.Of(17)},
		{"a ruling in the clear on a sealed key", func(d *sealedDay) {
			key(d)
			d.says(1, 0, item, ruled(b))
		}, [2]merge.Status{merge.Single, merge.Single}, 0, true, true, points.Of(17)},
		{"a ruling in question", func(d *sealedDay) {
			key(d)
			d.says(0, 1, item, ruled(b))
			d.says(1, 1, item, ruled(contest.Ruling{Answer: "C", Why: "seen again"}))
		}, [2]merge.Status{merge.InQuestion, merge.Single}, 1, true, false, 0},
		{"a ruling taken back by one of two", func(d *sealedDay) {
			key(d)
			was := d.says(0, 1, item, ruled(b))
			d.says(0, 1, item, "", was)
			d.says(1, 1, item, ruled(b), was)
		}, [2]merge.Status{merge.InQuestion, merge.Single}, 1, true, false, 0},
		{"a ruling taken back", func(d *sealedDay) {
			key(d)
			was := d.says(0, 1, item, ruled(b))
			d.says(0, 1, item, "", was)
		}, [2]merge.Status{merge.Single, merge.Single}, 0, true, true, points.Of(20)},
		{"a ruling on the whole class in question", func(d *sealedDay) {
			key(d)
			was := d.says(0, 1, whole, ruled(contest.Ruling{Out: true, Why: "the cards were mixed up"}))
			d.says(0, 1, whole, "", was)
			d.says(1, 1, whole, ruled(contest.Ruling{Out: true, Why: "the light went out"}), was)
		}, [2]merge.Status{merge.Single, merge.Single}, 0, true, false, 0},
	} {
		t.Run(tc.name, func(t *testing.T) {
			var read [3]*contest.Contest // in the clear, opened, closed
			for i := range read {
				d := newSealedDay(t, i == 0)
				class := broilers(1, 2)
				d.class(class)
				d.person(7)
				d.card(class, 7, 1, 2)
				tc.story(d)
				read[i] = d.read()
			}
			read[1].Open(opener(1, 2))
			class := read[0].Classes[0]
			want := view(read[0])
			if got := view(read[1]); got != want {
				t.Errorf("opened:\n%s\nin the clear:\n%s", got, want)
			}
			for i, c := range read {
				k := c.Key(class)
				if got := [2]merge.Status(k.Status); got != tc.status || k.Missing() != tc.missing || k.Sealed != (tc.sealed && i == 2) {
					t.Errorf("%d: status %v, %d missing, sealed %v", i, got, k.Missing(), k.Sealed)
				}
				if k.Doubted != read[0].Key(class).Doubted || !slices.Equal(c.Questions(), read[0].Questions()) || len(c.Rulings()) != len(read[0].Rulings()) || len(c.Problems) > 0 {
					t.Errorf("%d: doubted %v, questions %v, rulings %v, problems %v", i, k.Doubted, c.Questions(), c.Rulings(), c.Problems)
				}
				s, err := c.Score()
				if err != nil {
					t.Fatal(err)
				}
				switch {
				case tc.sealed && i == 2:
					if len(s.Waiting) != 1 || engine.CodeOf(s.Waiting[0].Err) != "contest.sealed" {
						t.Errorf("closed it waits for %v", waiting(s))
					}
				case tc.scores != (len(s.Waiting) == 0):
					t.Errorf("%d: it waits for %v", i, waiting(s))
				case tc.scores:
					wantPoints(t, "total", s.Result.Total(0), tc.total)
				}
			}
			if tc.sealed {
				read[2].Open(opener(3))
				if k := read[2].Key(class); !k.Sealed {
					t.Error("the secret of another turn opens it")
				}
			}
			read[2].Open(opener(1, 2))
			if got := view(read[2]); got != want {
				t.Errorf("opened at last:\n%s\nin the clear:\n%s", got, want)
			}
			read[2].Open(nil)
			if k := read[2].Key(class); k.Sealed != tc.sealed {
				t.Errorf("closed again it is sealed: %v", k.Sealed)
			}
		})
	}
}

// A ruling that is sealed is listed without what it says, under who made it. What an
// official saw is not shown.
func TestSealedNotes(t *testing.T) {
	d := newSealedDay(t, false)
	class := broilers(1, 2)
	d.class(class)
	d.says(0, 1, contest.RulingSubject(1, 2), ruled(contest.Ruling{Also: []string{"C"}, Why: "torn"}))
	seen, err := contest.Seen{Note: "torn on the left"}.Write()
	if err != nil {
		t.Fatal(err)
	}
	d.says(1, 1, record.Subject{Kind: contest.KindSeen, A: 1, B: 2}, seen)
	c := d.read()
	got := c.Rulings()
	if len(got) != 1 || !got[0].Sealed || !got[0].None() || got[0].Why != "" || got[0].Item != 2 || got[0].Who != "official/EF" || got[0].Status != merge.Single {
		t.Errorf("rulings %+v", got)
	}
	if k := c.Key(class); !k.Sealed || !k.Rulings[1].None() {
		t.Errorf("the key is %+v", k)
	}
	if s := c.Seen(1, 2); !reflect.DeepEqual(s, contest.Seen{}) {
		t.Errorf("what was seen is %+v", s)
	}
	c.Open(opener(1))
	if got := c.Rulings(); got[0].Sealed || got[0].Why != "torn" {
		t.Errorf("opened, rulings %+v", got)
	}
	if got := c.Seen(1, 2).Note; got != "torn on the left" {
		t.Errorf("opened, what was seen is %q", got)
	}
}

// One sealed class holds back itself, and no other.
func TestASealedClassHoldsBackItself(t *testing.T) {
	d := newSealedDay(t, false)
	d.class(broilers(1, 1))
	d.class(hens(2))
	d.person(7)
	d.card(hens(2), 7, 1)
	d.says(0, 1, contest.KeySubject(1, 1), answer("A"))
	d.says(0, 0, contest.KeySubject(2, 0), answer("1-2-3-4"))
	s, err := d.read().Score()
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Waiting) != 1 || s.Waiting[0].Class.No != 1 || engine.CodeOf(s.Waiting[0].Err) != "contest.sealed" {
		t.Errorf("it waits for %v", waiting(s))
	}
	wantPoints(t, "total", s.Result.Total(0), points.Of(50))
}

// How far the logs of a phone go, and who is shut out from where, does not depend on
// whether answers are opened.
func TestUpToIsOfWhatWasWritten(t *testing.T) {
	d := newSealedDay(t, false)
	d.says(0, 1, contest.KeySubject(1, 1), answer("A"))
	d.says(0, 2, contest.KeySubject(1, 2), answer("B"))
	closed, opened := d.read(), d.read()
	opened.Open(opener(1, 2))
	phone := d.Next(d.officials[0]).Phone
	if a, b := closed.UpTo(phone), opened.UpTo(phone); len(a) != 1 || !slices.Equal(a, b) || !strings.HasPrefix(a[0], "2/") {
		t.Errorf("closed %v, opened %v", a, b)
	}
}

// Of an invitation that was taken up counts what a phone last said of itself.
func TestJoins(t *testing.T) {
	box, proof := bytes.Repeat([]byte{7}, 32), bytes.Repeat([]byte{8}, 16)
	join := func(no uint32) contest.Join {
		return contest.Join{Role: contest.Keyer, No: no, Box: box, Proof: proof}
	}
	value := func(j contest.Join) string { return string(tree.Write(&j)) }
	for _, tc := range []struct {
		name  string
		story func(x, other *rolePhone)
		want  contest.Join
		ok    bool
	}{
		{"nothing", func(x, other *rolePhone) {}, contest.Join{}, false},
		{"once", func(x, other *rolePhone) { x.joined(x.id, value(join(1))) }, join(1), true},
		{"twice", func(x, other *rolePhone) {
			x.joined(x.id, value(join(1)))
			x.joined(x.id, value(join(2)))
		}, join(2), true},
		{"twice without naming the first", func(x, other *rolePhone) {
			x.joined(x.id, value(join(1)))
			x.put(record.Record{Who: "keyer/X", Subject: x.id.Subject(record.KindJoin), Value: value(join(2)), Replaces: []record.Ref{}})
		}, join(2), true},
		{"by another phone", func(x, other *rolePhone) { other.joined(x.id, value(join(3))) }, contest.Join{}, false},
		{"by another phone beside it", func(x, other *rolePhone) {
			x.joined(x.id, value(join(1)))
			other.joined(x.id, value(join(3)))
		}, join(1), true},
		{"by another phone in its place", func(x, other *rolePhone) {
			x.joined(x.id, value(join(1)))
			other.take(x.set)
			other.joined(x.id, value(join(3)))
		}, join(1), true},
		{"withdrawn by another phone", func(x, other *rolePhone) {
			x.joined(x.id, value(join(1)))
			other.take(x.set)
			other.joined(x.id, "")
		}, join(1), true},
		{"withdrawn", func(x, other *rolePhone) {
			x.joined(x.id, value(join(1)))
			x.joined(x.id, "")
		}, contest.Join{}, false},
		{"what cannot be read", func(x, other *rolePhone) { x.joined(x.id, `{"role":"keyer","no":1,"box":"?"}`) }, contest.Join{}, false},
		{"what cannot be read, after what can", func(x, other *rolePhone) {
			x.joined(x.id, value(join(1)))
			x.joined(x.id, `{"role":"keyer","no":-1}`)
		}, contest.Join{}, false},
	} {
		d, a := newClaimDay(t)
		x, other := d.joins(2, a), d.joins(3, a)
		tc.story(x, other)
		c := d.end()
		if got, ok := c.Join(x.id); ok != tc.ok || !reflect.DeepEqual(got, tc.want) {
			t.Errorf("%s: %+v %v", tc.name, got, ok)
		}
		if got := c.Role(x.id); got != "" {
			t.Errorf("%s: it made itself %q", tc.name, got)
		}
	}
}

// What a phone took up for another role, and owners did not know of when they said
// what it is, is theirs to follow; nothing else is.
func TestReinvited(t *testing.T) {
	join := func(role string, no uint32) string {
		return string(tree.Write(&contest.Join{Role: role, No: no, Box: bytes.Repeat([]byte{7}, 32), Proof: []byte{8}}))
	}
	keyer := contest.Member{Role: contest.Keyer, Invite: 1}
	for _, tc := range []struct {
		name  string
		story func(a, x *rolePhone)
		want  string
	}{
		{"nobody said anything", func(a, x *rolePhone) { x.joined(x.id, join(contest.Official, 2)) }, ""},
		{"the same invitation", func(a, x *rolePhone) {
			a.says(x.id, keyer)
			x.joined(x.id, join(contest.Official, 1))
		}, ""},
		{"the same role", func(a, x *rolePhone) {
			a.says(x.id, keyer)
			x.joined(x.id, join(contest.Keyer, 2))
		}, ""},
		{"another role", func(a, x *rolePhone) {
			a.says(x.id, keyer)
			x.joined(x.id, join(contest.Official, 2))
		}, contest.Official},
		{"another role, after one was taken away", func(a, x *rolePhone) {
			a.says(x.id, contest.Member{Invite: 1})
			x.joined(x.id, join(contest.Coach, 2))
		}, contest.Coach},
		{"and the owner, who knew of it, said something else", func(a, x *rolePhone) {
			x.joined(x.id, join(contest.Official, 2))
			a.says(x.id, contest.Member{Role: contest.Keyer, Invite: 2})
		}, ""},
		{"and the owner, who did not know of it, said something else", func(a, x *rolePhone) {
			x.joined(x.id, join(contest.Keyer, 1))
			x.joined(x.id, join(contest.Official, 2))
			a.says(x.id, contest.Member{Role: contest.Coach, Invite: 1})
		}, contest.Official},
		{"said twice", func(a, x *rolePhone) {
			a.says(x.id, keyer)
			x.joined(x.id, join(contest.Official, 2))
			x.joined(x.id, join(contest.Official, 2))
		}, contest.Official},
		{"one that it had taken up before", func(a, x *rolePhone) {
			x.joined(x.id, join(contest.Official, 2))
			x.joined(x.id, join(contest.Keyer, 1))
			a.says(x.id, keyer)
			x.joined(x.id, join(contest.Official, 2))
		}, ""},
		{"what cannot be read", func(a, x *rolePhone) {
			a.says(x.id, keyer)
			x.joined(x.id, "?")
		}, ""},
		{"shut out", func(a, x *rolePhone) {
			a.says(x.id, contest.Member{Role: contest.Keyer, Shut: true})
			x.joined(x.id, join(contest.Official, 2))
		}, ""},
		{"made an owner", func(a, x *rolePhone) {
			a.says(x.id, contest.Member{Role: contest.Owner})
			x.joined(x.id, join(contest.Keyer, 2))
		}, ""},
		{"who began it", func(a, x *rolePhone) {
			a.joined(a.id, join(contest.Official, 2))
			x.joined(a.id, join(contest.Official, 2))
		}, ""},
	} {
		d, a := newClaimDay(t)
		x := d.joins(2, a)
		tc.story(a, x)
		c := d.end()
		j, ok := c.Reinvited(x.id)
		if ok != (tc.want != "") || ok && j.Role != tc.want {
			t.Errorf("%s: %+v %v", tc.name, j, ok)
		}
		if _, ok := c.Reinvited(a.id); ok {
			t.Errorf("%s: who began it is invited to another role", tc.name)
		}
	}
}

// joined writes what a phone says of an invitation that one took up.
func (p *rolePhone) joined(of record.PhoneID, value string) record.Ref {
	p.tb.Helper()
	return p.put(record.Record{Who: "keyer/X", Subject: of.Subject(record.KindJoin), Value: value})
}

// Settings are sealed only under an authority, which is a key.
func TestSettingsRefuseWhatCannotBeSealed(t *testing.T) {
	public := roleKey(1).Public().(ed25519.PublicKey)
	for _, tc := range []struct {
		name      string
		sealed    bool
		authority []byte
		where     string // "" when they can be written
	}{
		{"neither", false, nil, ""},
		{"an authority", false, public, ""},
		{"both", true, public, ""},
		{"sealed without one", true, nil, "sealed"},
		{"a short key", false, public[:31], "authority"},
		{"a long key, sealed", true, append(slices.Clip(public), 1), "authority"},
	} {
		value, err := contest.Settings{Name: "n", Sealed: tc.sealed, Authority: tc.authority}.Write()
		if tc.where == "" {
			var s contest.Settings
			if err != nil || tree.Read([]byte(value), &s) != nil || s.Sealed != tc.sealed || !bytes.Equal(s.Authority, tc.authority) {
				t.Errorf("%s: %v, read as %+v", tc.name, err, s)
			}
			continue
		}
		var e *engine.Error
		if !errors.As(err, &e) || e.Code != "contest.authority" || e.Where != tc.where || e.Fix == "" || value != "" {
			t.Errorf("%s: %q, %v", tc.name, value, err)
		}
	}
}
