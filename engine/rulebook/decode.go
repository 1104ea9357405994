package rulebook

import (
	"encoding/json"

	"keelcard/engine"
)

// Decode reads a book from its file.
func Decode(data []byte) (*Book, error) {
	var b Book
	if err := json.Unmarshal(data, &b); err != nil {
		return nil, engine.New("rulebook.syntax", "", err.Error(), "")
	}
	return &b, nil
}

// Encode gives the canonical form of the book.
func (b *Book) Encode() []byte {
	out, _ := json.Marshal(b)
	return out
}
