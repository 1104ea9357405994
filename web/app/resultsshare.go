package app

import (
	"encoding/base64"
	"slices"
	"strconv"
	"strings"

	"keelcard/engine/codec"
	"keelcard/engine/contest"
	"keelcard/engine/points"
	"keelcard/engine/sorting"
	"keelcard/web/words"
)

func setListed(s *State, m Msg) []Effect {
	n, err := strconv.Atoi(m.Arg(0))
	if err == nil && n >= 0 && n <= 1000 {
		s.Results.Most = n
	}
	return nil
}

// Message writes the results as text for a message.
func (s *State) Message() (string, error) {
	r, err := s.Open.Scored()
	if err != nil {
		return "", err
	}
	set := s.Open.Contest.Settings
	lines := []string{strings.TrimSpace(set.Name + " " + set.Date)}
	lines = append(lines, Provisional(r)...)
	lines = append(lines, s.messagePart(r, "")...)
	for _, division := range r.ClassDivisions {
		if !s.Results.Whole {
			lines = append(lines, s.messagePart(r, division)...)
		}
	}
	for i, ruled := range s.RulingsMade() {
		if i == 0 {
			lines = append(lines, words.T("share.rulings"))
		}
		lines = append(lines, s.RulingLine(ruled))
	}
	return strings.Join(append(lines, words.T("share.footer")), "\n"), nil
}

// messagePart lists the best contestants and the teams, of the whole contest or
// of a division of its classes.
func (s *State) messagePart(r *Scored, division string) []string {
	part, group := PartOf(r, division), s.Results.Group
	persons := RankPersons(r, part, group)
	head := words.T("share.persons", len(persons), Max(r, division))
	if group != "" {
		head = words.T("share.persons-group", group, len(persons), Max(r, division))
	}
	if division != "" {
		head = words.T("share.division", division, Max(r, division))
	}
	lines := []string{head}
	for i, p := range persons {
		if i >= s.Results.Most && s.Results.Most > 0 && p.Rank > s.Results.Most {
			break
		}
		lines = append(lines, s.messageLine(r, p, division == ""))
	}
	teams := RankTeams(r, part, "")
	if len(teams) == 0 || group != "" {
		return lines
	}
	head = words.T("share.teams")
	if division != "" {
		head = words.T("share.division-teams", division)
	}
	lines = append(lines, head)
	for _, t := range teams {
		lines = append(lines, words.T("share.line", t.Place(), r.Teams[t.Index].Name, t.Total))
	}
	return lines
}

