package codec

import "keelcard/engine/record"

// What the tests use to write files that the package itself would not write.
var AppendSection = appendSection

// EncodeUnchecked writes a set as it is, in version 1.
func EncodeUnchecked(set record.Set) []byte { return encodeBundle(set, plainLogs) }

// RawLog is a log as it is to be written, whatever it shares.
type RawLog struct {
	Shared int
	record.Log
}

// EncodeRaw writes a bundle of version 2 as it is said, phone by phone.
func EncodeRaw(contest record.ContestID, phones ...[]RawLog) []byte {
	var logs []record.Log
	for _, p := range phones {
		for _, l := range p {
			logs = append(logs, l.Log)
		}
	}
	w := newWriting(contest, logs, partedLogs)
	w.number(len(phones))
	for _, p := range phones {
		w.begin(&p[0].Log, len(p))
		for i := range p {
			if i > 0 {
				w.number(p[i].Shared)
			}
			w.log(&p[i].Log, p[i].Shared)
		}
	}
	return w.bytes(partedLogs)
}

// WriteResults writes results that were not checked, with given flags and pull.
func WriteResults(r Results, flags, pull byte) []byte { return writeResults(&r, flags, pull) }
