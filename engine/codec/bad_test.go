package codec_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/clock"
	"keelcard/engine/codec"
	"keelcard/engine/record"
)

// bad is a file with one fault, and what is to be said about it.
type bad struct {
	name    string
	results bool // read as results, else as a bundle
	b       []byte
	want    engine.Code
}

// badFiles makes all bad files. They are the same on every run; those whose
// name ends in a star are also kept in testdata/files/bad.
func badFiles(tb testing.TB) []bad {
	var files []bad
	for _, part := range []struct {
		prefix  string
		results bool
		make    func(testing.TB, func(string, []byte, engine.Code))
	}{
		{"foreign", false, badForeign},
		{"frame", false, badFrame},
		{"logs", false, badLogs},
		{"records", false, badRecords},
		{"signature", false, badSignatures},
		{"parted", false, badParted},
		{"part", false, badPart},
		{"text", false, badText},
		{"results", true, badResults},
	} {
		part.make(tb, func(name string, b []byte, want engine.Code) {
			files = append(files, bad{part.prefix + "-" + strings.ReplaceAll(name, " ", "-"), part.results, slices.Clone(b), want})
		})
	}
	return files
}

// sum puts the right checksum under a changed file.
func sum(b []byte) []byte {
	b = slices.Clone(b[:len(b)-4])
	return binary.LittleEndian.AppendUint32(b, crc32.ChecksumIEEE(b))
}

// change gives a copy with one byte changed.
func change(b []byte, at int, to byte) []byte {
	b = slices.Clone(b)
	b[at] = to
	return b
}

func badForeign(_ testing.TB, add func(string, []byte, engine.Code)) {
	for name, s := range map[string]string{
		"empty *":        "",
		"json *":         `{"format":"keelcard","records":[]}`,
		"csv":            "number,class,points\n101,1,45\n",
		"html *":         "<!doctype html><title>KEELCARD</title>",
		"png":            "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR",
		"zip *":          "PK\x03\x04\x14\x00\x00\x00",
		"pdf":            "%PDF-1.7\n",
		"zeros *":        strings.Repeat("\x00", 4096),
		"ones":           strings.Repeat("\xff", 4096),
		"prose *":        "The KEELCARD file comes tomorrow. KEELCARD 1 is what we use.",
		"lower case":     "keelcard\x01\x00",
		"other magic":    "KEELCARE\x01\x00\x00",
		"utf-16 text *":  "\xff\xfeK\x00E\x00E\x00L\x00C\x00A\x00R\x00D\x00",
		"magic twice":    "KEELCARDKEELCARD",
		"word and colon": "KEELCARD: attached",
	} {
		add(name, []byte(s), codec.CodeNotOurs)
	}
	for n := 1; n <= 8; n++ {
		add(fmt.Sprintf("first %d letters", n), []byte("KEELCARD")[:n], codec.CodeShort)
	}
	r, err := codec.EncodeResults(season(1, 4, 2))
	if err != nil {
		panic(err)
	}
	add("results read as records *", r, codec.CodeNotOurs)
	add("too large", make([]byte, 2*codec.MaxFile+1), codec.CodeTooLarge)
}

// parts takes a bundle apart into its two sections.
func parts(tb testing.TB, b []byte) (logs, records []byte) {
	tb.Helper()
	rest := b[10:]
	for range 2 {
		n, used := binary.Uvarint(rest[1:])
		data := rest[1+used:][:n]
		logs, records = records, data
		rest = rest[1+used+int(n):]
	}
	if len(rest) != 5 {
		tb.Fatalf("%d bytes after the sections", len(rest))
	}
	return logs, records
}

// frame puts a bundle together from sections, given as number and data in turn.
func frame(head string, sections ...any) []byte {
	b := []byte(head)
	for i := 0; i < len(sections); i += 2 {
		b = codec.AppendSection(b, byte(sections[i].(int)), sections[i+1].([]byte))
	}
	return sum(append(b, 0, 0, 0, 0, 0))
}

const head = "KEELCARD\x01\x00"

