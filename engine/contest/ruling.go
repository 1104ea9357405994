package contest

import (
	"fmt"
	"slices"

	"keelcard/engine"
	"keelcard/engine/clock"
	"keelcard/engine/merge"
	"keelcard/engine/record"
	"keelcard/engine/score"
	"keelcard/engine/tree"
)

// MaxWhy is the most letters of a reason.
const MaxWhy = 500

// Ruling is what the officials decide about an item after its answer was set:
// who decided and when stands in the record. Contests change an item for
// everyone rather than for some (common practice).
//
// With Out every card earns the item's full points. Answer stands in the place
// of the official answer and of whatever else was right; Also is right beside
// what is. A ruling about a whole class can only leave it out of the totals.
type Ruling struct {
	Out    bool     `json:"out,omitempty"`
	Answer string   `json:"answer,omitempty"`
	Also   []string `json:"also,omitempty"`
	Why    string   `json:"why"`
}

// Fields names the fields of a record's value.
func (r *Ruling) Fields(f *tree.Fields) {
	f.Bool("out", &r.Out, tree.IfSet)
	f.Text("answer", &r.Answer, tree.IfSet)
	f.Texts("also", &r.Also, tree.IfSet)
	f.Text("why", &r.Why, tree.Always)
}

// None tells whether there is no ruling.
func (r Ruling) None() bool { return !r.Out && r.Answer == "" && len(r.Also) == 0 }

// RulingSubject is the subject of a ruling on an item, counted from 1 in every
// kind of class; item 0 stands for the class as a whole.
func RulingSubject(class, item uint32) record.Subject {
	return record.Subject{Kind: record.KindRuling, A: class, B: item}
}

// Write gives the value of a record that holds a ruling on an item of a class,
// counted from 1, or with item 0 on the class as a whole. The key is the one
// that Contest.Key gives. Codes: contest.empty, contest.long, contest.text,
// contest.ruling and those of Kind.CheckKey.
func (r Ruling) Write(c Class, item uint32, k Key) (string, error) {
	r.Why = tidy(r.Why)
	return written(&r, append(r.check(), r.checkFor(c, item, k)...))
}

// check finds what keeps a ruling from being read.
func (r Ruling) check() engine.Faults {
	f := checkLetters(nil, "why", r.Why, MaxWhy, "say why, so that everyone can be told")
	switch {
	case len(r.Also) > score.MaxAnswers:
		f = append(f, engine.New("contest.ruling", "also right", fmt.Sprintf("there are %d answers", len(r.Also)), "name each answer once"))
	case r.None():
		f = append(f, engine.New("contest.ruling", "ruling", "it changes nothing", "leave the item out, correct its answer, or allow another one"))
	case r.Out && (r.Answer != "" || len(r.Also) > 0):
		f = append(f, engine.New("contest.ruling", "ruling", "the item is left out and has an answer", "choose one of the two"))
	}
	return f
}

// checkFor finds what is wrong with the ruling in its class.
func (r Ruling) checkFor(c Class, item uint32, k Key) engine.Faults {
	kind, ok := KindByID(c.Kind)
	i := int(item) - 1
	add := func(what, fix string) engine.Faults {
		return engine.Faults{engine.New("contest.ruling", c.Name, what, fix)}
	}
	switch {
	case !ok:
		return engine.Faults{engine.New("contest.class-kind", "kind", fmt.Sprintf("%q is no kind of class", c.Kind), "choose one of the kinds offered")}
	case item == 0 && !r.Out:
		return add("a whole class has no answer", "leave the class out, or rule on an item")
	case item == 0:
		return nil
	case int64(item) > int64(len(k.Official)):
		return add(fmt.Sprintf("there is no item %d with an official answer", item), "choose one of the items shown")
	case r.Out:
		return nil
	case k.Official[i].Answer == "":
		return add(fmt.Sprintf("item %d has no settled official answer yet", item), "set it first")
	}
	return appendErr(nil, kind.CheckKey(c, r.on(k.Official[i], false)))
}

// on gives the answer as it stands after the ruling. Merged, what is right
// already is not named a second time: the key may have been mended since.
func (r Ruling) on(k KeyItem, merged bool) KeyItem {
	also := slices.Clone(k.Also)
	if r.Answer != "" {
		k.Answer, also = r.Answer, nil
	}
	for _, a := range r.Also {
		if !merged || a != k.Answer && !slices.Contains(also, a) {
			also = append(also, a)
		}
	}
	k.Also = also
	return k
}

