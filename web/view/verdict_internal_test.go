package view

import (
	"testing"

	"keelcard/engine/amount"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
)

// Where a grade asks for a least, more is better: 71.23 Haugh units are short of
// AA by 0.77 and above B by 11.23.
func TestDistanceToALeast(t *testing.T) {
	book, ok := rulebook.ByID("egg-opened")
	if !ok {
		t.Fatal("there is no book for opened eggs")
	}
	height, weight := 46*amount.Millimetre/10, 46*amount.Gram
	v, err := grading.Grade(book, grading.Setting{}, []grading.Finding{{Defect: "white", Site: "thick-white", Length: &height, Weight: &weight}})
	if err != nil || len(v.Near) != 2 {
		t.Fatalf("%+v, %v", v, err)
	}
	b := bench{bird: app.Bird{Book: book}}
	for i, want := range []string{"0.77 HU more makes it AA.", "More than 11.23 HU less makes it B."} {
		if got := b.distance(v.Near[i]); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
