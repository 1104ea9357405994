package seal_test

import (
	"bytes"
	"crypto/hkdf"
	"crypto/pbkdf2"
	"crypto/sha256"
	"encoding/binary"
	"hash/crc32"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/seal"
)

const pass = "four plain words here"

func backup() seal.Backup {
	return seal.Backup{Made: 1_790_000_000, Seed: random(3), Who: "MB", Authorities: []seal.Authority{owner}, Contests: [][]byte{[]byte("KEELCARD one"), {}, bytes.Repeat([]byte("x"), 300)}}
}

// put writes a backup with few rounds, so that tests are quick.
func put(t testing.TB, b seal.Backup) []byte {
	t.Helper()
	file, err := b.Seal(pass, [16]byte{5}, 2)
	if err != nil {
		t.Fatal(err)
	}
	return file
}

func TestBackupComesBack(t *testing.T) {
	for name, b := range map[string]seal.Backup{"full": backup(), "empty": {}, "no authority": {Who: "Zoë", Seed: random(1), Contests: [][]byte{{1}}},
		"several authorities": {Authorities: []seal.Authority{{3}, owner, {1}}}, "as many as can be": {Authorities: make([]seal.Authority, seal.MaxAuthorities)}} {
		file := put(t, b)
		if !seal.IsBackup(file) {
			t.Errorf("%s: not taken for a backup", name)
		}
		for _, p := range []string{pass, "  four plain\twords\n here "} {
			if got, err := seal.OpenBackup(file, p); err != nil || !reflect.DeepEqual(got, b) {
				t.Errorf("%s: %+v, %v", name, got, err)
			}
		}
		if bytes.Contains(file, []byte("KEELCARD one")) || bytes.Contains(file, bytes.Repeat([]byte{3}, 8)) {
			t.Errorf("%s: it can be read", name)
		}
	}
}

// The file as its format states it, written by hand.
func TestBackupFormat(t *testing.T) {
	b := seal.Backup{Made: 200, Seed: random(3), Who: "MB"}
	salt := [16]byte{5}
	stretched, err := pbkdf2.Key(sha256.New, pass, salt[:], 2, 32)
	if err != nil {
		t.Fatal(err)
	}
	keys, err := hkdf.Key(sha256.New, stretched, nil, "keelcard backup 1", 52)
	if err != nil {
		t.Fatal(err)
	}
	for n := range 3 { // authorities
		text := append([]byte{1, 200, 1}, bytes.Repeat([]byte{3}, 32)...)
		text = append(text, 2, 'M', 'B', byte(16*n))
		b.Authorities = nil
		for i := range n {
			a := seal.Authority{byte(i), 9}
			b.Authorities, text = append(b.Authorities, a), append(text, a[:]...)
		}
		text = append(text, 0)
		want := append([]byte("KEELSAFE\x01\x00\x00\x00\x02"), salt[:]...)
		want = append(want, keys[44:]...)
		want = seal.NewGCM(keys[:32]).Seal(want, keys[32:44], text, want)
		want = binary.LittleEndian.AppendUint32(want, crc32.ChecksumIEEE(want))
		if got := put(t, b); !bytes.Equal(got, want) {
			t.Errorf("%x\nwant %x", got, want)
		}
	}
}

// sum puts the checksum right.
func sum(b []byte) []byte {
	b = bytes.Clone(b[:len(b)-4])
	return binary.LittleEndian.AppendUint32(b, crc32.ChecksumIEEE(b))
}

