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

// galleryClassBook shows the book of a class of a contest: as it is, a line
// being held otherwise, what follows from that, other books.
func galleryClassBook() []Sample {
	of := link("class-book", keyContest.String(), "1")
	show := func(name string, taps ...string) Sample {
		r := keySample("WR")
		for _, a := range []string{"key.site:breast", "key.defect:breast:bare-flesh", "key.set:length:3/8 in", "key.set:share:5 %", "key.answer:A"} {
			if r.State.Page.Name != "key" {
				r.Visit(link("key", keyContest.String(), "1", "1"))
			}
			tapped(r, a)
		}
		r.Visit(of)
		for i := 0; i < len(taps); i += 2 {
			r.Type(taps[i], taps[i+1])
		}
		return Sample{"class-book/" + name, r.State}
	}
	const longer = "bound=3%2F8+in&allowed=yes&why=Small+birds+this+year%2C+agreed+before+the+start&who=WR"
	file := func(name, data string) Sample {
		r := keySample("WR")
		r.Visit(of)
		r.Send(app.Msg{Do: "file", Args: []string{"class-book", "barn-rules.book.txt"}, Bytes: []byte(data)})
		return Sample{"class-book/" + name, r.State}
	}
	hens := keySample("WR")
	hens.Visit(link("class-book", keyContest.String(), "2"))
	line := app.Action("class-book.line", itoa(breastLimit()))
	one := keySample("WR")
	one.Visit(link("class-book", keyContest.String(), "1", "at", "meat-depth"))
	why := show("", line, "", "class-book.hold", longer)
	runner := keySample("WR")
	runner.State = why.State
	runner.Visit(link("key", keyContest.String(), "1", "1"))
	tapped(runner, "key.why")
	return []Sample{
		show("as published"),
		{"class-book/one limit", one.State},
		show("a line opened", line, ""),
		show("a line not taken", line, "", "class-book.hold", "bound=so+long&allowed=no&why=&who="),
		show("a line held otherwise", line, "", "class-book.hold", longer),
		file("a file with faults", badBook()),
		file("another book", ownCarcass()),
		{"class-book/hens have none", hens.State},
		{"key/by a local rule", runner.State},
	}
}

// breastLimit is the place, from 1, of the limit for bare spots on breast and
// legs of birds over 2 to 6 lb.
func breastLimit() int {
	b, _ := rulebook.ByID("carcass-youth")
	for i, l := range b.Limits {
		if l.Factor == "spot-breast-legs" {
			return i + 1
		}
	}
	panic("the youth book has no limit for bare spots on the breast")
}

// ownCarcass is the file of a carcass book made from a published one.
func ownCarcass() string {
	b, _ := rulebook.ByID("carcass-youth")
	own := *b
	own.ID, own.Base, own.Edition, own.Title = "barn-carcass", b.ID, "2026-05-01", "Carcasses, as judged in our barn"
	return string(app.Readable(own.Encode()))
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
