package app

import (
	"encoding/hex"
	"slices"
	"strconv"
	"strings"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/clock"
	"keelcard/engine/contest"
	"keelcard/engine/grading"
	"keelcard/engine/merge"
	"keelcard/engine/points"
	"keelcard/engine/record"
	"keelcard/engine/rulebook"
	"keelcard/engine/sorting"
	"keelcard/web/words"
)

// Setup is what is being set up: a contest that is not begun yet, and what is
// open on the pages of the settings and of a class.
type Setup struct {
	New     NewContest
	Unlock  bool     // the owner asked to change tie-breaks after the start
	Picked  []uint32 // classes put together for one tie-break
	Reshape bool     // the owner asked to change what a class with cards is made of
	Remove  bool     // one tap towards taking the class out

	NewDivision bool    // the class of the page goes to a division that is still to be named
	Own         OwnList // a list of the class's own that is being typed
}

// NewContest is the form that begins a contest, as it was typed so far.
type NewContest struct {
	Name, Date, Place string
	Sealed            bool          // official answers are kept from phones that are not officials', where what it begins from is no practice
	Fault             *engine.Error // why the name cannot be taken
}

func setupHandlers() handlers {
	return handlers{
		"enter.new":      func(s *State, m Msg) []Effect { s.Setup.New = NewContest{Sealed: true}; return nil },
		"enter.settings": func(s *State, m Msg) []Effect { s.Setup = Setup{}; return nil },
		"enter.class":    func(s *State, m Msg) []Effect { s.Setup = Setup{}; return nil },

		"new.name":  func(s *State, m Msg) []Effect { s.Setup.New.Name = m.Text; s.Setup.New.Fault = nil; return nil },
		"new.date":  func(s *State, m Msg) []Effect { s.Setup.New.Date = m.Text; return nil },
		"new.place": func(s *State, m Msg) []Effect { s.Setup.New.Place = m.Text; return nil },
		"new.seal":  func(s *State, m Msg) []Effect { s.Setup.New.Sealed = m.Text == "on"; return nil },
		"new.start": newStart,

		"settings.name":            setting(func(set *contest.Settings, m Msg) { set.Name = m.Text }),
		"settings.date":            setting(func(set *contest.Settings, m Msg) { set.Date = m.Text }),
		"settings.place":           setting(func(set *contest.Settings, m Msg) { set.Place = tidy(m.Text) }),
		"settings.best":            setting(setBest),
		"settings.most":            setting(setMost),
		"settings.sealed":          settingsSealed,
		"settings.confirm":         setting(func(set *contest.Settings, m Msg) { set.Confirm = m.Arg(0) }),
		"settings.confirm-in":      setting(func(set *contest.Settings, m Msg) { set.ConfirmIn = number(m.Text) }),
		"settings.division-add":    setting(addDivision),
		"settings.division-up":     setting(func(set *contest.Settings, m Msg) { i := number(m.Arg(0)); swap(set.Divisions, i-1, i) }),
		"settings.division-remove": setting(removeDivision),
		"settings.division-name":   renameDivision,
		"settings.group-name":      renameClassDivision,

		"settings.tie-pick":   tiePick,
		"settings.tie-add":    tieAdd,
		"settings.tie-up":     ties(func(set *contest.Settings, i int) { swap(set.Ties, i-1, i) }),
		"settings.tie-down":   ties(func(set *contest.Settings, i int) { swap(set.Ties, i, i+1) }),
		"settings.tie-remove": ties(func(set *contest.Settings, i int) { set.Ties = slices.Delete(set.Ties, i, i+1) }),
		"settings.tie-unlock": func(s *State, m Msg) []Effect { s.Setup.Unlock = true; return nil },
		"settings.start":      setting(func(set *contest.Settings, m Msg) { set.Started = true }),
		"settings.unstart":    unstart,

		"class.add":          classAdd,
		"class.name":         class(func(c *contest.Class, m Msg) error { c.Name = tidy(m.Text); return nil }),
		"class.items":        class(setItems),
		"class.book":         classBook,
		"class.bird":         class(setBird),
		"class.weight":       class(setWeight),
		"class.eggs":         class(setEggs),
		"class.choice":       class(setChoice),
		"class.points":       class(setPoints),
		"class.points-reset": class(func(c *contest.Class, m Msg) error { c.Pairs = nil; return nil }),
		"class.double":       class(func(c *contest.Class, m Msg) error { c.Double = m.Arg(0); return nil }),
		"class.worth":        class(setWorth),
		"class.reasons":      class(func(c *contest.Class, m Msg) error { c.Reasons = m.Text == "on"; return nil }),
		"class.reshape":      func(s *State, m Msg) []Effect { s.Setup.Reshape = true; return nil },
		"class.remove":       func(s *State, m Msg) []Effect { s.Setup.Remove = true; return nil },
		"class.keep":         func(s *State, m Msg) []Effect { s.Setup.Remove = false; return nil },
		"class.remove-sure":  classRemove,

		"class.division":         classDivision,
		"class.list":             class(setList),
		"class.own":              classOwn,
		"class.names":            classNames,
		"class.whole":            class(func(c *contest.Class, m Msg) error { c.Whole = m.Arg(0) == "whole"; return nil }),
		"class.officials":        class(setOfficials),
		"class.step":             class(setStep),
		"class.round":            class(func(c *contest.Class, m Msg) error { c.Round = m.Arg(0); return nil }),
		"class.criterion-add":    criterion(addCriterion),
		"class.criterion-name":   criterion(nameCriterion),
		"class.criterion-most":   criterion(mostCriterion),
		"class.criterion-remove": criterion(removeCriterion),
		"class.starter":          starterTake,
	}
}

