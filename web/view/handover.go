package view

import (
	"slices"
	"strings"

	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// handOver is the page from which records go to other phones, and the list of
// phones that wrote in the contest.
func handOver(s *app.State) m.Node {
	w := s.Where()
	return m.El("div", m.ID("hand-over"),
		top(s, words.T("hand-over.title"), "contest"),
		parts.Panes(
			parts.Stack(
				initials(s),
				parts.Card("give", words.T("hand-over.give"),
					parts.Para(words.T("hand-over.give-text")),
					receivers(s),
					m.Each(app.Ways(), func(i int, w app.Way) m.Part { return way(w, i == 0, s.Handover.Size) })),
				parts.Card("take", words.T("hand-over.take"),
					parts.Para(words.T("hand-over.take-text")),
					parts.Button(words.T("hand-over.take-do"), toPage("take-in"), parts.Wide),
					parts.Button(words.T("scan.offer"), "scan.begin", parts.Wide))),
			parts.Stack(
				parts.Card("where-records", words.T("hand-over.where"),
					parts.Stats(
						parts.Stat(itoa(w.Own), words.T("hand-over.own")),
						parts.Stat(itoa(w.Alone), words.T("hand-over.alone")),
						parts.Stat(itoa(w.Phones), words.T("hand-over.others"))),
					parts.Para(whereText(s)),
					m.If(w.Given > 0, parts.Para(words.T("hand-over.last", ago(s.Now-w.Given)), "soft"))),
				phonesCard(s))))
}

// way is the button of a way of handing over, with what is to be known before it
// is used; or why it is of no use now.
func way(w app.Way, first bool, letters int) m.Node {
	note, ok := w.Note(letters)
	label := words.T("hand-over.way-" + w.Name)
	switch {
	case !ok:
		return parts.Para(note, "soft")
	case first:
		return parts.Button(label, w.Do, parts.Primary, parts.Big, parts.Sub(note))
	}
	return parts.Button(label, w.Do, parts.Wide, parts.Sub(note))
}

// receivers is the choice of who gets how much; it is left out where nobody was
// heard of.
func receivers(s *app.State) m.Part {
	all := s.Receivers()
	if len(all) == 1 {
		return m.Group()
	}
	choices := make([]parts.Choice, len(all))
	for i, r := range all {
		label := words.T("hand-over.everything")
		switch {
		case r.ID == "all":
			label = words.T("hand-over.since-all", ago(s.Now-r.Since))
		case r.Since > 0:
			label = words.T("hand-over.since", who(r.Who), ago(s.Now-r.Since))
		}
		choices[i] = parts.Choice{Label: label, Sub: words.N("hand-over.records", r.Records), Do: app.Action("hand-over.to", r.ID), On: r.ID == or(s.Handover.To, all[0].ID)}
	}
	return m.Group(
		parts.Choices(words.T("hand-over.to"), true, choices...),
		parts.Para(words.T("hand-over.to-hint"), "soft"))
}

func phonesCard(s *app.State) m.Node {
	rows := s.PhoneRows()
	if len(rows) == 0 {
		return parts.Card("phones", words.T("hand-over.phones"), parts.Empty(words.T("hand-over.no-phones"), parts.Button(words.T("phones.open"), to(s, "phones"))))
	}
	list := make([]parts.Row, len(rows))
	for i, r := range rows {
		title, sub := who(r.Who), words.T("hand-over.unheard")
		switch {
		case r.Own:
			title, sub = words.T("hand-over.this-phone", who(r.Who)), words.T("hand-over.last-entry", ago(s.Now-r.Last))
		case r.Former:
			title, sub = words.T("hand-over.former", who(r.Who)), words.T("hand-over.last-entry", ago(s.Now-r.Last))
		case r.HasOurs > 0:
			sub = words.T("hand-over.holds", r.HasOurs, ago(s.Now-r.Last))
		}
		for _, f := range r.Forks {
			sub += ". " + forkText(f)
		}
		list[i] = parts.Row{Title: title, Sub: sub, Value: words.N("hand-over.records", r.Records)}
	}
	return parts.Card("phones", words.T("hand-over.phones"), parts.List(words.T("hand-over.phones"), list...),
		parts.Button(words.T("phones.open"), to(s, "phones"), parts.Wide))
}

// forkText says where a phone was set back, and what its sides hold.
func forkText(f merge.Fork) string {
	sides := make([]string, len(f.Sides))
	for i, side := range f.Sides {
		sides[i] = words.N("hand-over.records", side.Records)
	}
	if f.After == 0 {
		return words.T("hand-over.fork-first", strings.Join(sides, ", "))
	}
	return words.T("hand-over.fork", f.After, strings.Join(sides, ", "))
}

// takeIn is the page on which a file or text is looked at before it is taken in.
func takeIn(s *app.State) m.Node {
	t := s.TakeIn
	faults := m.Each(append(slices.Clip(t.Faults), t.Unfit...), func(_ int, n app.Notice) m.Part {
		return parts.Notice(parts.Bad, n.Text, parts.Para(n.Fix), parts.Para(words.T("take-in.unchanged")))
	})
	var body m.Part = parts.Card("take-in", "",
		parts.Para(words.T("take-in.text")),
		parts.Button(words.T("take-in.pick"), "take-in.pick", parts.Primary, parts.Big),
		parts.Button(words.T("scan.offer"), "scan.begin", parts.Wide),
		parts.Field(parts.Input{Name: "paste", Label: words.T("take-in.paste"), Hint: words.T("take-in.paste-hint"), Do: "take-in.paste", Lines: 4}))
	switch {
	case t.Waits:
		body = parts.Card("take-in", "", parts.Para(words.T("common.loading")))
	case t.Ready != nil:
		body = m.Group(invited(s), coming(s, t))
	case t.Pass != nil:
		body = invited(s)
	}
	beside := words.T("take-in.beside")
	if t.Ready == nil && !t.Waits {
		beside = words.T("take-in.came")
	}
	others := m.If(len(t.Others) > 0, parts.Card("beside", beside,
		parts.Para(words.T("take-in.beside-text")),
		parts.List(beside, mapped(t.Others, func(i int, a app.Arrival) parts.Row {
			return parts.Row{Title: words.T("take-in.open-" + a.Kind), Sub: a.Name + ": " + words.T("take-in.is-"+a.Kind), Do: app.Action("take-in.lead", itoa(i))}
		})...)))
	return m.El("div", m.ID("taking"),
		parts.TopBar(words.T("take-in.title"), "", words.T("common.back"), toPage("home")),
		parts.Main(parts.Stack(faults, m.If(t.Ready == nil, others), body, m.If(t.Ready != nil, others))),
		m.If(t.Ready != nil && !t.Ready.Empty(), parts.Dock(words.T("take-in.title"),
			parts.Button(words.T("take-in.accept"), "take-in.accept", parts.Primary, parts.Big),
			parts.Button(words.T("take-in.dismiss"), "take-in.dismiss"))))
}

// invited says what an invitation means that is among what arrived. It is taken up
// with the records that came with it, or by itself.
func invited(s *app.State) m.Part {
	t := s.TakeIn
	if t.Pass == nil {
		return m.Group()
	}
	alone := s.TakeInContest() == ""
	is := s.Instead()
	return parts.Card("invited", words.T("take-in.invite", or(t.Title, words.T("core.no-name")), words.T("phones.role-"+t.Pass.Role)),
		parts.Para(words.T("phones.does-"+t.Pass.Role)),
		m.If(is == contest.Owner, parts.Notice(parts.Info, words.T("take-in.invite-owner"))),
		m.If(is != "" && is != contest.Owner, parts.Notice(parts.Caution, words.T("take-in.invite-instead", words.T("phones.role-"+or(is, contest.Keyer)), words.T("phones.role-"+t.Pass.Role)))),
		parts.Para(words.T("take-in.invite-role")),
		m.If(s.Phone.Initials == "", parts.Para(words.T("take-in.invite-initials"), "soft")),
		m.If(alone, parts.Para(words.T("take-in.invite-alone"))),
		m.If(alone || t.Ready != nil && t.Ready.Empty(), parts.Button(words.T("take-in.invite-accept"), "take-in.accept", parts.ID("invite-accept"), parts.Primary, parts.Big)),
		m.If(t.Ready == nil, parts.Button(words.T("take-in.dismiss"), "take-in.dismiss", parts.ID("invite-dismiss"), parts.Wide)))
}

// coming says what a bundle would change, before it does.
func coming(s *app.State, t app.TakeIn) m.Node {
	c := t.Ready
	name := or(c.Contest, words.T("core.no-name"))
	differs := m.Each(c.Differs, func(_ int, p record.PhoneID) m.Part {
		return parts.Notice(parts.Caution, words.T("take-in.differs", p.String()), parts.Para(words.T("take-in.differs-fix")))
	})
	if c.Empty() {
		return parts.Card("coming", name,
			parts.Para(words.T("take-in.nothing")),
			differs,
			m.If(c.Behind > 0, parts.Para(words.N("take-in.behind", c.Behind))),
			parts.Line(
				parts.Button(words.T("take-in.open"), app.Action("open", link("contest", s.TakeInContest())), parts.Primary),
				parts.Button(words.T("take-in.more"), "take-in.dismiss")))
	}
	from := make([]parts.Row, len(c.From))
	for i, h := range c.From {
		from[i] = parts.Row{Title: who(h.Who), Sub: words.T("take-in.phone", h.Phone.String()), Value: words.N("hand-over.records", h.Records)}
	}
	known := words.T("take-in.new-contest")
	if c.Known {
		known = words.T("take-in.known")
	}
	return parts.Card("coming", name,
		m.If(c.Apart > 0, parts.Notice(parts.Caution, words.N("take-in.apart", c.Apart))),
		m.If(c.SetBack, parts.Notice(parts.Caution, words.T("take-in.set-back"), parts.Para(words.T("take-in.set-back-fix")))),
		differs,
		m.Each(c.Forks, func(_ int, f merge.Fork) m.Part {
			return parts.Notice(parts.Caution, words.T("take-in.fork", f.Phone.String()), parts.Para(forkText(f)))
		}),
		parts.Para(known),
		parts.Stats(
			parts.Stat(itoa(c.Cards), words.T("take-in.cards")),
			parts.Stat(itoa(c.Keys), words.T("take-in.keys")),
			parts.Stat(itoa(c.Others), words.T("take-in.others"))),
		parts.List(words.T("take-in.from"), from...),
		subjects(s, "confirmed", c.Confirmed),
		subjects(s, "settled", c.Settled),
		subjects(s, "questions", c.Questions),
		m.If(c.Behind > 0, parts.Para(words.N("take-in.behind", c.Behind), "soft")),
		parts.Para(words.T("take-in.unchanged-yet"), "soft"))
}

// subjects is a line that opens the list of what a record is about.
func subjects(s *app.State, key string, list []record.Subject) m.Part {
	if len(list) == 0 {
		return m.Group()
	}
	return parts.Why("why-"+key, words.N("take-in."+key, len(list)), nil,
		m.El("ul", m.Each(list[:min(len(list), 200)], func(_ int, sub record.Subject) m.Part {
			return m.El("li", m.Text(s.TakeInName(sub)))
		})))
}
