package codec

// What the tests use to write files that the package itself would not write.
var (
	EncodeUnchecked = encodeBundle
	AppendSection   = appendSection
)

// WriteResults writes results that were not checked, with given flags and pull.
func WriteResults(r Results, flags, pull byte) []byte { return writeResults(&r, flags, pull) }
