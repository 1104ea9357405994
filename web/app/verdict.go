package app

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"keelcard/engine/amount"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
	"keelcard/web/words"
)

// Sentence is a verdict in one sentence: the grade and why.
func Sentence(b Bird, j Judged) string {
	if j.Err != nil || b.Book.IsFaults() {
		return Because(b, j)
	}
	return words.T("verdict.sentence", GradeText(b.Book, j.Grade), Because(b, j))
}

// Because says in one sentence why a bird has its grade.
func Because(b Bird, j Judged) string {
	if j.Err != nil {
		return noticeOf(j.Err).Text
	}
	text := because(b, j)
	if n := len(j.Aside); n > 0 {
		text = words.T("verdict.and-left-out", text, words.N("verdict.left-out", n))
	}
	return text
}

func because(b Bird, j Judged) string {
	_, gauged := b.Gauge()
	switch {
	case len(b.Findings) == 0 && gauged:
		return words.T("verdict.unlooked", GradeText(b.Book, j.Grade))
	case len(b.Findings) == 0:
		return words.T("verdict.clean")
	case len(b.Findings) == len(j.Aside):
		return words.T("verdict.nothing")
	case b.Book.IsFaults() && len(j.Set) > 0:
		return FaultsText(b, j)
	case len(j.Set) > 0:
		return ReasonText(b, j.Set[0])
	case len(j.Touched) > 0:
		r := j.Touched[0]
		return words.T("verdict.touches", Capital(whatIs(b, r)), AmountText(r.Amount), GradeText(b.Book, r.Limit.Grade))
	case b.Book.IsFaults():
		return words.T("verdict.sound")
	}
	if gauged && len(j.Near) > 0 && j.Near[0].Amount.Dim != amount.DimCount {
		return ReasonText(b, j.Near[0].Reason)
	}
	return words.T("verdict.within", GradeText(b.Book, j.Grade))
}

// FaultsText lists the faults that are present, with the first sign of each.
func FaultsText(b Bird, j Judged) string {
	text := ""
	for _, p := range grading.FaultsOf(b.Book, j.Verdict) {
		one := p.Name
		if r := p.Says[0]; r.Amount.Dim != amount.DimCount {
			one = words.T("verdict.told", p.Name, AmountText(r.Amount), LimitText(b.Book, r.Limit, r.Amount.Dim))
		}
		if text != "" {
			one = words.T("verdict.and-fault", text, one)
		}
		text = one
	}
	return Capital(text)
}

// ReasonText says what was found and what the limit it was held against allows.
func ReasonText(b Bird, r grading.Reason) string {
	if r.Amount.Dim == amount.DimCount && r.Amount.Num == 1 && len(r.Findings) == 1 {
		return words.T("verdict.told-one", Capital(whatIs(b, r)), LimitText(b.Book, r.Limit, r.Amount.Dim))
	}
	return words.T("verdict.told", Capital(whatIs(b, r)), AmountText(r.Amount), LimitText(b.Book, r.Limit, r.Amount.Dim))
}

// whatIs names what a reason is about: the one finding, or what the factor
// sums up.
func whatIs(b Bird, r grading.Reason) string {
	if len(r.Findings) == 1 && r.Amount.Dim != amount.DimShare && r.Findings[0] < len(b.Findings) {
		if f := b.Findings[r.Findings[0]]; f.Defect != gauged[Drawing(b.Book)].Defect {
			return placed(b.Book, f)
		}
	}
	if slices.ContainsFunc(b.Book.Parts, func(p rulebook.Part) bool { return p.ID == r.Part }) {
		return words.T("verdict.at", r.PartName, r.FactorName)
	}
	return r.FactorName
}

// placed names a finding with its place, but for a place that its name
// holds already.
func placed(b *rulebook.Book, f grading.Finding) string {
	site, name := SiteName(b, f.Site), DefectName(b, f.Defect)
	if strings.Contains(name, site) {
		return name
	}
	return words.T("verdict.at", site, name)
}

// LimitText says the most that a limit allows, "A allows up to 1/4 in", or the
// least it asks for.
func LimitText(b *rulebook.Book, l rulebook.Limit, d amount.Dim) string {
	most, err := amount.Parse(l.Bound(), d)
	switch {
	case err == nil && b.IsFaults() && most.IsZero():
		return words.T("verdict.fault-any")
	case err == nil && b.IsFaults():
		return words.T("verdict.fault-over", AmountText(most))
	case err != nil:
		return words.T("verdict.allows", l.Grade, l.Bound())
	case l.Least != "" && l.Inclusive:
		return words.T("verdict.asks", l.Grade, AmountText(most))
	case l.Least != "":
		return words.T("verdict.asks-more", l.Grade, AmountText(most))
	case most.IsZero():
		return words.T("verdict.allows-none", l.Grade)
	case d == amount.DimCount:
		return words.T("verdict.allows", l.Grade, AmountText(most))
	case !l.Inclusive:
		return words.T("verdict.allows-less", l.Grade, AmountText(most))
	}
	return words.T("verdict.allows-up-to", l.Grade, AmountText(most))
}

