package seal_test

import (
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine/contest"
	"keelcard/engine/record"
	"keelcard/engine/seal"
)

func drawTicket(t *rapid.T) seal.Ticket {
	role := rapid.SampledFrom([]string{contest.Official, contest.Keyer, contest.Coach}).Draw(t, "role")
	ticket := owner.Ticket(fair, role, rapid.Uint32Min(1).Draw(t, "number"), rapid.Uint32().Draw(t, "turn"))
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
