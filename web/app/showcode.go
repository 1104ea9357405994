package app

import (
	"keelcard/engine/codec/frames"
	"keelcard/web/words"
)

// ShowCode is a bundle shown as picture codes, for the camera of another phone.
type ShowCode struct {
	Size   int    // bytes of the bundle, 0 when none was made
	Blocks int    // pictures that make the whole; 1 stands still
	Number uint32 // of the picture that is shown, from 0
	Text   string // what the picture says
	Moving bool   // one picture after another is shown
	Invite string // to which role it invites, "" when it hands over
	Large  bool   // larger squares and more pictures, for a camera that sees less

	bundle []byte
	sender *frames.Sender
	run    int // the number of the last start: a tick of an earlier one does nothing
}

// Letters that a picture code holds at level M of ISO/IEC 18004. One of version 20
// is the finest that a phone's camera reads at arm's length; a moving one is
// coarser, since the camera has no time to settle.
const (
	stillLetters = 970 // version 20, 97 squares wide
	movesLetters = 600 // version 15, 77
	largeLetters = 311 // version 10, 57
)

// Milliseconds from one picture to the next. A camera takes 15 to 30 pictures a
// second, and two of each are enough.
const (
	betweenCodes = 100
	calmCodes    = 500 // where the person asked for less motion
)

func showCodeHandlers() handlers {
	return handlers{
		"enter.show-code": func(s *State, m Msg) []Effect { s.ShowCode = ShowCode{run: s.ShowCode.run}; return nil },
		"show-code.start": startCodes,
		"show-code.pause": func(s *State, m Msg) []Effect { s.ShowCode.Moving = false; return nil },
		"show-code.large": func(s *State, m Msg) []Effect { return s.cutCode(true) },
		"show-code.small": func(s *State, m Msg) []Effect { return s.cutCode(false) },
		"show-code.given": codeGiven,
		"tick.show-code":  nextCode,
	}
}

// giveCode shows a bundle of the open contest.
func giveCode(s *State, m Msg, data []byte) []Effect {
	var effects []Effect
	if page := (Page{Name: "show-code", Contest: s.Open.Head.ID}); s.Page.Hash() != page.Hash() {
		effects = s.goTo(m, page)
	}
	return append(append(effects, s.showCode(data, "")...), Awake{})
}

// showCode shows a bundle, or an invitation to a role.
func (s *State) showCode(data []byte, role string) []Effect {
	s.ShowCode = ShowCode{Size: len(data), Invite: role, bundle: data, run: s.ShowCode.run}
	return s.cutCode(false)
}

// cutCode cuts the bundle into pictures with small squares or large ones.
func (s *State) cutCode(large bool) []Effect {
	c := &s.ShowCode
	letters := movesLetters
	switch {
	case large:
		letters = largeLetters
	case frames.Room(stillLetters) >= len(c.bundle)+frames.Overhead:
		letters = stillLetters
	}
	sender, err := frames.NewSender(c.bundle, frames.Room(letters))
	if err != nil {
		s.ShowCode = ShowCode{run: c.run}
		return s.refuse(err)
	}
	*c = ShowCode{Size: c.Size, Invite: c.Invite, Blocks: sender.Blocks(), Large: large, bundle: c.bundle, sender: sender, run: c.run}
	c.Text = frames.Text(sender.Frame(0))
	return nil
}

// startCodes shows one picture after another.
func startCodes(s *State, m Msg) []Effect {
	c := &s.ShowCode
	if c.sender == nil || c.Blocks < 2 || c.Moving {
		return nil
	}
	c.Moving = true
	c.run++
	return []Effect{s.tickCodes(), Top{}, Awake{}}
}

func (s *State) tickCodes() Effect {
	return Tick{Tag: "show-code", Run: s.ShowCode.run, After: betweenCodes, Calm: calmCodes}
}

// nextCode shows the next picture, as long as they move.
func nextCode(s *State, m Msg) []Effect {
	c := &s.ShowCode
	if !c.Moving || s.Page.Name != "show-code" || m.Arg(1) != itoa(c.run) {
		return nil
	}
	c.Number++
	c.Text = frames.Text(c.sender.Frame(c.Number))
	return []Effect{s.tickCodes()}
}

// codeGiven notes that the other phone has it: its owner said so. After an
// invitation comes the next one.
func codeGiven(s *State, m Msg) []Effect {
	if s.Open == nil || s.ShowCode.Size == 0 {
		return nil
	}
	next := Page{Name: "hand-over", Contest: s.Open.Head.ID}
	if role := s.ShowCode.Invite; role != "" {
		next.Name, next.Args = "invite", []string{role}
	}
	effects := s.handedOver(m)
	effects = append(effects, s.goTo(m, next)...)
	s.Notice = Notice{Tone: "info", Text: words.T("show-code.given")}
	return effects
}
