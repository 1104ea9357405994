package hens

import (
	"slices"
	"strconv"
	"strings"

	"keelcard/engine"
	"keelcard/engine/sorting"
	"keelcard/engine/tree"
)

// CodeSign is the code of a sign that cannot be read.
const CodeSign engine.Code = "hens.sign"

// Keys of the signs beside the places of Chart.
const (
	KeyPubic = "pubic"     // fingers between the pubic bones: "2", "2 1/2"
	KeyKeel  = "keel"      // fingers from the pubic bones to the keel
	KeyFeel  = "feel"      // hard, thick, pliable, soft
	KeyMolt  = "molt"      // none, or primaries from 1 to 10
	KeyPace  = "molt-pace" // single or together
)

// Words of the signs; the place in the list is the value.
var (
	BleachWords = []string{"", "yellow", "fading", "bleached"}
	FeelWords   = []string{"", "hard", "thick", "pliable", "soft"}
)

const together = "together"

// Read takes the signs of one hen from a record. A key or a word that is not
// known is a fault with CodeSign; all are reported, and the rest is read.
func Read(signs map[string]string) (Hen, error) {
	var h Hen
	var faults engine.Faults
	keys := make([]string, 0, len(signs))
	for key := range signs {
		keys = append(keys, key)
	}
	sorting.Ascending(keys)
	for _, key := range keys {
		if fix := h.read(key, signs[key]); fix != "" {
			faults = append(faults, engine.New(CodeSign, tree.Clip(key), tree.Quote(signs[key])+" is no sign of a hen here", fix))
		}
	}
	h.Together = h.Together && h.Molted
	return h, faults.Err()
}

// read takes one sign; what it gives says how to mend it when it is wrong.
func (h *Hen) read(key, word string) (fix string) {
	ok := true
	switch key {
	case KeyPubic:
		h.Pubic, ok = halves(word)
	case KeyKeel:
		h.Keel, ok = halves(word)
	case KeyFeel:
		i := max(slices.Index(FeelWords, word), 0)
		if h.Feel = Feel(i); i == 0 {
			return "write " + strings.Join(FeelWords[1:], ", ")
		}
	case KeyMolt:
		h.Primaries, h.Molted = primaries(word)
		if !h.Molted {
			return "write none, or primaries from 1 to " + strconv.Itoa(MaxPrimaries)
		}
	case KeyPace:
		if h.Together = word == together; !h.Together && word != "single" {
			return "write single or " + together
		}
	default:
		return h.readPlace(key, word)
	}
	if !ok {
		return "write fingers from 1/2 to " + strconv.Itoa(MaxFingers/2) + `, like "2" or "2 1/2"`
	}
	return ""
}

func (h *Hen) readPlace(key, word string) (fix string) {
	i := place(key)
	if i < 0 {
		return "leave it out"
	}
	state := max(slices.Index(BleachWords, word), 0)
	if h.Pigment[i] = Bleach(state); state == 0 {
		return "write " + strings.Join(BleachWords[1:], ", ")
	}
	return ""
}

// place is the row of the chart with an id, -1 when there is none.
func place(id string) int {
	for i := range chart {
		if chart[i].ID == id {
			return i
		}
	}
	return -1
}

// halves reads fingers as half fingers: "1/2", "2", "2 1/2".
func halves(s string) (n int, ok bool) {
	whole, half := strings.CutSuffix(s, "1/2")
	if half && whole != "" {
		if whole, ok = strings.CutSuffix(whole, " "); !ok || whole == "" {
			return 0, false
		}
	}
	if whole != "" {
		var err error
		if n, err = strconv.Atoi(whole); err != nil || n < 1 || n > MaxFingers || strconv.Itoa(n) != whole {
			return 0, false
		}
	}
	n *= 2
	if half {
		n++
	}
	if n == 0 || n > MaxFingers {
		return 0, false
	}
	return n, true
}

// Fingers writes half fingers as Read takes them.
func Fingers(halves int) string {
	switch {
	case halves == 1:
		return "1/2"
	case halves%2 == 1:
		return strconv.Itoa(halves/2) + " 1/2"
	}
	return strconv.Itoa(halves / 2)
}

func primaries(word string) (n int, ok bool) {
	if word == "none" {
		return 0, true
	}
	n, err := strconv.Atoi(word)
	if err != nil || n < 1 || n > MaxPrimaries || strconv.Itoa(n) != word {
		return 0, false
	}
	return n, true
}

// Write gives the signs of a hen as a record keeps them; what was not looked at
// is left out. Read takes them back to an equal hen when it is within range.
func (h Hen) Write() map[string]string {
	signs := map[string]string{}
	for i, state := range h.Pigment {
		if state != NotLooked {
			signs[chart[i].ID] = BleachWords[state]
		}
	}
	if h.Pubic != 0 {
		signs[KeyPubic] = Fingers(h.Pubic)
	}
	if h.Keel != 0 {
		signs[KeyKeel] = Fingers(h.Keel)
	}
	if h.Feel != NotFelt {
		signs[KeyFeel] = FeelWords[h.Feel]
	}
	if !h.Molted {
		return signs
	}
	signs[KeyMolt] = "none"
	if h.Primaries > 0 {
		signs[KeyMolt] = strconv.Itoa(h.Primaries)
	}
	if h.Together {
		signs[KeyPace] = together
	}
	return signs
}
