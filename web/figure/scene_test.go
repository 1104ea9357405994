package figure

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"keelcard/engine/amount"
	"keelcard/engine/rulebook"
	"keelcard/web/markup"
)

const (
	inch = amount.Inch
	mm   = amount.Millimetre
)

var places = []BleachPlace{{"Vent", 0, 10, "4 to 7 days"}, {"Beak, tip", 35, 35, "6 to 8 weeks"}, {"Hock", 175, 180, "24 weeks"}}

// scenes are drawings with all that they can show, each with its own id.
func scenes() []markup.Node {
	n := 0
	with := func(sites ...string) Options {
		n++
		o := Options{ID: fmt.Sprintf("scene%d", n), Title: "t", Desc: "d", Names: true, Do: func(s string) string { return "x:" + s }}
		for i, kind := range []string{"stain", "stains", "dirt", "deposit", "check", "blood", "meat", "void", "bare"} {
			o.Marks = append(o.Marks, Mark{Site: sites[i%len(sites)], Label: strconv.Itoa(i + 1), Kind: kind, Width: 3 * mm})
		}
		return o
	}
	egg := OpenedEgg{Height: 53 * mm / 10, Limits: []Gauge{{526 * mm / 100, "72"}, {399 * mm / 100, "60"}}, Blood: true}
	list := []markup.Node{
		Light(LightEgg{AirCell: inch / 8, Outline: 1, OutlineNames: [3]string{"a", "b", "c"}}, with("yolk")),
		Light(LightEgg{AirCell: inch * 3 / 8, Outline: 2, Bubbly: true, BloodRing: true, Blood: true}, with("white")),
		Light(LightEgg{AirCell: inch * 3 / 16, Outline: 3, Germ: true, Length: 52 * mm}, with("air-cell")),
		Opened(egg, with("yolk", "thick-white")), Opened(OpenedEgg{Height: 15 * mm / 10}, with("thin-white")), OpenedSide(egg, with("")), OpenedSide(OpenedEgg{Height: mm}, with("")),
		Haugh(HaughOptions{ID: "haugh", Title: "t", Value: 7123, ValueLabel: "71.23", Limits: []HaughMark{{6000, "60"}, {7200, "72"}}, Zones: []string{"B", "A", "AA"}}),
		Carton(func() Options { o := with("egg-2"); o.Missing = []string{"egg-9"}; o.Marks = o.Marks[:1]; return o }()),
		Hen(func(p string) Pigment {
			return map[string]Pigment{"vent": Bleached, "earlobe": Fading, "shank-front": Yellow}[p]
		}, Options{ID: "hen", Title: "t"}),
		Bleaching(BleachOptions{ID: "bleaching", Title: "t", Places: places, Hens: []BleachHen{{"1", 10, 20}, {"2", 190, 200}}, Axis: "eggs"}),
	}
	for _, shape := range []string{"", "long", "round", "pointed", "misshapen"} {
		list = append(list, Shell(ShellEgg{Shape: shape, Ridges: true, Body: true, Thin: true}, with("middle")))
	}
	for _, shape := range []string{"tender", "nugget", "patty", "drumette"} {
		whole, broken, odd, joined := BreadedPiece{Shape: shape}, BreadedPiece{Shape: shape, Broken: true, Shade: "burnt"}, BreadedPiece{Shape: shape, Odd: true, Shade: "pale"}, BreadedPiece{Shape: shape, Cluster: true, Shade: "dark"}
		for _, pieces := range [][]BreadedPiece{{broken}, {joined}, {odd}, {whole, broken, odd}} {
			list = append(list, Breaded(pieces, nil, with("piece")))
		}
	}
	for _, id := range PartIDs() {
		o := with("part", "hip", "joint")
		o.Marks = nil
		list = append(list, Part(id, o))
	}
	return list
}

// sheets are the grounds of all drawings that can be tapped.
func sheets() map[string]sheet {
	opened, _, _, _ := openedSheet(OpenedEgg{})
	weak, _, _, _ := openedSheet(OpenedEgg{Height: mm})
	all := map[string]sheet{"light": lightSheet(0), "shell": shellSheet(0), "opened": opened, "opened weak": weak, "carton": cartonSheet(), "hen": henSheet()}
	for _, shape := range []string{"tender", "nugget", "patty", "drumette"} {
		all[shape], _ = breadedSheet([]BreadedPiece{{Shape: shape}})
		all["three of "+shape], _ = breadedSheet([]BreadedPiece{{Shape: shape}, {Shape: shape}, {Shape: shape}})
	}
	for _, c := range pieces {
		all[c.id] = c.sheet()
	}
	return all
}

