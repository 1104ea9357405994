package view

import (
	"os"
	"path"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"keelcard/web/app"
	"keelcard/web/markup"
)

// A page drawn in the second part must wait for it. A page that is said to be
// rare has something there.
func TestPagesOfTheSecondPartAreRare(t *testing.T) {
	list, err := os.ReadFile("../serve/second.txt")
	if err != nil {
		t.Fatal(err)
	}
	in := func(f any) bool {
		of := runtime.FuncForPC(reflect.ValueOf(f).Pointer())
		file, _ := of.FileLine(of.Entry())
		return slices.ContainsFunc(strings.Split(string(list), "\n"), func(line string) bool {
			fields := strings.Fields(line)
			if len(fields) < 2 || fields[0] != "move" {
				return false
			}
			ok, _ := path.Match(fields[1], "keelcard/web/view/"+path.Base(file))
			return ok
		})
	}
	rare := 0
	for name, draw := range drawers {
		if in(draw) != app.Rare(name) {
			t.Errorf("page %q: drawn in the second part %v, rare %v; put rarePage in web/app/rest.go right", name, in(draw), app.Rare(name))
		}
		if app.Rare(name) {
			rare++
		}
	}
	for name, of := range keys {
		if in(of) && !app.Rare(name) {
			t.Errorf("the keys of page %q are in the second part", name)
		}
	}
	if rare == 0 {
		t.Error("no page is rare")
	}
}

func TestARarePageSaysThatItIsGettingReady(t *testing.T) {
	s := app.New()
	app.Update(s, app.Msg{Do: "rest-away"})
	app.Update(s, app.Msg{Do: "route", Args: []string{"#/take-in"}})
	if page := markup.String(Page(s)); !strings.Contains(page, "getting ready") || strings.Contains(page, "rest-again") {
		t.Errorf("while it comes the page is %s", page)
	}
	app.Update(s, app.Msg{Do: "rest-failed"})
	if page := markup.String(Page(s)); !strings.Contains(page, `data-do="rest-again"`) || !strings.Contains(page, "with a signal") {
		t.Errorf("when it did not come the page is %s", page)
	}
	app.Update(s, app.Msg{Do: "rest-loaded"})
	if page := markup.String(Page(s)); !strings.Contains(page, "take-in.pick") {
		t.Errorf("when it came the page is %s", page)
	}
}