func TestBackupRefused(t *testing.T) {
	good := put(t, backup())
	change := func(at int, by byte) []byte {
		b := bytes.Clone(good)
		b[at] ^= by
		return b
	}
	for _, tc := range []struct {
		name string
		file []byte
		pass string
		want engine.Code
	}{
		{"wrong passphrase", good, "four plain words her", seal.CodePassphrase},
		{"capital letter", good, "Four plain words here", seal.CodePassphrase},
		{"no passphrase", good, "", seal.CodePassphrase},
		{"nothing", nil, pass, seal.CodeNotOurs},
		{"a bundle", []byte("KEELCARD\x01\x00"), pass, seal.CodeNotOurs},
		{"version 0", change(8, 1), pass, seal.CodeMalformed},
		{"newer", change(8, 3), pass, seal.CodeNewer},
		{"cut", good[:len(good)-1], pass, seal.CodeChecksum},
		{"cut short", good[:40], pass, seal.CodeShort},
		{"changed on the way", change(60, 1), pass, seal.CodeChecksum},
		{"changed on purpose", sum(change(60, 1)), pass, seal.CodeClosed},
		{"another salt", sum(change(13, 1)), pass, seal.CodePassphrase},
		{"another check", sum(change(30, 1)), pass, seal.CodePassphrase},
		{"no rounds", sum(change(12, 2)), pass, seal.CodeLimit},
		{"too many rounds", sum(change(9, 0xff)), pass, seal.CodeLimit},
		{"longer", sum(append(bytes.Clone(good), 1, 2, 3, 4)), pass, seal.CodeClosed},
		{"too large", append(bytes.Clone(good), make([]byte, seal.MaxBackup)...), pass, seal.CodeLimit},
	} {
		if got, err := seal.OpenBackup(tc.file, tc.pass); engine.CodeOf(err) != tc.want || !reflect.DeepEqual(got, seal.Backup{}) {
			t.Errorf("%s: code %q, want %q (%v)", tc.name, engine.CodeOf(err), tc.want, err)
		}
	}
	for n := range good {
		if _, err := seal.OpenBackup(good[:n], pass); err == nil {
			t.Errorf("cut to %d bytes it opens", n)
		}
	}
	for bit := range 8 * len(good) {
		files := [][]byte{change(bit/8, 1<<(bit%8)), sum(change(bit/8, 1<<(bit%8)))}
		if bit/8 >= 9 && bit/8 < 12 {
			files = files[:1] // up to a million rounds, and nothing else
		}
		for _, file := range files {
			if _, err := seal.OpenBackup(file, pass); err == nil && !bytes.Equal(file, good) {
				t.Errorf("with bit %d changed it opens", bit)
			}
		}
	}
}

func TestBackupText(t *testing.T) {
	text := backup().BackupText()
	if _, err := seal.OpenBackup(seal.WriteBackup(text, pass), pass); err != nil {
		t.Fatal(err)
	}
	with := func(at int, by ...byte) []byte { return append(append(bytes.Clone(text[:at]), by...), text[at+1:]...) }
	for _, tc := range []struct {
		name string
		text []byte
		want engine.Code
	}{
		{"nothing", nil, seal.CodeMalformed},
		{"newer", with(0, 2), seal.CodeNewer},
		{"more", append(bytes.Clone(text), 0), seal.CodeMalformed},
		{"number too long", with(5, text[5]|0x80, 0), seal.CodeMalformed},
		{"initials too long", with(38, 0x80, 0x01), seal.CodeMalformed},
		{"initials no text", with(39, 0xff), seal.CodeMalformed},
		{"authority of 15 bytes", with(41, 15), seal.CodeMalformed},
		{"authorities of 17 bytes", with(41, 17), seal.CodeMalformed},
		{"17 authorities", with(41, append([]byte{0x90, 0x02}, make([]byte, 16*16)...)...), seal.CodeMalformed},
		{"too many contests", with(58, 0xff, 0xff, 0xff, 0x7f), seal.CodeMalformed},
	} {
		if got, err := seal.OpenBackup(seal.WriteBackup(tc.text, pass), pass); engine.CodeOf(err) != tc.want || !reflect.DeepEqual(got, seal.Backup{}) {
			t.Errorf("%s: code %q, want %q", tc.name, engine.CodeOf(err), tc.want)
		}
	}
	for n := range text {
		if _, err := seal.OpenBackup(seal.WriteBackup(text[:n], pass), pass); engine.CodeOf(err) != seal.CodeMalformed {
			t.Errorf("%d bytes of the text: %v", n, err)
		}
	}
}

