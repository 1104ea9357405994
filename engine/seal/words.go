package seal

import (
	"crypto/sha256"
	_ "embed"
	"fmt"
	"slices"
	"strings"

	"keelcard/engine"
)

// wordText is the list that recovery words are taken from: 2,048 plain words in
// order, no two of which begin with the same four letters. It is our own, and
// never changes: a word's place is its meaning.
//
//go:embed words.txt
var wordText string

func list() []string { return strings.Fields(wordText) }

const (
	wordBits  = 11 // 2,048 words
	wordCount = 13
	checkBits = wordCount*wordBits - 8*len(Authority{}) // 15: of 32,768 mistakes one is not noticed
)

// Words writes the authority as 13 words.
func (a Authority) Words() []string { return spell(append(a[:], a.check()...), wordCount) }

// check is what the words carry beside the authority: 15 bits of a hash.
func (a Authority) check() []byte {
	sum := sha256.Sum256(append([]byte("keelcard recovery words 1\x00"), a[:]...))
	return sum[:2]
}

// spell writes the first bits of b as n words.
func spell(b []byte, n int) []string {
	words, all := make([]string, n), list()
	for i := range words {
		place := 0
		for bit := i * wordBits; bit < (i+1)*wordBits; bit++ {
			place = place<<1 | int(b[bit/8]>>(7-bit%8)&1)
		}
		words[i] = all[place]
	}
	return words
}

// Phrase makes a passphrase of up to 23 words from random bytes, 11 bits each.
func Phrase(random [32]byte, n int) string { return strings.Join(spell(random[:], min(n, 23)), " ") }

// ReadWords reads 13 words in any case, with numbers, commas and lines between;
// the first four letters of a word are enough. Code: CodeWords.
func ReadWords(text string) (Authority, error) {
	typed, all := split(text), list()
	places, faults := make([]int, len(typed)), engine.Faults(nil)
	for i, word := range typed {
		if places[i] = find(all, word); places[i] < 0 && i < 2*wordCount {
			faults = append(faults, unknownWord(i, word))
		}
	}
	if len(typed) != wordCount {
		return Authority{}, engine.New(CodeWords, "", fmt.Sprintf("there are %d words", len(typed)), fmt.Sprintf("enter all %d, in their order", wordCount))
	}
	if err := faults.Err(); err != nil {
		return Authority{}, err
	}
	a, ok := join(places)
	if !ok {
		return Authority{}, engine.New(CodeWords, "", "the words do not belong together: one is wrong, or two are in the wrong order", swapped(places))
	}
	return a, nil
}

func split(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r < 'a' || r > 'z' })
}

// find gives the place of a word in the list, -1 when it is not in it.
func find(list []string, word string) int {
	if i, ok := slices.BinarySearch(list, word); ok {
		return i
	}
	if len(word) < 4 {
		return -1
	}
	i, _ := slices.BinarySearch(list, word[:4])
	if i < len(list) && strings.HasPrefix(list[i], word[:4]) {
		return i
	}
	return -1
}

func unknownWord(i int, word string) *engine.Error {
	fix := "look at it once more"
	if near := Complete(word[:min(len(word), 2)], 4); len(near) > 0 {
		fix = "it may be " + strings.Join(near, ", ") + " or the like"
	}
	return engine.New(CodeWords, fmt.Sprintf("word %d", i+1), fmt.Sprintf("%q is none of the words", word[:min(len(word), 20)]), fix)
}

// Complete lists up to most words that begin with what was typed.
func Complete(typed string, most int) []string {
	typed = strings.ToLower(typed)
	list := list()
	i, _ := slices.BinarySearch(list, typed)
	var out []string
	for ; i < len(list) && len(out) < most && strings.HasPrefix(list[i], typed); i++ {
		out = append(out, list[i])
	}
	return out
}

// join puts the bits of 13 words together, and tells whether they check.
func join(places []int) (Authority, bool) {
	var b [(wordCount*wordBits + 7) / 8]byte
	for i, place := range places {
		for k := range wordBits {
			bit := i*wordBits + k
			b[bit/8] |= byte(place>>(wordBits-1-k)&1) << (7 - bit%8)
		}
	}
	a := Authority(b[:len(Authority{})])
	check := a.check()
	const last = 16 - checkBits
	return a, b[16] == check[0] && b[17]>>last == check[1]>>last
}

// swapped says which neighbours change places, if that is all that is wrong.
func swapped(places []int) string {
	for i := range places[1:] {
		other := slices.Clone(places)
		other[i], other[i+1] = other[i+1], other[i]
		if _, ok := join(other); ok {
			return fmt.Sprintf("words %d and %d may stand the wrong way round", i+1, i+2)
		}
	}
	return "compare each with what you wrote down"
}
