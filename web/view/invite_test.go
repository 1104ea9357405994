package view_test

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"keelcard/web/app"
	"keelcard/web/markup"
	"keelcard/web/view"
)

// doing finds what does an action; within tells whether it stands in something that
// is opened first.
func doing(page markup.Node, do string) (found, within bool) {
	var look func(n markup.Node, opened bool)
	look = func(n markup.Node, opened bool) {
		opened = opened || n.Tag == "details"
		if n.Get("data-do") == do {
			found, within = true, opened
		}
		for _, k := range n.Kids {
			look(k, opened)
		}
	}
	look(page, false)
	return found, within
}

// What cannot be taken back takes a second tap.
func TestSealedAnswersAreReleasedAtTheSecondTap(t *testing.T) {
	_, page := sample(t, "phones/sealed, nobody invited yet")
	if found, within := doing(page, "phones.release"); !found || !within {
		t.Errorf("sealed: offered %v, behind another tap %v", found, within)
	}
	if text := textOf(page); !strings.Contains(text, "cannot be taken back") || strings.Contains(text, "Every phone can do everything") {
		t.Errorf("it says %q", text)
	}
	_, page = sample(t, "phones/roles given")
	if found, within := doing(page, "phones.release"); !found || within {
		t.Errorf("without seals: offered %v, behind another tap %v", found, within)
	}
	_, page = sample(t, "phones/scores held back, answers open")
	if found, within := doing(page, "phones.release"); !found || within || !strings.Contains(textOf(page), "stay open") {
		t.Errorf("scores again: offered %v, behind another tap %v, %q", found, within, textOf(page))
	}
	_, page = sample(t, "phones/sealed, seen by a keyer")
	if found, _ := doing(page, "phones.release"); found {
		t.Error("a keyer's phone offers to release")
	}
}

// Sealed answers stay sealed when the switch is turned off, and without any roles
// the release is offered as long as there are some.
func TestAnswersSealedBeforeTheSwitchAreReleased(t *testing.T) {
	phone, err := app.NewRunner(40, &app.Memory{})
	if err != nil {
		t.Fatal(err)
	}
	at := func(page string, args ...string) {
		phone.Visit(app.Page{Name: page, Contest: phone.State.Open.Head.ID, Args: args}.Hash())
	}
	phone.Type("phone.initials", "AB")
	phone.Visit("#/new")
	phone.Type("new.start", "name=Quarry+Road+Poultry+Day&sealed=on")
	at("class", "new")
	phone.Do("class.add:carcass-youth")
	at("key", "1")
	phone.Do("key.answer:A")
	at("settings")
	phone.Type("settings.sealed", "off")
	at("phones")
	if phone.State.Open.Contest.Settings.Sealed {
		t.Fatalf("still sealed: %+v", phone.State.Notice)
	}
	if found, within := doing(view.Page(phone.State), "phones.release"); !found || !within {
		t.Errorf("switched off: offered %v, behind another tap %v", found, within)
	}
}

// Phones are brought in by whoever can: by invitation where there is an owner's
// authority, in a sealed contest by the owner alone.
func TestWhoBringsPhonesIn(t *testing.T) {
	for name, want := range map[string]struct{ invites, hands bool }{
		"phones/sealed, nobody invited yet": {invites: true},
		"phones/an owner by words":          {invites: true},
		"phones/sealed, seen by a keyer":    {},
		"invite/by another phone":           {},
		"phones/of another's contest":       {hands: true},
		"phones/seen by a keyer":            {hands: true},
	} {
		s, page := sample(t, name)
		invites, _ := doing(page, app.Action("open", app.Page{Name: "invite", Contest: s.Open.Head.ID}.Hash()))
		hands, _ := doing(page, "phones.invite:code")
		codes, _ := doing(page, "invite.code")
		if invites != want.invites || hands != want.hands || codes {
			t.Errorf("%s: invites %v, hands over %v, shows codes %v", name, invites, hands, codes)
		}
	}
}

// Only who has the words shuts the phone out that began the contest.
func TestWhoShutsTheFirstPhoneOut(t *testing.T) {
	shuts := func(name string) (out []string) {
		s, page := sample(t, name)
		for _, p := range s.PhoneStates() {
			if found, _ := doing(page, app.Action("phones.shut", p.Phone.String())); found {
				_, who, _ := strings.Cut(p.Who, "/")
				out = append(out, who)
			}
		}
		return out
	}
	if got := strings.Join(shuts("phones/invited, one invitation used twice"), " "); got != "MB JK XY" {
		t.Errorf("the phone that began it shuts out %q", got)
	}
	if got := strings.Join(shuts("phones/an owner by words"), " "); got != "MB JK XY AB" {
		t.Errorf("who has the words shuts out %q", got)
	}
	if got := shuts("phones/sealed, seen by a keyer"); got != nil {
		t.Errorf("a keyer shuts out %q", got)
	}
	_, page := sample(t, "phones/invited, one invitation used twice")
	if text := textOf(page); strings.Count(text, "Its invitation was used by another phone, too") != 1 || strings.Count(text, "Can read the official answers") != 2 {
		t.Errorf("it says %q", text)
	}
}

// The words stand on the page when they are asked for, in their order, and on
// paper; nothing learns them from what is typed.
func TestWordsAreShownWhenAsked(t *testing.T) {
	s, page := sample(t, "recovery/shown")
	list := byID(page, "the-words")
	if list == nil || len(s.Recovery.Shown) != 13 {
		t.Fatalf("no list of %d words", len(s.Recovery.Shown))
	}
	var want []string
	for i, w := range s.Recovery.Shown {
		want = append(want, strconv.Itoa(i+1), w)
	}
	if got := strings.Fields(textOf(list)); !slices.Equal(got, want) {
		t.Errorf("the list says %q", got)
	}
	for _, name := range []string{"recovery/on no paper", "recovery/on paper", "recovery/typed in"} {
		if _, page := sample(t, name); byID(page, "the-words") != nil {
			t.Errorf("%s shows words", name)
		}
	}
	_, page = sample(t, "recovery/typed in")
	if f := byID(page, "f-recovery"); f == nil || f.Get("spellcheck") != "false" || f.Get("autocapitalize") != "none" || f.Get("autocomplete") != "off" {
		t.Errorf("words are typed into %v", f)
	}
	_, page = sample(t, "recovery/two words wrong")
	if text := textOf(page); !strings.Contains(text, "Word 3:") || !strings.Contains(text, "Word 9:") {
		t.Errorf("wrong words: %q", text)
	}
}

// The contest asks for words on paper as long as there are none.
func TestTheContestAsksForWordsOnPaper(t *testing.T) {
	s, page := sample(t, "contest/sealed, words on no paper")
	ask := app.Action("open", app.Page{Name: "recovery"}.Hash())
	if found, _ := doing(page, ask); !found || !s.WordsDue() {
		t.Errorf("not asked for, due %v", s.WordsDue())
	}
	for _, name := range []string{"contest/invited, without initials", "contest/on a keyer's phone"} {
		_, page := sample(t, name)
		if found, _ := doing(page, ask); found {
			t.Errorf("%s asks for words", name)
		}
	}
}
