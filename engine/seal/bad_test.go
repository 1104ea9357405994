package seal_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/record"
	"keelcard/engine/seal"
)

const testdata = "../../testdata/files/sealed"

var update = flag.Bool("update", false, "write the files of testdata/files/sealed that are missing")

// kept holds a file of testdata to what is written now. One that is there is
// never changed: it may have been handed out.
func kept(t *testing.T, name string, b []byte) {
	t.Helper()
	path := filepath.Join(testdata, name)
	old, err := os.ReadFile(path)
	if err != nil && *update {
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, b, 0o644)); err != nil {
			t.Fatal(err)
		}
		return
	}
	if err != nil {
		t.Error(err)
	} else if !bytes.Equal(old, b) {
		t.Errorf("%s is written differently now; a released format is never changed, make a new version", name)
	}
}

func TestGoldenFiles(t *testing.T) {
	bundle, err := os.ReadFile(filepath.Join(testdata, "../v1/mixed.keelcard"))
	if err != nil {
		t.Fatal(err)
	}
	kept(t, "bundle.keelcard", ring.Seal(fair, bundle))
	kept(t, "bundle-empty.keelcard", ring.Seal(fair, nil))
	with := ticket()
	with.Bundle = bundle
	for name, ticket := range map[string]seal.Ticket{
		"ticket-official":           with,
		"ticket-official-unsealed":  owner.Ticket(fair, contest.Official, 1, 0),
		"ticket-keyer":              owner.Ticket(fair, contest.Keyer, 1<<32-1, 2),
		"ticket-coach":              owner.Ticket(fair, contest.Coach, 77, 0),
		"ticket-of-the-latest-turn": owner.Ticket(fair, contest.Official, 5, contest.MaxTurns),
	} {
		file := write(t, ticket)
		kept(t, name+".keelcard", file)
		if got, err := seal.ReadTicket(file); err != nil || !reflect.DeepEqual(got, ticket) {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
	kept(t, "backup.keelcard", put(t, backup()))
	kept(t, "backup-of-two-owners.keelcard", put(t, seal.Backup{Authorities: []seal.Authority{owner, {8}}}))
	kept(t, "keys.bin", sealKeys(t, keys()))
}

// bad is a file with one fault, and what is to be said about it.
type bad struct {
	as, name string // "ticket" or "bundle"
	b        []byte
	want     engine.Code
}

func (f *bad) path() string {
	return "bad/" + f.as + "-" + strings.ReplaceAll(f.name, " ", "-") + ".bad"
}

// read says whether nothing came of it.
func (f *bad) read() (nothing bool, err error) {
	if f.as == "ticket" {
		got, err := seal.ReadTicket(f.b)
		return reflect.DeepEqual(got, seal.Ticket{}), err
	}
	got, err := ring.Open(f.b)
	return got == nil, err
}

func TestBadFiles(t *testing.T) {
	files := append(badBundles(), badTickets(t)...)
	var codes []string
	for _, f := range files {
		kept(t, f.path(), f.b)
		codes = append(codes, fmt.Sprintf("%s %s %s\n", filepath.Base(f.path()), f.as, f.want))
		nothing, err := f.read()
		if engine.CodeOf(err) != f.want || !nothing {
			t.Errorf("%s: %v (code %q), gave nothing: %v; want %q", f.path(), err, engine.CodeOf(err), nothing, f.want)
			continue
		}
		var e *engine.Error
		if !errors.As(err, &e) || e.What == "" || e.Fix == "" {
			t.Errorf("%s: %v does not say what is wrong and what to do", f.path(), err)
		}
		if f.want == seal.CodeNewer && !strings.Contains(err.Error(), "update") {
			t.Errorf("%s: %v does not say to update", f.path(), err)
		}
	}
	slices.Sort(codes)
	if len(slices.Compact(slices.Clone(codes))) != len(files) {
		t.Error("a name is there twice")
	}
	kept(t, "bad/codes.txt", []byte(strings.Join(codes, "")))
	if there, err := os.ReadDir(filepath.Join(testdata, "bad")); err != nil || len(there) != len(files)+1 {
		t.Errorf("%d files are kept and %d are made, with the list of codes: %v", len(there), len(files)+1, err)
	}
}

// badFrames gives what can be wrong with any of these files.
func badFrames(as string, good, another []byte, add func(name string, b []byte, want engine.Code)) {
	at := func(i int, to byte) []byte {
		b := bytes.Clone(good)
		b[i] = to
		return b
	}
	add("empty", nil, seal.CodeNotOurs)
	add("records in the clear", []byte("KEELCARD\x01\x00"), seal.CodeNotOurs)
	add("of the other kind", another, seal.CodeNotOurs)
	add("prose", []byte("The "+string(good[:8])+" file comes tomorrow."), seal.CodeNotOurs)
	add("lower case", bytes.ToLower(good), seal.CodeNotOurs)
	add("magic cut", good[:7], seal.CodeNotOurs)
	add("magic alone", good[:8], seal.CodeShort)
	add("cut after the version", good[:9], seal.CodeShort)
	add("cut to 40 bytes", good[:40], seal.CodeShort)
	add("version 0", sum(at(8, 0)), seal.CodeMalformed)
	add("version 2", sum(at(8, 2)), seal.CodeNewer)
	add("version 255 and no more", at(8, 255)[:9], seal.CodeNewer)
	add("last byte missing", good[:len(good)-1], seal.CodeChecksum)
	add("checksum zero", append(bytes.Clone(good[:len(good)-4]), 0, 0, 0, 0), seal.CodeChecksum)
	add("byte added", append(bytes.Clone(good), 0), seal.CodeChecksum)
	add("twice", append(bytes.Clone(good), good...), seal.CodeChecksum)
	add("one bit changed", flip(good, 8*60+3), seal.CodeChecksum)
}

func badBundles() (files []bad) {
	add := func(name string, b []byte, want engine.Code) { files = append(files, bad{"bundle", name, b, want}) }
	bundle := bytes.Repeat([]byte("KEELCARD"), 20) // three blocks of 64
	good := ring.Seal(fair, bundle)
	const id, nonce, text = 9, 17, 29
	badFrames("bundle", good, []byte("KEELPASS\x01"), add)
	closed := func(name string, b []byte) { add(name, sum(b), seal.CodeClosed) }
	closed("contest changed", flip(good, 8*id))
	closed("nonce changed", flip(good, 8*nonce))
	closed("text changed", flip(good, 8*text))
	closed("tag changed", flip(good, 8*(len(good)-5)))
	closed("block missing", slices.Delete(bytes.Clone(good), text, text+64))
	closed("block twice", slices.Insert(bytes.Clone(good), text, good[text:text+64]...))
	closed("blocks swapped", slices.Concat(good[:text], good[text+64:text+128], good[text:text+64], good[text+128:]))
	closed("tag missing", slices.Delete(bytes.Clone(good), len(good)-20, len(good)-4))
	closed("of another contest", owner.Ring(record.ContestID{9}).Seal(record.ContestID{9}, bundle))
	closed("of another owner", seal.Authority{8}.Ring(fair).Seal(fair, bundle))
	moved := owner.Ring(record.ContestID{9}).Seal(record.ContestID{9}, bundle)
	closed("of another contest under this name", slices.Concat(good[:nonce], moved[nonce:]))
	// Whoever has the ring could seal what Seal never would.
	padded := func(n int) []byte { return append(append(bytes.Clone(bundle), 0x80), make([]byte, n-len(bundle)-1)...) }
	raw := func(name string, nonce, text []byte) { add(name, ring.SealRaw(fair, nonce, text), seal.CodeMalformed) }
	raw("nonce of another", ring.Nonce(fair, []byte("KEELCARD")), padded(192))
	raw("nonce zero", make([]byte, 12), padded(192))
	raw("no padding", ring.Nonce(fair, bundle), bundle)
	raw("a block of padding more", ring.Nonce(fair, bundle), padded(256))
	raw("padding of half a block", ring.Nonce(fair, bundle), padded(224))
	raw("zeros alone", ring.Nonce(fair, nil), make([]byte, 64))
	raw("padding without its mark", ring.Nonce(fair, bundle), append(bytes.Clone(bundle), make([]byte, 32)...))
	return files
}

// rawTicket is a ticket of an official in its parts, so that each can be wrong.
type rawTicket struct {
	role, number, turn, token, ring, secret, name, bundle []byte
}

func badTickets(tb testing.TB) (files []bad) {
	add := func(name string, b []byte, want engine.Code) { files = append(files, bad{"ticket", name, b, want}) }
	good := ticket()
	badFrames("ticket", write(tb, good), []byte("KEELSEAL\x01"), add)
	field := func(b []byte) []byte { return append(binary.AppendUvarint(nil, uint64(len(b))), b...) }
	wrong := func(name string, change func(*rawTicket)) {
		r := rawTicket{[]byte{1}, []byte{0xac, 0x02}, []byte{2}, good.Token[:], good.Ring[:], field(good.Secret[:]), field([]byte(good.Name)), field(good.Bundle)}
		change(&r)
		b := slices.Concat([]byte("KEELPASS\x01"), fair[:], r.role, r.number, r.turn, r.token, r.ring, r.secret, r.name, r.bundle, make([]byte, 4))
		add(name, sum(b), seal.CodeMalformed)
	}
	endless, huge := bytes.Repeat([]byte{0xff}, 11), binary.AppendUvarint(nil, 1<<63)
	wrong("role 0", func(r *rawTicket) { r.role = []byte{0} })
	wrong("role 4", func(r *rawTicket) { r.role = []byte{4} })
	wrong("role 255", func(r *rawTicket) { r.role = []byte{255} })
	wrong("number 0", func(r *rawTicket) { r.number = []byte{0} })
	wrong("number of 33 bits", func(r *rawTicket) { r.number = binary.AppendUvarint(nil, 1<<32) })
	wrong("number written too long", func(r *rawTicket) { r.number = []byte{0xac, 0x82, 0x00} })
	wrong("number without an end", func(r *rawTicket) { r.number = endless })
	wrong("turn 0 with a secret", func(r *rawTicket) { r.turn = []byte{0} })
	wrong("turn without a secret", func(r *rawTicket) { r.secret = []byte{0} })
	wrong("turn after the last", func(r *rawTicket) { r.turn = binary.AppendUvarint(nil, contest.MaxTurns+1) })
	wrong("turn written too long", func(r *rawTicket) { r.turn = []byte{0x82, 0} })
	wrong("secret for a keyer", func(r *rawTicket) { r.role = []byte{2} })
	wrong("secret for a coach", func(r *rawTicket) { r.role = []byte{3} })
	wrong("turn of a keyer", func(r *rawTicket) { r.role, r.secret = []byte{2}, []byte{0} })
	wrong("secret of 31 bytes", func(r *rawTicket) { r.secret = field(good.Secret[1:]) })
	wrong("secret of 33 bytes", func(r *rawTicket) { r.secret = field(make([]byte, 33)) })
	wrong("secret with its length too long", func(r *rawTicket) { r.secret = append([]byte{0xa0, 0}, good.Secret[:]...) })
	wrong("token of 15 bytes", func(r *rawTicket) { r.token = r.token[1:] })
	wrong("ring missing", func(r *rawTicket) { r.ring = nil })
	wrong("name of 121 letters", func(r *rawTicket) { r.name = field(bytes.Repeat([]byte("x"), 121)) })
	wrong("name no text", func(r *rawTicket) { r.name = field([]byte("Poultry\xff")) })
	wrong("name on two lines", func(r *rawTicket) { r.name = field([]byte("Poultry\nDay")) })
	wrong("name that turns around", func(r *rawTicket) { r.name = field([]byte("Poultry \u202eyaD")) })
	wrong("name of an isolate", func(r *rawTicket) { r.name = field([]byte("Poultry \u2067Day")) })
	wrong("name longer than the file", func(r *rawTicket) { r.name = append([]byte{0xff, 0x7f}, good.Name...) })
	wrong("name of 64 bits", func(r *rawTicket) { r.name = huge })
	wrong("bundle one byte longer", func(r *rawTicket) { r.bundle[0]++ })
	wrong("bundle one byte shorter", func(r *rawTicket) { r.bundle[0]-- })
	wrong("bundle of 64 bits", func(r *rawTicket) { r.bundle = huge })
	wrong("bundle with its length too long", func(r *rawTicket) { r.bundle = append([]byte{0x8c, 0}, good.Bundle...) })
	wrong("bundle missing", func(r *rawTicket) { r.bundle = nil })
	wrong("a byte after the bundle", func(r *rawTicket) { r.bundle = append(r.bundle, 0) })
	return files
}
