//go:build !race

package merge_test

const days = 100 // how many hundred contest days are tried
