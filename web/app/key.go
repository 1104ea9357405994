package app

import (
	"crypto/sha256"
	"encoding/hex"
	"maps"
	"slices"
	"strconv"
	"strings"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/grading"
	"keelcard/engine/merge"
	"keelcard/engine/placing"
	"keelcard/engine/record"
	"keelcard/engine/rulebook"
	"keelcard/engine/tree"
	"keelcard/web/words"
)

// KeyPage is the official key of a class being set, item by item. Which class
// and item is in the address; what is set is in records at once.
type KeyPage struct {
	Finder  Finder
	Order   []uint8 // hens placed so far, the best first; nil when none is being placed
	Placing bool    // the order is being tapped anew
	Correct bool    // an answer of a locked key is being corrected
	Last    Said    // the last entry, to be read back
	Fault   Fault   // a reason or note that could not be taken
	Search  string  // of the names to choose from
	Paste   KeyPaste

	photo record.Subject // the item that a photo was asked for
}

// Said is an entry to be read back: on which item, and what.
type Said struct{ Item, Value string }

// role of everything that is written about a key.
const official = "official"

// KeyNow is what the key page is about.
type KeyNow struct {
	Class  contest.Class
	Item   uint32 // counted from 1; 0 for a placing class
	Key    contest.Key
	Answer contest.KeyItem
	Status merge.Status
	Seen   contest.Seen
	Bird   Bird   // of a class with a book
	Judged Judged // of a class with a book
	Closed bool   // the key is locked, and nothing is being corrected
	Sealed bool   // what is set for the item cannot be read on this phone, or nothing can be set on it
}

// Settled tells whether there is an answer that nobody questions.
func (k KeyNow) Settled() bool {
	return !k.Sealed && (k.Status == merge.Single || k.Status == merge.Confirmed)
}

// Differs tells whether the official answers other than the book does on what
// was noted.
func (k KeyNow) Differs() bool {
	by := k.ByBook()
	return by != "" && k.Settled() && len(k.Seen.Findings) > 0 && k.Answer.Answer != by
}

// ByBook is the answer that the book gives to what was noted, "" where it gives
// none.
func (k KeyNow) ByBook() string {
	switch {
	case k.Bird.Book == nil || k.Judged.Err != nil:
		return ""
	case k.Class.Kind == contest.Graded:
		return k.Judged.Grade
	}
	var ids []string
	present := grading.FaultsOf(k.Bird.Book, k.Judged.Verdict)
	listed, _ := k.Class.Faults()
	for _, f := range listed {
		if slices.ContainsFunc(present, func(p grading.Present) bool { return p.ID == f.ID }) {
			ids = append(ids, f.ID)
		}
	}
	return contest.JoinFaults(ids)
}

// AnswerText is an answer of the open item as it is spoken.
func (k KeyNow) AnswerText(answer string) string {
	if k.Class.Kind == contest.Graded && k.Bird.Book != nil {
		return GradeText(k.Bird.Book, answer)
	}
	return KeyText(k.Class, contest.KeyItem{Answer: answer})
}

// Subject is what a record about the answer of the open item is about.
func (k KeyNow) Subject() record.Subject { return contest.KeySubject(k.Class.No, k.Item) }

func (k KeyNow) seenSubject() record.Subject {
	return record.Subject{Kind: contest.KindSeen, A: k.Class.No, B: max(k.Item, 1)}
}

// Order is the official order of a placing class, not valid while there is none.
func (k KeyNow) Order() placing.Order {
	o, err := placing.ParseOrder(k.Answer.Answer)
	if err != nil {
		return placing.Order{}
	}
	return o
}

