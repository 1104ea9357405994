package tree

import (
	"encoding/base64"
	"slices"
	"strconv"
	"unicode/utf8"

	"keelcard/engine"
	"keelcard/engine/sorting"
)

// Object is what can be read from and written as a JSON object.
type Object interface {
	// Fields names each field with its place in the value, in the order in
	// which they are written.
	Fields(f *Fields)
}

// When says when a field is written.
type When uint8

// When a field is written. Reading takes either.
const (
	Always When = iota
	IfSet       // left out when it is empty: "", 0, false, no entries
)

// Fields is an object on its way in or out.
type Fields struct {
	writing bool
	plain   bool // <, > and & are written as they are
	out     []byte
	in      []Member // of the object that is read
	err     error    // the first that was found
}

// Write gives v on one line. As with encoding/json, the text can stand inside a
// script: <, > and & are escaped.
func Write(v Object) []byte {
	f := Fields{writing: true}
	f.Entry(v)
	return f.out
}

// WritePlain is Write with <, > and & as they are.
func WritePlain(v Object) []byte {
	f := Fields{writing: true, plain: true}
	f.Entry(v)
	return f.out
}

// Read reads v from JSON. Fields that are absent are left as they were. The
// error is an *engine.Error with CodeSyntax or CodeType, or what the text form
// of a field gave; v is then read in part.
func Read(data []byte, v Object) error {
	n, bad := Parse(data)
	if bad != nil {
		return bad
	}
	var f Fields
	f.read("", n, v)
	return f.err
}

// read reads an object; other values than null are a fault.
func (f *Fields) read(name string, n Node, v Object) {
	if !f.is(name, n, KindObject) {
		return
	}
	outer := f.in
	f.in = n.Members
	v.Fields(f)
	f.in = outer
}

// is tells whether a value is of the kind that is due, and notes the fault when
// it is of another and not null.
func (f *Fields) is(name string, n Node, due Kind) bool {
	if n.Kind != due && n.Kind != KindNull {
		f.fail(name, n, due.String())
	}
	return n.Kind == due
}

func (f *Fields) fail(name string, n Node, due string) {
	f.keep(engine.New(CodeType, name, n.String()+" stands where "+due+" is due", "write "+due))
}

// find gives the last field of a name, null when there is none.
func (f *Fields) find(name string) Node {
	for i := len(f.in) - 1; i >= 0; i-- {
		if f.in[i].Name == name {
			return f.in[i].Value
		}
	}
	return Node{}
}

func (f *Fields) take(name string, due Kind) (Node, bool) {
	n := f.find(name)
	return n, f.is(name, n, due)
}

// put writes the name of a field and tells whether its value is to be written
// after it: not when reading, and not when it is left out.
func (f *Fields) put(name string, when When, empty bool) bool {
	if !f.writing || when == IfSet && empty {
		return false
	}
	f.text(name)
	f.out = append(f.out, ':')
	return true
}

// next writes the comma between two entries.
func (f *Fields) next() {
	if n := len(f.out); n > 0 && f.out[n-1] != '{' && f.out[n-1] != '[' && f.out[n-1] != ':' {
		f.out = append(f.out, ',')
	}
}

func (f *Fields) open(bracket byte) {
	f.next()
	f.out = append(f.out, bracket)
}

func (f *Fields) close(bracket byte) { f.out = append(f.out, bracket) }

func (f *Fields) number(n int64) {
	f.next()
	f.out = strconv.AppendInt(f.out, n, 10)
}

// text writes a text in quotes, escaped as encoding/json does it.
func (f *Fields) text(s string) {
	const hex = "0123456789abcdef"
	f.open('"')
	for i := 0; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		escape := byte('u')
		switch r {
		case '"', '\\':
			escape = byte(r)
		case '\b':
			escape = 'b'
		case '\f':
			escape = 'f'
		case '\n':
			escape = 'n'
		case '\r':
			escape = 'r'
		case '\t':
			escape = 't'
		case '<', '>', '&':
			if f.plain {
				escape = 0
			}
		case '\u2028', '\u2029': // ends of a line in a script
		default:
			if r >= ' ' && (r != utf8.RuneError || size > 1) {
				escape = 0
			}
		}
		switch escape {
		case 0:
			f.out = append(f.out, s[i:i+size]...)
		case 'u':
			f.out = append(f.out, '\\', 'u', hex[r>>12&15], hex[r>>8&15], hex[r>>4&15], hex[r&15])
		default:
			f.out = append(f.out, '\\', escape)
		}
		i += size
	}
	f.close('"')
}

// Text is a field that is a text.
func (f *Fields) Text(name string, v *string, when When) {
	if f.put(name, when, *v == "") {
		f.text(*v)
	} else if n, ok := f.take(name, KindText); ok {
		*v = n.Text
	}
}

// Bool is a field that is true or false.
func (f *Fields) Bool(name string, v *bool, when When) {
	if f.put(name, when, !*v) {
		f.out = strconv.AppendBool(f.out, *v)
	} else if n, ok := f.take(name, KindBool); ok {
		*v = n.Text == "true"
	}
}

// Whole is a field that is a whole number.
func Whole[T int | int64 | uint32](f *Fields, name string, v *T, when When) {
	if f.put(name, when, *v == 0) {
		f.number(int64(*v))
	} else if n, ok := f.take(name, KindNumber); ok {
		readWhole(f, name, n, v)
	}
}

func readWhole[T int | int64 | uint32 | byte](f *Fields, name string, n Node, v *T) {
	if !f.is(name, n, KindNumber) {
		return
	}
	whole, err := strconv.ParseInt(n.Text, 10, 64)
	if *v = T(whole); err != nil || int64(*v) != whole {
		f.fail(name, n, "a whole number that is not too large")
	}
}

