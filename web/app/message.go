package app

import (
	"strings"

	"keelcard/engine"
)

// Msg is one thing that happened: a tap, a typed text, a file that arrived, an
// answer to an effect.
type Msg struct {
	Do    string   // what: "call.site", "saved"
	Args  []string // which: "breast"
	Text  string   // what was typed or chosen
	X, Y  int      // where on a drawing, in thousandths of its width and height
	Bytes []byte   // of a file
	Found []Entry  // what a Load found
	Now   int64    // when, in unix seconds by the phone's clock
	Rand  []byte   // 32 random bytes, in the messages that start something new
}

// Arg gives the i-th argument, "" when there is none.
func (m Msg) Arg(i int) string {
	if i < len(m.Args) {
		return m.Args[i]
	}
	return ""
}

const (
	maxAction    = 400
	maxArguments = 8
)

// Parse reads the action of an element, "name" or "name:argument:argument".
// Colons and percent signs inside an argument are written %3A and %25.
func Parse(action string) (Msg, error) {
	if len(action) > maxAction {
		return Msg{}, engine.New("app.action", "", "an action of this page is too long", "reload the page")
	}
	fields := strings.Split(action, ":")
	if len(fields) > maxArguments+1 || !nameOK(fields[0]) {
		return Msg{}, engine.New("app.action", "", "this page has an action that is not understood: "+action, "reload the page")
	}
	m := Msg{Do: fields[0]}
	for _, f := range fields[1:] {
		m.Args = append(m.Args, unescape.Replace(f))
	}
	return m, nil
}

// Action writes what Parse reads.
func Action(name string, args ...string) string {
	var b strings.Builder
	b.WriteString(name)
	for _, a := range args {
		b.WriteByte(':')
		escape.WriteString(&b, a)
	}
	return b.String()
}

var (
	escape   = strings.NewReplacer("%", "%25", ":", "%3A")
	unescape = strings.NewReplacer("%25", "%", "%3A", ":")
)

func nameOK(s string) bool {
	for _, r := range s {
		if (r < 'a' || r > 'z') && (r < '0' || r > '9') && r != '.' && r != '-' {
			return false
		}
	}
	return s != ""
}