// KeyNow reads what the key page is about. It fails where there is no such
// class or item, or no book to judge by.
func (s *State) KeyNow() (KeyNow, error) {
	if s.Open == nil {
		return KeyNow{}, engine.New("app.no-contest", "", words.T("core.no-contest"), words.T("core.no-contest-fix"))
	}
	c := s.Open.Contest
	class, ok := c.Class(s.Page.Number(0))
	k := KeyNow{Class: class, Item: s.Page.Number(1)}
	slots := class.Slots()
	if !ok || slots == 0 {
		return k, engine.New("app.key-class", "", words.T("key.no-class", s.Page.Arg(0)), words.T("key.no-class-fix"))
	}
	k.Key = c.Key(class)
	items := len(k.Key.Items)
	switch {
	case class.Kind == contest.Awarded:
		k.Item = 0
		return k, nil
	case class.Kind == contest.Placing:
		k.Item = 0
	case k.Item < 1 || int(k.Item) > items:
		return k, engine.New("app.key-item", class.Name, words.T("key.no-item", s.Page.Arg(1)), words.T("key.no-item-fix", items))
	}
	slot := max(k.Item, 1) - 1
	k.Answer, k.Status = k.Key.Official[slot], k.Key.Status[slot]
	k.Seen = c.Seen(class.No, max(k.Item, 1))
	k.Closed = k.Key.Locked && !s.KeyPage.Correct
	k.Sealed = s.Sealed() || s.Veiled(k.Subject()) || s.Veiled(contest.RulingSubject(class.No, max(k.Item, 1))) || k.Item > 0 && s.Veiled(k.seenSubject())
	if class.Kind != contest.Graded && (class.Kind != contest.Checked || class.Book == "") {
		return k, nil
	}
	b, err := class.RuleBook()
	if err != nil {
		return k, err
	}
	k.Bird = Bird{Book: b, Setting: class.SettingOf(k.Seen), Findings: k.Seen.Findings}
	if k.Bird.Setting.Kind == "" && len(b.Kinds) > 0 { // parts and pieces, each of its own
		k.Bird.Setting.Kind = b.Kinds[0].ID
	}
	k.Judged = k.Bird.Judge()
	return k, nil
}

// keyOpen is KeyNow for a change: it fails where the key is locked, or sealed to
// this phone.
func (s *State) keyOpen() (KeyNow, error) {
	k, err := s.KeyNow()
	switch {
	case err != nil:
	case k.Sealed:
		err = sealedHere()
	case k.Closed:
		err = engine.New("app.key-locked", k.Class.Name, words.T("key.is-locked"), words.T("key.is-locked-fix"))
	}
	return k, err
}

// keyFinder puts what an official sees on the drawing.
func keyFinder() finderPage {
	return finderPage{
		name: "key",
		bird: func(s *State) (Bird, *Finder, error) {
			k, err := s.KeyNow()
			if err == nil && k.Bird.Book == nil {
				err = engine.New("app.key-class", k.Class.Name, words.T("key.no-bird"), words.T("key.no-bird-fix"))
			}
			return k.Bird, &s.KeyPage.Finder, err
		},
		keep: func(s *State, m Msg, findings []grading.Finding, _ string) ([]Effect, error) {
			return s.keepFindings(m, findings)
		},
	}
}

func keyHandlers() handlers {
	out := keyFinder().handlers()
	maps.Copy(out, keyNamedHandlers())
	maps.Copy(out, handlers{
		"enter.key":        keyEnter,
		"key.key":          keyKey,
		"key.item":         keyItem,
		"key.answer":       keyAnswer,
		"key.book":         keyBook,
		"key.kind":         keyKind,
		"key.official":     keyOfficial,
		"key.remark":       keyRemark,
		"key.say-why":      func(*State, Msg) []Effect { return []Effect{Focus{ID: "f-official"}} },
		"key.photo":        keyPhoto,
		"file.key-photo":   keyPhotoCame,
		"key.photo-remove": keyPhotoRemove,
		"key.lock":         keyLock,
		"key.correct":      keyCorrect,
		"key.undo":         keyUndo,
		"key.hen":          keyHen,
		"key.hen-back":     keyHenBack,
		"key.order":        keyOrder,
		"key.cut":          keyCut,
	})
	return out
}

// keyEnter opens the item that the address names, or the first without an
// answer.
func keyEnter(s *State, m Msg) []Effect {
	if s.Open == nil {
		return nil
	}
	class, ok := s.Open.Contest.Class(s.Page.Number(0))
	s.KeyPage = KeyPage{photo: s.KeyPage.photo}
	if class.Kind == contest.Placing {
		s.orderBegun(class)
	}
	if !ok || class.Kind == contest.Placing || class.Kind == contest.Awarded || s.Page.Number(1) > 0 {
		return nil
	}
	item := 0
	for i, status := range s.Open.Contest.Key(class).Status {
		if status == merge.Absent {
			item = i
			break
		}
	}
	return s.openItem(class, uint32(item)+1)
}