// Wholes is a field that is a list of whole numbers.
func Wholes[T int | uint32](f *Fields, name string, v *[]T, when When) {
	if f.OpenList(name, len(*v), when) {
		for _, n := range *v {
			f.number(int64(n))
		}
		f.CloseList()
	} else if n, ok := f.take(name, KindList); ok {
		*v = make([]T, len(n.Items))
		for i, item := range n.Items {
			readWhole(f, name, item, &(*v)[i])
		}
	}
}

// Octets is a field that is a list of as many numbers from 0 to 255 as v has
// room for. It is empty when all are 0.
func (f *Fields) Octets(name string, v []byte, when When) {
	if f.put(name, when, !slices.ContainsFunc(v, func(b byte) bool { return b != 0 })) {
		f.open('[')
		for _, b := range v {
			f.number(int64(b))
		}
		f.CloseList()
	} else if n, ok := f.take(name, KindList); ok {
		for i, item := range n.Items[:min(len(n.Items), len(v))] {
			readWhole(f, name, item, &v[i])
		}
	}
}

// Bytes is a field that is a text in base64.
func (f *Fields) Bytes(name string, v *[]byte, when When) {
	if f.put(name, when, len(*v) == 0) {
		f.text(base64.StdEncoding.EncodeToString(*v))
	} else if n, ok := f.take(name, KindText); ok {
		data, err := base64.StdEncoding.DecodeString(n.Text)
		if err != nil {
			f.fail(name, n, "base64")
		}
		*v = data
	}
}

// Texts is a field that is a list of texts.
func (f *Fields) Texts(name string, v *[]string, when When) {
	if f.OpenList(name, len(*v), when) {
		for _, s := range *v {
			f.text(s)
		}
		f.CloseList()
	} else if n, ok := f.take(name, KindList); ok {
		*v = make([]string, len(n.Items))
		for i, item := range n.Items {
			if f.is(name, item, KindText) {
				(*v)[i] = item.Text
			}
		}
	}
}

// AsText is a field with a text form, empty when it is zero. A number is taken
// as the text it is written with. The two functions are named with each field,
// as an interface for them would keep those of every type in the program.
func AsText[T comparable](f *Fields, name string, v *T, when When, form func(T) ([]byte, error), parse func(string) (T, error)) {
	var zero T
	if f.put(name, when, *v == zero) {
		f.form(form(*v))
	} else if text, ok := f.takeForm(name); ok {
		got, err := parse(text)
		f.keep(err)
		*v = got
	}
}

// Maybe is AsText for a field that is left out when it is nil.
func Maybe[T any](f *Fields, name string, v **T, form func(T) ([]byte, error), parse func(string) (T, error)) {
	if f.put(name, IfSet, *v == nil) {
		f.form(form(**v))
	} else if text, ok := f.takeForm(name); ok {
		got, err := parse(text)
		f.keep(err)
		*v = &got
	}
}

func (f *Fields) form(text []byte, err error) {
	if err != nil {
		panic(err) // the fields of our own types have a text form
	}
	f.text(string(text))
}

func (f *Fields) takeForm(name string) (string, bool) {
	n := f.find(name)
	return n.Text, n.Kind == KindNumber || f.is(name, n, KindText)
}

func (f *Fields) keep(err error) {
	if f.err == nil {
		f.err = err
	}
}

// Object is a field that is an object, and always written.
func (f *Fields) Object(name string, v Object) {
	if f.put(name, Always, false) {
		f.Entry(v)
	} else if !f.writing {
		f.read(name, f.find(name), v)
	}
}

// Map is a field that is an object with a field for each key, which is written
// and read with field. The keys are written in order.
func Map[V any](f *Fields, name string, m *map[string]V, when When, field func(*Fields, string, *V, When)) {
	if f.put(name, when, len(*m) == 0) {
		f.open('{')
		for _, key := range sorting.Keys(*m) {
			v := (*m)[key]
			field(f, key, &v, Always)
		}
		f.close('}')
	} else if n, ok := f.take(name, KindObject); ok {
		*m = make(map[string]V, len(n.Members))
		outer := f.in
		f.in = n.Members
		for _, member := range n.Members {
			var v V
			field(f, member.Name, &v, Always)
			(*m)[member.Name] = v
		}
		f.in = outer
	}
}

// Pairs is a field that is an object of texts.
func (f *Fields) Pairs(name string, m *map[string]string, when When) {
	Map(f, name, m, when, (*Fields).Text)
}

// List is a field that is a list of objects.
func List[T any, P interface {
	*T
	Object
}](f *Fields, name string, list *[]T, when When) {
	if f.OpenList(name, len(*list), when) {
		for i := range *list {
			f.Entry(P(&(*list)[i]))
		}
		f.CloseList()
	} else if n, ok := f.take(name, KindList); ok {
		*list = make([]T, len(n.Items))
		for i, item := range n.Items {
			f.read(name, item, P(&(*list)[i]))
		}
	}
}

// OpenList begins to write a field that is a list, and tells whether its n
// entries and CloseList are to follow: not when reading, and not when it is
// left out.
func (f *Fields) OpenList(name string, n int, when When) bool {
	if !f.put(name, when, n == 0) {
		return false
	}
	f.open('[')
	return true
}

// CloseList ends a list.
func (f *Fields) CloseList() { f.close(']') }

// Entry writes an entry of a list.
func (f *Fields) Entry(v Object) {
	f.open('{')
	v.Fields(f)
	f.close('}')
}
