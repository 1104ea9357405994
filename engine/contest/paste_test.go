package contest_test

import (
	"strconv"
	"strings"
	"testing"

	"keelcard/engine"
	"keelcard/engine/contest"
	"keelcard/engine/enginetest"
)

func TestParsePeople(t *testing.T) {
	for _, tc := range []struct {
		name, text string
		want       []string // number|name|team|division, or the code of the fault
	}{
		{"commas", "1,Ana Birch,Oak Hollow,Junior\n2,Ben Cole,Oak Hollow,Senior", []string{"1|Ana Birch|Oak Hollow|Junior", "2|Ben Cole|Oak Hollow|Senior"}},
		{"tabs from a sheet", "No.\tFirst\tLast\tClub\r\n7\tAna\tBirch\tOak Hollow\r\n", []string{"7|Ana Birch|Oak Hollow|"}},
		{"semicolons", "Name;Number;Age group\nAna Birch;12;Junior", []string{"12|Ana Birch||Junior"}},
		{"byte order mark and quotes", "\ufeffnumber,name\n3,\"Birch, Ana\"", []string{"3|Birch, Ana||"}},
		{"numbers only", "101\n102", []string{"101|||", "102|||"}},
		{"a hash before the number", "#5,Ana", []string{"5|Ana||"}},
		{"blank lines are passed over", "1,Ana\n\n ,\n2,Ben", []string{"1|Ana||", "2|Ben||"}},
		{"unknown columns are passed over", "number,shirt,name\n1,XL,Ana", []string{"1|Ana||"}},
		{"faults stay in their line", "1,Ana\nx,Ben\n0,Cy\n,Di\n1,Ed\n2,Fay", []string{"1|Ana||", "paste.number", "paste.number", "paste.no-number", "paste.number-twice", "2|Fay||"}},
		{"right-to-left name", "4,\u05d0\u05d1\u05d2", []string{"4|\u05d0\u05d1\u05d2||"}},
		{"a line break within a cell", "4,\"Ana\nBirch\"\n5,Ben", []string{"paste.lines", "5|Ben||"}},
		{"a quotation mark that is not closed", "4,Ana\n5,\"Ben\n6,Cy", []string{"4|Ana||", "paste.lines"}},
		{"a quotation mark within a name", "4,Ana \"Bee\" Birch", []string{"4|Ana \"Bee\" Birch||"}},
		{"something that cannot be shown", "4,Ana\x00\n5,Ben,T\x07\n6,Cy,T,\x1b[2J", []string{"paste.text", "paste.text", "paste.text"}},
		{"too long", "4," + strings.Repeat("a", 121), []string{"paste.long"}},
	} {
		p, err := contest.ParsePeople(tc.text)
		if err != nil {
			t.Errorf("%s: %v", tc.name, err)
			continue
		}
		var got []string
		for _, r := range p.Rows {
			if r.Fault != nil {
				got = append(got, string(r.Fault.Code))
				continue
			}
			got = append(got, strings.Join([]string{strconv.Itoa(int(r.Person.Number)), r.Person.Name, r.TeamName, r.Person.Division}, "|"))
		}
		if strings.Join(got, "\n") != strings.Join(tc.want, "\n") {
			t.Errorf("%s: got %q, want %q", tc.name, got, tc.want)
		}
	}
}

func TestGoodLinesAreCounted(t *testing.T) {
	p, err := contest.ParsePeople("1,Ana\nx,Ben\n3,Cy")
	if err != nil {
		t.Fatal(err)
	}
	if got := p.Good(); got != 2 {
		t.Errorf("%d good lines, want 2", got)
	}
}

func TestParsePeopleNamesTheLine(t *testing.T) {
	p, err := contest.ParsePeople("number,name\n1,Ana\n\nzz,Ben")
	if err != nil {
		t.Fatal(err)
	}
	if got := p.Rows[1].Fault.Where; got != "line 4" {
		t.Errorf("the fault is said to be in %q", got)
	}
}

func TestParsePeopleRefusesTheWhole(t *testing.T) {
	for _, tc := range []struct {
		name, text string
		code       engine.Code
	}{
		{"nothing", " \n\t\n", "paste.empty"},
		{"heading alone", "number,name\n", "paste.empty"},
		{"more lines than are taken", strings.Repeat("1\n", contest.MaxPasteRows+1), "paste.large"},
		{"latin-1", "1,Jos\xe9", "paste.encoding"},
		{"too large", strings.Repeat("1,a\n", 2<<20), "paste.large"},
	} {
		if _, err := contest.ParsePeople(tc.text); engine.CodeOf(err) != tc.code {
			t.Errorf("%s: got %v, want code %s", tc.name, err, tc.code)
		}
	}
}

// Whatever is pasted, a line is either a usable contestant or carries a fault.
func FuzzParsePeople(f *testing.F) {
	for _, s := range []string{"1,Ana", "number\tname\n1\tAna", "\"", "1,\"a\nb\",c\n2", ";;;\n", "\ufeff#1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p, err := contest.ParsePeople(text)
		if err != nil {
			if lack := enginetest.Untold(err); lack != "" {
				t.Fatal(lack)
			}
			return
		}
		seen := map[uint32]bool{}
		for _, r := range p.Rows {
			if r.Fault != nil {
				if lack := enginetest.Untold(r.Fault); lack != "" {
					t.Fatal(lack)
				}
				continue
			}
			if r.Person.Number == 0 || seen[r.Person.Number] {
				t.Fatalf("line %d passed with number %d", r.Line, r.Person.Number)
			}
			seen[r.Person.Number] = true
			if _, err := r.Person.Write(); err != nil {
				t.Fatalf("line %d passed and cannot be written: %v", r.Line, err)
			}
		}
	})
}