func (s *State) openItem(class contest.Class, item uint32) []Effect {
	s.Page.Args = []string{itoa(class.No), itoa(item)}
	s.KeyPage = KeyPage{Finder: Finder{View: s.KeyPage.Finder.View}, Last: s.KeyPage.Last, Paste: s.KeyPage.Paste, photo: s.KeyPage.photo}
	return []Effect{Route{Hash: s.Page.Hash()}}
}

// keyItem goes to another item.
func keyItem(s *State, m Msg) []Effect {
	k, err := s.KeyNow()
	if err != nil {
		return s.refuse(err)
	}
	n, err := strconv.ParseUint(m.Arg(0), 10, 32)
	if err != nil || n < 1 || int(n) > len(k.Key.Items) || k.Item == 0 {
		return nil
	}
	s.KeyPage.Finder = Finder{View: viewFront}
	effects := append(s.openItem(k.Class, uint32(n)), Top{})
	if k.Bird.Book != nil {
		effects = append(effects, Focus{ID: "bird-h"})
	}
	return effects
}

// keyKey does what a key of the keyboard stands for.
func keyKey(s *State, m Msg) []Effect {
	k, err := s.KeyNow()
	if err != nil {
		return nil
	}
	key := m.Arg(0)
	if k.Class.Kind == contest.Placing {
		m.Args = []string{key}
		switch key {
		case "1", "2", "3", "4":
			return keyHen(s, m)
		case "Backspace":
			return keyHenBack(s, m)
		}
		return nil
	}
	if k.Class.Kind == contest.Awarded {
		return nil
	}
	switch key {
	case "ArrowLeft", "ArrowRight":
		to := k.Item + 1
		if key == "ArrowLeft" {
			to = k.Item - 1
		}
		m.Args = []string{itoa(to)}
		return keyItem(s, m)
	case "u":
		return keyUndo(s, m)
	}
	if k.Bird.Book != nil {
		if effects, ok := keyFinder().keyPressed(s, m); ok {
			return effects
		}
	}
	if k.Class.Kind != contest.Graded {
		return keyKindKey(s, m, k, key)
	}
	if key == "Enter" {
		return keyBook(s, m)
	}
	if answer := nextLike(k.Class.Answers(), k.Answer.Answer, key); answer != "" {
		m.Args = []string{answer}
		return keyAnswer(s, m)
	}
	return nil
}

// nextLike is the answer that begins with a letter: the next one where several
// do and one of them is given.
func nextLike(answers []string, given, letter string) string {
	var like []string
	for _, a := range answers {
		if strings.EqualFold(a[:1], letter) {
			like = append(like, a)
		}
	}
	if len(like) == 0 {
		return ""
	}
	return like[(slices.Index(like, given)+1)%len(like)]
}

// keyKind says what kind the open item is of: which part, which product. It is
// kept even if it is the usual one, which the class may change later.
func keyKind(s *State, m Msg) []Effect {
	k, err := s.keyOpen()
	if err != nil {
		return s.refuse(err)
	}
	kind := m.Arg(0)
	if k.Bird.Book == nil || !slices.ContainsFunc(k.Bird.Book.Kinds, func(b rulebook.Bird) bool { return b.ID == kind }) {
		return nil
	}
	seen := k.Seen
	seen.Kind = kind
	effects, err := s.keepSeen(m, k, seen)
	if err != nil {
		return s.refuse(err)
	}
	return effects
}

// keepFindings writes what was seen.
func (s *State) keepFindings(m Msg, findings []grading.Finding) ([]Effect, error) {
	k, err := s.keyOpen()
	if err != nil {
		return nil, err
	}
	seen := k.Seen
	seen.Findings = findings
	effects, err := s.keepSeen(m, k, seen)
	if err != nil {
		return nil, err
	}
	text := words.T("key.said-none")
	if n := len(findings); n > 0 {
		i := n - 1
		if open := s.KeyPage.Finder.Open; open > 0 && open <= n {
			i = open - 1
		}
		text = FindingText(k.Bird.Book, findings[i])
	}
	steps := m.Do == "key.step" || m.Do == "key.count" || m.Do == "key" // every step would be too much to hear
	return append(effects, s.say(k, text, steps)...), nil
}