// On a phone 360 px wide a drawing in a card is 328 px wide. Each site answers
// over 48 px by 48 px there, measured by what no other site covers.
func TestEverySiteCanBeReached(t *testing.T) {
	for name, s := range sheets() {
		px := 328 / s.w
		seen := map[string][]pt{}
		step := 3.0
		if testing.Short() {
			step = 6
		}
		for y := 0.0; y < s.h; y += step {
			for x := 0.0; x < s.w; x += step {
				if at := s.siteAt(p(x, y)); at != "" {
					seen[at] = append(seen[at], p(x, y))
				}
			}
		}
		for _, r := range s.sites {
			if len(seen[r.site]) == 0 {
				t.Errorf("%s: %s is covered by others", name, r.site)
				continue
			}
			lo, hi := bounds(seen[r.site])
			if w, h := (hi.x-lo.x+step)*px, (hi.y-lo.y+step)*px; w < 48 || h < 48 {
				t.Errorf("%s: %s answers over %.0f by %.0f px", name, r.site, w, h)
			}
			if got := s.siteAt(r.at); got != r.site {
				t.Errorf("%s: the middle of %s lies in %q", name, r.site, got)
			}
		}
	}
}

var token = regexp.MustCompile(`[MCLHVZh]|-?[0-9]+`)

// reach gives the ends of all pieces of a path; its capital letters are
// absolute, and h0 adds nothing.
func reach(d string) []pt {
	var out []pt
	var at pt
	fields := token.FindAllString(d, -1)
	number := func(i int) float64 { v, _ := strconv.ParseFloat(fields[i], 64); return v }
	command := ""
	for i := 0; i < len(fields); {
		if fields[i] >= "A" {
			command = fields[i]
			i++
			continue
		}
		switch command {
		case "M", "L":
			at, i = p(number(i), number(i+1)), i+2
		case "C":
			at, i = p(number(i+4), number(i+5)), i+6
		case "H":
			at, i = p(number(i), at.y), i+1
		case "V":
			at, i = p(at.x, number(i)), i+1
		default:
			i++
		}
		out = append(out, at)
	}
	return out
}

func TestDrawingsStayOnTheirSheets(t *testing.T) {
	for _, n := range scenes() {
		box := strings.Fields(n.Get("viewBox"))
		w, _ := strconv.ParseFloat(box[2], 64)
		h, _ := strconv.ParseFloat(box[3], 64)
		n.Walk(func(e markup.Node) {
			var points []pt
			f := func(name string) float64 { v, _ := strconv.ParseFloat(e.Get(name), 64); return v }
			switch e.Tag {
			case "path":
				points = reach(e.Get("d"))
			case "circle":
				points = []pt{p(f("cx")-f("r"), f("cy")-f("r")), p(f("cx")+f("r"), f("cy")+f("r"))}
				if e.Get("fill") == "transparent" { // what answers a tap may reach beyond
					return
				}
			case "rect":
				points = []pt{p(f("x"), f("y")), p(f("x")+f("width"), f("y")+f("height"))}
			case "text":
				points = []pt{p(f("x"), f("y"))}
			}
			for _, q := range points {
				if q.x < -8 || q.x > w+8 || q.y < -8 || q.y > h+8 {
					t.Errorf("%s: <%s class=%q> reaches %.0f, %.0f beyond %.0f by %.0f", n.Get("id"), e.Tag, e.Get("class"), q.x, q.y, w, h)
					return
				}
			}
		})
	}
}

func extent(t *testing.T, n markup.Node, class string) (lo, hi pt) {
	t.Helper()
	d := find(n, class, "d")
	if len(d) == 0 {
		t.Fatalf("nothing is drawn as %s", class)
	}
	return bounds(reach(d[0]))
}

func near(t *testing.T, what string, got, want, by float64) {
	t.Helper()
	if math.Abs(got-want) > by {
		t.Errorf("%s: %.4f, want %.4f", what, got, want)
	}
}

