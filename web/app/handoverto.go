package app

import (
	"cmp"
	"maps"
	"slices"

	"keelcard/engine/codec"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/sorting"
)

// Receiver is somebody to whom records can be handed over, and how much is new
// for them.
type Receiver struct {
	ID      string // a phone, "all" for those that were heard of, "everything" for anybody
	Who     string // who holds the phone, "role/short name"; "" for several
	Since   int64  // when it said what it holds, of several the earliest; 0 for everything
	Records int    // how many it gets
	known   map[record.PhoneID]record.Known
}

// Receivers lists to whom the open contest can be handed over: all phones that
// said what they hold, each of them, the one heard of last first, and anybody,
// who gets everything. A phone that was set back is not known by what it said.
func (s *State) Receivers() []Receiver {
	state := s.Open.Contest.State()
	runs, forks := state.Runs(), state.Forks()
	var out []Receiver
	for _, p := range phones(runs) {
		h, ok := s.Open.heard(p)
		if ok && !s.mine(p) && !slices.ContainsFunc(forks, func(f merge.Fork) bool { return f.Phone == p }) {
			out = append(out, Receiver{ID: p.String(), Who: h.Record.Who, Since: h.Stamp.Wall, known: h.known()})
		}
	}
	sorting.Stable(out, func(a, b Receiver) int { return cmp.Compare(b.Since, a.Since) })
	if len(out) > 1 {
		out = slices.Insert(out, 0, everybody(out))
	}
	out = append(out, Receiver{ID: "everything"})
	for i := range out {
		for _, run := range runs {
			has := max(run.After, min(run.Last(), out[i].known[run.ID].Last))
			out[i].Records += int(run.Last() - has)
		}
	}
	return out
}

// known says how far a phone has the records of each: those it named, and its own
// up to where it named them.
func (h heard) known() map[record.PhoneID]record.Known {
	out := map[record.PhoneID]record.Known{h.Phone: {Last: h.Seq}}
	for text, n := range h.Holds {
		if id, err := record.ParsePhoneID(text); err == nil && id != h.Phone {
			out[id] = record.Known{Last: n, Head: h.Heads[text]}
		}
	}
	return out
}

// everybody is several receivers as one: what all of them have counts.
func everybody(several []Receiver) Receiver {
	all := Receiver{ID: "all", Since: several[0].Since, known: maps.Clone(several[0].known)}
	for _, r := range several[1:] {
		all.Since = min(all.Since, r.Since)
		for id, n := range all.known {
			if r.known[id].Last < n.Last {
				all.known[id] = r.known[id]
			}
		}
	}
	return all
}

// receiver is the one that is chosen, the first when none is.
func (s *State) receiver() Receiver {
	all := s.Receivers()
	for _, r := range all {
		if r.ID == s.Handover.To {
			return r
		}
	}
	return all[0]
}

// chooseReceiver says how much goes to whom.
func chooseReceiver(s *State, m Msg) []Effect {
	s.Handover = Handover{To: m.Arg(0)}
	if s.Open == nil {
		return nil
	}
	to := s.receiver()
	s.Handover.To = to.ID
	data, err := codec.EncodeBundle(s.Open.Set.Since(to.known), codec.Options{Unsigned: true})
	if err == nil {
		data, err = s.wrap(data)
	}
	if err == nil {
		s.Handover.Size = len(codec.EncodeText(data)) + s.signing()
	}
	return nil
}
