package app

import (
	"keelcard/engine"
	"keelcard/engine/codec"
	"keelcard/engine/codec/frames"
	"keelcard/web/words"
)

// Way is one of the ways in which records go to another phone. All of them carry
// the same bytes, and whatever brings these to the other phone gives them to
// arrived there.
type Way struct {
	Name string // its button is called by hand-over.way- and this, in the words
	Do   string // what its button sends
	// Note says what is to be known before the button is used, of a bundle whose
	// text form has so many letters; not ok when it does not go this way.
	Note func(letters int) (note string, ok bool)
	give func(s *State, m Msg, data []byte) []Effect
}

// Ways lists the ways of handing over, the best first. Page and actions follow
// from it.
func Ways() []Way {
	return []Way{
		{"file", "hand-over.file", noteFile, giveFile},
		{"code", "show-code.make", noteCode, giveCode},
		{"text", "hand-over.text", noteText, giveText},
		{"save", "hand-over.save", noteSave, saveFile},
	}
}

// handOver makes the bundle and lets it go one way.
func handOver(s *State, m Msg, way string) []Effect {
	if s.Open == nil {
		return nil
	}
	data, ops, err := s.bundle(m)
	if err != nil {
		return s.refuse(err)
	}
	s.Handover.Size = len(codec.EncodeText(data))
	effects := []Effect{s.save(ops...)}
	for _, w := range Ways() {
		if w.Name == way {
			effects = append(effects, w.give(s, m, data)...)
		}
	}
	return effects
}

// signing is about how many letters come to the text form only when this phone
// hands over: what it holds and its signature, and its key where it wrote nothing
// yet. A phone that wrote nothing since it did so last adds nothing.
func (s *State) signing() int {
	own := s.Open.Own(s.Phone.ID)
	switch {
	case own == nil || len(own.Records) == 0:
		return 450
	case own.Records[len(own.Records)-1].Subject == holdingSubject(s.Phone.ID):
		return 0
	}
	return 300
}

// about rounds letters up to what people say.
func about(letters int) int {
	const step = 100
	return (letters + step - 1) / step * step
}

func noteFile(letters int) (string, bool) {
	return words.T("hand-over.note-file", (letters+1023)/1024), true
}

func noteSave(int) (string, bool) { return words.T("hand-over.note-save"), true }

func giveFile(s *State, m Msg, data []byte) []Effect { return []Effect{s.bundleFile(data, false)} }

func saveFile(s *State, m Msg, data []byte) []Effect { return []Effect{s.bundleFile(data, true)} }

func (s *State) bundleFile(data []byte, save bool) Offer {
	return Offer{Tag: "bundle", Name: fileName(s.Open.Head.Name, s.Phone.Initials) + ".keelcard.txt", Type: "text/plain", Bytes: []byte(codec.EncodeText(data)), Save: save}
}

// mostText is the longest text form that goes as a message.
const mostText = 8000

// noteText counts letters, and the pieces into which the short messages of phones
// cut a longer text: 153 letters of their alphabet each, 3GPP TS 23.040.
func noteText(letters int) (string, bool) {
	const piece = 153
	n := about(letters)
	if n > mostText {
		return words.T("hand-over.note-text-long", n), false
	}
	return words.T("hand-over.note-text", n, (n+piece-1)/piece), true
}

func giveText(s *State, m Msg, data []byte) []Effect {
	text := codec.EncodeText(data)
	if len(text) > mostText {
		return s.refuse(engine.New("app.text-long", "", words.T("hand-over.text-long", len(text)), words.T("hand-over.text-long-fix")))
	}
	return []Effect{ShareText{Tag: "bundle", Title: s.Open.Head.Name, Text: text}}
}

// noteCode counts the pictures.
func noteCode(letters int) (string, bool) {
	const line, held = 65, 48 // letters of a line of the text form, and the bytes in it
	size := letters * held / line
	if size+frames.Overhead <= frames.Room(stillLetters) {
		return words.T("hand-over.note-code"), true
	}
	each := frames.Room(movesLetters) - frames.Overhead
	return words.T("hand-over.note-codes", (size+each-1)/each), true
}
