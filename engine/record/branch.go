package record

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"slices"

	"keelcard/engine"
	"keelcard/engine/sorting"
)

// MaxBranches is how many logs of one phone a set may hold. A phone that was
// set back once has two; more than a few are made on purpose.
const MaxBranches = 8

const segmentDomain = "keelcard log segment 1\x00"

// Tree is every log of one phone, when it wrote different records under one
// number: its logs share a beginning and then part, once or more often. None
// is the beginning of another.
type Tree struct {
	Logs  []Log // sorted by the head after the first record in which they part
	heads [][][32]byte
}

// Segment is a run of records between two partings. What all logs begin with is
// the first, empty when they part at once, and keeps the number of the phone;
// every later one has a number that follows from the head after its first
// record, so that its records can be named whatever else becomes known.
type Segment struct {
	ID      PhoneID
	After   uint32 // records before it
	Records []Record
	Parent  int  // index of the segment it follows, -1 for the first
	Parts   bool // others follow it
	Log     int  // index of a log that runs through it
}

// Last is the number of its last record.
func (s *Segment) Last() uint32 { return s.After + uint32(len(s.Records)) }

// NewTree brings the logs of one phone together. A log that is the beginning of
// another is left out; of two equal ones the signed one stays, and of two
// signatures the smaller. There must be one, and all begin at the same number.
func NewTree(contest ContestID, logs ...Log) Tree {
	type branch struct {
		log   Log
		heads [][32]byte
	}
	var kept []branch
	for _, l := range logs {
		b, known := branch{l, l.heads(contest)}, false
		kept = slices.DeleteFunc(kept, func(x branch) bool {
			equal := within(x.heads, b.heads) && within(b.heads, x.heads)
			known = known || within(b.heads, x.heads) && !(equal && signedBefore(&b.log, &x.log))
			return within(x.heads, b.heads) && !(equal && !signedBefore(&b.log, &x.log))
		})
		if !known {
			kept = append(kept, b)
		}
	}
	sorting.Stable(kept, func(a, b branch) int {
		n := shared(a.heads, b.heads)
		return bytes.Compare(a.heads[n][:], b.heads[n][:])
	})
	var t Tree
	for _, b := range kept {
		t.Logs = append(t.Logs, b.log)
		t.heads = append(t.heads, b.heads)
	}
	return t
}

// signedBefore tells of two equal logs whether a takes the place of b.
func signedBefore(a, b *Log) bool {
	return len(a.Sig) > 0 && (len(b.Sig) == 0 || bytes.Compare(a.Sig, b.Sig) < 0)
}

// heads gives the chain before the first record and after each.
func (l *Log) heads(contest ContestID) [][32]byte {
	out := make([][32]byte, 1, len(l.Records)+1)
	out[0] = l.start(contest)
	for i := range l.Records {
		out = append(out, chain(out[i], &l.Records[i]))
	}
	return out
}

// HeadAt is the head after the first n records of the phone, which the log must
// hold or begin after.
func (l *Log) HeadAt(contest ContestID, n uint32) [32]byte {
	if n == l.Last() {
		return l.Head
	}
	head := l.start(contest)
	for i := range l.Records[:n-l.Skip] {
		head = chain(head, &l.Records[i])
	}
	return head
}

// within tells whether one log is the beginning of another or equal to it.
func within(a, b [][32]byte) bool { return len(a) <= len(b) && a[len(a)-1] == b[len(a)-1] }

// shared counts the heads that two logs begin with.
func shared(a, b [][32]byte) int {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	return n
}

// Segments gives the runs of a tree of whole logs, each after the one it
// follows, in the order of the logs.
func (t *Tree) Segments() []Segment {
	return t.segments(nil, 0, len(t.Logs), 0, -1)
}

// segments adds those of the logs from lo to hi, which share so many records.
func (t *Tree) segments(out []Segment, lo, hi, after, parent int) []Segment {
	n, parts := len(t.heads[lo]), hi-lo > 1
	if parts { // sorted, so that the first and the last share what all do
		n = shared(t.heads[lo], t.heads[hi-1])
	}
	id := t.Logs[lo].Phone
	if parent >= 0 {
		id = segmentID(t.heads[lo][after+1])
	}
	at := len(out)
	out = append(out, Segment{ID: id, After: uint32(after), Records: slices.Clip(t.Logs[lo].Records[after : n-1]), Parent: parent, Parts: parts, Log: lo})
	for parts && lo < hi {
		next := lo + 1
		for next < hi && t.heads[next][n] == t.heads[lo][n] {
			next++
		}
		out = t.segments(out, lo, next, n-1, at)
		lo = next
	}
	return out
}

func segmentID(head [32]byte) PhoneID {
	sum := sha256.Sum256(append([]byte(segmentDomain), head[:]...))
	return PhoneID(sum[:len(PhoneID{})])
}

// Shared counts the records that a log of the tree has in common with the one
// before it, 0 for the first.
func (t *Tree) Shared(i int) int {
	if i == 0 {
		return 0
	}
	return shared(t.heads[i-1], t.heads[i]) - 1
}

// Heads is every head of the logs of a tree, before and after each record: a
// record is in the tree when the head after it is.
func (t *Tree) Heads() map[[32]byte]bool {
	out := map[[32]byte]bool{}
	for _, heads := range t.heads {
		for _, h := range heads {
			out[h] = true
		}
	}
	return out
}

// HeadAfter is the head after the i-th record of a segment, from 0.
func (t *Tree) HeadAfter(s *Segment, i int) [32]byte {
	return t.headAt(s, s.After+uint32(i)+1)
}

