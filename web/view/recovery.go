package view

import (
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// recoveryPage is where the recovery words are shown, tried, and entered on
// another phone.
func recoveryPage(s *app.State) m.Node {
	r := s.Recovery
	var cards []m.Part
	switch {
	case len(r.Shown) > 0:
		cards = []m.Part{recoveryShown(r)}
	case r.Check:
		cards = []m.Part{parts.Card("recovery-check", words.T("recovery.check-title"), recoveryForm(r))}
	default:
		cards = []m.Part{recoveryWhat(s), recoveryOthers(s)}
	}
	return m.El("div", m.ID("recovery"),
		parts.TopBar(words.T("recovery.title"), words.T("phone.sub", s.Phone.ID.String()), words.T("phone.title"), toPage("phone")),
		parts.Main(parts.Stack(cards...)))
}

// recoveryWhat says what the words are for, and whether they are on paper.
func recoveryWhat(s *app.State) m.Node {
	what := m.Group(
		parts.Para(words.T("recovery.what")),
		parts.Para(words.T("recovery.who")))
	if !s.HasWords() {
		return parts.Card("recovery-what", "", what,
			parts.Empty(words.T("recovery.none"), parts.Button(words.T("home.new"), toPage("new"))))
	}
	state, check := parts.Notice(parts.Info, words.T("recovery.on-paper")), words.T("recovery.check-again")
	if !s.Phone.WordsKept {
		state, check = parts.Notice(parts.Caution, words.T("recovery.not-on-paper")), words.T("recovery.wrote")
	}
	return parts.Card("recovery-what", "", what, state,
		m.If(len(s.Phone.Authorities) > 1, parts.Para(words.N("recovery.more", len(s.Phone.Authorities)-1), "soft")),
		parts.Para(words.T("recovery.alone")),
		parts.Button(words.T("recovery.show"), "recovery.show", parts.Primary, parts.Big),
		parts.Button(check, "recovery.check", parts.Wide))
}

// recoveryShown is the words, for the eye and for paper.
func recoveryShown(r app.Recovery) m.Node {
	return parts.Card("recovery-words", words.T("recovery.shown"),
		m.El("ol", m.ID("the-words"), m.Class("words"), m.Each(r.Shown, func(i int, w string) m.Part {
			return m.El("li", m.El("span", m.Class("item-lead"), m.Text(itoa(i+1))), m.Text(" "+w))
		})),
		parts.Para(words.T("recovery.write"), "no-print"),
		parts.Para(words.T("recovery.keep")),
		parts.Para(words.T("recovery.use"), "print-only"),
		parts.Button(words.T("recovery.wrote"), "recovery.check", parts.Primary, parts.Big),
		parts.Line(
			parts.Button(words.T("backup.print"), "print"),
			parts.Button(words.T("recovery.hide"), "recovery.hide")))
}

// recoveryOthers is where a phone gets the words of another one.
func recoveryOthers(s *app.State) m.Part {
	if !s.HasWords() {
		return parts.Card("recovery-others", words.T("recovery.others-title"), parts.Para(words.T("recovery.others-text")), recoveryForm(s.Recovery))
	}
	return parts.Card("recovery-others", "", parts.Why("recovery-other", words.T("recovery.others-title"), nil,
		parts.Para(words.T("recovery.others-text")), recoveryForm(s.Recovery)))
}

// recoveryForm is where words are typed, and what is wrong with them.
func recoveryForm(r app.Recovery) m.Part {
	var faults []app.Notice
	if r.Fault.Text != "" {
		faults = append([]app.Notice{r.Fault}, r.More...)
	}
	return m.Group(
		parts.Field(parts.Input{Name: "recovery", Label: words.T("recovery.type"), Hint: words.T("recovery.type-hint"), Value: r.Typed, Do: "recovery.typed", Lines: 5, Plain: true}),
		m.Each(faults, func(_ int, n app.Notice) m.Part {
			return parts.Notice(parts.Bad, sentence(n.Text), parts.Para(sentence(n.Fix)))
		}),
		parts.Button(words.T("recovery.take"), "recovery.take", parts.Primary, parts.Big),
		m.If(r.Check, parts.Button(words.T("recovery.later"), "recovery.hide", parts.Quiet)))
}
