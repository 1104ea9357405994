package view_test

import (
	"slices"
	"strings"
	"testing"

	"keelcard/web/app"
	"keelcard/web/markup"
	"keelcard/web/view"
)

func TestTheVerdictIsAlwaysInSight(t *testing.T) {
	for _, s := range gallery() {
		if !strings.HasPrefix(s.Name, "call/") {
			continue
		}
		page := view.Page(s.State)
		dock := byID(page, "dock")
		bird := s.State.CallBird().Bird()
		if want := app.Because(bird, bird.Judge()); !strings.Contains(textOf(dock), want) {
			t.Errorf("%s: the dock says %q, want %q in it", s.Name, textOf(dock), want)
		}
		if !strings.Contains(textOf(page), "not an official grade") {
			t.Errorf("%s: it is not said that this is no official grade", s.Name)
		}
		care := "Raw poultry"
		switch bird.Book.Drawing {
		case "shell", "light", "opened", "carton":
			care = "Eggs: wash hands"
		}
		if !strings.Contains(textOf(page), care) {
			t.Errorf("%s: the caution %q is not there", s.Name, care)
		}
	}
}

// Only what the book has for a site is offered: a keel can break, and has no
// skin of its own; what may have been meant beside it is offered as well.
func TestOnlyTheDefectsOfTheSiteAreOffered(t *testing.T) {
	_, page := sample(t, "call/what is it on a wing")
	offered := actions(byID(page, "what"))
	if !slices.Contains(offered, "call.defect:wing-left:wing-off") || !slices.Contains(offered, "call.defect:wing-left:bare-flesh") {
		t.Errorf("on a wing are offered %v", offered)
	}
	for _, do := range offered {
		if strings.Contains(do, "tail") || strings.Contains(do, "leg-off") {
			t.Errorf("on a wing is offered %s", do)
		}
	}
	s, _ := sample(t, "call/nothing found")
	app.Update(s, app.Msg{Do: "call.site", Args: []string{"keel"}, X: 500, Y: 700})
	offered = actions(byID(view.Page(s), "what"))
	if !slices.Contains(offered, "call.defect:keel:break-covered") || !slices.Contains(offered, "call.defect:breast:bare-flesh") || slices.Contains(offered, "call.defect:keel:bare-flesh") {
		t.Errorf("on the keel are offered %v", offered)
	}
}

func TestReasonsOfAVerdict(t *testing.T) {
	_, page := sample(t, "call/sources differ")
	why := byID(page, "why")
	text := textOf(why)
	for _, want := range []string{
		"Breast, meat trimmed off: 3/4 in; A allows up to 1/4 in", // what set it
		"University of Georgia Extension",                         // its source
		"common practice",                                         // how well another is known
		"1/2 in (12.7 mm) less makes it A.",                       // 3/4 - 1/4
		"makes it C.",                                             // the other side
		"a five-cent coin's thickness (1.95 mm): C",               // where sources differ
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the reasons do not say %q: %s", want, text)
		}
	}
	if !slices.Contains(actions(why), "call.option:depth:coin") {
		t.Error("the other reading cannot be taken at one tap")
	}
	_, page = sample(t, "call/read otherwise")
	if !slices.Contains(actions(byID(page, "why")), "call.option:depth:eighth") {
		t.Error("there is no way back to the book's own reading")
	}
	_, page = sample(t, "call/why")
	if text := textOf(byID(page, "gaps")); !strings.Contains(text, "How much of the part is it?") || !strings.Contains(text, "taken as no more than 1/3") {
		t.Errorf("what is not measured: %q", text)
	}
	_, page = sample(t, "call/exactly on the limit")
	if text := textOf(byID(page, "touched")); !strings.Contains(text, "1/4 in") {
		t.Errorf("exactly on a limit: %q", text)
	}
	if text := textOf(byID(page, "near")); !strings.Contains(text, "Anything more makes it B.") {
		t.Errorf("on the limit, the next grade is told as %q", text)
	}
	_, page = sample(t, "call/doubtful")
	if text := textOf(byID(page, "why")); !strings.Contains(text, "Without the doubtful findings it would be A.") {
		t.Errorf("a doubtful finding: %q", text)
	}
}

