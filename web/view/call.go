package view

import (
	"strings"

	"keelcard/engine/amount"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// call is the checking of one carcass, egg or product, with no contest: tap it,
// say what it is and how much, and see the grade and why.
func call(s *app.State) m.Node {
	c := s.CallBird()
	bird := c.Bird()
	also := others(c)
	b := bench{page: "call", bird: bird, judged: bird.Judge(), finder: s.Call.Finder, book: link("book", "", bird.Book.ID)}
	under, beside := b.seen()
	return m.El("div", m.ID("call"), m.Class("finder"), m.Attr("data-face", b.finder.Face()),
		parts.TopBar(words.T("call.title"), birdText(bird), words.T("home.title"), toPage("home")),
		callThings(b),
		parts.Panes(
			m.Group(callLink(s), b.drawing(), under),
			m.Group(
				beside,
				b.step(),
				b.why(true, otherBook(also), parts.Para(words.T("verdict.not-official"), "soft")),
				m.El("div", m.ID("at-bird"), m.Class("stack", "at-bird"),
					dimmer(s, b.bird),
					callSetting(c, b, also),
					parts.Notice(parts.Caution, words.T("common.caution-"+careFor(app.Drawing(bird.Book)))),
					parts.Para(words.T("verdict.not-official"), "soft"),
					parts.Button(words.T("lots.open"), toPage("lots"), parts.Quiet, parts.Sub(words.T("lots.open-sub")))))),
		parts.Dock(words.T("call.dock"),
			b.verdictBar(),
			callWays(s, b)))
}

// callThings chooses what is checked, in one tap.
func callThings(b bench) m.Node {
	now := app.Drawing(b.bird.Book)
	things := make([]m.Part, len(app.Things))
	for i, t := range app.Things {
		things[i] = parts.Button(words.T("call.thing-"+t.Drawing), app.Action("call.thing", t.Drawing), parts.Pressed(t.Drawing == now))
	}
	return m.El("nav", m.ID("things"), m.Class("chips", "at-bird"), m.Attr("aria-label", words.T("call.things")), m.Group(things...))
}

// dimmer offers the scheme for a dark room, where eggs are held before the light.
func dimmer(s *app.State, b app.Bird) m.Part {
	return m.If(app.Drawing(b.Book) == rulebook.DrawLight && s.Phone.Scheme != "dim",
		parts.Button(words.T("finding.dim"), "phone.scheme:dim"))
}

// callLink says what came of a link that was opened.
func callLink(s *app.State) m.Part {
	n := s.Call.Link
	if n.Text == "" {
		return m.Group()
	}
	kind := parts.Info
	if n.Tone == "bad" {
		kind = parts.Bad
	}
	return parts.Notice(kind, n.Text, m.If(n.Fix != "", parts.Para(app.Capital(n.Fix))))
}

// callWays are the buttons under the verdict: those of the open step, or the
// way back.
func callWays(s *app.State, b bench) m.Part {
	switch b.finder.Face() {
	case app.FaceWhy:
		return parts.Button(words.T("finding.leave"), b.do("leave"))
	case app.FaceBird:
		return m.Group(
			m.If(len(s.Call.Past) > 0, parts.Button(words.T("call.undo"), "call.undo", parts.Quiet)),
			parts.Button(words.T("call.share"), "call.share", parts.Says(words.T("call.share-says"))),
			m.If(len(s.CallBird().Findings) > 0, parts.Button(words.T("call.new"), "call.new")))
	}
	return b.ways()
}

// callKeys are the keys of the keyboard that the page wants.
func callKeys(*app.State) string { return "f w u + - Escape" }

// birdText says how a bird is judged: the book, the kind, the weight.
func birdText(b app.Bird) string {
	text := bookName(b.Book)
	for _, k := range b.Book.Kinds {
		if k.ID == b.Setting.Kind {
			text = words.T("verdict.and", text, k.Name)
		}
	}
	for _, g := range app.WeightGroups(b.Book, b.Setting) {
		if g.Holds(b.Setting.Weight) {
			text = words.T("verdict.and", text, groupText(g))
		}
	}
	return text
}

// bookName is a book's short name where it has one, else its title.
func bookName(b *rulebook.Book) string {
	if words.Has("verdict.book-" + b.ID) {
		return words.T("verdict.book-" + b.ID)
	}
	return b.Title
}

func groupText(g app.WeightGroup) string {
	switch {
	case g.Name != "":
		return g.Name
	case g.To == 0:
		return words.T("verdict.weight-over", weightText(g.Over))
	case g.Over == 0:
		return words.T("verdict.weight-to", weightText(g.To))
	}
	return words.T("verdict.weight-between", strings.TrimSuffix(weightText(g.Over), " lb"), weightText(g.To))
}

// weightText is a weight in pounds, as the limits of the books are.
func weightText(w amount.Weight) string {
	return app.WeightText(w)
}

// others are the same bird by the other books about such.
func others(c app.CallBird) []app.Bird {
	var out []app.Bird
	for _, id := range app.CallBooks(app.Drawing(c.Bird().Book)) {
		if id != c.Book {
			out = append(out, c.Under(id))
		}
	}
	return out
}

// otherBook says in a line what another book makes of the bird.
func otherBook(others []app.Bird) m.Part {
	return m.Each(others, func(_ int, other app.Bird) m.Part {
		j := other.Judge()
		text := words.T("call.other", bookName(other.Book), app.Sentence(other, j))
		return parts.Button(text, app.Action("call.book", other.Book.ID), parts.ID("other-"+other.Book.ID), parts.Wide, parts.Sub(words.T("call.other-sub")))
	})
}

// callSetting is how the bird is judged: by which book, of which kind and weight.
func callSetting(c app.CallBird, b bench, others []app.Bird) m.Node {
	book := func(bird app.Bird, on bool) parts.Row {
		j := bird.Judge()
		end := bench{bird: bird, judged: j}.badge("small")
		return parts.Row{Title: bookName(bird.Book), Sub: words.T("verdict.edition", bird.Book.Edition), End: end,
			Do: app.Action("call.book", bird.Book.ID), On: on}
	}
	rows := []parts.Row{book(b.bird, true)}
	for _, other := range others {
		rows = append(rows, book(other, false))
	}
	of := app.Drawing(b.bird.Book)
	var kinds []parts.Choice
	for _, k := range b.bird.Book.Kinds {
		kinds = append(kinds, parts.Choice{Label: k.Name, Do: app.Action("call.kind", k.ID), On: k.ID == c.Kind})
	}
	if of != rulebook.DrawBird && app.Views(b.bird.Book) == nil || of == rulebook.DrawPiece {
		kinds = nil // chosen beside the drawing
	}
	var weights []parts.Choice
	for i, g := range app.WeightGroups(b.bird.Book, b.bird.Setting) {
		weights = append(weights, parts.Choice{Label: groupText(g), Do: app.Action("call.weight", itoa(i+1)), On: g.Holds(c.Weight)})
	}
	return parts.Card("setting", words.T("call.setting"),
		parts.List(words.T("call.books"), rows...),
		m.If(len(kinds) > 0, parts.Choices(words.T("call.kind-bird"), false, kinds...)),
		m.If(len(weights) > 0, parts.Choices(words.T("call.weight-"+of), false, weights...)))
}
