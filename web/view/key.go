package view

import (
	"slices"
	"strings"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/placing"
	"keelcard/engine/record"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
	"keelcard/web/figure"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// keyPage is the official key of a class: what an official sees on each item
// and answers.
func keyPage(s *app.State) m.Node {
	k, err := s.KeyNow()
	if err != nil {
		return keyFault(s, k, err)
	}
	switch {
	case k.Sealed:
		return keySealed(s, k)
	case k.Class.Kind == contest.Placing:
		return keyPlacing(s, k)
	case k.Bird.Book != nil:
		return keyGraded(s, k)
	case k.Class.Kind == contest.Awarded:
		return keyAwarded(s, k)
	}
	return keyKinds(s, k)
}

// keyKeys are the keys of the keyboard that the page wants.
func keyKeys(s *app.State) string {
	k, err := s.KeyNow()
	switch {
	case err != nil || s.Sealed():
		return ""
	case k.Sealed:
		return "ArrowLeft ArrowRight"
	case k.Class.Kind == contest.Placing:
		return "1 2 3 4 Backspace"
	case k.Class.Kind == contest.Awarded:
		return ""
	case k.Class.Kind == contest.Checked && k.Bird.Book != nil:
		return "0 1 2 3 4 5 6 7 8 9 x Enter ArrowLeft ArrowRight u f w + - Escape"
	case k.Class.Kind != contest.Graded:
		return "0 1 2 3 4 5 6 7 8 9 a b c d e n x Enter ArrowLeft ArrowRight u"
	}
	keys := "Enter ArrowLeft ArrowRight u f w + - Escape"
	for _, a := range k.Class.Answers() {
		keys += " " + strings.ToLower(a[:1])
	}
	return keys
}

// keyFault says why there is no key to set.
func keyFault(s *app.State, k app.KeyNow, err error) m.Node {
	what, fix := err.Error(), ""
	if e, ok := err.(*engine.Error); ok {
		what, fix = e.What, e.Fix
	}
	return m.El("div", m.ID("key"),
		parts.TopBar(words.T("key.title"), k.Class.Name, words.T("common.back"), to(s, "contest")),
		parts.Main(parts.Notice(parts.Bad, what, m.If(fix != "", parts.Para(fix)),
			m.If(k.Class.Name != "", parts.Button(words.T("key.set-up"), to(s, "class", s.Page.Arg(0)))))))
}

func keyHead(s *app.State, k app.KeyNow) m.Part {
	items := len(k.Key.Items)
	sub := words.T("key.sub", items-k.Key.Missing(), items)
	if k.Class.Kind == contest.Placing {
		sub = s.Open.Head.Name
	}
	return m.Group(
		parts.TopBar(words.T("key.of", k.Class.Name), sub, words.T("common.back"), to(s, "contest")),
		parts.Where(whereText(s), to(s, "hand-over")))
}

// keyGraded is the key of a class with a book, one bird at a time: its grade, or
// its faults.
func keyGraded(s *app.State, k app.KeyNow) m.Node {
	b := bench{page: "key", bird: k.Bird, judged: k.Judged, finder: s.KeyPage.Finder, closed: k.Closed,
		title: words.T("key.of-items", k.ItemName(), len(k.Key.Items)), lead: keyLast(s, k), book: here(s, "class-book", itoa(k.Class.No))}
	under, beside := b.seen()
	return m.El("div", m.ID("key"), m.Class("finder"), m.Attr("data-face", b.finder.Face()),
		keyHead(s, k),
		parts.Panes(
			m.Group(
				m.El("div", m.ID("key-top"), m.Class("stack", "at-bird"), initials(s), keyState(s, k)),
				b.drawing(), under),
			m.Group(
				beside,
				keyFaults(k),
				b.step(),
				keyDiffers(s, k, b),
				m.El("div", m.ID("at-tiles"), m.Class("at-bird"), keyTiles(s, k)),
				b.why(false, parts.Para(words.T("verdict.not-official-key"), "soft"), parts.Para(words.T("key.options"), "soft"), parts.Button(words.T("key.set-up"), to(s, "class", itoa(k.Class.No)), parts.Quiet)),
				m.El("div", m.ID("at-bird"), m.Class("stack", "at-bird"),
					dimmer(s, k.Bird),
					m.If(k.Key.Missing() == 0, keyLock(s, k)), // a whole key is locked next
					keyAlso(s, k),
					m.If(k.Class.Kind == contest.Checked, keyPaste(s, k)),
					keyRemark(s, k),
					keyPhoto(k),
					m.If(k.Key.Missing() > 0, keyLock(s, k)),
					keyUndo(s),
					caution(k.Class)))),
		keyDock(k, b))
}

// keyTiles shows all items with their answers.
func keyTiles(s *app.State, k app.KeyNow) m.Node {
	if k.Class.Kind == contest.Checked {
		return keyKindTiles(s, k)
	}
	tiles := make([]parts.Tile, len(k.Key.Items))
	for i, item := range k.Key.Items {
		no := itoa(i + 1)
		name := k.NameOf(uint32(i) + 1)
		says := words.T("key.tile-none", name)
		switch k.Key.Status[i] {
		case merge.InQuestion:
			says = words.T("key.tile-question", name)
			item.Answer = "?"
		case merge.Single, merge.Confirmed:
			says = words.T("key.tile", name, answerSays(item.Answer, k.Bird.Book, item.Answer))
			if unread(item.Answer, k.Key.Status[i]) {
				says, item.Answer = words.T("key.tile", name, words.T("history.sealed")), words.T("key.tile-sealed")
			}
		}
		tiles[i] = parts.Tile{Number: no, Answer: item.Answer, Says: says, Do: app.Action("key.item", no), On: uint32(i+1) == k.Item, Question: k.Key.Status[i] == merge.InQuestion}
	}
	return parts.Tiles(words.T("key.tiles"), tiles...)
}

// keyState says what keeps the item from being set as usual: a question, a
// lock, or a correction that is open.
func keyState(s *app.State, k app.KeyNow) m.Part {
	history := parts.Button(words.T("key.history"), to(s, "history", app.SubjectArgs(k.Subject())...), parts.Quiet)
	item := max(k.Item, 1)
	ruling := contest.RulingSubject(k.Class.No, item)
	switch {
	case s.Open.Contest.State().Current(ruling).Status == merge.InQuestion:
		return parts.Notice(parts.Caution, words.T("key.rulings-differ"), parts.Button(words.T("key.settle"), to(s, "questions", app.SubjectArgs(ruling)...)))
	case k.Status == merge.InQuestion:
		return parts.Notice(parts.Caution, words.T("key.questioned"), parts.Button(words.T("key.settle"), to(s, "questions", app.SubjectArgs(k.Subject())...)))
	case k.Closed:
		return parts.Notice(parts.Info, words.T("key.locked"),
			m.If(!k.Key.Rulings[item-1].None(), parts.Para(words.T("key.ruled"), "strong")),
			parts.Line(parts.Button(words.T("key.rule"), to(s, "ruling", itoa(k.Class.No), itoa(item))), parts.Button(words.T("key.correct"), "key.correct"), history))
	case k.Key.Locked:
		return parts.Notice(parts.Caution, words.T("key.correcting"), parts.Line(parts.Button(words.T("key.correct-end"), "key.correct"), history))
	}
	return m.Group()
}

// keyDiffers asks for a reason where the official answers other than the book,
// or corrects an answer after the lock.
func keyDiffers(s *app.State, k app.KeyNow, b bench) m.Part {
	differs := k.Differs()
	if !differs && (!k.Key.Locked || k.Closed) && k.Seen.Official == "" {
		return m.Group()
	}
	text := words.T("key.corrected")
	if differs {
		text = words.T("key.differs", k.AnswerText(k.Answer.Answer), k.AnswerText(k.ByBook()))
	}
	if k.Closed {
		return parts.Card("differs", words.T("key.why-official"), m.If(differs, parts.Para(text)), m.If(k.Seen.Official != "", parts.Para(k.Seen.Official, "strong")))
	}
	in := parts.Input{Name: "official", Label: words.T("key.why-official"), Hint: words.T("key.why-hint"), Value: k.Seen.Official, Do: "key.official", Lines: 2}
	if f := s.KeyPage.Fault; f.Field == "official" {
		in.Value, in.Error = f.Text, f.What
	}
	return m.El("section", m.ID("differs"), m.Class("card"),
		parts.Notice(parts.Caution, text),
		parts.Field(in),
		m.If(differs, parts.Button(words.T("key.take-book", k.AnswerText(k.ByBook())), "key.book")))
}

// keyLast reads the last entry back, or says what to do first.
func keyLast(s *app.State, k app.KeyNow) m.Node {
	last := s.KeyPage.Last
	text, state := words.T("key.say-tap"), ""
	switch {
	case last.Value != "" && s.Kept():
		text, state = said(k, last), words.T("key.kept")
	case last.Value != "":
		text, state = said(k, last), words.T("common.where-writing")
	case k.Closed:
		text = words.T("finding.seen")
	case k.Bird.Book == nil:
		text = ""
	}
	return m.El("p", m.ID("said"), m.Class("said"), m.Attr("role", "status"),
		m.El("span", m.Class("said-text"), m.Text(text)),
		m.If(state != "", m.El("span", m.Class("said-state"), m.Text(state))))
}

// said is an entry as it is read back. The item is named where it is not the
// one that is open.
func said(k app.KeyNow, last app.Said) string {
	if k.Item > 0 && last.Item == k.ItemName() {
		return last.Value
	}
	return words.T("key.last", last.Item, last.Value)
}

func keyRemark(s *app.State, k app.KeyNow) m.Part {
	label := words.T("key.remark-item")
	if k.Closed {
		return m.If(k.Seen.Note != "", parts.Card("remark", label, parts.Para(k.Seen.Note)))
	}
	in := parts.Input{Name: "remark", Label: label, Hint: words.T("key.remark-hint"), Value: k.Seen.Note, Do: "key.remark"}
	if f := s.KeyPage.Fault; f.Field == "remark" {
		in.Value, in.Error = f.Text, f.What
	}
	return parts.Field(in)
}

func keyPhoto(k app.KeyNow) m.Part {
	if k.Seen.Photo == "" {
		return m.If(!k.Closed, parts.Button(words.T("key.photo"), "key.photo", parts.Sub(words.T("key.photo-sub"))))
	}
	return m.El("figure", m.ID("photo"), m.Class("photo"),
		m.El("img", m.ID("photo-img"), m.Attr("data-blob", k.Seen.Photo), m.Attr("alt", words.T("key.photo-alt", k.ItemName(), k.Class.Name))),
		m.El("figcaption", m.Class("row"), m.El("span", m.Class("soft", "grow"), m.Text(words.T("key.photo-where"))),
			m.If(!k.Closed, m.Group(parts.Button(words.T("key.photo-again"), "key.photo"), parts.Button(words.T("key.photo-remove"), "key.photo-remove", parts.Quiet)))))
}

// keyLock offers to lock a whole key, and says what that means.
func keyLock(s *app.State, k app.KeyNow) m.Part {
	if k.Key.Locked {
		return m.Group()
	}
	if n := k.Key.Missing(); n > 0 {
		return parts.Para(words.N("key.lock-wait", n), "soft")
	}
	return parts.Why("lock", words.T("key.lock"), nil,
		parts.Notice(parts.Caution, words.T("key.lock-caution")),
		parts.Button(words.T("key.lock-do"), "key.lock", parts.Primary, parts.Wide))
}

func keyUndo(s *app.State) m.Part {
	r, _, ok := s.UndoTarget()
	if !ok || r.Subject.Kind != record.KindKey && r.Subject.Kind != contest.KindSeen && r.Subject.Kind != record.KindLock {
		return m.Group()
	}
	return parts.Button(words.T("common.undo"), "key.undo", parts.Quiet, parts.Wide, parts.Sub(s.SubjectName(r.Subject)))
}

// keyDock holds the verdict, the answers and the way to the next bird.
func keyDock(k app.KeyNow, b bench) m.Node {
	if face := b.finder.Face(); face == app.FaceWhat || face == app.FaceMuch {
		return parts.Dock(words.T("key.dock"), b.verdictBar(), b.ways())
	}
	way := func(label, says, id string, item uint32, there bool) m.Node {
		opts := []parts.Opt{parts.Says(says), parts.ID(id)}
		if !there {
			opts = append(opts, parts.Disabled)
		}
		return parts.Button(label, app.Action("key.item", itoa(item)), opts...)
	}
	slots := uint32(len(k.Key.Items))
	many := ""
	if k.Class.Kind == contest.Graded && len(k.Class.Answers()) > 4 {
		many = "many"
	}
	return parts.Dock(words.T("key.dock"), b.verdictBar(),
		m.If(k.Differs() && k.Seen.Official == "" && !k.Closed, parts.Button(words.T("key.say-why", k.AnswerText(k.Answer.Answer), k.AnswerText(k.ByBook())), "key.say-why", parts.Wide)),
		m.El("div", m.Class("answers", many), m.Attr("role", "group"), m.Attr("aria-label", words.T("key.answers", k.ItemName())),
			way("‹", words.T("key.before"), "before", k.Item-1, k.Item > 1),
			keyChoice(k),
			way("›", words.T("key.next"), "next", k.Item+1, k.Item < slots)))
}

// keyFaults are the faults that the official finds on the item; what the book
// finds carries its mark.
func keyFaults(k app.KeyNow) m.Part {
	if k.Class.Kind != contest.Checked {
		return m.Group()
	}
	listed, _ := k.Class.Faults()
	found, by := k.Faults(), contest.SplitFaults(k.ByBook())
	shut := k.Closed || k.Status == merge.InQuestion
	choice := func(label, do string, on, book bool) m.Part {
		opts := []parts.Opt{parts.Pressed(on)}
		if book {
			opts = append(opts, parts.Sub(words.T("key.by-book")))
		}
		if shut {
			opts = append(opts, parts.Disabled)
		}
		return parts.Button(label, do, opts...)
	}
	return m.El("div", m.ID("at-faults"), m.Class("at-bird"), parts.Card("faults", words.T("key.answers", k.ItemName()),
		m.El("div", m.Class("choices"), m.Attr("role", "group"), m.Attr("aria-label", words.T("key.answers", k.ItemName())),
			m.Each(listed, func(i int, f contest.Fault) m.Part {
				return choice(app.Capital(f.Name), app.Action("key.fault", itoa(i+1)), slices.Contains(found, f.ID), slices.Contains(by, f.ID))
			}),
			choice(words.T("keying.none"), "key.none", k.Settled() && len(found) == 0, false))))
}

// keyChoice are the answers to tap; of faults there are too many for the dock,
// which has the book's answer.
func keyChoice(k app.KeyNow) m.Part {
	if k.Class.Kind != contest.Checked {
		return m.Each(k.Class.Answers(), func(_ int, a string) m.Part { return keyAnswer(k, a) })
	}
	opts := []parts.Opt{parts.Pressed(k.Settled() && k.Answer.Answer == k.ByBook()), parts.Sub(words.T("key.by-book"))}
	if k.Closed || k.Status == merge.InQuestion || k.ByBook() == "" {
		opts = append(opts, parts.Disabled)
	}
	return parts.Button(k.AnswerText(k.ByBook()), "key.book", append(opts, parts.ID("by-book"))...)
}

// keyAnswer is one answer to tap. The book's own carries its mark.
func keyAnswer(k app.KeyNow, answer string) m.Node {
	says := answer
	opts := []parts.Opt{parts.Pressed(k.Settled() && k.Answer.Answer == answer)}
	if k.Judged.Err == nil && k.Judged.Grade == answer {
		opts = append(opts, parts.Sub(words.T("key.by-book")))
		says = words.T("key.by-book-says", says)
	}
	if k.Closed || k.Status == merge.InQuestion {
		opts = append(opts, parts.Disabled)
	}
	if len(answer) > 2 {
		opts = append(opts, parts.Long)
	}
	return parts.Button(answer, app.Action("key.answer", answer), append(opts, parts.Says(answerSays(says, k.Bird.Book, answer)))...)
}

// answerSays puts the name of a grade behind what is shown of it, where they
// are not the same: whoever speaks to the phone says what they see.
func answerSays(shown string, b *rulebook.Book, answer string) string {
	if name := app.GradeText(b, answer); name != answer {
		return words.T("verdict.and", shown, name)
	}
	return shown
}

// keyPlacing is the key of a placing class: the order, and the three cuts.
func keyPlacing(s *app.State, k app.KeyNow) m.Node {
	p := s.KeyPage
	ordering := !k.Closed && k.Status != merge.InQuestion && (p.Placing || !k.Settled())
	var first, second m.Part
	if ordering {
		first = m.Group(keyOrdering(p, k), keyHens(p.Order, [3]uint8{}, false))
	} else {
		first = keyOrdered(k)
	}
	if k.Settled() && !ordering {
		second = keyCuts(s, k)
	}
	return m.El("div", m.ID("key"), m.Class("placing"),
		keyHead(s, k),
		parts.Panes(
			m.Group(initials(s), keyState(s, k), m.If(s.KeyPage.Last.Value != "", keyLast(s, k)), first),
			m.Group(second,
				parts.Button(words.T("hens.open"), to(s, "hens", itoa(k.Class.No)), parts.Sub(words.T("hens.open-sub"))),
				keyLock(s, k), keyUndo(s), caution(k.Class))))
}

var places = [4]string{"1st", "2nd", "3rd", "4th"}

// keyHens draws the hens as far as they are placed, the others behind in the
// order of their numbers.
func keyHens(order []uint8, cuts [3]uint8, show bool) m.Node {
	o := figure.HensOptions{ID: "hens", Title: words.T("key.hens"), Cuts: cuts, ShowCuts: show}
	var said []string
	n := 0
	for _, h := range order {
		o.Order[n] = h
		o.Places[n] = words.T("key.place-" + places[n])
		said = append(said, itoa(int(h)))
		n++
	}
	for h := uint8(1); h <= 4; h++ {
		if !strings.Contains(string(order), string([]byte{h})) {
			o.Order[n] = h
			n++
		}
	}
	o.Desc = words.T("key.hens-desc", strings.Join(said, "-"))
	return figure.Hens(o)
}

// keyOrdering asks for the hens in order, best first.
func keyOrdering(p app.KeyPage, k app.KeyNow) m.Node {
	keys := make([]parts.Key, 4)
	for i := range keys {
		n := uint8(i + 1)
		keys[i] = parts.Key{Label: itoa(i + 1), Do: app.Action("key.hen", itoa(i+1)), Says: words.T("key.hen", n)}
		for at, h := range p.Order {
			if h == n {
				keys[i].Off, keys[i].Sub = true, words.T("key.place-"+places[at])
				keys[i].Says = words.T("verdict.and", keys[i].Says, keys[i].Sub)
			}
		}
	}
	return parts.Card("order", words.T("key.order-ask-"+itoa(len(p.Order)+1)),
		parts.Keypad("hen-keys", words.T("key.hens"), keys...),
		m.If(len(p.Order) > 0 || p.Placing && k.Settled(), parts.Button(words.T("key.hen-back"), "key.hen-back", parts.Quiet)))
}

// keyOrdered shows the order that stands.
func keyOrdered(k app.KeyNow) m.Part {
	order := k.Order()
	if !order.Valid() {
		return m.Group()
	}
	return parts.Card("order", words.T("key.order"),
		keyHens(order[:], k.Answer.Cuts, true),
		m.El("p", m.Class("readback-value"), m.Text(order.String())),
		m.If(!k.Closed, parts.Button(words.T("key.order-again"), "key.order", parts.Quiet)))
}

// keyCuts sets the three cuts, and says what they come to.
func keyCuts(s *app.State, k app.KeyNow) m.Node {
	cuts := placing.Cuts(k.Answer.Cuts)
	order := k.Order()
	row := func(i int) m.Part {
		name := words.T("key.cut-"+itoa(i+1), order[i], order[i+1])
		if k.Closed {
			return m.El("div", m.Class("cut"), m.El("h3", m.Text(name)), m.El("p", m.Class("readback-value"), m.Text(itoa(int(cuts[i])))))
		}
		sub := words.T("key.cut-size-" + cutSize(cuts[i]))
		return m.El("div", m.Class("cut"), m.El("h3", m.Text(name)),
			stepper(itoa(int(cuts[i])), sub, app.Action("key.cut", itoa(i+1), "-1"), app.Action("key.cut", itoa(i+1), "1"), words.T("key.cut-less", name), words.T("key.cut-more", name)))
	}
	return parts.Card("cuts", words.T("key.cuts"),
		parts.Para(words.T("key.cuts-text"), "soft"),
		m.If(s.KeyPage.Fault.Field == "cuts", parts.Notice(parts.Bad, words.T("key.cut-refused"), parts.Para(s.KeyPage.Fault.What))),
		m.El("div", m.Class("cuts"), row(0), row(1), row(2)),
		parts.Stats(parts.Stat(itoa(cuts.Lowest()), words.T("key.lowest")), parts.Stat(itoa(int(cuts[0])+int(cuts[1])+int(cuts[2])), words.T("key.cuts-sum"))),
		m.Each(cuts.Advice(), func(_ int, e *engine.Error) m.Part {
			return parts.Notice(parts.Info, app.Capital(e.What), m.If(e.Fix != "", parts.Para(app.Capital(e.Fix), "soft")))
		}),
		parts.Source(words.T("key.cuts-source")))
}

// cutSize says how clear a cut is (University of Nebraska-Lincoln, NebGuide
// G2092: 1-2 difficult, 3-4 sortable, 5-6 fairly easy, 7-8 very easy).
func cutSize(cut uint8) string {
	switch {
	case cut == 0:
		return "tie"
	case cut <= 2:
		return "close"
	case cut <= 4:
		return "clear"
	case cut <= 6:
		return "easy"
	}
	return "plain"
}
