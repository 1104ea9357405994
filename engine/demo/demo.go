// Package demo makes the contest that Keelcard opens with: an invented county
// poultry day with forty contestants, four classes, official keys with what
// was seen on each bird, and cards with plausible mistakes. It is the same,
// byte for byte, wherever it is made.
//
// Three phones wrote it: an official's, and those of two people who key cards.
// Some cards were keyed twice, two of them differently, and a few are not
// keyed yet, so that every page has something to show.
package demo

import (
	"crypto/ed25519"
	"crypto/sha256"
	"fmt"
	"slices"

	"keelcard/engine/amount"
	"keelcard/engine/clock"
	"keelcard/engine/contest"
	"keelcard/engine/grading"
	"keelcard/engine/placing"
	"keelcard/engine/record"
	"keelcard/engine/rulebook"
	"keelcard/engine/sorting"
)

// ID is the contest id of the demo.
var ID = record.ContestID{'T', 'a', 'm', 'a', 'r', 'a', 'c', 'k'}

// start is the moment of the first record: 19 September 2026, 12:30 UTC.
const start = 1_789_821_000

// contestants is how many take part.
const contestants = 40

// Set makes the demo contest, signed by its three phones.
func Set() (record.Set, error) {
	w := &writer{set: record.Set{Contest: ID}, now: start, key: map[uint32][]contest.KeyItem{}}
	for _, c := range classes {
		w.key[c.No] = w.answers(c)
	}
	official := w.phone("official/WR")
	first := w.phone("keyer/JT")
	second := w.phone("keyer/LS")

	w.setUp(official)
	w.keys(official)
	w.cards(first, second)

	for i := range w.logs {
		if w.err == nil {
			w.err = record.Sign(ID, &w.logs[i].log, w.logs[i].key)
		}
		w.set.Logs = append(w.set.Logs, w.logs[i].log)
	}
	sorting.Stable(w.set.Logs, func(a, b record.Log) int { return slices.Compare(a.Phone[:], b.Phone[:]) })
	return w.set, w.err
}

// writer writes records as the phones of a contest would. It keeps the first
// error and does nothing after it.
type writer struct {
	set  record.Set
	logs []phone
	now  int64
	last clock.Stamp
	key  map[uint32][]contest.KeyItem // official answers by class
	err  error
}

type phone struct {
	who string
	log record.Log
	key ed25519.PrivateKey
}

// phone begins the log of one more phone; its key follows from who holds it,
// as nothing in the demo is secret.
func (w *writer) phone(who string) int {
	seed := sha256.Sum256([]byte("keelcard demo phone of " + who))
	key := ed25519.NewKeyFromSeed(seed[:])
	w.logs = append(w.logs, phone{who, record.NewLog(ID, key.Public().(ed25519.PublicKey)), key})
	return len(w.logs) - 1
}

// put appends one record, some seconds after the one before.
func (w *writer) put(on int, seconds int64, r record.Record) record.Ref {
	if w.err != nil {
		return record.Ref{}
	}
	p := &w.logs[on]
	w.now += seconds
	w.last = clock.Next(w.last, w.now)
	r.Phone, r.Seq, r.Stamp, r.Who = p.log.Phone, uint32(len(p.log.Records))+1, w.last, p.who
	w.err = p.log.Append(r)
	return r.Ref()
}

// must passes a value on and keeps the error.
func (w *writer) must(value string, err error) string {
	if err != nil && w.err == nil {
		w.err = err
	}
	return value
}

var classes = []contest.Class{
	{No: 1, Name: "Broiler carcasses", Kind: contest.Graded, Items: 10, Book: "carcass-youth", Bird: "chicken", Weight: 4 * amount.Pound},
	{No: 2, Name: "Roaster carcasses", Kind: contest.Graded, Items: 10, Book: "carcass-youth", Bird: "chicken", Weight: 7 * amount.Pound},
	{No: 3, Name: "White hens", Kind: contest.Placing, Items: 4},
	{No: 4, Name: "Brown hens", Kind: contest.Placing, Items: 4},
}

func (w *writer) setUp(on int) {
	settings := contest.Settings{
		Name: "Tamarack County Poultry Day", Date: "2026-09-19", Place: "Fairground hall, Oxbow",
		TeamBest: 3, TeamMost: 4, Divisions: []string{"Junior", "Senior"}, Started: true,
		Ties: []contest.Tie{{Classes: []uint32{3, 4}}, {Classes: []uint32{1}}, {Alternate: true}},
	}
	w.put(on, 0, record.Record{Subject: record.Subject{Kind: record.KindContest}, Value: w.must(settings.Write())})
	for _, c := range classes {
		if b, ok := rulebook.ByID(c.Book); ok {
			c.Hash = b.Hash()
		}
		w.put(on, 40, record.Record{Subject: record.Subject{Kind: record.KindClass, A: c.No}, Value: w.must(c.Write())})
	}
	for i, name := range teams {
		t := contest.Team{No: uint32(i + 1), Name: name}
		w.put(on, 1, record.Record{Subject: record.Subject{Kind: record.KindTeam, A: t.No}, Value: w.must(t.Write())})
	}
	for i := range contestants {
		p := person(i)
		w.put(on, 1, record.Record{Subject: record.Subject{Kind: record.KindPerson, A: p.Number}, Value: w.must(p.Write())})
	}
}

