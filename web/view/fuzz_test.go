package view_test

import (
	"crypto/ed25519"
	"encoding/base64"
	"encoding/binary"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"keelcard/engine/clock"
	"keelcard/engine/codec"
	"keelcard/engine/codec/frames"
	"keelcard/engine/contest"
	"keelcard/engine/demo"
	"keelcard/engine/enginetest"
	"keelcard/engine/record"
	"keelcard/engine/seal"
	"keelcard/web/app"
	"keelcard/web/markup"
	"keelcard/web/view"
)

// fair is the disk of a phone that has the demo contest, and its number.
func fair(tb testing.TB) (disk []app.Op, id string) {
	r, err := app.NewRunner(1, &app.Memory{})
	if err != nil {
		tb.Fatal(err)
	}
	r.Type("phone.initials", "AB")
	r.Do("demo.open")
	id = r.State.Open.Head.ID
	r.Visit("#/c/" + id + "/keying/4/140")
	r.Do("keying.mark:2")
	r.Do("call.defect:tear")
	return kept(tb, r.Disk), id
}

// kept is everything on a disk, that of which there is little first.
func kept(tb testing.TB, disk *app.Memory) (all []app.Op) {
	for _, bucket := range []string{app.BucketMeta, app.BucketContest, app.BucketDraft, app.BucketRecord} {
		entries, err := disk.Load(bucket, "")
		if err != nil {
			tb.Fatal(err)
		}
		for _, e := range entries {
			all = append(all, app.Op{Bucket: bucket, Key: e.Key, Value: e.Value})
		}
	}
	return all
}

// started is an app that starts from a disk, every page of which is looked at;
// nil when it says that it cannot start.
func started(t *testing.T, ops []app.Op) *app.Runner {
	disk := &app.Memory{}
	if err := disk.Commit(ops); err != nil {
		t.Fatal(err)
	}
	r, err := app.NewRunner(2, disk)
	if err != nil {
		if lack := enginetest.Untold(err); lack != "" {
			t.Fatal(lack)
		}
		return nil
	}
	r.After = func(s *app.State) { look(t, s) }
	return r
}

func look(t *testing.T, s *app.State) {
	page := view.Page(s)
	whole(t, page)
	if t.Failed() {
		t.Fatalf("on %s", s.Page.Hash())
	}
	markup.String(page)
}

// follow opens a page, and up to most pages to which it and they lead.
func follow(t *testing.T, r *app.Runner, from string, most int) {
	seen := map[string]bool{from: true}
	queue := []string{from}
	for n := 0; n < len(queue) && n < most; n++ {
		r.Visit(queue[n])
		view.Page(r.State).Walk(func(n markup.Node) {
			m, err := app.Parse(n.Get("data-do"))
			if hash := m.Arg(0); err == nil && m.Do == "open" && !seen[hash] {
				seen[hash] = true
				queue = append(queue, hash)
			}
		})
	}
}

// Whatever an address holds, a whole page is shown, and the address of that page
// leads to the same one.
func FuzzAddress(f *testing.F) {
	disk, id := fair(f)
	for _, hash := range []string{"", "#", "#/nonsense", "#/c/x/key", "#/call/1e30", "#/book/carcass-youth/at/limits+0", "#/book/carcass-youth/beside/carcass-federal/x", "#/results-link/S1M", "#/take-in", "#/scan", "#/lots", "#/backup", "#/phone", "#/books", "#/c/0102030405060708/key/3"} {
		f.Add(hash)
	}
	for _, page := range []string{"", "settings", "class/1", "class/99", "class/new", "people", "person/101", "person/4294967295", "key/1", "key/1/3", "key/4/-1", "keying/4", "keying/4/140/second", "questions", "history/6/1/101", "log", "results", "results/class/1",
		"slip/101", "slips", "share", "hand-over", "show-code/1", "phones", "class-book/1", "hens/2/1", "hens/2/propose", "ruling/1/1", "ruling/1/99"} {
		f.Add("#/c/" + id + "/" + page)
	}
	f.Fuzz(func(t *testing.T, hash string) {
		p := app.ParseHash(hash)
		if again := app.ParseHash(p.Hash()); !reflect.DeepEqual(again, p) {
			t.Fatalf("%q is page %+v, whose address leads to %+v", hash, p, again)
		}
		started(t, disk).Visit(hash)
	})
}

// arrivals are the ways by which a file or a text comes into the app: the page
// that has to be shown, and the message.
var arrivals = []struct{ page, do, tag string }{
	{"take-in", "file", "take-in"},
	{"home", "file", "share"},
	{"books", "file", "book"},
	{"class-book/1", "file", "class-book"},
	{"backup", "file", "backup"},
	{"people", "people.file", ""},
	{"take-in", "take-in.paste", ""},
	{"people", "people.paste", ""},
	{"key/3", "key.paste-text", ""},
	{"scan", "scan.code", ""},
	{"results-link", "open", ""},
}

