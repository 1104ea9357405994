package app_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/clock"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/web/app"
)

const (
	hour = 3600
	day  = 24 * hour
)

// clocksOff are ways in which the clock of a phone is wrong, as what it shows at
// a time. Some change while it is used.
var clocksOff = map[string]func(now int64) int64{
	"right":       func(now int64) int64 { return now },
	"a day ahead": func(now int64) int64 { return now + day },
	"a day late":  func(now int64) int64 { return now - day },
	"1970":        func(now int64) int64 { return now % 100_000 },
	"before 1970": func(now int64) int64 { return -now },
	"2100":        func(now int64) int64 { return 4_102_444_800 + now%100_000 },
	"stands":      func(int64) int64 { return 1_790_000_000 },
	"set back by an hour between taps": func(now int64) int64 {
		return now - now%7*hour
	},
}

// Phones with clocks of any kind key cards, hand over and take in. No record is
// lost, the stamps of each phone keep the order of its records, and everything
// stands as it would with clocks that are right.
func TestWrongClocksSpoilNothing(t *testing.T) {
	names := slices.Sorted(maps.Keys(clocksOff))
	for i, name := range names {
		t.Run(name, func(t *testing.T) {
			day := wrongDay{rand: rand.New(rand.NewPCG(uint64(i), 7)), now: 1_790_100_000}
			for n, clock := range []string{name, names[(i+3)%len(names)], "right"} {
				day.off = append(day.off, clocksOff[clock])
				for _, set := range []*[]*app.Runner{&day.phones, &day.right} {
					r := keyingPhone(t, byte(1+60*n), fmt.Sprintf("P%d", n))
					r.Visit(page("contest"))
					*set = append(*set, r)
				}
			}
			for range 8 {
				phone, number := day.rand.IntN(3), []string{"41", "42", "50"}[day.rand.IntN(3)]
				order := []string{"2134", "1234", "4321"}[day.rand.IntN(3)]
				day.at(phone, func(r *app.Runner) { place(r, number, order) })
				if day.rand.IntN(2) == 0 {
					day.give(t, phone, (phone+1)%3)
				}
			}
			for _, from := range []int{0, 1, 2, 0, 1} { // until all have all
				day.give(t, from, (from+1)%3)
			}
			for n, r := range day.phones {
				day.compare(t, restart(t, r), day.right[n])
			}
		})
	}
}

// wrongDay is a day with three phones whose clocks are off, and the same day
// with clocks that are right.
type wrongDay struct {
	rand          *rand.Rand
	now           int64
	phones, right []*app.Runner
	off           []func(int64) int64
}

// at does the same on a phone of both days, some time later.
func (d *wrongDay) at(i int, do func(r *app.Runner)) {
	d.now += 1 + d.rand.Int64N(4000)
	d.phones[i].Now, d.right[i].Now = d.off[i](d.now), d.now
	do(d.phones[i])
	do(d.right[i])
}

func (d *wrongDay) give(t *testing.T, from, to int) {
	var files [][]byte
	d.at(from, func(r *app.Runner) { files = append(files, handed(t, r, "everything")) })
	d.at(to, func(r *app.Runner) {
		takeIn(t, r, files[0])
		files = files[1:]
	})
}

func (d *wrongDay) compare(t *testing.T, r, right *app.Runner) {
	r.Visit(page("contest"))
	got, want := r.State.Open.Contest.State(), right.State.Open.Contest.State()
	for _, number := range []uint32{41, 42, 50} {
		sub := contest.CardSubject(2, number)
		g, w := got.Current(sub), want.Current(sub)
		slices.Sort(g.Values)
		slices.Sort(w.Values)
		if g.Status != w.Status || !slices.Equal(g.Values, w.Values) {
			t.Errorf("card %d is %v %q, with right clocks %v %q", number, g.Status, g.Values, w.Status, w.Values)
		}
	}
	for i, l := range r.State.Open.Set.Logs {
		if len(l.Records) != len(right.State.Open.Set.Logs[i].Records) {
			t.Errorf("%d records of %v, with right clocks %d", len(l.Records), l.Phone, len(right.State.Open.Set.Logs[i].Records))
		}
		for n := 1; n < len(l.Records); n++ {
			if clock.Compare(l.Records[n-1].Stamp, l.Records[n].Stamp) >= 0 {
				t.Errorf("record %d of %v does not come after the one before: %v", n+1, l.Phone, l.Records[n].Stamp)
			}
		}
	}
}

// placedAt is a phone that keyed a card when its clock stood so.
func placedAt(t *testing.T, seed byte, who, number string, now int64) *app.Runner {
	r := keyingPhone(t, seed, who)
	r.Now = now
	place(r, number, "2134")
	return r
}

// A clock that is wrong is said in a line, with whose it is.
func TestWrongClocksAreSaid(t *testing.T) {
	const now = 1_790_100_000
	say := func(r *app.Runner, at int64) string {
		r.Now = at
		r.Visit(page("contest"))
		n := r.State.ClockNotice()
		if n.Text != "" && n.Fix == "" {
			t.Error("it does not say what to do")
		}
		return n.Text
	}
	want := func(what, got, part string) {
		t.Helper()
		if part == "" && got != "" || !strings.Contains(got, part) {
			t.Errorf("%s: %q, want %q", what, got, part)
		}
	}

	r := placedAt(t, 1, "MB", "41", now)
	want("right", say(r, now+60), "")
	want("an hour less a minute ago", say(r, now-3540), "")
	want("set back by two hours", say(r, now-2*hour), "set back: it wrote at a time that is still 2 hours away")
	want("set back by three days", say(r, now-3*day), "3 days")
	want("1970", say(r, 1000), "before Keelcard was made")
	place(r, "42", "1234")
	if got := cardRecords(r, 2, 42); len(got) != 1 {
		t.Errorf("in 1970 the card is %q", got)
	}
	want("right again", say(r, now+60), "")

	// One other phone is a day ahead; then a second one, so that this one is late.
	takeIn(t, r, handed(t, placedAt(t, 60, "CD", "42", now+day), ""))
	want("one ahead", say(r, now+60), "is 24 hours ahead of this one's. One of the two")
	want("and what follows on its time", func() string { place(r, "50", "1234"); return say(r, now+120) }(), "One of the two")
	takeIn(t, r, handed(t, placedAt(t, 120, "EF", "42", now+day), ""))
	want("two ahead", say(r, now+120), "This phone's clock is about 24 hours behind")
	for i, who := range []string{"GH", "IJ", "KL"} {
		takeIn(t, r, handed(t, placedAt(t, byte(180+20*i), who, "42", now), ""))
	}
	want("two of five ahead", say(r, now+120), "clocks of 2 phones are ahead")
	want("a day later", say(r, now+2*day), "")

	// This phone is a day ahead: two others saw its time and never came to it.
	ahead := placedAt(t, 1, "MB", "41", now+day)
	file := handed(t, ahead, "")
	for i, who := range []string{"CD", "EF"} {
		other := placedAt(t, byte(60+60*i), who, "42", now)
		takeIn(t, other, file)
		want("on another phone", say(other, now+60), "ahead of this one's")
		place(other, "50", "1234")
		takeIn(t, ahead, handed(t, other, ""))
	}
	want("ahead of two", say(ahead, now+day+60), "probably ahead")
	if !ahead.State.Doubtful(now+3*day) || ahead.State.Doubtful(now) || !ahead.State.Doubtful(5) {
		t.Error("times that are doubted")
	}
	if got := ahead.State.Open.Contest.State().Current(contest.CardSubject(2, 42)).Status; got == merge.Absent {
		t.Error("a card was lost")
	}
}
