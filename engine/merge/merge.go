// Package merge brings the logs of several phones together and reads from them
// what holds now.
//
// Join is the union of logs: it can be done in any order, with any grouping and
// any number of times, and comes to the same. Fold turns the joined logs into a
// State, which answers what holds about each subject: nothing, one answer, the
// same answer by several hands, or different answers that a person has to
// decide between. Nothing is decided by who came first or whose clock is ahead.
package merge

import (
	"bytes"
	"fmt"
	"slices"

	"keelcard/engine"
	"keelcard/engine/record"
)

// Codes of the errors of this package.
const (
	CodeContest engine.Code = "merge.contest" // the sets are of different contests
	CodeFork    engine.Code = "merge.fork"    // one phone wrote two different records under one number
	CodeGap     engine.Code = "merge.gap"     // records are missing before others of the same phone
	CodeOrder   engine.Code = "merge.order"   // the logs of a set are not sorted by phone, or one is there twice
	CodeLimit   engine.Code = "merge.limit"   // more logs than a set may have
)

// Report says what a Join brought, sorted by phone and number.
type Report struct {
	New    []record.Ref // what the second set had and the first had not
	Behind []record.Ref // what the first set had and the second had not
}

// Join gives the union of two sets of one contest. Each log of one phone has to
// be the beginning of the other; the longer one is taken, with its signature.
// Both sets must have been verified when they came in. On an error neither is
// changed and nothing is taken over. The result shares records with a and b,
// but appending to it touches neither.
//
// Codes: CodeContest, CodeFork, CodeGap, CodeOrder, CodeLimit.
func Join(a, b record.Set) (record.Set, Report, error) {
	if a.Contest != b.Contest {
		return record.Set{}, Report{}, engine.New(CodeContest, "",
			fmt.Sprintf("the records are of contest %v, not of %v", b.Contest, a.Contest),
			"open the other contest, or take the file in as a new one")
	}
	for _, set := range []record.Set{a, b} {
		if err := check(set); err != nil {
			return record.Set{}, Report{}, err
		}
	}
	out := record.Set{Contest: a.Contest, Logs: make([]record.Log, 0, max(len(a.Logs), len(b.Logs)))}
	var report Report
	x, y := a.Logs, b.Logs
	for len(x) > 0 || len(y) > 0 {
		order := -1 // x only
		switch {
		case len(x) == 0:
			order = 1
		case len(y) > 0:
			order = bytes.Compare(x[0].Phone[:], y[0].Phone[:])
		}
		var l record.Log
		switch {
		case order < 0:
			l, x = x[0], x[1:]
			report.Behind = appendRefs(report.Behind, l.Records)
		case order > 0:
			l, y = y[0], y[1:]
			report.New = appendRefs(report.New, l.Records)
		default:
			var err error
			if l, err = joinLogs(&x[0], &y[0], &report); err != nil {
				return record.Set{}, Report{}, err
			}
			x, y = x[1:], y[1:]
		}
		l.Records = slices.Clip(l.Records)
		out.Logs = append(out.Logs, l)
	}
	if len(out.Logs) > record.MaxLogs {
		return record.Set{}, Report{}, engine.New(CodeLimit, "",
			fmt.Sprintf("together there are %d phones, at most %d are allowed", len(out.Logs), record.MaxLogs),
			"check that the file is of this contest")
	}
	return out, report, nil
}

// joinLogs joins two logs of one phone and notes the difference.
func joinLogs(a, b *record.Log, report *Report) (record.Log, error) {
	n := min(len(a.Records), len(b.Records))
	if !a.Public.Equal(b.Public) {
		return record.Log{}, fork(record.Ref{Phone: a.Phone, Seq: 1})
	}
	for i := range n {
		if !record.Equal(&a.Records[i], &b.Records[i]) {
			return record.Log{}, fork(a.Records[i].Ref())
		}
	}
	report.New = appendRefs(report.New, b.Records[n:])
	report.Behind = appendRefs(report.Behind, a.Records[n:])
	switch {
	case len(a.Records) > n:
		return *a, nil
	case len(b.Records) > n:
		return *b, nil
	}
	l := *a
	if len(l.Sig) == 0 || len(b.Sig) > 0 && bytes.Compare(b.Sig, l.Sig) < 0 {
		l.Sig = b.Sig
	}
	return l, nil
}

func appendRefs(refs []record.Ref, records []record.Record) []record.Ref {
	refs = slices.Grow(refs, len(records))
	for i := range records {
		refs = append(refs, records[i].Ref())
	}
	return refs
}

func fork(ref record.Ref) error {
	return engine.New(CodeFork, fmt.Sprintf("phone %v", ref.Phone),
		fmt.Sprintf("there are two different records number %d", ref.Seq),
		"the phone was set back or copied: keep both files, and let it go on under a new key")
}

func gap(phone record.PhoneID, want, got uint32) error {
	missing := fmt.Sprintf("record %d is", want)
	if got > want+1 {
		missing = fmt.Sprintf("records %d to %d are", want, got-1)
	}
	return engine.New(CodeGap, fmt.Sprintf("phone %v", phone),
		fmt.Sprintf("%s missing before record %d", missing, got),
		"ask this phone to hand over everything it has")
}

// check looks at what Join relies on: logs sorted by phone, each complete from
// its first record.
func check(set record.Set) error {
	for i := range set.Logs {
		l := &set.Logs[i]
		if i > 0 && bytes.Compare(set.Logs[i-1].Phone[:], l.Phone[:]) >= 0 {
			return engine.New(CodeOrder, fmt.Sprintf("phone %v", l.Phone),
				"the logs are not sorted by phone", "ask for the file again")
		}
		for j := range l.Records {
			r := &l.Records[j]
			if r.Phone != l.Phone || r.Seq != uint32(j)+1 {
				return gap(l.Phone, uint32(j)+1, r.Seq)
			}
		}
	}
	return nil
}
