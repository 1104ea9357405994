package contest

import (
	"fmt"

	"keelcard/engine"
	"keelcard/engine/points"
	"keelcard/engine/score"
)

// awarded is the class in which officials give points: oral reasons, or an exam
// that was marked by hand. A card has a slot for each criterion of each
// official, official after official. The mark of a slot is 1 for no points and
// one more for each step; a blank means that nothing was given.
//
// The class points are the mean over the officials who gave anything, rounded
// half up (common practice; no text was read).
type awarded struct{}

// mostSteps is the highest number of steps that one slot can hold.
const mostSteps = score.MaxAnswers - 1

func (awarded) ID() string         { return Awarded }
func (awarded) KeyItems(Class) int { return 0 }
func (awarded) Slots(c Class) int  { return c.OfficialCount() * len(c.GivenFor()) }

func (awarded) Answers(c Class) []string {
	steps := 0
	for _, one := range c.GivenFor() {
		steps = max(steps, c.steps(one.Most))
	}
	out := make([]string, steps+1)
	for i := range out {
		out[i] = c.MarkPoints(byte(i + 1)).String()
	}
	return out
}

// OfficialCount is how many officials give points.
func (c Class) OfficialCount() int { return max(c.Officials, 1) }

// GivenFor lists what an official gives points for. Without criteria that is one
// number up to the worth of the class: 50 as published for oral reasons beside
// a placing of 50 (Maryland Cooperative Extension), or its own worth.
func (c Class) GivenFor() []Criterion {
	if len(c.Criteria) > 0 {
		return c.Criteria
	}
	if c.Worth > 0 {
		return []Criterion{{Most: c.Worth}}
	}
	return []Criterion{{Most: points.Of(50)}}
}

// StepPoints is the smallest amount an official gives.
func (c Class) StepPoints() points.Points {
	if c.Step <= 0 {
		return points.One
	}
	return c.Step
}

// MarkPoints is what a mark of an awarded class says was given, 0 for a blank.
func (c Class) MarkPoints(mark byte) points.Points {
	return points.Points(max(int(mark), 1)-1) * c.StepPoints()
}

// PointsMark is the mark of the points that an official gives in a slot. Code
// contest.given when they are more than may be given, or between two steps.
func (c Class) PointsMark(slot int, p points.Points) (byte, error) {
	given := c.GivenFor()
	most, step := given[slot%len(given)].Most, c.StepPoints()
	switch {
	case p < 0 || p > most:
		return 0, engine.New("contest.given", c.Name, fmt.Sprintf("%s points cannot be given", p), fmt.Sprintf("give 0 to %s", most))
	case p%step != 0 || c.steps(p) != int(p/step):
		return 0, engine.New("contest.given", c.Name, fmt.Sprintf("%s lies between two steps", p), fmt.Sprintf("give %s or %s", p/step*step, p/step*step+step))
	}
	return byte(p/step) + 1, nil
}

func (c Class) steps(p points.Points) int {
	return int(min(max(p, 0)/c.StepPoints(), mostSteps))
}

// mostMarks is the highest mark of each slot.
func (c Class) mostMarks() []byte {
	given := c.GivenFor()
	out := make([]byte, c.Slots())
	for i := range out {
		out[i] = byte(c.steps(given[i%len(given)].Most)) + 1
	}
	return out
}

// rounding is what the mean is rounded to.
func (c Class) rounding() (points.Points, bool) {
	switch c.Round {
	case "":
		return 1, true
	case RoundHalf:
		return points.One / 2, true
	case RoundWhole:
		return points.One, true
	}
	return 0, false
}

// Check finds what keeps points from being given. Codes: contest.criteria,
// contest.step, contest.round and those of checkScoring.
func (awarded) Check(c Class) error {
	f := c.checkScoring()
	sum := points.Points(0)
	for _, one := range c.GivenFor() {
		if one.Most <= 0 || one.Most > MaxWorth {
			return append(f, engine.New("contest.criteria", "criteria", fmt.Sprintf("%s cannot be the most points for %q", one.Most, one.Name), fmt.Sprintf("use up to %s", MaxWorth)))
		}
		sum += one.Most
		f = append(f, c.checkStep(one)...)
	}
	round, known := c.rounding()
	switch {
	case sum > MaxWorth:
		f = append(f, engine.New("contest.worth", "criteria", fmt.Sprintf("together they are worth %s", sum), fmt.Sprintf("use up to %s points", MaxWorth)))
	case c.Worth != 0 && c.Worth != sum:
		f = append(f, engine.New("contest.worth", "worth", fmt.Sprintf("the criteria add up to %s, the class is worth %s", sum, c.Worth), fmt.Sprintf("make it worth %s, or change the criteria", sum)))
	case !known:
		f = append(f, engine.New("contest.round", "rounding", fmt.Sprintf("%q is no way to round the mean", c.Round), "choose one of those offered"))
	case sum%round != 0:
		f = append(f, engine.New("contest.round", "rounding", fmt.Sprintf("full points of %s are lost when the mean is rounded to %s", sum, round), "round it more finely"))
	}
	return f.Err()
}

// checkStep wants the points of a criterion to be some steps, and as few as a
// card can hold. Code contest.step.
func (c Class) checkStep(one Criterion) engine.Faults {
	step := c.StepPoints()
	switch {
	case c.Step < 0:
		return engine.Faults{engine.New("contest.step", "step", fmt.Sprintf("points cannot be given in steps of %s", c.Step), "use 1, or 0.5")}
	case one.Most%step != 0:
		return engine.Faults{engine.New("contest.step", "step", fmt.Sprintf("%s points cannot be reached in steps of %s", one.Most, step), "use a step that divides them")}
	case one.Most/step > mostSteps:
		return engine.Faults{engine.New("contest.step", "step", fmt.Sprintf("%s points in steps of %s are %d steps", one.Most, step, one.Most/step), fmt.Sprintf("use larger steps, at most %d of them, or several criteria", mostSteps))}
	}
	return nil
}

// CheckKey refuses every key: points are given, not compared.
func (awarded) CheckKey(c Class, _ KeyItem) error {
	return engine.New("contest.key", c.Name, "officials give the points of this class, so it has no key", "leave it out")
}

func (a awarded) Table(c Class, _ Key) (score.Table, error) {
	if err := a.Check(c); err != nil {
		return score.Table{}, err
	}
	most := c.mostMarks()
	t := score.Table{Answers: len(a.Answers(c)), Keys: make([]score.Key, len(most)), Slots: make([][256]points.Points, len(most))}
	for s := range t.Slots {
		for mark := byte(1); mark <= most[s]; mark++ {
			t.Slots[s][mark] = c.MarkPoints(mark)
		}
	}
	for _, one := range c.GivenFor() {
		t.Max += one.Most
	}
	round, _ := c.rounding()
	if c.OfficialCount() > 1 || c.StepPoints()%round != 0 {
		t.Groups, t.Join, t.Round = c.OfficialCount(), score.Mean, round
	}
	return t, nil
}