// Whatever comes into the app on whichever way, a whole page is shown after each
// step, and what was accepted is there when the app starts again.
func FuzzArrival(f *testing.F) {
	disk, id := fair(f)
	for i, data := range samples(f) {
		f.Add(uint8(i), data)
		f.Add(uint8(0), data) // as a file to take in
	}
	f.Fuzz(func(t *testing.T, way uint8, data []byte) {
		r := started(t, disk)
		a := arrivals[int(way)%len(arrivals)]
		hash := "#/" + a.page
		if a.page == "people" || strings.Contains(a.page, "/") {
			hash = "#/c/" + id + hash[1:]
		}
		r.Visit(hash)
		m := app.Msg{Do: a.do, Args: []string{a.tag, "file.txt"}, Bytes: data, Text: string(data)}
		switch a.do {
		case "scan.code":
			r.Do("scan.begin")
		case "open":
			m = app.Msg{Do: "open", Args: []string{"#/results-link/" + base64.RawURLEncoding.EncodeToString(data)}}
		}
		r.Send(m)
		switch a.do {
		case "key.paste-text":
			r.Do("key.paste-take")
		case "people.paste", "people.file":
			r.Do("people.take")
		}
		had := len(r.State.Contests)
		if r.State.TakeIn.Ready != nil {
			r.Do("take-in.accept")
		}
		records := -1
		if r.State.Open != nil {
			records = total(r.State.Open.Set)
			had = len(r.State.Contests)
		}
		open := r.State.Open
		if r = started(t, kept(t, r.Disk)); r == nil || len(r.State.Contests) != had {
			t.Fatal("the contests are not there when the app starts again")
		}
		if open != nil {
			follow(t, r, "#/c/"+open.Head.ID, 4)
			if r.State.Open == nil || total(r.State.Open.Set) != records {
				t.Fatalf("%d records were there, and now %+v", records, r.State.Notice)
			}
		}
	})
}

func total(set record.Set) (n int) {
	for _, l := range set.Logs {
		n += len(l.Records)
	}
	return n
}

// samples are files as they should be, and the bad files that are kept.
func samples(tb testing.TB) (all [][]byte) {
	set, err := demo.Set()
	if err != nil {
		tb.Fatal(err)
	}
	bundle, err := codec.EncodeBundle(set, codec.Options{})
	if err != nil {
		tb.Fatal(err)
	}
	sender, err := frames.NewSender([]byte("KEELCARD"), 400)
	if err != nil {
		tb.Fatal(err)
	}
	safe, err := seal.Backup{Made: 1, Who: "AB", Contests: [][]byte{bundle}}.Seal("a few words that nobody guesses", [16]byte{1}, seal.Rounds)
	if err != nil {
		tb.Fatal(err)
	}
	all = append(all, bundle, []byte(codec.EncodeText(bundle)), safe, []byte(frames.Text(sender.Frame(0))),
		[]byte("number,name,team\n101,A,T\n#900,B\n"), []byte("\xff\xfe1\x00,\x00A\x00"), []byte("2-1-3-4 2-5-3"), []byte(`{"format": 1, "id": "x", "scale": [{}]}`))
	for _, pattern := range []string{"sealed/*.*", "sealed/bad/*.bad", "bad/*.bad"} {
		names, err := filepath.Glob("../../testdata/files/" + pattern)
		if err != nil || len(names) < 10 {
			tb.Fatalf("%d files %s, %v", len(names), pattern, err)
		}
		for i, name := range names {
			b, err := os.ReadFile(name)
			if err != nil {
				tb.Fatal(err)
			}
			if len(b) < 1<<14 && (len(names) < 20 || i%7 == 0) { // bad ones are many, and the engine reads them all
				all = append(all, b)
			}
		}
	}
	return all
}

// Whatever the store gives back, and the mark outside of it, the app starts or says
// why not, and every page of it is whole.
func FuzzStored(f *testing.F) {
	disk, id := fair(f)
	for i := range min(len(disk), 8) {
		f.Add(uint16(i), "", disk[i].Value)
		f.Add(uint16(i), "", []byte("null"))
		f.Add(uint16(i), "", disk[i].Value[:len(disk[i].Value)/2])
	}
	for _, key := range []string{"lots", "backup", "books/x", "phone", "call", "unknown"} {
		f.Add(uint16(0), key, []byte(`{"weight":"61","counts":{"aa":"x"},"now":{},"when":-1,"seed":"","contests":1}`))
	}
	f.Add(uint16(len(disk)-1), "", []byte{1, 2, 3})
	ticket, err := os.ReadFile("../../testdata/files/sealed/ticket-official.keelcard")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(uint16(0), "pass/"+id+"/official", ticket)
	f.Add(uint16(0), "pass/"+id+"/", ticket[:32])
	f.Fuzz(func(t *testing.T, at uint16, key string, value []byte) {
		op := disk[int(at)%len(disk)]
		if op.Value = value; key != "" {
			op.Bucket, op.Key = app.BucketMeta, key
		}
		r := started(t, append(slices.Clone(disk), op))
		if r == nil {
			return
		}
		r.Send(app.Msg{Do: "boot", Args: []string{"#/", string(value) + "\n" + id + " " + key}})
		for _, hash := range []string{"#/", "#/phone", "#/call", "#/lots", "#/backup", "#/books", "#/c/" + id + "/keying/4/140", "#/c/" + id + "/people", "#/c/" + id + "/phones"} {
			r.Visit(hash)
		}
	})
}

