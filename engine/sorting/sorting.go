// Package sorting sorts short lists by code that is there once. The sorting
// functions of slices are compiled anew for every kind of entry, 20 kB each,
// which pays only where many thousands of entries are sorted.
package sorting

import (
	"cmp"
	"sort"
)

// Stable sorts a list by compare, which is negative when a goes before b.
// Entries that are equal stay as they stand.
func Stable[T any](list []T, compare func(a, b T) int) {
	if len(list) < 2 {
		return
	}
	sort.Stable(entries{
		n:    len(list),
		less: func(i, j int) bool { return compare(list[i], list[j]) < 0 },
		swap: func(i, j int) { list[i], list[j] = list[j], list[i] },
	})
}

// Ascending sorts a list, the smallest first.
func Ascending[T cmp.Ordered](list []T) { Stable(list, cmp.Compare[T]) }

type entries struct {
	n    int
	less func(i, j int) bool
	swap func(i, j int)
}

func (e entries) Len() int           { return e.n }
func (e entries) Less(i, j int) bool { return e.less(i, j) }
func (e entries) Swap(i, j int)      { e.swap(i, j) }

// Keys lists the keys of a map, the smallest first.
func Keys[K cmp.Ordered, V any](m map[K]V) []K {
	keys := make([]K, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	Ascending(keys)
	return keys
}
