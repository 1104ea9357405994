package rulebook

import (
	"bytes"
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"keelcard/engine"
	"keelcard/engine/amount"
)

// Limits on the size of a book. They are checked before anything is kept.
const (
	MaxFile  = 256 << 10 // bytes of a file
	MaxBytes = 63 << 10  // bytes of the canonical form: it must fit into one record
	maxList  = 512       // entries of one list
	maxText  = 1200      // bytes of one text
	maxID    = 40        // bytes of one id
	maxField = 64        // fields of one object
)

// Decode reads a book from its file. It is strict: a field it does not know, a
// reference to nothing, an amount of the wrong kind or a gap between weights is
// a fault. The error is an *engine.Error when the text is not JSON at all or is
// too large, else engine.Faults with every fault, its path and its value.
func Decode(data []byte) (*Book, error) {
	if len(data) > MaxFile {
		return nil, engine.New(CodeSize, "", "the file has "+strconv.Itoa(len(data))+" bytes", "a book has at most "+strconv.Itoa(MaxFile))
	}
	tree, bad := parseTree(data)
	if bad != nil {
		return nil, bad
	}
	var l faultList
	o := open(&l, tree, "")
	b := readBook(o)
	o.close()
	if b.Format != FormatVersion && !l.places["format"] {
		// The rules of another format are not known, so nothing else is checked.
		return nil, engine.New(CodeFormat, "format", "the book has format "+strconv.Itoa(b.Format), "this program reads format "+strconv.Itoa(FormatVersion))
	}
	check(&l, b)
	if err := l.faults.Err(); err != nil {
		return nil, err
	}
	return b, nil
}

// Encode gives the canonical form: JSON on one line, fields in a fixed order,
// absent fields left out. Decode reads it back to an equal book.
func (b *Book) Encode() []byte {
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(b); err != nil {
		// A Book holds nothing that JSON cannot hold.
		panic("rulebook: " + err.Error())
	}
	return bytes.TrimSuffix(out.Bytes(), []byte("\n"))
}

func readBook(o *object) *Book {
	return &Book{
		Format:  o.number("format"),
		ID:      o.text("id"),
		Edition: o.text("edition"),
		Title:   o.text("title"),
		Base:    o.optional("base"),
		About:   o.optional("about"),
		Scale:   list(o, "scale", true, readGrade),
		Kinds:   list(o, "kinds", false, readBird),
		Weights: list(o, "weights", false, readWeightRange),
		Zones:   list(o, "zones", false, readZone),
		Parts:   list(o, "parts", false, readPart),
		Sites:   list(o, "sites", false, readSite),
		Defects: list(o, "defects", true, readDefect),
		Factors: list(o, "factors", true, readFactor),
		Limits:  list(o, "limits", true, readLimit),
		Choices: list(o, "choices", false, readChoice),
		Sources: list(o, "sources", true, readSource),
		Notes:   list(o, "notes", false, readNote),
	}
}

func readGrade(o *object) Grade {
	return Grade{ID: o.text("id"), Name: o.text("name"), Meaning: o.optional("meaning"), When: o.pairs("when")}
}

func readBird(o *object) Bird { return Bird{ID: o.text("id"), Name: o.text("name")} }

func readZone(o *object) Zone { return Zone{ID: o.text("id"), Name: o.text("name")} }

func readPart(o *object) Part { return Part{ID: o.text("id"), Name: o.text("name")} }

func readWeightRange(o *object) WeightRange {
	return WeightRange{
		Over: o.weight("over"), To: o.weight("to"), Kinds: o.texts("kinds"), When: o.pairs("when"),
		Source: o.text("source"), Confidence: o.text("confidence"), Note: o.optional("note"),
	}
}

func readSite(o *object) Site {
	return Site{
		ID: o.text("id"), Name: o.text("name"), Part: o.optional("part"), Fills: o.optional("fills"),
		Zone: o.optional("zone"), Otherwise: list(o, "otherwise", false, readSitePart),
	}
}

func readSitePart(o *object) SitePart {
	return SitePart{When: o.pairs("when"), Part: o.text("part"), Fills: o.optional("fills")}
}

