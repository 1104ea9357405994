package rulebook_test

import (
	"os"
	"slices"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/rulebook"
)

func smallFaults(t testing.TB) string {
	t.Helper()
	data, err := os.ReadFile("testdata/faults.json")
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func TestFaultsUnderChoices(t *testing.T) {
	b, err := rulebook.Decode([]byte(smallFaults(t)))
	if err != nil {
		t.Fatal(err)
	}
	for option, want := range map[string]string{"within": "cover", "apart": "cover dark"} {
		var got []string
		for _, f := range b.Faults(map[string]string{"dark": option}) {
			got = append(got, f.ID)
		}
		if strings.Join(got, " ") != want {
			t.Errorf("dark %s: %v, want %s", option, got, want)
		}
	}
	if got := b.Factors[1].FaultOf() + " " + b.Factors[2].FaultOf(); got != "cover dark" {
		t.Errorf("the dark spots tell %s", got)
	}
}

func TestOtherBooksHaveNoFaults(t *testing.T) {
	b, err := rulebook.Decode([]byte(small(t)))
	if err != nil {
		t.Fatal(err)
	}
	if b.IsFaults() || b.Faults(nil) != nil {
		t.Error("a book of grades offers faults")
	}
}

// Each case spoils one thing in the small book of faults.
func TestFaultsOfFaultBooks(t *testing.T) {
	for _, tc := range []struct {
		name, old, new string
		code           engine.Code
		where, says    string
	}{
		{"three grades", `{"id": "fault", "name": "with a fault"}`, `{"id": "fault", "name": "f"}, {"id": "worse", "name": "w"}`, rulebook.CodeFault, "scale", "two grades"},
		{"no limit", `{"factor": "dark", "grade": "none"`, `{"factor": "cover", "grade": "none"`, rulebook.CodeFault, "factors[2]", `"dark"`},
		{"not about faults", `"faults": true,`, ``, rulebook.CodeFault, "factors[1].fault", `"dark-cover"`},
		{"not a bool", `"faults": true,`, `"faults": "yes",`, rulebook.CodeType, "faults", `"yes"`},
		{"sign of nothing", `"fault": "cover"`, `"fault": "lid"`, rulebook.CodeReference, "factors[1].fault", `"lid"`},
		{"sign of a sign", `"fault": "cover"`, `"fault": "dark-cover"`, rulebook.CodeFault, "factors[1].fault", `"dark-cover"`},
		{"head does not hold", `"fault": "cover"`, `"fault": "dark"`, rulebook.CodeFault, "factors[1].fault", `"dark"`},
		{"unknown option", `"when": {"dark": "within"}`, `"when": {"dark": "beside"}`, rulebook.CodeReference, "factors[1].when.dark", `"beside"`},
	} {
		text := smallFaults(t)
		if strings.Count(text, tc.old) != 1 {
			t.Errorf("%s: the small book holds %s %d times", tc.name, tc.old, strings.Count(text, tc.old))
			continue
		}
		_, err := rulebook.Decode([]byte(strings.Replace(text, tc.old, tc.new, 1)))
		if e := faultAt(err, tc.where); e == nil || e.Code != tc.code || !strings.Contains(e.Error(), tc.says) {
			t.Errorf("%s: got %v, want code %s at %q saying %s", tc.name, err, tc.code, tc.where, tc.says)
		}
	}
}

// A class asks for at most ten faults of an item, and every fault of a built-in
// book can be marked under some option.
func TestBuiltinFaults(t *testing.T) {
	for _, b := range rulebook.Builtin() {
		if !b.IsFaults() {
			continue
		}
		var told []string
		eachChoice(b, map[string]string{}, func(resolved map[string]string) {
			faults := b.Faults(resolved)
			if len(faults) == 0 || len(faults) > 10 {
				t.Errorf("%s has %d faults under %v", b.ID, len(faults), resolved)
			}
			for _, f := range faults {
				told = append(told, f.ID)
			}
		})
		for _, f := range b.Factors {
			if !slices.Contains(told, f.FaultOf()) {
				t.Errorf("%s: nobody can mark %s", b.ID, f.FaultOf())
			}
		}
	}
}

// eachChoice does something under every combination of options.
func eachChoice(b *rulebook.Book, chosen map[string]string, do func(map[string]string)) {
	if len(chosen) == len(b.Choices) {
		do(chosen)
		return
	}
	c := b.Choices[len(chosen)]
	for _, o := range c.Options {
		chosen[c.ID] = o.ID
		eachChoice(b, chosen, do)
	}
	delete(chosen, c.ID)
}
