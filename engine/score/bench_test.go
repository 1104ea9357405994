package score_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"keelcard/engine/score"
)

// contestOf makes a contest of ten graded classes of ten items under the Penn
// State rule, with four-person teams, two divisions and two tie-breaks. Marks
// follow the key three times out of four, so that totals bunch as they do.
func contestOf(tb testing.TB, persons int) score.Sheet {
	const classes, slots = 10, 10
	rng := rand.New(rand.NewPCG(1, uint64(persons)))
	s := score.Sheet{
		Persons: persons, Divisions: 2, Division: make([]int32, persons),
		Teams: (persons + 3) / 4, Team: make([]int32, persons), TeamBest: 3,
		Ties: []score.Tie{{Classes: []int{0}}, {Classes: []int{1, 2, 3}}, {Alternate: true}},
	}
	for p := range persons {
		s.Team[p] = int32(p / 4)
		s.Division[p] = int32(p / 4 % 2)
	}
	for range classes {
		keys := make([]score.Key, slots)
		for i := range keys {
			keys[i].Answers = []uint8{uint8(1 + rng.IntN(4))}
		}
		table, err := score.PennState().Compile(keys)
		if err != nil {
			tb.Fatal(err)
		}
		marks := make([]byte, persons*slots)
		for i := range marks {
			switch n := rng.IntN(100); {
			case n < 75:
				marks[i] = keys[i%slots].Answers[0]
			case n < 98:
				marks[i] = byte(1 + rng.IntN(4))
			case n < 99:
				marks[i] = score.Blank
			default:
				marks[i] = score.DoubleOf(1+rng.IntN(2), 3+rng.IntN(2))
			}
		}
		s.Classes = append(s.Classes, score.ClassSheet{Table: table, Marks: marks})
	}
	return s
}

func BenchmarkCompute(b *testing.B) {
	for _, persons := range []int{200, 2_000, 20_000, 200_000} {
		s := contestOf(b, persons)
		b.Run(fmt.Sprintf("persons=%d", persons), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := score.Compute(s); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
