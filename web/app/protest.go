package app

import (
	"slices"
	"strings"

	"keelcard/engine/clock"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/sorting"
	"keelcard/engine/tree"
	"keelcard/web/words"
)

// What a line of the log for the protest table tells.
const (
	LogSettled = "settled" // different values gave way to one
	LogRuling  = "ruling"  // made, changed or taken back
	LogLock    = "lock"    // a key was locked, or opened again
	LogCard    = "card"    // changed after it was keyed
	LogKey     = "key"     // an official answer was corrected, or set late
	LogPerson  = "person"  // a contestant or a team was corrected
	LogClass   = "class"   // a class was changed late
	LogRules   = "rules"   // settings or a rule book were changed late
)

// LogLine is one record of the log for the protest table.
type LogLine struct {
	Past
	What string
	Late bool // written after the key of its class was locked, or any key where it concerns all classes
}

func protestHandlers() handlers {
	return handlers{
		"log.class":  func(s *State, m Msg) []Effect { return s.filterLog(m.Text, s.Page.Arg(1)) },
		"log.number": func(s *State, m Msg) []Effect { return s.filterLog(s.Page.Arg(0), m.Text) },
	}
}

// filterLog keeps what the log is filtered by in its address: a class and a
// contestant number, 0 for all.
func (s *State) filterLog(class, number string) []Effect {
	p := Page{Args: []string{class, strings.TrimSpace(number)}}
	s.Page.Args = []string{itoa(p.Number(0)), itoa(p.Number(1))}
	return []Effect{Route{Hash: s.Page.Hash()}}
}

// ProtestLog lists what a protest may be about, the newest first: rulings, what
// was settled, when keys were locked, and whatever was changed after it was first
// written, of which setting up is left out until the first key is locked. With a
// class, or a contestant's number, it holds what is about that class or
// contestant only; 0 stands for all.
func (s *State) ProtestLog(class, number uint32) []LogLine {
	p := newProtest(s.Open.Contest)
	var out []LogLine
	for _, run := range p.state.Runs() {
		for i, r := range run.Read {
			if !concerns(r.Subject, class, number) {
				continue
			}
			at := record.Ref{Phone: run.ID, Seq: run.After + uint32(i) + 1}
			line := LogLine{Past: Past{Record: r, At: at, Replaced: replaced(p.state, at, r)}}
			if line.What, line.Late = p.about(r, line.Replaced); line.What != "" {
				out = append(out, line)
			}
		}
	}
	sorting.Stable(out, func(a, b LogLine) int { return clock.Compare(b.Stamp, a.Stamp) })
	return out
}

// concerns tells whether a subject is about a class and a contestant, 0 for any.
func concerns(sub record.Subject, class, number uint32) bool {
	ofClass, ofPerson := uint32(0), uint32(0)
	switch sub.Kind {
	case record.KindCard:
		ofClass, ofPerson = sub.A, sub.B
	case record.KindPerson:
		ofPerson = sub.A
	case record.KindClass, record.KindKey, record.KindLock, record.KindRuling:
		ofClass = sub.A
	}
	return (class == 0 || class == ofClass) && (number == 0 || number == ofPerson)
}

// replaced gives the records that a record names, as far as they are here.
func replaced(state *merge.State, at record.Ref, r record.Record) []record.Record {
	var out []record.Record
	for _, ref := range r.Replaces {
		if old, ok := state.Named(at, ref); ok {
			was, _ := state.Record(old)
			out = append(out, was)
		}
	}
	return out
}

// protest knows when keys were first locked.
type protest struct {
	state *merge.State
	locks map[uint32]clock.Stamp // by class; 0 is the first of all
}

func newProtest(c *contest.Contest) protest {
	p := protest{c.State(), map[uint32]clock.Stamp{}}
	for _, sub := range p.state.Subjects(record.KindLock) {
		for _, ref := range p.state.History(sub) { // the earliest first
			r, _ := p.state.Record(ref)
			if r.Value == "" {
				continue
			}
			p.locks[sub.A] = r.Stamp
			if first, ok := p.locks[0]; !ok || clock.Compare(r.Stamp, first) < 0 {
				p.locks[0] = r.Stamp
			}
			break
		}
	}
	return p
}

// late tells whether a record is later than the first lock of a class's key.
func (p protest) late(r record.Record, class uint32) bool {
	lock, locked := p.locks[class]
	return locked && clock.Compare(r.Stamp, lock) > 0
}

