package merge_test

import (
	"crypto/sha256"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/merge"
	"keelcard/engine/record"
)

// toySealed seals the value of a record in the form of a sealed value: the mark is
// the same for the same value of the same subject, the rest is good for this
// record only. It hides nothing from who knows how.
func toySealed(r record.Record) record.Record {
	if r.Value == "" {
		return r
	}
	mark := sha256.Sum256(fmt.Append(nil, r.Subject, r.Value))
	r.Value = "\x01toy." + string(mark[:8]) + toyStream(&r, r.Value)
	r.Flags |= record.Sealed
	return r
}

const toyHead = 1 + 4 + 8

func toyStream(r *record.Record, text string) string {
	pad := sha256.Sum256([]byte(r.Ref().String()))
	out := []byte(text)
	for i := range out {
		out[i] ^= pad[i%len(pad)]
	}
	return string(out)
}

// toyOpen opens what toySealed sealed.
func toyOpen(r *record.Record) (string, bool) {
	value := toyStream(r, r.Value[toyHead:])
	again := *r
	again.Value = value
	return value, toySealed(again).Value == r.Value
}

// closed is the value of a record as it is read without the secret.
func closed(r record.Record) string {
	if r.Sealed() {
		return r.Veil()
	}
	return r.Value
}

// learn lets the device read sealed values from now on.
func (d *device) learn() {
	d.open = toyOpen
	d.state.Open(d.open)
}

// everything is all a State says of its records, but for flags.
func everything(s *merge.State) string {
	out := view(s)
	for _, sub := range subjects(s) {
		status, value := s.Settled(sub)
		out += fmt.Sprint(sub, status, value, s.OneHand(sub))
		for _, ref := range s.History(sub) {
			r, ok := s.Record(ref)
			r.Flags = 0
			out += fmt.Sprintf(" %v %+v %v", ok, r, s.Replaced(ref))
		}
		out += "\n"
	}
	for _, run := range s.Runs() {
		for i := range run.Records {
			ref := record.Ref{Phone: run.ID, Seq: run.After + uint32(i) + 1}
			r, ok := s.Record(ref)
			out += fmt.Sprint(ref, r.Value, ok, s.Apart(ref), "\n")
		}
	}
	return out
}

// checkClosed holds a State that opens against one of the same records that does
// not: the same holds, is confirmed and in question by the same records, and no
// official answer is seen.
func checkClosed(t told, opened, closed *merge.State) {
	t.Helper()
	if !reflect.DeepEqual(opened.Questions(), closed.Questions()) || !reflect.DeepEqual(opened.Forks(), closed.Forks()) || !slices.Equal(subjects(opened), subjects(closed)) {
		t.Fatalf("opened:\n%s\nclosed:\n%s", view(opened), view(closed))
	}
	for _, sub := range subjects(opened) {
		a, b := opened.Current(sub), closed.Current(sub)
		if a.Status != b.Status || !slices.Equal(a.Refs, b.Refs) || len(a.Values) != len(b.Values) ||
			!slices.Equal(opened.History(sub), closed.History(sub)) || opened.OneHand(sub) != closed.OneHand(sub) {
			t.Fatalf("%v: opened %+v, closed %+v", sub, a, b)
		}
		if sub.Kind != record.KindKey {
			continue
		}
		for i, v := range b.Values {
			if v != "" && !record.Veiled(v) || (v == "") != (a.Values[i] == "") {
				t.Fatalf("%v: %q is seen for %q", sub, v, a.Values[i])
			}
		}
		if status, v := closed.Settled(sub); v != "" && !record.Veiled(v) || status != a.Status {
			t.Fatalf("%v: settled is %v %q", sub, status, v)
		}
	}
	x, y := opened.Runs(), closed.Runs()
	if len(x) != len(y) {
		t.Fatalf("%d and %d runs", len(x), len(y))
	}
	for i := range x {
		if x[i].ID != y[i].ID || x[i].After != y[i].After || x[i].From != y[i].From || !slices.EqualFunc(x[i].Records, y[i].Records, func(a, b record.Record) bool { return record.Equal(&a, &b) }) {
			t.Fatalf("run %d is listed as it is read", i)
		}
		for k := range y[i].Records {
			r, _ := closed.Record(record.Ref{Phone: y[i].ID, Seq: y[i].After + uint32(k) + 1})
			if r.Subject.Kind == record.KindKey && strings.Contains(r.Value, "answer") {
				t.Fatalf("%v shows %q", r.Ref(), r.Value)
			}
		}
	}
}

// What is sealed is read as if it had been written in the clear, whether it is
// opened before it comes, after it, or in between, and on copies as well. What is
// opened late, or no more, shows nothing else than what never was otherwise.
func TestSealedIsAsInTheClear(t *testing.T) {
	for seed := range 600 {
		rng := rand.New(rand.NewPCG(uint64(seed), 3))
		devices := []*device{newDevice(1), newDevice(2), newDevice(3)}
		trace(t, rng, devices)
		sealed := record.Set{Contest: contest}
		for _, d := range devices {
			sealed = join(t, sealed, d.set)
		}
		mixed := rng.IntN(2) == 0 // some of the answers about one item in the clear: only who opens can compare
		var plain record.Set
		sealed, plain = inTheClear(t, rng, sealed, mixed)
		apart := map[record.PhoneID]uint32{devices[0].id: uint32(rng.IntN(6))}
		want := merge.Fold(plain)
		s, shut := arrive(t, rng, sealed, apart), merge.Fold(sealed)
		if rng.IntN(2) == 0 {
			want.KeepApart(apart)
			s.KeepApart(apart)
			shut.KeepApart(apart)
		} else {
			s.KeepApart(nil)
		}
		if got := everything(s); got != everything(want) {
			t.Fatalf("seed %d, opened:\n%s\nin the clear:\n%s", seed, got, everything(want))
		}
		if !mixed {
			checkClosed(t, s, shut)
		}
		never := everything(shut)
		shut.Open(toyOpen)
		if got := everything(shut); got != everything(want) {
			t.Fatalf("seed %d, opened at last:\n%s\nin the clear:\n%s", seed, got, everything(want))
		}
		twin := shut.Clone()
		twin.Open(nil)
		if got := everything(twin); got != never || everything(shut) != everything(want) {
			t.Fatalf("seed %d, closed again:\n%s\nnever opened:\n%s", seed, got, never)
		}
	}
}

