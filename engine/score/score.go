// Package score turns cards into class points, totals, ranks and team places.
//
// Every class is compiled to a table that says what each mark byte earns in
// each slot. Compute looks the cards up, sums, sorts, and counts the marks of
// each item in the same pass. Why a number came out as it did is told by the
// trails, which are made from the same tables when somebody asks.
package score

import (
	"fmt"
	"math"

	"keelcard/engine"
	"keelcard/engine/points"
)

// Limits of one contest. They are checked before anything is summed and prove
// that the 32-bit sums inside Compute cannot overflow: a person's total is at
// most MaxPoints (100,000,000 hundredths), a team's at most MaxTeamBest times
// that (2,000,000,000, below the 2,147,483,647 a 32-bit number holds), and a
// tie-break sums classes that are already in the total, each once.
const (
	MaxPoints   points.Points = 1_000_000 * points.One // all classes of one person
	MaxPersons                = 1_000_000
	MaxClasses                = 250
	MaxSlots                  = 250
	MaxTeamBest               = 20
	MaxTies                   = 100
)

// Sheet is a contest in dense arrays: persons, teams, divisions and classes
// are counted from 0.
type Sheet struct {
	Persons  int
	Classes  []ClassSheet
	Unranked []bool // disqualified or withdrawn persons: no rank, no part in a team; nil: nobody

	// Penalty is, by person, what is taken off the total, such as for coming late;
	// a total does not go below 0. Points of classes stay as they are. nil: nobody
	// has one.
	Penalty []points.Points

	Divisions int     // number of divisions
	Division  []int32 // by person, -1 for none; nil: nobody has one

	Teams    int     // number of teams
	Team     []int32 // by person, -1 for none; nil: nobody has one
	TeamBest int     // how many members count for their team, 3 as published; needed with teams

	// Alternate is, by person, who was named before the start as the alternate of
	// their team: ranked like everyone, but never among those who count (common
	// practice). nil: nobody.
	Alternate []bool

	Ties []Tie // what parts equal totals, in this order
}

// ClassSheet is one class: its table and all its cards.
type ClassSheet struct {
	Table Table
	Marks []byte // person after person, one byte a slot
	Has   []bool // by person: has a card; nil: all have. Marks of the others are not read.
	Void  []bool // by person: disqualified here, which earns 0 and is not a missing card; such a person has no card. nil: nobody
}

// Tie is one tie-break: the higher sum of the named classes wins; or, for
// teams only, the higher total of the alternate: the best member who was named
// as one, else the best who does not count. The order is set by the
// superintendent before the start. Published example (University of Tennessee
// Extension): reasons, then the named classes, then for teams the alternate.
//
// A team's sum is taken over the members who count. The alternate parts a
// group of equal teams only if each of them has one; otherwise it is passed
// over for that group.
type Tie struct {
	Classes   []int // class numbers, each once
	Alternate bool
}

// What parted two neighbours in a ranking, if not tie-break 1, 2, ...
const (
	ByTotal = 0  // their totals differ
	Shared  = -1 // nothing parted them: they share the place
)

// Result is a scored contest. Ranks count 1, 1, 3; 0 means unranked. Slices
// are by person or team number unless said otherwise and must not be changed.
type Result struct {
	Order        []int32  // ranked persons, best first; persons who share a place by number
	Parted       []int16  // beside Order: what parted this person from the one before
	Rank         []int32  // overall
	DivisionRank []int32  // within the division; 0 without one
	Missing      []uint16 // number of classes in which the person has no card (they earn 0 there), disqualification aside

	Teams      []Team
	TeamOrder  []int32 // ranked teams, best first
	TeamParted []int16 // beside TeamOrder

	Items [][]Item // by class and slot

	sheet    Sheet
	unit     points.Points // the largest that divides whatever a mark can earn: it keeps the keys of sorting short
	class    [][]int32     // units by class and person
	total    []int32
	keys     [][]int32 // what persons are sorted by: total, then each tie-break (nil if for teams only)
	teamKeys [][]int32 // the same for teams
}

// Team is the result of one team.
type Team struct {
	Total        points.Points // 0 for a team without a rank
	Rank         int32         // 0 with fewer than TeamBest ranked members: they compete as individuals only
	DivisionRank int32         // among the teams of its division
	Division     int32         // the division all ranked members share, named alternates aside, -1 if there is none
	Counting     []int32       // the best TeamBest ranked members, best first; all but named alternates in a team without a rank
	Dropped      []int32       // the other ranked members: those named as alternates, best first, then the rest, best first; Dropped[0] is the alternate
}

