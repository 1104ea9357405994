package merge_test

import (
	"crypto/sha256"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"keelcard/engine"
	"keelcard/engine/merge"
	"keelcard/engine/record"
)

// told is what a test can complain to.
type told interface {
	Helper()
	Errorf(string, ...any)
	Fatal(...any)
	Fatalf(string, ...any)
}

// written is one record in the plainest model: it is known by the head after it,
// and by the heads before, which are its past.
type written struct {
	record.Record
	head     [32]byte
	past     [][32]byte // of the records before it in its log, itself last
	replaced bool
}

// model lists the records of a set, each once, with what they replace worked out
// from the definition: a record names others of its own log by their number;
// what another phone names are the records of that number in the logs that go
// through the named phone or segment, if only one of them is about its subject.
func model(set record.Set) []*written {
	var all []*written
	known := map[[32]byte]*written{}
	for _, l := range set.Logs {
		head := record.NewLog(set.Contest, l.Public).Head
		var past [][32]byte
		for i := range l.Records {
			head = sha256.Sum256(l.Records[i].Encode(head[:]))
			past = append(past, head)
			if known[head] == nil {
				known[head] = &written{Record: l.Records[i], head: head, past: slices.Clone(past)}
				all = append(all, known[head])
			}
		}
	}
	for _, w := range all {
		for _, ref := range w.Replaces {
			if old := meant(all, known, w, ref); old != nil && old.Subject == w.Subject {
				old.replaced = true
			}
		}
	}
	return all
}

func meant(all []*written, known map[[32]byte]*written, by *written, ref record.Ref) *written {
	if ref.Phone == by.Phone {
		return known[by.past[ref.Seq-1]]
	}
	var about []*written
	for _, w := range all {
		if w.Seq == ref.Seq && w.goesThrough(ref.Phone) && w.Subject == by.Subject {
			about = append(about, w)
		}
	}
	if len(about) != 1 {
		return nil
	}
	return about[0]
}

// goesThrough tells whether the log of a record goes through a phone or segment.
func (w *written) goesThrough(id record.PhoneID) bool {
	return w.Phone == id || slices.ContainsFunc(w.past, func(head [32]byte) bool {
		sum := sha256.Sum256(append([]byte("keelcard log segment 1\x00"), head[:]...))
		return id == record.PhoneID(sum[:8])
	})
}

// checkForked holds what a State says against the model.
func checkForked(t told, set record.Set) {
	t.Helper()
	s, all := merge.Fold(set), model(set)
	n := 0
	for _, run := range s.Runs() {
		n += len(run.Records)
	}
	if n != len(all) {
		t.Fatalf("%d records in the state, %d in the model", n, len(all))
	}
	for _, sub := range subjects(s) {
		var about, held []*written
		for _, w := range all {
			if w.Subject == sub {
				about = append(about, w)
				if !w.replaced {
					held = append(held, w)
				}
			}
		}
		if len(held) == 0 {
			held = about
		}
		phones, values, again := map[record.PhoneID]bool{}, map[string]bool{}, false
		for _, w := range held {
			phones[w.Phone], values[closed(w.Record)], again = true, true, again || w.Again
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
			t.Fatalf("%v: got %+v, want %v of %d records with %d values", sub, cur, want, len(held), len(values))
		}
		for _, ref := range s.History(sub) {
			r, ok := s.Record(ref)
			if !ok || !slices.ContainsFunc(about, func(w *written) bool {
				want := w.Record
				want.Value = closed(want)
				return record.Equal(&want, &r)
			}) {
				t.Fatalf("%v is not there", ref)
			}
			for _, old := range r.Replaces {
				if at, ok := s.Named(ref, old); ok {
					if was, ok := s.Record(at); !ok || was.Seq != old.Seq {
						t.Fatalf("%v names %v, which is said to be %v", ref, old, at)
					}
				}
			}
		}
	}
}

// The laws of the join where phones are copied and set back.
func TestLawsWhereLogsPart(t *testing.T) {
	traces := 3_000
	if testing.Short() {
		traces = 300
	}
	for seed := range traces {
		rng := rand.New(rand.NewPCG(uint64(seed), 2))
		devices := []*device{newDevice(1), newDevice(2), newDevice(3)}
		for range 1 + rng.IntN(3) {
			trace(t, rng, devices)
			devices = append(devices, devices[rng.IntN(len(devices))].fork())
		}
		trace(t, rng, devices)
		a, b, c := devices[len(devices)-1].set, devices[rng.IntN(len(devices))].set, devices[rng.IntN(len(devices))].set
		ab := join(t, a, b)
		if !sameSet(ab, join(t, b, a)) || !sameSet(a, join(t, a, a)) || !sameSet(ab, join(t, ab, b)) || !sameSet(ab, join(t, a, ab)) {
			t.Errorf("swapping the sides or joining again changes the join")
		}
		if !sameSet(join(t, ab, c), join(t, a, join(t, b, c))) {
			t.Errorf("grouping changes the join")
		}
		all := join(t, ab, c)
		checkForked(t, all)
		checkReport(t, a, b)
		checkPart(t, rng, b, a)
		if t.Failed() {
			t.Fatalf("trace of seed %d", seed)
		}
	}
}

