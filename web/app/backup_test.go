package app_test

import (
	"bytes"
	"encoding/binary"
	"slices"
	"strconv"
	"strings"
	"testing"

	"keelcard/engine/codec"
	"keelcard/engine/record"
	"keelcard/engine/seal"
	"keelcard/web/app"
)

const backupWords = "five plain words are these"

// putAway is the backup that a phone makes of itself.
func putAway(t *testing.T, r *app.Runner) app.Offer {
	t.Helper()
	r.Visit("#/backup")
	r.Type("backup.phrase", backupWords)
	r.Shown = nil
	r.Do("backup.save")
	tick(t, r)
	i := slices.IndexFunc(r.Shown, func(e app.Effect) bool { o, ok := e.(app.Offer); return ok && o.Tag == "backup" })
	if i < 0 {
		t.Fatalf("no backup: %+v %+v", r.State.Notice, r.State.Backup.Out)
	}
	return r.Shown[i].(app.Offer)
}

// opened is a phone on which a backup was chosen and its words were typed.
func opened(t *testing.T, r *app.Runner, file []byte, words string) *app.Runner {
	t.Helper()
	r.Visit("#/backup")
	r.Send(app.Msg{Do: "file", Args: []string{"backup", "backup.txt"}, Bytes: file})
	r.Type("backup.typed", words)
	r.Shown = nil
	if r.Do("backup.open"); r.State.Backup.Working != "" {
		tick(t, r)
	}
	return r
}

// records are all records of a phone's store, by name.
func stored(t *testing.T, disk *app.Memory) map[string]string {
	t.Helper()
	all, err := disk.Load(app.BucketRecord, "")
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, e := range all {
		out[e.Key] = string(e.Value)
	}
	return out
}

// A phone is lost after its backup. Another one has everything, goes on under its
// own number, and hands everything over, signed, what the lost one wrote included.
func TestABackupOnANewPhone(t *testing.T) {
	app.FullRounds(t)
	old := demoPhone(t)
	demo := old.State.Open.Head.ID
	old.Type("new.start", "name=Quarry+Road+Poultry+Day")
	second := old.State.Open.Head.ID
	file := putAway(t, old)
	if !file.Save || file.Name != "keelcard-backup-mb.txt" {
		t.Errorf("%s, save %v", file.Name, file.Save)
	}
	if raw, err := codec.DecodeText(string(file.Bytes)); err != nil || binary.BigEndian.Uint32(raw[9:]) != seal.Rounds {
		t.Errorf("the passphrase is stretched otherwise: % x, %v", raw[:13], err)
	}
	old.Send(app.Msg{Do: "offered", Args: []string{"backup", "saved"}})

	disk := &app.Memory{}
	r, err := app.NewRunner(9, disk)
	if err != nil {
		t.Fatal(err)
	}
	opened(t, r, file.Bytes, " five plain  words are these ")
	found := r.State.Backup.Found
	if found == nil || found.Who != "MB" || found.Own || len(found.Contests) != 2 || found.Contests[0].Known || found.Made == 0 {
		t.Fatalf("found %+v, %+v", found, r.State.Backup.Fault)
	}
	if found.New() != len(stored(t, old.Disk)) {
		t.Errorf("%d records, the phone has %d", found.New(), len(stored(t, old.Disk)))
	}
	if len(stored(t, disk)) > 0 || len(r.State.Contests) > 0 {
		t.Error("something was taken over before that was wanted")
	}
	r.Do("backup.bring")
	if r.State.Page.Name != "home" || len(r.State.Contests) != 2 || r.State.Phone.Initials != "MB" {
		t.Fatalf("page %s, contests %+v, %+v", r.State.Page.Name, r.State.Contests, r.State.Notice)
	}
	if r, err = app.NewRunner(9, disk); err != nil {
		t.Fatal(err)
	}
	claims := map[string]int{"second": 1} // the new phone says that it is its owner's
	for name, id := range map[string]string{"demo": demo, "second": second} {
		for _, phone := range []*app.Runner{old, r} {
			phone.Visit(app.Page{Name: "contest", Contest: id}.Hash())
		}
		if r.State.Open == nil || r.State.Open.Head.Name != old.State.Open.Head.Name || len(r.State.Open.Set.Logs) != len(old.State.Open.Set.Logs)+claims[name] {
			t.Fatalf("%s: %+v", name, r.State.Notice)
		}
	}
	if r.State.Phone.ID == old.State.Phone.ID {
		t.Error("two phones have one number")
	}

	// What it writes goes on beside what the lost phone wrote.
	r.Visit(app.Page{Name: "contest", Contest: second}.Hash())
	r.Shown = nil
	r.Do("hand-over.save")
	set, err := codec.DecodeBundle(r.Shown[len(r.Shown)-1].(app.Offer).Bytes)
	if err != nil {
		t.Fatalf("what it hands over is refused: %v", err)
	}
	if len(set.Logs) != 2 || !slices.ContainsFunc(set.Logs, func(l record.Log) bool { return l.Phone == old.State.Phone.ID }) {
		t.Errorf("%d logs are handed over", len(set.Logs))
	}
}

