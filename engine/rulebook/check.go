package rulebook

import (
	"slices"
	"strconv"
	"strings"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/sorting"
	"keelcard/engine/tree"
)

// maxShareDen bounds the denominator of a share in a book, so that differences
// to any measured share stay exact.
const maxShareDen = 10_000

// checker holds what the checks of a book look up again and again.
type checker struct {
	*faultList
	b       *Book
	grades  map[string]int
	kinds   map[string]int
	zones   map[string]int
	parts   map[string]int
	sites   map[string]int
	defects map[string]int
	factors map[string]int
	sources map[string]int
	choices map[string]int
	used    map[string]bool // choices that something depends on
}

// check reports everything wrong with a book whose fields were read.
func check(l *faultList, b *Book) {
	c := &checker{faultList: l, b: b, used: map[string]bool{}}
	c.head()
	c.grades = index(c, "scale", len(b.Scale), func(i int) string { return b.Scale[i].ID }, gradeID)
	c.kinds = index(c, "kinds", len(b.Kinds), func(i int) string { return b.Kinds[i].ID }, kebab)
	c.zones = index(c, "zones", len(b.Zones), func(i int) string { return b.Zones[i].ID }, kebab)
	c.parts = index(c, "parts", len(b.Parts), func(i int) string { return b.Parts[i].ID }, kebab)
	c.sites = index(c, "sites", len(b.Sites), func(i int) string { return b.Sites[i].ID }, kebab)
	c.defects = index(c, "defects", len(b.Defects), func(i int) string { return b.Defects[i].ID }, kebab)
	c.factors = index(c, "factors", len(b.Factors), func(i int) string { return b.Factors[i].ID }, kebab)
	c.sources = index(c, "sources", len(b.Sources), func(i int) string { return b.Sources[i].ID }, kebab)
	c.choices = index(c, "choices", len(b.Choices), func(i int) string { return b.Choices[i].ID }, kebab)

	c.checkScale()
	c.checkChoices()
	c.checkWeights()
	c.checkSites()
	c.checkDefects()
	c.checkFactors()
	c.checkLimits()
	c.checkFaultBook()
	c.checkNotes()
	for i, ch := range b.Choices {
		if !c.used[ch.ID] {
			c.add(CodeUnused, at("choices", i), "nothing depends on the choice "+tree.Quote(ch.ID), "name it in a line or take it out")
		}
	}
	if n := len(b.Encode()); n > MaxBytes && len(l.faults) == 0 {
		c.add(CodeSize, "", "the book takes "+strconv.Itoa(n)+" bytes", "a book takes at most "+strconv.Itoa(MaxBytes))
	}
}

func (c *checker) head() {
	if !kebab(c.b.ID) && !isVaried(c.b.ID, c.b.Base) {
		c.badID("id", c.b.ID)
	}
	if c.b.Base != "" && !kebab(c.b.Base) {
		c.badID("base", c.b.Base)
	}
	if c.b.Drawing != "" {
		c.word(CodeValue, "drawing", c.b.Drawing, Drawings...)
	}
	if c.b.Base == c.b.ID {
		c.add(CodeReference, "base", "the book "+tree.Quote(c.b.ID)+" varies itself", "name another book or leave the field out")
	}
}

func (c *checker) badID(where, id string) {
	c.add(CodeID, where, tree.Quote(id)+" is no id", "write small letters and digits with single hyphens between, at most "+strconv.Itoa(maxID))
}

// index gives the place of each of n ids and reports ids that are malformed or
// stand twice.
func index(c *checker, path string, n int, id func(i int) string, good func(string) bool) map[string]int {
	places := make(map[string]int, n)
	for i := range n {
		where := at(path, i) + ".id"
		key := id(i)
		first, twice := places[key]
		switch {
		case !good(key):
			c.badID(where, key)
		case twice:
			c.add(CodeTwice, where, tree.Quote(key)+" is already the id of "+at(path, first), "choose another id")
		default:
			places[key] = i
		}
	}
	return places
}

// kebab reports whether s is an id such as "leg-left".
func kebab(s string) bool {
	if s == "" || len(s) > maxID {
		return false
	}
	for word := range strings.SplitSeq(s, "-") {
		if word == "" || strings.ContainsFunc(word, func(r rune) bool { return (r < 'a' || r > 'z') && (r < '0' || r > '9') }) {
			return false
		}
	}
	return true
}

