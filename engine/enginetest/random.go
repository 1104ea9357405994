package enginetest

import (
	"fmt"
	"slices"

	"keelcard/engine/amount"
	"keelcard/engine/contest"
	"keelcard/engine/placing"
	"keelcard/engine/points"
	"keelcard/engine/record"
	"keelcard/engine/score"
)

// Pick chooses one of n things: 0 to n-1.
type Pick func(n int) int

// Seeded picks by the splitmix64 sequence from a seed.
func Seeded(seed uint64) Pick {
	return func(n int) int {
		seed += 0x9e3779b97f4a7c15
		z := seed
		z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
		z = (z ^ z>>27) * 0x94d049bb133111eb
		return int((z ^ z>>31) % uint64(n))
	}
}

// one is true once in n times.
func (pick Pick) one(n int) bool { return pick(n) == 0 }

// Contest is a contest as records, and what it has to be read as.
type Contest struct {
	Set      record.Set
	Settings contest.Settings
	Classes  []contest.Class
	Keys     [][]contest.KeyItem // by class; nil where the key is not whole
	Persons  []contest.Person
	Teams    []contest.Team
	Cards    [][][]byte // by class and person; nil where no card is settled
	Unsure   [][]bool   // by class and person: the card is in question
}

// maker writes a Contest.
type maker struct {
	Contest
	*Writer
	pick   Pick
	owner  int
	keyers []int
}

// Random makes a contest of so many contestants and classes as a day might
// leave it: written by an owner's phone and two to four others, with cards
// keyed once, twice, differently, corrected, withdrawn and not at all, keys
// corrected and missing, contestants taken out again, and records of kinds that
// only a later version knows.
func Random(pick Pick, persons, classes int) (Contest, error) {
	m := &maker{Writer: NewWriter(record.ContestID{'R', 'a', 'n', 'd', 'o', 'm'}), pick: pick}
	m.owner = m.Phone("owner/RN")
	for i := range 2 + pick(3) {
		m.keyers = append(m.keyers, m.Phone(fmt.Sprintf("keyer/K%d", i)))
	}
	m.teams(persons/5 + 1)
	m.persons(persons)
	for i := range classes {
		m.class(uint32(i + 1))
		m.key(i)
		m.later()
	}
	m.settings()
	for i := range m.Classes {
		m.cards(i)
		m.later()
	}
	var err error
	m.Contest.Set, err = m.Writer.Set()
	return m.Contest, err
}

// later writes a record of a kind this version does not know.
func (m *maker) later() {
	m.Put(m.owner, record.Record{
		Subject: record.Subject{Kind: record.Kind(20 + m.pick(200)), A: uint32(m.pick(5)), B: uint32(m.pick(5))},
		Value:   fmt.Sprint("a later version wrote this ", m.pick(1000)),
		Flags:   record.Flags(m.pick(1 << 8)),
	})
}

func (m *maker) teams(n int) {
	for i := range n {
		t := contest.Team{No: uint32(i*3 + 1), Name: fmt.Sprint("Team ", i)}
		value, err := t.Write()
		m.Write(m.owner, record.Subject{Kind: record.KindTeam, A: t.No}, value, err)
		m.Teams = append(m.Teams, t)
	}
}

// persons writes contestants in any order, some of them wrong first and some
// taken out again.
func (m *maker) persons(n int) {
	number := uint32(100)
	for range n {
		number += uint32(1 + m.pick(3))
		p := contest.Person{Number: number, Name: fmt.Sprint("Contestant ", number), Division: []string{"", "Junior", "Senior", "Guest"}[m.pick(4)]}
		if !m.pick.one(6) {
			p.Team = m.Teams[m.pick(len(m.Teams))].No
		}
		if m.pick.one(20) {
			p.Out = "did not come"
		}
		m.Persons = append(m.Persons, p)
	}
	shuffled := slices.Clone(m.Persons)
	for i := range shuffled {
		j := i + m.pick(len(shuffled)-i)
		shuffled[i], shuffled[j] = shuffled[j], shuffled[i]
	}
	for _, p := range shuffled {
		m.person(p)
	}
	for i := range n / 10 {
		sub := record.Subject{Kind: record.KindPerson, A: uint32(10 + i)}
		value, err := contest.Person{Number: sub.A, Name: "Gone"}.Write()
		was := m.Write(m.owner, sub, value, err)
		m.Write(m.owner, sub, "", nil, was)
	}
}

