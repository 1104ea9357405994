package tree_test

import (
	"bytes"
	"encoding/json"
	"testing"

	"keelcard/engine"
	"keelcard/engine/tree"
)

// Whatever is read into an object is written as encoding/json reads it, and reads
// back as it is written.
func FuzzRead(f *testing.F) {
	for _, s := range []string{`{}`, `null`, `[]`, `{"text":1}`, `{"text":"a","text":"b"}`, `{"list":[null,{}],"pairs":{"a":null},"form":"<>"}`,
		`{"form":"<a>","int":-1,"long":9223372036854775807,"small":4294967296,"octets":[1,2,3],"cuts":[256,0,0],"bytes":"AA==","maybe":null,"one":{"name":"n","list":[{"list":[]}]}}`} {
		f.Add([]byte(s))
	}
	for seed := range 4 {
		v := anything.Example(seed)
		f.Add(tree.Write(&v))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var v everything
		err := tree.Read(data, &v)
		if !json.Valid(data) && err == nil {
			t.Fatal("what is not JSON was read")
		}
		if err != nil {
			if engine.CodeOf(err) == "" {
				t.Fatalf("an error without a code: %v", err)
			}
			return
		}
		written := tree.Write(&v)
		checkRead(t, written)
		var again everything
		if err := tree.Read(written, &again); err != nil || !bytes.Equal(tree.Write(&again), written) {
			t.Fatalf("%s is written as %s, and that as %s, %v", data, written, tree.Write(&again), err)
		}
	})
}
