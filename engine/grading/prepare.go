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
	scale   []condition // by grade
	weights []condition // by weight range
	places  []site      // by site
	factors []factor
	limits  []limit
	weighed bool // whether weights matter
}

// condition is a choice -> option condition as numbers.
type condition []struct{ choice, option int }

// holds reports whether the condition is met by the chosen option of each choice.
func (c condition) holds(chosen []int) bool {
	for _, term := range c {
		if chosen[term.choice] != term.option {
			return false
		}
	}
	return true
}

// site is a rulebook.Site: where it lies, and where under some conditions.
type site struct {
	place
	otherwise []struct {
		when condition
		place
	}
}

// place is the part and zone of a site.
type place struct {
	part  string
	fills amount.Share // how much of the part the site makes up
	zone  string
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
	factor        int
	grade         int           // place on the whole scale
	bound         amount.Amount // the most that is allowed, or the least
	least         bool
	when          condition
	inclusiveWhen condition
}

// against is above 0 for an amount that the limit refuses, 0 for one that equals
// it and below 0 for one that it allows.
func (l *limit) against(a amount.Amount) int {
	order, _ := a.Cmp(l.bound) // both are of the factor's dimension
	if l.least {
		return -order
	}
	return order
}

// stricter is below 0 when the limit allows less than another of its factor, or
// asks for more, by their amounts.
func (l *limit) stricter(other *limit) int { return other.against(l.bound) }

// inclusive reports whether the bound itself is allowed.
func (l *limit) inclusive(chosen []int) bool {
	return l.Inclusive || len(l.inclusiveWhen) > 0 && l.inclusiveWhen.holds(chosen)
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
	if err := g.prepareConditions(); err != nil {
		return nil, err
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

// condition looks up the choices and options of a condition, in the book's order.
func (g *Grader) condition(when map[string]string) (condition, error) {
	var c condition
	for i, choice := range g.book.Choices {
		option, ok := when[choice.ID]
		if !ok {
			continue
		}
		j := optionPlace(choice, option)
		if j < 0 {
			return nil, notDecoded("choice", choice.ID, option)
		}
		c = append(c, struct{ choice, option int }{i, j})
	}
	if len(c) != len(when) {
		return nil, engine.New(CodeBook, "", "a condition names a choice that the book does not have", "read the book with rulebook.Decode, which lists every fault")
	}
	return c, nil
}

func optionPlace(c rulebook.Choice, id string) int {
	return slices.IndexFunc(c.Options, func(o rulebook.Option) bool { return o.ID == id })
}

// prepareConditions looks up the conditions of grades, weights and sites.
func (g *Grader) prepareConditions() error {
	for _, grade := range g.book.Scale {
		c, err := g.condition(grade.When)
		if err != nil {
			return err
		}
		g.scale = append(g.scale, c)
	}
	for _, w := range g.book.Weights {
		c, err := g.condition(w.When)
		if err != nil {
			return err
		}
		g.weights = append(g.weights, c)
	}
	for _, s := range g.book.Sites {
		lies, err := g.prepareSite(s)
		if err != nil {
			return err
		}
		g.places = append(g.places, lies)
	}
	return nil
}

func (g *Grader) prepareSite(s rulebook.Site) (site, error) {
	fills, err := readFills(s.ID, s.Fills)
	if err != nil {
		return site{}, err
	}
	out := site{place: place{s.Part, fills, s.Zone}}
	for _, o := range s.Otherwise {
		when, err := g.condition(o.When)
		if err != nil {
			return site{}, err
		}
		fills, err := readFills(s.ID, o.Fills)
		if err != nil {
			return site{}, err
		}
		out.otherwise = append(out.otherwise, struct {
			when condition
			place
		}{when, place{o.Part, fills, s.Zone}})
	}
	return out, nil
}

func readFills(id, text string) (amount.Share, error) {
	if text == "" {
		return amount.Share{Num: 1, Den: 1}, nil
	}
	s, err := amount.ParseShare(text)
	if err != nil {
		return s, notDecoded("site", id, text)
	}
	return s, nil
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
	bound, err := amount.Parse(l.Bound(), g.factors[f].dim)
	if err != nil {
		return limit{}, notDecoded("limit", l.Factor, l.Bound())
	}
	g.weighed = g.weighed || l.Over != 0 || l.To != 0
	when, err := g.condition(l.When)
	if err != nil {
		return limit{}, err
	}
	also, err := g.condition(g.factors[f].When)
	if err != nil {
		return limit{}, err
	}
	when = append(when, also...)
	inclusiveWhen, err := g.condition(l.InclusiveWhen)
	return limit{l, f, grade, bound, l.Least != "", when, inclusiveWhen}, err
}

func notDecoded(what, id, value string) error {
	return engine.New(CodeBook, what+" "+id, strconv.Quote(value)+" does not fit the book", "read the book with rulebook.Decode, which lists every fault")
}

// covers reports whether a finding counts for the factor itself, without what
// it adds.
func (f *factor) covers(it *item) bool {
	return f.defects[it.defect] && (it.site < 0 || f.sites[it.site])
}
