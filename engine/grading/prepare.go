package grading

import (
	"slices"
	"strconv"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/rulebook"
)

// Grader is a book made ready to grade many items. It is not changed by grading
// and may be used from several goroutines.
type Grader struct {
	book    *rulebook.Book
	defects map[string]int
	sites   map[string]int
	factors []factor
	limits  []limit
	weighed bool // whether weights matter
}

// factor is a rulebook.Factor with its references looked up.
type factor struct {
	*rulebook.Factor
	dim     amount.Dim
	defects []bool // by defect
	sites   []bool // by site
	add     []int  // factors added
}

// limit is a rulebook.Limit with its references looked up.
type limit struct {
	*rulebook.Limit
	factor int
	grade  int // place on the whole scale
	most   amount.Amount
}

// Prepare makes a book ready. A book from rulebook.Decode never fails.
func Prepare(b *rulebook.Book) (*Grader, error) {
	if b == nil || len(b.Scale) < 2 {
		return nil, engine.New(CodeBook, "", "there is no book to grade by", "choose a book")
	}
	g := &Grader{book: b, defects: map[string]int{}, sites: map[string]int{}}
	for i, d := range b.Defects {
		g.defects[d.ID] = i
	}
	for i, s := range b.Sites {
		g.sites[s.ID] = i
	}
	places := map[string]int{}
	for i := range b.Factors {
		f, err := g.prepareFactor(&b.Factors[i], places)
		if err != nil {
			return nil, err
		}
		g.factors = append(g.factors, f)
		places[f.ID] = i
	}
	for i := range b.Limits {
		l, err := g.prepareLimit(&b.Limits[i], places)
		if err != nil {
			return nil, err
		}
		g.limits = append(g.limits, l)
	}
	g.weighed = g.weighed || len(b.Weights) > 0
	return g, nil
}

func (g *Grader) prepareFactor(f *rulebook.Factor, places map[string]int) (factor, error) {
	out := factor{Factor: f, dim: f.Dim(), defects: make([]bool, len(g.book.Defects)), sites: make([]bool, len(g.book.Sites))}
	for _, id := range f.Defects {
		d, ok := g.defects[id]
		if !ok {
			return out, notDecoded("factor", f.ID, id)
		}
		out.defects[d] = true
	}
	for i, s := range g.book.Sites {
		out.sites[i] = concerns(f.Sites, s.ID) && concerns(f.Zones, s.Zone)
	}
	for _, id := range f.Add {
		k, ok := places[id]
		if !ok {
			return out, notDecoded("factor", f.ID, id)
		}
		out.add = append(out.add, k)
	}
	return out, nil
}

func (g *Grader) prepareLimit(l *rulebook.Limit, places map[string]int) (limit, error) {
	f, ok := places[l.Factor]
	grade := slices.IndexFunc(g.book.Scale, func(gr rulebook.Grade) bool { return gr.ID == l.Grade })
	if !ok || grade < 0 {
		return limit{}, notDecoded("limit", l.Factor, l.Grade)
	}
	most, err := amount.Parse(l.Most, g.factors[f].dim)
	if err != nil {
		return limit{}, notDecoded("limit", l.Factor, l.Most)
	}
	g.weighed = g.weighed || l.Over != 0 || l.To != 0
	return limit{l, f, grade, most}, nil
}

func notDecoded(what, id, value string) error {
	return engine.New(CodeBook, what+" "+id, strconv.Quote(value)+" does not fit the book", "read the book with rulebook.Decode, which lists every fault")
}

// covers reports whether a finding counts for the factor itself, without what
// it adds.
func (f *factor) covers(it *item) bool {
	return f.defects[it.defect] && (it.site < 0 || f.sites[it.site])
}
