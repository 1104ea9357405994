package seal_test

import (
	"bytes"
	"encoding/binary"
	"reflect"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/codec"
	"keelcard/engine/contest"
	"keelcard/engine/record"
	"keelcard/engine/seal"
)

// ticket is one of an official, with all that a ticket can have.
func ticket() seal.Ticket {
	t := owner.Ticket(fair, contest.Official, 300, 2)
	t.Name, t.Bundle = "Tamarack County Poultry Day", []byte("KEELCARD one")
	return t
}

func write(t testing.TB, ticket seal.Ticket) []byte {
	t.Helper()
	file, err := ticket.Write()
	if err != nil {
		t.Fatal(err)
	}
	return file
}

func drawTicket(t *rapid.T) seal.Ticket {
	role := rapid.SampledFrom([]string{contest.Official, contest.Keyer, contest.Coach}).Draw(t, "role")
	ticket := owner.Ticket(fair, role, rapid.Uint32Min(1).Draw(t, "number"), rapid.Uint32Max(contest.MaxTurns).Draw(t, "turn"))
	ticket.Name = seal.PlainName(rapid.String().Draw(t, "name"))
	if b := rapid.SliceOf(rapid.Byte()).Draw(t, "bundle"); len(b) > 0 {
		ticket.Bundle = b
	}
	return ticket
}

func TestTicketsComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ticket := drawTicket(t)
		file, err := ticket.Write()
		if err != nil || !seal.IsTicket(file) {
			t.Fatal(err)
		}
		got, err := seal.ReadTicket(file)
		if err != nil || !reflect.DeepEqual(got, ticket) {
			t.Fatalf("%+v, %v", got, err)
		}
		phone := record.PhoneID(rapid.SliceOfN(rapid.Byte(), 8, 8).Draw(t, "phone"))
		box := seal.Public(rapid.SliceOfN(rapid.Byte(), 32, 32).Draw(t, "box"))
		if !owner.Invited(fair, got.Role, got.No, phone, box, got.Proof(phone, box)) {
			t.Fatal("the proof does not hold")
		}
	})
}

func TestTicketOfEachRole(t *testing.T) {
	for _, tc := range []struct {
		role         string
		turn, secret uint32 // 0 for none
	}{
		{contest.Official, 3, 3}, {contest.Official, 0, 0},
		{contest.Keyer, 3, 0}, {contest.Keyer, 0, 0},
		{contest.Coach, 3, 0}, {contest.Coach, 0, 0},
	} {
		got := owner.Ticket(fair, tc.role, 9, tc.turn)
		if got.Contest != fair || got.Role != tc.role || got.No != 9 || got.Ring != ring || got.Turn != tc.secret {
			t.Errorf("%s in turn %d: %+v", tc.role, tc.turn, got)
		}
		if (got.Secret != nil) != (tc.secret > 0) || got.Secret != nil && *got.Secret != owner.Secret(fair, tc.secret) {
			t.Errorf("%s in turn %d: secret %v", tc.role, tc.turn, got.Secret)
		}
		write(t, got)
	}
	if _, err := owner.Ticket(fair, contest.Owner, 9, 1).Write(); engine.CodeOf(err) != seal.CodeInvite {
		t.Errorf("an owner is invited: %v", err)
	}
}

// The file as its format states it, written by hand.
func TestTicketFormat(t *testing.T) {
	good := ticket()
	want := append([]byte("KEELPASS\x01"), fair[:]...)
	want = append(want, 1, 0xac, 0x02, 2)
	want = slices.Concat(want, good.Token[:], good.Ring[:], []byte{32}, good.Secret[:], []byte{27}, []byte(good.Name), []byte{12}, good.Bundle, make([]byte, 4))
	if got := write(t, good); !bytes.Equal(got, sum(want)) {
		t.Errorf("%x\nwant %x", got, sum(want))
	}
	for i, role := range []string{contest.Official, contest.Keyer, contest.Coach} {
		if got := write(t, owner.Ticket(fair, role, 1, 0)); got[17] != byte(i+1) {
			t.Errorf("%s is written as %d", role, got[17])
		}
	}
}

