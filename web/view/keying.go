package view

import (
	"strconv"
	"strings"

	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// most contestants listed beside the card; others are reached by number.
const mostListed = 60

// keying is the page on which cards are entered.
func keying(s *app.State) m.Node {
	if s.Page.Arg(0) == "" {
		return keyingClasses(s, nil)
	}
	class, err := s.KeyingClass()
	if err != nil {
		return keyingClasses(s, err)
	}
	if !s.KeyingReady() {
		return loading(s)
	}
	k := s.Keying
	where := parts.Where(whereText(s), "")
	var body m.Part
	switch {
	case k.Unknown > 0:
		body = parts.Main(where, keyingUnknown(k.Unknown))
	case k.Pad:
		body = parts.Main(where, keyingPad(s, class))
	case k.Card != nil:
		body = keyingCard(s, class, where)
	case s.Page.Number(1) > 0:
		body = parts.Main(where, keyingLook(s, class))
	default:
		body = parts.Main(where, keyingLast(s, class), keyingDone(s, class))
	}
	full := ""
	if dense(class) {
		full = "dense"
	}
	return m.El("div", m.ID("keying"), m.Class("keying", full),
		parts.TopBar(class.Name, keyingProgress(s, class), words.T("keying.classes"), to(s, "keying")),
		body)
}

// keyingKeys lists the keys of the keyboard that the page wants.
func keyingKeys(s *app.State) string {
	class, err := s.KeyingClass()
	if err != nil || s.Page.Arg(0) == "" {
		return ""
	}
	keys := []string{"0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "Space", "Backspace", "Enter", "Escape",
		"ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown", app.KeyTwo, app.KeyNumber}
	switch {
	case class.Kind == contest.Checked:
		keys = append(keys, "n")
	case app.KeyingTypes(class):
		keys = append(keys, ".", app.KeyingBoth)
	}
	if app.Named(class) {
		keys = append(keys, strings.Split("abcdefghijklmnopqrsuvwxyz", "")...) // KeyTwo is there
	}
	for _, a := range app.KeyingAnswers(class) {
		if a.Letter != "" {
			keys = append(keys, a.Letter)
		}
	}
	return strings.Join(keys, " ")
}

// keyingClasses is the choice of a class. err says why the class of the
// address cannot be keyed.
func keyingClasses(s *app.State, err error) m.Node {
	c := s.Open.Contest
	rows := make([]parts.Row, len(c.Classes))
	for i, class := range c.Classes {
		no := itoa(class.No)
		rows[i] = parts.Row{Lead: no, Title: class.Name, Sub: keyingProgress(s, class), Do: to(s, "keying", no)}
		if app.Keyable(class) != nil {
			rows[i].Sub = words.T("keying.not-keyable")
		}
	}
	start := parts.Empty(words.T("keying.no-classes"), parts.Button(words.T("keying.add-class"), to(s, "class", "new"), parts.Primary))
	if len(rows) > 0 {
		start = parts.Card("keying-classes", words.T("keying.choose"), parts.List(words.T("keying.choose"), rows...))
	}
	aloud := "on"
	if s.Phone.Aloud {
		aloud = "off"
	}
	return m.El("div", m.ID("keying-choice"),
		top(s, words.T("keying.title"), "contest"),
		parts.Main(
			keyingFault(s, err),
			initials(s),
			start,
			m.If(len(c.Persons) == 0, parts.Notice(parts.Info, words.T("keying.no-people"),
				parts.Button(words.T("keying.add-people"), to(s, "people")))),
			parts.Card("keying-ways", words.T("keying.how"),
				parts.Para(words.T("keying.how-text")),
				parts.Line(parts.Button(words.T("keying.aloud"), app.Action("phone.aloud", aloud), parts.ID("aloud"), parts.Pressed(s.Phone.Aloud))))))
}

func keyingFault(s *app.State, err error) m.Part {
	if err == nil {
		return m.Group()
	}
	n := app.KeyingFault(err)
	_, known := s.Open.Contest.Class(s.Page.Number(0))
	return parts.Notice(parts.Bad, n.Text, parts.Para(n.Fix),
		m.If(known, parts.Button(words.T("keying.set-up"), to(s, "class", s.Page.Arg(0)))))
}

// keyingProgress says how far the cards of a class are.
func keyingProgress(s *app.State, class contest.Class) string {
	n := s.KeyingCounts(class)
	text := words.T("keying.progress", n.Done+n.Question, n.Due)
	if n.Question > 0 {
		text += ", " + words.T("keying.in-question", n.Question)
	}
	if n.Again > 0 {
		text += ", " + words.T("keying.to-again", n.Again, n.Asked)
	}
	return text
}

// personText is a contestant's number and name.
func personText(s *app.State, number uint32) string {
	p, _ := s.Open.Contest.Person(number)
	return strings.TrimSpace(itoa(number) + " " + p.Name)
}

// keyingCard is the card that is being keyed: the entry before, whose card it
// is, what is told so far, and the keys.
func keyingCard(s *app.State, class contest.Class, where m.Part) m.Node {
	card := s.Keying.Card
	p, _ := s.Open.Contest.Person(card.Number)
	team, _ := s.Open.Contest.Team(p.Team)
	return parts.Panes(
		m.Group(
			where,
			keyingLast(s, class),
			m.El("div", m.Class("card-of"),
				parts.Button(itoa(card.Number), "keying.pad", parts.ID("other"), parts.Sub(words.T("keying.other"))),
				m.El("span", m.Class("grow"),
					m.El("bdi", m.Class("strong"), m.Text(or(p.Name, words.T("keying.unnamed")))),
					m.El("span", m.Class("soft"), m.Text(keyingAside(card, p, team))))),
			keyingTiles(class, card),
			keyingDock(s, class, card)),
		m.Group(keyingList(s, class), keyboardHelp(class)))
}

// keyingAside is what has to be known of a card beside whose it is: that it is
// keyed in a special way, that its contestant is out, or else the team.
func keyingAside(card *app.Draft, p contest.Person, team contest.Team) string {
	switch {
	case card.Way != app.WayFirst:
		return words.T("keying.way-" + card.Way)
	case p.Out != "":
		return words.T("keying.out", p.Out)
	}
	return team.Name
}

// keyingTiles shows what is told of a card so far.
func keyingTiles(class contest.Class, card *app.Draft) m.Part {
	if class.Kind != contest.Placing {
		return kindTiles(class, card)
	}
	tiles := make([]parts.Tile, len(card.Marks))
	for i, mark := range card.Marks {
		answer, number := "", words.T("keying.place-"+strconv.Itoa(i+1))
		if mark != app.NoMark {
			answer = strconv.Itoa(mark)
		}
		tiles[i] = parts.Tile{Number: number, Answer: answer, Says: words.T("keying.place", number) + ": " + or(answer, words.T("keying.nothing")),
			Do: app.Action("keying.item", strconv.Itoa(i+1)), On: i == card.Item}
	}
	return parts.Tiles(words.T("keying.card"), tiles...)
}

// markText is a mark as it stands on a card, with a sign for a blank.
func markText(class contest.Class, mark byte) string {
	return or(class.MarkText(mark), words.T("keying.blank-sign"))
}

// keyingDock holds the keys, and in one line what they are for.
func keyingDock(s *app.State, class contest.Class, card *app.Draft) m.Node {
	if s.Phone.Initials == "" {
		return parts.Dock(words.T("keying.keys"), initials(s))
	}
	if card.Way == app.WayAgain && s.SameHand(class, card.Number) {
		return parts.Dock(words.T("keying.keys"), sameHand(s))
	}
	wrong := ""
	if s.Keying.Wrong != "" {
		wrong = "bad"
	}
	return parts.Dock(words.T("keying.keys"),
		m.El("div", m.ID("pads"), m.Class("pads"),
			m.El("p", m.ID("prompt"), m.Class("prompt", wrong), m.Attr("role", "status"), m.Text(keyingPrompt(s, class, card))),
			keyingPads(s, class, card)))
}

// keyingPads are the keys themselves.
func keyingPads(s *app.State, class contest.Class, card *app.Draft) m.Part {
	if dense(class) {
		return keyingKinds(s, class, card)
	}
	var keys []parts.Key
	for _, a := range app.KeyingAnswers(class) {
		key := parts.Key{Label: a.Label, Do: app.Action("keying.mark", strconv.Itoa(a.Mark)), Says: answerName(class, a)}
		if len(a.Label) > 1 {
			key.Sub, key.Says = a.Name, ""
		}
		if strings.EqualFold(a.Label, a.Name) {
			key.Sub = ""
		}
		if class.Kind == contest.Placing {
			for _, placed := range card.Marks {
				key.Off = key.Off || placed == a.Mark
			}
		} else {
			key.On = card.Two == 1+a.Mark
		}
		keys = append(keys, key)
	}
	blank := parts.Key{Label: words.T("keying.blank"), Do: app.Action("keying.mark", "0"), Plain: true}
	if card.Two > 0 {
		blank = parts.Key{Label: words.T("keying.unsaid"), Do: "keying.unsaid", Plain: true}
	}
	return m.Group(
		parts.Keypad("pad", words.T("keying.answers"), keys...),
		parts.Keypad("pad-more", words.T("keying.more"),
			blank,
			parts.Key{Label: words.T("keying.two"), Do: "keying.two", Plain: true, On: card.Two > 0},
			parts.Key{Label: words.T("keying.back"), Do: "keying.back", Plain: true, Says: words.T("keying.back-says")}))
}

// answerName says an answer in words: a grade, a letter, or the item that is placed.
func answerName(class contest.Class, a app.KeyingAnswer) string {
	if class.Kind == contest.Identified {
		return words.T("keying.answer", a.Label)
	}
	return or(a.Name, words.T("keying.item", a.Label))
}

// keyingPrompt says what the next tap is for.
func keyingPrompt(s *app.State, class contest.Class, card *app.Draft) string {
	switch {
	case class.Kind == contest.Placing:
		return words.T("keying.prompt-place", words.T("keying.place-"+strconv.Itoa(min(card.Item+1, 4))))
	case card.Two == 1:
		return words.T("keying.prompt-two", card.Item+1)
	case card.Two > 1:
		return words.T("keying.prompt-second", card.Item+1)
	}
	return kindPrompt(s, class, card)
}

// keyingLast reads the last entry back. It is a band across the page that
// lights up when a card was just finished.
func keyingLast(s *app.State, class contest.Class) m.Node {
	last, ok := s.KeyingLast(class)
	if card := s.Keying.Card; card != nil && card.Number == last.Number && (card.Way == app.WayAgain || card.Way == app.WayAnew) {
		ok = false // whoever keys a card a second time does not see the first
	}
	if s.Page.Arg(2) == app.WayAgain && !last.Again {
		ok = false // nor that of a card that comes later
	}
	band := m.El("div", m.ID("last-none"), m.Class("keyed"), m.El("span", m.Class("soft"), m.Text(words.T("keying.last-none"))))
	if ok {
		state, fresh := words.T("keying.kept"), ""
		switch {
		case !s.Kept():
			state = words.T("keying.writing")
		case last.Again && last.Status == merge.Confirmed:
			state = words.T("keying.agrees")
		}
		if s.Keying.Fresh {
			fresh = "fresh"
		}
		differs, bad, long := "", "", ""
		text, spoken := app.MarksText(class, last.Marks), m.Part(nil)
		if app.Named(class) || class.Kind == contest.Checked { // the numbers take one line
			spoken = m.El("span", m.Class("keyed-words"), m.Text(text))
			text, long = numbersText(class, last.Marks), "numbers"
		} else if len(text) > 60 {
			long = "long"
		}
		if last.Status == merge.InQuestion {
			bad = "bad"
			differs = differText(class, last.Differ)
		}
		band = m.El("div", m.ID("last-"+itoa(last.Seq)), m.Class("keyed", fresh, bad),
			m.El("span", m.Class("keyed-who"), m.El("bdi", m.Text(personText(s, last.Number))), m.El("span", m.Class("keyed-state"), m.Text(or(differs, state)))),
			m.El("span", m.Class("keyed-value", long), m.Text(text)), spoken,
			m.If(differs != "", parts.Button(words.T("keying.settle"), to(s, "questions", app.SubjectArgs(contest.CardSubject(class.No, last.Number))...), parts.ID("settle"))))
	}
	return m.El("div", m.ID("last"), m.Attr("role", "status"), m.Attr("aria-label", words.T("keying.last")), band)
}

// differText names the items in which keyings differ.
func differText(class contest.Class, items []int) string {
	if class.Kind == contest.Placing {
		return words.T("keying.differs")
	}
	texts := make([]string, len(items))
	for i, n := range items {
		texts[i] = strconv.Itoa(n)
		if class.Kind == contest.Awarded {
			texts[i] = app.StepName(class, n-1)
		}
	}
	if class.Kind == contest.Awarded {
		return words.T("keying.differs-in", strings.Join(texts, "; "))
	}
	if len(texts) == 1 {
		return words.T("keying.differs-item", texts[0])
	}
	return words.T("keying.differs-items", strings.Join(texts, ", "))
}

// keyingUnknown offers to add a contestant whose number is on a card.
func keyingUnknown(number uint32) m.Node {
	return parts.Card("unknown", words.T("keying.unknown", number),
		parts.Para(words.T("keying.unknown-text")),
		parts.Line(
			parts.Button(words.T("keying.add", number), "keying.add", parts.Primary, parts.Big),
			parts.Button(words.T("keying.go-back"), "keying.close", parts.Big)))
}

// keyingPad is where a contestant number is given.
func keyingPad(s *app.State, class contest.Class) m.Part {
	var keys []parts.Key
	for _, d := range []string{"1", "2", "3", "4", "5", "6", "7", "8", "9"} {
		keys = append(keys, parts.Key{Label: d, Do: app.Action("keying.digit", d)})
	}
	keys = append(keys,
		parts.Key{Label: words.T("keying.erase"), Do: app.Action("keying.digit", "erase"), Plain: true},
		parts.Key{Label: "0", Do: app.Action("keying.digit", "0")},
		parts.Key{Label: words.T("keying.open"), Do: "keying.jump", Plain: true, Off: s.Keying.Digits == ""})
	return m.Group(
		parts.Card("number", "",
			m.El("div", m.Class("field"),
				m.El("label", m.Attr("for", "f-number"), m.Text(words.T("keying.number"))),
				m.El("input", m.ID("f-number"), m.Attr("name", "number"), m.Attr("type", "text"), m.Attr("inputmode", "none"), m.Attr("autocomplete", "off"),
					m.Attr("maxlength", "6"), m.Do("keying.number"), m.Attr("data-on", "input"), m.Attr("data-enter", "keying.jump"), m.Attr("value", s.Keying.Digits))),
			m.El("div", m.Class("digits"), parts.Keypad("digits", words.T("keying.which"), keys...)),
			parts.Button(words.T("keying.go-back"), "keying.close", parts.Quiet, parts.Wide)),
		keyingList(s, class))
}

// keyingLook shows a card that is keyed already, or in question.
func keyingLook(s *app.State, class contest.Class) m.Part {
	number := s.Page.Number(1)
	no, of := itoa(class.No), itoa(number)
	sub := contest.CardSubject(class.No, number)
	card := s.Open.Contest.Card(class, number)
	history := parts.Button(words.T("keying.history"), to(s, "history", app.SubjectArgs(sub)...), parts.Quiet)
	next := parts.Button(words.T("keying.next"), "keying.next", parts.Primary, parts.Big)
	other := parts.Button(words.T("keying.other"), "keying.pad", parts.ID("other"))
	heading := words.T("keying.card-of", personText(s, number))
	if card.Status == merge.InQuestion {
		return m.Group(parts.Card("look", heading, keyingAsked(s, class, sub), parts.Line(history)),
			parts.Dock(words.T("keying.keys"), next, other))
	}
	shown := m.Part(nil)
	if dense(class) {
		shown = stepList(class, card.Marks)
	} else {
		shown = m.El("div", m.Class("tiles"), m.Each(card.Marks, func(i int, mark byte) m.Part {
			return m.El("span", m.Class("tile"), m.El("span", m.Class("tile-no"), m.Text(strconv.Itoa(i+1))), m.El("span", m.Text(markText(class, mark))))
		}))
	}
	if class.Kind == contest.Placing && len(card.Marks) > 0 {
		shown = m.El("p", m.Class("keyed-value"), m.Text(markText(class, card.Marks[0])))
	}
	status := card.Status
	once := s.Open.Contest.KeyedOnce(class, number)
	if once { // it may be one person on two phones
		status = merge.Single
	}
	blind := s.Page.Arg(2) == app.WayAgain && once // the phone goes to somebody who must not see it
	return m.Group(
		parts.Card("look", heading,
			parts.Para(words.T("keying.is-"+status.String())),
			m.If(blind && s.SameHand(class, number), sameHand(s)),
			m.If(!blind, shown),
			parts.Line(
				parts.Button(words.T("keying.change"), to(s, "keying", no, of, app.WayChange)),
				parts.Button(words.T("keying.again"), to(s, "keying", no, of, app.WayAgain), parts.Sub(words.T("keying.again-sub")))),
			parts.Line(history)),
		parts.Dock(words.T("keying.keys"), next, other))
}

// keyingAsked says why a card is in question and where it is settled.
func keyingAsked(s *app.State, class contest.Class, sub record.Subject) m.Part {
	if s.Open.Contest.State().Current(sub).Status != merge.InQuestion {
		anew := parts.Button(words.T("questions.anew"), to(s, "keying", itoa(sub.A), itoa(sub.B), app.WayAnew))
		return parts.Notice(parts.Caution, words.T("keying.misfit", class.Slots()), anew)
	}
	return parts.Notice(parts.Caution, words.T("keying.asked"),
		parts.Button(words.T("keying.settle"), to(s, "questions", app.SubjectArgs(sub)...), parts.ID("settle-it")))
}

// keyingDone is shown when no card of the class is due any more.
func keyingDone(s *app.State, class contest.Class) m.Part {
	n := s.KeyingCounts(class)
	if n.Due == 0 {
		return parts.Empty(words.T("keying.no-people"), m.Group(
			parts.Button(words.T("keying.add-people"), to(s, "people"), parts.Primary),
			parts.Button(words.T("keying.other"), "keying.pad", parts.ID("other"))))
	}
	again := s.Page.Arg(2) == app.WayAgain
	once, of := n.Once, n.Done
	if s.Open.Contest.Settings.Confirm != "" {
		once, of = n.Again, n.Asked
	}
	text := words.T("keying.done", n.Due)
	if again {
		text = words.T("keying.done-again")
	}
	if again && once > 0 {
		text = words.T("keying.to-again", once, of)
	}
	return m.Group(
		parts.Card("done", text,
			parts.Progress(words.T("keying.keyed"), words.T("keying.of", n.Done+n.Question, n.Due), n.Done+n.Question, n.Due),
			parts.Progress(words.T("keying.twice"), words.T("keying.of", of-once, of), of-once, of),
			m.If(n.Question > 0, parts.Notice(parts.Caution, words.N("keying.asked-cards", n.Question),
				parts.Button(words.T("keying.settle"), to(s, "questions"), parts.ID("settle-all")))),
			m.If(once > 0, keyingRound(s, class, once))),
		parts.Dock(words.T("keying.keys"), keyingNextClass(s, class, s.Page.Arg(2)),
			parts.Button(words.T("keying.back-card"), "keying.back"),
			parts.Button(words.T("keying.other"), "keying.pad", parts.ID("other"))))
}

// keyingRound leads to the second keying of cards of a class. There it says why
// the person who holds this phone cannot do it.
func keyingRound(s *app.State, class contest.Class, cards int) m.Part {
	if s.Page.Arg(2) == app.WayAgain && !s.KeyingDue(class, app.WayAgain) {
		return sameHand(s)
	}
	return m.Group(
		parts.Para(words.T("keying.round-text")),
		parts.Button(words.N("keying.round", cards), to(s, "keying", itoa(class.No), "0", app.WayAgain), parts.Wide))
}

// sameHand says that a second keying needs another person, who can say so there.
func sameHand(s *app.State) m.Node {
	return parts.Notice(parts.Caution, words.T("keying.same-hand", s.Phone.Initials),
		parts.Para(words.T("keying.same-hand-fix")), initialsField(s))
}

// keyingNextClass leads on to a class of which cards are to be keyed in a way.
func keyingNextClass(s *app.State, class contest.Class, way string) m.Part {
	for _, other := range s.Open.Contest.Classes {
		if other.No != class.No && app.Keyable(other) == nil && s.KeyingDue(other, way) {
			return parts.Button(words.T("keying.next-class", other.Name), to(s, "keying", itoa(other.No), "0", way), parts.ID("next-class"), parts.Primary, parts.Big)
		}
	}
	return m.Group()
}

// keyingList is the contestants around the present one, each with how far
// their card is.
func keyingList(s *app.State, class contest.Class) m.Node {
	persons := s.Open.Contest.Persons
	from := 0
	for from < len(persons) && persons[from].Number < s.Page.Number(1) {
		from++
	}
	from = max(0, min(from-mostListed/4, len(persons)-mostListed))
	persons = persons[from:min(len(persons), from+mostListed)]
	rows := make([]parts.Row, len(persons))
	for i, p := range persons {
		number := itoa(p.Number)
		rows[i] = parts.Row{Lead: number, Title: or(p.Name, words.T("keying.unnamed")), Value: cardState(s, class, p),
			Do: to(s, "keying", itoa(class.No), number), ID: "of-" + number, On: p.Number == s.Page.Number(1)}
	}
	return m.El("section", m.ID("beside"), m.Class("card", "beside"), m.Attr("aria-label", words.T("keying.contestants")),
		parts.List(words.T("keying.contestants"), rows...))
}

// cardState is how far a contestant's card is, in a word or two.
func cardState(s *app.State, class contest.Class, p contest.Person) string {
	status := s.Open.Contest.CardStatus(class, p.Number)
	switch {
	case s.KeyingBegun(class, p.Number):
		return words.T("keying.state-begun")
	case status == merge.Absent && p.Out != "":
		return words.T("keying.state-out")
	}
	return words.T("keying.state-" + strings.ReplaceAll(status.String(), " ", "-"))
}

// keyboardHelp lists what the keyboard does.
func keyboardHelp(class contest.Class) m.Node {
	row := func(text string, keys ...string) m.Part {
		return m.Group(m.El("dt", m.Each(keys, func(_ int, k string) m.Part { return m.El("kbd", m.Text(k)) })), m.El("dd", m.Text(text)))
	}
	more := m.Group(row(words.T("keying.back-says"), "⌫"),
		row(words.T("keying.help-arrows"), "←", "→"),
		row(words.T("keying.other"), app.KeyNumber))
	if dense(class) {
		return m.El("section", m.ID("keyboard"), m.Class("card", "beside"),
			m.El("h2", m.Text(words.T("keying.keyboard"))),
			m.El("dl", m.Class("keys"), kindHelp(class, row), more))
	}
	answers := m.Each(app.KeyingAnswers(class), func(i int, a app.KeyingAnswer) m.Part {
		keys := []string{strconv.Itoa(i + 1)}
		if a.Letter != "" {
			keys = append(keys, strings.ToUpper(a.Letter))
		}
		return row(answerName(class, a), keys...)
	})
	return m.El("section", m.ID("keyboard"), m.Class("card", "beside"),
		m.El("h2", m.Text(words.T("keying.keyboard"))),
		m.El("dl", m.Class("keys"), answers,
			row(words.T("keying.blank"), "0", words.T("keying.space")),
			row(words.T("keying.two"), strings.ToUpper(app.KeyTwo)),
			more,
			row(words.T("keying.next"), "↵")))
}
