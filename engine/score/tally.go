package score

import (
	"encoding/binary"
	"fmt"
	"iter"

	"keelcard/engine"
	"keelcard/engine/points"
)

// scoreClass fills the points of one class and its item statistics.
func (r *Result) scoreClass(c int, w *tally) error {
	class := &r.sheet.Classes[c]
	w.lay(&class.Table, r.unit)
	cards := w.cards(class, r.class[c])
	if class.Table.Join != Sum {
		class.join(r.class[c], r.unit)
	}
	total := r.total[:len(r.class[c])]
	for p, sum := range r.class[c] {
		total[p] += sum
	}
	for p, has := range class.Has {
		if !has {
			r.Missing[p]++
		}
	}
	for p, void := range class.Void {
		if void {
			r.Missing[p]--
		}
	}
	w.unfold()
	r.Items[c] = make([]Item, w.slots)
	for s := range r.Items[c] {
		item := &r.Items[c][s]
		full := int32(class.Table.Full(s) / r.unit)
		if item.NoKey = class.Table.Keys[s].none(); item.NoKey {
			full = -1
		}
		for _, mark := range w.marks {
			cell := w.single(s)[mark]
			item.Marks[mark] = cell.count()
			item.Cards += int(cell.count())
			if cell.points() == full {
				item.Right += int(cell.count())
			}
		}
		if item.Cards != cards { // some were counted under no mark
			return class.badMark(c)
		}
	}
	return nil
}

// badMark names the first byte on a card that is no mark.
func (class *ClassSheet) badMark(c int) error {
	slots := len(class.Table.Slots)
	at := 0
	for class.Table.Allowed(class.Marks[at]) || (class.Has != nil && !class.Has[at/slots]) {
		at++
	}
	return engine.New(CodeMark, fmt.Sprintf("class %d, person %d, slot %d", c, at/slots, at%slots),
		fmt.Sprintf("the card holds %#x, which is no mark of this class", class.Marks[at]),
		fmt.Sprintf("use 0, 1 to %d, or a double mark", class.Table.Answers))
}

// unit is the largest number of hundredths that divides all points of all
// tables and all penalties: 100 where only whole points are given.
func (s *Sheet) unit() points.Points {
	unit := points.Points(0)
	for c := range s.Classes {
		t := &s.Classes[c].Table
		marks := t.marks()
		if t.Join == Mean {
			unit = divisor(t.Round, unit)
		}
		for i := range t.Slots {
			for _, mark := range marks {
				unit = divisor(t.Slots[i][mark], unit)
			}
		}
	}
	for _, penalty := range s.Penalty {
		unit = divisor(penalty, unit)
	}
	return max(unit, 1)
}