func readDefect(o *object) Defect {
	return Defect{
		ID: o.text("id"), Name: o.text("name"), Meaning: o.optional("meaning"),
		Sites: o.texts("sites"), Measures: o.texts("measures"), Caution: o.optional("caution"),
	}
}

func readFactor(o *object) Factor {
	return Factor{
		ID: o.text("id"), Name: o.text("name"), Meaning: o.optional("meaning"), Op: o.text("op"), Per: o.text("per"),
		Defects: o.texts("defects"), Sites: o.texts("sites"), Zones: o.texts("zones"), Add: o.texts("add"),
	}
}

func readLimit(o *object) Limit {
	return Limit{
		Factor: o.text("factor"), Grade: o.text("grade"), Most: o.text("most"), Inclusive: o.bool("inclusive"),
		InclusiveWhen: o.pairs("inclusive_when"), Over: o.weight("over"), To: o.weight("to"), Kinds: o.texts("kinds"),
		When: o.pairs("when"), Source: o.text("source"), Confidence: o.text("confidence"), Note: o.optional("note"),
	}
}

func readChoice(o *object) Choice {
	return Choice{
		ID: o.text("id"), Title: o.text("title"), Why: o.text("why"), Default: o.text("default"),
		Options: list(o, "options", true, readOption),
	}
}

func readOption(o *object) Option {
	return Option{ID: o.text("id"), Title: o.text("title"), Source: o.text("source"), Confidence: o.text("confidence")}
}

func readSource(o *object) Source {
	return Source{ID: o.text("id"), Title: o.text("title"), Date: o.optional("date"), Note: o.optional("note")}
}

func readNote(o *object) Note {
	return Note{About: o.optional("about"), Text: o.text("text"), Source: o.optional("source"), Confidence: o.optional("confidence")}
}

// object reads the fields of a JSON object and keeps account of them.
type object struct {
	l      *faultList
	path   string
	fields []field
	asked  []string // the fields that exist in the format
	broken bool     // not an object; nothing more is reported
}

// open begins to read an object; a value of another kind is a fault and reads
// as an object without fields whose absence is not reported, and so does one
// with too many.
func open(l *faultList, n node, path string) *object {
	o := &object{l: l, path: path, fields: n.fields, asked: make([]string, 0, 20), broken: n.kind != nodeObject}
	if o.broken {
		l.add(CodeType, path, n.show()+" stands where an object is due", "write fields in braces")
	}
	if len(o.fields) > maxField {
		l.add(CodeSize, path, "the object has "+strconv.Itoa(len(o.fields))+" fields", "write at most "+strconv.Itoa(maxField))
		o.fields, o.broken = nil, true
	}
	return o
}

func (o *object) where(name string) string {
	if o.path == "" {
		return name
	}
	return o.path + "." + name
}

// take finds a field. ok is false when it is absent or not of the wanted kind,
// which is reported.
func (o *object) take(name string, kind nodeKind, required bool) (n node, ok bool) {
	if o.broken {
		return node{}, false
	}
	o.asked = append(o.asked, name)
	for _, f := range o.fields {
		if f.name != name {
			continue
		}
		if f.value.kind != kind {
			o.l.add(CodeType, o.where(name), f.value.show()+" stands where "+kind.String()+" is due", "write "+kind.String())
			return node{}, false
		}
		return f.value, true
	}
	if required {
		o.l.add(CodeMissing, o.where(name), "this field is missing", "write "+kind.String())
	}
	return node{}, false
}

// close reports the fields nobody asked for and those written twice.
func (o *object) close() {
	if o.broken {
		return
	}
	for i, f := range o.fields {
		switch {
		case !slices.Contains(o.asked, f.name):
			o.l.add(CodeUnknown, o.where(clip(f.name)), "there is no field "+quote(f.name)+"; it holds "+f.value.show(), "check the spelling or take it out")
		case slices.ContainsFunc(o.fields[:i], func(g field) bool { return g.name == f.name }):
			o.l.add(CodeTwice, o.where(f.name), "the field stands twice, the second time with "+f.value.show(), "keep one")
		}
	}
}

func (o *object) text(name string) string { return o.string(name, true) }

func (o *object) optional(name string) string { return o.string(name, false) }

