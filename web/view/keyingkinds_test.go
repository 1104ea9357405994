package view_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"keelcard/web/app"
	"keelcard/web/markup"
	"keelcard/web/view"
)

// The open item of a long card is among the tiles at every moment, on a phone
// too, where those marked far are left out.
func TestTheOpenItemIsAlwaysInSight(t *testing.T) {
	s, _ := sample(t, "keying/exam")
	for item := 1; item <= 50; item++ {
		app.Update(s, app.Msg{Do: "keying.item", Args: []string{fmt.Sprint(item)}})
		seen := map[string]bool{}
		open := false
		byID(view.Page(s), "card-tiles").Walk(func(e markup.Node) {
			class := strings.Fields(e.Get("class"))
			if slices.Contains(class, "tile") && !slices.Contains(class, "far") {
				seen[e.Get("data-do")] = true
				open = open || e.Get("aria-current") == "true" && e.Get("data-do") == fmt.Sprintf("keying.item:%d", item)
			}
		})
		if !open || len(seen) != 4 {
			t.Errorf("item %d: in sight %v, the open one %v", item, seen, open)
		}
	}
}

// Each kind of class has the keys for all that can be said of an item.
func TestTheKeysOfEveryKind(t *testing.T) {
	marks := func(n int) []string {
		var out []string
		for i := range n {
			out = append(out, fmt.Sprintf("keying.mark:%d", i+1))
		}
		return out
	}
	for name, want := range map[string]map[string][]string{
		"keying/thirty names":  {"pad": marks(30), "pad-more": {"keying.mark:0", "keying.two", "keying.back"}},
		"keying/exam":          {"pad": marks(5), "pad-more": {"keying.mark:0", "keying.two", "keying.back"}},
		"keying/faults":        {"pad": marks(5), "pad-go": {"keying.on"}, "pad-more": {"keying.mark:0", "keying.back"}},
		"keying/faults begun":  {"pad": marks(5), "pad-go": {"keying.none"}, "pad-more": {"keying.mark:0", "keying.back"}},
		"keying/points by key": {"pad": marks(6), "pad-more": {"keying.mark:0", "keying.back"}},
	} {
		_, page := sample(t, name)
		for id, want := range want {
			if got := actions(byID(page, id)); !slices.Equal(got, want) {
				t.Errorf("%s: %s sends %v, want %v", name, id, got, want)
			}
		}
	}
}

func TestWhatIsTypedIsShown(t *testing.T) {
	for name, want := range map[string]string{
		"keying/thirty names, number begun": "Item 2 of 10: 1 …",
		"keying/thirty names, wrong number": "37 cannot be answered here. Item 1 of 10",
		"keying/points":                     "Official 2: 0 to 50: 4 …",
		"keying/points refused":             "75 cannot be answered here. Official 2: 0 to 50",
		"keying/points by key":              "Official 1, Manner: 0 to 5",
	} {
		_, page := sample(t, name)
		if got := textOf(byID(page, "prompt")); got != want {
			t.Errorf("%s: asked for %q, want %q", name, got, want)
		}
	}
	_, page := sample(t, "keying/thirty names, name begun")
	if got := actions(byID(page, "pad")); !slices.Equal(got, []string{"keying.mark:15"}) {
		t.Errorf("“wis” leaves the names %v, want the wishbone", got)
	}
}

// Each hand's answer is shown in words, an item with faults as a whole.
func TestDifferencesOfEveryKindAreInWords(t *testing.T) {
	for name, want := range map[string][]string{
		"questions/names":  {"item-7 leg | thigh with back portion"},
		"questions/faults": {"item-4 blank | no fault", "item-7 coating, incomplete | no fault", "item-9 foreign material | no fault", "item-10 no fault | incomplete, foreign material"},
		"questions/points": {"item-4 5 | 5"},
	} {
		_, page := sample(t, name)
		for _, w := range want {
			id, texts, _ := strings.Cut(w, " ")
			var cells []string
			byID(page, id).Walk(func(e markup.Node) {
				if e.Tag == "td" {
					cells = append(cells, textOf(e))
				}
			})
			if got := strings.Join(cells, " | "); got != texts {
				t.Errorf("%s: %s says %q, want %q", name, id, got, texts)
			}
		}
	}
}

// Whoever keys a card a second time sees nothing of the first, of any kind.
func TestTheSecondKeyingOfEveryKindIsBlind(t *testing.T) {
	for class, first := range map[string]string{"2": "breast quarter", "4": "shape or size", "6": "8"} {
		s, _ := sample(t, "keying/ten names")
		app.Update(s, app.Msg{Do: "route", Args: []string{app.Page{Name: "keying", Contest: s.Page.Contest, Args: []string{class, "12", app.WayAgain}}.Hash()}})
		page := view.Page(s)
		if s.Keying.Card == nil {
			t.Fatalf("class %s: no card is open: %+v", class, s.Notice)
		}
		if got := textOf(byID(page, "last")) + textOf(byID(page, "card-tiles")); strings.Contains(got, first) {
			t.Errorf("class %s: %q is on the page: %q", class, first, got)
		}
	}
}

func TestASlipSaysWhatWasMissed(t *testing.T) {
	_, page := sample(t, "slip/names, faults and points")
	text := textOf(page)
	for _, want := range []string{
		"Item 8 was whole wing; marked was drumette.", "Item 2: coating was marked and is not there; shape or size was missed.",
		"Item 3 was left blank; it has: no fault.", "Item 7: cluster was marked and is not there.", "(42 + 44) / 2 = 43",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the slip does not say %q", want)
		}
	}
}

func TestThePartIsDrawnOnItsKey(t *testing.T) {
	for name, want := range map[string]bool{"key/names answered": true, "key/names begun": false, "key/faults found": false} {
		_, page := sample(t, name)
		if got := byID(page, "part-art") != nil; got != want {
			t.Errorf("%s: a part is drawn: %v", name, got)
		}
	}
}
