package cases

import (
	"errors"
	"fmt"
	"strconv"

	"keelcard/engine"
	"keelcard/engine/placing"
)

// checkPlacing runs a file of testdata/placing.
func checkPlacing(data []byte) []error {
	cases := 0
	faults := readLines(data, func(word string, w *words) error {
		cases++
		switch word {
		case "score":
			return checkScore(w)
		case "cuts":
			return checkCuts(w)
		}
		w.fail("unknown word %q", word)
		return nil
	})
	if cases == 0 {
		faults = append(faults, errors.New("the file expects nothing"))
	}
	return faults
}

func checkScore(w *words) error {
	official, err1 := placing.ParseOrder(w.next("the official placing"))
	cuts, err2 := placing.ParseCuts(w.next("the cuts"))
	given, err3 := placing.ParseOrder(w.next("the placing to score"))
	answer := w.answer()
	want, err4 := strconv.Atoi(answer)
	if err := errors.Join(err1, err2, err3, err4); err != nil {
		w.fail("%w", err)
		return nil
	}
	if got := placing.Score(official, cuts, given); got != want {
		return fmt.Errorf("official %v cuts %v given %v: the score is %d, want %d", official, cuts, given, got, want)
	}
	return nil
}

func checkCuts(w *words) error {
	text := w.next("the cuts")
	allowed := w.index("answer", []string{"refused", "allowed"}) == 1
	_, err := placing.ParseCuts(text)
	switch {
	case allowed && err != nil:
		return fmt.Errorf("cuts %s: refused (%w), want allowed", text, err)
	case !allowed && engine.CodeOf(err) != placing.CodeNegative:
		return fmt.Errorf("cuts %s: got %v, want a refusal with the code %s", text, err, placing.CodeNegative)
	}
	return nil
}
