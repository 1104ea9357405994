package contest

import (
	"fmt"

	"keelcard/engine"
	"keelcard/engine/placing"
	"keelcard/engine/points"
	"keelcard/engine/score"
)

// placed is the class of four items in order.
type placed struct{}

func (placed) ID() string      { return Placing }
func (placed) Slots(Class) int { return 1 }

func (placed) Answers(Class) []string {
	out := make([]string, placing.Count)
	for i, o := range placing.Orders() {
		out[i] = o.String()
	}
	return out
}

func (placed) Check(c Class) error {
	var f engine.Faults
	if c.Items != 4 {
		f = append(f, engine.New("contest.items", "items", fmt.Sprintf("a placing class has 4 items, not %d", c.Items), "use 4"))
	}
	if c.Worth < 0 || c.Worth > points.Of(1000) {
		f = append(f, engine.New("contest.worth", "worth", fmt.Sprintf("a class cannot be worth %s", c.Worth), "use up to 1000 points"))
	}
	return f.Err()
}

func (placed) CheckKey(c Class, k KeyItem) error {
	var f engine.Faults
	for _, a := range append([]string{k.Answer}, k.Also...) {
		if _, err := placing.ParseOrder(a); err != nil {
			f = appendErr(f, err)
		}
	}
	if err := placing.Cuts(k.Cuts).Validate(); err != nil {
		f = appendErr(f, err)
	}
	return f.Err()
}

func (placed) Table(c Class, k Key) (score.Table, error) {
	item := k.Items[0]
	order, err := placing.ParseOrder(item.Answer)
	if err != nil {
		return score.Table{}, err
	}
	p := score.Placing{Official: order, Cuts: placing.Cuts(item.Cuts), Max: c.PlacingWorth(), Double: score.Zero}
	if c.Double == DoubleLower {
		p.Double = score.Lower
	}
	for _, a := range item.Also {
		o, err := placing.ParseOrder(a)
		if err != nil {
			return score.Table{}, err
		}
		p.Also = append(p.Also, o)
	}
	return p.Table()
}

// PlacingWorth is what the official order earns in a placing class: 50 as
// published (University of Nebraska-Lincoln, NebGuide G2092), or its own worth.
func (c Class) PlacingWorth() points.Points {
	if c.Worth > 0 {
		return c.Worth
	}
	return points.Of(placing.Perfect)
}
