package app_test

import (
	"slices"
	"strconv"
	"testing"

	"keelcard/engine/amount"
	"keelcard/engine/contest"
	"keelcard/engine/record"
	"keelcard/web/app"
)

// atThings is the phone of an official with classes of eggs, parts and products.
func atThings(t *testing.T, class, item string) *app.Runner {
	t.Helper()
	disk := &app.Memory{}
	var facts []app.Fact
	fact := func(kind record.Kind, a uint32, v string) {
		facts = append(facts, app.Fact{Who: "owner/AB", Subject: record.Subject{Kind: kind, A: a}, Value: v, When: 1_789_997_000})
	}
	fact(record.KindContest, 0, must(contest.Settings{Name: "Tamarack County Poultry Day"}.Write()))
	for i, c := range []contest.Class{
		{Name: "Exterior", Kind: contest.Graded, Book: "egg-shell"},
		{Name: "Opened", Kind: contest.Graded, Book: "egg-opened"},
		{Name: "Parts", Kind: contest.Graded, Book: "parts-youth", Bird: "thigh", Weight: 4 * amount.Pound},
		{Name: "Breaded", Kind: contest.Checked, Book: "breaded", Bird: "tender"},
	} {
		c.Items = 10
		fact(record.KindClass, uint32(i+1), must(c.Write()))
	}
	if err := disk.Give(keyDay, "Tamarack County Poultry Day", 9, facts...); err != nil {
		t.Fatal(err)
	}
	r, err := app.NewRunner(1, disk)
	if err != nil {
		t.Fatal(err)
	}
	r.Type("phone.initials", "WR")
	r.Visit(app.Page{Name: "key", Contest: keyDay.String(), Args: []string{class, item}}.Hash())
	return r
}

func wantOfficial(t *testing.T, r *app.Runner, want string) app.KeyNow {
	t.Helper()
	k := keyNow(t, r)
	if k.Answer.Answer != want {
		t.Errorf("the answer is %q, want %q", k.Answer.Answer, want)
	}
	return k
}

// The answer of an egg goes with what is measured, and outlives a restart.
func TestTheKeyOfAnOpenedEgg(t *testing.T) {
	r := atThings(t, "2", "3")
	touch(t, r, "key.set:length:5.9", "key.set:weight:70", "key.set:warmth:52 F")
	wantOfficial(t, r, "AA")
	r = restart(t, r)
	r.Visit(app.Page{Name: "key", Contest: keyDay.String(), Args: []string{"2", "3"}}.Hash())
	k := wantOfficial(t, r, "AA")
	if f := k.Seen.Findings; len(f) != 1 || f[0].Note != "52 °F" || *f[0].Weight != 70*amount.Gram {
		t.Errorf("seen is %+v", f)
	}
	touch(t, r, "key.set:length:3.4 mm")
	wantOfficial(t, r, "B")
	press(r, "a")
	wantOfficial(t, r, "AA")
	press(r, "a")
	if k = wantOfficial(t, r, "A"); !k.Differs() {
		t.Error("the official differs from the book, and it is not said")
	}
	press(r, "Enter")
	wantOfficial(t, r, "B")
	press(r, "l")
	wantOfficial(t, r, "Loss")
}

// What each part is is told item by item.
func TestTheKeyOfParts(t *testing.T) {
	r := atThings(t, "3", "1")
	touch(t, r, "key.kind:whole-wing")
	if k := wantOfficial(t, r, ""); k.Bird.Setting.Kind != "whole-wing" || k.Bird.Judge().Err != nil {
		t.Errorf("the part is a %s", k.Bird.Setting.Kind)
	}
	// A thigh bone out of the hip socket leaves a leg quarter A.
	touch(t, r, "key.item:2", "key.site:hip", "key.defect:hip:hip-out", "key.leave")
	before := keyNow(t, r).Answer.Answer
	touch(t, r, "key.kind:leg-quarter")
	wantOfficial(t, r, "A")
	touch(t, r, "key.kind:thigh", "key.kind:moon", "key.kind")
	if k := wantOfficial(t, r, before); k.Seen.Kind != "thigh" {
		t.Errorf("the part is kept as %q", k.Seen.Kind)
	}
	touch(t, r, "key.item:1")
	if got := keyNow(t, r).Bird.Setting.Kind; got != "whole-wing" {
		t.Errorf("the first part is now a %s", got)
	}
}