var (
	teams   = []string{"Alder Creek", "Bluestem", "Cattail Flats", "Dogwood", "Elder Bend", "Foxglove", "Greenbrier", "Hawthorn", "Ironwood", "Juniper Hill"}
	given   = []string{"Ada", "Bram", "Cleo", "Dario", "Elin", "Fritz", "Greta", "Hugo", "Ines", "Jory", "Kaia", "Leon", "Mina", "Nils", "Orla", "Pavel", "Quinn", "Rosa", "Sven", "Tove"}
	surname = []string{"Ashdown", "Birkett", "Corvane", "Dunmore", "Eastlake", "Fennimore", "Garrow", "Hollis", "Inchwood", "Jessamy", "Kestrel", "Larkin", "Marlow"}
)

// person is the i-th contestant: four to a team, the last two on their own.
func person(i int) contest.Person {
	p := contest.Person{Number: uint32(101 + i), Name: given[(i*7)%len(given)] + " " + surname[(i*5)%len(surname)], Division: "Junior"}
	team := i / 4
	if team%2 == 1 {
		p.Division = "Senior"
	}
	if i < contestants-2 {
		p.Team = uint32(team + 1)
	}
	return p
}

func inches(sixteenths int) *amount.Length {
	l := amount.Length(sixteenths) * 4 * amount.SixtyFourth
	return &l
}

func share(num, den int64) *amount.Share { return &amount.Share{Num: num, Den: den} }

// bird is what an official saw on one carcass, and how hard it is to judge,
// from 0 to 100.
type bird struct {
	hard     int
	findings []grading.Finding
	note     string
}

var broilers = []bird{
	{5, nil, ""},
	{35, []grading.Finding{{Defect: "bare-flesh", Site: "breast", Length: inches(8), Share: share(1, 12), View: "front", X: 430, Y: 690}}, ""},
	{20, []grading.Finding{{Defect: "wing-off", Site: "wing-left", View: "front", X: 160, Y: 750}}, ""},
	{60, []grading.Finding{{Defect: "tear", Site: "thigh-right", Length: inches(4), Share: share(1, 20), View: "front", X: 690, Y: 480}}, "A quarter inch, measured twice."},
	{45, []grading.Finding{{Defect: "disjoint", Site: "wing-right", View: "back", X: 150, Y: 760}, {Defect: "disjoint", Site: "hip-left", View: "back", X: 606, Y: 498}}, ""},
	{70, []grading.Finding{{Defect: "tail-cut", Site: "tail", Share: share(2, 5), View: "back", X: 500, Y: 371}}, ""},
	{15, []grading.Finding{{Defect: "wing-tip-off", Site: "wing-left"}, {Defect: "wing-tip-off", Site: "wing-right"}, {Defect: "tail-off", Site: "tail"}}, "Wing tips and tail off: allowed."},
	{55, []grading.Finding{{Defect: "meat-trimmed", Site: "breast", Length: inches(12), Share: share(1, 8), Depth: inches(3), View: "front", X: 430, Y: 690}}, "Deeper than an eighth."},
	{50, []grading.Finding{{Defect: "break-covered", Site: "drumstick-left", View: "front", X: 339, Y: 262}}, "Dried clear; the skin covers it."},
	{30, []grading.Finding{{Defect: "back-half-off", Site: "back", View: "back", X: 500, Y: 678}}, ""},
}

var roasters = []bird{
	{40, []grading.Finding{{Defect: "bare-flesh", Site: "back", Length: inches(28), Share: share(1, 6), View: "back", X: 500, Y: 678}}, "Under two inches."},
	{65, []grading.Finding{{Defect: "bare-flesh", Site: "breast", Length: inches(8), Share: share(1, 15), View: "front", X: 430, Y: 690}}, "Half an inch: the limit for this weight."},
	{25, []grading.Finding{{Defect: "break-covered", Site: "wing-left", View: "front", X: 160, Y: 750}, {Defect: "break-covered", Site: "drumstick-right", View: "front", X: 660, Y: 262}}, ""},
	{5, nil, ""},
	{50, []grading.Finding{{Defect: "wing-half-off", Site: "wing-right", View: "back", X: 150, Y: 760}}, ""},
	{35, []grading.Finding{{Defect: "bare-flesh", Site: "thigh-left", Length: inches(40), Share: share(2, 5), View: "front", X: 306, Y: 476}}, ""},
	{60, []grading.Finding{{Defect: "disjoint", Site: "hip-right", View: "back", X: 393, Y: 498}}, "One disjoint stays an A."},
	{75, []grading.Finding{{Defect: "tail-cut", Site: "tail", Share: share(3, 5), View: "back", X: 500, Y: 371}}, ""},
	{20, []grading.Finding{{Defect: "leg-off", Site: "drumstick-left", View: "front", X: 339, Y: 262}}, ""},
	{45, []grading.Finding{{Defect: "tear", Site: "drumstick-right", Length: inches(12), Share: share(1, 6), View: "front", X: 660, Y: 262}}, ""},
}

