package figure

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"keelcard/engine/amount"
	"keelcard/web/markup"
)

func charts() []markup.Node {
	return []markup.Node{
		Ruler(RulerOptions{ID: "ruler", Length: amount.Inch * 3 / 8, Limit: amount.Inch / 4, Title: "A bare patch"}),
		TailCut(TailCutOptions{ID: "tailcut", Share: amount.Share{Num: 1, Den: 2}, Title: "The cut", CutLabel: "cut"}),
		Coin(CoinOptions{ID: "coin", Depth: amount.Inch / 16, Title: "Depth"}),
		Hens(HensOptions{ID: "hens", Order: [4]uint8{3, 1, 4, 2}, Cuts: [3]uint8{5, 2, 4}, ShowCuts: true, Title: "Placing"}),
		Bars("bars", "Missed", "", []Bar{{"Bird 1", "9 of 12", 750, false}, {"Bird 2", "3 of 12", 250, true}}),
		Dots(DotsOptions{ID: "dots", Values: []int{1, 2, 2}, Most: 10, Title: "Scores", Chosen: 2, ChosenLabel: "you"}),
	}
}

// find lists what pick says of the elements of a class.
func find(n markup.Node, class, attr string) []string {
	var out []string
	n.Walk(func(n markup.Node) {
		for _, c := range strings.Fields(n.Get("class")) {
			if c == class {
				out = append(out, n.Get(attr))
			}
		}
	})
	return out
}

