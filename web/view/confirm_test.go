package view_test

import (
	"strings"
	"testing"

	"keelcard/web/app"
	"keelcard/web/view"
)

// Who keyed a card first is told why they cannot key it again, what to do, and
// where somebody else signs; no keys are there. Somebody else finds none of that.
func TestTheSamePersonIsRefusedInWords(t *testing.T) {
	for _, name := range []string{"keying/keyed by the same person", "keying/refused to the same person", "keying/second keying given back"} {
		s, page := sample(t, name)
		text := textOf(page)
		if !strings.Contains(text, "MB has keyed this already") || !strings.Contains(text, "adds a letter") || byID(page, "f-initials") == nil || byID(page, "pad") != nil {
			t.Errorf("%s says %q", name, text)
		}
		for _, who := range []string{"MB", "JO"} {
			app.Update(s, app.Msg{Do: "phone.initials", Text: who})
			if text := textOf(view.Page(s)); strings.Contains(text, "2-1-3-4") {
				t.Errorf("%s shows a first keying to %s, who has the phone: %q", name, who, text)
			}
		}
		app.Update(s, app.Msg{Do: "phone.initials", Text: "MB"})
	}
	for _, name := range []string{"keying/to be keyed again", "keying/second keying goes on"} {
		if _, page := sample(t, name); strings.Contains(textOf(page), "has keyed this already") {
			t.Errorf("%s refuses somebody else: %q", name, textOf(page))
		}
	}
}

// What remains is said wherever how far a contest is, is said.
func TestWhatRemainsIsSaid(t *testing.T) {
	for name, want := range map[string]string{
		"overview/next is keying again":               "to be keyed again by another person",
		"overview/cards to be keyed again":            "5 of 5 to be keyed again",
		"keying/classes with cards to be keyed again": "5 of 5 to be keyed again",
		"results/cards to be keyed again":             "Not final yet:",
	} {
		s, _ := sample(t, name)
		if text := textOf(view.Page(s)); !strings.Contains(text, want) {
			t.Errorf("%s does not say %q: %q", name, want, text)
		}
	}
	_, page := sample(t, "results/cards to be keyed again")
	if !strings.Contains(textOf(page), "still to be keyed again by another person") {
		t.Errorf("the results say %q", textOf(page))
	}
}
