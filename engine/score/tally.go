package score

import (
	"encoding/binary"
	"fmt"

	"keelcard/engine"
	"keelcard/engine/points"
)

// scoreClass fills the points of one class and its item statistics.
func (r *Result) scoreClass(c int, w *tally) error {
	class := &r.sheet.Classes[c]
	w.lay(&class.Table, r.unit)
	cards := w.cards(class, r.class[c])
	for p, sum := range r.class[c] {
		r.total[p] += sum
	}
	for p, has := range class.Has {
		if !has {
			r.Missing[p]++
		}
	}
	w.unfold()
	r.Items[c] = make([]Item, len(w.singles))
	for s := range w.singles {
		item := &r.Items[c][s]
		item.Cards = cards
		full := int32(class.Table.Full(s) / r.unit)
		for mark, cell := range &w.singles[s] {
			if cell.count > 0 && !class.Table.Allowed(byte(mark)) {
				return class.badMark(c, s, byte(mark))
			}
			item.Marks[mark] = cell.count
			if cell.points == full {
				item.Right += int(cell.count)
			}
		}
	}
	return nil
}

// badMark names the first card that holds the mark in the slot.
func (class *ClassSheet) badMark(c, slot int, mark byte) error {
	slots := len(class.Table.Slots)
	person := 0
	for class.Marks[person*slots+slot] != mark || (class.Has != nil && !class.Has[person]) {
		person++
	}
	return engine.New(CodeMark, fmt.Sprintf("class %d, person %d, slot %d", c, person, slot),
		fmt.Sprintf("the card holds %#x, which is no mark of this class", mark),
		fmt.Sprintf("use 0, 1 to %d, or a double mark", class.Table.Answers))
}

// unit is the largest number of hundredths that divides all points of all
// tables: 100 where only whole points are given.
func (s *Sheet) unit() points.Points {
	unit, last := points.Points(0), points.Points(0)
	for c := range s.Classes {
		for i := range s.Classes[c].Table.Slots {
			for _, p := range &s.Classes[c].Table.Slots[i] {
				if p != last {
					unit, last = divisor(unit, p), p
				}
			}
		}
	}
	return max(unit, 1)
}

// divisor is the greatest common divisor; that of 0 and p is p.
func divisor(a, b points.Points) points.Points {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// cell is what one mark earns in one slot and how many cards have it there:
// side by side, so that a mark costs one place in memory.
type cell struct {
	points int32 // in units
	count  uint32
}

// tally is the working space of one class. Two neighbouring slots whose marks
// are both below 16, as nearly all are, are looked up at once, which halves the
// work; pairs are indexed by first mark + 16 × second mark.
type tally struct {
	singles [][256]cell
	pairs   [][256]cell
}

// lay sets it up for a table.
func (w *tally) lay(t *Table, unit points.Points) {
	w.singles = resized(w.singles, len(t.Slots))
	w.pairs = resized(w.pairs, len(t.Slots)/2)
	last, units := points.Points(0), int32(0) // neighbours are often equal, and dividing is slow
	for s := range w.singles {
		single := &w.singles[s]
		for mark, p := range &t.Slots[s] {
			if p != last {
				last, units = p, int32(p/unit)
			}
			single[mark] = cell{points: units}
		}
	}
	for i := range w.pairs {
		first, second := &w.singles[2*i], &w.singles[2*i+1]
		for both := range &w.pairs[i] {
			w.pairs[i][both] = cell{points: first[both&15].points + second[both>>4].points}
		}
	}
}

func resized(cells [][256]cell, n int) [][256]cell {
	if cap(cells) < n {
		return make([][256]cell, n)
	}
	return cells[:n]
}

// cards adds up the cards into sums, one a person, and counts their marks. It
// returns how many there are. The sums are bare: Sheet.check has shown that
// they fit.
func (w *tally) cards(class *ClassSheet, sums []int32) (n int) {
	pairs, singles, slots := w.pairs, w.singles, len(w.singles)
	for p := range sums {
		if class.Has != nil && !class.Has[p] {
			continue
		}
		n++
		row := class.Marks[p*slots : (p+1)*slots]
		sum := int32(0)
		for i := range pairs {
			two := binary.LittleEndian.Uint16(row[2*i:])
			if two&0xf0f0 == 0 {
				both := &pairs[i][uint8(two|two>>4)]
				both.count++
				sum += both.points
				continue
			}
			first, second := &singles[2*i][uint8(two)], &singles[2*i+1][two>>8]
			first.count++
			second.count++
			sum += first.points + second.points
		}
		if slots%2 == 1 {
			last := &singles[slots-1][row[slots-1]]
			last.count++
			sum += last.points
		}
		sums[p] = sum
	}
	return n
}

// unfold moves the counts of the pairs to their slots.
func (w *tally) unfold() {
	for i := range w.pairs {
		for both, pair := range &w.pairs[i] {
			w.singles[2*i][both&15].count += pair.count
			w.singles[2*i+1][both>>4].count += pair.count
		}
	}
}
