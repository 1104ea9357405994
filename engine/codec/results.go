package codec

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"slices"

	"keelcard/engine"
	"keelcard/engine/codec/rangecoder"
	"keelcard/engine/sorting"
)

// Limits of a results message.
const (
	MaxRows    = 20_000
	MaxClasses = 100
	MaxTeams   = 20_000
	MaxCells   = 500_000    // rows times classes
	MaxPoints  = 10_000_000 // hundredths of a point in one class
	MaxName    = 200        // bytes of a title or name
)

// ClassHead is one class of a results message.
type ClassHead struct {
	Name string
	Max  int // most points of the class, in hundredths
}

// Row is one contestant of a results message.
type Row struct {
	Number   int     // contestant number, below 2^32
	Team     int     // 1 for the first team, 0 for none
	Division int     // 1 for the first division, 0 for none
	Points   []int32 // by class, hundredths of a point, -1 for none
	Penalty  int     // hundredths of a point that are taken off the total
	Rank     int     // place among all, 1 is best; equal for a shared place, 0 for none
}

// Total is the sum of the row's points less the penalty, in hundredths, and not
// below 0.
func (r Row) Total() int64 {
	var sum int64
	for _, p := range r.Points {
		sum += int64(max(p, 0))
	}
	return max(sum-int64(r.Penalty), 0)
}

// Results is what a results message carries: enough to show points, totals and
// ranks without the contest. Totals are not sent but summed. Ranks are sent
// exactly, at hardly any cost: where they follow from the totals only the order
// within a tie is written, and whether the place is shared. Names of contestants
// are not part of it. A message without texts is smallest; rows sorted by number
// are, too.
type Results struct {
	Title, Date string
	Classes     []ClassHead
	Rows        []Row
	Teams       []string // names; empty when they are not sent
	Divisions   []string // names; empty when they are not sent
	TeamBest    int      // how many of a team's members count, 0 for all
	TeamRanks   []int    // place of each team, as in Row; empty when teams are not ranked
	TieOrder    []int    // class indexes in the order in which they break ties
}

const (
	resultsMagic   = "KR"
	resultsVersion = 1
	flagTexts      = 1 // title, date and names are in the message
	flagPenalties  = 2 // some row has a penalty
	flagsKnown     = flagTexts | flagPenalties
)

// EncodeResults writes a results message:
//
//	"KR"  version in the upper half, flags in the lower (1)  stream  CRC-32 of all before it, little endian
//
// Codes: CodeResults, CodeTooLarge.
func EncodeResults(r Results) ([]byte, error) {
	if err := checkResults(&r); err != nil {
		return nil, err
	}
	return encodeResults(&r), nil
}

func encodeResults(r *Results) []byte {
	flags := byte(0)
	if r.texts() {
		flags |= flagTexts
	}
	if slices.ContainsFunc(r.Rows, func(row Row) bool { return row.Penalty != 0 }) {
		flags |= flagPenalties
	}
	var best []byte
	for pull := range byte(pulls) {
		if b := writeResults(r, flags, pull); best == nil || len(b) < len(best) {
			best = b
		}
	}
	return best
}

func writeResults(r *Results, flags, pull byte) []byte {
	c := rangecoder.NewWriter()
	newResultsModel(r).results(c, flags, pull)
	b := append([]byte(resultsMagic), resultsVersion<<4|flags)
	b = append(b, c.Bytes()...)
	return binary.LittleEndian.AppendUint32(b, crc32.ChecksumIEEE(b))
}

// texts says whether there is anything but numbers.
func (r *Results) texts() bool {
	return r.Title != "" || r.Date != "" || len(r.Teams) > 0 || len(r.Divisions) > 0 ||
		slices.ContainsFunc(r.Classes, func(c ClassHead) bool { return c.Name != "" })
}

// DecodeResults reads a results message, or its text form with anything around
// it. Codes: CodeNotOurs, CodeShort, CodeChecksum, CodeNewer, CodeTooLarge,
// CodeMalformed.
func DecodeResults(b []byte) (Results, error) {
	b, err := unwrap(b, Message)
	if err != nil {
		return Results{}, err
	}
	head := len(resultsMagic) + 1
	if len(b) < head+crc32.Size {
		return Results{}, short()
	}
	kind, end := b[head-1], len(b)-crc32.Size
	if kind>>4 == 0 {
		return Results{}, malformed("version", "there is no version 0", nil)
	}
	if v := kind >> 4; v != resultsVersion {
		return Results{}, newer(fmt.Sprintf("the results have version %d, this one reads %d", v, resultsVersion))
	}
	if flags := kind & 15; flags > flagsKnown {
		return Results{}, newer(fmt.Sprintf("the results are marked in a way not known here (flags %04b)", flags))
	}
	if binary.LittleEndian.Uint32(b[end:]) != crc32.ChecksumIEEE(b[:end]) {
		return Results{}, checksum()
	}
	var r Results
	c := rangecoder.NewReader(b[head:end])
	m := newResultsModel(&r)
	m.results(c, kind, 0)
	if m.err == nil && c.End() != nil {
		m.err = malformed("results", "there are more or fewer bytes than results", c.End())
	}
	if m.err == nil {
		if err := checkResults(&r); err != nil {
			m.err = malformed("results", "they hold something that cannot be", err)
		}
	}
	if m.err == nil && string(encodeResults(&r)) != string(b) {
		m.err = malformed("results", "they are not written the way Keelcard writes them", nil)
	}
	if m.err != nil {
		return Results{}, m.err
	}
	return r, nil
}

