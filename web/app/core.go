package app

import (
	"encoding/hex"
	"strings"

	"keelcard/engine/tree"
	"keelcard/web/words"
)

func coreHandlers() handlers {
	return handlers{
		"boot":           boot,
		"route":          route,
		"open":           openPage,
		"key":            pressKey,
		"loaded":         loaded,
		"load-failed":    loadFailed,
		"offered":        offered,
		"file":           fileArrived,
		"tick":           func(s *State, m Msg) []Effect { return s.run("tick."+m.Arg(0), m) },
		"reader":         func(s *State, m Msg) []Effect { s.ReadOnly = true; return nil },
		"update-waiting": func(s *State, m Msg) []Effect { s.Newer = true; return nil },
		"update-take":    func(s *State, m Msg) []Effect { return []Effect{UpdateShell{}} },
		"notice-close":   func(s *State, m Msg) []Effect { s.Notice = Notice{}; return nil },
		"failed":         failed,
		"phone.initials": setInitials,
		"phone.scheme":   setScheme,
		"phone.aloud":    setAloud,
		"undo":           undo,
		"print":          func(s *State, m Msg) []Effect { return []Effect{Print{}} },
		"contest.forget": forgetContest,
		"contest.reload": func(s *State, m Msg) []Effect { return s.openContest(s.Page.Contest) },
		"enter.contest":  enterContest,
		"enter.phone":    func(s *State, m Msg) []Effect { return []Effect{Room{}} },
		"phone.ask-keep": func(s *State, m Msg) []Effect { return []Effect{Persist{}} },
	}
}

// boot is the first message: it makes the phone's key when it has none, and
// opens the page in the address, its first argument. The second is the mark.
func boot(s *State, m Msg) []Effect {
	var effects []Effect
	s.seeMark(m.Arg(1))
	if s.Phone.Seed == "" && len(m.Rand) >= 32 {
		s.Phone.Seed = hex.EncodeToString(m.Rand[:32])
		if err := s.identify(); err != nil {
			return s.refuse(err)
		}
		effects = append(effects, s.save(s.phoneOp()))
	}
	effects = append(effects, Scheme{s.Phone.Scheme}, Room{})
	return append(effects, route(s, m)...)
}

func (s *State) phoneOp() Op {
	return Op{BucketMeta, "phone", tree.Write(&s.Phone)}
}

// route shows the page of an address.
func route(s *State, m Msg) []Effect {
	next := ParseHash(m.Arg(0))
	s.Notice, s.Signing = Notice{}, false
	s.Page = next
	if next.Contest != "" && (s.Open == nil || s.Open.Head.ID != next.Contest) {
		return append(s.openContest(next.Contest), Top{})
	}
	return append(s.enter(m), Top{})
}

// openPage is the tap on something that leads to another page; its argument is
// the page's address.
func openPage(s *State, m Msg) []Effect {
	next := ParseHash(m.Arg(0))
	return append([]Effect{Route{Hash: next.Hash(), Push: true}}, route(s, m)...)
}

// pressKey hands a key of the keyboard to the page that is shown; the key is
// the first argument.
func pressKey(s *State, m Msg) []Effect {
	if s.Barred(s.Page.Name) != "" {
		return nil
	}
	return s.run("key."+s.Page.Name, m)
}

// enter readies the state of the page that is shown, once its contest is open.
func (s *State) enter(m Msg) []Effect {
	return s.run("enter."+s.Page.Name, m)
}

// enterContest looks at the clocks, once what does so is here.
func enterContest(s *State, m Msg) []Effect {
	if s.Rest.Away {
		return nil
	}
	return s.run("history.clock", m)
}

// goTo opens a page from within the app.
func (s *State) goTo(m Msg, p Page) []Effect {
	s.Page, s.Signing = p, false
	effects := []Effect{Route{Hash: p.Hash(), Push: true}}
	return append(append(effects, s.enter(m)...), Top{})
}

func failed(s *State, m Msg) []Effect {
	s.Notice = Notice{Tone: "bad", Text: m.Text, Fix: m.Arg(0)}
	return nil
}

func loadFailed(s *State, m Msg) []Effect {
	s.Notice = Notice{Tone: "bad", Text: words.T("core.load-failed", m.Text), Fix: words.T("core.load-failed-fix")}
	return nil
}

func offered(s *State, m Msg) []Effect {
	switch m.Arg(1) {
	case "shared", "saved", "copied":
		s.Notice = Notice{Tone: "info", Text: words.T("core.offered-" + m.Arg(1))}
		if m.Arg(0) == "bundle" {
			return s.handedOver(m)
		}
		return s.run("offered."+m.Arg(0), m)
	}
	return nil
}

func setInitials(s *State, m Msg) []Effect {
	text := strings.Join(strings.Fields(m.Text), " ")
	if n := len([]rune(text)); n > 12 {
		s.Notice = Notice{Tone: "bad", Text: words.T("core.initials-long", n), Fix: words.T("core.initials-fix")}
		return nil
	}
	s.Signing = s.Signing || s.Phone.Initials == ""
	s.Phone.Initials = text
	return append([]Effect{s.save(s.phoneOp())}, s.unsealed(m)...) // what could not be written without them
}

func setScheme(s *State, m Msg) []Effect {
	switch name := m.Arg(0); name {
	case "bright", "dim", "":
		s.Phone.Scheme = name
		return []Effect{s.save(s.phoneOp()), Scheme{name}}
	}
	return nil
}

func setAloud(s *State, m Msg) []Effect {
	s.Phone.Aloud = m.Arg(0) == "on"
	return []Effect{s.save(s.phoneOp())}
}

// fileArrived passes a file to the page that asked for it.
func fileArrived(s *State, m Msg) []Effect {
	return s.run("file."+m.Arg(0), m)
}