func badFrame(tb testing.TB, add func(string, []byte, engine.Code)) {
	b := encode(tb, mixed(tb))
	logs, records := parts(tb, b)
	add("version 0 *", sum(change(b, 8, 0)), codec.CodeMalformed)
	add("version 2 *", sum(change(b, 8, 2)), codec.CodeMalformed) // its logs are those of version 1
	for _, v := range []byte{3, 31} {
		add(fmt.Sprintf("version %d *", v), sum(change(b, 8, v)), codec.CodeNewer)
	}
	for bit := range 8 {
		add(fmt.Sprintf("flag %d *", bit), sum(change(b, 9, 1<<bit)), codec.CodeNewer)
	}
	for _, id := range []int{3, 4, 127, 255} {
		add(fmt.Sprintf("section %d *", id), frame(head, 1, logs, 2, records, id, []byte("later")), codec.CodeNewer)
	}
	add("section 3 in front", frame(head, 3, []byte{}, 1, logs, 2, records), codec.CodeNewer)
	add("sections swapped *", frame(head, 2, records, 1, logs), codec.CodeMalformed)
	add("logs twice *", frame(head, 1, logs, 1, logs, 2, records), codec.CodeMalformed)
	add("records twice", frame(head, 1, logs, 2, records, 2, records), codec.CodeMalformed)
	add("no logs *", frame(head, 2, records), codec.CodeMalformed)
	add("no records *", frame(head, 1, logs), codec.CodeMalformed)
	add("no sections *", frame(head), codec.CodeMalformed)
	add("bytes after the end *", append(slices.Clone(b), 0), codec.CodeMalformed)
	add("two files in one", append(slices.Clone(b), b...), codec.CodeMalformed)
	for i := range 4 {
		add(fmt.Sprintf("checksum byte %d", i), change(b, len(b)-1-i, b[len(b)-1-i]^0x10), codec.CodeChecksum)
	}
	add("checksum zero *", append(slices.Clone(b[:len(b)-4]), 0, 0, 0, 0), codec.CodeChecksum)
	add("line ends changed", bytes.ReplaceAll(b, []byte{10}, []byte{13, 10}), lineEnds(b))
	for name, n := range map[string]int{
		"cut after the magic *":             9,
		"cut after the version *":           10,
		"cut after a section number *":      11,
		"cut in a length":                   12,
		"cut in the logs *":                 60,
		"cut to half *":                     len(b) / 2,
		"cut before the end mark *":         len(b) - 5,
		"cut before the checksum *":         len(b) - 4,
		"cut before the last byte of all *": len(b) - 1,
	} {
		add(name, b[:n], codec.CodeShort)
	}
	long := append([]byte(head+"\x01"), binary.AppendUvarint(nil, uint64(len(logs)))...)
	long[len(long)-1] |= 0x80 // one more byte for the same length
	long = append(append(append(long, 0), logs...), b[10+1+2+len(logs):]...)
	add("length written too long *", sum(long), codec.CodeMalformed)
	add("length beyond the end *", sum(append([]byte(head+"\x01\xff\xff\x7f"), logs...)), codec.CodeShort)
	add("length beyond 64 bits *", sum([]byte(head+"\x01\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\x7f\x00\x00\x00\x00\x00")), codec.CodeShort)
	add("length of 64 bits", sum([]byte(head+"\x01\xff\xff\xff\xff\xff\xff\xff\xff\xff\x01\x00\x00\x00\x00\x00")), codec.CodeShort)
}

// lineEnds says what a file is that a program took for text: where a line feed
// became two bytes, the end has moved.
func lineEnds(b []byte) engine.Code {
	if i := bytes.IndexByte(b, 10); i < 0 {
		panic("the sample has no line feed to change")
	}
	return codec.CodeMalformed
}

