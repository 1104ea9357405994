package codec_test

import (
	"bytes"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/codec"
	"keelcard/engine/record"
)

// What messages do to a text on its way.
func TestTextSurvivesMessages(t *testing.T) {
	want := encode(t, mixed(t))
	s := codec.EncodeText(want)
	lines := strings.Split(strings.TrimSuffix(s, "\n"), "\n")
	for name, in := range map[string]string{
		"as it is":               s,
		"no line end at the end": strings.TrimSuffix(s, "\n"),
		"text around it":         "Hello,\nthis is the KEELCARD text of our table:\n\n" + s + "\nSee you tomorrow. KEELCARD rules.\n",
		"carriage returns":       strings.ReplaceAll(s, "\n", "\r\n"),
		"byte order mark":        "\ufeff" + s,
		"quoted":                 "> " + strings.Join(lines, "\n> "),
		"quoted twice":           "> > " + strings.Join(lines, "\n> > "),
		"quoted with bars":       "| " + strings.Join(lines, "\n| "),
		"indented":               "    " + strings.Join(lines, "\n    "),
		"one line":               strings.Join(lines, ""),
		"one line with spaces":   strings.Join(lines, " "),
		"wrapped narrowly":       wrap(s, 20),
		"wrapped to one letter":  wrap(s, 1),
		"blank lines":            strings.Join(lines, "\n\n"),
		"no-break spaces":        strings.ReplaceAll(s, "\n", "\u00a0\n"),
		"soft hyphens":           strings.ReplaceAll(s, "\n", "\u00ad\u200b\n"),
		"check in capitals":      strings.Join(lines[:len(lines)-1], "\n") + "\n" + strings.ToUpper(lines[len(lines)-1]),
		"long dashes":            strings.ReplaceAll(s, "--", "\u2014"),
		"sent twice":             s + s,
		"after a mention":        "KEELCARD 1 is the word, KEELCARD: too. " + s,
	} {
		got, err := codec.DecodeText(in)
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := codec.DecodeBundle([]byte(in)); err != nil {
			t.Errorf("%s, read as a bundle: %v", name, err)
		}
	}
}

// wrap breaks a text anywhere, the head word excepted.
func wrap(s string, width int) string {
	const word = "KEELCARD"
	out := []byte(word)
	for i, b := range []byte(s[len(word):]) {
		if i%width == 0 {
			out = append(out, '\n')
		}
		out = append(out, b)
	}
	return string(out)
}

func TestTextOfLongDashes(t *testing.T) {
	b := bytes.Repeat([]byte{0xfb, 0xef, 0xbe}, 20) // all letters of its text are dashes
	s := codec.EncodeText(b)
	if !strings.Contains(s, "----") {
		t.Fatalf("no dashes in %q", s)
	}
	if got, err := codec.DecodeText(strings.ReplaceAll(s, "--", "\u2014")); err != nil || !bytes.Equal(got, b) {
		t.Errorf("got %x, %v", got, err)
	}
}

func TestTextBeyondTheLimit(t *testing.T) {
	_, err := codec.DecodeText(codec.EncodeText(make([]byte, codec.MaxFile+1)))
	if engine.CodeOf(err) != codec.CodeTooLarge {
		t.Errorf("got %v", err)
	}
}

func TestSniff(t *testing.T) {
	bundle, results := encode(t, mixed(t)), mustResults(t)
	for name, tc := range map[string]struct {
		b    []byte
		want codec.Form
	}{
		"bundle":          {bundle, codec.Bundle},
		"bundle as text":  {[]byte(codec.EncodeText(bundle)), codec.Bundle},
		"results":         {results, codec.Message},
		"results as text": {[]byte("Results: " + codec.EncodeText(results)), codec.Message},
		"nothing":         {nil, codec.Foreign},
		"prose":           {[]byte("KEELCARD is a word"), codec.Foreign},
		"other bytes":     {[]byte(codec.EncodeText([]byte("hello"))), codec.Foreign},
	} {
		if got := codec.Sniff(tc.b); got != tc.want {
			t.Errorf("%s: form %d, want %d", name, got, tc.want)
		}
	}
}

func TestEncodeBundleLimits(t *testing.T) {
	big := newWriter(t, 1, 1)
	sub := record.Subject{Kind: record.KindBook}
	for range codec.MaxValues/record.MaxValue + 1 {
		big.put(0, 1000, "", sub, strings.Repeat("v", record.MaxValue), false)
	}
	full := newWriter(t, 1, 1)
	for i := range uint32(codec.MaxRecords + 1) {
		if err := full.logs[0].Append(record.Record{Phone: full.logs[0].Phone, Seq: i + 1, Subject: sub}); err != nil {
			t.Fatal(err)
		}
	}
	for name, set := range map[string]record.Set{
		"values":  big.set(),
		"records": full.set(),
		"phones":  crowd(record.MaxLogs + 1),
	} {
		if _, err := codec.EncodeBundle(set, codec.Options{Unsigned: true}); engine.CodeOf(err) != codec.CodeTooLarge {
			t.Errorf("%s: %v", name, err)
		}
	}
}