// gradeID reports whether s can stand on a card: up to 12 letters and digits.
func gradeID(s string) bool {
	return s != "" && len(s) <= 12 && !strings.ContainsFunc(s, func(r rune) bool {
		return (r < 'A' || r > 'Z') && (r < 'a' || r > 'z') && (r < '0' || r > '9')
	})
}

// refer reports an id that names nothing.
func (c *checker) refer(places map[string]int, kind, where, id string) bool {
	if _, ok := places[id]; ok {
		return true
	}
	c.add(CodeReference, where, "there is no "+kind+" "+tree.Quote(id), "name one of the book's or add it")
	return false
}

// referAll checks a list of ids: each exists and none stands twice.
func (c *checker) referAll(places map[string]int, kind, where string, ids []string) {
	for i, id := range ids {
		if c.refer(places, kind, at(where, i), id) && slices.Contains(ids[:i], id) {
			c.add(CodeTwice, at(where, i), tree.Quote(id)+" stands twice", "keep one")
		}
	}
}

func (c *checker) word(code engine.Code, where, got string, allowed ...string) bool {
	if slices.Contains(allowed, got) {
		return true
	}
	c.add(code, where, tree.Quote(got)+" is not known here", "write "+oneOf(allowed))
	return false
}

func (c *checker) sourced(path, source, confidence string) {
	c.refer(c.sources, "source", path+".source", source)
	c.word(CodeConfidence, path+".confidence", confidence, Read, FromMemory, CommonPractice, LocalRule)
}

// when checks a condition and marks its choices as used.
func (c *checker) when(path string, when map[string]string) {
	for _, choice := range sorting.Keys(when) {
		where := path + "." + choice
		if !c.refer(c.choices, "choice", where, choice) {
			continue
		}
		c.used[choice] = true
		ch := c.b.Choices[c.choices[choice]]
		if !slices.ContainsFunc(ch.Options, func(o Option) bool { return o.ID == when[choice] }) {
			c.add(CodeReference, where, "the choice "+tree.Quote(choice)+" has no option "+tree.Quote(when[choice]), "name one of its options")
		}
	}
}

func (c *checker) checkScale() {
	always := 0
	for i, g := range c.b.Scale {
		c.when(at("scale", i)+".when", g.When)
		if len(g.When) == 0 {
			always++
		}
	}
	if len(c.b.Scale) == 0 {
		return
	}
	if len(c.b.Scale[0].When) > 0 {
		c.add(CodeChoice, "scale[0].when", "the best grade "+tree.Quote(c.b.Scale[0].ID)+" is not always on the scale", "leave the condition out")
	}
	if always < 2 {
		c.add(CodeChoice, "scale", "there can be fewer than two grades on the scale", "write two that hold without a condition")
	}
}

func (c *checker) checkChoices() {
	for i, ch := range c.b.Choices {
		path := at("choices", i)
		index(c, path+".options", len(ch.Options), func(i int) string { return ch.Options[i].ID }, kebab)
		if len(ch.Options) < 2 {
			c.add(CodeChoice, path+".options", tree.Quote(ch.ID)+" has fewer than two options", "write two, or take the choice out")
		}
		if !slices.ContainsFunc(ch.Options, func(o Option) bool { return o.ID == ch.Default }) {
			c.add(CodeReference, path+".default", tree.Quote(ch.Default)+" is none of the options", "name one of them")
		}
		for j, o := range ch.Options {
			c.sourced(at(path+".options", j), o.Source, o.Confidence)
		}
	}
}

func (c *checker) checkWeights() {
	for i, w := range c.b.Weights {
		path := at("weights", i)
		c.span(path, w.Over, w.To)
		c.referAll(c.kinds, "kind", path+".kinds", w.Kinds)
		c.when(path+".when", w.When)
		c.sourced(path, w.Source, w.Confidence)
	}
	for i, k := range c.b.Kinds {
		if len(c.b.Weights) > 0 && !slices.ContainsFunc(c.b.Weights, func(w WeightRange) bool { return concerns(w.Kinds, k.ID) }) {
			c.add(CodeHole, at("kinds", i), "no weight of "+tree.Quote(k.ID)+" is judged", "add a line to weights")
		}
	}
}