func badLogs(tb testing.TB, add func(string, []byte, engine.Code)) {
	set := mixed(tb)
	logs, records := parts(tb, encode(tb, set))
	put := func(name string, logs []byte, want engine.Code) {
		add(name, frame(head, 1, logs, 2, records), want)
	}
	splice := func(at, gone int, in ...byte) []byte {
		return slices.Replace(slices.Clone(logs), at, at+gone, in...)
	}
	const count, first = 8, 9 // places of the number of logs and of the first
	put("empty *", nil, codec.CodeMalformed)
	put("contest cut", logs[:5], codec.CodeMalformed)
	put("no count", logs[:8], codec.CodeMalformed)
	put("count 0 *", splice(count, 1, 0), codec.CodeMalformed)
	put("count one less", splice(count, 1, 2), codec.CodeMalformed)
	put("count one more *", splice(count, 1, 4), codec.CodeMalformed)
	put("count 1001 *", splice(count, 1, 0xe9, 0x07), codec.CodeTooLarge)
	put("count of 64 bits", splice(count, 1, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 1), codec.CodeTooLarge)
	put("count written too long *", splice(count, 1, 0x83, 0), codec.CodeMalformed)
	for _, cut := range []int{first, first + 31, first + 32, first + 33, first + 34, first + 97, len(logs) - 1} {
		put(fmt.Sprintf("cut to %d", cut), logs[:cut], codec.CodeMalformed)
	}
	put("bytes left over *", append(slices.Clone(logs), 0), codec.CodeMalformed)
	put("signed is 2 *", splice(first+33, 1, 2), codec.CodeMalformed)
	put("signed is 0 with a signature", splice(first+33, 1, 0), codec.CodeMalformed)
	put("500001 records *", splice(first+32, 1, 0xa1, 0xc2, 0x1e), codec.CodeTooLarge)
	put("records of 64 bits *", splice(first+32, 1, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 1), codec.CodeTooLarge)
	put("records written too long", splice(first+32, 1, logs[first+32]|0x80, 0), codec.CodeMalformed)
	put("no records in the first log", splice(first+32, 1, 0), codec.CodeMalformed)
	swapped := set
	swapped.Logs = slices.Clone(set.Logs)
	slices.Reverse(swapped.Logs)
	add("not sorted *", codec.EncodeUnchecked(swapped), codec.CodeMalformed)
	twice := set
	twice.Logs = []record.Log{set.Logs[0], set.Logs[0]}
	add("a log twice *", codec.EncodeUnchecked(twice), codec.CodeMalformed)
	crowd := record.Set{Contest: contest}
	for range record.MaxLogs + 1 {
		crowd.Logs = append(crowd.Logs, set.Logs[0])
	}
	add("1001 logs", codec.EncodeUnchecked(crowd), codec.CodeTooLarge)
}

func badRecords(tb testing.TB, add func(string, []byte, engine.Code)) {
	set := mixed(tb)
	logs, records := parts(tb, encode(tb, set))
	put := func(name string, records []byte, want engine.Code) {
		add(name, frame(head, 1, logs, 2, records), want)
	}
	put("empty *", nil, codec.CodeMalformed)
	put("one byte short", records[:len(records)-1], codec.CodeMalformed)
	put("eight bytes short *", records[:len(records)-8], codec.CodeMalformed)
	put("half", records[:len(records)/2], codec.CodeMalformed)
	put("a zero more *", append(slices.Clone(records), 0), codec.CodeMalformed)
	put("eight bytes more", append(slices.Clone(records), 1, 2, 3, 4, 5, 6, 7, 8), codec.CodeMalformed)

	own := set.Logs[0].Phone
	later := []record.Ref{{Phone: record.PhoneID{1}, Seq: 2}, {Phone: record.PhoneID{2}, Seq: 1}}
	for _, tc := range []struct {
		name   string
		change func(*record.Record)
		want   engine.Code
	}{
		{"kind 0 *", func(r *record.Record) { r.Subject.Kind = 0 }, codec.CodeRecord},
		{"who with a line break *", func(r *record.Record) { r.Who = "keyer/A\nB" }, codec.CodeRecord},
		{"who not text *", func(r *record.Record) { r.Who = "keyer/\xff" }, codec.CodeRecord},
		{"who of 41 bytes", func(r *record.Record) { r.Who = strings.Repeat("w", 41) }, codec.CodeMalformed},
		{"value of 65537 bytes", func(r *record.Record) { r.Value = strings.Repeat("v", 65537) }, codec.CodeMalformed},
		{"time before 1970 *", func(r *record.Record) { r.Stamp.Wall = -1 }, codec.CodeMalformed},
		{"time too late", func(r *record.Record) { r.Stamp.Wall = clock.MaxWall + 1 }, codec.CodeMalformed},
		{"replaces itself *", func(r *record.Record) { r.Replaces = []record.Ref{r.Ref()} }, codec.CodeRecord},
		{"replaces a later one", func(r *record.Record) { r.Replaces = []record.Ref{{Phone: own, Seq: r.Seq + 1}} }, codec.CodeRecord},
		{"replaces number 0 *", func(r *record.Record) { r.Replaces = []record.Ref{{Phone: record.PhoneID{1}}} }, codec.CodeRecord},
		{"replaces number 1000001", func(r *record.Record) {
			r.Replaces = []record.Ref{{Phone: record.PhoneID{1}, Seq: record.MaxRecords + 1}}
		}, codec.CodeMalformed},
		{"replaces out of order *", func(r *record.Record) { r.Replaces = []record.Ref{later[1], later[0]} }, codec.CodeRecord},
		{"replaces one twice", func(r *record.Record) { r.Replaces = []record.Ref{later[0], later[0]} }, codec.CodeRecord},
		{"replaces 65", func(r *record.Record) {
			r.Replaces = nil
			for i := range byte(65) {
				r.Replaces = append(r.Replaces, record.Ref{Phone: record.PhoneID{i}, Seq: 1})
			}
		}, codec.CodeMalformed},
	} {
		changed := record.Set{Contest: contest, Logs: slices.Clone(set.Logs)}
		l := &changed.Logs[0]
		l.Records = slices.Clone(l.Records)
		tc.change(&l.Records[1])
		add(tc.name, codec.EncodeUnchecked(changed), tc.want)
	}
	crowd := newWriter(tb, 1, 1)
	for range codec.MaxValues/record.MaxValue + 1 {
		crowd.put(0, 1000, "", record.Subject{Kind: record.KindBook}, strings.Repeat("v", record.MaxValue), false)
	}
	add("values beyond the limit", codec.EncodeUnchecked(crowd.set()), codec.CodeTooLarge)
}

