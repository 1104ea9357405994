package codec_test

import (
	"bytes"
	"crypto/ed25519"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"keelcard/engine/clock"
	"keelcard/engine/merge"
	"keelcard/engine/record"
)

var contest = record.ContestID{0xc0, 1, 2, 3, 4, 5, 6, 7}

func key(n int) ed25519.PrivateKey {
	return ed25519.NewKeyFromSeed(bytes.Repeat([]byte{byte(n)}, ed25519.SeedSize))
}

func public(n int) ed25519.PublicKey { return key(n).Public().(ed25519.PublicKey) }

// writer makes logs the way phones do.
type writer struct {
	tb    testing.TB
	rng   *rand.Rand
	logs  []record.Log
	keys  []ed25519.PrivateKey
	stamp []clock.Stamp
	state *merge.State
}

func newWriter(tb testing.TB, seed uint64, phones int) *writer {
	w := &writer{tb: tb, rng: rand.New(rand.NewPCG(seed, 7)), state: merge.Fold(record.Set{Contest: contest})}
	for i := range phones {
		w.keys = append(w.keys, key(i+1))
		w.logs = append(w.logs, record.NewLog(contest, public(i+1)))
		w.stamp = append(w.stamp, clock.Stamp{})
	}
	return w
}

// put appends a record to a phone's log. It replaces what holds unless it is a
// second keying.
func (w *writer) put(phone int, now int64, who string, sub record.Subject, value string, again bool) {
	w.tb.Helper()
	l := &w.logs[phone]
	w.stamp[phone] = clock.Next(w.stamp[phone], now)
	r := record.Record{Phone: l.Phone, Seq: uint32(len(l.Records)) + 1, Stamp: w.stamp[phone], Who: who,
		Subject: sub, Value: value, Again: again}
	if !again {
		r.Replaces = w.state.Current(sub).Replaces()
	}
	w.add(phone, r)
}

func (w *writer) add(phone int, r record.Record) {
	w.tb.Helper()
	if err := w.logs[phone].Append(r); err != nil {
		w.tb.Fatal(err)
	}
	if err := w.state.Append(r); err != nil {
		w.tb.Fatal(err)
	}
}

// set signs all logs and gives them sorted.
func (w *writer) set() record.Set {
	w.tb.Helper()
	set := record.Set{Contest: contest}
	for i := range w.logs {
		if err := record.Sign(contest, &w.logs[i], w.keys[i]); err != nil {
			w.tb.Fatal(err)
		}
		var err error
		if set, _, err = merge.Join(set, record.Set{Contest: contest, Logs: w.logs[i : i+1]}); err != nil {
			w.tb.Fatal(err)
		}
	}
	return set
}

// crowd gives so many phones that wrote nothing and signed nothing.
func crowd(n int) record.Set {
	set := record.Set{Contest: contest}
	for i := range n {
		public := ed25519.PublicKey(bytes.Repeat([]byte{byte(i), byte(i >> 8)}, ed25519.PublicKeySize/2))
		set.Logs = append(set.Logs, record.NewLog(contest, public))
	}
	slices.SortFunc(set.Logs, func(a, b record.Log) int { return bytes.Compare(a.Phone[:], b.Phone[:]) })
	return set
}

// day is how a contest is keyed: cards of ten graded items with four grades,
// each answer agreeing with the key in about 70 of 100; a keying every six to
// ten seconds with a pause now and then; of 100 cards one is corrected at once
// and two are keyed a second time by another phone, a few of those differently.
type day struct {
	phones, cards, contestants int
	shuffled                   bool // cards come in no order; else in piles sorted but for a few
}

