package merge_test

import (
	"slices"
	"strings"
	"testing"

	"keelcard/engine/merge"
	"keelcard/engine/record"
)

// Two people stand behind a card when both keyed it, or when it was settled
// between them; never one person on two phones, or in two roles.
func TestHands(t *testing.T) {
	sub := record.Subject{Kind: record.KindCard, A: 1, B: 41}
	write := func(d *device, who, value string, again bool) { d.write(t, 1000, who, sub, value, again) }
	for _, tc := range []struct {
		name string
		do   func(a, b *device)
		want []string
	}{
		{"nobody", func(a, b *device) {}, nil},
		{"one", func(a, b *device) { write(a, "keyer/MB", "A", false) }, []string{"MB"}},
		{"two on one phone", func(a, b *device) { write(a, "keyer/MB", "A", false); write(a, "keyer/JO", "A", true) }, []string{"MB", "JO"}},
		{"two on two phones", func(a, b *device) { write(a, "keyer/MB", "A", false); write(b, "keyer/JO", "A", false) }, []string{"MB", "JO"}},
		{"one on two phones", func(a, b *device) { write(a, "keyer/MB", "A", false); write(b, "keyer/mb", "A", false) }, []string{"MB"}},
		{"one in two roles", func(a, b *device) { write(a, "keyer/MB", "A", false); write(a, "official/MB", "A", true) }, []string{"MB"}},
		{"taken over by the other, from one of two", func(a, b *device) {
			write(a, "keyer/MB", "A", false)
			write(b, "keyer/MB \u2190 JO", "A", false)
		}, []string{"JO", "MB"}},
		{"taken over by the other, from the same", func(a, b *device) {
			write(a, "keyer/MB", "A", false)
			write(b, "keyer/JO \u2190 MB", "A", false)
		}, []string{"MB"}},
		{"corrected", func(a, b *device) {
			write(a, "keyer/MB", "A", false)
			write(a, "keyer/JO", "A", true)
			write(a, "keyer/MB", "B", false)
		}, []string{"MB"}},
		{"settled by one of two", func(a, b *device) {
			write(a, "keyer/MB", "A", false)
			write(a, "keyer/JO", "B", true)
			write(a, "keyer/JO", "B", false)
		}, []string{"JO", "MB"}},
		{"settled, then corrected", func(a, b *device) {
			write(a, "keyer/MB", "A", false)
			write(a, "keyer/JO", "B", true)
			write(a, "keyer/JO", "B", false)
			write(a, "keyer/JO", "C", false)
		}, []string{"JO"}},
		{"one hand against itself", func(a, b *device) {
			write(a, "keyer/MB", "A", false)
			write(a, "keyer/MB", "B", true)
			write(a, "keyer/MB", "B", false)
		}, []string{"MB"}},
		{"keyed after a withdrawal", func(a, b *device) {
			write(a, "keyer/MB", "A", false)
			write(a, "keyer/JO", "", false)
			write(a, "keyer/JO", "B", false)
		}, []string{"JO"}},
	} {
		a, b := newDevice(1), newDevice(2)
		tc.do(a, b)
		got := merge.Fold(join(t, a.set, b.set)).Hands(sub)
		slices.Sort(got)
		slices.Sort(tc.want)
		if !slices.EqualFunc(got, tc.want, strings.EqualFold) {
			t.Errorf("%s: the hands are %v, want %v", tc.name, got, tc.want)
		}
	}
}
