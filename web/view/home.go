package view

import (
	"slices"
	"strings"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// home is the first page: what can be done without a contest, and the contests
// on this phone.
func home(s *app.State) m.Node {
	return m.El("div", m.ID("home"),
		parts.TopBar(words.T("home.title"), words.T("home.sub"), "", ""),
		parts.Panes(
			parts.Stack(
				lostCard(s),
				parts.Card("start-call", words.T("home.call-title"),
					parts.Para(words.T("home.call-text")),
					parts.Button(words.T("home.call"), toPage("call"), parts.Primary, parts.Big)),
				m.If(len(s.Contests) == 0, parts.Card("start-demo", words.T("home.demo-title"),
					parts.Para(words.T("home.demo-text")),
					parts.Button(words.T("home.demo"), "demo.open", parts.Big)))),
			parts.Stack(
				contestList(s),
				parts.Card("home-more", "",
					parts.Button(words.T("home.take-in"), toPage("take-in"), parts.Wide),
					m.If(len(s.Contests) > 0, parts.Button(words.T("home.demo"), "demo.open", parts.ID("demo-again"), parts.Quiet, parts.Wide)),
					parts.Button(words.T("books.title"), toPage("books"), parts.Quiet, parts.Wide),
					parts.Button(words.T("home.phone"), toPage("phone"), parts.Quiet, parts.Wide),
					parts.Button(words.T("home.about"), toPage("about"), parts.Quiet, parts.Wide)))))
}

// lostCard says that the browser threw contests away, and how they come back.
func lostCard(s *app.State) m.Part {
	if len(s.Disk.Lost) == 0 {
		return m.Group()
	}
	return parts.Card("lost", words.T("home.lost-title"),
		parts.Para(words.T("home.lost")),
		m.El("ul", m.Each(s.Disk.Lost, func(_ int, h app.Head) m.Part { return m.El("li", m.Text(h.Name)) })),
		parts.Para(words.T("home.lost-fix")),
		parts.Line(
			parts.Button(words.T("home.take-in"), toPage("take-in"), parts.ID("lost-take-in"), parts.Primary),
			parts.Button(words.T("phone.backup"), toPage("backup"), parts.ID("lost-backup")),
			parts.Button(words.T("home.lost-known"), "lost.known", parts.Quiet)))
}

func contestList(s *app.State) m.Node {
	if len(s.Contests) == 0 {
		return parts.Card("contests", words.T("home.contests"),
			parts.Empty(words.T("home.none"), parts.Button(words.T("home.new"), toPage("new"), parts.Primary)))
	}
	rows := make([]parts.Row, len(s.Contests))
	for i, h := range s.Contests {
		rows[i] = parts.Row{Title: h.Name, Sub: words.T("home.opened", ago(s.Now-h.Opened)), Do: app.Action("open", link("contest", h.ID)), ID: "contest-" + h.ID}
	}
	return parts.Card("contests", words.T("home.contests"),
		parts.List(words.T("home.contests"), rows...),
		parts.Button(words.T("home.new"), toPage("new")))
}

// overview is the page of a contest: what is due, its classes, and the way to
// everything else.
func overview(s *app.State) m.Node {
	c := s.Open.Contest
	return m.El("div", m.ID("overview"),
		parts.TopBar(s.Open.Head.Name, overviewSub(c), words.T("home.title"), toPage("home")),
		parts.Where(whereText(s), to(s, "hand-over")),
		parts.Panes(
			parts.Stack(initials(s), clockNote(s), m.If(s.ShutOut(), parts.Notice(parts.Caution, words.T("core.shut-out"), parts.Para(words.T("core.shut-out-fix")))), next(s), wordsDue(s), m.If(s.Barred("keying") == "", classList(s))),
			parts.Stack(
				parts.Card("contest-more", words.T("overview.more"), parts.List(words.T("overview.more"), moreRows(s)...)),
				pieceButton(s),
				undoButton(s),
				problems(c),
				cautions(c))))
}

// wordsDue asks to write the recovery words down.
func wordsDue(s *app.State) m.Part {
	return m.If(s.WordsDue(), parts.Notice(parts.Caution, words.T("overview.words"), parts.Button(words.T("phone.words"), toPage("recovery"))))
}

// clockNote says whose clock is probably wrong.
func clockNote(s *app.State) m.Part {
	return m.If(s.Clock.Text != "", parts.Notice(parts.Caution, s.Clock.Text, parts.Para(s.Clock.Fix)))
}

// moreRows are the ways to the other pages of a contest that are for this phone.
func moreRows(s *app.State) []parts.Row {
	c := s.Open.Contest
	var rows []parts.Row
	for _, page := range []string{"people", "questions", "results", "share", "hand-over", "settings"} {
		if s.Barred(page) != "" {
			continue
		}
		row := parts.Row{Title: words.T("overview." + page), Do: to(s, page)}
		switch page {
		case "people":
			row.Value = itoa(len(c.Persons))
		case "questions":
			row.Value = itoa(len(c.Questions()))
		}
		rows = append(rows, row)
	}
	return rows
}

func overviewSub(c *contest.Contest) string {
	if c.Settings.Place == "" || c.Settings.Date == "" {
		return c.Settings.Date + c.Settings.Place
	}
	return c.Settings.Date + ", " + c.Settings.Place
}

func problems(c *contest.Contest) m.Part {
	return m.Each(c.Problems, func(_ int, e *engine.Error) m.Part { return parts.Notice(parts.Caution, e.Error()) })
}

// undoButton offers to take back the last thing this phone wrote, and says
// what that was.
func undoButton(s *app.State) m.Part {
	r, _, ok := s.UndoTarget()
	if !ok {
		return m.Group()
	}
	return parts.Button(words.T("common.undo"), "undo", parts.Quiet, parts.Wide, parts.Sub(s.SubjectName(r.Subject)))
}

// next is the one thing that is due now.
func next(s *app.State) m.Node {
	c := s.Open.Contest
	may := func(page string) bool { return s.Barred(page) == "" }
	if !may("keying") && !may("results") {
		return barredCard(s, s.Barred("results"))
	}
	card := func(key, label, do string, args ...any) m.Node {
		return parts.Card("next", words.T("overview.next"), parts.Para(words.T("next."+key, args...)), parts.Button(words.T(label), do, parts.ID("next-do"), parts.Primary, parts.Big))
	}
	if n := len(slices.DeleteFunc(c.Questions(), s.OnOfficials)); n > 0 && may("questions") {
		return card("question", "next.question-do", to(s, "questions"), n)
	}
	if len(c.Classes) == 0 && may("class") {
		return card("class", "next.class-do", to(s, "class", "new"))
	}
	for _, class := range c.Classes {
		if n := c.Key(class).Missing(); n > 0 && may("key") && !s.Sealed() {
			return card("key", "next.key-do", to(s, "key", itoa(class.No)), class.Name)
		}
	}
	if len(c.Persons) == 0 && may("people") {
		return card("people", "next.people-do", to(s, "people"))
	}
	for _, class := range c.Classes {
		if n := s.KeyingCounts(class); n.Done < n.Due && may("keying") {
			return card("cards", "next.cards-do", to(s, "keying", itoa(class.No)), class.Name, n.Due-n.Done)
		}
	}
	for _, class := range c.Classes {
		if n := s.KeyingCounts(class); n.Again > 0 {
			return card("again", "next.again-do", to(s, "keying", itoa(class.No), "0", app.WayAgain), class.Name, n.Again, n.Asked)
		}
	}
	if !may("results") {
		return parts.Card("next", words.T("overview.next"), parts.Para(words.T("core.barred-done")), parts.Para(words.T("core.barred-scores"), "soft"))
	}
	return card("results", "next.results-do", to(s, "results"))
}

// classList is every class with how far its key and its cards are.
func classList(s *app.State) m.Node {
	c := s.Open.Contest
	if len(c.Classes) == 0 {
		return parts.Card("classes", words.T("overview.classes"),
			parts.Empty(words.T("overview.no-classes"), m.If(s.Barred("class") == "", parts.Button(words.T("next.class-do"), to(s, "class", "new"), parts.ID("first-class")))))
	}
	return parts.Card("classes", words.T("overview.classes"),
		m.Each(byDivision(c.Classes), func(_ int, g divided) m.Part {
			return m.Group(
				m.If(g.name != "", m.El("h3", m.Class("group"), m.Text(g.name))),
				m.Each(g.classes, func(_ int, class contest.Class) m.Part { return classCard(s, class) }))
		}),
		m.If(s.Barred("class") == "", parts.Button(words.T("overview.add-class"), to(s, "class", "new"), parts.ID("add-class"), parts.Quiet, parts.Wide)))
}

// divided is the classes of one division, or those without one.
type divided struct {
	name    string
	classes []contest.Class
}

// names lists the classes in words.
func (d divided) names() string {
	names := make([]string, len(d.classes))
	for i, c := range d.classes {
		names[i] = c.Name
	}
	return strings.Join(names, "; ")
}

// byDivision groups classes by their divisions, in the order of the classes.
func byDivision(classes []contest.Class) []divided {
	var out []divided
	for _, c := range classes {
		i := slices.IndexFunc(out, func(d divided) bool { return d.name == c.Division })
		if i < 0 {
			i, out = len(out), append(out, divided{name: c.Division})
		}
		out[i].classes = append(out[i].classes, c)
	}
	return out
}

func classCard(s *app.State, class contest.Class) m.Node {
	n := s.KeyingCounts(class)
	no := itoa(class.No)
	done := words.T("overview.of", n.Done, n.Due)
	if n.Due == 0 {
		done = words.T("overview.nobody")
	}
	cards := parts.Button(words.T("overview.cards"), to(s, "keying", no), parts.Sub(done))
	return m.El("section", m.ID("class-"+no), m.Class("stack"),
		m.El("h3", m.Text(words.T("overview.class-title", class.No, class.Name))),
		m.El("div", m.Class("class-ways"),
			m.If(s.Barred("key") == "" || s.Sealed(), keyWay(s, class)), cards,
			m.If(s.Barred("class") == "", parts.Button(words.T("overview.edit"), to(s, "class", no), parts.Quiet))),
		m.If(n.Again > 0, parts.Para(words.T("keying.to-again", n.Again, n.Asked), "soft")),
		m.If(n.Question > 0, parts.Notice(parts.Caution, words.N("overview.cards-question", n.Question))))
}

// keyWay leads to the key of a class and says how far it is. Points that
// officials give need none.
func keyWay(s *app.State, class contest.Class) m.Part {
	items := class.KeyItems()
	if class.Kind == contest.Awarded {
		return m.El("span", m.Class("soft"), m.Text(words.T("overview.no-key")))
	}
	key := s.Open.Contest.Key(class)
	state := words.T("overview.of", items-key.Missing(), items)
	if (s.Sealed() || key.Sealed) && key.Missing() < items {
		state += words.T("overview.sealed")
	} else if key.Locked {
		state += words.T("overview.locked")
	}
	if s.Barred("key") != "" {
		return m.El("span", m.Class("soft"), m.Text(words.T("overview.key-set", state)))
	}
	return parts.Button(words.T("overview.key"), to(s, "key", itoa(class.No)), parts.Sub(state))
}

// cautions are the warnings for what the classes of the contest are about.
func cautions(c *contest.Contest) m.Part {
	of := map[string]bool{}
	for _, class := range c.Classes {
		of[handled(class)] = true
	}
	return m.Each([]string{"carcass", "hen", "egg"}, func(_ int, what string) m.Part {
		return m.If(of[what], parts.Notice(parts.Caution, words.T("common.caution-"+what)))
	})
}

// phone is the page about this device and who holds it.
func phone(s *app.State) m.Node {
	scheme := func(name string) parts.Choice {
		return parts.Choice{Label: words.T("phone.scheme-" + or(name, "system")), Do: app.Action("phone.scheme", name), On: s.Phone.Scheme == name}
	}
	return m.El("div", m.ID("phone"),
		parts.TopBar(words.T("phone.title"), words.T("phone.sub", s.Phone.ID.String()), words.T("common.back"), toPage("home")),
		parts.Main(parts.Stack(
			parts.Card("phone-who", words.T("phone.who"), initialsField(s)),
			parts.Card("phone-light", words.T("phone.light"), parts.Choices(words.T("phone.light-label"), false, scheme("bright"), scheme("dim"), scheme(""))),
			parts.Card("phone-aloud", words.T("phone.aloud"), parts.Choices(words.T("phone.aloud-label"), false,
				parts.Choice{Label: words.T("phone.on"), Do: app.Action("phone.aloud", "on"), On: s.Phone.Aloud},
				parts.Choice{Label: words.T("phone.off"), Do: app.Action("phone.aloud", "off"), On: !s.Phone.Aloud})),
			parts.Card("phone-store", words.T("phone.store"),
				m.If(s.Disk.Quota > 0, parts.Para(words.T("phone.room", app.Size(s.Disk.Used), app.Size(s.Left())))),
				m.If(s.Tight(), parts.Notice(parts.Caution, words.T("core.tight", app.Size(s.Left())), parts.Para(words.T("core.tight-fix")))),
				parts.Para(words.T("phone.kept-"+or(s.Phone.Kept, "unasked"))),
				m.If(s.Phone.Kept != "yes", parts.Button(words.T("phone.ask"), "phone.ask-keep")),
				parts.Button(words.T("phone.backup"), toPage("backup"), parts.Wide),
				parts.Button(words.T("phone.words"), toPage("recovery"), parts.Wide)),
			m.If(len(s.Contests) > 0, parts.Card("phone-contests", words.T("phone.forget"),
				parts.Para(words.T("phone.forget-text")),
				m.Each(s.Contests, func(_ int, h app.Head) m.Part {
					return parts.Why("forget-"+h.ID, h.Name, nil,
						parts.Para(words.T("phone.forget-sure", h.Name)),
						parts.Button(words.T("phone.forget-do", h.Name), app.Action("contest.forget", h.ID), parts.Danger))
				}))))))
}

func or(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

func galleryHome() []Sample {
	r, err := app.NewRunner(1, &app.Memory{})
	if err != nil {
		panic(err)
	}
	page := func(name string) *app.State {
		r, err := app.NewRunner(1, &app.Memory{})
		if err != nil {
			panic(err)
		}
		r.Visit("#/" + name)
		return r.State
	}
	return []Sample{
		{"home/first start", r.State},
		{"home/contests lost", lostOnes(page("home"))},
		{"phone", page("phone")},
		{"phone/nearly full", told(page("phone"), app.Msg{Do: "room", Args: []string{"46000000", "50000000", "no"}})},
		{"phone/full", full(page("phone"))},
		{"about", page("about")},
	}
}

// told is the state after a message.
func told(s *app.State, m app.Msg) *app.State {
	app.Update(s, m)
	return s
}

func lostOnes(s *app.State) *app.State {
	return told(s, app.Msg{Do: "boot", Args: []string{"", "0102030405060708 Tamarack County Poultry Day\n"}})
}

func full(s *app.State) *app.State {
	for _, e := range app.Update(s, app.Msg{Do: "phone.aloud", Args: []string{"on"}}) {
		if e, ok := e.(app.Save); ok {
			told(s, app.Msg{Do: "save-failed", Args: []string{e.Tag, "leave Keelcard open"}, Text: "there is no room left on this phone"})
		}
	}
	return s
}
