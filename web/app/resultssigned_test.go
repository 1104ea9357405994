package app_test

import (
	"encoding/base64"
	"encoding/binary"
	"hash/crc32"
	"strings"
	"testing"

	"keelcard/engine/codec"
	"keelcard/web/app"
)

// linkOf gives the link to the results, as this phone sends it.
func linkOf(t *testing.T, r *app.Runner) string {
	t.Helper()
	r.Shown = nil
	r.Do("share.link")
	if len(r.Shown) == 0 {
		t.Fatalf("no link: %+v", r.State.Notice)
	}
	return r.Shown[len(r.Shown)-1].(app.ShareText).Hash
}

func packedIn(t *testing.T, hash string) []byte {
	t.Helper()
	b, err := base64.RawURLEncoding.DecodeString(hash[strings.LastIndexByte(hash, '/')+1:])
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestALinkTellsWhoSignedIt(t *testing.T) {
	r := demoPhone(t)
	r.Do("share.sign:on")
	hash := linkOf(t, r)
	if size, err := r.State.LinkSize(); err != nil || size != len(packedIn(t, hash)) {
		t.Errorf("said to carry %d bytes, carries %d, %v", size, len(packedIn(t, hash)), err)
	}
	other := newPhone(t, 9, "")
	other.Visit(hash)
	by, ok := other.State.SignedBy()
	if !ok || by.Signature.Who != r.State.Phone.Initials || by.Phone != r.State.Phone.ID || by.Contest != r.State.Open.Set.Contest || by.When == 0 || by.Here || by.Who != "" {
		t.Errorf("signed by %+v, %v", by, ok)
	}
	r.Visit(hash)
	if by, ok := r.State.SignedBy(); !ok || !by.Here {
		t.Errorf("on the phone itself: %+v, %v", by, ok)
	}
}

func TestALinkIsKnownByTheContest(t *testing.T) {
	r := demoPhone(t)
	hash := linkOf(t, r)
	r.Do("hand-over.save")
	file := r.Shown[len(r.Shown)-1].(app.Offer)
	other := newPhone(t, 9, "NC")
	other.Visit("#/take-in")
	other.Send(app.Msg{Do: "file", Args: []string{"take-in", file.Name}, Bytes: file.Bytes})
	other.Do("take-in.accept")
	if other.State.Open == nil {
		t.Fatalf("not taken in: %+v", other.State.Notice)
	}
	other.Visit(hash)
	if by, ok := other.State.SignedBy(); !ok || by.Here || by.Who != "owner/MB" {
		t.Errorf("%+v, %v", by, ok)
	}
}

func TestAnAlteredLinkIsRefused(t *testing.T) {
	r := demoPhone(t)
	b := packedIn(t, linkOf(t, r))
	message, err := r.State.Packed()
	if err != nil {
		t.Fatal(err)
	}
	// Another result, whole in itself, in place of the signed one.
	results, err := codec.DecodeResults(message)
	if err != nil {
		t.Fatal(err)
	}
	results.Rows[0].Points[0] = 0
	better, err := codec.EncodeResults(results)
	if err != nil {
		t.Fatal(err)
	}
	at := strings.Index(string(b), string(message))
	b = append(append(b[:at:at], better...), b[at+len(message):len(b)-4]...)
	b = binary.LittleEndian.AppendUint32(b, crc32.ChecksumIEEE(b))
	other := newPhone(t, 9, "")
	other.Visit(app.Page{Name: "results-link", Args: []string{base64.RawURLEncoding.EncodeToString(b)}}.Hash())
	if other.State.Results.Opened != nil || !strings.Contains(other.State.Results.Fault.Text, "not the results that were signed") || other.State.Results.Fault.Fix == "" {
		t.Errorf("%+v", other.State.Results.Fault)
	}
}

func TestALinkWithoutASignature(t *testing.T) {
	for name, r := range map[string]*app.Runner{"not wanted": demoPhone(t), "nobody": demoPhone(t)} {
		r.Do("share.sign:off")
		if name == "nobody" {
			r.Do("share.sign:on")
			r.Type("phone.initials", "")
		}
		hash := linkOf(t, r)
		if size, err := r.State.LinkSize(); err != nil || size != len(packedIn(t, hash)) {
			t.Errorf("%s: said to carry %d bytes, carries %d, %v", name, size, len(packedIn(t, hash)), err)
		}
		other := newPhone(t, 9, "")
		other.Visit(hash)
		if by, ok := other.State.SignedBy(); ok || other.State.Results.Opened == nil {
			t.Errorf("%s: signed by %+v", name, by)
		}
	}
}
