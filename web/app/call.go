package app

import (
	"encoding/base64"
	"maps"
	"slices"
	"strings"

	"keelcard/engine"
	"keelcard/engine/amount"
	"keelcard/engine/egg"
	"keelcard/engine/grading"
	"keelcard/engine/rulebook"
	"keelcard/engine/tree"
	"keelcard/web/words"
)

// Call is a single call, with no contest at all: of a bird, a part, an egg, a
// piece or a carton. It is kept on the phone with every change.
type Call struct {
	Finder Finder     `json:"-"`
	Now    CallBird   `json:"now"`
	Past   []CallBird `json:"past,omitempty"` // what undo goes back to, the newest last
	Rest   []CallBird `json:"rest,omitempty"` // the last call of each other thing, as it was left
	Link   Notice     `json:"-"`              // what came of the link that was opened last

	tag string // of the last change
}

// CallBird is the bird of a call, or what else is judged, and how.
type CallBird struct {
	Book     string                       `json:"book"`
	Kind     string                       `json:"kind"`
	Weight   amount.Weight                `json:"weight"`
	Choices  map[string]map[string]string `json:"choices,omitempty"` // by book, where they are not the book's own
	Findings []grading.Finding            `json:"findings,omitempty"`
}

const (
	mostFindings = 40 // of one call
	mostPast     = 30 // steps to take back
)

// Things lists what can be called, by its drawing, with the books for it, the
// usual one first. A book is read only when it is asked for.
var Things = []struct {
	Drawing string
	books   []string
}{
	{rulebook.DrawBird, []string{"carcass-youth", "carcass-federal"}},
	{rulebook.DrawPart, []string{partsBook, "parts-federal"}},
	{rulebook.DrawShell, []string{"egg-shell"}},
	{rulebook.DrawLight, []string{"egg-candled"}},
	{rulebook.DrawOpened, []string{"egg-opened"}},
	{rulebook.DrawPiece, []string{"breaded"}},
	{rulebook.DrawCarton, []string{"carton"}},
}

// CallBooks lists the books by which what is on a drawing can be called.
func CallBooks(drawing string) []string {
	for _, t := range Things {
		if t.Drawing == drawing {
			return t.books
		}
	}
	return nil
}

// usualBird is what a bird weighs where nothing else is known, ready to cook.
const usualBird = 4 * amount.Pound

// firstCall is the bird of a phone that made no call yet.
func firstCall() CallBird {
	return CallBird{Book: "carcass-youth", Kind: "chicken", Weight: usualBird}
}

// Bird is the call's bird under its book.
func (c CallBird) Bird() Bird { return c.Under(c.Book) }

// noBook stands for a book that this phone does not have. It grades nothing.
var noBook = &rulebook.Book{}

// Under is the bird as another book would have it: of a kind and a weight that
// the book judges.
func (c CallBird) Under(id string) Bird {
	b, ok := rulebook.ByID(id)
	if !ok {
		return Bird{Book: noBook, Findings: c.Findings}
	}
	bird := Bird{Book: b, Setting: grading.Setting{Kind: c.Kind, Weight: c.Weight, Choices: c.Choices[id]}, Findings: c.Findings}
	bird.fit()
	return bird
}

// fit gives a kind and a weight that the book judges, where it asks for them.
func (b *Bird) fit() {
	if !slices.ContainsFunc(b.Book.Kinds, func(k rulebook.Bird) bool { return k.ID == b.Setting.Kind }) {
		b.Setting.Kind = ""
		if len(b.Book.Kinds) > 0 {
			b.Setting.Kind = b.Book.Kinds[0].ID
		}
	}
	groups := WeightGroups(b.Book, b.Setting)
	switch {
	case len(groups) == 0:
		b.Setting.Weight = 0
	case slices.ContainsFunc(groups, func(g WeightGroup) bool { return g.Holds(b.Setting.Weight) }):
	case groups[0].Name != "":
		b.Setting.Weight = egg.LargeEgg
	case slices.ContainsFunc(groups, func(g WeightGroup) bool { return g.Holds(usualBird) }):
		b.Setting.Weight = usualBird
	default:
		b.Setting.Weight = groups[0].Typical
	}
}

