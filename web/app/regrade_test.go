package app

import (
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/record"
)

// A tear 2.5 mm deep is B by the 1/8 in test (3.175 mm) and C by the coin test
// (1.95 mm, the thickness of a five-cent coin).
func TestAChoiceShowsWhichOfficialAnswersItWouldChange(t *testing.T) {
	r, err := NewRunner(1, &Memory{})
	if err != nil {
		t.Fatal(err)
	}
	r.Type("phone.initials", "MB")
	r.Type("new.start", "name=Poultry+Day")
	r.Do("class.add:carcass-youth")
	s := r.State
	class := func() contest.Class { c, _ := s.Open.Contest.Class(1); return c }
	entries := []written{{Subject: record.Subject{Kind: contest.KindSeen, A: 1, B: 2}, Value: `{"findings":[{"defect":"meat-torn","site":"breast","depth":"2.5 mm","length":"1/4 in","share":"1/10"}]}`}}
	for item := range uint32(3) {
		value, err := contest.KeyItem{Answer: "B"}.Write(class())
		if err != nil {
			t.Fatal(err)
		}
		entries = append(entries, written{Subject: contest.KeySubject(1, item+1), Value: value})
	}
	card, err := class().CardValue(make([]byte, 10))
	if err != nil {
		t.Fatal(err)
	}
	entries = append(entries, written{Subject: contest.CardSubject(1, 7), Value: card})
	if s.write(Msg{Now: r.Now}, "official", entries...) == nil {
		t.Fatalf("nothing was written: %+v", s.Notice)
	}
	if n := s.CardsIn(1); n != 1 {
		t.Errorf("%d cards in the class, want 1", n)
	}
	if diff := s.Regrade(class()); len(diff) != 0 {
		t.Errorf("with the 1/8 in test: %v, want nothing", diff)
	}
	r.Do("class.choice:depth:coin")
	diff := s.Regrade(class())
	if want := (Regraded{Item: 2, Key: "B", Book: "C"}); len(diff) != 1 || diff[0] != want {
		t.Errorf("with the coin test: %v, want %v", diff, want)
	}
}