func badSignatures(tb testing.TB, add func(string, []byte, engine.Code)) {
	for _, tc := range []struct {
		name   string
		change func(*record.Set)
	}{
		{"missing *", func(s *record.Set) { s.Logs[0].Sig = nil }},
		{"all missing", func(s *record.Set) { s.Logs[0].Sig, s.Logs[1].Sig, s.Logs[2].Sig = nil, nil, nil }},
		{"zero *", func(s *record.Set) { s.Logs[0].Sig = make([]byte, 64) }},
		{"first bit", func(s *record.Set) { s.Logs[0].Sig = change(s.Logs[0].Sig, 0, s.Logs[0].Sig[0]^1) }},
		{"last bit *", func(s *record.Set) { s.Logs[0].Sig = change(s.Logs[0].Sig, 63, s.Logs[0].Sig[63]^0x80) }},
		{"of another phone *", func(s *record.Set) { s.Logs[0].Sig = s.Logs[1].Sig }},
		{"of another contest *", func(s *record.Set) { s.Contest[0]++ }},
		{"value changed *", func(s *record.Set) { s.Logs[1].Records[0].Value += "x" }},
		{"value withdrawn", func(s *record.Set) { s.Logs[1].Records[0].Value = "" }},
		{"who changed *", func(s *record.Set) { s.Logs[1].Records[0].Who = "owner/XX" }},
		{"time changed *", func(s *record.Set) { s.Logs[1].Records[0].Stamp.Wall-- }},
		{"tick changed", func(s *record.Set) { s.Logs[1].Records[0].Stamp.Tick++ }},
		{"number changed *", func(s *record.Set) { s.Logs[1].Records[0].Subject.B++ }},
		{"class changed", func(s *record.Set) { s.Logs[1].Records[0].Subject.A++ }},
		{"kind changed", func(s *record.Set) { s.Logs[1].Records[0].Subject.Kind++ }},
		{"made a second keying *", func(s *record.Set) { s.Logs[1].Records[0].Again = true }},
		{"flag added", func(s *record.Set) { s.Logs[1].Records[0].Flags = 1 }},
		{"reference added *", func(s *record.Set) {
			s.Logs[1].Records[0].Replaces = []record.Ref{{Phone: s.Logs[0].Phone, Seq: 1}}
		}},
		{"last record gone *", func(s *record.Set) { l := &s.Logs[1]; l.Records = l.Records[:len(l.Records)-1] }},
		{"record added *", func(s *record.Set) {
			l := &s.Logs[1]
			r := l.Records[0]
			r.Seq = uint32(len(l.Records)) + 1
			l.Records = append(l.Records, r)
		}},
		{"records swapped *", func(s *record.Set) {
			r := s.Logs[1].Records
			r[0].Value, r[1].Value, r[0].Subject, r[1].Subject = r[1].Value, r[0].Value, r[1].Subject, r[0].Subject
		}},
	} {
		set := mixed(tb)
		for i := range set.Logs {
			set.Logs[i].Records = slices.Clone(set.Logs[i].Records)
		}
		tc.change(&set)
		add(tc.name, codec.EncodeUnchecked(set), codec.CodeSignature)
	}
	// Somebody signs another phone's records with a key of their own: the phone
	// becomes another one, and the records do not name it.
	set := record.Set{Contest: contest, Logs: mixed(tb).Logs[:1]}
	set.Logs[0].Public = public(99)
	add("other key", codec.EncodeUnchecked(set), codec.CodeSignature)
}

