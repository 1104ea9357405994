package view

import (
	"slices"
	"strconv"
	"strings"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/web/app"
	"keelcard/web/figure"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// keyKinds is the key of a class of names or faults, one item at a time.
func keyKinds(s *app.State, k app.KeyNow) m.Node {
	return m.El("div", m.ID("key"), m.Class("keying", "dense"),
		keyHead(s, k),
		parts.Panes(
			m.Group(initials(s), keyState(s, k), m.If(s.KeyPage.Last.Value != "", keyLast(s, k)),
				keyKindTiles(s, k), keyNow(k), keyKindDock(s, k)),
			m.Group(keyCorrected(s, k), m.If(k.Key.Missing() == 0, keyLock(s, k)), keyAlso(s, k), keyPaste(s, k), keyRemark(s, k),
				m.If(k.Key.Missing() > 0, keyLock(s, k)), keyUndo(s), kindCaution(k.Class))))
}

// keyKindTiles shows all items with their answers.
func keyKindTiles(s *app.State, k app.KeyNow) m.Node {
	return tileRow(words.T("key.tiles"), "key.item", len(k.Key.Official), int(k.Item)-1, func(i int) parts.Tile {
		no := strconv.Itoa(i + 1)
		answer, says := "", words.T("keying.nothing")
		switch k.Key.Status[i] {
		case merge.InQuestion:
			answer, says = "?", words.T("keying.state-in-question")
		case merge.Single, merge.Confirmed:
			answer, says = words.T("key.tile-sealed"), words.T("history.sealed")
			if set := k.Key.Official[i]; !unread(set.Answer, k.Key.Status[i]) {
				answer, says = answerMark(k.Class, set.Answer), app.KeyText(k.Class, set)
			}
		}
		return parts.Tile{Number: no, Answer: answer, Says: tileSays(i+1, answer, says), Do: app.Action("key.item", no),
			On: uint32(i+1) == k.Item, Question: k.Key.Status[i] == merge.InQuestion}
	})
}

// answerMark is an official answer short enough for a tile.
func answerMark(class contest.Class, answer string) string {
	if class.Kind == contest.Checked {
		var numbers []string
		faults, _ := class.Faults()
		for i, f := range faults {
			if slices.Contains(contest.SplitFaults(answer), f.ID) {
				numbers = append(numbers, strconv.Itoa(i+1))
			}
		}
		return or(strings.Join(numbers, " "), "0")
	}
	if app.Named(class) {
		return strconv.Itoa(slices.Index(class.Answers(), answer) + 1)
	}
	return answer
}

// keyNow is the answer of the open item in words, and drawn where it is a part.
func keyNow(k app.KeyNow) m.Part {
	if !k.Settled() {
		return m.Group()
	}
	id, title := partID(k.Answer.Answer), app.KeyText(k.Class, k.Answer)
	drawn := k.Class.Kind == contest.Identified && slices.Contains(figure.PartIDs(), id)
	return m.El("div", m.ID("answered"), m.Class("answered"),
		m.If(drawn, figure.Part(id, figure.Options{ID: "part-art", Title: title, Desc: title, Static: true})),
		m.El("p", m.Class("readback-value"), m.Text(title)))
}

// partID is the drawing of a part by any of its names.
func partID(name string) string {
	all := contest.Class{Kind: contest.Identified, List: "parts-30"}
	if i, ok := contest.FindName(all, name); ok {
		name = all.Answers()[i]
	}
	return strings.ReplaceAll(name, " ", "-")
}

// keyKindDock holds the answers to choose from.
func keyKindDock(s *app.State, k app.KeyNow) m.Part {
	if k.Closed || k.Status == merge.InQuestion || s.Phone.Initials == "" || s.KeyPage.Paste.Open {
		return m.Group()
	}
	ask := m.El("p", m.ID("prompt"), m.Class("prompt"), m.Attr("role", "status"), m.Text(words.T("key.ask-"+k.Class.Kind, k.Item, len(k.Key.Items))))
	if k.Class.Kind == contest.Checked {
		found := k.Faults()
		faults, _ := k.Class.Faults()
		keys := nameKeys(k.Class, "key.fault", func(n int) bool { return slices.Contains(found, faults[n-1].ID) })
		on := parts.Key{Label: words.T("keying.none"), Do: "key.none"}
		if k.Settled() {
			on = parts.Key{Label: words.T("keying.on"), Do: "key.on"}
		}
		return parts.Dock(words.T("key.dock"), m.El("div", m.ID("pads"), m.Class("pads"), ask, namePad("pad", keys),
			m.El("div", m.Class("go"), parts.Keypad("pad-go", words.T("keying.go"), on))))
	}
	chosen := ""
	if k.Settled() {
		chosen = k.Answer.Answer
	}
	answers := k.Class.Answers()
	keys := nameKeys(k.Class, "key.name", func(n int) bool { return answers[n-1] == chosen })
	if !app.Named(k.Class) {
		for i := range keys {
			keys[i].Sub = ""
		}
		return parts.Dock(words.T("key.dock"), m.El("div", m.ID("pads"), m.Class("pads"), ask, parts.Keypad("pad", words.T("keying.answers"), keys...)))
	}
	search := m.Part(m.Group())
	if len(keys) > fewNames {
		search = live(parts.Field(parts.Input{Name: "search", Label: words.T("key.search"), Value: s.KeyPage.Search, Do: "key.search"}))
		keys = slices.DeleteFunc(keys, func(key parts.Key) bool {
			return !strings.Contains(strings.ToLower(key.Label+" "+key.Sub), strings.ToLower(s.KeyPage.Search))
		})
	}
	return parts.Dock(words.T("key.dock"), m.El("div", m.ID("pads"), m.Class("pads"), ask, search, namePad("pad", keys)))
}

// keyCorrected asks why an answer of a locked key is what it is.
func keyCorrected(s *app.State, k app.KeyNow) m.Part {
	switch {
	case k.Closed && k.Seen.Official != "":
		return parts.Card("differs", words.T("key.why-official"), parts.Para(k.Seen.Official, "strong"))
	case k.Closed || !k.Key.Locked:
		return m.Group()
	}
	in := parts.Input{Name: "official", Label: words.T("key.why-official"), Hint: words.T("key.why-hint"), Value: k.Seen.Official, Do: "key.official", Lines: 2}
	if f := s.KeyPage.Fault; f.Field == "official" {
		in.Value, in.Error = f.Text, f.What
	}
	return parts.Card("differs", "", parts.Notice(parts.Caution, words.T("key.corrected")), parts.Field(in))
}

// keyAlso chooses what else is right on the open item, before the key is locked.
func keyAlso(s *app.State, k app.KeyNow) m.Part {
	if !k.Settled() || k.Class.Kind == contest.Checked {
		return m.Group()
	}
	end := m.Part(nil)
	if len(k.Answer.Also) > 0 {
		end = m.Text(strings.Join(k.Answer.Also, ", "))
	}
	if k.Key.Locked {
		return m.If(end != nil, parts.Line(m.El("span", m.Class("strong"), m.Text(words.T("key.also"))), m.El("span", end)))
	}
	var buttons []m.Part
	for i, answer := range k.Class.Answers() {
		if answer != k.Answer.Answer {
			buttons = append(buttons, parts.Button(answer, app.Action("key.also", strconv.Itoa(i+1)), parts.Pressed(slices.Contains(k.Answer.Also, answer))))
		}
	}
	return parts.Why("also", words.T("key.also"), end, parts.Para(words.T("key.also-text"), "soft"), parts.Line(buttons...))
}

// keyPaste takes a whole key as text.
func keyPaste(s *app.State, k app.KeyNow) m.Part {
	paste := s.KeyPage.Paste
	if k.Key.Locked {
		return m.Group()
	}
	if !paste.Open {
		return parts.Button(words.T("key.paste"), "key.paste", parts.Quiet, parts.Wide)
	}
	read := m.Part(m.Group())
	if strings.TrimSpace(paste.Text) != "" {
		items, faults := contest.ParseKey(k.Class, paste.Text)
		var rows []m.Part
		for i, item := range items {
			if item.Answer != "" {
				rows = append(rows, m.El("li", m.Text(words.T("keying.item", i+1)+": "+app.KeyText(k.Class, item))))
			}
		}
		read = m.Group(
			m.If(len(faults) > 0, parts.Notice(parts.Caution, words.N("key.paste-faults", len(faults)),
				m.El("ul", m.ID("paste-faults"), m.Each(faults[:min(len(faults), contest.MaxProblems)], func(_ int, f *engine.Error) m.Part {
					return m.El("li", m.Text(strings.TrimPrefix(f.Where+": ", ": ")+f.What+"; "+f.Fix))
				})))),
			m.If(len(rows) > 0, m.Group(
				m.El("ul", m.ID("paste-read"), m.Group(rows...)),
				parts.Button(words.N("key.paste-take", len(rows)), "key.paste-take", parts.Primary, parts.Wide))))
	}
	return parts.Card("paste", words.T("key.paste"),
		live(parts.Field(parts.Input{Name: "paste", Label: words.T("key.paste-label"), Hint: words.T("key.paste-hint-" + k.Class.Kind), Value: paste.Text, Do: "key.paste-text", Lines: 6})),
		read,
		parts.Button(words.T("key.paste-close"), "key.paste", parts.Quiet))
}

// kindCaution is the warning where raw parts lie on the table; an exam needs none.
func kindCaution(class contest.Class) m.Part {
	return m.If(class.Kind == contest.Checked || app.Named(class), caution(class))
}

// keyAwarded says that officials give the points of the class, and for what.
func keyAwarded(s *app.State, k app.KeyNow) m.Node {
	class := k.Class
	rows := make([]parts.TableRow, 0, len(class.GivenFor()))
	for _, one := range class.GivenFor() {
		rows = append(rows, parts.TableRow{Cells: parts.Texts(or(one.Name, words.T("key.given-all")), one.Most.String())})
	}
	round := class.Round
	if round == "" {
		round = "fine"
	}
	no := itoa(class.No)
	return m.El("div", m.ID("key"),
		parts.TopBar(words.T("key.of", class.Name), s.Open.Head.Name, words.T("common.back"), to(s, "contest")),
		parts.Where(whereText(s), to(s, "hand-over")),
		parts.Main(parts.Card("given", words.T("key.no-key"),
			parts.Para(words.T("key.no-key-text")),
			parts.Table("given-for", words.T("key.given-for"), []parts.Column{{Text: words.T("key.given")}, {Text: words.T("key.given-most"), Num: true}}, rows),
			parts.Para(words.N("key.officials", class.OfficialCount())),
			parts.Para(words.T("key.given-step", class.StepPoints())),
			m.If(class.OfficialCount() > 1, parts.Para(words.T("key.given-round-"+round))),
			parts.Line(
				parts.Button(words.T("key.to-keying"), to(s, "keying", no), parts.Primary),
				parts.Button(words.T("key.set-up"), to(s, "class", no))))))
}
