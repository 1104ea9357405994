package view

import (
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// scan is the page on which the camera reads codes from another phone's screen.
func scan(s *app.State) m.Node {
	sc := s.Scanning
	body := parts.Main(parts.Stack(scanTrouble(sc), scanStart(sc)))
	if sc.On {
		body = parts.Panes(camera(), parts.Stack(
			scanned(sc),
			m.If(sc.Fault.Text != "", parts.Notice(parts.Caution, sc.Fault.Text, parts.Para(sc.Fault.Fix))),
			parts.Card("scan-end", "",
				parts.Button(words.T("scan.end"), "scan.end", parts.Wide),
				fileInstead(link("take-in", "")))))
	}
	return m.El("div", m.ID("scan"), parts.TopBar(words.T("scan.title"), "", words.T("common.back"), toPage("take-in")), body)
}

func scanStart(sc app.Scanning) m.Node {
	label := words.T("scan.begin")
	if sc.Trouble != "" {
		label = words.T("scan.again")
	}
	return parts.Card("scan-start", "",
		m.If(sc.Trouble == "", parts.Para(words.T("scan.text"))),
		parts.Button(label, "scan.begin", parts.Primary, parts.Big),
		fileInstead(link("take-in", "")))
}

// scanTrouble says why the camera is not open, and what to do.
func scanTrouble(sc app.Scanning) m.Part {
	if sc.Trouble == "" {
		return m.Group()
	}
	why := sc.Trouble
	if !words.Has("scan.trouble-" + why) {
		why = "stopped"
	}
	return parts.Notice(parts.Bad, words.T("scan.trouble-"+why), parts.Para(words.T("scan.fix-"+why)),
		m.If(sc.Have > 0, parts.Para(words.T("scan.kept", sc.Have, sc.Need))))
}

// camera is where the browser puts what the camera sees.
func camera() m.Node {
	return m.El("div", m.ID("camera-box"), m.Class("camera-box"),
		m.El("video", m.ID("camera"), m.Attr("aria-label", words.T("scan.camera")), m.Flag("playsinline"), m.Flag("muted"), m.Flag("autoplay")))
}

// scanned says how far it is. The status is told aloud by a screen reader, so it
// says steps, not pictures.
func scanned(sc app.Scanning) m.Node {
	status := words.T("scan.opening")
	switch {
	case sc.Need > 0:
		status = words.T("scan.reading")
	case sc.Open:
		status = words.T("scan.looking")
	}
	return parts.Card("scan-progress", "",
		m.El("p", m.ID("scan-status"), m.Attr("role", "status"), m.Text(status)),
		m.El("div", m.ID("scan-have"), m.If(sc.Need > 0, parts.Progress(words.T("scan.have"), words.T("scan.of", sc.Have, sc.Need), sc.Have, sc.Need))))
}
