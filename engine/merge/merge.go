// Package merge brings the logs of several phones together and reads from them
// what holds now.
//
// Join is the union of logs: it can be done in any order, with any grouping and
// any number of times, and comes to the same. Where a phone was set back or
// copied and wrote other records under the same numbers, both sides are kept. Fold turns the joined logs into a
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
	"keelcard/engine/sorting"
)

// Codes of the errors of this package.
const (
	CodeContest engine.Code = "merge.contest" // the sets are of different contests
	CodeFork    engine.Code = "merge.fork"    // one number of a phone would name two things
	CodeGap     engine.Code = "merge.gap"     // records are missing before others of the same phone
	CodeOrder   engine.Code = "merge.order"   // the logs of a set are not sorted by phone
	CodeLimit   engine.Code = "merge.limit"   // more logs than a set, or a phone, may have
)

// Report says what a Join brought, sorted by phone and number. Where the logs of
// a phone part, records are named by segment as they are in the joined set.
type Report struct {
	New    []record.Ref // what the second set had and the first had not
	Behind []record.Ref // what the first set had and the second had not
}

// Join gives the union of two sets of one contest. Of two logs of one phone of
// which one is the beginning of the other, the longer one is taken, with its
// signature; of two that part both are kept. A log without its beginning is put
// behind that beginning in the other set. Both sets must have been verified when
// they came in. On an error neither is changed and nothing is taken over. The
// result shares records with a and b, but appending to it touches neither.
//
// Codes: CodeContest, CodeFork, CodeGap, CodeOrder, CodeLimit, record.CodePart.
func Join(a, b record.Set) (record.Set, Report, error) {
	if a.Contest != b.Contest {
		return record.Set{}, Report{}, engine.New(CodeContest, "",
			fmt.Sprintf("the records are of contest %v, not of %v", b.Contest, a.Contest),
			"open the other contest, or take the file in as a new one")
	}
	j := joining{out: record.Set{Contest: a.Contest, Logs: make([]record.Log, 0, max(len(a.Logs), len(b.Logs)))}}
	whole, err := attach(a, b)
	if err != nil {
		return record.Set{}, Report{}, err
	}
	if b, err = attach(b, a); err != nil {
		return record.Set{}, Report{}, err
	}
	x, y := whole.Logs, b.Logs
	for len(x) > 0 || len(y) > 0 {
		n, m := record.Branches(x), record.Branches(y)
		switch c := comparePhones(x, y); {
		case c < 0:
			m = 0
		case c > 0:
			n = 0
		}
		if err := j.phone(x[:n], y[:m]); err != nil {
			return record.Set{}, Report{}, err
		}
		x, y = x[n:], y[m:]
	}
	if err := j.check(); err != nil {
		return record.Set{}, Report{}, err
	}
	return j.out, j.report, nil
}

// comparePhones tells whose turn it is: the phone in front of x or that of y.
func comparePhones(x, y []record.Log) int {
	switch {
	case len(y) == 0:
		return -1
	case len(x) == 0:
		return 1
	}
	return bytes.Compare(x[0].Phone[:], y[0].Phone[:])
}

// attach checks what Join relies on, logs sorted by phone and each without
// gaps, and completes those without their beginning from the other set.
func attach(set, other record.Set) (record.Set, error) {
	copied := false
	for i := range set.Logs {
		l := &set.Logs[i]
		if i > 0 && bytes.Compare(set.Logs[i-1].Phone[:], l.Phone[:]) > 0 {
			return record.Set{}, engine.New(CodeOrder, fmt.Sprintf("phone %v", l.Phone),
				"the logs are not sorted by phone", "ask for the file again")
		}
		for j := range l.Records {
			r := &l.Records[j]
			if want := l.Skip + uint32(j) + 1; r.Phone != l.Phone || r.Seq != want {
				return record.Set{}, gap(l.Phone, want, r.Seq)
			}
		}
		if l.Skip == 0 {
			continue
		}
		if !copied {
			set.Logs, copied = slices.Clone(set.Logs), true
		}
		whole, err := l.Attach(set.Contest, other.Logs)
		if err != nil {
			return record.Set{}, err
		}
		set.Logs[i] = whole
	}
	return set, nil
}

// joining is a Join on its way.
type joining struct {
	out    record.Set
	report Report
	parted []record.PhoneID // numbers of segments
}

