package view

import (
	"slices"
	"strconv"
	"strings"

	"keelcard/engine"
	"keelcard/engine/hens"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
	"keelcard/web/figure"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// hensPage is the worksheet of a class of hens: one hen at a time, what the
// notes say of all four, and the sheet for paper.
func hensPage(s *app.State) m.Node {
	h, err := s.HensNow()
	if err != nil {
		what, fix := whatFix(err)
		return m.El("div", m.ID("worksheet"), top(s, words.T("hens.title"), "contest"),
			parts.Main(parts.Notice(parts.Bad, what, m.If(fix != "", parts.Para(fix)))))
	}
	if s.Page.Arg(1) == "sheet" {
		return hensSheet(s, h)
	}
	if s.Sealed() {
		return m.El("div", m.ID("worksheet"), top(s, words.T("hens.title"), "contest"), parts.Main(sealedCard(s), hensCaution()))
	}
	head := m.Group(
		parts.TopBar(h.Class.Name, words.T("hens.title"), words.T("hens.key"), to(s, "key", itoa(h.Class.No))),
		parts.Where(whereText(s), to(s, "hand-over")))
	if h.Hidden > 0 {
		head = m.Group(head, parts.Notice(parts.Info, words.N("hens.hidden", h.Hidden)))
	}
	if h.Hen == 0 {
		return m.El("div", m.ID("worksheet"), head, hensAll(s, h), hensDock(s, h))
	}
	return m.El("div", m.ID("worksheet"), head,
		parts.Panes(
			m.Group(initials(s), hensTabs(h), henDrawn(s, h)),
			m.Group(henFelt(h), henRemark(s, h), henBeside(s, h), hensCaution())),
		hensDock(s, h))
}

// whatFix is what is wrong, and what to do now.
func whatFix(err error) (what, fix string) {
	if e, ok := err.(*engine.Error); ok {
		return e.What, e.Fix
	}
	return err.Error(), ""
}

// hensTabs leads from hen to hen.
func hensTabs(h app.HensNow) m.Node {
	tabs := make([]parts.Choice, 0, hens.Count+1)
	for i := range hens.Count {
		tabs = append(tabs, parts.Choice{Label: itoa(i + 1), Do: app.Action("hens.hen", itoa(i+1)), On: h.Hen == i+1})
	}
	return parts.Tabs(words.T("key.hens"), append(tabs, parts.Choice{Label: words.T("hens.all"), Do: app.Action("hens.hen", "0"), On: h.Hen == 0})...)
}

// hensDock has the way to the next hen, and undo.
func hensDock(s *app.State, h app.HensNow) m.Node {
	way := func(id, label string, hen int) m.Node {
		return parts.Button(label, app.Action("hens.hen", itoa(hen)), parts.ID(id))
	}
	of, undo := s.HensUndo()
	return parts.Dock(words.T("hens.dock"),
		m.If(undo, parts.Button(words.T("hens.undo"), "hens.undo", parts.Quiet, parts.Says(words.T("verdict.and", words.T("common.undo"), s.SubjectName(of))))),
		m.If(h.Hen == 0, way("before", words.T("key.hen", hens.Count), hens.Count)),
		m.If(h.Hen > 1, way("before", words.T("key.hen", h.Hen-1), h.Hen-1)),
		m.If(h.Hen > 0 && h.Hen < hens.Count, way("next", words.T("key.hen", h.Hen+1), h.Hen+1)),
		m.If(h.Hen == hens.Count, way("next", words.T("hens.all"), 0)))
}

func hensCaution() m.Node {
	return parts.Notice(parts.Caution, words.T("common.caution-hen"))
}

// henPlace is the place of the chart that a place on the drawing stands for.
// Both are in the order of the loss.
func henPlace(site string) string {
	if i := slices.Index(figure.HenPlaces, site); i >= 0 {
		return hens.Chart()[i].ID
	}
	return ""
}

// henSite is the place on the drawing of a place of the chart, "" for none.
func henSite(place string) string {
	for i, row := range hens.Chart() {
		if row.ID == place {
			return figure.HenPlaces[i]
		}
	}
	return ""
}

// henDrawn is the open hen with the places that bleach, on the drawing and as a
// list.
func henDrawn(s *app.State, h app.HensNow) m.Node {
	signs := h.Mine().Signs
	says := func(site string) string { return app.SignText(henPlace(site), signs[henPlace(site)]) }
	var desc []string
	rows := mapped(figure.HenPlaces, func(i int, site string) parts.Row {
		place := henPlace(site)
		desc = append(desc, says(site))
		return parts.Row{Lead: itoa(i + 1), Title: app.SignName(place), Value: app.SignWord(place, signs[place]),
			Do: app.Action("hens.place", place), ID: "row-" + place, On: s.Hens.Place == place}
	})
	return m.El("section", m.ID("pigment"), m.Class("stack"), m.Attr("aria-labelledby", "hen-h"),
		m.El("h2", m.ID("hen-h"), m.Attr("tabindex", "-1"), m.Text(words.T("hens.ask", h.Hen))),
		henSaid(s, h),
		figure.Hen(pigmentOf(signs), figure.Options{
			Title: words.T("hens.drawing", h.Hen), Desc: strings.Join(desc, "; "), Label: says, Selected: henSite(s.Hens.Place),
			Do: func(site string) string { return app.Action("hens.place", henPlace(site)) }}),
		parts.List(words.T("hens.places"), rows...))
}

// pigmentOf tells the drawing how yellow each place is.
func pigmentOf(signs map[string]string) func(string) figure.Pigment {
	return func(site string) figure.Pigment { return figure.Pigment(signs[henPlace(site)]) }
}

// henSaid reads the last entry back, or says what to do.
func henSaid(s *app.State, h app.HensNow) m.Node {
	text, state := words.T("hens.tap"), ""
	if last := s.Hens.Last; last.Value != "" {
		text, state = last.Value, words.T("common.where-writing")
		if s.Kept() {
			state = words.T("key.kept")
		}
	}
	return m.El("p", m.ID("said"), m.Class("said"), m.Attr("role", "status"),
		m.El("span", m.Class("said-text"), m.Text(text)),
		m.If(state != "", m.El("span", m.Class("said-state"), m.Text(state))))
}

// henFelt is what is felt on the open hen and counted on her wing.
func henFelt(h app.HensNow) m.Node {
	return parts.Card("felt", words.T("hens.felt", h.Hen),
		parts.Para(words.T("hens.felt-text"), "soft"),
		henFingers(h, hens.KeyPubic), henFingers(h, hens.KeyKeel),
		henChoices(h, hens.KeyFeel, hens.FeelWords[1:]),
		henMolt(h))
}

// henChoices are the words of a sign, the one that is set to be taken away by
// the same tap.
func henChoices(h app.HensNow, key string, list []string) m.Node {
	return parts.Choices(app.SignName(key), true, mapped(list, func(_ int, word string) parts.Choice {
		return parts.Choice{Label: app.Capital(app.SignWord(key, word)), Do: app.Action("hens.set", key, word), On: h.Mine().Signs[key] == word}
	})...)
}

// henGrid is a sign with many short answers.
func henGrid(h app.HensNow, key string, list []string, label func(string) string) m.Node {
	return m.El("fieldset", m.Class("choices", "jumps"), m.El("legend", m.Text(app.SignName(key))),
		m.Each(list, func(_ int, word string) m.Part {
			return parts.Button(label(word), app.Action("hens.set", key, word), parts.Pressed(h.Mine().Signs[key] == word), parts.Says(app.SignText(key, word)))
		}))
}

func henFingers(h app.HensNow, key string) m.Node {
	list := make([]string, hens.MaxFingers)
	for i := range list {
		list[i] = hens.Fingers(i + 1)
	}
	return henGrid(h, key, list, strings.NewReplacer(" 1/2", "½", "1/2", "½").Replace)
}

// henMolt counts primaries, and asks how they were dropped when there are some.
func henMolt(h app.HensNow) m.Part {
	list := []string{"none"}
	for i := range hens.MaxPrimaries {
		list = append(list, itoa(i+1))
	}
	n, _ := strconv.Atoi(h.Mine().Signs[hens.KeyMolt])
	hen, _ := h.Of(h.Hen, h.Me)
	return m.Group(
		henGrid(h, hens.KeyMolt, list, func(word string) string {
			if word == "none" {
				return words.T("hens.none")
			}
			return word
		}),
		m.If(n > 1, henChoices(h, hens.KeyPace, []string{"single", "together"})),
		m.If(n > 0, parts.Para(words.T("hens.weeks", words.N("hens.week", hens.MoltWeeks(n, hen.Hen.Together))), "soft")))
}

// henRemark is the official's note on the open hen.
func henRemark(s *app.State, h app.HensNow) m.Node {
	in := parts.Input{Name: "remark", Label: words.T("hens.remark", h.Hen), Hint: words.T("hens.remark-hint"), Value: h.Mine().Note, Do: "hens.remark", Lines: 2}
	if f := s.Hens.Fault; f.Field == in.Name {
		in.Value, in.Error = f.Text, f.What
	}
	return parts.Field(in)
}

// officialName is the name of who wrote "official/WR".
func officialName(who string) string {
	_, name, _ := strings.Cut(who, "/")
	return name
}

// henBeside puts the notes of several officials on the open hen side by side.
func henBeside(s *app.State, h app.HensNow) m.Part {
	notes := h.Notes[h.Hen]
	if len(notes) == 0 || len(notes) == 1 && notes[0].Record.Who == h.Me {
		return m.Group()
	}
	columns := []parts.Column{{Text: words.T("hens.sign")}}
	for _, n := range notes {
		columns = append(columns, parts.Column{Text: words.T("hens.by", officialName(n.Record.Who), ago(s.Now-n.Record.Stamp.Wall))})
	}
	row := func(label string, of func(app.HenNote) string) parts.TableRow {
		cells := []m.Part{m.Text(label)}
		for _, n := range notes {
			cells = append(cells, m.Text(of(n)))
		}
		return parts.TableRow{Cells: cells}
	}
	var rows []parts.TableRow
	for _, key := range app.SignKeys() {
		if slices.ContainsFunc(notes, func(n app.HenNote) bool { return n.Seen.Signs[key] != "" }) {
			rows = append(rows, row(app.SignName(key), func(n app.HenNote) string { return app.SignWord(key, n.Seen.Signs[key]) }))
		}
	}
	if slices.ContainsFunc(notes, func(n app.HenNote) bool { return n.Seen.Note != "" }) {
		rows = append(rows, row(words.T("hens.note"), func(n app.HenNote) string { return n.Seen.Note }))
	}
	return parts.Card("beside", words.T("hens.beside", h.Hen),
		parts.Para(words.T("hens.beside-text"), "soft"),
		m.If(slices.ContainsFunc(notes, func(n app.HenNote) bool { return n.Err != nil }), parts.Notice(parts.Caution, words.T("hens.newer"))),
		parts.Table("notes", words.T("hens.noted"), columns, rows))
}

// hensCite names a source of the worksheet and how well a thing is known.
func hensCite(id, confidence string) m.Node {
	return cite(hens.Sources(), id, confidence)
}

// cite names a source of a list and how well a thing is known.
func cite(list []rulebook.Source, id, confidence string) m.Node {
	return bench{bird: app.Bird{Book: &rulebook.Book{Sources: list}}}.source(id, confidence)
}
