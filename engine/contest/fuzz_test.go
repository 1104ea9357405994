package contest_test

import (
	"bytes"
	"crypto/ed25519"
	"slices"
	"testing"

	"keelcard/engine/clock"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/tree"
)

// FuzzRoles reads from a script what four phones say of each other: roles,
// shutting out, releases, going on in another's place, and claims of the contest,
// good and false. A step is four bytes and
// a text: who writes what, about whom and in which form, which earlier record
// it replaces, and how long the text is.
//
// Whatever they say, the contest reads the same one record after the other, phone
// after phone, and all at once, the phone that began it is its owner unless another
// claimed it, and who else claimed it is its owner.
func FuzzRoles(f *testing.F) {
	step := func(by, what, about, form, over byte, text string) []byte {
		return append([]byte{by | what<<2, about | form<<2, over, byte(len(text))}, text...)
	}
	began := step(0, 3, 0, 0, 0, "")
	f.Add(slices.Concat(began, step(0, 0, 1, 1, 0, ""), step(1, 0, 2, 2, 0, ""), step(1, 1, 0, 1, 0, ""), step(2, 3, 1, 0, 0, "\x01")))
	f.Add(slices.Concat(began, step(2, 3, 2, 0, 0, "\x01"), step(0, 0, 2, 4, 0, ""), step(2, 3, 3, 0, 0, "\x02"), step(3, 2, 2, 1, 0, "")))
	f.Add(slices.Concat(began, step(0, 0, 1, 1, 0, ""), step(1, 0, 0, 3, 0, ""), step(0, 0, 1, 3, 0, ""), step(1, 0, 2, 3, 0, ""), step(0, 0, 1, 2, 4, "")))
	f.Add(slices.Concat(began, step(1, 3, 0, 0, 0, ""), step(1, 2, 0, 1, 0, ""), step(0, 2, 1, 1, 0, ""), step(2, 2, 2, 1, 0, "")))
	f.Add(slices.Concat(began, step(0, 0, 1, 0, 0, `{"shut":true,"upTo":["1/","4294967295/00","-1/","9","1/0011223344556677"]}`), step(0, 1, 0, 0, 0, "again"), step(0, 0, 1, 0, 2, "null")))
	f.Add(slices.Concat(began, step(0, 0, 2, 1, 0, ""), step(1, 3, 1, 1, 0, ""), step(1, 0, 0, 4, 0, ""), step(2, 0, 0, 2, 0, "a"), step(0, 3, 0, 1, 0, ""), step(3, 2, 0, 1, 0, ""), step(3, 0, 2, 3, 0, "b")))
	f.Add(slices.Concat(step(0, 0, 1, 3, 0, ""), step(1, 3, 0, 0, 0, ""), step(1, 3, 1, 1, 0, ""), step(0, 3, 0, 1, 0, "")))
	f.Add(slices.Concat(began, step(1, 2, 0, 1, 0, ""), step(2, 3, 2, 1, 0, ""), step(2, 0, 1, 4, 0, ""), step(3, 3, 2, 1, 0, ""), step(3, 3, 3, 2, 0, "x"), step(0, 0, 1, 1, 0, "c")))

	var keys []ed25519.PrivateKey
	var logs []record.Log
	for n := range 4 {
		keys = append(keys, roleKey(n+1))
	}
	first := firstOf(keys[0])
	fair := contest.IDOf(&first)
	for _, key := range keys {
		logs = append(logs, record.NewLog(fair, key.Public().(ed25519.PublicKey)))
	}
	f.Fuzz(func(t *testing.T, script []byte) {
		logs := slices.Clone(logs)
		one := contest.Read(fair, merge.Fold(record.Set{Contest: fair}))
		var all []record.Record
		for len(script) >= 4 && len(all) < 60 {
			n := min(int(script[3]), len(script)-4)
			l := &logs[script[0]&3]
			r := scripted(script[:4], string(script[4:4+n]), fair, keys, l, one)
			script = script[4+n:]
			if over := int(r.Seq); over > 0 && over <= len(all) && all[over-1].Ref() != r.Ref() {
				r.Replaces = []record.Ref{all[over-1].Ref()}
			}
			r.Seq = l.Last() + 1
			if l.Append(r) != nil {
				continue
			}
			all = append(all, r)
			if err := one.Append(r); err != nil {
				t.Fatal(err)
			}
		}
		set := record.Set{Contest: fair}
		byPhone := contest.Read(fair, merge.Fold(set))
		for _, l := range logs {
			if len(l.Records) > 0 {
				set.Logs = append(set.Logs, l)
			}
			for _, r := range l.Records {
				if err := byPhone.Append(r); err != nil {
					t.Fatal(err)
				}
			}
		}
		slices.SortFunc(set.Logs, func(a, b record.Log) int { return bytes.Compare(a.Phone[:], b.Phone[:]) })
		atOnce := contest.Read(fair, merge.Fold(set))
		want := told(atOnce)
		if got := told(one); got != want {
			t.Fatalf("one by one\n%s\nall at once\n%s", got, want)
		}
		if got := told(byPhone); got != want {
			t.Fatalf("phone by phone\n%s\nall at once\n%s", got, want)
		}
		began, claimed := beganBy(logs, fair), false
		for i, l := range logs {
			if i != began && slices.ContainsFunc(l.Records, func(r record.Record) bool { return r.Claims(fair, atOnce.Settings.Authority) }) {
				if claimed = true; !atOnce.Owns(l.Phone) {
					t.Fatalf("phone %d claimed it and does not own it:\n%s", i, want)
				}
			}
		}
		if began >= 0 && !claimed && !atOnce.Owns(logs[began].Phone) {
			t.Fatalf("phone %d began it and does not own it:\n%s", began, want)
		}
	})
}

