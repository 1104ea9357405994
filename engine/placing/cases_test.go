package placing_test

import (
	"flag"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/placing"
)

var casesDir = flag.String("cases", "../../testdata/placing", "folder of placing cases to run")

// TestCases runs every case of the folder; its README describes the format.
func TestCases(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(*casesDir, "*.txt"))
	if err != nil {
		t.Fatal(err)
	}
	cases := 0
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) { cases += runFile(t, file) })
	}
	if cases == 0 {
		t.Fatalf("no cases in %s", *casesDir)
	}
	t.Logf("%d cases", cases)
}

func runFile(t *testing.T, file string) int {
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var origin, source string
	cases := 0
	for i, line := range strings.Split(string(data), "\n") {
		line, _, _ = strings.Cut(line, "#")
		word, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		switch word {
		case "":
		case "origin":
			origin = rest
		case "source":
			source = rest
		case "score", "cuts":
			if source == "" || (origin != "published" && origin != "computed") {
				t.Fatalf("line %d: a case without origin and source before it", i+1)
			}
			cases++
			if word == "score" {
				runScore(t, i+1, strings.Fields(rest))
			} else {
				runCuts(t, i+1, strings.Fields(rest))
			}
		default:
			t.Fatalf("line %d: unknown word %q", i+1, word)
		}
	}
	return cases
}

func runScore(t *testing.T, line int, f []string) {
	if len(f) != 4 {
		t.Fatalf("line %d: %d fields after score, want 4", line, len(f))
	}
	official, err1 := placing.ParseOrder(f[0])
	cuts, err2 := placing.ParseCuts(f[1])
	given, err3 := placing.ParseOrder(f[2])
	want, err4 := strconv.Atoi(f[3])
	for _, err := range []error{err1, err2, err3, err4} {
		if err != nil {
			t.Fatalf("line %d: %v", line, err)
		}
	}
	if got := placing.Score(official, cuts, given); got != want {
		t.Errorf("line %d: official %v cuts %v given %v: %d, want %d", line, official, cuts, given, got, want)
	}
}

func runCuts(t *testing.T, line int, f []string) {
	if len(f) != 2 || (f[1] != "allowed" && f[1] != "refused") {
		t.Fatalf("line %d: want cuts and allowed or refused", line)
	}
	_, err := placing.ParseCuts(f[0])
	if f[1] == "allowed" && err != nil {
		t.Errorf("line %d: %v", line, err)
	}
	if f[1] == "refused" && engine.CodeOf(err) != placing.CodeNegative {
		t.Errorf("line %d: got %v, want a refusal", line, err)
	}
}
