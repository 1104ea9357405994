package codec_test

import (
	"bytes"
	"slices"
	"testing"

	"keelcard/engine"
	"keelcard/engine/codec"
	"keelcard/engine/merge"
	"keelcard/engine/record"
)

// sides gives the signed logs of one phone that was copied after its fourth
// record so many times; each copy wrote three records more. They stand as a
// record.Tree sorts them.
func sides(tb testing.TB, copies int) []record.Log {
	w := newWriter(tb, 5, 1)
	for i := range uint32(4) {
		w.put(0, 1_767_225_600, "keyer/MB", record.Subject{Kind: record.KindCard, A: 1, B: 101 + i}, string(w.card(nil)), false)
	}
	before := w.logs[0]
	var all []record.Log
	for i := range copies {
		l := before
		l.Records = slices.Clip(before.Records)
		for n := range uint32(3) {
			r := record.Record{Phone: l.Phone, Seq: l.Last() + 1, Who: "keyer/MB", Value: string(w.card(nil)),
				Subject: record.Subject{Kind: record.KindCard, A: 1, B: 200 + 10*uint32(i) + n}}
			if err := l.Append(r); err != nil {
				tb.Fatal(err)
			}
		}
		if err := record.Sign(contest, &l, w.keys[0]); err != nil {
			tb.Fatal(err)
		}
		all = append(all, l)
	}
	t := record.NewTree(contest, all...)
	return t.Logs
}

// parted is the mixed contest and a phone of which there are three sides. The
// phone that kept it names records of two of them.
func parted(tb testing.TB) record.Set {
	w := newWriter(tb, 9, 2)
	w.keys[0], w.logs[0] = key(8), record.NewLog(contest, public(8))
	var refs []record.Ref
	tree := record.NewTree(contest, sides(tb, 3)...)
	for _, seg := range tree.Segments() {
		refs = append(refs, record.Ref{Phone: seg.ID, Seq: seg.Last()})
	}
	sortRefs(refs)
	for i := range uint32(3) {
		w.add(1, record.Record{Phone: w.logs[1].Phone, Seq: i + 1, Who: "owner/TC", Value: "\x01\x02",
			Subject: record.Subject{Kind: record.KindCard, A: 1, B: 300 + i}, Replaces: refs})
	}
	w.put(0, 5000, "keyer/AB", record.Subject{Kind: record.KindCard, A: 2, B: 7}, "\x01", false)
	set := w.set()
	for i := range tree.Logs {
		var err error
		if set, _, err = merge.Join(set, record.Set{Contest: contest, Logs: tree.Logs[i : i+1]}); err != nil {
			tb.Fatal(err)
		}
	}
	return set
}

// some is what is left of that contest for a phone that has the first records.
func some(tb testing.TB) record.Set {
	set := parted(tb)
	known := map[record.PhoneID]record.Known{}
	for logs := range set.Phones {
		known[logs[0].Phone] = record.Known{Last: 2}
	}
	return set.Since(known)
}

// What version 1 cannot hold is written in version 2, anything else in version 1.
func TestPartedThereAndBack(t *testing.T) {
	for name, tc := range map[string]struct {
		set     record.Set
		version byte
	}{
		"three sides":      {parted(t), 2},
		"the latest":       {some(t), 2},
		"nothing new":      {record.Set{Contest: contest}, 1},
		"a day":            {mixed(t), 1},
		"eight sides":      {record.Set{Contest: contest, Logs: sides(t, record.MaxBranches)}, 2},
		"latest of a side": {(&record.Set{Contest: contest, Logs: sides(t, 1)}).Since(map[record.PhoneID]record.Known{sides(t, 1)[0].Phone: {Last: 6}}), 2},
	} {
		b := encode(t, tc.set)
		if b[8] != tc.version {
			t.Errorf("%s: written in version %d, want %d", name, b[8], tc.version)
		}
		got, err := codec.DecodeBundle([]byte(codec.EncodeText(b)))
		if err != nil || !sameSet(got, tc.set) {
			t.Errorf("%s: %v, or it came back differently", name, err)
		}
	}
}