// AmountText writes an amount shortly: a length in inches where it comes out
// in 64ths, else in millimetres.
func AmountText(a amount.Amount) string {
	switch a.Dim {
	case amount.DimLength:
		return LengthText(amount.Length(a.Num))
	case amount.DimShare:
		return PortionText(amount.Share{Num: a.Num, Den: a.Den})
	}
	return a.String()
}

// WeightText writes a weight exactly, in the unit in which it comes out.
func WeightText(w amount.Weight) string {
	text, err := w.MarshalText()
	if err != nil {
		return w.String()
	}
	return string(text)
}

// PortionText writes a share shortly; 1/16 and 1/32 of a shell are spoken of so.
func PortionText(s amount.Share) string {
	if s.Num == 1 && (s.Den == 16 || s.Den == 32 || s.Den == 64) {
		return "1/" + strconv.FormatInt(s.Den, 10)
	}
	return s.String()
}

// LengthText writes a length in inches where it comes out in 64ths, else in
// millimetres.
func LengthText(l amount.Length) string {
	if l%amount.SixtyFourth == 0 {
		return l.Inches()
	}
	return l.Millimetres()
}

// GradeText is a grade as it is spoken: its letter, or its name where the
// letters are an abbreviation.
func GradeText(b *rulebook.Book, id string) string {
	for _, g := range b.Scale {
		if g.ID == id && id == "NG" {
			return g.Name
		}
	}
	switch {
	case !b.IsFaults():
		return id
	case id == b.Scale[0].ID:
		return words.T("verdict.fault-none")
	}
	return words.T("verdict.fault-some")
}

// SiteName is a site in the words of a book.
func SiteName(b *rulebook.Book, id string) string {
	for _, s := range b.Sites {
		if s.ID == id {
			return s.Name
		}
	}
	return id
}

// DefectName is a defect in the words of a book, or of another book of the same
// thing where this one does not name it.
func DefectName(b *rulebook.Book, id string) string {
	if d, ok := DefectOf(b, id); ok {
		return d.Name
	}
	for _, other := range CallBooks(Drawing(b)) {
		if b, ok := rulebook.ByID(other); ok {
			if d, ok := DefectOf(b, id); ok {
				return d.Name
			}
		}
	}
	return id
}

// FindingText is a finding with its measures: "breast: skin gone, flesh
// showing, 1/2 in".
func FindingText(b *rulebook.Book, f grading.Finding) string {
	text := placed(b, f)
	if m := MeasuresText(b, f); m != "" {
		text = words.T("verdict.and", text, m)
	}
	return Capital(text)
}

// MeasuresText lists how much there is of a finding, "" when nothing is told.
func MeasuresText(b *rulebook.Book, f grading.Finding) string {
	text := ""
	add := func(more string) {
		if text != "" {
			more = words.T("verdict.and", text, more)
		}
		text = more
	}
	if f.Count > 1 {
		add(words.T("verdict.times", f.Count))
	}
	if f.Length != nil {
		add(LengthText(*f.Length))
	}
	if s, ok := grading.Share(f); ok && Drawing(b) == rulebook.DrawShell {
		add(words.T("verdict.of-shell", PortionText(s)))
	} else if ok {
		add(words.T("verdict.of-part", s))
	}
	if f.Depth != nil {
		add(words.T("verdict.deep", LengthText(*f.Depth)))
	}
	if f.Weight != nil {
		add(WeightText(*f.Weight))
	}
	return text
}

// Capital begins a text with a capital letter.
func Capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}

// The two ends of an id by which books of one thing differ: the one taught to
// youth, and the federal standard.
const (
	endYouth   = "-youth"
	endFederal = "-federal"
)

// Counterpart gives the id of the book that teaches the same otherwise: the
// federal one of a youth book and the other way round, else the one that it
// varies; "" for none.
func Counterpart(b *rulebook.Book) string {
	id := b.ID
	if _, ok := rulebook.ByID(id); !ok && b.Base != "" {
		return b.Base
	}
	if of, ok := strings.CutSuffix(id, endYouth); ok {
		id = of + endFederal
	} else if of, ok := strings.CutSuffix(id, endFederal); ok {
		id = of + endYouth
	}
	if _, ok := rulebook.ByID(id); !ok || id == b.ID {
		return ""
	}
	return id
}
