package seal_test

import (
	"bytes"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"keelcard/engine"
	"keelcard/engine/record"
	"keelcard/engine/seal"
)

var (
	phoneKey = seal.PhoneKey(signer(4).Seed())
	phone    = record.PhoneOf(signs(4))
)

// keys are those of an official in turn 2.
func keys() seal.Keys {
	secret := owner.Secret(fair, 2)
	return seal.Keys{Ring: owner.Ring(fair), Secret: &secret}
}

func sealKeys(t testing.TB, k seal.Keys) []byte {
	t.Helper()
	sealed, err := phoneKey.Public().SealKeys(random(9), fair, phone, 2, k)
	if err != nil {
		t.Fatal(err)
	}
	return sealed
}

func TestKeysComeBack(t *testing.T) {
	for _, k := range []seal.Keys{{}, {Ring: owner.Ring(fair)}, keys()} {
		if got, err := phoneKey.OpenKeys(fair, phone, 2, sealKeys(t, k)); err != nil || !reflect.DeepEqual(got, k) {
			t.Errorf("%+v, %v", got, err)
		}
	}
}

func TestKeysOfOnePhone(t *testing.T) {
	good := sealKeys(t, keys())
	refused := func(name string, k seal.Key, contest record.ContestID, phone record.PhoneID, turn uint32, sealed []byte) {
		t.Helper()
		if got, err := k.OpenKeys(contest, phone, turn, sealed); engine.CodeOf(err) != seal.CodeClosed || got != (seal.Keys{}) {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
	refused("another phone's key", seal.PhoneKey(signer(5).Seed()), fair, phone, 2, good)
	refused("said of another phone", phoneKey, fair, record.PhoneOf(signs(5)), 2, good)
	refused("another contest", phoneKey, record.ContestID{9}, phone, 2, good)
	refused("an earlier turn", phoneKey, fair, phone, 1, good)
	refused("a later turn", phoneKey, fair, phone, 3, good)
	refused("longer", phoneKey, fair, phone, 2, append(bytes.Clone(good), 0))
	for n := range good {
		refused("cut", phoneKey, fair, phone, 2, good[:n])
	}
	for bit := 0; bit < 8*len(good); bit += stride(11) {
		refused("changed", phoneKey, fair, phone, 2, flip(good, bit))
	}
}

// One message of the app brings 32 random bytes, for all phones of a new turn.
func TestRandomBytesServeForSeveralPhones(t *testing.T) {
	ephemeral := map[string]bool{}
	for _, n := range []byte{4, 5} {
		for _, k := range []seal.Keys{keys(), {Ring: owner.Ring(fair)}} {
			for turn := range uint32(2) {
				sealed, err := seal.PhoneKey(signer(n).Seed()).Public().SealKeys(random(9), fair, record.PhoneOf(signs(n)), turn, k)
				if err != nil {
					t.Fatal(err)
				}
				ephemeral[string(sealed[:32])] = true
			}
		}
	}
	if len(ephemeral) != 8 {
		t.Errorf("%d keys for 8 messages", len(ephemeral))
	}
	if !bytes.Equal(sealKeys(t, keys()), sealKeys(t, keys())) {
		t.Error("the same random bytes give something else")
	}
}

func TestNoKeys(t *testing.T) {
	if _, err := (seal.Public{}).SealKeys(random(1), fair, phone, 1, keys()); engine.CodeOf(err) != seal.CodeKey {
		t.Errorf("a phone without a key to seal to: %v", err)
	}
	for _, n := range []int{0, 31, 33, 63, 65, 96} {
		sealed, err := phoneKey.Public().Seal(random(1), seal.KeysInfo(fair, phone, 2), nil, make([]byte, n))
		if err != nil {
			t.Fatal(err)
		}
		if got, err := phoneKey.OpenKeys(fair, phone, 2, sealed); engine.CodeOf(err) != seal.CodeMalformed || got != (seal.Keys{}) {
			t.Errorf("%d bytes: %+v, %v", n, got, err)
		}
	}
}

func TestKeysOfAnyTurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		contest, turn := record.ContestID(rapid.SliceOfN(rapid.Byte(), 8, 8).Draw(t, "contest")), rapid.Uint32().Draw(t, "turn")
		key := seal.PhoneKey(rapid.SliceOfN(rapid.Byte(), 32, 32).Draw(t, "seed"))
		k := seal.Keys{Ring: owner.Ring(contest)}
		if rapid.Bool().Draw(t, "official") {
			secret := owner.Secret(contest, turn)
			k.Secret = &secret
		}
		sealed, err := key.Public().SealKeys([32]byte(rapid.SliceOfN(rapid.Byte(), 32, 32).Draw(t, "random")), contest, phone, turn, k)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := key.OpenKeys(contest, phone, turn, sealed); err != nil || !reflect.DeepEqual(got, k) {
			t.Fatalf("%+v, %v", got, err)
		}
		if got, err := key.OpenKeys(contest, phone, turn+1, sealed); err == nil {
			t.Fatalf("in another turn: %+v", got)
		}
	})
}

func FuzzReadKeys(f *testing.F) {
	f.Add(keys().Write())
	f.Add(seal.Keys{}.Write())
	f.Add(make([]byte, 33))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, b []byte) {
		got, err := seal.ReadKeys(b)
		if err != nil {
			if engine.CodeOf(err) != seal.CodeMalformed {
				t.Errorf("%v", err)
			}
		} else if again := got.Write(); !bytes.Equal(again, b) {
			t.Errorf("%x was accepted and is written as %x", b, again)
		}
	})
}