// Item is what the cards say about one slot.
type Item struct {
	Cards int         // cards in the class
	Right int         // cards that earn the slot's full points; all of them when it is thrown out
	Marks [256]uint32 // cards by mark byte
	NoKey bool        // points are given here, nothing is right or wrong; Right is 0
}

// RightShare is the share of cards that earn full points, 0 to 1; 0 without
// cards or without a key.
func (i Item) RightShare() float64 {
	if i.Cards == 0 {
		return 0
	}
	return float64(i.Right) / float64(i.Cards)
}

// ClassPoints is what a person earns in a class.
func (r *Result) ClassPoints(class, person int) points.Points {
	return r.points(r.class[class][person])
}

// Total is a person's points over all classes, less the penalty.
func (r *Result) Total(person int) points.Points { return r.points(r.total[person]) }

func (r *Result) points(units int32) points.Points { return points.Points(units) * r.unit }

// Compute scores a contest. It fails only if the sheet's parts do not fit each
// other, a limit is passed or a card holds a byte that is no mark. The result
// keeps the sheet for its trails: do not change it afterwards.
func Compute(s Sheet) (*Result, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	r := &Result{
		sheet:   s,
		unit:    s.unit(),
		class:   make([][]int32, len(s.Classes)),
		total:   make([]int32, s.Persons),
		Missing: make([]uint16, s.Persons),
		Items:   make([][]Item, len(s.Classes)),
	}
	column := make([]int32, s.Persons*len(s.Classes))
	var work tally
	for c := range s.Classes {
		r.class[c] = column[c*s.Persons : (c+1)*s.Persons]
		if err := r.scoreClass(c, &work); err != nil {
			return nil, err
		}
	}
	r.takePenalties()
	r.rankPersons()
	r.rankTeams()
	return r, nil
}

// takePenalties takes what is due off the totals, down to 0.
func (r *Result) takePenalties() {
	for p, penalty := range r.sheet.Penalty {
		r.total[p] -= min(r.total[p], int32(penalty/r.unit))
	}
}

// check reports every reason why the sheet cannot be scored.
func (s *Sheet) check() error {
	var faults engine.Faults
	add := func(code engine.Code, where, what, fix string) {
		faults = append(faults, engine.New(code, where, what, fix))
	}
	within := func(where string, n, most int) bool {
		if n < 0 || n > most {
			add(CodeLarge, where, fmt.Sprintf("%d of them", n), fmt.Sprintf("use 0 to %d", most))
		}
		return n >= 0 && n <= most
	}
	if !within("persons", s.Persons, MaxPersons) {
		return faults.Err()
	}
	within("classes", len(s.Classes), MaxClasses)
	within("divisions", s.Divisions, MaxPersons)
	within("teams", s.Teams, MaxPersons)
	within("ties", len(s.Ties), MaxTies)
	most := points.Points(0)
	for c := range s.Classes {
		faults = append(faults, s.Classes[c].check(c, s.Persons, &most)...)
	}
	if most > MaxPoints {
		add(CodeLarge, "classes", fmt.Sprintf("together they are worth %v points", most), fmt.Sprintf("use at most %v", MaxPoints))
	}
	faults = append(faults, groups("division", s.Division, s.Persons, s.Divisions)...)
	faults = append(faults, groups("team", s.Team, s.Persons, s.Teams)...)
	perPerson := func(where string, given bool, n int) {
		if given && n != s.Persons {
			add(CodeSheet, where, fmt.Sprintf("%d entries for %d persons", n, s.Persons), "give one for each person or none at all")
		}
	}
	perPerson("unranked", s.Unranked != nil, len(s.Unranked))
	perPerson("alternate", s.Alternate != nil, len(s.Alternate))
	perPerson("penalty", s.Penalty != nil, len(s.Penalty))
	for p, penalty := range s.Penalty {
		if penalty < 0 || penalty > MaxPoints {
			add(CodeSheet, "penalty", fmt.Sprintf("person %d loses %v points", p, penalty), fmt.Sprintf("use 0 to %v", MaxPoints))
			break
		}
	}
	if s.Teams > 0 && (s.TeamBest < 1 || s.TeamBest > MaxTeamBest) {
		add(CodeSheet, "team best", fmt.Sprintf("%d members count for a team", s.TeamBest), fmt.Sprintf("use 1 to %d", MaxTeamBest))
	}
	faults = append(faults, s.checkTies()...)
	return faults.Err()
}

