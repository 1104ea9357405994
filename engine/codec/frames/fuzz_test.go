package frames_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"testing"

	"keelcard/engine/codec/frames"
	"keelcard/engine/enginetest"
)

// A sight is one code that comes into sight, as FuzzReceiver reads it: which
// sender, the number of the frame, which byte of it is changed by what, and
// whether the changed frame has a right checksum.
func sight(sender byte, number uint32, at uint16, by, sealed byte) []byte {
	b := binary.BigEndian.AppendUint32([]byte{sender}, number)
	return append(binary.BigEndian.AppendUint16(b, at), by, sealed)
}

// Whatever comes into sight, changed frames under a right checksum included, a
// content that is handed out is the one that its frames name, and two rounds of
// unchanged frames bring any content across all the same.
func FuzzReceiver(f *testing.F) {
	contents := [][]byte{content(1, 1), content(2, 300), content(3, 900), content(3, 900), content(4, 2500)}
	var senders []*frames.Sender
	for i, room := range []int{80, 80, 120, 90, 400} {
		senders = append(senders, sender(f, contents[i], room))
	}
	var rounds, mixed, lies []byte
	for number := range uint32(12) {
		rounds = append(rounds, sight(1, 3+number, 0, 0, 0)...)
		mixed = append(mixed, sight(byte(number%5), number/2, 0, 0, 0)...)
		lies = append(lies, sight(2, number, uint16(9+number), 1<<(number%8), 1)...)
	}
	f.Add(rounds)
	f.Add(mixed)
	f.Add(lies)
	f.Add(sight(4, 1<<31, 600, 0xff, 0))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, script []byte) {
		var r frames.Receiver
		whole := make([]bool, len(senders))
		see := func(i int, frame []byte) {
			p, err := r.Add(frame)
			if err != nil {
				if lack := enginetest.Untold(err); lack != "" {
					t.Fatal(lack)
				}
				return
			}
			if p.Have > p.Need || p.Need < 1 || p.Need > frames.MaxBlocks {
				t.Fatalf("%d of %d frames", p.Have, p.Need)
			}
			if p.Content == nil {
				return
			}
			if sum := sha256.Sum256(p.Content); !bytes.Equal(sum[:8], frame[1:9]) {
				t.Fatalf("%x is handed out as the content of %x", p.Content, frame)
			}
			whole[i] = whole[i] || bytes.Equal(p.Content, contents[i])
		}
		for n := 0; len(script) >= 9 && n < 300; n++ {
			i := int(script[0]) % len(senders)
			frame := senders[i].Frame(binary.BigEndian.Uint32(script[1:]))
			frame[int(binary.BigEndian.Uint16(script[5:]))%len(frame)] ^= script[7]
			if script[8]&1 == 1 {
				frame = reseal(frame)
			}
			see(i, frame)
			script = script[9:]
		}
		for i, s := range senders {
			for n := range 2 * s.Blocks() {
				see(i, s.Frame(uint32(n%s.Blocks())))
			}
			if !whole[i] {
				t.Fatalf("content %d did not arrive", i)
			}
		}
	})
}
