package codec

import (
	"keelcard/engine/clock"
	"keelcard/engine/codec/rangecoder"
	"keelcard/engine/record"
)

// How many kinds, classes and slots of a card have a model of their own; what
// lies beyond shares the last.
const (
	kindSlots  = 16
	classSlots = 64
	markSlots  = 64
)

// model knows what the records of a bundle usually look like. Each column has
// models of its own, chosen by what is known of the record already: its kind,
// whether its class is that of the record before, whether anything was written
// about its subject earlier in the file. The method record serves both
// directions, so reading cannot differ from writing.
type model struct {
	phones []record.PhoneID       // that the file has logs of, and in version 2 others it named
	places map[record.PhoneID]int // of each of these, counted from 1
	learns bool                   // whether a phone that is named once has a place from then on
	err    error                  // what a reader found impossible

	prev     record.Record // of this log
	last     [kindSlots]record.Subject
	step     [kindSlots]int // how the class moved last time: 0 not, 1 by one, 2 otherwise
	earlier  map[record.Subject]earlier
	values   int // bytes of all values so far
	refs     int // references of all records so far
	sameKind rangecoder.Bit
	kind     rangecoder.Byte
	plain    [2]rangecoder.Bit
	again    [2]rangecoder.Bit
	flags    rangecoder.Number
	moveA    [kindSlots][3]rangecoder.Signed
	moveB    [kindSlots][3]rangecoder.Signed
	wall     [kindSlots][2]rangecoder.Signed
	tick     [2]rangecoder.Signed
	sameWho  [2]rangecoder.Bit
	wasWho   int
	who      rangecoder.Number
	whos     []string
	whoIndex map[string]int
	newWho   rangecoder.Text

	replaces  [kindSlots][2]rangecoder.Number
	lastOne   rangecoder.Bit
	phone     rangecoder.Number
	ownBack   rangecoder.Number
	otherSeq  rangecoder.Number
	sameValue [4]rangecoder.Bit
	length    [kindSlots]rangecoder.Signed
	wasLength [kindSlots + classSlots]int
	classes   map[uint32]int
	marks     [classSlots][markSlots]*rangecoder.Small
	sameMark  rangecoder.Bit
	text      rangecoder.Text
}

// earlier is the last record about a subject so far in the file.
type earlier struct {
	ref   record.Ref
	value string
}

func newModel(logs []record.Log, version byte) *model {
	m := &model{
		places:   make(map[record.PhoneID]int, len(logs)),
		learns:   version > 1,
		earlier:  make(map[record.Subject]earlier),
		whoIndex: make(map[string]int),
		classes:  make(map[uint32]int),
	}
	for i := range logs {
		if version == 1 || i == 0 || logs[i].Phone != logs[i-1].Phone {
			m.learn(logs[i].Phone)
		}
	}
	return m
}

func (m *model) learn(phone record.PhoneID) {
	m.phones = append(m.phones, phone)
	m.places[phone] = len(m.phones)
}

// beginLog turns to the next log. What was learned from the others stays; the
// first record is told in relation to the last of the log before.
func (m *model) beginLog() {
	m.prev = record.Record{Stamp: m.prev.Stamp, Subject: m.prev.Subject}
}

func slot[T ~uint8 | ~int](n T, slots int) int { return min(int(n), slots-1) }

func pick(b bool) int {
	if b {
		return 1
	}
	return 0
}

// record codes one record; Phone and Seq are known.
func (m *model) record(c *rangecoder.Coder, r *record.Record) {
	m.codeKind(c, r)
	m.codeFlags(c, r)
	k := slot(r.Subject.Kind, kindSlots)
	m.codeSubject(c, r, k)
	m.codeStamp(c, r, k)
	m.codeWho(c, r)
	old, seen := m.earlier[r.Subject]
	m.codeReplaces(c, r, k, old.ref, seen)
	m.codeValue(c, r, k, old.value, seen)
	m.earlier[r.Subject] = earlier{r.Ref(), r.Value}
	m.last[k] = r.Subject
	m.prev = *r
}

