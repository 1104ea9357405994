package cases

import (
	"bytes"
	"crypto/ed25519"
	"errors"
	"fmt"
	"slices"
	"strings"

	"golang.org/x/tools/txtar"

	"keelcard/engine"
	"keelcard/engine/clock"
	"keelcard/engine/merge"
	"keelcard/engine/record"
)

// checkStory runs a file of testdata/merge.
func checkStory(data []byte) (faults []error) {
	archive := txtar.Parse(data)
	if _, err := splitHead(string(archive.Comment)); err != nil {
		faults = append(faults, err)
	}
	s := &story{now: 1000, devices: map[string]*device{}, names: map[record.PhoneID]string{}, hands: map[string]string{}}
	number := bytes.Count(archive.Comment, []byte("\n"))
	for _, part := range archive.Files {
		run := map[string]func(*words) error{"phones": s.step, "expect": s.expect}[part.Name]
		if run == nil {
			return append(faults, fmt.Errorf("unknown part %q", part.Name))
		}
		number++ // the line that names the part
		for line := range strings.Lines(string(part.Data)) {
			number++
			w := &words{left: strings.Fields(line)}
			if len(w.left) == 0 || w.left[0][0] == '#' {
				continue
			}
			unmet := run(w)
			w.end()
			if w.err != nil {
				return append(faults, fmt.Errorf("line %d: %w", number, w.err))
			}
			if unmet != nil {
				faults = append(faults, fmt.Errorf("line %d: %w", number, unmet))
			}
		}
	}
	if s.checks == 0 {
		faults = append(faults, errors.New("the story expects nothing"))
	}
	return faults
}

// story is what the phones of a case hold so far.
type story struct {
	now     int64
	devices map[string]*device
	names   map[record.PhoneID]string
	hands   map[string]string // by the bytes of a record, who wrote it
	keys    byte
	checks  int
}

func (s *story) device(name string) *device {
	d := s.devices[name]
	if d == nil {
		d = &device{set: record.Set{Contest: record.ContestID{1, 2, 3, 4, 5, 6, 7, 8}}}
		d.state = merge.Fold(d.set)
		s.devices[name] = d
		s.renew(d, name)
	}
	return d
}

// renew gives a device a key that no other has.
func (s *story) renew(d *device, name string) {
	s.keys++
	d.key = ed25519.NewKeyFromSeed(bytes.Repeat([]byte{s.keys}, ed25519.SeedSize))
	d.id = record.PhoneOf(d.key.Public().(ed25519.PublicKey))
	s.names[d.id] = name
}

// step plays one line of the part "phones".
func (s *story) step(w *words) error {
	s.now++
	name := w.next("the phone")
	d := s.device(name)
	switch word := w.next("what the phone does"); word {
	case "<-":
		return s.join(d, w)
	case "copy":
		s.devices[w.next("the name of the copy")] = d.fork()
	case "renew":
		s.renew(d, name)
	case "clock":
		d.stamp.Wall = s.now + int64(w.number("seconds"))
	case "write", "again":
		sub, value := subject(w), ""
		if len(w.left) > 0 {
			w.index("sign", []string{"="})
			value = w.next("the value")
		}
		if w.err == nil {
			r, err := d.write(s.now, "keyer/"+name, sub, value, word == "again")
			s.hands[string(r.Encode(nil))] = name
			return err
		}
	default:
		w.fail("a phone cannot %q", word)
	}
	return nil
}

// join plays "a <- b" and "a <- b ! code".
func (s *story) join(d *device, w *words) error {
	from := w.next("the other phone")
	want := engine.Code("")
	if len(w.left) > 0 {
		w.index("sign", []string{"!"})
		want = engine.Code(w.next("the code of the refusal"))
	}
	if w.err != nil {
		return nil
	}
	s.checks++
	before := view(d.set)
	err := d.take(s.device(from).set)
	if got := engine.CodeOf(err); got != want || (err != nil && got == "") {
		return fmt.Errorf("taking in %s: got the code %q (%w), want %q", from, got, err, want)
	}
	if err != nil && view(d.set) != before {
		return fmt.Errorf("taking in %s was refused and yet changed something", from)
	}
	return nil
}

// expect checks one line of the part "expect" on one phone.
func (s *story) expect(w *words) error {
	s.checks++
	name := w.next("the phone")
	d := s.devices[name]
	if d == nil {
		w.fail("no phone %q has done anything", name)
		return nil
	}
	var got []string
	switch what := w.next("what is expected"); what {
	case "log":
		got = []string{fmt.Sprint(s.records(d, w.next("whose records")))}
	case "questions":
		for _, sub := range d.state.Questions() {
			got = append(got, cardName(sub))
		}
	case "history":
		for _, ref := range d.state.History(subject(w)) {
			r, _ := d.state.Record(ref)
			got = append(got, fmt.Sprintf("%s/%d", s.hands[string(r.Encode(nil))], ref.Seq))
		}
	case "forks":
		for _, f := range d.state.Forks() {
			got = append(got, s.fork(f))
		}
	default:
		got = holding(d.state, parseSubject(w, what))
	}
	if want := w.rest(); !slices.Equal(got, want) {
		return fmt.Errorf("got %q, want %q", strings.Join(got, " "), strings.Join(want, " "))
	}
	return nil
}

