package contest

import "testing"

// The first numbers of the SplitMix64 sequence from the seed 1234567, as Rosetta
// Code has them ("Pseudo-random numbers/Splitmix64").
func TestDraw(t *testing.T) {
	for i, want := range []uint64{6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821} {
		if got := draw(1234567, uint32(i+1)); got != want {
			t.Errorf("draw %d is %d, want %d", i+1, got, want)
		}
	}
}
