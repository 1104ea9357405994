package app

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/points"
	"keelcard/engine/record"
	"keelcard/engine/sorting"
	"keelcard/web/words"
)

// People is the list of contestants: what is looked for, who is being added,
// and what was pasted and not taken yet.
type People struct {
	Contest string // the contest all this belongs to
	Find    string // shows only numbers, names and teams that hold it
	Only    string // shows only some: an Only word, or OnlyAge and an age group
	New     NewPerson
	Paste   Paste
	Piece   *Piece // the last thing written as one piece, which one tap takes back

	NewTeam  bool // the contestant of the page goes to a team that is still to be named
	OutOther bool // the contestant of the page is out for a reason that is still to be typed
	Remove   bool // one tap towards taking the contestant out
}

// NewPerson is the form that adds a contestant, as it was typed so far.
type NewPerson struct {
	Number, Name, Team, NewTeam, Division string
	Fault                                 *engine.Error // why it cannot be added
}

// Paste is a list that was pasted or read from a file. Nothing of it is written
// until the person says so.
type Paste struct {
	Text  string
	File  string // name of the file it came from
	Leave bool   // contestants that are here already stay as they are
	Seen  *Preview
	Fault *engine.Error // why the text as a whole cannot be used
}

// What a line of a paste would do.
const (
	PasteNew     = "new"
	PasteChanged = "changed"
	PasteSame    = "same"
	PasteBad     = "bad"
)

// Preview is what a paste would do.
type Preview struct {
	Rows      []PreviewRow
	Header    bool           // the first line names the columns
	Count     map[string]int // rows by what they do
	Teams     []contest.Team // that would be made
	Divisions []string       // that would be made
}

// PreviewRow is one line of a paste.
type PreviewRow struct {
	contest.PastedRow
	Does   string
	Before contest.Person // who has the number now, for a line that changes them
	After  contest.Person
}

// Piece is several records written in one tap, to be taken back in one tap.
type Piece struct {
	Text string // what they were: "60 contestants"
	back []restore
}

// restore is one record of a piece and what stood before it.
type restore struct {
	subject       record.Subject
	wrote, before string
}

func peopleHandlers() handlers {
	return handlers{
		"enter.people": peopleEnter,
		"enter.person": peopleEnter,

		"people.find":       func(s *State, m Msg) []Effect { s.People.Find = m.Text; return nil },
		"people.only":       func(s *State, m Msg) []Effect { s.People.Only = m.Text; return nil },
		"people.add":        peopleAdd,
		"people.paste":      pasteText,
		"people.file":       pasteFile,
		"people.leave":      pasteLeave,
		"people.take":       pasteTake,
		"people.paste-drop": func(s *State, m Msg) []Effect { s.People.Paste = Paste{}; return nil },
		"people.take-back":  pieceTakeBack,

		"people.team-add":    teamAdd,
		"people.team-name":   teamName,
		"people.team-join":   teamJoin,
		"people.team-leave":  teamLeave,
		"people.team-remove": teamRemove,

		"person.name":        person(func(s *State, p *contest.Person, m Msg) { p.Name = tidy(m.Text) }),
		"person.division":    person(func(s *State, p *contest.Person, m Msg) { p.Division = m.Text }),
		"person.team":        personTeam,
		"person.team-new":    personNewTeam,
		"person.out":         personOut,
		"person.out-why":     person(func(s *State, p *contest.Person, m Msg) { p.Out = tidy(m.Text) }),
		"person.alternate":   person(func(s *State, p *contest.Person, m Msg) { p.Alternate = m.Text == "on" }),
		"person.penalty":     personPenalty,
		"person.penalty-why": person(func(s *State, p *contest.Person, m Msg) { p.PenaltyWhy = tidy(m.Text) }),
		"person.out-of":      person(personOutOf),
		"person.out-of-why":  person(func(s *State, p *contest.Person, m Msg) { p.OutOfWhy = tidy(m.Text) }),
		"person.remove":      func(s *State, m Msg) []Effect { s.People.Remove = true; return nil },
		"person.keep":        func(s *State, m Msg) []Effect { s.People.Remove = false; return nil },
		"person.remove-sure": personRemove,
	}
}

// peopleEnter readies the pages about contestants. What was pasted and not
// taken stays while the same contest is open.
func peopleEnter(s *State, m Msg) []Effect {
	if s.People.Contest != s.Page.Contest {
		s.People = People{Contest: s.Page.Contest}
	}
	s.People.NewTeam, s.People.OutOther, s.People.Remove = false, false, false
	s.People.New.Fault = nil
	return nil
}