// keepSeen writes what was seen. The answer goes with the book's verdict as long
// as the official has not chosen another.
func (s *State) keepSeen(m Msg, k KeyNow, seen contest.Seen) ([]Effect, error) {
	after := k
	after.Seen = seen
	after.Bird.Findings = seen.Findings
	if seen.Kind != k.Seen.Kind {
		after.Bird.Setting.Kind = or(seen.Kind, k.Class.Bird)
	}
	after.Judged = after.Bird.Judge()
	if after.Judged.Err != nil {
		return nil, after.Judged.Err
	}
	var entries []written
	follows := k.Status == merge.Absent && len(seen.Findings) > 0 || k.Settled() && k.Judged.Err == nil && k.Answer.Answer == k.ByBook()
	if follows && !k.Key.Locked {
		after.Answer.Answer = after.ByBook()
		after.Seen.Official = ""
		value, err := after.Answer.Write(k.Class)
		if err != nil {
			return nil, err
		}
		entries = append(entries, written{Subject: k.Subject(), Value: value})
	}
	value, err := after.Seen.Write()
	if err != nil {
		return nil, err
	}
	// What was seen comes last, so that taking it back is the first step of undo.
	return s.record(m, append(entries, written{Subject: k.seenSubject(), Value: value})...)
}

// record writes records of the key.
func (s *State) record(m Msg, entries ...written) ([]Effect, error) {
	ops, err := s.append(m, official, entries...)
	if err != nil || len(ops) == 0 {
		return nil, err
	}
	return []Effect{s.save(ops...)}, nil
}

// say reads an entry back, aloud where that is wanted.
func (s *State) say(k KeyNow, text string, quiet bool) []Effect {
	s.KeyPage.Last = Said{Item: k.ItemName(), Value: text}
	if !s.Phone.Aloud || quiet {
		return nil
	}
	return []Effect{Speak{Text: words.T("key.said", s.KeyPage.Last.Item, text)}}
}

// change writes records of the key and reads the entry back.
func (s *State) changeKey(m Msg, k KeyNow, text string, entries ...written) []Effect {
	effects, err := s.record(m, entries...)
	if err != nil {
		return s.refuse(err)
	}
	s.Notice = Notice{}
	return append(effects, s.say(k, text, false)...)
}

// keyAnswer sets the official answer of the open item.
func keyAnswer(s *State, m Msg) []Effect {
	k, err := s.keyOpen()
	if err != nil {
		return s.refuse(err)
	}
	return s.answerKey(m, k, m.Arg(0))
}

// answerKey writes an answer of the open item. An item in question is settled
// with both answers in sight, not from here.
func (s *State) answerKey(m Msg, k KeyNow, answer string) []Effect {
	if k.Status == merge.InQuestion {
		return s.refuse(engine.New("app.key-question", k.ItemName(), words.T("key.in-question"), words.T("key.in-question-fix")))
	}
	item := k.Answer
	item.Answer = answer
	item.Also = slices.DeleteFunc(slices.Clone(item.Also), func(a string) bool { return a == answer })
	value, err := item.Write(k.Class)
	if err != nil {
		return s.refuse(err)
	}
	entries := []written{{Subject: k.Subject(), Value: value}}
	after := k
	after.Answer, after.Status = item, merge.Single
	if k.Seen.Official != "" && !after.Differs() && !k.Key.Locked {
		seen := k.Seen
		seen.Official = ""
		text, err := seen.Write()
		if err != nil {
			return s.refuse(err)
		}
		entries = append(entries, written{Subject: k.seenSubject(), Value: text})
	}
	effects := s.changeKey(m, k, k.AnswerText(answer), entries...)
	if after.Differs() && k.Seen.Official == "" && len(effects) > 0 {
		s.KeyPage.Finder = Finder{View: s.KeyPage.Finder.View}
	}
	return effects
}

// keyBook takes the book's verdict as the answer.
func keyBook(s *State, m Msg) []Effect {
	k, err := s.keyOpen()
	switch {
	case err != nil:
		return s.refuse(err)
	case k.Bird.Book == nil:
		return nil
	case k.Judged.Err != nil:
		return s.refuse(k.Judged.Err)
	}
	return s.answerKey(m, k, k.ByBook())
}

// maxRemark is the longest remark or reason of an official, in letters.
const maxRemark = 500

// keyOfficial says why the official answers other than the book, or why an
// answer was corrected.
func keyOfficial(s *State, m Msg) []Effect {
	return s.writeSeen(m, "official", func(seen *contest.Seen) { seen.Official = m.Text })
}

// keyRemark puts a note to the item.
func keyRemark(s *State, m Msg) []Effect {
	return s.writeSeen(m, "remark", func(seen *contest.Seen) { seen.Note = m.Text })
}