func TestTicketRefused(t *testing.T) {
	good := write(t, ticket())
	for n := range good {
		files := [][]byte{good[:n]}
		if n >= 4 {
			files = append(files, sum(good[:n]))
		}
		for _, file := range files {
			if got, err := seal.ReadTicket(file); engine.CodeOf(err) == "" || !reflect.DeepEqual(got, seal.Ticket{}) {
				t.Errorf("cut to %d bytes: %+v, %v", n, got, err)
			}
		}
	}
	for bit := range 8 * len(good) {
		if got, err := seal.ReadTicket(flip(good, bit)); engine.CodeOf(err) == "" || !reflect.DeepEqual(got, seal.Ticket{}) {
			t.Errorf("bit %d changed: %+v, %v", bit, got, err)
		}
	}
}

// Who changes a ticket on purpose, checksum and all, has one that the owner
// never made: what proves it taken up does not hold.
func TestTicketForged(t *testing.T) {
	good := ticket()
	file, read := write(t, good), 0
	box := phoneKey.Public()
	for bit := range 8 * (len(file) - 4) {
		got, err := seal.ReadTicket(sum(flip(file, bit)))
		if err != nil {
			continue
		}
		read++
		invited := owner.Invited(got.Contest, got.Role, got.No, phone, box, got.Proof(phone, box))
		same := got.Contest == good.Contest && got.Role == good.Role && got.No == good.No && got.Token == good.Token
		if invited != same {
			t.Errorf("bit %d changed: invited %v, by %+v", bit, invited, got)
		}
		if same && got.Ring == good.Ring && got.Turn == good.Turn && *got.Secret == *good.Secret && got.Name == good.Name && bytes.Equal(got.Bundle, good.Bundle) {
			t.Errorf("bit %d is written in two ways", bit)
		}
	}
	if read < 8*(8+16+32+32) {
		t.Errorf("%d were read", read)
	}
}

func TestProofIsOfOnePhone(t *testing.T) {
	box, good := phoneKey.Public(), ticket()
	proof := good.Proof(phone, box)
	if len(proof) != 16 || !owner.Invited(fair, good.Role, good.No, phone, box, proof) {
		t.Fatalf("%x does not hold", proof)
	}
	otherBox := seal.PhoneKey(signer(5).Seed()).Public()
	stolen := good
	stolen.Token = [16]byte{1}
	for _, tc := range []struct {
		name    string
		by      seal.Authority
		contest record.ContestID
		role    string
		no      uint32
		phone   record.PhoneID
		box     seal.Public
		proof   []byte
	}{
		{"by another phone", owner, fair, good.Role, good.No, record.PhoneOf(signs(5)), box, proof},
		{"with another key", owner, fair, good.Role, good.No, phone, otherBox, proof},
		{"for another role", owner, fair, contest.Keyer, good.No, phone, box, proof},
		{"for an owner", owner, fair, contest.Owner, good.No, phone, box, proof},
		{"with another number", owner, fair, good.Role, good.No + 1, phone, box, proof},
		{"in another contest", owner, record.ContestID{9}, good.Role, good.No, phone, box, proof},
		{"by another owner", seal.Authority{8}, fair, good.Role, good.No, phone, box, proof},
		{"with a token made up", owner, fair, good.Role, good.No, phone, box, stolen.Proof(phone, box)},
		{"cut", owner, fair, good.Role, good.No, phone, box, proof[:15]},
		{"longer", owner, fair, good.Role, good.No, phone, box, append(bytes.Clone(proof), 0)},
		{"missing", owner, fair, good.Role, good.No, phone, box, nil},
		{"of no role", owner, fair, contest.Owner, 9, phone, box, owner.Ticket(fair, contest.Owner, 9, 0).Proof(phone, box)},
		{"of no number", owner, fair, contest.Keyer, 0, phone, box, owner.Ticket(fair, contest.Keyer, 0, 0).Proof(phone, box)},
	} {
		if tc.by.Invited(tc.contest, tc.role, tc.no, tc.phone, tc.box, tc.proof) {
			t.Errorf("%s it holds", tc.name)
		}
	}
	for bit := range 8 * len(proof) {
		if owner.Invited(fair, good.Role, good.No, phone, box, flip(proof, bit)) {
			t.Errorf("with bit %d changed it holds", bit)
		}
	}
}