// tidy takes needless spaces out of a typed text.
func tidy(text string) string { return strings.Join(strings.Fields(text), " ") }

// newStart begins the contest that is filled in, and opens it. With an argument
// it begins from that starter, which also names it where no name was typed.
func newStart(s *State, m Msg) []Effect {
	var effects []Effect
	form := &s.Setup.New
	st, ready := starter(m.Arg(0))
	if !ready {
		*form = NewContest{Name: field(m, "name"), Date: field(m, "date"), Place: field(m, "place"), Sealed: field(m, "sealed") == "on"}
		if who := field(m, "initials"); who != "" && s.Phone.Initials == "" {
			effects = setInitials(s, Msg{Text: who})
		}
	}
	if form.Name = tidy(form.Name); form.Name == "" && ready {
		form.Name = words.T("starter." + st.ID)
	}
	if form.Name == "" {
		form.Fault = engine.New("contest.empty", "", words.T("new.no-name"), words.T("new.no-name-fix"))
		return append(effects, Focus{"f-name"})
	}
	set := contest.Settings{Name: form.Name, Date: form.Date, Place: tidy(form.Place), Sealed: form.Sealed && (st.Sealed || !ready)}
	begun, err := s.newContest(m, set)
	if err != nil {
		return append(effects, s.refuse(err)...)
	}
	if ready {
		entries, err := s.starterPiece(st, s.Open.Contest.Settings)
		if err != nil {
			return append(effects, s.refuse(err)...)
		}
		begun = append(begun, s.writePiece(m, words.T("starter."+st.ID), entries)...)
	}
	s.Setup = Setup{}
	effects = append(effects, begun...)
	return append(effects, s.goTo(m, Page{Name: "contest", Contest: s.Open.Head.ID})...)
}