func badText(tb testing.TB, add func(string, []byte, engine.Code)) {
	b := encode(tb, mixed(tb))
	s := codec.EncodeText(b)
	lines := strings.SplitAfter(s, "\n")
	join := func(l ...string) string { return strings.Join(l, "") }
	end := lines[len(lines)-2]
	for _, tc := range []struct {
		name string
		s    string
		want engine.Code
	}{
		{"head only *", lines[0], codec.CodeShort},
		{"end missing *", strings.TrimSuffix(s, end), codec.CodeShort},
		{"check missing", strings.TrimSuffix(s, end) + "=", codec.CodeShort},
		{"check cut *", s[:len(s)-2], codec.CodeShort},
		{"check wrong *", strings.TrimSuffix(s, end) + "=00000000\n", codec.CodeChecksum},
		{"check not hexadecimal", strings.TrimSuffix(s, end) + "=zzzzzzzz\n", codec.CodeShort},
		{"version 2 *", strings.Replace(s, "KEELCARD 1:", "KEELCARD 2:", 1), codec.CodeNewer},
		{"version 0", strings.Replace(s, "KEELCARD 1:", "KEELCARD 0:", 1), codec.CodeNewer},
		{"version 999", strings.Replace(s, "KEELCARD 1:", "KEELCARD 999:", 1), codec.CodeNewer},
		{"no colon *", strings.Replace(s, "KEELCARD 1:", "KEELCARD 1", 1), codec.CodeNotOurs},
		{"no version", strings.Replace(s, "KEELCARD 1:", "KEELCARD:", 1), codec.CodeNotOurs},
		{"no head *", join(lines[1:]...), codec.CodeNotOurs},
		{"word in lower case", strings.Replace(s, "KEELCARD", "keelcard", 1), codec.CodeNotOurs},
		{"first line lost *", join(lines[0], join(lines[2:]...)), codec.CodeChecksum},
		{"a line lost *", join(join(lines[:3]...), join(lines[4:]...)), codec.CodeChecksum},
		{"a line twice *", join(join(lines[:3]...), lines[2], join(lines[3:]...)), codec.CodeChecksum},
		{"lines swapped *", join(lines[0], lines[2], lines[1], join(lines[3:]...)), codec.CodeChecksum},
		{"a letter lost *", s[:40] + s[41:], codec.CodeChecksum},
		{"a letter more", s[:40] + "A" + s[40:], codec.CodeChecksum},
		{"a letter in lower case *", s[:40] + swapCase(s[40:]), codec.CodeChecksum},
		{"a plus sign *", s[:40] + "+" + s[41:], codec.CodeMalformed},
		{"a dot", s[:40] + "." + s[41:], codec.CodeMalformed},
		{"cut with dots *", s[:100] + "...", codec.CodeMalformed},
		{"a smiling face", s[:40] + "\U0001F642" + s[41:], codec.CodeMalformed},
		{"not utf-8", s[:40] + "\xff" + s[41:], codec.CodeMalformed},
		{"equals sign too early *", s[:40] + "=" + s[40:], codec.CodeShort},
		{"nothing inside *", codec.EncodeText(nil), codec.CodeNotOurs},
		{"something else inside *", codec.EncodeText([]byte("hello")), codec.CodeNotOurs},
		{"text inside text", codec.EncodeText([]byte(s)), codec.CodeNotOurs},
		{"results inside", codec.EncodeText(mustResults(tb)), codec.CodeNotOurs},
		{"half a file inside", codec.EncodeText(b[:len(b)/2]), codec.CodeShort},
		{"loose bits at the end", fmt.Sprintf("KEELCARD 1:\nAB\n=%08x", crc32.ChecksumIEEE([]byte{0})), codec.CodeChecksum},
		{"one letter", "KEELCARD 1:\nA\n=d3d99e8b", codec.CodeChecksum},
		{"quoted, end missing", "> " + strings.ReplaceAll(strings.TrimSuffix(s, end), "\n", "\n> "), codec.CodeShort},
	} {
		add(tc.name, []byte(tc.s), tc.want)
	}
}