// check adds the most the class can earn to most.
func (class *ClassSheet) check(c, persons int, most *points.Points) engine.Faults {
	var faults engine.Faults
	add := func(code engine.Code, what, fix string) {
		faults = append(faults, engine.New(code, fmt.Sprintf("class %d", c), what, fix))
	}
	t := &class.Table
	if len(t.Slots) > MaxSlots {
		add(CodeLarge, fmt.Sprintf("%d slots", len(t.Slots)), fmt.Sprintf("use at most %d", MaxSlots))
		return faults
	}
	if len(t.Keys) != len(t.Slots) || t.Answers < 0 || t.Answers > MaxAnswers {
		add(CodeTable, fmt.Sprintf("a table of %d slots, %d keys and %d answers", len(t.Slots), len(t.Keys), t.Answers), "make it with Compile or Table")
	}
	if what := t.checkJoin(); what != "" {
		add(CodeTable, what, "make it of groups of equal length")
		return faults
	}
	before := *most
	for s := range t.Slots {
		full := points.Points(0)
		for mark, p := range &t.Slots[s] {
			if p < 0 || p > MaxPoints {
				add(CodeTable, fmt.Sprintf("mark %#x earns %v in slot %d", mark, p, s), fmt.Sprintf("use 0 to %v", MaxPoints))
				return faults
			}
			full = max(full, p)
		}
		sum, err := points.Add(*most, full)
		if err != nil {
			sum = math.MaxInt64
		}
		*most = sum
	}
	if t.Join == Mean && *most <= MaxPoints {
		*most = before + t.mostMean()
	}
	if want := persons * len(t.Slots); len(class.Marks) != want {
		add(CodeSheet, fmt.Sprintf("%d marks for %d persons and %d slots", len(class.Marks), persons, len(t.Slots)), fmt.Sprintf("give %d", want))
	}
	if class.Has != nil && len(class.Has) != persons {
		add(CodeSheet, fmt.Sprintf("%d entries of who has a card for %d persons", len(class.Has), persons), "give one for each person or none at all")
	}
	if class.Void != nil && (len(class.Void) != persons || len(class.Has) != persons) {
		add(CodeSheet, fmt.Sprintf("%d entries of who is disqualified for %d persons", len(class.Void), persons), "give one for each person, and who has a card, or none at all")
		return faults
	}
	for p, void := range class.Void {
		if void && class.Has[p] {
			add(CodeSheet, fmt.Sprintf("person %d is disqualified and has a card", p), "leave the card out")
			break
		}
	}
	return faults
}

// groups checks that each person's team or division exists.
func groups(what string, of []int32, persons, n int) engine.Faults {
	if of == nil {
		return nil
	}
	if len(of) != persons {
		return engine.Faults{engine.New(CodeSheet, what, fmt.Sprintf("%d entries for %d persons", len(of), persons), "give one for each person or none at all")}
	}
	for p, g := range of {
		if g < -1 || int(g) >= n {
			return engine.Faults{engine.New(CodeSheet, what, fmt.Sprintf("person %d has %s %d of %d", p, what, g, n), "count from 0, use -1 for none")}
		}
	}
	return nil
}

func (s *Sheet) checkTies() engine.Faults {
	var faults engine.Faults
	alternates := 0
	for i, tie := range s.Ties {
		add := func(what, fix string) {
			faults = append(faults, engine.New(CodeSheet, fmt.Sprintf("tie-break %d", i+1), what, fix))
		}
		if tie.Alternate {
			alternates++
		}
		if tie.Alternate == (len(tie.Classes) > 0) {
			add("it must name either classes or the alternate", "give it one of the two")
		}
		if tie.Alternate && alternates == 2 {
			add("the alternate is named a second time", "name it once")
		}
		seen := make(map[int]bool)
		for _, c := range tie.Classes {
			if c < 0 || c >= len(s.Classes) {
				add(fmt.Sprintf("there is no class %d", c), "name a class of this contest")
			} else if seen[c] {
				add(fmt.Sprintf("class %d is named twice", c), "name it once")
			}
			seen[c] = true
		}
	}
	return faults
}
