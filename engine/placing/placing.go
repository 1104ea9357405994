// Package placing scores a class of four: the contestant orders four items,
// best first, and loses points for every pair put the wrong way round.
//
// The rule is the one of the extension services (University of
// Nebraska-Lincoln, NebGuide G2092, 2011; Maryland Cooperative Extension,
// "Scoring of Contests"): a right order earns 50. The official sets three
// cuts, one between each two neighbours of the official order. Of the six
// pairs, each one the contestant has the wrong way round loses the sum of the
// cuts lying between its two items in the official order.
package placing

import (
	"strconv"
	"strings"

	"keelcard/engine"
	"keelcard/engine/points"
)

// Perfect is what the official order itself earns, before any scaling.
const Perfect = 50

// Count is the number of orders of four items.
const Count = 24

// Stable codes of this package's errors and advice.
const (
	CodeOrder    engine.Code = "placing.order"      // the text is no order of 1, 2, 3, 4
	CodeCuts     engine.Code = "placing.cuts"       // the text is not three cuts
	CodeNegative engine.Code = "placing.negative"   // these cuts could give a negative score
	CodeLargeCut engine.Code = "placing.large-cut"  // advice: a cut larger than a source allows
	CodeLargeSum engine.Code = "placing.large-sum"  // advice: cuts that together pass the published sum
	CodeNoCut    engine.Code = "placing.no-cut"     // advice: every order earns full points
	CodeWorth    engine.Code = "placing.worth"      // a class cannot be worth that
	CodeIndex    engine.Code = "placing.order-mark" // no order has that index
)

// Order is four items, best first: {2, 1, 3, 4} puts item 2 on top. Items are
// numbered 1 to 4. The zero Order is not valid.
type Order [4]uint8

// orders lists all orders, lexicographically.
var orders = func() (all [Count]Order) {
	n := 0
	for code := 1111; code <= 4444; code++ {
		o := Order{uint8(code / 1000), uint8(code / 100 % 10), uint8(code / 10 % 10), uint8(code % 10)}
		if o.Valid() {
			all[n] = o
			n++
		}
	}
	return all
}()

// Orders lists all 24 orders lexicographically, from 1-2-3-4 to 4-3-2-1. The
// order at i has index i+1.
func Orders() [Count]Order { return orders }

// Valid tells whether o names each of the items 1 to 4 once.
func (o Order) Valid() bool {
	var seen uint
	for _, item := range o {
		seen |= 1 << item
	}
	return seen == 0b11110
}

// Index is the place of o in the list of all orders, counted from 1 to 24: the
// byte that stands for it on a card. It is 0 for an order that is not valid.
func (o Order) Index() int {
	for i, other := range orders {
		if o == other {
			return i + 1
		}
	}
	return 0
}

// ByIndex gives the order with an index from 1 to 24.
func ByIndex(index int) (Order, error) {
	if index < 1 || index > Count {
		return Order{}, engine.New(CodeIndex, "", "no order has the number "+strconv.Itoa(index), "use 1 to 24")
	}
	return orders[index-1], nil
}

// String writes the order as "2-1-3-4".
func (o Order) String() string { return joined(o[:]) }

// MarshalText writes the form of String.
func (o Order) MarshalText() ([]byte, error) { return []byte(o.String()), nil }

// UnmarshalText reads what ParseOrder reads.
func (o *Order) UnmarshalText(text []byte) error {
	v, err := ParseOrder(string(text))
	if err != nil {
		return err
	}
	*o = v
	return nil
}

// ParseOrder reads an order written as "2-1-3-4", "2 1 3 4", "2,1,3,4" or
// "2134". The error has CodeOrder and names the fault: an item that is
// missing, named twice or outside 1 to 4.
func ParseOrder(s string) (Order, error) {
	parts := fields(s)
	if len(parts) == 1 {
		parts = strings.Split(parts[0], "")
	}
	var o Order
	var times [5]int
	var faults []string
	for i, part := range parts {
		n, err := strconv.Atoi(part)
		if err != nil || n < 1 || n > 4 {
			faults = append(faults, strconv.Quote(part)+" is not an item from 1 to 4")
			continue
		}
		if times[n]++; times[n] == 2 {
			faults = append(faults, "item "+strconv.Itoa(n)+" is named twice")
		}
		if i < len(o) {
			o[i] = uint8(n)
		}
	}
	for item := 1; item <= 4; item++ {
		if times[item] == 0 {
			faults = append(faults, "item "+strconv.Itoa(item)+" is missing")
		}
	}
	if len(faults) > 0 {
		return Order{}, engine.New(CodeOrder, "", strconv.Quote(s)+" is not a placing: "+strings.Join(faults, ", "),
			`name each of the four items once, best first, like "2-1-3-4"`)
	}
	return o, nil
}

// Cuts are the sizes of the three steps of the official order: top (1st/2nd),
// middle (2nd/3rd) and bottom (3rd/4th). A cut of 0 is a tie: the order of
// those two neighbours is free (common practice; no published rule was found).
type Cuts [3]uint8

// ParseCuts reads three whole numbers written like "2-5-3" and refuses what
// Validate refuses.
func ParseCuts(s string) (Cuts, error) {
	parts := fields(s)
	bad := func(fault string) (Cuts, error) {
		return Cuts{}, engine.New(CodeCuts, "", strconv.Quote(s)+" is not three cuts: "+fault,
			`write top, middle and bottom cut like "2-5-3"`)
	}
	if len(parts) != 3 {
		return bad("it holds " + strconv.Itoa(len(parts)) + " numbers")
	}
	var c Cuts
	for i, part := range parts {
		n, err := strconv.ParseUint(part, 10, 8)
		if err != nil {
			return bad(strconv.Quote(part) + " is not a whole number from 0 to 255")
		}
		c[i] = uint8(n)
	}
	return c, c.Validate()
}

