package merge_test

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"keelcard/engine"
	"keelcard/engine/clock"
	"keelcard/engine/merge"
	"keelcard/engine/record"
)

// trace lets a few phones write and exchange at random. The devices know each
// other's records to different degrees when it ends.
func trace(tb testing.TB, rng *rand.Rand, devices []*device) {
	for range 4 + rng.IntN(24) {
		d := devices[rng.IntN(len(devices))]
		if rng.IntN(4) == 0 {
			if _, err := d.take(tb, devices[rng.IntN(len(devices))].set); err != nil {
				tb.Fatal(err)
			}
			if d.setBack() {
				d.renew(keyOf(1000 + rng.IntN(60_000)))
			}
			continue
		}
		sub := record.Subject{Kind: judged[rng.IntN(2)], A: 1, B: uint32(1 + rng.IntN(4))}
		value := []string{"", "answer A", "answer B", "answer C"}[rng.IntN(4)]
		now := 1000 + int64(rng.IntN(5))*100_000*int64(rng.IntN(2)) // some clocks are far off
		d.write(tb, now, "keyer/X", sub, value, rng.IntN(5) == 0)
		if rng.IntN(8) == 0 {
			if err := record.Sign(contest, d.log(), d.key); err != nil {
				tb.Fatal(err)
			}
		}
	}
}

func join(tb testing.TB, a, b record.Set) record.Set {
	tb.Helper()
	out, _, err := merge.Join(a, b)
	if err != nil {
		tb.Fatal(err)
	}
	return out
}

// judged are the kinds of records that devices write: cards in the clear, and
// official answers sealed.
var judged = []record.Kind{record.KindCard, record.KindKey}

// subjects lists all that anything was written about.
func subjects(s *merge.State) (out []record.Subject) {
	for _, kind := range judged {
		out = append(out, s.Subjects(kind)...)
	}
	return out
}

// view is all a State says, for comparison.
func view(s *merge.State) string {
	out := fmt.Sprint(s.Questions(), "\n")
	for _, sub := range subjects(s) {
		out += fmt.Sprintf("%+v %v\n", s.Current(sub), s.History(sub))
	}
	return out
}

// The laws of the join, each trace with its sides swapped, repeated and in
// shuffled order, and the fold taken whole or record by record.
func TestLaws(t *testing.T) {
	traces := 10_000
	if testing.Short() {
		traces = 1_000
	}
	base := []*device{newDevice(1), newDevice(2), newDevice(3), newDevice(4)}
	for seed := range traces {
		rng := rand.New(rand.NewPCG(uint64(seed), 1))
		devices := make([]*device, 2+rng.IntN(3))
		for i := range devices {
			devices[i] = base[i].fork()
		}
		trace(t, rng, devices)
		checkLaws(t, rng, devices)
		if t.Failed() {
			t.Fatalf("trace of seed %d", seed)
		}
	}
}

func checkLaws(t *testing.T, rng *rand.Rand, devices []*device) {
	a, b, c := devices[0].set, devices[1].set, devices[len(devices)-1].set
	ab := join(t, a, b)
	if !sameSet(ab, join(t, b, a)) {
		t.Error("swapping the sides changes the join")
	}
	if !sameSet(a, join(t, a, a)) || !sameSet(ab, join(t, ab, b)) || !sameSet(ab, join(t, a, ab)) {
		t.Error("joining again changes the join")
	}
	if !sameSet(join(t, ab, c), join(t, a, join(t, b, c))) {
		t.Error("grouping changes the join")
	}
	all, records := record.Set{Contest: contest}, 0
	for _, i := range rng.Perm(len(devices)) {
		all = join(t, all, devices[i].set)
	}
	for _, d := range devices {
		records += len(d.log().Records)
		if got, want := view(d.state), view(merge.Fold(d.set)); got != want {
			t.Errorf("record by record:\n%swhole:\n%s", got, want)
		}
	}
	var refs []record.Ref
	for _, l := range all.Logs {
		for i := range l.Records {
			refs = append(refs, l.Records[i].Ref())
		}
	}
	if len(refs) != records {
		t.Errorf("%d records were written and %d are in the join", records, len(refs))
	}
	checkArrival(t, rng, all)
	checkCurrent(t, all)
}