// Phones divides the logs of a set by phone: the logs of one phone at a time.
func (s *Set) Phones(yield func([]Log) bool) {
	for rest := s.Logs; len(rest) > 0; {
		n := Branches(rest)
		if !yield(rest[:n]) {
			return
		}
		rest = rest[n:]
	}
}

// Branches counts how many logs in front are of one phone.
func Branches(logs []Log) int {
	n := min(1, len(logs))
	for n < len(logs) && logs[n].Phone == logs[0].Phone {
		n++
	}
	return n
}

// Known is how far another phone has the records of one.
type Known struct {
	Last uint32 // number of its last record there
	Head uint32 // the first four bytes of the head after it, 0 when that is not said
}

// known tells what a head is to others.
func known(head [32]byte) uint32 { return binary.BigEndian.Uint32(head[:]) }

// fits tells whether a head is the one that is known.
func (k Known) fits(head [32]byte) bool { return k.Head == 0 || k.Head == known(head) }

// Known says how far each phone, and where logs part each segment, goes here.
func (s *Set) Known() map[PhoneID]Known {
	out := make(map[PhoneID]Known, len(s.Logs))
	for logs := range s.Phones {
		if l := &logs[0]; len(logs) == 1 {
			if l.Last() > 0 {
				out[l.Phone] = Known{l.Last(), known(l.Head)}
			}
			continue
		}
		t := NewTree(s.Contest, logs...)
		segs := t.Segments()
		for i := range segs {
			if seg := &segs[i]; len(seg.Records) > 0 {
				out[seg.ID] = Known{seg.Last(), known(t.headAt(seg, seg.Last()))}
			}
		}
	}
	return out
}

// Since leaves out of a set what another phone has, by what is Known there. A
// log without anything new is left out whole. What was left out before a log is
// named by its head, so that it can only be put where it belongs. Where it is
// not certain which of two logs the other phone has, what they share counts.
func (s *Set) Since(there map[PhoneID]Known) Set {
	out := Set{Contest: s.Contest}
	for logs := range s.Phones {
		if len(logs) == 1 {
			l := &logs[0]
			k := there[l.Phone]
			if k.Last <= l.Last() && k.Last > 0 && !k.fits(l.HeadAt(s.Contest, k.Last)) {
				k.Last = 0
			}
			if k.Last < l.Last() {
				out.Logs = append(out.Logs, l.after(s.Contest, k.Last))
			}
			continue
		}
		t := NewTree(s.Contest, logs...)
		from, news := t.unknown(there)
		for _, i := range news {
			out.Logs = append(out.Logs, t.Logs[i].after(s.Contest, from))
		}
	}
	return out
}

// Differs lists the phones of which another phone has records that are not those
// here under the same numbers: they were set back or copied, and everything has
// to be handed over for both sides to be known.
func (s *Set) Differs(there map[PhoneID]Known) (phones []PhoneID) {
	for logs := range s.Phones {
		t := NewTree(s.Contest, logs...)
		segs := t.Segments()
		if slices.ContainsFunc(segs, func(seg Segment) bool {
			k, ok := there[seg.ID]
			return ok && k.Last > seg.After && k.Last <= seg.Last() && !k.fits(t.headAt(&seg, k.Last))
		}) {
			phones = append(phones, logs[0].Phone)
		}
	}
	return phones
}

// headAt is the head after a number that lies in a segment.
func (t *Tree) headAt(s *Segment, n uint32) [32]byte { return t.heads[s.Log][n] }

// unknown lists the logs that hold something new, and gives a number up to
// which another phone has what all of them begin with.
func (t *Tree) unknown(there map[PhoneID]Known) (from uint32, news []int) {
	segs := t.Segments()
	full := make([]bool, len(segs)) // the other phone has it to its end
	have := make([]uint32, len(segs))
	for i := range segs {
		seg := &segs[i]
		if seg.Parent >= 0 && !full[seg.Parent] {
			have[i] = have[seg.Parent]
			continue
		}
		k := there[seg.ID]
		if k.Last > seg.After && k.Last <= seg.Last() && !k.fits(t.headAt(seg, k.Last)) {
			k.Last = 0
		}
		have[i] = max(seg.After, min(seg.Last(), k.Last))
		full[i] = have[i] == seg.Last()
	}
	for i := range segs {
		if segs[i].Parts || full[i] {
			continue
		}
		if len(news) == 0 || have[i] < from {
			from = have[i]
		}
		news = append(news, segs[i].Log)
	}
	for i := 1; i < len(news); i++ { // what two of them do not share is told for both
		from = min(from, uint32(shared(t.heads[news[0]], t.heads[news[i]])-1))
	}
	return from, news
}

// after leaves the first n records of a log out.
func (l Log) after(contest ContestID, n uint32) Log {
	if n > 0 {
		l.Base = l.HeadAt(contest, n)
		l.Records = slices.Clip(l.Records[n:])
		l.Skip = n
	}
	return l
}

// Attach puts a log of which the beginning was left out behind that beginning,
// which one of some whole logs of its phone must have.
func (l *Log) Attach(contest ContestID, to []Log) (Log, error) {
	for i := range to {
		w := &to[i]
		if w.Skip == 0 && w.Phone == l.Phone && w.Last() >= l.Skip && w.HeadAt(contest, l.Skip) == l.Base {
			whole := *l
			whole.Skip, whole.Base = 0, [32]byte{}
			whole.Records = append(slices.Clip(w.Records[:l.Skip]), l.Records...)
			return whole, nil
		}
	}
	return Log{}, engine.New(CodePart, fmt.Sprintf("phone %v", l.Phone),
		fmt.Sprintf("its records come from number %d on only, and those before are not here", l.Skip+1),
		"ask for everything this contest has, not only for what is new")
}