func TestTicketNotWritten(t *testing.T) {
	for name, tc := range map[string]struct {
		change func(*seal.Ticket)
		want   engine.Code
	}{
		"no role":                {func(t *seal.Ticket) { t.Role = "" }, seal.CodeInvite},
		"no number":              {func(t *seal.Ticket) { t.No = 0 }, seal.CodeInvite},
		"secret of no turn":      {func(t *seal.Ticket) { t.Turn = 0 }, seal.CodeInvite},
		"turn without a secret":  {func(t *seal.Ticket) { t.Secret = nil }, seal.CodeInvite},
		"a keyer's secret":       {func(t *seal.Ticket) { t.Role = contest.Keyer }, seal.CodeInvite},
		"name too long":          {func(t *seal.Ticket) { t.Name = strings.Repeat("ä", seal.MaxName+1) }, seal.CodeInvite},
		"name on two lines":      {func(t *seal.Ticket) { t.Name = "Poultry\nDay" }, seal.CodeInvite},
		"name that turns around": {func(t *seal.Ticket) { t.Name = "Poultry\u202eyaD" }, seal.CodeInvite},
		"name that is no text":   {func(t *seal.Ticket) { t.Name = "\xff" }, seal.CodeInvite},
		"too many records":       {func(t *seal.Ticket) { t.Bundle = make([]byte, seal.MaxFile) }, seal.CodeLimit},
	} {
		bad := ticket()
		tc.change(&bad)
		if file, err := bad.Write(); engine.CodeOf(err) != tc.want || file != nil {
			t.Errorf("%s: %v, want %q", name, err, tc.want)
		}
	}
	large := ticket()
	large.Bundle = make([]byte, seal.MaxFile-len(write(t, large))+len(large.Bundle)-3) // its length takes four bytes
	file := write(t, large)
	if got, err := seal.ReadTicket(file); len(file) != seal.MaxFile || err != nil || len(got.Bundle) != len(large.Bundle) {
		t.Errorf("the largest, of %d bytes: %v", len(file), err)
	}
	if _, err := seal.ReadTicket(append(file, 0)); engine.CodeOf(err) != seal.CodeLimit {
		t.Errorf("a byte more: %v", err)
	}
	if seal.MaxFile != codec.MaxFile {
		t.Errorf("%d bytes are taken in here, %d by the text form", seal.MaxFile, codec.MaxFile)
	}
}

func TestPlainName(t *testing.T) {
	for name, want := range map[string]string{
		"":                             "",
		"Tamarack County Poultry Day":  "Tamarack County Poultry Day",
		"Żółw, 鶏 & 🐔":                  "Żółw, 鶏 & 🐔",
		"one\ntwo\x00\u0085":           "onetwo",
		"a\u202eb\u2066c\u200fd\u061c": "abcd",
		"\xffx\xc3":                    "x",
		strings.Repeat("鶏", 200):       strings.Repeat("鶏", seal.MaxName),
	} {
		if got := seal.PlainName(name); got != want {
			t.Errorf("%q is shown as %q", name, got)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		name := seal.PlainName(string(rapid.SliceOf(rapid.Byte()).Draw(t, "bytes")) + rapid.String().Draw(t, "text"))
		if seal.PlainName(name) != name || !utf8.ValidString(name) || utf8.RuneCountInString(name) > seal.MaxName {
			t.Fatalf("%q", name)
		}
	})
}

func FuzzReadTicket(f *testing.F) {
	f.Add(write(f, ticket()))
	f.Add(write(f, owner.Ticket(fair, contest.Coach, 1, 0))[9:])
	f.Add(write(f, ticket())[9:])
	f.Add([]byte("KEELPASS"))
	f.Add(binary.AppendUvarint(write(f, ticket())[9:17], 1<<60))
	f.Fuzz(func(t *testing.T, b []byte) {
		inside := sum(slices.Concat([]byte("KEELPASS\x01"), b, make([]byte, 4))) // let the fuzzer past the checksum
		for _, file := range [][]byte{b, inside} {
			got, err := seal.ReadTicket(file)
			if err != nil {
				if engine.CodeOf(err) == "" {
					t.Errorf("an error without a code: %v", err)
				}
				continue
			}
			if again, err := got.Write(); err != nil || !bytes.Equal(again, file) {
				t.Errorf("%x was accepted and is written as %x, %v", file, again, err)
			}
		}
	})
}