// checkArrival mixes the phones' records at random and compares with the fold.
func checkArrival(t *testing.T, rng *rand.Rand, all record.Set) {
	s := merge.Fold(record.Set{Contest: contest})
	rest := make([][]record.Record, len(all.Logs))
	for i, l := range all.Logs {
		rest[i] = l.Records
	}
	rest = slices.DeleteFunc(rest, func(r []record.Record) bool { return len(r) == 0 })
	for len(rest) > 0 {
		i := rng.IntN(len(rest))
		for range 2 { // the second time it is known already
			if err := s.Append(rest[i][0]); err != nil {
				t.Fatal(err)
			}
		}
		if rest[i] = rest[i][1:]; len(rest[i]) == 0 {
			rest = slices.Delete(rest, i, i+1)
		}
	}
	if got, want := view(s), view(merge.Fold(all)); got != want {
		t.Errorf("in another order of arrival:\n%swhole:\n%s", got, want)
	}
}

// checkCurrent works out what holds in the plainest way, from the definition.
func checkCurrent(t *testing.T, all record.Set) {
	s := merge.Fold(all)
	for _, sub := range subjects(s) {
		var about, held []record.Record
		replaced := map[record.Ref]bool{}
		for _, l := range all.Logs {
			for _, r := range l.Records {
				if r.Subject == sub {
					about = append(about, r)
					for _, ref := range r.Replaces {
						replaced[ref] = true
					}
				}
			}
		}
		phones, values, again := map[record.PhoneID]bool{}, map[string]bool{}, false
		for _, r := range about {
			if !replaced[r.Ref()] {
				held = append(held, r)
				phones[r.Phone], values[closed(r)], again = true, true, again || r.Again
			}
		}
		want := merge.Single
		switch {
		case len(values) > 1:
			want = merge.InQuestion
		case values[""]:
			want = merge.Absent
		case len(phones) > 1 || again && len(held) > 1:
			want = merge.Confirmed
		}
		cur := s.Current(sub)
		if cur.Status != want || len(cur.Refs) != len(held) || len(cur.Values) != len(values) {
			t.Errorf("%v: got %+v, want %v of %d records with %d values", sub, cur, want, len(held), len(values))
		}
		if got := len(s.History(sub)); got != len(about) {
			t.Errorf("%v: %d records in the history, want %d", sub, got, len(about))
		}
		if got := slices.Contains(s.Questions(), sub); got != (want == merge.InQuestion) {
			t.Errorf("%v: among the questions is %v", sub, got)
		}
	}
}