func (c *checker) span(path string, over, to amount.Weight) {
	if to != 0 && to <= over {
		c.add(CodeAmount, path+".to", "the range ends at "+to.String()+" and begins over "+over.String(), "write a range that holds a weight")
	}
}

// concerns reports whether a line limited to kinds holds for kind.
func concerns(kinds []string, kind string) bool {
	return len(kinds) == 0 || slices.Contains(kinds, kind)
}

func (c *checker) checkSites() {
	for i, s := range c.b.Sites {
		path := at("sites", i)
		if s.Part != "" {
			c.refer(c.parts, "part", path+".part", s.Part)
		}
		if s.Zone != "" {
			c.refer(c.zones, "zone", path+".zone", s.Zone)
		}
		c.fills(path+".fills", s.Fills)
		for j, o := range s.Otherwise {
			inner := at(path+".otherwise", j)
			if len(o.When) == 0 {
				c.add(CodeMissing, inner+".when", "no choice is named", "name the option under which this part holds")
			}
			c.when(inner+".when", o.When)
			c.refer(c.parts, "part", inner+".part", o.Part)
			c.fills(inner+".fills", o.Fills)
		}
		if len(s.Otherwise) > 0 && s.Part == "" {
			c.add(CodeMissing, path+".part", "the site has another part under a choice, but none of its own", "name the part that holds otherwise")
		}
	}
}

func (c *checker) fills(where, text string) {
	if text == "" {
		return
	}
	if a, ok := c.amount(where, text, amount.DimShare); ok && a.IsZero() {
		c.add(CodeAmount, where, tree.Quote(text)+" of the part is nothing", "write how much of the part the site makes up")
	}
}

// amount parses a text of the book and reports what is wrong with it.
func (c *checker) amount(where, text string, d amount.Dim) (amount.Amount, bool) {
	a, err := amount.Parse(text, d)
	if err != nil {
		c.put(placed(err, CodeAmount, where))
		return a, false
	}
	if a.Den > maxShareDen {
		c.add(CodeAmount, where, tree.Quote(text)+" is too fine", "write a share in 10000ths or coarser")
		return a, false
	}
	return a, true
}

func (c *checker) checkDefects() {
	for i, d := range c.b.Defects {
		path := at("defects", i)
		c.referAll(c.sites, "site", path+".sites", d.Sites)
		for j, m := range d.Measures {
			where := at(path+".measures", j)
			if c.word(CodeValue, where, m, MeasureLength, MeasureShare, MeasureDepth, MeasureCount, MeasureWeight) && slices.Contains(d.Measures[:j], m) {
				c.add(CodeTwice, where, tree.Quote(m)+" stands twice", "keep one")
			}
		}
	}
}

func (c *checker) checkFactors() {
	for i, f := range c.b.Factors {
		path := at("factors", i)
		c.word(CodeValue, path+".op", f.Op, OpCount, OpLongest, OpTotal, OpShare, OpDepth, OpHaugh, OpCovered)
		c.word(CodeValue, path+".per", f.Per, PerPart, PerZone, PerItem)
		c.referAll(c.defects, "defect", path+".defects", f.Defects)
		c.referAll(c.sites, "site", path+".sites", f.Sites)
		c.referAll(c.zones, "zone", path+".zones", f.Zones)
		c.when(path+".when", f.When)
		if len(f.Defects) == 0 && len(f.Add) == 0 {
			c.add(CodeMissing, path+".defects", "the factor "+tree.Quote(f.ID)+" measures nothing", "name defects, or factors to add")
		}
		c.factorForm(path, f)
		c.factorMeasures(path, f)
		c.factorGroups(path, f)
		c.factorAdds(path, i)
	}
}

// factorForm checks over what a factor is taken and which formula it uses.
func (c *checker) factorForm(path string, f Factor) {
	switch {
	case f.Op == OpShare && f.Per != PerPart:
		c.add(CodeGroup, path+".per", "shares are taken per "+tree.Quote(f.Per), "a share is of a part: write part")
	case (f.Op == OpHaugh || f.Op == OpCovered) && f.Per != PerItem:
		c.add(CodeGroup, path+".per", "an egg is taken per "+tree.Quote(f.Per), "an egg is measured as a whole: write item")
	}
	if f.Op == OpHaugh {
		c.word(CodeValue, path+".form", f.Form, FormFull, Form757, Form76)
	} else if f.Form != "" {
		c.add(CodeValue, path+".form", tree.Quote(f.Form)+" is a form of the Haugh formula and the factor is "+tree.Quote(f.Op), "leave it out")
	}
}