// divisor is the greatest common divisor; that of p and 0 is p.
func divisor(a, b points.Points) points.Points {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// cell is what one mark, or one combination of marks, earns and how many cards
// have it: points in units in the lower 32 bits, the count in the upper ones,
// so that looking up and counting are one load and one store.
type cell uint64

const oneCard cell = 1 << 32

func (c cell) points() int32 { return int32(c) }
func (c cell) count() uint32 { return uint32(c >> 32) }

// tally is the working space of one class. Nearly all marks are below 8, and
// then one lookup serves four slots and one load of 64 bits eight.
type tally struct {
	slots int
	marks []byte   // those a card of the class may hold
	pairs []uint16 // of marks below 8: first mark + 8 × second mark
	runs  []eight
}

// eight is eight neighbouring slots. A class has as many as it needs; slots
// that it has not stay blank and earn nothing.
type eight struct {
	singles [8][256]cell
	quads   [2]quad
}

// quad is the combinations of four marks below 8, each three bits of the index.
type quad [1 << 12]cell

func (w *tally) single(slot int) *[256]cell { return &w.runs[slot/8].singles[slot%8] }

// lay sets it up for a table. A byte that is no mark earns nothing. Combinations
// with one are left as they were: nobody asks what they earn.
func (w *tally) lay(t *Table, unit points.Points) {
	w.slots = len(t.Slots)
	w.marks = t.marks()
	w.pairs = w.pairs[:0]
	small := uint16(min(t.Answers, 7) + 1)
	for second := range small {
		for first := range small {
			w.pairs = append(w.pairs, first|second<<3)
		}
	}
	if n := (w.slots + 7) / 8; n > len(w.runs) {
		w.runs = make([]eight, n)
	}
	for i := range w.runs {
		w.runs[i].singles = [8][256]cell{}
		w.runs[i].quads[1][0] = 0 // the last one may have no slots
	}
	for s := range t.Slots {
		for _, mark := range w.marks {
			w.single(s)[mark] = cell(t.Slots[s][mark] / unit)
		}
	}
	for s := 0; s < w.slots; s += 4 {
		w.layQuad(w.four(s))
	}
}

// four gives the quad that begins with a slot, and its slots one by one.
func (w *tally) four(slot int) (*quad, *[4][256]cell) {
	e := &w.runs[slot/8]
	return &e.quads[slot/4%2], (*[4][256]cell)(e.singles[slot%8:])
}

func (w *tally) layQuad(q *quad, singles *[4][256]cell) {
	for _, high := range w.pairs {
		earned := singles[2][high&7] + singles[3][high>>3]
		for _, low := range w.pairs {
			q[(low|high<<6)&0xfff] = earned + singles[0][low&7] + singles[1][low>>3]
		}
	}
}

// cards adds up the cards into sums, one a person, and counts their marks. It
// returns how many there are. The sums are bare: Sheet.check has shown that
// they fit.
func (w *tally) cards(class *ClassSheet, sums []int32) (n int) {
	for from, to := range class.stretches(len(sums)) {
		n += to - from
		marks := class.Marks[from*w.slots:]
		for i := range (w.slots + 7) / 8 {
			w.runs[i].cards(marks[8*i:], w.slots, min(8, w.slots-8*i), sums[from:to])
		}
	}
	return n
}

// stretches yields where persons who have cards stand together.
func (class *ClassSheet) stretches(persons int) iter.Seq2[int, int] {
	return func(yield func(from, to int) bool) {
		if class.Has == nil {
			yield(0, persons)
			return
		}
		for from := 0; from < persons; from++ {
			to := from
			for to < persons && class.Has[to] {
				to++
			}
			if to > from && !yield(from, to) {
				return
			}
			from = to
		}
	}
}

// cards adds up the first slots at the beginning of each row of marks. It reads
// eight bytes at once, beyond the row when it has fewer slots, and blots those.
func (e *eight) cards(marks []byte, row, slots int, sums []int32) {
	own := ^uint64(0) >> (64 - 8*slots)
	low, high := &e.quads[0], &e.quads[1]
	at := 0
	for p := range sums {
		if at+8 > len(marks) {
			e.rest(marks[at:], row, slots, sums[p:])
			return
		}
		x := binary.LittleEndian.Uint64(marks[at:at+8]) & own
		if x&0xf8f8f8f8_f8f8f8f8 == 0 {
			x = (x | x>>5) & 0x003f003f_003f003f
			x |= x >> 10
			first, second := &low[x&0xfff], &high[x>>32&0xfff]
			sums[p] += first.points() + second.points()
			*first += oneCard
			*second += oneCard
		} else {
			sums[p] += e.oneByOne(marks[at : at+slots])
		}
		at += row
	}
}

// rest adds up the last rows, after which eight bytes cannot be read.
func (e *eight) rest(marks []byte, row, slots int, sums []int32) {
	for p := range sums {
		sums[p] += e.oneByOne(marks[p*row : p*row+slots])
	}
}

// oneByOne adds up a few marks of any kind.
func (e *eight) oneByOne(marks []byte) (sum int32) {
	for s, mark := range marks {
		c := &e.singles[s][mark]
		sum += c.points()
		*c += oneCard
	}
	return sum
}

// unfold moves the counts of the quads to their slots.
func (w *tally) unfold() {
	for s := 0; s < w.slots; s += 4 {
		w.unfoldQuad(w.four(s))
	}
}

func (w *tally) unfoldQuad(q *quad, singles *[4][256]cell) {
	var lows [64]cell
	for _, high := range w.pairs {
		n := cell(0)
		for _, low := range w.pairs {
			count := q[(low|high<<6)&0xfff] &^ (oneCard - 1)
			lows[low&63] += count
			n += count
		}
		singles[2][high&7] += n
		singles[3][high>>3] += n
	}
	for _, low := range w.pairs {
		singles[0][low&7] += lows[low&63]
		singles[1][low>>3] += lows[low&63]
	}
}
