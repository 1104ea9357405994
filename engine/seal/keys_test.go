package seal_test

import (
	"reflect"
	"testing"

	"keelcard/engine/record"
	"keelcard/engine/seal"
)

func TestKeysComeBack(t *testing.T) {
	key, phone, secret := seal.PhoneKey(signer(4).Seed()), record.PhoneOf(signs(4)), owner.Secret(fair, 2)
	for _, k := range []seal.Keys{{Ring: owner.Ring(fair)}, {Ring: owner.Ring(fair), Secret: &secret}} {
		sealed, err := key.Public().SealKeys(random(9), fair, phone, 2, k)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := key.OpenKeys(fair, phone, 2, sealed); err != nil || !reflect.DeepEqual(got, k) {
			t.Errorf("%+v, %v", got, err)
		}
	}
}
