package app

import (
	"encoding/base64"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"keelcard/engine"
	"keelcard/engine/codec"
	"keelcard/engine/contest"
	"keelcard/engine/points"
	"keelcard/engine/score"
	"keelcard/engine/sorting"
	"keelcard/web/words"
)

// Results is how the results are shown and shared.
type Results struct {
	Group    string // only this age group, "" for all
	Division string // the points of this division of classes, "" for all classes
	Called   int    // how many places of each ranking are called out, 0 for usualCalled
	Together bool   // age groups are called out together
	Names    bool   // with names in what is shared; asked for each time
	Most     int    // how many contestants a message lists
	Whole    bool   // a message leaves the divisions of classes out
	Unsigned bool   // a link is sent without a signature

	Opened *OpenedResults // from a link
	Fault  Notice         // why a link cannot be opened
}

// OpenedResults is a results message as it was opened, ranked anew from its
// points.
type OpenedResults struct {
	codec.Results
	Totals []points.Points  // beside Rows
	By     *codec.Signature // who signed it, nil for nobody
}

// Scored is the results of the open contest.
type Scored = contest.Scored

func resultHandlers() handlers {
	return handlers{
		"results.group":      func(s *State, m Msg) []Effect { s.Results.Group = m.Text; return nil },
		"results.division":   func(s *State, m Msg) []Effect { s.Results.Division = m.Text; return nil },
		"results.called":     setCalled,
		"results.together":   func(s *State, m Msg) []Effect { s.Results.Together = m.Arg(0) == "on"; return nil },
		"enter.share":        func(s *State, m Msg) []Effect { s.Results.Names, s.Results.Most = false, 10; return nil },
		"share.names":        func(s *State, m Msg) []Effect { s.Results.Names = m.Arg(0) == "on"; return nil },
		"share.divisions":    func(s *State, m Msg) []Effect { s.Results.Whole = m.Arg(0) == "off"; return nil },
		"share.sign":         func(s *State, m Msg) []Effect { s.Results.Unsigned = m.Arg(0) == "off"; return nil },
		"share.most":         setListed,
		"share.text":         func(s *State, m Msg) []Effect { return shareText(s, false) },
		"share.copy":         func(s *State, m Msg) []Effect { return shareText(s, true) },
		"share.link":         shareLink,
		"share.csv":          shareCSV,
		"enter.results-link": openLink,
	}
}

// Scored computes the results of the open contest, once for the records as
// they stand.
func (o *Open) Scored() (*Scored, error) {
	if o.scored == nil {
		scored, err := o.Contest.Score()
		if err != nil {
			return nil, err
		}
		o.scored = scored
	}
	return o.scored, nil
}

// Provisional says what is still open in the results: nothing when they are final.
func Provisional(r *Scored) []string {
	var out []string
	for _, w := range r.Waiting {
		text := words.T("results.waiting", w.Class.Name)
		switch engine.CodeOf(w.Err) {
		case "contest.key-missing":
		case "contest.sealed":
			text = words.T("results.waiting-sealed", w.Class.Name)
		default:
			text = noticeOf(w.Err).Text
		}
		out = append(out, text)
	}
	if len(r.Unsure) > 0 {
		out = append(out, words.N("results.unsure", len(r.Unsure)))
	}
	if r.Untaken > 0 {
		out = append(out, words.N("results.untaken", r.Untaken))
	}
	if r.Once > 0 {
		out = append(out, words.T("results.once", r.Once, r.Asked))
	}
	return out
}

// Ranked is one line of a ranking.
type Ranked struct {
	Index  int // of the person or team in the results
	Rank   int
	Shared bool
	Total  points.Points
}

// Place writes a rank, with a sign when it is shared.
func (r Ranked) Place() string {
	if r.Shared {
		return words.T("results.shared", r.Rank)
	}
	return strconv.Itoa(r.Rank)
}

// PartOf gives the points and places in a division of classes, nil for the
// whole contest or when there is no such division.
func PartOf(r *Scored, division string) *score.Part {
	if i := slices.Index(r.ClassDivisions, division); i >= 0 && division != "" {
		return r.Parts[i]
	}
	return nil
}

