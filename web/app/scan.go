package app

import (
	"strings"

	"keelcard/engine"
	"keelcard/engine/codec/frames"
	"keelcard/web/words"
)

// Scanning is the reading of picture codes from another phone's screen.
type Scanning struct {
	On      bool   // the camera was asked for
	Open    bool   // it is open
	Trouble string // why not: "refused", "none", "busy", "barred", "reader" or "stopped"
	Have    int    // pictures read that were of use
	Need    int    // how many it takes, 0 before the first
	Fault   Notice // what is wrong with the code in sight

	receiver frames.Receiver
}

func scanHandlers() handlers {
	return handlers{
		"enter.scan":   func(s *State, m Msg) []Effect { s.Scanning = Scanning{}; return nil },
		"scan.begin":   beginScan,
		"scan.end":     func(s *State, m Msg) []Effect { s.Scanning = Scanning{}; return nil },
		"scan.opened":  func(s *State, m Msg) []Effect { s.Scanning.Open = s.Scanning.On; return nil },
		"scan.code":    codeRead,
		"scan.trouble": scanTrouble,
	}
}

// beginScan opens the camera. What was gathered before it was laid aside stays.
func beginScan(s *State, m Msg) []Effect {
	var effects []Effect
	if s.Page.Name != "scan" {
		effects = s.goTo(m, Page{Name: "scan"})
	}
	sc := &s.Scanning
	*sc = Scanning{On: true, Have: sc.Have, Need: sc.Need, receiver: sc.receiver}
	return append(effects, Scan{})
}

// scanTrouble says why the camera or the reader is not there.
func scanTrouble(s *State, m Msg) []Effect {
	if s.Page.Name == "scan" && s.Scanning.On {
		s.Scanning.On, s.Scanning.Open, s.Scanning.Trouble = false, false, m.Text
	}
	return nil
}

// codeRead takes in a code that was read. When the whole is there, it is looked
// at as a file would be.
func codeRead(s *State, m Msg) []Effect {
	sc := &s.Scanning
	if s.Page.Name != "scan" || !sc.On {
		return nil
	}
	frame, err := frames.Frame(m.Text)
	var p frames.Progress
	if err == nil {
		p, err = sc.receiver.Add(frame)
	}
	if err != nil {
		code := engine.CodeOf(err)
		if code == frames.CodeMixed {
			sc.Have, sc.Need = 0, 0
		}
		_, kind, _ := strings.Cut(string(code), ".")
		sc.Fault = Notice{Tone: "caution", Text: words.T("scan.wrong-" + kind), Fix: words.T("scan.mend-" + kind)}
		return nil
	}
	sc.Fault, sc.Have, sc.Need = Notice{}, p.Have, p.Need
	if p.Content == nil {
		return nil
	}
	effects := s.goTo(m, Page{Name: "take-in"})
	s.Scanning = Scanning{}
	effects = append(effects, arrived(s, m, words.T("scan.arrived"), p.Content)...)
	if s.Phone.Aloud {
		effects = append(effects, Speak{words.T("scan.whole")})
	}
	return effects
}
