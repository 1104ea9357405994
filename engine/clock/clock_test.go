package clock_test

import (
	"testing"

	"keelcard/engine/clock"
)

func TestNext(t *testing.T) {
	for _, tc := range []struct {
		name  string
		state clock.Stamp
		now   int64
		want  clock.Stamp
	}{
		{"first stamp", clock.Stamp{}, 1000, clock.Stamp{Wall: 1000}},
		{"time went on", clock.Stamp{Wall: 1000, Tick: 7}, 1001, clock.Stamp{Wall: 1001}},
		{"same second", clock.Stamp{Wall: 1000, Tick: 7}, 1000, clock.Stamp{Wall: 1000, Tick: 8}},
		{"set back a day", clock.Stamp{Wall: 100000}, 13600, clock.Stamp{Wall: 100000, Tick: 1}},
		{"before 1970", clock.Stamp{}, -5, clock.Stamp{Tick: 1}},
		{"tick full", clock.Stamp{Wall: 1000, Tick: 65535}, 900, clock.Stamp{Wall: 1001}},
		{"absurd clock", clock.Stamp{}, 1 << 62, clock.Stamp{Wall: clock.MaxWall}},
		{"the very end", clock.Stamp{Wall: clock.MaxWall, Tick: 65535}, 5, clock.Stamp{Wall: clock.MaxWall, Tick: 65535}},
	} {
		if got := clock.Next(tc.state, tc.now); got != tc.want {
			t.Errorf("%s: got %v, want %v", tc.name, got, tc.want)
		}
	}
}

// A clock that jumps about still gives stamps that only rise.
func TestNextOnlyRises(t *testing.T) {
	var s clock.Stamp
	for i := range 300_000 {
		now := int64(i*7919%1000) - 100
		next := clock.Next(s, now)
		if clock.Compare(next, s) <= 0 {
			t.Fatalf("step %d: %v does not follow %v", i, next, s)
		}
		s = next
	}
}

func TestObserve(t *testing.T) {
	mine := clock.Stamp{Wall: 1000, Tick: 3}
	ahead := clock.Stamp{Wall: 1000 + 86400}
	if got := clock.Observe(mine, ahead); got != ahead {
		t.Errorf("got %v, want %v", got, ahead)
	}
	if got := clock.Observe(ahead, mine); got != ahead {
		t.Errorf("got %v, want %v", got, ahead)
	}
	// What is written after having seen a stamp is stamped after it.
	if got := clock.Next(clock.Observe(mine, ahead), 1001); clock.Compare(got, ahead) <= 0 {
		t.Errorf("%v does not follow %v", got, ahead)
	}
	if got := clock.Ahead(ahead, 1000); got != 86400 {
		t.Errorf("ahead by %d s, want 86400", got)
	}
	if got := clock.Ahead(mine, 5000); got != 0 {
		t.Errorf("a stamp of the past is ahead by %d s", got)
	}
}