// What two sides share is in the file once.
func TestSharedRecordsAreWrittenOnce(t *testing.T) {
	set := day{phones: 1, cards: 500, contestants: 50}.write(t)
	one := len(encode(t, set))
	twin := set.Logs[0]
	last := twin.Records[len(twin.Records)-1]
	twin = record.NewLog(contest, twin.Public)
	for _, r := range set.Logs[0].Records[:last.Seq-1] {
		if err := twin.Append(r); err != nil {
			t.Fatal(err)
		}
	}
	last.Value = "\x04"
	if err := twin.Append(last); err != nil {
		t.Fatal(err)
	}
	if err := record.Sign(contest, &twin, key(1)); err != nil {
		t.Fatal(err)
	}
	both, _, err := merge.Join(set, record.Set{Contest: contest, Logs: []record.Log{twin}})
	if err != nil {
		t.Fatal(err)
	}
	if two := len(encode(t, both)); two > one+100 {
		t.Errorf("%d bytes with one side, %d with both", one, two)
	}
}

// A phone that is named often, and is not in the file, costs its number once.
func TestAStrangerIsNamedOnce(t *testing.T) {
	write := func(strangers int) int {
		w := newWriter(t, 3, 1)
		for i := range uint32(200) {
			w.add(0, record.Record{Phone: w.logs[0].Phone, Seq: i + 1, Who: "keyer/MB", Value: "\x01",
				Subject: record.Subject{Kind: record.KindCard, A: 1, B: i}, Replaces: []record.Ref{{Phone: record.PhoneID{7, byte(int(i) % strangers)}, Seq: i + 1}}})
		}
		set := w.set()
		return len(encode(t, set.Since(map[record.PhoneID]record.Known{w.logs[0].Phone: {Last: 1}})))
	}
	if one, four := write(1), write(4); four > one+130 {
		t.Errorf("%d bytes with one phone named, %d with four", one, four)
	}
}

func TestEncodeRefusesParts(t *testing.T) {
	logs, latest := sides(t, 3), some(t).Logs
	cut := func(l record.Log, n uint32) record.Log {
		set := record.Set{Contest: contest, Logs: []record.Log{l}}
		return set.Since(map[record.PhoneID]record.Known{l.Phone: {Last: n}}).Logs[0]
	}
	changed := cut(logs[0], 3)
	changed.Base[4]++
	bare := logs[0]
	bare.Skip, bare.Base, bare.Records = bare.Last(), bare.Head, nil
	for _, tc := range []struct {
		name string
		logs []record.Log
		want engine.Code
	}{
		{"not sorted", []record.Log{logs[1], logs[0]}, codec.CodeMalformed},
		{"begin at two numbers", []record.Log{cut(logs[0], 1), cut(logs[1], 2)}, codec.CodeMalformed},
		{"one whole, one not", []record.Log{logs[0], cut(logs[1], 2)}, codec.CodeMalformed},
		{"nothing follows", []record.Log{bare}, codec.CodeMalformed},
		{"other head in front", []record.Log{changed}, record.CodeChain},
		{"nine sides", sides(t, record.MaxBranches+1), codec.CodeTooLarge},
		{"as it should be", latest, ""},
	} {
		b, err := codec.EncodeBundle(record.Set{Contest: contest, Logs: tc.logs}, codec.Options{})
		if got := engine.CodeOf(err); got != tc.want || (err == nil) != (len(b) > 0) {
			t.Errorf("%s: %v (code %q) and %d bytes, want %q", tc.name, err, got, len(b), tc.want)
		}
	}
}

func TestGoldenParted(t *testing.T) {
	checkGolden(t, "v2", map[string]record.Set{"parted": parted(t), "since": some(t)})
}

// Every flip and every cut of the files of version 2 is refused, with the
// checksum put right as well.
func TestEveryFlipOfParted(t *testing.T) {
	for _, set := range []record.Set{parted(t), some(t)} {
		b := encode(t, set)
		for i := 8; i < len(b)-4; i += stride(7) {
			for _, mask := range []byte{1, 2, 4, 8, 16, 32, 64, 128} {
				for _, in := range [][]byte{change(b, i, b[i]^mask), sum(change(b, i, b[i]^mask))} {
					if _, err := codec.DecodeBundle(in); engine.CodeOf(err) == "" {
						t.Errorf("byte %d changed by %02x: %v", i, mask, err)
					}
				}
			}
			for _, in := range [][]byte{b[:i], sum(append(bytes.Clone(b[:i]), 0, 0, 0, 0))} {
				if _, err := codec.DecodeBundle(in); engine.CodeOf(err) == "" {
					t.Errorf("cut to %d of %d bytes: %v", i, len(b), err)
				}
			}
		}
	}
}

