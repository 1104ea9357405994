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
		full := int32(class.Table.Full(s) / r.unit)
		for _, mark := range w.marks {
			cell := w.singles[s][mark]
			item.Marks[mark] = cell.count
			item.Cards += int(cell.count)
			if cell.points == full {
				item.Right += int(cell.count)
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
// tables: 100 where only whole points are given.
func (s *Sheet) unit() points.Points {
	unit := points.Points(0)
	for c := range s.Classes {
		t := &s.Classes[c].Table
		marks := t.marks()
		for i := range t.Slots {
			for _, mark := range marks {
				unit = divisor(t.Slots[i][mark], unit)
			}
		}
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
	marks   []byte // those a card of the class may hold
	singles [][256]cell
	pairs   [][256]cell
}

// lay sets it up for a table. A byte that is no mark earns nothing.
func (w *tally) lay(t *Table, unit points.Points) {
	w.marks = t.marks()
	w.singles = emptied(w.singles, len(t.Slots))
	w.pairs = emptied(w.pairs, len(t.Slots)/2)
	for s := range w.singles {
		for _, mark := range w.marks {
			w.singles[s][mark].points = int32(t.Slots[s][mark] / unit)
		}
	}
	for i := range w.pairs {
		for m, n := range w.twos() {
			w.pairs[i][m|n<<4].points = w.singles[2*i][m].points + w.singles[2*i+1][n].points
		}
	}
}

// twos yields the marks that a pair can hold.
func (w *tally) twos() iter.Seq2[byte, byte] {
	small := w.marks
	for len(small) > 0 && small[len(small)-1] >= 16 {
		small = small[:len(small)-1]
	}
	return func(yield func(m, n byte) bool) {
		for _, m := range small {
			for _, n := range small {
				if !yield(m, n) {
					return
				}
			}
		}
	}
}

func emptied(cells [][256]cell, n int) [][256]cell {
	if cap(cells) < n {
		return make([][256]cell, n)
	}
	clear(cells[:n])
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
		for m, n := range w.twos() {
			count := w.pairs[i][m|n<<4].count
			w.singles[2*i][m].count += count
			w.singles[2*i+1][n].count += count
		}
	}
}
