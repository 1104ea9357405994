package app

import (
	"slices"
	"strconv"
	"strings"

	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/sorting"
	"keelcard/engine/tree"
	"keelcard/web/words"
)

// Disk is what is known of the store of this browser, beyond what is in it.
type Disk struct {
	Fault  Notice // why what was entered last is not on the disk; no text while all is well
	Closed bool   // the browser closed the store, and it is not open again yet
	Used   int64  // bytes that the app takes up
	Quota  int64  // bytes that it may take up; 0 where the browser does not tell
	Lost   []Head // contests that the browser threw away: number and name

	marked string            // what the mark outside the store says
	meta   map[string][]byte // all of the bucket of that name, as it is or will be
	photos []Op              // pictures that could not be saved; they wait behind everything else
}

func keptHandlers() handlers {
	return handlers{
		"saved":         saved,
		"save-failed":   saveFailed,
		"save-again":    saveAgain,
		"store-closed":  func(s *State, m Msg) []Effect { s.Disk.Closed = true; return []Effect{Reopen{}} },
		"reopened":      reopened,
		"reopen-failed": reopenFailed,
		"room":          roomKnown,
		"persisted":     persisted,
		"lost.known":    func(s *State, m Msg) []Effect { s.Disk.Lost = nil; return nil },
	}
}

// save asks for ops to be kept, with any whose save failed before in front, so
// that what is on disk never has a gap. For the same reason nothing is asked for
// between a failure and the last answer that is still to come: an empty save
// then brings the answer upon which the rest goes. Until then it waits apart, since
// what is on its way may fail, too, and has to go before it.
func (s *State) save(ops ...Op) Effect {
	s.mirror(ops)
	s.waiting = append(s.waiting, ops...)
	failed := s.Disk.Fault.Text != ""
	if s.Disk.Closed || failed && len(s.inFlight) > 0 {
		return s.ask(nil, false)
	}
	return s.saveAll(failed)
}

func (s *State) saveAll(again bool) Effect {
	ops := append(s.unsaved, s.waiting...)
	s.unsaved, s.waiting = nil, nil
	return s.ask(ops, again)
}

func (s *State) ask(ops []Op, again bool) Effect {
	s.saves++
	tag := saveTag(s.saves)
	s.inFlight[tag] = ops
	return Save{Tag: tag, Ops: ops, Again: again}
}

func saveTag(n int) string { return "save-" + itoa(n) }

// saveRemovals takes things away before anything else is saved, which may have
// waited for the room. What waited for the same contest is not needed any more.
func (s *State) saveRemovals(contest string, ops []Op) Effect {
	of := func(op Op) bool { return op.Bucket != BucketMeta && strings.HasPrefix(op.Key, contest) }
	s.unsaved, s.waiting = slices.DeleteFunc(s.unsaved, of), slices.DeleteFunc(s.waiting, of)
	if s.Disk.Closed || len(s.inFlight) > 0 {
		return s.save(ops...)
	}
	return s.ask(ops, true)
}

// mirror keeps what is in the bucket of the phone itself.
func (s *State) mirror(ops []Op) {
	for _, op := range ops {
		switch {
		case op.Bucket != BucketMeta:
		case op.Value == nil:
			delete(s.Disk.meta, op.Key)
		default:
			s.Disk.meta[op.Key] = op.Value
		}
	}
}

// Kept tells whether everything so far is on disk.
func (s *State) Kept() bool {
	return len(s.inFlight) == 0 && !s.holdsUnsaved() && len(s.Disk.photos) == 0
}

// holdsUnsaved tells whether something has to be saved and is not on its way.
func (s *State) holdsUnsaved() bool { return len(s.unsaved)+len(s.waiting) > 0 }

func saved(s *State, m Msg) []Effect {
	ops, ok := s.inFlight[m.Arg(0)]
	delete(s.inFlight, m.Arg(0))
	switch {
	case !ok || s.Disk.Closed || len(s.inFlight) > 0:
		return nil
	case s.holdsUnsaved():
		return []Effect{s.save()}
	case len(s.Disk.photos) > 0 && slices.ContainsFunc(ops, func(op Op) bool { return op.Value == nil }):
		return s.savePhotos() // there may be room for them now
	case len(s.Disk.photos) > 0:
		s.Disk.Fault.Text = words.T("core.photo-not-kept")
	default:
		s.Disk.Fault = Notice{}
	}
	return nil
}