// checkReport holds the report of a join against the records themselves.
func checkReport(t *testing.T, a, b record.Set) {
	t.Helper()
	joined, report, err := merge.Join(a, b)
	if err != nil {
		t.Fatal(err)
	}
	in := func(set record.Set) map[[32]byte]bool {
		out := map[[32]byte]bool{}
		for _, w := range model(set) {
			out[w.head] = true
		}
		return out
	}
	inA, inB := in(a), in(b)
	fresh, behind := 0, 0
	for _, w := range model(joined) {
		if !inA[w.head] {
			fresh++
		}
		if !inB[w.head] {
			behind++
		}
	}
	if len(report.New) != fresh || len(report.Behind) != behind || !slices.IsSortedFunc(report.New, record.CompareRefs) || !slices.IsSortedFunc(report.Behind, record.CompareRefs) {
		t.Errorf("the report names %d and %d records, want %d and %d, sorted", len(report.New), len(report.Behind), fresh, behind)
	}
	s := merge.Fold(joined)
	for _, ref := range slices.Concat(report.New, report.Behind) {
		if _, ok := s.Record(ref); !ok {
			t.Errorf("the report names %v, which is not there", ref)
		}
	}
}

// checkPart hands over what is new by what the receiver says, and comes to the
// same as handing over everything.
func checkPart(t *testing.T, rng *rand.Rand, from, to record.Set) {
	t.Helper()
	known := to.Known()
	for id, k := range known {
		switch rng.IntN(8) {
		case 0: // an earlier word, that does not say which records
			known[id] = record.Known{Last: uint32(rng.IntN(int(k.Last) + 1))}
		case 1:
			delete(known, id)
		}
	}
	if len(to.Differs(from.Known())) > 0 {
		return // the receiver learns that it has to ask for everything
	}
	got, _, err := merge.Join(to, from.Since(known))
	if engine.CodeOf(err) == record.CodePart && len(merge.Fold(join(t, from, to)).Forks()) > 0 {
		return // the receiver has the other side, and has to ask for everything
	}
	if err != nil || !sameSet(bare(got), bare(join(t, to, from))) {
		t.Errorf("%v, or what is new does not come to the same as everything", err)
	}
	if n := len(from.Since(nil).Logs); n != len(slices.DeleteFunc(slices.Clone(from.Logs), func(l record.Log) bool { return l.Last() == 0 })) {
		t.Errorf("for nobody in particular %d logs of %d are new", n, len(from.Logs))
	}
}

// bare leaves out signatures and logs without records, which nothing is new of.
func bare(set record.Set) record.Set {
	var out []record.Log
	for _, l := range set.Logs {
		if l.Sig = nil; l.Last() > 0 {
			out = append(out, l)
		}
	}
	return record.Set{Contest: set.Contest, Logs: out}
}

func TestForks(t *testing.T) {
	a := newDevice(1)
	write := func(d *device, n uint32) {
		d.write(t, 1000, "keyer/A", record.Subject{Kind: record.KindCard, A: 1, B: n}, "A", false)
	}
	write(a, 1)
	b := a.fork()
	write(a, 2)
	c := a.fork()
	for n := range uint32(3) {
		write(a, 10+n)
	}
	write(b, 20)
	write(c, 30)
	all := join(t, join(t, a.set, b.set), c.set)
	s := merge.Fold(all)
	got := s.Forks()
	if len(got) != 2 || got[0].Phone != a.id || got[0].After != 1 || got[1].After != 2 || len(got[0].Sides) != 2 || len(got[1].Sides) != 2 {
		t.Fatalf("got %+v", got)
	}
	sides := func(f merge.Fork) (n []int) {
		for _, side := range f.Sides {
			n = append(n, side.Records)
		}
		slices.Sort(n)
		return n
	}
	if !slices.Equal(sides(got[0]), []int{1, 5}) || !slices.Equal(sides(got[1]), []int{1, 3}) {
		t.Errorf("the sides hold %v and %v records", sides(got[0]), sides(got[1]))
	}
	if forks := merge.Fold(a.set).Forks(); len(forks) != 0 {
		t.Errorf("a phone that was not copied has the forks %+v", forks)
	}
	checkForked(t, all)
}