// messageLine is one contestant. What was taken off is told with the total.
func (s *State) messageLine(r *Scored, p Ranked, whole bool) string {
	person := r.Persons[p.Index]
	who := PersonName(person, s.Results.Names)
	if t, ok := s.Open.Contest.Team(person.Team); ok {
		who += ", " + t.Name
	}
	line := words.T("share.line", p.Place(), who, p.Total)
	if whole && person.Penalty > 0 {
		line = words.T("share.line-penalty", line, person.Penalty)
	}
	return line
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
	out := codec.Results{Title: s.Open.Contest.Settings.Name, Date: s.Open.Contest.Settings.Date, Divisions: r.Divisions, TeamBest: s.Open.Contest.Settings.Best()}
	for i, c := range r.Classes {
		out.Classes = append(out.Classes, codec.ClassHead{Name: c.Name, Max: int(r.ClassMax(i))})
	}
	for i, t := range r.Teams {
		out.Teams = append(out.Teams, t.Name)
		out.TeamRanks = append(out.TeamRanks, int(r.Result.Teams[i].Rank))
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

// Signs tells whether this phone signs the results it sends: it does for who
// gave it a name and wants it.
func (s *State) Signs() bool { return s.Phone.Initials != "" && !s.Results.Unsigned }

func (s *State) signature() codec.Signature {
	return codec.Signature{Who: s.Phone.Initials, Phone: s.Phone.ID, Contest: s.Open.Set.Contest, When: s.Now}
}

// LinkSize is how many bytes of results the link carries.
func (s *State) LinkSize() (int, error) {
	data, err := s.Packed()
	if err != nil || !s.Signs() {
		return len(data), err
	}
	return codec.SignedSize(data, s.signature()), nil
}

// ResultsLink is the address of the results, as a page of this app.
func (s *State) ResultsLink() (string, error) {
	data, err := s.Packed()
	if err == nil && s.Signs() {
		data, err = s.signed(data)
	}
	if err != nil {
		return "", err
	}
	return Page{Name: "results-link", Args: []string{base64.RawURLEncoding.EncodeToString(data)}}.Hash(), nil
}

func (s *State) signed(message []byte) ([]byte, error) {
	private, err := signingKey(s.Phone.Seed)
	if err != nil {
		return nil, err
	}
	return codec.SignResults(message, s.signature(), private)
}

// SignedBy says what this phone knows of who signed the results that are opened.
type SignedBy struct {
	codec.Signature
	Here bool   // this phone did
	Who  string // wrote last with that phone in the contest, if that is open here, "role/short name"
}

// SignedBy tells who signed the results that are opened, if anybody did.
func (s *State) SignedBy() (SignedBy, bool) {
	if s.Results.Opened == nil || s.Results.Opened.By == nil {
		return SignedBy{}, false
	}
	by := SignedBy{Signature: *s.Results.Opened.By}
	by.Here = s.mine(by.Phone)
	if s.Open != nil && s.Open.Set.Contest == by.Contest {
		if log := s.Open.Own(by.Phone); log != nil && len(log.Records) > 0 {
			by.Who = log.Records[len(log.Records)-1].Who
		}
	}
	return by, true
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

// sheet is a table for a spreadsheet while it is written.
type sheet struct{ strings.Builder }

func (b *sheet) line(cells ...string) {
	for i, c := range cells {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(csvCell(c))
	}
	b.WriteString("\r\n")
}

// CSV writes the results as a table for a spreadsheet, one contestant a line.
// With mark it begins with the byte order mark that some spreadsheets need to
// read names right. Without names it holds no reasons either: they are about
// single contestants.
func (s *State) CSV(mark bool) ([]byte, error) {
	r, err := s.Open.Scored()
	if err != nil {
		return nil, err
	}
	var b sheet
	if mark {
		b.WriteString("\ufeff")
	}
	c := columns{names: s.Results.Names, groups: len(r.Divisions) > 0, rulings: len(s.RulingsMade()) > 0}
	for i, p := range r.Persons {
		c.penalty = c.penalty || p.Penalty > 0
		c.remarks = c.remarks || len(Remarks(r, i, false)) > 0
	}
	b.line(c.head(r)...)
	for _, p := range RankPersons(r, nil, "") {
		b.line(s.csvRow(r, c, strconv.Itoa(p.Rank), p.Index)...)
	}
	for i, p := range r.Persons {
		if r.Result.Rank[i] == 0 {
			place := words.T("csv.unranked")
			if c.names {
				place = p.Out
			}
			b.line(s.csvRow(r, c, place, i)...)
		}
	}
	return []byte(b.String()), nil
}

// columns is which columns the table has beside those it always has.
type columns struct{ names, groups, penalty, remarks, rulings bool }

func (c columns) head(r *Scored) []string {
	out := []string{words.T("csv.rank"), words.T("csv.number")}
	add := func(there bool, text string) {
		if there {
			out = append(out, text)
		}
	}
	add(c.names, words.T("csv.name"))
	add(true, words.T("csv.team"))
	add(true, words.T("csv.division"))
	add(c.groups, words.T("csv.group-rank"))
	for _, class := range r.Classes {
		add(true, class.Name)
	}
	for _, d := range r.ClassDivisions {
		add(true, words.T("csv.of-division", d))
		add(true, words.T("csv.rank-division", d))
	}
	add(c.penalty, words.T("csv.penalty"))
	add(true, words.T("csv.total"))
	add(c.remarks, words.T("csv.remarks"))
	add(c.rulings, words.T("csv.rulings"))
	return out
}

func (s *State) csvRow(r *Scored, c columns, place string, i int) []string {
	p := r.Persons[i]
	team, _ := s.Open.Contest.Team(p.Team)
	out := []string{place, strconv.Itoa(int(p.Number))}
	add := func(there bool, text string) {
		if there {
			out = append(out, text)
		}
	}
	rank := func(n int32) string {
		if n == 0 {
			return ""
		}
		return itoa(int(n))
	}
	add(c.names, p.Name)
	add(true, team.Name)
	add(true, p.Division)
	add(c.groups, rank(r.Result.DivisionRank[i]))
	for class := range r.Classes {
		pts := ""
		if r.HasCard(class, i) {
			pts = r.Result.ClassPoints(class, i).String()
		}
		add(true, pts)
	}
	for _, part := range r.Parts {
		add(true, part.Points(i).String())
		add(true, rank(part.Rank[i]))
	}
	add(c.penalty, p.Penalty.String())
	add(true, r.Result.Total(i).String())
	add(c.remarks, strings.Join(Remarks(r, i, c.names), "; "))
	add(c.rulings, s.ruledFor(r, i))
	return out
}

// ruledFor lists the rulings on the classes in which a contestant has a card.
func (s *State) ruledFor(r *Scored, i int) string {
	var out []string
	for _, ruled := range s.RulingsMade() {
		class := slices.IndexFunc(r.Classes, func(c contest.Class) bool { return c.No == ruled.Class })
		if class < 0 || r.HasCard(class, i) {
			out = append(out, s.RulingLine(ruled))
		}
	}
	return strings.Join(out, "; ")
}

// formulaStarts are the characters with which a spreadsheet takes a cell for a
// formula, their wide forms and what is skipped before them included.
const formulaStarts = "=+-@\t\r\n＝＋－＠"

// csvCell quotes a cell where it must be, and keeps a spreadsheet from taking
// a text for a formula.
func csvCell(c string) string {
	if rest := strings.TrimLeft(c, " \u00a0"); rest != "" && strings.ContainsRune(formulaStarts, []rune(rest)[0]) {
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