// Whatever the records of another phone hold, every page that shows them is whole.
// The bytes are a list of kind, A, B, length and value.
func FuzzShown(f *testing.F) {
	set, err := demo.Set()
	if err != nil {
		f.Fatal(err)
	}
	put := func(b []byte, kind record.Kind, a, of int, value string) []byte {
		b = append(b, byte(kind), byte(a), byte(of))
		return append(binary.BigEndian.AppendUint16(b, uint16(len(value))), value...)
	}
	byKind := map[record.Kind][]byte{}
	var some []byte
	for _, l := range set.Logs {
		for _, r := range l.Records {
			s := r.Subject
			if b := byKind[s.Kind]; len(b) < 3000 && s.A < 256 && s.B < 256 && len(r.Value) < 2000 {
				byKind[s.Kind] = put(b, s.Kind, int(s.A), int(s.B), r.Value)
			}
		}
	}
	for _, b := range byKind {
		f.Add(b)
		some = append(some, b[:min(len(b), 1500)]...)
	}
	f.Add(some)
	for _, v := range []string{`{"name":"n","kind":"graded","items":1,"book":"carcass-youth","bird":"chicken","weight":"4 lb"}`, `{"name":"n","kind":"placing","items":4}`,
		`{"name":"n","kind":"identified","items":1,"list":"parts-youth"}`, `{"name":"n","kind":"checked","items":1,"names":["a","b"]}`, `{"name":"n","kind":"awarded","officials":2,"criteria":[{"name":"a","most":"20"}]}`} {
		b := put(nil, record.KindContest, 0, 0, `{"name":"\u202e<b>","divisions":["d"],"ties":[{"classes":[1]}]}`)
		b = put(b, record.KindClass, 1, 0, v)
		b = put(b, record.KindPerson, 3, 0, `{"name":"n","division":"d","team":1}`)
		b = put(put(b, record.KindCard, 1, 3, "\x01"), record.KindCard, 1, 4, "\xff\x00")
		b = put(put(b, record.KindKey, 1, 1, `{"answer":"a"}`), contest.KindSeen, 1, 1, `{"findings":[{"defect":"tear","site":"breast","view":"front","x":-1,"y":9999}],"note":"\u0000"}`)
		b = put(put(b, record.KindRuling, 1, 1, `{"accept":["a"],"why":"w"}`), record.KindPhone, 0, 0, `{"who":"X","holds":{"x":1}}`)
		f.Add(put(put(b, record.KindLock, 1, 0, "locked"), record.KindBook, 1, 0, `{"format":1}`))
	}
	private := ed25519.NewKeyFromSeed(make([]byte, ed25519.SeedSize))
	f.Fuzz(func(t *testing.T, data []byte) {
		id := record.ContestID{1}
		log := record.NewLog(id, private.Public().(ed25519.PublicKey))
		for len(data) >= 5 && len(log.Records) < 100 {
			n := min(int(binary.BigEndian.Uint16(data[3:])), len(data)-5)
			r := record.Record{Phone: log.Phone, Seq: log.Last() + 1, Stamp: clock.Stamp{Wall: 1_790_000_000}, Who: "official/X",
				Subject: record.Subject{Kind: record.Kind(data[0]), A: uint32(data[1]), B: uint32(data[2])}, Value: string(data[5 : 5+n])}
			if r.Subject.Kind == record.KindPhone {
				r.Subject = log.Phone.Subject(record.KindPhone)
			}
			data = data[5+n:]
			if log.Append(r) != nil {
				return
			}
		}
		if len(log.Records) == 0 || record.Sign(id, &log, private) != nil {
			return
		}
		file, err := codec.EncodeBundle(record.Set{Contest: id, Logs: []record.Log{log}}, codec.Options{})
		if err != nil {
			t.Fatal(err)
		}
		r := started(t, nil)
		r.Type("phone.initials", "AB")
		r.Visit("#/take-in")
		r.Send(app.Msg{Do: "file", Args: []string{"take-in", "file.txt"}, Bytes: file})
		if r.State.TakeIn.Ready == nil {
			return // a renewal that was not proven
		}
		r.Do("take-in.accept")
		follow(t, r, "#/c/"+id.String(), 20)
	})
}