// check finds what is wrong with a call that came from outside.
func (c CallBird) check() error {
	book, ok := rulebook.ByID(c.Book)
	if !ok {
		return engine.New("app.call-book", "", words.T("call.no-book", clip(c.Book)), words.T("call.no-book-fix"))
	}
	if len(c.Findings) > mostFindings {
		return engine.New("app.call-many", "", words.T("call.many", len(c.Findings)), words.T("call.many-fix", mostFindings))
	}
	for id, choices := range c.Choices {
		b, ok := rulebook.ByID(id)
		if !ok {
			return engine.New("app.call-book", "", words.T("call.no-book", clip(id)), words.T("call.no-book-fix"))
		}
		if _, err := b.Resolve(choices); err != nil {
			return err
		}
	}
	bird := c.Bird()
	if bird.Setting.Kind != c.Kind || bird.Setting.Weight != c.Weight {
		return engine.New("app.call-bird", "", words.T("call.no-bird", clip(c.Kind), c.Weight), words.T("call.no-bird-fix"))
	}
	j := bird.Judge()
	if j.Err != nil {
		return j.Err
	}
	for _, i := range j.Aside {
		if !named(Drawing(book), c.Findings[i]) {
			return engine.New("app.call-finding", "", words.T("call.no-finding", clip(c.Findings[i].Defect), clip(c.Findings[i].Site)), words.T("call.no-book-fix"))
		}
	}
	return nil
}

// named tells whether some book of what is drawn knows a finding.
func named(drawing string, f grading.Finding) bool {
	for _, id := range CallBooks(drawing) {
		bird := CallBird{Book: id, Findings: []grading.Finding{f}}.Bird()
		if j := bird.Judge(); j.Err == nil && len(j.Aside) == 0 {
			return true
		}
	}
	return false
}

func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}

// restore reads what the phone kept of the call. What cannot be read is as if
// there had been none.
func (c *Call) restore(data []byte) {
	var kept Call
	if tree.Read(data, &kept) != nil || kept.Now.check() != nil {
		return
	}
	bad := func(p CallBird) bool { return p.check() != nil }
	kept.Past, kept.Rest = slices.DeleteFunc(kept.Past, bad), slices.DeleteFunc(kept.Rest, bad)
	*c = kept
}

var callFinder = finderPage{
	name: "call",
	bird: func(s *State) (Bird, *Finder, error) {
		return s.Call.bird().Bird(), &s.Call.Finder, nil
	},
	keep: func(s *State, m Msg, findings []grading.Finding, tag string) ([]Effect, error) {
		next := s.Call.bird()
		next.Findings = findings
		return s.changeCall(next, tag)
	},
}

func (c *Call) bird() CallBird {
	if c.Now.Book == "" {
		return firstCall()
	}
	return c.Now
}

// CallBird is the bird of the call, whether or not one was begun.
func (s *State) CallBird() CallBird { return s.Call.bird() }

func callHandlers() handlers {
	out := callFinder.handlers()
	maps.Copy(out, handlers{
		"enter.call":  callEnter,
		"key.call":    callKey,
		"call.book":   callBook,
		"call.thing":  callThing,
		"call.kind":   callKind,
		"call.weight": callWeight,
		"call.option": callOption,
		"call.new":    callNew,
		"call.undo":   callUndo,
		"call.share":  callShare,
	})
	return out
}

// changeCall takes a changed call in and asks for it to be kept. Changes with
// the same tag in a row are one step to take back.
func (s *State) changeCall(next CallBird, tag string) ([]Effect, error) {
	if err := next.check(); err != nil {
		return nil, err
	}
	c := &s.Call
	if tag == "" || tag != c.tag {
		c.Past = append(c.Past, c.bird())
		c.Past = c.Past[max(0, len(c.Past)-mostPast):]
	}
	c.Now, c.tag, c.Link = next, tag, Notice{}
	return s.keepCall(), nil
}

func (s *State) keepCall() []Effect {
	if s.ReadOnly {
		return nil
	}
	return []Effect{s.save(Op{BucketMeta, "call", tree.Write(&s.Call)})}
}

// setCall is changeCall for a change that is a step of its own.
func (s *State) setCall(next CallBird) []Effect {
	effects, err := s.changeCall(next, "")
	if err != nil {
		return s.refuse(err)
	}
	s.Notice = Notice{}
	return effects
}

// callEnter opens the call that the address holds. What was there before can
// be had back by undo.
func callEnter(s *State, m Msg) []Effect {
	code := s.Page.Arg(0)
	if code == "" {
		return nil
	}
	s.Page.Args = nil
	effects := []Effect{Route{Hash: s.Page.Hash()}}
	next, err := DecodeCall(code)
	if err != nil {
		s.Call.Link = noticeOf(err)
		return effects
	}
	s.Call.Finder = Finder{}
	effects = append(effects, s.setCall(next)...)
	s.Call.Link = Notice{Tone: "info", Text: words.T("call.opened")}
	return effects
}

