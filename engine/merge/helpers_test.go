package merge_test

import (
	"bytes"
	"crypto/ed25519"
	"slices"

	"keelcard/engine/clock"
	"keelcard/engine/merge"
	"keelcard/engine/record"
)

var contest = record.ContestID{1, 2, 3, 4, 5, 6, 7, 8}

// device is a phone in a test: its own key, what it holds and what it knows.
// Once it learns that it was set back or copied, it goes on under a new key.
type device struct {
	key   ed25519.PrivateKey
	id    record.PhoneID
	set   record.Set
	state *merge.State
	stamp clock.Stamp
	open  merge.Opener // nil where sealed values cannot be read
}

func newDevice(n byte) *device {
	d := &device{}
	d.renew(keyOf(int(n)))
	d.set.Contest = contest
	d.state = merge.Fold(d.set)
	return d
}

// keys are those of the devices so far; making one takes longer than using it.
var keys = map[int]ed25519.PrivateKey{}

func keyOf(n int) ed25519.PrivateKey {
	if keys[n] == nil {
		keys[n] = ed25519.NewKeyFromSeed(bytes.Repeat([]byte{byte(n), byte(n >> 8)}, ed25519.SeedSize/2))
	}
	return keys[n]
}

// renew lets the device go on under another key.
func (d *device) renew(key ed25519.PrivateKey) {
	d.key, d.id = key, record.PhoneOf(key.Public().(ed25519.PublicKey))
}

// setBack tells whether more than one log is of the device's own key.
func (d *device) setBack() bool {
	return slices.ContainsFunc(d.state.Forks(), func(f merge.Fork) bool { return f.Phone == d.id })
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

// fold reads what the device holds from the beginning, as it can read it.
func (d *device) fold() *merge.State {
	s := merge.Fold(d.set)
	s.Open(d.open)
	return s
}

// write appends a record at a moment; unless it is a second keying, it replaces
// what the device sees. Official answers are sealed.
func (d *device) write(tb told, now int64, who string, sub record.Subject, value string, again bool) {
	tb.Helper()
	d.stamp = clock.Next(d.stamp, now)
	l := d.log()
	r := record.Record{Phone: d.id, Seq: uint32(len(l.Records)) + 1, Stamp: d.stamp, Who: who, Subject: sub, Value: value, Again: again}
	if !again {
		r.Replaces = d.state.Current(sub).Replaces()
	}
	if sub.Kind == record.KindKey {
		r = toySealed(r)
	}
	if err := l.Append(r); err != nil {
		tb.Fatal(err)
	}
	if err := d.state.Append(r); err != nil {
		tb.Fatal(err)
	}
}

// take joins another device's set into this one, record by record in the state
// as long as no log parts.
func (d *device) take(tb told, from record.Set) (merge.Report, error) {
	tb.Helper()
	joined, report, err := merge.Join(d.set, from)
	if err != nil {
		return report, err
	}
	d.set = joined
	all := merge.Fold(joined)
	for _, ref := range report.New {
		r, ok := asWritten(all, ref)
		if !ok {
			tb.Fatalf("the report names %v, which is not there", ref)
		}
		d.stamp = clock.Observe(d.stamp, r.Stamp)
		if err := d.state.Append(r); err != nil && len(all.Forks()) == 0 {
			tb.Fatal(err)
		}
	}
	if len(all.Forks()) > 0 {
		d.state = all
		d.state.Open(d.open)
	}
	return report, nil
}

// asWritten finds a record as it was written, sealed or not.
func asWritten(s *merge.State, ref record.Ref) (record.Record, bool) {
	for _, run := range s.Runs() {
		if run.ID == ref.Phone && ref.Seq > run.After && ref.Seq <= run.Last() {
			return run.Records[ref.Seq-run.After-1], true
		}
	}
	return record.Record{}, false
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