func TestJoinRefuses(t *testing.T) {
	sub := record.Subject{Kind: record.KindCard, A: 1, B: 1}
	d := newDevice(1)
	d.write(t, 1000, "keyer/A", sub, "A", false)
	d.write(t, 1001, "keyer/A", sub, "B", false)
	other := newDevice(2)
	other.write(t, 1000, "keyer/B", sub, "A", false)
	other.write(t, 1001, "keyer/B", sub, "B", false)
	other.write(t, 1002, "keyer/B", sub, "C", false)

	hole := other.fork().set
	hole.Logs[0].Records = slices.Delete(slices.Clone(hole.Logs[0].Records), 1, 2)
	headless := other.fork().set
	headless.Logs[0].Records = headless.Logs[0].Records[2:]
	both := join(t, d.set, other.set)
	reversed := record.Set{Contest: contest, Logs: []record.Log{both.Logs[1], both.Logs[0]}}
	twoKeys := d.fork().set
	twoKeys.Logs[0].Public = other.log().Public
	foreign := other.fork().set
	foreign.Contest[0]++
	var crowd record.Set
	crowd.Contest = contest
	for i := range record.MaxLogs {
		crowd.Logs = append(crowd.Logs, record.Log{Phone: record.PhoneID{0, 0, 0, 0, 0, 0, byte(i >> 8), byte(i)}})
	}
	for _, tc := range []struct {
		name string
		with record.Set
		want engine.Code
		says string
	}{
		{"two keys with one number", twoKeys, merge.CodeFork, fmt.Sprintf("phone %v: two different keys have its number; "+
			"take in no more from the one that was added last", d.id)},
		{"hole", hole, merge.CodeGap, fmt.Sprintf("phone %v: record 2 is missing before record 3; "+
			"ask this phone to hand over everything it has", other.id)},
		{"beginning missing", headless, merge.CodeGap, fmt.Sprintf("phone %v: records 1 to 2 are missing before record 3; "+
			"ask this phone to hand over everything it has", other.id)},
		{"not sorted", reversed, merge.CodeOrder, ""},
		{"other contest", foreign, merge.CodeContest, ""},
		{"too many phones", crowd, merge.CodeLimit, ""},
	} {
		for _, swapped := range []bool{false, true} {
			a, b := d.set, tc.with
			if swapped {
				a, b = b, a
			}
			before := view(merge.Fold(d.set))
			got, report, err := merge.Join(a, b)
			if engine.CodeOf(err) != tc.want {
				t.Errorf("%s: code %q, want %q", tc.name, engine.CodeOf(err), tc.want)
				continue
			}
			if tc.says != "" && err.Error() != tc.says {
				t.Errorf("%s: it says %q, want %q", tc.name, err, tc.says)
			}
			if len(got.Logs) > 0 || len(report.New)+len(report.Behind) > 0 || view(merge.Fold(d.set)) != before {
				t.Errorf("%s: something was taken over", tc.name)
			}
		}
	}
}

func TestReport(t *testing.T) {
	a, b := newDevice(1), newDevice(2)
	sub := record.Subject{Kind: record.KindCard, A: 1, B: 1}
	a.write(t, 1000, "keyer/A", sub, "A", false)
	if _, err := b.take(t, a.set); err != nil {
		t.Fatal(err)
	}
	a.write(t, 1001, "keyer/A", sub, "B", false)
	b.write(t, 1001, "keyer/B", sub, "B", false)
	_, report, err := merge.Join(b.set, a.set)
	want := merge.Report{New: []record.Ref{{Phone: a.id, Seq: 2}}, Behind: []record.Ref{{Phone: b.id, Seq: 1}}}
	if err != nil || !reflect.DeepEqual(report, want) {
		t.Errorf("got %v, %v, want %v", report, err, want)
	}
}

// Appending to a joined log must not write into the set it came from.
func TestJoinDoesNotAlias(t *testing.T) {
	d := newDevice(1)
	for i := range uint32(5) { // five, so that the slice has room to spare
		d.write(t, 1000, "keyer/A", record.Subject{Kind: record.KindCard, A: 1, B: i}, "A", false)
	}
	one, two := join(t, d.set, d.set), join(t, d.set, d.set)
	for i, set := range []record.Set{one, two} {
		r := set.Logs[0].Records[4]
		r.Seq, r.Value = 6, fmt.Sprint(i)
		if err := set.Logs[0].Append(r); err != nil {
			t.Fatal(err)
		}
	}
	if got := one.Logs[0].Records[5].Value; got != "0" {
		t.Errorf("the other set's record %q was written over this one's", got)
	}
}

func TestCloneStaysAsItWas(t *testing.T) {
	d := newDevice(1)
	sub := record.Subject{Kind: record.KindCard, A: 1, B: 1}
	d.write(t, 1000, "keyer/A", sub, "A", false)
	d.write(t, 1001, "keyer/A", sub, "B", true)
	before, want := d.state.Clone(), view(d.state)
	twin := before.Clone()
	d.write(t, 1002, "keyer/A", sub, "C", false)
	if got := view(before); got != want {
		t.Errorf("the copy moved on to %s", got)
	}
	r := record.Record{Phone: d.id, Seq: 3, Stamp: clock.Stamp{Wall: 5}, Subject: sub, Value: "D"}
	if err := twin.Append(r); err != nil {
		t.Fatal(err)
	}
	if got := d.state.Current(sub).Values; !slices.Equal(got, []string{"C"}) {
		t.Errorf("appending to a copy changed the original to %q", got)
	}
}