func TestTheOtherBookIsOneTapAway(t *testing.T) {
	_, page := sample(t, "call/found")
	row := byID(page, "call.book__carcass-federal")
	if row == nil || !strings.Contains(textOf(row), "Federal standard") || !strings.Contains(textOf(row), "B") {
		t.Errorf("the other book's line is %v", row)
	}
	other := byID(page, "other-carcass-federal")
	if other == nil || other.Get("data-do") != "call.book:carcass-federal" {
		t.Error("among the reasons the other book cannot be tapped")
	}
}

func TestPinsOpenTheirFindings(t *testing.T) {
	_, page := sample(t, "call/many findings")
	for _, pin := range []struct{ id, do string }{
		{"bird-front-pin-1", "call.finding:1"}, {"bird-front-pin-2", "call.finding:2"}, {"bird-front-pin-4", "call.finding:4"},
	} {
		if got := byID(page, pin.id); got == nil || got.Get("data-do") != pin.do || !strings.Contains(got.Get("aria-label"), "Change it") {
			t.Errorf("%s is %v, want %s", pin.id, got, pin.do)
		}
	}
	if tab := textOf(byID(page, "call.view__back")); tab != "Back (1)" {
		t.Errorf("the back is marked %q, want the one finding there", tab)
	}
}

func TestARefusedLengthStandsBesideItsField(t *testing.T) {
	_, page := sample(t, "call/length not understood")
	field := byID(page, "f-length")
	if field.Get("value") != "about so long" || field.Get("aria-invalid") != "true" {
		t.Errorf("the field is %v", field)
	}
	if text := textOf(byID(page, "f-length-error")); !strings.Contains(text, "is no length") || !strings.Contains(text, "38 mm") {
		t.Errorf("said is %q", text)
	}
}

func TestTheKeyShowsWhatStands(t *testing.T) {
	pressed := func(page markup.Node) string {
		var out []string
		byID(page, "dock").Walk(func(n markup.Node) {
			if n.Get("aria-pressed") == "true" {
				out = append(out, n.Get("data-do"))
			}
		})
		return strings.Join(out, " ")
	}
	_, page := sample(t, "key/first bird")
	if got := pressed(page); got != "" {
		t.Errorf("before any answer %q is pressed", got)
	}
	_, page = sample(t, "key/differs")
	if got := pressed(page); got != "key.answer:C" {
		t.Errorf("pressed is %q, want C", got)
	}
	if text := textOf(page); !strings.Contains(text, "You answer C. By the book, what was found makes it B.") {
		t.Error("it is not said that the answer differs from the book")
	}
	_, page = sample(t, "key/locked")
	for _, do := range actions(page) {
		if strings.HasPrefix(do, "key.site") || strings.HasPrefix(do, "key.finding") || do == "key.photo" || do == "key.lock" {
			t.Errorf("a locked key offers %s", do)
		}
	}
	if !slices.Contains(actions(page), "key.correct") {
		t.Error("a locked key offers no correction")
	}
	_, page = sample(t, "key/in question")
	if tile := textOf(byID(page, "key.item__1")); !strings.Contains(tile, "?") {
		t.Errorf("the tile of an item in question is %q", tile)
	}
	var settle []string
	for _, do := range actions(page) {
		if strings.Contains(do, "questions") {
			settle = append(settle, do)
		}
	}
	if len(settle) == 0 {
		t.Error("an item in question does not lead to the questions")
	}
	_, page = sample(t, "key/photo")
	if img := byID(page, "photo-img"); img == nil || img.Get("data-blob") == "" || img.Get("alt") == "" {
		t.Errorf("the photo is %v", img)
	}
}

func TestThePlacingKeyShowsItsCuts(t *testing.T) {
	_, page := sample(t, "key/placing with cuts")
	text := textOf(page)
	// 50 - 3 x (2+5+3) - 5 = 15
	if !strings.Contains(text, "15 lowest score") || !strings.Contains(text, "3-1-4-2") {
		t.Errorf("the page says %q", text)
	}
	_, page = sample(t, "key/cuts refused")
	if text := textOf(byID(page, "cuts")); !strings.Contains(text, "not taken") || !strings.Contains(text, "more than 50") {
		t.Errorf("a refused cut is told as %q", text)
	}
	if !strings.Contains(textOf(page), "Live birds") {
		t.Error("the caution about live birds is not there")
	}
}
