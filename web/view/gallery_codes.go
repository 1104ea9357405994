package view

import (
	"keelcard/engine/codec/frames"
	"keelcard/web/app"
)

// galleryCodes shows the pages of picture codes.
func galleryCodes() []Sample {
	shown := func(do ...string) *app.State {
		r := demoAt("show-code")
		for _, d := range do {
			r.Do(d)
		}
		return r.State
	}
	return []Sample{
		{"show-code/start", shown()},
		{"show-code/made", shown("show-code.make")},
		{"show-code/moving", shown("show-code.make", "show-code.start")},
		{"show-code/larger squares", shown("show-code.make", "show-code.large", "show-code.start")},
		{"show-code/one picture", oneCode()},
		{"scan/start", scanSample()},
		{"scan/opening", scanSample(app.Msg{Do: "scan.begin"})},
		{"scan/looking", scanSample(app.Msg{Do: "scan.begin"}, app.Msg{Do: "scan.opened"})},
		{"scan/reading", scanSample(app.Msg{Do: "scan.begin"}, app.Msg{Do: "scan.opened"}, codeSeen(0), codeSeen(4), codeSeen(5))},
		{"scan/another code", scanSample(app.Msg{Do: "scan.begin"}, app.Msg{Do: "scan.opened"}, codeSeen(0), app.Msg{Do: "scan.code", Text: "OTHER"})},
		{"scan/refused", scanSample(app.Msg{Do: "scan.begin"}, app.Msg{Do: "scan.trouble", Text: "refused"})},
		{"scan/no camera", scanSample(app.Msg{Do: "scan.begin"}, app.Msg{Do: "scan.trouble", Text: "none"})},
		{"scan/no reader", scanSample(app.Msg{Do: "scan.begin"}, app.Msg{Do: "scan.trouble", Text: "reader"})},
		{"scan/laid aside", scanSample(app.Msg{Do: "scan.begin"}, app.Msg{Do: "scan.opened"}, codeSeen(1), app.Msg{Do: "scan.trouble", Text: "stopped"})},
	}
}

// oneCode is a contest just begun, which is one picture.
func oneCode() *app.State {
	r := samplePhone()
	r.Type("phone.initials", "AB")
	r.Type("new.start", "name=Quarry+Road+Poultry+Day")
	r.Do("show-code.make")
	return r.State
}

// scanSample is a phone on which these messages came on the page that reads codes.
func scanSample(messages ...app.Msg) *app.State {
	r := samplePhone()
	r.Visit("#/scan")
	for _, m := range messages {
		r.Send(m)
	}
	return r.State
}

func samplePhone() *app.Runner {
	r, err := app.NewRunner(5, &app.Memory{})
	if err != nil {
		panic(err)
	}
	return r
}

// codeSeen is the reading of one picture of some bytes.
func codeSeen(number uint32) app.Msg {
	s, err := frames.NewSender(make([]byte, 9000), 380)
	if err != nil {
		panic(err)
	}
	return app.Msg{Do: "scan.code", Text: frames.Text(s.Frame(number))}
}
