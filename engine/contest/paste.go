package contest

import (
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"keelcard/engine"
)

// Limits of a paste.
const (
	MaxPaste     = 4 << 20 // bytes
	MaxPasteRows = 50_000
)

// Pasted is a list of contestants read from text, before anything is written.
type Pasted struct {
	Rows   []PastedRow
	Header bool // the first line named the columns and is not a contestant
}

// PastedRow is one line of a paste: a contestant, or a fault.
type PastedRow struct {
	Line     int    // counted from 1 in the text
	Text     string // the line's cells as they stood
	Person   Person // with Team 0: the team is known by name only
	TeamName string
	Fault    *engine.Error // nil for a good line
}

// Good counts the lines without a fault.
func (p Pasted) Good() int {
	n := 0
	for _, r := range p.Rows {
		if r.Fault == nil {
			n++
		}
	}
	return n
}

// column names, by the first word of a heading
var columns = map[string]int{
	"number": colNumber, "no": colNumber, "no.": colNumber, "nr": colNumber, "#": colNumber, "contestant": colNumber, "id": colNumber,
	"name": colName, "contestant name": colName, "full name": colName,
	"first": colFirst, "first name": colFirst, "given name": colFirst,
	"last": colLast, "last name": colLast, "surname": colLast, "family name": colLast,
	"team": colTeam, "team name": colTeam, "club": colTeam, "chapter": colTeam, "county": colTeam,
	"division": colDivision, "age": colDivision, "age group": colDivision, "group": colDivision,
}

const (
	colNumber = iota
	colName
	colFirst
	colLast
	colTeam
	colDivision
	colCount
)

// ParsePeople reads contestants pasted from a spreadsheet or typed one a line:
// cells apart by tabs, semicolons or commas, in the order number, name, team,
// division, or in the order a heading gives. Every line that cannot be used
// carries its fault; a line is never dropped. The error is about the text as
// a whole.
func ParsePeople(text string) (Pasted, error) {
	if len(text) > MaxPaste {
		return Pasted{}, engine.New("paste.large", "", fmt.Sprintf("the text has %d million letters", len(text)>>20), "paste at most 50,000 lines at a time")
	}
	text = strings.TrimPrefix(text, "\ufeff")
	if !utf8.ValidString(text) {
		return Pasted{}, engine.New("paste.encoding", "", "the text is not in UTF-8, so names would come out wrong", "save the sheet as CSV UTF-8, or copy the cells and paste them")
	}
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	if strings.TrimSpace(text) == "" {
		return Pasted{}, engine.New("paste.empty", "", "there is nothing in it", "copy the cells with number, name, team and division, and paste them here")
	}
	r := csv.NewReader(strings.NewReader(text))
	r.Comma = separator(text)
	r.FieldsPerRecord = -1
	r.LazyQuotes = true
	r.TrimLeadingSpace = r.Comma != '\t'

	var out Pasted
	order := []int{colNumber, colName, colTeam, colDivision}
	seen := map[uint32]int{}
	for {
		cells, err := r.Read()
		if err != nil {
			break // the end: with lazy quotes there is no line that cannot be read
		}
		line, _ := r.FieldPos(0)
		if blank(cells) {
			continue
		}
		if len(out.Rows) == 0 && !out.Header {
			if named, ok := heading(cells); ok {
				order, out.Header = named, true
				continue
			}
		}
		if len(out.Rows) >= MaxPasteRows {
			return Pasted{}, engine.New("paste.large", lineName(line), "there are more than 50,000 lines", "paste them in parts")
		}
		row := readRow(line, cells, order)
		if first, twice := seen[row.Person.Number]; twice && row.Fault == nil {
			row.Fault = engine.New("paste.number-twice", lineName(line), fmt.Sprintf("number %d is already in line %d", row.Person.Number, first), "give each contestant a number of their own")
		}
		if row.Fault == nil {
			seen[row.Person.Number] = line
		}
		out.Rows = append(out.Rows, row)
	}
	if len(out.Rows) == 0 {
		return Pasted{}, engine.New("paste.empty", "", "there is only a heading in it", "paste the lines below it as well")
	}
	return out, nil
}

func lineName(n int) string { return "line " + strconv.Itoa(n) }

// separator finds what sets cells apart: a tab if there is one, else whichever
// of semicolon and comma is more common in the first line.
func separator(text string) rune {
	first, _, _ := strings.Cut(text, "\n")
	switch {
	case strings.ContainsRune(text, '\t'):
		return '\t'
	case strings.Count(first, ";") > strings.Count(first, ","):
		return ';'
	}
	return ','
}

func blank(cells []string) bool {
	for _, c := range cells {
		if strings.TrimSpace(c) != "" {
			return false
		}
	}
	return true
}

// heading reads a line of column names. It is one when its cells hold no
// number and at least the name or the number column is among them.
func heading(cells []string) ([]int, bool) {
	order := make([]int, len(cells))
	known := false
	for i, c := range cells {
		c = strings.ToLower(strings.TrimSpace(c))
		if _, err := strconv.Atoi(c); err == nil {
			return nil, false
		}
		col, ok := columns[c]
		if !ok {
			col = -1
		}
		order[i] = col
		known = known || ok && col != colTeam && col != colDivision
	}
	return order, known
}

func readRow(line int, cells []string, order []int) PastedRow {
	var v [colCount]string
	for i, c := range cells {
		if i < len(order) && order[i] >= 0 {
			v[order[i]] = strings.Join(strings.Fields(c), " ")
		}
	}
	row := PastedRow{Line: line, Text: strings.Join(cells, " · "), TeamName: v[colTeam]}
	name := v[colName]
	if name == "" {
		name = strings.TrimSpace(v[colFirst] + " " + v[colLast])
	}
	row.Person = Person{Name: name, Division: v[colDivision]}
	number, err := strconv.ParseUint(strings.TrimPrefix(v[colNumber], "#"), 10, 32)
	switch {
	case strings.Contains(row.Text, "\n"):
		row.Fault = engine.New("paste.lines", lineName(line), "a cell goes on over the end of the line, so contestants may have run into one", "close the quotation mark it begins with, or take it out")
	case v[colNumber] == "":
		row.Fault = engine.New("paste.no-number", lineName(line), "there is no contestant number", "put the number in the first cell")
	case err != nil || number == 0 || number > MaxNumber:
		row.Fault = engine.New("paste.number", lineName(line), fmt.Sprintf("%q is no contestant number", v[colNumber]), fmt.Sprintf("use a whole number from 1 to %d", MaxNumber))
	case len([]rune(name)) > MaxText || len([]rune(row.TeamName)) > MaxText || len([]rune(v[colDivision])) > MaxText:
		row.Fault = engine.New("paste.long", lineName(line), fmt.Sprintf("a cell is longer than %d letters", MaxText), "shorten it")
	case !plain(name + row.TeamName + v[colDivision]):
		row.Fault = engine.New("paste.text", lineName(line), "it holds something that cannot be shown", "write the line again")
	default:
		row.Person.Number = uint32(number)
	}
	return row
}
