package app

import (
	"keelcard/engine/record"
	"keelcard/web/words"
)

// Stamps decide nothing, so a clock that is wrong spoils nothing but the times
// that people read. It is noticed here, by the stamps that phones took from their
// own clock: those without a tick. Others follow on a stamp that was seen before.

const (
	// doubtful is by how many seconds clocks may differ before it is said.
	doubtful = 3600
	// firstDay is before any clock that is right: 2026 begins, in unix seconds.
	firstDay = 1_767_225_600
)

func clockHandlers() handlers {
	return handlers{
		"history.clock": func(s *State, m Msg) []Effect {
			if s.Clock = (Notice{}); s.Open != nil {
				s.Clock = s.ClockNotice()
			}
			return nil
		},
	}
}

// Doubtful tells of the time of a record, in unix seconds, that it cannot be
// right by the clock of this phone.
func (s *State) Doubtful(wall int64) bool { return wall > s.Now+doubtful || wall < firstDay }

// ClockNotice says whose clock is probably wrong, as far as the open contest
// shows; it is empty when nothing speaks against any.
func (s *State) ClockNotice() Notice {
	text := s.clockDoubt()
	if text == "" {
		return Notice{}
	}
	return Notice{Tone: "caution", Text: text, Fix: words.T("history.clock-fix")}
}

func (s *State) clockDoubt() string {
	if s.Now < firstDay {
		return words.T("history.clock-unset")
	}
	var own int64
	others := map[record.PhoneID]int64{} // of each other phone, the last time by its own clock
	behind := map[record.PhoneID]bool{}  // phones whose clocks stayed behind a stamp of this one
	for i := range s.Open.Set.Logs {
		l := &s.Open.Set.Logs[i]
		wall := lastTime(l)
		switch {
		case s.mine(l.Phone):
			own = max(own, wall)
		default:
			others[l.Phone] = max(others[l.Phone], wall)
			if n := len(l.Records); n > 0 && wall > 0 && l.Records[n-1].Stamp.Wall > wall+doubtful && s.stamped(l.Records[n-1].Stamp.Wall) {
				behind[l.Phone] = true
			}
		}
	}
	if own > s.Now+doubtful {
		return words.T("history.clock-back", span(own-s.Now))
	}
	var ahead []record.PhoneID
	least := int64(1 << 40)
	for phone, wall := range others {
		if wall > s.Now+doubtful {
			ahead = append(ahead, phone)
			least = min(least, wall-s.Now)
		}
	}
	switch {
	case len(ahead) > 1 && 2*len(ahead) >= len(others):
		return words.T("history.clock-behind", span(least))
	case len(ahead) == 1:
		return words.T("history.clock-other", ahead[0].String()[:4], span(least))
	case len(ahead) > 1:
		return words.T("history.clock-others", len(ahead))
	case len(behind) > 1:
		return words.T("history.clock-ahead")
	}
	return ""
}

// lastTime is the last time in a log that its phone took from its own clock, 0
// for none.
func lastTime(l *record.Log) int64 {
	for i := len(l.Records) - 1; i >= 0; i-- {
		if at := l.Records[i].Stamp; at.Tick == 0 {
			return at.Wall
		}
	}
	return 0
}

// stamped tells whether this phone took that time from its own clock.
func (s *State) stamped(wall int64) bool {
	for _, l := range s.Open.Set.Logs {
		for i := len(l.Records) - 1; s.mine(l.Phone) && i >= 0 && l.Records[i].Stamp.Wall >= wall; i-- {
			if l.Records[i].Stamp.Wall == wall && l.Records[i].Stamp.Tick == 0 {
				return true
			}
		}
	}
	return false
}

// span writes a length of time in hours, or in days from two on.
func span(seconds int64) string {
	if hours := int((seconds + 1800) / 3600); hours < 48 {
		return words.N("history.hours", hours)
	}
	return words.N("history.days", int((seconds+12*3600)/(24*3600)))
}
