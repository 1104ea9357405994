package contest_test

import (
	"reflect"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/enginetest"
	"keelcard/engine/placing"
)

// answersOf joins the answers of a key; "." stands for none.
func answersOf(items []contest.KeyItem) string {
	var out []string
	for _, k := range items {
		if k.Answer == "" {
			k.Answer = "."
		}
		out = append(out, k.Answer)
	}
	return strings.Join(out, "|")
}

func TestPasteKey(t *testing.T) {
	exam := contest.Class{No: 1, Name: "Exam", Kind: contest.Identified, Items: 5, List: "letters-4"}
	own := contest.Class{No: 1, Name: "Own", Kind: contest.Identified, Items: 3, Names: []string{"2nd joint", "Back, lower", "Red comb"}}
	tasted := contest.Class{No: 1, Name: "Own faults", Kind: contest.Checked, Items: 2, Worth: 1200, Names: []string{"Torn", "Shape, size", "Cold"}}
	for _, tc := range []struct {
		name  string
		class contest.Class
		text  string
		want  string
	}{
		{"letters by spaces", exam, "a B c\nD, a", "A|B|C|D|A"},
		{"letters numbered", exam, "1. A\n2) B\n3: c\n4 D\n5.A\n", "A|B|C|D|A"},
		{"letters numbered on a line", exam, "1. A 2. B 3 C 4D 5) A", "A|B|C|D|A"},
		{"out of order", exam, "5 A\n4 B\n3 C\n2 D\n1 A", "A|D|C|B|A"},
		{"from a number on", exam, "3. C D A\n1. A B", "A|B|C|D|A"},
		{"from a sheet", exam, "1\tA\r\n2\tB\r\n3\tC\r\n4\tD\r\n5\tA\r\n", "A|B|C|D|A"},
		{"grades", broilers(1, 4), "A b ng\nNo Grade", "A|B|NG|NG"},
		{"grades numbered", broilers(1, 4), "1. A\n2. No grade\n3. C\n\n4. B", "A|NG|C|B"},
		{"names", parts(1, 3), "Leg quarter\nFLAT\nboneless skinless drumstick", "leg quarter|wing portion|boneless skinless drum"},
		{"names on a line", parts(1, 3), "whole-leg, drum; neck", "leg|drumstick|neck"},
		{"names numbered", parts(1, 3), "2. drumette\n3. paws\n1. wing", "wing|drumette|paws"},
		{"names with numbers and commas", own, "1. 2nd Joint\nback, lower\n3 red comb", "2nd joint|Back, lower|Red comb"},
		{"faults", products(1, 5), "none\ncoating, cluster\n3. Foreign material + shape or size\n-\n5) no defect", "none|coating+cluster|shape-size+foreign|none|none"},
		{"a fault said twice", products(1, 1), "cluster, cluster", "cluster"},
		{"faults with commas", tasted, "shape, size\ncold; torn", "Shape, size|Torn+Cold"},
	} {
		got, faults := contest.ParseKey(tc.class, tc.text)
		if faults != nil || answersOf(got) != tc.want {
			t.Errorf("%s: %s, want %s; %v", tc.name, answersOf(got), tc.want, faults)
		}
	}
}

func TestPasteOrder(t *testing.T) {
	want := contest.KeyItem{Answer: "2-1-3-4", Cuts: [3]uint8{2, 5, 3}}
	for _, text := range []string{"2-1-3-4 2-5-3", "2134 253", "2 1 3 4\n2 5 3", "order 2,1,3,4; cuts 2,5,3", "2-1-3-4 / 2-5-3", "2134\t2\t5\t3"} {
		got, faults := contest.ParseKey(hens(1), text)
		if faults != nil || len(got) != 1 || !reflect.DeepEqual(got[0], want) {
			t.Errorf("%q: %+v, %v", text, got, faults)
		}
	}
}