// What stands on one side cannot be appended to a State; what it has already is
// no error.
func TestAppendWhereLogsPart(t *testing.T) {
	a := newDevice(1)
	sub := record.Subject{Kind: record.KindCard, A: 1, B: 1}
	a.write(t, 1000, "keyer/A", sub, "A", false)
	b := a.fork()
	a.write(t, 1001, "keyer/A", sub, "B", false)
	b.write(t, 1001, "keyer/A", sub, "C", false)
	s := merge.Fold(join(t, a.set, b.set))
	want := view(s)
	for _, l := range [][]record.Record{a.log().Records, b.log().Records} {
		for _, r := range l {
			if err := s.Append(r); err != nil {
				t.Errorf("%v is there already: %v", r.Ref(), err)
			}
		}
	}
	next := a.log().Records[1]
	next.Seq = 3
	other := a.log().Records[1]
	other.Value = "D"
	side := s.Forks()[0].Sides[0].ID
	strange := record.Record{Phone: side, Seq: 3, Subject: sub, Value: "E"}
	for _, r := range []record.Record{next, other, strange} {
		if got := engine.CodeOf(s.Append(r)); got != merge.CodeFork {
			t.Errorf("%v: code %q", r.Ref(), got)
		}
	}
	if got := view(s); got != want {
		t.Errorf("the state changed to %s", got)
	}
	twin := s.Clone()
	fresh := record.Record{Phone: record.PhoneID{9}, Seq: 1, Subject: sub, Value: "Z", Replaces: s.Current(sub).Replaces()}
	if err := twin.Append(fresh); err != nil {
		t.Fatal(err)
	}
	if got := twin.Current(sub); got.Status != merge.Single || got.Values[0] != "Z" {
		t.Errorf("a decision on both sides leaves %+v", got)
	}
	if got := view(s); got != want {
		t.Errorf("appending to a copy changed the original to %s", got)
	}
}

// More sides than are kept, in whatever order they come, and names that cannot
// be told apart are refused and change nothing.
func TestTooManySides(t *testing.T) {
	a := newDevice(1)
	sub := record.Subject{Kind: record.KindCard, A: 1, B: 1}
	a.write(t, 1000, "keyer/A", sub, "A", false)
	var sides []*device
	for i := range record.MaxBranches + 1 {
		side := a.fork()
		side.write(t, 1001, "keyer/A", sub, fmt.Sprint(i), false)
		sides = append(sides, side)
	}
	for i := range sides {
		all := record.Set{Contest: contest}
		for k := range sides {
			next, _, err := merge.Join(all, sides[(i+k)%len(sides)].set)
			if k < record.MaxBranches {
				if err != nil {
					t.Fatal(err)
				}
				all = next
			} else if engine.CodeOf(err) != merge.CodeLimit || len(next.Logs) > 0 {
				t.Errorf("one side more: %v", err)
			}
		}
		if n := len(all.Logs); n != record.MaxBranches {
			t.Errorf("%d sides are kept", n)
		}
	}
}

// A log of which the beginning is missing is put where it belongs or refused.
func TestAttach(t *testing.T) {
	a := newDevice(1)
	for i := range uint32(6) {
		a.write(t, 1000, "keyer/A", record.Subject{Kind: record.KindCard, A: 1, B: i}, "A", false)
	}
	other := a.fork()
	other.set.Logs[0].Records = other.set.Logs[0].Records[:2]
	other.set.Logs[0].Head = a.set.Logs[0].HeadAt(contest, 2)
	other.state = merge.Fold(other.set)
	short := other.fork()
	other.write(t, 1000, "keyer/A", record.Subject{Kind: record.KindCard, A: 1, B: 9}, "B", false)
	other.write(t, 1000, "keyer/A", record.Subject{Kind: record.KindCard, A: 1, B: 8}, "B", false)
	part := a.set.Since(map[record.PhoneID]record.Known{a.id: {Last: 3}})
	later := a.set.Since(map[record.PhoneID]record.Known{a.id: {Last: 4}})
	for _, tc := range []struct {
		name string
		to   record.Set
		with record.Set
		want engine.Code
	}{
		{"to what has more", a.set, part, ""},
		{"to what has just that", join(t, a.set, short.set), part, ""},
		{"to what has less", short.set, part, record.CodePart},
		{"to another side", other.set, part, record.CodePart},
		{"to nothing", record.Set{Contest: contest}, part, record.CodePart},
		{"to another part", later, part, record.CodePart},
		{"to both sides", join(t, a.set, other.set), part, ""},
	} {
		for _, swapped := range []bool{false, true} {
			x, y := tc.to, tc.with
			if swapped {
				x, y = y, x
			}
			got, _, err := merge.Join(x, y)
			if engine.CodeOf(err) != tc.want {
				t.Errorf("%s: %v", tc.name, err)
			}
			if err == nil && (!sameSet(got, tc.to) || slices.ContainsFunc(got.Logs, func(l record.Log) bool { return l.Skip > 0 })) {
				t.Errorf("%s: it comes to something else", tc.name)
			}
		}
	}
	if len(merge.Fold(part).Runs()[0].Records) != 0 {
		t.Error("a log without its beginning counts for something")
	}
}
