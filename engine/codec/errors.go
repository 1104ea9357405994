package codec

import (
	"fmt"

	"keelcard/engine"
)

// Codes of the errors of this package.
const (
	CodeNotOurs   engine.Code = "codec.not-ours"  // no Keelcard file at all
	CodeShort     engine.Code = "codec.short"     // the end is missing
	CodeChecksum  engine.Code = "codec.checksum"  // changed on the way
	CodeNewer     engine.Code = "codec.newer"     // made by a later version
	CodeTooLarge  engine.Code = "codec.too-large" // beyond a limit of this package
	CodeMalformed engine.Code = "codec.malformed" // whole, but not as this version writes it
	CodeRecord    engine.Code = "codec.record"    // a record that cannot be
	CodeSignature engine.Code = "codec.signature" // records that are not those their phone signed
	CodeUnsigned  engine.Code = "codec.unsigned"  // a log to be handed over is not signed
	CodeResults   engine.Code = "codec.results"   // results that cannot be written
)

const askAgain = "ask for it to be sent again, as a file if it came as text; nothing was taken over"

func notOurs(what string) error {
	return engine.New(CodeNotOurs, "", what, "choose a file that was exported by Keelcard")
}

func short() error {
	return engine.New(CodeShort, "", "the end of the file is missing", askAgain)
}

func checksum() error {
	return engine.New(CodeChecksum, "", "the file was changed on the way: its checksum does not fit", askAgain)
}

func newer(what string) error {
	return engine.New(CodeNewer, "", "the file was made by a newer Keelcard: "+what,
		"update this phone, or ask for an export from the older version")
}

func tooLarge(what string, got, most uint64) error {
	return engine.New(CodeTooLarge, "", fmt.Sprintf("%d %s, at most %d are taken in", got, what, most),
		"check that this is the right file; nothing was taken over")
}

func malformed(where, what string, cause error) error {
	return &engine.Error{Code: CodeMalformed, Where: where, What: what, Fix: askAgain, Cause: cause}
}