// raw gives logs as they are to be written, each with what it shares.
func raw(logs []record.Log, shared ...int) []codec.RawLog {
	out := make([]codec.RawLog, len(logs))
	for i, l := range logs {
		out[i].Log = l
		if i > 0 {
			out[i].Shared = shared[min(i, len(shared))-1]
		}
	}
	return out
}

const head2 = "KEELCARD\x02\x00"

// badParted makes files with several logs of one phone. Their section of logs is
// the contest (8), the number of phones, the key (32), 0 skipped, the number of
// logs, and for each what it shares, its records and its signature.
func badParted(tb testing.TB, add func(string, []byte, engine.Code)) {
	two, three := sides(tb, 2), sides(tb, 3)
	good := codec.EncodeRaw(contest, raw(two, 4))
	if set := (record.Set{Contest: contest, Logs: two}); !bytes.Equal(good, encode(tb, set)) {
		tb.Fatal("the good file is not written as it should be")
	}
	logs, records := parts(tb, good)
	const phones, skip, count, first, second = 8, 41, 42, 43, 109
	splice := func(name string, want engine.Code, at, gone int, in ...byte) {
		add(name, frame(head2, 1, slices.Replace(slices.Clone(logs), at, at+gone, in...), 2, records), want)
	}
	splice("no phone *", codec.CodeMalformed, phones, 1, 0)
	splice("a phone more *", codec.CodeMalformed, phones, 1, 2)
	splice("1001 phones *", codec.CodeTooLarge, phones, 1, 0xe9, 7)
	splice("no log *", codec.CodeMalformed, count, 1, 0)
	splice("one log fewer *", codec.CodeMalformed, count, 1, 1)
	splice("one log more *", codec.CodeMalformed, count, 1, 3)
	splice("count of nine *", codec.CodeTooLarge, count, 1, 9)
	splice("count written too long *", codec.CodeMalformed, count, 1, 0x82, 0)
	splice("shares more than there is *", codec.CodeMalformed, second, 1, 8)
	splice("shares one more *", codec.CodeMalformed, second, 1, 5)
	splice("shares one fewer *", codec.CodeMalformed, second, 1, 3)
	splice("shares 64 bits *", codec.CodeTooLarge, second, 1, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 1)
	splice("shared written too long *", codec.CodeMalformed, second, 1, 0x84, 0)
	splice("no records of its own *", codec.CodeMalformed, second+1, 1, 0)
	splice("signed is 2 *", codec.CodeMalformed, second+2, 1, 2)
	splice("a side unsigned *", codec.CodeMalformed, second+2, 1, 0)
	splice("500001 records", codec.CodeTooLarge, first, 1, 0xa1, 0xc2, 0x1e)
	splice("cut in the second signature *", codec.CodeMalformed, len(logs)-10, 10)
	splice("bytes left over *", codec.CodeMalformed, len(logs), 0, 0)
	splice("skips without records before *", codec.CodeMalformed, skip, 1, 0, 1)

	other := mixed(tb).Logs[0]
	rest := func(l record.Log, n int) record.Log {
		l.Records = l.Records[:n]
		l.Head = l.HeadAt(contest, uint32(n))
		return l
	}
	unsigned, swapped := slices.Clone(two), slices.Clone(two)
	unsigned[1].Sig = nil
	swapped[0].Sig, swapped[1].Sig = two[1].Sig, two[0].Sig
	forged := slices.Clone(two)
	forged[1].Records = slices.Clone(forged[1].Records)
	forged[1].Records[6].Value += "\x01"
	for _, tc := range []struct {
		name string
		b    []byte
		want engine.Code
	}{
		{"not sorted *", codec.EncodeRaw(contest, raw([]record.Log{two[1], two[0]}, 4)), codec.CodeMalformed},
		{"a log twice *", codec.EncodeRaw(contest, raw([]record.Log{two[0], two[0]}, 7)), codec.CodeMalformed},
		{"beginning of another first *", codec.EncodeRaw(contest, raw([]record.Log{rest(two[0], 6), two[0]}, 6)), codec.CodeMalformed},
		{"beginning of another last *", codec.EncodeRaw(contest, raw([]record.Log{two[0], rest(two[0], 6)}, 6)), codec.CodeMalformed},
		{"shared part written again *", codec.EncodeRaw(contest, raw(two, 0)), codec.CodeMalformed},
		{"nine sides *", codec.EncodeRaw(contest, raw(sides(tb, record.MaxBranches+1), 4)), codec.CodeTooLarge},
		{"a phone twice *", codec.EncodeRaw(contest, raw(two[:1]), raw(two[1:])), codec.CodeMalformed},
		{"phones not sorted *", codec.EncodeRaw(contest, unsorted(raw(two, 4), raw([]record.Log{other}))...), codec.CodeMalformed},
		{"nothing that parts *", codec.EncodeRaw(contest, raw(two[:1])), codec.CodeMalformed},
		{"in version 1 *", codec.EncodeUnchecked(record.Set{Contest: contest, Logs: two}), codec.CodeMalformed},
		{"signature missing *", codec.EncodeRaw(contest, raw(unsigned, 4)), codec.CodeSignature},
		{"signatures swapped *", codec.EncodeRaw(contest, raw(swapped, 4)), codec.CodeSignature},
		{"record of one side changed *", codec.EncodeRaw(contest, raw(forged, 4)), codec.CodeSignature},
		{"of another contest *", codec.EncodeRaw(record.ContestID{1}, raw(two, 4)), codec.CodeSignature},
		{"a side left out *", codec.EncodeRaw(contest, raw([]record.Log{three[0], rest(three[1], 5), three[2]}, 4)), codec.CodeSignature},
	} {
		add(tc.name, tc.b, tc.want)
	}
}

