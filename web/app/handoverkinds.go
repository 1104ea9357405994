package app

import (
	"bytes"
	"encoding/base64"
	"strings"
	"unicode/utf8"

	"keelcard/engine"
	"keelcard/engine/codec"
	"keelcard/engine/seal"
	"keelcard/web/words"
)

// Arrival is a file or text that came to this phone, and what it is.
type Arrival struct {
	Name string
	Kind string // of a comingKind
	data []byte // what counts of it, out of its text form or its link
}

// comingKind is one of the things that may arrive. What a kind is called on
// the page, and what to do with it, stands under take-in.is-, take-in.fix- and
// take-in.open- in the words.
type comingKind struct {
	name string
	find func(l looked) []byte // what counts of it, nil when it is none
	// lead opens the page that the arrival is for. Nil leads nowhere: it is only
	// said what it is.
	lead func(s *State, m Msg, a Arrival) []Effect
	// look takes the arrival in on the page of taking in itself, in place of lead.
	look func(s *State, a Arrival) []Effect
}

// comingKinds lists what is known, ours first: the first that fits counts. To
// know one more kind, add it here.
func comingKinds() []comingKind {
	return []comingKind{
		{name: "nothing", find: nothing},
		{name: "backup", find: ours(seal.IsBackup), lead: leadToBackup},
		{name: "ticket", find: ours(seal.IsTicket), look: lookAtTicket},
		{name: "sealed", find: ours(func(b []byte) bool { _, ok := seal.SealedFor(b); return ok }), look: lookAtSealed},
		{name: "results", find: ours(codec.IsResults), lead: leadToResults},
		{name: "bundle", find: ours(codec.IsBundle), look: lookAtBundle},
		{name: "newer", find: func(l looked) []byte { return l.inner }},
		{name: "damaged", find: func(l looked) []byte { return when(engine.CodeOf(l.fault) != codec.CodeNotOurs, l.data) }, look: damagedText},
		{name: "results-link", find: linkTo("results-link"), lead: leadByLink("results-link")},
		{name: "call-link", find: linkTo("call"), lead: leadByLink("call")},
		{name: "piece", find: func(l looked) []byte { return when(isPiece(l.data), l.data) }},
		{name: "book", find: func(l looked) []byte { return when(isBook(l.data), l.data) }, lead: leadToBooks},
		{name: "picture", find: begins("\xff\xd8\xff", "\x89PNG", "GIF8", "RIFF????WEBP", "????ftyphe", "????ftypmif1", "????ftypavif", "II*\x00", "MM\x00*")},
		{name: "film", find: begins("????ftyp", "RIFF", "\x1aE\xdf\xa3", "ID3", "OggS")},
		{name: "pdf", find: begins("%PDF")},
		{name: "document", find: begins("{\\rtf", "\xd0\xcf\x11\xe0")},
		{name: "packed", find: begins("PK\x03\x04", "\x1f\x8b", "7z\xbc\xaf", "Rar!")},
		{name: "page", find: begins("<!doctype html", "<html", "<?xml")},
		{name: "contact", find: begins("BEGIN:VCARD", "BEGIN:VCALENDAR")},
		{name: "text", find: func(l looked) []byte { return when(utf8.Valid(l.data) && bytes.IndexByte(l.data, 0) < 0, l.data) }},
	}
}

func when(ok bool, data []byte) []byte {
	if ok {
		return data
	}
	return nil
}

// looked is what a look at some bytes shows.
type looked struct {
	data  []byte
	inner []byte // the bytes in our text form, nil when there is none
	fault error  // why the text form cannot be read
}

// recognise names what some bytes are, by themselves: neither the name nor the
// type that a file came with is asked.
func recognise(data []byte) (comingKind, []byte) {
	l := looked{data: data}
	l.inner, l.fault = codec.DecodeText(string(data))
	for _, k := range comingKinds() {
		if content := k.find(l); content != nil {
			return k, content
		}
	}
	return comingKind{name: "other"}, data
}

// nothing finds what holds no letter at all.
func nothing(l looked) []byte {
	if len(bytes.TrimSpace(l.data)) == 0 {
		return []byte{}
	}
	return nil
}