func (s *State) writeSeen(m Msg, field string, change func(*contest.Seen)) []Effect {
	k, err := s.keyOpen()
	if err != nil {
		return s.refuse(err)
	}
	if n := len([]rune(m.Text)); n > maxRemark {
		s.KeyPage.Fault = Fault{Field: field, Text: m.Text, What: words.T("finding.note-long", n, maxRemark)}
		return nil
	}
	before, _ := k.Seen.Write() // as it was read
	change(&k.Seen)
	value, err := k.Seen.Write()
	if err != nil {
		return s.refuse(err)
	}
	s.KeyPage.Fault = Fault{}
	if value == before {
		return nil
	}
	effects, err := s.record(m, written{Subject: k.seenSubject(), Value: value})
	if err != nil {
		return s.refuse(err)
	}
	return effects
}

// keyPhoto asks for a photo of the open item.
func keyPhoto(s *State, m Msg) []Effect {
	k, err := s.keyOpen()
	if err != nil {
		return s.refuse(err)
	}
	s.KeyPage.photo = k.seenSubject()
	return []Effect{Pick{Tag: "key-photo", Accept: "image/*", Photo: true}}
}

// keyPhotoCame keeps a photo and the word of it in one piece.
func keyPhotoCame(s *State, m Msg) []Effect {
	sub := s.KeyPage.photo
	if len(m.Bytes) == 0 || s.Open == nil || sub.Kind != contest.KindSeen {
		return nil
	}
	sum := sha256.Sum256(m.Bytes)
	seen := s.Open.Contest.Seen(sub.A, sub.B)
	seen.Photo = hex.EncodeToString(sum[:])
	value, err := seen.Write()
	if err != nil {
		return s.refuse(err)
	}
	ops, err := s.append(m, official, written{Subject: sub, Value: value})
	if err != nil {
		return s.refuse(err)
	}
	s.Notice = Notice{}
	return []Effect{s.save(append(ops, Op{BucketBlob, seen.Photo, m.Bytes})...)}
}

// keyPhotoRemove takes the photo off the item. The picture itself stays on the
// phone, so that undo has it.
func keyPhotoRemove(s *State, m Msg) []Effect {
	return s.writeSeen(m, "photo", func(seen *contest.Seen) { seen.Photo = "" })
}

// keyLock locks the key of the class: from then on an answer changes by an
// explicit correction only.
func keyLock(s *State, m Msg) []Effect {
	k, err := s.KeyNow()
	if err != nil {
		return s.refuse(err)
	}
	if k.Class.Kind == contest.Awarded {
		return nil
	}
	if n := k.Key.Missing(); n > 0 {
		return s.refuse(engine.New("app.key-missing", k.Class.Name, words.N("key.missing", n), words.T("key.missing-fix")))
	}
	effects := s.changeKey(m, k, words.T("key.said-locked"), written{Subject: record.Subject{Kind: record.KindLock, A: k.Class.No}, Value: contest.LockValue})
	return append(effects, Top{})
}

// keyCorrect opens an answer of a locked key for correction, or closes it.
func keyCorrect(s *State, m Msg) []Effect {
	if k, err := s.KeyNow(); err != nil || !k.Key.Locked {
		return nil
	}
	s.KeyPage.Correct = !s.KeyPage.Correct
	s.KeyPage.Placing, s.KeyPage.Order = false, nil
	return nil
}

// keyUndo takes back the last tap: what was seen, and the answer that went
// with it.
func keyUndo(s *State, m Msg) []Effect {
	first, _, ok := s.UndoTarget()
	effects := undo(s, m)
	if len(effects) == 0 {
		return effects
	}
	said := s.Notice
	if next, _, more := s.UndoTarget(); ok && more && together(next, first) {
		effects = append(effects, undo(s, m)...)
		s.Notice = said
	}
	s.KeyPage.Finder = Finder{View: s.KeyPage.Finder.View}
	s.KeyPage.Last, s.KeyPage.Order, s.KeyPage.Placing = Said{}, nil, false
	class, _ := s.Open.Contest.Class(s.Page.Number(0))
	return append(effects, s.keepOrder(class)...)
}

// together tells whether a record about an answer and one about what was seen
// came from one tap.
func together(earlier, later record.Record) bool {
	return earlier.Seq+1 == later.Seq && earlier.Stamp.Wall == later.Stamp.Wall &&
		earlier.Subject.Kind == record.KindKey && later.Subject.Kind == contest.KindSeen &&
		earlier.Subject.A == later.Subject.A && earlier.Subject.B == later.Subject.B
}

