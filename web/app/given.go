package app

import (
	"bytes"
	"crypto/ed25519"

	"keelcard/engine/clock"
	"keelcard/engine/record"
	"keelcard/engine/tree"
)

// Fact is one thing a person put down on some phone.
type Fact struct {
	Who     string // "keyer/MB"
	Subject record.Subject
	Value   string
	Again   bool
	When    int64 // unix seconds
}

// Give puts what another phone wrote into a contest, as if its file had been
// taken in. The phone's key follows from seed. Each phone has seen its own
// records only, so that phones which wrote differently are in question. The
// contest is made when it is not there yet.
func (m *Memory) Give(id record.ContestID, name string, seed byte, facts ...Fact) error {
	private := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{seed}, ed25519.SeedSize))
	public := private.Public().(ed25519.PublicKey)
	log := record.NewLog(id, public)
	last := map[record.Subject]record.Ref{}
	var at clock.Stamp
	var ops []Op
	for i, f := range facts {
		at = clock.Next(at, f.When)
		r := record.Record{Phone: log.Phone, Seq: uint32(i) + 1, Stamp: at, Who: f.Who, Subject: f.Subject, Value: f.Value, Again: f.Again}
		if before, ok := last[f.Subject]; ok && !f.Again {
			r.Replaces = []record.Ref{before}
		}
		if err := log.Append(r); err != nil {
			return err
		}
		last[f.Subject] = r.Ref()
		ops = append(ops, Op{BucketRecord, RecordKey(id.String(), r.Ref()), r.Encode(nil)})
	}
	if err := record.Sign(id, &log, private); err != nil {
		return err
	}
	head := Head{ID: id.String(), Name: name}
	stored, err := m.Get(BucketContest, head.ID)
	if err != nil {
		return err
	}
	if stored != nil {
		if err := tree.Read(stored, &head); err != nil {
			return err
		}
	}
	head.Phones = append(head.Phones, PhoneHead{Phone: log.Phone, Public: public, Count: uint32(len(log.Records)), Sig: log.Sig})
	return m.Commit(append(ops, headOp(head)))
}
