// Package view draws the state of the app. Page is the whole page; each page
// has a file here beside its file in web/app. Views have no side effects, keep
// their ids from one rendering to the next, and take every sentence from
// web/words.
package view

import (
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// drawers finds the function that draws a page by its name.
var drawers = map[string]func(*app.State) m.Node{
	"new":          newPage,
	"settings":     settings,
	"class":        classPage,
	"people":       people,
	"person":       personPage,
	"home":         home,
	"contest":      overview,
	"phone":        phone,
	"hand-over":    handOver,
	"take-in":      takeIn,
	"show-code":    showCode,
	"scan":         scan,
	"results":      results,
	"ruling":       ruling,
	"slip":         slip,
	"slips":        slips,
	"share":        sharePage,
	"results-link": linkedResults,
	"keying":       keying,
	"call":         call,
	"key":          keyPage,
	"questions":    questions,
	"history":      history,
	"log":          protestLog,
	"about":        about,
	"books":        booksPage,
	"book":         bookPage,
	"class-book":   classBook,
	"hens":         hensPage,
	"lots":         lotsPage,
	"backup":       backupPage,
	"phones":       phonesPage,
	"invite":       invitePage,
	"recovery":     recoveryPage,
}

// keys gives the keys of the keyboard that a page wants, apart by spaces.
var keys = map[string]func(*app.State) string{
	"keying": keyingKeys,
	"call":   callKeys,
	"key":    keyKeys,
}

// Page draws the page the person is on. Its root has the id "page".
func Page(s *app.State) m.Node {
	body := loading(s)
	wanted := ""
	if s.Awaited() {
		body = awaited(s)
	} else if draw, ok := drawers[s.Page.Name]; ok && (s.Page.Contest == "" || s.Open != nil && s.Open.Head.ID == s.Page.Contest) {
		why := s.Barred(s.Page.Name)
		if why != "" {
			draw = barred
		}
		body = draw(s)
		if of, ok := keys[s.Page.Name]; ok && why == "" {
			wanted = of(s)
		}
	}
	return m.El("div", m.ID("page"), m.Class("app"), m.If(wanted != "", m.Attr("data-keys", wanted)), edge(s), body)
}

// barred says why a page is not for this phone.
func barred(s *app.State) m.Node {
	return m.El("div", m.ID("barred"),
		parts.TopBar(words.T("core.barred-title"), s.Open.Head.Name, words.T("common.back"), to(s, "contest")),
		parts.Main(barredCard(s, s.Barred(s.Page.Name))))
}

func barredCard(s *app.State, why string) m.Node {
	return parts.Card("barred-why", "",
		m.If(why == "scores" && s.Barred("keying") != "", parts.Para(words.T("core.barred-coach"))),
		parts.Para(words.T("core.barred-"+why)),
		parts.Para(words.T("core.barred-who"), "soft"),
		parts.Button(words.T("overview.hand-over"), to(s, "hand-over"), parts.ID("barred-hand-over"), parts.Wide))
}

// loading is shown while a contest is read from the disk.
func loading(s *app.State) m.Node {
	return parts.Main(parts.TopBar(words.T("common.loading"), "", "#/", ""))
}

// awaited is shown while the part of the program in which a page is has not
// come yet.
func awaited(s *app.State) m.Node {
	if s.Rest.Failed {
		return parts.Main(parts.TopBar(words.T("core.rest-failed"), "", words.T("home.title"), toPage("home")),
			parts.Para(words.T("core.rest-failed-fix")), parts.Button(words.T("core.rest-again"), "rest-again", parts.Primary))
	}
	return parts.Main(parts.TopBar(words.T("core.rest-loading"), "", words.T("home.title"), toPage("home")))
}

// edge is what waits at the edge of the page without being in the way. It
// stays in sight while the page scrolls.
func edge(s *app.State) m.Node {
	return m.El("aside", m.ID("edge"), m.Class("edge"), m.Attr("aria-label", words.T("common.edge")),
		m.If(s.Notice.Text != "", parts.Toast("notice", s.Notice.Text,
			m.If(s.Notice.Fix != "", parts.Para(s.Notice.Fix)),
			parts.Button(words.T("common.close"), "notice-close"))),
		m.If(s.Disk.Fault.Text != "", parts.Toast("unsaved", s.Disk.Fault.Text,
			parts.Para(s.Disk.Fault.Fix),
			parts.Button(words.T("core.save-again"), "save-again"))),
		m.If(s.Newer, parts.Toast("newer", words.T("common.newer"), parts.Button(words.T("common.newer-take"), "update-take"))),
		m.If(s.ReadOnly, parts.Toast("reader", words.T("core.read-only"), parts.Para(words.T("core.read-only-fix")))))
}

// link writes the address of a page.
func link(name, contest string, args ...string) string {
	return app.Page{Name: name, Contest: contest, Args: args}.Hash()
}

// here writes the address of another page of the open contest.
func here(s *app.State, name string, args ...string) string {
	return link(name, s.Page.Contest, args...)
}