func personSubject(number uint32) record.Subject {
	return record.Subject{Kind: record.KindPerson, A: number}
}

func teamSubject(no uint32) record.Subject {
	return record.Subject{Kind: record.KindTeam, A: no}
}

// writePiece writes entries in one save and remembers what stood before them.
func (s *State) writePiece(m Msg, text string, entries []written) []Effect {
	piece := &Piece{Text: text}
	for _, e := range entries {
		before := ""
		if cur := s.Open.Contest.State().Current(e.Subject); cur.Status != merge.Absent {
			before = cur.Values[0]
		}
		if before != e.Value {
			piece.back = append(piece.back, restore{e.Subject, e.Value, before})
		}
	}
	s.Notice = Notice{}
	effects := s.write(m, "owner", entries...)
	if len(effects) > 0 {
		s.People.Contest, s.People.Piece = s.Open.Head.ID, piece
	}
	return effects
}

// pieceTakeBack puts back what stood before the last piece, except where
// somebody has written since.
func pieceTakeBack(s *State, m Msg) []Effect {
	piece := s.People.Piece
	if s.Open == nil || piece == nil || s.People.Contest != s.Open.Head.ID {
		return nil
	}
	c := s.Open.Contest
	var back []restore
	goes := map[record.Subject]bool{}
	for _, r := range piece.back {
		cur := c.State().Current(r.subject)
		if cur.Status != merge.Absent && cur.Status != merge.InQuestion && cur.Values[0] == r.wrote {
			back = append(back, r)
			goes[r.subject] = true
		}
	}
	kept := map[uint32]bool{} // teams of the contestants who stay as they are
	for _, p := range c.Persons {
		if !goes[personSubject(p.Number)] {
			kept[p.Team] = true
		}
	}
	var entries []written
	for _, r := range back {
		if r.subject.Kind != record.KindTeam || r.before != "" || !kept[r.subject.A] {
			entries = append(entries, written{Subject: r.subject, Value: r.before})
		}
	}
	effects := s.write(m, "owner", entries...)
	if len(effects) > 0 {
		s.People.Piece = nil
		s.Notice = Notice{Tone: "info", Text: words.T("core.undone", piece.Text)}
	}
	return effects
}

// NextNumber is the contestant number to offer: one above the highest.
func (s *State) NextNumber() uint32 {
	persons := s.Open.Contest.Persons
	if len(persons) == 0 {
		return 1
	}
	if last := persons[len(persons)-1].Number; last < contest.MaxNumber {
		return last + 1
	}
	no := uint32(1)
	for _, p := range persons {
		if p.Number == no {
			no++
		}
	}
	return no
}

// Who of the list is shown.
const (
	OnlyTeamless  = "teamless"  // in no team
	OnlyAlternate = "alternate" // named as alternates
	OnlyConduct   = "conduct"   // not ranked, out of a class, or with points taken off
	OnlyAge       = "age:"      // before an age group, "" for none
)

// PeopleFound lists the contestants whose number begins with what is looked
// for, or whose name, team or age group holds it, as far as they are among those
// who are shown; all when nothing is looked for.
func (s *State) PeopleFound() []contest.Person {
	c := s.Open.Contest
	find := strings.ToLower(tidy(s.People.Find))
	if find == "" && s.People.Only == "" {
		return c.Persons
	}
	teams := map[uint32]string{}
	for _, t := range c.Teams {
		teams[t.No] = t.Name
	}
	var out []contest.Person
	for _, p := range c.Persons {
		text := strings.ToLower(p.Name + "\n" + teams[p.Team] + "\n" + p.Division)
		if (strings.HasPrefix(itoa(p.Number), find) || strings.Contains(text, find)) && shown(s.People.Only, p) {
			out = append(out, p)
		}
	}
	return out
}

// shown tells whether a contestant is among those who are shown.
func shown(only string, p contest.Person) bool {
	if age, ok := strings.CutPrefix(only, OnlyAge); ok {
		return p.Division == age
	}
	switch only {
	case OnlyTeamless:
		return p.Team == 0
	case OnlyAlternate:
		return p.Alternate
	case OnlyConduct:
		return p.Out != "" || p.Penalty > 0 || len(p.OutOf) > 0
	}
	return true
}