// swapCase turns the case of the first letter around.
func swapCase(s string) string {
	i := strings.IndexFunc(s, func(r rune) bool { return r >= 'A' && r <= 'Z' })
	return s[:i] + strings.ToLower(s[i:i+1]) + s[i+1:]
}

func mustResults(tb testing.TB) []byte { return encodeResults(tb, season(1, 12, 3)) }

func badResults(tb testing.TB, add func(string, []byte, engine.Code)) {
	b := mustResults(tb)
	add("version 0", sum(change(b, 2, 0)), codec.CodeMalformed)
	for _, v := range []byte{2, 15} {
		add(fmt.Sprintf("version %d *", v), sum(change(b, 2, v<<4)), codec.CodeNewer)
	}
	add("flag 1 *", sum(change(b, 2, b[2]|2)), codec.CodeMalformed) // penalties announced, and the stream has none
	for bit := 2; bit < 4; bit++ {
		add(fmt.Sprintf("flag %d *", bit), sum(change(b, 2, b[2]|1<<bit)), codec.CodeNewer)
	}
	add("empty", nil, codec.CodeNotOurs)
	add("magic only", b[:2], codec.CodeNotOurs)
	add("cut to 3 *", b[:3], codec.CodeShort)
	add("cut to 6", b[:6], codec.CodeShort)
	add("cut to half *", b[:len(b)/2], codec.CodeChecksum)
	add("last byte gone", b[:len(b)-1], codec.CodeChecksum)
	add("byte added *", append(slices.Clone(b), 0), codec.CodeChecksum)
	add("checksum zero *", append(slices.Clone(b[:len(b)-4]), 0, 0, 0, 0), codec.CodeChecksum)
	add("stream empty *", sum(append(slices.Clone(b[:3]), 0, 0, 0, 0)), codec.CodeMalformed)
	add("stream cut", sum(append(slices.Clone(b[:len(b)-12]), 0, 0, 0, 0)), codec.CodeMalformed)
	add("stream with a zero more", sum(append(slices.Clone(b[:len(b)-4]), 0, 0, 0, 0, 0)), codec.CodeMalformed)
	add("stream with more *", sum(append(slices.Clone(b[:len(b)-4]), 1, 2, 3, 4, 5, 6, 7, 8, 0, 0, 0, 0)), codec.CodeMalformed)
	add("records read as results *", encode(tb, mixed(tb)), codec.CodeNotOurs)
	r := season(1, 12, 3)
	add("texts announced but empty *", codec.WriteResults(r, 1, b[2]&15), codec.CodeMalformed)
	add("penalties announced but none *", codec.WriteResults(r, 2, b[2]&15), codec.CodeMalformed)
	shortest := 0
	for pull := range byte(4) {
		if bytes.Equal(codec.WriteResults(r, 0, pull), b) {
			shortest = int(pull)
		}
	}
	add("not the shortest way *", codec.WriteResults(r, 0, byte(shortest+1)%4), codec.CodeMalformed)
	for _, tc := range []struct {
		name   string
		change func(*codec.Results)
		want   engine.Code
	}{
		{"20001 rows", func(r *codec.Results) { r.Rows = make([]codec.Row, codec.MaxRows+1); r.Classes, r.TieOrder = nil, nil }, codec.CodeMalformed},
		{"tie order beyond the classes *", func(r *codec.Results) { r.TieOrder[0] = 3 }, codec.CodeMalformed},
		{"most points too many", func(r *codec.Results) { r.Classes[0].Max = codec.MaxPoints + 1 }, codec.CodeMalformed},
		{"points too many *", func(r *codec.Results) { r.Rows[0].Points[0] = codec.MaxPoints + 100 }, codec.CodeMalformed},
		{"team beyond the last *", func(r *codec.Results) { r.Rows[0].Team = 4 }, codec.CodeMalformed},
		{"team 20001", func(r *codec.Results) { r.Rows[0].Team = codec.MaxTeams + 1 }, codec.CodeMalformed},
		{"division beyond the last *", func(r *codec.Results) { r.Rows[0].Division = 3 }, codec.CodeMalformed},
		{"division 101", func(r *codec.Results) { r.Rows[0].Division = codec.MaxClasses + 1 }, codec.CodeMalformed},
		{"number too large *", func(r *codec.Results) { r.Rows[0].Number = 1 << 32 }, codec.CodeMalformed},
		{"number below zero", func(r *codec.Results) { r.Rows[0].Number = -1 }, codec.CodeMalformed},
		{"rank beyond the last *", func(r *codec.Results) { r.Rows[0].Rank = 13 }, codec.CodeMalformed},
		{"team rank beyond the last", func(r *codec.Results) { r.TeamRanks[0] = 4 }, codec.CodeMalformed},
		{"title too long", func(r *codec.Results) { r.Title = strings.Repeat("t", codec.MaxName+1) }, codec.CodeMalformed},
		{"team name too long", func(r *codec.Results) { r.Teams[2] = strings.Repeat("t", codec.MaxName+1) }, codec.CodeMalformed},
		{"members that count", func(r *codec.Results) { r.TeamBest = codec.MaxTeams + 1 }, codec.CodeMalformed},
		{"penalty too large", func(r *codec.Results) { r.Rows[5].Penalty = codec.MaxPoints + 1 }, codec.CodeMalformed},
		{"penalty below zero *", func(r *codec.Results) { r.Rows[5].Penalty = -1 }, codec.CodeMalformed},
	} {
		r := named(season(1, 12, 3))
		tc.change(&r)
		flags := byte(1)
		if strings.HasPrefix(tc.name, "penalty") {
			flags = 3
		}
		add(tc.name, codec.WriteResults(r, flags, 0), tc.want)
	}
	many := codec.Results{Rows: make([]codec.Row, 10_000), Classes: make([]codec.ClassHead, 51)}
	for i := range many.Rows {
		many.Rows[i].Points = make([]int32, 51)
	}
	add("510000 entries", codec.WriteResults(many, 0, 0), codec.CodeTooLarge)
}

