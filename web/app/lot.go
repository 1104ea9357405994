package app

import (
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/egg"
	"keelcard/engine/tree"
	"keelcard/web/words"
)

// Lots is what was typed about weights and lots of eggs, outside any contest.
// It is kept on the phone with every change.
type Lots struct {
	Weight      string            // as it was typed
	Ounces      bool              // the unit of a weight that was typed without one; else grams
	Dozen       bool              // whether it is the weight of a dozen
	Cases       string            // of the lot
	Destination bool              // where the lot is graded; else at its origin
	Jumbo       bool              // the lot is of Jumbo eggs
	Counts      map[string]string // eggs of the sample, by quality
	Light       string            // light eggs of the cases weighed, one case a line

	cleared []byte // what was there before all was cleared
	known   bool   // what the phone kept is here
}

// Qualities are those by which the eggs of a sample are counted, in order.
var Qualities = []string{"aa", "a", "b", "worst-b", "checks", "dirties", "leakers", "loss"}

// Fields names the fields as they are stored.
func (l *Lots) Fields(f *tree.Fields) {
	f.Text("weight", &l.Weight, tree.IfSet)
	f.Bool("ounces", &l.Ounces, tree.IfSet)
	f.Bool("dozen", &l.Dozen, tree.IfSet)
	f.Text("cases", &l.Cases, tree.IfSet)
	f.Bool("destination", &l.Destination, tree.IfSet)
	f.Bool("jumbo", &l.Jumbo, tree.IfSet)
	f.Pairs("counts", &l.Counts, tree.IfSet)
	f.Text("light", &l.Light, tree.IfSet)
}

func lotHandlers() handlers {
	yes := func(m Msg) bool { return m.Arg(0) == "yes" }
	return handlers{
		"enter.lots":       lotsEnter,
		"loaded.lots":      lotsLoaded,
		"lots.weight":      lotsChange(func(l *Lots, m Msg) { l.Weight = m.Text }),
		"lots.ounces":      lotsChange(func(l *Lots, m Msg) { l.Ounces = yes(m) }),
		"lots.dozen":       lotsChange(func(l *Lots, m Msg) { l.Dozen = yes(m) }),
		"lots.cases":       lotsChange(func(l *Lots, m Msg) { l.Cases = m.Text }),
		"lots.destination": lotsChange(func(l *Lots, m Msg) { l.Destination = yes(m) }),
		"lots.jumbo":       lotsChange(func(l *Lots, m Msg) { l.Jumbo = !l.Jumbo }),
		"lots.light":       lotsChange(func(l *Lots, m Msg) { l.Light = m.Text }),
		"lots.count":       lotsChange(lotsCount),
		"lots.clear":       lotsClear,
		"lots.restore":     lotsRestore,
	}
}

const lotsKey = "lots"

// lotsEnter asks once for what the phone kept.
func lotsEnter(s *State, m Msg) []Effect {
	if s.Lots.known {
		return nil
	}
	return []Effect{Load{Tag: "lots/", Bucket: BucketMeta, Prefix: lotsKey}}
}

// lotsLoaded takes in what the phone kept, unless something was typed meanwhile.
func lotsLoaded(s *State, m Msg) []Effect {
	for _, e := range m.Found {
		if e.Key == lotsKey && !s.Lots.known {
			s.Lots = readLots(e.Value)
		}
	}
	s.Lots.known = true
	return nil
}

// readLots reads what was kept. What cannot be read is as if there were none.
func readLots(data []byte) Lots {
	var l Lots
	if tree.Read(data, &l) != nil {
		l = Lots{}
	}
	return l
}

// longestTyped is the longest text that is kept of a field, in bytes.
const longestTyped = 4000

func lotsChange(change func(*Lots, Msg)) handler {
	return func(s *State, m Msg) []Effect {
		m.Text = strings.TrimSpace(strings.ToValidUTF8(m.Text[:min(len(m.Text), longestTyped)], ""))
		change(&s.Lots, m)
		s.Lots.cleared = nil
		return s.keepLots()
	}
}

func (s *State) keepLots() []Effect {
	s.Lots.known = true
	return []Effect{s.save(Op{BucketMeta, lotsKey, tree.Write(&s.Lots)})}
}

func lotsCount(l *Lots, m Msg) {
	if !slices.Contains(Qualities, m.Arg(0)) {
		return
	}
	l.Counts = maps.Clone(l.Counts)
	if l.Counts == nil {
		l.Counts = map[string]string{}
	}
	l.Counts[m.Arg(0)] = m.Text
	if m.Text == "" {
		delete(l.Counts, m.Arg(0))
	}
}