// Overfull gives how many more members a team has than it may have: named
// alternates, and who is not ranked, are not counted.
func (s *State) Overfull(team uint32) int {
	n := 0
	for _, p := range s.Members(team) {
		if p.Out == "" && !p.Alternate {
			n++
		}
	}
	return max(0, n-s.Open.Contest.Settings.Most())
}

// Members lists the contestants of a team, by number.
func (s *State) Members(team uint32) []contest.Person {
	var out []contest.Person
	for _, p := range s.Open.Contest.Persons {
		if p.Team == team {
			out = append(out, p)
		}
	}
	return out
}

// CardsOf counts the classes in which a contestant has a card.
func (s *State) CardsOf(number uint32) int {
	n := 0
	for _, c := range s.Open.Contest.Classes {
		if s.Open.Contest.CardStatus(c, number) != merge.Absent {
			n++
		}
	}
	return n
}

// teamNumbers finds teams by name, whatever the case of its letters, and gives
// new ones the lowest free numbers.
type teamNumbers struct {
	byName map[string]uint32
	taken  map[uint32]bool
	made   []contest.Team
	next   uint32
}

func newTeamNumbers(c *contest.Contest) *teamNumbers {
	t := &teamNumbers{byName: map[string]uint32{}, taken: map[uint32]bool{}, next: 1}
	for _, team := range slices.Backward(c.Teams) {
		t.byName[strings.ToLower(team.Name)] = team.No
		t.taken[team.No] = true
	}
	return t
}

func (t *teamNumbers) find(name string) uint32 {
	if no, ok := t.byName[strings.ToLower(name)]; ok {
		return no
	}
	for t.taken[t.next] {
		t.next++
	}
	t.byName[strings.ToLower(name)] = t.next
	t.taken[t.next] = true
	t.made = append(t.made, contest.Team{No: t.next, Name: name})
	return t.next
}

// entries gives the records of the teams that were made.
func (t *teamNumbers) entries() ([]written, error) {
	var out []written
	for _, team := range t.made {
		value, err := team.Write()
		if err != nil {
			return nil, err
		}
		out = append(out, written{Subject: teamSubject(team.No), Value: value})
	}
	return out, nil
}

// peopleAdd adds the contestant of the form, with the team if it is a new one.
// The form then waits for the next member of the same team.
func peopleAdd(s *State, m Msg) []Effect {
	if s.Open == nil {
		return nil
	}
	form := NewPerson{Number: field(m, "number"), Name: tidy(field(m, "name")), Team: field(m, "team"), NewTeam: tidy(field(m, "newteam")), Division: field(m, "division")}
	s.People.New = form
	refuse := func(fault *engine.Error, focus string) []Effect {
		s.People.New.Fault = fault
		return []Effect{Focus{focus}}
	}
	no, err := strconv.ParseUint(strings.TrimSpace(form.Number), 10, 32)
	if err != nil || no == 0 || no > contest.MaxNumber {
		return refuse(engine.New("people.number", "", words.T("people.bad-number", form.Number), words.T("people.bad-number-fix", contest.MaxNumber)), "f-number")
	}
	if p, taken := s.Open.Contest.Person(uint32(no)); taken {
		return refuse(engine.New("people.taken", "", words.T("people.taken", no, p.Name), words.T("people.taken-fix", s.NextNumber())), "f-number")
	}
	p := contest.Person{Number: uint32(no), Name: form.Name, Division: form.Division, Team: uint32(max(0, number(form.Team)))}
	effects, err := s.writePerson(m, p, form.NewTeam)
	if err != nil {
		return s.refuse(err)
	}
	if len(effects) > 0 {
		added, _ := s.Open.Contest.Person(p.Number)
		s.People.New = NewPerson{Team: itoa(added.Team), Division: form.Division}
	}
	return append(effects, Focus{"f-name"})
}

// writePerson writes a contestant, who goes to the team with that name unless
// it is "".
func (s *State) writePerson(m Msg, p contest.Person, team string) ([]Effect, error) {
	teams := newTeamNumbers(s.Open.Contest)
	if team != "" {
		p.Team = teams.find(team)
	}
	entries, err := teams.entries()
	if err != nil {
		return nil, err
	}
	value, err := p.Write()
	if err != nil {
		return nil, err
	}
	s.Notice = Notice{}
	return s.write(m, "owner", append(entries, written{Subject: personSubject(p.Number), Value: value})...), nil
}

