package app

import (
	"cmp"
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
	Division string // only this division, "" for all
	Names    bool   // with names in what is shared; asked for each time
	Most     int    // how many contestants a message lists

	Opened *OpenedResults // from a link
	Fault  Notice         // why a link cannot be opened
}

// OpenedResults is a results message as it was opened, ranked anew from its
// points.
type OpenedResults struct {
	codec.Results
	Totals []points.Points // beside Rows
}

// Scored is the results of the open contest.
type Scored = contest.Scored

func resultHandlers() handlers {
	return handlers{
		"results.division":   func(s *State, m Msg) []Effect { s.Results.Division = m.Arg(0); return nil },
		"enter.share":        func(s *State, m Msg) []Effect { s.Results.Names, s.Results.Most = false, 10; return nil },
		"share.names":        func(s *State, m Msg) []Effect { s.Results.Names = m.Arg(0) == "on"; return nil },
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

func setListed(s *State, m Msg) []Effect {
	n, err := strconv.Atoi(m.Arg(0))
	if err == nil && n >= 0 && n <= 1000 {
		s.Results.Most = n
	}
	return nil
}

// Provisional says what is still open in the results: nothing when they are final.
func Provisional(r *Scored) []string {
	var out []string
	for _, w := range r.Waiting {
		out = append(out, words.T("results.waiting", w.Class.Name))
	}
	if len(r.Unsure) > 0 {
		out = append(out, words.N("results.unsure", len(r.Unsure)))
	}
	if r.Untaken > 0 {
		out = append(out, words.N("results.untaken", r.Untaken))
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

// RankPersons lists the ranked contestants, best first: of one division when
// division is not "".
func RankPersons(r *Scored, division string) []Ranked {
	var out []Ranked
	for _, p := range r.Result.Order {
		i := int(p)
		rank := int(r.Result.Rank[i])
		if division != "" {
			if r.Persons[i].Division != division {
				continue
			}
			rank = int(r.Result.DivisionRank[i])
		}
		out = append(out, Ranked{Index: i, Rank: rank, Total: r.Result.Total(i)})
	}
	return markShared(out)
}

// RankClass lists those with a card in a class, as the results number it, best
// first. Equal points share a place: tie-breaks part totals, not classes.
func RankClass(r *Scored, class int) []Ranked {
	var out []Ranked
	for i := range r.Persons {
		if r.Result.Rank[i] > 0 && r.HasCard(class, i) {
			out = append(out, Ranked{Index: i, Total: r.Result.ClassPoints(class, i)})
		}
	}
	sorting.Stable(out, func(a, b Ranked) int { return cmp.Compare(b.Total, a.Total) })
	for i := range out {
		out[i].Rank = i + 1
		if i > 0 && out[i].Total == out[i-1].Total {
			out[i].Rank = out[i-1].Rank
		}
	}
	return markShared(out)
}

// RankTeams lists the ranked teams, best first.
func RankTeams(r *Scored) []Ranked {
	var out []Ranked
	for _, t := range r.Result.TeamOrder {
		team := r.Result.Teams[t]
		out = append(out, Ranked{Index: int(t), Rank: int(team.Rank), Total: team.Total})
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

// Max is the full points of all scored classes together.
func Max(r *Scored) points.Points {
	var all []points.Points
	for i := range r.Classes {
		all = append(all, r.ClassMax(i))
	}
	sum, err := points.Sum(all...)
	if err != nil {
		return 0
	}
	return sum
}

// PersonName writes a contestant: the number, and the name where names are
// wanted and known.
func PersonName(p contest.Person, names bool) string {
	if names && p.Name != "" {
		return fmt.Sprintf("%d %s", p.Number, p.Name)
	}
	return strconv.Itoa(int(p.Number))
}

// Message writes the results as text for a message.
func (s *State) Message() (string, error) {
	r, err := s.Open.Scored()
	if err != nil {
		return "", err
	}
	var b strings.Builder
	set := s.Open.Contest.Settings
	fmt.Fprintln(&b, strings.TrimSpace(set.Name+" "+set.Date))
	for _, p := range Provisional(r) {
		fmt.Fprintln(&b, p)
	}
	persons := RankPersons(r, s.Results.Division)
	fmt.Fprintln(&b, words.T("share.persons", len(persons), Max(r)))
	for i, p := range persons {
		if i >= s.Results.Most && s.Results.Most > 0 && p.Rank > s.Results.Most {
			break
		}
		person := r.Persons[p.Index]
		team := ""
		if t, ok := s.Open.Contest.Team(person.Team); ok {
			team = ", " + t.Name
		}
		fmt.Fprintf(&b, "%s. %s%s: %s\n", p.Place(), PersonName(person, s.Results.Names), team, p.Total)
	}
	if teams := RankTeams(r); len(teams) > 0 && s.Results.Division == "" {
		fmt.Fprintln(&b, words.T("share.teams"))
		for _, t := range teams {
			fmt.Fprintf(&b, "%s. %s: %s\n", t.Place(), r.Teams[t.Index].Name, t.Total)
		}
	}
	b.WriteString(words.T("share.footer"))
	return b.String(), nil
}

func shareText(s *State, onlyCopy bool) []Effect {
	if s.Open == nil {
		return nil
	}
	text, err := s.Message()
	if err != nil {
		return s.refuse(err)
	}
	return []Effect{ShareText{Tag: "results", Title: s.Open.Head.Name, Text: text, Copy: onlyCopy}}
}

// Packed writes the results as the compact message that a link carries:
// numbers and team names, no names of contestants.
func (s *State) Packed() ([]byte, error) {
	r, err := s.Open.Scored()
	if err != nil {
		return nil, err
	}
	out := codec.Results{Title: s.Open.Contest.Settings.Name, Date: s.Open.Contest.Settings.Date, Divisions: r.Divisions}
	for i, c := range r.Classes {
		out.Classes = append(out.Classes, codec.ClassHead{Name: c.Name, Max: int(r.ClassMax(i))})
	}
	for _, t := range r.Teams {
		out.Teams = append(out.Teams, t.Name)
	}
	for _, t := range r.Ties {
		for _, no := range t.Classes {
			i := slices.IndexFunc(r.Classes, func(c contest.Class) bool { return c.No == no })
			if i >= 0 && !slices.Contains(out.TieOrder, i) {
				out.TieOrder = append(out.TieOrder, i)
			}
		}
	}
	for _, p := range r.Result.Order {
		i := int(p)
		person := r.Persons[i]
		row := codec.Row{Number: int(person.Number), Rank: int(r.Result.Rank[i]), Penalty: int(person.Penalty)}
		row.Team = 1 + slices.IndexFunc(r.Teams, func(t contest.Team) bool { return t.No == person.Team })
		row.Division = 1 + slices.Index(r.Divisions, person.Division)
		for c := range r.Classes {
			pts := int32(r.Result.ClassPoints(c, i))
			if !r.HasCard(c, i) {
				pts = -1
			}
			row.Points = append(row.Points, pts)
		}
		out.Rows = append(out.Rows, row)
	}
	sorting.Stable(out.Rows, func(a, b codec.Row) int { return a.Number - b.Number })
	return codec.EncodeResults(out)
}

// ResultsLink is the address of the results, as a page of this app.
func (s *State) ResultsLink() (string, error) {
	data, err := s.Packed()
	if err != nil {
		return "", err
	}
	return Page{Name: "results-link", Args: []string{base64.RawURLEncoding.EncodeToString(data)}}.Hash(), nil
}

func shareLink(s *State, m Msg) []Effect {
	if s.Open == nil {
		return nil
	}
	hash, err := s.ResultsLink()
	if err != nil {
		return s.refuse(err)
	}
	return []Effect{ShareText{Tag: "results", Title: s.Open.Head.Name, Text: words.T("share.link-text", s.Open.Head.Name), Hash: hash, Copy: m.Arg(0) == "copy"}}
}

// openLink shows the results that a link carries.
func openLink(s *State, m Msg) []Effect {
	s.Results.Opened, s.Results.Fault = nil, Notice{}
	data, err := base64.RawURLEncoding.DecodeString(strings.TrimSpace(s.Page.Arg(0)))
	var r codec.Results
	if err == nil {
		r, err = codec.DecodeResults(data)
	}
	if err == nil {
		s.Results.Opened = totals(r)
	}
	if err != nil && engine.CodeOf(err) != codec.CodeNewer {
		// What is wrong with a file says nothing to who opened a link.
		err = &engine.Error{Code: "results.link", What: words.T("results-link.damaged"), Fix: words.T("results-link.damaged-fix"), Cause: err}
	}
	if err != nil {
		s.Results.Fault = noticeOf(err)
	}
	return nil
}

func totals(r codec.Results) *OpenedResults {
	out := &OpenedResults{Results: r, Totals: make([]points.Points, len(r.Rows))}
	for i, row := range r.Rows {
		out.Totals[i] = points.Points(row.Total())
	}
	return out
}

// CSV writes the results as a table for a spreadsheet, one contestant a line.
// With mark it begins with the byte order mark that some spreadsheets need to
// read names right.
func (s *State) CSV(mark bool) ([]byte, error) {
	r, err := s.Open.Scored()
	if err != nil {
		return nil, err
	}
	var b strings.Builder
	if mark {
		b.WriteString("\ufeff")
	}
	line := func(cells ...string) {
		for i, c := range cells {
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteString(csvCell(c))
		}
		b.WriteString("\r\n")
	}
	head := []string{words.T("csv.rank"), words.T("csv.number")}
	if s.Results.Names {
		head = append(head, words.T("csv.name"))
	}
	head = append(head, words.T("csv.team"), words.T("csv.division"))
	for _, c := range r.Classes {
		head = append(head, c.Name)
	}
	line(append(head, words.T("csv.total"))...)
	row := func(place string, i int) {
		p := r.Persons[i]
		team, _ := s.Open.Contest.Team(p.Team)
		cells := []string{place, strconv.Itoa(int(p.Number))}
		if s.Results.Names {
			cells = append(cells, p.Name)
		}
		cells = append(cells, team.Name, p.Division)
		for c := range r.Classes {
			pts := ""
			if r.HasCard(c, i) {
				pts = r.Result.ClassPoints(c, i).String()
			}
			cells = append(cells, pts)
		}
		line(append(cells, r.Result.Total(i).String())...)
	}
	for _, p := range RankPersons(r, "") {
		row(strconv.Itoa(p.Rank), p.Index)
	}
	for i, p := range r.Persons {
		if r.Result.Rank[i] == 0 {
			row(p.Out, i)
		}
	}
	return []byte(b.String()), nil
}

// csvCell quotes a cell where it must be, and keeps a spreadsheet from taking
// a text for a formula.
func csvCell(c string) string {
	if c != "" && strings.ContainsRune("=+-@\t\r", rune(c[0])) {
		if _, err := points.Parse(c); err != nil {
			c = "'" + c
		}
	}
	if strings.ContainsAny(c, ",\"\r\n") {
		return `"` + strings.ReplaceAll(c, `"`, `""`) + `"`
	}
	return c
}

func shareCSV(s *State, m Msg) []Effect {
	if s.Open == nil {
		return nil
	}
	data, err := s.CSV(m.Arg(0) == "mark")
	if err != nil {
		return s.refuse(err)
	}
	return []Effect{Offer{Tag: "results", Name: fileName(s.Open.Head.Name, words.T("csv.file")) + ".csv", Type: "text/csv", Bytes: data}}
}

// ByRank lists the rows of an opened message by rank; rows without one come last.
func (o *OpenedResults) ByRank() []int {
	order := make([]int, len(o.Rows))
	for i := range order {
		order[i] = i
	}
	key := func(i int) int {
		if o.Rows[i].Rank == 0 {
			return len(o.Rows) + 1
		}
		return o.Rows[i].Rank
	}
	sorting.Stable(order, func(a, b int) int { return key(a) - key(b) })
	return order
}

// Text writes points of an opened message.
func (o *OpenedResults) Text(hundredths int32) string { return points.Points(hundredths).String() }