func TestBackupNotWritten(t *testing.T) {
	for _, tc := range []struct {
		name   string
		b      seal.Backup
		pass   string
		rounds int
		want   engine.Code
	}{
		{"short passphrase", seal.Backup{}, "nine let ", 1, seal.CodePassphrase},
		{"spaces do not count", seal.Backup{}, "a" + strings.Repeat(" ", 20) + "b", 1, seal.CodePassphrase},
		{"no rounds", seal.Backup{}, pass, 0, seal.CodeLimit},
		{"too many rounds", seal.Backup{}, pass, seal.MaxRounds + 1, seal.CodeLimit},
		{"no time", seal.Backup{Made: -1}, pass, 1, seal.CodeLimit},
		{"initials", seal.Backup{Who: strings.Repeat("x", 41)}, pass, 1, seal.CodeLimit},
		{"authorities", seal.Backup{Authorities: make([]seal.Authority, seal.MaxAuthorities+1)}, pass, 1, seal.CodeLimit},
		{"contests", seal.Backup{Contests: make([][]byte, seal.MaxContests+1)}, pass, 1, seal.CodeLimit},
		{"bytes", seal.Backup{Contests: [][]byte{make([]byte, seal.MaxBackup)}}, pass, 1, seal.CodeLimit},
	} {
		if file, err := tc.b.Seal(tc.pass, [16]byte{}, tc.rounds); engine.CodeOf(err) != tc.want || file != nil {
			t.Errorf("%s: code %q, want %q", tc.name, engine.CodeOf(err), tc.want)
		}
	}
	if seal.Rounds < 600_000 || seal.Rounds > seal.MaxRounds {
		t.Errorf("%d rounds", seal.Rounds)
	}
}

func TestBackups(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := seal.Backup{Made: rapid.Int64Range(0, 1<<40).Draw(t, "made"), Seed: [32]byte(rapid.SliceOfN(rapid.Byte(), 32, 32).Draw(t, "seed")), Who: rapid.StringN(0, 10, 40).Draw(t, "who")}
		for range rapid.IntRange(0, seal.MaxAuthorities).Draw(t, "authorities") {
			b.Authorities = append(b.Authorities, seal.Authority(rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "authority")))
		}
		for range rapid.IntRange(0, 3).Draw(t, "contests") {
			b.Contests = append(b.Contests, rapid.SliceOfN(rapid.Byte(), 1, 200).Draw(t, "contest"))
		}
		file, err := b.Seal(pass, [16]byte(rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "salt")), rapid.IntRange(1, 3).Draw(t, "rounds"))
		if err != nil {
			t.Fatal(err)
		}
		if got, err := seal.OpenBackup(file, pass); err != nil || !reflect.DeepEqual(got, b) {
			t.Fatalf("%+v, %v", got, err)
		}
	})
}

func FuzzOpenBackup(f *testing.F) {
	f.Add(put(f, backup()))
	f.Add(put(f, seal.Backup{}))
	f.Add([]byte("KEELSAFE"))
	f.Add(backup().BackupText())
	f.Fuzz(func(t *testing.T, b []byte) {
		files := [][]byte{b, seal.WriteBackup(b, pass)} // let the fuzzer past the seal
		if len(b) > 13 && binary.BigEndian.Uint32(b[9:]) > 1000 {
			files = files[1:] // slow, and nothing else
		}
		for i, file := range files {
			got, err := seal.OpenBackup(file, pass)
			if err != nil {
				if engine.CodeOf(err) == "" {
					t.Errorf("an error without a code: %v", err)
				}
				continue
			}
			if i == len(files)-1 && !bytes.Equal(got.BackupText(), b) {
				t.Errorf("%x was accepted and is written as %x", b, got.BackupText())
			}
		}
	})
}

func BenchmarkOpenBackup(b *testing.B) {
	file, err := backup().Seal(pass, [16]byte{1}, seal.Rounds)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := seal.OpenBackup(file, pass); err != nil {
			b.Fatal(err)
		}
	}
}