// RankPersons lists the ranked contestants, best first: by all classes, or by
// those of a part; of one age group when group is not "".
func RankPersons(r *Scored, part *score.Part, group string) []Ranked {
	order, rank, within, total := r.Result.Order, r.Result.Rank, r.Result.DivisionRank, r.Result.Total
	if part != nil {
		order, rank, within, total = part.Order, part.Rank, part.DivisionRank, part.Points
	}
	if group != "" {
		rank = within
	}
	var out []Ranked
	for _, p := range order {
		i := int(p)
		if group == "" || r.Persons[i].Division == group {
			out = append(out, Ranked{Index: i, Rank: int(rank[i]), Total: total(i)})
		}
	}
	return markShared(out)
}

// RankClass lists those with a card in a class, as the results number it, best
// first. Equal points share a place: tie-breaks part totals, not classes.
func RankClass(r *Scored, class int) []Ranked {
	all := RankPersons(r, r.Result.Part(class), "")
	return markShared(slices.DeleteFunc(all, func(p Ranked) bool { return !r.HasCard(class, p.Index) }))
}

// RankTeams lists the ranked teams, best first: by all classes, or by those of a
// part; of one age group, in which all of their members are, when group is not "".
func RankTeams(r *Scored, part *score.Part, group string) []Ranked {
	order := r.Result.TeamOrder
	if part != nil {
		order = part.TeamOrder
	}
	var out []Ranked
	for _, t := range order {
		team := &r.Result.Teams[t]
		if group != "" && int(team.Division) != slices.Index(r.Divisions, group) {
			continue
		}
		line := Ranked{Index: int(t), Rank: int(team.Rank), Total: team.Total}
		within := team.DivisionRank
		if part != nil {
			line.Rank, line.Total, within = int(part.TeamRank[t]), part.TeamPoints(int(t)), part.TeamDivisionRank[t]
		}
		if group != "" {
			line.Rank = int(within)
		}
		out = append(out, line)
	}
	return markShared(out)
}

func markShared(list []Ranked) []Ranked {
	for i := range list {
		list[i].Shared = i > 0 && list[i-1].Rank == list[i].Rank || i+1 < len(list) && list[i+1].Rank == list[i].Rank
	}
	return list
}

// TieName says what a tie-break of the results compares; by counts from 1.
func TieName(r *Scored, by int) string {
	if by < 1 || by > len(r.Ties) {
		return ""
	}
	t := r.Ties[by-1]
	if t.Alternate {
		return words.T("results.tie-alternate")
	}
	var names []string
	for _, no := range t.Classes {
		for _, c := range r.Classes {
			if c.No == no {
				names = append(names, c.Name)
			}
		}
	}
	return words.T("results.tie-classes", strings.Join(names, " + "))
}

// Parted says in words what parts a person or team from a neighbour.
func Parted(r *Scored, p *score.Parting, other string) string {
	switch {
	case p == nil:
		return ""
	case p.By == score.Shared:
		return words.T("results.parted-shared", other, p.Mine)
	case p.By == score.ByTotal:
		return words.T("results.parted-total", other, p.Mine, p.Theirs)
	}
	return words.T("results.parted-tie", other, TieName(r, p.By), p.Mine, p.Theirs)
}

// TieBroken says which tie-break put a line of a ranking by all classes behind
// the line before it; "" where their totals differ, or they share the place.
func TieBroken(r *Scored, list []Ranked, i int) string {
	if i == 0 || list[i-1].Total != list[i].Total || list[i-1].Rank == list[i].Rank {
		return ""
	}
	p := r.Result.Compare(list[i].Index, list[i-1].Index)
	return Parted(r, &p, PersonName(r.Persons[p.Other], true))
}

// Max is the full points of the scored classes together, or of those of a
// division.
func Max(r *Scored, division string) points.Points {
	var all []points.Points
	for i, c := range r.Classes {
		if division == "" || c.Division == division {
			all = append(all, r.ClassMax(i))
		}
	}
	sum, err := points.Sum(all...)
	if err != nil {
		return 0
	}
	return sum
}

