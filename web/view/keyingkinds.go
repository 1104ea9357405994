package view

import (
	"slices"
	"strconv"
	"strings"

	"keelcard/engine/contest"
	"keelcard/engine/points"
	"keelcard/engine/score"
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// The keys of cards whose answers are names, faults or points.

// fewNames is how many names are shown with room; more are set closer.
const fewNames = 12

// mostTiles is how many steps of a card are shown at once; of longer cards it
// is the ten around the open one.
const mostTiles = 15

// dense tells whether the keys of a class leave little room on a phone.
func dense(class contest.Class) bool {
	return class.Kind == contest.Checked || app.KeyingTypes(class)
}

// keyingKinds gives the keys of a class of names, faults or points.
func keyingKinds(s *app.State, class contest.Class, card *app.Draft) m.Part {
	blank := parts.Key{Label: words.T("keying.blank"), Do: app.Action("keying.mark", "0"), Plain: true}
	back := parts.Key{Label: words.T("keying.back"), Do: "keying.back", Plain: true, Says: words.T("keying.back-says")}
	switch class.Kind {
	case contest.Checked:
		next := parts.Key{Label: words.T("keying.none"), Do: "keying.none"}
		if card.Told(class, card.Item) {
			next = parts.Key{Label: words.T("keying.on"), Do: "keying.on"}
			if card.Step(class, card.Item)[0] == score.Blank {
				next.Sub = words.T("keying.blank-word")
			}
		}
		faults := nameKeys(class, "keying.mark", func(fault int) bool { return card.Step(class, card.Item)[fault-1] == contest.Present })
		return m.Group(namePad("pad", faults),
			m.El("div", m.Class("go"), parts.Keypad("pad-go", words.T("keying.go"), next)),
			parts.Keypad("pad-more", words.T("keying.more"), blank, back))
	case contest.Awarded:
		blank.Label = words.T("keying.not-given")
		return pointKeys(s, class, card, blank, back)
	}
	two := parts.Key{Label: words.T("keying.two"), Do: "keying.two", Plain: true}
	match, whole := s.KeyingMatches(class)
	keys := nameKeys(class, "keying.mark", func(name int) bool { return name == whole })
	if s.Keying.Typed != "" {
		keys = slices.DeleteFunc(keys, func(k parts.Key) bool {
			n, _ := strconv.Atoi(k.Sub)
			return !slices.Contains(match, n)
		})
	}
	return m.Group(namePad("pad", keys),
		parts.Keypad("pad-more", words.T("keying.more"), blank, two, back))
}

// nameKeys is a key for each name of a class, with its number. on tells which
// are pressed, counted from 1.
func nameKeys(class contest.Class, do string, on func(int) bool) []parts.Key {
	var keys []parts.Key
	for i, a := range app.KeyingAnswers(class) {
		keys = append(keys, parts.Key{Label: a.Label, Sub: strconv.Itoa(i + 1), Do: app.Action(do, strconv.Itoa(i+1)), On: on(i + 1)})
	}
	return keys
}

// namePad sets keys with names close together.
func namePad(id string, keys []parts.Key) m.Node {
	many := ""
	if len(keys) > fewNames {
		many = "many"
	}
	return m.El("div", m.Class("names", many), parts.Keypad(id, words.T("keying.answers"), keys...))
}

// pointKeys is a key for each number of points where there are few, else digits.
func pointKeys(s *app.State, class contest.Class, card *app.Draft, blank, back parts.Key) m.Part {
	var keys []parts.Key
	if can := app.KeyingPoints(class, card.Item); len(can) <= app.FewAnswers {
		for i, p := range can {
			keys = append(keys, parts.Key{Label: p.String(), Do: app.Action("keying.mark", strconv.Itoa(i+1)), Says: words.T("keying.points", p)})
		}
		return m.Group(m.El("div", m.Class("points"), parts.Keypad("pad", words.T("keying.answers"), keys...)),
			parts.Keypad("pad-more", words.T("keying.more"), blank, back))
	}
	_, whole := s.KeyingMatches(class)
	digit := func(d string) parts.Key { return parts.Key{Label: d, Do: app.Action("keying.type", d)} }
	back.Do = app.Action("keying.type", "erase")
	take := parts.Key{Label: words.T("keying.take"), Do: app.Action("keying.type", "take"), Plain: true, Off: whole == 0}
	keys = append(keys, digit("1"), digit("2"), digit("3"), back, digit("4"), digit("5"), digit("6"), blank, digit("7"), digit("8"), digit("9"), take)
	if class.StepPoints()%points.One != 0 {
		keys = append(keys, parts.Key{Label: ".", Do: app.Action("keying.type", "."), Says: words.T("keying.dot")})
	}
	return m.El("div", m.Class("points", "typed"), parts.Keypad("pad", words.T("keying.answers"), append(keys, digit("0"))...))
}

// kindPrompt says what the next tap is for on a card of names, faults or
// points, and what is typed so far.
func kindPrompt(s *app.State, class contest.Class, card *app.Draft) string {
	ask := words.T("keying.prompt", card.Item+1, len(card.Marks)/class.SlotsPerItem())
	if class.Kind == contest.Awarded {
		can := app.KeyingPoints(class, card.Item)
		ask = words.T("keying.prompt-points", app.StepName(class, card.Item), can[len(can)-1])
	}
	switch typed := s.Keying.Typed; {
	case s.Keying.Wrong != "":
		return words.T("keying.wrong", s.Keying.Wrong, ask)
	case typed != "":
		return ask + ": " + typed + " …"
	}
	return ask
}

// tileText is what is told on a step of a card, short enough for a tile: the
// number of a name, the numbers of faults.
func tileText(class contest.Class, marks []byte) string {
	switch {
	case class.Kind == contest.Checked && marks[0] != score.Blank:
		var numbers []string
		for i, mark := range marks {
			if mark == contest.Present {
				numbers = append(numbers, strconv.Itoa(i+1))
			}
		}
		return or(strings.Join(numbers, " "), "0")
	case app.Named(class) && marks[0] > score.Blank && marks[0] < score.Double:
		return strconv.Itoa(int(marks[0]))
	}
	return markText(class, marks[0])
}

// numbersText writes a card of names or faults by their numbers.
func numbersText(class contest.Class, marks []byte) string {
	between := " "
	if class.Kind == contest.Checked {
		between = " · "
	}
	var texts []string
	for step := range slices.Chunk(marks, class.SlotsPerItem()) {
		texts = append(texts, tileText(class, step))
	}
	return strings.Join(texts, between)
}

// kindTiles shows what is told of a card so far, step by step; of a single step
// there is nothing to show.
func kindTiles(class contest.Class, card *app.Draft) m.Part {
	n := len(card.Marks) / len(card.Step(class, 0))
	if n == 1 {
		return m.Group()
	}
	tile := func(i int) parts.Tile {
		says, answer := words.T("keying.nothing"), ""
		if card.Told(class, i) {
			marks := card.Step(class, i)
			answer, says = tileText(class, marks), app.StepText(class, marks)
		}
		if class.Kind == contest.Awarded {
			says = app.StepName(class, i) + ", " + says
		}
		return parts.Tile{Number: strconv.Itoa(i + 1), Answer: answer, Says: tileSays(i+1, answer, says),
			Do: app.Action("keying.item", strconv.Itoa(i+1)), On: i == card.Item}
	}
	if n > mostTiles || dense(class) {
		return tileRow(words.T("keying.card"), "keying.item", n, card.Item, tile)
	}
	tiles := make([]parts.Tile, n)
	for i := range tiles {
		tiles[i] = tile(i)
	}
	return parts.Tiles(words.T("keying.card"), tiles...)
}

// tileSays is a tile for the ear: what stands on it, and what that means.
func tileSays(item int, answer, says string) string {
	if answer == says || answer == "" {
		return words.T("keying.item", item) + ": " + says
	}
	return words.T("keying.item", item) + ": " + answer + ", " + says
}

// tileRow shows the tiles around the open one of n, with the ways to those
// before and after. On a phone it is four: the one before, the open one and two
// to come.
func tileRow(label, do string, n, open int, tile func(int) parts.Tile) m.Node {
	near := max(0, min(open-1, n-4))
	from, to := 0, n
	if n > mostTiles {
		from = min(open/10*10, near)
		to = min(max(open/10*10+10, near+4), n)
	}
	tiles := make([]parts.Tile, to-from)
	for i := range tiles {
		tiles[i] = tile(from + i)
		tiles[i].Far = from+i < near || from+i >= near+4
	}
	way := func(id, label, says string, item int) m.Part {
		opts := []parts.Opt{parts.ID(id), parts.Says(says), parts.Quiet}
		if item < 1 || item > n {
			opts = append(opts, parts.Disabled)
		}
		return parts.Button(label, app.Action(do, strconv.Itoa(item)), opts...)
	}
	return m.El("div", m.ID("card-tiles"), m.Class("tile-pages"),
		way("tiles-before", "‹", words.T("keying.before-tiles"), near),
		parts.Tiles(label, tiles...),
		way("tiles-after", "›", words.T("keying.after-tiles"), near+5))
}

// stepList is a card in words, one line a step.
func stepList(class contest.Class, marks []byte) m.Node {
	return m.El("dl", m.Class("keys"), m.Each(app.StepTexts(class, marks), func(i int, text string) m.Part {
		return m.Group(m.El("dt", m.Text(app.StepName(class, i))), m.El("dd", m.Class("strong"), m.Text(text)))
	}))
}

// kindHelp lists what the keyboard does on a card of names, faults or points.
func kindHelp(class contest.Class, row func(text string, keys ...string) m.Part) m.Part {
	switch class.Kind {
	case contest.Checked:
		return m.Group(
			m.Each(app.KeyingAnswers(class), func(i int, a app.KeyingAnswer) m.Part {
				if a.Letter != "" {
					return row(a.Label, strings.ToUpper(a.Letter))
				}
				return row(a.Label, strconv.Itoa(i+1))
			}),
			row(words.T("keying.none"), "0", "N"),
			row(words.T("keying.on"), "↵"),
			row(words.T("keying.blank"), words.T("keying.space")))
	case contest.Awarded:
		return m.Group(row(words.T("keying.help-points"), "0", "9"), row(words.T("keying.take"), "↵"), row(words.T("keying.not-given"), words.T("keying.space")))
	}
	return m.Group(
		row(words.T("keying.help-number"), "1", "2"),
		row(words.T("keying.help-name"), "A", "Z", "↵"),
		row(words.T("keying.blank"), words.T("keying.space")),
		row(words.T("keying.two"), app.KeyingBoth))
}
