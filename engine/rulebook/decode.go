package rulebook

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/tree"
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
	root, bad := tree.Parse(data)
	if bad != nil {
		return nil, engine.New(CodeSyntax, bad.Where, "this is not JSON of a book: "+bad.What, bad.Fix)
	}
	var l faultList
	b := &Book{}
	read(&l, root, "", b)
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
func (b *Book) Encode() []byte { return tree.WritePlain(outward{b}) }

// part is a book or a part of one. It names its fields once, for reading and
// for writing.
type part interface{ fields(o *object) }

// outward is a part on its way out.
type outward struct{ part }

// Fields writes the fields of the part.
func (w outward) Fields(f *tree.Fields) { w.fields(&object{out: f}) }

func (b *Book) fields(o *object) {
	o.number("format", &b.Format)
	o.text("id", &b.ID)
	o.text("edition", &b.Edition)
	o.text("title", &b.Title)
	o.optional("base", &b.Base)
	o.optional("about", &b.About)
	o.optional("drawing", &b.Drawing)
	o.flag("faults", &b.Faulted)
	list(o, "scale", true, &b.Scale)
	list(o, "kinds", false, &b.Kinds)
	list(o, "weights", false, &b.Weights)
	list(o, "zones", false, &b.Zones)
	list(o, "parts", false, &b.Parts)
	list(o, "sites", false, &b.Sites)
	list(o, "defects", true, &b.Defects)
	list(o, "factors", true, &b.Factors)
	list(o, "limits", true, &b.Limits)
	list(o, "choices", false, &b.Choices)
	list(o, "sources", true, &b.Sources)
	list(o, "notes", false, &b.Notes)
}

func (g *Grade) fields(o *object) {
	o.text("id", &g.ID)
	o.text("name", &g.Name)
	o.optional("meaning", &g.Meaning)
	o.pairs("when", &g.When)
}

func (b *Bird) fields(o *object) {
	o.text("id", &b.ID)
	o.text("name", &b.Name)
}

func (z *Zone) fields(o *object) {
	o.text("id", &z.ID)
	o.text("name", &z.Name)
}

func (p *Part) fields(o *object) {
	o.text("id", &p.ID)
	o.text("name", &p.Name)
}

func (w *WeightRange) fields(o *object) {
	o.weight("over", &w.Over)
	o.weight("to", &w.To)
	o.texts("kinds", &w.Kinds)
	o.pairs("when", &w.When)
	o.text("source", &w.Source)
	o.text("confidence", &w.Confidence)
	o.optional("note", &w.Note)
}

func (s *Site) fields(o *object) {
	o.text("id", &s.ID)
	o.text("name", &s.Name)
	o.optional("part", &s.Part)
	o.optional("fills", &s.Fills)
	o.optional("zone", &s.Zone)
	list(o, "otherwise", false, &s.Otherwise)
}

func (s *SitePart) fields(o *object) {
	o.pairs("when", &s.When)
	o.text("part", &s.Part)
	o.optional("fills", &s.Fills)
}

func (d *Defect) fields(o *object) {
	o.text("id", &d.ID)
	o.text("name", &d.Name)
	o.optional("meaning", &d.Meaning)
	o.texts("sites", &d.Sites)
	o.texts("measures", &d.Measures)
	o.optional("caution", &d.Caution)
}

func (f *Factor) fields(o *object) {
	o.text("id", &f.ID)
	o.text("name", &f.Name)
	o.optional("meaning", &f.Meaning)
	o.text("op", &f.Op)
	o.text("per", &f.Per)
	o.texts("defects", &f.Defects)
	o.texts("sites", &f.Sites)
	o.texts("zones", &f.Zones)
	o.texts("add", &f.Add)
	o.optional("form", &f.Form)
	o.pairs("when", &f.When)
	o.optional("fault", &f.Fault)
}

func (l *Limit) fields(o *object) {
	o.text("factor", &l.Factor)
	o.text("grade", &l.Grade)
	o.optional("most", &l.Most)
	o.optional("least", &l.Least)
	o.bool("inclusive", &l.Inclusive)
	o.pairs("inclusive_when", &l.InclusiveWhen)
	o.weight("over", &l.Over)
	o.weight("to", &l.To)
	o.texts("kinds", &l.Kinds)
	o.pairs("when", &l.When)
	o.text("source", &l.Source)
	o.text("confidence", &l.Confidence)
	o.optional("note", &l.Note)
}

