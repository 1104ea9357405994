package merge_test

import (
	"testing"

	"keelcard/engine/merge"
	"keelcard/engine/record"
)

// Two people stand behind a card when both keyed it, or when it was settled
// between them; never one person on two phones, or in two roles.
func TestOneHand(t *testing.T) {
	sub := record.Subject{Kind: record.KindCard, A: 1, B: 41}
	write := func(d *device, who, value string, again bool) { d.write(t, 1000, who, sub, value, again) }
	for _, tc := range []struct {
		name string
		do   func(a, b *device)
		want bool
	}{
		{"nobody", func(a, b *device) {}, false},
		{"one", func(a, b *device) { write(a, "keyer/MB", "A", false) }, true},
		{"two on one phone", func(a, b *device) { write(a, "keyer/MB", "A", false); write(a, "keyer/JO", "A", true) }, false},
		{"two on two phones", func(a, b *device) { write(a, "keyer/MB", "A", false); write(b, "keyer/JO", "A", false) }, false},
		{"one on two phones", func(a, b *device) { write(a, "keyer/MB", "A", false); write(b, "keyer/mb", "A", false) }, true},
		{"one in two roles", func(a, b *device) { write(a, "keyer/MB", "A", false); write(a, "official/MB", "A", true) }, true},
		{"taken over by the other, from one of two", func(a, b *device) {
			write(a, "keyer/MB", "A", false)
			write(b, "keyer/MB \u2190 JO", "A", false)
		}, false},
		{"taken over by the other, from the same", func(a, b *device) {
			write(a, "keyer/MB", "A", false)
			write(b, "keyer/JO \u2190 MB", "A", false)
		}, true},
		{"corrected", func(a, b *device) {
			write(a, "keyer/MB", "A", false)
			write(a, "keyer/JO", "A", true)
			write(a, "keyer/MB", "B", false)
		}, true},
		{"settled by one of two", func(a, b *device) {
			write(a, "keyer/MB", "A", false)
			write(a, "keyer/JO", "B", true)
			write(a, "keyer/JO", "B", false)
		}, false},
		{"settled, then corrected", func(a, b *device) {
			write(a, "keyer/MB", "A", false)
			write(a, "keyer/JO", "B", true)
			write(a, "keyer/JO", "B", false)
			write(a, "keyer/JO", "C", false)
		}, true},
		{"one hand against itself", func(a, b *device) {
			write(a, "keyer/MB", "A", false)
			write(a, "keyer/MB", "B", true)
			write(a, "keyer/MB", "B", false)
		}, true},
		{"keyed after a withdrawal", func(a, b *device) {
			write(a, "keyer/MB", "A", false)
			write(a, "keyer/JO", "", false)
			write(a, "keyer/JO", "B", false)
		}, true},
	} {
		a, b := newDevice(1), newDevice(2)
		tc.do(a, b)
		if got := merge.Fold(join(t, a.set, b.set)).OneHand(sub); got != tc.want {
			t.Errorf("%s: one hand is %v", tc.name, got)
		}
	}
}
