package merge_test

import (
	"bytes"
	"crypto/ed25519"
	"testing"

	"keelcard/engine/clock"
	"keelcard/engine/merge"
	"keelcard/engine/record"
)

var contest = record.ContestID{1, 2, 3, 4, 5, 6, 7, 8}

// device is a phone in a test: its own key, what it holds and what it knows.
type device struct {
	key   ed25519.PrivateKey
	id    record.PhoneID
	set   record.Set
	state *merge.State
	stamp clock.Stamp
}

func newDevice(n byte) *device {
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{n}, ed25519.SeedSize))
	d := &device{key: key, id: record.PhoneOf(key.Public().(ed25519.PublicKey))}
	d.set.Contest = contest
	d.state = merge.Fold(d.set)
	return d
}

// fork gives a second device with the same key, as a restored backup would be.
func (d *device) fork() *device {
	c := *d
	c.set.Logs = make([]record.Log, len(d.set.Logs))
	for i, l := range d.set.Logs {
		l.Records = append([]record.Record(nil), l.Records...)
		c.set.Logs[i] = l
	}
	c.state = d.state.Clone()
	return &c
}

// log finds or begins the device's own log.
func (d *device) log() *record.Log {
	i := 0
	for ; i < len(d.set.Logs); i++ {
		c := bytes.Compare(d.set.Logs[i].Phone[:], d.id[:])
		if c == 0 {
			return &d.set.Logs[i]
		}
		if c > 0 {
			break
		}
	}
	l := record.NewLog(contest, d.key.Public().(ed25519.PublicKey))
	logs := append([]record.Log(nil), d.set.Logs[:i]...)
	d.set.Logs = append(append(logs, l), d.set.Logs[i:]...)
	return &d.set.Logs[i]
}

// write appends a record at a moment; unless it is a second keying, it replaces
// what the device sees.
func (d *device) write(tb testing.TB, now int64, who string, sub record.Subject, value string, again bool) {
	tb.Helper()
	d.stamp = clock.Next(d.stamp, now)
	l := d.log()
	r := record.Record{Phone: d.id, Seq: uint32(len(l.Records)) + 1, Stamp: d.stamp, Who: who, Subject: sub, Value: value, Again: again}
	if !again {
		r.Replaces = d.state.Current(sub).Replaces()
	}
	if err := l.Append(r); err != nil {
		tb.Fatal(err)
	}
	if err := d.state.Append(r); err != nil {
		tb.Fatal(err)
	}
}

// take joins another device's set into this one, record by record in the state.
func (d *device) take(tb testing.TB, from record.Set) (merge.Report, error) {
	tb.Helper()
	joined, report, err := merge.Join(d.set, from)
	if err != nil {
		return report, err
	}
	d.set = joined
	for _, ref := range report.New {
		r := find(joined, ref)
		if r == nil {
			tb.Fatalf("the report names %v, which is not there", ref)
		}
		d.stamp = clock.Observe(d.stamp, r.Stamp)
		if err := d.state.Append(*r); err != nil {
			tb.Fatal(err)
		}
	}
	return report, nil
}

func find(set record.Set, ref record.Ref) *record.Record {
	for i := range set.Logs {
		if l := &set.Logs[i]; l.Phone == ref.Phone && int(ref.Seq) <= len(l.Records) {
			return &l.Records[ref.Seq-1]
		}
	}
	return nil
}

// sameSet compares sets in every record, head and signature.
func sameSet(a, b record.Set) bool {
	if a.Contest != b.Contest || len(a.Logs) != len(b.Logs) {
		return false
	}
	for i := range a.Logs {
		x, y := &a.Logs[i], &b.Logs[i]
		if x.Phone != y.Phone || x.Head != y.Head || !bytes.Equal(x.Sig, y.Sig) || len(x.Records) != len(y.Records) {
			return false
		}
		for j := range x.Records {
			if !record.Equal(&x.Records[j], &y.Records[j]) {
				return false
			}
		}
	}
	return true
}
