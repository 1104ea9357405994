package view

import (
	"keelcard/web/app"
	m "keelcard/web/markup"
	"keelcard/web/view/parts"
	"keelcard/web/words"
)

// home is the first page: what can be done without a contest, and the contests
// on this phone.
func home(s *app.State) m.Node { return loading(s) }

func galleryHome() []Sample {
	r, err := app.NewRunner(1, &app.Memory{})
	if err != nil {
		panic(err)
	}
	return []Sample{{"home/first start", r.State}}
}

var _ = parts.Main
var _ = words.T