func TestTheLastBackupIsRemembered(t *testing.T) {
	r := demoPhone(t)
	putAway(t, r)
	if r.State.Backup.Last != nil {
		t.Error("a backup counts before it has left the phone")
	}
	r.Send(app.Msg{Do: "offered", Args: []string{"backup", "dropped"}})
	if r.State.Backup.Last != nil {
		t.Error("a backup counts that was not saved")
	}
	r.Send(app.Msg{Do: "offered", Args: []string{"backup", "saved"}})
	again, err := app.NewRunner(1, r.Disk)
	if err != nil {
		t.Fatal(err)
	}
	again.Visit("#/backup")
	if last := again.State.Backup.Last; last == nil || last.Contests != 1 || last.When == 0 {
		t.Errorf("after a restart the last backup is %+v", last)
	}
}

// A backup of this phone itself brings only what is gone from it; where records
// of its own come back, it goes on under a new key.
func TestABackupOnTheSamePhone(t *testing.T) {
	r := demoPhone(t)
	r.Type("new.start", "name=Quarry+Road+Poultry+Day")
	id, before := r.State.Open.Head.ID, stored(t, r.Disk)
	phone := r.State.Phone.ID
	file := putAway(t, r)
	opened(t, r, file.Bytes, backupWords)
	if f := r.State.Backup.Found; f == nil || !f.Own || f.New() != 0 || !f.Contests[0].Known {
		t.Fatalf("found %+v", f)
	}
	if r.Do("backup.bring"); r.State.Backup.Found == nil {
		t.Error("nothing was brought, and the page was left")
	}
	r.Do(app.Action("contest.forget", id))
	opened(t, r, file.Bytes, backupWords)
	f := r.State.Backup.Found
	if f == nil || f.New() == 0 || f.New() >= len(before) {
		t.Fatalf("found %+v", f)
	}
	r.Do("backup.bring")
	if got := stored(t, r.Disk); len(got) != len(before) {
		t.Errorf("%d records, %d before", len(got), len(before))
	} else {
		for key, value := range before {
			if got[key] != value {
				t.Errorf("%s is another", key)
			}
		}
	}
	if r.State.Phone.ID == phone || len(r.State.Phone.Former) != 1 {
		t.Errorf("the phone goes on as %v, with %d keys before", r.State.Phone.ID, len(r.State.Phone.Former))
	}
}

// What was written since the backup is kept.
func TestABackupTakesNothingBack(t *testing.T) {
	r := demoPhone(t)
	demo := r.State.Open.Head.ID
	file := putAway(t, r)
	r.Visit(app.Page{Name: "person", Contest: demo, Args: []string{"101"}}.Hash())
	r.Visit(app.Page{Name: "contest", Contest: demo}.Hash())
	r.Do("hand-over.save") // writes down what this phone holds
	before := stored(t, r.Disk)
	opened(t, r, file.Bytes, backupWords)
	if f := r.State.Backup.Found; f == nil || f.New() != 0 {
		t.Fatalf("found %+v", f)
	}
	r.Do("backup.bring")
	if got := stored(t, r.Disk); len(got) != len(before) {
		t.Errorf("%d records, %d before", len(got), len(before))
	}
}

func TestABackupIsRefused(t *testing.T) {
	old := demoPhone(t)
	file := putAway(t, old).Bytes
	raw, err := codec.DecodeText(string(file))
	if err != nil {
		t.Fatal(err)
	}
	raw[len(raw)-30] ^= 1
	old.Visit(app.Page{Name: "contest", Contest: old.State.Contests[0].ID}.Hash())
	old.Do("hand-over.save")
	bundle := old.Shown[len(old.Shown)-1].(app.Offer).Bytes
	for _, tc := range []struct {
		name        string
		file        []byte
		words, says string
	}{
		{"wrong words", file, "five plain words are those", "do not open"},
		{"no words", file, "", "do not open"},
		{"changed", raw, backupWords, "changed"},
		{"cut", file[:len(file)/2], backupWords, "end"},
		{"a bundle", bundle, backupWords, "no backup"},
		{"something else", []byte("eggs, flour"), backupWords, "no backup"},
		{"nothing", nil, backupWords, "no backup"},
	} {
		r := opened(t, newPhone(t, 9, ""), tc.file, tc.words)
		if f := r.State.Backup.Fault; r.State.Backup.Found != nil || !strings.Contains(f.Text, tc.says) || f.Fix == "" {
			t.Errorf("%s: %+v", tc.name, f)
		}
		r.Do("backup.bring")
		if len(r.State.Contests) > 0 {
			t.Errorf("%s: something was taken over", tc.name)
		}
	}
	// The right words after wrong ones.
	r := opened(t, newPhone(t, 9, ""), file, "wrong words in here")
	r.Type("backup.typed", backupWords)
	r.Do("backup.open")
	if tick(t, r); r.State.Backup.Found == nil || r.State.Backup.Fault.Text != "" {
		t.Errorf("the right words do not open it any more: %+v", r.State.Backup.Fault)
	}
}