func (m *model) codeKind(c *rangecoder.Coder, r *record.Record) {
	if m.sameKind.Code(c, r.Subject.Kind == m.prev.Subject.Kind) {
		r.Subject.Kind = m.prev.Subject.Kind
		return
	}
	r.Subject.Kind = record.Kind(m.kind.Code(c, byte(r.Subject.Kind)))
}

func (m *model) codeFlags(c *rangecoder.Coder, r *record.Record) {
	was := pick(m.prev.Again || m.prev.Flags != 0)
	if m.plain[was].Code(c, !r.Again && r.Flags == 0) {
		return
	}
	r.Again = m.again[was].Code(c, r.Again)
	r.Flags = record.Flags(m.upTo(m.flags.Code(c, uint64(r.Flags)), 1<<16-1))
}

// upTo notes a number that cannot be.
func (m *model) upTo(n, most uint64) uint64 {
	if n > most {
		if m.err == nil {
			m.err = malformed("records", "a number is too large", nil)
		}
		return 0
	}
	return n
}

// move codes a number by its distance from another.
func (m *model) move(c *rangecoder.Coder, s *rangecoder.Signed, from, to, most int64) int64 {
	d := s.Code(c, to-from)
	if d < -most || d > most {
		m.upTo(1, 0)
		return 0
	}
	return int64(m.upTo(uint64(from+d), uint64(most)))
}

func (m *model) codeSubject(c *rangecoder.Coder, r *record.Record, k int) {
	from, sub := m.last[k], &r.Subject
	sub.A = uint32(m.move(c, &m.moveA[k][m.step[k]], int64(from.A), int64(sub.A), 1<<32-1))
	switch sub.A - from.A {
	case 0:
		m.step[k] = 0
	case 1:
		m.step[k] = 1
	default:
		m.step[k] = 2
	}
	sub.B = uint32(m.move(c, &m.moveB[k][m.step[k]], int64(from.B), int64(sub.B), 1<<32-1))
}

func (m *model) codeStamp(c *rangecoder.Coder, r *record.Record, k int) {
	was := m.prev.Stamp
	r.Stamp.Wall = m.move(c, &m.wall[k][pick(r.Again)], was.Wall, r.Stamp.Wall, clock.MaxWall)
	from := int64(0)
	if r.Stamp.Wall == was.Wall {
		from = min(int64(was.Tick)+1, 1<<16-1)
	}
	r.Stamp.Tick = uint16(m.move(c, &m.tick[pick(from > 0)], from, int64(r.Stamp.Tick), 1<<16-1))
}

func (m *model) codeWho(c *rangecoder.Coder, r *record.Record) {
	same := m.prev.Seq > 0 && r.Who == m.prev.Who
	if m.prev.Seq > 0 {
		if same = m.sameWho[m.wasWho].Code(c, same); same {
			r.Who = m.prev.Who
		}
		m.wasWho = pick(same)
		if same {
			return
		}
	}
	known := uint64(len(m.whos)) // one more than the last: new
	if i, ok := m.whoIndex[r.Who]; ok && c.Writing() {
		known = uint64(i)
	}
	known = m.upTo(m.who.Code(c, known), uint64(len(m.whos)))
	if known < uint64(len(m.whos)) {
		r.Who = m.whos[known]
		return
	}
	who, ok := m.newWho.String(c, r.Who, record.MaxWho)
	if !ok {
		m.upTo(1, 0)
	}
	r.Who = who
	m.whoIndex[who] = len(m.whos)
	m.whos = append(m.whos, who)
}

