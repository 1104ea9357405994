package view

import (
	"keelcard/engine/contest"
	"keelcard/engine/record"
	"keelcard/web/app"
)

// sealedAnswers is what officials set, saw and ruled in a sealed contest.
type sealedAnswers struct{ grade, hens, name, note, ruling string }

var oneAnswer = sealedAnswers{grade: "A", hens: "132", name: "3", note: "zebra fence", ruling: "B"}

// sealedCounty is a sealed county day whose owner set the keys of all classes.
func sealedCounty(a sealedAnswers) *app.Runner {
	r := namedPhone(40, "AB")
	r.Visit("#/new")
	r.Type("new.name", "Tamarack County Poultry Day")
	r.Do("new.start:county")
	at(r, "people")
	r.Type("people.paste", "41,Ana Birch\n42,Ben Cole")
	r.Do("people.take")
	key := func(class string, items int, do, answer string) {
		for i := range items {
			at(r, "key", class, itoa(i+1))
			r.Do(app.Action(do, answer))
		}
	}
	key("1", 10, "key.answer", a.grade)
	at(r, "key", "1", "2")
	r.Type("key.remark", a.note)
	r.Do("key.lock")
	at(r, "key", "2")
	for _, hen := range a.hens {
		r.Do(app.Action("key.hen", string(hen)))
	}
	at(r, "hens", "2", "1")
	r.Type("hens.remark", a.note)
	key("4", 10, "key.name", a.name)
	at(r, "ruling", "1", "3")
	r.Do("ruling.way:answer")
	r.Do(app.Action("ruling.pick", answerNo(r, a.ruling)))
	r.Type("ruling.why", a.note)
	r.Do("ruling.make")
	keyedAnywhere(r, "41")
	return r
}

// answerNo is the number of an answer among those of the first class.
func answerNo(r *app.Runner, answer string) string {
	class, _ := r.State.Open.Contest.Class(1)
	for i, a := range class.Answers() {
		if a == answer {
			return itoa(i + 1)
		}
	}
	return ""
}

// withoutSecret is the phone of an official who was made one by an owner that has
// not the authority, and so no secret to give.
func withoutSecret(owner *app.Runner) *app.Runner {
	second := cameBy(60, "JK", invitation(owner, contest.Official))
	bare := cameBy(120, "TR", invitation(owner, contest.Keyer))
	pass(second, owner)
	says(owner, second, "role", contest.Owner)
	pass(owner, second)
	at(bare, "contest")
	pass(bare, second)
	says(second, bare, "role", contest.Official)
	pass(second, bare)
	return bare
}

// gallerySealed shows what phones say of answers that they cannot read.
func gallerySealed() []Sample {
	owner := sealedCounty(oneAnswer)
	keyer, bare := cameBy(80, "MB", invitation(owner, contest.Keyer)), withoutSecret(owner)
	coach := cameBy(140, "CD", invitation(owner, contest.Coach))
	at(owner, "key", "4", "5")
	owner.Do("key.name:7")
	pass(owner, keyer)
	pass(owner, bare)
	var samples []Sample
	add := func(name string, r *app.Runner, page string, args ...string) {
		samples = append(samples, Sample{name, keptBy(r, page, args...)})
	}
	answer := app.SubjectArgs(contest.KeySubject(4, 5))
	add("key/sealed to this phone", bare, "key", "1")
	add("key/sealed, hens", bare, "key", "2")
	add("hens/sealed to this phone", bare, "hens", "2")
	add("ruling/sealed to this phone", bare, "ruling", "1", "3")
	add("class-book/sealed to this phone", bare, "class-book", "1")
	add("results/sealed to this phone", bare, "results")
	add("contest/sealed to an official's phone", bare, "contest")
	add("contest/sealed to a keyer's phone", keyer, "contest")
	add("history/sealed to this phone", keyer, "history", answer...)
	add("history/latest, sealed to this phone", keyer, "history")
	add("log/sealed to this phone", keyer, "log")
	add("settings/sealed, on the owner's phone", owner, "settings")
	add("settings/sealed, on another phone", bare, "settings")
	add("contest/sealed, on a coach's phone", coach, "contest")
	return append(samples, gallerySealedParts()...)
}

// gallerySealedParts shows a question that is sealed to a keyer's phone, and the
// key of an official who was invited after another one's phone was shut out.
func gallerySealedParts() []Sample {
	owner := sealedCounty(oneAnswer)
	second, keyer := cameBy(60, "JK", invitation(owner, contest.Official)), cameBy(80, "MB", invitation(owner, contest.Keyer))
	for i, r := range []*app.Runner{owner, second} {
		at(r, "key", "5", "1")
		r.Do(app.Action("key.answer", []string{"A", "B"}[i]))
	}
	pass(second, owner)
	pass(owner, keyer)
	in := app.SubjectArgs(record.Subject{Kind: record.KindKey, A: 5, B: 1})
	samples := []Sample{
		{"questions/sealed to this phone", keptBy(keyer, "questions")},
		{"questions/one that is sealed to this phone", keptBy(keyer, "questions", in...)},
	}
	says(owner, second, "shut")
	late := cameBy(120, "TR", invitation(owner, contest.Official))
	at(late, "key", "4", "3")
	return append(samples, Sample{"key/an item sealed with another key", keptBy(late, "key", "4", "3")},
		Sample{"key/a bird sealed with another key", keptBy(late, "key", "1", "3")},
		Sample{"hens/notes sealed with another key", keptBy(late, "hens", "2", "1")})
}
