package app

import (
	"maps"
	"slices"
	"strings"
)

// Memory is a Store that keeps nothing beyond the program. Tests and the
// gallery use it; so may a browser that refuses to store anything.
type Memory struct {
	Fails func(ops []Op) error // decides whether a commit fails; nil for never

	buckets map[string]map[string][]byte
}

// Load reads the values whose keys begin with prefix, in key order.
func (m *Memory) Load(bucket, prefix string) ([]Entry, error) {
	var out []Entry
	for _, key := range slices.Sorted(maps.Keys(m.buckets[bucket])) {
		if strings.HasPrefix(key, prefix) {
			out = append(out, Entry{key, slices.Clone(m.buckets[bucket][key])})
		}
	}
	return out, nil
}

// Get reads one value, nil when there is none.
func (m *Memory) Get(bucket, key string) ([]byte, error) {
	return slices.Clone(m.buckets[bucket][key]), nil
}

// Commit makes all changes, or none where Fails says so.
func (m *Memory) Commit(ops []Op) error {
	if m.Fails != nil {
		if err := m.Fails(ops); err != nil {
			return err
		}
	}
	if m.buckets == nil {
		m.buckets = map[string]map[string][]byte{}
	}
	for _, op := range ops {
		if op.Value == nil {
			delete(m.buckets[op.Bucket], op.Key)
			continue
		}
		if m.buckets[op.Bucket] == nil {
			m.buckets[op.Bucket] = map[string][]byte{}
		}
		m.buckets[op.Bucket][op.Key] = slices.Clone(op.Value)
	}
	return nil
}

// Runner drives an app against a Memory, carrying out what needs no screen.
// Effects that do are kept in Shown, the newest last.
type Runner struct {
	State *State
	Disk  *Memory
	Now   int64
	Shown []Effect
	Mark  string
	After func(*State) // called after every single message, answers included
	count byte
}

// NewRunner starts the app of a new phone, or of a known one when disk holds
// what it kept before. The phone's key and every random byte follow from seed.
func NewRunner(seed byte, disk *Memory) (*Runner, error) {
	r := &Runner{State: New(), Disk: disk, Now: 1_790_000_000, count: seed}
	if err := Restore(r.State, disk.Load); err != nil {
		return nil, err
	}
	r.Send(Msg{Do: "boot"})
	return r, nil
}

// Do sends the action of an element, as if it were tapped.
func (r *Runner) Do(action string) { r.Type(action, "") }

// Type sends the action of an element with a text typed into it.
func (r *Runner) Type(action, text string) {
	m, err := Parse(action)
	if err != nil {
		panic(err)
	}
	m.Text = text
	r.Send(m)
}

// Visit opens the page at an address.
func (r *Runner) Visit(hash string) { r.Send(Msg{Do: "route", Args: []string{hash}}) }

// Send hands a message over, carries its effects out, and hands over what
// they answer, until nothing is left to do. Each message is a second later.
func (r *Runner) Send(m Msg) {
	queue := []Msg{m}
	for len(queue) > 0 {
		m, queue = queue[0], queue[1:]
		r.Now++
		r.count++
		m.Now = r.Now
		m.Rand = slices.Repeat([]byte{r.count}, 32)
		effects := Update(r.State, m)
		if r.After != nil {
			r.After(r.State)
		}
		for _, e := range effects {
			queue = append(queue, r.carryOut(e)...)
		}
	}
}

func (r *Runner) carryOut(e Effect) []Msg {
	switch e := e.(type) {
	case Save:
		if err := r.Disk.Commit(e.Ops); err != nil {
			n := noticeOf(err)
			return []Msg{{Do: "save-failed", Args: []string{e.Tag, n.Fix}, Text: n.Text}}
		}
		return []Msg{{Do: "saved", Args: []string{e.Tag}}}
	case Mark:
		r.Mark = e.Text
		return nil
	case Room:
		return nil
	case Load:
		found, err := r.Disk.Load(e.Bucket, e.Prefix)
		if err != nil {
			return []Msg{{Do: "load-failed", Args: []string{e.Tag}, Text: err.Error()}}
		}
		return []Msg{{Do: "loaded", Args: []string{e.Tag}, Found: found}}
	}
	r.Shown = append(r.Shown, e)
	return nil
}