// saveFailed keeps the ops for the next save, and says so. A picture may be too
// large where the rest is not, so the rest goes without it.
func saveFailed(s *State, m Msg) []Effect {
	ops, ok := s.inFlight[m.Arg(0)]
	if !ok {
		return nil
	}
	delete(s.inFlight, m.Arg(0))
	s.notKept(m.Text, m.Arg(1))
	photos := picturesIn(ops)
	s.Disk.photos = append(s.Disk.photos, photos...)
	for _, op := range ops {
		if op.Bucket != BucketBlob {
			s.unsaved = append(s.unsaved, op)
		}
	}
	if len(photos) > 0 && s.holdsUnsaved() && len(s.inFlight) == 0 {
		return []Effect{s.save()}
	}
	return nil
}

// notKept says why something is not on the disk, and what to do.
func (s *State) notKept(why, fix string) {
	if fix = Capital(fix) + "."; fix == "." {
		fix = words.T("core.not-kept-fix")
	}
	s.Disk.Fault = Notice{Tone: "bad", Text: words.T("core.not-kept", why), Fix: fix}
}

func picturesIn(ops []Op) (out []Op) {
	for _, op := range ops {
		if op.Bucket == BucketBlob {
			out = append(out, op)
		}
	}
	return out
}

// savePhotos tries the pictures that wait once more.
func (s *State) savePhotos() []Effect {
	s.unsaved, s.Disk.photos = append(s.unsaved, s.Disk.photos...), nil
	return []Effect{s.save()}
}

func saveAgain(s *State, m Msg) []Effect {
	if s.Disk.Closed {
		return []Effect{Reopen{}}
	}
	return append(s.savePhotos(), Room{})
}

// reopened goes on with a store that was closed. What it holds of the phone
// itself is in the message: nothing, if the browser emptied it.
func reopened(s *State, m Msg) []Effect {
	s.Disk.Closed = false
	switch {
	case s.ReadOnly:
		return nil // the tab that writes sees to it
	case len(m.Found) == 0:
		return s.rescue()
	}
	effects := []Effect{s.saveAll(true)}
	if s.Page.Contest != "" && s.Open == nil {
		effects = append(effects, s.openContest(s.Page.Contest)...)
	}
	return effects
}

func reopenFailed(s *State, m Msg) []Effect {
	s.notKept(m.Text, m.Arg(0))
	return nil
}

// rescue writes all that is in memory to a store that was emptied. What is not
// in memory is lost: contests that are not open, and pictures.
func (s *State) rescue() []Effect {
	var ops []Op
	for _, key := range sorting.Keys(s.Disk.meta) {
		ops = append(ops, Op{BucketMeta, key, s.Disk.meta[key]})
	}
	ops = append(ops, picturesIn(s.unsaved)...)
	ops = append(ops, s.Disk.photos...)
	for n := range s.saves {
		ops = append(ops, picturesIn(s.inFlight[saveTag(n+1)])...)
	}
	ops = append(ops, picturesIn(s.waiting)...)
	s.inFlight, s.unsaved, s.waiting, s.Disk.photos = map[string][]Op{}, nil, nil, nil
	text, names := words.T("core.emptied"), ""
	if s.Open != nil {
		ops = append(ops, s.openOps()...)
		text += " " + words.T("core.emptied-open", s.Open.Head.Name)
	}
	for _, h := range s.Contests {
		if s.Open == nil || h.ID != s.Open.Head.ID {
			s.Disk.Lost = append(s.Disk.Lost, Head{ID: h.ID, Name: h.Name})
			names += ", " + h.Name
		}
	}
	s.Contests = slices.DeleteFunc(s.Contests, func(h Head) bool { return s.lost(h.ID) })
	s.Notice = Notice{Tone: "caution", Text: text}
	if names != "" {
		s.Notice.Fix = words.T("core.emptied-lost", names[2:])
	}
	effects := []Effect{s.ask(ops, true)}
	if s.Page.Contest != "" && s.Open == nil {
		s.Page = Page{Name: "home"}
		effects = append(effects, Route{Hash: s.Page.Hash()})
	}
	return effects
}

