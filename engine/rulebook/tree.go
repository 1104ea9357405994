package rulebook

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"

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
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	n, err := parseNode(dec, 0)
	if err == nil {
		if _, more := dec.Token(); more != io.EOF {
			err = errors.New("something follows the end of the book")
		}
	}
	if err != nil {
		return node{}, syntaxError(data, dec.InputOffset(), err)
	}
	return n, nil
}

func syntaxError(data []byte, offset int64, err error) *engine.Error {
	var syn *json.SyntaxError
	if errors.As(err, &syn) {
		offset = syn.Offset
	}
	if err == io.EOF || errors.Is(err, io.ErrUnexpectedEOF) {
		err = errors.New("the text ends in the middle")
	}
	head := data[:min(int(offset), len(data))]
	line := bytes.Count(head, []byte("\n")) + 1
	column := len(head) - bytes.LastIndexByte(head, '\n')
	e := engine.New(CodeSyntax, fmt.Sprintf("line %d, column %d", line, column), "this is not JSON: "+err.Error(), "mend the text there")
	e.Cause = err
	return e
}

func parseNode(dec *json.Decoder, depth int) (node, error) {
	if depth > maxDepth {
		return node{}, errTooDeep
	}
	token, err := dec.Token()
	if err != nil {
		return node{}, err
	}
	switch v := token.(type) {
	case json.Delim:
		if v == '{' {
			return parseObject(dec, depth)
		}
		return parseArray(dec, depth)
	case string:
		return node{kind: nodeString, text: v}, nil
	case json.Number:
		return node{kind: nodeNumber, text: v.String()}, nil
	case bool:
		return node{kind: nodeBool, text: strconv.FormatBool(v)}, nil
	}
	return node{kind: nodeNull}, nil
}

func parseObject(dec *json.Decoder, depth int) (node, error) {
	n := node{kind: nodeObject}
	for dec.More() {
		name, err := dec.Token()
		if err != nil {
			return node{}, err
		}
		value, err := parseNode(dec, depth+1)
		if err != nil {
			return node{}, err
		}
		// The decoder gives nothing but texts as names.
		n.fields = append(n.fields, field{name.(string), value})
	}
	_, err := dec.Token()
	return n, err
}

func parseArray(dec *json.Decoder, depth int) (node, error) {
	n := node{kind: nodeArray}
	for dec.More() {
		value, err := parseNode(dec, depth+1)
		if err != nil {
			return node{}, err
		}
		n.items = append(n.items, value)
	}
	_, err := dec.Token()
	return n, err
}
