package amount_test

import (
	"testing"

	"keelcard/engine"
	"keelcard/engine/amount"
)

func TestHaughValues(t *testing.T) {
	for _, tc := range []struct {
		text string
		want amount.Haugh
		form string
	}{
		{"72 HU", 7200, "72 HU"},
		{"71.55hu", 7155, "71.55 HU"},
		{" 71.50 HU ", 7150, "71.5 HU"},
		{"0.05 HU", 5, "0.05 HU"},
		{"-3.07 HU", -307, "-3.07 HU"},
		{"-0 HU", 0, "0 HU"},
		{"59 1/2 HU", 5950, "59.5 HU"},
		{"1000 HU", amount.MaxHaugh, "1000 HU"},
	} {
		a, err := amount.Parse(tc.text, amount.DimHaugh)
		if err != nil || a != amount.OfHaugh(tc.want) || a.String() != tc.form || !a.Measurable() {
			t.Errorf("%q: %v, %v, want %v", tc.text, a, err, tc.form)
		}
		var back amount.Amount
		if text, err := a.MarshalText(); err != nil || back.UnmarshalText(text) != nil || back != a {
			t.Errorf("%q is written %q and read %+v (%v)", tc.text, text, back, err)
		}
	}
	for text, code := range map[string]engine.Code{
		"72":          amount.CodeParse,
		"HU":          amount.CodeParse,
		"--3 HU":      amount.CodeParse,
		"72 mm":       amount.CodeParse,
		"1/3 HU":      amount.CodeInexact,
		"71.555 HU":   amount.CodeInexact,
		"1000.01 HU":  amount.CodeRange,
		"-1000.01 HU": amount.CodeRange,
		"a very long text that names no value at all, however far it is read HU": amount.CodeParse,
	} {
		if h, err := amount.ParseHaugh(text); engine.CodeOf(err) != code {
			t.Errorf("%q: %v, %v, want code %s", text, h, err, code)
		}
	}
}

// What has no value is less than every value, and says so.
func TestNoHaugh(t *testing.T) {
	none, low := amount.OfHaugh(amount.NoHaugh), amount.OfHaugh(-amount.MaxHaugh)
	if order, err := none.Cmp(low); order != -1 || err != nil || none.Measurable() || none.IsZero() {
		t.Errorf("%v against %v: %d, %v", none, low, order, err)
	}
	text, err := none.MarshalText()
	var back amount.Amount
	if err != nil || string(text) != "not measurable" || back.UnmarshalText(text) != nil || back != none {
		t.Errorf("%q, %+v, %v", text, back, err)
	}
	below, err := amount.OfHaugh(7200).Sub(amount.OfHaugh(7155))
	if err != nil || below.String() != "0.45 HU" {
		t.Errorf("%v, %v", below, err)
	}
	if _, err := none.Cmp(amount.Count(1)); engine.CodeOf(err) != amount.CodeDimension {
		t.Errorf("a Haugh value and a count: %v", err)
	}
}
