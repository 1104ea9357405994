package contest

import (
	"encoding/binary"

	"keelcard/engine"
	"keelcard/engine/merge"
)

// Which cards have to be keyed a second time by another person: Settings.Confirm.
const (
	ConfirmAll    = "all"    // every card
	ConfirmSample = "sample" // one card in Settings.SampleOf; none of a small class may be among them
)

// MaxSample is the smallest sample there is: one card in so many.
const MaxSample = 100

// SampleOf is in how many cards one is keyed twice, where a sample is asked for.
func (s Settings) SampleOf() int {
	if s.ConfirmIn == 0 {
		return 5
	}
	return s.ConfirmIn
}

// checkConfirm holds what is asked for to what there is.
func (s Settings) checkConfirm() error {
	known := s.Confirm == "" || s.Confirm == ConfirmAll || s.Confirm == ConfirmSample
	if known && (s.ConfirmIn == 0 || s.ConfirmIn >= 2 && s.ConfirmIn <= MaxSample) {
		return nil
	}
	return engine.New("contest.confirm", "keyed twice", "this many cards cannot be asked for", "choose all cards, none, or one in 2 to 100")
}

// Asked tells whether the settings want a card to be keyed by two people. What
// is in a sample follows from the contest, the class and the contestant number
// alone, so that every phone asks for the same cards: the card is in when SampleOf
// divides the draw of the contestant's number, in the sequence that begins with
// the draw of the class's number, in the sequence that begins with the contest's id.
func (c *Contest) Asked(class, number uint32) bool {
	switch c.Settings.Confirm {
	case ConfirmAll:
		return true
	case ConfirmSample:
		return draw(draw(binary.BigEndian.Uint64(c.ID[:]), class), number)%uint64(c.Settings.SampleOf()) == 0
	}
	return false
}

// draw gives one number of a SplitMix64 sequence, counted from 1 (Steele, Lea,
// Flood: Fast Splittable Pseudorandom Number Generators, 2014).
func draw(seed uint64, n uint32) uint64 {
	z := seed + uint64(n)*0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// KeyedOnce tells whether a card stands and only one person is behind it, see
// merge.State.OneHand.
func (c *Contest) KeyedOnce(class Class, number uint32) bool {
	status := c.CardStatus(class, number)
	return (status == merge.Single || status == merge.Confirmed) && c.state.OneHand(CardSubject(class.No, number))
}