// about says what a record is in the log for, "" when it has no place there.
func (p protest) about(r record.Record, old []record.Record) (what string, late bool) {
	changed := slices.ContainsFunc(old, func(o record.Record) bool { return o.Value != r.Value })
	settled := slices.ContainsFunc(old, func(o record.Record) bool { return o.Value != old[0].Value })
	keep := changed
	switch r.Subject.Kind {
	case record.KindRuling:
		what, keep = LogRuling, true
	case record.KindLock:
		what, keep = LogLock, true
	case record.KindCard:
		what, late = LogCard, p.late(r, r.Subject.A)
	case record.KindKey:
		what, late = LogKey, p.late(r, r.Subject.A)
		keep = changed || late
	case record.KindClass:
		what, late = LogClass, p.late(r, r.Subject.A)
		keep = late
	case record.KindPerson, record.KindTeam:
		what = LogPerson
	case record.KindContest, record.KindBook:
		what, late = LogRules, p.late(r, 0) || started(old)
		keep = late
	}
	switch {
	case what != "" && settled:
		what = LogSettled
	case !keep:
		what = ""
	}
	return what, late
}

// started tells whether the contest had begun by settings that were replaced.
func started(old []record.Record) bool {
	return slices.ContainsFunc(old, func(o record.Record) bool {
		var set contest.Settings
		return o.Subject.Kind == record.KindContest && tree.Read([]byte(o.Value), &set) == nil && set.Started
	})
}

// Changes puts into words what a record changed, one text a field: what it was,
// and what it became. Where several values were replaced all of them are told.
func (s *State) Changes(line LogLine) []string {
	sub := line.Subject
	var was []string
	for _, r := range line.Replaced {
		if r.Value != "" && !slices.Contains(was, r.Value) {
			was = append(was, r.Value)
		}
	}
	switch {
	case line.Value == "" && len(was) > 0:
		return []string{words.T("log.taken-back", s.TellShort(sub, was[0]))}
	case line.Value == "" || len(was) == 0:
		return []string{s.TellShort(sub, line.Value)}
	}
	if veiled := record.Veiled(line.Value); contest.Answers(sub.Kind) && (veiled || slices.ContainsFunc(was, record.Veiled)) {
		return []string{s.changedUnread(sub, was, line.Value)}
	}
	labels, now := Fields(s.Tell(sub, line.Value))
	before := make([]map[string]string, len(was))
	for i, v := range was {
		var more []string
		more, before[i] = Fields(s.Tell(sub, v))
		for _, l := range more {
			if !slices.Contains(labels, l) {
				labels = append(labels, l)
			}
		}
	}
	var out []string
	for _, l := range labels {
		if text := change(l, before, now[l]); text != "" {
			out = append(out, text)
		}
	}
	return out
}

// changedUnread is a change of which this phone cannot read all.
func (s *State) changedUnread(sub record.Subject, was []string, now string) string {
	var texts []string
	for _, v := range was {
		if text := s.TellShort(sub, v); !slices.Contains(texts, text) {
			texts = append(texts, text)
		}
	}
	became := s.TellShort(sub, now)
	if len(texts) == 1 && texts[0] == became {
		return words.T("log.sealed")
	}
	return words.T("log.change", strings.Join(texts, " / "), became)
}

// change tells what a field was and became, "" when all are the same.
func change(label string, before []map[string]string, now string) string {
	var was []string
	differs := false
	for _, b := range before {
		differs = differs || b[label] != now
		if text := or(b[label], words.T("log.nothing")); !slices.Contains(was, text) {
			was = append(was, text)
		}
	}
	if !differs {
		return ""
	}
	text := words.T("log.change", strings.Join(was, " / "), or(now, words.T("log.nothing")))
	if label != "" {
		text = words.T("history.labelled", label, text)
	}
	return text
}

// Fields gathers what is told under each label, and lists the labels in order.
func Fields(told []Told) (labels []string, texts map[string]string) {
	texts = map[string]string{}
	for _, t := range told {
		if !slices.Contains(labels, t.Label) {
			labels = append(labels, t.Label)
		}
		if texts[t.Label] != "" {
			t.Text = texts[t.Label] + "; " + t.Text
		}
		texts[t.Label] = t.Text
	}
	return labels, texts
}

// LogPhone is what a phone has put into the records that are here.
type LogPhone struct {
	Phone   record.PhoneID
	Records int
	Last    int64 // unix seconds by its own clock
}

// LogPhones lists the phones whose records are here, by number.
func (s *State) LogPhones() []LogPhone {
	var out []LogPhone
	for _, run := range s.Open.Contest.State().Runs() {
		if n := len(out); n == 0 || out[n-1].Phone != run.Phone {
			out = append(out, LogPhone{Phone: run.Phone})
		}
		p := &out[len(out)-1]
		p.Records += len(run.Records)
		for _, r := range run.Records {
			p.Last = max(p.Last, r.Stamp.Wall)
		}
	}
	return out
}
