package app

import (
	"slices"
	"strconv"
	"strings"

	"keelcard/engine/clock"
	"keelcard/engine/contest"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/sorting"
	"keelcard/engine/tree"
	"keelcard/web/words"
)

// Question is one thing in question while it is being settled item by item.
type Question struct {
	Subject record.Subject
	Picks   map[int]int // step of a card, from 1 → mark chosen for it, or the side where a step has many marks
}

func questionHandlers() handlers {
	return handlers{
		"enter.questions":  questionsEnter,
		"questions.take":   questionsTake,
		"questions.pick":   questionsPick,
		"questions.settle": questionsSettle,
		"history.restore":  historyRestore,
	}
}

// SubjectArgs writes a subject as arguments of a page or an action.
func SubjectArgs(sub record.Subject) []string {
	return []string{itoa(uint32(sub.Kind)), itoa(sub.A), itoa(sub.B)}
}

// SubjectOf reads the subject that the page is about from its arguments.
func (p Page) SubjectOf() (record.Subject, bool) {
	kind, err := strconv.ParseUint(p.Arg(0), 10, 8)
	return record.Subject{Kind: record.Kind(kind), A: p.Number(1), B: p.Number(2)}, err == nil && kind > 0
}

// questionsEnter begins anew when another question is opened.
func questionsEnter(s *State, m Msg) []Effect {
	if sub, _ := s.Page.SubjectOf(); s.Question.Subject != sub {
		s.Question = Question{Subject: sub}
	}
	return nil
}

// roleFor is the role in which a question about a kind is settled.
func roleFor(kind record.Kind) string {
	switch kind {
	case record.KindCard:
		return "keyer"
	case record.KindKey, record.KindLock, record.KindRuling, contest.KindSeen:
		return "official"
	}
	return "owner"
}

// asked gives the question that the page is about, while it is one.
func (s *State) asked() (merge.Current, bool) {
	sub, ok := s.Page.SubjectOf()
	if !ok || s.Open == nil {
		return merge.Current{}, false
	}
	cur := s.Open.Contest.State().Current(sub)
	return cur, cur.Status == merge.InQuestion
}

// questionsTake settles the question with one of the values, counted from 1.
func questionsTake(s *State, m Msg) []Effect {
	cur, ok := s.asked()
	n, err := strconv.Atoi(m.Arg(0))
	if !ok || err != nil || n < 1 || n > len(cur.Values) {
		return nil
	}
	return s.settle(m, cur.Subject, cur.Values[n-1])
}

// settle writes the value that all replaced ones give way to, and goes back to
// the list of questions.
func (s *State) settle(m Msg, sub record.Subject, value string) []Effect {
	effects := s.write(m, roleFor(sub.Kind), written{Subject: sub, Value: value})
	if len(effects) == 0 {
		return nil
	}
	s.Notice = Notice{Tone: "info", Text: words.T("questions.settled", s.SubjectName(sub))}
	s.Question = Question{}
	return append(effects, s.goTo(m, Page{Name: "questions", Contest: s.Page.Contest})...)
}

// questionsPick chooses the mark of one item of a card.
func questionsPick(s *State, m Msg) []Effect {
	cur, ok := s.asked()
	item, err := strconv.Atoi(m.Arg(0))
	mark, err2 := strconv.Atoi(m.Arg(1))
	if !ok || err != nil || err2 != nil || cur.Subject.Kind != record.KindCard {
		return nil
	}
	there := func(v string) bool { return item >= 1 && item <= len(v) && int(v[item-1]) == mark }
	if w := s.cardWidth(cur.Subject); w > 1 {
		there = func(v string) bool { return item >= 1 && item*w <= len(v) && mark >= 1 && mark <= len(cur.Values) }
	}
	if !slices.ContainsFunc(cur.Values, there) {
		return nil
	}
	if s.Question.Picks == nil || s.Question.Subject != cur.Subject {
		s.Question = Question{Subject: cur.Subject, Picks: map[int]int{}}
	}
	s.Question.Picks[item] = mark
	return nil
}

// cardWidth is how many marks one step of the card has that a record is about.
func (s *State) cardWidth(sub record.Subject) int {
	if class, ok := s.Open.Contest.Class(sub.A); ok && sub.Kind == record.KindCard {
		return width(class)
	}
	return 1
}

