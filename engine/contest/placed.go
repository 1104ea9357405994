package contest

import (
	"fmt"
	"slices"

	"keelcard/engine"
	"keelcard/engine/placing"
	"keelcard/engine/points"
	"keelcard/engine/score"
)

// placed is the class of four items in order.
type placed struct{}

func (placed) ID() string         { return Placing }
func (placed) Slots(Class) int    { return 1 }
func (placed) KeyItems(Class) int { return 1 }

func (placed) Answers(Class) []string {
	out := make([]string, placing.Count)
	for i, o := range placing.Orders() {
		out[i] = o.String()
	}
	return out
}

func (placed) Check(c Class) error {
	f := c.checkScoring()
	if c.Items != 4 {
		f = append(f, engine.New("contest.items", "items", fmt.Sprintf("a placing class has 4 items, not %d", c.Items), "use 4"))
	}
	return f.Err()
}

func (placed) CheckKey(c Class, k KeyItem) error {
	if len(k.Also) >= placing.Count {
		return engine.New("contest.key", "key", fmt.Sprintf("%d orders are right as well", len(k.Also)), "name fewer")
	}
	var f engine.Faults
	var seen []placing.Order
	for _, a := range k.accepted() {
		o, err := placing.ParseOrder(a)
		if err == nil && slices.Contains(seen, o) {
			err = engine.New("contest.key", "key", fmt.Sprintf("the order %s stands twice", o), "name it once")
		}
		f = appendErr(f, err)
		seen = append(seen, o)
	}
	return appendErr(f, placing.Cuts(k.Cuts).Validate()).Err()
}

func (p placed) Table(c Class, k Key) (score.Table, error) {
	if err := p.Check(c); err != nil {
		return score.Table{}, err
	}
	item := k.Items[0]
	order, err := placing.ParseOrder(item.Answer)
	if err != nil {
		return score.Table{}, err
	}
	t := score.Placing{Official: order, Cuts: placing.Cuts(item.Cuts), Max: c.PlacingWorth(), Double: score.Zero}
	if c.Double == DoubleLower {
		t.Double = score.Lower
	}
	for _, a := range item.Also {
		o, err := placing.ParseOrder(a)
		if err != nil {
			return score.Table{}, err
		}
		t.Also = append(t.Also, o)
	}
	return t.Table()
}

// PlacingWorth is what the official order earns in a placing class: 50 as
// published (University of Nebraska-Lincoln, NebGuide G2092), or its own worth.
func (c Class) PlacingWorth() points.Points {
	if c.Worth > 0 {
		return c.Worth
	}
	return points.Of(placing.Perfect)
}
