// Package clock is a hybrid logical clock as a plain value: the wall clock
// where it can be believed, a counter where it cannot. It reads no clock
// itself; the caller passes the present second in and stores the state.
//
// Stamps are for people: they sort a history and say about when something
// was written. What replaces what is never decided by them, so a phone whose
// clock is wrong loses nothing and spoils nothing.
package clock

import "cmp"

// MaxWall is the largest second a Stamp holds, some 34,000 years after 1970.
const MaxWall = 1<<40 - 1

// Stamp is one moment of the hybrid clock. The zero Stamp is before all others.
type Stamp struct {
	Wall int64  // unix seconds, 0 to MaxWall
	Tick uint16 // counts what happened within the second
}

// Next gives the stamp of something that happens now, in unix seconds. It is
// always after s, even when the wall clock stands still or was set back. Only
// at the very last Stamp, {MaxWall, 65535}, does it stay where it is.
func Next(s Stamp, now int64) Stamp {
	now = min(now, MaxWall)
	switch {
	case now > s.Wall:
		return Stamp{Wall: now}
	case s.Tick < 1<<16-1:
		return Stamp{Wall: s.Wall, Tick: s.Tick + 1}
	case s.Wall < MaxWall:
		return Stamp{Wall: s.Wall + 1}
	}
	return s
}

// Observe takes in a stamp written by another phone and gives the state from
// which Next continues, so that an answer is stamped after what it answers.
// A phone that is a day ahead pulls the stamps of the others with it; this is
// harmless because no record is ranked or refused by its stamp. Show the
// difference with Ahead instead.
func Observe(s, seen Stamp) Stamp {
	if Compare(seen, s) > 0 {
		return seen
	}
	return s
}

// Ahead says by how many seconds a stamp lies after now; it is 0 for a stamp
// of the past. It is for telling people that a phone's clock is wrong.
func Ahead(s Stamp, now int64) int64 { return max(0, s.Wall-now) }

// Compare is negative when a is before b, 0 when they are the same.
func Compare(a, b Stamp) int {
	if c := cmp.Compare(a.Wall, b.Wall); c != 0 {
		return c
	}
	return cmp.Compare(a.Tick, b.Tick)
}
