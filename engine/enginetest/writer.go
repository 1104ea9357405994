// Package enginetest makes records and contests for the tests of other
// packages: Writer writes as the phones of a contest do, Random makes a whole
// contest together with what it has to be read as. Only tests import it.
package enginetest

import (
	"crypto/ed25519"
	"crypto/sha256"
	"slices"

	"keelcard/engine/clock"
	"keelcard/engine/record"
)

// Writer writes records as several phones would, one moment after another. It
// keeps the first error and does nothing after it.
type Writer struct {
	id     record.ContestID
	phones []phone
	last   clock.Stamp
	err    error
}

type phone struct {
	who string
	log record.Log
	key ed25519.PrivateKey
}

// start is the moment before the first record: 19 September 2026.
const start = 1_789_800_000

// NewWriter begins a contest without phones.
func NewWriter(id record.ContestID) *Writer {
	return &Writer{id: id, last: clock.Stamp{Wall: start}}
}

// Phone begins the log of one more phone and gives its number. Its key follows
// from who holds it, so each needs another name.
func (w *Writer) Phone(who string) int {
	seed := sha256.Sum256([]byte(who))
	key := ed25519.NewKeyFromSeed(seed[:])
	w.phones = append(w.phones, phone{who, record.NewLog(w.id, key.Public().(ed25519.PublicKey)), key})
	return len(w.phones) - 1
}

// Next is the name of the record that the phone writes next.
func (w *Writer) Next(on int) record.Ref {
	l := &w.phones[on].log
	return record.Ref{Phone: l.Phone, Seq: l.Last() + 1}
}

// Put appends a record to the log of a phone, a second after the one before.
// Phone, number, stamp and who are filled in.
func (w *Writer) Put(on int, r record.Record) record.Ref {
	p := &w.phones[on]
	w.last = clock.Next(w.last, w.last.Wall+1)
	next := w.Next(on)
	r.Phone, r.Seq, r.Stamp, r.Who = next.Phone, next.Seq, w.last, p.who
	if w.err == nil {
		w.err = p.log.Append(r)
	}
	return r.Ref()
}

// Write puts the value that a Write function gave, replacing some records.
func (w *Writer) Write(on int, sub record.Subject, value string, err error, replaces ...record.Ref) record.Ref {
	w.keep(err)
	slices.SortFunc(replaces, record.CompareRefs)
	return w.Put(on, record.Record{Subject: sub, Value: value, Replaces: replaces})
}

// keep keeps the first error.
func (w *Writer) keep(err error) {
	if w.err == nil {
		w.err = err
	}
}

// Set gives everything written so far, signed by its phones.
func (w *Writer) Set() (record.Set, error) {
	set := record.Set{Contest: w.id}
	for i := range w.phones {
		log := w.phones[i].log
		if w.err == nil {
			w.err = record.Sign(w.id, &log, w.phones[i].key)
		}
		set.Logs = append(set.Logs, log)
	}
	slices.SortFunc(set.Logs, func(a, b record.Log) int { return slices.Compare(a.Phone[:], b.Phone[:]) })
	return set, w.err
}
