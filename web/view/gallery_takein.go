package view

import (
	"fmt"
	"strings"

	"keelcard/engine/rulebook"
	"keelcard/web/app"
)

// galleryTakeIn shows what may arrive beside records, and long contests on their
// way out. Given is what another phone handed over.
func galleryTakeIn(given []byte) []Sample {
	come := func(files ...[]byte) *app.Runner {
		r := samplePhone()
		r.Visit("#/take-in")
		for i, data := range files {
			r.Send(app.Msg{Do: "file", Args: []string{"take-in", fmt.Sprintf("from-the-barn-%d.txt", i+1), app.Among}, Bytes: data})
		}
		return r
	}
	page := func(hash string) *app.State {
		r := samplePhone()
		r.Visit(hash)
		return r.State
	}
	published, _ := rulebook.ByID("parts-youth")
	book := []byte(strings.Replace(string(published.Encode()), `"parts-youth"`, `"barn-parts"`, 1))
	photo := []byte("\xff\xd8\xff\xe0")
	results := demoAt("results")
	link, err := results.State.ResultsLink()
	if err != nil {
		panic(err)
	}
	backup := []byte("KEELSAFE\x01" + strings.Repeat("\x00", 80))
	taken := come(given, book)
	taken.Do("take-in.accept")
	brought := demoAt("contest")
	brought.Send(app.Msg{Do: "file", Args: []string{"share", "barn-parts.book.txt"}, Bytes: book})
	piece := strings.SplitAfterN(string(given), "\n", 3)[2]

	long := samplePhone()
	long.Type("phone.initials", "MB")
	long.Do("new.start:practice")
	at(long, "people", "paste")
	var names strings.Builder
	for i := range 800 {
		fmt.Fprintf(&names, "%d, Family%d, Given%d\n", i+1, i*7919%997, i*104729%991)
	}
	long.Type("people.paste", names.String())
	long.Do("people.take")
	return []Sample{
		{"hand-over/too long for a message", at(long, "hand-over")},
		{"take-in/several things", come(given, backup, photo, book, []byte(link)).State},
		{"take-in/no records among them", come(book, []byte(link)).State},
		{"take-in/taken in, a book is left", taken.State},
		{"take-in/a piece of a text", come([]byte(piece), photo).State},
		{"take-in/lost on its way", page("#/take-in/lost")},
		{"book/brought in beside a contest", brought.State},
	}
}
