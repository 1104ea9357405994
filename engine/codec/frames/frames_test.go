package frames_test

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"runtime"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/codec/frames"
	"keelcard/engine/enginetest"
)

// content makes n bytes that follow from a seed.
func content(seed uint64, n int) []byte {
	pick := enginetest.Seeded(seed)
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(pick(256))
	}
	return b
}

func sender(t rapid.TB, b []byte, room int) *frames.Sender {
	t.Helper()
	s, err := frames.NewSender(b, room)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The examples of RFC 9285, section 4.3 and 4.4.
func TestBase45AsPublished(t *testing.T) {
	for plain, text := range map[string]string{"AB": "BB8", "Hello!!": "%69 VD92EX0", "base-45": "UJCLQE7W581", "ietf!": "QED8WEX0"} {
		if got := frames.Text([]byte(plain)); got != "KEELCARD"+text {
			t.Errorf("%q is written as %q, want %q", plain, got, text)
		}
		if got, err := frames.Frame("KEELCARD" + text); err != nil || string(got) != plain {
			t.Errorf("%q is read as %q, %v", text, got, err)
		}
	}
	// Section 6: FGW is 65535, the most that two bytes hold, and GGW one more.
	if got, err := frames.Frame("KEELCARDFGW"); err != nil || !bytes.Equal(got, []byte{255, 255}) {
		t.Errorf("FGW is read as %x, %v", got, err)
	}
	for _, bad := range []string{":::", "GGW", "B", "BB8A", "::", "6%", "bb8", "B_8", "Ä"} {
		if got, err := frames.Frame("KEELCARD" + bad); engine.CodeOf(err) != frames.CodeMalformed {
			t.Errorf("%q is read as %x, %v", bad, got, err)
		}
	}
	for _, other := range []string{"", "KEELCAR", "keelcardBB8", "https://example.org/", " KEELCARDBB8"} {
		if _, err := frames.Frame(other); engine.CodeOf(err) != frames.CodeNotOurs {
			t.Errorf("%q: %v", other, err)
		}
	}
}

func TestRoomIsWhatFits(t *testing.T) {
	for letters := range 400 {
		room := frames.Room(letters)
		if room > 0 && len(frames.Text(make([]byte, room))) > letters {
			t.Errorf("%d bytes do not fit %d letters", room, letters)
		}
		if letters >= 8 && len(frames.Text(make([]byte, room+1))) <= letters {
			t.Errorf("%d letters hold more than %d bytes", letters, room)
		}
	}
}

// Any content arrives, whatever is lost, seen twice or out of order, and however
// late the camera is there.
func TestEverythingArrives(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 20_000).Draw(t, "bytes")
		room := rapid.IntRange(frames.Overhead+frames.MinBlock, 500).Draw(t, "room")
		loss := rapid.IntRange(0, 60).Draw(t, "loss in 100")
		b := content(rapid.Uint64().Draw(t, "content"), n)
		s := sender(t, b, room)
		pick := enginetest.Seeded(rapid.Uint64().Draw(t, "chance"))
		var r frames.Receiver
		from := uint32(pick(3 * s.Blocks()))
		useful := 0
		for k := uint32(0); ; k++ {
			if k > uint32(s.Blocks())*4+80 {
				t.Fatalf("%d frames of %d blocks are not enough", k, s.Blocks())
			}
			if pick(100) < loss {
				continue
			}
			number := from + k
			if pick(4) == 0 {
				number = from + uint32(pick(int(k)+1)) // one that was seen, or an earlier one
			}
			frame := s.Frame(number)
			if len(frame) > room {
				t.Fatalf("a frame has %d bytes, and there is room for %d", len(frame), room)
			}
			p, err := r.Add(frame)
			if err != nil {
				t.Fatal(err)
			}
			if p.New {
				useful++
			}
			if p.Need != s.Blocks() || p.Have != useful {
				t.Fatalf("%d of %d frames are useful, and it says %d of %d", useful, s.Blocks(), p.Have, p.Need)
			}
			if p.Content == nil {
				continue
			}
			if !bytes.Equal(p.Content, b) {
				t.Fatal("something else arrived")
			}
			if p, err = r.Add(s.Frame(number + 1)); err != nil || p.New || p.Content != nil || p.Have != p.Need {
				t.Fatalf("a frame after the end says %+v, %v", p, err)
			}
			return
		}
	})
}