// startX is the x of the first point of a path.
func startX(t *testing.T, d string) int {
	t.Helper()
	x, err := strconv.Atoi(strings.TrimPrefix(strings.Fields(d)[0], "M"))
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func TestChartsHaveATextTwin(t *testing.T) {
	for _, n := range charts() {
		html := markup.String(n)
		if n.Get("role") != "img" || n.Get("aria-labelledby") != n.Get("id")+"-title" || !strings.Contains(html, "<title id=") {
			t.Errorf("%s has no title for a screen reader", n.Get("id"))
		}
	}
	if html := markup.String(charts()[4]); !strings.Contains(html, "Bird 1: 9 of 12; Bird 2: 3 of 12</desc>") {
		t.Errorf("the bars are not told: %s", html)
	}
}

// 1 in is 25.4 mm by definition, so on one ruler an inch mark and 25.4 mm fall together.
func TestRulerIsToScale(t *testing.T) {
	n := Ruler(RulerOptions{ID: "r", Length: 254 * amount.Millimetre / 10, Limit: amount.Inch / 2})
	ends := find(n, "fig-length-end", "d")
	zero, inch := startX(t, ends[0]), startX(t, ends[1])
	half := startX(t, find(n, "fig-limit", "d")[0])
	if got := half - zero; got < (inch-zero)/2-1 || got > (inch-zero)/2+1 {
		t.Errorf("half an inch is %d units, an inch %d", got, inch-zero)
	}
	found := false
	for _, d := range find(n, "fig-tick", "d") {
		found = found || startX(t, d) == inch
	}
	if !found {
		t.Errorf("no inch tick at %d", inch)
	}
	if html := markup.String(n); !strings.Contains(html, "1 in (25.4 mm)") || !strings.Contains(html, "1/2 in (12.7 mm)") {
		t.Errorf("the ruler does not say both units: %s", html)
	}
}

func TestRulerSpan(t *testing.T) {
	for _, c := range []struct{ longest, want amount.Length }{
		{0, amount.Inch / 2}, {amount.Inch / 4, amount.Inch / 2}, {amount.Inch / 2, amount.Inch * 3 / 4}, {amount.Inch * 2, amount.Inch * 5 / 2}, {3, amount.Inch / 2},
	} {
		if got := rulerSpan(c.longest); got != c.want {
			t.Errorf("rulerSpan(%v) = %v, want %v", c.longest, got, c.want)
		}
	}
}

func TestTicksStayApart(t *testing.T) {
	for _, length := range []amount.Length{amount.Inch / 8, amount.Inch, 6 * amount.Inch, 30 * amount.Inch} {
		n := Ruler(RulerOptions{ID: "r", Length: length})
		last := map[string]int{}
		for _, d := range find(n, "fig-tick", "d") {
			edge := strings.Fields(strings.ReplaceAll(d, "L", " "))[1]
			x := startX(t, d)
			if before, ok := last[edge]; ok && x-before < 4 {
				t.Fatalf("%v: ticks at %d and %d", length, before, x)
			}
			last[edge] = x
		}
	}
}

func TestTailCutLiesBetweenItsLines(t *testing.T) {
	y := func(d string) int {
		_, rest, _ := strings.Cut(d, " ")
		n, _ := strconv.Atoi(strings.FieldsFunc(rest, func(r rune) bool { return r == 'L' })[0])
		return n
	}
	for _, c := range []struct {
		share amount.Share
		line  string
		i     int
	}{{amount.Share{Num: 0, Den: 1}, "fig-line", 0}, {amount.Share{Num: 1, Den: 2}, "fig-limit", 0}, {amount.Share{Num: 1, Den: 1}, "fig-line", 1}} {
		n := TailCut(TailCutOptions{ID: "t", Share: c.share})
		cut, line := y(find(n, "fig-length", "d")[0]), y(find(n, c.line, "d")[c.i])
		if cut != line {
			t.Errorf("a cut of %v is drawn at %d, want %d", c.share, cut, line)
		}
	}
}

// A five-cent coin is 1.95 mm thick (United States Mint, coin specifications),
// 1/8 in is 3.175 mm: the gauges differ by 1.2 mm and are drawn so.
func TestCoinIsToScale(t *testing.T) {
	if got := CoinThickness.Millimetres(); got != "1.95 mm" {
		t.Fatalf("the coin is %s thick", got)
	}
	n := Coin(CoinOptions{ID: "c", Depth: amount.Inch / 8})
	height := func(class string) int {
		h, err := strconv.Atoi(find(n, class, "height")[0])
		if err != nil {
			t.Fatal(err)
		}
		return h
	}
	coin, eighth, depth := height("fig-coin-edge"), height("fig-gauge"), height("fig-hollow-box")
	if depth != eighth {
		t.Errorf("1/8 in deep is drawn %d, the gauge %d", depth, eighth)
	}
	if want := (eighth*1950 + 1587) / 3175; coin != want {
		t.Errorf("the coin is drawn %d, want %d beside %d", coin, want, eighth)
	}
}

func TestHensStandInTheirOrder(t *testing.T) {
	html := markup.String(Hens(HensOptions{ID: "h", Order: [4]uint8{3, 1, 4, 2}, Cuts: [3]uint8{5, 2, 4}, ShowCuts: true, Places: [4]string{"first", "second", "third", "fourth"}}))
	at := -1
	for _, want := range []string{">3<", ">first<", ">1<", ">second<", ">4<", ">third<", ">2<", ">fourth<", ">5<", ">2<", ">4<"} {
		i := strings.Index(html[at+1:], want)
		if i < 0 {
			t.Fatalf("%s does not follow", want)
		}
		at += i + 1
	}
	if hidden := markup.String(Hens(HensOptions{ID: "h", Order: [4]uint8{1, 2, 3, 4}, Cuts: [3]uint8{5, 2, 4}})); strings.Contains(hidden, ">5<") {
		t.Error("cuts that are not to be seen are drawn")
	}
}

func TestBarsAreAsLongAsTheirShare(t *testing.T) {
	got := find(Bars("b", "x", "", []Bar{{"a", "", 0, false}, {"b", "", 500, false}, {"c", "", 1000, false}, {"d", "", 2000, false}, {"e", "", -5, false}}), "fig-bar", "width")
	if want := fmt.Sprint([]string{"0", "358", "716", "716", "0"}); fmt.Sprint(got) != want {
		t.Errorf("widths %v, want %v", got, want)
	}
}

func TestDots(t *testing.T) {
	count := func(n markup.Node) int { return strings.Count(markup.String(n), `r="8"`) }
	few := DotsOptions{ID: "d", Values: []int{0, 5, 5, 10, 99, -4}, Most: 10}
	if got := count(Dots(few)); got != 6 {
		t.Errorf("6 contestants, %d dots", got)
	}
	many := DotsOptions{ID: "d", Values: make([]int, 120), Most: 10, Each: func(n int) string { return fmt.Sprintf("one dot is %d", n) }}
	n := Dots(many)
	if got := count(n); got != dotRows {
		t.Errorf("120 on one score: %d dots, want %d", got, dotRows)
	}
	if !strings.Contains(markup.String(n), "one dot is 10") {
		t.Error("the drawing does not say what a dot stands for")
	}
	if got := count(Dots(DotsOptions{ID: "d", Values: []int{3, 3}, Least: 3, Most: 3})); got != 2 {
		t.Errorf("a line without length: %d dots, want 2", got)
	}
}