func (o *object) string(name string, required bool) string {
	n, ok := o.take(name, nodeString, required)
	if !ok {
		return ""
	}
	if code, what, fix := badText(n.text); code != "" {
		o.l.add(code, o.where(name), what, fix)
	}
	return n.text
}

// badText says what is wrong with a text that is empty, too long or cannot be
// shown; the code is empty when nothing is.
func badText(s string) (code engine.Code, what, fix string) {
	switch {
	case strings.TrimSpace(s) == "":
		return CodeMissing, "the text " + quote(s) + " is empty", "write something or leave the field out"
	case len(s) > maxText:
		return CodeSize, "the text " + quote(s) + " has " + strconv.Itoa(len(s)) + " bytes", "write at most " + strconv.Itoa(maxText)
	case strings.ContainsFunc(s, unshowable):
		return CodeText, "the text " + quote(s) + " holds a character that cannot be shown", "write it anew"
	}
	return "", "", ""
}

func unshowable(r rune) bool { return r == utf8.RuneError || unicode.IsControl(r) }

func (o *object) bool(name string) bool {
	n, _ := o.take(name, nodeBool, true)
	return n.text == "true"
}

func (o *object) number(name string) int {
	n, ok := o.take(name, nodeNumber, true)
	if !ok {
		return 0
	}
	v, err := strconv.Atoi(n.text)
	if err != nil {
		o.l.add(CodeType, o.where(name), n.show()+" is no whole number", "write a whole number")
	}
	return v
}

// weight reads an optional weight; zero when absent.
func (o *object) weight(name string) amount.Weight {
	n, ok := o.take(name, nodeString, false)
	if !ok {
		return 0
	}
	w, err := amount.ParseWeight(n.text)
	if err != nil {
		o.l.put(placed(err, CodeAmount, o.where(name)))
	} else if w == 0 {
		o.l.add(CodeAmount, o.where(name), quote(n.text)+" is no weight to begin or end with", "leave the field out for no end")
	}
	return w
}

// placed gives an error of package amount its place in the book.
func placed(err error, code engine.Code, where string) *engine.Error {
	if e, ok := err.(*engine.Error); ok {
		return &engine.Error{Code: code, Where: where, What: e.What, Fix: e.Fix, Cause: e}
	}
	return &engine.Error{Code: code, Where: where, What: err.Error(), Cause: err}
}

// texts reads an optional list of texts.
func (o *object) texts(name string) []string {
	n, _ := o.take(name, nodeArray, false)
	o.checkLength(name, n)
	var out []string
	for i, item := range n.items[:min(len(n.items), maxList)] {
		if item.kind != nodeString {
			o.l.add(CodeType, at(o.where(name), i), item.show()+" stands where a text is due", "write a text")
		} else if code, what, fix := badText(item.text); code != "" {
			o.l.add(code, at(o.where(name), i), what, fix)
		}
		out = append(out, item.text)
	}
	return out
}

// pairs reads an optional object of texts, such as choice and option.
func (o *object) pairs(name string) map[string]string {
	n, ok := o.take(name, nodeObject, false)
	if !ok {
		return nil
	}
	inner := open(o.l, n, o.where(name))
	out := map[string]string{}
	for _, f := range inner.fields {
		out[f.name] = inner.text(f.name)
	}
	inner.close()
	if len(out) == 0 {
		o.l.add(CodeMissing, o.where(name), "no choice is named", "name one or leave the field out")
	}
	return out
}

func (o *object) checkLength(name string, n node) {
	if len(n.items) > maxList {
		o.l.add(CodeSize, o.where(name), "the list has "+strconv.Itoa(len(n.items))+" entries", "write at most "+strconv.Itoa(maxList))
	}
}

// list reads a list of objects. Entries that fail still take their place, so
// that paths count as in the file.
func list[T any](o *object, name string, required bool, read func(*object) T) []T {
	n, ok := o.take(name, nodeArray, required)
	if !ok {
		return nil
	}
	o.checkLength(name, n)
	if required && len(n.items) == 0 {
		o.l.add(CodeMissing, o.where(name), "the list is empty", "write at least one entry")
	}
	var out []T
	for i, item := range n.items[:min(len(n.items), maxList)] {
		inner := open(o.l, item, at(o.where(name), i))
		out = append(out, read(inner))
		inner.close()
	}
	return out
}
