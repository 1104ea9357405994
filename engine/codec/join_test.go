package codec_test

import (
	"bytes"
	"slices"
	"testing"

	"keelcard/engine/clock"
	"keelcard/engine/codec"
	"keelcard/engine/enginetest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
)

// FuzzJoin reads two bundles from a script and brings them together. Each log
// takes four bytes: whose it is, how many of the first records of that phone it
// has, how many of these it leaves out and whether it lies about them, and the
// records in which it parts from the others. An odd fifth bit of the first byte
// puts the log into the second bundle.
//
// A phone can sign anything, so this is what can arrive. What was read is written
// again as it was, and joins with another set to the same in either order, or is
// refused in either order; a whole one joins with itself to itself and is folded.
func FuzzJoin(f *testing.F) {
	var phones []record.Log
	for n := range 4 {
		phones = append(phones, record.NewLog(contest, public(n+1)))
	}
	f.Add([]byte{0, 6, 0, 0, 16, 6, 0, 0})                          // equal
	f.Add([]byte{0, 3, 0, 0, 16, 6, 3, 0})                          // what follows
	f.Add([]byte{0, 3, 0, 0, 16, 6, 4, 0})                          // a gap
	f.Add([]byte{0, 3, 0, 0, 16, 6, 0x83, 0})                       // a lie
	f.Add([]byte{0, 2, 0, 0x11, 16, 3, 0, 0x21, 0, 2, 0, 0x12})     // sides
	f.Add([]byte{0, 2, 1, 0x11, 0, 2, 1, 0x12, 16, 1, 0, 0})        // sides without their beginning
	f.Add([]byte{1, 4, 0, 0x13, 2, 1, 0, 0, 17, 5, 5, 2, 18, 0, 0}) // several phones
	f.Fuzz(func(t *testing.T, script []byte) {
		var logs [2][]record.Log
		for n := 0; len(script) >= 4 && n < 12; n++ {
			in := script[0] >> 4 & 1
			logs[in] = append(logs[in], scripted(t, phones[script[0]&3], script[1:4]))
			script = script[4:]
		}
		a, b := read(t, logs[0]), read(t, logs[1])
		for _, set := range []record.Set{a, b} {
			if slices.ContainsFunc(set.Logs, func(l record.Log) bool { return l.Skip > 0 }) {
				continue // what was left out is not here
			}
			again, report, err := merge.Join(set, set)
			if err != nil || len(report.New)+len(report.Behind) > 0 || !bytes.Equal(encodeStored(t, again), encodeStored(t, set)) {
				t.Fatalf("a set joined with itself is another: %+v, %v", report, err)
			}
			merge.Fold(set)
		}
		ab, _, err := merge.Join(a, b)
		ba, _, err2 := merge.Join(b, a)
		if (err == nil) != (err2 == nil) {
			t.Fatalf("in one order %v, in the other %v", err, err2)
		}
		if err != nil {
			if lack := enginetest.Untold(err); lack != "" {
				t.Fatal(lack)
			}
			return
		}
		if !bytes.Equal(encodeStored(t, ab), encodeStored(t, ba)) {
			t.Fatal("the order of joining shows")
		}
		merge.Fold(ab)
	})
}

// scripted is the log of a phone that three bytes tell.
func scripted(t *testing.T, l record.Log, script []byte) record.Log {
	common, skip, lies := int(script[0])&7, int(script[1])&7, script[1]&0x80 > 0
	var records []record.Record
	for n := range common + int(script[2]>>4)&3 {
		r := record.Record{Phone: l.Phone, Seq: uint32(n) + 1, Stamp: clock.Stamp{Wall: 1_790_000_000 + int64(n)}, Who: "keyer/AB",
			Subject: record.Subject{Kind: record.KindCard, A: 1, B: uint32(n) + 1}, Value: "\x01"}
		if n >= common {
			r.Value = string([]byte{2, script[2] & 15})
		}
		records = append(records, r)
	}
	for i, r := range records {
		if i == skip && skip > 0 {
			l.Skip, l.Base, l.Records = uint32(skip), l.Head, nil
			if lies {
				l.Base[0] ^= 1
				l.Head = l.Base
			}
		}
		if err := l.Append(r); err != nil {
			t.Fatal(err)
		}
	}
	return l
}

// read writes logs into a bundle as a hostile phone could, and reads it; an empty
// set when it is refused.
func read(t *testing.T, logs []record.Log) record.Set {
	set := record.Set{Contest: contest}
	for len(logs) > 0 {
		of := logs[0].Phone
		mine := slices.DeleteFunc(slices.Clone(logs), func(l record.Log) bool { return l.Phone != of || l.Skip != logs[0].Skip || l.Base != logs[0].Base })
		logs = slices.DeleteFunc(logs, func(l record.Log) bool { return l.Phone == of })
		tree := record.NewTree(contest, mine...)
		set.Logs = append(set.Logs, tree.Logs...)
	}
	slices.SortStableFunc(set.Logs, func(a, b record.Log) int { return bytes.Compare(a.Phone[:], b.Phone[:]) })
	file, err := codec.EncodeBundle(set, codec.Options{Unsigned: true})
	if err != nil {
		if lack := enginetest.Untold(err); lack != "" {
			t.Fatal(lack)
		}
		return record.Set{Contest: contest}
	}
	got, err := codec.DecodeStored(file)
	if err != nil {
		t.Fatalf("what was written is refused: %v", err)
	}
	if !sameSet(got, set) {
		t.Fatalf("%+v comes back as %+v", set, got)
	}
	return got
}

func encodeStored(t *testing.T, set record.Set) []byte {
	b, err := codec.EncodeBundle(set, codec.Options{Unsigned: true})
	if err != nil {
		t.Fatal(err)
	}
	return b
}
