package view_test

import (
	"slices"
	"strings"
	"testing"

	"keelcard/web/app"
	"keelcard/web/markup"
	"keelcard/web/view"
)

// sample finds a state of the gallery and draws it.
func sample(t *testing.T, name string) (*app.State, markup.Node) {
	t.Helper()
	for _, s := range gallery() {
		if s.Name == name {
			return s.State, view.Page(s.State)
		}
	}
	t.Fatalf("the gallery has no %q", name)
	return nil, nil
}

// byID finds the element with an id, one without a tag when there is none.
func byID(n markup.Node, id string) markup.Node {
	var found markup.Node
	n.Walk(func(e markup.Node) {
		if e.Get("id") == id {
			found = e
		}
	})
	return found
}

// textOf joins the texts of an element with spaces.
func textOf(n markup.Node) string {
	var texts []string
	n.Walk(func(e markup.Node) {
		if e.Tag == "" && e.Text != "" {
			texts = append(texts, e.Text)
		}
	})
	return strings.Join(texts, " ")
}

// actions lists what can be tapped on an element, in order.
func actions(n markup.Node) []string {
	var out []string
	n.Walk(func(e markup.Node) {
		if do := e.Get("data-do"); do != "" {
			out = append(out, do)
		}
	})
	return out
}

func TestKeypadHoldsTheAnswersOfTheClass(t *testing.T) {
	_, page := sample(t, "keying/first card")
	if got, want := actions(byID(page, "pad")), []string{"keying.mark:1", "keying.mark:2", "keying.mark:3", "keying.mark:4"}; !slices.Equal(got, want) {
		t.Errorf("the keys send %v, want %v", got, want)
	}
	if got, want := actions(byID(page, "pad-more")), []string{"keying.mark:0", "keying.two", "keying.back"}; !slices.Equal(got, want) {
		t.Errorf("the lesser keys send %v, want %v", got, want)
	}
	if got := textOf(byID(page, "prompt")); got != "Item 1 of 10" {
		t.Errorf("asked for %q", got)
	}
}

func TestThePageWantsItsKeys(t *testing.T) {
	_, page := sample(t, "keying/half a card")
	keys := strings.Fields(page.Get("data-keys"))
	for _, k := range []string{"a", "b", "c", "n", "1", "4", "0", "Space", "Backspace", "Enter", "ArrowLeft", app.KeyTwo, app.KeyNumber} {
		if !slices.Contains(keys, k) {
			t.Errorf("the page does not want the key %q", k)
		}
	}
	if _, page := sample(t, "questions/list"); page.Get("data-keys") != "" {
		t.Error("a page that takes no keys wants some")
	}
}

func TestTheLastCardIsReadBack(t *testing.T) {
	_, page := sample(t, "keying/card finished")
	text := textOf(byID(page, "last"))
	for _, want := range []string{"13 ", "A B C NG A B C NG – A", "kept on this phone"} {
		if !strings.Contains(text, want) {
			t.Errorf("read back %q, without %q", text, want)
		}
	}
}

// The band of a finished card is another element than the one before, so that
// it lights up each time.
func TestTheBandIsNewForEachCard(t *testing.T) {
	band := func(page markup.Node) string {
		id := ""
		byID(page, "last").Walk(func(e markup.Node) {
			if strings.HasPrefix(e.Get("id"), "last-") {
				id = e.Get("id")
			}
		})
		return id
	}
	_, one := sample(t, "keying/card finished")
	_, none := sample(t, "keying/first card")
	if band(one) == "" || band(one) == band(none) {
		t.Errorf("the bands are %q and %q", band(none), band(one))
	}
}

// While a card is keyed a second time or anew, what was keyed before is nowhere
// on the page.
func TestTheSecondKeyingIsBlind(t *testing.T) {
	s, _ := sample(t, "keying/keyed already")
	for _, way := range []string{app.WayAgain, app.WayAnew} {
		app.Update(s, app.Msg{Do: "route", Args: []string{app.Page{Name: "keying", Contest: s.Page.Contest, Args: []string{"1", "12", way}}.Hash()}})
		page := view.Page(s)
		if s.Keying.Card == nil {
			t.Fatalf("%s: no card is open", way)
		}
		if text := textOf(page); strings.Contains(text, "A B C NG A") {
			t.Errorf("%s: the first keying is on the page: %q", way, text)
		}
		byID(page, "main").Walk(func(e markup.Node) {
			if strings.HasPrefix(e.Get("class"), "tile ") && !strings.Contains(e.Get("class"), "empty-mark") {
				t.Errorf("%s: a tile shows %q", way, textOf(e))
			}
		})
	}
	s, _ = sample(t, "keying/card finished") // of 13, by this phone
	app.Update(s, app.Msg{Do: "phone.initials", Text: "JO"})
	app.Update(s, app.Msg{Do: "route", Args: []string{app.Page{Name: "keying", Contest: s.Page.Contest, Args: []string{"1", "13", app.WayAgain}}.Hash()}})
	if text := textOf(byID(view.Page(s), "last")); s.Keying.Card == nil || strings.Contains(text, "NG") {
		t.Errorf("the card that is keyed a second time is read back: %q", text)
	}
	_, page := sample(t, "keying/in question")
	if text := textOf(page); strings.Contains(text, "NG") {
		t.Errorf("a card in question shows marks before it is settled: %q", text)
	}
}

func TestADifferenceIsToldAtOnce(t *testing.T) {
	_, page := sample(t, "keying/second differs")
	last := byID(page, "last")
	if text := textOf(last); !strings.Contains(text, "differs in item 5") {
		t.Errorf("told %q", text)
	}
	if got := actions(last); len(got) != 1 || !strings.Contains(got[0], "questions/6/1/12") {
		t.Errorf("the way to settle it is %v", got)
	}
}

func TestDifferingItemsAreMarkedAndChosen(t *testing.T) {
	_, page := sample(t, "questions/card")
	items := byID(page, "items")
	if got, want := actions(items), []string{"questions.pick:4:3", "questions.pick:4:4", "questions.pick:9:0", "questions.pick:9:1"}; !slices.Equal(sorted(got), want) {
		t.Errorf("to choose from: %v, want %v", got, want)
	}
	if got := byID(page, "item-4").Get("class"); got != "mark" {
		t.Errorf("item 4 is marked by %q", got)
	}
	if got := byID(page, "item-5").Get("class"); got != "" {
		t.Errorf("item 5, keyed alike, is marked by %q", got)
	}
	dock := byID(page, "dock")
	if slices.Contains(actions(dock), "questions.settle") {
		t.Error("it can be settled before every item is chosen")
	}
	if _, page := sample(t, "questions/card picked"); !slices.Contains(actions(byID(page, "dock")), "questions.settle") {
		t.Error("it cannot be settled though every item is chosen")
	}
}

func sorted(texts []string) []string {
	out := slices.Clone(texts)
	slices.Sort(out)
	return out
}

func TestOnlyWhatIsReplacedCanBeBroughtBack(t *testing.T) {
	_, page := sample(t, "history/card")
	var restores []string
	for _, a := range actions(byID(page, "past")) {
		if strings.HasPrefix(a, "history.restore") {
			restores = append(restores, a)
		}
	}
	if len(restores) != 1 || !strings.HasSuffix(restores[0], ":3") {
		t.Errorf("to bring back: %v, want the record that was replaced", restores)
	}
	if text := textOf(byID(page, "past")); !strings.Contains(text, "In place of A B C NG A B C NG A A by JK, keyer") {
		t.Errorf("the history says %q", text)
	}
}
