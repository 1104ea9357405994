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

	"keelcard/web/markup"
)

func thousandths(q pt) (x, y int) {
	return int(math.Round(q.x * 1000 / birdW)), int(math.Round(q.y * 1000 / birdH))
}

func TestSites(t *testing.T) {
	shared := []string{"wing-left-drumette", "wing-left-flat", "wing-left-tip", "wing-right-drumette", "wing-right-flat", "wing-right-tip",
		"drumstick-left", "drumstick-right", "thigh-left", "thigh-right", "neck", "breast"}
	for view, own := range map[View][]string{Front: {"keel", "vent"}, Back: {"back", "tail", "hip-left", "hip-right"}} {
		got, want := Sites(view), append(slices.Clone(shared), own...)
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("%s has %v, want %v", view, got, want)
		}
	}
}

// Left and right are the bird's. A bird that stands and faces us has its left
// on our right; hung head down and still facing us it is turned half round in
// the plane of the picture, which brings its left to our left. From behind it
// is the other way round.
func TestSidesAreTheBirds(t *testing.T) {
	for _, c := range []struct {
		view View
		x    int // thousandths: 325 is the viewer's left drumstick
		want string
	}{{Front, 325, "drumstick-left"}, {Front, 675, "drumstick-right"}, {Back, 325, "drumstick-right"}, {Back, 675, "drumstick-left"}} {
		if got := SiteAt(c.view, c.x, 230); got != c.want {
			t.Errorf("%s at %d: %q, want %q", c.view, c.x, got, c.want)
		}
	}
}

// Heads hang down: legs above, neck below, the breast between.
func TestHungHeadDown(t *testing.T) {
	for _, c := range []struct {
		view View
		x, y int
		want string
	}{
		{Front, 500, 430, "vent"}, {Front, 500, 700, "keel"}, {Front, 360, 720, "breast"}, {Front, 500, 935, "neck"},
		{Front, 250, 480, "thigh-left"}, {Front, 750, 480, "thigh-right"},
		{Back, 500, 370, "tail"}, {Back, 500, 700, "back"}, {Back, 392, 497, "hip-right"}, {Back, 608, 497, "hip-left"},
		{Back, 310, 690, "breast"}, // the side, beyond the border
		{Front, 100, 940, "wing-left-tip"}, {Front, 100, 800, "wing-left-flat"}, {Front, 210, 740, "wing-left-drumette"},
		{Front, 20, 100, ""}, {Back, 980, 20, ""}, {View("side"), 500, 500, ""},
	} {
		if got := SiteAt(c.view, c.x, c.y); got != c.want {
			t.Errorf("%s at %d, %d: %q, want %q", c.view, c.x, c.y, got, c.want)
		}
	}
}

// A mark that names only its site falls on that site.
func TestAnchorsLieInTheirSites(t *testing.T) {
	for _, view := range []View{Front, Back} {
		list := regions(view)
		for _, r := range list {
			x, y := thousandths(r.at)
			if got := SiteAt(view, x, y); got != r.site {
				t.Errorf("%s: the anchor of %s lies in %q", view, r.site, got)
			}
		}
	}
}

// On a drawing 360 px wide each site answers over 44 px by 44 px at least
// (WCAG 2.2, 2.5.5), measured by what is not covered by another site.
func TestSitesAreLargeEnoughForAThumb(t *testing.T) {
	const px = 360 / birdW
	for _, view := range []View{Front, Back} {
		list := regions(view)
		type bounds struct{ x0, x1, y0, y1 float64 }
		seen := map[string]bounds{}
		for y := 0.0; y < birdH; y += 4 {
			for x := 0.0; x < birdW; x += 4 {
				for _, r := range slices.Backward(list) {
					if !r.holds(x, y) {
						continue
					}
					b, ok := seen[r.site]
					if !ok {
						b = bounds{x, x, y, y}
					}
					seen[r.site] = bounds{min(b.x0, x), max(b.x1, x), min(b.y0, y), max(b.y1, y)}
					break
				}
			}
		}
		for _, r := range list {
			b := seen[r.site]
			if w, h := (b.x1-b.x0+4)*px, (b.y1-b.y0+4)*px; w < 44 || h < 44 {
				t.Errorf("%s: %s answers over %.0f by %.0f px", view, r.site, w, h)
			}
		}
	}
}

