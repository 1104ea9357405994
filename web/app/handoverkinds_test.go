package app_test

import (
	"encoding/base64"
	"fmt"
	"strings"
	"testing"

	"keelcard/engine/amount"
	"keelcard/engine/codec"
	"keelcard/engine/rulebook"
	"keelcard/web/app"
	"keelcard/web/words"
)

// handedOut is one of each thing that the app hands out.
type handedOut struct {
	bundle, backup, book                []byte
	resultsLink, signedLink, callLink   string // as they stand in a message
	results, signed                     []byte
	badBook, resultsText, damagedBundle []byte
}

func allKinds(t *testing.T) (o handedOut) {
	t.Helper()
	r := demoPhone(t)
	o.bundle = handed(t, r, "")
	o.damagedBundle = []byte(strings.Replace(string(o.bundle), string(o.bundle[200:220]), strings.Repeat("A", 20), 1))
	message := func(hash string) string {
		return "Results of the day\nhttps://cards.example/app/" + hash + "\nSee you!"
	}
	signed := must(r.State.ResultsLink())
	o.signedLink = message(signed)
	r.State.Results.Unsigned = true
	plain := must(r.State.ResultsLink())
	o.resultsLink = message(plain)
	unpack := func(hash string) []byte {
		return must(base64.RawURLEncoding.DecodeString(hash[strings.LastIndex(hash, "/")+1:]))
	}
	o.signed, o.results = unpack(signed), unpack(plain)
	o.resultsText = []byte(must(r.State.Message()))
	o.callLink = "Grade B.\nhttps://cards.example/app/#/call/" + app.EncodeCall(app.CallBird{Book: "carcass-youth", Kind: "chicken", Weight: 4 * amount.Pound})
	o.backup = putAway(t, r).Bytes
	o.book = own(t, "parts-youth", "barn-parts", func(*rulebook.Book) {})
	o.badBook = []byte(strings.Replace(string(o.book), `"scale"`, `"scales"`, 1))
	return o
}