// records counts what a phone has that was written under another one's key.
func (s *story) records(d *device, owner string) (n int) {
	for _, run := range d.state.Runs() {
		if s.names[run.Phone] == owner {
			n += len(run.Records)
		}
	}
	return n
}

// fork is the phone, the last number its sides share, and how many records each
// has, the fewest first: "ana/1:2,5".
func (s *story) fork(f merge.Fork) string {
	sides := make([]int, len(f.Sides))
	for i, side := range f.Sides {
		sides[i] = side.Records
	}
	slices.Sort(sides)
	return fmt.Sprintf("%s/%d:%s", s.names[f.Phone], f.After, strings.Join(strings.Fields(strings.Trim(fmt.Sprint(sides), "[]")), ","))
}

// holding is the status of a subject and the answers that hold.
func holding(state *merge.State, sub record.Subject) []string {
	cur := state.Current(sub)
	got := []string{strings.ReplaceAll(cur.Status.String(), " ", "-")}
	if cur.Status == merge.Absent {
		return got
	}
	for _, v := range cur.Values {
		if v == "" {
			v = "(withdrawn)"
		}
		got = append(got, v)
	}
	return got
}

func subject(w *words) record.Subject { return parseSubject(w, w.next("the card")) }

// parseSubject reads "card/7/41".
func parseSubject(w *words, text string) record.Subject {
	sub := record.Subject{Kind: record.KindCard}
	if _, err := fmt.Sscanf(text, "card/%d/%d", &sub.A, &sub.B); err != nil || cardName(sub) != text {
		w.fail("%q is no card like card/7/41", text)
	}
	return sub
}

func cardName(sub record.Subject) string { return fmt.Sprintf("card/%d/%d", sub.A, sub.B) }

// view is all that records say, for comparison.
func view(set record.Set) string {
	state := merge.Fold(set)
	out := fmt.Sprint(state.Questions(), "\n")
	for _, sub := range state.Subjects(record.KindCard) {
		out += fmt.Sprintf("%+v %v\n", state.Current(sub), state.History(sub))
	}
	return out
}

// device is one phone: its key, what it holds and what it knows.
type device struct {
	key   ed25519.PrivateKey
	id    record.PhoneID
	set   record.Set
	state *merge.State
	stamp clock.Stamp
}

// fork gives a second device with the same key, as a restored backup would be.
func (d *device) fork() *device {
	c := *d
	c.set.Logs = slices.Clone(d.set.Logs)
	for i := range c.set.Logs {
		c.set.Logs[i].Records = slices.Clone(c.set.Logs[i].Records)
	}
	c.state = d.state.Clone()
	return &c
}

// log finds or begins the device's own log; logs are sorted by phone.
func (d *device) log() *record.Log {
	i, found := slices.BinarySearchFunc(d.set.Logs, d.id, func(l record.Log, id record.PhoneID) int { return bytes.Compare(l.Phone[:], id[:]) })
	if !found {
		d.set.Logs = slices.Insert(slices.Clone(d.set.Logs), i, record.NewLog(d.set.Contest, d.key.Public().(ed25519.PublicKey)))
	}
	return &d.set.Logs[i]
}

// write appends a record; unless it is a second keying, it replaces what the
// device sees.
func (d *device) write(now int64, who string, sub record.Subject, value string, again bool) (record.Record, error) {
	d.stamp = clock.Next(d.stamp, now)
	l := d.log()
	r := record.Record{Phone: d.id, Seq: uint32(len(l.Records)) + 1, Stamp: d.stamp, Who: who, Subject: sub, Value: value, Again: again}
	if !again {
		r.Replaces = d.state.Current(sub).Replaces()
	}
	if err := d.state.Append(r); err != nil {
		return r, err
	}
	return r, l.Append(r)
}

// take joins another device's set into this one, and into the state record by
// record as long as no log parts.
func (d *device) take(from record.Set) error {
	joined, report, err := merge.Join(d.set, from)
	if err != nil {
		return err
	}
	d.set = joined
	all := merge.Fold(joined)
	parted := len(all.Forks()) > 0
	for _, ref := range report.New {
		r, ok := all.Record(ref)
		if !ok {
			return fmt.Errorf("the report names %v, which is not there", ref)
		}
		d.stamp = clock.Observe(d.stamp, r.Stamp)
		if parted {
			continue
		}
		if err := d.state.Append(r); err != nil {
			return err
		}
	}
	if parted {
		d.state = all
	}
	return nil
}
