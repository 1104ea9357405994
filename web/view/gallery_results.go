package view

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"hash/crc32"

	"keelcard/web/app"
)

// demoAt is a phone with the demo contest open at a page.
func demoAt(page string, args ...string) *app.Runner {
	r, err := app.NewRunner(1, &app.Memory{})
	if err != nil {
		panic(err)
	}
	r.Type("phone.initials", "MB")
	r.Do("demo.open")
	r.Visit(app.Page{Name: page, Contest: r.State.Open.Head.ID, Args: args}.Hash())
	return r
}

func galleryResults() []Sample {
	byGroup := demoAt("results")
	byGroup.Type("results.group", "Junior")
	named := demoAt("share")
	named.Do("share.names:on")
	hash, err := named.State.ResultsLink()
	if err != nil {
		panic(err)
	}
	unsigned := demoAt("share")
	unsigned.Do("share.sign:off")
	plain, err := unsigned.State.ResultsLink()
	if err != nil {
		panic(err)
	}
	nobody := demoAt("share")
	nobody.Type("phone.initials", "")
	nobody.Visit(nobody.State.Page.Hash())
	linked := func(hash string) *app.State {
		r, err := app.NewRunner(2, &app.Memory{})
		if err != nil {
			panic(err)
		}
		r.Visit(hash)
		return r.State
	}
	empty := sampleContest()
	empty.Visit(app.Page{Name: "results", Contest: empty.State.Open.Head.ID}.Hash())
	return append(galleryRuling(), []Sample{
		{"overview/the demo", demoAt("contest").State},
		{"results/everyone", demoAt("results").State},
		{"results/one age group", byGroup.State},
		{"results/teams", demoAt("results", "teams").State},
		{"results/classes", demoAt("results", "classes").State},
		{"results/awards", demoAt("results", "awards").State},
		{"results/nobody yet", empty.State},
		{"slips/the demo", demoAt("slips").State},
		{"slip/all keyed", demoAt("slip", "117").State},
		{"slip/a card in question", demoAt("slip", "110").State},
		{"slip/a card to come", demoAt("slip", "140").State},
		{"slip/no such number", demoAt("slip", "7").State},
		{"share/numbers", demoAt("share").State},
		{"share/names", named.State},
		{"share/not signed", unsigned.State},
		{"share/no initials", nobody.State},
		{"results-link/whole", linked(hash)},
		{"results-link/on the phone that signed", linkedHere(hash)},
		{"results-link/not signed", linked(plain)},
		{"results-link/altered", linked(alteredLink(hash))},
		{"results-link/cut off", linked(hash[:len(hash)-9])},
	}...)
}

func linkedHere(hash string) *app.State {
	r := demoAt("share")
	r.Visit(hash)
	return r.State
}

// alteredLink changes the name of who signed.
func alteredLink(hash string) string {
	page := app.ParseHash(hash)
	b, err := base64.RawURLEncoding.DecodeString(page.Arg(0))
	if err != nil {
		panic(err)
	}
	b = bytes.Replace(b[:len(b)-crc32.Size], []byte("MB"), []byte("NC"), 1)
	b = binary.LittleEndian.AppendUint32(b, crc32.ChecksumIEEE(b))
	return app.Page{Name: page.Name, Args: []string{base64.RawURLEncoding.EncodeToString(b)}}.Hash()
}

// handed gives what a phone hands over.
func handed(r *app.Runner) []byte {
	r.Shown = nil
	r.Do("hand-over.save")
	for _, e := range r.Shown {
		if o, ok := e.(app.Offer); ok {
			return o.Bytes
		}
	}
	panic("nothing was handed over")
}

func galleryHandover() []Sample {
	take := func(r *app.Runner, data []byte) *app.State {
		r.Visit("#/take-in")
		r.Send(app.Msg{Do: "file", Args: []string{"take-in", "oxbow.keelcard.txt"}, Bytes: data})
		return r.State
	}
	fresh := func() *app.Runner {
		r, err := app.NewRunner(3, &app.Memory{})
		if err != nil {
			panic(err)
		}
		return r
	}
	data := handed(demoAt("hand-over"))
	given := demoAt("hand-over")
	handed(given)
	given.Send(app.Msg{Do: "offered", Args: []string{"bundle", "saved"}})
	return append(append(galleryForks(), galleryTakeIn(data)...), []Sample{
		{"hand-over/nothing written", demoAt("hand-over").State},
		{"hand-over/handed over", given.State},
		{"take-in/start", func() *app.State { r := fresh(); r.Visit("#/take-in"); return r.State }()},
		{"take-in/new contest", take(fresh(), data)},
		{"take-in/nothing new", take(given, data)},
		{"take-in/something new", take(demoOf(20, "NO"), data)},
		{"take-in/cut off", take(fresh(), data[:len(data)/2])},
		{"take-in/not ours", take(fresh(), []byte("Dear all, the bus leaves at seven."))},
	}...)
}
