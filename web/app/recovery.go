package app

import (
	"slices"

	"keelcard/engine"
	"keelcard/engine/seal"
	"keelcard/web/words"
)

// Recovery is the page of the recovery words: on paper they bring the owner's
// authority to another phone.
type Recovery struct {
	Shown []string // the words of this phone, nil unless they are asked for
	Typed string   // what is typed in
	Check bool     // to see whether they were written down
	Fault Notice   // why that cannot be
	More  []Notice // what else is wrong, word by word
}

func recoveryHandlers() handlers {
	return handlers{
		"enter.recovery": func(s *State, m Msg) []Effect { s.Recovery = Recovery{}; return nil },
		"recovery.show":  showWords,
		"recovery.hide":  func(s *State, m Msg) []Effect { s.Recovery = Recovery{}; return nil },
		"recovery.check": func(s *State, m Msg) []Effect {
			s.Recovery = Recovery{Check: true}
			return []Effect{Focus{"f-recovery"}}
		},
		"recovery.typed": func(s *State, m Msg) []Effect {
			s.Recovery = Recovery{Typed: m.Text, Check: s.Recovery.Check}
			return nil
		},
		"recovery.take": takeWords,
	}
}

// HasWords tells whether this phone has recovery words to be written down.
func (s *State) HasWords() bool { return len(s.Phone.Authorities) > 0 }

func showWords(s *State, m Msg) []Effect {
	if s.HasWords() {
		if a, ok := s.Phone.Authorities[0].authority(); ok {
			s.Recovery = Recovery{Shown: a.Words()}
		}
	}
	return nil
}

// takeWords reads the words that are typed: those of this phone, to see that they
// are written down, or those of another one, whose contests then are this one's too.
func takeWords(s *State, m Msg) []Effect {
	r := &s.Recovery
	if m.Text != "" {
		r.Typed = m.Text
	}
	r.More = nil
	a, err := seal.ReadWords(r.Typed)
	if err != nil {
		if all, ok := err.(engine.Faults); ok {
			err = all[0]
			for _, e := range all[1:] {
				r.More = append(r.More, noticeOf(e))
			}
		}
		r.Fault = noticeOf(err)
		return nil
	}
	if s.ReadOnly {
		return s.refuse(readOnly())
	}
	key := authorityKey(a)
	at := slices.IndexFunc(s.Phone.Authorities, func(k Key) bool { return k.Seed == key.Seed })
	text := words.T("recovery.kept")
	switch {
	case at == 0:
		s.Phone.WordsKept = true
	case r.Check:
		r.Fault = Notice{Tone: "bad", Text: words.T("recovery.others"), Fix: words.T("recovery.others-fix")}
		return nil
	case at < 0:
		s.Phone.Authorities = append(s.Phone.Authorities, key)
		s.Phone.WordsKept = s.Phone.WordsKept || len(s.Phone.Authorities) == 1
		text = words.T("recovery.taken")
	default:
		text = words.T("recovery.taken")
	}
	s.Recovery = Recovery{}
	effects := append([]Effect{s.save(s.phoneOp())}, s.unsealed(m)...)
	s.Notice = Notice{Tone: "info", Text: text}
	return effects
}

// newAuthority makes what the owner of contests has, where this phone has none.
func (s *State) newAuthority(m Msg) []Op {
	if s.HasWords() || len(m.Rand) < len(seal.Authority{}) {
		return nil
	}
	s.Phone.Authorities = []Key{authorityKey(seal.Authority(m.Rand[:len(seal.Authority{})]))}
	return []Op{s.phoneOp()}
}