// person is a handler that changes the contestant of the page and keeps it at
// once.
func person(change func(s *State, p *contest.Person, m Msg)) handler {
	return func(s *State, m Msg) []Effect {
		return s.changePerson(m, s.Page.Number(0), "", func(p *contest.Person) { change(s, p, m) })
	}
}

func (s *State) changePerson(m Msg, number uint32, team string, change func(p *contest.Person)) []Effect {
	if s.Open == nil {
		return nil
	}
	p, ok := s.Open.Contest.Person(number)
	if !ok {
		return nil
	}
	change(&p)
	effects, err := s.writePerson(m, p, team)
	if err != nil {
		return s.refuse(err)
	}
	return effects
}

// personTeam moves the contestant to a team by its number, or asks for the
// name of a new one.
func personTeam(s *State, m Msg) []Effect {
	if s.People.NewTeam = m.Text == "new"; s.People.NewTeam {
		return []Effect{Focus{"f-new-team"}}
	}
	return person(func(_ *State, p *contest.Person, m Msg) { p.Team = uint32(max(0, number(m.Text))) })(s, m)
}

func personNewTeam(s *State, m Msg) []Effect {
	name := tidy(m.Text)
	if name == "" {
		return nil
	}
	s.People.NewTeam = false
	return s.changePerson(m, s.Page.Number(0), name, func(*contest.Person) {})
}

// The usual reasons why a contestant is not ranked.
const (
	OutLate         = "late"
	OutDisqualified = "disqualified"
)

// personOut says why the contestant is not ranked: "" for one who is, a usual
// reason, or "other" to type one.
func personOut(s *State, m Msg) []Effect {
	why := m.Arg(0)
	if s.People.OutOther = why == "other"; s.People.OutOther {
		return []Effect{Focus{"f-why"}}
	}
	return person(func(_ *State, p *contest.Person, _ Msg) { p.Out = why })(s, m)
}

// personPenalty takes points off the total, and says why: for coming late,
// until another reason is given. None takes both away.
func personPenalty(s *State, m Msg) []Effect {
	text := strings.TrimSpace(m.Text)
	if text == "" {
		text = "0"
	}
	off, err := points.Parse(text)
	if err != nil {
		return s.refuse(err)
	}
	return person(func(_ *State, p *contest.Person, _ Msg) {
		p.Penalty = off
		if p.PenaltyWhy = or(p.PenaltyWhy, words.T("person.penalty-late")); off == 0 {
			p.PenaltyWhy = ""
		}
	})(s, m)
}

// personOutOf disqualifies the contestant from one class, or takes that back.
func personOutOf(s *State, p *contest.Person, m Msg) {
	class := uint32(max(0, number(m.Arg(0))))
	out := slices.DeleteFunc(slices.Clone(p.OutOf), func(no uint32) bool { return no == class })
	if len(out) == len(p.OutOf) {
		out = append(out, class)
		sorting.Ascending(out)
	}
	p.OutOf = out
	if p.OutOfWhy = or(p.OutOfWhy, words.T("person.out-of-usual")); len(out) == 0 {
		p.OutOfWhy = ""
	}
}

// personRemove takes the contestant off the list. Cards with the number stay
// in the records and count again when the number comes back.
func personRemove(s *State, m Msg) []Effect {
	if s.Open == nil || !s.People.Remove {
		return nil
	}
	no := s.Page.Number(0)
	s.People.Remove = false
	effects := s.write(m, "owner", written{Subject: personSubject(no)})
	if len(effects) == 0 {
		return nil
	}
	effects = append(effects, s.goTo(m, Page{Name: "people", Contest: s.Page.Contest})...)
	s.Notice = Notice{Tone: "info", Text: words.T("person.removed", no), Fix: words.T("person.removed-fix")}
	return effects
}

func teamAdd(s *State, m Msg) []Effect {
	name := tidy(field(m, "team"))
	if s.Open == nil || name == "" {
		return nil
	}
	teams := newTeamNumbers(s.Open.Contest)
	teams.find(name)
	entries, err := teams.entries()
	if err != nil {
		return s.refuse(err)
	}
	if len(entries) == 0 {
		return s.refuse(engine.New("people.team-twice", "", words.T("people.team-twice", name), words.T("people.team-twice-fix")))
	}
	s.Notice = Notice{}
	return s.write(m, "owner", entries...)
}