// newContest begins a contest on this phone, makes it the open one and gives
// what keeps it. Its id follows from its first record, so that no other phone can
// say it began it. The browser is asked to keep the store the first time.
func (s *State) newContest(m Msg, set contest.Settings) ([]Effect, error) {
	begun := s.newAuthority(m)
	if s.HasWords() {
		set.Authority, _ = hex.DecodeString(s.Phone.Authorities[0].Public)
	}
	value, err := set.Write()
	if err != nil {
		return nil, err
	}
	id := s.newID(m, value)
	for slices.ContainsFunc(s.Contests, func(h Head) bool { return h.ID == id.String() }) { // the clock stands still
		m.Now++
		id = s.newID(m, value)
	}
	before := s.Open
	open := &Open{Head: Head{ID: id.String(), Name: set.Name, Opened: m.Now}, Set: record.Set{Contest: id}}
	open.fold()
	s.Open = open
	ops, err := s.append(m, "owner", written{Subject: record.Subject{Kind: record.KindContest}, Value: value})
	if err != nil {
		s.Open = before
		return nil, err
	}
	s.show(open)
	s.openAnswers()
	effects := []Effect{s.save(append(begun, ops...)...)}
	if s.Phone.Kept == "" {
		effects = append(effects, Persist{})
	}
	return effects, nil
}

// newID is the id of a contest that begins with these settings.
func (s *State) newID(m Msg, settings string) record.ContestID {
	return contest.IDOf(&record.Record{Phone: s.Phone.ID, Seq: 1, Stamp: clock.Next(clock.Stamp{}, m.Now), Who: "owner/" + s.Phone.Initials,
		Subject: record.Subject{Kind: record.KindContest}, Value: settings})
}

// setting is a handler that changes the settings and keeps them at once.
func setting(change func(set *contest.Settings, m Msg)) handler {
	return func(s *State, m Msg) []Effect {
		if s.Open == nil {
			return nil
		}
		set := s.Open.Contest.Settings
		set.Divisions = slices.Clone(set.Divisions)
		set.Ties = slices.Clone(set.Ties)
		change(&set, m)
		return s.writeSettings(m, set)
	}
}

// settingsSealed seals official answers from now on, or does not any more. What is
// written already stays as it is.
func settingsSealed(s *State, m Msg) []Effect {
	switch {
	case s.Open == nil:
		return nil
	case !s.CanInvite():
		return s.refuse(engine.New("app.not-owner", "", words.T("settings.seal-not-owner"), words.T("settings.seal-not-owner-fix")))
	}
	set := s.Open.Contest.Settings
	set.Sealed = m.Text == "on"
	effects := s.writeSettings(m, set)
	s.openAnswers()
	return effects
}

func (s *State) writeSettings(m Msg, set contest.Settings) []Effect {
	value, err := set.Write()
	if err != nil {
		return s.refuse(err)
	}
	s.Notice = Notice{}
	return s.write(m, "owner", written{Subject: record.Subject{Kind: record.KindContest}, Value: value})
}

// setBest sets how many totals of a team count; the team grows with it.
func setBest(set *contest.Settings, m Msg) {
	set.TeamBest = number(m.Text)
	set.TeamMost = max(set.Most(), set.TeamBest)
}

// setMost sets how many members a team may have; fewer then count if need be.
func setMost(set *contest.Settings, m Msg) {
	set.TeamMost = number(m.Text)
	set.TeamBest = min(set.Best(), set.Most())
}

// number reads a small whole number, -1 when it is none.
func number(text string) int {
	n, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil {
		return -1
	}
	return n
}

func swap[T any](list []T, i, j int) {
	if i >= 0 && j < len(list) {
		list[i], list[j] = list[j], list[i]
	}
}

func addDivision(set *contest.Settings, m Msg) {
	if name := tidy(field(m, "division")); name != "" {
		set.Divisions = append(set.Divisions, name)
	}
}

func removeDivision(set *contest.Settings, m Msg) {
	if i := number(m.Arg(0)); i >= 0 && i < len(set.Divisions) {
		set.Divisions = slices.Delete(set.Divisions, i, i+1)
	}
}