func TestNoBackupWithoutWords(t *testing.T) {
	r := demoPhone(t)
	r.Visit("#/backup")
	for _, words := range []string{"", "short", "a              b"} {
		r.Type("backup.phrase", words)
		r.Shown = nil
		r.Do("backup.save")
		if len(r.Shown) > 0 || r.State.Notice.Fix == "" {
			t.Errorf("under %q a backup is made: %+v", words, r.State.Notice)
		}
	}
	r.Do("backup.make")
	if words := strings.Fields(r.State.Backup.Phrase); len(words) != 5 {
		t.Errorf("made words %q", words)
	}
	r.State.ReadOnly = true
	r.Shown = nil
	if r.Do("backup.save"); len(r.Shown) > 0 {
		t.Error("a backup was made beside another tab that writes")
	}
}

// The secret of a phone is in the file, and cannot be read in it.
func TestABackupHoldsTheKeyOfThePhone(t *testing.T) {
	r := demoPhone(t)
	file, err := codec.DecodeText(string(putAway(t, r).Bytes))
	if err != nil {
		t.Fatal(err)
	}
	b, err := seal.OpenBackup(file, backupWords)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(file, b.Seed[:]) || bytes.Contains(file, b.Contests[0][:40]) {
		t.Error("the file can be read")
	}
}

// Whoever leaves the page meanwhile gets no file.
func TestABackupThatIsNotWaitedFor(t *testing.T) {
	r := demoPhone(t)
	r.Visit("#/backup")
	r.Type("backup.phrase", backupWords)
	r.Do("backup.save")
	if r.State.Backup.Working != "save" {
		t.Fatal("the page does not say that it takes a while")
	}
	waiting := r.Shown[len(r.Shown)-1].(app.Tick)
	r.Visit("#/")
	r.Visit("#/backup")
	r.Shown = nil
	r.Send(app.Msg{Do: "tick", Args: []string{"backup", strconv.Itoa(waiting.Run)}})
	if len(r.Shown) > 0 {
		t.Errorf("%T was offered", r.Shown[0])
	}
}

// Whoever shares a backup to the app, or takes it in like records, gets to where
// it is opened.
func TestABackupAmongRecords(t *testing.T) {
	file := putAway(t, demoPhone(t)).Bytes
	for _, tag := range []string{"take-in", "share"} {
		r := newPhone(t, 9, "")
		r.Visit("#/take-in")
		r.Send(app.Msg{Do: "file", Args: []string{tag, "keelcard-backup-mb.txt"}, Bytes: file})
		if r.State.Page.Name != "backup" || r.State.Backup.File != "keelcard-backup-mb.txt" || len(r.State.TakeIn.Faults) > 0 {
			t.Errorf("%s: page %s, file %q, %+v", tag, r.State.Page.Name, r.State.Backup.File, r.State.TakeIn.Faults)
		}
		r.Type("backup.typed", backupWords)
		r.Do("backup.open")
		if tick(t, r); r.State.Backup.Found == nil {
			t.Errorf("%s: %+v", tag, r.State.Backup.Fault)
		}
	}
}

func TestALeftBackupIsForgotten(t *testing.T) {
	r := demoPhone(t)
	file := putAway(t, r).Bytes
	r.Visit("#/")
	r.Visit("#/backup")
	if r.State.Backup.Phrase != "" || r.State.Backup.File != "" {
		t.Error("the words are still there")
	}
	opened(t, r, file, backupWords)
	if r.Do("backup.leave"); r.State.Backup.Found != nil || r.State.Backup.File != "" {
		t.Error("the file was not put aside")
	}
	if r.Do("backup.open"); r.State.Backup.Working != "" {
		t.Error("a file that was put aside is opened")
	}
}
