package record_test

import (
	"bytes"
	"crypto/sha256"
	"slices"
	"testing"

	"keelcard/engine"
	"keelcard/engine/record"
)

// side gives the log of a phone that wrote these values, each about a card of its own.
func side(t *testing.T, values ...string) record.Log {
	t.Helper()
	l := record.NewLog(contest, public(1))
	for i, v := range values {
		r := record.Record{Phone: l.Phone, Seq: uint32(i) + 1, Value: v, Subject: record.Subject{Kind: record.KindCard, A: 1, B: uint32(i)}}
		if err := l.Append(r); err != nil {
			t.Fatal(err)
		}
	}
	return l
}

// The number of a segment as the file format states it, computed by hand.
func TestSegmentsAreNamedByTheHeadAfterTheirFirstRecord(t *testing.T) {
	one, two, three := side(t, "a", "b", "c", "d"), side(t, "a", "x"), side(t, "a", "b", "y")
	tree := record.NewTree(contest, two, one, side(t, "a", "b"), three, one)
	if len(tree.Logs) != 3 {
		t.Fatalf("%d logs are kept, want 3", len(tree.Logs))
	}
	for i := range tree.Logs[1:] {
		a, b := &tree.Logs[i], &tree.Logs[i+1]
		n := uint32(tree.Shared(i + 1))
		x, y := a.HeadAt(contest, n+1), b.HeadAt(contest, n+1)
		if a.HeadAt(contest, n) != b.HeadAt(contest, n) || bytes.Compare(x[:], y[:]) >= 0 {
			t.Errorf("logs %d and %d are not sorted by the head after the first record in which they part", i, i+1)
		}
	}
	want := map[string]record.PhoneID{"a": one.Phone}
	for name, at := range map[string]struct {
		l record.Log
		n uint32
	}{"b": {one, 2}, "x": {two, 2}, "cd": {one, 3}, "y": {three, 3}} {
		head := at.l.HeadAt(contest, at.n)
		sum := sha256.Sum256(append([]byte("keelcard log segment 1\x00"), head[:]...))
		want[name] = record.PhoneID(sum[:8])
	}
	segs := tree.Segments()
	if len(segs) != len(want) {
		t.Fatalf("%d segments, want %d", len(segs), len(want))
	}
	for i := range segs {
		s, name := &segs[i], ""
		for _, r := range s.Records {
			name += r.Value
		}
		if s.ID != want[name] || s.Parent >= i || s.Last() != s.After+uint32(len(s.Records)) || s.Parts != (name == "a" || name == "b") {
			t.Errorf("segment %q is %+v", name, s)
		}
	}
}

func TestKnownAndDiffers(t *testing.T) {
	one, two := side(t, "a", "b", "c", "d"), side(t, "a", "x")
	set := record.Set{Contest: contest, Logs: []record.Log{one}}
	other := record.Set{Contest: contest, Logs: []record.Log{two}}
	if got := set.Known()[one.Phone]; got.Last != 4 || got.Head == 0 {
		t.Errorf("known is %+v", got)
	}
	if got := set.Differs(other.Known()); !slices.Equal(got, []record.PhoneID{one.Phone}) {
		t.Errorf("of the other side differ %v", got)
	}
	if got := set.Differs(set.Known()); got != nil {
		t.Errorf("of itself differ %v", got)
	}
	// What the other phone has under the number differs, so it gets all of it.
	if got := set.Since(other.Known()); len(got.Logs) != 1 || got.Logs[0].Skip != 0 {
		t.Errorf("for the other side new is %+v", got.Logs)
	}
	got := set.Since(map[record.PhoneID]record.Known{one.Phone: {Last: 3}})
	if len(got.Logs) != 1 || got.Logs[0].Skip != 3 || got.Logs[0].Base != one.HeadAt(contest, 3) || got.Logs[0].Head != one.Head || got.Logs[0].Last() != 4 {
		t.Fatalf("after 3 new is %+v", got.Logs)
	}
	part := got.Logs[0]
	if err := record.Sign(contest, &part, key(1)); err != nil {
		t.Fatal(err)
	}
	whole, err := part.Attach(contest, []record.Log{two, one})
	if err != nil || len(whole.Records) != 4 || record.Verify(contest, whole) != nil || record.Verify(contest, part) != nil {
		t.Errorf("put behind the beginning it is %+v, %v", whole, err)
	}
	if _, err := part.Attach(contest, []record.Log{two}); engine.CodeOf(err) != record.CodePart {
		t.Errorf("behind another beginning: %v", err)
	}
	part.Base[0]++
	if engine.CodeOf(record.VerifyChain(contest, &part)) != record.CodeChain {
		t.Error("another head in front is not noticed")
	}
	if got := set.Since(set.Known()); len(got.Logs) != 0 {
		t.Errorf("for itself new is %+v", got.Logs)
	}
}
