package merge_test

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/codec"
	"keelcard/engine/record"
)

// file is a bundle on its way, and what its sender said it holds. Every fourth
// goes as bytes, the others as they are, and none is signed: that takes most of
// the time, and has tests of its own.
type file struct {
	from  record.PhoneID
	known map[record.PhoneID]record.Known
	set   record.Set
	data  []byte
}

// day is a contest day of a few phones at random: they write, hand over all or
// what is new, lose files and take them in twice, are set back to an earlier
// copy or copied, and their clocks jump. Every other phone is an official's, which
// seals answers and reads them; the others learn the secret at some time or never.
type day struct {
	*rapid.T
	phones []*device
	heard  []map[record.PhoneID]file // by receiver and sender
	files  []file
	copies []*device // earlier states of phones
	now    []int64
	keys   int
	sides  int // how often a phone was copied or set back
}

// A day of phones comes to the same everywhere, and nothing that a phone had is
// ever gone from it.
func TestADayOfPhones(t *testing.T) {
	hundreds := 100 // of days
	if testing.Short() {
		hundreds = 3
	}
	for i := range hundreds {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, checkDay)
		})
	}
}

func checkDay(t *rapid.T) {
	d := &day{T: t}
	for range rapid.IntRange(2, 4).Draw(t, "phones") {
		d.add(newDevice(d.key()))
	}
	for range rapid.IntRange(4, 16).Draw(t, "steps") {
		d.step()
	}
	d.end()
}

func (d *day) key() byte { d.keys++; return byte(d.keys) }

func (d *day) add(p *device) {
	if len(d.phones)%2 == 0 {
		p.learn()
	}
	d.phones = append(d.phones, p)
	d.heard = append(d.heard, map[record.PhoneID]file{})
	d.now = append(d.now, 1_790_000_000)
}

func (d *day) number(most int, what string) int { return rapid.IntRange(0, most-1).Draw(d.T, what) }

func (d *day) step() {
	i := d.number(len(d.phones), "phone")
	p := d.phones[i]
	switch what := d.number(17, "step"); {
	case what < 7:
		sub := record.Subject{Kind: record.KindCard, A: 1, B: uint32(d.number(3, "card"))}
		if p.open != nil {
			sub.Kind = judged[d.number(2, "kind")]
		}
		d.now[i] += 5
		p.write(d, d.now[i], "keyer/X", sub, []string{"", "answer A", "answer B"}[d.number(3, "value")], d.number(5, "again") == 0)
	case what < 9:
		d.handOver(i, d.number(len(d.phones)+1, "to"))
	case what < 13:
		if len(d.files) > 0 {
			d.takeIn(i, d.files[d.number(len(d.files), "file")])
		}
	case what == 13:
		d.now[i] += int64(d.number(5, "jump")-2) * 40_000
	case what == 14:
		d.copies = append(d.copies, p.fork())
	case what == 15:
		if d.number(4, "learns") == 0 {
			p.learn()
		}
	case d.sides < 4 && len(d.copies) > 0: // a copy wakes up, as the phone itself or beside it
		d.sides++
		old := d.copies[d.number(len(d.copies), "copy")].fork()
		if d.number(2, "beside") == 0 {
			d.phones[i] = old
			d.heard[i] = map[record.PhoneID]file{}
		} else if len(d.phones) < 6 {
			d.add(old)
		}
	}
}

// handOver makes a file: what is new for a phone that was heard of, or all.
func (d *day) handOver(from, to int) file {
	p := d.phones[from]
	set := p.set
	set.Logs = slices.Clone(set.Logs)
	if to < len(d.phones) {
		if said, ok := d.heard[from][d.phones[to].id]; ok {
			set = set.Since(said.known)
		}
	}
	f := file{from: p.id, known: p.set.Known(), set: set}
	if len(d.files)%4 == 0 {
		var err error
		if f.data, err = codec.EncodeBundle(set, codec.Options{Unsigned: true}); err != nil {
			d.Fatal(err)
		}
	}
	d.files = append(d.files, f)
	return f
}

// takeIn takes a file in. What it had before must all be there still; a file of
// which the beginning is missing is refused and changes nothing.
func (d *day) takeIn(to int, f file) {
	p := d.phones[to]
	set, err := f.set, error(nil)
	if f.data != nil {
		if set, err = codec.DecodeStored(f.data); err != nil {
			d.Fatal(err)
		}
	}
	before := p.all()
	_, err = p.take(d, set)
	if err != nil {
		if engine.CodeOf(err) != record.CodePart || !slices.Equal(before, p.all()) {
			d.Fatalf("taking in gave %v, %d records before and %d after", err, len(before), len(p.all()))
		}
		return
	}
	if after := p.all(); !holdsAll(after, before) {
		d.Fatalf("%d records before, %d after", len(before), len(after))
	}
	d.heard[to][f.from] = f
	if p.setBack() {
		d.keys++
		p.renew(keyOf(100 + d.keys))
	}
}

// end lets everybody take everything in, and holds them against each other.
func (d *day) end() {
	var written []string
	for _, p := range d.phones {
		written = append(written, p.all()...)
	}
	slices.Sort(written)
	written = slices.Compact(written)
	for i := range d.phones {
		d.takeIn(0, d.handOver(i, len(d.phones)))
	}
	all := d.handOver(0, len(d.phones))
	for i := range d.phones {
		d.takeIn(i, all)
	}
	opened, closed := d.phones[0].fork(), d.phones[0].fork() // whatever that phone knows
	opened.learn()
	closed.open = nil
	closed.state.Open(nil)
	checkClosed(d, opened.state, closed.state)
	for i, p := range d.phones {
		want := view(closed.state)
		if p.open != nil {
			want = view(opened.state)
		}
		if !slices.Equal(p.all(), written) {
			d.Fatalf("phone %d has %d records, %d were written", i, len(p.all()), len(written))
		}
		if got := view(p.state); got != want || got != view(p.fold()) {
			d.Fatalf("phone %d says\n%s, the first\n%s", i, got, want)
		}
		if !sameSet(p.set, d.phones[0].set) {
			d.Fatalf("phone %d holds other logs", i)
		}
	}
	checkForked(d, d.phones[0].set)
}

// all is every record that a phone has, as bytes, sorted, each once: what two
// sides of a phone wrote can be the same to the second.
func (d *device) all() []string {
	var out []string
	for _, run := range d.state.Runs() {
		for i := range run.Records {
			out = append(out, string(run.Records[i].Encode(nil)))
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func holdsAll(list, want []string) bool {
	return !slices.ContainsFunc(want, func(s string) bool { _, ok := slices.BinarySearch(list, s); return !ok })
}