// teamName gives a team another name. Two teams of one name would not be told
// apart by the next paste, so that is refused.
func teamName(s *State, m Msg) []Effect {
	if s.Open == nil {
		return nil
	}
	t, ok := s.Open.Contest.Team(uint32(max(0, number(m.Arg(0)))))
	if !ok {
		return nil
	}
	t.Name = tidy(m.Text)
	for _, other := range s.Open.Contest.Teams {
		if other.No != t.No && strings.EqualFold(other.Name, t.Name) {
			return s.refuse(engine.New("people.team-twice", "", words.T("people.team-twice", other.Name), words.T("people.team-twice-fix")))
		}
	}
	value, err := t.Write()
	if err != nil {
		return s.refuse(err)
	}
	s.Notice = Notice{}
	return s.write(m, "owner", written{Subject: teamSubject(t.No), Value: value})
}

// teamJoin moves the contestant whose number was typed into the team.
func teamJoin(s *State, m Msg) []Effect {
	if s.Open == nil {
		return nil
	}
	no, team := number(m.Text), uint32(max(0, number(m.Arg(0))))
	if _, ok := s.Open.Contest.Person(uint32(max(0, no))); !ok {
		return s.refuse(engine.New("people.nobody", "", words.T("people.nobody", m.Text), words.T("people.nobody-fix")))
	}
	return s.changePerson(m, uint32(no), "", func(p *contest.Person) { p.Team = team })
}

func teamLeave(s *State, m Msg) []Effect {
	return s.changePerson(m, uint32(max(0, number(m.Arg(0)))), "", func(p *contest.Person) { p.Team = 0 })
}

// teamRemove takes out a team that nobody is in.
func teamRemove(s *State, m Msg) []Effect {
	no := uint32(max(0, number(m.Arg(0))))
	if s.Open == nil || len(s.Members(no)) > 0 {
		return nil
	}
	return s.write(m, "owner", written{Subject: teamSubject(no)})
}

// pasteText looks a pasted text over. Nothing is written.
func pasteText(s *State, m Msg) []Effect {
	s.People.Paste = Paste{Text: m.Text, Leave: s.People.Paste.Leave}
	s.lookOver()
	return nil
}

// pasteFile looks the list in a file over: text in UTF-8, or in the UTF-16
// that spreadsheets call Unicode text. Nothing is written.
func pasteFile(s *State, m Msg) []Effect {
	s.People.Paste = Paste{File: m.Arg(len(m.Args) - 1), Leave: s.People.Paste.Leave}
	if len(m.Bytes) > 2*contest.MaxPaste {
		s.People.Paste.Fault = engine.New("paste.large", "", words.T("people.file-large", fmt.Sprint(len(m.Bytes)>>20)), words.T("people.file-large-fix"))
		return nil
	}
	s.People.Paste.Text = decodeText(m.Bytes)
	s.lookOver()
	return nil
}

// decodeText reads a text file by its byte order mark, as UTF-8 without one.
func decodeText(data []byte) string {
	low, high := 0, 1
	switch {
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}):
	case bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		low, high = 1, 0
	default:
		return string(data)
	}
	units := make([]uint16, 0, len(data)/2)
	for i := 2; i+1 < len(data); i += 2 {
		units = append(units, uint16(data[i+low])|uint16(data[i+high])<<8)
	}
	return string(utf16.Decode(units))
}

func pasteLeave(s *State, m Msg) []Effect {
	s.People.Paste.Leave = m.Text == "on"
	s.lookOver()
	return nil
}

// lookOver finds what the pasted text would do to the contest as it stands.
func (s *State) lookOver() {
	paste := &s.People.Paste
	paste.Seen, paste.Fault = nil, nil
	if s.Open == nil || strings.TrimSpace(paste.Text) == "" {
		return
	}
	pasted, err := contest.ParsePeople(paste.Text)
	if err != nil {
		fault, ok := err.(*engine.Error)
		if !ok {
			fault = &engine.Error{Code: "paste.text", What: err.Error(), Cause: err}
		}
		paste.Fault = fault
		return
	}
	paste.Seen = preview(s.Open.Contest, pasted, paste.Leave)
}

