package demo

import (
	"keelcard/engine/contest"
	"keelcard/engine/placing"
	"keelcard/engine/score"
)

// dice is a small deterministic source of chance (the splitmix64 sequence), so
// that the demo is the same on every phone.
type dice uint64

func (d *dice) next() uint64 {
	*d += 0x9e3779b97f4a7c15
	z := uint64(*d)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// under gives a whole number from 0 up to but not n.
func (d *dice) under(n int) int { return int(d.next() % uint64(n)) }

// permille is true n times in a thousand.
func (d *dice) permille(n int) bool { return d.under(1000) < n }

// gradedCard fills in a card as a contestant of some skill might: mostly
// right, more often wrong on hard items, wrong mostly by one grade, and now
// and then blank or marked twice. skill and hard run from 0 to 100.
func (d *dice) gradedCard(class contest.Class, key []contest.KeyItem, hard []int, skill int) []byte {
	answers := class.Answers()
	marks := make([]byte, len(key))
	for i, k := range key {
		right := 1
		for j, a := range answers {
			if a == k.Answer {
				right = j + 1
			}
		}
		mark := right
		if !d.permille(560 + 4*skill - 3*hard[i]) {
			step := 1
			if d.permille(120) {
				step = 2
			}
			if right+step > len(answers) || right > step && d.permille(500) {
				step = -step
			}
			mark = min(max(right+step, 1), len(answers))
		}
		marks[i] = byte(mark)
		switch {
		case d.permille(4):
			marks[i] = score.Blank
		case d.permille(4) && mark != right:
			marks[i] = score.DoubleOf(right, mark)
		}
	}
	return marks
}

// placingCard orders four items as a contestant of some skill might: starting
// from the official order, neighbours with a small cut change places more
// often than those far apart.
func (d *dice) placingCard(official placing.Order, cuts placing.Cuts, skill int) []byte {
	order := official
	for range 2 {
		for i, cut := range cuts {
			if d.permille(max(20, 430-3*skill-40*int(cut))) {
				order[i], order[i+1] = order[i+1], order[i]
			}
		}
	}
	return []byte{byte(order.Index())}
}