// keyHen puts a hen on the next place. The last hen needs no tap.
func keyHen(s *State, m Msg) []Effect {
	k, err := s.keyOpen()
	if err != nil {
		return s.refuse(err)
	}
	n, err := strconv.Atoi(m.Arg(0))
	p := &s.KeyPage
	if err != nil || n < 1 || n > placingItems || k.Class.Kind != contest.Placing || slices.Contains(p.Order, uint8(n)) {
		return nil
	}
	if k.Settled() && !p.Placing {
		return nil
	}
	order := append(slices.Clone(p.Order), uint8(n))
	if len(order) < placingItems-1 {
		p.Order = order
		return s.keepOrder(k.Class)
	}
	whole := placing.Order{order[0], order[1], order[2], 10 - order[0] - order[1] - order[2]}
	effects := s.answerKey(m, k, whole.String())
	if len(effects) > 0 || s.Notice.Tone != "bad" {
		p.Order, p.Placing = nil, false
		effects = append(effects, s.keepOrder(k.Class)...)
	}
	return effects
}

// orderBegun goes on with an order that was begun before the page was left.
func (s *State) orderBegun(class contest.Class) {
	d := s.Keying.drafts[cardOf(class.No, 0)]
	for _, hen := range d.Marks {
		if len(d.Marks) < placingItems-1 && hen >= 1 && hen <= placingItems && !slices.Contains(s.KeyPage.Order, uint8(hen)) {
			s.KeyPage.Order = append(s.KeyPage.Order, uint8(hen))
			s.KeyPage.Placing = true
		}
	}
}

// keepOrder keeps the order of a key as far as it is told. It is a draft like
// those of cards, of the number that no contestant has.
func (s *State) keepOrder(class contest.Class) []Effect {
	k := &s.Keying
	sub := cardOf(class.No, 0)
	if _, kept := k.drafts[sub]; !s.KeyingReady() || !kept && len(s.KeyPage.Order) == 0 {
		return nil
	}
	op := Op{Bucket: BucketDraft, Key: draftKey(k.contest, class.No, 0)}
	delete(k.drafts, sub)
	if len(s.KeyPage.Order) > 0 {
		d := Draft{Class: class.No}
		for _, hen := range s.KeyPage.Order {
			d.Marks = append(d.Marks, int(hen))
		}
		k.drafts[sub] = d
		op.Value = tree.Write(&d)
	}
	return []Effect{s.save(op)}
}

func keyHenBack(s *State, m Msg) []Effect {
	n := len(s.KeyPage.Order)
	if n == 0 {
		s.KeyPage.Placing = false
		return nil
	}
	s.KeyPage.Order = s.KeyPage.Order[:n-1]
	class, _ := s.Open.Contest.Class(s.Page.Number(0))
	return s.keepOrder(class)
}

// keyOrder begins the order anew. The old one stands until the new is whole.
func keyOrder(s *State, m Msg) []Effect {
	if _, err := s.keyOpen(); err != nil {
		return s.refuse(err)
	}
	s.KeyPage.Placing, s.KeyPage.Order = true, nil
	return nil
}

// keyCut makes one of the three cuts larger or smaller.
func keyCut(s *State, m Msg) []Effect {
	k, err := s.keyOpen()
	if err != nil {
		return s.refuse(err)
	}
	i, err := strconv.Atoi(m.Arg(0))
	by, err2 := strconv.Atoi(m.Arg(1))
	if err != nil || err2 != nil || i < 1 || i > 3 || by < -1 || by > 1 || !k.Settled() || k.Class.Kind != contest.Placing {
		return nil
	}
	item := k.Answer
	next := int(item.Cuts[i-1]) + by
	if next < 0 {
		return nil
	}
	item.Cuts[i-1] = uint8(next)
	if err := placing.Cuts(item.Cuts).Validate(); err != nil {
		s.KeyPage.Fault = faultOf("cuts", "", err)
		return nil
	}
	s.KeyPage.Fault = Fault{}
	value, err := item.Write(k.Class)
	if err != nil {
		return s.refuse(err)
	}
	return s.changeKey(m, k, placing.Cuts(item.Cuts).String(), written{Subject: k.Subject(), Value: value})
}