func callKey(s *State, m Msg) []Effect {
	if effects, ok := callFinder.keyPressed(s, m); ok {
		return effects
	}
	if m.Arg(0) == "u" {
		return callUndo(s, m)
	}
	return nil
}

// callBook judges the bird by another book. Where that is about another thing,
// what was called of it last comes back.
func callBook(s *State, m Msg) []Effect {
	now := s.Call.bird()
	b, ok := rulebook.ByID(m.Arg(0))
	if !ok || b.ID == now.Book {
		return nil
	}
	next := now
	if was := now.Bird().Book; Drawing(b) != Drawing(was) {
		next = s.Call.putAside(now, b)
		s.Call.Finder = Finder{}
	}
	next.Book = b.ID
	next.fit()
	return s.setCall(next)
}

// putAside keeps a call for when its thing is called again, and gives what was
// called last of the thing that a book is about.
func (c *Call) putAside(now CallBird, b *rulebook.Book) CallBird {
	last := CallBird{Book: b.ID}
	of := func(drawing string) func(CallBird) bool {
		return func(o CallBird) bool { return Drawing(o.Bird().Book) == drawing }
	}
	if i := slices.IndexFunc(c.Rest, of(Drawing(b))); i >= 0 {
		last = c.Rest[i]
	}
	rest := slices.DeleteFunc(slices.Clone(c.Rest), of(Drawing(b)))
	c.Rest = append(slices.DeleteFunc(rest, of(Drawing(now.Bird().Book))), now)
	return last
}

// callThing calls another thing, by the book that was used for it last.
func callThing(s *State, m Msg) []Effect {
	if Drawing(s.Call.bird().Bird().Book) == m.Arg(0) {
		return nil
	}
	for _, c := range s.Call.Rest {
		if Drawing(c.Bird().Book) == m.Arg(0) {
			m.Args = []string{c.Book}
			return callBook(s, m)
		}
	}
	for _, id := range CallBooks(m.Arg(0)) {
		m.Args = []string{id}
		return callBook(s, m)
	}
	return nil
}

// fit gives the bird a kind and a weight that its book judges.
func (c *CallBird) fit() {
	setting := c.Bird().Setting
	c.Kind, c.Weight = setting.Kind, setting.Weight
}

func callKind(s *State, m Msg) []Effect {
	next := s.Call.bird()
	next.Kind = m.Arg(0)
	if !slices.ContainsFunc(next.Bird().Book.Kinds, func(k rulebook.Bird) bool { return k.ID == next.Kind }) {
		return nil
	}
	next.fit()
	return s.setCall(next)
}

// callWeight chooses a group of weights, counted from 1.
func callWeight(s *State, m Msg) []Effect {
	next := s.Call.bird()
	bird := next.Bird()
	for i, g := range WeightGroups(bird.Book, bird.Setting) {
		if itoa(i+1) == m.Arg(0) {
			next.Weight = g.Typical
			return s.setCall(next)
		}
	}
	return nil
}

// callOption decides a point where sources differ, for this bird.
func callOption(s *State, m Msg) []Effect {
	next := s.Call.bird()
	choice, option := m.Arg(0), m.Arg(1)
	b := next.Bird().Book
	i := slices.IndexFunc(b.Choices, func(c rulebook.Choice) bool { return c.ID == choice })
	if i < 0 {
		return nil
	}
	all := maps.Clone(next.Choices)
	if all == nil {
		all = map[string]map[string]string{}
	}
	own := maps.Clone(all[b.ID])
	if own == nil {
		own = map[string]string{}
	}
	own[choice] = option
	if option == b.Choices[i].Default {
		delete(own, choice)
	}
	all[b.ID] = own
	if len(own) == 0 {
		delete(all, b.ID)
	}
	next.Choices = all
	next.fit()
	return s.setCall(next)
}

// callNew begins with another bird of the same kind.
func callNew(s *State, m Msg) []Effect {
	next := s.Call.bird()
	s.Call.Finder = Finder{}
	if len(next.Findings) == 0 {
		return []Effect{Top{}}
	}
	next.Findings = nil
	return append(s.setCall(next), Top{})
}