// Every fault names the line, the value and what to do, and what is good stays.
func TestPasteKeyFaults(t *testing.T) {
	exam := contest.Class{No: 1, Name: "Exam", Kind: contest.Identified, Items: 3, List: "letters-4"}
	for _, tc := range []struct {
		name  string
		class contest.Class
		text  string
		want  string // the answers
		code  engine.Code
		where string
		says  []string
	}{
		{"not a letter", exam, "A\nX\nB", "A|.|B", "paste.key-name", "line 2", []string{`"X"`, "A, B, C, D"}},
		{"the beginning of names", parts(1, 1), "whole breast with", ".", "paste.key-name", "line 1", []string{`"whole breast with"`, "whole breast with ribs"}},
		{"the beginning of many names", parts(1, 1), "breast", ".", "paste.key-name", "line 1", []string{`"breast"`, "whole name"}},
		{"one too many", exam, "A B C D", "A|B|C", "paste.key-number", "line 1", []string{`"D"`, "3 items"}},
		{"one too few", exam, "A B", "A|B|.", "paste.key-missing", "", []string{"item 3"}},
		{"no such item", exam, "1. A\n2. B\n3. C\n4. D", "A|B|C", "paste.key-number", "line 4", []string{"4. D", "1 to 3"}},
		{"item 0", exam, "A B C\n0. D", "A|B|C", "paste.key-number", "line 2", []string{"0. D"}},
		{"an absurd number", exam, "A B C\n99999999999999999999 D", "A|B|C", "paste.key-number", "line 2", []string{"99999999999999999999"}},
		{"twice", exam, "1. A\n1. B\n2. B\n3. C", "A|B|C", "paste.key-twice", "line 2", []string{`"1. B"`, "item 1", "line 1"}},
		{"nothing", exam, " \n\t", ".|.|.", "paste.empty", "", nil},
		{"much too long", exam, strings.Repeat("A ", 40_000), ".|.|.", "paste.large", "", nil},
		{"no fault of the class", products(1, 2), "coating, colour\nnone", ".|none", "paste.key-name", "line 1", []string{`"colour"`, "cluster"}},
		{"separators alone", products(1, 1), "+ +", ".", "paste.key-name", "line 1", []string{`"+ +"`, "cluster"}},
		{"none and more", products(1, 1), "none, cluster", ".", "paste.key-name", "line 1", []string{`"none"`}},
		{"an item twice in the order", hens(1), "2-2-3-4 2-5-3", ".", "placing.order", "", []string{"item 2 is named twice"}},
		{"no cuts", hens(1), "2-1-3-4", "2-1-3-4", "placing.cuts", "", []string{"2-5-3"}},
		{"cuts that go below zero", hens(1), "2-1-3-4 5-9-9", "2-1-3-4", "placing.negative", "", nil},
		{"words", hens(1), "2-1-3-4 2-5-3 maybe", "2-1-3-4", "paste.key-name", "line 1", []string{`"maybe"`}},
		{"points that are given", reasons(1, 1), "50", "", "contest.key", "Reasons", nil},
		{"a book that is gone", contest.Class{Name: "n", Kind: contest.Graded, Items: 1, Book: "gone"}, "A", ".", "contest.book", "n", nil},
	} {
		got, faults := contest.ParseKey(tc.class, tc.text)
		if answersOf(got) != tc.want || len(faults) != 1 {
			t.Errorf("%s: %s, want %s; %v", tc.name, answersOf(got), tc.want, faults)
			continue
		}
		f := faults[0]
		if f.Code != tc.code || f.Where != tc.where || f.What == "" || f.Fix == "" {
			t.Errorf("%s: %s at %q: %s; want %s at %q", tc.name, f.Code, f.Where, f, tc.code, tc.where)
		}
		for _, word := range tc.says {
			if !strings.Contains(f.Error(), word) {
				t.Errorf("%s: %q does not say %q", tc.name, f.Error(), word)
			}
		}
	}
}

// A key that is written out is read back as it was, in every kind of class that
// has one, with numbers and without, in any order.
func TestPasteKeyThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		made := random(t)
		for i, class := range made.Classes {
			if class.KeyItems() == 0 || made.Keys[i] == nil {
				continue
			}
			var want []contest.KeyItem
			var lines []string
			numbered := rapid.Bool().Draw(t, "numbered")
			for n, k := range made.Keys[i] {
				k.Also = nil
				want = append(want, k)
				line := k.Answer
				switch {
				case class.Kind == contest.Placing:
					line += " " + placing.Cuts(k.Cuts).String()
				case numbered:
					line = strings.ToUpper(strconv.Itoa(n+1) + ". " + line)
				}
				lines = append(lines, line)
			}
			if numbered {
				lines = rapid.Permutation(lines).Draw(t, "lines")
			}
			got, faults := contest.ParseKey(class, strings.Join(lines, "\n"))
			if faults != nil || !reflect.DeepEqual(got, want) {
				t.Fatalf("%s %q: got %v, want %v; %v", class.Kind, lines, got, want, faults)
			}
		}
	})
}

// Whatever is pasted, there is an answer or a fault for each item, and no panic.
func FuzzPasteKey(f *testing.F) {
	for _, text := range []string{"1. A\n2. B", "2-1-3-4 2-5-3", "none\ncoating, cluster", "flat; drum", "\ufeff1)\t\r\n", "-", "+", ",", "+ +\n+\n+", "99999999999999999999"} {
		f.Add(text)
	}
	classes := []contest.Class{broilers(1, 3), hens(2), parts(3, 3), products(4, 3), reasons(5, 1)}
	f.Fuzz(func(t *testing.T, text string) {
		for _, c := range classes {
			items, faults := contest.ParseKey(c, text)
			if lack := enginetest.Untold(faults); faults != nil && lack != "" {
				t.Fatal(lack)
			}
			if len(items) != c.KeyItems() {
				t.Fatalf("%d answers of %d", len(items), c.KeyItems())
			}
			for i, k := range items {
				if k.Answer == "" {
					if faults == nil {
						t.Fatalf("%s: item %d has no answer and nothing is said", c.Kind, i+1)
					}
				} else if _, err := k.Write(c); err != nil {
					t.Fatalf("%s: the answer %q cannot be written: %v", c.Kind, k.Answer, err)
				}
			}
		}
	})
}
