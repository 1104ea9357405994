package view

import (
	"strings"

	"keelcard/engine/rulebook"
	"keelcard/web/app"
)

// galleryBook shows the rule books: the list, a book to be read, a file with
// faults.
func galleryBook() []Sample {
	var samples []Sample
	show := func(name, hash string, taps ...string) *app.Runner {
		r := bookPhone()
		r.Visit(hash)
		for i := 0; i < len(taps); i += 2 {
			r.Type(taps[i], taps[i+1])
		}
		samples = append(samples, Sample{name, r.State})
		return r
	}
	bring := func(r *app.Runner, data string) {
		r.Send(app.Msg{Do: "file", Args: []string{"book", "barn-rules.book.txt"}, Bytes: []byte(data)})
	}
	show("books/none brought in", "#/books")
	bring(show("books/a file with faults", "#/books"), badBook())
	bring(show("books/a file that is no book", "#/books"), "Dear all, the bus leaves at seven.")
	bring(show("book/brought in", "#/books"), ownBook())
	kept := show("books/one brought in", "#/books")
	bring(kept, ownBook())
	kept.Visit("#/books")
	gone := show("books/one taken off", "#/books")
	bring(gone, ownBook())
	gone.Do("book.remove:barn-rules")
	show("book/youth", "#/book/carcass-youth")
	show("book/federal", "#/book/carcass-federal")
	show("book/parts", "#/book/parts-youth")
	show("book/found", "#/book/carcass-youth", "book.find", "tail")
	show("book/nothing found", "#/book/carcass-youth", "book.find", "feathers of gold")
	show("book/one limit", "#/book/carcass-youth/at/spot-breast-legs")
	show("book/youth beside federal", "#/book/carcass-youth/beside/carcass-federal")
	show("book/parts beside federal", "#/book/parts-youth/beside/parts-federal")
	show("book/one line beside", "#/book/carcass-youth/beside/carcass-federal/tail-way")
	show("book/one line only here", "#/book/carcass-youth/beside/carcass-federal/meat-depth")
	show("book/beside none", "#/book/carcass-youth/beside/no-such-book")
	show("book/not here", "#/book/no-such-book")
	return append(samples, galleryClassBook()...)
}

// galleryClassBook shows the book of a class of a contest.
func galleryClassBook() []Sample {
	at := func(args []string, taps ...string) *app.State {
		return sampleAt(sampleContest(sampleClasses...), "class-book", args, taps...)
	}
	return []Sample{
		{"class-book/as published", at([]string{"1"})},
		{"class-book/one limit", at([]string{"1", "at", "meat-depth"})},
		{"class-book/hens have none", at([]string{"2"})},
	}
}

func bookPhone() *app.Runner {
	r, err := app.NewRunner(5, &app.Memory{})
	if err != nil {
		panic(err)
	}
	r.Type("phone.initials", "MB")
	return r
}

// ownBook is the file of a book made from a published one.
func ownBook() string {
	b, _ := rulebook.ByID("parts-youth")
	own := *b
	own.ID, own.Base, own.Edition, own.Title = "barn-rules", b.ID, "2026-05-01", "Parts, as judged in our barn"
	return string(app.Readable(own.Encode()))
}

// badBook is such a file with some mistakes in it.
func badBook() string {
	text := ownBook()
	for _, slip := range [][2]string{
		{`"grade":"A","most":"`, `"grade":"D","most":"`},
		{`"inclusive":`, `"inclusiv":`},
		{`"id":"barn-rules"`, `"id":"Barn rules"`},
	} {
		text = strings.Replace(text, slip[0], slip[1], 1)
	}
	return text
}