// Whatever comes as a file, as a pasted text or from the share sheet gets to
// where it belongs, or it is said what it is and what to choose instead. Nothing
// is taken in before somebody says so, but for a rule book.
func TestWhateverComesIsRecognised(t *testing.T) {
	o := allKinds(t)
	bundle := string(o.bundle)
	lines := strings.SplitAfter(bundle, "\n")
	half := len(lines) / 2
	text := func(b []byte) string { return "From the table by the door:\n" + codec.EncodeText(b) }
	tests := []struct {
		name, data string
		page       string // where it leads
		told       string // the key of what is said on the page of taking in
	}{
		{"bundle", bundle, "take-in", ""},
		{"bundle as bytes", string(must(codec.DecodeText(bundle))), "take-in", ""},
		{"bundle quoted in a message", "> " + strings.ReplaceAll(bundle, "\n", "\n> "), "take-in", ""},
		{"backup", string(o.backup), "backup", ""},
		{"backup as bytes", string(must(codec.DecodeText(string(o.backup)))), "backup", ""},
		{"book", string(o.book), "book", ""},
		{"book with a byte order mark", "\ufeff" + string(o.book), "book", ""},
		{"book with faults", string(o.badBook), "books", ""},
		{"book with a missing brace", strings.TrimRight(string(o.book), "}\n "), "books", ""},
		{"results as bytes", string(o.results), "results-link", ""},
		{"signed results as bytes", string(o.signed), "results-link", ""},
		{"results as a text form", text(o.results), "results-link", ""},
		{"signed results as a text form", text(o.signed), "results-link", ""},
		{"results link", o.resultsLink, "results-link", ""},
		{"signed results link", o.signedLink, "results-link", ""},
		{"call link", o.callLink, "call", ""},
		{"nothing", "", "take-in", "take-in.is-nothing"},
		{"blanks", " \n\n", "take-in", "take-in.is-nothing"},
		{"text without its end", strings.Join(lines[:half], ""), "take-in", "take-in.cut"},
		{"text without its last letters", strings.TrimRight(bundle, "\n")[:len(bundle)-4], "take-in", "take-in.cut"},
		{"text without its beginning", strings.Join(lines[1:], ""), "take-in", "take-in.is-piece"},
		{"the middle of a text", strings.Join(lines[half:half+2], ""), "take-in", "take-in.is-piece"},
		{"the last line of a text", "\n" + lines[len(lines)-2], "take-in", "take-in.is-piece"},
		{"text of another kind", text([]byte("KEELNEW\x01what comes later")), "take-in", "take-in.is-newer"},
		{"photo", "\xff\xd8\xff\xe0\x00\x10JFIF", "take-in", "take-in.is-picture"},
		{"screenshot", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "take-in", "take-in.is-picture"},
		{"photo of another phone", "\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1", "take-in", "take-in.is-picture"},
		{"picture for the web", "RIFF\x10\x00\x00\x00WEBPVP8 ", "take-in", "take-in.is-picture"},
		{"film", "\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00", "take-in", "take-in.is-film"},
		{"PDF", "%PDF-1.7\n%\xe2\xe3\xcf\xd3", "take-in", "take-in.is-pdf"},
		{"packed", "PK\x03\x04\x14\x00\x00\x00\x08\x00", "take-in", "take-in.is-packed"},
		{"document", `{\rtf1\ansi Dear all}`, "take-in", "take-in.is-document"},
		{"web page", "\r\n<!DOCTYPE html>\n<title>Results</title>", "take-in", "take-in.is-page"},
		{"address", "BEGIN:VCARD\nVERSION:4.0\nFN:Wren\nEND:VCARD\n", "take-in", "take-in.is-contact"},
		{"letter", "Dear all,\nthe bus leaves at nine. Keelcard is on KEELCARD 1 of the list.", "take-in", "take-in.is-text"},
		{"letter that begins as results do", "KROMERS barn, KS 7\nThe bus leaves at nine.", "take-in", "take-in.is-text"},
		{"address of a page", "See https://cards.example/a-very-long-name-of-a-page-without-any-end-to-it-at-all-4711", "take-in", "take-in.is-text"},
		{"results in words", string(o.resultsText), "take-in", "take-in.is-text"},
		{"other JSON", `{"format": 1, "title": "no book"}`, "take-in", "take-in.is-text"},
		{"table", "Number,Name\r\n1,Wren\r\n", "take-in", "take-in.is-text"},
		{"other bytes", "\x00\x01\x02\x03\xfe", "take-in", "take-in.is-other"},
	}
	for _, tt := range tests {
		for _, way := range []string{"take-in", "share", "paste"} {
			for _, open := range []bool{false, true} {
				r := newPhone(t, 9, "CD")
				if open {
					r.Do("new.start:practice")
				}
				r.Visit("#/take-in")
				before := fmt.Sprint(r.State.Contests)
				if way == "paste" {
					r.Type("take-in.paste", tt.data)
				} else {
					r.Send(app.Msg{Do: "file", Args: []string{way, "that.bin"}, Bytes: []byte(tt.data)})
				}
				name := fmt.Sprintf("%s by %s, open %v", tt.name, way, open)
				if got := r.State.Page.Name; got != tt.page {
					t.Errorf("%s: leads to %s, want %s; %+v", name, got, tt.page, r.State.TakeIn.Faults)
				}
				checkTold(t, name, r.State, tt.told)
				if got := fmt.Sprint(r.State.Contests); got != before {
					t.Errorf("%s: contests were %s, are %s", name, before, got)
				}
			}
		}
	}
}

func checkTold(t *testing.T, name string, s *app.State, key string) {
	t.Helper()
	faults := s.TakeIn.Faults
	switch {
	case key == "" && s.Page.Name == "take-in" && (s.TakeIn.Ready == nil || len(faults) > 0):
		t.Errorf("%s: not looked at: %+v", name, faults)
	case key != "" && (len(faults) != 1 || !strings.HasSuffix(faults[0].Text, ": "+words.T(key)) || faults[0].Fix == ""):
		t.Errorf("%s: said %+v, want %q", name, faults, words.T(key))
	}
}

