package sorting_test

import (
	"cmp"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine/sorting"
)

func TestAscending(t *testing.T) {
	list := []int{3, -1, 2, 2, 0}
	if sorting.Ascending(list); !slices.Equal(list, []int{-1, 0, 2, 2, 3}) {
		t.Errorf("got %v", list)
	}
}

func TestStableAsSlices(t *testing.T) {
	type entry struct{ Key, Place int }
	rapid.Check(t, func(t *rapid.T) {
		var list []entry
		for i, key := range rapid.SliceOf(rapid.IntRange(0, 9)).Draw(t, "keys") {
			list = append(list, entry{key, i})
		}
		want := slices.Clone(list)
		byKey := func(a, b entry) int { return cmp.Compare(a.Key, b.Key) }
		slices.SortStableFunc(want, byKey)
		if sorting.Stable(list, byKey); !slices.Equal(list, want) {
			t.Errorf("got %v, want %v", list, want)
		}
	})
}
