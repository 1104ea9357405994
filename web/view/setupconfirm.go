package view

import (
	"keelcard/engine/contest"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// confirmCard asks how many cards another person keys a second time.
func confirmCard(s *app.State) m.Node {
	set := s.Open.Contest.Settings
	choice := func(value, word string) parts.Choice {
		return parts.Choice{Label: words.T("settings.confirm-" + word), Sub: words.T("settings.confirm-" + word + "-sub"),
			Do: app.Action("settings.confirm", value), On: set.Confirm == value}
	}
	var samples []parts.Option
	for _, n := range samplesOf(set) {
		samples = append(samples, parts.Option{Value: itoa(n), Label: words.T("settings.confirm-in", n)})
	}
	return parts.Card("settings-confirm", words.T("settings.confirm"),
		parts.Para(words.T("settings.confirm-text"), "soft"),
		parts.Choices(words.T("settings.confirm-which"), true,
			choice(contest.ConfirmAll, "all"), choice(contest.ConfirmSample, "sample"), choice("", "none")),
		m.If(set.Confirm == contest.ConfirmSample, m.Group(
			parts.Field(parts.Input{Name: "confirm-in", Label: words.T("settings.confirm-size"), Value: itoa(set.SampleOf()), Do: "settings.confirm-in", Options: samples, Short: true}),
			parts.Para(words.T("settings.confirm-how"), "soft"))),
		m.If(set.Confirm != "", confirmAsked(s)))
}

// samplesOf lists the usual samples, and the one that is chosen if it is another.
func samplesOf(set contest.Settings) []int {
	var out []int
	chosen := set.SampleOf()
	for _, n := range []int{2, 3, 4, 5, 10, 20} {
		if chosen < n && (len(out) == 0 || out[len(out)-1] < chosen) {
			out = append(out, chosen)
		}
		out = append(out, n)
	}
	if chosen > out[len(out)-1] {
		out = append(out, chosen)
	}
	return out
}

// confirmAsked says how many cards of the contest that asks for.
func confirmAsked(s *app.State) m.Part {
	c := s.Open.Contest
	asked, all := 0, 0
	for _, class := range c.Classes {
		for _, p := range c.Persons {
			if p.Out == "" {
				all++
				if c.Asked(class.No, p.Number) {
					asked++
				}
			}
		}
	}
	return m.Group(
		m.If(all > 0, parts.Para(words.T("settings.confirm-asked", asked, all), "strong")),
		parts.Para(words.T("settings.confirm-final"), "soft"))
}