// Unequal lists what each class is worth, where they are not worth the same.
func Unequal(r *Scored, division string) string {
	var texts []string
	first, differ := points.Points(-1), false
	for i, c := range r.Classes {
		if division != "" && c.Division != division {
			continue
		}
		most := r.ClassMax(i)
		if first < 0 {
			first = most
		}
		differ = differ || most != first
		texts = append(texts, words.T("results.worth", c.Name, most))
	}
	if !differ {
		return ""
	}
	return words.T("results.worths", strings.Join(texts, ", "))
}

// Remarks says what is out of the ordinary about a contestant of the results:
// points taken off, a class they are disqualified from, being an alternate, a
// card that is not there. With why the reasons are told, too.
func Remarks(r *Scored, i int, why bool) []string {
	p := r.Persons[i]
	var out []string
	add := func(text, reason string) {
		if why && reason != "" {
			text = words.T("results.because", text, reason)
		}
		out = append(out, text)
	}
	if p.Alternate {
		add(words.T("results.alternate"), "")
	}
	if p.Penalty > 0 {
		add(words.T("results.penalty", p.Penalty), p.PenaltyWhy)
	}
	var names []string
	for _, c := range r.Classes {
		if slices.Contains(p.OutOf, c.No) {
			names = append(names, c.Name)
		}
	}
	if len(names) > 0 {
		add(words.T("results.out-of", strings.Join(names, ", ")), p.OutOfWhy)
	}
	if n := int(r.Result.Missing[i]); n > 0 {
		add(words.N("results.no-cards", n), "")
	}
	return out
}

// PersonName writes a contestant: the number, and the name where names are
// wanted and known.
func PersonName(p contest.Person, names bool) string {
	if names && p.Name != "" {
		return fmt.Sprintf("%d %s", p.Number, p.Name)
	}
	return strconv.Itoa(int(p.Number))
}

// openLink shows the results that a link carries.
func openLink(s *State, m Msg) []Effect {
	s.Results.Opened, s.Results.Fault = nil, Notice{}
	data, err := base64.RawURLEncoding.DecodeString(strings.TrimSpace(s.Page.Arg(0)))
	var r codec.Results
	var by *codec.Signature
	if err == nil {
		r, by, err = codec.ReadResults(data)
	}
	switch engine.CodeOf(err) {
	case codec.CodeNewer:
	case codec.CodeAltered:
		err = &engine.Error{Code: "results.altered", What: words.T("results-link.altered"), Fix: words.T("results-link.altered-fix"), Cause: err}
	default: // what is wrong with a file says nothing to who opened a link
		if err != nil {
			err = &engine.Error{Code: "results.link", What: words.T("results-link.damaged"), Fix: words.T("results-link.damaged-fix"), Cause: err}
		}
	}
	if err != nil {
		s.Results.Fault = noticeOf(err)
		return nil
	}
	s.Results.Opened = totals(r)
	s.Results.Opened.By = by
	return nil
}

func totals(r codec.Results) *OpenedResults {
	out := &OpenedResults{Results: r, Totals: make([]points.Points, len(r.Rows))}
	for i, row := range r.Rows {
		out.Totals[i] = points.Points(row.Total())
	}
	return out
}

// ByRank lists the rows of an opened message by rank; rows without one come last.
func (o *OpenedResults) ByRank() []int {
	return byRank(len(o.Rows), func(i int) int { return o.Rows[i].Rank })
}

// TeamsByRank lists the teams of an opened message that have a rank, best first.
func (o *OpenedResults) TeamsByRank() []int {
	all := byRank(len(o.TeamRanks), func(i int) int { return o.TeamRanks[i] })
	return slices.DeleteFunc(all, func(i int) bool { return o.TeamRanks[i] == 0 })
}

func byRank(n int, rank func(int) int) []int {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	key := func(i int) int {
		if rank(i) == 0 {
			return n + 1
		}
		return rank(i)
	}
	sorting.Stable(order, func(a, b int) int { return key(a) - key(b) })
	return order
}

// Text writes points of an opened message.
func (o *OpenedResults) Text(hundredths int32) string { return points.Points(hundredths).String() }