func (m *maker) person(p contest.Person) {
	sub := record.Subject{Kind: record.KindPerson, A: p.Number}
	var was []record.Ref
	if m.pick.one(5) {
		wrong := p
		wrong.Name, wrong.Out = "Wrong", "by mistake"
		value, err := wrong.Write()
		was = append(was, m.Write(m.keyers[0], sub, value, err))
	}
	value, err := p.Write()
	m.Write(m.owner, sub, value, err, was...)
}

func (m *maker) class(no uint32) {
	c := contest.Class{No: no, Name: fmt.Sprint("Class ", no)}
	if m.pick.one(2) {
		c.Double = contest.DoubleLower
	}
	switch m.pick(9) {
	case 0, 1:
		c.Kind, c.Items = contest.Placing, 4
		c.Worth = []points.Points{0, points.Of(100), points.Of(33)}[m.pick(3)]
	case 2:
		m.identified(&c)
	case 3:
		m.checked(&c)
	case 4:
		m.awarded(&c)
	default:
		c.Kind, c.Items, c.Book, c.Bird, c.Weight = contest.Graded, 1+m.pick(12), "carcass-youth", "chicken", 4*amount.Pound
		c.Worth = points.Points(c.Items) * []points.Points{0, points.Of(10), 250, 333}[m.pick(4)]
		if m.pick.one(3) {
			c.Choices = map[string]string{"answers": "three"}
		}
	}
	value, err := c.Write()
	m.Write(m.owner, record.Subject{Kind: record.KindClass, A: no}, value, err)
	m.Classes = append(m.Classes, c)
}

func (m *maker) identified(c *contest.Class) {
	c.Kind, c.Items = contest.Identified, 1+m.pick(12)
	c.Worth = points.Points(c.Items) * []points.Points{0, points.Of(4), 333}[m.pick(3)]
	if lists := contest.Lists(); m.pick.one(2) {
		c.List = lists[m.pick(len(lists))].ID
	} else {
		c.Names = []string{"Comb", "Wattle", "Ear lobe", "Spur", "Hackle"}[:3+m.pick(3)]
	}
}

func (m *maker) checked(c *contest.Class) {
	c.Kind, c.Items = contest.Checked, 1+m.pick(12)
	if m.pick.one(2) {
		c.Book = "breaded"
	} else {
		c.Names = []string{"void", "shape", "cluster", "torn crust", "foreign", "colour"}[:1+m.pick(6)]
	}
	faults, err := c.Faults()
	if m.keep(err); m.pick.one(3) {
		c.Whole, c.Worth = true, points.Points(c.Items)*[]points.Points{0, 700, 333}[m.pick(3)]
	} else {
		c.Worth = points.Points(c.Items*len(faults)) * []points.Points{200, 33}[m.pick(2)]
	}
}

func (m *maker) awarded(c *contest.Class) {
	c.Kind, c.Officials, c.Step = contest.Awarded, m.pick(4), []points.Points{0, 50, 25, 300}[m.pick(4)]
	sum := points.Points(0)
	for i := range m.pick(4) {
		most := c.StepPoints() * points.Points(1+m.pick(60))
		c.Criteria = append(c.Criteria, contest.Criterion{Name: fmt.Sprint("Criterion ", i), Most: most})
		sum += most
	}
	if sum == 0 {
		c.Worth = c.StepPoints() * points.Points(1+m.pick(120))
		sum = c.Worth
	}
	switch {
	case sum%100 == 0 && m.pick.one(2):
		c.Round = contest.RoundWhole
	case sum%50 == 0 && m.pick.one(2):
		c.Round = contest.RoundHalf
	}
}

// key writes the key of a class: one in eight lacks its last answer.
func (m *maker) key(class int) {
	c := m.Classes[class]
	items := make([]contest.KeyItem, c.KeyItems())
	for i := range items {
		items[i] = m.answer(c)
	}
	whole := !m.pick.one(8) || len(items) == 0
	for i, k := range items {
		sub := c.KeySubject(i)
		if !whole && i == len(items)-1 {
			break
		}
		var was []record.Ref
		if m.pick.one(4) {
			value, err := m.answer(c).Write(c)
			was = append(was, m.Write(m.owner, sub, value, err))
		}
		value, err := k.Write(c)
		m.Write(m.owner, sub, value, err, was...)
	}
	if !whole {
		items = nil
	}
	m.Keys = append(m.Keys, items)
}

