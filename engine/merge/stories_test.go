package merge_test

import (
	"fmt"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"

	"keelcard/engine"
	"keelcard/engine/merge"
	"keelcard/engine/record"
)

const stories = "../../testdata/merge"

// TestStories runs testdata/merge; its README tells the format.
func TestStories(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(stories, "*.txtar"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no stories found in %s: %v", stories, err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txtar"), func(t *testing.T) {
			archive, err := txtar.ParseFile(file)
			if err != nil {
				t.Fatal(err)
			}
			s := story{t: t, now: 1000, devices: map[string]*device{}, names: map[record.PhoneID]string{}}
			for _, f := range archive.Files {
				run := map[string]func(string){"phones": s.step, "expect": s.expect}[f.Name]
				if run == nil {
					t.Fatalf("unknown part %q", f.Name)
				}
				for _, line := range strings.Split(string(f.Data), "\n") {
					if line = strings.TrimSpace(line); line != "" && line[0] != '#' {
						run(line)
					}
				}
			}
			if s.checks == 0 {
				t.Error("the story expects nothing")
			}
		})
	}
}

type story struct {
	t       *testing.T
	now     int64
	devices map[string]*device
	names   map[record.PhoneID]string
	checks  int
}

func (s *story) device(name string) *device {
	d := s.devices[name]
	if d == nil {
		d = newDevice(byte(len(s.devices) + 1))
		s.devices[name] = d
		s.names[d.id] = name
	}
	return d
}

// step plays one line of the part "phones".
func (s *story) step(line string) {
	s.now++
	f := strings.Fields(line)
	d := s.device(f[0])
	switch {
	case f[1] == "<-":
		s.join(line, d, f)
	case f[1] == "copy":
		s.devices[f[2]] = d.fork()
	case f[1] == "clock":
		shift, err := strconv.ParseInt(f[2], 10, 64)
		if err != nil {
			s.t.Fatal(err)
		}
		d.stamp.Wall = s.now + shift
	case f[1] == "write" || f[1] == "again":
		value := ""
		if len(f) == 5 && f[3] == "=" {
			value = f[4]
		}
		d.write(s.t, s.now, "keyer/"+f[0], subject(s.t, f[2]), value, f[1] == "again")
	default:
		s.t.Fatalf("unknown step %q", line)
	}
}

// join plays "a <- b" and "a <- b ! code".
func (s *story) join(line string, d *device, f []string) {
	before := view(d.state)
	_, err := d.take(s.t, s.device(f[2]).set)
	want := engine.Code("")
	if len(f) == 5 && f[3] == "!" {
		want = engine.Code(f[4])
	}
	if got := engine.CodeOf(err); got != want {
		s.t.Errorf("%s: code %q (%v), want %q", line, got, err, want)
	}
	if err != nil && view(d.state) != before {
		s.t.Errorf("%s: it was refused and yet changed something", line)
	}
	s.checks++
}

// expect checks one line of the part "expect" on one phone.
func (s *story) expect(line string) {
	s.checks++
	f := strings.Fields(line)
	d := s.device(f[0])
	got := []string{f[0], f[1]}
	switch f[1] {
	case "log":
		got = append(got, f[2], "0")
		for _, l := range d.set.Logs {
			if s.names[l.Phone] == f[2] {
				got[3] = fmt.Sprint(len(l.Records))
			}
		}
	case "questions":
		for _, sub := range d.state.Questions() {
			got = append(got, fmt.Sprintf("card/%d/%d", sub.A, sub.B))
		}
	case "history":
		got = append(got, f[2])
		for _, ref := range d.state.History(subject(s.t, f[2])) {
			got = append(got, fmt.Sprintf("%s/%d", s.names[ref.Phone], ref.Seq))
		}
	default:
		cur := d.state.Current(subject(s.t, f[1]))
		got = append(got, strings.ReplaceAll(cur.Status.String(), " ", "-"))
		for _, v := range cur.Values {
			if v == "" {
				v = "(withdrawn)"
			}
			if cur.Status != merge.Absent {
				got = append(got, v)
			}
		}
	}
	if got, want := strings.Join(got, " "), strings.Join(f, " "); got != want {
		s.t.Errorf("got  %s\nwant %s", got, want)
	}
}

// subject reads "card/7/41".
func subject(t *testing.T, s string) record.Subject {
	var a, b uint32
	if n, err := fmt.Sscanf(s, "card/%d/%d", &a, &b); n != 2 {
		t.Fatalf("subject %q: %v", s, err)
	}
	return record.Subject{Kind: record.KindCard, A: a, B: b}
}
