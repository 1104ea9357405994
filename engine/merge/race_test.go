//go:build race

package merge_test

// days is how many hundred contest days are tried; the race detector takes ten
// times as long.
const days = 10