// renameDivision gives a division another name, with everyone in it, as one
// piece that can be taken back in one tap.
func renameDivision(s *State, m Msg) []Effect {
	if s.Open == nil {
		return nil
	}
	c := s.Open.Contest
	set := c.Settings
	i, name := number(m.Arg(0)), tidy(m.Text)
	if i < 0 || i >= len(set.Divisions) || name == set.Divisions[i] {
		return nil
	}
	old := set.Divisions[i]
	set.Divisions = slices.Clone(set.Divisions)
	set.Divisions[i] = name
	value, err := set.Write()
	if err != nil {
		return s.refuse(err)
	}
	entries := []written{{Subject: record.Subject{Kind: record.KindContest}, Value: value}}
	for _, p := range c.Persons {
		if p.Division != old {
			continue
		}
		p.Division = name
		value, err := p.Write()
		if err != nil {
			return s.refuse(err)
		}
		entries = append(entries, written{Subject: personSubject(p.Number), Value: value})
	}
	return s.writePiece(m, words.T("settings.division-renamed", old, name), entries)
}

// TiesOpen tells whether tie-breaks may be changed: before the start, or after
// it once the owner has said so.
func (s *State) TiesOpen() bool {
	return s.Open != nil && (!s.Open.Contest.Settings.Started || s.Setup.Unlock)
}

// ties is a handler that changes the tie-break with the number in the message,
// counted from 0.
func ties(change func(set *contest.Settings, i int)) handler {
	return func(s *State, m Msg) []Effect {
		if !s.TiesOpen() {
			return nil
		}
		i := number(m.Arg(0))
		if i < 0 || i >= len(s.Open.Contest.Settings.Ties) {
			return nil
		}
		return setting(func(set *contest.Settings, _ Msg) { change(set, i) })(s, m)
	}
}

// tiePick puts a class into the group that becomes a tie-break, or out of it.
func tiePick(s *State, m Msg) []Effect {
	no := uint32(max(0, number(m.Arg(0))))
	if i := slices.Index(s.Setup.Picked, no); i >= 0 {
		s.Setup.Picked = slices.Delete(s.Setup.Picked, i, i+1)
	} else {
		s.Setup.Picked = append(s.Setup.Picked, no)
	}
	return nil
}

// tieAdd adds a tie-break: "alternate", "picked", a group of classes, or the
// number of a class.
func tieAdd(s *State, m Msg) []Effect {
	if !s.TiesOpen() {
		return nil
	}
	var t contest.Tie
	switch what := m.Arg(0); what {
	case "alternate":
		t.Alternate = true
	case "picked":
		t.Classes = slices.Clone(s.Setup.Picked)
		sorting.Ascending(t.Classes)
	case TiePlacing, TieGraded, TieReasons:
		t.Classes = s.TieGroup(what)
	default:
		t.Classes = []uint32{uint32(max(0, number(what)))}
	}
	t.Classes = slices.DeleteFunc(t.Classes, func(no uint32) bool { _, ok := s.Open.Contest.Class(no); return !ok })
	if !t.Alternate && len(t.Classes) == 0 {
		return nil
	}
	s.Setup.Picked = nil
	return setting(func(set *contest.Settings, _ Msg) { set.Ties = append(set.Ties, t) })(s, m)
}

// The groups of classes a tie-break is often made of.
const (
	TieReasons = "reasons" // classes with oral reasons
	TiePlacing = "placing" // all placing classes
	TieGraded  = "graded"  // all graded classes
)

// TieGroup lists the classes of a group, by number.
func (s *State) TieGroup(group string) []uint32 {
	var out []uint32
	for _, c := range s.Open.Contest.Classes {
		if group == TieReasons && c.Reasons || group == TiePlacing && c.Kind == contest.Placing || group == TieGraded && c.Kind == contest.Graded {
			out = append(out, c.No)
		}
	}
	return out
}

// unstart takes the start back, once the owner has asked to change what it
// settled.
func unstart(s *State, m Msg) []Effect {
	if !s.Setup.Unlock {
		return nil
	}
	s.Setup.Unlock = false
	return setting(func(set *contest.Settings, _ Msg) { set.Started = false })(s, m)
}

// freeClass is the lowest class number that is not taken.
func (s *State) freeClass() uint32 {
	no := uint32(1)
	for _, c := range s.Open.Contest.Classes {
		if c.No == no {
			no++
		}
	}
	return no
}

