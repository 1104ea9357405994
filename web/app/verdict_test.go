package app_test

import (
	"testing"

	"keelcard/engine/amount"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
)

// whiteOf is an opened egg of 46 g with a white of a height, by the book for
// opened eggs.
func whiteOf(t *testing.T, height amount.Length, choices map[string]string) (app.Bird, grading.Verdict) {
	t.Helper()
	book, ok := rulebook.ByID("egg-opened")
	if !ok {
		t.Fatal("there is no book for opened eggs")
	}
	weight := 46 * amount.Gram
	b := app.Bird{Book: book, Setting: grading.Setting{Choices: choices}, Findings: []grading.Finding{{Defect: "white", Site: "thick-white", Length: &height, Weight: &weight}}}
	v, err := grading.Grade(book, b.Setting, b.Findings)
	if err != nil {
		t.Fatal(err)
	}
	return b, v
}

// A grade that asks for a least says so, and whether the least itself will do.
func TestWordsOfALeast(t *testing.T) {
	b, v := whiteOf(t, 34*amount.Millimetre/10, nil)
	if got, want := app.ReasonText(b, v.Set[0]), "Haugh units: 59.72 HU; A asks for at least 60 HU"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	b, v = whiteOf(t, 46*amount.Millimetre/10, map[string]string{"at-limit": "above"})
	if got, want := app.LimitText(b.Book, v.Set[0].Limit, amount.DimHaugh), "AA asks for more than 72 HU"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
