package view

import "keelcard/web/app"

// galleryBackup shows the page of backups.
func galleryBackup() []Sample {
	full := func(do ...string) *app.Runner {
		r := demoAt("contest")
		r.Visit("#/backup")
		for _, d := range do {
			r.Do(d)
			waited(r)
		}
		return r
	}
	file := backupFile(full("backup.make", "backup.save"))
	short := full()
	short.Type("backup.phrase", "too short")
	short.Do("backup.save")
	chosen := func(words string, do ...string) *app.Runner {
		r := samplePhone()
		r.Visit("#/backup")
		r.Send(app.Msg{Do: "file", Args: []string{"backup", "keelcard-backup-mb.txt"}, Bytes: file})
		r.Type("backup.typed", words)
		for _, d := range do {
			r.Do(d)
			waited(r)
		}
		return r
	}
	phrase := full("backup.make").State.Backup.Phrase
	saved := full("backup.make", "backup.save")
	saved.Send(app.Msg{Do: "offered", Args: []string{"backup", "saved"}})
	saving := full("backup.make")
	saving.Do("backup.save")
	opening := chosen(phrase)
	opening.Do("backup.open")
	here := full()
	here.Send(app.Msg{Do: "file", Args: []string{"backup", "keelcard-backup-mb.txt"}, Bytes: file})
	here.Type("backup.typed", phrase)
	here.Do("backup.open")
	waited(here)
	foreign := samplePhone()
	foreign.Visit("#/backup")
	foreign.Send(app.Msg{Do: "file", Args: []string{"backup", "shopping.txt"}, Bytes: []byte("eggs, flour")})
	empty := samplePhone()
	empty.Visit("#/backup")
	return []Sample{
		{"backup/nothing yet", empty.State},
		{"backup/start", full().State},
		{"backup/words made", full("backup.make").State},
		{"backup/words too short", short.State},
		{"backup/being made", saving.State},
		{"backup/saved", saved.State},
		{"backup/file chosen", chosen("").State},
		{"backup/being opened", opening.State},
		{"backup/wrong words", chosen("not the right words", "backup.open").State},
		{"backup/opened", chosen(phrase, "backup.open").State},
		{"backup/brought back", chosen(phrase, "backup.open", "backup.bring").State},
		{"backup/all here already", here.State},
		{"backup/not a backup", foreign.State},
	}
}

// waited lets the time pass in which the page says that it takes a while.
func waited(r *app.Runner) {
	for i, e := range r.Shown {
		if tick, ok := e.(app.Tick); ok {
			r.Shown = append(r.Shown[:i:i], r.Shown[i+1:]...)
			r.Send(app.Msg{Do: "tick", Args: []string{tick.Tag, itoa(tick.Run)}})
			return
		}
	}
}

// backupFile is the file that a phone was last asked to save.
func backupFile(r *app.Runner) []byte {
	for _, e := range r.Shown {
		if file, ok := e.(app.Offer); ok && file.Tag == "backup" {
			return file.Bytes
		}
	}
	panic("no backup: " + r.State.Notice.Text)
}