// The depth of an air cell is to the length of the egg as the lengths given.
func TestAirCellIsToScale(t *testing.T) {
	for _, c := range []struct{ depth, egg amount.Length }{{inch / 8, 57 * mm}, {inch * 3 / 16, 57 * mm}, {inch * 3 / 8, 57 * mm}, {inch / 2, 63 * mm}, {inch * 3 / 16, 50 * mm}} {
		n := Light(LightEgg{Length: c.egg, AirCell: c.depth}, Options{})
		top, bottom := extent(t, n, "fig-lit")
		_, floor := extent(t, n, "fig-air")
		near(t, c.depth.Inches(), (floor.y-top.y)/(bottom.y-top.y), float64(c.depth)/float64(c.egg), 1.1/lightLong)
		from, to := extent(t, n, "fig-length")
		near(t, c.depth.Inches()+" on its gauge", (to.y-from.y)/(bottom.y-top.y), float64(c.depth)/float64(c.egg), 1.1/lightLong)
	}
}

func TestYolkOutlinesDiffer(t *testing.T) {
	seen := map[string]bool{}
	for outline := range 4 {
		seen[markup.String(Light(LightEgg{Outline: outline}, Options{}))] = true
	}
	if len(seen) != 4 {
		t.Errorf("%d drawings for four states of the yolk", len(seen))
	}
}

// The shell of a Large egg is 68 to 70 cm2, and a round spot of 1/32 of it is
// about 1.7 cm across (computed beside the Washington Admin. Code 16-104-130,
// which allows a stain of 1/32).
func TestShellIsToScale(t *testing.T) {
	s := shellSheet(0)
	area := shellEgg("").surface() / (s.scale * s.scale) / 100
	if area < 68 || area > 70 {
		t.Errorf("the egg drawn has %.1f cm2 of shell", area)
	}
	n := Shell(ShellEgg{}, Options{Marks: []Mark{{Site: "middle", Kind: "stain", Width: 17 * mm}}})
	lo, hi := extent(t, n, "fig-edge")
	number := func(class string, i int) float64 { v, _ := strconv.ParseFloat(find(n, class, "r")[i], 64); return v }
	near(t, "17 mm beside an egg of 57 mm", 2*number("fig-stain", 0)/(hi.x-lo.x), 17.0/57, 2.1/shellLong)
	cm2 := func(r float64) float64 { return math.Pi * r * r / (s.scale * s.scale) / 100 }
	near(t, "1/32 of the shell", cm2(number("fig-patch", 0))/area, 1.0/32, 0.0006)
	near(t, "1/16 of the shell", cm2(number("fig-patch", 1))/area, 1.0/16, 0.0006)
	own := Shell(ShellEgg{Patches: []Gauge{{20 * mm, "here"}}}, Options{})
	if got := find(own, "fig-patch", "r"); !slices.Equal(got, []string{"100"}) {
		t.Errorf("a patch of 20 mm is drawn %v", got)
	}
}

// Scattered spots cover together what one spot of their width covers.
func TestScatteredStainIsToScale(t *testing.T) {
	n := Shell(ShellEgg{}, Options{Marks: []Mark{{Site: "middle", Kind: "stains", Width: 24 * mm}}})
	sum := 0.0
	for _, r := range find(n, "fig-stain", "r") {
		v, _ := strconv.ParseFloat(r, 64)
		sum += math.Pi * v * v
	}
	one := 24 * shellSheet(0).scale / 2
	near(t, "area", sum/(math.Pi*one*one), 1, 0.03)
}

func TestWhiteIsToScale(t *testing.T) {
	for _, high := range []amount.Length{24 * mm / 10, 53 * mm / 10, 8 * mm} {
		n := OpenedSide(OpenedEgg{Height: high, Limits: []Gauge{{high, "here"}}}, Options{})
		lo, hi := extent(t, n, "fig-length")
		near(t, "height", (hi.y-lo.y)/sideScale, float64(high)/float64(mm), 0.6/sideScale)
		limit := reach(find(n, "fig-depth", "d")[1])[0]
		near(t, "a limit as high", limit.y, lo.y, 0.6)
	}
	last := math.Inf(1)
	for high := amount.Length(2); high < 10; high++ {
		_, _, _, wide := OpenedEgg{Height: high * mm}.shape()
		if wide > last {
			t.Errorf("a white of %d mm spreads wider than a lower one", high)
		}
		last = wide
	}
}

