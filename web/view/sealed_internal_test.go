package view

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/record"
	"keelcard/web/app"
	"keelcard/web/markup"
)

// Another set of answers, notes and a ruling, of the same lengths.
var otherAnswer = sealedAnswers{grade: "B", hens: "421", name: "4", note: "zinc bucket", ruling: "C"}

// everyPage draws all pages of the open contest on a phone, those that are kept
// from it by its role included, and what it says at the edge of each.
func everyPage(r *app.Runner) map[string]string {
	args := map[string][][]string{
		"key": {}, "ruling": {}, "hens": {}, "class": {}, "class-book": {}, "history": {nil}, "questions": {nil},
		"keying": {nil, {"1"}, {"1", "41"}, {"2", "42"}}, "people": {nil, {"paste"}},
		"person": {{"41"}}, "slip": {{"41"}}, "log": {nil, {"1"}, {"0", "41"}}, "invite": {nil, {contest.Official}},
	}
	add := func(page string, list ...string) { args[page] = append(args[page], list) }
	for _, class := range []string{"1", "2", "3", "4", "5"} {
		for _, page := range []string{"key", "ruling", "hens", "class", "class-book"} {
			add(page, class)
		}
		for _, item := range []string{"0", "1", "2", "3", "10", "sheet"} {
			add("key", class, item)
			add("ruling", class, item)
			add("hens", class, item)
		}
		add("class-book", class, "beside")
		for _, kind := range []record.Kind{record.KindKey, contest.KindSeen, record.KindRuling, record.KindLock, record.KindCard} {
			for _, item := range []string{"0", "1", "2", "3", "10", "41"} {
				add("history", itoa(uint32(kind)), class, item)
				add("questions", itoa(uint32(kind)), class, item)
			}
		}
	}
	out := map[string]string{}
	for _, page := range slices.Sorted(maps.Keys(drawers)) {
		if args[page] == nil {
			add(page)
		}
		for _, list := range args[page] {
			hash := app.Page{Name: page, Contest: r.State.Open.Head.ID, Args: list}.Hash()
			if r.Visit(hash); r.State.Page.Name == page {
				out[page+"/"+strings.Join(list, "/")] = markup.String(Page(r.State))
			}
		}
	}
	return out
}

// sealedTo is a contest with the answers given, and the phones that cannot read
// them: of a keyer, a coach, an official without the secret, and somebody who got
// the contest after its owner had switched sealing off.
func sealedTo(a sealedAnswers) (owner *app.Runner, phones map[string]*app.Runner) {
	owner = sealedCounty(a)
	keyer, coach := cameBy(80, "MB", invitation(owner, contest.Keyer)), cameBy(140, "CD", invitation(owner, contest.Coach))
	bare := withoutSecret(owner) // until the owner hears of it, who has the authority
	for _, r := range []*app.Runner{keyer, coach} {
		at(r, "contest")
		pass(r, owner)
	}
	at(owner, "key", "5", "1")
	owner.Do("key.answer:A")
	for _, r := range []*app.Runner{keyer, coach, bare} {
		pass(owner, r)
	}
	at(owner, "settings")
	owner.Type("settings.sealed", "")
	stranger := namedPhone(170, "ST")
	pass(owner, stranger)
	return owner, map[string]*app.Runner{"keyer": keyer, "coach": coach, "official without the secret": bare, "stranger": stranger}
}

// What a phone without the secret shows does not depend on the answers, the notes
// or the rulings, on no page; once they are released it does.
func TestAnswersShowOnNoPageBeforeTheirRelease(t *testing.T) {
	owner, phones := sealedTo(oneAnswer)
	other, others := sealedTo(otherAnswer)
	for name, r := range phones {
		pages, theirs := everyPage(r), everyPage(others[name])
		if len(pages) < 200 || len(pages) != len(theirs) {
			t.Fatalf("%s: %d and %d pages", name, len(pages), len(theirs))
		}
		for page, text := range pages {
			if text != theirs[page] {
				t.Errorf("%s, %s: the page tells two keys apart:%s", name, page, apart(text, theirs[page]))
			}
			for _, word := range []string{oneAnswer.note, `sealed&#34;`, `{"sealed`, `"answer"`} {
				if strings.Contains(text, word) {
					t.Errorf("%s, %s: the page holds %q", name, page, word)
				}
			}
		}
	}
	for _, o := range []*app.Runner{owner, other} {
		at(o, "phones")
		o.Do("phones.release")
	}
	for name, r := range phones {
		pass(owner, r)
		pass(other, others[name])
		pages, theirs := everyPage(r), everyPage(others[name])
		for _, page := range []string{"history/5/1/1", "history/11/1/2", "history/10/1/3", "slip/41", "results/", "log/"} {
			if pages[page] == "" || pages[page] == theirs[page] && (name != "coach" || page != "log/") {
				t.Errorf("%s, %s: released, the page does not tell two keys apart", name, page)
			}
		}
		if !strings.Contains(pages["history/11/1/2"], oneAnswer.note) || !strings.Contains(pages["slip/41"], oneAnswer.note) {
			t.Errorf("%s: released, the note is not shown", name)
		}
	}
}

// apart is where two pages differ.
func apart(a, b string) string {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			from := max(0, i-60)
			return "\n" + a[from:min(len(a), i+60)] + "\n" + b[from:min(len(b), i+60)]
		}
	}
	return " one is longer"
}