// questionsSettle settles a card with the marks chosen item by item.
func questionsSettle(s *State, m Msg) []Effect {
	cur, ok := s.asked()
	if !ok || cur.Subject.Kind != record.KindCard {
		return nil
	}
	value, w := []byte(cur.Values[0]), s.cardWidth(cur.Subject)
	for _, item := range s.Differ(cur.Subject) {
		pick, picked := s.Question.Picks[item]
		switch {
		case !picked || item*w > len(value):
			return nil
		case w == 1:
			value[item-1] = byte(pick)
		default:
			copy(value[(item-1)*w:item*w], cur.Values[pick-1][(item-1)*w:])
		}
	}
	return s.settle(m, cur.Subject, string(value))
}

// Side is one of the values that stand against each other, with the records that
// hold it, earliest first.
type Side struct {
	Value   string
	Records []record.Record
}

// Sides lists the values that stand for a subject.
func (s *State) Sides(sub record.Subject) []Side {
	cur := s.Open.Contest.State().Current(sub)
	out := make([]Side, len(cur.Values))
	for i, v := range cur.Values {
		out[i].Value = v
		for _, ref := range cur.Refs {
			if r, ok := s.Open.Contest.State().Record(ref); ok && r.Value == v {
				out[i].Records = append(out[i].Records, r)
			}
		}
	}
	return out
}

// Differ lists the steps of a card, from 1, in which the values that stand are
// not the same.
func (s *State) Differ(sub record.Subject) []int {
	return differ(s.Open.Contest.State().Current(sub).Values, s.cardWidth(sub))
}

// ItemByItem tells whether a card in question can be settled item by item.
func (s *State) ItemByItem(sub record.Subject) bool {
	class, ok := s.Open.Contest.Class(sub.A)
	if !ok || sub.Kind != record.KindCard || class.Slots() < 2 {
		return false
	}
	return !slices.ContainsFunc(s.Open.Contest.State().Current(sub).Values, func(v string) bool { return len(v) != class.Slots() })
}

// historyRestore puts an earlier value back; what stands now is kept in the
// history like everything else.
func historyRestore(s *State, m Msg) []Effect {
	phone, err := record.ParsePhoneID(m.Arg(0))
	seq, err2 := strconv.ParseUint(m.Arg(1), 10, 32)
	if err != nil || err2 != nil || s.Open == nil {
		return nil
	}
	r, ok := s.Open.Contest.State().Record(record.Ref{Phone: phone, Seq: uint32(seq)})
	if !ok {
		return nil
	}
	effects := s.write(m, roleFor(r.Subject.Kind), written{Subject: r.Subject, Value: r.Value})
	if len(effects) > 0 {
		s.Notice = Notice{Tone: "info", Text: words.T("history.restored", s.SubjectName(r.Subject))}
	}
	return effects
}

// Told is one line of a value in words.
type Told struct{ Label, Text string }

// Tell puts the value of a record into words, one line a field; fields that
// say nothing are left out. A withdrawal, what is sealed to this phone and a value
// that cannot be read are one line without a label.
func (s *State) Tell(sub record.Subject, value string) []Told {
	switch {
	case value == "":
		return []Told{{Text: words.T("history.withdrawn")}}
	case contest.Answers(sub.Kind) && record.Veiled(value):
		return []Told{{Text: words.T("history.sealed")}}
	}
	var t teller
	switch sub.Kind {
	case record.KindCard:
		t.card(s, sub, value)
	case record.KindKey:
		tell(&t, value, func(v contest.KeyItem) { t.key(s, sub, v) })
	case record.KindContest:
		tell(&t, value, func(v contest.Settings) { t.settings(s, v) })
	case record.KindClass:
		tell(&t, value, func(v contest.Class) { t.class(s.Open.Contest.Bind(v)) })
	case record.KindPerson:
		tell(&t, value, func(v contest.Person) { t.person(s, v) })
	case record.KindTeam:
		tell(&t, value, func(v contest.Team) { t.line("name", v.Name) })
	case record.KindLock:
		return []Told{{Text: words.T("history.locked")}}
	case contest.KindSeen:
		tell(&t, value, t.seen)
	case record.KindRole:
		tell(&t, value, t.role)
	case record.KindPhone, record.KindRenewal, record.KindJoin, record.KindClaim:
		return []Told{{Text: words.T("history.of-itself")}}
	case record.KindRelease:
		return []Told{{Text: words.T("history.released")}}
	case record.KindBook:
		t.book(value)
	case record.KindRuling:
		tell(&t, value, func(v contest.Ruling) { t.ruling(s, sub, v) })
	}
	if len(t) == 0 {
		return []Told{{Text: words.N("history.unread", len(value))}}
	}
	return t
}