// checkResults holds results to the limits and to themselves.
func checkResults(r *Results) error {
	bad := func(where, what string) error {
		return engine.New(CodeResults, where, what, "the results cannot be sent as they are")
	}
	if err := checkSizes(r); err != nil {
		return err
	}
	if r.TeamBest < 0 || r.TeamBest > MaxTeams {
		return bad("", fmt.Sprintf("%d members of a team cannot count", r.TeamBest))
	}
	for i, c := range r.Classes {
		if c.Max < 0 || c.Max > MaxPoints {
			return bad(fmt.Sprintf("class %d", i+1), fmt.Sprintf("%d hundredths are no most points", c.Max))
		}
	}
	for i, t := range r.TieOrder {
		if t < 0 || t >= len(r.Classes) {
			return bad(fmt.Sprintf("tie order, place %d", i+1), fmt.Sprintf("there is no class %d", t))
		}
	}
	for i := range r.Rows {
		row := &r.Rows[i]
		where := fmt.Sprintf("row %d, contestant %d", i+1, row.Number)
		switch {
		case row.Number < 0 || row.Number > 1<<32-1:
			return bad(where, "this is no contestant number")
		case row.Team < 0 || row.Team > MaxTeams || len(r.Teams) > 0 && row.Team > len(r.Teams):
			return bad(where, fmt.Sprintf("there is no team %d", row.Team))
		case row.Division < 0 || row.Division > MaxClasses || len(r.Divisions) > 0 && row.Division > len(r.Divisions):
			return bad(where, fmt.Sprintf("there is no division %d", row.Division))
		case row.Rank < 0 || row.Rank > len(r.Rows):
			return bad(where, fmt.Sprintf("%d is no rank among %d", row.Rank, len(r.Rows)))
		case row.Penalty < 0 || row.Penalty > MaxPoints:
			return bad(where, fmt.Sprintf("%d hundredths are no penalty", row.Penalty))
		case len(row.Points) != len(r.Classes):
			return bad(where, fmt.Sprintf("points of %d classes, there are %d", len(row.Points), len(r.Classes)))
		}
		for _, p := range row.Points {
			if p < -1 || p > MaxPoints {
				return bad(where, fmt.Sprintf("%d hundredths are no points", p))
			}
		}
	}
	for i, rank := range r.TeamRanks {
		if rank < 0 || rank > len(r.TeamRanks) {
			return bad(fmt.Sprintf("team %d", i+1), fmt.Sprintf("%d is no rank among %d", rank, len(r.TeamRanks)))
		}
	}
	return nil
}

func checkSizes(r *Results) error {
	for _, size := range []struct {
		what      string
		got, most int
	}{
		{"contestants", len(r.Rows), MaxRows},
		{"classes", len(r.Classes), MaxClasses},
		{"classes that break ties", len(r.TieOrder), MaxClasses},
		{"entries", len(r.Rows) * len(r.Classes), MaxCells},
		{"teams", max(len(r.Teams), len(r.TeamRanks)), MaxTeams},
		{"divisions", len(r.Divisions), MaxClasses},
	} {
		if size.got > size.most {
			return tooLarge(size.what, uint64(size.got), uint64(size.most))
		}
	}
	for _, s := range r.names() {
		if len(*s) > MaxName {
			return tooLarge("bytes of one name", uint64(len(*s)), MaxName)
		}
	}
	return nil
}

// names points to all texts in the order in which they are written.
func (r *Results) names() []*string {
	names := []*string{&r.Title, &r.Date}
	for i := range r.Classes {
		names = append(names, &r.Classes[i].Name)
	}
	for i := range r.Teams {
		names = append(names, &r.Teams[i])
	}
	for i := range r.Divisions {
		names = append(names, &r.Divisions[i])
	}
	return names
}

// teamTotals sums for each ranked team the totals of its members that count.
func (r *Results) teamTotals() []int64 {
	members := make([][]int64, len(r.TeamRanks))
	for _, row := range r.Rows {
		if row.Team > 0 && row.Team <= len(members) {
			members[row.Team-1] = append(members[row.Team-1], row.Total())
		}
	}
	sums := make([]int64, len(members))
	for i, m := range members {
		sorting.Ascending(m)
		if r.TeamBest > 0 && len(m) > r.TeamBest {
			m = m[len(m)-r.TeamBest:]
		}
		for _, t := range m {
			sums[i] += t
		}
	}
	return sums
}