// preview holds pasted lines against the contest. An empty cell leaves what
// stands; a team or division is the one that is there already when only the
// case of its letters differs.
func preview(c *contest.Contest, pasted contest.Pasted, leave bool) *Preview {
	out := &Preview{Header: pasted.Header, Count: map[string]int{}}
	teams := newTeamNumbers(c)
	divisions := map[string]string{}
	for _, d := range slices.Backward(c.Divisions()) {
		divisions[strings.ToLower(d)] = d
	}
	for _, r := range pasted.Rows {
		row := held(c, r)
		if row.Does == PasteNew || row.Does == PasteChanged && !leave {
			if r.TeamName != "" {
				row.After.Team = teams.find(r.TeamName)
			}
			row.After.Division = spelled(row.After.Division, divisions, &out.Divisions)
		}
		out.Count[row.Does]++
		out.Rows = append(out.Rows, row)
	}
	out.Teams = teams.made
	return out
}

// held holds one line against the contest.
func held(c *contest.Contest, r contest.PastedRow) PreviewRow {
	row := PreviewRow{PastedRow: r, Does: PasteBad, After: r.Person}
	if r.Fault != nil {
		return row
	}
	before, known := c.Person(r.Person.Number)
	if !known {
		row.Does = PasteNew
		return row
	}
	row.Does, row.Before = PasteChanged, before
	row.After = before
	row.After.Name = or(r.Person.Name, before.Name)
	row.After.Division = or(r.Person.Division, before.Division)
	team, _ := c.Team(before.Team)
	if row.After.Name == before.Name && strings.EqualFold(row.After.Division, before.Division) && (r.TeamName == "" || strings.EqualFold(r.TeamName, team.Name)) {
		row.Does = PasteSame
	}
	return row
}

// spelled gives a division as it is spelled already, and notes a new one.
func spelled(name string, known map[string]string, made *[]string) string {
	if name == "" {
		return ""
	}
	if as, ok := known[strings.ToLower(name)]; ok {
		return as
	}
	known[strings.ToLower(name)] = name
	*made = append(*made, name)
	return name
}

// pasteTake writes the good lines, their new teams and their new divisions in
// one save. Bad lines stay in the text, to be put right and taken as well.
func pasteTake(s *State, m Msg) []Effect {
	s.lookOver()
	seen := s.People.Paste.Seen
	if seen == nil {
		return nil
	}
	entries, count, err := seen.entries(s.Open.Contest, s.People.Paste.Leave)
	if err != nil {
		return s.refuse(err)
	}
	effects := s.writePiece(m, words.N("people.pasted", count), entries)
	if len(effects) == 0 {
		return nil
	}
	s.People.Paste = Paste{Text: seen.badText(s.People.Paste.Text)}
	if s.lookOver(); s.People.Paste.Seen != nil {
		s.Notice = Notice{Tone: "info", Text: words.T("people.pasted-left", words.N("people.pasted", count)), Fix: words.T("people.pasted-left-fix")}
		return append(effects, Top{})
	}
	return append(effects, s.goTo(m, Page{Name: "people", Contest: s.Page.Contest})...)
}

// entries gives the records of the lines that are taken, and how many
// contestants they are.
func (p *Preview) entries(c *contest.Contest, leave bool) ([]written, int, error) {
	teams := teamNumbers{made: p.Teams}
	entries, err := teams.entries()
	if err != nil {
		return nil, 0, err
	}
	if len(p.Divisions) > 0 {
		set := c.Settings
		set.Divisions = append(slices.Clone(set.Divisions), p.Divisions...)
		value, err := set.Write()
		if err != nil {
			return nil, 0, err
		}
		entries = append(entries, written{Subject: record.Subject{Kind: record.KindContest}, Value: value})
	}
	count := 0
	for _, r := range p.Rows {
		if r.Does != PasteNew && (r.Does != PasteChanged || leave) {
			continue
		}
		value, err := r.After.Write()
		if err != nil {
			return nil, 0, err
		}
		entries = append(entries, written{Subject: personSubject(r.After.Number), Value: value})
		count++
	}
	return entries, count, nil
}

// badText is the lines with a fault as they stood in the text, below the line
// that names the columns if there is one.
func (p *Preview) badText(text string) string {
	lines := strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text), "\n")
	var bad []string
	for _, r := range p.Rows {
		if r.Does == PasteBad && r.Line <= len(lines) {
			bad = append(bad, lines[r.Line-1])
		}
	}
	if p.Header && len(bad) > 0 {
		heading := slices.IndexFunc(lines, func(l string) bool { return strings.TrimSpace(l) != "" })
		bad = slices.Insert(bad, 0, lines[heading])
	}
	return strings.Join(bad, "\n")
}