// Ruled is a ruling of a contest and who wrote it.
type Ruled struct {
	Class, Item uint32 // item from 1; 0 is the whole class
	Ruling
	Status merge.Status // in question, it holds back the item or the class until it is settled
	Sealed bool         // it cannot be read here, and holds back the class
	Who    string       // as the record has it, the earliest if several say the same
	Stamp  clock.Stamp
}

func (r Ruled) subject() record.Subject { return RulingSubject(r.Class, r.Item) }

// Rulings lists the rulings that stand or are in question, by class and item.
func (c *Contest) Rulings() []Ruled { return slices.Clone(c.rulings) }

func (c *Contest) readRuling(sub record.Subject) {
	if sub.A < 1 || sub.A > MaxNumber || sub.B > MaxItems {
		c.noteStray(sub)
		return
	}
	cur := c.state.Current(sub)
	ruled := Ruled{Class: sub.A, Item: sub.B, Status: cur.Status}
	if ruled.Sealed = slices.ContainsFunc(cur.Values, record.Veiled); ruled.Sealed {
		ruled.Who, ruled.Stamp = c.author(cur)
		c.note(sub, nil)
		c.rulings = putRuling(c.rulings, ruled, true)
		return
	}
	r, ok := parse(c, sub, func(*Ruling) {})
	if ok {
		ruled.Ruling = r
		ruled.Who, ruled.Stamp = c.author(cur)
	}
	c.rulings = putRuling(c.rulings, ruled, ok || cur.Status == merge.InQuestion)
}

// author is who first wrote a value that stands.
func (c *Contest) author(cur merge.Current) (string, clock.Stamp) {
	for _, ref := range cur.Refs {
		if r, ok := c.state.Record(ref); ok && r.Value != "" {
			return r.Who, r.Stamp
		}
	}
	return "", clock.Stamp{}
}

// putRuling gives the list with the ruling in its place, or without it.
func putRuling(list []Ruled, r Ruled, stands bool) []Ruled {
	i, found := slices.BinarySearchFunc(list, r.subject(), func(r Ruled, s record.Subject) int { return record.CompareSubjects(r.subject(), s) })
	list = slices.Clone(list)
	if found {
		list = slices.Delete(list, i, i+1)
	}
	if stands {
		list = slices.Insert(list, i, r)
	}
	return list
}

// rule puts the rulings on a class into its key.
func (c *Contest) rule(class uint32, k *Key) {
	k.Official, k.Rulings = k.Items, make([]Ruling, len(k.Items))
	for _, r := range c.rulings {
		i := int(r.Item) - 1
		if r.Class != class || i >= len(k.Items) {
			continue
		}
		k.Sealed = k.Sealed || r.Sealed
		switch {
		case r.Item == 0:
			k.Doubted = r.Status == merge.InQuestion
			if r.Out && !k.Doubted {
				k.LeftOut = r.Ruling
			}
			continue
		case r.Status == merge.InQuestion:
			k.Status = slices.Clone(k.Status)
			k.Status[i] = merge.InQuestion
			continue
		}
		k.Rulings[i] = r.Ruling
		if !r.Out && k.Official[i].Answer != "" {
			if &k.Items[0] == &k.Official[0] {
				k.Items = slices.Clone(k.Items)
			}
			k.Items[i] = r.on(k.Official[i], true)
		}
	}
}

// Out tells whether an item, counted from 0, is thrown out.
func (k Key) Out(item int) bool { return item < len(k.Rulings) && k.Rulings[item].Out }

// settled tells whether an item has an official answer that is not in question.
func (k Key) settled(item int) bool {
	return k.Status[item] != merge.Absent && k.Status[item] != merge.InQuestion
}

// unasked gives some answer to the items that are thrown out without one, so
// that the class can be compiled; throwOut then takes it away.
func (k Key) unasked(c Class) Key {
	answers := c.Answers()
	items := k.Items
	for i := range items {
		if !k.Out(i) || items[i].Answer != "" || len(answers) == 0 {
			continue
		}
		k.Items = slices.Clone(k.Items)
		k.Items[i].Answer = answers[0]
		if c.Kind == Checked {
			k.Items[i].Answer = None
		}
	}
	return k
}

// throwOut gives every card full points for the items that are thrown out. An
// item may have several slots.
func (k Key) throwOut(t *score.Table) {
	for i := range k.Items {
		each := len(t.Slots) / len(k.Items)
		for s := i * each; k.Out(i) && s < (i+1)*each; s++ {
			t.ThrowOut(s, k.Items[i].Answer != "")
		}
	}
}
