package record_test

import (
	"strings"
	"testing"

	"keelcard/engine/enginetest"
	"keelcard/engine/record"
)

// Whatever reads as the number of a phone or a contest is written as it was, but
// for dashes and the case of its letters.
func FuzzIDs(f *testing.F) {
	for _, s := range []string{record.PhoneID{1, 0xab}.String(), "0102030405060708", "ABCDEFabcdef0123", "", "01020304050607", "010203040506070x", " 102030405060708"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		phone, err := record.ParsePhoneID(text)
		fair, err2 := record.ParseContestID(text)
		for _, err := range []error{err, err2} {
			if err != nil {
				if lack := enginetest.Untold(err); lack != "" {
					t.Fatal(lack)
				}
			}
		}
		digits := func(s string) string { return strings.ToLower(strings.ReplaceAll(s, "-", "")) }
		if err == nil && digits(phone.String()) != digits(text) || err2 == nil && fair.String() != strings.ToLower(text) {
			t.Fatalf("%q is phone %v and contest %v", text, phone, fair)
		}
	})
}