// beganBy is the phone that began a contest: the one that its number says, else the
// only one whose log begins with settings, -1 for none.
func beganBy(logs []record.Log, id record.ContestID) int {
	alone := -1
	for i, l := range logs {
		switch {
		case len(l.Records) == 0 || l.Records[0].Subject != settingsSubject || len(l.Records[0].Replaces) > 0:
		case contest.IDOf(&l.Records[0]) == id:
			return i
		case alone >= 0:
			alone = len(logs)
		default:
			alone = i
		}
	}
	if alone == len(logs) {
		return -1
	}
	return alone
}

// begins is the first record's value, with an authority.
var begins = string(tree.Write(&contest.Settings{Name: "n", Authority: roleKey(200).Public().(ed25519.PublicKey)}))

// firstOf is the record with which a phone begins a contest.
func firstOf(key ed25519.PrivateKey) record.Record {
	return record.Record{Phone: record.PhoneOf(key.Public().(ed25519.PublicKey)), Seq: 1, Stamp: clock.Stamp{Wall: 1_790_000_000}, Who: "owner/AB", Subject: settingsSubject, Value: begins}
}

// scripted makes the record of one step. Its number is that of the step it replaces.
func scripted(step []byte, text string, fair record.ContestID, keys []ed25519.PrivateKey, l *record.Log, c *contest.Contest) record.Record {
	about := keys[step[1]&3]
	phone := record.PhoneOf(about.Public().(ed25519.PublicKey))
	form := step[1] >> 2 & 7
	r := record.Record{Phone: l.Phone, Seq: uint32(step[2]), Stamp: clock.Stamp{Wall: 1_790_000_000 + int64(len(text))}, Who: "owner/AB", Value: text}
	members := []contest.Member{{}, {Role: contest.Owner}, {Role: contest.Keyer}, {Role: contest.Official, Shut: true}, {Role: contest.Keyer, Shut: true, UpTo: c.UpTo(phone)}}
	switch step[0] >> 2 & 3 {
	case 0:
		r.Subject = phone.Subject(record.KindRole)
		if form > 0 && int(form) < len(members) {
			r.Value = string(tree.Write(&members[form]))
		}
	case 1:
		r.Subject = contest.ReleaseSubject
		if form > 0 {
			r.Value = contest.Released
		}
	case 2:
		r.Subject = l.Phone.Subject(record.KindRenewal)
		if form > 0 {
			r.Value, _ = record.Renewal(fair, l.Phone, about)
		}
	default:
		if text == "" && l.Last() == 0 {
			r = firstOf(keys[step[0]&3])
			r.Seq = 0
			return r
		}
		r.Subject = contest.CardSubject(1, uint32(step[1]&3)+1)
		if form == 1 { // good when it is about the phone itself
			r.Subject, r.Value = phone.Subject(record.KindClaim), record.Claim(fair, phone, roleKey(200))
		} else if form == 2 {
			r.Subject, r.Value = l.Phone.Subject(record.KindClaim), text+record.Claim(fair, phone, roleKey(200))
		}
	}
	return r
}