// factorMeasures reports defects that are never measured in what the factor
// reads. A spot on a shell may be measured in either way.
func (c *checker) factorMeasures(path string, f Factor) {
	needs := []string{f.Measure()}
	switch f.Op {
	case OpHaugh:
		needs = append(needs, MeasureWeight)
	case OpCount:
		return
	}
	for i, id := range f.Defects {
		d, ok := c.defects[id]
		if !ok {
			continue
		}
		measures := c.b.Defects[d].Measures
		for _, m := range needs {
			if !slices.Contains(measures, m) && !(f.Op == OpCovered && slices.Contains(measures, MeasureLength)) {
				c.add(CodeMeasure, at(path+".defects", i), tree.Quote(id)+" is not measured in "+m, "add the measure to the defect or leave it out here")
			}
		}
	}
}

// factorGroups reports sites of the factor that belong to no part or zone
// although the factor is taken for each.
func (c *checker) factorGroups(path string, f Factor) {
	if f.Per == PerItem {
		return
	}
	if len(c.b.Sites) == 0 {
		c.add(CodeGroup, path+".per", "the factor is taken per "+tree.Quote(f.Per)+" and the book has no sites", "write item")
		return
	}
	for _, s := range c.b.Sites {
		lacks := f.Per == PerPart && s.Part == "" || f.Per == PerZone && s.Zone == ""
		if lacks && c.covers(f, s) {
			c.add(CodeGroup, path+".sites", "the site "+tree.Quote(s.ID)+" belongs to no "+f.Per, "give it one or name the sites the factor is about")
			return
		}
	}
}

// covers reports whether a finding at the site can count for the factor.
func (c *checker) covers(f Factor, s Site) bool {
	if len(f.Sites) > 0 && !slices.Contains(f.Sites, s.ID) || len(f.Zones) > 0 && !slices.Contains(f.Zones, s.Zone) {
		return false
	}
	return slices.ContainsFunc(f.Defects, func(id string) bool {
		d, ok := c.defects[id]
		return ok && (len(c.b.Defects[d].Sites) == 0 || slices.Contains(c.b.Defects[d].Sites, s.ID))
	})
}

// factorAdds checks the factors that factor i adds: earlier ones of the same
// dimension and grouping that add nothing themselves.
func (c *checker) factorAdds(path string, i int) {
	f := c.b.Factors[i]
	c.referAll(c.factors, "factor", path+".add", f.Add)
	if len(f.Add) > 0 && f.Op != OpCount && f.Op != OpTotal {
		c.add(CodeAdd, path+".add", "amounts of "+tree.Quote(f.Op)+" cannot be added", "add counts or totals")
	}
	for j, id := range f.Add {
		k, ok := c.factors[id]
		if !ok {
			continue
		}
		other := c.b.Factors[k]
		where := at(path+".add", j)
		switch {
		case k >= i:
			c.add(CodeAdd, where, tree.Quote(id)+" does not come before "+tree.Quote(f.ID), "put it earlier in the list")
		case len(other.Add) > 0:
			c.add(CodeAdd, where, tree.Quote(id)+" is itself a sum", "name what it adds instead")
		case other.Op != f.Op || other.Per != f.Per:
			c.add(CodeAdd, where, tree.Quote(id)+" is a "+other.Op+" per "+other.Per+", "+tree.Quote(f.ID)+" a "+f.Op+" per "+f.Per, "add like to like")
		}
	}
}

func (c *checker) checkNotes() {
	for i, n := range c.b.Notes {
		path := at("notes", i)
		if n.About != "" && !c.known(n.About) {
			c.add(CodeReference, path+".about", "there is no factor, defect or choice "+tree.Quote(n.About), "name one or leave the field out")
		}
		if n.Source != "" {
			c.refer(c.sources, "source", path+".source", n.Source)
		}
		if n.Confidence != "" {
			c.word(CodeConfidence, path+".confidence", n.Confidence, Read, FromMemory, CommonPractice, LocalRule)
		}
	}
}

func (c *checker) known(id string) bool {
	for _, places := range []map[string]int{c.factors, c.defects, c.choices} {
		if _, ok := places[id]; ok {
			return true
		}
	}
	return false
}
