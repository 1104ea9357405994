package view

import (
	"strings"

	"keelcard/engine/contest"
	"keelcard/engine/record"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// phonesPage says of each phone of a contest what it is for and how much of it is
// where; an owner says so here.
func phonesPage(s *app.State) m.Node {
	c := s.Open.Contest
	states := s.PhoneStates()
	owner := c.Owns(s.Phone.ID)
	var cards []m.Part
	for _, p := range states {
		cards = append(cards, phoneCard(s, p, owner))
	}
	if len(states) == 0 {
		cards = append(cards, parts.Card("phones-none", "", parts.Empty(words.T("phones.none"), m.Group())))
	}
	return m.El("div", m.ID("phones-page"),
		top(s, words.T("phones.title"), "hand-over"),
		parts.Panes(
			parts.Stack(append([]m.Part{initials(s), releaseCard(s, owner)}, cards...)...),
			parts.Stack(
				parts.Card("phones-owner", "",
					parts.Para(ownerText(s, states)),
					m.If(!s.HasRoles() && !s.Open.Contest.Seals(), parts.Para(words.T("phones.no-roles"))),
					m.If(s.Open.Contest.Seals(), parts.Para(words.T("phones.sealed"))),
					parts.Para(calm(s), "soft"),
					m.If(s.WordsDue(), parts.Notice(parts.Caution, words.T("phones.words-due"))),
					m.If(s.CanInvite(), parts.Button(words.T("recovery.title"), toPage("recovery"), parts.Quiet, parts.Wide))),
				bringIn(s),
				voidCard(s))))
}

// ownerText says whose contest it is.
func ownerText(s *app.State, states []app.PhoneState) string {
	c := s.Open.Contest
	if _, made := c.Member(s.Phone.ID); made && c.Owns(s.Phone.ID) {
		return words.T("phones.owner-made")
	}
	if c.Claimed(s.Phone.ID) {
		return words.T("phones.owner-words")
	}
	if c.Owns(s.Phone.ID) {
		return words.T("phones.owner-here")
	}
	for _, p := range states {
		if _, made := c.Member(p.Phone); p.Role == contest.Owner && !made {
			return words.T("phones.owner-there", shortName(p.Who))
		}
	}
	return words.T("phones.owner-unknown")
}

// calm says what roles do not do.
func calm(s *app.State) string {
	if s.Open.Contest.Seals() {
		return words.T("phones.calm-sealed")
	}
	return words.T("phones.calm")
}

// releaseCard is where results are released; without roles they never wait, unless
// answers are sealed.
func releaseCard(s *app.State, owner bool) m.Part {
	c := s.Open.Contest
	opened := c.Secret(c.Turn()) != "" // the official answers were sealed
	if !s.HasRoles() && !opened && !s.Opens() {
		return m.Group()
	}
	text, button := words.T("phones.release-text"), m.Part(parts.Button(words.T("phones.release"), "phones.release", parts.Wide))
	switch {
	case c.Released():
		text, button = words.T("phones.released"), parts.Button(words.T("phones.hold"), "phones.hold", parts.Quiet)
		if opened {
			text = words.T("phones.released-sealed")
		}
	case s.Opens():
		text, button = words.T("phones.release-sealed"), releaseSealed(s)
	case opened:
		text += " " + words.T("phones.held-sealed")
	}
	return parts.Card("phones-release", words.T("phones.release-title"), parts.Para(text), m.If(owner, button))
}

// releaseSealed opens the official answers to everybody at the second tap.
func releaseSealed(s *app.State) m.Part {
	if !s.CanInvite() {
		return parts.Para(words.T("phones.no-authority")+" "+words.T("phones.no-authority-fix"), "soft")
	}
	return parts.Why("release-sealed", words.T("phones.release"), nil,
		parts.Notice(parts.Caution, words.T("phones.release-sure")),
		parts.Button(words.T("phones.release-both"), "phones.release", parts.Danger, parts.Wide))
}

// voidCard lists what was said about roles by those who may not.
func voidCard(s *app.State) m.Part {
	void := s.Open.Contest.Void()
	if len(void) == 0 {
		return m.Group()
	}
	return parts.Card("phones-void", "", parts.Why("why-void", words.N("phones.void", len(void)), nil,
		parts.Para(words.T("phones.void-text")), refList(s, void)))
}

// refList lists what some records are about, and whose they are.
func refList(s *app.State, refs []record.Ref) m.Node {
	rows := mapped(refs[:min(len(refs), mostRefs)], func(_ int, ref record.Ref) parts.Row {
		r, _ := s.Open.Contest.State().Record(ref)
		return parts.Row{Title: s.SubjectName(r.Subject), Sub: who(r.Who) + " · " + whenAndWhere(s, r)}
	})
	return parts.List(words.T("phones.entries"), rows...)
}

const mostRefs = 40

func phoneCard(s *app.State, p app.PhoneState, owner bool) m.Node {
	name := shortName(p.Who)
	switch {
	case p.Own:
		name = words.T("phones.this-phone", name)
	case p.Former:
		name = words.T("phones.former", name)
	}
	id := p.Phone.String()
	_, said := s.Open.Contest.Member(p.Phone)
	began := p.Role == contest.Owner && !said // or claimed it
	mayChange := owner && (!began || !p.Own && s.CanInvite() && !s.Open.Contest.Claimed(p.Phone))
	return parts.Card("phone-"+id, name,
		parts.Para(words.T("phones.number", id), "soft"),
		roleText(s, p, said),
		sealText(s, p, began),
		m.If(s.Twice(p.Phone), parts.Notice(parts.Caution, words.T("phones.twice"), parts.Para(words.T("phones.twice-fix")))),
		parts.Para(recordsText(p)),
		parts.Para(heardText(s, p)),
		m.If(p.Missing > 0, parts.Notice(parts.Caution, words.N("phones.missing", p.Missing))),
		m.If(p.Member.Doubt, parts.Notice(parts.Caution, words.T("phones.doubt"))),
		shutText(s, p, mayChange),
		m.If(len(p.Against) > 0, parts.Why("against-"+id, words.N("phones.against", len(p.Against)), nil, refList(s, p.Against))),
		m.If(mayChange, roleChoice(s, p, name, began)))
}

// sealText says by which invitation a phone came, and whether it reads what is
// sealed.
func sealText(s *app.State, p app.PhoneState, began bool) m.Part {
	c := s.Open.Contest
	var out []string
	no := p.Member.Invite
	if j, ok := c.Join(p.Phone); ok && no == 0 {
		no = j.No
	}
	if no > 0 {
		out = append(out, words.T("phones.by-invite", inviteNumber(no)))
	}
	if c.Claimed(p.Phone) {
		out = append(out, words.T("phones.claimed"))
	}
	switch {
	case !c.Seals() || p.Member.Shut || !readsAnswers(p.Role):
	case began || len(p.Member.Keys) > 0:
		out = append(out, words.T("phones.reads"))
	default:
		out = append(out, words.T("phones.reads-not"))
	}
	return m.If(len(out) > 0, parts.Para(strings.Join(out, " ")))
}

// readsAnswers tells whether a role reads official answers that are sealed.
func readsAnswers(role string) bool { return role == contest.Official || role == contest.Owner }

// roleText says what a phone is for.
func roleText(s *app.State, p app.PhoneState, said bool) m.Part {
	j, joins := s.Open.Contest.Join(p.Phone)
	switch {
	case p.Role != "" && words.Has("phones.role-"+p.Role):
	case joins && words.Has("phones.role-"+j.Role):
		return parts.Para(words.T("phones.role-invited", words.T("phones.role-"+j.Role)))
	case s.Open.Contest.Settings.Sealed:
		return parts.Para(words.T("phones.role-none-sealed"))
	default:
		return parts.Para(words.T("phones.role-none"))
	}
	return m.Group(
		m.El("p", m.El("span", m.Class("strong"), m.Text(words.T("phones.role-"+p.Role))), m.Text(". "+words.T("phones.does-"+p.Role))),
		m.If(said && p.Member.Who != "" && shortName(p.Member.Who) != shortName(p.Who), parts.Para(words.T("phones.role-as", shortName(p.Member.Who)), "soft")),
		m.If(p.Member.Why != "", parts.Para(words.T("phones.why", p.Member.Why))))
}

// shortName is the name of who wrote, without a role.
func shortName(writer string) string {
	_, name, _ := strings.Cut(writer, "/")
	return name
}

// recordsText says how many records of a phone are here, and how many of these
// nowhere else.
func recordsText(p app.PhoneState) string {
	text := words.N("phones.records", p.Records)
	switch {
	case p.Thin == 0:
		return text
	case p.Own:
		return text + " " + words.T("phones.alone", p.Thin)
	}
	return text + " " + words.T("phones.thin", p.Thin)
}

// heardText says when a phone last handed over, and what it lacked then.
func heardText(s *app.State, p app.PhoneState) string {
	switch {
	case p.Own && p.Heard > 0:
		return words.T("phones.given", ago(s.Now-p.Heard))
	case p.Own:
		return words.T("phones.not-given")
	case p.Heard > 0 && p.Lacks == 0:
		return words.T("phones.heard", ago(s.Now-p.Heard)) + " " + words.T("phones.lacks-none")
	case p.Heard > 0:
		return words.T("phones.heard", ago(s.Now-p.Heard)) + " " + words.N("phones.lacks", p.Lacks)
	}
	return words.T("phones.unheard")
}

// roleChoice gives a phone its role in one tap; what is done rarely is behind one
// more. The phone that began the contest can be shut out only.
func roleChoice(s *app.State, p app.PhoneState, name string, began bool) m.Part {
	id := p.Phone.String()
	choices := mapped(app.Invites(), func(_ int, role string) parts.Choice {
		return parts.Choice{Label: words.T("phones.role-" + role), Do: app.Action("phones.role", id, role), On: p.Role == role}
	})
	why := ""
	if s.Phones.Phone == id {
		why = s.Phones.Why
	}
	return m.Group(
		m.If(!began, parts.Choices(words.T("phones.choose"), false, choices...)),
		parts.Why("more-"+id, words.T("phones.more", name), nil,
			parts.Field(parts.Input{Name: "why-" + id, Label: words.T("phones.reason"), Hint: words.T("phones.reason-hint"), Value: why, Do: app.Action("phones.why", id)}),
			m.If(!p.Member.Shut, m.Group(
				m.If(began, parts.Para(words.T("phones.shut-began"))),
				parts.Para(words.T("phones.shut-text")),
				m.If(s.Open.Contest.Seals() && !began && (readsAnswers(p.Role) || s.Twice(p.Phone)), parts.Para(words.T("phones.shut-sealed"))),
				parts.Button(words.T("phones.shut"), app.Action("phones.shut", id), parts.Danger))),
			m.If(p.Role != contest.Owner, parts.Button(words.T("phones.make-owner"), app.Action("phones.role", id, contest.Owner), parts.Quiet))))
}

// shutText says of a phone that is shut out what is kept apart.
func shutText(s *app.State, p app.PhoneState, mayChange bool) m.Part {
	if !p.Member.Shut {
		return m.Group()
	}
	id := p.Phone.String()
	text := words.T("phones.shut-out")
	if p.Apart.Records == p.Records {
		text = words.T("phones.shut-out-nothing")
	}
	return m.Group(
		parts.Notice(parts.Caution, text,
			m.If(p.Apart.Records > 0, parts.Para(words.N("phones.apart", p.Apart.Records))),
			m.If(p.Apart.Taken > 0, parts.Para(words.N("phones.apart-taken", p.Apart.Taken)))),
		m.If(len(p.Apart.Stand) > 0, parts.Why("apart-"+id, words.N("phones.apart-open", len(p.Apart.Stand)), nil,
			parts.Stack(m.Each(p.Apart.Stand[:min(len(p.Apart.Stand), mostRefs)], func(_ int, ref record.Ref) m.Part { return apartEntry(s, ref, mayChange) })),
			m.If(len(p.Apart.Stand) > mostRefs, parts.Para(words.T("phones.apart-rest", len(p.Apart.Stand)-mostRefs), "soft")))),
		m.If(mayChange, m.Group(
			parts.Para(words.T("phones.let-in-text"), "soft"),
			parts.Button(words.T("phones.let-in"), app.Action("phones.let-in", id), parts.Wide))))
}

// apartEntry is one record that is kept apart, beside what stands.
func apartEntry(s *app.State, ref record.Ref, mayChange bool) m.Node {
	state := s.Open.Contest.State()
	r, _ := state.Record(ref)
	name := s.SubjectName(r.Subject)
	now := words.T("phones.apart-nothing")
	if values := state.Current(r.Subject).Values; len(values) > 0 && values[0] != "" {
		now = s.TellShort(r.Subject, values[0])
	}
	do := app.Action("phones.take", ref.Phone.String(), itoa(ref.Seq))
	return m.El("section", m.ID("kept-"+ref.Phone.String()+"-"+itoa(ref.Seq)), m.Class("stack"),
		m.El("h3", m.Text(name)),
		parts.Para(s.TellShort(r.Subject, r.Value)),
		parts.Para(words.T("phones.apart-now", now), "soft"),
		parts.Para(who(r.Who)+" · "+whenAndWhere(s, r), "soft"),
		m.If(mayChange && !record.Veiled(r.Value), parts.Button(words.T("phones.take"), do, parts.Says(words.T("phones.take-says", name)))))
}
