package rulebook

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"keelcard/engine"
)

// node is a JSON value that remembers what encoding/json's maps forget: the
// order of fields and whether one was written twice.
type node struct {
	kind   nodeKind
	text   string  // a string's value, a number as written, true or false
	fields []field // of an object
	items  []node  // of an array
}

type field struct {
	name  string
	value node
}

type nodeKind uint8

const (
	nodeNull nodeKind = iota
	nodeBool
	nodeNumber
	nodeString
	nodeArray
	nodeObject
)

// String names the kind for a message.
func (k nodeKind) String() string {
	return [...]string{"null", "true or false", "a number", "a text", "a list", "an object"}[k]
}

// show gives the value for a message, cut short when it is long.
func (n node) show() string {
	switch n.kind {
	case nodeString:
		return quote(n.text)
	case nodeNumber, nodeBool:
		return clip(n.text)
	case nodeArray:
		return "a list of " + strconv.Itoa(len(n.items))
	}
	return n.kind.String()
}

// maxDepth bounds how deep values may lie in each other; a book needs six.
const maxDepth = 16

var errTooDeep = errors.New("values lie too deep in each other")

// parseTree reads one JSON value and nothing after it.
func parseTree(data []byte) (node, *engine.Error) {
	var whole json.RawMessage
	if err := json.Unmarshal(data, &whole); err != nil {
		return node{}, syntaxError(data, err)
	}
	s := scanner{data: data}
	n, err := s.value(0)
	if err != nil {
		return node{}, syntaxError(data[:s.pos], err)
	}
	return n, nil
}

func syntaxError(data []byte, err error) *engine.Error {
	head := data
	var syn *json.SyntaxError
	if errors.As(err, &syn) {
		head = data[:min(max(int(syn.Offset)-1, 0), len(data))]
	}
	line := bytes.Count(head, []byte("\n")) + 1
	column := len(head) - bytes.LastIndexByte(head, '\n')
	e := engine.New(CodeSyntax, fmt.Sprintf("line %d, column %d", line, column), "this is not JSON of a book: "+err.Error(), "mend the text there")
	e.Cause = err
	return e
}

// scanner reads text that is known to be JSON, so that it need not look for
// mistakes.
type scanner struct {
	data []byte
	pos  int
}

// next skips white space and gives the byte that follows.
func (s *scanner) next() byte {
	for strings.IndexByte(" \t\r\n", s.data[s.pos]) >= 0 {
		s.pos++
	}
	return s.data[s.pos]
}

func (s *scanner) value(depth int) (node, error) {
	if depth > maxDepth {
		return node{}, errTooDeep
	}
	switch c := s.next(); c {
	case '{':
		return s.object(depth)
	case '[':
		return s.array(depth)
	case '"':
		return node{kind: nodeString, text: s.text()}, nil
	default:
		start := s.pos
		for s.pos < len(s.data) && strings.IndexByte(",]} \t\r\n", s.data[s.pos]) < 0 {
			s.pos++
		}
		return node{kind: literalKind(c), text: string(s.data[start:s.pos])}, nil
	}
}

func literalKind(first byte) nodeKind {
	switch first {
	case 'n':
		return nodeNull
	case 't', 'f':
		return nodeBool
	}
	return nodeNumber
}

// text reads a quoted text.
func (s *scanner) text() string {
	start, plain := s.pos, true
	for s.pos++; s.data[s.pos] != '"'; s.pos++ {
		if s.data[s.pos] == '\\' {
			s.pos++
			plain = false
		}
	}
	s.pos++
	if plain {
		return string(s.data[start+1 : s.pos-1])
	}
	var text string
	// The text was found good with the whole.
	_ = json.Unmarshal(s.data[start:s.pos], &text)
	return text
}

func (s *scanner) object(depth int) (node, error) {
	n := node{kind: nodeObject}
	for s.pos++; s.next() != '}'; {
		if s.data[s.pos] == ',' {
			s.pos++
			s.next()
		}
		name := s.text()
		s.next()
		s.pos++ // the colon
		value, err := s.value(depth + 1)
		if err != nil {
			return node{}, err
		}
		n.fields = append(n.fields, field{name, value})
	}
	s.pos++
	return n, nil
}

func (s *scanner) array(depth int) (node, error) {
	n := node{kind: nodeArray}
	for s.pos++; s.next() != ']'; {
		if s.data[s.pos] == ',' {
			s.pos++
		}
		value, err := s.value(depth + 1)
		if err != nil {
			return node{}, err
		}
		n.items = append(n.items, value)
	}
	s.pos++
	return n, nil
}