// Limits of 72 and 60 (N.Y. Comp. Codes R. & Regs. tit. 1 § 190.9): 72.00 stands on
// its limit, 71.99 before it.
func TestHaughStandsAmongItsLimits(t *testing.T) {
	at := func(value int) (pointer, limit float64) {
		n := Haugh(HaughOptions{ID: "h", Value: value, ValueLabel: "x", Limits: []HaughMark{{6000, "60"}, {7200, "72"}}})
		return reach(find(n, "fig-length-end", "d")[0])[0].x, reach(find(n, "fig-line", "d")[1])[0].x
	}
	for _, c := range []struct{ value, side int }{{7200, 0}, {7123, -1}, {6000, -1}, {7300, 1}, {12000, 1}, {-500, -1}} {
		pointer, limit := at(c.value)
		if got := int(math.Copysign(1, pointer-limit)); pointer == limit && c.side != 0 || pointer != limit && got != c.side {
			t.Errorf("%d stands at %.0f, 72 at %.0f", c.value, pointer, limit)
		}
	}
}

// A bare spot is as long as the gauge of the same length.
func TestBareSpotIsToScale(t *testing.T) {
	for _, shape := range []string{"tender", "nugget", "patty", "drumette"} {
		n := Breaded([]BreadedPiece{{Shape: shape}}, []Gauge{{inch / 2, ""}}, Options{Marks: []Mark{{Site: "piece", Kind: "void", Width: inch / 2}}})
		lo, hi := extent(t, n, "fig-void")
		from, to := extent(t, n, "fig-length")
		near(t, shape, hi.x-lo.x, to.x-from.x, 1.1)
	}
}

// The 30 names of a class of parts: Georgia Agricultural Education Curriculum
// Office, Poultry CDE Practice: Identification of Carcass Parts, Feb 2007.
var partNames = `half;front half;rear half;whole breast with ribs;boneless skinless whole breast with rib meat;whole breast;boneless skinless whole breast;
split breast with ribs;boneless skinless split breast with rib meat;split breast;boneless skinless split breast;breast quarter;breast quarter without wing;tenderloin;
wishbone;leg quarter;leg;thigh with back portion;thigh;boneless skinless thigh;drumstick;boneless skinless drum;wing;drumette;wing portion;liver;gizzard;heart;neck;paws`

func TestEveryPartIsDrawn(t *testing.T) {
	var ids []string
	for _, name := range strings.Split(partNames, ";") {
		ids = append(ids, strings.ReplaceAll(strings.TrimSpace(name), " ", "-"))
	}
	slices.Sort(ids)
	got := PartIDs()
	slices.Sort(got)
	if len(ids) != 30 || !slices.Equal(got, ids) {
		t.Fatalf("drawn are %v, want %v", got, ids)
	}
	seen := map[string]string{}
	for _, id := range ids {
		html := markup.String(Part(id, Options{ID: "same"}))
		if seen[html] != "" {
			t.Errorf("%s looks like %s", id, seen[html])
		}
		seen[html] = id
	}
	if a, b := Part("whole-leg", Options{ID: "same"}), Part("leg", Options{ID: "same"}); !markup.Equal(a, b) {
		t.Error("a whole leg is drawn unlike a leg")
	}
	if html := markup.String(Part("spleen", Options{})); strings.Contains(html, "<path") {
		t.Error("a part that is not known is drawn")
	}
}

// Which joints a part has: the hip only with a piece of back, the knee with a
// leg or where it was cut.
func TestPartsHaveTheirJoints(t *testing.T) {
	for id, want := range map[string]string{"leg-quarter": "part hip joint", "leg": "part joint", "thigh-with-back-portion": "part hip joint", "thigh": "part joint", "wing": "part joint", "drumette": "part", "breast-quarter": "part", "liver": "part"} {
		var got []string
		c, _ := pieceOf(id)
		for _, r := range c.sheet().sites {
			got = append(got, r.site)
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%s has %v, want %s", id, got, want)
		}
	}
}

func TestCartonNumbersItsEggs(t *testing.T) {
	n := Carton(Options{Missing: []string{"egg-9"}})
	html := markup.String(n)
	for i := range 12 {
		if shown := strings.Contains(html, fmt.Sprintf(">%d</text>", i+1)); shown == (i+1 == 9) {
			t.Errorf("egg %d is there: %v", i+1, shown)
		}
	}
	if got := SiteAt(CartonView, 97, 204); got != "egg-1" {
		t.Errorf("the first egg is %q", got)
	}
}

