package view

import (
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// about says what the app is and is not, and holds the cautions.
func about(s *app.State) m.Node {
	list := func(id string, keys ...string) m.Node {
		return parts.Card(id, words.T("about."+id), m.El("ul", m.Each(keys, func(_ int, k string) m.Part {
			return m.El("li", m.Text(words.T("about."+k)))
		})))
	}
	return m.El("div", m.ID("about"),
		parts.TopBar(words.T("about.title"), "", words.T("common.back"), toPage("home")),
		parts.Main(parts.Stack(
			parts.Card("about-what", "", parts.Para(words.T("about.what")), parts.Para(words.T("about.not"))),
			list("raw", "raw-1", "raw-2", "raw-3", "raw-4"),
			list("live", "live-1", "live-2", "live-3"),
			list("names", "names-1", "names-2"),
			list("offline", "offline-1", "offline-2", "offline-3"))))
}