// ours finds a file of ours, from its text form if need be.
func ours(is func([]byte) bool) func(looked) []byte {
	return func(l looked) []byte {
		for _, b := range [][]byte{l.data, l.inner} {
			if is(b) {
				return b
			}
		}
		return nil
	}
}

// linkTo finds a link to a page of ours in a text, and gives what it carries.
func linkTo(page string) func(looked) []byte {
	return func(l looked) []byte {
		_, rest, ok := bytes.Cut(l.data, []byte("#/"+page+"/"))
		if !ok {
			return nil
		}
		return rest[:len(rest)-len(bytes.TrimLeftFunc(rest, isLinkLetter))]
	}
}

func isLinkLetter(r rune) bool {
	return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_'
}

// begins finds what begins in one of some ways, be its letters large or small.
// A question mark stands for any byte.
func begins(with ...string) func(looked) []byte {
	return func(l looked) []byte {
		b := bytes.TrimLeft(bytes.TrimPrefix(l.data, []byte("\ufeff")), " \r\n\t")
		for _, w := range with {
			if beginsWith(b, w) {
				return l.data
			}
		}
		return nil
	}
}

func beginsWith(b []byte, with string) bool {
	if len(b) < len(with) {
		return false
	}
	for i := range len(with) {
		if with[i] != '?' && lower(b[i]) != lower(with[i]) {
			return false
		}
	}
	return true
}

func lower(c byte) byte {
	if c >= 'A' && c <= 'Z' {
		return c - 'A' + 'a'
	}
	return c
}

// isBook tells by the fields of a rule book whether a text is meant as one, so
// that one with a slip of the pen is told as a book too.
func isBook(data []byte) bool {
	data = bytes.TrimLeft(bytes.TrimPrefix(data, []byte("\ufeff")), " \r\n\t")
	if len(data) == 0 || data[0] != '{' {
		return false
	}
	n := 0
	for _, field := range []string{`"format"`, `"edition"`, `"scale"`, `"factors"`, `"limits"`} {
		if bytes.Contains(data, []byte(field)) {
			n++
		}
	}
	return n >= 3
}

// isPiece tells whether a text is a part of our text form without its
// beginning: lines of its letters, which no sentence has, or its last line.
func isPiece(data []byte) bool {
	const letters = 60
	for line := range strings.Lines(string(data)) {
		line = strings.Trim(line, "> |\r\n\t")
		if run := strings.TrimLeftFunc(line, isLinkLetter); len(line)-len(run) >= letters && run == "" && mixed(line) {
			return true
		}
		if hex, ok := strings.CutPrefix(line, "="); ok && len(hex) == 8 && strings.Trim(hex, "0123456789abcdefABCDEF") == "" {
			return true
		}
	}
	return false
}

// mixed tells whether capitals, small letters and digits stand in a text.
func mixed(text string) bool {
	return strings.ToLower(text) != text && strings.ToUpper(text) != text && strings.ContainsAny(text, "0123456789")
}

func leadToBackup(s *State, m Msg, a Arrival) []Effect {
	return append(s.goTo(m, Page{Name: "backup"}), backupCame(s, Msg{Args: []string{"backup", a.Name}, Bytes: a.data})...)
}

func leadToResults(s *State, m Msg, a Arrival) []Effect {
	return s.goTo(m, Page{Name: "results-link", Args: []string{base64.RawURLEncoding.EncodeToString(a.data)}})
}

func leadByLink(page string) func(*State, Msg, Arrival) []Effect {
	return func(s *State, m Msg, a Arrival) []Effect {
		return s.goTo(m, Page{Name: page, Args: []string{string(a.data)}})
	}
}

// leadToBooks brings a rule book in once those of the phone are read.
func leadToBooks(s *State, m Msg, a Arrival) []Effect {
	effects := s.goTo(m, Page{Name: "books"})
	s.Shelf.waits = &Msg{Args: []string{"book", a.Name}, Bytes: a.data}
	return effects
}

// damagedText says what is missing of a text of ours.
func damagedText(s *State, a Arrival) []Effect {
	_, err := codec.DecodeText(string(a.data))
	if engine.CodeOf(err) == codec.CodeShort {
		err = engine.New("take-in.cut", "", words.T("take-in.cut"), words.T("take-in.cut-fix"))
	}
	s.TakeIn.Faults = append(s.TakeIn.Faults, blame(a.Name, err))
	return nil
}