// openOps writes the contest that is open, whole.
func (s *State) openOps() []Op {
	o := s.Open
	id := o.Head.ID
	ops := append([]Op{headOp(o.Head)}, added(id, merge.Fold(record.Set{Contest: o.Set.Contest}), o.Contest.State())...)
	if s.Keying.contest == id {
		for _, d := range s.Keying.drafts {
			ops = append(ops, Op{BucketDraft, draftKey(id, d.Class, d.Number), tree.Write(&d)})
		}
	}
	return ops
}

func (s *State) lost(id string) bool {
	return slices.ContainsFunc(s.Disk.Lost, func(h Head) bool { return h.ID == id })
}

func (s *State) has(id string) bool {
	return slices.ContainsFunc(s.Contests, func(h Head) bool { return h.ID == id })
}

// seeMark compares what is in the store with the mark outside of it: contests
// that stand in the mark alone were thrown away by the browser.
func (s *State) seeMark(mark string) {
	s.Disk.marked = mark
	for line := range strings.Lines(mark) {
		id, name, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
		if id != "" && !s.has(id) && !s.lost(id) {
			s.Disk.Lost = append(s.Disk.Lost, Head{ID: id, Name: name})
		}
	}
}

// mark keeps the mark outside the store: the contests on this phone, a line
// each. One is added once it is on the disk and taken off before it leaves it,
// so that a death in between never looks like something thrown away.
func (s *State) mark() []Effect {
	if s.ReadOnly || s.public == nil {
		return nil
	}
	s.Disk.Lost = slices.DeleteFunc(s.Disk.Lost, func(h Head) bool { return s.has(h.ID) })
	var b strings.Builder
	for _, h := range slices.Concat(s.Disk.Lost, s.Contests) {
		if s.Kept() || strings.Contains(s.Disk.marked, h.ID) {
			b.WriteString(h.ID + " " + h.Name + "\n")
		}
	}
	if b.String() == s.Disk.marked {
		return nil
	}
	s.Disk.marked = b.String()
	return []Effect{Mark{s.Disk.marked}}
}

// roomKnown takes in how much room there is, and whether the browser promised
// to keep it. It warns once when room gets scarce.
func roomKnown(s *State, m Msg) []Effect {
	was := s.Tight()
	s.Disk.Used, s.Disk.Quota = toBytes(m.Arg(0)), toBytes(m.Arg(1))
	if s.Tight() && !was {
		s.Notice = Notice{Tone: "caution", Text: words.T("core.tight", Size(s.Left())), Fix: words.T("core.tight-fix")}
	}
	if kept := m.Arg(2); !s.ReadOnly && (kept == "yes" || s.Phone.Kept == "yes") && kept != s.Phone.Kept {
		return persisted(s, Msg{Args: []string{kept}})
	}
	return nil
}

func toBytes(text string) int64 {
	n, _ := strconv.ParseInt(text, 10, 64)
	return n
}

// Left is how many bytes the app may still take up.
func (s *State) Left() int64 { return max(0, s.Disk.Quota-s.Disk.Used) }

// Tight tells whether more than nine tenths of the room are taken.
func (s *State) Tight() bool { return s.Left() < s.Disk.Quota/10 }

// Size writes a number of bytes as people read it.
func Size(bytes int64) string {
	const mega = 1_000_000
	switch {
	case bytes < mega:
		return itoa((bytes+999)/1000) + " kB"
	case bytes < 1000*mega:
		return itoa(bytes/mega) + " MB"
	}
	return itoa(bytes/(1000*mega)) + " GB"
}

func persisted(s *State, m Msg) []Effect {
	s.Phone.Kept = m.Arg(0)
	return []Effect{s.save(s.phoneOp())}
}
