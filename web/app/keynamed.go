package app

import (
	"slices"
	"strconv"
	"strings"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/web/words"
)

// The key of a class of names or faults, other answers that are right as well,
// and keys that are pasted.

// KeyPaste is a key given as text, "" before anything was pasted.
type KeyPaste struct {
	Open bool
	Text string
}

func keyNamedHandlers() handlers {
	return handlers{
		"key.name":       keyName,
		"key.fault":      keyFault,
		"key.none":       func(s *State, m Msg) []Effect { return s.answerOn(m, contest.None) },
		"key.on":         keyOn,
		"key.also":       keyAlso,
		"key.search":     func(s *State, m Msg) []Effect { s.KeyPage.Search = m.Text; return nil },
		"key.paste":      func(s *State, m Msg) []Effect { s.KeyPage.Paste.Open = !s.KeyPage.Paste.Open; return nil },
		"key.paste-text": func(s *State, m Msg) []Effect { s.KeyPage.Paste.Text = m.Text; return nil },
		"key.paste-take": keyPasteTake,
	}
}

// ItemName names the open item as people call it: a bird, an egg, or an item.
func (k KeyNow) ItemName() string {
	if k.Item == 0 {
		return k.Class.Name
	}
	return k.NameOf(k.Item)
}

// NameOf names an item of the class as people call it.
func (k KeyNow) NameOf(item uint32) string {
	if k.Bird.Book != nil {
		return words.T("key.item-"+Drawing(k.Bird.Book), item)
	}
	return words.T("keying.item", item)
}

// Faults lists the faults that the official found on the open item.
func (k KeyNow) Faults() []string {
	if !k.Settled() {
		return nil
	}
	return contest.SplitFaults(k.Answer.Answer)
}

// numbered gives the answer that an action names by its number.
func numbered(list []string, arg string) (string, bool) {
	n, err := strconv.Atoi(arg)
	if err != nil || n < 1 || n > len(list) {
		return "", false
	}
	return list[n-1], true
}

// keyName sets the official name of the open item and goes on.
func keyName(s *State, m Msg) []Effect {
	k, err := s.KeyNow()
	name, ok := numbered(k.Class.Answers(), m.Arg(0))
	if err != nil || !ok || k.Class.Kind != contest.Identified {
		return nil
	}
	return s.answerOn(m, name)
}

// answerOn sets the answer of the open item. If it had none, the next without
// one is opened.
func (s *State) answerOn(m Msg, answer string) []Effect {
	k, err := s.keyOpen()
	if err != nil {
		return s.refuse(err)
	}
	effects := s.answerKey(m, k, answer)
	if len(effects) == 0 || k.Status != merge.Absent {
		return effects
	}
	return append(effects, s.openUnset(k)...)
}

// openUnset opens the next item without an answer, if there is one.
func (s *State) openUnset(k KeyNow) []Effect {
	status := s.Open.Contest.Key(k.Class).Status
	for i := range status {
		if next := (int(k.Item) + i) % len(status); status[next] == merge.Absent {
			return s.openItem(k.Class, uint32(next)+1)
		}
	}
	return nil
}

// keyFault puts a fault on the open item, or takes it off again. Without any
// the item has no answer yet, unless the key is locked.
func keyFault(s *State, m Msg) []Effect {
	k, err := s.keyOpen()
	if err != nil {
		return s.refuse(err)
	}
	listed, _ := k.Class.Faults()
	ids := make([]string, len(listed))
	for i, f := range listed {
		ids[i] = f.ID
	}
	turned, ok := numbered(ids, m.Arg(0))
	if !ok || k.Class.Kind != contest.Checked {
		return nil
	}
	present := k.Faults()
	there := slices.Contains(present, turned)
	found := slices.DeleteFunc(ids, func(id string) bool {
		if id == turned {
			return there
		}
		return !slices.Contains(present, id)
	})
	if len(found) > 0 || k.Key.Locked {
		return s.answerKey(m, k, contest.JoinFaults(found))
	}
	return s.changeKey(m, k, words.T("key.said-taken"), written{Subject: k.Subject()})
}

// keyOn is done with the faults of the open item.
func keyOn(s *State, m Msg) []Effect {
	k, err := s.KeyNow()
	if err != nil || k.Item == 0 || !k.Settled() {
		return nil
	}
	if effects := s.openUnset(k); effects != nil {
		return effects
	}
	m.Args = []string{itoa(k.Item + 1)}
	return keyItem(s, m)
}

// keyAlso makes another answer right as well, or no more.
func keyAlso(s *State, m Msg) []Effect {
	k, err := s.keyOpen()
	switch {
	case err != nil:
		return s.refuse(err)
	case k.Key.Locked:
		return s.refuse(engine.New("app.key-locked", k.Class.Name, words.T("key.is-locked"), words.T("key.also-ruling")))
	}
	also, ok := numbered(k.Class.Answers(), m.Arg(0))
	if !ok || !k.Settled() || also == k.Answer.Answer || k.Class.Kind != contest.Graded && k.Class.Kind != contest.Identified {
		return nil
	}
	item := k.Answer
	item.Also = slices.Clone(item.Also)
	if i := slices.Index(item.Also, also); i >= 0 {
		item.Also = slices.Delete(item.Also, i, i+1)
	} else {
		item.Also = append(item.Also, also)
	}
	value, err := item.Write(k.Class)
	if err != nil {
		return s.refuse(err)
	}
	return s.changeKey(m, k, KeyText(k.Class, item), written{Subject: k.Subject(), Value: value})
}

// keyPasteTake writes down the answers that could be read, as one piece. What
// could not stays in the text, with its faults.
func keyPasteTake(s *State, m Msg) []Effect {
	k, err := s.keyOpen()
	switch {
	case err != nil:
		return s.refuse(err)
	case k.Key.Locked:
		return s.refuse(engine.New("app.key-locked", k.Class.Name, words.T("key.is-locked"), words.T("key.is-locked-fix")))
	}
	items, faults := contest.ParseKey(k.Class, s.KeyPage.Paste.Text)
	var entries []written
	for i, item := range items {
		if item.Answer == "" || k.Key.Status[i] == merge.InQuestion {
			continue
		}
		value, err := item.Write(k.Class)
		if err != nil {
			return s.refuse(err)
		}
		entries = append(entries, written{Subject: k.Class.KeySubject(i), Value: value})
	}
	effects, err := s.record(m, entries...)
	if err != nil {
		return s.refuse(err)
	}
	if len(faults) == 0 {
		s.KeyPage.Paste = KeyPaste{}
	}
	s.Notice = Notice{Tone: "info", Text: words.N("key.pasted", len(entries))}
	return effects
}

// keyKindKey does what a key of the keyboard stands for on the key of a class of
// names or faults.
func keyKindKey(s *State, m Msg, k KeyNow, key string) []Effect {
	answers := KeyingAnswers(k.Class)
	at := slices.IndexFunc(answers, func(a KeyingAnswer) bool { return a.Letter != "" && a.Letter == key })
	if n, err := strconv.Atoi(key); at < 0 && err == nil && len(answers) < FewAnswers {
		at = n - 1
	}
	m.Args = []string{strconv.Itoa(at + 1)}
	switch {
	case k.Class.Kind != contest.Checked && at >= 0:
		return keyName(s, m)
	case k.Class.Kind != contest.Checked:
		return nil
	case strings.Contains("0n", key):
		return s.answerOn(m, contest.None)
	case key == "Enter":
		return keyOn(s, m)
	case at >= 0:
		return keyFault(s, m)
	}
	return nil
}