// String writes the cuts as "2-5-3".
func (c Cuts) String() string { return joined(c[:]) }

// MarshalText writes the form of String.
func (c Cuts) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText reads what ParseCuts reads.
func (c *Cuts) UnmarshalText(text []byte) error {
	v, err := ParseCuts(string(text))
	if err != nil {
		return err
	}
	*c = v
	return nil
}

// Lowest is what the full reversal of the official order earns: 50 less three
// times the sum of the cuts and the middle cut once more. No order earns less.
func (c Cuts) Lowest() int { return Perfect - 3*c.sum() - int(c[1]) }

func (c Cuts) sum() int { return int(c[0]) + int(c[1]) + int(c[2]) }

// Validate refuses, with CodeNegative, cuts under which some order would score
// below 0. Published (Colorado State fact sheet 1.619; Maryland slides): sum at
// most 15, with 15 the middle cut at most 5, with 14 at most 8. The exact test
// behind these figures is 3 × sum + middle ≤ 50.
func (c Cuts) Validate() error {
	if c.Lowest() >= 0 {
		return nil
	}
	what := "with cuts " + c.String() + " a full reversal loses 3 × " + strconv.Itoa(c.sum()) + " + " + strconv.Itoa(int(c[1])) +
		" = " + strconv.Itoa(Perfect-c.Lowest()) + " points, more than " + strconv.Itoa(Perfect)
	outer := int(c[0]) + int(c[2])
	fix := "top and bottom cut together may be at most 16, these make " + strconv.Itoa(outer)
	if left := Perfect - 3*outer; left >= 0 {
		fix = "with a top cut of " + strconv.Itoa(int(c[0])) + " and a bottom cut of " + strconv.Itoa(int(c[2])) +
			" the middle cut may be at most " + strconv.Itoa(left/4)
	}
	return engine.New(CodeNegative, "", what, fix)
}

// Advice says what is unusual about allowed cuts without refusing them. One
// source has no cut over 8 (University of Nebraska-Lincoln, NebGuide G2092),
// another goes up to 10 for poultry (University of Missouri Extension, poultry
// judging revisions, 2000). A sum of 16 can stay above 0, but the published
// rule has the sum at most 15.
func (c Cuts) Advice() []*engine.Error {
	var advice []*engine.Error
	for i, cut := range c {
		what := "the " + [3]string{"top", "middle", "bottom"}[i] + " cut is " + strconv.Itoa(int(cut))
		switch {
		case cut > 10:
			advice = append(advice, engine.New(CodeLargeCut, "", what+"; no source goes over 10", "use 10 or less"))
		case cut > 8:
			advice = append(advice, engine.New(CodeLargeCut, "", what+"; sources stop at 8 or at 10", "check that your contest allows it"))
		}
	}
	if sum := c.sum(); sum > 15 {
		advice = append(advice, engine.New(CodeLargeSum, "", "the cuts add up to "+strconv.Itoa(sum)+"; the published rule stops at 15",
			"check that your contest allows it"))
	}
	if c == (Cuts{}) {
		advice = append(advice, engine.New(CodeNoCut, "", "all cuts are 0, so that every order earns full points",
			"give at least one pair of neighbours a cut"))
	}
	return advice
}

// PairLoss is one pair of items the contestant has the wrong way round.
type PairLoss struct {
	Better, Worse uint8 // the items as the official order has them
	From, To      int   // their official places, 1 to 4, From < To
	Loss          int   // the cuts lying between them; 0 when they are tied
}

// Trail lists the pairs that given has the wrong way round, in the order of
// their official places, each with what it loses. Both orders must be valid.
func Trail(official Order, cuts Cuts, given Order) []PairLoss {
	var wrong []PairLoss
	for from := 0; from < 3; from++ {
		loss := 0
		for to := from + 1; to < 4; to++ {
			loss += int(cuts[to-1])
			if given.place(official[from]) > given.place(official[to]) {
				wrong = append(wrong, PairLoss{official[from], official[to], from + 1, to + 1, loss})
			}
		}
	}
	return wrong
}

// place counts from 0; an item that is not in o comes after all others.
func (o Order) place(item uint8) int {
	for i, other := range o {
		if item == other {
			return i
		}
	}
	return len(o)
}

// Loss is the sum of Trail.
func Loss(official Order, cuts Cuts, given Order) int {
	loss := 0
	for _, pair := range Trail(official, cuts, given) {
		loss += pair.Loss
	}
	return loss
}

// Score is 50 less the loss: 0 to 50 for cuts that Validate allows.
func Score(official Order, cuts Cuts, given Order) int {
	return Perfect - Loss(official, cuts, given)
}

// Worth turns a score of 0 to 50 into points of a class worth full points:
// score × full / 50, rounded to the nearest hundredth of a point, halves
// upward. With a full worth of a whole or half number nothing is rounded.
func Worth(score int, full points.Points) (points.Points, error) {
	if score < 0 || score > Perfect || full <= 0 {
		return 0, engine.New(CodeWorth, "", "a score of "+strconv.Itoa(score)+" in a class worth "+full.String()+" has no points",
			"use a score from 0 to 50 and a worth above 0")
	}
	return points.Scale(full, points.Of(score), points.Of(Perfect))
}

// fields splits at spaces and at the marks people write between numbers.
func fields(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune(" \t-–,.;/>", r) })
}

func joined(numbers []uint8) string {
	parts := make([]string, len(numbers))
	for i, n := range numbers {
		parts[i] = strconv.Itoa(int(n))
	}
	return strings.Join(parts, "-")
}