// unsorted gives phones the highest number first.
func unsorted(phones ...[]codec.RawLog) [][]codec.RawLog {
	slices.SortFunc(phones, func(a, b []codec.RawLog) int { return bytes.Compare(b[0].Phone[:], a[0].Phone[:]) })
	return phones
}

// badPart makes files of logs without their beginning. Their section of logs is
// the contest (8), 1 phone, the key (32), what is skipped, the head (32), 1 log,
// its records and its signature.
func badPart(tb testing.TB, add func(string, []byte, engine.Code)) {
	whole := record.Set{Contest: contest, Logs: sides(tb, 1)}
	phone := whole.Logs[0].Phone
	part := whole.Since(map[record.PhoneID]record.Known{phone: {Last: 3}}).Logs[0]
	good := codec.EncodeRaw(contest, raw([]record.Log{part}))
	if !bytes.Equal(good, encode(tb, record.Set{Contest: contest, Logs: []record.Log{part}})) {
		tb.Fatal("the good file is not written as it should be")
	}
	logs, records := parts(tb, good)
	const skip, base, count, more = 41, 42, 74, 75
	splice := func(name string, want engine.Code, at, gone int, in ...byte) {
		add(name, frame(head2, 1, slices.Replace(slices.Clone(logs), at, at+gone, in...), 2, records), want)
	}
	splice("skip one more *", codec.CodeSignature, skip, 1, 4)
	splice("skip one fewer *", codec.CodeSignature, skip, 1, 2)
	splice("skip 0 and a head *", codec.CodeTooLarge, skip, 1, 0)
	splice("skip 1000001 *", codec.CodeTooLarge, skip, 1, 0xc1, 0x84, 0x3d)
	splice("skip all numbers there are *", codec.CodeRecord, skip, 1, 0xc0, 0x84, 0x3d)
	splice("skip written too long *", codec.CodeMalformed, skip, 1, 0x83, 0)
	splice("head changed *", codec.CodeSignature, base, 1, logs[base]^1)
	splice("head cut *", codec.CodeMalformed, base, len(logs)-base-10)
	splice("no log *", codec.CodeMalformed, count, 1, 0)
	splice("no records *", codec.CodeMalformed, more, 1, 0)
	splice("one record fewer *", codec.CodeMalformed, more, 1, 3)
	splice("500001 records *", codec.CodeTooLarge, more, 1, 0xa1, 0xc2, 0x1e)
	splice("cut after the key *", codec.CodeMalformed, skip, len(logs)-skip)

	bare := part
	bare.Skip, bare.Base, bare.Records = part.Last(), part.Head, nil
	shorter := part
	shorter.Records = part.Records[:3]
	forged := part
	forged.Records = slices.Clone(part.Records)
	forged.Records[0].Subject.B++
	unsigned := part
	unsigned.Sig = nil
	for _, tc := range []struct {
		name string
		log  record.Log
		want engine.Code
	}{
		{"nothing follows *", bare, codec.CodeMalformed},
		{"last record gone *", shorter, codec.CodeSignature},
		{"first record changed *", forged, codec.CodeSignature},
		{"unsigned *", unsigned, codec.CodeSignature},
		{"whole *", whole.Logs[0], codec.CodeMalformed},
	} {
		add(tc.name, codec.EncodeRaw(contest, raw([]record.Log{tc.log})), tc.want)
	}
}