func (m *maker) answer(c contest.Class) contest.KeyItem {
	if c.Kind == contest.Checked {
		return m.faults(c)
	}
	answers := c.Answers()
	at := m.pick(len(answers))
	k := contest.KeyItem{Answer: answers[at]}
	if m.pick.one(6) {
		k.Also = []string{answers[(at+1)%len(answers)]}
	}
	if c.Kind == contest.Placing {
		k.Cuts = [3]uint8(placing.Cuts{uint8(m.pick(6)), uint8(m.pick(6)), uint8(m.pick(5))})
	}
	return k
}

// faults answers an item of a checked class: any of its faults, and now and then
// others as well.
func (m *maker) faults(c contest.Class) contest.KeyItem {
	faults, err := c.Faults()
	m.keep(err)
	some := func() string {
		var ids []string
		for _, f := range faults {
			if m.pick.one(3) {
				ids = append(ids, f.ID)
			}
		}
		return contest.JoinFaults(ids)
	}
	k := contest.KeyItem{Answer: some()}
	if other := some(); m.pick.one(6) && other != k.Answer {
		k.Also = []string{other}
	}
	return k
}

func (m *maker) settings() {
	m.Settings = contest.Settings{
		Name: "Random day", Date: "2026-09-19", TeamBest: 1 + m.pick(4), TeamMost: 4, Divisions: []string{"Senior", "Junior"}, Started: true,
		Ties: []contest.Tie{{Classes: []uint32{uint32(len(m.Classes)), 9999}}, {Alternate: true}},
	}
	value, err := m.Settings.Write()
	m.Write(m.owner, record.Subject{Kind: record.KindContest}, value, err)
}

func (m *maker) cards(class int) {
	cards, unsure := make([][]byte, len(m.Persons)), make([]bool, len(m.Persons))
	c := m.Classes[class]
	for i, p := range m.Persons {
		cards[i], unsure[i] = m.card(c, p.Number)
	}
	m.Cards, m.Unsure = append(m.Cards, cards), append(m.Unsure, unsure)
}

// card writes what became of one card and tells what is settled.
func (m *maker) card(c contest.Class, number uint32) (settled []byte, unsure bool) {
	sub := contest.CardSubject(c.No, number)
	at := m.pick(len(m.keyers))
	one, other := m.keyers[at], m.keyers[(at+1)%len(m.keyers)]
	write := func(on int, marks []byte, replaces ...record.Ref) record.Ref {
		value, err := c.CardValue(marks)
		return m.Write(on, sub, value, err, replaces...)
	}
	marks := m.marks(c)
	wrong := slices.Clone(marks)
	wrong[0] = marks[0]%2 + 1 // another answer, whatever it was
	switch m.pick(20) {
	case 0: // not keyed
		return nil, false
	case 1: // keyed twice alike, by two hands
		write(one, marks)
		write(other, marks)
	case 2: // twice alike, by one hand on purpose
		write(one, marks)
		m.Put(one, record.Record{Subject: sub, Value: string(marks), Again: true})
	case 3: // twice differently
		write(one, wrong)
		write(other, marks)
		return nil, true
	case 4: // twice differently, and settled
		a := write(one, wrong)
		b := write(other, marks)
		write(one, marks, a, b)
	case 5: // corrected
		a := write(one, wrong)
		write(one, marks, a)
	case 6: // withdrawn
		a := write(one, marks)
		m.Write(one, sub, "", nil, a)
		return nil, false
	default:
		write(one, marks)
	}
	return marks, false
}

func (m *maker) marks(c contest.Class) []byte {
	answers := len(c.Answers())
	marks := make([]byte, c.Slots())
	for i := range marks {
		switch m.pick(20) {
		case 0:
			marks[i] = score.Blank
		case 1:
			marks[i] = score.DoubleOf(1+m.pick(min(2, answers-1)), min(3, answers))
		case 2:
			marks[i] = score.Double
		default:
			marks[i] = byte(1 + m.pick(answers))
		}
	}
	if c.Kind == contest.Awarded {
		m.given(c, marks)
	}
	return marks
}

// given makes marks points that officials may give, one official now and then
// giving none.
func (m *maker) given(c contest.Class, marks []byte) {
	given := c.GivenFor()
	for i := range marks {
		if most := given[i%len(given)].Most / c.StepPoints(); points.Points(marks[i]) > most+1 {
			marks[i] = byte(1 + m.pick(int(most)+1))
		}
	}
	if m.pick.one(3) {
		official := m.pick(c.OfficialCount())
		clear(marks[official*len(given) : (official+1)*len(given)])
	}
}