// callUndo takes the last change of the call back.
func callUndo(s *State, m Msg) []Effect {
	c := &s.Call
	if len(c.Past) == 0 {
		s.Notice = Notice{Tone: "info", Text: words.T("core.nothing-to-undo")}
		return nil
	}
	c.Now, c.Past, c.tag = c.Past[len(c.Past)-1], c.Past[:len(c.Past)-1], ""
	c.Finder.Site, c.Finder.Fault, c.Link = "", Fault{}, Notice{}
	if c.Finder.Open > len(c.Now.Findings) {
		c.Finder.Open = 0
	}
	s.Notice = Notice{}
	return s.keepCall()
}

// callShare hands the verdict on as a line of text and a link that opens the
// same call.
func callShare(s *State, m Msg) []Effect {
	c := s.Call.bird()
	bird := c.Bird()
	j := bird.Judge()
	if j.Err != nil {
		return s.refuse(j.Err)
	}
	text := words.T("verdict.shared", Sentence(bird, j), bird.Book.Title, bird.Book.Edition)
	hash := Page{Name: "call", Args: []string{EncodeCall(c)}}.Hash()
	return []Effect{ShareText{Tag: "call", Title: words.T("call.title"), Text: text, Hash: hash}}
}

// linked is a call as it stands in a link. Notes are left out: they may name
// people.
type linked struct {
	Book     string                       `json:"b"`
	Kind     string                       `json:"k"`
	Weight   amount.Weight                `json:"w"`
	Choices  map[string]map[string]string `json:"o,omitempty"`
	Findings []linkedFinding              `json:"f,omitempty"`
}

type linkedFinding struct {
	Defect     string         `json:"d"`
	Site       string         `json:"s"`
	Count      int            `json:"n,omitempty"`
	Length     *amount.Length `json:"l,omitempty"`
	Depth      *amount.Length `json:"h,omitempty"`
	Weight     *amount.Weight `json:"g,omitempty"`
	Share      *amount.Share  `json:"p,omitempty"`
	PartLength *amount.Length `json:"q,omitempty"`
	View       string         `json:"v,omitempty"`
	X          int            `json:"x,omitempty"`
	Y          int            `json:"y,omitempty"`
	Sure       string         `json:"u,omitempty"`
}

// mostCode is the longest call that is read from a link, in letters.
const mostCode = 8 << 10

// codeVersion begins every call in a link.
const codeVersion = "1"

// EncodeCall writes a call for a link.
func EncodeCall(c CallBird) string {
	l := linked{Book: c.Book, Kind: c.Kind, Weight: c.Weight, Choices: c.Choices}
	for _, f := range c.Findings {
		l.Findings = append(l.Findings, linkedFinding{f.Defect, f.Site, f.Count, f.Length, f.Depth, f.Weight, f.Share, f.PartLength, f.View, f.X, f.Y, f.Sure})
	}
	return codeVersion + base64.RawURLEncoding.EncodeToString(tree.Write(&l))
}

// DecodeCall reads a call from a link. The text is hostile until it is
// checked: the error says what is wrong with it.
func DecodeCall(code string) (CallBird, error) {
	if len(code) > mostCode {
		return CallBird{}, engine.New("app.call-link", "", words.T("call.link-long", len(code)), words.T("call.link-fix"))
	}
	broken := engine.New("app.call-link", "", words.T("call.link-broken"), words.T("call.link-fix"))
	if code != "" && !strings.HasPrefix(code, codeVersion) {
		return CallBird{}, engine.New("app.call-link", "", words.T("call.link-newer"), words.T("call.link-newer-fix"))
	}
	data, err := base64.RawURLEncoding.DecodeString(strings.TrimPrefix(code, codeVersion))
	if err != nil {
		return CallBird{}, broken
	}
	var l linked
	if tree.Read(data, &l) != nil {
		return CallBird{}, broken
	}
	c := CallBird{Book: l.Book, Kind: l.Kind, Weight: l.Weight, Choices: l.Choices}
	for _, f := range l.Findings {
		c.Findings = append(c.Findings, grading.Finding{
			Defect: f.Defect, Site: f.Site, Count: f.Count, Length: f.Length, Depth: f.Depth, Weight: f.Weight, Share: f.Share,
			PartLength: f.PartLength, View: f.View, X: f.X, Y: f.Y, Sure: f.Sure,
		})
	}
	if err := c.check(); err != nil {
		return CallBird{}, err
	}
	return c, nil
}