// phone joins the logs of one phone; either side may have none.
func (j *joining) phone(a, b []record.Log) error {
	if len(a) <= 1 && len(b) <= 1 {
		if l, ok := j.line(a, b); ok {
			l.Records = slices.Clip(l.Records)
			j.out.Logs = append(j.out.Logs, l)
			return nil
		}
	}
	all := append(slices.Clip(a), b...)
	for i := range all {
		if !all[i].Public.Equal(all[0].Public) {
			return twoKeys(all[i].Phone)
		}
	}
	t := record.NewTree(j.out.Contest, all...)
	if len(t.Logs) > record.MaxBranches {
		return engine.New(CodeLimit, fmt.Sprintf("phone %v", all[0].Phone),
			fmt.Sprintf("it was set back so often that there are %d versions of its records, at most %d are kept", len(t.Logs), record.MaxBranches),
			"find out who uses the key of this phone, and give every phone one of its own")
	}
	j.compare(&t, a, b)
	for _, l := range t.Logs {
		l.Records = slices.Clip(l.Records)
		j.out.Logs = append(j.out.Logs, l)
	}
	return nil
}

// line joins at most one log of each side, when neither goes its own way, and
// notes the difference.
func (j *joining) line(a, b []record.Log) (record.Log, bool) {
	switch {
	case len(b) == 0:
		j.report.Behind = appendRefs(j.report.Behind, a[0].Records)
		return a[0], true
	case len(a) == 0:
		j.report.New = appendRefs(j.report.New, b[0].Records)
		return b[0], true
	case !a[0].Public.Equal(b[0].Public):
		return record.Log{}, false
	}
	x, y := &a[0], &b[0]
	n := min(len(x.Records), len(y.Records))
	for i := range n {
		if !record.Equal(&x.Records[i], &y.Records[i]) {
			return record.Log{}, false
		}
	}
	j.report.New = appendRefs(j.report.New, y.Records[n:])
	j.report.Behind = appendRefs(j.report.Behind, x.Records[n:])
	switch {
	case len(x.Records) > n:
		return *x, true
	case len(y.Records) > n:
		return *y, true
	}
	l := *x
	if len(l.Sig) == 0 || len(y.Sig) > 0 && bytes.Compare(y.Sig, l.Sig) < 0 {
		l.Sig = y.Sig
	}
	return l, true
}

// compare notes the difference between the two sides where logs part.
func (j *joining) compare(t *record.Tree, a, b []record.Log) {
	has := [2]map[[32]byte]bool{}
	for i, logs := range [][]record.Log{a, b} {
		if len(logs) > 0 {
			side := record.NewTree(j.out.Contest, logs...)
			has[i] = side.Heads()
		}
	}
	segs := t.Segments()
	for i := range segs {
		s := &segs[i]
		if s.Parent >= 0 {
			j.parted = append(j.parted, s.ID)
		}
		for k := range s.Records {
			ref, head := record.Ref{Phone: s.ID, Seq: s.After + uint32(k) + 1}, t.HeadAfter(s, k)
			if !has[0][head] {
				j.report.New = append(j.report.New, ref)
			}
			if !has[1][head] {
				j.report.Behind = append(j.report.Behind, ref)
			}
		}
	}
}

// check holds the whole to what a set may be.
func (j *joining) check() error {
	if len(j.out.Logs) > record.MaxLogs {
		return engine.New(CodeLimit, "",
			fmt.Sprintf("together there are %d phones, at most %d are allowed", len(j.out.Logs), record.MaxLogs),
			"check that the file is of this contest")
	}
	if len(j.parted) == 0 {
		return nil
	}
	sorting.Stable(j.report.New, record.CompareRefs)
	sorting.Stable(j.report.Behind, record.CompareRefs)
	names := map[record.PhoneID]bool{}
	for logs := range j.out.Phones {
		j.parted = append(j.parted, logs[0].Phone)
	}
	for _, id := range j.parted {
		if names[id] {
			return twoKeys(id)
		}
		names[id] = true
	}
	return nil
}

func appendRefs(refs []record.Ref, records []record.Record) []record.Ref {
	refs = slices.Grow(refs, len(records))
	for i := range records {
		refs = append(refs, records[i].Ref())
	}
	return refs
}

// fork refuses a record whose number another record has: what the two sides of
// a phone wrote is brought together by Join only.
func fork(ref record.Ref) error {
	return engine.New(CodeFork, fmt.Sprintf("phone %v", ref.Phone),
		fmt.Sprintf("there are two different records number %d", ref.Seq),
		"the phone was set back or copied: take the whole file in, and let the phone go on under a new key")
}

// twoKeys is what only comes of trying out a great many keys.
func twoKeys(id record.PhoneID) error {
	return engine.New(CodeFork, fmt.Sprintf("phone %v", id),
		"two different keys have its number", "take in no more from the one that was added last")
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
