package score

import (
	"fmt"
	"strconv"
	"strings"

	"keelcard/engine/points"
)

// Join says how the points of a class come from its slots.
type Join string

// The joins.
const (
	// Sum adds up the slots.
	Sum Join = ""
	// Mean adds up each group of slots, one an official, and takes the mean of
	// the groups in which anything is marked, rounded half up to Table.Round
	// (common practice). Without any it is 0.
	Mean Join = "mean"
	// Whole counts a group of slots, one an item, only if each of them earns its
	// full points (common practice).
	Whole Join = "whole"
)

// GroupTrail explains one group of slots.
type GroupTrail struct {
	Marked bool          // anything is marked in it
	Sum    points.Points // of its slots
	Full   bool          // each slot earns its full points
}

// none tells whether nothing is right or wrong in the slot.
func (k Key) none() bool { return len(k.Answers) == 0 && !k.Out }

// checkJoin says what is wrong with the groups of the table, "" for nothing.
func (t *Table) checkJoin() string {
	switch {
	case t.Join != Sum && t.Join != Mean && t.Join != Whole:
		return fmt.Sprintf("%q is no way to join slots", t.Join)
	case t.Join != Sum && (t.Groups < 1 || len(t.Slots)%t.Groups != 0):
		return fmt.Sprintf("%d slots in %d groups", len(t.Slots), t.Groups)
	case t.Join == Mean && (t.Round < 1 || t.Round > MaxPoints):
		return fmt.Sprintf("a mean rounded to %v", t.Round)
	}
	return ""
}

// fulls is the most that each slot can earn.
func (t *Table) fulls() []points.Points {
	out := make([]points.Points, len(t.Slots))
	for s := range out {
		out[s] = t.Full(s)
	}
	return out
}

// mostMean is the most that a mean can come to.
func (t *Table) mostMean() points.Points {
	each, fulls := len(t.Slots)/t.Groups, t.fulls()
	most := points.Points(0)
	for s := 0; s < len(fulls); s += each {
		sum := points.Points(0)
		for _, full := range fulls[s : s+each] {
			sum += full
		}
		most = max(most, sum)
	}
	return halfUp(most, 1, t.Round)
}

// join replaces the sums of the cards by what their groups come to.
func (class *ClassSheet) join(sums []int32, unit points.Points) {
	t := &class.Table
	groups, fulls := make([]GroupTrail, t.Groups), t.fulls()
	slots := len(fulls)
	for from, to := range class.stretches(len(sums)) {
		for p := from; p < to; p++ {
			t.addUp(groups, fulls, class.Marks[p*slots:(p+1)*slots])
			sums[p] = int32(t.joined(groups) / unit)
		}
	}
}

// groups adds up each group of slots of a card.
func (t *Table) groups(marks []byte) []GroupTrail {
	groups := make([]GroupTrail, t.Groups)
	t.addUp(groups, t.fulls(), marks)
	return groups
}

func (t *Table) addUp(groups []GroupTrail, fulls []points.Points, marks []byte) {
	each := len(fulls) / len(groups)
	for i := range groups {
		g := GroupTrail{Full: true}
		for s := i * each; s < (i+1)*each; s++ {
			earned := t.Slots[s][marks[s]]
			g.Sum += earned
			g.Marked = g.Marked || marks[s] != Blank
			g.Full = g.Full && earned == fulls[s]
		}
		groups[i] = g
	}
}

// joined is what the groups of a card come to.
func (t *Table) joined(groups []GroupTrail) points.Points {
	sum, marked := points.Points(0), points.Points(0)
	for _, g := range groups {
		if t.Join == Whole && !g.Full || t.Join == Mean && !g.Marked {
			continue
		}
		sum += g.Sum
		marked++
	}
	if t.Join == Mean {
		return halfUp(sum, max(marked, 1), t.Round)
	}
	return sum
}

// halfUp is sum / n rounded to a multiple of round, halves upward.
func halfUp(sum, n, round points.Points) points.Points {
	return (2*sum + n*round) / (2 * n * round) * round
}

// Text writes how the groups of the class make its points: "(41 + 38) / 2 = 39.5"
// for a mean, "10 + 0 + 10 = 20" where only whole groups count, and "" for a sum
// of slots and where nothing was given.
func (t *ClassTrail) Text() string {
	var sums []string
	for _, g := range t.Groups {
		switch {
		case t.Join == Whole && !g.Full:
			sums = append(sums, "0")
		case t.Join == Whole || g.Marked:
			sums = append(sums, g.Sum.String())
		}
	}
	if len(sums) == 0 {
		return ""
	}
	text := strings.Join(sums, " + ")
	if t.Join == Mean {
		text = "(" + text + ") / " + strconv.Itoa(len(sums))
	}
	return text + " = " + t.Total.String()
}