// inTheClear gives a set with some of its sealed answers in the clear, if it is to
// be mixed, and the same with all of them so.
func inTheClear(t *testing.T, rng *rand.Rand, set record.Set, mix bool) (mixed, plain record.Set) {
	mixed, plain = record.Set{Contest: contest}, record.Set{Contest: contest}
	for _, l := range set.Logs {
		a, b := record.NewLog(contest, l.Public), record.NewLog(contest, l.Public)
		for _, r := range l.Records {
			p := r
			if r.Sealed() {
				p.Value, _ = toyOpen(&r)
				p.Flags = 0
			}
			if mix && rng.IntN(3) == 0 {
				r = p
			}
			if err := a.Append(r); err != nil {
				t.Fatal(err)
			}
			if err := b.Append(p); err != nil {
				t.Fatal(err)
			}
		}
		mixed.Logs, plain.Logs = append(mixed.Logs, a), append(plain.Logs, b)
	}
	return mixed, plain
}

// arrive appends a set record by record, phones mixed, and opens it somewhere on
// the way. What was cloned from it, or it from, goes other ways in between.
func arrive(t *testing.T, rng *rand.Rand, set record.Set, apart map[record.PhoneID]uint32) *merge.State {
	s := merge.Fold(record.Set{Contest: contest})
	logs := slices.Clone(set.Logs)
	left := 0
	for _, l := range logs {
		left += len(l.Records)
	}
	for opens := 1 + rng.IntN(left); left > 0; left-- {
		if left == opens {
			s.Open(toyOpen)
		}
		if rng.IntN(6) == 0 {
			s.KeepApart(apart)
		}
		i := rng.IntN(len(logs))
		for len(logs[i].Records) == 0 {
			i = (i + 1) % len(logs)
		}
		r := logs[i].Records[0]
		logs[i].Records = logs[i].Records[1:]
		aside := s
		if rng.IntN(4) == 0 {
			if s = s.Clone(); rng.IntN(2) == 0 {
				aside, s = s, aside
			}
		}
		for range 2 {
			if err := s.Append(r); err != nil {
				t.Fatal(err)
			}
		}
		if aside != s {
			r.Value += "?"
			if err := aside.Append(r); err != nil {
				t.Fatal(err)
			}
			aside.Open(nil)
		}
	}
	return s
}

// Where logs part, runs, their numbers and what is in question do not depend on
// whether answers are opened.
func TestSealedWhereLogsPart(t *testing.T) {
	for seed := range 200 {
		rng := rand.New(rand.NewPCG(uint64(seed), 4))
		devices := []*device{newDevice(1), newDevice(2), newDevice(3)}
		for range 2 {
			trace(t, rng, devices)
			twin := devices[rng.IntN(len(devices))].fork()
			if rng.IntN(2) == 0 {
				twin.learn()
			}
			devices = append(devices, twin)
		}
		trace(t, rng, devices)
		all := record.Set{Contest: contest}
		for _, d := range devices {
			all = join(t, all, d.set)
		}
		opened, closed := merge.Fold(all), merge.Fold(all)
		opened.Open(toyOpen)
		checkClosed(t, opened, closed)
		opened.Open(nil)
		if got, want := everything(opened), everything(closed); got != want {
			t.Fatalf("seed %d, closed again:\n%s\nnever opened:\n%s", seed, got, want)
		}
	}
}

// A sealed value that was copied into another record, or that is none, is no second
// hand for who can read.
func TestACopiedSealedValueConfirmsNothing(t *testing.T) {
	sub := record.Subject{Kind: record.KindKey, A: 1, B: 1}
	first := toySealed(record.Record{Phone: record.PhoneID{1}, Seq: 1, Subject: sub, Value: "answer A"})
	for name, tc := range map[string]struct {
		flags record.Flags
		value string
		want  merge.Status
	}{
		"sealed alike":        {record.Sealed, toySealed(record.Record{Phone: record.PhoneID{2}, Seq: 1, Subject: sub, Value: "answer A"}).Value, merge.Confirmed},
		"in the clear":        {0, "answer A", merge.Confirmed},
		"sealed otherwise":    {record.Sealed, toySealed(record.Record{Phone: record.PhoneID{2}, Seq: 1, Subject: sub, Value: "answer B"}).Value, merge.InQuestion},
		"copied":              {record.Sealed, first.Value, merge.InQuestion},
		"what is shown of it": {0, first.Veil(), merge.InQuestion},
		"cut off":             {record.Sealed, first.Value[:toyHead], merge.InQuestion},
		"withdrawn":           {record.Sealed, "", merge.InQuestion},
	} {
		s := merge.Fold(record.Set{Contest: contest})
		s.Open(toyOpen)
		for _, r := range []record.Record{first, {Phone: record.PhoneID{2}, Seq: 1, Subject: sub, Value: tc.value, Flags: tc.flags}} {
			if err := s.Append(r); err != nil {
				t.Fatal(err)
			}
		}
		if got := s.Current(sub); got.Status != tc.want {
			t.Errorf("%s: %+v", name, got)
		}
	}
}
