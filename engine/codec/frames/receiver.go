package frames

import (
	"slices"

	"keelcard/engine"
)

// A Receiver puts contents together from frames. The zero Receiver is ready.
type Receiver struct {
	transfers []*transfer // the one that was fed last comes last
}

// Progress is how far the content is to which a frame belongs.
type Progress struct {
	Have, Need int    // useful frames so far, and how many it takes
	New        bool   // this frame was useful
	Content    []byte // the content, in the one answer in which it is whole
}

// Add takes in one frame. On an error nothing that was gathered is lost, but with
// CodeMixed: then the frames of that one content contradict each other, and it is
// gathered anew. Codes: CodeNewer, CodeMalformed, CodeMixed.
func (r *Receiver) Add(frame []byte) (Progress, error) {
	h, number, block, err := parse(frame)
	if err != nil {
		return Progress{}, err
	}
	t := r.transfer(h)
	p := Progress{Need: h.blocks()}
	if !t.done {
		p.New = t.take(mix(number, h.blocks()), slices.Clone(block))
		if p.New && t.have == p.Need {
			if p.Content, err = t.solve(); err != nil {
				r.forget(t)
				return Progress{Need: p.Need}, err
			}
		}
	}
	p.Have = t.have
	return p, nil
}

// transfer finds the transfer a frame belongs to, or begins it in the place of
// the one that was fed longest ago.
func (r *Receiver) transfer(h head) *transfer {
	i := slices.IndexFunc(r.transfers, func(t *transfer) bool { return t.head == h })
	if i >= 0 {
		t := r.transfers[i]
		r.transfers = append(slices.Delete(r.transfers, i, i+1), t)
		return t
	}
	if len(r.transfers) == Transfers {
		r.transfers = slices.Delete(r.transfers, 0, 1)
	}
	t := &transfer{head: h, rows: make([]row, h.blocks())}
	r.transfers = append(r.transfers, t)
	return t
}

func (r *Receiver) forget(t *transfer) {
	r.transfers = slices.DeleteFunc(r.transfers, func(other *transfer) bool { return other == t })
}

// A transfer is one content on its way: equations, of which the one in row i has
// i as its lowest block.
type transfer struct {
	head
	rows []row
	have int
	done bool
}

// A row says that the blocks of the set sum up to the bytes; nothing when sum is nil.
type row struct {
	of  set
	sum []byte
}

// take adds an equation, and tells whether it says anything new.
func (t *transfer) take(of set, sum []byte) bool {
	for i := of.first(0); i >= 0; i = of.first(i + 1) {
		if t.rows[i].sum == nil {
			t.rows[i] = row{of, sum}
			t.have++
			return true
		}
		of.add(t.rows[i].of)
		xor(sum, t.rows[i].sum)
	}
	return false
}

// solve works the blocks out of as many equations, from the last one up, and
// checks that they make the content. The rows are not needed any more.
func (t *transfer) solve() ([]byte, error) {
	out := make([]byte, len(t.rows)*t.block)
	for i := len(t.rows) - 1; i >= 0; i-- {
		block := out[i*t.block:][:t.block]
		copy(block, t.rows[i].sum)
		for j := t.rows[i].of.first(i + 1); j >= 0; j = t.rows[i].of.first(j + 1) {
			xor(block, out[j*t.block:][:t.block])
		}
	}
	if nameOf(out[:t.size]) != t.name {
		return nil, engine.New(CodeMixed, "", "the codes that were read do not fit together", "hold on; reading began anew, and nothing on this phone was changed")
	}
	t.rows, t.done = nil, true
	return out[:t.size], nil
}