// Each leads to the thing itself, not only to its page.
func TestWhatIsLedToIsThere(t *testing.T) {
	o := allKinds(t)
	come := func(data string) *app.State {
		r := newPhone(t, 9, "CD")
		r.Visit("#/take-in")
		r.Send(app.Msg{Do: "file", Args: []string{"share", "that.txt"}, Bytes: []byte(data)})
		return r.State
	}
	if s := come(string(o.backup)); s.Backup.File != "that.txt" || s.Backup.Fault.Text != "" {
		t.Errorf("backup: %+v", s.Backup)
	}
	if s := come(string(o.book)); s.Page.Arg(0) != "barn-parts" || len(s.Shelf.Own) != 1 {
		t.Errorf("book: %+v, %d on the shelf", s.Page, len(s.Shelf.Own))
	}
	if s := come(string(o.badBook)); s.Shelf.File != "that.txt" || len(s.Shelf.Faults) == 0 || len(s.Shelf.Own) != 0 {
		t.Errorf("bad book: %+v", s.Shelf)
	}
	for name, data := range map[string]string{"link": o.resultsLink, "bytes": string(o.results), "signed link": o.signedLink, "signed text": codec.EncodeText(o.signed)} {
		s := come(data)
		if s.Results.Opened == nil || len(s.Results.Opened.Rows) != 40 || (s.Results.Opened.By != nil) != strings.HasPrefix(name, "signed") {
			t.Errorf("results as %s: %+v", name, s.Results.Fault)
		}
	}
	cut := o.resultsLink[:strings.Index(o.resultsLink, "\nSee")-9]
	if s := come(cut); s.Page.Name != "results-link" || s.Results.Fault.Text == "" {
		t.Errorf("a link that is cut off: page %s, %+v", s.Page.Name, s.Results.Fault)
	}
	if s := come(o.callLink); s.CallBird().Book != "carcass-youth" || s.Call.Link.Tone == "bad" {
		t.Errorf("call: %+v", s.Call.Link)
	}
	if s := come(string(o.damagedBundle)); len(s.TakeIn.Faults) != 1 || s.TakeIn.Ready != nil {
		t.Errorf("damaged bundle: %+v", s.TakeIn)
	}
}

// A book that came from elsewhere is kept beside those that the phone has, and
// takes the place of an older one that can be had back.
func TestABookThatComesFindsTheShelf(t *testing.T) {
	o := allKinds(t)
	r := newPhone(t, 9, "CD")
	r.Visit("#/books")
	bring(r, "book", own(t, "carcass-youth", "barn-birds", func(*rulebook.Book) {}))
	bring(r, "book", own(t, "parts-youth", "barn-parts", func(b *rulebook.Book) { b.Edition = "1999" }))
	again := restart(t, r)
	again.Do("new.start:practice")
	again.Send(app.Msg{Do: "file", Args: []string{"share", "barn.book.txt"}, Bytes: o.book})
	if s := again.State; len(s.Shelf.Own) != 2 || s.Shelf.Gone == nil || s.Shelf.Gone.Edition != "1999" || s.Page.Arg(0) != "barn-parts" {
		t.Errorf("%d books, %+v was put away, page %+v", len(s.Shelf.Own), s.Shelf.Gone, s.Page)
	}
	if use := words.T("book.brought-use", again.State.Open.Head.Name); !strings.Contains(again.State.Notice.Text, use) {
		t.Errorf("with a contest open it says %q", again.State.Notice.Text)
	}
}