func (c *Choice) fields(o *object) {
	o.text("id", &c.ID)
	o.text("title", &c.Title)
	o.text("why", &c.Why)
	o.text("default", &c.Default)
	list(o, "options", true, &c.Options)
}

func (p *Option) fields(o *object) {
	o.text("id", &p.ID)
	o.text("title", &p.Title)
	o.text("source", &p.Source)
	o.text("confidence", &p.Confidence)
}

func (s *Source) fields(o *object) {
	o.text("id", &s.ID)
	o.text("title", &s.Title)
	o.optional("date", &s.Date)
	o.optional("note", &s.Note)
}

func (n *Note) fields(o *object) {
	o.optional("about", &n.About)
	o.text("text", &n.Text)
	o.optional("source", &n.Source)
	o.optional("confidence", &n.Confidence)
}

// object reads the fields of a JSON object and keeps account of them, or
// writes them.
type object struct {
	out    *tree.Fields // nil when reading
	l      *faultList
	path   string
	fields []tree.Member
	asked  []string // the fields that exist in the format
	broken bool     // not an object; nothing more is reported
}

// read reads a part and reports what is wrong with it.
func read(l *faultList, n tree.Node, path string, p part) {
	o := open(l, n, path)
	p.fields(o)
	o.close()
}

// open begins to read an object; a value of another kind is a fault and reads
// as an object without fields whose absence is not reported, and so does one
// with too many.
func open(l *faultList, n tree.Node, path string) *object {
	o := &object{l: l, path: path, fields: n.Members, asked: make([]string, 0, 20), broken: n.Kind != tree.KindObject}
	if o.broken {
		l.add(CodeType, path, n.String()+" stands where an object is due", "write fields in braces")
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
func (o *object) take(name string, kind tree.Kind, required bool) (n tree.Node, ok bool) {
	if o.broken {
		return tree.Node{}, false
	}
	o.asked = append(o.asked, name)
	for _, f := range o.fields {
		if f.Name != name {
			continue
		}
		if f.Value.Kind != kind {
			o.l.add(CodeType, o.where(name), f.Value.String()+" stands where "+kind.String()+" is due", "write "+kind.String())
			return tree.Node{}, false
		}
		return f.Value, true
	}
	if required {
		o.l.add(CodeMissing, o.where(name), "this field is missing", "write "+kind.String())
	}
	return tree.Node{}, false
}

// close reports the fields nobody asked for and those written twice.
func (o *object) close() {
	if o.broken {
		return
	}
	for i, f := range o.fields {
		switch {
		case !slices.Contains(o.asked, f.Name):
			o.l.add(CodeUnknown, o.where(tree.Clip(f.Name)), "there is no field "+tree.Quote(f.Name)+"; it holds "+f.Value.String(), "check the spelling or take it out")
		case slices.ContainsFunc(o.fields[:i], func(g tree.Member) bool { return g.Name == f.Name }):
			o.l.add(CodeTwice, o.where(f.Name), "the field stands twice, the second time with "+f.Value.String(), "keep one")
		}
	}
}

func (o *object) text(name string, v *string) { o.string(name, v, true) }

func (o *object) optional(name string, v *string) { o.string(name, v, false) }

func (o *object) string(name string, v *string, required bool) {
	if o.out != nil {
		o.out.Text(name, v, written(required))
		return
	}
	n, ok := o.take(name, tree.KindText, required)
	if !ok {
		return
	}
	if code, what, fix := badText(n.Text); code != "" {
		o.l.add(code, o.where(name), what, fix)
	}
	*v = n.Text
}

// written says when a field is written: one that has to be there always is.
func written(required bool) tree.When {
	if required {
		return tree.Always
	}
	return tree.IfSet
}

// badText says what is wrong with a text that is empty, too long or cannot be
// shown; the code is empty when nothing is.
func badText(s string) (code engine.Code, what, fix string) {
	switch {
	case strings.TrimSpace(s) == "":
		return CodeMissing, "the text " + tree.Quote(s) + " is empty", "write something or leave the field out"
	case len(s) > maxText:
		return CodeSize, "the text " + tree.Quote(s) + " has " + strconv.Itoa(len(s)) + " bytes", "write at most " + strconv.Itoa(maxText)
	case strings.ContainsFunc(s, unshowable):
		return CodeText, "the text " + tree.Quote(s) + " holds a character that cannot be shown", "write it anew"
	}
	return "", "", ""
}

func unshowable(r rune) bool { return r == utf8.RuneError || unicode.IsControl(r) }

func (o *object) bool(name string, v *bool) {
	if o.out != nil {
		o.out.Bool(name, v, tree.Always)
		return
	}
	n, _ := o.take(name, tree.KindBool, true)
	*v = n.Text == "true"
}

// flag is a bool that is false when it is absent.
func (o *object) flag(name string, v *bool) {
	if o.out != nil {
		o.out.Bool(name, v, tree.IfSet)
	} else if n, ok := o.take(name, tree.KindBool, false); ok {
		*v = n.Text == "true"
	}
}

func (o *object) number(name string, v *int) {
	if o.out != nil {
		tree.Whole(o.out, name, v, tree.Always)
		return
	}
	n, ok := o.take(name, tree.KindNumber, true)
	if !ok {
		return
	}
	var err error
	if *v, err = strconv.Atoi(n.Text); err != nil {
		o.l.add(CodeType, o.where(name), n.String()+" is no whole number", "write a whole number")
	}
}

// weight is an optional weight; zero when absent.
func (o *object) weight(name string, v *amount.Weight) {
	if o.out != nil {
		tree.AsText(o.out, name, v, tree.IfSet, amount.Weight.MarshalText, amount.ParseWeight)
		return
	}
	n, ok := o.take(name, tree.KindText, false)
	if !ok {
		return
	}
	w, err := amount.ParseWeight(n.Text)
	if err != nil {
		o.l.put(placed(err, CodeAmount, o.where(name)))
	} else if w == 0 {
		o.l.add(CodeAmount, o.where(name), tree.Quote(n.Text)+" is no weight to begin or end with", "leave the field out for no end")
	}
	*v = w
}

// placed gives an error of package amount its place in the book.
func placed(err error, code engine.Code, where string) *engine.Error {
	if e, ok := err.(*engine.Error); ok {
		return &engine.Error{Code: code, Where: where, What: e.What, Fix: e.Fix, Cause: e}
	}
	return &engine.Error{Code: code, Where: where, What: err.Error(), Cause: err}
}

// texts is an optional list of texts.
func (o *object) texts(name string, v *[]string) {
	if o.out != nil {
		o.out.Texts(name, v, tree.IfSet)
		return
	}
	n, _ := o.take(name, tree.KindList, false)
	for i, item := range o.entries(name, n) {
		if item.Kind != tree.KindText {
			o.l.add(CodeType, at(o.where(name), i), item.String()+" stands where a text is due", "write a text")
		} else if code, what, fix := badText(item.Text); code != "" {
			o.l.add(code, at(o.where(name), i), what, fix)
		}
		*v = append(*v, item.Text)
	}
}

// pairs is an optional object of texts, such as choice and option.
func (o *object) pairs(name string, v *map[string]string) {
	if o.out != nil {
		o.out.Pairs(name, v, tree.IfSet)
		return
	}
	n, ok := o.take(name, tree.KindObject, false)
	if !ok {
		return
	}
	inner := open(o.l, n, o.where(name))
	*v = map[string]string{}
	for _, f := range inner.fields {
		var text string
		inner.text(f.Name, &text)
		(*v)[f.Name] = text
	}
	inner.close()
	if len(*v) == 0 {
		o.l.add(CodeMissing, o.where(name), "no choice is named", "name one or leave the field out")
	}
}

// entries gives what is read of a list: as many entries as it may have.
func (o *object) entries(name string, n tree.Node) []tree.Node {
	if len(n.Items) > maxList {
		o.l.add(CodeSize, o.where(name), "the list has "+strconv.Itoa(len(n.Items))+" entries", "write at most "+strconv.Itoa(maxList))
	}
	return n.Items[:min(len(n.Items), maxList)]
}

// list is a list of parts. Entries that fail still take their place, so that
// paths count as in the file.
func list[T any, P interface {
	*T
	part
}](o *object, name string, required bool, v *[]T) {
	if o.out != nil {
		if o.out.OpenList(name, len(*v), written(required)) {
			for i := range *v {
				o.out.Entry(outward{P(&(*v)[i])})
			}
			o.out.CloseList()
		}
		return
	}
	if items := o.parts(name, required); len(items) > 0 {
		*v = make([]T, len(items))
		for i, item := range items {
			read(o.l, item, at(o.where(name), i), P(&(*v)[i]))
		}
	}
}

// parts finds the entries of a list of parts.
func (o *object) parts(name string, required bool) []tree.Node {
	n, ok := o.take(name, tree.KindList, required)
	if ok && required && len(n.Items) == 0 {
		o.l.add(CodeMissing, o.where(name), "the list is empty", "write at least one entry")
	}
	return o.entries(name, n)
}