// useBook makes a class one of the book, with its first kind of bird, the
// usual weight and the usual side of every choice. A book of faults makes it a
// class that is looked over for them.
func (s *State) useBook(c *contest.Class, id string) error {
	c.Book = id
	*c = s.Open.Contest.Bind(*c)
	b, err := c.RuleBook()
	if err != nil {
		return engine.New("contest.book", "", words.T("class.no-book", id), words.T("class.no-book-fix"))
	}
	c.Hash, c.Choices = b.Hash(), usualChoices(b)
	c.Pairs, c.Names, c.Kind = nil, nil, contest.Graded
	if b.IsFaults() {
		c.Kind = contest.Checked
	}
	if !slices.ContainsFunc(b.Kinds, func(k rulebook.Bird) bool { return k.ID == c.Bird }) {
		c.Bird = ""
		if len(b.Kinds) > 0 {
			c.Bird = b.Kinds[0].ID
		}
	}
	keepWeight(c, b)
	c.Name = or(c.Name, b.Title)
	return nil
}

// usualChoices takes the usual side of every choice of a book.
func usualChoices(b *rulebook.Book) map[string]string {
	out := map[string]string{}
	for _, choice := range b.Choices {
		out[choice.ID] = choice.Default
	}
	return out
}

// Band is a range of weights in which the same lines of a book hold: over
// Over, up to and with To. A zero To has no upper end.
type Band struct{ Over, To amount.Weight }

// Holds tells whether a weight lies in the band.
func (b Band) Holds(w amount.Weight) bool { return w > b.Over && (b.To == 0 || w <= b.To) }

// weight stands for the band: its upper end, since that is in it, or a pound
// above the lower where there is no upper end.
func (b Band) weight() amount.Weight {
	if b.To > 0 {
		return b.To
	}
	return b.Over + amount.Pound
}

// Bands lists the weights a class of the book can be of, as the class's bird
// and choices leave them; none when the weight does not matter.
func Bands(c contest.Class, b *rulebook.Book) []Band {
	concerns := func(kinds []string, when map[string]string) bool {
		return (len(kinds) == 0 || slices.Contains(kinds, c.Bird)) && holds(c, b, when)
	}
	var ends []amount.Weight
	var judged []Band
	for _, w := range b.Weights {
		if concerns(w.Kinds, w.When) {
			judged = append(judged, Band{w.Over, w.To})
			ends = append(ends, w.Over, w.To)
		}
	}
	for _, l := range b.Limits {
		if concerns(l.Kinds, l.When) {
			ends = append(ends, l.Over, l.To)
		}
	}
	sorting.Ascending(ends)
	ends = slices.DeleteFunc(slices.Compact(ends), func(w amount.Weight) bool { return w == 0 })
	if len(ends) == 0 {
		return nil
	}
	var out []Band
	low := amount.Weight(0)
	for _, high := range append(ends, 0) {
		band := Band{low, high}
		if len(b.Weights) == 0 || slices.ContainsFunc(judged, func(j Band) bool { return j.Holds(band.weight()) }) {
			out = append(out, band)
		}
		low = high
	}
	return out
}

// holds tells whether the class's choices are the ones that a line of the book
// asks for.
func holds(c contest.Class, b *rulebook.Book, when map[string]string) bool {
	for _, choice := range b.Choices {
		option, asked := when[choice.ID]
		if asked && ChosenOption(c, choice) != option {
			return false
		}
	}
	return true
}

// ChosenOption gives the option of a choice that the class has: the usual one
// where nothing was chosen.
func ChosenOption(c contest.Class, choice rulebook.Choice) string {
	if option := c.Choices[choice.ID]; option != "" {
		return option
	}
	return choice.Default
}

// usualWeight is a broiler's, for which most classes are set up (common
// practice).
const usualWeight = 4 * amount.Pound