func TestHalvesMirrorEachOther(t *testing.T) {
	for _, view := range []View{Front, Back} {
		for x := 5; x < 500; x += 35 {
			for y := 5; y < 1000; y += 35 {
				swap := strings.NewReplacer("left", "right", "right", "left")
				if a, b := SiteAt(view, x, y), SiteAt(view, 1000-x, y); swap.Replace(a) != b {
					t.Errorf("%s at %d, %d: %q and %q", view, x, y, a, b)
				}
			}
		}
	}
}

func full() BirdOptions {
	return BirdOptions{
		Do:       func(s string) string { return "call.site:" + s },
		Label:    func(s string) string { return "the " + s },
		Selected: "wing-left",
		Title:    "A broiler <hung>",
		Desc:     "One bare patch.",
		Missing:  []string{"tail", "neck", "wing-right", "drumstick-left", "keel", "hip-left"},
		Marks: []Mark{{Site: "breast", Label: "1", Kind: "bare"}, {Site: "wing-left", Label: "2", Kind: "cut"}, {X: 300, Y: 200, Label: "3", Kind: "break"},
			{Site: "thigh-left", Label: "4", Kind: "disjoint"}, {Site: "neck", Label: "5", Kind: "missing"}, {Site: "thigh-right", Label: "6", Kind: "trim"}, {Site: "neck", Label: "7", Kind: "bruise"}},
		Names: true,
	}
}

func TestBirdAnswersAndSpeaks(t *testing.T) {
	html := markup.String(Bird(Front, full()))
	for _, want := range []string{
		`<svg id="bird-front" class="fig fig-bird" viewBox="0 0 800 1110" data-xy="front" role="group" aria-labelledby="bird-front-title" aria-describedby="bird-front-desc">`,
		`<title id="bird-front-title">A broiler &lt;hung&gt;</title><desc id="bird-front-desc">One bare patch.</desc>`,
		`<g id="bird-front-breast" class="fig-hit" role="button" tabindex="0" aria-label="the breast" aria-pressed="false" data-do="call.site:breast">`,
		`id="bird-front-wing-left-tip" class="fig-hit" role="button" tabindex="0" aria-label="the wing-left-tip" aria-pressed="true"`,
	} {
		if !strings.Contains(html, want) {
			t.Errorf("missing %s", want)
		}
	}
	if n := strings.Count(html, "fig-pin-text"); n != 7 {
		t.Errorf("%d pins for 7 marks", n)
	}
}

func TestStaticBirdHasNothingToTap(t *testing.T) {
	o := full()
	o.Static = true
	html := markup.String(Bird(Back, o))
	for _, not := range []string{"role=\"button\"", "tabindex", "data-do"} {
		if strings.Contains(html, not) {
			t.Errorf("a static bird has %s", not)
		}
	}
	if strings.Count(html, "fig-chosen") != 3 {
		t.Errorf("the chosen wing is not drawn with its three segments")
	}
}

func TestWholeWingAsOneSite(t *testing.T) {
	n := Bird(Front, BirdOptions{Sites: []string{"wing-left", "breast"}})
	var got []string
	areas := 0
	n.Walk(func(n markup.Node) {
		if n.Get("role") == "button" {
			got = append(got, n.Get("aria-label"))
		}
		if n.Get("class") == "fig-area" {
			areas++
		}
	})
	if want := []string{"wing-left", "breast"}; !slices.Equal(got, want) || areas != 4 {
		t.Errorf("can be tapped: %v with %d areas, want %v with 4", got, areas, want)
	}
	if len(regions(Front)[0].areas) != 1 {
		t.Error("joining the segments changed the regions of the view")
	}
}

func TestMissingPartsAreDashed(t *testing.T) {
	whole := strings.Count(markup.String(Bird(Back, BirdOptions{})), "fig-gone")
	if whole != 0 {
		t.Fatalf("a whole bird has %d dashed parts", whole)
	}
	for site, want := range map[string]int{"tail": 1, "neck": 1, "wing-left": 3, "wing-left-tip": 1, "wing": 6, "drumstick-right": 1, "thigh-left": 1, "hip-right": 1, "keel": 0} {
		if got := strings.Count(markup.String(Bird(Back, BirdOptions{Missing: []string{site}})), "fig-gone"); got != want {
			t.Errorf("%s missing: %d dashed parts, want %d", site, got, want)
		}
	}
}

func TestMarksOfAnotherViewAreLeftOut(t *testing.T) {
	if html := markup.String(Bird(Back, BirdOptions{Marks: []Mark{{Site: "keel", Label: "9"}}})); strings.Contains(html, "fig-pin") {
		t.Error("the keel is marked on the back")
	}
}