// Where random sums alone are seen, they have to be 1.6 more than the blocks in
// the mean: the last row that is missing comes with one frame in two, the one
// before with three in four, and so on, and the sum of 1/(2^k-1) is 1.607.
func TestFewFramesAreWasted(t *testing.T) {
	for _, blocks := range []int{1, 2, 5, 20, 100, 700} {
		for _, loss := range []int{0, 10, 60} {
			runs := 60
			if blocks > 100 {
				runs = 20
			}
			if testing.Short() {
				runs = 20
			}
			wasted := 0
			for run := range runs {
				pick := enginetest.Seeded(uint64(blocks*1000 + loss*100 + run))
				s := sender(t, content(uint64(run), blocks*frames.MinBlock), frames.Overhead+frames.MinBlock)
				var r frames.Receiver
				for number, done := uint32(0), false; !done; number++ {
					if pick(100) < loss {
						continue
					}
					p, err := r.Add(s.Frame(number))
					if err != nil {
						t.Fatal(err)
					}
					if !p.New {
						wasted++
					}
					done = p.Content != nil
				}
			}
			mean := float64(wasted) / float64(runs)
			t.Logf("%3d blocks, %2d %% lost: %.2f frames too many in the mean", blocks, loss, mean)
			if mean > 2.2 || loss == 0 && mean > 0 {
				t.Errorf("%d blocks, %d %% lost: %.2f frames too many in the mean", blocks, loss, mean)
			}
		}
	}
}

// Other contents in sight do not disturb, and each of them arrives as well.
func TestSeveralAtOnce(t *testing.T) {
	var senders []*frames.Sender
	var want [][]byte
	for i := range frames.Transfers {
		want = append(want, content(uint64(i), 3000+i))
		senders = append(senders, sender(t, want[i], 200))
	}
	var r frames.Receiver
	got := map[int][]byte{}
	for number := uint32(0); len(got) < len(senders); number++ {
		if number > 100 {
			t.Fatal("not everything arrives")
		}
		for i, s := range senders {
			p, err := r.Add(s.Frame(number))
			if err != nil {
				t.Fatal(err)
			}
			if p.Content != nil {
				got[i] = p.Content
			}
		}
	}
	for i := range want {
		if !bytes.Equal(got[i], want[i]) {
			t.Errorf("content %d arrived as something else", i)
		}
	}
}

// reseal gives a frame that was changed its checksum.
func reseal(frame []byte) []byte {
	body := frame[:len(frame)-4]
	return binary.BigEndian.AppendUint32(slices.Clone(body), crc32.ChecksumIEEE(body))
}

func changed(frame []byte, at int, to byte) []byte {
	out := slices.Clone(frame)
	out[at] = to
	return out
}

// Frames that lie are refused, or harmless: what is gathered arrives all the same.
func TestHostileFrames(t *testing.T) {
	b := content(7, 2000)
	s := sender(t, b, 200)
	first := s.Frame(0)
	for name, c := range map[string]struct {
		frame []byte
		code  engine.Code
	}{
		"empty":                   {nil, frames.CodeMalformed},
		"a head alone":            {first[:frames.Overhead-1], frames.CodeMalformed},
		"another version":         {reseal(changed(first, 0, 2)), frames.CodeNewer},
		"version 0":               {reseal(changed(first, 0, 0)), frames.CodeNewer},
		"a changed bit":           {changed(first, 40, first[40]^1), frames.CodeMalformed},
		"cut off":                 {first[:len(first)-1], frames.CodeMalformed},
		"no content":              {reseal(changed(changed(first, 10, 0), 11, 0)), frames.CodeMalformed},
		"16 million bytes":        {reseal(changed(first, 9, 255)), frames.CodeMalformed},
		"a block of nothing":      {reseal(first[:frames.Overhead]), frames.CodeMalformed},
		"a block too short":       {reseal(first[:frames.Overhead+frames.MinBlock-1]), frames.CodeMalformed},
		"too many blocks":         {reseal(changed(first[:frames.Overhead+frames.MinBlock], 9, 3)), frames.CodeMalformed},
		"another size":            {reseal(changed(first, 11, first[11]+1)), ""},
		"another size of a block": {reseal(first[:len(first)-5]), ""},
		"another content":         {reseal(changed(first, 1, first[1]^1)), ""},
	} {
		var r frames.Receiver
		whole := false
		for number := uint32(0); number < uint32(s.Blocks()); number++ {
			p, err := r.Add(s.Frame(number))
			if err != nil {
				t.Fatal(err)
			}
			whole = bytes.Equal(p.Content, b)
			if number == 2 {
				if _, err := r.Add(c.frame); engine.CodeOf(err) != c.code {
					t.Errorf("%s: %v, want the code %q", name, err, c.code)
				}
			}
		}
		if !whole {
			t.Errorf("%s: what was gathered does not arrive", name)
		}
	}
}