// keepWeight gives the class a weight of its book when its own is not judged:
// the band of a broiler where there is one, else the lightest.
func keepWeight(c *contest.Class, b *rulebook.Book) {
	bands := Bands(*c, b)
	if len(bands) == 0 {
		c.Weight = eggWeight(c.Weight)
		return
	}
	in := func(w amount.Weight) int {
		return slices.IndexFunc(bands, func(band Band) bool { return band.Holds(w) })
	}
	if in(c.Weight) < 0 {
		c.Weight = bands[max(0, in(usualWeight))].weight()
	}
}

// class is a handler that changes the class of the page and keeps it at once.
func class(change func(c *contest.Class, m Msg) error) handler {
	return func(s *State, m Msg) []Effect {
		if s.Open == nil {
			return nil
		}
		c, ok := s.Open.Contest.Class(s.Page.Number(0))
		if !ok {
			return nil
		}
		c.Pairs = slices.Clone(c.Pairs)
		if err := change(&c, m); err != nil {
			return s.refuse(err)
		}
		return s.writeClass(m, c)
	}
}

// writeClass keeps a class. When it was changed so that its worth cannot be
// shared evenly any more, it takes one that can, and says so.
func (s *State) writeClass(m Msg, c contest.Class) []Effect {
	value, err := c.Write()
	told := Notice{}
	if stood, _ := s.Open.Contest.Class(c.No); uneven(err) && c.Worth == stood.Worth {
		c.Worth = evenWorth(c)
		if changed, still := c.Write(); still == nil {
			value, err = changed, nil
			told = Notice{Tone: "info", Text: words.T("class.worth-evened", c.Worth), Fix: words.T("class.worth-evened-fix")}
		}
	}
	if err != nil {
		return s.refuse(err)
	}
	s.Notice = told
	return s.write(m, "owner", written{Subject: classSubject(c.No), Value: value})
}

func uneven(err error) bool { return err != nil && engine.CodeOf(err) == "contest.worth-uneven" }

// evenWorth is the nearest worth, not above the class's own where one is below,
// that every answer shares in whole points.
func evenWorth(c contest.Class) points.Points {
	worth, share := c.Worth, points.Of(max(1, c.Slots()))
	if worth == 0 {
		worth = points.Of(10 * c.Items)
	}
	return max(1, worth/share) * share
}

func classSubject(no uint32) record.Subject {
	return record.Subject{Kind: record.KindClass, A: no}
}

func setItems(c *contest.Class, m Msg) error {
	text := m.Text
	if text == "" {
		text = m.Arg(0)
	}
	c.Items = number(text)
	return nil
}

func classBook(s *State, m Msg) []Effect {
	return class(func(c *contest.Class, m Msg) error { return s.useBook(c, m.Arg(0)) })(s, m)
}

func setBird(c *contest.Class, m Msg) error {
	b, err := c.RuleBook()
	if err != nil {
		return err
	}
	c.Bird = m.Arg(0)
	keepWeight(c, b)
	return nil
}

// setWeight takes the band with the number in the message, counted from 0
// among those offered.
func setWeight(c *contest.Class, m Msg) error {
	b, err := c.RuleBook()
	if err != nil {
		return err
	}
	if i, bands := number(m.Arg(0)), Bands(*c, b); i >= 0 && i < len(bands) {
		c.Weight = bands[i].weight()
	}
	return nil
}

// setChoice takes one side where books differ. Points of a grade that is no
// more on the scale go with it.
func setChoice(c *contest.Class, m Msg) error {
	b, err := c.RuleBook()
	if err != nil {
		return err
	}
	choices := map[string]string{}
	for _, choice := range b.Choices {
		choices[choice.ID] = ChosenOption(*c, choice)
	}
	choices[m.Arg(0)] = m.Arg(1)
	c.Choices = choices
	keepWeight(c, b)
	answers := c.Answers()
	c.Pairs = slices.DeleteFunc(c.Pairs, func(p contest.PairPoints) bool {
		return !slices.Contains(answers, p.Key) || !slices.Contains(answers, p.Mark)
	})
	return nil
}

