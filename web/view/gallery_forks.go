package view

import "keelcard/web/app"

// demoOf is the demo contest on the phone of somebody, with some cards keyed.
func demoOf(seed byte, initials string, cards ...string) *app.Runner {
	r, err := app.NewRunner(seed, &app.Memory{})
	if err != nil {
		panic(err)
	}
	r.Type("phone.initials", initials)
	r.Do("demo.open")
	for _, number := range cards {
		r.Visit(app.Page{Name: "keying", Contest: r.State.Open.Head.ID, Args: []string{"4", number}}.Hash())
		for _, hen := range []string{"2", "1", "3"} {
			r.Do("keying.mark:" + hen)
		}
	}
	r.Visit(app.Page{Name: "hand-over", Contest: r.State.Open.Head.ID}.Hash())
	return r
}

// arrive brings files to a phone; all but the last are taken in.
func arrive(r *app.Runner, files ...[]byte) *app.State {
	for i, data := range files {
		r.Visit("#/take-in")
		r.Send(app.Msg{Do: "file", Args: []string{"take-in", "oxbow.keelcard.txt"}, Bytes: data})
		if i < len(files)-1 {
			r.Do("take-in.accept")
		}
	}
	return r.State
}

// take takes files in and goes on to hand over.
func take(r *app.Runner, files ...[]byte) {
	arrive(r, files...)
	r.Do("take-in.accept")
	r.Visit(app.Page{Name: "hand-over", Contest: r.State.Open.Head.ID}.Hash())
}

// galleryForks shows what is new for whom, and a phone that was set back: two
// phones that start with one key and go their own ways.
func galleryForks() []Sample {
	first, back := demoOf(40, "MB", "140"), demoOf(40, "MB", "139")
	one, two := handed(first), handed(back)
	heard := demoOf(60, "CD", "138")
	take(heard, one, handed(demoOf(80, "EF")))
	heard.Do(app.Action("hand-over.to", first.State.Phone.ID.String()))
	near, far := demoOf(160, "PQ", "137"), demoOf(180, "RS")
	take(far, handed(near))
	take(near, handed(far))
	both := demoOf(100, "GH")
	take(both, one, two)
	return []Sample{
		{"hand-over/what is new for whom", heard.State},
		{"hand-over/a phone was set back", both.State},
		{"take-in/a phone was set back", arrive(demoOf(120, "IJ"), one, two)},
		{"take-in/this phone was set back", arrive(first, two)},
		{"take-in/what was before is missing", arrive(demoOf(140, "KL"), handed(near))},
	}
}