// A frame with the right head and wrong bytes is found out in the end, and the
// content arrives from the frames that follow.
func TestALieIsFoundOut(t *testing.T) {
	b := content(9, 2000)
	s := sender(t, b, 200)
	var r frames.Receiver
	lie := s.Frame(3)
	lie[50] ^= 1
	if _, err := r.Add(reseal(lie)); err != nil {
		t.Fatal(err)
	}
	mixed := 0
	for number := uint32(0); number < uint32(3*s.Blocks()); number++ {
		p, err := r.Add(s.Frame(number))
		switch {
		case engine.CodeOf(err) == frames.CodeMixed:
			mixed++
		case err != nil:
			t.Fatal(err)
		case p.Content != nil:
			if mixed != 1 || !bytes.Equal(p.Content, b) {
				t.Errorf("it arrived after %d contradictions, right: %v", mixed, bytes.Equal(p.Content, b))
			}
			return
		}
	}
	t.Error("it does not arrive")
}

// Frames that name large contents cost no more memory than they bring.
func TestMemoryIsBounded(t *testing.T) {
	big := sender(t, content(1, frames.MaxContent), frames.Overhead+frames.MaxContent/frames.MaxBlocks)
	frame := big.Frame(0)
	if big.Blocks() != frames.MaxBlocks {
		t.Fatalf("%d blocks", big.Blocks())
	}
	const many = 200
	var r frames.Receiver
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	for i := range many {
		if _, err := r.Add(reseal(changed(frame, 1, byte(i)))); err != nil {
			t.Fatal(err)
		}
	}
	runtime.ReadMemStats(&after)
	// A place for each of 2,048 rows, 48 bytes each, and the sets.
	if per := (after.TotalAlloc - before.TotalAlloc) / many; per > 150_000 {
		t.Errorf("a frame sets %d bytes aside", per)
	}
}

func TestWhatCannotBeShown(t *testing.T) {
	for _, n := range []int{0, frames.MaxContent + 1} {
		if _, err := frames.NewSender(make([]byte, n), 400); engine.CodeOf(err) != frames.CodeTooLarge {
			t.Errorf("%d bytes: %v", n, err)
		}
	}
	if _, err := frames.NewSender(make([]byte, frames.MaxContent), frames.Overhead+frames.MinBlock); engine.CodeOf(err) != frames.CodeTooLarge {
		t.Errorf("too many blocks: %v", err)
	}
	if s := sender(t, make([]byte, 3), 400); s.Blocks() != 1 || len(s.Frame(0)) != frames.Overhead+frames.MinBlock {
		t.Error("three bytes make more than one short frame")
	}
}

func FuzzFrame(f *testing.F) {
	s := sender(f, content(3, 1000), 120)
	for _, number := range []uint32{0, 9, 10, 11, 1 << 31} {
		f.Add(frames.Text(s.Frame(number)), false)
		f.Add(frames.Text(s.Frame(number)), true)
	}
	f.Add("KEELCARD", false)
	f.Add("KEELCARDFGW", true)
	f.Fuzz(func(t *testing.T, text string, sealed bool) {
		frame, err := frames.Frame(text)
		if err != nil {
			return
		}
		if again := frames.Text(frame); again != text {
			t.Errorf("%q is read, and written as %q", text, again)
		}
		if sealed && len(frame) > 4 {
			frame = reseal(frame)
		}
		var r frames.Receiver
		for range 3 {
			p, err := r.Add(frame)
			if err == nil && (p.Need < 1 || p.Need > frames.MaxBlocks || p.Have > p.Need) {
				t.Errorf("%d of %d frames", p.Have, p.Need)
			}
		}
	})
}

func BenchmarkGather(b *testing.B) {
	s := sender(b, content(1, 100_000), 394)
	var all [][]byte
	for number := uint32(0); number < uint32(s.Blocks())*3; number++ {
		all = append(all, s.Frame(number))
	}
	for b.Loop() {
		var r frames.Receiver
		pick := enginetest.Seeded(1)
		for _, frame := range all {
			if pick(100) < 60 {
				continue
			}
			p, err := r.Add(frame)
			if err != nil {
				b.Fatal(err)
			}
			if p.Content != nil {
				break
			}
		}
	}
	b.ReportMetric(float64(s.Blocks()), "blocks")
}