// setPoints sets what one mark earns against one key. The published points are
// not written down as the class's own.
func setPoints(c *contest.Class, m Msg) error {
	p, err := points.Parse(m.Text)
	if err != nil {
		return err
	}
	key, mark := m.Arg(0), m.Arg(1)
	c.Pairs = slices.DeleteFunc(c.Pairs, func(q contest.PairPoints) bool { return q.Key == key && q.Mark == mark })
	if PublishedPoints(*c, key, mark) != p {
		c.Pairs = append(c.Pairs, contest.PairPoints{Key: key, Mark: mark, Points: p})
	}
	return nil
}

// PublishedPoints is what a mark earns against a key by the published table.
func PublishedPoints(c contest.Class, key, mark string) points.Points {
	answers := c.Answers()
	k, i := slices.Index(answers, key), slices.Index(answers, mark)
	if k < 0 || i < 0 {
		return 0
	}
	return contest.PublishedTable(answers, c.Items, c.Worth).Points[k][i]
}

// PointsOf is what a mark earns against a key in the class, and whether that
// is the class's own and not the published value.
func PointsOf(c contest.Class, key, mark string) (points.Points, bool) {
	for _, p := range c.Pairs {
		if p.Key == key && p.Mark == mark {
			return p.Points, true
		}
	}
	return PublishedPoints(c, key, mark), false
}

// setWorth sets what a card without fault earns: a number of points, or ""
// for the published worth.
func setWorth(c *contest.Class, m Msg) error {
	text := strings.TrimSpace(m.Text)
	if len(m.Args) > 0 {
		text = m.Arg(0)
	}
	if text == "" {
		c.Worth = 0
		return nil
	}
	p, err := points.Parse(text)
	if err != nil {
		return err
	}
	c.Worth = p
	return nil
}

// classRemove takes the class out. Its key and cards stay in the records and
// come back with it.
func classRemove(s *State, m Msg) []Effect {
	if s.Open == nil || !s.Setup.Remove {
		return nil
	}
	c, ok := s.Open.Contest.Class(s.Page.Number(0))
	if !ok {
		return nil
	}
	s.Setup.Remove = false
	effects := s.write(m, "owner", written{Subject: classSubject(c.No)})
	if len(effects) == 0 {
		return nil
	}
	effects = append(effects, s.goTo(m, Page{Name: "contest", Contest: s.Page.Contest})...)
	s.Notice = Notice{Tone: "info", Text: words.T("class.removed", c.Name), Fix: words.T("class.removed-fix")}
	return effects
}

// CardsIn counts the cards keyed in a class, in question or not.
func (s *State) CardsIn(class uint32) int {
	n := 0
	for _, sub := range s.Open.Contest.State().Subjects(record.KindCard) {
		if sub.A != class {
			continue
		}
		if cur := s.Open.Contest.State().Current(sub); cur.Status == merge.InQuestion || cur.Status != merge.Absent && cur.Values[0] != "" {
			n++
		}
	}
	return n
}

// Regraded is an item whose official answer is not what the class's book, as
// it is chosen now, makes of what the officials saw.
type Regraded struct {
	Item      int
	Key, Book string
}

// Regrade grades what was seen on the items of a class again. Items on which
// nothing was noted, or whose official said why they differ, are left out.
func (s *State) Regrade(c contest.Class) []Regraded {
	b, err := c.RuleBook()
	if c.Kind != contest.Graded || err != nil {
		return nil
	}
	var out []Regraded
	for i, item := range s.Open.Contest.Key(c).Items {
		seen := s.Open.Contest.Seen(c.No, uint32(i+1))
		if item.Answer == "" || len(seen.Findings) == 0 || seen.Official != "" {
			continue
		}
		v, err := grading.Grade(b, c.SettingOf(seen), seen.Findings)
		if err == nil && v.Grade != item.Answer && !slices.Contains(item.Also, v.Grade) {
			out = append(out, Regraded{i + 1, item.Answer, v.Grade})
		}
	}
	return out
}