// Every bad file is refused with its code, a sentence and a remedy, and gives
// nothing.
func TestBadFiles(t *testing.T) {
	files := badFiles(t)
	if len(files) < 150 {
		t.Errorf("%d bad files, want at least 150", len(files))
	}
	names := map[string]bool{}
	for _, f := range files {
		if names[f.name] {
			t.Errorf("%s is there twice", f.name)
		}
		names[f.name] = true
		got, err := refuse(f)
		if engine.CodeOf(err) != f.want || !got {
			t.Errorf("%s: %v (code %q), gave nothing: %v; want %q", f.name, err, engine.CodeOf(err), got, f.want)
			continue
		}
		var e *engine.Error
		if !errors.As(err, &e) || e.What == "" || e.Fix == "" {
			t.Errorf("%s: %v does not say what is wrong and what to do", f.name, err)
		}
	}
}

// refuse reads a bad file and says whether nothing came of it.
func refuse(f bad) (nothing bool, err error) {
	if f.results {
		r, err := codec.DecodeResults(f.b)
		return len(r.Rows)+len(r.Classes) == 0, err
	}
	set, err := codec.DecodeBundle(f.b)
	return set.Contest == record.ContestID{} && len(set.Logs) == 0, err
}

// Some of the bad files are kept as they are, so that a later version meets the
// very same bytes.
func TestKeptBadFiles(t *testing.T) {
	dir := filepath.Join(testdata, "bad")
	kept := map[string]bad{}
	for _, f := range badFiles(t) {
		if name, ok := strings.CutSuffix(f.name, "-*"); ok {
			kept[name+".bad"] = f
		}
	}
	if *update {
		for name, f := range kept {
			keep(t, filepath.Join(dir, name), f.b)
		}
		keep(t, filepath.Join(dir, "codes.txt"), codes(kept))
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) < 30 {
		t.Fatalf("%d kept bad files: %v", len(entries), err)
	}
	listed, err := os.ReadFile(filepath.Join(dir, "codes.txt"))
	if err != nil || !bytes.Equal(listed, codes(kept)) {
		t.Errorf("codes.txt does not list the kept files: %v", err)
	}
	for name, f := range kept {
		b, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Errorf("%s is missing: %v", name, err)
			continue
		}
		if _, err := refuse(bad{results: f.results, b: b}); engine.CodeOf(err) != f.want {
			t.Errorf("%s: %v, want %q", name, err, f.want)
		}
	}
}

// codes lists kept files: name, what it is read as, code.
func codes(kept map[string]bad) []byte {
	var lines []string
	for name, f := range kept {
		as := "records"
		if f.results {
			as = "results"
		}
		lines = append(lines, fmt.Sprintf("%s %s %s\n", name, as, f.want))
	}
	slices.Sort(lines)
	return []byte(strings.Join(lines, ""))
}