// Ten parts of ten kinds make a class (National 4-H Poultry Judging Manual, page
// on parts; Penn State Extension). Each stays what the official called it when
// the usual kind of the class is changed, and after a restart.
func TestTheKeyOfTenDifferentParts(t *testing.T) {
	r := atThings(t, "3", "1")
	kinds := app.PartsBook().Kinds
	for i, kind := range kinds {
		touch(t, r, app.Action("key.item", strconv.Itoa(i+1)), app.Action("key.kind", kind.ID), "key.site:part", "key.defect:part:tear", "key.set:length:1/4 in", "key.leave")
		wantOfficial(t, r, "A")
	}
	r.Visit(app.Page{Name: "class", Contest: keyDay.String(), Args: []string{"3"}}.Hash())
	r.Do("class.bird:drumstick")
	r = restart(t, r)
	for i, kind := range kinds {
		r.Visit(app.Page{Name: "key", Contest: keyDay.String(), Args: []string{"3", strconv.Itoa(i + 1)}}.Hash())
		k := wantOfficial(t, r, "A")
		if k.Class.Bird != "drumstick" || k.Bird.Setting.Kind != kind.ID || k.Judged.Grade != "A" {
			t.Errorf("part %d is a %s, want %s", i+1, k.Bird.Setting.Kind, kind.ID)
		}
	}
}

// The book proposes faults, the official decides.
func TestTheKeyOfProducts(t *testing.T) {
	r := atThings(t, "4", "1")
	touch(t, r, "key.site:piece-1", "key.defect:piece-1:bare-spot", "key.set:length:3/8 in", "key.leave")
	wantOfficial(t, r, "coating")
	touch(t, r, "key.look:broken:1")
	wantOfficial(t, r, "coating+incomplete")
	touch(t, r, "key.kind:patty") // 1/2 in is allowed on a patty
	wantOfficial(t, r, "incomplete")
	touch(t, r, "key.undo")
	wantOfficial(t, r, "coating+incomplete")
	faults, _ := keyNow(t, r).Class.Faults()
	foreign := slices.IndexFunc(faults, func(f contest.Fault) bool { return f.ID == "foreign" })
	touch(t, r, app.Action("key.fault", string(rune('1'+foreign))))
	if k := wantOfficial(t, r, "coating+incomplete+foreign"); !k.Differs() || k.ByBook() != "coating+incomplete" {
		t.Errorf("by the book it is %q", k.ByBook())
	}
	touch(t, r, "key.look:broken:0") // the official's answer stays
	wantOfficial(t, r, "coating+incomplete+foreign")
	touch(t, r, "key.book")
	wantOfficial(t, r, "coating")
	touch(t, r, "key.item:2", "key.book")
	wantOfficial(t, r, "none")
}

// A stain on the key of a class is taken on a Large egg where the class does not
// say otherwise.
func TestTheKeyOfShells(t *testing.T) {
	r := atThings(t, "1", "1")
	touch(t, r, "key.site:middle", "key.defect:middle:stain-moderate", "key.set:length:15 mm")
	wantOfficial(t, r, "B")
	touch(t, r, "key.set:length:2 cm")
	wantOfficial(t, r, "Dirty")
	press(r, "-", "-", "-", "-")
	wantOfficial(t, r, "B")
	press(r, "Escape", "d")
	wantOfficial(t, r, "Dirty")
}
