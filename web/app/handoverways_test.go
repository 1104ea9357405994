package app_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/codec"
	"keelcard/web/app"
	"keelcard/web/words"
)

// large is a phone with a contest whose text is too long for a message.
func large(t *testing.T) *app.Runner {
	t.Helper()
	r := newPhone(t, 1, "MB")
	r.Do("new.start:practice")
	visit(r, "people", "paste")
	var names strings.Builder
	for i := range 800 {
		fmt.Fprintf(&names, "%d, Family%d, Given%d\n", i+1, i*7919%997, i*104729%991)
	}
	r.Type("people.paste", names.String())
	r.Do("people.take")
	return r
}

// Before the tap the page says of each way what comes of it, and after it that
// was true. A text that is too long is not offered.
func TestWhatIsSaidOfAWayComesTrue(t *testing.T) {
	practice := newPhone(t, 1, "MB")
	practice.Do("new.start:practice")
	for name, r := range map[string]*app.Runner{"practice": practice, "demo": demoPhone(t), "large": large(t)} {
		for _, w := range app.Ways() {
			visit(r, "hand-over")
			letters := r.State.Handover.Size
			note, ok := w.Note(letters)
			r.Shown = nil
			r.Do(w.Do)
			var sent []byte
			for _, e := range r.Shown {
				switch e := e.(type) {
				case app.Offer:
					sent = e.Bytes
				case app.ShareText:
					sent = []byte(e.Text)
				}
			}
			if got := r.State.Handover.Size; letters < got || letters > got+200 {
				t.Errorf("%s, %s: %d letters were told, %d went", name, w.Name, letters, got)
			}
			switch {
			case w.Name == "text" && ok != (sent != nil):
				t.Errorf("%s: text offered %v, %d letters sent, %+v", name, ok, len(sent), r.State.Notice)
			case w.Name == "text" && ok != (r.State.Handover.Size <= 8000):
				t.Errorf("%s: %d letters as text: %s", name, r.State.Handover.Size, note)
			case w.Name == "code" && (note == words.T("hand-over.note-code")) != (r.State.ShowCode.Blocks == 1):
				t.Errorf("%s: %q and %d pictures", name, note, r.State.ShowCode.Blocks)
			case w.Name == "code" && r.State.ShowCode.Blocks > 1 && note != words.T("hand-over.note-codes", r.State.ShowCode.Blocks) && note != words.T("hand-over.note-codes", r.State.ShowCode.Blocks+1):
				t.Errorf("%s: %q and %d pictures", name, note, r.State.ShowCode.Blocks)
			case (w.Name == "file" || w.Name == "save") && (!ok || sent == nil):
				t.Errorf("%s, %s: not handed over: %+v", name, w.Name, r.State.Notice)
			}
		}
	}
}

// Whichever way is taken, the same arrives.
func TestAllWaysCarryTheSame(t *testing.T) {
	var all [][]byte
	for _, w := range app.Ways() {
		r := demoPhone(t)
		r.Do("new.start:practice")
		visit(r, "hand-over")
		r.Shown = nil
		r.Do(w.Do)
		for _, e := range r.Shown {
			switch e := e.(type) {
			case app.Offer:
				all = append(all, must(codec.DecodeText(string(e.Bytes))))
			case app.ShareText:
				all = append(all, must(codec.DecodeText(e.Text)))
			}
		}
		if w.Name == "code" {
			to := newPhone(t, 9, "CD")
			to.Visit("#/scan")
			to.Do("scan.begin")
			see(to, r.State.ShowCode.Text)
			if to.State.TakeIn.Ready == nil || r.State.ShowCode.Blocks != 1 {
				t.Errorf("the code brought %+v", to.State.TakeIn)
			}
		}
	}
	if len(all) != len(app.Ways())-1 || slices.ContainsFunc(all, func(b []byte) bool { return string(b) != string(all[0]) }) {
		t.Errorf("%d ways that are files or texts do not carry the same", len(all))
	}
}

// The text is measured in messages as they are cut on their way.
func TestHowManyMessagesATextTakes(t *testing.T) {
	note := func(letters int) (string, bool) {
		for _, w := range app.Ways() {
			if w.Name == "text" {
				return w.Note(letters)
			}
		}
		t.Fatal("no text")
		return "", false
	}
	for letters, want := range map[int]string{
		250:  words.T("hand-over.note-text", 300, 2),
		900:  words.T("hand-over.note-text", 900, 6),
		1531: words.T("hand-over.note-text", 1600, 11),
		8000: words.T("hand-over.note-text", 8000, 53),
		8001: words.T("hand-over.note-text-long", 8100),
	} {
		got, ok := note(letters)
		if got != want || ok == (letters > 8000) {
			t.Errorf("%d letters: %q, offered %v", letters, got, ok)
		}
	}
}
