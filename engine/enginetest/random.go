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
	if m.pick.one(3) {
		c.Kind, c.Items = contest.Placing, 4
		c.Worth = []points.Points{0, points.Of(100), points.Of(33)}[m.pick(3)]
	} else {
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

// key writes the key of a class: one in eight lacks its last answer.
func (m *maker) key(class int) {
	c := m.Classes[class]
	items := make([]contest.KeyItem, c.Slots())
	for i := range items {
		items[i] = m.answer(c)
	}
	whole := !m.pick.one(8)
	for i, k := range items {
		sub := contest.KeySubject(c.No, uint32(i+1))
		if c.Kind == contest.Placing {
			sub.B = 0
		}
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
			marks[i] = score.DoubleOf(1+m.pick(2), 3)
		case 2:
			marks[i] = score.Double
		default:
			marks[i] = byte(1 + m.pick(answers))
		}
	}
	return marks
}