// hens is the key of a placing class.
type hens struct {
	order placing.Order
	cuts  placing.Cuts
}

var placings = map[uint32]hens{
	3: {placing.Order{3, 1, 4, 2}, placing.Cuts{2, 5, 3}},
	4: {placing.Order{2, 4, 1, 3}, placing.Cuts{4, 3, 6}},
}

func birds(class contest.Class) []bird {
	if class.No == 1 {
		return broilers
	}
	return roasters
}

// keys sets every official answer: on carcasses the book's verdict on what was
// seen.
func (w *writer) keys(on int) {
	for _, c := range classes {
		if c.Kind == contest.Placing {
			w.put(on, 300, record.Record{Subject: contest.KeySubject(c.No, 0), Value: w.must(w.key[c.No][0].Write(c))})
		}
		if c.Kind == contest.Graded {
			key := w.key[c.No]
			for i, b := range birds(c) {
				seen := contest.Seen{Findings: b.findings, Note: b.note}
				w.put(on, 50, record.Record{Subject: record.Subject{Kind: contest.KindSeen, A: c.No, B: uint32(i + 1)}, Value: w.must(seen.Write())})
				w.put(on, 5, record.Record{Subject: contest.KeySubject(c.No, uint32(i+1)), Value: w.must(key[i].Write(c))})
			}
		}
		w.put(on, 30, record.Record{Subject: record.Subject{Kind: record.KindLock, A: c.No}, Value: contest.LockValue})
	}
}

// answers is the official answers of a class.
func (w *writer) answers(c contest.Class) []contest.KeyItem {
	if c.Kind == contest.Placing {
		h := placings[c.No]
		return []contest.KeyItem{{Answer: h.order.String(), Cuts: [3]uint8(h.cuts)}}
	}
	book, err := c.RuleBook()
	if err != nil {
		w.must("", err)
		return nil
	}
	var out []contest.KeyItem
	for i, b := range birds(c) {
		v, err := grading.Grade(book, c.Setting(), b.findings)
		if err != nil {
			w.must("", fmt.Errorf("%s, item %d: %w", c.Name, i+1, err))
		}
		out = append(out, contest.KeyItem{Answer: v.Grade})
	}
	return out
}

// card is how one contestant fills in a class.
func (w *writer) card(c contest.Class, i int) []byte {
	d := dice(uint64(c.No)<<32 | uint64(i))
	skill := 25 + int((uint64(i)*2654435761)%70)
	if c.Kind == contest.Placing {
		h := placings[c.No]
		return d.placingCard(h.order, h.cuts, skill)
	}
	hard := make([]int, len(birds(c)))
	for j, b := range birds(c) {
		hard[j] = b.hard
	}
	return d.gradedCard(c, w.key[c.No], hard, skill)
}

// cards keys them: one phone classes 1 and 3, the other 2 and 4, with three of
// the last class still to come. The second phone then keys some of class 1
// again, two of them differently, and the first corrects one of its own.
func (w *writer) cards(first, second int) {
	for _, c := range classes {
		on := first
		if c.No%2 == 0 {
			on = second
		}
		for i := range contestants {
			if c.No == 4 && i >= contestants-3 {
				continue
			}
			w.putCard(on, c, i, w.card(c, i), false, nil)
		}
	}
	c := classes[0]
	for i := 3; i < contestants; i += 6 {
		marks := slices.Clone(w.card(c, i))
		if i == 9 || i == 27 {
			marks[4] = marks[4]%4 + 1
		}
		w.putCard(second, c, i, marks, true, nil)
	}
	wrong := slices.Clone(w.card(classes[2], 5))
	wrong[0] = wrong[0]%placing.Count + 1
	was := record.Ref{Phone: w.logs[first].log.Phone, Seq: contestants + 6}
	w.putCard(first, classes[2], 5, wrong, false, []record.Ref{was})
}

func (w *writer) putCard(on int, c contest.Class, i int, marks []byte, again bool, replaces []record.Ref) {
	w.put(on, 5+int64(i*7%4), record.Record{
		Subject: contest.CardSubject(c.No, person(i).Number), Value: w.must(c.CardValue(marks)), Again: again, Replaces: replaces,
	})
}