func TestPinsKeepClearOfEachOther(t *testing.T) {
	var taken []pt
	for _, at := range []pt{p(300, 700), p(330, 720), p(300, 760), p(20, 20), p(790, 1100)} {
		pin := sheetOf(Front).pinPlace(at, 0, taken)
		for _, o := range taken {
			if d := math.Hypot(pin.x-o.x, pin.y-o.y); d < 2*pinRadius {
				t.Errorf("the pin of %v lies %.0f units from %v", at, d, o)
			}
		}
		if pin.x < pinRadius || pin.x > birdW-pinRadius || pin.y < pinRadius || pin.y > birdH-pinRadius {
			t.Errorf("the pin of %v lies at %v, off the drawing", at, pin)
		}
		taken = append(taken, pin)
	}
}

// The content policy of the page allows no styles inside it; ids are unique;
// every class has a rule.
func TestDrawingsObeyThePage(t *testing.T) {
	css, err := os.ReadFile("../shell/style.css")
	if err != nil {
		t.Fatal(err)
	}
	drawings := append(append(charts(), scenes()...), Bird(Front, full()), Bird(Back, full()), Bird(Back, BirdOptions{ID: "other"}), Bird(Front, BirdOptions{ID: "still", Static: true, Selected: "breast"}))
	ids, rules := map[string]bool{}, map[string]bool{}
	for _, m := range regexp.MustCompile(`\.(fig[a-z-]*)`).FindAllStringSubmatch(string(css), -1) {
		rules[m[1]] = true
	}
	unstyled := map[string]bool{"fig-pad": true, "fig-marks": true, "fig-bars": true, "fig-tailcut": true, "fig-coin": true, "fig-hens": true}
	for _, d := range drawings {
		d.Walk(func(n markup.Node) {
			for _, a := range n.Attrs {
				if a.Name == "style" || strings.HasPrefix(a.Name, "on") {
					t.Errorf("<%s> has the attribute %s", n.Tag, a.Name)
				}
			}
			if id := n.Get("id"); id != "" {
				if ids[id] {
					t.Errorf("the id %s occurs twice", id)
				}
				ids[id] = true
			}
			for _, class := range strings.Fields(n.Get("class")) {
				if !rules[class] && !unstyled[class] {
					t.Errorf("the class %s has no rule", class)
				}
			}
		})
	}
	for _, d := range drawings {
		d.Walk(func(n markup.Node) {
			if fill := n.Get("fill"); strings.HasPrefix(fill, "url(#") && !ids[strings.TrimSuffix(strings.TrimPrefix(fill, "url(#"), ")")] {
				t.Errorf("%s is not there", fill)
			}
		})
	}
}

func TestDrawnAlikeEachTime(t *testing.T) {
	if a, b := markup.String(Bird(Front, full())), markup.String(Bird(Front, full())); a != b {
		t.Error("two drawings of the same bird differ")
	}
}

func BenchmarkBird(b *testing.B) {
	o := full()
	size := 0
	for b.Loop() {
		size = len(markup.String(Bird(Front, o)))
	}
	b.ReportMetric(float64(size), "bytes")
}

// A pin is drawn beside its fault and can be tapped by itself, on a disc large
// enough for a thumb; a picture only has none.
func TestPinsAnswer(t *testing.T) {
	o := BirdOptions{
		Marks: []Mark{{Site: "breast", X: 400, Y: 600, Label: "1"}, {Site: "back", Label: "2"}, {Site: "wing-left", Label: "3"}},
		Pin:   func(i int) (string, string) { return fmt.Sprintf("open:%d", i+1), fmt.Sprintf("finding %d", i+1) },
	}
	pins := func(o BirdOptions) (out []string) {
		Bird(Front, o).Walk(func(n markup.Node) {
			if n.Get("class") != "fig-pin-hit" {
				return
			}
			out = append(out, n.Get("data-do")+" "+n.Get("aria-label"))
			if r, err := strconv.Atoi(n.Kids[0].Get("r")); err != nil || 2*r*328/800 < 48 {
				t.Errorf("the disc of a pin has the radius %d: under 48 px on a drawing 328 px wide", r)
			}
		})
		return out
	}
	// The back does not show in front.
	if got, want := pins(o), []string{"open:1 finding 1", "open:3 finding 3"}; !slices.Equal(got, want) {
		t.Errorf("pins %v, want %v", got, want)
	}
	o.Static = true
	if got := pins(o); len(got) != 0 {
		t.Errorf("a picture has the pins %v", got)
	}
}