// Of several things at once none hides another: each leads on when it is asked
// to, and the rest is there when one comes back.
func TestSeveralThingsAtOnce(t *testing.T) {
	o := allKinds(t)
	files := []struct{ name, data string }{
		{"day.keelcard.txt", string(o.bundle)},
		{"old.txt", string(o.backup)},
		{"photo.jpg", "\xff\xd8\xff\xe0"},
		{"barn.book.txt", string(o.book)},
		{"message.txt", o.signedLink},
	}
	for _, tag := range []string{"take-in", "share"} {
		for turn := range files {
			r := newPhone(t, 9, "CD")
			r.Visit("#/take-in")
			for i := range files {
				f := files[(turn+i)%len(files)]
				r.Send(app.Msg{Do: "file", Args: []string{tag, f.name, "among"}, Bytes: []byte(f.data)})
			}
			s := r.State
			if s.Page.Name != "take-in" || s.TakeIn.Ready == nil || len(s.TakeIn.Faults) != 1 || len(s.TakeIn.Others) != 3 {
				t.Fatalf("%s, turn %d: page %s, ready %v, %d faults, others %+v", tag, turn, s.Page.Name, s.TakeIn.Ready != nil, len(s.TakeIn.Faults), s.TakeIn.Others)
			}
			for len(s.TakeIn.Others) > 0 {
				kind := s.TakeIn.Others[0].Kind
				want := map[string]string{"backup": "backup", "book": "book", "results-link": "results-link"}[kind]
				if r.Do("take-in.lead:0"); s.Page.Name != want {
					t.Errorf("%s leads to %s", kind, s.Page.Name)
				}
				if r.Visit("#/take-in"); s.TakeIn.Ready == nil {
					t.Fatalf("after %s the records are gone", kind)
				}
			}
			r.Visit("#/")
			if r.Visit("#/take-in"); s.TakeIn.Ready != nil || len(s.TakeIn.Faults) > 0 {
				t.Error("what was left behind is shown again")
			}
		}
	}
}

// Taking the records in does not drop what came beside them.
func TestWhatCameBesideStays(t *testing.T) {
	o := allKinds(t)
	r := newPhone(t, 9, "CD")
	r.Visit("#/take-in")
	for name, data := range map[string][]byte{"a.txt": o.bundle, "b.txt": o.book} {
		r.Send(app.Msg{Do: "file", Args: []string{"take-in", name, "among"}, Bytes: data})
	}
	r.Do("take-in.accept")
	if len(r.State.Contests) != 1 || r.State.Page.Name != "take-in" || len(r.State.TakeIn.Others) != 1 || r.State.TakeIn.Ready != nil {
		t.Fatalf("page %s, %+v", r.State.Page.Name, r.State.TakeIn)
	}
	r.Do("take-in.lead:0")
	if r.State.Page.Name != "book" {
		t.Errorf("page %s", r.State.Page.Name)
	}
	for _, no := range []string{"take-in.lead:0", "take-in.lead:-1", "take-in.lead:x", "take-in.lead"} {
		r.Do(no) // nothing is left to open
	}
}

// A file that could not be had is named beside those that came.
func TestAFileThatCouldNotBeHadIsNamed(t *testing.T) {
	o := allKinds(t)
	for _, tag := range []string{"take-in", "share"} {
		r := newPhone(t, 9, "CD")
		if tag == "take-in" {
			r.Visit("#/take-in")
		}
		r.Send(app.Msg{Do: "failed." + tag, Args: []string{"choose a smaller one"}, Text: "film.mp4: the file has 90 MB"})
		r.Send(app.Msg{Do: "file", Args: []string{tag, "day.txt", "among"}, Bytes: o.bundle})
		s := r.State
		if s.Page.Name != "take-in" || s.TakeIn.Ready == nil || len(s.TakeIn.Faults) != 1 || s.TakeIn.Faults[0].Fix == "" || s.Notice.Text != "" {
			t.Errorf("%s: page %s, %+v, notice %+v", tag, s.Page.Name, s.TakeIn, s.Notice)
		}
	}
	r := newPhone(t, 9, "CD")
	if r.Visit("#/take-in/lost"); len(r.State.TakeIn.Faults) != 1 || r.State.TakeIn.Faults[0].Text != words.T("take-in.lost") {
		t.Errorf("of what was lost on its way it says %+v", r.State.TakeIn.Faults)
	}
	if r.Do("take-in.pick"); len(r.State.TakeIn.Faults) != 0 {
		t.Error("it says so for ever")
	}
}