// lotsClear begins anew. What was there can be put back until something is
// typed.
func lotsClear(s *State, m Msg) []Effect {
	s.Lots = Lots{Ounces: s.Lots.Ounces, Dozen: s.Lots.Dozen, cleared: tree.Write(&s.Lots)}
	return s.keepLots()
}

func lotsRestore(s *State, m Msg) []Effect {
	if s.Lots.cleared == nil {
		return nil
	}
	s.Lots = readLots(s.Lots.cleared)
	return s.keepLots()
}

// Cleared tells whether there is something to put back.
func (l Lots) Cleared() bool { return l.cleared != nil }

// Empty tells whether nothing is typed.
func (l Lots) Empty() bool {
	return l.Weight == "" && l.Cases == "" && l.Light == "" && len(l.Counts) == 0
}

// Heavy reads the weight that was typed, 0 for none.
func (l Lots) Heavy() (amount.Weight, error) {
	text := l.Weight
	if text == "" {
		return 0, nil
	}
	if strings.TrimLeft(text, "0123456789./,½¼¾ ") == "" {
		unit := " g"
		if l.Ounces {
			unit = " oz"
		}
		text += unit
	}
	w, err := amount.ParseWeight(text)
	if err == nil && w == 0 {
		err = engine.New("app.lots-weight", "", words.T("lots.no-weight"), words.T("lots.no-weight-fix"))
	}
	return w, err
}

// WeightClass is where the weight that was typed stands among the classes.
type WeightClass struct {
	Class  egg.WeightClass
	OK     bool            // whether there is a class
	Spare  amount.Weight   // above the least of the class
	Next   egg.WeightClass // the next heavier one
	More   bool            // whether there is a heavier one
	Lacks  amount.Weight   // to the least of that one
	Weight amount.Weight
}

// Least is the least weight of an egg or a dozen of a class.
func (l Lots) Least(c egg.WeightClass) amount.Weight {
	if l.Dozen {
		return c.Dozen
	}
	return c.SingleEgg()
}

// Weighed finds the weight class of what was typed, and how near the next ones
// are. It is not there when no weight was typed or it cannot be read.
func (l Lots) Weighed() (WeightClass, bool) {
	w, err := l.Heavy()
	if err != nil || w == 0 {
		return WeightClass{}, false
	}
	out := WeightClass{Weight: w}
	if l.Dozen {
		out.Class, out.OK = egg.ClassOfLot(w, 12)
	} else {
		out.Class, out.OK = egg.ClassOfSingle(w)
	}
	if out.OK {
		out.Spare = w - l.Least(out.Class)
	}
	for _, c := range egg.WeightClasses() {
		if least := l.Least(c); least > w {
			out.Next, out.More, out.Lacks = c, true, least-w
		}
	}
	return out, true
}

// Number reads a count that was typed, 0 for none.
func (l Lots) Number(text string) (int, error) {
	if text == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 || n > amount.MaxCount {
		return 0, engine.New("app.lots-count", "", words.T("lots.no-count", clip(text)), words.T("lots.no-count-fix"))
	}
	return n, nil
}

// Sample is the sample as it was counted. It fails where a count cannot be read.
func (l Lots) Sample() (egg.Sample, error) {
	n := map[string]int{}
	for _, q := range Qualities {
		var err error
		if n[q], err = l.Number(l.Counts[q]); err != nil {
			return egg.Sample{}, err
		}
	}
	return egg.Sample{AA: n["aa"], A: n["a"], B: n["b"], WorstB: n["worst-b"], Checks: n["checks"],
		Dirties: n["dirties"], Leakers: n["leakers"], Loss: n["loss"], Jumbo: l.Jumbo}, nil
}

// At is where the lot is graded.
func (l Lots) At() string {
	if l.Destination {
		return egg.Destination
	}
	return egg.Origin
}

// Weighings reads the cases that were weighed egg by egg: in each line the light
// eggs and all eggs of a case, "3 of 100".
func (l Lots) Weighings() (cases []egg.Case, err error) {
	for line := range strings.Lines(l.Light) {
		numbers := strings.FieldsFunc(line, func(r rune) bool { return !unicode.IsDigit(r) })
		if len(numbers) == 0 && strings.TrimSpace(line) == "" {
			continue
		}
		fault := engine.New("app.lots-light", "", words.T("lots.no-light", clip(strings.TrimSpace(line))), words.T("lots.no-light-fix"))
		if len(numbers) != 2 {
			return nil, fault
		}
		light, err := l.Number(numbers[0])
		eggs, err2 := l.Number(numbers[1])
		if err != nil || err2 != nil || light > eggs || eggs == 0 {
			return nil, fault
		}
		cases = append(cases, egg.Case{Eggs: eggs, Light: light})
	}
	return cases, nil
}
