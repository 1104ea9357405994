// Package tree reads and writes JSON without reflection, which would make the
// download of the app a tenth larger.
//
// A type names its fields once, in a method Fields, and Read and Write follow
// that. Reading is lenient, so that an older app can read what a newer one
// wrote: a field nobody asks for is passed over, null is as good as absent, and
// of a field written twice the last holds. Who has to be stricter calls Parse
// and goes through the tree: it keeps the order of fields, and repeated ones.
//
// Write gives the same bytes for the same values, and the bytes that
// encoding/json gives: records and rule books are signed and hashed as written.
package tree

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"keelcard/engine"
)

// Codes of the errors of this package.
const (
	CodeSyntax engine.Code = "tree.syntax" // not JSON, or nested too deep
	CodeType   engine.Code = "tree.type"   // a text where a number is due, and the like
)

// Node is a JSON value.
type Node struct {
	Kind    Kind
	Text    string   // a text's value, a number as written, true or false
	Members []Member // of an object, as they stand
	Items   []Node   // of a list
}

// Member is one field of an object.
type Member struct {
	Name  string
	Value Node
}

// Kind is the kind of a JSON value.
type Kind uint8

// The kinds of JSON values.
const (
	KindNull Kind = iota
	KindBool
	KindNumber
	KindText
	KindList
	KindObject
)

// String names the kind for a message.
func (k Kind) String() string {
	return [...]string{"null", "true or false", "a number", "a text", "a list", "an object"}[k]
}

// String gives the value for a message, cut short when it is long.
func (n Node) String() string {
	switch n.Kind {
	case KindText:
		return Quote(n.Text)
	case KindNumber, KindBool:
		return Clip(n.Text)
	case KindList:
		return "a list of " + strconv.Itoa(len(n.Items))
	}
	return n.Kind.String()
}

// Quote shows a text in a message, cut short when it is long.
func Quote(s string) string { return strconv.Quote(Clip(s)) }

// Clip cuts a long text short for a message.
func Clip(s string) string {
	const most = 60
	if len(s) <= most {
		return s
	}
	return strings.ToValidUTF8(s[:most], "") + "..."
}

// maxDepth bounds how deep values may lie in each other; what is kept needs six.
const maxDepth = 16

// Parse reads one JSON value and nothing after it. Bytes that are not UTF-8 and
// halves of surrogate pairs become U+FFFD. The error has CodeSyntax and tells
// line and column.
func Parse(data []byte) (Node, *engine.Error) {
	p := parser{data: data}
	n := p.value(0)
	if p.next(); p.pos < len(data) {
		p.fail("the end")
	}
	if p.err != nil {
		return Node{}, p.err
	}
	return n, nil
}

type parser struct {
	data []byte
	pos  int
	text []byte // the quoted text that is read
	err  *engine.Error
}

// fail notes what is due at this place, unless something failed before.
func (p *parser) fail(due string) {
	what := "unexpected end"
	if p.pos < len(p.data) {
		r, _ := utf8.DecodeRune(p.data[p.pos:])
		what = strconv.QuoteRune(r) + " stands"
	}
	p.stop(what + " where " + due + " is due")
}

func (p *parser) stop(what string) {
	if p.err != nil {
		return
	}
	head := p.data[:p.pos]
	line := bytes.Count(head, []byte("\n")) + 1
	column := len(head) - bytes.LastIndexByte(head, '\n')
	p.err = engine.New(CodeSyntax, fmt.Sprintf("line %d, column %d", line, column), what, "mend the text there")
}

// next skips white space and gives the byte that follows, 0 at the end.
func (p *parser) next() byte {
	for strings.IndexByte(" \t\r\n", p.peek()) >= 0 {
		p.pos++
	}
	return p.peek()
}

func (p *parser) peek() byte {
	if p.pos >= len(p.data) {
		return 0
	}
	return p.data[p.pos]
}

// pass goes on behind a byte that must stand here.
func (p *parser) pass(c byte, due string) {
	if p.next() != c {
		p.fail(due)
		return
	}
	p.pos++
}