func (m *model) codeReplaces(c *rangecoder.Coder, r *record.Record, k int, old record.Ref, seen bool) {
	if r.Again {
		return
	}
	n := m.upTo(m.replaces[k][pick(seen)].Code(c, uint64(len(r.Replaces))), record.MaxReplaces)
	if m.refs += int(n); m.refs > MaxReplaces && m.err == nil {
		m.err = tooLarge("references", uint64(m.refs), MaxReplaces)
	}
	if m.err != nil {
		return
	}
	if n > 0 && !c.Writing() {
		r.Replaces = make([]record.Ref, n)
	}
	for i := range r.Replaces {
		ref := &r.Replaces[i]
		if seen && m.lastOne.Code(c, *ref == old) {
			*ref = old
			continue
		}
		m.codeRef(c, r, ref)
	}
}

// codeRef codes a reference: its phone as 0 for the own one, the place of its
// log in the file, or one more for a phone that is not in the file. In version 2
// such a phone, or segment of a phone whose logs part, has a place from then on.
func (m *model) codeRef(c *rangecoder.Coder, r *record.Record, ref *record.Ref) {
	place, ok := m.places[ref.Phone]
	switch {
	case ref.Phone == r.Phone:
		place = 0
	case !ok:
		place = len(m.phones) + 1
	}
	place = int(m.upTo(m.phone.Code(c, uint64(place)), uint64(len(m.phones))+1))
	switch {
	case place == 0:
		ref.Phone = r.Phone
		ref.Seq = uint32(m.upTo(uint64(r.Seq)-m.ownBack.Code(c, uint64(r.Seq)-uint64(ref.Seq)), record.MaxRecords))
		return
	case place <= len(m.phones):
		ref.Phone = m.phones[place-1]
	default:
		for i, b := range ref.Phone {
			ref.Phone[i] = byte(c.Even(8, uint64(b)))
		}
		if m.learns {
			m.learn(ref.Phone)
		}
	}
	ref.Seq = uint32(m.upTo(m.otherSeq.Code(c, uint64(ref.Seq)), record.MaxRecords))
}

func (m *model) codeValue(c *rangecoder.Coder, r *record.Record, k int, old string, seen bool) {
	if seen && m.sameValue[pick(r.Again)<<1|pick(len(r.Replaces) > 0)].Code(c, r.Value == old) {
		r.Value = old
		m.values += len(old)
		m.checkValues()
		return
	}
	card := r.Subject.Kind == record.KindCard
	class, was := 0, k
	if card {
		class = m.class(r.Subject.A)
		was = kindSlots + class
	}
	n := int(m.move(c, &m.length[k], int64(m.wasLength[was]), int64(len(r.Value)), record.MaxValue))
	m.wasLength[was] = n
	if m.values += n; !m.checkValues() {
		return
	}
	m.text.Begin()
	value := make([]byte, 0, min(n, 1024))
	for i := range n {
		var v byte
		if c.Writing() {
			v = r.Value[i]
		}
		if card && n <= markSlots {
			v = m.codeMark(c, class, i, v, old)
		} else {
			v = m.text.Byte(c, v)
		}
		value = append(value, v)
		if c.Short() {
			return
		}
	}
	if !c.Writing() {
		r.Value = string(value)
	}
}

func (m *model) checkValues() bool {
	if m.values > MaxValues && m.err == nil {
		m.err = tooLarge("bytes of records", uint64(m.values), MaxValues)
	}
	return m.err == nil
}

// codeMark codes one answer on a card: first whether it is what an earlier
// keying of the card has there, then in the light of what others answered.
func (m *model) codeMark(c *rangecoder.Coder, class, i int, v byte, old string) byte {
	if i < len(old) && m.sameMark.Code(c, v == old[i]) {
		return old[i]
	}
	mark := &m.marks[class][i]
	if *mark == nil {
		*mark = new(rangecoder.Small)
	}
	return (*mark).Code(c, v)
}

// class numbers the classes as they appear.
func (m *model) class(a uint32) int {
	i, ok := m.classes[a]
	if !ok {
		i = slot(len(m.classes), classSlots)
		m.classes[a] = i
	}
	return i
}
