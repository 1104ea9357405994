package rulebook

import (
	"strconv"
	"strings"

	"keelcard/engine"
)

// Codes of the errors of this package.
const (
	CodeSyntax     engine.Code = "rulebook.syntax"     // not JSON
	CodeSize       engine.Code = "rulebook.size"       // too large, too many, too long
	CodeFormat     engine.Code = "rulebook.format"     // a format this program does not know
	CodeUnknown    engine.Code = "rulebook.unknown"    // a field that does not exist
	CodeTwice      engine.Code = "rulebook.twice"      // a field, id or entry written twice
	CodeMissing    engine.Code = "rulebook.missing"    // a field that must be there
	CodeType       engine.Code = "rulebook.type"       // a text where a list is due, and the like
	CodeText       engine.Code = "rulebook.text"       // a text with characters that cannot be shown
	CodeID         engine.Code = "rulebook.id"         // an id not of the wanted form
	CodeReference  engine.Code = "rulebook.reference"  // an id that names nothing
	CodeValue      engine.Code = "rulebook.value"      // not one of the allowed words
	CodeAmount     engine.Code = "rulebook.amount"     // no amount of the factor's kind
	CodeInclusive  engine.Code = "rulebook.inclusive"  // a limit whose own value cannot be out
	CodeMeasure    engine.Code = "rulebook.measure"    // a factor that reads what a defect is not measured in
	CodeGroup      engine.Code = "rulebook.group"      // a factor per part or zone over a site without one
	CodeAdd        engine.Code = "rulebook.add"        // factors that cannot be added
	CodeOverlap    engine.Code = "rulebook.overlap"    // two lines for the same case
	CodeHole       engine.Code = "rulebook.hole"       // a weight between or beside the lines
	CodeMonotone   engine.Code = "rulebook.monotone"   // a worse grade that allows less
	CodeDirection  engine.Code = "rulebook.direction"  // a limit with most and least, or with neither, or a factor with lines of both
	CodeLastGrade  engine.Code = "rulebook.last"       // a limit on the grade that takes the rest
	CodeChoice     engine.Code = "rulebook.choice"     // a choice without a real choice
	CodeFault      engine.Code = "rulebook.fault"      // a book about faults that cannot tell each of them
	CodeUnused     engine.Code = "rulebook.unused"     // a choice that no line depends on
	CodeConfidence engine.Code = "rulebook.confidence" // not one of the four words
)

// maxFaults is how many faults are reported at once.
const maxFaults = 200

// faultList collects faults, one a place: the first thing wrong with a value
// hides what follows from it.
type faultList struct {
	faults engine.Faults
	places map[string]bool
}

func (l *faultList) add(code engine.Code, where, what, fix string) {
	l.put(engine.New(code, where, what, fix))
}

func (l *faultList) put(e *engine.Error) {
	if l.places[e.Where] || len(l.faults) > maxFaults {
		return
	}
	if len(l.faults) == maxFaults {
		e = engine.New(CodeSize, "", "there are more faults than can be listed", "mend these first")
	}
	if l.places == nil {
		l.places = map[string]bool{}
	}
	l.places[e.Where] = true
	l.faults = append(l.faults, e)
}

// at writes the path of an entry of a list.
func at(path string, i int) string { return path + "[" + strconv.Itoa(i) + "]" }

// oneOf lists words for a message: "count, longest or depth".
func oneOf(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
