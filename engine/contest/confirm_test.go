package contest_test

import (
	"math"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/record"
)

func withSettings(tb testing.TB, d day, s contest.Settings) *contest.Contest {
	tb.Helper()
	s.Name = "Day"
	value, err := s.Write()
	d.Write(d.owner, settingsSubject, value, err)
	return d.read()
}

// A sample is about as large as it should be in every class, differs from class
// to class and from contest to contest, and is the same on every phone.
func TestSample(t *testing.T) {
	for _, in := range []int{0, 2, 5, 20, contest.MaxSample} {
		c := withSettings(t, newDay(t), contest.Settings{Confirm: contest.ConfirmSample, ConfirmIn: in})
		twin := withSettings(t, newDay(t), contest.Settings{Confirm: contest.ConfirmSample, ConfirmIn: in})
		other := *c
		other.ID = record.ContestID{9}
		const classes, numbers = 20, 5000
		all, moved, elsewhere := 0, 0, 0
		for class := uint32(1); class <= classes; class++ {
			n := 0
			for number := uint32(1); number <= numbers; number++ {
				asked := c.Asked(class, number)
				if asked != twin.Asked(class, number) {
					t.Fatalf("card %d of class %d is in the sample of one phone only", number, class)
				}
				if asked {
					n++
				}
				if asked != c.Asked(class+1, number) {
					moved++
				}
				if asked != other.Asked(class, number) {
					elsewhere++
				}
			}
			// Five standard deviations of a binomial count: 1 in 1,700,000 falls outside.
			share := 1 / float64(c.Settings.SampleOf())
			if sigma := math.Sqrt(numbers * share * (1 - share)); math.Abs(float64(n)-numbers*share) > 5*sigma {
				t.Errorf("one in %d: %d of %d cards of class %d, want about %.0f", c.Settings.SampleOf(), n, numbers, class, numbers*share)
			}
			all += n
		}
		if moved < all/2 || elsewhere < all/2 {
			t.Errorf("one in %d: of %d cards %d differ between classes and %d between contests", c.Settings.SampleOf(), all, moved, elsewhere)
		}
	}
}

func TestAsked(t *testing.T) {
	for confirm, want := range map[string]bool{"": false, contest.ConfirmAll: true} {
		c := withSettings(t, newDay(t), contest.Settings{Confirm: confirm})
		for number := uint32(1); number < 50; number++ {
			if c.Asked(1, number) != want {
				t.Errorf("%q: of card %d it is %v", confirm, number, !want)
			}
		}
	}
}

// Results count what is left to be keyed by another person: nothing of those who
// are out, and nothing that is in question or not keyed.
func TestResultsSayWhatIsKeyedOnce(t *testing.T) {
	for confirm, want := range map[string][2]int{"": {0, 0}, contest.ConfirmAll: {3, 2}} {
		s := scored(t, withSettings(t, dayKeyedOnce(t), contest.Settings{Confirm: confirm}))
		if got := [2]int{s.Asked, s.Once}; got != want {
			t.Errorf("%q: %v cards are asked for and keyed once, want %v", confirm, got, want)
		}
	}
}

// dayKeyedOnce is a class in which the card of 1 is confirmed, that of 2 keyed on
// two phones by one person, 3 in question, 4 keyed once and 5 not at all; 6 is out.
func dayKeyedOnce(t *testing.T) day {
	d := newDay(t)
	other, same := d.Phone("keyer/EF"), d.Phone("keyer/cd")
	class := hens(1)
	d.class(class)
	for number := uint32(1); number <= 6; number++ {
		out := ""
		if number == 6 {
			out = "late"
		}
		value, err := contest.Person{Number: number, Out: out}.Write()
		d.Write(d.owner, personSubject(number), value, err)
		if number != 5 {
			d.card(class, number, 1)
		}
	}
	value, err := contest.KeyItem{Answer: "1-2-3-4", Cuts: [3]uint8{2, 2, 2}}.Write(class)
	d.Write(d.owner, contest.KeySubject(1, 0), value, err)
	for _, second := range []struct {
		on     int
		number uint32
		mark   byte
	}{{other, 1, 1}, {same, 2, 1}, {other, 3, 2}} {
		value, err := class.CardValue([]byte{second.mark})
		d.Write(second.on, contest.CardSubject(1, second.number), value, err)
	}
	return d
}