// TellShort is Tell in one line.
func (s *State) TellShort(sub record.Subject, value string) string {
	lines := s.Tell(sub, value)
	if class, ok := s.Open.Contest.Class(sub.A); ok && sub.Kind == record.KindCard && value != "" {
		return MarksText(class, []byte(value))
	}
	texts := make([]string, len(lines))
	for i, l := range lines {
		texts[i] = l.Text
		if l.Label != "" {
			texts[i] = words.T("history.labelled", l.Label, l.Text)
		}
	}
	return strings.Join(texts, "; ")
}

type teller []Told

func tell[T any, P interface {
	*T
	tree.Object
}](t *teller, value string, say func(T)) {
	var v T
	if tree.Read([]byte(value), P(&v)) == nil {
		say(v)
	}
}

// line adds a field by the key of its label, unless it says nothing.
func (t *teller) line(label, text string) {
	if text != "" {
		*t = append(*t, Told{words.T("history.field." + label), text})
	}
}

func (t *teller) count(label string, n int) {
	if n != 0 {
		t.line(label, strconv.Itoa(n))
	}
}

func (t *teller) card(s *State, sub record.Subject, value string) {
	class, ok := s.Open.Contest.Class(sub.A)
	if !ok {
		return
	}
	for i, text := range StepTexts(class, []byte(value)) {
		label := StepName(class, i)
		if class.Kind == contest.Placing {
			label = words.T("history.field.order")
		}
		*t = append(*t, Told{label, text})
	}
}

func (t *teller) key(s *State, sub record.Subject, k contest.KeyItem) {
	class, _ := s.Open.Contest.Class(sub.A)
	t.line("answer", KeyText(class, contest.KeyItem{Answer: k.Answer}))
	if k.Cuts != [3]uint8{} {
		t.line("cuts", itoa(uint32(k.Cuts[0]))+"-"+itoa(uint32(k.Cuts[1]))+"-"+itoa(uint32(k.Cuts[2])))
	}
	t.also(class, k.Also)
}

func (t *teller) also(class contest.Class, answers []string) {
	also := make([]string, len(answers))
	for i, a := range answers {
		also[i] = KeyText(class, contest.KeyItem{Answer: a})
	}
	t.line("also", strings.Join(also, " / "))
}

func (t *teller) settings(s *State, v contest.Settings) {
	t.line("name", v.Name)
	t.line("date", v.Date)
	t.line("place", v.Place)
	t.count("best", v.Best())
	t.count("most", v.Most())
	t.line("divisions", strings.Join(v.Divisions, ", "))
	var ties []string
	for _, tie := range v.Ties {
		var names []string
		for _, no := range tie.Classes {
			names = append(names, s.SubjectName(record.Subject{Kind: record.KindClass, A: no}))
		}
		if tie.Alternate {
			names = append(names, words.T("history.alternate"))
		}
		ties = append(ties, strings.Join(names, " + "))
	}
	t.line("ties", strings.Join(ties, ", "))
	switch v.Confirm {
	case contest.ConfirmAll:
		t.line("confirm", words.T("history.confirm-all"))
	case contest.ConfirmSample:
		t.line("confirm", words.T("history.confirm-sample", v.SampleOf()))
	}
	if v.Started {
		t.line("started", words.T("history.yes"))
	}
}

