package codec

// resultsMagic begins a results message.
const resultsMagic = "KR"

// ClassHead is one class of a results message.
type ClassHead struct {
	Name string
	Max  int // most points of the class, in hundredths
}

// Row is one contestant of a results message.
type Row struct {
	Number   int     // contestant number
	Team     int     // 1 for the first of Teams, 0 for none
	Division int     // 1 for the first of Divisions, 0 for none
	Points   []int32 // by class, hundredths of a point, -1 for none
	Rank     int     // place among all, 1 is best; equal for a shared place, 0 for none
}

// Results is what a results message carries. Names of contestants are not part of it.
type Results struct {
	Title, Date string
	Classes     []ClassHead
	Rows        []Row
	Teams       []string
	Divisions   []string
	TieOrder    []int // class indexes in the order in which they break ties
}

// EncodeResults writes a results message.
func EncodeResults(r Results) ([]byte, error) { return nil, nil }

// DecodeResults reads a results message.
func DecodeResults(b []byte) (Results, error) { return Results{}, nil }
