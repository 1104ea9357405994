package frames

import (
	"strings"

	"keelcard/engine"
)

// word begins the text of every frame, so that whoever reads one with another
// program sees whose it is.
const word = "KEELCARD"

// alphabet is that of Base45 and of the letters in picture codes.
const alphabet = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"

// Room is how many bytes a frame may have whose text has that many letters.
func Room(letters int) int {
	n := max(0, letters-len(word))
	return n/3*2 + n%3/2
}

// Text writes a frame as letters for a picture code.
func Text(frame []byte) string {
	var b strings.Builder
	b.Grow(len(word) + (len(frame)*3+1)/2)
	b.WriteString(word)
	for len(frame) > 1 {
		n := int(frame[0])<<8 | int(frame[1])
		b.WriteByte(alphabet[n%45])
		b.WriteByte(alphabet[n/45%45])
		b.WriteByte(alphabet[n/2025])
		frame = frame[2:]
	}
	if len(frame) > 0 {
		b.WriteByte(alphabet[frame[0]%45])
		b.WriteByte(alphabet[frame[0]/45])
	}
	return b.String()
}

// Frame reads the text of a picture code. Codes: CodeNotOurs, CodeMalformed.
func Frame(text string) ([]byte, error) {
	letters, ours := strings.CutPrefix(text, word)
	if !ours {
		return nil, engine.New(CodeNotOurs, "", "this is a code of something else", "point the camera at the code on the other phone's Keelcard")
	}
	if len(letters) > MaxContent {
		return nil, malformed("it is too long")
	}
	out := make([]byte, 0, len(letters)/3*2+1)
	for len(letters) > 0 {
		n, scale, most := 0, 1, min(len(letters), 3)
		for _, c := range []byte(letters[:most]) {
			digit := strings.IndexByte(alphabet, c)
			if digit < 0 {
				return nil, malformed("a letter in it cannot be")
			}
			n += digit * scale
			scale *= 45
		}
		switch {
		case most == 3 && n < 1<<16:
			out = append(out, byte(n>>8), byte(n))
		case most == 2 && n < 1<<8:
			out = append(out, byte(n))
		default:
			return nil, malformed("letters of it are missing")
		}
		letters = letters[most:]
	}
	return out, nil
}