func (t *teller) class(v contest.Class) {
	t.line("name", v.Name)
	kind := v.Kind
	if words.Has("history.kind." + kind) {
		kind = words.T("history.kind." + kind)
	}
	t.line("kind", kind)
	t.count("items", v.Items)
	if b, err := v.RuleBook(); err == nil {
		t.line("book", b.Title)
	} else {
		t.line("book", v.Book)
	}
	t.line("bird", v.Bird)
	if v.Weight > 0 {
		t.line("weight", v.Weight.String())
	}
	for _, id := range sortedKeys(v.Choices) {
		t.line("choice", id+": "+v.Choices[id])
	}
	if v.Worth > 0 {
		t.line("worth", v.Worth.String())
	}
	if v.Double == contest.DoubleLower {
		t.line("double", words.T("history.double-lower"))
	}
	for _, p := range v.Pairs {
		t.line("points", words.T("history.points", p.Key, p.Mark, p.Points))
	}
	if v.Reasons {
		t.line("reasons", words.T("history.yes"))
	}
	t.line("class-group", v.Division)
	t.line("list", v.List)
	t.line("names", strings.Join(v.Names, ", "))
	if v.Whole {
		t.line("whole", words.T("history.yes"))
	}
	t.count("officials", v.Officials)
	for _, c := range v.Criteria {
		t.line("criterion", words.T("history.criterion", c.Name, c.Most))
	}
	if v.Step > 0 {
		t.line("step", v.Step.String())
	}
	if v.Round != "" {
		t.line("round", words.T("history.round-"+v.Round))
	}
}

func sortedKeys(of map[string]string) []string {
	keys := make([]string, 0, len(of))
	for k := range of {
		keys = append(keys, k)
	}
	sorting.Ascending(keys)
	return keys
}

func (t *teller) person(s *State, v contest.Person) {
	t.line("name", v.Name)
	if v.Team > 0 {
		text := s.SubjectName(record.Subject{Kind: record.KindTeam, A: v.Team})
		if team, ok := s.Open.Contest.Team(v.Team); ok {
			text += ", " + team.Name
		}
		t.line("team", text)
	}
	t.line("division", v.Division)
	t.line("out", v.Out)
	if v.Penalty > 0 {
		t.line("penalty", v.Penalty.String())
		t.line("penalty-why", v.PenaltyWhy)
	}
	for _, no := range v.OutOf {
		t.line("out-of", s.SubjectName(record.Subject{Kind: record.KindClass, A: no}))
	}
	t.line("out-of-why", v.OutOfWhy)
	if v.Alternate {
		t.line("alternate", words.T("history.yes"))
	}
	if len(*t) == 0 {
		*t = append(*t, Told{Text: words.T("history.no-name")})
	}
}

func (t *teller) role(v contest.Member) {
	role := v.Role
	if words.Has("phones.role-" + role) {
		role = words.T("phones.role-" + role)
	}
	t.line("role", role)
	t.line("holder", v.Who)
	t.line("why", v.Why)
	if v.Shut {
		t.line("shut", words.T("history.yes"))
	}
}

func (t *teller) seen(v contest.Seen) {
	t.count("findings", len(v.Findings))
	t.line("note", v.Note)
	t.line("official", v.Official)
	t.line("signs", SignsText(v.Signs))
	if v.Photo != "" {
		t.line("photo", words.T("history.yes"))
	}
}

// Past is one record in a history.
type Past struct {
	record.Record
	At       record.Ref // its name
	Stands   bool
	Replaced []record.Record // what it replaced, as far as it is here
}

// History lists every record about a subject, the newest first.
func (s *State) History(sub record.Subject) []Past {
	state := s.Open.Contest.State()
	cur := state.Current(sub)
	var out []Past
	for _, ref := range state.History(sub) {
		r, ok := state.Record(ref)
		if !ok {
			continue
		}
		out = append(out, Past{Record: r, At: ref, Stands: slices.Contains(cur.Refs, ref), Replaced: replaced(state, ref, r)})
	}
	slices.Reverse(out)
	return out
}

// Latest lists the newest records of the open contest, at most n, the newest
// first.
func (s *State) Latest(n int) []Past {
	var out []Past
	for _, run := range s.Open.Contest.State().Runs() {
		for i := max(0, len(run.Records)-n); i < len(run.Records); i++ {
			out = append(out, Past{Record: run.Read[i], At: record.Ref{Phone: run.ID, Seq: run.After + uint32(i) + 1}})
		}
	}
	sorting.Stable(out, func(a, b Past) int { return clock.Compare(b.Stamp, a.Stamp) })
	return out[:min(n, len(out))]
}