func (p *parser) value(depth int) Node {
	if depth > maxDepth {
		p.stop("values lie too deep in each other")
		return Node{}
	}
	switch p.next() {
	case '{':
		return p.object(depth)
	case '[':
		return p.list(depth)
	case '"':
		return Node{Kind: KindText, Text: p.quoted()}
	}
	return p.word()
}

// word reads a value that is neither quoted nor in brackets.
func (p *parser) word() Node {
	start := p.pos
	for p.pos < len(p.data) && strings.IndexByte("{}[],:\" \t\r\n", p.data[p.pos]) < 0 {
		p.pos++
	}
	n := Node{Text: string(p.data[start:p.pos])}
	switch {
	case n.Text == "null":
	case n.Text == "true" || n.Text == "false":
		n.Kind = KindBool
	case isNumber(n.Text):
		n.Kind = KindNumber
	default:
		p.pos = start
		p.fail("a value")
	}
	return n
}

func isNumber(s string) bool {
	s = strings.TrimPrefix(s, "-")
	whole := digits(s)
	if whole == 0 || whole > 1 && s[0] == '0' {
		return false
	}
	s = s[whole:]
	if fraction, ok := strings.CutPrefix(s, "."); ok {
		n := digits(fraction)
		if n == 0 {
			return false
		}
		s = fraction[n:]
	}
	if s == "" {
		return true
	}
	power := s[1:]
	if power != "" && (power[0] == '+' || power[0] == '-') {
		power = power[1:]
	}
	return s[0]|' ' == 'e' && power != "" && digits(power) == len(power)
}

// digits counts the digits at the front.
func digits(s string) int { return len(s) - len(strings.TrimLeft(s, "0123456789")) }

func (p *parser) object(depth int) Node {
	n := Node{Kind: KindObject}
	for p.pos++; p.err == nil && p.next() != '}'; {
		if len(n.Members) > 0 {
			p.pass(',', "a comma or a closing brace")
		}
		if p.next() != '"' {
			p.fail("the name of a field")
			break
		}
		name := p.quoted()
		p.pass(':', "a colon")
		n.Members = append(n.Members, Member{name, p.value(depth + 1)})
	}
	p.pos++
	return n
}

func (p *parser) list(depth int) Node {
	n := Node{Kind: KindList}
	for p.pos++; p.err == nil && p.next() != ']'; {
		if len(n.Items) > 0 {
			p.pass(',', "a comma or a closing bracket")
		}
		n.Items = append(n.Items, p.value(depth+1))
	}
	p.pos++
	return n
}

// quoted reads a text in quotes, or the name of a field.
func (p *parser) quoted() string {
	p.text = p.text[:0]
	p.pos++
	for {
		switch c := p.peek(); {
		case c == '"':
			p.pos++
			return string(p.text)
		case c == '\\':
			p.escaped()
		case c < ' ':
			p.fail("a closing quote")
		case c < utf8.RuneSelf:
			p.text = append(p.text, c)
			p.pos++
		default:
			r, size := utf8.DecodeRune(p.data[p.pos:])
			p.text = utf8.AppendRune(p.text, r)
			p.pos += size
		}
		if p.err != nil {
			return ""
		}
	}
}

// escaped reads what stands behind a backslash.
func (p *parser) escaped() {
	p.pos++
	c := p.peek()
	if i := strings.IndexByte(`"\/bfnrt`, c); i >= 0 && c != 0 {
		p.text = append(p.text, "\"\\/\b\f\n\r\t"[i])
		p.pos++
		return
	}
	r, ok := p.unit()
	if !ok {
		p.fail("an escaped character")
		return
	}
	p.pos += 5
	if utf16.IsSurrogate(r) && p.peek() == '\\' {
		p.pos++
		second, _ := p.unit()
		if both := utf16.DecodeRune(r, second); both != utf8.RuneError {
			r = both
			p.pos += 5
		} else {
			p.pos--
		}
	}
	p.text = utf8.AppendRune(p.text, r)
}

// unit reads u and four hexadecimal digits, and stays where it is.
func (p *parser) unit() (rune, bool) {
	if p.peek() != 'u' || len(p.data) < p.pos+5 {
		return 0, false
	}
	n, err := strconv.ParseUint(string(p.data[p.pos+1:p.pos+5]), 16, 16)
	return rune(n), err == nil
}