// Order of bleaching: National 4-H Poultry Judging Manual, past production hens;
// vent, eye ring, earlobe, beak from its base, feet, shanks, hock.
func TestHenShowsEachPlaceInItsState(t *testing.T) {
	if got := strings.Join(HenPlaces, " "); got != "vent eye-ring earlobe beak-base beak-tip feet-bottom shank-front shank-rear hock-toes" {
		t.Errorf("the places are %s", got)
	}
	for _, state := range []Pigment{NotLooked, Yellow, Fading, Bleached} {
		class := "fig-state-" + string(state)
		if state == NotLooked {
			class = "fig-state-unseen"
		}
		n := Hen(func(string) Pigment { return state }, Options{})
		if got := len(find(n, class, "cx")); got != len(HenPlaces) {
			t.Errorf("%q: %d of %d numbers", state, got, len(HenPlaces))
		}
		if got := len(find(n, "fig-state-half", "d")); got != 0 && state != Fading {
			t.Errorf("%q: %d half discs", state, got)
		}
	}
	for i, a := range henPins() {
		for _, b := range henPins()[:i] {
			if d := math.Hypot(a.x-b.x, a.y-b.y); d < 2*henTouch+8*henW/328 {
				t.Errorf("the numbers at %v and %v are %.0f apart: under 8 px between their targets", a, b, d)
			}
		}
	}
}

func TestBleachingBarsAndHens(t *testing.T) {
	n := Bleaching(BleachOptions{ID: "b", Places: places, Hens: []BleachHen{{"3", 100, 100}, {"1", 100, 100}, {"4", 0, 0}, {"2", 200, 200}}})
	if got, want := find(n, "fig-bleach", "x"), []string{"16", "136", "618"}; !slices.Equal(got, want) {
		t.Errorf("the bars begin at %v, want %v", got, want)
	}
	var lines []float64
	for _, d := range find(n, "fig-limit", "d") {
		lines = append(lines, reach(d)[0].x)
	}
	if want := []float64{16, 360, 360, 704}; !slices.Equal(lines, want) {
		t.Errorf("the hens stand at %v, want %v", lines, want)
	}
	var pins []float64
	for _, x := range find(n, "fig-pin", "cx") {
		v, _ := strconv.ParseFloat(x, 64)
		pins = append(pins, v)
	}
	for i := 1; i < len(pins); i++ {
		if pins[i]-pins[i-1] < 2*pinRadius {
			t.Errorf("the numbers of the hens stand at %v", pins)
		}
	}
	if len(pins) != 4 {
		t.Errorf("%d hens", len(pins))
	}
	o := BleachOptions{Places: places, Hens: []BleachHen{{"Hen 1", 10, 20}}}
	if got, want := o.told(), "Vent: 4 to 7 days; Beak, tip: 6 to 8 weeks; Hock: 24 weeks; Hen 1: 10–20"; got != want {
		t.Errorf("told: %s", got)
	}
	if html := markup.String(BleachingTable(o, [3]string{"Place", "Eggs", "Weeks"})); !strings.Contains(html, `<th scope="row">Hock</th><td class="num">175–180</td><td>24 weeks</td>`) {
		t.Errorf("the table: %s", html)
	}
}

func TestMarksWithoutALabelHaveNoPin(t *testing.T) {
	n := Shell(ShellEgg{}, Options{Marks: []Mark{{Site: "middle", Kind: "stain", Width: mm}}, Pin: func(int) (string, string) { return "a", "b" }})
	if len(find(n, "fig-pin", "r")) != 0 || len(find(n, "fig-pin-hit", "id")) != 0 || len(find(n, "fig-stain", "r")) != 1 {
		t.Error("a mark without a label has a pin, or no sign")
	}
}

// Each site of a rule book is there on the drawing the book names.
func TestBooksFindTheirSites(t *testing.T) {
	entries, err := os.ReadDir("../../engine/rulebook/books")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		text, err := os.ReadFile("../../engine/rulebook/books/" + e.Name())
		if err != nil {
			t.Fatal(err)
		}
		book, faults := rulebook.Decode(text)
		if faults != nil {
			t.Fatal(faults)
		}
		drawn := Sites(View(book.Drawing))
		switch book.Drawing {
		case "", "bird":
			drawn = append(Sites(Front), Sites(Back)...)
		case "part":
			drawn = []string{"part", "hip", "joint"}
		case "piece":
			drawn = []string{"piece-1", "piece-2", "piece-3"}
		}
		for _, s := range book.Sites {
			if !slices.ContainsFunc(drawn, func(d string) bool { return covers(s.ID, d) }) {
				t.Errorf("%s: the site %s is not on its drawing, which has %v", book.ID, s.ID, drawn)
			}
		}
	}
}
