package app

import (
	"keelcard/engine/amount"
	"keelcard/engine/tree"
)

// What the phone keeps beside the records, and what it says in a link: the
// fields of each as they are written. A name that was once in use keeps its
// meaning.

// Fields names the fields as they are stored.
func (p *Phone) Fields(f *tree.Fields) {
	f.Text("seed", &p.Seed, tree.Always)
	f.Text("public", &p.Public, tree.Always)
	f.Text("initials", &p.Initials, tree.Always)
	f.Text("scheme", &p.Scheme, tree.Always)
	f.Bool("aloud", &p.Aloud, tree.Always)
	f.Text("kept", &p.Kept, tree.Always)
	tree.List(f, "former", &p.Former, tree.IfSet)
	tree.List(f, "authorities", &p.Authorities, tree.IfSet)
	f.Bool("wordsKept", &p.WordsKept, tree.IfSet)
}

// Fields names the fields as they are stored.
func (k *Key) Fields(f *tree.Fields) {
	f.Text("seed", &k.Seed, tree.Always)
	f.Text("public", &k.Public, tree.Always)
}

// Fields names the fields as they are stored.
func (h *Head) Fields(f *tree.Fields) {
	f.Text("id", &h.ID, tree.Always)
	f.Text("name", &h.Name, tree.Always)
	tree.Whole(f, "opened", &h.Opened, tree.Always)
	tree.List(f, "phones", &h.Phones, tree.Always)
	tree.List(f, "given", &h.Given, tree.IfSet)
}

// Fields names the fields as they are stored.
func (p *PhoneHead) Fields(f *tree.Fields) {
	f.Octets("phone", p.Phone[:], tree.Always)
	f.Bytes("public", &p.Public, tree.Always)
	tree.Whole(f, "count", &p.Count, tree.Always)
	f.Bytes("sig", &p.Sig, tree.IfSet)
	f.Texts("path", &p.Path, tree.IfSet)
}

// Fields names the fields as they are stored.
func (g *Given) Fields(f *tree.Fields) {
	tree.Whole(f, "when", &g.When, tree.Always)
	tree.Whole(f, "own", &g.Own, tree.Always)
}

// Fields names the fields of a record's value.
func (h *Holding) Fields(f *tree.Fields) {
	f.Text("who", &h.Who, tree.Always)
	tree.Map(f, "holds", &h.Holds, tree.IfSet, tree.Whole)
	tree.Map(f, "heads", &h.Heads, tree.IfSet, tree.Whole)
	f.Bytes("box", &h.Box, tree.IfSet)
}

// Fields names the fields as they are stored.
func (d *Draft) Fields(f *tree.Fields) {
	tree.Whole(f, "class", &d.Class, tree.Always)
	tree.Whole(f, "number", &d.Number, tree.Always)
	f.Text("way", &d.Way, tree.IfSet)
	tree.Wholes(f, "marks", &d.Marks, tree.Always)
	tree.Whole(f, "item", &d.Item, tree.Always)
	tree.Whole(f, "two", &d.Two, tree.IfSet)
	tree.Whole(f, "redo", &d.Redo, tree.IfSet)
}

// Fields names the fields as they are stored.
func (c *Call) Fields(f *tree.Fields) {
	f.Object("now", &c.Now)
	tree.List(f, "past", &c.Past, tree.IfSet)
	tree.List(f, "rest", &c.Rest, tree.IfSet)
}

// Fields names the fields as they are stored.
func (c *CallBird) Fields(f *tree.Fields) {
	f.Text("book", &c.Book, tree.Always)
	f.Text("kind", &c.Kind, tree.Always)
	tree.AsText(f, "weight", &c.Weight, tree.Always, amount.Weight.MarshalText, amount.ParseWeight)
	tree.Map(f, "choices", &c.Choices, tree.IfSet, (*tree.Fields).Pairs)
	tree.List(f, "findings", &c.Findings, tree.IfSet)
}

// Fields names the fields as they stand in a link.
func (l *linked) Fields(f *tree.Fields) {
	f.Text("b", &l.Book, tree.Always)
	f.Text("k", &l.Kind, tree.Always)
	tree.AsText(f, "w", &l.Weight, tree.Always, amount.Weight.MarshalText, amount.ParseWeight)
	tree.Map(f, "o", &l.Choices, tree.IfSet, (*tree.Fields).Pairs)
	tree.List(f, "f", &l.Findings, tree.IfSet)
}

// Fields names the fields as they stand in a link.
func (l *linkedFinding) Fields(f *tree.Fields) {
	f.Text("d", &l.Defect, tree.Always)
	f.Text("s", &l.Site, tree.Always)
	tree.Whole(f, "n", &l.Count, tree.IfSet)
	tree.Maybe(f, "l", &l.Length, amount.Length.MarshalText, amount.ParseLength)
	tree.Maybe(f, "h", &l.Depth, amount.Length.MarshalText, amount.ParseLength)
	tree.Maybe(f, "g", &l.Weight, amount.Weight.MarshalText, amount.ParseWeight)
	tree.Maybe(f, "p", &l.Share, amount.Share.MarshalText, amount.ParseShare)
	tree.Maybe(f, "q", &l.PartLength, amount.Length.MarshalText, amount.ParseLength)
	f.Text("v", &l.View, tree.IfSet)
	tree.Whole(f, "x", &l.X, tree.IfSet)
	tree.Whole(f, "y", &l.Y, tree.IfSet)
	f.Text("u", &l.Sure, tree.IfSet)
}