func (d day) write(tb testing.TB) record.Set {
	w := newWriter(tb, 4000, d.phones)
	classes := (d.cards + d.contestants - 1) / d.contestants
	keys := make([][]byte, classes)
	for i := range keys {
		keys[i] = w.card(nil)
	}
	now := make([]int64, d.phones)
	for i := range now {
		now[i] = 1_767_225_600 + int64(w.rng.IntN(600))
	}
	order := make([]int, d.cards)
	for i := range order {
		order[i] = i
	}
	if d.shuffled {
		w.rng.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
	} else {
		for range d.cards / 10 {
			i := w.rng.IntN(d.cards - 8)
			j := i + w.rng.IntN(8)
			order[i], order[j] = order[j], order[i]
		}
	}
	perPhone := (d.cards + d.phones - 1) / d.phones
	for i, card := range order {
		phone := i / perPhone
		class := card / d.contestants
		sub := record.Subject{Kind: record.KindCard, A: uint32(class) + 1, B: uint32(card%d.contestants) + 101}
		value := w.card(keys[class])
		now[phone] += 6 + int64(w.rng.IntN(5))
		if w.rng.IntN(60) == 0 {
			now[phone] += int64(w.rng.IntN(300))
		}
		who := fmt.Sprintf("keyer/%c%c", 'A'+phone, 'M'+phone/2)
		w.put(phone, now[phone], who, sub, string(value), false)
		if w.rng.IntN(100) == 0 {
			value[w.rng.IntN(10)] = byte(1 + w.rng.IntN(4))
			now[phone] += 2 + int64(w.rng.IntN(4))
			w.put(phone, now[phone], who, sub, string(value), false)
		}
		if w.rng.IntN(50) == 0 {
			other := w.rng.IntN(d.phones)
			if w.rng.IntN(5) == 0 {
				value[w.rng.IntN(10)] = byte(1 + w.rng.IntN(4))
			}
			now[other] += 6 + int64(w.rng.IntN(5))
			w.put(other, now[other], fmt.Sprintf("keyer/%c%c", 'A'+other, 'M'+other/2), sub, string(value), true)
		}
	}
	return w.set()
}

// card answers ten items, agreeing with a key in 70 of 100.
func (w *writer) card(key []byte) []byte {
	card := make([]byte, 10)
	for i := range card {
		card[i] = byte(1 + w.rng.IntN(4))
		if key != nil {
			if w.rng.IntN(10) < 7 {
				card[i] = key[i]
			} else {
				card[i] = 1 + (key[i]+byte(w.rng.IntN(3)))%4
			}
		}
	}
	return card
}

// mixed is a small contest with records of every kind and shape.
func mixed(tb testing.TB) record.Set {
	w := newWriter(tb, 1, 3)
	now := int64(1_767_225_600)
	put := func(phone int, kind record.Kind, a, b uint32, value string, again bool) {
		w.put(phone, now, []string{"owner/TC", "keyer/Zoë", "official/R. Hale"}[phone], record.Subject{Kind: kind, A: a, B: b}, value, again)
		now += 7
	}
	put(0, record.KindContest, 0, 0, `{"title":"Tamarack County Poultry Day","date":"2026-04-11"}`, false)
	for i := range uint32(4) {
		put(0, record.KindClass, i+1, 0, fmt.Sprintf(`{"title":"Class %d","kind":"graded","items":10}`, i+1), false)
	}
	put(0, record.KindTeam, 1, 0, `{"name":"North Barn"}`, false)
	for i := range uint32(6) {
		put(0, record.KindPerson, 101+i, 0, fmt.Sprintf(`{"team":1,"division":"junior","short":"P%d"}`, i), false)
		put(1, record.KindCard, 1, 101+i, string(w.card(nil)), false)
	}
	put(2, record.KindKey, 1, 1, `{"grade":"A","why":"flesh torn, 3/4 in"}`, false)
	put(2, record.KindLock, 1, 0, "locked", false)
	put(1, record.KindCard, 1, 101, "", false) // withdrawn
	put(0, record.KindCard, 1, 102, string(w.card(nil)), true)
	put(1, record.KindCard, 1, 103, "\x83\x00\x04", false)
	put(0, record.KindBook, 0xdeadbeef, 0, `{"id":"carcass","scale":["A","B","C","N"]}`, false)
	put(1, record.KindCard, 2, 101, string(bytes.Repeat([]byte{1, 2, 3}, 100)), false) // a longer card
	put(2, 77, 1<<32-1, 1<<32-1, "\x00\xff not known here", false)
	l := &w.logs[2]
	w.add(2, record.Record{Phone: l.Phone, Seq: uint32(len(l.Records)) + 1, Stamp: clock.Stamp{Wall: 5, Tick: 65535},
		Subject: record.Subject{Kind: 200}, Value: "flags not known here", Again: true, Flags: 0x8001})
	stranger := record.PhoneID{9, 9}
	refs := []record.Ref{{Phone: stranger, Seq: 999_999}, {Phone: l.Phone, Seq: 1}, {Phone: w.logs[0].Phone, Seq: 2}}
	sortRefs(refs)
	w.add(2, record.Record{Phone: l.Phone, Seq: uint32(len(l.Records)) + 1, Stamp: clock.Stamp{Wall: clock.MaxWall},
		Subject: record.Subject{Kind: record.KindRuling, A: 3}, Value: "both answers count", Replaces: refs})
	return w.set()
}