func TestAppendRefuses(t *testing.T) {
	d := newDevice(1)
	sub := record.Subject{Kind: record.KindCard, A: 1, B: 1}
	d.write(t, 1000, "keyer/A", sub, "A", false)
	want := view(d.state)
	r, _ := d.state.Record(record.Ref{Phone: d.id, Seq: 1})
	for _, tc := range []struct {
		name   string
		change func(*record.Record)
		want   engine.Code
	}{
		{"fork", func(r *record.Record) { r.Value = "B" }, merge.CodeFork},
		{"gap", func(r *record.Record) { r.Seq = 3 }, merge.CodeGap},
		{"number 0", func(r *record.Record) { r.Seq = 0 }, merge.CodeGap},
		{"new phone from the middle", func(r *record.Record) { r.Phone[0]++; r.Seq = 2 }, merge.CodeGap},
	} {
		bad := r
		tc.change(&bad)
		if got := engine.CodeOf(d.state.Append(bad)); got != tc.want {
			t.Errorf("%s: code %q, want %q", tc.name, got, tc.want)
		}
		if got := view(d.state); got != want {
			t.Errorf("%s: the state changed to %s", tc.name, got)
		}
	}
	if _, ok := d.state.Record(record.Ref{Phone: d.id, Seq: 2}); ok {
		t.Error("a refused record is found")
	}
}

// Records that name each other can only be made on purpose; then both hold and
// a person decides. A record cannot replace one about something else.
func TestHostileReferences(t *testing.T) {
	a, b := newDevice(1), newDevice(2)
	sub, elsewhere := record.Subject{Kind: record.KindCard, A: 1, B: 1}, record.Subject{Kind: record.KindCard, A: 1, B: 2}
	ra := record.Record{Phone: a.id, Seq: 1, Subject: sub, Value: "A", Replaces: []record.Ref{{Phone: b.id, Seq: 1}}}
	rb := record.Record{Phone: b.id, Seq: 1, Subject: sub, Value: "B", Replaces: []record.Ref{{Phone: a.id, Seq: 1}}}
	rc := record.Record{Phone: b.id, Seq: 2, Subject: elsewhere, Value: "C", Replaces: []record.Ref{{Phone: a.id, Seq: 1}, {Phone: a.id, Seq: 2}}}
	rd := record.Record{Phone: a.id, Seq: 2, Subject: sub, Value: "A"}
	slices.SortFunc(rc.Replaces, record.CompareRefs)
	s := merge.Fold(record.Set{Contest: contest})
	for _, r := range []record.Record{ra, rb} {
		if err := s.Append(r); err != nil {
			t.Fatal(err)
		}
	}
	if got := s.Current(sub); got.Status != merge.InQuestion || len(got.Refs) != 2 {
		t.Errorf("records that name each other: %+v", got)
	}
	for _, r := range []record.Record{rc, rd} {
		if err := s.Append(r); err != nil {
			t.Fatal(err)
		}
	}
	if got := s.Current(sub); got.Status != merge.Single || len(got.Refs) != 1 {
		t.Errorf("a reference from another subject counted: %+v", got)
	}
}

func TestReplacesIsWhatARecordMayName(t *testing.T) {
	var c merge.Current
	for i := range uint32(100) {
		c.Refs = append(c.Refs, record.Ref{Phone: record.PhoneID{byte(200 - i)}, Seq: 1})
	}
	refs := c.Replaces()
	r := record.Record{Phone: record.PhoneID{9}, Seq: 1, Subject: record.Subject{Kind: 1}, Replaces: refs}
	if err := r.Validate(); err != nil || len(refs) != record.MaxReplaces {
		t.Errorf("%d references: %v", len(refs), err)
	}
}
